//! A tree of boxes over the triangles of a mesh: near pairs, closest points.

use std::ops::Range;

use rayon::prelude::*;

use super::Mesh;
use crate::base::{Box3, Vec3};

/// Triangles in a leaf, at most.
const LEAF: usize = 4;

#[derive(Clone, Copy, Debug)]
struct Branch {
    bounds: Box3,
    /// Range in the order of triangles.
    from: u32,
    to: u32,
    /// Index of the first of two children that stand side by side; 0 for a leaf.
    child: u32,
}

/// A flat round box about some triangles that look one way: a surface seen aslant fills its box badly.
#[derive(Clone, Copy, Debug)]
struct Disc {
    centre: Vec3,
    normal: Vec3,
    /// Greatest distance from the axis, and half the height.
    radius: f64,
    half: f64,
}

impl Disc {
    fn of(triangles: &[[Vec3; 3]]) -> Self {
        let sum = triangles.iter().fold(Vec3::ZERO, |n, [a, b, c]| n + (*b - *a).cross(*c - *a));
        let normal = sum.unit().unwrap_or(Vec3::ZERO);
        let points = || triangles.iter().flatten();
        let middle = points().fold(Vec3::ZERO, |s, p| s + *p) / (3.0 * triangles.len().max(1) as f64);
        let height = |p: &Vec3| (*p - middle).dot(normal);
        let (low, high) = points().map(height).fold((0.0f64, 0.0f64), |(l, h), z| (l.min(z), h.max(z)));
        let centre = middle + normal * (0.5 * (low + high));
        let off = |p: &Vec3| {
            let d = *p - centre;
            (d.dot(d) - d.dot(normal) * d.dot(normal)).max(0.0).sqrt()
        };
        let radius = points().map(off).fold(0.0, f64::max);
        // Larger than rounding.
        let more = 1e-9 * (radius + centre.norm());
        Self { centre, normal, radius: radius + more, half: 0.5 * (high - low) + more }
    }

    /// Squared distance to a point, or less.
    fn gap(&self, p: Vec3) -> f64 {
        let d = p - self.centre;
        let along = d.dot(self.normal);
        let up = (along.abs() - self.half).max(0.0);
        let out = ((d.dot(d) - along * along).max(0.0).sqrt() - self.radius).max(0.0);
        up * up + out * out
    }
}

/// Branches of at most this many triangles have a disc.
const DISC: u32 = 64;

/// A tree of boxes over the triangles of a mesh. Built the same way on every machine.
#[derive(Clone, Debug)]
pub struct Tree {
    branches: Vec<Branch>,
    order: Vec<u32>,
    /// The corners of the triangles in that order; empty for a tree of boxes.
    corners: Vec<[Vec3; 3]>,
    /// For each branch of a tree over triangles its disc.
    discs: Vec<Option<Disc>>,
}

/// The point of a mesh that is nearest to a given one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Nearest {
    /// The nearest point, mm.
    pub point: Vec3,
    /// The triangle it lies on.
    pub triangle: u32,
    /// Its distance, mm.
    pub distance: f64,
    /// Where the tree keeps the triangle: a hint for the next search nearby.
    pub kept: u32,
}

impl Tree {
    /// The tree of a mesh.
    pub fn new(mesh: &Mesh) -> Self {
        let boxes: Vec<Box3> = (0..mesh.triangles.len()).map(|t| Box3::around(mesh.corners(t))).collect();
        let mut tree = Self::of_boxes(&boxes);
        tree.corners = tree.order.par_iter().map(|t| mesh.corners(*t as usize)).collect();
        let disc = |b: &Branch| {
            (b.to - b.from <= DISC).then(|| Disc::of(&tree.corners[b.from as usize..b.to as usize]))
        };
        tree.discs = tree.branches.par_iter().map(disc).collect();
        tree
    }

    /// The tree of any boxes, such as those of grown triangles.
    pub fn of_boxes(boxes: &[Box3]) -> Self {
        let mut order: Vec<u32> = (0..boxes.len() as u32).collect();
        let whole = Branch { bounds: Box3::EMPTY, from: 0, to: boxes.len() as u32, child: 0 };
        let mut branches = vec![whole];
        let mut next = 0;
        while next < branches.len() {
            let (from, to) = (branches[next].from as usize, branches[next].to as usize);
            let part = &mut order[from..to];
            let bounds = part.iter().fold(Box3::EMPTY, |b, &i| b.join(boxes[i as usize]));
            branches[next].bounds = bounds;
            if part.len() > LEAF {
                let size = bounds.size();
                let axis = (0..3).fold(0, |best, k| if size[k] > size[best] { k } else { best });
                let key = |i: u32| boxes[i as usize].min[axis] + boxes[i as usize].max[axis];
                let half = part.len() / 2;
                part.select_nth_unstable_by(half, |&a, &b| key(a).total_cmp(&key(b)).then(a.cmp(&b)));
                branches[next].child = branches.len() as u32;
                let middle = (from + half) as u32;
                branches.push(Branch { bounds, from: from as u32, to: middle, child: 0 });
                branches.push(Branch { bounds, from: middle, to: to as u32, child: 0 });
            }
            next += 1;
        }
        Self { branches, order, corners: vec![], discs: vec![] }
    }

    /// The pairs of triangles whose boxes meet, each once, the lesser number first; `boxes` as the tree was built.
    pub fn pairs(&self, boxes: &[Box3]) -> Vec<[u32; 2]> {
        const SHARES: usize = 1024;
        let mut found = Vec::new();
        // Level by level until there is enough to share out.
        let mut open = vec![(0u32, 0u32)];
        while !open.is_empty() && open.len() < SHARES {
            let mut next = Vec::new();
            open.iter().for_each(|pair| self.split_pair(*pair, boxes, &mut next, &mut found));
            open = next;
        }
        found.par_extend(open.into_par_iter().flat_map_iter(|pair| {
            let (mut stack, mut found) = (vec![pair], Vec::new());
            while let Some(pair) = stack.pop() {
                self.split_pair(pair, boxes, &mut stack, &mut found);
            }
            found
        }));
        found.par_sort_unstable();
        found
    }

    /// One pair of branches taken apart: into pairs of lesser branches, or into pairs of triangles.
    fn split_pair(
        &self,
        (a, b): (u32, u32),
        boxes: &[Box3],
        open: &mut Vec<(u32, u32)>,
        found: &mut Vec<[u32; 2]>,
    ) {
        let (p, q) = (&self.branches[a as usize], &self.branches[b as usize]);
        if p.bounds.meet(q.bounds).is_empty() {
            return;
        }
        match (p.child, q.child) {
            (0, 0) => self.leaf_pairs([a, b], boxes, found),
            (c, _) if a == b => open.extend([(c, c), (c + 1, c + 1), (c, c + 1)]),
            (0, d) => open.extend([(a, d), (a, d + 1)]),
            (c, d) if d == 0 || p.to - p.from >= q.to - q.from => open.extend([(c, b), (c + 1, b)]),
            (_, d) => open.extend([(a, d), (a, d + 1)]),
        }
    }

    /// The triangles whose boxes meet `region`, in no useful but a fixed order, put in the place of what was `found`; `boxes` as
    /// the tree was built.
    pub fn touching(&self, boxes: &[Box3], region: Box3, found: &mut Vec<u32>) {
        found.clear();
        self.touch(0, boxes, region, found);
    }

    fn touch(&self, branch: u32, boxes: &[Box3], region: Box3, found: &mut Vec<u32>) {
        let node = &self.branches[branch as usize];
        if node.bounds.meet(region).is_empty() {
            return;
        }
        if node.child == 0 {
            let items = &self.order[node.from as usize..node.to as usize];
            found.extend(items.iter().filter(|i| !boxes[**i as usize].meet(region).is_empty()));
            return;
        }
        self.touch(node.child + 1, boxes, region, found);
        self.touch(node.child, boxes, region, found);
    }

    /// True when the box of a triangle meets `region`; `boxes` as the tree was built.
    pub fn touches(&self, boxes: &[Box3], region: Box3) -> bool {
        let mut found = Vec::new();
        self.touch(0, boxes, region, &mut found);
        !found.is_empty()
    }

    /// The triangles of the mesh whose boxes meet `region`: where they are kept, their number in the mesh and corners.
    pub fn meeting(&self, region: Box3) -> Vec<(u32, u32, [Vec3; 3])> {
        let (mut found, mut open) = (Vec::new(), vec![0u32]);
        while let Some(at) = open.pop() {
            let node = &self.branches[at as usize];
            if node.bounds.meet(region).is_empty() {
                continue;
            }
            if node.child != 0 {
                open.extend([node.child, node.child + 1]);
                continue;
            }
            let kept = (node.from..node.to).map(|k| (k, self.order[k as usize], self.corners[k as usize]));
            found.extend(kept.filter(|t| !Box3::around(t.2).meet(region).is_empty()));
        }
        found
    }

    fn leaf_pairs(&self, [a, b]: [u32; 2], boxes: &[Box3], found: &mut Vec<[u32; 2]>) {
        let items = |k: u32| {
            let n = &self.branches[k as usize];
            &self.order[n.from as usize..n.to as usize]
        };
        for (at, &i) in items(a).iter().enumerate() {
            for &j in items(b).iter().skip(if a == b { at + 1 } else { 0 }) {
                if !boxes[i as usize].meet(boxes[j as usize]).is_empty() {
                    found.push([i.min(j), i.max(j)]);
                }
            }
        }
    }

    /// The nearest point of the mesh that the tree was built of, within `reach` mm of `p`. Of several triangles at the
    /// same distance, the first. `hint`: where a triangle is kept that is likely to be near; it makes the search
    /// shorter and does not change the answer.
    pub fn nearest(&self, p: Vec3, reach: f64, hint: Option<u32>) -> Option<Nearest> {
        let mut best: Option<(u32, Vec3)> = None;
        let mut limit = reach * reach;
        let look = |kept: u32, limit: &mut f64, best: &mut Option<(u32, Vec3)>| {
            let Some(corners) = self.corners.get(kept as usize) else { return };
            let q = closest_on_triangle(*corners, p);
            let d = (q - p).dot(q - p);
            let first = |other: u32| self.order[kept as usize] < self.order[other as usize];
            if d < *limit || d == *limit && best.is_none_or(|b| first(b.0)) {
                *limit = d;
                *best = Some((kept, q));
            }
        };
        if let Some(kept) = hint {
            look(kept, &mut limit, &mut best);
        }
        // Halves of four thousand million triangles are at most this deep.
        let mut waiting = [(0u32, 0.0f64); 40];
        let mut count = 1;
        while count > 0 {
            count -= 1;
            let (at, far) = waiting[count];
            // A little loose: rounding must not hide a triangle at the very same distance.
            if far > limit * (1.0 + 1e-12) {
                continue;
            }
            let node = &self.branches[at as usize];
            if node.child == 0 {
                (node.from..node.to).for_each(|kept| look(kept, &mut limit, &mut best));
                continue;
            }
            let [l, r] = [node.child, node.child + 1];
            let [dl, dr] = [l, r].map(|k| self.gap(k as usize, p));
            let pair = if dl <= dr { [(r, dr), (l, dl)] } else { [(l, dl), (r, dr)] };
            for next in pair {
                if next.1 <= limit * (1.0 + 1e-12) && count < waiting.len() {
                    waiting[count] = next;
                    count += 1;
                }
            }
        }
        best.map(|(kept, point)| Nearest {
            point,
            triangle: self.order[kept as usize],
            distance: limit.sqrt(),
            kept,
        })
    }
}

/// One search of the tree is as much work as this many looks at a triangle.
const SEARCH: usize = 64;

impl Tree {
    /// The nearest point of the mesh for each point of a lattice (x fastest), as [`Tree::nearest`] finds it; `None` where
    /// that would be less work point by point, or the coordinates do not rise.
    pub fn nearest_each(&self, axes: [&[f64]; 3], reach: f64) -> Option<Vec<Option<Nearest>>> {
        let ends = axes.map(|a| Some((*a.first()?, *a.last()?)).filter(|_| a.is_sorted()));
        let [Some(x), Some(y), Some(z)] = ends else { return None };
        let region = Box3::new(Vec3::new(x.0, y.0, z.0), Vec3::new(x.1, y.1, z.1));
        let triangles = self.meeting(region.grown(reach));
        let spans: Vec<[Range<usize>; 3]> = triangles.iter().map(|t| spans(axes, t.2, reach)).collect();
        let [nx, ny, nz] = axes.map(<[f64]>::len);
        let work: usize = spans.iter().map(|s| s.iter().map(Range::len).product::<usize>()).sum();
        if work > SEARCH * nx * ny * nz {
            return None;
        }
        let mut limit = vec![reach * reach; nx * ny * nz];
        let mut best: Vec<Option<(u32, u32, Vec3)>> = vec![None; nx * ny * nz];
        for ((kept, number, corners), [along_x, along_y, along_z]) in triangles.into_iter().zip(spans) {
            let [a, b, c] = corners;
            let normal = (b - a).cross(c - a).unit().unwrap_or(Vec3::ZERO);
            for k in along_z {
                for j in along_y.clone() {
                    for i in along_x.clone() {
                        let at = i + nx * (j + ny * k);
                        let p = Vec3::new(axes[0][i], axes[1][j], axes[2][k]);
                        let off = normal.dot(p - a);
                        if off * off > limit[at] * (1.0 + 1e-12) {
                            continue;
                        }
                        let q = closest_on_triangle(corners, p);
                        let d = (q - p).dot(q - p);
                        if d < limit[at] || d == limit[at] && best[at].is_none_or(|b| number < b.1) {
                            limit[at] = d;
                            best[at] = Some((kept, number, q));
                        }
                    }
                }
            }
        }
        let found = |(b, limit): (Option<(u32, u32, Vec3)>, f64)| {
            b.map(|(kept, triangle, point)| Nearest { point, triangle, distance: limit.sqrt(), kept })
        };
        Some(best.into_iter().zip(limit).map(found).collect())
    }

    /// The normal of a triangle by where the tree keeps it; zero for one without area.
    pub fn normal(&self, kept: u32) -> Vec3 {
        let normal = |[a, b, c]: &[Vec3; 3]| (*b - *a).cross(*c - *a).unit();
        self.corners.get(kept as usize).and_then(normal).unwrap_or(Vec3::ZERO)
    }

    /// The corners of the triangles of each branch.
    pub(super) fn branches(&self) -> impl Iterator<Item = &[[Vec3; 3]]> {
        self.branches.iter().map(|b| &self.corners[b.from as usize..b.to as usize])
    }

    /// The sum over all triangles of `one`, of which `whole` may tell the sum over a branch.
    pub(super) fn sum(&self, whole: impl Fn(usize) -> Option<f64>, one: impl Fn([Vec3; 3]) -> f64) -> f64 {
        let (mut sum, mut open) = (0.0, vec![0u32]);
        while let Some(at) = open.pop() {
            let branch = &self.branches[at as usize];
            if let Some(told) = whole(at as usize) {
                sum += told;
            } else if branch.child == 0 {
                let triangles = &self.corners[branch.from as usize..branch.to as usize];
                sum += triangles.iter().map(|t| one(*t)).sum::<f64>();
            } else {
                open.extend([branch.child, branch.child + 1]);
            }
        }
        sum
    }

    /// Squared distance from a point to what a branch holds, or less.
    fn gap(&self, branch: usize, p: Vec3) -> f64 {
        let box_gap = gap(self.branches[branch].bounds, p);
        match self.discs.get(branch) {
            Some(Some(disc)) => box_gap.max(disc.gap(p)),
            _ => box_gap,
        }
    }
}

/// The places on each axis of a lattice that lie within `reach` of the box of a triangle.
fn spans(axes: [&[f64]; 3], corners: [Vec3; 3], reach: f64) -> [Range<usize>; 3] {
    let near = Box3::around(corners).grown(reach);
    std::array::from_fn(|k| {
        let from = axes[k].partition_point(|c| *c < near.min[k]);
        from..axes[k].partition_point(|c| *c <= near.max[k]).max(from)
    })
}

/// Squared distance from a point to a box; infinite for an empty one.
fn gap(b: Box3, p: Vec3) -> f64 {
    let d = (b.min - p).max(p - b.max).max(Vec3::ZERO);
    d.dot(d)
}

/// The point of a triangle nearest to `p`, by the regions of the plane around it.
pub fn closest_on_triangle([a, b, c]: [Vec3; 3], p: Vec3) -> Vec3 {
    let (ab, ac, ap) = (b - a, c - a, p - a);
    let (d1, d2) = (ab.dot(ap), ac.dot(ap));
    if d1 <= 0.0 && d2 <= 0.0 {
        return a;
    }
    let bp = p - b;
    let (d3, d4) = (ab.dot(bp), ac.dot(bp));
    if d3 >= 0.0 && d4 <= d3 {
        return b;
    }
    let vc = d1 * d4 - d3 * d2;
    if vc <= 0.0 && d1 >= 0.0 && d3 <= 0.0 {
        return a + ab * (d1 / (d1 - d3));
    }
    let cp = p - c;
    let (d5, d6) = (ab.dot(cp), ac.dot(cp));
    if d6 >= 0.0 && d5 <= d6 {
        return c;
    }
    let vb = d5 * d2 - d1 * d6;
    if vb <= 0.0 && d2 >= 0.0 && d6 <= 0.0 {
        return a + ac * (d2 / (d2 - d6));
    }
    let va = d3 * d6 - d5 * d4;
    if va <= 0.0 && d4 - d3 >= 0.0 && d5 - d6 >= 0.0 {
        return b + (c - b) * ((d4 - d3) / ((d4 - d3) + (d5 - d6)));
    }
    let k = 1.0 / (va + vb + vc);
    a + ab * (vb * k) + ac * (vc * k)
}
