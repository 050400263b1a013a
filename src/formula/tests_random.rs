//! Random expressions: one point, batch, lattice and every level give the same bits; bounds hold; slopes,
//! derivatives and narrowed tapes agree.

use proptest::prelude::*;
use proptest::test_runner::RngSeed;

use super::kernels::tests::{BINARY, Draw, UNARY, levels};
use super::tests::sign;
use super::{Expr, Scratch, Tape, Unary};
use crate::base::{Box3, Vec3};

/// An expression of some twenty nodes, some of them shared.
fn expression() -> impl Strategy<Value = Expr> {
    let leaf = prop_oneof![
        4 => (0..3usize).prop_map(|k| Expr::var(["x", "y", "z"][k])),
        1 => prop_oneof![Just(0.0), Just(1.0), Just(-1.0), Just(2.0), Just(3.0), Just(0.5), -4.0..4.0f64]
            .prop_map(Expr::constant),
    ];
    leaf.prop_recursive(6, 40, 3, |inner| {
        prop_oneof![
            3 => (0..UNARY.len(), inner.clone()).prop_map(|(f, a)| Expr::unary(UNARY[f], a)),
            5 => (0..BINARY.len(), inner.clone(), inner.clone()).prop_map(|(f, a, b)| Expr::binary(BINARY[f], a, b)),
            1 => (inner.clone(), inner.clone(), inner.clone()).prop_map(|(t, a, b)| Expr::select(t, a, b)),
            2 => (inner, -3..5i32).prop_map(|(a, n)| a.clone() * a.pow(f64::from(n).into())),
        ]
    })
}

fn same(a: f64, b: f64) -> bool {
    a.to_bits() == b.to_bits() || (a.is_nan() && b.is_nan())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, rng_seed: RngSeed::Fixed(1), ..ProptestConfig::default() })]

    #[test]
    fn all_ways_to_a_value_give_the_same_bits(e in expression(), seed in any::<u64>()) {
        let mut tape = Tape::new(&e).unwrap();
        let mut draw = Draw(seed);
        let [xs, ys, zs]: [Vec<f64>; 3] = std::array::from_fn(|_| (0..6).map(|_| draw.between(-3.0, 3.0)).collect());
        let all: Vec<Vec3> = (0..216).map(|i| Vec3::new(xs[i % 6], ys[i / 6 % 6], zs[i / 36])).collect();
        let [x, y, z] = [0, 1, 2].map(|k| all.iter().map(|p| p[k]).collect::<Vec<f64>>());
        let mut scratch = Scratch::default();
        let mut out = vec![0.0; 216];
        let mut slope = vec![Vec3::ZERO; 216];
        for level in levels() {
            tape.level = level;
            tape.values(&x, &y, &z, &mut out, &mut scratch);
            prop_assert!((0..216).all(|i| same(out[i], tape.value(all[i]))));
            tape.values_grid(&xs, &ys, &zs, &mut out, &mut scratch);
            prop_assert!((0..216).all(|i| same(out[i], tape.value(all[i]))));
            tape.slopes(&x, &y, &z, &mut out, &mut slope, &mut scratch);
            prop_assert!((0..216).all(|i| same(out[i], tape.value(all[i]))));
        }
    }

    #[test]
    fn bounds_hold_and_narrow_tapes_agree(e in expression(), seed in any::<u64>()) {
        let tape = Tape::new(&e).unwrap();
        let mut draw = Draw(seed);
        let whole = draw.bits().is_multiple_of(2);
        let mut number = |lo: f64, hi: f64| {
            let v = draw.between(lo, hi);
            if whole { v.round() } else { v }
        };
        let least = Vec3::new(number(-3.0, 3.0), number(-3.0, 3.0), number(-3.0, 3.0));
        let size = Vec3::new(number(0.0, 1.5), number(0.0, 1.5), number(0.0, 1.5));
        let region = Box3::new(least, least + size);
        let (bounds, near) = tape.bounds_and_narrow(region);
        let (tight, slopes) = tape.bounds_and_slopes(region);
        let mut scratch = Scratch::default();
        let inside: Vec<Vec3> = (0..60)
            .map(|_| Vec3::new(draw.unit(), draw.unit(), draw.unit()))
            .map(|u| least + Vec3::new(u.x * size.x, u.y * size.y, u.z * size.z))
            .chain(region.corners())
            .filter(|p| region.holds(*p))
            .collect();
        for p in inside {
            let v = tape.value(p);
            if v.is_nan() {
                prop_assert_eq!(bounds, crate::base::Interval::ALL);
            } else {
                prop_assert!(bounds.holds(v), "{} not in {:?} at {:?}", v, bounds, p);
                prop_assert!(tight.holds(v), "{} not in tight {:?} at {:?}", v, tight, p);
            }
            if let Some(near) = &near {
                prop_assert_eq!(sign(near.value(p)), sign(v));
            }
            let (_, g) = tape.slope(p, &mut scratch);
            for k in 0..3 {
                let s = slopes[k];
                let slack = 1e-9 * (1.0 + s.greatest());
                prop_assert!(
                    !g[k].is_finite() || !v.is_finite() || (s.lo - slack <= g[k] && g[k] <= s.hi + slack),
                    "slope {} not in {:?}", g[k], s
                );
            }
        }
    }

    #[test]
    fn building_changes_no_value(f in 0..UNARY.len(), g in 0..BINARY.len(), x in -4.0..4.0f64, k in 0..9usize) {
        // Simplified as built against the same operations done one by one.
        let c = [0.0, -0.0, 1.0, -1.0, 0.5, 2.0, 3.0, -2.0, 0.25][k];
        let v = Expr::var("x");
        let at = |e: &Expr| Tape::new(e).unwrap().value(Vec3::new(x, 0.0, 0.0));
        let (f, g) = (UNARY[f], BINARY[g]);
        let close = |a: f64, b: f64| a == b || (a.is_nan() && b.is_nan());
        prop_assert!(close(at(&Expr::binary(g, v.clone(), c.into())), g.of(x, c)));
        prop_assert!(close(at(&Expr::binary(g, c.into(), v.clone())), g.of(c, x)));
        let n = Expr::unary(Unary::Neg, v.clone());
        prop_assert!(close(at(&Expr::binary(g, n.clone(), v.clone())), g.of(-x, x)));
        prop_assert!(close(at(&Expr::binary(g, v.clone(), n.clone())), g.of(x, -x)));
        prop_assert!(close(at(&Expr::unary(f, n.clone())), f.of(-x)));
        prop_assert!(close(at(&Expr::unary(f, Expr::unary(f, v.clone()))), f.of(f.of(x))));
        prop_assert!(close(at(&Expr::binary(g, n, c.into())), g.of(-x, c)));
    }

    #[test]
    fn derivatives_are_slopes(e in expression(), seed in any::<u64>()) {
        let tape = Tape::new(&e).unwrap();
        let parts = Tape::with_inputs(&e.gradient(["x", "y", "z"]), &["x", "y", "z"]).unwrap();
        let mut draw = Draw(seed);
        let mut scratch = Scratch::default();
        for _ in 0..20 {
            let p = Vec3::new(draw.between(-3.0, 3.0), draw.between(-3.0, 3.0), draw.between(-3.0, 3.0));
            let (v, g) = tape.slope(p, &mut scratch);
            let mut d = [0.0; 3];
            parts.at(&[p.x, p.y, p.z], &mut d);
            for k in 0..3 {
                // Both lose digits near poles; what is compared is whether they are the same function.
                let usable = v.is_finite() && g[k].is_finite() && d[k].is_finite() && g[k].abs().max(d[k].abs()) < 1e6;
                prop_assert!(!usable || (g[k] - d[k]).abs() <= 1e-5 * (1.0 + g[k].abs()), "{} {}", g[k], d[k]);
            }
        }
    }
}
