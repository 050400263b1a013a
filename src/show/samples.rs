//! Meshes made from closed formulas, for the tests of this module.

use crate::base::Vec3;
use crate::shape::{Mesh, Side};

/// A grid of `n` by `m` places closed in both directions.
pub fn closed_grid(n: usize, m: usize, place: impl Fn(f64, f64) -> Vec3) -> Mesh {
    use std::f64::consts::TAU;
    let at = |i: usize, j: usize| ((i % n) * m + j % m) as u32;
    let mut mesh = Mesh::default();
    for i in 0..n {
        for j in 0..m {
            mesh.points.push(place(TAU * i as f64 / n as f64, TAU * j as f64 / m as f64));
            mesh.triangles.push([at(i, j), at(i + 1, j), at(i + 1, j + 1)]);
            mesh.triangles.push([at(i, j), at(i + 1, j + 1), at(i, j + 1)]);
        }
    }
    mesh
}

/// An open grid of `n` by `m` cells over the unit square.
pub fn open_grid(n: usize, m: usize, place: impl Fn(f64, f64) -> Vec3) -> Mesh {
    let at = |i: usize, j: usize| (i * (m + 1) + j) as u32;
    let mut mesh = Mesh::default();
    for i in 0..=n {
        for j in 0..=m {
            mesh.points.push(place(i as f64 / n as f64, j as f64 / m as f64));
        }
    }
    for i in 0..n {
        for j in 0..m {
            mesh.triangles.push([at(i, j), at(i + 1, j), at(i + 1, j + 1)]);
            mesh.triangles.push([at(i, j), at(i + 1, j + 1), at(i, j + 1)]);
        }
    }
    mesh.sides = vec![Side::Front; mesh.triangles.len()];
    mesh
}

/// A torus about z: radius of the ring and of the tube.
pub fn torus(ring: f64, tube: f64, n: usize, m: usize) -> Mesh {
    closed_grid(n, m, |u, v| {
        let r = ring + tube * libm::cos(v);
        Vec3::new(r * libm::cos(u), r * libm::sin(u), tube * libm::sin(v))
    })
}

/// A tube about a trefoil knot, `size` mm across.
pub fn trefoil(size: f64, tube: f64, n: usize, m: usize) -> Mesh {
    let curve = |t: f64| {
        let p = Vec3::new(
            libm::sin(t) + 2.0 * libm::sin(2.0 * t),
            libm::cos(t) - 2.0 * libm::cos(2.0 * t),
            -libm::sin(3.0 * t),
        );
        p * (size / 6.0)
    };
    closed_grid(n, m, |u, v| {
        let d = (curve(u + 1e-4) - curve(u - 1e-4)).unit().unwrap();
        let side = d.cross(Vec3::new(0.0, 0.0, 1.0)).unit().unwrap();
        curve(u) + (side * libm::cos(v) + side.cross(d) * libm::sin(v)) * tube
    })
}

/// A ball about the origin, an octahedron divided `n` times.
pub fn ball(radius: f64, n: u32) -> Mesh {
    let mut points: Vec<Vec3> = Vec::new();
    for axis in 0..3 {
        for s in [1.0, -1.0] {
            let mut p = [0.0; 3];
            p[axis] = s;
            points.push(p.into());
        }
    }
    let mut triangles = Vec::new();
    for (x, y, z) in [(0, 2, 4), (2, 1, 4), (1, 3, 4), (3, 0, 4), (2, 0, 5), (1, 2, 5), (3, 1, 5), (0, 3, 5)]
    {
        triangles.push([x, y, z]);
    }
    for _ in 0..n {
        let mut middles = std::collections::BTreeMap::new();
        let mut finer = Vec::new();
        for [a, b, c] in triangles {
            let mut middle = |i: u32, j: u32| {
                *middles.entry((i.min(j), i.max(j))).or_insert_with(|| {
                    points.push((points[i as usize] + points[j as usize]).unit().unwrap());
                    points.len() as u32 - 1
                })
            };
            let (ab, bc, ca) = (middle(a, b), middle(b, c), middle(c, a));
            finer.extend([[a, ab, ca], [b, bc, ab], [c, ca, bc], [ab, bc, ca]]);
        }
        triangles = finer;
    }
    points.iter_mut().for_each(|p| *p = *p * radius);
    Mesh { points, triangles, sides: Vec::new() }
}

/// A block with sharp edges, from the origin.
pub fn block(x: f64, y: f64, z: f64) -> Mesh {
    let points =
        (0..8).map(|i| Vec3::new((i & 1) as f64 * x, (i >> 1 & 1) as f64 * y, (i >> 2) as f64 * z)).collect();
    let quads = [[0, 2, 3, 1], [4, 5, 7, 6], [0, 1, 5, 4], [2, 6, 7, 3], [0, 4, 6, 2], [1, 3, 7, 5]];
    let triangles = quads.iter().flat_map(|q| [[q[0], q[1], q[2]], [q[0], q[2], q[3]]]).collect();
    Mesh { points, triangles, sides: Vec::new() }
}

/// An open saddle with a rim marked as cut: both sides can be seen.
pub fn saddle(size: f64, n: usize) -> Mesh {
    let mut mesh = open_grid(n, n, |u, v| {
        let (r, t) = (0.12 + 0.88 * u, std::f64::consts::TAU * v);
        let z = 0.45 * r * r * libm::cos(3.0 * t);
        Vec3::new(r * libm::cos(t), r * libm::sin(t), z) * (size / 2.0)
    });
    let rim = mesh.triangles.len() - 2 * n * 2;
    mesh.sides[rim..].fill(Side::Cut);
    mesh
}
