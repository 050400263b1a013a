//! The nearest point of a curve, and the distance to it.
//!
//! The curve is cut into cubic pieces that agree with it in place and direction at both ends and, to rounding,
//! between; the nearest point of each piece is found by Newton's method, and a tree of boxes says which pieces need
//! asking.

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

/// A cubic piece in Bézier form.
#[derive(Clone, Copy, Debug)]
pub(super) struct Piece([Vec3; 4]);

impl Piece {
    fn region(&self) -> Box3 {
        Box3::around(self.0)
    }

    /// The place at a part of the piece.
    pub(super) fn at(&self, s: f64) -> Vec3 {
        let [a, b, c, d] = self.0;
        let r = 1.0 - s;
        a * (r * r * r) + b * (3.0 * r * r * s) + c * (3.0 * r * s * s) + d * (s * s * s)
    }

    /// First and second derivative.
    fn slopes(&self, s: f64) -> (Vec3, Vec3) {
        let [a, b, c, d] = self.0;
        let (u, v, w) = (b - a, c - b, d - c);
        let r = 1.0 - s;
        ((u * (r * r) + v * (2.0 * r * s) + w * (s * s)) * 3.0, ((v - u) * r + (w - v) * s) * 6.0)
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

    /// The nearest point of the piece, and the part of the piece where it is.
    fn nearest(&self, p: Vec3) -> (f64, Vec3) {
        // A piece turns little, so the best of five starts lies in the valley of the nearest point.
        let start = (0..=4).map(|i| f64::from(i) * 0.25);
        let far = |s: f64| (self.at(s) - p).norm();
        let mut s = start.min_by(|a, b| far(*a).total_cmp(&far(*b))).unwrap_or(0.5);
        for _ in 0..8 {
            let to = self.at(s) - p;
            let (d, dd) = self.slopes(s);
            let curvature = d.dot(d) + to.dot(dd);
            let bend = if curvature > 0.0 { curvature } else { d.dot(d) };
            if bend <= 0.0 {
                break;
            }
            let next = (s - to.dot(d) / bend).clamp(0.0, 1.0);
            if (next - s).abs() < 1e-12 {
                break;
            }
            s = next;
        }
        [s, 0.0, 1.0]
            .map(|s| (s, self.at(s)))
            .into_iter()
            .min_by(|a, b| (a.1 - p).norm().total_cmp(&(b.1 - p).norm()))
            .unwrap_or((s, p))
    }
}

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
}

impl Near {
    /// The curve made ready.
    ///
    /// # Errors
    /// [`FormFault::NotFinite`] when the curve leaves the numbers somewhere on its range.
    pub(super) fn new(curve: &Curve) -> Result<Self, FormFault> {
        let mut pieces = Vec::new();
        for strand in curve.strands() {
            pieces.extend(cubics(strand)?.into_iter().map(|(p, _)| Piece(p)));
        }
        let mut nodes = Vec::with_capacity(2 * pieces.len());
        let all: Vec<usize> = (0..pieces.len()).collect();
        grow(&pieces, &all, &mut nodes);
        Ok(Self { pieces, nodes })
    }

    /// A box that holds the curve.
    pub(super) fn region(&self) -> Box3 {
        self.nodes[0].region
    }

    /// The pieces, in order along the strands.
    pub(super) fn pieces(&self) -> &[Piece] {
        &self.pieces
    }

    /// The place nearest to a point.
    pub(super) fn nearest(&self, p: Vec3) -> Foot {
        let mut best = (f64::INFINITY, Foot { piece: 0, part: 0.0, point: p });
        let mut stack = vec![0];
        while let Some(i) = stack.pop() {
            let node = &self.nodes[i];
            if gap(node.region, p) >= best.0 {
                continue;
            }
            match node.holds {
                Holds::Piece(k) => {
                    let (part, point) = self.pieces[k].nearest(p);
                    let d = (point - p).norm();
                    if d < best.0 {
                        best = (d, Foot { piece: k, part, point });
                    }
                }
                Holds::Two(a, b) => {
                    let nearer_last = gap(self.nodes[a].region, p) > gap(self.nodes[b].region, p);
                    stack.extend(if nearer_last { [a, b] } else { [b, a] });
                }
            }
        }
        best.1
    }
}

/// Distance from a box; 0 inside.
fn gap(region: Box3, p: Vec3) -> f64 {
    (p.max(region.min).min(region.max) - p).norm()
}

/// The strand as cubic pieces in Bézier form, each with the stretch of the parameter that it stands for; they agree
/// with the strand in place and direction at both ends and, to a hundred-millionth of its extent, between.
///
/// # Errors
/// [`FormFault::NotFinite`] when the strand leaves the numbers somewhere on its range.
pub(super) fn cubics(strand: &Strand) -> Result<Vec<([Vec3; 4], f64)>, FormFault> {
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
    let piece = Piece([a, a + va * third, d - vd * third, d]);
    let off = [0.25, 0.5, 0.75].iter().map(|s| (piece.at(*s) - places.at(from + (to - from) * s)).norm());
    if halvings == 0 || off.fold(0.0, f64::max) <= error {
        out.push((piece.0, to - from));
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
}
