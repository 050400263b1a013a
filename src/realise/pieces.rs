//! Parts of the ranges of a surface in two parameters: their places, and the mesh of those that are kept.

use std::collections::HashMap;

use super::cubic::Cubic;
use crate::base::{Box3, Vec3};
use crate::shape::Mesh;

/// Steps along one side of a piece: the places of a cubic.
pub const STEPS: u32 = 3;
/// Pieces along a range before any is halved, and how often halves are halved.
pub const FIRST: u32 = 16;
const HALVINGS: u32 = 12;
/// Places along a range are counted in this many parts.
pub const WHOLE: u32 = (STEPS * FIRST) << HALVINGS;

/// A part of the ranges, kept as the cubic through 4 by 4 of its places.
#[derive(Debug)]
pub struct Piece {
    /// Its corner, in parts of the ranges.
    pub at: [u32; 2],
    /// Its sides, likewise.
    pub size: [u32; 2],
    /// What stands for the surface.
    pub cubic: Cubic,
}

/// A part of the ranges that is looked at.
#[derive(Clone, Copy, Debug)]
pub struct Part {
    /// Its corner, in parts of the ranges.
    pub at: [u32; 2],
    /// Its sides, likewise.
    pub size: [u32; 2],
    /// Where it stands among the halves.
    pub half: usize,
}

/// Places seen so far.
#[derive(Default)]
pub struct Seen {
    known: HashMap<[u32; 2], u32>,
    /// Where each place stands, in parts of the ranges.
    pub at: Vec<[u32; 2]>,
    points: Vec<Vec3>,
    /// Places that pieces pass besides their own.
    passed: Vec<[u32; 2]>,
}

impl Seen {
    /// Sees the places of some parts.
    pub fn look(&mut self, parts: &[Part], see: impl Fn(&[[f64; 2]]) -> Vec<Vec3>) {
        self.see(parts.iter().flat_map(|part| grid(part.at, part.size)), see);
    }

    /// Sees places that pieces are to pass besides their own.
    pub fn look_at(&mut self, places: Vec<[u32; 2]>, see: impl Fn(&[[f64; 2]]) -> Vec<Vec3>) {
        self.see(places.iter().copied(), see);
        self.passed = places;
    }

    fn see(&mut self, places: impl Iterator<Item = [u32; 2]>, see: impl Fn(&[[f64; 2]]) -> Vec<Vec3>) {
        let before = self.at.len();
        for at in places {
            let new = self.at.len() as u32;
            self.known.entry(at).or_insert_with(|| {
                self.at.push(at);
                new
            });
        }
        let new: Vec<[f64; 2]> = self.at[before..].iter().map(|at| at.map(f64::from)).collect();
        self.points.extend(see(&new));
    }

    fn index(&self, at: [u32; 2]) -> u32 {
        self.known.get(&at).copied().unwrap_or(0)
    }

    /// The places of a part; the first index runs along u.
    pub fn places(&self, part: &Part) -> [[Vec3; 4]; 4] {
        let mut out = [[Vec3::ZERO; 4]; 4];
        for (k, at) in grid(part.at, part.size).enumerate() {
            out[k % 4][k / 4] = self.points[self.index(at) as usize];
        }
        out
    }

    /// The longest side of what was seen.
    pub fn extent(&self) -> f64 {
        Box3::around(self.points.iter().copied().filter(|p| p.is_finite())).size().largest()
    }

    /// The mesh of pieces. Where a piece has finer neighbours, its border passes all their places, so that no gap is
    /// between them.
    pub fn mesh(&mut self, pieces: &[Piece]) -> Mesh {
        let own = pieces.iter().flat_map(|p| grid(p.at, p.size));
        let mut used: Vec<[u32; 2]> = own.chain(self.passed.iter().copied()).collect();
        used.sort_unstable();
        used.dedup();
        let upright = used.clone();
        let mut level: Vec<[u32; 2]> = used.iter().map(|[i, j]| [*j, *i]).collect();
        level.sort_unstable();
        let lines = [level, upright];
        let mut triangles = Vec::with_capacity(pieces.len() * 18);
        for piece in pieces {
            let third = piece.size.map(|s| s / STEPS);
            for k in 0..STEPS * STEPS {
                let cell = [k % STEPS, k / STEPS];
                let low = [0, 1].map(|a| piece.at[a] + cell[a] * third[a]);
                let high = [0, 1].map(|a| low[a] + third[a]);
                let ring = Ring { low, high, cell }.passing(&lines);
                self.fan(&ring, &mut triangles);
            }
        }
        self.compact(&mut triangles);
        Mesh { points: std::mem::take(&mut self.points), triangles, sides: vec![] }
    }

    /// Drops the places that no triangle uses.
    fn compact(&mut self, triangles: &mut [[u32; 3]]) {
        let mut new = vec![u32::MAX; self.points.len()];
        triangles.iter().flatten().for_each(|i| new[*i as usize] = 0);
        let (mut at, mut points) = (Vec::new(), Vec::new());
        for (i, slot) in new.iter_mut().enumerate().filter(|(_, slot)| **slot == 0) {
            *slot = points.len() as u32;
            points.push(self.points[i]);
            at.push(self.at[i]);
        }
        (self.at, self.points) = (at, points);
        triangles.iter_mut().flatten().for_each(|i| *i = new[*i as usize]);
        self.known.clear();
    }

    /// The triangles of one cell: of four corners along the shorter diagonal, of more by a fan about the first.
    fn fan(&self, ring: &[[u32; 2]], triangles: &mut Vec<[u32; 3]>) {
        let q: Vec<u32> = ring.iter().map(|at| self.index(*at)).collect();
        let p: Vec<Vec3> = q.iter().map(|i| self.points[*i as usize]).collect();
        let turned = q.len() == 4 && (p[0] - p[2]).norm() > (p[1] - p[3]).norm();
        let n = q.len();
        for k in 1..n - 1 {
            let t = [0, k, k + 1].map(|i| (i + usize::from(turned)) % n);
            let [a, b, c] = t.map(|i| p[i]);
            if a.is_finite() && b.is_finite() && c.is_finite() && a != b && b != c && c != a {
                triangles.push(t.map(|i| q[i]));
            }
        }
    }
}

/// The places of a part, u fastest.
pub fn grid(at: [u32; 2], size: [u32; 2]) -> impl Iterator<Item = [u32; 2]> {
    let third = size.map(|s| s / STEPS);
    (0..16).map(move |k| [at[0] + (k % 4) * third[0], at[1] + (k / 4) * third[1]])
}

/// A cell of a piece.
struct Ring {
    low: [u32; 2],
    high: [u32; 2],
    /// Which of the 3 by 3 it is.
    cell: [u32; 2],
}

impl Ring {
    /// Its corners and the places of finer neighbours between them, anticlockwise. It starts at a corner that no side
    /// with such places touches. `lines`: places along lines of one v, and of one u, sorted.
    fn passing(&self, lines: &[Vec<[u32; 2]>; 2]) -> Vec<[u32; 2]> {
        let ([i, j], [k, l]) = (self.low, self.high);
        let corners = [[i, j], [k, j], [k, l], [i, l]];
        // Inside the piece no place stands between corners: the corner toward its middle is safe.
        let first = match self.cell.map(|c| c == 0) {
            [true, true] => 2,
            [false, true] => 3,
            [false, false] => 0,
            [true, false] => 1,
        };
        let mut ring = Vec::with_capacity(6);
        for n in 0..4 {
            let (a, b) = (corners[(first + n) % 4], corners[(first + n + 1) % 4]);
            ring.push(a);
            let axis = usize::from(a[0] == b[0]);
            let line = &lines[axis];
            let key = |p: [u32; 2]| if axis == 0 { [p[1], p[0]] } else { p };
            let (from, to) = (key(a).min(key(b)), key(a).max(key(b)));
            let between = line[line.partition_point(|p| *p <= from)..].iter().take_while(|p| **p < to);
            let mut between: Vec<[u32; 2]> =
                between.map(|p| if axis == 0 { [p[1], p[0]] } else { *p }).collect();
            if key(a) > key(b) {
                between.reverse();
            }
            ring.extend(between);
        }
        ring
    }
}
