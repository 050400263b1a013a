//! Cubic curves as rows of circular arcs, for parallels and for machines that know only lines and arcs.
//!
//! Source: K. M. Bolton, Biarc curves, Computer-Aided Design 7 (1975) 89: two arcs that meet a curve at both ends in
//! place and direction, and each other in direction at a free point; here the one with equal tangent lengths.

use super::segment::Segment;
use crate::base::Vec2;

/// Most halvings of one curve.
const HALVINGS: u32 = 12;
/// An arc flatter than this is a line: the tangent of a quarter of its angle.
const FLAT: f64 = 1e-9;

/// The piece as lines and arcs that stay within `tolerance` mm of it. Lines and arcs are given back as they are.
pub fn arcs(piece: &Segment, tolerance: f64) -> Vec<Segment> {
    let mut out = Vec::new();
    match piece {
        Segment::Cubic(..) => halve(piece, tolerance, HALVINGS, &mut out),
        other => out.push(*other),
    }
    out
}

fn halve(piece: &Segment, tolerance: f64, left: u32, out: &mut Vec<Segment>) {
    let pair = biarc(piece);
    let fits = |pair: &[Segment; 2]| {
        (1..16).all(|i| {
            let p = piece.at(f64::from(i) / 16.0);
            pair[0].nearest(p).0.min(pair[1].nearest(p).0) <= 0.5 * tolerance
        })
    };
    match pair {
        Some(pair) if left == 0 || fits(&pair) => out.extend(pair),
        None if left == 0 => out.push(Segment::Line(piece.start(), piece.end())),
        _ => {
            halve(&piece.part(0.0, 0.5), tolerance, left - 1, out);
            halve(&piece.part(0.5, 1.0), tolerance, left - 1, out);
        }
    }
}

/// The two arcs with equal tangent lengths; `None` where there are none of less than half a circle.
fn biarc(piece: &Segment) -> Option<[Segment; 2]> {
    let (a, b) = (piece.start(), piece.end());
    let (u, v) = (piece.direction(false), piece.direction(true));
    let gap = b - a;
    // |gap - d (u + v)|² = (2 d)² for the tangent length d.
    let sum = u + v;
    let (p, q, r) = (sum.dot(sum) - 4.0, -2.0 * gap.dot(sum), gap.dot(gap));
    let d = if p.abs() < 1e-12 {
        (q != 0.0).then(|| -r / q)?
    } else {
        let root = (q * q - 4.0 * p * r).max(0.0).sqrt();
        // p is never positive: one root is positive.
        (-q - root) / (2.0 * p)
    };
    if !(d.is_finite() && d > 0.0) {
        return None;
    }
    let joint = (a + u * d).toward(b - v * d, 0.5);
    let one = arc_from(a, u, joint)?;
    let two = arc_from(b, -v, joint)?.reversed();
    Some([one, two])
}

/// The arc that leaves a point in a direction and ends at another; `None` past half a circle.
fn arc_from(start: Vec2, direction: Vec2, end: Vec2) -> Option<Segment> {
    let chord = end - start;
    // Half the angle swept is the angle between tangent and chord.
    let half = libm::atan2(direction.cross(chord), direction.dot(chord));
    let bulge = libm::tan(0.5 * half);
    match bulge.abs() {
        b if b > 1.0 || chord.norm() == 0.0 => None,
        b if b < FLAT => Some(Segment::Line(start, end)),
        _ => Some(Segment::Arc(start, end, bulge)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn arcs_stay_near_and_meet_without_corners() {
        let at = Vec2::new;
        for cubic in [
            Segment::Cubic(at(0.0, 0.0), at(3.0, 4.0), at(7.0, 4.0), at(10.0, 0.0)),
            Segment::Cubic(at(0.0, 0.0), at(9.0, 8.0), at(-4.0, 8.0), at(7.0, -1.0)),
            Segment::Cubic(at(0.0, 0.0), at(1.0, 1.0), at(2.0, 2.0), at(3.0, 3.0)),
        ] {
            let row = arcs(&cubic, 1e-3);
            assert!(row.len() <= 64, "{}", row.len());
            assert_eq!((row[0].start(), row[row.len() - 1].end()), (cubic.start(), cubic.end()));
            for i in 0..=400 {
                let p = cubic.at(f64::from(i) / 400.0);
                let far = row.iter().map(|s| s.nearest(p).0).fold(f64::MAX, f64::min);
                assert!(far < 1e-3, "{far}");
            }
            for w in row.windows(2) {
                assert!((w[0].direction(true) - w[1].direction(false)).norm() < 1e-6);
            }
        }
    }
}
