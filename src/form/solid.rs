//! A region of space with an inside.

use std::sync::Arc;

use super::Surface;
use crate::base::{Affine, Box3};
use crate::formula::Expr;

/// A region of space with an inside; cloning is cheap. Lengths are mm.
#[derive(Clone, Debug)]
pub enum Solid {
    /// Where the expression in x, y, z is negative. `within`: a box known to hold it, else infinite.
    Field {
        /// Negative inside.
        value: Expr,
        /// A box that holds the region.
        within: Box3,
    },
    /// Points of either.
    Union(Arc<[Solid; 2]>),
    /// Points of both.
    Intersection(Arc<[Solid; 2]>),
    /// Points of the first that are not in the second.
    Difference(Arc<[Solid; 2]>),
    /// The union with the crease filled to a smooth transition of the given reach, mm.
    Blend(Arc<[Solid; 2]>, f64),
    /// The image under an affine map that can be undone.
    Moved(Arc<Solid>, Affine),
    /// The points p for which `map(p)` lies in the solid; `map` has three components in x, y, z.
    Mapped {
        /// The solid looked into.
        solid: Arc<Solid>,
        /// Where a point looks.
        map: [Expr; 3],
        /// A box that holds the result.
        within: Box3,
    },
    /// Every point nearer to the surface than half the thickness (mm), by true distance.
    Wall(Arc<Surface>, f64),
}
