//! What a form is clipped by, as a solid and as the words that make the same solid.

use std::f64::consts::PI;

use crate::base::Vec3;
use crate::form::{FormFault, Solid, ball, block, rod, shift};

/// What a form is clipped by.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Clip {
    /// A block of three edge lengths about a centre.
    Block { size: Vec3, centre: Vec3 },
    /// A ball.
    Ball { radius: f64, centre: Vec3 },
    /// A rod along z.
    Rod { radius: f64, height: f64, centre: Vec3 },
}

/// A number of at most four digits near `v`, not below it: what is printed is what is used.
pub(super) fn round_up(v: f64) -> f64 {
    rounded(v, f64::ceil)
}

/// The nearest number of three digits.
pub(super) fn round_near(v: f64) -> f64 {
    rounded(v, f64::round)
}

fn rounded(v: f64, to: fn(f64) -> f64) -> f64 {
    if v == 0.0 || !v.is_finite() {
        return v;
    }
    let digits = 2 - libm::floor(libm::log10(v.abs())) as i32;
    let unit = (0..digits.abs()).fold(1.0, |power, _| power * 10.0);
    // Powers of ten with positive exponents are exact, so the result is the double nearest to a short decimal.
    if digits >= 0 { to(v * unit - 1e-9) / unit } else { to(v / unit - 1e-9) * unit }
}

/// A number as a script spells it: simple multiples of π by name.
pub(super) fn spelled(v: f64) -> String {
    if v == 0.0 {
        return "0".to_owned();
    }
    let ratio = v / PI;
    for under in 1..=12 {
        let over = ratio * f64::from(under);
        if (over - over.round()).abs() < 1e-12 * over.abs().max(1.0)
            && over.round().abs() <= 48.0
            && over.round() != 0.0
        {
            let times = match over.round() as i64 {
                1 => "PI".to_owned(),
                -1 => "-PI".to_owned(),
                n => format!("{n}*PI"),
            };
            return if under == 1 { times } else { format!("{times}/{under}") };
        }
    }
    format!("{v}")
}

/// A number as a sentence has it: multiples of π by its letter.
pub(super) fn told(v: f64) -> String {
    spelled(v).replace("*PI", "π").replace("PI", "π")
}

impl Clip {
    pub(super) fn solid(&self) -> Result<Solid, FormFault> {
        let (solid, centre) = match *self {
            Self::Block { size, centre } => (block(size)?, centre),
            Self::Ball { radius, centre } => (ball(radius)?, centre),
            Self::Rod { radius, height, centre } => (rod(radius, height)?, centre),
        };
        if centre == Vec3::ZERO { Ok(solid) } else { shift(&solid, centre) }
    }

    pub(super) fn script(&self) -> String {
        let (word, centre) = match *self {
            Self::Block { size, centre } => (format!("block({})", list(size)), centre),
            Self::Ball { radius, centre } => (format!("ball({})", spelled(radius)), centre),
            Self::Rod { radius, height, centre } => {
                (format!("rod({}, {})", spelled(radius), spelled(height)), centre)
            }
        };
        if centre == Vec3::ZERO { word } else { format!("{word}.shift({})", list(centre)) }
    }
}

fn list(v: Vec3) -> String {
    v.array().map(spelled).join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_spelled_as_a_maker_writes_them() {
        assert_eq!(spelled(2.0 * PI), "2*PI");
        assert_eq!(spelled(PI / 3.0), "PI/3");
        assert_eq!(spelled(4.0 * PI / 3.0), "4*PI/3");
        assert_eq!(spelled(1.0), "1");
        assert_eq!(spelled(round_up(2.3456)), "2.35");
        assert_eq!(spelled(round_up(0.00123456)), "0.00124");
        assert_eq!(spelled(round_up(123456.0)), "124000");
        assert_eq!(spelled(round_near(2.0)), "2");
    }
}
