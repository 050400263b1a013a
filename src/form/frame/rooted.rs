//! Heights with an edge: z = c √r(x, y) + d ends where r does, and stands upright there. The same sheet without the
//! root, (z - d)² = c² r on the side of d where the root lies, has values on both sides of its edge, and is whole
//! to the last bit of it.

use super::place::NAMES;
use super::probe::{Probe, scatter};
use crate::base::{Box3, Vec3};
use crate::formula::{Expr, Kind, Op, Reading, Relation, Scratch, Unary, in_order};

/// Places at which parts are compared, and the part of a slope by which they may differ: rounding.
const TRIALS: usize = 24;
const SAME: f64 = 1e-9;

/// The same sheet without its root, cut where that ends it, with a sentence; `None` for what is no such height.
pub(super) fn without_root(reading: &Reading) -> Option<(Reading, String)> {
    let Kind::Field { value, relation: Relation::Equal } = &reading.kind else { return None };
    let mut roots = in_order([value]).into_iter().filter(|e| matches!(e.op(), Op::Unary(Unary::Sqrt, _)));
    let (root, None) = (roots.next()?, roots.next()) else { return None };
    let Op::Unary(_, under) = root.op() else { return None };
    if !root.is_partial() || under.is_partial() {
        return None;
    }
    // The value is rest + share · root, with a share that is everywhere the same.
    let [rest, one] = [0.0, 1.0].map(|w| value.replaced(&root, &Expr::constant(w)));
    let ((slope, none), (also, share)) = (plane(&rest)?, plane(&one)?);
    let axis = (0..3).find(|k| slope[*k] != 0.0)?;
    let alone = (0..3).all(|k| k == axis || slope[k] == 0.0);
    let free = !under.names().iter().any(|n| n == NAMES[axis]);
    if !alone || !free || (also - slope).norm() > SAME * slope.norm() {
        return None;
    }
    let (at, factor) = (-none / slope[axis] + 0.0, (share - none) / slope[axis]);
    let up = Expr::var(NAMES[axis]) - at;
    let square = up.pow(Expr::constant(2.0)) - under.clone() * (factor * factor);
    let (from, to) = if factor < 0.0 { (at, f64::INFINITY) } else { (f64::NEG_INFINITY, at) };
    let mut made = reading.with_value(square);
    let stated = made.limits.iter_mut().find(|(n, ..)| n == NAMES[axis]);
    match stated {
        Some((_, low, high)) => (*low, *high) = (low.max(from), high.min(to)),
        None => made.limits.push((NAMES[axis].to_owned(), from, to)),
    }
    let side = if factor < 0.0 { "upper" } else { "lower" };
    let said = format!("ends where its root does: drawn to that edge, as the {side} part of {}", made.normal);
    Some((made, said))
}

/// Slope and value at the origin of a function that is plane.
fn plane(e: &Expr) -> Option<(Vec3, f64)> {
    let probe = Probe::new(e)?;
    let places = scatter(Box3::cube(3.0), TRIALS, 17);
    let (values, slopes) = probe.slopes(&places, &mut Scratch::default());
    let (slope, none) = (*slopes.first()?, probe.value(Vec3::ZERO));
    let off = |p: Vec3, v: f64| (none + slope.dot(p) - v).abs();
    let same = slopes.iter().all(|g| (*g - slope).norm() <= SAME * slope.norm());
    (same && places.iter().zip(values).all(|(p, v)| off(*p, v) <= SAME * (1.0 + v.abs())))
        .then_some((slope, none))
}
