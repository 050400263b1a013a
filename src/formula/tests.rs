//! Values, slopes and bounds of whole expressions, against other ways to the same numbers.

use num_dual::{Dual64, DualNum};

use super::kernels::tests::Draw;
use super::{Expr, Scratch, Tape, Unary};
use crate::base::{Box3, Vec3};

pub(super) fn xyz() -> [Expr; 3] {
    ["x", "y", "z"].map(Expr::var)
}

fn sin(e: &Expr) -> Expr {
    Expr::unary(Unary::Sin, e.clone())
}

fn cos(e: &Expr) -> Expr {
    Expr::unary(Unary::Cos, e.clone())
}

pub(super) fn gyroid() -> Expr {
    let [x, y, z] = xyz();
    sin(&x) * cos(&y) + sin(&y) * cos(&z) + sin(&z) * cos(&x)
}

fn gyroid_dual([x, y, z]: [Dual64; 3]) -> Dual64 {
    x.sin() * y.cos() + y.sin() * z.cos() + z.sin() * x.cos()
}

/// Barth's sextic (1996): 4(t²x²-y²)(t²y²-z²)(t²z²-x²) - (1+2t)(x²+y²+z²-1)², t the golden ratio.
pub(super) fn sextic() -> Expr {
    let t = 0.5 * (1.0 + 5f64.sqrt());
    let [x, y, z] = xyz().map(|v| v.pow(2.0.into()));
    let f = |a: &Expr, b: &Expr| a.clone() * (t * t) - b.clone();
    let ball = x.clone() + y.clone() + z.clone() - 1.0;
    f(&x, &y) * f(&y, &z) * f(&z, &x) * 4.0 - ball.pow(2.0.into()) * (1.0 + 2.0 * t)
}

fn sextic_dual(p: [Dual64; 3]) -> Dual64 {
    let t = 0.5 * (1.0 + 5f64.sqrt());
    let [x, y, z] = p.map(|v| v * v);
    let ball = x + y + z - 1.0;
    (x * (t * t) - y) * (y * (t * t) - z) * (z * (t * t) - x) * 4.0 - ball * ball * (1.0 + 2.0 * t)
}

fn ball(at: Vec3, r: f64) -> Expr {
    let [x, y, z] = xyz();
    let square = |e: Expr, c: f64| (e - c).pow(2.0.into());
    (square(x, at.x) + square(y, at.y) + square(z, at.z)).sqrt() - r
}

/// Balls on a lattice, cut by a slab.
pub(super) fn tree() -> Expr {
    let mut all: Option<Expr> = None;
    for i in 0..64 {
        let at = Vec3::new(f64::from(i % 4), f64::from(i / 4 % 4), f64::from(i / 16)) - Vec3::splat(1.5);
        let b = ball(at, 0.4);
        all = Some(match all {
            Some(a) => a.min(b),
            None => b,
        });
    }
    all.unwrap().max(Expr::unary(Unary::Abs, Expr::var("z")) - 1.6)
}

fn tree_dual([x, y, z]: [Dual64; 3]) -> Dual64 {
    let lesser = |a: Dual64, b: Dual64| if a.re < b.re { a } else { b };
    let mut all: Option<Dual64> = None;
    for i in 0..64 {
        let at = Vec3::new(f64::from(i % 4), f64::from(i / 4 % 4), f64::from(i / 16)) - Vec3::splat(1.5);
        let d = [x - at.x, y - at.y, z - at.z].map(|v| v * v);
        let b = (d[0] + d[1] + d[2]).sqrt() - 0.4;
        all = Some(all.map_or(b, |a| lesser(a, b)));
    }
    let slab = if z.re < 0.0 { -z } else { z } - 1.6;
    let all = all.unwrap();
    if all.re > slab.re { all } else { slab }
}

fn points(n: usize, half: f64, seed: u64) -> [Vec<f64>; 3] {
    let mut draw = Draw(seed);
    std::array::from_fn(|_| (0..n).map(|_| draw.between(-half, half)).collect())
}

type DualField = fn([Dual64; 3]) -> Dual64;

fn cases() -> [(Expr, DualField); 3] {
    [(gyroid(), gyroid_dual), (sextic(), sextic_dual), (tree(), tree_dual)]
}

#[test]
fn slopes_are_those_of_dual_numbers() {
    let mut scratch = Scratch::default();
    for (e, dual) in cases() {
        let tape = Tape::new(&e).unwrap();
        let [x, y, z] = points(1000, 2.0, 7);
        let (mut out, mut slope) = (vec![0.0; 1000], vec![Vec3::ZERO; 1000]);
        tape.slopes(&x, &y, &z, &mut out, &mut slope, &mut scratch);
        for i in 0..1000 {
            let p = Vec3::new(x[i], y[i], z[i]);
            assert_eq!(out[i].to_bits(), tape.value(p).to_bits());
            for k in 0..3 {
                let arg = std::array::from_fn(|j| Dual64::new(p[j], if j == k { 1.0 } else { 0.0 }));
                let want = dual(arg);
                let size = 1.0 + want.re.abs() + want.eps.abs();
                assert!((out[i] - want.re).abs() < 1e-11 * size, "{} {}", out[i], want.re);
                assert!((slope[i][k] - want.eps).abs() < 1e-11 * size, "{} {}", slope[i][k], want.eps);
            }
        }
    }
}

#[test]
fn batches_give_the_bits_of_single_points() {
    let mut scratch = Scratch::default();
    for (e, _) in cases() {
        let tape = Tape::new(&e).unwrap();
        for n in [1, 2, 127, 128, 129, 1000] {
            let [x, y, z] = points(n, 3.0, n as u64);
            let mut out = vec![0.0; n];
            tape.values(&x, &y, &z, &mut out, &mut scratch);
            for i in 0..n {
                assert_eq!(out[i].to_bits(), tape.value(Vec3::new(x[i], y[i], z[i])).to_bits());
            }
        }
    }
}

#[test]
fn bounds_hold_every_sample() {
    let mut draw = Draw(11);
    for (e, _) in cases() {
        let tape = Tape::new(&e).unwrap();
        for _ in 0..300 {
            let at = Vec3::new(draw.between(-2.0, 2.0), draw.between(-2.0, 2.0), draw.between(-2.0, 2.0));
            let half = draw.between(0.0, 0.5);
            let region = Box3::new(at - Vec3::splat(half), at + Vec3::splat(half));
            let (plain, tight) = (tape.bounds(region), tape.bounds_tight(region));
            let near = tape.narrow(region);
            for _ in 0..120 {
                let p = Vec3::new(
                    draw.between(region.min.x, region.max.x),
                    draw.between(region.min.y, region.max.y),
                    draw.between(region.min.z, region.max.z),
                );
                let v = tape.value(p);
                assert!(plain.holds(v), "{v} not in {plain:?}");
                assert!(tight.holds(v), "{v} not in {tight:?} over {region:?}");
                if let Some(near) = &near {
                    assert_eq!(near.value(p).to_bits(), v.to_bits());
                }
            }
        }
    }
}

#[test]
fn a_million_terms_do_not_fill_the_stack() {
    let mut sum = Expr::var("x");
    for i in 0..1_000_000 {
        let term = Expr::var("y");
        sum = if i % 2 == 0 { sum + term } else { term * sum.clone() + sum };
        if i > 1_000 {
            break;
        }
    }
    let mut chain = Expr::var("x");
    for _ in 0..1_000_000 {
        chain = sin(&chain) + 0.125;
    }
    let tape = Tape::new(&chain).unwrap();
    assert!(tape.value(Vec3::ZERO).is_finite());
    assert_eq!(chain.names(), ["x"]);
    assert_eq!(chain.depth(), 2_000_001);
    drop(tape);
    drop(chain);
}
