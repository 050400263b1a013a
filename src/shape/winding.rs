//! How many times a mesh goes round a point: inside and outside of triangles that may have holes.
//!
//! Sources: A. Jacobson, L. Kavan, O. Sorkine-Hornung, Robust inside-outside segmentation using generalized winding
//! numbers, ACM Trans. Graph. 32 (2013) 33; far triangles together as one dipole: G. Barill, N. Dickson, R. Schmidt,
//! D. Levin, A. Jacobson, Fast winding numbers for soups and clouds, ACM Trans. Graph. 37 (2018) 43; solid angle of a
//! triangle: A. van Oosterom, J. Strackee, IEEE Trans. Biomed. Eng. 30 (1983) 125.

use std::f64::consts::PI;

use super::{Mesh, Tree};
use crate::base::Vec3;

/// A branch further away than this many of its radii counts as one dipole.
const FAR: f64 = 3.0;

/// The triangles of a branch seen from afar.
#[derive(Clone, Copy, Debug)]
struct Dipole {
    centre: Vec3,
    /// Area along the normal, mm².
    area: Vec3,
    radius: f64,
}

/// A mesh made ready for winding numbers; asked with the tree that it was made with.
#[derive(Clone, Debug)]
pub struct Winding {
    dipoles: Vec<Dipole>,
    /// Edges with a triangle on one side only, as that triangle runs.
    border: Vec<[Vec3; 2]>,
}

impl Winding {
    /// Makes a mesh ready; `tree` is the tree of its triangles.
    pub fn new(mesh: &Mesh, tree: &Tree) -> Self {
        let dipoles = tree.branches().map(Dipole::of).collect();
        let place = |i: u32| mesh.points[i as usize];
        Self { dipoles, border: mesh.open_edges().iter().map(|e| e.map(place)).collect() }
    }

    /// The edges with a triangle on one side only.
    pub fn border(&self) -> &[[Vec3; 2]] {
        &self.border
    }

    /// How many times the triangles go round a point: 1 inside a closed mesh and 0 outside, and in between near a
    /// hole. Far triangles are taken together, which is off by a hundredth or so.
    pub fn at(&self, tree: &Tree, p: Vec3) -> f64 {
        let angle = tree.sum(|branch| self.dipoles[branch].seen_from(p), |t| solid_angle(t, p));
        angle / (4.0 * PI)
    }

    /// As [`Self::at`] for a point on one of the triangles, without that one: half way between the numbers on both sides.
    pub fn on(&self, tree: &Tree, p: Vec3, triangle: [Vec3; 3]) -> f64 {
        self.at(tree, p) - solid_angle(triangle, p) / (4.0 * PI)
    }

    /// How fast the winding number changes with place, per mm: only the border tells, as the law of Biot and Savart has
    /// it for a current along it.
    pub fn slope(&self, p: Vec3) -> Vec3 {
        let along = |[a, b]: &[Vec3; 2]| {
            let (a, b) = (*a - p, *b - p);
            let (r, s) = (a.norm(), b.norm());
            let under = r * s * (r * s + a.dot(b));
            if under > 0.0 { a.cross(b) * ((r + s) / under) } else { Vec3::ZERO }
        };
        self.border.iter().fold(Vec3::ZERO, |sum, e| sum + along(e)) / (4.0 * PI)
    }
}

impl Dipole {
    fn of(triangles: &[[Vec3; 3]]) -> Self {
        let (mut sum, mut weight, mut area) = (Vec3::ZERO, 0.0, Vec3::ZERO);
        for [a, b, c] in triangles {
            let n = (*b - *a).cross(*c - *a) * 0.5;
            sum += (*a + *b + *c) * (n.norm() / 3.0);
            weight += n.norm();
            area += n;
        }
        let centre = if weight > 0.0 { sum / weight } else { triangles.first().map_or(Vec3::ZERO, |t| t[0]) };
        let radius = triangles.iter().flatten().map(|p| (*p - centre).norm()).fold(0.0, f64::max);
        Self { centre, area, radius }
    }

    /// The solid angle, when the point is far enough away for it.
    fn seen_from(&self, p: Vec3) -> Option<f64> {
        let d = self.centre - p;
        let far = d.norm();
        (far > FAR * self.radius).then(|| self.area.dot(d) / (far * far * far))
    }
}

/// The solid angle of a triangle, positive where it turns clockwise as seen from the point (the point is behind it).
fn solid_angle([a, b, c]: [Vec3; 3], p: Vec3) -> f64 {
    let (a, b, c) = (a - p, b - p, c - p);
    let (r, s, t) = (a.norm(), b.norm(), c.norm());
    let above = a.dot(b.cross(c));
    let under = r * s * t + a.dot(b) * t + b.dot(c) * r + c.dot(a) * s;
    2.0 * libm::atan2(above, under)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::Box3;

    /// A ball of triangles, without those that hold a place above `open`.
    fn ball(open: f64) -> Mesh {
        let (rows, around) = (24u32, 40u32);
        let mut points = vec![Vec3::new(0.0, 0.0, -10.0)];
        for i in 1..rows {
            for k in 0..around {
                let (lat, lon) =
                    (PI * f64::from(i) / f64::from(rows), 2.0 * PI * f64::from(k) / f64::from(around));
                points.push(
                    Vec3::new(
                        libm::sin(lat) * libm::cos(lon),
                        libm::sin(lat) * libm::sin(lon),
                        -libm::cos(lat),
                    ) * 10.0,
                );
            }
        }
        points.push(Vec3::new(0.0, 0.0, 10.0));
        let at = |i: u32, k: u32| {
            if i == 0 { 0 } else { (1 + (i - 1) * around + k % around).min(points.len() as u32 - 1) }
        };
        let mut triangles = Vec::new();
        for i in 0..rows {
            for k in 0..around {
                let top = points.len() as u32 - 1;
                let (a, b) = (at(i, k), at(i, k + 1));
                let (c, d) = if i + 1 == rows { (top, top) } else { (at(i + 1, k + 1), at(i + 1, k)) };
                triangles.extend(
                    [[a, b, c], [a, c, d]].into_iter().filter(|[a, b, c]| a != b && b != c && c != a),
                );
            }
        }
        let mut mesh = Mesh { points, triangles, sides: vec![] };
        let tops: Vec<f64> = (0..mesh.triangles.len()).map(|t| Box3::around(mesh.corners(t)).max.z).collect();
        mesh.keep(|t, _| tops[t] <= open);
        mesh
    }

    #[test]
    fn a_closed_mesh_goes_round_its_inside_once() {
        let mesh = ball(11.0);
        assert!(mesh.laws().is_empty());
        let tree = Tree::new(&mesh);
        let winding = Winding::new(&mesh, &tree);
        assert!(winding.border().is_empty());
        for k in 0..200 {
            let s = f64::from(k);
            let p = Vec3::new(libm::sin(s), libm::cos(1.7 * s), libm::sin(2.3 * s)) * 11.0;
            let inside = f64::from(u8::from(p.norm() < 9.8));
            if (p.norm() - 10.0).abs() > 0.2 {
                assert!((winding.at(&tree, p) - inside).abs() < 0.03, "{p:?} {}", winding.at(&tree, p));
            }
        }
    }

    #[test]
    fn slopes_by_the_border_are_those_of_the_number() {
        let mesh = ball(6.0);
        let tree = Tree::new(&mesh);
        let winding = Winding::new(&mesh, &tree);
        // All triangles one by one, so that only the slope is on trial.
        let exact = |p: Vec3| {
            (0..mesh.triangles.len()).map(|t| solid_angle(mesh.corners(t), p)).sum::<f64>() / (4.0 * PI)
        };
        for p in [Vec3::new(0.0, 0.0, 7.0), Vec3::new(2.0, 1.0, 4.0), Vec3::new(-3.0, 5.0, 9.0)] {
            let h = 1e-4;
            let by = |d: Vec3| (exact(p + d * h) - exact(p - d * h)) / (2.0 * h);
            let [x, y, z] = [Vec3::new(1.0, 0.0, 0.0), Vec3::new(0.0, 1.0, 0.0), Vec3::new(0.0, 0.0, 1.0)];
            let found = Vec3::new(by(x), by(y), by(z));
            let told = winding.slope(p);
            assert!((found - told).norm() < 1e-6 * (1.0 + told.norm()), "{p:?} {found:?} {told:?}");
        }
    }
}
