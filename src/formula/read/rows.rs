//! Row vectors of array code: `norm([x y z])` parts by blanks what other texts part by commas.

use super::clauses::is_axis;
use super::objects::matching;
use super::token::*;

/// The text with commas between the parts of each list in square brackets that is the argument of a call, `norm([x y z])`,
/// or in array code stands where a value begins.
pub(super) fn parted(tokens: Vec<Token>, arrays: bool) -> Vec<Token> {
    let mut out = Vec::with_capacity(tokens.len());
    let mut ends: Vec<usize> = Vec::new();
    for (i, t) in tokens.iter().enumerate() {
        let row = t.is('[') && (is_argument(&tokens, i) || arrays && begins_value(&tokens, i));
        if let Some(close) =
            row.then(|| matching(&tokens, i)).flatten().filter(|close| is_row(&tokens[i + 1..*close]))
        {
            ends.push(close);
        }
        while ends.last().is_some_and(|end| *end <= i) {
            ends.pop();
        }
        if !ends.is_empty() && apart(&tokens, i) {
            out.push(Token { tok: Tok::Sym(','), at: t.at, gap: Gap::None });
        }
        out.push(t.clone());
    }
    out
}

/// Whether the bracket at a place begins an argument of a call, or is the value of a name that is no coordinate.
fn is_argument(tokens: &[Token], i: usize) -> bool {
    let given = i > 1 && tokens[i - 1].is('=') && tokens[i - 2].word().is_some_and(|w| !is_axis(w));
    if given || !i.checked_sub(1).is_some_and(|k| tokens[k].is('(') || tokens[k].is(',')) {
        return given;
    }
    let mut depth = 0;
    let open = (0..i).rev().find(|k| {
        match tokens[*k].sym() {
            Some(')' | ']' | '}') => depth += 1,
            Some('(' | '[' | '{') => depth -= 1,
            _ => {}
        }
        depth < 0
    });
    let call = |k: usize| k > 0 && tokens[k].is('(') && tokens[k].gap == Gap::None;
    open.is_some_and(|k| call(k) && tokens[k - 1].word().is_some_and(|w| w.chars().count() > 1))
}

fn begins_value(tokens: &[Token], i: usize) -> bool {
    i == 0 || tokens[i - 1].sym().is_some_and(|c| "=(,+-*/^".contains(c))
}

/// Whether what stands between square brackets is parted by blanks alone.
fn is_row(inside: &[Token]) -> bool {
    !inside
        .iter()
        .any(|t| t.sym().is_some_and(|c| matches!(c, ',' | ';' | '(' | '[' | '{' | '|' | '…' | ':')))
}

/// Whether a part of a row begins at a place: behind a blank, and with no sign between it and the last.
fn apart(tokens: &[Token], i: usize) -> bool {
    let Some(before) = i.checked_sub(1).map(|k| &tokens[k]) else { return false };
    let ends = before.word().is_some() || matches!(before.tok, Tok::Num(..));
    let signed = tokens[i].is('-') && tokens.get(i + 1).is_some_and(|n| n.gap == Gap::None);
    let begins = tokens[i].word().is_some() || matches!(tokens[i].tok, Tok::Num(..)) || signed;
    let function = before.word().is_some_and(|w| super::functions::function(w).is_some());
    tokens[i].gap > Gap::None && ends && begins && !function
}
