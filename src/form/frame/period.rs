//! Periods of an expression in one of its names, read off the expression and then tried.
//!
//! Each node is asked what becomes of it when the name grows by P: it grows by slope·P, provided that P is a whole
//! multiple of certain base periods; or nothing can be said. A sine whose argument has slope a adds the base
//! period 2π/a. The least common multiple of all bases, if they are commensurate, is a period; whether a simple
//! fraction of it is one too (sin² has half the period of sin) is tried at many points.

use std::collections::HashMap;
use std::f64::consts::{PI, TAU};

use super::chance::Chance;
use crate::formula::{Binary, Expr, Op, Tape, Unary, in_order};

/// How an expression answers to one of its names.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Answer {
    /// Its value does not depend on the name.
    Free,
    /// It repeats with this least period found.
    Period(f64),
    /// Neither, as far as can be told from the expression.
    Open,
}

/// What a node does when the name grows by P.
#[derive(Clone, Debug)]
struct Growth {
    /// It grows by slope·P …
    slope: f64,
    /// … when P is a multiple of all of these.
    bases: Vec<f64>,
}

impl Growth {
    fn still(&self) -> bool {
        self.slope == 0.0
    }

    fn joined(&self, o: &Self, slope: f64) -> Option<Self> {
        let mut bases = self.bases.clone();
        for b in &o.bases {
            if !bases.contains(b) {
                bases.push(*b);
            }
        }
        Some(Self { slope, bases })
    }

    /// A function that repeats with `period` in its argument.
    fn repeating(&self, period: f64) -> Option<Self> {
        let mut bases = self.bases.clone();
        if !self.still() {
            bases.push(period / self.slope.abs());
        }
        Some(Self { slope: 0.0, bases })
    }
}

/// Slopes that differ by less than this part are equal: they come from sums and products of a few numbers.
const SAME: f64 = 1e-12;

fn same(a: f64, b: f64) -> bool {
    (a - b).abs() <= SAME * a.abs().max(b.abs())
}

fn growth(e: &Expr, name: &str, known: &HashMap<usize, Option<Growth>>) -> Option<Growth> {
    let of = |a: &Expr| known.get(&a.address()).cloned().flatten();
    match e.op() {
        Op::Const(_) => Some(Growth { slope: 0.0, bases: vec![] }),
        Op::Var(n) => Some(Growth { slope: if &**n == name { 1.0 } else { 0.0 }, bases: vec![] }),
        Op::Unary(f, a) => {
            let g = of(a)?;
            match f {
                Unary::Neg => Some(Growth { slope: -g.slope, ..g }),
                Unary::Sin | Unary::Cos => g.repeating(TAU),
                Unary::Tan => g.repeating(PI),
                Unary::Floor | Unary::Ceil if !g.still() => {
                    g.repeating(1.0).map(|r| Growth { slope: g.slope, ..r })
                }
                _ => g.still().then_some(g),
            }
        }
        Op::Binary(f, a, b) => pair(*f, (a, of(a)?), (b, of(b)?)),
        Op::Select(t, a, b) => {
            let (t, a, b) = (of(t)?, of(a)?, of(b)?);
            (t.still() && same(a.slope, b.slope)).then(|| t.joined(&a, 0.0)?.joined(&b, a.slope)).flatten()
        }
        Op::Oracle(_, _, at) => {
            let [a, b, c] = [of(&at[0])?, of(&at[1])?, of(&at[2])?];
            (a.still() && b.still() && c.still()).then(|| a.joined(&b, 0.0)?.joined(&c, 0.0)).flatten()
        }
    }
}

fn pair(f: Binary, (a, ga): (&Expr, Growth), (b, gb): (&Expr, Growth)) -> Option<Growth> {
    let cancel = |s: f64| if s.abs() <= SAME * ga.slope.abs().max(gb.slope.abs()) { 0.0 } else { s };
    match f {
        Binary::Add => ga.joined(&gb, cancel(ga.slope + gb.slope)),
        Binary::Sub => ga.joined(&gb, cancel(ga.slope - gb.slope)),
        Binary::Mul => match (a.as_const(), b.as_const()) {
            (Some(k), _) => Some(Growth { slope: k * gb.slope, ..gb }),
            (_, Some(k)) => Some(Growth { slope: k * ga.slope, ..ga }),
            _ => (ga.still() && gb.still()).then(|| ga.joined(&gb, 0.0)).flatten(),
        },
        Binary::Div => match b.as_const() {
            Some(k) => Some(Growth { slope: ga.slope / k, ..ga }),
            None => (ga.still() && gb.still()).then(|| ga.joined(&gb, 0.0)).flatten(),
        },
        Binary::Min | Binary::Max => same(ga.slope, gb.slope).then(|| ga.joined(&gb, ga.slope)).flatten(),
        Binary::Mod => match b.as_const() {
            Some(m) => ga.repeating(m.abs()),
            None => (ga.still() && gb.still()).then(|| ga.joined(&gb, 0.0)).flatten(),
        },
        Binary::Pow | Binary::Atan2 => (ga.still() && gb.still()).then(|| ga.joined(&gb, 0.0)).flatten(),
    }
}

/// Largest numerator and denominator of a ratio of periods that counts as commensurate.
const RATIO: f64 = 48.0;
/// Rounding allowed in a ratio of periods.
const RATIO_ERROR: f64 = 1e-9;

/// p and q with a/b = p/q in lowest terms, by continued fractions.
fn ratio(a: f64, b: f64) -> Option<(f64, f64)> {
    let target = a / b;
    let (mut p0, mut q0, mut p1, mut q1) = (0.0, 1.0, 1.0, 0.0);
    let mut rest = target;
    for _ in 0..12 {
        let whole = rest.floor();
        (p0, q0, p1, q1) = (p1, q1, whole * p1 + p0, whole * q1 + q0);
        if p1 > RATIO || q1 > RATIO {
            return None;
        }
        if (p1 / q1 - target).abs() <= RATIO_ERROR * target {
            return (p1 > 0.0).then_some((p1, q1));
        }
        rest = 1.0 / (rest - whole);
    }
    None
}

fn common_multiple(bases: &[f64]) -> Option<f64> {
    let (first, rest) = bases.split_first()?;
    rest.iter().try_fold(*first, |all, b| {
        let (_, q) = ratio(all, *b)?;
        Some(all * q)
    })
}

/// How the expressions, taken together, answer to `name`.
pub fn answer(roots: &[&Expr], name: &str) -> Answer {
    let mut known: HashMap<usize, Option<Growth>> = HashMap::new();
    for e in in_order(roots.iter().copied()) {
        let g = growth(&e, name, &known);
        known.insert(e.address(), g);
    }
    let mut bases = Vec::new();
    for root in roots {
        match known.get(&root.address()).cloned().flatten() {
            Some(g) if g.still() => bases.extend(g.bases),
            _ => return Answer::Open,
        }
    }
    if bases.is_empty() {
        return Answer::Free;
    }
    match common_multiple(&bases) {
        Some(period) => least(roots, name, period),
        None => Answer::Open,
    }
}

/// Points at which a fraction of a period is tried. A false period passes one point only when the function happens
/// to agree there to nine digits.
const TRIALS: usize = 48;
/// Values agree when they differ by less than this part of the typical size: rounding in a dozen functions of
/// arguments of some hundreds stays a thousand times below it.
const AGREE: f64 = 1e-9;

/// The least fraction of `period` that still is a period.
fn least(roots: &[&Expr], name: &str, period: f64) -> Answer {
    let mut all: Vec<String> = roots.iter().flat_map(|e| e.names()).filter(|n| n != name).collect();
    all.sort();
    all.dedup();
    let Some(trial) = Trial::new(roots, name, &all) else { return Answer::Period(period) };
    if !trial.holds(period) {
        return Answer::Open;
    }
    let mut least = period;
    for k in [2.0, 2.0, 2.0, 2.0, 3.0, 3.0, 5.0, 7.0] {
        if trial.holds(least / k) {
            least /= k;
        }
    }
    // What agrees at every fraction tried does not change at all.
    if least <= period / 5000.0 { Answer::Free } else { Answer::Period(least) }
}

struct Trial {
    tapes: Vec<Tape>,
    points: Vec<[f64; 3]>,
    size: f64,
}

impl Trial {
    /// Values at scattered points; `None` with more than two other names, or where nothing has a value.
    fn new(roots: &[&Expr], name: &str, others: &[String]) -> Option<Self> {
        let mut renamed = vec![(name, Expr::var("x"))];
        renamed.extend(others.iter().map(String::as_str).zip(["y", "z"].map(Expr::var)));
        if others.len() > 2 {
            return None;
        }
        let tapes = roots.iter().map(|e| Tape::new(&e.with(&renamed)).ok());
        let tapes = tapes.collect::<Option<Vec<_>>>()?;
        let mut chance = Chance::new(7);
        let points: Vec<[f64; 3]> =
            (0..TRIALS).map(|_| [0, 1, 2].map(|_| chance.between(-4.0, 4.0))).collect();
        let sizes = points.iter().flat_map(|p| tapes.iter().map(|t| t.value((*p).into()).abs()));
        let finite: Vec<f64> = sizes.filter(|v| v.is_finite()).collect();
        let size = finite.iter().sum::<f64>() / finite.len().max(1) as f64;
        (size > 0.0).then_some(Self { tapes, points, size })
    }

    fn holds(&self, period: f64) -> bool {
        let mut compared = 0;
        for t in &self.tapes {
            for [x, y, z] in &self.points {
                let (a, b) = (t.value([*x, *y, *z].into()), t.value([x + period, *y, *z].into()));
                if !(a.is_finite() && b.is_finite()) {
                    continue;
                }
                compared += 1;
                if (a - b).abs() > AGREE * (self.size + a.abs()) {
                    return false;
                }
            }
        }
        compared > 0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn v(n: &str) -> Expr {
        Expr::var(n)
    }

    fn f(u: Unary, e: Expr) -> Expr {
        Expr::unary(u, e)
    }

    #[test]
    fn periods_are_read_off_the_expression() {
        let e = f(Unary::Sin, v("x") * 2.0) + f(Unary::Cos, v("x") * 3.0) * v("y");
        assert_eq!(answer(&[&e], "x"), Answer::Period(TAU));
        assert_eq!(answer(&[&e], "y"), Answer::Open);
        assert_eq!(answer(&[&e], "z"), Answer::Free);
        let e = f(Unary::Cos, v("x") * TAU);
        assert_eq!(answer(&[&e], "x"), Answer::Period(1.0));
        let s = f(Unary::Sin, v("x"));
        assert_eq!(answer(&[&(s.clone() * s)], "x"), Answer::Period(PI));
        let e = f(Unary::Sin, v("x") - v("y")) + f(Unary::Tan, v("z") / 3.0);
        assert_eq!(answer(&[&e], "y"), Answer::Period(TAU));
        assert_eq!(answer(&[&e], "z"), Answer::Period(3.0 * PI));
    }

    #[test]
    fn what_does_not_repeat_is_open() {
        let two = 2.0_f64.sqrt();
        let e = f(Unary::Sin, v("x")) + f(Unary::Sin, v("x") * two);
        assert_eq!(answer(&[&e], "x"), Answer::Open);
        let e = f(Unary::Sin, v("x") * v("y"));
        assert_eq!(answer(&[&e], "x"), Answer::Open);
        let e = v("x") + f(Unary::Sin, v("x"));
        assert_eq!(answer(&[&e], "x"), Answer::Open);
        let e = f(Unary::Sin, (v("x") * v("x") + v("y") * v("y")).sqrt());
        assert_eq!(answer(&[&e], "x"), Answer::Open);
    }

    #[test]
    fn what_cancels_is_free() {
        let e = f(Unary::Sin, v("x") - v("x")) + v("y");
        assert_eq!(answer(&[&e], "x"), Answer::Free);
        let (s, c) = (f(Unary::Sin, v("x")), f(Unary::Cos, v("x")));
        let e = s.clone() * s + c.clone() * c + v("y");
        assert_eq!(answer(&[&e], "x"), Answer::Free);
    }
}
