//! The spectre: one tile that tiles the plane without mirror images and never with a period.
//!
//! Source: D. Smith, J. S. Myers, C. S. Kaplan, C. Goodman-Strauss, A chiral aperiodic monotile, Combinatorial Theory 4
//! (2) (2024) 13 (arXiv 2305.17743): nine marked clusters, each of eight (seven for Γ) smaller ones round a path, met at
//! four points; every step mirrors everything.

use std::f64::consts::PI;
use std::sync::Arc;

use super::rigid::{Cluster, Rigid};
use super::{Tile, straight, within};
use crate::base::Vec2;

/// Corners of the spectre with edges of 1: Tile(1, 1), the end of the straight side of two edges among them.
fn corners() -> Vec<Vec2> {
    let h = 0.5 * 3.0_f64.sqrt();
    #[rustfmt::skip]
    let points = [
        (0.0, 0.0), (1.0, 0.0), (1.5, -h), (1.5 + h, 0.5 - h), (1.5 + h, 1.5 - h), (2.5 + h, 1.5 - h), (3.0 + h, 1.5),
        (3.0, 2.0), (3.0 - h, 1.5), (2.5 - h, 1.5 + h), (1.5 - h, 1.5 + h), (0.5 - h, 1.5 + h), (-h, 1.5), (0.0, 1.0),
    ];
    points.map(|(x, y)| Vec2::new(x, y)).to_vec()
}

/// The nine clusters, by their Greek letters in the order of the paper.
const GAMMA: usize = 0;
const DELTA: usize = 1;
const THETA: usize = 2;
const LAMBDA: usize = 3;
const XI: usize = 4;
const PI_: usize = 5;
const SIGMA: usize = 6;
const PHI: usize = 7;
const PSI: usize = 8;

/// What each is made of, in the order of the path; `None` where Γ has a gap.
#[rustfmt::skip]
const MADE_OF: [[Option<usize>; 8]; 9] = [
    [Some(PI_), Some(DELTA), None, Some(THETA), Some(SIGMA), Some(XI), Some(PHI), Some(GAMMA)],
    [Some(XI), Some(DELTA), Some(XI), Some(PHI), Some(SIGMA), Some(PI_), Some(PHI), Some(GAMMA)],
    [Some(PSI), Some(DELTA), Some(PI_), Some(PHI), Some(SIGMA), Some(PI_), Some(PHI), Some(GAMMA)],
    [Some(PSI), Some(DELTA), Some(XI), Some(PHI), Some(SIGMA), Some(PI_), Some(PHI), Some(GAMMA)],
    [Some(PSI), Some(DELTA), Some(PI_), Some(PHI), Some(SIGMA), Some(PSI), Some(PHI), Some(GAMMA)],
    [Some(PSI), Some(DELTA), Some(XI), Some(PHI), Some(SIGMA), Some(PSI), Some(PHI), Some(GAMMA)],
    [Some(XI), Some(DELTA), Some(XI), Some(PHI), Some(SIGMA), Some(PI_), Some(LAMBDA), Some(GAMMA)],
    [Some(PSI), Some(DELTA), Some(PSI), Some(PHI), Some(SIGMA), Some(PI_), Some(PHI), Some(GAMMA)],
    [Some(PSI), Some(DELTA), Some(PSI), Some(PHI), Some(SIGMA), Some(PSI), Some(PHI), Some(GAMMA)],
];

/// From each cluster of the path to the next: the turn in degrees, the point of the one, the point of the other.
const PATH: [(f64, usize, usize); 7] =
    [(60.0, 3, 1), (0.0, 2, 0), (60.0, 3, 1), (60.0, 3, 1), (0.0, 2, 0), (60.0, 3, 1), (-120.0, 3, 3)];

fn first() -> Vec<Arc<Cluster>> {
    let all = corners();
    let quad: Vec<Vec2> = [3, 5, 7, 11].map(|k| all[k]).to_vec();
    let tile = Arc::new(Cluster::tile(all.clone()));
    let one = Arc::new(Cluster::of(quad.clone(), vec![(Rigid::IDENTITY, tile.clone())]));
    let second = Rigid::turn(PI / 6.0).moved(all[8]);
    let mystic = Arc::new(Cluster::of(quad, vec![(Rigid::IDENTITY, tile.clone()), (second, tile)]));
    (0..9).map(|k| if k == GAMMA { mystic.clone() } else { one.clone() }).collect()
}

fn next(nine: &[Arc<Cluster>]) -> Vec<Arc<Cluster>> {
    // The four points are alike in all nine.
    let quad = nine[DELTA].outline.clone();
    let mut places = vec![Rigid::IDENTITY];
    let mut angle = 0.0;
    for (turn, from, to) in PATH {
        angle += turn;
        let rotation = Rigid::turn(angle * PI / 180.0);
        let before = places[places.len() - 1].apply(quad[from]);
        places.push(rotation.moved(before - rotation.apply(quad[to])));
    }
    let flip = Rigid::turn(PI).after(&Rigid::mirror());
    let places: Vec<Rigid> = places.iter().map(|p| flip.after(p)).collect();
    let at = |place: usize, corner: usize| places[place].apply(quad[corner]);
    let outline = vec![at(6, 2), at(5, 1), at(3, 2), at(0, 1)];
    let made = |parts: &[Option<usize>; 8]| {
        let parts = parts.iter().zip(&places).filter_map(|(k, by)| k.map(|k| (*by, nine[k].clone())));
        Arc::new(Cluster::of(outline.clone(), parts.collect()))
    };
    MADE_OF.iter().map(made).collect()
}

/// Spectres with edges of a length.
pub(super) fn tiles(edge: f64, reach: f64) -> Vec<Tile> {
    let far = reach / edge + 4.0;
    let mut nine = first();
    // Each cluster of the next level surrounds the fourth of the one before: its middle part is well inside.
    let mut covered = 0.6;
    while covered < far {
        nine = next(&nine);
        covered *= (4.0 + 15.0_f64.sqrt()).sqrt();
    }
    nine = next(&next(&nine));
    let whole = &nine[DELTA];
    let place = whole.middle();
    let outline = corners();
    let tile = |by: &Rigid| {
        straight(&outline.iter().map(|p| (by.apply(*p) - place) * edge).collect::<Vec<_>>(), "spectre")
    };
    within(whole.tiles_near(place, far).iter().map(tile).collect(), reach)
}

#[cfg(test)]
mod tests {
    use super::super::{tests::fits, tiling};
    use super::*;

    /// Counts from one spectre (section 7.3 of the project's check values).
    #[test]
    fn clusters_hold_the_counts_of_the_paper() {
        let mut nine = first();
        for count in [1, 9, 71, 559, 4401, 34_649] {
            assert_eq!(nine[THETA].count(), count);
            nine = next(&nine);
        }
    }

    /// Area 3 + 3√3 and no gap or overlap; all of one hand.
    #[test]
    fn spectres_fit() {
        let tiles = tiling("spectre", 1.0, 26.0).unwrap();
        let area = 3.0 + 27.0_f64.sqrt();
        assert!(tiles.tiles().iter().all(|t| (t.outline.area() - area).abs() < 1e-6));
        fits(tiles.tiles(), "spectre");
        let full = std::f64::consts::PI * 26.0 * 26.0 / area;
        assert!((tiles.tiles().len() as f64 / full - 1.0).abs() < 0.06, "{} of {full}", tiles.tiles().len());
    }
}
