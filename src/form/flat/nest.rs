//! Pieces laid out on sheets: each is tried in several directions, in the lowest place that is free, also in the holes of
//! others.
//!
//! The sheet is a grid of cells kept as bits. A piece grown by half the gap and a little more than half a cell's
//! diagonal covers every cell it comes near, so that pieces that share no cell keep their gap. For one row of places all
//! shifts are tried at once by shifting words. Pieces go large before small, in two orders; the better layout is kept.

use std::sync::Arc;

use super::near::Locator;
use super::parallel::{Corners, outset};
use super::path::{Path, bounds};
use super::{Flat, Layer, Meaning, regions};
use crate::base::{Affine, Vec2, Vec3};
use crate::form::FormFault;
use crate::form::fault::unfit;

/// Cells along the longer side of a sheet.
const CELLS: f64 = 640.0;
/// Most pieces laid out at once.
const MOST: usize = 2000;

/// Most pieces times directions that are tried.
const CASTS: usize = 12_000;

/// Pieces on one sheet, its lower left corner at the origin.
#[derive(Clone, Debug)]
pub(super) struct Laid {
    /// Each where it lies.
    pub parts: Vec<Flat>,
    /// Area of pieces over that of the sheet; nothing when there is no sheet.
    pub used: Option<f64>,
}

/// A piece in one direction, as the cells it covers.
struct Cast {
    turn: f64,
    /// Where the grid's corner lies in the turned piece's own coordinates.
    low: Vec2,
    /// The last place along the row, and the last row, at which it still lies inside the border.
    last: (usize, usize),
    rows: Vec<Vec<(usize, usize)>>,
}

struct Grid {
    cell: f64,
    /// What pieces are grown by, mm: the grid reaches so far into the border.
    grow: f64,
    margin: f64,
    /// Between the borders, mm.
    room: Vec2,
    rows: usize,
    words: usize,
}

impl Flat {
    /// Each region with its holes as a flat of its own, with what of other layers lies in it; then the lines that are to
    /// be cut and lie in none.
    pub(super) fn pieces(&self) -> Vec<Self> {
        let mut found: Vec<(Vec<Layer>, Locator)> = Vec::new();
        for layer in self.layers().iter().filter(|l| l.meaning == Meaning::Cut) {
            for loops in regions(&layer.loops) {
                let locator = Locator::new(&loops[..1]);
                found.push((
                    vec![Layer { loops: loops.into(), lines: Arc::new([]), ..layer.clone() }],
                    locator,
                ));
            }
        }
        for layer in self.layers() {
            let others = layer.meaning != Meaning::Cut;
            for (path, is_loop) in layer
                .loops
                .iter()
                .filter(|_| others)
                .map(|p| (p, true))
                .chain(layer.lines.iter().map(|p| (p, false)))
            {
                let Some(piece) = path.pieces.first() else { continue };
                let middle = piece.at(0.5);
                let Some((layers, _)) = found.iter_mut().find(|(_, l)| l.holds(middle)) else { continue };
                match layers.iter_mut().skip(1).find(|l| l.name == layer.name && l.meaning == layer.meaning) {
                    Some(there) if is_loop => {
                        there.loops = [&*there.loops, std::slice::from_ref(path)].concat().into()
                    }
                    Some(there) => there.lines = [&*there.lines, std::slice::from_ref(path)].concat().into(),
                    None => {
                        let one: Arc<[Path]> = Arc::new([path.clone()]);
                        let none: Arc<[Path]> = Arc::new([]);
                        let (loops, lines) = if is_loop { (one, none) } else { (none, one) };
                        layers.push(Layer { loops, lines, ..layer.clone() });
                    }
                }
            }
        }
        found.into_iter().map(|(layers, _)| Self::of_layers(layers)).collect()
    }
}

/// Pieces laid out on sheets: a flat for each. A single flat is taken apart into its pieces.
///
/// # Errors
/// [`FormFault::Unfit`] for a piece larger than a sheet, or too many; [`FormFault::Empty`].
pub fn nested(parts: &[Flat], size: Vec2, room: (f64, f64), turns: usize) -> Result<Vec<Flat>, FormFault> {
    let pieces = if parts.len() == 1 { parts[0].pieces() } else { parts.to_vec() };
    Ok(nest(&pieces, size, room, turns.max(1))?.into_iter().map(|l| super::all(&l.parts)).collect())
}

/// Pieces laid out on as many sheets of a size as they need, `gap` mm apart with a free border of `margin` mm.
///
/// # Errors
/// [`FormFault::Unfit`] for a piece larger than a sheet, or too many; [`FormFault::Empty`].
pub(super) fn nest(
    pieces: &[Flat],
    size: Vec2,
    (gap, margin): (f64, f64),
    turns: usize,
) -> Result<Vec<Laid>, FormFault> {
    let (wide, high) = (size.x - 2.0 * margin, size.y - 2.0 * margin);
    if !(wide > 1.0 && high > 1.0) {
        return Err(unfit(
            "sheet",
            format!("is {} × {} mm: its borders of {margin} mm leave nothing", size.x, size.y),
        ));
    }
    if pieces.is_empty() {
        return Err(FormFault::Empty);
    }
    if pieces.len() > MOST {
        return Err(unfit(
            "flat",
            format!("has {} pieces; at most {MOST} are laid out at once", pieces.len()),
        ));
    }
    if pieces.len().saturating_mul(turns) > CASTS {
        return Err(unfit("turns", format!("of {turns} for {} pieces are too many to try", pieces.len())));
    }
    let cell = wide.max(high) / CELLS;
    // Half a cell's diagonal is 0.708 of its side.
    let grow = 0.5 * gap + 0.71 * cell;
    let count = |mm: f64| ((mm + 2.0 * grow) / cell).ceil() as usize + 1;
    let words = count(wide).div_ceil(64);
    let grid = Grid { cell, grow, margin, room: Vec2::new(wide, high), rows: count(high), words };
    let casts: Vec<Vec<Cast>> = pieces.iter().map(|p| casts(p, turns, &grid)).collect();
    if let Some(i) = casts.iter().position(Vec::is_empty) {
        let b = pieces[i].bounds().size();
        let why = format!(
            "is too small for piece {} of {:.1} × {:.1} mm with a border of {margin} mm",
            i + 1,
            b.x,
            b.y
        );
        return Err(unfit("sheet", why));
    }
    let area: Vec<f64> = pieces.iter().map(|p| p.loops().map(Path::area).sum()).collect();
    let length: Vec<f64> = pieces.iter().map(|p| p.bounds().size().largest()).collect();
    let best = [&area, &length]
        .into_iter()
        .map(|by| {
            let mut order: Vec<usize> = (0..pieces.len()).collect();
            order.sort_by(|a, b| by[*b].total_cmp(&by[*a]).then(a.cmp(b)));
            placed(&casts, &order, &grid)
        })
        .min_by(|a, b| (a.sheets, a.top).cmp(&(b.sheets, b.top)));
    let Some(best) = best else { return Err(FormFault::Empty) };
    let mut laid: Vec<Laid> = vec![Laid { parts: Vec::new(), used: Some(0.0) }; best.sheets];
    for (i, place) in best.places.iter().enumerate() {
        let cast = &casts[i][place.turn];
        let turn = Affine::turn(Vec3::new(0.0, 0.0, 1.0), cast.turn).unwrap_or(Affine::IDENTITY);
        let corner = Vec2::new(place.x as f64, place.y as f64) * grid.cell
            + Vec2::new(grid.margin - grid.grow, grid.margin - grid.grow)
            - cast.low;
        let sheet = &mut laid[place.sheet];
        sheet.parts.push(pieces[i].carried(&turn.then(&Affine::shift(Vec3::new(corner.x, corner.y, 0.0)))));
        sheet.used = sheet.used.map(|u| u + area[i] / (size.x * size.y));
    }
    Ok(laid)
}

/// The piece in every direction in which it fits on the grid.
fn casts(piece: &Flat, turns: usize, grid: &Grid) -> Vec<Cast> {
    // A piece of lines alone takes the room of its lines.
    let mut loops: Vec<Path> = piece.loops().cloned().collect();
    if loops.is_empty() {
        let lines: Vec<Path> = piece.lines().cloned().collect();
        loops = super::parallel::band(&lines, 0.2, Corners::Round, super::Ends::Round);
    }
    let grown = outset(&loops, grid.grow, Corners::Round);
    let mut out = Vec::new();
    for k in 0..turns {
        let turn = std::f64::consts::TAU * k as f64 / turns as f64;
        let by = Affine::turn(Vec3::new(0.0, 0.0, 1.0), turn).unwrap_or(Affine::IDENTITY);
        let turned: Vec<Path> = grown.iter().map(|p| p.moved(&by)).collect();
        let (low, high) = bounds(&turned);
        let last = |room: f64, long: f64| {
            let free = (room + 2.0 * grid.grow - long) / grid.cell + 1e-9;
            (free >= 0.0).then_some(free as usize)
        };
        let size = high - low;
        if let (Some(x), Some(y)) = (last(grid.room.x, size.x), last(grid.room.y, size.y)) {
            let rows = (size.y / grid.cell).ceil() as usize;
            let points: Vec<Vec<Vec2>> = turned.iter().map(|p| p.points(0.05 * grid.cell)).collect();
            let rows = (0..rows).map(|r| runs(&points, low, r, grid.cell)).collect();
            out.push(Cast { turn, low, last: (x, y), rows });
        }
    }
    out
}

/// The runs of cells of a row whose middles loops go round.
fn runs(loops: &[Vec<Vec2>], low: Vec2, row: usize, cell: f64) -> Vec<(usize, usize)> {
    let y = low.y + (row as f64 + 0.5) * cell;
    let mut crossings: Vec<(f64, i32)> = Vec::new();
    for points in loops {
        for (i, a) in points.iter().enumerate() {
            let b = points[(i + 1) % points.len()];
            if (a.y <= y) != (b.y <= y) {
                crossings
                    .push((a.x + (b.x - a.x) * ((y - a.y) / (b.y - a.y)), if b.y > a.y { 1 } else { -1 }));
            }
        }
    }
    crossings.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (mut turns, mut out) = (0, Vec::new());
    for w in crossings.windows(2) {
        turns += w[0].1;
        if turns == 0 {
            continue;
        }
        let first = ((w[0].0 - low.x) / cell - 0.5).ceil().max(0.0) as usize;
        let last = ((w[1].0 - low.x) / cell - 0.5).floor();
        if last >= first as f64 {
            out.push((first, last as usize));
        }
    }
    out
}

#[derive(Clone, Copy)]
struct Place {
    sheet: usize,
    turn: usize,
    x: usize,
    y: usize,
}

struct Layout {
    places: Vec<Place>,
    sheets: usize,
    /// The highest row in use on the last sheet.
    top: usize,
}

/// Pieces put down in an order, each as low as it goes.
fn placed(casts: &[Vec<Cast>], order: &[usize], grid: &Grid) -> Layout {
    let mut places = vec![Place { sheet: 0, turn: 0, x: 0, y: 0 }; casts.len()];
    let mut sheets: Vec<Vec<u64>> = Vec::new();
    let mut tops: Vec<usize> = Vec::new();
    // A piece like the one before cannot lie lower than that one.
    let mut before: Option<(usize, Place)> = None;
    for &i in order {
        let like = before.filter(|(k, _)| alike(&casts[*k], &casts[i])).map(|(_, p)| p);
        let mut sheet = like.map_or(0, |p| p.sheet);
        let found = loop {
            if sheet == sheets.len() {
                sheets.push(vec![0; grid.words * grid.rows]);
                tops.push(0);
            }
            let from = like.filter(|p| p.sheet == sheet).map_or(0, |p| p.y / 2);
            match lowest(&sheets[sheet], &casts[i], grid, from) {
                Some(p) => break Place { sheet, ..p },
                // An empty sheet takes every piece: see `casts`.
                None => sheet += 1,
            }
        };
        let cast = &casts[i][found.turn];
        cover(&mut sheets[found.sheet], cast, grid, found);
        tops[found.sheet] = tops[found.sheet].max(found.y + cast.rows.len());
        places[i] = found;
        before = Some((i, found));
    }
    Layout { places, sheets: sheets.len(), top: tops.last().copied().unwrap_or(0) }
}

fn alike(a: &[Cast], b: &[Cast]) -> bool {
    a.len() == b.len() && a.iter().zip(b).all(|(c, d)| c.rows == d.rows)
}

/// The place where the piece's top is lowest, then furthest left.
fn lowest(sheet: &[u64], casts: &[Cast], grid: &Grid, from: usize) -> Option<Place> {
    let mut best: Option<(usize, Place)> = None;
    let mut taken = vec![0; grid.words];
    let mut work = vec![0; grid.words];
    for (turn, cast) in casts.iter().enumerate() {
        for y in from..=cast.last.1 {
            let top = y + cast.rows.len();
            if best.is_some_and(|(t, p)| top > t || (top == t && p.x == 0)) {
                break;
            }
            if let Some(x) = first_free(sheet, cast, grid, y, (&mut taken, &mut work))
                && best.is_none_or(|(t, p)| (top, x) < (t, p.x))
            {
                best = Some((top, Place { sheet: 0, turn, x, y }));
                break;
            }
        }
    }
    best.map(|(_, p)| p)
}

/// The first shift along a row of places at which no cell is taken already.
fn first_free(
    sheet: &[u64],
    cast: &Cast,
    grid: &Grid,
    y: usize,
    (taken, work): (&mut [u64], &mut [u64]),
) -> Option<usize> {
    taken.fill(0);
    for (r, runs) in cast.rows.iter().enumerate() {
        let row = &sheet[(y + r) * grid.words..(y + r + 1) * grid.words];
        if row.iter().all(|w| *w == 0) {
            continue;
        }
        for &(a, b) in runs {
            shifted(row, a, work);
            let (mut span, long) = (1, b - a + 1);
            while 2 * span <= long {
                or_shifted(work, span);
                span *= 2;
            }
            if long > span {
                or_shifted(work, long - span);
            }
            taken.iter_mut().zip(work.iter()).for_each(|(t, w)| *t |= w);
        }
    }
    (0..=cast.last.0).find(|x| taken[x / 64] >> (x % 64) & 1 == 0)
}

/// The bits of a row moved down by a number of places.
fn shifted(row: &[u64], by: usize, out: &mut [u64]) {
    let (whole, part) = (by / 64, by % 64);
    for (i, o) in out.iter_mut().enumerate() {
        let low = row.get(i + whole).copied().unwrap_or(0);
        let high = row.get(i + whole + 1).copied().unwrap_or(0);
        *o = if part == 0 { low } else { (low >> part) | (high << (64 - part)) };
    }
}

/// Adds the bits moved down by a number of places.
fn or_shifted(row: &mut [u64], by: usize) {
    let (whole, part) = (by / 64, by % 64);
    for i in 0..row.len() {
        let low = row.get(i + whole).copied().unwrap_or(0);
        let high = row.get(i + whole + 1).copied().unwrap_or(0);
        row[i] |= if part == 0 { low } else { (low >> part) | (high << (64 - part)) };
    }
}

fn cover(sheet: &mut [u64], cast: &Cast, grid: &Grid, place: Place) {
    for (r, runs) in cast.rows.iter().enumerate() {
        let row = &mut sheet[(place.y + r) * grid.words..(place.y + r + 1) * grid.words];
        for &(a, b) in runs {
            for x in place.x + a..=place.x + b {
                row[x / 64] |= 1 << (x % 64);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::{difference, disc, polygon, regular};
    use super::*;

    /// Every pair keeps its gap, everything keeps the border.
    fn keeps(laid: &[Laid], size: Vec2, gap: f64, margin: f64) {
        for sheet in laid {
            for (i, a) in sheet.parts.iter().enumerate() {
                let b = a.bounds();
                assert!(b.min.x >= margin - 1e-6 && b.min.y >= margin - 1e-6, "{b:?}");
                assert!(b.max.x <= size.x - margin + 1e-6 && b.max.y <= size.y - margin + 1e-6, "{b:?}");
                let loops: Vec<Path> = a.loops().cloned().collect();
                let locator = Locator::new(&loops);
                for other in &sheet.parts[..i] {
                    for p in other.loops().flat_map(|p| p.points(0.05)) {
                        assert!(
                            !locator.holds(p) && locator.distance(p) >= gap - 0.06,
                            "{}",
                            locator.distance(p)
                        );
                    }
                }
            }
        }
    }

    #[test]
    fn pieces_keep_their_gap_and_turn_to_fit() {
        let triangle = polygon(&[[0.0, 0.0], [40.0, 0.0], [0.0, 40.0]].map(Vec2::from), 0.0).unwrap();
        let pieces = vec![triangle; 8];
        let size = Vec2::new(120.0, 120.0);
        let straight = nest(&pieces, size, (2.0, 5.0), 1).unwrap();
        let turned = nest(&pieces, size, (2.0, 5.0), 4).unwrap();
        keeps(&straight, size, 2.0, 5.0);
        keeps(&turned, size, 2.0, 5.0);
        let top = |l: &[Laid]| {
            l[0].parts.iter().map(|p| p.bounds().max.y).fold(0.0, f64::max) + 1000.0 * (l.len() - 1) as f64
        };
        assert!(top(&turned) < top(&straight), "{} {}", top(&turned), top(&straight));
        let used = turned[0].used.unwrap();
        assert!(turned.len() > 1 || (used - 8.0 * 800.0 / 14_400.0).abs() < 1e-9, "{used}");
    }

    #[test]
    fn holes_are_used_and_sheets_are_added() {
        let ring = difference(&disc(30.0).unwrap(), &disc(24.0).unwrap());
        let inside = regular(6, 18.0, 1).unwrap();
        let size = Vec2::new(80.0, 80.0);
        let laid = nest(&[ring.clone(), inside], size, (1.0, 5.0), 1).unwrap();
        assert_eq!(laid.len(), 1);
        keeps(&laid, size, 1.0, 5.0);
        let two = nest(&[ring.clone(), ring], size, (1.0, 5.0), 1).unwrap();
        assert_eq!(two.len(), 2);
        assert!(nest(&[disc(36.0).unwrap()], size, (1.0, 5.0), 1).is_err());
        assert!(nest(&[disc(34.9).unwrap()], size, (1.0, 5.0), 1).is_ok());
    }
}
