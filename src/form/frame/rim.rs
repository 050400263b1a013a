//! How far the wall of a clipped surface stands out beyond the surface itself.

use crate::form::{Bounded, FormFault, Sheet, Surface, outline};
use crate::formula::Tape;

/// The wall leans out by no more than so many thicknesses.
const LEANS: f64 = 6.0;
/// Where the clip leaves no more room than this part of the longest side, nothing is looked for.
const ROOM: f64 = 0.002;

/// What is added to the longest side, mm, when a level surface cut by its clip gets a wall of `thick` mm: at the rim the
/// wall leans out of the surface's box, though not out of the clip, and where no rim is it stands out by half of it on
/// both sides. The distance from the surface is taken to first order, |f|/|∇f|.
///
/// # Errors
/// Those of [`Bounded::bounds`].
pub(super) fn overhang(part: &Surface, thick: f64) -> Result<f64, FormFault> {
    let Sheet::Level { value, clip: Some(clip) } = part.sheet() else { return Ok(0.0) };
    let own = part.bounds()?;
    let longest = own.size().largest();
    let room = own.grown(LEANS * thick).meet(clip.within());
    if room.size().largest() <= longest * (1.0 + ROOM) {
        return Ok(0.0);
    }
    let [x, y, z] = value.gradient(["x", "y", "z"]).map(|d| d.clone() * d);
    let near = value.clone().max(-value) - (x + y + z).sqrt() * (thick / 2.0);
    let cut = clip.lower(&mut |_, _| Err(FormFault::WrongKind { act: "frame", kind: "a wall" }))?;
    let tape = Tape::new(&near.max(cut)).map_err(|fault| FormFault::FreeName(fault.to_string()))?;
    let walled = outline::closer(room, &tape);
    Ok((walled.size().largest() - longest).max(0.0))
}
