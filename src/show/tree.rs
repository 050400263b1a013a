//! A tree of boxes over triangles, four boxes to a node, for rays of four lanes at a time.
//!
//! A pairwise tree is built by the library and flattened here: each node keeps the planes of its four boxes side by
//! side, so that the compiler tests them together, and nodes and triangles lie in memory in the order of a walk.
//! Source: Dammertz, Hanika and Keller, "Shallow bounding volume hierarchies for fast SIMD ray tracing of incoherent
//! rays", EGSR 2008.

use super::vec::V;
use obvhs::bvh2::Bvh2;
use obvhs::bvh2::leaf_collapser::collapse;
use obvhs::ploc::{PlocBuilder, PlocSearchDistance, SortPrecision};
use obvhs::triangle::Triangle;

/// Most triangles in a leaf.
const LEAF: u32 = 4;
/// What the step to another node costs, against the test of a triangle.
const STEP: f32 = 1.2;

/// What boxes are larger by, in scene units: rays along their faces are not lost to rounding.
const HAIR: f32 = 1e-6;

/// Marks a child that is a leaf: its count less one lies above `COUNT_AT`, its first triangle below.
const IS_LEAF: u32 = 1 << 31;
const COUNT_AT: u32 = 29;
const FIRST: u32 = (1 << COUNT_AT) - 1;

/// Four boxes: the planes least x, greatest x, least y and so on, one lane for each; and what lies in each.
#[derive(Clone, Copy)]
#[repr(align(64))]
struct Node {
    planes: [[f32; 4]; 6],
    child: [u32; 4],
}

/// A box that no ray meets.
const NOWHERE: Node = Node {
    planes: [
        [f32::INFINITY; 4],
        [f32::NEG_INFINITY; 4],
        [f32::INFINITY; 4],
        [f32::NEG_INFINITY; 4],
        [f32::INFINITY; 4],
        [f32::NEG_INFINITY; 4],
    ],
    child: [0; 4],
};

/// A tree over triangles.
pub(super) struct Tree {
    nodes: Vec<Node>,
}

/// What waits for its turn: a few in place, more than that on the heap.
struct Waiting {
    near: [(u32, f32); 48],
    count: usize,
    more: Vec<(u32, f32)>,
}

impl Waiting {
    fn new() -> Self {
        Self { near: [(0, 0.0); 48], count: 0, more: Vec::new() }
    }

    #[inline(always)]
    fn push(&mut self, child: u32, at: f32) {
        match self.near.get_mut(self.count) {
            Some(slot) => *slot = (child, at),
            None => self.more.push((child, at)),
        }
        self.count += 1;
    }

    #[inline(always)]
    fn pop(&mut self) -> Option<(u32, f32)> {
        self.count = self.count.checked_sub(1)?;
        self.near.get(self.count).copied().or_else(|| self.more.pop())
    }
}

/// A ray as boxes meet it.
struct Ray {
    start: [f32; 3],
    /// One over the direction, kept finite.
    inverse: [f32; 3],
    /// Which plane of each axis is met first.
    first: [usize; 3],
}

impl Ray {
    fn new(from: V, along: V) -> Self {
        let inverse = along.array().map(|d| 1.0 / if d.abs() < 1e-12 { 1e-12f32.copysign(d) } else { d });
        Self {
            start: from.array(),
            first: std::array::from_fn(|i| 2 * i + usize::from(inverse[i] < 0.0)),
            inverse,
        }
    }

    /// Where the ray enters each box, infinite for a miss.
    #[inline(always)]
    fn enters(&self, node: &Node, reach: f32) -> [f32; 4] {
        let (mut from, mut to) = ([0.0f32; 4], [reach; 4]);
        for axis in 0..3 {
            let (near, far) = (&node.planes[self.first[axis]], &node.planes[self.first[axis] ^ 1]);
            for lane in 0..4 {
                let enter = (near[lane] - self.start[axis]) * self.inverse[axis];
                let leave = (far[lane] - self.start[axis]) * self.inverse[axis];
                from[lane] = if enter > from[lane] { enter } else { from[lane] };
                to[lane] = if leave < to[lane] { leave } else { to[lane] };
            }
        }
        // A little more than rounding can take away.
        std::array::from_fn(
            |lane| {
                if from[lane] <= to[lane] * 1.000_001 { from[lane] } else { f32::INFINITY }
            },
        )
    }
}

impl Tree {
    /// A tree over triangles, and the order in which it takes them: it speaks of the triangle at `order[i]` as `i`.
    pub fn new(triangles: &[[V; 3]]) -> (Self, Vec<u32>) {
        if triangles.is_empty() {
            return (Self { nodes: Vec::new() }, Vec::new());
        }
        let solid: Vec<Triangle> = triangles
            .iter()
            .map(|t| {
                let [v0, v1, v2] = t.map(|p| p.array().into());
                Triangle { v0, v1, v2 }
            })
            .collect();
        let all = (0..triangles.len() as u32).collect();
        // Looking further for pairs costs a tenth more time and saves rays three of five steps.
        let (search, precision) = (PlocSearchDistance::Medium, SortPrecision::U64);
        let mut pairs = PlocBuilder::with_capacity(solid.len()).build(search, &solid, all, precision, 0);
        collapse(&mut pairs, LEAF, STEP);
        let mut nodes = Vec::with_capacity(pairs.nodes.len() / 2);
        let mut order = Vec::with_capacity(triangles.len());
        flatten(&pairs, &mut nodes, &mut order);
        (Self { nodes }, order)
    }

    /// The nearest triangle along a ray and its distance; `cross` gives the distance to a triangle, infinite for a miss.
    #[inline]
    pub fn nearest(&self, from: V, along: V, cross: impl Fn(usize) -> f32) -> Option<(usize, f32)> {
        let ray = Ray::new(from, along);
        let (mut best, mut reach) = (None, f32::INFINITY);
        let mut waiting = Waiting::new();
        waiting.push(0, 0.0);
        while let Some((child, at)) = waiting.pop() {
            if at > reach {
                continue;
            }
            if child & IS_LEAF != 0 {
                for i in leaf(child) {
                    let t = cross(i);
                    if t < reach {
                        (best, reach) = (Some((i, t)), t);
                    }
                }
                continue;
            }
            let node = &self.nodes[child as usize];
            // The furthest first, so that the nearest is taken next.
            for key in sorted(ray.enters(node, reach)) {
                if key < MISSED {
                    waiting.push(node.child[(key & 3) as usize], f32::from_bits(key & !3));
                }
            }
        }
        best
    }

    /// True when some triangle lies nearer than `reach` along a ray.
    #[inline]
    pub fn any(&self, from: V, along: V, reach: f32, cross: impl Fn(usize) -> f32) -> bool {
        let ray = Ray::new(from, along);
        let mut waiting = Waiting::new();
        waiting.push(0, 0.0);
        while let Some((child, _)) = waiting.pop() {
            if child & IS_LEAF != 0 {
                if leaf(child).any(|i| cross(i) < reach) {
                    return true;
                }
                continue;
            }
            let node = &self.nodes[child as usize];
            for (lane, t) in ray.enters(node, reach).into_iter().enumerate() {
                if t < f32::INFINITY {
                    waiting.push(node.child[lane], t);
                }
            }
        }
        false
    }

    /// True without a triangle.
    pub fn is_empty(&self) -> bool {
        self.nodes.is_empty()
    }
}

/// The key of a box that is missed: above those of all finite distances.
const MISSED: u32 = f32::INFINITY.to_bits();

/// Boxes by distance, the furthest first, as keys: the bits of the distance, the last two taken by the lane. Bits of
/// floats that are not negative are ordered as the floats are.
#[inline(always)]
fn sorted(enters: [f32; 4]) -> [u32; 4] {
    let [mut a, mut b, mut c, mut d] = std::array::from_fn(|lane| enters[lane].to_bits() & !3 | lane as u32);
    (a, c) = (a.max(c), a.min(c));
    (b, d) = (b.max(d), b.min(d));
    (a, b) = (a.max(b), a.min(b));
    (c, d) = (c.max(d), c.min(d));
    (b, c) = (b.max(c), b.min(c));
    [a, b, c, d]
}

/// The triangles of a leaf.
#[inline(always)]
fn leaf(child: u32) -> std::ops::Range<usize> {
    let (first, count) = ((child & FIRST) as usize, (child >> COUNT_AT & 3) as usize + 1);
    first..first + count
}

/// The pairwise tree as nodes of four, in the order of a walk.
fn flatten(pairs: &Bvh2, nodes: &mut Vec<Node>, order: &mut Vec<u32>) {
    // Where a child is to be written, and which node of the pairs it is.
    let mut waiting = vec![(usize::MAX, 0, 0u32)];
    while let Some((parent, lane, at)) = waiting.pop() {
        let pair = &pairs.nodes[at as usize];
        let here = nodes.len();
        if pair.is_leaf() && parent != usize::MAX {
            nodes[parent].child[lane] = take(pairs, pair.first_index, pair.prim_count, order);
            continue;
        }
        if parent != usize::MAX {
            nodes[parent].child[lane] = here as u32;
        }
        let mut node = NOWHERE;
        let four = four(pairs, at);
        for (lane, &i) in four.iter().enumerate() {
            let hull = pairs.nodes[i as usize].aabb();
            let (low, high) = (hull.min.to_array(), hull.max.to_array());
            for axis in 0..3 {
                node.planes[2 * axis][lane] = low[axis] - HAIR;
                node.planes[2 * axis + 1][lane] = high[axis] + HAIR;
            }
        }
        nodes.push(node);
        waiting.extend(four.iter().enumerate().rev().map(|(lane, &i)| (here, lane, i)));
    }
}

/// The triangles of a leaf are taken next in the order; the sign for them.
fn take(pairs: &Bvh2, start: u32, count: u32, order: &mut Vec<u32>) -> u32 {
    let first = order.len() as u32;
    let own = start as usize..(start + count) as usize;
    order.extend_from_slice(&pairs.primitive_indices[own]);
    IS_LEAF | (count - 1) << COUNT_AT | first
}

/// Up to four nodes below a node: the widest is taken apart again and again.
fn four(pairs: &Bvh2, at: u32) -> Vec<u32> {
    let mut list = vec![at];
    while list.len() < 4 {
        let open = |&(_, i): &(usize, &u32)| !pairs.nodes[*i as usize].is_leaf();
        let wide = |i: u32| pairs.nodes[i as usize].aabb().half_area();
        let widest = list
            .iter()
            .enumerate()
            .filter(open)
            .max_by(|a, b| wide(*a.1).total_cmp(&wide(*b.1)))
            .map(|(k, &i)| (k, pairs.nodes[i as usize].first_index));
        let Some((k, below)) = widest else { break };
        list[k] = below;
        list.insert(k + 1, below + 1);
    }
    list
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::show::vec::v;

    /// Every ray meets what a look at all triangles meets: a bent sheet of small squares, with rays along the axes,
    /// close to them, and through corners.
    #[test]
    fn a_ray_misses_nothing() {
        let at =
            |i: usize, j: usize| v(i as f32 / 20.0, j as f32 / 20.0, ((i * i + 3 * j) % 7) as f32 / 70.0);
        let mut triangles = Vec::new();
        for i in 0..20 {
            for j in 0..20 {
                triangles.push([at(i, j), at(i + 1, j), at(i + 1, j + 1)]);
                triangles.push([at(i, j), at(i + 1, j + 1), at(i, j + 1)]);
            }
        }
        let (tree, order) = Tree::new(&triangles);
        let mut seen = order.clone();
        seen.sort_unstable();
        assert!(seen.iter().enumerate().all(|(i, &k)| i == k as usize) && seen.len() == triangles.len());
        for n in 0..2000 {
            let along =
                [v(0.0, 0.0, -1.0), v(1.0, 1e-9, -0.05), v(0.3, -0.7, -0.6), v(-1e-4, 1.0, -1e-3)][n % 4];
            let from = at(n % 21, n / 21 % 21) - along * 2.0 + v(0.013, 0.007, 0.0) * (n % 3) as f32;
            let cross = |i: usize| {
                let [a, b, c] = triangles[order[i] as usize];
                let p = along.cross(c - a);
                let k = 1.0 / (b - a).dot(p);
                let q = (from - a).cross(b - a);
                let (u, w, t) = ((from - a).dot(p) * k, along.dot(q) * k, (c - a).dot(q) * k);
                // A triangle seen edge-on gives no number to trust.
                let met = k.abs() < 1e5 && u >= 0.0 && w >= 0.0 && u + w <= 1.0 && t > 0.0;
                if met { t } else { f32::INFINITY }
            };
            let all = (0..triangles.len()).map(cross).fold(f32::INFINITY, f32::min);
            // Where two triangles share a place, either may be named: their distances differ by rounding alone.
            let met = tree.nearest(from, along, cross).map_or(f32::INFINITY, |(_, t)| t);
            assert!(met == all || (met - all).abs() < 1e-5, "ray {n}: {met} for {all}");
            assert_eq!(tree.any(from, along, f32::INFINITY, cross), all.is_finite());
        }
    }

    #[test]
    fn no_triangles_and_many_in_one_place_are_no_trouble() {
        assert!(Tree::new(&[]).0.is_empty());
        let one = [v(0.0, 0.0, 0.0), v(1.0, 0.0, 0.0), v(0.0, 1.0, 0.0)];
        let (tree, order) = Tree::new(&vec![one; 5000]);
        assert_eq!(order.len(), 5000);
        let hits = std::cell::Cell::new(0);
        let cross = |_| {
            hits.set(hits.get() + 1);
            f32::INFINITY
        };
        assert!(tree.nearest(v(0.2, 0.2, 1.0), v(0.0, 0.0, -1.0), cross).is_none());
        assert_eq!(hits.get(), 5000);
    }
}
