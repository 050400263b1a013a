//! A net of triangles with a held border, kept even: long edges split, short ones drawn together, others turned.

use super::loops::Loops;
use crate::base::Vec3;

/// Whether a point may move.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Held {
    /// It may.
    Free,
    /// It stands on a loop, at a parameter.
    On(u32, f64),
}

/// A net of triangles with a held border.
#[derive(Clone, Debug, Default)]
pub struct Web {
    /// Places, mm.
    pub points: Vec<Vec3>,
    /// Corners of each triangle; neighbours turn alike.
    pub triangles: Vec<[u32; 3]>,
    /// Which points may move.
    pub held: Vec<Held>,
    /// Neighbours need not turn alike: the net may have one side only.
    pub one_sided: bool,
}

/// An edge, its lesser corner first, and the triangles on it, each with its third corner.
#[derive(Clone, Copy, Debug)]
pub struct Edge {
    /// The corners.
    pub ends: [u32; 2],
    /// One triangle and its third corner.
    pub one: (u32, u32),
    /// The other, unless the edge is on the border.
    pub two: Option<(u32, u32)>,
}

/// Triangles round each point.
pub struct Around {
    first: Vec<u32>,
    list: Vec<u32>,
}

impl Around {
    pub fn of(&self, point: u32) -> &[u32] {
        &self.list[self.first[point as usize] as usize..self.first[point as usize + 1] as usize]
    }
}

/// Edges longer than this many steps are split, shorter than that drawn together.
const LONG: f64 = 4.0 / 3.0;
const SHORT: f64 = 0.7;
/// An edge so short whose ends cannot be drawn together is a neck about to break.
const NECK: f64 = 0.35;
/// Rounds of turning edges, at most.
const TURNS: usize = 6;

impl Web {
    /// Adds a point.
    pub fn add(&mut self, place: Vec3, held: Held) -> u32 {
        self.points.push(place);
        self.held.push(held);
        (self.points.len() - 1) as u32
    }

    pub fn is_free(&self, point: u32) -> bool {
        self.held[point as usize] == Held::Free
    }

    fn length(&self, [a, b]: [u32; 2]) -> f64 {
        (self.points[a as usize] - self.points[b as usize]).norm()
    }

    /// Twice the area of a triangle, along its normal.
    pub fn across(&self, [a, b, c]: [u32; 3]) -> Vec3 {
        let [a, b, c] = [a, b, c].map(|i| self.points[i as usize]);
        (b - a).cross(c - a)
    }

    /// All edges, sorted by their ends. An edge with three triangles or more stands there several times.
    pub fn edges(&self) -> Vec<Edge> {
        let mut half = Vec::with_capacity(self.triangles.len() * 3);
        for (k, t) in self.triangles.iter().enumerate() {
            for i in 0..3 {
                let (a, b) = (t[i], t[(i + 1) % 3]);
                half.push(([a.min(b), a.max(b)], (k as u32, t[(i + 2) % 3])));
            }
        }
        half.sort_unstable();
        let mut out = Vec::with_capacity(half.len() / 2 + 16);
        let mut i = 0;
        while i < half.len() {
            let pair = half.get(i + 1).filter(|h| h.0 == half[i].0);
            out.push(Edge { ends: half[i].0, one: half[i].1, two: pair.map(|h| h.1) });
            i += if pair.is_some() { 2 } else { 1 };
        }
        out
    }

    pub fn around(&self) -> Around {
        let mut first = vec![0u32; self.points.len() + 1];
        for i in self.triangles.iter().flatten() {
            first[*i as usize + 1] += 1;
        }
        for i in 1..first.len() {
            first[i] += first[i - 1];
        }
        let mut next = first.clone();
        let mut list = vec![0; self.triangles.len() * 3];
        for (k, t) in self.triangles.iter().enumerate() {
            for i in t {
                list[next[*i as usize] as usize] = k as u32;
                next[*i as usize] += 1;
            }
        }
        Around { first, list }
    }

    /// Normals at the points, each the sum of the triangles' by area.
    pub fn normals(&self) -> Vec<Vec3> {
        let mut sum = vec![Vec3::ZERO; self.points.len()];
        for t in &self.triangles {
            let n = self.across(*t);
            for i in t {
                let sum = &mut sum[*i as usize];
                *sum += if self.one_sided && sum.dot(n) < 0.0 { -n } else { n };
            }
        }
        sum.into_iter().map(|n| n.unit().unwrap_or(Vec3::ZERO)).collect()
    }

    /// A place where the net lies folded onto itself: a film that only seems to be at rest.
    pub fn fold(&self) -> Option<Vec3> {
        let at = |i: u32| self.points[i as usize];
        let folded = |e: &Edge| {
            let (a, way) = (at(e.ends[0]), at(e.ends[1]) - at(e.ends[0]));
            let Some((way, two)) = way.unit().zip(e.two) else { return false };
            let [c, d] = [e.one.1, two.1].map(|i| (at(i) - a) - way * (at(i) - a).dot(way));
            c.dot(d) > 0.5 * c.norm() * d.norm()
        };
        self.edges().iter().find(|e| folded(e)).map(|e| at(e.ends[0]))
    }

    /// Makes the net even, with edges about `step` mm long. Gives a place where a neck closes, if one does.
    pub fn even(&mut self, step: f64) -> Option<Vec3> {
        for _ in 0..8 {
            if !self.split(step) {
                break;
            }
        }
        let neck = self.draw_together(step);
        for _ in 0..TURNS {
            if !self.turn_edges() {
                break;
            }
        }
        self.smooth();
        neck
    }

    /// Splits long edges within; true when there were any.
    fn split(&mut self, step: f64) -> bool {
        let mut long: Vec<(f64, Edge)> = self
            .edges()
            .into_iter()
            .filter(|e| e.two.is_some())
            .map(|e| (self.length(e.ends), e))
            .filter(|(l, _)| *l > LONG * step)
            .collect();
        long.sort_by(|a, b| b.0.total_cmp(&a.0));
        let mut done = vec![false; self.triangles.len()];
        for (_, e) in &long {
            let Some(two) = e.two else { continue };
            let sides = [e.one.0 as usize, two.0 as usize];
            if sides.iter().any(|t| done[*t]) {
                continue;
            }
            let [a, b] = e.ends;
            let m = self.add((self.points[a as usize] + self.points[b as usize]) * 0.5, Held::Free);
            for t in sides {
                done[t] = true;
                let whole = self.triangles[t];
                self.triangles[t] = whole.map(|i| if i == b { m } else { i });
                self.triangles.push(whole.map(|i| if i == a { m } else { i }));
            }
        }
        !long.is_empty()
    }

    /// Draws the ends of short edges together where that changes nothing but the net; gives a place where a short
    /// edge goes round a neck.
    fn draw_together(&mut self, step: f64) -> Option<Vec3> {
        let mut short: Vec<(f64, Edge)> = self
            .edges()
            .into_iter()
            .filter(|e| e.ends.iter().any(|i| self.is_free(*i)))
            .map(|e| (self.length(e.ends), e))
            .filter(|(l, _)| *l < SHORT * step)
            .collect();
        short.sort_by(|a, b| a.0.total_cmp(&b.0));
        let around = self.around();
        let mut busy = vec![false; self.points.len()];
        let mut gone = vec![false; self.triangles.len()];
        let mut neck = None;
        for (length, e) in short {
            let [a, b] = if self.is_free(e.ends[1]) { e.ends } else { [e.ends[1], e.ends[0]] };
            let (ring_a, ring_b) = (self.ring(&around, a), self.ring(&around, b));
            if ring_a.iter().chain(&ring_b).any(|i| busy[*i as usize]) {
                continue;
            }
            let common: Vec<u32> = ring_a.iter().copied().filter(|i| ring_b.contains(i)).collect();
            // The ends themselves stand in both rings.
            if common.len() != 4 {
                // Along a border points may be crowded; a neck is free all round.
                if length < NECK * step && common.iter().all(|i| self.is_free(*i)) {
                    neck = neck.or(Some(self.points[a as usize]));
                }
                continue;
            }
            let place = if self.is_free(a) {
                (self.points[a as usize] + self.points[b as usize]) * 0.5
            } else {
                self.points[a as usize]
            };
            if !self.may_move(&around, [a, b], place, LONG * step) {
                continue;
            }
            self.points[a as usize] = place;
            for t in around.of(b) {
                let t = *t as usize;
                if self.triangles[t].contains(&a) {
                    gone[t] = true;
                } else {
                    self.triangles[t] = self.triangles[t].map(|i| if i == b { a } else { i });
                }
            }
            for i in ring_a.iter().chain(&ring_b) {
                busy[*i as usize] = true;
            }
        }
        let mut flags = gone.iter();
        self.triangles.retain(|_| !flags.next().copied().unwrap_or(false));
        self.compact();
        neck
    }

    /// The corners of the triangles round a point, itself included.
    fn ring(&self, around: &Around, point: u32) -> Vec<u32> {
        let mut ring: Vec<u32> = around.of(point).iter().flat_map(|t| self.triangles[*t as usize]).collect();
        ring.sort_unstable();
        ring.dedup();
        ring
    }

    /// True when both ends of an edge may go to `place`: no triangle folds over and no edge grows longer than `most`.
    fn may_move(&self, around: &Around, [a, b]: [u32; 2], place: Vec3, most: f64) -> bool {
        [(a, b), (b, a)].into_iter().all(|(from, other)| {
            around.of(from).iter().all(|t| {
                let t = self.triangles[*t as usize];
                if t.contains(&other) {
                    return true;
                }
                let before = self.across(t);
                let p = t.map(|i| if i == from { place } else { self.points[i as usize] });
                let after = (p[1] - p[0]).cross(p[2] - p[0]);
                let straight = after.dot(before) > 0.5 * after.norm() * before.norm();
                straight && t.iter().all(|i| *i == from || (self.points[*i as usize] - place).norm() <= most)
            })
        })
    }

    /// Turns edges whose opposite angles make more than half a turn; true when there were any.
    /// Source: the condition of Delaunay on a surface, A. I. Bobenko, B. A. Springborn, Discrete & Computational
    /// Geometry 38 (2007) 740.
    fn turn_edges(&mut self) -> bool {
        let around = self.around();
        let mut busy = vec![false; self.points.len()];
        let mut any = false;
        for e in self.edges() {
            let ([a, b], (t, c)) = (e.ends, e.one);
            let Some((u, d)) = e.two else { continue };
            if c == d || [a, b, c, d].iter().any(|i| busy[*i as usize]) || !self.wants_turn([a, b, c, d]) {
                continue;
            }
            if self.ring(&around, c).contains(&d) {
                continue;
            }
            // The first triangle runs from p to q along the edge.
            let first = self.triangles[t as usize];
            let k = first.iter().position(|i| *i == c).unwrap_or(0);
            let (p, q) = (first[(k + 1) % 3], first[(k + 2) % 3]);
            let (one, two) = ([c, p, d], [d, q, c]);
            let (n, m) = (self.across(first), self.across(self.triangles[u as usize]));
            let m = if self.one_sided && n.dot(m) < 0.0 { -m } else { m };
            let sum = n + m;
            let flat = n.dot(m) > 0.3 * n.norm() * m.norm();
            if !flat || self.across(one).dot(sum) <= 0.0 || self.across(two).dot(sum) <= 0.0 {
                continue;
            }
            (self.triangles[t as usize], self.triangles[u as usize]) = (one, two);
            for i in [a, b, c, d] {
                busy[i as usize] = true;
            }
            any = true;
        }
        any
    }

    fn wants_turn(&self, [a, b, c, d]: [u32; 4]) -> bool {
        let cot = |o: u32| {
            let [a, b, o] = [a, b, o].map(|i| self.points[i as usize]);
            let (u, v) = (a - o, b - o);
            u.dot(v) / u.cross(v).norm().max(f64::MIN_POSITIVE)
        };
        cot(c) + cot(d) < -1e-6
    }

    /// Moves free points along the film toward the middle of their neighbours.
    pub fn smooth(&mut self) {
        let normals = self.normals();
        let mut sum = vec![(Vec3::ZERO, 0.0); self.points.len()];
        for t in &self.triangles {
            let middle = t.iter().fold(Vec3::ZERO, |s, i| s + self.points[*i as usize]) / 3.0;
            let area = self.across(*t).norm();
            for i in t {
                sum[*i as usize].0 += middle * area;
                sum[*i as usize].1 += area;
            }
        }
        for (i, (total, area)) in sum.into_iter().enumerate() {
            if self.held[i] != Held::Free || !(area > 0.0) {
                continue;
            }
            let way = total / area - self.points[i];
            self.points[i] += way - normals[i] * way.dot(normals[i]);
        }
    }

    /// Drops the points that no triangle uses.
    pub fn compact(&mut self) {
        let mut place = vec![u32::MAX; self.points.len()];
        for i in self.triangles.iter().flatten() {
            place[*i as usize] = 0;
        }
        let (mut points, mut held) = (Vec::new(), Vec::new());
        for (i, at) in place.iter_mut().enumerate() {
            if *at == 0 {
                *at = points.len() as u32;
                points.push(self.points[i]);
                held.push(self.held[i]);
            }
        }
        (self.points, self.held) = (points, held);
        for i in self.triangles.iter_mut().flatten() {
            *i = place[*i as usize];
        }
    }

    /// The net with every edge halved: on the border at the loop's own place, within at the middle of the cubic that
    /// leaves both ends along the film.
    pub fn halved(&self, loops: &Loops) -> Self {
        let normals = self.normals();
        let mut out = Self { triangles: Vec::with_capacity(self.triangles.len() * 4), ..self.clone() };
        out.triangles.clear();
        let edges = self.edges();
        let mut middles = Vec::with_capacity(edges.len());
        for e in &edges {
            let [a, b] = e.ends.map(|i| i as usize);
            let (p, q) = (self.points[a], self.points[b]);
            let m = match (e.two, self.held[a], self.held[b]) {
                (None, Held::On(l, s), Held::On(k, t)) if l == k => {
                    let t = loops.middle(l, s, t);
                    out.add(loops.at(l, t), Held::On(l, t))
                }
                _ => {
                    let way = q - p;
                    let lift = normals[b] * way.dot(normals[b]) - normals[a] * way.dot(normals[a]);
                    out.add((p + q) * 0.5 + lift * 0.125, Held::Free)
                }
            };
            middles.push((e.ends, m));
        }
        let middle = |a: u32, b: u32| {
            let key = [a.min(b), a.max(b)];
            middles[middles.partition_point(|m| m.0 < key)].1
        };
        for [a, b, c] in self.triangles.iter().copied() {
            let (ab, bc, ca) = (middle(a, b), middle(b, c), middle(c, a));
            out.triangles.extend([[a, ab, ca], [ab, b, bc], [ca, bc, c], [ab, bc, ca]]);
        }
        out
    }
}
