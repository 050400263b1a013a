//! Which edges of a block's lattice the surface crosses, and which cells it passes through: signs are bits, and the cells of a
//! layer one word.

use super::block::{Bench, Block, LATTICE, POINTS, SIDE, STRIDE, place_of};

/// A bit for each cell of a line, or for each point from which an edge along it starts.
const WITHIN: u16 = (1 << SIDE) - 1;

/// An edge of the lattice that the surface crosses and this block makes a face for: bits 0 to 8 its start in cells of the
/// block (x, y, z, three bits each), bits 9 and 10 its axis, bit 11 set when it starts inside.
#[derive(Clone, Copy, Debug)]
pub struct Crossed(u16);

impl Crossed {
    /// `at` is x + 8 y.
    fn new(at: usize, z: usize, axis: usize, leaves: bool) -> Self {
        Self((at | z << 6 | axis << 9 | usize::from(leaves) << 11) as u16)
    }

    /// Where it starts, in cells of the block.
    pub fn start(self) -> [usize; 3] {
        [0, 3, 6].map(|by| usize::from(self.0 >> by & 7))
    }

    /// Its axis.
    pub fn axis(self) -> usize {
        usize::from(self.0 >> 9 & 3)
    }

    /// True when it starts inside.
    pub fn leaves(self) -> bool {
        self.0 >> 11 & 1 == 1
    }
}

/// The cells that the surface passes through, in order: along x, lines along y, layers along z.
#[derive(Clone, Copy, Debug)]
pub struct Active {
    /// For each line of cells a bit for each cell.
    bits: [u8; SIDE * SIDE],
    /// For each line the number of cells in those before it.
    before: [u16; SIDE * SIDE],
}

impl Active {
    /// The number of the first cell of a line and the bits of its cells.
    pub fn line(&self, y: usize, z: usize) -> (usize, u8) {
        let line = y + SIDE * z;
        (usize::from(self.before[line]), self.bits[line])
    }

    /// The number of a cell; `None` when the surface does not pass through it.
    pub fn number(&self, [x, y, z]: [usize; 3]) -> Option<usize> {
        let (before, bits) = self.line(y, z);
        let lower = bits & ((1 << x) - 1);
        (bits >> x & 1 == 1).then_some(before + lower.count_ones() as usize)
    }
}

impl Bench {
    /// Gathers the signs; false when they are all the same.
    pub fn signs(&mut self) -> bool {
        self.rows.clear();
        self.rows.extend(
            self.value[..LATTICE]
                .chunks_exact(POINTS)
                .map(|line| line.iter().enumerate().fold(0, |m, (x, v)| m | u16::from(*v < 0.0) << x)),
        );
        let (or, and) = self.rows.iter().fold((0, u16::MAX), |(o, a), r| (o | r, a & r));
        or != 0 && and != (1 << POINTS) - 1
    }

    /// The signs at the lowest corners of the cells of a layer, bit x + 8 y; shifted by `by` lattice points along x and y.
    fn layer(&self, z: usize, by: [usize; 2]) -> u64 {
        let row = |y: usize| u64::from(self.rows[y + by[1] + POINTS * z] >> by[0] & WITHIN);
        (0..SIDE).fold(0, |all, y| all | row(y) << (SIDE * y))
    }

    /// Finds the crossed edges and notes what they ask of the block and of its neighbours; false when a value at an end of
    /// one is not finite.
    pub fn find(&self, block: &mut Block, open: bool) -> bool {
        let clear =
            self.value[..LATTICE].iter().fold(0.0, |all, v| all + v * 0.0) == 0.0 || self.ends_are_finite();
        let layers: [u64; POINTS] = std::array::from_fn(|z| self.layer(z, [0, 0]));
        let changed: [[u64; 3]; SIDE] = std::array::from_fn(|z| {
            let own = layers[z];
            [own ^ self.layer(z, [1, 0]), own ^ self.layer(z, [0, 1]), own ^ layers[z + 1]]
        });
        block.crossed.reserve_exact(changed.iter().flatten().map(|c| c.count_ones() as usize).sum());
        for (z, axes) in changed.iter().enumerate() {
            for (axis, changed) in axes.iter().enumerate() {
                let mut left = *changed;
                while left != 0 {
                    let at = left.trailing_zeros() as usize;
                    left &= left - 1;
                    // A sheet ends where the field does; a solid is closed there.
                    if clear || !open || self.is_finite([at % SIDE, at / SIDE, z], axis) {
                        block.crossed.push(Crossed::new(at, z, axis, layers[z] >> at & 1 == 1));
                    }
                }
            }
        }
        block.needs = self.needs();
        clear
    }

    /// The neighbours with which the block shares crossed edges, as in [`Block::needs`]: lattice points on what they share lie
    /// on both sides.
    fn needs(&self) -> u32 {
        // Along each axis what is shared with the block below, beside and above.
        let shared = [0..1, 0..POINTS, SIDE..POINTS];
        let mut needs = 0;
        for k in (0..27).filter(|k| *k != 13) {
            let [x, y, z] = [k % 3, k / 3 % 3, k / 9].map(|side| shared[side].clone());
            let bits = x.fold(0, |bits, x| bits | 1u16 << x);
            let rows = z.flat_map(|z| y.clone().map(move |y| y + POINTS * z)).map(|line| self.rows[line]);
            let (or, and) = rows.fold((0, u16::MAX), |(or, and), row| (or | row, and & row));
            if or & bits != 0 && and & bits != bits {
                needs |= 1 << k;
            }
        }
        needs
    }

    /// True when the values at both ends of an edge are finite.
    fn is_finite(&self, [x, y, z]: [usize; 3], axis: usize) -> bool {
        let k = x + POINTS * (y + POINTS * z);
        self.value[k].is_finite() && self.value[k + STRIDE[axis]].is_finite()
    }

    /// The crossed edges of all cells, by their starts and axes.
    fn edges(&self) -> impl Iterator<Item = (usize, usize)> {
        (0..POINTS * POINTS).flat_map(move |line| {
            let (y, z) = (line % POINTS, line / POINTS);
            let row = self.rows[line];
            let along = |next: Option<&u16>| next.map_or(0, |n| row ^ n);
            let changed = [
                (row ^ row >> 1) & WITHIN,
                if y < SIDE { along(self.rows.get(line + 1)) } else { 0 },
                if z < SIDE { along(self.rows.get(line + POINTS)) } else { 0 },
            ];
            (0..3).flat_map(move |axis| {
                (0..POINTS)
                    .filter(move |x| changed[axis] >> x & 1 == 1)
                    .map(move |x| (line * POINTS + x, axis))
            })
        })
    }

    /// True when the values at both ends are finite for all crossed edges.
    fn ends_are_finite(&self) -> bool {
        self.edges().all(|(k, axis)| self.is_finite(place_of(k), axis))
    }

    /// Where each crossed edge is crossed, by a straight line between the values at its ends.
    pub fn share_all(&mut self) {
        let mut share = std::mem::take(&mut self.share);
        share.resize(3 * LATTICE, 0.0);
        for (k, axis) in self.edges() {
            let (a, b) = (self.value[k], self.value[k + STRIDE[axis]]);
            share[axis * LATTICE + k] = a / (a - b);
        }
        self.share = share;
    }

    /// Gathers the cells that the surface passes through.
    pub fn activate(&mut self) -> Active {
        self.active.clear();
        let mut all = Active { bits: [0; SIDE * SIDE], before: [0; SIDE * SIDE] };
        let layers: [[u64; 4]; POINTS] =
            std::array::from_fn(|z| [[0, 0], [1, 0], [0, 1], [1, 1]].map(|by| self.layer(z, by)));
        for z in 0..SIDE {
            let corners: [u64; 8] = std::array::from_fn(|k| layers[z + k / 4][k % 4]);
            let (or, and) = corners.iter().fold((0, u64::MAX), |(or, and), c| (or | c, and & c));
            let active = or & !and;
            let mut before = self.active.len() as u16;
            for (y, bits) in active.to_le_bytes().into_iter().enumerate() {
                all.bits[y + SIDE * z] = bits;
                all.before[y + SIDE * z] = before;
                before += bits.count_ones() as u16;
            }
            let mut left = active;
            while left != 0 {
                let at = left.trailing_zeros() as usize;
                left &= left - 1;
                let signs = (0..8).fold(0, |all, k| all | ((corners[k] >> at & 1) as u8) << k);
                let (x, y) = (at % SIDE, at / SIDE);
                self.active.push(((x + POINTS * (y + POINTS * z)) as u16, signs));
            }
        }
        all
    }
}
