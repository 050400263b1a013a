//! Tapes made shorter for a box: without the branches that cannot matter there.

use super::bounds::{Range, asked};
use super::compile::{self, Step};
use super::expr::{Binary, Unary};
use super::tape::Tape;
use crate::base::{Box3, Interval};

/// A branch may be left out for its sign when it keeps it so much further than the box: by this part of how much it
/// changes there, about one of the cells that a block has along a side. Points are looked at a little outside it.
pub const MARGIN: f64 = 1.0 / 8.0;

impl Tape {
    /// [`Self::bounds`], and the tape without the branches of min, max, abs and select that cannot matter inside the box;
    /// `None` when every branch may. The shorter tape has the same sign at every point of the box, and the same values
    /// to the last bit but where a branch of surely that sign was nearer to zero or further from it.
    pub fn bounds_and_narrow(&self, region: Box3) -> (Interval, Option<Self>) {
        let ranges = self.ranges(&region.intervals());
        let bounds = ranges[self.results[0] as usize].seen();
        let outer = self.outer();
        let taken: Vec<Option<Taken>> = self
            .steps
            .iter()
            .zip(outer)
            .map(|(step, outer)| {
                taken(step, &ranges).or_else(|| if outer { signed(step, &ranges) } else { None })
            })
            .collect();
        if taken.iter().all(Option::is_none) {
            return (bounds, None);
        }
        let mut steps = Vec::with_capacity(self.steps.len());
        let mut place: Vec<u32> = Vec::with_capacity(self.steps.len());
        for (step, taken) in self.steps.iter().zip(taken) {
            let p = |i: u32| place[i as usize];
            let made = match taken {
                Some(Taken::Argument(a)) => {
                    place.push(p(a));
                    continue;
                }
                Some(Taken::Opposite(a)) => Step::Unary(Unary::Neg, p(a)),
                Some(Taken::Lesser(o, part, at)) => Step::Oracle(o, part, at.map(p)),
                None => step.with(p),
            };
            let number = |a: u32| match steps[a as usize] {
                Step::Const(c) => Some(c),
                _ => None,
            };
            let made = compile::fold(&made, number).map_or(made, Step::Const);
            place.push(steps.len() as u32);
            steps.push(made);
        }
        let results = self.results.iter().map(|r| place[*r as usize]).collect();
        (bounds, Some(Self::of_steps(steps, results)))
    }

    /// The steps of which nothing but the sign matters for the sign of the one result: it, and the arguments of those that
    /// are a min, a max or a negative, unless something else reads them too.
    fn outer(&self) -> Vec<bool> {
        let mut outer = vec![false; self.steps.len()];
        let mut inner = vec![false; self.steps.len()];
        let [result] = self.results[..] else { return outer };
        outer[result as usize] = true;
        for (i, step) in self.steps.iter().enumerate().rev() {
            let passes =
                matches!(step, Step::Binary(Binary::Min | Binary::Max, ..) | Step::Unary(Unary::Neg, _));
            let reads = if outer[i] && !inner[i] && passes { &mut outer } else { &mut inner };
            step.arguments().for_each(|a| reads[a as usize] = true);
        }
        outer.iter().zip(inner).map(|(outer, inner)| *outer && !inner).collect()
    }
}

/// The argument that alone has the sign of a min or max whose other argument surely keeps the sign that never wins.
fn signed(step: &Step, ranges: &[Range]) -> Option<Taken> {
    let Step::Binary(f @ (Binary::Min | Binary::Max), a, b) = *step else { return None };
    let passed_over = |i: u32| {
        let Range { span, nan } = ranges[i as usize];
        let least = if f == Binary::Min { span.lo } else { -span.hi };
        !nan && span.width().is_finite() && least > MARGIN * span.width()
    };
    match [a, b].map(passed_over) {
        // An undefined argument is passed over, and then the other one counts.
        [true, _] if !ranges[b as usize].nan => Some(Taken::Argument(b)),
        [_, true] if !ranges[a as usize].nan => Some(Taken::Argument(a)),
        _ => None,
    }
}

/// What stands for a step inside a box.
enum Taken {
    /// One of its arguments.
    Argument(u32),
    /// The negative of its argument.
    Opposite(u32),
    /// An oracle that knows less, the part of it, and its arguments.
    Lesser(std::sync::Arc<dyn super::Oracle>, u8, [u32; 3]),
}

/// What stands for a step with a choice that the ranges decide.
fn taken(step: &Step, ranges: &[Range]) -> Option<Taken> {
    let r = |i: u32| ranges[i as usize];
    match *step {
        Step::Binary(f @ (Binary::Min | Binary::Max), a, b) => {
            winner(f, r(a), r(b)).map(|first| Taken::Argument(if first { a } else { b }))
        }
        Step::Select(t, a, _) if r(t).span.hi < 0.0 && !r(t).nan => Some(Taken::Argument(a)),
        Step::Select(t, _, b) if r(t).span.lo >= 0.0 => Some(Taken::Argument(b)),
        Step::Unary(Unary::Abs, a) if r(a).span.lo > 0.0 => Some(Taken::Argument(a)),
        Step::Unary(Unary::Abs, a) if r(a).span.hi < 0.0 => Some(Taken::Opposite(a)),
        Step::Oracle(ref o, part, at) => {
            let less = o.narrow(asked(at.map(r))?)?;
            Some(Taken::Lesser(less, part, at))
        }
        _ => None,
    }
}

/// True when the first of two surely is the value of min or max, false when the second is.
pub(super) fn winner(f: Binary, a: Range, b: Range) -> Option<bool> {
    let (lower, upper) = (a.span.hi < b.span.lo, b.span.hi < a.span.lo);
    let (first, second) = if f == Binary::Min { (lower, upper) } else { (upper, lower) };
    // An undefined branch is passed over, so only a branch that is defined can win.
    match (first && !a.nan, second && !b.nan) {
        (true, _) => Some(true),
        (_, true) => Some(false),
        _ => None,
    }
}
