//! Ranges of names in all their writings: between brackets, dots, words and colons.

use super::brackets::outside;
use super::clauses::{Range, Statements, is_axis};
use super::faults::Span;
use super::names::constant;
use super::parse::comparison;
use super::token::*;

impl Statements {
    /// `t ∈ [0, 1]`, `t in 0..1`, `(u, v) ∈ [0, 1] × [0, 2]`
    pub(super) fn range_in(&mut self, piece: &[Token]) -> bool {
        let Some(i) = outside(piece, |i, t| {
            i > 0 && (t.is('∈') || t.is_word("in") || t.is_word("from") || t.is_word("between"))
        })
        .first()
        .copied() else {
            return false;
        };
        let names: Vec<Token> = piece[..i].iter().filter(|t| t.word().is_some()).cloned().collect();
        if names.is_empty()
            || piece[..i].iter().any(|t| t.word().is_none() && !matches!(t.sym(), Some('(' | ')' | ',')))
        {
            return false;
        }
        let boxes = intervals(&piece[i + 1..]);
        if boxes.is_empty() {
            return piece[i].is('∈');
        }
        for (k, n) in names.iter().enumerate() {
            let (low, high) = boxes[k.min(boxes.len() - 1)].clone();
            self.ranges.push(Range {
                name: n.word().unwrap_or_default().to_owned(),
                at: n.at,
                low,
                high,
                whole: piece.to_vec(),
            });
        }
        true
    }

    /// `z = … on [-2, 2] × [-1, 1]`: the ranges of x and y.
    pub(super) fn range_over(&mut self, line: &mut Vec<Token>) {
        let graph = matches!(line.as_slice(), [z, eq, ..] if z.is_word("z") && eq.is('='));
        let on = outside(line, |_, t| t.is_word("on") || t.is_word("over"));
        let (Some(i), true) = (on.last().copied(), graph) else { return };
        // `over the square [-1, 1] × [-1, 1]`
        let words = line[i + 1..].iter().take_while(|t| t.word().is_some_and(|w| w.len() > 1)).count();
        let region = &line[i + 1 + words..];
        let boxes = intervals(region);
        let closed = region.last().is_some_and(|t| t.is(']')) || is_squared(region);
        if boxes.len() != 2 || !region.first().is_some_and(|t| t.is('[')) || !closed {
            return;
        }
        for ((low, high), name) in boxes.into_iter().zip(["x", "y"]) {
            let whole = line[i + 1..].to_vec();
            self.ranges.push(Range { name: name.to_owned(), at: line[i].at, low, high, whole });
        }
        line.truncate(i);
    }

    /// `… from x = -1 to 1`, `… from t = 0 to t = 2π`, `… from x = -1 to 1 and y = -1 to 1`
    pub(super) fn range_from(&mut self, line: &mut Vec<Token>) {
        let Some(i) = outside(line, |i, t| i > 0 && t.is_word("from")).first().copied() else { return };
        let parts: Vec<&[Token]> = line[i + 1..].split(|t| t.is_word("and") || t.is(',')).collect();
        let found: Option<Vec<Range>> = parts.iter().map(|p| from_to(p, &line[i..])).collect();
        if let Some(found) = found {
            self.ranges.extend(found);
            line.truncate(i);
        }
    }

    /// `… between z = 0 and z = 2`
    pub(super) fn range_between(&mut self, line: &mut Vec<Token>) {
        let Some(i) = outside(line, |i, t| i > 0 && t.is_word("between")).first().copied() else { return };
        let rest = &line[i + 1..];
        let Some(k) = outside(rest, |_, t| t.is_word("and")).first().copied() else { return };
        let ([name, first, low @ ..], [again, second, high @ ..]) = (&rest[..k], &rest[k + 1..]) else {
            return;
        };
        let axis = name.word().filter(|w| is_axis(w) && again.is_word(w));
        let (Some(axis), true) = (axis, first.is('=') && second.is('=')) else { return };
        if low.is_empty() || high.is_empty() || high.iter().any(|t| t.is(',') || t.is('=')) {
            return;
        }
        let (name, at, low, high) = (axis.to_owned(), name.at, low.to_vec(), high.to_vec());
        let whole = line[i..].to_vec();
        self.ranges.push(Range { name, at, low, high, whole });
        line.truncate(i);
    }

    /// `t: 0 to 1`, `t: 0..1`
    pub(super) fn range_words(&mut self, piece: &[Token]) -> bool {
        let colon = piece.get(1).is_some_and(|t| t.is(':'));
        let Some(to) = outside(piece, |_, t| t.is_word("to") || colon && t.is('…')).first().copied() else {
            return false;
        };
        let start = match piece.get(1) {
            Some(t) if t.is('=') || t.is(':') => 2,
            _ => return false,
        };
        if piece[0].word().is_none() || to <= start {
            return false;
        }
        self.ranges.push(Range {
            name: piece[0].word().unwrap_or_default().to_owned(),
            at: piece[0].at,
            low: piece[start..to].to_vec(),
            high: piece[to + 1..].to_vec(),
            whole: piece.to_vec(),
        });
        true
    }

    /// `u, v = np.mgrid[0:2*np.pi:100j, 0:np.pi:50j]`; not for coordinates, whose grids only say what is drawn.
    pub(super) fn range_grid(&mut self, line: &[Token]) {
        let Some(k) = line.iter().position(|t| t.is_word("mgrid") || t.is_word("ogrid")) else { return };
        let names = line[..k].iter().filter(|t| t.word().is_some_and(|w| !is_axis(w) && w != "np"));
        let Some(inside) = line.get(k + 2..line.len() - 1) else { return };
        let mut from = 0;
        let ends = outside(inside, |_, t| t.is(',')).into_iter().chain([inside.len()]);
        for (name, end) in names.zip(ends) {
            let part = &inside[from..end];
            let colons = outside(part, |_, t| t.is(':'));
            if let Some(i) = colons.first() {
                let j = colons.get(1).copied().unwrap_or(part.len());
                self.ranges.push(Range {
                    name: name.word().unwrap_or_default().to_owned(),
                    at: name.at,
                    low: part[..*i].to_vec(),
                    high: part[i + 1..j].to_vec(),
                    whole: line.to_vec(),
                });
            }
            from = end + 1;
        }
    }

    /// `u = 0..2pi`, `t = 0:0.1:10`, `t = linspace(0, 1, 50)`
    pub(super) fn range_dots(&mut self, name: &str, at: Span, body: &[Token], whole: &[Token]) -> bool {
        let mut range = |low: &[Token], high: &[Token]| {
            let (low, high) = (low.to_vec(), high.to_vec());
            self.ranges.push(Range { name: name.to_owned(), at, low, high, whole: whole.to_vec() });
        };
        let dots = outside(body, |_, t| t.is('…'));
        if let Some(i) = dots.first().filter(|i| **i > 0 && **i + 1 < body.len()) {
            range(&body[..*i], &body[i + 1..]);
            return true;
        }
        if body.first().and_then(Token::word).is_some_and(|w| matches!(w, "linspace" | "arange"))
            && body.len() > 3
        {
            let inner = &body[2..body.len() - 1];
            let commas = outside(inner, |_, t| t.is(','));
            if let Some(i) = commas.first() {
                let j = commas.get(1).copied().unwrap_or(inner.len());
                range(&inner[..*i], &inner[i + 1..j]);
                return true;
            }
        }
        let inner = if body.first().is_some_and(|t| t.is('[')) && body.last().is_some_and(|t| t.is(']')) {
            &body[1..body.len() - 1]
        } else {
            body
        };
        let colons = outside(inner, |_, t| t.is(':'));
        if !inner.iter().any(|t| t.is('?'))
            && let (Some(i), Some(j)) = (colons.first(), colons.last())
        {
            range(&inner[..*i], &inner[j + 1..]);
            return true;
        }
        false
    }
}

impl Statements {
    /// `t = [0, 2π]` of a name that parameters have: its range.
    pub(super) fn range_between_ends(
        &mut self,
        name: &str,
        at: Span,
        body: &[Token],
        whole: &[Token],
    ) -> bool {
        let usual = matches!(name, "t" | "u" | "v" | "s" | "theta" | "phi");
        let [open, inside @ .., close] = body else { return false };
        let [comma] = outside(inside, |_, t| t.is(','))[..] else { return false };
        let fixed = |t: &Token| t.word().is_none_or(|w| constant(w).is_some() || w.ends_with("pi"));
        let ends = comma > 0 && comma + 1 < inside.len() && inside.iter().all(fixed);
        if !(usual && ends && open.is('[') && close.is(']')) {
            return false;
        }
        let (low, high) = (inside[..comma].to_vec(), inside[comma + 1..].to_vec());
        self.ranges.push(Range { name: name.to_owned(), at, low, high, whole: whole.to_vec() });
        true
    }
}

/// `x = -1 to 1`, `t = 0 to t = 2π`
fn from_to(part: &[Token], whole: &[Token]) -> Option<Range> {
    let k = outside(part, |_, t| t.is_word("to")).first().copied()?;
    let [name, sign, low @ ..] = &part[..k] else { return None };
    let again = matches!(&part[k + 1..], [n, s, ..] if n.word() == name.word() && s.is('='));
    let high = &part[k + 1 + if again { 2 } else { 0 }..];
    let related = |t: &[Token]| t.iter().any(|t| comparison(t).is_some());
    let fits = sign.is('=') && !low.is_empty() && !high.is_empty() && !related(low) && !related(high);
    let (word, at) = (name.word().filter(|_| fits)?.to_owned(), name.at);
    Some(Range { name: word, at, low: low.to_vec(), high: high.to_vec(), whole: whole.to_vec() })
}

/// `(cos t, sin t, t) {t, 0, 10}`: a comma before each list of a name and two ends that stands behind a bracket.
pub(super) fn set_off(line: Vec<Token>) -> Vec<Token> {
    let mut out: Vec<Token> = Vec::with_capacity(line.len());
    for (i, t) in line.iter().enumerate() {
        let behind = i > 0 && matches!(line[i - 1].sym(), Some(')' | ']' | '}'));
        if t.is('{') && behind && is_range_list(&line[i..]) {
            out.push(Token { tok: Tok::Sym(','), at: t.at, gap: Gap::None });
        }
        out.push(t.clone());
    }
    out
}

/// Whether tokens begin with a name and two ends in braces, `{t, 0, 10}`.
fn is_range_list(tokens: &[Token]) -> bool {
    let Some(close) = super::objects::matching(tokens, 0) else { return false };
    let inside = &tokens[1..close];
    let commas = outside(inside, |_, t| t.is(','));
    let name = inside.first().is_some_and(|t| t.word().is_some_and(|w| !is_axis(w)));
    name && matches!(commas[..], [1, to] if to > 2 && to + 1 < inside.len())
}

/// A range of a coordinate as the condition that it is: `0 < x < 1`.
pub(super) fn as_condition(range: &Range) -> Vec<Token> {
    let token = |tok: Tok| Token { tok, at: range.at, gap: Gap::None };
    let mut tokens = range.low.clone();
    if !tokens.is_empty() {
        tokens.push(token(Tok::Sym('<')));
    }
    tokens.push(token(Tok::Word(range.name.clone(), true)));
    if !range.high.is_empty() {
        tokens.push(token(Tok::Sym('<')));
        tokens.extend(range.high.iter().cloned());
    }
    tokens
}

/// The ends of intervals: `[a, b]`, `[a, b] × [c, d]`, `a..b`, `a to b`.
fn intervals(tokens: &[Token]) -> Vec<(Vec<Token>, Vec<Token>)> {
    let mut out = Vec::new();
    if let Some(i) = outside(tokens, |_, t| t.is('…') || t.is_word("to") || t.is_word("and")).first() {
        return vec![(tokens[..*i].to_vec(), tokens[i + 1..].to_vec())];
    }
    let mut depth = 0;
    let mut start = 0;
    for (i, t) in tokens.iter().enumerate() {
        match t.sym() {
            Some('(' | '[' | '{') => {
                if depth == 0 {
                    start = i + 1;
                }
                depth += 1;
            }
            Some(')' | ']' | '}') => {
                depth -= 1;
                if depth == 0 {
                    let inside = &tokens[start..i];
                    if let Some(c) = outside(inside, |_, t| t.is(',') || t.is(';')).first() {
                        out.push((inside[..*c].to_vec(), inside[c + 1..].to_vec()));
                    }
                }
            }
            _ => {}
        }
    }
    if is_squared(tokens) && out.len() == 1 {
        out.push(out[0].clone());
    }
    out
}

/// Whether tokens end in a square, `[-1, 1]^2`, whose two may stand in brackets.
fn is_squared(tokens: &[Token]) -> bool {
    let two = |t: &Token| matches!(t.tok, Tok::Num(2.0, _));
    match tokens {
        [.., raise, last] if raise.is('^') => two(last),
        [.., raise, _, last, _] => raise.is('^') && two(last),
        _ => false,
    }
}
