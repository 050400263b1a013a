//! Solids whose mesh is known: polyhedra.

use super::finish;
use crate::form::Solid;
use crate::shape::Mesh;

/// The mesh of a solid that is nothing but a polyhedron, moved as a whole or not; `None` for every other, and where
/// rounding by the motions has spoilt it.
pub fn faceted(form: &Solid) -> Option<Mesh> {
    let (Solid::Faceted(faceted), by) = form.unmoved() else { return None };
    let mut mesh = faceted.mesh().clone();
    mesh.carry(&by);
    finish::is_sound(&mesh).then_some(mesh)
}
