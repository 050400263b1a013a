//! Exact things: field, solid, surface, curve. A form holds a description, never samples, and knows no tolerance.

mod solid;
mod surface;

pub use solid::Solid;
pub use surface::Surface;
