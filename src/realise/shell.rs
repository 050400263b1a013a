//! The wall of a surface in two parameters by its two parallel sheets, joined by round lips along its border.
//!
//! Nearest to a point of a sheet is the place that it stands above, and nearest to a point of a lip the place of the border
//! that it goes round, as long as nothing of the surface is nearer: then sheets and lips are the skin of the wall, exactly.
//! Where something is nearer they cross, which is tested.

use std::collections::{BTreeMap, HashMap, HashSet};
use std::f64::consts::PI;

use super::cutter::{Cutter, Face, halves, strays};
use super::field::Field;
use super::finer::{Base, sides};
use super::leaf::{Leaf, Sewn};
use super::meeting::{Meeting, meeting};
use super::skins::{BENT, Care, FAR_PART, Meets, SNAP, Skins};
use crate::base::Vec3;
use crate::shape::{Mesh, Side, Tree};

/// A lip has at least so many corners from front to back, an even number.
const ROUND: usize = 8;
/// Its chords pass within this part of the tolerance: all its corners lie on the skin, and what is inscribed loses volume.
const LIP: f64 = 0.25;
/// Ways out of a corner of the border that differ by less than this, radians, are one.
const ALIKE: f64 = 0.05;
/// Points of sheets that are looked above.
const LOOKED: usize = 4000;
/// Beside a fold sheets are nearer than the wall is thick, up to this many halves of it away.
const CLEAR: f64 = 2.0;
/// So much less than the lips that it joins a ball reaches out, as a part of the tolerance, so that they do not lie on one another.
const LESS: f64 = 0.2;
/// Cosine of the angle by which normals turn at a fold from which on it is one with two backs.
const SHARPEST: f64 = -0.95;

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
    let mut shell = Shell::new(&leaf, &sewn, half, within);
    let Some((lips, folds)) = shell.edges().and_then(|edges| Some((shell.lips(&edges)?, edges.folds))) else {
        return Skins::Unfit;
    };
    let Shell { points, .. } = shell;
    let mut cutter = Cutter::new(points, clip, SNAP * step);
    let sheets = Sheets { leaf: &leaf, sewn: &sewn };
    if lips.open.iter().flatten().any(|i| sheets.pair(*i).iter().any(|i| cutter.is_inside(*i))) {
        return Skins::Unfit;
    }
    let met = if matches!(care, Care::Whole(_)) { sheets.meeting(half, &folds, &cutter) } else { None };
    for t in &leaf.base.mesh.triangles {
        let [a, b, c] = t.map(|i| sewn.first[i as usize]);
        if a != b && b != c && c != a {
            between(&mut cutter, t.map(|i| sheets.pair(i)));
        }
    }
    lips.fans.iter().for_each(|t| between(&mut cutter, *t));
    for (face, middle, side) in &lips.balls {
        cutter.prism(*face, [*middle; 3], &[(*face, *side)]);
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
    match met {
        _ if mesh.triangles.is_empty() => Skins::Unfit,
        None if folds.is_empty() => Skins::Made(mesh),
        met => Skins::Meets(Meets { mesh, base: leaf.base.mesh, met }),
    }
}

/// What is between a triangle of the front and that of the back, corner by corner.
fn between(cutter: &mut Cutter, t: [[u32; 2]; 3]) {
    let ([a, b, c], [d, e, f]) = (t.map(|pair| pair[0]), t.map(|pair| pair[1]));
    let mut faces = vec![([a, b, c], Side::Front), ([d, f, e], Side::Back)];
    faces.retain(|([a, b, c], _)| a != b && b != c && c != a);
    cutter.prism([a, b, c], [d, e, f], &faces);
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
    /// Where something of the surface is nearer to the sheets than the place that they stand above, as some places tell that
    /// stand clear of its folds.
    fn meeting(&self, half: f64, folds: &[Fold], cutter: &Cutter) -> Option<Meeting> {
        let Base { mesh, normals } = &self.leaf.base;
        let tree = Tree::new(mesh);
        let line = Mesh {
            points: mesh.points.clone(),
            triangles: folds.iter().map(|[[i, j], _]| [*i, *j, *j]).collect(),
            sides: vec![],
        };
        let line = (!folds.is_empty()).then(|| Tree::new(&line));
        let clear = |i: &usize| {
            line.as_ref().is_none_or(|line| line.nearest(mesh.points[*i], CLEAR * half, None).is_none())
        };
        let inside = |i: &usize| clear(i) && self.pair(*i as u32).iter().any(|i| cutter.is_inside(*i));
        let some = (0..mesh.points.len()).step_by(mesh.points.len().div_ceil(LOOKED)).filter(inside);
        let places: Vec<_> = some.map(|i| (mesh.points[i], normals[i], half)).collect();
        let away = |p: &Vec3| tree.nearest(*p, half, None).map_or(half, |near| near.distance);
        meeting(&places, |above| above.iter().map(away).collect())
    }
}

/// The points of sheets and lips as they are made.
struct Shell<'a> {
    leaf: &'a Leaf<'a>,
    sewn: &'a Sewn,
    half: f64,
    within: f64,
    /// Corners of a lip from front to back.
    corners: usize,
    points: Vec<Vec3>,
    /// By the first points that have the two normals.
    turns: HashMap<[u32; 2], Turn>,
}

/// How a surface turns at a place of a fold.
#[derive(Clone)]
struct Turn {
    /// Points of the front and the back from one normal to the other. On the inside of the fold all but the ends are the place.
    points: Vec<[u32; 2]>,
    place: u32,
}

/// Two sides of triangles at the same place, which lie to the left of the one and to the right of the other: the surface is
/// folded there.
type Fold = [[u32; 2]; 2];

/// Sides with a triangle on one side only.
struct Edges {
    /// The border, with the surface to the left.
    border: Vec<[u32; 2]>,
    folds: Vec<Fold>,
}

/// What goes round a border, and along folds.
#[derive(Default)]
struct Lips {
    /// Sides that are open, not at an end of a range.
    open: Vec<[u32; 2]>,
    /// Rings of corners from front to back, and the next.
    parts: Vec<[Vec<u32>; 2]>,
    /// Triangles of the front along folds, each corner with that of the back.
    fans: Vec<[[u32; 2]; 3]>,
    /// Triangles of balls, with what is in the middle.
    balls: Vec<([u32; 3], u32, Side)>,
}

/// The ways out at a point of the border: of the side that comes to it, and of that which leaves it.
type Ways = [Option<Vec3>; 2];

impl<'a> Shell<'a> {
    fn new(leaf: &'a Leaf<'a>, sewn: &'a Sewn, half: f64, within: f64) -> Self {
        let places =
            || sewn.first.iter().map(|i| (leaf.base.mesh.points[*i as usize], sewn.normals[*i as usize]));
        let sheet = |by: f64| places().map(move |(p, n)| p + n * by);
        // Chords of lips pass within so many mm.
        let half_turn = libm::acos((1.0 - LIP * within / half).clamp(0.0, 1.0));
        let corners = 2 * ((PI / (4.0 * half_turn)).ceil() as usize).max(ROUND / 2);
        let points = sheet(half).chain(sheet(-half)).collect();
        Self { leaf, sewn, half, within, corners, points, turns: HashMap::new() }
    }

    /// The lips along the border and the fans along folds; `None` where three sides of a border meet.
    fn lips(&mut self, edges: &Edges) -> Option<Lips> {
        let mut lips = Lips { fans: self.fans(&edges.folds)?, ..Lips::default() };
        let mut border = Vec::new();
        let mut ways: HashMap<u32, Ways> = HashMap::new();
        for [i, j] in edges.border.iter().copied() {
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
        let mut rings: HashMap<u32, [Vec<u32>; 2]> = HashMap::new();
        for i in self.round(&border) {
            let made = self.rings(i, ways[&i]);
            let last = made.len() - 1;
            rings.insert(i, [made[0].clone(), made[last].clone()]);
            lips.parts.extend(made.windows(2).map(|w| [w[0].clone(), w[1].clone()]));
        }
        self.corners_of_folds(&edges.folds, &ways, &rings, &mut lips)?;
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

    /// Sides with a triangle on one side only; `None` where more than two of them are at one place, or a surface with one side
    /// is folded.
    fn edges(&self) -> Option<Edges> {
        let Sewn { first, place, turned, .. } = self.sewn;
        let by = |of: &[u32], [i, j]: [u32; 2]| edge(of[i as usize], of[j as usize]);
        let mut count: HashMap<[u32; 2], u32> = HashMap::new();
        let mut triangles = Vec::new();
        for t in &self.leaf.base.mesh.triangles {
            let some = sides(t);
            let flat = |of: &[u32]| some.iter().any(|[i, j]| of[*i as usize] == of[*j as usize]);
            if !flat(first) {
                // Normals all round a pole that disagree make it a tip.
                if flat(place) {
                    return None;
                }
                triangles.push(t);
                some.iter().for_each(|side| *count.entry(by(first, *side)).or_default() += 1);
            }
        }
        let all = triangles.iter().flat_map(|t| (0..3).map(|k| [t[k], t[(k + 1) % 3]]));
        let mut there: BTreeMap<[u32; 2], Vec<[u32; 2]>> = BTreeMap::new();
        for side in all.filter(|side| count[&by(first, *side)] == 1) {
            there.entry(by(place, side)).or_default().push(side);
        }
        let mut edges = Edges { border: vec![], folds: vec![] };
        for at in there.into_values() {
            match at[..] {
                [side] => edges.border.push(side),
                [a, b] if place[a[0] as usize] == place[b[1] as usize] => edges.folds.push([a, [b[1], b[0]]]),
                _ => return None,
            }
        }
        let flips = |i: &u32| turned[*i as usize];
        (!edges.folds.iter().flatten().flatten().any(flips)).then_some(edges)
    }

    /// The fans along folds: on the outside round, on the inside to the fold itself. `None` where the surface turns back on itself.
    fn fans(&mut self, folds: &[Fold]) -> Option<Vec<[[u32; 2]; 3]>> {
        let mut fans = Vec::new();
        for [[i, j], [k, l]] in folds {
            let [p, q] = self.leaf.ways_out([*i, *j])?;
            let [a, b] = [self.turn(*i, *k, p)?, self.turn(*j, *l, q)?];
            for (a, b) in a.points.windows(2).zip(b.points.windows(2)) {
                fans.extend([[b[0], a[0], a[1]], [b[0], a[1], b[1]]]);
            }
        }
        Some(fans)
    }

    /// How the surface turns at a fold from the normal of one point to that of another at the same place, as it goes `out` of
    /// the first; always the same.
    fn turn(&mut self, from: u32, to: u32, out: Vec3) -> Option<Turn> {
        let [i, j] = [from, to].map(|k| self.sewn.first[k as usize]);
        let count = self.sewn.first.len() as u32;
        let steps = self.corners;
        if i == j {
            return Some(Turn { points: vec![[i, i + count]; steps + 1], place: i });
        }
        let [a, b] = edge(i, j);
        if !self.turns.contains_key(&[a, b]) {
            let [p, m, n] = [self.leaf.base.mesh.points[a as usize], self.normal(a), self.normal(b)];
            let (place, front) = (self.points.len() as u32, self.normal(j).dot(out) > 0.0);
            self.points.push(p);
            let mut points = vec![[a, a + count]];
            for k in 1..steps {
                let new = self.points.len() as u32;
                points.push(if front { [new, place] } else { [place, new] });
                let by = if front { self.half } else { -self.half };
                self.points.push(p + turned(m, n, k as f64 / steps as f64)? * by);
            }
            points.push([b, b + count]);
            self.turns.insert([a, b], Turn { points, place });
        }
        let mut turn = self.turns[&[a, b]].clone();
        if i == b {
            turn.points.reverse();
        }
        Some(turn)
    }

    fn normal(&self, i: u32) -> Vec3 {
        self.sewn.normals[i as usize]
    }

    /// Closes the lips where folds end at the border, each by the half of a disc at its end, and puts a ball there.
    fn corners_of_folds(
        &mut self,
        folds: &[Fold],
        ways: &HashMap<u32, Ways>,
        rings: &HashMap<u32, [Vec<u32>; 2]>,
        lips: &mut Lips,
    ) -> Option<()> {
        for [i, j] in folds.iter().flat_map(|[[i, j], [k, l]]| [[*i, *k], [*j, *l]]) {
            let [i, j] = [i, j].map(|k| self.sewn.first[k as usize]);
            let (come, leave) = match [i, j].map(|k| ways.get(&k).copied().unwrap_or_default()) {
                [[Some(_), None], [None, Some(_)]] => (i, j),
                [[None, Some(_)], [Some(_), None]] => (j, i),
                _ => continue,
            };
            let Some(turn) = self.turns.get(&edge(come, leave)).cloned() else { continue };
            let mut all = vec![rings[&come][1].clone()];
            let between = turn.points[1..turn.points.len() - 1].iter();
            all.extend(between.map(|[front, back]| {
                let mut ring = vec![turn.place; self.corners + 1];
                (ring[0], ring[self.corners]) = (*front, *back);
                ring
            }));
            if come > leave {
                all[1..].reverse();
            }
            all.push(rings[&leave][0].clone());
            lips.parts.extend(all.windows(2).map(|w| [w[0].clone(), w[1].clone()]));
            let up = (self.normal(come) + self.normal(leave)).unit()?;
            self.ball(turn.place, up, &mut lips.balls);
        }
        Some(())
    }

    /// The rings of corners from the front of a point of the border to its back: one, or those about a corner, the way
    /// the border goes.
    fn rings(&mut self, i: u32, ways: Ways) -> Vec<Vec<u32>> {
        let n = self.normal(i);
        let [into, out] = match ways {
            [Some(a), Some(b)] => [a, b],
            [Some(a), None] | [None, Some(a)] => [a, a],
            [None, None] => return vec![vec![]],
        };
        let square = |way: Vec3| (way - n * way.dot(n)).unit().unwrap_or(way);
        let (a, b) = (square(into), square(out));
        let angle = libm::atan2(a.cross(b).dot(n), a.dot(b));
        if angle.abs() <= ALIKE {
            return vec![self.ring(i, square(a + b))];
        }
        let steps = ((angle.abs() / PI * self.corners as f64).ceil() as usize).max(1);
        let across = n.cross(a);
        let way = |k: usize| {
            let (s, c) = libm::sincos(angle * k as f64 / steps as f64);
            a * c + across * s
        };
        (0..=steps).map(|k| self.ring(i, way(k))).collect()
    }

    /// A ball about a place, whose upper half belongs to the front.
    fn ball(&mut self, place: u32, up: Vec3, balls: &mut Vec<([u32; 3], u32, Side)>) {
        let middle = self.points[place as usize];
        let radius = (self.half - LESS * self.within).max(0.5 * self.half);
        let aside = if up.x.abs() < 0.7 { Vec3::new(1.0, 0.0, 0.0) } else { Vec3::new(0.0, 1.0, 0.0) };
        let Some(x) = (aside - up * up.dot(aside)).unit() else { return };
        let (y, rows, around) = (up.cross(x), self.corners, 2 * self.corners);
        let first = self.points.len() as u32;
        for row in 0..=rows {
            let (out, high) = libm::sincos(PI * row as f64 / rows as f64);
            for k in 0..if row == 0 || row == rows { 1 } else { around } {
                let (s, c) = libm::sincos(PI * (k as f64 + 0.5) / self.corners as f64);
                self.points.push(middle + (up * high + (x * c + y * s) * out) * radius);
            }
        }
        let at = |row: usize, k: usize| match row {
            0 => first,
            _ if row == rows => self.points.len() as u32 - 1,
            _ => first + 1 + ((row - 1) * around + k % around) as u32,
        };
        for row in 0..rows {
            let side = if 2 * row < rows { Side::Front } else { Side::Back };
            for k in 0..around {
                let face = [at(row, k), at(row + 1, k), at(row + 1, k + 1), at(row, k + 1)];
                balls.extend(halves(face).map(|t| (t, place, side)));
            }
        }
    }

    fn ring(&mut self, i: u32, way: Vec3) -> Vec<u32> {
        let (p, n) = (self.leaf.base.mesh.points[i as usize], self.normal(i));
        let mut ring = vec![i];
        for k in 1..self.corners {
            let (s, c) = libm::sincos(PI * k as f64 / self.corners as f64);
            ring.push(self.points.len() as u32);
            self.points.push(p + (n * c + way * s) * self.half);
        }
        ring.push(i + self.sewn.first.len() as u32);
        ring
    }
}

/// A direction on the way from one to another, a part of the angle between them; `None` where they are opposite.
fn turned(from: Vec3, to: Vec3, share: f64) -> Option<Vec3> {
    let cos = from.dot(to);
    let aside = (to - from * cos).unit();
    if cos < SHARPEST {
        return None;
    }
    let (s, c) = libm::sincos(libm::acos(cos.min(1.0)) * share);
    Some(aside.map_or(from, |aside| from * c + aside * s))
}

/// The lesser and the greater of two numbers.
fn edge(i: u32, j: u32) -> [u32; 2] {
    [i.min(j), i.max(j)]
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
