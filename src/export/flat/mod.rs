//! Flat work in mm and what is told about it give the bytes of a file for a cutter.

mod dxf;
mod svg;

use super::{ExportFault, FURTHEST, Meta};
use crate::form::flat::{Flat, Layer};

/// A file format for flat work.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum FlatFormat {
    /// SVG: one user unit is 1 mm; true arcs and curves, a group for each layer, title, maker and licence inside.
    Svg,
    /// DXF of the year 2000: millimetres stated; polylines with true arcs; curves told by arcs within 0.002 mm.
    Dxf,
}

impl FlatFormat {
    /// Every format, the most useful first.
    pub const ALL: [Self; 2] = [Self::Svg, Self::Dxf];

    /// What a file of this format ends in, without the dot; also how a user names the format.
    pub fn extension(self) -> &'static str {
        match self {
            Self::Svg => "svg",
            Self::Dxf => "dxf",
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
/// [`ExportFault::Empty`], [`ExportFault::NotFinite`].
pub fn flat_file(format: FlatFormat, flat: &Flat, meta: &Meta) -> Result<Vec<u8>, ExportFault> {
    if flat.is_empty() {
        return Err(ExportFault::EmptyFlat);
    }
    let bounds = flat.bounds();
    if !(bounds.is_finite() && bounds.min.x.abs().max(bounds.max.x.abs()) <= FURTHEST) {
        return Err(ExportFault::NotFinite(meta.title.clone()));
    }
    Ok(match format {
        FlatFormat::Svg => svg::bytes(flat, meta),
        FlatFormat::Dxf => dxf::bytes(flat, meta),
    })
}

/// Layers in the order in which a machine should do them: engraving first, cutting last.
fn in_order(flat: &Flat) -> Vec<&Layer> {
    let mut layers: Vec<&Layer> = flat.layers().iter().collect();
    layers.sort_by_key(|layer| layer.meaning);
    layers
}
