//! Star patterns by polygons in contact: from near the middle of each edge two rays leave into each tile at one angle;
//! the two that lean to one corner end where they meet. Over tilings of the plane, of the hyperbolic disc, and over the
//! faces of polyhedra, where the pattern lies on the sphere.
//!
//! Source: E. H. Hankin, Memoirs of the Archaeological Survey of India 15 (1925); C. S. Kaplan, Islamic star patterns
//! from polygons in contact, Graphics Interface 2005, 177; other geometries after C. S. Kaplan, D. H. Salesin, ACM
//! Trans. Graph. 23 (2004) 97.

use super::hyperbolic::{geodesic, klein_of, lowered_from_klein, seen_from, slope_to_klein};
use super::interlace::crossed;
use super::rosette::rosette;
use super::{Disc, Tile, Tiling, TilingFault};
use crate::base::{Vec2, Vec3};
use crate::form::flat::{Flat, Path, Segment};
use crate::form::net::{self, Net};

/// Rays that meet nowhere within so many extents of their tile are left out.
const FAR: f64 = 1.5;
/// Two rays in line, to this part of a right angle.
const LEVEL: f64 = 1e-9;
/// Pieces of an arc on the sphere, for each radian.
const PIECES: f64 = 24.0;

/// Places of a face nearer than this part of its reach are one.
const ONE_PLACE: f64 = 1e-9;
/// In a tile with a hollow corner rays that would run further than this many gaps between their starts, to a spike of less than
/// 47°, turn to each other before.
const SPIKE: f64 = 2.5;
/// Rays that meet nowhere run so far, as a part of the gap between their starts, before they turn to each other: the
/// first of these that leads around the corner.
const BENDS: [f64; 5] = [0.3, 0.45, 0.6, 0.9, 1.3];

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

impl Stars {
    /// The rosette in a tile that is to hold one.
    fn rosette(&self, sides: &[(Vec2, Vec2)], rays: &[Ray]) -> Option<Vec<[Vec2; 5]>> {
        (self.rosettes > 0 && sides.len() >= self.rosettes).then(|| rosette(sides, rays.first()?)).flatten()
    }
}

/// A ray into a tile, in coordinates in which it is straight.
#[derive(Clone, Copy)]
pub(super) struct Ray {
    pub(super) start: Vec2,
    pub(super) direction: Vec2,
    /// The side that it starts from.
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
/// [`TilingFault::Unfit`] for an angle of 0 or a right angle and more, for curved tiles of the plane, and when no rays meet.
pub fn stars(tiling: &Tiling, ask: &Stars) -> Result<(Flat, usize), TilingFault> {
    sound(ask.angle, ask.apart)?;
    let rows: Vec<(Vec<Path>, usize)> = match tiling.disc() {
        Some(disc) => tiling.tiles().iter().map(|t| inside_disc(t, disc, ask)).collect(),
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

/// The sides of a tile; corners may be straight, where others meet it.
fn sides(tile: &Tile) -> Vec<(Vec2, Vec2)> {
    tile.outline.pieces.iter().map(|s| (s.start(), s.end())).collect()
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

/// The rays that lean to one corner of a tile: for each corner the one that leans forward from the
/// side before it and the one that leans back from the side after it. In a regular polygon those meet first.
fn about_corners(rays: &[Ray]) -> impl Iterator<Item = [&Ray; 2]> {
    let sides = rays.len() / 2;
    (0..sides).map(move |k| [&rays[2 * k], &rays[2 * ((k + 1) % sides) + 1]])
}

/// The lines inside one tile of the plane, and how many rays are left out.
fn inside(tile: &Tile, ask: &Stars) -> (Vec<Path>, usize) {
    let sides = sides(tile);
    let rays = rays(tile, ask.angle, ask.apart);
    if let Some(lines) = ask.rosette(&sides, &rays) {
        return (lines.iter().map(|line| Path::polyline(line)).collect(), 0);
    }
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
    let turn = |k: usize| {
        let ((a, b), (_, c)) = (sides[k], sides[(k + 1) % sides.len()]);
        (b - a).cross(c - b)
    };
    let hollow = (0..sides.len()).any(|k| turn(k) < -LEVEL * far * far);
    let mut loose = 0;
    let mut lines = Vec::new();
    for pair in about_corners(&rays) {
        let [a, b] = pair;
        let most = if hollow { far.min(SPIKE * (b.start - a.start).norm()) } else { far };
        let long = |at: &Vec2| (*at - a.start).norm() + (*at - b.start).norm() <= most;
        let at = meet(a, b).filter(|at| long(at) && stays(a, *at) && stays(b, *at));
        let line = at.map(|at| vec![a.start, at, b.start]).or_else(|| {
            let inside = |[p, q]: &[Vec2; 2]| {
                let across = Ray { start: *p, direction: *q - *p, edge: usize::MAX };
                stays(a, *p) && stays(b, *q) && stays(&across, *q)
            };
            let turns = BENDS.map(|way| bent(pair, way)).into_iter().find(inside);
            turns.map(|[p, q]| vec![a.start, p, q, b.start])
        });
        match line {
            Some(mut line) => {
                line.dedup_by(|a, b| (*a - *b).norm() < 1e-9 * far);
                lines.push(Path::polyline(&line));
            }
            None => loose += 2,
        }
    }
    (lines, loose)
}

/// Where two rays that meet nowhere, as about a hollow corner, turn to each other: each after a part of the gap between
/// their starts.
fn bent([a, b]: [&Ray; 2], part: f64) -> [Vec2; 2] {
    let way = part * (b.start - a.start).norm();
    [a, b].map(|ray| ray.start + ray.direction * way)
}

/// The lines inside one tile of the hyperbolic disc of a radius: rays are straight in the model of Klein. The tile is looked at
/// from its own middle, where a regular one is regular.
fn inside_disc(tile: &Tile, disc: Disc, ask: &Stars) -> (Vec<Path>, usize) {
    let centre = disc.middle(&tile.outline);
    let (mut sides, mut rays) = (Vec::new(), Vec::new());
    for (edge, side) in tile.outline.pieces.iter().enumerate() {
        let [a, b] = [side.start(), side.end()].map(|p| seen_from(centre, disc.unit(p)));
        sides.push((klein_of(a), klein_of(b)));
        for (part, lean) in [(0.5 - ask.apart, 1.0), (0.5 + ask.apart, -1.0)] {
            let (start, along) = geodesic(a, b, part);
            let direction = if lean > 0.0 { along.turned(ask.angle) } else { (-along).turned(-ask.angle) };
            rays.push(Ray { start: klein_of(start), direction: slope_to_klein(start, direction), edge });
        }
    }
    let arc = |a: Vec2, b: Vec2| {
        let (from, to) = (lowered_from_klein(a), lowered_from_klein(b));
        let places = [from, geodesic(from, to, 0.5).0, to];
        let [from, middle, to] = places.map(|p| disc.shown(seen_from(-centre, p)));
        let arc = if disc.curved { crate::form::flat::through(from, middle, to) } else { None };
        arc.unwrap_or(Segment::Line(from, to))
    };
    let line =
        |row: &[Vec2]| Path { pieces: row.windows(2).map(|w| arc(w[0], w[1])).collect(), closed: false };
    if let Some(rows) = ask.rosette(&sides, &rays) {
        return (rows.iter().map(|row| line(row)).collect(), 0);
    }
    let about = |[a, b]: [&Ray; 2]| meet(a, b).map(|at| line(&[a.start, at, b.start]));
    let lines: Vec<Path> = about_corners(&rays).filter_map(about).collect();
    let loose = rays.len() - 2 * lines.len();
    (lines, loose)
}

/// The pattern over the faces of a convex polyhedron, on the sphere about its middle that goes through its furthest corner.
/// Every face is looked at from the middle, where great circles are straight in its plane. Where lines cross there is a point.
///
/// # Errors
/// [`TilingFault::Unfit`] as for the plane, and for a net without faces.
pub fn stars_on_sphere(net: &Net, ask: &Stars) -> Result<Net, TilingFault> {
    sound(ask.angle, ask.apart)?;
    if net.faces().is_empty() || net.cells() != 1 {
        return Err(TilingFault::Unfit(
            "star patterns on the sphere are made over the faces of a polyhedron".into(),
        ));
    }
    let radius = net.points().iter().map(|p| p.norm()).fold(0.0, f64::max);
    let mut arcs: Vec<[Vec3; 2]> = Vec::new();
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
            for (part, lean) in [(0.5 - ask.apart, 1.0), (0.5 + ask.apart, -1.0)] {
                let Some((start, along)) = great(*a, b, part) else { continue };
                let inward = start.cross(along);
                let way = along * (lean * libm::cos(ask.angle)) + inward * libm::sin(ask.angle);
                // A little along the great circle, seen from the middle.
                let next = flat((start + way * 1e-3).unit().unwrap_or(start));
                let direction = (next - flat(start)).unit().unwrap_or(Vec2::ZERO);
                rays.push(Ray { start: flat(start), direction, edge });
            }
        }
        let corner = |k: usize| flat(corners[k % corners.len()]);
        let sides: Vec<(Vec2, Vec2)> = (0..corners.len()).map(|k| (corner(k), corner(k + 1))).collect();
        let lines = ask.rosette(&sides, &rays).map(|rows| rows.iter().map(|r| r.to_vec()).collect());
        let lines: Vec<Vec<Vec2>> = lines.unwrap_or_else(|| {
            about_corners(&rays).filter_map(|[a, b]| Some(vec![a.start, meet(a, b)?, b.start])).collect()
        });
        let pieces: Vec<(Vec2, Vec2)> =
            lines.iter().flat_map(|l| l.windows(2)).map(|w| (w[0], w[1])).collect();
        let wide = sides.iter().map(|(a, _)| a.norm()).fold(0.0, f64::max);
        arcs.extend(crossed(&pieces, ONE_PLACE * wide).into_iter().map(|(a, b)| [back(a), back(b)]));
    }
    if arcs.is_empty() {
        return Err(TilingFault::Unfit("at this contact angle no rays meet inside their faces".into()));
    }
    let arcs = arcs.iter().map(|[a, b]| bow(*a, *b, radius));
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
pub(super) mod tests {
    use std::f64::consts::PI;

    use super::super::straight;
    use super::*;

    fn plain(angle: f64, apart: f64) -> Stars {
        Stars { angle, apart, rosettes: 0 }
    }

    pub(in super::super) fn polygon(n: u32) -> Tiling {
        let reach = 0.5 / libm::sin(PI / f64::from(n));
        let corner = |k: u32| Vec2::at_angle(2.0 * PI * f64::from(k) / f64::from(n)) * reach;
        Tiling::of("one", vec![straight(&(0..n).map(corner).collect::<Vec<_>>(), "one")])
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
        // The tips about the middle hexagon of {6,4}: in the triangle of its middle, the middle of a side and a tip the angles at the
        // first two are 30 and 40 degrees and the side between them is r (hyperbolic trigonometry).
        let contact = f64::to_radians(50.0);
        let r = libm::acosh(libm::cos(PI / 4.0) / libm::sin(PI / 6.0));
        let coth =
            (libm::cosh(r) * libm::cos(PI / 6.0) + libm::sin(PI / 6.0) * libm::tan(contact)) / libm::sinh(r);
        let far = libm::atanh(1.0 / coth);
        for (curved, tip) in [(true, 60.0 * libm::tanh(far / 2.0)), (false, 60.0 * libm::tanh(far))] {
            let disc = super::super::hyperbolic(6, 4, 60.0, 2, curved).unwrap();
            let (lines, loose) = stars(&disc, &plain(contact, 0.0)).unwrap();
            assert_eq!(loose, 0);
            for line in lines.lines().take(6) {
                assert!((line.pieces[0].end().norm() - tip).abs() < 1e-9, "{tip} {:?}", line.pieces[0].end());
                assert_eq!(matches!(line.pieces[0], Segment::Line(..)), !curved);
            }
        }
        let ball = crate::form::net::polytope("[5,3]", "010", 10.0).unwrap();
        let net = stars_on_sphere(&ball, &plain(f64::to_radians(72.0), 0.0)).unwrap();
        let radius = ball.points()[0].norm();
        assert!(net.points().iter().all(|p| (p.norm() - radius).abs() < 1e-9));
        // 60 edges whose middles four strands meet in, and a tip for every corner of every face.
        assert_eq!((net.points().len(), net.edges().len()), (60 + 120, 240));
        assert!(stars_on_sphere(&ball, &plain(2.0, 0.0)).is_err());
    }

    /// No spike of a star in a tile with hollow corners is sharper than that of a triangle whose sides are 2.5 bases together:
    /// twice asin(1/2.5). In convex tiles stars are as sharp as their angle says.
    #[test]
    fn tiles_with_hollows_hold_no_spikes() {
        let sharpest = |name: &str, angle: f64| {
            let tiling = super::super::tiling(name, 10.0, 40.0).unwrap();
            let (flat, _) = stars(&tiling, &plain(angle.to_radians(), 0.0)).unwrap();
            let corners = flat.lines().flat_map(|l| {
                l.pieces.windows(2).map(|w| {
                    let [a, b] = [-w[0].direction(true), w[1].direction(false)];
                    a.cross(b).abs().atan2(a.dot(b))
                })
            });
            corners.fold(f64::INFINITY, f64::min).to_degrees()
        };
        let least = 2.0 * (1.0_f64 / 2.5).asin().to_degrees();
        for (name, angle) in [("hat", 45.0), ("hat", 60.0), ("turtle", 50.0), ("spectre", 70.0)] {
            assert!(sharpest(name, angle) > least - 1e-6, "{name} {angle} {}", sharpest(name, angle));
        }
        assert!(sharpest("3.12.12", 85.0) < least);
    }
}
