//! A real function of space.

use super::fault::{FormFault, finite};
use super::{Solid, Surface, rewrite};
use crate::base::{Box3, Vec3};
use crate::formula::Expr;

/// A real function of space; x, y, z in mm.
#[derive(Clone, Debug)]
pub struct Field(Expr);

impl Field {
    /// The field of an expression in `x`, `y`, `z`.
    ///
    /// # Errors
    /// [`FormFault::FreeName`] for any other name.
    pub fn new(value: Expr) -> Result<Self, FormFault> {
        rewrite::only_names(&value, &["x", "y", "z"])?;
        Ok(Self(value))
    }

    /// The expression.
    pub fn expr(&self) -> &Expr {
        &self.0
    }

    /// The field of a function of two values, point by point.
    pub fn join(&self, other: &Self, f: impl FnOnce(Expr, Expr) -> Expr) -> Self {
        Self(f(self.0.clone(), other.0.clone()))
    }

    /// The field of a function of its value, point by point.
    pub fn with(&self, f: impl FnOnce(Expr) -> Expr) -> Self {
        Self(f(self.0.clone()))
    }
}

/// The surface where the field has the value `c`.
///
/// # Errors
/// [`FormFault::NotFinite`].
pub fn level(field: &Field, c: f64) -> Result<Surface, FormFault> {
    finite("c", c)?;
    Ok(Surface::Level(if c == 0.0 { field.0.clone() } else { field.0.clone() - c }))
}

/// The solid where the field is negative.
pub fn inside(field: &Field) -> Solid {
    Solid::Field {
        value: field.0.clone(),
        within: Box3::new(Vec3::splat(f64::NEG_INFINITY), Vec3::splat(f64::INFINITY)),
    }
}
