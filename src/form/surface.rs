//! A sheet without thickness.

use std::sync::Arc;

use super::fault::{FormFault, positive};
use super::leaps;
use super::{Patch, Solid, Thickness};
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
    /// The surface of a solid.
    Skin(Arc<Solid>),
    /// Triangles that stand for a smooth sheet, such as a film.
    Mesh(Arc<Patch>),
}

impl Surface {
    /// The triangles that stand for it, clipped or not.
    pub fn patch(&self) -> Option<&Arc<Patch>> {
        match self {
            Self::Mesh(patch) => Some(patch),
            Self::Clipped(s, _) => s.patch(),
            Self::Level(_) | Self::Moved(..) | Self::Param { .. } | Self::Skin(_) => None,
        }
    }

    /// How many steps are nested in one another.
    pub fn depth(&self) -> u32 {
        match self {
            Self::Level(_) | Self::Param { .. } | Self::Mesh(_) => 1,
            Self::Clipped(s, by) => 1 + s.depth().max(by.depth()),
            Self::Moved(s, _) => 1 + s.depth(),
            Self::Skin(s) => 1 + s.depth(),
        }
    }
}

/// The part of a surface inside a solid. A wall of it is cut flush by the solid.
///
/// # Errors
/// [`FormFault::TooDeep`].
pub fn clip(surface: &Surface, by: &Solid) -> Result<Surface, FormFault> {
    let clipped = match surface {
        Surface::Clipped(s, before) => {
            Surface::Clipped(s.clone(), Arc::new(super::intersection(before, by)?))
        }
        other => Surface::Clipped(Arc::new(other.clone()), Arc::new(by.clone())),
    };
    by.clone().checked().map(|_| clipped)
}

/// The solid of every point nearer to the surface than half the thickness, mm, by true distance.
///
/// # Errors
/// [`FormFault::NotPositive`].
pub fn wall(surface: &Surface, thickness: f64) -> Result<Solid, FormFault> {
    walled(surface, &Thickness::Even(positive("thickness", thickness)?))
}

/// The walls of a surface's sheets: of one that leaps, each has its own.
///
/// # Errors
/// [`FormFault::TooDeep`].
pub(super) fn walled(surface: &Surface, thickness: &Thickness) -> Result<Solid, FormFault> {
    let walls: Vec<Solid> =
        leaps::sheets(surface).into_iter().map(|s| Solid::Wall(Arc::new(s), thickness.clone())).collect();
    match <[Solid; 1]>::try_from(walls) {
        Ok([one]) => one.checked(),
        Err(walls) => Solid::Union(walls.into()).checked(),
    }
}

/// The closed curves along the border of a film.
///
/// # Errors
/// [`FormFault::Unfit`] for a surface that is not kept as triangles: its ranges or a clip bound it.
pub fn border(surface: &Surface) -> Result<super::Curve, FormFault> {
    match surface {
        Surface::Mesh(patch) => Ok(patch.border().clone()),
        _ => Err(super::fault::unfit(
            "surface",
            "has no border of its own: only films and what else is found on a net have one",
        )),
    }
}

/// The surface that an expression of two parameters draws.
///
/// # Errors
/// [`FormFault::EmptyRange`]; [`FormFault::FreeName`] for a name that is no parameter.
pub fn sheet(
    components: [Expr; 3],
    params: [String; 2],
    ranges: [(f64, f64); 2],
) -> Result<Surface, FormFault> {
    for (name, (from, to)) in params.iter().zip(ranges) {
        if !(from.is_finite() && to.is_finite() && from < to) {
            return Err(FormFault::EmptyRange { name: name.clone(), from, to });
        }
    }
    for component in &components {
        super::rewrite::only_names(component, &[&params[0], &params[1]])?;
    }
    Ok(Surface::Param { components, params, ranges })
}
