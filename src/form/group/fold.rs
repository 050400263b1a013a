//! Space folded onto the domain of a group: every point looks at its image there, so that a thing is valued once however
//! many images it has.
//!
//! Where all that bounds the domain are mirrors through one point, the image is found by its products with the edges of the
//! domain; in four dimensions by a row of foldings in those mirrors, in the order of the longest element, which sorts every
//! point into the chamber (A. Björner, F. Brenti, Combinatorics of Coxeter Groups (2005), section 3.3, by the product of M.
//! Demazure). Else a point goes across the faces of the domain, nearer to its chosen point at each, until it is inside.

use std::sync::Arc;

use super::domain::{Wall, walls};
use super::{Group, GroupFault, Kind};
use crate::base::{Affine, Box3, Interval, Vec3};
use crate::form::{Field, Solid, xyz};
use crate::formula::{Expr, Oracle, Unary};

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
    if mirrors
        && group.kind() == Kind::Point
        && let Some(map) = chamber_map(group, &walls.faces)
    {
        return Ok(map);
    }
    let fold = Arc::new(Fold::new(group, walls.faces, &walls.corners, mirrors));
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

/// The fold onto a chamber of mirrors through the origin. A vector of the chamber has with a point of it the greatest product
/// of all its images (J. E. Humphreys, Reflection Groups and Coxeter Groups (1990), section 1.12), so that the products with
/// the chamber's edges, and by them the point, are found without going from mirror to mirror: bounds of it stay close.
fn chamber_map(group: &Group, faces: &[Wall]) -> Option<[Expr; 3]> {
    let normals: Vec<Vec3> = faces.iter().map(|w| w.normal).collect();
    let edges = edges(&normals)?;
    let mut at: Vec<Option<Expr>> = vec![None; 3];
    let mut add = |along: Vec3, value: &Expr| {
        for (sum, k) in at.iter_mut().zip(along.array()).filter(|(_, k)| k.abs() > 1e-15) {
            let term = value.clone() * k;
            *sum = Some(sum.take().map_or(term.clone(), |s| s + term));
        }
    };
    for (edge, normal) in edges.iter().zip(&normals) {
        add(-*normal, &greatest(group, *edge));
    }
    // What no mirror moves.
    for axis in still(&normals) {
        add(axis, &product(axis));
    }
    let [x, y, z] = at.try_into().ok()?;
    Some([x, y, z].map(|e| e.unwrap_or(Expr::constant(0.0))))
}

/// The edges of a chamber: each on all walls but one, and a length of 1 behind that, in the space that the normals span.
fn edges(normals: &[Vec3]) -> Option<Vec<Vec3>> {
    match *normals {
        [a] => Some(vec![-a]),
        [a, b] => {
            let up = a.cross(b);
            let (to_a, to_b) = (b.cross(up), up.cross(a));
            Some(vec![to_a * (-1.0 / a.dot(to_a)), to_b * (-1.0 / b.dot(to_b))])
        }
        [a, b, c] => {
            let volume = a.dot(b.cross(c));
            Some([b.cross(c), c.cross(a), a.cross(b)].map(|e| e * (-1.0 / volume)).to_vec())
        }
        _ => None,
    }
}

/// Directions square to all normals, and to one another.
fn still(normals: &[Vec3]) -> Vec<Vec3> {
    let across = |n: Vec3| {
        let axis = if n.x.abs() < 0.6 { Vec3::new(1.0, 0.0, 0.0) } else { Vec3::new(0.0, 1.0, 0.0) };
        axis.cross(n).unit()
    };
    match *normals {
        [a] => across(a).map_or(vec![], |u| vec![u, a.cross(u)]),
        [a, b] => a.cross(b).unit().into_iter().collect(),
        _ => vec![],
    }
}

/// The product with a vector.
fn product(v: Vec3) -> Expr {
    let terms = xyz().into_iter().zip(v.array()).filter(|(_, k)| k.abs() > 1e-15).map(|(e, k)| e * k);
    terms.reduce(|a, b| a + b).unwrap_or(Expr::constant(0.0))
}

/// The greatest product with the images of a vector.
fn greatest(group: &Group, v: Vec3) -> Expr {
    let mut images: Vec<Vec3> = Vec::new();
    let same = |a: Vec3, b: Vec3| (a - b).norm() < 1e-9 * v.norm();
    for image in group.motions().iter().map(|m| m.apply_direction(v)) {
        if !images.iter().any(|i| same(*i, image)) {
            images.push(image);
        }
    }
    let mut terms: Vec<Expr> = Vec::new();
    for (k, i) in images.iter().enumerate() {
        match images.iter().position(|j| same(*j, -*i)) {
            None => terms.push(product(*i)),
            Some(other) if other > k => terms.push(Expr::unary(Unary::Abs, product(*i))),
            Some(_) => (),
        }
    }
    while terms.len() > 1 {
        let pairs = terms.chunks(2);
        terms = pairs
            .map(|pair| match pair {
                [a, b] => a.clone().max(b.clone()),
                one => one[0].clone(),
            })
            .collect();
    }
    terms.pop().unwrap_or(Expr::constant(0.0))
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

/// With more images of a box than this near the domain they are taken to fill it.
const MANY: usize = 64;

/// The fold onto a domain by its faces.
#[derive(Debug)]
struct Fold {
    /// A point of each face, its normal, and the motion back across it.
    faces: Vec<(Vec3, Vec3, Affine)>,
    steps: Vec<Vec3>,
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
    fn new(group: &Group, faces: Vec<Wall>, corners: &[Vec3], mirrors: bool) -> Self {
        let steps = group.steps().to_vec();
        let mut domain = Box3::around(corners.iter().copied());
        let (low, high) = (f64::NEG_INFINITY, f64::INFINITY);
        match steps.len() {
            0 => domain = crate::form::extent::everywhere(),
            1 => (domain.min.y, domain.max.y, domain.min.z, domain.max.z) = (low, high, low, high),
            2 => (domain.min.z, domain.max.z) = (low, high),
            _ => (),
        }
        let back = |w: Wall| w.across.inverse().map(|m| (w.middle, w.normal, m));
        let step = steps.iter().map(|s| s.norm()).fold(f64::INFINITY, f64::min);
        let flat = group.kind() == Kind::Wallpaper || group.kind() == Kind::Frieze;
        let faces: Vec<_> = faces.into_iter().filter_map(back).collect();
        Self { faces, steps, mirrors, flat, domain, step }
    }

    /// The image in the domain, and the motion that took the point there.
    fn fold(&self, p: Vec3) -> (Vec3, Affine) {
        let mut by = Affine::shift(self.home(p));
        let mut at = by.apply(p);
        for _ in 0..1000 {
            let Some(back) = self.over(at) else { break };
            by = by.then(back);
            at = back.apply(at);
        }
        (at, by)
    }

    /// The image alone.
    fn image_of(&self, p: Vec3) -> Vec3 {
        let mut at = p + self.home(p);
        for _ in 0..1000 {
            let Some(back) = self.over(at) else { break };
            at = back.apply(at);
        }
        at
    }

    /// The motion back across the face that a point lies furthest beyond.
    fn over(&self, at: Vec3) -> Option<&Affine> {
        let mut most = 1e-12 * (1.0 + at.norm());
        let mut found = None;
        for (middle, normal, back) in &self.faces {
            let far = (at - *middle).dot(*normal);
            if far > most {
                (most, found) = (far, Some(back));
            }
        }
        found
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
        let at = self.image_of(centre);
        let around = |p: Vec3| Box3::new(p - Vec3::splat(half), p + Vec3::splat(half));
        if self.mirrors {
            return around(at).meet(self.domain);
        }
        if half >= 0.5 * self.step {
            return self.coarse(region);
        }
        // From domain to domain across the faces that the ball about the box reaches.
        let mut found = vec![at];
        let mut next = 0;
        while let Some(q) = found.get(next).copied() {
            next += 1;
            for (middle, normal, back) in &self.faces {
                let image = back.apply(q);
                let reaches = |r: Vec3| self.faces.iter().all(|(m, n, _)| (r - *m).dot(*n) <= half);
                let near = 1e-9 * (1.0 + image.norm());
                if (q - *middle).dot(*normal) >= -half
                    && reaches(image)
                    && !found.iter().any(|p| (*p - image).norm() < near)
                {
                    found.push(image);
                }
            }
            if found.len() > MANY && !self.steps.is_empty() {
                return self.coarse(region);
            }
        }
        found.into_iter().map(around).fold(Box3::EMPTY, Box3::join).meet(self.domain)
    }

    /// The motion that brings all of a box into the domain, where one does.
    fn one(&self, region: Box3) -> Option<Affine> {
        if !region.is_finite() {
            return None;
        }
        let (centre, half) = (region.centre(), region.size() * 0.5);
        let (at, by) = self.fold(centre);
        let inside = |(middle, normal, _): &(Vec3, Vec3, Affine)| {
            let reach: f64 = (0..3)
                .map(|j| {
                    let along: f64 = (0..3).map(|i| normal[i] * by.rows[i][j]).sum();
                    along.abs() * half[j]
                })
                .sum();
            (at - *middle).dot(*normal) + reach <= 0.0
        };
        self.faces.iter().all(inside).then_some(by)
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

    fn values(&self, [x, y, z]: [&[f64]; 3], out: &mut [f64]) {
        for (((x, y), z), to) in x.iter().zip(y).zip(z).zip(out) {
            *to = self.fold.image_of(Vec3::new(*x, *y, *z))[self.axis];
        }
    }

    fn bounds(&self, region: Box3) -> Interval {
        let image = self.fold.image(region);
        Interval::new(image.min[self.axis], image.max[self.axis])
    }

    fn steepest(&self) -> f64 {
        1.0
    }

    fn is_smooth(&self, region: Box3) -> bool {
        self.fold.one(region).is_some()
    }

    fn narrow(&self, region: Box3) -> Option<Arc<dyn Oracle>> {
        let by = self.fold.one(region)?;
        Some(Arc::new(Straight { slope: by.rows[self.axis], start: by.shift[self.axis] }))
    }
}

/// One coordinate where one motion folds.
#[derive(Clone, Copy, Debug)]
struct Straight {
    slope: Vec3,
    start: f64,
}

impl Oracle for Straight {
    fn sample(&self, p: Vec3) -> (f64, Vec3) {
        (self.slope.dot(p) + self.start, self.slope)
    }

    fn values(&self, [x, y, z]: [&[f64]; 3], out: &mut [f64]) {
        for (((x, y), z), to) in x.iter().zip(y).zip(z).zip(out) {
            *to = self.slope.dot(Vec3::new(*x, *y, *z)) + self.start;
        }
    }

    fn bounds(&self, region: Box3) -> Interval {
        if !region.is_finite() {
            return Interval::ALL;
        }
        let (middle, half) = (self.sample(region.centre()).0, region.size() * 0.5);
        let reach: f64 = (0..3).map(|k| self.slope[k].abs() * half[k]).sum();
        let slack = 1e-12 * (1.0 + middle.abs() + reach);
        Interval::new(middle - reach - slack, middle + reach + slack)
    }

    fn steepest(&self) -> f64 {
        1.0
    }

    fn is_smooth(&self, _region: Box3) -> bool {
        true
    }

    fn slope(&self, part: u8) -> Option<Arc<dyn Oracle>> {
        let start = self.slope[usize::from(part).checked_sub(1)?];
        Some(Arc::new(Self { slope: Vec3::ZERO, start }))
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

    /// A sum of coordinates that grows everywhere in the domain bounds what it folds to, to be seen without a ball: under the
    /// full group of the octahedron |x| + |y| + |z| < 20 is an octahedron, of the volume 4/3 · 20³.
    #[test]
    fn folded_fields_have_an_end() {
        let [x, y, z] = xyz();
        let field = Field::new(x + y + z - 20.0).unwrap();
        for (symbol, reach) in [("*432", 20.0), ("Oh", 20.0), ("*532", 20.0)] {
            let folded = fold_field(&group(symbol, 1.0), &field).unwrap();
            let solid = crate::form::inside(&folded);
            let found = crate::form::bounds(&solid).unwrap();
            let far = found.max.largest().max(-found.min.array().into_iter().fold(0.0, f64::min));
            assert!(far > 10.0 && far < reach * 1.001, "{symbol} {far}");
        }
    }

    /// A folded field has one value at all images of a point, and is the field itself in the domain.
    #[test]
    fn folded_fields_are_symmetric_and_bounded() {
        let [x, y, z] = xyz();
        let field = Field::new(x.clone() * y * 0.2 + z.clone() * z * 0.1 + x).unwrap();
        let mut narrowed = 0;
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
            let inside = super::super::domain::chosen(&g);
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
                    let (range, narrow) = tape.bounds_and_narrow(region);
                    let some = (0..20_u32).map(|j| {
                        let t = |m: u32| f64::from(j * m % 20) / 19.0;
                        p + Vec3::new(t(1) * 2.0 - 1.0, t(7) * 2.0 - 1.0, t(3) * 2.0 - 1.0) * size
                    });
                    let mut looked = some.map(|q| (q, tape.value(q)));
                    let same = |q, v: f64| narrow.as_ref().is_none_or(|n| (n.value(q) - v).abs() < 1e-9);
                    assert!(looked.all(|(q, v)| range.holds(v) && same(q, v)), "{symbol} {p:?} {size}");
                    narrowed += usize::from(narrow.is_some());
                }
            }
        }
        assert!(narrowed > 300, "{narrowed}");
        assert!(fold_field(&group("C1", 1.0), &field).is_err());
    }
}
