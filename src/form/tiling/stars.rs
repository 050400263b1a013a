//! Star patterns by polygons in contact: from near the middle of each edge two rays leave into each tile at one angle, and
//! end where they meet others. Over tilings of the plane, of the hyperbolic disc, and over the faces of polyhedra, where the
//! pattern lies on the sphere.
//!
//! Source: E. H. Hankin, Memoirs of the Archaeological Survey of India 15 (1925); the choice of which rays meet, by least
//! length, from C. S. Kaplan, Islamic star patterns from polygons in contact, Graphics Interface 2005, 177; other geometries
//! after C. S. Kaplan, D. H. Salesin, ACM Trans. Graph. 23 (2004) 97.

use super::hyperbolic::{
    apart as hyperbolic_distance, geodesic, klein_of, lowered_from_klein, slope_to_klein,
};
use super::{Tile, Tiling, TilingFault};
use crate::base::{Vec2, Vec3};
use crate::form::flat::{Flat, Path, Segment};
use crate::form::net::{Net, bent};

/// Rays that meet nowhere within so many extents of their tile are left out.
const FAR: f64 = 1.5;
/// Two rays in line, to this part of a right angle.
const LEVEL: f64 = 1e-9;
/// Pieces of an arc on the sphere, for each radian.
const PIECES: f64 = 24.0;

/// A ray into a tile, in coordinates in which it is straight.
#[derive(Clone, Copy)]
struct Ray {
    start: Vec2,
    direction: Vec2,
    edge: usize,
}

fn sound(angle: f64, apart: f64) -> Result<(), TilingFault> {
    if !(angle > 1e-6 && angle < std::f64::consts::FRAC_PI_2 - 1e-9) {
        return Err(TilingFault::Unfit(
            "the contact angle lies between 0 and 90 degrees: others meet nowhere".into(),
        ));
    }
    if !(0.0..0.5).contains(&apart) {
        return Err(TilingFault::Unfit(
            "rays start between the middle of an edge and its ends: `apart` is from 0 to below 0.5".into(),
        ));
    }
    Ok(())
}

/// The lines of the pattern, to be drawn: rays at `angle` radians to the edges, `apart` of the edge's length away from the
/// edge's middle to both sides (0 for both from the middle). In the hyperbolic disc rays are arcs.
///
/// # Errors
/// [`TilingFault::Unfit`] for an angle of 0 or a right angle and more, for curved tiles of the plane, and when no rays meet.
pub fn stars(tiling: &Tiling, angle: f64, apart: f64) -> Result<Flat, TilingFault> {
    sound(angle, apart)?;
    let lines: Vec<Path> = match tiling.disc() {
        Some(radius) => tiling.tiles().iter().flat_map(|t| inside_disc(t, radius, angle, apart)).collect(),
        None => {
            let curved = |t: &Tile| t.outline.pieces.iter().any(|s| !matches!(s, Segment::Line(..)));
            if tiling.tiles().iter().any(curved) {
                return Err(TilingFault::Unfit(
                    "star patterns are made over tiles with straight sides".into(),
                ));
            }
            tiling.tiles().iter().flat_map(|t| inside(t, angle, apart)).collect()
        }
    };
    if lines.is_empty() {
        return Err(TilingFault::Unfit("at this contact angle no rays meet inside their tiles".into()));
    }
    Ok(Flat::of_lines(lines))
}

/// The sides of a tile, those in line taken as one.
fn sides(tile: &Tile) -> Vec<(Vec2, Vec2)> {
    tile.outline.clone().tidy(0.0).pieces.iter().map(|s| (s.start(), s.end())).collect()
}

fn rays(tile: &Tile, angle: f64, apart: f64) -> Vec<Ray> {
    let mut rays = Vec::new();
    for (edge, (a, b)) in sides(tile).into_iter().enumerate() {
        let Some(along) = (b - a).unit() else { continue };
        let (middle, off) = (a.toward(b, 0.5), (b - a) * apart);
        // Inside lies to the left. The ray that leans forward starts behind the middle.
        rays.push(Ray { start: middle - off, direction: along.turned(angle), edge });
        rays.push(Ray { start: middle + off, direction: (-along).turned(-angle), edge });
    }
    rays
}

/// Pairs of rays that end where they meet, shortest together first: their starts and the place between.
fn pairs(rays: &[Ray], far: f64, length: impl Fn(Vec2, Vec2) -> f64) -> Vec<[Vec2; 3]> {
    let mut meetings: Vec<(f64, usize, usize, Vec2)> = Vec::new();
    for i in 0..rays.len() {
        for j in i + 1..rays.len() {
            if rays[i].edge != rays[j].edge
                && let Some(at) = meet(&rays[i], &rays[j])
            {
                let long = length(rays[i].start, at) + length(rays[j].start, at);
                if long <= far {
                    meetings.push((long, i, j, at));
                }
            }
        }
    }
    meetings.sort_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));
    let mut used = vec![false; rays.len()];
    let mut found = Vec::new();
    for (_, i, j, at) in meetings {
        if used[i] || used[j] {
            continue;
        }
        (used[i], used[j]) = (true, true);
        found.push([rays[i].start, at, rays[j].start]);
    }
    found
}

/// The lines inside one tile of the plane.
fn inside(tile: &Tile, angle: f64, apart: f64) -> Vec<Path> {
    let rays = rays(tile, angle, apart);
    let (low, high) = tile.outline.bounds();
    let far = (high - low).norm() * FAR;
    let line = |[a, at, b]: [Vec2; 3]| {
        let short = (at - a).norm() < 1e-9 * far || (at - b).norm() < 1e-9 * far;
        Path::polyline(&if short { vec![a, b] } else { vec![a, at, b] })
    };
    pairs(&rays, far, |a, b| (b - a).norm()).into_iter().map(line).collect()
}

/// The lines inside one tile of the hyperbolic disc of a radius: rays are straight in the model of Klein.
fn inside_disc(tile: &Tile, radius: f64, angle: f64, apart: f64) -> Vec<Path> {
    let mut rays = Vec::new();
    let mut around = 0.0;
    for (edge, side) in tile.outline.pieces.iter().enumerate() {
        let (a, b) = (side.start() / radius, side.end() / radius);
        let long = hyperbolic_distance(a, b);
        around += long;
        for (part, lean) in [(0.5 - apart, 1.0), (0.5 + apart, -1.0)] {
            let (start, along) = geodesic(a, b, part);
            let direction = if lean > 0.0 { along.turned(angle) } else { (-along).turned(-angle) };
            rays.push(Ray { start: klein_of(start), direction: slope_to_klein(start, direction), edge });
        }
    }
    let length = |a: Vec2, b: Vec2| hyperbolic_distance(lowered_from_klein(a), lowered_from_klein(b));
    let arc = |a: Vec2, b: Vec2| {
        let (from, to) = (lowered_from_klein(a), lowered_from_klein(b));
        let middle = geodesic(from, to, 0.5).0;
        crate::form::flat::through(from * radius, middle * radius, to * radius)
            .unwrap_or(Segment::Line(from * radius, to * radius))
    };
    pairs(&rays, around * FAR, length)
        .into_iter()
        .map(|[a, at, b]| Path { pieces: vec![arc(a, at), arc(at, b)], closed: false })
        .collect()
}

/// The pattern over the faces of a convex polyhedron, on the sphere about its middle that goes through its furthest corner.
/// Every face is looked at from the middle, where great circles are straight in its plane.
///
/// # Errors
/// [`TilingFault::Unfit`] as for the plane, and for a net without faces.
pub fn stars_on_sphere(net: &Net, angle: f64, apart: f64) -> Result<Net, TilingFault> {
    sound(angle, apart)?;
    if net.faces().is_empty() || net.cells() != 1 {
        return Err(TilingFault::Unfit(
            "star patterns on the sphere are made over the faces of a polyhedron".into(),
        ));
    }
    let radius = net.points().iter().map(|p| p.norm()).fold(0.0, f64::max);
    let mut rows: Vec<Vec<Vec3>> = Vec::new();
    for face in net.faces() {
        let corners: Vec<Vec3> = face.iter().filter_map(|i| net.points()[*i].unit()).collect();
        let Some(out) = corners.iter().fold(Vec3::ZERO, |s, c| s + *c).unit() else { continue };
        let axis = if out.x.abs() < 0.6 { Vec3::new(1.0, 0.0, 0.0) } else { Vec3::new(0.0, 1.0, 0.0) };
        let Some(u) = axis.cross(out).unit() else { continue };
        let v = out.cross(u);
        // The plane that touches the sphere over the face's middle.
        let flat = |p: Vec3| Vec2::new(p.dot(u), p.dot(v)) / p.dot(out);
        let back = |q: Vec2| (out + u * q.x + v * q.y).unit().unwrap_or(out);
        if corners.len() != face.len() || corners.iter().any(|c| c.dot(out) < 1e-6) {
            return Err(TilingFault::Unfit("a face is larger than half of the sphere".into()));
        }
        let mut rays = Vec::new();
        for (edge, a) in corners.iter().enumerate() {
            let b = corners[(edge + 1) % corners.len()];
            for (part, lean) in [(0.5 - apart, 1.0), (0.5 + apart, -1.0)] {
                let Some((start, along)) = great(*a, b, part) else { continue };
                let inward = start.cross(along);
                let way = along * (lean * libm::cos(angle)) + inward * libm::sin(angle);
                // A little along the great circle, seen from the middle.
                let next = flat((start + way * 1e-3).unit().unwrap_or(start));
                let direction = (next - flat(start)).unit().unwrap_or(Vec2::ZERO);
                rays.push(Ray { start: flat(start), direction, edge });
            }
        }
        let length = |a: Vec2, b: Vec2| libm::acos(back(a).dot(back(b)).clamp(-1.0, 1.0));
        for row in pairs(&rays, std::f64::consts::PI, length) {
            rows.push(row.map(back).to_vec());
        }
    }
    if rows.is_empty() {
        return Err(TilingFault::Unfit("at this contact angle no rays meet inside their faces".into()));
    }
    let arcs = rows.iter().flat_map(|row| row.windows(2).map(|w| bow(w[0], w[1], radius)));
    Ok(bent("star pattern", arcs.filter(|a| a.len() > 1)))
}

/// A place on the great circle from a to b, and the direction onwards.
fn great(a: Vec3, b: Vec3, part: f64) -> Option<(Vec3, Vec3)> {
    let across = a.cross(b).unit()?;
    let turn = part * libm::atan2(a.cross(b).norm(), a.dot(b));
    let side = across.cross(a);
    let at = a * libm::cos(turn) + side * libm::sin(turn);
    Some((at, across.cross(at)))
}

/// Places along the great circle between two points of the unit sphere, scaled.
fn bow(a: Vec3, b: Vec3, radius: f64) -> Vec<Vec3> {
    let angle = libm::atan2(a.cross(b).norm(), a.dot(b));
    if angle < 1e-9 {
        return Vec::new();
    }
    let count = (angle * PIECES).ceil().max(1.0);
    let at = |k: f64| great(a, b, k / count).map_or(a, |g| g.0) * radius;
    (0..=count as usize).map(|k| at(k as f64)).collect()
}

/// Where two rays meet. Rays that face each other in line meet half way.
fn meet(a: &Ray, b: &Ray) -> Option<Vec2> {
    let (gap, turn) = (b.start - a.start, a.direction.cross(b.direction));
    if turn.abs() < LEVEL {
        let facing = a.direction.dot(b.direction) < 0.0
            && gap.cross(a.direction).abs() < LEVEL * gap.norm()
            && gap.dot(a.direction) > 0.0;
        return facing.then(|| a.start.toward(b.start, 0.5));
    }
    let (s, t) = (gap.cross(b.direction) / turn, gap.cross(a.direction) / turn);
    (s > 1e-12 && t > 1e-12).then(|| a.start + a.direction * s)
}

#[cfg(test)]
mod tests {
    use std::f64::consts::PI;

    use super::super::straight;
    use super::*;

    /// In a regular n-gon at the angle πd/n the inner corners of the star {n/d} lie on a circle. Source: section 7.4 of the
    /// project's check values.
    #[test]
    fn regular_polygons_hold_their_stars() {
        for (n, d, inner) in [
            (6, 2, 0.5),
            (8, 3, 0.653_281_482),
            (10, 3, 1.118_033_989),
            (12, 5, 0.965_925_826),
            (5, 2, 0.262_865_556),
        ] {
            let reach = 0.5 / libm::sin(PI / f64::from(n));
            let corners: Vec<Vec2> =
                (0..n).map(|k| Vec2::at_angle(2.0 * PI * f64::from(k) / f64::from(n)) * reach).collect();
            let tiling = Tiling::of("one", vec![straight(&corners, "one")]);
            let lines = stars(&tiling, PI * f64::from(d) / f64::from(n), 0.0).unwrap();
            assert_eq!(lines.lines().count(), n as usize, "{n}/{d}");
            for line in lines.lines() {
                let tip = line.pieces[0].end();
                assert!((tip.norm() - inner).abs() < 1e-8, "{n}/{d} {}", tip.norm());
            }
        }
    }

    #[test]
    fn angles_that_meet_nowhere_are_refused() {
        let tiling = super::super::tiling("4.8.8", 10.0, 50.0).unwrap();
        assert!(stars(&tiling, 0.0, 0.0).is_err() && stars(&tiling, PI / 2.0, 0.0).is_err());
        assert!(stars(&tiling, 1.0, 0.5).is_err() && stars(&tiling, 1.0, 0.1).is_ok());
    }

    /// Over a small tile the disc is flat: the same stars as in the plane; tips lie on a circle in every geometry.
    #[test]
    fn stars_in_the_disc_and_on_the_sphere() {
        for (p, q, angle) in [(7, 3, 60.0), (4, 5, 54.0), (5, 4, 72.0)] {
            let disc = super::super::hyperbolic(p, q, 50.0, 2, true).unwrap();
            let lines = stars(&disc, f64::to_radians(angle), 0.0).unwrap();
            let sides: usize = disc.tiles().iter().map(|t| t.outline.pieces.len()).sum();
            assert_eq!(lines.lines().count(), sides, "{p},{q}");
            let middle: Vec<f64> = lines.lines().take(p as usize).map(|l| l.pieces[0].end().norm()).collect();
            assert!(middle.iter().all(|r| (r - middle[0]).abs() < 1e-9 * 50.0), "{middle:?}");
            // At the middle of an edge the two strands go straight on: arcs leave at the angle to the edge's arc.
            let tile = &disc.tiles()[0].outline.pieces[0];
            let line = lines.lines().find(|l| (l.start() - tile.at(0.5)).norm() < 1e-9).unwrap();
            let turn = line.pieces[0].direction(false).cross(tile.slope(0.5).unit().unwrap()).abs();
            assert!((turn - libm::sin(f64::to_radians(angle))).abs() < 1e-6, "{turn}");
        }
        let ball = crate::form::net::polytope("[5,3]", "010", 10.0).unwrap();
        let net = stars_on_sphere(&ball, f64::to_radians(72.0), 0.0).unwrap();
        let radius = ball.points()[0].norm();
        assert!(net.points().iter().all(|p| (p.norm() - radius).abs() < 1e-9));
        // 60 edges whose middles four strands meet in, and a tip for every corner of every face.
        assert_eq!((net.points().len(), net.edges().len()), (60 + 120, 240));
        assert!(stars_on_sphere(&ball, 2.0, 0.0).is_err());
    }
}
