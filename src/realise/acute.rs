//! Creases at acute angles: what meets there is meshed by itself, and one mesh cut by the other.
//!
//! Cells see a wedge by the lattice points in it. One sharper than some 40° ends between them, and its edge comes out as
//! teeth. Each of its sides by itself is no wedge. So where a minimum or maximum of two functions has acute creases, both
//! are meshed apart, the meshes are joined by a library for that, and the points of the crease are brought to where both
//! functions vanish.

use std::collections::HashSet;
use std::panic::{AssertUnwindSafe, catch_unwind};

use boolmesh::prelude::{Manifold, OpType, compute_boolean};

use super::RealiseFault;
use super::faces::Raw;
use super::field::Field;
use super::grid::{Grid, Job};
use super::{extract, finish, place, skins};
use crate::base::{Box3, Vec3, Watch};
use crate::formula::{Binary, Expr, Op, Scratch, Tape, Unary};
use crate::shape::Mesh;

/// Cosine between the slopes of two functions under which their crease is acute, about 40°; under the other one they only
/// touch.
const ACUTE: f64 = -0.77;
const TOUCHING: f64 = -0.9998;
/// A place is on both when it is no further than this part of a cell from where each vanishes.
const NEAR: f64 = 0.5;
/// So many places make a crease.
const CREASE: usize = 8;
/// No more joints than this are looked at: each is meshed anew.
const MOST: usize = 24;
/// What is meshed by itself ends so many cells outside of what was seen of the whole, whose wedges go on for some cells; each
/// part a little further than the last.
const MARGIN: f64 = 12.0;
/// Steps (Newton's method) onto a crease, and how many cells they lead at most.
const STEPS: usize = 6;
const FAR: f64 = 1.0;

/// The angle of an edge under which its sides are meshed apart, radians.
pub fn sharpest() -> f64 {
    libm::acos(-ACUTE)
}

/// A function by the joints of it that have acute creases.
#[derive(Debug)]
pub enum Parts {
    /// To be meshed as it is.
    Whole(Expr),
    /// The lesser (false) or greater (true) of two, and the whole.
    Joined(bool, Box<[Parts; 2]>, Expr),
}

/// The parts of a function at the joints with acute creases, as some points on its creases tell; `None` without any.
/// `step` is the edge of a cell, mm.
pub fn parts(value: &Expr, points: &[Vec3], step: f64) -> Option<Parts> {
    let mut left = MOST;
    let made = seek(value, false, points, step, &mut left);
    matches!(made, Parts::Joined(..)).then_some(made)
}

fn seek(value: &Expr, negate: bool, points: &[Vec3], step: f64, left: &mut usize) -> Parts {
    let signed = |e: &Expr| if negate { -e.clone() } else { e.clone() };
    let whole = || Parts::Whole(signed(value));
    match value.op() {
        Op::Unary(Unary::Neg, a) => seek(a, !negate, points, step, left),
        Op::Binary(f @ (Binary::Min | Binary::Max), a, b) if *left > 0 && points.len() >= CREASE => {
            *left -= 1;
            let Some(seen) =
                [a, b].map(|e| Seen::new(e, points, step)).into_iter().collect::<Option<Vec<_>>>()
            else {
                return whole();
            };
            let acute = seen[0].acute_with(&seen[1]);
            let pair = [0, 1].map(|k| {
                let own: Vec<Vec3> = points
                    .iter()
                    .zip(&seen[k].off)
                    .filter(|(_, off)| **off < NEAR)
                    .map(|(p, _)| *p)
                    .collect();
                seek([a, b][k], negate, &own, step, left)
            });
            if !acute && pair.iter().all(|part| matches!(part, Parts::Whole(_))) {
                return whole();
            }
            Parts::Joined((*f == Binary::Max) != negate, Box::new(pair), signed(value))
        }
        _ => whole(),
    }
}

/// A function as it is seen from some points.
struct Seen {
    /// About how far it vanishes from each, in cells.
    off: Vec<f64>,
    /// Its direction at each.
    normal: Vec<Vec3>,
}

impl Seen {
    fn new(value: &Expr, points: &[Vec3], step: f64) -> Option<Self> {
        let seen = skins::slopes(&Tape::new(value).ok()?, points);
        let off = seen.iter().map(|(v, g)| v.abs() / (g.norm() * step)).collect();
        let normal = seen.iter().map(|(_, g)| g.unit().unwrap_or(Vec3::ZERO)).collect();
        Some(Self { off, normal })
    }

    /// True when enough points lie on an acute crease with another function.
    fn acute_with(&self, other: &Self) -> bool {
        let near = |k: &usize| self.off[*k] < NEAR && other.off[*k] < NEAR;
        let acute = |k: &usize| (TOUCHING..ACUTE).contains(&self.normal[*k].dot(other.normal[*k]));
        (0..self.off.len()).filter(|k| near(k) && acute(k)).count() >= CREASE
    }
}

impl Parts {
    /// The closed mesh of the parts, by the box of what cells see of the whole; `None` where the parts cannot be joined
    /// soundly.
    ///
    /// # Errors
    /// As [`extract::extract`].
    pub fn mesh(&self, seen: Box3, step: f64, watch: &dyn Watch) -> Result<Option<Mesh>, RealiseFault> {
        let mesh = match self.made(seen, step, &mut 0, watch) {
            // A part by itself may be much larger than what is left of it.
            Err(RealiseFault::TooLarge) => return Ok(None),
            made => made?,
        };
        let Some(mesh) = mesh else { return Ok(None) };
        if !mesh.laws_of_joints().is_empty() {
            return Ok(None);
        }
        let (mesh, left) = finish::part(Raw::of_one(mesh), step, watch)?;
        Ok((left == 0).then_some(mesh))
    }

    fn made(
        &self,
        seen: Box3,
        step: f64,
        made: &mut u32,
        watch: &dyn Watch,
    ) -> Result<Option<Mesh>, RealiseFault> {
        match self {
            Self::Whole(value) => {
                // No two parts end at the same place.
                let room = seen.grown((MARGIN + f64::from(*made) * 0.37) * step);
                *made += 1;
                let field = Field::new(&value.clone().max(inside(room)))?;
                let grid = Grid::over(room, step);
                let job = Job { field: &field, grid: &grid, open: false, clip: None };
                let (mut mesh, left) = finish::part(extract::extract(&job, watch)?, step, watch)?;
                mesh.compact();
                Ok((left == 0).then_some(mesh))
            }
            Self::Joined(greater, pair, _) => {
                let mut meshes = vec![];
                for part in &**pair {
                    let Some(mesh) = part.made(seen, step, made, watch)? else { return Ok(None) };
                    meshes.push(mesh);
                }
                watch.progress("cutting", 0.5);
                watch.check()?;
                let values = [0, 1].map(|k| pair[k].value());
                let [a, b] = [&meshes[0], &meshes[1]];
                let Some(mut mesh) = joined(*greater, a, b) else { return Ok(None) };
                onto_crease(&mut mesh, [a, b], values, step)?;
                Ok(Some(mesh))
            }
        }
    }

    fn value(&self) -> &Expr {
        match self {
            Self::Whole(value) | Self::Joined(_, _, value) => value,
        }
    }
}

/// Negative inside a box.
fn inside(room: Box3) -> Expr {
    let sides = (0..3).flat_map(|k| {
        let at = || Expr::var(["x", "y", "z"][k]);
        [at() - room.max[k], Expr::constant(room.min[k]) - at()]
    });
    sides.reduce(Expr::max).unwrap_or_else(|| Expr::constant(-1.0))
}

/// What two closed meshes have in common, or both together.
fn joined(common: bool, a: &Mesh, b: &Mesh) -> Option<Mesh> {
    match [a, b].map(|m| m.triangles.is_empty()) {
        [true, _] => return Some(if common { Mesh::default() } else { b.clone() }),
        [_, true] => return Some(if common { Mesh::default() } else { a.clone() }),
        _ => {}
    }
    let solid = |mesh: &Mesh| {
        let at: Vec<f64> = mesh.points.iter().flat_map(|p| p.array()).collect();
        let corners: Vec<usize> = mesh.triangles.as_flattened().iter().map(|i| *i as usize).collect();
        Manifold::new(&at, &corners).ok()
    };
    let (a, b) = (solid(a)?, solid(b)?);
    let how = if common { OpType::Intersect } else { OpType::Add };
    // The library is young: should it fall, the cells' own mesh is kept.
    let made = catch_unwind(AssertUnwindSafe(|| compute_boolean(&a, &b, how))).ok()?.ok()?;
    let corners: Vec<u32> = made.hs.iter().map(|h| h.tail as u32).collect();
    let mut mesh = Mesh {
        points: made.ps.iter().map(|p| Vec3::new(p.x, p.y, p.z)).collect(),
        triangles: corners.chunks_exact(3).map(|t| [t[0], t[1], t[2]]).collect(),
        sides: vec![],
    };
    mesh.compact();
    Some(mesh)
}

/// Brings the points that a joint added to where both functions vanish.
fn onto_crease(mesh: &mut Mesh, from: [&Mesh; 2], values: [&Expr; 2], step: f64) -> Result<(), RealiseFault> {
    let name = |p: &Vec3| p.array().map(f64::to_bits);
    let known: HashSet<[u64; 3]> = from.iter().flat_map(|m| &m.points).map(name).collect();
    let tapes = [Tape::new(values[0])?, Tape::new(values[1])?];
    let mut scratch = Scratch::default();
    for p in mesh.points.iter_mut().filter(|p| !known.contains(&name(p))) {
        let mut q = *p;
        for _ in 0..STEPS {
            let rows = [0, 1].map(|k| tapes[k].slope(q, &mut scratch));
            match place::least_step(&rows, Vec3::ZERO, [false; 3]) {
                Some(d) if d.is_finite() => q += d,
                _ => break,
            }
        }
        let on = tapes.iter().all(|tape| {
            let (v, g) = tape.slope(q, &mut scratch);
            v.abs() <= place::NEAR * step * g.norm()
        });
        if on && (q - *p).norm() <= FAR * step {
            *p = q;
        }
    }
    Ok(())
}
