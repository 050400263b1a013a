//! Leaves every setting of the space groups, motion by motion, for the outside check to judge.

use std::fmt::Write as _;
use std::path::Path;

use ogee::form::group::{CellAsk, Group, Reach, motions_of, orbit_solid, settings};

#[test]
fn every_setting_is_left_for_the_outside_check() {
    let mut out = String::new();
    for setting in settings() {
        let motions = motions_of(&setting).unwrap();
        let row = |m: &ogee::form::group::Jones| {
            let numbers = m.rows.iter().flatten().chain(&m.shift);
            numbers.map(ToString::to_string).collect::<Vec<_>>().join(" ")
        };
        let all = motions.iter().map(row).collect::<Vec<_>>().join(";");
        let _ = writeln!(out, "{}|{}|{}|{all}", setting.number, setting.hall, setting.symbol);
    }
    assert!(out.lines().count() >= 530);
    std::fs::write(Path::new(env!("CARGO_TARGET_TMPDIR")).join("groups.txt"), out).unwrap();
}

/// Images of a point in general position within one cell: as many as the group has motions there.
#[test]
fn general_positions_are_counted_in_space() {
    for symbol in ["P212121", "Ia-3d", "R-3m", "Fd-3m:1", "P6322", "I4132"] {
        let group = Group::named(symbol, &CellAsk { a: Some(20.0), ..CellAsk::default() }).unwrap();
        let [a, b, c] = group.steps() else { panic!() };
        let volume = a.cross(*b).dot(*c);
        let dot =
            ogee::form::shift(&ogee::form::ball(0.1).unwrap(), ogee::base::Vec3::new(2.3, 3.1, 1.7)).unwrap();
        let reach = 30.0;
        let found = match orbit_solid(&group, &dot, Reach::Ball(reach)).unwrap() {
            ogee::form::Solid::Union(list) => list.len(),
            _ => 1,
        };
        let wanted = 4.0 / 3.0 * std::f64::consts::PI * f64::powi(reach, 3) / volume * group.order() as f64;
        // Lattice points of a ball against its volume: the surface decides the rest.
        assert!((found as f64 / wanted - 1.0).abs() < 0.12, "{symbol} {found} {wanted}");
    }
}
