//! Closed intervals of the real line, with arithmetic that never loses a value (rounded outward).

/// All numbers from `lo` to `hi`; `ALL` where nothing is known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Interval {
    /// Least value.
    pub lo: f64,
    /// Greatest value.
    pub hi: f64,
}

impl Interval {
    /// The whole line.
    pub const ALL: Self = Self { lo: f64::NEG_INFINITY, hi: f64::INFINITY };

    /// From `lo` to `hi`; the caller keeps `lo <= hi`.
    pub const fn new(lo: f64, hi: f64) -> Self {
        Self { lo, hi }
    }

    /// One number.
    pub const fn point(x: f64) -> Self {
        Self { lo: x, hi: x }
    }

    /// True when `x` lies in the interval.
    pub fn holds(self, x: f64) -> bool {
        self.lo <= x && x <= self.hi
    }
}
