//! A radius with ranges of its angles or height: a piece of a surface in cylindrical or spherical coordinates.

use super::beside::{around, is_polar};
use super::clauses::{Equation, Range, Statements, is_axis};
use super::kinds::Context2;
use super::main_formula::Main;
use super::ranges::as_condition;
use super::token::*;
use super::tree::{Join, Node, Part};

/// `r = f(θ, z)` with ranges of θ and z, or `ρ = f(θ, φ)` with ranges of angles: the surface by these two. Ranges that
/// are a whole turn cut nothing and are taken away; where only such are given, the equation is left as it is.
pub(super) fn piece(
    helpers: &mut Vec<Equation>,
    statements: &mut Statements,
    cx: &mut Context2,
) -> Option<Main> {
    let k = helpers.iter().position(|h| matches!(h.name.as_str(), "r" | "rho"))?;
    let others = helpers.iter().enumerate().any(|(i, h)| i != k && is_polar(&h.name));
    let used = cx.names_of(&helpers[k].body);
    let ranged = |n: &str| statements.ranges.iter().any(|r| r.name == n);
    if cx.given.style.code || others || !helpers[k].args.is_empty() || used.contains(&helpers[k].name) {
        return None;
    }
    if ["x", "y", "X", "Y"].iter().any(|n| used.contains(*n) || ranged(n)) {
        return None;
    }
    let name = helpers[k].name.clone();
    let main = match ranged("z") {
        true => upright(&helpers[k], statements, cx)?,
        false => round(&helpers[k], statements, cx)?,
    };
    helpers.remove(k);
    cx.known.defined.remove(&name);
    Some(main)
}

/// The piece of a surface in cylindrical coordinates.
fn upright(radius: &Equation, statements: &mut Statements, cx: &mut Context2) -> Option<Main> {
    let angles = ["theta", "phi"];
    let ranged = |n: &&str| statements.ranges.iter().any(|r| r.name == **n);
    let angle = angles.into_iter().find(ranged)?;
    let used = cx.names_of(&radius.body);
    if angles.iter().any(|n| *n != angle && (used.contains(*n) || ranged(n))) {
        return None;
    }
    statements.ranges.retain(|r| r.name != angle || !is_turn(r));
    let at = statements.ranges.iter().find(|r| r.name == angle)?.at;
    let what = format!(
        "{} and {} read as the distance from the z axis and the angle around it",
        letter(&radius.name),
        letter(angle)
    );
    cx.remark(span(&radius.whole).join(at), what);
    cx.given.args = Some(vec![angle.to_owned(), "z".to_owned()]);
    let turn = label(radius, angle);
    let parts = [around(radius, "cos", &turn), around(radius, "sin", &turn), label(radius, "z").body];
    Some(Main::Components(parts.map(|p| (p, radius.order)).to_vec()))
}

/// The piece of a surface in spherical coordinates; with ρ as radius φ is the angle from the z axis, with r it is θ,
/// where the ranges do not say otherwise.
fn round(radius: &Equation, statements: &mut Statements, cx: &mut Context2) -> Option<Main> {
    let usual = if radius.name == "rho" { ("phi", "theta") } else { ("theta", "phi") };
    let (down, turn) = if contrary(usual, &statements.ranges) { (usual.1, usual.0) } else { usual };
    let used = cx.names_of(&radius.body);
    let ranged = |n: &str| statements.ranges.iter().any(|r| r.name == n);
    let flat = !ranged("phi") && !used.contains("phi") && (radius.name == "r" || used.contains("theta"));
    if flat || !ranged(down) && !ranged(turn) || used.iter().any(|n| is_axis(n)) {
        return None;
    }
    let whole = |r: &Range| down == usual.0 && (r.name == down && is_half(r) || r.name == turn && is_turn(r));
    statements.ranges.retain(|r| !whole(r));
    let at = statements.ranges.iter().find(|r| r.name == down || r.name == turn)?.at;
    cx.remark(
        span(&radius.whole).join(at),
        format!(
            "{} read as the angle from the z axis and {} as the angle around it (spherical)",
            letter(down),
            letter(turn)
        ),
    );
    for (name, end) in [(down, std::f64::consts::PI), (turn, std::f64::consts::TAU)] {
        if !statements.ranges.iter().any(|r| r.name == name) {
            let [low, high] = [0.0, end].map(|n| vec![token(radius.at, Tok::Num(n, n == 0.0))]);
            let (name, whole) = (name.to_owned(), radius.whole.clone());
            statements.ranges.push(Range { name, at: radius.at, low, high, whole });
        }
    }
    cx.given.args = Some(vec![down.to_owned(), turn.to_owned()]);
    let (down, turn) = (label(radius, down), label(radius, turn));
    let level = Equation { body: around(radius, "sin", &down), ..radius.clone() };
    let parts = [around(&level, "cos", &turn), around(&level, "sin", &turn), around(radius, "cos", &down)];
    Some(Main::Components(parts.map(|p| (p, radius.order)).to_vec()))
}

/// Names the radius ρ where it is r and the ranges say that θ goes round: φ is then the angle from the axis.
pub(super) fn by_custom(ranges: &mut [Range]) {
    if !contrary(("theta", "phi"), ranges) || !ranges.iter().any(|r| r.name == "phi") {
        return;
    }
    for r in ranges.iter_mut() {
        let renamed = |t: &mut Token| {
            if t.is_word("r") {
                t.tok = Tok::Word("rho".into(), true);
            }
        };
        r.low.iter_mut().chain(&mut r.high).chain(&mut r.whole).for_each(renamed);
        if r.name == "r" {
            r.name = "rho".into();
        }
    }
}

/// A range of an angle beside a radius as the condition that it is; `None` for a whole turn. An angle around the axis is
/// known from -π to π only, so that what reaches further is told by how far it is from the middle, going round.
pub(super) fn angle_between(r: &Range, cx: &mut Context2) -> Option<Vec<Token>> {
    cx.names.insert(r.name.clone());
    if is_turn(r) {
        return None;
    }
    let pi = std::f64::consts::PI;
    let known = |e: f64| (-pi - 1e-9..=pi + 1e-9).contains(&e);
    match (end(&r.low, cx), end(&r.high, cx)) {
        (Some(low), Some(high)) if high - low >= 2.0 * pi - 1e-9 => None,
        (Some(low), Some(high)) if !(known(low) && known(high)) => {
            let (middle, half) = ((low + high) / 2.0, (high - low) / 2.0);
            let sign = |c: char| token(r.at, Tok::Sym(c));
            let number = |x: f64| token(r.at, Tok::Num(x, false));
            let function = |f: &str| token(r.at, Tok::Word(f.into(), true));
            let turned = [
                &[function("mod"), sign('('), token(r.at, Tok::Word(r.name.clone(), true))],
                &[sign('-'), sign('('), number(middle - pi), sign(')'), sign(',')][..],
                &[number(2.0 * pi), sign(')'), sign('-'), number(pi)],
            ]
            .concat();
            Some(
                [&[function("abs"), sign('(')], turned.as_slice(), &[sign(')'), sign('<'), number(half)]]
                    .concat(),
            )
        }
        _ => Some(as_condition(r)),
    }
}

/// An end of a range as a number.
fn end(tokens: &[Token], cx: &mut Context2) -> Option<f64> {
    let known = cx.remarks.len();
    let tree = cx.tree(tokens).ok();
    cx.remarks.truncate(known);
    constant(&tree?)
}

fn constant(node: &Node) -> Option<f64> {
    match &node.kind {
        Part::Num(x) => Some(*x),
        Part::Name(n) => super::names::constant(n),
        Part::Neg(a) => constant(a).map(|x| -x),
        Part::Product(factors) => factors.iter().try_fold(1.0, |all, (join, f)| match join {
            Join::Times | Join::Dot => Some(all * constant(f)?),
            Join::Over => Some(all / constant(f)?),
            _ => None,
        }),
        _ => None,
    }
}

/// Whether the ranges say that the angle usually measured from the axis is the one around it.
fn contrary((down, turn): (&str, &str), ranges: &[Range]) -> bool {
    ranges.iter().any(|r| r.name == down && is_turn(r))
        && !ranges.iter().any(|r| r.name == turn && is_turn(r))
}

fn token(at: super::faults::Span, tok: Tok) -> Token {
    Token { tok, at, gap: Gap::None }
}

/// The letter that a name is read from.
fn letter(name: &str) -> &str {
    match name {
        "theta" => "θ",
        "phi" => "φ",
        "rho" => "ρ",
        other => other,
    }
}

/// A name as what it stands for itself.
fn label(like: &Equation, name: &str) -> Equation {
    Equation { body: vec![token(like.at, Tok::Word(name.to_owned(), true))], ..like.clone() }
}

/// `0 ≤ θ ≤ 2π` or `-π ≤ θ ≤ π`.
fn is_turn(r: &Range) -> bool {
    let ends = (plain(&r.low), plain(&r.high));
    matches!((ends.0.as_str(), ends.1.as_str()), ("0", "2pi" | "tau") | ("-pi", "pi"))
}

/// `0 ≤ φ ≤ π`
fn is_half(r: &Range) -> bool {
    plain(&r.low) == "0" && plain(&r.high) == "pi"
}

/// Numbers and names without signs of multiplication.
fn plain(tokens: &[Token]) -> String {
    let text = |t: &Token| match &t.tok {
        Tok::Num(n, _) => n.to_string(),
        Tok::Word(w, _) => w.to_lowercase(),
        Tok::Sym('*' | '·') => String::new(),
        Tok::Sym(c) => c.to_string(),
        _ => "?".to_owned(),
    };
    tokens.iter().map(text).collect()
}
