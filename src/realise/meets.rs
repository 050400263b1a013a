//! Vertices on creases of two branches, many at a time.
//!
//! Each is the place where both branches vanish: by the Gauss-Newton method, least change, within its cell; then once more from
//! the middle of what the cell holds of the crease, so that neighbours do not choose the same place.

use super::field::Field;
use super::place::{NEAR, ON, POKES, SLACK, chord, room_step};
use crate::base::{Box3, Vec3};
use crate::formula::{Scratch, Tape};

/// Steps toward a crease.
const STEPS: usize = 12;

/// A vertex to be put on the crease of two branches.
#[derive(Clone, Copy, Debug)]
pub struct Wanted {
    /// Its number among the vertices of the block.
    pub vertex: usize,
    /// The branches, the lesser number first.
    pub branches: [u32; 2],
    /// The middle of the crossings around it.
    pub start: Vec3,
    /// Its cell.
    pub room: Box3,
}

/// A vertex on its way.
#[derive(Clone, Copy)]
struct Walker {
    /// Its number among those wanted.
    number: usize,
    at: Vec3,
    before: f64,
}

/// Where a vertex arrived: the place, by how much the branches miss it (mm), the steeper slope there, and the direction of
/// the crease.
#[derive(Clone, Copy)]
struct Found {
    point: Vec3,
    off: f64,
    slope: f64,
    along: Option<Vec3>,
}

/// The places of vertices on creases, `None` where none was found in the cell or close beside it; `whole` is the whole field,
/// `step` the edge of a cell, mm.
pub fn places(
    field: &Field,
    whole: &Tape,
    wanted: &[Wanted],
    step: f64,
    scratch: &mut Scratch,
) -> Vec<Option<Vec3>> {
    let mut made = vec![None; wanted.len()];
    let mut left: Vec<usize> = (0..wanted.len()).collect();
    while let Some(first) = left.first() {
        let pair = wanted[*first].branches;
        let (now, later): (Vec<usize>, Vec<usize>) = left.iter().partition(|k| wanted[**k].branches == pair);
        left = later;
        let mut walk = Walk { tapes: pair.map(|k| field.branch_tape(k)), whole, wanted, step, scratch };
        let starts = now.iter().map(|k| (*k, wanted[*k].start)).collect();
        let first = walk.arrive(starts, SLACK);
        let middles = first.iter().filter_map(|(k, found)| {
            let (from, to) = chord(found.point, found.along?, wanted[*k].room);
            Some((*k, found.point + found.along? * (0.5 * (from + to))))
        });
        let second = walk.arrive(middles.collect(), SLACK);
        // What is found last counts.
        walk.keep(&first, &mut made);
        walk.keep(&second, &mut made);
        // A wedge may poke through a face of the cell between the lattice points, and its edge with it.
        let lost = now.iter().filter(|k| made[**k].is_none()).map(|k| (*k, wanted[*k].start)).collect();
        let beside = walk.arrive(lost, POKES);
        walk.keep(&beside, &mut made);
    }
    made
}

/// What the vertices on the crease of two branches need on their way.
struct Walk<'a> {
    tapes: [&'a Tape; 2],
    whole: &'a Tape,
    wanted: &'a [Wanted],
    step: f64,
    scratch: &'a mut Scratch,
}

impl Walk<'_> {
    /// Takes the places found at which the whole is zero too.
    fn keep(&mut self, some: &[(usize, Found)], made: &mut [Option<Vec3>]) {
        let points: Vec<Vec3> = some.iter().map(|(_, found)| found.point).collect();
        let values = self.whole.values_of(&points, self.scratch);
        for ((k, found), value) in some.iter().zip(values) {
            if value.abs() <= (found.off + 10.0 * ON * self.step) * found.slope * 4.0 {
                made[*k] = Some(found.point);
            }
        }
    }

    /// Where both branches vanish, from some starts; what does not arrive within its cell, grown by `slack` cells, is left out.
    fn arrive(&mut self, starts: Vec<(usize, Vec3)>, slack: f64) -> Vec<(usize, Found)> {
        let Self { tapes, wanted, step, .. } = *self;
        let mut found = Vec::with_capacity(starts.len());
        let mut open: Vec<Walker> =
            starts.into_iter().map(|(number, at)| Walker { number, at, before: f64::INFINITY }).collect();
        for _ in 0..STEPS {
            if open.is_empty() {
                break;
            }
            let points: Vec<Vec3> = open.iter().map(|w| w.at).collect();
            let [a, b] = tapes.map(|tape| tape.slopes_of(&points, self.scratch));
            let mut next = Vec::with_capacity(open.len());
            for (walker, rows) in open.into_iter().zip(a.into_iter().zip(b)) {
                let rows = [rows.0, rows.1];
                let off = rows.iter().map(|(v, g)| v.abs() / g.norm().max(1e-300)).fold(0.0, f64::max);
                if !off.is_finite() {
                    continue;
                }
                let stuck = off <= NEAR * step && off > 0.3 * walker.before;
                if off <= ON * step || stuck {
                    let [(_, a), (_, b)] = rows;
                    let slope = a.norm().max(b.norm());
                    let along = a.cross(b).unit();
                    found.push((walker.number, Found { point: walker.at, off, slope, along }));
                    continue;
                }
                let room = wanted[walker.number].room.grown(slack * step);
                next.extend(room_step(&rows, walker.at, room).map(|at| Walker { at, before: off, ..walker }));
            }
            open = next;
        }
        found
    }
}
