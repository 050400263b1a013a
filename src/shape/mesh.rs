//! A triangle mesh.

use crate::base::{Box3, Vec3};

/// Which part of the form a triangle belongs to; pictures tell them apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Side {
    /// The skin of a solid.
    #[default]
    Skin,
    /// The side of a wall or surface where the field is positive.
    Front,
    /// The side of a wall or surface where the field is negative.
    Back,
    /// Where a clip cut through the wall.
    Cut,
}

/// Points joined by triangles that turn counter-clockwise seen from outside.
#[derive(Clone, Debug, Default)]
pub struct Mesh {
    /// Places, mm.
    pub points: Vec<Vec3>,
    /// Three indices of points each.
    pub triangles: Vec<[u32; 3]>,
    /// One per triangle, or empty when all are `Skin`.
    pub sides: Vec<Side>,
}

impl Mesh {
    /// The least box that holds all points.
    pub fn bounds(&self) -> Box3 {
        Box3::around(self.points.iter().copied())
    }
}
