//! A block looked at closely: crossings to the last digit, the branch and the slope at each, and the vertices on creases.

use super::block::{BENDS, Bench, Block, Flips, LATTICE, POINTS, SIDE, STRIDE, edge_slot, place_of};
use super::crossed::Active;
use super::crossing::{self, Ask, Crossing};
use super::field::{Choice, Field};
use super::grid::{Grid, Job};
use super::lanes::{CORNERS, Cells, WIDE};
use super::meets::{self, Wanted};
use super::patch::PLAIN;
use super::place::Placer;
use crate::base::{Box3, Vec3};
use crate::formula::{Local, Tape};

/// Cosine between the slopes at the crossings of a cell above which its surface turns gently.
const GENTLE: f64 = 0.9;
/// A branch of which the slope changes by more than this part of itself from a cell to the next may come to a tip there, where
/// others cut it.
const TURNS: f64 = 0.4;

/// The places of the crossings of a cell.
#[derive(Default)]
struct Few {
    all: [u16; 12],
    count: usize,
}

impl Few {
    fn of(&self) -> &[u16] {
        &self.all[..self.count]
    }
}

/// What is needed to look for creases.
#[derive(Clone, Copy)]
pub struct Close<'a> {
    field: &'a Field,
    choice: &'a Choice,
    /// A lighter tape of the only branch, where there is one.
    light: Option<&'a Tape>,
    /// The branches do not turn by themselves, at kinks of their formulas.
    smooth: bool,
    /// The slope turns sharply within some cell.
    bends: bool,
}

/// What the lattice tells of a block that is to be looked at closely.
#[derive(Clone, Copy)]
pub struct Seen {
    /// All values at the ends of crossed edges are finite.
    pub clear: bool,
    /// The slope turns sharply within some cell, as it does on creases too.
    pub bends: bool,
}

/// The crossings around a vertex.
#[derive(Clone, Copy, Debug, Default)]
struct Ring {
    all: [Crossing; 12],
    count: usize,
}

impl Ring {
    fn of(&self) -> &[Crossing] {
        &self.all[..self.count]
    }

    /// The two branches at the crossings, the lesser number first, where there are two.
    fn pair(&self) -> Option<[u32; 2]> {
        let first = self.of().first()?.branch;
        let other = self.of().iter().find(|c| c.branch != first)?.branch;
        let two = self.of().iter().all(|c| c.branch == first || c.branch == other);
        two.then_some([first.min(other), first.max(other)])
    }
}

/// True when a slope turns or changes by a good part of itself from a cell to one beside it; `leans` are those of the active
/// cells, in order.
fn turns_sharply(leans: &[Vec3], active: &[(u16, u8)], which: &Active) -> bool {
    active.iter().zip(leans).any(|((base, _), lean)| {
        let own = place_of(usize::from(*base));
        (0..3).filter(|axis| own[*axis] + 1 < SIDE).any(|axis| {
            let mut next = own;
            next[axis] += 1;
            which.number(next).is_some_and(|k| {
                let (other, change) = (leans[k], *lean - leans[k]);
                change.dot(change) > TURNS * TURNS * lean.dot(*lean).max(other.dot(other))
            })
        })
    })
}

/// What becomes of a vertex of a cell looked at closely.
pub enum Placed {
    /// It lies on a crease, in a corner or at a tip.
    At(Vec3),
    /// It goes onto the surface as on smooth parts.
    Smooth,
    /// It goes onto a crease with others.
    Waits,
}

impl Bench {
    /// Makes the cells of a block with several branches, or whose branch may turn by itself; true when one branch turns gently in
    /// all of its cells. `rough` is a lighter tape for the lattice, with its error.
    pub fn close_cells(
        &mut self,
        block: &mut Block,
        job: &Job<'_>,
        (local, rough): (&Local, Option<&(Tape, f64)>),
        flips: &Flips,
        Seen { clear, bends }: Seen,
    ) -> bool {
        let (tape, near) = (&*local.tape, &**local.near().0);
        let region = job.grid.region(block.at, 1);
        let choice = job.field.within(region);
        let parted = job.field.parted(&choice, tape, region);
        let light = (parted.is_none() && choice.is_single()).then_some(near);
        let (field, choice) = parted.as_ref().map_or((job.field, &choice), |(f, c)| (f, c));
        let smooth = field.are_smooth(choice, region);
        let few = smooth && clear && !choice.is_single() && !field.ask_oracles(choice);
        let sorted = few && self.contest(field, choice, &block.active);
        if sorted && !self.contested.contains(&true) {
            self.gentle_cells(block, job.grid, flips, tape);
            return true;
        }
        let bends = if sorted { false } else { self.contest_all(bends) };
        let close = Close { field, choice, light, smooth, bends };
        // Slopes and the middles of crossings need not be fine where there is one branch.
        let seen = if light.is_some() { rough.map(|r| &r.0).or(light) } else { None };
        self.share_all();
        self.look_closely(seen.unwrap_or(tape), job.grid, block.at, clear, close);
        self.cells(block, job.grid, flips, tape, Some(close));
        false
    }

    /// All cells are to be looked at closely; hands on whether the slope turns sharply within some.
    fn contest_all(&mut self, bends: bool) -> bool {
        self.contested.clear();
        self.contested.resize(self.active.len(), true);
        bends
    }

    /// Finds the cells at whose corners several branches give the value, which are to be looked at closely; false when
    /// the surface turns sharply within another, or one of those branches from a cell to the next.
    fn contest(&mut self, field: &Field, choice: &Choice, which: &Active) -> bool {
        let Self { active, lines, lanes, contested, scratch, .. } = self;
        let at = lines.each_ref().map(|line| &line[..]);
        let by = field.active_on_grid(choice, at, scratch);
        let corner = |k: usize, offset: usize| by[usize::from(active[k].0) + offset];
        contested.clear();
        contested.extend(
            (0..active.len()).map(|k| CORNERS.iter().any(|offset| corner(k, *offset) != corner(k, 0))),
        );
        let bends = |k: usize| lanes[k / WIDE].bend[k % WIDE] > BENDS * BENDS;
        if (0..active.len()).any(|k| !contested[k] && bends(k)) {
            return false;
        }
        let some = (0..active.len()).filter(|k| contested[*k]);
        let mut branches: Vec<u32> = some.flat_map(|k| CORNERS.map(|offset| corner(k, offset))).collect();
        branches.sort_unstable();
        branches.dedup();
        let mut cells = Cells::default();
        for branch in branches {
            let value = field.branch_on_grid(branch, at, scratch);
            let Ok(value) = value[..].try_into() else { return false };
            let mut leans: Vec<Vec3> = Vec::with_capacity(active.len());
            for some in active.chunks(WIDE) {
                cells.gather(some.iter().map(|(base, _)| usize::from(*base)), value);
                cells.measure();
                leans.extend((0..some.len()).map(|i| Vec3::from(cells.lean.each_ref().map(|lane| lane[i]))));
            }
            if turns_sharply(&leans, active, which) {
                return false;
            }
        }
        true
    }

    /// Finds the crossings of the cells looked at with their branches and slopes, as far as they are asked for: to the last
    /// digit, except where one branch turns gently over all of a cell. `clear`: all values are finite.
    fn look_closely(&mut self, tape: &Tape, grid: &Grid, at: [i32; 3], clear: bool, close: Close<'_>) {
        let base = at.map(|b| b * SIDE as i32);
        self.found.clear();
        self.crossing.clear();
        self.crossing.resize(3 * LATTICE, u16::MAX);
        let mut slots: Vec<u16> = Vec::new();
        for (corner, signs) in self.active.iter().zip(&self.contested).filter(|(_, c)| **c).map(|(a, _)| a) {
            let crossed = PLAIN[usize::from(*signs)].crossed;
            for edge in (0..12).filter(|e| crossed >> e & 1 == 1) {
                let slot = edge_slot(usize::from(*corner), edge);
                if self.crossing[slot] != u16::MAX {
                    continue;
                }
                self.crossing[slot] = slots.len() as u16;
                slots.push(slot as u16);
                let (axis, k) = (slot / LATTICE, slot % LATTICE);
                let local = place_of(k);
                let from: [i32; 3] = std::array::from_fn(|a| base[a] + local[a] as i32);
                let mut to = from;
                to[axis] += 1;
                let values = [self.value[k], self.value[k + STRIDE[axis]]];
                self.found.push(Crossing::new([grid.at(from), grid.at(to)], values));
            }
        }
        let branches = (!close.choice.is_single()).then_some((close.field, close.choice));
        let ask = Ask { slopes: !close.smooth || close.bends, branches };
        crossing::look(tape, &mut self.found, &ask, &mut self.scratch);
        let all = || (0..self.found.len()).collect();
        let doubtful = if clear { self.doubtful(&ask) } else { all() };
        let mut some: Vec<Crossing> = doubtful.iter().map(|k| self.found[*k]).collect();
        crossing::solve(tape, &mut some, &ask, &mut self.scratch);
        doubtful.into_iter().zip(some).for_each(|(k, c)| self.found[k] = c);
        for (slot, c) in slots.into_iter().zip(&self.found) {
            self.share[usize::from(slot)] = c.share;
        }
    }

    /// The cells looked at, by their lowest corner.
    fn looked_at(&self) -> impl Iterator<Item = u16> {
        self.active
            .iter()
            .zip(&self.contested)
            .filter(|(_, contested)| **contested)
            .map(|((base, _), _)| *base)
    }

    /// The crossings of cells over which the slope turns more than gently, the branch changes or straight lines misjudge, in
    /// order; beside a change of branch those of the next cells too.
    fn doubtful(&self, ask: &Ask<'_>) -> Vec<usize> {
        let units: Vec<Vec3> = self.found.iter().map(|c| c.slope.unit().unwrap_or(Vec3::ZERO)).collect();
        let bent = |k: usize| ask.branches.is_some() && self.found[k].is_bent();
        let alike = |a: usize, b: usize| {
            (!ask.slopes || units[a].dot(units[b]) > GENTLE) && self.found[a].branch == self.found[b].branch
        };
        let mut doubtful = vec![false; units.len()];
        for cell in self.looked_at() {
            let ids = self.crossings_of(cell);
            let plain = |(i, a): (usize, &u16)| {
                let a = usize::from(*a);
                !bent(a) && ids.of()[i..].iter().all(|b| alike(a, usize::from(*b)))
            };
            if !ids.of().iter().enumerate().all(plain) {
                ids.of().iter().for_each(|id| doubtful[usize::from(*id)] = true);
            }
        }
        if ask.branches.is_some() {
            let known = doubtful.clone();
            for cell in self.looked_at() {
                let ids = self.crossings_of(cell);
                if ids.of().iter().any(|id| known[usize::from(*id)]) {
                    ids.of().iter().for_each(|id| doubtful[usize::from(*id)] = true);
                }
            }
        }
        (0..doubtful.len()).filter(|k| doubtful[*k]).collect()
    }

    /// The places in `found` of the crossings of a cell.
    fn crossings_of(&self, base: u16) -> Few {
        let mut few = Few::default();
        for edge in 0..12 {
            let id = self.crossing[edge_slot(usize::from(base), edge)];
            if id != u16::MAX {
                few.all[few.count] = id;
                few.count += 1;
            }
        }
        few
    }

    /// Where the vertex of a ring of crossed edges goes that starts at `start`; on a crease of two branches it waits for others.
    pub fn place(
        &mut self,
        close: Close<'_>,
        (local, edges): ([usize; 3], u16),
        room: Box3,
        vertex: usize,
        start: Vec3,
        step: f64,
    ) -> Placed {
        let base = local[0] + POINTS * (local[1] + POINTS * local[2]);
        let mut ring = Ring::default();
        for e in (0..12).filter(|e| edges >> e & 1 == 1) {
            ring.all[ring.count] = self.found[usize::from(self.crossing[edge_slot(base, e)])];
            ring.count += 1;
        }
        if close.smooth
            && !close.bends
            && let Some(branches) = ring.pair()
        {
            self.creases.push(Wanted { vertex, branches, start, room });
            return Placed::Waits;
        }
        let Close { field, choice, light, smooth, bends } = close;
        Placer { field, choice, light, step, turns: !smooth, bends, scratch: &mut self.scratch }
            .place(ring.of(), room)
            .map_or(Placed::Smooth, Placed::At)
    }

    /// Places the vertices that wait to go onto a crease.
    pub fn crease_all(&mut self, block: &mut Block, close: Close<'_>, grid: &Grid, tape: &Tape) {
        let found = meets::places(close.field, tape, &self.creases, grid.step, &mut self.scratch);
        for (Wanted { vertex, start, room, .. }, found) in self.creases.iter().zip(found) {
            let kind = &mut block.kinds[*vertex];
            match found {
                Some(point) => {
                    block.points[*vertex] = point;
                    kind.sharp = true;
                    kind.crowded |= !room.holds(point);
                }
                // Two sheets in one cell stay where they surely pass one another.
                None if !kind.crowded => self.batch.push(*vertex, *start, *room, Vec3::ZERO),
                None => {}
            }
        }
    }
}
