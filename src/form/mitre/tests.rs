//! Mitred frames by closed forms, rounded corners, and what cannot be turned.

use super::*;
use crate::form::{polyline, sweep, widest};
use crate::formula::{Tape, Unary};

fn bar(x: f64, y: f64) -> (Expr, Box3) {
    let abs = |n: &str| Expr::unary(Unary::Abs, Expr::var(n));
    let far = Vec3::new(x, y, 1.0);
    ((abs("x") - x).max(abs("y") - y), Box3::new(-far, far))
}

fn square(closed: bool) -> Curve {
    let p = [[-10.0, -10.0, 0.0], [10.0, -10.0, 0.0], [10.0, 10.0, 0.0], [-10.0, 10.0, 0.0]];
    polyline(&p.map(Vec3::from), closed).unwrap()
}

/// A square frame with mitred corners is a square with a square hole.
#[test]
fn a_mitred_frame_has_square_corners() {
    let (section, within) = bar(1.5, 2.0);
    let Solid::Swept(frame) = sweep(&square(true), &section, within, Carried::default(), None).unwrap()
    else {
        panic!()
    };
    let (tape, region) = (Tape::new(frame.value()).unwrap(), frame.within());
    for i in 0..4000 {
        let k = f64::from(i);
        let p = Vec3::new(14.0 * (k * 0.71).sin(), 14.0 * (k * 1.37).cos(), 3.0 * (k * 0.37).sin());
        let far = p.x.abs().max(p.y.abs());
        let exact = ((far - 10.0).abs() - 1.5).max(p.z.abs() - 2.0);
        if exact.abs() > 1e-9 {
            assert_eq!(tape.value(p) < 0.0, exact < 0.0, "{p:?}: {} {exact}", tape.value(p));
        }
    }
    assert!(region.holds(Vec3::new(11.4, 11.4, 1.9)));
    // An open one ends square.
    let (section, within) = bar(1.5, 2.0);
    let open = sweep(&square(false), &section, within, Carried::default(), None).unwrap();
    let Solid::Swept(open) = open else { panic!() };
    let tape = Tape::new(open.value()).unwrap();
    assert!(tape.value(Vec3::new(-9.9, -10.0, 0.0)) < 0.0 && tape.value(Vec3::new(-10.1, -10.0, 0.0)) > 0.0);
    assert!(tape.value(Vec3::new(11.4, -11.4, 1.9)) < 0.0 && tape.value(Vec3::new(11.6, -11.4, 1.9)) > 0.0);
}

/// Outside a round corner of a square frame lies a quarter of a ring; inside it the corner is as sharp as ever.
#[test]
fn a_round_corner_turns_about_itself() {
    let (section, within) = bar(1.5, 2.0);
    let how = Carried { corners: Joints::Round, ..Carried::default() };
    let round = sweep(&square(true), &section, within, how, None).unwrap();
    let Solid::Swept(round) = round else { panic!() };
    let tape = Tape::new(round.value()).unwrap();
    for i in 0..4000 {
        let k = f64::from(i);
        let p = Vec3::new(14.0 * (k * 0.71).sin(), 14.0 * (k * 1.37).cos(), 3.0 * (k * 0.37).sin());
        let past = Vec3::new((p.x.abs() - 10.0).max(0.0), (p.y.abs() - 10.0).max(0.0), 0.0);
        let far = if past.x > 0.0 && past.y > 0.0 { past.norm() } else { p.x.abs().max(p.y.abs()) - 10.0 };
        let exact = (far.abs() - 1.5).max(p.z.abs() - 2.0);
        if exact.abs() > 1e-9 {
            assert_eq!(tape.value(p) < 0.0, exact < 0.0, "{p:?}: {} {exact}", tape.value(p));
        }
        let half = Vec3::splat(0.3);
        let b = tape.bounds(Box3::new(p - half, p + half));
        for s in [-0.9, 0.4, 0.8] {
            let v = tape.value(p + half * s);
            assert!(b.lo <= v && v <= b.hi, "{i}: {v} {b:?}");
        }
    }
}

/// A bar along x whose ends are round: turned about its y axis, half a disc beyond each end.
#[test]
fn round_caps_are_the_section_turned() {
    let line = polyline(&[Vec3::ZERO, Vec3::new(20.0, 0.0, 0.0)], false).unwrap();
    let (section, within) = bar(3.0, 2.0);
    let how = Carried { caps: crate::form::Caps::Round, ..Carried::default() };
    let Solid::Swept(bar) = sweep(&line, &section, within, how, None).unwrap() else { panic!() };
    let tape = Tape::new(bar.value()).unwrap();
    for i in 0..4000 {
        let k = f64::from(i);
        let p = Vec3::new(10.0 + 15.0 * (k * 0.71).sin(), 4.0 * (k * 1.37).cos(), 3.0 * (k * 0.37).sin());
        let beyond = (p.x - 20.0).max(-p.x).max(0.0);
        let exact = (p.y.hypot(beyond) - 3.0).max(p.z.abs() - 2.0);
        if exact.abs() > 1e-9 {
            assert_eq!(tape.value(p) < 0.0, exact < 0.0, "{p:?}: {} {exact}", tape.value(p));
        }
    }
}

#[test]
fn bounds_hold_every_value() {
    let (section, within) = bar(1.5, 2.0);
    let open = sweep(&square(false), &section, within, Carried::default(), None).unwrap();
    let Solid::Swept(open) = open else { panic!() };
    let tape = Tape::new(open.value()).unwrap();
    for i in 0..300 {
        let k = f64::from(i);
        let c = Vec3::new(14.0 * (k * 0.71).sin(), 14.0 * (k * 1.37).cos(), 3.0 * (k * 0.37).sin());
        let half = Vec3::splat(0.2 + (k * 0.9).sin().abs());
        let b = tape.bounds(Box3::new(c - half, c + half));
        for j in 0..30 {
            let s = f64::from(j);
            let p =
                c + Vec3::new((s * 1.7).sin() * half.x, (s * 2.3).cos() * half.y, (s * 0.9).sin() * half.z);
            let v = tape.value(p);
            assert!(b.lo <= v && v <= b.hi, "{i}: {v} {b:?}");
        }
    }
}

/// Four straight sides and one full circle.
#[test]
fn rounded_corners_are_arcs() {
    let round = rounded(&square(true), 3.0).unwrap();
    let exact = 4.0 * 14.0 + std::f64::consts::TAU * 3.0;
    assert!((round.length() - exact).abs() < 1e-4, "{} {exact}", round.length());
    assert!((widest(&round).unwrap().radius - 3.0).abs() < 1e-2, "{}", widest(&round).unwrap().radius);
    assert!(round.is_closed());
    assert!(rounded(&square(true), 11.0).unwrap_err().to_string().contains("10.000 mm can be"));
}

#[test]
fn what_cannot_be_mitred_is_refused() {
    let says = |points: &[[f64; 3]], closed: bool, x: f64| {
        let points: Vec<Vec3> = points.iter().map(|p| Vec3::from(*p)).collect();
        let (section, within) = bar(x, 0.5);
        let how = Carried::default();
        sweep(&polyline(&points, closed).unwrap(), &section, within, how, None).unwrap_err().to_string()
    };
    // A stretch shorter than its mitres, a path that comes near itself, and a skew one that comes home turned.
    let short = [[0.0, 0.0, 0.0], [20.0, 0.0, 0.0], [20.0, 1.0, 0.0], [40.0, 1.0, 0.0]];
    assert!(says(&short, false, 2.0).contains("no room"));
    let near = [[0.0, 0.0, 0.0], [20.0, 0.0, 0.0], [20.0, 4.0, 0.0], [0.0, 4.0, 0.0]];
    assert!(says(&near, false, 1.9).contains("another stretch"));
    let skew = [[0.0, 0.0, 0.0], [20.0, 0.0, 0.0], [20.0, 20.0, 0.0], [20.0, 20.0, 20.0]];
    assert!(says(&skew, true, 1.0).contains("comes home turned"));
}

/// Two corners of a zigzag with sides of 20 mm that each turn by 150 degrees take 3.73 radii each: a tube of 2 mm has room, one of 3 mm
/// has none.
#[test]
fn sharp_zigzags_are_crowded() {
    let (x, y) = (20.0 * 15f64.to_radians().sin(), 20.0 * 15f64.to_radians().cos());
    let points = [[0.0, 0.0, 0.0], [x, y, 0.0], [2.0 * x, 0.0, 0.0], [3.0 * x, y, 0.0]].map(Vec3::from);
    let zigzag = polyline(&points, false).unwrap();
    assert_eq!(crowded(&zigzag, 2.0), None);
    assert_eq!(crowded(&zigzag, 3.0), Some(points[1]));
    assert!(turning(zigzag.single().unwrap()).is_some_and(|stands| stands.len() == 4));
}
