//! Arguments with a value of their own, `def f(x, a=2)`.

use super::brackets::{between_commas, outside};
use super::objects::matching;
use super::token::*;

/// A function whose arguments have values: its name, and each argument with its value.
struct Function {
    name: String,
    arguments: Vec<(Token, Vec<Token>)>,
    /// The arguments without their brackets.
    from: usize,
    to: usize,
}

/// The text with such values written out: before a function that nothing calls, else in the calls that leave them out.
pub(super) fn written_out(mut tokens: Vec<Token>) -> Vec<Token> {
    if let Some(place) = only_arguments(&tokens) {
        return given_before(tokens, place);
    }
    let mut i = 0;
    while i < tokens.len() {
        if let Some(f) = function(&tokens, i) {
            let calls = |k: &usize| *k != i && tokens[*k].is_word(&f.name) && is_call(&tokens, *k);
            let places: Vec<usize> = (0..tokens.len()).filter(calls).collect();
            if places.is_empty() {
                tokens = given_before(tokens, (f.from, f.to));
            } else {
                // The last first: what stands before keeps its place.
                for k in places.iter().rev().filter(|k| **k > f.to) {
                    complete(&mut tokens, *k, &f);
                }
                let names = f.arguments.iter().map(|(name, _)| std::slice::from_ref(name)).collect();
                let list = listed(names, &tokens[f.from]);
                tokens.splice(f.from..f.to, list);
                for k in places.iter().rev().filter(|k| **k < f.from) {
                    complete(&mut tokens, *k, &f);
                }
            }
        }
        i += 1;
    }
    tokens
}

fn is_call(tokens: &[Token], k: usize) -> bool {
    tokens.get(k + 1).is_some_and(|t| t.is('(')) && !(k > 0 && tokens[k - 1].is('.'))
}

/// Parts with commas between.
fn listed(parts: Vec<&[Token]>, like: &Token) -> Vec<Token> {
    let mut out: Vec<Token> = Vec::new();
    for part in parts {
        if !out.is_empty() {
            out.push(Token { tok: Tok::Sym(','), at: like.at, gap: Gap::None });
        }
        out.extend_from_slice(part);
    }
    out
}

/// The function whose name stands at a place, if an argument of it has a value.
fn function(tokens: &[Token], i: usize) -> Option<Function> {
    let name = tokens[i].word().filter(|_| is_call(tokens, i))?.to_owned();
    let to = matching(tokens, i + 1)?;
    let header = i > 0 && ["def", "function", "fn", "func", "fun"].iter().any(|w| tokens[i - 1].is_word(w));
    let body = tokens[to + 1..].iter().find(|t| !t.is('\n'));
    if !(header || body.is_some_and(|t| t.is('{'))) {
        return None;
    }
    let mut arguments = Vec::new();
    for part in parts(&tokens[i + 2..to]) {
        match part {
            [name] if name.word().is_some() => arguments.push((name.clone(), Vec::new())),
            [name, sign, value @ ..] if name.word().is_some() && sign.is('=') && !value.is_empty() => {
                arguments.push((name.clone(), value.to_vec()));
            }
            _ => return None,
        }
    }
    let valued = arguments.iter().any(|(_, value)| !value.is_empty());
    valued.then_some(Function { name, arguments, from: i + 2, to })
}

fn parts(tokens: &[Token]) -> Vec<&[Token]> {
    let from_line = |p: &'_ [Token]| p.iter().take_while(|t| t.is('\n')).count();
    let all = between_commas(tokens).into_iter().map(|p| &p[from_line(p)..]);
    all.filter(|p| !p.is_empty()).collect()
}

/// Writes out what the call at a place leaves out; one that does not fit stays.
fn complete(tokens: &mut Vec<Token>, k: usize, f: &Function) {
    let Some(close) = matching(tokens, k + 1) else { return };
    let given = parts(&tokens[k + 2..close]);
    let named =
        |p: &[Token]| p.len() > 2 && p[1].is('=') && f.arguments.iter().any(|(n, _)| n.word() == p[0].word());
    let places = given.iter().take_while(|p| !named(p)).count();
    if given.len() > f.arguments.len() || given[places..].iter().any(|p| !named(p)) {
        return;
    }
    let mut all: Vec<&[Token]> = Vec::new();
    for (n, (name, value)) in f.arguments.iter().enumerate() {
        let by_name = given[places..].iter().find(|p| p[0].word() == name.word()).map(|p| &p[2..]);
        let one = if n < places { given.get(n).copied() } else { by_name };
        match one.or(Some(value)).filter(|v| !v.is_empty()) {
            Some(one) => all.push(one),
            None => return,
        }
    }
    let list = listed(all, &tokens[k + 1]);
    tokens.splice(k + 2..close, list);
}

/// The arguments of the only function of a text, without their brackets: where they begin and end.
fn only_arguments(tokens: &[Token]) -> Option<(usize, usize)> {
    let begins = |t: &Token| t.word().is_some_and(|w| matches!(w, "def" | "function" | "lambda"));
    let arrows = tokens.iter().filter(|t| t.is('→')).count();
    let heads: Vec<usize> = (0..tokens.len()).filter(|k| begins(&tokens[*k])).collect();
    let open = match heads.as_slice() {
        [k] if tokens[*k].is_word("lambda") => {
            let colon = outside(&tokens[k + 1..], |_, t| t.is(':')).first().copied()?;
            return Some((k + 1, k + 1 + colon));
        }
        [k] => k + 1 + usize::from(tokens.get(k + 1)?.word().is_some()),
        [] if arrows == 1 => {
            let close = tokens.iter().position(|t| t.is('→')).and_then(|k| k.checked_sub(1))?;
            let opens = |k: &usize| matching(tokens, *k) == Some(close);
            (0..close).rev().filter(|k| tokens[*k].is('(')).find(opens)?
        }
        _ => return None,
    };
    let close = tokens.get(open).filter(|t| t.is('(')).and_then(|_| matching(tokens, open))?;
    Some((open + 1, close))
}

/// Values of arguments become values before the function.
fn given_before(tokens: Vec<Token>, (from, to): (usize, usize)) -> Vec<Token> {
    let (mut before, mut list): (Vec<Token>, Vec<Token>) = (Vec::new(), Vec::new());
    let mut begin = from;
    let commas = outside(&tokens[from..to], |_, t| t.is(','));
    for c in commas.into_iter().map(|c| c + from).chain([to]) {
        let argument = &tokens[begin..c];
        let at = tokens[c.min(tokens.len() - 1)].at;
        if argument.get(1).is_some_and(|t| t.is('=')) {
            before.extend_from_slice(argument);
            before.push(Token { tok: Tok::Sym('\n'), at, gap: Gap::None });
        } else {
            if !list.is_empty() && !argument.is_empty() {
                list.push(Token { tok: Tok::Sym(','), at, gap: Gap::None });
            }
            list.extend_from_slice(argument);
        }
        begin = c + 1;
    }
    if before.is_empty() || list.is_empty() {
        return tokens;
    }
    // The values stand before the statement that the function begins in.
    let start = tokens[..from].iter().rposition(|t| t.is('\n') || t.is(';')).map_or(0, |k| k + 1);
    [&tokens[..start], &before, &tokens[start..from], &list, &tokens[to..]].concat()
}
