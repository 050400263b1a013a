//! Powers whose exponent is a fraction with an odd denominator: real for negative numbers too.

use super::tree::{Join, Node, Part};
use crate::formula::{Binary, Expr, Op, Unary};

/// What is said where it matters.
pub(super) const REAL: &str =
    "a power such as 1/3 or 2/3 was read with the real root, which negative numbers have too";

/// The largest numerator and denominator that are looked at.
const LARGEST: f64 = 999.0;
/// How deep an expression is searched for its sign.
const DEEPEST: u32 = 12;

/// Numerator and odd denominator, in lowest terms, of an exponent written as a fraction of whole numbers.
pub(super) fn odd_root(exponent: &Node) -> Option<(f64, f64)> {
    let (p, q) = match &exponent.kind {
        Part::Neg(inner) => odd_root(inner).map(|(p, q)| (-p, q))?,
        Part::Product(factors) => match factors.as_slice() {
            [(_, a), (Join::Over, b)] => (whole(a)?, whole(b)?),
            _ => return None,
        },
        _ => return None,
    };
    let shared = greatest_divisor(p.abs(), q);
    let (p, q) = (p / shared, q / shared);
    (q % 2.0 == 1.0 && q > 1.0).then_some((p, q))
}

/// A whole number other than 0, with its sign.
fn whole(node: &Node) -> Option<f64> {
    match &node.kind {
        Part::Num(x) if x.fract() == 0.0 && (1.0..=LARGEST).contains(x) => Some(*x),
        Part::Neg(inner) => whole(inner).map(|x| -x),
        _ => None,
    }
}

fn greatest_divisor(mut a: f64, mut b: f64) -> f64 {
    while b > 0.0 {
        (a, b) = (b, a % b);
    }
    a
}

/// The power p/q as the real root has it.
pub(super) fn real_power(base: Expr, p: f64, q: f64) -> Expr {
    let exponent = Expr::constant(p / q);
    if never_negative(&base) {
        return base.pow(exponent);
    }
    if q == 3.0 {
        let root = Expr::unary(Unary::Cbrt, base);
        return if p == 1.0 { root } else { root.pow(Expr::constant(p)) };
    }
    let size = Expr::unary(Unary::Abs, base.clone()).pow(exponent);
    if p % 2.0 == 0.0 { size } else { Expr::unary(Unary::Sign, base) * size }
}

/// Whether an expression is surely nowhere negative.
pub(super) fn never_negative(e: &Expr) -> bool {
    positive(e, 0)
}

fn positive(e: &Expr, depth: u32) -> bool {
    if depth > DEEPEST {
        return false;
    }
    let inner = |e: &Expr| positive(e, depth + 1);
    match e.op() {
        Op::Const(x) => *x >= 0.0,
        Op::Unary(Unary::Abs | Unary::Sqrt | Unary::Exp | Unary::Cosh, _) => true,
        Op::Unary(Unary::Cbrt, a) => inner(a),
        Op::Binary(Binary::Pow, a, b) => b.as_const().is_some_and(|n| n % 2.0 == 0.0) || inner(a),
        Op::Binary(Binary::Mul, a, b) => a.address() == b.address() || inner(a) && inner(b),
        Op::Binary(Binary::Add | Binary::Div | Binary::Min, a, b) => inner(a) && inner(b),
        Op::Binary(Binary::Max, a, b) => inner(a) || inner(b),
        _ => false,
    }
}
