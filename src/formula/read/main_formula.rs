//! Which of the statements is the shape, and which only help.

use std::collections::BTreeSet;

use super::beside;
use super::clauses::{Equation, Statement, Statements, is_axis};
use super::effects;
use super::faults::{FaultClass, Read, fault};
use super::kinds::Context2;
use super::last::{from_helpers, radius};
use super::levels;
use super::limits;
use super::parse::comparison;
use super::renewed;
use super::rewritten::coordinates_by;
use super::token::*;
use super::turned;

/// The statement that is the shape.
pub enum Main {
    /// Components, in x, y, z order, each with its place among the statements.
    Components(Vec<(Vec<Token>, usize)>),
    /// One formula.
    Formula {
        /// Its tokens.
        tokens: Vec<Token>,
        /// Its place among the statements.
        order: usize,
        /// The name it was given.
        name: Option<String>,
        /// The arguments it was declared with.
        args: Vec<String>,
    },
}

pub(super) fn formula(tokens: Vec<Token>, order: usize) -> Main {
    Main::Formula { tokens, order, name: None, args: vec![] }
}

/// Finds the shape; the equations that only help are returned beside it.
///
/// # Errors
/// No formula, or several that do not make one shape.
pub fn find(statements: &mut Statements, cx: &mut Context2) -> Read<(Main, Vec<Equation>)> {
    let (main, helpers) = sorted(statements, cx)?;
    beside::unused(&main, &helpers, statements, cx)?;
    beside::repeated(&main, &helpers, cx);
    Ok((main, helpers))
}

fn sorted(statements: &mut Statements, cx: &mut Context2) -> Read<(Main, Vec<Equation>)> {
    let code = cx.given.style.code;
    let mut helpers = Vec::new();
    let mut axes: Vec<Equation> = Vec::new();
    if !code {
        levels::without_coordinates(statements, cx);
        levels::of_values(statements, cx);
        beside::named_twice(statements, cx);
        beside::called(statements, cx)?;
        beside::listed(statements);
        beside::squared(statements, cx);
        beside::ranged(statements, cx);
    }
    beside::level(statements, cx);
    let proper = statements.formulas.iter().any(|f| f.returned || !is_word(&f.tokens));
    renewed::heights(statements, cx);
    let renewed = renewed::coordinates(statements, cx)?;
    let mut before: BTreeSet<String> = BTreeSet::new();
    for e in std::mem::take(&mut statements.equations) {
        if renewed.values.contains(&e.order) {
            cx.known.defined.insert(e.name.clone());
            helpers.push(e);
            continue;
        }
        let own = cx.names_of(&e.body).contains(&e.name);
        let listed = is_axis(&e.name) && is_list(&e.body);
        let three = || e.body.iter().filter(|t| t.is(',')).count() == 2 && !code;
        if listed && (!e.args.is_empty() || three()) {
            if !e.args.is_empty() {
                cx.given.args = Some(e.args);
            }
            statements.formulas.push(Statement { tokens: e.body, order: e.order, returned: false });
        } else if is_axis(&e.name) {
            let upper = e.name.chars().all(char::is_uppercase);
            let lower_used = cx.names_of(&e.body).iter().any(|n| is_axis(n));
            if (code && proper) || (upper && lower_used && !own && (proper || !e.name.contains('Z'))) {
                cx.known.defined.insert(e.name.clone());
                helpers.push(e);
            } else if own && e.args.is_empty() && !renewed.components.contains(&e.order) {
                statements.formulas.push(Statement { tokens: e.whole, order: e.order, returned: false });
            } else {
                if !code
                    && !e.args.is_empty()
                    && e.args.iter().all(|a| is_axis(a) && !cx.names_of(&e.body).contains(a))
                {
                    let (name, args) = (&e.name, e.args.join(", "));
                    let what =
                        format!("{name}({args}) read as {name}, which {args} gives; write * for a product");
                    cx.remark(e.at, what);
                }
                axes.push(e);
            }
        } else if own && !code && !e.args.is_empty() && is_list(&e.body) && !calls(&e) {
            // `r(t) = (r cos t, r sin t, t)`: the name on the left is only a label.
            cx.functions.remove(&e.name);
            cx.given.args = Some(e.args);
            statements.formulas.push(Statement { tokens: e.body, order: e.order, returned: false });
        } else if own && !code && e.args.is_empty() && !before.contains(&e.name) {
            cx.known.defined.remove(&e.name);
            statements.formulas.push(Statement { tokens: e.whole, order: e.order, returned: false });
        } else if let Some(i) = relation_at(&e.body) {
            chain(e, i, statements, cx);
        } else {
            before.extend(e.args.is_empty().then(|| e.name.clone()));
            helpers.push(e);
        }
    }
    let formulas = std::mem::take(&mut statements.formulas);
    let formulas: Vec<Statement> = match formulas.iter().rposition(|f| f.returned) {
        Some(k) => {
            effects::carried_out(&formulas[..k])?;
            effects::returned_once(&formulas[..=k], &helpers)?;
            vec![formulas[k].clone()]
        }
        None => formulas,
    };
    let formulas = limits::of_parameters(formulas, &axes, &helpers, statements, cx);
    if formulas.is_empty()
        && let Some(main) = beside::over_disc(&mut axes, &helpers, statements, cx)
    {
        return Ok((main, helpers));
    }
    if formulas.is_empty()
        && let Some(main) = beside::cylindrical(&mut axes, &mut helpers, cx)
    {
        return Ok((main, helpers));
    }
    if formulas.is_empty()
        && axes.is_empty()
        && let Some(main) = turned::piece(&mut helpers, statements, cx)
    {
        return Ok((main, helpers));
    }
    let mut formulas = formulas;
    let each = ["x", "y", "z"].iter().all(|n| axes.iter().any(|e| e.name == *n));
    if !code && each && formulas.iter().all(limits::is_solid) {
        // What is said of them there names the condition.
        statements.conditions.append(&mut formulas);
    }
    given_once(&axes, &formulas, cx)?;
    if let Some(main) = components(&formulas, &mut axes, &mut helpers, cx) {
        return Ok((main, helpers));
    }
    let mut rest = formulas;
    for e in axes {
        rest.push(Statement { tokens: e.whole_plain(), order: e.order, returned: false });
    }
    choose(rest, helpers, statements, cx)
}

impl Equation {
    /// The equation without the arguments of its left side: `z(x, y) = ...` as `z = ...`.
    pub(super) fn whole_plain(&self) -> Vec<Token> {
        if self.args.is_empty() {
            return self.whole.clone();
        }
        let mut out = vec![self.whole[0].clone(), Token { tok: Tok::Sym('='), at: self.at, gap: Gap::None }];
        out.extend(self.body.iter().cloned());
        out
    }
}

/// Whether the tokens are one bracket with commas in it, or a bracket around such, as a column in brackets is.
pub(super) fn is_list(tokens: &[Token]) -> bool {
    if let [outer, inside @ .., _] = tokens
        && outer.is('(')
        && inside.first().is_some_and(|t| t.is('('))
        && super::brackets::closes_last(tokens)
        && super::brackets::closes_last(inside)
    {
        return is_list(inside);
    }
    let mut depth = 0;
    let mut commas = 0;
    for (i, t) in tokens.iter().enumerate() {
        match t.sym() {
            Some('(' | '[' | '{') => depth += 1,
            Some(')' | ']' | '}') => {
                depth -= 1;
                if depth == 0 && i + 1 < tokens.len() {
                    return false;
                }
            }
            Some(',' | ';') if depth == 1 => commas += 1,
            _ => {}
        }
        if depth == 0 && !matches!(t.sym(), Some(')' | ']' | '}')) {
            return false;
        }
    }
    commas >= 1
}

/// Whether a function calls itself.
fn calls(e: &Equation) -> bool {
    e.body.windows(2).any(|w| w[0].is_word(&e.name) && w[1].is('(') && w[1].gap == Gap::None)
}

fn is_word(tokens: &[Token]) -> bool {
    matches!(tokens, [Token { tok: Tok::Word(..), .. }])
}

pub(super) fn relation_at(tokens: &[Token]) -> Option<usize> {
    let mut depth = 0;
    if tokens.iter().any(|t| t.is('?')) {
        return None;
    }
    for (i, t) in tokens.iter().enumerate() {
        match t.sym() {
            Some('(' | '[' | '{' | CASES) => depth += 1,
            Some(')' | ']' | '}' | END_CASES) => depth -= 1,
            Some('?') if depth == 0 => return None,
            _ if depth == 0 && (t.is_word("if") || t.is('→')) => return None,
            _ if depth == 0 && comparison(t).is_some() => return Some(i),
            _ => {}
        }
    }
    None
}

/// `f = E = 0` and `f(x, y, z) = E = 0`: the name is only a label.
fn chain(e: Equation, at: usize, statements: &mut Statements, cx: &mut Context2) {
    // In code a name is given a condition, `inside = a < b`.
    let tested = cx.given.style.code && !e.body.iter().any(|t| t.is('='));
    let constant = cx.names_of(&e.body[at + 1..]).iter().all(|n| !is_axis(n));
    let labelled = !e.args.is_empty()
        || tested
        || constant && e.body[at].is('=') && cx.names_of(&e.body[..at]).iter().any(|n| is_axis(n));
    if labelled {
        cx.known.defined.remove(&e.name);
        statements.formulas.push(Statement { tokens: e.body, order: e.order, returned: false });
    } else {
        cx.known.defined.remove(&e.name);
        statements.formulas.push(Statement { tokens: e.whole, order: e.order, returned: false });
    }
}

/// Refuses a component that is given twice, outside of code, where the last value counts.
fn given_once(axes: &[Equation], formulas: &[Statement], cx: &Context2) -> Read<()> {
    let twice = axes.iter().enumerate().find(|(k, e)| axes[..*k].iter().any(|o| o.name == e.name));
    let several = axes.iter().any(|e| e.name != axes[0].name);
    match twice.filter(|_| !cx.given.style.code && several && formulas.is_empty()) {
        Some((_, e)) => fault(
            FaultClass::Unsupported,
            span(&e.whole),
            format!("the component {} is given a second time here", e.name),
            "paste one curve or surface at a time, each with one equation for x, y and z",
        ),
        None => Ok(()),
    }
}

/// Three (or two) components, each with its own equation or bare.
fn components(
    formulas: &[Statement],
    axes: &mut Vec<Equation>,
    helpers: &mut Vec<Equation>,
    cx: &mut Context2,
) -> Option<Main> {
    let proper: Vec<&Statement> =
        formulas.iter().filter(|f| !is_word(&f.tokens) || relation_at(&f.tokens).is_some()).collect();
    let bare = formulas.iter().all(|f| relation_at(&f.tokens).is_none());
    if axes.is_empty() {
        // Parts that hold all coordinates are formulas of their own.
        let spatial: BTreeSet<String> = formulas.iter().flat_map(|f| cx.names_of(&f.tokens)).collect();
        let listed = bare
            && !["x", "y", "z"].iter().all(|n| spatial.contains(*n))
            && (2..=3).contains(&formulas.len())
            && !formulas
                .iter()
                .all(|f| is_word(&f.tokens) && f.tokens[0].word().is_some_and(|w| w.len() > 1));
        return listed
            .then(|| Main::Components(formulas.iter().map(|f| (f.tokens.clone(), f.order)).collect()));
    }
    if !proper.is_empty() || axes.len() < 2 {
        return None;
    }
    let mut by_axis: Vec<Option<Equation>> = vec![None, None, None];
    for e in axes.iter() {
        let k = match e.name.to_ascii_lowercase().as_str() {
            "x" => 0,
            "y" => 1,
            _ => 2,
        };
        by_axis[k] = Some(e.clone());
    }
    let used: BTreeSet<String> = axes
        .iter()
        .flat_map(|e| cx.names_of(&e.body))
        .map(|n| if is_axis(&n) { n.to_lowercase() } else { n })
        .collect();
    let foreign: Vec<usize> =
        (0..3).filter(|k| by_axis[*k].is_none() && used.contains(["x", "y", "z"][*k])).collect();
    let have = by_axis.iter().flatten().count();
    let upright = have == 2 && foreign.is_empty() && by_axis[2].is_some();
    if have < 2 || upright && !one_parameter(&used) {
        return None;
    }
    if upright {
        let k = usize::from(by_axis[0].is_some());
        let e = axes[0].clone();
        cx.remark(span(&e.whole), format!("read as a curve in the plane {} = 0", ["x", "y"][k]));
        let zero = vec![Token { tok: Tok::Num(0.0, true), at: e.at, gap: Gap::None }];
        by_axis[k] = Some(Equation { body: zero, ..e });
    }
    if let Some(args) = axes.iter().map(|e| e.args.clone()).max_by_key(Vec::len).filter(|a| !a.is_empty()) {
        cx.given.args = Some(args);
    }
    let inner: BTreeSet<String> = axes.iter().map(|e| e.name.to_lowercase()).collect();
    if have == 3
        && let Some((height, angles)) = beside::over_plane(axes, helpers, cx)
    {
        if height {
            let z = by_axis[2].take()?;
            return Some(formula(z.whole_plain(), z.order));
        }
        cx.given.args = Some(angles);
        let first = by_axis[2].as_ref().map_or(0, |z| z.order);
        for e in axes.iter().filter(|e| e.order > first) {
            cx.known.defined.insert(e.name.clone());
            helpers.push(Equation { order: 0, ..e.clone() });
        }
    }
    if have == 3 && used.iter().any(|n| inner.contains(n)) {
        // One component uses another: it stands for that component.
        for e in axes.iter() {
            cx.known.defined.insert(e.name.clone());
        }
        let later =
            |e: &&Equation| axes.iter().any(|o| o.order > e.order && cx.names_of(&o.body).contains(&e.name));
        helpers.extend(axes.iter().filter(later).cloned());
    }
    if have == 2 {
        chained(axes, &foreign, helpers, cx);
    }
    let mut parts = Vec::new();
    for (k, e) in by_axis.into_iter().enumerate() {
        match e {
            Some(e) => parts.push((e.body, e.order)),
            None if foreign.contains(&k) => {
                let at = axes[0].at;
                let name = ["x", "y", "z"][k];
                cx.remark(at, format!("read as a curve with {name} itself as its parameter"));
                parts.push((vec![Token { tok: Tok::Word(name.into(), true), at, gap: Gap::None }], 0));
            }
            None => {}
        }
    }
    axes.clear();
    Some(Main::Components(parts))
}

/// Whether components use one of the names that parameters of curves have, and no coordinate.
fn one_parameter(used: &BTreeSet<String>) -> bool {
    let usual = |n: &&String| matches!(n.as_str(), "t" | "u" | "s" | "v" | "theta" | "phi");
    used.iter().filter(usual).count() == 1
        && !used.iter().any(|n| is_axis(n) || matches!(n.as_str(), "r" | "rho"))
}

/// `y = x^2, z = y^2`: beside a coordinate that is the parameter, one component that the other uses stands for its value.
fn chained(axes: &[Equation], foreign: &[usize], helpers: &mut Vec<Equation>, cx: &mut Context2) {
    let free = |e: &Equation| {
        let own =
            |n: &String| is_axis(n) && !foreign.contains(&usize::from(n.to_lowercase().as_bytes()[0] - b'x'));
        !cx.names_of(&e.body).iter().any(own)
    };
    let used = |e: &&Equation| {
        axes.iter().any(|o| o.name != e.name && cx.names_of(&o.body).contains(&e.name)) && e.args.is_empty()
    };
    let values: Vec<Equation> = axes.iter().filter(|e| free(e)).filter(used).cloned().collect();
    for e in values {
        cx.known.defined.insert(e.name.clone());
        let renewed = helpers.iter().any(|h| is_axis(&h.name));
        helpers.push(Equation { order: if renewed { e.order } else { 0 }, ..e });
    }
}

fn choose(
    mut formulas: Vec<Statement>,
    mut helpers: Vec<Equation>,
    statements: &mut Statements,
    cx: &mut Context2,
) -> Read<(Main, Vec<Equation>)> {
    if formulas.len() > 1 {
        formulas.retain(|f| {
            let lone = is_word(&f.tokens);
            if lone {
                cx.remarks.push(super::reading::Remark {
                    what: format!("{} was left out", f.tokens[0].shown()),
                    at: span(&f.tokens).range(),
                });
            }
            !lone
        });
    }
    drop_conditions(&mut formulas, cx);
    let shaped = shaped(&helpers, &formulas, cx);
    limits::set_apart(&mut formulas, statements, shaped, cx.given.style.code);
    limits::of_solid(&mut formulas, statements, cx);
    if formulas.is_empty() {
        if let Some(main) = limits::solid_of_ranges(statements, cx, &helpers) {
            return Ok((main, helpers));
        }
        return from_helpers(helpers, statements, cx);
    }
    if formulas.len() == 1 {
        let Some(f) = formulas.pop() else { return from_helpers(helpers, statements, cx) };
        let f = vector_side(f, cx);
        return Ok((formula(f.tokens, f.order), helpers));
    }
    if formulas.iter().all(limits::is_solid) {
        let at = span(&formulas[1].tokens);
        cx.remark(at, "several conditions read as the solid where all of them hold");
        let mut tokens: Vec<Token> = Vec::new();
        let order = formulas.last().map_or(0, |f| f.order);
        for f in formulas {
            if !tokens.is_empty() {
                tokens.push(Token { tok: Tok::Sym('∧'), at: span(&f.tokens), gap: Gap::None });
            }
            tokens.extend(limits::whole(f.tokens));
        }
        return Ok((formula(tokens, order), helpers));
    }
    if cx.given.style.code {
        // The last line of a piece of code is what it is about.
        if let Some(f) = formulas.pop() {
            effects::carried_out(&formulas)?;
            for other in formulas {
                if !cx.names_of(&other.tokens).iter().any(|n| is_axis(n)) {
                    continue;
                }
                cx.remark(
                    span(&other.tokens),
                    "this formula was left out: the last one was taken as the shape",
                );
            }
            helpers.retain(|h| h.order != f.order);
            return Ok((formula(f.tokens, f.order), helpers));
        }
    }
    let second = span(&formulas[1].tokens);
    fault(
        FaultClass::Unsupported,
        second,
        "there are several formulas here, and this is the second",
        "paste one at a time, or join solids with \"and\"",
    )
}

/// Conditions on parameters, such as `a > 0`, say nothing about the shape.
fn drop_conditions(formulas: &mut Vec<Statement>, cx: &mut Context2) {
    if formulas.len() < 2 {
        return;
    }
    let plane =
        |f: &Statement| cx.names_of(&f.tokens).iter().any(|n| is_axis(n) && !matches!(n.as_str(), "z" | "Z"));
    let round = formulas.iter().all(|f| limits::is_solid(f) && !plane(f));
    // Beside coordinates p is a parameter, not the point.
    let point = !formulas.iter().any(|f| cx.names_of(&f.tokens).iter().any(|n| is_axis(n)));
    let radius = |n: &str| round && beside::is_polar(n) && !cx.known.defined.contains(n);
    let keep: Vec<bool> = formulas
        .iter()
        .map(|f| {
            let names = cx.names_of(&f.tokens);
            let compared = f.tokens.iter().any(|t| matches!(t.sym(), Some('<' | '>' | '≤' | '≥' | '≠')));
            let moves = |n: &String| is_axis(n) || cx.known.varying.contains(n);
            !compared || names.iter().any(|n| moves(n) || n == "p" && point || radius(n))
        })
        .collect();
    if keep.iter().all(|k| !k) {
        return;
    }
    let mut k = 0;
    formulas.retain(|f| {
        k += 1;
        if !keep[k - 1] {
            cx.remarks.push(super::reading::Remark {
                what: "this condition on a parameter was left out".into(),
                at: span(&f.tokens).range(),
            });
        }
        keep[k - 1]
    });
}

/// `(x, y, z) = (...)`: the right side is the shape.
fn vector_side(f: Statement, cx: &mut Context2) -> Statement {
    let Some(i) = relation_at(&f.tokens) else { return f };
    let left = &f.tokens[..i];
    if let Some(args) = coordinates_by(left).filter(|a| !a.is_empty() && f.tokens[i].is('=')) {
        cx.given.args = Some(args);
        return Statement { tokens: f.tokens[i + 1..].to_vec(), ..f };
    }
    let names: Vec<&str> = left.iter().filter_map(Token::word).collect();
    let listed =
        left.iter().all(|t| t.word().is_some() || matches!(t.sym(), Some('(' | ')' | '[' | ']' | ',' | ';')));
    let tuple = listed
        && left.first().is_some_and(|t| t.is('(') || t.is('['))
        && names.len() >= 2
        && left.iter().any(|t| t.is(','));
    if tuple && names.iter().all(|n| is_axis(n)) && f.tokens[i].is('=') {
        return Statement { tokens: f.tokens[i + 1..].to_vec(), ..f };
    }
    f
}

/// Whether an equation is a shape by itself, which the formulas beside it do not use: a radius by an angle or the
/// height, `r = 1 + cos θ`, one that is fixed, `r = 2`, or a function of coordinates.
pub(super) fn shaped(helpers: &[Equation], formulas: &[Statement], cx: &Context2) -> bool {
    let moves = |n: &String| matches!(n.as_str(), "theta" | "phi" | "z");
    let used = |h: &Equation| formulas.iter().any(|f| cx.names_of(&f.tokens).contains(&h.name));
    let turned = |h: &Equation| {
        let round = h.args.is_empty() && matches!(h.name.as_str(), "r" | "rho") && !used(h);
        round && cx.names_of(&h.body).iter().any(moves)
    };
    // `F(x, y, z) < 0` is a condition on the function itself.
    let told = |h: &Equation| {
        h.args.len() == 3 && formulas.iter().any(|f| f.tokens.iter().any(|t| t.is_word(&h.name)))
    };
    let function = |h: &Equation| !h.args.is_empty() && h.args.iter().all(|a| is_axis(a)) && !told(h);
    let fixed = radius(helpers, cx).is_some_and(|k| !used(&helpers[k]));
    !cx.given.style.code && (fixed || helpers.iter().any(|h| turned(h) || function(h)))
}
