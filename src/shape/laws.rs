//! The laws that every mesh of a solid obeys, each broken one with its place.

use rayon::prelude::*;
use robust::{Coord, Coord3D, orient2d, orient3d};

use super::{Mesh, Tree};
use crate::base::{Box3, Vec3};

/// A law that every mesh of a solid obeys.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Law {
    /// Indices name points, points are finite, a triangle has three different corners.
    Sound,
    /// Every edge has a triangle on both sides.
    Closed,
    /// No edge has more than two triangles.
    EdgeManifold,
    /// Neighbours turn the same way round.
    Oriented,
    /// The triangles around a point are one fan.
    VertexManifold,
    /// No triangle is flatter than a thousand-millionth part of the mesh.
    Area,
    /// Triangles meet only in the corners and edges that they share.
    NoCrossing,
    /// Every component holds a positive volume, or bounds a hollow of a larger one.
    Volume,
}

/// A law that is broken, and where.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Broken {
    /// Which law.
    pub law: Law,
    /// A place where it is broken, mm.
    pub at: Vec3,
    /// Triangles concerned; the second is the same as the first where only one is.
    pub triangles: [u32; 2],
}

/// The least height of a triangle relative to the size of the mesh.
const FLAT: f64 = 1e-9;

impl Mesh {
    /// Every place where a law is broken; empty for a mesh of a solid.
    pub fn laws(&self) -> Vec<Broken> {
        let mut broken = self.laws_of_joints();
        if broken.iter().any(|b| b.law == Law::Sound) {
            return broken;
        }
        broken.extend(self.flat().into_iter().map(|t| self.broken(Law::Area, [t; 2])));
        broken.extend(self.crossings().into_iter().map(|[a, b]| self.broken(Law::NoCrossing, [a, b])));
        if !broken.iter().any(|b| b.law <= Law::Oriented) {
            broken.extend(self.inverted_components());
        }
        broken
    }

    fn broken(&self, law: Law, triangles: [u32; 2]) -> Broken {
        let [a, b, c] = self.corners(triangles[0] as usize);
        Broken { law, at: (a + b + c) / 3.0, triangles }
    }

    /// The laws that need no geometry: sound, closed, edge- and vertex-manifold, oriented.
    pub fn laws_of_joints(&self) -> Vec<Broken> {
        let mut broken = Vec::new();
        for (i, t) in self.triangles.iter().enumerate() {
            let known = t.iter().all(|&p| (p as usize) < self.points.len());
            let finite = known && t.iter().all(|&p| self.points[p as usize].is_finite());
            if !finite || t[0] == t[1] || t[1] == t[2] || t[2] == t[0] {
                broken.push(Broken { law: Law::Sound, at: Vec3::ZERO, triangles: [i as u32; 2] });
            }
        }
        if !broken.is_empty() {
            return broken;
        }
        let edges = self.directed_edges();
        for group in edges.chunk_by(|a, b| (a.0, a.1) == (b.0, b.1)) {
            let forward = group.iter().filter(|e| e.2).count();
            let law = match group.len() {
                1 => Law::Closed,
                2 if forward == 1 => continue,
                2 => Law::Oriented,
                _ => Law::EdgeManifold,
            };
            broken.push(self.broken(law, [group[0].3, group[group.len() - 1].3]));
        }
        if broken.is_empty() {
            broken.extend(self.split_fans());
        }
        broken
    }

    /// Lesser point, greater point, whether the triangle runs from lesser to greater, triangle; sorted.
    fn directed_edges(&self) -> Vec<(u32, u32, bool, u32)> {
        let mut edges: Vec<_> = self
            .triangles
            .iter()
            .enumerate()
            .flat_map(|(i, t)| {
                (0..3).map(move |k| {
                    let (a, b) = (t[k], t[(k + 1) % 3]);
                    (a.min(b), a.max(b), a < b, i as u32)
                })
            })
            .collect();
        edges.par_sort_unstable();
        edges
    }

    /// Points whose triangles are more than one fan; for closed, edge-manifold meshes.
    fn split_fans(&self) -> Vec<Broken> {
        // Around a point, each triangle links the corner it comes from to the corner it goes to.
        let mut links: Vec<(u32, u32, u32, u32)> = Vec::with_capacity(self.triangles.len() * 3);
        for (i, t) in self.triangles.iter().enumerate() {
            for k in 0..3 {
                links.push((t[k], t[(k + 1) % 3], t[(k + 2) % 3], i as u32));
            }
        }
        links.par_sort_unstable();
        let mut broken = Vec::new();
        for fan in links.chunk_by(|a, b| a.0 == b.0) {
            let (mut at, mut steps) = (fan[0].2, 1);
            while at != fan[0].1 && steps <= fan.len() {
                let Ok(k) = fan.binary_search_by(|l| l.1.cmp(&at)) else { break };
                at = fan[k].2;
                steps += 1;
            }
            if steps != fan.len() {
                let mut b = self.broken(Law::VertexManifold, [fan[0].3; 2]);
                b.at = self.points[fan[0].0 as usize];
                broken.push(b);
            }
        }
        broken
    }

    /// Triangles without area, or as good as: no higher than [`Self::least_height`].
    pub fn flat(&self) -> Vec<u32> {
        let all: Vec<u32> = (0..self.triangles.len() as u32).collect();
        self.flat_among(&all, self.least_height())
    }

    /// The height up to which a triangle counts as flat: a thousand-millionth part of the mesh, mm.
    pub fn least_height(&self) -> f64 {
        self.bounds().size().norm() * FLAT
    }

    /// Those of some triangles that are no higher than `least` mm.
    pub fn flat_among(&self, some: &[u32], least: f64) -> Vec<u32> {
        let flat = |t: &u32| {
            let [a, b, c] = self.corners(*t as usize);
            let (ab, bc, ca) = (b - a, c - b, a - c);
            let longest = ab.dot(ab).max(bc.dot(bc)).max(ca.dot(ca));
            let area = ab.cross(bc);
            area.dot(area) <= longest * (least * least)
        };
        some.par_iter().copied().filter(flat).collect()
    }

    /// Pairs of triangles that meet elsewhere than in the corners and edges they share; decided exactly.
    pub fn crossings(&self) -> Vec<[u32; 2]> {
        if self.triangles.is_empty() {
            return vec![];
        }
        let boxes: Vec<Box3> =
            (0..self.triangles.len()).into_par_iter().map(|t| Box3::around(self.corners(t))).collect();
        let open = self.open_stars();
        let clear = |[a, b]: &[u32; 2]| {
            let (s, t) = (self.triangles[*a as usize], self.triangles[*b as usize]);
            s.iter().any(|v| !open[*v as usize] && t.contains(v))
        };
        let pairs = Tree::of_boxes(&boxes).pairs(&boxes);
        pairs
            .into_par_iter()
            .filter(|pair| !clear(pair) && self.cross(pair[0] as usize, pair[1] as usize))
            .collect()
    }

    /// For each point whether the triangles about it may cross each other. They do not when, seen along the sum of
    /// their normals, they all turn the same way and go round the point once: then they are the graph of a function.
    fn open_stars(&self) -> Vec<bool> {
        let n = self.points.len();
        let mut along = vec![Vec3::ZERO; n];
        for (t, corners) in self.triangles.iter().zip(0..).map(|(t, k)| (t, self.corners(k))) {
            let normal = (corners[1] - corners[0]).cross(corners[2] - corners[0]);
            t.iter().for_each(|v| along[*v as usize] += normal);
        }
        // Times round, and whether each neighbour is come to and left equally often.
        let mut round = vec![(0u8, 0u64); n];
        let mut open = vec![false; n];
        for (k, t) in self.triangles.iter().enumerate() {
            let corners = self.corners(k);
            let normal = (corners[1] - corners[0]).cross(corners[2] - corners[0]);
            for i in 0..3 {
                let (v, a, b) = (t[i] as usize, (i + 1) % 3, (i + 2) % 3);
                let up = along[v];
                let steep = normal.dot(up);
                open[v] |= !(steep > 0.0 && steep * steep > 1e-4 * normal.dot(normal) * up.dot(up));
                let side = across(up);
                let [from, to] = [a, b].map(|j| (corners[j] - corners[i]).dot(side));
                let (turns, seen) = &mut round[v];
                *turns = turns.saturating_add(u8::from(from < 0.0 && to >= 0.0));
                *seen = seen.wrapping_add(spread(t[a])).wrapping_sub(spread(t[b]));
            }
        }
        open.iter_mut().zip(round).for_each(|(open, (turns, seen))| *open |= turns != 1 || seen != 0);
        open
    }

    /// As [`Self::crossings`], of pairs of one of the first triangles with one of the second.
    pub fn crossings_among(&self, some: &[u32], others: &[u32]) -> Vec<[u32; 2]> {
        let (few, many) = if some.len() <= others.len() { (some, others) } else { (others, some) };
        if few.is_empty() {
            return vec![];
        }
        let bounds = |t: &u32| Box3::around(self.corners(*t as usize));
        let boxes: Vec<Box3> = few.iter().map(bounds).collect();
        let tree = Tree::of_boxes(&boxes);
        let mut pairs: Vec<[u32; 2]> = many
            .par_chunks(256)
            .flat_map_iter(|some| {
                let (mut near, mut pairs) = (Vec::new(), Vec::new());
                for t in some {
                    tree.touching(&boxes, bounds(t), &mut near);
                    let others = near.iter().map(|k| few[*k as usize]).filter(|u| u != t);
                    let meets = |u: &u32| self.cross(*u as usize, *t as usize);
                    pairs.extend(others.filter(meets).map(|u| [u.min(*t), u.max(*t)]));
                }
                pairs
            })
            .collect();
        pairs.par_sort_unstable();
        pairs.dedup();
        pairs
    }

    /// True when two triangles meet elsewhere than in the corners they share.
    fn cross(&self, a: usize, b: usize) -> bool {
        let (s, t) = (self.triangles[a], self.triangles[b]);
        let (p, q) = (self.corners(a), self.corners(b));
        let mut shared = [(0, 0); 9];
        let mut count = 0;
        for (i, j) in (0..3).flat_map(|i| (0..3).map(move |j| (i, j))).filter(|&(i, j)| s[i] == t[j]) {
            shared[count] = (i, j);
            count += 1;
        }
        let apart = match shared[..count] {
            [] => surely_apart(p, None, q, None) || surely_apart(q, None, p, None),
            [(i, j)] => surely_apart(p, Some(i), q, Some(j)) || surely_apart(q, Some(j), p, Some(i)),
            _ => false,
        };
        if apart {
            return false;
        }
        match shared[..count] {
            [] => {
                (0..3).any(|k| segment_meets(p[k], p[(k + 1) % 3], q))
                    || (0..3).any(|k| segment_meets(q[k], q[(k + 1) % 3], p))
            }
            // With one corner shared, only the opposite edges can meet the other triangle.
            [(i, j)] => one_corner(p, i, q, j),
            [(i, k), (j, l)] => folded(p, 3 - i - j, q, 3 - k - l),
            _ => true,
        }
    }

    /// Components of negative volume that lie in no other component.
    fn inverted_components(&self) -> Vec<Broken> {
        let (of, count) = self.component_of_triangles();
        let mut volume = vec![0.0; count];
        let mut bounds = vec![Box3::EMPTY; count];
        let mut first = vec![u32::MAX; count];
        for (t, k) in of.iter().enumerate() {
            let [a, b, c] = self.corners(t);
            let o = self.points[0];
            let k = *k as usize;
            volume[k] += (a - o).dot((b - o).cross(c - o)) / 6.0;
            bounds[k] = bounds[k].hold(a).hold(b).hold(c);
            first[k] = first[k].min(t as u32);
        }
        let inside = |k: usize| {
            (0..count).any(|j| j != k && volume[j] > -volume[k] && bounds[j].join(bounds[k]) == bounds[j])
        };
        (0..count)
            .filter(|&k| !(volume[k] > 0.0 || (volume[k] < 0.0 && inside(k))))
            .map(|k| self.broken(Law::Volume, [first[k]; 2]))
            .collect()
    }
}

/// A direction across another.
fn across(d: Vec3) -> Vec3 {
    let [x, y, z] = [d.x.abs(), d.y.abs(), d.z.abs()];
    if x <= y && x <= z {
        Vec3::new(0.0, d.z, -d.y)
    } else if y <= z {
        Vec3::new(-d.z, 0.0, d.x)
    } else {
        Vec3::new(d.y, -d.x, 0.0)
    }
}

/// A number spread over 64 bits, so that sums of different numbers hardly ever agree (the finaliser of SplitMix64:
/// G. Steele, D. Lea, C. Flood, OOPSLA 2014).
fn spread(i: u32) -> u64 {
    let x = u64::from(i).wrapping_mul(0x9e37_79b9_7f4a_7c15);
    let x = (x ^ (x >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    let x = (x ^ (x >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    x ^ (x >> 31)
}

pub(super) fn c3(p: Vec3) -> Coord3D<f64> {
    Coord3D { x: p.x, y: p.y, z: p.z }
}

pub(super) fn side(t: [Vec3; 3], p: Vec3) -> f64 {
    orient3d(c3(t[0]), c3(t[1]), c3(t[2]), c3(p))
}

/// True when rounding cannot hide that `p` lies to one side of the plane of `t`, or, seen along the axis along which that is
/// widest, beyond one of its sides; a corner that both share is left out of account. Many pairs are told apart in a moment.
fn surely_apart(p: [Vec3; 3], shared: Option<usize>, t: [Vec3; 3], corner: Option<usize>) -> bool {
    let own = || (0..3).filter(|k| shared != Some(*k)).map(|k| p[k]);
    let alike = |side: &dyn Fn(Vec3) -> i8| {
        let mut sides = own().map(side);
        let first = sides.next().unwrap_or(0);
        if first != 0 && sides.all(|side| side == first) { first } else { 0 }
    };
    if alike(&|at| sure_side(t, at)) != 0 {
        return true;
    }
    let axis = flat_axis(t);
    let flat = t.map(|v| c2(v, axis));
    let turn = sure_turn(flat[0], flat[1], flat[2]);
    (0..3).any(|k| {
        // A side that does not pass through the shared corner does not part them.
        let parts = corner.is_none_or(|c| c == k || c == (k + 1) % 3);
        parts && alike(&|at| sure_turn(flat[k], flat[(k + 1) % 3], c2(at, axis))) * turn < 0
    })
}

/// On which side of the plane of a triangle a place lies, 1 or -1, where rounding surely leaves that; else 0. The bound is that of
/// J. R. Shewchuk, Discrete & Computational Geometry 18 (1997) 305, for the first stage of his test, twice over.
fn sure_side(t: [Vec3; 3], p: Vec3) -> i8 {
    let [a, b, c] = t.map(|v| v - p);
    let terms = [[b.x * c.y, c.x * b.y, a.z], [c.x * a.y, a.x * c.y, b.z], [a.x * b.y, b.x * a.y, c.z]];
    let sum: f64 = terms.iter().map(|[u, v, z]| (u - v) * z).sum();
    let size: f64 = terms.iter().map(|[u, v, z]| (u.abs() + v.abs()) * z.abs()).sum();
    sure_sign(sum, 1.6e-15 * size)
}

/// The same for the turn of three places in a plane.
fn sure_turn(a: Coord<f64>, b: Coord<f64>, c: Coord<f64>) -> i8 {
    let (left, right) = ((a.x - c.x) * (b.y - c.y), (a.y - c.y) * (b.x - c.x));
    sure_sign(left - right, 7e-16 * (left.abs() + right.abs()))
}

fn sure_sign(v: f64, error: f64) -> i8 {
    match () {
        () if v > error => 1,
        () if v < -error => -1,
        () => 0,
    }
}

/// True when the closed segment meets the closed triangle.
fn segment_meets(p: Vec3, q: Vec3, t: [Vec3; 3]) -> bool {
    if seen_apart(p, q, t) {
        return false;
    }
    let (sp, sq) = (side(t, p), side(t, q));
    if (sp > 0.0 && sq > 0.0) || (sp < 0.0 && sq < 0.0) {
        return false;
    }
    if sp == 0.0 && sq == 0.0 {
        return flat_segment_meets(p, q, t);
    }
    let turns = [0, 1, 2].map(|k| orient3d(c3(p), c3(q), c3(t[k]), c3(t[(k + 1) % 3])));
    turns.iter().all(|x| *x >= 0.0) || turns.iter().all(|x| *x <= 0.0)
}

/// True when, seen along the axis along which the triangle is widest, the segment lies beyond one of its sides: told in a
/// moment, also of what lies in one plane.
fn seen_apart(p: Vec3, q: Vec3, t: [Vec3; 3]) -> bool {
    let axis = flat_axis(t);
    let [p, q] = [c2(p, axis), c2(q, axis)];
    let t = t.map(|v| c2(v, axis));
    let turn = orient2d(t[0], t[1], t[2]);
    (0..3).any(|k| {
        let beyond = |at: Coord<f64>| orient2d(t[k], t[(k + 1) % 3], at) * turn < 0.0;
        beyond(p) && beyond(q)
    })
}

/// The axis along which a triangle is widest seen.
pub(super) fn flat_axis(t: [Vec3; 3]) -> usize {
    let n = (t[1] - t[0]).cross(t[2] - t[0]);
    let n = [n.x.abs(), n.y.abs(), n.z.abs()];
    (0..3).fold(0, |best, k| if n[k] > n[best] { k } else { best })
}

pub(super) fn c2(p: Vec3, axis: usize) -> Coord<f64> {
    Coord { x: p[(axis + 1) % 3], y: p[(axis + 2) % 3] }
}

/// The same in the plane of the triangle.
fn flat_segment_meets(p: Vec3, q: Vec3, t: [Vec3; 3]) -> bool {
    let axis = flat_axis(t);
    let [p, q] = [c2(p, axis), c2(q, axis)];
    let t = t.map(|v| c2(v, axis));
    let holds = |p: Coord<f64>| {
        let s = [0, 1, 2].map(|k| orient2d(t[k], t[(k + 1) % 3], p));
        s.iter().all(|x| *x >= 0.0) || s.iter().all(|x| *x <= 0.0)
    };
    holds(p) || holds(q) || (0..3).any(|k| flat_segments_meet([p, q], [t[k], t[(k + 1) % 3]]))
}

fn flat_segments_meet([p, q]: [Coord<f64>; 2], [a, b]: [Coord<f64>; 2]) -> bool {
    let (s, t) = (orient2d(p, q, a), orient2d(p, q, b));
    let (u, v) = (orient2d(a, b, p), orient2d(a, b, q));
    let apart = |x: f64, y: f64| (x > 0.0 && y > 0.0) || (x < 0.0 && y < 0.0);
    if s == 0.0 && t == 0.0 {
        let over =
            |f: fn(Coord<f64>) -> f64| f(p).min(f(q)) <= f(a).max(f(b)) && f(a).min(f(b)) <= f(p).max(f(q));
        return over(|c| c.x) && over(|c| c.y);
    }
    !apart(s, t) && !apart(u, v)
}

/// Two triangles that share the corner `p[i]` = `q[j]`.
fn one_corner(p: [Vec3; 3], i: usize, q: [Vec3; 3], j: usize) -> bool {
    let opposite = |t: [Vec3; 3], k: usize| [t[(k + 1) % 3], t[(k + 2) % 3]];
    let ([a, b], [c, d]) = (opposite(p, i), opposite(q, j));
    segment_meets(a, b, q) || segment_meets(c, d, p)
}

/// Two triangles that share an edge: they overlap only when they lie in one plane on the same side of it.
fn folded(p: [Vec3; 3], i: usize, q: [Vec3; 3], j: usize) -> bool {
    if side(p, q[j]) != 0.0 {
        return false;
    }
    let axis = flat_axis(p);
    let [a, b] = [p[(i + 1) % 3], p[(i + 2) % 3]].map(|v| c2(v, axis));
    orient2d(a, b, c2(p[i], axis)) * orient2d(a, b, c2(q[j], axis)) > 0.0
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;

    /// A cube of 2 mm.
    pub(in crate::shape) fn block() -> Mesh {
        let points = Box3::cube(1.0).corners().to_vec();
        let quads = [[0, 2, 3, 1], [4, 5, 7, 6], [0, 1, 5, 4], [2, 6, 7, 3], [0, 4, 6, 2], [1, 3, 7, 5]];
        let triangles = quads.iter().flat_map(|q| [[q[0], q[1], q[2]], [q[0], q[2], q[3]]]).collect();
        Mesh { points, triangles, sides: vec![] }
    }

    fn laws(mesh: &Mesh) -> Vec<Law> {
        let mut all: Vec<Law> = mesh.laws().iter().map(|b| b.law).collect();
        all.dedup();
        all
    }

    #[test]
    fn a_block_obeys_all() {
        assert_eq!(laws(&block()), vec![]);
        assert!((block().measures().volume - 8.0).abs() < 1e-14);
    }

    #[test]
    fn each_law_can_be_broken() {
        let mut open = block();
        open.triangles.pop();
        assert_eq!(laws(&open), vec![Law::Closed]);
        let mut turned = block();
        turned.triangles[0].swap(0, 1);
        assert_eq!(laws(&turned), vec![Law::Oriented]);
        let mut inverted = block();
        inverted.triangles.iter_mut().for_each(|t| t.swap(0, 1));
        assert_eq!(laws(&inverted), vec![Law::Volume]);
        let mut folded = block();
        folded.points[7] = Vec3::new(-1.5, 0.1, 0.2);
        assert!(!folded.crossings().is_empty(), "a corner pushed through the face on the other side");
        let mut twice = block();
        let shifted = |d: Vec3| {
            let mut other = block();
            other.points.iter_mut().for_each(|p| *p += d);
            other
        };
        twice.append(&shifted(Vec3::new(0.5, 0.25, 0.125)));
        assert_eq!(laws(&twice), vec![Law::NoCrossing]);
        let mut corner = block();
        corner.append(&shifted(Vec3::splat(2.0)));
        assert_eq!(laws(&corner), vec![Law::NoCrossing], "they touch in a corner without sharing it");
        corner.weld();
        assert_eq!(laws(&corner), vec![Law::VertexManifold]);
        let mut edge = block();
        edge.append(&shifted(Vec3::new(2.0, 2.0, 0.0)));
        edge.weld();
        assert_eq!(laws(&edge), vec![Law::EdgeManifold]);
        let mut flat = block();
        flat.points[0] = (flat.points[2] + flat.points[3]) * 0.5;
        assert!(laws(&flat).contains(&Law::Area));
    }
}
