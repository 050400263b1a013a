//! Finished samples: mesh, paths, points; their laws and measures. Lengths are mm.

mod mesh;

pub use mesh::{Mesh, Side};
