//! Finished samples: mesh, paths, points; their laws and measures. Lengths are mm.

mod arrangement;
mod laws;
mod measures;
mod mend;
mod mesh;
mod round;
mod tidy;
mod tree;
mod winding;

pub use laws::{Broken, Law};
pub use measures::Measures;
pub use mend::damage;

pub(crate) use mesh::root;
pub use mesh::{Mesh, Side};
pub use round::skin_round;
pub use tree::{Nearest, Tree, closest_on_triangle};
pub use winding::Winding;
