//! Time per point of the gyroid: batches, lattice, slopes, and a plain loop over the platform's functions.
#![allow(missing_docs)]

use std::hint::black_box;

use criterion::{BenchmarkId, Criterion, Throughput, criterion_group, criterion_main};
use ogee::base::{Box3, Vec3};
use ogee::formula::{Expr, Scratch, Tape, Unary};

fn gyroid() -> Expr {
    let [x, y, z] = ["x", "y", "z"].map(Expr::var);
    let sin = |e: &Expr| Expr::unary(Unary::Sin, e.clone());
    let cos = |e: &Expr| Expr::unary(Unary::Cos, e.clone());
    sin(&x) * cos(&y) + sin(&y) * cos(&z) + sin(&z) * cos(&x)
}

fn line(n: usize) -> Vec<f64> {
    (0..n).map(|i| i as f64 * 0.37 - 3.0).collect()
}

fn tape(c: &mut Criterion) {
    const N: usize = 17;
    let tape = Tape::new(&gyroid()).expect("a tape of the gyroid");
    let axis = line(N);
    let all: Vec<[f64; 3]> =
        (0..N * N * N).map(|i| [axis[i % N], axis[i / N % N], axis[i / N / N]]).collect();
    let [x, y, z] = [0, 1, 2].map(|k| all.iter().map(|p| p[k]).collect::<Vec<f64>>());
    let mut out = vec![0.0; all.len()];
    let mut slope = vec![Vec3::ZERO; all.len()];
    let mut scratch = Scratch::default();
    let mut group = c.benchmark_group("gyroid");
    group.throughput(Throughput::Elements(all.len() as u64));
    group.bench_function(BenchmarkId::from_parameter("plain loop"), |b| {
        b.iter(|| {
            for (o, [x, y, z]) in out.iter_mut().zip(black_box(&all)) {
                *o = x.sin() * y.cos() + y.sin() * z.cos() + z.sin() * x.cos();
            }
        });
    });
    group.bench_function("batch", |b| b.iter(|| tape.values(black_box(&x), &y, &z, &mut out, &mut scratch)));
    group.bench_function("grid", |b| {
        b.iter(|| tape.values_grid(black_box(&axis), &axis, &axis, &mut out, &mut scratch));
    });
    group.bench_function("slopes", |b| {
        b.iter(|| tape.slopes(black_box(&x), &y, &z, &mut out, &mut slope, &mut scratch));
    });
    group.finish();
    let region = Box3::new(Vec3::new(0.1, 0.2, 0.3), Vec3::new(0.4, 0.5, 0.6));
    c.bench_function("gyroid/bounds", |b| b.iter(|| tape.bounds(black_box(region))));
    c.bench_function("gyroid/bounds_tight", |b| b.iter(|| tape.bounds_tight(black_box(region))));
}

criterion_group!(benches, tape);
criterion_main!(benches);
