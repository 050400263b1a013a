//! Solids that have names. Each field is negative inside, its slope has length 1 at the boundary, and its zero
//! set has the edges and corners of the thing: flat faces are met by `max`, never rounded.
//!
//! Ball, ring and halfspace are signed distances everywhere; block, rod and cone are signed distances inside
//! and opposite their faces, and less than the distance opposite an edge or a corner.

use super::fault::{FormFault, finite_vector, not_negative, positive};
use super::{Solid, xyz};
use crate::base::{Box3, Vec3};
use crate::formula::{Expr, Unary};

fn abs(e: Expr) -> Expr {
    Expr::unary(Unary::Abs, e)
}

fn square(e: &Expr) -> Expr {
    e.clone() * e.clone()
}

/// Distance from the z axis.
fn from_axis(x: &Expr, y: &Expr) -> Expr {
    (square(x) + square(y)).sqrt()
}

/// A ball about the origin; radius in mm.
///
/// # Errors
/// [`FormFault::NotPositive`].
pub fn ball(radius: f64) -> Result<Solid, FormFault> {
    positive("radius", radius)?;
    let [x, y, z] = xyz();
    let value = (square(&x) + square(&y) + square(&z)).sqrt() - radius;
    Ok(Solid::Field { value, within: Box3::cube(radius) })
}

/// A block centred on the origin, edges along the axes; `size` holds its three edge lengths, mm.
///
/// # Errors
/// [`FormFault::NotPositive`].
pub fn block(size: Vec3) -> Result<Solid, FormFault> {
    let half = size * 0.5;
    positive("x", half.x)?;
    positive("y", half.y)?;
    positive("z", half.z)?;
    let [x, y, z] = xyz();
    let value = (abs(x) - half.x).max(abs(y) - half.y).max(abs(z) - half.z);
    Ok(Solid::Field { value, within: Box3::new(-half, half) })
}

/// A round rod (cylinder) along z, centred on the origin; radius and height in mm.
///
/// # Errors
/// [`FormFault::NotPositive`].
pub fn rod(radius: f64, height: f64) -> Result<Solid, FormFault> {
    positive("radius", radius)?;
    let half = positive("height", height)? * 0.5;
    let [x, y, z] = xyz();
    let value = (from_axis(&x, &y) - radius).max(abs(z) - half);
    let corner = Vec3::new(radius, radius, half);
    Ok(Solid::Field { value, within: Box3::new(-corner, corner) })
}

/// A cone or a frustum along z, centred on the origin: `bottom` radius at z = -height/2, `top` radius at
/// z = height/2, mm. One of the radii may be 0, which gives a point.
///
/// # Errors
/// [`FormFault::NotPositive`], [`FormFault::Negative`].
pub fn cone(bottom: f64, top: f64, height: f64) -> Result<Solid, FormFault> {
    not_negative("bottom", bottom)?;
    not_negative("top", top)?;
    positive("bottom", bottom.max(top))?;
    let half = positive("height", height)? * 0.5;
    let [x, y, z] = xyz();
    // The side is the line ρ = middle + slope·z turned about the axis; the root makes it a distance.
    let (middle, slope) = ((bottom + top) * 0.5, (top - bottom) / height);
    let side = (from_axis(&x, &y) - z.clone() * slope - middle) / (1.0 + slope * slope).sqrt();
    let corner = Vec3::new(bottom.max(top), bottom.max(top), half);
    Ok(Solid::Field { value: side.max(abs(z) - half), within: Box3::new(-corner, corner) })
}

/// A ring (solid torus) about the z axis: the points nearer than `tube` to the circle of radius `ring`, mm.
/// A tube wider than the ring closes the hole.
///
/// # Errors
/// [`FormFault::NotPositive`].
pub fn ring(ring: f64, tube: f64) -> Result<Solid, FormFault> {
    positive("ring", ring)?;
    positive("tube", tube)?;
    let [x, y, z] = xyz();
    let value = (square(&(from_axis(&x, &y) - ring)) + square(&z)).sqrt() - tube;
    let corner = Vec3::new(ring + tube, ring + tube, tube);
    Ok(Solid::Field { value, within: Box3::new(-corner, corner) })
}

/// Everything on the far side of a plane: the plane goes through `point` (mm), and `normal` points out of the
/// solid; its length does not matter.
///
/// # Errors
/// [`FormFault::NotFinite`], [`FormFault::NoDirection`].
pub fn halfspace(point: Vec3, normal: Vec3) -> Result<Solid, FormFault> {
    finite_vector("point", point)?;
    finite_vector("normal", normal)?;
    let n = normal.unit().ok_or(FormFault::NoDirection { name: "normal" })?;
    let [x, y, z] = xyz();
    let value = x * n.x + y * n.y + z * n.z - n.dot(point);
    let mut within = Box3::new(Vec3::splat(f64::NEG_INFINITY), Vec3::splat(f64::INFINITY));
    let cap = |axis: usize, lo: &mut f64, hi: &mut f64| {
        if n[axis] == 1.0 {
            *hi = point[axis];
        } else if n[axis] == -1.0 {
            *lo = point[axis];
        }
    };
    cap(0, &mut within.min.x, &mut within.max.x);
    cap(1, &mut within.min.y, &mut within.max.y);
    cap(2, &mut within.min.z, &mut within.max.z);
    Ok(Solid::Field { value, within })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::formula::Tape;

    fn at(s: &Solid, p: [f64; 3]) -> f64 {
        match s {
            Solid::Field { value, .. } => Tape::new(value).unwrap().value(p.into()),
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn fields_are_distances() {
        let s = ball(2.0).unwrap();
        assert!((at(&s, [3.0, 4.0, 0.0]) - 3.0).abs() < 1e-15);
        let s = block(Vec3::new(2.0, 4.0, 6.0)).unwrap();
        assert_eq!(at(&s, [0.0, 0.0, 3.5]), 0.5);
        assert_eq!(at(&s, [0.0, 0.0, 0.0]), -1.0);
        let s = rod(1.0, 4.0).unwrap();
        assert_eq!(at(&s, [0.0, 2.0, 1.0]), 1.0);
        assert_eq!(at(&s, [0.5, 0.0, 2.25]), 0.25);
        // A cone of half angle 45°: the axis at the base is base radius / √2 from the side.
        let s = cone(2.0, 0.0, 2.0).unwrap();
        assert!((at(&s, [0.0, 0.0, 1.0])).abs() < 1e-15);
        assert!((at(&s, [2.0, 0.0, 1.0]) - 2.0_f64.sqrt()).abs() < 1e-15);
        let s = ring(3.0, 1.0).unwrap();
        assert!((at(&s, [0.0, 3.0, 2.0]) - 1.0).abs() < 1e-15);
        let s = halfspace(Vec3::new(0.0, 0.0, 1.0), Vec3::new(0.0, 0.0, 7.0)).unwrap();
        assert_eq!(at(&s, [5.0, 5.0, 3.0]), 2.0);
    }

    #[test]
    fn bad_numbers_are_refused() {
        for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert!(ball(bad).is_err());
            assert!(block(Vec3::new(1.0, bad, 1.0)).is_err());
            assert!(rod(1.0, bad).is_err() && rod(bad, 1.0).is_err());
            assert!(cone(1.0, 1.0, bad).is_err());
            assert!(ring(bad, 1.0).is_err() && ring(1.0, bad).is_err());
        }
        assert!(cone(0.0, 0.0, 1.0).is_err() && cone(0.0, 1.0, 1.0).is_ok());
        assert_eq!(halfspace(Vec3::ZERO, Vec3::ZERO).unwrap_err(), FormFault::NoDirection { name: "normal" });
    }
}
