//! Where lines pass through one another.

use super::lines::{meet, refined};
use super::near::Locator;
use super::path::Path;
use super::segment::Segment;
use crate::base::Vec2;

/// How far a straight stand-in may lie from its piece while crossings are looked for, as a part of the piece's extent.
const CHORD: f64 = 1e-3;
/// A part of a piece at whose end a crossing is one of the joint.
const END: f64 = 1e-6;
/// Directions that differ by less, as the sine, are one: lines that only touch do not cross.
const TOUCH: f64 = 1e-5;

/// The places where paths cross themselves or one another, each once, in the order of the paths. Lines that touch, lie on one
/// another, or end on one another do not cross. `both` chooses the pairs of paths that are looked at.
pub fn crossings(paths: &[Path], both: impl Fn(usize, usize) -> bool) -> Vec<Vec2> {
    // A loop of one curve is seen between its halves.
    let halves: Vec<Path> = paths.iter().map(halved).collect();
    let owner: Vec<(usize, usize)> =
        halves.iter().enumerate().flat_map(|(p, path)| (0..path.pieces.len()).map(move |k| (p, k))).collect();
    let index = Locator::new(&halves);
    let mut found: Vec<Vec2> = Vec::new();
    for (number, (p, k)) in owner.iter().enumerate() {
        let piece = &halves[*p].pieces[*k];
        let (low, high) = piece.bounds();
        let near = 1e-9 * (high - low).norm();
        let margin = Vec2::new(near, near);
        for other in index.numbers_in(low - margin, high + margin).into_iter().filter(|o| *o < number) {
            let (q, l) = owner[other];
            if both(*p, q) {
                let ways = |s: f64, t: f64| Some((rays(&halves[*p], *k, s)?, rays(&halves[q], l, t)?));
                pair(piece, &halves[q].pieces[l], ways, &mut found);
            }
        }
    }
    found
}

fn halved(path: &Path) -> Path {
    let pieces = path.pieces.iter().flat_map(|s| match s {
        Segment::Line(..) => vec![*s],
        curved => vec![curved.part(0.0, 0.5), curved.part(0.5, 1.0)],
    });
    Path { pieces: pieces.collect(), closed: path.closed }
}

/// Crossings of two pieces; `ways` tells the directions in which both paths leave a place, back and on.
fn pair(
    a: &Segment,
    b: &Segment,
    ways: impl Fn(f64, f64) -> Option<([Vec2; 2], [Vec2; 2])>,
    found: &mut Vec<Vec2>,
) {
    let chords = |s: &Segment| {
        let (low, high) = s.bounds();
        let count = s.pieces(CHORD * (high - low).norm().max(f64::MIN_POSITIVE));
        (0..count).map(move |i| (i as f64 / count as f64, (i + 1) as f64 / count as f64)).collect::<Vec<_>>()
    };
    let others = chords(b);
    for (s, t) in chords(a) {
        for (u, v) in &others {
            let Some((x, y)) = meet(a.at(s), a.at(t), b.at(*u), b.at(*v)) else { continue };
            let (s, u) = (s + (t - s) * x, u + (v - u) * y);
            let (s, u) = (refined(a, b, s, u), refined(b, a, u, s));
            let place = a.at(s.clamp(0.0, 1.0));
            let (low, high) = a.bounds();
            let same = 1e-6 * (high - low).norm();
            if found.iter().any(|p| (*p - place).norm() <= same) {
                continue;
            }
            if ways(s, u).is_some_and(|(one, other)| interleaved(one, other)) {
                found.push(place);
            }
        }
    }
}

/// The directions in which a path leaves a place of one of its pieces, back and on; `None` at an open end.
fn rays(path: &Path, number: usize, t: f64) -> Option<[Vec2; 2]> {
    let n = path.pieces.len();
    let piece = &path.pieces[number];
    let slope = piece.slope(t.clamp(0.0, 1.0)).unit()?;
    let before = || (number > 0 || path.closed).then(|| -path.pieces[(number + n - 1) % n].direction(true));
    let after = || (number + 1 < n || path.closed).then(|| path.pieces[(number + 1) % n].direction(false));
    Some(match t {
        t if t < END => [before()?, piece.direction(false)],
        t if t > 1.0 - END => [-piece.direction(true), after()?],
        _ => [-slope, slope],
    })
}

/// Whether the rays of one path lie on both sides of the other's, and none along one of them.
fn interleaved(one: [Vec2; 2], other: [Vec2; 2]) -> bool {
    let along = |a: Vec2, b: Vec2| a.dot(b) > 0.0 && a.cross(b).abs() < TOUCH;
    if one.iter().any(|a| other.iter().any(|b| along(*a, *b))) {
        return false;
    }
    let from = one[0].angle();
    let turn = |v: Vec2| (v.angle() - from).rem_euclid(std::f64::consts::TAU);
    let within = |v: Vec2| turn(v) < turn(one[1]);
    within(other[0]) != within(other[1])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn open(points: &[[f64; 2]]) -> Path {
        Path::polyline(&points.iter().map(|p| Vec2::from(*p)).collect::<Vec<_>>())
    }

    fn count(paths: &[Path]) -> usize {
        crossings(paths, |_, _| true).len()
    }

    #[test]
    fn lines_cross_where_they_pass_through() {
        let cross = [open(&[[0.0, 0.0], [10.0, 10.0]]), open(&[[0.0, 10.0], [10.0, 0.0]])];
        let found = crossings(&cross, |_, _| true);
        assert!(found.len() == 1 && (found[0] - Vec2::new(5.0, 5.0)).norm() < 1e-12);
        assert_eq!(crossings(&cross, |a, b| a == b), []);
        // At a joint of one or of both.
        let bent = [open(&[[0.0, 0.0], [5.0, 5.0], [10.0, 9.0]]), cross[1].clone()];
        assert_eq!(count(&bent), 1);
        let both =
            [open(&[[0.0, 0.0], [5.0, 5.0], [9.0, 9.0]]), open(&[[0.0, 10.0], [5.0, 5.0], [10.0, 0.0]])];
        assert_eq!(count(&both), 1);
    }

    #[test]
    fn lines_that_touch_or_end_on_one_another_do_not_cross() {
        let touch =
            [open(&[[0.0, 0.0], [5.0, 5.0], [10.0, 0.0]]), open(&[[0.0, 10.0], [5.0, 5.0], [10.0, 10.0]])];
        assert_eq!(count(&touch), 0);
        assert_eq!(count(&[open(&[[0.0, 0.0], [10.0, 0.0]]), open(&[[5.0, 5.0], [5.0, 0.0]])]), 0);
        let circles = [Path::circle(Vec2::ZERO, 5.0), Path::circle(Vec2::new(10.0, 0.0), 5.0)];
        assert_eq!(count(&circles), 0);
        assert_eq!(count(&[Path::circle(Vec2::ZERO, 5.0), Path::circle(Vec2::new(6.0, 0.0), 5.0)]), 2);
        assert_eq!(count(&[circles[0].clone(), circles[0].clone()]), 0);
        assert_eq!(count(&[Path::polygon(&[[0.0, 0.0], [9.0, 0.0], [9.0, 9.0]].map(Vec2::from))]), 0);
    }

    #[test]
    fn a_path_may_cross_itself() {
        let bow = Path::polygon(&[[0.0, 0.0], [10.0, 10.0], [10.0, 0.0], [0.0, 10.0]].map(Vec2::from));
        assert_eq!(count(&[bow]), 1);
        let star: Vec<Vec2> =
            (0..5).map(|k| Vec2::at_angle(f64::from(k) * 0.8 * std::f64::consts::PI)).collect();
        assert_eq!(count(&[Path::polygon(&star)]), 5);
        let [a, b, c, d] = [[0.0, 0.0], [12.0, 10.0], [-2.0, 10.0], [10.0, 0.0]].map(Vec2::from);
        let looped = Path { pieces: vec![Segment::Cubic(a, b, c, d)], closed: false };
        assert_eq!(count(&[looped]), 1);
    }
}
