//! The solid that stands on a flat.

use std::sync::Arc;

use super::{Flat, Path};
use crate::base::{Box3, Vec2, Vec3};
use crate::form::fault::{FormFault, positive};
use crate::form::{Solid, xyz};
use crate::formula::{Expr, Unary};

/// The regions of a flat, raised from z = 0 to a height.
#[derive(Debug)]
pub struct Raised {
    loops: Vec<Path>,
    height: f64,
    value: Expr,
    within: Box3,
}

impl Raised {
    /// The loops round the regions by points no further than so many mm from them: outer ones anticlockwise, those of holes
    /// clockwise.
    pub fn outlines(&self, tolerance: f64) -> Vec<Vec<Vec2>> {
        self.loops.iter().map(|path| path.points(tolerance)).collect()
    }

    /// How high it is, mm.
    pub fn height(&self) -> f64 {
        self.height
    }

    /// Negative inside.
    pub(in crate::form) fn value(&self) -> &Expr {
        &self.value
    }

    /// The box of it.
    pub(in crate::form) fn within(&self) -> Box3 {
        self.within
    }
}

/// The solid that stands on the regions, from z = 0 up to a height, mm.
///
/// # Errors
/// [`FormFault::NotPositive`]; [`FormFault::Empty`] for a flat without regions.
pub fn raise(flat: &Flat, height: f64) -> Result<Solid, FormFault> {
    positive("height", height)?;
    let (side, (low, high)) = super::side(flat)?;
    let within = Box3::new(Vec3::new(low.x, low.y, 0.0), Vec3::new(high.x, high.y, height));
    let [_, _, z] = xyz();
    let slab = Expr::unary(Unary::Abs, z - 0.5 * height) - 0.5 * height;
    let value = side.max(slab);
    Ok(Solid::Raised(Arc::new(Raised { loops: flat.all_regions(), height, value, within })))
}
