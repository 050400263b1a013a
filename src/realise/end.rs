//! A region of the plane parted into triangles: a flat end of a solid.

use spade::handles::FixedVertexHandle;
use spade::{AngleLimit, ConstrainedDelaunayTriangulation, Point2, RefinementParameters, Triangulation};

use crate::base::Vec2;

/// The least angle of a triangle, degrees, where the outline and the points inside allow it.
const ANGLE: f64 = 15.0;

/// The points of the loops in turn, then at most `inside` times as many inside; and the triangles between, counter-clockwise.
/// `None` where loops touch.
/// Sources: L. P. Chew, Algorithmica 4 (1989) 97; J. Ruppert, Journal of Algorithms 18 (1995) 548.
pub fn end(loops: &[Vec<Vec2>], inside: usize) -> Option<(Vec<Vec2>, Vec<[u32; 3]>)> {
    let mut net = ConstrainedDelaunayTriangulation::<Point2<f64>>::new();
    for p in loops.iter().flatten() {
        let before = net.num_vertices();
        net.insert(Point2::new(p.x, p.y)).ok()?;
        if net.num_vertices() == before {
            return None;
        }
    }
    let outline = net.num_vertices();
    let mut first = 0;
    for l in loops {
        for k in 0..l.len() {
            let [a, b] = [first + k, first + (k + 1) % l.len()].map(FixedVertexHandle::from_index);
            if !net.can_add_constraint(a, b) {
                return None;
            }
            net.add_constraint(a, b);
        }
        first += l.len();
    }
    if net.num_vertices() != outline {
        return None;
    }
    let asked = RefinementParameters::new()
        .exclude_outer_faces(true)
        .keep_constraint_edges()
        .with_angle_limit(AngleLimit::from_deg(ANGLE))
        .with_max_additional_vertices(inside * outline);
    let outer = net.refine(asked).excluded_faces;
    let points = net.vertices().map(|v| Vec2::new(v.position().x, v.position().y)).collect();
    let within = net.inner_faces().filter(|face| !outer.contains(&face.fix()));
    Some((points, within.map(|face| face.vertices().map(|v| v.fix().index() as u32)).collect()))
}
