//! Lines of a text: where they end, which go on, which say nothing about the shape.

use super::brackets::outside;
use super::clauses::is_axis;
use super::functions;
use super::names::constant;
use super::parse::comparison;
use super::seams::range_begins;
use super::token::*;
use super::vocabulary::FILLER;

/// Lines: the text between line ends and semicolons outside brackets; ends of lines inside brackets go.
pub(super) fn lines(tokens: Vec<Token>, depth: &[u32]) -> Vec<(Vec<Token>, bool)> {
    let count = tokens.iter().filter(|t| t.is('\n')).count() + 1;
    let spread = count >= 5 && tokens.len() < count * 5 / 2 && !tokens.iter().any(|t| t.is('='))
        || one_by_one(&tokens, count);
    let mut lines = Vec::new();
    let mut line: Vec<Token> = Vec::new();
    let mut pending = false;
    for (i, mut t) in tokens.into_iter().enumerate() {
        if t.is('\n') {
            if depth[i] == 0 && !spread {
                lines.push((std::mem::take(&mut line), false));
            }
            pending = true;
        } else if t.is(';') && depth[i] == 0 {
            lines.push((std::mem::take(&mut line), true));
        } else {
            if pending {
                let lost = spread && matches!(t.tok, Tok::Num(..)) && line.last().is_some_and(raised_before);
                if lost {
                    let at = t.at;
                    line.push(Token { tok: Tok::Sym('^'), at, gap: Gap::None });
                }
                t.gap = t.gap.max(Gap::Blank);
            }
            pending = false;
            line.push(t);
        }
    }
    lines.push((line, true));
    lines
}

fn raised_before(t: &Token) -> bool {
    match &t.tok {
        Tok::Word(w, _) => functions::function(w).is_none(),
        _ => t.is(')'),
    }
}

/// Whether the text stands one token a line.
fn one_by_one(tokens: &[Token], lines: usize) -> bool {
    let others = tokens.len() + 1 - lines;
    lines >= 5 && others * 2 < lines * 3
}

/// Joins lines that go on: the next begins with an operator, or the last ends with one.
pub(super) fn joined(lines: Vec<(Vec<Token>, bool)>) -> Vec<Vec<Token>> {
    let full: Vec<&(Vec<Token>, bool)> = lines.iter().filter(|(l, _)| !l.is_empty()).collect();
    let bare = |l: &[Token]| !l.iter().any(|t| comparison(t).is_some());
    let components = full.len() == 3
        && full.iter().all(|(l, _)| bare(l) && !ends_open(l))
        && !full.iter().any(|(l, _)| l[0].is('+'));
    let mut out: Vec<Vec<Token>> = Vec::new();
    let mut hard = true;
    for (line, end) in lines {
        if line.is_empty() {
            hard |= end;
            continue;
        }
        let begins = begins_open(&line) && !is_range(&line);
        let goes_on =
            |l: &Vec<Token>| ends_open(l) || begins && !(is_limit(&line) && l.iter().any(|t| t.is('=')));
        let goes_on = !hard && !components && out.last().is_some_and(goes_on);
        match out.last_mut() {
            Some(last) if goes_on => last.extend(line),
            _ => out.push(line),
        }
        hard = end;
    }
    out
}

/// Whether a line is a range that begins with a sign, `-1 ≤ u ≤ 1`, and no further term of the line before.
pub(super) fn is_range(line: &[Token]) -> bool {
    (line[0].is('-') || line[0].is('+')) && range_begins(line)
}

/// Whether a line is a limit that begins with a sign, `-1 ≤ x`, which no equation goes on with.
fn is_limit(line: &[Token]) -> bool {
    let [first, end @ .., sign, name] = line else { return false };
    let number = |t: &Token| matches!(t.tok, Tok::Num(..)) || t.word().is_some_and(|w| constant(w).is_some());
    let less = comparison(sign).is_some() && !sign.is('=');
    first.is('-') && !end.is_empty() && end.iter().all(number) && less && name.word().is_some()
}

fn begins_open(line: &[Token]) -> bool {
    matches!(
        line[0].sym(),
        Some(
            '+' | '-'
                | '*'
                | '·'
                | '×'
                | '/'
                | '='
                | '<'
                | '>'
                | '≤'
                | '≥'
                | '^'
                | '%'
                | '∧'
                | '∨'
                | ')'
                | '?'
                | ':'
        )
    )
}

pub(super) fn ends_open(line: &[Token]) -> bool {
    line.last().is_some_and(|t| {
        matches!(
            t.sym(),
            Some(
                '+' | '-'
                    | '*'
                    | '·'
                    | '×'
                    | '/'
                    | '='
                    | '<'
                    | '>'
                    | '≤'
                    | '≥'
                    | '^'
                    | '∧'
                    | '∨'
                    | '→'
                    | '≔'
                    | '¬'
            )
        )
    })
}

/// Lines that prepare and draw, and say nothing about the shape.
pub(super) fn ignorable(line: &[Token]) -> bool {
    if let [a, b, c] = line
        && a.is('(')
        && matches!(b.tok, Tok::Num(_, true))
        && c.is(')')
    {
        return true;
    }
    if line.len() == 1 && (line[0].is_word("end") || line[0].is_word("endfunction")) {
        return true;
    }
    if let [open, x, _, y, _, z, close, sign, value] = line
        && (open.is('[') || open.is('{') || open.is('('))
        && (close.is(']') || close.is('}') || close.is(')'))
        && sign.is('=')
        && value.word().is_some()
        && x.is_word("x")
        && y.is_word("y")
        && z.is_word("z")
    {
        // `[x, y, z] = p`, a point taken apart.
        return true;
    }
    let Some(w) = line.first().and_then(Token::word) else {
        return line.first().is_some_and(|t| t.is('['))
            && line.iter().any(|t| t.is_word("meshgrid") || t.is_word("ndgrid"));
    };
    let drawing = [
        "import",
        "from",
        "include",
        "using",
        "syms",
        "clear",
        "clc",
        "figure",
        "plt",
        "ax",
        "fig",
        "isosurface",
        "surf",
        "plot",
        "plot3",
        "hold",
        "axis",
        "xlabel",
        "ylabel",
        "zlabel",
        "title",
        "print",
        "use",
        "package",
        "require",
        "show",
        "close",
        "precision",
        "camlight",
        "lighting",
        "patch",
        "colormap",
    ];
    let gap = line.get(1).is_some_and(|t| t.gap > Gap::None || t.is('.') || t.is('(') || t.is('{'));
    // `ax + by = z` is a sum whose first term only looks like one of them.
    let operator = |t: &Token| comparison(t).is_some() || t.sym().is_some_and(|c| "+-*/^·×".contains(c));
    // `plot z = x y` is speech before a formula.
    let spoken = FILLER.contains(&w)
        && line.get(1).is_some_and(|t| t.word().is_some())
        && !outside(line, |_, t| comparison(t).is_some()).is_empty();
    (drawing.contains(&w)
        && !spoken
        && (gap || line.len() == 1)
        && !line.get(1).is_some_and(operator)
        && !(w == "from" && line.len() < 3))
        || line
            .iter()
            .any(|t| matches!(t.word(), Some("meshgrid" | "ndgrid" | "mgrid" | "ogrid" | "symbols")))
        || line.len() >= 3
            && line.iter().any(|t| t.is_word("linspace") || t.is_word("arange"))
            && is_axis(w)
            && line[1].is('=')
        || line.len() > 4
            && line[1].is(',')
            && line.last().is_some_and(|t| t.is_word("p") || t.is_word("pos"))
            && line[line.len() - 2].is('=')
}

pub(super) fn trim(line: &mut Vec<Token>) {
    while line.last().is_some_and(|t| matches!(t.sym(), Some(',' | '.' | ';' | '&' | '"' | '?'))) {
        line.pop();
    }
    while line.first().is_some_and(|t| matches!(t.sym(), Some(',' | ';' | '"' | '.'))) {
        line.remove(0);
    }
}
