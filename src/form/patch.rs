//! A sheet that is kept as triangles: a film, or what else is found on a net.

use std::cell::Cell;
use std::sync::{Arc, OnceLock};

use super::fault::FormFault;
use super::motion::{Movable, SpaceMap};
use super::{Curve, xyz};
use crate::base::{Affine, Box3, Interval, Vec3};
use crate::formula::{Expr, Oracle, Tape};
use crate::shape::{Mesh, Nearest, Tree};

/// A bare sheet is shown as a shell this part of its size thick.
const SHELL: f64 = 0.02;

/// Triangles that stand for a smooth sheet, and the curves that bound it. Lengths are mm.
#[derive(Debug)]
pub struct Patch {
    mesh: Mesh,
    border: Curve,
    region: Box3,
    /// Made when a distance is first asked for.
    tree: OnceLock<Tree>,
}

impl Patch {
    /// The sheet of triangles whose neighbours turn alike, and the closed curves along its border.
    pub fn new(points: Vec<Vec3>, triangles: Vec<[u32; 3]>, border: Curve) -> Self {
        let mesh = Mesh { points, triangles, sides: vec![] };
        Self { region: mesh.bounds(), mesh, border, tree: OnceLock::new() }
    }

    /// The triangles.
    pub fn mesh(&self) -> &Mesh {
        &self.mesh
    }

    /// The curves along the border.
    pub fn border(&self) -> &Curve {
        &self.border
    }

    /// The least box that holds it.
    pub fn region(&self) -> Box3 {
        self.region
    }

    /// The image under an affine map.
    pub(crate) fn moved(&self, by: &Affine) -> Result<Self, FormFault> {
        let points = self.mesh.points.iter().map(|p| by.apply(*p)).collect();
        Ok(Self::new(points, self.turned(by.determinant() < 0.0), self.border.moved(by)?))
    }

    /// The image under a map of space.
    pub(crate) fn mapped(&self, by: &SpaceMap) -> Result<Self, FormFault> {
        let tape = Tape::with_inputs(&by.forth(&xyz()), &["x", "y", "z"])
            .map_err(|_| FormFault::WrongKind { act: "this motion", kind: "a film" })?;
        let image = |p: &Vec3| {
            let mut out = [f64::NAN; 3];
            tape.at(&p.array(), &mut out);
            Vec3::from(out)
        };
        let points = self.mesh.points.iter().map(image).collect();
        Ok(Self::new(points, self.turned(false), Movable::mapped(&self.border, by)?))
    }

    fn turned(&self, over: bool) -> Vec<[u32; 3]> {
        let all = self.mesh.triangles.iter();
        if over { all.map(|[a, b, c]| [*a, *c, *b]).collect() } else { all.copied().collect() }
    }

    /// A level that shows the sheet as a thin shell.
    pub(crate) fn shell(self: &Arc<Self>) -> Expr {
        self.away() - 0.5 * SHELL * self.region.size().largest()
    }

    /// The distance from it, mm.
    pub fn away(self: &Arc<Self>) -> Expr {
        Expr::oracle(Arc::new(Away(self.clone())), xyz())
    }

    /// The nearest place of the triangles.
    pub(super) fn nearest(&self, p: Vec3) -> Option<Nearest> {
        thread_local! {
            /// The sheet asked last on this thread (its address) and where its tree keeps the triangle found; it only
            /// makes the search short.
            static LAST: Cell<(usize, u32)> = const { Cell::new((0, 0)) };
        }
        let tree = self.tree.get_or_init(|| Tree::new(&self.mesh));
        let me = std::ptr::from_ref(self) as usize;
        let (sheet, kept) = LAST.get();
        let found = tree.nearest(p, f64::INFINITY, (sheet == me).then_some(kept));
        if let Some(n) = found {
            LAST.set((me, n.kept));
        }
        found
    }
}

/// The distance from a sheet.
#[derive(Debug)]
struct Away(Arc<Patch>);

impl Oracle for Away {
    fn sample(&self, p: Vec3) -> (f64, Vec3) {
        match self.0.nearest(p) {
            Some(n) => (n.distance, (p - n.point).unit().unwrap_or(Vec3::new(0.0, 0.0, 1.0))),
            None => (f64::NAN, Vec3::ZERO),
        }
    }

    fn bounds(&self, region: Box3) -> Interval {
        if !region.is_finite() {
            return Interval::new(0.0, f64::INFINITY);
        }
        // A distance changes no faster than place does.
        let half = region.size().norm() * 0.5;
        match self.0.nearest(region.centre()) {
            Some(n) => Interval::new(
                ((n.distance - half) * (1.0 - 1e-12)).max(0.0),
                (n.distance + half) * (1.0 + 1e-12),
            ),
            None => Interval::new(0.0, f64::INFINITY),
        }
    }

    fn steepest(&self) -> f64 {
        1.0
    }
}
