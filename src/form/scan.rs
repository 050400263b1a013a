//! A solid known by its triangles, as a file has it: distance by the nearest triangle, inside and outside by the winding
//! number.
//!
//! Where the triangles are whole the number is 0 or 1 and the value is the true distance with its sign. Near a hole the
//! number passes through a half on a smooth sheet that spans it, and the value goes to zero there.

use std::cell::Cell;
use std::sync::Arc;

use super::{Solid, xyz};
use crate::base::{Box3, Interval, Vec3};
use crate::formula::{Expr, Oracle};
use crate::shape::{Mesh, Nearest, Tree, Winding};

/// Slopes at an edge whose cosine is less than this leap.
const SHARP: f64 = 0.85;
/// Nearer to a triangle than this part of the mesh's size, its normal says which way is out: the way from the nearest
/// place is lost in rounding there.
const CLOSE: f64 = 1e-5;
/// The number is 0 or 1, as far as distances are concerned, when it is this far from a half.
const WHOLE: f64 = 0.25;

/// A solid by its triangles. What is inside of a mesh with holes is what its triangles go round by half and more.
pub fn scan(mesh: Mesh) -> Solid {
    let within = mesh.bounds();
    Solid::Field { value: distance(mesh), within }
}

/// The distance to a mesh in x, y, z, negative inside.
pub(super) fn distance(mesh: Mesh) -> Expr {
    Expr::oracle(Arc::new(Scan::new(mesh)), xyz())
}

#[derive(Debug)]
struct Scan {
    tree: Tree,
    winding: Winding,
    /// Distance up to which normals count, mm.
    close: f64,
    /// Length of the border, mm.
    border: f64,
    /// Boxes about the sharp edges, and their tree.
    sharp: (Tree, Vec<Box3>),
}

impl Scan {
    fn new(mesh: Mesh) -> Self {
        let tree = Tree::new(&mesh);
        let winding = Winding::new(&mesh, &tree);
        let border = winding.border().iter().map(|[a, b]| (*b - *a).norm()).sum();
        let sharp = sharp_edges(&mesh);
        let close = CLOSE * mesh.bounds().size().norm();
        Self { tree, winding, close, border, sharp: (Tree::of_boxes(&sharp), sharp) }
    }

    fn nearest(&self, p: Vec3) -> Option<Nearest> {
        thread_local! {
            /// The scan asked last on this thread (its address) and where its tree keeps the triangle found; it only
            /// makes the search short.
            static LAST: Cell<(usize, u32)> = const { Cell::new((0, 0)) };
        }
        let me = std::ptr::from_ref(self) as usize;
        let (scan, kept) = LAST.get();
        let found = self.tree.nearest(p, f64::INFINITY, (scan == me).then_some(kept));
        if let Some(n) = found {
            LAST.set((me, n.kept));
        }
        found
    }

    /// The part of the distance that counts, negative inside: -1 and 1 but near a hole.
    fn share(&self, p: Vec3) -> f64 {
        ((0.5 - self.winding.at(&self.tree, p)) / WHOLE).clamp(-1.0, 1.0)
    }
}

impl Oracle for Scan {
    fn sample(&self, p: Vec3) -> (f64, Vec3) {
        let Some(n) = self.nearest(p) else { return (f64::NAN, Vec3::ZERO) };
        let share = self.share(p);
        let away = match (p - n.point).unit() {
            Some(away) if n.distance > self.close => away,
            _ => self.tree.normal(n.kept) * share.signum(),
        };
        let turn = if share.abs() < 1.0 { self.winding.slope(p) * (n.distance / WHOLE) } else { Vec3::ZERO };
        (n.distance * share, away * share - turn)
    }

    fn bounds(&self, region: Box3) -> Interval {
        if !region.is_finite() {
            return Interval::new(f64::NEG_INFINITY, f64::INFINITY);
        }
        let (centre, half) = (region.centre(), region.size().norm() * 0.5 * (1.0 + 1e-12));
        let Some(n) = self.nearest(centre) else { return Interval::new(f64::NAN, f64::NAN) };
        let (near, far) = (n.distance - half, n.distance + half);
        if near > 0.0 {
            // The number leaps at the triangles only, and changes slowly away from the border.
            let change = self.border * half / (4.0 * std::f64::consts::PI * near * near * WHOLE);
            let share = self.share(centre);
            let least = share.abs() - change;
            if least > 0.0 {
                let (low, high) = (near * least.min(1.0), far);
                return if share > 0.0 { Interval::new(low, high) } else { Interval::new(-high, -low) };
            }
        }
        Interval::new(-far, far)
    }

    fn steepest(&self) -> f64 {
        // Beside a hole the number changes as fast as one likes.
        if self.border > 0.0 { f64::INFINITY } else { 1.0 }
    }

    fn is_smooth(&self, region: Box3) -> bool {
        let (tree, boxes) = &self.sharp;
        !tree.touches(boxes, region)
    }
}

/// Boxes about the edges where the skin turns sharply.
fn sharp_edges(mesh: &Mesh) -> Vec<Box3> {
    let mut edges: Vec<([u32; 2], Vec3)> = Vec::with_capacity(mesh.triangles.len() * 3);
    for (t, k) in mesh.triangles.iter().zip(0..) {
        let [a, b, c] = mesh.corners(k);
        let normal = (b - a).cross(c - a).unit().unwrap_or(Vec3::ZERO);
        edges.extend((0..3).map(|k| ([t[k].min(t[(k + 1) % 3]), t[k].max(t[(k + 1) % 3])], normal)));
    }
    edges.sort_unstable_by_key(|e| e.0);
    edges
        .chunk_by(|a, b| a.0 == b.0)
        .filter(|same| same.iter().any(|e| e.1.dot(same[0].1) < SHARP))
        .map(|same| Box3::around(same[0].0.map(|i| mesh.points[i as usize])))
        .collect()
}
