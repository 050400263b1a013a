//! Where the viewer stands and which ray goes through which pixel: a long lens, the object filling the frame.

use super::look::View;
use super::vec::{V, v};

/// Tangent of half the angle that the short side of the frame takes in: a lens of about 100 mm on a 36 × 24 mm frame.
const HALF_FRAME: f32 = 0.125;
/// How much of the frame the object fills.
const FILL: f32 = 0.85;

/// A pinhole with a frame before it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Camera {
    pub eye: V,
    pub right: V,
    pub up: V,
    /// The direction of sight.
    pub sight: V,
    /// Pixels for a distance of 1 at depth 1.
    pub focal: f32,
    middle: (f32, f32),
}

impl Camera {
    /// A camera of `size` pixels that sees all `points` and fills the frame with them.
    pub fn fit(view: View, size: (usize, usize), points: &[V]) -> Self {
        let (right, up, sight) = axes(view);
        let (wide, high) = (size.0 as f32, size.1 as f32);
        let short = wide.min(high);
        let focal = short / (2.0 * HALF_FRAME);
        let (tx, ty) = (FILL * wide / (2.0 * focal), FILL * high / (2.0 * focal));
        // Every point must satisfy ±x + tx·depth and ±y + ty·depth at least 0: four planes, each pushed to its last point.
        let mut reach = [f32::MIN; 4];
        for p in points {
            let (x, y, w) = (p.dot(right), p.dot(up), -p.dot(sight));
            for (r, a) in reach.iter_mut().zip([x + tx * w, -x + tx * w, y + ty * w, -y + ty * w]) {
                *r = r.max(a);
            }
        }
        if points.is_empty() {
            reach = [1.0; 4];
        }
        let back = ((reach[0] + reach[1]) / (2.0 * tx)).max((reach[2] + reach[3]) / (2.0 * ty));
        let (x, y) = ((reach[0] - reach[1]) / 2.0, (reach[2] - reach[3]) / 2.0);
        let eye = right * x + up * y - sight * back.max(1e-3);
        Self { eye, right, up, sight, focal, middle: (wide * 0.5, high * 0.5) }
    }

    /// The unit direction through the place (x, y) of the frame, in pixels from its upper left corner.
    pub fn ray(&self, x: f32, y: f32) -> V {
        let (a, b) = ((x - self.middle.0) / self.focal, (self.middle.1 - y) / self.focal);
        (self.sight + self.right * a + self.up * b).unit_or(self.sight)
    }

    /// Distance of `p` before the eye, along the direction of sight.
    pub fn depth(&self, p: V) -> f32 {
        (p - self.eye).dot(self.sight)
    }
}

/// The directions right, up and away from the viewer.
fn axes(view: View) -> (V, V, V) {
    let clean = |a: f64| if a.is_finite() { a } else { 0.0 };
    let turn = clean(view.azimuth).rem_euclid(360.0).to_radians();
    let rise = clean(view.elevation).clamp(-90.0, 90.0).to_radians();
    let (s, c) = (libm::sin(turn) as f32, libm::cos(turn) as f32);
    let (sr, cr) = (libm::sin(rise) as f32, libm::cos(rise) as f32);
    (v(c, s, 0.0), v(-s * sr, c * sr, cr), v(-s * cr, c * cr, -sr))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The silhouette of a ball of radius r at distance d is seen under the tangent r/√(d² - r²).
    #[test]
    fn a_ball_fills_the_frame() {
        let points: Vec<V> = (0..20_000)
            .map(|i| {
                let z = 1.0 - 2.0 * (i as f32 + 0.5) / 20_000.0;
                let (r, t) = ((1.0 - z * z).sqrt(), i as f32 * 2.399_963);
                v(r * libm::cosf(t), r * libm::sinf(t), z)
            })
            .collect();
        for (elevation, size) in [(24.0, (800, 800)), (-10.0, (900, 300)), (90.0, (200, 500))] {
            let camera = Camera::fit(View { azimuth: 70.0, elevation }, size, &points);
            let d = camera.eye.norm();
            let across = 2.0 * camera.focal / (d * d - 1.0).sqrt();
            let want = FILL * size.0.min(size.1) as f32;
            assert!((across / want - 1.0).abs() < 0.005, "{across} {want}");
        }
    }

    #[test]
    fn axes_are_right_handed_and_z_points_up() {
        let (right, up, sight) = axes(View { azimuth: 0.0, elevation: 0.0 });
        assert_eq!((right, up, sight), (v(1.0, 0.0, 0.0), V::UP, v(0.0, 1.0, 0.0)));
        let (right, up, sight) = axes(View { azimuth: 125.0, elevation: 31.0 });
        assert!((right.cross(up) + sight).norm() < 1e-6);
    }
}
