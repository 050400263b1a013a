//! Terms over a literal list of tuples, `sum(f(a, b) for a, b in balls)`, become the terms themselves.

use super::brackets::{between_commas, outside};
use super::lexer::MOST_TOKENS;
use super::objects::matching;
use super::token::*;

/// The code with such terms written out: one for each tuple, parted by commas. A loop over a list that the text does not
/// hold, or whose tuples have another number of parts, stays.
pub(super) fn written_out(mut tokens: Vec<Token>) -> Vec<Token> {
    let mut i = 0;
    while i < tokens.len() && tokens.len() < MOST_TOKENS {
        if let Some((to, sign)) = opening(&tokens, i)
            && let Some(terms) = terms(&tokens, i + 1, to, sign)
        {
            tokens.splice(i + 1..to, terms);
        }
        i += 1;
    }
    tokens
}

/// The end of the bracket of a call at a place whose terms can be written out, and the sign that joins them.
fn opening(tokens: &[Token], i: usize) -> Option<(usize, char)> {
    let call = i.checked_sub(1).and_then(|k| tokens[k].word())?;
    let sign = match call {
        "sum" => '+',
        "prod" => '*',
        "min" | "max" => ',',
        _ => return None,
    };
    tokens[i].is('(').then(|| matching(tokens, i)).flatten().map(|to| (to, sign))
}

/// The terms between two places.
fn terms(tokens: &[Token], from: usize, to: usize, sign: char) -> Option<Vec<Token>> {
    let mut inside = &tokens[from..to];
    // A list of its own may stand in the call.
    if inside.first()?.is('[') && matching(inside, 0) == Some(inside.len() - 1) {
        inside = &inside[1..inside.len() - 1];
    }
    let [k] = outside(inside, |_, t| t.is_word("for"))[..] else { return None };
    let word = k + outside(&inside[k..], |_, t| t.is_word("in")).first()?;
    let names: Vec<&str> = inside[k + 1..word].iter().filter_map(Token::word).collect();
    let plain = |t: &Token| t.word().is_some() || matches!(t.sym(), Some('(' | ')' | ','));
    if names.len() < 2 || !inside[k + 1..word].iter().all(plain) {
        return None;
    }
    let place = |c: char| Token { tok: Tok::Sym(c), at: inside[k].at, gap: Gap::Blank };
    let mut out = Vec::new();
    for tuple in tuples(tokens, &inside[word + 1..])? {
        if tuple.len() != names.len() || out.len() > MOST_TOKENS {
            return None;
        }
        out.extend((!out.is_empty()).then(|| place(sign)));
        out.push(place('('));
        for (n, t) in inside[..k].iter().enumerate() {
            let member = n > 0 && inside[n - 1].is('.');
            match names.iter().position(|w| !member && t.is_word(w)) {
                Some(n) => {
                    out.push(place('('));
                    out.extend_from_slice(tuple[n]);
                    out.push(place(')'));
                }
                None => out.push(t.clone()),
            }
        }
        out.push(place(')'));
    }
    Some(out)
}

/// The tuples of a literal list, or of the only one that a name was given.
fn tuples<'a>(tokens: &'a [Token], list: &'a [Token]) -> Option<Vec<Vec<&'a [Token]>>> {
    let list = match list {
        [name] => {
            let given = |k: &usize| tokens[*k].word() == name.word() && tokens[k + 1].is('=');
            let mut all = (0..tokens.len() - 1).filter(given);
            let at = all.next().filter(|_| all.next().is_none() && name.word().is_some())? + 2;
            &tokens[at..=matching(tokens, at)?]
        }
        _ => list,
    };
    let [open, inside @ .., _] = list else { return None };
    if !(open.is('[') || open.is('(')) || matching(list, 0) != Some(list.len() - 1) {
        return None;
    }
    parts(inside).into_iter().filter(|p| !p.is_empty()).map(tuple).collect()
}

fn tuple(part: &[Token]) -> Option<Vec<&[Token]>> {
    let first = part.iter().position(|t| !t.is('\n'))?;
    match &part[first..] {
        [open, inside @ .., close] if (open.is('(') || open.is('[')) && (close.is(')') || close.is(']')) => {
            Some(parts(inside))
        }
        _ => None,
    }
}

fn parts(tokens: &[Token]) -> Vec<&[Token]> {
    let mut out = between_commas(tokens);
    for part in &mut out {
        if part.iter().all(|t| t.is('\n')) {
            *part = &part[..0];
        }
    }
    out
}
