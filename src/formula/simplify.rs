//! Simplifications made while a graph is built: only those that change no value.
//!
//! "No value" holds for every double, infinities and NaN included, with one freedom: zeros of either sign are
//! one value, so `x + 0` is `x`. A product with zero is kept, for it is NaN where the other factor is infinite.

use super::expr::{Binary, Expr, Op, Unary};

/// A function of one argument.
pub(super) fn unary(f: Unary, a: Expr) -> Expr {
    if let Some(x) = a.as_const() {
        return Expr::constant(f.of(x));
    }
    match (f, a.op()) {
        (Unary::Neg, Op::Unary(Unary::Neg, x)) => x.clone(),
        (Unary::Neg, Op::Binary(Binary::Sub, x, y)) => {
            Expr::new(Op::Binary(Binary::Sub, y.clone(), x.clone()))
        }
        (Unary::Abs, Op::Unary(Unary::Neg, x)) => Expr::new(Op::Unary(Unary::Abs, x.clone())),
        (Unary::Abs, Op::Unary(Unary::Abs | Unary::Sqrt, _))
        | (Unary::Sign, Op::Unary(Unary::Sign, _))
        | (
            Unary::Floor | Unary::Ceil | Unary::Round,
            Op::Unary(Unary::Floor | Unary::Ceil | Unary::Round, _),
        ) => a,
        _ => Expr::new(Op::Unary(f, a)),
    }
}

/// The argument of a change of sign.
fn negated(a: &Expr) -> Option<&Expr> {
    match a.op() {
        Op::Unary(Unary::Neg, x) => Some(x),
        _ => None,
    }
}

/// A function of two arguments.
pub(super) fn binary(f: Binary, a: Expr, b: Expr) -> Expr {
    let simpler = match (a.as_const(), b.as_const()) {
        (Some(x), Some(y)) => Some(Expr::constant(f.of(x, y))),
        (Some(x), None) => left_number(f, x, &b),
        (None, Some(y)) => right_number(f, &a, y),
        (None, None) => signs(f, &a, &b),
    };
    simpler.unwrap_or_else(|| Expr::new(Op::Binary(f, a, b)))
}

fn left_number(f: Binary, x: f64, b: &Expr) -> Option<Expr> {
    match f {
        Binary::Add if x == 0.0 => Some(b.clone()),
        Binary::Sub if x == 0.0 => Some(unary(Unary::Neg, b.clone())),
        Binary::Mul if x == 1.0 => Some(b.clone()),
        Binary::Mul if x == -1.0 => Some(unary(Unary::Neg, b.clone())),
        Binary::Mul => {
            let y = negated(b)?;
            Some(Expr::new(Op::Binary(f, Expr::constant(-x), y.clone())))
        }
        _ => None,
    }
}

fn right_number(f: Binary, a: &Expr, y: f64) -> Option<Expr> {
    match f {
        Binary::Add | Binary::Sub if y == 0.0 => Some(a.clone()),
        Binary::Mul | Binary::Div | Binary::Pow if y == 1.0 => Some(a.clone()),
        Binary::Mul | Binary::Div if y == -1.0 => Some(unary(Unary::Neg, a.clone())),
        Binary::Mul => {
            let x = negated(a)?;
            Some(Expr::new(Op::Binary(f, x.clone(), Expr::constant(-y))))
        }
        // Division by a power of two is the product with its reciprocal, to the last bit.
        Binary::Div if power_of_two(y) => Some(binary(Binary::Mul, a.clone(), Expr::constant(1.0 / y))),
        Binary::Pow if y == 0.0 => Some(Expr::constant(1.0)),
        Binary::Pow if y == 0.5 => Some(unary(Unary::Sqrt, a.clone())),
        Binary::Pow if y == -1.0 => Some(Expr::new(Op::Binary(Binary::Div, Expr::constant(1.0), a.clone()))),
        _ => None,
    }
}

/// True for plus or minus a power of two whose reciprocal is a normal number too.
fn power_of_two(y: f64) -> bool {
    y.is_normal() && y.to_bits().trailing_zeros() >= 52 && (1.0 / y).is_normal()
}

fn signs(f: Binary, a: &Expr, b: &Expr) -> Option<Expr> {
    let node = |f, a: &Expr, b: &Expr| Some(Expr::new(Op::Binary(f, a.clone(), b.clone())));
    match (f, negated(a), negated(b)) {
        (Binary::Min | Binary::Max, _, _) if a.address() == b.address() => Some(a.clone()),
        (Binary::Add, _, Some(y)) => node(Binary::Sub, a, y),
        (Binary::Add, Some(x), None) => node(Binary::Sub, b, x),
        (Binary::Sub, _, Some(y)) => node(Binary::Add, a, y),
        (Binary::Mul | Binary::Div, Some(x), Some(y)) => node(f, x, y),
        _ => None,
    }
}

/// `a` where `test` is negative, else `b`.
pub(super) fn select(test: Expr, a: Expr, b: Expr) -> Expr {
    match test.as_const() {
        Some(t) if t < 0.0 => a,
        Some(_) => b,
        None if a.address() == b.address() => a,
        None => Expr::new(Op::Select(test, a, b)),
    }
}
