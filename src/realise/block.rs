//! One block of cells: the field sampled at its lattice, the crossed edges, one vertex per ring of crossings.

use std::collections::HashMap;

use super::closely::{Close, Placed, Seen};
use super::crossed::{Active, Crossed};
use super::crossing::Crossing;
use super::grid::{Grid, Job};
use super::lanes::{Cells, Steps, WIDE};
use super::meets::Wanted;
use super::onto::Batch;
use super::patch::{self, NONE, PLAIN};
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

/// How the surface passes through a cell.
#[derive(Clone, Copy, Debug)]
pub struct Cell {
    /// Which corners are inside.
    signs: u8,
    /// Which faces are turned over.
    flips: u8,
    /// Vertex of ring 0 among the vertices of the block.
    first: u16,
}

/// One block, worked out.
#[derive(Debug)]
pub struct Block {
    /// Place in the grid, counted in blocks.
    pub at: [i32; 3],
    /// The cells that the surface passes through.
    pub active: Active,
    /// How it does; none where each cell holds one vertex.
    pub cells: Vec<Cell>,
    /// Vertices.
    pub points: Vec<Vec3>,
    /// For each vertex what is known of it; none where all are plain.
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
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
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
    pub lines: [Vec<f64>; 3],
    /// Values at the lattice points.
    pub value: Vec<f64>,
    /// For each line of lattice points along x the signs, bit set inside.
    pub rows: Vec<u16>,
    /// The cells that the surface passes through, by their lowest corner, and which of their corners are inside.
    pub active: Vec<(u16, u8)>,
    /// What the values at their corners tell, so many cells at a time.
    pub lanes: Vec<Cells>,
    /// For each edge, by axis and start, where it is crossed, as a part of its length.
    pub share: Vec<f64>,
    /// The crossings of those edges, in their order, where the block is looked at closely.
    pub found: Vec<Crossing>,
    /// For each edge its place in `found`, where the block is looked at closely.
    pub crossing: Vec<u16>,
    pub batch: Batch,
    /// For each active cell: it is looked at closely, in such a block.
    pub contested: Vec<bool>,
    /// Vertices that a step brings onto the surface, with the numbers of their cells among the active ones.
    stepping: Vec<(u16, u16)>,
    steps: Steps,
    /// Vertices that wait to go onto creases of two branches.
    pub creases: Vec<Wanted>,
}

/// Faces turned over besides those whose middle is inside, by cell of the grid.
pub type Flips = HashMap<[i32; 3], u8>;

/// The lattice point of a number.
pub fn place_of(k: usize) -> [usize; 3] {
    [k % POINTS, k / POINTS % POINTS, k / (POINTS * POINTS)]
}

/// The place of an edge of the cell at lattice point `base`, by axis and start.
pub const fn edge_slot(base: usize, edge: usize) -> usize {
    let corner = patch::edge_start(edge);
    let offset = (corner & 1) * STRIDE[0] + (corner >> 1 & 1) * STRIDE[1] + (corner >> 2) * STRIDE[2];
    (edge / 4) * LATTICE + base + offset
}

/// A slope that changes by more than this part of itself within a cell may vanish there or next to it.
pub const BENDS: f64 = 0.35;
/// A vertex is on the surface when one step leaves it off by less than this part of a cell; on a sheet, whose curvature may be
/// asked for, by less than the second.
const LEFT: f64 = 2e-4;
const LEFT_ON_SHEET: f64 = 1e-6;

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
        active: bench.activate(),
        cells: Vec::new(),
        points: Vec::new(),
        kinds: Vec::new(),
        crossed: Vec::new(),
        needs: 0,
        doubled: Vec::new(),
    };
    let clear = bench.find(&mut block, job.open);
    // A level surface comes to a tip where its slope vanishes; a sheet shows it as it is.
    let bends = bench.measure() && !job.open;
    // Without kinks there is one branch.
    let alone = || !tape.has_kinks() || field.within(region).is_single();
    let mut gentle = clear && !bends && near.is_smooth(region) && alone();
    let light = local.lighter(region, FINELY);
    let finely = light.as_ref().map_or(&**near, |l| &l.0);
    if gentle {
        bench.gentle_cells(&mut block, grid, flips, tape);
    } else {
        gentle = bench.close_cells(&mut block, job, (local, rough.as_ref()), flips, Seen { clear, bends });
    }
    let left = if job.open { LEFT_ON_SHEET } else { LEFT };
    bench.step_out((grid.step, left), finely, &mut block.points);
    let Bench { batch, scratch, .. } = bench;
    batch.onto(finely, (grid.step, gentle), scratch, &mut block.points);
    Some(block)
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

    /// Works out what the values at the corners of the cells tell; true when the slope turns or changes by a good part of
    /// itself within a cell.
    fn measure(&mut self) -> bool {
        let Self { active, lanes, value, .. } = self;
        let value: &[f64; LATTICE] = match value[..LATTICE].try_into() {
            Ok(value) => value,
            Err(_) => return false,
        };
        let count = active.len().div_ceil(WIDE);
        if lanes.len() < count {
            lanes.resize_with(count, Cells::default);
        }
        let mut bends = false;
        for (some, lanes) in active.chunks(WIDE).zip(lanes.iter_mut()) {
            lanes.gather(some.iter().map(|(base, _)| usize::from(*base)), value);
            lanes.measure();
            bends |= lanes.bend[..some.len()].iter().any(|bend| *bend > BENDS * BENDS);
        }
        bends
    }

    /// True when each cell that the surface passes through holds one vertex, whichever faces are turned over.
    fn one_each(&self) -> bool {
        self.active.iter().all(|(_, signs)| PLAIN[usize::from(*signs)].is_simple)
    }

    /// The slope in the middle of the cell of that number, of edge `step`, by the values at its corners.
    fn lean(&self, cell: usize, step: f64) -> Vec3 {
        Vec3::from(self.lanes[cell / WIDE].lean.each_ref().map(|lane| lane[cell % WIDE])) / step
    }

    /// Makes the cells of a block in which one branch turns gently.
    pub fn gentle_cells(&mut self, block: &mut Block, grid: &Grid, flips: &Flips, tape: &Tape) {
        if flips.is_empty() && self.one_each() {
            self.plain_cells(block);
        } else {
            self.cells(block, grid, flips, tape, None);
        }
    }

    /// Makes the vertices of cells that hold one each.
    fn plain_cells(&mut self, block: &mut Block) {
        self.batch.clear();
        block.points.resize(self.active.len(), Vec3::ZERO);
        self.stepping.clear();
        self.stepping.extend((0..self.active.len() as u16).map(|k| (k, k)));
    }

    /// Brings vertices onto the surface by one step from the middle of the crossings of their cell, of edge `step` mm; those which
    /// that may leave off by more than `left` cells go to the batch.
    fn step_out(&mut self, (step, left): (f64, f64), tape: &Tape, points: &mut [Vec3]) {
        let Self { stepping, active, lanes, steps, lines, batch, scratch, .. } = self;
        let mut at = [[0.0; WIDE]; 3];
        for some in stepping.chunks(WIDE) {
            let n = some.len();
            for (i, (_, k)) in some.iter().enumerate() {
                let k = usize::from(*k);
                steps.take(i, &lanes[k / WIDE], k % WIDE);
                for (axis, local) in place_of(usize::from(active[k].0)).into_iter().enumerate() {
                    at[axis][i] = lines[axis][local] + steps.start[axis][i] * step;
                }
            }
            let [x, y, z] = at.each_ref().map(|lane| &lane[..n]);
            tape.values(x, y, z, &mut steps.value[..n], scratch);
            steps.make();
            for (i, (vertex, k)) in some.iter().enumerate() {
                let local = place_of(usize::from(active[usize::from(*k)].0));
                let corner = |by: usize| Vec3::from([0, 1, 2].map(|axis| lines[axis][local[axis] + by]));
                let arrived = steps.miss[i] <= left * left;
                let by = if arrived { &steps.to } else { &steps.start };
                let point = corner(0) + Vec3::from([0, 1, 2].map(|axis| by[axis][i])) * step;
                points[usize::from(*vertex)] = point;
                if !arrived {
                    let lean = Vec3::from(steps.lean.each_ref().map(|lane| lane[i])) / step;
                    batch.push(usize::from(*vertex), point, Box3::new(corner(0), corner(1)), lean);
                }
            }
        }
    }

    /// Makes the cells, with the vertices of their rings on the way onto the surface.
    pub fn cells(
        &mut self,
        block: &mut Block,
        grid: &Grid,
        flips: &Flips,
        tape: &Tape,
        close: Option<Close<'_>>,
    ) {
        let base = block.at.map(|b| b * SIDE as i32);
        if close.is_none() {
            self.share_all();
        }
        self.batch.clear();
        self.stepping.clear();
        self.creases.clear();
        let count = self.active.len();
        block.cells.reserve_exact(count);
        block.points.reserve(count);
        block.kinds.reserve(count);
        for k in 0..count {
            let (corner, signs) = self.active[k];
            let local = place_of(usize::from(corner));
            let cell: [i32; 3] = std::array::from_fn(|k| base[k] + local[k] as i32);
            let turned = if flips.is_empty() { 0 } else { flips.get(&cell).copied().unwrap_or(0) };
            let joined = joined_faces(tape, grid, cell, signs);
            let (edges, count) = open_cell(block, cell, [signs, joined ^ turned]);
            let close = close.filter(|_| self.contested[k]);
            let vertex = block.points.len();
            if close.is_none() && count == 1 {
                self.stepping.push((vertex as u16, k as u16));
                block.points.push(Vec3::ZERO);
                block.kinds.push(Kind::default());
                continue;
            }
            let low = grid.at(cell);
            let room = Box3::new(low, grid.at(cell.map(|i| i + 1)));
            for edges in &edges[..count] {
                let start = low + self.middle(local, *edges) * grid.step;
                let vertex = block.points.len();
                let placed = match close {
                    Some(close) => self.place(close, (local, *edges), room, vertex, start, grid.step),
                    None => Placed::Smooth,
                };
                let (point, sharp) = if let Placed::At(p) = placed { (p, true) } else { (start, false) };
                // Two sheets in one cell stay where they surely pass one another.
                if matches!(placed, Placed::Smooth) && count == 1 {
                    self.batch.push(vertex, start, room, self.lean(k, grid.step));
                }
                block.points.push(point);
                block.kinds.push(Kind { sharp, crowded: count > 1 || !room.holds(point) });
            }
        }
        if let Some(close) = close {
            self.crease_all(block, close, grid, tape);
        }
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
}

/// Notes a cell and its doubled faces; gives the edges of its rings and their number.
fn open_cell(block: &mut Block, cell: [i32; 3], [signs, flips]: [u8; 2]) -> ([u16; 4], usize) {
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
    // Where the sign is not sure, a closer tape tells, or the same at single points: all blocks are to agree.
    let off = off + tape.lattice_error(grid.region(at, 1));
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

impl Cell {
    /// True when it holds several vertices.
    pub fn is_several(&self) -> bool {
        self.flips != 0 || PLAIN[usize::from(self.signs)].rings.count != 1
    }

    /// The first of its vertices.
    pub fn first(&self) -> usize {
        usize::from(self.first)
    }

    /// The vertex, among those of the block, that an edge of the cell belongs to; `None` for an edge not crossed.
    pub fn vertex(&self, edge: usize) -> Option<usize> {
        let ring = if self.flips == 0 {
            PLAIN[usize::from(self.signs)].rings.of_edge[edge]
        } else {
            patch::rings(self.signs, self.flips).of_edge[edge]
        };
        (ring != NONE).then(|| self.first() + usize::from(ring))
    }
}
