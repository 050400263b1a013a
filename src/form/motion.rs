//! Motions: the same thing elsewhere, larger, mirrored, repeated, twisted, or turned inside out in a sphere.

use std::f64::consts::PI;
use std::sync::Arc;

use super::fault::{FormFault, finite, finite_vector, positive};
use super::lower::{Sheet, apply, looked};
use super::{Curve, Field, Form, Solid, Surface, xyz};
use crate::base::{Affine, Box3, Vec3};
use crate::formula::{Expr, Unary};

/// A map of space that is not affine.
#[derive(Clone, Debug, PartialEq)]
pub enum SpaceMap {
    /// A turn about z that grows with height: radians per mm.
    Twist {
        /// Radians per mm.
        rate: f64,
    },
    /// The inversion in a sphere; it undoes itself.
    Invert {
        /// Centre of the sphere, mm.
        centre: Vec3,
        /// Radius of the sphere, mm.
        radius: f64,
    },
}

impl SpaceMap {
    /// Where a point looks to see whether it belongs to the image.
    fn back(&self, at: &[Expr; 3]) -> [Expr; 3] {
        match self {
            Self::Twist { rate } => turned(at, -rate),
            Self::Invert { centre, radius } => inverted(at, *centre, *radius),
        }
    }

    /// Where a point goes.
    pub(super) fn forth(&self, at: &[Expr; 3]) -> [Expr; 3] {
        match self {
            Self::Twist { rate } => turned(at, *rate),
            Self::Invert { centre, radius } => inverted(at, *centre, *radius),
        }
    }

    /// A box that holds the image of a box.
    fn image(&self, of: Box3) -> Box3 {
        match self {
            Self::Twist { .. } => {
                let far = libm::hypot(of.min.x.abs().max(of.max.x.abs()), of.min.y.abs().max(of.max.y.abs()));
                Box3::new(Vec3::new(-far, -far, of.min.z), Vec3::new(far, far, of.max.z))
            }
            Self::Invert { centre, radius } => {
                // The nearest point of the box goes furthest.
                let nearest = centre.max(of.min).min(of.max);
                let d = (nearest - *centre).norm();
                let reach = if d > 0.0 { radius * radius / d } else { f64::INFINITY };
                Box3::new(*centre - Vec3::splat(reach), *centre + Vec3::splat(reach))
            }
        }
    }
}

fn turned([x, y, z]: &[Expr; 3], rate: f64) -> [Expr; 3] {
    let angle = z.clone() * rate;
    let (s, c) = (Expr::unary(Unary::Sin, angle.clone()), Expr::unary(Unary::Cos, angle));
    [x.clone() * c.clone() - y.clone() * s.clone(), x.clone() * s + y.clone() * c, z.clone()]
}

fn inverted(at: &[Expr; 3], centre: Vec3, radius: f64) -> [Expr; 3] {
    let from = apply(&Affine::shift(-centre), at);
    let square = |e: &Expr| e.clone() * e.clone();
    let factor = Expr::constant(radius * radius) / (square(&from[0]) + square(&from[1]) + square(&from[2]));
    apply(&Affine::shift(centre), &from.map(|e| e * factor.clone()))
}

/// What can be moved in space.
pub trait Movable: Sized {
    /// The image under an affine map that can be undone.
    ///
    /// # Errors
    /// [`FormFault::TooDeep`].
    fn moved(&self, by: &Affine) -> Result<Self, FormFault>;

    /// The image under a map that is not affine.
    ///
    /// # Errors
    /// [`FormFault::TooDeep`].
    fn mapped(&self, by: &SpaceMap) -> Result<Self, FormFault>;
}

pub(super) fn moved_solid(solid: &Solid, by: &Affine) -> Solid {
    match solid {
        Solid::Moved(inner, before) => Solid::Moved(inner.clone(), before.then(by)),
        other => Solid::Moved(Arc::new(other.clone()), *by),
    }
}

fn mapped_solid(solid: &Solid, by: &SpaceMap) -> Solid {
    let within = by.image(solid.within());
    Solid::Mapped { solid: Arc::new(solid.clone()), map: by.back(&xyz()), within }
}

impl Movable for Solid {
    fn moved(&self, by: &Affine) -> Result<Self, FormFault> {
        moved_solid(self, by).checked()
    }

    fn mapped(&self, by: &SpaceMap) -> Result<Self, FormFault> {
        mapped_solid(self, by).checked()
    }
}

impl Movable for Surface {
    fn moved(&self, by: &Affine) -> Result<Self, FormFault> {
        Ok(match self {
            Self::Mesh(patch) => Self::Mesh(Arc::new(patch.moved(by)?)),
            Self::Clipped(inner, clip) if matches!(**inner, Self::Mesh(_)) => {
                Self::Clipped(Arc::new(inner.moved(by)?), Arc::new(clip.moved(by)?))
            }
            Self::Moved(inner, before) => Self::Moved(inner.clone(), before.then(by)),
            other => Self::Moved(Arc::new(other.clone()), *by),
        })
    }

    fn mapped(&self, by: &SpaceMap) -> Result<Self, FormFault> {
        match self {
            Self::Mesh(patch) => return Ok(Self::Mesh(Arc::new(patch.mapped(by)?))),
            Self::Clipped(inner, clip) if matches!(**inner, Self::Mesh(_)) => {
                return Ok(Self::Clipped(Arc::new(inner.mapped(by)?), Arc::new(clip.mapped(by)?)));
            }
            _ => {}
        }
        let (plain, clip) = match self.sheet() {
            Sheet::Level { value, clip } => (Self::Level(looked(&value, &by.back(&xyz()))), clip),
            Sheet::Skin { solid, clip } => (Self::Skin(Arc::new(solid.mapped(by)?)), clip),
            Sheet::Param { components, params, ranges, clip } => {
                (Self::Param { components: by.forth(&components), params, ranges }, clip)
            }
        };
        Ok(match clip {
            None => plain,
            Some(solid) => Self::Clipped(Arc::new(plain), Arc::new(solid.mapped(by)?)),
        })
    }
}

impl Movable for Curve {
    fn moved(&self, by: &Affine) -> Result<Self, FormFault> {
        Ok(Self::mapped(self, |at| apply(by, &at)))
    }

    fn mapped(&self, by: &SpaceMap) -> Result<Self, FormFault> {
        Ok(Self::mapped(self, |at| by.forth(&at)))
    }
}

impl Movable for Field {
    fn moved(&self, by: &Affine) -> Result<Self, FormFault> {
        let back = by.inverse().ok_or(FormFault::NoDirection { name: "factor" })?;
        Ok(self.with(|e| looked(&e, &apply(&back, &xyz()))))
    }

    fn mapped(&self, by: &SpaceMap) -> Result<Self, FormFault> {
        Ok(self.with(|e| looked(&e, &by.back(&xyz()))))
    }
}

impl Movable for Form {
    fn moved(&self, by: &Affine) -> Result<Self, FormFault> {
        Ok(match self {
            Self::Field(f) => f.moved(by)?.into(),
            Self::Solid(s) => s.moved(by)?.into(),
            Self::Surface(s) => s.moved(by)?.into(),
            Self::Curve(c) => c.moved(by)?.into(),
            Self::Flat(f) => f.moved(by)?.into(),
            Self::Tiling(t) => t.moved(by)?.into(),
            Self::Net(n) => n.moved(by)?.into(),
        })
    }

    fn mapped(&self, by: &SpaceMap) -> Result<Self, FormFault> {
        Ok(match self {
            Self::Field(f) => f.mapped(by)?.into(),
            Self::Solid(s) => s.mapped(by)?.into(),
            Self::Surface(s) => s.mapped(by)?.into(),
            Self::Curve(c) => Movable::mapped(c, by)?.into(),
            Self::Flat(f) => f.mapped(by)?.into(),
            Self::Tiling(t) => t.edges().mapped(by)?.into(),
            Self::Net(n) => n.mapped(by)?.into(),
        })
    }
}

/// The thing moved by `v` mm.
///
/// # Errors
/// [`FormFault::NotFinite`].
pub fn shift<T: Movable>(thing: &T, v: Vec3) -> Result<T, FormFault> {
    thing.moved(&Affine::shift(finite_vector("shift", v)?))
}

/// The thing turned about the line through the origin along `axis`, by `degrees`, right-handed.
///
/// # Errors
/// [`FormFault::NotFinite`], [`FormFault::NoDirection`].
pub fn turn<T: Movable>(thing: &T, axis: Vec3, degrees: f64) -> Result<T, FormFault> {
    finite_vector("axis", axis)?;
    let by = quarter(axis, finite("degrees", degrees)?)
        .or_else(|| Affine::turn(axis, degrees * PI / 180.0))
        .ok_or(FormFault::NoDirection { name: "axis" })?;
    thing.moved(&by)
}

/// Turns by whole quarters about a coordinate axis, without rounding.
fn quarter(axis: Vec3, degrees: f64) -> Option<Affine> {
    let along = (0..3).find(|&i| (0..3).all(|j| (axis[j] != 0.0) == (i == j)))?;
    let quarters = degrees / 90.0;
    if quarters != quarters.round() {
        return None;
    }
    let signed = if axis[along] < 0.0 { -quarters } else { quarters };
    let (c, s) = [(1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)][signed.rem_euclid(4.0) as usize];
    let (a, b) = ((along + 1) % 3, (along + 2) % 3);
    let mut rows = [[0.0; 3]; 3];
    rows[along][along] = 1.0;
    (rows[a][a], rows[a][b]) = (c, -s);
    (rows[b][a], rows[b][b]) = (s, c);
    Some(Affine { rows: rows.map(Vec3::from), shift: Vec3::ZERO })
}

/// The thing scaled by a factor along each axis, about the origin. A negative factor mirrors.
///
/// # Errors
/// [`FormFault::NotFinite`]; [`FormFault::NotPositive`] for a factor of 0.
pub fn scale<T: Movable>(thing: &T, factors: Vec3) -> Result<T, FormFault> {
    for k in finite_vector("factor", factors)?.array() {
        positive("factor", k.abs())?;
    }
    thing.moved(&Affine::scale(factors))
}

/// The thing mirrored in the plane through `point` (mm) square to `normal`.
///
/// # Errors
/// [`FormFault::NotFinite`], [`FormFault::NoDirection`].
pub fn reflect<T: Movable>(thing: &T, point: Vec3, normal: Vec3) -> Result<T, FormFault> {
    finite_vector("point", point)?;
    finite_vector("normal", normal)?;
    let by = Affine::reflect(point, normal).ok_or(FormFault::NoDirection { name: "normal" })?;
    thing.moved(&by)
}

/// The thing turned about z by an angle that grows with height: `degrees` per mm, right-handed going up.
///
/// # Errors
/// [`FormFault::NotFinite`].
pub fn twist<T: Movable>(thing: &T, degrees: f64) -> Result<T, FormFault> {
    thing.mapped(&SpaceMap::Twist { rate: finite("degrees", degrees)? * PI / 180.0 })
}

/// The image under inversion in a sphere: a point at distance d from `centre` goes to distance radius²/d on the
/// same ray. What holds the centre becomes endless.
///
/// # Errors
/// [`FormFault::NotFinite`], [`FormFault::NotPositive`].
pub fn invert<T: Movable>(thing: &T, centre: Vec3, radius: f64) -> Result<T, FormFault> {
    finite_vector("centre", centre)?;
    thing.mapped(&SpaceMap::Invert { centre, radius: positive("radius", radius)? })
}

/// Most copies of a cell that are looked at in one direction; wider overlap is refused.
const NEIGHBOURS: f64 = 4.0;

/// Copies of a solid in a grid: the solid itself and further copies `spacing` mm on along each axis, `counts`
/// in all per axis; a count of `None` goes on without end in both directions.
///
/// # Errors
/// [`FormFault::NotPositive`] for a spacing or a count that is not; [`FormFault::Endless`] for a solid without
/// a finite box along a repeated axis; [`FormFault::Crowded`] when copies reach over more than four cells.
pub fn repeat(solid: &Solid, spacing: Vec3, counts: [Option<u32>; 3]) -> Result<Solid, FormFault> {
    let own = solid.within();
    let mut looks: Vec<[Expr; 3]> = vec![xyz()];
    let (mut lo, mut hi) = (own.min.array(), own.max.array());
    for axis in 0..3 {
        if counts[axis] == Some(1) {
            continue;
        }
        positive("count", counts[axis].map_or(1.0, f64::from))?;
        let step = positive("spacing", spacing[axis])?;
        let (from, to) = (own.min[axis], own.max[axis]);
        if !(from.is_finite() && to.is_finite()) {
            return Err(FormFault::Endless { act: "repeat" });
        }
        if to - from > NEIGHBOURS * step {
            return Err(FormFault::Crowded { spacing: step, extent: to - from });
        }
        let cells = cells_that_reach(&xyz()[axis], (from, to), step, counts[axis]);
        looks = looks
            .iter()
            .flat_map(|at| {
                cells.iter().map(|c| {
                    let mut at = at.clone();
                    at[axis] = c.clone();
                    at
                })
            })
            .collect();
        match counts[axis] {
            Some(n) => hi[axis] += step * f64::from(n - 1),
            None => (lo[axis], hi[axis]) = (f64::NEG_INFINITY, f64::INFINITY),
        }
    }
    let within = Box3::new(lo.into(), hi.into());
    let inner = Arc::new(solid.clone());
    let copies: Vec<Solid> =
        looks.into_iter().map(|map| Solid::Mapped { solid: inner.clone(), map, within }).collect();
    match <[Solid; 1]>::try_from(copies) {
        Ok([one]) => one.checked(),
        Err(many) => Solid::Union(many.into()).checked(),
    }
}

/// Most copies round an axis.
const MOST_ROUND: u32 = 720;

/// Copies of a solid round the z axis: `count` in all, equally far apart, the first where it is.
///
/// # Errors
/// [`FormFault::NotPositive`] for a count of 0 or above 720.
pub fn repeat_around(solid: &Solid, count: u32) -> Result<Solid, FormFault> {
    if count == 0 || count > MOST_ROUND {
        return Err(FormFault::NotPositive { name: "count", got: f64::from(count) });
    }
    let up = Vec3::new(0.0, 0.0, 1.0);
    let copies = (0..count).map(|i| turn(solid, up, 360.0 * f64::from(i) / f64::from(count)));
    Solid::Union(copies.collect::<Result<Vec<_>, _>>()?.into()).checked()
}

/// The coordinate as each copy near the point sees it: the copies numbered first, first + 1, … whose ranges can
/// hold the point, where `first` is the least number whose range ends beyond it.
fn cells_that_reach(x: &Expr, (from, to): (f64, f64), step: f64, count: Option<u32>) -> Vec<Expr> {
    // Copy i covers [from + i·step, to + i·step]. Those that reach x have (x - to)/step ≤ i ≤ (x - from)/step.
    // A little more than the range is looked at, so that a copy's outside is seen before its edge.
    let near = ((to - from) / step + 1e-9).floor() as usize + 1;
    let slack = 0.5 * (near as f64 * step - (to - from));
    let first = Expr::unary(Unary::Ceil, (x.clone() - (to + slack)) / step);
    (0..near)
        .map(|k| {
            let i = first.clone() + k as f64;
            let i = match count {
                Some(n) => i.max(Expr::constant(0.0)).min(Expr::constant(f64::from(n - 1))),
                None => i,
            };
            x.clone() - i * step
        })
        .collect()
}
