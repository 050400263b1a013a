//! The normal form: a reading printed in our own plain notation, which the reader reads back to the same function.
//!
//! Products have their sign, functions their brackets, numbers all their digits. Parts that are used more than once, or
//! lie deep, get a line of their own: `h1 = ...`.

use std::collections::HashMap;
use std::fmt::Write as _;

use super::expr::{Binary, Expr, Op, Unary, arguments};
use super::read::{Kind, Relation};
use super::walk::{in_order, names};

/// Depth at which a part gets a line of its own.
const DEEP: u32 = 24;
/// Length of text from which a part that is used twice gets a line of its own.
const LONG: usize = 24;

/// The normal form of what was read.
pub fn normal(kind: &Kind, sides: &Sides) -> String {
    let mut printer = Printer::default();
    match (kind, sides) {
        (Kind::Field { .. }, Sides::Between(low, f, high)) => {
            printer.prepare(&[low, f, high]);
            let (l, f, h) = (printer.show(low), printer.show(f), printer.show(high));
            printer.finish(&format!("{l} < {f} < {h}"))
        }
        (Kind::Field { value, relation }, _) => {
            printer.prepare(&[value]);
            let v = printer.show(value);
            printer.finish(&match relation {
                Relation::None => v,
                Relation::Equal => format!("{v} = 0"),
                Relation::Less | Relation::Between => format!("{v} < 0"),
                Relation::Greater => format!("0 > {v}"),
            })
        }
        (Kind::Curve { components, param, range }, _) => {
            printer.prepare(&components.iter().collect::<Vec<_>>());
            let c: Vec<String> = components.iter().map(|e| printer.show(e)).collect();
            let r = clause(param, range);
            printer.finish(&format!("{}({param}) = ({}){r}", head(components), c.join(", ")))
        }
        (Kind::Surface { components, params, ranges }, _) => {
            printer.prepare(&components.iter().collect::<Vec<_>>());
            let c: Vec<String> = components.iter().map(|e| printer.show(e)).collect();
            let r: String = params.iter().zip(ranges).map(|(p, r)| clause(p, r)).collect();
            printer.finish(&format!("{}({}) = ({}){r}", head(components), params.join(", "), c.join(", ")))
        }
    }
}

/// The three parts of a double inequality, which the value alone does not show.
#[derive(Clone, Debug)]
pub enum Sides {
    /// Not a double inequality.
    Other,
    /// `low < f < high`
    Between(Expr, Expr, Expr),
}

/// A name for the place on a curve or surface that no parameter has.
fn head(components: &[Expr; 3]) -> &'static str {
    let taken = names(components);
    ["r", "c", "q"].into_iter().find(|n| !taken.iter().any(|t| t == n)).unwrap_or("place")
}

fn clause(param: &str, range: &Option<(f64, f64)>) -> String {
    match range {
        Some((a, b)) => format!(", {} <= {param} <= {}", number(*a), number(*b)),
        None => String::new(),
    }
}

/// A number with all its digits.
fn number(x: f64) -> String {
    if x.fract() == 0.0 && x.abs() < 1e15 { format!("{x}") } else { format!("{x:?}") }
}

#[derive(Default)]
struct Printer {
    uses: HashMap<usize, u32>,
    names: HashMap<usize, String>,
    texts: HashMap<usize, (String, u8, u32)>,
    lines: Vec<String>,
    prefix: String,
}

/// How strongly a text holds together.
const SUM: u8 = 1;
const PRODUCT: u8 = 2;
const SIGNED: u8 = 3;
const POWER: u8 = 4;
const ATOM: u8 = 5;

impl Printer {
    /// Prints every node once, in the order of needs.
    fn prepare(&mut self, roots: &[&Expr]) {
        let taken = names(roots.iter().copied());
        self.prefix = "h".into();
        while taken
            .iter()
            .any(|n| n.strip_prefix(self.prefix.as_str()).is_some_and(|r| r.parse::<u32>().is_ok()))
        {
            self.prefix.push('h');
        }
        let nodes = in_order(roots.iter().copied());
        for e in &nodes {
            for a in arguments(e.op()) {
                *self.uses.entry(a.address()).or_default() += 1;
            }
        }
        for r in roots {
            *self.uses.entry(r.address()).or_default() += 1;
        }
        for e in &nodes {
            let (text, strength, depth) = self.print(e);
            let shared = self.uses.get(&e.address()).is_some_and(|n| *n > 1) && text.len() > LONG;
            if shared || depth > DEEP || text.len() > 1000 {
                let name = format!("{}{}", self.prefix, self.lines.len() + 1);
                self.lines.push(format!("{name} = {text}"));
                self.names.insert(e.address(), name.clone());
                self.texts.insert(e.address(), (name, ATOM, 1));
            } else {
                self.texts.insert(e.address(), (text, strength, depth));
            }
        }
    }

    fn show(&self, e: &Expr) -> String {
        self.texts.get(&e.address()).map_or(String::new(), |(t, ..)| t.clone())
    }

    fn finish(self, last: &str) -> String {
        let mut out = String::new();
        for l in &self.lines {
            let _ = writeln!(out, "{l}");
        }
        out.push_str(last);
        out
    }

    fn part(&self, e: &Expr, least: u8) -> String {
        match self.texts.get(&e.address()) {
            Some((t, strength, _)) if *strength >= least => t.clone(),
            Some((t, ..)) => format!("({t})"),
            None => String::new(),
        }
    }

    /// A later term of a sum with its sign: a negative number changes it.
    fn term(&self, e: &Expr, adds: bool) -> String {
        let (adds, text) = match e.op() {
            Op::Const(x) if *x < 0.0 => (!adds, number(-x)),
            _ => (adds, self.part(e, PRODUCT)),
        };
        format!("{} {text}", if adds { '+' } else { '-' })
    }

    fn print(&self, e: &Expr) -> (String, u8, u32) {
        let depth = 1 + arguments(e.op())
            .filter_map(|a| self.texts.get(&a.address()))
            .map(|t| t.2)
            .max()
            .unwrap_or(0);
        let (text, strength) = match e.op() {
            Op::Const(x) if *x < 0.0 || (*x == 0.0 && x.is_sign_negative()) => (number(*x), SIGNED),
            Op::Const(x) => (number(*x), ATOM),
            Op::Var(n) => (n.to_string(), ATOM),
            Op::Unary(Unary::Neg, a) => (format!("-{}", self.part(a, POWER)), SIGNED),
            Op::Unary(f, a) => (format!("{}({})", unary_name(*f), self.part(a, 0)), ATOM),
            Op::Binary(f, a, b) => match f {
                Binary::Add => (format!("{} {}", self.part(a, SUM), self.term(b, true)), SUM),
                Binary::Sub => (format!("{} {}", self.part(a, SUM), self.term(b, false)), SUM),
                Binary::Mul => (format!("{}*{}", self.part(a, PRODUCT), self.part(b, POWER)), PRODUCT),
                Binary::Div => (format!("{}/{}", self.part(a, PRODUCT), self.part(b, POWER)), PRODUCT),
                Binary::Pow => (format!("{}^{}", self.part(a, ATOM), self.part(b, ATOM)), POWER),
                Binary::Min | Binary::Max | Binary::Atan2 | Binary::Mod => {
                    let name = match f {
                        Binary::Min => "min",
                        Binary::Max => "max",
                        Binary::Atan2 => "atan2",
                        _ => "mod",
                    };
                    (format!("{name}({}, {})", self.part(a, 0), self.part(b, 0)), ATOM)
                }
            },
            Op::Select(t, a, b) => {
                (format!("if({} < 0, {}, {})", self.part(t, SUM), self.part(a, 0), self.part(b, 0)), ATOM)
            }
            Op::Oracle(_, part, [a, b, c]) => {
                let name = if *part == 0 { "distance" } else { "slope" };
                (format!("{name}({}, {}, {})", self.part(a, 0), self.part(b, 0), self.part(c, 0)), ATOM)
            }
        };
        (text, strength, depth)
    }
}

fn unary_name(f: Unary) -> &'static str {
    match f {
        Unary::Neg => "-",
        Unary::Abs => "abs",
        Unary::Sign => "sign",
        Unary::Sqrt => "sqrt",
        Unary::Cbrt => "cbrt",
        Unary::Exp => "exp",
        Unary::Ln => "ln",
        Unary::Sin => "sin",
        Unary::Cos => "cos",
        Unary::Tan => "tan",
        Unary::Asin => "asin",
        Unary::Acos => "acos",
        Unary::Atan => "atan",
        Unary::Sinh => "sinh",
        Unary::Cosh => "cosh",
        Unary::Tanh => "tanh",
        Unary::Asinh => "asinh",
        Unary::Acosh => "acosh",
        Unary::Atanh => "atanh",
        Unary::Floor => "floor",
        Unary::Ceil => "ceil",
        Unary::Round => "round",
    }
}
