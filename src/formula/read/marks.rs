//! Marks of pages and sessions around formulas: emphasis, prompts, footnotes, comments in words.

use super::faults::Span;
use super::functions::function;
use super::glyphs::Glyph;
use super::letters::superscript;
use super::names::{constant, greek_letter};
use super::style::Style;
use super::vocabulary::{CAPTIONS, FILLER};

/// The longest mark or comment that is looked for, in characters.
const LONGEST: usize = 400;

/// The text with such marks made blank, and what is to be said of comments that were left out.
pub(super) fn unmarked(mut glyphs: Vec<Glyph>, style: Style) -> (Vec<Glyph>, Vec<(Span, &'static str)>) {
    prompts(&mut glyphs);
    bracketed_comments(&mut glyphs);
    numbering(&mut glyphs);
    let mut said = Vec::new();
    strong(&mut glyphs);
    if style.tex {
        notes_of_tex(&mut glyphs);
    }
    if !style.code {
        for sign in ['*', '_'] {
            emphasis(&mut glyphs, sign);
        }
        footnotes(&mut glyphs);
        said = comments(&mut glyphs);
        said.extend(super::cites::without_pictures(&mut glyphs));
        if !style.square {
            said.extend(super::cites::unmarked(&mut glyphs));
        }
    }
    (glyphs, said)
}

/// Makes a part blank; ends of lines stay.
fn blank(glyphs: &mut [Glyph]) {
    glyphs.iter_mut().filter(|g| g.c != '\n').for_each(|g| g.c = ' ');
}

fn word(glyphs: &[Glyph]) -> String {
    glyphs.iter().map(|g| g.c).collect()
}

/// The starts of lines.
fn line_starts(glyphs: &[Glyph]) -> Vec<usize> {
    let after = glyphs.iter().enumerate().filter(|(_, g)| g.c == '\n').map(|(k, _)| k + 1);
    std::iter::once(0).chain(after).collect()
}

/// `In[3]:=` and `Out[3]=` before what was typed or told.
fn prompts(glyphs: &mut [Glyph]) {
    for start in line_starts(glyphs) {
        let head = word(&glyphs[start..(start + 16).min(glyphs.len())]);
        let Some(rest) = head.strip_prefix("In[").or_else(|| head.strip_prefix("Out[")) else { continue };
        let digits = rest.chars().take_while(char::is_ascii_digit).count();
        let tail = rest.get(digits..).unwrap_or_default();
        let sign = [("]:=", 3), ("]=", 2)].iter().find(|(s, _)| tail.starts_with(s)).map(|(_, n)| n);
        if let (Some(n), true) = (sign, digits > 0) {
            let length = head.chars().count() - rest.chars().count() + digits + n;
            blank(&mut glyphs[start..start + length]);
        }
    }
}

/// `1) x = …`: numbers of lines whose bracket was never opened.
fn numbering(glyphs: &mut [Glyph]) {
    let count = |glyphs: &[Glyph], c: char| glyphs.iter().filter(|g| g.c == c).count();
    let mut lone = count(glyphs, ')').saturating_sub(count(glyphs, '('));
    for start in line_starts(glyphs) {
        if lone == 0 {
            return;
        }
        let from = start + glyphs[start..].iter().take(LONGEST).take_while(|g| g.c == ' ').count();
        let digits = glyphs[from..].iter().take(3).take_while(|g| g.c.is_ascii_digit()).count();
        let letter = glyphs.get(from).is_some_and(|g| matches!(g.c, 'a'..='h'));
        let close = from + if digits > 0 { digits } else { usize::from(letter) };
        let closed = glyphs.get(close).is_some_and(|g| g.c == ')');
        if close > from && closed && glyphs.get(close + 1).is_some_and(|g| g.c == ' ') {
            blank(&mut glyphs[from..=close]);
            lone -= 1;
        }
    }
}

/// The brace that closes the one at a place.
fn closing(glyphs: &[Glyph], open: usize) -> Option<usize> {
    let mut depth = 0;
    (open..glyphs.len()).take(LONGEST).find(|k| {
        match glyphs[*k].c {
            '{' => depth += 1,
            '}' => depth -= 1,
            _ => {}
        }
        depth == 0
    })
}

/// `\underbrace{x^2}_{note}` as `{x^2}`, and the notes of `\footnote{…}` and `\eqno(1)` left out.
fn notes_of_tex(glyphs: &mut [Glyph]) {
    let commands = ["\\underbrace", "\\overbrace", "\\footnote", "\\footnotemark", "\\eqno", "\\leqno"];
    for k in 0..glyphs.len() {
        if glyphs[k].c != '\\' {
            continue;
        }
        let letters = glyphs[k + 1..].iter().take_while(|g| g.c.is_ascii_alphabetic()).count();
        let name = word(&glyphs[k..=k + letters]);
        if !commands.contains(&name.as_str()) {
            continue;
        }
        let open = k + letters + 1;
        blank(&mut glyphs[k..open]);
        if name.ends_with("eqno") {
            let to = open + glyphs[open..].iter().take_while(|g| !matches!(g.c, '\n' | '$' | '\\')).count();
            blank(&mut glyphs[open..to]);
            continue;
        }
        let Some(close) = glyphs.get(open).filter(|g| g.c == '{').and_then(|_| closing(glyphs, open)) else {
            continue;
        };
        if name.starts_with("\\footnote") {
            blank(&mut glyphs[open..=close]);
        } else if glyphs.get(close + 1).is_some_and(|g| matches!(g.c, '_' | '^')) {
            let end = match glyphs.get(close + 2).map(|g| g.c) {
                Some('{') => closing(glyphs, close + 2).unwrap_or(close + 2),
                _ => (close + 2).min(glyphs.len() - 1),
            };
            blank(&mut glyphs[close + 1..=end]);
        }
    }
}

/// `(* words *)`, which is no equation's number `(*)`.
fn bracketed_comments(glyphs: &mut [Glyph]) {
    let mut i = 0;
    while i + 2 < glyphs.len() {
        let opens = glyphs[i].c == '(' && glyphs[i + 1].c == '*' && glyphs[i + 2].c.is_whitespace();
        let close =
            || (i + 3..glyphs.len()).take(LONGEST).find(|k| glyphs[*k].c == ')' && glyphs[k - 1].c == '*');
        match opens.then(close).flatten() {
            Some(close) => {
                blank(&mut glyphs[i..=close]);
                i = close;
            }
            None => i += 1,
        }
    }
}

/// The text between two stars at both ends, `**x = 1**`, else all of it.
pub(super) fn within_strong(text: &str) -> &str {
    let inner = text.trim().strip_prefix("**").and_then(|t| t.strip_suffix("**"));
    inner.filter(|t| !t.contains("**")).unwrap_or(text)
}

/// Makes two stars at both ends of the text blank.
fn strong(glyphs: &mut [Glyph]) {
    let seen: Vec<usize> = (0..glyphs.len()).filter(|k| !glyphs[*k].c.is_whitespace()).collect();
    let [a, b, .., c, d] = seen[..] else { return };
    if [a, b, c, d].iter().all(|k| glyphs[*k].c == '*') && b == a + 1 && d == c + 1 {
        [a, b, c, d].iter().for_each(|k| glyphs[*k].c = ' ');
    }
}

/// `*x*² + *y*²`: letters between two signs of emphasis, where no factor stands before.
fn emphasis(glyphs: &mut [Glyph], sign: char) {
    let operand = |c: char| c.is_alphanumeric() || matches!(c, ')' | ']' | '}' | '|' | '\\');
    let mut i = 0;
    while i < glyphs.len() {
        if glyphs[i].c != sign {
            i += 1;
            continue;
        }
        let free = i.checked_sub(1).is_none_or(|k| !operand(glyphs[k].c) && glyphs[k].c != sign);
        let letters = glyphs[i + 1..].iter().take(LONGEST).take_while(|g| g.c.is_alphabetic()).count();
        let close = i + 1 + letters;
        let closed = letters > 0
            && glyphs.get(close).is_some_and(|g| g.c == sign)
            && glyphs.get(close + 1).is_none_or(|g| ends_emphasis(g.c) && g.c != sign);
        let factor = glyphs[..i].iter().rev().find(|g| !g.c.is_whitespace());
        if free && closed && !factor.is_some_and(|g| operand(g.c)) {
            glyphs[i].c = ' ';
            glyphs[close].c = super::glyphs::SEAM;
            i = close;
        }
        i += 1;
    }
}

/// Whether a character may follow what is emphasised: no letter, digit or bracket, but a raised digit.
fn ends_emphasis(c: char) -> bool {
    superscript(c).is_some() || !c.is_alphanumeric() && c != '('
}

/// Signs of footnotes behind a formula: `†`, and raised digits after a full stop.
fn footnotes(glyphs: &mut [Glyph]) {
    for k in 0..glyphs.len() {
        if matches!(glyphs[k].c, '†' | '‡' | '§' | '¶' | '※') {
            glyphs[k].c = ' ';
        }
        if !matches!(glyphs[k].c, '.' | ',') {
            continue;
        }
        let raised = |g: &Glyph| matches!(g.c, '¹' | '²' | '³' | '⁴'..='⁹' | '⁰');
        let to = k + 1 + glyphs[k + 1..].iter().take(4).take_while(|g| raised(g)).count();
        let ends = glyphs.get(to).is_none_or(|g| g.c == '\n');
        if to > k + 1 && ends {
            blank(&mut glyphs[k..to]);
        }
    }
}

/// `x^2 = y % a saddle` and `-- a saddle`: what follows the sign is words alone, to the end of the line.
fn comments(glyphs: &mut [Glyph]) -> Vec<(Span, &'static str)> {
    let mut said = Vec::new();
    let mut k = 1;
    while k + 2 < glyphs.len() {
        let apart = glyphs[k - 1].c.is_whitespace();
        let sign = match glyphs[k].c {
            '%' | '-' | '←' if glyphs[k + 1].c == ' ' => 1,
            '-' if glyphs[k + 1].c == '-' => 2,
            '<' if glyphs[k + 1].c == '-' => 2,
            _ => 0,
        };
        if sign > 0 && apart && glyphs[k + sign].c == ' ' {
            let ahead = &glyphs[k..(k + LONGEST).min(glyphs.len())];
            let to = k + ahead.iter().position(|g| g.c == '\n').unwrap_or(ahead.len());
            let text = word(&glyphs[k + sign..to]);
            let ends = to == glyphs.len() || glyphs[to].c == '\n';
            let remark = match glyphs[k].c {
                '%' => is_remark(&text) || goes_on(&glyphs[to..]) && is_lone_word(&text, glyphs),
                // A dash may be a minus, and an arrow gives a value.
                '-' if sign == 1 => {
                    let typed = glyphs[k].at.to - glyphs[k].at.from == 1;
                    (!typed || number_before(&glyphs[..k])) && names_shape(&text)
                }
                '<' | '←' => glyphs[..k].iter().any(|g| g.c == '=') && is_remark(&text),
                _ => is_remark(&text),
            };
            if ends && remark {
                said.push((
                    glyphs[k].at.join(glyphs[to - 1].at),
                    "the words after the sign read as a comment",
                ));
                blank(&mut glyphs[k..to]);
            }
        }
        k += 1;
    }
    said
}

/// Whether what follows goes on with a formula on its next line.
fn goes_on(glyphs: &[Glyph]) -> bool {
    let next = glyphs.iter().find(|g| !g.c.is_whitespace());
    next.is_some_and(|g| matches!(g.c, '=' | '+' | '-' | '*' | '/' | '<' | '>' | '·'))
}

/// Whether the text before a place ends in a number.
fn number_before(glyphs: &[Glyph]) -> bool {
    glyphs.iter().rev().find(|g| !g.c.is_whitespace()).is_some_and(|g| g.c.is_ascii_digit())
}

/// Whether a text says what shape it is about, `a cylinder` and `the unit sphere`.
fn names_shape(text: &str) -> bool {
    let words: Vec<String> = text.split_whitespace().map(str::to_lowercase).collect();
    let [first, .., last] = words.as_slice() else { return false };
    matches!(first.as_str(), "a" | "an" | "the" | "this")
        && CAPTIONS.contains(&last.as_str())
        && is_remark(text)
}

/// Whether a text is a single word that stands nowhere else, so that no divisor is called so.
fn is_lone_word(text: &str, glyphs: &[Glyph]) -> bool {
    let lone = text.trim();
    let known = function(lone).is_some() || constant(lone).is_some() || greek_letter(lone).is_some();
    lone.chars().count() > 3
        && lone.chars().all(char::is_alphabetic)
        && !known
        && word(glyphs).matches(lone).count() == 1
}

/// Whether a text is words of speech: several, one with a capital, or the name of a shape.
fn is_remark(text: &str) -> bool {
    let plain = |c: char| c.is_alphabetic() || matches!(c, ' ' | '-' | ',' | '.' | '\'');
    let words: Vec<&str> = text.split(|c: char| !c.is_alphabetic()).filter(|w| !w.is_empty()).collect();
    let speech = |w: &&&str| {
        let lower = w.to_lowercase();
        w.chars().count() > 2
            && function(&lower).is_none()
            && constant(w).is_none()
            && greek_letter(&lower).is_none()
    };
    let known = |w: &&str| {
        CAPTIONS.contains(&w.to_lowercase().as_str()) || FILLER.contains(&w.to_lowercase().as_str())
    };
    let spoken = words.iter().filter(speech).count();
    let first = words.first().is_some_and(|w| w.starts_with(char::is_uppercase) || known(w));
    text.chars().all(plain) && spoken > 0 && (words.len() > 1 || first)
}
