//! Names in expressions: replaced by expressions, or refused.

use super::FormFault;
use crate::formula::{Expr, Op};

/// The expression with each name of the list replaced, all at once; other names stay.
pub fn substitute(e: &Expr, names: &[(&str, Expr)]) -> Expr {
    e.substitute(|n| names.iter().find(|(m, _)| *m == n).map(|(_, to)| to.clone()))
}

/// Every node under the roots once, arguments before the nodes that use them; without recursion.
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
                match e.op() {
                    Op::Const(_) | Op::Var(_) => {}
                    Op::Unary(_, a) => stack.push((a.clone(), false)),
                    Op::Binary(_, a, b) => stack.extend([a, b].map(|a| (a.clone(), false))),
                    Op::Select(a, b, c) | Op::Oracle(_, _, [a, b, c]) => {
                        stack.extend([a, b, c].map(|a| (a.clone(), false)));
                    }
                }
            }
        }
    }
    order
}

/// A fault when a name occurs that is not in the list.
pub(crate) fn only_names(e: &Expr, allowed: &[&str]) -> Result<(), FormFault> {
    match e.names().into_iter().find(|n| !allowed.contains(&n.as_str())) {
        Some(n) => Err(FormFault::FreeName(n)),
        None => Ok(()),
    }
}
