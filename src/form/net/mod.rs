//! Points and struts in space: crystal nets, edges of polytopes. Lengths are mm.

mod arcs;
mod cells;
mod convex;
mod creases;
mod crystal;
mod families;
mod frame;
mod framework;
mod honeycomb;
mod hull;
mod motion;
mod names;
mod projected;
mod rounded;
mod sites;
mod snub;
mod strut;
mod struts;
mod track;
mod trim;
mod woven;
mod wrap;
mod wythoff;

use std::sync::Arc;

pub use cells::{Shown, cells, panels};
pub use convex::{polyhedron, wrapped};
pub use creases::creases;
pub use crystal::{crystal, sequences};
pub use families::{dihedral, dual, geodesic, spiked, web, zonohedron};
pub use framework::Framework;
pub use honeycomb::{DIAGRAMS, honeycomb};
pub use hull::hull;
pub use motion::together;
pub use names::POLYTOPES;
pub use projected::{Seen, View};
pub use sites::SYMBOLS;
pub use struts::{LONG, Radius, Rods, struts};
pub use track::{Station, Track};
pub use trim::{Ends, held, onto, trim};
pub use woven::woven;
pub use wrap::{bent, of_lines, wrap};
pub use wythoff::{polytope, polytope_seen};

use super::fault::FormFault;
use crate::base::Vec3;

/// An edge: its two ends, and places between them when it is bent, each with a thickness as a part of the greatest.
#[derive(Clone, Debug)]
pub struct Edge {
    /// Numbers of the points at its ends.
    pub ends: [usize; 2],
    /// Places between, in order; none for a straight edge.
    pub between: Vec<(Vec3, f64)>,
}

/// Points and the edges between them; cloning is cheap. Lengths are mm.
#[derive(Clone, Debug)]
pub struct Net(Arc<Inner>);

#[derive(Debug)]
struct Inner {
    name: String,
    points: Vec<Vec3>,
    sizes: Vec<f64>,
    edges: Vec<Edge>,
    faces: Vec<Vec<usize>>,
    cells: usize,
    /// Angles at which cells of a four-dimensional polytope meet, degrees, least first.
    angles: Vec<f64>,
}

/// Why there is no such net.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NetFault {
    /// No net has that symbol.
    #[error("there is no net \"{0}\"")]
    Unknown(String),
    /// Too many points.
    #[error("more than {0} points: reach less far, or take longer edges")]
    TooMany(usize),
    /// There is nothing to make solid.
    #[error("the net has no edges: reach further")]
    NoEdges,
    /// What is asked has no meaning here.
    #[error("{0}")]
    Unfit(String),
    /// A number out of range.
    #[error(transparent)]
    Form(#[from] FormFault),
}

impl Net {
    fn of(name: &str, points: Vec<Vec3>, edges: Vec<[usize; 2]>, faces: Vec<Vec<usize>>) -> Self {
        let sizes = vec![1.0; points.len()];
        let edges = edges.into_iter().map(|ends| Edge { ends, between: Vec::new() }).collect();
        Self(Arc::new(Inner {
            name: name.to_owned(),
            points,
            sizes,
            edges,
            faces,
            cells: 1,
            angles: Vec::new(),
        }))
    }

    /// Its name.
    pub fn name(&self) -> &str {
        &self.0.name
    }

    /// Its points, mm.
    pub fn points(&self) -> &[Vec3] {
        &self.0.points
    }

    /// How thick the net is at each point, as a part of its greatest thickness.
    pub fn sizes(&self) -> &[f64] {
        &self.0.sizes
    }

    /// Its edges.
    pub fn edges(&self) -> &[Edge] {
        &self.0.edges
    }

    /// Its faces as rows of points, counter-clockwise from outside; none for a crystal net.
    pub fn faces(&self) -> &[Vec<usize>] {
        &self.0.faces
    }

    /// The places along an edge, mm, from end to end.
    fn way<'a>(&'a self, edge: &'a Edge) -> impl Iterator<Item = Vec3> + 'a {
        let [from, to] = edge.ends.map(|i| self.points()[i]);
        let between = edge.between.iter().map(|b| b.0);
        std::iter::once(from).chain(between).chain(std::iter::once(to))
    }

    /// The length of all its edges, mm.
    pub fn length(&self) -> f64 {
        let along = |e| self.way(e).zip(self.way(e).skip(1)).map(|(a, b)| (b - a).norm()).sum::<f64>();
        self.edges().iter().map(along).sum()
    }

    /// A box that holds its edges.
    pub fn within(&self) -> crate::base::Box3 {
        let places = self.edges().iter().flat_map(|e| &e.between).map(|b| b.0);
        crate::base::Box3::around(self.points().iter().copied().chain(places))
    }

    /// The angles at which cells of a four-dimensional polytope meet in their faces, each once, degrees.
    pub(super) fn angles(&self) -> &[f64] {
        &self.0.angles
    }

    /// How many solid cells it has: 1 for a solid of space.
    pub fn cells(&self) -> usize {
        self.0.cells
    }
}
