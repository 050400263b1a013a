//! The least box that a solid needs, found from bounds of its field.

use crate::base::{Box3, Vec3};

use super::field::Field;
use crate::formula::Local;

/// Coordinates beyond this, mm, are taken as infinite.
pub const FAR: f64 = 1e5;

/// How often the field may be bounded for one slab.
const BUDGET: usize = 400;

/// Thinner parts, mm, are not cut away.
const LEAST: f64 = 1e-6;

/// What to look for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Seek {
    /// Where the field is negative.
    Inside,
    /// Where the field is zero.
    Zero,
}

/// Shrinks a box as long as the part cut away is known to hold nothing of what is sought.
///
/// # Errors
/// The axes along which no end was found; names of the axes, such as "x, y".
pub fn fit(field: &Field, within: Box3, seek: Seek) -> Result<Box3, String> {
    let far = Box3::cube(FAR);
    let mut region = within.meet(far);
    let field = &Local::exact(field.tape.clone());
    if region.is_empty() || empty(field, region, 3000, seek) {
        return Ok(Box3::EMPTY);
    }
    // Each round takes a part from every side; a side that cannot be cut tries a thinner part.
    let mut share = 0.5;
    while share > 1e-3 {
        let mut cut = false;
        for side in 0..6 {
            let part = slab(region, side, share);
            // A pole in a plane would be closed in on for ever.
            if part.size()[side / 2] > LEAST && empty(field, part, BUDGET, seek) {
                region = without(region, side, share);
                cut = true;
            }
        }
        if !cut {
            share *= 0.5;
        }
    }
    let open: Vec<&str> = (0..3)
        .filter(|&k| region.min[k] <= -FAR * 0.9 || region.max[k] >= FAR * 0.9)
        .map(|k| ["x", "y", "z"][k])
        .collect();
    if open.is_empty() { Ok(region) } else { Err(open.join(", ")) }
}

/// The part of a box at one side (2 axis + 1 for the greater side).
fn slab(region: Box3, side: usize, share: f64) -> Box3 {
    let rest = without(region, side, share);
    let mut part = region;
    if side % 2 == 1 {
        set(&mut part.min, side / 2, rest.max[side / 2]);
    } else {
        set(&mut part.max, side / 2, rest.min[side / 2]);
    }
    part
}

fn without(mut region: Box3, side: usize, share: f64) -> Box3 {
    let axis = side / 2;
    // Long boxes are cut at the side's own scale, so that 100 km come down to mm in few rounds.
    let size = region.size()[axis] * share;
    if side % 2 == 1 {
        let at = region.max[axis] - size;
        set(&mut region.max, axis, at);
    } else {
        let at = region.min[axis] + size;
        set(&mut region.min, axis, at);
    }
    region
}

fn set(v: &mut Vec3, axis: usize, value: f64) {
    match axis {
        0 => v.x = value,
        1 => v.y = value,
        _ => v.z = value,
    }
}

/// True when the box is known to hold nothing of what is sought.
fn empty(field: &Local, region: Box3, budget: usize, seek: Seek) -> bool {
    let mut open = vec![(region, field.clone())];
    for _ in 0..budget {
        let Some((part, field)) = open.pop() else { return true };
        let range = field.bounds(part);
        if range.lo > 0.0 {
            continue;
        }
        if range.hi < 0.0 {
            if seek == Seek::Inside {
                return false;
            }
            continue;
        }
        let size = part.size();
        let axis = (0..3).fold(0, |best, k| if size[k] > size[best] { k } else { best });
        let middle = part.centre()[axis];
        let (mut a, mut b) = (part, part);
        set(&mut a.max, axis, middle);
        set(&mut b.min, axis, middle);
        let closer = field.closer(part);
        open.extend([(a, closer.clone()), (b, closer)]);
    }
    open.is_empty()
}
