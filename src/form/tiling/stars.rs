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
use crate::form::net::{self, Net};

/// Rays that meet nowhere within so many extents of their tile are left out.
const FAR: f64 = 1.5;
/// Two rays in line, to this part of a right angle.
const LEVEL: f64 = 1e-9;
/// Pieces of an arc on the sphere, for each radian.
const PIECES: f64 = 24.0;

/// Sides and corners of a tile that agree to this part make it regular.
const REGULAR: f64 = 1e-6;
/// Rays that meet nowhere run so far, as a part of the gap between their starts, before they turn to each other.
const BEND: f64 = 0.3;

/// What a star pattern is to be.
#[derive(Clone, Copy, Debug)]
pub struct Stars {
    /// Between rays and edges, radians.
    pub angle: f64,
    /// How far the two rays start from the middle of their edge, as a part of it; below 0.5.
    pub apart: f64,
    /// Regular tiles of so many sides and more hold rosettes; 0 for none.
    pub rosettes: usize,
}

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

/// The lines of the pattern, to be drawn: rays at an angle to the edges, some of the edge's length away from the edge's
/// middle to both sides (0 for both from the middle); and how many rays are left out, as they meet nowhere inside their
/// tile. In the hyperbolic disc rays are arcs.
///
/// # Errors
/// [`TilingFault::Unfit`] for an angle of 0 or a right angle and more, for curved tiles of the plane, for rosettes in the
/// disc, and when no rays meet.
pub fn stars(tiling: &Tiling, ask: &Stars) -> Result<(Flat, usize), TilingFault> {
    sound(ask.angle, ask.apart)?;
    let rows: Vec<(Vec<Path>, usize)> = match tiling.disc() {
        Some(_) if ask.rosettes > 0 => {
            return Err(TilingFault::Unfit("rosettes are made over tilings of the plane".into()));
        }
        Some(radius) => tiling.tiles().iter().map(|t| inside_disc(t, radius, ask.angle, ask.apart)).collect(),
        None => {
            let curved = |t: &Tile| t.outline.pieces.iter().any(|s| !matches!(s, Segment::Line(..)));
            if tiling.tiles().iter().any(curved) {
                return Err(TilingFault::Unfit(
                    "star patterns are made over tiles with straight sides".into(),
                ));
            }
            tiling.tiles().iter().map(|t| inside(t, ask)).collect()
        }
    };
    let loose = rows.iter().map(|r| r.1).sum();
    let lines: Vec<Path> = rows.into_iter().flat_map(|r| r.0).collect();
    if lines.is_empty() {
        return Err(TilingFault::Unfit("at this contact angle no rays meet inside their tiles".into()));
    }
    Ok((Flat::of_lines(lines), loose))
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

/// Two rays, by their numbers, and the place where they end.
type Meeting = (usize, usize, Vec2);

/// Rays in pairs that end where they meet: their numbers and the place; and the rays left over.
struct Paired {
    pairs: Vec<Meeting>,
    loose: Vec<usize>,
}

/// Pairs of rays, those that are shortest together first; `fits` says whether two may meet at a place. Where rays are left
/// over, pairs are parted for them if all four then meet.
fn pairs(
    rays: &[Ray],
    far: f64,
    length: impl Fn(Vec2, Vec2) -> f64,
    fits: impl Fn(&Ray, &Ray, Vec2) -> bool,
) -> Paired {
    let mut meetings: Vec<(f64, usize, usize, Vec2)> = Vec::new();
    for i in 0..rays.len() {
        for j in i + 1..rays.len() {
            if rays[i].edge != rays[j].edge
                && let Some(at) = meet(&rays[i], &rays[j])
            {
                let long = length(rays[i].start, at) + length(rays[j].start, at);
                if long <= far && fits(&rays[i], &rays[j], at) {
                    meetings.push((long, i, j, at));
                }
            }
        }
    }
    meetings.sort_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));
    let mut used = vec![false; rays.len()];
    let mut found = Paired { pairs: Vec::new(), loose: Vec::new() };
    for (_, i, j, at) in &meetings {
        if !(used[*i] || used[*j]) {
            (used[*i], used[*j]) = (true, true);
            found.pairs.push((*i, *j, *at));
        }
    }
    found.loose = (0..rays.len()).filter(|i| !used[*i]).collect();
    while found.parted(&meetings) {}
    found
}

impl Paired {
    /// Parts one pair for two loose rays, so that all four meet; false when there is none.
    fn parted(&mut self, meetings: &[(f64, usize, usize, Vec2)]) -> bool {
        let at = |i: usize, j: usize| {
            meetings.iter().find(|m| (m.1, m.2) == (i.min(j), i.max(j))).map(|m| (m.0, m.3))
        };
        let mut best: Option<(f64, usize, [Meeting; 2])> = None;
        for (k, (a, b, _)) in self.pairs.iter().enumerate() {
            for (n, i) in self.loose.iter().enumerate() {
                for j in &self.loose[..n] {
                    for (c, d) in [(*i, *j), (*j, *i)] {
                        if let (Some(one), Some(two)) = (at(*a, c), at(*b, d)) {
                            let long = one.0 + two.0;
                            if best.is_none_or(|x| long < x.0) {
                                best = Some((long, k, [(*a, c, one.1), (*b, d, two.1)]));
                            }
                        }
                    }
                }
            }
        }
        let Some((_, k, two)) = best else { return false };
        self.pairs.swap_remove(k);
        self.loose.retain(|i| two.iter().all(|p| p.1 != *i));
        self.pairs.extend(two);
        true
    }
}

/// The lines inside one tile of the plane, and how many rays are left out.
fn inside(tile: &Tile, ask: &Stars) -> (Vec<Path>, usize) {
    let sides = sides(tile);
    if ask.rosettes > 0
        && sides.len() >= ask.rosettes
        && let Some(lines) = rosette(&sides, ask)
    {
        return (lines, 0);
    }
    let rays = rays(tile, ask.angle, ask.apart);
    let (low, high) = tile.outline.bounds();
    let far = (high - low).norm() * FAR;
    // What leaves the tile would meet the lines of its neighbours.
    let stays = |ray: &Ray, to: Vec2| {
        let crosses = |(k, (a, b)): (usize, &(Vec2, Vec2))| {
            let side = |p: Vec2, q: Vec2, r: Vec2| (q - p).cross(r - p);
            k != ray.edge
                && side(ray.start, to, *a) * side(ray.start, to, *b) < 0.0
                && side(*a, *b, ray.start) * side(*a, *b, to) < 0.0
        };
        !sides.iter().enumerate().any(crosses)
    };
    let fits = |a: &Ray, b: &Ray, at: Vec2| stays(a, at) && stays(b, at);
    let mut found = pairs(&rays, far, |a, b| (b - a).norm(), fits);
    let mut lines: Vec<Path> = found
        .pairs
        .iter()
        .map(|(i, j, at)| {
            let (a, b) = (rays[*i].start, rays[*j].start);
            let short = (*at - a).norm() < 1e-9 * far || (*at - b).norm() < 1e-9 * far;
            Path::polyline(&if short { vec![a, b] } else { vec![a, *at, b] })
        })
        .collect();
    lines.extend(bent(&rays, &mut found.loose, |a, b, p, q| {
        let across = Ray { start: p, direction: q - p, edge: usize::MAX };
        a.edge != b.edge && stays(a, p) && stays(b, q) && stays(&across, q)
    }));
    (lines, found.loose.len())
}

/// Lines between rays that meet nowhere, the nearest first: each runs a little way, then they turn to each other. Those that
/// find no partner stay loose.
fn bent(rays: &[Ray], loose: &mut Vec<usize>, fits: impl Fn(&Ray, &Ray, Vec2, Vec2) -> bool) -> Vec<Path> {
    let mut lines = Vec::new();
    loop {
        let mut best: Option<(f64, usize, usize, [Vec2; 2])> = None;
        for (n, i) in loose.iter().enumerate() {
            for j in &loose[..n] {
                let (a, b) = (&rays[*i], &rays[*j]);
                let gap = (b.start - a.start).norm();
                let turn = [a, b].map(|r| r.start + r.direction * (BEND * gap));
                if best.is_none_or(|x| gap < x.0) && fits(a, b, turn[0], turn[1]) {
                    best = Some((gap, *i, *j, turn));
                }
            }
        }
        let Some((_, i, j, [p, q])) = best else { return lines };
        loose.retain(|k| *k != i && *k != j);
        lines.push(Path::polyline(&[rays[i].start, p, q, rays[j].start]));
    }
}

/// The rosette in a regular polygon, and `None` in any other: about each middle of an edge a petal of six sides, whose tip
/// is there, whose sides run square to the edge, and whose inner tips are those of a star about the middle. The four outer
/// sides of a petal are equal.
///
/// From the middle of an edge, x along it and y inwards from the polygon's centre: a ray that starts `off` behind the middle
/// turns at B = (h, ρ - t sin θ), h = t cos θ - off, runs along x = h, crosses the ray beside it at C = (h, h cot π/n), on the
/// line to the polygon's corner, and ends at D = (h, h cot 2π/n), on the line to the middle of the next edge. B C is as long
/// as the ray's first part: t = (ρ + off cot π/n)/(1 + sin θ + cos θ cot π/n). Source: A. J. Lee, Muqarnas 4 (1987) 182, who
/// has petals so; the formulas are from this figure.
fn rosette(sides: &[(Vec2, Vec2)], ask: &Stars) -> Option<Vec<Path>> {
    let count = sides.len();
    let centre = sides.iter().fold(Vec2::ZERO, |s, e| s + e.0) / count as f64;
    let (long, round) = ((sides[0].1 - sides[0].0).norm(), (sides[0].0 - centre).norm());
    let alike = |(a, b): &(Vec2, Vec2)| {
        ((*b - *a).norm() - long).abs() < REGULAR * long
            && ((*a - centre).norm() - round).abs() < REGULAR * long
    };
    if count < 5 || !sides.iter().all(alike) {
        return None;
    }
    let step = std::f64::consts::PI / count as f64;
    let cot = |x: f64| 1.0 / libm::tan(x);
    let (inner, off) = (0.5 * long * cot(step), ask.apart * long);
    let (sin, cos) = (libm::sin(ask.angle), libm::cos(ask.angle));
    let t = (inner + off * cot(step)) / (1.0 + sin + cos * cot(step));
    let h = t * cos - off;
    if h <= REGULAR * long {
        return None;
    }
    let line = |k: usize| {
        // Of an edge: its start, B and D for the ray that leans forward (or back).
        let at = |k: usize, x: f64, y: f64| {
            let (a, b) = sides[k % count];
            let along = (b - a) / long;
            centre + along * x - along.left() * y
        };
        let next = k + 2;
        Path::polyline(&[
            at(k, -off, inner),
            at(k, h, inner - t * sin),
            at(k, h, h * cot(2.0 * step)),
            at(next, -h, inner - t * sin),
            at(next, off, inner),
        ])
    };
    Some((0..count).map(line).collect())
}

/// The lines inside one tile of the hyperbolic disc of a radius: rays are straight in the model of Klein.
fn inside_disc(tile: &Tile, radius: f64, angle: f64, apart: f64) -> (Vec<Path>, usize) {
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
    let found = pairs(&rays, around * FAR, length, |_, _, _| true);
    let line = |(i, j, at): &Meeting| Path {
        pieces: vec![arc(rays[*i].start, *at), arc(*at, rays[*j].start)],
        closed: false,
    };
    (found.pairs.iter().map(line).collect(), found.loose.len())
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
        for (i, j, at) in pairs(&rays, std::f64::consts::PI, length, |_, _, _| true).pairs {
            rows.push([rays[i].start, at, rays[j].start].map(back).to_vec());
        }
    }
    if rows.is_empty() {
        return Err(TilingFault::Unfit("at this contact angle no rays meet inside their faces".into()));
    }
    let arcs = rows.iter().flat_map(|row| row.windows(2).map(|w| bow(w[0], w[1], radius)));
    Ok(net::bent("star pattern", arcs.filter(|a| a.len() > 1)))
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

    fn plain(angle: f64, apart: f64) -> Stars {
        Stars { angle, apart, rosettes: 0 }
    }

    fn polygon(n: u32) -> Tiling {
        let reach = 0.5 / libm::sin(PI / f64::from(n));
        let corner = |k: u32| Vec2::at_angle(2.0 * PI * f64::from(k) / f64::from(n)) * reach;
        Tiling::of("one", vec![straight(&(0..n).map(corner).collect::<Vec<_>>(), "one")])
    }

    /// Petals have four equal outer sides; strands go straight on where they cross, and leave at the contact angle.
    #[test]
    fn rosettes_have_equal_petals() {
        for (n, angle) in [(6, 50.0), (8, 45.0), (10, 54.0), (12, 60.0), (5, 40.0)] {
            let angle = f64::to_radians(angle);
            let (made, loose) = stars(&polygon(n), &Stars { angle, apart: 0.0, rosettes: 5 }).unwrap();
            assert_eq!((made.lines().count(), loose), (n as usize, 0));
            let inner = 0.5 / libm::tan(PI / f64::from(n));
            for line in made.lines() {
                let [a, b, d] = [0, 1, 2].map(|k| line.pieces[k].start());
                assert!((a.norm() - inner).abs() < 1e-12);
                // Where the line to D passes the corner's line, half a step on.
                let axis = Vec2::at_angle(a.angle() + PI / f64::from(n)).left();
                let part = b.dot(axis) / (b - d).dot(axis);
                let c = b.toward(d, part);
                assert!(((c - b).norm() - (b - a).norm()).abs() < 1e-12, "{n}");
                assert!((d.angle() - a.angle() - 2.0 * PI / f64::from(n)).sin().abs() < 1e-9, "{n}");
                let turn = (b - a).unit().unwrap().dot(-a.unit().unwrap());
                assert!((turn - angle.sin()).abs() < 1e-12);
            }
        }
        let few = stars(&polygon(6), &Stars { angle: 1.0, apart: 0.0, rosettes: 7 }).unwrap().0;
        assert_eq!(few.lines().next().unwrap().pieces.len(), 2);
    }

    /// Over convex tiles of any form no strand ends in an edge.
    #[test]
    fn strands_go_on_from_tile_to_tile() {
        for (name, angle) in [
            ("[3.4.6.4]", 60.0),
            ("[3.12.12]", 30.0),
            ("[4.6.12]", 55.0),
            ("penrose rhombs", 72.0),
            ("penrose kites", 54.0),
            ("ammann-beenker", 67.5),
            ("3.3.4.3.4", 75.0),
            ("hat", 45.0),
            ("spectre", 60.0),
        ] {
            let tiling = super::super::tiling(name, 10.0, 60.0).unwrap();
            let (_, loose) = stars(&tiling, &plain(f64::to_radians(angle), 0.0)).unwrap();
            // In the hollows of tiles that are not convex a few of the rays, two to a side, have nowhere to go.
            let rays: usize = tiling.tiles().iter().map(|t| 2 * t.outline.pieces.len()).sum();
            let most = if ["hat", "spectre"].contains(&name) { rays / 10 } else { 0 };
            assert!(loose <= most, "{name} at {angle}: {loose}");
        }
    }

    /// In a regular n-gon at the angle πd/n the inner corners of the star {n/d} lie on a circle. Source: section 7.4 of the
    /// project's check values.
    #[test]
    fn regular_polygons_hold_their_stars() {
        for (n, d, inner, area, share) in [
            (6, 2, 0.5, 1.299_038_106, 0.5),
            (8, 3, 0.653_281_482, 2.414_213_562, 0.5),
            (10, 3, 1.118_033_989, 5.316_567_552, 0.690_983_006),
            (12, 5, 0.965_925_826, 5.598_076_211, 0.5),
            (5, 2, 0.262_865_556, 0.531_656_755, 0.309_016_994),
        ] {
            let tiling = polygon(n);
            let lines = stars(&tiling, &plain(PI * f64::from(d) / f64::from(n), 0.0)).unwrap().0;
            assert_eq!(lines.lines().count(), n as usize, "{n}/{d}");
            for line in lines.lines() {
                let tip = line.pieces[0].end();
                assert!((tip.norm() - inner).abs() < 1e-8, "{n}/{d} {}", tip.norm());
            }
            // Each line is two sides of the star, with its points in the middles of the polygon's sides.
            let wedge = |s: &crate::form::flat::Segment| s.start().cross(s.end()).abs() * 0.5;
            let star: f64 = lines.lines().flat_map(|l| &l.pieces).map(wedge).sum();
            let whole = tiling.tiles()[0].outline.area();
            assert!((star - area).abs() < 1e-8 && (star / whole - share).abs() < 1e-8, "{n}/{d} {star}");
        }
    }

    #[test]
    fn angles_that_meet_nowhere_are_refused() {
        let tiling = super::super::tiling("4.8.8", 10.0, 50.0).unwrap();
        let made = |angle: f64, apart: f64| stars(&tiling, &plain(angle, apart));
        assert!(made(0.0, 0.0).is_err() && made(PI / 2.0, 0.0).is_err());
        assert!(made(1.0, 0.5).is_err() && made(1.0, 0.1).is_ok());
    }

    /// Over a small tile the disc is flat: the same stars as in the plane; tips lie on a circle in every geometry.
    #[test]
    fn stars_in_the_disc_and_on_the_sphere() {
        for (p, q, angle) in [(7, 3, 60.0), (4, 5, 54.0), (5, 4, 72.0)] {
            let disc = super::super::hyperbolic(p, q, 50.0, 2, true).unwrap();
            let lines = stars(&disc, &plain(f64::to_radians(angle), 0.0)).unwrap().0;
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
