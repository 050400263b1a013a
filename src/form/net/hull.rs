//! The solid inside the faces of a polyhedron.

use super::families::plane;
use super::{Net, NetFault};
use crate::base::{Box3, Vec3};
use crate::form::{Solid, ball, halfspace, intersection};

/// Corners further outside a face than this part of the extent make a polyhedron not convex.
const BULGE: f64 = 1e-7;

/// How far cones over the faces of a star reach over their sides, as a part of the extent.
const HAIR: f64 = 1e-7;

/// The solid that the faces bound. Of a star polyhedron, whose faces cross, it is what its faces hide from outside: all
/// points between the middle and a face.
///
/// # Errors
/// [`NetFault::Unfit`] for a net without faces, or of four dimensions, and for faces through the middle of a star.
pub fn hull(net: &Net) -> Result<Solid, NetFault> {
    if net.faces().is_empty() || net.cells() != 1 {
        return Err(NetFault::Unfit(format!(
            "\"{}\" is not bounded by faces: `struts` makes its edges solid",
            net.name()
        )));
    }
    let points = net.points();
    let far = points.iter().map(|p| p.norm()).fold(0.0, f64::max);
    let planes: Option<Vec<(Vec3, f64)>> = net.faces().iter().map(|f| plane(points, f)).collect();
    let planes = planes.ok_or_else(|| NetFault::Unfit("a face has no area".into()))?;
    let outside = |(n, d): &(Vec3, f64)| points.iter().any(|p| p.dot(*n) - d > BULGE * far);
    if planes.iter().any(outside) {
        return star(net, &planes, far);
    }
    let mut sides = Vec::with_capacity(planes.len());
    for (normal, distance) in planes {
        sides.push(halfspace(normal * distance, normal)?);
    }
    let box_of = Box3::around(points.iter().copied());
    Ok(Solid::Intersection(sides.into()).checked().map(|s| bounded(s, box_of))?)
}

/// The same solid, its box known.
fn bounded(solid: Solid, within: Box3) -> Solid {
    Solid::Mapped { solid: std::sync::Arc::new(solid), map: crate::form::xyz(), within }
}

/// Cones from the middle over the faces, and a ball where they meet.
fn star(net: &Net, planes: &[(Vec3, f64)], far: f64) -> Result<Solid, NetFault> {
    let least = planes.iter().map(|p| p.1).fold(f64::INFINITY, f64::min);
    if least < 1e-6 * far {
        return Err(NetFault::Unfit(
            "a face goes through the middle or turns its back to it: it hides nothing".into(),
        ));
    }
    let points = net.points();
    let mut all = vec![ball(0.9 * least)?];
    for (face, (normal, distance)) in net.faces().iter().zip(planes) {
        let cap = halfspace(*normal * *distance, *normal)?;
        let corner = |k: usize| points[face[k % face.len()]];
        let foot = *normal * *distance;
        let angle: f64 = (0..face.len())
            .map(|k| {
                let (a, b) = (corner(k) - foot, corner(k + 1) - foot);
                libm::atan2(a.cross(b).dot(*normal), a.dot(b))
            })
            .sum();
        // A hair further than the side, so that neighbouring cones leave no crack between them.
        let side = |k: usize| {
            let out = corner(k + 1).cross(corner(k));
            halfspace(out.unit().unwrap_or(*normal) * (HAIR * far), out)
        };
        if angle < 7.0 {
            let mut solid = cap;
            for k in 0..face.len() {
                solid = intersection(&solid, &side(k)?)?;
            }
            all.push(solid);
            continue;
        }
        // A star: at each corner the wedge between its sides, cut off a little past the middle, so that wedges overlap.
        for k in 0..face.len() {
            let out = (corner(k) - foot).unit().unwrap_or(*normal);
            let past =
                halfspace(Vec3::ZERO, -(out + *normal * (0.05 * (corner(k) - foot).norm() / distance)))?;
            let wedge = intersection(&side(k + face.len() - 1)?, &side(k)?)?;
            all.push(intersection(&intersection(&cap, &wedge)?, &past)?);
        }
    }
    let box_of = Box3::around(points.iter().copied());
    Ok(Solid::Union(all.into()).checked().map(|s| bounded(s, box_of))?)
}

#[cfg(test)]
mod tests {
    use super::super::polytope;
    use super::*;
    use crate::formula::Tape;

    /// Along the axes of a small stellated dodecahedron it reaches its corners; the great dodecahedron has dents there.
    #[test]
    fn stars_hold_what_their_faces_hide() {
        let inside = |solid: &Solid, p: Vec3| {
            let e = solid.lower::<std::convert::Infallible>(&mut |_, _| unreachable!()).unwrap();
            Tape::new(&e).unwrap().value(p) < 0.0
        };
        for (diagram, rings) in
            [("[5/2,5]", "100"), ("[5/2,5]", "001"), ("[5/2,3]", "100"), ("[5/2,3]", "001")]
        {
            let net = polytope(diagram, rings, 10.0).unwrap();
            let solid = hull(&net).unwrap();
            for p in net.points() {
                assert!(inside(&solid, *p * 0.999) && !inside(&solid, *p * 1.001), "{diagram} {rings}");
            }
            for e in net.edges() {
                let middle = (net.points()[e.ends[0]] + net.points()[e.ends[1]]) * 0.5;
                assert!(inside(&solid, middle * 0.99), "{diagram} {rings}");
            }
            assert!(inside(&solid, Vec3::ZERO));
        }
        let great = hull(&polytope("[5/2,5]", "001", 10.0).unwrap()).unwrap();
        // Over a face of the icosahedron about it there is a dent.
        let net = polytope("[5,3]", "001", 10.0).unwrap();
        let face = net.faces()[0].iter().fold(Vec3::ZERO, |m, i| m + net.points()[*i]) * (1.0 / 3.0);
        let icosahedron = hull(&net).unwrap();
        assert!(inside(&icosahedron, face * 0.99) && !inside(&great, face * 0.99));
    }
}
