//! Flats elsewhere: motions that keep the plane z = 0, and the inversion in a circle.

use super::biarc::arcs;
use super::combine::{Fill, Rule, combine};
use super::path::{Path, extent};
use super::segment::Segment;
use super::{Flat, Layer};
use crate::base::{Affine, Vec2};
use crate::form::FormFault;
use crate::form::motion::{Movable, SpaceMap};

/// How far arcs that stand in for a curve may lie from it before an inversion, as a part of the extent.
const CURVE: f64 = 1e-6;

impl Flat {
    /// The image under a motion that keeps the plane z = 0.
    pub(super) fn carried(&self, by: &Affine) -> Self {
        let mirrors = by.rows[0].x * by.rows[1].y - by.rows[0].y * by.rows[1].x < 0.0;
        let loops = |paths: &[Path]| {
            let moved = paths.iter().map(|p| p.moved(by));
            if mirrors { moved.map(|p| p.reversed()).collect() } else { moved.collect::<Vec<_>>() }
        };
        self.each_layer(|l| (loops(&l.loops), l.lines.iter().map(|p| p.moved(by)).collect()))
    }
}

impl Movable for Flat {
    fn moved(&self, by: &Affine) -> Result<Self, FormFault> {
        let keeps = |tilt: f64, size: f64| tilt.abs() <= 1e-12 * size;
        let size = by.rows[2].norm();
        if !(keeps(by.rows[2].x, size) && keeps(by.rows[2].y, size) && by.shift.z == 0.0) {
            return Err(FormFault::WrongKind { act: "a motion out of the plane z = 0", kind: "a flat" });
        }
        Ok(self.carried(by))
    }

    fn mapped(&self, by: &SpaceMap) -> Result<Self, FormFault> {
        let SpaceMap::Invert { centre, radius } = by else {
            return Err(FormFault::WrongKind { act: "a twist", kind: "a flat" });
        };
        if centre.z != 0.0 {
            return Err(FormFault::WrongKind {
                act: "inversion in a sphere with its middle off the plane z = 0",
                kind: "a flat",
            });
        }
        let circle = (Vec2::new(centre.x, centre.y), *radius);
        let near = self.loops().chain(self.lines()).flat_map(|p| &p.pieces).map(|s| s.nearest(circle.0).0);
        if near.fold(f64::INFINITY, f64::min) <= 1e-9 * radius {
            return Err(FormFault::Endless { act: "inversion about a point that the paths pass through" });
        }
        Ok(self.each_layer(|layer: &Layer| {
            let fine = extent(&layer.loops).max(extent(&layer.lines)) * CURVE;
            let turned = |p: &Path| inverted(p, circle, fine);
            let loops: Vec<Path> = layer.loops.iter().map(turned).collect();
            // A region that held the middle is turned inside out: its outer loop becomes the hole.
            (combine(&loops, &[], Rule::Union, Fill::Odd), layer.lines.iter().map(turned).collect())
        }))
    }
}

/// The image of a path under inversion: lines and arcs become arcs or lines.
fn inverted(path: &Path, (centre, radius): (Vec2, f64), fine: f64) -> Path {
    let go = |p: Vec2| {
        let d = p - centre;
        centre + d * (radius * radius / d.dot(d))
    };
    let mut pieces = Vec::new();
    for piece in path.pieces.iter().flat_map(|s| arcs(s, fine)) {
        halves(&piece, &go, 6, &mut pieces);
    }
    Path { pieces, closed: path.closed }
}

/// The arc through the images of start, middle and end, cut in two where it would pass half a circle.
fn halves(piece: &Segment, go: &impl Fn(Vec2) -> Vec2, left: u32, out: &mut Vec<Segment>) {
    let (a, m, b) = (go(piece.at(0.0)), go(piece.at(0.5)), go(piece.at(1.0)));
    match through(a, m, b) {
        None if left > 0 => {
            halves(&piece.part(0.0, 0.5), go, left - 1, out);
            halves(&piece.part(0.5, 1.0), go, left - 1, out);
        }
        found => out.push(found.unwrap_or(Segment::Line(a, b))),
    }
}

/// The arc from `a` by way of `m` to `b`; a line when they are in line, `None` past half a circle.
pub(in crate::form) fn through(a: Vec2, m: Vec2, b: Vec2) -> Option<Segment> {
    let (u, v) = (m - a, b - m);
    // The angle turned at m is half the angle swept.
    let half = libm::atan2(u.cross(v), u.dot(v));
    let bulge = libm::tan(0.5 * half);
    match bulge.abs() {
        x if x > 1.0 => None,
        x if x < 1e-12 => Some(Segment::Line(a, b)),
        _ => Some(Segment::Arc(a, b, bulge)),
    }
}

#[cfg(test)]
mod tests {
    use std::f64::consts::PI;

    use super::super::{disc, polygon};
    use super::*;
    use crate::base::Vec3;
    use crate::form::{invert, reflect, scale, shift, turn};

    #[test]
    fn motions_keep_areas_and_arcs() {
        let moon = super::super::difference(
            &disc(5.0).unwrap(),
            &shift(&disc(5.0).unwrap(), Vec3::new(3.0, 0.0, 0.0)).unwrap(),
        );
        let area = moon.area();
        let up = Vec3::new(0.0, 0.0, 1.0);
        for moved in
            [turn(&moon, up, 33.0).unwrap(), reflect(&moon, Vec3::ZERO, Vec3::new(1.0, 2.0, 0.0)).unwrap()]
        {
            assert!((moved.area() - area).abs() < 1e-10 * area);
            assert!(moved.loops().flat_map(|p| &p.pieces).all(|s| matches!(s, Segment::Arc(..))));
        }
        let wide = scale(&disc(5.0).unwrap(), Vec3::new(2.0, 1.0, 1.0)).unwrap();
        assert!((wide.area() - 50.0 * PI).abs() < 1e-4);
        assert!(shift(&moon, up).is_err() && turn(&moon, Vec3::new(1.0, 0.0, 0.0), 30.0).is_err());
        assert!(turn(&moon, Vec3::new(1.0, 0.0, 0.0), 180.0).is_ok_and(|m| (m.area() - area).abs() < 1e-9));
    }

    /// A circle at distance d of radius r goes to one of radius r k²/(d² - r²).
    #[test]
    fn inversion_gives_true_circles() {
        let away = shift(&disc(2.0).unwrap(), Vec3::new(6.0, 0.0, 0.0)).unwrap();
        let image = invert(&away, Vec3::ZERO, 4.0).unwrap();
        let radius: f64 = 2.0 * 16.0 / 32.0;
        assert!((image.area() - PI * radius * radius).abs() < 1e-12);
        let square =
            polygon(&[[2.0, -1.0], [4.0, -1.0], [4.0, 1.0], [2.0, 1.0]].map(Vec2::from), 0.0).unwrap();
        let back = invert(&invert(&square, Vec3::ZERO, 3.0).unwrap(), Vec3::ZERO, 3.0).unwrap();
        assert!((back.area() - 4.0).abs() < 1e-9);
        assert!(invert(&disc(2.0).unwrap(), Vec3::new(2.0, 0.0, 0.0), 1.0).is_err());
    }
}
