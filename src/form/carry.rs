//! A flat section carried along a way: what is told of a point near the way, and the solid that is drawn.
//!
//! Near the way, oracles tell where a point lies in the section's plane. The section is valued at those coordinates, so
//! that its own corners stay edges of the solid.

use std::fmt::Debug;
use std::sync::Arc;

use super::xyz;
use crate::base::{Box3, Interval, Vec3};
use crate::formula::{Expr, Oracle};

/// What is told of a point near a way.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum What {
    /// The section's first coordinate, mm.
    Across,
    /// The section's second coordinate, mm.
    Up,
    /// Distance from the way, mm.
    Away,
    /// The part of the length gone, 0 to 1.
    Along,
    /// How far beyond an open end, mm; negative before it.
    Beyond,
}

/// How the ends of an open way are closed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Caps {
    /// Cut square.
    #[default]
    Flat,
    /// Rounded off: the section turned about its y axis.
    Round,
}

/// A path with a section's plane at each of its places.
pub(super) trait Way: Debug + Send + Sync + 'static {
    /// A number about a point, and its slope.
    fn read(&self, what: What, p: Vec3) -> (f64, Vec3);
    /// Bounds of such a number in a finite box.
    fn bounds(&self, what: What, region: Box3) -> Interval;
    /// A number that no slope exceeds where it is used.
    fn steepest(&self, what: What) -> f64;
    /// True when it ends where it starts.
    fn is_closed(&self) -> bool;
    /// How far from the way its numbers are used, mm.
    fn cut(&self) -> f64;
    /// A box that holds the way.
    fn region(&self) -> Box3;
}

/// How large a section is, mm.
#[derive(Clone, Copy, Debug)]
pub(super) struct Extent {
    /// How far from the way it has points.
    pub reach: f64,
    /// How wide the largest disc in it is; infinite where that is not known.
    pub thin: f64,
}

/// A number about points near a way, as an oracle.
#[derive(Debug)]
struct Told<W> {
    way: Arc<W>,
    what: What,
    /// How thin the section is, mm.
    thin: f64,
}

impl<W: Way> Oracle for Told<W> {
    fn sample(&self, p: Vec3) -> (f64, Vec3) {
        self.way.read(self.what, p)
    }

    fn bounds(&self, region: Box3) -> Interval {
        match self.what {
            _ if region.is_finite() => self.way.bounds(self.what, region),
            What::Away => Interval::new(0.0, f64::INFINITY),
            What::Along => Interval::new(0.0, 1.0),
            What::Across | What::Up | What::Beyond => Interval::ALL,
        }
    }

    fn steepest(&self) -> f64 {
        self.way.steepest(self.what)
    }

    fn thinnest(&self) -> f64 {
        self.thin
    }
}

/// What is negative inside the solid of a section along a way, and a box that holds it. `section` gives its field for coordinates across, up and along the way; `thin` is how
/// thin it is, mm.
pub(super) fn carried<W: Way>(
    way: &Arc<W>,
    section: impl Fn([Expr; 3]) -> Expr,
    thin: f64,
    caps: Caps,
) -> (Expr, Box3) {
    let told = |what| Expr::oracle(Arc::new(Told { way: way.clone(), what, thin }), xyz());
    let [across, up, along, beyond] = [What::Across, What::Up, What::Along, What::Beyond].map(told);
    let mut value = section([across.clone(), up.clone(), along.clone()]);
    if !way.is_closed() {
        value = match caps {
            Caps::Flat => value.max(beyond),
            Caps::Round => {
                let far = (across.clone() * across + beyond.clone() * beyond.clone()).sqrt();
                let [right, left] = [far.clone(), -far].map(|x| section([x, up.clone(), along.clone()]));
                Expr::select(beyond, value, right.min(left))
            }
        };
    }
    let value = value.max(told(What::Away) - way.cut());
    (value, way.region().grown(way.cut()))
}
