//! Time of a picture, tree included: 500 000 triangles at 800 by 800 for print, 50 000 at 400 by 400 for play.
#![allow(missing_docs)]

use std::f64::consts::TAU;
use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use ogee::base::Vec3;
use ogee::shape::Mesh;
use ogee::show::{Look, picture};

/// A tube about a trefoil knot of `n` rings of `m` places.
fn trefoil(n: usize, m: usize) -> Mesh {
    let curve = |t: f64| {
        let (a, b) = (libm::sin(t) + 2.0 * libm::sin(2.0 * t), libm::cos(t) - 2.0 * libm::cos(2.0 * t));
        Vec3::new(a, b, -libm::sin(3.0 * t)) * 10.0
    };
    let at = |i: usize, j: usize| ((i % n) * m + j % m) as u32;
    let mut mesh = Mesh::default();
    for i in 0..n {
        let t = TAU * i as f64 / n as f64;
        let along = (curve(t + 1e-4) - curve(t - 1e-4)).unit().expect("the knot moves on");
        let side = along.cross(Vec3::new(0.0, 0.0, 1.0)).unit().expect("the knot is never upright");
        for j in 0..m {
            let v = TAU * j as f64 / m as f64;
            mesh.points.push(curve(t) + (side * libm::cos(v) + side.cross(along) * libm::sin(v)) * 6.0);
            mesh.triangles.push([at(i, j), at(i + 1, j), at(i + 1, j + 1)]);
            mesh.triangles.push([at(i, j), at(i + 1, j + 1), at(i, j + 1)]);
        }
    }
    mesh
}

fn pictures(c: &mut Criterion) {
    let mut group = c.benchmark_group("picture");
    group.sample_size(10);
    let (fine, coarse) = (trefoil(2500, 100), trefoil(500, 50));
    group.bench_function("catalogue 800, 500k triangles", |b| {
        b.iter(|| picture(black_box(&fine), &Look::square(800)))
    });
    group.bench_function("preview 400, 50k triangles", |b| {
        b.iter(|| picture(black_box(&coarse), &Look::preview(400)))
    });
    group.bench_function("thumbnail 160, 50k triangles", |b| {
        b.iter(|| picture(black_box(&coarse), &Look::thumbnail(160)))
    });
    group.finish();
}

criterion_group!(benches, pictures);
criterion_main!(benches);
