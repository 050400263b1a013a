//! The least box of a form, found by bounds alone: no sample decides, so no thin spike is missed.
//!
//! For each of the six faces, boxes that may hold a point are split, furthest out first, until one that is small
//! enough comes up; no point lies beyond it. (Branch and bound; R. E. Moore, Methods and Applications of Interval
//! Analysis, SIAM 1979.)

use std::cmp::Ordering;
use std::collections::BinaryHeap;
use std::sync::Arc;

use super::extent::everywhere;
use super::fault::positive;
use super::{Curve, Form, FormFault, Movable, Sheet, Solid, Surface, Thickness, outline, scale, xyz};
use crate::base::{Box3, Interval, Vec3};
use crate::formula::{Expr, Local, Tape};

/// Faces are found to this part of the box's longest side: 6 µm for a piece of 60 mm.
const FINE: f64 = 1e-4;
/// Parts of the side to which faces are found, round by round; at the last as fine as asked.
const ROUNDS: [f64; 5] = [1.0 / 16.0, 1.0 / 16.0, 1.0 / 64.0, 1.0 / 256.0, 0.0];
/// Most boxes split for one face, fewer where the field is long; past it the face lies where it was known to be enough.
const SPLITS: usize = 6000;
/// A tape of more steps than this is looked at the less often.
const LONG: usize = 100;

/// How often a tape is looked at where a short one is looked at `often`: the work stays the same.
pub(super) fn effort(tape: &Tape, often: usize) -> usize {
    often * LONG / tape.len().max(LONG)
}

/// A box waiting to be split; the furthest out comes first, and of equals the smallest.
struct Waiting<T> {
    reach: f64,
    girth: f64,
    region: Box3,
    /// What is looked for in it.
    sought: T,
}

impl<T> PartialEq for Waiting<T> {
    fn eq(&self, o: &Self) -> bool {
        self.cmp(o) == Ordering::Equal
    }
}

impl<T> Eq for Waiting<T> {}

impl<T> PartialOrd for Waiting<T> {
    fn partial_cmp(&self, o: &Self) -> Option<Ordering> {
        Some(self.cmp(o))
    }
}

impl<T> Ord for Waiting<T> {
    fn cmp(&self, o: &Self) -> Ordering {
        self.reach.total_cmp(&o.reach).then(o.girth.total_cmp(&self.girth))
    }
}

/// Both halves of a box, split across its longest side.
pub(super) fn halves(region: Box3) -> [Box3; 2] {
    let size = region.size();
    let axis = if size.x >= size.y && size.x >= size.z {
        0
    } else if size.y >= size.z {
        1
    } else {
        2
    };
    let middle = region.centre()[axis];
    let (mut a, mut b) = (region, region);
    let set = |v: &mut Vec3| match axis {
        0 => v.x = middle,
        1 => v.y = middle,
        _ => v.z = middle,
    };
    set(&mut a.max);
    set(&mut b.min);
    [a, b]
}

/// Points that are looked for: where a field is zero, or where it is not positive, in a solid if one is given.
#[derive(Clone)]
pub(super) struct Sought {
    field: Local,
    inside: bool,
    within: Option<Local>,
}

impl Sought {
    /// Where the field is zero.
    pub(super) fn zeros(field: &Tape) -> Self {
        Self { field: Local::exact(field.clone()), inside: false, within: None }
    }

    /// Where the field is not positive.
    pub(super) fn insides(field: &Tape) -> Self {
        Self { inside: true, ..Self::zeros(field) }
    }

    /// The same where another field is not positive.
    fn kept_in(self, solid: Option<Tape>) -> Self {
        Self { within: solid.map(Local::exact), ..self }
    }

    /// What is left of a box when parts that hold no such point are taken off; `None` for nothing.
    fn sift(&self, region: Box3) -> Option<Box3> {
        let region = self.within.as_ref().map_or(Some(region), |solid| sift(solid, region, true))?;
        sift(&self.field, region, self.inside)
    }

    /// The same for a look at parts of a box.
    fn closer(&self, region: Box3) -> Self {
        let within = self.within.as_ref().map(|solid| solid.closer(region));
        Self { field: self.field.closer(region), inside: self.inside, within }
    }

    /// What a look costs, against one at a short field.
    fn cost(&self) -> f64 {
        self.field.near().0.len().max(LONG) as f64 / LONG as f64
    }
}

/// What is left of a box in which the field is looked at for zero, or for values that are not positive: by bounds,
/// and by the slopes, which say how far from the middle zero can lie in each direction. (Interval Newton's method,
/// as in R. E. Moore's book; outward by a part of 1e-12 against rounding.)
fn sift(local: &Local, region: Box3, solid: bool) -> Option<Box3> {
    let (tape, error) = local.near();
    let (range, slopes) = tape.bounds_and_slopes(region);
    let range = Interval { lo: range.lo - error, hi: range.hi + error };
    let may = if solid { may_be_inside(range) } else { may_be_zero(range) };
    if !may {
        return None;
    }
    let centre = region.centre();
    let value = tape.value(centre);
    if !value.is_finite() {
        return Some(region);
    }
    let (mut lo, mut hi) = (region.min.array(), region.max.array());
    let half = region.size() * 0.5;
    let sway = |j: usize| slopes[j].lo.abs().max(slopes[j].hi.abs()) * half[j];
    for i in 0..3 {
        let slope = slopes[i];
        if !(slope.lo.is_finite() && slope.hi.is_finite()) || slope.lo * slope.hi <= 0.0 {
            continue;
        }
        let others = error + (0..3).filter(|j| *j != i).map(sway).sum::<f64>();
        // The step t from the middle needs slope·t = -(value + what the others do), or less for a solid.
        let ends = [-(value - others), -(value + others)];
        let steps = [ends[0] / slope.lo, ends[0] / slope.hi, ends[1] / slope.lo, ends[1] / slope.hi];
        let (least, most) = if solid {
            (steps[0].min(steps[1]), steps[0].max(steps[1]))
        } else {
            (
                steps.iter().copied().fold(f64::INFINITY, f64::min),
                steps.iter().copied().fold(f64::NEG_INFINITY, f64::max),
            )
        };
        // The value is rounded by as much as its terms are large.
        let slack = 1e-12 * (region.size().largest() + centre[i].abs());
        if !solid || slope.lo > 0.0 {
            hi[i] = hi[i].min(centre[i] + most + slack);
        }
        if !solid || slope.lo < 0.0 {
            lo[i] = lo[i].max(centre[i] + least - slack);
        }
    }
    let left = Box3::new(lo.into(), hi.into());
    (!left.is_empty()).then_some(left)
}

/// The least box, to `fine` of its longest side, of what is left of `region`, which is finite, after sifting;
/// `None` when nothing is.
pub(super) fn least_box(region: Box3, fine: f64, sought: &Sought) -> Option<Box3> {
    // Rough boxes first: each round starts from what the one before has left, however large the region was.
    let mut found = region;
    for (face, round) in (0..6 * ROUNDS.len()).map(|i| (i, ROUNDS[i / 6])) {
        let fine = fine.max(round);
        let (axis, outward) = (face % 6 / 2, face % 2 == 1);
        let reach = |b: Box3| if outward { b.max[axis] } else { -b.min[axis] };
        let at = furthest(found, found.size().largest() * fine, sought, &reach)?;
        let edge = if outward { &mut found.max } else { &mut found.min };
        let place = if outward { at } else { -at };
        match axis {
            0 => edge.x = place,
            1 => edge.y = place,
            _ => edge.z = place,
        }
    }
    Some(found)
}

/// The largest `reach` of a box that may hold a point, to `small`.
fn furthest(region: Box3, small: f64, sought: &Sought, reach: &dyn Fn(Box3) -> f64) -> Option<f64> {
    let mut heap = BinaryHeap::new();
    let put = |heap: &mut BinaryHeap<Waiting<Sought>>, region: Box3, sought: &Sought| {
        if let Some(left) = sought.sift(region) {
            let (reach, girth) = (reach(left), left.size().largest());
            heap.push(Waiting { reach, girth, region: left, sought: sought.clone() });
        }
    };
    put(&mut heap, region, sought);
    let mut spent = 0.0;
    while let Some(w) = heap.pop() {
        if w.girth <= small || spent >= SPLITS as f64 {
            return Some(w.reach);
        }
        spent += w.sought.cost();
        let sought = w.sought.closer(w.region);
        for half in halves(w.region) {
            put(&mut heap, half, &sought);
        }
    }
    None
}

/// True when it is shown, within a number of splits, that no box of the region may hold a point.
pub(super) fn is_free(region: Box3, splits: usize, may: &dyn Fn(Box3) -> bool) -> bool {
    let mut stack = vec![region];
    let mut left = splits;
    while let Some(b) = stack.pop() {
        if !may(b) {
            continue;
        }
        if left == 0 {
            return false;
        }
        left -= 1;
        stack.extend(halves(b));
    }
    true
}

/// The six slabs between two cubes about the origin.
pub(super) fn shell(inner: f64, outer: f64) -> [Box3; 6] {
    let slab = |axis: usize, up: bool| {
        // Each slab is as wide as the axes before it leave it.
        let half = |other: usize| if other < axis { inner } else { outer };
        let (mut lo, mut hi) = ([0, 1, 2].map(|i| -half(i)), [0, 1, 2].map(half));
        if up {
            lo[axis] = inner
        } else {
            hi[axis] = -inner
        }
        Box3::new(lo.into(), hi.into())
    };
    [slab(0, false), slab(0, true), slab(1, false), slab(1, true), slab(2, false), slab(2, true)]
}

/// Powers of two between which the extent of a thing without known box is looked for, mm.
const OCTAVES: std::ops::Range<i32> = -10..14;
/// Splits spent on one slab of a shell.
const SHELL_SPLITS: usize = 2500;

/// Half the edge of a cube about the origin outside of which, out to 16384 mm, no point is; `None` when there may
/// be points at the rim.
pub(super) fn reach(tape: &Tape, may: &dyn Fn(Box3) -> bool) -> Option<f64> {
    let free = |k: i32| {
        let inner = 2.0_f64.powi(k);
        shell(inner, 2.0 * inner).into_iter().all(|slab| is_free(slab, effort(tape, SHELL_SPLITS), may))
    };
    let last = OCTAVES.rev().find(|k| !free(*k));
    match last {
        Some(k) if k + 1 == OCTAVES.end => None,
        Some(k) => Some(2.0_f64.powi(k + 1)),
        None => Some(2.0_f64.powi(OCTAVES.start)),
    }
}

/// The least box of what `may` allows, looked for inside `within`, which may be infinite.
fn bounded(within: Box3, act: &'static str, sought: &Sought) -> Result<Box3, FormFault> {
    if within.is_empty() {
        return Err(FormFault::Empty);
    }
    let region = if within.is_finite() {
        within
    } else {
        let far = reach(&sought.field.tape, &|b| sought.sift(b).is_some());
        within.meet(Box3::cube(far.ok_or(FormFault::Endless { act })?))
    };
    least_box(region, FINE, sought).ok_or(FormFault::Empty)
}

/// A tape of an expression that is known to have no names but x, y, z.
fn tape(e: &Expr) -> Result<Tape, FormFault> {
    Tape::new(e).map_err(|f| FormFault::FreeName(f.to_string()))
}

/// Whether a value that is not positive may occur; where bounds are undefined, it may.
pub(super) fn may_be_inside(range: Interval) -> bool {
    range.lo.is_nan() || range.lo <= 0.0
}

/// Whether the value 0 may occur.
pub(super) fn may_be_zero(range: Interval) -> bool {
    may_be_inside(range) && (range.hi.is_nan() || range.hi >= 0.0)
}

/// Things that have a least box.
pub trait Bounded {
    /// The least box, to a ten-thousandth of its longest side and never too small; about holes in a formula that can be
    /// filled, such as that of sin t / t, as its values near by tell.
    ///
    /// # Errors
    /// [`FormFault::Endless`], [`FormFault::Empty`].
    fn bounds(&self) -> Result<Box3, FormFault>;

    /// The box to take a size by: the least box, and where bounds of the field are too loose to find it, the box of
    /// what is found inside.
    ///
    /// # Errors
    /// Those of [`bounds`].
    fn outline(&self) -> Result<Box3, FormFault> {
        self.bounds()
    }
}

/// The least box of a thing, to a ten-thousandth of its longest side and never too small, mm.
///
/// # Errors
/// [`FormFault::Endless`], [`FormFault::Empty`].
pub fn bounds<T: Bounded>(thing: &T) -> Result<Box3, FormFault> {
    thing.bounds()
}

/// A wall in a tree, as far as its box goes: the whole box of the surface, grown.
fn wall_box(surface: &Surface, thickness: &Thickness) -> Result<Expr, FormFault> {
    let b = surface.bounds()?.grown(thickness.most() * 0.5);
    let [x, y, z] = xyz();
    let side = |e: Expr, lo: f64, hi: f64| (Expr::constant(lo) - e.clone()).max(e - hi);
    Ok(side(x, b.min.x, b.max.x).max(side(y, b.min.y, b.max.y)).max(side(z, b.min.z, b.max.z)))
}

/// The solid without the walls that are cut out of it: their boxes would cut out too much.
fn uncut(solid: &Solid) -> Solid {
    let all = |list: &Arc<[Solid]>| list.iter().map(uncut).collect();
    match solid {
        Solid::Union(list) => Solid::Union(all(list)),
        Solid::Intersection(list) => Solid::Intersection(all(list)),
        Solid::Difference(pair) if has_wall(&pair[1]) => uncut(&pair[0]),
        Solid::Difference(pair) => Solid::Difference(Arc::new([uncut(&pair[0]), pair[1].clone()])),
        Solid::Blend(pair, reach) => Solid::Blend(Arc::new([uncut(&pair[0]), uncut(&pair[1])]), *reach),
        Solid::Moved(s, by) => Solid::Moved(Arc::new(uncut(s)), *by),
        Solid::Mapped { solid, map, within } => {
            Solid::Mapped { solid: Arc::new(uncut(solid)), map: map.clone(), within: *within }
        }
        whole => whole.clone(),
    }
}

fn has_wall(solid: &Solid) -> bool {
    solid.lower(&mut |_: &Surface, _| Err(())).is_err()
}

impl Bounded for Solid {
    fn bounds(&self) -> Result<Box3, FormFault> {
        let value = uncut(self).lower(&mut wall_box)?;
        let tape = tape(&value)?;
        bounded(self.within(), "bounds", &Sought::insides(&tape))
    }

    fn outline(&self) -> Result<Box3, FormFault> {
        let outer = self.bounds()?;
        let tape = tape(&self.lower(&mut wall_box)?)?;
        Ok(outline::closer(outer, &tape))
    }
}

impl Bounded for Surface {
    fn bounds(&self) -> Result<Box3, FormFault> {
        if let Self::Mesh(patch) = self {
            return finite_box(patch.region());
        }
        match self.sheet() {
            Sheet::Level { value, clip } => {
                let within = clip.as_ref().map_or_else(everywhere, Solid::within);
                let level = tape(&value)?;
                let kept = clip.map(|s| uncut(&s).lower(&mut wall_box)).transpose()?;
                let kept = kept.map(|e| tape(&e)).transpose()?;
                bounded(within, "bounds", &Sought::zeros(&level).kept_in(kept))
            }
            Sheet::Skin { solid, clip } => {
                let within = clip.map_or_else(|| Ok(everywhere()), |s| s.bounds())?;
                finite_box(solid.bounds()?.meet(within))
            }
            Sheet::Param { components, params, ranges, clip } => {
                let own = swept(&components, &[(&params[0], ranges[0]), (&params[1], ranges[1])])?;
                let within = clip.map_or_else(|| Ok(everywhere()), |s| s.bounds())?;
                finite_box(own.meet(within))
            }
        }
    }
}

impl Bounded for Curve {
    fn bounds(&self) -> Result<Box3, FormFault> {
        let mut all = Box3::EMPTY;
        for s in self.strands() {
            all = all.join(swept(s.components(), &[(s.param(), s.range())])?);
        }
        finite_box(all)
    }
}

impl Bounded for Form {
    fn bounds(&self) -> Result<Box3, FormFault> {
        match self {
            Self::Field(_) => Err(FormFault::WrongKind { act: "bounds", kind: self.kind() }),
            Self::Solid(s) => s.bounds(),
            Self::Surface(s) => s.bounds(),
            Self::Curve(c) => c.bounds(),
            Self::Flat(f) => finite_box(f.bounds()),
            Self::Tiling(t) => finite_box(t.edges().bounds()),
            Self::Net(n) => finite_box(n.within()),
        }
    }

    fn outline(&self) -> Result<Box3, FormFault> {
        match self {
            Self::Solid(s) => s.outline(),
            _ => self.bounds(),
        }
    }
}

fn finite_box(b: Box3) -> Result<Box3, FormFault> {
    if b.is_empty() {
        Err(FormFault::Empty)
    } else if b.is_finite() {
        Ok(b)
    } else {
        Err(FormFault::Endless { act: "bounds" })
    }
}

/// The least box of three expressions over the ranges of one or two names.
fn swept(components: &[Expr; 3], ranges: &[(&str, (f64, f64))]) -> Result<Box3, FormFault> {
    let names: Vec<(&str, Expr)> =
        ranges.iter().zip(["x", "y"]).map(|((n, _), to)| (*n, Expr::var(to))).collect();
    let range = |k: usize| ranges.get(k).map_or((0.0, 0.0), |(_, r)| *r);
    let domain = Box3::new(Vec3::new(range(0).0, range(1).0, 0.0), Vec3::new(range(0).1, range(1).1, 0.0));
    let mut out = [Interval::ALL; 3];
    for (axis, e) in components.iter().enumerate() {
        let tape = tape(&e.with(&names))?;
        let bound = |b: Box3| {
            let r = tape.bounds_of_numbers(b);
            if r.lo.is_nan() || r.hi.is_nan() { Interval::ALL } else { r }
        };
        let hi = summit(domain, &|b| bound(b).hi, &|p| tape.value(p));
        let lo = -summit(domain, &|b| -bound(b).lo, &|p| -tape.value(p));
        out[axis] = Interval::new(lo, hi);
    }
    let [x, y, z] = out;
    Ok(Box3::new(Vec3::new(x.lo, y.lo, z.lo), Vec3::new(x.hi, y.hi, z.hi)))
}

/// Places in each direction at which a part without a bound is looked at, and the part of the domain's longest side from which on
/// it is; its values are near one another when they differ by less than this part of all.
const ACROSS: usize = 5;
const SMALL: f64 = 1.0 / 256.0;
const NEAR: f64 = 0.02;

/// The least and the greatest number that a function has at some places of a box.
fn seen(region: Box3, value: &dyn Fn(Vec3) -> f64) -> Interval {
    let size = region.size();
    let share = |k: usize| k as f64 / (ACROSS - 1) as f64;
    let at = |k: usize| {
        region.min + Vec3::new(size.x * share(k % ACROSS), size.y * share(k / ACROSS % ACROSS), 0.5 * size.z)
    };
    let numbers = (0..ACROSS * ACROSS).map(|k| value(at(k))).filter(|v| v.is_finite());
    numbers.fold(Interval { lo: f64::INFINITY, hi: f64::NEG_INFINITY }, |all, v| Interval {
        lo: all.lo.min(v),
        hi: all.hi.max(v),
    })
}

/// An upper bound of a function over a box, from a bound of it over each part: parts with the highest bound are
/// split first, until the best is a speck of the domain. A small part without a bound, as about a hole that can be filled,
/// is known by its values, if these are near one another.
fn summit(domain: Box3, above: &dyn Fn(Box3) -> f64, value: &dyn Fn(Vec3) -> f64) -> f64 {
    let whole = seen(domain, value);
    let small = domain.size().largest() * SMALL;
    let above = |region: Box3| {
        let bound = above(region);
        if bound.is_finite() || region.size().largest() > small {
            return bound;
        }
        let seen = seen(region, value);
        let spread = seen.hi - seen.lo;
        if spread >= 0.0 && spread <= NEAR * (whole.hi - whole.lo) { seen.hi + spread } else { bound }
    };
    let mut heap = BinaryHeap::new();
    let speck = domain.size().largest() * FINE * 0.1;
    let put = |heap: &mut BinaryHeap<Waiting<()>>, region: Box3| {
        heap.push(Waiting { reach: above(region), girth: region.size().largest(), region, sought: () });
    };
    put(&mut heap, domain);
    for _ in 0..SPLITS {
        match heap.pop() {
            Some(w) if w.girth <= speck => return w.reach,
            Some(w) => halves(w.region).into_iter().for_each(|half| put(&mut heap, half)),
            None => break,
        }
    }
    heap.pop().map_or(f64::NAN, |w| w.reach)
}

/// The thing scaled so that its longest side is `size` mm, and centred on the origin.
///
/// # Errors
/// [`FormFault::NotPositive`], and those of [`bounds`].
pub fn fit<T: Movable + Bounded>(thing: &T, size: f64) -> Result<T, FormFault> {
    positive("size", size)?;
    let b = thing.outline()?;
    let longest = b.size().largest();
    if longest <= 0.0 {
        return Err(FormFault::Empty);
    }
    scale(&super::shift(thing, -b.centre())?, Vec3::splat(size / longest))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::formula::Unary;

    fn path(height: Expr, from: f64, to: f64) -> Result<Box3, FormFault> {
        let t = Expr::var("t");
        Curve::new([height, Expr::constant(0.0), t], "t", (from, to)).unwrap().bounds()
    }

    /// A half circle ends where its root does; sin t / t has a hole at 0 that can be filled, and its least value,
    /// -0.217233628 at 4.493409458 (M. Abramowitz, I. Stegun, Handbook of Mathematical Functions, table 4.9, from memory).
    #[test]
    fn curves_with_roots_and_holes_have_ends() {
        let t = || Expr::var("t");
        let half = path((Expr::constant(100.0) - t() * t()).sqrt(), -10.0, 10.0).unwrap();
        assert!((half.max.x - 10.0).abs() < 0.01 && half.min.x.abs() < 0.01, "{half:?}");
        let hole = path(Expr::unary(Unary::Sin, t()) / t(), -9.0, 9.0).unwrap();
        assert!((hole.max.x - 1.0).abs() < 0.01 && (hole.min.x + 0.217_233_628).abs() < 0.01, "{hole:?}");
        for endless in [Expr::constant(1.0) / t(), Expr::unary(Unary::Ln, t() * t())] {
            assert!(path(endless, -9.0, 9.0).is_err());
        }
    }
}
