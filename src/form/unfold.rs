//! A polyhedron laid flat: its faces hinged along fold lines, tabs at the edges that are glued, each pair of such edges
//! with a number of its own.
//!
//! Faces are laid down one after another beside one that lies already, where nothing is covered; a face that finds no
//! place starts another piece. Whether every convex polyhedron has a net in one piece is not known (G. C. Shephard 1975).

use std::collections::{BTreeMap, VecDeque};

use super::FormFault;
use super::fault::{not_negative, unfit};
use super::flat::{self, Fill, Flat, Meaning, Path, Rule, combine, letters};
use super::net::Net;
use crate::base::{Affine, Vec2, Vec3};

/// A face is flat when its corners lie in a plane within this part of its size.
const LEVEL: f64 = 1e-6;
/// Between pieces, mm.
const APART: f64 = 10.0;
/// Angles between an edge and the sides of its tab, degrees: the steepest that finds room.
const SLOPES: [f64; 4] = [45.0, 30.0, 16.0, 8.0];
/// Room between the outer half of a tab and whatever lies beside it, mm.
const CLEAR: f64 = 0.5;
/// A tab lower than this, mm, holds nothing.
const LOWEST: f64 = 0.8;

/// What is wished of a net.
#[derive(Clone, Debug)]
pub struct NetAsk {
    /// Height of tabs, mm; 0 for none.
    pub tab: f64,
    /// What each face bears: scaled to its inner circle less the border.
    pub motif: Option<Flat>,
    /// Between the motif and the face's edges, mm.
    pub border: f64,
    /// A number at each edge that is glued.
    pub numbers: bool,
}

/// A face lying flat.
struct Lying {
    face: usize,
    /// Its corners in the plane, counter-clockwise.
    corners: Vec<Vec2>,
}

/// A polyhedron as faces that run counter-clockwise seen from outside.
struct Faces {
    points: Vec<Vec3>,
    faces: Vec<Vec<usize>>,
    /// The two faces at an edge, by its ends, the lesser number first.
    beside: BTreeMap<(usize, usize), Vec<usize>>,
}

/// The net of a polyhedron: outline and openings to cut, folds to score, numbers to draw, its outside up; and how many
/// edges found no room for the tab that was asked for.
///
/// # Errors
/// [`FormFault::Unfit`] for a net without flat faces, where an edge has not two, or where faces cross themselves or one
/// another; [`FormFault::Negative`].
pub fn unfold(net: &Net, ask: &NetAsk) -> Result<(Flat, usize), FormFault> {
    not_negative("tab", ask.tab)?;
    not_negative("border", ask.border)?;
    let faces = Faces::of(net)?;
    let (pieces, folds) = faces.laid();
    let mut outline: Vec<Path> = Vec::new();
    let mut fold_lines: Vec<Path> = Vec::new();
    let mut number_lines: Vec<Path> = Vec::new();
    let (mut count, mut bare) = (0, 0);
    let lying: Vec<&Lying> = pieces.iter().collect();
    outline.extend(lying.iter().map(|l| Path::polygon(&l.corners)));
    let side_of = |face: usize, e: (usize, usize)| {
        let at = lying.iter().find(|l| l.face == face)?;
        let list = &faces.faces[face];
        let k = (0..list.len()).find(|k| key(list[*k], list[(*k + 1) % list.len()]) == e)?;
        Some((at.corners[k], at.corners[(k + 1) % list.len()]))
    };
    let mut taken: Vec<Vec<Vec2>> = lying.iter().map(|l| l.corners.clone()).collect();
    for (e, two) in &faces.beside {
        let sides: Vec<(Vec2, Vec2)> = two.iter().filter_map(|f| side_of(*f, *e)).collect();
        if folds.contains(e) {
            fold_lines.extend(sides.first().map(|(a, b)| Path::polyline(&[*a, *b])));
            continue;
        }
        match tab_at(&sides, ask.tab, &taken).filter(|_| ask.tab > 0.0) {
            Some((tab, (a, b))) => {
                outline.push(Path::polygon(&tab));
                fold_lines.push(Path::polyline(&[a, b]));
                taken.push(tab);
            }
            None => bare += usize::from(ask.tab > 0.0),
        }
        count += 1;
        if ask.numbers {
            for side in &sides {
                number_lines.extend(number(count, *side)?);
            }
        }
    }
    let mut whole = Flat::of_loops(combine(&outline, &[], Rule::Union, Fill::Positive));
    let mut rest = Vec::new();
    if let Some(motif) = &ask.motif {
        let (cuts, others) = motifs(&pieces, motif, ask.border)?;
        whole = flat::difference(&whole, &cuts);
        rest.push(others);
    }
    if !fold_lines.is_empty() {
        rest.push(Flat::of_lines(fold_lines).on_layer("folds", Meaning::Score));
    }
    if !number_lines.is_empty() {
        rest.push(Flat::of_lines(number_lines).on_layer("numbers", Meaning::Draw));
    }
    rest.insert(0, whole);
    Ok((flat::all(&rest), bare))
}

fn key(a: usize, b: usize) -> (usize, usize) {
    (a.min(b), a.max(b))
}

impl Faces {
    fn of(net: &Net) -> Result<Self, FormFault> {
        let bad = |why: String| Err(unfit("net", why));
        if net.faces().len() < 4 || net.cells() > 1 {
            return bad(format!("\"{}\" is not one polyhedron with faces", net.name()));
        }
        let points = net.points().to_vec();
        let middle = points.iter().fold(Vec3::ZERO, |a, p| a + *p) * (1.0 / points.len() as f64);
        let mut faces = net.faces().to_vec();
        for face in &mut faces {
            let (normal, centre, size) = plane(&points, face);
            if face.iter().any(|i| (points[*i] - centre).dot(normal).abs() > LEVEL * size) {
                return bad(format!("\"{}\" has a face that is not flat", net.name()));
            }
            if normal.dot(centre - middle) < 0.0 {
                face.reverse();
            }
        }
        let mut beside: BTreeMap<(usize, usize), Vec<usize>> = BTreeMap::new();
        for (f, face) in faces.iter().enumerate() {
            for k in 0..face.len() {
                beside.entry(key(face[k], face[(k + 1) % face.len()])).or_default().push(f);
            }
        }
        if beside.values().any(|two| two.len() != 2) {
            return bad(format!("\"{}\" has an edge that does not lie between two faces", net.name()));
        }
        let made = Self { points, faces, beside };
        let all: Vec<Face> = (0..made.faces.len()).map(|f| made.standing(f)).collect();
        if all.iter().any(Face::crosses_itself) {
            return bad(format!(
                "\"{}\" has a face that crosses itself: it has no outline to cut",
                net.name()
            ));
        }
        if (0..all.len()).any(|i| (0..i).any(|j| all[i].crosses(&all[j]))) {
            return bad(format!("\"{}\" has faces that cross one another: no paper folds to it", net.name()));
        }
        Ok(made)
    }

    /// A face where it stands in space.
    fn standing(&self, face: usize) -> Face {
        let list = &self.faces[face];
        let (normal, _, size) = plane(&self.points, list);
        let start = self.points[list[0]];
        let x = (self.points[list[1]] - start).unit().unwrap_or(Vec3::new(1.0, 0.0, 0.0));
        let corners = list.iter().map(|i| self.points[*i]).collect();
        Face { corners, own: self.own(face), start, axes: [x, normal.cross(x), normal], near: 1e-6 * size }
    }

    /// A face in its own plane, its first corner at the origin, its first edge along x.
    fn own(&self, face: usize) -> Vec<Vec2> {
        let list = &self.faces[face];
        let (normal, ..) = plane(&self.points, list);
        let start = self.points[list[0]];
        let x = (self.points[list[1]] - start).unit().unwrap_or(Vec3::new(1.0, 0.0, 0.0));
        let y = normal.cross(x);
        list.iter().map(|i| self.points[*i] - start).map(|d| Vec2::new(d.dot(x), d.dot(y))).collect()
    }

    /// Every face lying flat, and the edges that are folds.
    fn laid(&self) -> (Vec<Lying>, std::collections::BTreeSet<(usize, usize)>) {
        let mut lying: Vec<Lying> = Vec::new();
        let mut folds = std::collections::BTreeSet::new();
        let mut left: Vec<bool> = vec![true; self.faces.len()];
        while let Some(root) = self.largest(&left) {
            let mut corners = self.own(root);
            let piece = lying.len();
            left[root] = false;
            // Beside what lies already; the piece's reach is not known yet, so that it is moved when it is done.
            let mut here = vec![Lying { face: root, corners: std::mem::take(&mut corners) }];
            let mut open: VecDeque<usize> = VecDeque::from([0]);
            while let Some(at) = open.pop_front() {
                let list = self.faces[here[at].face].clone();
                for k in 0..list.len() {
                    let (a, b) = (list[k], list[(k + 1) % list.len()]);
                    let two = &self.beside[&key(a, b)];
                    let Some(&other) = two.iter().find(|f| left[**f]) else { continue };
                    let from = (here[at].corners[k], here[at].corners[(k + 1) % list.len()]);
                    let next = self.hinged(other, (a, b), from);
                    if here.iter().all(|l| !overlap(&l.corners, &next)) {
                        here.push(Lying { face: other, corners: next });
                        folds.insert(key(a, b));
                        left[other] = false;
                        open.push_back(here.len() - 1);
                    }
                }
            }
            if piece > 0 {
                let right = most(lying.iter().flat_map(|l| &l.corners), |p| p.x) + APART;
                let low = -most(here.iter().flat_map(|l| &l.corners), |p| -p.x);
                for l in &mut here {
                    l.corners.iter_mut().for_each(|p| p.x += right - low);
                }
            }
            lying.extend(here);
        }
        (lying, folds)
    }

    /// The face left with the most corners, the first of them.
    fn largest(&self, left: &[bool]) -> Option<usize> {
        (0..self.faces.len()).filter(|f| left[*f]).max_by_key(|f| (self.faces[*f].len(), usize::MAX - f))
    }

    /// A face laid beside an edge that runs from `a` to `b` in the face that lies, which is `from` in the plane.
    fn hinged(&self, face: usize, (a, b): (usize, usize), from: (Vec2, Vec2)) -> Vec<Vec2> {
        let own = self.own(face);
        let list = &self.faces[face];
        let at = |v: usize| list.iter().position(|i| *i == v).map_or(Vec2::ZERO, |k| own[k]);
        let (p, q) = (at(a), at(b));
        let turn = (from.1 - from.0).angle() - (q - p).angle();
        own.iter().map(|c| from.0 + (*c - p).turned(turn)).collect()
    }
}

/// A face in space, and in its own plane.
struct Face {
    corners: Vec<Vec3>,
    own: Vec<Vec2>,
    /// The first corner, and the axes of the plane and across it.
    start: Vec3,
    axes: [Vec3; 3],
    /// What is taken for nothing, mm.
    near: f64,
}

impl Face {
    /// Whether two sides cross between their ends.
    fn crosses_itself(&self) -> bool {
        let n = self.own.len();
        let side = |k: usize| (self.own[k], self.own[(k + 1) % n]);
        let parts = |(a, b): (Vec2, Vec2), (c, d): (Vec2, Vec2)| {
            let over = |p: Vec2| (b - a).cross(p - a) / (b - a).norm();
            let (s, t) = (over(c), over(d));
            s.min(t) < -self.near && s.max(t) > self.near
        };
        (0..n).any(|i| (0..i).any(|j| parts(side(i), side(j)) && parts(side(j), side(i))))
    }

    /// Height of a point over the plane.
    fn over(&self, p: Vec3) -> f64 {
        (p - self.start).dot(self.axes[2])
    }

    /// How a point of the plane lies: 1 inside, 0 on the border, -1 outside.
    fn side(&self, p: Vec3) -> i32 {
        let p = Vec2::new((p - self.start).dot(self.axes[0]), (p - self.start).dot(self.axes[1]));
        let n = self.own.len();
        let mut inside = false;
        for k in 0..n {
            let (a, b) = (self.own[k], self.own[(k + 1) % n]);
            let along = b - a;
            let t = ((p - a).dot(along) / along.dot(along)).clamp(0.0, 1.0);
            if (a + along * t - p).norm() <= self.near {
                return 0;
            }
            // A ray to the right.
            if (a.y > p.y) != (b.y > p.y) && p.x < a.x + along.x * (p.y - a.y) / along.y {
                inside = !inside;
            }
        }
        if inside { 1 } else { -1 }
    }

    /// Whether the two share a stretch that is not a border of both.
    fn crosses(&self, other: &Self) -> bool {
        let Some(along) = self.axes[2].cross(other.axes[2]).unit().filter(|_| !self.level(other)) else {
            return false;
        };
        let mut places = self.meets(other);
        places.extend(other.meets(self));
        places.sort_by(|a, b| a.dot(along).total_cmp(&b.dot(along)));
        places.windows(2).any(|w| {
            let middle = (w[0] + w[1]) * 0.5;
            let long = (w[1] - w[0]).dot(along) > 4.0 * self.near.max(other.near);
            let (a, b) = (self.side(middle), other.side(middle));
            long && a.min(b) >= 0 && a.max(b) == 1
        })
    }

    /// Whether the planes are as good as parallel.
    fn level(&self, other: &Self) -> bool {
        self.axes[2].cross(other.axes[2]).norm() < 1e-6
    }

    /// Where the sides meet the other's plane.
    fn meets(&self, other: &Self) -> Vec<Vec3> {
        let n = self.corners.len();
        let mut places = Vec::new();
        for k in 0..n {
            let (a, b) = (self.corners[k], self.corners[(k + 1) % n]);
            let (s, t) = (other.over(a), other.over(b));
            if s.abs() <= other.near {
                places.push(a);
            } else if t.abs() > other.near && (s < 0.0) != (t < 0.0) {
                places.push(a + (b - a) * (s / (s - t)));
            }
        }
        places
    }
}

/// The unit normal of a face (by M. E. Newell's sum), its middle, and its size.
fn plane(points: &[Vec3], face: &[usize]) -> (Vec3, Vec3, f64) {
    let at = |k: usize| points[face[k % face.len()]];
    let centre = (0..face.len()).map(at).fold(Vec3::ZERO, |a, p| a + p) * (1.0 / face.len() as f64);
    let sum =
        (0..face.len()).map(|k| (at(k) - centre).cross(at(k + 1) - centre)).fold(Vec3::ZERO, |a, n| a + n);
    let size = (0..face.len()).map(|k| (at(k) - centre).norm()).fold(0.0, f64::max);
    (sum.unit().unwrap_or(Vec3::new(0.0, 0.0, 1.0)), centre, size)
}

fn most<'a>(points: impl Iterator<Item = &'a Vec2>, of: impl Fn(&Vec2) -> f64) -> f64 {
    points.map(of).fold(f64::NEG_INFINITY, f64::max)
}

/// True when two convex polygons, counter-clockwise, share more than a border: no side parts them.
fn overlap(a: &[Vec2], b: &[Vec2]) -> bool {
    let parted = |a: &[Vec2], b: &[Vec2]| {
        (0..a.len()).any(|k| {
            let (p, q) = (a[k], a[(k + 1) % a.len()]);
            let long = (q - p).norm();
            b.iter().all(|c| (q - p).cross(*c - p) <= 1e-7 * long * long)
        })
    };
    !(parted(a, b) || parted(b, a))
}

/// A tab on the first of two sides on which it covers nothing, lower when it must be; and its side.
fn tab_at(sides: &[(Vec2, Vec2)], height: f64, taken: &[Vec<Vec2>]) -> Option<(Vec<Vec2>, (Vec2, Vec2))> {
    for part in [1.0, 0.7, 0.5, 0.3] {
        for (first, second) in SLOPES.iter().flat_map(|a| SLOPES.iter().map(move |b| (*a, *b))) {
            for &(a, b) in sides {
                let long = (b - a).norm();
                let Some(u) = (b - a).unit() else { continue };
                let slants = 1.0 / libm::tan(first.to_radians()) + 1.0 / libm::tan(second.to_radians());
                let high = (height * part).min(0.8 * long / slants);
                if high < LOWEST {
                    continue;
                }
                let slant = |angle: f64| high / libm::tan(angle.to_radians());
                // The piece lies to the left of its side; the tab is on the right.
                let out = -u.left() * high;
                let tab = vec![a, a + u * slant(first) + out, b - u * slant(second) + out, b];
                // Its outer half keeps clear of all else; its inner half lies beside it.
                let clear = CLEAR.min(0.25 * high);
                let (low, wide) = (-u.left() * (0.5 * high), u * clear);
                let guard = [
                    a + u * slant(first) * 0.5 + low - wide,
                    a + u * slant(first) + out - wide - u.left() * clear,
                    b - u * slant(second) + out + wide - u.left() * clear,
                    b - u * slant(second) * 0.5 + low + wide,
                ];
                if taken.iter().all(|t| !overlap(t, &tab) && !overlap(t, &guard)) {
                    return Some((tab, (a, b)));
                }
            }
        }
    }
    None
}

/// A number inside a face beside a side, upright for whoever looks from the side.
fn number(n: usize, (a, b): (Vec2, Vec2)) -> Result<Vec<Path>, FormFault> {
    let long = (b - a).norm();
    let height = (long / 8.0).min(3.5);
    let flat = letters(&n.to_string(), height)?;
    let wide = flat.bounds().size().x;
    let up = Vec3::new(0.0, 0.0, 1.0);
    let turn = Affine::turn(up, (b - a).angle()).unwrap_or(Affine::IDENTITY);
    let u = (b - a) * (1.0 / long);
    let corner = a.toward(b, 0.5) - u * (0.5 * wide) + u.left() * (0.5 * height);
    let by = turn.then(&Affine::shift(Vec3::new(corner.x, corner.y, 0.0)));
    Ok(flat.lines().map(|p| p.moved(&by)).collect())
}

/// The motif on every face: what of it is cut, and the rest.
fn motifs(pieces: &[Lying], motif: &Flat, border: f64) -> Result<(Flat, Flat), FormFault> {
    let reach = motif.loops().chain(motif.lines()).flat_map(|p| p.points(0.01)).map(|p| p.norm());
    let reach = reach.fold(0.0, f64::max);
    if reach <= 0.0 {
        return Err(FormFault::Empty);
    }
    let (mut cuts, mut others) = (Vec::new(), Vec::new());
    for lying in pieces {
        let corners = &lying.corners;
        let count = corners.len();
        let middle = corners.iter().fold(Vec2::ZERO, |a, p| a + *p) * (1.0 / count as f64);
        let side = |k: usize| {
            let (a, b) = (corners[k], corners[(k + 1) % count]);
            (b - a).cross(middle - a) / (b - a).norm()
        };
        let inner = (0..count).map(side).fold(f64::INFINITY, f64::min) - border;
        if inner <= 0.0 {
            return Err(unfit("border", format!("of {border} mm leaves no room on a face")));
        }
        let k = inner / reach;
        let toward = corners[0].toward(corners[1], 0.5) - middle;
        let up = Vec3::new(0.0, 0.0, 1.0);
        let by = Affine::scale(Vec3::new(k, k, k))
            .then(&Affine::turn(up, toward.angle()).unwrap_or(Affine::IDENTITY))
            .then(&Affine::shift(Vec3::new(middle.x, middle.y, 0.0)));
        for layer in motif.layers() {
            let moved = |paths: &[Path]| paths.iter().map(|p| p.moved(&by)).collect::<Vec<Path>>();
            let (loops, lines) = (moved(&layer.loops), moved(&layer.lines));
            if layer.meaning == Meaning::Cut {
                cuts.push(Flat::of_loops(loops));
                if !lines.is_empty() {
                    others.push(Flat::of_lines(lines).on_layer(&layer.name, Meaning::Cut));
                }
            } else {
                others.push(
                    flat::union(&Flat::of_loops(loops), &Flat::of_lines(lines))
                        .on_layer(&layer.name, layer.meaning),
                );
            }
        }
    }
    Ok((flat::all(&cuts), flat::all(&others)))
}

#[cfg(test)]
mod tests {
    use super::super::net::polytope;
    use super::*;

    fn plain(tab: f64) -> NetAsk {
        NetAsk { tab, motif: None, border: 0.0, numbers: true }
    }

    /// Areas from the tables: F regular faces of edge a; F - 1 folds when the net is one piece, E - F + 1 pairs to glue.
    #[test]
    fn nets_have_the_area_of_the_skin_and_one_fold_less_than_faces() {
        for (diagram, rings, area, faces, edges) in [
            ("[4,3]", "100", 6.0, 6, 12),
            ("[3,3]", "100", 3.0_f64.sqrt(), 4, 6),
            ("[5,3]", "100", 20.645_728_8, 12, 30),
            ("[5,3]", "001", 8.660_254_0, 20, 30),
            ("[5,3]", "011", 72.607_253, 32, 90),
            ("[4,3]", "111", 61.755_172, 26, 72),
            ("[5,3]", "111", 174.292_03, 62, 180),
        ] {
            let net = polytope(diagram, rings, 10.0).unwrap();
            assert_eq!(net.faces().len(), faces);
            let flat = unfold(&net, &plain(0.0)).unwrap().0;
            assert!((flat.area() / 100.0 - area).abs() < 1e-4, "{diagram} {rings}: {}", flat.area() / 100.0);
            let folds = flat.layers().iter().find(|l| &*l.name == "folds").unwrap();
            assert_eq!((flat.regions(), folds.lines.len()), (1, faces - 1), "{diagram} {rings}");
            let glued = (flat.loops().map(Path::length).sum::<f64>() / 20.0).round();
            assert_eq!(glued as usize, edges - faces + 1, "{diagram} {rings}");
        }
    }

    #[test]
    fn stars_are_refused_and_dents_are_not() {
        let told = |diagram: &str, rings: &str| {
            unfold(&polytope(diagram, rings, 30.0).unwrap(), &plain(0.0)).unwrap_err().to_string()
        };
        assert!(told("[5/2,5]", "100").contains("crosses itself"), "{}", told("[5/2,5]", "100"));
        assert!(told("[5,5/2]", "100").contains("cross one another"), "{}", told("[5,5/2]", "100"));
        assert!(told("[3,5/2]", "100").contains("cross one another"), "{}", told("[3,5/2]", "100"));
        let cube = polytope("[4,3]", "100", 20.0).unwrap();
        for height in [-3.0, 8.0] {
            let spiked = super::super::net::spiked(&cube, height).unwrap();
            assert!(unfold(&spiked, &plain(0.0)).is_ok(), "{height}");
        }
    }

    #[test]
    fn tabs_add_area_and_cover_nothing() {
        let net = polytope("[5,3]", "011", 12.0).unwrap();
        let ((with, bare), (without, _)) =
            (unfold(&net, &plain(3.0)).unwrap(), unfold(&net, &plain(0.0)).unwrap());
        let folds = |f: &Flat| f.layers().iter().find(|l| &*l.name == "folds").unwrap().lines.len();
        let tabs = folds(&with) - folds(&without);
        // 59 pairs of edges; a tab of 12 mm and height 3 with sides at 45° has 27 mm².
        let added = with.area() - without.area();
        assert!(tabs + bare == 59 && bare <= 3, "{tabs} {bare}");
        assert!(added <= 27.0 * tabs as f64 + 1e-6 && added > 10.0 * tabs as f64, "{tabs} {added}");
        let flat = unfold(&net, &NetAsk { motif: Some(flat::disc(1.0).unwrap()), border: 1.0, ..plain(3.0) })
            .unwrap()
            .0;
        assert_eq!(flat.loops().filter(|p| p.area() < 0.0).count(), 32);
        assert!(
            unfold(&net, &NetAsk { motif: Some(flat::disc(1.0).unwrap()), border: 20.0, ..plain(3.0) })
                .is_err()
        );
    }
}
