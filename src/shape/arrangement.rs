//! A mesh that passes through itself, cut along the lines in which it does.
//!
//! Every place where an edge passes through a triangle is one point, whichever triangles ask, and so is every place where
//! three triangles meet. Which of them there are is decided exactly, on corners moved by a ten-millionth so that no two
//! things just touch. Within each triangle the lines are held in a constrained Delaunay triangulation.

use std::cmp::Ordering;
use std::collections::hash_map::Entry;
use std::collections::{BTreeMap, HashMap, HashSet};

use rayon::prelude::*;
use robust::{orient2d, orient3d};
use spade::handles::{FixedFaceHandle, FixedVertexHandle, InnerTag};
use spade::{ConstrainedDelaunayTriangulation, Point2, Triangulation};

use super::laws::{c2, c3, flat_axis, side};
use super::{Mesh, Tree};
use crate::base::{Box3, Vec3};

/// How far corners are moved, as a part of the size of the mesh.
const NUDGE: f64 = 1e-7;

/// An edge by its corners, the lesser first.
pub type Edge = [u32; 2];

/// As many lines for each triangle that has some are too many.
const LINES: usize = 5;

/// The sorted corners of an edge.
pub fn edge(a: u32, b: u32) -> Edge {
    [a.min(b), a.max(b)]
}

/// A mesh whose triangles meet in their edges only.
#[derive(Debug)]
pub struct Arrangement {
    /// Its triangles; along a seam four of them or more share an edge.
    pub mesh: Mesh,
    /// The triangle that each is a part of.
    pub of: Vec<u32>,
    /// The edges in which triangles pass through one another.
    pub seams: HashSet<Edge>,
}

/// Where the line in which two triangles cross ends.
#[derive(Clone, Copy, Debug)]
enum End {
    /// At a corner that both have.
    Corner(u32),
    /// Where an edge passes through a triangle.
    Passes(Edge, u32),
}

/// The line in which two triangles cross: its ends, and the places on it where a third crosses both, by how far they are along.
#[derive(Debug)]
struct Line {
    ends: [u32; 2],
    between: Vec<(f64, u32)>,
}

impl Line {
    /// All its points in turn.
    fn points(&self) -> Vec<u32> {
        let mut between = self.between.clone();
        between.sort_by(|a, b| a.0.total_cmp(&b.0));
        let [a, b] = self.ends;
        std::iter::once(a).chain(between.into_iter().map(|(_, i)| i)).chain([b]).collect()
    }
}

/// The mesh with every corner moved a little, always in the same way.
pub fn nudged(mesh: &Mesh) -> Mesh {
    let far = NUDGE * mesh.bounds().size().norm();
    let mut state = 0u64;
    // SplitMix64 (G. Steele, D. Lea, C. Flood, OOPSLA 2014), as a number between -1 and 1.
    let mut next = || {
        state = state.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let x = (state ^ (state >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let x = (x ^ (x >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((x ^ (x >> 31)) >> 11) as f64 / (1u64 << 52) as f64 - 1.0
    };
    let points = mesh.points.iter().map(|p| *p + Vec3::new(next(), next(), next()) * far).collect();
    Mesh { points, triangles: mesh.triangles.clone(), sides: mesh.sides.clone() }
}

impl Arrangement {
    /// The mesh cut along all lines in which its triangles cross, its corners standing as [`nudged`] moves them; `None` where
    /// rounding leaves open how they lie.
    pub fn of(mesh: &Mesh) -> Option<Self> {
        let mut cut = Cut::of(mesh)?;
        cut.meet();
        cut.made()
    }
}

/// A mesh with the lines in which its triangles cross.
struct Cut<'a> {
    mesh: &'a Mesh,
    /// The corners of the mesh, then the points on the lines.
    points: Vec<Vec3>,
    /// By the two triangles, the lesser first.
    lines: HashMap<[u32; 2], Line>,
    /// For each triangle that is crossed the others that cross it, sorted.
    through: BTreeMap<u32, Vec<u32>>,
    /// The points on each edge that passes through triangles.
    on: HashMap<Edge, Vec<u32>>,
}

impl<'a> Cut<'a> {
    fn of(mesh: &'a Mesh) -> Option<Self> {
        let crossed = crossed(mesh)?;
        if lies_on_itself(&crossed) {
            return None;
        }
        let mut passes: Vec<(Edge, u32)> = crossed
            .iter()
            .flat_map(|(_, ends)| ends)
            .filter_map(|end| if let End::Passes(edge, t) = end { Some((*edge, *t)) } else { None })
            .collect();
        passes.sort_unstable();
        passes.dedup();
        let first = mesh.points.len() as u32;
        let number = |end: End| match end {
            End::Corner(i) => Some(i),
            End::Passes(edge, t) => passes.binary_search(&(edge, t)).ok().map(|k| first + k as u32),
        };
        let mut made = Self {
            mesh,
            points: mesh.points.clone(),
            lines: HashMap::with_capacity(crossed.len()),
            through: BTreeMap::new(),
            on: HashMap::new(),
        };
        for (k, (edge, t)) in passes.iter().enumerate() {
            let [p, q] = edge.map(|i| mesh.points[i as usize]);
            let [from, to] = [p, q].map(|p| side(mesh.corners(*t as usize), p));
            made.points.push(p + (q - p) * (from / (from - to)));
            made.on.entry(*edge).or_default().push(first + k as u32);
        }
        for (pair, [a, b]) in crossed {
            made.lines.insert(pair, Line { ends: [number(a)?, number(b)?], between: vec![] });
            made.through.entry(pair[0]).or_default().push(pair[1]);
            made.through.entry(pair[1]).or_default().push(pair[0]);
        }
        made.through.values_mut().for_each(|others| others.sort_unstable());
        Some(made)
    }

    /// Finds the points in which three triangles meet.
    fn meet(&mut self) {
        for (t, others) in &self.through {
            let axis = flat_axis(self.mesh.corners(*t as usize));
            let later = &others[others.partition_point(|u| u < t)..];
            for (k, u) in later.iter().enumerate() {
                for v in &later[k + 1..] {
                    if !self.lines.contains_key(&[*u, *v]) {
                        continue;
                    }
                    let [one, other] = [u, v].map(|u| self.lines[&[*t, *u]].ends);
                    let Some(at) =
                        crossing_of([one, other].map(|e| e.map(|i| self.points[i as usize])), axis)
                    else {
                        continue;
                    };
                    let number = self.points.len() as u32;
                    self.points.push(at);
                    for pair in [[*t, *u], [*t, *v], [*u, *v]] {
                        let Some(line) = self.lines.get_mut(&pair) else { continue };
                        let [a, b] = line.ends.map(|i| self.points[i as usize]);
                        line.between.push(((at - a).dot(b - a), number));
                    }
                }
            }
        }
    }

    /// The pieces of all triangles.
    fn made(self) -> Option<Arrangement> {
        let lines: HashMap<[u32; 2], Vec<u32>> =
            self.lines.iter().map(|(pair, line)| (*pair, line.points())).collect();
        let numbers: Vec<u32> = self.through.keys().copied().collect();
        let pieces: Vec<Vec<[u32; 3]>> =
            numbers.par_iter().map(|t| self.pieces(*t, &lines)).collect::<Option<_>>()?;
        let mut mesh = Mesh { points: self.points, ..Mesh::default() };
        let mut of = Vec::with_capacity(self.mesh.triangles.len());
        for t in 0..self.mesh.triangles.len() as u32 {
            match numbers.binary_search(&t) {
                Err(_) => mesh.triangles.push(self.mesh.triangles[t as usize]),
                Ok(k) => mesh.triangles.extend(&pieces[k]),
            }
            of.resize(mesh.triangles.len(), t);
        }
        if !self.mesh.sides.is_empty() {
            mesh.sides = of.iter().map(|t| self.mesh.sides[*t as usize]).collect();
        }
        let seams = lines.values().flat_map(|l| l.windows(2).map(|w| edge(w[0], w[1]))).collect();
        Some(Arrangement { mesh, of, seams })
    }

    /// A triangle cut along its lines.
    /// Source: L. P. Chew, Algorithmica 4 (1989) 97.
    fn pieces(&self, t: u32, lines: &HashMap<[u32; 2], Vec<u32>>) -> Option<Vec<[u32; 3]>> {
        let corners = self.mesh.triangles[t as usize];
        let mut chains: Vec<Vec<u32>> =
            (0..3).map(|k| self.along(corners[k], corners[(k + 1) % 3])).collect();
        chains.extend(self.through[&t].iter().map(|u| lines[&[t.min(*u), t.max(*u)]].clone()));
        let [p, q, r] = self.mesh.corners(t as usize);
        let x = (q - p).unit()?;
        let y = (q - p).cross(r - p).cross(x).unit()?;
        let mut numbers: Vec<u32> = Vec::new();
        let mut place: HashMap<u32, FixedVertexHandle> = HashMap::new();
        let mut net = Net::new();
        for i in chains.iter().flatten() {
            if let Entry::Vacant(free) = place.entry(*i) {
                let d = self.points[*i as usize] - p;
                let vertex = net.insert(Point2::new(d.dot(x), d.dot(y))).ok()?;
                if vertex.index() != numbers.len() {
                    return None;
                }
                free.insert(vertex);
                numbers.push(*i);
            }
        }
        for w in chains.iter().flat_map(|c| c.windows(2)) {
            let [a, b] = [w[0], w[1]].map(|i| place[&i]);
            if a != b && net.get_edge_from_neighbors(a, b).is_none_or(|e| !e.is_constraint_edge()) {
                if !net.can_add_constraint(a, b) {
                    return None;
                }
                net.add_constraint(a, b);
            }
        }
        let outside = outside(&net);
        let inside = net.inner_faces().filter(|face| !outside.contains(&face.fix()));
        Some(inside.map(|face| face.vertices().map(|v| numbers[v.fix().index()])).collect())
    }

    /// The points along an edge of a triangle in turn, with its ends.
    fn along(&self, a: u32, b: u32) -> Vec<u32> {
        let from = self.points[a as usize];
        let way = self.points[b as usize] - from;
        let mut between = self.on.get(&edge(a, b)).cloned().unwrap_or_default();
        let gone = |i: &u32| (self.points[*i as usize] - from).dot(way);
        between.sort_by(|i, j| gone(i).total_cmp(&gone(j)));
        std::iter::once(a).chain(between).chain([b]).collect()
    }
}

type Net = ConstrainedDelaunayTriangulation<Point2<f64>>;

/// The faces of a net that one can come to from outside without crossing a line: slivers that rounding leaves along its border.
fn outside(net: &Net) -> HashSet<FixedFaceHandle<InnerTag>> {
    let mut seen = HashSet::new();
    let mut open: Vec<_> = net
        .convex_hull()
        .filter(|e| !e.is_constraint_edge())
        .filter_map(|e| e.rev().face().as_inner().or(e.face().as_inner()))
        .collect();
    while let Some(face) = open.pop() {
        if seen.insert(face.fix()) {
            let ways = face.adjacent_edges().into_iter().filter(|e| !e.is_constraint_edge());
            open.extend(ways.filter_map(|e| e.rev().face().as_inner()));
        }
    }
    seen
}

/// True when there are many more lines than triangles with them: sheets lie on one another, and their triangles cross in all ways.
fn lies_on_itself(crossed: &[([u32; 2], [End; 2])]) -> bool {
    let triangles: HashSet<u32> = crossed.iter().flat_map(|(pair, _)| *pair).collect();
    crossed.len() > LINES * triangles.len()
}

/// The pairs of triangles that cross, and where the lines in which they do end.
fn crossed(mesh: &Mesh) -> Option<Vec<([u32; 2], [End; 2])>> {
    let boxes: Vec<Box3> =
        (0..mesh.triangles.len()).into_par_iter().map(|t| Box3::around(mesh.corners(t))).collect();
    let pairs = Tree::of_boxes(&boxes).pairs(&boxes);
    let look = |pair: [u32; 2]| line_of(mesh, pair).transpose().map(|ends| Some((pair, ends.ok()?)));
    pairs.into_par_iter().filter_map(look).collect()
}

/// The line in which two triangles cross, if they do; an error where that cannot be told.
fn line_of(mesh: &Mesh, [a, b]: [u32; 2]) -> Result<Option<[End; 2]>, Untold> {
    let (s, t) = (mesh.triangles[a as usize], mesh.triangles[b as usize]);
    let shared: Vec<u32> = s.iter().copied().filter(|i| t.contains(i)).collect();
    if shared.len() == 2 {
        return Ok(None);
    }
    let own = |t: [u32; 3]| edges(t).into_iter().filter(|e| !e.iter().any(|i| shared.contains(i)));
    if is_beside(mesh, a, t, &shared) || is_beside(mesh, b, s, &shared) {
        return Ok(None);
    }
    let mut ends: Vec<End> = shared.iter().map(|i| End::Corner(*i)).collect();
    for (edge, t) in own(s).map(|e| (e, b)).chain(own(t).map(|e| (e, a))) {
        if passes(edge.map(|i| mesh.points[i as usize]), mesh.corners(t as usize))? {
            ends.push(End::Passes(edge, t));
        }
    }
    match ends[..] {
        [] => Ok(None),
        [End::Corner(_)] => Ok(None),
        [a, b] => Ok(Some([a, b])),
        _ => Err(Untold),
    }
}

/// How things lie is not told by numbers that are rounded.
#[derive(Debug)]
struct Untold;

/// True when all corners that are not shared lie to one side of the plane of a triangle.
fn is_beside(mesh: &Mesh, plane: u32, t: [u32; 3], shared: &[u32]) -> bool {
    let plane = mesh.corners(plane as usize);
    let own = t.iter().filter(|i| !shared.contains(i));
    let mut sides = own.map(|i| side(plane, mesh.points[*i as usize]));
    let first = sides.next().unwrap_or(0.0);
    first != 0.0 && sides.all(|s| s * first > 0.0)
}

/// True when an edge passes through the inside of a triangle.
fn passes([p, q]: [Vec3; 2], t: [Vec3; 3]) -> Result<bool, Untold> {
    let (from, to) = (side(t, p), side(t, q));
    if from * to > 0.0 {
        return Ok(false);
    }
    let turns = [0, 1, 2].map(|k| orient3d(c3(p), c3(q), c3(t[k]), c3(t[(k + 1) % 3])));
    let told = |x: f64| x.partial_cmp(&0.0);
    if turns.iter().any(|x| *x > 0.0) && turns.iter().any(|x| *x < 0.0) {
        return Ok(false);
    }
    if [from, to].into_iter().chain(turns).any(|x| told(x) == Some(Ordering::Equal)) {
        return Err(Untold);
    }
    Ok(true)
}

/// Where two lines in a plane cross, seen along an axis; `None` where they do not, or only touch.
fn crossing_of([[a, b], [c, d]]: [[Vec3; 2]; 2], axis: usize) -> Option<Vec3> {
    let [p, q, r, s] = [a, b, c, d].map(|p| c2(p, axis));
    let (from, to) = (orient2d(r, s, p), orient2d(r, s, q));
    let apart = from * to < 0.0 && orient2d(p, q, r) * orient2d(p, q, s) < 0.0;
    apart.then(|| a + (b - a) * (from / (from - to)))
}

fn edges([a, b, c]: [u32; 3]) -> [Edge; 3] {
    [edge(a, b), edge(b, c), edge(c, a)]
}
