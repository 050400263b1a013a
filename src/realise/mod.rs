//! A form and a tolerance give a shape.
//!
//! [`solid`] lowers the tree of a solid to one function, finds the box it needs, samples blocks of cells where the
//! function may change sign, and joins one vertex per patch of surface in each cell; the mesh is closed and
//! 2-manifold by construction.

mod block;
mod bound;
mod extract;
mod field;
mod lower;
mod patch;
mod place;

use crate::base::{Box3, Stopped, Tolerance, Watch};
use crate::form::Solid;
use crate::shape::Mesh;

use block::Grid;
use field::Field;
use lower::Lowered;

/// A finished shape and what a person should know about it.
#[derive(Clone, Debug, Default)]
pub struct Realised {
    /// The mesh, closed for a solid.
    pub mesh: Mesh,
    /// Sentences about what had to be decided or left out.
    pub said: Vec<String>,
}

/// Why a form could not be realised.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum RealiseFault {
    /// No point is inside.
    #[error("the solid is empty: no place is inside it")]
    Empty,
    /// No end was found along the axes named.
    #[error("the solid has no end along {axes}; cut it with a ball or a block to make it finite")]
    Unbounded {
        /// Names of the axes, such as "x, y".
        axes: String,
    },
    /// The tolerance asks for more cells than allowed.
    #[error("the shape is too large for this tolerance; ask for a coarser tolerance or a smaller shape")]
    TooLarge,
    /// A name in a formula has no value, or the formula is too long.
    #[error(transparent)]
    Formula(#[from] crate::formula::TapeFault),
    /// A motion flattens space.
    #[error("a motion flattens the solid and cannot be undone")]
    Flattened,
    /// The work was told to stop.
    #[error(transparent)]
    Stopped(#[from] Stopped),
}

/// Cells per tolerance: a cell of this many tolerances keeps the tolerance where the radius of curvature is at least
/// as large as the cell (a chord of length c over a radius r is off by c²/8r).
const CELL: f64 = 8.0;

/// The mesh of a solid: closed, 2-manifold, outward.
///
/// # Errors
/// When the solid is empty, has no end, is too large for the tolerance, or the watch says stop.
pub fn solid(form: &Solid, tolerance: Tolerance, watch: &dyn Watch) -> Result<Realised, RealiseFault> {
    let lowered = lower::lower(form, &mut |_, _| Err(RealiseFault::Empty))?;
    let (field, region) = prepare(&lowered)?;
    let step = CELL * tolerance.mm();
    let grid = Grid::over(region, step);
    let raw = extract::extract(&field, &grid, watch)?;
    if raw.mesh.triangles.is_empty() {
        return Err(RealiseFault::Empty);
    }
    Ok(Realised { mesh: raw.mesh, said: vec![] })
}

/// The least box found that holds a solid, without making it.
///
/// # Errors
/// When the solid is empty or has no end.
pub fn extent(form: &Solid) -> Result<Box3, RealiseFault> {
    let lowered = lower::lower(form, &mut |_, _| Err(RealiseFault::Empty))?;
    Ok(prepare(&lowered)?.1)
}

/// The field of a lowered solid and the box it needs.
fn prepare(lowered: &Lowered) -> Result<(Field, Box3), RealiseFault> {
    let field = Field::new(&lowered.value)?;
    let region = bound::fit(&field, lowered.within).map_err(|axes| RealiseFault::Unbounded { axes })?;
    if region.is_empty() { Err(RealiseFault::Empty) } else { Ok((field, region)) }
}
