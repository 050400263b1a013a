//! Curves and surfaces that are given by parameters: their ranges, and a tube or a wall to make them things.

use std::f64::consts::TAU;

use super::clip::{round_near, spelled};
use super::period::{Answer, answer};
use super::{FrameFault, Framed, Given, fit, tube, wall};
use crate::base::Vec3;
use crate::form::{Curve, sheet};
use crate::formula::{Expr, Op, Tape, Unary, in_order};

/// Periods shown of a path that winds on without closing.
const TURNS: f64 = 3.0;
/// Range of a parameter in which nothing repeats, on both sides of 0.
const PLAIN: f64 = 1.5;

pub(super) fn curve(
    given: &Given,
    components: [Expr; 3],
    param: &str,
    range: Option<(f64, f64)>,
    (size, thick): (f64, f64),
) -> Result<Framed, FrameFault> {
    let roots = components.each_ref();
    let mut said = given.said();
    let (from, to) = match range {
        Some(r) => r,
        None => {
            let (from, to, why) = curve_range(&roots, param);
            said.push(format!("{param} runs from {} to {}: {why}", spelled(from), spelled(to)));
            (from, to)
        }
    };
    let path = Curve::new(components, param, (from, to))?;
    let path = fit(&path, size - thick)?;
    let radius = 0.5 * thick;
    said.push(format!("{} mm long, drawn as a tube of radius {} mm", spelled(size), spelled(radius)));
    let more = format!(", {}, {}", spelled(from), spelled(to));
    let script =
        format!("{}.fit({}).tube({})", given.called("curve", &more), spelled(size - thick), spelled(radius));
    Ok(Framed {
        form: tube(&path, radius)?.into(),
        bare: Some(path.into()),
        script: given.script(&script),
        said,
    })
}

fn curve_range(roots: &[&Expr; 3], param: &str) -> (f64, f64, &'static str) {
    match answer(roots, param) {
        Answer::Period(p) => (0.0, p, "then it has closed"),
        _ => match turn(roots, param) {
            Some(p) => (0.0, TURNS * p, "three turns of what never closes"),
            None => (-PLAIN, PLAIN, "nothing in it repeats"),
        },
    }
}

/// The longest turn of a sine or cosine of the parameter, when components do not repeat as wholes.
fn turn(roots: &[&Expr], param: &str) -> Option<f64> {
    let mut longest: Option<f64> = None;
    for e in in_order(roots.iter().copied()) {
        if matches!(e.op(), Op::Unary(Unary::Sin | Unary::Cos, _))
            && let Answer::Period(p) = answer(&[&e], param)
        {
            longest = Some(longest.map_or(p, |l: f64| l.max(p)));
        }
    }
    longest
}

pub(super) fn surface(
    given: &Given,
    components: [Expr; 3],
    params: &[String; 2],
    ranges: [Option<(f64, f64)>; 2],
    (size, thick): (f64, f64),
) -> Result<Framed, FrameFault> {
    let mut said = given.said();
    let chosen = Sweep::new(&components, params).ranges(ranges);
    for i in 0..2 {
        if ranges[i].is_none() {
            let (a, b) = chosen[i];
            said.push(format!("{} runs from {} to {}", params[i], spelled(a), spelled(b)));
        }
    }
    let part = sheet(components, params.clone(), chosen)?;
    let part = fit(&part, size - thick)?;
    said.push(format!("{} mm long, wall {} mm", spelled(size), spelled(thick)));
    let [(a, b), (c, d)] = chosen;
    let more = format!(", {}, {}, {}, {}", spelled(a), spelled(b), spelled(c), spelled(d));
    let script =
        format!("{}.fit({}).wall({})", given.called("surface", &more), spelled(size - thick), spelled(thick));
    Ok(Framed {
        form: wall(&part, thick)?.into(),
        bare: Some(part.into()),
        script: given.script(&script),
        said,
    })
}

/// A surface of two parameters that can be asked.
struct Sweep {
    tapes: Option<[Tape; 3]>,
    answers: [Answer; 2],
    turns: [Option<f64>; 2],
}

impl Sweep {
    fn new(components: &[Expr; 3], params: &[String; 2]) -> Self {
        let roots = components.each_ref();
        let names = [(params[0].as_str(), Expr::var("x")), (params[1].as_str(), Expr::var("y"))];
        let tape = |e: &Expr| Tape::new(&e.with(&names)).ok();
        let tapes = match components.each_ref().map(tape) {
            [Some(a), Some(b), Some(c)] => Some([a, b, c]),
            _ => None,
        };
        Self {
            tapes,
            answers: [0, 1].map(|i| answer(&roots, &params[i])),
            turns: [0, 1].map(|i| turn(&roots, &params[i])),
        }
    }

    fn at(&self, u: f64, v: f64) -> Vec3 {
        let p = Vec3::new(u, v, 0.0);
        self.tapes.as_ref().map_or(Vec3::splat(f64::NAN), |t| Vec3::from(t.each_ref().map(|t| t.value(p))))
    }

    fn ranges(&self, given: [Option<(f64, f64)>; 2]) -> [(f64, f64); 2] {
        let mut out = [0, 1].map(|i| given[i].unwrap_or_else(|| self.range(i)));
        for i in 0..2 {
            if given[i].is_none() && given[1 - i].is_none() {
                out[i] = self.once(i, out);
            }
        }
        for i in 0..2 {
            if given[i].is_none() && self.is_twice(i, out) {
                out[i].1 = 0.5 * (out[i].0 + out[i].1);
            }
        }
        for i in 0..2 {
            if given[i].is_none() {
                out[i] = self.defined(i, out);
            }
        }
        out
    }

    fn range(&self, i: usize) -> (f64, f64) {
        match (self.answers[i], self.turns[i]) {
            (Answer::Period(p), _) => (0.0, p),
            (_, Some(turn)) if turn <= 2.0 * TAU => (-0.5 * turn, 0.5 * turn),
            _ => (-PLAIN, PLAIN),
        }
    }

    /// Half a range, when the other half draws the same points again.
    fn once(&self, i: usize, all: [(f64, f64); 2]) -> (f64, f64) {
        let (from, to) = all[i];
        let (other_from, other_to) = all[1 - i];
        let other = other_to - other_from;
        let middle = 0.5 * (from + to);
        let point = |own: f64, other: f64| if i == 0 { self.at(own, other) } else { self.at(other, own) };
        // The mirror half with the other parameter kept, or moved on by half its period.
        let shifts: &[f64] =
            if matches!(self.answers[1 - i], Answer::Period(_)) { &[0.0, 0.5] } else { &[0.0] };
        let again = shifts.iter().any(|shift| {
            (1..20).all(|k| {
                let own = middle + (to - middle) * (f64::from(k) * 0.618 % 1.0);
                let beside = other_from + other * (f64::from(k) * 0.414 % 1.0);
                let (a, b) = (point(own, beside), point(from + to - own, beside + shift * other));
                (a - b).norm() <= 1e-9 * (1.0 + a.norm())
            })
        });
        match (again, self.answers[i]) {
            (false, _) => (from, to),
            (true, Answer::Period(_)) => (from, middle),
            (true, _) => (middle, to),
        }
    }

    /// True when the second half of a period draws the first again with the other range turned about, as a band with one side
    /// does.
    fn is_twice(&self, i: usize, all: [(f64, f64); 2]) -> bool {
        let ((from, to), (low, high)) = (all[i], all[1 - i]);
        let point = |own: f64, other: f64| if i == 0 { self.at(own, other) } else { self.at(other, own) };
        let half = 0.5 * (to - from);
        let again = |k: i32| {
            let own = from + half * (f64::from(k) * 0.618 % 1.0);
            let beside = low + (high - low) * (f64::from(k) * 0.414 % 1.0);
            let (a, b) = (point(own, beside), point(own + half, low + high - beside));
            (a - b).norm() <= 1e-9 * (1.0 + a.norm())
        };
        matches!(self.answers[i], Answer::Period(_)) && (1..20).all(again)
    }

    /// The longest stretch in which the surface has places, and not far-off ones: ends that run to infinity are
    /// drawn back.
    fn defined(&self, i: usize, all: [(f64, f64); 2]) -> (f64, f64) {
        const STEPS: usize = 240;
        let (from, to) = all[i];
        let (other_from, other_to) = all[1 - i];
        let own = |k: usize| from + (to - from) * (k as f64 / STEPS as f64);
        let far = |k: usize| {
            (0..12).fold(0.0_f64, |f, j| {
                let beside = other_from + (other_to - other_from) * (f64::from(j) + 0.37) / 12.0;
                let p = if i == 0 { self.at(own(k), beside) } else { self.at(beside, own(k)) };
                let n = p.norm();
                if n.is_finite() { f.max(n) } else { f64::INFINITY }
            })
        };
        let all: Vec<f64> = (0..=STEPS).map(far).collect();
        let mut sorted: Vec<f64> = all.iter().copied().filter(|v| v.is_finite()).collect();
        sorted.sort_by(f64::total_cmp);
        let Some(usual) = sorted.get(sorted.len() / 2) else { return (from, to) };
        let good = |k: usize| all[k] <= 2.5 * usual;
        let (mut best, mut start) = ((0, 0), None);
        for k in 0..=STEPS {
            match (good(k), start) {
                (true, None) => start = Some(k),
                (true, Some(s)) if k - s > best.1 - best.0 => best = (s, k),
                (false, _) => start = None,
                _ => {}
            }
        }
        if best == (0, STEPS) || best.1 == best.0 {
            return (from, to);
        }
        let end = |k: usize| if k == 0 || k == STEPS { own(k) } else { round_near(own(k)) };
        (end(best.0), end(best.1))
    }
}
