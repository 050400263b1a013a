//! From statements to a field, a curve or a surface.

use std::collections::{BTreeMap, BTreeSet};

use super::beside::is_polar;
use super::clauses::{Equation, Statement, Statements, is_axis};
use super::complex::imaginary;
use super::decide::decide;
use super::faults::{FaultClass, Read, Span, fault};
use super::main_formula::{self, Main};
use super::names::Known;
use super::parameters::parametric;
use super::parse::{self, Context};
use super::reading::{Kind, Reading, Relation, Remark};
use super::relation::{all_of_table, divides_by_nothing, no_equations_joined, relation, without_not};
use super::style::Style;
use super::token::*;
use super::tree::{Node, Part};
use super::values::{Definition, Values, all_finite};
use super::vectors::Val;
use super::{Outcome, alphabet, clauses, or_whole, places, polar};
use crate::formula::Expr;
use crate::formula::normal::{Sides, normal};
use crate::formula::walk::names;

/// What is known beside the statements.
pub struct Given {
    /// The text's style.
    pub style: Style,
    /// Values handed in.
    pub lets: BTreeMap<String, f64>,
    /// Arguments of the function that the text is.
    pub args: Option<Vec<String>>,
    /// Names declared as points, with how many components they have.
    pub points: BTreeMap<String, usize>,
    /// The whole text.
    pub whole: Span,
}

/// The reader's middle: statements with what is known about names.
pub struct Context2 {
    pub(super) given: Given,
    pub(super) known: Known,
    pub(super) functions: BTreeSet<String>,
    pub(super) remarks: Vec<Remark>,
    /// Names seen in what was parsed.
    pub(super) names: BTreeSet<String>,
    /// Where each of them stands first.
    pub(super) spots: BTreeMap<String, Span>,
    /// The imaginary unit stands in what was parsed.
    pub(super) imaginary: bool,
    /// Names followed by a point and components.
    pub(super) dotted: BTreeSet<String>,
}

impl Context2 {
    /// Tokens to a tree.
    pub(super) fn tree(&mut self, tokens: &[Token]) -> Read<Node> {
        let decided = decide(tokens, &self.known, self.given.style, &mut self.remarks);
        for (i, t) in decided.iter().enumerate() {
            if let Tok::Name(n) = &t.tok {
                self.names.insert(n.clone());
                let spot = self.spots.entry(n.clone()).or_insert(t.at);
                if t.at.from < spot.from {
                    *spot = t.at;
                }
                let index = self.given.style.code
                    && decided.get(i + 1).is_some_and(|t| t.is('[') && t.gap == Gap::None)
                    && decided.get(i + 2).is_some_and(|t| matches!(t.tok, Tok::Num(_, true)));
                if index || decided.get(i + 1).is_some_and(|t| t.is('.')) {
                    self.dotted.insert(n.clone());
                }
            }
        }
        self.imaginary |= imaginary(&decided, &self.known, self.given.style);
        let context = Context {
            style: self.given.style,
            functions: &self.functions,
            defined: &self.known.defined,
            varying: &self.known.varying,
        };
        let (node, remarks) = parse::parse(&decided, context).map_err(|mut f| {
            if f.at == (0..0) {
                f.at = or_whole(span(tokens), self.given.whole).range();
            }
            f
        })?;
        self.remarks.extend(remarks);
        Ok(node)
    }

    /// Names in tokens, decided but not kept.
    pub(super) fn names_of(&self, tokens: &[Token]) -> BTreeSet<String> {
        decide(tokens, &self.known, self.given.style, &mut Vec::new())
            .into_iter()
            .filter_map(|t| match t.tok {
                Tok::Name(n) => Some(n),
                _ => None,
            })
            .collect()
    }

    /// Notes the names whose definitions hold coordinates or parameters, directly or through others.
    fn find_varying(&mut self, equations: &[Equation]) {
        let moves = |n: &String| is_axis(n) || matches!(n.as_str(), "u" | "v" | "t" | "theta" | "phi");
        let mut left: Vec<(&String, BTreeSet<String>)> = equations
            .iter()
            .filter(|e| e.args.is_empty() && !is_axis(&e.name))
            .map(|e| (&e.name, self.names_of(&e.body)))
            .collect();
        loop {
            let known = &mut self.known.varying;
            let before = left.len();
            left.retain(|(name, used)| {
                let varies = used.iter().any(|n| moves(n) || known.contains(n));
                if varies {
                    known.insert((*name).clone());
                }
                !varies
            });
            if left.len() == before {
                return;
            }
        }
    }

    /// Where a name stands first, else the whole text.
    pub(super) fn place_of(&self, name: &str) -> Span {
        self.spots.get(name).map_or(self.given.whole, |at| or_whole(*at, self.given.whole))
    }

    pub(super) fn remark(&mut self, at: Span, what: impl Into<String>) {
        self.remarks.push(Remark { what: what.into(), at: at.range() });
    }
}

/// What the statements describe.
///
/// # Errors
/// Whatever cannot be read, or describes no shape.
pub fn reading(mut statements: Statements, given: Given) -> Outcome {
    let mut known = Known { letters: given.style.tex, code: given.style.code, ..Known::default() };
    for e in &statements.equations {
        if !is_axis(&e.name) || e.args.is_empty() && given.style.code {
            known.defined.insert(e.name.clone());
        }
        known.defined.extend(e.args.iter().cloned());
    }
    known.defined.extend(given.lets.keys().cloned());
    known.defined.extend(statements.ranges.iter().map(|r| r.name.clone()));
    known.defined.extend(given.args.iter().flatten().cloned());
    let all: Vec<Vec<Token>> = statements
        .formulas
        .iter()
        .map(|f| f.tokens.clone())
        .chain(statements.equations.iter().map(|e| e.whole.clone()))
        .collect();
    known.alone = clauses::alone(&all).alone;
    let functions: BTreeSet<String> = statements
        .equations
        .iter()
        .filter(|e| !e.args.is_empty() && !is_axis(&e.name))
        .map(|e| e.name.clone())
        .collect();
    let remarks = std::mem::take(&mut statements.remarks);
    let mut cx = Context2 {
        given,
        known,
        functions,
        remarks,
        names: BTreeSet::new(),
        spots: BTreeMap::new(),
        imaginary: false,
        dotted: BTreeSet::new(),
    };
    cx.find_varying(&statements.equations);
    let (main, equations) = main_formula::find(&mut statements, &mut cx)?;
    build(main, equations, statements, cx)
}

fn build(main: Main, equations: Vec<Equation>, statements: Statements, mut cx: Context2) -> Outcome {
    // Letters that stand for functions' own arguments or for coordinates are not defined from outside.
    let main_tree = match &main {
        Main::Components(c) => {
            let mut nodes = Vec::new();
            for (tokens, order) in c {
                nodes.push((cx.tree(tokens)?, *order));
            }
            nodes
        }
        Main::Formula { tokens, order, .. } => vec![(cx.tree(tokens)?, *order)],
    };
    let mut defs = Vec::new();
    for e in &equations {
        let body = cx.tree(&e.body)?;
        defs.push(Definition { name: e.name.clone(), args: e.args.clone(), body, order: e.order });
    }
    let lone = match &main {
        Main::Formula { args, .. } if !args.is_empty() => args.clone(),
        _ => cx.given.args.clone().unwrap_or_default(),
    };
    if let [one] = lone.as_slice()
        && (matches!(one.as_str(), "p" | "P" | "pos" | "point")
            || cx.given.style.code && cx.dotted.contains(one))
    {
        cx.given.points.entry(one.clone()).or_insert(3);
    }
    if let [first, _, ..] = lone.as_slice()
        && matches!(first.as_str(), "p" | "P" | "pos" | "point")
        && cx.given.style.code
        && (main_tree.iter().any(|(node, _)| places::has_norm_of(node, first))
            || places::dotted_through(&defs, &cx).contains(first))
    {
        cx.given.points.entry(first.clone()).or_insert(3);
    }
    let mut lets = std::mem::take(&mut cx.given.lets);
    if let (Main::Formula { .. }, [(Node { kind, at }, _)]) = (&main, main_tree.as_slice())
        && !matches!(kind, Part::Tuple(_))
        && lets.keys().any(|n| is_axis(n))
    {
        cx.remark(*at, "x, y and z are coordinates here and take no values");
        lets.retain(|n, _| !is_axis(n));
    }
    let mut values = Values::new(&defs, &lets, cx.given.style);
    values.imaginary = cx.imaginary;
    places::capitals(&mut cx);
    places::declared(&mut values, &mut cx, &lone);
    places::point(&mut values, &mut cx, &main_tree, &lone);
    alphabet::continued(&mut values, &mut cx, &main_tree);
    let ranges = ranges(&statements, &mut values, &mut cx)?;
    let declared = match &main {
        Main::Formula { args, .. } if !args.is_empty() => args.clone(),
        _ => cx.given.args.clone().unwrap_or_default(),
    };
    // Numbers that a function takes beside a point are parameters, not coordinates.
    let beside = declared.iter().any(|d| cx.given.points.contains_key(d));
    let declared = if beside { vec![] } else { declared };
    let mut kind = None;
    if let Main::Components(_) = &main {
        for d in &declared {
            values.params.insert(d.clone());
        }
        let mut parts = Vec::new();
        for (node, order) in &main_tree {
            let value = values.of(node, *order)?;
            if matches!(value, Val::Truth(..)) && !cx.given.style.code {
                return fault(
                    FaultClass::Relation,
                    node.at,
                    "a condition stands here where a component of a curve or surface belongs",
                    "write a range on a line of its own, or after a comma",
                );
            }
            parts.push(value.scalar(node.at)?);
        }
        kind = Some(parametric(parts, &declared, &ranges, &mut cx)?);
    }
    let result = match kind {
        Some(k) => (k, Sides::Other),
        None => {
            let [(node, order)] = main_tree.as_slice() else {
                return fault(
                    FaultClass::NoShape,
                    cx.given.whole,
                    "there is no formula here",
                    "paste one formula",
                );
            };
            single(&main, node, *order, &declared, &ranges, &mut values, &mut cx)?
        }
    };
    left_out(&result.0, &statements, &ranges, &mut cx);
    let within = within(&result.0, &statements.conditions, &mut values, &mut cx)?;
    finish(result, within, values, ranges, cx)
}

/// The conditions that cut a field, as one value that is negative where all hold.
fn within(
    kind: &Kind,
    conditions: &[Statement],
    values: &mut Values,
    cx: &mut Context2,
) -> Read<Option<Expr>> {
    let mut all: Option<Expr> = None;
    for condition in conditions {
        let at = span(&condition.tokens);
        if !matches!(kind, Kind::Field { relation: Relation::Equal, .. }) {
            return fault(
                FaultClass::Unsupported,
                at,
                "this condition on several coordinates is not carried out beside a curve or a surface by parameters",
                "paste the formula alone, and cut the shape in a script with &",
            );
        }
        let node = without_not(&cx.tree(&condition.tokens)?);
        no_equations_joined(&node)?;
        let value = match &node.kind {
            Part::Compare(a, rest) => match relation(a, rest, condition.order, &node, values, cx)?.0 {
                Kind::Field { value, .. } => value,
                _ => continue,
            },
            _ => values.of(&node, condition.order)?.test(node.at)?,
        };
        all = Some(match all {
            Some(before) => before.max(value),
            None => value,
        });
    }
    Ok(all)
}

/// Ranges with numbers for ends; infinite where a coordinate has no end.
pub(super) type Ranges = Vec<(String, f64, f64)>;

fn ranges(statements: &Statements, values: &mut Values, cx: &mut Context2) -> Read<Ranges> {
    let mut out: Ranges = Vec::new();
    for r in &statements.ranges {
        let free = values.free.clone();
        let mut end = |tokens: &[Token], none: f64| -> Read<Option<f64>> {
            if tokens.is_empty() {
                return Ok(Some(none));
            }
            let tree = cx.tree(tokens)?;
            Ok(values.of(&tree, usize::MAX)?.scalar(tree.at)?.as_const())
        };
        match (end(&r.low, f64::NEG_INFINITY)?, end(&r.high, f64::INFINITY)?) {
            (Some(low), Some(high)) => {
                if high < low {
                    let what = format!("the range of {} is empty: it ends before it begins", r.name);
                    cx.remark(span(&r.whole), what);
                }
                meet(&mut out, &r.name, (low, high));
            }
            _ => {
                values.free = free;
                cx.remark(
                    span(&r.whole),
                    format!("the range of {} has ends without a value and was left out", r.name),
                );
            }
        }
    }
    Ok(out)
}

/// Says which ranges belong to nothing that the shape runs over.
fn left_out(kind: &Kind, statements: &Statements, ranges: &Ranges, cx: &mut Context2) {
    let own = |n: &str| match kind {
        Kind::Field { .. } => is_axis(n),
        Kind::Curve { param, .. } => n == param,
        Kind::Surface { params, .. } => params.iter().any(|p| p == n),
    };
    for r in statements.ranges.iter().filter(|r| !own(&r.name) && ranges.iter().any(|(n, ..)| *n == r.name)) {
        cx.remark(span(&r.whole), format!("the range of {} was left out", r.name));
    }
}

/// Several conditions on one coordinate hold together: `z > 0, z < 2`.
fn meet(all: &mut Ranges, name: &str, (low, high): (f64, f64)) {
    match all.iter_mut().find(|(n, ..)| n == name && is_axis(n)) {
        Some((_, a, b)) => (*a, *b) = (a.max(low), b.min(high)),
        None => all.push((name.to_owned(), low, high)),
    }
}

/// A single formula: a relation, an expression, or components in one expression.
fn single(
    main: &Main,
    node: &Node,
    order: usize,
    declared: &[String],
    ranges: &Ranges,
    values: &mut Values,
    cx: &mut Context2,
) -> Read<(Kind, Sides)> {
    let Main::Formula { name, .. } = main else {
        return fault(FaultClass::NoShape, node.at, "there is no formula here", "paste one formula");
    };
    let table = all_of_table(node);
    if table.is_some() {
        cx.remark(node.at, "several conditions read as the solid where all of them hold");
    }
    let node = table.as_ref().unwrap_or(node);
    let plain = without_not(node);
    if matches!(node.kind, Part::Not(_)) {
        cx.remark(node.at, "read as where the condition after \"not\" does not hold");
    }
    let node = &plain;
    no_equations_joined(node)?;
    if let Part::Compare(a, rest) = &node.kind {
        polar::prepare(values, cx, declared);
        return relation(a, rest, order, node, values, cx);
    }
    let vector = places::is_vector(node) || !cx.given.style.code && places::is_vector_by(node, values.defs);
    let round = polar::are_round(declared) || polar::is_radius_of(name.as_deref(), declared);
    let declared = if !vector && round { &[] } else { declared };
    let spatial = declared.len() == 3 || declared.iter().all(|d| is_axis(d));
    if (!declared.is_empty() && !spatial) || vector {
        values.params.extend(declared.iter().cloned());
    } else if declared.len() == 3 && !declared.iter().all(|d| is_axis(d)) {
        for (d, axis) in declared.iter().zip(["x", "y", "z"]) {
            let e = values.var(axis);
            values.special.insert(d.clone(), Val::Num(e));
        }
        cx.remark(node.at, format!("{} read as x, y, z", declared.join(", ")));
    }
    if let (Some(n), true) = (name.as_deref(), !vector)
        && let Some(kind) = polar::named(n, node, order, ranges, values, cx)?
    {
        return Ok((kind, Sides::Other));
    }
    if !vector {
        polar::prepare(values, cx, declared);
    }
    match values.of(node, order)? {
        Val::Vec(parts) if everywhere(&parts) => distance(parts, node, cx).map(|k| (k, Sides::Other)),
        Val::Vec(parts) if (2..=3).contains(&parts.len()) => {
            Ok((parametric(parts, declared, ranges, cx)?, Sides::Other))
        }
        Val::Truth(t, flip) => {
            let value = Val::Truth(t, flip).test(node.at)?;
            Ok((Kind::Field { value, relation: Relation::Less }, Sides::Other))
        }
        v => {
            let value = v.scalar(node.at)?;
            scalar(value, name.as_deref(), declared, ranges, node, cx).map(|k| (k, Sides::Other))
        }
    }
}

/// Whether components are those of a vector at each point in space.
fn everywhere(parts: &[Expr]) -> bool {
    let used = names(parts);
    let has = |n: &str| used.iter().any(|u| u == n);
    has("z") && (has("x") || has("y"))
}

/// The distance that shader code gives together with the number of a material, `vec2(d, 1.0)`.
fn distance(parts: Vec<Expr>, node: &Node, cx: &mut Context2) -> Read<Kind> {
    let shader = cx.given.style.shader && parts.len() != 3;
    match parts.into_iter().next().filter(|_| shader) {
        Some(value) => {
            cx.remark(node.at, "the first component read as the distance; the others were left out");
            Ok(Kind::Field { value, relation: Relation::None })
        }
        None => fault(
            FaultClass::NoShape,
            node.at,
            "this is a vector at each point in space, which is no shape",
            "take one component (.x), or its length; a curve has three components in t, a surface in u and v",
        ),
    }
}

/// A single number: a field, the graph of a function of two coordinates, or a vector in i, j, k.
fn scalar(
    value: Expr,
    name: Option<&str>,
    declared: &[String],
    ranges: &Ranges,
    node: &Node,
    cx: &mut Context2,
) -> Read<Kind> {
    let used = value.names();
    let unit = |n: &str| used.iter().any(|u| u == n);
    let spatial = used.iter().any(|n| is_axis(n));
    if unit("i") && unit("j") && !spatial {
        let at = |i: f64, j: f64, k: f64| {
            value.substitute(|n| match n {
                "i" => Some(Expr::constant(i)),
                "j" => Some(Expr::constant(j)),
                "k" => Some(Expr::constant(k)),
                _ => None,
            })
        };
        cx.remark(node.at, "i, j and k read as the unit vectors");
        return parametric(vec![at(1., 0., 0.), at(0., 1., 0.), at(0., 0., 1.)], declared, ranges, cx);
    }
    let two = declared.len() == 2;
    if two {
        let (a, b) = (declared[0].as_str(), declared[1].as_str());
        if let Some(value) = polar::over_plane(&value, declared) {
            let what = format!(
                "a function of a radius and an angle read as its graph: z = {}({a}, {b})",
                name.unwrap_or("f")
            );
            cx.remark(node.at, what);
            return Ok(Kind::Field { value: Expr::var("z") - value, relation: Relation::Equal });
        }
        let plane = |n: &str| match n {
            n if n == a => Some(Expr::var("x")),
            n if n == b => Some(Expr::var("y")),
            _ => None,
        };
        let value = value.substitute(plane);
        cx.remark(
            node.at,
            format!("a function of two numbers read as its graph: z = {}({a}, {b})", name.unwrap_or("f")),
        );
        return Ok(Kind::Field { value: Expr::var("z") - value, relation: Relation::Equal });
    }
    let flat = used.len() == 2 && ["x", "y"].iter().all(|n| unit(n));
    let label = name.filter(|n| flat && declared.is_empty() && !cx.given.style.code && !is_polar(n));
    if let Some(name) = label {
        cx.remark(node.at, format!("{name}, which x and y alone give, read as a height: z = {name}"));
        return Ok(Kind::Field { value: Expr::var("z") - value, relation: Relation::Equal });
    }
    if declared.len() == 1
        && name.is_some()
        && !used.iter().any(|n| matches!(n.as_str(), "y" | "z"))
        && used.contains(&declared[0])
    {
        let a = declared[0].clone();
        let value = value.substitute(|n| (n == a).then(|| Expr::var("x")));
        cx.remark(
            node.at,
            format!("a function of one number read as its graph: y = {}({a})", name.unwrap_or("f")),
        );
        return Ok(Kind::Field { value: Expr::var("y") - value, relation: Relation::Equal });
    }
    Ok(Kind::Field { value, relation: Relation::None })
}

fn finish(
    (kind, sides): (Kind, Sides),
    within: Option<Expr>,
    values: Values,
    ranges: Ranges,
    mut cx: Context2,
) -> Outcome {
    let (mut exprs, own): (Vec<&Expr>, Vec<String>) = match &kind {
        Kind::Field { value, .. } => (vec![value], vec!["x".into(), "y".into(), "z".into()]),
        Kind::Curve { components, param, .. } => (components.iter().collect(), vec![param.clone()]),
        Kind::Surface { components, params, .. } => (components.iter().collect(), params.to_vec()),
    };
    exprs.extend(&within);
    all_finite(&exprs, cx.given.whole)?;
    if divides_by_nothing(&exprs) {
        return fault(
            FaultClass::DivisionByZero,
            cx.given.whole,
            "this divides by 0 everywhere, so it has no value anywhere",
            "check what stands below the line",
        );
    }
    let used = names(exprs.iter().copied());
    let mut free: Vec<String> =
        values.free.iter().filter(|n| used.contains(n) && !own.contains(n)).cloned().collect();
    for n in &used {
        if !own.contains(n) && !free.contains(n) {
            free.push(n.clone());
        }
    }
    if let Kind::Field { value, .. } = &kind
        && !used.iter().any(|n| is_axis(n))
    {
        return no_axes(value, &used, &cx);
    }
    for n in free.iter().filter(|n| n.chars().count() == 1).take(8) {
        let at = cx.place_of(n);
        cx.remark(at, format!("{n} has no value: a parameter to be given"));
    }
    let mut remarks = cx.remarks;
    remarks.extend(values.remarks.iter().filter(|r| !own.iter().any(|o| r.misses(o))).cloned());
    let mut seen = BTreeSet::new();
    remarks.retain(|r| seen.insert((r.what.clone(), r.at.start)));
    remarks.sort_by_key(|r| r.at.start);
    let limits = match &kind {
        Kind::Field { .. } => ranges
            .into_iter()
            .filter(|(n, ..)| is_axis(n))
            .map(|(n, a, b)| (n.to_lowercase(), a, b))
            .collect(),
        _ => vec![],
    };
    let normal = normal(&kind, &sides);
    Ok(Reading { kind, normal, free, limits, within, remarks })
}

fn no_axes(value: &Expr, used: &[String], cx: &Context2) -> Outcome {
    let at = cx.given.whole;
    if let [one] = used
        && one.chars().count() > 1
        && matches!(value.op(), crate::formula::Op::Var(_))
    {
        return fault(
            FaultClass::UnknownName,
            at,
            format!("the name {one} is not known"),
            super::functions::nearest(one)
                .map_or("a formula uses x, y and z".into(), |n| format!("did you mean {n}?")),
        );
    }
    let what = match used {
        [] => "this formula has no x, y or z: it is a number, not a shape".to_owned(),
        names => format!("this formula has no x, y or z, only {}", names.join(", ")),
    };
    let class = if used.is_empty() { FaultClass::Constant } else { FaultClass::NoShape };
    fault(class, at, what, "a surface needs x, y, z; a curve three components in t")
}
