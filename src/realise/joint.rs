//! The skin about a point in which round struts meet, as a mesh: the curves in which they cross, and what is left of the ball.
//!
//! About the point every strut is a cone or a rod that touches one ball, and so lies inside p² < r² + g(p)² ahead of the
//! circle in which it touches it, where g is a straight function of the place. The union is where p² < r² + (the greatest g)²:
//! struts cross in the planes in which two g are the same, three of them in the places where three are. Where struts are
//! bent, those places are the start from which the true ones are found.
//!
//! Source: that quadrics which touch one sphere meet in planes is G. Monge's; the rest follows from it.

use std::collections::HashMap;
use std::f64::consts::{PI, TAU};

use super::far_from_chord;
use crate::base::Vec3;
use crate::form::net::{Track, wrapped};

/// Radii of struts that meet in a point are the same to this part.
const ALIKE: f64 = 0.03;
/// Parts of the radius: how far a place may be outside a strut and count as on it; and by how much struts go before the ball
/// where they are the same.
const ON: f64 = 1e-7;
const BALL_YIELDS: f64 = 1e-6;
/// Places nearer than this part of a side are one.
const ONE_PLACE: f64 = 0.05;
/// Most steps to a place on several skins, and how near it must come, as a part of the radius; with more than three skins as
/// a part of a side.
const STEPS: usize = 12;
const MET: f64 = 1e-10;
const ABOUT: f64 = 0.1;
/// How far from where it was looked for a place may be found, as a part of the radius.
const STRAYS: f64 = 0.5;
/// What is left of the ball is drawn from its middle when its rim is no further from that than this angle.
const FAN: f64 = 1.9;
/// How far apart places stand on a ball, as a part of the sides of struts.
pub const PLACES_APART: f64 = 0.96;
/// How many times closer than the sides of the ball rings stand in it, whose cells are split along a diagonal.
const CLOSER: f64 = 1.2;
/// How often a stretch of a curve is halved.
const HALVINGS: u32 = 6;
/// No joint has more struts.
const MOST: usize = 64;

/// A strut that leaves the point.
pub struct Spoke<'a> {
    /// The way it follows.
    pub track: &'a Track,
    /// True when the way starts in the point, not ends.
    pub starts: bool,
    /// Corners of its rings.
    pub corners: usize,
}

/// The skin about a point.
pub struct Joint {
    /// Corners of its mesh.
    pub points: Vec<Vec3>,
    /// What is left of the ball.
    pub triangles: Vec<[u32; 3]>,
    /// For each strut the corners of the curve in which its skin begins, in order about it.
    pub fronts: Vec<Vec<u32>>,
}

/// A function of the place, straight in it: how far along a strut the skin through a place reaches.
#[derive(Clone, Copy)]
struct Reach {
    slope: Vec3,
    offset: f64,
}

impl Reach {
    fn at(&self, p: Vec3) -> f64 {
        self.slope.dot(p) + self.offset
    }
}

/// A strut near the point, as the cone that it is there: places are told from the point.
struct Cone {
    on: Vec3,
    axes: [Vec3; 2],
    slope: f64,
    step: f64,
}

impl Cone {
    /// The place of the ball from which the line of the skin at an angle sets out, for a ball of radius 1, and its way.
    fn line(&self, angle: f64) -> [Vec3; 2] {
        let out = self.axes[0] * libm::cos(angle) + self.axes[1] * libm::sin(angle);
        let level = (1.0 - self.slope * self.slope).sqrt();
        [out * level - self.on * self.slope, self.on * level + out * self.slope]
    }

    fn angle(&self, p: Vec3) -> f64 {
        libm::atan2(p.dot(self.axes[1]), p.dot(self.axes[0])).rem_euclid(TAU)
    }
}

/// The ball, number 0, and the struts about a point.
struct Work<'a> {
    point: Vec3,
    /// Radius of the ball that all struts touch, and of the ball that is seen.
    radius: f64,
    ball: f64,
    spokes: &'a [Spoke<'a>],
    cones: Vec<Cone>,
    reaches: Vec<Reach>,
    /// Length of a side of a strut, mm, and of the ball, as an angle.
    side: f64,
    turn: f64,
    /// How far lines may be off the curves in which skins cross, mm.
    off: f64,
    points: Vec<Vec3>,
    arcs: HashMap<[u32; 4], Arc>,
}

/// The corners of the curve in which two skins meet, ends and all, and how many of the two have asked for it.
struct Arc {
    corners: Vec<u32>,
    asked: u32,
}

/// A place on three skins or more.
struct Vertex {
    corner: u32,
    skins: Vec<usize>,
}

/// The number of a curve that comes home, instead of its ends.
const HOME: u32 = u32::MAX;

/// The skin about a point with a ball of a radius, mm, which may be less than the struts'. `None` when it is not found: struts
/// of several radii, too near to one another, or too many.
pub fn joint(point: Vec3, ball: f64, spokes: &[Spoke], corners: usize, off: f64) -> Option<Joint> {
    let mut work = Work::new(point, ball, spokes, corners, off)?;
    let vertices = work.vertices()?;
    let fronts: Vec<Vec<u32>> = (0..spokes.len()).map(|k| work.front(k, &vertices)).collect::<Option<_>>()?;
    let (rims, inner): (Vec<_>, Vec<_>) = work.arcs.iter().partition(|(key, _)| key[0] == 0);
    if inner.iter().any(|(_, arc)| arc.asked != 2) {
        return None;
    }
    let (whole, parts): (Vec<_>, Vec<_>) = rims.into_iter().partition(|(key, _)| key[2] == HOME);
    let corners =
        |rows: Vec<(&[u32; 4], &Arc)>| rows.into_iter().map(|(_, arc)| arc.corners.clone()).collect();
    let mut rims = closed(corners(parts))?;
    rims.extend::<Vec<Vec<u32>>>(corners(whole));
    rims.sort_unstable();
    let triangles = match rims.is_empty() && !spokes.is_empty() {
        true => vec![],
        false => work.rest_of_ball(&rims, &fronts)?,
    };
    let points = work.points.iter().map(|p| *p + point).collect();
    Some(Joint { points, triangles, fronts })
}

impl<'a> Work<'a> {
    fn new(point: Vec3, ball: f64, spokes: &'a [Spoke<'a>], corners: usize, off: f64) -> Option<Self> {
        let mut radii = Vec::with_capacity(spokes.len());
        let mut cones = Vec::with_capacity(spokes.len());
        for spoke in spokes {
            let station = spoke.track.at(if spoke.starts { 0.0 } else { spoke.track.length() });
            let sign = if spoke.starts { 1.0 } else { -1.0 };
            let on = station.on * sign;
            radii.push(station.radius);
            let axes = [station.aside, on.cross(station.aside)];
            let step = TAU / spoke.corners as f64;
            cones.push(Cone { on, axes, slope: station.slope * sign, step });
        }
        let radius = match radii.len() {
            0 => ball,
            n => radii.iter().sum::<f64>() / n as f64,
        };
        if spokes.len() > MOST || radii.iter().any(|r| (r - radius).abs() > ALIKE * radius) {
            return None;
        }
        let ball = ball.max(radius);
        let ahead = (ball * ball - radius * radius).max(0.0).sqrt() - BALL_YIELDS * radius;
        let of = |c: &Cone| {
            let level = (1.0 - c.slope * c.slope).sqrt();
            Reach { slope: c.on / level, offset: c.slope * radius / level }
        };
        let first = Reach { slope: Vec3::ZERO, offset: ahead };
        let reaches = std::iter::once(first).chain(cones.iter().map(of)).collect();
        let turn = TAU / corners as f64;
        let (side, points, arcs) = (radius * turn, vec![], HashMap::new());
        Some(Self { point, radius, ball, spokes, cones, reaches, side, turn, off, points, arcs })
    }

    /// The places in which three skins or more meet.
    fn vertices(&mut self) -> Option<Vec<Vertex>> {
        let count = self.reaches.len();
        let mut found: Vec<(Vec3, Vec<usize>)> = vec![];
        for a in 0..count {
            for b in a + 1..count {
                for c in b + 1..count {
                    for p in self.meets([a, b, c]).into_iter().flatten() {
                        let same = |f: &(Vec3, Vec<usize>)| (f.0 - p).norm() < ONE_PLACE * self.side;
                        match found.iter().position(same) {
                            Some(k) => found[k].1.extend([a, b, c]),
                            None => found.push((p, vec![a, b, c])),
                        }
                    }
                }
            }
        }
        let made = |(p, mut skins): (Vec3, Vec<usize>)| {
            skins.sort_unstable();
            skins.dedup();
            let p = self.met(p, &skins, None)?;
            let corner = self.points.len() as u32;
            self.points.push(p);
            Some(Vertex { corner, skins })
        };
        found.into_iter().map(made).collect()
    }

    /// Where three reaches are the same and none is further: the line of two planes meets the skin twice at most.
    fn meets(&self, three: [usize; 3]) -> [Option<Vec3>; 2] {
        let [a, b, c] = three.map(|k| self.reaches[k]);
        let (u, v) = (a.slope - b.slope, a.slope - c.slope);
        let w = u.cross(v);
        let ww = w.dot(w);
        if !(w.norm() > 1e-9 * u.norm() * v.norm()) {
            return [None; 2];
        }
        let from = (v.cross(w) * (b.offset - a.offset) + w.cross(u) * (c.offset - a.offset)) / ww;
        let along = w / ww.sqrt();
        // from² + t² = r² + (g + t k)², where `from` is square to the line.
        let (g, k) = (a.at(from), a.slope.dot(along));
        let square = 1.0 - k * k;
        let rest = from.dot(from) - self.radius * self.radius - g * g;
        let under = g * g * k * k - square * rest;
        if under < 0.0 || square.abs() < 1e-12 {
            return [None; 2];
        }
        [1.0, -1.0].map(|sign| {
            let p = from + along * ((g * k + sign * under.sqrt()) / square);
            let reach = a.at(p);
            let off = ON * self.radius;
            let first = self.reaches.iter().all(|other| other.at(p) <= reach + off);
            (first && reach >= -2.0 * BALL_YIELDS * self.radius).then_some(p)
        })
    }

    /// The skin of a strut at an angle begins where the last other one is left: how far along its line, and whose that is.
    fn begins(&self, k: usize, angle: f64) -> Option<(f64, usize)> {
        let [from, way] = self.cones[k].line(angle);
        let leaves = |j: usize| {
            let (at, by) = (self.reaches[j].at(from * self.radius), self.reaches[j].slope.dot(way));
            (j != k + 1 && by < 1.0 - 1e-12).then(|| (at / (1.0 - by), j))
        };
        (0..self.reaches.len()).filter_map(leaves).max_by(|a, b| a.0.total_cmp(&b.0))
    }

    /// The place on a skin, and on another one, at an angle about the first.
    fn crossing(&self, k: usize, other: usize, angle: f64) -> Option<Vec3> {
        let [from, way] = self.cones[k].line(angle);
        let (at, by) = (self.reaches[other].at(from * self.radius), self.reaches[other].slope.dot(way));
        let about = from * self.radius + way * (at / (1.0 - by));
        let [x, y] = self.cones[k].axes;
        let square = y * libm::cos(angle) - x * libm::sin(angle);
        self.met(about, &[k + 1, other], Some(square))
    }

    /// The place nearby that lies on several skins, and in a plane through the point, if one is given.
    fn met(&self, about: Vec3, skins: &[usize], plane: Option<Vec3>) -> Option<Vec3> {
        // The ball that the struts touch has no other skin to cross.
        if skins.contains(&0) && self.ball <= self.radius * (1.0 + ON) {
            return Some(about);
        }
        let many = skins.len() + usize::from(plane.is_some()) > 3;
        let enough = if many { ABOUT * self.side } else { MET * self.radius };
        let mut p = about;
        for _ in 0..STEPS {
            let rows = skins.iter().map(|k| self.distance(*k, p));
            let rows = rows.chain(plane.map(|n| (n.dot(p), n)));
            let (mut off, mut square, mut right) = (0.0_f64, [Vec3::ZERO; 3], Vec3::ZERO);
            for (far, slope) in rows {
                off = off.max(far.abs());
                let s = slope.array();
                (0..3).for_each(|i| square[i] += slope * s[i]);
                right += slope * far;
            }
            if off <= MET * self.radius {
                return Some(p);
            }
            let step = solved(square, right)?;
            p -= step;
            if !((p - about).norm() <= STRAYS * self.radius) {
                return None;
            }
            if step.norm() <= MET * self.radius {
                return (off <= enough).then_some(p);
            }
        }
        None
    }

    fn distance(&self, skin: usize, p: Vec3) -> (f64, Vec3) {
        match skin {
            0 => (p.norm() - self.ball, p.unit().unwrap_or(Vec3::ZERO)),
            k => self.spokes[k - 1].track.distance(p + self.point),
        }
    }

    /// The curve in which the skin of a strut begins.
    fn front(&mut self, k: usize, vertices: &[Vertex]) -> Option<Vec<u32>> {
        let angle = |v: &&Vertex| self.cones[k].angle(self.points[v.corner as usize]);
        let mut own: Vec<(f64, &Vertex)> =
            vertices.iter().filter(|v| v.skins.contains(&(k + 1))).map(|v| (angle(&v), v)).collect();
        own.sort_by(|a, b| a.0.total_cmp(&b.0));
        if own.is_empty() {
            let (_, other) = self.begins(k, 0.0)?;
            return self.arc(k, other, [HOME; 2], [0.0, TAU]);
        }
        let mut front = vec![];
        for (n, (from, v)) in own.iter().enumerate() {
            let (to, w) = own[(n + 1) % own.len()];
            let to = if n + 1 == own.len() { to + TAU } else { to };
            let (_, other) = self.begins(k, 0.5 * (from + to))?;
            if v.corner == w.corner || ![v, w].iter().all(|v| v.skins.contains(&other)) {
                return None;
            }
            let row = self.arc(k, other, [v.corner, w.corner], [*from, to])?;
            front.extend(&row[..row.len() - 1]);
        }
        Some(front)
    }

    /// The corners of the curve in which a strut's skin leaves another, from angle to angle about it.
    fn arc(&mut self, k: usize, other: usize, ends: [u32; 2], [from, to]: [f64; 2]) -> Option<Vec<u32>> {
        let turned = ends[0] > ends[1];
        let (low, high) = (ends[0].min(ends[1]), ends[0].max(ends[1]));
        let own = k + 1;
        let key = [own.min(other) as u32, own.max(other) as u32, low, high];
        if let Some(arc) = self.arcs.get_mut(&key) {
            arc.asked += 1;
            let mut row = arc.corners.clone();
            if turned {
                row.reverse();
            }
            return Some(row);
        }
        let row = self.drawn(k, other, ends, [from, to])?;
        let mut corners = row.clone();
        if turned {
            corners.reverse();
        }
        self.arcs.insert(key, Arc { corners, asked: 1 });
        Some(row)
    }

    /// New corners along such a curve, between its ends if it has any.
    fn drawn(&mut self, k: usize, other: usize, ends: [u32; 2], [from, to]: [f64; 2]) -> Option<Vec<u32>> {
        let home = ends[0] == HOME;
        let mut count = (to - from) / self.cones[k].step;
        if other > 0 && !home {
            // As many as the other one asks for.
            let cone = &self.cones[other - 1];
            let [a, b] = ends.map(|e| cone.angle(self.points[e as usize]));
            let apart = (a - b).abs();
            count = count.max(apart.min(TAU - apart) / cone.step);
        }
        let count = (count - 1e-6).ceil().max(1.0) as usize;
        let place = |angle: f64| self.crossing(k, other, angle);
        let end = |i: usize| if home { place(from) } else { Some(self.points[ends[i] as usize]) };
        let mut row = vec![(from, end(0)?)];
        for n in 1..=count {
            let angle = from + (to - from) * n as f64 / count as f64;
            let next = if n == count { end(1)? } else { place(angle)? };
            self.halved(&mut row, (angle, next), HALVINGS, &place)?;
        }
        // A curve that comes home begins with a corner of its own and ends in it.
        let new = &row[usize::from(!home)..row.len() - 1];
        let first = self.points.len() as u32;
        self.points.extend(new.iter().map(|(_, p)| *p));
        let corners = first..self.points.len() as u32;
        Some(match home {
            true => corners.collect(),
            false => std::iter::once(ends[0]).chain(corners).chain([ends[1]]).collect(),
        })
    }

    /// Goes on from the last place of a curve to the next one, with as many between as it takes to be near the curve.
    fn halved(
        &self,
        row: &mut Vec<(f64, Vec3)>,
        next: (f64, Vec3),
        halvings: u32,
        place: &dyn Fn(f64) -> Option<Vec3>,
    ) -> Option<()> {
        let last = *row.last()?;
        let angle = 0.5 * (last.0 + next.0);
        let middle = place(angle)?;
        if halvings > 0 && far_from_chord(middle, last.1, next.1) > self.off {
            self.halved(row, (angle, middle), halvings - 1, place)?;
            return self.halved(row, next, halvings - 1, place);
        }
        row.push(next);
        Some(())
    }

    /// The triangles of what is left of the ball inside its rims.
    fn rest_of_ball(&mut self, rims: &[Vec<u32>], fronts: &[Vec<u32>]) -> Option<Vec<[u32; 3]>> {
        let away = self.cones.iter().fold(Vec3::ZERO, |sum, c| sum - c.on);
        if let [rim] = rims {
            let mean = rim.iter().fold(Vec3::ZERO, |sum, i| sum + self.points[*i as usize] / self.ball);
            let middle = (mean / rim.len() as f64 + away * 0.1).unit()?;
            let angle =
                |i: &u32| libm::acos((self.points[*i as usize].dot(middle) / self.ball).clamp(-1.0, 1.0));
            let widest = rim.iter().map(angle).fold(0.0, f64::max);
            if widest < FAN && self.is_free(middle * self.ball) {
                return Some(self.fan(rim, middle, widest));
            }
        }
        self.inside(rims, fronts)
    }

    /// True for a place of the ball that no strut holds.
    fn is_free(&self, p: Vec3) -> bool {
        self.reaches[1..].iter().all(|g| g.at(p) < self.reaches[0].offset)
    }

    /// Triangles of the ball between a rim and a place: rings that draw together.
    fn fan(&mut self, rim: &[u32], middle: Vec3, widest: f64) -> Vec<[u32; 3]> {
        let rows = (CLOSER * widest / self.turn).ceil().max(1.0) as usize;
        let mut triangles = vec![];
        let mut before = rim.to_vec();
        let n = rim.len();
        for row in 1..=rows {
            let part = row as f64 / rows as f64;
            let start = self.points.len() as u32;
            if row == rows {
                self.points.push(middle * self.ball);
                triangles.extend((0..n).map(|j| [before[j], before[(j + 1) % n], start]));
                break;
            }
            let here: Vec<u32> = (0..n as u32).map(|j| start + j).collect();
            for corner in rim {
                let on = self.points[*corner as usize] / self.ball;
                let angle = libm::acos(on.dot(middle).clamp(-1.0, 1.0));
                let part = [libm::sin((1.0 - part) * angle), libm::sin(part * angle)];
                self.points.push((on * part[0] + middle * part[1]) * (self.ball / libm::sin(angle)));
            }
            for j in 0..n {
                let next = (j + 1) % n;
                let [a, b, c, d] = [before[j], before[next], here[next], here[j]];
                let far = |i: u32, j: u32| (self.points[i as usize] - self.points[j as usize]).norm();
                triangles.extend(if far(a, c) < far(b, d) {
                    [[a, b, c], [a, c, d]]
                } else {
                    [[a, b, d], [b, c, d]]
                });
            }
            before = here;
        }
        self.outward(triangles)
    }

    /// Triangles of the ball outside all struts: the convex polyhedron of its rims and of places between them, without the
    /// faces inside the rims.
    fn inside(&mut self, rims: &[Vec<u32>], fronts: &[Vec<u32>]) -> Option<Vec<[u32; 3]>> {
        let side = PLACES_APART * self.turn;
        let count = (4.0 * PI / (0.75f64.sqrt() * side * side)).ceil();
        let margin = 0.5 * self.turn * self.ball;
        let mut corners: Vec<u32> = rims.iter().flatten().copied().collect();
        let rim: Vec<Vec3> = corners.iter().map(|i| self.points[*i as usize]).collect();
        for k in 0..count as u32 {
            // Golden angle.
            let (z, turn) =
                (1.0 - (2.0 * f64::from(k) + 1.0) / count, f64::from(k) * PI * (3.0 - 5f64.sqrt()));
            let level = (1.0 - z * z).sqrt();
            let p = Vec3::new(level * libm::cos(turn), level * libm::sin(turn), z) * self.ball;
            if self.is_free(p) && rim.iter().all(|q| (*q - p).norm() > margin) {
                corners.push(self.points.len() as u32);
                self.points.push(p);
            }
        }
        corners.sort_unstable();
        corners.dedup();
        let places: Vec<Vec3> = corners.iter().map(|i| self.points[*i as usize]).collect();
        let mut triangles = vec![];
        for face in wrapped(&places)? {
            let face: Vec<u32> = face.into_iter().map(|i| corners[i]).collect();
            let sum = face.iter().fold(Vec3::ZERO, |sum, i| sum + self.points[*i as usize]);
            let within = |front: &Vec<u32>| face.iter().all(|i| front.contains(i));
            // Between struts that cross outside the ball nothing of it is left.
            if fronts.iter().any(within) || !self.is_free(sum.unit()? * self.ball) {
                continue;
            }
            triangles.extend((2..face.len()).map(|j| [face[0], face[j - 1], face[j]]));
        }
        Some(self.outward(triangles))
    }

    /// Triangles of the ball turned to face outward.
    fn outward(&self, mut triangles: Vec<[u32; 3]>) -> Vec<[u32; 3]> {
        for t in &mut triangles {
            let [a, b, c] = t.map(|i| self.points[i as usize]);
            if (b - a).cross(c - a).dot(a + b + c) < 0.0 {
                t.swap(1, 2);
            }
        }
        triangles
    }
}

/// Rows of corners joined end to end into rows that come home; `None` where one does not.
fn closed(mut rows: Vec<Vec<u32>>) -> Option<Vec<Vec<u32>>> {
    rows.sort_unstable();
    let mut found = vec![];
    while let Some(mut row) = rows.pop() {
        while row[0] != row[row.len() - 1] {
            let end = row.pop()?;
            let k = rows.iter().position(|r| r[0] == end || r[r.len() - 1] == end)?;
            let mut next = rows.swap_remove(k);
            if next[0] != end {
                next.reverse();
            }
            row.extend(next);
        }
        row.pop();
        found.push(row);
    }
    Some(found)
}

/// The solution of three equations, whose rows are given.
fn solved([a, b, c]: [Vec3; 3], right: Vec3) -> Option<Vec3> {
    let volume = a.dot(b.cross(c));
    let found = (b.cross(c) * right.x + c.cross(a) * right.y + a.cross(b) * right.z) / volume;
    found.is_finite().then_some(found)
}
