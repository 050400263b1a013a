//! A formula of a complex number as two real formulas: its real and imaginary part.

use std::collections::HashMap;

use super::fault::{FormFault, unfit};
use crate::formula::{Binary, Expr, Op, Unary};

/// A complex number: real and imaginary part.
pub(super) type Pair = [Expr; 2];

fn number(x: f64) -> Expr {
    Expr::constant(x)
}

fn real(x: f64) -> Pair {
    [number(x), number(0.0)]
}

pub(super) fn add([a, b]: &Pair, [c, d]: &Pair) -> Pair {
    [a.clone() + c.clone(), b.clone() + d.clone()]
}

pub(super) fn sub([a, b]: &Pair, [c, d]: &Pair) -> Pair {
    [a.clone() - c.clone(), b.clone() - d.clone()]
}

pub(super) fn mul([a, b]: &Pair, [c, d]: &Pair) -> Pair {
    [a.clone() * c.clone() - b.clone() * d.clone(), a.clone() * d.clone() + b.clone() * c.clone()]
}

fn square([a, b]: &Pair) -> Expr {
    a.clone() * a.clone() + b.clone() * b.clone()
}

pub(super) fn div(a: &Pair, b: &Pair) -> Pair {
    let n = square(b);
    let [re, im] = mul(a, &[b[0].clone(), -b[1].clone()]);
    [re / n.clone(), im / n]
}

fn exp([a, b]: &Pair) -> Pair {
    let r = Expr::unary(Unary::Exp, a.clone());
    [r.clone() * Expr::unary(Unary::Cos, b.clone()), r * Expr::unary(Unary::Sin, b.clone())]
}

/// The principal value: the imaginary part lies between -π and π.
fn ln(z: &Pair) -> Pair {
    let [a, b] = z;
    [Expr::unary(Unary::Ln, square(z)) * 0.5, Expr::binary(Binary::Atan2, b.clone(), a.clone())]
}

fn power(a: &Pair, n: &Pair) -> Pair {
    let whole = n[0].as_const().filter(|k| k.fract() == 0.0 && k.abs() <= 64.0);
    match (whole, n[1].as_const()) {
        (Some(k), Some(0.0)) => {
            let mut out: Option<Pair> = None;
            let (mut base, mut left) = (a.clone(), k.abs() as u32);
            while left > 0 {
                if left % 2 == 1 {
                    out = Some(out.map_or_else(|| base.clone(), |o| mul(&o, &base)));
                }
                base = mul(&base, &base);
                left /= 2;
            }
            let out = out.unwrap_or_else(|| real(1.0));
            if k < 0.0 { div(&real(1.0), &out) } else { out }
        }
        _ => exp(&mul(n, &ln(a))),
    }
}

/// Half the sum (or difference, for -1) of exp(z) and exp(-z).
fn half_exps(z: &Pair, sign: f64) -> Pair {
    let [a, b] = exp(z);
    let [c, d] = exp(&[-z[0].clone(), -z[1].clone()]);
    [(a + c * sign) * 0.5, (b + d * sign) * 0.5]
}

fn unary(f: Unary, z: &Pair) -> Option<Pair> {
    // i z, and its way back.
    let turned = |[a, b]: &Pair| [-b.clone(), a.clone()];
    let back = |[a, b]: Pair| [b, -a];
    Some(match f {
        Unary::Neg => [-z[0].clone(), -z[1].clone()],
        Unary::Exp => exp(z),
        Unary::Ln => ln(z),
        Unary::Sqrt => power(z, &real(0.5)),
        Unary::Sinh => half_exps(z, -1.0),
        Unary::Cosh => half_exps(z, 1.0),
        Unary::Tanh => div(&half_exps(z, -1.0), &half_exps(z, 1.0)),
        Unary::Sin => back(half_exps(&turned(z), -1.0)),
        Unary::Cos => half_exps(&turned(z), 1.0),
        Unary::Tan => div(&back(half_exps(&turned(z), -1.0)), &half_exps(&turned(z), 1.0)),
        _ => return None,
    })
}

/// The formula `e` of `z` (and of the unit `i`), with `z` a pair of formulas.
///
/// # Errors
/// [`FormFault::FreeName`]; [`FormFault::Unfit`] for a function that complex numbers have not, such as `abs` or `min`.
pub(super) fn split(e: &Expr, name: &'static str, z: &Pair) -> Result<Pair, FormFault> {
    let mut done: HashMap<usize, Pair> = HashMap::new();
    let mut open = vec![(e.clone(), false)];
    let wrong = || unfit(name, "holds a function that complex numbers have not, such as an absolute value");
    while let Some((e, seen)) = open.pop() {
        if done.contains_key(&e.address()) {
            continue;
        }
        let parts: Vec<&Expr> = match e.op() {
            Op::Const(_) | Op::Var(_) => vec![],
            Op::Unary(_, a) => vec![a],
            Op::Binary(_, a, b) => vec![a, b],
            _ => return Err(wrong()),
        };
        if !seen && !parts.is_empty() {
            open.push((e.clone(), true));
            open.extend(parts.into_iter().map(|a| (a.clone(), false)));
            continue;
        }
        let of = |a: &Expr| done.get(&a.address()).cloned().unwrap_or_else(|| real(f64::NAN));
        let made = match e.op() {
            Op::Const(x) => real(*x),
            Op::Var(n) if &**n == "z" => z.clone(),
            Op::Var(n) if &**n == "i" => [number(0.0), number(1.0)],
            Op::Var(n) => return Err(FormFault::FreeName(n.to_string())),
            Op::Unary(f, a) => unary(*f, &of(a)).ok_or_else(wrong)?,
            Op::Binary(f, a, b) => {
                let (a, b) = (of(a), of(b));
                match f {
                    Binary::Add => add(&a, &b),
                    Binary::Sub => sub(&a, &b),
                    Binary::Mul => mul(&a, &b),
                    Binary::Div => div(&a, &b),
                    Binary::Pow => power(&a, &b),
                    _ => return Err(wrong()),
                }
            }
            _ => return Err(wrong()),
        };
        done.insert(e.address(), made);
    }
    done.remove(&e.address()).ok_or_else(wrong)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::formula::Tape;

    /// Source: identities; values by arithmetic of pairs.
    #[test]
    fn complex_formulas_have_the_right_parts() {
        let z = Expr::var("z");
        let i = Expr::var("i");
        let at = |e: Expr| {
            let [a, b] = split(&e, "g", &[Expr::var("u"), Expr::var("v")]).unwrap();
            let tape = Tape::with_inputs(&[a, b], &["u", "v"]).unwrap();
            let mut out = [0.0; 2];
            tape.at(&[0.3, -0.7], &mut out);
            out
        };
        let near = |a: [f64; 2], b: [f64; 2]| (a[0] - b[0]).abs() < 1e-12 && (a[1] - b[1]).abs() < 1e-12;
        assert!(near(at(z.clone() * z.clone()), [0.09 - 0.49, -0.42]));
        assert!(near(at(Expr::constant(1.0) / z.clone()), [0.3 / 0.58, 0.7 / 0.58]));
        assert!(near(at(i.clone() * z.clone()), [0.7, 0.3]));
        let unary = |f| at(Expr::unary(f, z.clone()));
        let (a, b) = (0.3f64, -0.7f64);
        assert!(near(unary(Unary::Sin), [a.sin() * b.cosh(), a.cos() * b.sinh()]));
        assert!(near(unary(Unary::Cos), [a.cos() * b.cosh(), -a.sin() * b.sinh()]));
        assert!(near(unary(Unary::Cosh), [a.cosh() * b.cos(), a.sinh() * b.sin()]));
        let root = unary(Unary::Sqrt);
        assert!(near([root[0] * root[0] - root[1] * root[1], 2.0 * root[0] * root[1]], [a, b]));
        let minus = at(Expr::binary(Binary::Pow, z.clone(), Expr::constant(-2.0)));
        assert!(near(minus, at(Expr::constant(1.0) / (z.clone() * z.clone()))));
        assert!(split(&Expr::unary(Unary::Abs, z), "g", &[Expr::var("u"), Expr::var("v")]).is_err());
    }
}
