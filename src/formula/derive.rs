//! Symbolic derivatives: the graph of a partial derivative, sharing nodes with the graph it comes from.
//!
//! Where a function has a crease (min, max, abs, select) the derivative is that of the branch whose value is
//! taken; where it leaps (floor, sign, mod) it is that of the piece. A second derivative of an oracle is
//! NaN, unless the oracle knows those of its slopes.

use std::collections::HashMap;

use super::expr::{Binary, Expr, Op, Unary};
use super::walk;

/// Derivatives by address; a node that is absent does not depend on the name.
type Known = HashMap<usize, Expr>;

impl Expr {
    /// The partial derivative by a name.
    pub fn derivative(&self, name: &str) -> Self {
        let mut known = Known::new();
        for e in walk::in_order([self]) {
            if let Some(d) = of_node(&e, name, &known) {
                known.insert(e.address(), d);
            }
        }
        known.remove(&self.address()).unwrap_or_else(|| Self::constant(0.0))
    }

    /// The partial derivatives by several names.
    pub fn gradient<const N: usize>(&self, names: [&str; N]) -> [Self; N] {
        names.map(|name| self.derivative(name))
    }
}

fn of_node(e: &Expr, name: &str, known: &Known) -> Option<Expr> {
    let d = |a: &Expr| known.get(&a.address()).cloned();
    match e.op() {
        Op::Const(_) => None,
        Op::Var(n) => (**n == *name).then(|| Expr::constant(1.0)),
        Op::Unary(f, a) => unary(*f, a, d(a)?, e),
        Op::Binary(f, a, b) => binary(*f, (a, d(a)), (b, d(b)), e),
        Op::Select(t, a, b) => {
            let (da, db) = both(d(a), d(b))?;
            Some(Expr::select(t.clone(), da, db))
        }
        Op::Oracle(o, 0, at) => (1u8..)
            .zip(at)
            .filter_map(|(part, a)| {
                let slope = match o.slope(part) {
                    Some(known) => Expr::oracle(known, at.clone()),
                    None => Expr::oracle_part(o.clone(), part, at.clone()),
                };
                Some(slope * d(a)?)
            })
            .reduce(|sum, term| sum + term),
        Op::Oracle(_, _, at) => at.iter().any(|a| d(a).is_some()).then(|| Expr::constant(f64::NAN)),
    }
}

/// Both, a missing one zero; none when both are missing.
fn both(a: Option<Expr>, b: Option<Expr>) -> Option<(Expr, Expr)> {
    let zero = || Expr::constant(0.0);
    match (a, b) {
        (None, None) => None,
        (a, b) => Some((a.unwrap_or_else(zero), b.unwrap_or_else(zero))),
    }
}

/// `e` is f(a), `da` the derivative of a.
fn unary(f: Unary, a: &Expr, da: Expr, e: &Expr) -> Option<Expr> {
    let (a, v) = (a.clone(), e.clone());
    let one = || Expr::constant(1.0);
    let square = |x: Expr| x.pow(2.0.into());
    Some(match f {
        Unary::Neg => -da,
        Unary::Abs => Expr::select(a, -da.clone(), da),
        Unary::Sign | Unary::Floor | Unary::Ceil | Unary::Round => return None,
        Unary::Sqrt => da * 0.5 / v,
        Unary::Cbrt => da / (square(v) * 3.0),
        Unary::Exp => v * da,
        Unary::Ln => da / a,
        Unary::Sin => Expr::unary(Unary::Cos, a) * da,
        Unary::Cos => -(Expr::unary(Unary::Sin, a) * da),
        Unary::Tan => (square(v) + 1.0) * da,
        Unary::Asin => da / ((one() - a.clone()) * (a + 1.0)).sqrt(),
        Unary::Acos => -(da / ((one() - a.clone()) * (a + 1.0)).sqrt()),
        Unary::Atan => da / (square(a) + 1.0),
        Unary::Sinh => Expr::unary(Unary::Cosh, a) * da,
        Unary::Cosh => Expr::unary(Unary::Sinh, a) * da,
        Unary::Tanh => (one() - square(v)) * da,
        Unary::Asinh => da / (square(a) + 1.0).sqrt(),
        Unary::Acosh => da / ((a.clone() - 1.0) * (a + 1.0)).sqrt(),
        Unary::Atanh => da / ((one() - a.clone()) * (a + 1.0)),
    })
}

/// An argument and its derivative.
type Part<'a> = (&'a Expr, Option<Expr>);

/// `e` is f(a, b).
fn binary(f: Binary, (a, da): Part, (b, db): Part, e: &Expr) -> Option<Expr> {
    let times = |x: &Expr, d: &Option<Expr>| d.as_ref().map(|d| x.clone() * d.clone());
    match f {
        Binary::Add => sum(da, db),
        Binary::Sub => difference(da, db),
        Binary::Mul => sum(times(b, &da), times(a, &db)),
        Binary::Div => Some(difference(da, times(e, &db))? / b.clone()),
        Binary::Min => choice(b.clone() - e.clone(), da, db),
        Binary::Max => choice(e.clone() - b.clone(), da, db),
        Binary::Atan2 => {
            let square = |x: &Expr| x.clone().pow(2.0.into());
            Some(difference(times(b, &da), times(a, &db))? / (square(a) + square(b)))
        }
        Binary::Mod => {
            let turns = Expr::unary(Unary::Floor, a.clone() / b.clone());
            difference(da, times(&turns, &db))
        }
        Binary::Pow => {
            let slope = b.clone() * a.clone().pow(b.clone() - 1.0);
            let growth = || e.clone() * Expr::unary(Unary::Ln, a.clone());
            let by_exponent = db.as_ref().and_then(|_| times(&growth(), &db));
            sum(times(&slope, &da), by_exponent)
        }
    }
}

fn sum(a: Option<Expr>, b: Option<Expr>) -> Option<Expr> {
    match (a, b) {
        (Some(a), Some(b)) => Some(a + b),
        (a, b) => a.or(b),
    }
}

fn difference(a: Option<Expr>, b: Option<Expr>) -> Option<Expr> {
    match (a, b) {
        (Some(a), Some(b)) => Some(a - b),
        (a, None) => a,
        (None, Some(b)) => Some(-b),
    }
}

/// The second derivative where `lead`, the distance of the second argument from the value, is zero; else the
/// first, also where the second argument is undefined and was passed over.
fn choice(lead: Expr, a: Option<Expr>, b: Option<Expr>) -> Option<Expr> {
    let (a, b) = both(a, b)?;
    Some(Expr::select(Expr::unary(Unary::Sign, lead) - 0.5, b, a))
}
