//! Which part of a field's surface or solid is shown.
//!
//! Each coordinate repeats, does not matter, or is open. What repeats in all three is shown by whole cells; what is
//! bounded, whole; a height over a plane, over the part of the plane where something happens; and the rest inside a
//! ball (or a rod or block, where one or two coordinates repeat) that holds the places where something happens.

use super::clip::{Clip, round_near, round_up};
use super::height;
use super::limited;
use super::period::{Answer, answer};
use super::probe::{Probe, Search, isolated, scatter, still_points, turning_points};
use super::{FrameFault, period_text};
use crate::base::{Box3, Vec3};
use crate::form::seek::{Sought, effort, is_free, least_box, may_be_inside, may_be_zero, reach};
use crate::formula::Expr;

/// The part that is shown, and why.
#[derive(Clone, Debug)]
pub(super) struct Place {
    /// What it is clipped by; `None` for what is bounded by itself.
    pub(super) clip: Option<Clip>,
    /// The box of what is bounded by itself.
    pub(super) own: Option<Box3>,
    /// Sentences for a person.
    pub(super) said: Vec<String>,
}

/// A field with what is known of it.
pub(super) struct Subject {
    pub(super) probe: Probe,
    pub(super) axes: [Answer; 3],
    /// The inside counts, not only the boundary.
    pub(super) solid: bool,
    /// Whole cells asked for, if any.
    pub(super) cells: Option<u32>,
    /// Thickness of the wall as a part of the size; 0 for a solid.
    pub(super) wall: f64,
    /// From where to where it goes; an end may be infinite.
    pub(super) limits: [Option<(f64, f64)>; 3],
    /// What the text says of that, in sentences.
    pub(super) stated: Vec<String>,
}

pub(super) const NAMES: [&str; 3] = ["x", "y", "z"];

impl Subject {
    pub(super) fn new(value: &Expr, solid: bool, cells: Option<u32>, wall: f64) -> Result<Self, FrameFault> {
        let probe = Probe::new(value).ok_or(FrameFault::NotOfSpace)?;
        let axes = NAMES.map(|n| answer(&[value], n));
        Ok(Self { probe, axes, solid, cells, wall, limits: [None; 3], stated: vec![] })
    }

    /// Whether a box may hold a point of what is shown.
    pub(super) fn may(&self, b: Box3) -> bool {
        let range = self.probe.tape.bounds_tight(b);
        if self.solid { may_be_inside(range) } else { may_be_zero(range) }
    }

    /// How often this field is looked at where a short one is looked at `often`.
    fn effort(&self, often: usize) -> usize {
        effort(&self.probe.tape, often)
    }

    /// Whether a direction has no ends that are known beforehand.
    pub(super) fn is_open(&self, axis: usize) -> bool {
        self.axes[axis] == Answer::Open && self.limits[axis].is_none()
    }

    fn open(&self) -> Vec<usize> {
        (0..3).filter(|i| self.is_open(*i)).collect()
    }

    /// One cell in the repeating and free directions, everything in the open ones, out to `far`; as far as the text
    /// says in the limited ones.
    fn slab(&self, far: f64) -> Box3 {
        let ends = [0, 1, 2].map(|i| match (self.limits[i], self.axes[i]) {
            (Some((low, high)), _) => (low.max(-FAR), high.min(FAR)),
            (None, Answer::Period(p)) => (-0.5 * p, 0.5 * p),
            (None, Answer::Free) => (0.0, 0.0),
            (None, Answer::Open) => (-far, far),
        });
        Box3::new(ends.map(|e| e.0).into(), ends.map(|e| e.1).into())
    }

    pub(super) fn search(&self, active: [bool; 3], centre: Vec3) -> Search {
        let cell = self.axes.map(|a| match a {
            Answer::Period(p) => Some(p),
            _ => None,
        });
        Search { active, cell, centre }
    }
}

/// Largest distance at which a thing may end, and places are looked for.
const FAR: f64 = 16384.0;

/// Chooses the part that is shown.
pub(super) fn place(s: &Subject) -> Result<Place, FrameFault> {
    checked(s, limited::place(s).unwrap_or_else(|| unlimited(s)))
}

/// The part of a field without limits in its text.
pub(super) fn unlimited(s: &Subject) -> Place {
    let open = s.open();
    if open.is_empty() {
        whole_cells(s)
    } else if let Some(found) = height::place(s) {
        found
    } else if let Some(own) = own_box(s) {
        bounded(s, own)
    } else {
        clipped(s, &open)
    }
}

impl Place {
    /// The box of what is shown; empty where nothing is.
    pub(super) fn region(&self) -> Box3 {
        match self.clip {
            Some(Clip::Block { size, centre }) => Box3::new(centre - size * 0.5, centre + size * 0.5),
            Some(Clip::Ball { radius, centre }) => {
                Box3::new(centre - Vec3::splat(radius), centre + Vec3::splat(radius))
            }
            Some(Clip::Rod { radius, height, centre }) => {
                let half = Vec3::new(radius, radius, 0.5 * height);
                Box3::new(centre - half, centre + half)
            }
            None => self.own.unwrap_or(Box3::EMPTY),
        }
    }
}

/// Refuses what holds nothing, and what only touches zero.
fn checked(s: &Subject, found: Place) -> Result<Place, FrameFault> {
    let region = found.region();
    if region.is_empty() || is_free(region, s.effort(4000), &|b| s.may(b)) {
        return Err(FrameFault::NoPoint);
    }
    match changes_sign(s, region) {
        Some(true) => Ok(found),
        Some(false) if s.solid => Err(FrameFault::AllSpace),
        _ => Err(FrameFault::Touches),
    }
}

/// Whether both signs occur and zero between them: first at scattered places, then in ever smaller boxes where zero
/// may lie. `None` when only positive values were met or when the sign only changes at poles, `Some(false)` when
/// only negative ones were met.
fn changes_sign(s: &Subject, region: Box3) -> Option<bool> {
    let (mut plus, mut minus) = (Vec::new(), Vec::new());
    let mut see = |place: Vec3, v: f64| {
        let side = if v > 0.0 { &mut plus } else { &mut minus };
        if side.len() < PAIRS && v != 0.0 && !v.is_nan() {
            side.push((place, v));
        }
        plus.len().min(minus.len()) == PAIRS
    };
    let places = scatter(region, 4000, 5);
    for (place, v) in places.iter().zip(s.probe.values(&places)) {
        see(*place, v);
    }
    let mut queue = std::collections::VecDeque::from([region]);
    let mut left = s.effort(8000);
    while let Some(b) = queue.pop_front() {
        if left == 0 || see(b.centre(), s.probe.value(b.centre())) {
            break;
        }
        left -= 1;
        if may_be_zero(s.probe.tape.bounds_tight(b)) {
            queue.extend(crate::form::seek::halves(b));
        }
    }
    match (plus.is_empty(), minus.is_empty()) {
        (true, false) => Some(false),
        (false, false) => {
            let mut pairs = plus.iter().flat_map(|p| minus.iter().map(move |m| (*p, *m)));
            pairs.any(|(p, m)| !pole_between(s, p, m)).then_some(true)
        }
        _ => None,
    }
}

/// So many places of either sign are compared.
const PAIRS: usize = 12;

/// Whether the field grows toward the place between two others at which its sign changes, as 1/x does at 0.
fn pole_between(s: &Subject, plus: (Vec3, f64), minus: (Vec3, f64)) -> bool {
    let (mut up, mut down, mut v) = (plus.0, minus.0, 0.0);
    for _ in 0..50 {
        let middle = (up + down) * 0.5;
        v = s.probe.value(middle);
        if v > 0.0 { up = middle } else { down = middle }
    }
    v.abs() > 1e3 * plus.1.abs().max(minus.1.abs())
}

/// How long a direction is shown that does not matter, as a part of the width.
pub(super) const FREE_LENGTH: f64 = 0.8;

fn whole_cells(s: &Subject) -> Place {
    let longest = s.axes.iter().fold(0.0_f64, |l, a| if let Answer::Period(p) = a { l.max(*p) } else { l });
    let repeating = s.axes.iter().filter(|a| matches!(a, Answer::Period(_))).count();
    // A pattern in one or two directions wants a few cells to show that it goes on.
    let count = s.cells.map_or(if repeating == 3 { 1.0 } else { 2.0 }, f64::from);
    let size = s.axes.map(|a| match a {
        Answer::Period(p) => p * count,
        _ if longest > 0.0 => round_near(longest * count * FREE_LENGTH),
        _ => 1.0,
    });
    let clip = Clip::Block { size: size.into(), centre: Vec3::ZERO };
    Place { clip: Some(clip), own: None, said: vec![period_text(&s.axes, count)] }
}

/// The least box of what is bounded in its open directions; in the others one cell.
pub(super) fn own_box(s: &Subject) -> Option<Box3> {
    let slab = s.slab(FAR);
    let may = |b: Box3| {
        let part = b.meet(slab);
        !part.is_empty() && s.may(part)
    };
    let far = match reach(&s.probe.tape, &may) {
        Some(far) => far,
        // Where bounds cannot tell, as at a line on which the field only touches zero, signs do.
        None => return own_box_by_signs(s),
    };
    let region = slab.meet(Box3::cube(far));
    let region = if s.slab(1.0).size().largest() > 2.0 * far { slab.meet(s.slab(far)) } else { region };
    let tape = &s.probe.tape;
    let sought = if s.solid { Sought::insides(tape) } else { Sought::zeros(tape) };
    let mut found = least_box(region, 1e-4, &sought)?;
    for axis in 0..3 {
        // A direction that repeats or does not matter has no ends of its own.
        if s.axes[axis] != Answer::Open {
            let (lo, hi) = (slab.min[axis], slab.max[axis]);
            found = with_range(found, axis, lo, hi);
        }
    }
    Some(found)
}

pub(super) fn with_range(b: Box3, axis: usize, lo: f64, hi: f64) -> Box3 {
    let (mut min, mut max) = (b.min.array(), b.max.array());
    (min[axis], max[axis]) = (lo, hi);
    Box3::new(min.into(), max.into())
}

/// Directions and distances at which signs are looked at.
const RAYS: usize = 400;

/// The box of sign changes, when the field has one sign far out in every direction looked at.
fn own_box_by_signs(s: &Subject) -> Option<Box3> {
    let unit = s.slab(1.0);
    let mut rays = scatter(unit, RAYS, 9);
    let corner = |i: i32| Vec3::new(f64::from(i % 3 - 1), f64::from(i / 3 % 3 - 1), f64::from(i / 9 - 1));
    rays.extend((0..27).map(|i| Vec3::from([0, 1, 2].map(|a| corner(i)[a] * unit.max[a]))));
    let stretch = |v: Vec3, k: f64| Vec3::from([0, 1, 2].map(|i| if s.is_open(i) { v[i] * k } else { v[i] }));
    let sign_at = |k: f64| {
        let values = s.probe.values(&rays.iter().map(|v| stretch(*v, k)).collect::<Vec<_>>());
        let (plus, minus) = (values.iter().any(|v| *v > 0.0), values.iter().any(|v| *v < 0.0));
        if plus && minus { None } else { Some(plus) }
    };
    let outside = sign_at(FAR)?;
    let mut far = FAR;
    while far > 1e-3 && sign_at(far) == Some(outside) {
        far *= 0.5;
    }
    let region = s.slab(2.0 * far);
    if sign_at(2.0 * far) != Some(outside) || (s.solid && !outside) {
        return None;
    }
    signed_box(s, region, outside)
}

/// Cells per side of the grid on which signs are read.
const GRID: usize = 48;

fn signed_box(s: &Subject, region: Box3, outside: bool) -> Option<Box3> {
    let (step, mut found) = (region.size() / GRID as f64, Box3::EMPTY);
    let line = |axis: usize, i: usize| region.min[axis] + step[axis] * (i as f64 + 0.5);
    for k in 0..GRID {
        let layer: Vec<Vec3> =
            (0..GRID * GRID).map(|i| Vec3::new(line(0, i % GRID), line(1, i / GRID), line(2, k))).collect();
        for (p, v) in layer.iter().zip(s.probe.values(&layer)) {
            if v != 0.0 && (v > 0.0) != outside {
                found = found.hold(*p);
            }
        }
    }
    (!found.is_empty()).then(|| Box3::new(found.min - step, found.max + step))
}

fn bounded(s: &Subject, own: Box3) -> Place {
    if s.open().len() == 3 {
        let clip = own_box_is_sure(s, own);
        let said = if clip.is_none() { "bounded: shown whole" } else { "shown where the sign changes" };
        return Place { clip, own: Some(own), said: vec![said.to_owned()] };
    }
    // Bounded in the open directions; the others get whole cells or a good length.
    let width = (0..3).filter(|i| s.axes[*i] == Answer::Open).fold(0.0_f64, |w, i| w.max(own.size()[i]));
    let longest = s.axes.iter().fold(0.0_f64, |l, a| if let Answer::Period(p) = a { l.max(*p) } else { l });
    let count = s.cells.map_or_else(|| (width / longest.max(1e-9)).round().clamp(1.0, 3.0), f64::from);
    let count = if longest > 0.0 { count } else { 1.0 };
    let (mut size, mut centre) = ([0.0; 3], [0.0; 3]);
    for i in 0..3 {
        (size[i], centre[i]) = match s.axes[i] {
            Answer::Period(p) => (p * count, 0.0),
            Answer::Free => (round_near(FREE_LENGTH * width.max(longest * count)), 0.0),
            // A margin, so that the clip cuts only where it should.
            Answer::Open => (round_up(own.size()[i] * 1.1), round_near(own.centre()[i])),
        };
        if centre[i].abs() < 0.02 * size[i] {
            centre[i] = 0.0;
        }
    }
    let clip = Clip::Block { size: size.into(), centre: centre.into() };
    Place { clip: Some(clip), own: None, said: vec![period_text(&s.axes, count)] }
}

/// A clip for what is only bounded by its signs: lines on which zero is touched would go on.
fn own_box_is_sure(s: &Subject, own: Box3) -> Option<Clip> {
    let around = own.grown(own.size().largest());
    let beyond = |axis: usize| {
        let from = own.max[axis] + own.size()[axis] * 0.2;
        is_free(with_range(around, axis, from, around.max[axis]), s.effort(4000), &|b| s.may(b))
    };
    let sure = beyond(0) && beyond(2);
    let size = own.size().array().map(|v| round_up(v * 1.04));
    let centre =
        own.centre().array().map(|c| if c.abs() < 0.02 * own.size().largest() { 0.0 } else { round_near(c) });
    (!sure).then(|| Clip::Block { size: size.into(), centre: centre.into() })
}

/// Places nearer than this to the centre are the centre: starts lie from 1/8 outward, and a search that runs into
/// a double point stops short of it.
const NEAREST: f64 = 0.02;

/// Distances, in order, each once.
pub(super) fn distinct(mut far: Vec<f64>) -> Vec<f64> {
    far.retain(|d| *d > NEAREST);
    far.sort_by(f64::total_cmp);
    far.dedup_by(|a, b| (*a - *b).abs() < 1e-3 * *b);
    far
}

/// A radius that holds what the distances are of: the furthest, or, when they go on and on, the first few.
pub(super) fn hold(far: &[f64], margin: f64) -> Option<f64> {
    let last = far.last()?;
    let endless = far.len() >= 10 && *last > 8.0 * far[0];
    Some(margin * if endless { far[3] } else { *last })
}

/// Room beyond the furthest singular point: its cone is seen whole.
const BEYOND_SINGULAR: f64 = 1.35;
/// Room beyond the furthest turning point: the sheets are seen to leave.
const BEYOND_TURN: f64 = 2.0;

fn clipped(s: &Subject, open: &[usize]) -> Place {
    let active = [0, 1, 2].map(|i| open.contains(&i));
    let search = s.search(active, Vec3::ZERO);
    let (singular, still) = still_points(&s.probe, &search);
    let singular = isolated(&s.probe, &search, singular);
    let centre = if singular.len() > 1 { middle(&singular, &search) } else { Vec3::ZERO };
    let search = s.search(active, centre);
    let turns = turning_points(&s.probe, &search);
    let far = |list: &[Vec3]| distinct(list.iter().map(|p| search.far(*p)).collect());
    let (by_singular, by_turn, by_still) = (far(&singular), far(&turns), far(&still));
    let singular_last = by_singular.last().copied().unwrap_or(0.0);
    let turn_last = by_turn.last().copied().unwrap_or(0.0);
    let all = distinct(by_singular.iter().chain(&by_turn).copied().collect());
    let (radius, why) = if let Some(r) = closed_part(s, &search, &all) {
        (r, "the part round the middle, which is closed".to_owned())
    } else if singular_last > 0.0 && singular_last * 2.5 > turn_last {
        // Turning points near the singular ones belong to them; those far out only draw the eye away.
        let near: Vec<f64> = by_turn.iter().copied().filter(|d| *d < 1.5 * singular_last).collect();
        let r = hold(&by_singular, BEYOND_SINGULAR).unwrap_or(1.0).max(hold(&near, 1.15).unwrap_or(0.0));
        (r, format!("{} singular points", singular.len()))
    } else if let Some(r) = hold(&by_turn, BEYOND_TURN) {
        (r, "the places where it turns back".to_owned())
    } else if let Some(r) = hold(&by_still, BEYOND_TURN).filter(|r| *r < STILL_FAR) {
        (r, "the places where its field stands still".to_owned())
    } else {
        (scale_alone(s), "its middle".to_owned())
    };
    around(s, open, round_near(radius), centre, &why)
}

/// Places further out than this where a field stands still, off the surface, are not what it is known for.
const STILL_FAR: f64 = 16.0;
/// A gap between the distances of two places that is worth a look.
const GAP: f64 = 1.3;

/// The radius of a sphere in the first gap between places that the boundary does not cross: all that is inside is
/// closed by itself, and what lies outside is another part.
fn closed_part(s: &Subject, search: &Search, far: &[f64]) -> Option<f64> {
    let rays: Vec<Vec3> = scatter(Box3::cube(1.0), RAYS, 21);
    far.windows(2).filter(|w| w[1] > GAP * w[0]).map(|w| (w[0] * w[1]).sqrt()).find(|r| {
        let places: Vec<Vec3> = rays
            .iter()
            .map(|v| {
                let n = search.far(search.centre + *v).max(1e-9);
                let along = |i: usize| match search.cell[i] {
                    _ if search.active[i] => v[i] * r / n,
                    Some(period) => 0.5 * period * v[i],
                    None => 0.0,
                };
                search.centre + Vec3::new(along(0), along(1), along(2))
            })
            .collect();
        let values = s.probe.values(&places);
        values.iter().all(|v| *v > 0.0) || (!s.solid && values.iter().all(|v| *v < 0.0))
    })
}

/// The middle of the box of places, or the origin when it is near.
fn middle(places: &[Vec3], search: &Search) -> Vec3 {
    let b = Box3::around(places.iter().copied());
    let c = b.centre();
    let c = Vec3::from([0, 1, 2].map(|i| if search.active[i] { c[i] } else { 0.0 }));
    if c.norm() < 0.25 * b.size().largest() { Vec3::ZERO } else { Vec3::from(c.array().map(round_near)) }
}

/// With nothing that happens anywhere but at the origin: a period if there is one, else the unit of the formula.
fn scale_alone(s: &Subject) -> f64 {
    let period = s.axes.iter().find_map(|a| if let Answer::Period(p) = a { Some(*p) } else { None });
    period.map_or(2.0, |p| 0.5 * p)
}

/// A ball, or a rod or block along what repeats.
fn around(s: &Subject, open: &[usize], radius: f64, centre: Vec3, why: &str) -> Place {
    let closed: Vec<usize> = (0..3).filter(|i| !open.contains(i)).collect();
    if closed.is_empty() {
        let clip = Clip::Ball { radius, centre };
        let said = format!("endless: clipped by a ball of radius {radius} (formula units) that holds {why}");
        return Place { clip: Some(clip), own: None, said: vec![said] };
    }
    let longest = s.axes.iter().fold(0.0_f64, |l, a| if let Answer::Period(p) = a { l.max(*p) } else { l });
    let count = s.cells.map_or_else(
        || if longest > 0.0 { (2.0 * radius / longest).round().clamp(1.0, 3.0) } else { 1.0 },
        f64::from,
    );
    let length = |axis: usize| match s.axes[axis] {
        Answer::Period(p) => p * count,
        _ => round_near(FREE_LENGTH * (2.0 * radius).max(longest * count)),
    };
    let clip = if closed == [2] {
        Clip::Rod { radius, height: length(2), centre }
    } else {
        let size = [0, 1, 2].map(|i| if open.contains(&i) { 2.0 * radius } else { length(i) });
        Clip::Block { size: size.into(), centre }
    };
    let said = format!(
        "{}; clipped {radius} (formula units) from the axis to hold {why}",
        period_text(&s.axes, count)
    );
    Place { clip: Some(clip), own: None, said: vec![said] }
}
