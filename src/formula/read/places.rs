//! Names that stand for the point in space, and vectors that a function is given beside it.

use std::collections::BTreeSet;

use super::clauses::is_axis;
use super::faults::Span;
use super::kinds::Context2;
use super::tree::{Join, Node, Part};
use super::values::{Definition, Values};
use super::vectors::Val;
use crate::formula::Expr;

/// Names that points usually have.
pub(super) const USUAL: &[&str] = &["p", "P", "pos", "q", "point", "position", "coord", "xyz", "uv"];

/// Gives the vectors among the arguments of a function their meaning: one is the point, the others have components
/// without a value.
pub(super) fn declared(values: &mut Values, cx: &mut Context2, arguments: &[String]) {
    let all = cx.given.points.clone();
    let vectors: Vec<&String> = arguments.iter().filter(|a| all.contains_key(*a)).collect();
    let usual = vectors.iter().find(|n| USUAL.contains(&n.as_str()));
    let solid = vectors.iter().find(|n| all.get(**n) == Some(&3));
    let main = usual.or(solid).or(vectors.first()).copied();
    for (name, size) in &all {
        let given = vectors.contains(&name) && Some(name) != main;
        let part = |axis: &&str| if given { format!("{name}_{axis}") } else { (*axis).to_owned() };
        let size = if given { *size } else { (*size).min(3) };
        let parts: Vec<String> = ["x", "y", "z", "w"].iter().take(size).map(part).collect();
        if given && has_own_value(values.defs, name) {
            continue;
        }
        let of_parts: Vec<Expr> = parts.iter().map(|n| component(values, n, given)).collect();
        let valued = of_parts.iter().all(|e| e.as_const().is_some());
        let vector = Val::Vec(of_parts);
        values.special.insert(name.clone(), vector);
        let at = cx.place_of(name);
        if given && !valued {
            let names = parts.join(", ");
            cx.remark(at, format!("{name} has no value: its components are parameters to be given, {names}"));
        } else if size == 2 && Some(name) == main {
            cx.remark(at, format!("{name} has two components and was read as (x, y)"));
        }
    }
}

/// A component of a vector: what it was handed or the text gives it, else a name without a value.
fn component(values: &mut Values, name: &str, given: bool) -> Expr {
    if let Some(x) = values.lets.get(name).filter(|_| given) {
        return Expr::constant(*x);
    }
    let defined = given && values.definition(name).is_some();
    let value = if defined { values.name(name, Span::default()).ok() } else { None };
    match value {
        Some(Val::Num(e)) => e,
        _ => values.var(name),
    }
}

/// Gives the point its meaning, where the text uses one. A name that the text gives a value of its own is none, and beside
/// a point among the function's `arguments` there is no other.
pub(super) fn point(values: &mut Values, cx: &mut Context2, nodes: &[(Node, usize)], arguments: &[String]) {
    let declared = arguments.iter().any(|a| cx.given.points.contains_key(a));
    let dotted = dotted_through(values.defs, cx);
    let here = Val::Vec(["x", "y", "z"].iter().map(|n| values.var(n)).collect());
    for n in ["p", "P", "pos", "point", "q", "position", "coord", "xyz"] {
        let shader = cx.given.style.shader && n != "q" && n != "point" && n != "xyz";
        let axes = cx.names.iter().any(|n| is_axis(n));
        let normed = |node: &Node| has_norm_of(node, n) && !axes || is_measured(node, n);
        let barred = nodes.iter().any(|(node, _)| normed(node));
        if declared || values.special.contains_key(n) || has_own_value(values.defs, n) {
            continue;
        }
        if cx.names.contains(n) && (shader && (!axes || n != "P") || dotted.contains(n) || barred) {
            values.special.insert(n.into(), here.clone());
        }
    }
    for n in ["x", "r"] {
        let others = cx.names.contains("y") || cx.names.contains("z");
        if !others && nodes.iter().any(|(node, _)| has_norm_of(node, n)) {
            values.special.insert(n.into(), here.clone());
            cx.remark(cx.place_of(n), format!("{n} read as the point (x, y, z)"));
        }
    }
}

/// Whether the text gives a name a value that does not come from the name itself, as `p = abs(p)` does.
fn has_own_value(defs: &[Definition], name: &str) -> bool {
    let first = defs.iter().filter(|d| d.name == name && d.args.is_empty()).min_by_key(|d| d.order);
    first.is_some_and(|d| !mentions(&d.body, name))
}

/// Names followed by a point and components, and in code those that their values are made of.
pub(super) fn dotted_through(defs: &[Definition], cx: &Context2) -> BTreeSet<String> {
    let mut all = cx.dotted.clone();
    if cx.given.style.code {
        for d in defs.iter().rev().filter(|d| d.args.is_empty()) {
            if all.contains(&d.name) {
                note_names(&d.body, &mut all);
            }
        }
    }
    all
}

fn note_names(node: &Node, all: &mut BTreeSet<String>) {
    if let Part::Name(n) = &node.kind {
        all.insert(n.clone());
    }
    children(node).into_iter().for_each(|c| note_names(c, all));
}

/// Whether the tree holds the norm of that name.
pub(super) fn has_norm_of(node: &Node, name: &str) -> bool {
    let inside = |n: &Node| mentions(n, name);
    match &node.kind {
        Part::Norm(a) => inside(a),
        Part::Abs(a) => {
            (matches!(&a.kind, Part::Name(n) if n == name) && matches!(name, "p" | "P"))
                || is_measured(node, name)
                || has_norm_of(a, name)
        }
        Part::Call(f, args) if f == "norm" => args.iter().any(inside),
        _ => children(node).into_iter().any(|c| has_norm_of(c, name)),
    }
}

/// Whether the tree holds a distance of that name from a list of numbers, `|p - (1, 0, 0)|`.
fn is_measured(node: &Node, name: &str) -> bool {
    match &node.kind {
        Part::Abs(a) | Part::Norm(a) if mentions(a, name) && holds_list(a) => true,
        _ => children(node).into_iter().any(|c| is_measured(c, name)),
    }
}

fn holds_list(node: &Node) -> bool {
    matches!(node.kind, Part::Tuple(_)) || children(node).into_iter().any(holds_list)
}

fn mentions(node: &Node, name: &str) -> bool {
    match &node.kind {
        Part::Name(n) => n == name,
        _ => children(node).into_iter().any(|c| mentions(c, name)),
    }
}

/// The parts that a part holds.
pub(super) fn children(node: &Node) -> Vec<&Node> {
    match &node.kind {
        Part::Num(_) | Part::Name(_) => vec![],
        Part::Sum(t) => t.iter().map(|(_, n)| n).collect(),
        Part::Product(t) => t.iter().map(|(_, n)| n).collect(),
        Part::Neg(a)
        | Part::Swizzle(a, _)
        | Part::Abs(a)
        | Part::Norm(a)
        | Part::Factorial(a)
        | Part::Not(a) => vec![a],
        Part::Pow(a, b) | Part::And(a, b) | Part::Or(a, b) => vec![a, b],
        Part::Call(_, args) | Part::Tuple(args) => args.iter().collect(),
        Part::Compare(a, rest) => std::iter::once(&**a).chain(rest.iter().map(|(_, n)| n)).collect(),
        Part::Choose(a, b, c) | Part::Over(_, _, a, b, c) => vec![a, b, c],
        Part::Cases(rows) => rows.iter().flat_map(|(v, t)| std::iter::once(v).chain(t.iter())).collect(),
    }
}

/// Says that a capital is read as the small letter, where the text uses small coordinates as well.
pub(super) fn capitals(cx: &mut Context2) {
    let small = ["x", "y", "z"].iter().any(|n| cx.names.contains(*n));
    let all = ["X", "Y", "Z"].iter().filter(|n| cx.names.contains(**n) && !cx.known.defined.contains(**n));
    let all: Vec<&str> = all.copied().collect();
    if cx.given.style.code || !small {
        return;
    }
    for name in all {
        cx.remark(cx.place_of(name), format!("{name} read as {}", name.to_lowercase()));
    }
}

/// Whether a part is a sum or multiple of names that the text gives lists, `a + t b`.
pub(super) fn is_vector_by(node: &Node, defs: &[Definition]) -> bool {
    let by = |n: &Node| is_vector_by(n, defs);
    match &node.kind {
        Part::Name(n) => {
            defs.iter().any(|d| d.name == *n && d.args.is_empty() && matches!(d.body.kind, Part::Tuple(_)))
        }
        Part::Neg(a) => by(a),
        Part::Sum(terms) => terms.iter().any(|(_, t)| by(t)),
        Part::Product(factors) => {
            let plain = factors.iter().all(|(join, _)| matches!(join, Join::Times | Join::Over));
            plain && factors.iter().filter(|(_, f)| by(f)).count() == 1
        }
        _ => false,
    }
}

/// Whether a part is written as a vector: a list, or a sum or multiple of lists.
pub(super) fn is_vector(node: &Node) -> bool {
    match &node.kind {
        Part::Tuple(_) => true,
        Part::Neg(a) => is_vector(a),
        Part::Sum(terms) => terms.iter().any(|(_, t)| is_vector(t)),
        Part::Product(factors) => {
            let plain = factors.iter().all(|(join, _)| matches!(join, Join::Times | Join::Over));
            plain && factors.iter().filter(|(_, f)| is_vector(f)).count() == 1
        }
        _ => false,
    }
}
