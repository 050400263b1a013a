//! The edges of a mesh as a net: all of them, or those where it turns.

use std::collections::BTreeMap;

use super::{Net, NetFault};
use crate::base::Vec3;
use crate::shape::Mesh;

/// More edges than this are refused.
const MOST: usize = 100_000;
/// Two edges run on into one another when the sine of their turn is no more than this.
const STRAIGHT: f64 = 1e-3;

/// The edges of a mesh across which it turns by at least `least` degrees; with 0 all edges. Stretches in line become one edge.
///
/// # Errors
/// [`NetFault::Unfit`] when there is none, [`NetFault::TooMany`].
pub fn creases(mesh: &Mesh, least: f64) -> Result<Net, NetFault> {
    let mut normals: BTreeMap<[usize; 2], Vec<Vec3>> = BTreeMap::new();
    for (k, t) in mesh.triangles.iter().enumerate() {
        let [a, b, c] = mesh.corners(k);
        let normal = (b - a).cross(c - a).unit().unwrap_or(Vec3::ZERO);
        for i in 0..3 {
            let (from, to) = (t[i] as usize, t[(i + 1) % 3] as usize);
            normals.entry([from.min(to), from.max(to)]).or_default().push(normal);
        }
    }
    let limit = libm::cos(least.to_radians());
    let turns = |sides: &[Vec3]| match sides {
        [m, n] => least <= 0.0 || m.dot(*n) <= limit,
        _ => true,
    };
    let edges: Vec<[usize; 2]> = normals.into_iter().filter(|(_, n)| turns(n)).map(|(e, _)| e).collect();
    if edges.is_empty() {
        return Err(NetFault::Unfit(format!("nowhere does its skin turn by {least} degrees at an edge")));
    }
    if edges.len() > MOST {
        return Err(NetFault::TooMany(MOST));
    }
    let net = Net::of("edges", mesh.points.clone(), edges, Vec::new());
    Ok(if least > 0.0 { straightened(&net) } else { net }.tidied())
}

/// The net with points left out that two edges in line meet in.
fn straightened(net: &Net) -> Net {
    let mut near: Vec<Vec<usize>> = vec![Vec::new(); net.points().len()];
    for [a, b] in net.edges().iter().map(|e| e.ends) {
        near[a].push(b);
        near[b].push(a);
    }
    for v in 0..near.len() {
        let [a, b] = near[v][..] else { continue };
        let (to, from) = (net.points()[a] - net.points()[v], net.points()[v] - net.points()[b]);
        let in_line = to.cross(from).norm() <= STRAIGHT * to.norm() * from.norm() && to.dot(from) > 0.0;
        if in_line && a != b && !near[a].contains(&b) {
            near[v].clear();
            near[a].iter_mut().filter(|u| **u == v).for_each(|u| *u = b);
            near[b].iter_mut().filter(|u| **u == v).for_each(|u| *u = a);
        }
    }
    let edges = (0..near.len()).flat_map(|a| near[a].iter().filter(move |b| a < **b).map(move |b| [a, *b]));
    Net::of(net.name(), net.points().to_vec(), edges.collect(), Vec::new())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::Box3;

    /// A cube cut into smaller squares has twelve edges that turn, and 3 (V - 2) in all (Euler, for triangles).
    #[test]
    fn a_cube_has_twelve_edges() {
        let mut mesh = Mesh { points: Box3::cube(1.0).corners().to_vec(), ..Mesh::default() };
        let quads = [[0, 2, 3, 1], [4, 5, 7, 6], [0, 1, 5, 4], [2, 6, 7, 3], [0, 4, 6, 2], [1, 3, 7, 5]];
        mesh.triangles = quads.iter().flat_map(|q| [[q[0], q[1], q[2]], [q[0], q[2], q[3]]]).collect();
        let found = |least| creases(&mesh, least).map(|n| (n.points().len(), n.edges().len()));
        assert_eq!((found(0.0).unwrap(), found(30.0).unwrap()), ((8, 18), (8, 12)));
        assert!(found(100.0).is_err());
        // A bar of two cubes end to end: the stretches of its long edges become one.
        let row = Net::of(
            "row",
            (0..4).map(|k| Vec3::new(f64::from(k), 0.0, 0.0)).collect(),
            vec![[0, 1], [1, 2], [2, 3]],
            Vec::new(),
        );
        let one = straightened(&row).tidied();
        assert_eq!((one.points().len(), one.edges().len()), (2, 1));
    }
}
