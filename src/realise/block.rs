//! One block of cells: the field sampled at its lattice, the crossings of its edges, one vertex per ring.

use std::collections::HashMap;

use super::field::Field;
use super::patch::{self, NONE, Rings};
use super::place;
use crate::base::{Box3, Vec3};
use crate::formula::{Scratch, Tape};

/// Cells along a side of a block.
pub const SIDE: usize = 8;
/// Lattice points along a side.
const POINTS: usize = SIDE + 1;
const LATTICE: usize = POINTS * POINTS * POINTS;

/// The cells that cover a solid: cubes of one size.
#[derive(Clone, Copy, Debug)]
pub struct Grid {
    /// Lattice point (0, 0, 0), mm.
    pub origin: Vec3,
    /// Edge of a cell, mm.
    pub step: f64,
    /// Blocks along each axis.
    pub blocks: [i32; 3],
}

impl Grid {
    /// Cells of edge `step` over a box with a margin. The lattice is shifted by an odd part of a cell, so that faces at
    /// round coordinates do not run along it.
    pub fn over(region: Box3, step: f64) -> Self {
        let shift = Vec3::new(0.137, 0.271, 0.391) * step;
        let count = |k: usize| {
            let cells = (region.size()[k] / step).ceil() + 4.0;
            (cells / SIDE as f64).ceil() as i32
        };
        let blocks = [0, 1, 2].map(count);
        let size = Vec3::from(blocks.map(|b| f64::from(b) * SIDE as f64 * step));
        Self { origin: region.centre() - size * 0.5 + shift, step, blocks }
    }

    /// The place of a lattice point.
    pub fn at(&self, i: [i32; 3]) -> Vec3 {
        self.origin + Vec3::new(f64::from(i[0]), f64::from(i[1]), f64::from(i[2])) * self.step
    }

    /// The box of `size` blocks from block `b` on.
    pub fn region(&self, b: [i32; 3], size: i32) -> Box3 {
        let s = SIDE as i32;
        Box3::new(self.at(b.map(|i| i * s)), self.at(b.map(|i| (i + size) * s)))
    }

    /// True when the block is one of the grid.
    pub fn has(&self, b: [i32; 3]) -> bool {
        (0..3).all(|k| (0..self.blocks[k]).contains(&b[k]))
    }
}

/// What is extracted, and how.
#[derive(Clone, Copy, Debug)]
pub struct Job<'a> {
    /// The function; the mesh is where it changes sign.
    pub field: &'a Field,
    /// The cells.
    pub grid: &'a Grid,
    /// The mesh may end at the border of the grid and where `clip` is positive.
    pub open: bool,
    /// Blocks where this is positive in all of the block and a margin (mm) around it are left out.
    pub clip: Option<(&'a Field, f64)>,
}

impl Job<'_> {
    /// True when a part of space, `size` blocks from block `at` on, may matter.
    pub fn matters(&self, at: [i32; 3], size: i32) -> bool {
        self.clip.is_none_or(|(clip, margin)| clip.bounds(self.grid.region(at, size).grown(margin)).lo <= 0.0)
    }
}

/// A cell that the surface passes through.
#[derive(Clone, Copy, Debug)]
pub struct Cell {
    /// The rings of its edges.
    pub rings: Rings,
    /// Vertex of ring 0 among the vertices of the block.
    pub first: u32,
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
    /// Slope of the field at the crossing.
    pub slope: Vec3,
}

/// One block, worked out.
#[derive(Debug)]
pub struct Block {
    /// Place in the grid, counted in blocks.
    pub at: [i32; 3],
    /// Cells that the surface passes through.
    pub cells: Vec<Cell>,
    /// For each cell of the block its place in `cells`, or `u16::MAX`.
    pub lookup: Vec<u16>,
    /// Vertices.
    pub points: Vec<Vec3>,
    /// For each vertex the number of branches that meet there; 1 on smooth parts.
    pub ranks: Vec<u8>,
    /// Faces to make.
    pub crossed: Vec<Crossed>,
    /// Bit 9 (z + 1) + 3 (y + 1) + x + 1: the neighbour by (x, y, z) shares a crossed edge.
    pub needs: u32,
    /// Cells (in cells of the grid) with a doubled face, signs of the corners, and the face.
    pub doubled: Vec<([i32; 3], u8, u8)>,
}

/// What a worker keeps from block to block.
#[derive(Default, Debug)]
pub struct Bench {
    pub scratch: Scratch,
    x: Vec<f64>,
    y: Vec<f64>,
    z: Vec<f64>,
    value: Vec<f64>,
    crossing: Vec<u16>,
    found: Vec<Crossing>,
}

/// A crossing of an edge of the lattice.
#[derive(Clone, Copy, Debug)]
pub struct Crossing {
    lattice: u16,
    axis: u8,
    leaves: bool,
    /// Where, mm.
    pub point: Vec3,
    /// Slope of the field there.
    pub slope: Vec3,
}

fn lattice(i: [usize; 3]) -> usize {
    i[0] + POINTS * (i[1] + POINTS * i[2])
}

/// Faces turned over, by cell of the grid.
pub type Flips = HashMap<[i32; 3], u8>;

/// Works out one block; `None` when the surface does not pass through it.
pub fn work(job: &Job<'_>, tape: &Tape, at: [i32; 3], flips: &Flips, bench: &mut Bench) -> Option<Block> {
    let (field, grid) = (job.field, job.grid);
    sample(job, tape, at, bench);
    let inside: Vec<bool> = bench.value[..LATTICE].iter().map(|v| *v < 0.0).collect();
    if inside.iter().all(|s| *s == inside[0]) {
        return None;
    }
    find_crossings(tape, grid, at, &inside, bench);
    let choice = &field.within(grid.region(at, 1));
    let mut block = Block {
        at,
        cells: vec![],
        lookup: vec![u16::MAX; SIDE * SIDE * SIDE],
        points: vec![],
        ranks: vec![],
        crossed: vec![],
        needs: 0,
        doubled: vec![],
    };
    for c in &bench.found {
        note_edge(&mut block, c);
    }
    let base = at.map(|b| b * SIDE as i32);
    let mut placer = place::Placer { field, choice, step: grid.step, scratch: &mut bench.scratch };
    for index in 0..SIDE * SIDE * SIDE {
        let local = [index % SIDE, index / SIDE % SIDE, index / (SIDE * SIDE)];
        let corner = |c: usize| lattice([local[0] + (c & 1), local[1] + (c >> 1 & 1), local[2] + (c >> 2)]);
        let signs = (0..8).fold(0u8, |m, c| m | u8::from(inside[corner(c)]) << c);
        if signs == 0 || signs == 255 {
            continue;
        }
        let cell = std::array::from_fn(|k| base[k] + local[k] as i32);
        let flip = flips.get(&cell).copied().unwrap_or(0);
        let rings = patch::rings(signs, flip);
        for face in 0..6 {
            if patch::is_doubled(signs, flip, face) {
                block.doubled.push((cell, signs, face as u8));
            }
        }
        block.lookup[index] = block.cells.len() as u16;
        block.cells.push(Cell { rings, first: block.points.len() as u32 });
        let low = grid.at(cell);
        let room = Box3::new(low, grid.at(cell.map(|i| i + 1)));
        for ring in 0..rings.count {
            let mut around = [Crossing::default(); 12];
            let mut n = 0;
            for e in (0..12).filter(|e| rings.of_edge[*e] == ring) {
                let id = bench.crossing[(e / 4) * LATTICE + corner(patch::edge_start(e))];
                around[n] = bench.found[usize::from(id)];
                n += 1;
            }
            let (point, rank) = placer.place(&around[..n], room);
            block.points.push(point);
            block.ranks.push(rank);
        }
    }
    Some(block)
}

impl Default for Crossing {
    fn default() -> Self {
        Self { lattice: 0, axis: 0, leaves: false, point: Vec3::ZERO, slope: Vec3::ZERO }
    }
}

/// Values at all lattice points of a block. The border of the grid counts as outside, unless the mesh may be open.
fn sample(job: &Job<'_>, tape: &Tape, at: [i32; 3], bench: &mut Bench) {
    let grid = job.grid;
    let base = at.map(|b| b * SIDE as i32);
    for (axis, v) in [&mut bench.x, &mut bench.y, &mut bench.z].into_iter().enumerate() {
        v.clear();
        v.extend((0..POINTS as i32).map(|i| grid.at(std::array::from_fn(|a| base[a] + i))[axis]));
    }
    bench.value.resize(LATTICE, 0.0);
    tape.values_grid(&bench.x, &bench.y, &bench.z, &mut bench.value[..LATTICE], &mut bench.scratch);
    let last = grid.blocks.map(|b| b * SIDE as i32);
    if job.open || (0..3).all(|a| at[a] != 0 && at[a] + 1 != grid.blocks[a]) {
        return;
    }
    for (k, v) in bench.value.iter_mut().enumerate().take(LATTICE) {
        let i = [k % POINTS, k / POINTS % POINTS, k / (POINTS * POINTS)];
        let outer = (0..3).any(|a| {
            let j = base[a] + i[a] as i32;
            j == 0 || j == last[a]
        });
        if outer {
            *v = v.abs();
        }
    }
}

/// Finds where the edges of the lattice are crossed.
fn find_crossings(tape: &Tape, grid: &Grid, at: [i32; 3], inside: &[bool], bench: &mut Bench) {
    let base = at.map(|b| b * SIDE as i32);
    bench.found.clear();
    bench.crossing.clear();
    bench.crossing.resize(3 * LATTICE, u16::MAX);
    let mut spans = Vec::new();
    for axis in 0..3usize {
        let stride = [1, POINTS, POINTS * POINTS][axis];
        for k in 0..LATTICE {
            let i = [k % POINTS, k / POINTS % POINTS, k / (POINTS * POINTS)];
            if i[axis] == SIDE || inside[k] == inside[k + stride] {
                continue;
            }
            bench.crossing[axis * LATTICE + k] = bench.found.len() as u16;
            let from = std::array::from_fn(|a| base[a] + i[a] as i32);
            let mut to: [i32; 3] = from;
            to[axis] += 1;
            spans.push(Span {
                ends: [grid.at(from), grid.at(to)],
                values: [bench.value[k], bench.value[k + stride]],
                shares: [0.0, 1.0],
                last: 0,
            });
            bench.found.push(Crossing {
                lattice: k as u16,
                axis: axis as u8,
                leaves: inside[k],
                point: Vec3::ZERO,
                slope: Vec3::ZERO,
            });
        }
    }
    let points = solve(tape, &mut spans, bench);
    let n = points.len();
    for (k, p) in points.iter().enumerate() {
        (bench.x[k], bench.y[k], bench.z[k]) = (p.x, p.y, p.z);
    }
    let mut slopes = vec![Vec3::ZERO; n];
    bench.value.resize(n.max(LATTICE), 0.0);
    tape.slopes(
        &bench.x[..n],
        &bench.y[..n],
        &bench.z[..n],
        &mut bench.value[..n],
        &mut slopes,
        &mut bench.scratch,
    );
    for (c, (p, s)) in bench.found.iter_mut().zip(points.iter().zip(&slopes)) {
        (c.point, c.slope) = (*p, *s);
    }
}

/// An edge on which the field changes sign, and the part of it known to hold the change.
struct Span {
    ends: [Vec3; 2],
    values: [f64; 2],
    shares: [f64; 2],
    last: i8,
}

/// Rounds of closing in on a crossing.
const ROUNDS: usize = 12;
/// A crossing is found when the value there is this small a part of the values at the ends of its edge.
const SMALL: f64 = 1e-9;

/// The crossing of each span, by false position with halved weights (the "Illinois" rule; M. Dowell, P. Jarratt,
/// BIT 11 (1971) 168), by halving where a value is not finite.
fn solve(tape: &Tape, spans: &mut [Span], bench: &mut Bench) -> Vec<Vec3> {
    let mut found: Vec<f64> = vec![0.5; spans.len()];
    let scale: Vec<f64> = spans.iter().map(|s| s.values[0].abs().max(s.values[1].abs())).collect();
    let mut open: Vec<usize> = (0..spans.len()).collect();
    let room = spans.len().max(LATTICE);
    for v in [&mut bench.x, &mut bench.y, &mut bench.z, &mut bench.value] {
        v.resize(room, 0.0);
    }
    let place = |s: &Span, t: f64| s.ends[0] + (s.ends[1] - s.ends[0]) * t;
    for _ in 0..ROUNDS {
        if open.is_empty() {
            break;
        }
        for (slot, &k) in open.iter().enumerate() {
            let s = &spans[k];
            found[k] = next_share(s);
            let p = place(s, found[k]);
            (bench.x[slot], bench.y[slot], bench.z[slot]) = (p.x, p.y, p.z);
        }
        let n = open.len();
        tape.values(&bench.x[..n], &bench.y[..n], &bench.z[..n], &mut bench.value[..n], &mut bench.scratch);
        let mut slot = 0;
        open.retain(|&k| {
            let v = bench.value[slot];
            slot += 1;
            if v.abs() <= SMALL * scale[k] {
                return false;
            }
            let s = &mut spans[k];
            let to = usize::from((v < 0.0) != (s.values[0] < 0.0));
            s.shares[to] = found[k];
            s.values[to] = v;
            let mark = if to == 0 { -1 } else { 1 };
            if s.last == mark {
                s.values[1 - to] *= 0.5;
            }
            s.last = mark;
            s.shares[1] - s.shares[0] > 1e-12
        });
    }
    spans.iter().zip(&found).map(|(s, t)| place(s, *t)).collect()
}

fn next_share(s: &Span) -> f64 {
    let [a, b] = s.values;
    let [from, to] = s.shares;
    let t = from + (to - from) * (a / (a - b));
    if t.is_finite() && t > from && t < to { t } else { 0.5 * (from + to) }
}

/// Notes what a crossed edge asks of this block and of its neighbours.
fn note_edge(block: &mut Block, c: &Crossing) {
    let k = usize::from(c.lattice);
    let i = [k % POINTS, k / POINTS % POINTS, k / (POINTS * POINTS)];
    let axis = usize::from(c.axis);
    let (u, v) = ((axis + 1) % 3, (axis + 2) % 3);
    for (du, dv) in [(0, 0), (1, 0), (0, 1), (1, 1)] {
        let mut step = [1i32; 3];
        for (d, a) in [(du, u), (dv, v)] {
            let cell = i[a] as i32 - d;
            step[a] = if cell < 0 { 0 } else { 1 + i32::from(cell >= SIDE as i32) };
        }
        block.needs |= 1 << (9 * step[2] + 3 * step[1] + step[0]);
    }
    if i.iter().all(|k| *k < SIDE) {
        block.crossed.push(Crossed {
            start: i.map(|k| k as u8),
            axis: c.axis,
            leaves: c.leaves,
            slope: c.slope,
        });
    }
}

impl Cell {
    /// The vertex, among those of the block, that an edge of the cell belongs to; `None` for an edge not crossed.
    pub fn vertex(&self, edge: usize) -> Option<u32> {
        let ring = self.rings.of_edge[edge];
        (ring != NONE).then(|| self.first + u32::from(ring))
    }
}
