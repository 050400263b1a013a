//! Vectors, motions, intervals, tolerance: what every other module speaks in. Lengths are mm.

mod affine;
mod box3;
mod interval;
mod vec2;
mod vec3;
mod watch;

pub use affine::Affine;
pub use box3::Box3;
pub use interval::Interval;
pub use vec2::Vec2;
pub use vec3::Vec3;
pub use watch::{Stopped, Unwatched, Watch};

/// A number and what it counts: "1 piece", "2 pieces".
pub fn several(count: usize, one: &str, many: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
}

/// How far a finished sample may lie from the exact form, in mm; finite and greater than zero.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Tolerance(f64);

impl Tolerance {
    /// A tolerance of `mm`; `None` unless finite and positive.
    pub fn new(mm: f64) -> Option<Self> {
        (mm.is_finite() && mm > 0.0).then_some(Self(mm))
    }

    /// The distance in mm.
    pub fn mm(self) -> f64 {
        self.0
    }
}
