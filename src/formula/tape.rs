//! An expression made ready for batches: each node once, in the order of its needs.

use std::collections::HashMap;

use super::expr::{Binary, Expr, Op, Unary};
use crate::base::{Box3, Interval, Vec3};

/// A step of the tape; arguments are indices of earlier steps.
#[derive(Clone, Debug)]
enum Step {
    Const(f64),
    Input(usize),
    Unary(Unary, usize),
    Binary(Binary, usize, usize),
    Select(usize, usize, usize),
    Oracle(std::sync::Arc<dyn super::expr::Oracle>, u8, [usize; 3]),
}

/// Room that evaluations reuse; one per thread.
#[derive(Default, Debug)]
pub struct Scratch {
    _rows: Vec<f64>,
}

/// An expression in x, y, z made ready to be valued over many points.
#[derive(Clone, Debug)]
pub struct Tape {
    steps: Vec<Step>,
}

impl Tape {
    /// The tape of an expression in `x`, `y`, `z`.
    ///
    /// # Errors
    /// The name of a variable that is none of these.
    pub fn new(expr: &Expr) -> Result<Self, String> {
        let mut steps = Vec::new();
        let mut known: HashMap<usize, usize> = HashMap::new();
        let mut stack = vec![(expr.clone(), false)];
        while let Some((e, ready)) = stack.pop() {
            if known.contains_key(&e.address()) {
                continue;
            }
            let args: Vec<Expr> = match e.op() {
                Op::Const(_) | Op::Var(_) => vec![],
                Op::Unary(_, a) => vec![a.clone()],
                Op::Binary(_, a, b) => vec![a.clone(), b.clone()],
                Op::Select(a, b, c) | Op::Oracle(_, _, [a, b, c]) => vec![a.clone(), b.clone(), c.clone()],
            };
            if !ready && !args.is_empty() {
                stack.push((e.clone(), true));
                stack.extend(args.into_iter().map(|a| (a, false)));
                continue;
            }
            let i = |k: usize| known[&args[k].address()];
            let step = match e.op() {
                Op::Const(x) => Step::Const(*x),
                Op::Var(name) => Step::Input(
                    ["x", "y", "z"].iter().position(|n| *n == &**name).ok_or_else(|| name.to_string())?,
                ),
                Op::Unary(f, _) => Step::Unary(*f, i(0)),
                Op::Binary(f, ..) => Step::Binary(*f, i(0), i(1)),
                Op::Select(..) => Step::Select(i(0), i(1), i(2)),
                Op::Oracle(o, part, _) => Step::Oracle(o.clone(), *part, [i(0), i(1), i(2)]),
            };
            known.insert(e.address(), steps.len());
            steps.push(step);
        }
        Ok(Self { steps })
    }

    /// Values at points given by coordinate; the four slices have one length.
    pub fn values(&self, x: &[f64], y: &[f64], z: &[f64], out: &mut [f64], _scratch: &mut Scratch) {
        for (i, o) in out.iter_mut().enumerate() {
            *o = self.value(Vec3::new(x[i], y[i], z[i]));
        }
    }

    /// The value at one point.
    pub fn value(&self, p: Vec3) -> f64 {
        let mut row: Vec<f64> = Vec::with_capacity(self.steps.len());
        for step in &self.steps {
            row.push(match step {
                Step::Const(c) => *c,
                Step::Input(k) => p[*k],
                Step::Unary(f, a) => f.of(row[*a]),
                Step::Binary(f, a, b) => f.of(row[*a], row[*b]),
                Step::Select(t, a, b) => {
                    if row[*t] < 0.0 {
                        row[*a]
                    } else {
                        row[*b]
                    }
                }
                Step::Oracle(o, part, [a, b, c]) => {
                    let (v, g) = o.sample(Vec3::new(row[*a], row[*b], row[*c]));
                    if *part == 0 { v } else { g[usize::from(*part) - 1] }
                }
            });
        }
        row.last().copied().unwrap_or(f64::NAN)
    }

    /// Values and slopes (gradients) at points given by coordinate. For now by central differences.
    #[allow(clippy::too_many_arguments)]
    pub fn slopes(
        &self,
        x: &[f64],
        y: &[f64],
        z: &[f64],
        out: &mut [f64],
        slope: &mut [Vec3],
        _scratch: &mut Scratch,
    ) {
        for i in 0..out.len() {
            let p = Vec3::new(x[i], y[i], z[i]);
            out[i] = self.value(p);
            let h = 1e-6;
            let d = |e: Vec3| (self.value(p + e * h) - self.value(p - e * h)) / (2.0 * h);
            slope[i] =
                Vec3::new(d(Vec3::new(1., 0., 0.)), d(Vec3::new(0., 1., 0.)), d(Vec3::new(0., 0., 1.)));
        }
    }

    /// A range that holds the value at every point of the box. For now: knows nothing.
    pub fn bounds(&self, _region: Box3) -> Interval {
        Interval::ALL
    }
}
