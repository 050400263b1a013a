//! The walls of a solid: each lowered to a function of space, and which part of which a triangle belongs to.

use std::sync::Arc;

use rayon::prelude::*;

use super::RealiseFault;
use super::meeting::{self, Meeting, meeting};
use super::wall::{WallDistance, thinnest, widest_cell};
use crate::base::{Box3, Vec3, Watch};
use crate::form::{Patch, Sheet, Solid, Surface, Thickness};
use crate::formula::{Binary, Expr, Op, Tape};
use crate::shape::{Mesh, Side};

/// True when something in the tree is moved.
pub fn moves(solid: &Solid) -> bool {
    match solid {
        Solid::Union(list) | Solid::Intersection(list) => list.iter().any(moves),
        Solid::Difference(pair) | Solid::Blend(pair, _) => pair.iter().any(moves),
        Solid::Mapped { .. } | Solid::Moved(..) => true,
        _ => false,
    }
}

/// The walls of a solid, kept while it is realised.
#[derive(Default)]
pub struct Walls {
    /// Walls made so far.
    pub list: Vec<Arc<WallDistance>>,
    /// Distances well outside a wall are not needed; true when no blend reads them.
    pub near_only: bool,
    /// What stands within it is moved later.
    pub moved: bool,
    /// What is to be said of them.
    pub said: Vec<String>,
    /// Where one of them meets itself.
    pub met: Option<Meeting>,
}

impl Walls {
    /// The function of a wall: negative nearer than half the thickness, cut flush by the clip of the surface.
    ///
    /// # Errors
    /// As for surfaces.
    pub fn lower(
        &mut self,
        surface: &Surface,
        thickness: &Thickness,
        step: Option<f64>,
        watch: &dyn Watch,
    ) -> Result<Expr, RealiseFault> {
        let sheet = surface.sheet();
        let clip = match sheet.clip() {
            Some(solid) => {
                let value = solid.lower(&mut |s: &Surface, t: &Thickness| self.lower(s, t, step, watch))?;
                Some((value, solid.within()))
            }
            None => None,
        };
        // A rough wall only tells how large it is.
        let looked_at = step.is_some();
        let cut = clip.as_ref().filter(|_| looked_at).map(|(e, _)| Tape::new(e)).transpose()?;
        let value = match surface.patch() {
            Some(patch) => {
                let met = looked_at.then(|| meeting_of_film(patch, thickness, cut.as_ref())).flatten();
                self.meets(met);
                thickness.less_half(patch.away())
            }
            None => {
                let clip = clip.as_ref().map(|(e, b)| (e, *b));
                let cell = step.map(|s| s.min(widest_cell(thinnest(surface, thickness))));
                let wall = Arc::new(self.measured(&sheet, clip, thickness, cell, watch)?);
                self.said.extend(wall.said.clone());
                // What is grown or hollowed has a skin, and no front and back.
                if !matches!(sheet, Sheet::Skin { .. }) {
                    let met = looked_at.then(|| wall.meeting(cut.as_ref())).flatten();
                    self.meets(met);
                    self.list.push(wall.clone());
                }
                let from_skin = Expr::oracle(wall, ["x", "y", "z"].map(Expr::var));
                match thickness {
                    Thickness::Even(_) => from_skin,
                    Thickness::By { most, .. } => thickness.less_half(from_skin + most / 2.0),
                }
            }
        };
        Ok(match clip {
            Some((clip, _)) => value.max(clip),
            None => value,
        })
    }

    fn meets(&mut self, met: Option<Meeting>) {
        self.said.extend(met.map(|met| met.said(self.moved)));
        self.met = self.met.or(met);
    }

    /// The wall of a sheet, measured as far as it is read.
    fn measured(
        &self,
        sheet: &Sheet,
        clip: Option<(&Expr, Box3)>,
        thickness: &Thickness,
        cell: Option<f64>,
        watch: &dyn Watch,
    ) -> Result<WallDistance, RealiseFault> {
        let mut wall = WallDistance::new(sheet, clip, thickness, cell, watch)?;
        if let (true, Some(cell)) = (self.near_only, cell) {
            wall.read_near(cell);
        }
        Ok(wall)
    }

    /// The part of the form that each triangle belongs to; empty when there is no wall.
    pub fn sides(&self, value: &Expr, mesh: &Mesh) -> Vec<Side> {
        let placed = self.placed(value);
        if placed.is_empty() {
            return vec![];
        }
        let normals: Vec<Vec<Vec3>> = placed.iter().map(|(wall, _)| wall.mesh().normals()).collect();
        let side = |t: usize| {
            let corners = mesh.corners(t);
            let found = placed
                .iter()
                .zip(&normals)
                .find_map(|((wall, look), normals)| wall.side(corners.map(|p| seen(look, p)), normals));
            found.unwrap_or(Side::Cut)
        };
        (0..mesh.triangles.len()).into_par_iter().map(side).collect()
    }

    /// What seems cut of a wall that nothing cuts takes the side that it lies on.
    pub fn uncut(&self, value: &Expr, mesh: &mut Mesh) {
        let placed = self.placed(value);
        let ([(wall, look)], true) = (&placed[..], is_scaled_oracle(value)) else { return };
        let normals = wall.mesh().normals();
        for t in 0..mesh.sides.len() {
            if mesh.sides[t] == Side::Cut
                && let Some(side) = wall.nearest_side(seen(look, mesh.middle(t)), &normals)
            {
                mesh.sides[t] = side;
            }
        }
    }

    /// Each wall as it stands in the finished function: where it looks from a point of space.
    fn placed(&self, value: &Expr) -> Vec<(&WallDistance, Tape)> {
        let mut found = Vec::new();
        let mut seen = std::collections::HashSet::new();
        let mut stack = vec![value.clone()];
        while let Some(e) = stack.pop() {
            if !seen.insert(e.address()) {
                continue;
            }
            match e.op() {
                Op::Const(_) | Op::Var(_) => {}
                Op::Unary(_, a) => stack.push(a.clone()),
                Op::Binary(_, a, b) => stack.extend([a.clone(), b.clone()]),
                Op::Select(a, b, c) => stack.extend([a.clone(), b.clone(), c.clone()]),
                Op::Oracle(o, _, at) => {
                    stack.extend(at.iter().cloned());
                    let address = Arc::as_ptr(o).cast::<u8>();
                    let wall = self.list.iter().find(|w| Arc::as_ptr(w).cast::<u8>() == address);
                    if let (Some(wall), Ok(look)) = (wall, Tape::with_inputs(at, &["x", "y", "z"])) {
                        found.push((&**wall, look));
                    }
                }
            }
        }
        found
    }
}

/// Where a wall looks from a point of space.
fn seen(look: &Tape, p: Vec3) -> Vec3 {
    let mut at = [0.0; 3];
    look.at(&p.array(), &mut at);
    Vec3::from(at)
}

/// True for an oracle, at most times a number.
fn is_scaled_oracle(value: &Expr) -> bool {
    let is_number = |e: &Expr| matches!(e.op(), Op::Const(_));
    match value.op() {
        Op::Oracle(..) => true,
        Op::Binary(Binary::Mul | Binary::Div, a, b) if is_number(b) => is_scaled_oracle(a),
        Op::Binary(Binary::Mul, a, b) if is_number(a) => is_scaled_oracle(b),
        _ => false,
    }
}

/// Where the wall of a film meets itself within a clip, if anywhere.
fn meeting_of_film(film: &Arc<Patch>, thickness: &Thickness, clip: Option<&Tape>) -> Option<Meeting> {
    let mesh = film.mesh();
    let thickness = Tape::new(&thickness.value()).ok()?;
    let away = Tape::new(&film.away()).ok()?;
    let place = |t: u32| {
        let [a, b, c] = mesh.corners(t as usize);
        let (p, normal) = (mesh.middle(t as usize), (b - a).cross(c - a));
        let wanted = clip.is_none_or(|clip| clip.value(p) <= 0.0);
        normal.unit().filter(|_| wanted).map(|n| (p, n, 0.5 * thickness.value(p)))
    };
    let places: Vec<_> = meeting::some_of(mesh.triangles.len()).filter_map(place).collect();
    meeting(&places, |some| some.iter().map(|p| away.value(*p)).collect())
}
