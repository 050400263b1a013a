//! Brackets in pairs, before anything else is read.

use super::faults::{FaultClass, Read, fault};
use super::lines::trim;
use super::parse::{DEEPEST, comparison};
use super::token::*;

/// `<a, b, c>` as the only thing on its line, or after `=`, is a vector: its signs become brackets.
pub fn angled(mut tokens: Vec<Token>) -> Vec<Token> {
    let mut i = 0;
    while i < tokens.len() {
        let begins = i == 0 || tokens[i - 1].sym().is_some_and(|c| matches!(c, '\n' | ';' | '='));
        let close = if begins && tokens[i].is('<') { angle_end(&tokens, i) } else { None };
        if let Some(k) = close {
            tokens[i].tok = Tok::Sym('(');
            tokens[k].tok = Tok::Sym(')');
        }
        i += 1;
    }
    tokens
}

/// Where the vector that `<` at a place opens is closed: two commas or one between, no other comparison.
fn angle_end(tokens: &[Token], open: usize) -> Option<usize> {
    let (mut depth, mut commas) = (0, 0);
    for (k, t) in tokens.iter().enumerate().skip(open + 1) {
        match t.sym() {
            Some('(' | '[' | '{') => depth += 1,
            Some(')' | ']' | '}') => depth -= 1,
            Some(',') if depth == 0 => commas += 1,
            Some('>') if depth == 0 => {
                let ends = tokens
                    .get(k + 1)
                    .is_none_or(|n| n.sym().is_some_and(|c| "\n;,.=".contains(c)) || n.word().is_some());
                return (ends && (1..=2).contains(&commas)).then_some(k);
            }
            Some('\n' | ';') if depth == 0 => return None,
            _ if comparison(t).is_some() => return None,
            _ => {}
        }
    }
    None
}

/// `= {x^2 if x > 0, -x otherwise}` is a table of cases, also where its end is left open.
pub fn cased(mut tokens: Vec<Token>) -> Vec<Token> {
    let opens = |k: &usize| tokens[*k].is('{') && tokens[k - 1].is('=');
    let Some(open) = (1..tokens.len()).find(opens) else { return tokens };
    let mut depth = 0;
    let mut close = tokens.len();
    let mut rows = Vec::new();
    for (k, t) in tokens.iter().enumerate().skip(open) {
        match t.sym() {
            Some('(' | '[' | '{') => depth += 1,
            Some(')' | ']' | '}') => depth -= 1,
            Some(',' | ';' | '\n') if depth == 1 => rows.push(k),
            _ => {}
        }
        if depth == 0 {
            close = k;
            break;
        }
    }
    let ends: Vec<usize> = rows.iter().copied().chain([close]).collect();
    let mut from = open + 1;
    for (k, end) in ends.iter().enumerate() {
        let row = &tokens[from..*end];
        let test = row.iter().skip(1).any(|t| t.is_word("if"));
        let other = k > 0 && *end == close && row.last().is_some_and(|t| t.is_word("otherwise"));
        if !test && !other {
            return tokens;
        }
        from = end + 1;
    }
    if rows.is_empty() {
        return tokens;
    }
    tokens[open].tok = Tok::Sym(CASES);
    for k in rows {
        tokens[k].tok = Tok::Sym(ROW);
    }
    match tokens.get_mut(close) {
        Some(t) => t.tok = Tok::Sym(END_CASES),
        None => {
            let at = tokens[open].at;
            tokens.push(Token { tok: Tok::Sym(END_CASES), at, gap: Gap::None });
        }
    }
    tokens
}

/// `{x > 0: x^2, y}` is a table of cases, each condition before its value; the last value may stand alone.
///
/// # Errors
/// Brackets that do not pair up.
pub fn chosen(mut tokens: Vec<Token>) -> Read<Vec<Token>> {
    let mut from = 0;
    if !tokens.iter().any(|t| t.is(':')) {
        return Ok(tokens);
    }
    depths(&tokens)?;
    while let Some(open) = (from..tokens.len()).find(|k| tokens[*k].is('{') || tokens[*k].is('(')) {
        from = open + 1;
        let Some(close) = super::objects::matching(&tokens, open) else { return Ok(tokens) };
        if let Some(rows) = rows_behind_tests(&tokens[open + 1..close]) {
            let sign = |c: char, k: usize| Token { tok: Tok::Sym(c), ..tokens[k].clone() };
            let table = [&[sign(CASES, open)], rows.as_slice(), &[sign(END_CASES, close)]].concat();
            tokens.splice(open..=close, table);
        }
    }
    Ok(tokens)
}

/// The rows of such a table, each value before its condition.
fn rows_behind_tests(inside: &[Token]) -> Option<Vec<Token>> {
    let mut out: Vec<Token> = Vec::new();
    let mut from = 0;
    let commas = outside(inside, |_, t| t.is(','));
    for c in commas.into_iter().chain([inside.len()]) {
        let part = &inside[from..c];
        from = c + 1;
        let word = |w: &str, at: &Token| Token { tok: Tok::Word(w.into(), true), at: at.at, gap: Gap::Blank };
        if !out.is_empty() {
            out.push(Token { tok: Tok::Sym(ROW), ..part.first()?.clone() });
        }
        match outside(part, |_, t| t.is(':'))[..] {
            [k] if k > 0 && k + 1 < part.len() => {
                let test = &part[..k];
                let compares = test.iter().any(|t| comparison(t).is_some());
                if !compares || test.iter().any(|t| t.is('∈') || t.is('?')) {
                    return None;
                }
                out.extend_from_slice(&part[k + 1..]);
                out.push(word("if", &part[k]));
                out.extend_from_slice(test);
            }
            [] if c == inside.len() && !out.is_empty() => {
                out.extend_from_slice(part);
                out.push(word("otherwise", part.last()?));
            }
            _ => return None,
        }
    }
    Some(out)
}

/// Checks that brackets pair up and gives the depth of each token (brackets themselves count as outside).
///
/// # Errors
/// A bracket without its partner, or too many inside each other.
pub fn depths(tokens: &[Token]) -> Read<Vec<u32>> {
    let mut stack: Vec<usize> = Vec::new();
    let mut out = Vec::with_capacity(tokens.len());
    for (i, t) in tokens.iter().enumerate() {
        match t.sym() {
            Some('(' | '[' | '{' | CASES) => {
                out.push(stack.len() as u32);
                stack.push(i);
                if stack.len() > DEEPEST {
                    return fault(
                        FaultClass::TooDeep,
                        t.at,
                        format!("brackets are nested more than {DEEPEST} deep at this {}", t.shown()),
                        "give inner parts names on lines of their own: h = ...",
                    );
                }
            }
            Some(c @ (')' | ']' | '}' | END_CASES)) => {
                let Some(open) = stack.pop() else {
                    return fault(
                        FaultClass::Unbalanced,
                        t.at,
                        format!("the bracket {} was never opened", t.shown()),
                        "delete it, or open it where its part begins",
                    );
                };
                let o = tokens[open].sym().unwrap_or('(');
                if !pairs(o, c) && !is_interval(tokens, open, i) {
                    return fault(
                        FaultClass::Unbalanced,
                        tokens[open].at.join(t.at),
                        format!("the bracket {} is closed by {}", tokens[open].shown(), t.shown()),
                        "brackets close with their own kind",
                    );
                }
                out.push(stack.len() as u32);
            }
            _ => out.push(stack.len() as u32),
        }
    }
    match stack.last() {
        Some(open) => fault(
            FaultClass::Unbalanced,
            tokens[*open].at,
            format!("the bracket {} is not closed", tokens[*open].shown()),
            "close it, or was the end of the formula lost?",
        ),
        None => Ok(out),
    }
}

fn pairs(open: char, close: char) -> bool {
    matches!((open, close), ('(', ')') | ('[', ']') | ('{', '}') | (CASES, END_CASES))
}

/// `[0, 2π)` after "in".
fn is_interval(tokens: &[Token], open: usize, close: usize) -> bool {
    let inside = &tokens[open + 1..close];
    let commas = inside.iter().filter(|t| t.is(',') || t.is(';')).count();
    let before = open.checked_sub(1).map(|i| &tokens[i]);
    commas == 1 && before.is_some_and(|t| t.is('∈') || t.is_word("in") || t.is('×') || t.is('*'))
}

/// Positions of a test outside brackets.
pub(super) fn outside(tokens: &[Token], test: impl Fn(usize, &Token) -> bool) -> Vec<usize> {
    let mut depth = 0;
    let mut out = Vec::new();
    for (i, t) in tokens.iter().enumerate() {
        match t.sym() {
            Some('(' | '[' | '{' | CASES) => depth += 1,
            Some(')' | ']' | '}' | END_CASES) => depth -= 1,
            _ if depth == 0 && test(i, t) => out.push(i),
            _ => {}
        }
    }
    out
}

/// The parts between commas outside brackets, empty ones too.
pub(super) fn between_commas(tokens: &[Token]) -> Vec<&[Token]> {
    let mut out = Vec::new();
    let mut from = 0;
    for k in outside(tokens, |_, t| t.is(',')).into_iter().chain([tokens.len()]) {
        out.push(&tokens[from..k]);
        from = k + 1;
    }
    out
}

/// Takes off brackets around a whole equation: `(a = 2)`.
pub(super) fn unbracket(piece: &mut Vec<Token>) {
    for _ in 0..3 {
        let wrapped = piece.len() > 2
            && matches!(
                (piece[0].sym(), piece[piece.len() - 1].sym()),
                (Some('('), Some(')')) | (Some('['), Some(']')) | (Some('{'), Some('}'))
            )
            && closes_last(piece);
        let inside = if wrapped { &piece[1..piece.len() - 1] } else { return };
        let relation = !outside(inside, |_, t| comparison(t).is_some() || t.is('∈')).is_empty();
        let commas = !outside(inside, |_, t| t.is(',')).is_empty();
        if !relation || commas {
            return;
        }
        piece.pop();
        piece.remove(0);
        trim(piece);
    }
}

/// Takes off brackets around several equations or conditions: `{x = cos t, y = sin t, z = t}`.
pub(super) fn unbrace(piece: &mut Vec<Token>) {
    if piece.len() < 3 || !piece[0].is('{') && !piece[0].is('(') || !closes_last(piece) {
        return;
    }
    let inside = &piece[1..piece.len() - 1];
    let commas = outside(inside, |_, t| t.is(',') || t.is(';'));
    let mut from = 0;
    let related = commas.iter().copied().chain([inside.len()]).all(|c| {
        let part = &inside[from..c];
        from = c + 1;
        !outside(part, |_, t| comparison(t).is_some()).is_empty()
    });
    if related && !commas.is_empty() && !inside.iter().any(|t| t.is('?')) {
        for c in commas {
            piece[c + 1].tok = Tok::Sym(',');
        }
        piece.pop();
        piece.remove(0);
    }
}

pub(super) fn closes_last(piece: &[Token]) -> bool {
    let mut depth = 0;
    for (i, t) in piece.iter().enumerate() {
        match t.sym() {
            Some('(' | '[' | '{' | CASES) => depth += 1,
            Some(')' | ']' | '}' | END_CASES) => {
                depth -= 1;
                if depth == 0 {
                    return i + 1 == piece.len();
                }
            }
            _ => {}
        }
    }
    false
}
