//! A seeded sequence of numbers for starts and trials: the same on every machine and at every run.

/// A sequence of numbers that look random. Source: splitmix64, G. Steele, D. Lea, C. Flood, OOPSLA 2014,
/// doi:10.1145/2660193.2660195.
pub(crate) struct Chance(u64);

impl Chance {
    pub(crate) fn new(seed: u64) -> Self {
        Self(seed)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// A number of the range.
    pub(crate) fn between(&mut self, from: f64, to: f64) -> f64 {
        let unit = (self.next() >> 11) as f64 / (1_u64 << 53) as f64;
        from + (to - from) * unit
    }
}
