//! Powers of e whose raising was lost, against values worked out by hand.

use std::f64::consts::E;

use super::tests::{AT, all_are, points_are, reading, said};
use crate::formula::Kind;

const LOST: &str = "read as a power of e whose raising was lost";

#[test]
fn powers_of_e_are_raised_behind_factors_and_in_every_term() {
    let [x, y, z] = AT;
    let bell = (-x * x - y * y).exp();
    for (text, want) in [
        ("z = xe−x2−y2", z - x * bell),
        ("z = xye−x2−y2", z - x * y * bell),
        ("z = (x2 + 3y2)e1−x2−y2", z - (x * x + 3.0 * y * y) * (1.0 - x * x - y * y).exp()),
        ("z = cos(x)e−y", z - x.cos() * (-y).exp()),
        ("z = (x − y)e−x", z - (x - y) * (-x).exp()),
        ("z = y·e−x", z - y * (-x).exp()),
        ("e-x2 + e-y2 + e-z2 = 1", (-x * x).exp() + (-y * y).exp() + (-z * z).exp() - 1.0),
        ("z = e−x2e−y2", z - bell),
        ("z = e−x−e−y", z - (-x).exp() + (-y).exp()),
        ("z = 2e-x", z - 2.0 * (-x).exp()),
        ("z = 1/(1 + e−x)", z - 1.0 / (1.0 + (-x).exp())),
        ("z = 1 − e−|x|", z - 1.0 + (-x.abs()).exp()),
        ("z = e−r2/4", z - (-(x * x + y * y) / 4.0).exp()),
        ("a = 2\nz = e−ax2", z - (-2.0 * x * x).exp()),
    ] {
        all_are(&[(text, want)]);
        said(text, LOST);
    }
}

#[test]
fn the_exponent_ends_before_a_function() {
    let [x, y, z] = AT;
    all_are(&[
        ("z = 3e−x cos y", z - 3.0 * (-x).exp() * y.cos()),
        ("z = 3e−2x cos y", z - 3.0 * (-2.0 * x).exp() * y.cos()),
        ("z = e−x sin y", z - (-x).exp() * y.sin()),
        ("z = e−2xsin y", z - (-2.0 * x).exp() * y.sin()),
        ("z = e−xcos(y)", z - (-x).exp() * y.cos()),
        ("z = e−cos x", z - (-x.cos()).exp()),
    ]);
    let t: f64 = 0.4;
    points_are("x = t; y = e−t; z = t2", t, [t, (-t).exp(), t * t]);
    let r = reading("x = e−u cos v, y = e−u sin v, z = u");
    assert!(matches!(r.kind, Kind::Surface { .. }));
    let got = r.at(&[0.4, 0.7], &[]).unwrap();
    assert!((got[0] - (-0.4f64).exp() * 0.7f64.cos()).abs() < 1e-12);
}

#[test]
fn plain_powers_of_e_stand_beside_lost_ones() {
    let [x, y, z] = AT;
    all_are(&[
        ("z = (ex + e−x)/2", z - x.cosh()),
        ("z = (ex − e−x)/(ex + e−x)", z - x.tanh()),
        ("z = e2x + e−2x cos y", z - (2.0 * x).exp() - (-2.0 * x).exp() * y.cos()),
    ]);
    said("z = ex cos y", "ex read as e x");
}

#[test]
fn differences_that_may_be_meant_are_told() {
    let [x, y, z] = AT;
    for (text, want) in [
        ("z = e - x", z - E + x),
        ("z = e − x", z - E + x),
        ("z = e-x^2-y^2", z - E + x * x + y * y),
        ("z = x e - y^2", z - x * E + y * y),
        ("e-x = z", E - x - z),
    ] {
        all_are(&[(text, want)]);
        said(text, "read as a difference");
    }
    all_are(&[("z = x + e-1", z - x - E + 1.0), ("e = 2\nz = x + e−y", z - x - 2.0 + y)]);
    said("z = 3e-2x", "power of ten");
    all_are(&[("z = 1.5e−3 + x", z - 0.0015 - x)]);
}

#[test]
fn a_digit_behind_a_greek_letter_is_its_power() {
    let [x, _, z] = AT;
    all_are(&[
        ("z = x/(2σ2), σ = 0.5", z - 2.0 * x),
        ("z = xσ2, σ = 0.5", z - 0.25 * x),
        ("z = e−x2/(2σ2), σ = 0.5", z - (-2.0 * x * x).exp()),
        ("z = 2σ x, σ = 0.5", z - x),
    ]);
    said("z = xσ2, σ = 0.5", "sigma^2");
}

#[test]
fn a_fraction_behind_a_lost_power_is_told() {
    let [x, y, z] = AT;
    let text = "x2/3 + y2/3 + z2/3 = 1";
    all_are(&[(text, (x * x + y * y + z * z) / 3.0 - 1.0)]);
    said(text, "a fraction as the power is written x^(2/3)");
}
