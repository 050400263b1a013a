//! The faces between cells: for each crossed edge of the lattice the vertices of the four cells around it are joined.
//!
//! The tetrahedra between a crossed edge and the vertices of two neighbouring cells around it overlap no tetrahedron of
//! another edge, as long as every vertex lies in its own cell. So a face that stays within those of its edge crosses
//! no other (T. Ju, T. Udeshi, Proc. Pacific Graphics 2006: intersection-free contouring). Of the two ways to split
//! the four-sided face one that stays within is taken; where neither does, the face becomes a fan about the crossing.
//! Only what this does not cover (cells with two vertices, vertices outside their cell, a crease that wants the
//! other way) is left to be tested.

use rayon::prelude::*;

use super::block::{Block, Crossed, Kind, SIDE};
use super::crossing;
use super::grid::Job;
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
        let mut doubt = vec![Box3::EMPTY; self.places.len()];
        for &t in &self.doubtful {
            let k = self.block_of(t);
            doubt[k] = doubt[k].join(bounds(t));
        }
        (0..self.places.len())
            .into_par_iter()
            .flat_map_iter(|k| {
                let doubt: Vec<Box3> = self.next_to(k).map(|n| doubt[n]).filter(|b| !b.is_empty()).collect();
                let block = if doubt.is_empty() { 0..0 } else { self.of_block(k) };
                block.filter(move |t| {
                    let own = bounds(*t);
                    doubt.iter().any(|b| !b.meet(own).is_empty())
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
    let parts: Vec<Part> = blocks
        .par_iter()
        .map_init(Scratch::default, |scratch, b| {
            // The block itself and its seven lower neighbours.
            let near: [Option<usize>; 8] = std::array::from_fn(|k| {
                let at = [0, 1, 2].map(|a| b.at[a] - (k >> a & 1) as i32);
                places.binary_search(&at).ok()
            });
            Seams { job, blocks, first: &first, near, block: b }.part(scratch)
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

/// A block and what lies at its lower sides.
struct Seams<'a> {
    job: &'a Job<'a>,
    blocks: &'a [Block],
    /// For each block the number of its first vertex.
    first: &'a [u32],
    near: [Option<usize>; 8],
    block: &'a Block,
}

impl Seams<'_> {
    fn part(&self, scratch: &mut Scratch) -> Part {
        let mut part = Part::default();
        part.triangles.reserve(self.block.crossed.len() * 2);
        let mut spokes: Vec<[Vec3; 2]> = Vec::new();
        for c in &self.block.crossed {
            let Some(corners) = self.corners(c) else { continue };
            let quad = self.quad(c, &corners);
            let ring = |k: usize| corners[k % 4].0;
            let made = part.triangles.len() as u32;
            match quad.split() {
                Split::Along(k) => {
                    part.triangles.push([ring(k), ring(k + 1), ring(k + 2)]);
                    part.triangles.push([ring(k), ring(k + 2), ring(k + 3)]);
                }
                Split::Fan => {
                    let middle = FAN | spokes.len() as u32;
                    spokes.push(quad.ends(self.job));
                    part.triangles.extend((0..4).map(|k| [ring(k), ring(k + 1), middle]));
                }
            }
            if !c.leaves {
                part.triangles[made as usize..].iter_mut().for_each(|t| t.swap(0, 1));
            }
            if quad.doubtful() {
                part.doubtful.extend(made..part.triangles.len() as u32);
            }
        }
        if !spokes.is_empty() {
            part.fans = crossing::along(&self.block.tape, &spokes, scratch);
        }
        part
    }

    /// The vertices of the four cells around a crossed edge, counter-clockwise seen from the end of the edge.
    fn corners(&self, c: &Crossed) -> Option<[(u32, Vec3, Kind); 4]> {
        let axis = usize::from(c.axis);
        let (u, v) = ((axis + 1) % 3, (axis + 2) % 3);
        let mut out = [(0, Vec3::ZERO, Kind { sharp: false, crowded: false }); 4];
        for (slot, (du, dv)) in [(1, 1), (0, 1), (0, 0), (1, 0)].into_iter().enumerate() {
            let mut cell = c.start.map(i32::from);
            cell[u] -= du;
            cell[v] -= dv;
            let mut which = 0;
            for a in [u, v] {
                if cell[a] < 0 {
                    cell[a] += SIDE as i32;
                    which |= 1 << a;
                }
            }
            let k = self.near[which]?;
            let b = &self.blocks[k];
            let local = cell[0] as usize + SIDE * (cell[1] as usize + SIDE * cell[2] as usize);
            let cell = b.cells.get(usize::from(b.lookup[local]))?;
            let vertex = cell.vertex(axis * 4 + du as usize + 2 * dv as usize)?;
            out[slot] = (self.first[k] + vertex, b.points[vertex as usize], b.kinds[vertex as usize]);
        }
        Some(out)
    }

    /// The quad in coordinates of its edge.
    fn quad(&self, c: &Crossed, corners: &[(u32, Vec3, Kind); 4]) -> Quad {
        let axis = usize::from(c.axis);
        let (u, v) = ((axis + 1) % 3, (axis + 2) % 3);
        let base = [0, 1, 2].map(|k| self.block.at[k] * SIDE as i32 + i32::from(c.start[k]));
        let start = self.job.grid.at(base);
        Quad {
            start,
            base,
            axis,
            step: self.job.grid.step,
            corners: corners.map(|(_, p, _)| {
                let d = p - start;
                Vec3::new(d[u], d[v], d[axis])
            }),
            kinds: corners.map(|(_, _, k)| k),
        }
    }
}

/// Four vertices round an edge of the lattice, relative to its start: first two coordinates across, the third along.
struct Quad {
    start: Vec3,
    base: [i32; 3],
    axis: usize,
    step: f64,
    corners: [Vec3; 4],
    kinds: [Kind; 4],
}

enum Split {
    /// Two triangles, with the diagonal from corner 0 or 1.
    Along(usize),
    /// Four triangles about the crossing.
    Fan,
}

impl Quad {
    /// The diagonal that a crease asks for. Two sharp vertices across are joined. Of three, the middle one is joined
    /// with the one off the crease: the other way would lay a triangle along the crease.
    fn asked(&self) -> Option<usize> {
        match self.kinds.map(|k| k.sharp) {
            [true, false, true, false] | [false, true, true, true] | [true, true, false, true] => Some(0),
            [false, true, false, true] | [true, false, true, true] | [true, true, true, false] => Some(1),
            _ => None,
        }
    }

    fn split(&self) -> Split {
        if let Some(asked) = self.asked() {
            return Split::Along(asked);
        }
        // A fan keeps to the cells' own parts, which matters where a cell holds several sheets.
        if self.kinds.iter().any(|k| k.crowded) {
            return Split::Fan;
        }
        let better = usize::from(self.worth(1) > self.worth(0));
        [better, 1 - better].into_iter().find(|k| self.stays(*k)).map_or(Split::Fan, Split::Along)
    }

    /// True when the face may cross others.
    fn doubtful(&self) -> bool {
        self.kinds.iter().any(|k| k.crowded) || self.touches() || self.asked().is_some_and(|k| !self.stays(k))
    }

    /// True when a corner is not well inside the quarter of its cell, seen along the edge.
    fn touches(&self) -> bool {
        let least = 1e-5 * self.step;
        let quarters = [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)];
        self.corners.iter().zip(quarters).any(|(p, (x, y))| p.x * x < least || p.y * y < least)
    }

    /// How evenly the diagonal from corner `k` splits the face: the lesser of the two triangles' worths, twice the area
    /// over the square of the longest side, negative when folded back.
    fn worth(&self, k: usize) -> f64 {
        let p = |i: usize| self.corners[(k + i) % 4];
        let whole = (p(2) - p(0)).cross(p(3) - p(1));
        let steep = whole.norm().max(1e-300);
        let one = |a: Vec3, b: Vec3, c: Vec3| {
            let (ab, bc, ca) = (b - a, c - b, a - c);
            let longest = ab.dot(ab).max(bc.dot(bc)).max(ca.dot(ca)).max(1e-300);
            ab.cross(bc).dot(whole) / (steep * longest)
        };
        one(p(0), p(1), p(2)).min(one(p(0), p(2), p(3)))
    }

    /// True when the diagonal from corner `k` stays within the tetrahedra about the edge: it passes through the
    /// triangle between the edge and one of the two other corners.
    fn stays(&self, k: usize) -> bool {
        let [a, c] = [self.corners[k], self.corners[k + 2]];
        let cross = |p: Vec3, q: Vec3| p.x * q.y - p.y * q.x;
        [k + 1, (k + 3) % 4].into_iter().any(|j| {
            let b = self.corners[j];
            let (from, to) = (cross(a, b), cross(c, b));
            if !(from * to < 0.0) {
                return false;
            }
            let d = a + (c - a) * (from / (from - to));
            // The part of the way from the edge to the corner.
            let s = (d.x * b.x + d.y * b.y) / (b.x * b.x + b.y * b.y);
            let low = b.z * s;
            let high = self.step + (b.z - self.step) * s;
            let least = 1e-9 * self.step;
            s > 1e-9 && s < 1.0 - 1e-9 && d.z > low + least && d.z < high - least
        })
    }

    /// The ends of the edge.
    fn ends(&self, job: &Job<'_>) -> [Vec3; 2] {
        let mut end = self.base;
        end[self.axis] += 1;
        [self.start, job.grid.at(end)]
    }
}
