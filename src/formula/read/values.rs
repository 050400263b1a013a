//! The tree of a formula becomes expressions: names get their values, vectors fall apart into components.

use std::collections::{BTreeMap, BTreeSet};

use super::faults::{FaultClass, Read, Span, fault};
use super::reading::Remark;
use super::roots;
use super::style::Style;
use super::tree::{Join, Node, Part, Sign};
use super::vectors::{self, Val, each, pairwise, total};
use crate::formula::walk::in_order;
use crate::formula::{Binary, Expr, Unary};

/// A name or function that the text defines.
#[derive(Clone, Debug)]
pub struct Definition {
    /// Its name.
    pub name: String,
    /// Its arguments; empty for a plain value.
    pub args: Vec<String>,
    /// Its meaning.
    pub body: Node,
    /// Its place among all statements.
    pub order: usize,
}

/// Works out values.
pub struct Values<'a> {
    pub(super) defs: &'a [Definition],
    pub(super) lets: &'a BTreeMap<String, f64>,
    /// Names that the kind of formula gives a meaning: polar coordinates, the point.
    pub special: BTreeMap<String, Val>,
    /// Names that stay names although they look like something else.
    pub params: BTreeSet<String>,
    /// Names without a value, in order of appearance.
    pub free: Vec<String>,
    pub(super) style: Style,
    /// The text uses the imaginary unit.
    pub imaginary: bool,
    /// Choices made.
    pub remarks: Vec<Remark>,
    pub(super) bindings: Vec<(String, Val)>,
    pub(super) memo: Vec<Option<Val>>,
    pub(super) busy: Vec<bool>,
    vars: BTreeMap<String, Expr>,
    pub(super) order: usize,
    depth: usize,
    work: u32,
}

/// Nested calls and definitions that are worked out at most.
const DEEPEST: usize = 400;
/// Parts that are worked out at most, counting repeats.
const MOST_WORK: u32 = 300_000;
/// Depth of the graph at most.
const DEEPEST_GRAPH: u32 = 1200;
/// Terms of a sum over a range at most.
const MOST_TERMS: f64 = 2000.0;

impl<'a> Values<'a> {
    /// Nothing worked out yet.
    pub fn new(defs: &'a [Definition], lets: &'a BTreeMap<String, f64>, style: Style) -> Self {
        Self {
            defs,
            lets,
            special: BTreeMap::new(),
            params: BTreeSet::new(),
            free: Vec::new(),
            style,
            imaginary: false,
            remarks: Vec::new(),
            bindings: Vec::new(),
            memo: vec![None; defs.len()],
            busy: vec![false; defs.len()],
            vars: BTreeMap::new(),
            order: 0,
            depth: 0,
            work: 0,
        }
    }

    /// The value of a part that stands at a place among the statements.
    ///
    /// # Errors
    /// Whatever has no real value.
    pub fn of(&mut self, node: &Node, order: usize) -> Read<Val> {
        self.order = order;
        self.value(node)
    }

    pub(super) fn remark(&mut self, at: Span, what: impl Into<String>) {
        let remark = Remark { what: what.into(), at: at.range() };
        if !self.remarks.iter().any(|r| r.what == remark.what) {
            self.remarks.push(remark);
        }
    }

    pub(super) fn var(&mut self, name: &str) -> Expr {
        self.vars.entry(name.to_owned()).or_insert_with(|| Expr::var(name)).clone()
    }

    pub(super) fn value(&mut self, node: &Node) -> Read<Val> {
        self.depth += 1;
        self.work += 1;
        if self.depth > DEEPEST {
            return fault(
                FaultClass::TooDeep,
                node.at,
                "definitions and brackets are nested too deep here",
                "use fewer steps",
            );
        }
        if self.work > MOST_WORK {
            return fault(
                FaultClass::TooLong,
                node.at,
                "this takes too much work to write out",
                "shorten its sums and functions",
            );
        }
        let v = self.part(node)?;
        self.depth -= 1;
        checked(v, node)
    }

    fn part(&mut self, node: &Node) -> Read<Val> {
        let at = node.at;
        Ok(match &node.kind {
            Part::Num(x) => Val::num(*x),
            Part::Name(n) => self.name(n, at)?,
            Part::Sum(terms) => self.sum(terms, at)?,
            Part::Product(factors) => self.product(factors, at)?,
            Part::Neg(a) => match self.value(a)? {
                Val::Mat(m) => Val::Mat(m.into_iter().map(|c| c.into_iter().map(|e| -e).collect()).collect()),
                v => each(v, at, |e| -e)?,
            },
            Part::Pow(a, b) => self.power(a, b, at)?,
            Part::Call(name, args) => self.call(name, args, at)?,
            Part::Tuple(items) => {
                let mut all = Vec::new();
                for item in items {
                    all.extend(self.value(item)?.parts(item.at)?);
                }
                Val::Vec(all)
            }
            Part::Swizzle(a, letters) => {
                let v = self.value(a)?;
                vectors::swizzle(v, letters, at)?
            }
            Part::Abs(a) | Part::Norm(a) if self.imaginary => match self.complex_size(a)? {
                Some(size) => size,
                None => Val::Num(vectors::length(self.value(a)?, at)?),
            },
            Part::Abs(a) => match self.value(a)? {
                v @ Val::Vec(_) if !self.style.code => Val::Num(vectors::length(v, at)?),
                v => each(v, at, |e| Expr::unary(Unary::Abs, e))?,
            },
            Part::Norm(a) => {
                let v = self.value(a)?;
                Val::Num(vectors::length(v, at)?)
            }
            Part::Factorial(a) => {
                let n = self.number(a)?;
                factorial(n, at)?
            }
            Part::Compare(a, rest) => self.compare(a, rest, at)?,
            Part::Choose(test, a, b) => {
                let t = self.value(test)?;
                let (a, b) = (self.value(a)?, self.value(b)?);
                choose(t, a, b, at)?
            }
            Part::Cases(rows) => self.cases(rows, at)?,
            Part::And(a, b) => {
                let (a, b) = (self.condition(a)?, self.condition(b)?);
                Val::Truth(a.max(b), false)
            }
            Part::Or(a, b) => {
                let (a, b) = (self.condition(a)?, self.condition(b)?);
                Val::Truth(a.min(b), false)
            }
            Part::Not(a) => match self.value(a)? {
                Val::Truth(t, flip) => Val::Truth(t, !flip),
                v => Val::Truth(v.test(at)?, true),
            },
            Part::Over(product, index, low, high, body) => {
                self.over(*product, index, [low, high, body], at)?
            }
        })
    }

    /// What "and" or "or" joins; only code takes a number for a condition.
    fn condition(&mut self, node: &Node) -> Read<Expr> {
        let value = self.value(node)?;
        if !self.style.code && matches!(value, Val::Num(_)) {
            return fault(
                FaultClass::Relation,
                node.at,
                "a number stands here where \"and\" or \"or\" joins conditions",
                "join inequalities: x < 1 and y < 1",
            );
        }
        value.test(node.at)
    }

    /// Says that a condition counts as a number, as code has it and formulas seldom do.
    pub(super) fn note_count(&mut self, value: &Val, at: Span) {
        if !self.style.code && matches!(value, Val::Truth(..)) {
            self.remark(at, "a condition among numbers read as 1 where it holds and 0 elsewhere");
        }
    }

    /// A part as an expression.
    pub(super) fn number(&mut self, node: &Node) -> Read<Expr> {
        self.value(node)?.scalar(node.at)
    }

    fn sum(&mut self, terms: &[(bool, Node)], at: Span) -> Read<Val> {
        let mut values = Vec::with_capacity(terms.len());
        for (minus, t) in terms {
            let v = self.value(t)?;
            self.note_count(&v, t.at);
            values.push((*minus, v));
        }
        if values.iter().any(|(_, v)| matches!(v, Val::Vec(_))) || values.len() <= 64 {
            let mut all = values.into_iter();
            let Some((minus, first)) = all.next() else { return Ok(Val::num(0.0)) };
            let mut acc = if minus { each(first, at, |e| -e)? } else { first };
            for (minus, v) in all {
                acc = match minus {
                    true => pairwise(acc, v, at, |a, b| a - b)?,
                    false => pairwise(acc, v, at, |a, b| a + b)?,
                };
            }
            return Ok(acc);
        }
        let mut all = Vec::with_capacity(values.len());
        for (minus, v) in values {
            let e = v.scalar(at)?;
            all.push(if minus { -e } else { e });
        }
        Ok(Val::Num(total(all)))
    }

    fn product(&mut self, factors: &[(Join, Node)], at: Span) -> Read<Val> {
        if factors.len() > 64 {
            let mut all = Vec::with_capacity(factors.len());
            for (join, node) in factors {
                let e = self.number(node)?;
                all.push(match join {
                    Join::Over => {
                        not_zero(&e, node.at)?;
                        Expr::constant(1.0) / e
                    }
                    Join::Mod | Join::FloorOver => {
                        return fault(
                            FaultClass::TooLong,
                            at,
                            "this product is too long to hold a remainder",
                            "use brackets",
                        );
                    }
                    _ => e,
                });
            }
            return Ok(Val::Num(vectors::fold(all, 64, Binary::Mul, 1.0)));
        }
        let mut acc: Option<Val> = None;
        for (join, node) in factors {
            let b = self.value(node)?;
            self.note_count(&b, node.at);
            let Some(a) = acc.take() else {
                acc = Some(b);
                continue;
            };
            acc = Some(self.joined(*join, a, b, at, node.at)?);
        }
        Ok(acc.unwrap_or(Val::num(1.0)))
    }

    fn joined(&mut self, join: Join, a: Val, b: Val, at: Span, place: Span) -> Read<Val> {
        let both = matches!((&a, &b), (Val::Vec(_), Val::Vec(_)));
        Ok(match join {
            Join::Dot if both => Val::Num(vectors::dot(a, b, at)?),
            Join::Cross if both => vectors::cross(a, b, at)?,
            Join::Times | Join::Dot | Join::Cross => vectors::times(a, b, at)?,
            Join::Over | Join::FloorOver => {
                for e in b.clone().parts(place)? {
                    not_zero(&e, place)?;
                }
                let q = pairwise(a, b, at, |a, b| a / b)?;
                if join == Join::FloorOver { each(q, at, |e| Expr::unary(Unary::Floor, e))? } else { q }
            }
            Join::Mod => {
                for e in b.clone().parts(place)? {
                    not_zero(&e, place)?;
                }
                if self.style.truncates {
                    self.remark(at, "the remainder keeps the sign of its first number, as in C");
                    pairwise(a, b, at, remainder)?
                } else {
                    if self.style.code && !self.style.python {
                        let what = "% read as the remainder, which is never below 0 where the divisor is above; in C it keeps the sign of its first number";
                        self.remark(at, what);
                    }
                    pairwise(a, b, at, |a, b| Expr::binary(Binary::Mod, a, b))?
                }
            }
        })
    }

    fn power(&mut self, a: &Node, b: &Node, at: Span) -> Read<Val> {
        let exponent = self.number(b)?;
        let euler = matches!(&a.kind, Part::Name(n) if n == "e") && self.is_euler();
        if euler {
            return Ok(Val::Num(Expr::unary(Unary::Exp, exponent)));
        }
        let base = self.value(a)?;
        if let (Val::Num(e), Some(p)) = (&base, exponent.as_const())
            && e.as_const() == Some(0.0)
            && p < 0.0
        {
            return fault(
                FaultClass::DivisionByZero,
                at,
                "a negative power of 0 divides by 0",
                "check the base",
            );
        }
        if matches!(base, Val::Vec(_)) && exponent.as_const() == Some(2.0) && !self.style.code {
            self.remark(at, "the square of a vector read as its length squared");
            return Ok(Val::Num(vectors::dot(base.clone(), base, at)?));
        }
        if let Some((p, q)) = roots::odd_root(b) {
            if base.clone().parts(at)?.iter().any(|e| !roots::never_negative(e)) {
                self.remark(at, roots::REAL);
            }
            return each(base, at, |e| roots::real_power(e, p, q));
        }
        each(base, at, |e| e.pow(exponent.clone()))
    }

    fn is_euler(&self) -> bool {
        !self.lets.contains_key("e")
            && !self.defs.iter().any(|d| d.name == "e")
            && !self.bindings.iter().any(|(n, _)| n == "e")
    }

    /// `(x, y) = (0, 0)`: all components are equal; `≠` is the opposite.
    fn compare_points(&mut self, points: [&[Node]; 2], equal: bool, at: Span) -> Read<Val> {
        let mut all: Option<Expr> = None;
        for (a, b) in points[0].iter().zip(points[1]) {
            let sign = if equal { Sign::Equal } else { Sign::Unequal };
            let one = self.compare(a, &[(sign, b.clone())], at)?.test(at)?;
            all = Some(match all {
                None => one,
                Some(before) if equal => before.max(one),
                Some(before) => before.min(one),
            });
        }
        all.map_or_else(
            || fault(FaultClass::Incomplete, at, "these points have no components", "write both as (0, 0)"),
            |test| Ok(Val::Truth(test, false)),
        )
    }

    fn compare(&mut self, a: &Node, rest: &[(Sign, Node)], at: Span) -> Read<Val> {
        if let (Part::Tuple(p), [(sign @ (Sign::Equal | Sign::Unequal), b)]) = (&a.kind, rest)
            && let Part::Tuple(q) = &b.kind
            && p.len() == q.len()
        {
            return self.compare_points([p, q], *sign == Sign::Equal, at);
        }
        let mut left = self.number(a)?;
        let mut all: Option<Val> = None;
        for (sign, node) in rest {
            let right = self.number(node)?;
            let difference = |a: &Expr, b: &Expr| a.clone() - b.clone();
            let one = match sign {
                Sign::Less => Val::Truth(difference(&left, &right), false),
                Sign::Greater => Val::Truth(difference(&right, &left), false),
                Sign::AtMost => Val::Truth(difference(&right, &left), true),
                Sign::AtLeast => Val::Truth(difference(&left, &right), true),
                Sign::Equal => Val::Truth(-Expr::unary(Unary::Abs, difference(&left, &right)), true),
                Sign::Unequal => Val::Truth(-Expr::unary(Unary::Abs, difference(&left, &right)), false),
            };
            all = Some(match all {
                None => one,
                Some(before) => Val::Truth(before.test(at)?.max(one.test(at)?), false),
            });
            left = right;
        }
        all.map_or_else(
            || {
                fault(
                    FaultClass::Incomplete,
                    at,
                    "a comparison needs two sides",
                    "write what stands on the other side",
                )
            },
            Ok,
        )
    }

    fn cases(&mut self, rows: &[(Node, Option<Node>)], at: Span) -> Read<Val> {
        let mut acc: Option<Val> = None;
        for (k, (value, test)) in rows.iter().enumerate().rev() {
            let v = self.value(value)?;
            acc = Some(match (acc, test) {
                (None, None) => v,
                (None, Some(_)) if k > 0 => {
                    self.remark(value.at, "the last case holds wherever no other does");
                    v
                }
                (None, Some(_)) => v,
                (Some(rest), Some(test)) => {
                    let t = self.value(test)?;
                    choose(t, v, rest, at)?
                }
                (Some(_), None) => {
                    return fault(
                        FaultClass::Incomplete,
                        value.at,
                        "this case has no condition",
                        "only the last case may stand without one",
                    );
                }
            });
        }
        acc.map_or_else(
            || fault(FaultClass::Incomplete, at, "there are no cases", "write value, condition"),
            Ok,
        )
    }

    fn over(&mut self, product: bool, index: &str, [low, high, body]: [&Node; 3], at: Span) -> Read<Val> {
        let end = |e: Expr, n: &Node| match e.as_const() {
            Some(x) if x.is_finite() => Ok(x),
            _ => fault(
                FaultClass::Unsupported,
                n.at,
                "the ends of a range must be numbers",
                "give its ends a value",
            ),
        };
        let (a, b) = (self.number(low)?, self.number(high)?);
        let (a, b) = (end(a, low)?, end(b, high)?);
        if b - a >= MOST_TERMS {
            return fault(
                FaultClass::TooLong,
                at,
                format!("this sum has more than {MOST_TERMS} terms"),
                "a few terms usually decide the shape",
            );
        }
        let mut terms = Vec::new();
        let mut k = a;
        while k <= b + 1e-9 {
            self.bindings.push((index.to_owned(), Val::num(k)));
            let v = self.number(body);
            self.bindings.pop();
            terms.push(v?);
            k += 1.0;
        }
        let (op, empty) = if product { (Binary::Mul, 1.0) } else { (Binary::Add, 0.0) };
        Ok(Val::Num(vectors::fold(terms, 64, op, empty)))
    }
}

/// "1 argument", "2 arguments".
pub fn count(n: usize) -> String {
    format!("{n} argument{}", if n == 1 { "" } else { "s" })
}

/// a - b·trunc(a/b)
pub fn remainder(a: Expr, b: Expr) -> Expr {
    let q = a.clone() / b.clone();
    a - b * truncated(q)
}

/// Towards nought.
pub fn truncated(q: Expr) -> Expr {
    Expr::unary(Unary::Sign, q.clone()) * Expr::unary(Unary::Floor, Expr::unary(Unary::Abs, q))
}

/// One of two values by a condition, componentwise.
pub fn choose(test: Val, a: Val, b: Val, at: Span) -> Read<Val> {
    let (t, a, b) = match test {
        Val::Truth(t, true) => (t, b, a),
        other => (other.test(at)?, a, b),
    };
    if let (Val::Truth(..), Val::Truth(..)) = (&a, &b) {
        return Ok(Val::Truth(Expr::select(t, a.test(at)?, b.test(at)?), false));
    }
    pairwise(a, b, at, |a, b| Expr::select(t.clone(), a, b))
}

fn not_zero(e: &Expr, at: Span) -> Read<()> {
    match e.as_const() {
        Some(0.0) => fault(
            FaultClass::DivisionByZero,
            at,
            "this divides by 0",
            "the divisor is 0 everywhere; check what stands below the line",
        ),
        _ => Ok(()),
    }
}

fn factorial(n: Expr, at: Span) -> Read<Val> {
    match n.as_const() {
        Some(k) if (0.0..=170.0).contains(&k) && k.fract() == 0.0 => {
            Ok(Val::num((1..=k as u32).map(f64::from).product()))
        }
        _ => fault(
            FaultClass::Unsupported,
            at,
            "n! is read for whole numbers up to 170 only",
            "write the number itself",
        ),
    }
}

/// Refuses constants that are not real numbers, and graphs that are too deep to walk.
/// Refuses numbers inside that are not finite: `1e308*1e308*x`.
pub(super) fn all_finite(exprs: &[&Expr], at: Span) -> Read<()> {
    let bad = |e: &Expr| e.as_const().is_some_and(|n| !n.is_finite());
    match in_order(exprs.iter().copied()).iter().any(bad) {
        true => fault(
            FaultClass::NoValue,
            at,
            "a number in this formula is not finite when it is worked out",
            "numbers reach to about 1e308: check its powers and products",
        ),
        false => Ok(()),
    }
}

fn checked(v: Val, node: &Node) -> Read<Val> {
    let bad = |e: &Expr| e.as_const().is_some_and(|x| !x.is_finite()) || e.depth() > DEEPEST_GRAPH;
    let found = match &v {
        Val::Num(e) | Val::Truth(e, _) => bad(e).then(|| e.clone()),
        Val::Vec(v) => v.iter().find(|e| bad(e)).cloned(),
        Val::Mat(m) => m.iter().flatten().find(|e| bad(e)).cloned(),
    };
    match found {
        None => Ok(v),
        Some(e) if e.depth() > DEEPEST_GRAPH => fault(
            FaultClass::TooDeep,
            node.at,
            "the formula is nested too deep",
            "use fewer steps from line to line",
        ),
        Some(e) => fault(
            FaultClass::NoValue,
            node.at,
            if e.as_const().is_some_and(f64::is_nan) {
                "this has no real value"
            } else {
                "this has no finite value"
            },
            "check its signs: roots and logarithms need positive numbers",
        ),
    }
}
