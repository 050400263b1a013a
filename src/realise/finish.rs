//! From the raw mesh to the finished one: specks dropped, triangles saved, crossings undone.

use super::simplify::simplify;
use crate::base::{Stopped, Vec3, Watch};
use crate::shape::Mesh;

/// The part of the tolerance that saving triangles may use up.
const SAVING: f64 = 0.15;
/// Rounds of undoing crossings.
const ROUNDS: usize = 24;

/// The finished mesh of a raw closed one and what is to be said about it; `step` is the edge of a cell, mm.
///
/// # Errors
/// When the watch says stop.
pub fn finish(
    mut mesh: Mesh,
    tolerance: f64,
    step: f64,
    watch: &dyn Watch,
) -> Result<(Mesh, Vec<String>), Stopped> {
    let mut said = Vec::new();
    drop_specks(&mut mesh, tolerance, &mut said);
    watch.progress("saving triangles", 0.0);
    watch.check()?;
    let few = simplify(&mesh, SAVING * tolerance, step);
    watch.progress("proving", 0.0);
    watch.check()?;
    if few.crossings().is_empty() && few.flat().is_empty() {
        return Ok((few, said));
    }
    let left = untangle(&mut mesh, step, watch)?;
    if left > 0 {
        said.push(format!(
            "{left} pairs of triangles cross or are flat and could not be parted; try another tolerance"
        ));
        return Ok((mesh, said));
    }
    let few = simplify(&mesh, SAVING * tolerance, step);
    let clean = few.crossings().is_empty() && few.flat().is_empty();
    Ok((if clean { few } else { mesh }, said))
}

/// Drops components that fit into the tolerance or hold no volume to speak of.
fn drop_specks(mesh: &mut Mesh, tolerance: f64, said: &mut Vec<String>) {
    let (of, count) = mesh.component_of_triangles();
    if count < 2 {
        return;
    }
    let mut bounds = vec![crate::base::Box3::EMPTY; count];
    for (t, k) in of.iter().enumerate() {
        for p in mesh.corners(t) {
            bounds[*k as usize] = bounds[*k as usize].hold(p);
        }
    }
    let speck: Vec<bool> = bounds.iter().map(|b| b.size().largest() <= tolerance).collect();
    let dropped = speck.iter().filter(|s| **s).count();
    if dropped > 0 && dropped < count {
        mesh.keep(|t, _| !speck[of[t] as usize]);
        said.push(format!("{dropped} specks smaller than the tolerance ({tolerance} mm) were left out"));
    }
}

/// Moves the corners of crossing or flat triangles toward the middle of their neighbours, until none is left or the
/// rounds are used up; gives the number of pairs left.
fn untangle(mesh: &mut Mesh, step: f64, watch: &dyn Watch) -> Result<usize, Stopped> {
    let mut left = 0;
    let neighbours = neighbours(mesh);
    let start = mesh.points.clone();
    let mut pairs = mesh.crossings();
    for round in 0..ROUNDS {
        watch.check()?;
        let flat = mesh.flat();
        left = pairs.len() + flat.len();
        if left == 0 {
            break;
        }
        let mut move_these: Vec<u32> =
            pairs.iter().flatten().chain(&flat).flat_map(|t| mesh.triangles[*t as usize]).collect();
        move_these.sort_unstable();
        move_these.dedup();
        // Later rounds widen the patch: knots that a few points cannot undo.
        for _ in 0..round / 10 {
            let more: Vec<u32> =
                move_these.iter().flat_map(|v| neighbours[*v as usize].iter().copied()).collect();
            move_these.extend(more);
            move_these.sort_unstable();
            move_these.dedup();
        }
        let new: Vec<Vec3> = move_these
            .iter()
            .map(|&v| {
                let list = &neighbours[v as usize];
                let sum = list.iter().fold(Vec3::ZERO, |s, u| s + mesh.points[*u as usize]);
                let p = mesh.points[v as usize];
                let q = p + (sum / list.len().max(1) as f64 - p) * 0.5;
                // No point strays further than a cell.
                let d = q - start[v as usize];
                if d.norm() > step { start[v as usize] + d * (step / d.norm()) } else { q }
            })
            .collect();
        for (v, p) in move_these.iter().zip(new) {
            mesh.points[*v as usize] = p;
        }
        let changed: Vec<u32> = (0..mesh.triangles.len() as u32)
            .filter(|t| mesh.triangles[*t as usize].iter().any(|v| move_these.binary_search(v).is_ok()))
            .collect();
        pairs = mesh.crossings_of(&changed);
    }
    Ok(left)
}

fn neighbours(mesh: &Mesh) -> Vec<Vec<u32>> {
    let mut out: Vec<Vec<u32>> = vec![Vec::with_capacity(6); mesh.points.len()];
    for t in &mesh.triangles {
        for k in 0..3 {
            // Each edge is met once in each direction.
            out[t[k] as usize].push(t[(k + 1) % 3]);
        }
    }
    out
}
