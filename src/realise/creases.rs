//! Lines along which a surface in two parameters turns suddenly, where one parameter does not change on them: the corners of
//! a polyline that is turned about an axis, the branch of an absolute value.
//!
//! Places along a range are counted in parts. Creases are given parts at which pieces end, so that no piece has a crease
//! inside, and the mesh has edges along it.

use super::pieces::{FIRST, WHOLE};
use crate::base::Vec3;

/// Places of a range that are compared with the next, and how far the first stands from the end, as a part of the way to the next:
/// no simple part of the range, where creases are likely.
const LOOKED: usize = 512;
const FIRST_AT: f64 = 0.381_966;
/// The derivative leaps by more than this part of what it is about at a crease.
const LEAPS: f64 = 0.02;
/// Most creases along a range.
const MOST: usize = 64;
/// How often the pieces may be halved that creases are to be at the ends of.
const HALVINGS: u32 = 8;
/// So far beside a crease, as a part of the range, the surface is looked at for what it is to one side.
const BESIDE: f64 = 1e-11;

/// A range of a parameter, with the creases in it.
#[derive(Debug)]
pub struct Range {
    /// Values of the parameter and the parts at which they stand: both ends, and the creases between.
    knots: Vec<(f64, u32)>,
}

impl Range {
    /// The range and the creases that the derivative by its parameter tells of: `derivative` at values of the parameter, for some
    /// value of the other.
    pub fn of((from, to): (f64, f64), derivative: impl Fn(&[f64]) -> Vec<Vec3>) -> Self {
        let values: Vec<f64> = (0..=LOOKED)
            .map(|k| from + (to - from) * ((k as f64 + FIRST_AT) / (LOOKED as f64 + 1.0)))
            .collect();
        let seen = derivative(&values);
        let mut creases: Vec<f64> = (0..LOOKED)
            .filter_map(|k| leap([values[k], values[k + 1]], [seen[k], seen[k + 1]], |t| derivative(&[t])[0]))
            .collect();
        creases.dedup();
        Self { knots: set((from, to), &creases) }
    }

    /// The value at parts of the range.
    pub fn value(&self, parts: f64) -> f64 {
        let k = self.knots.partition_point(|(_, at)| f64::from(*at) <= parts).clamp(1, self.knots.len() - 1);
        let [(a, i), (b, j)] = [self.knots[k - 1], self.knots[k]];
        let share = (parts - f64::from(i)) / f64::from(j - i);
        if share == 1.0 { b } else { a + (b - a) * share }
    }

    /// The parts at which a value stands.
    pub fn parts(&self, value: f64) -> f64 {
        let rises = self.knots[0].0 < self.knots[self.knots.len() - 1].0;
        let before = |knot: &(f64, u32)| if rises { knot.0 <= value } else { knot.0 >= value };
        let k = self.knots.partition_point(before).clamp(1, self.knots.len() - 1);
        let [(a, i), (b, j)] = [self.knots[k - 1], self.knots[k]];
        f64::from(i) + (value - a) / (b - a) * f64::from(j - i)
    }

    /// The creases between the ends, in parts.
    pub fn creases(&self) -> impl Iterator<Item = u32> + '_ {
        self.knots[1..self.knots.len() - 1].iter().map(|(_, at)| *at)
    }

    /// The values of a crease as it is come to from either side; the same for what is no crease.
    pub fn beside(&self, value: f64) -> [f64; 2] {
        let last = self.knots.len() - 1;
        let by = (self.knots[last].0 - self.knots[0].0) * BESIDE;
        let is_crease = self.knots[1..last].iter().any(|(crease, _)| *crease == value);
        if is_crease { [value - by, value + by] } else { [value; 2] }
    }

    /// True for a value at an end, or beside a crease.
    pub fn is_end(&self, value: f64) -> bool {
        let last = self.knots.len() - 1;
        let is_beside = |(crease, _): &(f64, u32)| self.beside(*crease).contains(&value);
        value == self.knots[0].0 || value == self.knots[last].0 || self.knots[1..last].iter().any(is_beside)
    }
}

/// Where a derivative leaps between two values, if it does: they are brought together, to the side of the greater change, for
/// as long as it stays large.
fn leap([mut low, mut high]: [f64; 2], [mut a, mut b]: [Vec3; 2], at: impl Fn(f64) -> Vec3) -> Option<f64> {
    // Where the derivative passes through nothing it turns about, but does not leap.
    let least = LEAPS * (a.norm() + b.norm());
    loop {
        if !((a - b).norm() > least) {
            return None;
        }
        let middle = f64::midpoint(low, high);
        if middle <= low.min(high) || middle >= low.max(high) {
            return Some(high);
        }
        let m = at(middle);
        if !m.is_finite() {
            return None;
        }
        if (m - a).norm() > (b - m).norm() { (high, b) = (middle, m) } else { (low, a) = (middle, m) }
    }
}

/// Ends and creases with their parts: each crease nearest to where it would stand, of those where pieces end that are halved
/// often enough.
fn set((from, to): (f64, f64), creases: &[f64]) -> Vec<(f64, u32)> {
    let ends = |inner: Vec<(f64, u32)>| {
        [(from, 0)].into_iter().chain(inner).chain([(to, WHOLE)]).collect::<Vec<_>>()
    };
    if creases.len() > MOST {
        return ends(vec![]);
    }
    for halved in 0..=HALVINGS {
        let each = WHOLE / (FIRST << halved);
        let place = |t: &f64| {
            let parts = (t - from) / (to - from) * f64::from(WHOLE);
            (*t, each * libm::round(parts / f64::from(each)) as u32)
        };
        let placed = ends(creases.iter().map(place).collect());
        if placed.windows(2).all(|w| w[0].1 < w[1].1) {
            return placed;
        }
    }
    ends(vec![])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn range(derivative: impl Fn(f64) -> f64, ends: (f64, f64)) -> Range {
        Range::of(ends, |all| all.iter().map(|t| Vec3::new(derivative(*t), 1.0, 0.0)).collect())
    }

    /// A step is found to the last digit, and stands where pieces end; what only turns fast is none.
    #[test]
    fn steps_are_creases_and_bends_are_not() {
        let at = 1.0 / 3.0;
        let made = range(|t| if t < at { -1.0 } else { 1.0 }, (-2.0, 5.0));
        let creases: Vec<u32> = made.creases().collect();
        assert_eq!(creases.len(), 1);
        assert_eq!(creases[0] % (WHOLE / FIRST), 0);
        assert_eq!(made.value(f64::from(creases[0])), at);
        assert!(made.is_end(made.beside(at)[0]) && made.is_end(-2.0) && !made.is_end(0.4));
        for t in [-2.0, -0.3, at, 0.9, 5.0] {
            assert!((made.value(made.parts(t)) - t).abs() < 1e-12, "{t}");
        }
        assert_eq!(range(|t| (40.0 * t).tanh(), (-2.0, 5.0)).creases().count(), 0);
        let still = Range::of((-2.0, 5.0), |all| all.iter().map(|t| Vec3::new(t - 0.3, 0.0, 0.0)).collect());
        assert_eq!(still.creases().count(), 0);
    }

    /// Many close together are parted by halving.
    #[test]
    fn close_creases_get_places_of_their_own() {
        let made = range(|t| if (50.0 * t).floor() % 2.0 == 0.0 { 1.0 } else { -1.0 }, (0.001, 0.999));
        assert_eq!(made.creases().count(), 49);
        assert!(made.knots.windows(2).all(|w| w[0].1 < w[1].1 && w[0].0 < w[1].0));
    }
}
