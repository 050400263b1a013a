//! Values, slopes and bounds of whole expressions, against other ways to the same numbers.

use num_dual::{Dual64, DualNum};

use super::kernels::tests::Draw;
use super::{Expr, Kind, Scratch, Tape, Unary, read};
use crate::base::{Box3, Vec3};

/// -1, 0 or 1; of what is undefined 2.
pub(super) fn sign(v: f64) -> i32 {
    if v.is_nan() { 2 } else { i32::from(v > 0.0) - i32::from(v < 0.0) }
}

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
            let near = tape.bounds_and_narrow(region).1;
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
                    assert_eq!(sign(near.value(p)), sign(v));
                }
            }
        }
    }
}

#[test]
fn a_million_terms_do_not_fill_the_stack() {
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

#[test]
fn long_sums_need_few_rows_and_wide_graphs_are_refused() {
    // A sum that nests to the right: valued from the inside, so that no term waits.
    let mut sum = Expr::var("x");
    for i in 0..100_000 {
        sum = sin(&(Expr::var("y") * f64::from(i))) + sum;
    }
    let tape = Tape::new(&sum).unwrap();
    assert!(tape.plan.rows < 8, "{}", tape.plan.rows);
    // Two chains, each needing all terms of the other in reverse.
    let terms: Vec<Expr> = (0..50_000).map(|i| sin(&(Expr::var("y") + f64::from(i)))).collect();
    let there = terms.iter().fold(Expr::var("x"), |s, t| cos(&(s + t.clone())));
    let back = terms.iter().rev().fold(there, |s, t| cos(&(s * t.clone())));
    assert_eq!(Tape::new(&back).err(), Some(super::TapeFault::TooWide));
}

#[test]
fn lattices_give_the_bits_of_single_points() {
    let mut scratch = Scratch::default();
    let [x, y, z] = xyz();
    let other = [
        x.clone(),
        z.clone(),
        Expr::constant(2.5),
        sin(&x),
        sin(&y) + cos(&z),
        cos(&x) * z.clone(),
        Expr::select(x.clone() - y.clone(), z.clone(), y.clone() * z),
    ];
    for e in cases().map(|c| c.0).into_iter().chain(other) {
        let tape = Tape::new(&e).unwrap();
        for [nx, ny, nz] in [[9, 9, 9], [1, 1, 1], [17, 5, 3], [700, 2, 2], [2, 700, 3], [3, 1, 40]] {
            let mut draw = Draw(nx as u64);
            let [xs, ys, zs] =
                [nx, ny, nz].map(|n| (0..n).map(|_| draw.between(-2.0, 2.0)).collect::<Vec<f64>>());
            let mut out = vec![0.0; nx * ny * nz];
            tape.values_grid(&xs, &ys, &zs, &mut out, &mut scratch);
            for (i, v) in out.iter().enumerate() {
                let p = Vec3::new(xs[i % nx], ys[i / nx % ny], zs[i / nx / ny]);
                assert_eq!(v.to_bits(), tape.value(p).to_bits(), "{e:?} {p:?}");
            }
        }
    }
}

#[test]
fn symbolic_derivatives_are_the_slopes() {
    let mut scratch = Scratch::default();
    for (e, _) in cases() {
        let tape = Tape::new(&e).unwrap();
        let parts = Tape::with_inputs(&e.gradient(["x", "y", "z"]), &["x", "y", "z"]).unwrap();
        let [x, y, z] = points(300, 2.0, 5);
        for i in 0..300 {
            let (_, slope) = tape.slope(Vec3::new(x[i], y[i], z[i]), &mut scratch);
            let mut d = [0.0; 3];
            parts.at(&[x[i], y[i], z[i]], &mut d);
            for k in 0..3 {
                assert!((d[k] - slope[k]).abs() <= 1e-10 * (1.0 + d[k].abs()), "{} {}", d[k], slope[k]);
            }
        }
    }
}

#[test]
fn bounds_of_small_blocks_are_tight() {
    // The mean value form's excess shrinks with the square of the block: blocks of 1/10 may lose 1/20.
    let mut draw = Draw(23);
    let tape = Tape::new(&gyroid()).unwrap();
    for _ in 0..200 {
        let at = Vec3::new(draw.between(-3.0, 3.0), draw.between(-3.0, 3.0), draw.between(-3.0, 3.0));
        let region = Box3::new(at, at + Vec3::splat(0.1));
        let tight = tape.bounds_tight(region);
        let (mut lo, mut hi) = (f64::INFINITY, f64::NEG_INFINITY);
        for _ in 0..500 {
            let p = [0, 1, 2].map(|k| draw.between(region.min[k], region.max[k]));
            let v = tape.value(Vec3::new(p[0], p[1], p[2]));
            (lo, hi) = (lo.min(v), hi.max(v));
        }
        for c in region.corners() {
            let v = tape.value(c);
            (lo, hi) = (lo.min(v), hi.max(v));
        }
        assert!(tight.lo <= lo && hi <= tight.hi);
        assert!(lo - tight.lo < 0.05 && tight.hi - hi < 0.05, "{tight:?} over {lo}..{hi}");
    }
}

#[test]
fn a_narrow_tape_costs_its_neighbourhood_only() {
    let tape = Tape::new(&tree()).unwrap();
    let region = Box3::new(Vec3::splat(0.3), Vec3::splat(0.6));
    let near = tape.bounds_and_narrow(region).1.unwrap();
    assert!(tape.len() > 250 && near.len() < 20, "{} to {}", tape.len(), near.len());
}

/// Of a max with a branch that is surely negative the other one is left, although it is not always the greater; of one that
/// something else reads, or that may be positive a cell away, both stay.
#[test]
fn a_narrow_tape_keeps_the_sign() {
    let [x, y, _] = xyz();
    let region = Box3::cube(0.5);
    let narrow = |e: &Expr| Tape::new(e).unwrap().bounds_and_narrow(region).1;
    let bumpy = Expr::unary(Unary::Sin, x.clone() * 9.0);
    let cut = bumpy.clone().max(y.clone() - 0.8);
    let near = narrow(&cut).unwrap();
    let at = Vec3::new(-0.2, 0.5, 0.0);
    assert_eq!(near.value(at), Tape::new(&bumpy).unwrap().value(at));
    assert_ne!(near.value(at), Tape::new(&cut).unwrap().value(at));
    assert!(narrow(&-cut.clone()).is_some() && narrow(&(cut.clone() + 1.0)).is_none());
    assert!(narrow(&cut.clone().min(cut.clone() * cut - 0.5)).is_none());
    assert!(narrow(&bumpy.max(y - 0.55)).is_none());
}

#[test]
fn undefined_parts_are_never_called_empty() {
    let [x, ..] = xyz();
    let region = Box3::new(Vec3::splat(-1.0), Vec3::splat(1.0));
    let all = |e: Expr| Tape::new(&e).unwrap().bounds(region) == crate::base::Interval::ALL;
    assert!(all(x.clone().sqrt() + 10.0));
    assert!(all(Expr::unary(Unary::Ln, x.clone()) + 1e9));
    assert!(all(Expr::constant(1.0) / x.clone() + 10.0));
    assert!(all(x.clone().pow(0.3.into()) + 1.0));
    // Min passes over the undefined part, as its value does.
    let b = Tape::new(&x.clone().sqrt().min(x + 5.0)).unwrap().bounds(region);
    assert!(b.lo >= -1e-9 && b.lo <= 4.0 && b.hi >= 6.0, "{b:?}");
}

/// Two equal choices multiplied are no page copy of one.
#[test]
fn equal_choices_are_no_copies() {
    let Kind::Field { value, .. } = read("if(x<0, x, y)*if(x<0, x, y)").unwrap().kind else { panic!() };
    assert_eq!(Tape::new(&value).unwrap().value(Vec3::new(2.0, 3.0, 0.0)), 9.0);
}

/// A sum is written with the sign that a negative number gives it.
#[test]
fn normal_forms_have_one_sign_before_a_number() {
    for (text, normal) in
        [("x - (-2.5)", "x + 2.5"), ("x + (-2.5)", "x - 2.5"), ("y = x - (-1)", "y - (x + 1) = 0")]
    {
        assert_eq!(read(text).unwrap().normal, normal, "{text}");
    }
}
