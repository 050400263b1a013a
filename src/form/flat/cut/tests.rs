//! What is prepared, against worked examples.

use super::super::{difference, disc, polygon, polyline, union};
use super::*;
use crate::base::Vec3;
use crate::craft::told;
use crate::form::shift;

fn square(side: f64, at: [f64; 2]) -> Flat {
    let points = [[0.0, 0.0], [side, 0.0], [side, side], [0.0, side]].map(Vec2::from);
    shift(&polygon(&points, 0.0).unwrap(), Vec3::new(at[0], at[1], 0.0)).unwrap()
}

fn plywood() -> Cutting {
    Cutting { kerf: 0.18, ..told("laser plywood 3").unwrap() }
}

fn extent(flat: &Flat) -> (f64, f64) {
    let s = flat.bounds().size();
    (s.x, s.y)
}

fn layer<'a>(flat: &'a Flat, name: &str) -> &'a Layer {
    flat.layers().iter().find(|l| &*l.name == name).unwrap()
}

/// Worked in the project's notes on making, section 8.1: k = 0.18, a 60.00 square is drawn 60.18, a 20.00 hole 19.82.
#[test]
fn outsides_grow_and_holes_shrink_by_half_the_kerf() {
    let plate = difference(&square(60.0, [0.0, 0.0]), &square(20.0, [20.0, 20.0]));
    let made = prepare(&[plate], &plywood(), &Ask::default()).unwrap();
    let paths = &made.sheets[0].paths;
    let names: Vec<&str> = paths.layers().iter().map(|l| &*l.name).collect();
    assert_eq!(names, ["cut-inner", "cut-outer"]);
    let side = |name: &str| {
        let (low, high) = layer(paths, name).lines[0].bounds();
        high.x - low.x
    };
    assert!((side("cut-outer") - 60.18).abs() < 1e-9, "{}", side("cut-outer"));
    assert!((side("cut-inner") - 19.82).abs() < 1e-9);
}

/// From the same place: five squares in a row with shared cuts have lines at 60.18 pitch and use 301.08 of the strip.
#[test]
fn squares_at_the_pitch_of_the_kerf_share_their_cuts() {
    let row: Vec<Flat> = (0..5).map(|i| square(60.0, [60.18 * f64::from(i), 0.0])).collect();
    let made = prepare(&row, &plywood(), &Ask::default()).unwrap();
    let sheet = &made.sheets[0];
    let (wide, high) = extent(&sheet.paths);
    assert!((wide + 0.18 - 301.08).abs() < 1e-9 && (high + 0.18 - 60.36).abs() < 1e-9, "{wide} {high}");
    let length = sheet.paths.length();
    assert!((length - (2.0 * 5.0 + 6.0) * 60.18).abs() < 1e-6, "{length}");
    assert_eq!(sheet.doubled.len(), 4);
}

#[test]
fn edges_of_touching_pieces_are_cut_once_in_the_middle() {
    let row: Vec<Flat> = (0..3).map(|i| square(20.0, [20.0 * f64::from(i), 0.0])).collect();
    let made = prepare(&row, &plywood(), &Ask::default()).unwrap();
    let sheet = &made.sheets[0];
    assert!((sheet.shared - 2.0 * 20.18).abs() < 1e-6, "{}", sheet.shared);
    assert!((extent(&sheet.paths).0 - 60.18).abs() < 1e-9);
    let inner = &layer(&sheet.paths, "cut-inner").lines;
    assert_eq!(inner.len(), 2);
    assert!(inner.iter().all(|p| !p.closed && (p.length() - 20.18).abs() < 1e-9));
    assert_eq!(sheet.overlap, 0.0);
}

#[test]
fn lines_given_twice_are_cut_once_and_told() {
    let edge =
        polyline(&[Vec2::new(-5.0, 0.0), Vec2::new(65.0, 0.0)], false).unwrap().on_layer("cut", Meaning::Cut);
    let both = union(&square(60.0, [0.0, 0.0]), &edge);
    let made = prepare(&[both], &Cutting { kerf: 0.0, ..plywood() }, &Ask::default()).unwrap();
    let sheet = &made.sheets[0];
    assert!((sheet.doubled.iter().map(|d| d.length).sum::<f64>() - 60.0).abs() < 1e-6, "{:?}", sheet.doubled);
    assert!((sheet.paths.length() - 250.0).abs() < 1e-6, "{}", sheet.paths.length());
}

#[test]
fn islands_are_found_and_held_by_bridges() {
    let stencil = union(&difference(&disc(30.0).unwrap(), &disc(20.0).unwrap()), &disc(8.0).unwrap());
    let loose = prepare(std::slice::from_ref(&stencil), &plywood(), &Ask::default()).unwrap();
    assert_eq!((loose.islands.len(), loose.bridges, loose.sheets[0].pieces), (1, 0, 2));
    let held = prepare(&[stencil], &plywood(), &Ask { bridges: 2, ..Ask::default() }).unwrap();
    assert_eq!((held.islands.len(), held.bridges, held.sheets[0].pieces), (0, 2, 1));
}

#[test]
fn what_is_wrong_is_measured_with_its_place() {
    let two = union(&square(30.0, [0.0, 0.0]), &square(30.0, [40.0, 0.0]));
    let neck = shift(
        &polygon(&[[29.0, 14.0], [41.0, 14.0], [41.0, 14.6], [29.0, 14.6]].map(Vec2::from), 0.0).unwrap(),
        Vec3::ZERO,
    )
    .unwrap();
    let made = prepare(
        &[difference(&union(&two, &neck), &shift(&disc(0.05).unwrap(), Vec3::new(5.0, 5.0, 0.0)).unwrap())],
        &plywood(),
        &Ask::default(),
    )
    .unwrap();
    let sheet = &made.sheets[0];
    let thin = sheet.thinnest.unwrap();
    assert!((thin.width - 0.6).abs() < 1e-6 && thin.place.x > 29.0 && thin.place.x < 41.0, "{thin:?}");
    assert_eq!(sheet.vanished.len(), 1);
    assert!((sheet.hole.unwrap().0 - 0.1).abs() < 0.011);
    assert_eq!(sheet.hollow.unwrap().0, 0.0);
    assert!((sheet.smallest.unwrap().0 - 30.0).abs() < 1e-6);
}

#[test]
fn film_is_mirrored_marked_and_weeded() {
    let leaf = polygon(&[[0.0, 0.0], [30.0, 0.0], [0.0, 20.0]].map(Vec2::from), 0.0).unwrap();
    let film = told("drag knife film 0.1").unwrap();
    let ask = Ask { mirror: true, marks: true, weed: 6.0, labels: true, ..Ask::default() };
    let made = prepare(&[leaf], &film, &ask).unwrap();
    let paths = &made.sheets[0].paths;
    let names: Vec<&str> = paths.layers().iter().map(|l| &*l.name).collect();
    assert_eq!(names, ["mark", "label", "cut-outer", "cut-weed"]);
    let outer = &layer(paths, "cut-outer").lines[0];
    assert!(!outer.closed && (outer.length() - (50.0 + 1300.0_f64.sqrt() + 1.0)).abs() < 1e-9);
    let (low, high) = outer.bounds();
    let right_angle = outer.points(0.1).into_iter().any(|p| (p - Vec2::new(high.x, low.y)).norm() < 1e-9);
    assert!(right_angle, "the right angle lay at the lower left and should now lie at the lower right");
    assert_eq!(layer(paths, "mark").lines.len(), 6);
}

#[test]
fn sheets_take_pieces_with_all_that_is_on_them() {
    let fold = polyline(&[Vec2::new(2.0, 10.0), Vec2::new(18.0, 10.0)], false)
        .unwrap()
        .on_layer("fold", Meaning::Score);
    let tile = union(&square(20.0, [0.0, 0.0]), &fold);
    let all = super::super::all(&[tile.clone(), shift(&tile, Vec3::new(500.0, 0.0, 0.0)).unwrap()]);
    let ask = Ask { sheet: Some(Vec2::new(100.0, 60.0)), turns: 4, ..Ask::default() };
    let made = prepare(&[all], &plywood(), &ask).unwrap();
    let sheet = &made.sheets[0];
    assert_eq!((made.sheets.len(), sheet.pieces), (1, 2));
    assert_eq!(layer(&sheet.paths, "fold").lines.len(), 2);
    assert!((sheet.used.unwrap() - 800.0 / 6000.0).abs() < 1e-9);
    assert!(sheet.paths.bounds().max.x < 100.0 && sheet.paths.layers().iter().all(|l| &*l.name != SHEET));
    let small = Ask { sheet: Some(Vec2::new(30.0, 30.0)), turns: 1, ..Ask::default() };
    assert!(prepare(&[tile], &plywood(), &small).is_err());
}

/// Pieces with tabs stay outlines in their layer, cut in as many stretches as there are tabs; what is cut, and the tabs, go
/// once round. Leads touch no other cut.
#[test]
fn tabs_and_leads_keep_the_outline() {
    let plate = difference(&square(60.0, [0.0, 0.0]), &square(20.0, [20.0, 20.0]));
    let ask = Ask { tabs: 4, lead: 2.0, ..Ask::default() };
    let made = prepare(&[plate], &plywood(), &ask).unwrap();
    let sheet = &made.sheets[0];
    assert_eq!((sheet.tabs, sheet.leadless), (4, 0));
    let (outer, inner) = (layer(&sheet.paths, "cut-outer"), layer(&sheet.paths, "cut-inner"));
    assert_eq!((outer.lines.len(), inner.lines.len()), (4, 1));
    let quarter = std::f64::consts::PI;
    let cut: f64 = outer.lines.iter().map(Path::length).sum();
    // 3 mm board: tabs of 2 mm, and half a kerf at both their ends.
    assert!((cut - (4.0 * 60.18 - 4.0 * (2.0 + 0.18) + 4.0 * quarter)).abs() < 1e-9, "{cut}");
    assert!((inner.lines[0].length() - (4.0 * 19.82 + 2.0 * quarter)).abs() < 1e-9);
}
