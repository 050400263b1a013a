//! An axis-parallel box of space, in mm.

use super::{Interval, Vec3};

/// An axis-parallel box; empty when a `min` exceeds its `max`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Box3 {
    /// Least corner.
    pub min: Vec3,
    /// Greatest corner.
    pub max: Vec3,
}

impl Box3 {
    /// The box that holds nothing, and grows to whatever `hold` is given.
    pub const EMPTY: Self = Self { min: Vec3::splat(f64::INFINITY), max: Vec3::splat(f64::NEG_INFINITY) };

    /// The box between two corners.
    pub const fn new(min: Vec3, max: Vec3) -> Self {
        Self { min, max }
    }

    /// The cube of half edge `half` about the origin.
    pub fn cube(half: f64) -> Self {
        Self::new(Vec3::splat(-half), Vec3::splat(half))
    }

    /// The least box that holds all points.
    pub fn around(points: impl IntoIterator<Item = Vec3>) -> Self {
        points.into_iter().fold(Self::EMPTY, |b, p| b.hold(p))
    }

    /// The least box that holds this one and `p`.
    pub fn hold(self, p: Vec3) -> Self {
        Self::new(self.min.min(p), self.max.max(p))
    }

    /// The least box that holds both.
    pub fn join(self, o: Self) -> Self {
        Self::new(self.min.min(o.min), self.max.max(o.max))
    }

    /// What both boxes share; may be empty.
    pub fn meet(self, o: Self) -> Self {
        Self::new(self.min.max(o.min), self.max.min(o.max))
    }

    /// The box with each face moved outward by `d` mm.
    pub fn grown(self, d: f64) -> Self {
        Self::new(self.min - Vec3::splat(d), self.max + Vec3::splat(d))
    }

    /// True when no point lies in the box.
    pub fn is_empty(self) -> bool {
        self.min.x > self.max.x || self.min.y > self.max.y || self.min.z > self.max.z
    }

    /// True when all six faces are at finite places.
    pub fn is_finite(self) -> bool {
        self.min.is_finite() && self.max.is_finite()
    }

    /// Edge lengths.
    pub fn size(self) -> Vec3 {
        self.max - self.min
    }

    /// Middle point.
    pub fn centre(self) -> Vec3 {
        (self.min + self.max) * 0.5
    }

    /// True when `p` lies in the box or on its faces.
    pub fn holds(self, p: Vec3) -> bool {
        (0..3).all(|i| self.min[i] <= p[i] && p[i] <= self.max[i])
    }

    /// The range of each coordinate.
    pub fn intervals(self) -> [Interval; 3] {
        [0, 1, 2].map(|i| Interval::new(self.min[i], self.max[i]))
    }

    /// The eight corners, x fastest.
    pub fn corners(self) -> [Vec3; 8] {
        std::array::from_fn(|i| {
            let pick = |axis: usize| if i >> axis & 1 == 0 { self.min[axis] } else { self.max[axis] };
            Vec3::new(pick(0), pick(1), pick(2))
        })
    }
}
