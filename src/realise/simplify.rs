//! Fewer triangles at the same tolerance: vertices are merged into neighbours as long as the surface stays put.
//!
//! Half-edge collapse steered by the sum of squared distances to the planes of the triangles merged so far
//! (M. Garland, P. Heckbert, Proc. SIGGRAPH 97, 209; here without weights, so that the sum is at least the square of
//! the greatest distance to any of these planes). Vertices never move, so those on creases and corners stay exact. A
//! merge is refused when it would break the manifold, turn a triangle over or make a sliver.

use std::cmp::Ordering;
use std::collections::BinaryHeap;

use rayon::prelude::*;

use crate::base::{Box3, Vec3};
use crate::shape::{Mesh, Side};

/// Square of the sine of the least angle of a changed triangle, unless it had a smaller one before: 9 degrees.
const SHARPEST: f64 = 0.0245;
/// Least cosine between the normals of a triangle before and after.
const TURN: f64 = 0.8;
/// Most triangles around a point.
const CROWD: usize = 20;

/// Sum of squared distances to planes: n·n, n d, d² gathered.
#[derive(Clone, Copy, Default)]
struct Planes {
    a: [f64; 6],
    b: Vec3,
    c: f64,
}

impl Planes {
    fn of(n: Vec3, d: f64) -> Self {
        Self { a: [n.x * n.x, n.y * n.y, n.z * n.z, n.x * n.y, n.y * n.z, n.z * n.x], b: n * d, c: d * d }
    }

    fn add(&mut self, o: &Self) {
        for (x, y) in self.a.iter_mut().zip(&o.a) {
            *x += y;
        }
        self.b += o.b;
        self.c += o.c;
    }

    fn at(&self, p: Vec3) -> f64 {
        let [xx, yy, zz, xy, yz, zx] = self.a;
        let square = xx * p.x * p.x + yy * p.y * p.y + zz * p.z * p.z;
        let mixed = xy * p.x * p.y + yz * p.y * p.z + zx * p.z * p.x;
        (square + 2.0 * mixed + 2.0 * self.b.dot(p) + self.c).max(0.0)
    }
}

/// A merge that may be done: lesser keys first.
struct Merge {
    key: f64,
    from: u32,
    stamp: u32,
}

impl PartialEq for Merge {
    fn eq(&self, o: &Self) -> bool {
        self.cmp(o) == Ordering::Equal
    }
}
impl Eq for Merge {}
impl PartialOrd for Merge {
    fn partial_cmp(&self, o: &Self) -> Option<Ordering> {
        Some(self.cmp(o))
    }
}
impl Ord for Merge {
    fn cmp(&self, o: &Self) -> Ordering {
        o.key.total_cmp(&self.key).then(o.from.cmp(&self.from)).then(o.stamp.cmp(&self.stamp))
    }
}

/// What a merge may cost.
#[derive(Clone, Copy)]
struct Terms {
    /// Square of the distance allowed, mm².
    limit: f64,
    /// Centre of the mesh, to which places are relative in [`Planes`].
    centre: Vec3,
    /// Worth of a short edge against a small error.
    even: f64,
}

struct Work {
    points: Vec<Vec3>,
    triangles: Vec<[u32; 3]>,
    /// The side of each triangle, where they are known.
    sides: Vec<Side>,
    around: Vec<Vec<u32>>,
    /// Neighbours with what a merge into them costs, from use to use.
    costs: Vec<(f64, u32)>,
    planes: Vec<Planes>,
    stamp: Vec<u32>,
    /// Points that stay, and that none is merged into; empty when all may go.
    held: Vec<bool>,
    terms: Terms,
}

/// A mesh of more triangles than this is first simplified in parts of at most so many, at the same time.
const PART: usize = 60_000;

/// The closed mesh with fewer triangles, no merged plane further than `reach` mm from where it was; `step` is the
/// length of the edges it has, mm. Points marked `held` stay, and none is merged into them; without marks all may go.
pub fn simplify(mesh: &Mesh, reach: f64, step: f64, held: Vec<bool>) -> Mesh {
    let mut work = Work::new(mesh, reach, step);
    work.held = held;
    let seams = if work.triangles.len() > PART { Some(work.in_parts()) } else { None };
    let all = 0..work.points.len() as u32;
    work.run(seams.unwrap_or_else(|| all.collect()));
    let mut out = Mesh { points: work.points, triangles: work.triangles, sides: work.sides };
    out.keep(|_, [a, b, _]| a != b);
    out
}

/// Some triangles, halved by place until none of the parts has more than [`PART`].
fn halved(mesh: &Work, mut some: Vec<u32>, parts: &mut Vec<Vec<u32>>) {
    if some.len() <= PART {
        parts.push(some);
        return;
    }
    let middle = |t: u32| {
        let [a, b, c] = mesh.triangles[t as usize].map(|v| mesh.points[v as usize]);
        a + b + c
    };
    let size = Box3::around(some.iter().map(|t| middle(*t))).size();
    let axis = (0..3).fold(0, |best, k| if size[k] > size[best] { k } else { best });
    let half = some.len() / 2;
    some.select_nth_unstable_by(half, |a, b| middle(*a)[axis].total_cmp(&middle(*b)[axis]).then(a.cmp(b)));
    let rest = some.split_off(half);
    halved(mesh, some, parts);
    halved(mesh, rest, parts);
}

impl Work {
    fn new(mesh: &Mesh, reach: f64, step: f64) -> Self {
        let centre = mesh.bounds().centre();
        let mut planes = vec![Planes::default(); mesh.points.len()];
        for (i, t) in mesh.triangles.iter().enumerate() {
            let [a, b, c] = mesh.corners(i);
            if let Some(m) = (b - a).cross(c - a).unit() {
                let plane = Planes::of(m, -m.dot(a - centre));
                t.iter().for_each(|v| planes[*v as usize].add(&plane));
            }
        }
        let limit = reach * reach;
        let terms = Terms { limit, centre, even: 1e-3 * limit / (step * step) };
        let work = Self::of(mesh.points.clone(), mesh.triangles.clone(), planes, terms);
        Self { sides: mesh.sides.clone(), ..work }
    }

    fn of(points: Vec<Vec3>, triangles: Vec<[u32; 3]>, planes: Vec<Planes>, terms: Terms) -> Self {
        let n = points.len();
        let mut work = Self {
            points,
            triangles,
            sides: Vec::new(),
            around: Vec::new(),
            costs: Vec::new(),
            planes,
            stamp: vec![0; n],
            held: Vec::new(),
            terms,
        };
        work.gather();
        work
    }

    /// Notes the triangles around each point.
    fn gather(&mut self) {
        self.around.clear();
        self.around.resize_with(self.points.len(), || Vec::with_capacity(8));
        for (i, t) in self.triangles.iter().enumerate() {
            t.iter().for_each(|v| self.around[*v as usize].push(i as u32));
        }
    }

    /// Does all merges that may be done, from those of some points on.
    fn run(&mut self, some: Vec<u32>) {
        let mut heap: BinaryHeap<Merge> = BinaryHeap::new();
        some.into_iter().for_each(|v| self.propose(v, &mut heap));
        while let Some(m) = heap.pop() {
            if self.stamp[m.from as usize] != m.stamp {
                continue;
            }
            let Some(to) = self.best(m.from) else { continue };
            let near = self.merge(m.from, to);
            for v in near.into_iter().chain([to]) {
                self.propose(v, &mut heap);
            }
        }
    }

    /// Does the merges within parts of the mesh; gives the points on the seams between the parts and next to them.
    fn in_parts(&mut self) -> Vec<u32> {
        let mut parts = Vec::new();
        halved(self, (0..self.triangles.len() as u32).collect(), &mut parts);
        let mut of = vec![u32::MAX; self.points.len()];
        let mut seam = vec![false; self.points.len()];
        for (k, part) in parts.iter().enumerate() {
            for v in part.iter().flat_map(|t| self.triangles[*t as usize]) {
                seam[v as usize] |= of[v as usize] != u32::MAX && of[v as usize] != k as u32;
                of[v as usize] = k as u32;
            }
        }
        let done: Vec<(Vec<u32>, Self)> = parts.par_iter().map(|part| self.part(part, &seam)).collect();
        self.triangles.clear();
        let sides = std::mem::take(&mut self.sides);
        for ((points, part), own) in done.into_iter().zip(&parts) {
            for (global, planes) in points.iter().zip(part.planes) {
                self.planes[*global as usize] = planes;
            }
            for (t, was) in part.triangles.iter().zip(own).filter(|([a, b, _], _)| a != b) {
                self.triangles.push(t.map(|v| points[v as usize]));
                self.sides.extend(sides.get(*was as usize));
            }
        }
        self.gather();
        let near = |v: &u32| seam[*v as usize] || self.neighbours(*v).any(|u| seam[u as usize]);
        (0..self.points.len() as u32).filter(near).collect()
    }

    /// A part of the mesh with its merges done, and the points that it is made of.
    fn part(&self, triangles: &[u32], seam: &[bool]) -> (Vec<u32>, Self) {
        let mut points: Vec<u32> = triangles.iter().flat_map(|t| self.triangles[*t as usize]).collect();
        points.sort_unstable();
        points.dedup();
        let local = |v: u32| points.binary_search(&v).map_or(0, |k| k as u32);
        let mut part = Self::of(
            points.iter().map(|v| self.points[*v as usize]).collect(),
            triangles.iter().map(|t| self.triangles[*t as usize].map(local)).collect(),
            points.iter().map(|v| self.planes[*v as usize]).collect(),
            self.terms,
        );
        part.held = points.iter().map(|v| seam[*v as usize] || self.is_held(*v)).collect();
        part.run((0..points.len() as u32).collect());
        (points, part)
    }

    /// Points that share an edge with `v`: about a closed fan each comes after `v` once.
    fn neighbours(&self, v: u32) -> impl Iterator<Item = u32> {
        self.around[v as usize].iter().map(move |t| {
            let t = self.triangles[*t as usize];
            let i = if t[0] == v {
                1
            } else if t[1] == v {
                2
            } else {
                0
            };
            t[i]
        })
    }

    fn is_held(&self, v: u32) -> bool {
        self.held.get(v as usize).is_some_and(|held| *held)
    }

    /// What it costs to merge `v` into a neighbour; `None` when it is too much.
    fn cost(&self, v: u32, u: u32) -> Option<f64> {
        if self.is_held(v) || self.is_held(u) {
            return None;
        }
        let q = self.points[u as usize];
        let Terms { limit, centre, even } = self.terms;
        let r = q - centre;
        let cost = self.planes[v as usize].at(r) + self.planes[u as usize].at(r);
        let d = q - self.points[v as usize];
        (cost <= limit).then(|| cost + even * d.dot(d))
    }

    /// The cheapest neighbour that `v` may be merged into.
    fn best(&mut self, v: u32) -> Option<u32> {
        let mut costs = std::mem::take(&mut self.costs);
        costs.clear();
        costs.extend(self.neighbours(v).filter_map(|u| self.cost(v, u).map(|c| (c, u))));
        costs.sort_unstable_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        let found = costs.iter().map(|(_, u)| *u).find(|u| self.may(v, *u));
        self.costs = costs;
        found
    }

    fn propose(&mut self, v: u32, heap: &mut BinaryHeap<Merge>) {
        self.stamp[v as usize] += 1;
        let least = self.neighbours(v).filter_map(|u| self.cost(v, u)).min_by(f64::total_cmp);
        if let Some(key) = least {
            heap.push(Merge { key, from: v, stamp: self.stamp[v as usize] });
        }
    }

    /// True when merging `v` into `u` keeps a manifold and makes no bad triangle.
    fn may(&self, v: u32, u: u32) -> bool {
        let degree = |w: u32| self.around[w as usize].len();
        if degree(v) + degree(u) > CROWD + 4 {
            return false;
        }
        let mut common = 0;
        for w in self.neighbours(v).filter(|w| self.neighbours(u).any(|x| x == *w)) {
            common += 1;
            if degree(w) <= 3 {
                return false;
            }
        }
        if common != 2 {
            return false;
        }
        let (p, q) = (self.points[v as usize], self.points[u as usize]);
        for &t in &self.around[v as usize] {
            let tri = self.triangles[t as usize];
            if tri.contains(&u) {
                continue;
            }
            let old = tri.map(|i| self.points[i as usize]);
            let new = tri.map(|i| if i == v { q } else { self.points[i as usize] });
            let normal = |[a, b, c]: [Vec3; 3]| (b - a).cross(c - a);
            let (m, n) = (normal(old), normal(new));
            let (turn, whole) = (m.dot(n), m.dot(m) * n.dot(n));
            if !(turn > 0.0 && turn * turn >= TURN * TURN * whole && whole > 0.0) {
                return false;
            }
            if least_sine(new) < SHARPEST.min(least_sine(old)) {
                return false;
            }
        }
        p != q
    }

    /// Merges `v` into `u`; gives the points around it, whose surroundings changed.
    fn merge(&mut self, v: u32, u: u32) -> Vec<u32> {
        let moved = std::mem::take(&mut self.around[v as usize]);
        for t in moved {
            let tri = self.triangles[t as usize];
            if tri.contains(&u) {
                for w in tri {
                    self.around[w as usize].retain(|x| *x != t);
                }
                self.triangles[t as usize] = [0; 3];
            } else {
                self.triangles[t as usize] = tri.map(|i| if i == v { u } else { i });
                self.around[u as usize].push(t);
            }
        }
        let from = self.planes[v as usize];
        self.planes[u as usize].add(&from);
        self.stamp[v as usize] += 1;
        self.neighbours(u).collect()
    }
}

/// Square of the sine of the smallest angle: it lies between the two longer sides.
fn least_sine([a, b, c]: [Vec3; 3]) -> f64 {
    let normal = (b - a).cross(c - a);
    let [x, y, z] = [b - a, c - b, a - c].map(|e| e.dot(e));
    let both = (x * y).max(y * z).max(z * x);
    if both > 0.0 { normal.dot(normal) / both } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A cube of 8 x 8 quads a side comes down to few triangles and keeps its volume.
    #[test]
    fn a_cube_of_many_squares() {
        let n = 8u32;
        let mut mesh = Mesh::default();
        for face in 0..6u32 {
            let (axis, high) = ((face / 2) as usize, f64::from(face % 2));
            let first = mesh.points.len() as u32;
            for j in 0..=n {
                for i in 0..=n {
                    let mut p = [0.0; 3];
                    p[axis] = high;
                    p[(axis + 1) % 3] = f64::from(i) / f64::from(n);
                    p[(axis + 2) % 3] = f64::from(j) / f64::from(n);
                    mesh.points.push(p.into());
                }
            }
            for j in 0..n {
                for i in 0..n {
                    let k = first + j * (n + 1) + i;
                    let q = [k, k + 1, k + n + 2, k + n + 1];
                    let q = if high > 0.0 { q } else { [q[3], q[2], q[1], q[0]] };
                    mesh.triangles.extend([[q[0], q[1], q[2]], [q[0], q[2], q[3]]]);
                }
            }
        }
        mesh.weld();
        assert_eq!(mesh.laws(), vec![]);
        let few = simplify(&mesh, 1e-6, 0.125, vec![]);
        assert_eq!(few.laws(), vec![]);
        assert!((few.volume() - 1.0).abs() < 1e-12);
        assert_eq!(few.bounds(), Box3::new(Vec3::ZERO, Vec3::splat(1.0)));
        assert!(few.triangles.len() <= 60, "{}", few.triangles.len());
    }
}
