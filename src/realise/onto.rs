//! Vertices of smooth parts on their way onto the surface, a block at a time.

use super::crossing;
use super::patch;
use super::place::{NEAR, ON, chord, room_step};
use crate::base::{Box3, Vec3};
use crate::formula::{Scratch, Tape};

/// Vertices of smooth parts on their way onto the surface.
#[derive(Default, Debug)]
pub struct Batch {
    vertex: Vec<u32>,
    room: Vec<Box3>,
    at: [Vec<f64>; 3],
    /// About the slope, by the corners of the cell.
    lean: Vec<Vec3>,
    /// Places one step on, and the values there.
    ahead: [Vec<f64>; 3],
    second: Vec<f64>,
    value: Vec<f64>,
    slope: Vec<Vec3>,
    /// Where each came nearest.
    nearest: Vec<Nearest>,
    /// Vertices that did not arrive along the slope, and their rooms.
    lost: Vec<(u32, Box3)>,
}

/// The best place of a vertex so far, the value there and how far that is by the slope, mm.
#[derive(Clone, Copy, Debug)]
struct Nearest {
    point: Vec3,
    value: f64,
    off: f64,
}

/// What becomes of a vertex after a look.
enum Next {
    Arrived(Vec3),
    Lost,
    To(Vec3),
}

/// Steps toward the surface, at most.
const STEPS: usize = 8;
/// After a step shorter than this part of a cell the next would be shorter than its square: the vertex has arrived.
const LAST: f64 = 1e-3;
/// A step along a slope that is about right leaves this part of the value at most, and the product of two such steps is the
/// square of this part of a cell.
const LEFT: f64 = 0.1;
const STRAIGHT: f64 = 0.01;
/// Places looked at on the line across a cell.
const LOOKS: usize = 9;

impl Batch {
    /// Makes room for the vertices of another block.
    pub fn clear(&mut self) {
        self.vertex.clear();
        self.room.clear();
        self.lean.clear();
        self.at.iter_mut().for_each(Vec::clear);
    }

    /// A vertex to be brought onto the surface from a place in its cell, where the slope is about `lean`.
    pub fn push(&mut self, vertex: usize, start: Vec3, room: Box3, lean: Vec3) {
        self.vertex.push(vertex as u32);
        self.room.push(room);
        self.lean.push(lean);
        self.at.iter_mut().zip(start.array()).for_each(|(a, c)| a.push(c));
    }

    /// Brings all vertices onto the surface, each within its cell: where the surface is `gentle` by values along the slope
    /// that the corners tell, else along the slope where it is (Newton's method) and, where that fails, along a line across
    /// the cell. `step` is the edge of a cell, mm.
    pub fn onto(
        &mut self,
        tape: &Tape,
        (step, gentle): (f64, bool),
        scratch: &mut Scratch,
        points: &mut [Vec3],
    ) {
        if gentle {
            self.by_lines(tape, step, scratch, points);
        }
        self.nearest.clear();
        let none = Nearest { point: Vec3::ZERO, value: f64::INFINITY, off: f64::INFINITY };
        self.nearest.resize(self.vertex.len(), none);
        self.lost.clear();
        for _ in 0..STEPS {
            let n = self.vertex.len();
            if n == 0 {
                break;
            }
            self.value.resize(n, 0.0);
            self.slope.resize(n, Vec3::ZERO);
            let [x, y, z] = &self.at;
            tape.slopes(x, y, z, &mut self.value, &mut self.slope, scratch);
            let mut kept = 0;
            for k in 0..n {
                match self.advance(k, step) {
                    Next::Arrived(p) => points[self.vertex[k] as usize] = p,
                    Next::Lost => self.lose(k, points),
                    Next::To(next) => {
                        self.vertex[kept] = self.vertex[k];
                        self.room[kept] = self.room[k];
                        self.nearest[kept] = self.nearest[k];
                        self.at.iter_mut().zip(next.array()).for_each(|(a, c)| a[kept] = c);
                        kept += 1;
                    }
                }
            }
            self.vertex.truncate(kept);
            self.at.iter_mut().for_each(|a| a.truncate(kept));
        }
        for k in 0..self.vertex.len() {
            self.lose(k, points);
        }
        self.look_across(tape, scratch, points);
    }

    /// Brings onto the surface what two values suffice for: one step along the slope that the corners of the cell tell, and
    /// another as long as the line through both values says (the secant method). The others stay where they are.
    fn by_lines(&mut self, tape: &Tape, step: f64, scratch: &mut Scratch, points: &mut [Vec3]) {
        let n = self.vertex.len();
        self.value.resize(n, 0.0);
        self.second.resize(n, 0.0);
        self.ahead.iter_mut().for_each(|a| a.resize(n, 0.0));
        let [x, y, z] = &self.at;
        tape.values(x, y, z, &mut self.value, scratch);
        for k in 0..n {
            let (p, lean) = (self.place(k), self.lean[k]);
            let next = p - lean * (self.value[k] / lean.dot(lean));
            let next = if self.room[k].holds(next) { next } else { p };
            self.ahead.iter_mut().zip(next.array()).for_each(|(a, c)| a[k] = c);
        }
        let [x, y, z] = &self.ahead;
        tape.values(x, y, z, &mut self.second, scratch);
        let mut kept = 0;
        for k in 0..n {
            let ahead = Vec3::from([0, 1, 2].map(|a| self.ahead[a][k]));
            if let Some(p) = self.on_line(k, ahead, step) {
                points[self.vertex[k] as usize] = p;
                continue;
            }
            let start = self.place(k);
            self.vertex[kept] = self.vertex[k];
            self.room[kept] = self.room[k];
            self.at.iter_mut().zip(start.array()).for_each(|(a, c)| a[kept] = c);
            kept += 1;
        }
        self.vertex.truncate(kept);
        self.room.truncate(kept);
        self.at.iter_mut().for_each(|a| a.truncate(kept));
    }

    fn place(&self, k: usize) -> Vec3 {
        Vec3::from([0, 1, 2].map(|a| self.at[a][k]))
    }

    /// Where the line through the values at a vertex and one step ahead vanishes, where that is surely near enough: the
    /// error is about the product of both steps times the curvature.
    fn on_line(&self, k: usize, ahead: Vec3, step: f64) -> Option<Vec3> {
        let (first, second, lean) = (self.value[k], self.second[k], self.lean[k]);
        let square = lean.dot(lean);
        if first.abs() <= ON * step * square.sqrt() {
            return Some(self.place(k));
        }
        let left = second / first;
        let far = second / (1.0 - left);
        let near = (first * far).abs() <= STRAIGHT * STRAIGHT * step * step * square;
        let next = ahead - lean * (far / square);
        (left.abs() <= LEFT && near && self.room[k].holds(next)).then_some(next)
    }

    /// Looks at the value and the slope where a vertex is.
    fn advance(&mut self, k: usize, step: f64) -> Next {
        let (p, v, g) = (self.place(k), self.value[k], self.slope[k]);
        let (square, before) = (g.dot(g), self.nearest[k]);
        if !(v.abs() < before.value) {
            return if before.off <= NEAR * step { Next::Arrived(before.point) } else { Next::Lost };
        }
        let off = v.abs() / square.sqrt();
        self.nearest[k] = Nearest { point: p, value: v.abs(), off };
        if off <= ON * step {
            return Next::Arrived(p);
        }
        if !(square.is_finite() && square > 0.0) {
            return Next::Lost;
        }
        let next = p - g * (v / square);
        if !self.room[k].holds(next) {
            return room_step(&[(v, g)], p, self.room[k]).map_or(Next::Lost, Next::To);
        }
        if off <= LAST * step { Next::Arrived(next) } else { Next::To(next) }
    }

    /// Leaves a vertex where it came nearest, for a look across its cell.
    fn lose(&mut self, k: usize, points: &mut [Vec3]) {
        let Nearest { point, value, .. } = self.nearest[k];
        if value.is_finite() {
            points[self.vertex[k] as usize] = point;
        }
        self.lost.push((self.vertex[k], self.room[k]));
    }

    /// Brings lost vertices to the middle of the crossings of their cell and from there onto the surface, along the
    /// line from the corners inside to those outside. The slope leads astray where it vanishes on the surface, as that
    /// of a cube does.
    fn look_across(&self, tape: &Tape, scratch: &mut Scratch, points: &mut [Vec3]) {
        if self.lost.is_empty() {
            return;
        }
        let corners: Vec<[Vec3; 8]> = self.lost.iter().map(|(_, room)| room.corners()).collect();
        let seen = tape.values_of(corners.as_flattened(), scratch);
        let crossed: Vec<Vec<[Vec3; 2]>> =
            corners.iter().zip(seen.chunks_exact(8)).map(|(c, v)| crossed_edges(c, v)).collect();
        let mut found = crossing::along(tape, &crossed.concat(), scratch).into_iter();
        let mut lines = Vec::with_capacity(self.lost.len());
        for (((vertex, room), crossed), v) in self.lost.iter().zip(&crossed).zip(seen.chunks_exact(8)) {
            if crossed.is_empty() {
                continue;
            }
            let middle =
                found.by_ref().take(crossed.len()).fold(Vec3::ZERO, |s, p| s + p) / crossed.len() as f64;
            points[*vertex as usize] = middle;
            let out =
                room.corners().iter().zip(v).fold(Vec3::ZERO, |s, (c, v)| {
                    s + (*c - room.centre()) * if *v < 0.0 { -1.0 } else { 1.0 }
                });
            if out != Vec3::ZERO {
                let (from, to) = chord(middle, out, *room);
                lines.push((*vertex, [middle + out * from, middle + out * to]));
            }
        }
        let on = |[a, b]: [Vec3; 2], k: usize| a + (b - a) * (k as f64 / (LOOKS - 1) as f64);
        let looks: Vec<Vec3> = lines.iter().flat_map(|(_, l)| (0..LOOKS).map(|k| on(*l, k))).collect();
        let seen = tape.values_of(&looks, scratch);
        let (mut vertices, mut edges) = (Vec::new(), Vec::new());
        for ((vertex, line), v) in lines.into_iter().zip(seen.chunks_exact(LOOKS)) {
            let far = |k: &usize| (on(line, *k) + on(line, k + 1) - points[vertex as usize] * 2.0).norm();
            let changes = (0..LOOKS - 1).filter(|k| (v[*k] < 0.0) != (v[k + 1] < 0.0));
            if let Some(k) = changes.min_by(|a, b| far(a).total_cmp(&far(b))) {
                vertices.push(vertex);
                edges.push([on(line, k), on(line, k + 1)]);
            }
        }
        for (vertex, p) in vertices.into_iter().zip(crossing::along(tape, &edges, scratch)) {
            points[vertex as usize] = p;
        }
    }
}

/// The edges of a cell on which the sign changes, by the values at its corners.
fn crossed_edges(corners: &[Vec3; 8], value: &[f64]) -> Vec<[Vec3; 2]> {
    let ends = (0..12).map(|e| [patch::edge_start(e), patch::edge_end(e)]);
    ends.filter(|[a, b]| (value[*a] < 0.0) != (value[*b] < 0.0))
        .filter(|ends| ends.iter().all(|k| value[*k].is_finite()))
        .map(|ends| ends.map(|k| corners[k]))
        .collect()
}
