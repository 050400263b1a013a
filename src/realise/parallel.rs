//! A solid that is nothing but a wall, by the parallel sheets of its surface.

use std::sync::Arc;

use super::bound::{self, Seek};
use super::field::Field;
use super::leaf::Leaf;
use super::meeting::{LESS, Meeting};
use super::outermost::outermost;
use super::param::{Param, Wanted};
use super::sheet::Level;
use super::skins::{self, Care, Meets, Skins};
use super::walls::Walls;
use super::{CELL, RealiseFault, Realised, finish, shell};
use crate::base::{Affine, Box3, Vec3, Watch};
use crate::form::{Patch, Sheet, Solid, Surface, Thickness};
use crate::formula::Expr;
use crate::shape::{Mesh, Tree};

/// Sheets that are looked at are tried with cells each time half as large, down to this part of the first, until all but
/// a few triangles are within so many tolerances; for a surface that seems creased all over down to this part of its
/// longest side, and where crests may be too narrow to be seen to a part of that. Then triangles are made smaller until
/// they are within this part of a tolerance.
const LOOK_FINER: f64 = 0.25;
const LOOK_ROUGH: f64 = 1.5;
const LOOK_LEAST: f64 = 1.0 / 128.0;
const LOOK_CRESTS: f64 = 0.25;
const LOOK_WITHIN: f64 = 0.5;

/// How often the cells of parallel sheets are halved, at most, before distances decide; the first time counts.
const FINER: usize = 2;

/// A solid that is nothing but the wall of a surface, of one thickness, moved as a whole or not.
pub struct PlainWall {
    surface: Plain,
    /// Of the surface as it stood before it was moved, mm.
    thickness: f64,
    by: Affine,
    /// The factor on lengths.
    factor: f64,
}

/// What can be told of by its normals.
enum Plain {
    Level(Box<Level>),
    Param { param: Box<Param>, names: [String; 2], clip: Option<Clip> },
    Net { net: Arc<Patch>, clip: Option<Clip> },
}

/// The function of a clip, made ready, and a box that holds what is inside.
struct Clip {
    value: Expr,
    field: Field,
    within: Box3,
}

/// What became of the sheets of a wall.
#[derive(Debug)]
pub enum Sheets {
    /// They bound it.
    Whole(Realised),
    /// They cross, at this place among others.
    Crossed(Vec3),
    /// They do not bound it.
    None,
}

impl PlainWall {
    /// The wall that a solid is, if it is one; walls of its clip are found with cells of edge `step`, or roughly without one.
    ///
    /// # Errors
    /// As for surfaces.
    pub fn of(form: &Solid, step: Option<f64>, watch: &dyn Watch) -> Result<Option<Self>, RealiseFault> {
        match form {
            Solid::Moved(inner, by) => {
                let Some(factor) = by.similar() else { return Ok(None) };
                let inner = Self::of(inner, step.map(|s| s / factor), watch)?;
                Ok(inner.map(|wall| Self { by: wall.by.then(by), factor: wall.factor * factor, ..wall }))
            }
            Solid::Wall(surface, Thickness::Even(thickness)) => {
                let surface = Plain::of(surface, step, watch)?;
                let whole =
                    |surface| Self { surface, thickness: *thickness, by: Affine::IDENTITY, factor: 1.0 };
                Ok(surface.map(whole))
            }
            _ => Ok(None),
        }
    }

    /// How long it is at its longest, mm, about.
    ///
    /// # Errors
    /// As for surfaces.
    pub fn extent(&mut self, watch: &dyn Watch) -> Result<f64, RealiseFault> {
        let surface = self.surface.extent(self.thickness, watch)?;
        Ok((surface.size().largest() + self.thickness) * self.factor)
    }

    /// Its sheets as they are looked at, where they show it. Near singular points smaller cells show more of it; the last are
    /// taken as they come.
    ///
    /// # Errors
    /// As for surfaces.
    pub fn seen(&mut self, tolerance: f64, watch: &dyn Watch) -> Result<Option<Realised>, RealiseFault> {
        let tolerance = tolerance / self.factor;
        let mut step = CELL * tolerance;
        let finer = step * LOOK_FINER;
        let least = finer.min(self.surface.longest() * LOOK_LEAST) * LOOK_CRESTS;
        while step >= least {
            let rough = if step * 0.5 >= finer { LOOK_ROUGH * tolerance } else { f64::INFINITY };
            let care = Care::Seen { within: LOOK_WITHIN * tolerance, rough, more: step * 0.5 >= least };
            match self.surface.skins(self.thickness, step, care, watch)? {
                Skins::Made(mesh) | Skins::Meets(Meets { mesh, .. }) => {
                    return Ok(Some(self.done(mesh, step, vec![])));
                }
                Skins::Coarse => step *= 0.5,
                Skins::Unfit => break,
            }
        }
        Ok(None)
    }

    /// The wall by its sheets, where they bound a solid: they are joined along cuts and lips, and nothing crosses; else a place
    /// where they cross, if that is why.
    ///
    /// # Errors
    /// As for surfaces.
    pub fn whole(&mut self, tolerance: f64, watch: &dyn Watch) -> Result<Sheets, RealiseFault> {
        let tolerance = tolerance / self.factor;
        let mut step = CELL * tolerance;
        let mut made = Skins::Coarse;
        for _ in 0..FINER {
            made = match self.surface.skins(self.thickness, step, Care::Whole(tolerance), watch) {
                // Distances may do with larger cells.
                Err(RealiseFault::TooLarge) => return Ok(Sheets::None),
                made => made?,
            };
            if !matches!(made, Skins::Coarse) {
                break;
            }
            step *= 0.5;
        }
        let mut said = self.surface.said();
        let mut mesh = match made {
            Skins::Made(mesh) => mesh,
            Skins::Meets(Meets { mesh, base, met }) => {
                let met = met.map(|met| Meeting { at: self.by.apply(met.at), ..met });
                let (tree, least) = (Tree::new(&base), (1.0 - LESS) * 0.5 * self.thickness);
                let Some(skin) = outermost(&mesh, tolerance, |p| tree.nearest(p, least, None).is_some())
                else {
                    return Ok(met.map_or(Sheets::None, |met| Sheets::Crossed(met.at)));
                };
                said.extend(met.map(|met| met.said(false)));
                skin
            }
            Skins::Coarse | Skins::Unfit => return Ok(Sheets::None),
        };
        finish::drop_crumbs(&mut mesh, self.thickness, step, &mut said);
        if !mesh.laws_of_joints().is_empty() {
            return Ok(Sheets::None);
        }
        let (mesh, proven, more) = finish::finish(mesh, tolerance, step, watch)?;
        said.extend(more);
        if proven || finish::is_sound(&mesh) {
            return Ok(Sheets::Whole(self.moved(Realised { mesh, said })));
        }
        let place = mesh.crossings().first().map(|[t, _]| self.by.apply(mesh.middle(*t as usize)));
        Ok(place.map_or(Sheets::None, Sheets::Crossed))
    }

    fn done(&self, mut mesh: Mesh, step: f64, mut said: Vec<String>) -> Realised {
        said.extend(self.surface.said());
        finish::drop_crumbs(&mut mesh, self.thickness, step, &mut said);
        self.moved(Realised { mesh, said })
    }

    fn moved(&self, mut made: Realised) -> Realised {
        if self.by != Affine::IDENTITY {
            made.mesh.carry(&self.by);
        }
        made
    }
}

impl Plain {
    fn of(surface: &Surface, step: Option<f64>, watch: &dyn Watch) -> Result<Option<Self>, RealiseFault> {
        let sheet = surface.sheet();
        let (Sheet::Level { .. } | Sheet::Param { .. }) = sheet else { return Ok(None) };
        let clip = sheet.clip().map(|solid| lowered(solid, step, watch)).transpose()?;
        if let Some(net) = surface.patch() {
            let clip = clip.map(|(value, within)| Clip::new(value, within)).transpose()?;
            return Ok(Some(Self::Net { net: net.clone(), clip }));
        }
        Ok(match sheet {
            Sheet::Level { value, .. } => {
                Some(Self::Level(Box::new(Level::new(&value, clip.as_ref().map(|(e, b)| (e, *b)))?)))
            }
            Sheet::Param { components, params, ranges, .. } => {
                let param = Box::new(Param::new(&components, &params, ranges)?);
                let clip = clip.map(|(value, within)| Clip::new(value, within)).transpose()?;
                Some(Self::Param { param, names: params, clip })
            }
            Sheet::Skin { .. } => None,
        })
    }

    fn skins(
        &mut self,
        thickness: f64,
        step: f64,
        care: Care,
        watch: &dyn Watch,
    ) -> Result<Skins, RealiseFault> {
        match self {
            Self::Level(level) => skins::skins(level, thickness, step, care, watch),
            Self::Param { param, clip, .. } => {
                let wanted = clip.as_ref().map(|clip| clip.wanted(thickness));
                let (mesh, at) = param.mesh(step, wanted, watch)?;
                let leaf = Leaf::of_param(param, mesh, at);
                Ok(shell::shell(leaf, thickness / 2.0, clip.as_ref().map(|c| &c.field), step, care))
            }
            Self::Net { net, clip } => {
                let Some(leaf) = Leaf::of_net(net.mesh().clone()) else { return Ok(Skins::Unfit) };
                Ok(match shell::shell(leaf, thickness / 2.0, clip.as_ref().map(|c| &c.field), step, care) {
                    // Its triangles are what they are.
                    Skins::Coarse => Skins::Unfit,
                    made => made,
                })
            }
        }
    }

    /// A box that holds what is wanted of the surface, by a rough look.
    fn extent(&mut self, thickness: f64, watch: &dyn Watch) -> Result<Box3, RealiseFault> {
        match self {
            Self::Level(level) => Ok(level.region),
            Self::Net { net, clip } => {
                Ok(clip.as_ref().map_or(net.region(), |c| c.within.meet(net.region())))
            }
            Self::Param { param, clip, .. } => {
                let wanted = clip.as_ref().map(|clip| clip.wanted(thickness));
                let (mesh, _) = param.mesh(f64::INFINITY, wanted, watch)?;
                Ok(clip.as_ref().map_or(mesh.bounds(), |c| c.within.meet(mesh.bounds())))
            }
        }
    }

    /// The longest side that cells are made for, mm. Those of a surface in two parameters follow it by themselves.
    fn longest(&self) -> f64 {
        match self {
            Self::Level(level) => level.region.size().largest(),
            Self::Param { .. } | Self::Net { .. } => f64::INFINITY,
        }
    }

    fn said(&self) -> Vec<String> {
        match self {
            Self::Param { param, names, clip: None } => param.said(names).into_iter().collect(),
            _ => vec![],
        }
    }
}

impl Clip {
    fn new(value: Expr, within: Box3) -> Result<Self, RealiseFault> {
        let field = Field::new(&value)?;
        let within = bound::fit(&field, within, Seek::Inside).unwrap_or(within);
        Ok(Self { value, field, within })
    }

    fn wanted(&self, margin: f64) -> Wanted<'_> {
        Wanted { clip: &self.value, within: self.within, margin }
    }
}

/// The function of a clip, with its box; its walls are found with cells of edge `step`, or roughly without one.
pub fn lowered(clip: &Solid, step: Option<f64>, watch: &dyn Watch) -> Result<(Expr, Box3), RealiseFault> {
    let mut walls = Walls::default();
    let value = clip.lower(&mut |s: &Surface, t: &Thickness| walls.lower(s, t, step, watch))?;
    Ok((value, clip.within()))
}

#[cfg(test)]
mod tests {
    use std::f64::consts::{PI, TAU};

    use super::*;
    use crate::base::Unwatched;
    use crate::form::{ball, intersection, wall, xyz};
    use crate::formula::Unary;

    fn param(of: impl Fn(Expr, Expr) -> [Expr; 3], ranges: [(f64, f64); 2]) -> Surface {
        let [u, v] = ["u", "v"];
        crate::form::sheet(of(Expr::var(u), Expr::var(v)), [u.to_owned(), v.to_owned()], ranges).unwrap()
    }

    fn sin(e: &Expr) -> Expr {
        Expr::unary(Unary::Sin, e.clone())
    }

    fn cos(e: &Expr) -> Expr {
        Expr::unary(Unary::Cos, e.clone())
    }

    /// The wall by its sheets, if they bound it.
    fn sheets(surface: &Surface, thickness: f64, tolerance: f64) -> Option<Mesh> {
        let form = wall(surface, thickness).unwrap();
        let mut plain = PlainWall::of(&form, Some(CELL * tolerance), &Unwatched).unwrap().unwrap();
        let Sheets::Whole(made) = plain.whole(tolerance, &Unwatched).unwrap() else { return None };
        assert!(made.mesh.laws().is_empty(), "{:?}", made.mesh.laws());
        Some(made.mesh)
    }

    fn plane() -> Surface {
        param(|u, v| [u, v, Expr::constant(0.0)], [(-6.0, 6.0), (-4.0, 0.0)])
    }

    /// A Möbius band of width 8 about a circle of radius 20.
    fn band() -> Surface {
        let of = |u: Expr, v: Expr| {
            let half = u.clone() * 0.5;
            let out = v.clone() * cos(&half) + 20.0;
            [out.clone() * cos(&u), out * sin(&u), v * sin(&half)]
        };
        param(of, [(0.0, TAU), (-4.0, 4.0)])
    }

    /// Closed forms: the shell of a ball 4π(R²t + t³/12), of a torus 4π²Rrt; about a rectangle, by Steiner's formula, its
    /// area times t, half a rod of its girth and a ball.
    #[test]
    fn walls_by_sheets_have_their_volumes() {
        let sphere = param(
            |u, v| [cos(&u) * cos(&v) * 9.0, cos(&u) * sin(&v) * 9.0, sin(&u) * 9.0],
            [(-0.5 * PI, 0.5 * PI), (0.0, TAU)],
        );
        let torus = param(
            |u, v| {
                let out = cos(&v) * 4.0 + 12.0;
                [out.clone() * cos(&u), out * sin(&u), sin(&v) * 4.0]
            },
            [(0.0, TAU), (0.0, TAU)],
        );
        for (surface, thickness, exact, parts) in [
            (sphere, 2.0, 4.0 * PI * (81.0 * 2.0 + 8.0 / 12.0), 2),
            (torus, 1.5, 4.0 * PI * PI * 12.0 * 4.0 * 1.5, 2),
            (plane(), 2.0, 48.0 * 2.0 + 0.5 * PI * 32.0 + 4.0 / 3.0 * PI, 1),
        ] {
            let mesh = sheets(&surface, thickness, 0.02).unwrap();
            assert!((mesh.volume() / exact - 1.0).abs() < 4e-3, "{} for {exact}", mesh.volume());
            assert_eq!(mesh.component_of_triangles().1, parts);
        }
    }

    /// A band with one side has a wall of genus 1, whose every corner is half the thickness from the band.
    #[test]
    fn a_band_with_one_side_has_a_wall() {
        let mesh = sheets(&band(), 1.2, 0.03).unwrap();
        assert_eq!(mesh.measures().genus, 1);
        assert_eq!(mesh.component_of_triangles().1, 1);
        // Places of the band, and how far they stand from one another at most.
        let at = |i: u32, j: u32| {
            let (u, v) = (f64::from(i) * TAU / 2000.0, f64::from(j) * 0.1 - 4.0);
            let out = 20.0 + v * (u / 2.0).cos();
            Vec3::new(out * u.cos(), out * u.sin(), v * (u / 2.0).sin())
        };
        let places: Vec<Vec3> = (0..2000).flat_map(|i| (0..=80).map(move |j| at(i, j))).collect();
        for p in mesh.points.iter().step_by(97) {
            let d = places.iter().map(|q| (*q - *p).norm()).fold(f64::INFINITY, f64::min);
            assert!((0.57..0.63).contains(&d), "{p:?}: {d}");
        }
    }

    /// A block cuts a half plane whose border it crosses: wall and lip are cut flush, a slab of 5.8 by 2.9 by 1 and half a rod.
    /// A ball bends on the way from front to back by t²/8R = 0.04 mm: only within more are sheets enough.
    #[test]
    fn a_clip_cuts_sheets_and_lips() {
        let block = crate::form::block(Vec3::splat(5.8)).unwrap();
        let mesh = sheets(&crate::form::clip(&plane(), &block).unwrap(), 1.0, 0.01).unwrap();
        let exact = 5.8 * 2.9 + 0.125 * PI * 5.8;
        assert!((mesh.volume() / exact - 1.0).abs() < 4e-3, "{} for {exact}", mesh.volume());
        assert_eq!(mesh.measures().genus, 0);
        let round = crate::form::clip(&plane(), &ball(3.0).unwrap()).unwrap();
        assert_eq!([0.01, 0.06].map(|within| sheets(&round, 1.0, within).is_some()), [false, true]);
    }

    /// Two rectangles at a right angle: outside the fold a quarter of a rod, inside the walls overlap in a square; the rims are rods
    /// that meet as two cylinders do (Steinmetz), with a part of a ball. The same of a corner that one branch makes.
    #[test]
    fn folded_walls_have_their_volumes() {
        let (a, h, r) = (10.0, 8.0, 1.0);
        let section = 4.0 * a * r + PI * r * r - r * r + 0.25 * PI * r * r;
        let rims = 2.0 * a * PI * r * r + (4.0 / 3.0 + 1.0 / 3.0) * PI * r * r * r - 4.0 / 3.0 * r * r * r;
        let exact = h * section + rims;
        let bent = |u: Expr, v: Expr| {
            let zero = Expr::constant(0.0);
            [u.clone().max(zero.clone()), (-u).max(zero), v]
        };
        let mesh = sheets(&param(bent, [(-a, a), (0.0, h)]), 2.0 * r, 0.01).unwrap();
        assert!((mesh.volume() / exact - 1.0).abs() < 2e-3, "{} for {exact}", mesh.volume());
        assert_eq!((mesh.measures().genus, mesh.component_of_triangles().1), (0, 1));
    }

    /// A wall that passes through itself is one body: one that is an eight in section has two holes.
    #[test]
    fn walls_that_meet_themselves_are_one() {
        let eight = |u: Expr, v: Expr| [sin(&u) * 10.0, sin(&(u * 2.0)) * 6.0, v];
        let mesh = sheets(&param(eight, [(0.0, TAU), (0.0, 8.0)]), 1.0, 0.05).unwrap();
        assert_eq!((mesh.measures().genus, mesh.component_of_triangles().1), (2, 1));
    }

    /// Sheets that turn more sharply than the wall is thick are left to distances.
    #[test]
    fn what_turns_over_is_left() {
        let near = |u: Expr, v: Expr| [sin(&u) * 0.6, cos(&u) * 12.0, v];
        assert!(sheets(&param(near, [(0.0, TAU), (0.0, 8.0)]), 1.5, 0.05).is_none());
    }

    /// A wall that was turned and mirrored as a whole is the same wall.
    #[test]
    fn moved_walls_are_sheets_too() {
        let form = wall(&plane(), 2.0).unwrap();
        let by = Affine::turn(Vec3::new(1.0, 2.0, 0.5), 0.7).unwrap().then(&Affine::scale(Vec3::splat(-2.0)));
        let moved = Solid::Moved(Arc::new(form), by);
        let mut plain = PlainWall::of(&moved, Some(CELL * 0.04), &Unwatched).unwrap().unwrap();
        let Sheets::Whole(Realised { mesh, .. }) = plain.whole(0.04, &Unwatched).unwrap() else { panic!() };
        assert!(mesh.laws().is_empty(), "{:?}", mesh.laws());
        let exact = 8.0 * (48.0 * 2.0 + 0.5 * PI * 32.0 + 4.0 / 3.0 * PI);
        assert!((mesh.volume() / exact - 1.0).abs() < 4e-3, "{} for {exact}", mesh.volume());
        // What is only a part of something else is none.
        let cut = intersection(&wall(&plane(), 2.0).unwrap(), &ball(3.0).unwrap()).unwrap();
        assert!(PlainWall::of(&cut, None, &Unwatched).unwrap().is_none());
        let [x, ..] = xyz();
        assert!(
            PlainWall::of(&Solid::Field { value: x, within: Box3::cube(1.0) }, None, &Unwatched)
                .unwrap()
                .is_none()
        );
    }
}
