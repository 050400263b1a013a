//! Flat work in mm and what is told about it give the bytes of a file for a cutter.

mod dxf;
mod hpgl;
mod pdf;
mod svg;

use super::{ExportFault, FURTHEST, Meta};
use crate::base::Vec2;
use crate::form::flat::{Flat, Layer, Segment};

/// A file format for flat work.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum FlatFormat {
    /// SVG: one user unit is 1 mm; true arcs and curves, a group for each layer, title, maker and licence inside.
    Svg,
    /// DXF of the year 2000: millimetres stated; polylines with true arcs; curves told by arcs within 0.002 mm.
    Dxf,
    /// PDF at true size over as many A4 pages as it needs, with a ruler; a layer for each of ours.
    Pdf,
    /// HP-GL: pen moves in steps of 0.025 mm, a pen for each meaning.
    HpGl,
}

impl FlatFormat {
    /// Every format, the most useful first.
    pub const ALL: [Self; 4] = [Self::Svg, Self::Dxf, Self::Pdf, Self::HpGl];

    /// Those that are written when nobody says.
    pub const USUAL: [Self; 2] = [Self::Svg, Self::Dxf];

    /// What a file of this format ends in, without the dot; also how a user names the format.
    pub fn extension(self) -> &'static str {
        match self {
            Self::Svg => "svg",
            Self::Dxf => "dxf",
            Self::Pdf => "pdf",
            Self::HpGl => "plt",
        }
    }

    /// The format of that name, in small or capital letters, with or without a dot.
    pub fn named(name: &str) -> Option<Self> {
        let name = name.trim_start_matches('.').to_ascii_lowercase();
        Self::ALL.into_iter().find(|format| format.extension() == name)
    }
}

/// The bytes of a file that holds the flat work.
///
/// # Errors
/// [`ExportFault::EmptyFlat`], [`ExportFault::NotFinite`], [`ExportFault::TooWide`].
pub fn flat_file(format: FlatFormat, flat: &Flat, meta: &Meta) -> Result<Vec<u8>, ExportFault> {
    if flat.is_empty() {
        return Err(ExportFault::EmptyFlat);
    }
    let bounds = flat.bounds();
    if !(bounds.is_finite() && bounds.min.x.abs().max(bounds.max.x.abs()) <= FURTHEST) {
        return Err(ExportFault::NotFinite(meta.title.clone()));
    }
    let (low, high) = close_bounds(flat);
    let size = high - low;
    let reach = match format {
        FlatFormat::Pdf if pdf::plan(size).pages() > pdf::PAGES => Some("400 pages"),
        FlatFormat::HpGl if 40.0 * size.x.max(size.y) > hpgl::LARGEST => Some("8388607 units"),
        _ => None,
    };
    if let Some(most) = reach {
        return Err(ExportFault::TooWide(format.extension(), most));
    }
    Ok(match format {
        FlatFormat::Svg => svg::bytes(flat, meta),
        FlatFormat::Dxf => dxf::bytes(flat, meta),
        FlatFormat::Pdf => pdf::bytes(flat, meta),
        FlatFormat::HpGl => hpgl::bytes(flat),
    })
}

/// A box close round all paths, mm: curves by points on them, since their own boxes hold their control points.
fn close_bounds(flat: &Flat) -> (Vec2, Vec2) {
    let none = (Vec2::new(f64::INFINITY, f64::INFINITY), Vec2::new(f64::NEG_INFINITY, f64::NEG_INFINITY));
    flat.loops().chain(flat.lines()).flat_map(|p| &p.pieces).fold(none, |(low, high), piece| {
        let (l, h) = match piece {
            Segment::Cubic(..) => {
                let places = (0..=CLOSE).map(|i| piece.at(f64::from(i) / f64::from(CLOSE)));
                places.fold(none, |(l, h), p| (l.min(p), h.max(p)))
            }
            other => other.bounds(),
        };
        (low.min(l), high.max(h))
    })
}

/// Places on a curve by which its box is found.
const CLOSE: u32 = 64;

/// Layers in the order in which a machine should do them: engraving first, cutting last.
fn in_order(flat: &Flat) -> Vec<&Layer> {
    let mut layers: Vec<&Layer> = flat.layers().iter().collect();
    layers.sort_by_key(|layer| layer.meaning);
    layers
}
