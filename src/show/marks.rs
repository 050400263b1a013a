//! The scale bar and the overall size.

use super::camera::Camera;
use super::letters;
use super::picture::Picture;
use super::scene::Scene;
use crate::base::Box3;

/// Ink of all marks: 8-bit sRGB.
pub(super) const INK: [u8; 3] = [62, 60, 64];

/// A length of the series 1, 2, 5 · 10ⁿ mm.
pub(super) fn round_length(most: f64) -> f64 {
    let power = libm::pow(10.0, libm::floor(libm::log10(most)));
    [5.0, 2.0, 1.0].into_iter().map(|k| k * power).find(|l| *l <= most * (1.0 + 1e-9)).unwrap_or(power)
}

/// A number of mm as a person writes it: at most three figures that matter.
pub(super) fn plain(mm: f64) -> String {
    let digits = if mm >= 100.0 || mm <= 0.0 {
        0
    } else {
        (2.0 - libm::floor(libm::log10(mm))).clamp(0.0, 6.0) as usize
    };
    let text = format!("{mm:.digits$}");
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

/// The edges of a box as text.
pub(super) fn size(bounds: Box3) -> String {
    bounds.size().array().map(plain).join(" × ") + " mm"
}

/// A bar: its length in mm and in pixels.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Bar {
    pub mm: f64,
    pub pixels: f64,
}

/// The longest round length that takes at most 28 % of the width, at the depth of the object's nearest point.
pub(super) fn bar(scene: &Scene, camera: &Camera, width: u32) -> Bar {
    let near = scene.points.iter().fold(f32::INFINITY, |d, p| d.min(camera.depth(*p)));
    let per_mm = f64::from(camera.focal) / (f64::from(near.max(1e-6)) * scene.scale);
    let mm = round_length(0.28 * f64::from(width) / per_mm);
    Bar { mm, pixels: mm * per_mm }
}

/// Draws the bar at the lower left and the overall size at the lower right.
pub(super) fn draw(picture: &mut Picture, scene: &Scene, camera: &Camera) {
    let short = picture.width.min(picture.height) as f32;
    let cap = (short * 0.0155).max(6.0);
    let margin = (short * 0.03).max(6.0);
    let (right, floor) = (picture.width as f32 - margin, picture.height as f32 - margin);
    let bar = bar(scene, camera, picture.width);
    let (end, tick) = (margin + bar.pixels as f32, cap * 0.45);
    let line = [(margin, floor), (end, floor)];
    let pen = (cap * 0.13).max(1.0);
    for stroke in [line, [(margin, floor - tick), (margin, floor)], [(end, floor - tick), (end, floor)]] {
        letters::line(picture, stroke, pen, INK);
    }
    let label = format!("{} mm", plain(bar.mm));
    letters::write(picture, &label, (margin + cap * 0.5, floor - cap * 0.6), cap, INK);
    let size = size(scene.bounds);
    let wide = letters::width(&size, cap);
    if right - wide > end + cap {
        letters::write(picture, &size, (right - wide, floor), cap, INK);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_are_round() {
        for (most, want) in
            [(0.07, 0.05), (1.0, 1.0), (1.99, 1.0), (23.0, 20.0), (70.0, 50.0), (1500.0, 1000.0)]
        {
            assert!((round_length(most) / want - 1.0).abs() < 1e-12, "{most}");
        }
    }

    #[test]
    fn numbers_are_short() {
        for (mm, want) in
            [(62.0, "62"), (61.96, "62"), (0.5, "0.5"), (12.34, "12.3"), (1234.4, "1234"), (0.0, "0")]
        {
            assert_eq!(plain(mm), want);
        }
    }
}
