//! Signs said in words: `x squared plus y squared equals z`.

use std::collections::BTreeSet;

use super::faults::Span;
use super::parse::comparison;
use super::token::*;
use super::vocabulary::{FILLER, PARTING};

fn sign_of(word: &str) -> Option<char> {
    Some(match word {
        "plus" => '+',
        "minus" => '-',
        "times" => '*',
        "equals" => '=',
        _ => return None,
    })
}

/// Whether what stands at a place may be a factor's end, or a factor's beginning.
fn operand(t: Option<&Token>, ends: bool) -> bool {
    let Some(t) = t else { return false };
    let brackets = if ends { ")]}|" } else { "([{|√-" };
    match &t.tok {
        Tok::Num(..) => true,
        Tok::Word(w, _) => !FILLER.contains(&w.to_lowercase().as_str()) || w.chars().count() == 1,
        Tok::Sym(c) => brackets.contains(*c) || !ends && matches!(*c, FRAC | ROOT),
        Tok::Name(_) | Tok::Func(_) => true,
    }
}

/// `square root of x^2 + y^2` with brackets around all that it is said of.
fn rooted(mut tokens: Vec<Token>) -> Vec<Token> {
    let mut from = 0;
    while let Some(i) = (from..tokens.len().saturating_sub(3)).find(|i| {
        (tokens[*i].is_word("square") || tokens[*i].is_word("cube"))
            && tokens[i + 1].is_word("root")
            && tokens[i + 2].is_word("of")
    }) {
        from = i + 3;
        if tokens[from].is('(') {
            continue;
        }
        let mut depth = 0;
        let end = (from..tokens.len()).find(|k| {
            match tokens[*k].sym() {
                Some('(' | '[' | '{') => depth += 1,
                Some(')' | ']' | '}') => depth -= 1,
                _ => {}
            }
            let parts = matches!(tokens[*k].sym(), Some(',' | ';' | '\n' | '.'))
                || comparison(&tokens[*k]).is_some()
                || tokens[*k].word().is_some_and(|w| PARTING.contains(&w));
            depth < 0 || depth == 0 && parts
        });
        let end = end.unwrap_or(tokens.len());
        let bracket = |c: char| Token { tok: Tok::Sym(c), at: tokens[i].at, gap: Gap::None };
        let (open, close) = (bracket('('), bracket(')'));
        tokens.insert(end, close);
        tokens.insert(from, open);
    }
    tokens
}

/// The text with words for signs written as signs, and the place of the first.
pub(super) fn signs(tokens: Vec<Token>) -> (Vec<Token>, Option<Span>) {
    let tokens = rooted(tokens);
    let named: BTreeSet<String> =
        tokens.windows(2).filter(|p| p[1].is('=')).filter_map(|p| p[0].word().map(str::to_owned)).collect();
    let given = |w: &str| named.contains(w);
    let mut out: Vec<Token> = Vec::with_capacity(tokens.len());
    let mut first = None;
    let mut i = 0;
    while i < tokens.len() {
        let t = &tokens[i];
        let word = t.word().filter(|w| !given(w)).unwrap_or_default();
        let (before, next) = (out.last(), tokens.get(i + 1));
        let between = operand(before, true) && operand(next, false) && t.gap > Gap::None;
        let power = ["squared", "cubed"].iter().position(|w| *w == word).filter(|_| operand(before, true));
        let root = ["square", "cube"].iter().position(|w| *w == word).filter(|_| {
            next.is_some_and(|t| t.is_word("root")) && tokens.get(i + 2).is_some_and(|t| t.is_word("of"))
        });
        let said = is_said(&tokens, i);
        if word == "minus" && between && parts_solids(&out, &tokens[i + 1..]) {
            out.push(Token { tok: Tok::Sym(WITHOUT), ..t.clone() });
        } else if let (Some(c), true) = (sign_of(word), between) {
            out.push(Token { tok: Tok::Sym(c), ..t.clone() });
        } else if said {
            out.push(Token { tok: Tok::Sym('='), ..t.clone() });
        } else if let Some(k) = power {
            out.push(Token { tok: Tok::Sym('^'), gap: Gap::None, ..t.clone() });
            out.push(Token { tok: Tok::Num(2.0 + k as f64, true), gap: Gap::None, ..t.clone() });
        } else if let Some(k) = root {
            if out.last().is_some_and(|t| t.is_word("the")) {
                out.pop();
            }
            out.push(Token { tok: Tok::Word(["sqrt", "cbrt"][k].into(), true), ..t.clone() });
            i += 2;
        } else {
            out.push(t.clone());
            i += 1;
            continue;
        }
        first = first.or(Some(t.at));
        i += 1;
    }
    (out, first)
}

/// Whether "minus" takes one solid from another, `x^2 + y^2 < 1 minus z < 0`: inequalities stand on both sides, and the one
/// before ends in a number that it does not begin with, as a band `0 < x minus y < 1` does.
fn parts_solids(before: &[Token], after: &[Token]) -> bool {
    let ends = |t: &Token| matches!(t.sym(), Some(',' | ';' | '\n'));
    let less = |t: &Token| comparison(t).is_some() && !t.is('=');
    let start = before.iter().rposition(ends).map_or(0, |k| k + 1);
    let left = &before[start..];
    let fixed = |t: &[Token]| t.iter().all(|t| t.word().is_none());
    let Some(sign) = left.iter().rposition(less) else { return false };
    fixed(&left[sign..]) && !fixed(&left[..sign]) && after.iter().take_while(|t| !ends(t)).any(less)
}

/// `z is x^2 + y^2`: a coordinate that begins its line, and what follows is no speech.
fn is_said(tokens: &[Token], i: usize) -> bool {
    if !tokens[i].is_word("is") {
        return false;
    }
    let starts = i == 1 || i > 1 && tokens[i - 2].is('\n');
    let value = tokens.get(i + 1).is_some_and(|t| matches!(t.tok, Tok::Num(..)));
    let ends =
        tokens.get(i + 2).is_none_or(|t| matches!(t.sym(), Some(',' | ';' | '\n' | '.')) || t.is_word("and"));
    let named = i > 0 && operand(tokens.get(i - 1), true) && tokens[i - 1].word().is_some();
    if starts && named && value && ends {
        // `radius is 2, …`
        return true;
    }
    let axis = i > 0 && tokens[i - 1].word().is_some_and(super::clauses::is_axis);
    let line = tokens[i..].iter().take_while(|t| !t.is('\n'));
    let related = line.clone().any(|t| comparison(t).is_some());
    let worked = line.clone().any(|t| t.sym().is_some_and(|c| "+-*/^".contains(c)));
    starts && axis && !related && worked && operand(tokens.get(i + 1), false)
}
