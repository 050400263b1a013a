//! Whether a surface given by two parameters runs to infinity within its ranges.

use super::param::Param;
use super::pieces::{FIRST, STEPS, WHOLE, grid};
use crate::base::Box3;

/// Where a part of the ranges is spread wider than any was at first by this factor, however small it is by now, the
/// surface runs to infinity. A leap stays as wide as it is, and so does a logarithm; all else shrinks with the part.
const WIDER: f64 = 2.0;

/// A part of the ranges: its corner, its sides, and how wide its finite places are spread, mm.
#[derive(Clone, Copy)]
struct Look {
    at: [u32; 2],
    size: [u32; 2],
    spread: f64,
}

impl Param {
    /// The parameters of a place where the surface runs to infinity, if there is one: the part that is spread most is
    /// halved, and the half that is spread more, until it can be halved no more.
    pub(super) fn pole(&self) -> Option<[f64; 2]> {
        let side = WHOLE / FIRST;
        let all: Vec<_> =
            (0..FIRST * FIRST).map(|k| ([k % FIRST * side, k / FIRST * side], [side; 2])).collect();
        let first = self.widest(&all)?;
        let mut here = first;
        while here.size.iter().any(|s| *s > STEPS) {
            let halves: Vec<_> = [0, 1].into_iter().flat_map(|axis| halved(here, axis)).collect();
            here = self.widest(&halves)?;
        }
        let middle = [0, 1].map(|k| self.share(k, f64::from(here.at[k]) + 0.5 * f64::from(here.size[k])));
        (here.spread > WIDER * first.spread).then_some(middle)
    }

    /// The part whose finite places are spread most.
    fn widest(&self, parts: &[([u32; 2], [u32; 2])]) -> Option<Look> {
        let at: Vec<[f64; 2]> =
            parts.iter().flat_map(|(at, size)| grid(*at, *size)).map(|at| at.map(f64::from)).collect();
        let places = self.see(&at);
        let looks = parts.iter().zip(places.chunks(16)).map(|((at, size), places)| {
            let about = Box3::around(places.iter().copied().filter(|p| p.is_finite()));
            let spread = if about.is_empty() { 0.0 } else { about.size().norm() };
            Look { at: *at, size: *size, spread }
        });
        looks.max_by(|a, b| a.spread.total_cmp(&b.spread))
    }
}

/// Both halves of a part along an axis; none where it cannot be halved.
fn halved(part: Look, axis: usize) -> Vec<([u32; 2], [u32; 2])> {
    if part.size[axis] <= STEPS {
        return vec![];
    }
    let mut size = part.size;
    size[axis] /= 2;
    let mut second = part.at;
    second[axis] += size[axis];
    vec![(part.at, size), (second, size)]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::formula::{Expr, Unary};

    fn pole(height: Expr) -> Option<[f64; 2]> {
        let names = ["u", "v"].map(str::to_owned);
        let [u, v] = ["u", "v"].map(Expr::var);
        Param::new(&[u, v, height], &names, [(-1.0, 1.0), (-1.0, 1.0)]).unwrap().pole()
    }

    #[test]
    fn what_runs_to_infinity_is_told_from_what_does_not() {
        let [u, v] = ["u", "v"].map(Expr::var);
        let near = |found: Option<[f64; 2]>, [a, b]: [f64; 2]| {
            let [x, y] = found.unwrap();
            assert!((x - a).abs() < 1e-3 && (y - b).abs() < 1e-3, "{x} {y}");
        };
        let square = |e: &Expr| e.clone() * e.clone();
        let one = || Expr::constant(1.0);
        near(pole(one() / (square(&(u.clone() - 0.3)) + square(&(v.clone() + 0.4)))), [0.3, -0.4]);
        assert!((pole(one() / u.clone()).unwrap()[0]).abs() < 1e-3);
        assert!(
            (pole(Expr::unary(Unary::Tan, u.clone() * 2.0)).unwrap()[0].abs() - std::f64::consts::FRAC_PI_4)
                .abs()
                < 1e-3
        );
        // Steep, leaping, torn or logarithmic is not endless.
        assert_eq!(pole(Expr::unary(Unary::Exp, u.clone() * 9.0)), None);
        assert_eq!(pole(Expr::unary(Unary::Sign, u.clone()) * 50.0), None);
        assert_eq!(pole((one() - square(&u) - square(&v)).sqrt()), None);
        assert_eq!(pole(Expr::unary(Unary::Ln, square(&u))), None);
    }
}
