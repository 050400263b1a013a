//! The solid of all points near a curve.

use std::sync::Arc;

use super::fault::{FormFault, positive};
use super::near::Near;
use super::{Curve, Solid, xyz};
use crate::base::Box3;
use crate::formula::Expr;

/// Every point nearer to a curve than a radius.
#[derive(Debug)]
pub struct Tube {
    curve: Curve,
    radius: f64,
    value: Expr,
    within: Box3,
}

impl Tube {
    /// Its centre line.
    pub fn curve(&self) -> &Curve {
        &self.curve
    }

    /// Its radius, mm.
    pub fn radius(&self) -> f64 {
        self.radius
    }

    /// The distance to its skin, negative inside.
    pub(super) fn value(&self) -> &Expr {
        &self.value
    }

    /// A box that holds it.
    pub(super) fn within(&self) -> Box3 {
        self.within
    }
}

/// Every point nearer to the curve than `radius` mm; ends are round.
///
/// # Errors
/// [`FormFault::NotPositive`]; [`FormFault::NotFinite`] when the curve leaves the numbers somewhere on its range.
pub fn tube(curve: &Curve, radius: f64) -> Result<Solid, FormFault> {
    positive("radius", radius)?;
    let near = Near::new(curve)?;
    let within = near.region().grown(radius);
    let value = Expr::oracle(Arc::new(near), xyz()) - radius;
    Ok(Solid::Tube(Arc::new(Tube { curve: curve.clone(), radius, value, within })))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::Vec3;
    use crate::formula::{Tape, Unary};

    fn circle() -> Curve {
        let t = Expr::var("t");
        let (s, c) = (Expr::unary(Unary::Sin, t.clone()), Expr::unary(Unary::Cos, t));
        Curve::new([c * 3.0, s * 3.0, Expr::constant(0.0)], "t", (0.0, std::f64::consts::TAU)).unwrap()
    }

    #[test]
    fn the_distance_to_a_circle_is_the_distance_to_a_circle() {
        let Solid::Tube(tube) = tube(&circle(), 0.5).unwrap() else { panic!() };
        let tape = Tape::new(tube.value()).unwrap();
        for i in 0..200 {
            let k = f64::from(i);
            let p = Vec3::new(4.0 * (k * 0.7).sin(), 3.0 * (k * 1.3).cos(), (k * 0.37).sin());
            let exact = (p.x.hypot(p.y) - 3.0).hypot(p.z) - 0.5;
            assert!((tape.value(p) - exact).abs() < 1e-7, "{p:?}");
        }
        assert!(tube.within().holds(Vec3::new(3.5, 0.0, 0.5)) && tube.within().size().x < 7.2);
    }
}
