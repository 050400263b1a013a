//! How closed curves wind round themselves and one another.

use std::f64::consts::PI;

use super::curve::{Curve, Strand};
use super::fault::{FormFault, unfit};
use crate::base::Vec3;

/// A place of a smooth curve is no further from the nearer end of its chord than this part of the chord.
const HALF: f64 = 0.51;

/// How often closed strands wind round one another, with sign: the sum over pairs of strands of the first curve and
/// strands of the second. It is computed on inscribed polygons and comes out whole.
///
/// # Errors
/// [`FormFault::Unfit`] for an open curve, or curves too near one another to tell.
pub fn linking(a: &Curve, b: &Curve) -> Result<i64, FormFault> {
    for points in [64, 256, 1024, 4096] {
        let (pa, pb) = (polygons(a, points)?, polygons(b, points)?);
        let mut total = 0.0;
        for p in &pa {
            for q in &pb {
                total += winding(p, q);
            }
        }
        // Polygons that do not meet link a whole number of times; that of the curves, once they are further from one another
        // than places of both can be from their nearest corners.
        let room = HALF * (longest_chord(&pa) + longest_chord(&pb));
        if (total - total.round()).abs() < 1e-6 && apart(&pa, &pb) > room {
            #[allow(clippy::cast_possible_truncation)]
            return Ok(total.round() as i64);
        }
    }
    Err(unfit("other", "comes too near the first curve to tell how they are linked"))
}

/// The longest side of some polygons.
fn longest_chord(all: &[Vec<Vec3>]) -> f64 {
    let of = |p: &Vec<Vec3>| {
        let next = p.iter().cycle().skip(1);
        p.iter().zip(next).map(|(a, b)| (*b - *a).norm()).fold(0.0, f64::max)
    };
    all.iter().map(of).fold(0.0, f64::max)
}

/// Least distance of the corners of two sets of polygons.
fn apart(a: &[Vec<Vec3>], b: &[Vec<Vec3>]) -> f64 {
    let pairs = a.iter().flatten().flat_map(|p| b.iter().flatten().map(move |q| (*p - *q).norm()));
    pairs.fold(f64::INFINITY, f64::min)
}

/// Writhe of a closed curve: the mean over all directions of view of the signed count of crossings. Several strands
/// count crossings between them too. It is that of inscribed polygons of 512 and 1024 corners, carried on to
/// infinitely many by the square of the step, which leaves an error of the fourth order.
/// Source: K. Klenin, J. Langowski, Biopolymers 54 (2000) 307, method 1a.
///
/// # Errors
/// [`FormFault::Unfit`] for an open curve.
pub fn writhe(curve: &Curve) -> Result<f64, FormFault> {
    let at = |points: usize| -> Result<f64, FormFault> {
        let all = polygons(curve, points)?;
        let mut total = 0.0;
        for (i, p) in all.iter().enumerate() {
            total += own_writhe(p);
            total += all[i + 1..].iter().map(|q| 2.0 * winding(p, q)).sum::<f64>();
        }
        Ok(total)
    };
    let (coarse, fine) = (at(512)?, at(1024)?);
    Ok(fine + (fine - coarse) / 3.0)
}

/// Corners on each strand, evenly in the parameter, on which the error of a smooth curve has a smooth expansion.
fn polygons(curve: &Curve, points: usize) -> Result<Vec<Vec<Vec3>>, FormFault> {
    let one = |s: &Strand| {
        if !s.is_closed() {
            return Err(unfit("curve", "must be closed: how an open curve winds is not a number of its own"));
        }
        let places = s.places();
        let (from, to) = s.range();
        Ok((0..points).map(|i| places.at(from + (to - from) * (i as f64 / points as f64))).collect())
    };
    curve.strands().iter().map(one).collect()
}

fn own_writhe(p: &[Vec3]) -> f64 {
    let n = p.len();
    let mut total = 0.0;
    for i in 0..n {
        for j in i + 2..n {
            if (j + 1) % n != i {
                total += seen([p[i], p[i + 1], p[j], p[(j + 1) % n]]);
            }
        }
    }
    total / (2.0 * PI)
}

fn winding(p: &[Vec3], q: &[Vec3]) -> f64 {
    let mut total = 0.0;
    for i in 0..p.len() {
        for j in 0..q.len() {
            total += seen([p[i], p[(i + 1) % p.len()], q[j], q[(j + 1) % q.len()]]);
        }
    }
    total / (4.0 * PI)
}

/// The signed area of the part of the sphere of directions from which two segments are seen to cross, one sense.
fn seen([a, b, c, d]: [Vec3; 4]) -> f64 {
    let (ac, ad, bc, bd) = (c - a, d - a, c - b, d - b);
    let normals = [ac.cross(ad), ad.cross(bd), bd.cross(bc), bc.cross(ac)].map(Vec3::unit);
    let [Some(n0), Some(n1), Some(n2), Some(n3)] = normals else { return 0.0 };
    let arc = |u: Vec3, v: Vec3| libm::asin(u.dot(v).clamp(-1.0, 1.0));
    let area = arc(n0, n1) + arc(n1, n2) + arc(n2, n3) + arc(n3, n0);
    let side = (d - c).cross(b - a).dot(ac);
    if side > 0.0 {
        area.abs()
    } else if side < 0.0 {
        -area.abs()
    } else {
        0.0
    }
}

#[cfg(test)]
mod tests {
    use std::f64::consts::TAU;

    use super::*;
    use crate::form::measures::tests::{closed, cos, sin};
    use crate::form::together;
    use crate::formula::Expr;

    /// A ring walked unevenly is linked as it is when walked evenly; rings that meet are refused.
    #[test]
    fn links_do_not_depend_on_how_a_ring_is_walked() {
        let uneven = |k: fn(f64) -> Expr| {
            let walk = Expr::var("t") + sin(1.0) * 0.95 + TAU / 128.0 * 1.95;
            k(1.0).with(&[("t", walk)])
        };
        let ring = closed([cos(1.0), sin(1.0), Expr::constant(0.0)], TAU);
        let walked = closed([uneven(cos), uneven(sin), Expr::constant(0.0)], TAU);
        let other = closed([cos(1.0) * -0.5 + 1.498, Expr::constant(0.0), sin(1.0) * 0.5], TAU);
        assert_eq!(linking(&ring, &other).unwrap().abs(), 1);
        assert_eq!(linking(&walked, &other).unwrap(), linking(&ring, &other).unwrap());
        let beside = closed([cos(1.0) + 1.0, sin(1.0), Expr::constant(0.0)], TAU);
        assert!(linking(&ring, &beside).is_err());
    }

    /// The Hopf link of two unit circles links -1 as drawn here; (p, q) torus knots link their push-off -pq times.
    #[test]
    fn circles_link_as_they_should() {
        let zero = || Expr::constant(0.0);
        let flat = closed([cos(1.0), sin(1.0), zero()], TAU);
        let upright = closed([cos(1.0) + 1.0, zero(), sin(1.0)], TAU);
        assert_eq!(linking(&flat, &upright).unwrap(), -1);
        let far = closed([cos(1.0) + 9.0, zero(), sin(1.0)], TAU);
        assert_eq!(linking(&flat, &far).unwrap(), 0);
        let both = together(&[upright, far]).unwrap();
        assert_eq!(linking(&flat, &both).unwrap(), -1);
        for (p, q) in [(2.0, 3.0), (3.0, 2.0), (2.0, 5.0), (3.0, 4.0)] {
            let push =
                |r: f64| closed([(cos(q) * r + 2.0) * cos(p), (cos(q) * r + 2.0) * sin(p), sin(q) * r], TAU);
            assert_eq!(linking(&push(1.0), &push(1.1)).unwrap(), -(p * q) as i64);
        }
        let open = Curve::new([sin(1.0), cos(1.0), zero()], "t", (0.0, 3.0)).unwrap();
        assert!(linking(&flat, &open).is_err());
    }
}
