//! Snub polyhedra, and the snub 24-cell: every second image of a point that lies off all mirrors, so chosen that all edges are equal.
//!
//! Source: H. S. M. Coxeter, M. S. Longuet-Higgins, J. C. P. Miller, Phil. Trans. R. Soc. A 246 (1954) 401, section 3.

use super::convex::polyhedron;
use super::wythoff::{Point, Raw, corners, dot, images, reflected, weighted};
use super::{Net, NetFault};
use crate::base::Vec3;

/// How far a point is from three mirrors that lies on no mirror of their group: in no simple ratio.
const GENERAL: [f64; 3] = [0.370_41, 0.531_73, 0.713_19];
/// A point of the unit sphere nearer to a mirror lies on it.
const ON_MIRROR: f64 = 1e-6;

/// The snub of three mirrors, edges of `size` mm.
pub(super) fn snub(name: &str, normals: &[Point], size: f64) -> Result<Net, NetFault> {
    let start = equal(normals).ok_or_else(|| NetFault::Unfit("these mirrors have no snub".into()))?;
    let edge = lengths(&start, normals)[0];
    let (points, swaps) = corners(&start, normals)?;
    let even = parities(&swaps);
    let kept: Vec<Vec3> = points
        .iter()
        .zip(&even)
        .filter(|(_, e)| **e)
        .map(|(p, _)| Vec3::new(p[0], p[1], p[2]) * (size / edge))
        .collect();
    polyhedron(name, &kept)
}

/// The snub of three mirrors of which some meet at fractions of 180 degrees, edges of 1: its faces cross, and are told by the turns
/// that two mirrors make, and by the images of one point in three mirrors.
pub(super) fn snub_star(labels: &[(u32, u32)], normals: &[Point]) -> Result<Raw, NetFault> {
    let none = || NetFault::Unfit("these mirrors have no snub".into());
    let start = equal(normals).ok_or_else(none)?;
    let edge = lengths(&start, normals)[0];
    // A point that no motion keeps stands for the motions: the start itself may lie on a mirror of the whole group.
    let (_, swaps) = corners(&weighted(normals, &GENERAL), normals)?;
    let even = parities(&swaps);
    let all = carried(&start, normals, &swaps);
    if !swaps.iter().all(|swap| swap.iter().enumerate().all(|(k, to)| even[k] != even[*to])) {
        return Err(none());
    }
    let turned = |i: usize, j: usize, k: usize| swaps[i][swaps[j][k]];
    let kept = |row: &[usize]| -> Vec<Vec<usize>> {
        images(row, &swaps).into_iter().filter(|row| even[row[0]]).collect()
    };
    let mut faces = kept(&[0, turned(0, 1, 0), turned(0, 2, 0)]);
    let mut edges = Vec::new();
    for (pair, [i, j]) in [[0, 1], [1, 2], [0, 2]].into_iter().enumerate() {
        edges.extend(kept(&[0, turned(i, j, 0)]));
        if labels.get(pair).is_some_and(|l| l.0 > 2) {
            let mut face = vec![0];
            let mut at = turned(i, j, 0);
            while at != 0 {
                face.push(at);
                at = turned(i, j, at);
            }
            faces.extend(kept(&face));
        }
    }
    let points =
        all.iter().zip(&even).filter(|(_, e)| **e).map(|(p, _)| p.iter().map(|x| x / edge).collect());
    let points = points.collect();
    let moved = renumbered(&even);
    Ok(Raw { points, edges: moved(edges), faces: moved(faces), cells: Vec::new() })
}

/// The images of a point under the motions that the images of another stand for.
fn carried(start: &Point, normals: &[Point], swaps: &[Vec<usize>]) -> Vec<Point> {
    let mut found: Vec<Option<Point>> = vec![None; swaps[0].len()];
    found[0] = Some(start.clone());
    let mut order = vec![0];
    let mut k = 0;
    while k < order.len() {
        for (swap, normal) in swaps.iter().zip(normals) {
            let (from, to) = (order[k], swap[order[k]]);
            if found[to].is_none() {
                found[to] = found[from].as_ref().map(|p| reflected(p, normal));
                order.push(to);
            }
        }
        k += 1;
    }
    found.into_iter().map(|p| p.unwrap_or_else(|| start.clone())).collect()
}

/// Rows of numbers of all images as rows of numbers of those that are kept.
fn renumbered(even: &[bool]) -> impl Fn(Vec<Vec<usize>>) -> Vec<Vec<usize>> {
    let place: Vec<usize> =
        even.iter().scan(0, |n, e| Some(std::mem::replace(n, *n + usize::from(*e)))).collect();
    move |rows| rows.into_iter().map(|row| row.into_iter().map(|k| place[k]).collect()).collect()
}

/// The snub of four mirrors that meet as in [3,3^1,1], three of them at right angles and each at 60 degrees to the fourth:
/// the 24-cell's. No other diagram of four has a uniform one.
///
/// Source: Coxeter, Regular Polytopes (1973), section 8.4.
pub(super) fn snub_of_four(normals: &[Point]) -> Result<Raw, NetFault> {
    let meet = |i: usize, j: usize| dot(&normals[i], &normals[j]).abs() > 1e-9;
    let fork = (0..4).find(|m| (0..4).all(|i| i == *m || meet(i, *m)));
    let plain = |m: usize| (0..4).all(|i| (0..4).all(|j| i == j || i == m || j == m || !meet(i, j)));
    let Some(fork) = fork.filter(|m| plain(*m)) else {
        return Err(NetFault::Unfit("of four mirrors only those of [3,3^1,1] have a snub".into()));
    };
    // Images under two mirrors at right angles, each 1 away, are 2√2 apart; under two at 60 degrees, 1 and w away,
    // 2√(1 + w + w²): the same where w = 1/φ.
    let rings: Vec<f64> = (0..4).map(|i| if i == fork { 0.5 * (5f64.sqrt() - 1.0) } else { 1.0 }).collect();
    let (all, swaps) = corners(&weighted(normals, &rings), normals)?;
    let even = parities(&swaps);
    let turned = |i: usize, j: usize| swaps[i][swaps[j][0]];
    let kept = |row: &[usize]| -> Vec<Vec<usize>> {
        images(row, &swaps).into_iter().filter(|row| even[row[0]]).collect()
    };
    let (mut edges, mut faces) = (Vec::new(), Vec::new());
    let mut cells = kept(&[0, turned(0, 1), turned(0, 2), turned(0, 3)]);
    for i in 0..4 {
        let three: Vec<usize> = (0..4).filter(|k| *k != i).collect();
        let [a, b, c] = [three[0], three[1], three[2]];
        faces.extend(kept(&[0, turned(a, b), turned(a, c)]));
        cells.extend(kept(&orbit(&three, &swaps, &even)));
        for j in i + 1..4 {
            edges.extend(kept(&[0, turned(i, j)]));
            if meet(i, j) {
                faces.extend(kept(&[0, turned(i, j), turned(j, i)]));
            }
        }
    }
    let moved = renumbered(&even);
    let points = all.into_iter().zip(&even).filter(|(_, e)| **e).map(|(p, _)| p).collect();
    Ok(Raw { points, edges: moved(edges), faces: moved(faces), cells: moved(cells) })
}

/// Which images of the first point are made by an even number of mirrors.
fn parities(swaps: &[Vec<usize>]) -> Vec<bool> {
    let mut even: Vec<Option<bool>> = vec![None; swaps[0].len()];
    even[0] = Some(true);
    let mut order = vec![0];
    let mut k = 0;
    while k < order.len() {
        for swap in swaps {
            let to = swap[order[k]];
            if even[to].is_none() {
                even[to] = even[order[k]].map(|e| !e);
                order.push(to);
            }
        }
        k += 1;
    }
    even.into_iter().map(|e| e == Some(true)).collect()
}

/// The images of the first point that an even number of some mirrors makes.
fn orbit(mirrors: &[usize], swaps: &[Vec<usize>], even: &[bool]) -> Vec<usize> {
    let mut found = vec![0];
    let mut k = 0;
    while k < found.len() {
        for m in mirrors {
            let to = swaps[*m][found[k]];
            if !found.contains(&to) {
                found.push(to);
            }
        }
        k += 1;
    }
    found.into_iter().filter(|k| even[*k]).collect()
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

/// The point of the unit sphere inside the chamber whose three distances agree, sought from its middle and, as mirrors that
/// meet at fractions have several, from places nearer to one or two of them.
fn equal(normals: &[Point]) -> Option<Point> {
    const NEAR: [f64; 3] = [0.5, 0.2, 0.8];
    let starts = (0..27).map(|k| weighted(normals, &[k % 3, k / 3 % 3, k / 9].map(|i| NEAR[i])));
    starts.into_iter().find_map(|start| equal_near(normals, &start))
}

/// Newton's method on two differences, from a place, on the plane through it.
fn equal_near(normals: &[Point], start: &Point) -> Option<Point> {
    let middle = start;
    let norm = dot(middle, middle).sqrt();
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
    let inside = normals.iter().all(|n| dot(n, &p) < -ON_MIRROR);
    (f.abs().max(g.abs()) < 1e-9 && inside).then_some(p)
}

#[cfg(test)]
mod tests {
    use super::super::polytope;
    use super::*;

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

    /// Corners, edges, triangles, pentagons and pentagrams, circumradius over edge. Source: H. S. M. Coxeter, M. S. Longuet-Higgins, J. C. P. Miller
    /// (1954), table 7; M. J. Wenninger, Polyhedron Models (1971), nos. 110 to 118 (from memory).
    #[test]
    fn star_snubs_have_their_counts() {
        for (diagram, v, e, triangles, fives, round) in [
            // Snub dodecadodecahedron, great snub icosidodecahedron, small snub icosicosidodecahedron, snub
            // icosidodecadodecahedron.
            ("[5/2,5]", 60, 150, 60, 24, 1.27444),
            ("[5/2,3]", 60, 150, 80, 12, 0.81608),
            ("[(5/2,3,3)]", 60, 180, 100, 12, 1.45819),
            ("[(5/3,3,5)]", 60, 180, 80, 24, 1.12690),
            // The inverted and the retrosnub ones of them, and the great snub dodecicosidodecahedron.
            ("[5/3,5]", 60, 150, 60, 24, 0.85163),
            ("[5/3,3]", 60, 150, 80, 12, 0.64502),
            ("[5/3,3/2]", 60, 150, 80, 12, 0.58000),
            ("[(3/2,3/2,5/2)]", 60, 180, 100, 12, 0.58069),
            ("[(5/3,5/2,3)]", 60, 180, 80, 24, std::f64::consts::FRAC_1_SQRT_2),
        ] {
            let net = polytope(diagram, "sss", 3.0).unwrap();
            let sides = |n: usize| net.faces().iter().filter(|f| f.len() == n).count();
            let found = (net.points().len(), net.edges().len(), sides(3), sides(5), net.faces().len());
            assert_eq!(found, (v, e, triangles, fives, triangles + fives), "{diagram}");
            assert!((net.points()[0].norm() / 3.0 - round).abs() < 1e-5, "{diagram}");
            for e in net.edges() {
                let length = (net.points()[e.ends[0]] - net.points()[e.ends[1]]).norm();
                assert!((length - 3.0).abs() < 1e-8, "{diagram} {length}");
            }
        }
    }

    /// Corners, edges, faces. Source: Coxeter, Regular Polytopes (1973), section 8.5: s{3,4,3} has 96 corners, 432 edges, 480
    /// triangles and 24 + 120 cells. Its corners are the even permutations of (±φ, ±1, ±1/φ, 0), its edges 2/φ long.
    #[test]
    fn the_snub_24_cell_has_its_counts() {
        let mirrors = crate::form::group::mirrors("[3,3^1,1]").unwrap();
        let raw = snub_of_four(&mirrors.normals).unwrap();
        assert_eq!(
            (raw.points.len(), raw.edges.len(), raw.faces.len(), raw.cells.len()),
            (96, 432, 480, 144)
        );
        let apart = |e: &[usize]| {
            let d: Point = raw.points[e[0]].iter().zip(&raw.points[e[1]]).map(|(a, b)| a - b).collect();
            dot(&d, &d).sqrt()
        };
        let radius = dot(&raw.points[0], &raw.points[0]).sqrt();
        let golden = 0.5 * (1.0 + 5f64.sqrt());
        // Radius 2, edges 2/φ.
        assert!(raw.edges.iter().all(|e| (apart(e) * golden - radius).abs() < 1e-9));
        assert_eq!(polytope("[3,3^1,1]", "ssss", 40.0).unwrap().points().len(), 96);
        assert!(polytope("[4,3,3]", "ssss", 40.0).is_err());
    }
}
