//! Mirrors of the hyperbolic plane, in the disc of H. Poincaré, and of the sphere of four dimensions, seen in space by
//! stereographic projection. In both pictures a mirror is a circle or sphere and mirroring in it is inversion.
//!
//! Source: H. S. M. Coxeter, Non-Euclidean Geometry (1957), chapter 14; J. G. Ratcliffe, Foundations of Hyperbolic
//! Manifolds (2006), chapter 4.

use std::collections::BTreeMap;
use std::f64::consts::PI;
use std::sync::Arc;

use super::{CellAsk, GroupFault};
use crate::base::{Affine, Box3, Interval, Vec2, Vec3};
use crate::form::flat::{self, Flat, Path, Segment, through};
use crate::form::{Movable, Solid, xyz};
use crate::formula::{Expr, Oracle};

/// Most images in the disc.
const MOST: usize = 50_000;
/// The furthest that images go, as a part of the disc's radius.
const RIM: f64 = 0.9995;

/// Mirrors, and the radius of the picture, mm.
#[derive(Clone, Debug)]
pub(super) struct Mirrored {
    normals: Normals,
    radius: f64,
    order: usize,
    /// Only what an even number of mirrors makes.
    turns: bool,
}

/// Unit vectors square to the mirrors, pointing out of the chamber.
#[derive(Clone, Debug)]
enum Normals {
    /// In the space of the hyperboloid x² + y² - z² = -1; the first two mirrors meet in the middle of the disc when they
    /// meet at all. In turn round a polygon.
    Disc(Arc<[Vec3]>),
    /// In four dimensions; all but the last go through the pole (0, 0, 0, 1).
    Sphere(Vec<[f64; 4]>),
}

/// The product that the hyperboloid keeps.
fn product(a: Vec3, b: Vec3) -> f64 {
    a.x * b.x + a.y * b.y - a.z * b.z
}

fn dot(a: &[f64; 4], b: &[f64; 4]) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}

fn radius(cell: &CellAsk) -> Result<f64, GroupFault> {
    let a = cell.a.unwrap_or(10.0);
    if a.is_finite() && a > 0.0 { Ok(a) } else { Err(GroupFault::Edge("a", a)) }
}

/// A point of the disc of radius 1 on the hyperboloid.
fn raised(u: Vec2) -> Vec3 {
    let square = u.dot(u);
    Vec3::new(2.0 * u.x, 2.0 * u.y, 1.0 + square) * (1.0 / (1.0 - square))
}

/// A point of the hyperboloid in the disc of radius 1.
fn lowered(p: Vec3) -> Vec2 {
    Vec2::new(p.x, p.y) / (1.0 + p.z)
}

impl Mirrored {
    /// Three mirrors of the hyperbolic plane with the angles (radians, 0 for none) between first and second, second and
    /// third, first and third.
    pub(super) fn disc([a, b, c]: [f64; 3], cell: &CellAsk) -> Result<Self, GroupFault> {
        let radius = radius(cell)?;
        // Without any angle: three mirrors that touch on the rim, all alike.
        if a == 0.0 && b == 0.0 && c == 0.0 {
            let normal = |k: u32| {
                let u = Vec2::at_angle(2.0 * PI * f64::from(k) / 3.0) * (4.0_f64 / 3.0).sqrt();
                Vec3::new(u.x, u.y, (1.0_f64 / 3.0).sqrt())
            };
            return Ok(Self {
                normals: Normals::Disc([0, 1, 2].map(normal).into()),
                radius,
                order: 0,
                turns: false,
            });
        }
        // Two that meet come first.
        let [a, b, c] = if a > 0.0 {
            [a, b, c]
        } else if b > 0.0 {
            [b, c, a]
        } else {
            [c, a, b]
        };
        let (sin, cos) = (libm::sin(a), libm::cos(a));
        let y = libm::cos(c);
        let x = (libm::cos(b) + cos * y) / sin;
        let z = (x * x + y * y - 1.0).max(0.0).sqrt();
        let normals = [Vec3::new(0.0, -1.0, 0.0), Vec3::new(-sin, cos, 0.0), Vec3::new(x, y, z)];
        Ok(Self { normals: Normals::Disc(normals.into()), radius, order: 0, turns: false })
    }

    /// Mirrors in turn round a polygon of the hyperbolic plane with the angles (radians, 0 on the rim) between each and the
    /// next; of all such polygons the one whose sides touch a circle about the middle.
    pub(super) fn polygon(angles: &[f64], cell: &CellAsk) -> Result<Self, GroupFault> {
        let radius = radius(cell)?;
        let parts = |far: f64| angles.iter().map(move |a| libm::asin(libm::cos(0.5 * a) / far));
        // From the middle to a corner and to the sides beside it: cos(angle/2) = cosh r sin(turn), and all turns make a half.
        let (mut low, mut high) = (1.0, 1e6);
        if parts(low).sum::<f64>() <= PI + 1e-9 {
            let what = "corners so wide close no polygon of the hyperbolic plane: four right ones tile the flat plane";
            return Err(GroupFault::Unfit(what.to_owned()));
        }
        for _ in 0..200 {
            let far = 0.5 * (low + high);
            if parts(far).sum::<f64>() > PI { low = far } else { high = far }
        }
        let far = 0.5 * (low + high);
        let sinh = (far * far - 1.0).sqrt();
        let mut at = 0.0;
        let normals = parts(far).map(|turn| {
            let u = Vec2::at_angle(at) * far;
            at += 2.0 * turn;
            Vec3::new(u.x, u.y, sinh)
        });
        Ok(Self { normals: Normals::Disc(normals.collect()), radius, order: 0, turns: false })
    }

    /// Four mirrors of four dimensions that make a group of known order.
    pub(super) fn sphere(normals: Vec<[f64; 4]>, order: usize, cell: &CellAsk) -> Result<Self, GroupFault> {
        Ok(Self { normals: Normals::Sphere(normals), radius: radius(cell)?, order, turns: false })
    }

    /// The motions that an even number of mirrors makes.
    pub(super) fn turning(&self) -> Self {
        let order = if self.turns { self.order } else { self.order / 2 };
        Self { turns: true, order, ..self.clone() }
    }

    /// The mirrors of four dimensions, the radius of the sphere, mm, and whether only turns count.
    pub(super) fn hypersphere(&self) -> Option<(&[[f64; 4]], f64, bool)> {
        match &self.normals {
            Normals::Sphere(normals) => Some((normals, self.radius, self.turns)),
            Normals::Disc(_) => None,
        }
    }

    pub(super) fn is_disc(&self) -> bool {
        matches!(self.normals, Normals::Disc(_))
    }

    pub(super) fn order(&self) -> usize {
        self.order
    }

    /// Corners of the polygon in the disc of radius 1: of mirrors 0 and 1, 1 and 2, and so on.
    fn corners(normals: &[Vec3]) -> Vec<Vec2> {
        let n = normals.len();
        let corner = |i: usize| {
            let across = normals[i].cross(normals[(i + 1) % n]);
            let meet = Vec3::new(across.x, across.y, -across.z);
            let meet = if meet.z < 0.0 { -meet } else { meet };
            let square = -product(meet, meet);
            // On the rim when the mirrors touch there.
            if square < 1e-12 {
                Vec2::new(meet.x, meet.y) / meet.z
            } else {
                lowered(meet * (1.0 / square.sqrt()))
            }
        };
        (0..n).map(corner).collect()
    }

    /// The chamber of a group of the hyperbolic plane: a polygon with true arcs.
    pub(super) fn polygon_of_arcs(&self) -> Option<Flat> {
        let Normals::Disc(normals) = &self.normals else { return None };
        let corners = Self::corners(normals);
        let count = corners.len();
        let sides = (0..count).map(|i| {
            // From the corner of mirrors i and i + 1 to that of i + 1 and i + 2: along mirror i + 1.
            let (a, b) = (corners[i] * self.radius, corners[(i + 1) % count] * self.radius);
            let n = normals[(i + 1) % count];
            if n.z.abs() < 1e-9 {
                return Segment::Line(a, b);
            }
            let (centre, round) = (Vec2::new(n.x, n.y) * (self.radius / n.z), self.radius / n.z);
            let middle = (a.toward(b, 0.5) - centre).unit().map(|u| centre + u * round);
            middle.and_then(|m| through(a, m, b)).unwrap_or(Segment::Line(a, b))
        });
        let path = Path { pieces: sides.collect(), closed: true };
        let chamber = Flat::of_loops(vec![if path.area() < 0.0 { path.reversed() } else { path }]);
        if !self.turns {
            return Some(chamber);
        }
        // Of turns alone: with its image in the first mirror.
        let far = corners.iter().map(|c| c.norm()).fold(0.0, f64::max) * self.radius;
        let image = self.image(&chamber, &mirroring(normals[0]), far * 1e-6);
        Some(flat::all(&[chamber, image]))
    }

    /// The chamber of a group of four dimensions, bounded by planes and spheres.
    pub(super) fn chamber(&self) -> Option<Solid> {
        let Normals::Sphere(normals) = &self.normals else { return None };
        let [x, y, z] = xyz();
        let square = x.clone() * x.clone() + y.clone() * y.clone() + z.clone() * z.clone();
        let far = self.reach(normals);
        let sides = normals.iter().map(|n| {
            let flat = x.clone() * (2.0 * n[0]) + y.clone() * (2.0 * n[1]) + z.clone() * (2.0 * n[2]);
            let value = flat * self.radius + (square.clone() - self.radius * self.radius) * n[3];
            // Slope near 1 on the mirror: a sphere of radius r/n has 2 r there.
            Solid::Field { value: value * (0.5 / self.radius), within: Box3::cube(far) }
        });
        let chamber = Solid::Intersection(sides.collect());
        if !self.turns {
            return Some(chamber);
        }
        // Of turns alone: with its image in the first mirror, which goes through the pole and is a plane.
        let [x, y, z, _] = normals[0];
        let image = chamber.moved(&Affine::reflect(Vec3::ZERO, Vec3::new(x, y, z))?).ok()?;
        Some(Solid::Union([chamber, image].into()))
    }

    /// How far the chamber reaches from the middle, mm.
    fn reach(&self, normals: &[[f64; 4]]) -> f64 {
        // Corners: the points on three mirrors, where the fourth number of the seed is known by elimination.
        let corner = |k: usize| {
            let mut p = [0.0; 4];
            for i in 0..4 {
                let want = if i == k { -1.0 } else { 0.0 };
                let known: f64 = (0..i).map(|j| normals[i][j] * p[j]).sum();
                p[i] = (want - known) / normals[i][i];
            }
            let w = p[3] / dot(&p, &p).sqrt();
            ((1.0 + w) / (1.0 - w).max(1e-12)).max(0.0).sqrt()
        };
        self.radius * (0..4).map(corner).fold(0.0, f64::max)
    }

    /// Where a point looks for its image in the chamber; `None` for the turns of four dimensions.
    pub(super) fn fold(&self) -> Option<[Expr; 3]> {
        Some(match &self.normals {
            Normals::Disc(normals) => {
                let mut corners = Self::corners(normals);
                if self.turns {
                    let over = |c: &Vec2| DiscFold::over((*c, [Vec2::ZERO; 2]), &normals[0]).0;
                    corners.extend(corners.clone().iter().map(over));
                }
                let reach = corners.iter().map(|c| c.norm()).fold(0.0, f64::max);
                let part = |axis| {
                    let (normals, radius, turns) = (normals.clone(), self.radius, self.turns);
                    let folded = DiscFold { normals, radius, reach, axis, turns };
                    Expr::oracle(Arc::new(folded), xyz())
                };
                [part(0), part(1), Expr::var("z")]
            }
            Normals::Sphere(_) if self.turns => return None,
            Normals::Sphere(normals) => self.sphere_fold(normals),
        })
    }

    fn sphere_fold(&self, normals: &[[f64; 4]]) -> [Expr; 3] {
        let u = xyz().map(|e| e / self.radius);
        let square = u.iter().fold(None::<Expr>, |sum, e| {
            let term = e.clone() * e.clone();
            Some(sum.map_or(term.clone(), |s| s + term))
        });
        let square = square.unwrap_or_else(|| Expr::constant(0.0));
        let below = square.clone() + 1.0;
        let [x, y, z] = u.map(|e| e * 2.0 / below.clone());
        let mut at: Vec<Expr> = vec![x, y, z, (square - 1.0) / below];
        let words = super::fold::longest(&normals.iter().map(|n| n.to_vec()).collect::<Vec<_>>());
        for i in words {
            at = super::fold::folded_once(&at, &normals[i]);
        }
        let w = Expr::constant(1.0) - at[3].clone();
        [0, 1, 2].map(|k| at[k].clone() * self.radius / w.clone())
    }

    /// Motions of the hyperboloid whose images of the chamber lie within a part of the disc, nearest first found.
    fn motions(normals: &[Vec3], reach: f64) -> Result<Vec<Affine>, GroupFault> {
        let corners = Self::corners(normals);
        let sum = corners.iter().fold(Vec2::ZERO, |sum, c| sum + *c);
        let middle = raised(sum / corners.len() as f64 * 0.999);
        let mirrors: Vec<Affine> = normals.iter().map(|n| mirroring(*n)).collect();
        let mut found = vec![Affine::IDENTITY];
        let mut seen: BTreeMap<(i64, i64), Vec<Vec3>> = BTreeMap::new();
        // Middles of different chambers lie apart by a fixed hyperbolic distance: further on the hyperboloid further out.
        let key = |c: Vec3| ((c.x * 4.0).round() as i64, (c.y * 4.0).round() as i64);
        seen.entry(key(middle)).or_default().push(middle);
        let mut next = 0;
        while next < found.len() {
            for mirror in &mirrors {
                // A neighbour in the chamber's own frame, then the chamber's place.
                let place = mirror.then(&found[next]);
                let at = place.apply(middle);
                let (x, y) = key(at);
                let mut near = (-1..=1).flat_map(|u| (-1..=1).map(move |v| (x + u, y + v)));
                let same = |c: &Vec3| (*c - at).norm() < 1e-4 * at.z.max(1.0);
                let known = near.any(|k| seen.get(&k).is_some_and(|list| list.iter().any(same)));
                if known || lowered(at).norm() > reach {
                    continue;
                }
                seen.entry((x, y)).or_default().push(at);
                found.push(place);
                if found.len() > MOST {
                    return Err(GroupFault::Unfit(format!("more than {MOST} images: reach less far")));
                }
            }
            next += 1;
        }
        Ok(found)
    }

    /// Every image of a flat whose chamber's middle lies no further than `reach` mm from the middle of the disc; lines
    /// and arcs become arcs. `None` for a group of four dimensions.
    ///
    /// # Errors
    /// [`GroupFault::Unfit`] for a flat outside the disc, and for too many images.
    pub(super) fn orbit(&self, flat: &Flat, reach: f64) -> Result<Option<Flat>, GroupFault> {
        let Normals::Disc(normals) = &self.normals else { return Ok(None) };
        let b = flat.bounds();
        if b.is_empty() {
            return Ok(Some(flat.clone()));
        }
        let far = b.corners().iter().map(|c| c.norm()).fold(0.0, f64::max);
        let inside = flat
            .loops()
            .chain(flat.lines())
            .all(|p| p.pieces.iter().all(|s| (0..8).all(|i| s.at(f64::from(i) / 8.0).norm() < self.radius)));
        if !inside {
            return Err(GroupFault::Unfit(format!(
                "the thing reaches out of the disc of {} mm that holds the hyperbolic plane",
                self.radius
            )));
        }
        let near = far * 1e-6;
        let mut motions = Self::motions(normals, (reach / self.radius).min(RIM))?;
        motions.retain(|m| !self.turns || m.determinant() > 0.0);
        let images: Vec<Flat> = motions.iter().map(|m| self.image(flat, m, near)).collect();
        let joined = flat::all(&images);
        Ok(Some(joined.each_layer(|l| (l.loops.to_vec(), super::once(&l.lines, near * 0.1)))))
    }

    /// The image of a flat.
    fn image(&self, flat: &Flat, by: &Affine, near: f64) -> Flat {
        let at = |p: Vec2| lowered(by.apply(raised(p / self.radius))) * self.radius;
        let flips = by.determinant() < 0.0;
        let moved = |path: &Path| {
            let pieces = path.pieces.iter().flat_map(|s| flat::arcs(s, near));
            let path = Path { pieces: pieces.flat_map(|s| curved(&s, &at)).collect(), closed: path.closed };
            if flips { path.reversed() } else { path }
        };
        flat.each_layer(|l| (l.loops.iter().map(moved).collect(), l.lines.iter().map(moved).collect()))
    }
}

/// The image of a line or arc under a map that takes circles to circles.
fn curved(piece: &Segment, at: &impl Fn(Vec2) -> Vec2) -> Vec<Segment> {
    let whole = through(at(piece.start()), at(piece.at(0.5)), at(piece.end()));
    let halves = || {
        [(0.0, 0.5), (0.5, 1.0)].map(|(from, to)| {
            let (a, m, b) = (piece.at(from), piece.at(0.5 * (from + to)), piece.at(to));
            through(at(a), at(m), at(b)).unwrap_or(Segment::Line(at(a), at(b)))
        })
    };
    whole.map_or_else(|| halves().to_vec(), |s| vec![s])
}

/// The reflection v ↦ v - 2 (v·n) n with the product that the hyperboloid keeps.
fn mirroring(n: Vec3) -> Affine {
    let of = |v: Vec3| v - n * (2.0 * product(v, n));
    let [a, b, c] = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]].map(|e| of(Vec3::from(e)));
    Affine { rows: [0, 1, 2].map(|i| Vec3::new(a[i], b[i], c[i])), shift: Vec3::ZERO }
}

/// One coordinate of the image in the polygon of mirrors of a point of the disc. What lies outside the disc is first inverted in
/// its rim; heights are not looked at.
#[derive(Clone, Debug)]
struct DiscFold {
    normals: Arc<[Vec3]>,
    radius: f64,
    /// Of the polygon, as a part of the radius.
    reach: f64,
    axis: usize,
    /// What an odd number of mirrors brought is mirrored once more, in the first.
    turns: bool,
}

/// A point and the two columns of the slope of how it came there.
type Way = (Vec2, [Vec2; 2]);

impl DiscFold {
    /// The inversion in the circle about `centre` with that square of the radius.
    fn inverted((p, slope): Way, centre: Vec2, square: f64) -> Way {
        let from = p - centre;
        let k = square / from.dot(from).max(f64::MIN_POSITIVE);
        let turn = |v: Vec2| (v - from * (2.0 * from.dot(v) / from.dot(from).max(f64::MIN_POSITIVE))) * k;
        (centre + from * k, slope.map(turn))
    }

    /// The mirroring in one of the mirrors.
    fn over(way: Way, n: &Vec3) -> Way {
        if n.z.abs() < 1e-12 {
            let unit = Vec2::new(n.x, n.y);
            let mirror = |v: Vec2| v - unit * (2.0 * unit.dot(v));
            (mirror(way.0), way.1.map(mirror))
        } else {
            Self::inverted(way, Vec2::new(n.x, n.y) / n.z, 1.0 / (n.z * n.z))
        }
    }

    fn fold(&self, p: Vec2) -> Way {
        let mut odd = false;
        let mut way: Way = (p, [Vec2::new(1.0, 0.0), Vec2::new(0.0, 1.0)]);
        if p.dot(p) > 1.0 {
            way = Self::inverted(way, Vec2::ZERO, 1.0);
        }
        // Each mirroring comes nearer to the polygon; on the rim itself it would never end.
        for _ in 0..400 {
            let u = way.0;
            let over = |n: &Vec3| 2.0 * (n.x * u.x + n.y * u.y) - n.z * (1.0 + u.dot(u)) > 1e-13;
            let Some(n) = self.normals.iter().find(|n| over(n)) else { break };
            way = Self::over(way, n);
            odd = !odd;
        }
        if self.turns && odd { Self::over(way, &self.normals[0]) } else { way }
    }
}

impl Oracle for DiscFold {
    fn sample(&self, p: Vec3) -> (f64, Vec3) {
        let (at, [x, y]) = self.fold(Vec2::new(p.x, p.y) / self.radius);
        let pick = |v: Vec2| v.array()[self.axis];
        (pick(at) * self.radius, Vec3::new(pick(x), pick(y), 0.0))
    }

    fn bounds(&self, region: Box3) -> Interval {
        let whole = Interval::new(-self.reach * self.radius, self.reach * self.radius);
        let far = |x: Interval| x.lo.abs().max(x.hi.abs());
        let [x, y, _] = region.intervals();
        let outer = libm::hypot(far(x), far(y)) / self.radius;
        if !(outer < 0.999) {
            return whole;
        }
        // Turns alone tear what is folded.
        if self.turns {
            return whole;
        }
        // In the hyperbolic plane images are no further apart than what is folded; its unit is 2/(1 - r²) of the disc's.
        let centre = Vec2::new(x.middle(), y.middle()) / self.radius;
        let half = 0.5 * libm::hypot(x.width(), y.width()) / self.radius;
        let apart = half / (1.0 - outer * outer) * (1.0 + 1e-9) + 1e-12;
        let at = self.fold(centre).0.array()[self.axis];
        Interval::new((at - apart) * self.radius, (at + apart) * self.radius).meet(whole).unwrap_or(whole)
    }

    fn steepest(&self) -> f64 {
        f64::INFINITY
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Group, Reach, domain_flat, domain_solid, fold_field, orbit_flat};
    use super::*;
    use crate::form::Field;
    use crate::formula::Tape;

    fn group(symbol: &str, a: f64) -> Group {
        Group::named(symbol, &CellAsk { a: Some(a), ..CellAsk::default() }).unwrap()
    }

    /// Area of a triangle: π less its angles (J. H. Lambert); here by its corners' distances: 7,3 of section 5.7.
    #[test]
    fn triangles_of_the_disc_reach_as_far_as_tiles() {
        let triangle = domain_flat(&group("[7,3]", 50.0)).unwrap();
        let far = triangle.loops().flat_map(|p| &p.pieces).map(|s| s.start().norm()).fold(0.0, f64::max);
        assert!((far / 50.0 - 0.300_742_619).abs() < 1e-8, "{far}");
        // A tile of {7,3} is 14 triangles; all images that reach no further than its middle ring join without overlap.
        let tile = crate::form::tiling::hyperbolic(7, 3, 50.0, 0, true).unwrap();
        let whole = tile.tiles()[0].outline.area();
        assert!((14.0 * triangle.area() - whole).abs() < 1e-6 * whole);
        let joined = orbit_flat(&group("*732", 50.0), &triangle, Reach::Ball(11.0)).unwrap();
        assert!((joined.area() - whole).abs() < 1e-6 * whole && joined.regions() == 1, "{}", joined.area());
        let ideal = domain_flat(&group("*∞∞∞", 1.0)).unwrap();
        assert!(ideal.loops().flat_map(|p| &p.pieces).all(|s| (s.start().norm() - 1.0).abs() < 1e-9));
    }

    /// A polygon's area is what its angles lack of those of a flat one (J. H. Lambert); mirrors meet at the angles asked for,
    /// and images of the chamber lie side by side.
    #[test]
    fn polygons_of_mirrors_have_their_angles() {
        for (symbol, corners) in
            [("*2223", vec![2, 2, 2, 3]), ("*22222", vec![2; 5]), ("*3434", vec![3, 4, 3, 4])]
        {
            let g = group(symbol, 1.0);
            let chamber = domain_flat(&g).unwrap();
            let path = chamber.loops().next().unwrap();
            let mut found: Vec<i64> = Vec::new();
            for (k, piece) in path.pieces.iter().enumerate() {
                let before = &path.pieces[(k + path.pieces.len() - 1) % path.pieces.len()];
                let (come, go) = (before.direction(true), piece.direction(false));
                found.push((PI / (PI - come.cross(go).atan2(come.dot(go)))).round() as i64);
            }
            let mut wanted: Vec<i64> = corners.clone();
            found.sort_unstable();
            wanted.sort_unstable();
            assert_eq!(found, wanted, "{symbol}");
            let images = orbit_flat(&g, &chamber, Reach::Ball(0.8)).unwrap();
            let count = images.area() / chamber.area();
            assert!(images.regions() == 1 && count > 2.5, "{symbol} {} {count}", images.regions());
        }
        assert!(Group::named("*22(100)2", &CellAsk::default()).is_ok());
        // Four right angles are those of the flat plane.
        assert!(Group::named("*2222", &CellAsk::default()).is_ok_and(|g| g.mirrors().is_none()));
    }

    #[test]
    fn folding_the_disc_keeps_distances_to_mirrors() {
        let g = group("[7,3]", 40.0);
        let folded = fold_field(&g, &Field::new(Expr::var("x") * 0.3 + Expr::var("y")).unwrap()).unwrap();
        let tape = Tape::new(folded.expr()).unwrap();
        let mirrors = g.mirrors().unwrap();
        let Normals::Disc(normals) = mirrors.normals.clone() else { panic!() };
        for i in 0..200 {
            let u = Vec2::at_angle(f64::from(i) * 2.4) * (0.97 * (f64::from(i) / 200.0).sqrt());
            let value = |u: Vec2| tape.value(Vec3::new(u.x * 40.0, u.y * 40.0, 3.0));
            for n in normals.iter() {
                let image = lowered(mirroring(*n).apply(raised(u)));
                assert!((value(u) - value(image)).abs() < 1e-7, "{u:?}");
            }
            let p = Vec3::new(u.x * 40.0, u.y * 40.0, 0.0);
            let region = Box3::new(p - Vec3::splat(0.05), p + Vec3::splat(0.05));
            let range = tape.bounds(region);
            assert!(region.corners().iter().all(|c| range.holds(tape.value(*c))));
        }
    }

    /// The chamber of [3,3,5] is 1/14400 of the sphere of area 2π²; volume element (2/(1 + u²))³.
    #[test]
    fn folding_four_dimensions_ends_in_the_chamber() {
        for symbol in ["[3,3,3]", "[4,3,3]", "[3,4,3]", "[5,3,3]", "[5,2,7]"] {
            let g = group(symbol, 30.0);
            let chamber = domain_solid(&g).unwrap();
            let value = chamber.lower::<std::convert::Infallible>(&mut |_, _| unreachable!()).unwrap();
            let inside = Tape::new(&value).unwrap();
            let fold = g.mirrors().unwrap().fold().unwrap();
            let tapes = fold.each_ref().map(|e| Tape::new(e).unwrap());
            for i in 0..100 {
                let k = f64::from(i);
                let p = Vec3::new((k * 0.7).sin(), (k * 1.3).cos(), (k * 0.37).sin()) * (k * 0.9);
                let q = tapes.each_ref().map(|t| t.value(p));
                assert!(inside.value(q.into()) < 1e-9, "{symbol} {p:?} {q:?}");
            }
        }
        assert_eq!(group("[3,3,5]", 1.0).order(), 14_400);
    }
}
