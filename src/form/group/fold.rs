//! Space folded onto the domain of a group: every point looks at its image there, so that a thing is valued once however
//! many images it has.
//!
//! Where all that bounds the domain are mirrors through one point, the fold is a row of foldings in those mirrors, in the
//! order of the longest element: it sorts every point into the chamber (A. Björner, F. Brenti, Combinatorics of Coxeter
//! Groups (2005), section 3.3, by the product of M. Demazure). Else a point goes across the faces of the domain, nearer to
//! its chosen point at each, until it is inside.

use std::sync::Arc;

use super::domain::{Wall, chosen, images, walls};
use super::{Group, GroupFault, Kind};
use crate::base::{Affine, Box3, Interval, Vec3};
use crate::form::{Field, Solid, xyz};
use crate::formula::{Expr, Oracle};

/// The field that has at every point the value of `field` at its image in the domain of the group.
///
/// # Errors
/// [`GroupFault::Unfit`] for a group that moves no point.
pub fn fold_field(group: &Group, field: &Field) -> Result<Field, GroupFault> {
    let map = map(group)?;
    Ok(field.with(|e| crate::form::lower::looked(&e, &map)))
}

/// All images of the part of a solid that lies in the domain of the group.
///
/// # Errors
/// [`GroupFault::Unfit`].
pub fn fold_solid(group: &Group, solid: &Solid) -> Result<Solid, GroupFault> {
    let own = solid.within();
    let within = match group.kind() {
        Kind::Point if own.is_finite() => {
            Box3::cube(own.corners().iter().map(|c| c.norm()).fold(0.0, f64::max))
        }
        Kind::Wallpaper | Kind::Disc => Box3::new(
            Vec3::new(f64::NEG_INFINITY, f64::NEG_INFINITY, own.min.z),
            Vec3::new(f64::INFINITY, f64::INFINITY, own.max.z),
        ),
        _ => crate::form::extent::everywhere(),
    };
    Solid::Mapped { solid: Arc::new(solid.clone()), map: map(group)?, within }
        .checked()
        .map_err(|f| GroupFault::Unfit(f.to_string()))
}

/// Where a point looks.
fn map(group: &Group) -> Result<[Expr; 3], GroupFault> {
    if let Some(mirrors) = group.mirrors() {
        return mirrors.fold().ok_or_else(|| {
            GroupFault::Unfit("turns of four dimensions fold nothing: the group with its mirrors does".into())
        });
    }
    let walls = walls(group)?;
    if walls.faces.is_empty() {
        return Err(GroupFault::Unfit(format!("the domain of {} is all space", group.name())));
    }
    let mirrors = walls.faces.iter().all(is_mirror);
    if mirrors && group.kind() == Kind::Point {
        return Ok(chamber_map(&walls.faces));
    }
    let fold = Arc::new(Fold::new(group, walls.faces, &walls.corners, mirrors)?);
    Ok([0, 1, 2].map(|axis| {
        // Groups of the plane keep heights.
        if axis == 2 && fold.flat {
            return Expr::var("z");
        }
        Expr::oracle(Arc::new(Coordinate { fold: fold.clone(), axis }), xyz())
    }))
}

/// The motion across a wall is the reflection in it.
fn is_mirror(wall: &Wall) -> bool {
    Affine::reflect(wall.middle, wall.normal).is_some_and(|m| super::point::same(&m, &wall.across))
}

fn chamber_map(faces: &[Wall]) -> [Expr; 3] {
    let normals: Vec<Vec<f64>> = faces.iter().map(|w| w.normal.array().to_vec()).collect();
    let mut at: Vec<Expr> = xyz().to_vec();
    for i in longest(&normals) {
        at = folded_once(&at, &normals[i]);
    }
    [at[0].clone(), at[1].clone(), at[2].clone()]
}

/// The row of mirrors that brings the opposite of the chamber into it: a word of the longest element.
pub(super) fn longest(normals: &[Vec<f64>]) -> Vec<usize> {
    let n = normals.first().map_or(0, Vec::len);
    let product = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(x, y)| x * y).sum::<f64>();
    // Outwards along every normal, nowhere on a mirror: mirrors of a chamber meet at 90° or less, so that the sum of
    // enough steps away from those it is inside of lies outside all.
    let mut p = vec![0.0; n];
    for _ in 0..1000 {
        let Some(least) = normals.iter().find(|m| product(m, &p) < 0.5) else { break };
        for (x, k) in p.iter_mut().zip(least) {
            *x += k;
        }
    }
    let mut word = Vec::new();
    while let Some(i) = (0..normals.len()).find(|i| product(&normals[*i], &p) > 1e-9)
        && word.len() < 800
    {
        let twice = 2.0 * product(&normals[i], &p);
        for (x, k) in p.iter_mut().zip(&normals[i]) {
            *x -= twice * k;
        }
        word.push(i);
    }
    word
}

/// A point mirrored when it lies beyond a mirror.
pub(super) fn folded_once(at: &[Expr], normal: &[f64]) -> Vec<Expr> {
    let terms = at.iter().zip(normal).filter(|(_, k)| k.abs() > 1e-15);
    let over = terms.fold(None::<Expr>, |sum, (e, k)| {
        let term = e.clone() * *k;
        Some(sum.map_or(term.clone(), |s| s + term))
    });
    let Some(over) = over else { return at.to_vec() };
    let beyond = over.max(Expr::constant(0.0));
    at.iter()
        .zip(normal)
        .map(|(e, k)| if k.abs() > 1e-15 { e.clone() - beyond.clone() * (2.0 * k) } else { e.clone() })
        .collect()
}

/// The fold onto a domain by its faces.
#[derive(Debug)]
struct Fold {
    /// A point of each face, its normal, and the motion back across it.
    faces: Vec<(Vec3, Vec3, Affine)>,
    steps: Vec<Vec3>,
    /// Every motion whose image of the domain may lie near it.
    near: Vec<Affine>,
    /// All faces are mirrors: the fold is continuous, and brings no two points further apart.
    mirrors: bool,
    /// Heights are kept.
    flat: bool,
    /// The domain's box, without end where the domain has none.
    domain: Box3,
    /// The shortest step, and without steps no length.
    step: f64,
}

impl Fold {
    fn new(group: &Group, faces: Vec<Wall>, corners: &[Vec3], mirrors: bool) -> Result<Self, GroupFault> {
        let steps = group.steps().to_vec();
        let mut domain = Box3::around(corners.iter().copied());
        let (low, high) = (f64::NEG_INFINITY, f64::INFINITY);
        match steps.len() {
            0 => domain = crate::form::extent::everywhere(),
            1 => (domain.min.y, domain.max.y, domain.min.z, domain.max.z) = (low, high, low, high),
            2 => (domain.min.z, domain.max.z) = (low, high),
            _ => (),
        }
        let near = images(group, chosen(group))?.into_iter().map(|(_, m)| m).collect();
        let back = |w: Wall| w.across.inverse().map(|m| (w.middle, w.normal, m));
        let step = steps.iter().map(|s| s.norm()).fold(f64::INFINITY, f64::min);
        let flat = group.kind() == Kind::Wallpaper || group.kind() == Kind::Frieze;
        let faces: Vec<_> = faces.into_iter().filter_map(back).collect();
        Ok(Self { faces, steps, near, mirrors, flat, domain, step })
    }

    /// The image in the domain, and the motion that took the point there.
    fn fold(&self, p: Vec3) -> (Vec3, Affine) {
        let mut by = Affine::shift(self.home(p));
        let mut at = by.apply(p);
        for _ in 0..1000 {
            let over = self
                .faces
                .iter()
                .find(|(middle, normal, _)| (at - *middle).dot(*normal) > 1e-12 * (1.0 + at.norm()));
            let Some((_, _, back)) = over else { break };
            by = by.then(back);
            at = back.apply(at);
        }
        (at, by)
    }

    /// The whole steps that bring a point near the domain.
    fn home(&self, p: Vec3) -> Vec3 {
        let whole = |part: f64, step: Vec3| step * -part.round();
        match self.steps.as_slice() {
            [] => Vec3::ZERO,
            [a] => whole(p.dot(*a) / a.dot(*a), *a),
            [a, b] => {
                let up = a.cross(*b);
                let (u, v) = (b.cross(up), up.cross(*a));
                whole(p.dot(u) / a.dot(u), *a) + whole(p.dot(v) / b.dot(v), *b)
            }
            [a, b, c, ..] => {
                let (u, v, w) = (b.cross(*c), c.cross(*a), a.cross(*b));
                whole(p.dot(u) / a.dot(u), *a)
                    + whole(p.dot(v) / b.dot(v), *b)
                    + whole(p.dot(w) / c.dot(w), *c)
            }
        }
    }

    /// A box that holds the images of all points of a box.
    fn image(&self, region: Box3) -> Box3 {
        if !region.is_finite() {
            return self.domain;
        }
        let (centre, half) = (region.centre(), region.size().norm() * 0.5 * (1.0 + 1e-9) + 1e-12);
        let at = self.fold(centre).0;
        let around = |p: Vec3| Box3::new(p - Vec3::splat(half), p + Vec3::splat(half));
        if self.mirrors {
            return around(at).meet(self.domain);
        }
        if half >= 0.5 * self.step {
            return self.coarse(region);
        }
        let reaches =
            |q: &Vec3| self.faces.iter().all(|(middle, normal, _)| (*q - *middle).dot(*normal) <= half);
        let others = self.near.iter().map(|m| m.apply(at)).filter(reaches).map(around);
        others.fold(around(at), Box3::join).meet(self.domain)
    }

    /// Without looking which images are near.
    fn coarse(&self, region: Box3) -> Box3 {
        let far = region.corners().iter().map(|c| c.norm()).fold(0.0, f64::max);
        match self.steps.len() {
            0 => Box3::cube(far),
            1 => Box3::cube(far + self.domain.size().x + 2.0 * self.step),
            _ => self.domain,
        }
    }
}

/// One coordinate of a fold.
#[derive(Clone, Debug)]
struct Coordinate {
    fold: Arc<Fold>,
    axis: usize,
}

impl Oracle for Coordinate {
    fn sample(&self, p: Vec3) -> (f64, Vec3) {
        let (at, by) = self.fold.fold(p);
        (at[self.axis], by.rows[self.axis])
    }

    fn bounds(&self, region: Box3) -> Interval {
        let image = self.fold.image(region);
        Interval::new(image.min[self.axis], image.max[self.axis])
    }

    fn steepest(&self) -> f64 {
        1.0
    }
}

#[cfg(test)]
mod tests {
    use super::super::CellAsk;
    use super::*;
    use crate::formula::Tape;

    fn group(symbol: &str, a: f64) -> Group {
        Group::named(symbol, &CellAsk { a: Some(a), ..CellAsk::default() }).unwrap()
    }

    /// The length of the longest element is the number of mirrors. Source: Coxeter, Regular Polytopes, section 12.6:
    /// half the Coxeter number for each mirror of the chamber: 6, 9, 15 in space.
    #[test]
    fn the_longest_words_have_a_letter_for_each_mirror() {
        for (symbol, mirrors) in
            [("Td", 6), ("Oh", 9), ("Ih", 15), ("C5v", 5), ("D7h", 8), ("Cs", 1), ("D2h", 3)]
        {
            let walls = walls(&group(symbol, 1.0)).unwrap();
            let normals: Vec<Vec<f64>> = walls.faces.iter().map(|w| w.normal.array().to_vec()).collect();
            assert!(walls.faces.iter().all(is_mirror), "{symbol}");
            assert_eq!(longest(&normals).len(), mirrors, "{symbol}");
        }
    }

    /// A folded field has one value at all images of a point, and is the field itself in the domain.
    #[test]
    fn folded_fields_are_symmetric_and_bounded() {
        let [x, y, z] = xyz();
        let field = Field::new(x.clone() * y * 0.2 + z.clone() * z * 0.1 + x).unwrap();
        for (symbol, a) in [
            ("Ih", 1.0),
            ("Oh", 1.0),
            ("D5h", 1.0),
            ("I", 1.0),
            ("T", 1.0),
            ("S8", 1.0),
            ("D3", 1.0),
            ("p4mm", 8.0),
            ("p6", 8.0),
            ("p4gm", 9.0),
            ("frieze p2mg", 5.0),
            ("Pm-3m", 9.0),
            ("P4132", 9.0),
            ("Ia-3d", 12.0),
            ("P21/c", 7.0),
        ] {
            let g = group(symbol, a);
            let folded = fold_field(&g, &field).unwrap();
            let (tape, plain) = (Tape::new(folded.expr()).unwrap(), Tape::new(field.expr()).unwrap());
            let inside = chosen(&g);
            assert!((tape.value(inside) - plain.value(inside)).abs() < 1e-9, "{symbol}");
            for i in 0..40 {
                let k = f64::from(i);
                let p = Vec3::new((k * 0.71).sin(), (k * 1.31).cos(), (k * 0.37).sin()) * 14.0;
                let motion = &g.motions()[i as usize % g.order()];
                let shift = g.steps().iter().fold(Vec3::ZERO, |s, v| s + *v * (k % 3.0));
                let image = motion.apply(p) + shift;
                assert!((tape.value(p) - tape.value(image)).abs() < 1e-7, "{symbol} {p:?}");
                for size in [0.1, 1.0, 6.0] {
                    let region = Box3::new(p - Vec3::splat(size), p + Vec3::splat(size));
                    let range = tape.bounds(region);
                    let mut some = (0..20_u32).map(|j| {
                        let t = |m: u32| f64::from(j * m % 20) / 19.0;
                        p + Vec3::new(t(1) * 2.0 - 1.0, t(7) * 2.0 - 1.0, t(3) * 2.0 - 1.0) * size
                    });
                    assert!(some.all(|q| range.holds(tape.value(q))), "{symbol} {p:?} {size}");
                }
            }
        }
        assert!(fold_field(&group("C1", 1.0), &field).is_err());
    }
}
