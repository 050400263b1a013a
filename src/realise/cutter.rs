//! The cuts of a clip through what lies between two sheets: prisms, each taken as three tetrahedra, with the clip straight
//! in them.

use std::collections::HashMap;

use super::crossing;
use super::field::Field;
use super::skins::slopes;
use crate::base::Vec3;
use crate::formula::{Scratch, Tape};
use crate::shape::{Mesh, Side};

/// A corner of a polygon: where some functions of the clip vanish on the simplex of some points. The same corner of
/// another polygon has the same name, so that polygons join.
type Corner = ([u32; 4], u64);

/// No point.
const NONE: u32 = u32::MAX;

/// What is made of prisms one after another. Their points are known by number; what the clip adds comes after them.
pub struct Cutter<'a> {
    points: Vec<Vec3>,
    /// The functions of the clip; wanted is where none is positive.
    functions: Vec<&'a Tape>,
    /// For each of them about how far the points are from where it vanishes.
    clips: Vec<Vec<f64>>,
    made: HashMap<Corner, u32>,
    /// Points between two that stood before, by the function that vanishes there.
    cuts: Vec<(usize, [u32; 2], u32)>,
    mesh: Mesh,
}

/// A triangle on the outside of a prism.
pub type Face = ([u32; 3], Side);

/// A corner with its point.
#[derive(Clone, Copy)]
struct Knot {
    corner: Corner,
    point: u32,
}

impl<'a> Cutter<'a> {
    /// Nothing yet, of some points. Those nearer to a function of the clip than `snap` mm are moved onto it, so that no
    /// sliver is cut off.
    pub fn new(mut points: Vec<Vec3>, clip: Option<&'a Field>, snap: f64) -> Self {
        let functions = clip.map(Field::greatest_of).unwrap_or_default();
        let clips = functions.iter().map(|tape| snapped(tape, &mut points, snap)).collect();
        Self { points, functions, clips, made: HashMap::new(), cuts: vec![], mesh: Mesh::default() }
    }

    /// True when a point is wanted.
    pub fn is_inside(&self, i: u32) -> bool {
        self.clips.iter().all(|v| v[i as usize] <= 0.0)
    }

    /// What is wanted of a prism: those of its faces that are told to be outside, and the cuts. The triangle at one end,
    /// counter-clockwise seen from outside, is joined to the other, corner to corner. Corners may be the same.
    pub fn prism(&mut self, one: [u32; 3], other: [u32; 3], outside: &[Face]) {
        let corners = || one.into_iter().chain(other).map(|i| i as usize);
        if self.clips.iter().any(|v| corners().all(|i| v[i] > 0.0)) {
            return;
        }
        let cutting: Vec<usize> =
            (0..self.clips.len()).filter(|f| corners().any(|i| self.clips[*f][i] > 0.0)).collect();
        let tetrahedra = tetrahedra(one, other);
        for (face, side) in outside {
            let behind = || tetrahedra.iter().find_map(|(t, _)| tip(t, face));
            if !cutting.iter().any(|f| behind().is_some_and(|tip| self.lies_on(*face, tip, *f))) {
                self.polygon(face.map(|i| self.knot(i)).to_vec(), &cutting, *side);
            }
        }
        for (tetrahedron, positive) in tetrahedra.iter().filter(|(t, _)| t.windows(2).all(|w| w[0] != w[1])) {
            for f in &cutting {
                let others: Vec<usize> = cutting.iter().copied().filter(|g| g != f).collect();
                if let Some(cap) = self.cap(*tetrahedron, *positive, outside, *f) {
                    self.polygon(cap, &others, Side::Cut);
                }
            }
        }
    }

    /// The mesh of all prisms, the points of cuts where the functions vanish.
    pub fn finish(mut self) -> Mesh {
        self.settle();
        let Self { points, mut mesh, .. } = self;
        mesh.points = points;
        drop_films(&mut mesh);
        mesh
    }

    /// True when a face outside lies on the cut of a function and what is behind it is not wanted.
    fn lies_on(&self, face: [u32; 3], tip: u32, f: usize) -> bool {
        face.iter().all(|i| self.clips[f][*i as usize] == 0.0) && self.clips[f][tip as usize] > 0.0
    }

    /// The cut of a function through a tetrahedron, seen from where the function is positive; `positive`: the last corner
    /// sees the others turn counter-clockwise. The order of the corners tells which way round the cut goes, not their places,
    /// so that a prism that is turned over still joins its neighbours.
    fn cap(
        &mut self,
        tetrahedron: [u32; 4],
        positive: bool,
        outside: &[Face],
        f: usize,
    ) -> Option<Vec<Knot>> {
        let out = |k: &usize| self.clips[f][tetrahedron[*k] as usize] > 0.0;
        let (outer, inner): (Vec<usize>, Vec<usize>) = (0..4).partition(out);
        let order = [&inner[..], &outer[..]].concat();
        let swaps = (0..4)
            .flat_map(|i| (i + 1..4).map(move |j| (i, j)))
            .filter(|(i, j)| order[*i] > order[*j])
            .count();
        let [a, b, c, d] = [0, 1, 2, 3].map(|k| tetrahedron[order[k]]);
        let pairs: &[(u32, u32)] = match inner.len() {
            1 => &[(a, b), (a, c), (a, d)],
            2 => &[(a, c), (a, d), (b, d), (b, c)],
            3 if outside.iter().any(|o| holds([a, b, c], &o.0)) && self.lies_on([a, b, c], d, f) => {
                return None;
            }
            3 => &[(a, d), (b, d), (c, d)],
            _ => return None,
        };
        let mut ring: Vec<Knot> =
            pairs.iter().map(|(a, b)| self.between(self.knot(*a), self.knot(*b), f)).collect();
        if positive == (swaps % 2 == 1) {
            ring.reverse();
        }
        Some(ring)
    }

    /// Adds what no function of `cutting` leaves out of a polygon.
    fn polygon(&mut self, mut ring: Vec<Knot>, cutting: &[usize], side: Side) {
        for &f in cutting {
            let out: Vec<bool> = ring.iter().map(|k| self.clips[f][k.point as usize] > 0.0).collect();
            let mut kept = Vec::with_capacity(ring.len() + 1);
            for k in 0..ring.len() {
                let next = (k + 1) % ring.len();
                if !out[k] {
                    kept.push(ring[k]);
                }
                if out[k] != out[next] {
                    let (inner, outer) = if out[k] { (next, k) } else { (k, next) };
                    kept.push(self.between(ring[inner], ring[outer], f));
                }
            }
            ring = kept;
        }
        for k in 2..ring.len() {
            let t = [ring[0].point, ring[k - 1].point, ring[k].point];
            if t[0] != t[1] && t[1] != t[2] && t[2] != t[0] {
                self.mesh.triangles.push(t);
                self.mesh.sides.push(side);
            }
        }
    }

    /// A point that stood before, by itself.
    fn knot(&self, i: u32) -> Knot {
        let zero = self.clips.iter().enumerate().filter(|(_, v)| v[i as usize] == 0.0);
        Knot { corner: ([i, NONE, NONE, NONE], zero.fold(0, |all, (f, _)| all | 1 << f)), point: i }
    }

    /// Where a function vanishes between a corner that is wanted and one that is not.
    fn between(&mut self, a: Knot, b: Knot, f: usize) -> Knot {
        if self.clips[f][a.point as usize] == 0.0 {
            return a;
        }
        let corner = (joined(a.corner.0, b.corner.0), a.corner.1 & b.corner.1 | 1 << f);
        if let Some(&point) = self.made.get(&corner) {
            return Knot { corner, point };
        }
        let [i, j] = [a, b].map(|k| k.point as usize);
        let share = self.clips[f][i] / (self.clips[f][i] - self.clips[f][j]);
        let share = if share.is_finite() { share.clamp(0.0, 1.0) } else { 0.5 };
        let point = self.points.len() as u32;
        self.points.push(self.points[i] + (self.points[j] - self.points[i]) * share);
        for values in &mut self.clips {
            values.push(values[i] + (values[j] - values[i]) * share);
        }
        self.clips[f][point as usize] = 0.0;
        self.made.insert(corner, point);
        if [a, b].iter().all(|k| k.corner.0[1] == NONE) {
            self.cuts.push((f, [a.point, b.point], point));
        }
        Knot { corner, point }
    }

    /// Moves the points of cuts from where straight lines have them to where the functions vanish.
    fn settle(&mut self) {
        let mut scratch = Scratch::default();
        for (f, tape) in self.functions.iter().enumerate() {
            let cuts: Vec<_> = self.cuts.iter().filter(|cut| cut.0 == f).collect();
            let edges: Vec<[Vec3; 2]> =
                cuts.iter().map(|(_, ends, _)| ends.map(|i| self.points[i as usize])).collect();
            for ((_, _, point), p) in cuts.into_iter().zip(crossing::along(tape, &edges, &mut scratch)) {
                self.points[*point as usize] = p;
            }
        }
    }
}

/// A prism as three tetrahedra, their corners sorted, each with whether its last corner sees the others turn
/// counter-clockwise. Each face of four corners is parted from its least one, so that prisms side by side part it alike.
/// Source: J. Dompierre, P. Labbé, M.-G. Vallet, R. Camarero, 8th International Meshing Roundtable (1999) 195.
fn tetrahedra(one: [u32; 3], other: [u32; 3]) -> [([u32; 4], bool); 3] {
    let least = one.into_iter().chain(other).min().unwrap_or(0);
    let turned = |t: [u32; 3]| [t[0], t[2], t[1]];
    let (x, y) = if one.contains(&least) { (one, other) } else { (turned(other), turned(one)) };
    let k = x.iter().position(|i| *i == least).unwrap_or(0);
    let [[a, b, c], [d, e, f]] = [x, y].map(|t| [t[k], t[(k + 1) % 3], t[(k + 2) % 3]]);
    let parts = if b.min(f) < c.min(e) {
        [[a, b, c, f], [a, b, f, e], [a, e, f, d]]
    } else {
        [[a, b, c, e], [a, c, f, e], [a, e, f, d]]
    };
    parts.map(sorted_tetrahedron)
}

/// A tetrahedron whose last corner sees the others turn clockwise, sorted, and whether it does so no more.
fn sorted_tetrahedron(t: [u32; 4]) -> ([u32; 4], bool) {
    let swaps = (0..4).flat_map(|i| (i + 1..4).map(move |j| (i, j))).filter(|(i, j)| t[*i] > t[*j]).count();
    let mut sorted = t;
    sorted.sort_unstable();
    (sorted, swaps % 2 == 1)
}

/// A face of four corners, in their order round it, as two triangles: parted as [`tetrahedra`] parts it. Corners may be the
/// same; what has no area then is left out.
pub fn halves(face: [u32; 4]) -> impl Iterator<Item = [u32; 3]> {
    let least = face.iter().min().copied().unwrap_or(0);
    let k = face.iter().position(|i| *i == least).unwrap_or(0);
    let [a, b, c, d] = [0, 1, 2, 3].map(|i| face[(k + i) % 4]);
    [[a, b, c], [a, c, d]].into_iter().filter(|[a, b, c]| a != b && b != c && c != a)
}

fn holds(face: [u32; 3], other: &[u32; 3]) -> bool {
    face.iter().all(|i| other.contains(i))
}

/// The corner of a tetrahedron opposite to a face of it.
fn tip(t: &[u32; 4], face: &[u32; 3]) -> Option<u32> {
    let mut others = t.iter().filter(|i| !face.contains(i));
    let tip = others.next()?;
    others.next().is_none().then_some(*tip)
}

/// How far the middles of cuts are from the end of a clip, mm: from front to back it is taken as straight.
pub fn strays(mesh: &Mesh, clip: &Field) -> f64 {
    let cuts = (0..mesh.triangles.len()).filter(|t| mesh.side(*t) == Side::Cut);
    let middles: Vec<Vec3> = cuts.map(|t| mesh.middle(t)).collect();
    let mut off = vec![f64::NEG_INFINITY; middles.len()];
    for tape in clip.greatest_of() {
        for (off, (value, slope)) in off.iter_mut().zip(slopes(tape, &middles)) {
            *off = off.max(value / slope.norm());
        }
    }
    off.into_iter().map(f64::abs).fold(0.0, f64::max)
}

/// Takes out cuts that lie back to back with nothing between, where the clip only touches the wall from outside, and
/// points that nothing uses.
fn drop_films(mesh: &mut Mesh) {
    let sorted = |mut t: [u32; 3]| {
        t.sort_unstable();
        t
    };
    let mut cuts: HashMap<[u32; 3], u32> = HashMap::new();
    let is_cut: Vec<bool> = mesh.sides.iter().map(|side| *side == Side::Cut).collect();
    for (t, _) in mesh.triangles.iter().zip(&is_cut).filter(|(_, is_cut)| **is_cut) {
        *cuts.entry(sorted(*t)).or_default() += 1;
    }
    mesh.keep(|i, t| !is_cut[i] || cuts.get(&sorted(t)).is_none_or(|n| *n == 1));
}

/// The points of two simplexes of one tetrahedron, sorted.
fn joined(a: [u32; 4], b: [u32; 4]) -> [u32; 4] {
    let mut all: Vec<u32> = a.into_iter().chain(b).filter(|i| *i != NONE).collect();
    all.sort_unstable();
    all.dedup();
    all.resize(4, NONE);
    [all[0], all[1], all[2], all[3]]
}

/// About how far points are from where a function vanishes, mm, with its sign. Those nearer than `least` are moved there.
fn snapped(tape: &Tape, points: &mut [Vec3], least: f64) -> Vec<f64> {
    let of = |(p, (v, g)): (&mut Vec3, (f64, Vec3))| {
        let steep = g.norm();
        let d = if steep > 0.0 && steep.is_finite() { v / steep } else { v };
        if d.abs() >= least {
            return d;
        }
        if let Some(away) = g.unit() {
            *p -= away * d;
        }
        0.0
    };
    let seen = slopes(tape, points);
    points.iter_mut().zip(seen).map(of).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two cuts back to back go, one that stands by itself stays, and so does what is no cut.
    #[test]
    fn films_are_dropped() {
        let mut mesh = Mesh {
            points: [0.0, 1.0, 2.0, 3.0, 4.0].map(|x| Vec3::new(x, x * x, 0.0)).to_vec(),
            triangles: vec![[0, 1, 2], [2, 1, 0], [0, 1, 2], [1, 2, 3], [2, 3, 4], [4, 3, 2]],
            sides: vec![Side::Cut, Side::Cut, Side::Front, Side::Cut, Side::Front, Side::Back],
        };
        drop_films(&mut mesh);
        assert_eq!(mesh.sides, [Side::Front, Side::Cut, Side::Front, Side::Back]);
        assert_eq!(mesh.points.len(), 5);
    }
}
