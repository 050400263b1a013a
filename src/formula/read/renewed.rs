//! Coordinates that are given new values, `x = 2*x`, for the formula that comes after.

use std::collections::{BTreeMap, BTreeSet};

use super::clauses::{Equation, Statement, Statements, is_axis};
use super::faults::{FaultClass, Read, fault};
use super::kinds::Context2;
use super::limits;
use super::places::USUAL;
use super::token::*;

/// The places of equations that do not say what a coordinate is, but give it another value.
#[derive(Default)]
pub(super) struct Renewed {
    /// What comes after uses the value that they give.
    pub values: BTreeSet<usize>,
    /// The last of several values of one component.
    pub components: BTreeSet<usize>,
}

/// Finds the equations that give a coordinate a new value.
///
/// # Errors
/// Code gives coordinates new values, and no formula uses them.
pub(super) fn coordinates(statements: &Statements, cx: &mut Context2) -> Read<Renewed> {
    let mut out = Renewed::default();
    let all = &statements.equations;
    let axes: Vec<&Equation> = all.iter().filter(|e| is_axis(&e.name) && e.args.is_empty()).collect();
    if axes.is_empty() || all.len() + statements.formulas.len() < 2 {
        return Ok(out);
    }
    let names: Vec<BTreeSet<String>> = all.iter().map(|e| cx.names_of(&e.body)).collect();
    let own = own(all, &names);
    let mut first: BTreeMap<&str, usize> = BTreeMap::new();
    for e in &axes {
        first.entry(&e.name).or_insert(e.order);
    }
    let (renewing, later): (Vec<&Equation>, Vec<&Equation>) =
        axes.iter().filter(|e| own.contains(&e.order)).partition(|e| own.contains(&first[e.name.as_str()]));
    if renewing.iter().any(|e| is_used(e, &own, &names, statements, cx)) {
        out.values.extend(renewing.iter().map(|e| e.order));
        let told = if cx.given.style.code { &[] } else { renewing.as_slice() };
        for e in told {
            let what = format!("{0} is given a new value here, which the formula after it uses", e.name);
            cx.remark(e.at, what);
        }
    } else if cx.given.style.code && renewing.len() == all.len() && statements.formulas.is_empty() {
        return fault(
            FaultClass::NoShape,
            renewing[0].at,
            format!("{} is given a new value here, but no formula uses it", renewing[0].name),
            "paste the formula as well",
        );
    }
    let lower: BTreeSet<String> = axes.iter().map(|e| e.name.to_lowercase()).collect();
    if statements.formulas.is_empty() && lower.len() == 3 {
        let last: BTreeMap<&str, usize> = axes.iter().map(|e| (e.name.as_str(), e.order)).collect();
        let changed: BTreeSet<&str> = later.iter().map(|e| e.name.as_str()).collect();
        for e in axes.iter().filter(|e| changed.contains(e.name.as_str())) {
            let to = if last[e.name.as_str()] == e.order { &mut out.components } else { &mut out.values };
            to.insert(e.order);
        }
    }
    Ok(out)
}

/// The places of equations that give a coordinate a value that comes from the coordinate itself, through the names that
/// were given values before, or in exchange for another.
fn own(all: &[Equation], names: &[BTreeSet<String>]) -> BTreeSet<usize> {
    const EXCHANGED: &str = "′";
    let mut out = BTreeSet::new();
    let mut made_of: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
    for (e, names) in all.iter().zip(names) {
        let mut from: BTreeSet<&str> = BTreeSet::new();
        for n in names {
            match is_axis(n) {
                true => from.extend([n.as_str()]),
                false => from.extend(made_of.get(n.as_str()).into_iter().flatten()),
            }
            // No text can name what holds this mark: values of several names at once.
            from.extend(n.contains(EXCHANGED).then_some(EXCHANGED));
        }
        if !is_axis(&e.name) {
            if e.args.is_empty() {
                made_of.insert(&e.name, from);
            }
        } else if from.contains(e.name.as_str()) || from.contains(EXCHANGED) && from.len() > 1 || of_point(e)
        {
            out.insert(e.order);
        }
    }
    out
}

/// `x = p.x`, the coordinate itself.
fn of_point(e: &Equation) -> bool {
    let [point, dot, part] = e.body.as_slice() else { return false };
    point.word().is_some_and(|w| USUAL.contains(&w)) && dot.is('.') && part.is_word(&e.name)
}

/// Code that works a height out in steps, `z = sin(x)`, `z += cos(y)`: all but its last value have other names from then on.
pub(super) fn heights(statements: &mut Statements, cx: &mut Context2) {
    let all = &statements.equations;
    let axes: BTreeSet<String> =
        all.iter().filter(|e| is_axis(&e.name)).map(|e| e.name.to_lowercase()).collect();
    if !cx.given.style.code || !statements.formulas.is_empty() || axes.len() > 2 {
        return;
    }
    let names: Vec<BTreeSet<String>> = all.iter().map(|e| cx.names_of(&e.body)).collect();
    let own = own(all, &names);
    for axis in ["z", "Z", "y", "Y", "x", "X"] {
        let places: Vec<usize> = (0..all.len()).filter(|k| all[*k].name == axis).collect();
        let steps = matches!(places[..], [first, .., last]
            if !own.contains(&all[first].order) && own.contains(&all[last].order) && last + 1 == all.len());
        if steps {
            return rename(&mut statements.equations, axis, &places, cx);
        }
    }
}

/// Gives all but the last value of a coordinate names of their own.
fn rename(all: &mut [Equation], axis: &str, places: &[usize], cx: &mut Context2) {
    let mut now: Option<String> = None;
    for (k, e) in all.iter_mut().enumerate() {
        if let Some(now) = &now {
            e.body.iter_mut().filter(|t| t.is_word(axis)).for_each(|t| t.tok = Tok::Word(now.clone(), true));
        }
        if let Some(n) = places.iter().position(|p| *p == k).filter(|n| n + 1 < places.len()) {
            // No text can name what holds this mark.
            let name = format!("{axis}″{n}");
            cx.known.defined.insert(name.clone());
            cx.known.varying.insert(name.clone());
            e.name.clone_from(&name);
            now = Some(name);
        }
        if places.last() == Some(&k) {
            let equals = Token { tok: Tok::Sym('='), at: e.at, gap: Gap::None };
            let left = Token { tok: Tok::Word(axis.to_owned(), true), at: e.at, gap: Gap::None };
            e.whole = [&[left, equals], &e.body[..]].concat();
        }
    }
}

/// Whether something after an equation uses the coordinate that it gives a value: no further value of a coordinate, and
/// nothing that the value itself is made of.
fn is_used(
    e: &Equation,
    own: &BTreeSet<usize>,
    names: &[BTreeSet<String>],
    statements: &Statements,
    cx: &Context2,
) -> bool {
    let all = statements.equations.iter().zip(names);
    let made_of = all.clone().find(|(o, _)| o.order == e.order).map(|(_, n)| n);
    let mut later = all.filter(|(o, _)| o.order > e.order && !own.contains(&o.order));
    // Beside an equation conditions say where it is cut.
    let cuts = |f: &Statement| !cx.given.style.code && limits::is_solid(f);
    let formula = |f: &Statement| f.order > e.order && !cuts(f) && cx.names_of(&f.tokens).contains(&e.name);
    later.any(|(o, n)| n.contains(&e.name) && made_of.is_none_or(|m| !m.contains(&o.name)))
        || statements.formulas.iter().any(formula)
}
