//! Choices between values: what of an equation before `?` or `if` belongs to the choice.

use super::tree::{Node, Part, Sign};

/// Whether the part is a comparison, or several joined.
pub(super) fn is_condition(node: &Node) -> bool {
    matches!(node.kind, Part::Compare(..) | Part::And(..) | Part::Or(..) | Part::Not(_))
}

/// The left side of `z = x > 0` before a `?`, and the condition that is left; no side where there is no such equation.
pub(super) fn behind_equals(node: Node) -> (Option<Node>, Node) {
    match parted(&node) {
        Some((left, test)) => (Some(left), test),
        None => (None, node),
    }
}

fn parted(node: &Node) -> Option<(Node, Node)> {
    let join = |a: &Node, b: &Node| -> Option<(Node, Box<Node>, Box<Node>)> {
        let (left, test) = parted(a)?;
        Some((left, Box::new(test), Box::new(b.clone())))
    };
    match &node.kind {
        Part::And(a, b) => join(a, b).map(|(l, a, b)| (l, Node { kind: Part::And(a, b), at: node.at })),
        Part::Or(a, b) => join(a, b).map(|(l, a, b)| (l, Node { kind: Part::Or(a, b), at: node.at })),
        Part::Compare(left, rest) => match rest.as_slice() {
            [(Sign::Equal, one)] if is_condition(one) => Some(((**left).clone(), one.clone())),
            [(Sign::Equal, first), more @ ..] if !more.is_empty() => {
                let kind = Part::Compare(Box::new(first.clone()), more.to_vec());
                Some(((**left).clone(), Node { kind, at: node.at }))
            }
            _ => None,
        },
        _ => None,
    }
}

/// The left side of `z = x^2` before an `if`, and the value that is left.
pub(super) fn value_behind_equals(node: Node) -> (Option<Node>, Node) {
    match &node.kind {
        Part::Compare(left, rest) => match rest.as_slice() {
            [(Sign::Equal, one)] => (Some((**left).clone()), one.clone()),
            _ => (None, node),
        },
        _ => (None, node),
    }
}

/// The choice, or the equation of it with a left side.
pub(super) fn equal_to(left: Option<Node>, choice: Node) -> Node {
    match left {
        None => choice,
        Some(left) => {
            let at = left.at.join(choice.at);
            Node { kind: Part::Compare(Box::new(left), vec![(Sign::Equal, choice)]), at }
        }
    }
}

/// The rows of `piecewise(condition, value, …, value)`: the last value may stand alone.
fn alternating(args: Vec<Node>) -> Option<Vec<(Node, Option<Node>)>> {
    let mut rows = Vec::new();
    let mut args = args.into_iter();
    while let Some(test) = args.next() {
        match args.next() {
            Some(value) if is_condition(&test) => rows.push((value, Some(test))),
            None if !rows.is_empty() => rows.push((test, None)),
            _ => return None,
        }
    }
    Some(rows)
}

/// The rows of `Piecewise((value, condition), …)`, also in a list with a value for elsewhere behind it; the condition
/// `True` is none.
pub(super) fn rows(mut args: Vec<Node>) -> Option<Vec<(Node, Option<Node>)>> {
    if args.first().is_some_and(is_condition) {
        return alternating(args);
    }
    let listed = matches!(&args.first()?.kind, Part::Tuple(rows)
        if rows.iter().all(|r| matches!(&r.kind, Part::Tuple(pair) if pair.len() == 2)));
    if listed && args.len() <= 2 {
        let other = if args.len() == 2 { args.pop() } else { None };
        let Part::Tuple(inside) = args.pop()?.kind else { return None };
        let mut rows = rows(inside)?;
        rows.extend(other.map(|value| (value, None)));
        return Some(rows);
    }
    let count = args.len();
    let row = |(k, n): (usize, Node)| match n.kind {
        kind if k > 0 && k + 1 == count && !matches!(kind, Part::Tuple(_)) => {
            Some((Node { kind, at: n.at }, None))
        }
        Part::Tuple(mut pair) if pair.len() == 2 => {
            let test = pair.pop()?;
            let sure = matches!(&test.kind, Part::Name(n) if n == "True");
            Some((pair.pop()?, (!sure).then_some(test)))
        }
        _ => None,
    };
    let rows: Vec<_> = args.into_iter().enumerate().map(row).collect::<Option<_>>()?;
    (!rows.is_empty()).then_some(rows)
}
