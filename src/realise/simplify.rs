//! Fewer triangles at the same tolerance: vertices are merged into neighbours as long as the surface stays put.
//!
//! Half-edge collapse steered by the sum of squared distances to the planes of the triangles merged so far
//! (M. Garland, P. Heckbert, Proc. SIGGRAPH 97, 209; here without weights, so that the sum is at least the square of
//! the greatest distance to any of these planes). Vertices never move, so those on creases and corners stay exact. A
//! merge is refused when it would break the manifold, turn a triangle over or make a sliver.

use std::cmp::Ordering;
use std::collections::BinaryHeap;

use crate::base::Vec3;
use crate::shape::Mesh;

/// Square of the sine of the least angle of a new triangle, unless the old ones had a smaller one: 9 degrees.
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

struct Work {
    points: Vec<Vec3>,
    triangles: Vec<[u32; 3]>,
    around: Vec<Vec<u32>>,
    /// Neighbours with what a merge into them costs, from use to use.
    costs: Vec<(f64, u32)>,
    planes: Vec<Planes>,
    stamp: Vec<u32>,
    /// Square of the distance allowed, mm².
    limit: f64,
    /// Centre of the mesh, to which places are relative in `planes`.
    centre: Vec3,
    /// Worth of a short edge against a small error.
    even: f64,
}

/// The closed mesh with fewer triangles, no merged plane further than `reach` mm from where it was; `step` is the
/// length of the edges it has, mm.
pub fn simplify(mesh: &Mesh, reach: f64, step: f64) -> Mesh {
    let mut work = Work::new(mesh, reach, step);
    let mut heap: BinaryHeap<Merge> = BinaryHeap::new();
    for v in 0..work.points.len() as u32 {
        work.propose(v, &mut heap);
    }
    while let Some(m) = heap.pop() {
        if work.stamp[m.from as usize] != m.stamp {
            continue;
        }
        let Some(to) = work.best(m.from) else { continue };
        let near = work.merge(m.from, to);
        for v in near.into_iter().chain([to]) {
            work.propose(v, &mut heap);
        }
    }
    let mut out = Mesh { points: work.points, triangles: work.triangles, sides: mesh.sides.clone() };
    out.keep(|_, [a, b, _]| a != b);
    out
}

impl Work {
    fn new(mesh: &Mesh, reach: f64, step: f64) -> Self {
        let n = mesh.points.len();
        let centre = mesh.bounds().centre();
        let mut around = vec![Vec::with_capacity(6); n];
        let mut planes = vec![Planes::default(); n];
        for (i, t) in mesh.triangles.iter().enumerate() {
            let [a, b, c] = mesh.corners(i);
            let plane = (b - a).cross(c - a).unit().map(|m| Planes::of(m, -m.dot(a - centre)));
            for &v in t {
                around[v as usize].push(i as u32);
                if let Some(plane) = &plane {
                    planes[v as usize].add(plane);
                }
            }
        }
        let limit = reach * reach;
        Self {
            points: mesh.points.clone(),
            triangles: mesh.triangles.clone(),
            around,
            costs: Vec::new(),
            planes,
            stamp: vec![0; n],
            limit,
            centre,
            even: 1e-3 * limit / (step * step),
        }
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

    /// What it costs to merge `v` into a neighbour; `None` when it is too much.
    fn cost(&self, v: u32, u: u32) -> Option<f64> {
        let q = self.points[u as usize];
        let r = q - self.centre;
        let cost = self.planes[v as usize].at(r) + self.planes[u as usize].at(r);
        let d = q - self.points[v as usize];
        (cost <= self.limit).then(|| cost + self.even * d.dot(d))
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
        let (mut old_least, mut new_least) = (f64::INFINITY, f64::INFINITY);
        for &t in &self.around[v as usize] {
            let tri = self.triangles[t as usize];
            let old = tri.map(|i| self.points[i as usize]);
            old_least = old_least.min(least_sine(old));
            if tri.contains(&u) {
                continue;
            }
            let new = tri.map(|i| if i == v { q } else { self.points[i as usize] });
            let normal = |[a, b, c]: [Vec3; 3]| (b - a).cross(c - a);
            let (m, n) = (normal(old), normal(new));
            let (turn, whole) = (m.dot(n), m.dot(m) * n.dot(n));
            if !(turn > 0.0 && turn * turn >= TURN * TURN * whole && whole > 0.0) {
                return false;
            }
            new_least = new_least.min(least_sine(new));
        }
        p != q && new_least >= SHARPEST.min(old_least)
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
    use crate::base::Box3;

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
        let few = simplify(&mesh, 1e-6, 0.125);
        assert_eq!(few.laws(), vec![]);
        assert!((few.volume() - 1.0).abs() < 1e-12);
        assert_eq!(few.bounds(), Box3::new(Vec3::ZERO, Vec3::splat(1.0)));
        assert!(few.triangles.len() <= 60, "{}", few.triangles.len());
    }
}
