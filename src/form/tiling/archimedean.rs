//! The eleven edge-to-edge tilings by regular polygons with one kind of corner (J. Kepler, Harmonices Mundi, 1619), by the
//! polygons round a corner; B. Grünbaum, G. C. Shephard, Tilings and Patterns (1987), chapter 2.
//!
//! The corners of a cell are stated, edges are all pairs at distance one, and tiles are what the edges go round.

use std::collections::BTreeMap;
use std::f64::consts::PI;

use super::{Tile, middle, straight};
use crate::base::Vec2;

/// The polygons round a corner, and the corners of a cell for edge 1.
pub(super) struct Vertex {
    steps: [Vec2; 2],
    corners: Vec<Vec2>,
}

/// "3.6.3.6", "3^4.6" or "3⁴.6" as its polygons, in the order that comes first of all ways round.
fn polygons(symbol: &str) -> Option<Vec<u32>> {
    let raised = |c: char| "⁰¹²³⁴⁵⁶⁷⁸⁹".chars().position(|r| r == c);
    let mut text = String::new();
    let mut high = false;
    for c in symbol.chars().filter(|c| !c.is_whitespace()) {
        match raised(c) {
            Some(digit) => {
                if !high {
                    text.push('^');
                }
                text.push(char::from_digit(digit as u32, 10)?);
                high = true;
            }
            None => {
                text.push(c);
                high = false;
            }
        }
    }
    let mut found = Vec::new();
    // "(3.6)^2": all of it so many times.
    if let Some((inner, times)) = text.strip_prefix('(').and_then(|t| t.split_once(")^")) {
        let times = times.parse().ok().filter(|n| (1..=6).contains(n))?;
        text = [inner].repeat(times).join(".");
    }
    for part in text.split('.') {
        let (n, times) = match part.split_once('^') {
            Some((n, times)) => (n.parse::<u32>().ok()?, times.parse().ok()?),
            None => (part.parse::<u32>().ok()?, 1_u32),
        };
        if times > 6 {
            return None;
        }
        found.extend((0..times).map(|_| n));
    }
    let n = found.len();
    let turns = (0..n).flat_map(|i| {
        let forward: Vec<u32> = (0..n).map(|k| found[(i + k) % n]).collect();
        let back: Vec<u32> = (0..n).map(|k| found[(i + n - k) % n]).collect();
        [forward, back]
    });
    turns.min()
}

/// The tiling of a vertex symbol.
pub(super) fn vertex(symbol: &str) -> Option<Vertex> {
    let s3 = 3.0_f64.sqrt();
    let at = Vec2::new;
    let ring = |n: i32, from: f64, radius: f64| {
        (0..n)
            .map(|k| Vec2::at_angle(PI * (from + 2.0 * f64::from(k)) / f64::from(n)) * radius)
            .collect::<Vec<_>>()
    };
    let hexagonal = |a: f64| [at(a, 0.0), at(0.5 * a, 0.5 * s3 * a)];
    let square = |a: f64| [at(a, 0.0), at(0.0, a)];
    let (steps, corners) = match polygons(symbol)?[..] {
        [4, 4, 4, 4] => (square(1.0), vec![Vec2::ZERO]),
        [3, 3, 3, 3, 3, 3] => (hexagonal(1.0), vec![Vec2::ZERO]),
        [6, 6, 6] => (hexagonal(s3), vec![at(0.0, 1.0), at(0.0, -1.0)]),
        [3, 6, 3, 6] => (hexagonal(2.0), vec![at(1.0, 0.0), at(0.5, 0.5 * s3), at(1.5, 0.5 * s3)]),
        // Six corners about each point: a hexagon, turned so that its edges face the next.
        [3, 4, 6, 4] => (hexagonal(1.0 + s3), ring(6, 1.0, 1.0)),
        // Six edges of length 1 on the lines to the six neighbours, between triangles.
        [3, 12, 12] => {
            let a = 2.0 + s3;
            // Triangles stand on the two kinds of hollow of the lattice, a corner towards each neighbour hollow.
            let hollow = [at(0.5 * a, a / (2.0 * s3)), at(a, a / s3)];
            let corners = hollow.iter().enumerate().flat_map(|(k, h)| {
                let up = if k == 0 { -0.5 * PI } else { 0.5 * PI };
                (0..3).map(move |i| *h + Vec2::at_angle(up + 2.0 * PI * f64::from(i) / 3.0) / s3)
            });
            (hexagonal(a), corners.collect())
        }
        [4, 6, 12] => (hexagonal(3.0 + s3), ring(12, 1.0, 0.5 / libm::sin(PI / 12.0))),
        [4, 8, 8] => (square(1.0 + 2.0_f64.sqrt()), ring(4, 0.0, 0.5_f64.sqrt())),
        [3, 3, 3, 4, 4] => ([at(1.0, 0.0), at(0.5, 1.0 + 0.5 * s3)], vec![Vec2::ZERO, at(0.0, 1.0)]),
        // Position (x, x + 1/2) of p4gm; edges across the mirrors have length 2√2 x a.
        [3, 3, 4, 3, 4] => {
            let a = (2.0 + s3).sqrt();
            let (x, h) = (1.0 / 8.0_f64.sqrt(), 0.5 * a);
            (square(a), vec![at(x, x + h), at(-x, h - x), at(h - x, x), at(x + h, -x)])
        }
        // The triangular lattice without every seventh point.
        [3, 3, 3, 3, 6] => ([at(2.5, 0.5 * s3), at(0.5, 1.5 * s3)], ring(6, 0.0, 1.0)),
        _ => return None,
    };
    Some(Vertex { steps, corners })
}

/// Names of regular polygons.
fn name(sides: usize) -> &'static str {
    match sides {
        3 => "triangle",
        4 => "square",
        6 => "hexagon",
        8 => "octagon",
        _ => "dodecagon",
    }
}

/// The tiles whose middles lie within reach.
pub(super) fn tiles(vertex: Vertex, edge: f64, reach: f64) -> Vec<Tile> {
    let far = reach / edge + 5.0;
    let [a, b] = vertex.steps;
    let (m, n) = ((far * b.norm() / a.cross(b)).ceil() as i64, (far * a.norm() / a.cross(b)).ceil() as i64);
    let key = |p: Vec2| ((p.x * 4.0).round() as i64, (p.y * 4.0).round() as i64);
    let mut points: Vec<Vec2> = Vec::new();
    let mut cells: BTreeMap<(i64, i64), Vec<usize>> = BTreeMap::new();
    for i in -m..=m {
        for j in -n..=n {
            for c in &vertex.corners {
                let p = *c + a * i as f64 + b * j as f64;
                if p.norm() <= far {
                    cells.entry(key(p)).or_default().push(points.len());
                    points.push(p);
                }
            }
        }
    }
    let neighbours: Vec<Vec<usize>> =
        (0..points.len()).map(|i| neighbours(i, &points, &cells, key)).collect();
    faces(&points, &neighbours)
        .into_iter()
        .map(|face| straight(&face.iter().map(|i| points[*i] * edge).collect::<Vec<_>>(), name(face.len())))
        .filter(|t| middle(&t.outline).norm() <= reach)
        .collect()
}

/// The points at distance 1, counter-clockwise.
fn neighbours(
    i: usize,
    points: &[Vec2],
    cells: &BTreeMap<(i64, i64), Vec<usize>>,
    key: impl Fn(Vec2) -> (i64, i64),
) -> Vec<usize> {
    let (x, y) = key(points[i]);
    let mut found = Vec::new();
    for u in -5..=5 {
        for v in -5..=5 {
            let near = cells.get(&(x + u, y + v)).into_iter().flatten();
            found.extend(near.filter(|j| ((points[**j] - points[i]).norm() - 1.0).abs() < 1e-6));
        }
    }
    let angle = |j: &usize| (points[*j] - points[i]).angle();
    found.sort_by(|a, b| angle(a).total_cmp(&angle(b)));
    found
}

/// What edges go round counter-clockwise, of twelve sides at most.
fn faces(points: &[Vec2], neighbours: &[Vec<usize>]) -> Vec<Vec<usize>> {
    let mut found = Vec::new();
    for start in 0..points.len() {
        for &second in &neighbours[start] {
            let mut face = vec![start];
            let (mut from, mut at) = (start, second);
            while at != start && face.len() <= 12 {
                face.push(at);
                // The next edge of the face to the left: the one before the way back.
                let way = neighbours[at].iter().position(|k| *k == from).unwrap_or(0);
                let count = neighbours[at].len();
                let next = neighbours[at][(way + count - 1) % count];
                (from, at) = (at, next);
            }
            // Each face is found from each corner: keep the one from its least.
            let least = face.iter().all(|k| *k >= start);
            let sum: f64 =
                (0..face.len()).map(|k| points[face[k]].cross(points[face[(k + 1) % face.len()]])).sum();
            if at == start && face.len() <= 12 && least && sum > 0.0 {
                found.push(face);
            }
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::super::{tests::fits, tiling};
    use super::*;

    /// Area for each corner with edge 1. Source: section 5.4 of the project's check values (Σ Aₙ/n).
    #[test]
    fn the_eleven_have_their_area_for_each_corner() {
        for (symbol, area) in [
            ("3^6", 0.866_025),
            ("3^4.6", 1.010_363),
            ("3³.4²", 0.933_013),
            ("3^2.4.3.4", 0.933_013),
            ("3.4.6.4", 1.077_350),
            ("3.6.3.6", 1.154_701),
            ("3.12^2", 2.010_363),
            ("4^4", 1.0),
            ("4.6.12", 1.616_025),
            ("4.8²", 1.457_107),
            ("6^3", 1.299_038),
        ] {
            let cell = vertex(symbol).unwrap();
            let each = cell.steps[0].cross(cell.steps[1]) / cell.corners.len() as f64;
            assert!((each - area).abs() < 1e-6, "{symbol} {each}");
            let made = tiling(symbol, 2.0, 16.0).unwrap();
            fits(made.tiles(), symbol);
            let want = polygons(symbol).unwrap();
            for tile in made.tiles() {
                assert!(want.contains(&(tile.outline.pieces.len() as u32)), "{symbol}");
                assert!(tile.outline.pieces.iter().all(|s| (s.length() - 2.0).abs() < 1e-9));
            }
            let dual = tiling(&format!("[{symbol}]"), 2.0, 12.0).unwrap();
            fits(dual.tiles(), &format!("[{symbol}]"));
            // One congruent tile, of the area for a corner.
            assert!(dual.tiles().iter().all(|t| (t.outline.area() - 4.0 * area).abs() < 1e-4), "[{symbol}]");
            assert!(dual.tiles().len() > 10);
        }
        assert_eq!(polygons("6.4.3.4"), Some(vec![3, 4, 6, 4]));
        for symbol in ["(3.6)^2", "(3.6)²", "(3.6) ²"] {
            assert_eq!(polygons(symbol).unwrap(), polygons("3.6.3.6").unwrap(), "{symbol}");
        }
        assert!(polygons("(3.6").is_none() && polygons("(3.6)^9").is_none());
        assert!(vertex("5.5.10").is_none() && vertex("").is_none() && vertex("3^99").is_none());
    }
}
