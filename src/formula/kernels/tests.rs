//! The kernels against `libm`, whose own errors are below one unit in the last place.

use super::rows::{self, Operand};
use crate::formula::{Binary, Unary};
use fearless_simd::Level;

/// Distance in units of the last place of `want`; 0 for two NaNs.
fn ulps(got: f64, want: f64) -> f64 {
    if got.is_nan() && want.is_nan() || got == want {
        return 0.0;
    }
    let unit = (want.abs().next_up() - want.abs()).max(f64::from_bits(1));
    (got - want).abs() / unit
}

/// A sequence without chance: splitmix64 (Steele, Lea and Flood 2014), as numbers from 0 to 1.
pub(in crate::formula) struct Draw(pub u64);

impl Draw {
    pub(in crate::formula) fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    pub(in crate::formula) fn unit(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1u64 << 53) as f64
    }

    pub(in crate::formula) fn between(&mut self, lo: f64, hi: f64) -> f64 {
        lo + (hi - lo) * self.unit()
    }
}

const SPECIAL: [f64; 24] = [
    0.0,
    -0.0,
    1.0,
    -1.0,
    0.5,
    -0.5,
    f64::INFINITY,
    f64::NEG_INFINITY,
    f64::NAN,
    f64::MIN_POSITIVE,
    5e-324,
    f64::MAX,
    f64::MIN,
    1e-300,
    1e300,
    709.782_712_893_384,
    709.79,
    -745.13,
    -745.14,
    -708.4,
    1e22,
    -1.6e6,
    1.600_001e6,
    std::f64::consts::FRAC_PI_2,
];

/// Arguments: special ones, dense ones between two ends, and all bit patterns.
fn arguments(lo: f64, hi: f64) -> Vec<f64> {
    let mut draw = Draw(1);
    let mut all = SPECIAL.to_vec();
    all.extend((0..=20_000).map(|i| lo + (hi - lo) * f64::from(i) / 20_000.0));
    all.extend((0..20_000).map(|_| draw.between(lo, hi)));
    all.extend((0..20_000).map(|_| f64::from_bits(draw.bits())));
    // Near multiples of pi/2, where the reduction cancels most.
    all.extend((-10_000..10_000).map(|k| f64::from(k * 98) * std::f64::consts::FRAC_PI_2));
    all
}

#[test]
fn unary_kernels_are_near_libm() {
    type Table = [(Unary, fn(f64) -> f64, f64, f64, f64); 11];
    let table: Table = [
        (Unary::Sin, libm::sin, -1e3, 1e3, 1.0),
        (Unary::Cos, libm::cos, -1e3, 1e3, 1.0),
        (Unary::Tan, libm::tan, -10.0, 10.0, 3.0),
        (Unary::Exp, libm::exp, -750.0, 711.0, 1.0),
        (Unary::Ln, libm::log, 0.0, 10.0, 1.0),
        (Unary::Atan, libm::atan, -10.0, 10.0, 1.0),
        (Unary::Asin, libm::asin, -1.0, 1.0, 3.0),
        (Unary::Acos, libm::acos, -1.0, 1.0, 3.0),
        (Unary::Sinh, libm::sinh, -20.0, 20.0, 3.0),
        (Unary::Cosh, libm::cosh, -20.0, 20.0, 3.0),
        (Unary::Tanh, libm::tanh, -5.0, 5.0, 3.0),
    ];
    for (f, truth, lo, hi, bound) in table {
        let mut worst = (0.0, 0.0);
        for x in arguments(lo, hi) {
            let e = ulps(f.of(x), truth(x));
            assert!(!e.is_nan(), "{f:?} {x:e}: {:e}, not {:e}", f.of(x), truth(x));
            if e > worst.0 {
                worst = (e, x);
            }
        }
        assert!(worst.0 <= bound, "{f:?}: {} ulp at {:e}", worst.0, worst.1);
    }
}

#[test]
fn angle_is_near_libm() {
    let mut draw = Draw(3);
    let mut pairs: Vec<(f64, f64)> = SPECIAL.iter().flat_map(|a| SPECIAL.map(|b| (*a, b))).collect();
    pairs.extend((0..100_000).map(|_| (draw.between(-5.0, 5.0), draw.between(-5.0, 5.0))));
    pairs.extend((0..100_000).map(|_| (f64::from_bits(draw.bits()), f64::from_bits(draw.bits()))));
    for (y, x) in pairs {
        let (got, want) = (Binary::Atan2.of(y, x), libm::atan2(y, x));
        assert!(ulps(got, want) <= 2.0, "atan2({y:e}, {x:e}) = {got:e}, not {want:e}");
        assert!(got.is_nan() || got.is_sign_negative() == want.is_sign_negative(), "sign at {y:e}, {x:e}");
    }
}

#[test]
fn rows_give_the_bits_of_single_numbers_at_every_level() {
    let a = arguments(-9.0, 9.0);
    let b: Vec<f64> = a.iter().rev().copied().collect();
    let mut out = vec![0.0; a.len()];
    let same = |x: f64, y: f64| x.to_bits() == y.to_bits() || (x.is_nan() && y.is_nan());
    for level in levels() {
        for f in UNARY {
            rows::unary(level, f, &a, &mut out);
            for (x, v) in a.iter().zip(&out) {
                assert!(same(f.of(*x), *v), "{level:?} {f:?} {x:e}");
            }
        }
        for f in BINARY {
            rows::binary(level, f, Operand::Row(&a), Operand::Row(&b), &mut out);
            for ((x, y), v) in a.iter().zip(&b).zip(&out) {
                assert!(same(f.of(*x, *y), *v), "{level:?} {f:?} {x:e} {y:e}");
            }
        }
        let (mut sin, mut cos) = (vec![0.0; a.len()], vec![0.0; a.len()]);
        rows::sin_cos(level, &a, &mut sin, &mut cos);
        for ((x, s), c) in a.iter().zip(&sin).zip(&cos) {
            assert!(same(Unary::Sin.of(*x), *s) && same(Unary::Cos.of(*x), *c), "{level:?} {x:e}");
        }
        for n in (-13..14).chain([-64, 33, 64]) {
            rows::power(level, &a, n, &mut out);
            for (x, v) in a.iter().zip(&out) {
                assert!(same(super::whole_power(*x, n), *v), "{level:?} {x:e}^{n}");
            }
        }
    }
}

/// The sets of vector instructions that this machine has.
pub(in crate::formula) fn levels() -> Vec<Level> {
    let best = Level::new();
    let mut all = vec![Level::baseline(), best];
    #[cfg(target_arch = "x86_64")]
    {
        all.extend(best.as_sse4_2().map(Level::Sse4_2));
        all.extend(best.as_avx2().map(Level::Avx2));
    }
    all
}

pub(in crate::formula) const UNARY: [Unary; 22] = [
    Unary::Neg,
    Unary::Abs,
    Unary::Sign,
    Unary::Sqrt,
    Unary::Cbrt,
    Unary::Exp,
    Unary::Ln,
    Unary::Sin,
    Unary::Cos,
    Unary::Tan,
    Unary::Asin,
    Unary::Acos,
    Unary::Atan,
    Unary::Sinh,
    Unary::Cosh,
    Unary::Tanh,
    Unary::Asinh,
    Unary::Acosh,
    Unary::Atanh,
    Unary::Floor,
    Unary::Ceil,
    Unary::Round,
];

pub(in crate::formula) const BINARY: [Binary; 9] = [
    Binary::Add,
    Binary::Sub,
    Binary::Mul,
    Binary::Div,
    Binary::Pow,
    Binary::Min,
    Binary::Max,
    Binary::Atan2,
    Binary::Mod,
];
