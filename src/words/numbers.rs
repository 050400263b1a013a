//! Functions of numbers, which work on fields point by point.

use super::fields::lowest;
use crate::formula::{Binary, Expr, Unary};
use crate::value::{FieldLike, Number, Whole};

/// A word for each function of one number.
fn one(f: Unary, x: Expr) -> crate::value::Value {
    lowest(Expr::unary(f, x))
}

fn two(f: Binary, a: Expr, b: Expr) -> crate::value::Value {
    lowest(Expr::binary(f, a, b))
}

words! { "numbers":
    /// Sine of an angle in radians.
    sin(
        /// Angle, radians; a number or a field.
        x: FieldLike,
    ) -> Any { one(Unary::Sin, x) }
    example { "sin(PI/6)" }
    example { "sin(X)" }
    fails { "sin(\"x\")" => "`x`" }

    /// Cosine of an angle in radians.
    cos(
        /// Angle, radians; a number or a field.
        x: FieldLike,
    ) -> Any { one(Unary::Cos, x) }
    example { "cos(PI/3)" }
    fails { "cos()" => "takes 1 argument" }

    /// Tangent of an angle in radians.
    tan(
        /// Angle, radians; a number or a field.
        x: FieldLike,
    ) -> Any { one(Unary::Tan, x) }
    example { "tan(PI/4)" }

    /// The angle in radians, from -π/2 to π/2, whose sine is x.
    asin(
        /// From -1 to 1; a number or a field.
        x: FieldLike,
    ) -> Any { one(Unary::Asin, x) }
    example { "asin(0.5)" }

    /// The angle in radians, from 0 to π, whose cosine is x.
    acos(
        /// From -1 to 1; a number or a field.
        x: FieldLike,
    ) -> Any { one(Unary::Acos, x) }
    example { "acos(0.5)" }

    /// The angle in radians, from -π/2 to π/2, whose tangent is x.
    atan(
        /// A number or a field.
        x: FieldLike,
    ) -> Any { one(Unary::Atan, x) }
    example { "atan(1)" }

    /// The angle in radians, from -π to π, of the point (x, y), seen from the x axis.
    atan2(
        /// Second coordinate; a number or a field.
        y: FieldLike,
        /// First coordinate; a number or a field.
        x: FieldLike,
    ) -> Any { two(Binary::Atan2, y, x) }
    example { "atan2(1, 1)" }
    example { "atan2(Y, X)" }

    /// Hyperbolic sine.
    sinh(
        /// A number or a field.
        x: FieldLike,
    ) -> Any { one(Unary::Sinh, x) }
    example { "sinh(1)" }

    /// Hyperbolic cosine.
    cosh(
        /// A number or a field.
        x: FieldLike,
    ) -> Any { one(Unary::Cosh, x) }
    example { "cosh(1)" }

    /// Hyperbolic tangent.
    tanh(
        /// A number or a field.
        x: FieldLike,
    ) -> Any { one(Unary::Tanh, x) }
    example { "tanh(1)" }

    /// The number whose hyperbolic sine is x.
    asinh(
        /// A number or a field.
        x: FieldLike,
    ) -> Any { one(Unary::Asinh, x) }
    example { "asinh(1)" }

    /// The number, 0 or more, whose hyperbolic cosine is x.
    acosh(
        /// 1 or more; a number or a field.
        x: FieldLike,
    ) -> Any { one(Unary::Acosh, x) }
    example { "acosh(2)" }

    /// The number whose hyperbolic tangent is x.
    atanh(
        /// Between -1 and 1; a number or a field.
        x: FieldLike,
    ) -> Any { one(Unary::Atanh, x) }
    example { "atanh(0.5)" }

    /// Square root.
    sqrt(
        /// 0 or more; a number or a field.
        x: FieldLike,
    ) -> Any { one(Unary::Sqrt, x) }
    example { "sqrt(2)" }

    /// Cube root, negative for a negative number.
    cbrt(
        /// A number or a field.
        x: FieldLike,
    ) -> Any { one(Unary::Cbrt, x) }
    example { "cbrt(-27)" }

    /// E to the power x.
    exp(
        /// A number or a field.
        x: FieldLike,
    ) -> Any { one(Unary::Exp, x) }
    example { "exp(1)" }

    /// Natural logarithm.
    ln(
        /// More than 0; a number or a field.
        x: FieldLike,
    ) -> Any { one(Unary::Ln, x) }
    example { "ln(E)" }

    /// The number without its sign.
    abs(
        /// A number or a field.
        x: FieldLike,
    ) -> Any { one(Unary::Abs, x) }
    example { "abs(-3)" }

    /// -1, 0 or 1: the sign of a number.
    sign(
        /// A number or a field.
        x: FieldLike,
    ) -> Any { one(Unary::Sign, x) }
    example { "sign(-3)" }

    /// The greatest whole number not above x.
    floor(
        /// A number or a field.
        x: FieldLike,
    ) -> Any { one(Unary::Floor, x) }
    example { "floor(2.7)" }

    /// The least whole number not below x.
    ceil(
        /// A number or a field.
        x: FieldLike,
    ) -> Any { one(Unary::Ceil, x) }
    example { "ceil(2.2)" }

    /// The nearest whole number; halves go away from zero.
    round(
        /// A number or a field.
        x: FieldLike,
    ) -> Any { one(Unary::Round, x) }
    example { "round(2.5)" }

    /// The lesser of two.
    min(
        /// A number or a field.
        a: FieldLike,
        /// A number or a field.
        b: FieldLike,
    ) -> Any { two(Binary::Min, a, b) }
    example { "min(2, 3)" }
    example { "min(X, Y)" }

    /// The greater of two.
    max(
        /// A number or a field.
        a: FieldLike,
        /// A number or a field.
        b: FieldLike,
    ) -> Any { two(Binary::Max, a, b) }
    example { "max(2, 3)" }

    /// The number, or the bound it passes.
    clamp(
        /// A number or a field.
        x: FieldLike,
        /// What it does not go below.
        low: FieldLike,
        /// What it does not go above.
        high: FieldLike,
    ) -> Any { two(Binary::Min, Expr::binary(Binary::Max, x, low), high) }
    example { "clamp(7, 0, 5)" }

    /// The length of (a, b): the root of the sum of their squares.
    hypot(
        /// A number or a field.
        a: FieldLike,
        /// A number or a field.
        b: FieldLike,
    ) -> Any { lowest((a.clone() * a + b.clone() * b).sqrt()) }
    example { "hypot(3, 4)" }

    /// From a to b: a where the portion is 0, b where it is 1.
    mix(
        /// A number or a field.
        a: FieldLike,
        /// A number or a field.
        b: FieldLike,
        /// How far from a to b.
        portion: FieldLike,
    ) -> Any { lowest(a.clone() + (b - a) * portion) }
    example { "mix(10, 20, 0.25)" }

    /// An angle in degrees as radians.
    radians(
        /// Angle, degrees.
        degrees: Number,
    ) -> Number { degrees.to_radians() }
    example { "radians(180)" }

    /// An angle in radians as degrees.
    degrees(
        /// Angle, radians.
        radians: Number,
    ) -> Number { radians.to_degrees() }
    example { "degrees(PI)" }

    /// A number as a whole number, without what stands after the point: for places in lists and counts.
    whole(
        /// The number.
        x: Number,
    ) -> Number { whole(x) }
    example { "whole(2.7)" }
    fails { "whole(1e300)" => "too large" }

    /// How often b goes into a: a whole number, rounded down.
    quotient(
        /// What is divided.
        a: Whole,
        /// What it is divided by; not 0.
        b: Whole,
    ) -> Number { quotient(a, b) }
    example { "quotient(7, 2)" }
    fails { "quotient(1, 0)" => "`b`" }
}

fn whole(x: f64) -> Result<i64, crate::value::Fault> {
    let cut = x.trunc();
    if cut.abs() < 9e15 {
        #[allow(clippy::cast_possible_truncation)]
        Ok(cut as i64)
    } else {
        Err(crate::value::Fault::new("whole: `x` is too large for a whole number"))
    }
}

fn quotient(a: i64, b: i64) -> Result<i64, crate::value::Fault> {
    let exact = a.checked_div_euclid(b).map(|q| if b < 0 && a.rem_euclid(b) != 0 { q - 1 } else { q });
    exact.ok_or_else(|| crate::value::Fault::new("quotient: `b` must not be 0"))
}
