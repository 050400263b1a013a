//! The distance to the nearest of many struts: a tree of boxes, and in a small box the few that may be nearest there.

use std::sync::Arc;

use super::strut::Strut;
use crate::base::{Box3, Interval, Vec3};
use crate::formula::Oracle;

/// Struts that may matter in a box and are gone through one by one; and those that are compared to find them.
pub(super) const FEW: usize = 96;
const COMPARED: usize = 512;

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
pub(super) struct Frame {
    struts: Vec<Strut>,
    nodes: Vec<Node>,
    thinnest: f64,
}

impl Frame {
    pub(super) fn new(struts: Vec<Strut>, thinnest: f64) -> Self {
        let mut order: Vec<usize> = (0..struts.len()).collect();
        let mut nodes = Vec::with_capacity(2 * struts.len());
        grow(&struts, &mut order, &mut nodes);
        Self { struts, nodes, thinnest }
    }

    /// A box that holds all.
    pub(super) fn region(&self) -> Box3 {
        self.nodes[0].region
    }

    /// The distance to the nearest strut, and its number.
    fn nearest(&self, p: Vec3) -> (f64, usize) {
        let gap = |n: &Node| (p.max(n.region.min).min(n.region.max) - p).norm();
        let mut best = (f64::INFINITY, 0);
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
                    let found = self.struts[k].nearer(p, best.0);
                    if found < best.0 {
                        best = (found, k);
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

    /// Radius of the thickest strut.
    pub(super) fn thickest(&self) -> f64 {
        self.struts.iter().map(Strut::thickest).fold(0.0, f64::max)
    }

    /// Thickness of the thinnest strut.
    pub(super) fn finest(&self) -> f64 {
        self.thinnest
    }

    /// The struts that may be the nearest one somewhere in a box, in order; `None` when they are many.
    fn few(&self, region: Box3) -> Option<Vec<Strut>> {
        let struts = self.within(region, f64::NEG_INFINITY)?;
        let known: Vec<Corners> = struts.iter().map(|s| Corners::of(s, region)).collect();
        let kept = not_beaten(struts, &known, |_| false);
        (kept.len() <= FEW).then_some(kept)
    }

    /// The struts that may be the nearest one somewhere in a box, or nearer than a distance, and some others, in order; `None`
    /// when they are many.
    pub(super) fn within(&self, region: Box3, far: f64) -> Option<Vec<Strut>> {
        let near = Corners::of(&self.struts[self.nearest(region.centre()).1], region);
        let reach = near.values.into_iter().fold(far, f64::max);
        let mut found = Vec::new();
        let mut stack = vec![0];
        while let Some(i) = stack.pop() {
            let node = &self.nodes[i];
            let gap = (region.min - node.region.max).max(node.region.min - region.max).max(Vec3::ZERO).norm();
            // Inside a box the distance may be anything below zero.
            if gap > 0.0 && gap > reach {
                continue;
            }
            match node.holds {
                Holds::Strut(k) if gap <= far || !near.beats(&Corners::of(&self.struts[k], region)) => {
                    if found.len() == COMPARED {
                        return None;
                    }
                    found.push(k);
                }
                Holds::Strut(_) => {}
                Holds::Two(a, b) => stack.extend([a, b]),
            }
        }
        found.sort_unstable();
        Some(found.into_iter().map(|k| self.struts[k]).collect())
    }
}

/// What is known of a strut's distance in a box: its values at the corners, and values there that it does not fall below
/// when it is taken as straight from the middle on. The distance of a hull of balls is convex.
pub(super) struct Corners {
    values: [f64; 8],
    least: [f64; 8],
}

impl Corners {
    pub(super) fn of(strut: &Strut, region: Box3) -> Self {
        let (p, corners) = (region.centre(), region.corners());
        // A bent strut is told by the straight one between its ends.
        let strays = strut.strays();
        let (far, s) = strut.along(p);
        let slack = strays + 1e-9 * (far.abs() + region.size().norm());
        let values = corners.map(|q| strut.along(q).0 + strays);
        // On the axis itself there is no slope.
        let least = match (p - strut.at(s)).unit() {
            Some(slope) => corners.map(|q| far + slope.dot(q - p) - slack),
            None => [f64::NEG_INFINITY; 8],
        };
        Self { values, least }
    }

    /// A number that the distance is nowhere less than in the box.
    pub(super) fn lowest(&self) -> f64 {
        self.least.into_iter().fold(f64::INFINITY, f64::min)
    }

    /// True when this one is surely nearer everywhere in the box.
    fn beats(&self, other: &Self) -> bool {
        self.values.iter().zip(&other.least).all(|(a, b)| a < b)
    }
}

/// Those of some that are not surely further than another one everywhere in a box, and those that are kept anyway. A convex
/// distance less a straight one is greatest in a corner.
pub(super) fn not_beaten<T>(mut all: Vec<T>, known: &[Corners], kept: impl Fn(&T) -> bool) -> Vec<T> {
    let mut k = 0;
    all.retain(|one| {
        k += 1;
        kept(one) || !known.iter().any(|other| other.beats(&known[k - 1]))
    });
    all
}

/// The range in a box of the distance to the nearest of some struts.
pub(super) fn range(struts: &[Strut], region: Box3) -> Interval {
    struts.iter().map(|s| Corners::of(s, region)).fold(
        Interval::new(f64::INFINITY, f64::INFINITY),
        |range, c| {
            let lo = c.least.into_iter().fold(f64::INFINITY, f64::min);
            let hi = c.values.into_iter().fold(f64::NEG_INFINITY, f64::max);
            Interval::new(range.lo.min(lo), range.hi.min(hi + 1e-9 * (hi.abs() + region.size().norm())))
        },
    )
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
pub(super) fn around(middle: f64, region: Box3) -> Interval {
    let half = region.size().norm() * 0.5;
    let slack = 1e-12 * (middle.abs() + half);
    Interval::new(middle - half - slack, middle + half + slack)
}

pub(super) fn with_slope(p: Vec3, (far, from): (f64, Vec3)) -> (f64, Vec3) {
    (far, (p - from).unit().unwrap_or(Vec3::new(0.0, 0.0, 1.0)))
}

impl Oracle for Frame {
    fn sample(&self, p: Vec3) -> (f64, Vec3) {
        with_slope(p, self.struts[self.nearest(p).1].distance(p))
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
            let points = x.iter().zip(y).zip(z).map(|((x, y), z)| Vec3::new(*x, *y, *z));
            if strut.bend.is_some() {
                points.zip(out.iter_mut()).for_each(|(p, least)| *least = strut.nearer(p, *least));
                continue;
            }
            for (p, least) in points.zip(out.iter_mut()) {
                let far = strut.along(p).0;
                *least = if far < *least { far } else { *least };
            }
        }
    }

    fn fewer(&self, region: Box3) -> Vec<Strut> {
        let known: Vec<Corners> = self.struts.iter().map(|s| Corners::of(s, region)).collect();
        not_beaten(self.struts.clone(), &known, |_| false)
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
pub(super) fn no_creases(struts: &[Strut]) -> bool {
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::form::Solid;
    use crate::form::net::{Radius, Rods};
    use crate::formula::Tape;

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
        let net = crate::form::net::crystal("srs", 5.0, 18.0, true).unwrap();
        let radius = Radius::Same(0.8);
        let Solid::Struts(made) =
            crate::form::net::struts(&net, &Rods { radius, joint: 1.1, least: None, fillet: 0.0 }).unwrap()
        else {
            panic!()
        };
        let whole = Tape::new(made.value()).unwrap();
        let mut looked = 0;
        for i in 0..60 {
            let k = f64::from(i);
            let p = Vec3::new(14.0 * (k * 0.7).sin(), 12.0 * (k * 1.3).cos(), 13.0 * (k * 0.37).sin());
            let region = Box3::new(p - Vec3::splat(1.5), p + Vec3::splat(1.5));
            let Some(narrow) = whole.bounds_and_narrow(region).1 else { continue };
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
}
