//! A coordinate letter set as a vector, `\\mathbf{x} \\cdot \\mathbf{x} = 1`: the point (x, y, z).

use super::faults::Span;
use super::glyphs::Glyph;

const COMMANDS: &[&str] = &["vec", "mathbf", "boldsymbol", "bm", "bf", "overrightarrow", "mathbfit", "pmb"];

/// The text with its point written out in coordinates, and where it stands first. A letter is the point where it is
/// always set as a vector, is given no value and no arguments, and no coordinate stands beside it.
pub(super) fn written_out(glyphs: Vec<Glyph>) -> (Vec<Glyph>, Option<(Span, char)>) {
    let Some((letter, places)) = point(&glyphs) else { return (glyphs, None) };
    let first = glyphs[places[0].0].at.join(glyphs[places[0].1 - 1].at);
    let mut out = Vec::with_capacity(glyphs.len() + 8 * places.len());
    let mut from = 0;
    for (start, end) in places {
        match transposed(&glyphs[from..start]) && from > 0 {
            true => out.push(Glyph { c: '·', at: glyphs[from].at }),
            false => out.extend_from_slice(&glyphs[from..start]),
        }
        let at = glyphs[start].at.join(glyphs[end - 1].at);
        out.extend("(x, y, z)".chars().map(|c| Glyph { c, at }));
        from = end;
    }
    out.extend_from_slice(&glyphs[from..]);
    (out, Some((first, letter)))
}

/// Whether these signs between two vectors say that the first is a row, `x^T x`, so that the product is a number.
fn transposed(between: &[Glyph]) -> bool {
    let text: String = between.iter().map(|g| g.c).filter(|c| !c.is_whitespace()).collect();
    matches!(
        text.as_str(),
        "^T" | "^{T}" | "^\\top" | "^{\\top}" | "^\\mathsf{T}" | "^{\\mathsf{T}}" | "^\\intercal"
    )
}

/// The letter that is the point, with the first and the last place of each command that sets it.
fn point(glyphs: &[Glyph]) -> Option<(char, Vec<(usize, usize)>)> {
    let mut places = Vec::new();
    let mut letter = None;
    let mut i = 0;
    while i < glyphs.len() {
        match set_as_vector(glyphs, i) {
            Some((c, end)) if "xXrRpP".contains(c) => {
                let next = glyphs[end..].iter().map(|g| g.c).find(|c| !c.is_whitespace());
                let given = match next {
                    Some('=') => !goes_on(&glyphs[..i]),
                    Some(c) => "(:_'".contains(c),
                    None => false,
                };
                if given || letter.is_some_and(|l| l != c) {
                    return None;
                }
                letter = Some(c);
                places.push((i, end));
                i = end;
            }
            _ => i = word_end(glyphs, i),
        }
    }
    let letter = letter?;
    // Coordinates may stand beside a point of which only the length is taken.
    let measured = places.iter().all(|(start, end)| is_barred(&glyphs[..*start], &glyphs[*end..]));
    let others = if measured { "uvt" } else { "xyzXYZuvt" };
    let mut rest = glyphs.to_vec();
    for (start, end) in places.iter().rev() {
        rest.drain(*start..*end);
    }
    let mut k = 0;
    while k < rest.len() {
        let end = word_end(&rest, k);
        let other = |g: &Glyph| others.contains(g.c) || g.c == letter && !(measured && "xX".contains(letter));
        let plain = rest[k].c != '\\' && rest[k..end].iter().any(other);
        if plain {
            return None;
        }
        k = end;
    }
    Some((letter, places))
}

/// Whether bars stand on both sides.
fn is_barred(before: &[Glyph], after: &[Glyph]) -> bool {
    let text = |some: &[Glyph]| some.iter().map(|g| g.c).filter(|c| !c.is_whitespace()).collect::<String>();
    let near = 12;
    let (before, after) =
        (text(&before[before.len().saturating_sub(near)..]), text(&after[..after.len().min(near)]));
    let after = after.strip_prefix("\\right").unwrap_or(&after);
    ["|", "‖", "\\Vert", "\\lVert", "\\vert", "\\lvert"].iter().any(|b| before.ends_with(b))
        && ["|", "‖", "\\|", "\\Vert", "\\rVert", "\\vert", "\\rvert"].iter().any(|b| after.starts_with(b))
}

/// Whether a product or sum goes on behind these signs, so that the next is no left side by itself.
fn goes_on(before: &[Glyph]) -> bool {
    let text: String = before.iter().map(|g| g.c).collect();
    let text = text.trim_end();
    text.ends_with(['+', '-', '*', '|', 'T', '}'])
        || text.ends_with("\\top")
        || ["\\cdot", "\\times"].iter().any(|c| text.ends_with(c))
}

/// Where the command that begins at a place ends, or the sign.
fn word_end(glyphs: &[Glyph], i: usize) -> usize {
    if glyphs[i].c != '\\' {
        return i + 1;
    }
    let name = glyphs[i + 1..].iter().take_while(|g| g.c.is_ascii_alphabetic()).count();
    (i + 1 + name.max(1)).min(glyphs.len())
}

/// The letter that a command at a place sets as a vector, `\\vec{x}` or `\\vec x`, and where it ends.
fn set_as_vector(glyphs: &[Glyph], i: usize) -> Option<(char, usize)> {
    let end = word_end(glyphs, i);
    let name: String = glyphs[i..end].iter().skip(1).map(|g| g.c).collect();
    if glyphs[i].c != '\\' || !COMMANDS.contains(&name.as_str()) {
        return None;
    }
    let signs: Vec<usize> = (end..glyphs.len()).filter(|k| !glyphs[*k].c.is_whitespace()).take(3).collect();
    let at = |k: usize| signs.get(k).map_or('\0', |i| glyphs[*i].c);
    match (at(0), at(1), at(2)) {
        ('{', c, '}') if c.is_alphabetic() => Some((c, signs[2] + 1)),
        (c, ..) if c.is_alphabetic() => Some((c, signs[0] + 1)),
        _ => None,
    }
}
