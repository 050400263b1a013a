//! The mesh of a field at one cell size: which blocks matter, the blocks worked out, the faces between their cells.

use std::collections::{HashMap, HashSet};
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

use rayon::prelude::*;

use super::RealiseFault;
use super::block::{self, Bench, Block, Crossed, Flips, Job, SIDE};
use super::patch;
use crate::base::Watch;
use crate::formula::Tape;
use crate::shape::Mesh;

/// More blocks than this are refused.
const MOST_BLOCKS: usize = 400_000;

/// A mesh with what is known of its vertices.
#[derive(Debug, Default)]
pub struct Raw {
    /// The mesh.
    pub mesh: Mesh,
    /// For each vertex the number of branches that meet in it.
    pub ranks: Vec<u8>,
}

/// The mesh of the region where the field is negative.
///
/// # Errors
/// When there are too many blocks, or the watch says stop.
pub fn extract(job: &Job<'_>, watch: &dyn Watch) -> Result<Raw, RealiseFault> {
    let mut wanted = active_blocks(job, watch)?;
    let mut done: Vec<Block> = Vec::new();
    let mut seen: HashSet<[i32; 3]> = HashSet::new();
    while !wanted.is_empty() {
        if done.len() + wanted.len() > MOST_BLOCKS {
            return Err(RealiseFault::TooLarge);
        }
        let new = work_all(job, &wanted, &Flips::new(), watch)?;
        seen.extend(wanted.iter().map(|(b, _)| *b));
        wanted = missing(&new, job, &seen).into_iter().map(|b| (b, tape_of(job, b))).collect();
        done.extend(new);
    }
    done.sort_unstable_by_key(|b| b.at);
    let flips = turn_over(&done);
    if !flips.is_empty() {
        redo(job, &mut done, &flips, watch)?;
    }
    watch.progress("joining", 1.0);
    Ok(join(&done))
}

/// Blocks to be worked out, each with the tape that holds there.
type Wanted = Vec<([i32; 3], Arc<Tape>)>;

fn tape_of(job: &Job<'_>, at: [i32; 3]) -> Arc<Tape> {
    let tape = &job.field.tape;
    Arc::new(tape.narrow(job.grid.region(at, 1)).unwrap_or_else(|| tape.clone()))
}

fn work_all(
    job: &Job<'_>,
    wanted: &Wanted,
    flips: &Flips,
    watch: &dyn Watch,
) -> Result<Vec<Block>, RealiseFault> {
    let count = AtomicUsize::new(0);
    let blocks: Vec<Option<Block>> = wanted
        .par_iter()
        .map_init(Bench::default, |bench, (at, tape)| {
            let n = count.fetch_add(1, Ordering::Relaxed);
            if n.is_multiple_of(256) {
                watch.progress("sampling", n as f64 / wanted.len() as f64);
            }
            if watch.stop() { None } else { block::work(job, tape, *at, flips, bench) }
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
    let mut level: Wanted = vec![([0; 3], Arc::new(job.field.tape.clone()))];
    loop {
        watch.check()?;
        level = level
            .into_par_iter()
            .filter(|(at, _)| (0..3).all(|k| at[k] < grid.blocks[k]))
            .filter_map(|(at, tape)| {
                let (range, narrow) = tape.bounds_and_narrow(grid.region(at, size));
                let may = !(range.lo > 0.0 || range.hi < 0.0) && job.matters(at, size);
                may.then(|| (at, narrow.map_or(tape, Arc::new)))
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
            .flat_map_iter(|(at, tape)| {
                (0..8).map(move |k: i32| {
                    let to = [at[0] + (k & 1) * size, at[1] + (k >> 1 & 1) * size, at[2] + (k >> 2) * size];
                    (to, tape.clone())
                })
            })
            .collect();
    }
}

/// Blocks that share a crossed edge with one worked out and were not looked at.
fn missing(blocks: &[Block], job: &Job<'_>, seen: &HashSet<[i32; 3]>) -> Vec<[i32; 3]> {
    let mut found = Vec::new();
    for b in blocks {
        for k in (0..27).filter(|k| b.needs >> k & 1 == 1) {
            let at = [b.at[0] + k % 3 - 1, b.at[1] + k / 3 % 3 - 1, b.at[2] + k / 9 - 1];
            if job.grid.has(at) && !seen.contains(&at) {
                found.push(at);
            }
        }
    }
    found.sort_unstable();
    found.dedup();
    if job.open {
        found.retain(|at| job.matters(*at, 1));
    }
    found
}

/// A doubled face: its cell on the upper side, its axis, the cell it was found from, that cell's signs and face.
type Doubled = ([i32; 3], usize, [i32; 3], u8, u8);

/// The faces to turn over so that no two cells are joined by two edges of the mesh.
fn turn_over(blocks: &[Block]) -> Flips {
    let mut faces: Vec<Doubled> = Vec::new();
    for (cell, inside, face) in blocks.iter().flat_map(|b| &b.doubled) {
        let axis = usize::from(face / 2);
        let mut upper = *cell;
        upper[axis] += i32::from(face % 2);
        faces.push((upper, axis, *cell, *inside, *face));
    }
    faces.sort_unstable();
    let mut flips = Flips::new();
    for pair in faces.windows(2) {
        let [p, q] = [pair[0], pair[1]];
        if (p.0, p.1) != (q.0, q.1) {
            continue;
        }
        // An earlier turn may have parted the rings already.
        let still = [p, q]
            .iter()
            .all(|f| patch::is_doubled(f.3, flips.get(&f.2).copied().unwrap_or(0), usize::from(f.4)));
        if still {
            for f in [p, q] {
                *flips.entry(f.2).or_insert(0) |= 1 << f.4;
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
    let wanted: Wanted = cells.into_iter().map(|b| (b, tape_of(job, b))).collect();
    for new in work_all(job, &wanted, flips, watch)? {
        if let Ok(k) = done.binary_search_by_key(&new.at, |b| b.at) {
            done[k] = new;
        }
    }
    Ok(())
}

/// The faces between the cells of all blocks.
fn join(blocks: &[Block]) -> Raw {
    let mut first = Vec::with_capacity(blocks.len());
    let mut raw = Raw::default();
    for b in blocks {
        first.push(raw.mesh.points.len() as u32);
        raw.mesh.points.extend_from_slice(&b.points);
        raw.ranks.extend_from_slice(&b.ranks);
    }
    let index: HashMap<[i32; 3], usize> = blocks.iter().enumerate().map(|(k, b)| (b.at, k)).collect();
    let faces: Vec<Vec<[u32; 3]>> = blocks
        .par_iter()
        .map(|b| {
            // The block itself and its seven lower neighbours.
            let near: [Option<usize>; 8] = std::array::from_fn(|k| {
                let at = [0, 1, 2].map(|a| b.at[a] - (k >> a & 1) as i32);
                index.get(&at).copied()
            });
            let mut out = Vec::with_capacity(b.crossed.len() * 2);
            for c in &b.crossed {
                if let Some(quad) = quad(blocks, &first, &near, c) {
                    out.extend(split(&raw, quad, c));
                }
            }
            out
        })
        .collect();
    raw.mesh.triangles = faces.concat();
    raw
}

/// The vertices of the four cells around a crossed edge, counter-clockwise seen from outside.
fn quad(blocks: &[Block], first: &[u32], near: &[Option<usize>; 8], c: &Crossed) -> Option<[u32; 4]> {
    let axis = usize::from(c.axis);
    let (u, v) = ((axis + 1) % 3, (axis + 2) % 3);
    let mut out = [0; 4];
    for (slot, (du, dv)) in [(1, 1), (0, 1), (0, 0), (1, 0)].into_iter().enumerate() {
        let mut cell = c.start.map(i32::from);
        cell[u] -= du;
        cell[v] -= dv;
        let mut which = 0;
        for a in [u, v] {
            if cell[a] < 0 {
                cell[a] += SIDE as i32;
                which |= 1 << a;
            }
        }
        let k = near[which]?;
        let local = cell[0] as usize + SIDE * (cell[1] as usize + SIDE * cell[2] as usize);
        let cell = blocks[k].cells.get(usize::from(blocks[k].lookup[local]))?;
        out[slot] = first[k] + cell.vertex(axis * 4 + du as usize + 2 * dv as usize)?;
    }
    if !c.leaves {
        out.reverse();
    }
    Some(out)
}

/// Two triangles of a quad: along a crease if one runs across it, else by the better shaped pair.
fn split(raw: &Raw, q: [u32; 4], c: &Crossed) -> [[u32; 3]; 2] {
    let p = q.map(|i| raw.mesh.points[i as usize]);
    let r = q.map(|i| raw.ranks[i as usize] > 1);
    let ways = [[[0, 1, 2], [0, 2, 3]], [[1, 2, 3], [1, 3, 0]]];
    let score = |way: [[usize; 3]; 2]| {
        way.map(|t| {
            let [a, b, d] = t.map(|k| p[k]);
            let n = (b - a).cross(d - a);
            let longest = (b - a).dot(b - a).max((d - b).dot(d - b)).max((a - d).dot(a - d)).max(1e-300);
            let turn = n.dot(c.slope) / c.slope.norm().max(1e-300);
            turn / longest
        })
        .into_iter()
        .fold(f64::INFINITY, f64::min)
    };
    // Two crease vertices across are joined. Of three, the middle one is joined with the one off the crease: the
    // other way would lay a triangle along the crease.
    let pick = match r {
        [true, false, true, false] | [false, true, true, true] | [true, true, false, true] => 0,
        [false, true, false, true] | [true, false, true, true] | [true, true, true, false] => 1,
        _ => usize::from(score(ways[1]) > score(ways[0])),
    };
    ways[pick].map(|t| t.map(|k| q[k]))
}
