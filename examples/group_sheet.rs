//! Draws one motif under the 17 wallpaper groups and the 7 frieze groups, named, on one sheet.
//!
//! `cargo run --example group_sheet [-- OUT.png]`

use std::error::Error;

use ogee::base::{Vec2, Vec3};
use ogee::form::flat::{self, Flat};
use ogee::form::group::{CellAsk, FRIEZE, Group, Reach, WALLPAPER, orbit_flat};
use ogee::form::{scale, shift, turn};
use ogee::show::{Look, Work, flats, sheet};

/// Where the sheet of the book lies.
const SHEET: &str = "book/src/pictures/groups.png";
/// Pictures in a row, and their side in pixels.
const COLUMNS: usize = 6;
const SIDE: u32 = 200;
/// Side of a window, mm.
const WINDOW: f64 = 44.0;

/// A motif in a wallpaper has this much room to all sides, mm, and in a frieze this much.
const ROOM: f64 = 3.6;
const FRIEZE_ROOM: f64 = 5.6;
/// Places along each side of a cell that are tried for the motif.
const TRIED: u32 = 48;

/// A winged seed within a circle of radius 1 about the origin, nowhere symmetric.
fn motif() -> Result<Flat, Box<dyn Error>> {
    let at = |flat: Flat, x: f64, y: f64| shift(&flat, Vec3::new(x, y, 0.0));
    let up = Vec3::new(0.0, 0.0, 1.0);
    let lens = flat::intersection(&at(flat::disc(1.1)?, 0.0, -0.78)?, &at(flat::disc(1.1)?, 0.0, 0.78)?);
    let wing = at(turn(&lens, up, 52.0)?, 0.12, 0.16)?;
    let seed = at(flat::disc(0.4)?, -0.42, -0.52)?;
    let whole = flat::union(&flat::union(&seed, &wing), &at(flat::disc(0.2)?, 0.62, 0.38)?);
    let rib = at(
        turn(
            &flat::polygon(&[(-0.5, -0.03), (0.4, 0.0), (-0.5, 0.03)].map(|(x, y)| Vec2::new(x, y)), 0.0)?,
            up,
            50.0,
        )?,
        0.18,
        0.16,
    )?;
    let eye = at(flat::disc(0.17)?, -0.46, -0.54)?;
    Ok(flat::difference(&whole, &flat::union(&rib, &eye)))
}

/// The place in a cell furthest from all its images, and how far from the nearest; in a frieze at a height.
fn roomiest(group: &Group, height: Option<f64>) -> (Vec3, f64) {
    let steps = group.steps();
    let step = |k: usize| steps.get(k).copied().unwrap_or(Vec3::ZERO);
    let room = |p: Vec3| {
        let images = group
            .motions()
            .iter()
            .flat_map(|m| (-1..=1).flat_map(move |i| (-1..=1).map(move |j| (m, f64::from(i), f64::from(j)))));
        let far = images.map(|(m, i, j)| (m.apply(p) + step(0) * i + step(1) * j - p).norm());
        // The motif itself is no image; one on its own mirror would be.
        let mut far: Vec<f64> = far.collect();
        far.sort_by(f64::total_cmp);
        far.iter().copied().nth(if height.is_some() { 3 } else { 1 }).unwrap_or(0.0)
    };
    let part = |k: u32| f64::from(k) / f64::from(TRIED);
    let mut best = (Vec3::ZERO, 0.0);
    for (i, j) in (0..TRIED).flat_map(|i| (0..TRIED).map(move |j| (i, j))) {
        let mut p = step(0) * part(i) + step(1) * part(j);
        if let Some(height) = height {
            p.y = height;
        }
        let found = room(p);
        if found > best.1 + 1e-9 {
            best = (p, found);
        }
    }
    best
}

/// The pattern that the motif makes, with the window that it is shown in.
fn pattern(group: &Group, frieze: bool) -> Result<Flat, Box<dyn Error>> {
    let rows = group.motions().iter().any(|m| m.apply(Vec3::new(0.0, 1.0, 0.0)).y < 0.0);
    let height = if rows { FRIEZE_ROOM } else { 0.0 };
    let (at, far) = roomiest(group, frieze.then_some(height));
    let room = if frieze { far.min(2.0 * FRIEZE_ROOM) } else { far };
    let placed = shift(&scale(&motif()?, Vec3::splat(0.5 * room))?, at)?;
    let made = orbit_flat(group, &placed, Reach::Ball(1.5 * WINDOW))?;
    let high = if frieze { 4.4 * FRIEZE_ROOM } else { WINDOW };
    let corner = |x: f64, y: f64| Vec2::new(0.5 * WINDOW * x, 0.5 * high * y);
    let window =
        flat::polygon(&[corner(-1.0, -1.0), corner(1.0, -1.0), corner(1.0, 1.0), corner(-1.0, 1.0)], 0.0)?;
    Ok(flat::union(&flat::intersection(&made, &window), &flat::outline(&window)))
}

fn main() -> Result<(), Box<dyn Error>> {
    let out = std::env::args().nth(1).unwrap_or_else(|| SHEET.to_owned());
    let mut cells = Vec::new();
    let kinds = WALLPAPER.iter().map(|p| (p, "wallpaper")).chain(FRIEZE.iter().map(|p| (p, "frieze")));
    for (plane, kind) in kinds {
        let named = |a: f64| {
            Group::named(&format!("{kind} {}", plane.symbol), &CellAsk { a: Some(a), ..CellAsk::default() })
        };
        let frieze = kind == "frieze";
        let rough = named(10.0)?;
        let rows = rough.motions().iter().any(|m| m.apply(Vec3::new(0.0, 1.0, 0.0)).y < 0.0);
        let count = rough.order() as f64;
        // The same room for each motif, whatever the number in a cell.
        let a = match frieze {
            true => 2.0 * FRIEZE_ROOM * count / if rows { 2.0 } else { 1.0 },
            false => 2.0 * ROOM * count.sqrt(),
        };
        let shown = pattern(&named(a)?, frieze)?;
        let look = Look { scale_bar: false, ..Look::square(SIDE) };
        let name = if frieze { format!("frieze {}", plane.symbol) } else { plane.symbol.to_owned() };
        cells.push((flats(&[Work { flat: &shown, paths: None }], &look), name));
    }
    std::fs::write(
        out,
        sheet(&cells, COLUMNS).small_png(&[("Title", "Wallpaper and frieze groups on one motif")]),
    )?;
    Ok(())
}
