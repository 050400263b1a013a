//! Marks behind a formula that belong to the page around it: citations, `= 1.[3]`, and pictures, `= 1 ✅`.

use super::faults::Span;
use super::functions::function;
use super::glyphs::{Glyph, LOWER, RAISE, SEAM};
use super::letters::superscript;

/// The longest mark of citation that is looked for, in characters.
const LONGEST: usize = 40;

/// Makes marks of citation blank that are glued to what stands before them, and says so of each.
pub(super) fn unmarked(glyphs: &mut [Glyph]) -> Vec<(Span, &'static str)> {
    let mut said = Vec::new();
    let mut k = 0;
    while k < glyphs.len() {
        match mark(glyphs, k) {
            Some((from, to)) => {
                let at = glyphs[k].at.join(glyphs[to - 1].at);
                said.push((at, "what stands in square brackets read as a mark of citation and left out"));
                glyphs[from..to].iter_mut().for_each(|g| g.c = ' ');
                k = to;
            }
            None => k += 1,
        }
    }
    said
}

/// Where the marks of citation begin and end whose first opens at a place: they are glued to a number, a closing bracket
/// or a stop, and nothing is glued to them that would make them a factor.
fn mark(glyphs: &[Glyph], open: usize) -> Option<(usize, usize)> {
    let seams = glyphs[..open].iter().rev().take_while(|g| g.c == SEAM).count();
    let raised = glyphs[..open - seams].last().is_some_and(|g| g.c == RAISE);
    let from = if raised { open - seams - 1 } else { open };
    let before = glyphs[..from].iter().rev().map(|g| g.c).find(|c| *c != SEAM)?;
    let glued = before.is_ascii_digit() || superscript(before).is_some_and(|c| c.is_ascii_digit());
    let closed = matches!(before, ')' | '}' | '.' | ',' | LOWER);
    let behind = glued || closed || raised && before.is_alphabetic();
    let mut to = end_of(glyphs, open).filter(|_| behind)?;
    while let Some(next) = end_of(glyphs, to) {
        to = next;
    }
    if raised {
        let seams = glyphs[to..].iter().take_while(|g| g.c == SEAM).count();
        to += if glyphs.get(to + seams).is_some_and(|g| g.c == LOWER) { seams + 1 } else { 0 };
    }
    let factor = |c: char| {
        c.is_alphanumeric() || superscript(c).is_some() || "([{^*/·×\\_√|'!".contains(c) || c == RAISE
    };
    let next = glyphs.get(to).map(|g| g.c);
    (!next.is_some_and(factor)).then_some((from, to))
}

/// The place after a mark that opens at a place: a small whole number, or words such as "citation needed" and "note 1".
fn end_of(glyphs: &[Glyph], open: usize) -> Option<usize> {
    let inside = glyphs.get(open).filter(|g| g.c == '[').and(glyphs.get(open + 1..))?;
    let length = inside.iter().take(LONGEST).position(|g| g.c == ']')?;
    let text: String = inside[..length].iter().map(|g| g.c).filter(|c| *c != SEAM).collect();
    let number = |t: &str| (1..4).contains(&t.len()) && t.bytes().all(|b| b.is_ascii_digit());
    let spoken = |w: &str| w.len() > 3 && w.chars().all(char::is_alphabetic) && function(w).is_none();
    let words: Vec<&str> = text.split(' ').filter(|w| !w.is_empty()).collect();
    let speech = match words.as_slice() {
        [first, rest @ ..] if !rest.is_empty() => {
            spoken(first) && rest.iter().all(|w| spoken(w) || number(w))
        }
        _ => false,
    };
    (number(&text) || speech).then_some(open + length + 2)
}

/// Makes pictures blank that stand at the ends of lines, and says so of each.
pub(super) fn without_pictures(glyphs: &mut [Glyph]) -> Vec<(Span, &'static str)> {
    let picture =
        |c: char| matches!(c, '\u{1f000}'..='\u{1faff}' | '\u{2600}'..='\u{27bf}' | '\u{2b00}'..='\u{2bff}');
    let mut said = Vec::new();
    let mut ends = true;
    for g in glyphs.iter_mut().rev() {
        if ends && picture(g.c) {
            said.push((g.at, "the picture after the formula was left out"));
            g.c = ' ';
        }
        ends = g.c == '\n' || ends && g.c.is_whitespace();
    }
    said
}
