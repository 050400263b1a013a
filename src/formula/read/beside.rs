//! Equations beside the shape: those that nothing uses, and those that together are a curve in cylindrical coordinates.

use super::clauses::{Equation, Statements, is_axis};
use super::faults::{FaultClass, Read, fault};
use super::kinds::Context2;
use super::main_formula::Main;
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
    for h in helpers.iter().filter(|h| !used.contains(&h.name)) {
        let varies = cx.names_of(&h.body).iter().any(|n| is_polar(n) || is_axis(n));
        let radial = matches!(h.name.as_str(), "r" | "rho" | "theta") || h.name == "phi" && varies;
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

/// `r = f(t), θ = g(t), z = h(t)`: the components of the curve or surface.
pub(super) fn cylindrical(
    axes: &mut Vec<Equation>,
    helpers: &mut Vec<Equation>,
    cx: &mut Context2,
) -> Option<Main> {
    let one = |names: [&str; 2]| {
        let mut found = (0..helpers.len()).filter(|k| names.contains(&helpers[*k].name.as_str()));
        found.next().filter(|_| found.next().is_none())
    };
    let (r, angle) = (one(["r", "rho"])?, one(["theta", "phi"])?);
    let [height] = axes.as_slice() else { return None };
    let (r, angle, height) = (helpers[r].clone(), helpers[angle].clone(), height.clone());
    let inner = [&r, &angle, &height];
    let coordinates = inner.iter().any(|e| cx.names_of(&e.body).iter().any(|n| is_polar(n) || is_axis(n)));
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

/// `(r)*cos(angle)`
fn around(r: &Equation, function: &str, angle: &Equation) -> Vec<Token> {
    let token = |tok: Tok| Token { tok, at: r.at, gap: Gap::None };
    let sign = |c: char| token(Tok::Sym(c));
    let mut out = vec![sign('(')];
    out.extend(r.body.iter().cloned());
    out.extend([sign(')'), sign('*'), token(Tok::Func(function.to_owned())), sign('(')]);
    out.extend(angle.body.iter().cloned());
    out.push(sign(')'));
    out
}
