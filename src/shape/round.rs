//! The skin of what a mesh goes round: of a body that passes through itself, or of what several have in common.
//!
//! The mesh is cut along the lines in which it passes through itself. Between those, how often it goes round the space on
//! either side of it does not change; it is asked once for each part. The parts where that rises to what is wanted are the
//! skin. Source of the number: see [`super::Winding`].

use rayon::prelude::*;

use super::arrangement::{Arrangement, edge, nudged};
use super::mesh::root;
use super::{Mesh, Tree, Winding};

/// Of how many triangles of a part its number is asked at most, and how far it may be from a whole one.
const ASKED: usize = 4;
const OFF: f64 = 0.1;

/// The skin of all places that a closed mesh goes round at least so many times: with 1 of everything inside, of two solids
/// together with 2 of what they have in common. Corners may have moved by a ten-millionth of the size of the mesh. `None`
/// where rounding leaves open how triangles lie, or a skin comes of it whose edges do not each join two triangles.
pub fn skin_round(mesh: &Mesh, times: u32) -> Option<Mesh> {
    let mesh = nudged(mesh);
    let Arrangement { mesh: mut cut, of: from, seams } = Arrangement::of(&mesh)?;
    let part = parts(&cut, |a, b| seams.contains(&edge(a, b)))?;
    let tree = Tree::new(&mesh);
    let winding = Winding::new(&mesh, &tree);
    // Half way between the numbers outside and inside of a triangle.
    let turns = |t: &u32| {
        let t = *t as usize;
        let between = winding.on(&tree, cut.middle(t), mesh.corners(from[t] as usize));
        let outside = (between - 0.5).round();
        ((between - 0.5 - outside).abs() < OFF).then_some(outside)
    };
    let wanted = f64::from(times) - 1.0;
    let is_skin = |some: &Vec<u32>| Some((some.iter().find_map(turns)? - wanted).abs() < 0.5);
    let keep: Vec<bool> = largest(&cut, &part).par_iter().map(is_skin).collect::<Option<_>>()?;
    cut.keep(|t, _| keep[part[t] as usize]);
    split_fans(&mut cut);
    cut.laws_of_joints().is_empty().then_some(cut)
}

/// The part of each triangle, counted from 0: those that are joined otherwise than along a seam. `None` where an edge that is
/// no seam does not join two triangles.
fn parts(mesh: &Mesh, is_seam: impl Fn(u32, u32) -> bool) -> Option<Vec<u32>> {
    let mut parent: Vec<u32> = (0..mesh.triangles.len() as u32).collect();
    let mut sides: Vec<([u32; 2], u32)> = Vec::with_capacity(3 * mesh.triangles.len());
    for (k, [a, b, c]) in mesh.triangles.iter().enumerate() {
        sides.extend([edge(*a, *b), edge(*b, *c), edge(*c, *a)].map(|e| (e, k as u32)));
    }
    sides.par_sort_unstable();
    for group in sides.chunk_by(|a, b| a.0 == b.0).filter(|group| !is_seam(group[0].0[0], group[0].0[1])) {
        let [one, other] = group else { return None };
        let (a, b) = (root(&mut parent, one.1), root(&mut parent, other.1));
        parent[a.max(b) as usize] = a.min(b);
    }
    let mut number = vec![u32::MAX; parent.len()];
    let mut count = 0;
    let mut of = Vec::with_capacity(parent.len());
    for t in 0..parent.len() as u32 {
        let r = root(&mut parent, t) as usize;
        if number[r] == u32::MAX {
            number[r] = count;
            count += 1;
        }
        of.push(number[r]);
    }
    Some(of)
}

/// The largest triangles of each part, the largest first.
fn largest(mesh: &Mesh, of: &[u32]) -> Vec<Vec<u32>> {
    let area = |t: u32| {
        let [a, b, c] = mesh.corners(t as usize);
        (b - a).cross(c - a).norm()
    };
    let count = of.iter().max().map_or(0, |k| *k as usize + 1);
    let mut best: Vec<Vec<(f64, u32)>> = vec![Vec::with_capacity(ASKED + 1); count];
    for (t, k) in of.iter().enumerate() {
        let (list, size) = (&mut best[*k as usize], area(t as u32));
        let at = list.partition_point(|(other, _)| *other >= size);
        if at < ASKED {
            list.insert(at, (size, t as u32));
            list.truncate(ASKED);
        }
    }
    best.into_iter().map(|list| list.into_iter().map(|(_, t)| t).collect()).collect()
}

/// Gives each fan of triangles about a point a corner of its own.
fn split_fans(mesh: &mut Mesh) {
    // Corners of triangles are joined where they share an edge.
    let mut parent: Vec<u32> = (0..3 * mesh.triangles.len() as u32).collect();
    let mut sides: Vec<([u32; 2], [u32; 2])> = Vec::with_capacity(parent.len());
    for (t, corners) in mesh.triangles.iter().enumerate() {
        for k in 0..3 {
            let (i, j) = (corners[k], corners[(k + 1) % 3]);
            let [at, next] = [k, (k + 1) % 3].map(|k| (3 * t + k) as u32);
            sides.push((edge(i, j), if i < j { [at, next] } else { [next, at] }));
        }
    }
    sides.par_sort_unstable();
    for group in sides.chunk_by(|a, b| a.0 == b.0).filter(|group| group.len() == 2) {
        for (one, other) in group[0].1.into_iter().zip(group[1].1) {
            let (a, b) = (root(&mut parent, one), root(&mut parent, other));
            parent[a.max(b) as usize] = a.min(b);
        }
    }
    let mut first = vec![u32::MAX; mesh.points.len()];
    let mut number = vec![u32::MAX; parent.len()];
    for at in 0..parent.len() as u32 {
        let i = mesh.triangles[at as usize / 3][at as usize % 3];
        let r = root(&mut parent, at) as usize;
        if number[r] == u32::MAX {
            number[r] = if first[i as usize] == u32::MAX {
                first[i as usize] = i;
                i
            } else {
                mesh.points.push(mesh.points[i as usize]);
                mesh.points.len() as u32 - 1
            };
        }
        mesh.triangles[at as usize / 3][at as usize % 3] = number[r];
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::Vec3;

    /// A block by its least and greatest corner.
    fn block(min: [f64; 3], max: [f64; 3]) -> Mesh {
        let mut mesh = super::super::laws::tests::block();
        for p in &mut mesh.points {
            let at = |k: usize| if p[k] < 0.0 { min[k] } else { max[k] };
            *p = Vec3::new(at(0), at(1), at(2));
        }
        mesh
    }

    fn all(some: &[Mesh]) -> Mesh {
        let mut mesh = Mesh::default();
        some.iter().for_each(|part| mesh.append(part));
        mesh
    }

    fn volume(mesh: &Mesh, times: u32) -> f64 {
        let skin = skin_round(mesh, times).unwrap();
        assert!(skin.laws().is_empty(), "{:?}", skin.laws());
        skin.volume()
    }

    #[test]
    fn two_blocks_by_their_volumes() {
        let both = all(&[block([0.0; 3], [2.0; 3]), block([0.5, 0.3, 0.7], [3.0, 2.5, 2.9])]);
        let (sum, common) = (8.0 + 2.5 * 2.2 * 2.2, 1.5 * 1.7 * 1.3);
        assert!((volume(&both, 1) - (sum - common)).abs() < 1e-4);
        assert!((volume(&both, 2) - common).abs() < 1e-4);
    }

    /// Three bars through one another: faces of all three meet in points. In common they have the least of their widths.
    #[test]
    fn three_bars_meet_in_points() {
        let bars = all(&[
            block([-5.0, -1.0, -1.1], [5.0, 1.0, 1.1]),
            block([-1.2, -6.0, -1.3], [1.2, 6.0, 1.3]),
            block([-1.4, -1.5, -7.0], [1.4, 1.5, 7.0]),
        ]);
        let sum = 10.0 * 2.0 * 2.2 + 12.0 * 2.4 * 2.6 + 14.0 * 2.8 * 3.0;
        let pairs = 2.4 * 2.0 * 2.2 + 2.8 * 2.0 * 2.2 + 2.4 * 3.0 * 2.6;
        let common = 2.4 * 2.0 * 2.2;
        assert!((volume(&bars, 3) - common).abs() < 1e-3);
        assert!((volume(&bars, 1) - (sum - pairs + common)).abs() < 1e-3);
    }

    /// What just touches or lies in one plane is told by the corners as they are moved: it is one way or the other, and sound.
    #[test]
    fn faces_in_one_plane_come_out_soundly() {
        let both = all(&[block([0.0; 3], [2.0; 3]), block([0.0, 0.5, 0.5], [3.0, 1.5, 1.5])]);
        let skin = skin_round(&both, 1).unwrap();
        assert!(skin.laws_of_joints().is_empty());
        assert!((skin.volume() - 9.0).abs() < 1e-3);
        let apart = all(&[block([0.0; 3], [1.0; 3]), block([5.0; 3], [6.0; 3])]);
        assert!((volume(&apart, 1) - 2.0).abs() < 1e-4);
        assert!(skin_round(&apart, 2).is_none_or(|none| none.triangles.is_empty()));
    }
}
