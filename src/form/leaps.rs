//! Where a surface in two parameters leaps, and its sheets between: steps, signs, remainders and choices in a formula leap, and
//! where they depend on one parameter alone, the leap is a line on which that parameter does not change.

use std::sync::Arc;

use super::Surface;
use crate::base::{Box3, Vec3};
use crate::formula::{Binary, Expr, Op, Tape, Unary, in_order};

/// Pieces of a range in which steps are looked for, and values of the other parameter at which leaps are.
const LOOKED: usize = 2048;
const ACROSS: usize = 16;
/// A leap is larger than this part of the surface's extent, so little to both sides, as a part of the range.
const LEAPS: f64 = 2e-4;
const BESIDE: f64 = 1e-9;
/// Leaps nearer to one another, or to an end, than this part of the range are one; most of them along a range.
const APART: f64 = 1e-6;
const MOST: usize = 64;

/// The sheets of a surface: the parts between its leaps, or the surface itself where it has none, or too many.
pub(super) fn sheets(surface: &Surface) -> Vec<Surface> {
    match surface {
        Surface::Param { components, params, ranges } => parted(components, params, *ranges),
        Surface::Clipped(inner, by) => {
            sheets(inner).into_iter().map(|s| Surface::Clipped(Arc::new(s), by.clone())).collect()
        }
        Surface::Moved(inner, by) => {
            sheets(inner).into_iter().map(|s| Surface::Moved(Arc::new(s), *by)).collect()
        }
        other => vec![other.clone()],
    }
}

fn parted(components: &[Expr; 3], params: &[String; 2], ranges: [(f64, f64); 2]) -> Vec<Surface> {
    let whole = || Surface::Param { components: components.clone(), params: params.clone(), ranges };
    let steps: Vec<Expr> = in_order(components).iter().filter_map(step).collect();
    let names = [&*params[0], &*params[1]];
    let Ok(tape) = Tape::with_inputs(components, &names) else { return vec![whole()] };
    if steps.is_empty() {
        return vec![whole()];
    }
    let [us, vs] = [0, 1].map(|axis| {
        let mut found: Vec<f64> = steps.iter().flat_map(|e| changes(e, names[axis], ranges[axis])).collect();
        found.sort_by(f64::total_cmp);
        let (from, to) = ranges[axis];
        let near = APART * (to - from);
        found.dedup_by(|a, b| *a - *b < near);
        let beside = BESIDE * (to - from);
        let leaps = |a: f64, b: f64| leaps(&tape, axis, [a, b], ranges);
        found.retain(|t| t - from > near && to - t > near && leaps(t - beside, t + beside));
        // An end may be the first place of what lies beyond.
        let first = if leaps(from, from + beside) { from + beside } else { from };
        let last = if leaps(to, to - beside) { to - beside } else { to };
        let ends: Vec<f64> = found.iter().flat_map(|t| [t - beside, t + beside]).collect();
        [first].into_iter().chain(ends).chain([last]).collect::<Vec<f64>>()
    });
    if us.len().max(vs.len()) > 2 * MOST {
        return vec![whole()];
    }
    let between = |ends: &[f64]| ends.chunks(2).map(|w| (w[0], w[1])).collect::<Vec<_>>();
    let sheet =
        |u, v| Surface::Param { components: components.clone(), params: params.clone(), ranges: [u, v] };
    let vs = between(&vs);
    between(&us).into_iter().flat_map(|u| vs.iter().map(move |v| (u, *v))).map(|(u, v)| sheet(u, v)).collect()
}

/// What changes only by leaps where a node leaps.
fn step(e: &Expr) -> Option<Expr> {
    match e.op() {
        Op::Unary(Unary::Floor | Unary::Ceil | Unary::Round | Unary::Sign, _) => Some(e.clone()),
        Op::Binary(Binary::Mod, a, b) => Some(Expr::unary(Unary::Floor, a.clone() / b.clone())),
        Op::Select(chosen, ..) => Some(Expr::unary(Unary::Sign, chosen.clone())),
        _ => None,
    }
}

/// Where an expression of one parameter alone changes its value inside a range; none for every other.
fn changes(e: &Expr, param: &str, (from, to): (f64, f64)) -> Vec<f64> {
    let Ok(tape) = Tape::with_inputs(std::slice::from_ref(e), &[param]) else { return vec![] };
    let value = |t: f64| {
        let mut out = [f64::NAN];
        tape.at(&[t], &mut out);
        out[0].to_bits()
    };
    let place = |k: usize| from + (to - from) * (k as f64 / LOOKED as f64);
    let mut open: Vec<(f64, f64)> = (0..LOOKED).rev().map(|k| (place(k), place(k + 1))).collect();
    let mut found = vec![];
    while let Some((low, high)) = open.pop() {
        let (a, b) = (value(low), value(high));
        let middle = f64::midpoint(low, high);
        if a == b || found.len() > 4 * MOST {
            continue;
        }
        if middle <= low || middle >= high || high - low < 0.1 * BESIDE * (to - from) {
            found.push(high);
        } else {
            open.extend([(middle, high), (low, middle)]);
        }
    }
    found
}

/// True where the surface leaps between two values of a parameter that are next to one another.
fn leaps(tape: &Tape, axis: usize, beside: [f64; 2], ranges: [(f64, f64); 2]) -> bool {
    let at = |t: f64| -> Vec<Vec3> {
        let (from, to) = ranges[1 - axis];
        let place = |k: usize| {
            let other = from + (to - from) * ((k as f64 + 0.5) / ACROSS as f64);
            let mut out = [f64::NAN; 3];
            tape.at(&if axis == 0 { [t, other] } else { [other, t] }, &mut out);
            Vec3::from(out)
        };
        (0..ACROSS).map(place).collect()
    };
    let (from, to) = ranges[axis];
    let [one, other] = beside.map(at);
    let all = [at(from), at(to), one.clone(), other.clone()].concat();
    let extent = Box3::around(all.into_iter().filter(|p| p.is_finite())).size().largest();
    one.iter().zip(&other).any(|(a, b)| (*a - *b).norm() > LEAPS * extent)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::form::sheet;

    fn cut(z: Expr) -> Vec<[(f64, f64); 2]> {
        let components = [Expr::var("u"), Expr::var("v"), z];
        let whole = sheet(components, ["u".to_owned(), "v".to_owned()], [(-1.0, 7.0), (0.0, 5.0)]).unwrap();
        let ranges = |s: Surface| if let Surface::Param { ranges, .. } = s { ranges } else { panic!() };
        sheets(&whole).into_iter().map(ranges).collect()
    }

    /// Stairs are parted at their steps, a sign where it changes, a sawtooth at its teeth; what only turns is whole, and so is what
    /// leaps along a slanting line.
    #[test]
    fn surfaces_are_parted_where_they_leap() {
        let of = |f: Unary, e: Expr| Expr::unary(f, e);
        let (u, v) = (|| Expr::var("u"), || Expr::var("v"));
        let stairs = cut(of(Unary::Floor, u() / 2.0) / 2.0);
        assert_eq!(stairs.len(), 5);
        assert!((stairs[1][0].0 - 0.0).abs() < 1e-7 && (stairs[1][0].1 - 2.0).abs() < 1e-7, "{stairs:?}");
        let at_end = cut(of(Unary::Floor, u() / 7.0));
        assert!(at_end.len() == 2 && at_end[1][0].1 < 7.0, "{at_end:?}");
        assert_eq!(cut(of(Unary::Sign, u()) * 0.2).len(), 2);
        assert_eq!(cut(of(Unary::Sign, u()) * of(Unary::Round, v() / 3.0)).len(), 6);
        assert_eq!(cut(of(Unary::Abs, u())).len(), 1);
        assert_eq!(cut(of(Unary::Sign, u()) * u()).len(), 1);
        assert_eq!(cut(of(Unary::Floor, u() + v())).len(), 1);
    }
}
