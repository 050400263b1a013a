//! The solid of a net: round struts with balls where they meet, thicker or thinner along the way.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::arcs::arcs;
use super::frame::Frame;
use super::framework::Framework;
use super::rounded::{Ends, Rounded};
use super::strut::Strut;
use super::{Net, NetFault};
use crate::base::{Box3, Vec3};
use crate::form::fault::{not_negative, positive};
use crate::form::{Solid, xyz};
use crate::formula::{Expr, Tape};
use crate::shape::Tree;

/// The name of an edge's length, mm, in a law of thickness.
pub const LONG: &str = "long";
/// A net that a projection makes thin is nowhere thinner than this part of its extent, unless something else is said.
const FINEST: f64 = 1.0 / 80.0;
/// Pieces of a straight edge whose thickness is told by a field.
const PIECES: usize = 8;

/// How thick struts are.
#[derive(Clone, Debug)]
pub enum Radius {
    /// Of this radius, mm.
    Same(f64),
    /// The value of a field in x, y, z along the strut, mm.
    Field(Expr),
    /// A function of the edge's length ([`LONG`]), mm.
    ByLength(Expr),
}

/// What the struts of a net are to be.
#[derive(Clone, Debug)]
pub struct Rods {
    /// How thick; times the net's own thickness at each place.
    pub radius: Radius,
    /// Radius of balls about the points, mm; where that is less than the struts', none are seen.
    pub joint: f64,
    /// No strut is thinner than this radius, mm; when not said, one that a projection makes thin is nowhere thinner than an
    /// 80th of the net's extent, or than it is at its thickest.
    pub least: Option<f64>,
    /// Radius of the round in the corners between struts that meet in a point, mm, times the net's own thickness there; 0 leaves
    /// them sharp.
    pub fillet: f64,
}

/// The places of an edge with the net's own thickness there, ends first and last; straight ones in `pieces`.
pub(super) fn places(net: &Net, edge: &super::Edge, pieces: usize) -> Vec<(Vec3, f64)> {
    let [a, b] = edge.ends.map(|i| (net.points()[i], net.sizes()[i]));
    let mut row = vec![a];
    if edge.between.is_empty() {
        let part = |k: usize| k as f64 / pieces as f64;
        row.extend((1..pieces).map(|k| (a.0 + (b.0 - a.0) * part(k), a.1 + (b.1 - a.1) * part(k))));
    } else {
        row.extend(edge.between.iter().copied());
    }
    row.push(b);
    row
}

/// How thick a net is: the value of a law at a place or for a length.
struct Law<'a> {
    radius: &'a Radius,
    tape: Option<Tape>,
}

impl<'a> Law<'a> {
    fn new(radius: &'a Radius) -> Result<Self, NetFault> {
        let unfit = |f: crate::formula::TapeFault| NetFault::Unfit(f.to_string());
        let tape = match radius {
            Radius::Same(r) => {
                positive("radius", *r)?;
                None
            }
            Radius::Field(e) => Some(Tape::new(e).map_err(unfit)?),
            Radius::ByLength(e) => Some(Tape::with_inputs(std::slice::from_ref(e), &[LONG]).map_err(unfit)?),
        };
        Ok(Self { radius, tape })
    }

    fn at(&self, p: Vec3, long: f64) -> Result<f64, NetFault> {
        let mut out = [0.0];
        let (found, place) = match (self.radius, &self.tape) {
            (Radius::Field(_), Some(tape)) => {
                (tape.value(p), format!("at [{:.2}, {:.2}, {:.2}]", p.x, p.y, p.z))
            }
            (Radius::ByLength(_), Some(tape)) => {
                tape.at(&[long], &mut out);
                (out[0], format!("for a strut of {long:.2} mm"))
            }
            (Radius::Same(r), _) => (*r, String::new()),
            _ => (f64::NAN, String::new()),
        };
        if found > 0.0 && found.is_finite() {
            return Ok(found);
        }
        Err(NetFault::Unfit(format!("`radius` must be more than 0 mm, it is {found:.3} {place}")))
    }
}

/// The solid of every point within a radius of the net's edges.
///
/// # Errors
/// [`NetFault`].
pub fn struts(net: &Net, rods: &Rods) -> Result<Solid, NetFault> {
    not_negative("joint", rods.joint)?;
    not_negative("fillet", rods.fillet)?;
    let law = Law::new(&rods.radius)?;
    let pieces = if matches!(rods.radius, Radius::Field(_)) { PIECES } else { 1 };
    let mut rows: Vec<Vec<(Vec3, f64)>> = Vec::with_capacity(net.edges().len());
    for edge in net.edges() {
        let row = places(net, edge, pieces);
        let long = row.windows(2).map(|w| (w[1].0 - w[0].0).norm()).sum();
        let thick = |(p, size): &(Vec3, f64)| Ok((*p, size * law.at(*p, long)?));
        rows.push(row.iter().map(thick).collect::<Result<_, NetFault>>()?);
    }
    if rows.is_empty() {
        return Err(NetFault::NoEdges);
    }
    let least = match rods.least {
        Some(least) => not_negative("least", least)?,
        None => unsaid(net, &rows),
    };
    rows.iter_mut().flatten().for_each(|(_, r)| *r = r.max(least));
    let thinnest = rows.iter().flatten().map(|p| p.1).fold(f64::INFINITY, f64::min) * 2.0;
    let straight = |row: &[(Vec3, f64)], k: usize| -> Vec<Strut> {
        row.windows(2).map(|w| Strut::new([w[0].0, w[1].0], [w[0].1, w[1].1], k)).collect()
    };
    let of_edge = |(k, row): (usize, &Vec<(Vec3, f64)>)| arcs(row, k).unwrap_or_else(|| straight(row, k));
    let edges: Vec<Vec<Strut>> = rows.iter().enumerate().map(of_edge).collect();
    let mut all: Vec<Strut> = edges.iter().flatten().copied().collect();
    let ball = |size: &f64| if rods.joint > 0.0 { (rods.joint * size).max(least) } else { 0.0 };
    let joints: Vec<(Vec3, f64)> = net.points().iter().copied().zip(net.sizes().iter().map(ball)).collect();
    if rods.joint > 0.0 {
        let one = |(k, (p, r)): (usize, &(Vec3, f64))| Strut::new([*p; 2], [*r; 2], net.edges().len() + k);
        all.extend(joints.iter().enumerate().map(one));
    }
    let frame = Frame::new(all, thinnest);
    if rods.fillet > 0.0 {
        let rounded = Rounded::new(frame, ends(net, rods.fillet));
        let within = rounded.region();
        return Ok(Solid::Field { value: Expr::oracle(Arc::new(rounded), xyz()), within });
    }
    let within = frame.region();
    let edges: Vec<Way> = net.edges().iter().map(|e| e.ends).zip(edges).collect();
    let (joints, edges) = parted(joints, edges);
    let value = Expr::oracle(Arc::new(frame), xyz());
    if pass_through(&edges) {
        return Ok(Solid::Field { value, within });
    }
    Ok(Solid::Struts(Arc::new(Framework::new(joints, edges, value, within))))
}

/// The points at the ends of an edge, by number, and its struts.
type Way = ([usize; 2], Vec<Strut>);

/// Lines nearer to one another than this part of the extent meet.
const MEETS: f64 = 1e-7;

/// The same with straight edges parted where they cross, as those of star polyhedra do: they have a common point there.
fn parted(mut joints: Vec<(Vec3, f64)>, edges: Vec<Way>) -> (Vec<(Vec3, f64)>, Vec<Way>) {
    let near = MEETS * Box3::around(joints.iter().map(|j| j.0)).size().largest();
    let straight: Vec<usize> =
        (0..edges.len()).filter(|k| matches!(&edges[*k].1[..], [s] if s.bend.is_none())).collect();
    let boxes: Vec<Box3> = straight.iter().map(|k| Box3::around(edges[*k].1[0].ends).grown(near)).collect();
    let old = joints.len();
    let mut cells: BTreeMap<[i64; 3], usize> = BTreeMap::new();
    let mut number = |p: Vec3, joints: &mut Vec<(Vec3, f64)>| {
        let [x, y, z] = p.array().map(|c| (c / (8.0 * near)).round() as i64);
        let around = (0..27_i64).map(|n| [x + n % 3 - 1, y + n / 3 % 3 - 1, z + n / 9 - 1]);
        let known =
            around.filter_map(|cell| cells.get(&cell)).find(|k| (joints[**k].0 - p).norm() < 4.0 * near);
        known.copied().unwrap_or_else(|| {
            cells.insert([x, y, z], joints.len());
            joints.push((p, 0.0));
            joints.len() - 1
        })
    };
    // For each edge how far along it others cross it, and the points there.
    let mut marks: BTreeMap<usize, Vec<(f64, usize)>> = BTreeMap::new();
    for [i, j] in Tree::of_boxes(&boxes).pairs(&boxes) {
        let [a, b] = [i, j].map(|k| straight[k as usize]);
        if edges[a].0.iter().any(|end| edges[b].0.contains(end)) {
            continue;
        }
        let (first, second) = (edges[a].1[0].ends, edges[b].1[0].ends);
        let Some((s, t)) = nearest(first, second) else { continue };
        let at = |ends: [Vec3; 2], s: f64| ends[0] + (ends[1] - ends[0]) * s;
        let inner = |ends: [Vec3; 2], s: f64| {
            let long = (ends[1] - ends[0]).norm();
            s * long > 4.0 * near && (1.0 - s) * long > 4.0 * near
        };
        let p = at(first, s);
        if (p - at(second, t)).norm() <= near && inner(first, s) && inner(second, t) {
            let point = number(p, &mut joints);
            marks.entry(a).or_default().push((s, point));
            marks.entry(b).or_default().push((t, point));
        }
    }
    if joints.len() == old {
        return (joints, edges);
    }
    let part = |(k, (ends, row)): (usize, Way)| -> Vec<Way> {
        let Some(mut marks) = marks.remove(&k) else { return vec![(ends, row)] };
        marks.extend([(0.0, ends[0]), (1.0, ends[1])]);
        marks.sort_by(|a, b| a.0.total_cmp(&b.0));
        marks.dedup_by_key(|m| m.1);
        let radius = |s: f64| row[0].radii[0] + (row[0].radii[1] - row[0].radii[0]) * s;
        let one = |w: &[(f64, usize)]| {
            let strut = Strut::new([joints[w[0].1].0, joints[w[1].1].0], [radius(w[0].0), radius(w[1].0)], k);
            ([w[0].1, w[1].1], vec![strut])
        };
        marks.windows(2).map(one).collect()
    };
    let edges = edges.into_iter().enumerate().flat_map(part).collect();
    (joints, edges)
}

/// True when straight struts of two edges without a common point surely pass through one another: ways and joints alone do not
/// tell their solid.
fn pass_through(edges: &[Way]) -> bool {
    let straight = |(k, (_, row)): (usize, &Way)| {
        row.iter().filter(|s| s.bend.is_none()).map(|s| (k, *s)).collect::<Vec<_>>()
    };
    let all: Vec<(usize, Strut)> = edges.iter().enumerate().flat_map(straight).collect();
    let boxes: Vec<Box3> = all.iter().map(|(_, s)| s.region()).collect();
    let crosses = |[i, j]: &[u32; 2]| {
        let [(a, s), (b, t)] = [i, j].map(|k| &all[*k as usize]);
        let apart = edges[*a].0.iter().all(|end| !edges[*b].0.contains(end));
        let thick = s.radii[0].min(s.radii[1]) + t.radii[0].min(t.radii[1]);
        let far = |(u, v): (f64, f64)| {
            let at = |ends: [Vec3; 2], s: f64| ends[0] + (ends[1] - ends[0]) * s;
            (at(s.ends, u) - at(t.ends, v)).norm()
        };
        a != b && apart && nearest(s.ends, t.ends).is_some_and(|n| far(n) < 0.5 * thick)
    };
    Tree::of_boxes(&boxes).pairs(&boxes).iter().any(crosses)
}

/// How far along two segments their lines are nearest to one another, as parts of them; `None` where that is not in both.
fn nearest([a, b]: [Vec3; 2], [c, d]: [Vec3; 2]) -> Option<(f64, f64)> {
    let (u, v, w) = (b - a, d - c, c - a);
    let across = u.cross(v);
    let square = across.dot(across);
    if square <= 1e-18 * u.dot(u) * v.dot(v) {
        return None;
    }
    let (s, t) = (w.cross(v).dot(across) / square, w.cross(u).dot(across) / square);
    let inside = |x: f64| (0.0..=1.0).contains(&x);
    (inside(s) && inside(t)).then_some((s, t))
}

/// Where struts meet, for rounding: edges in two points, balls in their own.
fn ends(net: &Net, fillet: f64) -> Ends {
    let edges = net.edges().iter().map(|e| e.ends.map(Some));
    let balls = (0..net.points().len()).map(|k| [Some(k), None]);
    Ends { points: edges.chain(balls).collect(), rounds: net.sizes().iter().map(|s| fillet * s).collect() }
}

/// The least radius where none is said.
fn unsaid(net: &Net, rows: &[Vec<(Vec3, f64)>]) -> f64 {
    if net.sizes().iter().all(|s| *s == 1.0) {
        return 0.0;
    }
    let extent = Box3::around(rows.iter().flatten().map(|p| p.0)).size().largest();
    let thickest = rows.iter().flatten().map(|p| p.1).fold(0.0, f64::max);
    thickest.min(0.5 * FINEST * extent)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thickness_follows_fields_and_lengths() {
        let places = vec![Vec3::ZERO, Vec3::new(10.0, 0.0, 0.0), Vec3::new(10.0, 20.0, 0.0)];
        let net = super::super::web(places, vec![[0, 1], [1, 2]]).unwrap();
        let at = |radius: Radius, p: Vec3| {
            let made = struts(&net, &Rods { radius, joint: 0.0, least: None, fillet: 0.0 }).unwrap();
            let Solid::Struts(made) = made else { panic!() };
            Tape::new(made.value()).unwrap().value(p)
        };
        let by_length = || Radius::ByLength(Expr::var(LONG) * 0.1);
        assert!((at(by_length(), Vec3::new(5.0, 0.0, 3.0)) - 2.0).abs() < 1e-12);
        assert!((at(by_length(), Vec3::new(10.0, 15.0, 3.0)) - 1.0).abs() < 1e-12);
        let field = Expr::var("y") * 0.1 + 0.5;
        let found = at(Radius::Field(field), Vec3::new(10.0, 10.0, 5.0));
        // The cone with a slope of a tenth: its skin is met square.
        assert!((found - (5.0 * (1.0_f64 - 0.01).sqrt() - 1.5)).abs() < 1e-9, "{found}");
        let bad = Rods { radius: Radius::Field(Expr::var("x") - 5.0), joint: 0.0, least: None, fillet: 0.0 };
        assert!(struts(&net, &bad).is_err());
    }

    /// The edges of a pentagram cross in five points, those of a pentagon do not; lines that pass by one another nearer than they
    /// are thick have no common point, and no ways tell their solid.
    #[test]
    fn struts_that_cross_are_parted() {
        let corner = |k: usize| {
            let turn = std::f64::consts::TAU * k as f64 / 5.0;
            Vec3::new(20.0 * libm::cos(turn), 20.0 * libm::sin(turn), 0.0)
        };
        let rods = Rods { radius: Radius::Same(1.0), joint: 0.0, least: None, fillet: 0.0 };
        for (step, points, ways) in [(1, 5, 5), (2, 10, 15)] {
            let edges = (0..5).map(|k| [k, (k + step) % 5]).collect();
            let net = super::super::web((0..5).map(corner).collect(), edges).unwrap();
            let Solid::Struts(made) = struts(&net, &rods).unwrap() else { panic!() };
            assert_eq!((made.joints().len(), made.tracks().unwrap().len()), (points, ways));
        }
        let (x, y) = (Vec3::new(9.0, 0.0, 0.0), Vec3::new(0.0, 9.0, 0.0));
        let up = Vec3::new(0.0, 0.0, 0.7);
        let net = super::super::web(vec![x, -x, y + up, up - y], vec![[0, 1], [2, 3]]).unwrap();
        assert!(matches!(struts(&net, &rods).unwrap(), Solid::Field { .. }));
    }
}
