//! Draws one motif under the 17 wallpaper groups and the 7 frieze groups, named, on one sheet.
//!
//! `cargo run --example group_sheet [-- OUT.png]`

use std::error::Error;

use ogee::base::Vec3;
use ogee::form::flat::{self, Corners, Flat};
use ogee::form::group::{CellAsk, FRIEZE, Group, Reach, WALLPAPER, domain_flat, orbit_flat};
use ogee::form::{scale, shift, turn};
use ogee::show::{Look, flats, sheet};

/// Where the sheet of the book lies.
const SHEET: &str = "book/src/pictures/groups.png";
/// Pictures in a row, and their side in pixels.
const COLUMNS: usize = 6;
const SIDE: u32 = 160;
/// Side of a window, mm.
const WINDOW: f64 = 44.0;

/// A comma: a head and a tail, nowhere symmetric.
fn motif() -> Result<Flat, Box<dyn Error>> {
    let at = |flat: Flat, x: f64, y: f64| shift(&flat, Vec3::new(x, y, 0.0));
    let lens = flat::intersection(&flat::disc(3.0)?, &at(flat::disc(3.0)?, 2.8, 0.0)?);
    let tail = at(turn(&lens, Vec3::new(0.0, 0.0, 1.0), -50.0)?, 0.4, -0.8)?;
    let comma = flat::union(&at(flat::disc(1.2)?, 1.9, 1.7)?, &tail);
    let bite = at(flat::disc(0.5)?, 2.2, 2.0)?;
    Ok(at(flat::difference(&flat::outset(&comma, 0.05, Corners::Round)?, &bite), -1.2, -0.5)?)
}

/// The mean of a domain's corners, and how far its sides are.
fn middle(domain: &Flat) -> (f64, f64, f64) {
    let sides: Vec<_> = domain.loops().flat_map(|p| p.pieces.iter().copied()).collect();
    let sum = sides.iter().fold(ogee::base::Vec2::ZERO, |m, s| m + s.start());
    let mean = sum / sides.len().max(1) as f64;
    (mean.x, mean.y, sides.iter().map(|s| s.nearest(mean).0).fold(f64::INFINITY, f64::min))
}

fn main() -> Result<(), Box<dyn Error>> {
    let out = std::env::args().nth(1).unwrap_or_else(|| SHEET.to_owned());
    let motif = motif()?;
    let half = 0.5 * WINDOW;
    let square = [(-half, -half), (half, -half), (half, half), (-half, half)]
        .map(|(x, y)| ogee::base::Vec2::new(x, y));
    let window = flat::polygon(&square, 0.0)?;
    let frame = flat::outline(&window);
    let mut cells = Vec::new();
    let kinds = WALLPAPER.iter().map(|p| (p, "wallpaper")).chain(FRIEZE.iter().map(|p| (p, "frieze")));
    for (plane, kind) in kinds {
        let named = |a: f64| {
            Group::named(&format!("{kind} {}", plane.symbol), &CellAsk { a: Some(a), ..CellAsk::default() })
        };
        // The same room for each motif, whatever the number in a cell; the motif in the middle of its domain.
        let count = named(10.0)?.order() as f64;
        let a = if kind == "frieze" { if count > 1.0 { 15.0 } else { 8.0 } } else { 7.5 * count.sqrt() };
        let group = named(a)?;
        let (x, y, room) =
            if kind == "frieze" { (0.125 * a, 2.0, 1.8) } else { middle(&domain_flat(&group)?) };
        let placed = shift(&scale(&motif, Vec3::splat(room / 3.4))?, Vec3::new(x, y, 0.0))?;
        let pattern = orbit_flat(&group, &placed, Reach::Ball(1.5 * WINDOW))?;
        let shown = flat::union(&flat::intersection(&pattern, &window), &frame);
        let look = Look { scale_bar: false, ..Look::square(SIDE) };
        cells.push((
            flats(&[&shown], &look),
            if kind == "frieze" { format!("frieze {}", plane.symbol) } else { plane.symbol.to_owned() },
        ));
    }
    std::fs::write(
        out,
        sheet(&cells, COLUMNS).small_png(&[("Title", "Wallpaper and frieze groups on one motif")]),
    )?;
    Ok(())
}
