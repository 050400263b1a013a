//! The even, open shape: strands keep away from one another, at fixed length.
//!
//! The energy is the sum over pairs of segments that are no neighbours of length times length over the cube of their
//! least distance, times the whole length: it does not change with size, and grows without bound where strands meet.
//! Steps are so short that no two strands can meet, so the knot stays what it is. Sources: J. Simon, J. Knot Theory
//! Ramifications 3 (1994) 299 (least distances, with the square); J. O'Hara, Topology and its Applications 48 (1992)
//! 147 (other powers; with the cube a small tight knot on a long loop costs more than an open one).

use super::descent::{Objective, descend};
use super::{Chain, Loops, Symmetry, add, at, contact, evened, flat, round, unflat};
use crate::base::{Stopped, Watch};

/// A step may take a point this part of the way to the nearest other strand: two strands cannot meet.
const SAFE: f64 = 0.4;
/// Weight of even steps along the rope, against the energy.
const EVEN: f64 = 4.0;
/// The power of the distance; its inverse is written out where it is taken.
const POWER: f64 = 3.0;

struct Spread<'a> {
    chain: &'a Chain,
    /// The length to keep.
    length: f64,
    nearest: f64,
    /// Weight of even steps, from the energy at the start.
    even: Option<f64>,
    watch: &'a dyn Watch,
    /// Parts of the whole work before this descent, and in it.
    share: (f64, f64),
}

impl Objective for Spread<'_> {
    fn value(&mut self, x: &[f64], slope: &mut [f64]) -> f64 {
        slope.fill(0.0);
        let n = self.chain.len();
        let next = &self.chain.next;
        let edges: Vec<_> = (0..n).map(|i| [at(x, i), at(x, next[i])]).collect();
        let lengths: Vec<f64> = edges.iter().map(|[a, b]| (*b - *a).norm()).collect();
        let mut energy = 0.0;
        let mut by_length = vec![0.0; n];
        let mut least = f64::INFINITY;
        for i in 0..n {
            for j in i + 1..n {
                if next[i] == j || next[j] == i {
                    continue;
                }
                let (s, t, way) = contact::nearest(edges[i], edges[j]);
                let dd = way.dot(way);
                least = least.min(dd);
                let e = 1.0 / (dd * dd.sqrt());
                energy += lengths[i] * lengths[j] * e;
                by_length[i] += lengths[j] * e;
                by_length[j] += lengths[i] * e;
                let push = way * (-POWER * lengths[i] * lengths[j] * e / dd);
                add(slope, i, push * (1.0 - s));
                add(slope, next[i], push * s);
                add(slope, j, push * (t - 1.0));
                add(slope, next[j], push * -t);
            }
        }
        let step = self.length / n as f64;
        // The same at any size.
        let whole: f64 = lengths.iter().sum();
        let factor = whole;
        slope.iter_mut().for_each(|g| *g *= factor);
        by_length.iter_mut().for_each(|g| *g = (*g + energy / whole) * factor);
        energy *= factor;
        let even = *self.even.get_or_insert(EVEN * energy / n as f64);
        for i in 0..n {
            let off = lengths[i] / step - 1.0;
            energy += even * off * off;
            let pull = (edges[i][1] - edges[i][0]) * ((by_length[i] + 2.0 * even * off / step) / lengths[i]);
            add(slope, next[i], pull);
            add(slope, i, -pull);
        }
        self.nearest = least.sqrt();
        energy
    }

    fn reach(&self) -> f64 {
        SAFE * self.nearest
    }

    fn goes_on(&mut self, part: f64) -> bool {
        self.watch.progress("spreading the rope", self.share.0 + self.share.1 * part);
        !self.watch.stop()
    }
}

/// Steps with the points as given, with the same again after a shake, then with twice as many points.
const STEPS: [usize; 3] = [800, 500, 150];
/// A descent ends when steps gain less than this part of the energy.
const GAIN: f64 = 1e-7;
/// How far a shake moves points, as a part of the way to the nearest strand.
const SHAKE: f64 = 0.45;

/// The loops in an even, open shape of the same knot type and total length, with twice as many points.
///
/// Without a symmetry, points are moved a little off their places, always alike, so that a shape is not held in
/// balance by being symmetric. With one, it is kept.
///
/// # Errors
/// When the watch says stop.
pub fn relax(loops: &Loops, symmetry: Option<&Symmetry>, watch: &dyn Watch) -> Result<Loops, Stopped> {
    let mut now = loops.clone();
    let length: f64 = now.iter().map(|l| round(l)).sum();
    let mut orbits = symmetry.cloned();
    for (k, steps) in STEPS.into_iter().enumerate() {
        if k == 2 {
            now = now.iter().map(|l| evened(l, 2 * l.len())).collect();
            orbits = orbits.map(|s| s.finer());
        }
        let chain = Chain::of(&now);
        let mut x = flat(&now);
        let share = (k as f64 / 3.0, 1.0 / 3.0);
        let mut spread = Spread { chain: &chain, length, nearest: 0.0, even: None, watch, share };
        match &orbits {
            Some(symmetry) => {
                let mut part = symmetry.folded(&x);
                descend(&mut symmetry.wrap(spread), &mut part, steps, GAIN);
                x = symmetry.unfolded(&part);
            }
            None => {
                if k < 2 {
                    let mut unused = vec![0.0; x.len()];
                    spread.value(&x, &mut unused);
                    shake(&mut x, &chain, SHAKE * spread.nearest);
                }
                descend(&mut spread, &mut x, steps, GAIN);
            }
        }
        watch.check()?;
        now = unflat(&x, &now);
    }
    Ok(now)
}

/// Moves points by up to `far`, smoothly along each loop and differently along each axis.
fn shake(x: &mut [f64], chain: &Chain, far: f64) {
    // Phases by multiples of the generalised golden ratio (M. Roberts, 2018, three dimensions).
    const PHASES: [f64; 3] = [0.819_172_513_396_164_5, 0.671_043_606_703_789_2, 0.549_700_477_901_970_3];
    const WAVES: usize = 5;
    for (i, point) in x.chunks_mut(3).enumerate() {
        let (first, count) = chain.home[i];
        let part = (i - first) as f64 / count as f64;
        for (axis, c) in point.iter_mut().enumerate() {
            let wave = |k: usize| {
                let phase = PHASES[axis] * (k + first) as f64;
                libm::sin(std::f64::consts::TAU * (k as f64 * part + phase))
            };
            *c += far * (1..=WAVES).map(wave).sum::<f64>() / (WAVES as f64 * 3f64.sqrt());
        }
    }
}
