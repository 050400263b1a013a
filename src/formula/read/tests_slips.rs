//! Slips, values in brackets, indices and doubtful signs of pasted texts, against values worked out by hand.

use super::tests::{AT, all_are, points_are, reading, refused, said};
use super::tests_habits::{limits, relation};
use crate::formula::{Kind, Relation};

#[test]
fn values_in_brackets_within_a_sentence_are_given() {
    let [x, y, _] = AT;
    let text = "x^2 + y^2 = R^2 (R = 2), 0 ≤ z ≤ H (H = 5)";
    all_are(&[(text, x * x + y * y - 4.0), ("x^2 + y^2 = a^2 (a = 2), z > 0", x * x + y * y - 4.0)]);
    assert_eq!(limits(text), [("z".to_owned(), 0.0, 5.0)]);
}

#[test]
fn indices_in_round_brackets_and_glued_ones_are_coordinates() {
    let [x, y, z] = AT;
    let ball = x * x + y * y + z * z - 1.0;
    all_are(&[
        ("x(1)^2 + x(2)^2 + x(3)^2 - 1", ball),
        ("p(1)^2 + p(2)^2 + p(3)^2 - 1", ball),
        ("x1^2 + x2^2 + x3^2 = 1", ball),
        ("x(2) + x(3) = 1", 5.0 * x - 1.0),
        ("x(1) + y(2) = 3", x + 2.0 * y - 3.0),
        ("x2 + y2 + z2 = 1", ball),
    ]);
}

#[test]
fn a_radius_and_an_angle_beside_a_height_are_parameters() {
    let want = |r: f64, t: f64| [r * t.cos(), r * t.sin(), r * r];
    let r = reading("x = r cos t, y = r sin t, z = x^2 + y^2");
    assert!(matches!(&r.kind, Kind::Surface { params, .. } if params == &["r", "t"]));
    let got = r.at(&[2.0, 0.3], &[]).unwrap();
    assert!(got.iter().zip(want(2.0, 0.3)).all(|(a, b)| (a - b).abs() < 1e-12), "{got:?}");
    let [x, y, z] = AT;
    let saddle = "z = x^2 - y^2, x = r cos θ, y = r sin θ";
    all_are(&[(saddle, z - (x * x - y * y))]);
    said(saddle, "the same without");
    let cut = reading("z = x y, x = r cos θ, y = r sin θ, 0 < r < 1");
    let got = cut.at(&[0.5, 0.3], &[]).unwrap();
    let (a, b) = (0.5 * 0.3f64.cos(), 0.5 * 0.3f64.sin());
    assert!(got.iter().zip([a, b, a * b]).all(|(a, b)| (a - b).abs() < 1e-12), "{got:?}");
}

#[test]
fn a_range_of_what_coordinates_give_is_a_condition() {
    let [x, y, z] = AT;
    let w = x * x + y * y + z * z;
    all_are(&[("w = x^2+y^2+z^2, 1 < w < 4", (1.0 - w).max(w - 4.0))]);
    assert_eq!(relation("w = x^2+y^2+z^2, 1 < w < 4"), Relation::Between);
    let cut = reading("w = x^2 + y^2, z = w^2, 0 < w < 2").within.unwrap();
    let here = |n: &str| ["x", "y", "z"].iter().position(|m| *m == n).map(|k| AT[k]);
    let want = (-(x * x + y * y)).max(x * x + y * y - 2.0);
    assert!((cut.value(&here).unwrap() - want).abs() < 1e-12);
}

#[test]
fn signs_that_were_lost_or_glued_are_mended_or_refused() {
    let [x, y, z] = AT;
    all_are(&[
        ("sqrt[3]{x} = z", x.cbrt() - z),
        ("sin.(x) .+ cos.(y) .- z", x.sin() + y.cos() - z),
        ("C = cos, S = sin, C(x) S(y) = z", x.cos() * y.sin() - z),
        ("s, c = np.sin, np.cos\ns(x) + c(y) - z", x.sin() + y.cos() - z),
        ("'x^2+y^2=z'", x * x + y * y - z),
        ("x + y if x > 0 and y > 0 else z", if x > 0.0 && y > 0.0 { x + y } else { z }),
        ("Eq(x**2 + y**2, z)", x * x + y * y - z),
        ("x,y,z -> x^2+y^2-z", x * x + y * y - z),
    ]);
    for (text, word) in [
        ("3.14.x=y", "has one already"),
        ("1,000x + y = z", "1,000"),
        ("x + y = 1,500", "1,500"),
        ("x+y=>z", "arrow"),
        ("1e308*1e308*x=y", "not finite"),
        ("θ = π/4", "half-plane"),
    ] {
        let f = refused(text);
        assert!(f.what.contains(word) && !f.hint.is_empty(), "{text}: {f}");
    }
    said("x^2+y^2 = 3(7)", "equation's number");
}

#[test]
fn distances_of_the_point_are_read() {
    let [x, y, z] = AT;
    let length = (x * x + y * y + z * z).sqrt();
    let from = |a: f64| ((x - a).powi(2) + y * y + z * z).sqrt();
    all_are(&[
        ("np.linalg.norm(p) - 1", length - 1.0),
        ("|p-(1,0,0)| + |p+(1,0,0)| = 4", from(1.0) + from(-1.0) - 4.0),
        ("|p-(1,0,0)| = x", from(1.0) - x),
        (r"\mathbf{x}^T\mathbf{x} = 1", length * length - 1.0),
        ("dot([x y z],[x y z]) = 1", length * length - 1.0),
    ]);
    points_are(r"\mathbf{x} = (\cos t, \sin t, t)", 0.4, [0.4f64.cos(), 0.4f64.sin(), 0.4]);
}

#[test]
fn polar_equations_and_curves_in_other_planes_are_read() {
    let [x, y, _] = AT;
    let (r, around) = (x.hypot(y), y.atan2(x));
    all_are(&[
        ("r = 1 + 0.5 cos 3t", r - (1.0 + 0.5 * (3.0 * around).cos())),
        ("R = 2 + cos 5θ", r - (2.0 + (5.0 * around).cos())),
    ]);
    points_are("x=t, z=t^2", 0.4, [0.4, 0.0, 0.4 * 0.4]);
    points_are("y=cos t, z=sin t", 0.4, [0.0, 0.4f64.cos(), 0.4f64.sin()]);
    said("x=t, z=t^2", "plane y = 0");
    said("ρ = 2", "ρ read as");
    assert!(reading("z = θ").remarks.iter().all(|m| !m.what.contains("r read")));
}

#[test]
fn doubtful_powers_quotients_and_calls_are_told() {
    said("x^2n + y^2n = z", "the power takes only");
    said(r"\exp{x}y = z", "in its braces");
    said("x^23 = y", "the power 23");
    said("=-x^2+y-z", "sheet");
    said("float f = 1/2*x + y - z;", "fraction");
    said("x(y) = 2", "product");
    said("x^2 + y^2 = 4 cm", "unit");
    for text in
        ["x^2y = z", "x^10 + y^10 = z", r"\exp{x} + y = z", "float f = 1.0/2.0*x + y - z;", "y(x) = x^2"]
    {
        assert!(reading(text).remarks.is_empty(), "{text}: {:?}", reading(text).remarks);
    }
}

#[test]
fn drawings_at_a_level_within_other_calls_are_read() {
    let [x, y, z] = AT;
    all_are(&[
        ("V = X.^2 + Y.^2 - Z.^2; p = patch(isosurface(X,Y,Z,V,0.25));", x * x + y * y - z * z - 0.25),
        ("vol = x**2+y**2-z; verts, faces = measure.draw(vol, 0.5)", x * x + y * y - z - 0.5),
        ("f = x**2 + y**2 - z\nlevel = 1", x * x + y * y - z - 1.0),
    ]);
}
