//! The cells that cover a solid, and the function as it is in a part of them.

use std::sync::Arc;

use super::block::SIDE;
use super::field::Field;
use crate::base::{Box3, Vec3};
use crate::formula::Tape;

/// Tapes of more steps than this are made lighter where they can be.
pub const LONG: usize = 64;

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

/// The function as it is in a part of space.
#[derive(Clone, Debug)]
pub struct Local {
    /// To the last bit.
    pub tape: Arc<Tape>,
    /// A long sum without the terms that hardly change here, and how far its values may be off.
    pub light: Option<(Arc<Tape>, f64)>,
}

impl Local {
    /// As far as it is known, without a lighter one.
    pub fn exact(tape: Tape) -> Self {
        Self { tape: Arc::new(tape), light: None }
    }

    /// The lightest tape, and how far its values may be off.
    pub fn near(&self) -> (&Arc<Tape>, f64) {
        self.light.as_ref().map_or((&self.tape, 0.0), |(tape, error)| (tape, *error))
    }

    /// In a smaller part of space, with a lighter tape still where most of a long sum hardly changes: its values are off
    /// by `part` of their `spread` there at most, and by what they were off before.
    pub fn lighter(&self, region: Box3, part: f64, spread: f64) -> Option<(Tape, f64)> {
        let (near, error) = self.near();
        let long = near.len() > LONG;
        let light = if long { near.lighten(region, part * spread) } else { None };
        light.map(|(tape, more)| (tape, error + more))
    }

    /// The same with the lighter tape of [`Self::lighter`].
    pub fn lightened(self, region: Box3, part: f64, spread: f64) -> Self {
        let light = self.lighter(region, part, spread).map(|(tape, error)| (Arc::new(tape), error));
        Self { light: light.or(self.light), tape: self.tape }
    }
}
