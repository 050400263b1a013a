//! A solid with flat faces, known by its mesh.

use std::sync::Arc;

use super::{Solid, scan};
use crate::base::Box3;
use crate::formula::Expr;
use crate::shape::Mesh;

/// A closed mesh that is the exact boundary of a solid, and the solid's field.
#[derive(Debug)]
pub struct Faceted {
    mesh: Mesh,
    value: Expr,
    within: Box3,
}

impl Faceted {
    /// Its boundary: closed, 2-manifold, outward.
    pub fn mesh(&self) -> &Mesh {
        &self.mesh
    }

    /// Negative inside.
    pub(super) fn value(&self) -> &Expr {
        &self.value
    }

    /// A box that holds it.
    pub(super) fn within(&self) -> Box3 {
        self.within
    }
}

/// The solid within a closed mesh, whose field may be known: else it is the distance to the mesh.
pub(super) fn faceted(mesh: Mesh, value: Option<Expr>) -> Solid {
    let value = value.unwrap_or_else(|| scan::distance(mesh.clone()));
    let within = mesh.bounds();
    Solid::Faceted(Arc::new(Faceted { mesh, value, within }))
}
