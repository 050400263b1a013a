//! The equations of a net: how its area changes as its points move.

use super::web::Web;
use crate::base::Vec3;

/// Weights of the edges of a net.
pub struct Lean {
    /// For each point, the place in `list` where its neighbours start.
    first: Vec<u32>,
    /// Neighbours and weights.
    list: Vec<(u32, f64)>,
    /// Sums of weights.
    sum: Vec<f64>,
    /// Normals at the points.
    pub normals: Vec<Vec3>,
    /// A third of the area round each point, mm².
    pub areas: Vec<f64>,
    /// 2π less the angles round each point: the integral of the Gaussian curvature there.
    lack: Vec<f64>,
    free: Vec<bool>,
    one_sided: bool,
}

/// A direction counts as flat in the quadratic form below this part of the steepest: no rest there.
const FLAT: f64 = 1e-9;

impl Lean {
    /// Cotangent weights: half the sum of the cotangents opposite to each edge.
    pub fn new(web: &Web) -> Self {
        let n = web.points.len();
        let mut areas = vec![0.0; n];
        let mut lack = vec![std::f64::consts::TAU; n];
        let mut parts = Vec::with_capacity(web.triangles.len() * 6);
        for t in &web.triangles {
            let p = t.map(|i| web.points[i as usize]);
            let area = 0.5 * web.across(*t).norm();
            for k in 0..3 {
                let (i, j) = (t[(k + 1) % 3], t[(k + 2) % 3]);
                let (u, v) = (p[(k + 1) % 3] - p[k], p[(k + 2) % 3] - p[k]);
                let (dot, cross) = (u.dot(v), u.cross(v).norm());
                // A flat triangle would pull without end.
                let w = 0.5 * (dot / cross.max(1e-12 * u.norm() * v.norm())).clamp(-1e3, 1e3);
                parts.push((i, j, w));
                parts.push((j, i, w));
                areas[t[k] as usize] += area / 3.0;
                lack[t[k] as usize] -= libm::atan2(cross, dot);
            }
        }
        Self::of(web, parts, areas, lack)
    }

    /// The same weight for every edge.
    pub fn even(web: &Web) -> Self {
        let mut parts = Vec::new();
        for e in web.edges() {
            let [a, b] = e.ends;
            parts.extend([(a, b, 1.0), (b, a, 1.0)]);
        }
        Self::of(web, parts, vec![], vec![])
    }

    fn of(web: &Web, mut parts: Vec<(u32, u32, f64)>, areas: Vec<f64>, lack: Vec<f64>) -> Self {
        let n = web.points.len();
        parts.sort_by_key(|p| (p.0, p.1));
        let mut first = vec![0u32; n + 1];
        let mut list: Vec<(u32, f64)> = Vec::with_capacity(parts.len() / 2);
        let mut sum = vec![0.0; n];
        let mut last = (u32::MAX, u32::MAX);
        for (i, j, w) in parts {
            sum[i as usize] += w;
            if last == (i, j) {
                if let Some(l) = list.last_mut() {
                    l.1 += w;
                }
            } else {
                list.push((j, w));
                last = (i, j);
            }
            first[i as usize + 1] = list.len() as u32;
        }
        for i in 1..=n {
            first[i] = first[i].max(first[i - 1]);
        }
        let free = (0..n as u32).map(|i| web.is_free(i)).collect();
        Self { first, list, sum, normals: web.normals(), areas, lack, free, one_sided: web.one_sided }
    }

    fn row(&self, i: usize) -> &[(u32, f64)] {
        &self.list[self.first[i] as usize..self.first[i + 1] as usize]
    }

    /// -1 where the normals of two neighbours look to different sides, else 1.
    fn alike(&self, i: usize, j: usize) -> f64 {
        if self.one_sided && self.normals[i].dot(self.normals[j]) < 0.0 { -1.0 } else { 1.0 }
    }

    /// The gradient of the area at each point.
    pub fn pull(&self, web: &Web) -> Vec<Vec3> {
        let p = &web.points;
        (0..p.len())
            .map(|i| self.row(i).iter().fold(Vec3::ZERO, |s, (j, w)| s + (p[i] - p[*j as usize]) * *w))
            .collect()
    }

    /// Moves free points toward where their pulls on one another are even, by steps of conjugate gradients.
    /// Source: M. R. Hestenes, E. Stiefel, J. Research of the National Bureau of Standards 49 (1952) 409.
    pub fn harmonic(&self, web: &mut Web, steps: usize) {
        let n = web.points.len();
        let mut rest: Vec<Vec3> = self.pull(web).into_iter().map(|g| -g).collect();
        for (r, free) in rest.iter_mut().zip(&self.free) {
            if !free {
                *r = Vec3::ZERO;
            }
        }
        let scaled = |r: &[Vec3]| -> Vec<Vec3> {
            r.iter().zip(&self.sum).map(|(v, s)| if *s > 0.0 { *v / *s } else { *v }).collect()
        };
        let inner = |a: &[Vec3], b: &[Vec3]| a.iter().zip(b).map(|(a, b)| a.dot(*b)).sum::<f64>();
        let mut z = scaled(&rest);
        let mut way = z.clone();
        let mut rz = inner(&rest, &z);
        let enough = 1e-8 * rz;
        for _ in 0..steps {
            if !(rz > enough) || rz <= 0.0 {
                return;
            }
            let image: Vec<Vec3> = (0..n)
                .map(|i| {
                    if !self.free[i] {
                        return Vec3::ZERO;
                    }
                    self.row(i).iter().fold(way[i] * self.sum[i], |s, (j, w)| s - way[*j as usize] * *w)
                })
                .collect();
            let steep = inner(&way, &image);
            if !(steep > 0.0) {
                return;
            }
            let a = rz / steep;
            for i in 0..n {
                web.points[i] += way[i] * a;
                rest[i] += image[i] * -a;
            }
            z = scaled(&rest);
            let next = inner(&rest, &z);
            for i in 0..n {
                way[i] = z[i] + way[i] * (next / rz);
            }
            rz = next;
        }
    }

    /// One step of Newton's method: free points move along their normals to where the area, to second order, can grow
    /// no less. False, and nothing moves, when the area falls without end in some direction.
    pub fn square(&self, web: &mut Web) -> bool {
        let n = web.points.len();
        let pull = self.pull(web);
        // For a surface at rest the second variation is ∫ |∇u|² + 2 K u².
        let diagonal: Vec<f64> = self.sum.iter().zip(&self.lack).map(|(s, k)| s + 2.0 * k).collect();
        let mut rest: Vec<f64> =
            (0..n).map(|i| if self.free[i] { -pull[i].dot(self.normals[i]) } else { 0.0 }).collect();
        let scale = |i: usize| 1.0 / self.sum[i].max(f64::MIN_POSITIVE);
        let inner = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| a * b).sum::<f64>();
        let mut u = vec![0.0; n];
        let mut z: Vec<f64> = rest.iter().enumerate().map(|(i, r)| r * scale(i)).collect();
        let mut way = z.clone();
        let mut rz = inner(&rest, &z);
        let enough = 1e-16 * rz;
        for _ in 0..2000 {
            if !(rz > enough) {
                break;
            }
            let image: Vec<f64> = (0..n)
                .map(|i| {
                    if !self.free[i] {
                        return 0.0;
                    }
                    self.row(i).iter().fold(way[i] * diagonal[i], |s, (j, w)| {
                        let j = *j as usize;
                        s - way[j] * w * self.alike(i, j)
                    })
                })
                .collect();
            let steep = inner(&way, &image);
            let length: f64 = way.iter().zip(&self.sum).map(|(w, s)| w * w * s).sum();
            if !(steep > FLAT * length) {
                return false;
            }
            let a = rz / steep;
            for (u, w) in u.iter_mut().zip(&way) {
                *u += w * a;
            }
            for (r, i) in rest.iter_mut().zip(&image) {
                *r -= i * a;
            }
            z = rest.iter().enumerate().map(|(i, r)| r * scale(i)).collect();
            let next = inner(&rest, &z);
            for i in 0..n {
                way[i] = z[i] + way[i] * (next / rz);
            }
            rz = next;
        }
        for ((p, normal), u) in web.points.iter_mut().zip(&self.normals).zip(u) {
            *p += *normal * u;
        }
        true
    }
}
