//! Sets of points, `S = {(x, y, z) ∈ ℝ³ : x² + y² ≤ 1}`: the conditions after the colon or bar are the formula.

use super::clauses::is_axis;
use super::token::*;

/// The text with the conditions of a set in place of the set.
pub(super) fn conditions(tokens: Vec<Token>) -> Vec<Token> {
    let Some((open, bar, close)) = set(&tokens) else { return tokens };
    let named = open >= 2
        && tokens[open - 2].word().is_some()
        && matches!(tokens[open - 1].sym(), Some('=' | '≔' | ':'))
        && open.checked_sub(3).is_none_or(|k| tokens[k].is('\n') || tokens[k].is(':'));
    let from = if named { open - 2 } else { open };
    [&tokens[..from], &tokens[bar + 1..close], &tokens[close + 1..]].concat()
}

/// The text without declarations of maps, `f: R^2 -> R, f(x, y) = …`; one from an interval, `γ: [0, 2π] → R³, γ(t) = …`,
/// gives its argument that range.
pub(super) fn without_maps(tokens: Vec<Token>) -> Vec<Token> {
    let tokens = arrowed(tokens);
    let Some((start, arrow, end)) = map(&tokens) else { return tokens };
    let name = tokens[start].word().unwrap_or_default();
    let called = |k: &usize| tokens[*k].is_word(name) && tokens.get(k + 1).is_some_and(|t| t.is('('));
    let defined = (end..tokens.len()).chain(0..start).find(called);
    let arguments = defined.and_then(|k| {
        let open = k + 1;
        let close = open + tokens[open..].iter().position(|t| t.is(')'))?;
        Some(&tokens[open..=close])
    });
    let Some(arguments) = arguments else { return tokens };
    let mut out = tokens[..start].to_vec();
    if tokens[start + 2].is('[') {
        out.extend_from_slice(arguments);
        out.push(Token { tok: Tok::Sym('∈'), ..tokens[start + 1].clone() });
        out.extend_from_slice(&tokens[start + 2..arrow]);
    }
    let from = end + usize::from(out.len() == start);
    out.extend_from_slice(&tokens[from.min(tokens.len())..]);
    out
}

/// `f : (x, y) ↦ x² + y²` as `f(x, y) = …`, and `γ : [0, 2π] → R³, t ↦ (…)` as `γ(t) = (…)` with the range of t.
fn arrowed(tokens: Vec<Token>) -> Vec<Token> {
    let first = |k: usize| k == 0 || tokens[k - 1].is('\n');
    let Some(start) = (0..tokens.len())
        .find(|k| first(*k) && tokens[*k].word().is_some() && tokens.get(k + 1).is_some_and(|t| t.is(':')))
    else {
        return tokens;
    };
    let sign = |c: char| Token { tok: Tok::Sym(c), ..tokens[start + 1].clone() };
    // The arguments behind a place and the place after their arrow.
    let arguments = |from: usize| -> Option<(Vec<Token>, usize)> {
        let close = match tokens.get(from)? {
            open if open.is('(') => super::objects::matching(&tokens, from)?,
            name if name.word().is_some() => from,
            _ => return None,
        };
        let names: Vec<Token> = tokens[from..=close].iter().filter(|t| t.word().is_some()).cloned().collect();
        let listed = tokens[from..=close]
            .iter()
            .all(|t| t.word().is_some() || matches!(t.sym(), Some('(' | ')' | ',')));
        let fits = listed && !names.is_empty() && tokens.get(close + 1).is_some_and(|t| t.is('→'));
        fits.then_some((names, close + 2))
    };
    let written = |names: &[Token], body: &[Token]| {
        let mut out = tokens[..=start].to_vec();
        out.push(sign('('));
        for (k, name) in names.iter().enumerate() {
            out.extend((k > 0).then(|| sign(',')));
            out.push(name.clone());
        }
        out.extend([sign(')'), sign('=')]);
        out.extend_from_slice(body);
        out
    };
    if let Some((names, body)) = arguments(start + 2).filter(|(n, _)| !n[0].is_word("R")) {
        return written(&names, &tokens[body..]);
    }
    let Some((_, arrow, end)) = map(&tokens) else { return tokens };
    match arguments(end + 1) {
        Some((names, body)) => {
            let mut out = written(&names, &tokens[body..]);
            if tokens[start + 2].is('[') && names.len() == 1 {
                out.extend([sign(','), names[0].clone(), sign('∈')]);
                out.extend_from_slice(&tokens[start + 2..arrow]);
            }
            out
        }
        None => tokens,
    }
}

/// Where `name : domain → R` begins at the start of a line, has its arrow, and ends before a comma or the line's end.
fn map(tokens: &[Token]) -> Option<(usize, usize, usize)> {
    let start = (0..tokens.len()).find(|k| {
        let first = k.checked_sub(1).is_none_or(|b| tokens[b].is('\n') || tokens[b].is(','));
        first && tokens[*k].word().is_some() && tokens.get(k + 1).is_some_and(|t| t.is(':'))
    })?;
    let arrow = start + 2 + tokens[start + 2..].iter().take(24).position(|t| t.is('→'))?;
    let line = tokens[start..arrow].iter().any(|t| t.is('\n'));
    let space = |t: &Token| {
        t.is_word("R")
            || matches!(t.tok, Tok::Num(..))
            || matches!(t.sym(), Some('^' | '(' | ')' | '{' | '}'))
    };
    let end = arrow + 1 + tokens[arrow + 1..].iter().take_while(|t| space(t)).count();
    let ends = tokens.get(end).is_none_or(|t| matches!(t.sym(), Some(',' | ';' | '\n' | '.')));
    (!line && ends && end > arrow + 1).then_some((start, arrow, end))
}

/// Where the first set (its braces are brackets in TeX) opens, its conditions begin and it closes.
fn set(tokens: &[Token]) -> Option<(usize, usize, usize)> {
    let open = tokens.windows(2).position(|w| (w[0].is('{') || w[0].is('(')) && w[1].is('('))?;
    let point = open + 2 + tokens[open + 2..].iter().position(|t| t.is(')'))?;
    let axes = |t: &Token| t.is(',') || t.word().is_some_and(is_axis);
    if !tokens[open + 2..point].iter().all(axes) {
        return None;
    }
    let bar = point + 1 + tokens[point + 1..].iter().take(14).position(|t| t.is(':') || t.is('|'))?;
    if bar > point + 1 && !tokens[point + 1].is('∈') {
        return None;
    }
    let mut depth = 0;
    for (k, t) in tokens.iter().enumerate().skip(open) {
        match t.sym() {
            Some('{' | '(') => depth += 1,
            Some('}' | ')') => depth -= 1,
            _ => {}
        }
        if depth == 0 {
            return (k > bar).then_some((open, bar, k));
        }
    }
    None
}
