//! Rotations of the sphere of four dimensions, as space sees them by stereographic projection from the pole: Möbius motions,
//! each an inversion followed by a motion. Lengths are mm.
//!
//! Source: J. G. Ratcliffe, Foundations of Hyperbolic Manifolds (2006), sections 4.2 and 4.3.

use super::fault::{FormFault, finite, finite_vector, positive};
use super::flat::Flat;
use super::motion::{Movable, SpaceMap};
use super::net::{self, Net};
use crate::base::{Affine, Vec3};

/// Turns nearer to none than this, as the sine of half of them, only turn about the axis.
const NONE: f64 = 1e-9;
/// A motion whose parts out of the plane z = 0 are less keeps it.
const KEEPS: f64 = 1e-12;

/// A rotation of the sphere of four dimensions that is seen in space.
#[derive(Clone, Copy, Debug)]
pub struct Roll {
    /// The inversion: the middle of its sphere, and the radius. None for a turn about an axis.
    inversion: Option<(Vec3, f64)>,
    then: Affine,
}

/// The rotation by `angle` in the plane of an axis and the pole, and by `spin` about the axis, degrees; `radius`, mm, is that
/// of the sphere of space that lies half way between the pole and its opposite, the origin.
///
/// # Errors
/// [`FormFault::NotFinite`], [`FormFault::NotPositive`], [`FormFault::NoDirection`].
pub fn rolling(axis: Vec3, angle: f64, spin: f64, radius: f64) -> Result<Roll, FormFault> {
    finite_vector("axis", axis)?;
    let (angle, spin) = (finite("angle", angle)?.to_radians(), finite("spin", spin)?.to_radians());
    positive("radius", radius)?;
    let unit = axis.unit().ok_or(FormFault::NoDirection { name: "axis" })?;
    let turn = Affine::turn(unit, spin).ok_or(FormFault::NoDirection { name: "axis" })?;
    let half = libm::sin(0.5 * angle);
    if half.abs() < NONE {
        return Ok(Roll { inversion: None, then: turn });
    }
    // What goes to the pole, which is infinity, and where infinity goes; sizes change as in a sphere of that radius.
    let far = unit * (radius * libm::cos(0.5 * angle) / half);
    let reach = radius / half.abs();
    // On the axis the inversion leaves directions as they are and the rotation turns them over; square to it, neither.
    let over = Affine::reflect(Vec3::ZERO, unit).ok_or(FormFault::NoDirection { name: "axis" })?;
    let then = Affine::shift(far).then(&over.then(&turn)).then(&Affine::shift(far));
    Ok(Roll { inversion: Some((-far, reach)), then })
}

impl Roll {
    /// A thing rolled.
    ///
    /// # Errors
    /// [`FormFault`] of its motions.
    pub fn of<T: Movable>(&self, thing: &T) -> Result<T, FormFault> {
        match self.inversion {
            Some((centre, radius)) => thing.mapped(&SpaceMap::Invert { centre, radius })?.moved(&self.then),
            None => thing.moved(&self.then),
        }
    }

    /// Whether the plane z = 0 stays where it is.
    pub fn keeps_the_plane(&self) -> bool {
        let row = self.then.rows[2];
        self.inversion.is_none_or(|(centre, radius)| centre.z.abs() <= KEEPS * radius)
            && row.x.abs().max(row.y.abs()) <= KEEPS
            && self.then.shift.z.abs() <= KEEPS
    }

    /// The lines of a flat and the outlines of its regions rolled, as a net.
    ///
    /// # Errors
    /// [`FormFault`] of its motions.
    pub fn of_lines(&self, work: &Flat) -> Result<Net, FormFault> {
        self.of(&net::of_lines(work))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::form::flat::disc;
    use crate::form::{Curve, linking, tiling};
    use crate::formula::{Expr, Unary};

    type Four = [f64; 4];

    /// Up to the sphere of four dimensions and down again (section 5.8 of the project's check values).
    fn up(p: Vec3, radius: f64) -> Four {
        let u = p / radius;
        let s = u.dot(u);
        [2.0 * u.x / (1.0 + s), 2.0 * u.y / (1.0 + s), 2.0 * u.z / (1.0 + s), (s - 1.0) / (s + 1.0)]
    }

    fn down(q: Four, radius: f64) -> Vec3 {
        Vec3::new(q[0], q[1], q[2]) * (radius / (1.0 - q[3]))
    }

    fn image(roll: &Roll, p: Vec3) -> Vec3 {
        let through = match roll.inversion {
            Some((c, r)) => c + (p - c) * (r * r / (p - c).dot(p - c)),
            None => p,
        };
        roll.then.apply(through)
    }

    #[test]
    fn a_roll_is_a_rotation_of_four_dimensions() {
        for (angle, spin, radius) in
            [(90.0, 0.0, 20.0), (37.0, 110.0, 5.0), (-150.0, 20.0, 1.0), (360.0, 45.0, 3.0)]
        {
            let roll = rolling(Vec3::new(0.0, 0.0, 1.0), angle, spin, radius).unwrap();
            let ((s, c), (v, w)) = (f64::to_radians(angle).sin_cos(), f64::to_radians(spin).sin_cos());
            for k in 0..40 {
                let k = f64::from(k);
                let p =
                    Vec3::new((k * 0.7).sin(), (k * 1.3).cos(), (k * 0.37).sin()) * (0.1 * k * radius + 0.1);
                let q = up(p, radius);
                let turned =
                    [q[0] * w - q[1] * v, q[0] * v + q[1] * w, q[2] * c + q[3] * s, q[3] * c - q[2] * s];
                let want = down(turned, radius);
                let found = image(&roll, p);
                assert!(
                    (found - want).norm() < 1e-9 * want.norm().max(radius),
                    "{angle} {spin} {p:?} {found:?} {want:?}"
                );
            }
        }
        assert!(
            rolling(Vec3::ZERO, 1.0, 0.0, 1.0).is_err()
                && rolling(Vec3::new(1.0, 0.0, 0.0), 1.0, 0.0, 0.0).is_err()
        );
    }

    /// A quarter brings the plane z = 0 to the sphere and back.
    #[test]
    fn a_quarter_is_stereographic_projection_both_ways() {
        let up = Vec3::new(0.0, 0.0, 1.0);
        let (there, back) = (rolling(up, 90.0, 0.0, 20.0).unwrap(), rolling(up, -90.0, 0.0, 20.0).unwrap());
        let plane = tiling::tiling("6.6.6", 9.0, 50.0).unwrap().edges();
        let ball = there.of_lines(&plane).unwrap();
        let places =
            || ball.points().iter().chain(ball.edges().iter().flat_map(|e| e.between.iter().map(|b| &b.0)));
        assert!(places().all(|p| (p.norm() - 20.0).abs() < 1e-9));
        // The origin goes to the lowest point, what is far away near the highest.
        assert!((image(&there, Vec3::ZERO) - Vec3::new(0.0, 0.0, -20.0)).norm() < 1e-12);
        let again = back.of(&ball).unwrap();
        assert!(again.points().iter().all(|p| p.z.abs() < 1e-9));
        assert!(!there.keeps_the_plane());
        let slid = rolling(Vec3::new(1.0, 0.0, 0.0), 40.0, 0.0, 20.0).unwrap();
        assert!(slid.keeps_the_plane() && slid.of(&disc(5.0).unwrap()).is_ok());
    }

    /// The fibre over a point of the sphere, its middle line seen in space: on the torus of radii √2 and 1 when it lies half
    /// way. Source: section 5.8 of the check values; H. Hopf, Math. Ann. 104 (1931) 637.
    fn fibre(way: f64, turn: f64) -> Curve {
        let (sin, cos) = (|e: Expr| Expr::unary(Unary::Sin, e), |e: Expr| Expr::unary(Unary::Cos, e));
        let t = Expr::var("t");
        let below = Expr::constant(1.0) - sin(t.clone()) * way.sin();
        let parts =
            [cos(t.clone() + turn) * way.cos(), sin(t.clone() + turn) * way.cos(), cos(t) * way.sin()];
        Curve::new(parts.map(|e| e / below.clone()), "t", (0.0, std::f64::consts::TAU)).unwrap()
    }

    #[test]
    fn fibres_lie_on_a_torus_and_are_linked_once() {
        let one = fibre(0.25 * std::f64::consts::PI, 0.0);
        let roll = rolling(Vec3::new(0.0, 0.0, 1.0), 50.0, 50.0, 1.0).unwrap();
        // A rotation by one angle in both planes moves every point along its own fibre, or along the mirror image's.
        let moved = roll.of(&one).unwrap();
        for k in 0..24 {
            let t = f64::from(k) * 0.26;
            for curve in [&one, &moved] {
                let p = crate::form::only(curve).unwrap().places().at(t);
                let off = libm::hypot(libm::hypot(p.x, p.y) - 2.0_f64.sqrt(), p.z);
                assert!((off - 1.0).abs() < 1e-9, "{p:?}");
            }
        }
        for other in [fibre(0.25 * std::f64::consts::PI, 1.7), fibre(1.2, 0.4)] {
            assert_eq!(linking(&one, &other).unwrap().abs(), 1);
        }
    }
}
