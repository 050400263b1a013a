//! The cells that cover a solid.

use super::block::SIDE;
use super::field::Field;
use crate::base::{Box3, Vec3};

/// The cells that cover a solid: cubes of one size.
#[derive(Clone, Copy, Debug)]
pub struct Grid {
    /// Lattice point (0, 0, 0), mm.
    pub origin: Vec3,
    /// Edge of a cell, mm.
    pub step: f64,
    /// Blocks along each axis.
    pub blocks: [i32; 3],
}

impl Grid {
    /// Cells of edge `step` over a box with a margin. The lattice is shifted by an odd part of a cell, so that faces at
    /// round coordinates do not run along it.
    pub fn over(region: Box3, step: f64) -> Self {
        let shift = Vec3::new(0.137, 0.271, 0.391) * step;
        let count = |k: usize| {
            let cells = (region.size()[k] / step).ceil() + 4.0;
            (cells / SIDE as f64).ceil() as i32
        };
        let blocks = [0, 1, 2].map(count);
        let size = Vec3::from(blocks.map(|b| f64::from(b) * SIDE as f64 * step));
        Self { origin: region.centre() - size * 0.5 + shift, step, blocks }
    }

    /// The place of a lattice point.
    pub fn at(&self, i: [i32; 3]) -> Vec3 {
        self.origin + Vec3::new(f64::from(i[0]), f64::from(i[1]), f64::from(i[2])) * self.step
    }

    /// The box of `size` blocks from block `b` on.
    pub fn region(&self, b: [i32; 3], size: i32) -> Box3 {
        let s = SIDE as i32;
        Box3::new(self.at(b.map(|i| i * s)), self.at(b.map(|i| (i + size) * s)))
    }

    /// True when the block is one of the grid.
    pub fn has(&self, b: [i32; 3]) -> bool {
        (0..3).all(|k| (0..self.blocks[k]).contains(&b[k]))
    }
}

/// What is extracted, and how.
#[derive(Clone, Copy, Debug)]
pub struct Job<'a> {
    /// The function; the mesh is where it changes sign.
    pub field: &'a Field,
    /// The cells.
    pub grid: &'a Grid,
    /// The mesh may end at the border of the grid and where `clip` is positive.
    pub open: bool,
    /// Blocks where this is positive in all of the block and a margin (mm) around it are left out.
    pub clip: Option<(&'a Field, f64)>,
}

impl Job<'_> {
    /// True when a part of space, `size` blocks from block `at` on, may matter.
    pub fn matters(&self, at: [i32; 3], size: i32) -> bool {
        self.clip.is_none_or(|(clip, margin)| clip.bounds(self.grid.region(at, size).grown(margin)).lo <= 0.0)
    }
}
