//! Lines that lie on one another: a machine would cut them twice.

use super::super::near::Locator;
use super::super::path::Path;
use super::super::segment::Segment;
use crate::base::Vec2;

/// A stretch that was given more than once.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Doubled {
    /// Its middle, mm.
    pub place: Vec2,
    /// Its length, mm.
    pub length: f64,
}

/// The stretches of a piece, as ranges of its `t`, in which it is no further than `near` mm from another piece.
pub(super) fn covered(a: &Segment, b: &Segment, near: f64) -> Vec<(f64, f64)> {
    let mut at: Vec<f64> = (0..=8).map(|i| f64::from(i) / 8.0).collect();
    at.extend([b.start(), b.end()].map(|p| a.nearest(p).1));
    at.sort_by(f64::total_cmp);
    let close = |t: f64| b.nearest(a.at(t)).0 <= near;
    let mut found: Vec<(f64, f64)> = Vec::new();
    for w in at.windows(2).filter(|w| w[1] - w[0] > 1e-9) {
        if [0.02, 0.35, 0.65, 0.98].iter().all(|k| close(w[0] + (w[1] - w[0]) * k)) {
            match found.last_mut().filter(|last| last.1 == w[0]) {
                Some(last) => last.1 = w[1],
                None => found.push((w[0], w[1])),
            }
        }
    }
    found
}

/// Ranges joined where they meet, in order.
fn joined(mut ranges: Vec<(f64, f64)>) -> Vec<(f64, f64)> {
    ranges.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut out: Vec<(f64, f64)> = Vec::new();
    for (from, to) in ranges {
        match out.last_mut().filter(|last| from <= last.1 + 1e-9) {
            Some(last) => last.1 = last.1.max(to),
            None => out.push((from, to)),
        }
    }
    out
}

/// Paths of which each stretch is there once: what lies within `near` mm of an earlier piece is left out, and told.
pub(super) fn once(paths: &[Path], near: f64) -> (Vec<Path>, Vec<Doubled>) {
    let pieces: Vec<Segment> = paths.iter().flat_map(|p| p.pieces.iter().copied()).collect();
    let index = Locator::new(paths);
    let margin = Vec2::new(near, near);
    let (mut out, mut doubled, mut number) = (Vec::new(), Vec::new(), 0);
    for path in paths {
        let (mut kept, mut whole): (Vec<Segment>, bool) = (Vec::new(), true);
        for piece in &path.pieces {
            let (low, high) = piece.bounds();
            let earlier = index.numbers_in(low - margin, high + margin).into_iter().filter(|k| *k < number);
            let ranges = joined(earlier.flat_map(|k| covered(piece, &pieces[k], near)).collect());
            number += 1;
            let mut from = 0.0;
            for (a, b) in ranges {
                let gone = piece.part(a, b);
                if gone.length() <= 4.0 * near {
                    continue;
                }
                doubled.push(Doubled { place: gone.at(0.5), length: gone.length() });
                if a > from && piece.part(from, a).length() > near {
                    kept.push(piece.part(from, a));
                }
                (from, whole) = (b, false);
            }
            if from == 0.0 || (from < 1.0 && piece.part(from, 1.0).length() > near) {
                kept.push(if from == 0.0 { *piece } else { piece.part(from, 1.0) });
            }
        }
        if whole {
            out.push(path.clone());
        } else {
            out.extend(rows(kept, near));
        }
    }
    (out, doubled)
}

/// Pieces as open paths: a new one where the next does not start at the end of the one before.
fn rows(pieces: Vec<Segment>, near: f64) -> Vec<Path> {
    let mut out: Vec<Path> = Vec::new();
    for piece in pieces {
        match out.last_mut().filter(|p| (p.end() - piece.start()).norm() <= near) {
            Some(last) => last.pieces.push(piece),
            None => out.push(Path { pieces: vec![piece], closed: false }),
        }
    }
    // A loop may have been entered in the middle of what is left of it.
    if out.len() > 1 && (out[out.len() - 1].end() - out[0].start()).norm() <= near {
        let first = out.remove(0);
        if let Some(last) = out.last_mut() {
            last.pieces.extend(first.pieces);
        }
    }
    out
}

/// The longest stretch where two pieces run side by side nearer than `near` mm: its middle and length, and the sum of all.
pub(super) fn side_by_side(paths: &[Path], near: f64) -> Option<(Doubled, f64)> {
    let pieces: Vec<Segment> = paths.iter().flat_map(|p| p.pieces.iter().copied()).collect();
    let index = Locator::new(paths);
    let margin = Vec2::new(near, near);
    let mut best: Option<Doubled> = None;
    let mut total = 0.0;
    for (number, piece) in pieces.iter().enumerate() {
        let (low, high) = piece.bounds();
        let earlier = index.numbers_in(low - margin, high + margin).into_iter().filter(|k| *k < number);
        for (a, b) in joined(earlier.flat_map(|k| covered(piece, &pieces[k], near)).collect()) {
            let part = piece.part(a, b);
            // Two lines that leave one corner are near for a while; six times the distance is more than that.
            if part.length() > 6.0 * near {
                total += part.length();
                if best.is_none_or(|x| part.length() > x.length) {
                    best = Some(Doubled { place: part.at(0.5), length: part.length() });
                }
            }
        }
    }
    best.map(|b| (b, total))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(a: [f64; 2], b: [f64; 2]) -> Path {
        Path::polyline(&[a, b].map(Vec2::from))
    }

    #[test]
    fn overlaps_are_kept_once() {
        let square = Path::polygon(&[[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]].map(Vec2::from));
        let paths = [square, line([-5.0, 0.0], [15.0, 0.0]), line([10.0, 12.0], [10.0, 3.0])];
        let (kept, doubled) = once(&paths, 0.01);
        let length: f64 = kept.iter().map(Path::length).sum();
        assert!((length - (40.0 + 10.0 + 2.0)).abs() < 1e-9, "{length}");
        assert_eq!((kept.len(), doubled.len()), (4, 2));
        assert!(kept[0].closed);
        let sum: f64 = doubled.iter().map(|d| d.length).sum();
        assert!((sum - 17.0).abs() < 1e-9);
    }

    #[test]
    fn arcs_and_curves_are_compared_as_such() {
        let circle = Path::circle(Vec2::ZERO, 5.0);
        let quarter =
            Path { pieces: vec![Segment::arc_about(Vec2::ZERO, Vec2::new(0.0, 5.0), 1.0)], closed: false };
        let (kept, doubled) = once(&[circle.clone(), quarter.clone()], 0.01);
        assert_eq!((kept.len(), doubled.len()), (1, 1));
        assert!((doubled[0].length - 5.0).abs() < 1e-9);
        let (kept, doubled) = once(&[quarter, circle], 0.01);
        let length: f64 = kept.iter().map(Path::length).sum();
        assert!((length - 10.0 * std::f64::consts::PI).abs() < 1e-6 && doubled.len() == 1, "{length}");
    }

    #[test]
    fn near_lines_are_seen_and_crossing_ones_are_not() {
        let near = [line([0.0, 0.0], [20.0, 0.0]), line([5.0, 0.3], [18.0, 0.3])];
        let (found, total) = side_by_side(&near, 0.5).unwrap();
        assert!((found.length - 13.0).abs() < 1.1 && (total - found.length).abs() < 1e-9, "{found:?}");
        assert!(side_by_side(&[line([0.0, 0.0], [20.0, 0.0]), line([5.0, -5.0], [9.0, 5.0])], 0.5).is_none());
        assert!(side_by_side(&[Path::circle(Vec2::ZERO, 5.0)], 0.5).is_none());
    }
}
