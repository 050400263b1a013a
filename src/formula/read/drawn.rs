//! What commands of array code draw by their arguments: three components, functions without names, boxes of ends.

use super::brackets::outside;
use super::clauses::is_axis;
use super::objects::matching;
use super::parse::comparison;
use super::token::*;

/// Begins the names of commands that draw.
const DRAWS: &[&str] = &[
    "plot",
    "scatter",
    "surf",
    "mesh",
    "fplot",
    "fsurf",
    "fmesh",
    "fimplicit",
    "ezplot",
    "ezsurf",
    "ezmesh",
    "comet",
    "spacecurve",
    "parametric",
    "quiver",
    "line3",
];

/// The text with such commands replaced by what they draw.
pub(super) fn components(tokens: Vec<Token>) -> Vec<Token> {
    if let Some(k) = tokens.windows(2).position(|w| w[0].is_word("function") && w[1].is('{'))
        && let Some(close) = matching(&tokens, k + 1)
    {
        // `isosurface { function { … } … }`
        return tokens[k + 2..close].to_vec();
    }
    let mut out: Vec<Token> = Vec::with_capacity(tokens.len());
    let mut i = 0;
    while i < tokens.len() {
        let end = command(&tokens, i);
        match end.and_then(|end| drawn(&tokens, i, end).map(|new| (end, new))) {
            Some((end, new)) => {
                // `ax.plot_surface(…)`: on what it is drawn.
                if out.last().is_some_and(|t| t.is('.')) && out.len() > 1 {
                    out.truncate(out.len() - 2);
                }
                out.extend(new);
                i = end + 1;
            }
            None => {
                out.push(tokens[i].clone());
                i += 1;
            }
        }
    }
    out
}

/// Where the bracket of a command that begins a statement closes, which ends the statement.
fn command(tokens: &[Token], i: usize) -> Option<usize> {
    let name = tokens[i].word()?.to_lowercase();
    // In small letters the last two are words of scripts.
    let draws = match tokens[i].word() {
        Some("Curve" | "Surface") => true,
        Some("surface") => false,
        _ => DRAWS.iter().any(|d| name.starts_with(d)),
    };
    let start = i == 0 || tokens[i - 1].sym().is_some_and(|c| matches!(c, '\n' | ';' | ',' | '.'));
    let once = || tokens.iter().filter(|t| t.word() == tokens[i].word()).count() == 1;
    let opens = tokens.get(i + 1).is_some_and(|t| t.is('(') && t.gap == Gap::None);
    let close = if draws && start && once() && opens { matching(tokens, i + 1)? } else { return None };
    let ends = tokens.get(close + 1).is_none_or(|t| matches!(t.sym(), Some('\n' | ';' | '.')));
    ends.then_some(close)
}

fn pieces(inside: &[Token]) -> Vec<&[Token]> {
    let mut out = Vec::new();
    let mut from = 0;
    for c in outside(inside, |_, t| t.is(',')).into_iter().chain([inside.len()]) {
        out.push(&inside[from..c]);
        from = c + 1;
    }
    out.retain(|p| !p.is_empty());
    out
}

fn drawn(tokens: &[Token], i: usize, close: usize) -> Option<Vec<Token>> {
    let inside: Vec<Token> = tokens[i + 2..close].iter().filter(|t| !t.is('\n')).cloned().collect();
    let all = pieces(&inside);
    let sign = |c: char| Token { tok: Tok::Sym(c), at: tokens[i].at, gap: Gap::None };
    if all.first()?[0].is('@') {
        return handles(&all, sign);
    }
    if let Some(height) = height(tokens, &tokens[i], &all) {
        return Some(height);
    }
    let [a, b, c, rest @ ..] = all.as_slice() else { return None };
    let plain = |p: &&[Token]| {
        !p.iter().any(|t| comparison(t).is_some() || t.is('…')) && !p[0].is('[') && !p[0].is('|')
    };
    if super::plots::is_range(b) && super::plots::is_range(c) {
        return None;
    }
    let axes = [a, b, c].iter().all(|p| p.len() == 1 && p[0].word().is_some_and(is_axis));
    let given = |t: &Token| tokens.windows(2).any(|w| w[0].word() == t.word() && w[1].is('='));
    let named = [a, b, c].iter().all(|p| {
        p.len() > 1 || p[0].word().is_none() || p[0].word().is_some_and(|w| w.len() == 1) || given(&p[0])
    });
    if axes || !named || ![a, b, c].into_iter().all(plain) {
        return None;
    }
    let mut out = [&[sign('(')], *a, &[sign(',')], b, &[sign(',')], c, &[sign(')')]].concat();
    for range in rest.chunks(3) {
        // `u, 0, 2π` behind the components
        if let [[name], low, high] = range
            && name.word().is_some()
        {
            out.extend(between(name, low, high, sign));
        }
    }
    Some(out)
}

/// A surface over the plane, `surf(X, Y, X.*Y)` or `ezsurf('x*y')`, as `z = …`.
fn height(tokens: &[Token], command: &Token, all: &[&[Token]]) -> Option<Vec<Token>> {
    let name = command.word()?.to_lowercase();
    let over_plane = ["surf", "mesh"].iter().any(|d| name.contains(d));
    let value = match all {
        [x, y, value, ..] => {
            let named = |p: &[Token], axis| matches!(p, [t] if t.word().is_some_and(|w| w.eq_ignore_ascii_case(axis)));
            let plane = named(x, "x") && named(y, "y") && !given_otherwise(tokens, &x[0]);
            (plane && value.len() > 1).then_some(*value)?
        }
        [value] | [value, _] if value.len() > 1 => *value,
        _ => return None,
    };
    let plain = |t: &Token| !t.is(',') && comparison(t).is_none() && !t.is_word("z") && !t.is_word("Z");
    if !over_plane || value[0].is('[') || value[0].is('(') && !outside(value, |_, t| t.is(',')).is_empty() {
        return None;
    }
    let value: Vec<Token> = value.iter().filter(|t| !t.is('\'') && !t.is('"')).cloned().collect();
    let token = |tok: Tok| Token { tok, at: command.at, gap: Gap::None };
    value
        .iter()
        .all(plain)
        .then(|| [vec![token(Tok::Word("z".into(), true)), token(Tok::Sym('='))], value].concat())
}

/// Whether a coordinate is given a value that is no grid of its own.
fn given_otherwise(tokens: &[Token], axis: &Token) -> bool {
    let grids = ["linspace", "arange", "meshgrid", "mgrid", "ogrid", "ndgrid", "pi"];
    let known = |w: &str| w.chars().count() == 1 && is_axis(w) || grids.contains(&w);
    let given = |k: &usize| tokens[*k].word() == axis.word() && tokens[k + 1].is('=');
    (0..tokens.len().saturating_sub(1)).filter(given).any(|k| {
        let value = tokens[k + 2..].iter().take_while(|t| !matches!(t.sym(), Some('\n' | ';')));
        value.filter_map(Token::word).any(|w| !known(w))
    })
}

/// A line of its own: the name lies between two ends.
fn between(name: &Token, low: &[Token], high: &[Token], sign: impl Fn(char) -> Token) -> Vec<Token> {
    [&[sign('\n'), name.clone(), sign('∈'), sign('[')], low, &[sign(',')], high, &[sign(']')]].concat()
}

/// `@(u, v) a, @(u, v) b, @(u, v) c, [0 1 0 2]`: functions of the same arguments, and their ends.
fn handles(all: &[&[Token]], sign: impl Fn(char) -> Token) -> Option<Vec<Token>> {
    let split = |p: &[Token]| -> Option<(Vec<Token>, Vec<Token>)> {
        let opens = p.len() > 2 && p[0].is('@') && p[1].is('(');
        let close = if opens { matching(p, 1)? } else { return None };
        let names = p[2..close].iter().filter(|t| t.word().is_some()).cloned().collect();
        Some((names, p[close + 1..].to_vec()))
    };
    let functions: Vec<(Vec<Token>, Vec<Token>)> = all.iter().map_while(|p| split(p)).collect();
    let (names, body) = functions.first()?;
    let same = |n: &[Token]| n.iter().map(Token::word).eq(names.iter().map(Token::word));
    if !matches!(functions.len(), 1 | 3) || !functions.iter().all(|(n, _)| same(n)) || names.is_empty() {
        return None;
    }
    let mut out = vec![sign('@'), sign('(')];
    for (k, name) in names.iter().enumerate() {
        out.extend((k > 0).then(|| sign(',')));
        out.push(name.clone());
    }
    out.push(sign(')'));
    if functions.len() == 1 {
        out.extend_from_slice(body);
    } else {
        out.push(sign('('));
        for (k, (_, body)) in functions.iter().enumerate() {
            out.extend((k > 0).then(|| sign(',')));
            out.extend_from_slice(body);
        }
        out.push(sign(')'));
    }
    out.extend(ends(all.get(functions.len()).copied(), names, sign));
    Some(out)
}

/// `[-3 3]` for all names, or two ends for each.
fn ends(list: Option<&[Token]>, names: &[Token], sign: impl Fn(char) -> Token) -> Vec<Token> {
    let inside = match list {
        Some([open, inside @ .., _]) if open.is('[') || open.is('(') => inside,
        _ => return Vec::new(),
    };
    let ends = pieces(inside);
    let mut out = Vec::new();
    for (k, name) in names.iter().enumerate() {
        let at = if ends.len() == 2 { 0 } else { 2 * k };
        if let (Some(low), Some(high)) = (ends.get(at), ends.get(at + 1)) {
            out.extend(between(name, low, high, &sign));
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::super::tests::{AT, all_are, points_are, reading, refused};
    use super::super::tests_habits::{limits, ranges};

    #[test]
    fn what_commands_draw_is_the_shape() {
        let t: f64 = 0.4;
        let helix = [t.cos(), t.sin(), t];
        for text in [
            "plot3(cos(t), sin(t), t)",
            "t = 0:pi/50:10*pi;\nc = cos(t);\ns = sin(t);\nplot3(c,s,t)",
            "fplot3(@(t) cos(t), @(t) sin(t), @(t) t, [0 10])",
            "Curve(cos(t), sin(t), t, t, 0, 2pi)",
            "Table[{Cos[t], Sin[t], t}, {t, 0, 10, 0.1}]",
            "γ: [0,2π] → R³, t ↦ (cos t, sin t, t)",
        ] {
            points_are(text, t, helix);
        }
        let surface = reading("fsurf(@(u,v) u.*cos(v), @(u,v) u.*sin(v), @(u,v) v, [0 1 0 6])");
        assert_eq!(ranges(&surface)[1], ("v".to_owned(), Some((0.0, 6.0))));
        let [x, y, z] = AT;
        all_are(&[
            ("fimplicit3(@(x,y,z) x.^2 + y.^2 - z.^2, [-3 3])", x * x + y * y - z * z),
            ("fsurf(@(x,y) x.^2 + y.^2, [-3 3])", z - x * x - y * y),
            ("f : (x, y) ↦ x² + y²", z - x * x - y * y),
            ("isosurface { function { x*x + y*y - z } contained_by { box { -2, 2 } } }", x * x + y * y - z),
            ("#declare f = function(x,y,z) { x*x + y*y - z }", x * x + y * y - z),
            ("uniform float time;\nfloat map(vec3 p){ return p.x - p.y; }", x - y),
            ("[X,Y] = meshgrid(-2:0.1:2);\nZ = X.^2 + Y.^2;\nsurf(X,Y,Z)", z - x * x - y * y),
            ("And(x**2 + y**2 < 1, z > 0)", (x * x + y * y - 1.0).max(-z)),
        ]);
        // Words of scripts, which have arguments of their own.
        for text in ["curve(|t| [cos(t), sin(t), t], 0, q)", "surface(u, v, u*v)"] {
            assert!(refused(text).what.contains("not known"), "{text}");
        }
        assert_eq!(limits("fimplicit3(@(x,y,z) x.^2 - z, [-3 3])").len(), 3);
    }
}
