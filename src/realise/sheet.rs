//! Sheets: the open mesh of a surface, cut along its clip.

use rayon::prelude::*;

use super::RealiseFault;
use super::bound::{self, Seek};
use super::extract;
use super::field::Field;
use super::grid::{Grid, Job};
use crate::base::{Box3, Vec3, Watch};
use crate::formula::{Expr, Scratch, Tape};
use crate::shape::Mesh;

/// A level surface with the part of space that it is wanted in.
#[derive(Debug)]
pub struct Level {
    /// Zero on the surface.
    pub field: Field,
    /// Negative where the surface is wanted.
    pub clip: Option<Field>,
    /// A box that holds the wanted part.
    pub region: Box3,
}

impl Level {
    /// A level surface made ready. `clip` is already one function, with its box.
    ///
    /// # Errors
    /// When no end is found along some axis, or nothing is there.
    pub fn new(value: &Expr, clip: Option<(&Expr, Box3)>) -> Result<Self, RealiseFault> {
        let field = Field::new(value)?;
        let unbounded = |axes| RealiseFault::Unbounded { axes };
        let (clip, within) = match clip {
            Some((e, within)) => {
                let clip = Field::new(e)?;
                let region = bound::fit(&clip, within, Seek::Inside).unwrap_or(within);
                (Some(clip), region)
            }
            None => (None, Box3::cube(f64::INFINITY)),
        };
        let region = bound::fit(&field, within, Seek::Zero).map_err(unbounded)?;
        if region.is_empty() { Err(RealiseFault::Empty) } else { Ok(Self { field, clip, region }) }
    }

    /// The open mesh of the surface in the wanted part and `margin` mm around it, by cells of edge `step`.
    ///
    /// # Errors
    /// As [`extract::extract`].
    pub fn mesh(&self, step: f64, margin: f64, watch: &dyn Watch) -> Result<Mesh, RealiseFault> {
        let grid = Grid::over(self.region.grown(margin), step);
        let clip = self.clip.as_ref().map(|c| (c, margin + step));
        let job = Job { field: &self.field, grid: &grid, open: true, clip };
        let mut mesh = extract::extract(&job, watch)?.mesh;
        mesh.compact();
        self.drop_leaps(&mut mesh, step);
        Ok(mesh)
    }

    /// Takes out the triangles where the field changes sign by a leap, perhaps through infinity: nothing is zero there.
    fn drop_leaps(&self, mesh: &mut Mesh, step: f64) {
        let (value, slopes) = self.field.tape.bounds_and_slopes(mesh.bounds());
        if value.is_finite() && slopes.iter().all(|s| s.is_finite()) {
            return;
        }
        let leaps = |scratch: &mut Scratch, p: &Vec3| self.leaps(*p, step, scratch);
        let leap: Vec<bool> = mesh.points.par_iter().map_init(Scratch::default, leaps).collect();
        if leap.contains(&true) {
            mesh.keep(|_, t| !t.iter().any(|i| leap[*i as usize]));
        }
    }

    /// True when a vertex stands where the field leaps from one sign to the other. Beside a pole it is larger than a little to
    /// both sides, where at a zero it is less; any other leap stays however closely one looks.
    fn leaps(&self, p: Vec3, step: f64, scratch: &mut Scratch) -> bool {
        let at = |p: Vec3| self.field.tape.value(p);
        let (value, slope) = self.field.tape.slope(p, scratch);
        if !value.is_finite() {
            return true;
        }
        // At a tip the slope may be none, or no number.
        let along = slope.unit();
        let is_pole = |along: Vec3| {
            let beside = [1.0, -1.0].map(|side| at(p + along * (side * BESIDE * step)).abs());
            value.abs() > LARGER * beside[0].max(beside[1])
        };
        if along.is_some_and(is_pole) {
            return true;
        }
        if value == 0.0 || value.abs() < STANDS_OFF * step * slope.norm() {
            return false;
        }
        // A stair keeps its risers.
        let axes = [0, 1, 2].map(|axis| Vec3::from(std::array::from_fn(|k| f64::from(u8::from(k == axis)))));
        let axes = if self.field.tape.has_steps() { &[][..] } else { &axes };
        let mut ways = along.iter().chain(axes).flat_map(|way| [1.0, BESIDE].map(|by| *way * (by * step)));
        ways.any(|way| self.leaps_between(p - way, p + way))
    }

    /// True when the field is unlike on both sides of where its sign changes between two places.
    fn leaps_between(&self, mut a: Vec3, mut b: Vec3) -> bool {
        let whole = [a, b].map(|p| self.field.tape.value(p));
        let [mut fa, mut fb] = whole;
        if !(fa * fb < 0.0) {
            return false;
        }
        for _ in 0..HALVINGS {
            let middle = (a + b) / 2.0;
            let f = self.field.tape.value(middle);
            if f == 0.0 {
                return false;
            }
            if (f < 0.0) == (fa < 0.0) { (a, fa) = (middle, f) } else { (b, fb) = (middle, f) }
        }
        (fa - fb).abs() > STAYS * (whole[0] - whole[1]).abs()
    }
}

/// A pole is told from a zero by the values this part of an edge beside it, which are so many times less.
const BESIDE: f64 = 0.25;
const LARGER: f64 = 2.0;

/// A vertex on the surface is nearer to it than this part of an edge, as its value and slope tell.
const STANDS_OFF: f64 = 0.05;
/// So often is a change of sign closed in on; a leap keeps this part of the difference over the whole way.
const HALVINGS: usize = 30;
const STAYS: f64 = 0.2;

/// A corner nearer to the clip than this part of an edge is moved onto it, so that no sliver is cut off.
const SNAP: f64 = 0.15;

/// The part of an open mesh where `clip` is negative, cut along the clip; `step` is the length of its edges, mm.
/// Points of the cut are brought onto both the surface (when there is a field) and the clip.
pub fn cut(mesh: &mut Mesh, clip: &Tape, field: Option<&Field>, step: f64) {
    let mut value: Vec<f64> = vec![0.0; mesh.points.len()];
    let new: Vec<(Vec3, f64)> = mesh
        .points
        .par_iter()
        .map_init(Scratch::default, |scratch, p| {
            let (v, g) = clip.slope(*p, scratch);
            let steep = g.norm();
            if v.abs() < SNAP * step * steep {
                let q = onto_both(*p, clip, field, step, scratch);
                if (q - *p).norm() < 2.0 * SNAP * step {
                    return (q, 0.0);
                }
            }
            (*p, v)
        })
        .collect();
    for (i, (p, v)) in new.into_iter().enumerate() {
        (mesh.points[i], value[i]) = (p, v);
    }
    let mut made: std::collections::HashMap<(u32, u32), u32> = std::collections::HashMap::new();
    let mut scratch = Scratch::default();
    let mut kept = Vec::with_capacity(mesh.triangles.len());
    for t in std::mem::take(&mut mesh.triangles) {
        let outside = t.map(|i| !(value[i as usize] <= 0.0));
        if outside == [false; 3] {
            if !t.iter().all(|i| value[*i as usize] == 0.0) || inside_middle(mesh, t, clip) {
                kept.push(t);
            }
            continue;
        }
        if t.iter().all(|i| !(value[*i as usize] < 0.0)) {
            continue;
        }
        // Walk round the triangle; a side that passes the clip gains a corner.
        let mut ring = Vec::with_capacity(4);
        for k in 0..3 {
            let (a, b) = (t[k], t[(k + 1) % 3]);
            if !outside[k] {
                ring.push(a);
            }
            let (va, vb) = (value[a as usize], value[b as usize]);
            if (va < 0.0 && outside[(k + 1) % 3]) || (outside[k] && vb < 0.0) {
                ring.push(*made.entry((a.min(b), a.max(b))).or_insert_with(|| {
                    let (p, q) = (mesh.points[a as usize], mesh.points[b as usize]);
                    let share = va / (va - vb);
                    let start = p + (q - p) * if share.is_finite() { share } else { 0.5 };
                    let at = onto_both(start, clip, field, step, &mut scratch);
                    mesh.points.push(at);
                    mesh.points.len() as u32 - 1
                }));
            }
        }
        for k in 2..ring.len() {
            kept.push([ring[0], ring[k - 1], ring[k]]);
        }
    }
    mesh.triangles = kept;
    mesh.sides.clear();
    mesh.keep(|_, [a, b, c]| a != b && b != c && c != a);
}

fn inside_middle(mesh: &Mesh, t: [u32; 3], clip: &Tape) -> bool {
    let [a, b, c] = t.map(|i| mesh.points[i as usize]);
    clip.value((a + b + c) / 3.0) <= 0.0
}

/// The point brought onto the clip and the surface by turns; the start where that leads away.
fn onto_both(start: Vec3, clip: &Tape, field: Option<&Field>, step: f64, scratch: &mut Scratch) -> Vec3 {
    let mut p = start;
    for _ in 0..6 {
        for tape in std::iter::once(clip).chain(field.map(|f| &f.tape)) {
            let (v, g) = tape.slope(p, scratch);
            let gg = g.dot(g);
            if gg.is_finite() && gg > 0.0 && v.is_finite() {
                p -= g * (v / gg);
            }
        }
    }
    if (p - start).norm() <= step { p } else { start }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::Unwatched;
    use crate::formula::{self, Kind};

    fn mesh(text: &str) -> (Tape, Mesh) {
        let Kind::Field { value, .. } = formula::read(text).unwrap().kind else {
            panic!("{text} is a field")
        };
        let [x, y, z] = ["x", "y", "z"].map(Expr::var);
        let half = std::f64::consts::PI;
        let cube = [x, y, z].map(|c| c.clone().max(-c) - half).into_iter().reduce(Expr::max).unwrap();
        let level = Level::new(&value, Some((&cube, Box3::cube(half)))).unwrap();
        let mesh = level.mesh(0.21, 0.0, &Unwatched).unwrap();
        (level.field.tape, mesh)
    }

    /// Over two periods tan x has the value 1/2 at two places and runs to infinity at two others; a quotient that stays finite
    /// keeps both its sheets.
    #[test]
    fn poles_are_no_sheets() {
        let parts = |text: &str| mesh(text).1.component_of_triangles().1;
        assert_eq!(["tan x = 1/2", "sin x/(2 + cos y) = 1/4"].map(parts), [2, 2]);
    }

    /// Away from its axis no point of a winding sheet stands where the angle leaps; a stair keeps its risers.
    #[test]
    fn leaps_are_no_sheets() {
        let off = |text: &str| {
            let (tape, mesh) = mesh(text);
            let away = mesh.points.iter().filter(|p| p.x.hypot(p.y) > 0.5);
            away.map(|p| tape.value(*p).abs()).fold(0.0, f64::max)
        };
        for text in ["z = atan(y/x)", "z = atan2(y, x)", "z = mod(x, 2)"] {
            assert!(off(text) < 0.05, "{text}: {}", off(text));
        }
        assert_eq!(mesh("z = floor(x)").1.component_of_triangles().1, 1);
        // Nor is anything missing at tips and ridges, where slopes are no numbers.
        for text in ["sqrt(x^2 + y^2) + |z| = 2", "sqrt(|x|) + sqrt(|y|) + sqrt(|z|) = 1.5"] {
            assert!(mesh(text).1.open_edges().is_empty(), "{text}");
        }
    }
}
