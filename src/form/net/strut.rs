//! One strut: the hull of two balls, or a tube along an arc of a circle; its distance from any place. Lengths are mm.

use crate::base::{Box3, Vec3};

/// A strut: two ends with radii, mm. It is the hull of the balls about its ends, and holds those between.
#[derive(Clone, Copy, Debug)]
pub(super) struct Strut {
    pub(super) ends: [Vec3; 2],
    pub(super) radii: [f64; 2],
    /// The edge of the net that it is a piece of: pieces of one edge run on into one another.
    pub(super) edge: usize,
    /// Direction of the axis, and its length, mm.
    axis: Vec3,
    long: f64,
    /// How fast the radius grows along the axis, and that over how fast the cone's skin goes along it.
    slope: f64,
    lean: f64,
    /// The circle that it follows, when it is bent.
    pub(super) bend: Option<Bend>,
}

/// An arc of a circle, at most half of one, with a radius of the tube that is a straight function of the place. Directions in
/// its plane are told by cosine and sine from the arc's middle.
#[derive(Clone, Copy, Debug)]
pub(super) struct Bend {
    pub(super) centre: Vec3,
    /// From the centre to the arc's middle, and square to it toward its end.
    pub(super) axes: [Vec3; 2],
    pub(super) radius: f64,
    /// Cosine and sine of half the angle that it spans.
    pub(super) half: [f64; 2],
    /// The tube's radius: a number, and what it gains with the cosine and the sine.
    pub(super) law: [f64; 3],
}

/// Newton's steps toward the place of an arc that a point is nearest to.
const STEPS: usize = 4;

impl Bend {
    /// How far the arc rises over its chord.
    fn rise(&self) -> f64 {
        self.radius * (1.0 - self.half[0])
    }

    /// The distance is nowhere further than this from that of the straight strut between the ends: each place of the arc is
    /// matched by the chord's square below it, where the radius differs by as much of the part with the cosine.
    fn strays(&self) -> f64 {
        (self.radius + self.law[1].abs()) * (1.0 - self.half[0]) * (1.0 + 1e-9)
    }

    /// The direction turned back to the arc where it lies beyond its ends.
    fn held(&self, [c, s]: [f64; 2]) -> [f64; 2] {
        let [cos, sin] = self.half;
        if c >= cos { [c, s] } else { [cos, if s < 0.0 { -sin } else { sin }] }
    }

    /// The signed distance, and the point of the arc it is measured from: the least of |p - q| - r(q) over the arc. Where the
    /// tube is as thick all along, that is the direction of p itself.
    pub(super) fn distance(&self, p: Vec3) -> (f64, Vec3) {
        let d = p - self.centre;
        let [x, y] = self.axes.map(|a| d.dot(a));
        let flat = (x * x + y * y).sqrt();
        let all = d.dot(d) + self.radius * self.radius;
        let [base, by_cos, by_sin] = self.law;
        let mut at = self.held(if flat > 0.0 { [x / flat, y / flat] } else { [1.0, 0.0] });
        if by_cos != 0.0 || by_sin != 0.0 {
            for _ in 0..STEPS {
                let [c, s] = at;
                let far = (all - 2.0 * self.radius * (x * c + y * s)).max(1e-300).sqrt();
                let (across, along) =
                    (self.radius * (x * s - y * c) / far, self.radius * (x * c + y * s) / far);
                let first = across + by_cos * s - by_sin * c;
                let second = along - across * across / far + by_cos * c + by_sin * s;
                if !(second > 0.0) {
                    break;
                }
                let step = (first / second).clamp(-0.2, 0.2);
                let (c, s) = (c + s * step, s - c * step);
                let norm = (c * c + s * s).sqrt();
                at = self.held([c / norm, s / norm]);
            }
        }
        let [c, s] = at;
        let q = self.centre + (self.axes[0] * c + self.axes[1] * s) * self.radius;
        ((p - q).norm() - base - by_cos * c - by_sin * s, q)
    }
}

impl Strut {
    pub(super) fn new(ends: [Vec3; 2], radii: [f64; 2], edge: usize) -> Self {
        let way = ends[1] - ends[0];
        let (mut ends, mut radii, mut long) = (ends, radii, way.norm());
        if !(long > (radii[1] - radii[0]).abs()) {
            // One ball holds the other.
            let greater = usize::from(radii[1] > radii[0]);
            (ends, radii, long) = ([ends[greater]; 2], [radii[greater]; 2], 0.0);
        }
        let slope = if long > 0.0 { (radii[1] - radii[0]) / long } else { 0.0 };
        let axis = if long > 0.0 { way / long } else { Vec3::ZERO };
        Self { ends, radii, edge, axis, long, slope, lean: slope / (1.0 - slope * slope).sqrt(), bend: None }
    }

    pub(super) fn bent(bend: Bend, edge: usize) -> Self {
        let [cos, sin] = bend.half;
        let [base, by_cos, by_sin] = bend.law;
        let ends = [-sin, sin].map(|s| bend.centre + (bend.axes[0] * cos + bend.axes[1] * s) * bend.radius);
        let radii = [-sin, sin].map(|s| base + by_cos * cos + by_sin * s);
        Self { bend: Some(bend), ..Self::new(ends, radii, edge) }
    }

    /// A box that holds it.
    pub(super) fn region(&self) -> Box3 {
        let [a, b] = self.ends;
        let ball = |c: Vec3, r: f64| Box3::new(c - Vec3::splat(r), c + Vec3::splat(r));
        let straight = ball(a, self.radii[0]).join(ball(b, self.radii[1]));
        match &self.bend {
            None => straight,
            Some(bend) => Box3::around(self.ends).grown(bend.rise() + self.thickest()),
        }
    }

    /// The signed distance, and how far along the axis it is measured from: the least of |p - q(s)| - r(s) over the axis,
    /// which lies where the cone through both circles of touch is met square.
    #[inline(always)]
    pub(super) fn along(&self, p: Vec3) -> (f64, f64) {
        let d = p - self.ends[0];
        let along = d.dot(self.axis);
        let across = d - self.axis * along;
        let off = across.dot(across);
        let s = along + off.sqrt() * self.lean;
        let s = if s > 0.0 { s } else { 0.0 };
        let s = if s < self.long { s } else { self.long };
        let back = along - s;
        ((off + back * back).sqrt() - self.radii[0] - self.slope * s, s)
    }

    /// The signed distance, and the point of the axis it is measured from.
    pub(super) fn distance(&self, p: Vec3) -> (f64, Vec3) {
        if let Some(bend) = &self.bend {
            return bend.distance(p);
        }
        let (far, s) = self.along(p);
        (far, self.at(s))
    }

    /// The place of the axis, or of the chord, a length from the start.
    pub(super) fn at(&self, s: f64) -> Vec3 {
        self.ends[0] + self.axis * s
    }

    /// How far the distance of a bent strut may be from that of the straight one between its ends.
    pub(super) fn strays(&self) -> f64 {
        self.bend.as_ref().map_or(0.0, Bend::strays)
    }

    /// The lesser of the signed distance and a number.
    #[inline(always)]
    pub(super) fn nearer(&self, p: Vec3, than: f64) -> f64 {
        let straight = self.along(p).0;
        let far = match &self.bend {
            None => straight,
            Some(bend) if straight - bend.strays() < than => bend.distance(p).0,
            Some(_) => than,
        };
        if far < than { far } else { than }
    }

    pub(super) fn thickest(&self) -> f64 {
        match &self.bend {
            None => self.radii[0].max(self.radii[1]),
            // No less than at the middle, where the circle's own greatest may be.
            Some(Bend { law: [base, c, s], half, .. }) => {
                let grows = if *c > 0.0 { *c } else { *c * half[0] };
                base + grows + s.abs() * half[1]
            }
        }
    }

    /// True when the skins of two struts surely do not meet, or run on into one another.
    pub(super) fn is_apart(&self, other: &Self) -> bool {
        self.is_apart_by(other, 0.0)
    }

    /// The same of skins that stand out by no more than a length between them.
    pub(super) fn is_apart_by(&self, other: &Self, more: f64) -> bool {
        let rise = |s: &Self| s.bend.as_ref().map_or(0.0, Bend::rise);
        let reach = |s: &Self| s.thickest() + rise(s);
        self.edge == other.edge || between(self.ends, other.ends) > reach(self) + reach(other) + more
    }
}

/// The distance of two straight stretches.
///
/// Source: C. Ericson, Real-Time Collision Detection (2005), section 5.1.9.
fn between([a, b]: [Vec3; 2], [c, d]: [Vec3; 2]) -> f64 {
    let (u, v, w) = (b - a, d - c, a - c);
    let (uu, vv, uv, uw, vw) = (u.dot(u), v.dot(v), u.dot(v), u.dot(w), v.dot(w));
    let part = |over: f64, under: f64| if under > 0.0 { (over / under).clamp(0.0, 1.0) } else { 0.0 };
    let s = part(uv * vw - vv * uw, uu * vv - uv * uv);
    let t = part(uv * s + vw, vv);
    // The nearest place of the first to that of the second, which may have been held at an end.
    let s = part(uv * t - uw, uu);
    (w + u * s - v * t).norm()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn distances_are_the_least_of_many_balls() {
        let strut = Strut::new([Vec3::ZERO, Vec3::new(4.0, 0.0, 0.0)], [1.0, 2.0], 0);
        for i in 0..200 {
            let k = f64::from(i);
            let p = Vec3::new(5.0 * (k * 0.7).sin() + 2.0, 4.0 * (k * 1.3).cos(), 3.0 * (k * 0.37).sin());
            let ball = |s: f64| (p - Vec3::new(4.0 * s, 0.0, 0.0)).norm() - 1.0 - s;
            let tried = (0..=4000).map(|i| ball(f64::from(i) / 4000.0)).fold(f64::MAX, f64::min);
            let (found, _) = strut.distance(p);
            assert!(found <= tried + 1e-12 && found > tried - 1e-5, "{found} {tried}");
        }
    }

    #[test]
    fn distances_of_stretches() {
        let v = |x: f64, y: f64, z: f64| Vec3::new(x, y, z);
        for (a, b, want) in [
            ([v(-1.0, 0.0, 0.0), v(1.0, 0.0, 0.0)], [v(0.0, -1.0, 2.0), v(0.0, 1.0, 2.0)], 2.0),
            ([v(0.0, 0.0, 0.0), v(1.0, 0.0, 0.0)], [v(2.0, 0.0, 0.0), v(3.0, 0.0, 0.0)], 1.0),
            ([v(0.0, 0.0, 0.0), v(1.0, 0.0, 0.0)], [v(0.0, 3.0, 0.0), v(1.0, 3.0, 0.0)], 3.0),
            ([v(0.0, 0.0, 0.0), v(0.0, 0.0, 0.0)], [v(0.0, 3.0, 0.0), v(0.0, 5.0, 4.0)], 3.0),
        ] {
            assert!((between(a, b) - want).abs() < 1e-12 && (between(b, a) - want).abs() < 1e-12);
        }
    }
}
