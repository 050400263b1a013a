//! Corners of polylines: rounded off, or turned when a section is carried round them.
//!
//! On either side of the plane that halves a corner the section goes straight on; the axes of the section are mirrored
//! in that plane, so that both sides meet in it exactly. Where corners are round, the section turns about the corner
//! outside it. Source: elementary.

use std::sync::Arc;

use super::carry::{self, Extent, What};
use super::fault::{FormFault, positive, unfit};
use super::spline::Spline;
use super::stand::{Corner, Stand};
use super::sweep::{Carried, Route, Swept};
use super::{Curve, Solid, Strand};
use crate::base::{Box3, Interval, Vec2, Vec3};
use crate::formula::Expr;

/// How a section goes round the corners of a path.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Joints {
    /// Both sides meet in the plane that halves the corner.
    #[default]
    Mitre,
    /// Outside the corner the section turns about it.
    Round,
}

/// Half the angle that a path may turn by at a corner, radians.
const SHARPEST: f64 = 1.4;
/// Most corners of a path that is mitred.
const MOST: usize = 2000;
/// A path is straight between corners when it is off by less than this part of its extent.
const STRAIGHT: f64 = 1e-7;
/// The largest angle that one cubic stands for, radians: it is off the arc by less than 1e-6 of the radius.
const ARC: f64 = std::f64::consts::FRAC_PI_4;

/// The corners of a path along straight lines, and whether it closes (the first is not repeated).
fn corners(strand: &Strand) -> Result<(Vec<Vec3>, bool), FormFault> {
    let places = strand.places();
    let breaks = strand.breaks();
    let points: Vec<Vec3> = breaks.iter().map(|t| places.at(*t)).collect();
    let extent = Box3::around(points.iter().copied()).size().largest();
    for w in breaks.windows(2) {
        let (a, b) = (places.at(w[0]), places.at(w[1]));
        for s in [0.3, 0.7] {
            let m = places.at(w[0] + (w[1] - w[0]) * s);
            let way = b - a;
            let off = (m - a) - way * ((m - a).dot(way) / way.dot(way).max(f64::MIN_POSITIVE));
            if !(off.norm() <= STRAIGHT * extent) {
                let [x, y, z] = a.array();
                let why = format!(
                    "has corners between bent stretches, as at [{x:.2}, {y:.2}, {z:.2}]: only those of polylines can be turned"
                );
                return Err(unfit("path", why));
            }
        }
    }
    let closed = strand.is_closed();
    let mut points = points;
    if closed {
        points.pop();
    }
    // Points on a straight stretch are no corners.
    let n = points.len();
    let keep = |i: usize| {
        if !closed && (i == 0 || i + 1 == n) {
            return true;
        }
        let (a, b) = (points[i] - points[(i + n - 1) % n], points[(i + 1) % n] - points[i]);
        a.unit().zip(b.unit()).is_none_or(|(a, b)| (a - b).norm() > 1e-9)
    };
    let kept: Vec<Vec3> = (0..n).filter(|i| keep(*i)).map(|i| points[i]).collect();
    Ok((kept, closed))
}

/// The polyline with its corners rounded off by arcs of a radius, mm.
///
/// # Errors
/// [`FormFault::Unfit`] for a curve that is no polyline, a corner that turns back on itself, or a radius that a corner
/// has no room for.
pub fn rounded(path: &Curve, radius: f64) -> Result<Curve, FormFault> {
    positive("radius", radius)?;
    let strands = path.strands().iter().map(|s| rounded_strand(s, radius));
    Curve::of(strands.collect::<Result<Vec<_>, _>>()?)
}

fn rounded_strand(strand: &Strand, radius: f64) -> Result<Strand, FormFault> {
    if strand.breaks().len() < 2 {
        return Err(unfit("path", "is no polyline: it has no corners to round"));
    }
    let (points, closed) = corners(strand)?;
    let n = points.len();
    let last = if closed { n } else { n - 1 };
    let ways: Vec<Vec3> = (0..last).map(|i| points[(i + 1) % n] - points[i]).collect();
    // How far before and after each corner its arc reaches.
    let mut reach = vec![0.0; n];
    let inner = if closed { 0..n } else { 1..n - 1 };
    let mut arcs: Vec<Option<(Vec3, Vec3, f64)>> = vec![None; n];
    for i in inner {
        let (a, b) = (ways[(i + last - 1) % last], ways[i]);
        let (Some(a), Some(b)) = (a.unit(), b.unit()) else { continue };
        let angle = libm::atan2(a.cross(b).norm(), a.dot(b));
        if std::f64::consts::PI - angle < 1e-3 {
            return Err(no_room("turns back on itself", points[i], ""));
        }
        reach[i] = radius * libm::tan(0.5 * angle);
        arcs[i] = Some((a, b, angle));
    }
    for (i, way) in ways.iter().enumerate() {
        let (j, long) = ((i + 1) % n, way.norm());
        if reach[i] + reach[j] > long * (1.0 + 1e-12) {
            let most = radius * long / (reach[i] + reach[j]);
            let why = format!("; between it and the next {most:.3} mm can be");
            return Err(no_room("has no room for that radius", points[i], &why));
        }
    }
    let mut pieces: Vec<([Vec3; 4], f64)> = Vec::new();
    for (i, way) in ways.iter().enumerate() {
        let (j, unit) = ((i + 1) % n, way.unit().unwrap_or(Vec3::ZERO));
        let (from, to) = (points[i] + unit * reach[i], points[j] - unit * reach[j]);
        let long = (to - from).norm();
        if long > 1e-9 * way.norm() {
            let third = (to - from) / 3.0;
            pieces.push(([from, from + third, to - third, to], long));
        }
        if let Some((a, b, angle)) = arcs[j] {
            arc(&mut pieces, to, (a, b), angle, radius);
        }
    }
    if closed && let Some(last) = pieces.len().checked_sub(1) {
        pieces[last].0[3] = pieces[0].0[0];
    }
    Ok(Spline::pieced(&pieces).into())
}

fn no_room(what: &str, at: Vec3, more: &str) -> FormFault {
    let [x, y, z] = at.array();
    unfit("path", format!("{what} at the corner [{x:.2}, {y:.2}, {z:.2}]{more}"))
}

/// Adds an arc that leaves `from` along `a` and ends along `b`, as cubics.
/// Source: M. Goldapp, Computer Aided Geometric Design 8 (1991) 227.
fn arc(pieces: &mut Vec<([Vec3; 4], f64)>, from: Vec3, (a, b): (Vec3, Vec3), angle: f64, radius: f64) {
    // Toward the centre, square to the way.
    let Some(inward) = (b - a * b.dot(a)).unit() else { return };
    let centre = from + inward * radius;
    let count = libm::ceil(angle / ARC).max(1.0) as usize;
    let each = angle / count as f64;
    let pull = 4.0 / 3.0 * libm::tan(each / 4.0) * radius;
    let at = |k: usize| {
        let (s, c) = (libm::sin(each * k as f64), libm::cos(each * k as f64));
        (centre + (a * s - inward * c) * radius, a * c + inward * s)
    };
    for k in 0..count {
        let ((p, u), (q, v)) = (at(k), at(k + 1));
        pieces.push(([p, p + u * pull, q - v * pull, q], radius * each));
    }
}

/// The solid that a section, with the box that holds it, sweeps along a polyline, round its corners. `fits` tells whether the section turned by an
/// angle is itself.
///
/// # Errors
/// [`FormFault::Unfit`] when a corner is too sharp, a stretch too short or another stretch too near for the section, when
/// it comes home turned, or for turns.
pub(super) fn mitred(
    strand: &Strand,
    (section, outline): (&Expr, Box3),
    Extent { reach, thin }: Extent,
    how: Carried,
    fits: &dyn Fn(f64) -> bool,
) -> Result<Solid, FormFault> {
    if how.turns != 0.0 {
        return Err(unfit("turns", "cannot be taken round corners: round them first, with `rounded`"));
    }
    let (points, closed) = corners(strand)?;
    if points.len() > MOST {
        return Err(unfit("path", format!("has {} corners; {MOST} can be mitred", points.len())));
    }
    let way = Arc::new(Way::new(points, closed, reach, how, fits)?);
    let along = |[x, y, _]: [Expr; 3]| section.with(&[("x", x), ("y", y)]);
    let (value, region) = carry::carried(&way, along, thin, how.caps);
    let route = Route::Straight(way.stands());
    let section = section.clone();
    Ok(Solid::Swept(Arc::new(Swept {
        route,
        closed,
        reach,
        section,
        outline,
        changes: vec![],
        caps: how.caps,
        value,
        within: region,
    })))
}

/// How a disc stands along a polyline, turning about its corners, whatever room there is; `None` for every other curve and for corners
/// too sharp to be turned.
pub fn turning(strand: &Strand) -> Option<Vec<Corner>> {
    let way = straight(strand)?;
    way.halves().iter().all(|half| *half <= SHARPEST).then(|| way.stands())
}

/// A corner of a polyline at which a tube of a radius, mm, is one with itself beyond the next: inside a corner both its sides are one as far
/// along as the radius times the tangent of half the angle by which it turns, and two corners may take more than lies between them.
pub fn crowded(curve: &Curve, radius: f64) -> Option<Vec3> {
    let at = |strand: &Strand| {
        let way = straight(strand)?;
        let taken: Vec<f64> = way.halves().into_iter().map(|half| radius * libm::tan(half)).collect();
        way.crowded(&taken).map(|i| way.points[i])
    };
    curve.strands().iter().find_map(at)
}

fn straight(strand: &Strand) -> Option<Way> {
    let (points, closed) = corners(strand).ok()?;
    let how = Carried { corners: Joints::Round, ..Carried::default() };
    if points.len() < 2 || points.len() > MOST {
        None
    } else {
        Way::plain(points, closed, how, &|_| true).ok()
    }
}

/// A polyline with frames along its stretches.
#[derive(Debug)]
struct Way {
    points: Vec<Vec3>,
    closed: bool,
    /// Direction, section's axes and length of each stretch; a closed path has the axes with which it comes home besides.
    on: Vec<Vec3>,
    x: Vec<Vec3>,
    y: Vec<Vec3>,
    long: Vec<f64>,
    /// How much of the stretches beside it each corner takes, mm.
    taken: Vec<f64>,
    /// Length gone at the start of each stretch.
    gone: Vec<f64>,
    /// How far away coordinates are used, mm.
    cut: f64,
    corners: Joints,
}

impl Way {
    /// A way with room for a section that reaches so far, mm.
    fn new(
        points: Vec<Vec3>,
        closed: bool,
        reach: f64,
        how: Carried,
        fits: &dyn Fn(f64) -> bool,
    ) -> Result<Self, FormFault> {
        let mut made = Self::plain(points, closed, how, fits)?;
        made.take(reach)?;
        made.cut = made.room(reach)?;
        Ok(made)
    }

    fn plain(
        points: Vec<Vec3>,
        closed: bool,
        how: Carried,
        fits: &dyn Fn(f64) -> bool,
    ) -> Result<Self, FormFault> {
        let n = points.len();
        let count = if closed { n } else { n - 1 };
        let ways: Vec<Vec3> = (0..count).map(|i| points[(i + 1) % n] - points[i]).collect();
        let on: Vec<Vec3> = ways.iter().filter_map(|w| w.unit()).collect();
        let long: Vec<f64> = ways.iter().map(|w| w.norm()).collect();
        let up = [Vec3::new(0.0, 0.0, 1.0), Vec3::new(0.0, 1.0, 0.0)]
            .into_iter()
            .find(|z| z.dot(on[0]).abs() < 0.99)
            .unwrap_or(Vec3::new(0.0, 1.0, 0.0));
        let up = (up - on[0] * up.dot(on[0])).unit().unwrap_or(up);
        let (s, c) = (libm::sin(how.angle.to_radians()), libm::cos(how.angle.to_radians()));
        let across = up.cross(on[0]);
        let (mut x, mut y) = (vec![across * c + up * s], vec![up * c - across * s]);
        let mirrored = |v: Vec3, a: Vec3, b: Vec3| {
            let m = (a + b).unit().unwrap_or(a);
            v - m * (2.0 * v.dot(m))
        };
        for k in 1..count + usize::from(closed) {
            let (a, b) = (on[k - 1], on[k % count]);
            x.push(mirrored(x[k - 1], a, b));
            y.push(mirrored(y[k - 1], a, b));
        }
        if closed {
            let left = libm::atan2(x[count].dot(y[0]), x[count].dot(x[0]));
            if left.abs() > 1e-9 && !fits(left) {
                let why = format!(
                    "comes home turned by {:.2} degrees after its corners: round them first, with `rounded`",
                    left.to_degrees()
                );
                return Err(unfit("path", why));
            }
        }
        let gone = long.iter().scan(0.0, |sum, l| Some(std::mem::replace(sum, *sum + l))).collect();
        let taken = vec![0.0; n];
        Ok(Self { points, closed, on, x, y, long, taken, gone, cut: 0.0, corners: how.corners })
    }

    /// How the section stands at both ends and the corners between. A closed path starts on its first stretch, in the middle
    /// of what its corners leave.
    fn stands(&self) -> Vec<Corner> {
        let (n, count) = (self.points.len(), self.on.len());
        let plain = |place: Vec3, k: usize| {
            let on = self.on[k.min(count - 1)];
            Corner { stand: Stand { place, x: self.x[k], y: self.y[k], on }, turn: None }
        };
        if !self.closed {
            let corners = (1..count).map(|k| self.corner(k));
            return [plain(self.points[0], 0)]
                .into_iter()
                .chain(corners)
                .chain([plain(self.points[n - 1], count - 1)])
                .collect();
        }
        let start = self.points[0] + self.on[0] * (0.5 * (self.long[0] + self.taken[0] - self.taken[1]));
        let mut home = plain(start, count);
        home.stand.on = self.on[0];
        [plain(start, 0)].into_iter().chain((1..=count).map(|k| self.corner(k))).chain([home]).collect()
    }

    /// How the section stands at the corner after stretch `k - 1`, in the plane that halves it, and turns outside it if corners
    /// are round.
    fn corner(&self, k: usize) -> Corner {
        let (a, b) = (self.on[k - 1], self.on[k % self.on.len()]);
        let (x, y) = (self.x[k - 1], self.y[k - 1]);
        let slid = |axis: Vec3| axis - a * (axis.dot(a + b) / a.dot(a + b));
        let place = self.points[k % self.points.len()];
        let turn = a.cross(b).unit().filter(|_| self.corners == Joints::Round).map(|axis| {
            let outward = a.cross(axis);
            let angle = libm::atan2(a.cross(b).norm(), a.dot(b));
            Stand { place, x, y, on: a }.turned(Vec2::new(x.dot(outward), y.dot(outward)), angle)
        });
        Corner { stand: Stand { place, x: slid(x), y: slid(y), on: a }, turn }
    }

    /// Half the angle by which the path turns at each corner, radians; 0 at its ends.
    fn halves(&self) -> Vec<f64> {
        let (n, count) = (self.points.len(), self.on.len());
        let half = |i: usize| {
            if !self.closed && (i == 0 || i + 1 == n) {
                return 0.0;
            }
            let (a, b) = (self.on[(i + count - 1) % count], self.on[i]);
            0.5 * libm::atan2(a.cross(b).norm(), a.dot(b))
        };
        (0..n).map(half).collect()
    }

    /// The first stretch of which its corners take more than it is long.
    fn crowded(&self, taken: &[f64]) -> Option<usize> {
        (0..self.on.len()).find(|i| taken[*i] + taken[(i + 1) % self.points.len()] > self.long[*i])
    }

    /// Finds how much of the stretches each corner takes.
    fn take(&mut self, reach: f64) -> Result<(), FormFault> {
        let halves = self.halves();
        if let Some(i) = halves.iter().position(|half| *half > SHARPEST) {
            return Err(no_room("is too sharp to be turned", self.points[i], ""));
        }
        self.taken = halves.into_iter().map(|half| reach * libm::tan(half)).collect();
        match self.crowded(&self.taken) {
            None => Ok(()),
            Some(i) => {
                let why = format!("; the stretch after it is {:.3} mm long", self.long[i]);
                Err(no_room("has no room for the section", self.points[i], &why))
            }
        }
    }

    /// How far away coordinates may be used: past the tips of the mitres, before another stretch is nearer.
    fn room(&self, reach: f64) -> Result<f64, FormFault> {
        let count = self.on.len();
        let most = self.taken.iter().copied().fold(0.0, f64::max);
        let tip = if self.corners == Joints::Mitre { libm::hypot(reach, most) } else { reach };
        let mut near = f64::INFINITY;
        for i in 0..count {
            for j in i + 2..count {
                if self.closed && i == 0 && j == count - 1 {
                    continue;
                }
                let d = self.apart(i, j);
                if d < near {
                    near = d;
                    if 0.5 * near <= tip * 1.001 {
                        let why = format!("; another stretch passes {near:.3} mm away");
                        return Err(no_room("has no room for the section", self.points[i], &why));
                    }
                }
            }
        }
        Ok(0.5 * (tip + (0.5 * near).min(2.0 * tip)))
    }

    /// The distance of two stretches.
    /// Source: C. Ericson, Real-Time Collision Detection (2005), section 5.1.9.
    fn apart(&self, i: usize, j: usize) -> f64 {
        let (p, q) = (self.points[i], self.points[j]);
        let (u, v, r) = (self.on[i], self.on[j], p - q);
        let (b, c, f) = (u.dot(v), u.dot(r), v.dot(r));
        let det = 1.0 - b * b;
        let s = if det > 1e-12 { ((b * f - c) / det).clamp(0.0, self.long[i]) } else { 0.0 };
        let t = (b * s + f).clamp(0.0, self.long[j]);
        let s = (b * t - c).clamp(0.0, self.long[i]);
        (p + u * s - q - v * t).norm()
    }

    /// Where a point lies about a corner whose outside it is on: across the corner and along the axis that the path
    /// turns about, each with its direction; and how far that is from the stretch before it.
    fn about(&self, k: usize, p: Vec3) -> Option<[(f64, Vec3, Vec3); 2]> {
        let count = self.on.len();
        let (before, corner) = match (p - self.points[k]).dot(self.on[k]) > 0.5 * self.long[k] {
            true => (k, (k + 1) % self.points.len()),
            false => ((k + count - 1) % count, k),
        };
        if !self.closed && (corner == 0 || corner + 1 == self.points.len()) {
            return None;
        }
        let (a, b) = (self.on[before], self.on[(before + 1) % count]);
        let off = p - self.points[corner];
        let axis = a.cross(b).unit()?;
        if !(off.dot(a) > 0.0 && off.dot(b) < 0.0) {
            return None;
        }
        let up = off.dot(axis);
        let out = off - axis * up;
        // Directions as the stretch looks at them.
        let outward = if before == k { a.cross(axis) } else { b.cross(axis) };
        Some([(out.norm(), out.unit()?, outward), (up, axis, axis)])
    }

    /// The stretch that a point belongs to, and its distance from the path.
    fn stretch(&self, p: Vec3) -> (usize, f64, Vec3) {
        let count = self.on.len();
        let mut best = (0, f64::INFINITY, p);
        for k in 0..count {
            let along = (p - self.points[k]).dot(self.on[k]).clamp(0.0, self.long[k]);
            let foot = self.points[k] + self.on[k] * along;
            let d = (p - foot).norm();
            if d < best.1 * (1.0 - 1e-12) {
                best = (k, d, foot);
            }
        }
        // Outside a corner both its stretches are as near: the plane that halves it decides.
        let (mut k, d, foot) = best;
        let next = if k + 1 < count { Some(k + 1) } else { self.closed.then_some(0) };
        let before = if k > 0 { Some(k - 1) } else { self.closed.then(|| count - 1) };
        let along = (p - self.points[k]).dot(self.on[k]);
        let beyond = |a: usize, b: usize| (p - self.points[b]).dot(self.on[a] + self.on[b]) > 0.0;
        if let Some(next) = next.filter(|_| along > 0.5 * self.long[k]) {
            if beyond(k, next) {
                k = next;
            }
        } else if let Some(before) = before.filter(|_| along <= 0.5 * self.long[k])
            && !beyond(before, k)
        {
            k = before;
        }
        (k, d, foot)
    }
}

impl Way {
    fn length(&self) -> f64 {
        let last = self.on.len() - 1;
        self.gone[last] + self.long[last]
    }

    /// A coordinate along one of the section's axes.
    fn coordinate(&self, k: usize, axis: Vec3, p: Vec3) -> (f64, Vec3) {
        let about = if self.corners == Joints::Round { self.about(k, p) } else { None };
        match about {
            Some(parts) => parts.iter().fold((0.0, Vec3::ZERO), |(value, slope), (far, way, seen)| {
                let share = axis.dot(*seen);
                (value + share * far, slope + *way * share)
            }),
            None => ((p - self.points[k]).dot(axis), axis),
        }
    }
}

impl carry::Way for Way {
    fn read(&self, what: What, p: Vec3) -> (f64, Vec3) {
        let (k, away, foot) = self.stretch(p);
        let gone = || self.gone[k] + (p - self.points[k]).dot(self.on[k]);
        match what {
            What::Across => self.coordinate(k, self.x[k], p),
            What::Up => self.coordinate(k, self.y[k], p),
            What::Away => (away, (p - foot).unit().unwrap_or(Vec3::new(0.0, 0.0, 1.0))),
            What::Along => (gone() / self.length(), self.on[k] / self.length()),
            What::Beyond if gone() < 0.5 * self.length() => (-gone(), -self.on[k]),
            What::Beyond => (gone() - self.length(), self.on[k]),
        }
    }

    fn bounds(&self, what: What, region: Box3) -> Interval {
        let centre = region.centre();
        let (value, _) = self.read(what, centre);
        let (k, away, _) = self.stretch(centre);
        let half = region.size().norm() * 0.5 * (1.0 + 1e-9) + 1e-9 * away;
        match what {
            What::Away => Interval::new((value - half).max(0.0), value + half),
            // Across a corner the length gone leaps by what the mitre takes.
            What::Along => Interval::new(0.0, 1.0),
            What::Beyond => {
                let leap = if self.on.len() > 1 { 2.0 * (away + half) } else { 0.0 };
                let ends = k == 0 || k + 1 == self.on.len();
                let near = value > -0.25 * self.long[k].min(self.long[0]);
                let leap = if ends && near { 0.0 } else { leap };
                Interval::new(value - half - leap, value + half + leap)
            }
            _ if away + half < self.cut => Interval::new(value - half, value + half),
            _ => Interval::new(-(away + half), away + half),
        }
    }

    fn steepest(&self, what: What) -> f64 {
        if what == What::Along { 1.0 / self.length() } else { 1.0 }
    }

    fn is_closed(&self) -> bool {
        self.closed
    }

    fn cut(&self) -> f64 {
        self.cut
    }

    fn region(&self) -> Box3 {
        Box3::around(self.points.iter().copied())
    }
}

#[cfg(test)]
mod tests;
