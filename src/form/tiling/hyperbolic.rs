//! Regular tilings {p,q} of the hyperbolic plane in the disc of H. Poincaré, with true arcs, or in that of E. Beltrami and
//! F. Klein, with straight sides. H. S. M. Coxeter, Non-Euclidean Geometry (1957), and the values of section 5.7 of the
//! project's check values.
//!
//! Tiles are places of one tile: matrices that keep x² + y² - z², found step by step across edges.

use std::collections::BTreeMap;
use std::f64::consts::{PI, TAU};

use super::{Tile, Tiling, TilingFault, straight};
use crate::base::{Affine, Vec2, Vec3};
use crate::form::flat::{Path, through};

/// Most tiles.
const MOST: usize = 50_000;

/// The point of the hyperboloid at a distance from the middle in a direction.
fn point(distance: f64, angle: f64) -> Vec3 {
    let (s, c) = (libm::sinh(distance), libm::cosh(distance));
    let u = Vec2::at_angle(angle);
    Vec3::new(s * u.x, s * u.y, c)
}

/// In the disc of Poincaré: circles stay circles.
fn poincare(p: Vec3) -> Vec2 {
    Vec2::new(p.x, p.y) / (1.0 + p.z)
}

/// In the disc of Klein: lines stay straight.
fn klein(p: Vec3) -> Vec2 {
    Vec2::new(p.x, p.y) / p.z
}

/// The half turn about a point: v ↦ 2 (v·p) p - v with the product that the hyperboloid keeps, -1 on it.
fn half_turn(p: Vec3) -> Affine {
    let about = |v: Vec3| {
        let product = v.z * p.z - v.x * p.x - v.y * p.y;
        p * (2.0 * product) - v
    };
    let [a, b, c] = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]].map(|e| about(Vec3::from(e)));
    Affine { rows: [0, 1, 2].map(|i| Vec3::new(a[i], b[i], c[i])), shift: Vec3::ZERO }
}

/// The tiles of {p,q}, p corners to a tile and q tiles round a corner, reached in `steps` steps across edges from the one
/// in the middle, in a disc of radius `radius` mm; `curved` for Poincaré's disc, else Klein's. Tiles are named by their step,
/// even or odd.
///
/// # Errors
/// [`TilingFault`].
pub fn hyperbolic(p: u32, q: u32, radius: f64, steps: u32, curved: bool) -> Result<Tiling, TilingFault> {
    super::positive("radius", radius)?;
    let hyperbolic = p >= 3 && q >= 3 && (u64::from(p) - 2) * (u64::from(q) - 2) > 4;
    if !hyperbolic || p > 100 || q > 100 {
        let what = match (p >= 3 && q >= 3 && p <= 100 && q <= 100, (p.max(2) - 2) * (q.max(2) - 2)) {
            (false, _) => "p and q of a tiling {p,q} lie between 3 and 100".to_owned(),
            (_, 4) => format!("{{{p},{q}}} tiles the flat plane: `tiling` makes it by its vertex symbol"),
            _ => format!("{{{p},{q}}} is a regular solid: 1/p + 1/q must be less than 1/2"),
        };
        return Err(TilingFault::Unfit(what));
    }
    let angle = |n: u32| PI / f64::from(n);
    // cosh R = cot(π/p) cot(π/q) to a corner, cosh r = cos(π/q)/sin(π/p) to an edge.
    let corner = libm::acosh(1.0 / (libm::tan(angle(p)) * libm::tan(angle(q))));
    let edge = libm::acosh(libm::cos(angle(q)) / libm::sin(angle(p)));
    let turn = |k: u32| TAU * f64::from(k) / f64::from(p);
    let across: Vec<Affine> = (0..p).map(|k| half_turn(point(edge, turn(k) + angle(p)))).collect();
    let places = places(&across, steps)?;
    let corners: Vec<Vec3> = (0..p).map(|k| point(corner, turn(k))).collect();
    let middles: Vec<Vec3> = (0..p).map(|k| point(edge, turn(k) + angle(p))).collect();
    let tile = |(place, step): &(Affine, u32)| {
        let kind = if step % 2 == 0 { "even" } else { "odd" };
        if !curved {
            let flat: Vec<Vec2> = corners.iter().map(|c| klein(place.apply(*c)) * radius).collect();
            return straight(&flat, kind);
        }
        let at: Vec<Vec2> = corners.iter().map(|c| poincare(place.apply(*c)) * radius).collect();
        let sides = (0..at.len()).map(|k| {
            let middle = poincare(place.apply(middles[k])) * radius;
            let (a, b) = (at[k], at[(k + 1) % at.len()]);
            // An edge is less than half a circle that meets the rim square.
            through(a, middle, b).unwrap_or(crate::form::flat::Segment::Line(a, b))
        });
        Tile { outline: Path { pieces: sides.collect(), closed: true }, kind }
    };
    Ok(Tiling::of(&format!("{{{p},{q}}}"), places.iter().map(tile).collect()))
}

/// Places of tiles with the step at which each is first reached.
fn places(across: &[Affine], steps: u32) -> Result<Vec<(Affine, u32)>, TilingFault> {
    let mut found: Vec<(Affine, u32)> = vec![(Affine::IDENTITY, 0)];
    let mut seen: BTreeMap<(i64, i64), Vec<Vec3>> = BTreeMap::new();
    let up = Vec3::new(0.0, 0.0, 1.0);
    // Middles lie at least the shortest edge apart, and further on the hyperboloid the further out.
    let key = |c: Vec3| ((c.x * 4.0).round() as i64, (c.y * 4.0).round() as i64);
    seen.entry(key(up)).or_default().push(up);
    let mut from = 0;
    for step in 1..=steps {
        let to = found.len();
        for i in from..to {
            for turn in across {
                // A neighbour in the tile's own frame, then the tile's place.
                let place = turn.then(&found[i].0);
                let middle = place.apply(up);
                let (x, y) = key(middle);
                let mut near = (-1..=1).flat_map(|u| (-1..=1).map(move |v| (x + u, y + v)));
                let same = |c: &Vec3| (*c - middle).norm() < 1e-3 * middle.z.max(1.0);
                if near.any(|k| seen.get(&k).is_some_and(|list| list.iter().any(same))) {
                    continue;
                }
                seen.entry((x, y)).or_default().push(middle);
                found.push((place, step));
                if found.len() > MOST {
                    return Err(TilingFault::TooMany(found.len() as f64));
                }
            }
        }
        from = to;
    }
    Ok(found)
}

#[cfg(test)]
mod tests {
    use super::super::tests::fits;
    use super::*;
    use crate::form::flat::Segment;

    /// Tiles first reached after n steps (section 5.7 of the project's check values).
    #[test]
    fn tiles_are_as_many_as_counted() {
        for (p, q, counts) in [
            (7, 3, vec![1, 7, 21, 56, 147, 385, 1008]),
            (5, 4, vec![1, 5, 15, 40, 105, 275, 720]),
            (4, 5, vec![1, 4, 12, 28, 64, 148, 340]),
        ] {
            let tiling = hyperbolic(p, q, 1.0, counts.len() as u32 - 1, true).unwrap();
            assert_eq!(tiling.tiles().len(), counts.iter().sum::<usize>(), "{p},{q}");
        }
    }

    /// Vertex and middle of an edge in the disc, and the circle of an edge (section 5.7).
    #[test]
    fn edges_are_the_circles_of_the_formula() {
        for (p, q, vertex, middle, d, rho) in [
            (7, 3, 0.300_742_619, 0.266_077_245, 2.012_192_173, 1.746_114_927),
            (5, 4, 0.397_975_427, 0.303_558_659, 1.798_907_440, 1.495_348_781),
            (4, 5, 0.397_975_427, 0.259_263_587, 2.058_171_027, 1.798_907_440),
        ] {
            let tile = hyperbolic(p, q, 1.0, 0, true).unwrap().tiles()[0].clone();
            let side = tile.outline.pieces[0];
            assert!((side.start().norm() - vertex).abs() < 1e-9);
            assert!((side.at(0.5).norm() - middle).abs() < 1e-9);
            let round = side.round().unwrap();
            assert!((round.centre.norm() - d).abs() < 1e-8 && (round.radius - rho).abs() < 1e-8);
        }
    }

    #[test]
    fn tiles_fit_and_every_edge_meets_the_rim_square() {
        let tiling = hyperbolic(7, 3, 50.0, 4, true).unwrap();
        fits(tiling.tiles(), "7,3");
        for piece in tiling.tiles().iter().flat_map(|t| &t.outline.pieces) {
            let Segment::Arc(..) = piece else { continue };
            let r = piece.round().unwrap();
            let square = (r.centre.dot(r.centre) - r.radius * r.radius) / 2500.0;
            assert!(r.radius > 1e5 || (square - 1.0).abs() < 1e-5, "{square}");
        }
        fits(hyperbolic(5, 4, 50.0, 4, false).unwrap().tiles(), "5,4 straight");
        for (p, q) in [(6, 3), (4, 4), (5, 3), (2, 9), (3, 5), (500, 7)] {
            assert!(hyperbolic(p, q, 1.0, 1, true).is_err());
        }
    }
}
