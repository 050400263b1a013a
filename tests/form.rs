//! Forms against closed forms, and the framing of every formula of the list.

use ogee::base::{Tolerance, Unwatched, Vec3};
use ogee::form::{
    Bounded, Form, FrameAsk, Solid, ball, block, cone, difference, frame, intersection, repeat, ring, rod,
    scale, shift, turn, twist, union,
};
use ogee::formula::read;
use ogee::realise;

/// Volume of the mesh at a tolerance of a hundredth, mm³.
fn volume(s: &Solid) -> f64 {
    let tolerance = Tolerance::new(0.01).unwrap();
    realise::solid(s, tolerance, &Unwatched).unwrap().mesh.volume()
}

/// A boundary that is off by at most e changes a volume by at most e times its area; these are all of some 50 mm²
/// and a volume of some 30 mm³.
fn agree(name: &str, got: f64, exact: f64) {
    assert!((got - exact).abs() < 0.01 * exact, "{name}: {got} for {exact}");
}

#[test]
fn volumes_of_primitives() {
    let pi = std::f64::consts::PI;
    agree("ball", volume(&ball(2.0).unwrap()), 4.0 / 3.0 * pi * 8.0);
    agree("block", volume(&block(Vec3::new(2.0, 3.0, 4.0)).unwrap()), 24.0);
    agree("rod", volume(&rod(1.5, 4.0).unwrap()), pi * 2.25 * 4.0);
    // A frustum: π h (a² + ab + b²) / 3.
    agree("cone", volume(&cone(2.0, 1.0, 3.0).unwrap()), pi * 3.0 * 7.0 / 3.0);
    agree("point", volume(&cone(2.0, 0.0, 3.0).unwrap()), pi * 4.0);
    agree("ring", volume(&ring(2.0, 0.7).unwrap()), 2.0 * pi * pi * 2.0 * 0.49);
}

#[test]
fn volumes_of_sets_and_motions() {
    let pi = std::f64::consts::PI;
    // Two unit balls with centres 1 apart share a lens of 5π/12.
    let a = ball(1.0).unwrap();
    let b = shift(&a, Vec3::new(1.0, 0.0, 0.0)).unwrap();
    agree("lens", volume(&intersection(&a, &b).unwrap()), 5.0 * pi / 12.0);
    agree("union", volume(&union(&a, &b).unwrap()), 8.0 * pi / 3.0 - 5.0 * pi / 12.0);
    agree("difference", volume(&difference(&a, &b).unwrap()), 4.0 * pi / 3.0 - 5.0 * pi / 12.0);
    // Steinmetz: two cylinders of radius 1 that cross share 16/3.
    let bar = rod(1.0, 3.0).unwrap();
    let across = turn(&bar, Vec3::new(1.0, 0.0, 0.0), 90.0).unwrap();
    agree("Steinmetz", volume(&intersection(&bar, &across).unwrap()), 16.0 / 3.0);
    agree("scaled", volume(&scale(&a, Vec3::new(1.0, 2.0, 3.0)).unwrap()), 8.0 * pi);
    // Twisting keeps volume.
    agree("twisted", volume(&twist(&block(Vec3::new(2.0, 2.0, 3.0)).unwrap(), 20.0).unwrap()), 12.0);
    let row = repeat(&ball(0.8).unwrap(), Vec3::splat(2.0), [Some(3), Some(2), Some(1)]).unwrap();
    agree("repeated", volume(&row), 6.0 * 4.0 / 3.0 * pi * 0.512);
    // Copies that overlap are one solid: each lens is counted once.
    let chain = repeat(&a, Vec3::splat(1.5), [Some(3), Some(1), Some(1)]).unwrap();
    // The lens of unit balls at distance d: π (4 + d)(2 - d)² / 12.
    let lens = pi * 5.5 * 0.25 / 12.0;
    agree("chain", volume(&chain), 4.0 * pi - 2.0 * lens);
}

/// Every formula of the list gets a solid of 60 mm, and its script holds its text.
#[test]
fn every_formula_of_the_list_is_framed() {
    for line in include_str!("data/framed.jsonl").lines() {
        let entry: serde_json::Value = serde_json::from_str(line).unwrap();
        let name = entry["name"].as_str().unwrap();
        let reading = read(entry["formula"].as_str().unwrap()).unwrap_or_else(|f| panic!("{name}: {f}"));
        let framed = frame(&reading, &FrameAsk::default()).unwrap_or_else(|f| panic!("{name}: {f}"));
        let Form::Solid(_) = &framed.form else { panic!("{name}: no solid") };
        assert!(framed.script.contains(&reading.normal), "{name}: {}", framed.script);
        assert!(!framed.said.is_empty(), "{name}");
        // Boxes are found by bounds, loose by up to a thousandth. A wall's own box is only known to be no larger than
        // its surface's, grown; flush cuts take it off again.
        let bare = framed.bare.as_ref().unwrap_or(&framed.form);
        let longest = bare.bounds().unwrap_or_else(|f| panic!("{name}: {f}")).size().largest();
        assert!((55.9..60.06).contains(&longest), "{name}: {longest}");
    }
}
