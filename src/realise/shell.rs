//! The wall of a surface in two parameters by its two parallel sheets, joined by round lips along its border.
//!
//! Nearest to a point of a sheet is the place that it stands above, and nearest to a point of a lip the place of the border
//! that it goes round, as long as nothing of the surface is nearer: then sheets and lips are the skin of the wall, exactly.
//! Where something is nearer they cross, which is tested.

use std::collections::{BTreeMap, HashMap, HashSet};
use std::f64::consts::PI;

use rayon::prelude::*;

use super::cutter::{Cutter, Face, halves, strays};
use super::field::Field;
use super::finer::{Base, sides};
use super::leaf::{Leaf, Sewn};
use super::skins::{BENT, Care, FAR_PART, SNAP, Skins};
use crate::base::Vec3;
use crate::shape::{Side, Tree};

/// A lip has at least so many corners from front to back, an even number.
const ROUND: usize = 8;
/// Its chords pass within this part of the tolerance: all its corners lie on the skin, and what is inscribed loses volume.
const LIP: f64 = 0.25;
/// Ways out of a corner of the border that differ by less than this, radians, are one.
const ALIKE: f64 = 0.05;
/// Points of sheets that are looked above, and the part of the half thickness by which something is nearer.
const LOOKED: usize = 4000;
const LESS: f64 = 0.03;

/// The sheets and lips of a wall that is `half` mm thick to both sides of a leaf, cut by a clip.
pub fn shell(mut leaf: Leaf, half: f64, clip: Option<&Field>, step: f64, care: Care) -> Skins {
    let (Care::Seen { within, .. } | Care::Whole(within)) = care;
    if !leaf.refine(half, within) {
        return Skins::Unfit;
    }
    if let Some(why) = looks_wrong(&leaf, half, care) {
        return why;
    }
    let Some(sewn) = leaf.sewn() else { return Skins::Unfit };
    let mut shell = Shell::new(&leaf, &sewn, half);
    let Some(lips) = shell.lips(within) else { return Skins::Unfit };
    let Shell { points, .. } = shell;
    let mut cutter = Cutter::new(points, clip, SNAP * step);
    let sheets = Sheets { leaf: &leaf, sewn: &sewn };
    if lips.open.iter().flatten().any(|i| sheets.pair(*i).iter().any(|i| cutter.is_inside(*i))) {
        return Skins::Unfit;
    }
    if matches!(care, Care::Whole(_)) && sheets.overlap(half, &cutter) {
        return Skins::Unfit;
    }
    for t in &leaf.base.mesh.triangles {
        let [a, b, c] = t.map(|i| sewn.first[i as usize]);
        if a != b && b != c && c != a {
            let front = t.map(|i| sheets.pair(i)[0]);
            let back = t.map(|i| sheets.pair(i)[1]);
            let turned = [back[0], back[2], back[1]];
            cutter.prism(front, back, &[(front, Side::Front), (turned, Side::Back)]);
        }
    }
    for [from, to] in &lips.parts {
        lip(&mut cutter, from, to);
    }
    let mesh = cutter.finish();
    if let (Care::Whole(within), Some(clip)) = (care, clip)
        && strays(&mesh, clip) > within
    {
        return Skins::Unfit;
    }
    if mesh.triangles.is_empty() { Skins::Unfit } else { Skins::Made(mesh) }
}

/// What speaks against the sheets of a leaf.
fn looks_wrong(leaf: &Leaf, half: f64, care: Care) -> Option<Skins> {
    let all = &leaf.base.mesh.triangles;
    let part = |bad: &dyn Fn(&[u32; 3]) -> bool| {
        all.iter().filter(|t| bad(t)).count() as f64 / all.len().max(1) as f64
    };
    match care {
        Care::Seen { within, .. } => {
            (part(&|t| leaf.most_sagitta(t, half) > 2.0 * within) > FAR_PART).then_some(Skins::Unfit)
        }
        Care::Whole(within) => {
            let wrong = |t: &[u32; 3]| leaf.base.turn(t) < BENT || leaf.base.turned_over(t, half);
            if all.iter().any(wrong) {
                return Some(Skins::Unfit);
            }
            all.iter().any(|t| leaf.most_sagitta(t, half) > within).then_some(Skins::Coarse)
        }
    }
}

/// Where the sheets of a leaf stand among the points: those of the front, each with that of the back after it.
struct Sheets<'a> {
    leaf: &'a Leaf<'a>,
    sewn: &'a Sewn,
}

impl Sheets<'_> {
    /// The points of the front and the back of a point of the net.
    fn pair(&self, i: u32) -> [u32; 2] {
        let first = self.sewn.first[i as usize];
        let count = self.leaf.base.mesh.points.len() as u32;
        if self.sewn.turned[i as usize] { [first + count, first] } else { [first, first + count] }
    }
}

impl Sheets<'_> {
    /// True when something of the surface is nearer to a point of the sheets than the one that it stands above, as some of them
    /// tell.
    fn overlap(&self, half: f64, cutter: &Cutter) -> bool {
        let Base { mesh, normals } = &self.leaf.base;
        let tree = Tree::new(mesh);
        let inside = |i: &usize| self.pair(*i as u32).iter().any(|i| cutter.is_inside(*i));
        let some: Vec<usize> =
            (0..mesh.points.len()).step_by(mesh.points.len().div_ceil(LOOKED)).filter(inside).collect();
        let is_nearer = |i: &usize| {
            let above = [half, -half].map(|by| mesh.points[*i] + normals[*i] * by);
            above.iter().any(|p| tree.nearest(*p, (1.0 - LESS) * half, None).is_some())
        };
        some.par_iter().any(is_nearer)
    }
}

/// The points of sheets and lips as they are made.
struct Shell<'a> {
    leaf: &'a Leaf<'a>,
    sewn: &'a Sewn,
    half: f64,
    points: Vec<Vec3>,
}

/// What goes round a border.
#[derive(Default)]
struct Lips {
    /// Sides that are open, not at an end of a range.
    open: Vec<[u32; 2]>,
    /// Rings of corners from front to back, and the next.
    parts: Vec<[Vec<u32>; 2]>,
}

/// The ways out at a point of the border: of the side that comes to it, and of that which leaves it.
type Ways = [Option<Vec3>; 2];

impl<'a> Shell<'a> {
    fn new(leaf: &'a Leaf<'a>, sewn: &'a Sewn, half: f64) -> Self {
        let places =
            || sewn.first.iter().map(|i| (leaf.base.mesh.points[*i as usize], sewn.normals[*i as usize]));
        let sheet = |by: f64| places().map(move |(p, n)| p + n * by);
        Self { leaf, sewn, half, points: sheet(half).chain(sheet(-half)).collect() }
    }

    /// The lips along the border, within so many mm; `None` where three sides of it meet.
    fn lips(&mut self, within: f64) -> Option<Lips> {
        let mut lips = Lips::default();
        let mut border = Vec::new();
        let mut ways: HashMap<u32, Ways> = HashMap::new();
        for [i, j] in self.border() {
            let Some([a, b]) = self.leaf.ways_out([i, j]) else {
                lips.open.push([i, j]);
                continue;
            };
            border.push([i, j]);
            for (k, way, leaves) in [(i, a, true), (j, b, false)] {
                let own = ways.entry(self.sewn.first[k as usize]).or_default();
                let slot = &mut own[usize::from(leaves != self.sewn.turned[k as usize])];
                if slot.replace(way).is_some() {
                    return None;
                }
            }
        }
        let corners = self.corners(within);
        let mut rings: HashMap<u32, [Vec<u32>; 2]> = HashMap::new();
        for i in self.round(&border) {
            let made = self.rings(i, ways[&i], corners);
            let last = made.len() - 1;
            rings.insert(i, [made[0].clone(), made[last].clone()]);
            lips.parts.extend(made.windows(2).map(|w| [w[0].clone(), w[1].clone()]));
        }
        let ring = |k: u32, leaves: bool| {
            let turned = self.sewn.turned[k as usize];
            let mut ring = rings[&self.sewn.first[k as usize]][usize::from(leaves != turned)].clone();
            if turned {
                ring.reverse();
            }
            ring
        };
        lips.parts.extend(border.into_iter().map(|[i, j]| [ring(i, true), ring(j, false)]));
        Some(lips)
    }

    /// The points of the border as one goes along it, so that cells between rings are parted alike.
    fn round(&self, border: &[[u32; 2]]) -> Vec<u32> {
        let mut beside: BTreeMap<u32, Vec<u32>> = BTreeMap::new();
        for [i, j] in border.iter().map(|side| side.map(|k| self.sewn.first[k as usize])) {
            beside.entry(i).or_default().push(j);
            beside.entry(j).or_default().push(i);
        }
        let (mut all, mut seen) = (Vec::new(), HashSet::new());
        for start in beside.keys() {
            let mut next = Some(*start);
            while let Some(i) = next.filter(|i| seen.insert(*i)) {
                all.push(i);
                next = beside[&i].iter().copied().find(|j| !seen.contains(j));
            }
        }
        all
    }

    /// Sides with a triangle on one side only, which lies to the left.
    fn border(&self) -> Vec<[u32; 2]> {
        let first = |i: u32| self.sewn.first[i as usize];
        let mut count: HashMap<[u32; 2], u32> = HashMap::new();
        let whole = |t: &&[u32; 3]| {
            let [a, b, c] = t.map(first);
            a != b && b != c && c != a
        };
        let triangles: Vec<&[u32; 3]> = self.leaf.base.mesh.triangles.iter().filter(whole).collect();
        let name = |[i, j]: [u32; 2]| [first(i).min(first(j)), first(i).max(first(j))];
        for side in triangles.iter().flat_map(|t| sides(t)) {
            *count.entry(name(side)).or_default() += 1;
        }
        let all = triangles.iter().flat_map(|t| (0..3).map(|k| [t[k], t[(k + 1) % 3]]));
        all.filter(|side| count[&name(*side)] == 1).collect()
    }

    /// Corners of a lip from front to back, so that its chords pass within so many mm.
    fn corners(&self, within: f64) -> usize {
        let half_turn = libm::acos((1.0 - LIP * within / self.half).clamp(0.0, 1.0));
        2 * ((PI / (4.0 * half_turn)).ceil() as usize).max(ROUND / 2)
    }

    /// The rings of corners from the front of a point of the border to its back: one, or those about a corner, the way
    /// the border goes.
    fn rings(&mut self, i: u32, ways: Ways, corners: usize) -> Vec<Vec<u32>> {
        let n = self.sewn.normals[i as usize];
        let [into, out] = match ways {
            [Some(a), Some(b)] => [a, b],
            [Some(a), None] | [None, Some(a)] => [a, a],
            [None, None] => return vec![vec![]],
        };
        let square = |way: Vec3| (way - n * way.dot(n)).unit().unwrap_or(way);
        let (a, b) = (square(into), square(out));
        let angle = libm::atan2(a.cross(b).dot(n), a.dot(b));
        if angle.abs() <= ALIKE {
            return vec![self.ring(i, square(a + b), corners)];
        }
        let steps = ((angle.abs() / PI * corners as f64).ceil() as usize).max(1);
        let across = n.cross(a);
        let way = |k: usize| {
            let (s, c) = libm::sincos(angle * k as f64 / steps as f64);
            a * c + across * s
        };
        (0..=steps).map(|k| self.ring(i, way(k), corners)).collect()
    }

    fn ring(&mut self, i: u32, way: Vec3, corners: usize) -> Vec<u32> {
        let (p, n) = (self.leaf.base.mesh.points[i as usize], self.sewn.normals[i as usize]);
        let mut ring = vec![i];
        for k in 1..corners {
            let (s, c) = libm::sincos(PI * k as f64 / corners as f64);
            ring.push(self.points.len() as u32);
            self.points.push(p + (n * c + way * s) * self.half);
        }
        ring.push(i + self.sewn.first.len() as u32);
        ring
    }
}

/// The part of a lip between two rings: the surface lies to the left of the way from the first to the second.
fn lip(cutter: &mut Cutter, from: &[u32], to: &[u32]) {
    let last = from.len() - 1;
    let outside = |k: usize| {
        let side = if 2 * k < last { Side::Front } else { Side::Back };
        halves([from[k], from[k + 1], to[k + 1], to[k]]).map(move |t| (t, side))
    };
    for k in 1..last {
        let mut faces: Vec<Face> = outside(k).collect();
        if k == 1 {
            faces.extend(outside(0));
        }
        cutter.prism([to[0], to[k], to[k + 1]], [from[0], from[k], from[k + 1]], &faces);
    }
}
