//! Where edges of the lattice are crossed, to the last digit.

use super::field::{Choice, Field};
use crate::base::Vec3;
use crate::formula::{Scratch, Tape};

/// A crossing of an edge of the lattice.
#[derive(Clone, Copy, Debug)]
pub struct Crossing {
    /// Where, mm.
    pub point: Vec3,
    /// Slope of the field there, if it was asked for.
    pub slope: Vec3,
    /// Where, as a part of the edge.
    pub share: f64,
    /// The branch that gives the value there, where there are several.
    pub branch: u32,
    /// The value there, if slope or branch was asked for.
    value: f64,
    ends: [Vec3; 2],
    /// Values at the ends of the part known to hold the change, and that part.
    values: [f64; 2],
    shares: [f64; 2],
    /// How often one end of that part has moved and the other stayed: the first negative, the second positive.
    last: i8,
}

impl Default for Crossing {
    fn default() -> Self {
        Self::new([Vec3::ZERO; 2], [0.0; 2])
    }
}

/// Rounds of closing in on a crossing.
const ROUNDS: usize = 40;
/// Rounds in which one end of the part that holds a crossing stays, after which that part is halved.
const STAYS: i8 = 2;
/// A crossing is found when the value there is this small a part of the values at the ends of its edge.
const SMALL: f64 = 1e-9;

/// A crossing by a straight line is wrong when its value is more than this part of the lesser of those at the ends.
const BENT: f64 = 0.5;

impl Crossing {
    /// A crossing to be found on an edge, with the values at its ends.
    pub fn new(ends: [Vec3; 2], values: [f64; 2]) -> Self {
        Self {
            point: ends[0],
            slope: Vec3::ZERO,
            share: 0.5,
            branch: 0,
            value: 0.0,
            ends,
            values,
            shares: [0.0, 1.0],
            last: 0,
        }
    }

    /// True when it is not where a straight line between the ends has it: the value there is not much nearer to zero than
    /// those at both ends, as happens where another branch, many times as steep, sets in just behind one end.
    pub fn is_bent(&self) -> bool {
        !(self.value.abs() <= BENT * self.values[0].abs().min(self.values[1].abs()))
    }

    /// The next place to look at: false position, the middle where that fails.
    fn next(&mut self) -> Vec3 {
        let [a, b] = self.values;
        let [from, to] = self.shares;
        let t = from + (to - from) * (a / (a - b));
        // One end that stays tells of a value that hardly changes but for the other end.
        self.share = if self.last.abs() <= STAYS && t.is_finite() && t > from && t < to {
            t
        } else {
            0.5 * (from + to)
        };
        self.ends[0] + (self.ends[1] - self.ends[0]) * self.share
    }

    /// Takes in the value at the place looked at; true while the part that holds the change is long.
    fn narrow(&mut self, v: f64) -> bool {
        let to = usize::from((v < 0.0) != (self.values[0] < 0.0));
        self.shares[to] = self.share;
        self.values[to] = v;
        let mark = if to == 0 { -1 } else { 1 };
        if self.last.signum() == mark {
            self.values[1 - to] *= 0.5;
            self.last = if self.last.abs() > STAYS { mark } else { self.last + mark };
        } else {
            self.last = mark;
        }
        self.shares[1] - self.shares[0] > 1e-12
    }
}

/// What is asked of crossings besides their places.
pub struct Ask<'a> {
    /// The slopes.
    pub slopes: bool,
    /// The branches of a choice.
    pub branches: Option<(&'a Field, &'a Choice)>,
}

/// Where the field changes sign between pairs of places at which its signs differ.
pub fn along(tape: &Tape, edges: &[[Vec3; 2]], scratch: &mut Scratch) -> Vec<Vec3> {
    let values = tape.values_of(edges.as_flattened(), scratch);
    let mut all: Vec<Crossing> =
        edges.iter().zip(values.chunks_exact(2)).map(|(e, v)| Crossing::new(*e, [v[0], v[1]])).collect();
    solve(tape, &mut all, &Ask { slopes: false, branches: None }, scratch);
    all.into_iter().map(|c| c.point).collect()
}

/// Takes all crossings to be where a straight line between the ends has them, and finds there what is asked.
pub fn look(tape: &Tape, all: &mut [Crossing], ask: &Ask<'_>, scratch: &mut Scratch) {
    all.iter_mut().for_each(|c| c.point = c.next());
    answer(tape, all, ask, scratch);
}

/// Solves all crossings, by false position with halved weights (the "Illinois" rule; M. Dowell, P. Jarratt,
/// BIT 11 (1971) 168).
pub fn solve(tape: &Tape, all: &mut [Crossing], ask: &Ask<'_>, scratch: &mut Scratch) {
    let scale: Vec<f64> = all.iter().map(|c| c.values[0].abs().max(c.values[1].abs())).collect();
    let mut open: Vec<usize> = (0..all.len()).collect();
    let [mut x, mut y, mut z, mut value] = [(); 4].map(|()| vec![0.0; all.len()]);
    for _ in 0..ROUNDS {
        if open.is_empty() {
            break;
        }
        for (slot, &k) in open.iter().enumerate() {
            let p = all[k].next();
            all[k].point = p;
            (x[slot], y[slot], z[slot]) = (p.x, p.y, p.z);
        }
        let n = open.len();
        tape.values(&x[..n], &y[..n], &z[..n], &mut value[..n], scratch);
        let mut slot = 0;
        open.retain(|&k| {
            let v = value[slot];
            slot += 1;
            !(v.abs() <= SMALL * scale[k]) && all[k].narrow(v)
        });
    }
    answer(tape, all, ask, scratch);
}

/// Finds what is asked at the places of the crossings.
fn answer(tape: &Tape, all: &mut [Crossing], ask: &Ask<'_>, scratch: &mut Scratch) {
    let [x, y, z] = [0, 1, 2].map(|k| all.iter().map(|c| c.point[k]).collect::<Vec<f64>>());
    if ask.slopes {
        let (mut value, mut slope) = (vec![0.0; all.len()], vec![Vec3::ZERO; all.len()]);
        tape.slopes(&x, &y, &z, &mut value, &mut slope, scratch);
        all.iter_mut().zip(slope.into_iter().zip(value)).for_each(|(c, (s, v))| (c.slope, c.value) = (s, v));
    }
    if let Some((field, choice)) = ask.branches {
        let (branches, values) = field.active(choice, [&x, &y, &z], scratch);
        all.iter_mut()
            .zip(branches.into_iter().zip(values))
            .for_each(|(c, (b, v))| (c.branch, c.value) = (b, v));
    }
}
