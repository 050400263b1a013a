//! One block of cells: the field sampled at its lattice, the crossed edges, one vertex per ring of crossings.

use std::collections::HashMap;
use std::sync::Arc;

use super::crossing::{self, Ask, Crossing};
use super::field::{Choice, Field};
use super::grid::{Grid, Job};
use super::onto::Batch;
use super::patch::{self, NONE, PLAIN};
use super::place::Placer;
use crate::base::{Box3, Vec3};
use crate::formula::{Local, Scratch, Tape};

/// Cells along a side of a block.
pub const SIDE: usize = 8;
/// Lattice points along a side.
pub const POINTS: usize = SIDE + 1;
/// Lattice points of a block.
pub const LATTICE: usize = POINTS * POINTS * POINTS;
/// From a lattice point to the next along each axis.
pub const STRIDE: [usize; 3] = [1, POINTS, POINTS * POINTS];

/// A cell that the surface passes through.
#[derive(Clone, Copy, Debug)]
pub struct Cell {
    /// Which corners are inside.
    signs: u8,
    /// Which faces are turned over.
    flips: u8,
    /// Vertex of ring 0 among the vertices of the block.
    first: u16,
}

/// An edge of the lattice that the surface crosses and this block makes a face for.
#[derive(Clone, Copy, Debug)]
pub struct Crossed {
    /// Where it starts, in cells of the block.
    pub start: [u8; 3],
    /// Its axis.
    pub axis: u8,
    /// True when it starts inside.
    pub leaves: bool,
}

/// One block, worked out.
#[derive(Debug)]
pub struct Block {
    /// Place in the grid, counted in blocks.
    pub at: [i32; 3],
    /// The function as it is in the block.
    pub tape: Arc<Tape>,
    /// Cells that the surface passes through.
    pub cells: Vec<Cell>,
    /// For each cell of the block its place in `cells`, or `u16::MAX`.
    pub lookup: Box<[u16; SIDE * SIDE * SIDE]>,
    /// Vertices.
    pub points: Vec<Vec3>,
    /// For each vertex what is known of it.
    pub kinds: Vec<Kind>,
    /// Faces to make.
    pub crossed: Vec<Crossed>,
    /// Bit 9 (z + 1) + 3 (y + 1) + x + 1: the neighbour by (x, y, z) shares a crossed edge.
    pub needs: u32,
    /// Doubled faces.
    pub doubled: Vec<Doubled>,
}

/// A face of which one ring of a cell holds all four crossings.
#[derive(Clone, Copy, Debug)]
pub struct Doubled {
    /// In cells of the grid.
    pub cell: [i32; 3],
    /// Which corners of the cell are inside.
    pub signs: u8,
    /// Which faces are turned over.
    pub flips: u8,
    /// Which face it is.
    pub face: u8,
}

/// What is known of a vertex.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Kind {
    /// It lies on a crease or in a corner.
    pub sharp: bool,
    /// Its cell holds another vertex, or it lies outside its cell: faces at it may meet others.
    pub crowded: bool,
}

/// What a worker keeps from block to block.
#[derive(Default, Debug)]
pub struct Bench {
    pub scratch: Scratch,
    /// Coordinates of the lattice.
    lines: [Vec<f64>; 3],
    /// Values at the lattice points.
    pub value: Vec<f64>,
    /// For each line of lattice points along x the signs, bit set inside.
    rows: Vec<u16>,
    /// The cells that the surface passes through, by their lowest corner, and which of their corners are inside.
    active: Vec<(u16, u8)>,
    /// The edges that are crossed, by axis and start.
    edges: Vec<(u8, u16)>,
    /// For each edge, by axis and start, where it is crossed, as a part of its length.
    share: Vec<f64>,
    /// The crossings of those edges, in their order, where the block is looked at closely.
    found: Vec<Crossing>,
    /// For each edge its place in `found`, where the block is looked at closely.
    crossing: Vec<u16>,
    batch: Batch,
}

/// Faces turned over besides those whose middle is inside, by cell of the grid.
pub type Flips = HashMap<[i32; 3], u8>;

/// The two axes across an axis, in cyclic order.
const fn across(axis: usize) -> [usize; 2] {
    [(axis + 1) % 3, (axis + 2) % 3]
}

fn place_of(k: usize) -> [usize; 3] {
    [k % POINTS, k / POINTS % POINTS, k / (POINTS * POINTS)]
}

/// The place of an edge of the cell at lattice point `base`, by axis and start.
const fn edge_slot(base: usize, edge: usize) -> usize {
    let corner = patch::edge_start(edge);
    let offset = (corner & 1) * STRIDE[0] + (corner >> 1 & 1) * STRIDE[1] + (corner >> 2) * STRIDE[2];
    (edge / 4) * LATTICE + base + offset
}

/// Cosine between the slopes at the crossings of a cell above which its surface turns gently.
const GENTLE: f64 = 0.9;

/// A slope that changes by more than this part of itself within a cell may vanish there or next to it.
const BENDS: f64 = 0.35;

/// Long tapes are made lighter where they can be: for the lattice by this part of the spread of the values in the block, to
/// bring vertices onto the surface by this one, and on the way down to the blocks by the last, each time.
const ROUGHLY: f64 = 1e-3;
const FINELY: f64 = 1e-6;
pub const CLOSELY: f64 = 1e-7;

/// Works out one block; `None` when the surface does not pass through it.
pub fn work(job: &Job<'_>, local: &Local, at: [i32; 3], flips: &Flips, bench: &mut Bench) -> Option<Block> {
    let (field, grid, tape) = (job.field, job.grid, &local.tape);
    let region = grid.region(at, 1);
    let near = local.near().0;
    let rough = local.lighter(region, ROUGHLY);
    sample(job, local, rough.as_ref(), at, bench);
    if !bench.signs() {
        return None;
    }
    let mut block = Block {
        at,
        tape: tape.clone(),
        cells: Vec::new(),
        lookup: Box::new([u16::MAX; SIDE * SIDE * SIDE]),
        points: Vec::new(),
        kinds: Vec::new(),
        crossed: Vec::new(),
        needs: 0,
        doubled: Vec::new(),
    };
    let choice = field.within(region);
    let clear = bench.find(&mut block, job.open);
    bench.activate();
    // A level surface comes to a tip where its slope vanishes; a sheet shows it as it is.
    let bends = !job.open && bench.bends();
    let plain = choice.is_single() && !bends && near.is_smooth(region);
    let gentle = plain && clear;
    if gentle {
        bench.cells(&mut block, grid, flips, None);
    } else {
        let parted = field.parted(&choice, tape, region);
        let light = (parted.is_none() && choice.is_single()).then_some(&**near);
        let (field, choice) = parted.as_ref().map_or((field, &choice), |(f, c)| (f, c));
        let smooth = field.are_smooth(choice, region);
        let close = Close { field, choice, light, smooth, bends };
        // Slopes and the middles of crossings need not be fine where there is one branch.
        let seen = if light.is_some() { rough.as_ref().map(|r| &r.0).or(light) } else { None };
        bench.look_closely(seen.unwrap_or(tape), grid, at, clear, close);
        bench.cells(&mut block, grid, flips, Some(close));
    }
    let Bench { batch, scratch, .. } = bench;
    let light = local.lighter(region, FINELY);
    batch.onto(light.as_ref().map_or(near, |l| &l.0), (grid.step, gentle), scratch, &mut block.points);
    Some(block)
}

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
struct Close<'a> {
    field: &'a Field,
    choice: &'a Choice,
    /// A lighter tape of the only branch, where there is one.
    light: Option<&'a Tape>,
    /// The branches do not turn by themselves, at kinks of their formulas.
    smooth: bool,
    /// The slope turns sharply within some cell.
    bends: bool,
}

impl Bench {
    /// Takes the values of a tape at the lattice points whose values may be off by `error` and are no larger.
    fn again(&mut self, tape: &Tape, error: f64) {
        let unsure: Vec<usize> = (0..LATTICE).filter(|k| !(self.value[*k].abs() > error)).collect();
        if unsure.is_empty() {
            return;
        }
        let of = |axis: usize| unsure.iter().map(|k| self.lines[axis][place_of(*k)[axis]]).collect();
        let at: [Vec<f64>; 3] = std::array::from_fn(of);
        let mut values = vec![0.0; unsure.len()];
        tape.values(&at[0], &at[1], &at[2], &mut values, &mut self.scratch);
        unsure.into_iter().zip(values).for_each(|(k, v)| self.value[k] = v);
    }

    /// Gathers the signs; false when they are all the same.
    fn signs(&mut self) -> bool {
        self.rows.clear();
        self.rows.extend(
            self.value[..LATTICE]
                .chunks_exact(POINTS)
                .map(|line| line.iter().enumerate().fold(0, |m, (x, v)| m | u16::from(*v < 0.0) << x)),
        );
        let (or, and) = self.rows.iter().fold((0, u16::MAX), |(o, a), r| (o | r, a & r));
        or != 0 && and != (1 << POINTS) - 1
    }

    /// Finds the crossed edges, by straight lines between the lattice points, and notes what they ask of the block
    /// and of its neighbours; false when some value is not finite.
    fn find(&mut self, block: &mut Block, open: bool) -> bool {
        self.share.resize(3 * LATTICE, 0.0);
        self.edges.clear();
        let mut clear = true;
        for line in 0..POINTS * POINTS {
            let (y, z) = (line % POINTS, line / POINTS);
            let row = self.rows[line];
            let along = |next: Option<&u16>| next.map_or(0, |n| row ^ n);
            let changed = [
                (row ^ row >> 1) & ((1 << SIDE) - 1),
                if y < SIDE { along(self.rows.get(line + 1)) } else { 0 },
                along(self.rows.get(line + POINTS)),
            ];
            for (axis, mut bits) in changed.into_iter().enumerate() {
                while bits != 0 {
                    let x = bits.trailing_zeros() as usize;
                    bits &= bits - 1;
                    let k = line * POINTS + x;
                    let (a, b) = (self.value[k], self.value[k + STRIDE[axis]]);
                    let share = a / (a - b);
                    clear &= share.is_finite();
                    self.share[axis * LATTICE + k] = share;
                    self.edges.push((axis as u8, k as u16));
                    // A sheet ends where the field does; a solid is closed there.
                    if share.is_finite() || !open {
                        note_edge(block, [x, y, z], axis, row >> x & 1 == 1);
                    }
                }
            }
        }
        clear
    }

    /// Gathers the cells that the surface passes through.
    fn activate(&mut self) {
        self.active.clear();
        for line in 0..SIDE * SIDE {
            let (y, z) = (line % SIDE, line / SIDE);
            let r = [(0, 0), (1, 0), (0, 1), (1, 1)].map(|(dy, dz)| self.rows[y + dy + POINTS * (z + dz)]);
            let (or, and) = (r[0] | r[1] | r[2] | r[3], r[0] & r[1] & r[2] & r[3]);
            let mut active = (or | or >> 1) & !(and & and >> 1) & ((1 << SIDE) - 1);
            while active != 0 {
                let x = active.trailing_zeros() as usize;
                active &= active - 1;
                let signs = (0..4).fold(0, |m, k| m | ((r[k] >> x & 3) as u8) << (2 * k));
                self.active.push(((x + POINTS * (y + POINTS * z)) as u16, signs));
            }
        }
    }

    /// The differences of the values along the four edges of a cell in the direction of an axis.
    fn along(&self, base: u16, axis: usize) -> [f64; 4] {
        let [u, v] = across(axis);
        [0, STRIDE[u], STRIDE[v], STRIDE[u] + STRIDE[v]].map(|offset| {
            let k = usize::from(base) + offset;
            self.value[k + STRIDE[axis]] - self.value[k]
        })
    }

    /// The slope in the middle of a cell of edge `step`, by the values at its corners.
    fn lean(&self, base: u16, step: f64) -> Vec3 {
        Vec3::from([0, 1, 2].map(|axis| self.along(base, axis).iter().sum::<f64>() / (4.0 * step)))
    }

    /// True when the slope turns or changes by a good part of itself within a cell, by differences of the values.
    fn bends(&self) -> bool {
        self.active.iter().any(|(base, _)| {
            let (mut slope, mut change) = (0.0, 0.0);
            for axis in 0..3 {
                let four = self.along(*base, axis);
                let middle = four.iter().sum::<f64>() / 4.0;
                let off = four.iter().map(|d| (d - middle).abs()).fold(0.0, f64::max);
                slope += middle * middle;
                change += off * off;
            }
            change > BENDS * BENDS * slope
        })
    }

    /// Makes the cells, with the vertices of their rings on the way to the batch.
    fn cells(&mut self, block: &mut Block, grid: &Grid, flips: &Flips, close: Option<Close<'_>>) {
        let base = block.at.map(|b| b * SIDE as i32);
        self.batch.clear();
        let count = self.active.len();
        block.cells.reserve(count);
        block.points.reserve(count);
        block.kinds.reserve(count);
        for k in 0..count {
            let (corner, signs) = self.active[k];
            let local = place_of(usize::from(corner));
            let cell: [i32; 3] = std::array::from_fn(|k| base[k] + local[k] as i32);
            let turned = if flips.is_empty() { 0 } else { flips.get(&cell).copied().unwrap_or(0) };
            let joined = joined_faces(&block.tape, grid, cell, signs);
            let (edges, count) = self.open_cell(block, cell, local, [signs, joined ^ turned]);
            let low = grid.at(cell);
            let room = Box3::new(low, grid.at(cell.map(|i| i + 1)));
            for edges in &edges[..count] {
                let start = low + self.middle(local, *edges) * grid.step;
                let fixed = close.and_then(|c| self.crease(c, local, *edges, room, grid.step));
                let vertex = block.points.len();
                let (point, sharp) = fixed.unwrap_or((start, false));
                // Two sheets in one cell stay where they surely pass one another.
                if fixed.is_none() && count == 1 {
                    self.batch.push(vertex, start, room, self.lean(corner, grid.step));
                }
                block.points.push(point);
                block.kinds.push(Kind { sharp, crowded: count > 1 || !room.holds(point) });
            }
        }
    }

    /// Notes a cell and its doubled faces; gives the edges of its rings and their number.
    fn open_cell(
        &self,
        block: &mut Block,
        cell: [i32; 3],
        local: [usize; 3],
        [signs, flips]: [u8; 2],
    ) -> ([u16; 4], usize) {
        block.lookup[local[0] + SIDE * (local[1] + SIDE * local[2])] = block.cells.len() as u16;
        block.cells.push(Cell { signs, flips, first: block.points.len() as u16 });
        let plain = &PLAIN[usize::from(signs)];
        if flips == 0 {
            if plain.doubled != 0 {
                let faces = (0..6).filter(|f| plain.doubled >> f & 1 == 1);
                block.doubled.extend(faces.map(|face| Doubled { cell, signs, flips, face }));
            }
            return (plain.edges, usize::from(plain.rings.count));
        }
        let rings = patch::rings(signs, flips);
        let faces = (0..6u8).filter(|f| patch::is_doubled(signs, flips, usize::from(*f)));
        block.doubled.extend(faces.map(|face| Doubled { cell, signs, flips, face }));
        (rings.edges(), usize::from(rings.count))
    }

    /// The middle of the crossings of some edges of a cell, in cells from its lowest corner.
    fn middle(&self, local: [usize; 3], edges: u16) -> Vec3 {
        let base = local[0] + POINTS * (local[1] + POINTS * local[2]);
        let mut sum = [0.0; 3];
        let mut bits = edges;
        while bits != 0 {
            let e = bits.trailing_zeros() as usize;
            bits &= bits - 1;
            let corner = patch::edge_start(e);
            for (k, sum) in sum.iter_mut().enumerate() {
                *sum += if k == e / 4 { self.share[edge_slot(base, e)] } else { (corner >> k & 1) as f64 };
            }
        }
        Vec3::from(sum) / f64::from(edges.count_ones())
    }

    /// Finds the crossings with their branches and slopes, as far as they are asked for: to the last digit, except
    /// where one branch turns gently over all of a cell. `clear`: all values are finite.
    fn look_closely(&mut self, tape: &Tape, grid: &Grid, at: [i32; 3], clear: bool, close: Close<'_>) {
        let base = at.map(|b| b * SIDE as i32);
        self.found.clear();
        self.crossing.clear();
        self.crossing.resize(3 * LATTICE, u16::MAX);
        for (axis, k) in &self.edges {
            let (axis, k) = (usize::from(*axis), usize::from(*k));
            self.crossing[axis * LATTICE + k] = self.found.len() as u16;
            let local = place_of(k);
            let from: [i32; 3] = std::array::from_fn(|a| base[a] + local[a] as i32);
            let mut to = from;
            to[axis] += 1;
            let values = [self.value[k], self.value[k + STRIDE[axis]]];
            self.found.push(Crossing::new([grid.at(from), grid.at(to)], values));
        }
        let branches = (!close.choice.is_single()).then_some((close.field, close.choice));
        let ask = Ask { slopes: !close.smooth || close.bends, branches };
        crossing::look(tape, &mut self.found, &ask, &mut self.scratch);
        let all = || (0..self.found.len()).collect();
        let doubtful = if clear { self.doubtful(&ask) } else { all() };
        let mut some: Vec<Crossing> = doubtful.iter().map(|k| self.found[*k]).collect();
        crossing::solve(tape, &mut some, &ask, &mut self.scratch);
        doubtful.into_iter().zip(some).for_each(|(k, c)| self.found[k] = c);
        for ((axis, k), c) in self.edges.iter().zip(&self.found) {
            self.share[usize::from(*axis) * LATTICE + usize::from(*k)] = c.share;
        }
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
        for cell in &self.active {
            let ids = self.crossings_of(cell.0);
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
            for cell in &self.active {
                let ids = self.crossings_of(cell.0);
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

    /// The vertex of a ring on a crease, in a corner or at a tip; `None` on smooth parts.
    fn crease(
        &mut self,
        close: Close<'_>,
        local: [usize; 3],
        edges: u16,
        room: Box3,
        step: f64,
    ) -> Option<(Vec3, bool)> {
        let base = local[0] + POINTS * (local[1] + POINTS * local[2]);
        let mut around = [Crossing::default(); 12];
        let mut n = 0;
        for e in (0..12).filter(|e| edges >> e & 1 == 1) {
            let id = self.crossing[edge_slot(base, e)];
            around[n] = self.found[usize::from(id)];
            n += 1;
        }
        let Close { field, choice, light, smooth, bends } = close;
        let mut placer =
            Placer { field, choice, light, step, turns: !smooth, bends, scratch: &mut self.scratch };
        placer.place(&around[..n], room).map(|p| (p, true))
    }
}

/// Bit `f` for each face of a cell with four crossings whose middle is inside: there the two corners inside belong together.
fn joined_faces(tape: &Tape, grid: &Grid, cell: [i32; 3], signs: u8) -> u8 {
    let is_inside = |face: usize| {
        // The same numbers in the same order in both cells of the face.
        let middle: [f64; 3] = std::array::from_fn(|a| {
            let part = if a == face / 2 { (face % 2) as f64 } else { 0.5 };
            grid.origin[a] + (f64::from(cell[a]) + part) * grid.step
        });
        tape.value(Vec3::from(middle)) < 0.0
    };
    let four = PLAIN[usize::from(signs)].four;
    (0..6).filter(|f| four >> f & 1 == 1 && is_inside(*f)).fold(0, |m, f| m | 1 << f)
}

/// Values at all lattice points of a block; a lighter tape (with its error) gives the same signs. The border of the grid
/// counts as outside, unless the mesh may be open.
fn sample(job: &Job<'_>, local: &Local, light: Option<&(Tape, f64)>, at: [i32; 3], bench: &mut Bench) {
    let grid = job.grid;
    let base = at.map(|b| b * SIDE as i32);
    for (axis, line) in bench.lines.iter_mut().enumerate() {
        line.clear();
        line.extend((0..POINTS as i32).map(|i| grid.at(std::array::from_fn(|a| base[a] + i))[axis]));
    }
    bench.value.resize(LATTICE, 0.0);
    let [x, y, z] = &bench.lines;
    let (near, error) = local.near();
    let (tape, off) = light.map_or((&**near, error), |(tape, off)| (tape, *off));
    tape.values_grid(x, y, z, &mut bench.value, &mut bench.scratch);
    // Where the sign is not sure, a closer tape tells.
    if off > error {
        bench.again(near, off);
    }
    if error > 0.0 {
        bench.again(&local.tape, error);
    }
    let last = grid.blocks.map(|b| b * SIDE as i32);
    if job.open || (0..3).all(|a| at[a] != 0 && at[a] + 1 != grid.blocks[a]) {
        return;
    }
    for (k, v) in bench.value.iter_mut().enumerate() {
        let i = place_of(k);
        let outer = (0..3).any(|a| {
            let j = base[a] + i[a] as i32;
            j == 0 || j == last[a]
        });
        if outer {
            *v = v.abs();
        }
    }
}

/// Notes what a crossed edge asks of this block and of its neighbours.
fn note_edge(block: &mut Block, i: [usize; 3], axis: usize, leaves: bool) {
    let [u, v] = across(axis);
    if i[u].is_multiple_of(SIDE) || i[v].is_multiple_of(SIDE) {
        for (du, dv) in [(0, 0), (1, 0), (0, 1), (1, 1)] {
            let mut step = [1i32; 3];
            for (d, a) in [(du, u), (dv, v)] {
                let cell = i[a] as i32 - d;
                step[a] = if cell < 0 { 0 } else { 1 + i32::from(cell >= SIDE as i32) };
            }
            block.needs |= 1 << (9 * step[2] + 3 * step[1] + step[0]);
        }
    }
    if i.iter().all(|k| *k < SIDE) {
        block.crossed.push(Crossed { start: i.map(|k| k as u8), axis: axis as u8, leaves });
    }
}

impl Cell {
    /// The vertex, among those of the block, that an edge of the cell belongs to; `None` for an edge not crossed.
    pub fn vertex(&self, edge: usize) -> Option<u32> {
        let ring = if self.flips == 0 {
            PLAIN[usize::from(self.signs)].rings.of_edge[edge]
        } else {
            patch::rings(self.signs, self.flips).of_edge[edge]
        };
        (ring != NONE).then(|| u32::from(self.first) + u32::from(ring))
    }
}
