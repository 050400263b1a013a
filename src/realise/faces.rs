//! The faces between cells: for each crossed edge of the lattice the vertices of the four cells around it are joined.
//!
//! The tetrahedra between a crossed edge and the vertices of two neighbouring cells around it overlap no tetrahedron of
//! another edge, as long as every vertex lies in its own cell. So a face that stays within those of its edge crosses
//! no other (T. Ju, T. Udeshi, Proc. Pacific Graphics 2006: intersection-free contouring). Of the two ways to split
//! the four-sided face one that stays within is taken; where neither does, the face becomes a fan about the crossing.
//! Only what this does not cover (cells with two vertices, vertices outside their cell, a crease that wants the
//! other way) is left to be tested.

use rayon::prelude::*;

use super::block::{Block, Kind, SIDE};
use super::crossed::Crossed;
use super::crossing;
use super::grid::Job;
use super::lanes::{OTHER, Quads, STAYS, TOUCHES, WIDE};
use super::thin::Thin;
use crate::base::{Box3, Vec3};
use crate::formula::Scratch;
use crate::shape::Mesh;

/// A mesh and what remains to be tested.
#[derive(Debug, Default)]
pub struct Raw {
    /// The mesh.
    pub mesh: Mesh,
    /// Triangles that may cross others.
    pub doubtful: Vec<u32>,
    /// Places on creases, in corners and at tips.
    pub sharp: Vec<Vec3>,
    /// What there is of sheets and gaps that are thin for the cells.
    pub thin: Thin,
    /// The number of blocks in which the field may change sign.
    pub blocks: usize,
    /// The places of the blocks, in order, and for each the number of its first triangle.
    places: Vec<[i32; 3]>,
    starts: Vec<u32>,
}

impl Raw {
    /// A mesh of which all is to be tested.
    pub fn of_one(mesh: Mesh) -> Self {
        let doubtful = (0..mesh.triangles.len() as u32).collect();
        Self { mesh, doubtful, places: vec![[0; 3]], starts: vec![0], ..Self::default() }
    }

    /// The triangles of a block.
    fn of_block(&self, k: usize) -> std::ops::Range<u32> {
        let end = self.starts.get(k + 1).copied().unwrap_or(self.mesh.triangles.len() as u32);
        self.starts[k]..end
    }

    /// The blocks next to a block, itself among them.
    fn next_to(&self, k: usize) -> impl Iterator<Item = usize> {
        let at = self.places[k];
        (0..27).filter_map(move |n| {
            let near = [at[0] + n / 9 - 1, at[1] + n / 3 % 3 - 1, at[2] + n % 3 - 1];
            self.places.binary_search(&near).ok()
        })
    }

    /// The block of a triangle.
    fn block_of(&self, triangle: u32) -> usize {
        self.starts.partition_point(|s| *s <= triangle) - 1
    }

    /// The triangles of the blocks of some triangles and of the blocks next to those, in order.
    pub fn around(&self, some: impl Iterator<Item = u32>) -> Vec<u32> {
        let mut wanted = vec![false; self.places.len()];
        for t in some {
            self.next_to(self.block_of(t)).for_each(|k| wanted[k] = true);
        }
        (0..wanted.len()).filter(|k| wanted[*k]).flat_map(|k| self.of_block(k)).collect()
    }

    /// The triangles that the doubtful ones may cross, themselves too.
    pub fn near(&self) -> Vec<u32> {
        let bounds = |t: u32| Box3::around(self.mesh.corners(t as usize));
        // The doubtful ones are in order, and so are their blocks.
        let mut doubt: Vec<(usize, Box3)> = Vec::new();
        for &t in &self.doubtful {
            let own = bounds(t);
            match doubt.last_mut() {
                Some((k, all)) if self.of_block(*k).contains(&t) => *all = all.join(own),
                _ => doubt.push((self.block_of(t), own)),
            }
        }
        let spread = |(k, all): &(usize, Box3)| {
            let all = *all;
            self.next_to(*k).map(move |next| (next, all)).collect::<Vec<_>>()
        };
        let mut wanted: Vec<(usize, Box3)> = doubt.par_iter().flat_map_iter(spread).collect();
        wanted.par_sort_by_key(|(k, _)| *k);
        let blocks: Vec<&[(usize, Box3)]> = wanted.chunk_by(|a, b| a.0 == b.0).collect();
        blocks
            .into_par_iter()
            .flat_map_iter(|doubt| {
                self.of_block(doubt[0].0).filter(move |t| {
                    let own = bounds(*t);
                    doubt.iter().any(|(_, b)| !b.meet(own).is_empty())
                })
            })
            .collect()
    }
}

/// Marks a corner that is the middle of a fan; the rest is its number in the block.
const FAN: u32 = 1 << 31;

/// The faces of one block.
#[derive(Default)]
struct Part {
    triangles: Vec<[u32; 3]>,
    /// Middles of fans.
    fans: Vec<Vec3>,
    doubtful: Vec<u32>,
}

/// The vertices and faces of all blocks, which are in the order of their places.
pub fn join(job: &Job<'_>, blocks: &[Block]) -> Raw {
    let places: Vec<[i32; 3]> = blocks.iter().map(|b| b.at).collect();
    let (first, count) = starts(blocks.iter().map(|b| b.points.len()));
    let near = neighbours(&places);
    let parts: Vec<Part> = (0..blocks.len())
        .into_par_iter()
        .map_init(Hand::default, |hand, k| {
            Seams { job, blocks, first: &first, near: near[k], block: &blocks[k] }.part(hand)
        })
        .collect();
    // Middles of fans come after all vertices.
    let (fans, more) = starts(parts.iter().map(|p| p.fans.len()));
    let (starts, triangles) = starts(parts.iter().map(|p| p.triangles.len()));
    let mut mesh = Mesh {
        points: vec![Vec3::ZERO; (count + more) as usize],
        triangles: vec![[0; 3]; triangles as usize],
        sides: vec![],
    };
    let (own, middles) = mesh.points.split_at_mut(count as usize);
    middles.iter_mut().zip(parts.iter().flat_map(|p| &p.fans)).for_each(|(to, p)| *to = *p);
    cut(own, blocks.iter().map(|b| b.points.len()))
        .into_par_iter()
        .zip(blocks)
        .for_each(|(to, b)| to.copy_from_slice(&b.points));
    cut(&mut mesh.triangles, parts.iter().map(|p| p.triangles.len()))
        .into_par_iter()
        .zip(parts.par_iter().zip(&fans))
        .for_each(|(to, (part, fans))| {
            let place = |i: u32| if i & FAN != 0 { (i & !FAN) + fans + count } else { i };
            to.iter_mut().zip(&part.triangles).for_each(|(to, t)| *to = t.map(place));
        });
    let doubtful =
        parts.iter().zip(&starts).flat_map(|(p, s)| p.doubtful.iter().map(move |t| t + s)).collect();
    let kinds = blocks.iter().flat_map(|b| b.points.iter().zip(&b.kinds));
    let sharp = kinds.filter(|(_, kind)| kind.sharp).map(|(p, _)| *p).collect();
    Raw { mesh, doubtful, sharp, places, starts, ..Raw::default() }
}

/// Where each of some parts starts when they are laid end to end, and the whole length.
fn starts(lengths: impl Iterator<Item = usize>) -> (Vec<u32>, u32) {
    let mut end = 0;
    let starts = lengths
        .map(|n| {
            end += n as u32;
            end - n as u32
        })
        .collect();
    (starts, end)
}

/// A slice cut into parts of given lengths.
fn cut<T>(mut all: &mut [T], lengths: impl Iterator<Item = usize>) -> Vec<&mut [T]> {
    lengths
        .map(|n| {
            let (head, tail) = std::mem::take(&mut all).split_at_mut(n);
            all = tail;
            head
        })
        .collect()
}

/// No block.
const NO_BLOCK: u32 = u32::MAX;

/// For each block itself and its seven lower neighbours (bit k of the number: one less along axis k), by the blocks' places
/// in order. A shifted list is in order too, so that both are walked together.
fn neighbours(places: &[[i32; 3]]) -> Vec<[u32; 8]> {
    let mut near = vec![[NO_BLOCK; 8]; places.len()];
    for which in 0..8 {
        let mut other = 0;
        for (at, near) in places.iter().zip(&mut near) {
            let wanted = [0, 1, 2].map(|a| at[a] - (which >> a & 1) as i32);
            while other < places.len() && places[other] < wanted {
                other += 1;
            }
            if places.get(other) == Some(&wanted) {
                near[which] = other as u32;
            }
        }
    }
    near
}

/// Cells along a side of a block with those at its lower sides.
const ACROSS: usize = SIDE + 1;
/// The vertex of a cell, where it is not one: the cell holds none, or there are several.
const NO_VERTEX: u32 = u32::MAX;
const SEVERAL: u32 = u32::MAX - 1;

/// What a worker keeps from block to block.
#[derive(Default)]
struct Hand {
    scratch: Scratch,
    around: Around,
    quads: Quads,
    faces: Vec<Face>,
}

/// A corner of a face: a vertex, its place from the lowest corner of the block, in cells, and what is known of it.
#[derive(Clone, Copy)]
struct Corner {
    vertex: u32,
    place: [f32; 3],
    kind: Kind,
}

const NO_CORNER: Corner =
    Corner { vertex: NO_VERTEX, place: [0.0; 3], kind: Kind { sharp: false, crowded: false } };

/// From a cell to the next along each axis.
const STRIDE: [usize; 3] = [1, ACROSS, ACROSS * ACROSS];
/// So many cells are kept, that none is looked for outside: a power of two.
const KEPT: usize = 1024;

/// The corners in a block's cells and in those at its lower sides.
struct Around([Corner; KEPT]);

impl Default for Around {
    fn default() -> Self {
        Self([NO_CORNER; KEPT])
    }
}

/// For each axis how far before an edge the four cells around it are.
const BEFORE: [[usize; 4]; 3] = {
    let mut all = [[0; 4]; 3];
    let mut axis = 0;
    while axis < 3 {
        let (u, v) = (STRIDE[(axis + 1) % 3], STRIDE[(axis + 2) % 3]);
        all[axis] = [u + v, v, 0, u];
        axis += 1;
    }
    all
};

/// A face to be made.
#[derive(Clone, Copy)]
struct Face {
    edge: Crossed,
    corners: [u32; 4],
    kinds: [Kind; 4],
}

/// A block and what lies at its lower sides.
struct Seams<'a> {
    job: &'a Job<'a>,
    blocks: &'a [Block],
    /// For each block the number of its first vertex.
    first: &'a [u32],
    near: [u32; 8],
    block: &'a Block,
}

impl Seams<'_> {
    fn part(&self, hand: &mut Hand) -> Part {
        let mut part = Part::default();
        part.triangles.reserve_exact(self.block.crossed.len() * 2);
        let Hand { scratch, around, quads, faces } = hand;
        self.gather(around);
        let mut spokes: Vec<[Vec3; 2]> = Vec::new();
        faces.clear();
        for edge in &self.block.crossed {
            if let Some(face) = self.face(*edge, around, faces.len(), quads) {
                faces.push(face);
            }
            if faces.len() == WIDE {
                self.make(faces, quads, &mut spokes, &mut part);
            }
        }
        self.make(faces, quads, &mut spokes, &mut part);
        if !spokes.is_empty() {
            part.fans = crossing::along(&self.job.field.tape, &spokes, scratch);
        }
        part
    }

    /// Gathers the vertices.
    fn gather(&self, around: &mut Around) {
        around.0[..ACROSS * ACROSS * ACROSS].iter_mut().for_each(|corner| corner.vertex = NO_VERTEX);
        let origin = self.job.grid.at(self.block.at.map(|i| i * SIDE as i32));
        let each = 1.0 / self.job.grid.step;
        for (which, k) in self.near.iter().enumerate().filter(|(_, k)| **k != NO_BLOCK) {
            let (b, first) = (&self.blocks[*k as usize], self.first[*k as usize]);
            // Along an axis of a lower neighbour its last cells, else all of them.
            let range = |axis: usize| if which >> axis & 1 == 1 { SIDE - 1..SIDE } else { 0..SIDE };
            let [xs, ys, zs] = [0, 1, 2].map(range);
            let wanted = if xs.start == 0 { u8::MAX } else { 1 << (SIDE - 1) };
            let to = |i: usize, axis: usize| if which >> axis & 1 == 1 { 0 } else { i + 1 };
            for z in zs {
                for y in ys.clone() {
                    let (before, bits) = b.active.line(y, z);
                    let line = ACROSS * (to(y, 1) + ACROSS * to(z, 2));
                    let mut left = bits & wanted;
                    while left != 0 {
                        let x = left.trailing_zeros() as usize;
                        left &= left - 1;
                        let number = before + (bits & ((1u8 << x) - 1)).count_ones() as usize;
                        let slot = line + to(x, 0);
                        let corner = &mut around.0[slot % KEPT];
                        if !b.cells.is_empty() && b.cells[number].is_several() {
                            corner.vertex = SEVERAL;
                            continue;
                        }
                        let vertex = if b.cells.is_empty() { number } else { b.cells[number].first() };
                        let place = ((b.points[vertex] - origin) * each).array().map(|c| c as f32);
                        let kind = b.kinds.get(vertex).copied().unwrap_or_default();
                        *corner = Corner { vertex: first + vertex as u32, place, kind };
                    }
                }
            }
        }
    }

    /// The face about a crossed edge, its corners put where they are looked at.
    fn face(&self, edge: Crossed, around: &Around, slot: usize, quads: &mut Quads) -> Option<Face> {
        let (start, axis) = (edge.start(), edge.axis());
        let axes = [(axis + 1) % 3, (axis + 2) % 3, axis];
        let own = [0, 1, 2].map(|k| (start[k] + 1) * STRIDE[k]).iter().sum::<usize>();
        let from = axes.map(|a| start[a] as f32);
        let mut face = Face { edge, corners: [0; 4], kinds: [Kind::default(); 4] };
        for (k, before) in BEFORE[axis].into_iter().enumerate() {
            let mut corner = around.0[(own - before) % KEPT];
            if corner.vertex >= SEVERAL {
                corner = if corner.vertex == SEVERAL { self.several(start, axis, k)? } else { return None };
            }
            face.corners[k] = corner.vertex;
            face.kinds[k] = corner.kind;
            for (lane, (a, from)) in quads.corner[k].iter_mut().zip(axes.into_iter().zip(from)) {
                lane[slot % WIDE] = corner.place[a] - from;
            }
        }
        Some(face)
    }

    /// The corner of a face in a cell that holds several vertices.
    fn several(&self, start: [usize; 3], axis: usize, corner: usize) -> Option<Corner> {
        let (u, v) = ((axis + 1) % 3, (axis + 2) % 3);
        let [du, dv] = [[1, 1], [0, 1], [0, 0], [1, 0]][corner];
        let (mut cell, mut which) = (start, 0);
        for (a, d) in [(u, du), (v, dv)] {
            if cell[a] < d {
                cell[a] += SIDE;
                which |= 1 << a;
            }
            cell[a] -= d;
        }
        let k = self.near[which] as usize;
        let b = self.blocks.get(k)?;
        let vertex = b.cells[b.active.number(cell)?].vertex(axis * 4 + du + 2 * dv)?;
        let origin = self.job.grid.at(self.block.at.map(|i| i * SIDE as i32));
        let place = ((b.points[vertex] - origin) / self.job.grid.step).array().map(|c| c as f32);
        let kind = b.kinds.get(vertex).copied().unwrap_or_default();
        Some(Corner { vertex: self.first[k] + vertex as u32, place, kind })
    }

    /// Makes the triangles of some faces, which are taken from the list.
    fn make(&self, faces: &mut Vec<Face>, quads: &mut Quads, spokes: &mut Vec<[Vec3; 2]>, part: &mut Part) {
        if !faces.is_empty() {
            quads.look();
        }
        for (face, found) in faces.drain(..).zip(quads.found) {
            let made = part.triangles.len() as u32;
            let [a, b, c, d] = face.corners;
            match face.split(found) {
                Split::First => part.triangles.extend([[a, b, c], [a, c, d]]),
                Split::Second => part.triangles.extend([[b, c, d], [b, d, a]]),
                Split::Fan => {
                    let middle = FAN | spokes.len() as u32;
                    spokes.push(self.ends(face.edge));
                    part.triangles.extend([[a, b, middle], [b, c, middle], [c, d, middle], [d, a, middle]]);
                }
            }
            if !face.edge.leaves() {
                part.triangles[made as usize..].iter_mut().for_each(|t| t.swap(0, 1));
            }
            if face.doubtful(found) {
                part.doubtful.extend(made..part.triangles.len() as u32);
            }
        }
    }

    /// The ends of a crossed edge.
    fn ends(&self, edge: Crossed) -> [Vec3; 2] {
        let start = edge.start();
        let from = [0, 1, 2].map(|k| self.block.at[k] * SIDE as i32 + start[k] as i32);
        let mut to = from;
        to[edge.axis()] += 1;
        [from, to].map(|i| self.job.grid.at(i))
    }
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Split {
    /// Two triangles, with the diagonal from corner 0.
    First,
    /// With the diagonal from corner 1.
    Second,
    /// Four triangles about the crossing.
    Fan,
}

impl Face {
    /// The diagonal that a crease asks for. Two sharp vertices across are joined. Of three, the middle one is joined
    /// with the one off the crease: the other way would lay a triangle along the crease.
    fn asked(&self) -> Option<usize> {
        match self.kinds.map(|k| k.sharp) {
            [true, false, true, false] | [false, true, true, true] | [true, true, false, true] => Some(0),
            [false, true, false, true] | [true, false, true, true] | [true, true, true, false] => Some(1),
            _ => None,
        }
    }

    /// How it is split, by what was found of it.
    fn split(&self, found: u32) -> Split {
        let along = [Split::First, Split::Second];
        if let Some(asked) = self.asked() {
            return along[asked];
        }
        // A fan keeps to the cells' own parts, which matters where a cell holds several sheets.
        if self.kinds.iter().any(|k| k.crowded) {
            return Split::Fan;
        }
        let better = usize::from(found & OTHER != 0);
        let stays = |k: &usize| found & STAYS[*k] != 0;
        [better, 1 - better].into_iter().find(stays).map_or(Split::Fan, |k| along[k])
    }

    /// True when it may cross others.
    fn doubtful(&self, found: u32) -> bool {
        self.kinds.iter().any(|k| k.crowded)
            || found & TOUCHES != 0
            || self.asked().is_some_and(|k| found & STAYS[k] == 0)
    }
}
