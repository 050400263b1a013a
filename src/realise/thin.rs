//! Sheets and gaps about as thin as the cells, which may pass between the points of the lattice.

use rayon::prelude::*;

use super::grid::Job;
use crate::base::Vec3;
use crate::formula::{Local, Scratch};

/// At most about so many blocks are looked at.
const BLOCKS: usize = 600;
/// Lattice lines, in cells, from whose points the surface is sought in each block.
const LINES: [f64; 2] = [2.0, 6.0];
/// Steps (Newton's method) toward the surface.
const STEPS: usize = 6;
/// A place is on the surface when it is off by less than this part of a cell.
const ON: f64 = 1e-3;
/// What is thinner than so many cells, the length of a cell's diagonal, may have holes: the lattice points in it need not
/// be neighbours.
pub const SURE: f64 = 1.75;
/// Places looked at on each side of the surface, the first at this part of a cell.
const LOOKS: usize = 12;
const FIRST: f64 = 1.0 / 64.0;
/// The thickness told is that of all but this part of what is thin.
const THINNER: f64 = 0.1;
/// What is thin has a thickness where that is no less than this part of the one in the middle.
const ALIKE: f64 = 0.4;

/// What a sample of a surface tells of sheets and gaps that are thin for the cells.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Thin {
    /// The part of the surface, from 0 to 1, that bounds a sheet or gap thinner than [`SURE`] cells.
    pub share: f64,
    /// The thickness of what is thin, mm, where most of it is about as thick; 0 where it is of any thickness, as noise is.
    pub thickness: f64,
}

/// A sample of the blocks in which the field may change sign.
pub fn sample(blocks: &[([i32; 3], Local)]) -> Vec<([i32; 3], Local)> {
    blocks.iter().step_by(blocks.len().div_ceil(BLOCKS).max(1)).cloned().collect()
}

/// Looks for what is thin in a sample of the blocks.
pub fn look(job: &Job<'_>, sample: &[([i32; 3], Local)]) -> Thin {
    let found: Vec<Option<f64>> = sample
        .par_iter()
        .map_init(Scratch::default, |scratch, (at, local)| {
            let places = landings(job, *at, local, scratch);
            thicknesses(job, &places, scratch)
        })
        .flatten_iter()
        .collect();
    let mut thin: Vec<f64> = found.iter().flatten().copied().collect();
    thin.sort_unstable_by(f64::total_cmp);
    let part = |k: f64| thin.get((k * thin.len() as f64) as usize).copied().unwrap_or(0.0);
    let (nearly_least, middle) = (part(THINNER), part(0.5));
    let thickness = if nearly_least >= ALIKE * middle { nearly_least } else { 0.0 };
    Thin { share: thin.len() as f64 / found.len().max(1) as f64, thickness }
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
        let seen = local.near().0.slopes_of(&points, scratch);
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

/// How far it is, mm, from places where the field changes its sign to the next along the slope, on the side where that is
/// nearer; `None` when that is further than [`SURE`] cells.
fn thicknesses(job: &Job<'_>, places: &[(Vec3, Vec3)], scratch: &mut Scratch) -> Vec<Option<f64>> {
    let far = |k: usize| job.grid.step * (FIRST + (SURE - FIRST) * k as f64 / (LOOKS - 1) as f64);
    // Outward, then inward.
    let line = |(p, normal): &(Vec3, Vec3)| {
        let (p, normal) = (*p, *normal);
        [1.0, -1.0].into_iter().flat_map(move |way| (0..LOOKS).map(move |k| (p, normal * way, k)))
    };
    let looks: Vec<Vec3> = places.iter().flat_map(line).map(|(p, way, k)| p + way * far(k)).collect();
    let seen: Vec<bool> = job.field.tape.values_of(&looks, scratch).into_iter().map(|v| v < 0.0).collect();
    let next = |side: &[bool]| (1..LOOKS).find(|k| side[*k] != side[0]);
    seen.chunks_exact(2 * LOOKS)
        .map(|both| {
            let (out, inward) = both.split_at(LOOKS);
            let crosses = inward[0] && !out[0];
            let k = next(out).into_iter().chain(next(inward)).min().filter(|_| crosses)?;
            Some(0.5 * (far(k - 1) + far(k)))
        })
        .collect()
}
