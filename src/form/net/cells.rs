//! Solid cells and faces of four-dimensional polytopes in space: drawn toward their middles, as solids and as plates.
//! Lengths are mm.
//!
//! A cell is bounded by the great spheres of its faces, q·m = 0 on the unit sphere. From the pole these are seen as spheres and
//! planes, in perspective as planes; one that is drawn toward the middle of its cell as the sphere q·m = -c. All are met with a
//! slope of 1, so that plates are as thick as they say.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use super::NetFault;
use super::projected::{EYE, Lens, Seen, View};
use super::wythoff::{Point, Raw, dot, raw_of};
use crate::base::{Box3, Interval, Vec3};
use crate::form::fault::positive;
use crate::form::group::mirrors;
use crate::form::{Solid, xyz};
use crate::formula::{Expr, Oracle, Unary};

/// What holds the pole by less than this, on the unit sphere, is taken to reach it.
const AT_POLE: f64 = 1e-9;
/// A cell whose middle is nearer than this to one of its faces, as a part of the sphere, is seen edge on.
const FLAT: f64 = 1e-9;

/// Which cells or faces are shown.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shown {
    /// From where, and up to which part of the height.
    pub seen: Seen,
    /// How large each is beside its whole, from its middle, above 0 and up to 1.
    pub share: f64,
    /// Only cells with so many faces, or faces with so many sides.
    pub sides: Option<usize>,
}

/// The cells of a four-dimensional polytope, as [`super::polytope_seen`] places it, each a solid; from the middle outwards.
/// What holds the pole or faces the eye is not among them.
///
/// # Errors
/// [`NetFault`].
pub fn cells(diagram: &str, rings: &str, size: f64, shown: Shown) -> Result<Vec<Solid>, NetFault> {
    let stage = Stage::new(diagram, rings, size, shown)?;
    let all = stage.raw.cells.iter().filter(|cell| stage.lens.keeps(cell));
    let mut made = Vec::new();
    for cell in all {
        let faces = stage.faces_of(cell);
        if shown.sides.is_some_and(|n| n != faces.len()) {
            continue;
        }
        let whole = stage.whole(cell, &faces);
        if let Some((sides, within)) = whole.filter(|_| !stage.is_over(cell)) {
            let drawn =
                sides.iter().map(|s| Solid::Field { value: s.drawn(shown.share, stage.lens.scale), within });
            made.push((stage.height(cell), Solid::Intersection(drawn.collect())));
        }
    }
    in_turn(made, "cell")
}

/// The faces of a four-dimensional polytope as plates, `thick` mm from side to side; from the middle outwards. Those of cells
/// that hold the pole are among them where they do not reach it.
///
/// # Errors
/// [`NetFault`].
pub fn panels(
    diagram: &str,
    rings: &str,
    size: f64,
    thick: f64,
    shown: Shown,
) -> Result<Vec<Solid>, NetFault> {
    positive("thick", thick)?;
    let stage = Stage::new(diagram, rings, size, shown)?;
    let scale = stage.lens.scale;
    let all = stage.raw.faces.iter().filter(|face| stage.lens.keeps(face));
    let mut made = Vec::new();
    for face in all.filter(|face| shown.sides.is_none_or(|n| n == face.len())) {
        let Some((plate, sides)) = stage.plate(face) else { continue };
        let away = clear(&sides).max(plate.normal.get(3).map_or(0.0, |w| w.abs()));
        let Some(within) = stage.within(face, away) else { continue };
        let middle = Expr::unary(Unary::Abs, plate.drawn(1.0, scale)) - 0.5 * thick;
        let within = Box3::new(within.min - Vec3::splat(thick), within.max + Vec3::splat(thick));
        let values = std::iter::once(middle).chain(sides.iter().map(|s| s.drawn(shown.share, scale)));
        let solids = values.map(|value| Solid::Field { value, within });
        made.push((stage.height(face), Solid::Intersection(solids.collect())));
    }
    in_turn(made, "face")
}

fn in_turn(mut made: Vec<(f64, Solid)>, what: &str) -> Result<Vec<Solid>, NetFault> {
    if made.is_empty() {
        return Err(NetFault::Unfit(format!(
            "no {what} is left: keep a larger part, or another number of sides"
        )));
    }
    // A stable order: of equals, the one that was made first.
    made.sort_by(|a, b| a.0.total_cmp(&b.0));
    Ok(made.into_iter().map(|m| m.1).collect())
}

/// A boundary: on the unit sphere q·normal + c = 0, or in space, before it is scaled, p·normal = -c; inside where that is less.
struct Side {
    view: View,
    normal: Point,
    /// How deep under it the middle of what it bounds lies: an angle, or a length.
    depth: f64,
    /// That of the plane in space.
    c: f64,
}

impl Side {
    /// How far a point of space lies outside, mm, when all is drawn toward the middle.
    fn drawn(&self, share: f64, scale: f64) -> Expr {
        let u = xyz().map(|e| e / scale);
        let n = |k: usize| self.normal[k];
        let flat = u[0].clone() * n(0) + u[1].clone() * n(1) + u[2].clone() * n(2);
        match self.view {
            View::Perspective => (flat + (self.c + (1.0 - share) * self.depth)) * scale,
            View::Stereographic => {
                // q = (2u, u² - 1)/(u² + 1) on q·n + c = 0.
                let c = libm::sin((1.0 - share) * self.depth);
                let dome = Dome {
                    normal: Vec3::new(n(0), n(1), n(2)),
                    bend: (n(3) + c) / scale,
                    far: (c - n(3)) * scale,
                    root: (1.0 - c * c).sqrt(),
                };
                Expr::oracle(Arc::new(dome), xyz())
            }
        }
    }
}

/// A sphere or plane: 2 n·p + k p² + f = 0, mm, where the slope |n + k p| has the length `root`.
#[derive(Debug)]
struct Dome {
    normal: Vec3,
    bend: f64,
    far: f64,
    root: f64,
}

impl Dome {
    /// The distance of a place, without loss where the sphere is nearly a plane, and the slope there before it has a length of 1.
    fn distance(&self, p: Vec3) -> (f64, Vec3, f64) {
        let slope = self.normal + p * self.bend;
        let long = slope.norm();
        // 2 n·p + k p² = (n + (n + k p))·p.
        (((self.normal + slope).dot(p) + self.far) / (long + self.root), slope, long)
    }
}

impl Oracle for Dome {
    fn sample(&self, p: Vec3) -> (f64, Vec3) {
        let (distance, slope, long) = self.distance(p);
        (distance, if long > 0.0 { slope / long } else { Vec3::new(0.0, 0.0, 1.0) })
    }

    fn values(&self, [x, y, z]: [&[f64]; 3], out: &mut [f64]) {
        for (((x, y), z), to) in x.iter().zip(y).zip(z).zip(out) {
            *to = self.distance(Vec3::new(*x, *y, *z)).0;
        }
    }

    fn bounds(&self, region: Box3) -> Interval {
        if !region.is_finite() {
            return Interval::new(f64::NEG_INFINITY, f64::INFINITY);
        }
        super::frame::around(self.distance(region.centre()).0, region)
    }

    fn steepest(&self) -> f64 {
        1.0
    }

    fn is_smooth(&self, _region: Box3) -> bool {
        true
    }
}

struct Stage {
    raw: Raw,
    lens: Lens,
    /// The faces at each corner.
    at: Vec<Vec<usize>>,
}

impl Stage {
    fn new(diagram: &str, rings: &str, size: f64, shown: Shown) -> Result<Self, NetFault> {
        positive("size", size)?;
        positive("share", shown.share)?;
        if shown.share > 1.0 {
            return Err(NetFault::Unfit(format!("`share` is above 0 and up to 1, got {}", shown.share)));
        }
        let mirrors = mirrors(diagram).map_err(|f| NetFault::Unfit(f.to_string()))?;
        if mirrors.normals.len() != 4 {
            return Err(NetFault::Unfit(format!(
                "\"{diagram}\" has no cells: a four-dimensional polytope has four mirrors, as [4,3,3]"
            )));
        }
        if mirrors.labels.iter().any(|l| l.1 > 1) {
            return Err(NetFault::Unfit(format!(
                "cells of \"{diagram}\" pass through one another: `struts` shows its edges"
            )));
        }
        let raw = raw_of(&mirrors, rings)?;
        let lens = Lens::new(&format!("{diagram} {rings}"), &raw, &mirrors.normals, size, shown.seen)?;
        let mut at = vec![Vec::new(); raw.points.len()];
        for (k, face) in raw.faces.iter().enumerate() {
            face.iter().for_each(|i| at[*i].push(k));
        }
        Ok(Self { raw, lens, at })
    }

    /// The faces all of whose corners a cell has.
    fn faces_of(&self, cell: &[usize]) -> Vec<usize> {
        let held: BTreeSet<usize> = cell.iter().copied().collect();
        let mut seen: BTreeMap<usize, usize> = BTreeMap::new();
        cell.iter().flat_map(|i| &self.at[*i]).for_each(|k| *seen.entry(*k).or_default() += 1);
        let whole = |k: &usize| self.raw.faces[*k].iter().all(|i| held.contains(i));
        seen.into_keys().filter(whole).collect()
    }

    /// The mean of some corners on the sphere, not brought back onto it.
    fn mean(&self, corners: &[usize]) -> Point {
        let sum = |axis: usize| corners.iter().map(|i| self.lens.on[*i][axis]).sum::<f64>();
        (0..4).map(|axis| sum(axis) / corners.len() as f64).collect()
    }

    fn height(&self, corners: &[usize]) -> f64 {
        let mean = self.mean(corners);
        // Rounded, so that what is equally high stays in the order it was made in.
        (mean[3] / dot(&mean, &mean).sqrt() * 1e6).round()
    }

    /// True for a cell that turns to the eye and hides what is behind.
    fn is_over(&self, cell: &[usize]) -> bool {
        let mean = self.mean(cell);
        self.lens.view == View::Perspective && mean[3] * EYE > dot(&mean, &mean) * (1.0 - 1e-9)
    }

    /// The boundary through some corners with a point inside; `None` when the point lies on it.
    fn side(&self, corners: &[usize], others: &[Point], inside: &Point) -> Option<Side> {
        match self.lens.view {
            View::Stereographic => {
                let rows = corners.iter().map(|i| &self.lens.on[*i]).chain(others);
                let normal = square_to(rows)?;
                let long = dot(inside, inside).sqrt();
                let far = dot(&normal, inside) / long;
                let sign = if far > 0.0 { -1.0 } else { 1.0 };
                let normal = normal.iter().map(|x| x * sign).collect();
                let depth = libm::asin(far.abs().min(1.0));
                (depth > FLAT).then_some(Side { view: self.lens.view, normal, depth, c: 0.0 })
            }
            View::Perspective => {
                let place = |p: &Point| self.lens.place(p).0;
                let at: Vec<Vec3> = corners
                    .iter()
                    .map(|i| place(&self.lens.on[*i]))
                    .chain(others.iter().map(place))
                    .collect();
                let normal = plane_of(&at)?;
                let far = normal.dot(place(inside) - at[0]);
                let normal = if far > 0.0 { -normal } else { normal };
                let c = -normal.dot(at[0]);
                (far.abs() > FLAT).then(|| Side {
                    view: self.lens.view,
                    normal: normal.array().to_vec(),
                    depth: far.abs(),
                    c,
                })
            }
        }
    }

    /// The sides of a cell, and a box that holds it; `None` when it reaches the pole, or is seen edge on.
    fn whole(&self, cell: &[usize], faces: &[usize]) -> Option<(Vec<Side>, Box3)> {
        let middle = self.mean(cell);
        let sides: Option<Vec<Side>> =
            faces.iter().map(|k| self.side(&self.raw.faces[*k], &[], &middle)).collect();
        let sides = sides?;
        let within = self.within(cell, clear(&sides))?;
        Some((sides, within))
    }

    /// The middle of a face's plate, and its sides.
    fn plate(&self, face: &[usize]) -> Option<(Side, Vec<Side>)> {
        let mean = self.mean(face);
        let flat = match self.lens.view {
            View::Stereographic => {
                let normal = square_to(face.iter().map(|i| &self.lens.on[*i]))?;
                Side { view: self.lens.view, normal, depth: 0.0, c: 0.0 }
            }
            View::Perspective => {
                let at: Vec<Vec3> = face.iter().map(|i| self.lens.place(&self.lens.on[*i]).0).collect();
                let normal = plane_of(&at)?;
                let c = -normal.dot(at[0]);
                Side { view: self.lens.view, normal: normal.array().to_vec(), depth: 0.0, c }
            }
        };
        let edge = |k: usize| {
            let ends = [face[k], face[(k + 1) % face.len()]];
            match self.lens.view {
                // The great sphere through the edge that the plate's meets square.
                View::Stereographic => self.side(&ends, std::slice::from_ref(&flat.normal), &mean),
                View::Perspective => self.upright(ends, &flat, &mean),
            }
        };
        let sides = (0..face.len()).map(edge).collect::<Option<Vec<Side>>>()?;
        Some((flat, sides))
    }

    /// The plane through an edge square to a plate.
    fn upright(&self, ends: [usize; 2], flat: &Side, inside: &Point) -> Option<Side> {
        let [a, b] = ends.map(|i| self.lens.place(&self.lens.on[i]).0);
        let up = Vec3::new(flat.normal[0], flat.normal[1], flat.normal[2]);
        let normal = (b - a).cross(up).unit()?;
        let far = normal.dot(self.lens.place(inside).0 - a);
        let normal = if far > 0.0 { -normal } else { normal };
        let c = -normal.dot(a);
        let depth = far.abs();
        (depth > FLAT).then(|| Side { view: self.lens.view, normal: normal.array().to_vec(), depth, c })
    }

    /// A box that holds what some corners span; `None` when that reaches the pole. Great spheres keep it away from the pole, by the
    /// sine given, and it lies in the cap about its corners.
    fn within(&self, corners: &[usize], away: f64) -> Option<Box3> {
        let scale = self.lens.scale;
        if self.lens.view == View::Perspective {
            let around = Box3::around(corners.iter().map(|i| self.lens.place(&self.lens.on[*i]).0 * scale));
            return Some(around);
        }
        if away < AT_POLE {
            return None;
        }
        let half = 0.5 * libm::asin(away.min(1.0));
        let far = Box3::cube(scale * libm::cos(half) / libm::sin(half));
        let mean = self.mean(corners);
        let long = dot(&mean, &mean).sqrt();
        let reach = corners.iter().map(|i| dot(&self.lens.on[*i], &mean) / long).fold(1.0, f64::min);
        let (reach, up) = (libm::acos(reach), libm::acos((mean[3] / long).clamp(-1.0, 1.0)));
        if up - reach < AT_POLE {
            return Some(far);
        }
        // A cap is seen as a ball: its ends lie on the great circle through the pole.
        let from_middle = |angle: f64| libm::cos(0.5 * angle) / libm::sin(0.5 * angle);
        let (near, out) = (from_middle(up + reach), from_middle(up - reach));
        let way = Vec3::new(mean[0], mean[1], mean[2]).unit().unwrap_or(Vec3::new(0.0, 0.0, 1.0));
        let centre = way * (0.5 * scale * (near + out));
        let ball = Box3::new(centre, centre).grown(0.5 * scale * (out - near));
        Some(ball.meet(far))
    }
}

/// How far the pole lies over the boundaries of which it lies outside, as a sine; below 0 when it lies within all.
fn clear(sides: &[Side]) -> f64 {
    sides.iter().filter_map(|s| s.normal.get(3)).copied().fold(f64::NEG_INFINITY, f64::max)
}

/// The unit vector square to some vectors of four dimensions that span three; `None` when they span less.
fn square_to<'a>(rows: impl Iterator<Item = &'a Point>) -> Option<Point> {
    // Each row is freed of those before it, the longest of what is left first.
    let mut left: Vec<Point> = rows.cloned().collect();
    let mut base: Vec<Point> = Vec::new();
    let without = |p: &Point, b: &Point| {
        let k = dot(p, b);
        p.iter().zip(b).map(|(x, y)| x - k * y).collect::<Point>()
    };
    for _ in 0..3 {
        let longest = left.iter().max_by(|a, b| dot(a, a).total_cmp(&dot(b, b)))?;
        let norm = dot(longest, longest).sqrt();
        if norm < 1e-9 {
            return None;
        }
        let one: Point = longest.iter().map(|x| x / norm).collect();
        left.iter_mut().for_each(|p| *p = without(p, &one));
        base.push(one);
    }
    let axes = (0..4).map(|k| (0..4).map(|i| if i == k { 1.0 } else { 0.0 }).collect::<Point>());
    // Twice, so that rounding of the first time is gone.
    let freed = axes.map(|axis| base.iter().chain(&base).fold(axis, |p, b| without(&p, b)));
    let best = freed.max_by(|a, b| dot(a, a).total_cmp(&dot(b, b)))?;
    let norm = dot(&best, &best).sqrt();
    Some(best.iter().map(|x| x / norm).collect())
}

/// The unit vector square to the plane of some points, in turn round a polygon.
fn plane_of(at: &[Vec3]) -> Option<Vec3> {
    let next = |k: usize| at[(k + 1) % at.len()] - at[0];
    (0..at.len()).fold(Vec3::ZERO, |n, k| n + (at[k] - at[0]).cross(next(k))).unit()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::formula::Tape;

    fn ask(view: View, share: f64) -> Shown {
        Shown { seen: Seen { view, part: 1.0 }, share, sides: None }
    }

    fn tapes(solids: &[Solid]) -> Vec<Tape> {
        let lower = |s: &Solid| s.lower::<std::convert::Infallible>(&mut |_, _| unreachable!()).unwrap();
        solids.iter().map(|s| Tape::new(&lower(s)).unwrap()).collect()
    }

    /// Whole cells lie side by side: a point of space is in one of them, or in none where the outer cell is. The cells that
    /// are seen are all but those about the pole. Counts: section 5.6 of the project's check values.
    #[test]
    fn cells_fill_space_once() {
        for (diagram, rings, view, count) in [
            ("[4,3,3]", "1000", View::Stereographic, 7),
            ("[4,3,3]", "1000", View::Perspective, 7),
            ("[3,3,3]", "1000", View::Stereographic, 4),
            ("[3,4,3]", "1000", View::Stereographic, 23),
            ("[3,3,3]", "1100", View::Stereographic, 9),
            ("[5]x[3]", "1010", View::Stereographic, 7),
            ("[5,3,3]", "1000", View::Stereographic, 119),
        ] {
            let made = cells(diagram, rings, 20.0, ask(view, 1.0)).unwrap();
            assert_eq!(made.len(), count, "{diagram} {rings}");
            let tapes = tapes(&made);
            let mut inside = 0;
            for i in 0..400 {
                let k = f64::from(i);
                let p = Vec3::new((k * 0.7).sin(), (k * 1.3).cos(), (k * 0.37).sin())
                    * (20.0 * (k * 0.618).fract());
                let holding = tapes.iter().filter(|t| t.value(p) < -1e-9).count();
                let near = tapes.iter().any(|t| t.value(p).abs() < 1e-6);
                assert!(holding < 2, "{diagram} {rings} {p:?} {holding}");
                inside += usize::from(holding == 1 || near);
            }
            assert!(inside > 250, "{diagram} {rings} {inside}");
            // Every solid lies in the box that is said of it.
            for (solid, tape) in made.iter().zip(&tapes) {
                let within = solid.within();
                for i in 0..60 {
                    let k = f64::from(i);
                    let p = Vec3::new((k * 0.7).sin(), (k * 1.3).cos(), (k * 0.37).sin()) * (k * 0.5);
                    assert!(tape.value(p) >= 0.0 || within.holds(p), "{diagram} {rings}");
                }
            }
        }
        let cubes = |sides| {
            cells("[4,3,3]", "1100", 20.0, Shown { sides: Some(sides), ..ask(View::Stereographic, 0.9) })
        };
        // 16 tetrahedra and 8 truncated cubes, one of them about the pole.
        let found = (cubes(4).unwrap().len(), cubes(14).unwrap().len());
        assert!(found == (16, 7) || found == (15, 8), "{found:?}");
        assert!(cubes(5).is_err());
    }

    /// From a place in a plate the skin is as far along the slope as the value says, and the other skin a thickness behind.
    #[test]
    fn plates_are_as_thick_as_they_say() {
        for (diagram, view, count) in [
            ("[4,3,3]", View::Stereographic, 24),
            ("[4,3,3]", View::Perspective, 24),
            ("[3,3,3]", View::Stereographic, 10),
        ] {
            let made = panels(diagram, "1000", 30.0, 1.0, ask(view, 0.9)).unwrap();
            assert_eq!(made.len(), count, "{diagram}");
            let mut scratch = crate::formula::Scratch::default();
            for tape in tapes(&made) {
                let mut crossed = 0;
                for i in 0..20_000 {
                    let k = f64::from(i);
                    let way = Vec3::new((k * 0.7).sin(), (k * 1.3).cos(), (k * 0.37).sin());
                    let p = way * (30.0 * (k * 0.618).fract());
                    let (value, slope) = tape.slope(p, &mut scratch);
                    assert!(value >= -0.5);
                    let [front, back] = [-value, -1.0 - value].map(|t| tape.value(p + slope * t).abs());
                    crossed += usize::from(value < -0.01 && front < 1e-9 && back < 1e-9);
                }
                assert!(crossed > 0, "{diagram} {crossed}");
            }
        }
    }
}
