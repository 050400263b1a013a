//! From the raw mesh to the finished one: specks dropped, triangles saved, crossings undone.

use std::collections::HashMap;

use rayon::prelude::*;

use super::faces::Raw;
use super::simplify::simplify;
use crate::base::{Box3, Stopped, Vec3, Watch};
use crate::shape::{Mesh, Side, Tree};

/// The part of the tolerance that saving triangles may use up. Where the surface turns so much that the triangles are off by
/// more than a tenth of the tolerance, the planes about a point are too unlike for any merge.
const SAVING: f64 = 0.7;
/// So often it is tried, with what came to cross or was flat held as it is.
const SAVES: usize = 4;
/// No point strays further than this many cells. With 1 a field of noise keeps crossings, with 0.5 hundreds.
const STRAY: f64 = 2.0;
/// What lies so many cells from what crosses may be moved.
const AROUND: f64 = 6.0;
/// Rounds of undoing crossings.
const ROUNDS: usize = 24;
/// In so many of them what stands on a crease moves along it only.
const ALONG: usize = 8;
/// Cosine between the normals beside an edge under which it is a crease.
const CREASE: f64 = 0.7;
/// What a clip cuts off a wall is a crumb when it is no larger than this many thicknesses and holds less than this part of
/// a cube of the thickness, or is no larger than as many times so many cells. A hollow may be this many thicknesses long.
const CRUMB: f64 = 1.5;
const HOLLOW: f64 = 2.0;
const CRUMB_VOLUME: f64 = 0.5;
const CRUMB_CELLS: f64 = 3.0;

/// A closed mesh without crossings made ready: specks dropped, triangles saved; whether the result was proven sound; and
/// what is to be said about it. When no mesh with triangles saved is sound, it keeps them and is not looked at again.
/// `step` is the edge of a cell, mm.
///
/// # Errors
/// When the watch says stop.
pub fn finish(
    mut mesh: Mesh,
    tolerance: f64,
    step: f64,
    watch: &dyn Watch,
) -> Result<(Mesh, bool, Vec<String>), Stopped> {
    let mut said = Vec::new();
    drop_specks(&mut mesh, tolerance, &mut said);
    let mut held = vec![];
    for _ in 0..SAVES {
        watch.progress("saving triangles", 0.0);
        watch.check()?;
        let few = simplify(&mesh, SAVING * tolerance, step, held.clone());
        watch.progress("proving", 0.0);
        watch.check()?;
        let mut bad: Vec<u32> = few.crossings().into_iter().flatten().chain(few.flat()).collect();
        if bad.is_empty() {
            return Ok((few, true, said));
        }
        bad.sort_unstable();
        bad.dedup();
        held.resize(mesh.points.len(), false);
        hold(&mut held, &mesh, bad.into_iter().map(|t| Box3::around(few.corners(t as usize)).grown(step)));
    }
    Ok((mesh, false, said))
}

/// Marks the points that lie in some box.
pub fn hold(held: &mut [bool], mesh: &Mesh, boxes: impl Iterator<Item = Box3>) {
    let boxes: Vec<Box3> = boxes.collect();
    let tree = Tree::of_boxes(&boxes);
    let is_in = |p: Vec3| tree.touches(&boxes, Box3::new(p, p));
    held.par_iter_mut().zip(&mesh.points).for_each(|(held, p)| *held |= is_in(*p));
}

/// True when no triangles cross or are flat.
pub fn is_sound(mesh: &Mesh) -> bool {
    mesh.flat().is_empty() && mesh.crossings().is_empty()
}

/// The raw mesh with what crosses or is flat parted, and the number of pairs for which that failed.
///
/// # Errors
/// When the watch says stop.
pub fn part(mut raw: Raw, step: f64, watch: &dyn Watch) -> Result<(Mesh, usize), Stopped> {
    watch.progress("testing", 0.0);
    let pairs = raw.mesh.crossings_among(&raw.doubtful, &raw.near());
    let least = raw.mesh.least_height();
    let flat = raw.mesh.flat_among(&raw.doubtful, least);
    if pairs.is_empty() && flat.is_empty() {
        return Ok((raw.mesh, 0));
    }
    // Only what lies near changes.
    let bad: Vec<u32> = pairs.iter().flatten().chain(&flat).copied().collect();
    let bounds = |t: &u32| Box3::around(raw.mesh.corners(*t as usize));
    let boxes: Vec<Box3> = bad.iter().map(|t| bounds(t).grown(AROUND * step)).collect();
    let tree = Tree::of_boxes(&boxes);
    let mut around = raw.around(bad.iter().copied());
    around.retain(|t| tree.touches(&boxes, bounds(t)));
    let (mut part, points) = raw.mesh.part(&around);
    let local = |t: u32| around.binary_search(&t).map_or(u32::MAX, |k| k as u32);
    let pairs = pairs.into_iter().map(|pair| pair.map(local)).collect();
    let left = untangle(&mut part, pairs, [step, least], watch)?;
    points.iter().zip(part.points).for_each(|(k, p)| raw.mesh.points[*k as usize] = p);
    Ok((raw.mesh, left))
}

/// What is known of a component of a mesh: its volume is negative when it bounds a hollow.
#[derive(Clone, Copy)]
struct Component {
    bounds: Box3,
    volume: f64,
    area: f64,
    /// Some of it is the cut of a clip.
    cut: bool,
}

impl Component {
    fn longest(&self) -> f64 {
        self.bounds.size().largest()
    }
}

/// The `count` components of a mesh; `of` tells the one of each triangle.
fn components(mesh: &Mesh, of: &[u32], count: usize) -> Vec<Component> {
    let none = Component { bounds: Box3::EMPTY, volume: 0.0, area: 0.0, cut: false };
    let mut all = vec![none; count];
    for (t, k) in of.iter().enumerate() {
        let c = &mut all[*k as usize];
        let [p, q, r] = mesh.corners(t);
        let o = mesh.points[0];
        c.bounds = c.bounds.hold(p).hold(q).hold(r);
        c.volume += (p - o).dot((q - o).cross(r - o)) / 6.0;
        c.area += (q - p).cross(r - p).norm() / 2.0;
        c.cut |= mesh.side(t) == Side::Cut;
    }
    all
}

/// A component is a speck when it fits into the tolerance, or when it is thinner (twice its volume over its area) than
/// this part of it.
const THIN: f64 = 0.1;

/// Drops components that fit into the tolerance or hold no volume to speak of.
fn drop_specks(mesh: &mut Mesh, tolerance: f64, said: &mut Vec<String>) {
    let (of, count) = mesh.component_of_triangles();
    if count < 2 {
        return;
    }
    let parts = components(mesh, &of, count);
    // Slivers between lattice points may come out inside out.
    let holds = |other: &Component, c: &Component| {
        other.volume > -c.volume && other.bounds.join(c.bounds) == other.bounds
    };
    let turned = |c: &Component| c.volume < 0.0 && !parts.iter().any(|other| holds(other, c));
    let is_speck = |c: &Component| {
        let thin = 2.0 * c.volume.abs() < THIN * tolerance * c.area;
        c.longest() <= tolerance || thin || turned(c)
    };
    let speck: Vec<bool> = parts.iter().map(is_speck).collect();
    let dropped = speck.iter().filter(|s| **s).count();
    if dropped > 0 && dropped < count {
        mesh.keep(|t, _| !speck[of[t] as usize]);
        said.push(format!(
            "{dropped} specks too small or too thin for the tolerance ({tolerance:.3} mm) were left out"
        ));
    }
}

/// Drops the crumbs of walls at least `thickness` mm thick: components on which a clip has cut a wall, or where a wall meets
/// itself. Where a sheet only just reaches its clip, the wall leaves a crumb there, and where sheets run together, small
/// hollows, of which only those of a few cells, of edge `step` mm, are filled. The sides of the mesh are known.
pub fn drop_crumbs(mesh: &mut Mesh, thickness: f64, step: f64, said: &mut Vec<String>) {
    if mesh.sides.is_empty() {
        return;
    }
    let (size, void) = (CRUMB * thickness, HOLLOW * thickness);
    let (least, most) = (CRUMB * CRUMB_CELLS * step, CRUMB_VOLUME * thickness * thickness * thickness);
    let (of, count) = mesh.component_of_triangles();
    let parts = components(mesh, &of, count);
    let is_crumb = |c: &Component| {
        let small = c.longest() <= least || (size.is_finite() && (0.0..most).contains(&c.volume));
        c.cut && c.longest() <= if c.volume < 0.0 { void } else { size } && small
    };
    let crumb: Vec<bool> = parts.iter().map(is_crumb).collect();
    let dropped = crumb.iter().filter(|c| **c).count();
    if dropped == 0 || dropped == count {
        return;
    }
    mesh.keep(|t, _| !crumb[of[t] as usize]);
    let hollow = crumb.iter().zip(&parts).filter(|(crumb, part)| **crumb && part.volume < 0.0).count();
    let told = |many: usize, one: &str| match many {
        1 => format!("a {one}"),
        many => format!("{many} {one}s"),
    };
    if dropped > hollow {
        let crumbs = told(dropped - hollow, "crumb");
        said.push(format!("left out: {crumbs} of wall, under {size:.2} mm, that the clip cuts off"));
    }
    if hollow > 0 {
        let hollows = told(hollow, "hollow");
        said.push(format!("filled: {hollows} under {void:.2} mm, where the wall meets itself or is cut"));
    }
}

/// Moves the corners of crossing or flat triangles toward the middle of their neighbours, until none is left or the
/// rounds are used up; gives the number of pairs left. `step` is the edge of a cell, `least` the height of a flat
/// triangle, mm.
fn untangle(
    mesh: &mut Mesh,
    mut pairs: Vec<[u32; 2]>,
    [step, least]: [f64; 2],
    watch: &dyn Watch,
) -> Result<usize, Stopped> {
    let mut left = 0;
    let all: Vec<u32> = (0..mesh.triangles.len() as u32).collect();
    let neighbours = neighbours(mesh);
    let creases = creases(mesh);
    let start = mesh.points.clone();
    for round in 0..ROUNDS {
        watch.check()?;
        let flat = mesh.flat_among(&all, least);
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
                // At first what stands on a crease stays on it, and what stands in a corner where it is.
                let list = match creases[v as usize].len() {
                    2 if round < ALONG => &creases[v as usize],
                    3.. if round < ALONG => return mesh.points[v as usize],
                    _ => &neighbours[v as usize],
                };
                let sum = list.iter().fold(Vec3::ZERO, |s, u| s + mesh.points[*u as usize]);
                let p = mesh.points[v as usize];
                let q = p + (sum / list.len().max(1) as f64 - p) * 0.5;
                let d = q - start[v as usize];
                let far = d.norm() / (STRAY * step);
                if far > 1.0 { start[v as usize] + d / far } else { q }
            })
            .collect();
        for (v, p) in move_these.iter().zip(new) {
            mesh.points[*v as usize] = p;
        }
        let moved = |t: &u32| mesh.triangles[*t as usize].iter().any(|v| move_these.binary_search(v).is_ok());
        let changed: Vec<u32> = all.iter().copied().filter(moved).collect();
        pairs = mesh.crossings_among(&changed, &all);
    }
    Ok(left)
}

/// For each point those that an edge leads to across which the mesh turns sharply. What is turned over is not sharp.
fn creases(mesh: &Mesh) -> Vec<Vec<u32>> {
    let mut out: Vec<Vec<u32>> = vec![Vec::new(); mesh.points.len()];
    let mut open: HashMap<[u32; 2], Vec3> = HashMap::with_capacity(mesh.triangles.len() * 3 / 2);
    for (k, t) in mesh.triangles.iter().enumerate() {
        let [a, b, c] = mesh.corners(k);
        let normal = (b - a).cross(c - a).unit().unwrap_or(Vec3::ZERO);
        for (p, q) in [(t[0], t[1]), (t[1], t[2]), (t[2], t[0])] {
            let Some(other) = open.insert([p.min(q), p.max(q)], normal) else { continue };
            if normal.dot(other).abs() < CREASE {
                out[p as usize].push(q);
                out[q as usize].push(p);
            }
        }
    }
    out
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
