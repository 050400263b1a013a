//! A solid through flat sections at given heights.

use std::sync::Arc;

use super::carry::Caps;
use super::fault::{FormFault, finite, unfit};
use super::flat::{self, Flat};
use super::stand::{Corner, Stand};
use super::sweep::{Route, Swept};
use super::{Solid, xyz};
use crate::base::{Box3, Vec3};
use crate::formula::Expr;

/// Most sections.
const MOST: usize = 200;

/// The solid whose cuts at given heights, mm, are given flats. Between, distances from their outlines are mixed: in
/// straight proportion, or smoothly, by cubics whose slopes are those between the neighbours. Parts may join and split
/// on the way.
/// Source: D. Levin, Mathematics of Computation 46 (1986) 379 (distances of sections, mixed); E. Catmull, R. Rom, in
/// Computer Aided Geometric Design (1974) 317 (slopes).
///
/// # Errors
/// [`FormFault::Unfit`] for fewer than two sections, or heights that are not one for each and rising;
/// [`FormFault::Empty`] for a flat without a region.
pub fn loft(sections: &[Flat], heights: &[f64], smooth: bool) -> Result<Solid, FormFault> {
    let n = sections.len();
    if !(2..=MOST).contains(&n) {
        return Err(unfit("sections", format!("has {n} flats; 2 to {MOST} can be")));
    }
    if heights.len() != n {
        return Err(unfit("heights", format!("has {} numbers for {n} sections", heights.len())));
    }
    for h in heights {
        finite("heights", *h)?;
    }
    if heights.windows(2).any(|w| w[0] >= w[1]) {
        return Err(unfit("heights", "must rise from each to the next"));
    }
    let mut sides = Vec::new();
    let mut within = Box3::EMPTY;
    for (f, h) in sections.iter().zip(heights) {
        let (side, (low, high)) = flat::side(f)?;
        sides.push(side);
        within = within.hold(Vec3::new(low.x, low.y, *h)).hold(Vec3::new(high.x, high.y, *h));
    }
    let [_, _, z] = xyz();
    let value = mixed(&sides, heights, smooth, false, &z);
    let slab = (z.clone() - heights[n - 1]).max(Expr::constant(heights[0]) - z.clone());
    // Smooth mixing may swing out by a part of what neighbours differ by.
    let room = if smooth { 0.25 * within.size().largest() } else { 1e-9 * within.size().largest() };
    let mut grown = within.grown(room);
    (grown.min.z, grown.max.z) = (within.min.z, within.max.z);
    let parts: Vec<f64> = heights.iter().map(|h| (h - heights[0]) / (heights[n - 1] - heights[0])).collect();
    Ok(Solid::Swept(Arc::new(Swept {
        route: Route::Straight([heights[0], heights[n - 1]].map(upright).to_vec()),
        closed: false,
        reach: [grown.min, grown.max].iter().map(|p| libm::hypot(p.x, p.y)).fold(0.0, f64::max),
        section: mixed(&sides, &parts, smooth, false, &z),
        outline: grown,
        changes: parts,
        caps: Caps::Flat,
        value: value.max(slab),
        within: grown,
    })))
}

/// How a section stands level at a height.
fn upright(height: f64) -> Corner {
    let [x, y, on] = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]].map(Vec3::from);
    Corner { stand: Stand { place: on * height, x, y, on }, turn: None }
}

/// The field of sections mixed between heights. In a `ring` the last is the first again.
fn mixed(sides: &[Expr], heights: &[f64], smooth: bool, ring: bool, z: &Expr) -> Expr {
    let last = sides.len() - 1;
    let mut value = sides[last].clone();
    for k in (0..last).rev() {
        let piece = between(sides, heights, k, smooth.then_some(ring), z);
        // Below the next height this piece, above it what comes after.
        value = if k + 1 == last { piece } else { Expr::select(z.clone() - heights[k + 1], piece, value) };
    }
    value
}

/// The mix between section `k` and the next: straight, or smooth in a row or a ring.
fn between(sides: &[Expr], heights: &[f64], k: usize, smooth: Option<bool>, z: &Expr) -> Expr {
    let (from, to) = (heights[k], heights[k + 1]);
    let t = (z.clone() - from) / (to - from);
    let (a, b) = (sides[k].clone(), sides[k + 1].clone());
    let Some(ring) = smooth else { return a.clone() + (b - a) * t };
    let last = sides.len() - 1;
    let slope = |i: usize| {
        // Neighbours and the way between them; in a ring those across its start.
        let ((lo, low), (hi, high)) = match i {
            _ if ring && (i == 0 || i == last) => {
                let whole = heights[last] - heights[0];
                ((last - 1, heights[last - 1] - whole), (1, heights[1]))
            }
            _ => {
                let (lo, hi) = (i.saturating_sub(1), (i + 1).min(last));
                ((lo, heights[lo]), (hi, heights[hi]))
            }
        };
        (sides[hi].clone() - sides[lo].clone()) * ((to - from) / (high - low))
    };
    let (t2, t3) = (t.clone() * t.clone(), t.clone() * t.clone() * t.clone());
    let rise = t2.clone() * 3.0 - t3.clone() * 2.0;
    a.clone() + (b - a) * rise + slope(k) * (t3.clone() - t2.clone() * 2.0 + t) + slope(k + 1) * (t3 - t2)
}

/// Sections that change into one another along a way.
#[derive(Debug)]
pub(super) struct Mix {
    sides: Vec<Expr>,
    parts: Vec<f64>,
    smooth: bool,
    ring: bool,
    within: Box3,
}

impl Mix {
    /// The sections at even parts of the way; in a ring the first comes again at its end.
    ///
    /// # Errors
    /// [`FormFault::Unfit`] for fewer than two; [`FormFault::Empty`] for a flat without a region.
    pub(super) fn new(sections: &[Flat], ring: bool, smooth: bool) -> Result<Self, FormFault> {
        if !(2..=MOST).contains(&sections.len()) {
            return Err(unfit("sections", format!("has {} flats; 2 to {MOST} can be", sections.len())));
        }
        let mut sides = Vec::new();
        let mut within = Box3::EMPTY;
        for f in sections {
            let (side, (low, high)) = flat::side(f)?;
            sides.push(side);
            within = within.hold(Vec3::new(low.x, low.y, 0.0)).hold(Vec3::new(high.x, high.y, 1.0));
        }
        if ring {
            sides.push(sides[0].clone());
        }
        let last = (sides.len() - 1) as f64;
        let parts = (0..sides.len()).map(|k| k as f64 / last).collect();
        Ok(Self { sides, parts, smooth, ring, within })
    }

    /// The parts of the way at which sections stand.
    pub(super) fn parts(&self) -> &[f64] {
        &self.parts
    }

    /// A box that holds every section and what smooth mixing may add.
    pub(super) fn within(&self) -> Box3 {
        self.within.grown(if self.smooth { 0.25 * self.within.size().largest() } else { 0.0 })
    }

    /// The field at coordinates of the section's plane, a part of the way gone.
    pub(super) fn along(&self, x: Expr, y: Expr, part: Expr) -> Expr {
        mixed(&self.sides, &self.parts, self.smooth, self.ring, &Expr::var("z")).with(&[
            ("x", x),
            ("y", y),
            ("z", part),
        ])
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::formula::Tape;

    fn field(solid: &Solid) -> Tape {
        let Solid::Swept(swept) = solid else { panic!() };
        Tape::new(swept.value()).unwrap()
    }

    #[test]
    fn discs_of_two_sizes_make_a_cone() {
        let sections = [flat::disc(10.0).unwrap(), flat::disc(4.0).unwrap()];
        let tape = field(&loft(&sections, &[0.0, 12.0], false).unwrap());
        for (r, z) in [(9.9, 0.1), (7.05, 6.0), (6.95, 6.0), (4.1, 11.0), (1.0, 13.0)] {
            let inside = z < 12.0 && r < 10.0 - 0.5 * z;
            assert_eq!(tape.value(Vec3::new(r, 0.0, z)) < 0.0, inside, "{r} {z}");
        }
        // Smooth: the middle one of three is passed without a crease.
        let sections = [flat::disc(10.0).unwrap(), flat::disc(4.0).unwrap(), flat::disc(10.0).unwrap()];
        let tape = field(&loft(&sections, &[0.0, 10.0, 20.0], true).unwrap());
        assert!(
            tape.value(Vec3::new(3.999, 0.0, 10.0)) < 0.0 && tape.value(Vec3::new(4.001, 0.0, 10.0)) > 0.0
        );
        let slope = (tape.value(Vec3::new(4.0, 0.0, 10.001)) - tape.value(Vec3::new(4.0, 0.0, 9.999))).abs();
        assert!(slope < 1e-5, "{slope}");
    }

    #[test]
    fn heights_must_rise_and_fit() {
        let two = [flat::disc(10.0).unwrap(), flat::disc(4.0).unwrap()];
        assert!(loft(&two, &[1.0, 0.0], false).is_err());
        assert!(loft(&two, &[1.0], false).is_err());
        assert!(loft(&two[..1], &[1.0], false).is_err());
    }
}
