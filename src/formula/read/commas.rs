//! Decimal commas: `0,5x` is half of x where a text plainly writes its numbers so.

use super::faults::{FaultClass, Read, Span, fault};
use super::functions::{Func, function};
use super::glyphs::Glyph;
use super::parse::DEEPEST;
use super::style::Style;

/// The text with points in its numbers, and the places of the commas.
///
/// A comma between digits is a decimal one where it can be nothing else: the text has no decimal point, no comma
/// without a blank after it stands anywhere else, and the bracket around it holds one argument, or parts its
/// arguments by `;` or by a comma and a blank. `(1,2)`, `max(1,2)` and `[0,5]` stay lists.
pub fn decimal(glyphs: Vec<Glyph>, style: Style) -> (Vec<Glyph>, Vec<Span>) {
    let mut glyphs = if style.tex { unbraced_points(glyphs) } else { glyphs };
    if style.code || style.square {
        return (glyphs, Vec::new());
    }
    let at = |i: usize| glyphs.get(i).map_or('\0', |g| g.c);
    let digit = |i: usize| at(i).is_ascii_digit();
    let mut commas = Vec::new();
    let mut open: Vec<usize> = Vec::new();
    for i in 0..glyphs.len() {
        match at(i) {
            // Brackets deeper than any formula has are refused later.
            '(' | '[' if open.len() > DEEPEST => return (glyphs, Vec::new()),
            '(' | '[' => open.push(i),
            '{' if opens_arguments(&glyphs, i) => open.push(i),
            ')' | ']' => {
                open.pop();
            }
            '}' if open.last().is_some_and(|o| glyphs[*o].c == '{') => {
                open.pop();
            }
            '.' if i > 0 && digit(i - 1) && digit(i + 1) => return (glyphs, Vec::new()),
            ',' if braced(&glyphs, i) => commas.push((i, open.last().copied())),
            ',' if parts_conditions(&glyphs, i) => {}
            ',' if i > 0 && digit(i - 1) && digit(i + 1) => {
                commas.push((i, open.last().copied()));
            }
            ',' if !(at(i + 1).is_whitespace() || matches!(at(i + 1), '\0' | '\\' | '$' | '}')) => {
                return (glyphs, Vec::new());
            }
            _ => {}
        }
    }
    // Two commas in one number, or three digits after the comma alone, may part thousands or list whole numbers.
    let run = |i: usize| (i..).take_while(|k| digit(*k)).count();
    let chained = commas.iter().any(|(i, _)| at(i + 1 + run(i + 1)) == ',' && digit(i + 2 + run(i + 1)));
    let leading_zero = |i: usize| at(i - 1) == '0' && (i < 2 || !digit(i - 2));
    let thousands = commas.iter().all(|(i, _)| run(i + 1) == 3 && !leading_zero(*i));
    if commas.is_empty() || chained || thousands || !commas.iter().all(|(i, o)| sole(&glyphs, *i, *o)) {
        return (glyphs, Vec::new());
    }
    let mut places = Vec::new();
    for (i, bracket) in commas.iter().rev() {
        if let Some(open) = *bracket {
            semicolons(&mut glyphs, open);
        }
        glyphs[*i].c = '.';
        places.push(glyphs[i - 1].at.join(glyphs[i + 1].at));
        if glyphs[i - 1].c == '{' {
            glyphs.remove(i + 1);
            glyphs.remove(i - 1);
        }
    }
    places.reverse();
    (glyphs, places)
}

/// Refuses `1,000x + y = z`: whether the comma parts thousands or is a decimal one cannot be told.
pub fn thousands(glyphs: &[Glyph], style: Style) -> Read<()> {
    if style.code || style.square {
        return Ok(());
    }
    let digit = |i: usize| glyphs.get(i).is_some_and(|g| g.c.is_ascii_digit());
    let (mut depth, mut i) = (0, 0);
    while i < glyphs.len() {
        match glyphs[i].c {
            '(' | '[' | '{' => depth += 1,
            ')' | ']' | '}' => depth -= 1,
            _ => {}
        }
        let run = (i..).take_while(|k| digit(*k)).count();
        let groups = (0..).take_while(|g| {
            let comma = i + run + 4 * g;
            let grouped = glyphs.get(comma).is_some_and(|c| c.c == ',') && (1..4).all(|k| digit(comma + k));
            grouped && !digit(comma + 4)
        });
        let end = i + run + 4 * groups.count();
        let whole = (1..4).contains(&run) && glyphs[i].c != '0' && glyphs.get(end).is_none_or(|g| g.c != ',');
        if depth == 0 && end > i + run && whole && !listed(&glyphs[..i]) {
            let shown: String = glyphs[i..end].iter().map(|g| g.c).collect();
            return fault(
                FaultClass::Unexpected,
                glyphs[i].at.join(glyphs[end - 1].at),
                format!("{shown} may be a number with its thousands parted or with a decimal comma"),
                format!("write {}, or a decimal point", shown.replace(',', "")),
            );
        }
        i = end.max(i + 1);
    }
    Ok(())
}

/// Whether a number behind these signs begins or goes on with a list: `n = 100,200`, `t ∈ 0,100`.
fn listed(before: &[Glyph]) -> bool {
    let text: String = before.iter().map(|g| g.c).collect();
    let text = text.trim_end();
    let Some(left) = text.strip_suffix('=') else {
        return text.ends_with([',', '.', '∈']) || text.ends_with("in");
    };
    let left = left.rsplit([',', ';', '\n']).next().unwrap_or_default().trim();
    let name = left.rsplit(' ').next().unwrap_or_default();
    name.chars().all(|c| c.is_alphabetic() || c == '_')
        && !matches!(name, "x" | "y" | "z")
        && !left.contains(['+', '-', '*', '^'])
}

/// Whether the comma at `i` parts conditions, `0<x<1,0<y<1`: a comparison ends in the number before it and another begins
/// with the number behind it, or a whole range stands there.
fn parts_conditions(glyphs: &[Glyph], i: usize) -> bool {
    let compares = |c: &char| matches!(c, '<' | '>' | '=' | '≤' | '≥');
    let blank = |c: &char| c.is_whitespace();
    let before: Vec<char> =
        glyphs[..i].iter().rev().map(|g| g.c).take_while(|c| !",;\n".contains(*c)).collect();
    let after: Vec<char> = glyphs[i + 1..].iter().map(|g| g.c).take_while(|c| !",;\n".contains(*c)).collect();
    let number = |c: &char| c.is_ascii_digit() || *c == '.';
    let mut left = before.iter().skip_while(|c| number(c)).skip_while(|c| blank(c) || **c == '-');
    let mut right = after.iter().skip_while(|c| number(c)).skip_while(|c| blank(c));
    let begins = right.next().is_some_and(|c| matches!(c, '<' | '>' | '≤' | '≥'));
    let goes_on =
        right.skip_while(|c| compares(c) || blank(c)).skip_while(|c| c.is_alphanumeric() || blank(c));
    let range = goes_on.take(1).any(compares) && before.iter().any(compares);
    begins && (left.next().is_some_and(compares) || range)
}

/// `0{.}2` as `0.2`: braces around a decimal point only set it closer.
fn unbraced_points(mut glyphs: Vec<Glyph>) -> Vec<Glyph> {
    let mut i = 2;
    while i + 2 < glyphs.len() {
        let at = |k: usize| glyphs[k].c;
        let point = at(i) == '.' && at(i - 1) == '{' && at(i + 1) == '}';
        if point && at(i - 2).is_ascii_digit() && at(i + 2).is_ascii_digit() {
            glyphs.remove(i + 1);
            glyphs.remove(i - 1);
        }
        i += 1;
    }
    glyphs
}

/// `{,}` between digits, as TeX writes a decimal comma.
fn braced(glyphs: &[Glyph], i: usize) -> bool {
    let at = |k: usize| glyphs.get(k).map_or('\0', |g| g.c);
    i > 1 && at(i - 1) == '{' && at(i + 1) == '}' && at(i - 2).is_ascii_digit() && at(i + 2).is_ascii_digit()
}

/// Whether a brace is a bracket that is seen, `\{`, or holds the arguments of a function with several, `max{x, y}`.
fn opens_arguments(glyphs: &[Glyph], open: usize) -> bool {
    let seen = open > 0 && glyphs[open - 1].c == '\\';
    let several = |w: &str| matches!(function(w), Some(Func::Least | Func::Greatest));
    seen || several(&word_before(glyphs, open))
}

/// The word that stands before a bracket: blanks, `\left` and the end of `\operatorname{…}` between them do not count.
fn word_before(glyphs: &[Glyph], open: usize) -> String {
    let at = |k: usize| glyphs[k].c;
    let skip_back = |mut to: usize, fits: &dyn Fn(char) -> bool| {
        while to > 0 && fits(at(to - 1)) {
            to -= 1;
        }
        to
    };
    let blank = |c: char| c.is_whitespace() || matches!(c, '\\' | '~');
    let letter = |c: char| c.is_ascii_alphanumeric();
    let read = |to: usize| {
        let from = skip_back(to, &letter);
        (from, glyphs[from..to].iter().map(|g| g.c).collect::<String>())
    };
    let mut to = skip_back(open, &blank);
    let (from, word) = read(to);
    if word == "left" && from > 0 && at(from - 1) == '\\' {
        to = skip_back(from, &blank);
    }
    if to > 0 && at(to - 1) == '}' {
        to -= 1;
    }
    read(to).1
}

/// What a bracket holds, from after its opening sign on.
fn held(glyphs: &[Glyph], open: usize) -> &[Glyph] {
    let mut depth = 0;
    for (k, g) in glyphs.iter().enumerate().skip(open) {
        match g.c {
            '(' | '[' | '{' => depth += 1,
            ')' | ']' | '}' => depth -= 1,
            _ => {}
        }
        if depth == 0 {
            return &glyphs[open + 1..k];
        }
    }
    &glyphs[(open + 1).min(glyphs.len())..]
}

/// Whether the comma at `i` in a bracket cannot part arguments.
fn sole(glyphs: &[Glyph], i: usize, open: Option<usize>) -> bool {
    let Some(open) = open else {
        // Outside brackets a comma may part values, as in `a, b = 1,5`.
        let before = glyphs[..i].iter().rev().take_while(|g| g.c != '\n' && g.c != ';');
        let named: Vec<char> = before.map(|g| g.c).collect();
        let equals = named.iter().position(|c| *c == '=');
        return braced(glyphs, i) || equals.is_none_or(|e| !left_list(&named[e + 1..]));
    };
    if glyphs[open].c == '[' {
        return false;
    }
    let inside = held(glyphs, open);
    let parted = inside.windows(2).any(|w| w[0].c == ',' && w[1].c.is_whitespace())
        || inside.iter().any(|g| g.c == ';');
    let only_numbers = inside.iter().all(|g| g.c.is_ascii_digit() || g.c == ',' || g.c.is_whitespace());
    let word = word_before(glyphs, open);
    if function(&word).is_none() && is_point(inside) {
        return false;
    }
    let one =
        matches!(function(&word), Some(Func::One(_) | Func::Inverse(_) | Func::OfInverse(_) | Func::Log));
    parted || one || (function(&word).is_none() && !only_numbers)
}

/// Whether the commas of a bracket, all of them taken as parting, make a point of three coordinates: `(t, 0,1)`.
fn is_point(inside: &[Glyph]) -> bool {
    let mut depth = 0;
    let mut commas = 0;
    for g in inside {
        match g.c {
            '(' | '[' | '{' => depth += 1,
            ')' | ']' | '}' => depth -= 1,
            ',' if depth == 0 => commas += 1,
            ';' if depth == 0 => return false,
            _ => {}
        }
    }
    commas == 2
}

/// Whether a left side, read backwards, lists names: `b ,a`.
fn left_list(backwards: &[char]) -> bool {
    let names = backwards.iter().take_while(|c| c.is_alphabetic() || **c == ',' || c.is_whitespace());
    names.filter(|c| **c == ',').count() > 0
        && backwards.iter().all(|c| c.is_alphabetic() || *c == ',' || c.is_whitespace())
}

/// Arguments parted by `;` are parted by `,`.
fn semicolons(glyphs: &mut [Glyph], open: usize) {
    let mut depth = 0;
    for g in glyphs.iter_mut().skip(open) {
        match g.c {
            '(' => depth += 1,
            ')' => depth -= 1,
            ';' if depth == 1 => g.c = ',',
            _ => {}
        }
        if depth == 0 {
            return;
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::formula::read;

    fn normal(text: &str) -> (String, usize) {
        let r = read(text).unwrap_or_else(|f| panic!("{text}: {f}"));
        (r.normal, r.remarks.len())
    }

    #[test]
    fn a_comma_in_a_number_is_a_point_and_said_so() {
        for (comma, point) in [
            ("0,5x + y = z", "0.5x + y = z"),
            ("0,5x² + 0,25y² − z = 1,5", "0.5x² + 0.25y² − z = 1.5"),
            ("x^2 + y^2 + 0,3 z^2 < 1", "x^2 + y^2 + 0.3 z^2 < 1"),
            ("3,14159 x = y", "3.14159 x = y"),
            ("cos(1,5x) + cos(1,5y) + cos(1,5z) = 0", "cos(1.5x) + cos(1.5y) + cos(1.5z) = 0"),
            ("max(0,5; x) - y", "max(0.5, x) - y"),
            ("max(0,5x, y) = z", "max(0.5x, y) = z"),
            ("a x^2 + y = z, a = 1,5", "a x^2 + y = z, a = 1.5"),
            ("(0,5x + 1)(y - 2,5) = z", "(0.5x + 1)(y - 2.5) = z"),
            ("$0{,}5 x + y = z$", "$0.5 x + y = z$"),
            ("(cos t, sin t, 0,5t)", "(cos t, sin t, 0.5t)"),
        ] {
            let ((a, more), (b, _)) = (normal(comma), normal(point));
            assert_eq!(a, b, "{comma}");
            assert!(more >= 1, "{comma}: not said");
        }
    }

    #[test]
    fn commas_between_conditions_part_them() {
        for (packed, spaced) in [
            ("0<x<1,0<y<1,0<z<1", "0 < x < 1, 0 < y < 1, 0 < z < 1"),
            ("0<=x<=1,0<=y<=1,0<=z<=1", "0 <= x <= 1, 0 <= y <= 1, 0 <= z <= 1"),
            ("x^2+y^2<1,0<z<1", "x^2 + y^2 < 1, 0 < z < 1"),
            ("x>-1,0<y<1", "x > -1, 0 < y < 1"),
            ("x<2*3,0<y<1", "x < 2*3, 0 < y < 1"),
            ("0<z<1,5", "0 < z < 1.5"),
            ("0,5x + y = z", "0.5x + y = z"),
        ] {
            assert_eq!(normal(packed).0, normal(spaced).0, "{packed}");
        }
        let r = read("z = x*y, 0<=x<=1,0<=y<=1").unwrap();
        assert_eq!(r.limits, [("x".to_owned(), 0.0, 1.0), ("y".to_owned(), 0.0, 1.0)]);
    }

    #[test]
    fn lists_stay_lists() {
        for (text, same) in [
            ("max(1,2) x = y", "2x = y"),
            ("z = a x + b y, a=1, b=2", "z = 1x + 2y"),
            ("max(x,y,0) = z", "max(x, y, 0) = z"),
        ] {
            assert_eq!(normal(text).0.replace(' ', ""), normal(same).0.replace(' ', ""), "{text}");
        }
    }
}
