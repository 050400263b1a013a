//! How a cut starts and ends, and what holds a piece in its sheet: arcs that lead in from the waste and out to it, and tabs,
//! which are stretches left uncut. Lengths are mm.

use std::collections::BTreeSet;
use std::f64::consts::PI;

use super::super::near::Locator;
use super::super::path::Path;
use super::super::segment::Segment;
use crate::base::Vec2;

/// Uncut stretches of thin and of thick sheet, and from which thickness on it is thick: common practice (0.5 to 1 mm; 2 to 3
/// in thick board).
const TAB: (f64, f64) = (0.5, 1.0);
const THICK_TAB: f64 = 2.0;
const THICK: f64 = 2.0;
/// A loop shorter than so many tabs in a row has none.
const SHORTEST: f64 = 4.0;
/// Places that are tried for a lead, and how much smaller it gets where it finds no room.
const TRIED: usize = 16;
const SMALLER: [f64; 3] = [1.0, 0.5, 0.25];
/// A lead keeps this part of the distance that it would have from a straight cut.
const CLEAR: f64 = 0.8;

/// Width of a tab in a sheet of some thickness.
pub(super) fn tab_width(thickness: f64) -> f64 {
    if thickness > THICK { THICK_TAB } else { thickness.clamp(TAB.0, TAB.1) }
}

/// The loops round regions and holes, known again by where they start.
pub(super) struct Loops(BTreeSet<[u64; 3]>);

impl Loops {
    pub(super) fn new(loops: &[Path]) -> Self {
        Self(loops.iter().map(mark).collect())
    }

    pub(super) fn hold(&self, path: &Path) -> bool {
        path.closed && self.0.contains(&mark(path))
    }
}

fn mark(path: &Path) -> [u64; 3] {
    [path.start().x.to_bits(), path.start().y.to_bits(), path.pieces.len() as u64]
}

/// The part of a path between two places, counted in mm from its start; of a loop, past its start too.
fn stretch(path: &Path, from: f64, to: f64) -> Path {
    let whole = path.length();
    let mut pieces = Vec::new();
    let mut at = 0.0;
    let rounds = if path.closed && whole > 0.0 { (to / whole).ceil().max(1.0) as usize } else { 1 };
    for piece in (0..rounds).flat_map(|_| &path.pieces) {
        let long = piece.length();
        let (a, b) = (((from - at) / long).clamp(0.0, 1.0), ((to - at) / long).clamp(0.0, 1.0));
        if long > 0.0 && b - a > 1e-12 {
            pieces.push(piece.part(a, b));
        }
        at += long;
    }
    Path { pieces, closed: false }
}

/// The stretches that are cut of a loop held by tabs of `width`, spread along it, on its straight pieces where it has some.
pub(super) fn tabbed(path: &Path, count: usize, width: f64) -> Vec<Path> {
    let whole = path.length();
    if count == 0 || whole < SHORTEST * width * count as f64 {
        return vec![path.clone()];
    }
    let share = whole / count as f64;
    let mut ends = Vec::with_capacity(path.pieces.len() + 1);
    ends.push(0.0);
    path.pieces.iter().for_each(|s| ends.push(ends[ends.len() - 1] + s.length()));
    let place = |k: usize| {
        let (low, high) = (share * k as f64, share * (k + 1) as f64);
        let straight =
            path.pieces.iter().zip(ends.windows(2)).filter(|(s, _)| matches!(s, Segment::Line(..)));
        let best = straight
            .map(|(_, w)| (w[0].max(low), w[1].min(high)))
            .filter(|(a, b)| b - a > 1.5 * width)
            .max_by(|p, q| (p.1 - p.0).total_cmp(&(q.1 - q.0)));
        best.map_or(0.5 * (low + high), |(a, b)| 0.5 * (a + b))
    };
    let places: Vec<f64> = (0..count).map(place).collect();
    (0..count)
        .map(|k| {
            let next = if k + 1 < count { places[k + 1] } else { places[0] + whole };
            stretch(path, places[k] + 0.5 * width, next - 0.5 * width)
        })
        .collect()
}

/// Room for leads between the cuts of a sheet.
pub(super) struct Room {
    cuts: Locator,
    /// Places of the leads there are.
    taken: Vec<Vec2>,
    kerf: f64,
    /// Paths that found no room.
    pub(super) without: usize,
}

/// A quarter of a circle that meets a cut in its direction, on its right.
fn quarter(at: Vec2, direction: Vec2, radius: f64, before: bool) -> Segment {
    let right = -direction.left();
    let bulge = -libm::tan(PI / 8.0);
    let along = if before { -direction } else { direction };
    let end = at + (right + along) * radius;
    if before { Segment::Arc(end, at, bulge) } else { Segment::Arc(at, end, bulge) }
}

impl Room {
    pub(super) fn new(cuts: &[Path], kerf: f64) -> Self {
        Self { cuts: Locator::new(cuts), taken: Vec::new(), kerf, without: 0 }
    }

    /// True when a lead keeps away from every cut but the one that it belongs to, and from other leads.
    fn is_free(&self, lead: &Segment, radius: f64, before: bool) -> bool {
        [30.0, 60.0, 90.0_f64].iter().all(|degrees| {
            let part = degrees / 90.0;
            let p = lead.at(if before { 1.0 - part } else { part });
            let away = radius * (1.0 - libm::cos(degrees.to_radians()));
            self.cuts.distance(p) >= CLEAR * away
                && self.taken.iter().all(|q| (*q - p).norm() > self.kerf.max(0.5 * radius))
        })
    }

    fn take(&mut self, lead: &Segment) {
        self.taken.extend([0.0, 0.5, 1.0].map(|t| lead.at(t)));
    }

    /// A loop round a region or a hole that starts in the waste beside it, on its right, and ends there; as it was where there
    /// is no room.
    pub(super) fn led(&mut self, path: &Path, radius: f64) -> Path {
        let mut order: Vec<usize> = (0..path.pieces.len()).collect();
        let rank = |i: &usize| {
            let piece = &path.pieces[*i];
            (matches!(piece, Segment::Line(..)), piece.length())
        };
        order.sort_by(|a, b| {
            let ((p, x), (q, y)) = (rank(a), rank(b));
            q.cmp(&p).then(y.total_cmp(&x)).then(a.cmp(b))
        });
        for radius in SMALLER.map(|k| k * radius) {
            for i in order.iter().take(TRIED) {
                let piece = &path.pieces[*i];
                let (at, Some(way)) = (piece.at(0.5), piece.slope(0.5).unit()) else { continue };
                let (lead, out) = (quarter(at, way, radius, true), quarter(at, way, radius, false));
                if self.is_free(&lead, radius, true) && self.is_free(&out, radius, false) {
                    self.take(&lead);
                    self.take(&out);
                    let (after, before) = (piece.part(0.5, 1.0), piece.part(0.0, 0.5));
                    let mut pieces = vec![lead, after];
                    pieces.extend(path.pieces[i + 1..].iter().chain(&path.pieces[..*i]));
                    pieces.extend([before, out]);
                    return Path { pieces, closed: false };
                }
            }
        }
        self.without += 1;
        path.clone()
    }

    /// An open stretch of a loop, led in at its start.
    pub(super) fn led_in(&mut self, path: &Path, radius: f64) -> Path {
        let Some(first) = path.pieces.first() else { return path.clone() };
        for radius in SMALLER.map(|k| k * radius) {
            let lead = quarter(first.start(), first.direction(false), radius, true);
            if self.is_free(&lead, radius, true) {
                self.take(&lead);
                let pieces = std::iter::once(lead).chain(path.pieces.iter().copied()).collect();
                return Path { pieces, closed: false };
            }
        }
        self.without += 1;
        path.clone()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square(side: f64) -> Path {
        Path::polygon(&[[0.0, 0.0], [side, 0.0], [side, side], [0.0, side]].map(Vec2::from))
    }

    #[test]
    fn tabs_are_left_on_straight_edges() {
        let parts = tabbed(&square(40.0), 4, 1.0);
        assert_eq!(parts.len(), 4);
        assert!(parts.iter().all(|p| (p.length() - 39.0).abs() < 1e-9 && p.pieces.len() == 2));
        let ring = tabbed(&Path::circle(Vec2::ZERO, 10.0), 3, 0.5);
        assert!((ring.iter().map(Path::length).sum::<f64>() - 20.0 * PI + 1.5).abs() < 1e-9);
        assert_eq!(tabbed(&square(1.0), 4, 1.0), vec![square(1.0)]);
        assert_eq!((tab_width(0.2), tab_width(0.8), tab_width(3.0)), (0.5, 0.8, 2.0));
    }

    /// Leads lie outside of an outline and inside of a hole, meet the cut in its direction, and keep away from neighbours.
    #[test]
    fn leads_start_in_the_waste() {
        for (path, outside) in [(square(40.0), true), (square(40.0).reversed(), false)] {
            let mut room = Room::new(std::slice::from_ref(&path), 0.2);
            let led = room.led(&path, 3.0);
            assert_eq!(room.without, 0);
            let holds = Locator::new(&[square(40.0)]);
            for p in [led.start(), led.end()] {
                assert_eq!(holds.holds(p), !outside, "{p:?}");
                assert!((holds.distance(p) - 3.0).abs() < 1e-9);
            }
            let turn = led.pieces[0].direction(true).cross(led.pieces[1].direction(false));
            assert!(turn.abs() < 1e-12 && (led.length() - 160.0 - 3.0 * PI).abs() < 1e-9);
        }
        // Squares 1 mm apart on all sides leave room for a smaller lead only.
        let all: Vec<Path> = [(-41.0, 0.0), (0.0, 0.0), (41.0, 0.0), (0.0, 41.0), (0.0, -41.0)]
            .map(|(x, y)| square(40.0).moved(&crate::base::Affine::shift(crate::base::Vec3::new(x, y, 0.0))))
            .to_vec();
        let mut room = Room::new(&all, 0.1);
        let led = room.led(&all[1], 1.6);
        assert!((led.length() - 160.0 - PI * 0.4).abs() < 1e-9, "{}", led.length());
        assert_eq!(room.led(&all[1], 30.0), all[1]);
        assert_eq!(room.without, 1);
    }
}
