//! How thick a wall is: the same everywhere, or by a field.

use super::fault::{FormFault, positive, unfit};
use super::{Solid, Surface, bounds};
use crate::base::Box3;
use crate::formula::{Expr, Tape};

/// How thick a wall is, mm.
#[derive(Clone, Debug)]
pub enum Thickness {
    /// The same everywhere.
    Even(f64),
    /// As a field has it at each place of the skin of the wall, no thicker than `most` on the surface. Cells are made for
    /// walls of `least`.
    By {
        /// The field, mm.
        value: Expr,
        /// Thin places that count, mm.
        least: f64,
        /// The thickest place, mm.
        most: f64,
    },
}

/// A wall may get this many times thinner than its thickest place before it is taken to run out.
const THINNER: f64 = 8.0;
/// Boxes along an axis in which a field is looked at.
const PARTS: usize = 12;

impl Thickness {
    /// The thickest place, mm.
    pub fn most(&self) -> f64 {
        match self {
            Self::Even(t) | Self::By { most: t, .. } => *t,
        }
    }

    /// The thinnest place that counts, mm.
    pub fn least(&self) -> f64 {
        match self {
            Self::Even(t) | Self::By { least: t, .. } => *t,
        }
    }

    /// The thickness as a field, mm.
    pub fn value(&self) -> Expr {
        match self {
            Self::Even(t) => Expr::constant(*t),
            Self::By { value, .. } => value.clone(),
        }
    }

    /// The distance from a surface, mm, as what is negative inside the wall.
    pub fn less_half(&self, distance: Expr) -> Expr {
        distance - self.value() * 0.5
    }
}

/// The solid of every point nearer to the surface than half of what a field says there, mm: a wall whose thickness
/// varies. Where the field is not positive the wall has a hole.
///
/// # Errors
/// [`FormFault::Unfit`] where the field is nowhere positive, or has no bound on the surface; those of
/// [`bounds`](super::bounds).
pub fn wall_by(surface: &Surface, thickness: &Expr) -> Result<Solid, FormFault> {
    let region = bounds(surface)?;
    let tape = Tape::new(thickness).map_err(|_| unfit("thickness", "has a name without a value"))?;
    let (least, most) = range(&tape, region.grown(0.05 * region.size().largest()));
    if !most.is_finite() {
        return Err(unfit("thickness", "has no greatest value near the surface"));
    }
    positive("thickness", most)
        .map_err(|_| unfit("thickness", "is nowhere more than 0 mm on the surface"))?;
    let least = least.max(most / THINNER);
    super::surface::walled(surface, &Thickness::By { value: thickness.clone(), least, most })
}

/// Bounds of a field in a box, part by part.
fn range(tape: &Tape, region: Box3) -> (f64, f64) {
    let step = region.size() / PARTS as f64;
    let mut found = (f64::INFINITY, f64::NEG_INFINITY);
    for k in 0..PARTS.pow(3) {
        let at = [k % PARTS, k / PARTS % PARTS, k / (PARTS * PARTS)].map(|i| i as f64);
        let low = region.min + crate::base::Vec3::new(step.x * at[0], step.y * at[1], step.z * at[2]);
        let part = tape.bounds_tight(Box3::new(low, low + step));
        found = (found.0.min(part.lo), found.1.max(part.hi));
    }
    found
}
