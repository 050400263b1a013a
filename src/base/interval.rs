//! Closed intervals of the real line, with arithmetic that never loses a value (rounded outward).
//!
//! A function of intervals gives a range that holds the function's value at every choice of numbers from them
//! where it is defined, and also every value that the functions of this crate compute for them in floating
//! point: results are widened by more than the errors of those functions. Where nothing is defined, the
//! answer is [`Interval::ALL`]. An end that is zero has its sign: a lower end of +0 promises that no member is
//! -0, whose reciprocal lies at the other end of the line. Source: Moore, Kearfott and Cloud, Introduction to Interval Analysis (2009).

use std::f64::consts::{FRAC_PI_2, PI, TAU};
use std::ops::{Add, Div, Mul, Neg, Sub};

/// All numbers from `lo` to `hi`; `ALL` where nothing is known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Interval {
    /// Least value.
    pub lo: f64,
    /// Greatest value.
    pub hi: f64,
}

/// Relative widening of elementary functions: more than any of them errs, 16 half units in the last place.
const FUNCTION: f64 = 8.0 * f64::EPSILON;

/// Angles nearer than this (relative to their size) to a peak or pole count as on it.
const NEAR: f64 = 1e-9;

/// Angles beyond this are not told apart.
const FAR: f64 = 1e8;

/// The lesser, of two zeros the negative one.
fn lesser(a: f64, b: f64) -> f64 {
    if a < b || (a == b && a.is_sign_negative()) { a } else { b }
}

/// The greater, of two zeros the positive one.
fn greater(a: f64, b: f64) -> f64 {
    if a > b || (a == b && a.is_sign_positive()) { a } else { b }
}

/// The lower end of a range whose lower ends these are: the greater, of two zeros the negative one.
fn higher_lo(a: f64, b: f64) -> f64 {
    if a == b { lesser(a, b) } else { a.max(b) }
}

/// The upper end of a range whose upper ends these are: the lesser, of two zeros the positive one.
fn lower_hi(a: f64, b: f64) -> f64 {
    if a == b { greater(a, b) } else { a.min(b) }
}

impl Interval {
    /// The whole line.
    pub const ALL: Self = Self { lo: f64::NEG_INFINITY, hi: f64::INFINITY };

    /// From `lo` to `hi`; the caller keeps `lo <= hi`.
    pub const fn new(lo: f64, hi: f64) -> Self {
        Self { lo, hi }
    }

    /// One number.
    pub const fn point(x: f64) -> Self {
        Self { lo: x, hi: x }
    }

    /// True when `x` lies in the interval.
    pub fn holds(self, x: f64) -> bool {
        self.lo <= x && x <= self.hi
    }

    /// Length; infinite for an unbounded interval.
    pub fn width(self) -> f64 {
        self.hi - self.lo
    }

    /// The middle of a bounded interval.
    pub fn middle(self) -> f64 {
        0.5 * self.lo + 0.5 * self.hi
    }

    /// True when both ends are finite.
    pub fn is_finite(self) -> bool {
        self.lo.is_finite() && self.hi.is_finite()
    }

    /// The least interval that holds both.
    pub fn join(self, o: Self) -> Self {
        Self::new(lesser(self.lo, o.lo), greater(self.hi, o.hi))
    }

    /// What both share; `None` when that is nothing.
    pub fn meet(self, o: Self) -> Option<Self> {
        let both = Self::new(higher_lo(self.lo, o.lo), lower_hi(self.hi, o.hi));
        (both.lo <= both.hi).then_some(both)
    }

    /// The greatest distance of a member from zero.
    pub fn greatest(self) -> f64 {
        self.lo.abs().max(self.hi.abs())
    }

    /// Widened by `relative` times each end, and by the least number; ends that are NaN become infinite.
    fn widened(self, relative: f64) -> Self {
        let lo = self.lo - self.lo.abs() * relative - f64::MIN_POSITIVE;
        let hi = self.hi + self.hi.abs() * relative + f64::MIN_POSITIVE;
        Self::new(
            if lo.is_nan() { f64::NEG_INFINITY } else { lo },
            if hi.is_nan() { f64::INFINITY } else { hi },
        )
    }

    /// No less than `least`.
    fn at_least(self, least: f64) -> Self {
        let raised = |x: f64| if x < least { least } else { x };
        Self::new(raised(self.lo), raised(self.hi))
    }

    /// Between two numbers that no value passes.
    fn within(self, lo: f64, hi: f64) -> Self {
        Self::new(self.lo.clamp(lo, hi), self.hi.clamp(lo, hi))
    }

    /// A rising function, at both ends.
    fn rising(self, f: impl Fn(f64) -> f64) -> Self {
        Self::new(f(self.lo), f(self.hi)).widened(FUNCTION)
    }

    /// The lesser of a member of each.
    pub fn min(self, o: Self) -> Self {
        Self::new(lesser(self.lo, o.lo), lower_hi(self.hi, o.hi))
    }

    /// The greater of a member of each.
    pub fn max(self, o: Self) -> Self {
        Self::new(higher_lo(self.lo, o.lo), greater(self.hi, o.hi))
    }

    /// Distance from zero.
    pub fn abs(self) -> Self {
        if self.lo >= 0.0 {
            Self::new(self.lo.abs(), self.hi)
        } else if self.hi <= 0.0 {
            Self::new(self.hi.abs(), -self.lo)
        } else {
            Self::new(0.0, self.greatest())
        }
    }

    /// -1, 0 or 1.
    pub fn sign(self) -> Self {
        let sign = |x: f64| if x == 0.0 { x } else { x.signum() };
        Self::new(sign(self.lo), sign(self.hi))
    }

    /// Next integer downward.
    pub fn floor(self) -> Self {
        Self::new(self.lo.floor(), self.hi.floor())
    }

    /// Next integer upward.
    pub fn ceil(self) -> Self {
        Self::new(self.lo.ceil(), self.hi.ceil())
    }

    /// Nearest integer, halves away from zero.
    pub fn round(self) -> Self {
        Self::new(self.lo.round(), self.hi.round())
    }

    /// Square root.
    pub fn sqrt(self) -> Self {
        match self.meet(Self::new(0.0, f64::INFINITY)) {
            Some(x) => x.rising(f64::sqrt).at_least(0f64.copysign(x.lo)),
            None => Self::ALL,
        }
    }

    /// Cube root.
    pub fn cbrt(self) -> Self {
        self.rising(libm::cbrt)
    }

    /// e^x.
    pub fn exp(self) -> Self {
        self.rising(libm::exp).at_least(0.0)
    }

    /// Natural logarithm.
    pub fn ln(self) -> Self {
        match self.meet(Self::new(0.0, f64::INFINITY)) {
            Some(x) => x.rising(libm::log),
            None => Self::ALL,
        }
    }

    /// True when a + k·step lies in the interval for some whole k, or nearly so.
    fn meets(self, a: f64, step: f64) -> bool {
        if !self.is_finite() || self.greatest() > FAR {
            return true;
        }
        let slack = NEAR * (1.0 + self.greatest());
        ((self.lo - slack - a) / step).ceil() <= ((self.hi + slack - a) / step).floor()
    }

    /// Sine.
    pub fn sin(self) -> Self {
        let ends = if self.is_finite() { [self.lo, self.hi].map(libm::sin) } else { [-1.0, 1.0] };
        self.wave(ends, FRAC_PI_2)
    }

    /// Cosine.
    pub fn cos(self) -> Self {
        let ends = if self.is_finite() { [self.lo, self.hi].map(libm::cos) } else { [-1.0, 1.0] };
        self.wave(ends, 0.0)
    }

    /// A wave of period 2 pi with the given values at the ends and a peak at `peak`.
    fn wave(self, ends: [f64; 2], peak: f64) -> Self {
        let low = if self.meets(peak + PI, TAU) { -1.0 } else { ends[0].min(ends[1]) };
        let high = if self.meets(peak, TAU) { 1.0 } else { ends[0].max(ends[1]) };
        Self::new(low, high).widened(FUNCTION).within(-1.0, 1.0)
    }

    /// Tangent; everything where a pole may lie in the interval.
    pub fn tan(self) -> Self {
        if self.meets(FRAC_PI_2, PI) { Self::ALL } else { self.rising(libm::tan) }
    }

    /// Arc sine.
    pub fn asin(self) -> Self {
        self.meet(Self::new(-1.0, 1.0)).map_or(Self::ALL, |x| x.rising(libm::asin))
    }

    /// Arc cosine.
    pub fn acos(self) -> Self {
        match self.meet(Self::new(-1.0, 1.0)) {
            Some(x) => Self::new(libm::acos(x.hi), libm::acos(x.lo)).widened(FUNCTION).at_least(0.0),
            None => Self::ALL,
        }
    }

    /// Arc tangent.
    pub fn atan(self) -> Self {
        self.rising(libm::atan)
    }

    /// Hyperbolic sine.
    pub fn sinh(self) -> Self {
        self.rising(libm::sinh)
    }

    /// Hyperbolic cosine.
    pub fn cosh(self) -> Self {
        self.abs().rising(libm::cosh)
    }

    /// Hyperbolic tangent.
    pub fn tanh(self) -> Self {
        self.rising(libm::tanh).within(-1.0, 1.0)
    }

    /// Inverse hyperbolic sine.
    pub fn asinh(self) -> Self {
        self.rising(libm::asinh)
    }

    /// Inverse hyperbolic cosine.
    pub fn acosh(self) -> Self {
        match self.meet(Self::new(1.0, f64::INFINITY)) {
            Some(x) => x.rising(libm::acosh).at_least(0.0),
            None => Self::ALL,
        }
    }

    /// Inverse hyperbolic tangent.
    pub fn atanh(self) -> Self {
        self.meet(Self::new(-1.0, 1.0)).map_or(Self::ALL, |x| x.rising(libm::atanh))
    }

    /// A whole power, of negative members too; as exact as |n| products.
    pub fn whole_power(self, n: i32) -> Self {
        let power = |x: f64| (0..n.unsigned_abs()).fold(1.0, |p, _| p * x);
        let x = if n % 2 == 0 { self.abs() } else { self };
        let (lo, hi) = (power(x.lo), power(x.hi));
        let mut up = Self::new(lo, hi).widened(f64::from(n.unsigned_abs()) * f64::EPSILON);
        if x.lo >= 0.0 {
            up = up.at_least(0f64.copysign(x.lo));
        }
        if x.hi <= 0.0 && n % 2 != 0 {
            up.hi = lower_hi(up.hi, 0f64.copysign(x.hi));
        }
        if n < 0 { Self::point(1.0) / up } else { up }
    }

    /// A power. Of a negative base only whole powers are defined.
    pub fn pow(self, exponent: Self) -> Self {
        let n = exponent.lo;
        if exponent.lo == exponent.hi && n.fract() == 0.0 && n.is_finite() {
            return self.to_whole(n);
        }
        let Some(base) = self.meet(Self::new(0.0, f64::INFINITY)) else {
            return Self::ALL;
        };
        // Members of a negative base are defined at whole exponents within the range.
        if self.lo.is_sign_negative() && exponent.hi.floor() >= exponent.lo {
            return Self::ALL;
        }
        base.corners(exponent, libm::pow).widened(FUNCTION).at_least(0.0)
    }

    /// A whole power with a large exponent allowed.
    fn to_whole(self, n: f64) -> Self {
        if n.abs() <= 64.0 {
            return self.whole_power(n as i32);
        }
        let even = n % 2.0 == 0.0;
        let x = if even { self.abs() } else { self };
        if n < 0.0 && x.holds(0.0) && x.lo.is_sign_negative() {
            return Self::ALL;
        }
        let up = x.corners(Self::point(n), libm::pow).widened(FUNCTION);
        if x.lo >= 0.0 { up.at_least(0.0) } else { up }
    }

    /// The range of a function over four pairs of ends; whole line if one of them is undefined.
    fn corners(self, o: Self, f: impl Fn(f64, f64) -> f64) -> Self {
        let all = [f(self.lo, o.lo), f(self.lo, o.hi), f(self.hi, o.lo), f(self.hi, o.hi)];
        if all.iter().any(|x| x.is_nan()) {
            return Self::ALL;
        }
        let [first, rest @ ..] = all;
        rest.iter().fold(Self::point(first), |range, x| range.join(Self::point(*x)))
    }

    /// The angle of the point (x, y), `self` being y. The whole circle where the box of points touches the
    /// half line of negative x, on which the angle leaps.
    pub fn atan2(self, x: Self) -> Self {
        let across = self.lo <= 0.0 && self.hi >= 0.0;
        let range = if across && x.lo <= 0.0 { Self::new(-PI, PI) } else { self.corners(x, libm::atan2) };
        range.widened(FUNCTION)
    }

    /// a - b·floor(a/b), `self` being a.
    pub fn modulo(self, b: Self) -> Self {
        if b.holds(0.0) || !self.is_finite() || !b.is_finite() {
            return Self::ALL;
        }
        let turns = (self / b).floor();
        let slack = 4.0 * f64::EPSILON * (self.greatest() + b.greatest());
        if turns.lo == turns.hi {
            let v = self - b * turns;
            return Self::new(v.lo - slack, v.hi + slack);
        }
        if b.lo > 0.0 { Self::new(-slack, b.hi + slack) } else { Self::new(b.lo - slack, slack) }
    }
}

/// The next number down, if the sum or product was rounded.
fn down(x: f64, exact: bool) -> f64 {
    match exact {
        _ if x.is_nan() => f64::NEG_INFINITY,
        true => x,
        false => x.next_down(),
    }
}

/// The next number up, if the sum or product was rounded.
fn up(x: f64, exact: bool) -> f64 {
    match exact {
        _ if x.is_nan() => f64::INFINITY,
        true => x,
        false => x.next_up(),
    }
}

impl Neg for Interval {
    type Output = Self;
    fn neg(self) -> Self {
        Self::new(-self.hi, -self.lo)
    }
}

impl Add for Interval {
    type Output = Self;
    fn add(self, o: Self) -> Self {
        let exact = |a: f64, b: f64| a == 0.0 || b == 0.0;
        let sum =
            Self::new(down(self.lo + o.lo, exact(self.lo, o.lo)), up(self.hi + o.hi, exact(self.hi, o.hi)));
        if self.lo >= 0.0 && o.lo >= 0.0 { sum.at_least(0.0) } else { sum }
    }
}

impl Sub for Interval {
    type Output = Self;
    fn sub(self, o: Self) -> Self {
        self + -o
    }
}

impl Mul for Interval {
    type Output = Self;
    fn mul(self, o: Self) -> Self {
        let exact = |a: f64, b: f64| a == 0.0 || b == 0.0 || a.abs() == 1.0 || b.abs() == 1.0;
        let product = |a: f64, b: f64| if (a * b).is_nan() { 0.0 } else { a * b };
        let (mut lo, mut hi) = (f64::INFINITY, f64::NEG_INFINITY);
        for (a, b) in [(self.lo, o.lo), (self.lo, o.hi), (self.hi, o.lo), (self.hi, o.hi)] {
            let p = product(a, b);
            lo = lesser(lo, down(p, exact(a, b)));
            hi = greater(hi, up(p, exact(a, b)));
        }
        let positive = (self.lo >= 0.0 && o.lo >= 0.0) || (self.hi <= 0.0 && o.hi <= 0.0);
        let all = Self::new(lo, hi);
        if positive { all.at_least(0.0) } else { all }
    }
}

impl Div for Interval {
    type Output = Self;
    fn div(self, o: Self) -> Self {
        if o.lo > 0.0 || o.hi < 0.0 {
            let quotient = self.corners(o, |a, b| a / b);
            let zero = |x: f64| x == 0.0;
            let wide = Self::new(
                down(quotient.lo, zero(self.lo) && zero(quotient.lo)),
                up(quotient.hi, zero(self.hi) && zero(quotient.hi)),
            );
            return if self.lo >= 0.0 && o.lo > 0.0 { wide.at_least(0.0) } else { wide };
        }
        // A divisor that touches zero from one side, a dividend clear of it.
        let above = o.lo == 0.0 && o.lo.is_sign_positive() && o.hi > 0.0;
        let below = o.hi == 0.0 && o.hi.is_sign_negative() && o.lo < 0.0;
        match (self.lo > 0.0, self.hi < 0.0) {
            (true, _) if above => Self::new((self.lo / o.hi).next_down(), f64::INFINITY),
            (_, true) if above => Self::new(f64::NEG_INFINITY, (self.hi / o.hi).next_up()),
            (true, _) if below => Self::new(f64::NEG_INFINITY, (self.lo / o.lo).next_up()),
            (_, true) if below => Self::new((self.hi / o.lo).next_down(), f64::INFINITY),
            _ => Self::ALL,
        }
    }
}

impl Add<f64> for Interval {
    type Output = Self;
    fn add(self, o: f64) -> Self {
        self + Self::point(o)
    }
}

impl Mul<f64> for Interval {
    type Output = Self;
    fn mul(self, o: f64) -> Self {
        self * Self::point(o)
    }
}

#[cfg(test)]
mod tests {
    use super::Interval;

    fn i(lo: f64, hi: f64) -> Interval {
        Interval::new(lo, hi)
    }

    fn near(got: Interval, lo: f64, hi: f64) {
        assert!(got.lo <= lo && hi <= got.hi, "{got:?} does not hold {lo}..{hi}");
        assert!(got.lo > lo - 1e-12 && got.hi < hi + 1e-12, "{got:?} is wide of {lo}..{hi}");
    }

    #[test]
    fn arithmetic_is_tight_and_outward() {
        near(i(1.0, 2.0) + i(-3.0, 0.1), -2.0, 2.1);
        near(i(1.0, 2.0) * i(-3.0, 0.1), -6.0, 0.2);
        near(i(-1.0, 2.0) / i(0.5, 4.0), -2.0, 4.0);
        near(i(-2.0, 1.0).whole_power(2), 0.0, 4.0);
        near(i(-2.0, 1.0).whole_power(3), -8.0, 1.0);
        near(i(2.0, 4.0).whole_power(-2), 0.0625, 0.25);
        near(i(0.25, 4.0).pow(i(0.5, 0.5)), 0.5, 2.0);
        near(i(0.5, 2.0).pow(i(-1.0, 2.0)), 0.25, 4.0);
        assert_eq!(i(-1.0, 1.0).abs(), i(0.0, 1.0));
    }

    #[test]
    fn waves_turn_at_their_peaks() {
        near(i(0.0, 1.0).sin(), 0.0, libm::sin(1.0));
        near(i(1.0, 2.0).sin(), libm::sin(1.0), 1.0);
        near(i(4.0, 5.0).sin(), -1.0, libm::sin(4.0));
        near(i(-1.0, 1.0).cos(), libm::cos(1.0), 1.0);
        near(i(100.0, 107.0).cos(), -1.0, 1.0);
        near(i(-1.0, 1.0).tan(), -libm::tan(1.0), libm::tan(1.0));
        assert_eq!(i(1.0, 2.0).tan(), Interval::ALL);
    }

    #[test]
    fn divisors_that_touch_zero_keep_their_side() {
        assert!((i(1.0, 2.0) / i(0.0, 4.0)).lo > 0.2499);
        assert_eq!(i(1.0, 2.0) / i(-0.0, 4.0), Interval::ALL);
        assert_eq!(i(1.0, 2.0) / i(-1.0, 4.0), Interval::ALL);
    }

    #[test]
    fn angles_leap_on_the_negative_axis() {
        let [low, high] = [libm::atan2(1.0, 1.0), libm::atan2(1.0, -1.0)];
        near(i(1.0, 2.0).atan2(i(-1.0, 1.0)), low, high);
        assert!(i(-1.0, 1.0).atan2(i(-2.0, -1.0)).width() > 6.2);
        near(i(-1.0, 1.0).atan2(i(1.0, 2.0)), -low, low);
    }

    #[test]
    fn remainders_wrap() {
        near(i(7.0, 7.5).modulo(i(2.0, 2.0)), 1.0, 1.5);
        near(i(1.5, 2.5).modulo(i(2.0, 2.0)), 0.0, 2.0);
        near(i(-0.5, -0.25).modulo(i(2.0, 2.0)), 1.5, 1.75);
    }
}
