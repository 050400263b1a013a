//! The part of a text that a fault shows: of a long line some characters around the place, control characters as their
//! pictures.

use std::ops::Range;

/// Characters of a line that are shown at most.
const WIDEST: usize = 200;

/// Whether a text can be shown as it is.
pub fn is_plain(text: &str) -> bool {
    text.lines().take(40).all(|line| line.chars().nth(WIDEST).is_none() && !line.chars().any(is_hidden))
        && text.lines().nth(40).is_none()
}

/// The line in which `at` (bytes) begins, cut to the characters around it; and where `at` is in what is left.
pub fn excerpt(text: &str, at: Range<usize>) -> (String, Range<usize>) {
    let start = boundary(text, at.start);
    let first = text[..start].rfind('\n').map_or(0, |k| k + 1);
    let last = text[start..].find('\n').map_or(text.len(), |k| start + k);
    let before =
        text[first..start].char_indices().rev().nth(WIDEST / 2 - 1).map_or(first, |(k, _)| first + k);
    let after = text[before..last].char_indices().nth(WIDEST).map_or(last, |(k, _)| before + k);
    let end = boundary(text, at.end).clamp(start, after);
    let mut out = String::from(if before > first { "…" } else { "" });
    out += &visible(&text[before..start]);
    let from = out.len();
    out += &visible(&text[start..end]);
    let to = out.len();
    out += &visible(&text[end..after]);
    if after < last {
        out.push('…');
    }
    (out, from..to)
}

/// A text with its control characters as pictures (Unicode block 2400).
pub fn visible(text: &str) -> String {
    let picture = |c: char| match c as u32 {
        code @ 0..=0x1f => char::from_u32(0x2400 + code).unwrap_or('\u{fffd}'),
        0x7f => '␡',
        _ => '\u{fffd}',
    };
    text.chars().map(|c| if is_hidden(c) { picture(c) } else { c }).collect()
}

fn is_hidden(c: char) -> bool {
    c.is_control() && !matches!(c, '\n' | '\t')
}

/// The place itself, or the one before it where a character begins.
fn boundary(text: &str, at: usize) -> usize {
    (0..=at.min(text.len())).rev().find(|k| text.is_char_boundary(*k)).unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_line_is_cut_around_the_place() {
        let text = format!("a = 1\n{}bad{}\nz", "x+".repeat(100_000), "+é".repeat(100_000));
        let (shown, at) = excerpt(&text, 200_006..200_009);
        assert_eq!(&shown[at], "bad");
        assert!(shown.chars().count() <= WIDEST + 2, "{}", shown.len());
        assert!(shown.starts_with('…') && shown.ends_with('…'));
        let (shown, at) = excerpt(&text, 0..text.len());
        assert_eq!((shown.as_str(), at), ("a = 1", 0..5));
        let (shown, _) = excerpt(&"é".repeat(100_000), 0..200_000);
        assert_eq!(shown.chars().count(), WIDEST + 1);
    }

    #[test]
    fn control_characters_are_pictures() {
        let (shown, at) = excerpt("x\u{0}y\u{1b}[2J", 1..2);
        assert_eq!((shown.as_str(), &shown[at]), ("x␀y␛[2J", "␀"));
        assert!(
            !is_plain("x\u{0}y") && is_plain("x + y\nz\t= 1") && excerpt("", 0..0) == (String::new(), 0..0)
        );
    }
}
