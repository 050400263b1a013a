//! Lines cut by the boundary of a region.

use super::near::Locator;
use super::path::Path;
use super::segment::Segment;
use crate::base::Vec2;

/// How far a straight stand-in may lie from its piece while crossings are looked for, as a part of the piece's extent.
const CHORD: f64 = 1e-4;

/// The parts of lines inside a region, or outside it.
pub(super) fn clipped(lines: &[Path], region: &Locator, inside: bool) -> Vec<Path> {
    let mut out: Vec<Path> = Vec::new();
    for line in lines {
        let mut open: Option<Vec<Segment>> = None;
        for piece in &line.pieces {
            let mut from = 0.0;
            for to in crossings(piece, region).into_iter().chain([1.0]) {
                if region.holds(piece.at(0.5 * (from + to))) == inside {
                    open.get_or_insert_default().push(piece.part(from, to));
                } else if let Some(pieces) = open.take() {
                    out.push(Path { pieces, closed: false });
                }
                from = to;
            }
        }
        if let Some(pieces) = open {
            out.push(Path { pieces, closed: false });
        }
        close_up(line, &mut out);
    }
    out
}

/// A loop that was not cut stays one; one that was cut elsewhere than at its start is joined there.
fn close_up(line: &Path, out: &mut Vec<Path>) {
    let Some(last) = out.len().checked_sub(1).filter(|_| line.closed) else { return };
    if out[last].pieces.len() == line.pieces.len()
        && out[last].end() == line.start()
        && out[last].start() == line.start()
    {
        out[last].closed = true;
        return;
    }
    let first = out.iter().position(|p| p.start() == line.start());
    if let Some(first) = first.filter(|f| *f != last && out[last].end() == line.end()) {
        let tail = out.pop().map_or(Vec::new(), |p| p.pieces);
        out[first].pieces.splice(0..0, tail);
    }
}

/// The places, inside (0, 1) and in order, where a piece meets the boundary.
fn crossings(piece: &Segment, region: &Locator) -> Vec<f64> {
    let (low, high) = piece.bounds();
    let mut found = Vec::new();
    for other in region.pieces_in(low, high) {
        meetings(piece, &other, &mut found);
    }
    found.retain(|t| *t > 1e-9 && *t < 1.0 - 1e-9);
    found.sort_by(f64::total_cmp);
    found.dedup_by(|a, b| *a - *b < 1e-9);
    found
}

fn meetings(a: &Segment, b: &Segment, out: &mut Vec<f64>) {
    let chords = |s: &Segment| {
        let (low, high) = s.bounds();
        let count = s.pieces(CHORD * (high - low).norm().max(f64::MIN_POSITIVE));
        let at = move |i: usize| i as f64 / count as f64;
        (0..count).map(move |i| (at(i), at(i + 1))).collect::<Vec<_>>()
    };
    let others: Vec<_> = chords(b).into_iter().map(|(u, v)| (u, v, b.at(u), b.at(v))).collect();
    for (s, t) in chords(a) {
        let (p, q) = (a.at(s), a.at(t));
        for (u, v, r, w) in &others {
            if let Some((x, y)) = meet(p, q, *r, *w) {
                out.push(refined(a, b, s + (t - s) * x, u + (v - u) * y));
            }
        }
    }
}

/// Where two straight pieces meet, as parts of each.
pub(super) fn meet(a: Vec2, b: Vec2, c: Vec2, d: Vec2) -> Option<(f64, f64)> {
    let (u, v, gap) = (b - a, d - c, c - a);
    let det = u.cross(v);
    if det.abs() <= 1e-14 * u.norm() * v.norm() {
        return None;
    }
    let (x, y) = (gap.cross(v) / det, gap.cross(u) / det);
    let unit = -1e-9..=1.0 + 1e-9;
    (unit.contains(&x) && unit.contains(&y)).then_some((x, y))
}

/// Newton's method on the true pieces: where the first meets the second.
pub(super) fn refined(a: &Segment, b: &Segment, t: f64, u: f64) -> f64 {
    let (mut s, mut v) = (t, u);
    for _ in 0..8 {
        let (gap, da, db) = (b.at(v) - a.at(s), a.slope(s), b.slope(v));
        let det = da.cross(db);
        if det.abs() <= 1e-9 * da.norm() * db.norm() {
            return t;
        }
        (s, v) = (s + gap.cross(db) / det, v + gap.cross(da) / det);
    }
    if (s - t).abs() < 0.05 { s } else { t }
}
