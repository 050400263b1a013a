//! What one sees of a wall, without joining it into a solid: its two parallel sheets and the cuts between them.
//!
//! Each triangle of the surface stands between two that are moved half the thickness along the normals. A parallel
//! sheet never leaves the wall: where it is nearer to another part of the surface than half the thickness it runs
//! inside. So what is outside is right, whatever passes through what within, and no distance need be searched for.
//! The cut of a clip is that of the prisms, each taken as three tetrahedra and the clip as straight in them.

use std::collections::HashMap;

use rayon::prelude::*;

use super::RealiseFault;
use super::crossing;
use super::field::Field;
use super::finer::{self, Base};
use super::knobs::knobs;
use super::sheet::Level;
use crate::base::{Vec3, Watch};
use crate::formula::{Scratch, Tape};
use crate::shape::{Mesh, Side};

/// Cosine between the normals at two corners of a triangle under which it stands on a crease or a singular point.
const BENT: f64 = 0.5;
/// Under this one it is folded over, and a ball covers what its sheets leave open.
const FOLDED: f64 = 0.0;
/// So many of the triangles of a surface without creases may be bent: it may have singular points or cross itself, and
/// there the sheets run inside the wall.
const BENT_PART: f64 = 0.1;
/// With smaller cells to come, and fewer triangles than these, only so many: the others may be crests that cells do not see.
const BENT_FEW: f64 = 0.003;
const FEW: usize = 60_000;
/// So many of the triangles of what is looked at may be further off than was asked: those at a singular point are at
/// any size.
const FAR_PART: f64 = 0.01;

/// What is asked of sheets.
#[derive(Clone, Copy, Debug)]
pub enum Care {
    /// They are looked at: what is outside is right, within so many mm but for a few places; before triangles are made
    /// smaller where they turn, not many are `rough` mm off. With `more` there may be smaller cells still.
    Seen { within: f64, rough: f64, more: bool },
    /// They are to bound a solid within so many mm: nothing turns over either. (Whether parts cross is to be tested.)
    Whole(f64),
}

/// What came of sheets.
#[derive(Debug)]
pub enum Skins {
    /// Both sheets, and the cuts of the clip between them.
    Made(Mesh),
    /// They are further off than was asked: smaller cells may do.
    Coarse,
    /// Sheets alone do not show the wall: the surface has creases, ends elsewhere than at a clip, or turns more sharply
    /// than the wall is thick.
    Unfit,
}

/// The sheets of a wall `thickness` mm thick, by cells of edge `step`.
///
/// # Errors
/// As [`Level::mesh`].
pub fn skins(
    level: &Level,
    thickness: f64,
    step: f64,
    care: Care,
    watch: &dyn Watch,
) -> Result<Skins, RealiseFault> {
    let (half, tape) = (thickness / 2.0, &level.field.tape);
    let mesh = level.mesh(step, thickness, watch)?;
    let normals =
        slopes(tape, &mesh.points).into_iter().map(|(_, g)| g.unit().unwrap_or(Vec3::ZERO)).collect();
    let mut base = Base { mesh, normals };
    let smooth = !tape.has_kinks();
    if let Care::Seen { rough, more, .. } = care
        && let Some(why) = look_wrong(&base, half, [rough, if more { BENT_FEW } else { BENT_PART }], smooth)
    {
        return Ok(why);
    }
    let (Care::Seen { within, .. } | Care::Whole(within)) = care;
    if smooth {
        base.refine(tape, half, within);
    }
    let sheets = Sheets::new(base, half);
    if let Care::Whole(within) = care
        && let Some(why) = sheets.are_wrong(within, tape)
    {
        return Ok(why);
    }
    let folds = sheets.folds();
    let Sheets { base: Base { mesh: base, .. }, mut points, .. } = sheets;
    let count = base.points.len() as u32;
    let functions = level.clip.as_ref().map(Field::greatest_of).unwrap_or_default();
    let clips = functions.iter().map(|tape| snapped(tape, &mut points, SNAP * step)).collect();
    let mut cutter = Cutter { points, clips, made: HashMap::new(), cuts: vec![], mesh: Mesh::default() };
    if base.open_edges().into_iter().flatten().any(|i| cutter.is_inside(i, count)) {
        return Ok(Skins::Unfit);
    }
    for t in &base.triangles {
        cutter.prism(*t, count);
    }
    cutter.settle(&functions);
    let Cutter { points, mut mesh, .. } = cutter;
    mesh.points = points;
    drop_films(&mut mesh);
    mesh.append(&knobs(&folds, half, &level.field.tape, level.clip.as_ref()));
    Ok(if mesh.triangles.is_empty() { Skins::Unfit } else { Skins::Made(mesh) })
}

/// Places looked at before each point of a surface, within the thickness.
const OVERLAPS: f64 = 6.0;

/// A point nearer to the clip than this part of a cell is moved onto it, so that no sliver is cut off.
const SNAP: f64 = 0.02;

/// What speaks against sheets that are looked at, `half` mm to both sides of a surface, where more than the part `most` of
/// a few triangles are bent or many are `rough` mm off; `smooth`: it has no creases of its own.
fn look_wrong(base: &Base, half: f64, [rough, most]: [f64; 2], smooth: bool) -> Option<Skins> {
    let part = |bad: &dyn Fn(&[u32; 3]) -> bool| {
        let count = base.mesh.triangles.iter().filter(|t| bad(t)).count();
        count as f64 / base.mesh.triangles.len().max(1) as f64
    };
    let bent = part(&|t| base.turn(t) < BENT);
    if bent > 0.0 && !smooth {
        return Some(Skins::Unfit);
    }
    // Smaller cells leave fewer of them at a singular point.
    let most = if base.mesh.triangles.len() < FEW { most } else { BENT_PART };
    let is_rough = bent > most || part(&|t| base.most_sagitta(t, half) > rough) > FAR_PART;
    is_rough.then_some(Skins::Coarse)
}

/// The open mesh of a surface with its normals, half the thickness, and the points of its front, then of its back.
struct Sheets {
    base: Base,
    half: f64,
    points: Vec<Vec3>,
}

impl Sheets {
    fn new(base: Base, half: f64) -> Self {
        let sheet = |by: f64| base.mesh.points.iter().zip(&base.normals).map(move |(p, n)| *p + *n * by);
        let points = sheet(half).chain(sheet(-half)).collect();
        Self { base, half, points }
    }

    /// What speaks against sheets that are to bound a solid.
    fn are_wrong(&self, within: f64, tape: &Tape) -> Option<Skins> {
        let any = |bad: &dyn Fn(&[u32; 3]) -> bool| self.base.mesh.triangles.iter().any(bad);
        if any(&|t| self.base.turn(t) < BENT || self.turns_over(t)) || self.overlap(tape) {
            return Some(Skins::Unfit);
        }
        any(&|t| self.base.most_sagitta(t, self.half) > within).then_some(Skins::Coarse)
    }

    /// True when another part of the surface stands straight before one within the thickness, so that walls overlap.
    fn overlap(&self, tape: &Tape) -> bool {
        let Base { mesh, normals } = &self.base;
        let is_before = |(p, n): (&Vec3, &Vec3)| {
            let away = |k: f64| *p + *n * (2.0 * self.half * k / OVERLAPS);
            (1..=OVERLAPS as u32)
                .map(f64::from)
                .any(|k| tape.value(away(k)) < 0.0 || tape.value(away(-k)) > 0.0)
        };
        mesh.points.par_iter().zip(normals).any(is_before)
    }

    /// Middles of triangles that are folded over.
    fn folds(&self) -> Vec<Vec3> {
        let mesh = &self.base.mesh;
        let folded = mesh.triangles.iter().filter(|t| self.base.turn(t) < FOLDED);
        folded.map(|t| t.iter().fold(Vec3::ZERO, |s, i| s + mesh.points[*i as usize]) / 3.0).collect()
    }

    fn front_and_back(&self, t: &[u32; 3]) -> [[Vec3; 3]; 2] {
        let count = self.base.mesh.points.len();
        [0, count].map(|by| t.map(|i| self.points[i as usize + by]))
    }

    /// True when the front or the back of a triangle faces the other way, or both its directions are turned about.
    fn turns_over(&self, t: &[u32; 3]) -> bool {
        if finer::sides(t).into_iter().any(|side| self.base.turns_over(side, self.half)) {
            return true;
        }
        let normal = |[a, b, c]: [Vec3; 3]| (b - a).cross(c - a);
        let n = normal(t.map(|i| self.base.mesh.points[i as usize]));
        !self.front_and_back(t).into_iter().all(|t| n.dot(normal(t)) > 0.0)
    }
}

/// Points valued together.
const CHUNK: usize = 1024;

/// Values and slopes at points.
pub(super) fn slopes(tape: &Tape, points: &[Vec3]) -> Vec<(f64, Vec3)> {
    let of = |part: &[Vec3]| tape.slopes_of(part, &mut Scratch::default());
    points.par_chunks(CHUNK).flat_map_iter(of).collect()
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

/// A corner of a polygon: where some functions of the clip vanish on the simplex of some points. The same corner of
/// another polygon has the same name, so that polygons join.
type Corner = ([u32; 4], u64);

/// No point.
const NONE: u32 = u32::MAX;

struct Cutter {
    /// The points of the front, then of the back, then those of cuts.
    points: Vec<Vec3>,
    /// For each function of the clip about how far the points are from it; wanted is where none is positive.
    clips: Vec<Vec<f64>>,
    made: HashMap<Corner, u32>,
    /// Points between two that stood before, by the function that vanishes there.
    cuts: Vec<(usize, [u32; 2], u32)>,
    mesh: Mesh,
}

/// A corner with its point.
#[derive(Clone, Copy)]
struct Knot {
    corner: Corner,
    point: u32,
}

impl Cutter {
    /// True when the front or the back is wanted at a point of the surface.
    fn is_inside(&self, i: u32, count: u32) -> bool {
        [i, i + count].into_iter().any(|i| self.clips.iter().all(|v| v[i as usize] <= 0.0))
    }

    /// What is wanted of a triangle of the surface: its front, its back and the cuts between.
    fn prism(&mut self, t: [u32; 3], count: u32) {
        let back = t.map(|i| i + count);
        let corners = || t.into_iter().chain(back).map(|i| i as usize);
        if self.clips.iter().any(|v| corners().all(|i| v[i] > 0.0)) {
            return;
        }
        let turned = [back[0], back[2], back[1]];
        let cutting: Vec<usize> =
            (0..self.clips.len()).filter(|f| corners().any(|i| self.clips[*f][i] > 0.0)).collect();
        // Sorted, so that prisms side by side part the face between them along the same diagonal.
        let mut sorted = t;
        sorted.sort_unstable();
        let [a, b, c] = sorted;
        for (face, tip, side) in [(t, c + count, Side::Front), (turned, a, Side::Back)] {
            if !cutting.iter().any(|f| self.lies_on(face, tip, *f)) {
                self.polygon(face.map(|i| self.knot(i)).to_vec(), &cutting, side);
            }
        }
        let even = (0..3).any(|k| [t[k], t[(k + 1) % 3], t[(k + 2) % 3]] == sorted);
        let tetrahedra = [
            ([a, b, c, c + count], !even),
            ([a, b, b + count, c + count], even),
            ([a, a + count, b + count, c + count], !even),
        ];
        for (tetrahedron, positive) in tetrahedra {
            for f in &cutting {
                let others: Vec<usize> = cutting.iter().copied().filter(|g| g != f).collect();
                if let Some(cap) = self.cap(tetrahedron, positive, count, *f) {
                    self.polygon(cap, &others, Side::Cut);
                }
            }
        }
    }

    /// True when a front or back lies on the cut of a function and what is behind it is not wanted.
    fn lies_on(&self, face: [u32; 3], tip: u32, f: usize) -> bool {
        face.iter().all(|i| self.clips[f][*i as usize] == 0.0) && self.clips[f][tip as usize] > 0.0
    }

    /// The cut of a function through a tetrahedron, seen from where the function is positive; `positive`: the last corner
    /// sees the others turn counter-clockwise. The order of the corners tells which way round the cut goes, not their places,
    /// so that a prism that is turned over still joins its neighbours.
    fn cap(&mut self, tetrahedron: [u32; 4], positive: bool, count: u32, f: usize) -> Option<Vec<Knot>> {
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
            3 if (a < count) == (c < count) && self.lies_on([a, b, c], d, f) => return None,
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
    fn settle(&mut self, functions: &[&Tape]) {
        let mut scratch = Scratch::default();
        for (f, tape) in functions.iter().enumerate() {
            let cuts: Vec<_> = self.cuts.iter().filter(|cut| cut.0 == f).collect();
            let edges: Vec<[Vec3; 2]> =
                cuts.iter().map(|(_, ends, _)| ends.map(|i| self.points[i as usize])).collect();
            for ((_, _, point), p) in cuts.into_iter().zip(crossing::along(tape, &edges, &mut scratch)) {
                self.points[*point as usize] = p;
            }
        }
    }
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
