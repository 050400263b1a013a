//! Polyhedra by families: duals, geodesic spheres, zonohedra, nets by hand.

use super::convex::{edges_of, polyhedron};
use super::{Net, NetFault};
use crate::base::Vec3;
use crate::form::fault::positive;

/// Most points of a geodesic sphere.
const MOST: usize = 4000;

/// The dual polyhedron: a corner for each face, on the line square to it, at the distance that makes its edges cross those
/// of the polyhedron where they touch a sphere (the mean of the distances of their middles, for others). Faces must not go
/// through the middle.
///
/// # Errors
/// [`NetFault::Unfit`].
pub fn dual(net: &Net) -> Result<Net, NetFault> {
    if net.faces().is_empty() || net.cells() != 1 {
        return Err(NetFault::Unfit(format!("\"{}\" has no faces that bound one solid", net.name())));
    }
    let points = net.points();
    let middles = net.edges().iter().map(|e| {
        let (a, b) = (points[e.ends[0]], points[e.ends[1]]);
        let along = b - a;
        (a - along * (a.dot(along) / along.dot(along))).norm()
    });
    let sphere = middles.sum::<f64>() / net.edges().len().max(1) as f64;
    let mut corners = Vec::with_capacity(net.faces().len());
    for face in net.faces() {
        let (normal, distance) =
            plane(points, face).filter(|(_, d)| d.abs() > 1e-9 * sphere).ok_or_else(|| {
                NetFault::Unfit("a face goes through the middle: its dual is infinitely far".into())
            })?;
        corners.push(normal * (sphere * sphere / distance));
    }
    let faces = (0..points.len()).filter_map(|i| around(net, i)).collect::<Vec<_>>();
    let name = format!("dual of {}", net.name());
    Ok(Net::of(&name, corners, edges_of(&faces), faces))
}

/// Normal and distance from the middle of a face's plane; `None` for a face without area.
pub(super) fn plane(points: &[Vec3], face: &[usize]) -> Option<(Vec3, f64)> {
    // M. E. Newell: the sum of cross products does not mind which corners are sharp.
    let next = |k: usize| points[face[(k + 1) % face.len()]];
    let normal = (0..face.len()).fold(Vec3::ZERO, |n, k| n + points[face[k]].cross(next(k))).unit()?;
    let middle = face.iter().fold(Vec3::ZERO, |m, i| m + points[*i]) * (1.0 / face.len() as f64);
    Some((normal, normal.dot(middle)))
}

/// The faces round a corner in turn, counter-clockwise from outside.
fn around(net: &Net, corner: usize) -> Option<Vec<usize>> {
    // Of each face at the corner: its number, the corner before and the one after.
    let at: Vec<(usize, usize, usize)> = net
        .faces()
        .iter()
        .enumerate()
        .filter_map(|(k, f)| {
            let i = f.iter().position(|p| *p == corner)?;
            Some((k, f[(i + f.len() - 1) % f.len()], f[(i + 1) % f.len()]))
        })
        .collect();
    let first = *at.first()?;
    let mut ring = vec![first.0];
    let (mut here, mut side) = (first.0, first.1);
    while ring.len() <= at.len() {
        // The other face at the edge towards `side`; faces of star polyhedra may run either way.
        let next = at.iter().find(|f| f.0 != here && (f.1 == side || f.2 == side))?;
        if next.0 == first.0 {
            break;
        }
        ring.push(next.0);
        side = if next.1 == side { next.2 } else { next.1 };
        here = next.0;
    }
    (ring.len() == at.len() && ring.len() > 2).then_some(ring)
}

/// The angles inside a polyhedron at which its faces meet in their edges, each once, degrees, least first; of a
/// four-dimensional polytope those at which its cells meet in their faces.
///
/// # Errors
/// [`NetFault::Unfit`] for a net without faces, and for an edge that does not lie on two.
pub fn dihedral(net: &Net) -> Result<Vec<f64>, NetFault> {
    if !net.angles().is_empty() {
        return Ok(net.angles().to_vec());
    }
    if net.faces().is_empty() || net.cells() != 1 {
        return Err(NetFault::Unfit(format!("\"{}\" has no faces that bound one solid", net.name())));
    }
    let mut sides: std::collections::BTreeMap<[usize; 2], Vec<(Vec3, bool)>> =
        std::collections::BTreeMap::new();
    for face in net.faces() {
        let (normal, _) =
            plane(net.points(), face).ok_or_else(|| NetFault::Unfit("a face has no area".into()))?;
        for k in 0..face.len() {
            let (a, b) = (face[k], face[(k + 1) % face.len()]);
            sides.entry([a.min(b), a.max(b)]).or_default().push((normal, a < b));
        }
    }
    let mut found: Vec<f64> = Vec::new();
    for ([a, b], two) in sides {
        let [(m, forth), (n, _)] = two[..] else {
            return Err(NetFault::Unfit(format!(
                "the edge between points {a} and {b} does not lie on two faces"
            )));
        };
        // Along the edge as the first face runs, the turn from the first normal to the second: to the left where it bulges.
        let way = net.points()[b] - net.points()[a];
        let way = if forth { way } else { -way }.unit().unwrap_or(Vec3::ZERO);
        let angle = 180.0 - libm::atan2(m.cross(n).dot(way), m.dot(n)).to_degrees();
        if !found.iter().any(|f| (f - angle).abs() < 1e-6) {
            found.push(angle);
        }
    }
    found.sort_by(f64::total_cmp);
    Ok(found)
}

/// The sphere of triangles {3,5+}(b,c): each face of the icosahedron divided by the triangular lattice with b and c steps
/// from corner to corner; 10 T + 2 points, T = b² + bc + c², on a sphere of `radius` mm. Its dual has 12 pentagons and
/// hexagons.
///
/// Source: D. L. D. Caspar, A. Klug, Cold Spring Harbor Symp. Quant. Biol. 27 (1962) 1; H. S. M. Coxeter, Virus macromolecules
/// and geodesic domes (1971).
///
/// # Errors
/// [`NetFault`].
pub fn geodesic(b: usize, c: usize, radius: f64) -> Result<Net, NetFault> {
    positive("radius", radius)?;
    let (b, c) = (b as i64, c as i64);
    let t = b * b + b * c + c * c;
    if t == 0 || 10 * t + 2 > MOST as i64 {
        return Err(NetFault::Unfit(format!(
            "b² + bc + c² of a geodesic sphere lies between 1 and {}, got {t}",
            (MOST - 2) / 10
        )));
    }
    let icosahedron = super::polytope("[5,3]", "001", 1.0)?;
    let mut points: Vec<Vec3> = Vec::new();
    for face in icosahedron.faces() {
        let corners = [face[0], face[1], face[2]].map(|i| icosahedron.points()[i]);
        for p in parts(b, c) {
            let sum = corners.iter().zip(p).fold(Vec3::ZERO, |s, (q, k)| s + *q * k as f64);
            let Some(on) = sum.unit() else { continue };
            let on = on * radius;
            if !points.iter().any(|q| (*q - on).norm() < 1e-6 * radius) {
                points.push(on);
            }
        }
    }
    polyhedron(&format!("geodesic sphere {b},{c}"), &points)
}

/// Lattice points of a triangle with corners 0, b + cω and ω(b + cω), ω a turn by 60°, as parts of T at its corners.
fn parts(b: i64, c: i64) -> Vec<[i64; 3]> {
    let t = b * b + b * c + c * c;
    let far = b + c;
    let mut found = Vec::new();
    for x in -far..=far {
        for y in -far..=2 * far {
            // x + yω = (r (b + cω) + s ω (b + cω))/T, where ω² = ω - 1.
            let r = x * (b + c) + y * c;
            let s = y * b - x * c;
            if r >= 0 && s >= 0 && r + s <= t {
                found.push([t - r - s, r, s]);
            }
        }
    }
    found
}

/// The zonohedron of some edges: all sums of parts of them, about the middle. Parallel edges add up.
///
/// Source: H. S. M. Coxeter, Regular Polytopes (1973), section 2.8.
///
/// # Errors
/// [`NetFault`] for fewer than three edges or more than twelve, and for edges in one plane.
pub fn zonohedron(edges: &[Vec3]) -> Result<Net, NetFault> {
    if !(3..=11).contains(&edges.len()) {
        return Err(NetFault::Unfit(format!("a zonohedron has 3 to 11 edges, got {}", edges.len())));
    }
    let sum = |signs: usize| {
        let part = |k: usize| if signs >> k & 1 == 1 { 0.5 } else { -0.5 };
        edges.iter().enumerate().fold(Vec3::ZERO, |s, (k, e)| s + *e * part(k))
    };
    let points: Vec<Vec3> = (0..1 << edges.len()).map(sum).collect();
    polyhedron("zonohedron", &points)
}

/// A polyhedron with a pyramid on each face, `height` mm high; below zero the pyramids go inwards.
///
/// # Errors
/// [`NetFault::Unfit`] for a net without faces, and for a height of 0 or one that reaches the middle.
pub fn spiked(net: &Net, height: f64) -> Result<Net, NetFault> {
    if net.faces().is_empty() || net.cells() != 1 {
        return Err(NetFault::Unfit(format!("\"{}\" has no faces that bound one solid", net.name())));
    }
    let mut points = net.points().to_vec();
    let mut faces = Vec::new();
    for face in net.faces() {
        let (normal, distance) =
            plane(&points, face).ok_or_else(|| NetFault::Unfit("a face has no area".into()))?;
        if height == 0.0 || !height.is_finite() || -height >= distance * 0.999 {
            return Err(NetFault::Unfit(format!(
                "`height` is not 0, and above {:.3} mm for pyramids that go inwards, got {height}",
                -distance
            )));
        }
        let middle = face.iter().fold(Vec3::ZERO, |m, i| m + points[*i]) * (1.0 / face.len() as f64);
        points.push(middle + normal * height);
        let tip = points.len() - 1;
        faces.extend((0..face.len()).map(|k| vec![face[k], face[(k + 1) % face.len()], tip]));
    }
    Ok(Net::of(&format!("{}, spiked", net.name()), points, edges_of(&faces), faces))
}

/// A net by its points, mm, and the pairs of points that its edges join.
///
/// # Errors
/// [`NetFault::Unfit`] for an edge from a point to itself or to a point that is none.
pub fn web(points: Vec<Vec3>, edges: Vec<[usize; 2]>) -> Result<Net, NetFault> {
    for [a, b] in &edges {
        if a == b || *a.max(b) >= points.len() {
            return Err(NetFault::Unfit(format!(
                "an edge joins two of the {} points, numbered from 0, got [{a}, {b}]",
                points.len()
            )));
        }
    }
    let size = points.iter().map(|p| (*p - points[0]).norm()).fold(0.0, f64::max);
    if let Some([a, b]) = edges.iter().find(|[a, b]| (points[*a] - points[*b]).norm() <= 1e-12 * size) {
        return Err(NetFault::Unfit(format!("the edge [{a}, {b}] has no length: its points are one")));
    }
    Ok(Net::of("of points", points, edges, Vec::new()))
}

#[cfg(test)]
mod tests {
    use super::super::polytope;
    use super::*;

    fn counts(net: &Net) -> [usize; 3] {
        [net.points().len(), net.edges().len(), net.faces().len()]
    }

    /// Angles between neighbouring faces, degrees.
    fn angles(net: &Net) -> Vec<f64> {
        let normals: Vec<Vec3> = net.faces().iter().map(|f| plane(net.points(), f).unwrap().0).collect();
        net.edges()
            .iter()
            .map(|e| {
                let two: Vec<usize> = (0..normals.len())
                    .filter(|k| e.ends.iter().all(|i| net.faces()[*k].contains(i)))
                    .collect();
                180.0 - libm::acos(normals[two[0]].dot(normals[two[1]]).clamp(-1.0, 1.0)).to_degrees()
            })
            .collect()
    }

    /// Angles between faces, and between cells. Source: sections 5.5 and 5.6 of the project's check values; a dented edge from the
    /// pyramids of height 1/4 that go into a cube of edge 2: 90° less twice the slope of their sides, arctan(1/4).
    #[test]
    fn faces_and_cells_meet_at_the_angles_of_the_table() {
        for (diagram, rings, wanted) in [
            ("[5,3]", "100", vec![116.565_051]),
            ("[5,3]", "001", vec![138.189_685]),
            ("[5,3]", "011", vec![138.189_685, 142.622_632]),
            ("[3,3]", "110", vec![70.528_779, 109.471_221]),
            ("[3,3,3]", "1000", vec![75.522_488]),
            ("[4,3,3]", "1000", vec![90.0]),
            ("[4,3,3]", "0001", vec![120.0]),
            ("[3,4,3]", "1000", vec![120.0]),
            ("[5,3,3]", "1000", vec![144.0]),
            ("[5,3,3]", "0001", vec![164.477_512]),
        ] {
            let found = dihedral(&polytope(diagram, rings, 5.0).unwrap()).unwrap();
            let near = found.iter().zip(&wanted).all(|(a, b)| (a - b).abs() < 1e-5);
            assert!(near && found.len() == wanted.len(), "{diagram} {rings} {found:?}");
        }
        let dented = spiked(&polytope("[4,3]", "100", 2.0).unwrap(), -0.25).unwrap();
        let slope = libm::atan(0.25_f64).to_degrees();
        let found = dihedral(&dented).unwrap();
        assert!((found[0] - (90.0 - 2.0 * slope)).abs() < 1e-9 && found[1] > 180.0, "{found:?}");
        assert!(dihedral(&super::super::crystal("pcu", 1.0, 3.0, true).unwrap()).is_err());
    }

    /// Dihedral angles of the duals of Archimedean solids, one for each. Source: R. Williams, The Geometrical Foundation of
    /// Natural Structure (1979) (from memory), and cos = -(3 + √5·...)/... as evaluated from the rhombic ones: 120°, 144°.
    #[test]
    fn duals_have_one_angle_each() {
        for (diagram, rings, want, angle) in [
            ("[4,3]", "010", [14, 24, 12], 120.0),
            ("[5,3]", "010", [32, 60, 30], 144.0),
            ("[3,3]", "110", [8, 18, 12], 129.521_196),
            ("[4,3]", "011", [14, 36, 24], 143.130_102),
            ("[4,3]", "110", [14, 36, 24], 147.350_100),
            ("[4,3]", "101", [26, 48, 24], 138.117_959),
            ("[4,3]", "111", [26, 72, 48], 155.082_180),
            ("[5,3]", "011", [32, 90, 60], 156.718_554),
            ("[5,3]", "110", [32, 90, 60], 160.612_552),
            ("[5,3]", "101", [62, 120, 60], 154.121_363),
            ("[5,3]", "111", [62, 180, 120], 164.887_890),
            ("[5,3]", "sss", [92, 150, 60], 153.178_733),
            ("[4,3]", "sss", [38, 60, 24], 136.309_233),
        ] {
            let made = dual(&polytope(diagram, rings, 1.0).unwrap()).unwrap();
            assert_eq!(counts(&made), want, "{diagram} {rings}");
            for found in angles(&made) {
                assert!((found - angle).abs() < 2e-5, "{diagram} {rings} {found} {angle}");
            }
            let again = dual(&made).unwrap();
            assert_eq!(again.points().len(), want[2]);
        }
        let cube = polytope("[4,3]", "100", 2.0).unwrap();
        let octahedron = dual(&cube).unwrap();
        // The edges of both touch the sphere of radius √2.
        assert!(octahedron.points().iter().all(|p| (p.norm() - 2.0).abs() < 1e-9));
        assert!(dual(&super::super::crystal("pcu", 1.0, 3.0, true).unwrap()).is_err());
    }

    /// 10 T + 2 points, 30 T edges, 20 T triangles; five or six edges to a point.
    #[test]
    fn geodesic_spheres_have_their_triangles() {
        for (b, c) in [(1, 0), (2, 0), (1, 1), (3, 0), (2, 1), (1, 2), (2, 2), (3, 1), (5, 0)] {
            let t = b * b + b * c + c * c;
            let net = geodesic(b, c, 10.0).unwrap();
            assert_eq!(counts(&net), [10 * t + 2, 30 * t, 20 * t], "{b},{c}");
            let dual = dual(&net).unwrap();
            let fives = dual.faces().iter().filter(|f| f.len() == 5).count();
            assert!(fives == 12 && dual.faces().iter().all(|f| f.len() == 5 || f.len() == 6));
        }
        assert!(geodesic(0, 0, 1.0).is_err() && geodesic(40, 40, 1.0).is_err());
    }

    /// V + F points, E + 2E edges, 2E faces; a cube with pyramids half as high as its edges is the rhombic dodecahedron.
    #[test]
    fn pyramids_stand_on_faces() {
        for (diagram, rings) in [("[5,3]", "100"), ("[4,3]", "010"), ("[5,3]", "011")] {
            let net = polytope(diagram, rings, 1.0).unwrap();
            let [v, e, f] = counts(&net);
            assert_eq!(counts(&spiked(&net, 0.7).unwrap()), [v + f, 3 * e, 2 * e]);
        }
        let cube = polytope("[4,3]", "100", 2.0).unwrap();
        let made = spiked(&cube, 1.0).unwrap();
        assert!(made.points()[8..].iter().all(|p| (p.norm() - 2.0).abs() < 1e-12));
        let flat = angles(&made).iter().filter(|a| (*a - 180.0).abs() < 1e-4).count();
        assert_eq!(flat, 12);
        assert!(spiked(&cube, -1.0).is_err() && spiked(&cube, 0.0).is_err() && spiked(&cube, -0.5).is_ok());
    }

    /// n (n - 1) rhombs and parallelograms for n edges in general (E. S. Fedorov 1885; Coxeter, section 2.8).
    #[test]
    fn zonohedra_have_their_faces() {
        let at = |k: f64| Vec3::new(libm::cos(k), libm::sin(k), 0.6 + 0.1 * libm::sin(3.0 * k));
        for n in 3..=8 {
            let edges: Vec<Vec3> = (0..n).map(|k| at(f64::from(k) * 1.1)).collect();
            let net = zonohedron(&edges).unwrap();
            assert_eq!(net.faces().len(), (n * (n - 1)) as usize);
            assert_eq!(net.points().len() + net.faces().len(), net.edges().len() + 2);
        }
        // Diagonals of a cube give the rhombic dodecahedron; six axes of the icosahedron the triacontahedron.
        let cube = [[1.0, 1.0, 1.0], [-1.0, 1.0, 1.0], [1.0, -1.0, 1.0], [1.0, 1.0, -1.0]].map(Vec3::from);
        assert_eq!(counts(&zonohedron(&cube).unwrap()), [14, 24, 12]);
        assert!(zonohedron(&cube[..2]).is_err());
    }
}
