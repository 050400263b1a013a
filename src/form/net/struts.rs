//! The solid of a net: round struts with balls where they meet, thicker or thinner along the way.

use std::sync::Arc;

use super::{Net, NetFault};
use crate::base::{Box3, Interval, Vec3};
use crate::form::fault::positive;
use crate::form::{Solid, xyz};
use crate::formula::{Expr, Oracle};

/// A strut: two ends with radii, mm. It is the hull of the balls about its ends, and holds those between.
#[derive(Clone, Copy, Debug)]
struct Strut {
    ends: [Vec3; 2],
    radii: [f64; 2],
}

impl Strut {
    fn region(&self) -> Box3 {
        let [a, b] = self.ends;
        let ball = |c: Vec3, r: f64| Box3::new(c - Vec3::splat(r), c + Vec3::splat(r));
        ball(a, self.radii[0]).join(ball(b, self.radii[1]))
    }

    /// The signed distance, and the point of the axis it is measured from: the least of |p - q(s)| - r(s) over the axis,
    /// which lies where the cone through both circles of touch is met square.
    fn distance(&self, p: Vec3) -> (f64, Vec3) {
        let [a, b] = self.ends;
        let axis = b - a;
        let long = axis.norm();
        let slope = if long > 0.0 { (self.radii[1] - self.radii[0]) / long } else { 0.0 };
        let s = if long > 0.0 && slope.abs() < 1.0 {
            let along = (p - a).dot(axis) / long;
            let off = ((p - a).dot(p - a) - along * along).max(0.0).sqrt();
            ((along + off * slope / (1.0 - slope * slope).sqrt()) / long).clamp(0.0, 1.0)
        } else {
            // One ball holds the other.
            f64::from(u8::from(slope > 0.0))
        };
        let q = a + axis * s;
        ((p - q).norm() - self.radii[0] - (self.radii[1] - self.radii[0]) * s, q)
    }
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

/// The distance to the nearest of many struts.
#[derive(Debug)]
struct Frame {
    struts: Vec<Strut>,
    nodes: Vec<Node>,
}

impl Frame {
    fn new(struts: Vec<Strut>) -> Self {
        let mut order: Vec<usize> = (0..struts.len()).collect();
        let mut nodes = Vec::with_capacity(2 * struts.len());
        grow(&struts, &mut order, &mut nodes);
        Self { struts, nodes }
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

impl Oracle for Frame {
    fn sample(&self, p: Vec3) -> (f64, Vec3) {
        let (far, from) = self.nearest(p);
        (far, (p - from).unit().unwrap_or(Vec3::new(0.0, 0.0, 1.0)))
    }

    fn bounds(&self, region: Box3) -> Interval {
        if !region.is_finite() {
            return Interval::new(f64::NEG_INFINITY, f64::INFINITY);
        }
        let (d, half) = (self.nearest(region.centre()).0, region.size().norm() * 0.5);
        let slack = 1e-12 * (d.abs() + half);
        Interval::new(d - half - slack, d + half + slack)
    }

    fn steepest(&self) -> f64 {
        1.0
    }
}

/// The solid of every point within `radius` mm of the net's edges, thinner where the net is but nowhere below `least` mm;
/// with `joint` above `radius`, balls of that radius about its points.
///
/// # Errors
/// [`NetFault`].
pub fn struts(net: &Net, radius: f64, joint: f64, least: f64) -> Result<Solid, NetFault> {
    positive("radius", radius)?;
    let thick = |part: f64| (part * radius).max(least);
    let mut all = Vec::new();
    for edge in net.edges() {
        let [i, j] = edge.ends;
        let mut row = vec![(net.points()[i], net.sizes()[i])];
        row.extend(edge.between.iter().copied());
        row.push((net.points()[j], net.sizes()[j]));
        for w in row.windows(2) {
            all.push(Strut { ends: [w[0].0, w[1].0], radii: [thick(w[0].1), thick(w[1].1)] });
        }
    }
    if joint > radius {
        let ball = |(p, k): (&Vec3, &f64)| Strut { ends: [*p; 2], radii: [joint * k; 2] };
        all.extend(net.points().iter().zip(net.sizes()).map(ball));
    }
    if all.is_empty() {
        return Err(NetFault::Unfit("the net has no edges: reach further".into()));
    }
    let frame = Frame::new(all);
    let within = frame.nodes[0].region;
    Ok(Solid::Field { value: Expr::oracle(Arc::new(frame), xyz()), within })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn distances_are_the_least_of_many_balls() {
        let strut = Strut { ends: [Vec3::new(0.0, 0.0, 0.0), Vec3::new(4.0, 0.0, 0.0)], radii: [1.0, 2.0] };
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
            (0..100).map(|i| Strut { ends: [at(i), at(i + 1)], radii: [0.4, 0.7] }).collect();
        let frame = Frame::new(all.clone());
        for i in 0..100 {
            let p = Vec3::new(20.0, 15.0, 9.0) * 0.5
                + Vec3::new(f64::from(i).sin(), f64::from(3 * i).cos(), f64::from(i) * 0.01) * 8.0;
            let tried = all.iter().map(|s| s.distance(p).0).fold(f64::MAX, f64::min);
            assert!((frame.nearest(p).0 - tried).abs() < 1e-12);
        }
    }
}
