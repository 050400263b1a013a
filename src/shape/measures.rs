//! What can be counted and measured on a mesh. Lengths are mm.

use super::Mesh;
use crate::base::{Box3, Vec3};

/// What can be counted and measured on a mesh.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measures {
    /// Volume held, mm³; meaningful for closed meshes only.
    pub volume: f64,
    /// Area of all triangles, mm².
    pub area: f64,
    /// Corners less edges plus faces.
    pub euler: i64,
    /// Number of handles, summed over the components; meaningful for closed meshes only.
    pub genus: i64,
    /// Parts that share no point.
    pub components: usize,
    /// Centre of mass of the volume at even density, mm.
    pub centroid: Vec3,
    /// Second moments of the volume about its centroid at density 1: xx, yy, zz, xy, yz, zx (integrals of the
    /// products of coordinates), mm⁵.
    pub moments: [f64; 6],
    /// The least box that holds all points.
    pub bounds: Box3,
    /// Percent of the triangles that have an angle under 5°.
    pub slivers: f64,
}

impl Mesh {
    /// Volume held by the triangles, by the divergence theorem, mm³.
    pub fn volume(&self) -> f64 {
        let o = self.points.first().copied().unwrap_or_default();
        let six = |[a, b, c]: [Vec3; 3]| (a - o).dot((b - o).cross(c - o));
        (0..self.triangles.len()).map(|t| six(self.corners(t))).sum::<f64>() / 6.0
    }

    /// The normal of each point: the mean of the unit normals of its triangles, weighted by their angles there, not brought to
    /// length 1. What is nearest to a corner or an edge lies on the side that it points to, as far as it is right.
    ///
    /// Source: J. A. Baerentzen and H. Aanaes, "Signed distance computation using the angle weighted pseudonormal", IEEE TVCG
    /// 11 (2005) 243.
    pub fn normals(&self) -> Vec<Vec3> {
        let mut normals = vec![Vec3::ZERO; self.points.len()];
        for (t, corners) in self.triangles.iter().enumerate() {
            let c = self.corners(t);
            let Some(normal) = (c[1] - c[0]).cross(c[2] - c[0]).unit() else { continue };
            for k in 0..3 {
                let (a, b) = (c[(k + 1) % 3] - c[k], c[(k + 2) % 3] - c[k]);
                normals[corners[k] as usize] += normal * libm::atan2(a.cross(b).norm(), a.dot(b));
            }
        }
        normals
    }

    /// Everything that can be counted and measured.
    ///
    /// Volume and moments: sums over the tetrahedra that the triangles span with one point (F. Tonon, J. Math. Stat.
    /// 1 (2004) 8, gives the moments of one).
    pub fn measures(&self) -> Measures {
        let origin = self.points.first().copied().unwrap_or_default();
        let (mut volume, mut area, mut first, mut second) = (0.0, 0.0, Vec3::ZERO, [0.0; 6]);
        let mut slivers = 0usize;
        for t in 0..self.triangles.len() {
            let [a, b, c] = self.corners(t);
            area += (b - a).cross(c - a).norm() / 2.0;
            slivers += usize::from(smallest_angle([a, b, c]) < 5f64.to_radians());
            let [a, b, c] = [a - origin, b - origin, c - origin];
            let v = a.dot(b.cross(c)) / 6.0;
            volume += v;
            first += (a + b + c) * (v / 4.0);
            let s = a + b + c;
            for (k, (i, j)) in PAIRS.into_iter().enumerate() {
                second[k] += v / 20.0 * (a[i] * a[j] + b[i] * b[j] + c[i] * c[j] + s[i] * s[j]);
            }
        }
        let centre = if volume == 0.0 { Vec3::ZERO } else { first / volume };
        for (k, (i, j)) in PAIRS.into_iter().enumerate() {
            second[k] -= volume * centre[i] * centre[j];
        }
        let components = self.component_of_triangles().1;
        let euler = self.euler();
        Measures {
            volume,
            area,
            euler,
            genus: components as i64 - euler / 2,
            components,
            centroid: centre + origin,
            moments: second,
            bounds: self.bounds(),
            slivers: 100.0 * slivers as f64 / self.triangles.len().max(1) as f64,
        }
    }

    /// Corners less edges plus faces; points without a triangle do not count.
    fn euler(&self) -> i64 {
        let mut used = vec![false; self.points.len()];
        let mut edges = Vec::with_capacity(self.triangles.len() * 3);
        for t in &self.triangles {
            for k in 0..3 {
                let (a, b) = (t[k], t[(k + 1) % 3]);
                used[a as usize] = true;
                edges.push((a.min(b), a.max(b)));
            }
        }
        edges.sort_unstable();
        edges.dedup();
        used.iter().filter(|u| **u).count() as i64 - edges.len() as i64 + self.triangles.len() as i64
    }
}

const PAIRS: [(usize, usize); 6] = [(0, 0), (1, 1), (2, 2), (0, 1), (1, 2), (2, 0)];

/// The least angle of a triangle, radians; 0 where two corners coincide.
pub(crate) fn smallest_angle(p: [Vec3; 3]) -> f64 {
    let angle = |a: Vec3, b: Vec3, c: Vec3| {
        let (u, v) = (b - a, c - a);
        libm::atan2(u.cross(v).norm(), u.dot(v))
    };
    let [a, b, c] = p;
    if a == b || b == c || c == a {
        return 0.0;
    }
    angle(a, b, c).min(angle(b, c, a)).min(angle(c, a, b))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tetrahedron(points: [[f64; 3]; 4]) -> Mesh {
        let triangles = vec![[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]];
        let mut mesh = Mesh { points: points.map(Vec3::from).to_vec(), triangles, sides: vec![] };
        if mesh.volume() < 0.0 {
            mesh.triangles.iter_mut().for_each(|t| t.swap(1, 2));
        }
        mesh
    }

    /// F. Tonon, J. Math. Stat. 1 (2004) 8: the worked tetrahedron.
    #[test]
    fn the_published_tetrahedron() {
        let m = tetrahedron([
            [8.33220, -11.86875, 0.93355],
            [0.75523, 5.0, 16.37072],
            [52.61236, 5.0, -5.38580],
            [2.0, 5.0, 3.0],
        ])
        .measures();
        let close = |a: f64, b: f64, e: f64| assert!((a - b).abs() < e, "{a} {b}");
        // In rational arithmetic the printed corners hold this much; the paper's own figure agrees to 1e-3.
        close(m.volume, 1873.2333642164654, 1e-9);
        close(m.centroid.x, 15.9249475, 1e-6);
        close(m.centroid.y, 0.7828125, 1e-6);
        close(m.centroid.z, 3.7296175, 1e-6);
        let [xx, yy, zz, xy, yz, zx] = m.moments;
        for (got, want) in [(yy + zz, 43520.3333), (xx + zz, 194711.2926), (xx + yy, 191168.7649)] {
            close(got, want, 1e-6 * want.abs());
        }
        for (got, want) in [(-xy, -11996.2014), (-zx, 46343.1674), (-yz, -4417.6616)] {
            close(got, want, 1e-6 * want.abs());
        }
        assert_eq!((m.euler, m.genus, m.components), (2, 0, 1));
    }

    /// The corner tetrahedron: volume 1/6, second moment about the centroid 3/480 per axis, -1/480 mixed.
    #[test]
    fn the_corner_tetrahedron() {
        let m = tetrahedron([[0.0; 3], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]]).measures();
        assert!((m.volume - 1.0 / 6.0).abs() < 1e-15);
        assert!((m.moments[0] + m.moments[1] - 1.0 / 80.0).abs() < 1e-15);
        assert!((m.moments[3] + 1.0 / 480.0).abs() < 1e-15);
        assert!((m.area - 1.5 - 3f64.sqrt() / 2.0).abs() < 1e-15);
    }

    /// A torus of quads: area and volume tend to 4π²Rr and 2π²Rr²; genus 1.
    #[test]
    fn a_torus_has_one_handle() {
        let (n, m) = (400u32, 200u32);
        let tau = std::f64::consts::TAU;
        let mut mesh = Mesh::default();
        for i in 0..n {
            for j in 0..m {
                let (u, v) = (tau * f64::from(i) / f64::from(n), tau * f64::from(j) / f64::from(m));
                let r = 2.0 + 0.7 * libm::cos(v);
                mesh.points.push(Vec3::new(r * libm::cos(u), r * libm::sin(u), 0.7 * libm::sin(v)));
                let at = |i: u32, j: u32| (i % n) * m + j % m;
                let q = [at(i, j), at(i + 1, j), at(i + 1, j + 1), at(i, j + 1)];
                mesh.triangles.extend([[q[0], q[1], q[2]], [q[0], q[2], q[3]]]);
            }
        }
        assert_eq!(mesh.laws(), vec![]);
        let got = mesh.measures();
        assert_eq!((got.genus, got.components), (1, 1));
        assert!((got.volume / 19.34442463 - 1.0).abs() < 5e-4, "{}", got.volume);
        assert!((got.area / 55.26978465 - 1.0).abs() < 5e-4, "{}", got.area);
    }
}
