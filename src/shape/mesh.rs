//! A triangle mesh: its parts, and taking it apart.

use std::collections::HashMap;

use crate::base::{Affine, Box3, Vec3};

/// Which part of the form a triangle belongs to; pictures tell them apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Side {
    /// The skin of a solid.
    #[default]
    Skin,
    /// The side of a wall or surface where the field is positive.
    Front,
    /// The side of a wall or surface where the field is negative.
    Back,
    /// Where a clip cut through the wall.
    Cut,
}

/// Points joined by triangles that turn counter-clockwise seen from outside.
#[derive(Clone, Debug, Default)]
pub struct Mesh {
    /// Places, mm.
    pub points: Vec<Vec3>,
    /// Three indices of points each.
    pub triangles: Vec<[u32; 3]>,
    /// One per triangle, or empty when all are `Skin`.
    pub sides: Vec<Side>,
}

impl Mesh {
    /// The least box that holds all points.
    pub fn bounds(&self) -> Box3 {
        Box3::around(self.points.iter().copied())
    }

    /// The three corners of a triangle.
    pub fn corners(&self, triangle: usize) -> [Vec3; 3] {
        self.triangles[triangle].map(|i| self.points[i as usize])
    }

    /// The middle of a triangle, the mean of its corners.
    pub fn middle(&self, triangle: usize) -> Vec3 {
        let [a, b, c] = self.corners(triangle);
        (a + b + c) / 3.0
    }

    /// The side a triangle belongs to.
    pub fn side(&self, triangle: usize) -> Side {
        self.sides.get(triangle).copied().unwrap_or_default()
    }

    /// Carries it along an affine map; a map that mirrors turns its triangles over, so that they face out again.
    pub fn carry(&mut self, by: &Affine) {
        self.points.iter_mut().for_each(|p| *p = by.apply(*p));
        if by.determinant() < 0.0 {
            self.triangles.iter_mut().for_each(|t| t.swap(1, 2));
        }
    }

    /// Drops the points that no triangle uses; the others keep their order.
    pub fn compact(&mut self) {
        let mut place = vec![u32::MAX; self.points.len()];
        for &i in self.triangles.iter().flatten() {
            place[i as usize] = 0;
        }
        let mut kept = Vec::with_capacity(self.points.len());
        for (p, at) in self.points.iter().zip(&mut place) {
            if *at == 0 {
                *at = kept.len() as u32;
                kept.push(*p);
            }
        }
        self.points = kept;
        for i in self.triangles.iter_mut().flatten() {
            *i = place[*i as usize];
        }
    }

    /// Joins points that are bit for bit at the same place, as a file without shared corners needs, and drops the
    /// triangles that lose a corner by it.
    pub fn weld(&mut self) {
        let mut first: HashMap<[u64; 3], u32> = HashMap::with_capacity(self.points.len());
        let mut place = Vec::with_capacity(self.points.len());
        for (i, p) in self.points.iter().enumerate() {
            // Adding zero makes -0 and 0 one place.
            let key = p.array().map(|c| (c + 0.0).to_bits());
            place.push(*first.entry(key).or_insert(i as u32));
        }
        for i in self.triangles.iter_mut().flatten() {
            *i = place[*i as usize];
        }
        self.keep(|_, [a, b, c]| a != b && b != c && c != a);
    }

    /// Keeps the triangles that `test` (number of the triangle, its corners) holds for, and the points they use.
    pub fn keep(&mut self, test: impl Fn(usize, [u32; 3]) -> bool) {
        let kept: Vec<bool> = self.triangles.iter().enumerate().map(|(i, t)| test(i, *t)).collect();
        let mut flags = kept.iter();
        if !self.sides.is_empty() {
            let mut side_flags = kept.iter();
            self.sides.retain(|_| side_flags.next().copied().unwrap_or(true));
        }
        self.triangles.retain(|_| flags.next().copied().unwrap_or(true));
        self.compact();
    }

    /// The number of the component of each triangle, counted from 0 in the order of the triangles, and how many
    /// components there are. Triangles that share a point belong together.
    pub fn component_of_triangles(&self) -> (Vec<u32>, usize) {
        let mut parent: Vec<u32> = (0..self.points.len() as u32).collect();
        for t in &self.triangles {
            for k in 1..3 {
                let (a, b) = (root(&mut parent, t[0]), root(&mut parent, t[k]));
                parent[a.max(b) as usize] = a.min(b);
            }
        }
        let mut number = vec![u32::MAX; self.points.len()];
        let mut count = 0;
        let of = self
            .triangles
            .iter()
            .map(|t| {
                let r = root(&mut parent, t[0]) as usize;
                if number[r] == u32::MAX {
                    number[r] = count;
                    count += 1;
                }
                number[r]
            })
            .collect();
        (of, count as usize)
    }

    /// Some triangles as a mesh of their own, and the number of each of its points in this one.
    pub fn part(&self, some: &[u32]) -> (Mesh, Vec<u32>) {
        let (mut part, mut from) = (Mesh::default(), Vec::new());
        let mut place = vec![u32::MAX; self.points.len()];
        for &t in some {
            part.triangles.push(self.triangles[t as usize].map(|p| {
                let at = &mut place[p as usize];
                if *at == u32::MAX {
                    *at = from.len() as u32;
                    from.push(p);
                }
                *at
            }));
        }
        part.points = from.iter().map(|p| self.points[*p as usize]).collect();
        if !self.sides.is_empty() {
            part.sides = some.iter().map(|t| self.sides[*t as usize]).collect();
        }
        (part, from)
    }

    /// The components, each a mesh of its own.
    pub fn split(&self) -> Vec<Mesh> {
        let (of, count) = self.component_of_triangles();
        let mut parts = vec![Mesh::default(); count];
        let mut place = vec![u32::MAX; self.points.len()];
        for (i, t) in self.triangles.iter().enumerate() {
            let part = &mut parts[of[i] as usize];
            part.triangles.push(t.map(|p| {
                let at = &mut place[p as usize];
                if *at == u32::MAX {
                    *at = part.points.len() as u32;
                    part.points.push(self.points[p as usize]);
                }
                *at
            }));
            if let Some(side) = self.sides.get(i) {
                part.sides.push(*side);
            }
        }
        parts
    }

    /// Adds another mesh beside this one.
    pub fn append(&mut self, other: &Mesh) {
        if !self.sides.is_empty() || !other.sides.is_empty() {
            self.sides.resize(self.triangles.len(), Side::Skin);
            self.sides.extend((0..other.triangles.len()).map(|i| other.side(i)));
        }
        let shift = self.points.len() as u32;
        self.points.extend_from_slice(&other.points);
        self.triangles.extend(other.triangles.iter().map(|t| t.map(|i| i + shift)));
    }
}

/// The one by which the group of `i` is known, where each knows its parent and that one itself.
pub(crate) fn root(parent: &mut [u32], mut i: u32) -> u32 {
    while parent[i as usize] != i {
        parent[i as usize] = parent[parent[i as usize] as usize];
        i = parent[i as usize];
    }
    i
}
