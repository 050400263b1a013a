//! Affine maps of space: motions, scalings and reflections.

use super::Vec3;

/// The map p ↦ (row₀·p, row₁·p, row₂·p) + shift.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Affine {
    /// Rows of the linear part.
    pub rows: [Vec3; 3],
    /// Image of the origin, mm.
    pub shift: Vec3,
}

impl Affine {
    /// The map that moves nothing.
    pub const IDENTITY: Self = Self {
        rows: [Vec3::new(1.0, 0.0, 0.0), Vec3::new(0.0, 1.0, 0.0), Vec3::new(0.0, 0.0, 1.0)],
        shift: Vec3::ZERO,
    };

    /// A shift by `v` mm.
    pub fn shift(v: Vec3) -> Self {
        Self { shift: v, ..Self::IDENTITY }
    }

    /// A scaling by a factor along each axis, about the origin.
    pub fn scale(k: Vec3) -> Self {
        Self {
            rows: [Vec3::new(k.x, 0.0, 0.0), Vec3::new(0.0, k.y, 0.0), Vec3::new(0.0, 0.0, k.z)],
            shift: Vec3::ZERO,
        }
    }

    /// A turn by `angle` radians about the line through the origin along `axis` (right-hand rule);
    /// `None` for an axis without direction. Source: O. Rodrigues, J. Math. Pures Appl. 5 (1840) 380.
    pub fn turn(axis: Vec3, angle: f64) -> Option<Self> {
        let a = axis.unit()?;
        let (s, c) = (libm::sin(angle), libm::cos(angle));
        let about = |p: Vec3| p * c + a.cross(p) * s + a * (a.dot(p) * (1.0 - c));
        Some(Self::from_columns([1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0], about))
    }

    /// A reflection in the plane through `point` square to `normal`; `None` for a normal without direction.
    pub fn reflect(point: Vec3, normal: Vec3) -> Option<Self> {
        let n = normal.unit()?;
        let about = |p: Vec3| p - n * (2.0 * n.dot(p));
        let linear = Self::from_columns([1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0], about);
        Some(Self { shift: n * (2.0 * n.dot(point)), ..linear })
    }

    fn from_columns(x: [f64; 3], y: [f64; 3], z: [f64; 3], map: impl Fn(Vec3) -> Vec3) -> Self {
        let [a, b, c] = [map(x.into()), map(y.into()), map(z.into())];
        Self { rows: [0, 1, 2].map(|i| Vec3::new(a[i], b[i], c[i])), shift: Vec3::ZERO }
    }

    /// The image of a point.
    pub fn apply(&self, p: Vec3) -> Vec3 {
        self.apply_direction(p) + self.shift
    }

    /// The image of a direction (the shift is left out).
    pub fn apply_direction(&self, d: Vec3) -> Vec3 {
        Vec3::new(self.rows[0].dot(d), self.rows[1].dot(d), self.rows[2].dot(d))
    }

    /// First `self`, then `next`.
    pub fn then(&self, next: &Self) -> Self {
        let column =
            |i: usize| next.apply_direction(Vec3::new(self.rows[0][i], self.rows[1][i], self.rows[2][i]));
        let [a, b, c] = [column(0), column(1), column(2)];
        Self { rows: [0, 1, 2].map(|i| Vec3::new(a[i], b[i], c[i])), shift: next.apply(self.shift) }
    }

    /// The factor on lengths of a map that keeps angles; `None` for any other.
    pub fn similar(&self) -> Option<f64> {
        /// How far the linear part may be from a turn, per its factor squared: rounding of a few steps.
        const ROUNDING: f64 = 1e-12;
        let square = self.rows[0].dot(self.rows[0]);
        let off = |i: usize, j: usize| {
            let wanted = if i == j { square } else { 0.0 };
            (self.rows[i].dot(self.rows[j]) - wanted).abs()
        };
        let all = (0..3).flat_map(|i| (i..3).map(move |j| off(i, j)));
        (square > 0.0 && all.fold(0.0, f64::max) <= ROUNDING * square).then(|| square.sqrt())
    }

    /// Factor on volumes; negative for a map that mirrors.
    pub fn determinant(&self) -> f64 {
        self.rows[0].dot(self.rows[1].cross(self.rows[2]))
    }

    /// The map that undoes this one; `None` when it flattens space.
    pub fn inverse(&self) -> Option<Self> {
        let d = self.determinant();
        if !(d.is_finite() && d != 0.0) {
            return None;
        }
        let [r0, r1, r2] = self.rows;
        let [a, b, c] = [r1.cross(r2) / d, r2.cross(r0) / d, r0.cross(r1) / d];
        let rows = [0, 1, 2].map(|i| Vec3::new(a[i], b[i], c[i]));
        let linear = Self { rows, shift: Vec3::ZERO };
        let shift = -linear.apply(self.shift);
        Some(Self { rows, shift })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn maps_that_keep_angles_are_known() {
        let turn = Affine::turn(Vec3::new(1.0, 2.0, -0.5), 0.8).unwrap();
        let mirror = Affine::reflect(Vec3::ZERO, Vec3::new(1.0, 1.0, 0.0)).unwrap();
        let grown = turn.then(&Affine::scale(Vec3::splat(-3.0))).then(&mirror);
        assert!((grown.similar().unwrap() - 3.0).abs() < 1e-12);
        assert_eq!(Affine::scale(Vec3::new(1.0, 1.0, 1.001)).similar(), None);
        let sheared = Affine { rows: [Vec3::new(1.0, 0.2, 0.0), turn.rows[1], turn.rows[2]], ..turn };
        assert_eq!(sheared.similar(), None);
    }

    #[test]
    fn a_turn_then_its_inverse_moves_nothing() {
        let t = Affine::turn(Vec3::new(1.0, 2.0, 3.0), 0.7)
            .unwrap()
            .then(&Affine::shift(Vec3::new(4.0, 5.0, 6.0)));
        let p = Vec3::new(0.3, -0.7, 1.1);
        assert!((t.then(&t.inverse().unwrap()).apply(p) - p).norm() < 1e-14);
        assert!((t.determinant() - 1.0).abs() < 1e-14);
    }
}
