//! The solid of all points near a curve.
//!
//! The distance to a curve is an [`Oracle`]: the curve is cut into cubic pieces that agree with it in place and
//! direction at both ends and, to rounding, between; the nearest point of each piece is found by Newton's method,
//! and a tree of boxes says which pieces need asking.

use std::sync::Arc;

use super::fault::{FormFault, positive};
use super::{Curve, Places, Solid, xyz};
use crate::base::{Box3, Interval, Vec3};
use crate::formula::{Expr, Oracle};

/// How far a cubic piece may lie from the curve, as a part of the curve's extent: far under any tolerance.
const PIECE_ERROR: f64 = 1e-8;
/// Pieces that the range is cut into before any is looked at, so that no loop is missed.
const FIRST_PIECES: usize = 64;
/// Most halvings of one first piece; reached only at a corner or a jump.
const HALVINGS: u32 = 10;

/// Every point nearer to the curve than `radius` mm; ends are round.
///
/// # Errors
/// [`FormFault::NotPositive`]; [`FormFault::NotFinite`] when the curve leaves the numbers somewhere on its range.
pub fn tube(curve: &Curve, radius: f64) -> Result<Solid, FormFault> {
    positive("radius", radius)?;
    let near = Near::new(curve)?;
    let within = near.nodes[0].region.grown(radius);
    Ok(Solid::Field { value: Expr::oracle(Arc::new(near), xyz()) - radius, within })
}

/// A cubic piece in Bézier form.
#[derive(Clone, Copy, Debug)]
struct Piece([Vec3; 4]);

impl Piece {
    fn region(&self) -> Box3 {
        Box3::around(self.0)
    }

    fn at(&self, s: f64) -> Vec3 {
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

    /// The nearest point of the piece.
    fn nearest(&self, p: Vec3) -> Vec3 {
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
        [0.0, s, 1.0]
            .map(|s| self.at(s))
            .into_iter()
            .min_by(|a, b| (*a - p).norm().total_cmp(&(*b - p).norm()))
            .unwrap_or(p)
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

/// The distance to a curve.
#[derive(Debug)]
struct Near {
    pieces: Vec<Piece>,
    nodes: Vec<NearNode>,
}

impl Near {
    fn new(curve: &Curve) -> Result<Self, FormFault> {
        let places = curve.places();
        let (from, to) = curve.range();
        let at = |i: usize| from + (to - from) * (i as f64 / FIRST_PIECES as f64);
        let extent = Box3::around((0..=FIRST_PIECES).map(|i| places.at(at(i)))).size().largest();
        if !extent.is_finite() {
            return Err(FormFault::NotFinite { name: "curve", got: extent });
        }
        let mut pieces = Vec::new();
        for i in 0..FIRST_PIECES {
            cut(&places, (at(i), at(i + 1)), extent * PIECE_ERROR, HALVINGS, &mut pieces);
        }
        if pieces.iter().any(|p| p.0.iter().any(|v| !v.is_finite())) {
            return Err(FormFault::NotFinite { name: "curve", got: f64::NAN });
        }
        let mut nodes = Vec::with_capacity(2 * pieces.len());
        let all: Vec<usize> = (0..pieces.len()).collect();
        grow(&pieces, &all, &mut nodes);
        Ok(Self { pieces, nodes })
    }

    fn nearest(&self, p: Vec3) -> Vec3 {
        let mut best = (f64::INFINITY, p);
        let mut stack = vec![0];
        while let Some(i) = stack.pop() {
            let node = &self.nodes[i];
            if gap(node.region, p) >= best.0 {
                continue;
            }
            match node.holds {
                Holds::Piece(k) => {
                    let q = self.pieces[k].nearest(p);
                    let d = (q - p).norm();
                    if d < best.0 {
                        best = (d, q);
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

fn cut(places: &Places, (from, to): (f64, f64), error: f64, halvings: u32, out: &mut Vec<Piece>) {
    let third = (to - from) / 3.0;
    let (a, d) = (places.at(from), places.at(to));
    let piece = Piece([a, a + places.velocity(from) * third, d - places.velocity(to) * third, d]);
    let off = [0.25, 0.5, 0.75].iter().map(|s| (piece.at(*s) - places.at(from + (to - from) * s)).norm());
    if halvings == 0 || off.fold(0.0, f64::max) <= error {
        out.push(piece);
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
        let away = p - self.nearest(p);
        (away.norm(), away.unit().unwrap_or(Vec3::new(0.0, 0.0, 1.0)))
    }

    fn bounds(&self, region: Box3) -> Interval {
        if !region.is_finite() {
            return Interval::new(0.0, f64::INFINITY);
        }
        // A distance changes no faster than place does.
        let middle = region.centre();
        let (d, half) = ((self.nearest(middle) - middle).norm(), region.size().norm() * 0.5);
        Interval::new(((d - half) * (1.0 - 1e-12)).max(0.0), (d + half) * (1.0 + 1e-12))
    }

    fn steepest(&self) -> f64 {
        1.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::formula::{Tape, Unary};

    fn circle() -> Curve {
        let t = Expr::var("t");
        let (s, c) = (Expr::unary(Unary::Sin, t.clone()), Expr::unary(Unary::Cos, t));
        Curve::new([c * 3.0, s * 3.0, Expr::constant(0.0)], "t", (0.0, std::f64::consts::TAU)).unwrap()
    }

    #[test]
    fn the_distance_to_a_circle_is_the_distance_to_a_circle() {
        let Solid::Field { value, within } = tube(&circle(), 0.5).unwrap() else { panic!() };
        let tape = Tape::new(&value).unwrap();
        for i in 0..200 {
            let k = f64::from(i);
            let p = Vec3::new(4.0 * (k * 0.7).sin(), 3.0 * (k * 1.3).cos(), (k * 0.37).sin());
            let exact = (p.x.hypot(p.y) - 3.0).hypot(p.z) - 0.5;
            assert!((tape.value(p) - exact).abs() < 1e-7, "{p:?}");
        }
        assert!(within.holds(Vec3::new(3.5, 0.0, 0.5)) && within.size().x < 7.2);
    }
}
