//! The hat and the turtle: one tile, with mirror images, that tiles the plane and never with a period.
//!
//! Source: D. Smith, J. S. Myers, C. S. Kaplan, C. Goodman-Strauss, An aperiodic monotile, Combinatorial Theory 4 (1)
//! (2024) 6 (arXiv 2303.10798): four clusters H, T, P, F of hats, each made of smaller clusters laid edge to edge. The
//! table below says which cluster of a patch meets which along which edges; the outlines of the next clusters are found
//! from points of the patch. Other tiles of the family Tile(a, b) have the same arrangement with other lengths of edges.

use std::collections::BTreeMap;
use std::f64::consts::PI;
use std::sync::Arc;

use super::rigid::{Cluster, Rigid};
use super::{Tile, straight, within};
use crate::base::Vec2;

/// A point by its place along the first axis of the triangular lattice and its row.
fn at(x: f64, row: f64) -> Vec2 {
    Vec2::new(x, row * 0.5 * 3.0_f64.sqrt())
}

/// Corners of the hat on the axes of the lattice, with the middle of its one side of two edges.
const HAT: [(f64, f64); 14] = [
    (0.0, 0.0),
    (-1.0, -1.0),
    (0.0, -2.0),
    (1.0, -2.0),
    (2.0, -2.0),
    (2.0, -1.0),
    (4.0, -2.0),
    (5.0, -1.0),
    (4.0, 0.0),
    (3.0, 0.0),
    (2.0, 2.0),
    (0.0, 3.0),
    (0.0, 2.0),
    (-1.0, 2.0),
];

fn hat() -> Vec<Vec2> {
    HAT.iter().map(|(x, y)| at(x + 0.5 * y, *y)).collect()
}

/// The clusters H, T, P, F.
type Four = [Arc<Cluster>; 4];
const H: usize = 0;
const T: usize = 1;
const P: usize = 2;
const F: usize = 3;

fn first() -> Four {
    let corners = hat();
    let tile = Arc::new(Cluster::tile(corners.clone()));
    let outline = |points: &[(f64, f64)]| points.iter().map(|(x, row)| at(*x, *row)).collect::<Vec<_>>();
    let h = outline(&[(0.0, 0.0), (8.0, 0.0), (9.0, 2.0), (5.0, 10.0), (3.0, 10.0), (-1.0, 2.0)]);
    let meets = |i: usize, j: usize, p: Vec2, q: Vec2| Rigid::matching(corners[i], corners[j], p, q);
    let in_h = vec![
        meets(6, 8, h[5], h[0]),
        meets(10, 12, h[1], h[2]),
        meets(6, 8, h[3], h[4]),
        Rigid::turn(2.0 * PI / 3.0).after(&Rigid::mirror()).moved(at(5.0, 2.0)),
    ];
    let two = vec![Rigid::IDENTITY.moved(at(3.0, 2.0)), Rigid::turn(-PI / 3.0).moved(at(0.0, 4.0))];
    let made = |outline: Vec<Vec2>, parts: Vec<Rigid>| {
        Arc::new(Cluster::of(outline, parts.into_iter().map(|by| (by, tile.clone())).collect()))
    };
    [
        made(h, in_h),
        made(outline(&[(0.0, 0.0), (6.0, 0.0), (3.0, 6.0)]), vec![Rigid::IDENTITY.moved(at(1.0, 2.0))]),
        made(outline(&[(0.0, 0.0), (8.0, 0.0), (6.0, 4.0), (-2.0, 4.0)]), two.clone()),
        made(outline(&[(0.0, 0.0), (6.0, 0.0), (7.0, 2.0), (6.0, 4.0), (-2.0, 4.0)]), two),
    ]
}

/// How the clusters of a patch meet: from corner `.1` of cluster `.0` to corner `.3` of cluster `.2` runs the edge that
/// edge `.5` of a new cluster `.4` is laid to. Where both clusters are the same, the edge is one of its own.
const PATCH: [(usize, usize, usize, usize, usize, usize); 28] = [
    (0, 0, 0, 1, P, 2),
    (1, 0, 1, 1, H, 2),
    (2, 0, 2, 1, P, 2),
    (3, 0, 3, 1, H, 2),
    (4, 4, 4, 5, P, 2),
    (0, 4, 0, 5, F, 3),
    (2, 4, 2, 5, F, 3),
    (4, 1, 3, 2, F, 0),
    (8, 3, 8, 4, H, 0),
    (9, 2, 9, 3, P, 0),
    (10, 2, 10, 3, H, 0),
    (11, 4, 11, 5, P, 2),
    (12, 0, 12, 1, H, 2),
    (13, 0, 13, 1, F, 3),
    (14, 2, 14, 3, F, 1),
    (15, 3, 15, 4, H, 4),
    (8, 2, 8, 3, F, 1),
    (17, 3, 17, 4, H, 0),
    (18, 2, 18, 3, P, 0),
    (19, 2, 19, 3, H, 2),
    (20, 4, 20, 5, F, 3),
    (20, 0, 20, 1, P, 2),
    (22, 0, 22, 1, H, 2),
    (23, 4, 23, 5, F, 3),
    (23, 0, 23, 1, F, 3),
    (16, 0, 16, 1, P, 2),
    (9, 4, 0, 2, T, 2),
    (4, 0, 4, 1, F, 3),
];

/// The clusters of the next level.
fn next(four: &Four) -> Four {
    let mut patch: Vec<(Rigid, Arc<Cluster>)> = vec![(Rigid::IDENTITY, four[H].clone())];
    let corner = |patch: &[(Rigid, Arc<Cluster>)], i: usize, k: usize| {
        let (by, c) = &patch[i];
        by.apply(c.outline[k % c.outline.len()])
    };
    for (a, from, b, to, kind, edge) in PATCH {
        let (start, end) = (corner(&patch, a, from), corner(&patch, b, to));
        // Laid edge to edge, the new cluster runs along it the other way.
        let new = &four[kind];
        let n = new.outline.len();
        let by = Rigid::matching(new.outline[edge], new.outline[(edge + 1) % n], end, start);
        patch.push((by, new.clone()));
    }
    outlines(&patch, &|i, k| corner(&patch, i, k))
}

/// The outlines of the next clusters, from points of the patch, and which of its clusters they hold.
fn outlines(patch: &[(Rigid, Arc<Cluster>)], point: &dyn Fn(usize, usize) -> Vec2) -> Four {
    let sixth = -PI / 3.0;
    let about = |c: Vec2, angle: f64, p: Vec2| c + (p - c).turned(angle);
    let (b1, b2) = (point(8, 2), point(21, 2));
    let (p72, p252, p62, p142) = (point(7, 2), point(25, 2), point(6, 2), point(14, 2));
    let low = meeting(b1, about(b1, 2.0 * sixth, b2), p62, p72);
    let w = (p62 - low).turned(sixth);
    let third = b1 + w;
    let w = w.turned(sixth);
    let h = vec![low, b1, third, p142, p142 - w, p62];
    let side = h[1] + (h[4] - h[5]);
    let t = vec![side, about(side, sixth, h[2]), h[2]];
    let p = vec![p72, p72 + (b1 - low), b1, low];
    let f = vec![b2, point(24, 2), point(25, 0), p252, p252 + (low - b1)];
    let of = |outline: Vec<Vec2>, members: &[usize]| {
        Arc::new(Cluster::of(outline, members.iter().map(|i| patch[*i].clone()).collect()))
    };
    [
        of(h, &[0, 9, 16, 27, 26, 6, 1, 8, 10, 15]),
        of(t, &[11]),
        of(p, &[7, 2, 3, 4, 28]),
        of(f, &[21, 20, 22, 23, 24, 25]),
    ]
}

/// Where the line through a and b meets the one through c and d.
fn meeting(a: Vec2, b: Vec2, c: Vec2, d: Vec2) -> Vec2 {
    let (u, v) = (b - a, d - c);
    a + u * ((c - a).cross(v) / u.cross(v))
}

/// Tiles of the family with edges of two lengths, the shorter `edge` mm long.
pub(super) fn tiles((one, other): (f64, f64), edge: f64, reach: f64) -> Vec<Tile> {
    // In hats the shorter edge is 1; turtles are smaller by a little for the same edge.
    let far = reach / edge + 6.0;
    let mut four = first();
    let inside = |c: &Cluster| {
        let n = c.outline.len();
        let side = |i: usize| {
            let (a, b) = (c.outline[i], c.outline[(i + 1) % n]);
            ((b - a).cross(c.middle() - a) / (b - a).norm()).abs()
        };
        (0..n).map(side).fold(f64::INFINITY, f64::min)
    };
    while inside(&four[H]) * 0.7 < far {
        four = next(&four);
    }
    let place = four[H].middle();
    let found = four[H].tiles_near(place, far);
    let laid = if one < other {
        found.iter().map(|by| corners(by, &hat(), Vec2::ZERO - place)).collect()
    } else {
        stretched(&found, place, (one, other))
    };
    let tile = |(by, corners): (&Rigid, &Vec<Vec2>)| {
        let kind = if by.mirrors() { "mirrored" } else { "plain" };
        straight(&corners.iter().map(|p| *p * edge).collect::<Vec<_>>(), kind)
    };
    within(found.iter().zip(&laid).map(tile).collect(), reach)
}

fn corners(by: &Rigid, outline: &[Vec2], shift: Vec2) -> Vec<Vec2> {
    outline.iter().map(|p| by.apply(*p) + shift).collect()
}

/// The same arrangement with other lengths: edges keep their directions, and corners that were one stay one.
fn stretched(found: &[Rigid], place: Vec2, (one, other): (f64, f64)) -> Vec<Vec<Vec2>> {
    let plain = hat();
    let mut outline = vec![Vec2::ZERO];
    for w in plain.windows(2) {
        let step = w[1] - w[0];
        let length = if step.norm() < 1.3 { one } else { other };
        outline.push(outline[outline.len() - 1] + step * (length / step.norm()));
    }
    let key = |p: Vec2| ((p.x * 8.0).round() as i64, (p.y * 8.0).round() as i64);
    let mut meets: BTreeMap<(i64, i64), Vec<(usize, usize)>> = BTreeMap::new();
    for (t, by) in found.iter().enumerate() {
        for (k, p) in plain.iter().enumerate() {
            let (i, j) = key(by.apply(*p) - place);
            let known =
                (-1..=1).flat_map(|x| (-1..=1).map(move |y| (i + x, j + y))).find(|c| meets.contains_key(c));
            meets.entry(known.unwrap_or((i, j))).or_default().push((t, k));
        }
    }
    let mut of_tile: Vec<Vec<(i64, i64)>> = vec![Vec::new(); found.len()];
    for (cell, list) in &meets {
        list.iter().for_each(|(t, _)| of_tile[*t].push(*cell));
    }
    // From the tile nearest to the middle outwards.
    let near = |t: &usize| (found[*t].apply(plain[5]) - place).norm();
    let Some(start) = (0..found.len()).min_by(|a, b| near(a).total_cmp(&near(b))) else { return Vec::new() };
    let mut shifts: Vec<Option<Vec2>> = vec![None; found.len()];
    shifts[start] = Some(-found[start].direction(outline[5]));
    let mut waiting = std::collections::VecDeque::from([start]);
    let local = |t: usize, k: usize| found[t].direction(outline[k]);
    while let Some(t) = waiting.pop_front() {
        let Some(shift) = shifts[t] else { continue };
        for list in of_tile[t].iter().filter_map(|cell| meets.get(cell)) {
            let Some((_, own)) = list.iter().find(|(s, _)| *s == t) else { continue };
            for (s, k) in list {
                if shifts[*s].is_none() {
                    shifts[*s] = Some(local(t, *own) + shift - local(*s, *k));
                    waiting.push_back(*s);
                }
            }
        }
    }
    let laid = shifts.iter().enumerate().map(|(t, shift)| {
        let far = Vec2::new(f64::MAX.sqrt(), 0.0);
        (0..outline.len()).map(|k| local(t, k) + shift.unwrap_or(far)).collect()
    });
    laid.collect()
}

#[cfg(test)]
mod tests {
    use super::super::{tests::fits, tiling};
    use super::*;

    /// Counts from one H (section 7.3 of the project's check values).
    #[test]
    fn clusters_hold_the_counts_of_the_paper() {
        let mut four = first();
        for (count, mirrored) in [(4, 1), (25, 3), (169, 22), (1156, 147), (7921, 1009)] {
            assert_eq!((four[H].count(), four[H].mirrored(&Rigid::IDENTITY)), (count, mirrored));
            four = next(&four);
        }
        assert_eq!(four[H].count(), 54_289);
    }

    /// Areas 8√3 and 10√3, perimeter 8 + 6√3, and no gap or overlap.
    #[test]
    fn hats_and_turtles_fit() {
        let root = 3.0_f64.sqrt();
        for (name, area) in [("hat", 8.0 * root), ("turtle", 10.0 * root)] {
            let tiles = tiling(name, 1.0, 40.0).unwrap();
            assert!(tiles.tiles().len() > 200, "{}", tiles.tiles().len());
            for tile in tiles.tiles() {
                assert!((tile.outline.area() - area).abs() < 1e-6, "{name} {}", tile.outline.area());
            }
            fits(tiles.tiles(), name);
            let plain = tiles.counts()["plain"] as f64 / tiles.counts()["mirrored"] as f64;
            assert!((plain - 6.854).abs() < 1.0, "{plain}");
        }
        let hat = &tiling("hat", 1.0, 10.0).unwrap().tiles()[0].outline.clone();
        assert!((hat.length() - (8.0 + 6.0 * root)).abs() < 1e-9);
    }
}
