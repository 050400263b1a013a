//! The solid inside the faces of a polyhedron: its exact mesh, and its field.

use std::collections::HashMap;

use super::families::plane;
use super::{Net, NetFault};
use crate::base::Vec3;
use crate::form::faceted::faceted;
use crate::form::{Solid, halfspace, intersection};
use crate::formula::Expr;
use crate::shape::Mesh;

/// Corners further outside a face than this part of the extent make a polyhedron not convex.
const BULGE: f64 = 1e-7;
/// Points nearer to one another than this part of the extent are one.
const SAME: f64 = 1e-7;
/// With more faces than this the field is the distance to the mesh, not the greatest of the distances to the planes.
const PLANES: usize = 64;

/// A plane: its unit normal and its distance from the middle.
type Plane = (Vec3, f64);

/// The solid that the faces bound. Of a star polyhedron, whose faces cross, it is all that one cannot come to from outside
/// without passing through a face.
///
/// # Errors
/// [`NetFault::Unfit`] for a net without faces, or of four dimensions, and for faces that bound no one body.
pub fn hull(net: &Net) -> Result<Solid, NetFault> {
    if net.faces().is_empty() || net.cells() != 1 {
        return Err(NetFault::Unfit(format!(
            "\"{}\" is not bounded by faces: `struts` makes its edges solid",
            net.name()
        )));
    }
    let points = net.points();
    let far = points.iter().map(|p| p.norm()).fold(0.0, f64::max);
    let planes: Option<Vec<Plane>> = net.faces().iter().map(|f| plane(points, f)).collect();
    let planes = planes.ok_or_else(|| NetFault::Unfit("a face has no area".into()))?;
    let fan =
        |f: &Vec<usize>| (2..f.len()).map(|k| [f[0], f[k - 1], f[k]].map(|i| i as u32)).collect::<Vec<_>>();
    let triangles = net.faces().iter().flat_map(fan).collect();
    let mut mesh = Mesh { points: points.to_vec(), triangles, sides: vec![] };
    mesh.compact();
    let outside = |(n, d): &Plane| points.iter().any(|p| p.dot(*n) - d > BULGE * far);
    if planes.iter().any(outside) {
        // Faces that do not cross, as with pyramids on them, bound the solid as they are.
        let mesh = if mesh.laws().is_empty() { mesh } else { star(net, &planes, far)? };
        return Ok(faceted(mesh, None));
    }
    if !mesh.laws_of_joints().is_empty() {
        return Err(NetFault::Unfit("its faces leave gaps between them".into()));
    }
    let value = if planes.len() > PLANES { None } else { Some(deepest(&planes)?) };
    Ok(faceted(mesh, value))
}

/// The greatest of the distances to some planes.
fn deepest(planes: &[Plane]) -> Result<Expr, NetFault> {
    let mut all: Option<Solid> = None;
    for (normal, distance) in planes {
        let side = halfspace(*normal * *distance, *normal)?;
        all = Some(match all {
            None => side,
            Some(before) => intersection(&before, &side)?,
        });
    }
    let all = all.ok_or_else(|| NetFault::Unfit("it has no faces".into()))?;
    all.lower(&mut |_, _| Err(NetFault::Unfit("planes have no walls".into())))
}

/// The skin of a star: each plane of a face is cut along all others, and of the pieces that lie within a face those are
/// kept that the outside reaches, going from one to the next round the edges between them.
fn star(net: &Net, planes: &[Plane], far: f64) -> Result<Mesh, NetFault> {
    let near = SAME * far;
    let is_same = |a: &Plane, b: &Plane| {
        [1.0, -1.0].iter().any(|s| (a.0 - b.0 * *s).norm() <= SAME && (a.1 - b.1 * s).abs() <= near)
    };
    let mut pieces = Pieces { near, ..Pieces::default() };
    for (k, own) in planes.iter().enumerate() {
        // Faces in one plane are taken together.
        if planes[..k].iter().any(|p| is_same(p, own)) {
            continue;
        }
        let faces: Vec<usize> = (k..planes.len()).filter(|j| is_same(&planes[*j], own)).collect();
        let mut parts = vec![square(*own, 2.0 * far)];
        for cut in planes.iter().filter(|p| !is_same(p, own)) {
            parts = parts.into_iter().flat_map(|part| parted(part, *cut, near)).collect();
        }
        let holds = |p: Vec3| faces.iter().any(|j| goes_round(net, *j, own.0, p));
        parts.iter().filter(|part| holds(within(part))).for_each(|part| pieces.add(part, own.0));
    }
    pieces.skin()
}

/// True where a face goes round a point of its plane, once or more.
fn goes_round(net: &Net, face: usize, normal: Vec3, p: Vec3) -> bool {
    let face = &net.faces()[face];
    let corner = |k: usize| net.points()[face[k % face.len()]] - p;
    let turn = |k: usize| {
        let (a, b) = (corner(k), corner(k + 1));
        libm::atan2(a.cross(b).dot(normal), a.dot(b))
    };
    (0..face.len()).map(turn).sum::<f64>().abs() > std::f64::consts::PI
}

/// A square in a plane about the foot of its middle, counter-clockwise seen from outside.
fn square((normal, distance): Plane, half: f64) -> Vec<Vec3> {
    let least = normal.array().map(f64::abs);
    let axis = if least[0] <= least[1].min(least[2]) {
        Vec3::new(1.0, 0.0, 0.0)
    } else if least[1] <= least[2] {
        Vec3::new(0.0, 1.0, 0.0)
    } else {
        Vec3::new(0.0, 0.0, 1.0)
    };
    let u = normal.cross(axis).unit().unwrap_or(axis) * half;
    let v = normal.cross(u);
    let foot = normal * distance;
    vec![foot + u + v, foot - u + v, foot - u - v, foot + u - v]
}

/// A place in a convex polygon that its symmetries do not single out, so that rays through it meet no edges.
fn within(piece: &[Vec3]) -> Vec3 {
    let weight = |k: usize| 1.0 + 0.618 * k as f64;
    let sum = piece.iter().enumerate().fold(Vec3::ZERO, |m, (k, p)| m + *p * weight(k));
    sum * (1.0 / (0..piece.len()).map(weight).sum::<f64>())
}

/// The pieces into which a plane cuts a convex polygon, one or two. Corners within `near` mm of the plane lie on it.
fn parted(piece: Vec<Vec3>, (normal, distance): Plane, near: f64) -> Vec<Vec<Vec3>> {
    let over: Vec<f64> = piece.iter().map(|p| p.dot(normal) - distance).collect();
    if over.iter().all(|d| *d <= near) || over.iter().all(|d| *d >= -near) {
        return vec![piece];
    }
    let (mut out, mut inner) = (Vec::new(), Vec::new());
    for (k, p) in piece.iter().enumerate() {
        let next = (k + 1) % piece.len();
        if over[k] >= -near {
            out.push(*p);
        }
        if over[k] <= near {
            inner.push(*p);
        }
        if over[k].abs() > near && over[next].abs() > near && (over[k] > 0.0) != (over[next] > 0.0) {
            let meet = *p + (piece[next] - *p) * (over[k] / (over[k] - over[next]));
            out.push(meet);
            inner.push(meet);
        }
    }
    vec![out, inner]
}

/// Convex pieces of planes that meet in whole edges; corners are one within some mm.
#[derive(Default)]
struct Pieces {
    near: f64,
    points: Vec<Vec3>,
    /// The points by their place in a lattice of cells that are eight times as wide.
    cells: HashMap<[i64; 3], Vec<u32>>,
    /// Corners, counter-clockwise seen against the normal, and the normal.
    list: Vec<(Vec<u32>, Vec3)>,
}

impl Pieces {
    fn add(&mut self, piece: &[Vec3], normal: Vec3) {
        let mut corners: Vec<u32> = piece.iter().map(|p| self.corner(*p)).collect();
        corners.dedup();
        if corners.len() > 2 {
            self.list.push((corners, normal));
        }
    }

    /// The number of the point at a place.
    fn corner(&mut self, p: Vec3) -> u32 {
        let cell = |c: f64| (c / (8.0 * self.near)).floor() as i64;
        // All cells that something within reach may lie in.
        let reach = 4.0 * self.near;
        let [low, high] = [-reach, reach].map(|r| (p + Vec3::splat(r)).array().map(cell));
        for x in low[0]..=high[0] {
            for y in low[1]..=high[1] {
                for z in low[2]..=high[2] {
                    let known = self.cells.get(&[x, y, z]).into_iter().flatten();
                    for i in known {
                        if (self.points[*i as usize] - p).norm() <= reach {
                            return *i;
                        }
                    }
                }
            }
        }
        let number = self.points.len() as u32;
        let home = p.array().map(cell);
        self.points.push(p);
        self.cells.entry(home).or_default().push(number);
        number
    }

    fn place(&self, piece: usize) -> Vec3 {
        let corners: Vec<Vec3> = self.list[piece].0.iter().map(|i| self.points[*i as usize]).collect();
        within(&corners)
    }

    /// The sides of pieces that the outside reaches.
    fn skin(self) -> Result<Mesh, NetFault> {
        let edges = self.edges();
        let mut reached = vec![[false; 2]; self.list.len()];
        let start = self.outmost();
        if start.is_some_and(|(first, _)| !self.is_one(first, &edges)) {
            return Err(NetFault::Unfit("its faces bound parts that do not meet: no one body".into()));
        }
        let mut open: Vec<(usize, bool)> = start.into_iter().collect();
        while let Some((piece, front)) = open.pop() {
            if std::mem::replace(&mut reached[piece][usize::from(front)], true) {
                continue;
            }
            for edge in sides(&self.list[piece].0) {
                open.extend(self.next(edge, &edges[&edge], piece, front));
            }
        }
        if reached.contains(&[true; 2]) {
            return Err(NetFault::Unfit(
                "a face has the outside on both its sides: it bounds nothing".into(),
            ));
        }
        let mut mesh = Mesh::default();
        for ((corners, _), reached) in self.list.iter().zip(&reached) {
            for k in (2..corners.len()).filter(|_| *reached != [false; 2]) {
                let [a, b, c] = [corners[0], corners[k - 1], corners[k]];
                mesh.triangles.push(if reached[1] { [a, b, c] } else { [a, c, b] });
            }
        }
        mesh.points = self.points;
        mesh.compact();
        if !mesh.laws_of_joints().is_empty() {
            return Err(NetFault::Unfit(
                "parts of it meet along edges or in corners only, which nobody can make: `struts` makes its edges solid"
                    .into(),
            ));
        }
        Ok(mesh)
    }

    /// The pieces at each edge.
    fn edges(&self) -> HashMap<[u32; 2], Vec<usize>> {
        let mut edges: HashMap<[u32; 2], Vec<usize>> = HashMap::new();
        for (k, (corners, _)) in self.list.iter().enumerate() {
            sides(corners).for_each(|edge| edges.entry(edge).or_default().push(k));
        }
        edges
    }

    /// True when one comes from a piece to all others over edges.
    fn is_one(&self, first: usize, edges: &HashMap<[u32; 2], Vec<usize>>) -> bool {
        let mut met = vec![false; self.list.len()];
        let mut open = vec![first];
        while let Some(piece) = open.pop() {
            if !std::mem::replace(&mut met[piece], true) {
                open.extend(sides(&self.list[piece].0).flat_map(|edge| &edges[&edge]));
            }
        }
        met.into_iter().all(|met| met)
    }

    /// A piece that is seen from far away, and whether its front is.
    fn outmost(&self) -> Option<(usize, bool)> {
        let far =
            (0..self.list.len()).max_by(|a, b| self.place(*a).norm().total_cmp(&self.place(*b).norm()))?;
        let way = self.place(far);
        // Pieces beyond it on the same ray hide it.
        let along = |k: usize| {
            let (corners, normal) = &self.list[k];
            let corner = |i: usize| self.points[corners[i % corners.len()] as usize];
            let s = corner(0).dot(*normal) / way.dot(*normal);
            let p = way * s;
            let inside = |i| (corner(i + 1) - corner(i)).cross(p - corner(i)).dot(*normal) > 0.0;
            (s.is_finite() && (0..corners.len()).all(inside)).then_some(s)
        };
        let hit = (0..self.list.len()).filter_map(|k| Some((k, along(k)?)));
        let (piece, _) = hit.max_by(|a, b| a.1.total_cmp(&b.1))?;
        Some((piece, self.list[piece].1.dot(way) > 0.0))
    }

    /// The piece that the space on one side of a piece comes to next, round one of its edges, and on which side.
    fn next(&self, edge: [u32; 2], round: &[usize], piece: usize, front: bool) -> Option<(usize, bool)> {
        let [a, b] = edge.map(|i| self.points[i as usize]);
        let axis = (b - a).unit()?;
        // From the edge into a piece, at right angles to the edge.
        let into = |k: usize| {
            let to = self.place(k) - a;
            to - axis * to.dot(axis)
        };
        let is_turning = |k: usize, front: bool| (axis.cross(into(k)).dot(self.list[k].1) > 0.0) == front;
        let positive = is_turning(piece, front);
        let from = into(piece);
        let angle = |k: usize| {
            let turn = libm::atan2(from.cross(into(k)).dot(axis), from.dot(into(k)));
            let turn = if positive { turn } else { -turn };
            if turn > 0.0 { turn } else { turn + std::f64::consts::TAU }
        };
        let next = round.iter().copied().filter(|k| *k != piece);
        let next = next.min_by(|j, k| angle(*j).total_cmp(&angle(*k))).unwrap_or(piece);
        Some((next, is_turning(next, true) != positive))
    }
}

/// The edges of a ring of corners, each with its lesser number first.
fn sides(corners: &[u32]) -> impl Iterator<Item = [u32; 2]> {
    (0..corners.len()).map(|k| {
        let (a, b) = (corners[k], corners[(k + 1) % corners.len()]);
        [a.min(b), a.max(b)]
    })
}

#[cfg(test)]
mod tests {
    use super::super::polytope;
    use super::*;
    use crate::formula::Tape;

    /// A star is the polyhedron within it and pyramids on its faces, or dents in them: with edge e and the golden ratio g,
    /// the legs of a pentagram are e / g² long and their feet e / g³ apart.
    #[test]
    fn stars_hold_their_volume() {
        let volume = |diagram: &str, rings: &str| {
            let Solid::Faceted(star) = hull(&polytope(diagram, rings, 10.0).unwrap()).unwrap() else {
                panic!()
            };
            assert!(star.mesh().laws().is_empty(), "{diagram}");
            star.mesh().volume()
        };
        let g = (1.0 + 5f64.sqrt()) / 2.0;
        let (e, b) = (10.0, 10.0 / (g * g * g));
        // Volumes and areas by edge: Platonic solids, regular polygons.
        let icosahedron = |a: f64| 5.0 * (3.0 + 5f64.sqrt()) / 12.0 * a * a * a;
        let dodecahedron = |a: f64| (15.0 + 7.0 * 5f64.sqrt()) / 4.0 * a * a * a;
        let pyramid = |a: f64, sides: f64, leg: f64| {
            let radius = a / (2.0 * (std::f64::consts::PI / sides).sin());
            let area = sides * a * a / (4.0 * (std::f64::consts::PI / sides).tan());
            area * (leg * leg - radius * radius).sqrt() / 3.0
        };
        for (made, wanted) in [
            (volume("[5/2,5]", "100"), dodecahedron(b) + 12.0 * pyramid(b, 5.0, g * b)),
            (volume("[5/2,5]", "001"), icosahedron(e) - 20.0 * pyramid(e, 3.0, e / g)),
            (volume("[5/2,3]", "100"), icosahedron(b) + 20.0 * pyramid(b, 3.0, g * b)),
        ] {
            assert!((made / wanted - 1.0).abs() < 1e-9, "{made} {wanted}");
        }
        let met = polytope("[4/3,3]", "101", 10.0).unwrap();
        assert!(hull(&met).unwrap_err().to_string().contains("meet along edges"));
    }

    /// A pyramid on every face adds a third of its height for each mm² of the face (Euclid XII.7). Faces that do not cross are
    /// its skin as they are: with 62 faces cut along all planes it took a minute and had 101,400 triangles.
    #[test]
    fn pyramids_on_faces_are_their_skin() {
        let bare = polytope("[5,3]", "111", 6.0).unwrap();
        let Solid::Faceted(inner) = hull(&bare).unwrap() else { panic!() };
        let Solid::Faceted(made) = hull(&super::super::spiked(&bare, 4.0).unwrap()).unwrap() else {
            panic!()
        };
        let mesh = made.mesh();
        let area: f64 = (0..inner.mesh().triangles.len())
            .map(|t| inner.mesh().corners(t))
            .map(|[a, b, c]| 0.5 * (b - a).cross(c - a).norm())
            .sum();
        assert!((mesh.volume() - inner.mesh().volume() - area * 4.0 / 3.0).abs() < 1e-6 * mesh.volume());
        assert_eq!((mesh.triangles.len(), mesh.laws()), (360, vec![]));
    }

    /// Along the axes of a small stellated dodecahedron it reaches its corners; the great dodecahedron has dents there.
    #[test]
    fn stars_hold_what_their_faces_hide() {
        let inside = |solid: &Solid, p: Vec3| {
            let e = solid.lower::<std::convert::Infallible>(&mut |_, _| unreachable!()).unwrap();
            Tape::new(&e).unwrap().value(p) < 0.0
        };
        for (diagram, rings) in
            [("[5/2,5]", "100"), ("[5/2,5]", "001"), ("[5/2,3]", "100"), ("[5/2,3]", "001")]
        {
            let net = polytope(diagram, rings, 10.0).unwrap();
            let solid = hull(&net).unwrap();
            for p in net.points() {
                assert!(inside(&solid, *p * 0.999) && !inside(&solid, *p * 1.001), "{diagram} {rings}");
            }
            for e in net.edges() {
                let middle = (net.points()[e.ends[0]] + net.points()[e.ends[1]]) * 0.5;
                assert!(inside(&solid, middle * 0.99), "{diagram} {rings}");
            }
            assert!(inside(&solid, Vec3::ZERO));
        }
        let great = hull(&polytope("[5/2,5]", "001", 10.0).unwrap()).unwrap();
        // Over a face of the icosahedron about it there is a dent.
        let net = polytope("[5,3]", "001", 10.0).unwrap();
        let face = net.faces()[0].iter().fold(Vec3::ZERO, |m, i| m + net.points()[*i]) * (1.0 / 3.0);
        let icosahedron = hull(&net).unwrap();
        assert!(inside(&icosahedron, face * 0.99) && !inside(&great, face * 0.99));
    }
}
