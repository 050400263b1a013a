//! Three `f32`: a place, a direction or a linear colour inside the tracer.

use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub};

/// A place or direction in scene units, or a linear red-green-blue colour.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct V {
    pub x: f32,
    pub y: f32,
    pub z: f32,
}

/// (x, y, z).
pub(super) const fn v(x: f32, y: f32, z: f32) -> V {
    V { x, y, z }
}

impl V {
    pub const ZERO: V = v(0.0, 0.0, 0.0);
    pub const ONE: V = v(1.0, 1.0, 1.0);
    pub const UP: V = v(0.0, 0.0, 1.0);

    pub const fn splat(a: f32) -> V {
        v(a, a, a)
    }

    pub fn dot(self, o: V) -> f32 {
        self.x * o.x + self.y * o.y + self.z * o.z
    }

    pub fn cross(self, o: V) -> V {
        v(self.y * o.z - self.z * o.y, self.z * o.x - self.x * o.z, self.x * o.y - self.y * o.x)
    }

    pub fn norm(self) -> f32 {
        self.dot(self).sqrt()
    }

    /// Length 1, or `other` when there is no direction.
    pub fn unit_or(self, other: V) -> V {
        let n = self.norm();
        if n > 0.0 && n.is_finite() { self / n } else { other }
    }

    /// Mirrored in the plane square to the unit vector `n`.
    pub fn mirror(self, n: V) -> V {
        self - n * (2.0 * self.dot(n))
    }

    /// The part along (1 - t) plus `o` along t.
    pub fn mix(self, o: V, t: f32) -> V {
        self * (1.0 - t) + o * t
    }

    pub fn map(self, f: impl Fn(f32) -> f32) -> V {
        v(f(self.x), f(self.y), f(self.z))
    }

    /// Colour by colour.
    pub fn times(self, o: V) -> V {
        v(self.x * o.x, self.y * o.y, self.z * o.z)
    }

    /// Relative luminance of a linear sRGB colour (IEC 61966-2-1).
    pub fn luminance(self) -> f32 {
        0.2126 * self.x + 0.7152 * self.y + 0.0722 * self.z
    }

    /// Two unit vectors that complete the unit vector `self` to a right-handed frame.
    /// Source: Duff et al., "Building an orthonormal basis, revisited", JCGT 6(1), 2017.
    pub fn frame(self) -> (V, V) {
        let s = 1.0f32.copysign(self.z);
        let a = -1.0 / (s + self.z);
        let b = self.x * self.y * a;
        (v(1.0 + s * self.x * self.x * a, s * b, -s * self.x), v(b, s + self.y * self.y * a, -self.y))
    }

    pub fn array(self) -> [f32; 3] {
        [self.x, self.y, self.z]
    }
}

impl Add for V {
    type Output = V;
    fn add(self, o: V) -> V {
        v(self.x + o.x, self.y + o.y, self.z + o.z)
    }
}

impl AddAssign for V {
    fn add_assign(&mut self, o: V) {
        *self = *self + o;
    }
}

impl Sub for V {
    type Output = V;
    fn sub(self, o: V) -> V {
        v(self.x - o.x, self.y - o.y, self.z - o.z)
    }
}

impl Neg for V {
    type Output = V;
    fn neg(self) -> V {
        v(-self.x, -self.y, -self.z)
    }
}

impl Mul<f32> for V {
    type Output = V;
    fn mul(self, k: f32) -> V {
        v(self.x * k, self.y * k, self.z * k)
    }
}

impl Div<f32> for V {
    type Output = V;
    fn div(self, k: f32) -> V {
        self * (1.0 / k)
    }
}
