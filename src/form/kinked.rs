//! Where a formula's path turns suddenly: absolute values, minima and maxima change their branch there.

use crate::formula::{Binary, Expr, Op, Tape, Unary, in_order};

/// Pieces of the range in which a change of branch is looked for.
const LOOKED: usize = 2048;
/// Velocities differ by more than this part of themselves where the path has a kink, so little to both sides of it, as a part
/// of the range.
const TURNS: f64 = 1e-6;
const BESIDE: f64 = 1e-9;
/// Most kinks of a path.
const MOST: usize = 4000;

/// The values of the parameter, in order and inside the range, at which the velocity changes suddenly because a branch does;
/// none when they are too many.
pub(super) fn kinks(components: &[Expr; 3], param: &str, (from, to): (f64, f64)) -> Vec<f64> {
    let turning: Vec<Expr> = in_order(components).iter().filter_map(turning).collect();
    if turning.is_empty() {
        return vec![];
    }
    let velocities = components.each_ref().map(|e| e.derivative(param));
    let Ok(velocity) = Tape::with_inputs(&velocities, &[param]) else { return vec![] };
    let at = |t: f64| {
        let mut out = [f64::NAN; 3];
        velocity.at(&[t], &mut out);
        crate::base::Vec3::from(out)
    };
    let beside = (to - from) * BESIDE;
    let turns = |t: &f64| {
        let (a, b) = (at(t - beside), at(t + beside));
        (a - b).norm() > TURNS * (a.norm() + b.norm())
    };
    let mut found: Vec<f64> =
        turning.iter().flat_map(|e| changes(e, param, (from, to))).filter(turns).collect();
    found.sort_by(f64::total_cmp);
    found.dedup_by(|a, b| *a - *b < 4.0 * beside);
    if found.len() > MOST { vec![] } else { found }
}

/// What is zero where a node changes its branch.
fn turning(e: &Expr) -> Option<Expr> {
    match e.op() {
        Op::Unary(Unary::Abs, a) => Some(a.clone()),
        Op::Unary(Unary::Sqrt, a) => square_of(a),
        Op::Binary(Binary::Min | Binary::Max, a, b) => Some(a.clone() - b.clone()),
        _ => None,
    }
}

/// What a square is the square of.
fn square_of(e: &Expr) -> Option<Expr> {
    match e.op() {
        Op::Binary(Binary::Mul, a, b) if a.address() == b.address() => Some(a.clone()),
        Op::Binary(Binary::Pow, a, n) if n.as_const() == Some(2.0) => Some(a.clone()),
        _ => None,
    }
}

/// Where an expression changes its sign inside a range.
fn changes(e: &Expr, param: &str, (from, to): (f64, f64)) -> Vec<f64> {
    let Ok(tape) = Tape::with_inputs(std::slice::from_ref(e), &[param]) else { return vec![] };
    let value = |t: f64| {
        let mut out = [f64::NAN];
        tape.at(&[t], &mut out);
        out[0]
    };
    let place = |k: usize| from + (to - from) * (k as f64 / LOOKED as f64);
    // The last place with a sign, and that sign.
    let mut last: Option<(f64, bool)> = None;
    let mut found = Vec::new();
    for t in (0..=LOOKED).map(place) {
        let v = value(t);
        if v == 0.0 || v.is_nan() {
            continue;
        }
        if let Some((before, _)) = last.filter(|(_, up)| *up != (v > 0.0)) {
            found.push(between(before, t, v > 0.0, &value));
        }
        last = Some((t, v > 0.0));
    }
    found
}

/// Where the sign changes between two places, to the last digit; `up`: it is positive at the second.
fn between(mut low: f64, mut high: f64, up: bool, value: &dyn Fn(f64) -> f64) -> f64 {
    loop {
        let middle = f64::midpoint(low, high);
        if middle <= low || middle >= high {
            return high;
        }
        let v = value(middle);
        if v == 0.0 {
            return middle;
        }
        if (v > 0.0) == up { high = middle } else { low = middle }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::form::{Curve, measures};
    use std::f64::consts::{PI, SQRT_2, TAU};

    fn t() -> Expr {
        Expr::var("t")
    }

    fn zero() -> Expr {
        Expr::constant(0.0)
    }

    fn curve(components: [Expr; 3], from: f64, to: f64) -> Curve {
        Curve::new(components, "t", (from, to)).unwrap()
    }

    /// |t|, √(t²) and max(t, -t) turn by a right angle at 0, wherever the range begins; a square does not.
    #[test]
    fn branches_make_corners() {
        let abs = Expr::unary(Unary::Abs, t());
        let root = t().pow(Expr::constant(2.0)).sqrt();
        for bent in [abs.clone(), root, t().max(-t())] {
            for range in [(-9.0, 9.0), (-1.7, 9.3)] {
                let made = curve([bent.clone(), t(), zero()], range.0, range.1);
                assert!((measures::total_curvature(&made) - PI / 2.0).abs() < 1e-6, "{range:?}");
                assert!((made.length() - SQRT_2 * (range.1 - range.0)).abs() < 1e-9);
                assert_eq!(measures::widest(&made).unwrap().radius, 0.0);
            }
        }
        assert!(kinks(&[abs.clone() * abs, t(), zero()], "t", (-9.0, 9.0)).is_empty());
    }

    /// A circle of 18 mm cut to a square of 20 mm, of which each side is walked in part and stood still at the corners.
    #[test]
    fn a_cut_circle_is_a_square() {
        let cut = |e: Expr| (e * 18.0).min(Expr::constant(10.0)).max(Expr::constant(-10.0));
        let [s, c] = [Unary::Sin, Unary::Cos].map(|f| Expr::unary(f, t()));
        let made = curve([cut(c), cut(s), zero()], 0.0, TAU);
        assert!((made.length() - 80.0).abs() < 1e-6, "{}", made.length());
    }
}
