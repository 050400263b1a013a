//! Walks over a graph without recursion: order, names, count, substitution.

use std::collections::{HashMap, HashSet};

use super::expr::{Binary, Expr, Op, Unary, arguments};
use super::tape::Tape;
use crate::base::Box3;

/// Every distinct node under `roots`, arguments before their users, left before right.
pub fn in_order<'a>(roots: impl IntoIterator<Item = &'a Expr>) -> Vec<Expr> {
    order(roots, |e| arguments(e.op()).rev().collect())
}

/// Every distinct node under `roots`, arguments before their users, the deepest argument first: in this order few
/// values wait for their use at any time. Source: Sethi and Ullman, J. ACM 17 (1970) 715.
pub(super) fn deepest_first<'a>(roots: impl IntoIterator<Item = &'a Expr>) -> Vec<Expr> {
    order(roots, |e| {
        let mut list: Vec<&Expr> = arguments(e.op()).rev().collect();
        list.sort_by_key(|a| a.depth());
        list
    })
}

/// A walk that takes the arguments of a node from the end of the list that `pending` gives.
fn order<'a>(roots: impl IntoIterator<Item = &'a Expr>, pending: impl Fn(&Expr) -> Vec<&Expr>) -> Vec<Expr> {
    let mut order = Vec::new();
    let mut seen: HashSet<usize> = HashSet::new();
    let mut stack: Vec<(&Expr, bool)> = roots.into_iter().map(|e| (e, false)).collect();
    stack.reverse();
    while let Some((e, ready)) = stack.pop() {
        if ready {
            order.push(e.clone());
        } else if seen.insert(e.address()) {
            stack.push((e, true));
            stack.extend(pending(e).into_iter().map(|a| (a, false)));
        }
    }
    order
}

/// Free names under `roots` in order of appearance, each once.
pub(super) fn names<'a>(roots: impl IntoIterator<Item = &'a Expr>) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    for e in in_order(roots) {
        if let Op::Var(name) = e.op()
            && !names.iter().any(|n| **n == **name)
        {
            names.push(name.to_string());
        }
    }
    names
}

impl Expr {
    /// Free names in order of appearance, each once.
    pub fn names(&self) -> Vec<String> {
        names([self])
    }

    /// The value with names looked up, NaN where it has none; an oracle has none here.
    ///
    /// # Errors
    /// The name that has no value.
    pub fn value(&self, lookup: &dyn Fn(&str) -> Option<f64>) -> Result<f64, String> {
        let mut known: HashMap<usize, f64> = HashMap::new();
        for e in in_order([self]) {
            let get = |a: &Self| known.get(&a.address()).copied().unwrap_or(f64::NAN);
            let value = match e.op() {
                Op::Const(x) => *x,
                Op::Var(name) => lookup(name).ok_or_else(|| name.to_string())?,
                Op::Unary(f, a) => f.of(get(a)),
                Op::Binary(f, a, b) => f.of(get(a), get(b)),
                Op::Select(test, a, b) => get(if get(test) < 0.0 { a } else { b }),
                Op::Oracle(..) => f64::NAN,
            };
            known.insert(e.address(), value);
        }
        Ok(known.get(&self.address()).copied().unwrap_or(f64::NAN))
    }

    /// True when a function in it may have no value somewhere (a root, a logarithm, an arc sine, a power that is not
    /// whole), as far as bounds over all of space can tell.
    pub fn is_partial(&self) -> bool {
        in_order([self]).iter().any(|e| match e.op() {
            Op::Unary(Unary::Sqrt | Unary::Ln, a) => !a.stays_within(0.0, f64::INFINITY),
            Op::Unary(Unary::Asin | Unary::Acos | Unary::Atanh, a) => !a.stays_within(-1.0, 1.0),
            Op::Unary(Unary::Acosh, a) => !a.stays_within(1.0, f64::INFINITY),
            Op::Binary(Binary::Pow, a, power) => {
                power.as_const().is_none_or(|k| k.fract() != 0.0) && !a.stays_within(0.0, f64::INFINITY)
            }
            _ => false,
        })
    }

    fn stays_within(&self, least: f64, most: f64) -> bool {
        let space = Box3::cube(f64::INFINITY);
        Tape::new(self).is_ok_and(|t| {
            let range = t.bounds(space);
            least <= range.lo && range.hi <= most
        })
    }

    /// How thin the thinnest part is, as far as its oracles tell ([`super::Oracle::thinnest`]).
    pub fn thinnest(&self) -> f64 {
        let told = |e: &Self| match e.op() {
            Op::Oracle(o, 0, _) => o.thinnest(),
            _ => f64::INFINITY,
        };
        in_order([self]).iter().map(told).fold(f64::INFINITY, f64::min)
    }

    /// The number of distinct nodes.
    pub fn count(&self) -> usize {
        in_order([self]).len()
    }

    /// The expression with each name of the list replaced, all at once; other names stay.
    pub fn with(&self, names: &[(&str, Self)]) -> Self {
        self.substitute(|n| names.iter().find(|(m, _)| *m == n).map(|(_, to)| to.clone()))
    }

    /// The expression with every name for which `value` gives one replaced, all at once.
    pub fn substitute(&self, value: impl Fn(&str) -> Option<Self>) -> Self {
        self.rewritten(|e| if let Op::Var(name) = e.op() { value(name) } else { None })
    }

    /// The expression with one of its nodes replaced by another expression.
    pub fn replaced(&self, node: &Self, by: &Self) -> Self {
        self.rewritten(|e| (e.address() == node.address()).then(|| by.clone()))
    }

    /// The expression with every node for which `other` gives one replaced, all at once.
    fn rewritten(&self, other: impl Fn(&Self) -> Option<Self>) -> Self {
        let mut new: HashMap<usize, Self> = HashMap::new();
        for e in in_order([self]) {
            let of = |a: &Self| new.get(&a.address()).cloned().unwrap_or_else(|| a.clone());
            let kept = arguments(e.op()).all(|a| of(a).address() == a.address());
            let made = other(&e).unwrap_or_else(|| if kept { e.clone() } else { rebuilt(e.op(), of) });
            new.insert(e.address(), made);
        }
        new.remove(&self.address()).unwrap_or_else(|| self.clone())
    }

    /// The nodes at which it may turn sharply, arguments before their users: absolute values, minima and maxima, but for
    /// those that are zero where they turn and only read to a power of 2 or more.
    pub fn kinks(&self) -> Vec<Self> {
        let order = in_order([self]);
        let mut sharp: HashSet<usize> = HashSet::from([self.address()]);
        for e in order.iter().filter(|e| !is_power(e)) {
            sharp.extend(arguments(e.op()).map(Self::address));
        }
        let is_zero = |e: &Self| e.as_const() == Some(0.0);
        order
            .into_iter()
            .filter(|e| match e.op() {
                Op::Unary(Unary::Abs, _) => sharp.contains(&e.address()),
                Op::Binary(Binary::Min | Binary::Max, a, b) => {
                    sharp.contains(&e.address()) || !(is_zero(a) || is_zero(b))
                }
                _ => false,
            })
            .collect()
    }
}

/// True for a square and for a power of 2 or more.
fn is_power(e: &Expr) -> bool {
    match e.op() {
        Op::Binary(Binary::Mul, a, b) => a.address() == b.address(),
        Op::Binary(Binary::Pow, _, k) => k.as_const().is_some_and(|k| k >= 2.0),
        _ => false,
    }
}

/// The same operation on other arguments.
fn rebuilt(op: &Op, of: impl Fn(&Expr) -> Expr) -> Expr {
    match op {
        Op::Const(c) => Expr::constant(*c),
        Op::Var(name) => Expr::var(name),
        Op::Unary(f, a) => Expr::unary(*f, of(a)),
        Op::Binary(f, a, b) => Expr::binary(*f, of(a), of(b)),
        Op::Select(t, a, b) => Expr::select(of(t), of(a), of(b)),
        Op::Oracle(o, part, [a, b, c]) => Expr::oracle_part(o.clone(), *part, [of(a), of(b), of(c)]),
    }
}
