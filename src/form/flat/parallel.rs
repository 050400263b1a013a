//! Outlines at a distance: regions grown or shrunk, bands around lines, with true arcs.
//!
//! Every piece is moved to its side, gaps at corners that open are filled by the join, and at corners that close the
//! path goes by way of the corner itself; the points that such a loop winds round in the positive sense are the result.
//! Source: X. Chen, S. McMains, Polygon offsetting by computing winding numbers, ASME DETC 2005-85513.

use super::biarc::arcs;
use super::combine::{Fill, Rule, combine};
use super::path::{Path, extent};
use super::segment::Segment;
use crate::base::Vec2;

/// How far arcs that stand in for a curve may lie from it, as a part of the extent.
const CURVE: f64 = 1e-5;
/// A mitre reaches no further than so many distances from its corner; a sharper corner is bevelled.
const MITRE: f64 = 4.0;

/// What is made of corners that open.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Corners {
    /// An arc about the corner.
    Round,
    /// The sides go on until they meet, at most four distances from the corner.
    Mitre,
    /// Cut straight across.
    Bevel,
}

/// How the ends of a band are made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ends {
    /// Half circles.
    Round,
    /// Cut square where the line ends.
    Flat,
    /// Cut square half a width beyond.
    Square,
}

/// The region whose boundary lies `distance` mm outside the loops (inside, when negative). The loops are those of a
/// region: outer ones counter-clockwise, holes clockwise.
pub fn outset(loops: &[Path], distance: f64, corners: Corners) -> Vec<Path> {
    if distance == 0.0 {
        return loops.to_vec();
    }
    let fine = (extent(loops) + distance.abs()) * CURVE;
    let raw: Vec<Path> =
        loops.iter().map(|path| beside(&round_only(&path.pieces, fine), distance, corners)).collect();
    combine(&raw, &[], Rule::Union, Fill::Positive)
}

/// The region of all points within half the width (mm) of the lines.
pub fn band(lines: &[Path], width: f64, corners: Corners, ends: Ends) -> Vec<Path> {
    let (half, fine) = (0.5 * width, (extent(lines) + width) * CURVE);
    let mut raw = Vec::new();
    for line in lines {
        let pieces = round_only(&line.pieces, fine);
        let back: Vec<Segment> = pieces.iter().rev().map(Segment::reversed).collect();
        if line.closed {
            let (out, inner) = (beside(&pieces, half, corners), beside(&back, half, corners));
            let ring = match pieces.iter().map(Segment::double_area).sum::<f64>() > 0.0 {
                true => [out, inner],
                false => [inner, out],
            };
            raw.push(ring.to_vec());
        } else if !pieces.is_empty() {
            let mut around = Vec::new();
            for side in [&pieces, &back] {
                open_side(side, half, corners, &mut around);
                cap(
                    side[side.len() - 1].end(),
                    side[side.len() - 1].direction(true),
                    half,
                    ends,
                    &mut around,
                );
            }
            raw.push(vec![Path { pieces: around, closed: true }]);
        }
    }
    // A loop's two sides belong together before they meet other lines.
    let whole: Vec<Path> =
        raw.iter().flat_map(|loops| combine(loops, &[], Rule::Union, Fill::Positive)).collect();
    combine(&whole, &[], Rule::Union, Fill::Positive)
}

fn round_only(pieces: &[Segment], fine: f64) -> Vec<Segment> {
    let long = |s: &Segment| s.start() != s.end() || s.length() > 0.0;
    pieces.iter().filter(|s| long(s)).flat_map(|s| arcs(s, fine)).collect()
}

/// The piece moved to its right by a distance (left, when negative).
fn moved(piece: &Segment, distance: f64) -> Segment {
    let (u, v) = (piece.direction(false), piece.direction(true));
    let (a, b) = (piece.start() - u.left() * distance, piece.end() - v.left() * distance);
    match piece {
        Segment::Arc(_, _, bulge) => Segment::Arc(a, b, *bulge),
        _ => Segment::Line(a, b),
    }
}

/// Puts down the piece moved to its right. An arc whose centre is passed would run round what it takes away in the
/// wrong sense: the way to the centre and back is taken, and the sector beyond the centre once more the other way.
fn put(piece: &Segment, distance: f64, out: &mut Vec<Segment>) {
    let beside = moved(piece, distance);
    let passed = piece.round().filter(|r| r.radius + distance * r.sweep.signum() < 0.0);
    let Some(round) = passed else { return out.push(beside) };
    let (a, b, c) = (beside.start(), beside.end(), round.centre);
    let there_and_back = [Segment::Line(a, c), Segment::Line(c, b)];
    out.extend(there_and_back);
    out.push(beside.reversed());
    out.extend(there_and_back);
}

/// The loop beside a loop.
fn beside(pieces: &[Segment], distance: f64, corners: Corners) -> Path {
    let mut out = Vec::with_capacity(2 * pieces.len());
    for (i, piece) in pieces.iter().enumerate() {
        put(piece, distance, &mut out);
        join(piece, &pieces[(i + 1) % pieces.len()], distance, corners, &mut out);
    }
    Path { pieces: out, closed: true }
}

/// The right side of an open row of pieces.
fn open_side(pieces: &[Segment], distance: f64, corners: Corners, out: &mut Vec<Segment>) {
    for (i, piece) in pieces.iter().enumerate() {
        put(piece, distance, out);
        if let Some(next) = pieces.get(i + 1) {
            join(piece, next, distance, corners, out);
        }
    }
}

/// What goes between two moved neighbours.
fn join(piece: &Segment, next: &Segment, distance: f64, corners: Corners, out: &mut Vec<Segment>) {
    let corner = piece.end();
    let (u, v) = (piece.direction(true), next.direction(false));
    let (a, b) = (corner - u.left() * distance, corner - v.left() * distance);
    if (b - a).norm() <= 1e-12 * distance.abs() {
        return;
    }
    let turn = libm::atan2(u.cross(v), u.dot(v));
    if turn * distance < 0.0 {
        // The sides cross here: going by way of the corner keeps every winding number right.
        out.extend([Segment::Line(a, corner), Segment::Line(corner, b)]);
        return;
    }
    match corners {
        Corners::Round => out.push(Segment::Arc(a, b, libm::tan(turn * 0.25))),
        Corners::Mitre if 1.0 <= MITRE * libm::cos(0.5 * turn) => {
            let tip = a + u * (distance.abs() * libm::tan(0.5 * turn.abs()));
            out.extend([Segment::Line(a, tip), Segment::Line(tip, b)]);
        }
        _ => out.push(Segment::Line(a, b)),
    }
}

fn cap(end: Vec2, direction: Vec2, half: f64, ends: Ends, out: &mut Vec<Segment>) {
    let side = direction.left() * half;
    let (a, b) = (end - side, end + side);
    match ends {
        Ends::Round => out.push(Segment::Arc(a, b, 1.0)),
        Ends::Flat => out.push(Segment::Line(a, b)),
        Ends::Square => {
            let beyond = direction * half;
            let (c, d) = (a + beyond, b + beyond);
            out.extend([Segment::Line(a, c), Segment::Line(c, d), Segment::Line(d, b)]);
        }
    }
}

#[cfg(test)]
mod tests {
    use std::f64::consts::PI;

    use super::*;

    fn area(paths: &[Path]) -> f64 {
        paths.iter().map(Path::area).sum()
    }

    fn polygon(points: &[[f64; 2]]) -> Vec<Path> {
        vec![Path::polygon(&points.iter().map(|p| Vec2::from(*p)).collect::<Vec<_>>())]
    }

    /// Steiner's formula in the plane: A + L r + π r² for a convex region; a mitred rectangle grows by its sides.
    #[test]
    fn a_rectangle_grows_by_the_formula() {
        let rectangle = polygon(&[[0.0, 0.0], [6.0, 0.0], [6.0, 4.0], [0.0, 4.0]]);
        let grown = |d, c| area(&outset(&rectangle, d, c));
        assert!((grown(1.5, Corners::Round) - (24.0 + 20.0 * 1.5 + PI * 2.25)).abs() < 1e-9);
        assert!((grown(1.5, Corners::Mitre) - 9.0 * 7.0).abs() < 1e-9);
        assert!((grown(1.5, Corners::Bevel) - (63.0 - 4.0 * 0.5 * 2.25)).abs() < 1e-9);
        assert!((grown(-1.5, Corners::Round) - 3.0).abs() < 1e-9);
        assert!(outset(&rectangle, -2.5, Corners::Round).is_empty());
        let pieces = &outset(&rectangle, 1.5, Corners::Round)[0].pieces;
        assert_eq!(pieces.iter().filter(|s| matches!(s, Segment::Arc(..))).count(), 4);
    }

    #[test]
    fn circles_and_rings_change_by_their_radius() {
        let circle = vec![Path::circle(Vec2::ZERO, 5.0)];
        assert!((area(&outset(&circle, 2.0, Corners::Round)) - 49.0 * PI).abs() < 1e-9);
        assert!((area(&outset(&circle, -2.0, Corners::Round)) - 9.0 * PI).abs() < 1e-9);
        assert!(outset(&circle, -6.0, Corners::Round).is_empty());
        let ring = vec![circle[0].clone(), Path::circle(Vec2::ZERO, 3.0).reversed()];
        assert!((area(&outset(&ring, 0.5, Corners::Round)) - (5.5 * 5.5 - 2.5 * 2.5) * PI).abs() < 1e-9);
        assert!((area(&outset(&ring, 4.0, Corners::Round)) - 81.0 * PI).abs() < 1e-9);
    }

    #[test]
    fn a_waist_parts_when_it_is_shrunk() {
        let bone = polygon(&[
            [0.0, 0.0],
            [4.0, 0.0],
            [4.0, 1.5],
            [8.0, 1.5],
            [8.0, 0.0],
            [12.0, 0.0],
            [12.0, 4.0],
            [8.0, 4.0],
            [8.0, 2.5],
            [4.0, 2.5],
            [4.0, 4.0],
            [0.0, 4.0],
        ]);
        let parts = outset(&bone, -0.75, Corners::Round);
        assert_eq!(parts.len(), 2);
        // Beside the waist each part reaches between the two corners: the strip less what lies within 0.75 of them.
        let under_arc = 0.5 * (0.5 * (0.5625_f64 - 0.25).sqrt() + 0.5625 * (0.5_f64 / 0.75).asin());
        let wanted = 2.0 * 2.5 * 2.5 + 4.0 * (0.375 - under_arc);
        assert!((area(&parts) - wanted).abs() < 1e-9, "{}", area(&parts));
    }

    #[test]
    fn bands_measure_as_they_should() {
        let line = vec![Path::polyline(&[[0.0, 0.0], [10.0, 0.0]].map(Vec2::from))];
        let of = |ends| area(&band(&line, 2.0, Corners::Round, ends));
        assert!((of(Ends::Round) - (20.0 + PI)).abs() < 1e-9);
        assert!((of(Ends::Flat) - 20.0).abs() < 1e-9);
        assert!((of(Ends::Square) - 24.0).abs() < 1e-9);
        let circle = vec![Path::circle(Vec2::ZERO, 5.0)];
        assert!((area(&band(&circle, 2.0, Corners::Round, Ends::Round)) - 20.0 * PI).abs() < 1e-9);
        let backwards = vec![circle[0].reversed()];
        assert!((area(&band(&backwards, 2.0, Corners::Round, Ends::Round)) - 20.0 * PI).abs() < 1e-9);
        let cross = vec![line[0].clone(), Path::polyline(&[[5.0, -5.0], [5.0, 5.0]].map(Vec2::from))];
        assert!((area(&band(&cross, 2.0, Corners::Round, Ends::Flat)) - 36.0).abs() < 1e-9);
    }
}
