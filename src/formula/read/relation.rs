//! Fields from equations and inequalities.

use super::choices::is_condition;
use super::clauses::is_axis;
use super::faults::{FaultClass, Read, Span, fault};
use super::kinds::Context2;
use super::reading::{Kind, Relation};
use super::tree::{Node, Part, Sign};
use super::values::Values;
use crate::formula::normal::Sides;
use crate::formula::walk::in_order;
use crate::formula::{Binary, Expr, Op, Unary};

pub(super) fn relation(
    first: &Node,
    rest: &[(Sign, Node)],
    order: usize,
    node: &Node,
    values: &mut Values,
    cx: &mut Context2,
) -> Read<(Kind, Sides)> {
    let mut sides = vec![values.of(first, order)?];
    for (_, n) in rest {
        let side = values.of(n, order)?;
        values.note_count(&side, n.at);
        sides.push(side);
    }
    let mut scalars = Vec::new();
    for (k, v) in sides.into_iter().enumerate() {
        let at = if k == 0 { first.at } else { rest[k - 1].1.at };
        scalars.push(v.scalar(at)?);
    }
    let field = |value: Expr, relation: Relation| Ok((Kind::Field { value, relation }, Sides::Other));
    let signs: Vec<Sign> = rest.iter().map(|(s, _)| *s).collect();
    match signs.as_slice() {
        [Sign::Equal] if same_everywhere(&scalars[0], &scalars[1]) => fault(
            FaultClass::NoShape,
            node.at,
            "both sides are equal everywhere, so this is no surface",
            "check the two sides; was one of them copied twice?",
        ),
        [Sign::Equal] => field(difference(&scalars[0], &scalars[1]), Relation::Equal),
        [Sign::Less | Sign::AtMost] => field(difference(&scalars[0], &scalars[1]), Relation::Less),
        [Sign::Greater | Sign::AtLeast] => field(difference(&scalars[1], &scalars[0]), Relation::Greater),
        [Sign::Less | Sign::AtMost, Sign::Less | Sign::AtMost] => {
            told_if_empty(&scalars[0], &scalars[2], node.at, cx);
            Ok(between(&scalars[0], &scalars[1], &scalars[2]))
        }
        [Sign::Greater | Sign::AtLeast, Sign::Greater | Sign::AtLeast] => {
            told_if_empty(&scalars[2], &scalars[0], node.at, cx);
            Ok(between(&scalars[2], &scalars[1], &scalars[0]))
        }
        signs if signs.len() > 2 && rising(signs) => {
            cx.remark(node.at, "several comparisons in a row read as the solid where all of them hold");
            field(all_hold(&scalars), Relation::Less)
        }
        signs if signs.len() > 2 && rising(&opposed(signs)) => {
            cx.remark(node.at, "several comparisons in a row read as the solid where all of them hold");
            scalars.reverse();
            field(all_hold(&scalars), Relation::Less)
        }
        signs if signs.contains(&Sign::Unequal) => fault(
            FaultClass::Relation,
            node.at,
            "≠ (!=) describes everything but a surface, which is no shape",
            "use = for the surface, < or > for a solid",
        ),
        [Sign::Equal, Sign::Equal] if scalars[2].as_const().is_some() && plain_name(first, values) => {
            let name = scalars[0].names();
            values.free.retain(|n| !name.contains(n));
            field(difference(&scalars[1], &scalars[2]), Relation::Equal)
        }
        _ => {
            cx.remark(node.at, "several relations in one line");
            fault(
                FaultClass::Relation,
                node.at,
                "these relations in a row describe no single surface or solid",
                "write one =, one < or >, or low < f < high",
            )
        }
    }
}

/// Places where two sides are compared: near, far, on both sides of every plane of coordinates.
const SPREAD: [[f64; 3]; 6] = [
    [0.31, -0.72, 1.13],
    [-1.41, 0.57, -0.39],
    [2.73, 1.83, -3.17],
    [-7.3, -5.9, 8.1],
    [0.011, -0.023, -0.017],
    [61.0, -47.0, 53.0],
];

/// Whether a quotient in the expressions has a divisor that is 0 at places all over space, whatever values names have:
/// `1/(x - x)`.
pub(super) fn divides_by_nothing(exprs: &[&Expr]) -> bool {
    /// Divisors that are deeper than this are not looked into: nobody writes such a nought.
    const DEEPEST: u32 = 8;
    let places = || [1.0, 1e3, -1e3, 1e-3].iter().flat_map(|far| SPREAD.map(|place| place.map(|c| c * far)));
    let nought = |e: &Expr| {
        places().zip(1..).all(|(place, n)| {
            let coordinate = |name: &str| ["x", "y", "z"].iter().position(|a| *a == name);
            let other = 1.37 + 0.61 * f64::from(n);
            e.value(&|name: &str| Some(coordinate(name).map_or(other, |k| place[k]))) == Ok(0.0)
        })
    };
    in_order(exprs.iter().copied()).iter().any(|e| match e.op() {
        Op::Binary(Binary::Div, _, below) => below.depth() <= DEEPEST && nought(below),
        _ => false,
    })
}

/// Whether two sides have the same values at places all over space, whatever values names have.
fn same_everywhere(a: &Expr, b: &Expr) -> bool {
    let difference = a.clone() - b.clone();
    let at = |place: &[f64; 3]| {
        let coordinate = |name: &str| ["x", "y", "z"].iter().position(|n| *n == name);
        difference.value(&|name: &str| Some(coordinate(name).map_or(1.37, |k| place[k])))
    };
    difference.names().iter().any(|n| is_axis(n))
        && SPREAD.iter().all(|place| at(place).is_ok_and(|v| v == 0.0))
}

/// A condition with every `not` carried to its comparisons; a boundary counts as neither side, so that `≤` is `<`.
pub(super) fn without_not(node: &Node) -> Node {
    let both = |a: &Node, b: &Node| (Box::new(without_not(a)), Box::new(without_not(b)));
    let kind = match &node.kind {
        Part::Not(a) => return opposite(a),
        Part::And(a, b) => {
            let (a, b) = both(a, b);
            Part::And(a, b)
        }
        Part::Or(a, b) => {
            let (a, b) = both(a, b);
            Part::Or(a, b)
        }
        Part::Choose(test, a, b) if is_condition(a) && is_condition(b) => {
            let (a, b) = both(a, b);
            Part::Choose(test.clone(), a, b)
        }
        Part::Compare(first, rest) => Part::Compare(first.clone(), rest.iter().map(strict).collect()),
        _ => return node.clone(),
    };
    Node { kind, at: node.at }
}

/// A table of inequalities without values, `{ x² + y² ≤ 1, 0 ≤ z ≤ 2`, as where all of them hold.
pub(super) fn all_of_table(node: &Node) -> Option<Node> {
    let Part::Cases(rows) = &node.kind else { return None };
    let plain = |s: &Sign| !matches!(s, Sign::Equal | Sign::Unequal);
    let inequality = |(value, test): &(Node, Option<Node>)| {
        test.is_none() && matches!(&value.kind, Part::Compare(_, rest) if rest.iter().all(|(s, _)| plain(s)))
    };
    if rows.len() < 2 || !rows.iter().all(inequality) {
        return None;
    }
    let all = rows.iter().map(|(value, _)| value.clone());
    all.reduce(|a, b| Node { kind: Part::And(Box::new(a), Box::new(b)), at: node.at })
}

/// Refuses equations joined by "and" or "or": what they describe is no solid.
pub(super) fn no_equations_joined(node: &Node) -> Read<()> {
    let part = |n: &Node| match &n.kind {
        Part::Compare(_, rest) if rest.iter().any(|(s, _)| matches!(s, Sign::Equal | Sign::Unequal)) => {
            fault(
                FaultClass::Relation,
                n.at,
                "an equation joined to other conditions describes no solid",
                "join inequalities, or paste the equation alone and cut it in a script with &",
            )
        }
        _ => no_equations_joined(n),
    };
    match &node.kind {
        Part::And(a, b) | Part::Or(a, b) => part(a).and_then(|()| part(b)),
        _ => Ok(()),
    }
}

/// A comparison without its boundary.
fn strict((sign, node): &(Sign, Node)) -> (Sign, Node) {
    let sign = match sign {
        Sign::AtMost => Sign::Less,
        Sign::AtLeast => Sign::Greater,
        other => *other,
    };
    (sign, node.clone())
}

/// The condition that holds where another does not.
fn opposite(node: &Node) -> Node {
    let both = |a: &Node, b: &Node| (Box::new(opposite(a)), Box::new(opposite(b)));
    let kind = match &node.kind {
        Part::Not(a) => return without_not(a),
        Part::And(a, b) => {
            let (a, b) = both(a, b);
            Part::Or(a, b)
        }
        Part::Or(a, b) => {
            let (a, b) = both(a, b);
            Part::And(a, b)
        }
        Part::Compare(first, rest) => return none_holds(first, rest, node.at),
        _ => Part::Not(Box::new(node.clone())),
    };
    Node { kind, at: node.at }
}

/// Where one of the comparisons in a chain does not hold.
fn none_holds(first: &Node, rest: &[(Sign, Node)], at: Span) -> Node {
    let mut left = first;
    let mut all: Option<Node> = None;
    for (sign, right) in rest {
        let sign = match sign {
            Sign::Less | Sign::AtMost => Sign::Greater,
            Sign::Greater | Sign::AtLeast => Sign::Less,
            Sign::Equal => Sign::Unequal,
            Sign::Unequal => Sign::Equal,
        };
        let one = Node { kind: Part::Compare(Box::new(left.clone()), vec![(sign, right.clone())]), at };
        all = Some(match all {
            None => one,
            Some(before) => Node { kind: Part::Or(Box::new(before), Box::new(one)), at },
        });
        left = right;
    }
    all.unwrap_or_else(|| first.clone())
}

fn plain_name(node: &Node, values: &Values) -> bool {
    matches!(&node.kind, Part::Name(n) if !is_axis(n) && values.free.contains(n))
}

/// Whether all comparisons are "less".
fn rising(signs: &[Sign]) -> bool {
    signs.iter().all(|s| matches!(s, Sign::Less | Sign::AtMost))
}

/// The comparisons as seen from the other side.
fn opposed(signs: &[Sign]) -> Vec<Sign> {
    let turn = |s: &Sign| match s {
        Sign::Less => Sign::Greater,
        Sign::AtMost => Sign::AtLeast,
        Sign::Greater => Sign::Less,
        Sign::AtLeast => Sign::AtMost,
        other => *other,
    };
    signs.iter().map(turn).collect()
}

/// Negative where each is less than the next.
fn all_hold(sides: &[Expr]) -> Expr {
    let mut steps = sides.windows(2).map(|w| difference(&w[0], &w[1]));
    let first = steps.next().unwrap_or_else(|| Expr::constant(0.0));
    steps.fold(first, Expr::max)
}

/// Says that nothing lies between two numbers the wrong way round.
fn told_if_empty(low: &Expr, high: &Expr, at: Span, cx: &mut Context2) {
    if let (Some(low), Some(high)) = (low.as_const(), high.as_const())
        && high < low
    {
        cx.remark(at, format!("nothing lies between {low} and {high}: this is empty"));
    }
}

fn between(low: &Expr, f: &Expr, high: &Expr) -> (Kind, Sides) {
    let value = difference(low, f).max(difference(f, high));
    (Kind::Field { value, relation: Relation::Between }, Sides::Between(low.clone(), f.clone(), high.clone()))
}

/// a - b, without a needless nought.
fn difference(a: &Expr, b: &Expr) -> Expr {
    match (a.as_const(), b.as_const()) {
        (_, Some(0.0)) => a.clone(),
        (Some(0.0), _) => Expr::unary(Unary::Neg, b.clone()),
        _ => a.clone() - b.clone(),
    }
}
