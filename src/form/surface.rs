//! A sheet without thickness.

use std::sync::Arc;

use super::Solid;
use crate::base::Affine;
use crate::formula::Expr;

/// A sheet without thickness. Lengths are mm.
#[derive(Clone, Debug)]
pub enum Surface {
    /// Where the expression in x, y, z is zero.
    Level(Expr),
    /// The part inside a solid. A wall of it is cut flush by the solid.
    Clipped(Arc<Surface>, Arc<Solid>),
    /// The image under an affine map that can be undone.
    Moved(Arc<Surface>, Affine),
    /// Three components in two parameters with their ranges.
    Param {
        /// x, y, z.
        components: [Expr; 3],
        /// Names of the parameters.
        params: [String; 2],
        /// Ranges of the parameters.
        ranges: [(f64, f64); 2],
    },
}
