//! Assignments to components, `p.xz = e` and `p.x += e`, become assignments of the whole vector: `p = with.xz(p, e)`.

use super::faults::{FaultClass, Read, Span, fault};
use super::token::*;
use super::vectors::{Val, index};
use crate::formula::Expr;

/// Begins the name of the function that a vector with some components replaced is; no text can name it.
const WITH: &str = "with.";

/// The tokens of code with assignments to components written as assignments of vectors.
pub(super) fn components(tokens: Vec<Token>) -> Vec<Token> {
    let mut out = Vec::with_capacity(tokens.len());
    let mut i = 0;
    while i < tokens.len() {
        let start = i == 0 || tokens[i - 1].sym().is_some_and(|c| matches!(c, '\n' | ';' | '{' | '}'));
        let to = end(&tokens, i);
        match start.then(|| whole(&tokens[i..to])).flatten() {
            Some(written) => {
                out.extend(written);
                i = to;
            }
            None => {
                out.push(tokens[i].clone());
                i += 1;
            }
        }
    }
    out
}

/// Where the statement that begins at a place ends.
fn end(tokens: &[Token], from: usize) -> usize {
    let named = tokens[from].word().is_some() && tokens.get(from + 1).is_some_and(|t| t.is('.'));
    if !named {
        return from;
    }
    let mut depth = 0;
    for (k, t) in tokens.iter().enumerate().skip(from) {
        match t.sym() {
            Some('(' | '[' | '{') => depth += 1,
            Some(')' | ']' | '}') if depth == 0 => return k,
            Some(')' | ']' | '}') => depth -= 1,
            Some(';') if depth == 0 => return k,
            Some('\n') if depth == 0 && !super::lines::ends_open(&tokens[from..k]) => return k,
            _ => {}
        }
    }
    tokens.len()
}

/// `p.xz = e` as `p = with.xz(p, (e))`.
fn whole(statement: &[Token]) -> Option<Vec<Token>> {
    let [name, dot, part, op, value @ ..] = statement else { return None };
    let letters = part.word().filter(|w| index_all(w).is_some())?;
    if !dot.is('.') || value.is_empty() {
        return None;
    }
    let with = match op.sym()? {
        '=' => None,
        ADD_TO => Some('+'),
        TAKE_FROM => Some('-'),
        TIMES_TO => Some('*'),
        OVER_TO => Some('/'),
        _ => return None,
    };
    let at = part.at;
    let token = |tok: Tok| Token { tok, at, gap: Gap::None };
    let sign = |c: char| token(Tok::Sym(c));
    let plain = Token { gap: Gap::None, ..name.clone() };
    let function = token(Tok::Func(format!("{WITH}{letters}")));
    let mut out = vec![name.clone(), sign('='), function, sign('('), plain.clone(), sign(','), sign('(')];
    if let Some(c) = with {
        out.extend([plain, dot.clone(), part.clone(), sign(c), sign('(')]);
    }
    out.extend(value.iter().cloned());
    out.extend(with.map(|_| sign(')')));
    out.extend([sign(')'), sign(')')]);
    Some(out)
}

/// The places of different components.
fn index_all(letters: &str) -> Option<Vec<usize>> {
    let all: Option<Vec<usize>> = letters.chars().map(index).collect();
    let all = all?;
    let different = all.iter().enumerate().all(|(k, i)| !all[..k].contains(i));
    (different && all.len() <= 4).then_some(all)
}

/// The value of `with.xz(p, e)`; `None` for other functions.
///
/// # Errors
/// The vector has no such component, or the value has another number of them.
pub(super) fn replaced(name: &str, args: &[Val], at: Span) -> Read<Option<Val>> {
    let (Some(letters), [vector, value]) = (name.strip_prefix(WITH), args) else { return Ok(None) };
    let places = index_all(letters).unwrap_or_default();
    let mut parts: Vec<Expr> = vector.clone().parts(at)?;
    if parts.len() < 2 || places.iter().any(|k| *k >= parts.len()) {
        let what = format!("there is no .{letters} to be given a value among {} components", parts.len());
        return fault(FaultClass::WrongArguments, at, what, "a point has .x, .y and .z");
    }
    let mut given = value.clone().parts(at)?;
    if let [one] = given.as_slice() {
        given = vec![one.clone(); places.len()];
    }
    if given.len() != places.len() {
        let what = format!(".{letters} takes {} components and was given {}", places.len(), given.len());
        return fault(FaultClass::WrongArguments, at, what, "give one number for each component");
    }
    for (k, e) in places.into_iter().zip(given) {
        parts[k] = e;
    }
    Ok(Some(Val::Vec(parts)))
}
