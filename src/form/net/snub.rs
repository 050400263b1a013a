//! Snub polyhedra: every second image of a point that lies off all mirrors, so chosen that all edges are equal.
//!
//! Source: H. S. M. Coxeter, M. S. Longuet-Higgins, J. C. P. Miller, Phil. Trans. R. Soc. A 246 (1954) 401, section 3.

use super::convex::polyhedron;
use super::wythoff::{Point, corners, dot, reflected, seed};
use super::{Net, NetFault};
use crate::base::Vec3;

/// The snub of three mirrors, edges of `size` mm.
pub(super) fn snub(name: &str, normals: &[Point], size: f64) -> Result<Net, NetFault> {
    let start = equal(normals).ok_or_else(|| NetFault::Unfit("these mirrors have no snub".into()))?;
    let edge = lengths(&start, normals)[0];
    let (points, swaps) = corners(&start, normals)?;
    let mut even = vec![None; points.len()];
    even[0] = Some(true);
    let mut order = vec![0];
    let mut k = 0;
    while k < order.len() {
        for swap in &swaps {
            let to = swap[order[k]];
            if even[to].is_none() {
                even[to] = even[order[k]].map(|e: bool| !e);
                order.push(to);
            }
        }
        k += 1;
    }
    let kept: Vec<Vec3> = points
        .iter()
        .zip(&even)
        .filter(|(_, e)| **e == Some(true))
        .map(|(p, _)| Vec3::new(p[0], p[1], p[2]) * (size / edge))
        .collect();
    polyhedron(name, &kept)
}

/// Distances from a point to its images under the turns that two mirrors make: first and second, second and third, first
/// and third.
fn lengths(p: &Point, normals: &[Point]) -> [f64; 3] {
    [(0, 1), (1, 2), (0, 2)].map(|(i, j)| {
        let image = reflected(&reflected(p, &normals[i]), &normals[j]);
        let apart: Point = p.iter().zip(&image).map(|(a, b)| a - b).collect();
        dot(&apart, &apart).sqrt()
    })
}

/// The point of the unit sphere inside the chamber whose three distances agree: Newton's method on two differences, from
/// the middle of the chamber, on the plane through it.
fn equal(normals: &[Point]) -> Option<Point> {
    let middle = seed(normals, &[true; 3]);
    let norm = dot(&middle, &middle).sqrt();
    let middle: Vec3 = Vec3::new(middle[0], middle[1], middle[2]) * (1.0 / norm);
    let axis = if middle.x.abs() < 0.6 { Vec3::new(1.0, 0.0, 0.0) } else { Vec3::new(0.0, 1.0, 0.0) };
    let u = axis.cross(middle).unit()?;
    let v = middle.cross(u);
    let at = |s: f64, t: f64| (middle + u * s + v * t).unit().map(|p| p.array().to_vec());
    let off = |s: f64, t: f64| {
        let [a, b, c] = lengths(&at(s, t)?, normals);
        Some((a - b, b - c))
    };
    let (mut s, mut t) = (0.0, 0.0);
    for _ in 0..60 {
        let step = 1e-6;
        let (f, g) = off(s, t)?;
        let ((fs, gs), (ft, gt)) = (off(s + step, t)?, off(s, t + step)?);
        let (a, b, c, d) = ((fs - f) / step, (ft - f) / step, (gs - g) / step, (gt - g) / step);
        let det = a * d - b * c;
        if f.abs().max(g.abs()) < 1e-13 || det == 0.0 {
            break;
        }
        // Not further at once than a chamber is wide.
        let (ds, dt) = ((d * f - b * g) / det, (a * g - c * f) / det);
        let short = (0.1 / libm::hypot(ds, dt)).min(1.0);
        (s, t) = (s - ds * short, t - dt * short);
    }
    let (f, g) = off(s, t)?;
    let p = at(s, t)?;
    let inside = normals.iter().all(|n| dot(n, &p) < 0.0);
    (f.abs().max(g.abs()) < 1e-9 && inside).then_some(p)
}

#[cfg(test)]
mod tests {
    use super::super::polytope;

    /// Corners, edges, faces. Source: section 5.5 of the project's check values; circumradius of the snub cube over its edge
    /// from the tribonacci constant t = 1.839286755: √((3 - t)/(4 (2 - t))) (from memory).
    #[test]
    fn snubs_have_their_counts() {
        for (diagram, v, e, f) in [
            ("[4,3]", 24, 60, 38),
            ("[5,3]", 60, 150, 92),
            ("[3,3]", 12, 30, 20),
            ("[6,2]", 12, 24, 14),
            ("[3,2]", 6, 12, 8),
        ] {
            let net = polytope(diagram, "sss", 3.0).unwrap();
            assert_eq!((net.points().len(), net.edges().len(), net.faces().len()), (v, e, f), "{diagram}");
            for e in net.edges() {
                let length = (net.points()[e.ends[0]] - net.points()[e.ends[1]]).norm();
                assert!((length - 3.0).abs() < 1e-8, "{diagram} {length}");
            }
        }
        let t: f64 = 1.839_286_755_214_161;
        let round = polytope("[4,3]", "sss", 1.0).unwrap().points()[0].norm();
        assert!((round - ((3.0 - t) / (4.0 * (2.0 - t))).sqrt()).abs() < 1e-8);
    }
}
