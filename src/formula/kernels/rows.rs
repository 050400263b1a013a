//! The elementary functions over rows of numbers, compiled once for each set of vector instructions.

use fearless_simd::{Level, dispatch};

use super::super::expr::{Binary, Unary};
use super::{circular, greatest, growth, least, modulo, sign};

/// An operand of a row operation: a row, or one number for the whole row.
#[derive(Clone, Copy, Debug)]
pub(in crate::formula) enum Operand<'a> {
    /// A number for each point.
    Row(&'a [f64]),
    /// One number.
    Number(f64),
}

// All loops are inlined into `dispatch!`, which compiles them once for each level's instructions.

#[inline(always)]
fn map(out: &mut [f64], a: &[f64], f: impl Fn(f64) -> f64 + Copy) {
    for (o, a) in out.iter_mut().zip(a) {
        *o = f(*a);
    }
}

#[inline(always)]
fn zip(out: &mut [f64], a: Operand, b: Operand, f: impl Fn(f64, f64) -> f64 + Copy) {
    match (a, b) {
        (Operand::Row(a), Operand::Row(b)) => {
            for ((o, a), b) in out.iter_mut().zip(a).zip(b) {
                *o = f(*a, *b);
            }
        }
        (Operand::Row(a), Operand::Number(b)) => {
            for (o, a) in out.iter_mut().zip(a) {
                *o = f(*a, b);
            }
        }
        (Operand::Number(a), Operand::Row(b)) => {
            for (o, b) in out.iter_mut().zip(b) {
                *o = f(a, *b);
            }
        }
        (Operand::Number(a), Operand::Number(b)) => out.fill(f(a, b)),
    }
}

/// Does again, one by one, the values whose argument is beyond the vector reduction.
fn mend(out: &mut [f64], a: &[f64], f: impl Fn(f64) -> f64) {
    let beyond = |x: f64| x.abs() > circular::REACH || x.is_nan();
    if a.iter().fold(false, |far, x| far | beyond(*x)) {
        for (o, x) in out.iter_mut().zip(a) {
            if beyond(*x) {
                *o = f(*x);
            }
        }
    }
}

/// `out[i] = f(a[i])`.
pub(in crate::formula) fn unary(level: Level, f: Unary, a: &[f64], out: &mut [f64]) {
    dispatch!(level, _simd => unary_on(f, a, out));
}

#[inline(always)]
fn unary_on(f: Unary, a: &[f64], out: &mut [f64]) {
    match f {
        Unary::Neg => map(
            out,
            a,
            #[inline(always)]
            |x| -x,
        ),
        Unary::Abs => map(
            out,
            a,
            #[inline(always)]
            |x| x.abs(),
        ),
        Unary::Sign => map(out, a, sign),
        Unary::Sqrt => map(
            out,
            a,
            #[inline(always)]
            |x| x.sqrt(),
        ),
        Unary::Exp => map(out, a, growth::exp),
        Unary::Ln => map(out, a, growth::ln),
        Unary::Sin => {
            map(out, a, circular::sin_near);
            mend(out, a, libm::sin);
        }
        Unary::Cos => {
            map(out, a, circular::cos_near);
            mend(out, a, libm::cos);
        }
        Unary::Tan => {
            map(out, a, circular::tan_near);
            mend(out, a, libm::tan);
        }
        Unary::Asin => map(out, a, circular::asin),
        Unary::Acos => map(out, a, circular::acos),
        Unary::Atan => map(out, a, circular::atan),
        Unary::Floor => map(
            out,
            a,
            #[inline(always)]
            |x| x.floor(),
        ),
        Unary::Ceil => map(
            out,
            a,
            #[inline(always)]
            |x| x.ceil(),
        ),
        other => map(
            out,
            a,
            #[inline(always)]
            |x| other.of(x),
        ),
    }
}

/// `out[i] = f(a[i], b[i])`.
pub(in crate::formula) fn binary(level: Level, f: Binary, a: Operand, b: Operand, out: &mut [f64]) {
    dispatch!(level, _simd => binary_on(f, a, b, out));
}

#[inline(always)]
fn binary_on(f: Binary, a: Operand, b: Operand, out: &mut [f64]) {
    match f {
        Binary::Add => zip(
            out,
            a,
            b,
            #[inline(always)]
            |a, b| a + b,
        ),
        Binary::Sub => zip(
            out,
            a,
            b,
            #[inline(always)]
            |a, b| a - b,
        ),
        Binary::Mul => zip(
            out,
            a,
            b,
            #[inline(always)]
            |a, b| a * b,
        ),
        Binary::Div => zip(
            out,
            a,
            b,
            #[inline(always)]
            |a, b| a / b,
        ),
        Binary::Pow => zip(out, a, b, growth::pow),
        Binary::Min => zip(out, a, b, least),
        Binary::Max => zip(out, a, b, greatest),
        Binary::Atan2 => zip(out, a, b, circular::atan2),
        Binary::Mod => zip(out, a, b, modulo),
    }
}

/// `sin[i]` and `cos[i]` of `a[i]`, with one reduction for both.
pub(in crate::formula) fn sin_cos(level: Level, a: &[f64], sin: &mut [f64], cos: &mut [f64]) {
    dispatch!(level, _simd => for ((s, c), a) in sin.iter_mut().zip(cos.iter_mut()).zip(a) {
        (*s, *c) = circular::sin_cos_near(*a);
    });
    mend(sin, a, libm::sin);
    mend(cos, a, libm::cos);
}

/// `out[i] = a[i]^n`.
pub(in crate::formula) fn power(level: Level, a: &[f64], n: i32, out: &mut [f64]) {
    // The commonest powers with the exponent known, so that their products are laid out in a row.
    macro_rules! known {
        ($($n:literal)*) => {
            dispatch!(level, _simd => match n {
                $($n => map(out, a, #[inline(always)] |x| growth::whole_power(x, $n)),)*
                _ => map(out, a, #[inline(always)] |x| growth::whole_power(x, n)),
            })
        };
    }
    known!(-2 2 3 4 5 6 7 8 10 12);
}

impl Operand<'_> {
    /// The number at a place.
    #[inline(always)]
    pub(in crate::formula) fn at(self, i: usize) -> f64 {
        match self {
            Self::Row(row) => row[i],
            Self::Number(x) => x,
        }
    }
}

/// `out[i] = t[i] < 0 ? a[i] : b[i]`.
pub(in crate::formula) fn select(level: Level, t: Operand, [a, b]: [Operand; 2], out: &mut [f64]) {
    dispatch!(level, _simd => for (i, o) in out.iter_mut().enumerate() {
        *o = if t.at(i) < 0.0 { a.at(i) } else { b.at(i) };
    });
}

/// `out[i]` is -1 where `Min` (`Max`) of the two is `a[i]`, else 1: a test for [`select`].
pub(in crate::formula) fn contest(level: Level, f: Binary, a: Operand, b: Operand, out: &mut [f64]) {
    dispatch!(level, _simd => match f {
        Binary::Max => zip(out, a, b, #[inline(always)] |a, b| if a > b || b.is_nan() { -1.0 } else { 1.0 }),
        _ => zip(out, a, b, #[inline(always)] |a, b| if a < b || b.is_nan() { -1.0 } else { 1.0 }),
    });
}

/// `out[i] = u[i]·a[i] + v[i]·b[i]`.
pub(in crate::formula) fn mix(level: Level, [u, a]: [Operand; 2], [v, b]: [Operand; 2], out: &mut [f64]) {
    dispatch!(level, _simd => for (i, o) in out.iter_mut().enumerate() {
        *o = u.at(i) * a.at(i) + v.at(i) * b.at(i);
    });
}

/// `out[i]`: the derivative of `f` at `a[i]`, where its value is `v[i]`.
pub(in crate::formula) fn derivative(level: Level, f: Unary, a: &[f64], v: &[f64], out: &mut [f64]) {
    match f {
        Unary::Sinh => unary(level, Unary::Cosh, a, out),
        Unary::Cosh => unary(level, Unary::Sinh, a, out),
        _ => dispatch!(level, _simd => derivative_on(f, Operand::Row(a), Operand::Row(v), out)),
    }
}

#[inline(always)]
fn derivative_on(f: Unary, a: Operand, v: Operand, out: &mut [f64]) {
    match f {
        Unary::Neg => out.fill(-1.0),
        Unary::Abs => zip(
            out,
            a,
            v,
            #[inline(always)]
            |a, _| if a < 0.0 { -1.0 } else { 1.0 },
        ),
        Unary::Sign | Unary::Floor | Unary::Ceil | Unary::Round => out.fill(0.0),
        Unary::Sqrt => zip(
            out,
            a,
            v,
            #[inline(always)]
            |_, v| 0.5 / v,
        ),
        Unary::Cbrt => zip(
            out,
            a,
            v,
            #[inline(always)]
            |_, v| 1.0 / (3.0 * v * v),
        ),
        Unary::Exp => zip(
            out,
            a,
            v,
            #[inline(always)]
            |_, v| v,
        ),
        Unary::Ln => zip(
            out,
            a,
            v,
            #[inline(always)]
            |a, _| 1.0 / a,
        ),
        Unary::Tan => zip(
            out,
            a,
            v,
            #[inline(always)]
            |_, v| 1.0 + v * v,
        ),
        Unary::Asin => zip(
            out,
            a,
            v,
            #[inline(always)]
            |a, _| 1.0 / ((1.0 - a) * (1.0 + a)).sqrt(),
        ),
        Unary::Acos => zip(
            out,
            a,
            v,
            #[inline(always)]
            |a, _| -1.0 / ((1.0 - a) * (1.0 + a)).sqrt(),
        ),
        Unary::Atan => zip(
            out,
            a,
            v,
            #[inline(always)]
            |a, _| 1.0 / (1.0 + a * a),
        ),
        Unary::Tanh => zip(
            out,
            a,
            v,
            #[inline(always)]
            |_, v| (1.0 - v) * (1.0 + v),
        ),
        Unary::Asinh => zip(
            out,
            a,
            v,
            #[inline(always)]
            |a, _| 1.0 / (a * a + 1.0).sqrt(),
        ),
        Unary::Acosh => zip(
            out,
            a,
            v,
            #[inline(always)]
            |a, _| 1.0 / ((a - 1.0) * (a + 1.0)).sqrt(),
        ),
        Unary::Atanh => zip(
            out,
            a,
            v,
            #[inline(always)]
            |a, _| 1.0 / ((1.0 - a) * (1.0 + a)),
        ),
        // Made from one another in `derivative`.
        Unary::Sin | Unary::Cos | Unary::Sinh | Unary::Cosh => {}
    }
}
