//! Time of large tilings from their names to the bytes of an SVG file: `cargo bench --bench flats`. Each has a limit, in
//! seconds, that it is to stay below.
#![allow(missing_docs, clippy::unwrap_used, clippy::print_stdout)]

use std::time::Instant;

use ogee::export::{FlatFormat, Meta, flat_file};
use ogee::form::Flat;
use ogee::form::tiling::{Stars, Tiling, hyperbolic, stars, tiling};

/// Most seconds from name to file.
const LIMIT: f64 = 1.0;

/// A name, how many tiles it has at least, and how it is made: its tiling, and the flat that goes to the file.
type Case = (&'static str, usize, fn() -> (Tiling, Flat));

const CASES: [Case; 3] = [
    ("hyperbolic {7,3}", 10_000, || {
        let tiles = hyperbolic(7, 3, 200.0, 8, true).unwrap();
        let edges = tiles.edges();
        (tiles, edges)
    }),
    ("hats", 10_000, || {
        let tiles = tiling("hat", 2.0, 425.0).unwrap();
        let edges = tiles.edges();
        (tiles, edges)
    }),
    ("stars over 4.8.8", 5_000, || {
        let tiles = tiling("4.8.8", 4.0, 275.0).unwrap();
        let lines = stars(&tiles, &Stars { angle: 67.5f64.to_radians(), apart: 0.0, rosettes: 0 }).unwrap().0;
        (tiles, lines)
    }),
];

fn main() {
    let mut over = false;
    for (name, least, make) in CASES {
        let began = Instant::now();
        let (tiles, flat) = make();
        let bytes = flat_file(FlatFormat::Svg, &flat, &Meta::default()).unwrap();
        let seconds = began.elapsed().as_secs_f64();
        let count = tiles.tiles().len();
        assert!(count >= least, "{name}: {count} tiles");
        over |= seconds > LIMIT;
        println!("{name}: {count} tiles, {} bytes, {seconds:.3} s of {LIMIT} s", bytes.len());
    }
    assert!(!over, "over the limit, or the machine was busy");
}
