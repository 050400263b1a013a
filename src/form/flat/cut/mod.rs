//! Flat work made ready for a machine: kerf by side, what lies within before what is round it, shared edges once,
//! islands bridged, overcut, mirrored, marked, laid out on sheets. Lengths are mm.
//!
//! What comes out is for the middle of the tool, on layers named by what they are for. What was met on the way (doubled
//! lines, islands, what the kerf eats up) is kept for whoever checks.

mod bridge;
mod kerf;
mod knife;
mod lead;
mod marks;
mod order;
mod overlap;

use std::sync::Arc;

pub use overlap::Doubled;

use super::cross::crossings;
use super::nest::{Laid, nest};
use super::path::Path;
use super::thin::{Narrow, gap_between, least_width, thinnest};
use super::{Flat, Layer, Meaning, regions};
use crate::base::Vec2;
use crate::craft::Cutting;
use crate::form::FormFault;

/// Lines nearer than this, mm, are one line.
const SAME: f64 = 0.01;

/// What is wished beside the process.
#[derive(Clone, Debug, Default)]
pub struct Ask {
    /// How many bridges hold each island; 0 for none.
    pub bridges: usize,
    /// Mirrored, as film is that is transferred face down.
    pub mirror: bool,
    /// Three registration marks outside the work.
    pub marks: bool,
    /// A number on every piece, from 1 on over all sheets.
    pub labels: bool,
    /// A box so far outside the work, with cross cuts through the waste; 0 for none.
    pub weed: f64,
    /// Folds cut as dashes, two long and one free.
    pub perforate: bool,
    /// Paths for the axis of a drag knife instead of its tip.
    pub swivel: bool,
    /// Radius of the arcs by which cuts of outlines and openings start and end in the waste; 0 for none.
    pub lead: f64,
    /// How many uncut stretches hold each piece in its sheet; 0 for none.
    pub tabs: usize,
    /// Width and height of the sheets to lay pieces out on.
    pub sheet: Option<Vec2>,
    /// In how many directions a piece may be turned on the sheet: 1 keeps it as it is.
    pub turns: usize,
}

/// One sheet, ready.
#[derive(Clone, Debug)]
pub struct Sheet {
    /// What should come out of the machine.
    pub wanted: Flat,
    /// Where the middle of the tool goes, in order: the layers for files.
    pub paths: Flat,
    /// Area of the pieces over that of the sheet; nothing without a sheet.
    pub used: Option<f64>,
    /// Pieces on it.
    pub pieces: usize,
    /// Lines that were given more than once and are cut once.
    pub doubled: Vec<Doubled>,
    /// Edges that two pieces share, cut once: their length.
    pub shared: f64,
    /// The longest stretch where cuts run side by side too near, and the length of all such.
    pub crowded: Option<(Doubled, f64)>,
    /// Places where a line to be cut crosses another, or an outline.
    pub crossed: Vec<Vec2>,
    /// Area that belongs to several pieces, mm².
    pub overlap: f64,
    /// Places of holes and pieces that the kerf eats up.
    pub vanished: Vec<Vec2>,
    /// The thinnest place.
    pub thinnest: Option<Narrow>,
    /// The narrowest gap.
    pub gap: Option<Narrow>,
    /// The smallest piece: its least width, and a point of it.
    pub smallest: Option<(f64, Vec2)>,
    /// The smallest hole: its least width, and a point of it.
    pub hole: Option<(f64, Vec2)>,
    /// The smallest radius of hollow arcs, and where; 0 at a hollow corner.
    pub hollow: Option<(f64, Vec2)>,
    /// Number of pieces too small for a label.
    pub unlabelled: usize,
    /// Cuts that found no room for a lead.
    pub leadless: usize,
    /// Uncut stretches that hold pieces.
    pub tabs: usize,
}

/// Flat work ready for a machine.
#[derive(Clone, Debug)]
pub struct Prepared {
    /// How it is cut.
    pub process: Cutting,
    /// What was wished.
    pub ask: Ask,
    /// The sheets.
    pub sheets: Vec<Sheet>,
    /// Islands that fall out: a point of each, as the work was given.
    pub islands: Vec<Vec2>,
    /// Bridges built.
    pub bridges: usize,
}

impl Prepared {
    /// What should come out of the machine, sheets side by side.
    pub fn wanted(&self) -> Flat {
        let mut next = 0.0;
        let mut all = Vec::new();
        for sheet in &self.sheets {
            let b = sheet.wanted.bounds();
            let to = crate::base::Affine::shift(crate::base::Vec3::new(next - b.min.x, 0.0, 0.0));
            let moved = if self.sheets.len() == 1 { sheet.wanted.clone() } else { sheet.wanted.carried(&to) };
            next += (b.max.x - b.min.x) * 1.06;
            all.push(moved);
        }
        match all.len() {
            1 => all.remove(0),
            _ => super::all(&all),
        }
    }
}

impl Prepared {
    /// What is to be seen of it, sheets side by side: the work as it lies under the tool, and the paths over it.
    pub fn pictured(&self) -> [Flat; 2] {
        let mut next = 0.0;
        let (mut work, mut paths) = (Vec::new(), Vec::new());
        for sheet in &self.sheets {
            let box_of_paths = sheet.paths.bounds();
            let lies = match self.ask.mirror {
                true => marks::mirrored(&sheet.wanted, box_of_paths),
                false => sheet.wanted.clone(),
            };
            let b = box_of_paths.join(lies.bounds());
            let to = crate::base::Affine::shift(crate::base::Vec3::new(next - b.min.x, 0.0, 0.0));
            next += (b.max.x - b.min.x) * 1.06;
            work.push(lies.carried(&to));
            paths.push(sheet.paths.carried(&to));
        }
        [work, paths].map(|all| super::all(&all))
    }
}

/// Prepares pieces for a process.
///
/// # Errors
/// [`FormFault::Empty`] when nothing is to be cut; [`FormFault::Unfit`] when a piece does not fit on the sheet.
pub fn prepare(parts: &[Flat], process: &Cutting, ask: &Ask) -> Result<Prepared, FormFault> {
    let mut parts: Vec<Flat> = parts.iter().filter(|p| !p.is_empty()).cloned().collect();
    if parts.is_empty() {
        return Err(FormFault::Empty);
    }
    let (mut found, mut bridges) = (Vec::new(), 0);
    for part in &mut parts {
        *part = part.each_layer(|layer| {
            if layer.meaning != Meaning::Cut {
                return (layer.loops.to_vec(), layer.lines.to_vec());
            }
            let mut loops = layer.loops.to_vec();
            if ask.bridges > 0 {
                let (held, built) = bridge::bridged(&loops, ask.bridges, process.bridge);
                (loops, bridges) = (held, bridges + built);
            }
            found.extend(bridge::places(&loops));
            (loops, layer.lines.to_vec())
        });
    }
    let laid: Vec<Laid> = match ask.sheet {
        None => vec![Laid { parts, used: None }],
        Some(size) => {
            let pieces = if parts.len() == 1 { parts[0].pieces() } else { parts };
            nest(&pieces, size, (process.gap, process.margin), ask.turns.max(1))?
        }
    };
    let mut sheets: Vec<Sheet> = Vec::with_capacity(laid.len());
    for laid in laid {
        // Numbers go on from sheet to sheet.
        let before = sheets.iter().map(|s| s.pieces).sum();
        sheets.push(sheet(&laid, process, ask, before)?);
    }
    Ok(Prepared { process: process.clone(), ask: ask.clone(), sheets, islands: found, bridges })
}

/// One sheet of pieces, after so many on sheets before.
fn sheet(laid: &Laid, process: &Cutting, ask: &Ask, before: usize) -> Result<Sheet, FormFault> {
    let mut wanted = super::all(&laid.parts);
    if let Some(size) = ask.sheet {
        let corners = [Vec2::ZERO, Vec2::new(size.x, 0.0), size, Vec2::new(0.0, size.y)];
        let edge = Flat::of_lines(vec![Path::polygon(&corners)]).on_layer(SHEET, Meaning::Draw);
        wanted = super::all(&[edge, wanted]);
    }
    let cuts = |flat: &Flat| -> Vec<Layer> {
        flat.layers().iter().filter(|l| l.meaning == Meaning::Cut).cloned().collect()
    };
    let pieces: Vec<Vec<Path>> = laid.parts.iter().flat_map(&cuts).flat_map(|l| regions(&l.loops)).collect();
    let lines: Vec<Path> = laid.parts.iter().flat_map(cuts).flat_map(|l| l.lines.to_vec()).collect();
    let loops: Vec<Path> = pieces.iter().flatten().cloned().collect();
    let offset = kerf::offset(&pieces, process.kerf);
    if !offset.seams.is_empty() {
        let seams = Flat::of_lines(offset.seams.clone()).on_layer("cut", Meaning::Cut);
        wanted = super::all(&[wanted, seams]);
    }
    // Lines that lie on an outline are cut with it: compare them where the outline was drawn, not where it is cut.
    let (kept, mut doubled) = overlap::once(&[loops.clone(), lines].concat(), SAME);
    let shared: f64 = offset.seams.iter().map(Path::length).sum();
    let (lines, of_loops) = split_lines(&kept, &loops);
    let open = lines.len();
    let crossed = crossings(&[lines.clone(), loops.clone()].concat(), |a, b| a.min(b) < open);
    doubled.drain(..of_loops.min(doubled.len()));
    let all = [offset.loops.clone(), offset.seams.clone(), lines].concat();
    let (once, again) = overlap::once(&all, SAME);
    doubled.extend(again);
    let crowded = overlap::side_by_side(&once, process.spacing);
    let mut out = Sheet {
        paths: Flat::default(),
        used: laid.used,
        pieces: pieces.len(),
        doubled,
        shared,
        crowded,
        crossed,
        overlap: offset.overlap,
        vanished: offset.vanished,
        thinnest: thinnest(&pieces, process.strip),
        gap: gap_between(&loops, &offset.groups, process.kerf.max(process.spacing)),
        smallest: least(&loops, 1.0),
        hole: least(&loops, -1.0),
        hollow: hollow(&loops),
        unlabelled: 0,
        leadless: 0,
        tabs: 0,
        wanted,
    };
    let mut layers = others(&out.wanted, ask.perforate);
    if ask.labels {
        let (label, missing) = marks::numbers(&pieces, before);
        out.unlabelled = missing;
        out.wanted = super::all(&[out.wanted.clone(), Flat::of_layers(label.clone())]);
        layers.extend(label);
    }
    let made = tool_paths(once, &offset.loops, process, ask);
    (out.leadless, out.tabs) = (made.leadless, made.tabs);
    layers.extend(made.layers);
    if ask.weed > 0.0 {
        layers.push(marks::weeding(&loops, ask.weed));
    }
    if ask.marks {
        layers.insert(0, marks::registration(&Flat::of_layers(layers.clone())));
    }
    layers.retain(|l| !(l.loops.is_empty() && l.lines.is_empty()));
    let paths = Flat::of_layers(layers);
    out.paths = if ask.mirror { marks::mirrored(&paths, paths.bounds()) } else { paths };
    if out.paths.is_empty() { Err(FormFault::Empty) } else { Ok(out) }
}

/// What of the kept paths are lines and not loops, and how many stretches were left out of the loops (shared edges,
/// which are told elsewhere).
fn split_lines(kept: &[Path], loops: &[Path]) -> (Vec<Path>, usize) {
    let (alone, again) = overlap::once(loops, SAME);
    (kept[alone.len().min(kept.len())..].to_vec(), again.len())
}

/// Where the tool goes, and what was met on the way.
struct ToolPaths {
    layers: [Layer; 2],
    leadless: usize,
    tabs: usize,
}

/// The cutting layers, in order; `outlines` are those of the paths that go round pieces and openings.
fn tool_paths(paths: Vec<Path>, outlines: &[Path], process: &Cutting, ask: &Ask) -> ToolPaths {
    let (mut inner, mut outer) = (Vec::new(), Vec::new());
    let outlines = lead::Loops::new(outlines);
    let mut room = lead::Room::new(if ask.lead > 0.0 { &paths } else { &[] }, process.kerf);
    let mut tabs = 0;
    let width = lead::tab_width(process.thickness) + process.kerf;
    for (depth, path) in order::ordered(paths) {
        let (open, outline) = (!path.closed, outlines.hold(&path));
        let held = if outline && path.area() > 0.0 { ask.tabs } else { 0 };
        let rows = lead::tabbed(&path, held, width);
        tabs += if open { 0 } else { rows.iter().filter(|r| !r.closed).count() };
        for row in rows {
            let mut row = match (outline && ask.lead > 0.0, row.closed) {
                (true, true) => room.led(&row, ask.lead),
                (true, false) => room.led_in(&row, ask.lead),
                _ => knife::overcut(&row, process.overcut),
            };
            if ask.swivel {
                row = knife::axis(&row, process.offset);
            }
            // Open cuts come before the outline, which frees the piece.
            if depth > 0 || open { inner.push(row) } else { outer.push(row) }
        }
    }
    let layers = [("cut-inner", inner), ("cut-outer", outer)].map(|(name, lines)| Layer {
        name: name.into(),
        meaning: Meaning::Cut,
        loops: Arc::new([]),
        lines: lines.into(),
    });
    ToolPaths { layers, leadless: room.without, tabs }
}

/// The layers that are not cut, folds as dashes where that is wished.
fn others(wanted: &Flat, perforate: bool) -> Vec<Layer> {
    let layers = wanted.layers().iter().filter(|l| l.meaning != Meaning::Cut && &*l.name != SHEET);
    layers
        .map(|l| match l.meaning {
            Meaning::Score if perforate => {
                let paths = l.loops.iter().chain(l.lines.iter());
                let dashes: Vec<Path> = paths.flat_map(marks::dashes).collect();
                Layer { loops: Arc::new([]), lines: dashes.into(), ..l.clone() }
            }
            _ => l.clone(),
        })
        .collect()
}

/// The layer that shows the sheet in pictures; it does not go to files.
pub(super) const SHEET: &str = "sheet";

/// The loop of one sense with the least width: the width, and a point of it.
fn least(loops: &[Path], sense: f64) -> Option<(f64, Vec2)> {
    let those = loops.iter().filter(|p| p.area() * sense > 0.0);
    those.map(|p| (least_width(p), p.pieces[0].at(0.5))).min_by(|a, b| a.0.total_cmp(&b.0))
}

/// The smallest radius at which the outline bends into the piece, and where; 0 at a hollow corner.
fn hollow(loops: &[Path]) -> Option<(f64, Vec2)> {
    let mut best: Option<(f64, Vec2)> = None;
    let mut put = |r: f64, p: Vec2| {
        if best.is_none_or(|b| r < b.0) {
            best = Some((r, p));
        }
    };
    for path in loops {
        for (i, piece) in path.pieces.iter().enumerate() {
            let next = &path.pieces[(i + 1) % path.pieces.len()];
            let (u, v) = (piece.direction(true), next.direction(false));
            // The region lies to the left: a turn to the right is hollow.
            if u.cross(v) < -0.17 || u.dot(v) < -0.999 {
                put(0.0, piece.end());
            }
            if let Some(round) = piece.round().filter(|r| r.sweep < 0.0) {
                put(round.radius, piece.at(0.5));
            }
        }
    }
    best
}

#[cfg(test)]
mod tests;
