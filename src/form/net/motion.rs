//! Nets elsewhere, larger, mirrored, twisted or turned inside out; and several nets as one.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::{Edge, Inner, Net};
use crate::base::{Affine, Box3, Vec3};
use crate::form::{FormFault, Movable, SpaceMap};

/// Places on a straight edge that a map bends, between its ends.
const BETWEEN: usize = 11;
/// Points nearer than this part of the extent are one.
const WELD: f64 = 1e-7;

impl Net {
    /// The net with its places carried by a map, which also says how many times as thick the net is there; straight edges bend.
    pub(in crate::form) fn bent_by(&self, to: &dyn Fn(Vec3) -> (Vec3, f64)) -> Self {
        self.carried(to, true, false)
    }

    /// The same net, its greatest thickness 1.
    pub(in crate::form) fn thickest_one(&self) -> Self {
        let all =
            self.edges().iter().flat_map(|e| &e.between).map(|b| b.1).chain(self.sizes().iter().copied());
        let widest = all.fold(0.0, f64::max);
        if widest == 1.0 || !(widest > 0.0) {
            return self.clone();
        }
        let edge = |e: &Edge| Edge {
            ends: e.ends,
            between: e.between.iter().map(|(p, size)| (*p, size / widest)).collect(),
        };
        Self(Arc::new(Inner {
            name: self.name().to_owned(),
            points: self.points().to_vec(),
            sizes: self.sizes().iter().map(|s| s / widest).collect(),
            edges: self.edges().iter().map(edge).collect(),
            faces: self.faces().to_vec(),
            cells: self.cells(),
            angles: self.angles().to_vec(),
        }))
    }

    fn carried(&self, to: &dyn Fn(Vec3) -> (Vec3, f64), bends: bool, turned: bool) -> Self {
        let at = |(p, size): (Vec3, f64)| {
            let (q, k) = to(p);
            (q, size * k)
        };
        let edge = |e: &Edge| {
            let [a, b] = e.ends.map(|i| (self.points()[i], self.sizes()[i]));
            let straight = (1..=BETWEEN).map(|k| {
                let part = k as f64 / (BETWEEN + 1) as f64;
                (a.0 + (b.0 - a.0) * part, a.1 + (b.1 - a.1) * part)
            });
            let between = match (e.between.is_empty(), bends) {
                (true, true) => straight.map(at).collect(),
                _ => e.between.iter().copied().map(at).collect(),
            };
            Edge { ends: e.ends, between }
        };
        let edges: Vec<Edge> = self.edges().iter().map(edge).collect();
        let (points, sizes): (Vec<Vec3>, Vec<f64>) =
            self.points().iter().copied().zip(self.sizes().iter().copied()).map(at).unzip();
        let face = |f: &Vec<usize>| if turned { f.iter().rev().copied().collect() } else { f.clone() };
        // Faces that a map bends are none any more.
        let faces = if bends { Vec::new() } else { self.faces().iter().map(face).collect() };
        Self(Arc::new(Inner {
            name: self.name().to_owned(),
            points,
            sizes,
            edges,
            faces,
            cells: self.cells(),
            angles: if bends { Vec::new() } else { self.angles().to_vec() },
        }))
    }
}

impl Movable for Net {
    fn moved(&self, by: &Affine) -> Result<Self, FormFault> {
        Ok(self.carried(&|p| (by.apply(p), 1.0), false, by.determinant() < 0.0).thickest_one())
    }

    fn mapped(&self, by: &SpaceMap) -> Result<Self, FormFault> {
        let far = match by {
            SpaceMap::Twist { .. } => Vec3::ZERO,
            SpaceMap::Invert { centre, .. } => *centre,
        };
        let to = |p: Vec3| match by {
            SpaceMap::Twist { rate } => {
                let (s, c) = (libm::sin(rate * p.z), libm::cos(rate * p.z));
                (Vec3::new(p.x * c - p.y * s, p.x * s + p.y * c, p.z), 1.0)
            }
            SpaceMap::Invert { centre, radius } => {
                let d = p - *centre;
                let k = radius * radius / d.dot(d);
                (*centre + d * k, k)
            }
        };
        let made = self.carried(&to, true, false).thickest_one();
        let places = made.edges().iter().flat_map(|e| &e.between).map(|b| b.0);
        // A place very near the centre of an inversion goes further than any piece is large.
        let reach = Box3::around(self.points().iter().copied()).size().norm() * 1e6;
        if made.points().iter().copied().chain(places).all(|p| p.is_finite() && (p - far).norm() <= reach) {
            Ok(made)
        } else {
            Err(FormFault::Endless { act: "invert" })
        }
    }
}

/// Several nets as one: points that coincide are one, and so are edges between the same points with the same middle.
pub fn together(name: &str, nets: &[Net]) -> Net {
    let all = || nets.iter().flat_map(|n| n.points().iter().copied());
    let near = (WELD * Box3::around(all()).size().largest()).max(f64::MIN_POSITIVE);
    let key = |p: Vec3| p.array().map(|x| (x / (4.0 * near)).round() as i64);
    let mut cells: BTreeMap<[i64; 3], Vec<usize>> = BTreeMap::new();
    let mut inner = Inner {
        name: name.to_owned(),
        points: Vec::new(),
        sizes: Vec::new(),
        edges: Vec::new(),
        faces: Vec::new(),
        cells: 1,
        angles: Vec::new(),
    };
    let mut seen: BTreeMap<[usize; 2], Vec<Vec3>> = BTreeMap::new();
    for net in nets {
        let mut number = Vec::with_capacity(net.points().len());
        for (p, size) in net.points().iter().zip(net.sizes()) {
            let [x, y, z] = key(*p);
            let mut around = (0..27_i64).map(|n| [x + n % 3 - 1, y + n / 3 % 3 - 1, z + n / 9 - 1]);
            let close = |i: &usize| (inner.points[*i] - *p).norm() <= 2.0 * near;
            let known = around.find_map(|k| cells.get(&k)?.iter().copied().find(close));
            number.push(known.unwrap_or_else(|| {
                cells.entry([x, y, z]).or_default().push(inner.points.len());
                inner.points.push(*p);
                inner.sizes.push(*size);
                inner.points.len() - 1
            }));
        }
        for edge in net.edges() {
            let ends = edge.ends.map(|i| number[i]);
            let middle = match edge.between.len() {
                0 => (inner.points[ends[0]] + inner.points[ends[1]]) * 0.5,
                n => (edge.between[(n - 1) / 2].0 + edge.between[n / 2].0) * 0.5,
            };
            let known = seen.entry([ends[0].min(ends[1]), ends[0].max(ends[1])]).or_default();
            if !known.iter().any(|m| (*m - middle).norm() <= 16.0 * near) {
                known.push(middle);
                inner.edges.push(Edge { ends, between: edge.between.clone() });
            }
        }
    }
    Net(Arc::new(inner))
}

#[cfg(test)]
mod tests {
    use super::super::polytope;
    use super::*;
    use crate::form::{invert, shift};

    #[test]
    fn nets_side_by_side_share_their_points() {
        let cube = polytope("[4,3]", "100", 10.0).unwrap();
        let beside = shift(&cube, Vec3::new(10.0, 0.0, 0.0)).unwrap();
        let two = together("two", &[cube.clone(), beside]);
        assert_eq!((two.points().len(), two.edges().len()), (12, 20));
        assert_eq!(together("same", &[cube.clone(), cube]).edges().len(), 12);
    }

    /// Edges of a cube, which miss the middle, become arcs through it: all lie in the ball that their nearest places reach.
    #[test]
    fn an_inversion_bends_and_thickens() {
        let cube = polytope("[4,3]", "100", 10.0).unwrap();
        let inside = invert(&cube, Vec3::ZERO, 10.0).unwrap();
        let corner = inside.points()[0].norm();
        assert!((corner - 100.0 / (5.0 * 3.0_f64.sqrt())).abs() < 1e-9);
        // The middle of an edge, √50 away, goes to 100/√50 and is stretched by 100/50, a corner by 100/75.
        let middle = inside.edges()[0].between[5];
        assert!((middle.0.norm() - 100.0 / 50.0_f64.sqrt()).abs() < 1e-9 && (middle.1 - 1.0).abs() < 1e-12);
        assert!((inside.sizes()[0] - 50.0 / 75.0).abs() < 1e-12);
        assert!(invert(&cube, cube.points()[0], 10.0).is_err());
    }
}
