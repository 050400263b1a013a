//! The solid of struts that meet in the points of a net, known by its ways and joints, and its field.

use super::strut::Strut;
use super::track::Track;
use crate::base::{Box3, Vec3};
use crate::formula::Expr;

/// Struts with a ball about each point that they meet in, or one as thick as they are. Lengths are mm.
#[derive(Debug)]
pub struct Framework {
    joints: Vec<(Vec3, f64)>,
    tracks: Option<Vec<Track>>,
    value: Expr,
    within: Box3,
}

impl Framework {
    /// `edges`: the ends of each edge and its struts; `joints`: points and the radii of balls about them.
    pub(super) fn new(
        joints: Vec<(Vec3, f64)>,
        edges: Vec<([usize; 2], Vec<Strut>)>,
        value: Expr,
        within: Box3,
    ) -> Self {
        let tracks = edges.into_iter().map(|(ends, struts)| Track::new(ends, struts)).collect();
        Self { joints, tracks, value, within }
    }

    /// The points, with the radii of the balls about them, mm; 0 where there is none.
    pub fn joints(&self) -> &[(Vec3, f64)] {
        &self.joints
    }

    /// The ways between them; `None` where a strut is no longer than its ball.
    pub fn tracks(&self) -> Option<&[Track]> {
        self.tracks.as_deref()
    }

    /// Negative inside.
    pub(in crate::form) fn value(&self) -> &Expr {
        &self.value
    }

    /// A box that holds it.
    pub(in crate::form) fn within(&self) -> Box3 {
        self.within
    }
}
