//! From linear light to bytes: a soft shoulder, the sRGB curve, a hair of grain against banding.

use super::vec::V;

/// Below this, light is shown as it is; above, it bends towards white.
const KNEE: f32 = 0.72;

/// Light from 0 to 1; identity up to the knee, with the same slope there, never reaching 1.
/// Above the knee: k + (1 - k)·s/(1 + s), s = (x - k)/(1 - k).
pub(super) fn shoulder(x: f32) -> f32 {
    if x <= KNEE {
        return x.max(0.0);
    }
    let s = (x - KNEE) / (1.0 - KNEE);
    KNEE + (1.0 - KNEE) * s / (1.0 + s)
}

/// The curve of IEC 61966-2-1 on a fine table.
pub(super) struct Curve(Vec<f32>);

impl Curve {
    const STEPS: usize = 4096;

    pub fn new() -> Self {
        // The table is even in the square root of the light, where the curve is nearly straight.
        let encode = |i: usize| {
            let x = i as f32 / Self::STEPS as f32;
            let x = x * x;
            if x <= 0.003_130_8 { 12.92 * x } else { 1.055 * libm::powf(x, 1.0 / 2.4) - 0.055 }
        };
        Self((0..=Self::STEPS + 1).map(encode).collect())
    }

    /// The byte of a linear value from 0 to 1, `grain` (-0.5 to 0.5) added before rounding.
    pub fn byte(&self, x: f32, grain: f32) -> u8 {
        let t = x.clamp(0.0, 1.0).sqrt() * Self::STEPS as f32;
        let i = t as usize;
        let y = self.0[i] + (self.0[i + 1] - self.0[i]) * (t - i as f32);
        (y * 255.0 + 0.5 + grain).clamp(0.0, 255.0) as u8
    }

    /// The bytes of a colour after the shoulder.
    pub fn bytes(&self, c: V, grain: f32) -> [u8; 3] {
        c.array().map(|x| self.byte(shoulder(x), grain))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_curve_keeps_known_values() {
        let curve = Curve::new();
        // IEC 61966-2-1: ((128/255 + 0.055)/1.055)^2.4 = 0.21586; the straight part ends at 0.0031308, 10.3/255
        assert_eq!(curve.byte(0.0, 0.0), 0);
        assert_eq!(curve.byte(1.0, 0.0), 255);
        assert_eq!(curve.byte(0.215_86, 0.0), 128);
        assert_eq!(curve.byte(0.003_130_8, 0.0), 10);
    }

    #[test]
    fn the_shoulder_grows_and_stays_below_white() {
        let mut last = -1.0;
        for i in 0..1000 {
            let y = shoulder(i as f32 * 0.02);
            assert!(y > last && y < 1.0);
            last = y;
        }
    }
}
