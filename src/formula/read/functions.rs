//! The functions that formulas name, under all the names they go by.

use crate::formula::{Binary, Unary};

/// What a named function does.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Func {
    /// A function of one number, componentwise on vectors.
    One(Unary),
    /// A function of two numbers, componentwise on vectors.
    Two(Binary),
    /// The least or greatest of one or more.
    Least,
    /// The greatest of one or more.
    Greatest,
    /// One over another function.
    Inverse(Unary),
    /// A function of an angle in degrees.
    OfDegrees(Unary),
    /// The inverse function of one over another (asec, acsc, acot).
    OfInverse(Unary),
    /// Natural logarithm, or to a given base.
    Log,
    /// Logarithm to a fixed base.
    LogBase(f64),
    /// ln(1 + x).
    Log1p,
    /// exp(x) - 1.
    Expm1,
    /// 2^x.
    Exp2,
    /// A root: the first argument's, of the order of the second.
    Root,
    /// The arctangent of one or two numbers.
    Atan,
    /// √(a² + b² + ...).
    Hypot,
    /// Towards nought.
    Trunc,
    /// x - floor(x).
    Fract,
    /// Remainder with the sign of the first argument.
    Rem,
    /// Remainder that is never below nought.
    Above,
    /// What is left beside the nearest multiple.
    Nearest,
    /// Kept between two bounds.
    Clamp,
    /// Kept between 0 and 1.
    Saturate,
    /// Between a and b in the ratio t.
    Mix,
    /// 0 below an edge, else 1.
    Step,
    /// A smooth step between two edges.
    Smoothstep,
    /// Length of a vector.
    Length,
    /// Distance of two points.
    Distance,
    /// Scalar product.
    Dot,
    /// Vector product.
    Cross,
    /// A vector of length 1.
    Normalize,
    /// A vector of 2, 3 or 4 components.
    Vector(u8),
    /// A square matrix by columns.
    Matrix(u8),
    /// The determinant of a square matrix of at most 4 rows.
    Determinant,
    /// One of two by a condition.
    If,
    /// 1 for positive, 0 for negative.
    Heaviside,
    /// sin(x)/x.
    Sinc,
    /// sin(πx)/(πx).
    SincPi,
    /// x².
    Square,
    /// 1/√x.
    InverseRoot,
    /// Degrees from radians.
    Degrees,
    /// Radians from degrees.
    Radians,
    /// n!
    Factorial,
    /// Sum of a list, or over a range.
    Sum,
    /// Product of a list, or over a range.
    Product,
    /// A number as it is.
    Same,
    /// The ratio of a circle's length to its diameter, written as a call.
    Pi,
}

/// The plain names; everything is found in lower case.
#[rustfmt::skip]
const TABLE: &[(&str, Func)] = &[
    ("sin", Func::One(Unary::Sin)), ("sen", Func::One(Unary::Sin)), ("cos", Func::One(Unary::Cos)), ("tan", Func::One(Unary::Tan)), ("tg", Func::One(Unary::Tan)),
    ("sind", Func::OfDegrees(Unary::Sin)), ("cosd", Func::OfDegrees(Unary::Cos)), ("tand", Func::OfDegrees(Unary::Tan)),
    ("sec", Func::Inverse(Unary::Cos)), ("csc", Func::Inverse(Unary::Sin)), ("cosec", Func::Inverse(Unary::Sin)),
    ("cot", Func::Inverse(Unary::Tan)), ("ctg", Func::Inverse(Unary::Tan)), ("cotan", Func::Inverse(Unary::Tan)),
    ("sinh", Func::One(Unary::Sinh)), ("cosh", Func::One(Unary::Cosh)), ("tanh", Func::One(Unary::Tanh)),
    ("sh", Func::One(Unary::Sinh)), ("ch", Func::One(Unary::Cosh)), ("th", Func::One(Unary::Tanh)),
    ("sech", Func::Inverse(Unary::Cosh)), ("csch", Func::Inverse(Unary::Sinh)), ("coth", Func::Inverse(Unary::Tanh)),
    ("asin", Func::One(Unary::Asin)), ("arcsin", Func::One(Unary::Asin)),
    ("acos", Func::One(Unary::Acos)), ("arccos", Func::One(Unary::Acos)),
    ("atan", Func::Atan), ("arctan", Func::Atan), ("arctg", Func::Atan),
    ("asec", Func::OfInverse(Unary::Acos)), ("arcsec", Func::OfInverse(Unary::Acos)),
    ("acsc", Func::OfInverse(Unary::Asin)), ("arccsc", Func::OfInverse(Unary::Asin)),
    ("acot", Func::OfInverse(Unary::Atan)), ("arccot", Func::OfInverse(Unary::Atan)),
    ("asinh", Func::One(Unary::Asinh)), ("arcsinh", Func::One(Unary::Asinh)), ("arsinh", Func::One(Unary::Asinh)),
    ("acosh", Func::One(Unary::Acosh)), ("arccosh", Func::One(Unary::Acosh)), ("arcosh", Func::One(Unary::Acosh)),
    ("atanh", Func::One(Unary::Atanh)), ("arctanh", Func::One(Unary::Atanh)), ("artanh", Func::One(Unary::Atanh)),
    ("exp", Func::One(Unary::Exp)), ("exp2", Func::Exp2), ("ln", Func::One(Unary::Ln)), ("log", Func::Log),
    ("log2", Func::LogBase(2.0)), ("log10", Func::LogBase(10.0)), ("lg", Func::LogBase(10.0)), ("lb", Func::LogBase(2.0)),
    ("log1p", Func::Log1p), ("expm1", Func::Expm1),
    ("sqrt", Func::One(Unary::Sqrt)), ("cbrt", Func::One(Unary::Cbrt)), ("root", Func::Root), ("surd", Func::Root), ("nthroot", Func::Root),
    ("cuberoot", Func::One(Unary::Cbrt)), ("det", Func::Determinant), ("argth", Func::One(Unary::Atanh)),
    ("argsh", Func::One(Unary::Asinh)), ("argch", Func::One(Unary::Acosh)),
    ("abs", Func::One(Unary::Abs)), ("fabs", Func::One(Unary::Abs)), ("absolute", Func::One(Unary::Abs)), ("mag", Func::One(Unary::Abs)),
    ("sign", Func::One(Unary::Sign)), ("sgn", Func::One(Unary::Sign)), ("signum", Func::One(Unary::Sign)),
    ("floor", Func::One(Unary::Floor)), ("ceil", Func::One(Unary::Ceil)), ("ceiling", Func::One(Unary::Ceil)),
    ("round", Func::One(Unary::Round)), ("rint", Func::One(Unary::Round)),
    ("trunc", Func::Trunc), ("fix", Func::Trunc), ("int", Func::Trunc), ("fract", Func::Fract), ("frac", Func::Fract),
    ("mod", Func::Two(Binary::Mod)), ("rem", Func::Rem), ("fmod", Func::Rem), ("remainder", Func::Two(Binary::Mod)),
    ("rem_euclid", Func::Above), ("math.remainder", Func::Nearest), ("ieeeremainder", Func::Nearest),
    ("min", Func::Least), ("max", Func::Greatest), ("fmin", Func::Least), ("fmax", Func::Greatest),
    ("minimum", Func::Least), ("maximum", Func::Greatest),
    ("pow", Func::Two(Binary::Pow)), ("powi", Func::Two(Binary::Pow)), ("power", Func::Two(Binary::Pow)),
    ("atan2", Func::Two(Binary::Atan2)), ("arctan2", Func::Two(Binary::Atan2)), ("hypot", Func::Hypot),
    ("clamp", Func::Clamp), ("clip", Func::Clamp), ("saturate", Func::Saturate), ("mix", Func::Mix), ("lerp", Func::Mix),
    ("step", Func::Step), ("smoothstep", Func::Smoothstep),
    ("length", Func::Length), ("norm", Func::Length), ("magnitude", Func::Length), ("linalg_norm", Func::Length),
    ("distance", Func::Distance), ("dot", Func::Dot), ("inner", Func::Dot), ("cross", Func::Cross),
    ("normalize", Func::Normalize), ("normalized", Func::Normalize),
    ("vec2", Func::Vector(2)), ("vec3", Func::Vector(3)), ("vec4", Func::Vector(4)),
    ("float2", Func::Vector(2)), ("float3", Func::Vector(3)), ("float4", Func::Vector(4)),
    ("vec2f", Func::Vector(2)), ("vec3f", Func::Vector(3)), ("vec4f", Func::Vector(4)),
    ("dvec2", Func::Vector(2)), ("dvec3", Func::Vector(3)), ("dvec4", Func::Vector(4)),
    ("vector2", Func::Vector(2)), ("vector3", Func::Vector(3)),
    ("vector", Func::Vector(0)), ("array", Func::Vector(0)), ("point", Func::Vector(0)), ("vec", Func::Vector(0)),
    ("mat2", Func::Matrix(2)), ("mat3", Func::Matrix(3)),
    ("if", Func::If), ("iif", Func::If), ("where", Func::If), ("select", Func::If), ("ifelse", Func::If),
    ("heaviside", Func::Heaviside), ("sinc", Func::Sinc), ("np.sinc", Func::SincPi), ("sq", Func::Square), ("sqr", Func::Square), ("square", Func::Square),
    ("inversesqrt", Func::InverseRoot), ("rsqrt", Func::InverseRoot),
    ("degrees", Func::Degrees), ("rad2deg", Func::Degrees), ("radians", Func::Radians), ("deg2rad", Func::Radians),
    ("factorial", Func::Factorial), ("sum", Func::Sum), ("prod", Func::Product), ("product", Func::Product),
    ("float", Func::Same), ("double", Func::Same), ("real", Func::Same), ("pi", Func::Pi),
];

/// The function of that name, if there is one. Capitals do not matter; a final `f` for single precision is dropped.
pub fn function(name: &str) -> Option<Func> {
    let lower = name.to_ascii_lowercase();
    let find = |n: &str| TABLE.iter().find(|(m, _)| *m == n).map(|(_, f)| *f);
    find(&lower).or_else(|| {
        let stem = lower.strip_suffix('f').or_else(|| lower.strip_suffix('l'))?;
        matches!(stem.len(), 3..=6).then(|| find(stem)).flatten().filter(|f| suffixed(stem, *f))
    })
}

/// Whether a C library gives this function a form for single precision.
fn suffixed(stem: &str, f: Func) -> bool {
    !matches!(
        f,
        Func::Vector(_) | Func::Matrix(_) | Func::If | Func::Sum | Func::Product | Func::Same | Func::Pi
    ) && !matches!(stem, "step" | "mix" | "sign" | "int" | "mag")
}

/// The name of a function that in some modules is not what it is elsewhere.
pub fn own(module: &str, name: &str) -> Option<&'static str> {
    match (module, name) {
        ("np" | "numpy" | "jnp" | "torch" | "cp", "sinc") => Some("np.sinc"),
        ("math" | "std" | "libm", "remainder") => Some("math.remainder"),
        _ => None,
    }
}

/// Functions that may stand without brackets and be glued to what follows: `sinx`, `ln tan(v/2)`.
pub fn is_bare(name: &str) -> bool {
    matches!(
        function(name),
        Some(
            Func::One(_)
                | Func::Inverse(_)
                | Func::OfInverse(_)
                | Func::Log
                | Func::LogBase(_)
                | Func::Atan
                | Func::Log1p
                | Func::Expm1
                | Func::Fract
                | Func::Trunc
                | Func::Exp2
        )
    )
}

/// Functions of higher analysis, which are not worked out here.
#[rustfmt::skip]
const HIGHER: &[&str] = &[
    "erf", "erfc", "erfi", "Gamma", "gamma", "lgamma", "tgamma", "digamma", "zeta", "beta", "Ai", "Bi", "airy", "Ei", "Li",
    "Si", "Ci", "sn", "cn", "dn", "bessel", "besselj", "besseli", "bessely", "besselk", "legendre", "hermite", "laguerre",
    "chebyshev", "lambertw", "fresnel",
];

/// Whether a name is that of a function of higher analysis; those with an order bear it below the line, `J_0`.
pub fn is_higher(name: &str) -> bool {
    let order = name.split_once('_').map(|(stem, _)| stem);
    let family =
        order.is_some_and(|stem| matches!(stem, "J" | "Y" | "I" | "K" | "P" | "L" | "H" | "T" | "U"));
    family || HIGHER.contains(&order.unwrap_or(name))
}

/// Functions written out, or as other languages have them.
#[rustfmt::skip]
const OTHERWISE: &[(&str, &str)] = &[
    ("sine", "sin"), ("cosine", "cos"), ("tangent", "tan"), ("secant", "sec"), ("cosecant", "csc"), ("cotangent", "cot"),
    ("sinus", "sin"), ("cosinus", "cos"), ("tangens", "tan"), ("seno", "sin"), ("coseno", "cos"), ("sen", "sin"),
    ("arcsine", "arcsin"), ("arccosine", "arccos"), ("arctangent", "arctan"), ("arcsen", "arcsin"),
    ("logarithm", "log"), ("exponential", "exp"),
];

/// The function that a name is another word for, or is one letter away from.
pub fn misspelt(name: &str) -> Option<&'static str> {
    let lower = name.to_ascii_lowercase();
    let other = OTHERWISE.iter().find(|(n, _)| *n == lower).map(|(_, f)| *f);
    let near = || TABLE.iter().find(|(n, _)| n.len() > 2 && distance(&lower, n) <= 1).map(|(n, _)| *n);
    other.or_else(near)
}

/// The known function nearest in spelling, if one is near.
pub fn nearest(name: &str) -> Option<&'static str> {
    let lower = name.to_ascii_lowercase();
    if name.chars().count() < 2 {
        return None;
    }
    if let Some((_, f)) = OTHERWISE.iter().find(|(n, _)| *n == lower) {
        return Some(f);
    }
    let best = TABLE.iter().map(|(n, _)| (distance(&lower, n), *n)).min_by_key(|(d, _)| *d)?;
    (best.0 <= 1 || (best.0 == 2 && name.chars().count() >= 5)).then_some(best.1)
}

/// Number of letters to add, drop or change (Levenshtein).
fn distance(a: &str, b: &str) -> usize {
    let b: Vec<char> = b.chars().collect();
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, ca) in a.chars().take(40).enumerate() {
        let mut corner = row[0];
        row[0] = i + 1;
        for (j, cb) in b.iter().enumerate() {
            let change = corner + usize::from(ca != *cb);
            corner = row[j + 1];
            row[j + 1] = change.min(row[j] + 1).min(corner + 1);
        }
    }
    row[b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_of_all_dialects() {
        assert_eq!(function("SQRT"), Some(Func::One(Unary::Sqrt)));
        assert_eq!(function("fabsf"), Some(Func::One(Unary::Abs)));
        assert_eq!(function("powf"), Some(Func::Two(Binary::Pow)));
        assert_eq!(function("bar"), None);
        assert_eq!(function("vec3f"), Some(Func::Vector(3)));
        assert_eq!(function("sinef"), None);
    }

    #[test]
    fn no_name_twice() {
        for (i, (n, _)) in TABLE.iter().enumerate() {
            assert!(TABLE[..i].iter().all(|(m, _)| m != n), "{n} stands twice");
        }
    }

    #[test]
    fn nearest_is_near() {
        assert_eq!(nearest("sine"), Some("sin"));
        assert_eq!(nearest("florr"), Some("floor"));
        assert_eq!(nearest("blobby"), None);
    }
}
