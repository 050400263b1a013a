//! Commands that draw: what they draw is the formula, and their lists with a name and two ends are ranges.

use super::brackets::outside;
use super::clauses::{Range, Statements};
use super::faults::Span;
use super::functions::function;
use super::main_formula::is_list;
use super::names::{constant, greek_letter};
use super::objects::matching;
use super::parse::comparison;
use super::token::*;

/// Begins a statement that is a call of what is no function, `draw(…)`.
fn command(tokens: &[Token], i: usize) -> bool {
    let start = i == 0 || tokens[i - 1].sym().is_some_and(|c| matches!(c, '\n' | ';' | ':' | '='));
    let opens = tokens.get(i + 1).is_some_and(|t| (t.is('(') || t.is('[')) && t.gap == Gap::None);
    let other = |w: &str| w.chars().count() > 1 && function(w).is_none() && greek_letter(w).is_none();
    start && opens && tokens[i].word().is_some_and(other)
}

/// The text with commands that draw taken off what they draw, `draw(x^2 - y^2, x=-1..1, y=-1..1)` as `z = x^2 - y^2` with
/// the ranges, and the places of those that draw a height.
pub(super) fn unplotted(tokens: Vec<Token>) -> (Vec<Token>, Vec<Span>) {
    let mut heights = Vec::new();
    let tokens = levelled(spaced(tokens, &mut heights));
    let mut out: Vec<Token> = Vec::with_capacity(tokens.len());
    let mut i = 0;
    while i < tokens.len() {
        let end = if command(&tokens, i) { closing(&tokens, i + 1) } else { None };
        let drawn = end.and_then(|end| drawn(&tokens[i], &tokens[i + 2..end]));
        let inside = end.map(|end| &tokens[i + 2..end]);
        let equal = inside.and_then(|inside| equation(&tokens[i], inside));
        match (end, drawn) {
            (Some(end), _) if equal.is_some() => {
                out.truncate(out.iter().rposition(ends).map_or(0, |k| k + 1));
                out.extend(equal.into_iter().flatten());
                i = end + 1;
            }
            (Some(end), Some((drawn, height))) => {
                out.extend(drawn);
                heights.extend(height.then_some(tokens[i].at));
                i = end + 1;
            }
            (Some(end), None) if is_of_name(&out, &tokens[i + 2..end]) => i = end + 1,
            _ => {
                out.push(tokens[i].clone());
                i += 1;
            }
        }
    }
    (out, heights)
}

/// The text with each line that is a command without brackets for a surface, `splot [-2:2][-1:1] x*y with lines`, as the
/// height or the components that it draws, and its ranges.
fn spaced(tokens: Vec<Token>, heights: &mut Vec<Span>) -> Vec<Token> {
    let mut out: Vec<Token> = Vec::with_capacity(tokens.len());
    for line in tokens.split_inclusive(ends) {
        let command = line.first().and_then(Token::word).unwrap_or_default();
        let draws = ["splot", "plot3d", "surf", "mesh"].iter().any(|d| command.ends_with(d));
        match Some(line).filter(|_| draws).and_then(height_of_line) {
            Some((new, height)) => {
                heights.extend(height.then_some(line[0].at));
                out.extend(new);
                out.extend(line.last().filter(|t| ends(t)).cloned());
            }
            None => out.extend_from_slice(line),
        }
    }
    out
}

fn height_of_line(line: &[Token]) -> Option<(Vec<Token>, bool)> {
    let sign = |c: char| Token { tok: Tok::Sym(c), at: line[0].at, gap: Gap::Blank };
    let mut rest = &line[1..];
    let mut ranges = Vec::new();
    for name in ["x", "y"] {
        let Some(close) = matching(rest, 0).filter(|_| rest[0].is('[')) else { break };
        let colon = rest[..close].iter().position(|t| t.is(':'))?;
        let name = Token { tok: Tok::Word(name.into(), true), ..sign(' ') };
        ranges.extend([sign('\n'), name, sign('∈'), sign('[')]);
        ranges.extend_from_slice(&rest[1..colon]);
        ranges.push(sign(','));
        ranges.extend_from_slice(&rest[colon + 1..=close]);
        rest = &rest[close + 1..];
    }
    let option = |t: &Token| ["with", "w", "title", "t", "notitle"].iter().any(|w| t.is_word(w));
    let to = (1..rest.len()).find(|k| option(&rest[*k]) && rest[*k].gap > Gap::None || ends(&rest[*k]));
    let value = &rest[..to.unwrap_or(rest.len())];
    let commas = outside(value, |_, t| t.is(',')).len();
    let first = value.first().filter(|t| t.gap > Gap::None || !ranges.is_empty())?;
    let related = value.iter().any(|t| comparison(t).is_some());
    let begins = first.sym().is_none_or(|c| matches!(c, '(' | '-'));
    if related || !begins || value.iter().any(|t| t.is_word("z")) {
        return None;
    }
    let mut out = match commas {
        0 => vec![Token { tok: Tok::Word("z".into(), true), ..sign(' ') }, sign('=')],
        2 => vec![sign('(')],
        _ => return None,
    };
    out.extend_from_slice(value);
    out.extend((commas == 2).then(|| sign(')')));
    out.extend(ranges);
    Some((out, commas == 0))
}

/// Arrays of ones, `np.ones(np.size(u))`, as the number, whatever size they are made to have; `outer(a, b)` as the
/// product.
pub(super) fn without_arrays(tokens: Vec<Token>) -> Vec<Token> {
    let mut out: Vec<Token> = Vec::with_capacity(tokens.len());
    let mut i = 0;
    while i < tokens.len() {
        let ones = matches!(tokens[i].word(), Some("ones" | "ones_like"))
            && tokens.get(i + 1).is_some_and(|t| t.is('(') && t.gap == Gap::None);
        match ones.then(|| matching(&tokens, i + 1)).flatten() {
            Some(end) => {
                out.push(Token { tok: Tok::Num(1.0, true), ..tokens[i].clone() });
                i = end + 1;
            }
            None => {
                let outer = tokens[i].is_word("outer") && tokens.get(i + 1).is_some_and(|t| t.is('('));
                let product = || Token { tok: Tok::Word("prod".into(), true), ..tokens[i].clone() };
                out.push(if outer { product() } else { tokens[i].clone() });
                i += 1;
            }
        }
    }
    out
}

/// Whether a command draws, within a box, what an equation before it has given a name.
fn is_of_name(before: &[Token], inside: &[Token]) -> bool {
    let [name, comma, rest @ ..] = inside else { return false };
    let given = |w: &[Token]| w[0].word().is_some() && w[0].word() == name.word() && w[1].is('=');
    let boxed = rest.first().is_some_and(|t| t.is('['));
    comma.is(',') && boxed && before.windows(2).any(given)
}

/// Ends a statement.
fn ends(t: &Token) -> bool {
    t.is('\n') || t.is(';')
}

/// The text with each statement that draws a function at a level, `p = patch(draw(X, Y, Z, F, 0.5))`, as that equation.
fn levelled(tokens: Vec<Token>) -> Vec<Token> {
    let found = (0..tokens.len()).find_map(|i| {
        let word = tokens[i].word().filter(|w| w.chars().count() > 1 && function(w).is_none())?;
        let opens = tokens.get(i + 1).is_some_and(|t| t.is('(') && t.gap == Gap::None);
        let once = tokens.iter().filter(|t| t.is_word(word)).count() == 1;
        let close = if opens && once { matching(&tokens, i + 1)? } else { return None };
        let to = close + 1 + tokens[close + 1..].iter().position(ends).unwrap_or(tokens.len() - close - 1);
        let from = tokens[..i].iter().rposition(ends).map_or(0, |k| k + 1);
        let closed = tokens[close + 1..to].iter().all(|t| t.is(')'));
        let inside = &tokens[i + 2..close];
        let value = tokens[from..i].iter().rposition(|t| t.is('=')).map_or(from, |k| from + k + 1);
        // Only other calls of it alone stand around, `patch(isosurface(…))`.
        let alone = tokens[value..i].iter().all(|t| t.word().is_some() || t.is('(') || t.is('.'));
        let drawn = || drawn_level(word, inside).filter(|_| alone);
        let level = || at_level(&tokens[..from], inside).or_else(drawn);
        let level = closed.then(level).flatten()?;
        Some((from, level, to))
    });
    match found {
        Some((from, level, to)) => [&tokens[..from], &level, &tokens[to..]].concat(),
        None => tokens,
    }
}

/// `draw(X, Y, Z, F, 0.5)`, or `draw(F, 0.5)` with F given before: the surface where F has that value.
fn at_level(before: &[Token], inside: &[Token]) -> Option<Vec<Token>> {
    let mut pieces: Vec<&[Token]> = Vec::new();
    let mut from = 0;
    for c in outside(inside, |_, t| t.is(',')).into_iter().chain([inside.len()]) {
        pieces.push(inside.get(from..c).filter(|p| !p.is_empty())?);
        from = c + 1;
    }
    let level = pieces.iter().position(|p| is_level(p))?;
    let value = pieces.remove(level);
    let value = if value.len() > 2 { &value[2..] } else { value };
    let axes = |p: &&[Token], axis: &str| matches!(*p, [t] if t.word().is_some_and(|w| w.eq_ignore_ascii_case(axis)));
    let function = match pieces.as_slice() {
        [x, y, z, f, ..] if axes(x, "x") && axes(y, "y") && axes(z, "z") && level == 4 => *f,
        [f, ..]
            if level == 1
                && before
                    .windows(2)
                    .any(|w| w[0].word().is_some() && w[0].word() == f[0].word() && w[1].is('=')) =>
        {
            *f
        }
        _ => return None,
    };
    let sign = |c: char| Token { tok: Tok::Sym(c), at: value[0].at, gap: Gap::None };
    let zero = matches!(value, [Token { tok: Tok::Num(0.0, _), .. }]);
    // A level of 0 says nothing that the function does not.
    (!zero && function.len() == 1 || function.len() > 1).then(|| {
        [
            &[sign('(')],
            function,
            &[sign(')'), sign('-'), sign('(')],
            value,
            &[sign(')'), sign('='), Token { tok: Tok::Num(0.0, true), ..sign('0') }],
        ]
        .concat()
    })
}

/// `isosurface(x.^2 + y.^2, 1)`: what a command that is named for levels draws.
fn drawn_level(command: &str, inside: &[Token]) -> Option<Vec<Token>> {
    let named = ["iso", "contour", "implicit"].iter().any(|w| command.to_lowercase().contains(w));
    let commas = outside(inside, |_, t| t.is(','));
    let related = inside.iter().any(|t| comparison(t).is_some() || t.is('@'));
    if named && commas.is_empty() && inside.len() > 1 && !related && !inside[0].is('{') {
        return Some(inside.to_vec());
    }
    let [comma] = commas[..] else { return None };
    let (function, value) = (&inside[..comma], &inside[comma + 1..]);
    let sign = |c: char| Token { tok: Tok::Sym(c), at: inside[comma].at, gap: Gap::None };
    (named && function.len() > 1 && !related && is_level(value))
        .then(|| [&[sign('(')], function, &[sign(')'), sign('=')], value].concat())
}

/// `Eq(a, b)` as `a = b`.
fn equation(command: &Token, inside: &[Token]) -> Option<Vec<Token>> {
    let [comma] = outside(inside, |_, t| t.is(','))[..] else { return None };
    let sign = Token { tok: Tok::Sym('='), ..inside[comma].clone() };
    let sides = comma > 0 && comma + 1 < inside.len() && command.is_word("Eq");
    sides.then(|| [&inside[..comma], &[sign], &inside[comma + 1..]].concat())
}

/// `0.5`, `-1` or `level = 0.5`.
fn is_level(piece: &[Token]) -> bool {
    match piece {
        [name, sign, rest @ ..] if sign.is('=') => {
            name.word().is_some_and(names_level) && is_level(rest) && rest.len() < 3
        }
        [minus, one] => minus.is('-') && matches!(one.tok, Tok::Num(..)),
        [one] => matches!(one.tok, Tok::Num(..)),
        _ => false,
    }
}

/// Whether a name is used for the value at which a function is drawn.
pub(super) fn names_level(name: &str) -> bool {
    matches!(
        name.to_ascii_lowercase().as_str(),
        "level" | "isovalue" | "isolevel" | "iso" | "threshold" | "isoval"
    )
}

/// The bracket that closes the one at a place, where its statement ends.
fn closing(tokens: &[Token], open: usize) -> Option<usize> {
    let k = matching(tokens, open)?;
    let ends = tokens.get(k + 1).is_none_or(|t| matches!(t.sym(), Some('\n' | ';' | ':' | '.' | '?')));
    ends.then_some(k)
}

/// What a command draws, without its options, and whether that is a height over the plane; `None` where it is only names of
/// something else.
fn drawn(command: &Token, inside: &[Token]) -> Option<(Vec<Token>, bool)> {
    let inside: Vec<Token> = inside.iter().filter(|t| !t.is('\n')).cloned().collect();
    let mut pieces: Vec<&[Token]> = Vec::new();
    let mut from = 0;
    for c in outside(&inside, |_, t| t.is(',')).into_iter().chain([inside.len()]) {
        pieces.push(&inside[from..c]);
        from = c + 1;
    }
    pieces.retain(|p| !p.is_empty() && !is_option(p));
    let first = *pieces.first()?;
    if pieces.iter().all(|p| p.len() == 1) || first.len() == 1 && first[0].word().is_some() {
        return None;
    }
    let related = !outside(first, |_, t| comparison(t).is_some() || t.is('→') || t.is('@')).is_empty();
    let ranges = pieces.iter().skip(1).filter(|p| is_range(p)).count();
    let height = !related && !is_list(first) && ranges == 2;
    // Over all three coordinates it is drawn where it is 0.
    let level = !related && !is_list(first) && ranges == 3 && pieces.len() == 4;
    // Conditions and choices are functions of what stands in them.
    let within = pieces.iter().skip(1).all(|p| is_range(p) || p[0].is('['));
    if !(within && related || height || level || is_list(first) && ranges > 0) {
        return None;
    }
    let sign = |tok: Tok| Token { tok, at: command.at, gap: Gap::None };
    let mut out = Vec::new();
    if height {
        out.extend([sign(Tok::Word("z".into(), true)), sign(Tok::Sym('='))]);
    }
    for (k, p) in pieces.iter().enumerate() {
        if k > 0 {
            out.push(sign(Tok::Sym(',')));
        }
        out.extend_from_slice(p);
    }
    Some((out, height))
}

/// `x = -1..1` or `{x, -1, 1}`.
pub(super) fn is_range(piece: &[Token]) -> bool {
    let ends = || piece.iter().any(|t| t.is('…') || t.is(':'));
    let listed =
        || is_list(piece) && matches!(outside(&piece[1..piece.len() - 1], |_, t| t.is(',')).len(), 2 | 3);
    match piece {
        [name, sign, ..] if name.word().is_some() && sign.is('=') => ends(),
        [_, name, ..] => name.word().is_some() && listed(),
        _ => false,
    }
}

/// `color = red`, `Points -> 50`: how it is drawn.
fn is_option(piece: &[Token]) -> bool {
    let long = |w: &str| w.chars().count() > 1 && greek_letter(w).is_none();
    let [name, sign, rest @ ..] = piece else { return false };
    name.word().is_some_and(long)
        && (sign.is('=') || sign.is('→'))
        && !rest.iter().any(|t| t.is('…') || t.is(':'))
}

impl Statements {
    /// `{u, 0, 2 Pi}` after a formula: a range.
    pub(super) fn range_listed(&mut self, piece: &[Token]) -> bool {
        if !is_list(piece) {
            return false;
        }
        let inside = &piece[1..piece.len() - 1];
        // A step may stand behind the ends.
        let (a, b, inside) = match outside(inside, |_, t| t.is(','))[..] {
            [a, b] => (a, b, inside),
            [a, b, step] => (a, b, &inside[..step]),
            _ => return false,
        };
        let fixed = |t: &Token| t.word().is_none_or(|w| constant(w).is_some());
        let (low, high) = (&inside[a + 1..b], &inside[b + 1..]);
        let Some(name) = inside[0].word().filter(|_| a == 1 && constant(&inside[0].shown()).is_none()) else {
            return false;
        };
        if low.is_empty() || high.is_empty() || !low.iter().chain(high).all(fixed) {
            return false;
        }
        let (low, high) = (low.to_vec(), high.to_vec());
        let (name, at) = (name.to_owned(), inside[0].at);
        self.ranges.push(Range { name, at, low, high, whole: piece.to_vec() });
        true
    }
}
