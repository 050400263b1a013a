//! Surfaces given by two parameters: their mesh, and the nearest point.

use super::RealiseFault;
use crate::base::{Vec3, Watch};
use crate::formula::{Expr, Tape};
use crate::shape::Mesh;

/// A surface in two parameters, made ready.
#[derive(Debug)]
pub struct Param {
    /// Nine functions of the parameters: the place and its two partial derivatives.
    tape: Tape,
    ranges: [(f64, f64); 2],
}

/// Pieces along one parameter, at most.
const MOST: usize = 1500;
/// Pieces along one parameter with which lengths are first measured.
const FIRST: usize = 48;

impl Param {
    /// A surface made ready.
    ///
    /// # Errors
    /// A name without a value; a surface that reaches infinity.
    pub fn new(
        components: &[Expr; 3],
        params: &[String; 2],
        ranges: [(f64, f64); 2],
    ) -> Result<Self, RealiseFault> {
        let mut all: Vec<Expr> = components.to_vec();
        for name in params {
            all.extend(components.iter().map(|c| c.derivative(name)));
        }
        let tape = Tape::with_inputs(&all, &[&params[0], &params[1]])?;
        Ok(Self { tape, ranges })
    }

    /// Place and partial derivatives.
    pub fn at(&self, u: f64, v: f64) -> [Vec3; 3] {
        let mut out = [0.0; 9];
        self.tape.at(&[u, v], &mut out);
        [0, 3, 6].map(|k| Vec3::new(out[k], out[k + 1], out[k + 2]))
    }

    /// A mesh with edges about `step` mm long, and the parameters of its points. Points that coincide along a seam
    /// stay apart. Where the surface is not finite, triangles are left out.
    ///
    /// # Errors
    /// [`RealiseFault::Empty`] when no place is finite; when the watch says stop.
    pub fn mesh(&self, step: f64, watch: &dyn Watch) -> Result<(Mesh, Vec<[f64; 2]>), RealiseFault> {
        let counts = self.counts(step);
        let [nu, nv] = counts;
        let share = |axis: usize, i: usize| {
            let (a, b) = self.ranges[axis];
            a + (b - a) * (i as f64 / counts[axis] as f64)
        };
        let mut mesh = Mesh::default();
        let mut at = Vec::with_capacity((nu + 1) * (nv + 1));
        for j in 0..=nv {
            watch.check()?;
            for i in 0..=nu {
                let (u, v) = (share(0, i), share(1, j));
                mesh.points.push(self.at(u, v)[0]);
                at.push([u, v]);
            }
        }
        for j in 0..nv {
            for i in 0..nu {
                let k = (j * (nu + 1) + i) as u32;
                let row = nu as u32 + 1;
                let q = [k, k + 1, k + 1 + row, k + row];
                let p = q.map(|i| mesh.points[i as usize]);
                let pick = (p[0] - p[2]).norm() <= (p[1] - p[3]).norm();
                let two = if pick { [[0, 1, 2], [0, 2, 3]] } else { [[0, 1, 3], [1, 2, 3]] };
                for t in two {
                    let [a, b, c] = t.map(|k| p[k]);
                    if a.is_finite() && b.is_finite() && c.is_finite() && a != b && b != c && c != a {
                        mesh.triangles.push(t.map(|k| q[k]));
                    }
                }
            }
        }
        if mesh.triangles.is_empty() { Err(RealiseFault::Empty) } else { Ok((mesh, at)) }
    }

    /// Pieces along each parameter, from the longest line of a first grid.
    fn counts(&self, step: f64) -> [usize; 2] {
        let place = |i: usize, j: usize| {
            let s = |(a, b): (f64, f64), k: usize| a + (b - a) * (k as f64 / FIRST as f64);
            self.at(s(self.ranges[0], i), s(self.ranges[1], j))[0]
        };
        let mut longest = [0.0f64; 2];
        for j in 0..=FIRST {
            let mut total = [0.0f64; 2];
            for i in 0..FIRST {
                let pairs = [[place(i, j), place(i + 1, j)], [place(j, i), place(j, i + 1)]];
                for (sum, [a, b]) in total.iter_mut().zip(pairs) {
                    let d = (b - a).norm();
                    *sum += if d.is_finite() { d } else { 0.0 };
                }
            }
            longest = [longest[0].max(total[0]), longest[1].max(total[1])];
        }
        longest.map(|l| ((l / step).ceil() as usize).clamp(FIRST, MOST))
    }

    /// The place nearest to `p`, by Gauss-Newton from a place nearby; also the normal there.
    pub fn nearest(&self, p: Vec3, start: [f64; 2]) -> (Vec3, Vec3) {
        let [mut u, mut v] = start;
        let [mut s, mut su, mut sv] = self.at(u, v);
        for _ in 0..4 {
            let d = p - s;
            let (a, b, c) = (su.dot(su), su.dot(sv), sv.dot(sv));
            let det = a * c - b * b;
            if !(det > 1e-12 * a * c) {
                break;
            }
            let (x, y) = (su.dot(d), sv.dot(d));
            let clamp = |t: f64, (from, to): (f64, f64)| t.max(from.min(to)).min(from.max(to));
            let nu = clamp(u + (c * x - b * y) / det, self.ranges[0]);
            let nv = clamp(v + (a * y - b * x) / det, self.ranges[1]);
            let next = self.at(nu, nv);
            if !((p - next[0]).norm() <= d.norm()) {
                break;
            }
            (u, v) = (nu, nv);
            [s, su, sv] = next;
        }
        (s, su.cross(sv))
    }
}
