//! Coordinates written as parts of a list, `x[0]^2 + x[1]^2 = x[2]`, or with subscripts, `x_1^2 + x_2^2 = x_3`: a name that
//! never stands without its index is a point.

use std::collections::BTreeSet;

use super::clauses::is_axis;
use super::faults::Span;
use super::style::Style;
use super::token::*;

const AXES: [&str; 3] = ["x", "y", "z"];

/// The text with the parts of its only list as x, y and z, counted from 0 or from 1, and what is to be said of it.
pub(super) fn coordinates(mut tokens: Vec<Token>, style: Style) -> (Vec<Token>, Option<(Span, String)>) {
    square_called(&mut tokens);
    let found = if style.square { None } else { listed(&tokens, style) };
    let Some((name, first)) = found else { return (tokens, None) };
    let mut out = Vec::with_capacity(tokens.len());
    let mut said: Vec<String> = Vec::new();
    let mut at = None;
    let mut i = 0;
    while i < tokens.len() {
        match part(&tokens, i).filter(|_| tokens[i].is_word(&name)) {
            Some(k) => {
                let axis = AXES[k - first];
                let place = tokens[i].at.join(tokens[i + 3].at);
                at.get_or_insert(place);
                let one = format!("{name}[{k}] read as {axis}");
                if !said.contains(&one) {
                    said.push(one);
                }
                out.push(Token { tok: Tok::Word(axis.to_owned(), true), at: place, gap: tokens[i].gap });
                i += 4;
            }
            None => {
                out.push(tokens[i].clone());
                i += 1;
            }
        }
    }
    (out, at.map(|at| (at, said.join(", "))))
}

/// `x_1^2 + x_2^2 + x_3^2 = 1` with x, y and z for the coordinates, in a text that names none of these, and what is to be
/// said of it.
pub(super) fn subscripted(mut tokens: Vec<Token>) -> (Vec<Token>, Option<(Span, String)>) {
    // `x1` may be a power that lost its raising, unless the first of several is there.
    let first_glued = ["x1", "x2"].iter().all(|n| tokens.iter().any(|t| t.is_word(n)));
    let index = |t: &Token| {
        let word = t.word()?;
        let glued = || word.strip_prefix('x').filter(|_| first_glued && word.len() == 2);
        let k = word.strip_prefix("x_").or_else(glued)?;
        k.parse::<usize>().ok().filter(|k| *k < 4)
    };
    let parts: Vec<usize> = tokens.iter().filter_map(index).collect();
    let first = usize::from(!parts.contains(&0));
    let several = parts.iter().any(|k| *k != parts[0]);
    let fits = several && parts.iter().all(|k| k - first < 3);
    if !fits || tokens.iter().any(|t| t.word().is_some_and(is_axis)) {
        return (tokens, None);
    }
    let mut said: Vec<String> = Vec::new();
    let mut at = None;
    for t in &mut tokens {
        let Some(k) = index(t) else { continue };
        let axis = AXES[k - first];
        at.get_or_insert(t.at);
        let one = format!("{} read as {axis}", t.shown());
        if !said.contains(&one) {
            said.push(one);
        }
        t.tok = Tok::Word(axis.to_owned(), true);
    }
    (tokens, at.map(|at| (at, said.join(", "))))
}

/// `x_t = cos t, y_t = sin t, z_t = t` with x, y and z for the components, and what is to be said of it: all three are
/// given values, and the letter below is used.
pub(super) fn of_parameter(mut tokens: Vec<Token>) -> (Vec<Token>, Option<(Span, String)>) {
    let given = |name: &str| tokens.windows(2).any(|w| w[0].is_word(name) && w[1].is('='));
    let below = |t: &Token| {
        let letter = t.word()?.strip_prefix("x_")?.chars().next()?;
        let all = AXES.iter().all(|a| given(&format!("{a}_{letter}")));
        let used = tokens.iter().any(|t| t.word().is_some_and(|w| !w.contains('_') && w.contains(letter)));
        (all && used && letter.is_alphabetic()).then_some(letter)
    };
    let Some(letter) = tokens.iter().find_map(below) else { return (tokens, None) };
    if tokens.iter().any(|t| t.word().is_some_and(is_axis)) {
        return (tokens, None);
    }
    let mut at = None;
    for t in &mut tokens {
        if let Some(axis) = AXES.iter().find(|a| t.is_word(&format!("{a}_{letter}"))) {
            at.get_or_insert(t.at);
            t.tok = Tok::Word((*axis).to_owned(), true);
        }
    }
    let said = format!("x_{letter}, y_{letter} and z_{letter} read as the components x, y and z");
    (tokens, at.map(|at| (at, said)))
}

/// Indices in round brackets, `x(1)^2 + x(2)^2`, as in square ones: where a name has the first two and never stands alone.
fn square_called(tokens: &mut [Token]) {
    for name in ["x", "p", "X"] {
        let call = |i: usize| match tokens.get(i + 1..i + 4) {
            Some([open, Token { tok: Tok::Num(k, true), .. }, close]) => {
                let fits = open.is('(') && open.gap == Gap::None && close.is(')') && (1.0..4.0).contains(k);
                fits.then_some(*k as usize)
            }
            _ => None,
        };
        let places: Vec<usize> = (0..tokens.len()).filter(|i| tokens[*i].is_word(name)).collect();
        let parts: BTreeSet<usize> = places.iter().filter_map(|i| call(*i)).collect();
        if parts.contains(&1) && parts.contains(&2) && places.iter().all(|i| call(*i).is_some()) {
            for i in places {
                tokens[i + 1].tok = Tok::Sym('[');
                tokens[i + 3].tok = Tok::Sym(']');
            }
        }
    }
}

/// The index of the name at a place, where one is glued to it.
fn part(tokens: &[Token], i: usize) -> Option<usize> {
    tokens[i].word()?;
    let [open, index, close] = tokens.get(i + 1..i + 4)? else { return None };
    match index.tok {
        Tok::Num(k, true) if open.is('[') && open.gap == Gap::None && close.is(']') && k < 4.0 => {
            Some(k as usize)
        }
        _ => None,
    }
}

/// The only name that has indices, if it stands nowhere without one, and the index of its first part; none where a
/// coordinate that a part stands for is named beside it.
fn listed(tokens: &[Token], style: Style) -> Option<(String, usize)> {
    let start = (0..tokens.len()).find(|i| part(tokens, *i).is_some())?;
    let name = tokens[start].word()?;
    let mut parts = BTreeSet::new();
    for (i, t) in tokens.iter().enumerate() {
        match part(tokens, i) {
            Some(k) if t.is_word(name) && !(style.code && assigned(tokens, i)) => {
                parts.insert(k);
            }
            None if !t.is_word(name) => {}
            _ => return None,
        }
    }
    let first = usize::from(!parts.contains(&0));
    let fits = parts.iter().all(|k| k - first < 3) && (first == 0 || parts.len() > 1);
    let named = |k: &usize| tokens.iter().any(|t| t.is_word(AXES[k - first]) && !t.is_word(name));
    (fits && !parts.iter().any(named) && (is_axis(name) || name == "p" || first == 0))
        .then(|| (name.to_owned(), first))
}

/// Whether the part that begins at a place is given a value by a line of code.
fn assigned(tokens: &[Token], i: usize) -> bool {
    let begins = i == 0 || tokens[i - 1].sym().is_some_and(|c| matches!(c, '\n' | ';' | '{' | '}'));
    let next = tokens.get(i + 4).and_then(Token::sym);
    begins && matches!(next, Some('=' | ADD_TO | TAKE_FROM | TIMES_TO | OVER_TO))
}
