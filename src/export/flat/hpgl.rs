//! HP-GL: the plotter's language of two coordinates. Units of 0.025 mm, whole numbers, y up, the lower left corner of the
//! work at the origin. A pen for each meaning: 1 cuts, 2 scores, 3 draws, 4 engraves. Arcs and curves are told by straight
//! pieces within 0.0125 mm, since machines disagree about arcs. Nothing else is said: many know only these commands.
//!
//! Source: the published reference of the language (IN, SP, PU, PD; 40 units to the mm).

use std::fmt::Write as _;

use super::{close_bounds, in_order};
use crate::base::Vec2;
use crate::form::flat::{Flat, Layer, Meaning, Path};

/// Units to the mm.
const UNITS: f64 = 40.0;
/// How far straight pieces may lie from a curve, mm: half a unit.
const CHORD: f64 = 0.0125;
/// The largest coordinate of the language, units.
pub(super) const LARGEST: f64 = 8_388_607.0;

fn pen(meaning: Meaning) -> u32 {
    match meaning {
        Meaning::Cut => 1,
        Meaning::Score => 2,
        Meaning::Draw => 3,
        Meaning::Engrave => 4,
    }
}

/// The file.
pub(super) fn bytes(flat: &Flat) -> Vec<u8> {
    let (low, _) = close_bounds(flat);
    let mut out = String::from("IN;");
    let mut last = 0;
    for layer in in_order(flat) {
        if pen(layer.meaning) != last {
            last = pen(layer.meaning);
            // Writing into a text cannot fail.
            let _ = write!(out, "SP{last};");
        }
        paths(layer).into_iter().for_each(|path| stroke(&mut out, path, low));
    }
    out += "PU;SP0;\n";
    out.into_bytes()
}

/// The lines of a layer as they stand, then its loops, the smallest first: what lies within is smaller.
fn paths(layer: &Layer) -> Vec<&Path> {
    let mut loops: Vec<&Path> = layer.loops.iter().collect();
    loops.sort_by(|a, b| a.area().abs().total_cmp(&b.area().abs()));
    layer.lines.iter().chain(loops).collect()
}

fn stroke(out: &mut String, path: &Path, low: Vec2) {
    let units = |p: Vec2| {
        let q = (p - low) * UNITS;
        (q.x.round() as i64, q.y.round() as i64)
    };
    let mut points: Vec<(i64, i64)> = path.points(CHORD).into_iter().map(units).collect();
    if path.closed {
        points.extend(points.first().copied());
    }
    points.dedup();
    let Some(((x, y), rest)) = points.split_first() else { return };
    let _ = write!(out, "\nPU{x},{y};PD");
    for (i, (x, y)) in rest.iter().enumerate() {
        let _ = write!(out, "{}{x},{y}", if i > 0 { "," } else { "" });
    }
    // A single place is a prick of the pen: PD without coordinates.
    out.push(';');
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::form::flat;

    /// Worked in the project's notes on making, section 8.3: 12.3 mm are 492 units.
    #[test]
    fn a_rectangle_is_four_strokes_of_whole_units() {
        let points = [[5.0, 5.0], [17.3, 5.0], [17.3, 25.0], [5.0, 25.0]].map(Vec2::from);
        let text = String::from_utf8(bytes(&flat::polygon(&points, 0.0).unwrap())).unwrap();
        assert!(text.starts_with("IN;SP1;\nPU"), "{text}");
        assert!(text.contains("492,0") && text.contains("492,800") && text.ends_with(";PU;SP0;\n"), "{text}");
    }

    #[test]
    fn circles_lie_within_a_step_of_their_place() {
        let text = String::from_utf8(bytes(&flat::disc(10.0).unwrap())).unwrap();
        let numbers: Vec<f64> = text
            .split(|c: char| !c.is_ascii_digit() && c != '-')
            .filter_map(|w| w.parse().ok())
            .skip(1)
            .collect();
        let ends = numbers.len() - 1;
        for p in numbers[..ends].chunks_exact(2) {
            let r = ((p[0] / UNITS - 10.0).powi(2) + (p[1] / UNITS - 10.0).powi(2)).sqrt();
            assert!((r - 10.0).abs() < 0.0125 * 1.5, "{r}");
        }
    }
}
