//! exp, ln and whole powers, written without branches so that a loop over them fills vector registers.
//!
//! Source: FDLIBM 5.3 (e_exp, e_log; Sun Microsystems 1993), rearranged so that all arguments take one way.

use super::circular::{ROUNDER, either};

// ln 2 in two parts; the first has 32 bits, so that its product with a count below 2^20 is exact.
const LN2_HIGH: f64 = f64::from_bits(0x3FE6_2E42_FEE0_0000);
const LN2_LOW: f64 = f64::from_bits(0x3DEA_39EF_3579_3C76);

const E: [f64; 5] = [
    f64::from_bits(0x3FC5_5555_5555_553E),
    f64::from_bits(0xBF66_C16C_16BE_BD93),
    f64::from_bits(0x3F11_566A_AF25_DE2C),
    f64::from_bits(0xBEBB_BD41_C5D2_6BF1),
    f64::from_bits(0x3E66_3769_72BE_A4D0),
];

/// 2^k for a whole k from -1022 to 1023 held as the low bits of `ROUNDER + k`.
#[inline(always)]
fn two_to(k: f64) -> f64 {
    f64::from_bits((k + (ROUNDER + 1023.0)).to_bits() << 52)
}

/// e^x.
#[inline(always)]
pub(super) fn exp(x: f64) -> f64 {
    // Beyond these the value is infinite or zero whatever x is; NaN passes.
    let x = if x > 710.0 { 710.0 } else { x };
    let x = if x < -746.0 { -746.0 } else { x };
    let k = (x * std::f64::consts::LOG2_E + ROUNDER) - ROUNDER;
    let high = x - k * LN2_HIGH;
    let low = k * LN2_LOW;
    let r = high - low;
    let t = r * r;
    let c = r - t * (E[0] + t * (E[1] + t * (E[2] + t * (E[3] + t * E[4]))));
    let y = 1.0 + (r * c / (2.0 - c) - low + high);
    // In two steps, for the sake of subnormal values.
    let half = (k * 0.5 + ROUNDER) - ROUNDER;
    y * two_to(half) * two_to(k - half)
}

const L: [f64; 7] = [
    f64::from_bits(0x3FE5_5555_5555_5593),
    f64::from_bits(0x3FD9_9999_9997_FA04),
    f64::from_bits(0x3FD2_4924_9422_9359),
    f64::from_bits(0x3FCC_71C5_1D8E_78AF),
    f64::from_bits(0x3FC7_4664_96CB_03DE),
    f64::from_bits(0x3FC3_9A09_D078_C69F),
    f64::from_bits(0x3FC2_F112_DF3E_5244),
];

/// Bits of the root of 1/2, from where the mantissa's octave is counted.
const ROOT_HALF: u64 = 0x3FE6_A09E_667F_3BCD;

/// Natural logarithm.
#[inline(always)]
pub(super) fn ln(x: f64) -> f64 {
    let tiny = x < f64::MIN_POSITIVE;
    let scaled = if tiny { x * 18_014_398_509_481_984.0 } else { x };
    let shift = if tiny { 54.0 } else { 0.0 };
    // Exponent and mantissa, the mantissa from the root of 1/2 to the root of 2.
    let bits = scaled.to_bits().wrapping_sub(ROOT_HALF);
    let count = bits.wrapping_add(1023 << 52) >> 52;
    let k = f64::from_bits(count | ROUNDER.to_bits()) - (ROUNDER + 1023.0) - shift;
    let m = f64::from_bits((bits & 0x000F_FFFF_FFFF_FFFF).wrapping_add(ROOT_HALF));
    let f = m - 1.0;
    let half = 0.5 * f * f;
    let s = f / (2.0 + f);
    let z = s * s;
    let w = z * z;
    let r = w * (L[1] + w * (L[3] + w * L[5])) + z * (L[0] + w * (L[2] + w * (L[4] + w * L[6])));
    let y = s * (half + r) + k * LN2_LOW - half + f + k * LN2_HIGH;
    let y = if x == f64::INFINITY { x } else { y };
    let y = if x == 0.0 { f64::NEG_INFINITY } else { y };
    if x < 0.0 || x.is_nan() { f64::NAN } else { y }
}

/// Beyond this e^x is taken as the square of its root, which is finite for longer.
const STEEP: f64 = 709.0;

/// Below this the hyperbolic sine is taken from its series, where the difference of powers would cancel.
const SHALLOW: f64 = 1.0;

/// Half of e^a for a >= 0, finite as long as the hyperbolic functions are.
#[inline(always)]
fn half_exp(a: f64) -> f64 {
    let steep = a > STEEP;
    let e = exp(if steep { 0.5 * a } else { a });
    (0.5 * e) * if steep { e } else { 1.0 }
}

/// The series of sinh x up to x^19/19!, whose next term is below 2e-20 of the first where |x| <= 1.
#[inline(always)]
fn sinh_series(x: f64) -> f64 {
    let z = x * x;
    let mut sum = z / (18.0 * 19.0);
    for n in [16.0, 14.0, 12.0, 10.0, 8.0, 6.0, 4.0, 2.0] {
        sum = (sum + 1.0) * (z * (1.0 / (n * (n + 1.0))));
    }
    x + x * sum
}

/// Hyperbolic sine.
#[inline(always)]
pub(super) fn sinh(x: f64) -> f64 {
    let a = x.abs();
    let h = half_exp(a);
    let far = (h - 0.25 / h).copysign(x);
    either(a <= SHALLOW, sinh_series(x), far)
}

/// Hyperbolic cosine.
#[inline(always)]
pub(super) fn cosh(x: f64) -> f64 {
    let h = half_exp(x.abs());
    h + 0.25 / h
}

/// Hyperbolic tangent.
#[inline(always)]
pub(super) fn tanh(x: f64) -> f64 {
    let a = x.abs();
    let far = (1.0 - 2.0 / (exp(2.0 * a) + 1.0)).copysign(x);
    either(a <= SHALLOW, sinh_series(x) / cosh(x), far)
}

/// Largest exponent whose power is made by multiplication.
pub(super) const WHOLE: f64 = 64.0;

/// x^n by repeated squaring, |n| <= 64; an error of at most |n| units in the last place.
#[inline(always)]
pub(super) fn whole_power(x: f64, n: i32) -> f64 {
    let mut left = n.unsigned_abs();
    let mut square = x;
    let mut product = 1.0;
    while left > 0 {
        if left & 1 == 1 {
            product *= square;
        }
        left >>= 1;
        if left > 0 {
            square *= square;
        }
    }
    if n < 0 { 1.0 / product } else { product }
}

/// a^b; real for a negative `a` only when `b` is whole.
pub(super) fn pow(a: f64, b: f64) -> f64 {
    if b.abs() <= WHOLE && b == (b + ROUNDER) - ROUNDER {
        whole_power(a, b as i32)
    } else if b == 0.5 {
        a.sqrt()
    } else {
        libm::pow(a, b)
    }
}
