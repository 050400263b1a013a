//! The tiling of R. Ammann and F. P. M. Beenker by substitution: rhombs of 45° and halves of squares cut into smaller ones.
//!
//! Source: F. P. M. Beenker, Algebraic theory of non-periodic tilings of the plane by two simple building blocks, Eindhoven
//! report 82-WSK-04 (1982); B. Grünbaum, G. C. Shephard, Tilings and Patterns (1987), section 10.4.

use std::f64::consts::{FRAC_PI_4, SQRT_2};

use super::penrose::whole;
use super::{Tile, straight, within};
use crate::base::Vec2;

/// By how much edges shrink.
const SHRINK: f64 = 1.0 + SQRT_2;

/// A rhomb with its first and third corner sharp, or half a square: its edges run from the first corner to the second, the
/// right one, and on to the third.
#[derive(Clone, Copy, Debug)]
enum Part {
    Rhomb([Vec2; 4]),
    Half([Vec2; 3]),
}

impl Part {
    fn corners(&self) -> &[Vec2] {
        match self {
            Self::Rhomb(c) => c,
            Self::Half(c) => c,
        }
    }

    /// The smaller parts that it holds. An edge is parted into an edge, where it starts, and the diagonal of a square.
    fn cut(&self) -> Vec<Self> {
        match *self {
            Self::Rhomb([a, b, c, d]) => {
                let (u, v) = ((b - a) / SHRINK, (d - a) / SHRINK);
                let (near, far) = (a + u + v, c - u - v);
                vec![
                    Self::Rhomb([a, a + u, near, a + v]),
                    Self::Rhomb([c, c - u, far, c - v]),
                    Self::Rhomb([b, near, d, far]),
                    Self::Half([b, near, a + u]),
                    Self::Half([d, near, a + v]),
                    Self::Half([b, far, c - v]),
                    Self::Half([d, far, c - u]),
                ]
            }
            Self::Half([p, q, r]) => {
                let (u, v) = ((q - p) / SHRINK, (r - q) / SHRINK);
                let along = (u + v) / SQRT_2;
                let (x, y, w) = (p + u, q + v, p + along);
                let t = x + along;
                let f = t + v;
                vec![
                    Self::Rhomb([p, x, t, w]),
                    Self::Rhomb([q, y, f, t]),
                    Self::Half([q, t, x]),
                    Self::Half([r, f, y]),
                    Self::Half([f, t, w]),
                ]
            }
        }
    }
}

/// A star of eight rhombs about the origin, with edges of a length.
fn star(edge: f64) -> Vec<Part> {
    let at = |k: i32| Vec2::at_angle(FRAC_PI_4 * f64::from(k)) * edge;
    (0..8).map(|k| Part::Rhomb([Vec2::ZERO, at(k), at(k) + at(k + 1), at(k + 1)])).collect()
}

/// Squares and rhombs with edges of a length, alike in eight directions about the origin.
pub(super) fn tiles(edge: f64, reach: f64) -> Vec<Tile> {
    // The star covers a disc as wide as its edges are long.
    let steps = libm::ceil(libm::log(reach / edge + 2.0) / libm::log(SHRINK)).max(0.0) as i32;
    let mut size = edge * libm::pow(SHRINK, f64::from(steps));
    let mut parts = star(size);
    for _ in 0..steps {
        parts = parts.iter().flat_map(Part::cut).collect();
        size /= SHRINK;
        parts.retain(|part| part.corners().iter().any(|c| c.norm() <= reach + 2.0 * size));
    }
    let mut rhombs = Vec::new();
    let mut halves = Vec::new();
    for part in parts {
        match part {
            Part::Rhomb(corners) => rhombs.push(straight(&corners, "rhomb")),
            Part::Half([p, q, r]) => halves.push((0, [q, p, r])),
        }
    }
    let mut all = within(rhombs, reach);
    all.extend(whole(&halves, ["square", "square"], reach, edge));
    all
}

#[cfg(test)]
mod tests {
    use super::super::{tests::fits, tiling};
    use super::*;

    /// Rhombs and squares from one rhomb, halves of squares joined. Source: section 7.2 of the project's check values.
    #[test]
    fn parts_multiply_as_counted() {
        let mut parts = vec![star(1.0)[0]];
        for (rhombs, squares) in [(1, 0), (3, 2), (17, 12), (99, 70), (577, 408)] {
            let found = parts.iter().filter(|p| matches!(p, Part::Rhomb(_))).count();
            assert_eq!((found, parts.len() - found), (rhombs, 2 * squares));
            parts = parts.iter().flat_map(Part::cut).collect();
        }
    }

    /// Tiles fit without gaps, are rhombs and squares, and stand alike in eight directions.
    #[test]
    fn tiles_fit_and_are_alike_in_eight_directions() {
        let made = tiling("ammann-beenker by substitution", 1.0, 12.0).unwrap();
        fits(made.tiles(), "ammann-beenker by substitution");
        let middles: Vec<Vec2> = made.tiles().iter().map(|t| super::super::middle(&t.outline)).collect();
        let eighth = |p: Vec2| Vec2::new(p.x - p.y, p.x + p.y) / SQRT_2;
        for (p, tile) in middles.iter().zip(made.tiles()) {
            assert!(middles.iter().any(|q| (*q - eighth(*p)).norm() < 1e-9), "{p:?}");
            let area = if tile.kind == "rhomb" { 0.5_f64.sqrt() } else { 1.0 };
            assert!((tile.outline.area() - area).abs() < 1e-9, "{}", tile.kind);
        }
        let ratio = made.counts()["rhomb"] as f64 / made.counts()["square"] as f64;
        assert!((ratio - SQRT_2).abs() < 0.1 && made.tiles().len() > 400, "{ratio}");
    }

    /// Both ways make one sort of tiling: the same stars of corners. Source: N. G. de Bruijn's vertex stars, six in all up
    /// to motions (Grünbaum and Shephard, section 10.4; from memory).
    #[test]
    fn both_ways_have_the_same_corners() {
        let stars =
            |name: &str| super::super::tests::corner_stars(tiling(name, 1.0, 14.0).unwrap().tiles(), 12.0);
        let found = stars("ammann-beenker by substitution");
        assert_eq!(found, stars("ammann-beenker"));
        assert_eq!(found.len(), 6, "{found:?}");
    }
}
