//! Lettering for pictures: strokes of one width on a grid, a hand of our own, drawn with soft edges.
//!
//! A glyph is a few strokes parted by blanks; a stroke is a row of places, each two signs: across (0 to 8) and up
//! (0 the lowest tail, 3 the base line, 9 the height of an x, c the height of a capital, d above it). A plain stroke is
//! straight, `~` bends smoothly between its ends (a quadratic B-spline), `o` closes on itself; one place alone is a dot.

use super::picture::Picture;

/// Capital height in grid steps, base line, and the gap after a glyph.
const CAP: f32 = 9.0;
const BASE: f32 = 3.0;
const GAP: f32 = 2.6;
const BLANK: f32 = 3.2;

/// Width of the pen over the capital height.
const PEN: f32 = 0.115;

/// Shown for a sign that the hand does not have.
const UNKNOWN: &str = "03434c0c03";

#[rustfmt::skip]
fn strokes(c: char) -> &'static str {
    match c {
        'A' => "033c63 1656", 'B' => "030c ~0c3c5c583808 ~083868633303", 'C' => "~6a6c0c036365",
        'D' => "030c ~0c2c6c632303", 'E' => "5c0c0353 0848", 'F' => "5c0c03 0848",
        'G' => "~6a6c0c036367 6737", 'H' => "030c 636c 0868", 'I' => "030c", 'J' => "4c46 ~46430305",
        'K' => "030c 5c07 2953", 'L' => "0c0353", 'M' => "030c356c63", 'N' => "030c636c", 'O' => "o03636c0c",
        'P' => "030c ~0c3c6c673707", 'Q' => "o03636c0c 4562", 'R' => "030c ~0c3c6c673707 3763",
        'S' => "~6a6c0c0867630305", 'T' => "0c6c 333c", 'U' => "0c07 ~07036367 676c", 'V' => "0c336c",
        'W' => "0c234b638c", 'X' => "036c 0c63", 'Y' => "0c386c 3833", 'Z' => "0c6c0363",
        'a' => "o03535909 5953", 'b' => "0c03 o03535909", 'c' => "~575909035355", 'd' => "5c53 o03535909",
        'e' => "0656 ~565909035354", 'f' => "~3c1c1a 1a13 0939", 'g' => "o03535909 5952 ~52500001",
        'h' => "0c03 ~06095956 5653", 'i' => "0903 0b", 'j' => "2b 2922 ~222000", 'k' => "0c03 4905 1643",
        'l' => "0c05 ~050323", 'm' => "0903 ~06094946 4643 ~46498986 8683", 'n' => "0903 ~06095956 5653",
        'o' => "o03535909", 'p' => "0900 o03535909", 'q' => "5950 o03535909", 'r' => "0903 ~060939",
        's' => "~4849090646430304", 't' => "1b15 ~151333 0939", 'u' => "0906 ~06035356 5953", 'v' => "092349",
        'w' => "0923496389", 'x' => "0349 0943", 'y' => "0923 4910", 'z' => "09490343",
        '0' => "o03535c0c", '1' => "0a2c23", '2' => "~0a0c5c5803 0353", '3' => "~0a0c5c5828 ~2858530305",
        '4' => "434c0656", '5' => "5c0c08 ~081959530304", '6' => "o03535909 ~060b4c", '7' => "0c5c23",
        '8' => "o08585c0c o03535808", '9' => "o06565c0c ~595313",
        '.' => "03", ',' => "0301", ':' => "03 08", ';' => "0301 08", '!' => "0c06 03", '?' => "~0a0c4c482725 23",
        '-' => "0747", '+' => "0747 2529", '=' => "0646 0848", '/' => "024d", '\\' => "0d42",
        '(' => "~2d0a0522", ')' => "~0d2a2502", '[' => "2d0d0222", ']' => "0d2d2202",
        '{' => "~3d1d1907 ~07151232", '}' => "~0d2d2937 ~37252202", '<' => "4a0744", '>' => "0a4704",
        '^' => "092c49", '_' => "0252", '*' => "292d 0a4c 0c4a", '#' => "1b13 3b33 0949 0545",
        '%' => "034c o0a2a2c0c o23434525", '&' => "631a ~1a1c4c4a17 ~170503436367",
        '@' => "o25454929 ~494565 ~656c0c026262", '\'' | '’' => "0c0a", '"' => "0c0a 2c2a", '`' => "0c1b",
        '|' => "0d02", '~' => "~06184648", '$' => "~6a6c0c0867630305 3d32",
        '×' => "0549 0945", '·' => "07", '−' | '–' => "0757", '—' => "0787", '°' => "o0a2a2c0c", '…' => "03 23 43",
        'µ' | 'μ' => "0900 ~06035356 5953", '√' => "06134c7c", 'π' => "0959 1913 4943", '±' => "0848 2a26 0444",
        '≤' => "4c0946 0444", '≥' => "0c4906 0444", '≈' => "~05174547 ~08194849", '÷' => "0747 24 2a",
        'ß' => "~030c4c4927 ~27575333", 'ø' => "o03535909 0259", 'Ø' => "o03636c0c 026d", 'æ' => "o03434909 ~46498986 4686 ~46438384",
        'α' => "o03434909 ~59484453", 'β' => "000a ~0a0c4c4717 ~1747430306", 'γ' => "0923 4910",
        'θ' => "o03434c0c 0848", 'λ' => "0c43 2703", 'ρ' => "o03535909 0006", 'σ' => "o03535909 2969",
        'τ' => "0949 ~29232333", 'φ' | 'ϕ' => "o03434909 2c20", 'ψ' => "~0904040343444449 2c20",
        'ω' => "~0903233336 ~3633438389", 'Δ' => "033c6303", 'Σ' => "6c0c380363", 'Γ' => "5c0c03",
        'Φ' => "o05656a0a 333c", 'Ω' => "0323 ~230609 ~090c6c69 ~694643 4363",
        _ => UNKNOWN,
    }
}

/// A letter with a mark above or below: the letter and the mark's strokes over a capital or a small letter's middle.
#[rustfmt::skip]
fn marked(c: char) -> Option<(char, &'static str)> {
    Some(match c {
        'ä' => ('a', "1b 4b"), 'ö' => ('o', "1b 4b"), 'ü' => ('u', "1b 4b"), 'ë' => ('e', "1b 4b"),
        'Ä' => ('A', "1e 5e"), 'Ö' => ('O', "1e 5e"), 'Ü' => ('U', "1e 5e"),
        'á' => ('a', "2a4c"), 'é' => ('e', "2a4c"), 'í' => ('i', "0a2c"), 'ó' => ('o', "2a4c"), 'ú' => ('u', "2a4c"),
        'à' => ('a', "1c3a"), 'è' => ('e', "1c3a"), 'â' => ('a', "1a2c4a"), 'ê' => ('e', "1a2c4a"), 'ô' => ('o', "1a2c4a"),
        'å' => ('a', "o2a4a4c2c"), 'ñ' => ('n', "~1a2c3a4c"), 'ç' => ('c', "3321"),
        _ => return None,
    })
}

/// Small raised figures and signs.
fn raised(c: char) -> Option<char> {
    const FIGURES: &str = "⁰¹²³⁴⁵⁶⁷⁸⁹⁺⁻";
    let place = FIGURES.chars().position(|f| f == c)?;
    "0123456789+-".chars().nth(place)
}

/// A row of places on the grid, straight from one to the next.
type Line = Vec<(f32, f32)>;

fn outline(stroke: &str) -> Line {
    let (kind, places) = match stroke.as_bytes().first() {
        Some(b'~') => ('~', &stroke[1..]),
        Some(b'o') => ('o', &stroke[1..]),
        _ => ('-', stroke),
    };
    let digits: Vec<f32> = places.chars().filter_map(|c| c.to_digit(16)).map(|d| d as f32).collect();
    let points: Line = digits.chunks_exact(2).map(|d| (d[0], d[1] - BASE)).collect();
    match kind {
        '~' => bent(&points, false),
        'o' => bent(&points, true),
        _ => points,
    }
}

/// A quadratic B-spline over control places, flattened: it passes the middles of the legs, and the ends when open.
fn bent(points: &[(f32, f32)], closed: bool) -> Line {
    let n = points.len();
    if n < 3 {
        return points.to_vec();
    }
    let middle = |a: (f32, f32), b: (f32, f32)| ((a.0 + b.0) / 2.0, (a.1 + b.1) / 2.0);
    let arcs = if closed { n } else { n - 2 };
    let mut line = Vec::new();
    for k in 0..arcs {
        let (a, b, c) = (points[k % n], points[(k + 1) % n], points[(k + 2) % n]);
        let from = if !closed && k == 0 { a } else { middle(a, b) };
        let to = if !closed && k + 1 == arcs { c } else { middle(b, c) };
        let first = usize::from(k > 0);
        for s in first..=8 {
            let t = s as f32 / 8.0;
            let mix =
                |p: f32, q: f32, r: f32| p * (1.0 - t) * (1.0 - t) + q * 2.0 * t * (1.0 - t) + r * t * t;
            line.push((mix(from.0, b.0, to.0), mix(from.1, b.1, to.1)));
        }
    }
    line
}

/// Strokes and width of a sign in grid steps; raised figures are small and high.
fn glyph(c: char) -> (Vec<Line>, f32) {
    let (text, mark, small) = match (marked(c), raised(c)) {
        (Some((base, mark)), _) => (strokes(base), mark, false),
        (None, Some(figure)) => (strokes(figure), "", true),
        _ => (strokes(c), "", false),
    };
    let mut lines: Vec<Line> =
        text.split(' ').chain(mark.split(' ')).map(outline).filter(|l| !l.is_empty()).collect();
    if small {
        for p in lines.iter_mut().flatten() {
            *p = (p.0 * 0.62, p.1 * 0.62 + 4.2);
        }
    }
    let wide = lines.iter().flatten().fold(0.0f32, |w, p| w.max(p.0));
    (lines, wide)
}

/// Width in pixels of a text of capital height `cap` pixels.
pub(super) fn width(text: &str, cap: f32) -> f32 {
    let steps: f32 = text.chars().map(|c| if c.is_whitespace() { BLANK } else { glyph(c).1 + GAP }).sum();
    (steps - GAP).max(0.0) * cap / CAP
}

/// Writes a text with its base line starting at `at`, capitals `cap` pixels high.
pub(super) fn write(picture: &mut Picture, text: &str, at: (f32, f32), cap: f32, ink: [u8; 3]) {
    let step = cap / CAP;
    let pen = (cap * PEN).max(0.9);
    let mut x = at.0;
    for c in text.chars() {
        if c.is_whitespace() {
            x += BLANK * step;
            continue;
        }
        let (lines, wide) = glyph(c);
        let placed: Vec<Line> =
            lines.iter().map(|l| l.iter().map(|p| (x + p.0 * step, at.1 - p.1 * step)).collect()).collect();
        draw(picture, &placed, pen, ink);
        x += (wide + GAP) * step;
    }
}

/// A straight line between two places, `pen` pixels wide.
pub(super) fn line(picture: &mut Picture, ends: [(f32, f32); 2], pen: f32, ink: [u8; 3]) {
    draw(picture, &[ends.to_vec()], pen, ink);
}

/// Covers each pixel by how near its middle is to the strokes; strokes that meet do not darken one another.
fn draw(picture: &mut Picture, lines: &[Line], pen: f32, ink: [u8; 3]) {
    let (mut low, mut high) = ((f32::MAX, f32::MAX), (f32::MIN, f32::MIN));
    for p in lines.iter().flatten() {
        low = (low.0.min(p.0), low.1.min(p.1));
        high = (high.0.max(p.0), high.1.max(p.1));
    }
    let (edge, end) = (pen * 0.5 + 1.0, |a: f32, most: u32| a.max(0.0).min(most as f32) as usize);
    for y in end(low.1 - edge, picture.height)..end(high.1 + edge + 1.0, picture.height) {
        for x in end(low.0 - edge, picture.width)..end(high.0 + edge + 1.0, picture.width) {
            let here = (x as f32 + 0.5, y as f32 + 0.5);
            let near = lines.iter().map(|l| distance(l, here)).fold(f32::INFINITY, f32::min);
            let share = (pen * 0.5 + 0.5 - near).clamp(0.0, 1.0).min(pen);
            if share > 0.0 {
                picture.tint(x, y, ink, share);
            }
        }
    }
}

/// Distance of a place to a row of places.
fn distance(line: &[(f32, f32)], p: (f32, f32)) -> f32 {
    let dot = |a: (f32, f32)| (a.0 * a.0 + a.1 * a.1).sqrt();
    if let [only] = line {
        // a dot is a little fatter than the pen
        return (dot((p.0 - only.0, p.1 - only.1)) - 0.35).max(0.0);
    }
    line.windows(2).fold(f32::INFINITY, |least, w| {
        let (d, e) = ((w[1].0 - w[0].0, w[1].1 - w[0].1), (p.0 - w[0].0, p.1 - w[0].1));
        let t = ((d.0 * e.0 + d.1 * e.1) / (d.0 * d.0 + d.1 * d.1).max(1e-9)).clamp(0.0, 1.0);
        least.min(dot((e.0 - d.0 * t, e.1 - d.1 * t)))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Each sign that can be typed has strokes of its own, inside the grid.
    #[test]
    fn every_typed_sign_can_be_written() {
        let mut seen = std::collections::BTreeMap::new();
        for c in ('!'..='~').chain("×−°µπ√±≤≥äöüß".chars()) {
            assert!(strokes(c) != UNKNOWN || marked(c).is_some(), "{c} is missing");
            let (lines, wide) = glyph(c);
            assert!(
                lines.iter().flatten().all(|p| (0.0..=8.0).contains(&p.0) && (-3.0..=11.0).contains(&p.1)),
                "{c}"
            );
            assert!(wide <= 8.0);
            if let Some(other) = seen.insert(format!("{lines:?}"), c) {
                panic!("{c} looks like {other}");
            }
        }
    }

    #[test]
    fn ink_stays_in_the_announced_width() {
        let mut picture = Picture::plain(200, 40, [255; 3]);
        write(&mut picture, "Mesh 20 mm", (10.0, 30.0), 14.0, [0; 3]);
        let dark: Vec<u32> = (0..200).filter(|x| (0..40).any(|y| picture.at(*x, y)[0] < 128)).collect();
        let (first, last) = (dark[0] as f32, dark[dark.len() - 1] as f32);
        assert!((first - 10.0).abs() < 2.0 && (last - 10.0 - width("Mesh 20 mm", 14.0)).abs() < 2.5);
    }
}
