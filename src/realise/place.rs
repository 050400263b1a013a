//! Where the vertex of a ring goes: on the surface, on the crease or in the corner that the cell holds.
//!
//! Smooth parts: the middle of the crossings, brought onto the surface along the slope. Where several branches are
//! active at the crossings, the point where they all vanish is solved for (Gauss-Newton, least change, within the
//! cell). Where one branch turns sharply by itself, the point where its slope vanishes is solved for, and where it has none
//! (the tip of a cone that is a distance) the point that is nearest to all tangent planes (T. Ju, F. Losasso, S. Schaefer,
//! J. Warren, ACM Trans. Graph. 21 (2002) 339) is tried.

use nalgebra::{Matrix3, Vector3};

use super::crossing::Crossing;
use super::field::{Choice, Field};
use crate::base::{Box3, Vec3};
use crate::formula::{Scratch, Tape};

/// Places vertices; one per block.
pub struct Placer<'a> {
    pub field: &'a Field,
    pub choice: &'a Choice,
    /// A lighter tape of the only branch, where there is one.
    pub light: Option<&'a Tape>,
    /// Edge of a cell, mm.
    pub step: f64,
    /// A branch may turn sharply by itself, at a kink of its formula.
    pub turns: bool,
    /// Its slope turns sharply within some cell, as near a singular point.
    pub bends: bool,
    pub scratch: &'a mut Scratch,
}

/// Most branches looked at in one cell.
const MOST: usize = 6;
/// Cosine between slopes below which one branch is taken to turn sharply.
const SHARP: f64 = 0.8;
/// A point is on the surface when it is off by less than this part of a cell.
pub const ON: f64 = 1e-7;
/// A point that comes no nearer is taken when it is off by less than this part of a cell: distances to a surface are
/// themselves found by steps.
pub const NEAR: f64 = 1e-4;
/// The edge of a wedge may lie this part of a cell outside the cell that sees both its sides.
pub const POKES: f64 = 0.75;
/// The way from a tip into what it is the tip of is looked for this part of a cell around it, and gone in so many steps of
/// this part of a cell.
const AROUND: f64 = 0.2;
const LOOKS_IN: u32 = 18;
const IN_STEPS: f64 = 0.1;
/// Slopes are compared this part of a cell to both sides. A bend of less than this part of what it is beside is none.
const DIFFERENCE: f64 = 1e-3;
const LEAST_BEND: f64 = 0.05;
/// Steps toward a singular point, and how many cells they lead at most.
const SINGULAR_STEPS: u32 = 12;
const SINGULAR_FAR: f64 = 3.0;
/// A solved point may leave its cell by this part of it.
pub const SLACK: f64 = 1e-6;

impl Placer<'_> {
    /// The vertex of a ring of crossings on a crease, in a corner or at a tip; `None` on smooth parts.
    pub fn place(&mut self, ring: &[Crossing], room: Box3) -> Option<Vec3> {
        let middle = || ring.iter().fold(Vec3::ZERO, |s, c| s + c.point) / ring.len() as f64;
        let alone = |one: &Crossing| turn(ring.iter().filter(|c| c.branch == one.branch));
        if (self.turns || self.bends)
            && let Some(turning) = ring.iter().find(|c| alone(c) < SHARP)
        {
            let found = if self.turns { self.apart(ring, room) } else { None };
            if let Some(found) = found.or_else(|| self.singular(turning, middle(), room)) {
                return Some(found);
            }
            // Another branch cuts its edge: a corner, of which the branches do not tell.
            if ring.iter().any(|c| c.branch != turning.branch)
                && let Some(found) = self.tip(ring, middle(), room)
            {
                return Some(found);
            }
        }
        if !self.choice.is_single() {
            if ring.iter().all(|c| c.branch == ring[0].branch) && !self.turns {
                return None;
            }
            let mut active: Vec<u32> = Vec::new();
            for c in ring {
                if !active.contains(&c.branch) && active.len() < MOST {
                    active.push(c.branch);
                }
            }
            active.sort_unstable();
            if active.len() > 1
                && let Some(found) = self.crease(&active, middle(), room)
            {
                return Some(found);
            }
        }
        if !self.turns {
            return None;
        }
        if turn(ring.iter()) < SHARP { self.tip(ring, middle(), room) } else { None }
    }

    /// The same where a branch comes apart into several in the cell, as the wall of crossing sheets does.
    fn apart(&mut self, ring: &[Crossing], room: Box3) -> Option<Vec3> {
        let (field, choice) = self.field.parted(self.choice, &self.field.tape, room)?;
        let at = [0, 1, 2].map(|axis| ring.iter().map(|c| c.point[axis]).collect::<Vec<f64>>());
        let (branches, _) = field.active(&choice, [&at[0], &at[1], &at[2]], self.scratch);
        let mut ring = ring.to_vec();
        ring.iter_mut().zip(branches).for_each(|(c, branch)| c.branch = branch);
        let (step, scratch) = (self.step, &mut *self.scratch);
        Placer { field: &field, choice: &choice, light: None, step, turns: false, bends: false, scratch }
            .place(&ring, room)
    }

    /// The singular point of a branch near `start`, where its value and its slope vanish, when this cell is the one that it
    /// belongs to: Newton's method for the slope, whose own slopes are taken by differences. At kinks there is none.
    fn singular(&mut self, near: &Crossing, start: Vec3, room: Box3) -> Option<Vec3> {
        let branch = if let Choice::Branch(only, _) = self.choice { *only } else { near.branch };
        if self.field.has_kinks(branch) {
            return None;
        }
        let tape = self.light.unwrap_or(self.field.branch_tape(branch));
        let (mut p, h) = (start, DIFFERENCE * self.step);
        for _ in 0..SINGULAR_STEPS {
            let beside = (0..6).map(|k| {
                let mut by = [0.0; 3];
                by[k / 2] = if k % 2 == 0 { h } else { -h };
                p + Vec3::from(by)
            });
            let places: Vec<Vec3> = std::iter::once(p).chain(beside).collect();
            let seen = tape.slopes_of(&places, self.scratch);
            let (value, slope) = seen[0];
            let columns = [1, 3, 5].map(|k| (seen[k].1 - seen[k + 1].1) / (2.0 * h));
            let bend = Matrix3::from_fn(|i, k| columns[k][i]);
            let x = bend.pseudo_inverse(1e-6 * bend.norm()).ok()? * Vector3::from(slope.array());
            let d = Vec3::new(x[0], x[1], x[2]);
            p -= d;
            if !((p - start).norm() <= SINGULAR_FAR * self.step) {
                return None;
            }
            if d.norm() <= ON * self.step {
                let on = value.abs() <= NEAR * self.step * self.step * bend.norm();
                // Along a line of such points, or where the field touches zero more than twice over, there is no tip.
                let bends = bend.singular_values().min() * self.step > LEAST_BEND * near.slope.norm();
                let own = on && bends && (room.grown(SLACK * self.step).holds(p) || self.comes_from(p, room));
                return own.then_some(p);
            }
        }
        None
    }

    /// The point of the greatest number of active branches that lies in the cell and on the surface.
    fn crease(&mut self, active: &[u32], middle: Vec3, room: Box3) -> Option<Vec3> {
        for size in (2..=active.len().min(3)).rev() {
            let mut best: Option<(f64, Vec3)> = None;
            for set in subsets(active, size) {
                if let Some(p) = self.meet(&set, middle, room) {
                    let far = (p - middle).norm();
                    if best.is_none_or(|b| far < b.0) {
                        best = Some((far, p));
                    }
                }
            }
            if let Some((_, p)) = best {
                return Some(p);
            }
            // A wedge may poke through a face of the cell between the lattice points, and its tip or edge with it.
            if size == 3
                && let Some(tip) = self.poking_tip(active, middle, room)
            {
                return Some(tip);
            }
        }
        let wider = room.grown(POKES * self.step);
        subsets(active, 2).iter().find_map(|set| self.solve(set, middle, wider)).map(|(p, _)| p)
    }

    /// The point near `start`, in the cell, where all branches of the set vanish and the whole does too. Of a crease
    /// between two branches, the middle of what the cell holds, so that neighbours do not choose the same point.
    fn meet(&mut self, set: &[u32], start: Vec3, room: Box3) -> Option<Vec3> {
        let (p, along) = self.solve(set, start, room)?;
        let Some(along) = along else { return Some(p) };
        let (from, to) = chord(p, along, room);
        let middle = self.solve(set, p + along * (0.5 * (from + to)), room);
        Some(middle.map_or(p, |(q, _)| q))
    }

    /// The tip of three branches in a cell next to this one that it belongs to.
    fn poking_tip(&mut self, active: &[u32], middle: Vec3, room: Box3) -> Option<Vec3> {
        let near = room.grown(self.step);
        let tips = subsets(active, 3).into_iter().find_map(|set| self.solve(&set, middle, near));
        tips.map(|(p, _)| p).filter(|p| self.comes_from(*p, room))
    }

    /// The point of [`Self::meet`] and, for two branches, the direction of their crease.
    fn solve(&mut self, set: &[u32], start: Vec3, room: Box3) -> Option<(Vec3, Option<Vec3>)> {
        let mut p = start;
        let wide = room.grown(SLACK * self.step);
        let mut before = f64::INFINITY;
        for _ in 0..12 {
            let rows: Vec<(f64, Vec3)> = set.iter().map(|&k| self.field.branch(k, p, self.scratch)).collect();
            let off = rows.iter().map(|(v, g)| v.abs() / g.norm().max(1e-300)).fold(0.0, f64::max);
            if !off.is_finite() {
                return None;
            }
            let stuck = off <= NEAR * self.step && off > 0.3 * before;
            before = off;
            if off <= ON * self.step || stuck {
                let along = if let [(_, a), (_, b)] = rows[..] { a.cross(b).unit() } else { None };
                return self.is_on(p, off).then_some((p, along));
            }
            p = room_step(&rows, p, wide)?;
        }
        None
    }

    /// True when the whole field vanishes at `p`, as the branches do to within `off` mm.
    fn is_on(&mut self, p: Vec3, off: f64) -> bool {
        let (v, g) = self.field.slope(p, self.scratch);
        v.abs() <= (off + 10.0 * ON * self.step) * g.norm().max(1e-300) * 4.0
    }

    /// The point nearest to all tangent planes of the crossings, when it is in the cell and on the surface.
    fn tip(&mut self, ring: &[Crossing], middle: Vec3, room: Box3) -> Option<Vec3> {
        let (mut a, mut b) = (Matrix3::zeros(), Vector3::zeros());
        let mut steep: f64 = 0.0;
        for c in ring {
            let n = c.slope.unit()?;
            steep = steep.max(c.slope.norm());
            let n = Vector3::new(n.x, n.y, n.z);
            let d = c.point - middle;
            a += n * n.transpose();
            b += n * n.dot(&Vector3::new(d.x, d.y, d.z));
        }
        let x = a.pseudo_inverse(0.05).ok()? * b;
        let p = middle + Vec3::new(x[0], x[1], x[2]);
        let near = room.grown(SLACK * self.step).holds(p) || self.comes_from(p, room);
        let (v, _) = self.field.slope(p, self.scratch);
        (near && v.abs() <= 0.02 * self.step * steep).then_some(p)
    }

    /// True when corners of a cell, so many cells from this one, lie on both sides.
    fn is_mixed(&self, shift: Vec3, room: Box3) -> bool {
        let low = room.min + shift * self.step;
        let corners = Box3::new(low, low + Vec3::splat(self.step)).corners();
        let inside = corners.map(|c| self.field.tape.value(c) < 0.0);
        inside.contains(&true) && inside.contains(&false)
    }

    /// Unit vector from a tip into what it is the tip of: the side, inside or outside, that there is less of around it.
    fn behind_tip(&self, p: Vec3) -> Option<Vec3> {
        let around = (0..27).filter(|k| *k != 13).filter_map(|k| {
            let way = Vec3::from([k % 3, k / 3 % 3, k / 9].map(|i| f64::from(i) - 1.0));
            way.unit()
        });
        let inside = |d: &Vec3| self.field.tape.value(p + *d * (AROUND * self.step)) < 0.0;
        let (within, outside): (Vec<Vec3>, Vec<Vec3>) = around.partition(inside);
        let fewer = if within.len() < outside.len() { within } else { outside };
        let sum = fewer.into_iter().fold(Vec3::ZERO, |s, d| s + d);
        // A thin tip holds none of the points around it.
        sum.unit().or_else(|| (self.field.tape.slope(p, &mut Scratch::default()).1 * -1.0).unit())
    }

    /// True when a tip lies in a cell that no edge tells of, all its corners being on one side, and this cell is the first
    /// with corners on both sides on the way from there into what it is the tip of: it belongs to the cell it comes
    /// from.
    fn comes_from(&self, p: Vec3, room: Box3) -> bool {
        let Some(inward) = self.behind_tip(p) else { return false };
        let mut looked = None;
        for k in 0..LOOKS_IN {
            let q = p + inward * (f64::from(k) * IN_STEPS * self.step);
            let cell = [0, 1, 2].map(|a| ((q[a] - room.min[a]) / self.step).floor());
            if cell == [0.0; 3] {
                return looked.is_some();
            }
            if looked == Some(cell) {
                continue;
            }
            looked = Some(cell);
            if self.is_mixed(Vec3::from(cell), room) {
                return false;
            }
        }
        false
    }
}

/// The least cosine between the slopes of some crossings.
fn turn<'a>(ring: impl Iterator<Item = &'a Crossing>) -> f64 {
    let units: Vec<Vec3> = ring.filter_map(|c| c.slope.unit()).collect();
    units.iter().flat_map(|a| units.iter().map(|b| a.dot(*b))).fold(1.0, f64::min)
}

/// One Gauss-Newton step for `rows` (value, slope) from `p`; coordinates that would leave the box are held at its face
/// and the others solved again.
pub fn room_step(rows: &[(f64, Vec3)], p: Vec3, room: Box3) -> Option<Vec3> {
    let mut held = [false; 3];
    let mut base = p;
    for _ in 0..4 {
        let q = base + least_step(rows, base - p, held)?;
        let mut left = false;
        let mut at = base.array();
        for k in 0..3 {
            if !held[k] && (q[k] < room.min[k] || q[k] > room.max[k]) {
                held[k] = true;
                at[k] = q[k].clamp(room.min[k], room.max[k]);
                left = true;
            }
        }
        if !left {
            return Some(q);
        }
        base = Vec3::from(at);
        if held == [true; 3] {
            return Some(base);
        }
    }
    Some(base)
}

/// The least step after which up to three rows (value, slope), taken as straight, vanish, with some coordinates held;
/// `shift` is how far one has come since the rows were made.
pub fn least_step(rows: &[(f64, Vec3)], shift: Vec3, held: [bool; 3]) -> Option<Vec3> {
    let mut a = [Vec3::ZERO; 3];
    let mut b = [0.0; 3];
    for (i, (v, g)) in rows.iter().enumerate().take(3) {
        let n = g.norm().max(1e-300);
        b[i] = -(v + g.dot(shift)) / n;
        let row = *g / n;
        a[i] = Vec3::from([0, 1, 2].map(|k| if held[k] { 0.0 } else { row[k] }));
    }
    // In closed form where the rows point well apart.
    const APART: f64 = 1e-3;
    match rows.len() {
        1 if a[0].dot(a[0]) > APART => return Some(a[0] * (b[0] / a[0].dot(a[0]))),
        2 => {
            let (p, q, r) = (a[0].dot(a[0]), a[0].dot(a[1]), a[1].dot(a[1]));
            let det = p * r - q * q;
            if det > APART {
                return Some(a[0] * ((r * b[0] - q * b[1]) / det) + a[1] * ((p * b[1] - q * b[0]) / det));
            }
        }
        3 => {
            let [u, v, w] = [a[1].cross(a[2]), a[2].cross(a[0]), a[0].cross(a[1])];
            let det = a[0].dot(u);
            if det.abs() > APART.sqrt() {
                return Some((u * b[0] + v * b[1] + w * b[2]) / det);
            }
        }
        _ => {}
    }
    let m = Matrix3::from_fn(|i, k| a[i][k]);
    let x = m.pseudo_inverse(1e-4).ok()? * Vector3::from(b);
    Some(Vec3::new(x[0], x[1], x[2]))
}

/// The range of s for which p + s d lies in the box; p does.
pub fn chord(p: Vec3, d: Vec3, room: Box3) -> (f64, f64) {
    let (mut from, mut to) = (f64::NEG_INFINITY, f64::INFINITY);
    for k in 0..3 {
        if d[k] != 0.0 {
            let (a, b) = ((room.min[k] - p[k]) / d[k], (room.max[k] - p[k]) / d[k]);
            from = from.max(a.min(b));
            to = to.min(a.max(b));
        }
    }
    (from.min(0.0), to.max(0.0))
}

fn subsets(all: &[u32], size: usize) -> Vec<Vec<u32>> {
    let n = all.len();
    (0u32..1 << n)
        .filter(|m| m.count_ones() as usize == size)
        .map(|m| (0..n).filter(|i| m >> i & 1 == 1).map(|i| all[i]).collect())
        .collect()
}
