//! The elementary functions: one definition each, for one number and for rows of them.
//!
//! Every function here is plain arithmetic on `f64` in a fixed order, without fused multiply-add, so that one
//! number and a row, on any processor, give the same bits. Rows are compiled for the vector instructions found
//! at run time ([`rows`]).

mod circular;
mod growth;
pub(super) mod rows;
#[cfg(test)]
pub(super) mod tests;

use super::expr::{Binary, Unary};

impl Unary {
    /// The value at one number.
    pub fn of(self, x: f64) -> f64 {
        match self {
            Self::Neg => -x,
            Self::Abs => x.abs(),
            Self::Sign => sign(x),
            Self::Sqrt => x.sqrt(),
            Self::Cbrt => libm::cbrt(x),
            Self::Exp => growth::exp(x),
            Self::Ln => growth::ln(x),
            Self::Sin if x.abs() <= circular::REACH => circular::sin_near(x),
            Self::Sin => libm::sin(x),
            Self::Cos if x.abs() <= circular::REACH => circular::cos_near(x),
            Self::Cos => libm::cos(x),
            Self::Tan if x.abs() <= circular::REACH => circular::tan_near(x),
            Self::Tan => libm::tan(x),
            Self::Asin => circular::asin(x),
            Self::Acos => circular::acos(x),
            Self::Atan => circular::atan(x),
            Self::Sinh => growth::sinh(x),
            Self::Cosh => growth::cosh(x),
            Self::Tanh => growth::tanh(x),
            Self::Asinh => libm::asinh(x),
            Self::Acosh => libm::acosh(x),
            Self::Atanh => libm::atanh(x),
            Self::Floor => x.floor(),
            Self::Ceil => x.ceil(),
            Self::Round => x.round(),
        }
    }
}

impl Binary {
    /// The value at two numbers. `Min` and `Max` pass over NaN.
    pub fn of(self, a: f64, b: f64) -> f64 {
        match self {
            Self::Add => a + b,
            Self::Sub => a - b,
            Self::Mul => a * b,
            Self::Div => a / b,
            Self::Pow => growth::pow(a, b),
            Self::Min => least(a, b),
            Self::Max => greatest(a, b),
            Self::Atan2 => circular::atan2(a, b),
            Self::Mod => modulo(a, b),
        }
    }
}

/// -1, 0 or 1; zero and NaN as they are.
#[inline(always)]
fn sign(x: f64) -> f64 {
    if x == 0.0 || x.is_nan() { x } else { 1f64.copysign(x) }
}

#[inline(always)]
fn least(a: f64, b: f64) -> f64 {
    if a < b || b.is_nan() { a } else { b }
}

#[inline(always)]
fn greatest(a: f64, b: f64) -> f64 {
    if a > b || b.is_nan() { a } else { b }
}

#[inline(always)]
fn modulo(a: f64, b: f64) -> f64 {
    a - b * (a / b).floor()
}

/// The whole number that `exponent` is, when its power is made by multiplication.
pub(super) fn whole(exponent: f64) -> Option<i32> {
    (exponent.abs() <= growth::WHOLE && exponent.fract() == 0.0).then_some(exponent as i32)
}

/// x to a whole power.
pub(super) fn whole_power(x: f64, n: i32) -> f64 {
    growth::whole_power(x, n)
}
