//! Flats of a solid: the outlines of its section made ready, and the shadow of its mesh under light from above.

use std::collections::BTreeMap;

use super::Flat;
use super::combine::{Fill, Rule, combine};
use super::corners::fewer;
use super::path::Path;
use crate::base::{Vec2, Vec3};
use crate::form::FormFault;
use crate::shape::Mesh;

/// What the mesh covers when seen from above, told by lines and arcs within `tolerance` mm.
///
/// # Errors
/// [`FormFault::Empty`] for a mesh without extent.
pub fn shadow(mesh: &Mesh, tolerance: f64) -> Result<Flat, FormFault> {
    let flat = |i: u32| {
        let Vec3 { x, y, .. } = mesh.points[i as usize];
        Vec2::new(x, y)
    };
    // The boundary of what looks up: its edges that no neighbour runs the other way.
    let mut open: BTreeMap<(u32, u32), u32> = BTreeMap::new();
    for t in &mesh.triangles {
        let [a, b, c] = t.map(flat);
        if (b - a).cross(c - a) > 0.0 {
            for k in 0..3 {
                let (i, j) = (t[k], t[(k + 1) % 3]);
                match open.get_mut(&(j, i)) {
                    Some(1) => {
                        open.remove(&(j, i));
                    }
                    Some(count) => *count -= 1,
                    None => *open.entry((i, j)).or_default() += 1,
                }
            }
        }
    }
    let mut loops = Vec::new();
    while let Some((&(first, mut at), _)) = open.iter().next() {
        take(&mut open, (first, at));
        let mut points = vec![flat(first)];
        while at != first {
            points.push(flat(at));
            let Some(next) = open.range((at, 0)..=(at, u32::MAX)).next().map(|(e, _)| e.1) else { break };
            take(&mut open, (at, next));
            at = next;
        }
        loops.push(points);
    }
    told(loops, tolerance)
}

fn take(open: &mut BTreeMap<(u32, u32), u32>, e: (u32, u32)) {
    match open.get_mut(&e) {
        Some(count) if *count > 1 => *count -= 1,
        _ => {
            open.remove(&e);
        }
    }
}

/// Rows of points as the region that they go round, told by lines and arcs within `tolerance` mm.
///
/// # Errors
/// [`FormFault::Empty`] when they go round nothing.
pub fn told(loops: Vec<Vec<Vec2>>, tolerance: f64) -> Result<Flat, FormFault> {
    let paths = loops.into_iter().map(|mut points| {
        points.dedup_by(|a, b| (*a - *b).norm() <= 1e-3 * tolerance);
        points
    });
    let paths: Vec<Path> = paths.filter(|p| p.len() > 2).map(|p| Path::polygon(&p)).collect();
    let whole = combine(&paths, &[], Rule::Union, Fill::Positive);
    // Crumbs below the tolerance are of the mesh, not of the solid.
    let large = |p: &Path| p.area().abs() > tolerance * p.length();
    let fewer: Vec<Path> = whole.iter().filter(|p| large(p)).map(|p| fewer(p, tolerance)).collect();
    let loops = combine(&fewer, &[], Rule::Union, Fill::Positive);
    if loops.is_empty() { Err(FormFault::Empty) } else { Ok(Flat::of_loops(loops)) }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// An octahedron with corners 10 from the middle.
    fn octahedron() -> Mesh {
        let points = [
            [10.0, 0.0, 0.0],
            [0.0, 10.0, 0.0],
            [-10.0, 0.0, 0.0],
            [0.0, -10.0, 0.0],
            [0.0, 0.0, 10.0],
            [0.0, 0.0, -10.0],
        ];
        let triangles =
            vec![[0, 1, 4], [1, 2, 4], [2, 3, 4], [3, 0, 4], [1, 0, 5], [2, 1, 5], [3, 2, 5], [0, 3, 5]];
        Mesh { points: points.map(Vec3::from).to_vec(), triangles, sides: Vec::new() }
    }

    #[test]
    fn its_shadow_is_its_widest_section() {
        assert!((shadow(&octahedron(), 0.01).unwrap().area() - 200.0).abs() < 1e-6);
    }
}
