//! Walks over the graph that visit each node once: names, values, replacements.

use std::collections::HashMap;

use crate::formula::{Expr, Op};

/// The nodes of a graph, each after those it needs.
pub fn ordered(roots: &[&Expr]) -> Vec<Expr> {
    let mut seen = std::collections::HashSet::new();
    let mut out = Vec::new();
    let mut stack: Vec<(Expr, bool)> = roots.iter().rev().map(|e| ((*e).clone(), false)).collect();
    while let Some((e, ready)) = stack.pop() {
        if ready {
            out.push(e);
            continue;
        }
        if !seen.insert(e.address()) {
            continue;
        }
        let args: Vec<Expr> = arguments(&e).into_iter().cloned().collect();
        stack.push((e, true));
        stack.extend(args.into_iter().rev().map(|a| (a, false)));
    }
    out
}

/// The arguments of a node.
pub fn arguments(e: &Expr) -> Vec<&Expr> {
    match e.op() {
        Op::Const(_) | Op::Var(_) => vec![],
        Op::Unary(_, a) => vec![a],
        Op::Binary(_, a, b) => vec![a, b],
        Op::Select(a, b, c) | Op::Oracle(_, _, [a, b, c]) => vec![a, b, c],
    }
}

/// The names in a graph, in the order in which they are met.
pub fn names(roots: &[&Expr]) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    for e in ordered(roots) {
        if let Op::Var(n) = e.op()
            && !out.iter().any(|m| **m == **n)
        {
            out.push(n.to_string());
        }
    }
    out
}

/// The value of a graph, names looked up.
///
/// # Errors
/// The name that has no value.
pub fn value(e: &Expr, lookup: &dyn Fn(&str) -> Option<f64>) -> Result<f64, String> {
    let mut known: HashMap<usize, f64> = HashMap::new();
    for e in ordered(&[e]) {
        let get = |a: &Expr| known.get(&a.address()).copied().unwrap_or(f64::NAN);
        let v = match e.op() {
            Op::Const(x) => *x,
            Op::Var(n) => lookup(n).ok_or_else(|| n.to_string())?,
            Op::Unary(f, a) => f.of(get(a)),
            Op::Binary(f, a, b) => f.of(get(a), get(b)),
            Op::Select(t, a, b) => {
                if get(t) < 0.0 {
                    get(a)
                } else {
                    get(b)
                }
            }
            Op::Oracle(..) => f64::NAN,
        };
        known.insert(e.address(), v);
    }
    Ok(known.get(&e.address()).copied().unwrap_or(f64::NAN))
}

/// The graph with names replaced.
pub fn replace(e: &Expr, with: &dyn Fn(&str) -> Option<Expr>) -> Expr {
    let mut known: HashMap<usize, Expr> = HashMap::new();
    for e in ordered(&[e]) {
        let get = |a: &Expr| known.get(&a.address()).unwrap_or(a).clone();
        let new = match e.op() {
            Op::Var(n) => with(n).unwrap_or_else(|| e.clone()),
            Op::Unary(f, a) => Expr::unary(*f, get(a)),
            Op::Binary(f, a, b) => Expr::binary(*f, get(a), get(b)),
            Op::Select(a, b, c) => Expr::select(get(a), get(b), get(c)),
            Op::Const(_) | Op::Oracle(..) => e.clone(),
        };
        known.insert(e.address(), new);
    }
    known.get(&e.address()).unwrap_or(e).clone()
}
