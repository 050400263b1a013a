//! Star patterns by polygons in contact: from near the middle of each edge two rays leave into each tile at one angle, and
//! end where they meet others.
//!
//! Source: E. H. Hankin, Memoirs of the Archaeological Survey of India 15 (1925); the choice of which rays meet, by least
//! length, from C. S. Kaplan, Islamic star patterns from polygons in contact, Graphics Interface 2005, 177.

use super::{Tile, Tiling, TilingFault};
use crate::base::Vec2;
use crate::form::flat::{Flat, Path, Segment};

/// Rays that meet nowhere within so many extents of their tile are left out.
const FAR: f64 = 1.5;
/// Two rays in line, to this part of a right angle.
const LEVEL: f64 = 1e-9;

/// A ray into a tile.
#[derive(Clone, Copy)]
struct Ray {
    start: Vec2,
    direction: Vec2,
    edge: usize,
}

/// The lines of the pattern, to be drawn: rays at `angle` radians to the edges, `apart` of the edge's length away from the
/// edge's middle to both sides (0 for both from the middle).
///
/// # Errors
/// [`TilingFault::Unfit`] for an angle of 0 or a right angle and more, for curved tiles, and when no rays meet.
pub fn stars(tiling: &Tiling, angle: f64, apart: f64) -> Result<Flat, TilingFault> {
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
    let curved = |t: &Tile| t.outline.pieces.iter().any(|s| !matches!(s, Segment::Line(..)));
    if tiling.tiles().iter().any(curved) {
        return Err(TilingFault::Unfit("star patterns are made over tiles with straight sides".into()));
    }
    let lines: Vec<Path> = tiling.tiles().iter().flat_map(|t| inside(t, angle, apart)).collect();
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

/// The lines inside one tile.
fn inside(tile: &Tile, angle: f64, apart: f64) -> Vec<Path> {
    let rays = rays(tile, angle, apart);
    let (low, high) = tile.outline.bounds();
    let far = (high - low).norm() * FAR;
    let mut meetings: Vec<(f64, usize, usize, Vec2)> = Vec::new();
    for i in 0..rays.len() {
        for j in i + 1..rays.len() {
            if rays[i].edge != rays[j].edge
                && let Some((length, at)) = meet(&rays[i], &rays[j])
                && length <= far
            {
                meetings.push((length, i, j, at));
            }
        }
    }
    meetings.sort_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));
    let mut used = vec![false; rays.len()];
    let mut lines = Vec::new();
    for (_, i, j, at) in meetings {
        if used[i] || used[j] {
            continue;
        }
        (used[i], used[j]) = (true, true);
        let (a, b) = (rays[i].start, rays[j].start);
        let corners = if (at - a).norm() < 1e-9 * far || (at - b).norm() < 1e-9 * far {
            vec![a, b]
        } else {
            vec![a, at, b]
        };
        lines.push(Path::polyline(&corners));
    }
    lines
}

/// Where two rays meet: how far both go, and the place. Rays that face each other in line meet half way.
fn meet(a: &Ray, b: &Ray) -> Option<(f64, Vec2)> {
    let (gap, turn) = (b.start - a.start, a.direction.cross(b.direction));
    if turn.abs() < LEVEL {
        let facing = a.direction.dot(b.direction) < 0.0
            && gap.cross(a.direction).abs() < LEVEL * gap.norm()
            && gap.dot(a.direction) > 0.0;
        return facing.then(|| (gap.norm(), a.start.toward(b.start, 0.5)));
    }
    let (s, t) = (gap.cross(b.direction) / turn, gap.cross(a.direction) / turn);
    (s > 1e-12 && t > 1e-12).then(|| (s + t, a.start + a.direction * s))
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
        let disc = super::super::hyperbolic(7, 3, 50.0, 2, true).unwrap();
        assert!(stars(&disc, 1.0, 0.0).is_err());
    }
}
