//! A form and a tolerance give a shape.
//!
//! [`solid`] lowers the tree of a solid to one function, finds the box it needs, samples blocks of cells where the
//! function may change sign, and joins one vertex per patch of surface in each cell; the mesh is closed and
//! 2-manifold by construction.

mod acute;
mod apart;
mod bent;
mod block;
mod bound;
mod closely;
mod combined;
mod creases;
mod crossed;
mod crossing;
mod cubic;
mod cutter;
mod end;
mod endless;
mod extract;
mod faces;
mod faceted;
mod field;
mod finer;
mod finish;
mod grid;
mod half;
mod joint;
mod knobs;
mod lanes;
mod leaf;
mod lid;
mod meeting;
mod meets;
mod onto;
mod outermost;
mod parallel;
mod param;
mod patch;
mod pieces;
mod place;
mod plane;
mod raised;
mod rings;
mod rows;
mod seams;
mod sheet;
mod shell;
mod simplify;
mod skins;
mod sliced;
mod struts;
mod swept;
mod thin;
mod wall;
mod walls;

use crate::base::{Box3, Stopped, Tolerance, Unwatched, Vec3, Watch};
use crate::form::{Sheet, Solid, Strand, Surface, Thickness};
use crate::formula::Expr;
use crate::shape::{Mesh, Side};

use bound::Seek;
use faces::Raw;
use field::Field;
use grid::{Grid, Job};
use meeting::Meeting;
use parallel::{PlainWall, Sheets, lowered};
use thin::Thin;
use walls::Walls;

pub use plane::section;

/// A finished shape and what a person should know about it.
#[derive(Clone, Debug, Default)]
pub struct Realised {
    /// The mesh, closed for a solid.
    pub mesh: Mesh,
    /// Sentences about what had to be decided or left out.
    pub said: Vec<String>,
}

/// Why a form could not be realised.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum RealiseFault {
    /// No point is inside.
    #[error("the solid is empty: no place is inside it")]
    Empty,
    /// No end was found along the axes named.
    #[error(
        "the solid has no end along {axes}, or none within 16 m; cut it with a ball or a block to make it finite"
    )]
    Unbounded {
        /// Names of the axes, such as "x, y".
        axes: String,
    },
    /// The tolerance asks for more cells than allowed.
    #[error("the shape is too large for this tolerance; ask for a coarser tolerance or a smaller shape")]
    TooLarge,
    /// Its thinnest part asks for more cells than allowed.
    #[error(
        "its thinnest part, {0:.3} mm, is too thin to be seen in a shape of its size: make it thicker, or the whole smaller"
    )]
    TooThin(f64),
    /// All of it is thinner than the cells.
    #[error("it is thinner than {0:.3} mm everywhere: make it thicker, or ask for a finer tolerance")]
    AllThin(f64),
    /// A name in a formula has no value, or the formula is too long.
    #[error(transparent)]
    Formula(#[from] crate::formula::TapeFault),
    /// A surface in two parameters, of which nothing is cut off, is not finite.
    #[error(
        "the surface runs to infinity near parameters {0}, {1}: clip it, for example with `& ball(...)`, or give it other ranges"
    )]
    RunsAway(f64, f64),
    /// A place of a curve is not finite.
    #[error("the curve leaves every bound; give it a shorter range")]
    Endless,
    /// The work was told to stop.
    #[error(transparent)]
    Stopped(#[from] Stopped),
}

/// Cells per tolerance: a cell of this many tolerances keeps the tolerance where the radius of curvature is at least
/// as large as the cell (a chord of length c over a radius r is off by c²/8r).
const CELL: f64 = 8.0;

/// How often smaller cells are tried where faces cross, and how much smaller.
const TRIES: usize = 3;
const SMALLER: f64 = 0.8;

/// Cells are made smaller while more than this part of a surface bounds what is too thin for them: in one go to this part
/// of their edge, in all to this part of the first, and to about so many blocks of them and triangles. What is too thin
/// then is told.
const THIN: f64 = 0.05;
const ONE_GO: f64 = 0.25;
const FINEST: f64 = 1.0 / 16.0;
const MOST_BLOCKS: f64 = 64_000.0;
const MOST_TRIANGLES: f64 = 2e6;
/// A thickness is none when smaller cells tell less than this part of it.
const SHRINKS: f64 = 0.5;

/// A box of more cells than this along a side is first made less.
const WIDEST: f64 = 4096.0;

/// The mesh of a solid: closed, 2-manifold, outward.
///
/// # Errors
/// When the solid is empty, has no end, is too large for the tolerance, or the watch says stop.
pub fn solid(form: &Solid, tolerance: Tolerance, watch: &dyn Watch) -> Result<Realised, RealiseFault> {
    if let Some(mesh) = round(form, tolerance, watch)? {
        return Ok(Realised { mesh, said: vec![] });
    }
    if let Some(Realised { mesh, mut said }) = known(form, tolerance, watch)? {
        let step = CELL * tolerance.mm();
        let (mesh, _, more) = finish::finish(mesh, tolerance.mm(), step, watch)?;
        said.extend(more);
        return Ok(Realised { mesh, said });
    }
    let crossed = match PlainWall::of(form, Some(CELL * tolerance.mm()), watch)? {
        Some(mut wall) => match wall.whole(tolerance.mm(), watch)? {
            Sheets::Whole(made) => return Ok(made),
            Sheets::Crossed(at) => Some(Meeting { at, share: 0.0 }),
            Sheets::None => None,
        },
        None => None,
    };
    let started = Started::new(form, CELL * tolerance.mm(), watch)?;
    let (mesh, step, mut said) = started.mesh(watch)?;
    // Where cells are smaller for what is thin, so much less is kept within.
    let within = tolerance.mm() * step / started.step;
    let (mesh, _, more) = finish::finish(mesh, within, step, watch)?;
    said.extend(more);
    if started.walls.met.is_none() {
        said.extend(crossed.map(|met| met.said(false)));
    }
    Ok(started.done(mesh, step, said))
}

/// The mesh of a tube or of struts by themselves, with as few triangles as it should have.
fn round(form: &Solid, tolerance: Tolerance, watch: &dyn Watch) -> Result<Option<Mesh>, RealiseFault> {
    let made = match rings::tube(form, tolerance.mm(), watch)? {
        None => struts::struts(form, tolerance.mm(), watch)?,
        made => made,
    };
    if made.is_some() { Ok(made) } else { bent::bent(form, tolerance.mm(), watch) }
}

/// The mesh of a polyhedron, of a raised flat or of a swept section by itself, or of tubes and struts with what is cut from them.
fn known(form: &Solid, tolerance: Tolerance, watch: &dyn Watch) -> Result<Option<Realised>, RealiseFault> {
    let exact = faceted::faceted(form).or_else(|| raised::raised(form, tolerance.mm()));
    let mesh = match exact {
        None => swept::swept(form, tolerance.mm(), watch)?,
        exact => exact,
    };
    match mesh {
        None => combined::combined(form, tolerance, watch),
        Some(mesh) => Ok(Some(Realised { mesh, said: vec![] })),
    }
}

/// What one sees of a solid.
#[derive(Clone, Debug)]
pub struct Seen {
    /// The shape, with no triangles saved.
    pub shape: Realised,
    /// The tolerance that its cells were chosen for.
    pub tolerance: Tolerance,
    /// It is the two sheets of a wall and the cuts between them. Where sheets come nearer than the wall is thick they pass
    /// through one another inside it, so volume, genus and parts are not those of the solid.
    pub sheets: bool,
}

/// What one sees of a solid, by the tolerance that `fine` gives for its longest side (mm, about): as [`solid`], but a wall
/// of a smooth level surface by its sheets, which is many times faster.
///
/// # Errors
/// As [`solid`].
pub fn seen(
    form: &Solid,
    fine: &dyn Fn(f64) -> Option<Tolerance>,
    watch: &dyn Watch,
) -> Result<Seen, RealiseFault> {
    if let Some(mut wall) = PlainWall::of(form, None, watch)? {
        let tolerance = fine(wall.extent(watch)?).ok_or(RealiseFault::Empty)?;
        if let Some(shape) = wall.seen(tolerance.mm(), watch)? {
            return Ok(Seen { shape, tolerance, sheets: true });
        }
    }
    let tolerance = fine(extent(form)?.size().largest()).ok_or(RealiseFault::Empty)?;
    let alone = match round(form, tolerance, watch)? {
        None => known(form, tolerance, watch)?,
        Some(mesh) => Some(Realised { mesh, said: vec![] }),
    };
    if let Some(shape) = alone {
        return Ok(Seen { shape, tolerance, sheets: false });
    }
    let shape = solid_in_cells(form, CELL * tolerance.mm(), watch)?;
    Ok(Seen { shape, tolerance, sheets: false })
}

/// The mesh of a solid by cells of edge `cell` mm (less where a wall asks for it), with no triangles saved: closed,
/// 2-manifold, outward.
///
/// # Errors
/// As [`solid`].
pub fn solid_in_cells(form: &Solid, cell: f64, watch: &dyn Watch) -> Result<Realised, RealiseFault> {
    let started = Started::new(form, cell, watch)?;
    let (mesh, step, said) = started.mesh(watch)?;
    Ok(started.done(mesh, step, said))
}

/// A solid lowered to one function, and the cells that see it.
struct Started {
    value: Expr,
    field: Field,
    walls: Walls,
    within: Box3,
    step: f64,
    /// The least thickness of its walls, mm.
    thinnest: f64,
    /// How thin the rod is, mm, for which cells are smaller than asked.
    too_thin: Option<f64>,
}

impl Started {
    fn new(form: &Solid, mut step: f64, watch: &dyn Watch) -> Result<Self, RealiseFault> {
        let (near_only, moved) = (!wall::reads_far(form), walls::moves(form));
        let mut walls = Walls { near_only, moved, ..Walls::default() };
        let mut thinnest = f64::INFINITY;
        let rod = form.thinnest();
        let too_thin = (wall::widest_cell_of_rods(rod) < step).then_some(rod);
        step = step.min(wall::widest_cell_of_rods(rod));
        let value = form.lower(&mut |surface: &Surface, thickness: &Thickness| {
            thinnest = thinnest.min(wall::thinnest(surface, thickness));
            walls.lower(surface, thickness, Some(step), watch)
        })?;
        step = step.min(wall::widest_cell(thinnest));
        let field = Field::new(&value)?;
        Ok(Self { value, field, walls, within: form.within(), step, thinnest, too_thin })
    }

    /// The mesh, the edge of its cells, and what is to be said. Where faces cross that cannot be parted, smaller cells
    /// are tried.
    fn mesh(&self, watch: &dyn Watch) -> Result<(Mesh, f64, Vec<String>), RealiseFault> {
        let known = self.within.is_finite() && self.within.size().largest() < WIDEST * self.step;
        let region = if known { self.within } else { region(&self.field, self.within)? };
        let (mut raw, mut step) = self.fine_enough(region, watch)?;
        if raw.mesh.triangles.is_empty() {
            return Err(if raw.thin.share > 0.0 { RealiseFault::AllThin(step) } else { RealiseFault::Empty });
        }
        let mut said = vec![];
        if self.thinnest.is_infinite() && raw.thin.share > THIN {
            said.push(format!(
                "about {:.0} % of its surface bounds parts or gaps thinner than {:.3} mm, which may have holes or be lost; \
                 ask for a finer tolerance",
                100.0 * raw.thin.share,
                thin::SURE * step
            ));
        }
        if let Some(parts) = acute::parts(&self.value, &raw.sharp, step) {
            if let Some(mesh) = parts.mesh(raw.mesh.bounds(), step, watch)? {
                return Ok((mesh, step, said));
            }
            said.push(format!(
                "edges sharper than {:.0} degrees may have teeth of about {step:.2} mm: their sides could not be joined \
                 soundly; ask for a finer tolerance",
                acute::sharpest().to_degrees()
            ));
        }
        for _ in 1..TRIES {
            let (mesh, left) = finish::part(raw, step, watch)?;
            if left == 0 {
                return Ok((mesh, step, said));
            }
            step *= SMALLER;
            raw = self.extract(region, step, watch)?;
        }
        let (mesh, left) = finish::part(raw, step, watch)?;
        if left > 0 {
            said.push(format!(
                "{left} pairs of triangles cross or are flat and could not be parted; try another tolerance"
            ));
        }
        Ok((mesh, step, said))
    }

    /// The faces in cells that are made smaller while much of the surface bounds what is too thin for them, and the edge
    /// of the cells.
    fn fine_enough(&self, region: Box3, watch: &dyn Watch) -> Result<(Raw, f64), RealiseFault> {
        let mut step = self.step;
        let mut raw = self.extract(region, step, watch)?;
        let mut aim = f64::INFINITY;
        while self.thinnest.is_infinite() {
            let Thin { share, thickness } = raw.thin;
            // What seems the thinner the closer one looks has no thickness to be seen.
            if share > THIN && (aim.is_infinite() || thickness > SHRINKS * aim * thin::SURE) {
                aim = aim.min(thickness / thin::SURE);
            }
            let blocks = libm::cbrt(raw.blocks as f64 / MOST_BLOCKS);
            let triangles = (raw.mesh.triangles.len() as f64 / MOST_TRIANGLES).sqrt();
            let room = step * blocks.max(triangles).max(ONE_GO);
            let finer = aim.max(room).max(self.step * FINEST);
            if aim <= 0.0 || finer > SMALLER * step {
                break;
            }
            match self.extract(region, finer, watch) {
                Err(RealiseFault::TooLarge) => break,
                made => raw = made?,
            }
            step = finer;
        }
        Ok((raw, step))
    }

    fn extract(&self, region: Box3, step: f64, watch: &dyn Watch) -> Result<Raw, RealiseFault> {
        let grid = Grid::over(region, step);
        let job = Job { field: &self.field, grid: &grid, open: false, clip: None };
        extract::extract(&job, watch).map_err(|fault| match self.too_thin {
            Some(thin) if fault == RealiseFault::TooLarge => RealiseFault::TooThin(thin),
            _ => fault,
        })
    }

    fn done(&self, mut mesh: Mesh, step: f64, mut said: Vec<String>) -> Realised {
        mesh.sides = self.walls.sides(&self.value, &mesh);
        said.extend(self.walls.said.iter().cloned());
        finish::drop_crumbs(&mut mesh, self.thinnest, step, &mut said);
        self.walls.uncut(&self.value, &mut mesh);
        Realised { mesh, said }
    }
}

/// The least box found that holds a solid, without making it.
///
/// # Errors
/// When the solid is empty or has no end.
pub fn extent(form: &Solid) -> Result<Box3, RealiseFault> {
    let mut walls = Walls::default();
    let value = form.lower(&mut |s: &Surface, t: &Thickness| walls.lower(s, t, None, &Unwatched))?;
    region(&Field::new(&value)?, form.within())
}

fn region(field: &Field, within: Box3) -> Result<Box3, RealiseFault> {
    let region = bound::fit(field, within, Seek::Inside).map_err(|axes| RealiseFault::Unbounded { axes })?;
    match (region.is_empty(), within.is_finite() && within.size().largest() > bound::FAR) {
        (false, _) => Ok(region),
        // Where it lies nothing was looked for.
        (true, true) => Err(RealiseFault::TooLarge),
        (true, false) => Err(RealiseFault::Empty),
    }
}

/// The open mesh of a surface, cut along its clip; a triangle's front is where the field is positive, or where the
/// first parameter's direction, the second's and the normal are right-handed.
///
/// # Errors
/// When nothing is there, the surface has no end, is too large for the tolerance, or the watch says stop.
pub fn surface(form: &Surface, tolerance: Tolerance, watch: &dyn Watch) -> Result<Realised, RealiseFault> {
    let step = CELL * tolerance.mm();
    let sheet = form.sheet();
    let clip = sheet.clip().map(|solid| lowered(solid, Some(step), watch)).transpose()?;
    let level = |value: &Expr| -> Result<Mesh, RealiseFault> {
        let level = sheet::Level::new(value, clip.as_ref().map(|(e, b)| (e, *b)))?;
        let mut mesh = level.mesh(step, 0.0, watch)?;
        if let Some(clip) = &level.clip {
            sheet::cut(&mut mesh, &clip.tape, Some(&level.field), step);
        }
        Ok(mesh)
    };
    let mut said = vec![];
    let mut mesh = match &sheet {
        _ if form.patch().is_some() => net(form, clip.as_ref().map(|c| &c.0), step)?,
        Sheet::Level { value, .. } => level(value)?,
        Sheet::Skin { solid, .. } => level(&wall::skin_value(solid, Some(step), watch)?)?,
        Sheet::Param { components, params, ranges, .. } => {
            let wanted = clip.as_ref().map(|(clip, b)| param::Wanted { clip, within: *b, margin: step });
            let mut param = param::Param::new(components, params, *ranges)?;
            let (mut mesh, _) = param.mesh(step, wanted, watch)?;
            said.extend(if clip.is_none() { param.said(params) } else { None });
            if let Some((clip, _)) = &clip {
                sheet::cut(&mut mesh, &Field::new(clip)?.tape, None, step);
            }
            mesh
        }
    };
    if mesh.triangles.is_empty() {
        return Err(RealiseFault::Empty);
    }
    mesh.sides = vec![Side::Front; mesh.triangles.len()];
    Ok(Realised { mesh, said })
}

/// The triangles that stand for a surface, cut along its clip.
fn net(form: &Surface, clip: Option<&Expr>, step: f64) -> Result<Mesh, RealiseFault> {
    let mut mesh = form.patch().map(|patch| patch.mesh().clone()).unwrap_or_default();
    if let Some(clip) = clip {
        sheet::cut(&mut mesh, &Field::new(clip)?.tape, None, step);
    }
    Ok(mesh)
}

/// Points along a curve, mm; the first is repeated at the end of a closed one. No point of the curve is further than
/// about the tolerance from the chords.
///
/// # Errors
/// When the watch says stop, or a place is not finite.
pub fn curve(form: &Strand, tolerance: Tolerance, watch: &dyn Watch) -> Result<Vec<Vec3>, RealiseFault> {
    let places = form.places();
    let (from, to) = form.range();
    let mut points = vec![places.at(from)];
    // Pieces still to be walked, the next last: parameters and depth.
    let mut open: Vec<(f64, f64, u32)> = Vec::new();
    const PIECES: u32 = 64;
    const DEEPEST: u32 = 16;
    for k in (0..PIECES).rev() {
        let at = |k: u32| from + (to - from) * f64::from(k) / f64::from(PIECES);
        open.push((at(k), at(k + 1), 0));
    }
    while let Some((a, b, depth)) = open.pop() {
        watch.check()?;
        let (p, q) = (points[points.len() - 1], places.at(b));
        if !q.is_finite() || !p.is_finite() {
            return Err(RealiseFault::Endless);
        }
        // Two places inside, not halfway, so that a turning point in the middle is not missed.
        let off = [0.37, 0.61].map(|s| far_from_chord(places.at(a + (b - a) * s), p, q));
        if off[0].max(off[1]) > tolerance.mm() * 0.9 && depth < DEEPEST {
            let middle = 0.5 * (a + b);
            open.extend([(middle, b, depth + 1), (a, middle, depth + 1)]);
        } else {
            points.push(q);
        }
    }
    Ok(points)
}

fn far_from_chord(m: Vec3, p: Vec3, q: Vec3) -> f64 {
    let d = q - p;
    let s = (m - p).dot(d) / d.dot(d).max(f64::MIN_POSITIVE);
    (m - p - d * s.clamp(0.0, 1.0)).norm()
}
