//! From a graph to the steps of a tape: equal subexpressions once, constants at hand, rows reused.

use std::collections::HashMap;
use std::sync::Arc;

use super::expr::{Binary, Expr, Op, Oracle, Unary};
use super::tape::part_of;
use super::{kernels, walk};
use crate::base::Vec3;

/// Most steps that a tape may have; a graph this large is a fault of whoever made it.
pub(super) const MOST_STEPS: usize = 1 << 22;

/// Most values that may wait for their use at one time, each in a row of its own.
pub(super) const MOST_ROWS: usize = 1 << 15;

/// Why an expression cannot be made ready.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum TapeFault {
    /// A name that is none of the inputs.
    #[error("{0}")]
    UnknownName(String),
    /// More steps than a tape may have.
    #[error("the expression has more than {MOST_STEPS} parts")]
    TooLarge,
    /// More values needed at one time than there is room for.
    #[error("the expression needs more than {MOST_ROWS} intermediate values at one time")]
    TooWide,
}

/// A step; arguments are indices of earlier steps.
#[derive(Clone, Debug)]
pub(super) enum Step {
    Const(f64),
    Input(u32),
    Unary(Unary, u32),
    Binary(Binary, u32, u32),
    /// A whole power made by multiplication.
    Power(u32, i32),
    Select(u32, u32, u32),
    Oracle(Arc<dyn Oracle>, u8, [u32; 3]),
}

impl Step {
    /// Indices of the arguments.
    pub(super) fn arguments(&self) -> impl Iterator<Item = u32> + use<> {
        let list = match self {
            Self::Const(_) | Self::Input(_) => [None; 3],
            Self::Unary(_, a) | Self::Power(a, _) => [Some(*a), None, None],
            Self::Binary(_, a, b) => [Some(*a), Some(*b), None],
            Self::Select(a, b, c) | Self::Oracle(_, _, [a, b, c]) => [Some(*a), Some(*b), Some(*c)],
        };
        list.into_iter().flatten()
    }

    /// The same step on other arguments.
    pub(super) fn with(&self, p: impl Fn(u32) -> u32) -> Self {
        match *self {
            Self::Const(_) | Self::Input(_) => self.clone(),
            Self::Unary(f, a) => Self::Unary(f, p(a)),
            Self::Binary(f, a, b) => Self::Binary(f, p(a), p(b)),
            Self::Power(a, n) => Self::Power(p(a), n),
            Self::Select(t, a, b) => Self::Select(p(t), p(a), p(b)),
            Self::Oracle(ref o, part, [a, b, c]) => Self::Oracle(o.clone(), part, [p(a), p(b), p(c)]),
        }
    }

    /// What makes two steps one; commuting arguments in order.
    pub(super) fn key(&self) -> (u32, [u64; 4]) {
        let w = u64::from;
        match *self {
            Self::Const(c) => (0, [c.to_bits(), 0, 0, 0]),
            Self::Input(k) => (1, [w(k), 0, 0, 0]),
            Self::Unary(f, a) => (2, [f as u64, w(a), 0, 0]),
            Self::Binary(f @ (Binary::Add | Binary::Mul), a, b) => {
                (3, [f as u64, w(a.min(b)), w(a.max(b)), 0])
            }
            Self::Binary(f, a, b) => (3, [f as u64, w(a), w(b), 0]),
            Self::Power(a, n) => (4, [w(a), n as u64, 0, 0]),
            Self::Select(a, b, c) => (5, [w(a), w(b), w(c), 0]),
            Self::Oracle(ref o, part, [a, b, c]) => {
                (6 + u32::from(part), [Arc::as_ptr(o).cast::<u8>() as u64, w(a), w(b), w(c)])
            }
        }
    }
}

/// Steps without doubles, built one by one.
#[derive(Default)]
pub(super) struct Builder {
    pub(super) steps: Vec<Step>,
    known: HashMap<(u32, [u64; 4]), u32>,
}

impl Builder {
    /// The index of a step, new or known.
    pub(super) fn put(&mut self, step: Step) -> u32 {
        let step = match step {
            Step::Binary(Binary::Mul, a, b) if a == b => Step::Power(a, 2),
            Step::Binary(Binary::Pow, a, b) => match self.steps[b as usize] {
                Step::Const(n) => {
                    kernels::whole(n).map_or(Step::Binary(Binary::Pow, a, b), |n| Step::Power(a, n))
                }
                _ => Step::Binary(Binary::Pow, a, b),
            },
            other => other,
        };
        let step = self.folded(&step).map_or(step, Step::Const);
        *self.known.entry(step.key()).or_insert_with(|| {
            self.steps.push(step);
            (self.steps.len() - 1) as u32
        })
    }
}

impl Builder {
    /// The value of a step whose arguments are numbers.
    fn folded(&self, step: &Step) -> Option<f64> {
        fold(step, |a| match self.steps[a as usize] {
            Step::Const(c) => Some(c),
            _ => None,
        })
    }
}

/// The value of a step whose arguments are numbers.
pub(super) fn fold(step: &Step, number: impl Fn(u32) -> Option<f64>) -> Option<f64> {
    match *step {
        Step::Const(_) | Step::Input(_) => None,
        Step::Unary(f, a) => Some(f.of(number(a)?)),
        Step::Power(a, n) => Some(kernels::whole_power(number(a)?, n)),
        Step::Binary(f, a, b) => Some(f.of(number(a)?, number(b)?)),
        Step::Select(t, a, b) => number(if number(t)? < 0.0 { a } else { b }),
        Step::Oracle(ref o, part, [a, b, c]) => {
            Some(part_of(o.sample(Vec3::new(number(a)?, number(b)?, number(c)?)), part))
        }
    }
}

/// Steps and the indices of the results.
///
/// # Errors
/// [`TapeFault`] for a name that is none of `inputs`, and for too large a graph.
pub(super) fn steps(exprs: &[Expr], inputs: &[&str]) -> Result<(Vec<Step>, Vec<u32>), TapeFault> {
    let order = walk::deepest_first(exprs);
    if order.len() > MOST_STEPS {
        return Err(TapeFault::TooLarge);
    }
    let mut builder = Builder::default();
    let mut known: HashMap<usize, u32> = HashMap::with_capacity(order.len());
    for e in &order {
        let i = |e: &Expr| known[&e.address()];
        let step = match e.op() {
            Op::Const(c) => Step::Const(*c),
            Op::Var(name) => {
                let k = inputs.iter().position(|n| **n == **name);
                Step::Input(k.ok_or_else(|| TapeFault::UnknownName(name.to_string()))? as u32)
            }
            Op::Unary(f, a) => Step::Unary(*f, i(a)),
            Op::Binary(f, a, b) => Step::Binary(*f, i(a), i(b)),
            Op::Select(t, a, b) => Step::Select(i(t), i(a), i(b)),
            Op::Oracle(o, part, [a, b, c]) => Step::Oracle(o.clone(), *part, [i(a), i(b), i(c)]),
        };
        let at = builder.put(step);
        known.insert(e.address(), at);
    }
    let results = exprs.iter().map(|e| known[&e.address()]).collect();
    Ok((builder.steps, results))
}

/// Only the steps that the results need, in the same order.
pub(super) fn needed(steps: Vec<Step>, results: &mut [u32]) -> Vec<Step> {
    let mut wanted = vec![false; steps.len()];
    results.iter().for_each(|r| wanted[*r as usize] = true);
    for (i, step) in steps.iter().enumerate().rev() {
        if wanted[i] {
            step.arguments().for_each(|a| wanted[a as usize] = true);
        }
    }
    let mut place = vec![0u32; steps.len()];
    let mut kept = Vec::new();
    for (i, step) in steps.into_iter().enumerate().filter(|(i, _)| wanted[*i]) {
        place[i] = kept.len() as u32;
        let p = |a: u32| place[a as usize];
        kept.push(step.with(p));
    }
    results.iter_mut().for_each(|r| *r = place[*r as usize]);
    kept
}

/// A sine or cosine and its argument.
fn wave(step: &Step) -> Option<(Unary, u32)> {
    match step {
        Step::Unary(f @ (Unary::Sin | Unary::Cos), a) => Some((*f, *a)),
        _ => None,
    }
}

/// The cosine or sine that would share its reduction with a step; an odd answer, equal to no wave, if there is none.
fn other_wave(step: &Step) -> Option<(Unary, u32)> {
    match step {
        Step::Unary(Unary::Sin, a) => Some((Unary::Cos, *a)),
        Step::Unary(Unary::Cos, a) => Some((Unary::Sin, *a)),
        _ => Some((Unary::Neg, u32::MAX)),
    }
}

/// The same steps with the sine and cosine of one argument next to one another, to be made together.
pub(super) fn paired(steps: Vec<Step>, results: &mut [u32]) -> Vec<Step> {
    let mut waves: HashMap<(u32, u32), u32> = HashMap::new();
    for (i, step) in steps.iter().enumerate() {
        if let Some((f, a)) = wave(step) {
            waves.insert((f as u32, a), i as u32);
        }
    }
    let partner = |step: &Step| other_wave(step).and_then(|(f, a)| waves.get(&(f as u32, a)).copied());
    if !steps.iter().any(|s| partner(s).is_some()) {
        return steps;
    }
    let mut place: Vec<Option<u32>> = vec![None; steps.len()];
    let mut order: Vec<Step> = Vec::with_capacity(steps.len());
    for i in 0..steps.len() {
        for j in std::iter::once(i as u32).chain(partner(&steps[i])) {
            if place[j as usize].is_none() {
                let made = steps[j as usize].with(|a| place[a as usize].unwrap_or(0));
                place[j as usize] = Some(order.len() as u32);
                order.push(made);
            }
        }
    }
    results.iter_mut().for_each(|r| *r = place[*r as usize].unwrap_or(0));
    order
}

/// Where an argument is found.
#[derive(Clone, Copy, Debug)]
pub(super) enum Place {
    /// A row made by an earlier operation.
    Row(u32),
    /// A number.
    Number(f64),
    /// An input.
    Input(u32),
}

/// What an operation does to its rows.
#[derive(Clone, Debug)]
pub(super) enum Code {
    Unary(Unary),
    /// Sine or cosine, the other being left for the next operation.
    First(Unary),
    /// The sine or cosine that the last operation left.
    Second(Unary),
    Binary(Binary),
    Power(i32),
    Select,
    Oracle(Arc<dyn Oracle>, u8),
}

/// An operation on rows. The row written is none of the rows read.
#[derive(Clone, Debug)]
pub(super) struct Operation {
    pub(super) code: Code,
    pub(super) from: [Place; 3],
    pub(super) to: u32,
    /// Inputs (bit by bit, the first 8) on which the result depends, and on which each argument does.
    pub(super) depends: u8,
    pub(super) on: [u8; 3],
}

/// Operations in order, the number of rows they use, and where the results are.
#[derive(Clone, Debug, Default)]
pub(super) struct Plan {
    pub(super) operations: Vec<Operation>,
    pub(super) rows: usize,
    pub(super) results: Vec<Place>,
    /// Inputs on which the first result depends, as for operations.
    pub(super) result_on: u8,
}

/// On which inputs each step depends, one bit each; inputs from the eighth on share the last bit.
pub(super) fn dependence(steps: &[Step]) -> Vec<u8> {
    let mut on: Vec<u8> = Vec::with_capacity(steps.len());
    for step in steps {
        on.push(match step {
            Step::Input(k) => 1 << k.min(&7),
            _ => step.arguments().fold(0, |m, a| m | on[a as usize]),
        });
    }
    on
}

/// Gives each step a row, each row used again as soon as its last reader is past.
pub(super) fn plan(steps: &[Step], results: &[u32]) -> Plan {
    let depends = dependence(steps);
    let mut last = vec![0usize; steps.len()];
    for (i, step) in steps.iter().enumerate() {
        step.arguments().for_each(|a| last[a as usize] = i);
    }
    results.iter().for_each(|r| last[*r as usize] = usize::MAX);
    let mut places: Vec<Place> = Vec::with_capacity(steps.len());
    let (mut free, mut plan): (Vec<u32>, Plan) = Default::default();
    for (i, step) in steps.iter().enumerate() {
        let code = match step {
            Step::Const(c) => {
                places.push(Place::Number(*c));
                continue;
            }
            Step::Input(k) => {
                places.push(Place::Input(*k));
                continue;
            }
            Step::Unary(f, _) if i > 0 && other_wave(step) == wave(&steps[i - 1]) => Code::Second(*f),
            Step::Unary(f, _) if steps.get(i + 1).is_some_and(|s| other_wave(s) == wave(step)) => {
                Code::First(*f)
            }
            Step::Unary(f, _) => Code::Unary(*f),
            Step::Binary(f, ..) => Code::Binary(*f),
            Step::Power(_, n) => Code::Power(*n),
            Step::Select(..) => Code::Select,
            Step::Oracle(o, part, _) => Code::Oracle(o.clone(), *part),
        };
        let to = free.pop().unwrap_or_else(|| {
            plan.rows += 1;
            (plan.rows - 1) as u32
        });
        let (mut from, mut on) = ([Place::Number(0.0); 3], [0; 3]);
        for ((slot, on), a) in from.iter_mut().zip(&mut on).zip(step.arguments()) {
            *slot = places[a as usize];
            *on = depends[a as usize];
            if let Place::Row(r) = *slot
                && last[a as usize] == i
            {
                last[a as usize] = usize::MAX;
                free.push(r);
            }
        }
        places.push(Place::Row(to));
        plan.operations.push(Operation { code, from, to, depends: depends[i], on });
    }
    plan.results = results.iter().map(|r| places[*r as usize]).collect();
    plan.result_on = results.first().map_or(0, |r| depends[*r as usize]);
    plan
}
