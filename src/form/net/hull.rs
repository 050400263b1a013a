//! The solid inside the faces of a convex polyhedron.

use super::{Net, NetFault};
use crate::base::Vec3;
use crate::form::{Solid, halfspace, intersection};

/// The solid that the faces bound.
///
/// # Errors
/// [`NetFault::Unfit`] for a net without faces, or of four dimensions.
pub fn hull(net: &Net) -> Result<Solid, NetFault> {
    if net.faces().is_empty() || net.cells() != 1 {
        return Err(NetFault::Unfit(format!(
            "\"{}\" is not bounded by faces: `struts` makes its edges solid",
            net.name()
        )));
    }
    let mut solid: Option<Solid> = None;
    for face in net.faces() {
        let points = face.iter().map(|i| net.points()[*i]);
        let middle = points.fold(Vec3::ZERO, |a, p| a + p) * (1.0 / face.len() as f64);
        // The middle of a regular face is the foot of the perpendicular from the centre.
        let side = halfspace(middle, middle)?;
        solid = Some(match solid {
            None => side,
            Some(before) => intersection(&before, &side)?,
        });
    }
    solid.ok_or_else(|| NetFault::Unfit("the net has no faces".into()))
}
