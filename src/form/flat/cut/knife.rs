//! Paths for a drag knife, whose tip trails behind its axis.
//!
//! The tip lies `offset` behind the axis along the path. For a tip that is to follow a line the axis runs `offset` ahead
//! on it; round a circle of radius r it runs at √(r² + offset²); at a corner it swings about the tip on an arc.
//! Source: the geometry of a trailing blade; swings at corners above about 20° are common practice.

use super::super::biarc::arcs;
use super::super::path::Path;
use super::super::segment::Segment;
use crate::base::Vec2;

/// Corners sharper than this, radians, get a swing; at gentler ones the blade follows by itself.
const SWING: f64 = 20.0 * std::f64::consts::PI / 180.0;
/// How far arcs that stand in for a curve may lie from it, mm.
const CURVE: f64 = 0.005;

/// A closed path that goes on past its start by a length, as an open one; open paths stay.
pub(super) fn overcut(path: &Path, by: f64) -> Path {
    if !path.closed || by <= 0.0 {
        return path.clone();
    }
    let mut pieces = path.pieces.clone();
    let mut left = by.min(path.length());
    for piece in &path.pieces {
        let long = piece.length();
        if long >= left {
            pieces.push(piece.part(0.0, left / long));
            break;
        }
        pieces.push(*piece);
        left -= long;
    }
    Path { pieces, closed: false }
}

/// The path of the axis for a tip that follows a path.
pub(super) fn axis(path: &Path, offset: f64) -> Path {
    if offset <= 0.0 {
        return path.clone();
    }
    let pieces: Vec<Segment> = path.pieces.iter().flat_map(|s| arcs(s, CURVE)).collect();
    let mut out = Vec::with_capacity(2 * pieces.len());
    for (i, piece) in pieces.iter().enumerate() {
        let (u, v) = (piece.direction(false), piece.direction(true));
        let (a, b) = (piece.start() + u * offset, piece.end() + v * offset);
        out.push(match piece {
            // Both ends turn about the same centre by the same angle: the same bulge, a larger circle.
            Segment::Arc(_, _, bulge) => Segment::Arc(a, b, *bulge),
            _ => Segment::Line(a, b),
        });
        let next = if path.closed { pieces.get((i + 1) % pieces.len()) } else { pieces.get(i + 1) };
        let Some(next) = next else { continue };
        let w = next.direction(false);
        let turn = libm::atan2(v.cross(w), v.dot(w));
        let (from, to) = (b, piece.end() + w * offset);
        if (to - from).norm() <= 1e-12 {
            continue;
        }
        out.push(if turn.abs() >= SWING { swing(piece.end(), from, turn) } else { Segment::Line(from, to) });
    }
    Path { pieces: out, closed: path.closed }
}

fn swing(tip: Vec2, from: Vec2, turn: f64) -> Segment {
    Segment::arc_about(tip, from, turn)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Derived in the project's notes on making, section 8.2: a radius of 1.5 with an offset of 0.25 is driven at 1.521.
    #[test]
    fn a_circle_is_driven_on_a_larger_one() {
        let path = axis(&Path::circle(Vec2::ZERO, 1.5), 0.25);
        let radii: Vec<f64> = path.pieces.iter().filter_map(Segment::round).map(|r| r.radius).collect();
        let want = (1.5_f64 * 1.5 + 0.25 * 0.25).sqrt();
        assert!((want - 1.521).abs() < 5e-4);
        assert!(radii.iter().all(|r| (r - want).abs() < 1e-12) && radii.len() == 2);
        assert!((path.end() - path.start()).norm() < 1e-12);
    }

    #[test]
    fn corners_swing_about_the_tip() {
        let square = Path::polygon(&[[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]].map(Vec2::from));
        let path = axis(&square, 0.5);
        assert_eq!(path.pieces.len(), 8);
        assert_eq!(path.pieces[0], Segment::Line(Vec2::new(0.5, 0.0), Vec2::new(10.5, 0.0)));
        let r = path.pieces[1].round().unwrap();
        assert!((r.centre - Vec2::new(10.0, 0.0)).norm() < 1e-12 && (r.radius - 0.5).abs() < 1e-12);
        assert!((path.end() - path.start()).norm() < 1e-12);
    }

    #[test]
    fn cuts_close_past_their_start() {
        let path = overcut(&Path::circle(Vec2::ZERO, 5.0), 1.0);
        assert!(!path.closed && (path.length() - (10.0 * std::f64::consts::PI + 1.0)).abs() < 1e-9);
        let line = Path::polyline(&[[0.0, 0.0], [1.0, 0.0]].map(Vec2::from));
        assert_eq!(overcut(&line, 1.0), line);
    }
}
