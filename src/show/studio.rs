//! The room the object stands in: a key light, a sky of soft light, a pale seamless ground.
//!
//! The lights turn with the viewer, so that every view is lit alike: the key from the upper left behind the viewer,
//! a cool fill from the right, a rim from behind. Radiance 1 is what a white matt thing square to the key would show.

use super::camera::Camera;
use super::vec::{V, v};

/// Lights and ground. All directions are unit vectors from the object.
#[derive(Clone, Debug)]
pub(super) struct Studio {
    /// Towards the middle of the key.
    key: V,
    key_frame: (V, V),
    /// Tangent of the angular radius of the key.
    key_spread: f32,
    /// Irradiance of the key over π, square to it.
    pub key_colour: V,
    fill: V,
    rim: V,
    /// Sky overhead, at the horizon.
    zenith: V,
    horizon: V,
    fill_colour: V,
    rim_colour: V,
    /// What a mirror sees between the lamps, and overhead; and how bright its lamps are.
    dark: V,
    ceiling: V,
    lamps: f32,
    /// How much of the light the ground sends back.
    pub ground: V,
    /// Whether there is a ground.
    pub grounded: bool,
    back: V,
    /// The backdrop at the top and at the foot of the frame.
    paper: (V, V),
}

impl Studio {
    /// The studio seen by a camera; without ground when the camera looks from below.
    pub fn around(camera: &Camera) -> Self {
        let right = camera.right;
        let ahead = V::UP.cross(right);
        let toward = |r: f32, a: f32, z: f32| (right * r + ahead * a + V::UP * z).unit_or(V::UP);
        let key = toward(-0.62, -0.42, 0.86);
        Self {
            key,
            key_frame: key.frame(),
            key_spread: 0.2,
            key_colour: v(0.93, 0.89, 0.83),
            fill: toward(0.9, -0.45, 0.25),
            rim: toward(0.45, 0.8, 0.5),
            zenith: v(0.30, 0.31, 0.33),
            horizon: v(0.13, 0.137, 0.15),
            fill_colour: v(0.13, 0.142, 0.165),
            rim_colour: v(0.30, 0.305, 0.32),
            dark: v(0.07, 0.075, 0.083),
            ceiling: V::splat(0.95),
            lamps: 1.0,
            ground: v(0.74, 0.73, 0.715),
            grounded: camera.sight.z < -0.02,
            back: ahead,
            paper: (v(0.66, 0.658, 0.655), v(0.775, 0.765, 0.75)),
        }
    }

    /// The same lights with a stronger key, hardly any sky, and a dark ground.
    pub fn stark(self) -> Self {
        Self {
            key_colour: self.key_colour * 1.15,
            zenith: self.zenith * 0.4,
            horizon: self.horizon * 0.3,
            ground: self.ground * 0.12,
            paper: (v(0.006, 0.007, 0.010), v(0.022, 0.024, 0.030)),
            ..self
        }
    }

    /// A room that shines with radiance 1 from everywhere, without key and ground.
    #[cfg(test)]
    pub fn uniform() -> Self {
        let zero = V::ZERO;
        Self {
            key: V::UP,
            key_frame: V::UP.frame(),
            key_spread: 0.1,
            key_colour: zero,
            fill: V::UP,
            rim: V::UP,
            zenith: V::ONE,
            horizon: V::ONE,
            fill_colour: zero,
            rim_colour: zero,
            dark: V::ONE,
            ceiling: V::ONE,
            lamps: 0.0,
            ground: V::ONE,
            grounded: false,
            back: v(0.0, 1.0, 0.0),
            paper: (V::ZERO, V::ZERO),
        }
    }

    /// A direction to a place on the key light.
    pub fn to_key(&self, (a, b): (f32, f32)) -> V {
        let (x, y) = disc(a, b);
        (self.key + (self.key_frame.0 * x + self.key_frame.1 * y) * self.key_spread).unit_or(self.key)
    }

    /// Light from a direction of the room, without the key and the ground: what matt things gather.
    pub fn sky(&self, d: V) -> V {
        let height = d.z * 0.5 + 0.5;
        let lobe = |axis: V| {
            let c = d.dot(axis).max(0.0);
            c * c
        };
        let rim = lobe(self.rim);
        self.horizon.mix(self.zenith, height)
            + self.fill_colour * lobe(self.fill)
            + self.rim_colour * (rim * rim)
    }

    /// What a mirror sees in a direction: the panels, and the key lamp itself.
    pub fn seen(&self, d: V) -> V {
        self.panels(d) + v(1.0, 0.96, 0.90) * (6.0 * self.lamps * panel(d, self.key, 0.955, 0.925))
    }

    /// The sky as a mirror sees it, with panels of light and dark between them, without the key lamp.
    pub fn panels(&self, d: V) -> V {
        let top = smooth((d.z - 0.55) / 0.35);
        let low = smooth(-d.z / 0.12);
        let fill = v(0.92, 0.96, 1.0) * (0.9 * panel(d, self.fill, 0.90, 0.72));
        let rim = V::splat(1.3 * panel(d, self.rim, 0.93, 0.80));
        self.dark.mix(self.ceiling, top * 0.75).mix(self.ground, low) + (fill + rim) * self.lamps
    }

    /// How square the key falls on the ground.
    pub fn key_height(&self) -> f32 {
        self.key.z.max(0.0)
    }

    /// Light that a lit ground sends up, at `from` the object's foot in units of its reach: darker beneath it.
    pub fn floor(&self, from: f32) -> V {
        let shade = 0.62 / (1.0 + 2.0 * from * from);
        self.ground * ((1.0 - shade) * self.open_floor().luminance())
    }

    /// Radiance of a white ground far from the object: key and sky together.
    pub fn open_floor(&self) -> V {
        // The mean of the sky over the upper half, weighted by the cosine: height averages to 2/3 of the way up.
        let height = 2.0 / 3.0 * 0.5 + 0.5;
        let sky = self.horizon.mix(self.zenith, height);
        self.key_colour * self.key.z.max(0.0) + sky + (self.fill_colour + self.rim_colour) * 0.3
    }

    /// The pale backdrop, as displayed before any shadow: lighter behind the object, falling off to the corners.
    /// (x, y) run from -1 to 1 across the short side of the frame, y down.
    pub fn backdrop(&self, x: f32, y: f32) -> V {
        let (top, foot) = self.paper;
        let fall = 1.0 - 0.10 * smooth((x * x + y * y) / 2.4);
        top.mix(foot, smooth((y + 1.0) * 0.5)) * fall
    }

    /// The horizontal direction away from the viewer.
    pub fn ahead(&self) -> V {
        self.back
    }
}

/// 1 inside the cosine `inner` about an axis, 0 outside `outer`.
fn panel(d: V, axis: V, inner: f32, outer: f32) -> f32 {
    smooth((d.dot(axis) - outer) / (inner - outer))
}

/// 0 below 0, 1 above 1, without a corner.
pub(super) fn smooth(t: f32) -> f32 {
    let t = t.clamp(0.0, 1.0);
    t * t * (3.0 - 2.0 * t)
}

/// A place in the unit disc, evenly spread. Source: P. Shirley and K. Chiu, JGT 2(3), 1997.
pub(super) fn disc(a: f32, b: f32) -> (f32, f32) {
    use std::f32::consts::{FRAC_PI_2, FRAC_PI_4};
    let (x, y) = (2.0 * a - 1.0, 2.0 * b - 1.0);
    if x == 0.0 && y == 0.0 {
        return (0.0, 0.0);
    }
    let (r, t) =
        if x.abs() > y.abs() { (x, FRAC_PI_4 * (y / x)) } else { (y, FRAC_PI_2 - FRAC_PI_4 * (x / y)) };
    (r * libm::cosf(t), r * libm::sinf(t))
}

/// A direction about the unit normal `n`, as likely as its cosine.
pub(super) fn cosine(n: V, (a, b): (f32, f32)) -> V {
    let (x, y) = disc(a, b);
    let (s, t) = n.frame();
    (s * x + t * y + n * (1.0 - x * x - y * y).max(0.0).sqrt()).unit_or(n)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The mean over a fine grid of a cosine-weighted direction is 2/3 of the normal.
    #[test]
    fn cosine_directions_have_the_right_mean() {
        let n = v(0.48, -0.6, 0.64);
        let mut sum = V::ZERO;
        for i in 0..64 {
            for j in 0..64 {
                sum += cosine(n, ((i as f32 + 0.5) / 64.0, (j as f32 + 0.5) / 64.0));
            }
        }
        let mean = sum / 4096.0;
        assert!((mean - n * (2.0 / 3.0)).norm() < 2e-3, "{mean:?}");
    }
}
