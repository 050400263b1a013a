//! Walls: the true distance to a surface, less half the thickness, as a function of space.
//!
//! The surface is meshed; the nearest point of the mesh is found through a tree of boxes and then moved to the
//! nearest point of the exact surface (Newton's method along the slope, tangential steps toward the asker), so that
//! the distance does not carry the error of the mesh. Distances change no faster than one moves, which gives the
//! bounds that keep the work to a thin shell.

use std::cell::{Cell, RefCell};
use std::collections::HashMap;
use std::sync::Arc;

use rayon::prelude::*;

use super::RealiseFault;
use super::apart::sheets;
use super::field::Field;
use super::meeting::{self, Meeting};
use super::param::{Param, Wanted};
use super::sheet::Level;
use super::walls::Walls;
use crate::base::{Box3, Interval, Vec3, Watch};
use crate::form::{Sheet, Solid, Surface, Thickness};
use crate::formula::{Expr, Oracle, Scratch, Tape};
use crate::shape::{Mesh, Nearest, Side, Tree};

/// What the surface is, exactly.
#[derive(Clone, Debug)]
enum Exact {
    Level(Arc<Field>),
    /// With the parameters of each point of the mesh.
    Param(Arc<Param>, Vec<[f64; 2]>),
}

/// The distance to a surface less half a thickness.
#[derive(Debug)]
pub struct WallDistance {
    mesh: Mesh,
    tree: Tree,
    exact: Exact,
    /// Half the thickness at the thickest place, which the value counts from, mm.
    half: f64,
    /// Half the thickness at the thinnest place, mm.
    thin: f64,
    /// The thickness from place to place, where it varies.
    varying: Option<Tape>,
    /// How far each triangle of the mesh may be off the surface, mm.
    loose: Vec<f64>,
    /// The greatest of these.
    slack: f64,
    /// Distances past this are not told apart, mm.
    reach: f64,
    /// What is to be said of the surface.
    pub said: Option<String>,
}

/// True when a blend somewhere in the tree reads distances away from the boundary, or a map stretches them.
pub fn reads_far(solid: &Solid) -> bool {
    match solid {
        Solid::Union(list) | Solid::Intersection(list) => list.iter().any(reads_far),
        Solid::Difference(pair) => pair.iter().any(reads_far),
        Solid::Blend(..) | Solid::Mapped { .. } | Solid::Moved(..) => true,
        _ => false,
    }
}

/// The function whose zeros are the skin of a solid.
///
/// # Errors
/// As for the walls in it.
pub fn skin_value(solid: &Solid, step: Option<f64>, watch: &dyn Watch) -> Result<Expr, RealiseFault> {
    solid.lower(&mut |s: &Surface, t: &Thickness| Walls::default().lower(s, t, step, watch))
}

/// Cells across the thickness of a wall, at least.
const ACROSS: f64 = 2.5;

/// Cells along a surface of which only a rough mesh is wanted.
const ROUGH: f64 = 60.0;

/// How thin the solid may be that a wall of a surface makes, mm: a set operation leaves half of the wall of a skin.
pub fn thinnest(surface: &Surface, thickness: &Thickness) -> f64 {
    let least = thickness.least();
    if matches!(surface.sheet(), Sheet::Skin { .. }) { least / 2.0 } else { least }
}

/// The largest cell that a wall of this thickness (mm) can be seen with.
pub fn widest_cell(thickness: f64) -> f64 {
    thickness / ACROSS
}

/// Cells across the thickness of a rod, at least: with two, lattice points lie in it one beside the other along its way;
/// with fewer than three it looks hammered.
const ACROSS_RODS: f64 = 3.0;

/// The largest cell that a rod of this thickness (mm) can be seen with.
pub fn widest_cell_of_rods(thickness: f64) -> f64 {
    thickness / ACROSS_RODS
}

thread_local! {
    /// The wall asked last on this thread (its address) and where its tree keeps the triangle found.
    static LAST: Cell<(usize, u32)> = const { Cell::new((0, 0)) };
    static SCRATCH: RefCell<Scratch> = RefCell::default();
}

impl WallDistance {
    /// The wall of a surface, found with cells of edge `step`, or a rough one without a step; and the clip that cuts
    /// it, if any.
    ///
    /// # Errors
    /// As for surfaces.
    pub fn new(
        sheet: &Sheet,
        clip: Option<(&Expr, Box3)>,
        thickness: &Thickness,
        step: Option<f64>,
        watch: &dyn Watch,
    ) -> Result<Self, RealiseFault> {
        let [least, most] = [thickness.least(), thickness.most()];
        let level = |value: &Expr| -> Result<(Mesh, Exact), RealiseFault> {
            let level = Level::new(value, clip)?;
            let step = step.unwrap_or(level.region.size().largest() / ROUGH);
            Ok((level.mesh(step, most, watch)?, Exact::Level(Arc::new(level.field))))
        };
        let mut said = None;
        let (mesh, exact) = match sheet {
            Sheet::Level { value, .. } => level(value)?,
            Sheet::Skin { solid, .. } => level(&skin_value(solid, step, watch)?)?,
            Sheet::Param { components, params, ranges, .. } => {
                let mut param = Param::new(components, params, *ranges)?;
                let wanted = clip.map(|(clip, within)| Wanted { clip, within, margin: most });
                let (mesh, at) = param.mesh(step.unwrap_or(f64::INFINITY), wanted, watch)?;
                said = if clip.is_none() { param.said(params) } else { None };
                (mesh, Exact::Param(Arc::new(param), at))
            }
        };
        if mesh.triangles.is_empty() {
            return Err(RealiseFault::Empty);
        }
        let tree = Tree::new(&mesh);
        let [thin, half] = [least / 2.0, most / 2.0];
        let varying = match thickness {
            Thickness::By { value, .. } => Some(Tape::new(value)?),
            Thickness::Even(_) => None,
        };
        let mut wall = Self {
            mesh,
            tree,
            exact,
            half,
            thin,
            varying,
            slack: 0.0,
            loose: vec![],
            reach: f64::INFINITY,
            said,
        };
        wall.loose = wall.measured();
        wall.slack = wall.loose.iter().fold(0.0, |most, d| d.max(most));
        Ok(wall)
    }

    /// How far each triangle may be off the surface, mm: twice as far as its middle is, or that of one it touches, since a
    /// saddle may pass through a middle. At a singular point, where that is much, it is not known what lies about it, and the
    /// mesh is believed.
    fn measured(&self) -> Vec<f64> {
        let all: Vec<u32> = (0..self.mesh.triangles.len() as u32).collect();
        let most = MOST_OFF * self.thin;
        let loose = |(p, q, _): (Vec3, Vec3, Vec3)| {
            let off = (q - p).norm();
            2.0 * (if off < most { off } else { most }) + LEAST_OFF * self.half
        };
        let own: Vec<f64> =
            all.par_chunks(TOGETHER).flat_map_iter(|part| self.above(part).map(loose)).collect();
        let mut about = vec![0.0_f64; self.mesh.points.len()];
        for (t, off) in self.mesh.triangles.iter().zip(&own) {
            t.iter().for_each(|p| about[*p as usize] = about[*p as usize].max(*off));
        }
        self.mesh
            .triangles
            .iter()
            .map(|t| t.iter().fold(0.0, |most, p| about[*p as usize].max(most)))
            .collect()
    }

    /// The middles of some triangles, the points of the surface nearest to them, and normals there.
    fn above(&self, triangles: &[u32]) -> impl Iterator<Item = (Vec3, Vec3, Vec3)> + use<> {
        let middle = |t: &u32| self.mesh.middle(*t as usize);
        let middles: Vec<Vec3> = triangles.iter().map(middle).collect();
        // The surface lies within a side of the triangle.
        let near = |(t, p): (&u32, &Vec3)| {
            let [a, b, c] = self.mesh.corners(*t as usize);
            let distance = [b - a, c - b, a - c].map(Vec3::norm).into_iter().fold(0.0, f64::max);
            Nearest { point: *p, triangle: *t, distance, kept: 0 }
        };
        let found: Vec<Nearest> = triangles.iter().zip(&middles).map(near).collect();
        let refined = self.refine(&middles, &found);
        middles.into_iter().zip(refined).map(|(p, (q, normal))| (p, q, normal))
    }

    /// Tells distances no further apart than cells of edge `cell` mm can read where nothing but the skin is wanted.
    pub fn read_near(&mut self, cell: f64) {
        self.reach = self.half + 2.0 * cell + 2.0 * self.slack;
    }

    /// Where the wall meets itself within a clip, if anywhere. One with creases of its own always does, and is not looked at.
    pub fn meeting(&self, clip: Option<&Tape>) -> Option<Meeting> {
        if matches!(&self.exact, Exact::Level(field) if field.tape.has_kinks()) {
            return None;
        }
        let some: Vec<u32> = meeting::some_of(self.mesh.triangles.len()).collect();
        let half = |q: Vec3| self.varying.as_ref().map_or(self.half, |t| 0.5 * t.value(q));
        let place = |(_, q, normal): (Vec3, Vec3, Vec3)| {
            let wanted = clip.is_none_or(|clip| clip.value(q) <= 0.0);
            normal.unit().filter(|_| wanted).map(|n| (q, n, half(q)))
        };
        let places: Vec<_> =
            some.par_chunks(TOGETHER).flat_map_iter(|some| self.above(some).filter_map(place)).collect();
        meeting::meeting(&places, |some| self.look(some).into_iter().map(|(v, _)| v + self.half).collect())
    }

    /// The nearest points of the exact surface and normals there, from the nearest ones of the mesh.
    fn refine(&self, points: &[Vec3], found: &[Nearest]) -> Vec<(Vec3, Vec3)> {
        match &self.exact {
            Exact::Level(field) => {
                // Taken away meanwhile: the surface may be the skin of a solid with walls of its own.
                let mut scratch = SCRATCH.take();
                let refined = refine_level(&field.tape, points, found, &mut scratch);
                SCRATCH.set(scratch);
                refined
            }
            Exact::Param(param, at) => points
                .iter()
                .zip(found)
                .map(|(p, found)| {
                    let t = self.mesh.triangles[found.triangle as usize];
                    let w = shares(self.mesh.corners(found.triangle as usize), found.point);
                    let mix = |k: usize| (0..3).map(|i| w[i] * at[t[i] as usize][k]).sum();
                    param.nearest(*p, [mix(0), mix(1)])
                })
                .collect(),
        }
    }

    fn nearest(&self, p: Vec3, reach: f64) -> Option<Nearest> {
        let me = std::ptr::from_ref(self) as usize;
        let (wall, kept) = LAST.get();
        let found = self.tree.nearest(p, reach, (wall == me).then_some(kept));
        if let Some(n) = found {
            LAST.set((me, n.kept));
        }
        found
    }

    /// Distance less half the thickness and the direction away from the surface.
    fn look(&self, points: &[Vec3]) -> Vec<(f64, Vec3)> {
        self.told(points, |_, p| self.nearest(p, self.reach), self.reach)
    }

    /// As [`Self::look`], by the nearest point of the mesh for each, where there is one within `reach`. A point that is
    /// surely not on the skin is told from the mesh alone.
    fn told(
        &self,
        points: &[Vec3],
        nearest: impl Fn(usize, Vec3) -> Option<Nearest>,
        reach: f64,
    ) -> Vec<(f64, Vec3)> {
        let mut out = Vec::with_capacity(points.len());
        let (mut near, mut asked, mut found) = (Vec::new(), Vec::new(), Vec::new());
        for (k, &p) in points.iter().enumerate() {
            let Some(n) = nearest(k, p) else {
                out.push((reach - self.half, Vec3::ZERO));
                continue;
            };
            let away = (p - n.point).unit().unwrap_or(Vec3::ZERO);
            out.push((n.distance - self.half, away));
            if self.is_near_skin(n.distance, SURE * self.loose[n.triangle as usize]) {
                near.push(k);
                asked.push(p);
                found.push(n);
            }
        }
        for (((k, p), n), (q, normal)) in near.iter().zip(&asked).zip(&found).zip(self.refine(&asked, &found))
        {
            let loose = self.loose[n.triangle as usize];
            let d = *p - q;
            let away = d.unit().or(normal.unit()).unwrap_or(Vec3::ZERO);
            // Near a singular point the search may end on another sheet.
            let from_mesh = out[*k].0 + self.half;
            if (d.norm() - from_mesh).abs() <= loose {
                out[*k] = (d.norm() - self.half, away);
            }
        }
        out
    }

    /// The wall of some triangles of the surface alone.
    fn of(&self, triangles: &[u32]) -> Self {
        let (mut mesh, mut kept, mut known) = (Mesh::default(), Vec::new(), HashMap::new());
        for t in triangles {
            let corners = self.mesh.triangles[*t as usize].map(|k| {
                *known.entry(k).or_insert_with(|| {
                    kept.push(k as usize);
                    mesh.points.push(self.mesh.points[k as usize]);
                    mesh.points.len() as u32 - 1
                })
            });
            mesh.triangles.push(corners);
        }
        let exact = match &self.exact {
            Exact::Level(field) => Exact::Level(field.clone()),
            Exact::Param(param, at) => Exact::Param(param.clone(), kept.iter().map(|k| at[*k]).collect()),
        };
        Self {
            tree: Tree::new(&mesh),
            mesh,
            exact,
            varying: self.varying.clone(),
            loose: triangles.iter().map(|t| self.loose[*t as usize]).collect(),
            said: None,
            ..*self
        }
    }

    /// True when the skin of the wall may lie so far from the surface, give or take `slack` mm.
    fn is_near_skin(&self, distance: f64, slack: f64) -> bool {
        distance >= self.thin - slack && distance <= self.half + slack
    }

    /// The side of the wall that a triangle of its skin lies on; `None` for a triangle elsewhere, such as where something
    /// cut through the wall: it does not face away from the surface.
    pub fn side(&self, triangle: [Vec3; 3], normals: &[Vec3]) -> Option<Side> {
        let [a, b, c] = triangle;
        let p = (a + b + c) / 3.0;
        let n = self.nearest(p, self.reach)?;
        let away = p - n.point;
        let facing =
            (b - a).cross(c - a).unit().map_or(0.0, |normal| normal.dot(away.unit().unwrap_or(normal)).abs());
        let half_at = |p: Vec3| self.varying.as_ref().map_or(self.half, |t| 0.5 * t.value(p));
        let half = half_at(p);
        if facing < FACING || (n.distance - half).abs() > NEAR_SKIN * half {
            return None;
        }
        // The corners of a skin lie on it; those of a cut beside it need not.
        let on_skin = |p: &Vec3| {
            let half = half_at(*p);
            self.nearest(*p, self.reach).is_some_and(|n| {
                let off = 2.0 * self.loose[n.triangle as usize] + ON_SKIN * half;
                (n.distance - half).abs() <= off
            })
        };
        if !triangle.iter().all(on_skin) {
            return None;
        }
        Some(self.front_or_back(p, n, normals))
    }

    /// The side of the surface on which a place is, by the normals of its mesh.
    pub fn nearest_side(&self, p: Vec3, normals: &[Vec3]) -> Option<Side> {
        self.nearest(p, self.reach).map(|n| self.front_or_back(p, n, normals))
    }

    fn front_or_back(&self, p: Vec3, n: Nearest, normals: &[Vec3]) -> Side {
        let (t, corners) = (self.mesh.triangles[n.triangle as usize], self.mesh.corners(n.triangle as usize));
        // Beside a ridge the nearest triangle may be seen from behind.
        let w = shares(corners, n.point);
        let normal = (0..3).map(|k| normals[t[k] as usize] * w[k]).fold(Vec3::ZERO, |sum, n| sum + n);
        if (p - n.point).dot(normal) >= 0.0 { Side::Front } else { Side::Back }
    }

    /// The surface as triangles.
    pub fn mesh(&self) -> &Mesh {
        &self.mesh
    }
}

impl Oracle for WallDistance {
    fn sample(&self, p: Vec3) -> (f64, Vec3) {
        self.look(&[p])[0]
    }

    fn samples(&self, points: &[Vec3]) -> Vec<(f64, Vec3)> {
        self.look(points)
    }

    /// Each triangle tells the points about it how far it is, where that is less work than to look for the nearest of
    /// each point.
    fn lattice(&self, axes: [&[f64]; 3], out: &mut [f64]) {
        let [xs, ys, zs] = axes;
        let points: Vec<Vec3> = zs
            .iter()
            .flat_map(|z| ys.iter().flat_map(move |y| xs.iter().map(move |x| Vec3::new(*x, *y, *z))))
            .collect();
        let step = axes.iter().flat_map(|a| a.windows(2)).map(|w| (w[1] - w[0]).abs()).fold(0.0, f64::max);
        let band = self.half + 1.01 * step + 2.0 * self.slack;
        // A blend reads distances further away.
        let nearest = if self.reach.is_finite() { self.tree.nearest_each(axes, band) } else { None };
        let told = match nearest {
            Some(nearest) => self.told(&points, |k, _| nearest[k], band),
            None => self.look(&points),
        };
        out.iter_mut().zip(told).for_each(|(to, (v, _))| *to = v);
    }

    fn bounds(&self, region: Box3) -> Interval {
        if !region.is_finite() {
            return Interval::new(-self.half, f64::INFINITY);
        }
        let reach = region.size().norm() / 2.0;
        let slack = self.slack + 1e-9 * reach;
        let far = self.half + reach + 2.0 * slack;
        match self.nearest(region.centre(), far) {
            None => Interval::new(slack.max(f64::MIN_POSITIVE), f64::INFINITY),
            Some(n) => Interval::new(
                (n.distance - reach - slack).max(0.0) - self.half,
                n.distance + reach + slack - self.half,
            ),
        }
    }

    fn steepest(&self) -> f64 {
        1.0
    }

    /// The walls of the sheets near a box that is no larger than the wall is thick. In a larger one sheets that cross may
    /// be joined, or never meet.
    fn pieces(&self, region: Box3) -> Option<Vec<Arc<dyn Oracle>>> {
        if region.size().largest() > 2.0 * self.thin {
            return None;
        }
        let found = sheets(
            &self.mesh,
            &self.tree,
            region.centre(),
            self.half + self.slack + region.size().norm() / 2.0,
        );
        let piece = |triangles: &Vec<u32>| Arc::new(self.of(triangles)) as Arc<dyn Oracle>;
        (!found.is_empty()).then(|| found.iter().map(piece).collect())
    }
}

/// A point this many times further from the skin than the mesh may be off is surely not on it.
const SURE: f64 = 1.5;
/// A triangle is taken to be off the surface by no more than this part of half the thickness, and by no less than this.
const MOST_OFF: f64 = 0.1;
const LEAST_OFF: f64 = 1e-3;
/// The middle of a triangle of the skin may lie this part of half the thickness off it and its corners that part, and the
/// triangle faces away from the surface at least so much (a cosine): skins turn sharply round the border of a sheet.
const NEAR_SKIN: f64 = 0.2;
const ON_SKIN: f64 = 0.1;
const FACING: f64 = 0.7;
/// Points refined together.
const TOGETHER: usize = 128;
/// Steps toward the nearest point, at most.
const STEPS: usize = 12;
/// A point is on the surface when it is off by less than this part of the way to the asker.
const ON: f64 = 1e-6;

/// The way of one point along the surface toward its asker.
struct Way {
    /// Where it is, the value and the slope there.
    at: Vec3,
    value: f64,
    slope: Vec3,
    /// The nearest place found that is on the surface, its distance from the asker, and the slope there.
    best: Option<(Vec3, f64, Vec3)>,
    /// Part of the tangential step that is taken: less once a step has led away.
    share: f64,
}

impl Way {
    /// Takes in where it has come to; true while there is a way to go.
    fn arrive(&mut self, asker: Vec3, scale: f64) -> bool {
        let steep = self.slope.norm();
        let finite = self.value.is_finite() && steep.is_finite() && steep > 0.0;
        if finite && self.value.abs() <= ON * scale * steep {
            let far = (asker - self.at).norm();
            match self.best {
                Some(best @ (_, d, _)) if far >= d => {
                    if far <= d * (1.0 + 1e-12) {
                        return false;
                    }
                    // It led away: back, and a shorter step.
                    (self.at, self.value, self.slope) = (best.0, 0.0, best.2);
                    self.share *= 0.5;
                }
                _ => self.best = Some((self.at, far, self.slope)),
            }
        }
        finite
    }

    /// The step onto the surface and, once it has been on it, along it toward the asker.
    fn step(&self, asker: Vec3) -> Vec3 {
        let square = self.slope.dot(self.slope);
        if self.best.is_none() {
            return -self.slope * (self.value / square);
        }
        let d = asker - self.at;
        let tangent = d - self.slope * (d.dot(self.slope) / square);
        tangent * self.share - self.slope * (self.value / square)
    }
}

/// The points of the level surface nearest to `points`, from places near them; and the slopes there. A place counts
/// only once it is on the surface; where none is found the place of the mesh stays.
fn refine_level(tape: &Tape, points: &[Vec3], from: &[Nearest], scratch: &mut Scratch) -> Vec<(Vec3, Vec3)> {
    let n = points.len();
    let [mut x, mut y, mut z, mut value] = [(); 4].map(|()| vec![0.0; n]);
    let mut slope = vec![Vec3::ZERO; n];
    let start = |f: &Nearest| Way { at: f.point, value: 0.0, slope: Vec3::ZERO, best: None, share: 1.0 };
    let mut ways: Vec<Way> = from.iter().map(start).collect();
    let mut open: Vec<usize> = (0..n).collect();
    for _ in 0..STEPS {
        for (slot, &k) in open.iter().enumerate() {
            (x[slot], y[slot], z[slot]) = (ways[k].at.x, ways[k].at.y, ways[k].at.z);
        }
        let m = open.len();
        tape.slopes(&x[..m], &y[..m], &z[..m], &mut value[..m], &mut slope[..m], scratch);
        let mut slot = 0;
        open.retain(|&k| {
            let (way, asker) = (&mut ways[k], points[k]);
            (way.value, way.slope) = (value[slot], slope[slot]);
            slot += 1;
            let scale = from[k].distance.max(1e-3);
            if !way.arrive(asker, scale) {
                return false;
            }
            let step = way.step(asker);
            way.at += step;
            let far = step.norm();
            far <= 2.0 * scale && (far > ON * scale || way.best.is_none())
        });
        if open.is_empty() {
            break;
        }
    }
    let found = |(way, f): (&Way, &Nearest)| match way.best {
        Some((q, _, g)) => (q, g),
        None => (f.point, way.slope),
    };
    ways.iter().zip(from).map(found).collect()
}

/// The shares of the corners of a triangle in a point of it.
fn shares([a, b, c]: [Vec3; 3], p: Vec3) -> [f64; 3] {
    let (u, v, w) = (b - a, c - a, p - a);
    let (d00, d01, d11) = (u.dot(u), u.dot(v), v.dot(v));
    let (d20, d21) = (w.dot(u), w.dot(v));
    let det = d00 * d11 - d01 * d01;
    if det <= 0.0 {
        return [1.0 / 3.0; 3];
    }
    let s = (d11 * d20 - d01 * d21) / det;
    let t = (d00 * d21 - d01 * d20) / det;
    [1.0 - s - t, s, t]
}
