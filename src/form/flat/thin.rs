//! The thinnest place of regions, and the narrowest gap between them.
//!
//! At places along the outline the largest disc is sought that touches it there and stays on one side: its diameter is
//! the width at that place (the medial axis by shrinking balls). Near a corner the disc shrinks to nothing and tells of
//! the corner, not of a strip: a place counts when the outline needs more than six widths to go from one of the disc's
//! two contacts to the other. Source: J. Ma, S. W. Bae, S. Choi, The Visual Computer 28 (2012) 7, shrinking balls.

use super::near::Locator;
use super::path::{Path, extent};
use crate::base::Vec2;

/// Contacts nearer along the outline than so many widths belong to one corner.
const PARTED: f64 = 6.0;
/// Most places looked at.
const PLACES: usize = 12_000;

/// The narrowest place.
#[derive(Clone, Copy, Debug)]
pub struct Narrow {
    /// The width there, mm.
    pub width: f64,
    /// The middle of the strip there, mm.
    pub place: Vec2,
    /// How far apart places were looked at, mm.
    pub step: f64,
    /// How much of the outline has a width below the limit, mm.
    pub under: f64,
}

/// Where the loops' pieces lie along them, so that two places can be compared.
struct Along {
    locator: Locator,
    /// For each piece: its loop, how far along it the piece starts, and the number of the loop's first piece.
    starts: Vec<(usize, f64, usize)>,
    lengths: Vec<f64>,
    /// 1 to look into the regions, -1 to look out of them.
    side: f64,
    /// The group of each loop: looking out, only gaps between groups count.
    groups: Vec<usize>,
    reach: f64,
}

/// The narrowest place inside a region, each the loops of one, looked for closely enough to see what is narrower than
/// `limit`, mm.
pub(super) fn thinnest(regions: &[Vec<Path>], limit: f64) -> Option<Narrow> {
    let total: f64 = regions.iter().flatten().map(Path::length).sum();
    let step = (0.5 * limit).max(total / PLACES as f64);
    // One by one: where regions touch, a disc in one would meet the outline of the other.
    let each = regions.iter().map(|loops| narrowest(loops, step, limit, None));
    let all: Vec<Narrow> = each.flatten().collect();
    let under = all.iter().map(|n| n.under).sum();
    all.into_iter().min_by(|a, b| a.width.total_cmp(&b.width)).map(|n| Narrow { under, ..n })
}

/// The narrowest gap between groups of loops; the group of each loop is told by a number.
pub(super) fn gap_between(loops: &[Path], groups: &[usize], limit: f64) -> Option<Narrow> {
    let total: f64 = loops.iter().map(Path::length).sum();
    narrowest(loops, (0.5 * limit).max(total / PLACES as f64), limit, Some(groups))
}

fn narrowest(loops: &[Path], step: f64, limit: f64, groups: Option<&[usize]>) -> Option<Narrow> {
    let total: f64 = loops.iter().map(Path::length).sum();
    if !(total > 0.0 && total.is_finite()) {
        return None;
    }
    let mut starts = Vec::new();
    let mut lengths = Vec::new();
    for (i, path) in loops.iter().enumerate() {
        let (mut at, first) = (0.0, starts.len());
        for piece in &path.pieces {
            starts.push((i, at, first));
            at += piece.length();
        }
        lengths.push(at);
    }
    let along = Along {
        locator: Locator::new(loops),
        starts,
        lengths,
        side: if groups.is_some() { -1.0 } else { 1.0 },
        groups: groups.map_or(Vec::new(), <[usize]>::to_vec),
        reach: 2.0 * extent(loops),
    };
    let mut best: Option<(f64, Vec2, usize, f64)> = None;
    let mut under = 0.0;
    let mut number = 0;
    for path in loops {
        for piece in &path.pieces {
            let long = piece.length();
            let count = (long / step).ceil().max(1.0);
            for i in 0..count as usize {
                let t = (i as f64 + 0.5) / count;
                let Some((width, place)) = along.width(loops, number, t) else { continue };
                if width < limit {
                    under += long / count;
                }
                if best.is_none_or(|b| width < b.0) {
                    best = Some((width, place, number, t));
                }
            }
            number += 1;
        }
    }
    let (width, place, number, t) = best?;
    let (width, place) = along.refined(loops, number, t, (width, place), step);
    Some(Narrow { width, place, step, under })
}

impl Along {
    /// The width at a place of a piece, and the middle of the disc; nothing where a corner is what is seen.
    fn width(&self, loops: &[Path], number: usize, t: f64) -> Option<(f64, Vec2)> {
        let (of, start, first) = self.starts[number];
        let piece = &loops[of].pieces[number - first];
        let (p, normal) = (piece.at(t), piece.slope(t).unit()?.left() * self.side);
        let mut radius = self.reach;
        let mut contact = None;
        for _ in 0..60 {
            let (far, q, k) = self.locator.nearest(p + normal * radius);
            if far >= radius * (1.0 - 1e-9) {
                break;
            }
            let v = q - p;
            let height = 2.0 * normal.dot(v);
            if height <= 1e-12 * self.reach {
                break;
            }
            let next = v.dot(v) / height;
            contact = Some((q, k));
            if next >= radius * (1.0 - 1e-12) {
                break;
            }
            radius = next;
        }
        let (q, k) = contact?;
        let width = 2.0 * radius;
        let (other, from, _) = self.starts[k];
        if !self.groups.is_empty() {
            return (self.groups[of] != self.groups[other]).then_some((width, p + normal * radius));
        }
        if other == of {
            let piece_there = &loops[of].pieces[k - first];
            let there = from + piece_there.length() * piece_there.nearest(q).1;
            let here = start + piece.length() * t;
            let apart = (there - here).abs();
            if apart.min(self.lengths[of] - apart) < PARTED * width {
                return None;
            }
        }
        Some((width, p + normal * radius))
    }

    /// The narrowest place within a step of one, by halving.
    fn refined(
        &self,
        loops: &[Path],
        number: usize,
        t: f64,
        mut best: (f64, Vec2),
        step: f64,
    ) -> (f64, Vec2) {
        let (of, _, first) = self.starts[number];
        let long = loops[of].pieces[number - first].length().max(f64::MIN_POSITIVE);
        let (mut middle, mut half) = (t, step / long);
        for _ in 0..24 {
            half *= 0.6;
            for at in [middle - half, middle + half] {
                let at = at.clamp(0.0, 1.0);
                if let Some(found) = self.width(loops, number, at).filter(|f| f.0 < best.0) {
                    (best, middle) = (found, at);
                }
            }
        }
        best
    }
}

/// The width of a loop's narrowest parallel strip, mm: how small a gap it would still pass through.
pub fn least_width(path: &Path) -> f64 {
    let (low, high) = path.bounds();
    let mut points = path.points((high - low).norm() * 1e-5);
    points.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    points.dedup();
    let hull = hull(&points);
    let mut least = f64::INFINITY;
    for (i, a) in hull.iter().enumerate() {
        let Some(u) = (hull[(i + 1) % hull.len()] - *a).unit() else { continue };
        let wide = hull.iter().map(|p| u.cross(*p - *a)).fold(0.0, f64::max);
        least = least.min(wide);
    }
    if least.is_finite() { least } else { 0.0 }
}

/// The convex hull of sorted points, counter-clockwise (A. M. Andrew 1979).
fn hull(points: &[Vec2]) -> Vec<Vec2> {
    let mut out: Vec<Vec2> = Vec::new();
    for pass in 0..2 {
        let base = out.len();
        let mut add = |p: Vec2| {
            while out.len() >= base + 2
                && (out[out.len() - 1] - out[out.len() - 2]).cross(p - out[out.len() - 2]) <= 0.0
            {
                out.pop();
            }
            out.push(p);
        };
        if pass == 0 {
            points.iter().copied().for_each(&mut add);
        } else {
            points.iter().rev().copied().for_each(&mut add);
        }
        out.pop();
    }
    out
}

#[cfg(test)]
mod tests {
    use super::super::{Corners, Fill, Rule, combine};
    use super::*;

    fn rect(x: [f64; 2], y: [f64; 2]) -> Path {
        Path::polygon(&[[x[0], y[0]], [x[1], y[0]], [x[1], y[1]], [x[0], y[1]]].map(Vec2::from))
    }

    #[test]
    fn a_neck_is_found_where_it_is() {
        let two = [rect([0.0, 20.0], [0.0, 20.0]), rect([30.0, 50.0], [0.0, 20.0])];
        let neck = [rect([15.0, 35.0], [9.0, 10.3])];
        let all = combine(&two, &neck, Rule::Union, Fill::Positive);
        let found = thinnest(std::slice::from_ref(&all), 1.0).unwrap();
        assert!((found.width - 1.3).abs() < 1e-9, "{found:?}");
        assert!(found.place.x > 19.0 && found.place.x < 31.0 && (found.place.y - 9.65).abs() < 1e-6);
        assert_eq!(found.under, 0.0);
        assert!(thinnest(&[all], 2.0).unwrap().under > 10.0);
    }

    #[test]
    fn rings_measure_their_wall_and_gaps_are_seen_from_outside() {
        let ring = [Path::circle(Vec2::ZERO, 10.0), Path::circle(Vec2::new(1.0, 0.0), 7.0).reversed()];
        let found = thinnest(&[ring.to_vec()], 1.0).unwrap();
        assert!((found.width - 2.0).abs() < 1e-6 && (found.place - Vec2::new(9.0, 0.0)).norm() < 0.1);
        let discs = [Path::circle(Vec2::ZERO, 5.0), Path::circle(Vec2::new(10.7, 0.0), 5.0)];
        let gap = gap_between(&discs, &[0, 1], 0.5).unwrap();
        assert!((gap.width - 0.7).abs() < 1e-4, "{gap:?}");
        assert!(gap_between(&discs, &[0, 0], 0.5).is_none());
    }

    /// A corner is no strip; a long thin thorn is one.
    #[test]
    fn corners_do_not_count() {
        let square = [rect([0.0, 8.0], [0.0, 8.0])];
        let width = thinnest(&[square.to_vec()], 1.0).map(|n| n.width);
        assert!(width.is_none_or(|w| w > 7.9), "{width:?}");
        let thorn = [Path::polygon(&[[0.0, 0.0], [100.0, 0.0], [0.0, 3.0]].map(Vec2::from))];
        assert!(thinnest(&[thorn.to_vec()], 1.0).unwrap().width < 0.5);
        let grown = super::super::parallel::outset(&square, 1.0, Corners::Round);
        assert!(thinnest(&[grown], 1.0).is_none_or(|n| n.width > 9.9));
    }

    #[test]
    fn widths_of_pieces_are_those_of_their_hulls() {
        assert!((least_width(&rect([0.0, 7.0], [0.0, 3.0])) - 3.0).abs() < 1e-9);
        assert!((least_width(&Path::circle(Vec2::ZERO, 2.0)) - 4.0).abs() < 0.02);
        let triangle = Path::polygon(&[[0.0, 0.0], [2.0, 0.0], [1.0, 3.0_f64.sqrt()]].map(Vec2::from));
        assert!((least_width(&triangle) - 3.0_f64.sqrt()).abs() < 1e-9);
    }
}
