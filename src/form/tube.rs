//! The solid of all points near a curve.

use std::sync::Arc;

use super::fault::{FormFault, positive};
use super::near::Near;
use super::{Curve, Solid, xyz};
use crate::formula::Expr;

/// Every point nearer to the curve than `radius` mm; ends are round.
///
/// # Errors
/// [`FormFault::NotPositive`]; [`FormFault::NotFinite`] when the curve leaves the numbers somewhere on its range.
pub fn tube(curve: &Curve, radius: f64) -> Result<Solid, FormFault> {
    positive("radius", radius)?;
    let near = Near::new(curve)?;
    let within = near.region().grown(radius);
    Ok(Solid::Field { value: Expr::oracle(Arc::new(near), xyz()) - radius, within })
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
        let Solid::Field { value, within } = tube(&circle(), 0.5).unwrap() else { panic!() };
        let tape = Tape::new(&value).unwrap();
        for i in 0..200 {
            let k = f64::from(i);
            let p = Vec3::new(4.0 * (k * 0.7).sin(), 3.0 * (k * 1.3).cos(), (k * 0.37).sin());
            let exact = (p.x.hypot(p.y) - 3.0).hypot(p.z) - 0.5;
            assert!((tape.value(p) - exact).abs() < 1e-7, "{p:?}");
        }
        assert!(within.holds(Vec3::new(3.5, 0.0, 0.5)) && within.size().x < 7.2);
    }
}
