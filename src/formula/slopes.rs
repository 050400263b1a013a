//! Values and exact slopes together: forward differentiation along the tape.
//!
//! Source: Griewank and Walther, Evaluating Derivatives (2nd ed. 2008), ch. 3. Where a function has a crease
//! (min, max, abs, select) the slope is that of the branch whose value is taken. The slope of a derivative
//! part of an oracle is not known and is NaN.

use super::compile::{Code, Operation, Place};
use super::expr::{Binary, Unary};
use super::kernels::rows::{self, Operand};
use super::tape::{self, BLOCK, Row, Scratch, Tape, part_of, row, run};
use crate::base::Vec3;

/// An argument with its slopes.
#[derive(Clone, Copy)]
struct Argument<'a> {
    value: Operand<'a>,
    slope: [Operand<'a>; 3],
    /// Axes on which it depends, one bit each.
    depends: u8,
}

/// Inputs of one block, the coordinates first.
type Points<'a> = &'a [&'a [f64]];

impl Tape {
    /// Values and slopes (gradients) of the first expression at points. For tapes in x, y, z.
    pub fn slopes_of(&self, points: &[Vec3], scratch: &mut Scratch) -> Vec<(f64, Vec3)> {
        let [x, y, z] = tape::rows(points);
        let (mut value, mut slope) = (vec![0.0; points.len()], vec![Vec3::ZERO; points.len()]);
        self.slopes(&x, &y, &z, &mut value, &mut slope, scratch);
        value.into_iter().zip(slope).collect()
    }

    /// Values and slopes (gradients) of the first expression at points given by coordinate; all slices have one
    /// length. For tapes in x, y, z.
    #[allow(clippy::too_many_arguments)] // three coordinates in, two results out
    pub fn slopes(
        &self,
        x: &[f64],
        y: &[f64],
        z: &[f64],
        out: &mut [f64],
        slope: &mut [Vec3],
        scratch: &mut Scratch,
    ) {
        self.slopes_for(&[x, y, z], out, slope, scratch);
    }

    /// Values and slopes of the first expression along the first three inputs, for a row of each input; all of one length.
    pub(super) fn slopes_for(
        &self,
        inputs: &[&[f64]],
        out: &mut [f64],
        slope: &mut [Vec3],
        scratch: &mut Scratch,
    ) {
        let mut start = 0;
        while start < out.len() {
            let n = BLOCK.min(out.len() - start);
            let part: Vec<&[f64]> = inputs.iter().map(|c| &c[start..start + n]).collect();
            let points = &part[..];
            self.slope_block(points, scratch);
            let result = argument(self.plan.results[0], self.plan.result_on, &scratch.slopes, points);
            for i in 0..n {
                out[start + i] = result.value.at(i);
                let [x, y, z] = result.slope.map(|s| s.at(i));
                slope[start + i] = Vec3::new(x, y, z);
            }
            start += n;
        }
    }

    /// Value and slope of the first expression at one point.
    pub fn slope(&self, p: Vec3, scratch: &mut Scratch) -> (f64, Vec3) {
        let (mut value, mut slope) = ([0.0], [Vec3::ZERO]);
        self.slopes(&[p.x], &[p.y], &[p.z], &mut value, &mut slope, scratch);
        (value[0], slope[0])
    }

    fn slope_block(&self, points: Points, scratch: &mut Scratch) {
        while scratch.slopes.len() < self.plan.rows {
            scratch.slopes.push([row(), row(), row(), row()]);
        }
        let n = points[0].len();
        let mut spare = [scratch.take(), scratch.take(), scratch.take(), scratch.take()];
        let (mut u, mut v) = (scratch.take(), scratch.take());
        let mut waves = [scratch.take(), scratch.take()];
        for op in &self.plan.operations {
            let at = op.to as usize;
            std::mem::swap(&mut scratch.slopes[at], &mut spare);
            let from = [0, 1, 2].map(|k| argument(op.from[k], op.on[k], &scratch.slopes, points));
            let values = from.map(|a| a.value);
            match (&op.code, values[0]) {
                // The slope of one is the other, up to its sign.
                (Code::Unary(f) | Code::First(f) | Code::Second(f), Operand::Row(a)) if is_wave(*f) => {
                    let [sin, cos] = waves.each_mut().map(|w| &mut w[..n]);
                    if !matches!(op.code, Code::Second(_)) {
                        rows::sin_cos(self.level, a, sin, cos);
                    }
                    if *f == Unary::Sin {
                        spare[0][..n].copy_from_slice(sin);
                        u[..n].copy_from_slice(cos);
                    } else {
                        spare[0][..n].copy_from_slice(cos);
                        u.iter_mut().zip(sin).for_each(|(u, s)| *u = -*s);
                    }
                }
                // Made together with its slopes.
                (Code::Oracle(..), _) => {}
                _ => run(self.level, op, values, &mut spare[0][..n], &mut u[..n]),
            }
            self.slope_step(op, from, &mut spare, [&mut u[..n], &mut v[..n]]);
            std::mem::swap(&mut scratch.slopes[at], &mut spare);
        }
        spare.into_iter().chain(waves).chain([u, v]).for_each(|r| scratch.give(r));
    }

    /// The slopes of one operation whose values are made. Long, as it has an arm for each sort of operation.
    #[allow(clippy::needless_range_loop)] // one index into many rows
    fn slope_step(&self, op: &Operation, from: [Argument; 3], to: &mut [Row; 4], [u, v]: [&mut [f64]; 2]) {
        let level = self.level;
        let n = u.len();
        let [value, slopes @ ..] = to;
        let value = &mut value[..n];
        let [a, b, c] = from;
        let axes = (0..3).filter(|k| op.depends >> k & 1 == 1);
        match &op.code {
            Code::Binary(f @ (Binary::Add | Binary::Sub)) => {
                for k in axes {
                    rows::binary(level, *f, a.slope[k], b.slope[k], &mut slopes[k][..n]);
                }
                return;
            }
            Code::Unary(Unary::Neg) => {
                for k in axes {
                    let zero = Operand::Number(0.0);
                    rows::binary(level, Binary::Sub, zero, a.slope[k], &mut slopes[k][..n]);
                }
                return;
            }
            Code::Binary(f @ (Binary::Min | Binary::Max)) => {
                rows::contest(level, *f, a.value, b.value, u);
                for k in axes {
                    rows::select(level, Operand::Row(u), [a.slope[k], b.slope[k]], &mut slopes[k][..n]);
                }
                return;
            }
            Code::Select => {
                for k in axes {
                    rows::select(level, a.value, [b.slope[k], c.slope[k]], &mut slopes[k][..n]);
                }
                return;
            }
            Code::Oracle(o, part) => {
                let points: Vec<Vec3> =
                    (0..n).map(|i| Vec3::new(a.value.at(i), b.value.at(i), c.value.at(i))).collect();
                for (i, (w, g)) in o.samples(&points).into_iter().enumerate() {
                    value[i] = part_of((w, g), *part);
                    let g = if *part == 0 { g } else { Vec3::splat(f64::NAN) };
                    for k in axes.clone() {
                        slopes[k][i] = from
                            .iter()
                            .enumerate()
                            .filter(|(_, a)| a.depends >> k & 1 == 1)
                            .fold(0.0, |sum, (j, a)| sum + part_of((0.0, g), j as u8 + 1) * a.slope[k].at(i));
                    }
                }
                return;
            }
            // Already made with the value.
            Code::Unary(f) | Code::First(f) | Code::Second(f) if is_wave(*f) => {}
            Code::Unary(f) | Code::First(f) | Code::Second(f) => match a.value {
                Operand::Row(a) => rows::derivative(level, *f, a, value, u),
                Operand::Number(_) => u.fill(0.0),
            },
            Code::Power(n) => whole_power_slope(level, a.value, *n, u),
            Code::Binary(f) => {
                for i in 0..n {
                    let need = [a.depends, b.depends].map(|d| d != 0);
                    [u[i], v[i]] = partials(*f, a.value.at(i), b.value.at(i), value[i], need);
                }
            }
        }
        for k in axes {
            let to = &mut slopes[k][..n];
            match (a.depends >> k & 1, b.depends >> k & 1) {
                (1, 1) => rows::mix(level, [Operand::Row(u), a.slope[k]], [Operand::Row(v), b.slope[k]], to),
                (1, _) => rows::binary(level, Binary::Mul, Operand::Row(u), a.slope[k], to),
                _ => rows::binary(level, Binary::Mul, Operand::Row(v), b.slope[k], to),
            }
        }
    }
}

fn is_wave(f: Unary) -> bool {
    matches!(f, Unary::Sin | Unary::Cos)
}

/// n·x^(n-1).
fn whole_power_slope(level: fearless_simd::Level, a: Operand, n: i32, out: &mut [f64]) {
    match a {
        Operand::Row(a) if n == 2 => out.copy_from_slice(a),
        Operand::Row(a) => rows::power(level, a, n - 1, out),
        Operand::Number(_) => out.fill(0.0),
    }
    out.iter_mut().for_each(|o| *o *= f64::from(n));
}

/// Partial derivatives of a function of two numbers whose value is `v`; only those needed are sure to be made.
#[inline]
fn partials(f: Binary, a: f64, b: f64, v: f64, need: [bool; 2]) -> [f64; 2] {
    match f {
        Binary::Add => [1.0, 1.0],
        Binary::Sub => [1.0, -1.0],
        Binary::Mul => [b, a],
        Binary::Div => [1.0 / b, -v / b],
        Binary::Pow => {
            let first = if need[0] && b != 0.0 { b * Binary::Pow.of(a, b - 1.0) } else { 0.0 };
            let second = if !need[1] || (a == 0.0 && b > 0.0) { 0.0 } else { v * Unary::Ln.of(a) };
            [first, second]
        }
        Binary::Min => {
            if a < b || b.is_nan() {
                [1.0, 0.0]
            } else {
                [0.0, 1.0]
            }
        }
        Binary::Max => {
            if a > b || b.is_nan() {
                [1.0, 0.0]
            } else {
                [0.0, 1.0]
            }
        }
        Binary::Atan2 => {
            let square = a * a + b * b;
            [b / square, -a / square]
        }
        Binary::Mod => [1.0, -(a / b).floor()],
    }
}

/// The argument at a place, with its slopes along the axes on which it depends.
fn argument<'a>(place: Place, depends: u8, rows: &'a [[Row; 4]], points: Points<'a>) -> Argument<'a> {
    let n = points[0].len();
    let zero = [Operand::Number(0.0); 3];
    match place {
        Place::Row(r) => {
            let [value, slopes @ ..] = &rows[r as usize];
            let slope = std::array::from_fn(|k| match depends >> k & 1 {
                1 => Operand::Row(&slopes[k][..n]),
                _ => Operand::Number(0.0),
            });
            Argument { value: Operand::Row(&value[..n]), slope, depends }
        }
        Place::Number(c) => Argument { value: Operand::Number(c), slope: zero, depends: 0 },
        Place::Input(k) => {
            let k = k as usize;
            let slope = std::array::from_fn(|j| Operand::Number(if j == k { 1.0 } else { 0.0 }));
            Argument { value: Operand::Row(points[k]), slope, depends: 1 << k.min(7) }
        }
    }
}
