//! Cells and faces many at a time: what is asked of each is the same arithmetic, which fills vector registers.

use fearless_simd::{Level, dispatch};

use super::block::{LATTICE, STRIDE};

/// So many are worked out together.
pub const WIDE: usize = 64;

/// A number for each.
pub type Lane = [f64; WIDE];
/// The same in 32 bits, which suffice for what is measured in cells of one block.
pub type Short = [f32; WIDE];

/// Cells that the surface passes through, by the values at their corners.
#[derive(Debug)]
pub struct Cells {
    /// The values, corner by corner (corner `i` has offset (i & 1, i >> 1 & 1, i >> 2 & 1)).
    pub corner: [Lane; 8],
    /// The middle of the crossings by straight lines, in cells from the lowest corner.
    pub middle: [Lane; 3],
    /// About the slope times the edge of a cell: the mean of the differences along the four edges of each axis.
    pub lean: [Lane; 3],
    /// By what part of itself the slope changes within the cell, squared.
    pub bend: Lane,
}

impl Default for Cells {
    fn default() -> Self {
        Self { corner: [[0.0; WIDE]; 8], middle: [[0.0; WIDE]; 3], lean: [[0.0; WIDE]; 3], bend: [0.0; WIDE] }
    }
}

/// The edges along each axis, by their corners.
const EDGES: [[[usize; 2]; 4]; 3] =
    [[[0, 1], [2, 3], [4, 5], [6, 7]], [[0, 2], [1, 3], [4, 6], [5, 7]], [[0, 4], [1, 5], [2, 6], [3, 7]]];

#[inline(always)]
fn masked(keep: bool, v: f64) -> f64 {
    f64::from_bits(v.to_bits() & u64::from(keep).wrapping_neg())
}

/// From the lowest corner of a cell to each of its corners, on the lattice of a block.
pub const CORNERS: [usize; 8] = {
    let mut all = [0; 8];
    let mut k = 0;
    while k < 8 {
        all[k] = (k & 1) * STRIDE[0] + (k >> 1 & 1) * STRIDE[1] + (k >> 2) * STRIDE[2];
        k += 1;
    }
    all
};

impl Cells {
    /// Takes up the cells with these lowest corners, at most [`WIDE`], by the values on the lattice of their block.
    pub fn gather(&mut self, lowest: impl Iterator<Item = usize>, value: &[f64; LATTICE]) {
        for (i, base) in lowest.enumerate().take(WIDE) {
            for (lane, offset) in self.corner.iter_mut().zip(CORNERS) {
                lane[i] = value[base + offset];
            }
        }
    }

    /// Works out everything from the values at the corners.
    pub fn measure(&mut self) {
        dispatch!(Level::new(), _simd => self.measure_all());
    }

    #[inline(always)]
    fn measure_all(&mut self) {
        let Self { corner, middle, lean, bend } = self;
        for i in 0..WIDE {
            let mut sum = [0.0; 3];
            let mut count = 0.0;
            let (mut slope, mut change) = (0.0, 0.0);
            for (axis, edges) in EDGES.iter().enumerate() {
                let mut differences = [0.0; 4];
                for (k, [from, to]) in edges.iter().enumerate() {
                    let (a, b) = (corner[*from][i], corner[*to][i]);
                    let crossed = (a < 0.0) != (b < 0.0);
                    let one = masked(crossed, 1.0);
                    count += one;
                    sum[axis] += masked(crossed, a / (a - b));
                    for (other, sum) in sum.iter_mut().enumerate() {
                        if other != axis && from >> other & 1 == 1 {
                            *sum += one;
                        }
                    }
                    differences[k] = b - a;
                }
                let mean = 0.25 * (differences[0] + differences[1] + differences[2] + differences[3]);
                let off = differences.iter().fold(0.0, |off: f64, d| off.max((d - mean).abs()));
                lean[axis][i] = mean;
                slope += mean * mean;
                change += off * off;
            }
            let each = 1.0 / count;
            (0..3).for_each(|axis| middle[axis][i] = sum[axis] * each);
            bend[i] = change / slope;
        }
    }
}

/// Vertices on their way onto the surface, by one step each.
#[derive(Debug)]
pub struct Steps {
    /// Where they start, in cells from the lowest corner of the cell of each.
    pub start: [Lane; 3],
    /// As in [`Cells`].
    pub lean: [Lane; 3],
    /// As in [`Cells`].
    pub bend: Lane,
    /// The values where they start.
    pub value: Lane,
    /// Where the step leads, as `start`.
    pub to: [Lane; 3],
    /// By how much of a cell that may miss the surface, squared; infinite where it leads out of the cell.
    pub miss: Lane,
}

impl Default for Steps {
    fn default() -> Self {
        let three = [[0.0; WIDE]; 3];
        let one = [0.0; WIDE];
        Self { start: three, lean: three, bend: one, value: one, to: three, miss: one }
    }
}

impl Steps {
    /// Takes up a vertex that starts in the middle of the crossings of a cell, both by their places.
    pub fn take(&mut self, i: usize, cells: &Cells, k: usize) {
        for axis in 0..3 {
            self.start[axis][i] = cells.middle[axis][k];
            self.lean[axis][i] = cells.lean[axis][k];
        }
        self.bend[i] = cells.bend[k];
    }

    /// Makes the steps, along the slopes.
    pub fn make(&mut self) {
        dispatch!(Level::new(), _simd => self.make_all());
    }

    #[inline(always)]
    fn make_all(&mut self) {
        let Self { start, lean, bend, value, to, miss } = self;
        for i in 0..WIDE {
            let square = lean[0][i] * lean[0][i] + lean[1][i] * lean[1][i] + lean[2][i] * lean[2][i];
            let far = value[i] / square;
            let mut outside = false;
            for axis in 0..3 {
                let p = start[axis][i] - lean[axis][i] * far;
                outside |= !(p >= 0.0) | !(p <= 1.0);
                to[axis][i] = p;
            }
            let off = value[i] * far * bend[i];
            miss[i] = if outside { f64::INFINITY } else { off };
        }
    }
}

/// Faces about crossed edges of the lattice, by the vertices of the four cells around each, counter-clockwise seen from
/// the end of the edge.
#[derive(Debug)]
pub struct Quads {
    /// For each corner its place from the start of the edge, in cells: across the edge twice, then along it.
    pub corner: [[Short; 3]; 4],
    /// What is found, bit by bit.
    pub found: [u32; WIDE],
}

impl Default for Quads {
    fn default() -> Self {
        Self { corner: [[[0.0; WIDE]; 3]; 4], found: [0; WIDE] }
    }
}

/// The diagonal from corner 1 splits the face more evenly than that from corner 0.
pub const OTHER: u32 = 1;
/// The diagonal from corner 0, from corner 1, stays within the tetrahedra about the edge.
pub const STAYS: [u32; 2] = [2, 4];
/// A corner is not well inside the quarter of its cell, seen along the edge.
pub const TOUCHES: u32 = 8;

/// How far, in cells, corners and diagonals keep from what they must not pass.
const LEAST: f32 = 1e-5;

type Short3 = [f32; 3];

#[inline(always)]
fn less(a: Short3, b: Short3) -> Short3 {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}

#[inline(always)]
fn dot(a: Short3, b: Short3) -> f32 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

#[inline(always)]
fn cross(a: Short3, b: Short3) -> Short3 {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

/// Twice the area of a triangle, seen along the face, over the square of the longest side, but for a factor that is the
/// same for all triangles of the face; negative when folded back.
#[inline(always)]
fn worth(a: Short3, b: Short3, c: Short3, whole: Short3) -> f32 {
    let (ab, bc, ca) = (less(b, a), less(c, b), less(a, c));
    let longest = dot(ab, ab).max(dot(bc, bc)).max(dot(ca, ca)).max(1e-30);
    dot(cross(ab, bc), whole) / longest
}

/// True when the diagonal from `a` to `c` passes through the triangle between the edge and `b`, or through the edge: flat
/// faces along the lattice do.
#[inline(always)]
fn passes(a: Short3, b: Short3, c: Short3) -> bool {
    let beside = |p: Short3, q: Short3| p[0] * q[1] - p[1] * q[0];
    let (from, to) = (beside(a, b), beside(c, b));
    let t = from / (from - to);
    let d = [a[0] + (c[0] - a[0]) * t, a[1] + (c[1] - a[1]) * t, a[2] + (c[2] - a[2]) * t];
    // The part of the way from the edge to the corner.
    let s = (d[0] * b[0] + d[1] * b[1]) / (b[0] * b[0] + b[1] * b[1]);
    let (low, high) = (b[2] * s, 1.0 + (b[2] - 1.0) * s);
    (from * to < 0.0) & (s > -LEAST) & (s < 1.0 - LEAST) & (d[2] > low + LEAST) & (d[2] < high - LEAST)
}

impl Quads {
    /// Looks at all faces.
    pub fn look(&mut self) {
        dispatch!(Level::new(), _simd => self.look_all());
    }

    #[inline(always)]
    fn look_all(&mut self) {
        let Self { corner, found } = self;
        for i in 0..WIDE {
            let p = |k: usize| [corner[k][0][i], corner[k][1][i], corner[k][2][i]];
            let (a, b, c, d) = (p(0), p(1), p(2), p(3));
            let whole = cross(less(c, a), less(d, b));
            let first = worth(a, b, c, whole).min(worth(a, c, d, whole));
            let second = worth(b, c, d, whole).min(worth(b, d, a, whole));
            let inside = (a[0] < -LEAST)
                & (a[1] < -LEAST)
                & (b[0] > LEAST)
                & (b[1] < -LEAST)
                & (c[0] > LEAST)
                & (c[1] > LEAST)
                & (d[0] < -LEAST)
                & (d[1] > LEAST);
            let bit = |is: bool, bit: u32| u32::from(is).wrapping_neg() & bit;
            found[i] = bit(second > first, OTHER)
                | bit(passes(a, b, c) | passes(a, d, c), STAYS[0])
                | bit(passes(b, c, d) | passes(b, a, d), STAYS[1])
                | bit(!inside, TOUCHES);
        }
    }
}
