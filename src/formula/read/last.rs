//! The shape of a text in which no formula stands alone: its last definition.

use std::collections::BTreeSet;

use super::beside;
use super::clauses::{Equation, Range, Statements, is_axis};
use super::faults::{FaultClass, Read, fault};
use super::kinds::Context2;
use super::main_formula::{Main, formula};
use super::token::*;

/// No formula stands alone: the last definition that nothing else uses is the shape.
pub(super) fn from_helpers(
    mut helpers: Vec<Equation>,
    statements: &Statements,
    cx: &mut Context2,
) -> Read<(Main, Vec<Equation>)> {
    let code = cx.given.style.code;
    let k = last_unused(&helpers, cx);
    let Some(k) = k else {
        return no_formula(&helpers, cx);
    };
    let radius = radius(&helpers, cx) == Some(k);
    if !code {
        steps_and_slopes(&helpers[k])?;
    }
    let h = helpers.remove(k);
    let height =
        h.name.starts_with('z') && cx.names_of(&h.body).iter().all(|n| matches!(n.as_str(), "x" | "y"));
    if !code && h.args.is_empty() && coordinate_with_index(&h.name).is_some() && !height {
        cx.known.defined.remove(&h.name);
        return Ok((formula(h.whole, h.order), helpers));
    }
    let ranged = |n: &str| statements.ranges.iter().any(|r| r.name == n);
    if radius && h.name == "r" && ranged("theta") && !ranged("z") && !ranged("phi") {
        // As with any other r = f(θ) whose angle has a range: a curve in the plane.
        cx.names.insert("theta".into());
    } else if radius {
        let ended = |r: &Range| h.name == "r" || !r.low.is_empty() && !r.high.is_empty();
        if statements.ranges.iter().any(|r| r.name == "z" && ended(r)) {
            // Beside a height the radius is that of a cylinder; `ρ = 1, z > 0` stays half a sphere.
            cx.names.insert("z".into());
        }
        cx.known.defined.remove(&h.name);
        return Ok((formula(h.whole, h.order), helpers));
    }
    let further = h.args.is_empty() && cx.names_of(&h.body).contains(&h.name);
    if !code && !further && h.args.is_empty() && helpers.iter().any(|o| o.name == h.name) {
        return Ok((formula(h.whole, h.order), helpers));
    }
    let mut args = h.args;
    if args.is_empty() {
        args = cx.given.args.clone().unwrap_or_default();
    }
    if !code && !further || !helpers.iter().any(|o| o.name == h.name) {
        cx.known.defined.remove(&h.name);
    }
    Ok((Main::Formula { tokens: h.body, order: h.order, name: Some(h.name), args }, helpers))
}

/// The last definition that nothing else uses and that holds a name; in code the others are told.
fn last_unused(helpers: &[Equation], cx: &mut Context2) -> Option<usize> {
    // In plain text a further value of a name, `f = f + z`, is no use of it.
    let code = cx.given.style.code;
    let names = |h: &Equation| {
        let own = |n: &String| code || !h.args.is_empty() || *n != h.name;
        cx.names_of(&h.body).into_iter().chain(words(&h.body)).filter(own).collect::<Vec<_>>()
    };
    let used: BTreeSet<String> = helpers.iter().flat_map(names).collect();
    let shaped = |h: &Equation| {
        let names = cx.names_of(&h.body);
        names.iter().any(|n| super::names::constant(n).is_none()) || h.body.iter().any(|t| t.is('.'))
    };
    let unused: Vec<usize> =
        (0..helpers.len()).filter(|k| !used.contains(&helpers[*k].name) && shaped(&helpers[*k])).collect();
    let k = unused.last().copied();
    let k = k.or_else(|| (0..helpers.len()).rev().find(|k| code && shaped(&helpers[*k])));
    let k = k.or_else(|| radius(helpers, cx))?;
    let others = unused.iter().map(|j| &helpers[*j]).filter(|h| code && h.order != helpers[k].order);
    for h in others.filter(|h| h.args.is_empty()) {
        let taken = &helpers[k].name;
        let what = format!("{} was left out: nothing uses it, and {taken} was taken as the shape", h.name);
        cx.remark(span(&h.whole), what);
    }
    Some(k)
}

/// Says that no definition is a shape.
fn no_formula<T>(helpers: &[Equation], cx: &Context2) -> Read<T> {
    half_plane(helpers)?;
    let at = helpers.last().map_or(cx.given.whole, |h| h.at);
    let what = match helpers.last() {
        None => "there is no formula here".to_owned(),
        Some(h) if h.name.is_empty() => "there is no formula here".to_owned(),
        Some(h) => format!("this gives {} a value, but there is no formula that uses it", h.name),
    };
    fault(FaultClass::NoShape, at, what, "paste the formula as well")
}

/// The index of a coordinate's name, `1` of `x_1`.
fn coordinate_with_index(name: &str) -> Option<&str> {
    name.split_once('_').filter(|(stem, _)| is_axis(stem)).map(|(_, index)| index)
}

/// Refuses `z_x = y`, which gives a slope, and `x_{i+1} = x_i + y`, which gives the next of many values: neither is a shape.
fn steps_and_slopes(e: &Equation) -> Read<()> {
    let Some(index) = coordinate_with_index(&e.name) else { return Ok(()) };
    let slope = index.chars().all(|c| matches!(c, 'x' | 'y' | 'z' | 't' | 'u' | 'v'));
    let stem = &e.name[..2];
    let step = e.body.iter().any(|t| t.word().is_some_and(|w| w.starts_with(stem) && w != e.name));
    if !slope && !step {
        return Ok(());
    }
    let what = if step { "the next of several values" } else { "a derivative" };
    fault(
        FaultClass::Unsupported,
        span(&e.whole),
        format!("{} with an index below it reads as {what}, which is no shape", &e.name[..1]),
        "paste the solution as a formula in x, y and z",
    )
}

/// Says of `θ = π/4` alone what it is.
fn half_plane(helpers: &[Equation]) -> Read<()> {
    match helpers {
        [e] if matches!(e.name.as_str(), "theta" | "phi") && e.args.is_empty() => fault(
            FaultClass::Unsupported,
            span(&e.whole),
            "a fixed angle alone is a half-plane or a cone, depending on which angle it is",
            "write it in coordinates: y = x, x > 0 for the half-plane at 45°, x^2 + y^2 = z^2, z > 0 for the cone",
        ),
        _ => Ok(()),
    }
}

/// The equation that gives a radius one value, where there is no other: `r = 2`.
pub(super) fn radius(helpers: &[Equation], cx: &Context2) -> Option<usize> {
    let constant = |h: &Equation| {
        let moves = |n: &str| is_axis(n) || beside::is_polar(n) || matches!(n, "t" | "u" | "v");
        let fixed = |n: &String| !moves(n) && !cx.known.varying.contains(n);
        matches!(h.name.as_str(), "r" | "rho") && h.args.is_empty() && cx.names_of(&h.body).iter().all(fixed)
    };
    let used = |h: &Equation| helpers.iter().any(|o| cx.names_of(&o.body).contains(&h.name));
    let k = helpers.iter().position(constant).filter(|k| !cx.given.style.code && !used(&helpers[*k]))?;
    let alone = helpers.iter().enumerate().all(|(i, h)| i == k || used(h));
    alone.then_some(k)
}

fn words(tokens: &[Token]) -> Vec<String> {
    tokens.iter().filter_map(|t| t.word().map(str::to_owned)).collect()
}
