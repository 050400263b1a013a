//! How far the wall of a clipped surface stands out beyond the surface itself.

use crate::form::{Bounded, FormFault, Sheet, Surface, outline};
use crate::formula::Tape;

/// What is added to the longest side, mm, when a level surface cut by its clip gets a wall of `thick` mm: at the rim
/// the wall leans out of the surface's box, though not out of the clip. The distance from the surface is taken to
/// first order, |f|/|∇f|.
///
/// # Errors
/// Those of [`Bounded::bounds`].
pub(super) fn overhang(part: &Surface, thick: f64) -> Result<f64, FormFault> {
    let own = part.bounds()?;
    let Sheet::Level { value, clip: Some(clip) } = part.sheet() else { return Ok(0.0) };
    let [x, y, z] = value.gradient(["x", "y", "z"]).map(|d| d.clone() * d);
    let near = value.clone().max(-value) - (x + y + z).sqrt() * (thick / 2.0);
    let Ok(cut) = clip.lower(&mut |_, _| Err(())) else { return Ok(0.0) };
    let Ok(tape) = Tape::new(&near.max(cut)) else { return Ok(0.0) };
    let room = own.grown(thick / 2.0).meet(clip.within());
    let walled = outline::closer(room, &|p| tape.value(p) < 0.0);
    Ok((walled.size().largest() - own.size().largest()).max(0.0))
}
