//! The mesh of a field at one cell size: which blocks matter, the blocks worked out, the faces between their cells.

use std::collections::HashSet;
use std::sync::atomic::{AtomicUsize, Ordering};

use rayon::prelude::*;

use super::RealiseFault;
use super::block::{self, Bench, Block, CLOSELY, Doubled, Flips, SIDE};
use super::faces::{self, Raw};
use super::grid::Job;
use super::patch;
use super::thin;
use crate::base::Watch;
use crate::formula::Local;

/// More blocks than this are refused.
const MOST_BLOCKS: usize = 400_000;
/// No grid has more blocks along a side.
const LONGEST: i32 = 1 << 20;

/// The mesh of the region where the field is negative.
///
/// # Errors
/// When there are too many blocks, or the watch says stop.
pub fn extract(job: &Job<'_>, watch: &dyn Watch) -> Result<Raw, RealiseFault> {
    if job.grid.blocks.iter().any(|along| *along > LONGEST) {
        return Err(RealiseFault::TooLarge);
    }
    let mut wanted = active_blocks(job, watch)?;
    let count = wanted.len();
    let sample = if job.open { vec![] } else { thin::sample(&wanted) };
    wanted.par_sort_unstable_by_key(|(at, _)| *at);
    let mut done: Vec<Block> = Vec::new();
    let mut seen: HashSet<[i32; 3]> = HashSet::new();
    while !wanted.is_empty() {
        if done.len() + wanted.len() > MOST_BLOCKS {
            return Err(RealiseFault::TooLarge);
        }
        seen.extend(wanted.iter().map(|(b, _)| *b));
        let new = work_all(job, wanted, &Flips::new(), watch)?;
        wanted = missing(&new, job, &seen).into_iter().map(|b| (b, local_of(job, b))).collect();
        done.extend(new);
    }
    done.sort_unstable_by_key(|b| b.at);
    let flips = turn_over(&done);
    if !flips.is_empty() {
        redo(job, &mut done, &flips, watch)?;
    }
    watch.progress("joining", 1.0);
    let mut raw = faces::join(job, &done);
    raw.blocks = count;
    raw.thin = thin::look(job, &sample);
    Ok(raw)
}

/// Blocks to be worked out, each with the function as it is there.
type Wanted = Vec<([i32; 3], Local)>;

fn local_of(job: &Job<'_>, at: [i32; 3]) -> Local {
    let tape = &job.field.tape;
    Local::exact(tape.bounds_and_narrow(job.grid.region(at, 1)).1.unwrap_or_else(|| tape.clone()))
}

fn work_all(
    job: &Job<'_>,
    wanted: Wanted,
    flips: &Flips,
    watch: &dyn Watch,
) -> Result<Vec<Block>, RealiseFault> {
    let (count, all) = (AtomicUsize::new(0), wanted.len() as f64);
    // What is known of a block's function goes with the block: on fine grids it holds more than the mesh.
    let blocks: Vec<Option<Block>> = wanted
        .into_par_iter()
        .map_init(Bench::default, |bench, (at, local)| {
            let n = count.fetch_add(1, Ordering::Relaxed);
            if n.is_multiple_of(256) {
                watch.progress("sampling", n as f64 / all);
            }
            if watch.stop() { None } else { block::work(job, &local, at, flips, bench) }
        })
        .collect();
    watch.check()?;
    Ok(blocks.into_iter().flatten().collect())
}

/// The blocks in which the field may change sign, in a fixed order.
fn active_blocks(job: &Job<'_>, watch: &dyn Watch) -> Result<Wanted, RealiseFault> {
    let grid = job.grid;
    let widest = grid.blocks.into_iter().max().unwrap_or(1);
    let mut size = 1;
    while size < widest {
        size *= 2;
    }
    let mut level: Wanted = vec![([0; 3], Local::exact(job.field.tape.clone()))];
    loop {
        watch.check()?;
        level = level
            .into_par_iter()
            .filter(|(at, _)| (0..3).all(|k| at[k] < grid.blocks[k]))
            .filter_map(|(at, local)| {
                let region = grid.region(at, size);
                let (near, error) = local.near();
                let (range, narrow) = if near.has_kinks() {
                    near.bounds_and_narrow(region)
                } else {
                    (near.bounds(region), None)
                };
                let may = !(range.lo > error || range.hi < -error) && job.matters(at, size);
                may.then(|| {
                    // A tape with kinks is made shorter by leaving out branches; one without, by leaving out terms.
                    let local = match narrow {
                        Some(narrow) if local.tape.has_kinks() => Local::exact(narrow),
                        _ => local,
                    };
                    let smooth = !local.tape.has_kinks();
                    (at, if smooth { local.lightened(region, CLOSELY) } else { local })
                })
            })
            .collect();
        if level.len() > MOST_BLOCKS {
            return Err(RealiseFault::TooLarge);
        }
        if size == 1 {
            return Ok(level);
        }
        size /= 2;
        level = level
            .into_par_iter()
            .flat_map_iter(|(at, local)| {
                (0..8).map(move |k: i32| {
                    let to = [at[0] + (k & 1) * size, at[1] + (k >> 1 & 1) * size, at[2] + (k >> 2) * size];
                    (to, local.clone())
                })
            })
            .collect();
    }
}

/// Blocks that share a crossed edge with one worked out and were not looked at.
fn missing(blocks: &[Block], job: &Job<'_>, seen: &HashSet<[i32; 3]>) -> Vec<[i32; 3]> {
    let beside = |b: &Block| {
        let (at, needs) = (b.at, b.needs);
        let all = (0..27).filter(move |k| needs >> k & 1 == 1);
        all.map(move |k| [at[0] + k % 3 - 1, at[1] + k / 3 % 3 - 1, at[2] + k / 9 - 1])
    };
    let wanted = |at: &[i32; 3]| job.grid.has(*at) && !seen.contains(at);
    let mut found: Vec<[i32; 3]> = blocks.par_iter().flat_map_iter(beside).filter(wanted).collect();
    found.sort_unstable();
    found.dedup();
    if job.open {
        found.retain(|at| job.matters(*at, 1));
    }
    found
}

/// The faces to turn over so that no two cells are joined by two edges of the mesh.
fn turn_over(blocks: &[Block]) -> Flips {
    let upper = |d: &Doubled| {
        let axis = usize::from(d.face / 2);
        let mut cell = d.cell;
        cell[axis] += i32::from(d.face % 2);
        (cell, axis)
    };
    let mut faces: Vec<Doubled> = blocks.iter().flat_map(|b| b.doubled.iter().copied()).collect();
    faces.sort_unstable_by_key(|d| (upper(d), d.cell));
    let mut flips = Flips::new();
    for pair in faces.windows(2).filter(|pair| upper(&pair[0]) == upper(&pair[1])) {
        // An earlier turn may have parted the rings already.
        let still = pair.iter().all(|d| {
            let turned = flips.get(&d.cell).copied().unwrap_or(0);
            patch::is_doubled(d.signs, d.flips ^ turned, usize::from(d.face))
        });
        if still {
            for d in pair {
                *flips.entry(d.cell).or_insert(0) |= 1 << d.face;
            }
        }
    }
    flips
}

/// Works out again the blocks with turned faces.
fn redo(job: &Job<'_>, done: &mut [Block], flips: &Flips, watch: &dyn Watch) -> Result<(), RealiseFault> {
    let mut cells: Vec<[i32; 3]> = flips.keys().map(|c| c.map(|i| i.div_euclid(SIDE as i32))).collect();
    cells.sort_unstable();
    cells.dedup();
    let wanted: Wanted = cells.into_iter().map(|b| (b, local_of(job, b))).collect();
    for new in work_all(job, wanted, flips, watch)? {
        if let Ok(k) = done.binary_search_by_key(&new.at, |b| b.at) {
            done[k] = new;
        }
    }
    Ok(())
}
