//! One piece of a path of the plane: a straight line, a circular arc, a cubic Bézier curve. Lengths are mm.

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use crate::base::{Affine, Vec2};

/// One piece of a path.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Segment {
    /// From the first point straight to the second.
    Line(Vec2, Vec2),
    /// From the first point to the second along a circle. The third number is the tangent of a quarter of the angle
    /// swept, positive counter-clockwise, at most 1 in size (half a circle).
    Arc(Vec2, Vec2, f64),
    /// A cubic Bézier curve by its four points.
    Cubic(Vec2, Vec2, Vec2, Vec2),
}

/// The circle that an arc lies on, and how it runs.
#[derive(Clone, Copy, Debug)]
pub struct Round {
    /// Centre, mm.
    pub centre: Vec2,
    /// Radius, mm.
    pub radius: f64,
    /// Angle of the start seen from the centre, radians.
    pub from: f64,
    /// Angle swept, radians; positive counter-clockwise.
    pub sweep: f64,
}

/// The largest angle of an arc that one cubic stands in for: it leaves the circle by less than 4e-7 of the radius.
const CUBIC_ARC: f64 = PI / 6.0;

impl Segment {
    /// The arc about a centre from a point, by an angle (radians, counter-clockwise, at most half a turn).
    pub fn arc_about(centre: Vec2, start: Vec2, sweep: f64) -> Self {
        Self::Arc(start, centre + (start - centre).turned(sweep), libm::tan(sweep * 0.25))
    }

    /// Where it starts.
    pub fn start(&self) -> Vec2 {
        match *self {
            Self::Line(a, _) | Self::Arc(a, ..) | Self::Cubic(a, ..) => a,
        }
    }

    /// Where it ends.
    pub fn end(&self) -> Vec2 {
        match *self {
            Self::Line(_, b) | Self::Arc(_, b, _) | Self::Cubic(.., b) => b,
        }
    }

    /// The circle of an arc; `None` for other pieces and for an arc without bulge.
    pub fn round(&self) -> Option<Round> {
        let Self::Arc(a, b, bulge) = *self else { return None };
        if bulge == 0.0 || a == b {
            return None;
        }
        let centre = a.toward(b, 0.5) + (b - a).left() * ((1.0 - bulge * bulge) / (4.0 * bulge));
        Some(Round {
            centre,
            radius: (a - centre).norm(),
            from: (a - centre).angle(),
            sweep: 4.0 * libm::atan(bulge),
        })
    }

    /// The point at `t` from 0 to 1.
    pub fn at(&self, t: f64) -> Vec2 {
        match *self {
            Self::Line(a, b) => a.toward(b, t),
            Self::Arc(a, b, _) => match self.round() {
                _ if t <= 0.0 => a,
                _ if t >= 1.0 => b,
                Some(r) => r.centre + (a - r.centre).turned(r.sweep * t),
                None => a.toward(b, t),
            },
            Self::Cubic(a, p, q, b) => {
                let s = 1.0 - t;
                a * (s * s * s) + p * (3.0 * s * s * t) + q * (3.0 * s * t * t) + b * (t * t * t)
            }
        }
    }

    /// The derivative at `t`.
    pub fn slope(&self, t: f64) -> Vec2 {
        match *self {
            Self::Line(a, b) => b - a,
            Self::Arc(a, b, _) => match self.round() {
                Some(r) => (a - r.centre).turned(r.sweep * t).left() * r.sweep,
                None => b - a,
            },
            Self::Cubic(a, p, q, b) => {
                let s = 1.0 - t;
                ((p - a) * (s * s) + (q - p) * (2.0 * s * t) + (b - q) * (t * t)) * 3.0
            }
        }
    }

    /// The unit direction at the start (`false`) or the end (`true`), also of a cubic whose end points coincide with
    /// their neighbours.
    pub fn direction(&self, at_end: bool) -> Vec2 {
        let given = match (*self, at_end) {
            (Self::Cubic(a, p, q, b), false) => [p - a, q - a, b - a].into_iter().find_map(Vec2::unit),
            (Self::Cubic(a, p, q, b), true) => [b - q, b - p, b - a].into_iter().find_map(Vec2::unit),
            _ => self.slope(if at_end { 1.0 } else { 0.0 }).unit(),
        };
        given.unwrap_or(Vec2::new(1.0, 0.0))
    }

    /// The piece between two values of `t`.
    pub fn part(&self, from: f64, to: f64) -> Self {
        if (from, to) == (0.0, 1.0) {
            return *self;
        }
        let (a, b) = (self.at(from), self.at(to));
        match *self {
            Self::Line(..) => Self::Line(a, b),
            Self::Arc(_, _, bulge) => Self::Arc(a, b, libm::tan(libm::atan(bulge) * (to - from))),
            Self::Cubic(..) => {
                let third = (to - from) / 3.0;
                Self::Cubic(a, a + self.slope(from) * third, b - self.slope(to) * third, b)
            }
        }
    }

    /// The same piece run the other way.
    #[must_use]
    pub fn reversed(&self) -> Self {
        match *self {
            Self::Line(a, b) => Self::Line(b, a),
            Self::Arc(a, b, bulge) => Self::Arc(b, a, -bulge),
            Self::Cubic(a, p, q, b) => Self::Cubic(b, q, p, a),
        }
    }

    /// The same piece with other ends; the shape between follows.
    #[must_use]
    pub fn with_ends(&self, from: Vec2, to: Vec2) -> Self {
        match *self {
            Self::Line(..) => Self::Line(from, to),
            Self::Arc(_, _, bulge) => Self::Arc(from, to, bulge),
            Self::Cubic(a, p, q, b) => Self::Cubic(from, p + (from - a), q + (to - b), to),
        }
    }

    /// Twice the area between the piece and the origin, counted positive where the origin is to the left.
    pub fn double_area(&self) -> f64 {
        match *self {
            Self::Line(a, b) => a.cross(b),
            Self::Arc(a, b, _) => match self.round() {
                Some(r) => a.cross(b) + r.radius * r.radius * (r.sweep - libm::sin(r.sweep)),
                None => a.cross(b),
            },
            // Green's theorem on the Bernstein form.
            Self::Cubic(a, p, q, b) => {
                (6.0 * (a.cross(p) + q.cross(b)) + 3.0 * (a.cross(q) + p.cross(q) + p.cross(b)) + a.cross(b))
                    / 10.0
            }
        }
    }

    /// Length, mm; of a cubic by the rule of Gauss and Legendre on 16 parts.
    pub fn length(&self) -> f64 {
        match *self {
            Self::Line(a, b) => (b - a).norm(),
            Self::Arc(a, b, _) => self.round().map_or((b - a).norm(), |r| r.radius * r.sweep.abs()),
            Self::Cubic(..) => {
                // Abscissas ±√(3/5) and 0 with weights 5/9 and 8/9 on (-1, 1).
                let nodes = [(-0.6_f64.sqrt(), 5.0 / 18.0), (0.0, 8.0 / 18.0), (0.6_f64.sqrt(), 5.0 / 18.0)];
                let part = |i: i32| {
                    let at = |x: f64| (f64::from(i) + 0.5 + 0.5 * x) / 16.0;
                    nodes.iter().map(|(x, w)| w * self.slope(at(*x)).norm()).sum::<f64>() / 16.0
                };
                (0..16).map(part).sum()
            }
        }
    }

    /// The image under a map of space that keeps the plane z = 0. An arc stays one under a similarity, and is told by
    /// cubics otherwise.
    pub fn moved(&self, by: &Affine) -> Vec<Self> {
        let go = |p: Vec2| image(by, p);
        match *self {
            Self::Line(a, b) => vec![Self::Line(go(a), go(b))],
            Self::Cubic(a, p, q, b) => vec![Self::Cubic(go(a), go(p), go(q), go(b))],
            Self::Arc(a, b, bulge) => match similarity(by) {
                Some(mirrors) => vec![Self::Arc(go(a), go(b), if mirrors { -bulge } else { bulge })],
                None => self.cubics().iter().flat_map(|c| c.moved(by)).collect(),
            },
        }
    }

    /// An arc as cubics; other pieces as they are.
    pub fn cubics(&self) -> Vec<Self> {
        let Some(r) = self.round() else { return vec![*self] };
        let count = (r.sweep.abs() / CUBIC_ARC).ceil().max(1.0);
        // The usual cubic: its middle lies on the circle.
        let reach = 4.0 / 3.0 * libm::tan(r.sweep / count * 0.25);
        let pieces = 0..count as usize;
        pieces
            .map(|i| {
                let (u, v) = (self.at(i as f64 / count), self.at((i + 1) as f64 / count));
                Self::Cubic(u, u + (u - r.centre).left() * reach, v - (v - r.centre).left() * reach, v)
            })
            .collect()
    }

    /// How many straight pieces stay within `tolerance` mm of it, when its range is cut evenly.
    pub fn pieces(&self, tolerance: f64) -> usize {
        let count = match *self {
            Self::Line(..) => 1.0,
            Self::Arc(..) => self.round().map_or(1.0, |r| {
                let step = 2.0 * libm::acos((1.0 - tolerance / r.radius).clamp(0.0, 1.0));
                (r.sweep.abs() / step.min(FRAC_PI_2)).ceil()
            }),
            // The second derivative is at most 6 max |second difference|; the sagitta of a step h is h²/8 of it.
            Self::Cubic(a, p, q, b) => {
                let bend = (a - p * 2.0 + q).norm().max((p - q * 2.0 + b).norm());
                (6.0 * bend / (8.0 * tolerance)).sqrt().ceil()
            }
        };
        count.clamp(1.0, 4096.0) as usize
    }

    /// A box that holds it: least and greatest corner. Close for lines and arcs, the hull's for cubics.
    pub fn bounds(&self) -> (Vec2, Vec2) {
        let (a, b) = (self.start(), self.end());
        let (mut low, mut high) = (a.min(b), a.max(b));
        match *self {
            Self::Cubic(_, p, q, _) => (low, high) = (low.min(p).min(q), high.max(p).max(q)),
            Self::Arc(..) => {
                if let Some(r) = self.round() {
                    for k in 0..4 {
                        let angle = f64::from(k) * FRAC_PI_2;
                        if r.reaches(angle) {
                            let far = r.centre + quarter(k) * r.radius;
                            (low, high) = (low.min(far), high.max(far));
                        }
                    }
                }
            }
            Self::Line(..) => {}
        }
        (low, high)
    }

    /// The values of `t` inside (0, 1) where it runs level: between them it rises or falls.
    pub fn level_places(&self) -> Vec<f64> {
        let mut found = match *self {
            Self::Line(..) => Vec::new(),
            Self::Arc(..) => self.round().map_or(Vec::new(), |r| {
                [FRAC_PI_2, 3.0 * FRAC_PI_2].into_iter().filter_map(|angle| r.place(angle)).collect()
            }),
            Self::Cubic(a, p, q, b) => {
                let (d, e, f) = (p.y - a.y, q.y - p.y, b.y - q.y);
                roots(d - 2.0 * e + f, 2.0 * (e - d), d)
            }
        };
        found.retain(|t| *t > 0.0 && *t < 1.0);
        found.sort_by(f64::total_cmp);
        found
    }

    /// The nearest point: its distance and its `t`.
    pub fn nearest(&self, p: Vec2) -> (f64, f64) {
        let t = match *self {
            Self::Line(a, b) => {
                let d = b - a;
                let square = d.dot(d);
                if square > 0.0 { ((p - a).dot(d) / square).clamp(0.0, 1.0) } else { 0.0 }
            }
            Self::Arc(a, b, _) => match self.round() {
                Some(r) => match r.place((p - r.centre).angle()) {
                    Some(t) => t,
                    None => f64::from(u8::from((p - b).norm() < (p - a).norm())),
                },
                None => return Self::Line(a, b).nearest(p),
            },
            Self::Cubic(..) => self.nearest_of_cubic(p),
        };
        ((self.at(t) - p).norm(), t)
    }

    fn nearest_of_cubic(&self, p: Vec2) -> f64 {
        let far = |t: f64| (self.at(t) - p).norm();
        let starts = (0..=8).map(|i| f64::from(i) * 0.125);
        let mut best = starts.min_by(|a, b| far(*a).total_cmp(&far(*b))).unwrap_or(0.5);
        let (mut low, mut high) = ((best - 0.125).max(0.0), (best + 0.125).min(1.0));
        // The derivative of the squared distance changes sign once between: halve and step by turns.
        for _ in 0..40 {
            let middle = 0.5 * (low + high);
            if (self.at(middle) - p).dot(self.slope(middle)) > 0.0 { high = middle } else { low = middle }
        }
        let refined = 0.5 * (low + high);
        if far(refined) < far(best) {
            best = refined;
        }
        best
    }
}

impl Round {
    /// The `t` at which the arc passes an angle, if it does.
    fn place(&self, angle: f64) -> Option<f64> {
        let turn = if self.sweep > 0.0 { angle - self.from } else { self.from - angle };
        let turn = turn - TAU * (turn / TAU).floor();
        (turn <= self.sweep.abs()).then(|| turn / self.sweep.abs())
    }

    fn reaches(&self, angle: f64) -> bool {
        self.place(angle).is_some()
    }
}

/// The unit vector at so many quarters, without rounding.
fn quarter(k: i32) -> Vec2 {
    [Vec2::new(1.0, 0.0), Vec2::new(0.0, 1.0), Vec2::new(-1.0, 0.0), Vec2::new(0.0, -1.0)]
        [k.rem_euclid(4) as usize]
}

/// Real roots of a t² + b t + c.
fn roots(a: f64, b: f64, c: f64) -> Vec<f64> {
    let disc = b * b - 4.0 * a * c;
    if disc < 0.0 {
        return Vec::new();
    }
    let h = -0.5 * (b + disc.sqrt().copysign(b));
    let mut found = Vec::new();
    if a != 0.0 {
        found.push(h / a);
    }
    if h != 0.0 {
        found.push(c / h);
    }
    found
}

/// Where a map of space takes a point of the plane z = 0.
pub(super) fn image(by: &Affine, p: Vec2) -> Vec2 {
    let q = by.apply(crate::base::Vec3::new(p.x, p.y, 0.0));
    Vec2::new(q.x, q.y)
}

/// For a map that keeps shapes in the plane: whether it mirrors. `None` for one that stretches.
fn similarity(by: &Affine) -> Option<bool> {
    let (u, v) = (Vec2::new(by.rows[0].x, by.rows[1].x), Vec2::new(by.rows[0].y, by.rows[1].y));
    let square = u.dot(u).max(v.dot(v));
    let keeps = (u.dot(u) - v.dot(v)).abs() <= 1e-9 * square && u.dot(v).abs() <= 1e-9 * square;
    keeps.then(|| u.cross(v) < 0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn all() -> [Segment; 4] {
        let at = Vec2::new;
        [
            Segment::Line(at(1.0, 2.0), at(4.0, -1.0)),
            Segment::Arc(at(1.0, 0.0), at(0.0, 1.0), libm::tan(PI / 8.0)),
            Segment::Arc(at(1.0, 0.0), at(-1.0, 0.0), -1.0),
            Segment::Cubic(at(0.0, 0.0), at(1.0, 3.0), at(4.0, -3.0), at(5.0, 1.0)),
        ]
    }

    #[test]
    fn a_part_lies_on_the_whole_and_lengths_add_up() {
        for s in all() {
            let (a, b) = (s.part(0.0, 0.3), s.part(0.3, 1.0));
            assert!((a.at(0.5) - s.at(0.15)).norm() < 1e-12, "{s:?}");
            assert!((b.at(0.5) - s.at(0.65)).norm() < 1e-12, "{s:?}");
            assert!((a.length() + b.length() - s.length()).abs() < 1e-6 * s.length(), "{s:?}");
            assert!((a.double_area() + b.double_area() - s.double_area()).abs() < 1e-12, "{s:?}");
            assert_eq!(s.reversed().reversed(), s);
        }
    }

    #[test]
    fn bounds_hold_every_point_and_arcs_touch_theirs() {
        for s in all() {
            let (low, high) = s.bounds();
            for i in 0..=50 {
                let p = s.at(f64::from(i) / 50.0);
                assert!(
                    p.x >= low.x - 1e-12
                        && p.x <= high.x + 1e-12
                        && p.y >= low.y - 1e-12
                        && p.y <= high.y + 1e-12
                );
            }
        }
        assert_eq!(all()[2].bounds().0.y, -1.0);
    }

    #[test]
    fn the_nearest_point_is_the_nearest_of_many() {
        for s in all() {
            for k in 0..40 {
                let p = Vec2::at_angle(f64::from(k)) * (0.2 * f64::from(k));
                let (found, _) = s.nearest(p);
                let tried =
                    (0..=2000).map(|i| (s.at(f64::from(i) / 2000.0) - p).norm()).fold(f64::MAX, f64::min);
                assert!(found <= tried + 1e-9 && found >= tried - 1e-2, "{s:?} {p:?} {found} {tried}");
            }
        }
    }

    #[test]
    fn arcs_told_by_cubics_stay_on_their_circle() {
        for s in all() {
            for c in s.cubics() {
                if let Some(r) = s.round() {
                    assert!(
                        (0..=10)
                            .all(|i| ((c.at(f64::from(i) / 10.0) - r.centre).norm() - r.radius).abs() < 4e-7)
                    );
                }
            }
        }
    }
}
