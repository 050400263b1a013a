//! Where in a pixel, on a light or in a lobe each sample looks: hashed, stratified, and spread over a tile of pixels.
//!
//! The plane of each pair of numbers is cut into quarters for the first four samples of a pixel and each quarter into
//! four again for the next twelve. Inside its cell a sample takes one of sixteen places, a different one in each pixel
//! of a 4 by 4 tile, so that a tile together covers the plane evenly and smoothing over it works well. Every choice is
//! scrambled by a hash of the place and the seed: no clock, no stripes, no order of threads.

/// Spreads the bits of a number; full avalanche. Source: the "lowbias32" constants, C. Wellons, public domain.
pub(super) fn mix(mut h: u32) -> u32 {
    h ^= h >> 16;
    h = h.wrapping_mul(0x7feb_352d);
    h ^= h >> 15;
    h = h.wrapping_mul(0x846c_a68b);
    h ^ (h >> 16)
}

/// A number from 0 to 1, 1 excluded.
fn unit(h: u32) -> f32 {
    (h >> 8) as f32 * (1.0 / 16_777_216.0)
}

/// The numbers of one sample of one pixel.
#[derive(Clone, Copy)]
pub(super) struct Sampler {
    pixel: u32,
    tile: u32,
    place: u32,
    sample: u32,
}

/// The order of quarters: the first two lie across from each other, so that two samples alone are already spread.
const QUARTERS: [u32; 4] = [0, 3, 1, 2];

/// What a pair of numbers is for; each purpose has its own scramble.
#[derive(Clone, Copy)]
pub(super) enum Use {
    Pixel = 1,
    Key = 2,
    Sky = 3,
    Gloss = 4,
    Depth = 5,
    Later = 6,
}

impl Sampler {
    /// Sample `sample` (0 to 15) of the pixel (x, y).
    pub fn new(x: usize, y: usize, sample: u32, seed: u32) -> Self {
        let at = |x: u32, y: u32| mix(x ^ mix(y ^ mix(seed)));
        let (x, y) = (x as u32, y as u32);
        Self {
            pixel: at(x, y),
            tile: at(x >> 2, (y >> 2) ^ 0x5bd1_e995),
            place: x & 3 | (y & 3) << 2,
            sample,
        }
    }

    /// Two numbers from 0 to 1.
    pub fn pair(&self, purpose: Use) -> (f32, f32) {
        let h = mix(self.pixel ^ mix(purpose as u32));
        let quarter = QUARTERS[self.sample as usize & 3] ^ (h & 3);
        let sub = ((self.sample >> 2) & 3) ^ mix(h ^ quarter) & 3;
        let t = mix(self.tile ^ mix(purpose as u32 ^ self.sample << 8));
        let spot = self.place.wrapping_mul((t & 6) | 1).wrapping_add(t >> 4) & 15 ^ (t >> 8 & 15);
        let j = mix(h ^ mix(self.sample.wrapping_add(0x9e37_79b9)));
        let axis = |a: u32| (((quarter >> a & 1) * 2 + (sub >> a & 1)) * 4 + (spot >> (2 * a) & 3)) as f32;
        ((axis(0) + unit(j)) / 16.0, (axis(1) + unit(mix(j))) / 16.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The first four samples fall into the four quarters, all sixteen into the sixteen cells.
    #[test]
    fn samples_are_stratified() {
        for (x, y) in [(0, 0), (17, 5), (799, 3)] {
            for (count, side) in [(4, 2.0), (16, 4.0)] {
                let mut seen = std::collections::BTreeSet::new();
                for s in 0..count {
                    let (u, v) = Sampler::new(x, y, s, 7).pair(Use::Key);
                    assert!((0.0..1.0).contains(&u) && (0.0..1.0).contains(&v));
                    seen.insert(((u * side) as u32, (v * side) as u32));
                }
                assert_eq!(seen.len(), count as usize);
            }
        }
    }

    /// In a tile no two pixels take the same sixteenth of a cell for the same sample, cell by cell.
    #[test]
    fn a_tile_covers_the_cell() {
        let mut seen = std::collections::BTreeSet::new();
        for y in 8..12 {
            for x in 4..8 {
                let (u, v) = Sampler::new(x, y, 0, 7).pair(Use::Sky);
                seen.insert(((u * 16.0) as u32 & 3, (v * 16.0) as u32 & 3));
            }
        }
        assert_eq!(seen.len(), 16);
    }

    /// Neighbours do not follow one another: the mean over a line is near a half, and no stripe repeats.
    #[test]
    fn lines_are_without_drift() {
        let line =
            |y: usize| (0..256).map(|x| Sampler::new(x, y, 0, 1).pair(Use::Sky).0).sum::<f32>() / 256.0;
        for y in 0..32 {
            // standard deviation of the mean of 256 uniform numbers: 0.018; five of them
            assert!((line(y) - 0.5).abs() < 0.09, "line {y}: {}", line(y));
        }
    }
}
