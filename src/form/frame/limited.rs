//! What a text cuts itself: `..., -2 < x < 2`, `..., z > 0`.
//!
//! The stated ends are kept exactly. In the other directions the thing is shown whole where it ends by itself within
//! them, by whole cells where it repeats, and else as far as it would be shown without them.

use super::FrameFault;
use super::clip::{Clip, round_near, round_up, told};
use super::period::Answer;
use super::place::{FREE_LENGTH, NAMES, Place, Subject, own_box, unlimited, with_range};
use crate::base::Box3;
use crate::formula::Expr;

/// Room beyond what ends by itself, as a part of the width.
const ROOM: f64 = 0.05;

/// The part that the text's own limits leave; `None` where it states none.
pub(super) fn place(s: &Subject) -> Option<Place> {
    let stated = s.limits.iter().any(Option::is_some);
    stated.then(|| {
        let said = || vec!["bounded: shown whole".to_owned()];
        cut(s).unwrap_or_else(|| Place { clip: None, own: own_box(s), said: said() })
    })
}

/// `None` for what ends by itself before the limits do.
fn cut(s: &Subject) -> Option<Place> {
    let own = own_box(s).filter(|b| !b.is_empty());
    let cuts = |(axis, limit): (usize, &Option<(f64, f64)>)| {
        limit.is_some_and(|(low, high)| own.is_none_or(|b| b.min[axis] <= low || b.max[axis] >= high))
    };
    let whole = (0..3).all(|axis| s.axes[axis] == Answer::Open);
    if whole && !s.limits.iter().enumerate().any(cuts) {
        return None;
    }
    let usual = own.unwrap_or_else(|| usual(s));
    let width = (0..3).map(|axis| ends(s, axis, usual)).map(|(low, high)| high - low).fold(0.0, f64::max);
    let width = if width > 0.0 { width } else { 2.0 };
    let mut region = usual;
    for axis in 0..3 {
        let (low, high) = match (s.limits[axis], s.axes[axis]) {
            (None, Answer::Period(p)) => {
                let count = s.cells.map_or_else(|| (width / p).round().clamp(1.0, 3.0), f64::from);
                (-0.5 * p * count, 0.5 * p * count)
            }
            (None, Answer::Free) => {
                (-0.5 * round_near(FREE_LENGTH * width), 0.5 * round_near(FREE_LENGTH * width))
            }
            _ => padded(s, axis, ends(s, axis, usual), width * (ROOM + 0.6 * s.wall)),
        };
        region = with_range(region, axis, low, high);
    }
    let clip = if own.is_none() && [0, 1].iter().all(|axis| s.is_open(*axis)) {
        let (size, centre) = (region.size(), region.centre());
        // A cone from the middle meets its side, and not just the rim of it.
        Clip::Rod { radius: round_near(0.4 * size[0].max(size[1])), height: size[2], centre }
    } else {
        Clip::Block { size: region.size(), centre: region.centre() }
    };
    let said = format!("cut where the text says: {}", s.stated.join(", "));
    Some(Place { clip: Some(clip), own: None, said: if s.stated.is_empty() { vec![] } else { vec![said] } })
}

/// A condition that cuts a field takes a coordinate no further than it allows, and leaves this much room beyond, as a part
/// of the width: it cuts, and not the box around it.
const BEYOND: f64 = 0.02;

/// Takes up the ends that the text states, and those that a condition has by itself.
pub(super) fn take_up(
    s: &mut Subject,
    stated: &[(String, f64, f64)],
    condition: Option<&Expr>,
) -> Result<(), FrameFault> {
    s.limits = NAMES.map(|n| stated.iter().find(|(m, ..)| m == n).map(|(_, low, high)| (*low, *high)));
    s.stated = NAMES.iter().zip(s.limits).filter_map(|(n, l)| Some(sentence(n, l?))).collect();
    let Some(condition) = condition else { return Ok(()) };
    let own = Subject::new(condition, true, None, 0.0)?;
    let Some(reach) = own_box(&own).filter(|b| b.is_finite() && !b.is_empty()) else { return Ok(()) };
    for axis in (0..3).filter(|axis| own.axes[*axis] == Answer::Open) {
        let room = BEYOND * reach.size()[axis];
        let (low, high) = s.limits[axis].unwrap_or((f64::NEG_INFINITY, f64::INFINITY));
        let ends = (low.max(-round_up(room - reach.min[axis])), high.min(round_up(reach.max[axis] + room)));
        s.limits[axis] = Some(ends);
    }
    Ok(())
}

/// The box of what would be shown without the limits.
fn usual(s: &Subject) -> Box3 {
    let free = Subject { limits: [None; 3], stated: vec![], probe: s.probe.clone(), ..*s };
    unlimited(&free).region()
}

/// From where to where an axis is shown: the stated ends, and for those that are not stated what there is.
fn ends(s: &Subject, axis: usize, usual: Box3) -> (f64, f64) {
    let (low, high) = (usual.min[axis], usual.max[axis]);
    match s.limits[axis] {
        Some((from, to)) if from.is_finite() && to.is_finite() => (from, to),
        Some((from, _)) if from.is_finite() => (from, if high > from { high } else { from + (high - low) }),
        Some((_, to)) if to.is_finite() => (if low < to { low } else { to - (high - low) }, to),
        _ => (low, high),
    }
}

/// The ends that are not stated, moved out to a short number.
fn padded(s: &Subject, axis: usize, (low, high): (f64, f64), room: f64) -> (f64, f64) {
    let (from, to) = s.limits[axis].unwrap_or((f64::NEG_INFINITY, f64::INFINITY));
    let low = if from.is_finite() { from } else { -round_up(room - low) };
    (low, if to.is_finite() { to } else { round_up(high + room) })
}

fn sentence(name: &str, (low, high): (f64, f64)) -> String {
    match (low.is_finite(), high.is_finite()) {
        (true, true) => format!("{name} from {} to {}", told(low), told(high)),
        (true, false) => format!("{name} from {}", told(low)),
        _ => format!("{name} up to {}", told(high)),
    }
}
