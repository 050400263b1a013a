//! Sheets and gaps thinner than the cells: how much of a surface passes between the points of the lattice.

use rayon::prelude::*;

use super::block::{Block, Job, Local, SIDE};
use crate::base::Vec3;
use crate::formula::Scratch;

/// At most about so many blocks are looked at.
const BLOCKS: usize = 600;
/// Lattice lines, in cells, from whose points the surface is sought in each block.
const LINES: [f64; 2] = [2.0, 6.0];
/// Steps (Newton's method) toward the surface.
const STEPS: usize = 6;
/// A place is on the surface when it is off by less than this part of a cell.
const ON: f64 = 1e-3;
/// What is as thin as so many cells is looked at. Along the axis that it faces most a sheet of one cell and more always
/// holds a point of the lattice; the rest is for what the thickness told may be off.
pub const SURE: f64 = 1.3;
/// Places looked at on each side of the surface, the first at this part of a cell.
const LOOKS: u32 = 12;
const FIRST: f64 = 1.0 / 64.0;
/// The thickness told is that of all but this part of what is missed.
const THINNER: f64 = 0.1;
/// What is missed has a thickness where that is no less than this part of the one in the middle.
const ALIKE: f64 = 0.4;

/// What a sample of a surface tells of sheets and gaps that the cells miss.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Thin {
    /// The part of the surface, from 0 to 1, that bounds a sheet or gap no thicker than [`SURE`] cells and lies in cells of
    /// which no edge is crossed.
    pub missed: f64,
    /// The thickness of what is missed, mm, where most of it is about as thick; 0 where it is of any thickness, as noise is.
    pub thickness: f64,
}

/// Looks for what is missed in a sample of the blocks in which the field may change sign, of which some are `done`.
pub fn look(job: &Job<'_>, blocks: &[([i32; 3], Local)], done: &[Block]) -> Thin {
    let stride = blocks.len().div_ceil(BLOCKS).max(1);
    let sample: Vec<&([i32; 3], Local)> = blocks.iter().step_by(stride).collect();
    let (count, mut missed) = sample
        .par_iter()
        .map_init(Scratch::default, |scratch, (at, local)| {
            let block = done.binary_search_by_key(at, |b| b.at).ok().map(|k| &done[k]);
            let places = landings(job, *at, local, scratch);
            let unseen = places.iter().filter(|(p, _)| !is_seen(job, *at, block, *p));
            let thin: Vec<f64> = unseen.filter_map(|(p, n)| thickness(job, *p, *n, scratch)).collect();
            (places.len(), thin)
        })
        .reduce(Default::default, |mut a, b| {
            a.1.extend(b.1);
            (a.0 + b.0, a.1)
        });
    missed.sort_unstable_by(f64::total_cmp);
    let part = |k: f64| missed.get((k * missed.len() as f64) as usize).copied().unwrap_or(0.0);
    let (nearly_least, middle) = (part(THINNER), part(0.5));
    let thickness = if nearly_least >= ALIKE * middle { nearly_least } else { 0.0 };
    Thin { missed: missed.len() as f64 / count.max(1) as f64, thickness }
}

/// Places of the surface in a block, with the directions of its slope.
fn landings(job: &Job<'_>, at: [i32; 3], local: &Local, scratch: &mut Scratch) -> Vec<(Vec3, Vec3)> {
    let room = job.grid.region(at, 1);
    let step = job.grid.step;
    let mut points: Vec<Vec3> = (0..8)
        .map(|k: usize| room.min + Vec3::new(LINES[k & 1], LINES[k >> 1 & 1], LINES[k >> 2]) * step)
        .collect();
    let mut landed = Vec::new();
    for _ in 0..STEPS {
        let seen = local.tape.slopes_of(&points, scratch);
        let mut next = Vec::new();
        for (p, (value, slope)) in points.into_iter().zip(seen) {
            let square = slope.dot(slope);
            if !(square.is_finite() && square > 0.0) {
                continue;
            }
            let to = p - slope * (value / square);
            match () {
                () if value.abs() <= ON * step * square.sqrt() => landed.push((p, slope / square.sqrt())),
                () if room.holds(to) => next.push(to),
                () => {}
            }
        }
        points = next;
    }
    landed
}

/// True when an edge of the cell of a place is crossed.
fn is_seen(job: &Job<'_>, at: [i32; 3], block: Option<&Block>, p: Vec3) -> bool {
    let from = (p - job.grid.region(at, 1).min) / job.grid.step;
    let cell = from.array().map(|c| (c as usize).min(SIDE - 1));
    block.is_some_and(|b| b.lookup[cell[0] + SIDE * (cell[1] + SIDE * cell[2])] != u16::MAX)
}

/// How far it is, mm, from a place where the field changes its sign to the next along the slope, on the side where that
/// is nearer; `None` when that is further than [`SURE`] cells.
fn thickness(job: &Job<'_>, p: Vec3, normal: Vec3, scratch: &mut Scratch) -> Option<f64> {
    let far = |k: u32| job.grid.step * (FIRST + (SURE - FIRST) * f64::from(k) / f64::from(LOOKS - 1));
    let look = |way: f64, scratch: &mut Scratch| {
        let line: Vec<Vec3> = (0..LOOKS).map(|k| p + normal * (way * far(k))).collect();
        let seen: Vec<bool> = job.field.tape.values_of(&line, scratch).into_iter().map(|v| v < 0.0).collect();
        (seen[0], (1..LOOKS).find(|k| seen[*k as usize] != seen[0]))
    };
    let ((outside, out), (inside, inward)) = (look(1.0, scratch), look(-1.0, scratch));
    let next = out.into_iter().chain(inward).min().filter(|_| inside && !outside)?;
    Some(0.5 * (far(next - 1) + far(next)))
}
