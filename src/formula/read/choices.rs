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

/// The rows of `Piecewise((value, condition), …)`; the condition `True` is none.
pub(super) fn rows(args: Vec<Node>) -> Option<Vec<(Node, Option<Node>)>> {
    let row = |n: Node| match n.kind {
        Part::Tuple(mut pair) if pair.len() == 2 => {
            let test = pair.pop()?;
            let sure = matches!(&test.kind, Part::Name(n) if n == "True");
            Some((pair.pop()?, (!sure).then_some(test)))
        }
        _ => None,
    };
    let rows: Vec<_> = args.into_iter().map(row).collect::<Option<_>>()?;
    (!rows.is_empty()).then_some(rows)
}
