//! Regular tilings {p,q} of the hyperbolic plane in the disc of H. Poincaré, with true arcs, or in that of E. Beltrami and
//! F. Klein, with straight sides. H. S. M. Coxeter, Non-Euclidean Geometry (1957), and the values of section 5.7 of the
//! project's check values.
//!
//! Tiles are places of one tile: matrices that keep x² + y² - z², found step by step across edges.

use std::collections::BTreeMap;
use std::f64::consts::{PI, TAU};

use super::{Disc, Tile, Tiling, TilingFault, straight};
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

/// A point of the disc of radius 1 on the hyperboloid.
fn raised(u: Vec2) -> Vec3 {
    let square = u.dot(u);
    Vec3::new(2.0 * u.x, 2.0 * u.y, 1.0 + square) * (1.0 / (1.0 - square))
}

/// The product that the hyperboloid keeps, -1 on it.
fn product(a: Vec3, b: Vec3) -> f64 {
    a.x * b.x + a.y * b.y - a.z * b.z
}

/// Distance of two points of Poincaré's disc of radius 1.
pub(super) fn apart(a: Vec2, b: Vec2) -> f64 {
    let gap = b - a;
    2.0 * libm::asinh(gap.norm() / ((1.0 - a.dot(a)) * (1.0 - b.dot(b))).max(1e-300).sqrt())
}

/// The place at a part of the way from a to b in Poincaré's disc of radius 1, and the direction there.
pub(super) fn geodesic(a: Vec2, b: Vec2, part: f64) -> (Vec2, Vec2) {
    let long = apart(a, b);
    let (p, q) = (raised(a), raised(b));
    let s = libm::sinh(long).max(1e-300);
    let mix = |u: f64, v: f64| p * u + q * v;
    let at = mix(libm::sinh(long * (1.0 - part)) / s, libm::sinh(long * part) / s);
    let speed = mix(-libm::cosh(long * (1.0 - part)) / s, libm::cosh(long * part) / s);
    let u = poincare(at);
    let slope = Vec2::new(speed.x, speed.y) - u * speed.z;
    (u, slope.unit().unwrap_or(Vec2::ZERO))
}

/// A point of Poincaré's disc of radius 1 in Klein's.
pub(super) fn klein_of(u: Vec2) -> Vec2 {
    u * (2.0 / (1.0 + u.dot(u)))
}

/// A point of Poincaré's disc of radius 1 after the motion that brings another to the middle and turns nothing there:
/// (z - c)/(1 - c̄ z) in complex numbers.
pub(super) fn seen_from(c: Vec2, z: Vec2) -> Vec2 {
    let (over, under) = (z - c, Vec2::new(1.0 - c.dot(z), -c.cross(z)));
    Vec2::new(over.dot(under), -over.cross(under)) / under.dot(under)
}

/// A point of Klein's disc of radius 1 in Poincaré's.
pub(super) fn lowered_from_klein(k: Vec2) -> Vec2 {
    k / (1.0 + (1.0 - k.dot(k)).max(0.0).sqrt())
}

/// A direction at a point of Poincaré's disc as it is in Klein's.
pub(super) fn slope_to_klein(u: Vec2, d: Vec2) -> Vec2 {
    let below = 1.0 + u.dot(u);
    (d * below - u * (2.0 * u.dot(d))).unit().unwrap_or(Vec2::ZERO)
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
    let made = Tiling::of(&format!("{{{p},{q}}}"), places.iter().map(tile).collect());
    Ok(made.in_disc(radius, curved))
}

/// A uniform tiling by the mirrors of the triangle with angles 180°/p, 180°/q and a right one: a point off the mirrors that
/// have a ring ("100" is {p,q}, "110" truncates it, "010" has p- and q-gons in turn), and all its images; "sss" is the snub,
/// every second image of a point off all mirrors. As far as `steps` steps from the middle tile of {p,q}; `curved` as for
/// [`hyperbolic`].
///
/// # Errors
/// [`TilingFault`].
pub fn uniform(
    p: u32,
    q: u32,
    radius: f64,
    steps: u32,
    rings: &str,
    curved: bool,
) -> Result<Tiling, TilingFault> {
    let ringed: Vec<bool> = rings.chars().map(|c| c != '0').collect();
    let plain = rings.chars().all(|c| "01".contains(c)) && rings.contains('1');
    if ringed.len() != 3 || !(plain || rings == "sss") {
        return Err(TilingFault::Unfit(
            "rings on 3 mirrors are 3 figures, 1 for a ring and 0 for none, as \"110\", or \"sss\" for the snub".into(),
        ));
    }
    let whole = hyperbolic(p, q, radius, steps, curved)?;
    if rings == "100" {
        return Ok(whole);
    }
    let angle = |n: u32| PI / f64::from(n);
    let edge = libm::acosh(libm::cos(angle(q)) / libm::sin(angle(p)));
    let turn = |k: u32| TAU * f64::from(k) / f64::from(p);
    let across: Vec<Affine> = (0..p).map(|k| half_turn(point(edge, turn(k) + angle(p)))).collect();
    let places = places(&across, steps)?;
    let mut tiles = Vec::new();
    let mut seen: BTreeMap<(i64, i64), Vec<Vec3>> = BTreeMap::new();
    let key = |c: Vec3| ((c.x * 4.0).round() as i64, (c.y * 4.0).round() as i64);
    for Round { corners, centre, copies } in rounds([p, q], &ringed, rings == "sss")? {
        let kind = name(corners.len());
        for (place, _) in &places {
            for k in 0..copies {
                let placed = about(turn(k)).then(place);
                let at = placed.apply(centre);
                let (x, y) = key(at);
                let mut near = (-1..=1).flat_map(|u| (-1..=1).map(move |v| (x + u, y + v)));
                let same = |c: &Vec3| (*c - at).norm() < 1e-3 * at.z.max(1.0);
                if near.any(|k| seen.get(&k).is_some_and(|list| list.iter().any(same))) {
                    continue;
                }
                seen.entry((x, y)).or_default().push(at);
                let corners: Vec<Vec3> = corners.iter().map(|c| placed.apply(*c)).collect();
                tiles.push(if curved {
                    arched(&corners, radius, kind)
                } else {
                    straight(&corners.iter().map(|c| klein(*c) * radius).collect::<Vec<_>>(), kind)
                });
                if tiles.len() > MOST {
                    return Err(TilingFault::TooMany(tiles.len() as f64));
                }
            }
        }
    }
    let made = Tiling::of(&format!("{{{p},{q}}} {rings}"), tiles);
    Ok(made.in_disc(radius, curved))
}

/// A tile of a uniform tiling: its corners on the hyperboloid, a point that tells it from others, and how many of it stand
/// about the middle of a tile of {p,q}.
struct Round {
    corners: Vec<Vec3>,
    centre: Vec3,
    copies: u32,
}

/// The tiles of a uniform tiling that touch one chamber of the mirrors.
fn rounds([p, q]: [u32; 2], ringed: &[bool], snub: bool) -> Result<Vec<Round>, TilingFault> {
    let angle = |n: u32| PI / f64::from(n);
    let corner = libm::acosh(1.0 / (libm::tan(angle(p)) * libm::tan(angle(q))));
    let edge = libm::acosh(libm::cos(angle(q)) / libm::sin(angle(p)));
    // The triangle: middle of a tile, middle of an edge, corner.
    let corners = [point(0.0, 0.0), point(edge, angle(p)), point(corner, 0.0)];
    let mirror = |a: Vec3, b: Vec3, behind: Vec3| {
        let c = a.cross(b);
        let n = Vec3::new(c.x, c.y, -c.z);
        let n = n * (1.0 / product(n, n).sqrt());
        if product(n, behind) > 0.0 { -n } else { n }
    };
    // Coxeter's order: between the first two mirrors 180°/p, between the last two 180°/q.
    let normals = [
        mirror(corners[0], corners[1], corners[2]),
        mirror(corners[0], corners[2], corners[1]),
        mirror(corners[1], corners[2], corners[0]),
    ];
    let none = || TilingFault::Unfit("these rings make no tiling".into());
    let seed = seed(&normals, ringed).ok_or_else(none)?;
    let seed = if snub { equal(&normals, seed).ok_or_else(none)? } else { seed };
    // Of each pair of mirrors, the centre about which their images of the seed lie and how often they go round.
    let kinds = [(0, 1, corners[0], p, 1), (1, 2, corners[2], q, p), (0, 2, corners[1], 2, p)];
    let mut found = Vec::new();
    for (i, j, centre, turns, copies) in kinds {
        if !(ringed[i] || ringed[j]) || (turns == 2 && (snub || !(ringed[i] && ringed[j]))) {
            continue;
        }
        let all = face(seed, [normals[i], normals[j]], turns);
        // Every second image: those that turns alone make.
        let corners = if snub { all.into_iter().step_by(2).collect() } else { all };
        found.push(Round { corners, centre, copies });
    }
    if snub {
        // Between the images of a chamber that is mirrored, those of its three neighbours, which are not.
        let by = |i: usize| reflected(reflected(seed, normals[i]), normals[0]);
        let corners = vec![seed, by(1), by(2)];
        let sum = corners.iter().fold(Vec3::ZERO, |sum, c| sum + *c);
        found.push(Round { centre: sum * (1.0 / (-product(sum, sum)).sqrt()), corners, copies: p });
    }
    Ok(found)
}

fn reflected(p: Vec3, n: Vec3) -> Vec3 {
    p - n * (2.0 * product(p, n))
}

/// The point of the chamber whose images in the three mirrors are equally far from one another: Newton's method on two
/// differences, from the middle of the chamber, in Klein's disc.
fn equal(normals: &[Vec3; 3], start: Vec3) -> Option<Vec3> {
    let raise = |k: Vec2| {
        let z = 1.0 / (1.0 - k.dot(k)).sqrt();
        (k.dot(k) < 1.0).then(|| Vec3::new(k.x * z, k.y * z, z))
    };
    let off = |k: Vec2| {
        let p = raise(k)?;
        let [a, b, c] = normals.map(|n| reflected(p, n));
        Some(Vec2::new(product(a, b) - product(b, c), product(b, c) - product(a, c)))
    };
    let mut at = klein(start);
    for _ in 0..60 {
        let step = 1e-7;
        let f = off(at)?;
        let fx = (off(at + Vec2::new(step, 0.0))? - f) / step;
        let fy = (off(at + Vec2::new(0.0, step))? - f) / step;
        let det = fx.cross(fy);
        if f.norm() < 1e-14 || det == 0.0 {
            break;
        }
        let by = Vec2::new(f.cross(fy), fx.cross(f)) / det;
        at = at - by * (0.05 / by.norm()).min(1.0);
    }
    let p = raise(at)?;
    (off(at)?.norm() < 1e-9 && normals.iter().all(|n| product(*n, p) < 0.0)).then_some(p)
}

/// The turn of the hyperboloid about its axis.
fn about(angle: f64) -> Affine {
    Affine::turn(Vec3::new(0.0, 0.0, 1.0), angle).unwrap_or(Affine::IDENTITY)
}

/// The point at equal distance from the mirrors with a ring, on the others.
fn seed(normals: &[Vec3; 3], ringed: &[bool]) -> Option<Vec3> {
    // Solve product(n, x) = -1 or 0 for the three mirrors by Cramer's rule, then go to the hyperboloid.
    let rows = normals.map(|n| Vec3::new(n.x, n.y, -n.z));
    let want = [0, 1, 2].map(|i| if ringed[i] { -1.0 } else { 0.0 });
    let det = rows[0].dot(rows[1].cross(rows[2]));
    let x = (rows[1].cross(rows[2]) * want[0]
        + rows[2].cross(rows[0]) * want[1]
        + rows[0].cross(rows[1]) * want[2])
        * (1.0 / det);
    let x = if x.z < 0.0 { -x } else { x };
    let square = -product(x, x);
    (square > 1e-12).then(|| x * (1.0 / square.sqrt()))
}

/// Images of a point under two mirrors in turn, those that coincide once.
fn face(seed: Vec3, mirrors: [Vec3; 2], turns: u32) -> Vec<Vec3> {
    let mut at = seed;
    let mut found = vec![seed];
    // The words r, rs, rsr, ... of Wythoff's construction: applied from the left they walk round the face.
    for k in 1..2 * turns as usize {
        let mut p = seed;
        for letter in (0..k).rev() {
            p = reflected(p, mirrors[letter % 2]);
        }
        if (p - at).norm() > 1e-7 && (p - seed).norm() > 1e-7 {
            found.push(p);
        }
        at = p;
    }
    found
}

fn name(sides: usize) -> &'static str {
    match sides {
        3 => "triangle",
        4 => "square",
        5 => "pentagon",
        6 => "hexagon",
        7 => "heptagon",
        8 => "octagon",
        10 => "decagon",
        12 => "dodecagon",
        14 => "14-gon",
        16 => "16-gon",
        _ => "polygon",
    }
}

/// A tile with corners on the hyperboloid, its sides arcs.
fn arched(corners: &[Vec3], radius: f64, kind: &'static str) -> Tile {
    let n = corners.len();
    let sides = (0..n).map(|k| {
        let (a, b) = (corners[k], corners[(k + 1) % n]);
        let sum = a + b;
        let middle = sum * (1.0 / (-product(sum, sum)).max(1e-300).sqrt());
        let [a, m, b] = [a, middle, b].map(|c| poincare(c) * radius);
        through(a, m, b).unwrap_or(crate::form::flat::Segment::Line(a, b))
    });
    let outline = Path { pieces: sides.collect(), closed: true };
    Tile { outline: if outline.area() < 0.0 { outline.reversed() } else { outline }, kind }
}

impl Disc {
    /// A place of the disc in Poincaré's of radius 1.
    pub(super) fn unit(&self, p: Vec2) -> Vec2 {
        let p = p / self.radius;
        if self.curved { p } else { lowered_from_klein(p) }
    }

    /// A place of Poincaré's disc of radius 1 as the disc shows it.
    pub(super) fn shown(&self, u: Vec2) -> Vec2 {
        (if self.curved { u } else { klein_of(u) }) * self.radius
    }

    /// The middle of a tile, in Poincaré's disc of radius 1: the mean of its corners on the hyperboloid, brought back onto it.
    pub(super) fn middle(&self, outline: &Path) -> Vec2 {
        let sum = outline.pieces.iter().fold(Vec3::ZERO, |sum, s| sum + raised(self.unit(s.start())));
        poincare(sum * (1.0 / (-product(sum, sum)).max(1e-300).sqrt()))
    }
}

/// A tile with these corners in Poincaré's disc, its sides arcs.
pub(super) fn of_corners(corners: &[Vec2], radius: f64, kind: &'static str) -> Tile {
    let up: Vec<Vec3> = corners.iter().map(|c| raised(*c / radius)).collect();
    arched(&up, radius, kind)
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

    /// Uniform tilings: tiles fit, every corner has the polygons that the rings say (Coxeter, Regular Polytopes, chapter 5).
    #[test]
    fn uniform_tilings_fit() {
        for (p, q, rings, kinds) in [
            (7, 3, "110", vec!["14-gon", "triangle"]),
            (7, 3, "010", vec!["heptagon", "triangle"]),
            (7, 3, "011", vec!["heptagon", "hexagon"]),
            (7, 3, "101", vec!["heptagon", "square", "triangle"]),
            (7, 3, "111", vec!["14-gon", "hexagon", "square"]),
            (5, 4, "010", vec!["pentagon", "square"]),
            (7, 3, "sss", vec!["heptagon", "triangle"]),
            (5, 4, "sss", vec!["pentagon", "square", "triangle"]),
            (6, 5, "sss", vec!["hexagon", "pentagon", "triangle"]),
        ] {
            let made = uniform(p, q, 50.0, 2, rings, true).unwrap();
            fits(made.tiles(), &format!("{p},{q} {rings}"));
            assert_eq!(made.counts().into_keys().collect::<Vec<_>>(), kinds, "{p},{q} {rings}");
            let edge = |t: &Tile| {
                let lengths: Vec<f64> =
                    t.outline.pieces.iter().map(|s| apart(s.start() / 50.0, s.end() / 50.0)).collect();
                lengths.iter().all(|l| (l - lengths[0]).abs() < 1e-6).then_some(lengths[0])
            };
            let lengths: Vec<f64> = made.tiles().iter().map(|t| edge(t).unwrap()).collect();
            assert!(lengths.iter().all(|l| (l - lengths[0]).abs() < 1e-6), "{p},{q} {rings}");
        }
        for bad in ["000", "11", "s1s", "ss", ""] {
            assert!(uniform(7, 3, 1.0, 1, bad, true).is_err(), "{bad}");
        }
    }

    /// Of a snub tiling five tiles stand about a corner: a p-gon, a q-gon and three triangles (Coxeter, Regular Polytopes,
    /// section 5.4). In Klein's disc the same tiles have straight sides.
    #[test]
    fn snubs_and_straight_sides() {
        let made = uniform(5, 4, 1.0, 3, "sss", true).unwrap();
        let flat = uniform(5, 4, 1.0, 3, "sss", false).unwrap();
        fits(flat.tiles(), "5,4 sss straight");
        assert_eq!(made.tiles().len(), flat.tiles().len());
        for (a, b) in made.tiles().iter().zip(flat.tiles()) {
            let at = |t: &Tile| t.outline.pieces.iter().map(Segment::start).collect::<Vec<_>>();
            for p in at(a) {
                assert!(at(b).iter().any(|k| (*k - klein_of(p)).norm() < 1e-9));
            }
            assert!(b.outline.pieces.iter().all(|s| matches!(s, Segment::Line(..))));
        }
        let middle = made.tiles().iter().find(|t| t.kind == "pentagon").unwrap();
        for corner in middle.outline.pieces.iter().map(Segment::start) {
            let here = |t: &&Tile| t.outline.pieces.iter().any(|s| (s.start() - corner).norm() < 1e-6);
            let mut kinds: Vec<&str> = made.tiles().iter().filter(here).map(|t| t.kind).collect();
            kinds.sort_unstable();
            assert_eq!(kinds, ["pentagon", "square", "triangle", "triangle", "triangle"]);
        }
    }

    #[test]
    fn models_agree() {
        let (a, b) = (Vec2::new(0.3, -0.2), Vec2::new(-0.5, 0.6));
        let (m, _) = geodesic(a, b, 0.3);
        assert!((apart(a, m) - 0.3 * apart(a, b)).abs() < 1e-12);
        assert!((lowered_from_klein(klein_of(a)) - a).norm() < 1e-15);
        let k = klein_of(a).toward(klein_of(b), 0.4) - klein_of(m);
        assert!((klein_of(b) - klein_of(a)).cross(k).abs() < 1e-12);
    }

    /// The dual of {7,3} is {3,7}: triangles, seven about a corner, with the angles of a seventh of a turn and the same area
    /// π/7, whichever disc shows them (H. S. M. Coxeter; section 5.7 of the check values for the tiles).
    #[test]
    fn duals_are_made_of_middles() {
        for curved in [true, false] {
            let dual = hyperbolic(7, 3, 50.0, 3, curved).unwrap().dual().unwrap();
            // Corners inside three steps: 7 for the middle tile, and so on; each tile is a triangle.
            assert!(dual.tiles().len() > 60 && dual.tiles().iter().all(|t| t.outline.pieces.len() == 3));
            let wanted = {
                // cosh of the side of {3,7}: 2 cosh(s/2)² - 1, cosh(s/2) = cos(π/3)/sin(π/7).
                let half = (PI / 3.0).cos() / (PI / 7.0).sin();
                2.0 * half.acosh()
            };
            for tile in dual.tiles() {
                for s in &tile.outline.pieces {
                    let ends = [s.start(), s.end()].map(|p| p / 50.0);
                    let [a, b] = if curved { ends } else { ends.map(lowered_from_klein) };
                    assert!((apart(a, b) - wanted).abs() < 1e-6, "{} {wanted}", apart(a, b));
                }
            }
        }
    }
}
