//! SVG 1.1: width and height in mm with a viewBox of the same numbers, so that one user unit is 1 mm. The file's y runs
//! down, ours up. Metadata as Dublin Core in RDF, as the specification's chapter on metadata shows.

use std::collections::BTreeSet;

use super::super::Meta;
use super::super::text::{one_line, program, push_mm, xml};
use super::in_order;
use crate::form::flat::{Flat, Layer, Meaning, Path, Segment, regions};

/// Blank border, mm, so that lines at the edge are seen whole.
const BORDER: f64 = 1.0;
/// Width of lines, mm; readers that want hairlines set their own.
const HAIRLINE: f64 = 0.1;

/// The file.
pub(super) fn bytes(flat: &Flat, meta: &Meta) -> Vec<u8> {
    let b = flat.bounds();
    let (x, y) = (b.min.x - BORDER, -b.max.y - BORDER);
    let (wide, high) = (b.max.x - b.min.x + 2.0 * BORDER, b.max.y - b.min.y + 2.0 * BORDER);
    let mut out = String::from(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"",
    );
    push_mm(&mut out, wide);
    out += "mm\" height=\"";
    push_mm(&mut out, high);
    out += "mm\" viewBox=\"";
    numbers(&mut out, &[x, y, wide, high]);
    out += "\">\n";
    told(&mut out, meta);
    let mut names = BTreeSet::new();
    for layer in in_order(flat) {
        group(&mut out, layer, &mut names);
    }
    out += "</svg>\n";
    out.into_bytes()
}

fn told(out: &mut String, meta: &Meta) {
    if !meta.title.is_empty() {
        *out += &format!("<title>{}</title>\n", xml(&one_line(&meta.title)));
    }
    if !meta.sentence.is_empty() {
        *out += &format!("<desc>{}</desc>\n", xml(&one_line(&meta.sentence)));
    }
    *out += "<metadata><rdf:RDF xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\" xmlns:dc=\"http://purl.org/dc/elements/1.1/\">\n<rdf:Description rdf:about=\"\">\n";
    let program = program();
    for (name, text) in [
        ("title", &meta.title),
        ("creator", &meta.maker),
        ("rights", &meta.licence),
        ("description", &meta.sentence),
        ("source", &meta.script),
        ("publisher", &program),
    ] {
        if !text.trim().is_empty() {
            *out += &format!("<dc:{name}>{}</dc:{name}>\n", xml(text));
        }
    }
    *out += "</rdf:Description></rdf:RDF></metadata>\n";
}

/// How a meaning is drawn. There is no standard for colours; layers are told apart by their names.
fn style(meaning: Meaning) -> &'static str {
    match meaning {
        Meaning::Engrave => "fill=\"#8a7a66\" stroke=\"none\"",
        Meaning::Draw => "fill=\"none\" stroke=\"#2f5d8a\"",
        Meaning::Score => "fill=\"none\" stroke=\"#b07a1e\"",
        Meaning::Cut => "fill=\"none\" stroke=\"#9c2f2f\"",
    }
}

fn group(out: &mut String, layer: &Layer, names: &mut BTreeSet<String>) {
    let mut id = String::from("layer-");
    id.extend(
        layer.name.chars().map(|c| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { '-' }),
    );
    while !names.insert(id.clone()) {
        id.push('+');
    }
    let id = id.replace('+', "_");
    *out += &format!(
        "<g id=\"{id}\" data-layer=\"{}\" data-meaning=\"{}\" {} stroke-width=\"",
        xml(&layer.name),
        layer.meaning.name(),
        style(layer.meaning)
    );
    push_mm(out, HAIRLINE);
    *out += "\">\n";
    // Inner cuts first, so that a part stays held until it is done: what lies in a hole is smaller than what is round it.
    let mut all = regions(&layer.loops);
    all.sort_by(|a, b| a[0].area().total_cmp(&b[0].area()));
    for region in all {
        *out += "<path d=\"";
        region.iter().rev().for_each(|path| draw(out, path));
        *out += "\"/>\n";
    }
    // Lines of a layer for engraving have no inside to fill.
    let lines = if layer.meaning == Meaning::Engrave { " fill=\"none\" stroke=\"#8a7a66\"" } else { "" };
    for line in layer.lines.iter() {
        *out += &format!("<path{lines} d=\"");
        draw(out, line);
        *out += "\"/>\n";
    }
    *out += "</g>\n";
}

fn numbers(out: &mut String, values: &[f64]) {
    for (i, v) in values.iter().enumerate() {
        if i > 0 {
            out.push(' ');
        }
        push_mm(out, *v);
    }
}

fn draw(out: &mut String, path: &Path) {
    let start = path.start();
    out.push('M');
    numbers(out, &[start.x, -start.y]);
    let last = path.pieces.len().saturating_sub(1);
    for (i, piece) in path.pieces.iter().enumerate() {
        // An arc of half a circle is told in two: rounded ends would leave it to chance which way its middle moves.
        let halves = [piece.part(0.0, 0.5), piece.part(0.5, 1.0)];
        let wide = matches!(piece, Segment::Arc(_, _, bulge) if bulge.abs() > WIDE);
        for part in if wide { &halves[..] } else { std::slice::from_ref(piece) } {
            draw_piece(out, part, path.closed && i == last);
        }
    }
    if path.closed {
        out.push('Z');
    }
}

/// An arc with a larger bulge is told in two.
const WIDE: f64 = 0.8;

/// `ends` is true for the last piece of a loop.
fn draw_piece(out: &mut String, piece: &Segment, ends: bool) {
    match *piece {
        // The loop's end draws its last straight side.
        Segment::Line(..) if ends => {}
        Segment::Line(_, b) => {
            out.push('L');
            numbers(out, &[b.x, -b.y]);
        }
        Segment::Cubic(_, p, q, b) => {
            out.push('C');
            numbers(out, &[p.x, -p.y, q.x, -q.y, b.x, -b.y]);
        }
        Segment::Arc(_, b, bulge) => match piece.round() {
            Some(r) => {
                out.push('A');
                numbers(out, &[r.radius, r.radius]);
                // Never more than half a circle; with y down, counter-clockwise is the way of lesser angles.
                *out += if bulge > 0.0 { " 0 0 0 " } else { " 0 0 1 " };
                numbers(out, &[b.x, -b.y]);
            }
            None => {
                out.push('L');
                numbers(out, &[b.x, -b.y]);
            }
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::form::flat;

    #[test]
    fn a_disc_is_four_arcs_and_the_unit_is_the_millimetre() {
        let text = String::from_utf8(bytes(&flat::disc(10.0).unwrap(), &Meta::default())).unwrap();
        assert!(text.contains("width=\"22mm\" height=\"22mm\" viewBox=\"-11 -11 22 22\""), "{text}");
        assert!(
            text.contains(
                "d=\"M10 0A10 10 0 0 0 0 -10A10 10 0 0 0 -10 0A10 10 0 0 0 0 10A10 10 0 0 0 10 0Z\""
            ),
            "{text}"
        );
        assert!(text.contains("data-layer=\"cut\" data-meaning=\"cut\""));
    }

    #[test]
    fn texts_are_escaped() {
        let meta = Meta { title: "a < b & \"c\"".into(), maker: "x\u{1}".into(), ..Meta::default() };
        let odd = flat::disc(1.0).unwrap().on_layer("<folds>", Meaning::Score);
        let text = String::from_utf8(bytes(&odd, &meta)).unwrap();
        assert!(text.contains("<title>a &lt; b &amp; &quot;c&quot;</title>"));
        assert!(text.contains("id=\"layer--folds-\" data-layer=\"&lt;folds&gt;\" data-meaning=\"score\""));
    }
}
