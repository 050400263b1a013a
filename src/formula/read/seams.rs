//! Statements side by side without a comma: `(…) 0 ≤ t ≤ 1`, `x=cos(t) y=sin(t)`, `z = x^2   -1 ≤ x ≤ 1`,
//! `x^2 + y^2 = a^2 a=2`.

use super::brackets::outside;
use super::clauses::is_axis;
use super::lines::ends_open;
use super::main_formula::is_list;
use super::parse::{comparison, is_keyword};
use super::style::Style;
use super::token::*;

/// The statements that stand side by side between two commas.
pub(super) fn parted(tokens: &[Token], style: Style) -> Vec<Vec<Token>> {
    let mut cuts: Vec<usize> = (1..tokens.len())
        .filter(|i| after_list(tokens, *i) || !style.code && before_range(tokens, *i))
        .collect();
    let start = cuts.first().copied().filter(|i| after_list(tokens, *i)).unwrap_or(0);
    let assigned = assignments(&tokens[start..]);
    if assigned.is_empty() && !style.code {
        cuts.extend(values_behind(tokens));
    }
    cuts.extend(assigned.into_iter().map(|i| i + start));
    cuts.sort_unstable();
    cuts.dedup();
    let mut out = Vec::new();
    let mut from = 0;
    for c in cuts.into_iter().chain([tokens.len()]) {
        out.push(tokens[from..c].to_vec());
        from = c;
    }
    match out.as_slice() {
        [one] if !style.code => ranged(one).unwrap_or(out),
        _ => out,
    }
}

/// `(t cos t, t sin t, t) 0..20`: the list and the range of its only parameter.
fn ranged(tokens: &[Token]) -> Option<Vec<Vec<Token>>> {
    let end = tokens.iter().rposition(|t| t.is(')'))? + 1;
    let (list, ends) = tokens.split_at(end);
    let fixed = |t: &Token| t.is('…') || t.is('-') || matches!(t.tok, Tok::Num(..)) || t.word() == Some("pi");
    let dots = ends.iter().filter(|t| t.is('…')).count();
    let range = dots == 1 && ends.len() > 2 && ends.iter().all(fixed) && is_list(list);
    let usual = ["t", "u", "v", "s", "theta", "phi"];
    let mut used = usual.iter().filter(|n| range && list.iter().any(|t| t.is_word(n)));
    let (Some(name), None) = (used.next(), used.next()) else { return None };
    let token = |tok: Tok| Token { tok, at: ends[0].at, gap: Gap::Blank };
    let given = vec![token(Tok::Word((*name).into(), true)), token(Tok::Sym('='))];
    Some(vec![list.to_vec(), [given.as_slice(), ends].concat()])
}

/// Whether a list of components ends before a place, and comparisons follow it.
fn after_list(tokens: &[Token], i: usize) -> bool {
    let rest = &tokens[i..];
    let word = || tokens[i].word().is_some_and(|w| !is_keyword(w)) || matches!(tokens[i].tok, Tok::Num(..));
    tokens[i - 1].is(')')
        && tokens[i].gap > Gap::None
        && is_list(&tokens[..i])
        && (word() || range_begins(rest))
        && !outside(rest, |_, t| comparison(t).is_some()).is_empty()
}

/// Whether a range such as `-1 ≤ x ≤ 1` begins at a place after a wide blank, behind a whole equation.
fn before_range(tokens: &[Token], i: usize) -> bool {
    let before = &tokens[..i];
    tokens[i].gap == Gap::Wide
        && !outside(before, |_, t| comparison(t).is_some()).is_empty()
        && outside(tokens, |k, _| k == i) == [i]
        && !ends_open(before)
        && range_begins(&tokens[i..])
}

/// Whether tokens begin with a number or constant, a comparison, a name (or several with commas) and a comparison.
pub(super) fn range_begins(tokens: &[Token]) -> bool {
    let less = |t: &Token| matches!(t.sym(), Some('<' | '≤' | '>' | '≥'));
    let signs = outside(tokens, |_, t| comparison(t).is_some());
    let [first, second, ..] = signs[..] else { return false };
    let end = &tokens[..first];
    let fixed = |t: &Token| {
        matches!(t.tok, Tok::Num(..))
            || matches!(t.sym(), Some('-' | '+' | '/' | '*' | '(' | ')' | FRAC | '{' | '}'))
            || t.word().is_some_and(|w| super::names::constant(w).is_some())
    };
    !end.is_empty()
        && end.iter().all(fixed)
        && less(&tokens[first])
        && less(&tokens[second])
        && second > first + 1
        && tokens[first + 1].word().is_some()
        && tokens[first + 1..second].iter().all(|t| t.word().is_some() || t.is(','))
}

/// Whether a number may be a factor of the coordinate that stands last: `x=2 y`.
fn multiplies(tokens: &[Token]) -> bool {
    match tokens {
        [.., raise, Token { tok: Tok::Num(..), .. }, _] if raise.is('^') => false,
        [.., Token { tok: Tok::Num(..), .. }, name] => name.word().is_some_and(is_axis),
        _ => false,
    }
}

/// Where names with a tight `=` begin after a blank, if every comparison is such: `a=1 b=2`.
fn assignments(tokens: &[Token]) -> Vec<usize> {
    let signs = outside(tokens, |_, t| comparison(t).is_some());
    let tight = |i: &usize| {
        let name = i.checked_sub(1).map(|k| &tokens[k]);
        tokens[*i].is('=')
            && tokens[*i].gap == Gap::None
            && tokens.get(i + 1).is_some_and(|t| t.gap == Gap::None)
            && name.is_some_and(|t| t.word().is_some() && (*i == 1 || t.gap > Gap::None))
            && (*i == 1 || !ends_open(&tokens[..i - 1]) && !multiplies(&tokens[..*i]))
    };
    let axis = |(k, i): (usize, &usize)| {
        tokens[*i].is('=')
            && *i > 0
            && tokens[i - 1].word().is_some_and(|w| w.eq_ignore_ascii_case(["x", "y", "z"][k]))
            && (k == 0 || tokens[i - 1].gap > Gap::None)
    };
    if signs.len() == 3 && signs[0] == 1 && signs.iter().enumerate().all(axis) {
        // Three equations of x, y and z in their order are no chain.
        return signs[1..].iter().map(|i| i - 1).collect();
    }
    if signs.len() < 2 || signs[0] != 1 || !signs.iter().all(tight) {
        return vec![];
    }
    signs[1..].iter().map(|i| i - 1).collect()
}

/// Where values of names begin behind an equation or a list, with nothing but blanks between: `x^2 + y^2 = a^2 a=2 b=3`.
fn values_behind(tokens: &[Token]) -> Vec<usize> {
    let signs = outside(tokens, |_, t| comparison(t).is_some());
    let mut cuts = Vec::new();
    let mut end = tokens.len();
    for i in signs.into_iter().rev().take_while(|i| *i > 1) {
        if !is_value(tokens, i, end) {
            break;
        }
        end = i - 1;
        cuts.push(end);
    }
    let before = &tokens[..end];
    let whole = !outside(before, |_, t| comparison(t).is_some()).is_empty() || is_list(before);
    if whole { cuts } else { vec![] }
}

/// Whether the sign at a place gives the name before it a number, or a range, that ends at another place; the name is used
/// before, or stands close to its sign.
fn is_value(tokens: &[Token], i: usize, end: usize) -> bool {
    let (before, name, value) = (&tokens[..i - 1], &tokens[i - 1], &tokens[i + 1..end]);
    let fixed = |t: &Token| {
        matches!(t.tok, Tok::Num(..))
            || matches!(t.sym(), Some('-' | '/' | '*' | '(' | ')' | '√' | '…' | FRAC | ROOT | '{' | '}'))
            || t.word().is_some_and(|w| super::names::constant(w).is_some())
    };
    let ranged = value.iter().any(|t| t.is('…'));
    let Some(word) = name.word().filter(|w| ranged || !is_axis(w)) else { return false };
    let zero = matches!(value, [Token { tok: Tok::Num(0.0, _), .. }]);
    let used = before.iter().filter_map(Token::word).any(|w| w.contains(word));
    // A bar, or a word of speech, belongs to neither side.
    let apart = before
        .last()
        .is_none_or(|t| t.is('|') || t.word().is_some_and(|w| is_speech(w) && !w.contains(word)));
    let tight = tokens[i].gap == Gap::None && value.first().is_some_and(|t| t.gap == Gap::None) && !zero;
    tokens[i].is('=')
        && name.gap > Gap::None
        && super::functions::function(word).is_none()
        && !is_keyword(word)
        && (used || tight)
        && !apart
        && !ends_open(before)
        && !value.is_empty()
        && value.iter().all(fixed)
}

/// Whether a word of several letters is neither a product of coordinates nor the name of a function or constant.
fn is_speech(word: &str) -> bool {
    let known = super::functions::function(word).is_some()
        || super::names::constant(word).is_some()
        || super::names::greek_letter(word).is_some();
    word.chars().count() > 2
        && !known
        && word.chars().all(char::is_alphabetic)
        && !word.contains(['x', 'y', 'z'])
}
