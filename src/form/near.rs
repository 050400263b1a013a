//! The nearest point of a curve, and the distance to it.
//!
//! The curve is cut into cubic pieces that agree with it in place and direction at both ends and, to rounding,
//! between; the nearest point of each piece is found by Newton's method, and a tree of boxes says which pieces need
//! asking.

use std::cell::Cell;
use std::sync::atomic::{AtomicUsize, Ordering};

use super::curve::quadrature;
use super::fault::FormFault;
use super::{Curve, Places, Strand};
use crate::base::{Box3, Interval, Vec3};
use crate::formula::Oracle;

/// How far a cubic piece may lie from the curve, as a part of the curve's extent: far under any tolerance.
const PIECE_ERROR: f64 = 1e-8;
/// Pieces that the range is cut into before any is looked at, so that no loop is missed.
const FIRST_PIECES: usize = 64;
/// Most halvings of one first piece; reached only at a corner or a jump.
const HALVINGS: u32 = 10;

/// A cubic piece.
#[derive(Clone, Copy, Debug)]
pub(super) struct Piece {
    /// In Bézier form.
    ends: [Vec3; 4],
    /// By powers of the part gone: constant, linear, square, cubic.
    powers: [Vec3; 4],
    /// How far it may lie from the straight way between its ends, mm.
    swell: f64,
}

impl Piece {
    /// The piece of a Bézier form.
    pub(super) fn new(ends: [Vec3; 4]) -> Self {
        let [a, b, c, d] = ends;
        let powers = [a, (b - a) * 3.0, (a + c - b * 2.0) * 3.0, d - a + (b - c) * 3.0];
        let mut made = Self { ends, powers, swell: 0.0 };
        // Distance from a straight way is convex: it is greatest at a corner of the form.
        let swell = [b, c].map(|p| made.below(p).1.sqrt()).into_iter().fold(0.0, f64::max);
        made.swell = swell * (1.0 + 1e-9) + 1e-12 * (d - a).norm();
        made
    }

    /// The part of the chord that is nearest to a point, and the squared distance from it.
    fn below(&self, p: Vec3) -> (f64, f64) {
        let (chord, off) = (self.ends[3] - self.ends[0], p - self.ends[0]);
        let part = (off.dot(chord) / chord.dot(chord).max(f64::MIN_POSITIVE)).clamp(0.0, 1.0);
        let away = off - chord * part;
        (part, away.dot(away))
    }

    /// A box that holds it.
    pub(super) fn region(&self) -> Box3 {
        Box3::around(self.ends)
    }

    /// Its two halves.
    pub(super) fn halves(&self) -> [Self; 2] {
        let [a, b, c, d] = self.ends;
        let (ab, bc, cd) = ((a + b) * 0.5, (b + c) * 0.5, (c + d) * 0.5);
        let (left, right) = ((ab + bc) * 0.5, (bc + cd) * 0.5);
        let middle = (left + right) * 0.5;
        [Self::new([a, ab, left, middle]), Self::new([middle, right, cd, d])]
    }

    /// The place at a part of the piece.
    pub(super) fn at(&self, s: f64) -> Vec3 {
        let [a, b, c, d] = self.powers;
        // The end itself, so that neighbours agree there.
        if s == 1.0 { self.ends[3] } else { a + (b + (c + d * s) * s) * s }
    }

    /// First and second derivative.
    pub(super) fn slopes(&self, s: f64) -> (Vec3, Vec3) {
        let [_, b, c, d] = self.powers;
        (b + (c * 2.0 + d * (3.0 * s)) * s, c * 2.0 + d * (6.0 * s))
    }

    /// The way on at a part of the piece, of length 1.
    pub(super) fn direction(&self, s: f64) -> Vec3 {
        let (d, dd) = self.slopes(s);
        d.unit().or_else(|| dd.unit()).unwrap_or(Vec3::new(1.0, 0.0, 0.0))
    }

    /// The length from the start to a part of the piece, mm.
    pub(super) fn length(&self, s: f64) -> f64 {
        quadrature(0.0, s, |s| self.slopes(s).0.norm())
    }

    /// By how much the piece's lengths shrink as seen from a point `off` from the place, which lies square to it: 1 on
    /// the curve, 0 at the centre of the bend.
    pub(super) fn slack(&self, s: f64, off: Vec3) -> f64 {
        let (d, dd) = self.slopes(s);
        1.0 - off.dot(dd) / d.dot(d)
    }

    /// The nearest point of the piece, the part of the piece where it is, and the squared distance; `None` when that is
    /// surely more than a limit.
    fn nearest(&self, p: Vec3, limit: f64) -> Option<(f64, Vec3, f64)> {
        let square = |v: Vec3| v.dot(v);
        let (below, gap) = self.below(p);
        let least = (gap.sqrt() - self.swell).max(0.0);
        if least * least > limit * LOOSE {
            return None;
        }
        // A piece turns little: the place straight below the asker lies in the valley of the nearest point.
        let far = |s: f64| square(self.at(s) - p);
        let mut s = below;
        for _ in 0..8 {
            let to = self.at(s) - p;
            let (d, dd) = self.slopes(s);
            let (steep, curvature) = (square(d), square(d) + to.dot(dd));
            let bend = if curvature > 0.0 { curvature } else { steep };
            if bend <= 0.0 {
                break;
            }
            let next = (s - to.dot(d) / bend).clamp(0.0, 1.0);
            let arrived = (next - s).abs() < ARRIVED;
            s = next;
            if arrived {
                break;
            }
        }
        let mut best = (s, self.at(s), far(s));
        for (s, end) in [(0.0, self.ends[0]), (1.0, self.ends[3])] {
            let d = square(end - p);
            if d < best.2 {
                best = (s, end, d);
            }
        }
        Some(best)
    }
}

/// A step along a piece, as a part of it, after which the nearest place is found: what is left changes the distance by the
/// square of this.
const ARRIVED: f64 = 1e-9;
/// Boxes are passed over when they are further than the best by more than rounding: what is found depends on no hint.
const LOOSE: f64 = 1.0 + 1e-12;

/// A box of the tree and what lies in it: a piece, or two boxes further on.
#[derive(Debug)]
struct NearNode {
    region: Box3,
    holds: Holds,
}

#[derive(Debug)]
enum Holds {
    Piece(usize),
    Two(usize, usize),
}

/// The nearest place of a curve.
#[derive(Clone, Copy, Debug)]
pub(super) struct Foot {
    /// The piece that it lies on.
    pub piece: usize,
    /// The part of the piece gone there.
    pub part: f64,
    /// The place, mm.
    pub point: Vec3,
}

/// The distance to a curve.
#[derive(Debug)]
pub(super) struct Near {
    pieces: Vec<Piece>,
    nodes: Vec<NearNode>,
    /// Tells this curve from every other.
    key: usize,
}

/// Keys of curves; they only tell curves apart, no value depends on them.
static KEYS: AtomicUsize = AtomicUsize::new(1);

thread_local! {
    /// The curve asked last on this thread, and the piece found: a good place to begin.
    static LAST: Cell<(usize, usize)> = const { Cell::new((0, 0)) };
}

impl Near {
    /// The curve made ready.
    ///
    /// # Errors
    /// [`FormFault::NotFinite`] when the curve leaves the numbers somewhere on its range.
    pub(super) fn new(curve: &Curve) -> Result<Self, FormFault> {
        let mut pieces = Vec::new();
        for strand in curve.strands() {
            pieces.extend(cubics(strand)?.into_iter().map(|(p, _)| Piece::new(p)));
        }
        let mut nodes = Vec::with_capacity(2 * pieces.len());
        let all: Vec<usize> = (0..pieces.len()).collect();
        grow(&pieces, &all, &mut nodes);
        Ok(Self { pieces, nodes, key: KEYS.fetch_add(1, Ordering::Relaxed) })
    }

    /// A box that holds the curve.
    pub(super) fn region(&self) -> Box3 {
        self.nodes[0].region
    }

    /// The pieces, in order along the strands.
    pub(super) fn pieces(&self) -> &[Piece] {
        &self.pieces
    }

    /// The length gone at the start of each piece and at the end, mm.
    pub(super) fn gone(&self) -> Vec<f64> {
        let mut gone = vec![0.0];
        for (k, piece) in self.pieces.iter().enumerate() {
            gone.push(gone[k] + piece.length(1.0));
        }
        gone
    }

    /// The place at a part of the whole length, from 0 to 1; `gone` is that of [`Self::gone`].
    pub(super) fn reached(&self, gone: &[f64], part: f64) -> Foot {
        let want = gone[gone.len() - 1] * part;
        let k = gone.partition_point(|g| *g <= want).clamp(1, gone.len() - 1) - 1;
        let piece = &self.pieces[k];
        let (mut lo, mut hi) = (0.0, 1.0);
        for _ in 0..40 {
            let m = 0.5 * (lo + hi);
            if gone[k] + piece.length(m) < want { lo = m } else { hi = m }
        }
        Foot { piece: k, part: hi, point: piece.at(hi) }
    }

    /// The place nearest to a point; of several as near, that of the first piece.
    pub(super) fn nearest(&self, p: Vec3) -> Foot {
        let mut best = (f64::INFINITY, Foot { piece: 0, part: 0.0, point: p });
        let look = |k: usize, best: &mut (f64, Foot)| {
            let Some((part, point, d)) = self.pieces[k].nearest(p, best.0) else { return };
            if d < best.0 || (d == best.0 && k < best.1.piece) {
                *best = (d, Foot { piece: k, part, point });
            }
        };
        let (key, hint) = LAST.get();
        if key == self.key {
            look(hint, &mut best);
        }
        // Halves of so many pieces are at most this deep.
        let mut waiting = [(0usize, 0.0f64); 64];
        let mut count = 1;
        while count > 0 {
            count -= 1;
            let (i, far) = waiting[count];
            if far > best.0 * LOOSE {
                continue;
            }
            match self.nodes[i].holds {
                Holds::Piece(k) if key == self.key && k == hint => {}
                Holds::Piece(k) => look(k, &mut best),
                Holds::Two(a, b) => {
                    let [near, far] = [a, b].map(|k| (k, square_gap(self.nodes[k].region, p)));
                    let pair = if near.1 <= far.1 { [far, near] } else { [near, far] };
                    for next in pair {
                        if next.1 <= best.0 * LOOSE && count < waiting.len() {
                            waiting[count] = next;
                            count += 1;
                        }
                    }
                }
            }
        }
        LAST.set((self.key, best.1.piece));
        best.1
    }
}

/// The most pieces that are looked at to see whether the distance from them has no crease.
const FEW: usize = 48;
/// The part of the room that a bend leaves which places may take up.
const ROOM: f64 = 0.9;
/// Directions of two pieces that meet agree when they differ by less than this.
const STRAIGHT: f64 = 1e-3;

impl Near {
    /// True when every point of a box has one nearest place, off the curve, on one stretch without corners: those pieces
    /// that may be nearest follow one another, and none bends about the box.
    fn is_plain(&self, region: Box3) -> bool {
        let (middle, half) = (region.centre(), 0.5 * region.size().norm());
        let far = (self.nearest(middle).point - middle).norm();
        if far <= half {
            return false;
        }
        let Some(some) = self.within(middle, far + 2.0 * half) else { return false };
        let joined = |w: &[usize]| {
            let [a, b] = [w[0], w[1]].map(|k| &self.pieces[k]);
            w[1] == w[0] + 1
                && (a.ends[3] - b.ends[0]).norm() <= STRAIGHT * (a.ends[3] - a.ends[0]).norm()
                && (a.direction(1.0) - b.direction(0.0)).norm() < STRAIGHT
        };
        let open = |k: &usize| {
            [0.0, 0.5, 1.0].iter().all(|s| {
                let (piece, off) = (&self.pieces[*k], middle - self.pieces[*k].at(*s));
                let (d, dd) = piece.slopes(*s);
                let square = d.dot(d);
                let bend = (dd - d * (dd.dot(d) / square)) / square;
                off.dot(bend) + half * bend.norm() < ROOM
            })
        };
        some.windows(2).all(joined) && some.iter().all(open)
    }

    /// The pieces that may come nearer to a point than a distance, in order; `None` when they are many.
    fn within(&self, p: Vec3, far: f64) -> Option<Vec<usize>> {
        let (mut found, mut waiting) = (Vec::new(), vec![0]);
        while let Some(i) = waiting.pop() {
            if square_gap(self.nodes[i].region, p) > far * far {
                continue;
            }
            match self.nodes[i].holds {
                Holds::Piece(k) if found.len() < FEW => found.push(k),
                Holds::Piece(_) => return None,
                Holds::Two(a, b) => waiting.extend([b, a]),
            }
        }
        Some(found)
    }
}

/// Distance from a box; 0 inside.
pub(super) fn gap(region: Box3, p: Vec3) -> f64 {
    square_gap(region, p).sqrt()
}

fn square_gap(region: Box3, p: Vec3) -> f64 {
    let d = p.max(region.min).min(region.max) - p;
    d.dot(d)
}

/// The strand as cubic pieces in Bézier form, each with the stretch of the parameter that it stands for; they agree
/// with the strand in place and direction at both ends and, to a hundred-millionth of its extent, between.
///
/// # Errors
/// [`FormFault::Unfit`] for what is no path; [`FormFault::NotFinite`] when it leaves the numbers somewhere.
pub(super) fn cubics(strand: &Strand) -> Result<Vec<([Vec3; 4], f64)>, FormFault> {
    strand.sound()?;
    let places = strand.places();
    let cuts = strand.cuts(FIRST_PIECES);
    let extent = Box3::around(cuts.iter().map(|t| places.at(*t))).size().largest();
    if !extent.is_finite() {
        return Err(FormFault::NotFinite { name: "curve", got: extent });
    }
    let mut pieces = Vec::new();
    for w in cuts.windows(2) {
        cut(&places, (w[0], w[1]), extent * PIECE_ERROR, HALVINGS, &mut pieces);
    }
    if pieces.iter().any(|(p, _)| p.iter().any(|v| !v.is_finite())) {
        return Err(FormFault::NotFinite { name: "curve", got: f64::NAN });
    }
    Ok(pieces)
}

fn cut(places: &Places, (from, to): (f64, f64), error: f64, halvings: u32, out: &mut Vec<([Vec3; 4], f64)>) {
    let third = (to - from) / 3.0;
    let (a, d) = (places.at(from), places.at(to));
    // A little inside, so that a corner between two pieces of a spline is read from the right side.
    let inside = (to - from) * 1e-9;
    let (va, vd) = (places.velocity(from + inside), places.velocity(to - inside));
    let piece = Piece::new([a, a + va * third, d - vd * third, d]);
    let off = [0.25, 0.5, 0.75].iter().map(|s| (piece.at(*s) - places.at(from + (to - from) * s)).norm());
    if halvings == 0 || off.fold(0.0, f64::max) <= error {
        out.push((piece.ends, to - from));
        return;
    }
    let middle = 0.5 * (from + to);
    cut(places, (from, middle), error, halvings - 1, out);
    cut(places, (middle, to), error, halvings - 1, out);
}

/// The tree over pieces in the order of the curve: halves of a stretch of curve lie apart well enough.
fn grow(pieces: &[Piece], some: &[usize], nodes: &mut Vec<NearNode>) -> usize {
    let here = nodes.len();
    let region = some.iter().fold(Box3::EMPTY, |b, &i| b.join(pieces[i].region()));
    nodes.push(NearNode { region, holds: Holds::Piece(some[0]) });
    if some.len() > 1 {
        let (a, b) = some.split_at(some.len() / 2);
        let a = grow(pieces, a, nodes);
        let b = grow(pieces, b, nodes);
        nodes[here].holds = Holds::Two(a, b);
    }
    here
}

impl Oracle for Near {
    fn sample(&self, p: Vec3) -> (f64, Vec3) {
        let away = p - self.nearest(p).point;
        (away.norm(), away.unit().unwrap_or(Vec3::new(0.0, 0.0, 1.0)))
    }

    fn bounds(&self, region: Box3) -> Interval {
        if !region.is_finite() {
            return Interval::new(0.0, f64::INFINITY);
        }
        // A distance changes no faster than place does.
        let middle = region.centre();
        let (d, half) = ((self.nearest(middle).point - middle).norm(), region.size().norm() * 0.5);
        Interval::new(((d - half) * (1.0 - 1e-12)).max(0.0), (d + half) * (1.0 + 1e-12))
    }

    fn steepest(&self) -> f64 {
        1.0
    }

    fn is_smooth(&self, region: Box3) -> bool {
        region.is_finite() && self.is_plain(region)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::form::through;

    /// Where a box far from the curve is said to be plain, no two slopes in it are opposed, as they are across a crease.
    #[test]
    fn distances_are_smooth_where_they_are_said_to_be() {
        let points = [[0.0, 0.0, 0.0], [9.0, 2.0, 1.0], [12.0, 9.0, 3.0], [4.0, 12.0, 1.0], [-1.0, 7.0, 4.0]];
        let near = Near::new(&through(&points.map(Vec3::from), true).unwrap()).unwrap();
        let (mut plain, mut creased) = (0, 0);
        for i in 0..4000 {
            let k = f64::from(i);
            let p = Vec3::new(
                5.0 + 8.0 * (k * 0.7).sin(),
                6.0 + 8.0 * (k * 1.3).cos(),
                2.0 + 4.0 * (k * 0.37).sin(),
            );
            let half = Vec3::splat(0.3);
            let ways = (0..27).map(|c| {
                let by = Vec3::new(f64::from(c % 3 - 1), f64::from(c / 3 % 3 - 1), f64::from(c / 9 - 1));
                near.sample(p + by * 0.3).1
            });
            let ways: Vec<Vec3> = ways.collect();
            let least = ways.iter().flat_map(|a| ways.iter().map(|b| a.dot(*b))).fold(1.0, f64::min);
            let far = near.sample(p).0 > 3.0 * half.norm();
            if near.is_smooth(Box3::new(p - half, p + half)) {
                plain += 1;
                assert!(!far || least > 0.0, "{p:?}: {least}");
            } else if far && least < 0.0 {
                creased += 1;
            }
        }
        assert!(plain > 1000 && creased > 5, "{plain} {creased}");
    }
}
