//! Framing of the surfaces that mathematics has names for, against published places and boxes.

use std::f64::consts::{PI, TAU};

use super::clip::Clip;
use super::place::{Place, Subject, place};
use super::probe::{Search, still_points};
use super::*;
use crate::form::Bounded;
use crate::formula::Unary;

fn v(n: &str) -> Expr {
    Expr::var(n)
}

fn sq(e: Expr) -> Expr {
    e.clone() * e
}

fn s(e: Expr) -> Expr {
    Expr::unary(Unary::Sin, e)
}

fn c(e: Expr) -> Expr {
    Expr::unary(Unary::Cos, e)
}

fn xyz() -> (Expr, Expr, Expr) {
    (v("x"), v("y"), v("z"))
}

fn placed(e: &Expr) -> Result<Place, FrameFault> {
    place(&Subject::new(e, false, None, 0.0)?)
}

fn box_of(e: &Expr) -> Box3 {
    Surface::Level(e.clone()).bounds().unwrap()
}

fn near(a: Vec3, b: [f64; 3], tolerance: f64) -> bool {
    (0..3).all(|i| (a[i] - b[i]).abs() <= tolerance)
}

/// Source of the formulas: table 1.1 of von Schnering and Nesper, Z. Phys. B 83 (1991) 407.
fn periodic() -> Vec<(&'static str, Expr)> {
    let (x, y, z) = xyz();
    let (cx, cy, cz) = (c(x.clone()), c(y.clone()), c(z.clone()));
    let (sx, sy, sz) = (s(x.clone()), s(y.clone()), s(z.clone()));
    let two = |e: &Expr| e.clone() * 2.0;
    let (c2x, c2y, c2z) = (c(two(&x)), c(two(&y)), c(two(&z)));
    let product = |a: &Expr, b: &Expr, d: &Expr| a.clone() * b.clone() * d.clone();
    let pairs =
        |a: &Expr, b: &Expr, d: &Expr| a.clone() * b.clone() + b.clone() * d.clone() + d.clone() * a.clone();
    vec![
        ("P", cx.clone() + cy.clone() + cz.clone()),
        ("D, two terms", product(&cx, &cy, &cz) - product(&sx, &sy, &sz)),
        (
            "D, four terms",
            product(&sx, &sy, &sz) + product(&sx, &cy, &cz) + product(&cx, &sy, &cz) + product(&cx, &cy, &sz),
        ),
        ("G", sx * cy.clone() + sy * cz.clone() + sz * cx.clone()),
        ("I-WP", pairs(&cx, &cy, &cz) * 2.0 - (c2x.clone() + c2y.clone() + c2z.clone())),
        ("F-RD", product(&cx, &cy, &cz) * 4.0 - pairs(&c2x, &c2y, &c2z)),
        ("C(P)", (cx.clone() + cy.clone() + cz.clone()) * 3.0 + product(&cx, &cy, &cz) * 4.0),
    ]
}

#[test]
fn triply_periodic_formulas_show_one_cell() {
    for (name, e) in periodic() {
        let p = placed(&e).unwrap();
        let want = Clip::Block { size: Vec3::splat(TAU), centre: Vec3::ZERO };
        assert_eq!(p.clip, Some(want), "{name}");
        assert_eq!(p.said, ["periodic in x, y and z with period 2π: one whole cell"], "{name}");
    }
    let x = v("x") * TAU;
    let e = s(x.clone()) * c(v("y") * TAU) + s(v("y") * TAU) * c(v("z") * TAU) + s(v("z") * TAU) * c(x);
    assert_eq!(placed(&e).unwrap().clip, Some(Clip::Block { size: Vec3::splat(1.0), centre: Vec3::ZERO }));
}

#[test]
fn a_period_in_some_directions_only() {
    let (x, y, z) = xyz();
    // Helicoid: x sin z = y cos z.
    let helicoid = x.clone() * s(z.clone()) - y.clone() * c(z.clone());
    let p = placed(&helicoid).unwrap();
    assert_eq!(p.clip, Some(Clip::Rod { radius: clip::round_near(PI), height: TAU, centre: Vec3::ZERO }));
    // Egg box, a height that repeats: two cells each way, as high as it is.
    let p = placed(&(s(x.clone()) * c(y.clone()) - z.clone())).unwrap();
    let Some(Clip::Block { size, .. }) = p.clip else { panic!("{p:?}") };
    assert!(size.x == 2.0 * TAU && size.y == 2.0 * TAU && size.z > 2.0 && size.z < 2.2, "{size:?}");
    // A round bar is bounded across and shown as a length.
    let p = placed(&(sq(x) + sq(y) - 1.0)).unwrap();
    let Some(Clip::Block { size, .. }) = p.clip else { panic!("{p:?}") };
    assert!((2.1..2.3).contains(&size.x) && size.x == size.y && (1.5..2.1).contains(&size.z), "{size:?}");
}

#[test]
fn boxes_of_bounded_surfaces() {
    let (x, y, z) = xyz();
    let ellipsoid = sq(x.clone()) + sq(y.clone()) / 4.0 + sq(z.clone()) / 9.0 - 1.0;
    let b = box_of(&ellipsoid);
    assert!(near(b.max, [1.0, 2.0, 3.0], 6e-4), "{b:?}");
    let torus = sq((sq(x.clone()) + sq(y.clone())).sqrt() - 2.0) + sq(z.clone()) - 0.49;
    assert!(near(box_of(&torus).max, [2.7, 2.7, 0.7], 6e-4));
    // Heart: G. Taubin, IEEE CG&A 14 (1994); box by a grid of 64³ refined on the surface.
    let a = sq(x.clone()) + sq(y.clone()) * 2.25 + sq(z.clone()) - 1.0;
    let z3 = sq(z.clone()) * z.clone();
    let heart = sq(a.clone()) * a - sq(x) * z3.clone() - sq(y) * z3 * (9.0 / 80.0);
    let b = box_of(&heart);
    assert!(near(b.max, [1.139028, 0.678138, 1.236659], 4e-4), "{b:?}");
    assert!(near(b.min, [-1.139028, -0.678138, -1.0], 4e-4), "{b:?}");
    assert!(placed(&heart).unwrap().clip.is_none());
}

/// Cayley's cubic: its four nodes. Source: G. Fischer, Mathematical Models (1986).
fn cayley() -> Expr {
    let (x, y, z) = xyz();
    sq(x.clone()) + sq(y.clone()) + sq(z.clone()) - x * y * z * 2.0 - 1.0
}

/// Barth's sextic. Source: W. Barth, J. Algebraic Geom. 5 (1996) 173.
fn barth() -> Expr {
    let (x, y, z) = xyz();
    let phi = 0.5 * (1.0 + 5.0_f64.sqrt());
    let (x2, y2, z2) = (sq(x), sq(y), sq(z));
    let k = phi * phi;
    (x2.clone() * k - y2.clone()) * (y2.clone() * k - z2.clone()) * (z2.clone() * k - x2.clone()) * 4.0
        - sq(x2 + y2 + z2 - 1.0) * (1.0 + 2.0 * phi)
}

/// Kummer's quartic with μ² = 1.3.
fn kummer() -> Expr {
    let (x, y, z) = xyz();
    let mu = 1.3;
    let lambda = (3.0 * mu - 1.0) / (3.0 - mu);
    let root = 2.0_f64.sqrt();
    let p = -z.clone() - x.clone() * root + 1.0;
    let q = -z.clone() + x.clone() * root + 1.0;
    let r = z.clone() + y.clone() * root + 1.0;
    let t = z.clone() - y.clone() * root + 1.0;
    sq(sq(x) + sq(y) + sq(z) - mu) - p * q * r * t * lambda
}

#[test]
fn the_ball_holds_all_real_nodes() {
    let everywhere = Search { active: [true; 3], cell: [None; 3], centre: Vec3::ZERO };
    for (name, e, nodes, some) in [
        ("Cayley", cayley(), 4, [1.0, 1.0, 1.0]),
        ("Kummer", kummer(), 16, [0.5477225575, 0.0, -1.0]),
        ("Barth", barth(), 50, [0.0, 0.0, 1.0]),
    ] {
        let subject = Subject::new(&e, false, None, 0.0).unwrap();
        let (on, _) = still_points(&subject.probe, &everywhere);
        assert_eq!(on.len(), nodes, "{name}");
        if name != "Barth" {
            assert!(on.iter().any(|p| near(*p, some, 1e-6)), "{name}: {on:?}");
        }
        let p = placed(&e).unwrap();
        let Some(Clip::Ball { radius, centre }) = p.clip else { panic!("{name}: {p:?}") };
        let last = on.iter().fold(0.0_f64, |l, q| l.max((*q - centre).norm()));
        assert!(last < radius && radius < 2.2 * last, "{name}: {radius} for {last}");
    }
}

#[test]
fn what_holds_nothing_is_refused() {
    let (x, y, z) = xyz();
    let r2 = sq(x) + sq(y) + sq(z);
    assert_eq!(placed(&(r2.clone() + 1.0)).unwrap_err(), FrameFault::NoPoint);
    assert_eq!(placed(&r2).unwrap_err(), FrameFault::Touches);
    let all = Subject::new(&(-r2 - 1.0), true, None, 0.0).unwrap();
    assert_eq!(place(&all).unwrap_err(), FrameFault::AllSpace);
}

#[test]
fn the_script_says_what_was_chosen() {
    let (x, y, z) = xyz();
    let gyroid = s(x.clone()) * c(y.clone()) + s(y) * c(z.clone()) + s(z) * c(x);
    let reading = Reading {
        limits: vec![],
        within: None,
        kind: Kind::Field { value: gyroid * v("a"), relation: Relation::Equal },
        normal: "a*(sin(x)*cos(y) + sin(y)*cos(z) + sin(z)*cos(x)) = 0".into(),
        free: vec!["a".into()],
        remarks: vec![],
    };
    let f = frame(&reading, &FrameAsk::default()).unwrap();
    assert_eq!(
        f.script,
        "let a = param(\"a\", 1);\n(level(field(\"a*(sin(x)*cos(y) + sin(y)*cos(z) + sin(z)*cos(x)) = 0\", #{a: a}), 0) \
         & block(2*PI, 2*PI, 2*PI)).fit(60).wall(2)"
    );
    let size = f.form.bounds().unwrap().size();
    assert!((size.largest() - 62.0).abs() < 0.02, "{size:?}");
}

/// The place of a pasted text, read with its own limits.
fn placed_text(text: &str) -> (String, Vec<String>) {
    let framed = frame(&crate::formula::read(text).unwrap(), &FrameAsk::default()).unwrap();
    (framed.script, framed.said)
}

#[test]
fn limits_in_the_text_cut() {
    let (script, said) = placed_text("z = sin x cos y, -5 < x < 5, |y| < 4");
    assert!(script.contains("& block(10, 8, "), "{script}");
    assert_eq!(said[0], "cut where the text says: x from -5 to 5, y from -4 to 4");
    let (script, _) = placed_text("x^2 + y^2 = 1, 0 < z < 2");
    assert!(script.contains(", 2).shift(0, 0, 1)"), "{script}");
    // One end alone; the other comes from the thing itself, or from where it would be cut without.
    let half = |text: &str| {
        let framed = frame(&crate::formula::read(text).unwrap(), &FrameAsk::default()).unwrap();
        framed.form.bounds().unwrap().size()
    };
    let dome = half("x^2 + y^2 + z^2 = 1, z > 0");
    assert!((dome.z - 0.5 * dome.x).abs() < 0.02 * dome.x, "{dome:?}");
    let (script, _) = placed_text("x^2 + y^2 = z^2, z >= 0");
    assert!(script.contains("& rod("), "{script}");
    // Limits beyond the thing cut nothing.
    assert_eq!(placed_text("x^2 + y^2 + z^2 = 1, -5 < x < 5").1[0], "bounded: shown whole");
}

#[test]
fn a_sign_that_changes_at_a_pole_is_no_sheet() {
    let (x, ..) = xyz();
    assert_eq!(placed(&(Expr::constant(1.0) / x.clone())).unwrap_err(), FrameFault::Touches);
    assert!(placed(&(Expr::constant(1.0) / x - 2.0)).is_ok());
}

#[test]
fn spikes_are_cut_where_the_rest_is_seen() {
    for text in ["z = 1/(x^2 + y^2)", "y = 1/x", "z = x y/(x^2 + y^2)"] {
        let framed = frame(&crate::formula::read(text).unwrap(), &FrameAsk::default()).unwrap();
        let size = framed.form.bounds().unwrap().size().array();
        let least = size.into_iter().fold(f64::INFINITY, f64::min);
        assert!(least > 0.4 * 60.0, "{text}: {size:?}");
    }
}

/// Planes and half-spaces are shown, wherever they stand: the box of a plane has no thickness.
#[test]
fn planes_are_shown() {
    for text in ["z = 2", "x = 0", "y - 0.5 = 0", "x + y + z = 3"] {
        let framed = frame(&crate::formula::read(text).unwrap(), &FrameAsk::default()).unwrap();
        assert!(framed.form.bounds().unwrap().size().largest() < 70.0, "{text}");
    }
    for text in ["z > 0", "x < 1"] {
        let framed = frame(&crate::formula::read(text).unwrap(), &FrameAsk::default()).unwrap();
        let size = framed.form.bounds().unwrap().size().array();
        assert!(size.into_iter().fold(f64::INFINITY, f64::min) > 5.0, "{text}: {size:?}");
    }
}

#[test]
fn an_expression_in_two_coordinates_is_a_height() {
    let (script, said) = placed_text("sin(x)*cos(y)");
    assert!(script.contains("z - sin(x)*cos(y)"), "{script}");
    assert!(said[0].contains("shown as the height z"), "{said:?}");
    assert!(placed_text("x^2 - z").0.contains("y - (x^2 - z)"));
    assert!(!placed_text("x^2 + y^2 - 1 = 0").0.contains('z'));
    assert!(!placed_text("x^2 + y^2 + z^2 - 1").1[0].contains("height"));
}

/// Rings that go on and on are left out where a height would be a flat disc; one too tall to be seen whole is
/// divided.
#[test]
fn heights_are_seen() {
    let size = |text: &str| {
        let framed = frame(&crate::formula::read(text).unwrap(), &FrameAsk::default()).unwrap();
        (framed.form.bounds().unwrap().size(), framed.said)
    };
    let (bump, _) = size("z = exp(-(x^2+y^2)) cos(5x)");
    assert!(bump.z > 15.0, "{bump:?}");
    let (bowl, said) = size("z = (x^2 + y - 11)^2 + (x + y^2 - 7)^2");
    assert!(said[0].starts_with("z divided by"), "{said:?}");
    assert!(!said.iter().any(|s| s.contains("cut")) && bowl.z > 30.0, "{bowl:?} {said:?}");
    // Of a spike without end nothing is promised.
    let (_, said) = size("z = 1/(x^2 + y^2)");
    assert!(said[0].ends_with("its height cut"), "{said:?}");
    // A wall leans out where the surface is steep: the surface is made less by as much. (By half the wall it would be 62.)
    let (steep, _) = size("z = x^3 - 3 x y^2, -1 < x < 1, -1 < y < 1");
    assert!(steep.z < 56.0, "{steep:?}");
}

/// Rings that go on and on are shown, if need be by making the height more; sin(r)/r stands still at r = tan r, 4.4934, 7.7253 and
/// 10.9041 (Abramowitz and Stegun, table 10.6).
#[test]
fn flat_rings_are_raised() {
    let framed = |text: &str| frame(&crate::formula::read(text).unwrap(), &FrameAsk::default()).unwrap();
    let f = framed("z = sin(sqrt(x^2 + y^2))/sqrt(x^2 + y^2)");
    assert!(f.said[0].starts_with("z multiplied by"), "{:?}", f.said);
    let size = f.bare.unwrap().bounds().unwrap().size();
    assert!((0.2..0.3).contains(&(size.z / size.x)), "{size:?}");
    let rod = f.script.split("rod(").nth(1).and_then(|s| s.split(',').next()).unwrap();
    assert!((10.9041..14.0662 * 1.45).contains(&rod.parse::<f64>().unwrap()), "{}", f.script);
    assert!(!framed("z = 4 sin(sqrt(x^2 + y^2))/sqrt(x^2 + y^2)").said[0].contains("multiplied"));
}

#[test]
fn sizes_that_nobody_makes_are_refused() {
    let reading = crate::formula::read("x^2 + y^2 + z^2 = 1").unwrap();
    for size in [0.01, 999_999.0] {
        let fault = frame(&reading, &FrameAsk { size, ..FrameAsk::default() }).unwrap_err();
        assert!(fault.to_string().contains("1 to 10000 mm"), "{fault}");
    }
}

/// Togliatti's quintic has 31 double points, the most that a quintic can have (A. Beauville, "Sur le nombre maximum de points doubles
/// d'une surface dans P3", 1980).
#[test]
fn all_singular_points_of_a_fivefold_form_are_found() {
    let text = "64(x - 1)(x^4 - 4x^3 - 10x^2 y^2 - 4x^2 + 16x - 20x y^2 + 5y^4 + 16 - 20y^2) \
                - 5 sqrt(5 - sqrt 5)(2z - sqrt(5 - sqrt 5))(4(x^2 + y^2 - z^2) + (1 + 3 sqrt 5))^2 = 0";
    let f = frame(&crate::formula::read(text).unwrap(), &FrameAsk::default()).unwrap();
    assert!(f.said[0].contains("31 singular points"), "{:?}", f.said);
}

#[test]
fn a_condition_cuts_a_surface() {
    let half = 1.0 + 0.5_f64.sqrt();
    for (text, want) in [
        ("z = x^2 + y^2, x^2 + y^2 < 4", [4.0, 4.0, 4.0]),
        ("z = x/2, x^2 + y^2 < 1", [2.0, 2.0, 1.0]),
        ("x^2 + y^2 + z^2 = 1, x + y > 0", [half, half, 2.0]),
        ("z = x*y, |x| + |y| < a, a = 2", [4.0, 4.0, 2.0]),
    ] {
        let f = frame(&crate::formula::read(text).unwrap(), &FrameAsk::default()).unwrap();
        let size = f.bare.unwrap().bounds().unwrap().size();
        let scale = size.largest() / want.into_iter().fold(0.0, f64::max);
        for axis in 0..3 {
            assert!((size[axis] - want[axis] * scale).abs() < 0.01 * size.largest(), "{text}: {size:?}");
        }
        assert!(f.said.iter().any(|s| s.starts_with("cut where")), "{text}: {:?}", f.said);
        assert!(f.script.contains("inside(field("), "{text}: {}", f.script);
    }
}
