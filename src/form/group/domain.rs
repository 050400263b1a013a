//! A part of space that a group's motions lay side by side without gap: the points nearer to one chosen point than to
//! any of its images (P. G. Lejeune Dirichlet, J. reine angew. Math. 40 (1850) 209).

use super::mirrored::Mirrored;
use super::{Group, GroupFault, Kind};
use crate::base::{Affine, Vec2, Vec3};
use crate::form::body::{Body, Plane};
use crate::form::flat::{self, Flat};
use crate::form::{Solid, halfspace, intersection};

/// The chosen point as parts of the cell, or of the unit ball: none of its coordinates stands in a simple ratio.
const CHOSEN: Vec3 = Vec3::new(0.173_205, 0.091_287, 0.057_735);
/// A face counts when it cuts off more than this part of the extent.
const CUTS: f64 = 1e-9;

pub(super) fn chosen(group: &Group) -> Vec3 {
    match group.steps() {
        [] => CHOSEN,
        [a] => *a * CHOSEN.x + Vec3::new(0.0, a.x * CHOSEN.y, 0.0),
        [a, b] => *a * CHOSEN.x + *b * CHOSEN.y,
        [a, b, c, ..] => *a * CHOSEN.x + *b * CHOSEN.y + *c * CHOSEN.z,
    }
}

/// Motions up to two steps away without the one that moves nothing, each with the image of a point; nearest first.
pub(super) fn images(group: &Group, p: Vec3) -> Result<Vec<(Vec3, Affine)>, GroupFault> {
    let mut found = Vec::new();
    let range = |i: usize| if i < group.steps().len() { -2..=2 } else { 0..=0 };
    let step = |i: usize| group.steps().get(i).copied().unwrap_or(Vec3::ZERO);
    for motion in group.motions() {
        for i in range(0) {
            for j in range(1) {
                for k in range(2) {
                    let by = step(0) * f64::from(i) + step(1) * f64::from(j) + step(2) * f64::from(k);
                    let by = motion.then(&Affine::shift(by));
                    found.push((by.apply(p), by));
                }
            }
        }
    }
    let far = |q: &Vec3| (*q - p).norm();
    found.sort_by(|a, b| far(&a.0).total_cmp(&far(&b.0)));
    found.remove(0);
    match found.first() {
        Some((q, _)) if far(q) < 1e-6 * p.norm() => {
            Err(GroupFault::Unfit(format!("{} moves no point near the chosen one", group.name())))
        }
        _ => Ok(found),
    }
}

/// The domain of a wallpaper group or of a group of the hyperbolic plane, mm.
///
/// # Errors
/// [`GroupFault::Unfit`] for other groups.
pub fn domain_flat(group: &Group) -> Result<Flat, GroupFault> {
    if let Some(flat) = group.mirrors().and_then(Mirrored::polygon_of_arcs) {
        return Ok(flat);
    }
    let [a, b] = group.steps() else {
        return Err(GroupFault::Unfit(format!("the domain of a {} is no flat", group.kind().name())));
    };
    let p = chosen(group);
    let flat = |v: Vec3| Vec2::new(v.x, v.y);
    let reach = 2.0 * (a.norm() + b.norm());
    let corners = [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)];
    let mut polygon: Vec<Vec2> =
        corners.iter().map(|(x, y)| flat(p) + Vec2::new(x * reach, y * reach)).collect();
    for (q, _) in images(group, p)? {
        polygon = kept(&polygon, flat(p), flat(q));
    }
    flat::polygon(&polygon, 0.0).map_err(|f| GroupFault::Unfit(f.to_string()))
}

/// The part of a convex polygon nearer to p than to q.
fn kept(polygon: &[Vec2], p: Vec2, q: Vec2) -> Vec<Vec2> {
    let (normal, level) = (q - p, 0.5 * (q.dot(q) - p.dot(p)));
    let over = |v: &Vec2| normal.dot(*v) - level;
    let mut out = Vec::with_capacity(polygon.len() + 1);
    for (i, v) in polygon.iter().enumerate() {
        let w = &polygon[(i + 1) % polygon.len()];
        let (s, t) = (over(v), over(w));
        if s <= 0.0 {
            out.push(*v);
        }
        if (s < 0.0) != (t < 0.0) && s != 0.0 && t != 0.0 {
            out.push(v.toward(*w, s / (s - t)));
        }
    }
    out
}

/// The domain as a solid: bounded for a space group, else a wedge, strip or prism without end.
///
/// # Errors
/// [`GroupFault::Unfit`] when nothing bounds it.
pub fn domain_solid(group: &Group) -> Result<Solid, GroupFault> {
    if let Some(mirrors) = group.mirrors() {
        return mirrors.chamber().ok_or_else(|| {
            GroupFault::Unfit("the domain of a group of the hyperbolic plane is a flat".into())
        });
    }
    let mut solid: Option<Solid> = None;
    for wall in walls(group)?.faces {
        let side = halfspace(wall.middle, wall.normal).map_err(|f| GroupFault::Unfit(f.to_string()))?;
        solid = Some(match solid {
            None => side,
            Some(before) => intersection(&before, &side).map_err(|f| GroupFault::Unfit(f.to_string()))?,
        });
    }
    solid.ok_or_else(|| GroupFault::Unfit(format!("the domain of {} is all space", group.name())))
}

/// A plane that bounds the domain: a point of it, its normal, and the motion that takes the domain across it.
pub(super) struct Wall {
    pub(super) middle: Vec3,
    pub(super) normal: Vec3,
    pub(super) across: Affine,
}

/// The planes that bound the domain, and its corners (where nothing bounds it, far out).
pub(super) struct Walls {
    pub(super) faces: Vec<Wall>,
    pub(super) corners: Vec<Vec3>,
}

/// What bounds the domain.
pub(super) fn walls(group: &Group) -> Result<Walls, GroupFault> {
    let p = chosen(group);
    let size = match group.kind() {
        Kind::Point => 4.0 * p.norm(),
        _ => 2.0 * group.steps().iter().map(|s| s.norm()).sum::<f64>(),
    };
    let mut body = Body::cube(p, size);
    let images = images(group, p)?;
    for (k, (q, _)) in images.iter().enumerate() {
        let middle = (p + *q) * 0.5;
        // Past twice the furthest corner no image can cut.
        if (middle - p).norm() < body.reach(p) {
            body.cut(middle, *q - p, k, CUTS * size);
        }
    }
    let corners = body.faces().flat_map(|f| f.corners.iter().copied()).collect();
    let wall =
        |plane: &Plane| Wall { middle: plane.middle, normal: plane.normal, across: images[plane.number].1 };
    let faces = body.faces().filter_map(|f| f.plane.as_ref()).map(wall).collect();
    Ok(Walls { faces, corners })
}

#[cfg(test)]
mod tests {
    use super::super::{CellAsk, WALLPAPER, settings};
    use super::*;

    /// A domain has the cell's area over the number of motions in it.
    #[test]
    fn domains_of_wallpapers_have_their_share_of_the_cell() {
        for plane in WALLPAPER {
            let group = Group::named(
                &format!("wallpaper {}", plane.symbol),
                &CellAsk { a: Some(9.0), ..CellAsk::default() },
            )
            .unwrap();
            let [a, b] = group.steps() else { panic!() };
            let share = a.cross(*b).norm() / group.order() as f64;
            let area = domain_flat(&group).unwrap().area();
            assert!((area - share).abs() < 1e-9 * share, "{} {area} {share}", plane.symbol);
        }
    }

    #[test]
    fn domains_of_space_groups_have_their_share_of_the_cell() {
        for number in 1..=230 {
            let found = settings().find(|s| s.number == number).unwrap();
            let cell = CellAsk {
                a: Some(9.0),
                beta: (number > 2 && number < 16).then_some(105.0),
                ..CellAsk::default()
            };
            let group = Group::numbered(number.into(), &cell).unwrap();
            let p = chosen(&group);
            let size = 2.0 * group.steps().iter().map(|s| s.norm()).sum::<f64>();
            let mut body = Body::cube(p, size);
            for (q, _) in images(&group, p).unwrap() {
                if ((q - p) * 0.5).norm() < body.reach(p) {
                    body.cut((p + q) * 0.5, q - p, 0, CUTS * size);
                }
            }
            let [a, b, c] = group.steps() else { panic!() };
            let share = a.cross(*b).dot(*c) / group.order() as f64;
            assert!(
                (body.volume() - share).abs() < 1e-6 * share,
                "{} {} {share}",
                found.symbol,
                body.volume()
            );
        }
    }
}
