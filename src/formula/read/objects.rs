//! Lists as code writes them: objects with the names of coordinates, and lists made by a loop over one name.

use super::brackets::outside;
use super::clauses::is_axis;
use super::token::*;

/// `{ x: cos(t), y: sin(t), z: t }` as `(cos(t), sin(t), t)`.
pub(super) fn listed(mut tokens: Vec<Token>) -> Vec<Token> {
    let mut from = 0;
    while let Some(open) = (from..tokens.len()).find(|k| tokens[*k].is('{')) {
        from = open + 1;
        let Some(close) = matching(&tokens, open) else { return tokens };
        let Some(parts) = parts(&tokens[open + 1..close]) else { continue };
        let sign = |c: char, k: usize| Token { tok: Tok::Sym(c), ..tokens[k].clone() };
        let mut list = vec![sign('(', open)];
        for (k, part) in parts.into_iter().enumerate() {
            if k > 0 {
                list.push(sign(',', open));
            }
            list.extend(part);
        }
        list.push(sign(')', close));
        tokens.splice(open..=close, list);
    }
    tokens
}

/// The values of x, y and z, in this order.
fn parts(inside: &[Token]) -> Option<Vec<Vec<Token>>> {
    let mut parts = Vec::new();
    let mut from = 0;
    for c in outside(inside, |_, t| t.is(',')).into_iter().chain([inside.len()]) {
        let part: Vec<Token> = inside[from..c].iter().skip_while(|t| t.is('\n')).cloned().collect();
        from = c + 1;
        match part.as_slice() {
            [name, colon, value @ ..] if colon.is(':') && name.word().is_some_and(is_axis) => {
                let wanted = ["x", "y", "z"].get(parts.len())?;
                name.is_word(wanted).then(|| parts.push(value.to_vec()))?;
            }
            [] if c == inside.len() => {}
            _ => return None,
        }
    }
    (parts.len() >= 2).then_some(parts)
}

/// `[(cos(t), sin(t), t) for t in linspace(0, 1, 50)]` as the list, and `t = linspace(0, 1, 50)` on a line after it.
pub(super) fn without_loops(mut tokens: Vec<Token>) -> Vec<Token> {
    let starts = |k: &usize| tokens[*k].is('[') && k.checked_sub(1).is_none_or(|b| tokens[b].is('='));
    let Some(open) = (0..tokens.len()).find(starts) else { return tokens };
    let Some(close) = matching(&tokens, open) else { return tokens };
    let inside = &tokens[open + 1..close];
    let [k] = outside(inside, |_, t| t.is_word("for"))[..] else { return tokens };
    let [name, word, range @ ..] = &inside[k + 1..] else { return tokens };
    if !word.is_word("in") || !range.first().is_some_and(|t| t.is_word("linspace") || t.is_word("arange")) {
        return tokens;
    }
    let sign = |c: char| Token { tok: Tok::Sym(c), at: name.at, gap: Gap::None };
    let rest = [&inside[..k], &[sign('\n'), name.clone(), sign('=')], range].concat();
    tokens.splice(open..=close, rest);
    tokens
}

/// The bracket that closes the one at a place.
pub(super) fn matching(tokens: &[Token], open: usize) -> Option<usize> {
    let mut depth = 0;
    for (k, t) in tokens.iter().enumerate().skip(open) {
        match t.sym() {
            Some('(' | '[' | '{') => depth += 1,
            Some(')' | ']' | '}') => depth -= 1,
            _ => {}
        }
        if depth == 0 {
            return Some(k);
        }
    }
    None
}
