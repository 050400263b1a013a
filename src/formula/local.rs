//! The function as it is in a part of space, shorter the closer one looks.

use std::sync::Arc;

use super::tape::Tape;
use crate::base::{Box3, Interval};

/// Tapes of more steps than this are made lighter where they can be.
const LONG: usize = 64;
/// What is little and what is much, as parts of the spread of the values in a box.
const LITTLE: f64 = 1e-6;
const MUCH: f64 = 1e-4;

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

    /// Bounds of the values in a part of this part of space.
    pub fn bounds(&self, region: Box3) -> Interval {
        let (tape, error) = self.near();
        let range = tape.bounds(region);
        Interval { lo: range.lo - error, hi: range.hi + error }
    }

    /// In a smaller part of space, with a lighter tape still where most of a long sum hardly changes: its values are off
    /// by `part` of their spread there at most, and by what they were off before.
    pub fn lighter(&self, region: Box3, part: f64) -> Option<(Tape, f64)> {
        let (near, error) = self.near();
        let long = near.len() > LONG;
        let light = if long { near.lighten(region, part) } else { None };
        light.map(|(tape, more)| (tape, error + more))
    }

    /// The same with the lighter tape of [`Self::lighter`].
    pub fn lightened(self, region: Box3, part: f64) -> Self {
        let light = self.lighter(region, part).map(|(tape, error)| (Arc::new(tape), error));
        Self { light: light.or(self.light), tape: self.tape }
    }

    /// The same for looks at parts of a box, however far it is gone down: a lighter tape is given up where it is off by much
    /// beside what the values do.
    pub fn closer(&self, region: Box3) -> Self {
        let much = |(tape, error): &(Arc<Tape>, f64)| *error > MUCH * tape.bounds(region).width();
        let light = self.light.clone().filter(|light| !much(light));
        Self { light, tape: self.tape.clone() }.lightened(region, LITTLE)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::Vec3;
    use crate::formula::Expr;

    /// A long polynomial, of which most terms are nothing beside the highest in a box of 100 m, has them again near its zero.
    #[test]
    fn what_was_left_out_comes_back() {
        let [x, y, z] = ["x", "y", "z"].map(Expr::var);
        let power = |e: &Expr, n: u32| e.clone().pow(Expr::constant(f64::from(n)));
        let mut sum = power(&x, 8) + power(&y, 8) + power(&z, 8);
        for k in 1..7 {
            for e in [&x, &y, &z] {
                sum = sum + power(&(e.clone() * f64::from(k) + 0.5), k) * 0.1;
            }
        }
        let tape = Tape::new(&sum).unwrap();
        let mut region = Box3::cube(1e5);
        let mut local = Local::exact(tape.clone());
        let mut lighter = false;
        while region.size().largest() > 0.1 {
            local = local.closer(region);
            lighter |= local.light.is_some();
            let half = region.size() * 0.25;
            region = Box3::new(Vec3::splat(0.7) - half, Vec3::splat(0.7) + half);
            let (near, exact) = (local.bounds(region), tape.bounds(region));
            assert!(near.lo <= exact.hi && near.hi >= exact.lo);
            assert!(near.width() < 1.1 * exact.width(), "{region:?}: {near:?} {exact:?}");
        }
        assert!(lighter);
    }
}
