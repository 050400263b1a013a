//! Sheets of a surface told apart near a place, where they cross or turn sharply: each is smooth, and the skins of their
//! walls meet in creases.

use std::collections::HashMap;

use crate::base::{Box3, Vec3};
use crate::shape::{Mesh, Tree, closest_on_triangle, root};

/// Cosine between the normals of neighbouring triangles under which they belong to different sheets.
const TURNS: f64 = 0.8;
/// More sheets at one place than this are no sheets.
const MOST: usize = 8;

/// The triangles of a mesh that are at most `reach` mm from a place, sheet by sheet; empty where there is only one, or no
/// telling.
pub fn sheets(mesh: &Mesh, tree: &Tree, middle: Vec3, reach: f64) -> Vec<Vec<u32>> {
    let near = |corners: [Vec3; 3]| (closest_on_triangle(corners, middle) - middle).norm() <= reach;
    let within = tree.meeting(Box3::around([middle]).grown(reach));
    let found: Vec<u32> = within.into_iter().filter(|t| near(t.2)).map(|(_, triangle, _)| triangle).collect();
    let normal = |t: u32| {
        let [a, b, c] = mesh.corners(t as usize);
        (b - a).cross(c - a).unit()
    };
    let normals: Vec<Option<Vec3>> = found.iter().map(|t| normal(*t)).collect();
    let mut parent: Vec<u32> = (0..found.len() as u32).collect();
    let mut open: HashMap<[u32; 2], usize> = HashMap::new();
    for (k, t) in found.iter().enumerate() {
        let t = mesh.triangles[*t as usize];
        for (a, b) in [(t[0], t[1]), (t[1], t[2]), (t[2], t[0])] {
            let Some(other) = open.insert([a.min(b), a.max(b)], k) else { continue };
            // A triangle without a normal goes with whatever it touches.
            let along = normals[k].zip(normals[other]).is_none_or(|(n, m)| n.dot(m).abs() > TURNS);
            if along {
                let (a, b) = (root(&mut parent, k as u32), root(&mut parent, other as u32));
                parent[a.max(b) as usize] = a.min(b);
            }
        }
    }
    let mut all: HashMap<u32, usize> = HashMap::new();
    let mut out: Vec<Vec<u32>> = Vec::new();
    for (k, t) in found.iter().enumerate() {
        let at = *all.entry(root(&mut parent, k as u32)).or_insert(out.len());
        if at == out.len() {
            out.push(Vec::new());
        }
        out[at].push(*t);
    }
    if (2..=MOST).contains(&out.len()) { out } else { Vec::new() }
}
