//! What is added for the machine and for whoever stands beside it: numbers, registration marks, weeding lines, dashes.

use std::sync::Arc;

use super::super::lines::clipped;
use super::super::near::Locator;
use super::super::parallel::{Corners, outset};
use super::super::path::{Path, bounds};
use super::super::segment::Segment;
use super::super::{Flat, Layer, Meaning, letters};
use crate::base::{Affine, Box3, Vec2, Vec3};

/// Largest and smallest height of a number, mm.
const HEIGHT: (f64, f64) = (6.0, 2.0);
/// Arm of a registration mark, and its distance from the work, mm.
const ARM: f64 = 4.0;
const AWAY: f64 = 8.0;
/// Dash and gap of a perforated fold, mm: two to one, common practice.
const DASH: (f64, f64) = (2.0, 1.0);
/// Between cross cuts through waste, and how far they keep from the work, mm.
const CROSS: f64 = 60.0;
const CLEAR: f64 = 2.0;

fn layer(name: &str, meaning: Meaning, lines: Vec<Path>) -> Layer {
    Layer { name: name.into(), meaning, loops: Arc::new([]), lines: lines.into() }
}

/// A number in each piece, in the order given, after so many given before; and how many pieces have no room for one.
pub(super) fn numbers(pieces: &[Vec<Path>], before: usize) -> (Vec<Layer>, usize) {
    let (mut lines, mut missing) = (Vec::new(), 0);
    for (i, piece) in pieces.iter().enumerate() {
        let text = (before + i + 1).to_string();
        let (middle, radius) = roomiest(piece);
        let wide = 0.8 * text.len() as f64;
        let height = (1.7 * radius / (1.0 + wide * wide).sqrt()).min(HEIGHT.0);
        match letters(&text, height).ok().filter(|_| height >= HEIGHT.1) {
            Some(flat) => {
                let b = flat.bounds();
                let half = (b.min + b.max) * 0.5;
                let by = Affine::shift(Vec3::new(middle.x - half.x, middle.y - half.y, 0.0));
                lines.extend(flat.lines().map(|p| p.moved(&by)));
            }
            None => missing += 1,
        }
    }
    let layers = if lines.is_empty() { Vec::new() } else { vec![layer("label", Meaning::Draw, lines)] };
    (layers, missing)
}

/// About the middle of the largest disc inside a region, and its radius.
fn roomiest(piece: &[Path]) -> (Vec2, f64) {
    let locator = Locator::new(piece);
    let (low, high) = bounds(piece);
    let room = |p: Vec2| if locator.holds(p) { locator.distance(p) } else { 0.0 };
    let mut best = (low.toward(high, 0.5), 0.0);
    for i in 0..20 {
        for k in 0..20 {
            let at = |n: i32| (f64::from(n) + 0.5) / 20.0;
            let p = Vec2::new(low.x + (high.x - low.x) * at(i), low.y + (high.y - low.y) * at(k));
            let r = room(p);
            if r > best.1 * 1.000_001 {
                best = (p, r);
            }
        }
    }
    let mut step = (high - low).norm() / 40.0;
    for _ in 0..32 {
        let tries = [
            (1.0, 0.0),
            (1.0, 1.0),
            (0.0, 1.0),
            (-1.0, 1.0),
            (-1.0, 0.0),
            (-1.0, -1.0),
            (0.0, -1.0),
            (1.0, -1.0),
        ];
        let next = tries.iter().map(|(x, y)| best.0 + Vec2::new(*x, *y) * step).map(|p| (p, room(p)));
        match next.max_by(|a, b| a.1.total_cmp(&b.1)).filter(|n| n.1 > best.1) {
            Some(better) => best = better,
            None => step *= 0.5,
        }
    }
    best
}

/// Three crosses outside the work, at corners of no symmetric figure, so that a turned sheet is noticed.
pub(super) fn registration(flat: &Flat) -> Layer {
    let b = flat.bounds();
    let (low, high) = (Vec2::new(b.min.x, b.min.y), Vec2::new(b.max.x, b.max.y));
    let third = low.y + 0.62 * (high.y - low.y);
    let places =
        [low - Vec2::new(AWAY, AWAY), Vec2::new(high.x + AWAY, low.y - AWAY), Vec2::new(low.x - AWAY, third)];
    let cross = |p: Vec2| {
        let (x, y) = (Vec2::new(ARM, 0.0), Vec2::new(0.0, ARM));
        [Path::polyline(&[p - x, p + x]), Path::polyline(&[p - y, p + y])]
    };
    layer("mark", Meaning::Draw, places.into_iter().flat_map(cross).collect())
}

/// A box round the work and cuts across the waste, for taking it off in pieces.
pub(super) fn weeding(loops: &[Path], away: f64) -> Layer {
    let (low, high) = bounds(loops);
    let (low, high) = (low - Vec2::new(away, away), high + Vec2::new(away, away));
    let frame = Path::polygon(&[low, Vec2::new(high.x, low.y), high, Vec2::new(low.x, high.y)]);
    let count = ((high.y - low.y) / CROSS).floor().min(1000.0) as usize;
    let cross: Vec<Path> = (1..=count)
        .map(|i| {
            let y = low.y + (high.y - low.y) * i as f64 / (count + 1) as f64;
            Path::polyline(&[Vec2::new(low.x, y), Vec2::new(high.x, y)])
        })
        .collect();
    // Only the waste round the work: a cut across a hole would free its middle.
    let outside: Vec<Path> = loops.iter().filter(|p| p.area() > 0.0).cloned().collect();
    let clear = Locator::new(&outset(&outside, CLEAR, Corners::Round));
    let mut lines = clipped(&cross, &clear, false);
    lines.push(frame);
    layer("cut-weed", Meaning::Cut, lines)
}

/// Everything mirrored left to right within a box.
pub(super) fn mirrored(flat: &Flat, b: Box3) -> Flat {
    let over = Affine {
        rows: [Vec3::new(-1.0, 0.0, 0.0), Vec3::new(0.0, 1.0, 0.0), Vec3::new(0.0, 0.0, 1.0)],
        shift: Vec3::new(b.min.x + b.max.x, 0.0, 0.0),
    };
    flat.carried(&over)
}

/// A path as dashes, a whole number of them, with dashes at both ends.
pub(super) fn dashes(path: &Path) -> Vec<Path> {
    let total = path.length();
    let (dash, gap) = DASH;
    let count = ((total + gap) / (dash + gap)).round().max(1.0);
    let unit = total / (count * dash + (count - 1.0) * gap);
    let mut out: Vec<Path> = Vec::new();
    let mut before = 0.0;
    for piece in &path.pieces {
        let long = piece.length();
        for i in 0..count as usize {
            let from = i as f64 * (dash + gap) * unit;
            let (a, b) = ((from - before) / long, (from + dash * unit - before) / long);
            let (a, b) = (a.max(0.0), b.min(1.0));
            if long <= 0.0 || b - a <= 1e-9 {
                continue;
            }
            let part: Segment = piece.part(a, b);
            match out.last_mut().filter(|p| a == 0.0 && (p.end() - part.start()).norm() < 1e-9) {
                Some(last) => last.pieces.push(part),
                None => out.push(Path { pieces: vec![part], closed: false }),
            }
        }
        before += long;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dashes_are_two_to_one_and_start_and_end_a_fold() {
        let corner = Path::polyline(&[[0.0, 0.0], [10.0, 0.0], [10.0, 10.0]].map(Vec2::from));
        let all = dashes(&corner);
        let length: f64 = all.iter().map(Path::length).sum();
        assert_eq!(all.len(), 7);
        assert!((length - 20.0 * 14.0 / 20.0).abs() < 1e-9, "{length}");
        assert_eq!((all[0].start(), all[6].end()), (corner.start(), corner.end()));
    }

    #[test]
    fn the_roomiest_place_of_a_square_is_its_middle() {
        let square = Path::polygon(&[[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]].map(Vec2::from));
        let (at, r) = roomiest(std::slice::from_ref(&square));
        assert!((at - Vec2::new(5.0, 5.0)).norm() < 0.01 && (r - 5.0).abs() < 0.01);
        let (layers, missing) = numbers(&[vec![square.clone()], vec![Path::circle(Vec2::ZERO, 0.5)]], 0);
        assert_eq!((layers.len(), missing), (1, 1));
        // The tenth piece of all bears two figures.
        let tenth = numbers(std::slice::from_ref(&vec![square]), 9).0;
        assert!(tenth[0].lines.len() > layers[0].lines.len());
    }

    #[test]
    fn three_marks_stand_outside() {
        let flat = Flat::of_loops(vec![Path::circle(Vec2::ZERO, 20.0)]);
        let marks = registration(&flat);
        assert_eq!(marks.lines.len(), 6);
        let round = |p: &Path| p.pieces[0].at(0.5).norm() > 20.0 + ARM;
        assert!(marks.lines.iter().all(round));
    }
}
