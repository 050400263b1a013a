//! The solid of a net: round struts with balls where they meet, thicker or thinner along the way.

use std::sync::Arc;

use super::{Net, NetFault};
use crate::base::{Box3, Interval, Vec3};
use crate::form::fault::{not_negative, positive};
use crate::form::{Solid, xyz};
use crate::formula::{Expr, Oracle, Tape};

/// The name of an edge's length, mm, in a law of thickness.
pub const LONG: &str = "long";
/// A net that a projection makes thin is nowhere thinner than this part of its extent, unless something else is said.
const FINEST: f64 = 1.0 / 80.0;
/// Pieces of a straight edge whose thickness is told by a field.
const PIECES: usize = 8;
/// Struts that may matter in a box and are gone through one by one.
const FEW: usize = 64;

/// How thick struts are.
#[derive(Clone, Debug)]
pub enum Radius {
    /// Of this radius, mm.
    Same(f64),
    /// The value of a field in x, y, z along the strut, mm.
    Field(Expr),
    /// A function of the edge's length ([`LONG`]), mm.
    ByLength(Expr),
}

/// What the struts of a net are to be.
#[derive(Clone, Debug)]
pub struct Rods {
    /// How thick; times the net's own thickness at each place.
    pub radius: Radius,
    /// Radius of balls about the points, mm; where that is less than the struts', none are seen.
    pub joint: f64,
    /// No strut is thinner than this radius, mm; when not said, one that a projection makes thin is nowhere thinner than an
    /// 80th of the net's extent, or than it is at its thickest.
    pub least: Option<f64>,
}

/// A strut: two ends with radii, mm. It is the hull of the balls about its ends, and holds those between.
#[derive(Clone, Copy, Debug)]
struct Strut {
    ends: [Vec3; 2],
    radii: [f64; 2],
    /// The edge of the net that it is a piece of: pieces of one edge run on into one another.
    edge: usize,
    /// Direction of the axis, and its length, mm.
    axis: Vec3,
    long: f64,
    /// How fast the radius grows along the axis, and that over how fast the cone's skin goes along it.
    slope: f64,
    lean: f64,
}

impl Strut {
    fn new(ends: [Vec3; 2], radii: [f64; 2], edge: usize) -> Self {
        let way = ends[1] - ends[0];
        let (mut ends, mut radii, mut long) = (ends, radii, way.norm());
        if !(long > (radii[1] - radii[0]).abs()) {
            // One ball holds the other.
            let greater = usize::from(radii[1] > radii[0]);
            (ends, radii, long) = ([ends[greater]; 2], [radii[greater]; 2], 0.0);
        }
        let slope = if long > 0.0 { (radii[1] - radii[0]) / long } else { 0.0 };
        let axis = if long > 0.0 { way / long } else { Vec3::ZERO };
        Self { ends, radii, edge, axis, long, slope, lean: slope / (1.0 - slope * slope).sqrt() }
    }

    fn region(&self) -> Box3 {
        let [a, b] = self.ends;
        let ball = |c: Vec3, r: f64| Box3::new(c - Vec3::splat(r), c + Vec3::splat(r));
        ball(a, self.radii[0]).join(ball(b, self.radii[1]))
    }

    /// The signed distance, and how far along the axis it is measured from: the least of |p - q(s)| - r(s) over the axis,
    /// which lies where the cone through both circles of touch is met square.
    #[inline(always)]
    fn along(&self, p: Vec3) -> (f64, f64) {
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
    fn distance(&self, p: Vec3) -> (f64, Vec3) {
        let (far, s) = self.along(p);
        (far, self.ends[0] + self.axis * s)
    }

    fn thickest(&self) -> f64 {
        self.radii[0].max(self.radii[1])
    }

    /// True when the skins of two struts surely do not meet, or run on into one another.
    fn is_apart(&self, other: &Self) -> bool {
        self.edge == other.edge || between(self.ends, other.ends) > self.thickest() + other.thickest()
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

#[derive(Debug)]
struct Node {
    region: Box3,
    holds: Holds,
}

#[derive(Debug)]
enum Holds {
    Strut(usize),
    Two(usize, usize),
}

/// The distance to the nearest of many struts, found through a tree of boxes.
#[derive(Debug)]
struct Frame {
    struts: Vec<Strut>,
    nodes: Vec<Node>,
    thinnest: f64,
}

impl Frame {
    fn new(struts: Vec<Strut>, thinnest: f64) -> Self {
        let mut order: Vec<usize> = (0..struts.len()).collect();
        let mut nodes = Vec::with_capacity(2 * struts.len());
        grow(&struts, &mut order, &mut nodes);
        Self { struts, nodes, thinnest }
    }

    fn nearest(&self, p: Vec3) -> (f64, Vec3) {
        let gap = |n: &Node| (p.max(n.region.min).min(n.region.max) - p).norm();
        let mut best = (f64::INFINITY, p);
        let mut stack = vec![0];
        while let Some(i) = stack.pop() {
            let node = &self.nodes[i];
            let far = gap(node);
            // Inside a box the distance may be anything down to its strut's radius below zero.
            if far > 0.0 && far >= best.0 {
                continue;
            }
            match node.holds {
                Holds::Strut(k) => {
                    let found = self.struts[k].distance(p);
                    if found.0 < best.0 {
                        best = found;
                    }
                }
                Holds::Two(a, b) => {
                    let nearer_last = gap(&self.nodes[a]) > gap(&self.nodes[b]);
                    stack.extend(if nearer_last { [a, b] } else { [b, a] });
                }
            }
        }
        best
    }

    /// The struts that may be the nearest one somewhere in a box, in order; `None` when they are many.
    fn few(&self, region: Box3) -> Option<Vec<Strut>> {
        let p = region.centre();
        let reach = within_reach(self.nearest(p).0, region.size().norm() * 0.5);
        let mut found = Vec::new();
        let mut stack = vec![0];
        while let Some(i) = stack.pop() {
            let node = &self.nodes[i];
            let gap = (p.max(node.region.min).min(node.region.max) - p).norm();
            // Inside a box the distance may be anything below zero.
            if gap > 0.0 && gap > reach {
                continue;
            }
            match node.holds {
                Holds::Strut(k) if self.struts[k].distance(p).0 <= reach => {
                    if found.len() == FEW {
                        return None;
                    }
                    found.push(k);
                }
                Holds::Strut(_) => {}
                Holds::Two(a, b) => stack.extend([a, b]),
            }
        }
        found.sort_unstable();
        Some(not_beaten(found.into_iter().map(|k| self.struts[k]).collect(), region))
    }
}

/// What is known of a strut's distance in a box: its values at the corners, and values there that it does not fall below
/// when it is taken as straight from the middle on. The distance of a hull of balls is convex.
struct Corners {
    values: [f64; 8],
    least: [f64; 8],
}

impl Corners {
    fn of(strut: &Strut, region: Box3) -> Self {
        let (p, corners) = (region.centre(), region.corners());
        let (far, from) = strut.distance(p);
        let values = corners.map(|q| strut.along(q).0);
        let slack = 1e-9 * (far.abs() + region.size().norm());
        // On the axis itself there is no slope.
        let least = match (p - from).unit() {
            Some(slope) => corners.map(|q| far + slope.dot(q - p) - slack),
            None => [f64::NEG_INFINITY; 8],
        };
        Self { values, least }
    }

    /// True when this one is surely nearer everywhere in the box.
    fn beats(&self, other: &Self) -> bool {
        self.values.iter().zip(&other.least).all(|(a, b)| a < b)
    }
}

/// The struts of some that are not surely further than another one everywhere in a box. A convex distance less a straight
/// one is greatest in a corner.
fn not_beaten(mut struts: Vec<Strut>, region: Box3) -> Vec<Strut> {
    let known: Vec<Corners> = struts.iter().map(|s| Corners::of(s, region)).collect();
    let mut k = 0;
    struts.retain(|_| {
        k += 1;
        !known.iter().any(|other| other.beats(&known[k - 1]))
    });
    struts
}

/// The range in a box of the distance to the nearest of some struts.
fn range(struts: &[Strut], region: Box3) -> Interval {
    struts.iter().map(|s| Corners::of(s, region)).fold(
        Interval::new(f64::INFINITY, f64::INFINITY),
        |range, c| {
            let lo = c.least.into_iter().fold(f64::INFINITY, f64::min);
            let hi = c.values.into_iter().fold(f64::NEG_INFINITY, f64::max);
            Interval::new(range.lo.min(lo), range.hi.min(hi + 1e-9 * (hi.abs() + region.size().norm())))
        },
    )
}

/// What is nearest somewhere within `half` of a point is no further from it than this; `near` is the distance of the
/// nearest there.
fn within_reach(near: f64, half: f64) -> f64 {
    near + 2.0 * half + 1e-9 * (near.abs() + half)
}

fn grow(struts: &[Strut], order: &mut [usize], nodes: &mut Vec<Node>) -> usize {
    let here = nodes.len();
    let region = order.iter().fold(Box3::EMPTY, |b, i| b.join(struts[*i].region()));
    nodes.push(Node { region, holds: Holds::Strut(order[0]) });
    if order.len() > 1 {
        let size = region.size();
        let axis = (0..3).max_by(|a, b| size[*a].total_cmp(&size[*b])).unwrap_or(0);
        let middle = |i: &usize| struts[*i].region().centre()[axis];
        order.sort_by(|a, b| middle(a).total_cmp(&middle(b)).then(a.cmp(b)));
        let (a, b) = order.split_at_mut(order.len() / 2);
        let two = (grow(struts, a, nodes), grow(struts, b, nodes));
        nodes[here].holds = Holds::Two(two.0, two.1);
    }
    here
}

/// The range of a distance in a box, from that at its middle.
fn around(middle: f64, region: Box3) -> Interval {
    let half = region.size().norm() * 0.5;
    let slack = 1e-12 * (middle.abs() + half);
    Interval::new(middle - half - slack, middle + half + slack)
}

fn with_slope(p: Vec3, (far, from): (f64, Vec3)) -> (f64, Vec3) {
    (far, (p - from).unit().unwrap_or(Vec3::new(0.0, 0.0, 1.0)))
}

impl Oracle for Frame {
    fn sample(&self, p: Vec3) -> (f64, Vec3) {
        with_slope(p, self.nearest(p))
    }

    fn values(&self, [x, y, z]: [&[f64]; 3], out: &mut [f64]) {
        for (((x, y), z), far) in x.iter().zip(y).zip(z).zip(out) {
            *far = self.nearest(Vec3::new(*x, *y, *z)).0;
        }
    }

    fn bounds(&self, region: Box3) -> Interval {
        if !region.is_finite() {
            return Interval::new(f64::NEG_INFINITY, f64::INFINITY);
        }
        around(self.nearest(region.centre()).0, region)
    }

    fn steepest(&self) -> f64 {
        1.0
    }

    fn narrow(&self, region: Box3) -> Option<Arc<dyn Oracle>> {
        let struts = self.few(region)?;
        Some(Arc::new(Few { struts, thinnest: self.thinnest }))
    }

    fn pieces(&self, region: Box3) -> Option<Vec<Arc<dyn Oracle>>> {
        by_edge(self.few(region)?, self.thinnest)
    }

    fn is_smooth(&self, region: Box3) -> bool {
        self.few(region).is_some_and(|struts| no_creases(&struts))
    }

    fn thinnest(&self) -> f64 {
        self.thinnest
    }
}

/// The distance to the nearest of a few struts.
#[derive(Debug)]
struct Few {
    struts: Vec<Strut>,
    thinnest: f64,
}

impl Few {
    fn nearest(&self, p: Vec3) -> (f64, Vec3) {
        let mut best = (f64::INFINITY, p);
        for strut in &self.struts {
            let found = strut.distance(p);
            if found.0 < best.0 {
                best = found;
            }
        }
        best
    }

    /// The distances of many points, strut after strut.
    fn all(&self, [x, y, z]: [&[f64]; 3], out: &mut [f64]) {
        out.fill(f64::INFINITY);
        for strut in &self.struts {
            for (((x, y), z), least) in x.iter().zip(y).zip(z).zip(out.iter_mut()) {
                let far = strut.along(Vec3::new(*x, *y, *z)).0;
                *least = if far < *least { far } else { *least };
            }
        }
    }

    fn fewer(&self, region: Box3) -> Vec<Strut> {
        not_beaten(self.struts.clone(), region)
    }
}

/// Struts as one oracle for each edge that they are pieces of; `None` when there is only one.
fn by_edge(struts: Vec<Strut>, thinnest: f64) -> Option<Vec<Arc<dyn Oracle>>> {
    let mut edges: std::collections::BTreeMap<usize, Vec<Strut>> = std::collections::BTreeMap::new();
    struts.into_iter().for_each(|s| edges.entry(s.edge).or_default().push(s));
    let one = |struts| Arc::new(Few { struts, thinnest }) as Arc<dyn Oracle>;
    (edges.len() > 1).then(|| edges.into_values().map(one).collect())
}

/// True when no two of some struts meet in a crease.
fn no_creases(struts: &[Strut]) -> bool {
    (0..struts.len()).all(|i| struts[..i].iter().all(|s| s.is_apart(&struts[i])))
}

impl Oracle for Few {
    fn sample(&self, p: Vec3) -> (f64, Vec3) {
        with_slope(p, self.nearest(p))
    }

    fn values(&self, at: [&[f64]; 3], out: &mut [f64]) {
        self.all(at, out);
    }

    fn bounds(&self, region: Box3) -> Interval {
        let around = around(self.nearest(region.centre()).0, region);
        if region.is_finite() { around.meet(range(&self.struts, region)).unwrap_or(around) } else { around }
    }

    fn steepest(&self) -> f64 {
        1.0
    }

    fn narrow(&self, region: Box3) -> Option<Arc<dyn Oracle>> {
        let struts = self.fewer(region);
        (struts.len() < self.struts.len()).then(|| Arc::new(Self { struts, ..*self }) as Arc<dyn Oracle>)
    }

    fn pieces(&self, region: Box3) -> Option<Vec<Arc<dyn Oracle>>> {
        by_edge(self.fewer(region), self.thinnest)
    }

    fn is_smooth(&self, region: Box3) -> bool {
        no_creases(&self.fewer(region))
    }

    fn thinnest(&self) -> f64 {
        self.thinnest
    }
}

/// The places of an edge with the net's own thickness there, ends first and last; straight ones in `pieces`.
fn places(net: &Net, edge: &super::Edge, pieces: usize) -> Vec<(Vec3, f64)> {
    let [a, b] = edge.ends.map(|i| (net.points()[i], net.sizes()[i]));
    let mut row = vec![a];
    if edge.between.is_empty() {
        let part = |k: usize| k as f64 / pieces as f64;
        row.extend((1..pieces).map(|k| (a.0 + (b.0 - a.0) * part(k), a.1 + (b.1 - a.1) * part(k))));
    } else {
        row.extend(edge.between.iter().copied());
    }
    row.push(b);
    row
}

/// How thick a net is: the value of a law at a place or for a length.
struct Law<'a> {
    radius: &'a Radius,
    tape: Option<Tape>,
}

impl<'a> Law<'a> {
    fn new(radius: &'a Radius) -> Result<Self, NetFault> {
        let unfit = |f: crate::formula::TapeFault| NetFault::Unfit(f.to_string());
        let tape = match radius {
            Radius::Same(r) => {
                positive("radius", *r)?;
                None
            }
            Radius::Field(e) => Some(Tape::new(e).map_err(unfit)?),
            Radius::ByLength(e) => Some(Tape::with_inputs(std::slice::from_ref(e), &[LONG]).map_err(unfit)?),
        };
        Ok(Self { radius, tape })
    }

    fn at(&self, p: Vec3, long: f64) -> Result<f64, NetFault> {
        let mut out = [0.0];
        let (found, place) = match (self.radius, &self.tape) {
            (Radius::Field(_), Some(tape)) => {
                (tape.value(p), format!("at [{:.2}, {:.2}, {:.2}]", p.x, p.y, p.z))
            }
            (Radius::ByLength(_), Some(tape)) => {
                tape.at(&[long], &mut out);
                (out[0], format!("for a strut of {long:.2} mm"))
            }
            (Radius::Same(r), _) => (*r, String::new()),
            _ => (f64::NAN, String::new()),
        };
        if found > 0.0 && found.is_finite() {
            return Ok(found);
        }
        Err(NetFault::Unfit(format!("`radius` must be more than 0 mm, it is {found:.3} {place}")))
    }
}

/// The solid of every point within a radius of the net's edges.
///
/// # Errors
/// [`NetFault`].
pub fn struts(net: &Net, rods: &Rods) -> Result<Solid, NetFault> {
    not_negative("joint", rods.joint)?;
    let law = Law::new(&rods.radius)?;
    let pieces = if matches!(rods.radius, Radius::Field(_)) { PIECES } else { 1 };
    let mut all = Vec::new();
    for (k, edge) in net.edges().iter().enumerate() {
        let row = places(net, edge, pieces);
        let long = row.windows(2).map(|w| (w[1].0 - w[0].0).norm()).sum();
        let radii =
            row.iter().map(|(p, size)| Ok(size * law.at(*p, long)?)).collect::<Result<Vec<_>, NetFault>>()?;
        let piece = |i: usize| ([row[i].0, row[i + 1].0], [radii[i], radii[i + 1]], k);
        all.extend((0..row.len() - 1).map(piece));
    }
    if all.is_empty() {
        return Err(NetFault::Unfit("the net has no edges: reach further".into()));
    }
    let least = match rods.least {
        Some(least) => not_negative("least", least)?,
        None => unsaid(net, &all),
    };
    let mut all: Vec<Strut> =
        all.into_iter().map(|(ends, radii, k)| Strut::new(ends, radii.map(|r| r.max(least)), k)).collect();
    let thinnest = all.iter().flat_map(|s| s.radii).fold(f64::INFINITY, f64::min) * 2.0;
    if rods.joint > 0.0 {
        all.extend(net.points().iter().zip(net.sizes()).enumerate().map(|(k, (p, size))| {
            Strut::new([*p; 2], [(rods.joint * size).max(least); 2], net.edges().len() + k)
        }));
    }
    let frame = Frame::new(all, thinnest);
    let within = frame.nodes[0].region;
    Ok(Solid::Field { value: Expr::oracle(Arc::new(frame), xyz()), within })
}

/// The least radius where none is said.
fn unsaid(net: &Net, all: &[([Vec3; 2], [f64; 2], usize)]) -> f64 {
    if net.sizes().iter().all(|s| *s == 1.0) {
        return 0.0;
    }
    let extent = Box3::around(all.iter().flat_map(|s| s.0)).size().largest();
    let thickest = all.iter().flat_map(|s| s.1).fold(0.0, f64::max);
    thickest.min(0.5 * FINEST * extent)
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
    fn the_tree_finds_the_nearest() {
        let at = |i: u32| Vec3::new(f64::from(i % 7), f64::from(i / 7 % 5), f64::from(i / 35)) * 3.0;
        let all: Vec<Strut> =
            (0..100).map(|i| Strut::new([at(i), at(i + 1)], [0.4, 0.7], i as usize)).collect();
        let frame = Frame::new(all.clone(), 0.8);
        for i in 0..100 {
            let p = Vec3::new(20.0, 15.0, 9.0) * 0.5
                + Vec3::new(f64::from(i).sin(), f64::from(3 * i).cos(), f64::from(i) * 0.01) * 8.0;
            let tried = all.iter().map(|s| s.distance(p).0).fold(f64::MAX, f64::min);
            assert!((frame.nearest(p).0 - tried).abs() < 1e-12);
        }
    }

    /// In a box the few that are kept give the same values; a lone strut is smooth, two that meet are not.
    #[test]
    fn boxes_keep_what_may_be_nearest() {
        let net = super::super::crystal("srs", 5.0, 18.0, true).unwrap();
        let radius = Radius::Same(0.8);
        let Solid::Field { value, .. } = struts(&net, &Rods { radius, joint: 1.1, least: None }).unwrap()
        else {
            panic!()
        };
        let whole = Tape::new(&value).unwrap();
        let mut looked = 0;
        for i in 0..60 {
            let k = f64::from(i);
            let p = Vec3::new(14.0 * (k * 0.7).sin(), 12.0 * (k * 1.3).cos(), 13.0 * (k * 0.37).sin());
            let region = Box3::new(p - Vec3::splat(1.5), p + Vec3::splat(1.5));
            let Some(narrow) = whole.narrow(region) else { continue };
            looked += 1;
            for j in 0..50 {
                let t = f64::from(j);
                let q = p + Vec3::new((t * 1.1).sin(), (t * 2.3).cos(), (t * 0.7).sin()) * 1.5;
                assert_eq!(whole.value(q).to_bits(), narrow.value(q).to_bits());
            }
        }
        assert!(looked > 20, "{looked}");
        let one = |ends: [Vec3; 2], edge| Strut::new(ends, [0.5; 2], edge);
        let (o, x, y) = (Vec3::ZERO, Vec3::new(9.0, 0.0, 0.0), Vec3::new(0.0, 9.0, 0.0));
        let region = Box3::new(Vec3::splat(-1.0), Vec3::splat(1.0));
        let smooth = |second| Frame::new(vec![one([o, x], 0), second], 1.0).is_smooth(region);
        assert!(!smooth(one([o, y], 1)) && smooth(one([o, y], 0)) && smooth(one([x, y + x], 1)));
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

    #[test]
    fn thickness_follows_fields_and_lengths() {
        let places = vec![Vec3::ZERO, Vec3::new(10.0, 0.0, 0.0), Vec3::new(10.0, 20.0, 0.0)];
        let net = super::super::web(places, vec![[0, 1], [1, 2]]).unwrap();
        let at = |radius: Radius, p: Vec3| {
            let made = struts(&net, &Rods { radius, joint: 0.0, least: None }).unwrap();
            let Solid::Field { value, .. } = made else { panic!() };
            Tape::new(&value).unwrap().value(p)
        };
        let by_length = || Radius::ByLength(Expr::var(LONG) * 0.1);
        assert!((at(by_length(), Vec3::new(5.0, 0.0, 3.0)) - 2.0).abs() < 1e-12);
        assert!((at(by_length(), Vec3::new(10.0, 15.0, 3.0)) - 1.0).abs() < 1e-12);
        let field = Expr::var("y") * 0.1 + 0.5;
        let found = at(Radius::Field(field), Vec3::new(10.0, 10.0, 5.0));
        // The cone with a slope of a tenth: its skin is met square.
        assert!((found - (5.0 * (1.0_f64 - 0.01).sqrt() - 1.5)).abs() < 1e-9, "{found}");
        let bad = Rods { radius: Radius::Field(Expr::var("x") - 5.0), joint: 0.0, least: None };
        assert!(struts(&net, &bad).is_err());
    }
}
