//! Curves and surfaces from components: which of their names are parameters.

use super::faults::{FaultClass, Read, fault};
use super::kinds::{Context2, Ranges};
use super::reading::Kind;
use crate::formula::Expr;
use crate::formula::walk::names;

/// Names that usually are parameters, the likelier pairs first.
const PAIRS: &[[&str; 2]] = &[
    ["u", "v"],
    ["s", "t"],
    ["theta", "phi"],
    ["u", "t"],
    ["t", "v"],
    ["t", "theta"],
    ["t", "phi"],
    ["u", "theta"],
    ["u", "phi"],
    ["v", "theta"],
    ["s", "theta"],
    ["s", "u"],
    ["alpha", "beta"],
    ["r", "theta"],
    ["rho", "theta"],
    ["r", "phi"],
    ["rho", "phi"],
    ["x", "y"],
    ["x", "z"],
    ["y", "z"],
];

const SINGLES: &[&str] =
    &["t", "u", "s", "v", "theta", "phi", "tau", "psi", "alpha", "lambda", "w", "x", "y", "z"];

/// A curve or a surface from components.
pub(super) fn parametric(
    parts: Vec<Expr>,
    declared: &[String],
    ranges: &Ranges,
    cx: &mut Context2,
) -> Read<Kind> {
    let mut parts = parts;
    let flat = parts.len() == 2;
    if flat {
        parts.push(Expr::constant(0.0));
    }
    let Ok(components) = <[Expr; 3]>::try_from(parts) else {
        return fault(
            FaultClass::NoShape,
            cx.given.whole,
            "a curve or surface needs three components",
            "separate them with commas: x, y, z",
        );
    };
    let used = names(&components);
    let params = parameters(&used, declared, ranges);
    if flat {
        let kind = if params.len() == 2 { "surface" } else { "curve" };
        cx.remark(cx.given.whole, format!("two components read as a {kind} in the plane z = 0"));
    }
    let likely: Vec<&str> =
        ["t", "u", "v", "s", "theta", "phi"].into_iter().filter(|n| used.iter().any(|u| u == n)).collect();
    if declared.is_empty() && ranges.is_empty() && likely.len() > 2 {
        return fault(
            FaultClass::Components,
            cx.given.whole,
            format!("these components run over {} parameters: {}", likely.len(), likely.join(", ")),
            "a curve has one parameter and a surface two",
        );
    }
    let range = |n: &str| ranges.iter().find(|(m, ..)| m == n).map(|(_, a, b)| (*a, *b));
    match params.as_slice() {
        [param] => Ok(Kind::Curve { components, param: param.clone(), range: range(param) }),
        [a, b] => {
            Ok(Kind::Surface { components, ranges: [range(a), range(b)], params: [a.clone(), b.clone()] })
        }
        [] => fault(
            FaultClass::NoShape,
            cx.given.whole,
            "three numbers are a point, not a curve or a surface",
            "a curve needs a parameter such as t, a surface two such as u and v",
        ),
        more => fault(
            FaultClass::NoShape,
            cx.given.whole,
            format!("these components run over {} parameters: {}", more.len(), more.join(", ")),
            "a curve has one parameter and a surface two",
        ),
    }
}

fn parameters(used: &[String], declared: &[String], ranges: &Ranges) -> Vec<String> {
    let has = |n: &str| used.iter().any(|u| u == n);
    if !declared.is_empty() {
        return declared.to_vec();
    }
    let ranged: Vec<String> = {
        let mut r: Vec<String> = Vec::new();
        for (n, ..) in ranges {
            if has(n) && !r.contains(n) {
                r.push(n.clone());
            }
        }
        r
    };
    let mut natural: Vec<String> = PAIRS
        .iter()
        .find(|p| p.iter().all(|n| has(n)))
        .map_or(vec![], |p| p.iter().map(|s| (*s).to_owned()).collect());
    // A radius beside an angle is a parameter only when nothing else is.
    let round = natural.first().is_some_and(|n| n == "r" || n == "rho");
    if natural.is_empty() || round && ranged.len() == 1 && !ranged.contains(&natural[0]) {
        natural = SINGLES.iter().find(|n| has(n)).map_or(vec![], |n| vec![(*n).to_owned()]);
    }
    if ranged.len() == 2 || (ranged.len() == 1 && !natural.contains(&ranged[0])) {
        let mut r = ranged;
        if let Some(p) = PAIRS.iter().find(|p| p.iter().all(|n| r.iter().any(|m| m == n)))
            && r.len() == 2
        {
            r = p.iter().map(|s| (*s).to_owned()).collect();
        }
        return r;
    }
    if natural.is_empty() {
        natural = used.iter().take(2).cloned().collect();
    }
    natural
}
