//! The tight shape: rope of radius 1 made as short as it can be.
//!
//! Least length under two constraints, that no bend is tighter than radius 1 and no two strands are nearer than 2,
//! by the method of multipliers: each constraint has a force, which grows while the constraint is broken.
//! Sources: M. J. D. Powell in R. Fletcher (ed.), Optimization (1969) 283 (the method); T. Ashton, J. Cantarella,
//! M. Piatek, E. J. Rawdon, Experimental Mathematics 20 (2011) 57 (the constraints, and lengths to compare with).

use std::collections::BTreeMap;
use std::f64::consts::PI;

use super::descent::{Objective, descend};
use super::{Chain, Loops, add, at, contact, evened, flat, joints, round, unflat};
use crate::base::{Stopped, Vec3, Watch};

/// Least distance of two strands of rope of radius 1.
const APART: f64 = 2.0;
/// Pairs of pieces whose midpoints are nearer than this beyond touching are watched.
const MARGIN: f64 = 0.8;
/// Strands that come nearer than this, or move more than half of the rest in one step, could pass through.
const STEP: f64 = 0.25;
/// How hard a broken constraint pushes back before its force has grown.
const STIFF: f64 = 20.0;
/// The same for bends, whose slopes are steeper.
const STIFF_BEND: f64 = 3.0;
/// Weight of even steps along the rope.
const EVEN: f64 = 1.0;

/// Two pieces of the curve that may touch, and the force between them.
struct Pair {
    i: usize,
    j: usize,
    force: f64,
}

struct Pull<'a> {
    chain: &'a Chain,
    pairs: Vec<Pair>,
    /// Force against each bend.
    bends: Vec<f64>,
    watch: &'a dyn Watch,
    nearest: f64,
    /// Parts of the whole work before and after this descent, for who watches.
    share: (f64, f64),
}

impl<'a> Pull<'a> {
    fn new(chain: &'a Chain, watch: &'a dyn Watch) -> Self {
        Self { chain, pairs: vec![], bends: vec![0.0; chain.len()], watch, nearest: APART, share: (0.0, 1.0) }
    }

    /// Finds the pairs that may touch, and keeps the forces of those that were known.
    fn watch_pairs(&mut self, x: &[f64]) {
        let known: BTreeMap<(usize, usize), f64> =
            self.pairs.iter().filter(|p| p.force > 0.0).map(|p| ((p.i, p.j), p.force)).collect();
        let p = joints(x, self.chain);
        let n = self.chain.len();
        let edges: Vec<[Vec3; 2]> = (0..n).map(|i| [at(&p, i), at(&p, self.chain.next[i])]).collect();
        let step = edges.iter().map(|[a, b]| (*b - *a).norm()).sum::<f64>() / n as f64;
        // Within half a turn of the tightest bend the bend itself keeps strands apart.
        let own = (PI / step).ceil() as usize;
        let cut = APART + MARGIN + step;
        self.pairs.clear();
        for i in 0..n {
            for j in i + 1..n {
                if self.chain.steps(i, j).is_some_and(|k| k < own) {
                    continue;
                }
                let middle = (edges[i][0] + edges[i][1] - edges[j][0] - edges[j][1]) * 0.5;
                if middle.dot(middle) < cut * cut {
                    let force = known.get(&(i, j)).copied().unwrap_or(0.0);
                    self.pairs.push(Pair { i, j, force });
                }
            }
        }
    }

    /// Lets the forces grow by what is broken.
    fn grow(&mut self, x: &[f64]) {
        let p = joints(x, self.chain);
        let next = &self.chain.next;
        for pair in &mut self.pairs {
            let (i, j) = (pair.i, pair.j);
            let (_, _, way) = contact::nearest([at(&p, i), at(&p, next[i])], [at(&p, j), at(&p, next[j])]);
            pair.force = (pair.force + STIFF * (APART - way.norm())).max(0.0);
        }
        for i in 0..self.chain.len() {
            let (broken, _) = bend(x, self.chain, i);
            self.bends[i] = (self.bends[i] + STIFF_BEND * broken).max(0.0);
        }
    }
}

/// How much a joint bends more than radius 1 allows (the curvature times 1 mm, less 1), and the slope of it with
/// respect to the control points before, at and after the joint.
fn bend(c: &[f64], chain: &Chain, i: usize) -> (f64, [Vec3; 3]) {
    let (a, b, d) = (at(c, chain.before[i]), at(c, i), at(c, chain.next[i]));
    let (v, w) = ((d - a) * 0.5, a + d - b * 2.0);
    let turn = v.cross(w);
    let (vv, area) = (v.dot(v), turn.norm());
    let speed = vv.sqrt();
    let cube = vv * speed;
    if !(cube > 0.0 && area > 0.0) {
        return (-1.0, [Vec3::ZERO; 3]);
    }
    let value = area / cube;
    let unit = turn / area;
    // d|v × w| = unit · (dv × w + v × dw) = dv · (w × unit) + dw · (unit × v).
    let by_v = w.cross(unit) / cube - v * (3.0 * value / vv);
    let by_w = unit.cross(v) / cube;
    (value - 1.0, [by_w - by_v * 0.5, by_w * -2.0, by_w + by_v * 0.5])
}

/// The value and slope of a pushing constraint: broken by `g`, held by `force`.
fn push(g: f64, force: f64, stiff: f64) -> (f64, f64) {
    let f = (force + stiff * g).max(0.0);
    ((f * f - force * force) / (2.0 * stiff), f)
}

impl Objective for Pull<'_> {
    fn value(&mut self, x: &[f64], slope: &mut [f64]) -> f64 {
        let n = self.chain.len();
        let next = &self.chain.next;
        let p = joints(x, self.chain);
        let mut by_p = vec![0.0; p.len()];
        let lengths: Vec<f64> = (0..n).map(|i| (at(&p, next[i]) - at(&p, i)).norm()).collect();
        let mut value: f64 = lengths.iter().sum();
        let mean = value / n as f64;
        for i in 0..n {
            let off = lengths[i] / mean - 1.0;
            value += 0.5 * EVEN * mean * off * off;
            // The mean's own change is left out of the slope: it only scales the weight, and offs sum to zero.
            let pull = (at(&p, next[i]) - at(&p, i)) * ((1.0 + EVEN * off) / lengths[i]);
            add(&mut by_p, next[i], pull);
            add(&mut by_p, i, -pull);
        }
        let mut nearest = APART;
        for pair in &self.pairs {
            let (i, j) = (pair.i, pair.j);
            let (s, t, way) = contact::nearest([at(&p, i), at(&p, next[i])], [at(&p, j), at(&p, next[j])]);
            let d = way.norm();
            nearest = nearest.min(d);
            let (energy, force) = push(APART - d, pair.force, STIFF);
            value += energy;
            if force > 0.0 {
                let f = way * (-force / d);
                add(&mut by_p, i, f * (1.0 - s));
                add(&mut by_p, next[i], f * s);
                add(&mut by_p, j, f * (t - 1.0));
                add(&mut by_p, next[j], f * -t);
            }
        }
        self.nearest = nearest;
        slope.fill(0.0);
        for (i, after) in next.iter().copied().enumerate() {
            let g = at(&by_p, i) / 6.0;
            add(slope, self.chain.before[i], g);
            add(slope, i, g * 4.0);
            add(slope, after, g);
            let (broken, by) = bend(x, self.chain, i);
            let weight = mean;
            let (energy, force) = push(broken, self.bends[i], STIFF_BEND);
            value += energy * weight;
            if force > 0.0 {
                for (k, d) in [self.chain.before[i], i, after].into_iter().zip(by) {
                    add(slope, k, d * (force * weight));
                }
            }
        }
        value
    }

    fn reach(&self) -> f64 {
        STEP.min(0.4 * self.nearest)
    }

    fn goes_on(&mut self, part: f64) -> bool {
        self.watch.progress("pulling tight", self.share.0 + self.share.1 * part);
        !self.watch.stop()
    }
}

/// Length of a step along the rope, rounds of growing forces, steps of each descent.
const STAGES: [(f64, usize, usize); 2] = [(0.5, 14, 60), (0.22, 10, 60)];
/// A descent ends when steps gain less than this part of the length.
const GAIN: f64 = 1e-9;
/// Past this many points steps along the rope are longer.
const MOST: f64 = 600.0;

/// The loops, scaled for rope of radius 1 and clear of one another, pulled tight.
///
/// # Errors
/// When the watch says stop.
pub fn tighten(loops: &Loops, watch: &dyn Watch) -> Result<Loops, Stopped> {
    let mut now = loops.clone();
    for (s, (step, rounds, steps)) in STAGES.into_iter().enumerate() {
        let whole: f64 = now.iter().map(|l| round(l)).sum();
        let step = step.max(whole / MOST);
        now = now.iter().map(|l| evened(l, ((round(l) / step).ceil() as usize).max(12))).collect();
        let chain = Chain::of(&now);
        let mut x = flat(&now);
        let mut pull = Pull::new(&chain, watch);
        for k in 0..rounds {
            let each = 0.5 / rounds as f64;
            pull.share = (0.5 * s as f64 + each * k as f64, each);
            pull.watch_pairs(&x);
            descend(&mut pull, &mut x, steps, GAIN);
            watch.check()?;
            pull.grow(&x);
        }
        now = unflat(&x, &now);
    }
    Ok(now)
}
