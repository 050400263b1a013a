//! A finished shape gives a picture: our own ray tracer, light studio, lettering and contact sheets.
//!
//! In: meshes or flats in mm and a [`Look`]. Out: a [`Picture`] of 8-bit sRGB pixels, and its PNG bytes. The same meshes
//! and look give the same bytes on any number of threads.

mod camera;
mod flat;
mod glass;
mod letters;
mod lips;
mod look;
mod marks;
mod material;
mod normals;
mod palette;
mod picture;
mod render;
mod sampler;
#[cfg(test)]
mod samples;
mod scene;
mod sheet;
mod smooth;
mod studio;
#[cfg(test)]
mod tests;
mod tone;
mod trace;
mod tree;
mod vec;

pub use flat::{Work, flats};
pub use look::{Look, Material, Quality, View};
pub use picture::Picture;
pub use render::{Piece, group, picture, row, size};
pub use sheet::sheet;
