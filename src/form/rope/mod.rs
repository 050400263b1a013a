//! Closed loops of rope: moved to an even, open shape, or pulled tight, without one strand passing through another.
//!
//! A loop is the closed cubic B-spline of its control points, so that it is smooth to the second derivative and its
//! bend at a joint is the second difference of the control points.

mod contact;
mod descent;
mod pull;
mod spread;
mod symmetry;

pub use pull::tighten;
pub use spread::relax;
pub use symmetry::{Symmetry, uprighted};

use crate::base::Vec3;

/// Control points of closed loops, each of four points or more.
pub type Loops = Vec<Vec<Vec3>>;

/// Who follows whom: control points of all loops in one row.
#[derive(Clone, Debug)]
pub(crate) struct Chain {
    /// The point after each.
    pub next: Vec<usize>,
    /// The point before each.
    pub before: Vec<usize>,
    /// First point and count of the loop that each point belongs to.
    pub home: Vec<(usize, usize)>,
}

impl Chain {
    fn of(loops: &Loops) -> Self {
        let mut chain = Self { next: vec![], before: vec![], home: vec![] };
        for l in loops {
            let (first, count) = (chain.next.len(), l.len());
            for i in 0..count {
                chain.next.push(first + (i + 1) % count);
                chain.before.push(first + (i + count - 1) % count);
                chain.home.push((first, count));
            }
        }
        chain
    }

    fn len(&self) -> usize {
        self.next.len()
    }

    /// Steps along the rope between two points; none when they lie on different loops.
    fn steps(&self, i: usize, j: usize) -> Option<usize> {
        let (first, count) = self.home[i];
        (self.home[j].0 == first).then(|| {
            let apart = i.abs_diff(j);
            apart.min(count - apart)
        })
    }
}

pub(crate) fn flat(loops: &Loops) -> Vec<f64> {
    loops.iter().flatten().flat_map(|p| p.array()).collect()
}

pub(crate) fn unflat(x: &[f64], like: &Loops) -> Loops {
    let mut points = x.chunks(3).map(|c| Vec3::new(c[0], c[1], c[2]));
    like.iter().map(|l| points.by_ref().take(l.len()).collect()).collect()
}

fn at(x: &[f64], i: usize) -> Vec3 {
    Vec3::new(x[3 * i], x[3 * i + 1], x[3 * i + 2])
}

fn add(x: &mut [f64], i: usize, v: Vec3) {
    x[3 * i] += v.x;
    x[3 * i + 1] += v.y;
    x[3 * i + 2] += v.z;
}

/// The points of the curve at the joints: control points weighted 1 : 4 : 1.
fn joints(c: &[f64], chain: &Chain) -> Vec<f64> {
    let mut p = vec![0.0; c.len()];
    for i in 0..chain.len() {
        add(&mut p, i, (at(c, chain.before[i]) + at(c, i) * 4.0 + at(c, chain.next[i])) / 6.0);
    }
    p
}

/// The length of a loop's polygon.
pub(crate) fn round(l: &[Vec3]) -> f64 {
    (0..l.len()).map(|i| (l[(i + 1) % l.len()] - l[i]).norm()).sum()
}

/// A loop's polygon cut anew into `count` steps of one length.
pub(crate) fn evened(l: &[Vec3], count: usize) -> Vec<Vec3> {
    let total = round(l);
    let mut out = Vec::with_capacity(count);
    let (mut k, mut gone) = (0, 0.0);
    for i in 0..count {
        let want = total * i as f64 / count as f64;
        loop {
            let (a, b) = (l[k % l.len()], l[(k + 1) % l.len()]);
            let step = (b - a).norm();
            if gone + step >= want || k + 1 >= l.len() {
                let s = if step > 0.0 { ((want - gone) / step).clamp(0.0, 1.0) } else { 0.0 };
                out.push(a + (b - a) * s);
                break;
            }
            gone += step;
            k += 1;
        }
    }
    out
}
