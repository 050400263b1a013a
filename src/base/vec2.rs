//! A point or a direction of the plane: two `f64`, mm unless a caller says otherwise.

use std::ops::{Add, Div, Mul, Neg, Sub};

/// A point or a direction of the plane.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Vec2 {
    /// First coordinate.
    pub x: f64,
    /// Second coordinate.
    pub y: f64,
}

impl Vec2 {
    /// The origin.
    pub const ZERO: Self = Self::new(0.0, 0.0);

    /// The vector (x, y).
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    /// The unit vector at an angle, radians, from the first axis.
    pub fn at_angle(angle: f64) -> Self {
        Self::new(libm::cos(angle), libm::sin(angle))
    }

    /// Scalar product.
    pub fn dot(self, o: Self) -> f64 {
        self.x * o.x + self.y * o.y
    }

    /// The third coordinate of the vector product: positive when `o` lies to the left.
    pub fn cross(self, o: Self) -> f64 {
        self.x * o.y - self.y * o.x
    }

    /// The vector turned a quarter counter-clockwise.
    pub fn left(self) -> Self {
        Self::new(-self.y, self.x)
    }

    /// The vector turned by an angle, radians, counter-clockwise.
    pub fn turned(self, angle: f64) -> Self {
        let u = Self::at_angle(angle);
        Self::new(self.x * u.x - self.y * u.y, self.x * u.y + self.y * u.x)
    }

    /// The angle from the first axis, radians, in (-π, π].
    pub fn angle(self) -> f64 {
        libm::atan2(self.y, self.x)
    }

    /// Euclidean length.
    pub fn norm(self) -> f64 {
        self.dot(self).sqrt()
    }

    /// The same direction with length 1; `None` for a vector without direction.
    pub fn unit(self) -> Option<Self> {
        let n = self.norm();
        (n.is_finite() && n > 0.0).then(|| self / n)
    }

    /// Coordinate by coordinate, the lesser.
    pub fn min(self, o: Self) -> Self {
        Self::new(self.x.min(o.x), self.y.min(o.y))
    }

    /// Coordinate by coordinate, the greater.
    pub fn max(self, o: Self) -> Self {
        Self::new(self.x.max(o.x), self.y.max(o.y))
    }

    /// The point `t` of the way to `o`.
    pub fn toward(self, o: Self, t: f64) -> Self {
        self * (1.0 - t) + o * t
    }

    /// True when no coordinate is infinite or not a number.
    pub fn is_finite(self) -> bool {
        self.x.is_finite() && self.y.is_finite()
    }

    /// The two coordinates.
    pub fn array(self) -> [f64; 2] {
        [self.x, self.y]
    }
}

impl From<[f64; 2]> for Vec2 {
    fn from([x, y]: [f64; 2]) -> Self {
        Self { x, y }
    }
}

impl Add for Vec2 {
    type Output = Self;
    fn add(self, o: Self) -> Self {
        Self::new(self.x + o.x, self.y + o.y)
    }
}

impl Sub for Vec2 {
    type Output = Self;
    fn sub(self, o: Self) -> Self {
        Self::new(self.x - o.x, self.y - o.y)
    }
}

impl Neg for Vec2 {
    type Output = Self;
    fn neg(self) -> Self {
        Self::new(-self.x, -self.y)
    }
}

impl Mul<f64> for Vec2 {
    type Output = Self;
    fn mul(self, k: f64) -> Self {
        Self::new(self.x * k, self.y * k)
    }
}

impl Div<f64> for Vec2 {
    type Output = Self;
    fn div(self, k: f64) -> Self {
        Self::new(self.x / k, self.y / k)
    }
}
