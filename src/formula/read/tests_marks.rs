//! Marks, speech and damage of pages around formulas, against values worked out by hand.

use super::tests::{AT, all_are, points_are, reading, refused, said};
use super::tests_habits::limits;
use crate::formula::Relation;

#[test]
fn marks_of_citation_and_pictures_are_left_out() {
    let [x, y, z] = AT;
    let ball = x * x + y * y + z * z;
    all_are(&[
        ("x² + y² + z² = 3.[3]", ball - 3.0),
        ("x^2 + y^2 + z^2 = 3[3]", ball - 3.0),
        ("x² + y² + z² = 3.[1][2]", ball - 3.0),
        ("x² + y² + z² = 3[citation needed]", ball - 3.0),
        ("x^2 + y^2 + z^2<sup>[4]</sup> = 3", ball - 3.0),
        ("z = x^2[1] + y^2[2]", z - (x * x + y * y)),
        ("sin x = 2[6] cos y", x.sin() - 2.0 * y.cos()),
        ("x² + y² + z² = 3 ✅", ball - 3.0),
        ("2[x+1] = y", 2.0 * (x + 1.0) - y),
        ("3[4]^2 x = y", 48.0 * x - y),
        ("2[3]x = y", 6.0 * x - y),
        (r"\sqrt[3]{x} + y = z", x.cbrt() + y - z),
    ]);
    points_are("x = cos t,[1] y = sin t, z = t", 0.4, [0.4f64.cos(), 0.4f64.sin(), 0.4]);
    said("x² + y² = 3.[3]", "mark of citation");
    said("2[3]x = y", "2[3] read as 2 times 3");
    said("x² + y² = 3 ✅", "picture");
}

#[test]
fn speech_behind_a_whole_equation_is_left_out() {
    let [x, y, z] = AT;
    let ball = x * x + y * y + z * z - 1.0;
    all_are(&[
        ("x^2 + y^2 + z^2 = 1 (sphere), see Fig. 3", ball),
        ("x^2 + y^2 + z^2 = 1, i.e. the unit sphere", ball),
        ("x^2 + y^2 + z^2 = 1 — a sphere", ball),
        ("x^2 + y^2 + z^2 = 1  <- sphere", ball),
        ("x^2 + y^2 + z^2 = 1 (eq. 3)", ball),
        ("x^2 + y^2 % comment\n= z", x * x + y * y - z),
        ("z = 1 - 2 x", z - 1.0 + 2.0 * x),
    ]);
    for text in [
        "x^2 + y^2 + z^2 = 1 (sphere), see Fig. 3",
        "x^2 + y^2 + z^2 = 1, i.e. the unit sphere",
        "x^2 + y^2 + z^2 = 1 — a sphere",
        "x^2 + y^2 + z^2 = 1  <- sphere",
    ] {
        assert!(!reading(text).remarks.is_empty(), "{text}");
    }
    said("z = x?", "question mark");
    said("x^2 - y^2 = z^2 where", "nothing follows");
}

#[test]
fn columns_that_begin_with_a_bracket_are_copies_of_their_tex() {
    let [x, y, z] = AT;
    let ring = (x * x + y * y).powi(2) - z;
    all_are(&[
        ("(\nx\n2\n+\ny\n2\n)\n2\n=\nz\n{\\displaystyle (x^{2}+y^{2})^{2}=z}", ring),
        ("(\nx\n2\n+\ny\n2\n)\n2\n=\nz\n.\n{\\displaystyle (x^{2}+y^{2})^{2}=z.}", ring),
    ]);
}

#[test]
fn signs_of_likeness_stand_for_equality() {
    let [x, y, z] = AT;
    let bowl = z - (x * x + y * y);
    all_are(&[
        ("z ~ x^2 + y^2", bowl),
        ("z ∼ x^2 + y^2", bowl),
        ("z ≃ x^2 + y^2", bowl),
        (r"z \sim x^2 + y^2", bowl),
    ]);
    said("z ~ x^2", "~ read as =");
    refused("z = x ~ y");
    assert_eq!(reading("$x^2~+~y^2~=~z$").normal, "x^2 + y^2 - z = 0");
}

#[test]
fn raising_lost_behind_bars_and_beside_squares_is_mended() {
    let [x, y, z] = AT;
    let cube = |a: f64| a.abs().powi(3);
    all_are(&[
        ("|x|3 + |y|3 + |z|3 = 1", cube(x) + cube(y) + cube(z) - 1.0),
        ("‖p‖2 = 1", x * x + y * y + z * z - 1.0),
        ("[x+y]2 = z", (x + y).powi(2) - z),
        ("z = ||x|-1|2", z - (x.abs() - 1.0).powi(2)),
        ("|x| |2y| = z", x.abs() * (2.0 * y).abs() - z),
        ("R2 = x2 + y2 + z2, R = 2", 4.0 - (x * x + y * y + z * z)),
        ("x2 + y2 = r2, r2 = 3", x * x + y * y - 3.0),
        ("r2 = x2 + y2, z = r2", z - (x * x + y * y)),
    ]);
    said("|x|3 = z", "|...|^3");
    said("R2 = x2 + y2 + z2, R = 2", "R2 read as R^2");
    assert_eq!(reading("r2 = x2 + y2 + z2").free, ["r"]);
}

#[test]
fn conditions_and_values_behind_a_formula_are_given() {
    let [x, y, z] = AT;
    all_are(&[
        ("x^4 + y^4 = 1 if x > 0", x.powi(4) + y.powi(4) - 1.0),
        ("f(x,y,z) = x^2 + k y^2 - z^2 | k = 0.2", x * x + 0.2 * y * y - z * z),
        ("z = x if x>0; z = -y otherwise", z - x),
        ("z = x when x<0\nz = y for x>=0", z - y),
        ("if (x*x + y*y < 1.0)", x * x + y * y - 1.0),
        ("bool inside = x*x <= 1 && fabs(z) <= 1;", (x * x - 1.0).max(z.abs() - 1.0)),
    ]);
    assert_eq!(limits("x^4 + y^4 = 1 if x > 0"), [("x".to_owned(), 0.0, f64::INFINITY)]);
    assert!(matches!(
        reading("if (x*x + y*y < 1.0)").kind,
        crate::formula::Kind::Field { relation: Relation::Less, .. }
    ));
    assert!(refused("x = cos t, y = sin t, z = t with x + y < 1").what.contains("condition"));
}

#[test]
fn and_binds_closer_than_or() {
    let [x, y, z] = AT;
    all_are(&[
        ("x>0 and y>0 or z>0", (-x).max(-y).min(-z)),
        ("z > 0 or x > 0 and y > 0", (-z).min((-x).max(-y))),
        ("x^2+y^2<1 and z<1 or z>2", (x * x + y * y - 1.0).max(z - 1.0).min(2.0 - z)),
        ("x>0 and y>0 and z>0", (-x).max(-y).max(-z)),
    ]);
}
