//! Tilings by projection: the dual of sets of parallel lines (N. G. de Bruijn, Indag. Math. 43 (1981) 39).

use std::f64::consts::PI;

use super::{Tile, straight, within};
use crate::base::Vec2;

/// Shifts of the four sets of lines of squares and rhombs; no three lines meet in a point.
const FOUR: [f64; 4] = [0.171_573, 0.317_837, 0.414_214, 0.132_679];
/// Shifts of the five sets of lines of Penrose's rhombs: they add up to a whole number.
const FIVE: [f64; 5] = [0.171_573, 0.317_837, 0.414_214, 0.132_679, -0.036_303];

/// Squares and rhombs of 45° of F. Ammann and F. P. M. Beenker (1982).
pub(super) fn ammann_beenker(edge: f64, reach: f64) -> Vec<Tile> {
    let directions = (0..4).map(|k| Vec2::at_angle(PI * f64::from(k) / 4.0)).collect();
    dual(
        &Lines { directions, shifts: &FOUR, kind: |apart| if apart == 2 { "square" } else { "rhomb" } },
        edge,
        reach,
    )
}

/// The rhombs of R. Penrose.
pub(super) fn rhombs(edge: f64, reach: f64) -> Vec<Tile> {
    let directions = (0..5).map(|k| Vec2::at_angle(2.0 * PI * f64::from(k) / 5.0)).collect();
    let kind = |apart| if apart == 1 || apart == 4 { "thick" } else { "thin" };
    dual(&Lines { directions, shifts: &FIVE, kind }, edge, reach)
}

/// Sets of parallel lines one apart.
struct Lines {
    directions: Vec<Vec2>,
    shifts: &'static [f64],
    /// The tile where lines of two sets meet, by how many sets on the second is.
    kind: fn(usize) -> &'static str,
}

/// A tile for each place where two lines meet: its sides are the directions of the lines.
fn dual(sets: &Lines, edge: f64, reach: f64) -> Vec<Tile> {
    let (directions, shifts, n) = (&sets.directions, sets.shifts, sets.directions.len());
    // A point at distance r stands for a corner at distance n r/2: n directions about the circle add up to n/2 of a vector.
    let lines = (2.0 / n as f64 * reach / edge + 3.0).ceil() as i64;
    let mut tiles = Vec::new();
    for j in 0..n {
        for k in j + 1..n {
            let (u, v) = (directions[j], directions[k]);
            for a in -lines..=lines {
                for b in -lines..=lines {
                    // The meeting point of line a of set j and line b of set k.
                    let (s, t) = (a as f64 + shifts[j], b as f64 + shifts[k]);
                    let p = Vec2::new(s * v.y - t * u.y, t * u.x - s * v.x) / u.cross(v);
                    let mut at: Vec<i64> = directions
                        .iter()
                        .zip(shifts)
                        .map(|(d, shift)| (p.dot(*d) - shift).ceil() as i64)
                        .collect();
                    (at[j], at[k]) = (a, b);
                    let from =
                        directions.iter().zip(&at).fold(Vec2::ZERO, |sum, (d, k)| sum + *d * *k as f64);
                    let corners = [from, from + u, from + u + v, from + v].map(|c| c * edge);
                    tiles.push(straight(&corners, (sets.kind)(k - j)));
                }
            }
        }
    }
    within(tiles, reach)
}

#[cfg(test)]
mod tests {
    use super::super::{tests::fits, tiling};

    /// Rhombs to squares tend to √2 (section 7.2 of the project's check values).
    #[test]
    fn rhombs_and_squares_fit() {
        let tiles = tiling("ammann-beenker", 1.0, 16.0).unwrap();
        fits(tiles.tiles(), "ammann-beenker");
        let ratio = tiles.counts()["rhomb"] as f64 / tiles.counts()["square"] as f64;
        assert!((ratio - 2.0_f64.sqrt()).abs() < 0.1, "{ratio}");
        assert!(tiles.tiles().len() > 800);
        let area = |kind: &str| tiles.tiles().iter().find(|t| t.kind == kind).unwrap().outline.area();
        assert!((area("rhomb") - 0.5_f64.sqrt()).abs() < 1e-9 && (area("square") - 1.0).abs() < 1e-9);
    }
    /// The five sets make Penrose's tiling when their shifts add up to a whole number (de Bruijn, section 5): the corners are
    /// those of the tiling by substitution, and rhombs tend to the golden ratio (section 7.1 of the check values).
    #[test]
    fn penrose_rhombs_by_projection_are_those_by_substitution() {
        let made = tiling("penrose rhombs by projection", 1.0, 16.0).unwrap();
        fits(made.tiles(), "penrose rhombs by projection");
        let ratio = made.counts()["thick"] as f64 / made.counts()["thin"] as f64;
        assert!((ratio - 1.618_034).abs() < 0.08, "{ratio}");
        let stars = |t: &super::super::Tiling| super::super::tests::corner_stars(t.tiles(), 13.5);
        let found = stars(&made);
        assert_eq!(found, stars(&tiling("penrose rhombs", 1.0, 16.0).unwrap()));
        // Seven by their angles: of de Bruijn's eight two are five thick rhombs, told apart by their arrows only.
        assert_eq!(found.len(), 7, "{found:?}");
    }
}
