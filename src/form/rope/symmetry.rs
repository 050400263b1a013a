//! Loops that a turn about the z axis maps to themselves, walked the same way or the other, worked on as one part and its
//! images.

use super::Loops;
use super::descent::Objective;
use crate::base::{Affine, Vec3};

/// How points of loops are images of one another under turns about the z axis.
#[derive(Clone, Debug)]
pub struct Symmetry {
    /// The turn.
    turn: Affine,
    order: usize,
    /// For each point, the point of the part that it is an image of, and how many turns.
    from: Vec<(usize, usize)>,
    /// Points of the part.
    count: usize,
    /// Points of the part that lie on the axis: they are images of themselves.
    fixed: Vec<usize>,
    /// How each loop goes on.
    maps: Vec<Map>,
}

/// How a loop is mapped to a loop of as many points.
#[derive(Clone, Copy, Debug)]
struct Map {
    to: usize,
    /// Where its first point comes to lie.
    shift: usize,
    count: usize,
    /// True when its image is walked the other way.
    back: bool,
}

impl Map {
    fn image(&self, i: usize) -> usize {
        (if self.back { self.shift + self.count - i } else { self.shift + i }) % self.count
    }
}

/// How far an image may lie from the loop, as a part of the extent, to be taken as meant.
const ALIKE: f64 = 0.03;

impl Symmetry {
    /// The symmetry of `order` about the z axis that loops of evenly spaced points nearly have; each loop's count of
    /// points must be a multiple of the order. `None` when there is none.
    pub fn of(loops: &Loops, order: usize) -> Option<Self> {
        Self::within(loops, order, ALIKE)
    }

    /// The same, of loops whose images may lie further away, as a part of the extent.
    pub fn within(loops: &Loops, order: usize, alike: f64) -> Option<Self> {
        let turn = Affine::turn(Vec3::new(0.0, 0.0, 1.0), std::f64::consts::TAU / order as f64)?;
        let extent = loops.iter().flatten().map(|p| p.norm()).fold(0.0, f64::max);
        // A turn that walks a loop the other way leaves two of its points where they are: it is half a turn.
        let ways = if order.is_multiple_of(2) { &[false, true][..] } else { &[false] };
        let mut maps = Vec::new();
        for l in loops {
            let image: Vec<Vec3> = l.iter().map(|p| turn.apply(*p)).collect();
            let mut best: Option<(f64, Map)> = None;
            for (k, to) in loops.iter().enumerate().filter(|(_, to)| to.len() == l.len()) {
                for (shift, back) in (0..to.len()).flat_map(|s| ways.iter().map(move |b| (s, *b))) {
                    let map = Map { to: k, shift, count: l.len(), back };
                    let off = |i: usize| (image[i] - to[map.image(i)]).norm();
                    let worst = (0..l.len()).step_by(1 + l.len() / 24).map(off).fold(0.0, f64::max);
                    if best.is_none_or(|b| worst < b.0) {
                        best = Some((worst, map));
                    }
                }
            }
            maps.push(best.filter(|b| b.0 <= alike * extent)?.1);
        }
        Self::built(turn, order, maps)
    }

    fn built(turn: Affine, order: usize, maps: Vec<Map>) -> Option<Self> {
        let starts: Vec<usize> = maps
            .iter()
            .scan(0, |sum, m| {
                let start = *sum;
                *sum += m.count;
                Some(start)
            })
            .collect();
        let after = |at: usize| {
            let home = starts.partition_point(|s| *s <= at) - 1;
            starts[maps[home].to] + maps[home].image(at - starts[home])
        };
        let total = maps.iter().map(|m| m.count).sum();
        let mut from = vec![(usize::MAX, 0); total];
        let (mut count, mut fixed) = (0, Vec::new());
        for first in 0..total {
            if from[first].0 != usize::MAX {
                continue;
            }
            let mut at = first;
            if after(first) == first {
                from[first] = (count, 0);
                fixed.push(count);
            } else {
                for turns in 0..order {
                    if from[at].0 != usize::MAX {
                        return None;
                    }
                    from[at] = (count, turns);
                    at = after(at);
                }
            }
            if at != first {
                return None;
            }
            count += 1;
        }
        Some(Self { turn, order, from, count, fixed, maps })
    }

    /// The same symmetry of loops with twice as many points.
    pub fn finer(&self) -> Self {
        let maps = self.maps.iter().map(|m| Map { shift: 2 * m.shift, count: 2 * m.count, ..*m }).collect();
        Self::built(self.turn, self.order, maps).unwrap_or_else(|| self.clone())
    }

    fn turned(&self, v: Vec3, turns: usize) -> Vec3 {
        (0..turns).fold(v, |v, _| self.turn.apply_direction(v))
    }

    /// The points of the part: means of the images turned back.
    pub fn folded(&self, x: &[f64]) -> Vec<f64> {
        let mut part = self.gathered(x);
        part.iter_mut().for_each(|c| *c /= self.order as f64);
        self.fixed.iter().for_each(|k| part[3 * k + 2] *= self.order as f64);
        part
    }

    /// Sums of the images turned back: so slopes come together. Points on the axis stay on it.
    fn gathered(&self, x: &[f64]) -> Vec<f64> {
        let mut part = vec![0.0; 3 * self.count];
        for (i, (rep, turns)) in self.from.iter().enumerate() {
            super::add(&mut part, *rep, self.turned(super::at(x, i), (self.order - turns) % self.order));
        }
        self.fixed.iter().for_each(|k| part[3 * k..3 * k + 2].fill(0.0));
        part
    }

    /// All points from those of the part.
    pub fn unfolded(&self, part: &[f64]) -> Vec<f64> {
        let mut x = vec![0.0; 3 * self.from.len()];
        for (i, (rep, turns)) in self.from.iter().enumerate() {
            super::add(&mut x, i, self.turned(super::at(part, *rep), *turns));
        }
        x
    }

    /// An objective of all points as one of the part.
    pub fn wrap<O: Objective>(&self, whole: O) -> Folded<'_, O> {
        Folded { symmetry: self, whole }
    }
}

/// Loops turned so that they come nearest to looking alike after 1/`order` of a turn about the z axis, their middle at
/// the origin; and how far that is, as a part of their extent.
pub fn uprighted(loops: &Loops, order: usize) -> (Loops, f64) {
    let count = loops.iter().map(Vec::len).sum::<usize>() as f64;
    let middle = loops.iter().flatten().fold(Vec3::ZERO, |s, p| s + *p) / count;
    let centred: Loops = loops.iter().map(|l| l.iter().map(|p| *p - middle).collect()).collect();
    let points: Vec<Vec3> = centred.iter().flatten().copied().collect();
    let mut best = (f64::INFINITY, Vec3::new(0.0, 0.0, 1.0));
    let try_axis = |axis: Vec3, best: &mut (f64, Vec3)| {
        let off = unlike(&points, axis, order);
        if off < best.0 {
            *best = (off, axis);
        }
    };
    for axis in half_sphere(AXES) {
        try_axis(axis, &mut best);
    }
    let mut tilt = 1.5 / (AXES as f64).sqrt();
    while tilt > 1e-4 {
        let (before, axis) = best;
        let [u, v] = square_to(axis);
        for side in [u, -u, v, -v] {
            try_axis((axis + side * tilt).unit().unwrap_or(axis), &mut best);
        }
        if best.0 == before {
            tilt *= 0.5;
        }
    }
    let [u, v] = square_to(best.1);
    let lay = Affine { rows: [u, v, best.1], shift: Vec3::ZERO };
    (centred.iter().map(|l| l.iter().map(|p| lay.apply_direction(*p)).collect()).collect(), best.0)
}

/// Axes that are tried before the best of them is tilted.
const AXES: usize = 400;
/// Points that are turned to see how far images lie off.
const LOOKED: usize = 60;

/// How far the image of points under a turn about an axis lies from them, as a part of their extent.
fn unlike(points: &[Vec3], axis: Vec3, order: usize) -> f64 {
    let Some(turn) = Affine::turn(axis, std::f64::consts::TAU / order as f64) else { return f64::INFINITY };
    let extent = points.iter().map(|p| p.norm()).fold(0.0, f64::max);
    let nearest = |p: Vec3| points.iter().map(|q| (*q - p).dot(*q - p)).fold(f64::INFINITY, f64::min);
    let some = points.iter().step_by(1 + points.len() / LOOKED);
    some.map(|p| nearest(turn.apply(*p))).fold(0.0, f64::max).sqrt() / extent
}

/// Directions spread evenly over half a sphere.
fn half_sphere(count: usize) -> impl Iterator<Item = Vec3> {
    /// The golden angle, radians.
    const GOLDEN: f64 = 2.399_963_229_728_653;
    (0..count).map(move |i| {
        let z = 1.0 - (i as f64 + 0.5) / count as f64;
        let (r, a) = ((1.0 - z * z).sqrt(), GOLDEN * i as f64);
        Vec3::new(r * libm::cos(a), r * libm::sin(a), z)
    })
}

/// Two directions that make a right-handed frame with the third.
fn square_to(w: Vec3) -> [Vec3; 2] {
    let other = if w.x.abs() < 0.6 { Vec3::new(1.0, 0.0, 0.0) } else { Vec3::new(0.0, 1.0, 0.0) };
    let v = w.cross(other).unit().unwrap_or(other);
    [v.cross(w), v]
}

/// An objective of the part alone.
pub struct Folded<'a, O> {
    symmetry: &'a Symmetry,
    whole: O,
}

impl<O: Objective> Objective for Folded<'_, O> {
    fn value(&mut self, x: &[f64], slope: &mut [f64]) -> f64 {
        let all = self.symmetry.unfolded(x);
        let mut whole = vec![0.0; all.len()];
        let value = self.whole.value(&all, &mut whole);
        slope.copy_from_slice(&self.symmetry.gathered(&whole));
        value
    }

    fn reach(&self) -> f64 {
        self.whole.reach()
    }

    fn goes_on(&mut self, part: f64) -> bool {
        self.whole.goes_on(part)
    }
}
