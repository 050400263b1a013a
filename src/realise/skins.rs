//! What one sees of a wall, without joining it into a solid: its two parallel sheets and the cuts between them.
//!
//! Each triangle of the surface stands between two that are moved half the thickness along the normals. A parallel
//! sheet never leaves the wall: where it is nearer to another part of the surface than half the thickness it runs
//! inside. So what is outside is right, whatever passes through what within, and no distance need be searched for.
//! The cut of a clip is that of the prisms, each taken as three tetrahedra and the clip as straight in them.

use rayon::prelude::*;

use super::RealiseFault;
use super::cutter::Cutter;
use super::finer::Base;
use super::knobs::knobs;
use super::meeting::Meeting;
use super::sheet::Level;
use crate::base::{Vec3, Watch};
use crate::formula::{Scratch, Tape};
use crate::shape::{Mesh, Side};

/// Cosine between the normals at two corners of a triangle under which it stands on a crease or a singular point.
pub const BENT: f64 = 0.5;
/// Under this one it is folded over, and a ball covers what its sheets leave open.
const FOLDED: f64 = 0.0;
/// So many of the triangles of a surface without creases may be bent: it may have singular points or cross itself, and
/// there the sheets run inside the wall.
const BENT_PART: f64 = 0.1;
/// With smaller cells to come, and fewer triangles than these, only so many: the others may be crests that cells do not see.
const BENT_FEW: f64 = 0.003;
const FEW: usize = 60_000;
/// So many of the triangles of what is looked at may be further off than was asked: those at a singular point are at
/// any size.
pub const FAR_PART: f64 = 0.01;

/// What is asked of sheets.
#[derive(Clone, Copy, Debug)]
pub enum Care {
    /// They are looked at: what is outside is right, within so many mm but for a few places; before triangles are made
    /// smaller where they turn, not many are `rough` mm off. With `more` there may be smaller cells still.
    Seen { within: f64, rough: f64, more: bool },
    /// They are to bound a solid within so many mm: nothing turns over either. (Whether parts cross is to be tested.)
    Whole(f64),
}

/// Sheets that pass through one another.
#[derive(Debug)]
pub struct Meets {
    /// The sheets.
    pub mesh: Mesh,
    /// The mesh of the surface.
    pub base: Mesh,
    /// Where, elsewhere than on the inside of folds.
    pub met: Option<Meeting>,
}

/// What came of sheets.
#[derive(Debug)]
pub enum Skins {
    /// Both sheets, and the cuts of the clip between them.
    Made(Mesh),
    /// The same of a surface that is folded, or nearer to itself than the wall is thick.
    Meets(Meets),
    /// They are further off than was asked: smaller cells may do.
    Coarse,
    /// Sheets alone do not show the wall: the surface has creases, ends elsewhere than at a clip, or turns more sharply
    /// than the wall is thick.
    Unfit,
}

/// The sheets of a wall `thickness` mm thick, by cells of edge `step`.
///
/// # Errors
/// As [`Level::mesh`].
pub fn skins(
    level: &Level,
    thickness: f64,
    step: f64,
    care: Care,
    watch: &dyn Watch,
) -> Result<Skins, RealiseFault> {
    let (half, tape) = (thickness / 2.0, &level.field.tape);
    let mesh = level.mesh(step, thickness, watch)?;
    let normals =
        slopes(tape, &mesh.points).into_iter().map(|(_, g)| g.unit().unwrap_or(Vec3::ZERO)).collect();
    let mut base = Base { mesh, normals };
    let smooth = !tape.has_kinks();
    if let Care::Seen { rough, more, .. } = care
        && let Some(why) = look_wrong(&base, half, [rough, if more { BENT_FEW } else { BENT_PART }], smooth)
    {
        return Ok(why);
    }
    let (Care::Seen { within, .. } | Care::Whole(within)) = care;
    if smooth {
        base.refine(tape, half, within);
    }
    let sheets = Sheets::new(base, half);
    if let Care::Whole(within) = care
        && let Some(why) = sheets.are_wrong(within, tape)
    {
        return Ok(why);
    }
    let folds = sheets.folds();
    let Sheets { base: Base { mesh: base, .. }, points, .. } = sheets;
    let count = base.points.len() as u32;
    let mut cutter = Cutter::new(points, level.clip.as_ref(), SNAP * step);
    if base.open_edges().into_iter().flatten().any(|i| [i, i + count].iter().any(|i| cutter.is_inside(*i))) {
        return Ok(Skins::Unfit);
    }
    for t in &base.triangles {
        let back = t.map(|i| i + count);
        cutter.prism(*t, back, &[(*t, Side::Front), ([back[0], back[2], back[1]], Side::Back)]);
    }
    let mut mesh = cutter.finish();
    mesh.append(&knobs(&folds, half, &level.field.tape, level.clip.as_ref()));
    Ok(if mesh.triangles.is_empty() { Skins::Unfit } else { Skins::Made(mesh) })
}

/// Places looked at before each point of a surface, within the thickness.
const OVERLAPS: f64 = 6.0;

/// A point nearer to the clip than this part of a cell is moved onto it, so that no sliver is cut off.
pub const SNAP: f64 = 0.02;

/// What speaks against sheets that are looked at, `half` mm to both sides of a surface, where more than the part `most` of
/// a few triangles are bent or many are `rough` mm off; `smooth`: it has no creases of its own.
fn look_wrong(base: &Base, half: f64, [rough, most]: [f64; 2], smooth: bool) -> Option<Skins> {
    let part = |bad: &dyn Fn(&[u32; 3]) -> bool| {
        let count = base.mesh.triangles.iter().filter(|t| bad(t)).count();
        count as f64 / base.mesh.triangles.len().max(1) as f64
    };
    let bent = part(&|t| base.turn(t) < BENT);
    if bent > 0.0 && !smooth {
        return Some(Skins::Unfit);
    }
    // Smaller cells leave fewer of them at a singular point.
    let most = if base.mesh.triangles.len() < FEW { most } else { BENT_PART };
    let is_rough = bent > most || part(&|t| base.most_sagitta(t, half) > rough) > FAR_PART;
    is_rough.then_some(Skins::Coarse)
}

/// The open mesh of a surface with its normals, half the thickness, and the points of its front, then of its back.
struct Sheets {
    base: Base,
    half: f64,
    points: Vec<Vec3>,
}

impl Sheets {
    fn new(base: Base, half: f64) -> Self {
        let sheet = |by: f64| base.mesh.points.iter().zip(&base.normals).map(move |(p, n)| *p + *n * by);
        let points = sheet(half).chain(sheet(-half)).collect();
        Self { base, half, points }
    }

    /// What speaks against sheets that are to bound a solid.
    fn are_wrong(&self, within: f64, tape: &Tape) -> Option<Skins> {
        let any = |bad: &dyn Fn(&[u32; 3]) -> bool| self.base.mesh.triangles.iter().any(bad);
        if any(&|t| self.base.turn(t) < BENT || self.base.turned_over(t, self.half)) || self.overlap(tape) {
            return Some(Skins::Unfit);
        }
        any(&|t| self.base.most_sagitta(t, self.half) > within).then_some(Skins::Coarse)
    }

    /// True when another part of the surface stands straight before one within the thickness, so that walls overlap.
    fn overlap(&self, tape: &Tape) -> bool {
        let Base { mesh, normals } = &self.base;
        let is_before = |(p, n): (&Vec3, &Vec3)| {
            let away = |k: f64| *p + *n * (2.0 * self.half * k / OVERLAPS);
            (1..=OVERLAPS as u32)
                .map(f64::from)
                .any(|k| tape.value(away(k)) < 0.0 || tape.value(away(-k)) > 0.0)
        };
        mesh.points.par_iter().zip(normals).any(is_before)
    }

    /// Middles of triangles that are folded over.
    fn folds(&self) -> Vec<Vec3> {
        let mesh = &self.base.mesh;
        let folded = mesh.triangles.iter().filter(|t| self.base.turn(t) < FOLDED);
        folded.map(|t| t.iter().fold(Vec3::ZERO, |s, i| s + mesh.points[*i as usize]) / 3.0).collect()
    }
}

/// Points valued together.
const CHUNK: usize = 1024;

/// Values and slopes at points.
pub(super) fn slopes(tape: &Tape, points: &[Vec3]) -> Vec<(f64, Vec3)> {
    let of = |part: &[Vec3]| tape.slopes_of(part, &mut Scratch::default());
    points.par_chunks(CHUNK).flat_map_iter(of).collect()
}
