//! Words become names, functions and numbers, now that the text's own definitions are known.

use super::faults::Span;
use super::functions;
use super::names::{Cut, Known, Piece};
use super::reading::Remark;
use super::style::Style;
use super::token::*;

/// The tokens with every word decided; doubts go into the remarks.
pub fn decide(tokens: &[Token], known: &Known, style: Style, remarks: &mut Vec<Remark>) -> Vec<Token> {
    let mut out: Vec<Token> = Vec::with_capacity(tokens.len());
    for (i, t) in tokens.iter().enumerate() {
        match &t.tok {
            Tok::Word(w, whole) => {
                let part = i > 0
                    && tokens[i - 1].is('.')
                    && tokens[i - 1].gap == Gap::None
                    && t.gap == Gap::None
                    && i > 1;
                if part
                    || super::parse::is_keyword(w)
                        && !(w == "if" && tokens.get(i + 1).is_some_and(|n| n.is('(')))
                {
                    out.push(t.clone());
                } else if *whole {
                    let func = functions::function(w).is_some() && !known.defined.contains(w) && w != "pi";
                    out.push(Token {
                        tok: if func { Tok::Func(w.clone()) } else { Tok::Name(w.clone()) },
                        ..t.clone()
                    });
                } else {
                    let next = tokens.get(i + 1);
                    let called = next.is_some_and(|n| n.is('(') || (style.square && n.is('[')));
                    word(w, t, called, known, style, &mut out, remarks);
                }
            }
            Tok::Num(..) if splits(&out, tokens, i) => digits(t, &mut out),
            _ => out.push(t.clone()),
        }
    }
    out
}

/// Whether a number stands where TeX takes a single digit: `\frac12`.
fn splits(out: &[Token], tokens: &[Token], i: usize) -> bool {
    let Tok::Num(x, true) = tokens[i].tok else { return false };
    x >= 10.0 && i > 0 && (tokens[i - 1].is(FRAC) || out.last().is_some_and(|t| t.is(FRAC)))
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

fn word(
    w: &str,
    t: &Token,
    called: bool,
    known: &Known,
    style: Style,
    out: &mut Vec<Token>,
    remarks: &mut Vec<Remark>,
) {
    if style.square && w == "E" && !known.defined.contains(w) {
        return out.push(Token { tok: Tok::Name("e".into()), ..t.clone() });
    }
    match known.cut(w, called) {
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
                let after_name = k > 0 && matches!(pieces[k - 1].0, Piece::Name(_));
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
                        if after_name {
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
