//! A flat section carried along a curve, turning no more than the curve makes it turn.
//!
//! At every point near the curve the frames here tell where it lies in the section's plane: its coordinates there, how
//! far along the curve, how far beyond an open end.
//! Source: W. Wang, B. Jüttler, D. Zheng, Y. Liu, ACM Transactions on Graphics 27 (2008) 2, doi:10.1145/1330511.1330513
//! (frames that turn least); on a closed curve the left-over turn is spread evenly by length.

use std::f64::consts::TAU;
use std::sync::Arc;

use super::carry::{self, Caps, Extent};
use super::fault::{FormFault, unfit};
use super::flat::Flat;
use super::framed::Way;
use super::loft::Mix;
use super::measures::widest;
use super::mitre::Joints;
use super::near::Near;
use super::stand::{Corner, Stand};
use super::{Curve, Solid, Strand, only};
use crate::base::{Box3, Vec3};
use crate::formula::{Expr, Tape};

/// Cells across the section's box when its reach is measured.
const CELLS: usize = 256;
/// The same for sections that change, and at how many places from one to the next.
const PIPE_CELLS: usize = 64;
const LOOKS: usize = 6;
/// A section may reach this part of the widest radius: beyond it frames lose their meaning.
const REACH: f64 = 0.999;
/// Points of a turned section that are compared with it, and how far they may differ, as a part of its reach.
const COMPARED: usize = 200;
const ALIKE: f64 = 1e-3;

/// How a section is carried.
#[derive(Clone, Copy, Debug, Default)]
pub struct Carried {
    /// Turns about the curve on the way, besides those that the curve asks for; right-handed.
    pub turns: f64,
    /// How the section stands at the start, degrees from upright.
    pub angle: f64,
    /// How it goes round corners.
    pub corners: Joints,
    /// How open ends are closed.
    pub caps: Caps,
}

/// A flat section carried along a curve, turning or not, that keeps clear of itself.
#[derive(Debug)]
pub struct Swept {
    pub(super) route: Route,
    pub(super) closed: bool,
    /// How far the section reaches from the curve, mm.
    pub(super) reach: f64,
    /// Negative inside the section, in x and y, and in z as the part of the length gone where it changes; and a box that holds it.
    pub(super) section: Expr,
    pub(super) outline: Box3,
    /// The parts of the length at which sections stand that change into one another; none where it is one section.
    pub(super) changes: Vec<f64>,
    pub(super) caps: Caps,
    pub(super) value: Expr,
    pub(super) within: Box3,
}

/// What a section is carried along.
#[derive(Debug)]
pub enum Route {
    /// A curve without corners.
    Smooth(Arc<Way>),
    /// Straight stretches from each corner to the next; a closed path starts and ends on one of them.
    Straight(Vec<Corner>),
}

impl Route {
    /// How the section stands at a part of the length, from 0 to 1; on a straight path without corners, but at its ends.
    pub fn stand(&self, part: f64) -> Stand {
        match self {
            Self::Smooth(way) => way.stand(part),
            Self::Straight(corners) => {
                let [from, to] = [corners[0].stand, corners[corners.len() - 1].stand];
                Stand { place: from.place + (to.place - from.place) * part, ..from }
            }
        }
    }
}

impl Swept {
    /// The section as a solid without end in z, and a box that holds it in x and y. One that changes lies at each height as it is
    /// when that part of the length is gone.
    pub fn section(&self) -> (Solid, Box3) {
        (Solid::Field { value: self.section.clone(), within: self.outline }, self.outline)
    }

    /// True when it ends where it starts.
    pub fn is_closed(&self) -> bool {
        self.closed
    }

    /// What it is carried along.
    pub fn route(&self) -> &Route {
        &self.route
    }

    /// The parts of the length, from 0 to 1, at which sections stand that change into one another; none where it is one section.
    pub fn changes(&self) -> &[f64] {
        &self.changes
    }

    /// How its ends are closed.
    pub fn caps(&self) -> Caps {
        self.caps
    }

    /// How far the section reaches from the curve, mm.
    pub fn reach(&self) -> f64 {
        self.reach
    }

    /// Negative inside.
    pub(super) fn value(&self) -> &Expr {
        &self.value
    }

    /// A box that holds it.
    pub(super) fn within(&self) -> Box3 {
        self.within
    }
}

/// The field of a flat in x and y, and a box that holds it.
///
/// # Errors
/// [`FormFault::Empty`] for a flat without a region.
pub fn section(flat: &Flat) -> Result<(Expr, Box3), FormFault> {
    let (side, (low, high)) = super::flat::side(flat)?;
    Ok((side, Box3::new(Vec3::new(low.x, low.y, 0.0), Vec3::new(high.x, high.y, 0.0))))
}

/// The solid that a flat section sweeps along a curve of one strand. The section is the cut of a solid with the plane
/// of x and y, given as its field; its y axis starts as upright as the curve allows. With a rail, that axis points toward
/// the rail all along: to its place at the same part of its length.
///
/// # Errors
/// [`FormFault::Unfit`] when the section would meet itself, is empty or does not fit on itself where the curve closes;
/// for a rail beside turns, at a path with corners, or which the path runs toward.
pub fn sweep(
    curve: &Curve,
    section: &Expr,
    within: Box3,
    how: Carried,
    rail: Option<&Curve>,
) -> Result<Solid, FormFault> {
    let strand = only(curve)?;
    if let Some(rail) = rail {
        fits_rail(strand, rail, how)?;
    }
    let closed = strand.is_closed();
    let flat = section.with(&[("z", Expr::constant(0.0))]);
    let tape = Tape::new(&flat).map_err(|_| unfit("section", "is no field of x and y"))?;
    let extent = extent(&tape, within)?;
    let reach = extent.reach;
    if !strand.corners().is_empty() {
        let fits = |turn: f64| alike(&tape, turn, reach);
        return super::mitre::mitred(strand, (&flat, within), extent, how, &fits);
    }
    let part = how.turns - how.turns.round();
    if closed && part.abs() > 1e-9 && !alike(&tape, part * TAU, reach) {
        return Err(unfit(
            "turns",
            format!("of {} does not bring the section back onto itself where the curve closes", how.turns),
        ));
    }
    let mut way = roomy(curve, "section", reach, how)?;
    if let Some(rail) = rail {
        way.toward(rail)?;
    }
    let way = Arc::new(way);
    let (value, region) =
        carry::carried(&way, |[x, y, _]| flat.with(&[("x", x), ("y", y)]), extent.thin, how.caps);
    let (route, caps) = (Route::Smooth(way), how.caps);
    Ok(Solid::Swept(Arc::new(Swept {
        route,
        closed,
        reach,
        section: flat,
        outline: within,
        changes: vec![],
        caps,
        value,
        within: region,
    })))
}

/// Whether a rail can turn the section along a path.
///
/// # Errors
/// [`FormFault::Unfit`].
fn fits_rail(strand: &Strand, rail: &Curve, how: Carried) -> Result<(), FormFault> {
    let why = if how.turns != 0.0 {
        "turns the section already: leave `turns` out"
    } else if !strand.corners().is_empty() {
        "leads no section round corners: round them first"
    } else if only(rail)?.is_closed() != strand.is_closed() {
        "must be closed where the path is, and open where it is open"
    } else {
        return Ok(());
    };
    Err(unfit("rail", why))
}

/// The frames along a curve of one strand, if it has room for a section that reaches so far, mm.
///
/// # Errors
/// [`FormFault::Unfit`] when the section would meet itself.
fn roomy(curve: &Curve, name: &'static str, reach: f64, how: Carried) -> Result<Way, FormFault> {
    let widest = widest(curve)?;
    if reach > REACH * widest.radius {
        let [x, y, z] = widest.place.array();
        let why = if widest.by_bend { "its bend" } else { "another stretch" };
        return Err(unfit(
            name,
            format!(
                "reaches {reach:.3} mm from the curve, which has room for {:.3} mm: at [{x:.2}, {y:.2}, {z:.2}] {why} is in the way",
                widest.radius
            ),
        ));
    }
    Ok(Way::new(Near::new(curve)?, only(curve)?.is_closed(), how, reach, widest.radius))
}

/// The solid of flat sections carried along a curve of one strand: evenly by its length, the first at its start, the
/// last at its end. Between them distances from their outlines are mixed. On a closed curve the last runs on into the
/// first.
///
/// # Errors
/// As [`sweep`]; [`FormFault::Unfit`] for fewer than two sections, or a curve with corners.
pub fn pipe(curve: &Curve, sections: &[Flat], smooth: bool, how: Carried) -> Result<Solid, FormFault> {
    let strand = only(curve)?;
    let closed = strand.is_closed();
    if !strand.corners().is_empty() {
        return Err(unfit(
            "path",
            "has corners, round which no changing section is carried: round them first",
        ));
    }
    if closed && (how.turns - how.turns.round()).abs() > 1e-9 {
        let why = format!("of {} does not bring the sections home where the curve closes", how.turns);
        return Err(unfit("turns", why));
    }
    let mix = Mix::new(sections, closed, smooth)?;
    let section = mix.along(Expr::var("x"), Expr::var("y"), Expr::var("z"));
    let tape = Tape::new(&section).map_err(|_| unfit("sections", "are too many"))?;
    let mut far = 0.0f64;
    for k in 0..=LOOKS * sections.len() {
        let part = k as f64 / (LOOKS * sections.len()) as f64;
        match reach_at(&tape, mix.within(), part, PIPE_CELLS) {
            Err(FormFault::Empty) => {}
            found => far = far.max(found?),
        }
    }
    if far == 0.0 {
        return Err(FormFault::Empty);
    }
    let way = Arc::new(roomy(curve, "sections", far, how)?);
    let along = |[x, y, part]: [Expr; 3]| mix.along(x, y, part);
    let (value, within) = carry::carried(&way, along, f64::INFINITY, how.caps);
    Ok(Solid::Swept(Arc::new(Swept {
        route: Route::Smooth(way),
        closed,
        reach: far,
        section,
        outline: mix.within(),
        changes: mix.parts().to_vec(),
        caps: how.caps,
        value,
        within,
    })))
}

/// A place of a curve and the axes of a section there, at each of some parts of its length from 0 to 1. On a closed
/// curve the axes come home as they went, besides `how.turns`.
///
/// # Errors
/// [`FormFault::Unfit`] for a curve of several strands; [`FormFault::NotFinite`].
pub(super) fn frames(curve: &Curve, parts: &[f64], how: Carried) -> Result<Vec<[Vec3; 3]>, FormFault> {
    let closed = only(curve)?.is_closed();
    let way = Way::new(Near::new(curve)?, closed, how, 0.0, 1.0);
    let at = |part: &f64| {
        let stand = way.stand(*part);
        [stand.place, stand.x, stand.y]
    };
    Ok(parts.iter().map(at).collect())
}

/// How far from the origin the section has points, and how wide the largest disc in it is.
fn extent(tape: &Tape, within: Box3) -> Result<Extent, FormFault> {
    let size = within.size();
    if !(size.x.is_finite() && size.y.is_finite()) {
        return Err(FormFault::Endless { act: "sweep" });
    }
    Ok(Extent { reach: reach_at(tape, within, 0.0, CELLS)?, thin: widest_disc(tape, within) })
}

/// How wide the largest disc in the section is, by the distances of cells across its box from the nearest cell outside:
/// steps to the eight neighbours are as long as they are, which overestimates distances by a twelfth at most.
/// Source: G. Borgefors, Computer Vision, Graphics, and Image Processing 34 (1986) 344.
fn widest_disc(tape: &Tape, within: Box3) -> f64 {
    // One cell more on each side lies outside.
    let n = CELLS + 2;
    let step = [within.size().x, within.size().y].map(|s| s / CELLS as f64);
    let inside = |i: usize, j: usize| {
        let at = |k: usize, i: usize, low: f64| low + step[k] * (i as f64 - 0.5);
        let edge = [i, j].iter().any(|k| *k == 0 || *k == n - 1);
        !edge && tape.value(Vec3::new(at(0, i, within.min.x), at(1, j, within.min.y), 0.0)) < 0.0
    };
    let mut far: Vec<f64> =
        (0..n * n).map(|k| if inside(k % n, k / n) { f64::INFINITY } else { 0.0 }).collect();
    let across = libm::hypot(step[0], step[1]);
    let before = [(1, step[0]), (n - 1, across), (n, step[1]), (n + 1, across)];
    for k in n + 1..n * n {
        far[k] = before.iter().map(|(back, way)| far[k - back] + way).fold(far[k], f64::min);
    }
    for k in (0..n * n - n - 1).rev() {
        far[k] = before.iter().map(|(on, way)| far[k + on] + way).fold(far[k], f64::min);
    }
    2.0 * far.into_iter().fold(0.0, f64::max)
}

/// How far from the origin the section at a height has points, by so many cells across its box.
fn reach_at(tape: &Tape, within: Box3, height: f64, cells: usize) -> Result<f64, FormFault> {
    let size = within.size();
    let step = size.x.max(size.y) / cells as f64;
    let mut far = -1.0f64;
    for i in 0..=cells {
        for j in 0..=cells {
            let p = Vec3::new(
                within.min.x + size.x * (i as f64 / cells as f64),
                within.min.y + size.y * (j as f64 / cells as f64),
                height,
            );
            if tape.value(p) < 0.0 {
                far = far.max(libm::hypot(p.x, p.y));
            }
        }
    }
    if far < 0.0 { Err(FormFault::Empty) } else { Ok(far + step) }
}

/// True when the section turned by an angle is the section.
fn alike(tape: &Tape, angle: f64, reach: f64) -> bool {
    let (s, c) = (libm::sin(angle), libm::cos(angle));
    (0..COMPARED).all(|i| {
        // Sunflower points over the disc: radius by the root, golden angle.
        let r = reach * ((i as f64 + 0.5) / COMPARED as f64).sqrt();
        let t = 2.399_963_229_728_653 * i as f64;
        let (x, y) = (r * libm::cos(t), r * libm::sin(t));
        let (a, b) =
            (tape.value(Vec3::new(x, y, 0.0)), tape.value(Vec3::new(c * x - s * y, s * x + c * y, 0.0)));
        (a - b).abs() <= ALIKE * reach || (a.is_nan() && b.is_nan())
    })
}

#[cfg(test)]
mod tests {
    use super::super::carry::{Way as _, What};
    use super::*;
    use crate::formula::Unary;

    fn circle() -> Curve {
        let t = Expr::var("t");
        let (s, c) = (Expr::unary(Unary::Sin, t.clone()), Expr::unary(Unary::Cos, t));
        Curve::new([c * 20.0, s * 20.0, Expr::constant(0.0)], "t", (0.0, TAU)).unwrap()
    }

    fn bar(x: f64, y: f64) -> (Expr, Box3) {
        let abs = |n: &str| Expr::unary(Unary::Abs, Expr::var(n));
        let far = Vec3::new(x, y, 1.0);
        ((abs("x") - x).max(abs("y") - y), Box3::new(-far, far))
    }

    /// A strip that takes half a turn on its way round a circle: inside and outside are known from the angle.
    #[test]
    fn a_band_with_half_a_turn_lies_where_it_should() {
        let (section, within) = bar(1.0, 5.0);
        let how = Carried { turns: 0.5, ..Carried::default() };
        let Solid::Swept(swept) = sweep(&circle(), &section, within, how, None).unwrap() else { panic!() };
        let tape = Tape::new(swept.value()).unwrap();
        for i in 0..400 {
            let (a, u, v) =
                (f64::from(i) * 0.7, f64::from(i % 13) * 0.5 - 3.0, f64::from(i % 17) * 0.7 - 5.6);
            let (turn, (s, c)) = (0.5 * a.rem_euclid(TAU), a.sin_cos());
            // Outward and up, turned about the way on, which is outward × … = -(up × outward).
            let (x, y) = (u * turn.cos() - v * turn.sin(), u * turn.sin() + v * turn.cos());
            let exact = (u.abs() - 1.0).max(v.abs() - 5.0);
            let out = [x, -x].map(|x| tape.value(Vec3::new((20.0 + x) * c, (20.0 + x) * s, y)));
            if exact.abs() > 1e-6 {
                // The curve is read to a hundred-millionth of its extent.
                assert!(out.iter().any(|o| (o - exact).abs() < 1e-5), "{i}: {exact} {out:?}");
            }
        }
    }

    /// Half way between two discs along a circle stands a disc half way between; on a closed curve the last becomes the
    /// first.
    #[test]
    fn a_pipe_changes_evenly() {
        let discs = [3.0, 5.0].map(|r| crate::form::flat::disc(r).unwrap());
        let solid = pipe(&circle(), &discs, false, Carried::default()).unwrap();
        let Solid::Swept(swept) = solid else { panic!() };
        let tape = Tape::new(swept.value()).unwrap();
        for i in 0..400 {
            let (turn, round) = (f64::from(i) / 400.0, f64::from(i) * 0.37);
            let radius = 5.0 - 4.0 * (turn - 0.5).abs();
            let (s, c) = (turn * TAU).sin_cos();
            for (r, inside) in [(radius - 0.01, true), (radius + 0.01, false)] {
                let (out, up) = (20.0 + r * round.cos(), r * round.sin());
                assert_eq!(tape.value(Vec3::new(out * c, out * s, up)) < 0.0, inside, "{i} {r}");
            }
        }
        assert!(pipe(&circle(), &discs[..1], true, Carried::default()).is_err());
    }

    /// Slopes are those of differences, and bounds hold every value.
    #[test]
    fn slopes_and_bounds_of_coordinates_hold() {
        let (t, c) = (Expr::var("t"), |k: f64| Expr::unary(Unary::Cos, Expr::var("t") * k));
        let s = |k: f64| Expr::unary(Unary::Sin, Expr::var("t") * k);
        let curve = Curve::new([c(1.0) * 20.0, s(1.0) * 20.0, t * 3.0 + s(2.0)], "t", (0.0, 5.0)).unwrap();
        let room = widest(&curve).unwrap().radius;
        let how = Carried { turns: 2.0, angle: 30.0, ..Carried::default() };
        let way = Way::new(Near::new(&curve).unwrap(), false, how, 3.0, room);
        let places = curve.single().unwrap().places();
        for what in [What::Across, What::Up, What::Away, What::Along, What::Beyond] {
            for i in 0..200 {
                let k = f64::from(i);
                let off = Vec3::new((k * 0.7).sin(), (k * 1.3).cos(), (k * 0.37).sin()) * 1.6;
                let p = places.at(0.2 + 4.6 * f64::from(i) / 200.0) + off;
                let (_, slope) = way.read(what, p);
                let h = 1e-5;
                for axis in 0..3 {
                    let mut step = Vec3::ZERO;
                    match axis {
                        0 => step.x = h,
                        1 => step.y = h,
                        _ => step.z = h,
                    }
                    let rise = (way.read(what, p + step).0 - way.read(what, p - step).0) / (2.0 * h);
                    assert!((rise - slope[axis]).abs() < 1e-5, "{what:?} {i} {axis}: {rise} {}", slope[axis]);
                }
                let half = Vec3::new(0.3, 0.2, 0.4);
                let bounds = way.bounds(what, Box3::new(p - half, p + half));
                for j in 0..20 {
                    let k = f64::from(j);
                    let q =
                        p + Vec3::new((k * 1.7).sin() * 0.3, (k * 2.3).cos() * 0.2, (k * 0.9).sin() * 0.4);
                    let v = way.read(what, q).0;
                    assert!((bounds.lo..=bounds.hi).contains(&v), "{what:?} {i}: {v} {bounds:?}");
                }
            }
        }
    }

    /// The section's y axis points toward the rail, and slopes are those of differences where it turns the section.
    #[test]
    fn a_rail_turns_the_section() {
        let wave = |f, k: f64| Expr::unary(f, Expr::var("t") * k);
        let (s, c) = (wave(Unary::Sin, 1.0), wave(Unary::Cos, 1.0));
        // Round the circle once, and twice from above to below it.
        let out = wave(Unary::Cos, 2.0) * 6.0 + 20.0;
        let rail = [out.clone() * c, out * s, wave(Unary::Sin, 2.0) * 6.0];
        let rail = Curve::new(rail, "t", (0.0, TAU)).unwrap();
        let mut way = roomy(&circle(), "section", 3.0, Carried::default()).unwrap();
        way.toward(&rail).unwrap();
        for i in 0..300 {
            let t = f64::from(i) * TAU / 300.0;
            let (s, c) = t.sin_cos();
            let place = Vec3::new(20.0 * c, 20.0 * s, 0.0);
            let foot = way.foot(place);
            let ([x, y, on], gone) = way.frame(&foot);
            let near = Near::new(&rail).unwrap();
            let there = near.reached(&near.gone(), gone / way.total()).point - foot.point;
            let across = (there - on * there.dot(on)).unit().unwrap();
            assert!((y - across).norm() < 1e-3, "{i}: {y:?} {across:?}");
            assert!((x.cross(y) - on).norm() < 1e-9);
            let p = place + Vec3::new((f64::from(i) * 0.7).sin(), (f64::from(i) * 1.3).cos(), 0.4);
            for what in [What::Across, What::Up] {
                let slope = way.read(what, p).1;
                for (axis, step) in
                    [Vec3::new(1e-5, 0.0, 0.0), Vec3::new(0.0, 1e-5, 0.0), Vec3::new(0.0, 0.0, 1e-5)]
                        .into_iter()
                        .enumerate()
                {
                    let rise = (way.read(what, p + step).0 - way.read(what, p - step).0) / 2e-5;
                    assert!((rise - slope[axis]).abs() < 1e-4, "{what:?} {i} {axis}: {rise} {}", slope[axis]);
                }
                assert!(slope.norm() <= way.steepest(what), "{i}");
            }
        }
        let refused = |rail: &Curve, how| {
            let (section, within) = bar(1.0, 2.0);
            sweep(&circle(), &section, within, how, Some(rail)).unwrap_err().to_string()
        };
        assert!(refused(&circle(), Carried::default()).contains("tells no direction"));
        assert!(
            refused(&rail, Carried { turns: 1.0, ..Carried::default() })
                .contains("turns the section already")
        );
        let open =
            Curve::new([Expr::var("t"), Expr::constant(0.0), Expr::constant(9.0)], "t", (0.0, 1.0)).unwrap();
        assert!(refused(&open, Carried::default()).contains("must be closed"));
    }

    #[test]
    fn what_cannot_be_swept_is_refused() {
        let says = |section: &(Expr, Box3), turns: f64| {
            sweep(&circle(), &section.0, section.1, Carried { turns, ..Carried::default() }, None)
                .unwrap_err()
                .to_string()
        };
        assert!(says(&bar(30.0, 5.0), 0.0).contains("has room for"));
        assert!(says(&bar(1.0, 5.0), 0.25).contains("back onto itself"));
        assert!(
            sweep(
                &circle(),
                &bar(5.0, 5.0).0,
                bar(5.0, 5.0).1,
                Carried { turns: 0.25, ..Carried::default() },
                None
            )
            .is_ok()
        );
    }
}
