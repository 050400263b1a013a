//! Idioms of code that name what is known already, `const { sin, cos } = Math`, or hand a point back by a call,
//! `target.set(x, y, z)`.

use std::collections::BTreeMap;

use super::brackets::{between_commas, outside};
use super::functions::is_bare;
use super::objects::matching;
use super::token::*;

/// The code without such statements, and with the functions' own names where others were given to them.
pub(super) fn plain(tokens: Vec<Token>) -> Vec<Token> {
    let mut names: BTreeMap<String, String> = BTreeMap::new();
    let mut out: Vec<Token> = Vec::with_capacity(tokens.len());
    let mut i = 0;
    while i < tokens.len() {
        let starts = i == 0 || matches!(tokens[i - 1].sym(), Some('\n' | ';' | '{' | '}'));
        match starts.then(|| fetched(&tokens[i..])).flatten() {
            Some((found, length)) => {
                names.extend(found);
                i += length;
            }
            None => {
                out.push(tokens[i].clone());
                i += 1;
            }
        }
    }
    for k in 0..out.len() {
        let called = out.get(k + 1).is_some_and(|t| t.is('(')) && !(k > 0 && out[k - 1].is('.'));
        if let Some(name) = out[k].word().filter(|_| called).and_then(|w| names.get(w)) {
            out[k].tok = Tok::Word(name.clone(), false);
        }
    }
    handed_back(out)
}

/// Names and the functions that they are given to.
type Names = Vec<(String, String)>;

/// The names that a statement fetches, and how many tokens it takes: `const { sin, cos: c } = Math`,
/// `const s = Math.sin, c = Math.cos`.
fn fetched(tokens: &[Token]) -> Option<(Names, usize)> {
    let declared = tokens[0].word().is_some_and(|w| matches!(w, "const" | "let" | "var"));
    let from = usize::from(declared);
    let to = tokens.iter().position(|t| matches!(t.sym(), Some('\n' | ';'))).unwrap_or(tokens.len());
    let statement = tokens.get(from..to)?;
    if statement.first()?.is('{') {
        let close = matching(statement, 0).filter(|_| declared)?;
        let whole =
            matches!(&statement[close + 1..], [sign, module] if sign.is('=') && module.is_word("Math"));
        let names: Option<Names> = between_commas(&statement[1..close]).into_iter().map(renamed).collect();
        return names.filter(|_| whole).map(|names| (names, to));
    }
    let names: Option<Names> = between_commas(statement).into_iter().map(given).collect();
    names.map(|names| (names, to))
}

/// `cos` or `cos: c`
fn renamed(part: &[Token]) -> Option<(String, String)> {
    let word = |t: &Token| t.word().map(str::to_owned);
    match part {
        [name] => Some((word(name)?, word(name)?)),
        [name, colon, new] if colon.is(':') => Some((word(new)?, word(name)?)),
        _ => None,
    }
}

/// `c = cos`
fn given(part: &[Token]) -> Option<(String, String)> {
    match part {
        [name, sign, function] if sign.is('=') => {
            let function = function.word().filter(|w| is_bare(w))?;
            Some((name.word()?.to_owned(), function.to_owned()))
        }
        _ => None,
    }
}

/// `target.set(x, y, z)`, where a function ends, as `return (x, y, z)`; what was only handed in for that is no argument.
fn handed_back(mut tokens: Vec<Token>) -> Vec<Token> {
    let Some(dot) = (1..tokens.len()).rev().find(|k| tokens[*k].is_word("set") && tokens[k - 1].is('.'))
    else {
        return tokens;
    };
    let (Some(name), Some(close)) = (dot.checked_sub(2), matching(&tokens, dot + 1)) else { return tokens };
    let target = tokens[name].tok.clone();
    let list = tokens[dot + 1].is('(') && outside(&tokens[dot + 2..close], |_, t| t.is(',')).len() == 2;
    let last = tokens[close + 1..].iter().all(|t| matches!(t.sym(), Some(';' | '\n' | '}' | ')')));
    let places: Vec<usize> = (0..tokens.len()).filter(|k| tokens[*k].tok == target).collect();
    let argument = |k: usize| k > 0 && tokens[k - 1].is(',') && tokens.get(k + 1).is_some_and(|t| t.is(')'));
    let alone = match places.as_slice() {
        [one] => *one == name,
        [first, one] => *one == name && argument(*first),
        _ => false,
    };
    if !(list && last && alone) {
        return tokens;
    }
    let returned = name > 0 && tokens[name - 1].is_word("return");
    let word = Token { tok: Tok::Word("return".into(), true), ..tokens[name].clone() };
    tokens.splice(name..=dot, (!returned).then_some(word));
    if let [first, _] = places[..] {
        tokens.drain(first - 1..=first);
    }
    tokens
}
