//! Walks over expressions: names replaced by expressions, names found.

use std::collections::{BTreeSet, HashMap};

use super::FormFault;
use crate::formula::{Expr, Op};

fn arguments(e: &Expr) -> Vec<Expr> {
    match e.op() {
        Op::Const(_) | Op::Var(_) => vec![],
        Op::Unary(_, a) => vec![a.clone()],
        Op::Binary(_, a, b) => vec![a.clone(), b.clone()],
        Op::Select(a, b, c) | Op::Oracle(_, _, [a, b, c]) => vec![a.clone(), b.clone(), c.clone()],
    }
}

/// Every node once, arguments before the nodes that use them; without recursion.
pub(crate) fn nodes(roots: &[&Expr]) -> Vec<Expr> {
    let mut order = Vec::new();
    let mut seen = std::collections::HashSet::new();
    for root in roots {
        let mut stack = vec![((*root).clone(), false)];
        while let Some((e, ready)) = stack.pop() {
            if ready {
                order.push(e);
            } else if seen.insert(e.address()) {
                stack.push((e.clone(), true));
                stack.extend(arguments(&e).into_iter().map(|a| (a, false)));
            }
        }
    }
    order
}

/// The expression with each name of the list replaced; other names stay. Shared nodes stay shared.
pub fn substitute(e: &Expr, names: &[(&str, Expr)]) -> Expr {
    substitute_all(&[e], names).pop().unwrap_or_else(|| e.clone())
}

/// [`substitute`] for several expressions that may share nodes.
pub fn substitute_all(roots: &[&Expr], names: &[(&str, Expr)]) -> Vec<Expr> {
    let mut made: HashMap<usize, Expr> = HashMap::new();
    for e in nodes(roots) {
        let arg = |a: &Expr| made.get(&a.address()).cloned().unwrap_or_else(|| a.clone());
        let new = match e.op() {
            Op::Const(_) => e.clone(),
            Op::Var(name) => {
                names.iter().find(|(n, _)| *n == &**name).map_or_else(|| e.clone(), |(_, to)| to.clone())
            }
            Op::Unary(f, a) => Expr::unary(*f, arg(a)),
            Op::Binary(f, a, b) => Expr::binary(*f, arg(a), arg(b)),
            Op::Select(a, b, c) => Expr::select(arg(a), arg(b), arg(c)),
            Op::Oracle(o, part, [a, b, c]) => Expr::oracle_part(o.clone(), *part, [arg(a), arg(b), arg(c)]),
        };
        made.insert(e.address(), new);
    }
    roots.iter().map(|r| made.get(&r.address()).cloned().unwrap_or_else(|| (*r).clone())).collect()
}

/// The names that occur, in alphabetical order.
pub fn names(roots: &[&Expr]) -> BTreeSet<String> {
    nodes(roots)
        .iter()
        .filter_map(|e| match e.op() {
            Op::Var(n) => Some(n.to_string()),
            _ => None,
        })
        .collect()
}

/// A fault when a name occurs that is not in the list.
pub(crate) fn only_names(e: &Expr, allowed: &[&str]) -> Result<(), FormFault> {
    match names(&[e]).into_iter().find(|n| !allowed.contains(&n.as_str())) {
        Some(n) => Err(FormFault::FreeName(n)),
        None => Ok(()),
    }
}
