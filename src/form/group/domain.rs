//! A part of space that a group's motions lay side by side without gap: the points nearer to one chosen point than to
//! any of its images (P. G. Lejeune Dirichlet, J. reine angew. Math. 40 (1850) 209).

use super::{Group, GroupFault, Kind};
use crate::base::{Vec2, Vec3};
use crate::form::flat::{self, Flat};
use crate::form::{Solid, halfspace, intersection};

/// The chosen point as parts of the cell, or of the unit ball: none of its coordinates stands in a simple ratio.
const CHOSEN: Vec3 = Vec3::new(0.173_205, 0.091_287, 0.057_735);
/// A face counts when it cuts off more than this part of the extent.
const CUTS: f64 = 1e-9;

fn chosen(group: &Group) -> Vec3 {
    match group.steps() {
        [] => CHOSEN,
        [a] => *a * CHOSEN.x + Vec3::new(0.0, a.x * CHOSEN.y, 0.0),
        [a, b] => *a * CHOSEN.x + *b * CHOSEN.y,
        [a, b, c, ..] => *a * CHOSEN.x + *b * CHOSEN.y + *c * CHOSEN.z,
    }
}

/// Images of a point under motions up to two steps away, without the point itself; nearest first.
fn images(group: &Group, p: Vec3) -> Result<Vec<Vec3>, GroupFault> {
    let mut found = Vec::new();
    let range = |i: usize| if i < group.steps().len() { -2..=2 } else { 0..=0 };
    let step = |i: usize| group.steps().get(i).copied().unwrap_or(Vec3::ZERO);
    for motion in group.motions() {
        let q = motion.apply(p);
        for i in range(0) {
            for j in range(1) {
                for k in range(2) {
                    found.push(q + step(0) * f64::from(i) + step(1) * f64::from(j) + step(2) * f64::from(k));
                }
            }
        }
    }
    let far = |q: &Vec3| (*q - p).norm();
    found.sort_by(|a, b| far(a).total_cmp(&far(b)));
    found.remove(0);
    match found.first() {
        Some(q) if far(q) < 1e-6 * p.norm() => {
            Err(GroupFault::Unfit(format!("{} moves no point near the chosen one", group.name())))
        }
        _ => Ok(found),
    }
}

/// The domain of a wallpaper group, mm.
///
/// # Errors
/// [`GroupFault::Unfit`] for other groups.
pub fn domain_flat(group: &Group) -> Result<Flat, GroupFault> {
    let [a, b] = group.steps() else {
        return Err(GroupFault::Unfit(format!("the domain of a {} is no flat", group.kind().name())));
    };
    let p = chosen(group);
    let flat = |v: Vec3| Vec2::new(v.x, v.y);
    let reach = 2.0 * (a.norm() + b.norm());
    let corners = [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)];
    let mut polygon: Vec<Vec2> =
        corners.iter().map(|(x, y)| flat(p) + Vec2::new(x * reach, y * reach)).collect();
    for q in images(group, p)? {
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
    let p = chosen(group);
    let faces = faces(group, p)?;
    let mut solid: Option<Solid> = None;
    for (point, normal) in faces {
        let side = halfspace(point, normal).map_err(|f| GroupFault::Unfit(f.to_string()))?;
        solid = Some(match solid {
            None => side,
            Some(before) => intersection(&before, &side).map_err(|f| GroupFault::Unfit(f.to_string()))?,
        });
    }
    solid.ok_or_else(|| GroupFault::Unfit(format!("the domain of {} is all space", group.name())))
}

/// The planes that bound the domain: a point of each and its normal.
fn faces(group: &Group, p: Vec3) -> Result<Vec<(Vec3, Vec3)>, GroupFault> {
    let size = match group.kind() {
        Kind::Point => 4.0 * p.norm(),
        _ => 2.0 * group.steps().iter().map(|s| s.norm()).sum::<f64>(),
    };
    let mut body = Body::cube(p, size);
    for q in images(group, p)? {
        let middle = (p + q) * 0.5;
        // Past twice the furthest corner no image can cut.
        if (middle - p).norm() < body.reach(p) {
            body.cut(middle, q - p, CUTS * size);
        }
    }
    Ok(body.faces.into_iter().filter_map(|f| f.plane).collect())
}

/// A convex body by its faces.
struct Body {
    faces: Vec<Face>,
}

struct Face {
    corners: Vec<Vec3>,
    /// `None` for the faces of the first cube.
    plane: Option<(Vec3, Vec3)>,
}

impl Body {
    fn cube(p: Vec3, half: f64) -> Self {
        let faces = (0..6).map(|k| {
            let (axis, sign) = (k / 2, if k % 2 == 0 { 1.0 } else { -1.0 });
            let corner = |u: f64, v: f64| {
                let mut c = [0.0; 3];
                c[axis] = sign * half;
                c[(axis + 1) % 3] = u * half;
                c[(axis + 2) % 3] = v * half * sign;
                p + Vec3::from(c)
            };
            Face {
                corners: vec![corner(-1.0, -1.0), corner(1.0, -1.0), corner(1.0, 1.0), corner(-1.0, 1.0)],
                plane: None,
            }
        });
        Self { faces: faces.collect() }
    }

    fn reach(&self, p: Vec3) -> f64 {
        self.faces.iter().flat_map(|f| &f.corners).map(|c| (*c - p).norm()).fold(0.0, f64::max)
    }

    /// Keeps what lies behind a plane; the new face is added when the plane cuts deeper than `least`.
    fn cut(&mut self, point: Vec3, normal: Vec3, least: f64) {
        let Some(n) = normal.unit() else { return };
        let over = |c: &Vec3| (*c - point).dot(n);
        if self.faces.iter().flat_map(|f| &f.corners).all(|c| over(c) <= least) {
            return;
        }
        let mut rim: Vec<Vec3> = Vec::new();
        for face in &mut self.faces {
            let old = std::mem::take(&mut face.corners);
            for (i, c) in old.iter().enumerate() {
                let d = &old[(i + 1) % old.len()];
                let (s, t) = (over(c), over(d));
                if s <= 0.0 {
                    face.corners.push(*c);
                }
                if (s <= 0.0) != (t <= 0.0) {
                    let meet = *c + (*d - *c) * (s / (s - t));
                    face.corners.push(meet);
                    rim.push(meet);
                }
            }
        }
        self.faces.retain(|f| f.corners.len() > 2);
        let middle = rim.iter().fold(Vec3::ZERO, |a, b| a + *b) * (1.0 / rim.len().max(1) as f64);
        let Some(u) = rim.iter().filter_map(|c| (*c - middle).unit()).next() else { return };
        let v = n.cross(u);
        let angle = |c: &Vec3| libm::atan2((*c - middle).dot(v), (*c - middle).dot(u));
        rim.sort_by(|a, b| angle(a).total_cmp(&angle(b)));
        rim.dedup_by(|a, b| (*a - *b).norm() <= least);
        if rim.len() > 2 {
            self.faces.push(Face { corners: rim, plane: Some((point, n)) });
        }
    }

    #[cfg(test)]
    fn volume(&self) -> f64 {
        let cone = |f: &Face| {
            let c = &f.corners;
            (1..c.len() - 1).map(|i| c[0].dot(c[i].cross(c[i + 1]))).sum::<f64>() / 6.0
        };
        self.faces.iter().map(cone).sum()
    }
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
            for q in images(&group, p).unwrap() {
                if ((q - p) * 0.5).norm() < body.reach(p) {
                    body.cut((p + q) * 0.5, q - p, CUTS * size);
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
