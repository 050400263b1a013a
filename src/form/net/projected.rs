//! Four-dimensional polytopes seen in space: laid on the sphere about their corners and projected from its pole, or in
//! perspective. Lengths are mm.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::wythoff::{Point, Raw, dot, seed};
use super::{Edge, Inner, Net, NetFault};
use crate::base::Vec3;

/// Pieces of an edge that is bent by a projection, for each radian of the sphere it lies on.
const PIECES: f64 = 24.0;

/// How a four-dimensional polytope is seen in space.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum View {
    /// From the pole of the sphere about its corners: edges become arcs.
    Stereographic,
    /// From a point a quarter of the radius above the sphere: edges stay straight.
    Perspective,
}

/// From how far a perspective is seen, in radii of the sphere about the corners.
pub(super) const EYE: f64 = 1.25;

/// What lies further out in a stereographic projection, in radii of the sphere, lies at the pole.
const FURTHEST: f64 = 1e5;

/// What is seen of a four-dimensional polytope.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Seen {
    /// From where.
    pub view: View,
    /// Edges are kept up to this part of the height towards the eye, 0 to 1.
    pub part: f64,
}

/// The corner of the chamber, or its opposite, that corners and edges of the polytope keep furthest from.
fn pole(on: &[Point], edges: &[Vec<usize>], normals: &[Point]) -> Point {
    let alone = |k: usize, sign: f64| {
        let rings: Vec<bool> = (0..4).map(|i| i == k).collect();
        let corner = seed(normals, &rings);
        let norm = dot(&corner, &corner).sqrt() * sign;
        corner.iter().map(|x| x / norm).collect::<Point>()
    };
    let nearest = |pole: &Point| {
        let corners = on.iter().map(|p| dot(p, pole));
        let middles = edges.iter().map(|e| {
            let middle: Point = on[e[0]].iter().zip(&on[e[1]]).map(|(x, y)| x + y).collect();
            dot(&middle, pole) / dot(&middle, &middle).sqrt()
        });
        corners.chain(middles).fold(-1.0, f64::max)
    };
    // The middle of a cell comes first: of equals, the one that is named first is taken.
    let all = [3, 2, 1, 0].into_iter().flat_map(|k| [1.0, -1.0].map(|sign| alone(k, sign)));
    let mut best: Option<(f64, Point)> = None;
    for one in all {
        let near = nearest(&one);
        if best.as_ref().is_none_or(|(b, _)| near < b - 1e-9) {
            best = Some((near, one));
        }
    }
    best.map_or_else(|| vec![0.0, 0.0, 0.0, 1.0], |(_, pole)| pole)
}

/// A point mirrored so that the pole comes to (0, 0, 0, 1).
fn raised(p: &Point, pole: &Point) -> Point {
    let mut normal = pole.clone();
    normal[3] -= 1.0;
    let square = dot(&normal, &normal);
    if square < 1e-24 {
        return p.clone();
    }
    let k = 2.0 * dot(p, &normal) / square;
    p.iter().zip(&normal).map(|(x, n)| x - k * n).collect()
}

/// The projection from the pole.
fn from_pole(p: &[f64]) -> Vec3 {
    Vec3::new(p[0], p[1], p[2]) * (1.0 / (1.0 - p[3]))
}

/// Places between two points on the arc of the sphere that joins them.
fn arc(a: &[f64], b: &[f64]) -> Vec<Point> {
    let angle = libm::acos(dot(a, b).clamp(-1.0, 1.0));
    let count = (angle * PIECES).ceil().max(2.0);
    (1..count as usize)
        .map(|k| {
            let t = angle * k as f64 / count;
            let (u, v) = (libm::sin(angle - t) / libm::sin(angle), libm::sin(t) / libm::sin(angle));
            a.iter().zip(b).map(|(x, y)| x * u + y * v).collect()
        })
        .collect()
}

/// A polytope on the sphere about its corners, and how it comes to space.
pub(super) struct Lens {
    pub(super) view: View,
    /// The corners on the unit sphere, the pole at (0, 0, 0, 1).
    pub(super) on: Vec<Point>,
    /// The edges that are kept, and the places between their ends with their thickness.
    edges: Vec<[usize; 2]>,
    arcs: Vec<Vec<(Vec3, f64)>>,
    part: f64,
    /// What a projection of the unit sphere is multiplied with, mm.
    pub(super) scale: f64,
}

impl Lens {
    pub(super) fn new(
        name: &str,
        raw: &Raw,
        normals: &[Point],
        size: f64,
        seen: Seen,
    ) -> Result<Self, NetFault> {
        let unit = |p: &Point| {
            let norm = dot(p, p).sqrt();
            p.iter().map(|x| x / norm).collect::<Point>()
        };
        let on: Vec<Point> = raw.points.iter().map(unit).collect();
        let pole = pole(&on, &raw.edges, normals);
        let on: Vec<Point> = on.iter().map(|p| raised(p, &pole)).collect();
        let mut lens =
            Self { view: seen.view, on, edges: Vec::new(), arcs: Vec::new(), part: seen.part, scale: 1.0 };
        lens.edges = raw.edges.iter().map(|e| [e[0], e[1]]).filter(|e| lens.keeps(e)).collect();
        if lens.edges.is_empty() {
            return Err(NetFault::Unfit("no edge is left: keep a larger part".into()));
        }
        lens.arcs = lens.edges.iter().map(|e| lens.bent(*e)).collect();
        let ends = lens.edges.iter().flatten().map(|i| lens.place(&lens.on[*i]));
        let far =
            ends.chain(lens.arcs.iter().flatten().copied()).map(|p| p.0.norm()).fold(0.0, far_or_nothing);
        if !(far < FURTHEST) {
            return Err(NetFault::Unfit(format!(
                "an edge of {name} passes the pole that it is seen from: choose the view \"perspective\""
            )));
        }
        lens.scale = size / far;
        Ok(lens)
    }

    /// True when some corners lie in the part that is kept.
    pub(super) fn keeps(&self, corners: &[usize]) -> bool {
        corners.iter().all(|i| 0.5 * (1.0 + self.on[*i][3]) <= self.part + 1e-9)
    }

    /// A point of the unit sphere in space, before it is scaled, and how much a small ball is stretched there: by
    /// (1 + |p|²)/2 from the pole, by 1/(eye - w) from the eye.
    pub(super) fn place(&self, p: &[f64]) -> (Vec3, f64) {
        match self.view {
            View::Stereographic => {
                let at = from_pole(p);
                (at, 1.0 + at.dot(at))
            }
            View::Perspective => {
                let k = 1.0 / (EYE - p[3]);
                (Vec3::new(p[0], p[1], p[2]) * k, k)
            }
        }
    }

    fn bent(&self, ends: [usize; 2]) -> Vec<(Vec3, f64)> {
        match self.view {
            View::Stereographic => {
                arc(&self.on[ends[0]], &self.on[ends[1]]).iter().map(|p| self.place(p)).collect()
            }
            View::Perspective => Vec::new(),
        }
    }
}

/// The greatest of distances; without end when one is no number.
fn far_or_nothing(far: f64, one: f64) -> f64 {
    if one.is_nan() { f64::INFINITY } else { far.max(one) }
}

/// A four-dimensional polytope, blown up to a sphere and projected.
pub(super) fn projected(
    name: &str,
    raw: &Raw,
    normals: &[Point],
    size: f64,
    seen: Seen,
) -> Result<Net, NetFault> {
    let lens = Lens::new(name, raw, normals, size, seen)?;
    // Points are numbered anew, those of dropped edges left out.
    let mut number: BTreeMap<usize, usize> = BTreeMap::new();
    let mut points = Vec::new();
    for i in lens.edges.iter().flatten() {
        number.entry(*i).or_insert_with(|| {
            points.push(lens.place(&lens.on[*i]));
            points.len() - 1
        });
    }
    let widest = points.iter().chain(lens.arcs.iter().flatten()).map(|p| p.1).fold(0.0, f64::max);
    let placed = |(p, k): &(Vec3, f64)| (*p * lens.scale, k / widest);
    let edges = lens
        .edges
        .iter()
        .zip(&lens.arcs)
        .map(|(e, arc)| Edge { ends: e.map(|i| number[&i]), between: arc.iter().map(placed).collect() });
    let faces = raw.faces.iter().filter_map(|f| f.iter().map(|i| number.get(i).copied()).collect());
    Ok(Net(Arc::new(Inner {
        name: name.to_owned(),
        edges: edges.collect(),
        points: points.iter().map(|p| placed(p).0).collect(),
        sizes: points.iter().map(|p| placed(p).1).collect(),
        faces: faces.collect(),
        cells: raw.cells.len(),
        angles: raw.angles(),
    })))
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::super::polytope_seen;
    use super::*;

    #[test]
    fn views_and_parts_of_four_dimensions() {
        let seen = |view, part| polytope_seen("[4,3,3]", "1000", 10.0, Seen { view, part });
        let whole = seen(View::Perspective, 1.0).unwrap();
        // A cube in a cube: the outer one reaches the size, edges stay straight.
        assert_eq!((whole.points().len(), whole.edges().len()), (16, 32));
        assert!(whole.edges().iter().all(|e| e.between.is_empty()));
        let radii: BTreeSet<i64> = whole.points().iter().map(|p| (p.norm() * 1e6).round() as i64).collect();
        assert_eq!((radii.len(), radii.last()), (2, Some(&10_000_000)));
        let half = seen(View::Stereographic, 0.5).unwrap();
        assert_eq!((half.points().len(), half.edges().len()), (8, 12));
        assert!(seen(View::Stereographic, 0.1).is_err());
    }
}
