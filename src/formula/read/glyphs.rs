//! The characters of a paste, made plain, each with the bytes it came from.
//!
//! Typographic minus signs, full-width and mathematical letters, entities and mark-up become the character that is
//! meant; invisible characters go. Nothing here knows what a formula is.

use super::faults::{FaultClass, Read, Span, fault};

/// A plain character and where it came from.
#[derive(Clone, Copy, Debug)]
pub struct Glyph {
    /// The character that is meant.
    pub c: char,
    /// Its bytes in the text as pasted.
    pub at: Span,
}

/// Opens a raised part, from mark-up.
pub const RAISE: char = '\u{E010}';
/// Closes a raised part.
pub const LOWER: char = '\u{E011}';
/// An invisible operator: parts two words without being a blank.
pub const SEAM: char = '\u{E012}';

/// The text as plain characters.
///
/// # Errors
/// A control character or a character lost in copying.
pub fn glyphs(text: &str) -> Read<Vec<Glyph>> {
    let mut out = Vec::with_capacity(text.len());
    let mut i = 0;
    while let Some(c) = text[i..].chars().next() {
        let mut next = i + c.len_utf8();
        let span = |to: usize| Span { from: i as u32, to: to as u32 };
        match c {
            '\\' if escaped(&text[i..]).is_some() => {
                if let Some((c, len)) = escaped(&text[i..]) {
                    next = i + len;
                    push(&mut out, c, span(next));
                }
            }
            '[' if board_tag(&text[i..]).is_some() => {
                if let Some((mark, len)) = board_tag(&text[i..]) {
                    next = i + len;
                    out.push(Glyph { c: mark, at: span(next) });
                }
            }
            // A superscript whose bytes were read in another encoding.
            'Â' if text[next..].starts_with(['²', '³', '¹', '°', '·', '½', '¼', '±', '\u{a0}']) => {}
            '&' => {
                if let Some((c, len)) = entity(&text[i..]) {
                    next = i + len;
                    push(&mut out, c, span(next));
                } else {
                    push(&mut out, '&', span(next));
                }
            }
            '<' => {
                if let Some((marks, len)) = tag(&text[i..]) {
                    next = i + len;
                    for m in marks.chars() {
                        out.push(Glyph { c: m, at: span(next) });
                    }
                } else {
                    push(&mut out, '<', span(next));
                }
            }
            '\r' => {
                if !text[next..].starts_with('\n') {
                    push(&mut out, '\n', span(next));
                }
            }
            '\n' | '\t' => push(&mut out, c, span(next)),
            '\u{b}' | '\u{c}' | '\u{85}' | '\u{2028}' | '\u{2029}' => push(&mut out, '\n', span(next)),
            '\u{fffd}' => {
                return fault(
                    FaultClass::BadCharacter,
                    span(next),
                    "a character was lost when this text was copied (U+FFFD)",
                    "type the sign that stood there",
                );
            }
            c if c.is_control() => {
                return fault(
                    FaultClass::BadCharacter,
                    span(next),
                    format!("the control character U+{:04X} is no part of a formula", c as u32),
                    "delete it: it is invisible in most programs",
                );
            }
            c => push(&mut out, c, span(next)),
        }
        i = next;
    }
    Ok(out)
}

fn push(out: &mut Vec<Glyph>, c: char, at: Span) {
    match c {
        '\u{2061}'..='\u{2064}' => out.push(Glyph { c: SEAM, at }),
        '\u{200b}'..='\u{200f}'
        | '\u{2060}'
        | '\u{2065}'..='\u{206f}'
        | '\u{feff}'
        | '\u{ad}'
        | '\u{202a}'..='\u{202e}'
        | '\u{fe00}'..='\u{fe0f}'
        | '\u{300}'..='\u{36f}' => {}
        '\u{20d7}' | '\u{20d1}' => {}
        c => out.push(Glyph { c: plain(c), at }),
    }
}

/// The plain character that a typographic one stands for.
fn plain(c: char) -> char {
    match c {
        '\u{a0}' | '\u{1680}' | '\u{2000}'..='\u{200a}' | '\u{202f}' | '\u{205f}' | '\u{3000}' => ' ',
        '−' | '–' | '—' | '‒' | '―' | '‐' | '‑' | '﹣' | '➖' | '－' => '-',
        '➕' | '＋' | '﹢' => '+',
        '∗' | '＊' | '⁎' | '﹡' | '✱' => '*',
        '⋅' | '∙' | '•' | '‧' | '･' | '・' | '⸱' | '●' => '·',
        '✕' | '✖' | '⨯' | '╳' | '⨉' => '×',
        '÷' | '∕' | '⁄' | '➗' | '／' => '/',
        '＝' | '﹦' | '≡' | '≣' => '=',
        '≃' | '≅' | '≊' => '≈',
        '∼' | '～' => '~',
        '⩽' | '≦' | '⪯' => '≤',
        '⩾' | '≧' | '⪰' => '≥',
        '∣' | '❘' | '｜' | '│' | 'ǀ' => '|',
        '∥' | '║' | '‖' => '‖',
        '“' | '”' | '„' | '«' | '»' | '″' => '"',
        '‘' | '’' | '′' | '‛' | 'ʹ' => '\'',
        '∶' | '：' | '꞉' => ':',
        '，' | '、' => ',',
        '；' => ';',
        '⟨' | '〈' | '（' | '❨' => '(',
        '⟩' | '〉' | '）' | '❩' => ')',
        '【' | '［' => '[',
        '】' | '］' => ']',
        '⟶' | '⇒' | '⟹' | '↦' | '⟼' | '➔' => '→',
        '⋯' | '‥' => '…',
        '■' | '□' | '∎' | '▪' | '◻' | '◼' => ' ',
        'î' => 'i',
        'ℝ' => 'R',
        'ĵ' => 'j',
        'ϕ' => 'φ',
        'ϑ' => 'θ',
        'ϱ' => 'ρ',
        'ϵ' => 'ε',
        'µ' => 'μ',
        'Ω' => 'Ω',
        'ℓ' => 'l',
        'ı' => 'i',
        'ℎ' => 'h',
        'ℯ' => 'e',
        '˄' | '∩' => '∧',
        '∪' => '∨',
        '‹' => '<',
        '›' => '>',
        'ˆ' | '＾' | '↑' => '^',
        '\u{ff01}'..='\u{ff5e}' => char::from_u32(c as u32 - 0xfee0).unwrap_or(c),
        '\u{1d400}'..='\u{1d7ff}' => mathematical(c as u32),
        c => c,
    }
}

/// A letter or digit of the mathematical alphabets (U+1D400 to U+1D7FF) as its plain form.
fn mathematical(code: u32) -> char {
    const GREEK: &str = "ΑΒΓΔΕΖΗΘΙΚΛΜΝΞΟΠΡθΣΤΥΦΧΨΩ∇αβγδεζηθικλμνξοπρςστυφχψω∂εθκφρπ";
    let plain = match code {
        0x1d400..=0x1d6a3 => {
            let k = (code - 0x1d400) % 52;
            char::from_u32(if k < 26 { 65 + k } else { 97 + k - 26 })
        }
        0x1d6a4 => Some('i'),
        0x1d6a5 => Some('j'),
        0x1d6a8..=0x1d7c9 => GREEK.chars().nth(((code - 0x1d6a8) % 58) as usize),
        0x1d7ce..=0x1d7ff => char::from_u32(48 + (code - 0x1d7ce) % 10),
        _ => None,
    };
    plain.or(char::from_u32(code)).unwrap_or(' ')
}

/// An entity at the start of the text: its character and its length in bytes.
fn entity(text: &str) -> Option<(char, usize)> {
    let end = text.bytes().take(12).position(|b| b == b';')?;
    let name = text.get(1..end)?;
    let c = if let Some(code) = name.strip_prefix('#') {
        let code = match code.strip_prefix(['x', 'X']) {
            Some(hex) => u32::from_str_radix(hex, 16).ok()?,
            None => code.parse().ok()?,
        };
        char::from_u32(code).filter(|c| !c.is_control())?
    } else {
        let table = [
            ("lt", '<'),
            ("gt", '>'),
            ("amp", '&'),
            ("nbsp", ' '),
            ("thinsp", ' '),
            ("ensp", ' '),
            ("emsp", ' '),
            ("minus", '-'),
            ("ndash", '-'),
            ("mdash", '-'),
            ("times", '×'),
            ("middot", '·'),
            ("sdot", '·'),
            ("divide", '/'),
            ("frasl", '/'),
            ("sup1", '¹'),
            ("sup2", '²'),
            ("sup3", '³'),
            ("frac12", '½'),
            ("frac14", '¼'),
            ("frac34", '¾'),
            ("radic", '√'),
            ("le", '≤'),
            ("ge", '≥'),
            ("ne", '≠'),
            ("quot", '"'),
            ("apos", '\''),
            ("plus", '+'),
            ("equals", '='),
            ("isin", '∈'),
            ("deg", '°'),
            ("it", SEAM),
            ("InvisibleTimes", SEAM),
            ("ApplyFunction", SEAM),
            ("shy", '\u{ad}'),
            ("zwnj", '\u{200c}'),
        ];
        match table.iter().find(|(n, _)| *n == name) {
            Some((_, c)) => *c,
            None => super::names::greek_letter(name)?,
        }
    };
    Some((c, end + 1))
}

/// A character written out as `\u00b2`, or an end of line as `\n` that no letter follows, and its length in bytes.
fn escaped(text: &str) -> Option<(char, usize)> {
    if let Some(hex) = text.strip_prefix("\\u").and_then(|t| t.get(..4)) {
        let code = u32::from_str_radix(hex, 16).ok()?;
        return char::from_u32(code).filter(|c| !c.is_control()).map(|c| (c, 6));
    }
    let after = text.strip_prefix("\\n")?;
    (!after.starts_with(|c: char| c.is_alphabetic())).then_some(('\n', 2))
}

/// A tag of message boards at the start of the text, `[sup]`, and its length in bytes.
fn board_tag(text: &str) -> Option<(char, usize)> {
    let tags = [
        ("[sup]", RAISE),
        ("[/sup]", LOWER),
        ("[i]", SEAM),
        ("[/i]", SEAM),
        ("[b]", SEAM),
        ("[/b]", SEAM),
        ("[tex]", '\n'),
        ("[/tex]", '\n'),
        ("[math]", '\n'),
        ("[/math]", '\n'),
        ("[latex]", '\n'),
        ("[/latex]", '\n'),
        ("[code]", '\n'),
        ("[/code]", '\n'),
    ];
    let (tag, mark) = tags.iter().find(|(tag, _)| text.starts_with(tag))?;
    let paired = tag.len() > 3 || text.contains("[/");
    paired.then_some((*mark, tag.len()))
}

/// A mark-up tag at the start of the text: what it stands for and its length in bytes.
fn tag(text: &str) -> Option<(&'static str, usize)> {
    let body = &text[1..];
    let closing = body.starts_with('/');
    let body = body.strip_prefix('/').unwrap_or(body);
    let name_len = body.bytes().take_while(u8::is_ascii_alphanumeric).count();
    let name = body[..name_len].to_ascii_lowercase();
    let rest = &body[name_len..];
    if !(rest.starts_with(['>', '/', ' '])) {
        return None;
    }
    let end = rest.bytes().take(400).position(|b| b == b'>')?;
    if !closing
        && end > 0
        && !rest[..end].contains('=')
        && !rest[..end].trim().is_empty()
        && rest[..end].trim() != "/"
    {
        return None;
    }
    let len = text.len() - rest.len() + end + 1;
    let marks = match (name.as_str(), closing) {
        ("sup", false) => "\u{E010}",
        ("sup", true) => "\u{E011}",
        ("sub", false) => "_{",
        ("sub", true) => "}",
        ("br" | "p" | "div" | "li" | "tr" | "pre" | "h1" | "h2" | "h3", _) => "\n",
        (
            "i" | "b" | "em" | "strong" | "var" | "span" | "math" | "code" | "font" | "u" | "tt" | "a" | "td",
            _,
        ) => "\u{E012}",
        ("ul" | "ol" | "table" | "tbody" | "html" | "body" | "semantics", _) => " ",
        _ => return None,
    };
    Some((marks, len))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plainly(text: &str) -> String {
        glyphs(text).unwrap().iter().map(|g| g.c).collect()
    }

    #[test]
    fn typographic_signs_become_plain() {
        assert_eq!(plainly("−ｘ＋𝑦·𝟐"), "-x+y·2");
        assert_eq!(plainly("x&sup2; &minus; &theta; &#8722;1"), "x² - θ -1");
        assert_eq!(plainly("x<sup>2</sup>"), "x\u{E010}2\u{E011}");
        assert_eq!(plainly("x<y>z a&b"), "x<y>z a&b");
        assert_eq!(plainly("a\u{200b}b\u{ad}c\u{a0}d"), "abc d");
    }

    #[test]
    fn places_are_those_of_the_paste() {
        let g = glyphs("é&lt;<sup>2").unwrap();
        assert_eq!(g[1].at, Span { from: 2, to: 6 });
        assert_eq!(g[2].at, Span { from: 6, to: 11 });
    }

    #[test]
    fn control_characters_are_faults() {
        assert_eq!(glyphs("x\u{0}").unwrap_err().class, FaultClass::BadCharacter);
    }
}
