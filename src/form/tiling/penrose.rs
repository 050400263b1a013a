//! The tilings of R. Penrose (Bull. Inst. Math. Appl. 10 (1974) 266) by rhombs and by kites and darts: half tiles cut into
//! smaller half tiles (R. M. Robinson, 1975; Grünbaum and Shephard, Tilings and Patterns, section 10.3).

use std::f64::consts::PI;

use super::{Tile, straight, within};
use crate::base::Vec2;

/// A half tile: its sort (0 or 1) and its corners. The whole tile is mirrored in the side from the second to the third.
pub(super) type Half = (u8, [Vec2; 3]);

fn golden() -> f64 {
    f64::midpoint(1.0, 5.0_f64.sqrt())
}

/// Halves cut again and again from a wheel of ten until edges shrink to `edge`; those out of reach are dropped.
fn halves(cut: fn(&Half) -> Vec<Half>, wheel: &[Half], side: f64, edge: f64, reach: f64) -> Vec<Half> {
    let phi = golden();
    // The wheel's inradius must cover the reach once the edges have their length.
    let steps = libm::ceil(libm::log((reach / edge + 2.0) / 0.9) / libm::log(phi)).max(0.0) as i32;
    let scale = edge / side * libm::pow(phi, f64::from(steps));
    let mut all: Vec<Half> = wheel.iter().map(|(k, c)| (*k, c.map(|p| p * scale))).collect();
    for step in 1..=steps {
        let size = 2.0 * scale * side * libm::pow(phi, -f64::from(step)) * phi;
        all = all.iter().flat_map(cut).collect();
        all.retain(|(_, c)| c.iter().any(|p| p.norm() <= reach + size));
    }
    all
}

/// Whole tiles of halves; `far` is where the third corner of the mirrored half stands.
pub(super) fn whole(halves: &[Half], kinds: [&'static str; 2], reach: f64, edge: f64) -> Vec<Tile> {
    let key = |p: Vec2| ((p.x / edge * 16.0).round() as i64, (p.y / edge * 16.0).round() as i64);
    let mut seen = std::collections::BTreeMap::<(i64, i64), Vec<Vec2>>::new();
    let mut tiles = Vec::new();
    for (sort, [a, b, c]) in halves {
        let middle = b.toward(*c, 0.5);
        let (i, j) = key(middle);
        let known = (-1..=1).flat_map(|x| (-1..=1).map(move |y| (i + x, j + y)));
        if known.filter_map(|k| seen.get(&k)).flatten().any(|p| (*p - middle).norm() < 1e-6 * edge) {
            continue;
        }
        seen.entry((i, j)).or_default().push(middle);
        let axis = *c - *b;
        let along = *b + axis * ((*a - *b).dot(axis) / axis.dot(axis));
        let other = along * 2.0 - *a;
        tiles.push(straight(&[*b, *a, *c, other], kinds[usize::from(*sort)]));
    }
    within(tiles, reach)
}

fn cut_rhomb((sort, [a, b, c]): &Half) -> Vec<Half> {
    let share = 1.0 / golden();
    match sort {
        0 => {
            let p = a.toward(*b, share);
            vec![(0, [*c, p, *b]), (1, [p, *c, *a])]
        }
        _ => {
            let (q, r) = (b.toward(*a, share), b.toward(*c, share));
            vec![(1, [r, *c, *a]), (1, [q, r, *b]), (0, [r, q, *a])]
        }
    }
}

fn cut_kite((sort, [a, b, c]): &Half) -> Vec<Half> {
    let share = 1.0 / golden();
    match sort {
        0 => {
            let (q, r) = (a.toward(*b, share), b.toward(*c, share));
            vec![(1, [r, q, *b]), (0, [q, *a, r]), (0, [*c, *a, r])]
        }
        _ => {
            let p = c.toward(*a, share);
            vec![(1, [*b, p, *a]), (0, [p, *c, *b])]
        }
    }
}

/// Ten halves about the origin, every other one mirrored.
fn wheel(order: fn(Vec2, Vec2) -> [Vec2; 3]) -> Vec<Half> {
    let at = |k: i32| Vec2::at_angle(PI * f64::from(k) / 10.0);
    let half = |k: i32| {
        let (b, c) = (at(2 * k - 1), at(2 * k + 1));
        (0, if k % 2 == 0 { order(c, b) } else { order(b, c) })
    };
    (0..10).map(half).collect()
}

/// Rhombs with edges of a length.
pub(super) fn rhombs(edge: f64, reach: f64) -> Vec<Tile> {
    let start = wheel(|b, c| [Vec2::ZERO, b, c]);
    whole(&halves(cut_rhomb, &start, 1.0, edge, reach), ["thin", "thick"], reach, edge)
}

/// Kites and darts with short edges of a length.
pub(super) fn kites(edge: f64, reach: f64) -> Vec<Tile> {
    let start = wheel(|b, c| [b, Vec2::ZERO, c]);
    whole(&halves(cut_kite, &start, 1.0 / golden(), edge, reach), ["kite", "dart"], reach, edge)
}

#[cfg(test)]
mod tests {
    use super::super::{tests::fits, tiling};
    use super::*;

    fn count(halves: &[Half]) -> (usize, usize) {
        (halves.iter().filter(|h| h.0 == 0).count(), halves.iter().filter(|h| h.0 == 1).count())
    }

    /// Counts of halves from a wheel of ten. Source: section 7.1 of the project's check values.
    #[test]
    fn halves_multiply_by_the_golden_square() {
        let mut all = wheel(|b, c| [b, Vec2::ZERO, c]);
        for want in [(10, 0), (20, 10), (50, 30), (130, 80), (340, 210), (890, 550)] {
            assert_eq!(count(&all), want);
            all = all.iter().flat_map(cut_kite).collect();
        }
        // One thick rhomb is two halves: 1,0 / 2,1 / 5,3 / 13,8 whole rhombs, thick and thin.
        let mut all = vec![(1, [Vec2::ZERO, Vec2::new(1.0, 0.0), Vec2::at_angle(0.6 * PI)])];
        for (thick, thin) in [(1, 0), (2, 1), (5, 3), (13, 8), (34, 21), (89, 55), (233, 144)] {
            assert_eq!(count(&all), (thin, thick));
            all = all.iter().flat_map(cut_rhomb).collect();
        }
    }

    /// Areas, angles and the golden ratio of counts (section 7.1).
    #[test]
    fn tiles_are_whole_and_fit() {
        let rhombs = tiling("penrose rhombs", 1.0, 14.0).unwrap();
        fits(rhombs.tiles(), "rhombs");
        for tile in rhombs.tiles() {
            let area = if tile.kind == "thick" { 0.951_056_516 } else { 0.587_785_252 };
            assert!((tile.outline.area() - area).abs() < 1e-8);
            assert!(tile.outline.pieces.iter().all(|s| (s.length() - 1.0).abs() < 1e-9));
        }
        let ratio = rhombs.counts()["thick"] as f64 / rhombs.counts()["thin"] as f64;
        assert!((ratio - golden()).abs() < 0.08, "{ratio}");
        let kites = tiling("penrose kites", 1.0, 14.0).unwrap();
        fits(kites.tiles(), "kites");
        for tile in kites.tiles() {
            let area = if tile.kind == "kite" { 1.538_841_769 } else { 0.951_056_516 };
            assert!((tile.outline.area() - area).abs() < 1e-8, "{} {}", tile.kind, tile.outline.area());
        }
        let ratio = kites.counts()["kite"] as f64 / kites.counts()["dart"] as f64;
        assert!((ratio - golden()).abs() < 0.08, "{ratio}");
    }
}
