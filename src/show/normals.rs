//! Normals at the corners of triangles: angle-weighted, and split where an edge is sharp.

use super::vec::{V, v};
use rayon::prelude::*;

/// Faces that meet at a smaller cosine than this do not share a normal: cos 30°.
const CREASE: f32 = 0.866_025_4;

/// Unit face normals, zero for a triangle without area.
pub(super) fn faces(points: &[V], triangles: &[[u32; 3]]) -> Vec<V> {
    triangles
        .par_iter()
        .map(|t| {
            let [a, b, c] = t.map(|i| points[i as usize]);
            (b - a).cross(c - a).unit_or(V::ZERO)
        })
        .collect()
}

/// Three unit normals for each triangle. A corner takes the mean of the faces around its point that turn from its own
/// face by less than 30°, each weighted by its angle there.
/// Source: G. Thürmer and C. Wüthrich, "Computing vertex normals from polygonal facets", JGT 3(1), 1998.
pub(super) fn corners(points: &[V], triangles: &[[u32; 3]], faces: &[V]) -> Vec<[V; 3]> {
    let (starts, around) = fans(points.len(), triangles);
    let angles: Vec<[f32; 3]> =
        triangles.par_iter().map(|t| std::array::from_fn(|k| angle(points, t, k))).collect();
    triangles
        .par_iter()
        .enumerate()
        .map(|(f, t)| {
            let own = faces[f];
            std::array::from_fn(|k| {
                let fan = &around[starts[t[k] as usize] as usize..starts[t[k] as usize + 1] as usize];
                let mut sum = V::ZERO;
                for &corner in fan {
                    let g = corner as usize / 3;
                    if faces[g].dot(own) > CREASE {
                        sum += faces[g] * angles[g][corner as usize % 3];
                    }
                }
                sum.unit_or(if own == V::ZERO { V::UP } else { own })
            })
        })
        .collect()
}

/// The angle of a triangle at its corner `k`, radians.
fn angle(points: &[V], t: &[u32; 3], k: usize) -> f32 {
    let [p, q, r] = [k, (k + 1) % 3, (k + 2) % 3].map(|i| points[t[i] as usize]);
    let (a, b) = ((q - p).unit_or(V::ZERO), (r - p).unit_or(V::ZERO));
    libm::acosf(a.dot(b).clamp(-1.0, 1.0))
}

/// For each point, the corners (3 × triangle + place) that use it, in order: a table of starts and the corners.
fn fans(points: usize, triangles: &[[u32; 3]]) -> (Vec<u32>, Vec<u32>) {
    let mut starts = vec![0u32; points + 1];
    for &i in triangles.iter().flatten() {
        starts[i as usize + 1] += 1;
    }
    for i in 0..points {
        starts[i + 1] += starts[i];
    }
    let mut next = starts.clone();
    let mut around = vec![0u32; 3 * triangles.len()];
    for (corner, &i) in triangles.iter().flatten().enumerate() {
        around[next[i as usize] as usize] = corner as u32;
        next[i as usize] += 1;
    }
    (starts, around)
}

/// A direction of twice 16 bits on the octahedron. Source: Cigolle et al., JCGT 3(2), 2014.
pub(super) fn pack(n: V) -> [i16; 2] {
    let n = n / (n.x.abs() + n.y.abs() + n.z.abs()).max(1e-20);
    let fold = |a: f32, b: f32| if n.z >= 0.0 { a } else { (1.0 - b.abs()).copysign(a) };
    [fold(n.x, n.y), fold(n.y, n.x)].map(|a| (a * 32767.0).round() as i16)
}

/// The direction that was packed, not of length 1.
pub(super) fn unpack([x, y]: [i16; 2]) -> V {
    let (x, y) = (f32::from(x) / 32767.0, f32::from(y) / 32767.0);
    let z = 1.0 - x.abs() - y.abs();
    let t = (-z).max(0.0);
    v(x - t.copysign(x), y - t.copysign(y), z)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cube() -> (Vec<V>, Vec<[u32; 3]>) {
        let points = (0..8).map(|i| v((i & 1) as f32, (i >> 1 & 1) as f32, (i >> 2) as f32)).collect();
        let quads = [[0, 2, 3, 1], [4, 5, 7, 6], [0, 1, 5, 4], [2, 6, 7, 3], [0, 4, 6, 2], [1, 3, 7, 5]];
        (points, quads.iter().flat_map(|q| [[q[0], q[1], q[2]], [q[0], q[2], q[3]]]).collect())
    }

    #[test]
    fn a_cube_keeps_its_edges() {
        let (points, triangles) = cube();
        let faces = faces(&points, &triangles);
        for (corner, face) in corners(&points, &triangles, &faces).iter().zip(&faces) {
            assert!(corner.iter().all(|n| (*n - *face).norm() < 1e-6));
        }
    }

    #[test]
    fn packing_keeps_a_direction() {
        for n in [V::UP, -V::UP, v(0.6, -0.8, 0.0), v(0.3, 0.4, -0.866), v(-0.577, -0.577, 0.577)] {
            assert!((unpack(pack(n)).unit_or(V::ZERO) - n.unit_or(V::ZERO)).norm() < 1e-4);
        }
    }
}
