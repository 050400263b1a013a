//! Polar, cylindrical and spherical coordinates, where a formula uses them; the golden ratio.

use super::faults::Read;
use super::kinds::Context2;
use super::reading::{Kind, Relation};
use super::tree::Node;
use super::values::Values;
use super::vectors::Val;
use crate::formula::{Binary, Expr, Unary};

/// Gives r, ρ, θ and φ their meaning in a formula in space, where they have none.
pub fn prepare(values: &mut Values, cx: &mut Context2, declared: &[String]) {
    let unset = |n: &str| {
        cx.names.contains(n)
            && !values.lets.contains_key(n)
            && !values.defs.iter().any(|d| d.name == n)
            && !declared.iter().any(|d| d == n)
            && !values.special.contains_key(n)
    };
    let plane = cx.names.iter().any(|n| matches!(n.as_str(), "x" | "y" | "X" | "Y"))
        || values.special.contains_key("p");
    let height = cx.names.iter().any(|n| matches!(n.as_str(), "z" | "Z"));
    let (r, rho, theta, phi) = (unset("r"), unset("rho"), unset("theta"), unset("phi"));
    if plane {
        if phi && !theta {
            let at = cx.given.whole;
            cx.remark(at, "φ read as the golden ratio (1+√5)/2; give phi a value if it is another number");
            values.special.insert("phi".into(), Val::num((1.0 + 5f64.sqrt()) / 2.0));
        }
        return;
    }
    if !(r || rho || theta || phi) {
        return;
    }
    if !(r || rho || height || theta && phi) {
        return;
    }
    let [x, y, z] = ["x", "y", "z"].map(|n| values.var(n));
    let axis = (x.clone() * x.clone() + y.clone() * y.clone()).sqrt();
    let whole = (x.clone() * x.clone() + y.clone() * y.clone() + z.clone() * z.clone()).sqrt();
    let around = Expr::binary(Binary::Atan2, y, x);
    let at = cx.given.whole;
    let spherical = theta && phi || (r && rho) || rho && phi && !height || !height && !theta && !phi;
    if !spherical {
        let angle = match values.special.contains_key("t") {
            true => "t",
            false if theta => "θ",
            false => "φ",
        };
        let radius = if rho && !r { "ρ" } else { "r" };
        let distance = format!("{radius} read as the distance from the z axis");
        let what = match (r || rho, theta || phi) {
            (true, true) => format!("{distance} and {angle} as the angle around it (cylindrical)"),
            (true, false) => format!("{distance} (cylindrical)"),
            (false, _) => format!("{angle} read as the angle around the z axis (cylindrical)"),
        };
        cx.remark(at, what);
        for n in ["r", "rho"] {
            values.special.insert(n.into(), Val::Num(axis.clone()));
        }
        for n in ["theta", "phi"] {
            values.special.insert(n.into(), Val::Num(around.clone()));
        }
        return;
    }
    // Defined everywhere, as acos(z/r) is not in the middle.
    let down = Expr::binary(Binary::Atan2, axis.clone(), z);
    // With ρ as radius the usual custom measures φ from the axis; with r it measures θ from it (ISO 80000-2).
    let from_axis = if rho && !r { "phi" } else { "theta" };
    if theta || phi {
        let (a, b) = if from_axis == "phi" { ("φ", "θ") } else { ("θ", "φ") };
        cx.remark(
            at,
            format!("{a} read as the angle from the z axis and {b} as the angle around it (spherical)"),
        );
    } else {
        let radius = if rho && !r { "ρ" } else { "r" };
        cx.remark(at, format!("{radius} read as the distance from the origin"));
    }
    for n in ["theta", "phi"] {
        let e = if n == from_axis { down.clone() } else { around.clone() };
        values.special.insert(n.into(), Val::Num(e));
    }
    values.special.insert("r".into(), Val::Num(if r && rho { axis.clone() } else { whole.clone() }));
    values.special.insert("rho".into(), Val::Num(whole));
}

/// A function of a radius and an angle as one of x and y, if its two arguments are such.
pub fn over_plane(value: &Expr, declared: &[String]) -> Option<Expr> {
    let find = |names: [&str; 2]| declared.iter().find(|d| names.contains(&d.as_str()));
    let (r, angle) = (find(["r", "rho"])?, find(["theta", "phi"])?);
    let [x, y] = ["x", "y"].map(Expr::var);
    let axis = (x.clone() * x.clone() + y.clone() * y.clone()).sqrt();
    let around = Expr::binary(Binary::Atan2, y, x);
    Some(value.substitute(|n| match n {
        n if n == r => Some(axis.clone()),
        n if n == angle => Some(around.clone()),
        _ => None,
    }))
}

/// Whether three arguments are cylindrical or spherical coordinates.
pub fn are_round(declared: &[String]) -> bool {
    let has = |names: [&str; 2]| declared.iter().any(|d| names.contains(&d.as_str()));
    declared.len() == 3 && has(["r", "rho"]) && has(["theta", "phi"])
}

/// Whether a function is a radius by angles, `r(θ, φ)`, or by one that is called t.
pub fn is_radius_of(name: Option<&str>, declared: &[String]) -> bool {
    let angles = declared.iter().all(|d| matches!(d.as_str(), "theta" | "phi")) || declared == ["t"];
    matches!(name, Some("r" | "rho")) && !declared.is_empty() && angles
}

/// `r = f(θ)` is a curve in the plane when the text gives θ a range, else a surface in space as any equation. Other
/// names are labels.
pub fn named(
    name: &str,
    node: &Node,
    order: usize,
    ranges: &[(String, f64, f64)],
    values: &mut Values,
    cx: &mut Context2,
) -> Read<Option<Kind>> {
    let polar = matches!(name, "r" | "rho" | "theta" | "phi" | "R" | "ρ");
    let space = cx.names.iter().any(|n| matches!(n.as_str(), "x" | "y" | "X" | "Y"));
    if !polar || space || cx.names.contains("i") && cx.names.contains("j") {
        return Ok(None);
    }
    let height = cx.names.iter().any(|n| matches!(n.as_str(), "z" | "Z"));
    let angles: Vec<&str> = ["theta", "phi", "t"].into_iter().filter(|n| cx.names.contains(*n)).collect();
    let radius = matches!(name, "r" | "rho" | "R");
    let cut = ranges.iter().any(|(n, ..)| n == "z");
    let stated = !cut && angles.len() == 1 && ranges.iter().any(|(n, ..)| n == angles[0]);
    if radius && !height && stated {
        let angle = angles[0];
        values.params.insert(angle.into());
        let e = values.of(node, order)?.scalar(node.at)?;
        let a = values.var(angle);
        cx.remark(node.at, format!("{name} and {angle} read as polar coordinates in the plane z = 0"));
        let components = [
            e.clone() * Expr::unary(Unary::Cos, a.clone()),
            e * Expr::unary(Unary::Sin, a),
            Expr::constant(0.0),
        ];
        let range = ranges.iter().find(|(n, ..)| n == angle).map(|(_, a, b)| (*a, *b));
        return Ok(Some(Kind::Curve { components, param: angle.into(), range }));
    }
    if !(height
        || radius && !angles.is_empty()
        || angles.len() == 2
        || radius && cx.names.contains(if name == "r" { "rho" } else { "r" })
        || !radius && (cx.names.contains("r") || cx.names.contains("rho")))
    {
        return Ok(None);
    }
    if name == "R" {
        cx.remark(node.at, "R read as the radius r");
    }
    if matches!(name, "r" | "R") && !height && angles.len() == 1 {
        cx.remark(node.at, "read once around and only where the radius is not negative; a range of the angle makes it a curve");
    }
    let name = if name == "R" { "r" } else { name };
    cx.names.insert(name.into());
    if angles == ["t"] {
        let around = Expr::binary(Binary::Atan2, values.var("y"), values.var("x"));
        values.special.insert("t".into(), Val::Num(around));
        cx.names.insert("theta".into());
    }
    prepare(values, cx, &[]);
    let left = match values.special.get(name) {
        Some(v) => v.clone().scalar(node.at)?,
        None => return Ok(None),
    };
    let right = values.of(node, order)?.scalar(node.at)?;
    Ok(Some(Kind::Field { value: left - right, relation: Relation::Equal }))
}
