//! Letters of single strokes, for labels and numbers that a pen draws or a cutter scores: lines and true arcs.
//!
//! A glyph is a few strokes parted by blanks. A stroke is a row of places on a grid (across 0 to 8, up 0 to c, each one
//! hexadecimal figure), and between two places stands how to go: `-` straight, `l` and `r` by a quarter circle turning
//! left or right, `L` and `R` by half a circle. A hand of our own.

use super::path::Path;
use super::segment::Segment;
use super::{Flat, Meaning};
use crate::base::Vec2;
use crate::form::FormFault;
use crate::form::fault::{positive, unfit};

/// Height of a capital, and the gap after a glyph, in steps of the grid.
const CAP: f64 = 12.0;
const GAP: f64 = 3.5;
const BLANK: f64 = 5.0;

#[rustfmt::skip]
fn strokes(c: char) -> Option<&'static str> {
    Some(match c {
        '0' | 'O' => "03-09R69-63R03", '1' => "09-3c-30", '2' => "09R69-00-60", '3' => "0c-6c-36r63r30r03",
        '4' => "40-4c-03-63", '5' => "6c-0c-06-36r63r30-00", '6' => "5cl07-03L63L03", '7' => "0c-6c-20",
        '8' => "36R3cR36L30L36", '9' => "10l65-69L09L69",
        'A' => "00-3c-60 14-54", 'B' => "00-0c-3cR36-06 36R30-00", 'C' => "69L09-03L63", 'D' => "00-0cr66r00",
        'E' => "6c-0c-00-60 06-56", 'F' => "6c-0c-00 06-56", 'G' => "69L09-03L63-66-36", 'H' => "00-0c 60-6c 06-66",
        'I' => "00-0c", 'J' => "6c-63R03", 'K' => "00-0c 6c-06-60", 'L' => "0c-00-60", 'M' => "00-0c-46-8c-80",
        'N' => "00-0c-60-6c", 'P' => "00-0c-3cR36-06", 'Q' => "03-09R69-63R03 42-70",
        'R' => "00-0c-3cR36-06 36-60", 'S' => "69l3cl09l36r63r30r03", 'T' => "0c-6c 3c-30", 'U' => "0c-03L63-6c",
        'V' => "0c-30-6c", 'W' => "0c-20-48-60-8c", 'X' => "00-6c 0c-60", 'Y' => "0c-36-6c 36-30", 'Z' => "0c-6c-00-60",
        '-' => "06-46", '+' => "06-66 33-39", '/' => "00-6c", '.' => "00-01", ':' => "02-03 08-09", ',' => "11-00",
        '?' => "09R69r36-33 30-31", '!' => "0c-03 00-01", ';' => "11-00 08-09", '\'' | '’' => "0c-0a",
        '"' => "0c-0a 2c-2a", '&' => "60-19R59-03L63", '#' => "20-2c 50-5c 04-74 08-78", '%' => "00-6c 0aR2aR0a 42R62R42",
        '°' => "0aR2aR0a", '_' => "00-60", '<' => "5a-06-52", '>' => "0a-56-02", '*' => "38-3c 19-5b 1b-59",
        '±' => "00-60 06-66 33-39", '·' => "06-07", '–' | '−' => "06-66",
        '(' => "3cl09-03l30", ')' => "0cr39-33r00", '×' => "03-69 09-63", '=' => "04-64 08-68",
        _ => return None,
    })
}

/// Letters with a mark, the letters that bear it, and its strokes, above a letter that is six steps wide.
const MARKS: [(&str, &str, &str); 8] = [
    ("ÁÉÍÓÚÝĆŃŚŹ", "AEIOUYCNSZ", "2d-4f"),
    ("ÀÈÌÒÙ", "AEIOU", "4d-2f"),
    ("ÂÊÎÔÛ", "AEIOU", "1d-3f-5d"),
    ("ŠČŽĚŘ", "SCZER", "1f-3d-5f"),
    ("ÄËÏÖÜŸ", "AEIOUY", "2d-2e 4d-4e"),
    ("ÃÑÕ", "ANO", "1d-2e-4d-5e"),
    ("ÅŮ", "AU", "2eR4eR2e"),
    ("Ø", "O", "00-6c"),
];

/// The strokes of a capital or another sign.
fn glyph(c: char) -> Option<String> {
    let marked = MARKS.iter().find_map(|(letters, bases, mark)| {
        let k = letters.chars().position(|l| l == c)?;
        Some((bases.chars().nth(k)?, mark))
    });
    match marked {
        // The letter that is one line stands below the middle of its mark.
        Some(('I', mark)) => Some(format!("30-3c {mark}")),
        Some((base, mark)) => Some(format!("{} {mark}", strokes(base)?)),
        None => strokes(c).map(str::to_owned),
    }
}

/// The text as lines to be drawn, its lower left corner at the origin, capitals `height` mm high, marks above
/// them a quarter more. Small letters are drawn as capitals.
///
/// # Errors
/// [`FormFault::NotPositive`]; [`FormFault::Unfit`] for a sign that the hand lacks; [`FormFault::Empty`].
pub fn letters(text: &str, height: f64) -> Result<Flat, FormFault> {
    positive("height", height)?;
    let step = height / CAP;
    let (mut pen, mut lines) = (0.0, Vec::new());
    for c in text.trim().to_uppercase().chars() {
        if c.is_whitespace() {
            pen += BLANK;
            continue;
        }
        let glyph =
            glyph(c).ok_or_else(|| unfit("text", format!("has the sign `{c}`, which has no strokes")))?;
        let mut wide: f64 = 0.0;
        for stroke in glyph.split(' ') {
            let path = path(stroke, pen, step);
            wide = wide.max(path.bounds().1.x / step - pen);
            lines.push(path);
        }
        pen += wide + GAP;
    }
    if lines.is_empty() {
        return Err(FormFault::Empty);
    }
    Ok(Flat::of_lines(lines).on_layer("label", Meaning::Draw))
}

fn path(stroke: &str, pen: f64, step: f64) -> Path {
    let signs: Vec<char> = stroke.chars().collect();
    let figure = |i: usize| f64::from(signs.get(i).and_then(|d| d.to_digit(16)).unwrap_or(0));
    let place = |i: usize| Vec2::new(pen + figure(i), figure(i + 1)) * step;
    let quarter = libm::tan(std::f64::consts::FRAC_PI_8);
    let pieces = (0..signs.len() / 3).map(|k| {
        let (a, b) = (place(3 * k), place(3 * k + 3));
        match signs[3 * k + 2] {
            'l' => Segment::Arc(a, b, quarter),
            'r' => Segment::Arc(a, b, -quarter),
            'L' => Segment::Arc(a, b, 1.0),
            'R' => Segment::Arc(a, b, -1.0),
            _ => Segment::Line(a, b),
        }
    });
    let pieces: Vec<Segment> = pieces.collect();
    let closed = pieces.len() > 1 && pieces[0].start() == pieces[pieces.len() - 1].end();
    Path { pieces, closed }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_sign_keeps_between_the_lines() {
        let marked: String = MARKS.iter().map(|(letters, ..)| *letters).collect();
        let plain = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ-+/.:,;()×=?!'’\"&#%°_<>*±·–−";
        for c in plain.chars().chain(marked.chars()) {
            let top = if marked.contains(c) { 15.0 } else { 12.0 };
            let flat = letters(&c.to_string(), 12.0).unwrap();
            let b = flat.bounds();
            assert!(b.min.x >= -1e-9 && b.max.x <= 8.0 + 1e-9, "{c} {b:?}");
            assert!(b.min.y >= -1e-9 && b.max.y <= top + 1e-9, "{c} {b:?}");
            for path in flat.lines() {
                assert!(path.pieces.windows(2).all(|w| w[0].end() == w[1].start()), "{c}");
            }
        }
    }

    #[test]
    fn texts_have_the_height_asked_for() {
        let flat = letters("tide 12", 5.0).unwrap();
        assert!((flat.bounds().size().y - 5.0).abs() < 1e-9 && flat.bounds().size().x > 20.0);
        assert!(letters("日", 5.0).is_err() && letters("  ", 5.0).is_err() && letters("a", 0.0).is_err());
    }
}
