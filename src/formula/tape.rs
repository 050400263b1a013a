//! An expression made ready for batches: each subexpression once, valued over rows of points.

use std::borrow::Cow;
use std::sync::OnceLock;

use fearless_simd::Level;

use super::compile::{self, Code, Operation, Place, Plan, Step, TapeFault};
use super::expr::{Expr, Unary};
use super::gather;
use super::grid::{GridPlan, Room};
use super::kernels::{
    self,
    rows::{self, Operand},
};
use crate::base::Vec3;

/// Points valued together: rows this long stay in the nearest cache.
pub(super) const BLOCK: usize = 128;

/// A row of values.
pub(super) type Row = Box<[f64]>;

/// Room that evaluations reuse; one per thread.
#[derive(Default, Debug)]
pub struct Scratch {
    pub(super) rows: Vec<Row>,
    pub(super) slopes: Vec<[Row; 4]>,
    pub(super) spare: Vec<Row>,
    pub(super) grid: Room,
}

impl Scratch {
    /// A row to write in, given back by [`Self::give`].
    pub(super) fn take(&mut self) -> Row {
        self.spare.pop().unwrap_or_else(row)
    }

    pub(super) fn give(&mut self, row: Row) {
        self.spare.push(row);
    }
}

pub(super) fn row() -> Row {
    vec![0.0; BLOCK].into_boxed_slice()
}

/// Expressions made ready to be valued over many points.
///
/// The values of a point are the same to the last bit whether it is valued alone, in a batch of any size, on a
/// grid, or on another processor; but on a grid a long sum of products of functions of one coordinate (`alike.rs`) is
/// added up in another order, and is the same within [`Tape::lattice_error`].
#[derive(Clone, Debug)]
pub struct Tape {
    pub(super) steps: Vec<Step>,
    pub(super) results: Vec<u32>,
    pub(super) plan: Plan,
    pub(super) level: Level,
    /// Made when first asked for.
    pub(super) grid: OnceLock<GridPlan>,
}

impl Tape {
    /// The tape of an expression in `x`, `y`, `z`.
    ///
    /// # Errors
    /// [`TapeFault`] for another name and for too large an expression (millions of parts).
    pub fn new(expr: &Expr) -> Result<Self, TapeFault> {
        let (steps, results) = compile::steps(std::slice::from_ref(expr), &["x", "y", "z"])?;
        let (steps, result) = gather::together(steps, results[0]);
        Self::narrow_enough(Self::of_steps(steps, vec![result]))
    }

    /// The tape of several expressions in the same named inputs, at most eight; see [`Self::many`].
    ///
    /// # Errors
    /// [`TapeFault`] for a name that is no input and for too large an expression (millions of parts).
    pub fn with_inputs(exprs: &[Expr], inputs: &[&str]) -> Result<Self, TapeFault> {
        let (steps, results) = compile::steps(exprs, inputs)?;
        Self::narrow_enough(Self::of_steps(steps, results))
    }

    fn narrow_enough(tape: Self) -> Result<Self, TapeFault> {
        if tape.plan.rows > compile::MOST_ROWS { Err(TapeFault::TooWide) } else { Ok(tape) }
    }

    pub(super) fn of_steps(steps: Vec<Step>, mut results: Vec<u32>) -> Self {
        let steps = compile::needed(steps, &mut results);
        let steps = compile::paired(steps, &mut results);
        let plan = compile::plan(&steps, &results);
        Self { steps, results, plan, level: Level::new(), grid: OnceLock::new() }
    }

    /// The number of steps: the work of one point.
    pub fn len(&self) -> usize {
        let work = |op: &Operation| if let Code::Oracle(o, _) = &op.code { o.work() } else { 1 };
        self.plan.operations.iter().map(work).sum()
    }

    /// True when the tape only repeats inputs and numbers.
    pub fn is_empty(&self) -> bool {
        self.plan.operations.is_empty()
    }

    /// Values at points given by coordinate; the four slices have one length.
    pub fn values(&self, x: &[f64], y: &[f64], z: &[f64], out: &mut [f64], scratch: &mut Scratch) {
        self.many(&[x, y, z], &mut [out], scratch);
    }

    /// Values at points.
    pub fn values_of(&self, points: &[Vec3], scratch: &mut Scratch) -> Vec<f64> {
        let [x, y, z] = rows(points);
        let mut out = vec![0.0; points.len()];
        self.values(&x, &y, &z, &mut out, scratch);
        out
    }

    /// Values of all expressions: a row of each input in, a row of each expression out, all of one length.
    pub fn many(&self, inputs: &[&[f64]], out: &mut [&mut [f64]], scratch: &mut Scratch) {
        let total = out.first().map_or(0, |o| o.len());
        let mut start = 0;
        while start < total {
            let n = BLOCK.min(total - start);
            let part = |k: u32| &inputs[k as usize][start..start + n];
            self.block(n, part, scratch);
            for (o, place) in out.iter_mut().zip(&self.plan.results) {
                let o = &mut o[start..start + n];
                match place {
                    Place::Number(c) => o.fill(*c),
                    Place::Input(k) => o.copy_from_slice(part(*k)),
                    Place::Row(r) => o.copy_from_slice(&scratch.rows[*r as usize][..n]),
                }
            }
            start += n;
        }
    }

    /// Runs all operations over `n` points, at most [`BLOCK`].
    fn block<'a>(&self, n: usize, input: impl Fn(u32) -> &'a [f64] + Copy, scratch: &mut Scratch) {
        while scratch.rows.len() < self.plan.rows {
            scratch.rows.push(row());
        }
        let (mut to, mut pair) = (scratch.take(), scratch.take());
        for op in &self.plan.operations {
            std::mem::swap(&mut scratch.rows[op.to as usize], &mut to);
            let from = op.from.map(|place| operand(place, &scratch.rows, n, |k| Operand::Row(input(k))));
            run(self.level, op, from, &mut to[..n], &mut pair[..n]);
            std::mem::swap(&mut scratch.rows[op.to as usize], &mut to);
        }
        scratch.give(to);
        scratch.give(pair);
    }

    /// The value at one point.
    pub fn value(&self, p: Vec3) -> f64 {
        let mut out = [0.0];
        self.at(&[p.x, p.y, p.z], &mut out);
        out[0]
    }

    /// The values of all expressions for one number per input.
    pub fn at(&self, inputs: &[f64], out: &mut [f64]) {
        const NEAR: usize = 48;
        let mut near = [0.0; NEAR];
        let mut far;
        let rows = if self.plan.rows <= NEAR {
            &mut near[..]
        } else {
            far = vec![0.0; self.plan.rows];
            &mut far[..]
        };
        let get = |place: Place, rows: &[f64]| match place {
            Place::Number(c) => c,
            Place::Input(k) => inputs[k as usize],
            Place::Row(r) => rows[r as usize],
        };
        for op in &self.plan.operations {
            let [a, b, c] = op.from.map(|place| get(place, rows));
            rows[op.to as usize] = match &op.code {
                Code::Unary(f) | Code::First(f) | Code::Second(f) => f.of(a),
                Code::Binary(f) => f.of(a, b),
                Code::Power(n) => kernels::whole_power(a, *n),
                Code::Select if a < 0.0 => b,
                Code::Select => c,
                Code::Oracle(o, part) => part_of(o.sample(Vec3::new(a, b, c)), *part),
            };
        }
        for (o, place) in out.iter_mut().zip(&self.plan.results) {
            *o = get(*place, rows);
        }
    }
}

/// Part 0 of a sample is its value, parts 1 to 3 its slopes.
pub(super) fn part_of((value, slope): (f64, Vec3), part: u8) -> f64 {
    if part == 0 { value } else { slope[usize::from(part) - 1] }
}

/// The row or number at a place.
pub(super) fn operand<'a, 'i: 'a, R: AsRef<[f64]>>(
    place: Place,
    rows: &'a [R],
    n: usize,
    input: impl Fn(u32) -> Operand<'i>,
) -> Operand<'a> {
    match place {
        Place::Row(r) => Operand::Row(&rows[r as usize].as_ref()[..n]),
        Place::Number(c) => Operand::Number(c),
        Place::Input(k) => input(k),
    }
}

/// One operation over rows; `pair` carries the second of a sine and cosine from one call to the next.
pub(super) fn run(level: Level, op: &Operation, [a, b, c]: [Operand; 3], to: &mut [f64], pair: &mut [f64]) {
    match (&op.code, a) {
        (Code::First(Unary::Sin), Operand::Row(a)) => rows::sin_cos(level, a, to, pair),
        (Code::First(_), Operand::Row(a)) => rows::sin_cos(level, a, pair, to),
        (Code::Second(_), Operand::Row(_)) => to.copy_from_slice(pair),
        (Code::First(f) | Code::Second(f), Operand::Number(a)) => to.fill(f.of(a)),
        (Code::Unary(f), Operand::Row(a)) => rows::unary(level, *f, a, to),
        (Code::Unary(f), Operand::Number(a)) => to.fill(f.of(a)),
        (Code::Power(n), Operand::Row(a)) => rows::power(level, a, *n, to),
        (Code::Power(n), Operand::Number(a)) => to.fill(kernels::whole_power(a, *n)),
        (Code::Binary(f), _) => rows::binary(level, *f, a, b, to),
        (Code::Select, _) => rows::select(level, a, [b, c], to),
        (Code::Oracle(o, 0), _) => {
            let rows = [a, b, c].map(|from| match from {
                Operand::Row(row) => Cow::Borrowed(row),
                Operand::Number(x) => Cow::Owned(vec![x; to.len()]),
            });
            o.values(rows.each_ref().map(|r| &**r), to);
        }
        (Code::Oracle(o, part), _) => {
            let points: Vec<Vec3> = (0..to.len()).map(|i| Vec3::new(a.at(i), b.at(i), c.at(i))).collect();
            to.iter_mut().zip(o.samples(&points)).for_each(|(to, s)| *to = part_of(s, *part));
        }
    }
}

/// The coordinates of points, each in a row.
pub(super) fn rows(points: &[Vec3]) -> [Vec<f64>; 3] {
    [0, 1, 2].map(|k| points.iter().map(|p| p[k]).collect())
}
