//! Long sums with most of their terms taken as constant.
//!
//! In a small part of space most terms of a sum of many (bumps, charges, waves that have died away) hardly change.
//! Their ranges there are known, so each can be replaced by the middle of its range, at an error of half the width.

use super::bounds::Range;
use super::compile::Step;
use super::expr::{Binary, Unary};
use super::tape::Tape;
use crate::base::Box3;

/// Sums of fewer terms are left alone.
const FEW: usize = 8;
/// What rounding adds to the error, for each unit of the terms' greatest values.
pub(super) const ROUNDING: f64 = 1e-13;

/// A term of a sum, the number it is multiplied by, and its range.
struct Term {
    step: u32,
    times: f64,
    range: Range,
}

impl Term {
    /// Half the width of the range of the product.
    fn error(&self) -> f64 {
        let half = 0.5 * self.range.span.width() * self.times.abs();
        if self.range.nan || half.is_nan() { f64::INFINITY } else { half }
    }
}

impl Tape {
    /// A shorter tape for the first expression, and how far its values in the box may be from this one's: as a sum
    /// with terms left out whose ranges are narrow, at most about `part` of the whole range together. `None` when not at
    /// least half of the terms of a long sum can be left out.
    pub fn lighten(&self, region: Box3, part: f64) -> Option<(Self, f64)> {
        self.lighten_alike(region, part).or_else(|| self.lighten_sum(region, part))
    }

    /// The same where sums of terms of one shape were taken together.
    fn lighten_alike(&self, region: Box3, part: f64) -> Option<(Self, f64)> {
        let mut steps = self.steps.clone();
        let (mut all, mut open) = (0.0, vec![(self.results[0], 1.0)]);
        let mut lightened = false;
        // Each is met once on the way through a sum.
        while let Some((at, times)) = open.pop() {
            let number = |k: u32| if let Step::Const(c) = self.steps[k as usize] { Some(c) } else { None };
            match &self.steps[at as usize] {
                Step::Unary(Unary::Neg, a) => open.push((*a, -times)),
                Step::Binary(Binary::Add | Binary::Sub, a, b) => open.extend([(*b, times), (*a, times)]),
                Step::Binary(Binary::Mul, a, b) => match (number(*a), number(*b)) {
                    (Some(c), _) => open.push((*b, times * c)),
                    (_, Some(c)) => open.push((*a, times * c)),
                    _ => {}
                },
                Step::Oracle(o, 0, at_axes) if at_axes.iter().zip(0..).all(|(a, k)| self.is_input(*a, k)) => {
                    if let Some((light, error)) = o.lighter(region, part) {
                        steps[at as usize] = Step::Oracle(light, 0, *at_axes);
                        all += error * times.abs();
                        lightened = true;
                    }
                }
                _ => {}
            }
            if open.len() > self.steps.len() {
                return None;
            }
        }
        lightened.then(|| (Self::of_steps(steps, self.results.clone()), all))
    }

    fn is_input(&self, at: u32, k: u32) -> bool {
        matches!(self.steps[at as usize], Step::Input(i) if i == k)
    }

    fn lighten_sum(&self, region: Box3, part: f64) -> Option<(Self, f64)> {
        let ranges = self.ranges(&region.intervals());
        let budget = part * ranges[self.results[0] as usize].seen().width();
        let (mut terms, mut constant) = self.terms(&ranges)?;
        terms.sort_by(|a, b| a.error().total_cmp(&b.error()).then(a.step.cmp(&b.step)));
        let mut error = 0.0;
        let mut left_out = 0;
        for term in &terms {
            if error + term.error() > budget {
                break;
            }
            error += term.error();
            constant += term.times * 0.5 * (term.range.span.lo + term.range.span.hi);
            left_out += 1;
        }
        if 2 * left_out < terms.len() {
            return None;
        }
        let size = terms.iter().fold(constant.abs(), |s, t| s + t.times.abs() * t.range.span.greatest());
        let mut steps = self.steps.clone();
        let mut push = |step: Step| {
            steps.push(step);
            steps.len() as u32 - 1
        };
        let mut sum = push(Step::Const(constant));
        for term in &terms[left_out..] {
            let (join, step) = match term.times {
                1.0 => (Binary::Add, term.step),
                -1.0 => (Binary::Sub, term.step),
                times => {
                    let times = push(Step::Const(times));
                    (Binary::Add, push(Step::Binary(Binary::Mul, times, term.step)))
                }
            };
            sum = push(Step::Binary(join, sum, step));
        }
        Some((Self::of_steps(steps, vec![sum]), error + ROUNDING * size))
    }

    /// The first expression as a sum: its terms and a constant; `None` when the terms are few.
    fn terms(&self, ranges: &[Range]) -> Option<(Vec<Term>, f64)> {
        let mut terms = Vec::new();
        let mut constant = 0.0;
        let mut open = vec![(self.results[0], 1.0)];
        while let Some((at, times)) = open.pop() {
            let number = |k: u32| match self.steps[k as usize] {
                Step::Const(c) => Some(c),
                _ => None,
            };
            match self.steps[at as usize] {
                Step::Const(c) => constant += times * c,
                Step::Unary(Unary::Neg, a) => open.push((a, -times)),
                Step::Binary(Binary::Add, a, b) => open.extend([(b, times), (a, times)]),
                Step::Binary(Binary::Sub, a, b) => open.extend([(b, -times), (a, times)]),
                Step::Binary(Binary::Mul, a, b) if number(a).is_some() || number(b).is_some() => {
                    match (number(a), number(b)) {
                        (Some(c), _) => open.push((b, times * c)),
                        (_, c) => open.push((a, times * c.unwrap_or(1.0))),
                    }
                }
                _ => terms.push(Term { step: at, times, range: ranges[at as usize] }),
            }
            // A sum that shares its parts over and over would be written out endlessly.
            if terms.len() + open.len() > self.steps.len() {
                return None;
            }
        }
        (terms.len() >= FEW && constant.is_finite()).then_some((terms, constant))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::Vec3;
    use crate::formula::{self, Kind, Scratch};

    #[test]
    fn a_sum_of_bumps_keeps_its_values() {
        let bumps: Vec<String> = (0..60)
            .map(|k| {
                format!("exp(-((x-{})^2+(y-{})^2+z^2)/0.02)", f64::from(k % 8) / 4.0, f64::from(k / 8) / 4.0)
            })
            .collect();
        let text = format!("0.5 - ({}) + 2*x", bumps.join(" + "));
        let Ok(formula::Reading { kind: Kind::Field { value, .. }, .. }) = formula::read(&text) else {
            panic!("a field");
        };
        let tape = Tape::new(&value).unwrap();
        let region = Box3::new(Vec3::new(0.4, 0.6, -0.05), Vec3::new(0.5, 0.7, 0.05));
        let (light, error) = tape.lighten(region, 1e-7).expect("most bumps are far");
        assert!(light.len() * 2 < tape.len() && error < 2e-6, "{} of {}", light.len(), tape.len());
        let mut off: f64 = 0.0;
        for k in 0..200 {
            let s = |n: u32| f64::from(k * n % 97) / 97.0;
            let d = region.size();
            let p = region.min + Vec3::new(d.x * s(31), d.y * s(57), d.z * s(83));
            off = off.max((light.value(p) - tape.value(p)).abs());
        }
        assert!(off <= error, "{off} within {error}");
        // Slopes follow.
        let mut scratch = Scratch::default();
        let p = region.centre();
        let (a, b) = (light.slope(p, &mut scratch).1, tape.slope(p, &mut scratch).1);
        assert!((a - b).norm() < 1e-3 * b.norm());
        assert!(tape.lighten(Box3::cube(2.0), 1e-9).is_none(), "every bump counts");
    }
}
