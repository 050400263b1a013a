//! Readings of texts that a hasty reader gets wrong, against values worked out by hand.

use super::{ReadFault, read};
use crate::formula::{Kind, Reading, Relation, Tape};

/// A place where no two of the terms below agree by chance.
pub(super) const AT: [f64; 3] = [0.3, -0.7, 1.1];

pub(super) fn reading(text: &str) -> Reading {
    read(text).unwrap_or_else(|f| panic!("{text}: {f}"))
}

pub(super) fn refused(text: &str) -> ReadFault {
    match read(text) {
        Err(f) => f,
        Ok(r) => panic!("{text}: read as {}", r.normal),
    }
}

/// The value of a field at the place; every name must have a value.
fn value(text: &str) -> f64 {
    let r = reading(text);
    assert!(r.free.is_empty(), "{text}: {:?}", r.free);
    let Kind::Field { value, .. } = r.kind else { panic!("{text}: no field") };
    Tape::new(&value).unwrap().value(AT.into())
}

pub(super) fn said(text: &str, what: &str) {
    let r = reading(text);
    assert!(r.remarks.iter().any(|m| m.what.contains(what)), "{text}: {:?}", r.remarks);
}

pub(super) fn all_are(cases: &[(&str, f64)]) {
    for (text, want) in cases {
        let got = value(text);
        assert!((got - want).abs() < 1e-12, "{text}: {got} for {want}");
    }
}

/// A point of a curve.
fn point(text: &str, t: f64) -> Vec<f64> {
    let r = reading(text);
    assert!(matches!(r.kind, Kind::Curve { .. }), "{text}: no curve");
    r.at(&[t], &[]).unwrap()
}

pub(super) fn points_are(text: &str, t: f64, want: [f64; 3]) {
    let got = point(text, t);
    assert!(got.iter().zip(want).all(|(a, b)| (a - b).abs() < 1e-12), "{text}: {got:?} for {want:?}");
}

#[test]
fn the_power_of_a_function_ends_before_its_argument() {
    let [x, y, z] = AT;
    let s = |k: f64| (k * x).sin().powi(2);
    all_are(&[
        (r"\sin^22x+\cos^23y=z", s(2.0) + (3.0 * y).cos().powi(2) - z),
        ("sin²2x = z", s(2.0) - z),
        ("cos³2x sin y", (2.0 * x).cos().powi(3) * y.sin()),
        ("sin^2 2x", s(2.0)),
        (r"\sin^2 2x", s(2.0)),
        (r"\sin^{2}2x", s(2.0)),
        ("2 sin^2 3x sin y", 2.0 * s(3.0) * y.sin()),
        ("sin^-1 2x", (2.0 * x).asin()),
        ("x²3y", x * x * 3.0 * y),
        ("sin^10 x", x.sin().powi(10)),
    ]);
    points_are(r"x=\cos^32t, y=t, z=1", 0.4, [0.8f64.cos().powi(3), 0.4, 1.0]);
    said(r"\sin^10 x", "power 10");
    said("sin^22x + y = z", "power 22");
}

#[test]
fn what_is_not_so_is_the_other_side() {
    let [x, y, _] = AT;
    all_are(&[
        ("not (x^2 + y^2 < 1)", 1.0 - x * x - y * y),
        ("not x^2 + y^2 < 1", 1.0 - x * x - y * y),
        ("not (x < 1 and y < 1)", (1.0 - x).min(1.0 - y)),
        ("x^2 + y^2 < 4 and not x < 0", (x * x + y * y - 4.0).max(-x)),
    ]);
    let Kind::Field { relation, .. } = reading("not x^2 + y^2 < 1").kind else { panic!("no field") };
    assert_eq!(relation, Relation::Greater);
    said("not x^2 + y^2 < 1", "not");
}

#[test]
fn components_of_a_vector_take_values() {
    let [x, y, z] = AT;
    let length = |x: f64, y: f64, z: f64| (x * x + y * y + z * z).sqrt();
    let wrap = |v: f64| v.rem_euclid(2.0) - 1.0;
    let one = "float map(vec3 p) { p.xz = mod(p.xz, 2.0) - 1.0; return length(p) - 0.5; }";
    let two = "float map(vec3 p) { p.x = abs(p.x); return length(p - vec3(1.0, 2.0, 3.0)); }";
    let three = "float map(vec3 p) { p.xy = vec2(p.y, p.x); return length(p - vec3(1.0, 2.0, 3.0)); }";
    let four = "float map(vec3 pos) { pos.x = abs(pos.x - 1.0);\n pos.y += 2.0;\n return length(pos); }";
    let five = "float sd(vec3 p) { p.x += 1.0; return length(p) - 1.0; }\nfloat map(vec3 p) { p.y = abs(p.y) - 2.0; return sd(p); }";
    all_are(&[
        (one, length(wrap(x), y, wrap(z)) - 0.5),
        (two, length(x - 1.0, y - 2.0, z - 3.0)),
        (three, length(y - 1.0, x - 2.0, z - 3.0)),
        (four, length(x - 1.0, y + 2.0, z)),
        (five, length(x + 1.0, y.abs() - 2.0, z) - 1.0),
    ]);
    for text in [
        "float map(vec3 p) { p[0] = abs(p[0]); return length(p) - 0.5; }",
        "float map(vec3 p) { p.xx = vec2(1.0, 2.0); return length(p) - 0.5; }",
        "float map(vec3 p) { p.xy = vec3(1.0, 2.0, 3.0); return length(p) - 0.5; }",
    ] {
        refused(text);
    }
}

#[test]
fn an_unknown_name_before_a_formula_stays() {
    for (text, name, near) in [
        ("cosine x = z", "cosine", "cos?"),
        ("seno x", "seno", "sin?"),
        ("arcsn x + y", "arcsn", "arcsin?"),
        ("foo x + y", "foo", "foo"),
        ("amp sin x = z", "amp", "amp"),
    ] {
        assert_eq!(reading(text).free, [name], "{text}");
        said(text, near);
    }
    let [x, y, z] = AT;
    all_are(&[
        ("Surface: x^2+y=z", x * x + y - z),
        ("The surface x^2+y^2=1", x * x + y * y - 1.0),
        ("Gyroid sin x cos y = z", x.sin() * y.cos() - z),
        ("consider the blob x^2+y=z", x * x + y - z),
    ]);
}

#[test]
fn a_digit_apart_from_its_letter_is_a_lost_power() {
    let [x, y, z] = AT;
    let ball = x * x + y * y + z * z - 1.0;
    all_are(&[
        ("x 2 + y 2 + z 2 = 1", ball),
        ("( x 2 + y 2 + z 2 − 1 ) 3 − x 2 z 3 = 0", ball.powi(3) - x * x * z.powi(3)),
        ("x^2 + y^2 = 2 x", x * x + y * y - 2.0 * x),
        ("sin 2 x + y", (2.0 * x).sin() + y),
    ]);
    said("x 2 + y 2 + z 2 = 1", "x 2 read as x^2");
}

#[test]
fn two_slashes_divide_or_comment_and_say_so() {
    let [x, y, z] = AT;
    all_are(&[
        ("x//2 + y - z", (x / 2.0).floor() + y - z),
        ("x + y // the surface", x + y),
        ("x + y // 2nd try", x + y),
    ]);
    said("x//2 + y - z", "rounded down");
    said("x + y // the surface", "comment");
}

#[test]
fn unit_vectors_end_an_argument() {
    let t: f64 = 0.4;
    points_are("r(t) = cos t i + sin t j + t k", t, [t.cos(), t.sin(), t]);
    let tex = r"\mathbf{r}(t) = \cos 2t\,\mathbf{i} + \sin 2t\,\mathbf{j} + t\,\mathbf{k}";
    points_are(tex, t, [(2.0 * t).cos(), (2.0 * t).sin(), t]);
}

#[test]
fn lost_and_doubtful_powers_are_said() {
    let [x, y, _] = AT;
    all_are(&[
        ("tan-1 x + y", x.atan() + y),
        ("sin-1(x)", x.asin()),
        ("sinh-1 x", x.asinh()),
        ("sin x-1", x.sin() - 1.0),
        ("x^1/2 + y", x / 2.0 + y),
        ("√x²+y²", x.abs() + y * y),
        ("def f(x, y, z): return -x % 3 + y", 2.7 + y),
        ("def f(x, y, z): return y - x % 3", y - x),
    ]);
    said("tan-1 x", "inverse");
    said("x^1/2 + y", "(a^1)/b");
    said("√x²+y²", "√ takes only");
    assert!(reading("x^2/4 + y^2/9 = z").remarks.is_empty());
}

#[test]
fn equations_beside_the_shape_are_not_lost() {
    for text in ["r = cos 2θ, x + y = z", "r = cos(2θ), z = 0"] {
        let f = refused(text);
        assert!(f.what.contains("two formulas"), "{text}: {}", f.what);
    }
    said("a = 3, x + y = z", "does not use");
    assert!(reading("a = 3, a x + y = z").remarks.is_empty());
}

#[test]
fn round_coordinates_are_such() {
    let [x, y, z] = AT;
    let ball = (x * x + y * y + z * z).sqrt();
    all_are(&[
        ("V(r,θ) = r cos θ", z - x),
        ("f(r, θ, z) = r cos θ - z", x - z),
        ("r = 2", ball - 2.0),
        (r"\rho = 2", ball - 2.0),
        ("r = a, a = 2", ball - 2.0),
        ("x^2 + y^2 = r^2, r = 2", x * x + y * y - 4.0),
    ]);
    said("r = 2", "distance from the origin");
    let t: f64 = 0.4;
    let r = 2.0 + (3.0 * t).cos();
    let want = [r * (2.0 * t).cos(), r * (2.0 * t).sin(), (3.0 * t).sin()];
    points_are("r = 2 + cos 3t, θ = 2t, z = sin 3t", t, want);
}

#[test]
fn numbers_in_other_writings() {
    let [x, y, _] = AT;
    all_are(&[("2½x + y", 2.5 * x + y), ("Math.SQRT2*x", 2f64.sqrt() * x), ("½x + y", 0.5 * x + y)]);
}

#[test]
fn vectors_in_angles_and_captions_in_brackets() {
    let [x, y, z] = AT;
    let t: f64 = 0.4;
    points_are("<cos t, sin t, t>", t, [t.cos(), t.sin(), t]);
    points_are("r(t) = <cos t, sin t, t>", t, [t.cos(), t.sin(), t]);
    all_are(&[
        ("cos x + cos y + cos z = 0 (Schwarz P)", x.cos() + y.cos() + z.cos()),
        ("0 < x < y", (-x).max(x - y)),
    ]);
    said("cos x + cos y + cos z = 0 (Schwarz P)", "left out");
}

#[test]
fn a_sentence_about_a_long_name_is_short() {
    let f = refused(&format!("{}(x) + y", "qw".repeat(20_000)));
    assert!(f.what.chars().count() <= 301 && f.hint.chars().count() <= 301, "{}", f.what.len());
}

#[test]
fn conditions_on_several_coordinates_cut_a_surface() {
    let p: [f64; 3] = [0.3, -0.7, 0.4];
    let [x, y, z] = p;
    for (text, want) in [
        ("x^2 + y^2 + z^2 = 1, x + y > 0", -(x + y)),
        ("z = sin x cos y, x^2 + y^2 <= 4", x * x + y * y - 4.0),
        ("z = x y\n|x| + |y| < 2", x.abs() + y.abs() - 2.0),
        ("z = x y where 1 < x^2 + y^2 < 4", (1.0 - x * x - y * y).max(x * x + y * y - 4.0)),
        ("z = x^2 - y^2, x + y < a, z > 0, a = 3", x + y - 3.0),
        ("z = x y, x > y and x < 2y", (y - x).max(x - 2.0 * y)),
        ("z = x y, x > y, x^2 < z", (y - x).max(x * x - z)),
    ] {
        let reading = read(text).unwrap_or_else(|f| panic!("{text}: {f:?}"));
        let Kind::Field { relation: Relation::Equal, .. } = reading.kind else { panic!("{text}") };
        let found = reading.within.as_ref().unwrap_or_else(|| panic!("{text}"));
        let names = |n: &str| ["x", "y", "z"].iter().position(|m| *m == n).map(|k| p[k]);
        assert!((found.value(&names).unwrap() - want).abs() < 1e-12, "{text}: {found:?}");
        // The normal form of the condition reads back to the same.
        let again = read(&reading.condition().unwrap()).unwrap();
        assert!((again.at(&p, &[]).unwrap()[0] - want).abs() < 1e-12, "{text}");
    }
    assert!(read("x = cos t, y = sin t, z = t, x + y > 0").is_err());
}

#[test]
fn conditions_on_a_coordinate_beside_an_equation_are_its_limits() {
    let inf = f64::INFINITY;
    for (text, name, low, high) in [
        ("x^2 + y^2 + z^2 = 1, z > 0", "z", 0.0, inf),
        ("z = x^2 - y^2; 1 >= |x|", "x", -1.0, 1.0),
        ("x^2 + y^2 = z^2 where z > 0, z < 2", "z", 0.0, 2.0),
        ("x^2 + y^2 = z^2, Z ≤ 1/2", "z", -inf, 0.5),
    ] {
        let reading = read(text).unwrap();
        assert_eq!(reading.limits, [(name.to_owned(), low, high)], "{text}");
    }
    // Two inequalities are a solid.
    assert!(read("x^2 + y^2 < 1, z > 0").unwrap().limits.is_empty());
}
