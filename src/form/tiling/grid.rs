//! Tilings by projection: the dual of sets of parallel lines (N. G. de Bruijn, Indag. Math. 43 (1981) 39).

use std::collections::BTreeMap;
use std::f64::consts::PI;

use super::{Tile, straight, within};
use crate::base::Vec2;

/// Shifts of the four sets of lines; no three lines meet in a point.
const SHIFTS: [f64; 4] = [0.171_573, 0.317_837, 0.414_214, 0.132_679];

/// Squares and rhombs of 45° of F. Ammann and F. P. M. Beenker (1982).
pub(super) fn ammann_beenker(edge: f64, reach: f64) -> Vec<Tile> {
    let directions: Vec<Vec2> = (0..4).map(|k| Vec2::at_angle(PI * f64::from(k) / 4.0)).collect();
    // A point at distance r stands for a corner at distance 2 r: four directions at 45° add up to twice the vector.
    let lines = (0.5 * reach / edge + 3.0).ceil() as i64;
    let mut seen = BTreeMap::new();
    let mut tiles = Vec::new();
    for j in 0..4 {
        for k in j + 1..4 {
            let (u, v) = (directions[j], directions[k]);
            for a in -lines..=lines {
                for b in -lines..=lines {
                    // The meeting point of line a of set j and line b of set k.
                    let (s, t) = (a as f64 + SHIFTS[j], b as f64 + SHIFTS[k]);
                    let p = Vec2::new(s * v.y - t * u.y, t * u.x - s * v.x) / u.cross(v);
                    let mut at: [i64; 4] = [0; 4];
                    for (i, d) in directions.iter().enumerate() {
                        at[i] = (p.dot(*d) - SHIFTS[i]).ceil() as i64;
                    }
                    (at[j], at[k]) = (a, b);
                    let corner = |dj: i64, dk: i64| {
                        let mut sum = Vec2::ZERO;
                        for (i, d) in directions.iter().enumerate() {
                            let more = if i == j {
                                dj
                            } else if i == k {
                                dk
                            } else {
                                0
                            };
                            sum = sum + *d * (at[i] + more) as f64;
                        }
                        sum * edge
                    };
                    let kind = if k - j == 2 { "square" } else { "rhomb" };
                    if seen.insert((j, k, a, b), ()).is_none() {
                        tiles.push(straight(&[corner(0, 0), corner(1, 0), corner(1, 1), corner(0, 1)], kind));
                    }
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
}
