//! Solids grown, shrunk, hollowed and rounded by true distance from their skin.
//!
//! Each is a set operation with the wall of the solid's own skin, so that it is as exact as walls are, whatever the
//! solid's field measures. Source: the parallel bodies of J. Steiner (1840); opening and closing as in J. Serra,
//! Image Analysis and Mathematical Morphology (1982), ch. 2.

use std::sync::Arc;

use super::fault::{FormFault, positive};
use super::{Solid, Surface, difference, intersection, union, wall};

/// The surface of a solid.
///
/// # Errors
/// [`FormFault::TooDeep`].
pub fn skin(solid: &Solid) -> Result<Surface, FormFault> {
    let value = solid.lower(&mut |_: &Surface, _| Err(()));
    solid.clone().checked().map(|_| value.map_or_else(|()| whole_skin(solid), Surface::Level))
}

/// The surface of a solid, whose walls have no front and back.
fn whole_skin(solid: &Solid) -> Surface {
    Surface::Skin(Arc::new(solid.clone()))
}

/// Every point of a solid and every point nearer to it than `by` mm.
///
/// # Errors
/// [`FormFault::NotPositive`]; [`FormFault::TooDeep`].
pub fn grow(solid: &Solid, by: f64) -> Result<Solid, FormFault> {
    union(solid, &wall(&whole_skin(solid), 2.0 * positive("by", by)?)?)
}

/// The points of a solid that lie deeper than `by` mm.
///
/// # Errors
/// As [`grow`].
pub fn shrink(solid: &Solid, by: f64) -> Result<Solid, FormFault> {
    difference(solid, &wall(&whole_skin(solid), 2.0 * positive("by", by)?)?)
}

/// The points of a solid that lie no deeper than `thickness` mm: a shell about a closed hollow.
///
/// # Errors
/// As [`grow`].
pub fn hollow(solid: &Solid, thickness: f64) -> Result<Solid, FormFault> {
    intersection(solid, &wall(&whole_skin(solid), 2.0 * positive("thickness", thickness)?)?)
}

/// What a ball of `radius` mm reaches that stays within the solid: outer edges and corners come out round, and what is
/// thinner than the ball is lost.
///
/// # Errors
/// As [`grow`].
pub fn soften(solid: &Solid, radius: f64) -> Result<Solid, FormFault> {
    grow(&shrink(solid, positive("radius", radius)?)?, radius)
}
