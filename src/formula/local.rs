//! The function as it is in a part of space, shorter the closer one looks.

use std::sync::Arc;

use super::tape::Tape;
use crate::base::{Box3, Interval};

/// Tapes of more steps than this are made lighter where they can be.
const LONG: usize = 64;

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

    /// What a look costs, against one at a tape of a hundred steps or fewer.
    pub fn cost(&self) -> f64 {
        (self.near().0.len() as f64 / 100.0).max(1.0)
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
}
