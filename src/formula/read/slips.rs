//! Slips of pasted texts that are mended before statements are told apart: roots with their order in brackets, points
//! before brackets, functions under another name.

use std::collections::BTreeMap;

use super::clauses::is_axis;
use super::faults::{FaultClass, Read, fault};
use super::functions;
use super::style::Style;
use super::token::*;
use super::vocabulary::PARTING;

/// The text without them.
///
/// # Errors
/// A number with two points.
pub(super) fn mended(tokens: Vec<Token>, style: Style) -> Read<Vec<Token>> {
    let tokens = renamed(without_dots(tokens));
    if style.code || style.square {
        return Ok(tokens);
    }
    two_points(&tokens)?;
    Ok(orders(tokens))
}

/// `sin.(x)`, a function of each of several numbers, as `sin(x)`.
fn without_dots(tokens: Vec<Token>) -> Vec<Token> {
    let function = |t: &Token| t.word().is_some_and(|w| functions::function(w).is_some());
    let dot = |i: usize| {
        tokens[i].is('.')
            && i > 0
            && function(&tokens[i - 1])
            && tokens[i].gap == Gap::None
            && tokens.get(i + 1).is_some_and(|t| t.is('(') && t.gap == Gap::None)
    };
    (0..tokens.len()).filter(|i| !dot(*i)).map(|i| tokens[i].clone()).collect()
}

/// Refuses `3.14.x`.
fn two_points(tokens: &[Token]) -> Read<()> {
    let pointed = |w: &[Token]| {
        let glued = w[1].gap == Gap::None && w[2].gap == Gap::None;
        let more =
            matches!(w[2].tok, Tok::Num(..)) || w[2].word().is_some_and(|n| functions::function(n).is_none());
        matches!(w[0].tok, Tok::Num(_, false)) && w[1].is('.') && glued && more
    };
    match tokens.windows(3).find(|w| pointed(w)) {
        Some(w) => fault(
            FaultClass::Unexpected,
            w[0].at.join(w[2].at),
            "a point stands here behind a number that has one already",
            "delete one of the points, or write a product with *",
        ),
        None => Ok(()),
    }
}

/// `sqrt[3]{x}`, which lost its backslash, as the root of that order.
fn orders(mut tokens: Vec<Token>) -> Vec<Token> {
    for i in 0..tokens.len().saturating_sub(4) {
        let w = &tokens[i..i + 5];
        let number = matches!(w[2].tok, Tok::Num(..)) || w[2].word().is_some();
        let glued = w[1].gap == Gap::None && w[4].gap == Gap::None;
        if w[0].is_word("sqrt") && w[1].is('[') && number && w[3].is(']') && w[4].is('{') && glued {
            tokens[i].tok = Tok::Sym(ROOT);
        }
    }
    tokens
}

/// `C = cos, S = sin` and `s, c = sin, cos` beside a formula: the names are those functions.
fn renamed(tokens: Vec<Token>) -> Vec<Token> {
    let mut names: BTreeMap<String, Tok> = BTreeMap::new();
    let mut out: Vec<Token> = Vec::with_capacity(tokens.len());
    let mut i = 0;
    while i < tokens.len() {
        match same(&tokens, i) {
            Some(n) => {
                for k in (0..n).step_by(2) {
                    let name = tokens[i + k].word().unwrap_or_default().to_owned();
                    names.insert(name, tokens[i + n + 1 + k].tok.clone());
                }
                i += 2 * n + 2;
            }
            None => {
                out.push(tokens[i].clone());
                i += 1;
            }
        }
    }
    let said = |t: &Token| !t.sym().is_some_and(|c| matches!(c, ',' | ';' | '\n'));
    if names.is_empty() || !out.iter().any(said) {
        return tokens;
    }
    for t in &mut out {
        if let Some(function) = t.word().and_then(|w| names.get(w)) {
            t.tok = function.clone();
        }
    }
    out
}

/// How many signs the names take that are given functions of their own at a place: 1 of `C = cos`, 3 of `s, c = sin, cos`.
fn same(tokens: &[Token], i: usize) -> Option<usize> {
    let parts = |t: &Token| t.sym().is_some_and(|c| matches!(c, ',' | ';' | '\n'));
    let starts = i == 0 || parts(&tokens[i - 1]) || PARTING.iter().any(|w| tokens[i - 1].is_word(w));
    let name = |t: &Token| t.word().is_some_and(|w| !is_axis(w) && functions::function(w).is_none());
    let function = |t: &Token| t.word().is_some_and(functions::is_bare);
    if !starts {
        return None;
    }
    [1, 3, 5].into_iter().find(|n| {
        let Some(w) = tokens.get(i..i + 2 * n + 1) else { return false };
        let listed = |side: &[Token], fits: &dyn Fn(&Token) -> bool| {
            side.iter().enumerate().all(|(k, t)| if k % 2 == 0 { fits(t) } else { t.is(',') })
        };
        let ends = tokens.get(i + 2 * n + 1).is_none_or(parts);
        w[*n].is('=') && listed(&w[..*n], &name) && listed(&w[n + 1..], &function) && ends
    })
}
