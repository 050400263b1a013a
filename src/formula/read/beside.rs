//! Equations beside the shape: those that nothing uses, and those that together are a curve in cylindrical coordinates.

use std::collections::BTreeMap;

use super::clauses::{Equation, Range, Statement, Statements, is_axis};
use super::faults::{FaultClass, Read, fault};
use super::kinds::Context2;
use super::main_formula::{Main, is_list, relation_at};
use super::parse::comparison;
use super::plots::names_level;
use super::token::*;

/// Radii and angles of polar, cylindrical and spherical coordinates.
pub(super) fn is_polar(name: &str) -> bool {
    matches!(name, "r" | "rho" | "theta" | "phi")
}

/// Says which equations help nothing.
///
/// # Errors
/// One of them is in coordinates: a second surface.
pub(super) fn unused(
    main: &Main,
    helpers: &[Equation],
    statements: &Statements,
    cx: &mut Context2,
) -> Read<()> {
    if cx.given.style.code {
        return Ok(());
    }
    let mut all: Vec<&[Token]> = match main {
        Main::Components(parts) => parts.iter().map(|(t, _)| t.as_slice()).collect(),
        Main::Formula { tokens, .. } => vec![tokens],
    };
    all.extend(helpers.iter().map(|h| h.body.as_slice()));
    all.extend(statements.ranges.iter().map(|r| r.whole.as_slice()));
    let mut used: Vec<String> = all.iter().flat_map(|t| cx.names_of(t)).collect();
    used.extend(all.iter().flat_map(|t| t.iter()).filter_map(|t| t.word().map(str::to_owned)));
    let round = used.iter().any(|n| is_polar(n) && n != "phi" && helpers.iter().all(|h| h.name != *n));
    for h in helpers.iter().filter(|h| !used.contains(&h.name)) {
        let varies = cx.names_of(&h.body).iter().any(|n| is_polar(n) || is_axis(n));
        let radial = matches!(h.name.as_str(), "r" | "rho" | "theta") || h.name == "phi" && (varies || round);
        if radial && h.args.is_empty() {
            return fault(
                FaultClass::Unsupported,
                span(&h.whole),
                format!("this equation in {} is a surface of its own: there are two formulas here", h.name),
                "paste one at a time; a curve is written with three components, (x, y, z)",
            );
        }
        cx.remark(span(&h.whole), format!("{} is given a value that the formula does not use", h.name));
    }
    Ok(())
}

/// `r = f(t), θ = g(t), z = h(t)` or `r = f(θ), z = h(θ)`: the components of the curve or surface.
pub(super) fn cylindrical(
    axes: &mut Vec<Equation>,
    helpers: &mut Vec<Equation>,
    cx: &mut Context2,
) -> Option<Main> {
    let one = |names: [&str; 2]| {
        let mut found = (0..helpers.len()).filter(|k| names.contains(&helpers[*k].name.as_str()));
        found.next().filter(|_| found.next().is_none())
    };
    let r = one(["r", "rho"])?;
    let [height] = axes.as_slice() else { return None };
    let (r, height) = (helpers[r].clone(), height.clone());
    let (angle, itself) = match one(["theta", "phi"]) {
        Some(k) => (helpers[k].clone(), None),
        None => {
            let angle = alone([&r, &height], cx)?;
            (angle.clone(), Some(angle.name))
        }
    };
    let inner = [&r, &angle, &height];
    let fixed = |n: &String| (is_polar(n) || is_axis(n)) && Some(n) != itself.as_ref();
    let coordinates = inner.iter().any(|e| cx.names_of(&e.body).iter().any(fixed));
    if cx.given.style.code || height.name != "z" || coordinates {
        return None;
    }
    if let Some(args) = inner.iter().map(|e| e.args.clone()).find(|a| !a.is_empty()) {
        cx.given.args = Some(args);
    }
    let what =
        format!("{} and {} read as the distance from the z axis and the angle around it", r.name, angle.name);
    cx.remark(span(&r.whole).join(span(&angle.whole)), what);
    for e in [&r, &angle] {
        cx.known.defined.remove(&e.name);
        helpers.retain(|h| h.name != e.name);
    }
    axes.clear();
    let parts = vec![
        (around(&r, "cos", &angle), r.order.max(angle.order)),
        (around(&r, "sin", &angle), r.order.max(angle.order)),
        (height.body.clone(), height.order),
    ];
    Some(Main::Components(parts))
}

/// The angle that the height beside a radius is given by, `r = 2, z = θ/3`, as the name that stands for itself.
fn alone(equations: [&Equation; 2], cx: &Context2) -> Option<Equation> {
    let [r, height] = equations;
    let used = cx.names_of(&height.body);
    let angle = ["theta", "phi"].into_iter().find(|n| used.contains(*n))?;
    let body = vec![Token { tok: Tok::Word(angle.to_owned(), true), at: r.at, gap: Gap::None }];
    (height.args.is_empty() && r.args.is_empty()).then(|| Equation {
        name: angle.to_owned(),
        args: vec![],
        body,
        ..r.clone()
    })
}

/// `(r)*cos(angle)`
pub(super) fn around(r: &Equation, function: &str, angle: &Equation) -> Vec<Token> {
    let token = |tok: Tok| Token { tok, at: r.at, gap: Gap::None };
    let sign = |c: char| token(Tok::Sym(c));
    let mut out = vec![sign('(')];
    out.extend(r.body.iter().cloned());
    out.extend([sign(')'), sign('*'), token(Tok::Func(function.to_owned())), sign('(')]);
    out.extend(angle.body.iter().cloned());
    out.push(sign(')'));
    out
}

/// `z = f(r, θ)` with a range of r: a surface over a disc or ring, by its radius and angle.
pub(super) fn over_disc(
    axes: &mut Vec<Equation>,
    helpers: &[Equation],
    statements: &mut Statements,
    cx: &mut Context2,
) -> Option<Main> {
    let [height] = axes.as_slice() else { return None };
    let height = height.clone();
    let ranged =
        |names: [&str; 2]| statements.ranges.iter().find(|r| names.contains(&r.name.as_str())).cloned();
    let radius = ranged(["r", "rho"])?;
    let used = cx.names_of(&height.body);
    let defined = helpers.iter().any(|h| is_polar(&h.name));
    if cx.given.style.code || height.name != "z" || defined || used.iter().any(|n| is_axis(n)) {
        return None;
    }
    if !height.args.iter().all(|a| is_polar(a)) || statements.ranges.iter().any(|r| is_axis(&r.name)) {
        return None;
    }
    let angle = ranged(["theta", "phi"]).map_or_else(
        || if used.contains("phi") && !used.contains("theta") { "phi" } else { "theta" }.to_owned(),
        |r| r.name,
    );
    let token = |tok: Tok| Token { tok, at: radius.at, gap: Gap::None };
    let name = |n: &str| token(Tok::Word(n.to_owned(), true));
    if ranged(["theta", "phi"]).is_none() {
        let high = vec![token(Tok::Num(std::f64::consts::TAU, false))];
        let low = vec![token(Tok::Num(0.0, true))];
        let whole = radius.whole.clone();
        statements.ranges.push(Range { name: angle.clone(), at: radius.at, low, high, whole });
    }
    let what =
        format!("{} and {angle} read as the radius and the angle of a surface over the plane", radius.name);
    cx.remark(span(&radius.whole), what);
    let equation = |n: &str| Equation {
        name: n.to_owned(),
        at: radius.at,
        args: vec![],
        body: vec![name(n)],
        whole: vec![],
        order: height.order,
    };
    let (r, a) = (equation(&radius.name), equation(&angle));
    cx.given.args = Some(vec![radius.name.clone(), angle]);
    axes.clear();
    let parts = vec![
        (around(&r, "cos", &a), height.order),
        (around(&r, "sin", &a), height.order),
        (height.body, height.order),
    ];
    Some(Main::Components(parts))
}

/// `x = r cos t, y = r sin t, z = x^2 + y^2`: the names of the radius and the angle, where x and y are given by these and
/// z by x and y; true where z stands first, so that the others only say what r and t are.
pub(super) fn over_plane(
    axes: &[Equation],
    helpers: &[Equation],
    cx: &mut Context2,
) -> Option<(bool, Vec<String>)> {
    let named = |n: &str| axes.iter().find(|e| e.name == n);
    let (x, y, z) = (named("x")?, named("y")?, named("z")?);
    let parts = cx.names_of(&x.body);
    let radius = parts.iter().find(|n| matches!(n.as_str(), "r" | "rho"))?.clone();
    let angle = parts.iter().find(|n| matches!(n.as_str(), "t" | "theta" | "phi"))?.clone();
    let height = cx.names_of(&z.body);
    let by_plane = ["x", "y"].iter().any(|n| height.contains(*n));
    let alone = !height.contains(&angle) && !height.contains(&radius);
    let defined = cx.given.lets.contains_key(&radius) || helpers.iter().any(|h| h.name == radius);
    if parts.len() != 2 || cx.names_of(&y.body) != parts || !by_plane || !alone || defined {
        return None;
    }
    let first = z.order < x.order.min(y.order)
        && !cx.known.defined.contains(&radius)
        && !cx.known.defined.contains(&angle);
    if first {
        cx.remark(
            span(&x.whole).join(span(&y.whole)),
            "the surface is the same without these equations of x and y",
        );
    }
    Some((first, vec![radius, angle]))
}

/// Ranges of what helpers give by coordinates, `w = x^2 + y^2 + z^2, 1 < w < 4`, are conditions.
pub(super) fn ranged(statements: &mut Statements, cx: &Context2) {
    let spatial = |r: &Range| {
        let same = |e: &&Equation| e.name == r.name && e.args.is_empty() && !is_axis(&e.name);
        statements
            .equations
            .iter()
            .find(same)
            .is_some_and(|e| cx.names_of(&e.body).iter().any(|n| is_axis(n)))
    };
    let (conditions, others): (Vec<Range>, Vec<Range>) =
        statements.ranges.iter().cloned().partition(|r| spatial(r) && relation_at(&r.whole).is_some());
    statements.ranges = others;
    for r in conditions {
        statements.order += 1;
        statements.formulas.push(Statement { tokens: r.whole, order: statements.order, returned: false });
    }
}

/// Says which value of a name is used where the text gives it several.
pub(super) fn repeated(main: &Main, helpers: &[Equation], cx: &mut Context2) {
    let place = match main {
        Main::Components(parts) => parts.iter().map(|p| p.1).max().unwrap_or_default(),
        Main::Formula { order, .. } => *order,
    };
    let mut all: BTreeMap<&str, Vec<&Equation>> = BTreeMap::new();
    for h in helpers.iter().filter(|h| h.args.is_empty() && !cx.given.style.code) {
        all.entry(&h.name).or_default().push(h);
    }
    for (name, same) in all.into_iter().filter(|(_, same)| same.len() > 1) {
        let used = same.iter().rev().find(|e| e.order < place).or(same.first());
        if let Some(e) = used {
            cx.remark(span(&e.whole), format!("{name} is given several values; this one is used"));
        }
    }
}

/// `r² = x² + y²` and `c² = a² − b²` beside a formula with r or c are their values, which are no less than nought.
pub(super) fn squared(statements: &mut Statements, cx: &mut Context2) {
    while statements.formulas.len() > 1 || !statements.equations.is_empty() {
        if !one_squared(statements, cx) {
            return;
        }
    }
}

/// Makes the first such statement a value; false where there is none.
fn one_squared(statements: &mut Statements, cx: &mut Context2) -> bool {
    // The name and where its square ends; a raised two stands in brackets.
    let square = |f: &Statement| {
        let sign = f.tokens.iter().position(|t| t.is('='))?;
        let [name, raise, two @ ..] = &f.tokens[..sign] else { return None };
        let twice = matches!(two, [n] | [_, n, _] if matches!(n.tok, Tok::Num(2.0, _)));
        let body = &f.tokens[sign + 1..];
        let radius = body.iter().all(|t| t.word().is_none_or(is_axis))
            && ["x", "y"].iter().all(|n| body.iter().any(|t| t.is_word(n)));
        let moves =
            |t: &Token| t.word().is_some_and(|w| is_axis(w) || is_polar(w) || matches!(w, "t" | "u" | "v"));
        let constant = !body.iter().any(|t| moves(t) || t.word() == name.word() || comparison(t).is_some());
        let name = name.word().filter(|n| !is_axis(n) && raise.is('^') && twice && (radius || constant))?;
        Some((name.to_owned(), sign, radius))
    };
    let Some((k, (name, sign_at, radius))) =
        statements.formulas.iter().enumerate().find_map(|(k, f)| Some((k, square(f)?)))
    else {
        return false;
    };
    let others = statements.formulas.iter().enumerate().filter(|(i, _)| *i != k).map(|(_, f)| &f.tokens);
    let used =
        others.chain(statements.equations.iter().map(|e| &e.body)).any(|t| cx.names_of(t).contains(&name));
    if !used || statements.equations.iter().any(|e| e.name == name) {
        return false;
    }
    let Statement { tokens, order, .. } = statements.formulas.remove(k);
    let at = tokens[0].at;
    let sign = |tok: Tok| Token { tok, at, gap: Gap::None };
    let mut body = vec![sign(Tok::Func("sqrt".into())), sign(Tok::Sym('('))];
    body.extend_from_slice(&tokens[sign_at + 1..]);
    body.push(sign(Tok::Sym(')')));
    cx.remark(span(&tokens), format!("{name} read as the positive root of its square"));
    cx.known.defined.insert(name.clone());
    if radius {
        cx.known.varying.insert(name.clone());
    }
    statements.equations.push(Equation { name, at, args: vec![], body, whole: tokens, order });
    true
}

/// `r(t) = cos t, sin t, t`: components that lost their brackets.
pub(super) fn listed(statements: &mut Statements) {
    let bare = |s: &Statements, order: usize| {
        s.formulas.iter().position(|f| f.order == order && relation_at(&f.tokens).is_none())
    };
    for k in 0..statements.equations.len() {
        let e = &statements.equations[k];
        let own = !e.args.is_empty() && !e.args.iter().any(|a| is_axis(a)) && !is_list(&e.body);
        let (Some(y), Some(z), true) = (bare(statements, e.order + 1), bare(statements, e.order + 2), own)
        else {
            continue;
        };
        let sign = |c: char| Token { tok: Tok::Sym(c), at: e.at, gap: Gap::None };
        let (y, z) = (&statements.formulas[y].tokens, &statements.formulas[z].tokens);
        let body = [&[sign('(')], e.body.as_slice(), &[sign(',')], y, &[sign(',')], z, &[sign(')')]].concat();
        let order = e.order;
        statements.formulas.retain(|f| f.order != order + 1 && f.order != order + 2);
        statements.equations[k].body = body;
    }
}

/// `x^2 + y^2 - z^2, level = 1`: a level that nothing uses is the value that the bare expression beside it has.
pub(super) fn level(statements: &mut Statements, cx: &mut Context2) {
    let number = |e: &Equation| e.args.is_empty() && e.body.iter().all(|t| t.word().is_none());
    let Some(e) = statements.equations.iter().find(|e| names_level(&e.name) && number(e)).cloned() else {
        return;
    };
    let used = |t: &Vec<Token>| t.iter().any(|t| t.is_word(&e.name));
    if statements.formulas.is_empty() {
        bare(statements, cx);
    }
    let others = statements.equations.iter().filter(|o| o.order != e.order).map(|o| &o.body);
    let [f] = statements.formulas.as_mut_slice() else { return };
    if relation_at(&f.tokens).is_some()
        || is_list(&f.tokens)
        || used(&f.tokens)
        || others.into_iter().any(used)
    {
        return;
    }
    let sign = |c: char| Token { tok: Tok::Sym(c), at: e.at, gap: Gap::None };
    f.tokens = [f.tokens.as_slice(), &[sign('=')], e.body.as_slice()].concat();
    cx.remark(span(&e.whole), format!("{} read as the value that the formula has on the surface", e.name));
    statements.equations.retain(|o| o.order != e.order);
}

/// Takes the last definition in coordinates, `f = x^2 + y^2 - z`, as the formula where there is no other.
fn bare(statements: &mut Statements, cx: &Context2) {
    let shape = |e: &Equation| {
        let plain = e.args.is_empty() && !is_axis(&e.name) && relation_at(&e.body).is_none();
        plain && cx.names_of(&e.body).iter().any(|n| is_axis(n))
    };
    let coordinates = statements.equations.iter().any(|e| is_axis(&e.name));
    if let Some(k) = statements.equations.iter().rposition(shape).filter(|_| !coordinates) {
        let e = statements.equations.remove(k);
        statements.formulas.push(Statement { tokens: e.body, order: e.order, returned: false });
    }
}

/// `f(x) = z` beside a definition of f is a formula; alone it is one whose function is not known, since its right side is
/// no value for the arguments.
///
/// # Errors
/// The function that is not known.
pub(super) fn called(statements: &mut Statements, cx: &mut Context2) -> Read<()> {
    let all = statements.equations.clone();
    let call = |e: &Equation, cx: &Context2| {
        let coordinates = e.args.iter().all(|a| is_axis(a) || is_polar(a));
        let radius = matches!(e.name.as_str(), "r" | "rho") && !e.args.iter().any(|a| is_axis(a));
        let used: Vec<String> = cx.names_of(&e.body).into_iter().collect();
        let foreign = used.iter().any(|n| is_axis(n));
        let own = used.iter().any(|n| e.args.iter().any(|a| a.eq_ignore_ascii_case(n)));
        !e.args.is_empty() && !is_axis(&e.name) && coordinates && !radius && foreign && !own
    };
    for (k, e) in all.iter().enumerate().rev().filter(|(_, e)| call(e, cx)) {
        let defined = all.iter().any(|o| o.name == e.name && !o.args.is_empty() && !call(o, cx));
        if !defined {
            let args = e.args.join(", ");
            return fault(
                FaultClass::UnknownFunction,
                e.at,
                format!("the function {} is not known", e.name),
                format!("define it, as {}({args}) = ..., or write out what it gives", e.name),
            );
        }
        statements.equations.remove(k);
        statements.formulas.push(Statement { tokens: e.whole.clone(), order: e.order, returned: false });
    }
    Ok(())
}

/// `g = 0.5` as `g(x, y, z) = 0.5`.
fn at_level(e: &Equation, args: &[String]) -> Vec<Token> {
    let mut out = called_with(&e.whole[0], args);
    out.push(Token { tok: Tok::Sym('='), at: e.at, gap: Gap::None });
    out.extend(e.body.iter().cloned());
    out
}

/// `g` as `g(x, y, z)`.
fn called_with(name: &Token, args: &[String]) -> Vec<Token> {
    let token = |tok: Tok| Token { tok, at: name.at, gap: Gap::None };
    let sign = |c: char| token(Tok::Sym(c));
    let mut out = vec![name.clone(), sign('(')];
    out.extend(args.iter().flat_map(|a| [token(Tok::Word(a.clone(), true)), sign(',')]));
    out.pop();
    out.push(sign(')'));
    out
}

/// Whether an equation gives its name a value without coordinates or parameters, `f(x, y, z) = c` or `f = 2`; one with
/// other names in it only where it has no arguments or only coordinates for them.
fn is_fixed(e: &Equation, cx: &Context2) -> bool {
    // Beside all three coordinates no other name is one, or a parameter.
    let other = |n: &str| (is_polar(n) || matches!(n, "t" | "u" | "v")) && !cx.known.defined.contains(n);
    let moves = |n: &String| is_axis(n) || *n == e.name || e.args.len() != 3 && other(n);
    let short = e.args.iter().all(|a| is_axis(a)) && !e.body.iter().any(|t| t.is(',') || t.is('…'));
    e.body.iter().all(|t| t.word().is_none())
        || short && relation_at(&e.body).is_none() && !cx.names_of(&e.body).iter().any(moves)
}

/// `f < 0` beside a definition of f(x, y, z) is a condition on its value there.
fn compared_by_name(statements: &mut Statements) {
    let Statements { equations, formulas, .. } = statements;
    for f in formulas.iter_mut().filter(|f| f.tokens.len() > 2 && comparison(&f.tokens[1]).is_some()) {
        let same = |e: &&Equation| {
            f.tokens[0].is_word(&e.name) && e.args.len() == 3 && e.args.iter().all(|a| is_axis(a))
        };
        if let Some(e) = equations.iter().find(same) {
            let call = called_with(&f.tokens[0], &e.args);
            f.tokens.splice(..1, call);
        }
    }
}

/// `f(x, y, z) = 0` beside a definition of f is the formula, and a name between two signs, `z = f(x, y) = …`, a label.
pub(super) fn named_twice(statements: &mut Statements, cx: &Context2) {
    compared_by_name(statements);
    let all = statements.equations.clone();
    for e in &mut statements.equations {
        let close = e.body.iter().position(|t| t.is(')')).unwrap_or(0);
        let label = close > 2
            && e.body[0].word().is_some()
            && e.body[1].is('(')
            && e.body[2..close].iter().all(|t| t.is(',') || t.word().is_some_and(is_axis))
            && e.body.get(close + 1).is_some_and(|t| t.is('='));
        let spatial = || e.body[close + 2..].iter().any(|t| t.word().is_some_and(is_axis));
        if label && (is_axis(&e.name) || e.args.is_empty() && spatial()) {
            e.body.drain(..close + 2);
            e.whole = e.whole.iter().take(2).chain(&e.body).cloned().collect();
            e.args.clear();
        }
    }
    let plain = |e: &Equation| is_fixed(e, cx);
    let spatial = |o: &Equation| !o.args.is_empty() && o.args.iter().all(|a| is_axis(a)) && !plain(o);
    // `g = 0.5` beside `g(x, y, z) = …` is the level at which it is taken.
    let level =
        |e: &Equation| plain(e) && e.args.is_empty() && all.iter().any(|o| o.name == e.name && spatial(o));
    let number = |e: &Equation| !e.args.is_empty() && plain(e) || level(e);
    let other = |e: &Equation| all.iter().find(|o| o.name == e.name && o.order != e.order && !number(o));
    let (zero, rest): (Vec<Equation>, Vec<Equation>) = std::mem::take(&mut statements.equations)
        .into_iter()
        .partition(|e| number(e) && !is_axis(&e.name) && other(e).is_some());
    statements.equations = rest;
    for e in zero {
        let Some(o) = other(&e) else { continue };
        let tokens = match (o.args.is_empty(), e.args.is_empty()) {
            (true, _) => e.whole_plain(),
            (false, true) => at_level(&e, &o.args),
            (false, false) => e.whole.clone(),
        };
        statements.formulas.push(Statement { tokens, order: e.order, returned: false });
    }
}
