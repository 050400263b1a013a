//! The convex polyhedron around points, its flat faces whole.
//!
//! Source: D. R. Chand, S. S. Kapur, J. ACM 17 (1970) 78: a plane is turned about each edge until it meets a point.

use std::collections::BTreeMap;

use super::{Net, NetFault};
use crate::base::Vec3;

/// Most points.
const MOST: usize = 4000;
/// Points nearer to a plane or a line than this part of the extent lie on it.
const FLAT: f64 = 1e-8;

/// The convex polyhedron around points; those inside, on faces or on edges are left out.
///
/// # Errors
/// [`NetFault`] for too many points, and for points in one plane.
pub fn polyhedron(name: &str, points: &[Vec3]) -> Result<Net, NetFault> {
    if points.len() > MOST {
        return Err(NetFault::TooMany(MOST));
    }
    let faces = wrapped(points).ok_or_else(|| {
        NetFault::Unfit("a polyhedron has at least four points that do not lie in one plane".into())
    })?;
    // Only corners, numbered in the order of the points.
    let mut used: Vec<usize> = faces.iter().flatten().copied().collect();
    used.sort_unstable();
    used.dedup();
    let number: BTreeMap<usize, usize> = used.iter().enumerate().map(|(k, i)| (*i, k)).collect();
    let faces: Vec<Vec<usize>> = faces.iter().map(|f| f.iter().map(|i| number[i]).collect()).collect();
    let edges = edges_of(&faces);
    Ok(Net::of(name, used.iter().map(|i| points[*i]).collect(), edges, faces))
}

/// Each pair of neighbours on a face, once.
pub(super) fn edges_of(faces: &[Vec<usize>]) -> Vec<[usize; 2]> {
    let mut edges: Vec<[usize; 2]> = faces
        .iter()
        .flat_map(|f| (0..f.len()).map(|k| (f[k], f[(k + 1) % f.len()])))
        .map(|(a, b)| [a.min(b), a.max(b)])
        .collect();
    edges.sort_unstable();
    edges.dedup();
    edges
}

/// An edge and the face it was found on: its ends in that face's order, and the face's outward normal.
type Open = (usize, usize, Vec3);

/// The faces of the convex polyhedron around points, flat ones whole, as rows of points counter-clockwise from outside; `None`
/// for points in one plane.
pub fn wrapped(points: &[Vec3]) -> Option<Vec<Vec<usize>>> {
    let extent = crate::base::Box3::around(points.iter().copied()).size().largest();
    let near = FLAT * extent;
    if !(extent > 0.0 && extent.is_finite()) {
        return None;
    }
    let first = (0..points.len()).min_by(|a, b| points[*a].x.total_cmp(&points[*b].x))?;
    // A plane with no point beyond it, turned about a line in it until it holds an edge, then about that edge.
    let (back, up) = (Vec3::new(-1.0, 0.0, 0.0), Vec3::new(0.0, 1.0, 0.0));
    let (second, normal) = turned(points, points[first], up, back, near)?;
    let along = (points[second] - points[first]).unit()?;
    let (_, normal) = turned(points, points[first], along, normal, near)
        .or_else(|| turned(points, points[first], -along, normal, near))?;
    let mut faces = Vec::new();
    let mut claimed: BTreeMap<(usize, usize), ()> = BTreeMap::new();
    let mut open: Vec<Open> = Vec::new();
    let mut claim = |face: Vec<usize>, normal: Vec3, open: &mut Vec<Open>, claimed: &mut BTreeMap<_, ()>| {
        for k in 0..face.len() {
            let (a, b) = (face[k], face[(k + 1) % face.len()]);
            claimed.insert((a, b), ());
            open.push((a, b, normal));
        }
        faces.push(face);
    };
    claim(face(points, points[first], normal, near)?, normal, &mut open, &mut claimed);
    while let Some((a, b, normal)) = open.pop() {
        if claimed.contains_key(&(b, a)) {
            continue;
        }
        let along = (points[b] - points[a]).unit()?;
        let (_, next) = turned(points, points[a], along, normal, near)?;
        let found = face(points, points[a], next, near)?;
        let holds = (0..found.len()).any(|k| (found[k], found[(k + 1) % found.len()]) == (b, a));
        if !holds || claimed.len() > 40 * points.len() {
            return None;
        }
        claim(found, next, &mut open, &mut claimed);
    }
    (faces.len() > 3).then_some(faces)
}

/// The first point that the plane through a line meets when it is turned about it, away from the face that it holds, and
/// the normal that it then has. The face lies to the left of the line, seen against its normal.
fn turned(points: &[Vec3], on: Vec3, along: Vec3, normal: Vec3, near: f64) -> Option<(usize, Vec3)> {
    let across = along.cross(normal);
    let mut best: Option<(f64, usize)> = None;
    for (i, p) in points.iter().enumerate() {
        let from = *p - on;
        let (u, v) = (from.dot(across), -from.dot(normal));
        if libm::hypot(u, v) <= near {
            continue;
        }
        // Points of the face itself lie half a turn on; rounding, or a zero with a sign, would put them at minus half a turn.
        let angle = libm::atan2(if v > 0.0 { v } else { 0.0 }, u);
        if best.is_none_or(|(b, _)| angle < b) {
            best = Some((angle, i));
        }
    }
    let (angle, i) = best?;
    let (s, c) = (libm::sin(angle), libm::cos(angle));
    (angle < std::f64::consts::PI - 1e-7).then(|| (i, normal * c + across * s))
}

/// The corners of all points in a plane, counter-clockwise seen against its normal.
fn face(points: &[Vec3], on: Vec3, normal: Vec3, near: f64) -> Option<Vec<usize>> {
    let inside: Vec<usize> =
        (0..points.len()).filter(|i| (points[*i] - on).dot(normal).abs() <= 4.0 * near).collect();
    let middle = inside.iter().fold(Vec3::ZERO, |m, i| m + points[*i]) * (1.0 / inside.len().max(1) as f64);
    let far = |i: &usize| (points[*i] - middle).norm();
    // What lies furthest from the mean is a corner; from there, always on to the point that has all others to its left.
    let start = inside.iter().copied().max_by(|a, b| far(a).total_cmp(&far(b)))?;
    let mut found = vec![start];
    loop {
        let here = *found.last()?;
        let mut best: Option<usize> = None;
        for i in inside.iter().copied().filter(|i| (points[*i] - points[here]).norm() > 4.0 * near) {
            let Some(b) = best else {
                best = Some(i);
                continue;
            };
            let (to, other) = (points[b] - points[here], points[i] - points[here]);
            let left = to.cross(other).dot(normal);
            let level = 8.0 * near * to.norm().max(other.norm());
            if left < -level || (left <= level && other.norm() > to.norm()) {
                best = Some(i);
            }
        }
        let next = best?;
        if (points[next] - points[start]).norm() <= 4.0 * near {
            break;
        }
        if found.len() > inside.len() {
            return None;
        }
        found.push(next);
    }
    (found.len() > 2).then_some(found)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_cube_is_found_among_its_points() {
        let mut points = Vec::new();
        for i in 0..27_i32 {
            points.push(Vec3::new(f64::from(i % 3), f64::from(i / 3 % 3), f64::from(i / 9)));
        }
        let cube = polyhedron("cube", &points).unwrap();
        assert_eq!((cube.points().len(), cube.edges().len(), cube.faces().len()), (8, 12, 6));
        for face in cube.faces() {
            let [a, b, c] = [face[0], face[1], face[2]].map(|i| cube.points()[i]);
            let normal = (b - a).cross(c - b);
            assert!(normal.dot(a - Vec3::splat(1.0)) > 0.0);
        }
        assert!(polyhedron("flat", &points[..9]).is_err() && polyhedron("none", &[]).is_err());
        let row: Vec<Vec3> = (0..5).map(|i| Vec3::new(f64::from(i), 0.0, 0.0)).collect();
        assert!(polyhedron("row", &row).is_err());
    }

    /// Points on a sphere: V - E + F = 2, all faces triangles, E = 3V - 6.
    #[test]
    fn points_in_general_make_triangles() {
        let points: Vec<Vec3> = (0..300)
            .map(|i| {
                let z = 1.0 - (2.0 * f64::from(i) + 1.0) / 300.0;
                let (r, t) = ((1.0 - z * z).sqrt(), f64::from(i) * 2.399_963_229_728_653);
                Vec3::new(r * libm::cos(t), r * libm::sin(t), z)
            })
            .collect();
        let net = polyhedron("spiral", &points).unwrap();
        assert_eq!((net.points().len(), net.edges().len(), net.faces().len()), (300, 894, 596));
    }
}
