//! Finding long sums of terms of one shape in the steps of a tape (`alike.rs` values them), and taking a term apart into
//! functions of one coordinate each.

use std::collections::HashMap;
use std::sync::Arc;

use super::alike::{COORDINATES, Sum};
use super::compile::{self, Step};
use super::expr::{Binary, Unary};
use super::tape::Tape;
use crate::base::Interval;

/// Fewer terms of one shape are left as they are.
const MANY: usize = 16;
/// Terms of more steps than this are.
const LONGEST: usize = 64;
/// An exponent is split into a sum where no part of it exceeds this, so that no product of powers overflows.
const STEEPEST: f64 = 200.0;

/// Steps with their long sums of terms of one shape taken together, and the result in them.
pub(super) fn together(mut steps: Vec<Step>, result: u32) -> (Vec<Step>, u32) {
    if steps.len() < MANY {
        return (steps, result);
    }
    let linear = |step: &Step| matches!(step, Step::Binary(Binary::Add | Binary::Sub, ..));
    let mut inside = vec![false; steps.len()];
    for step in steps.iter().filter(|step| linear(step)) {
        step.arguments().for_each(|a| inside[a as usize] = true);
    }
    let mut place: Vec<u32> = (0..steps.len() as u32).collect();
    let count = steps.len();
    let mut found = false;
    for at in 0..count {
        if !linear(&steps[at]) || (inside[at] && at != result as usize) {
            continue;
        }
        if let Some(made) = sum_together(&mut steps, at as u32) {
            place[at] = made;
            found = true;
        }
    }
    if !found {
        return (steps, result);
    }
    ordered(&steps, &place, result)
}

/// The steps that the result needs, each after its arguments, with some standing in the place of others.
fn ordered(steps: &[Step], place: &[u32], result: u32) -> (Vec<Step>, u32) {
    let stand_in = |a: u32| place.get(a as usize).copied().unwrap_or(a);
    let mut made: Vec<Step> = Vec::new();
    let mut known: HashMap<u32, u32> = HashMap::new();
    let mut open = vec![stand_in(result)];
    while let Some(at) = open.last().copied() {
        let step = &steps[at as usize];
        let waiting: Vec<u32> = step.arguments().map(stand_in).filter(|a| !known.contains_key(a)).collect();
        if !waiting.is_empty() {
            open.extend(waiting);
            continue;
        }
        open.pop();
        if known.contains_key(&at) {
            continue;
        }
        made.push(step.with(|a| known[&stand_in(a)]));
        known.insert(at, made.len() as u32 - 1);
    }
    let result = known[&stand_in(result)];
    (made, result)
}

/// The terms of one sum taken together where many are alike; the step that stands for it.
fn sum_together(steps: &mut Vec<Step>, at: u32) -> Option<u32> {
    let (terms, constant) = flat(steps, at)?;
    if terms.len() < MANY {
        return None;
    }
    let mut groups: Vec<Group> = Vec::new();
    let mut known: HashMap<Vec<(u32, [u64; 4])>, usize> = HashMap::new();
    let mut rest: Vec<(u32, f64)> = Vec::new();
    for (term, times) in terms {
        let Some((shape, numbers)) = shape(steps, term) else {
            rest.push((term, times));
            continue;
        };
        let k = *known.entry(shape.iter().map(Step::key).collect()).or_insert_with(|| {
            groups.push(Group { shape, terms: vec![] });
            groups.len() - 1
        });
        groups[k].terms.push((term, times, numbers));
    }
    let mut sums = Vec::new();
    for group in groups {
        match group.sum() {
            Ok(sum) => sums.push(sum),
            Err(left) => rest.extend(left),
        }
    }
    if sums.is_empty() {
        return None;
    }
    let mut push = |step: Step| {
        steps.push(step);
        steps.len() as u32 - 1
    };
    let axes = [0, 1, 2].map(|k| push(Step::Input(k)));
    let mut parts: Vec<u32> = Vec::new();
    if constant != 0.0 {
        parts.push(push(Step::Const(constant)));
    }
    parts.extend(sums.into_iter().map(|sum| push(Step::Oracle(Arc::new(sum), 0, axes))));
    for (term, times) in rest {
        let times = push(Step::Const(times));
        parts.push(push(Step::Binary(Binary::Mul, times, term)));
    }
    parts.into_iter().reduce(|sum, part| push(Step::Binary(Binary::Add, sum, part)))
}

/// The terms of a sum with what each is multiplied by, and a number; `None` for one that shares its parts over and over.
fn flat(steps: &[Step], at: u32) -> Option<(Vec<(u32, f64)>, f64)> {
    let number = |k: u32| if let Step::Const(c) = steps[k as usize] { Some(c) } else { None };
    let (mut terms, mut constant, mut open) = (Vec::new(), 0.0, vec![(at, 1.0)]);
    while let Some((at, times)) = open.pop() {
        match steps[at as usize] {
            Step::Const(c) => constant += times * c,
            Step::Unary(Unary::Neg, a) => open.push((a, -times)),
            Step::Binary(Binary::Add, a, b) => open.extend([(b, times), (a, times)]),
            Step::Binary(Binary::Sub, a, b) => open.extend([(b, -times), (a, times)]),
            Step::Binary(Binary::Mul, a, b) => match (number(a), number(b)) {
                (Some(c), _) => open.push((b, times * c)),
                (_, Some(c)) => open.push((a, times * c)),
                _ => terms.push((at, times)),
            },
            _ => terms.push((at, times)),
        }
        if terms.len() + open.len() > steps.len() {
            return None;
        }
    }
    constant.is_finite().then_some((terms, constant))
}

/// A term with its numbers taken out: inputs past the coordinates stand for them, in order.
fn shape(steps: &[Step], term: u32) -> Option<(Vec<Step>, Vec<f64>)> {
    let mut made = Shape { steps: vec![], numbers: vec![], known: HashMap::new() };
    made.take(steps, term)?;
    Some((made.steps, made.numbers))
}

/// A term on the way to its shape.
struct Shape {
    steps: Vec<Step>,
    numbers: Vec<f64>,
    known: HashMap<u32, u32>,
}

impl Shape {
    fn take(&mut self, steps: &[Step], at: u32) -> Option<u32> {
        if let Some(k) = self.known.get(&at) {
            return Some(*k);
        }
        let step = match steps[at as usize] {
            // Two numbers that happen to be equal are two.
            Step::Const(c) => {
                self.numbers.push(c);
                return self.push(Step::Input((COORDINATES + self.numbers.len() - 1) as u32));
            }
            Step::Select(..) | Step::Oracle(..) => return None,
            Step::Input(k) => Step::Input(k),
            Step::Unary(f, a) => Step::Unary(f, self.take(steps, a)?),
            Step::Power(a, n) => Step::Power(self.take(steps, a)?, n),
            // Less a number is the same, to the last bit, as more its opposite.
            Step::Binary(Binary::Sub, a, b) if matches!(steps[b as usize], Step::Const(_)) => {
                let (a, b) = (self.take(steps, a)?, self.take(steps, b)?);
                self.numbers.iter_mut().next_back().into_iter().for_each(|c| *c = -*c);
                Step::Binary(Binary::Add, a, b)
            }
            Step::Binary(f, a, b) => {
                let a = self.take(steps, a)?;
                Step::Binary(f, a, self.take(steps, b)?)
            }
        };
        let made = self.push(step)?;
        self.known.insert(at, made);
        Some(made)
    }

    fn push(&mut self, step: Step) -> Option<u32> {
        self.steps.push(step);
        (self.steps.len() <= LONGEST).then_some(self.steps.len() as u32 - 1)
    }
}

/// Terms of one shape, each by its step, what it is multiplied by, and its numbers.
struct Group {
    shape: Vec<Step>,
    terms: Vec<(u32, f64, Vec<f64>)>,
}

impl Group {
    /// Their sum; themselves where they are few or may be undefined or turn sharply somewhere.
    fn sum(mut self) -> Result<Sum, Vec<(u32, f64)>> {
        let left = |group: Self| group.terms.into_iter().map(|(term, times, _)| (term, times)).collect();
        if self.terms.len() < MANY {
            return Err(left(self));
        }
        let numbers = self.take_shared();
        let result = self.shape.len() as u32 - 1;
        let one = Tape::of_steps(self.shape.clone(), vec![result]);
        let hull =
            |all: &Vec<f64>| all.iter().fold(Interval::point(all[0]), |h, c| h.join(Interval::point(*c)));
        let inputs: Vec<Interval> =
            [Interval::ALL; COORDINATES].into_iter().chain(numbers.iter().map(hull)).collect();
        if !one.is_smooth_over(&inputs) {
            return Err(left(self));
        }
        let factors = factors(&self.shape, &inputs);
        let times = self.terms.iter().map(|(_, times, _)| *times).collect();
        Ok(Sum::new(one, numbers, times, factors))
    }

    /// Puts numbers that all terms share into the shape; the others, each in all terms.
    fn take_shared(&mut self) -> Vec<Vec<f64>> {
        let mut numbers: Vec<Vec<f64>> = Vec::new();
        for step in &mut self.shape {
            let Step::Input(k) = step else { continue };
            let Some(k) = (*k as usize).checked_sub(COORDINATES) else { continue };
            let all: Vec<f64> = self.terms.iter().map(|(_, _, numbers)| numbers[k]).collect();
            *step = if all.iter().all(|c| *c == all[0]) {
                Step::Const(all[0])
            } else {
                numbers.push(all);
                Step::Input((COORDINATES + numbers.len() - 1) as u32)
            };
        }
        numbers
    }
}

/// For each axis the step of a factor or of a part of a sum that depends on it, numbers going with the first.
type ByAxis = [Option<u32>; 3];

/// A term as a product of functions of one coordinate each.
fn factors(shape: &[Step], inputs: &[Interval]) -> Option<[Option<Tape>; 3]> {
    let mut apart = Apart { on: compile::dependence(shape), steps: shape.to_vec(), exponents: vec![] };
    let by = apart.product(shape.len() as u32 - 1)?;
    let tape = |result: u32| Tape::of_steps(apart.steps.clone(), vec![result]);
    let is_low = |e: &u32| tape(*e).bounds_many(inputs)[0].hi <= STEEPEST;
    apart.exponents.iter().all(is_low).then(|| by.map(|step| step.map(tape)))
}

/// Takes steps apart by the coordinates on which they depend.
struct Apart {
    on: Vec<u8>,
    steps: Vec<Step>,
    /// Parts of exponents.
    exponents: Vec<u32>,
}

impl Apart {
    /// The axis of a step that depends on one at most.
    fn alone(&self, at: u32) -> Option<ByAxis> {
        let on = self.on[at as usize] & 7;
        let mut by = [None; 3];
        by[if on == 0 { 0 } else { on.trailing_zeros() as usize }] = Some(at);
        (on.count_ones() <= 1).then_some(by)
    }

    fn is_number(&self, at: u32) -> bool {
        self.on[at as usize] & 7 == 0
    }

    fn push(&mut self, step: Step) -> u32 {
        let on = step.arguments().fold(0, |on, a| on | self.on[a as usize]);
        self.steps.push(step);
        self.on.push(on);
        self.steps.len() as u32 - 1
    }

    /// Two of them joined axis by axis.
    fn join(&mut self, f: Binary, a: ByAxis, b: ByAxis) -> ByAxis {
        std::array::from_fn(|k| match (a[k], b[k]) {
            (Some(a), Some(b)) => Some(self.push(Step::Binary(f, a, b))),
            (a, b) => a.or(b),
        })
    }

    fn product(&mut self, at: u32) -> Option<ByAxis> {
        if let Some(by) = self.alone(at) {
            return Some(by);
        }
        match self.steps[at as usize] {
            Step::Binary(Binary::Mul, a, b) => {
                let (a, b) = (self.product(a)?, self.product(b)?);
                Some(self.join(Binary::Mul, a, b))
            }
            Step::Binary(Binary::Div, a, b) => {
                let (a, b) = (self.product(a)?, self.alone(b)?);
                let one = self.push(Step::Const(1.0));
                let over = b.map(|b| b.map(|b| self.push(Step::Binary(Binary::Div, one, b))));
                Some(self.join(Binary::Mul, a, over))
            }
            Step::Unary(Unary::Neg, a) => {
                let mut by = self.product(a)?;
                let first = by.iter_mut().flatten().next()?;
                *first = self.push(Step::Unary(Unary::Neg, *first));
                Some(by)
            }
            Step::Unary(Unary::Exp, a) => {
                let parts = self.sum(a)?;
                self.exponents.extend(parts.iter().flatten());
                Some(parts.map(|part| part.map(|part| self.push(Step::Unary(Unary::Exp, part)))))
            }
            _ => None,
        }
    }

    fn sum(&mut self, at: u32) -> Option<ByAxis> {
        if let Some(by) = self.alone(at) {
            return Some(by);
        }
        match self.steps[at as usize] {
            Step::Binary(f @ (Binary::Add | Binary::Sub), a, b) => {
                let (a, mut b) = (self.sum(a)?, self.sum(b)?);
                if f == Binary::Sub {
                    b = b.map(|b| b.map(|b| self.push(Step::Unary(Unary::Neg, b))));
                }
                Some(self.join(Binary::Add, a, b))
            }
            Step::Unary(Unary::Neg, a) => {
                let by = self.sum(a)?;
                Some(by.map(|a| a.map(|a| self.push(Step::Unary(Unary::Neg, a)))))
            }
            Step::Binary(f @ (Binary::Mul | Binary::Div), a, b) if self.is_number(b) => {
                let by = self.sum(a)?;
                Some(by.map(|a| a.map(|a| self.push(Step::Binary(f, a, b)))))
            }
            Step::Binary(Binary::Mul, a, b) if self.is_number(a) => {
                let by = self.sum(b)?;
                Some(by.map(|b| b.map(|b| self.push(Step::Binary(Binary::Mul, a, b)))))
            }
            _ => None,
        }
    }
}
