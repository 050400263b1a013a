//! Units of length behind numbers: `R = 5 cm`. A formula's numbers have none, and its shape is scaled afterwards.

use super::faults::Span;
use super::token::*;

const UNITS: &[&str] = &["mm", "cm", "km", "um", "nm", "μm", "inch", "inches", "cms", "mms"];

fn unit(t: &Token) -> Option<&str> {
    t.word().filter(|w| UNITS.contains(w))
}

/// How many tokens a power of a unit takes: `^2`, or a raised digit.
fn power(after: &[Token]) -> usize {
    let number = |t: &Token| matches!(t.tok, Tok::Num(_, true));
    match after {
        [raise, open, two, close, ..] if raise.is('^') && open.is('(') && number(two) && close.is(')') => 4,
        [raise, two, ..] if raise.is('^') && number(two) => 2,
        _ => 0,
    }
}

/// The text without its unit of length, where it has one alone and always behind a number, and where that was said first.
pub(super) fn without_unit(tokens: Vec<Token>) -> (Vec<Token>, Option<(Span, String)>) {
    let Some(name) = tokens.iter().find_map(unit).map(str::to_owned) else { return (tokens, None) };
    let behind = |k: usize| k > 0 && matches!(tokens[k - 1].tok, Tok::Num(..));
    let given = |k: usize| tokens.get(k + 1).is_some_and(|t| t.is('=') || t.is('(') || t.is('.'));
    let plain = (0..tokens.len()).all(|k| match unit(&tokens[k]) {
        Some(w) => w == name && behind(k) && !given(k),
        None => true,
    });
    if !plain {
        return (tokens, None);
    }
    let mut out: Vec<Token> = Vec::with_capacity(tokens.len());
    let (mut first, mut k) = (Span::default(), 0);
    while k < tokens.len() {
        if unit(&tokens[k]).is_some() {
            first = if first == Span::default() { tokens[k].at } else { first };
            k += 1 + power(&tokens[k + 1..]);
        } else {
            out.push(tokens[k].clone());
            k += 1;
        }
    }
    (out, Some((first, format!("{name} left out: the numbers of a formula have no unit"))))
}
