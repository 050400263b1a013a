//! Knots and links: from codes, words and numbers to curves, and from curves back to what knot they are.

mod alexander;
mod braid;
mod codes;
mod crossings;
mod diagram;
mod drawing;
mod family;
mod packing;
mod plat;
mod table;

pub use alexander::{Laurent, alexander, determinant};
pub use braid::{braid_rings, braid_strands};
pub use codes::{dowker_diagram, gauss_diagram, signed_gauss_diagram};
pub use crossings::{Crossing, View, crossings};
pub use diagram::Diagram;
pub use drawing::drawn;
pub use family::{pretzel_diagram, two_bridge_diagram};
pub use plat::{PLATS, even_twists, plat_ring};
pub use table::{SYMMETRIC, TABLE, Tabled, UNKNOT, common_names, is_tabled, table_name};

#[cfg(test)]
mod tests;
