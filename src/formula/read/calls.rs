//! The known functions, worked out on numbers and vectors.

use super::assign;
use super::faults::{FaultClass, Read, Span, fault};
use super::functions::{self, Func};
use super::groups::{GREATEST_SIZE, SUM_OF_SIZES};
use super::series::{TERMS, WITH_VALUE};
use super::tree::{Node, Part};
use super::values::{Values, choose, count, remainder, truncated};
use super::vectors::{self, Val, each, pairwise, total};
use crate::formula::{Binary, Expr, Unary};

impl Values<'_> {
    /// A term where a name has a value.
    fn with_value(&mut self, args: &[Node], at: Span) -> Read<Val> {
        let [Node { kind: Part::Name(name), .. }, value, term] = args else {
            return fault(
                FaultClass::Unexpected,
                at,
                "a loop needs a name",
                "as in sum(k*x for k in range(3))",
            );
        };
        let value = self.value(value)?;
        self.bindings.push((name.clone(), value));
        let term = self.value(term);
        self.bindings.pop();
        term
    }

    /// A function of its arguments.
    pub(super) fn call(&mut self, name: &str, args: &[Node], at: Span) -> Read<Val> {
        if let Some(v) = self.call_defined(name, args, at)? {
            return Ok(v);
        }
        if let Some(v) = self.part_of_complex(name, args)? {
            return Ok(v);
        }
        if name == WITH_VALUE {
            return self.with_value(args, at);
        }
        if let ([Node { kind: Part::Norm(inner), .. }], SUM_OF_SIZES | GREATEST_SIZE) = (args, name) {
            let sizes = self.value(inner)?.parts(at)?.into_iter().map(|e| Expr::unary(Unary::Abs, e));
            return Ok(Val::Num(match name == SUM_OF_SIZES {
                true => total(sizes.collect()),
                false => sizes.reduce(Expr::max).unwrap_or_else(|| Expr::constant(0.0)),
            }));
        }
        if name == TERMS {
            return fault(
                FaultClass::Unsupported,
                at,
                "a list that a loop makes is read within sum, prod, min and max only",
                "write its parts out",
            );
        }
        let args = match args {
            // Terms over a range whose ends are not known here stay one node, which is no term.
            [Node { kind: Part::Call(list, terms), .. }] if list == TERMS && is_extreme(name) => {
                match terms.as_slice() {
                    [Node { kind: Part::Over(..), .. }] => args,
                    terms => terms,
                }
            }
            args => args,
        };
        let mut values = Vec::with_capacity(args.len());
        for a in args {
            values.push(self.value(a)?);
        }
        if let Some(v) = assign::replaced(name, &values, at)? {
            return Ok(v);
        }
        if name == "logbase" {
            return self.logarithm(values, at);
        }
        let Some(f) = functions::function(name) else {
            let hint = functions::nearest(name).map_or_else(
                || format!("write out what {name} gives, or define it on a line before"),
                |n| format!("did you mean {n}?"),
            );
            return fault(FaultClass::UnknownFunction, at, format!("the function {name} is not known"), hint);
        };
        let (least, most) = arity(f);
        if values.len() < least || values.len() > most {
            return fault(
                FaultClass::WrongArguments,
                at,
                format!(
                    "{name} takes {}{} and was given {}",
                    if most > least { "at least " } else { "" },
                    count(least),
                    values.len()
                ),
                "check its commas and brackets",
            );
        }
        let fixed = |v: &Val| matches!(v, Val::Num(e) if e.as_const().is_some());
        match f {
            Func::Root if matches!(values.as_slice(), [n, v] if fixed(n) && !fixed(v)) => {
                self.remark(at, format!("{name} read with its order first"));
                simple(f, values.into_iter().rev().collect(), at)
            }
            Func::OfInverse(Unary::Atan) => {
                self.remark(at, format!("{name} read as the arctangent of 1 over its argument"));
                simple(f, values, at)
            }
            Func::Log => self.log(name, values, at),
            Func::Atan if values.len() == 2 => self.angle(values, at, self.style.square),
            Func::Two(Binary::Atan2) => {
                let swap = self.style.sheet && name == "ATAN2";
                if swap {
                    self.remark(at, "ATAN2(x, y) read as sheets have it: x first");
                }
                self.angle(values, at, swap)
            }
            Func::Square if name.eq_ignore_ascii_case("sqr") => {
                self.remark(at, format!("{name} read as the square, not the root"));
                simple(f, values, at)
            }
            Func::Two(Binary::Mod) if name == "remainder" && self.style.c_like => {
                self.remark(at, "remainder read as what is left beside the nearest multiple, as in C");
                simple(Func::Nearest, values, at)
            }
            Func::Sinc => {
                self.remark(at, "sinc read as sin(x)/x");
                simple(f, values, at)
            }
            Func::OfDegrees(_) => {
                self.remark(at, format!("{name} read as a function of an angle in degrees"));
                simple(f, values, at)
            }
            _ => simple(f, values, at),
        }
    }

    fn angle(&mut self, values: Vec<Val>, at: Span, swap: bool) -> Read<Val> {
        let [a, b] = two(values, at)?;
        let (a, b) = if swap { (b, a) } else { (a, b) };
        pairwise(a, b, at, |a, b| Expr::binary(Binary::Atan2, a, b))
    }

    fn log(&mut self, name: &str, mut values: Vec<Val>, at: Span) -> Read<Val> {
        if values.len() == 2 {
            let fixed = |v: &Val| matches!(v, Val::Num(e) if e.as_const().is_some());
            let first = !self.style.code && fixed(&values[0]) && !fixed(&values[1]);
            if self.style.square || first {
                values.reverse();
            }
            if !self.style.square && !self.style.code {
                let which = if first { "first" } else { "second" };
                self.remark(at, format!("{name} read with its base as the {which} of the two"));
            }
            return self.logarithm(values, at);
        }
        if self.style.sheet && name == "LOG" {
            self.remark(at, "LOG read as the logarithm to base 10, as sheets have it");
            values.push(Val::num(10.0));
            return self.logarithm(values, at);
        }
        self.remark(at, "log read as the natural logarithm");
        let v = values.pop().unwrap_or(Val::num(1.0));
        each(v, at, |e| Expr::unary(Unary::Ln, e))
    }

    fn logarithm(&mut self, values: Vec<Val>, at: Span) -> Read<Val> {
        let [a, base] = two(values, at)?;
        if let Val::Num(b) = &base
            && b.as_const().is_some_and(|b| b <= 0.0 || b == 1.0)
        {
            return fault(
                FaultClass::NoValue,
                at,
                "a logarithm has no such base",
                "the base is greater than 0 and not 1",
            );
        }
        pairwise(a, base, at, |a, b| Expr::unary(Unary::Ln, a) / Expr::unary(Unary::Ln, b))
    }
}

/// The least and greatest number of arguments.
fn arity(f: Func) -> (usize, usize) {
    match f {
        Func::Two(_)
        | Func::Rem
        | Func::Above
        | Func::Nearest
        | Func::Step
        | Func::Distance
        | Func::Dot
        | Func::Cross => (2, 2),
        Func::Root => (1, 2),
        Func::Log | Func::Atan | Func::Heaviside => (1, 2),
        Func::Least
        | Func::Greatest
        | Func::Hypot
        | Func::Vector(_)
        | Func::Sum
        | Func::Product
        | Func::Length => (1, 4000),
        Func::Matrix(_) => (1, 9),
        Func::Determinant => (1, 16),
        Func::Clamp | Func::Mix | Func::Smoothstep | Func::If => (3, 3),
        Func::Pi => (0, 0),
        _ => (1, 1),
    }
}

fn two(values: Vec<Val>, at: Span) -> Read<[Val; 2]> {
    <[Val; 2]>::try_from(values)
        .or_else(|_| fault(FaultClass::WrongArguments, at, "two arguments belong here", "check the commas"))
}

fn three(values: Vec<Val>, at: Span) -> Read<[Val; 3]> {
    <[Val; 3]>::try_from(values)
        .or_else(|_| fault(FaultClass::WrongArguments, at, "three arguments belong here", "check the commas"))
}

fn one(mut values: Vec<Val>) -> Val {
    values.pop().unwrap_or(Val::num(0.0))
}

fn c(x: f64) -> Expr {
    Expr::constant(x)
}

/// sin(x)/x, and 1 at 0.
fn sinc(e: Expr) -> Expr {
    let zero = -Expr::unary(Unary::Abs, e.clone());
    Expr::select(zero, Expr::unary(Unary::Sin, e.clone()) / e, c(1.0))
}

fn simple(f: Func, values: Vec<Val>, at: Span) -> Read<Val> {
    let un = |u: Unary| move |e: Expr| Expr::unary(u, e);
    match f {
        Func::One(u) => each(one(values), at, un(u)),
        Func::Atan => each(one(values), at, un(Unary::Atan)),
        Func::Log => each(one(values), at, un(Unary::Ln)),
        Func::Inverse(u) => each(one(values), at, |e| c(1.0) / Expr::unary(u, e)),
        Func::OfDegrees(u) => each(one(values), at, |e| Expr::unary(u, e * (std::f64::consts::PI / 180.0))),
        Func::OfInverse(u) => each(one(values), at, |e| Expr::unary(u, c(1.0) / e)),
        Func::LogBase(b) => each(one(values), at, |e| Expr::unary(Unary::Ln, e) / c(b).ln_of()),
        Func::Log1p => each(one(values), at, |e| Expr::unary(Unary::Ln, c(1.0) + e)),
        Func::Expm1 => each(one(values), at, |e| Expr::unary(Unary::Exp, e) - c(1.0)),
        Func::Exp2 => each(one(values), at, |e| c(2.0).pow(e)),
        Func::Trunc => each(one(values), at, truncated),
        Func::Fract => each(one(values), at, |e| e.clone() - Expr::unary(Unary::Floor, e)),
        Func::Saturate => each(one(values), at, |e| e.max(c(0.0)).min(c(1.0))),
        // A second number is the value at 0 alone.
        Func::Heaviside => {
            each(values.into_iter().next().unwrap_or(Val::num(0.0)), at, |e| Expr::select(e, c(0.0), c(1.0)))
        }
        Func::Sinc => each(one(values), at, sinc),
        Func::SincPi => each(one(values), at, |e| sinc(e * std::f64::consts::PI)),
        Func::Square => each(one(values), at, |e| e.clone() * e),
        Func::InverseRoot => each(one(values), at, |e| c(1.0) / e.sqrt()),
        Func::Degrees => each(one(values), at, |e| e * (180.0 / std::f64::consts::PI)),
        Func::Radians => each(one(values), at, |e| e * (std::f64::consts::PI / 180.0)),
        Func::Same => Ok(one(values)),
        Func::Pi => Ok(Val::num(std::f64::consts::PI)),
        Func::Two(b) => {
            let [p, q] = two(values, at)?;
            if b == Binary::Mod {
                zero_free(&q, at)?;
            }
            pairwise(p, q, at, |p, q| Expr::binary(b, p, q))
        }
        Func::Rem => {
            let [p, q] = two(values, at)?;
            zero_free(&q, at)?;
            pairwise(p, q, at, remainder)
        }
        Func::Above => {
            let [p, q] = two(values, at)?;
            zero_free(&q, at)?;
            pairwise(p, q, at, |p, q| Expr::binary(Binary::Mod, p, Expr::unary(Unary::Abs, q)))
        }
        Func::Nearest => {
            let [p, q] = two(values, at)?;
            zero_free(&q, at)?;
            pairwise(p, q, at, |p, q| {
                let whole = Expr::unary(Unary::Round, p.clone() / q.clone());
                p - q * whole
            })
        }
        Func::Root => root(values, at),
        Func::Least => extreme(values, at, Binary::Min),
        Func::Greatest => extreme(values, at, Binary::Max),
        Func::Hypot | Func::Length => {
            let parts = flat(values, at)?;
            Ok(Val::Num(vectors::length(Val::Vec(parts), at)?))
        }
        Func::Sum => Ok(Val::Num(total(flat(values, at)?))),
        Func::Product => Ok(Val::Num(vectors::fold(flat(values, at)?, 64, Binary::Mul, 1.0))),
        Func::Factorial => {
            fault(FaultClass::Unsupported, at, "n! is read for whole numbers only", "write the number itself")
        }
        _ => several(f, values, at),
    }
}

fn several(f: Func, values: Vec<Val>, at: Span) -> Read<Val> {
    match f {
        Func::Clamp => {
            let [v, lo, hi] = three(values, at)?;
            let v = pairwise(v, lo, at, Expr::max)?;
            pairwise(v, hi, at, Expr::min)
        }
        Func::Mix => {
            let [a, b, t] = three(values, at)?;
            let d = pairwise(b, a.clone(), at, |b, a| b - a)?;
            let d = pairwise(d, t, at, |d, t| d * t)?;
            pairwise(a, d, at, |a, d| a + d)
        }
        Func::Step => {
            let [edge, v] = two(values, at)?;
            pairwise(v, edge, at, |v, e| Expr::select(v - e, c(0.0), c(1.0)))
        }
        Func::Smoothstep => {
            let [a, b, v] = three(values, at)?;
            let d = pairwise(v, a.clone(), at, |v, a| v - a)?;
            let w = pairwise(b, a, at, |b, a| b - a)?;
            zero_free(&w, at)?;
            let t = pairwise(d, w, at, |d, w| (d / w).max(c(0.0)).min(c(1.0)))?;
            each(t, at, |t| t.clone() * t.clone() * (c(3.0) - c(2.0) * t))
        }
        Func::Distance => {
            let [a, b] = two(values, at)?;
            let d = pairwise(a, b, at, |a, b| a - b)?;
            Ok(Val::Num(vectors::length(d, at)?))
        }
        Func::Dot => {
            let [a, b] = two(values, at)?;
            Ok(Val::Num(vectors::dot(a, b, at)?))
        }
        Func::Cross => {
            let [a, b] = two(values, at)?;
            vectors::cross(a, b, at)
        }
        Func::Normalize => {
            let v = one(values);
            let l = vectors::length(v.clone(), at)?;
            each(v, at, |e| e / l.clone())
        }
        Func::Vector(n) => {
            let mut parts = flat(values, at)?;
            let n = usize::from(n);
            if n > 0 && parts.len() == 1 {
                parts = vec![parts[0].clone(); n];
            }
            if n > 0 && parts.len() != n {
                return fault(
                    FaultClass::WrongArguments,
                    at,
                    format!("a vector of {n} components was given {}", parts.len()),
                    "give one number for all, or one for each",
                );
            }
            Ok(Val::Vec(parts))
        }
        Func::Matrix(n) => {
            let parts = flat(values, at)?;
            let n = usize::from(n);
            if parts.len() != n * n {
                return fault(
                    FaultClass::WrongArguments,
                    at,
                    format!("this matrix needs {} numbers", n * n),
                    "give them column by column",
                );
            }
            Ok(Val::Mat(parts.chunks(n).map(<[Expr]>::to_vec).collect()))
        }
        Func::Determinant => vectors::determinant(values, at),
        Func::If => {
            let [t, a, b] = three(values, at)?;
            choose(t, a, b, at)
        }
        _ => fault(FaultClass::Unsupported, at, "this function is not worked out here", "write it out"),
    }
}

fn root(mut values: Vec<Val>, at: Span) -> Read<Val> {
    let order = if values.len() == 2 { values.pop() } else { None };
    let v = one(values);
    let Some(order) = order else { return each(v, at, Expr::sqrt) };
    let n = order.scalar(at)?;
    let Some(k) = n.as_const() else { return each(v, at, |e| e.pow(c(1.0) / n.clone())) };
    if k == 0.0 {
        return fault(
            FaultClass::DivisionByZero,
            at,
            "the root of order 0 divides by 0",
            "a root's order is 2 or more",
        );
    }
    each(v, at, |e| match k {
        2.0 => e.sqrt(),
        3.0 => Expr::unary(Unary::Cbrt, e),
        k if k.rem_euclid(2.0) == 1.0 => {
            Expr::unary(Unary::Sign, e.clone()) * Expr::unary(Unary::Abs, e).pow(c(1.0 / k))
        }
        k => e.pow(c(1.0 / k)),
    })
}

fn extreme(mut values: Vec<Val>, at: Span, op: Binary) -> Read<Val> {
    if values.len() == 1 {
        let parts = one(values).parts(at)?;
        return Ok(Val::Num(vectors::fold(parts, 64, op, 0.0)));
    }
    if values.len() > 64 && values.iter().all(|v| matches!(v, Val::Num(_))) {
        return Ok(Val::Num(vectors::fold(flat(values, at)?, 64, op, 0.0)));
    }
    let mut acc = values.remove(0);
    for v in values {
        acc = pairwise(acc, v, at, |a, b| Expr::binary(op, a, b))?;
    }
    Ok(acc)
}

fn flat(values: Vec<Val>, at: Span) -> Read<Vec<Expr>> {
    let mut parts = Vec::new();
    for v in values {
        parts.extend(v.parts(at)?);
    }
    Ok(parts)
}

fn zero_free(v: &Val, at: Span) -> Read<()> {
    let parts = v.clone().parts(at)?;
    if parts.iter().any(|e| e.as_const() == Some(0.0)) {
        return fault(FaultClass::DivisionByZero, at, "this divides by 0", "the divisor is 0 everywhere");
    }
    Ok(())
}

trait LnOf {
    fn ln_of(self) -> Self;
}

impl LnOf for Expr {
    fn ln_of(self) -> Self {
        Self::unary(Unary::Ln, self)
    }
}

/// Whether a function is the least or greatest of all that it is given.
fn is_extreme(name: &str) -> bool {
    matches!(functions::function(name), Some(functions::Func::Least | functions::Func::Greatest))
}
