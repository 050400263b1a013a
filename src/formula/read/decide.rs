//! Words become names, functions and numbers, now that the text's own definitions are known.

use super::faults::Span;
use super::functions;
use super::names::{self, Cut, Known, Piece};
use super::objects::matching;
use super::raising;
use super::reading::Remark;
use super::style::Style;
use super::token::*;

/// The tokens with every word decided; doubts go into the remarks.
pub fn decide(tokens: &[Token], known: &Known, style: Style, remarks: &mut Vec<Remark>) -> Vec<Token> {
    let raised = if style.code || style.tex { None } else { raising::raised(tokens, known, remarks) };
    let tokens = raised.as_deref().unwrap_or(tokens);
    let mut out: Vec<Token> = Vec::with_capacity(tokens.len());
    for (i, t) in tokens.iter().enumerate() {
        match &t.tok {
            Tok::Word(w, whole) => {
                let part = i > 0
                    && tokens[i - 1].is('.')
                    && tokens[i - 1].gap == Gap::None
                    && t.gap == Gap::None
                    && i > 1;
                if part && !style.code && is_dotted_function(tokens, i) {
                    // `sin x.cos y`: the point is a product.
                    let dot = out.pop().map_or(t.at, |dot| dot.at);
                    remarks.push(Remark { what: "the point read as a product".into(), at: dot.range() });
                    out.push(Token { tok: Tok::Sym('·'), at: dot, gap: Gap::None });
                    out.push(Token { tok: Tok::Func(w.clone()), ..t.clone() });
                } else if part
                    || super::parse::is_keyword(w)
                        && !(w == "if" && tokens.get(i + 1).is_some_and(|n| n.is('(')))
                {
                    out.push(t.clone());
                } else if let Some(cut) = subscripted(w, known).filter(|_| !style.code) {
                    parted(t, cut, &mut out, remarks);
                } else if *whole {
                    let func = functions::function(w).is_some() && !known.defined.contains(w) && w != "pi";
                    out.push(Token {
                        tok: if func { Tok::Func(w.clone()) } else { Tok::Name(w.clone()) },
                        ..t.clone()
                    });
                } else if w == "E" && !style.code && !style.square && is_euler(tokens, i, known) {
                    remarks.push(Remark { what: "E read as e".into(), at: t.at.range() });
                    out.push(Token { tok: Tok::Name("e".into()), ..t.clone() });
                } else {
                    let next = tokens.get(i + 1);
                    let called = next.is_some_and(|n| n.is('(') || (style.square && n.is('[')));
                    let apart = next.is_some_and(|n| n.gap > Gap::None && matches!(n.tok, Tok::Word(..)));
                    let after_frac = i > 0 && tokens[i - 1].is(FRAC);
                    if called && !style.code && lists(tokens, i + 1) && is_product(known.cut(w, true)) {
                        // A product of letters has no list behind it.
                        out.push(Token { tok: Tok::Name(w.clone()), ..t.clone() });
                        continue;
                    }
                    word(w, t, Around { called, after_frac, apart }, known, style, &mut out, remarks);
                    remarks.extend(raising::by_fraction(tokens, i).filter(|_| !style.code));
                }
            }
            Tok::Num(..) if splits(&out, tokens, i) => digits(t, &mut out),
            Tok::Num(n, true) if style.tex && *n >= 10.0 && raises_function(&out) => {
                one_digit(t, *n, &mut out, remarks);
            }
            Tok::Num(n, true)
                if !style.code && *n >= 10.0 && raises_function(&out) && glued(tokens, i + 1) =>
            {
                let what = format!(
                    "read as the power {n}; a power of one digit before a number needs a blank or brackets"
                );
                remarks.push(Remark { what, at: t.at.range() });
                out.push(t.clone());
            }
            Tok::Num(n, _) if lost_power(tokens, i, style) => {
                out.push(Token { tok: Tok::Sym('^'), ..t.clone() });
                out.push(t.clone());
                let at = tokens[i - 1].at.join(t.at).range();
                let close = tokens[i - 1].shown();
                let open = if close == ")" {
                    "("
                } else if close == "]" {
                    "["
                } else {
                    &close
                };
                remarks.push(Remark {
                    what: format!("{close}{n} read as a power whose raising was lost: {open}...{close}^{n}"),
                    at,
                });
            }
            Tok::Num(n, true)
                if raising::behind_greek(tokens, i) && !(style.code || style.tex || style.square) =>
            {
                out.push(Token { tok: Tok::Sym('^'), ..t.clone() });
                out.push(t.clone());
                let base = tokens[i - 1].shown();
                let what = format!("{base}{n} read as a power whose raising was lost: {base}^{n}");
                remarks.push(Remark { what, at: tokens[i - 1].at.join(t.at).range() });
            }
            Tok::Num(n, true) if apart_power(&out, tokens, i, style) => {
                out.push(Token { tok: Tok::Sym('^'), ..t.clone() });
                out.push(t.clone());
                let base = if tokens[i - 1].is(')') { "(...)".into() } else { tokens[i - 1].shown() };
                let what = format!("{base} {n} read as {base}^{n}");
                remarks.push(Remark { what, at: tokens[i - 1].at.join(t.at).range() });
            }
            _ => out.push(t.clone()),
        }
    }
    out
}

/// Whether a digit after a letter or bracket and a blank is a superscript that lost its place: `x 2 + y 2`.
fn apart_power(out: &[Token], tokens: &[Token], i: usize, style: Style) -> bool {
    let digit = matches!(tokens[i].tok, Tok::Num(n, true) if (2.0..10.0).contains(&n));
    if !digit || style.code || style.tex || style.square || i == 0 || tokens[i].gap == Gap::None {
        return false;
    }
    let letter = |n: &str| n.chars().count() == 1 || names::greek_letter(n).is_some();
    let base = match out {
        [.., raise, Token { tok: Tok::Name(_), .. }] if raise.is('^') => false,
        [.., Token { tok: Tok::Name(n), .. }] => letter(n) && names::constant(n).is_none(),
        [.., close] => close.is(')') && !closes_power(&tokens[..i]),
        [] => false,
    };
    // A factor goes before the letters, so a digit behind them that ends its term is no factor.
    let ends = tokens.get(i + 1).is_none_or(|n| match n.sym() {
        Some(c) => matches!(c, '+' | '-' | '=' | '<' | '>' | '≤' | '≥' | ')' | ']' | ',' | ';' | '/' | '·'),
        None => matches!(n.tok, Tok::Word(..)) && n.gap > Gap::None,
    });
    base && ends
}

/// Whether the bracket that opens at a place holds a list.
fn lists(tokens: &[Token], open: usize) -> bool {
    let close = matching(tokens, open).unwrap_or(open);
    close > open && !super::brackets::outside(&tokens[open + 1..close], |_, t| t.is(',')).is_empty()
}

/// Whether a word is cut into names of which the last is no function.
fn is_product(cut: Cut) -> bool {
    matches!(cut, Cut::Several(pieces, _) if !matches!(pieces.last(), Some((Piece::Func(_), _))))
}

/// Whether the word at a place, after a point, is a function that is taken of what follows and no method, `x.cos()`.
fn is_dotted_function(tokens: &[Token], i: usize) -> bool {
    let empty = tokens.get(i + 1).is_some_and(|t| t.is('(')) && tokens.get(i + 2).is_some_and(|t| t.is(')'));
    tokens[i].word().is_some_and(functions::is_bare) && i + 1 < tokens.len() && !empty
}

/// Whether the letter at a place is raised to a power that changes from place to place, as `E^(-x^2)`.
fn is_euler(tokens: &[Token], i: usize, known: &Known) -> bool {
    let Some(open) = tokens.get(i + 1).filter(|t| t.is('^')).and(tokens.get(i + 2)) else { return false };
    let to = match open.sym() {
        Some('(' | '{') => matching(tokens, i + 2).unwrap_or(tokens.len()),
        Some('-') => i + 4,
        _ => i + 3,
    };
    let moves = |w: &str| {
        w.chars().any(|c| matches!(c, 'x' | 'y' | 'z' | 'r' | 't' | 'u' | 'v')) || known.varying.contains(w)
    };
    let exponent = &tokens[i + 2..to.min(tokens.len())];
    !known.defined.contains("E") && exponent.iter().any(|t| t.word().is_some_and(moves))
}

/// Whether a number stands where TeX takes a single digit: `\frac12`.
fn splits(out: &[Token], tokens: &[Token], i: usize) -> bool {
    let Tok::Num(x, true) = tokens[i].tok else { return false };
    x >= 10.0 && i > 0 && (tokens[i - 1].is(FRAC) || out.last().is_some_and(|t| t.is(FRAC)))
}

/// Whether a word follows without a blank.
fn glued(tokens: &[Token], i: usize) -> bool {
    tokens.get(i).is_some_and(|t| t.gap == Gap::None && t.word().is_some())
}

/// Whether a function and `^` stand last.
fn raises_function(out: &[Token]) -> bool {
    matches!(out, [.., Token { tok: Tok::Func(_), .. }, raise] if raise.is('^'))
}

/// `\sin^22x`: as TeX sets it, one digit is the power. What would leave an argument that begins with 0 stays whole.
fn one_digit(t: &Token, n: f64, out: &mut Vec<Token>, remarks: &mut Vec<Remark>) {
    let text = format!("{n}");
    if text[1..].starts_with('0') {
        let what = format!("read as the power {n}; in TeX a power of several digits stands in braces");
        remarks.push(Remark { what, at: t.at.range() });
        return out.push(t.clone());
    }
    let what = format!("read as the power {} before {}, as TeX sets it", &text[..1], &text[1..]);
    remarks.push(Remark { what, at: t.at.range() });
    digits(t, out);
}

/// Whether a digit glued to a closing bracket is a superscript that lost its place; not after a superscript.
fn lost_power(tokens: &[Token], i: usize, style: Style) -> bool {
    let Tok::Num(n, whole) = tokens[i].tok else { return false };
    let glued = (whole || n < 1.0)
        && i > 0
        && tokens[i].gap == Gap::None
        && (tokens[i - 1].is(')') && !closes_power(&tokens[..i]) || closes_size(tokens, i - 1));
    glued
        && !style.code
        && n < 10.0
        && !between_calls(tokens, i)
        && !tokens.get(i + 1).is_some_and(|t| t.is('^'))
}

/// Whether the sign at a place closes bars, `|x|3`, or square brackets around a sum or product, `[x+y]2`.
fn closes_size(tokens: &[Token], i: usize) -> bool {
    let sign = &tokens[i];
    if sign.is('|') || sign.is('‖') {
        let before = tokens[..i].iter().filter(|t| **t == Token { at: t.at, gap: t.gap, ..sign.clone() });
        return before.count() % 2 == 1;
    }
    let open = (0..i).rev().find(|k| tokens[*k].is('[') && matching(tokens, *k) == Some(i));
    open.filter(|_| sign.is(']')).is_some_and(|k| {
        let indexed = k > 0 && tokens[k].gap == Gap::None && tokens[k - 1].word().is_some();
        let listed = tokens[k..i].iter().any(|t| matches!(t.sym(), Some(',' | ';')));
        i > k + 2 && !indexed && !listed
    })
}

/// Whether a digit stands between the bracket of a function and the next function, `sin(x)4cos(y)`: its factor.
fn between_calls(tokens: &[Token], i: usize) -> bool {
    let function = |t: &Token| t.word().is_some_and(functions::is_bare);
    let next = tokens.get(i + 1).is_some_and(|t| t.gap == Gap::None && function(t));
    let open = (0..i).rev().find(|k| tokens[*k].is('(') && matching(tokens, *k) == Some(i - 1));
    next && open.is_some_and(|k| k > 0 && function(&tokens[k - 1]))
}

/// Whether the bracket at the end holds a power.
fn closes_power(tokens: &[Token]) -> bool {
    let mut depth = 0;
    for (k, t) in tokens.iter().enumerate().rev() {
        match t.sym() {
            Some(')') => depth += 1,
            Some('(') => depth -= 1,
            _ => {}
        }
        if depth == 0 {
            return k > 0 && tokens[k - 1].is('^');
        }
    }
    false
}

fn digits(t: &Token, out: &mut Vec<Token>) {
    let Tok::Num(x, _) = t.tok else { return };
    let text = format!("{x}");
    let (first, rest) = text.split_at(1);
    let cut = t.at.from + 1;
    let gap = t.gap;
    out.push(Token {
        tok: Tok::Num(first.parse().unwrap_or(0.0), true),
        at: Span { from: t.at.from, to: cut },
        gap,
    });
    out.push(Token {
        tok: Tok::Num(rest.parse().unwrap_or(0.0), true),
        at: Span { from: cut, to: t.at.to.max(cut) },
        gap: Gap::None,
    });
}

/// What stands around a word.
#[derive(Clone, Copy)]
struct Around {
    called: bool,
    after_frac: bool,
    /// A word stands behind it after a blank.
    apart: bool,
}

/// `a_1x` as a_1 and x: one letter, one digit below it, a coordinate.
fn subscripted<'a>(w: &'a str, known: &Known) -> Option<(&'a str, &'a str)> {
    let fits = match w.as_bytes() {
        [a, b'_', d, c] => a.is_ascii_alphabetic() && d.is_ascii_digit() && matches!(c, b'x' | b'y' | b'z'),
        _ => false,
    };
    (fits && !known.defined.contains(w)).then(|| w.split_at(3))
}

/// A name with its subscript and the coordinate behind it, as two names.
fn parted(t: &Token, (name, rest): (&str, &str), out: &mut Vec<Token>, remarks: &mut Vec<Remark>) {
    let cut = t.at.from + name.len() as u32;
    let exact = (t.at.to - t.at.from) as usize == name.len() + rest.len();
    let [first, last] = match exact {
        true => [Span { to: cut, ..t.at }, Span { from: cut, ..t.at }],
        false => [t.at, t.at],
    };
    out.push(Token { tok: Tok::Name(name.to_owned()), at: first, gap: t.gap });
    out.push(Token { tok: Tok::Name(rest.to_owned()), at: last, gap: Gap::None });
    remarks.push(Remark { what: format!("{name}{rest} read as {name} {rest}"), at: t.at.range() });
}

fn word(
    w: &str,
    t: &Token,
    around: Around,
    known: &Known,
    style: Style,
    out: &mut Vec<Token>,
    remarks: &mut Vec<Remark>,
) {
    if (style.square || style.code) && w == "E" && !known.defined.contains(w) {
        return out.push(Token { tok: Tok::Name("e".into()), ..t.clone() });
    }
    match known.cut(w, around.called) {
        Cut::Whole(Piece::Func(f)) => out.push(Token { tok: Tok::Func(f), ..t.clone() }),
        Cut::Whole(Piece::Name(n) | Piece::Num(n)) => out.push(Token { tok: Tok::Name(n), ..t.clone() }),
        Cut::Several(pieces, doubt) => {
            let exact = (t.at.to - t.at.from) as usize == w.len();
            let mut shown = Vec::new();
            for (k, (piece, offset)) in pieces.iter().enumerate() {
                let end = pieces.get(k + 1).map_or(w.len(), |(_, o)| *o);
                let at = match exact {
                    true => Span { from: t.at.from + *offset as u32, to: t.at.from + end as u32 },
                    false => t.at,
                };
                let gap = if k == 0 { t.gap } else { Gap::None };
                let after_name = k > 0 && matches!(pieces[k - 1].0, Piece::Name(_)) && !around.after_frac;
                // `sin2 x` lost its raising: a factor of the argument is glued to it, `sin 2x` or `sin2x`.
                let digit = matches!(piece, Piece::Num(n) if n.len() == 1 && n.as_str() > "1");
                let turns = |f: &Piece| matches!(f, Piece::Func(f) if functions::function(&format!("a{f}")).is_some());
                let raised = around.apart && digit && !style.code && k > 0 && turns(&pieces[k - 1].0);
                let func_power = (around.called || raised)
                    && k > 0
                    && k + 1 == pieces.len()
                    && matches!(pieces[k - 1].0, Piece::Func(_));
                match piece {
                    Piece::Func(f) => {
                        shown.push(f.clone());
                        out.push(Token { tok: Tok::Func(f.clone()), at, gap });
                    }
                    Piece::Name(n) => {
                        shown.push(n.clone());
                        out.push(Token { tok: Tok::Name(n.clone()), at, gap });
                    }
                    Piece::Num(n) => {
                        if after_name || func_power {
                            out.push(Token { tok: Tok::Sym('^'), at, gap });
                            let base = shown.pop().unwrap_or_default();
                            shown.push(format!("{base}^{n}"));
                        } else {
                            shown.push(n.clone());
                        }
                        out.push(Token { tok: Tok::Num(n.parse().unwrap_or(0.0), true), at, gap });
                    }
                }
            }
            if doubt {
                remarks.push(Remark { what: format!("{w} read as {}", shown.join(" ")), at: t.at.range() });
            }
        }
    }
}
