//! Writings that stand for usual ones, taken before statements are told apart: ranges of sums in brackets, names with a
//! mark, a condition behind `if` alone.

use super::clauses::is_axis;
use super::faults::Span;
use super::objects::matching;
use super::token::*;

/// `∑(k = 1 to 3) …` and `∑(k = 1..3) …` as `∑_(k = 1)^(3) …`.
pub(super) fn ranged_sums(mut tokens: Vec<Token>) -> Vec<Token> {
    let mut i = 0;
    while i + 6 < tokens.len() {
        let [sum, open, name, equal, ..] = &tokens[i..] else { break };
        let sign = sum.is('∑') || sum.is('∏') || ["sum", "prod", "product"].iter().any(|w| sum.is_word(w));
        let fits = sign && open.is('(') && name.word().is_some() && equal.is('=');
        let close = if fits { matching(&tokens, i + 1) } else { None };
        let to = close.and_then(|c| (i + 4..c).find(|k| tokens[*k].is_word("to") || tokens[*k].is('…')));
        // `sum(k = 1..3, x^k)` holds its terms in its own brackets.
        let terms = close.is_some_and(|c| tokens[i..c].iter().any(|t| t.is(',')));
        if let (Some(to), false) = (to, terms) {
            let sign = |c: char| Token { tok: Tok::Sym(c), at: tokens[to].at, gap: Gap::None };
            let (end, below) = ([sign(')'), sign('^'), sign('(')], sign('_'));
            tokens.splice(to..=to, end);
            tokens.insert(i + 1, below);
        }
        i += 1;
    }
    tokens
}

/// `x' = x - 1, x'^2 + y^2 = z`: a coordinate with a mark that is given a value and used has a name of its own, and what
/// is to be said of it. One that is not used is a derivative.
pub(super) fn primed(mut tokens: Vec<Token>) -> (Vec<Token>, Vec<(Span, String)>) {
    let marked = |tokens: &[Token], i: usize, name: &str| {
        tokens[i].is_word(name) && tokens.get(i + 1).is_some_and(|t| t.is('\'') && t.gap == Gap::None)
    };
    let mut said = Vec::new();
    for name in ["x", "y", "z"] {
        let places: Vec<usize> = (0..tokens.len()).filter(|i| marked(&tokens, *i, name)).collect();
        let begins = |i: usize| {
            i == 0 || matches!(tokens[i - 1].sym(), Some(',' | ';' | '\n')) || tokens[i - 1].is_word("where")
        };
        let given = |i: &&usize| begins(**i) && tokens.get(**i + 2).is_some_and(|t| t.is('='));
        let Some(first) = places.iter().find(given).copied().filter(|_| places.len() > 1) else { continue };
        said.push((
            tokens[first].at,
            format!("{name}' read as a name of its own, which the text gives a value"),
        ));
        for i in places.into_iter().rev() {
            tokens[i].tok = Tok::Word(format!("{name}_prime"), true);
            tokens.remove(i + 1);
        }
    }
    (tokens, said)
}

/// `if (x*x + y*y < 1)` with nothing behind it: the condition.
pub(super) fn lone_condition(mut tokens: Vec<Token>) -> Vec<Token> {
    let alone = matches!(tokens.as_slice(), [first, open, ..] if first.is_word("if") && open.is('('));
    let close = if alone { matching(&tokens, 1) } else { None };
    let ends = |t: &Token| matches!(t.sym(), Some('\n' | ';' | ':' | '{' | '}'));
    if close.is_some_and(|c| !tokens[1..c].iter().any(|t| t.is(',')) && tokens[c + 1..].iter().all(ends)) {
        tokens.truncate(close.map_or(0, |c| c + 1));
        tokens.remove(0);
    }
    tokens
}

/// Whether a list holds the coordinates alone, each once and perhaps by the same parameters, `(x(t), y(t), z(t))`; those
/// parameters.
pub(super) fn coordinates_by(list: &[Token]) -> Option<Vec<String>> {
    let [open, inside @ .., close] = list else { return None };
    let bracketed = matches!((open.sym(), close.sym()), (Some('('), Some(')')) | (Some('['), Some(']')));
    if !bracketed {
        return None;
    }
    let mut args: Vec<Vec<String>> = Vec::new();
    let parts = super::brackets::between_commas(inside);
    for (part, axis) in parts.iter().zip(["x", "y", "z"]) {
        let [name, call @ ..] = part else { return None };
        let named = name.word().is_some_and(|w| is_axis(w) && w.eq_ignore_ascii_case(axis));
        let called = match call {
            [] => vec![],
            [a, names @ .., b] if a.is('(') && b.is(')') => {
                let plain = names
                    .iter()
                    .enumerate()
                    .all(|(k, t)| if k % 2 == 0 { t.word().is_some() } else { t.is(',') });
                names.iter().filter(|_| plain).filter_map(|t| t.word().map(str::to_owned)).collect()
            }
            _ => return None,
        };
        if !named || !call.is_empty() && called.is_empty() {
            return None;
        }
        args.push(called);
    }
    let same = args.iter().all(|a| *a == args[0]);
    (same && (2..=3).contains(&parts.len())).then(|| args.swap_remove(0))
}
