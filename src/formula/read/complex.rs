//! Complex numbers where a real one is taken of them: Re(...), Im(...), |...| and arg(...), as pairs of real expressions.

use super::clauses::is_axis;
use super::faults::{FaultClass, Read, Span, fault};
use super::functions::{Func, function};
use super::names::Known;
use super::places::children;
use super::style::Style;
use super::token::*;
use super::tree::{Join, Node, Part};
use super::values::Values;
use super::vectors::Val;
use crate::formula::{Binary, Expr, Unary};

/// Real and imaginary part.
type Pair = (Expr, Expr);

/// Whole powers up to this are written as products.
const MOST: f64 = 64.0;

/// Names of the functions that take a real number of a complex one.
pub(super) fn takes_part(name: &str) -> bool {
    matches!(name, "Re" | "Im" | "imag" | "arg")
}

fn square(e: &Expr) -> Expr {
    e.clone() * e.clone()
}

fn size((a, b): &Pair) -> Expr {
    (square(a) + square(b)).sqrt()
}

fn angle((a, b): &Pair) -> Expr {
    Expr::binary(Binary::Atan2, b.clone(), a.clone())
}

fn one(f: Unary, e: &Expr) -> Expr {
    Expr::unary(f, e.clone())
}

fn zero() -> Expr {
    Expr::constant(0.0)
}

fn is_zero(e: &Expr) -> bool {
    e.as_const() == Some(0.0)
}

/// A product without needless parts.
fn product(a: &Expr, b: &Expr) -> Expr {
    match (a.as_const(), b.as_const()) {
        (Some(0.0), _) | (_, Some(0.0)) => zero(),
        (Some(1.0), _) => b.clone(),
        (_, Some(1.0)) => a.clone(),
        _ => a.clone() * b.clone(),
    }
}

/// A sum without needless parts.
fn sum(a: Expr, b: Expr) -> Expr {
    match (is_zero(&a), is_zero(&b)) {
        (true, _) => b,
        (_, true) => a,
        _ => a + b,
    }
}

fn times((a, b): &Pair, (c, d): &Pair) -> Pair {
    let (ac, bd) = (product(a, c), product(b, d));
    let real = if is_zero(&bd) { ac } else { sum(ac, -bd) };
    (real, sum(product(a, d), product(b, c)))
}

fn over(p: &Pair, (c, d): &Pair) -> Pair {
    if is_zero(d) {
        return (p.0.clone() / c.clone(), p.1.clone() / c.clone());
    }
    let (a, b) = times(p, &(c.clone(), -d.clone()));
    let whole = square(c) + square(d);
    (a / whole.clone(), b / whole)
}

fn exponential((a, b): &Pair) -> Pair {
    let grown = one(Unary::Exp, a);
    (grown.clone() * one(Unary::Cos, b), grown * one(Unary::Sin, b))
}

/// A whole power by squaring.
fn whole_power(base: &Pair, n: u32) -> Pair {
    let mut out = (Expr::constant(1.0), zero());
    let (mut n, mut p) = (n, base.clone());
    while n > 0 {
        if n % 2 == 1 {
            out = times(&out, &p);
        }
        n /= 2;
        if n > 0 {
            p = times(&p, &p);
        }
    }
    out
}

/// A real power: by its angle, which is that between -π and π.
fn real_power(base: &Pair, power: &Expr) -> Pair {
    let grown = size(base).pow(power.clone());
    let turned = angle(base) * power.clone();
    (grown.clone() * one(Unary::Cos, &turned), grown * one(Unary::Sin, &turned))
}

/// sin, cos, sinh and cosh of a + ib.
fn wave(f: Unary, (a, b): &Pair) -> Option<Pair> {
    let [sin, cos, sinh, cosh] = [Unary::Sin, Unary::Cos, Unary::Sinh, Unary::Cosh];
    Some(match f {
        Unary::Sin => (one(sin, a) * one(cosh, b), one(cos, a) * one(sinh, b)),
        Unary::Cos => (one(cos, a) * one(cosh, b), -(one(sin, a) * one(sinh, b))),
        Unary::Sinh => (one(sinh, a) * one(cos, b), one(cosh, a) * one(sin, b)),
        Unary::Cosh => (one(cosh, a) * one(cos, b), one(sinh, a) * one(sin, b)),
        _ => return None,
    })
}

impl Values<'_> {
    /// A real number that is taken of a complex one, where a call does that.
    pub(super) fn part_of_complex(&mut self, name: &str, args: &[Node]) -> Read<Option<Val>> {
        let [arg] = args else { return Ok(None) };
        let known = takes_part(name) || matches!(name, "real" | "abs" | "Abs");
        if !known || !(takes_part(name) || self.imaginary) || !self.holds_unit(arg, 0) {
            return Ok(None);
        }
        let pair = self.complex(arg)?;
        Ok(Some(Val::Num(match name {
            "Re" | "real" => pair.0,
            "Im" | "imag" => pair.1,
            "arg" => angle(&pair),
            _ => size(&pair),
        })))
    }

    /// The size of a complex number between bars.
    pub(super) fn complex_size(&mut self, inside: &Node) -> Read<Option<Val>> {
        if !self.imaginary || !self.holds_unit(inside, 0) {
            return Ok(None);
        }
        Ok(Some(Val::Num(size(&self.complex(inside)?))))
    }

    /// Whether a name is the imaginary unit here.
    pub(super) fn is_unit(&self, name: &str) -> bool {
        let usual = match name {
            "i" => true,
            "I" => self.style.square || self.style.code,
            "j" => self.style.code,
            _ => false,
        };
        usual
            && !self.bindings.iter().any(|(n, _)| n == name)
            && !self.lets.contains_key(name)
            && !self.params.contains(name)
            && !self.special.contains_key(name)
            && self.definition(name).is_none()
    }

    /// Whether the imaginary unit stands in a part, or in what a name in it means.
    fn holds_unit(&self, node: &Node, depth: usize) -> bool {
        match &node.kind {
            _ if depth > 100 => false,
            Part::Name(n) if self.is_unit(n) => true,
            Part::Name(n) => match self.definition(n) {
                Some(k) => !self.busy[k] && self.holds_unit(&self.defs[k].body, depth + 20),
                None => false,
            },
            Part::Call(name, _) if takes_part(name) => false,
            _ => children(node).into_iter().any(|c| self.holds_unit(c, depth + 1)),
        }
    }

    fn complex(&mut self, node: &Node) -> Read<Pair> {
        if !self.holds_unit(node, 0) {
            return Ok((self.number(node)?, zero()));
        }
        match &node.kind {
            Part::Name(n) => self.complex_name(n, node.at),
            Part::Neg(a) => self.complex(a).map(|(a, b)| (-a, -b)),
            Part::Sum(terms) => {
                let mut all: Option<Pair> = None;
                for (minus, t) in terms {
                    let (a, b) = self.complex(t)?;
                    let (a, b) = if *minus { (-a, -b) } else { (a, b) };
                    all = Some(match all {
                        None => (a, b),
                        Some((c, d)) => (sum(c, a), sum(d, b)),
                    });
                }
                Ok(all.unwrap_or((zero(), zero())))
            }
            Part::Product(factors) => {
                let mut all = (Expr::constant(1.0), zero());
                for (join, f) in factors {
                    let p = self.complex(f)?;
                    all = match join {
                        Join::Over => over(&all, &p),
                        Join::Times | Join::Dot | Join::Cross => times(&all, &p),
                        _ => return unread(node.at),
                    };
                }
                Ok(all)
            }
            Part::Pow(a, b) => self.complex_power(a, b),
            Part::Call(name, args) => self.complex_call(name, args, node.at),
            Part::Abs(a) => Ok((size(&self.complex(a)?), zero())),
            _ => unread(node.at),
        }
    }

    fn complex_name(&mut self, name: &str, at: Span) -> Read<Pair> {
        if self.is_unit(name) {
            return Ok((zero(), Expr::constant(1.0)));
        }
        let Some(k) = self.definition(name).filter(|k| !self.busy[*k]) else { return unread(at) };
        let order = std::mem::replace(&mut self.order, self.defs[k].order);
        self.busy[k] = true;
        let defs = self.defs;
        let value = self.complex(&defs[k].body);
        self.busy[k] = false;
        self.order = order;
        value
    }

    fn complex_power(&mut self, base: &Node, power: &Node) -> Read<Pair> {
        let exponent = self.complex(power)?;
        if matches!(&base.kind, Part::Name(n) if n == "e") {
            return Ok(exponential(&exponent));
        }
        let base = self.complex(base)?;
        if !is_zero(&exponent.1) {
            // w^v = e^(v ln w)
            let log = (one(Unary::Ln, &size(&base)), angle(&base));
            return Ok(exponential(&times(&exponent, &log)));
        }
        match exponent.0.as_const() {
            Some(n) if n.fract() == 0.0 && n.abs() <= MOST => {
                let raised = whole_power(&base, n.abs() as u32);
                Ok(if n < 0.0 { over(&(Expr::constant(1.0), zero()), &raised) } else { raised })
            }
            _ => {
                self.remark(power.at, "the power of a complex number read with its angle between -π and π");
                Ok(real_power(&base, &exponent.0))
            }
        }
    }

    fn complex_call(&mut self, name: &str, args: &[Node], at: Span) -> Read<Pair> {
        let mut all = Vec::new();
        for a in args {
            all.push(self.complex(a)?);
        }
        if let ([w, v], "pow" | "power") = (args, name) {
            return self.complex_power(w, v);
        }
        let [w] = all.as_slice() else { return unread(at) };
        match (name, function(name)) {
            ("conj", _) => Ok((w.0.clone(), -w.1.clone())),
            (_, Some(Func::One(Unary::Exp))) => Ok(exponential(w)),
            (_, Some(Func::One(Unary::Tan))) => {
                let (sin, cos) = (wave(Unary::Sin, w), wave(Unary::Cos, w));
                sin.zip(cos).map_or_else(|| unread(at), |(s, c)| Ok(over(&s, &c)))
            }
            (_, Some(Func::One(Unary::Tanh))) => {
                let (sinh, cosh) = (wave(Unary::Sinh, w), wave(Unary::Cosh, w));
                sinh.zip(cosh).map_or_else(|| unread(at), |(s, c)| Ok(over(&s, &c)))
            }
            (_, Some(Func::One(Unary::Ln) | Func::Log)) => Ok((one(Unary::Ln, &size(w)), angle(w))),
            (_, Some(Func::One(Unary::Sqrt))) => Ok(real_power(w, &Expr::constant(0.5))),
            (_, Some(Func::One(Unary::Abs))) => Ok((size(w), zero())),
            (_, Some(Func::Square)) => Ok(times(w, w)),
            (_, Some(Func::One(f))) => wave(f, w).map_or_else(|| unread(at), Ok),
            _ => unread(at),
        }
    }
}

/// Whether the imaginary unit seems to stand here, `x + i y`: a letter i without a value, beside a coordinate and not
/// counted by a sum; in code `1j` and `2i`.
pub(super) fn imaginary(tokens: &[Token], known: &Known, style: Style) -> bool {
    let is = |t: &Token, n: &str| t.tok == Tok::Name(n.into());
    let axis = |t: &Token| matches!(&t.tok, Tok::Name(n) if is_axis(n));
    if style.code {
        let glued = |w: &[Token]| {
            let unit = ["i", "j"].iter().any(|n| is(&w[1], n) && !known.defined.contains(*n));
            matches!(w[0].tok, Tok::Num(..)) && w[1].gap == Gap::None && unit
        };
        return tokens.windows(2).any(glued);
    }
    let named = |n: &str| tokens.iter().any(|t| t.is_word(n));
    let counted = tokens.iter().any(|t| matches!(t.sym(), Some('∑' | '∏'))) || named("sum") || named("for");
    let unit = if style.square && named("I") { "I" } else { "i" };
    if known.defined.contains(unit) || counted || named("j") || !named(unit) {
        return false;
    }
    let plain: Vec<&Token> =
        tokens.iter().filter(|t| !matches!(t.sym(), Some('*' | '·' | '(' | '{' | '-'))).collect();
    let turns = |p: &[&Token]| is(p[0], "e") && p[1].is('^') && is(p[2], unit);
    plain.windows(3).any(turns)
        || plain.windows(2).any(|p| is(p[0], unit) && axis(p[1]) || is(p[1], unit) && axis(p[0]))
}

fn unread<T>(at: Span) -> Read<T> {
    fault(
        FaultClass::Unsupported,
        at,
        "this is not worked out for complex numbers here",
        "write real and imaginary parts out",
    )
}

#[cfg(test)]
mod tests {
    use crate::formula::read;

    #[test]
    fn real_numbers_of_complex_ones_are_worked_out() {
        let [x, y, z] = [0.3f64, -0.7, 1.1];
        let cube = x * x * x - 3.0 * x * y * y;
        let square = (x * x - y * y, 2.0 * x * y);
        for (text, want) in [
            ("z = Re((x+iy)^3)", z - cube),
            ("z = Re (x+iy)^3", z - cube),
            (r"z=\Re\left((x+iy)^n\right),\ n=3", z - cube),
            ("z = ℜ(w³), w = x + iy", z - cube),
            ("Im[(x+iy)^2] + z^2 = 1", square.1 + z * z - 1.0),
            ("z = |(x+iy)^2 - 1|", z - (square.0 - 1.0).hypot(square.1)),
            ("z = arg(x + i y)", z - y.atan2(x)),
            ("z = Re(1/(x+iy))", z - x / (x * x + y * y)),
            ("z = Re(e^{i x} + e^{i y})", z - x.cos() - y.cos()),
            ("z = Re(sin(x+iy))", z - x.sin() * y.cosh()),
            ("z = Re sqrt(x + i y)", z - ((x.hypot(y) + x) / 2.0).sqrt()),
            ("Re[(x + I y)^3] == z", cube - z),
            ("np.real((x + 1j*y)**3) - z", cube - z),
            ("np.abs((x + 1j*y)**2) - z", square.0.hypot(square.1) - z),
        ] {
            let r = read(text).unwrap_or_else(|f| panic!("{text}: {f}"));
            let got = r.at(&[x, y, z], &[]).unwrap()[0];
            assert!((got - want).abs() < 1e-12, "{text}: {got} for {want}");
        }
        for text in ["z = (x+iy)^2", "z = x + i y", "z = |x| + i y"] {
            assert!(read(text).unwrap_err().what.contains("imaginary unit"), "{text}");
        }
    }
}
