//! sin, cos and their inverses, written without branches so that a loop over them fills vector registers.
//!
//! Sources: the reduction by three parts of pi/2 (Cody and Waite 1980, ch. 8) and the polynomials of FDLIBM 5.3
//! (k_sin, k_cos; Sun Microsystems 1993); the arc tangent of Moshier, Methods and Programs for Mathematical
//! Functions (1989), Cephes. Errors against correctly rounded values are asserted in this folder's tests.

/// Largest |x| that the vector reduction takes: the quotient by pi/2 stays below 2^20, so that its product with
/// a part of 33 bits is exact. Beyond it, [`libm`]'s reduction with many digits of pi is used.
pub(super) const REACH: f64 = 1.6e6;

/// 1.5·2^52: added to a small number and taken away again, it rounds to the nearest integer.
pub(super) const ROUNDER: f64 = 6_755_399_441_055_744.0;

// The three parts of pi/2; the last carries 53 bits.
const PIO2_A: f64 = f64::from_bits(0x3FF9_21FB_5440_0000);
const PIO2_B: f64 = f64::from_bits(0x3DD0_B461_1A60_0000);
const PIO2_C: f64 = f64::from_bits(0x3BA3_198A_2E03_7073);

const S: [f64; 6] = [
    f64::from_bits(0xBFC5_5555_5555_5549),
    f64::from_bits(0x3F81_1111_1110_F8A6),
    f64::from_bits(0xBF2A_01A0_19C1_61D5),
    f64::from_bits(0x3EC7_1DE3_57B1_FE7D),
    f64::from_bits(0xBE5A_E5E6_8A2B_9CEB),
    f64::from_bits(0x3DE5_D93A_5ACF_D57C),
];
const C: [f64; 6] = [
    f64::from_bits(0x3FA5_5555_5555_554C),
    f64::from_bits(0xBF56_C16C_16C1_5177),
    f64::from_bits(0x3EFA_01A0_19CB_1590),
    f64::from_bits(0xBE92_7E4F_809C_52AD),
    f64::from_bits(0x3E21_EE9E_BDB4_B1C4),
    f64::from_bits(0xBDA8_FAE9_BE88_38D4),
];

/// The first of two numbers if `first`, taken by masks so that both are at hand and no branch is made.
#[inline(always)]
pub(super) fn either(first: bool, a: f64, b: f64) -> f64 {
    let mask = u64::from(first).wrapping_neg();
    f64::from_bits((a.to_bits() & mask) | (b.to_bits() & !mask))
}

/// x less the nearest multiple of pi/2, in two parts, and the multiple's count in the low bits.
#[inline(always)]
fn reduced(x: f64) -> (f64, f64, u64) {
    let t = x * std::f64::consts::FRAC_2_PI + ROUNDER;
    let k = t - ROUNDER;
    let a = x - k * PIO2_A;
    let w = k * PIO2_B;
    // The exact difference a - w = r + e (Knuth's two-sum).
    let r = a - w;
    let v = r - a;
    let e = (a - (r - v)) - (w + v);
    let tail = k * PIO2_C - e;
    let y = r - tail;
    (y, (r - y) - tail, t.to_bits())
}

/// sin(x + y) on |x| <= pi/4, y its tail.
#[inline(always)]
fn sine(x: f64, y: f64) -> f64 {
    let z = x * x;
    let w = z * z;
    let r = S[1] + z * (S[2] + z * S[3]) + z * w * (S[4] + z * S[5]);
    let v = z * x;
    x - ((z * (0.5 * y - v * r) - y) - v * S[0])
}

/// cos(x + y) on |x| <= pi/4, y its tail.
#[inline(always)]
fn cosine(x: f64, y: f64) -> f64 {
    let z = x * x;
    let w = z * z;
    let r = z * (C[0] + z * (C[1] + z * C[2])) + w * w * (C[3] + z * (C[4] + z * C[5]));
    let half = 0.5 * z;
    let w = 1.0 - half;
    w + (((1.0 - w) - half) + (z * r - x * y))
}

/// Sine for |x| <= [`REACH`].
#[inline(always)]
pub(super) fn sin_near(x: f64) -> f64 {
    let (r, tail, k) = reduced(x);
    let (s, c) = (sine(r, tail), cosine(r, tail));
    let v = either(k & 1 == 0, s, c);
    f64::from_bits(v.to_bits() ^ ((k & 2) << 62))
}

/// Cosine for |x| <= [`REACH`].
#[inline(always)]
pub(super) fn cos_near(x: f64) -> f64 {
    let (r, tail, k) = reduced(x);
    let (s, c) = (sine(r, tail), cosine(r, tail));
    let v = either(k & 1 == 0, c, s);
    f64::from_bits(v.to_bits() ^ ((k.wrapping_add(1) & 2) << 62))
}

/// Sine and cosine for |x| <= [`REACH`], the same to the last bit as each alone.
#[inline(always)]
pub(super) fn sin_cos_near(x: f64) -> (f64, f64) {
    let (r, tail, k) = reduced(x);
    let (s, c) = (sine(r, tail), cosine(r, tail));
    let even = k & 1 == 0;
    let (sin, cos) = (either(even, s, c), either(even, c, s));
    (
        f64::from_bits(sin.to_bits() ^ ((k & 2) << 62)),
        f64::from_bits(cos.to_bits() ^ ((k.wrapping_add(1) & 2) << 62)),
    )
}

/// Tangent for |x| <= [`REACH`].
#[inline(always)]
pub(super) fn tan_near(x: f64) -> f64 {
    let (r, tail, k) = reduced(x);
    let (s, c) = (sine(r, tail), cosine(r, tail));
    let even = k & 1 == 0;
    either(even, s, -c) / either(even, c, s)
}

// The digits are those published.
#[allow(clippy::excessive_precision)]
const P: [f64; 5] = [
    -8.750_608_600_031_904_122_785e-1,
    -1.615_753_718_733_365_076_637e1,
    -7.500_855_792_314_704_667_340e1,
    -1.228_866_684_490_136_173_410e2,
    -6.485_021_904_942_025_371_773e1,
];
#[allow(clippy::excessive_precision)]
const Q: [f64; 5] = [
    2.485_846_490_142_306_297_962e1,
    1.650_270_098_316_988_542_046e2,
    4.328_810_604_912_902_668_951e2,
    4.853_903_996_359_136_964_868e2,
    1.945_506_571_482_613_964_425e2,
];
/// tan(3 pi/8), and the part of pi/2 beyond a double.
const FAR: f64 = 2.414_213_562_373_095;
const PIO2_LOW: f64 = 6.123_233_995_736_766e-17;

/// Arc tangent.
#[inline(always)]
pub(super) fn atan(x: f64) -> f64 {
    let a = x.abs();
    let (far, middle) = (a > FAR, a > 0.66);
    let over = if far {
        -1.0
    } else if middle {
        a - 1.0
    } else {
        a
    };
    let under = if far {
        a
    } else if middle {
        a + 1.0
    } else {
        1.0
    };
    let base = if far {
        std::f64::consts::FRAC_PI_2
    } else if middle {
        std::f64::consts::FRAC_PI_4
    } else {
        0.0
    };
    let low = if far {
        PIO2_LOW
    } else if middle {
        0.5 * PIO2_LOW
    } else {
        0.0
    };
    let t = over / under;
    let z = t * t;
    let p = (((P[0] * z + P[1]) * z + P[2]) * z + P[3]) * z + P[4];
    let q = ((((z + Q[0]) * z + Q[1]) * z + Q[2]) * z + Q[3]) * z + Q[4];
    let s = t * (z * p / q);
    (base + (t + (s + low))).copysign(x)
}

/// The angle of the point (x, y), from -pi to pi.
#[inline(always)]
pub(super) fn atan2(y: f64, x: f64) -> f64 {
    let (ay, ax) = (y.abs(), x.abs());
    let q = ay / ax;
    let q = if ay == 0.0 { 0.0 } else { q };
    let q = if ay == f64::INFINITY && ax == f64::INFINITY { 1.0 } else { q };
    let a = atan(q);
    let a = if x.is_sign_negative() { std::f64::consts::PI - (a - 2.0 * PIO2_LOW) } else { a };
    let a = a.copysign(y);
    if x.is_nan() || y.is_nan() { f64::NAN } else { a }
}

/// Arc sine.
#[inline(always)]
pub(super) fn asin(x: f64) -> f64 {
    let c = ((1.0 - x) * (1.0 + x)).sqrt();
    atan(x / c)
}

/// Arc cosine.
#[inline(always)]
pub(super) fn acos(x: f64) -> f64 {
    2.0 * atan(((1.0 - x) / (1.0 + x)).sqrt())
}
