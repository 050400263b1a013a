//! Powers of e whose raising was lost in copying: `xe−x2−y2` as x e^(−x2−y2).

use super::functions;
use super::names::{Cut, Known, Piece, greek_letter};
use super::objects::matching;
use super::reading::Remark;
use super::token::*;

/// The tokens with such powers raised again; `None` where there are none. A difference that may be meant as it stands is
/// only remarked on.
pub(super) fn raised(tokens: &[Token], known: &Known, remarks: &mut Vec<Remark>) -> Option<Vec<Token>> {
    if known.defined.contains("e") || !tokens.iter().any(|t| t.is('-')) {
        return None;
    }
    let tokens = &set_off(tokens, known)?;
    let mut out: Vec<Token> = Vec::new();
    let mut done = 0;
    for i in 0..tokens.len() {
        let Some(first) = (i >= done).then(|| base(tokens, i, known)).flatten() else { continue };
        let to = reach(tokens, i + 2, known);
        let exponent = exponent(&tokens[i + 2..to.at], &to, known);
        if let Some(remark) = difference(tokens, i, &exponent, known) {
            remarks.extend(remark);
            continue;
        }
        let what =
            format!("{} read as a power of e whose raising was lost", shown(&tokens[i..to.at], &to.part));
        let at = tokens[i].at.join(exponent.last().map_or(tokens[i].at, |t| t.at)).range();
        remarks.push(Remark { what, at });
        out.extend_from_slice(&tokens[done..i]);
        let sign = |c: char| Token { tok: Tok::Sym(c), at: tokens[i + 1].at, gap: Gap::None };
        let e = Token { tok: Tok::Word("e".into(), false), ..tokens[i].clone() };
        out.extend([e, sign('^'), sign('(')]);
        out.extend(first);
        out.push(tokens[i + 1].clone());
        out.extend(exponent);
        out.push(sign(')'));
        out.extend(to.rest.clone());
        done = to.at + usize::from(to.rest.is_some());
    }
    out.extend_from_slice(&tokens[done..]);
    (done > 0).then(|| out.into_iter().flat_map(|t| beside(t, known, remarks)).collect())
}

fn shown(tokens: &[Token], part: &Option<Token>) -> String {
    tokens.iter().chain(part).map(Token::shown).collect()
}

/// Whether the e at a place stays with its minus a difference, and what is to be said of it.
fn difference(tokens: &[Token], i: usize, exponent: &[Token], known: &Known) -> Option<Option<Remark>> {
    if moves(exponent, known) && is_lost(tokens, i, known) {
        return None;
    }
    let at = tokens[i].at.join(tokens[i + 2].at).range();
    let what = "e and a minus read as a difference; a power of e is written e^(-...)".to_owned();
    Some(moves(&tokens[i + 2..term_end(tokens, i + 2)], known).then_some(Remark { what, at }))
}

/// `ex` and `e2x` as e^x and e^(2x) beside a power that lost its raising, `ex + e−x`; other tokens as they are.
fn beside(t: Token, known: &Known, remarks: &mut Vec<Remark>) -> Vec<Token> {
    let word = t.word().filter(|w| !known.defined.contains(*w)).unwrap_or_default();
    let exponent = word.strip_prefix('e').unwrap_or_default();
    let letter = exponent.trim_start_matches(|c: char| c.is_ascii_digit());
    if !matches!(letter, "x" | "y" | "z" | "u" | "v" | "t") || exponent.len() > 3 {
        return vec![t];
    }
    let what = format!("{word} read as a power of e whose raising was lost");
    remarks.push(Remark { what, at: t.at.range() });
    let token = |tok: Tok| Token { tok, at: t.at, gap: Gap::None };
    let number = exponent[..exponent.len() - 1].parse().ok().map(|x| token(Tok::Num(x, true)));
    let mut out = vec![Token { tok: Tok::Word("e".into(), false), ..t.clone() }];
    out.extend([token(Tok::Sym('^')), token(Tok::Sym('('))]);
    out.extend(number);
    out.extend([token(Tok::Word(letter.to_owned(), false)), token(Tok::Sym(')'))]);
    out
}

/// Whether a digit is glued to a Greek letter, `σ2`: no factor stands behind its letter.
pub(super) fn behind_greek(tokens: &[Token], i: usize) -> bool {
    let digit = matches!(tokens[i].tok, Tok::Num(n, true) if (2.0..10.0).contains(&n));
    let letter = i > 0 && tokens[i - 1].word().is_some_and(|w| greek_letter(w).is_some());
    let single = i > 0 && tokens[i - 1].at.to - tokens[i - 1].at.from <= 4;
    let raised = i > 1 && tokens[i - 2].is('^') || tokens.get(i + 1).is_some_and(|t| t.is('^'));
    digit && letter && single && tokens[i].gap == Gap::None && !raised
}

/// What is to be said of `x2/3`, which may have been x^(2/3).
pub(super) fn by_fraction(tokens: &[Token], i: usize) -> Option<Remark> {
    let [base, slash, below, ..] = &tokens[i..] else { return None };
    let close = slash.is('/') && slash.gap == Gap::None && below.gap == Gap::None;
    let odd = matches!(below.tok, Tok::Num(n, true) if n == 3.0 || n == 5.0);
    let (letter, power) = match base.word()?.as_bytes() {
        [a, d @ (b'2' | b'4')] if a.is_ascii_alphabetic() => (char::from(*a), char::from(*d)),
        _ => return None,
    };
    let below_shown = below.shown();
    (close && odd).then(|| Remark {
        what: format!(
            "{letter}{power}/{below_shown} read as {letter}^{power}/{below_shown}; \
             a fraction as the power is written {letter}^({power}/{below_shown})"
        ),
        at: base.at.join(below.at).range(),
    })
}

/// The tokens with the letters before an e set off from it, `xye−` as `xy e−`; `None` where no e stands before a minus.
fn set_off(tokens: &[Token], known: &Known) -> Option<Vec<Token>> {
    let mut out = Vec::with_capacity(tokens.len());
    let mut found = false;
    for (i, t) in tokens.iter().enumerate() {
        let Some((before, digits)) = parts(tokens, i, known) else {
            out.push(t.clone());
            continue;
        };
        found = true;
        let (n, exact) = (before.len(), (t.at.to - t.at.from) as usize == before.len() + 1 + digits.len());
        let (mut left, mut right) = (t.clone(), t.clone());
        (left.tok, right.tok) = (Tok::Word(before.to_owned(), false), Tok::Word(format!("e{digits}"), false));
        if exact {
            left.at.to = t.at.from + n as u32;
            right.at.from = left.at.to;
        }
        if n > 0 {
            right.gap = Gap::None;
            out.push(left);
        }
        out.push(right);
    }
    found.then_some(out)
}

/// What stands before and behind the e of a word before a minus, `xye` or `e1`.
fn parts<'a>(tokens: &'a [Token], i: usize, known: &Known) -> Option<(&'a str, &'a str)> {
    let word = tokens[i].word().filter(|w| !known.defined.contains(*w))?;
    let minus = tokens.get(i + 1).filter(|t| t.is('-') && tokens.len() > i + 2)?;
    let inside = i > 0 && matches!(tokens[i - 1].sym(), Some('^' | '_' | '.' | FRAC));
    let letters = word.trim_end_matches(|c: char| c.is_ascii_digit());
    let before = letters.strip_suffix('e').filter(|_| !inside)?;
    let digits = &word[letters.len()..];
    // Before a hyphen that is typed `e1` and `ae` are names.
    let set = typeset(minus);
    let factors = before.len() <= 2 && before.bytes().all(|b| b.is_ascii_alphabetic());
    let product = is_product(letters, known) || set && factors && functions::function(letters).is_none();
    (digits.len() <= usize::from(set) && product).then_some((before, digits))
}

/// The number that the power of the e at a place begins with, `e1−x`, or none.
fn base(tokens: &[Token], i: usize, known: &Known) -> Option<Option<Token>> {
    let (before, digits) = parts(tokens, i, known)?;
    let number = |x: f64| Token { tok: Tok::Num(x, true), at: tokens[i].at, gap: Gap::None };
    before.is_empty().then(|| digits.parse().ok().map(number))
}

/// Whether a word that ends in e is e itself or a product of letters and numbers.
fn is_product(word: &str, known: &Known) -> bool {
    let plain = |p: &Piece| match p {
        Piece::Name(n) => n.len() == 1,
        Piece::Num(_) => true,
        Piece::Func(_) => false,
    };
    match known.cut(word, false) {
        Cut::Whole(piece) => piece == Piece::Name("e".into()),
        Cut::Several(pieces, _) => pieces.iter().all(|(p, _)| plain(p)),
    }
}

/// A typographic minus, which is longer than the hyphen that is typed.
fn typeset(t: &Token) -> bool {
    t.at.to - t.at.from > 1
}

/// Whether the difference at a place is a power: nothing parts its minus from what follows, and where it was typed with a
/// hyphen a factor is glued to the e or another power lost its raising, and none has its sign.
fn is_lost(tokens: &[Token], i: usize, known: &Known) -> bool {
    let [minus, next] = [&tokens[i + 1], &tokens[i + 2]];
    if next.gap > Gap::None || minus.gap > Gap::None && !typeset(minus) {
        return false;
    }
    let typed_power = tokens.iter().any(|t| t.is('^') && !typeset(t));
    let factor =
        i > 0 && tokens[i].gap == Gap::None && (tokens[i - 1].sym().is_none() || tokens[i - 1].is(')'));
    let lost = |t: &Token| {
        matches!(&t.tok, Tok::Word(w, false) if !known.defined.contains(w)
            && matches!(w.as_bytes(), [a, d] if a.is_ascii_alphabetic() && d.is_ascii_digit()))
    };
    typeset(minus) || !typed_power && (factor || tokens.iter().any(lost))
}

/// The end of the product that begins at a place.
fn term_end(tokens: &[Token], from: usize) -> usize {
    let ends =
        |t: &Token| t.sym().is_some_and(|c| matches!(c, '+' | '-' | '=' | '<' | '>' | '≤' | '≥' | ',' | ')'));
    tokens[from..].iter().position(ends).map_or(tokens.len(), |k| from + k)
}

/// Where an exponent ends.
struct Reach {
    /// The place of the first token that does not belong to it, at least not all.
    at: usize,
    /// The part of the word there that belongs to it.
    part: Option<Token>,
    /// The part of that word that does not.
    rest: Option<Token>,
}

/// How far the exponent that begins at a place goes: over brackets, powers, products and further terms that are subtracted,
/// as long as no blank stands between, to the next function.
fn reach(tokens: &[Token], from: usize, known: &Known) -> Reach {
    let mut to = from;
    let ends = |at: usize| Reach { at, part: None, rest: None };
    // A further power of e is a factor or term of its own.
    let another = |k: usize| k > from && k < tokens.len() && base(tokens, k, known).is_some();
    while to < tokens.len() && (to == from || tokens[to].gap == Gap::None) && !another(to) {
        to = match tokens[to].sym() {
            Some('-' | '*' | '·' | '/') if another(to + 1) => return ends(to),
            Some('(') => match matching(tokens, to) {
                Some(close) => close + 1,
                None => return ends(to),
            },
            Some('|') => match tokens[to + 1..].iter().position(|t| t.is('|')) {
                Some(k) => to + k + 2,
                None => return ends(to),
            },
            Some('-' | '^' | '*' | '·' | '/' | '√') if to + 1 < tokens.len() => to + 1,
            Some(_) => return ends(to),
            None => match before_function(&tokens[to], to == from, known) {
                Some((part, rest)) => return Reach { at: to, part, rest: Some(rest) },
                None if to == from && is_function(&tokens[to]) => argument(tokens, to + 1),
                None => to + 1,
            },
        };
    }
    ends(to)
}

fn is_function(t: &Token) -> bool {
    t.word().is_some_and(functions::is_bare)
}

/// The place after the argument of a function that an exponent begins with.
fn argument(tokens: &[Token], from: usize) -> usize {
    match tokens.get(from) {
        Some(t) if t.is('(') => matching(tokens, from).map_or(from, |close| close + 1),
        Some(t) if t.sym().is_none() => from + 1,
        _ => from,
    }
}

/// A word that is a function, or ends in one, `xcos`, as the part before the function and the rest. What an exponent begins
/// with belongs to it.
fn before_function(t: &Token, first: bool, known: &Known) -> Option<(Option<Token>, Token)> {
    let Tok::Word(word, false) = &t.tok else { return None };
    if is_function(t) {
        return (!first).then(|| (None, t.clone()));
    }
    let Cut::Several(pieces, _) = known.cut(word, false) else { return None };
    let cut = pieces.iter().find(|(p, k)| matches!(p, Piece::Func(_)) && (*k > 0 || !first))?.1;
    if cut == 0 {
        return Some((None, t.clone()));
    }
    let exact = (t.at.to - t.at.from) as usize == word.len();
    let (mut left, mut right) = (t.clone(), Token { gap: Gap::None, ..t.clone() });
    left.tok = Tok::Word(word[..cut].to_owned(), false);
    right.tok = Tok::Word(word[cut..].to_owned(), false);
    if exact {
        left.at.to = t.at.from + cut as u32;
        right.at.from = left.at.to;
    }
    Some((Some(left), right))
}

/// The tokens of an exponent; a digit behind a letter is raised in it: `r2`.
fn exponent(tokens: &[Token], to: &Reach, known: &Known) -> Vec<Token> {
    let mut out = Vec::new();
    for t in tokens.iter().chain(&to.part) {
        let whole = |w: &&str| !known.defined.contains(*w) && matches!(known.cut(w, false), Cut::Whole(_));
        let word = t.word().filter(whole).unwrap_or_default();
        match word.as_bytes() {
            [a, d @ b'2'..=b'9'] if a.is_ascii_alphabetic() => {
                let letter = Tok::Word(word[..1].to_owned(), false);
                out.push(Token { tok: letter, ..t.clone() });
                out.push(Token { tok: Tok::Sym('^'), at: t.at, gap: Gap::None });
                out.push(Token { tok: Tok::Num(f64::from(d - b'0'), true), at: t.at, gap: Gap::None });
            }
            _ => out.push(t.clone()),
        }
    }
    out
}

/// Whether an exponent changes from place to place, or along a curve.
fn moves(exponent: &[Token], known: &Known) -> bool {
    let moving = |n: &str| {
        let usual = ["x", "y", "z", "X", "Y", "Z", "u", "v", "t", "s", "r", "rho", "theta", "phi"];
        usual.contains(&n) || known.varying.contains(n)
    };
    exponent.iter().filter_map(Token::word).any(|w| match known.cut(w, false) {
        Cut::Whole(Piece::Name(n)) => moving(&n),
        Cut::Several(pieces, _) => pieces.iter().any(|(p, _)| matches!(p, Piece::Name(n) if moving(n))),
        Cut::Whole(_) => false,
    })
}
