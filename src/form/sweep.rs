//! A flat section carried along a curve, turning no more than the curve makes it turn.
//!
//! At every point near the curve the frames here tell where it lies in the section's plane: its coordinates there, how
//! far along the curve, how far beyond an open end.
//! Source: W. Wang, B. Jüttler, D. Zheng, Y. Liu, ACM Transactions on Graphics 27 (2008) 2, doi:10.1145/1330511.1330513
//! (frames that turn least); on a closed curve the left-over turn is spread evenly by length.

use std::cell::Cell;
use std::f64::consts::{PI, TAU};
use std::sync::atomic::{AtomicUsize, Ordering};

use super::carry::Way as _;
use super::carry::{self, Caps, What};
use super::fault::{FormFault, unfit};
use super::flat::Flat;
use super::loft::Mix;
use super::measures::widest;
use super::mitre::Joints;
use super::near::{Foot, Near};
use super::{Curve, Solid, Strand, only};
use crate::base::{Box3, Interval, Vec3};
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

/// Keys of ways; they only tell ways apart, no value depends on them.
static KEYS: AtomicUsize = AtomicUsize::new(1);

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
    let reach = reach(&tape, within)?;
    if !strand.corners().is_empty() {
        let fits = |turn: f64| alike(&tape, turn, reach);
        return super::mitre::mitred(strand, &flat, reach, how, &fits);
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
    Ok(carry::carried(way, |[x, y, _]| flat.with(&[("x", x), ("y", y)]), how.caps))
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
    let way = roomy(curve, "sections", far, how)?;
    Ok(carry::carried(way, |[x, y, part]| mix.along(x, y, part), how.caps))
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
        let foot = way.near.reached(&way.gone, *part);
        let ([x, y, _], _) = way.frame(&foot);
        [foot.point, x, y]
    };
    Ok(parts.iter().map(at).collect())
}

/// How far from the origin the section has points.
fn reach(tape: &Tape, within: Box3) -> Result<f64, FormFault> {
    let size = within.size();
    if !(size.x.is_finite() && size.y.is_finite()) {
        return Err(FormFault::Endless { act: "sweep" });
    }
    reach_at(tape, within, 0.0, CELLS)
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

/// A curve with frames along it.
#[derive(Debug)]
struct Way {
    near: Near,
    closed: bool,
    /// Direction of the section's x axis at the start of each piece, before turns are spread.
    normals: Vec<Vec3>,
    /// Length gone at the start of each piece, and the whole.
    gone: Vec<f64>,
    /// The turn at the start, and per mm, radians; with a rail the most per mm.
    start: f64,
    rate: f64,
    /// Turns asked for, besides the curve's own.
    turns: f64,
    /// Where a rail leads: the turn at the start of each piece and at the end, and how fast it grows there, radians and
    /// radians per mm. Empty without a rail.
    led: Vec<[f64; 2]>,
    /// Tells this way from every other.
    key: usize,
    /// Farthest that the section has points, and the least radius that a tube would meet itself at.
    reach: f64,
    room: f64,
}

impl Way {
    fn new(near: Near, closed: bool, how: Carried, reach: f64, room: f64) -> Self {
        let mut way = Self {
            closed,
            normals: vec![],
            gone: vec![],
            start: how.angle * PI / 180.0,
            rate: 0.0,
            turns: how.turns,
            led: vec![],
            key: KEYS.fetch_add(1, Ordering::Relaxed),
            reach,
            room,
            near,
        };
        let count = way.near.pieces().len();
        let first = way.near.pieces()[0].direction(0.0);
        // The section's y axis as upright as may be; x, y and the way on are right-handed.
        let up = [Vec3::new(0.0, 0.0, 1.0), Vec3::new(0.0, 1.0, 0.0)]
            .into_iter()
            .find(|z| z.dot(first).abs() < 0.99)
            .unwrap_or(Vec3::new(0.0, 1.0, 0.0));
        let y = (up - first * up.dot(first)).unit().unwrap_or(up);
        way.normals.push(y.cross(first));
        for k in 0..count {
            let next = way.carried(k, 1.0);
            way.normals.push(next);
        }
        way.gone = way.near.gone();
        let total = way.gone[count];
        let mut turn = how.turns * TAU;
        if closed {
            // What is left over on coming home is taken back, evenly.
            let (a, b) = (way.normals[0], way.normals[count]);
            turn -= libm::atan2(first.dot(a.cross(b)), a.dot(b));
        }
        way.rate = turn / total;
        way
    }

    /// Turns the section's y axis toward a rail: to its place at the same part of its length.
    ///
    /// # Errors
    /// [`FormFault::Unfit`] where the path runs toward the rail.
    fn toward(&mut self, rail: &Curve) -> Result<(), FormFault> {
        const SQUARE: f64 = 1e-3;
        let rail = Near::new(rail)?;
        let gone = rail.gone();
        let count = self.near.pieces().len();
        let mut turns: Vec<f64> = Vec::with_capacity(count + 1);
        for k in 0..=count {
            let piece = &self.near.pieces()[k.min(count - 1)];
            let (s, normal) = if k < count { (0.0, self.normals[k]) } else { (1.0, self.normals[count]) };
            let (place, on) = (piece.at(s), piece.direction(s));
            let there = rail.reached(&gone, self.gone[k] / self.total()).point - place;
            let across = there - on * there.dot(on);
            if !(across.norm() > SQUARE * there.norm()) {
                let [x, y, z] = place.array();
                return Err(unfit(
                    "rail",
                    format!("tells no direction at [{x:.2}, {y:.2}, {z:.2}]: the path runs toward it"),
                ));
            }
            let turn = libm::atan2(-across.dot(normal), across.dot(on.cross(normal)));
            // The nearest of the turns that look alike.
            let before = turns.last().copied().unwrap_or(turn);
            turns.push(turn - TAU * ((turn - before) / TAU).round());
        }
        self.led = (0..=count).map(|k| [turns[k], self.pace(&turns, k)]).collect();
        // A cubic grows at most this fast: one and a half times as fast as on the whole, and as at its ends.
        let fastest = |(w, g): (&[[f64; 2]], &[f64])| {
            let mean = (w[1][0] - w[0][0]).abs() / (g[1] - g[0]);
            1.5 * mean + w[0][1].abs().max(w[1][1].abs())
        };
        self.rate = self.led.windows(2).zip(self.gone.windows(2)).map(fastest).fold(0.0, f64::max);
        Ok(())
    }

    /// How fast turns grow at the start of a piece: the slope of the parabola through it and both beside it. On a closed
    /// curve the last are beside the first.
    fn pace(&self, turns: &[f64], k: usize) -> f64 {
        let last = turns.len() - 1;
        let between = |k: usize| {
            (self.gone[k + 1] - self.gone[k], (turns[k + 1] - turns[k]) / (self.gone[k + 1] - self.gone[k]))
        };
        let at_end = k == 0 || k == last;
        let ((h, a), (i, b)) = match (self.closed, at_end) {
            (true, true) => (between(last - 1), between(0)),
            (false, true) => return between(k.min(last - 1)).1,
            _ => (between(k - 1), between(k)),
        };
        (a * i + b * h) / (h + i)
    }

    /// The turn of the section at a foot, and how fast it grows, per mm. With a rail, the cubic between both ends of the
    /// piece.
    fn turn(&self, piece: usize, gone: f64) -> (f64, f64) {
        let Some([[a, u], [b, v]]) =
            self.led.get(piece..piece + 2).and_then(|w| <[[f64; 2]; 2]>::try_from(w).ok())
        else {
            return (self.start + self.rate * gone, self.rate);
        };
        let h = self.gone[piece + 1] - self.gone[piece];
        let s = (gone - self.gone[piece]) / h;
        let (c, d) = (3.0 * (b - a) - h * (2.0 * u + v), 2.0 * (a - b) + h * (u + v));
        (self.start + a + s * (h * u + s * (c + s * d)), u + s * (2.0 * c + 3.0 * s * d) / h)
    }

    /// The nearest place. Several coordinates are asked for at one point after another: the last foot is remembered.
    fn foot(&self, p: Vec3) -> Foot {
        thread_local! {
            static LAST: Cell<(usize, Vec3, Option<Foot>)> = const { Cell::new((0, Vec3::ZERO, None)) };
        }
        match LAST.get() {
            (key, at, Some(foot)) if key == self.key && at == p => foot,
            _ => {
                let foot = self.near.nearest(p);
                LAST.set((self.key, p, Some(foot)));
                foot
            }
        }
    }

    /// The normal at a place of a piece, from that at its start: two reflections.
    fn carried(&self, k: usize, s: f64) -> Vec3 {
        let piece = &self.near.pieces()[k];
        let (from, to) = (piece.direction(0.0), piece.direction(s));
        let chord = piece.at(s) - piece.at(0.0);
        let mirror = |v: Vec3, n: Vec3| {
            let nn = n.dot(n);
            if nn > 0.0 { v - n * (2.0 * v.dot(n) / nn) } else { v }
        };
        let (normal, tangent) = (mirror(self.normals[k], chord), mirror(from, chord));
        let carried = mirror(normal, to - tangent);
        // Square to the curve to the last bit.
        (carried - to * carried.dot(to)).unit().unwrap_or(carried)
    }

    /// The section's axes and the way on at a foot, and the length gone there.
    fn frame(&self, foot: &Foot) -> ([Vec3; 3], f64) {
        let piece = &self.near.pieces()[foot.piece];
        let on = piece.direction(foot.part);
        let x = self.carried(foot.piece, foot.part);
        let y = on.cross(x);
        let gone = self.gone[foot.piece] + piece.length(foot.part);
        let (angle, _) = self.turn(foot.piece, gone);
        let (s, c) = (libm::sin(angle), libm::cos(angle));
        ([x * c + y * s, y * c - x * s, on], gone)
    }

    fn total(&self) -> f64 {
        self.gone[self.gone.len() - 1]
    }
}

impl Way {
    /// True when a place within `half` of `p` may have its foot on the other side of where a closed curve starts.
    fn home_within(&self, p: Vec3, half: f64) -> bool {
        let gone = self.frame(&self.foot(p)).1;
        let most = half / (1.0 - self.cut() / self.room).max(1e-3);
        gone <= most || gone >= self.total() - most
    }
}

impl carry::Way for Way {
    fn read(&self, what: What, p: Vec3) -> (f64, Vec3) {
        let foot = self.foot(p);
        let off = p - foot.point;
        if what == What::Away {
            return (off.norm(), off.unit().unwrap_or(Vec3::new(0.0, 0.0, 1.0)));
        }
        let ([x, y, on], gone) = self.frame(&foot);
        // At an end of an open curve the coordinates go straight on.
        let overshoot = off.dot(on);
        let last = self.near.pieces().len() - 1;
        let past = !self.closed
            && ((foot.piece == 0 && foot.part <= 0.0 && overshoot < 0.0)
                || (foot.piece == last && foot.part >= 1.0 && overshoot > 0.0));
        let forth =
            if past { 0.0 } else { 1.0 / self.near.pieces()[foot.piece].slack(foot.part, off).max(1e-3) };
        let rate = self.turn(foot.piece, gone).1;
        match what {
            What::Across => (off.dot(x), x + on * (off.dot(y) * rate * forth)),
            What::Up => (off.dot(y), y - on * (off.dot(x) * rate * forth)),
            What::Along => (gone / self.total(), on * (forth / self.total())),
            What::Away => (off.norm(), off),
            What::Beyond => {
                let (end, outward) =
                    if gone < 0.5 * self.total() { (-gone, -on) } else { (gone - self.total(), on) };
                if past { (overshoot.abs(), outward) } else { (end, outward * forth) }
            }
        }
    }

    fn bounds(&self, what: What, region: Box3) -> Interval {
        let centre = region.centre();
        let (value, _) = self.read(what, centre);
        let away = self.read(What::Away, centre).0;
        let half = region.size().norm() * 0.5;
        let whole_turns = !self.closed || (self.turns - self.turns.round()).abs() < 1e-9;
        let slack = 1e-9 * (1.0 + self.near.region().size().norm());
        let smooth = match what {
            // The section comes home turned: coordinates leap where the curve closes.
            What::Across | What::Up => whole_turns || !self.home_within(centre, half),
            What::Along => !self.closed || !self.home_within(centre, half),
            What::Away | What::Beyond => true,
        };
        if what == What::Away || (smooth && away + half < self.cut()) {
            let reach = half * self.steepest(what) + slack;
            let least = if what == What::Away { 0.0 } else { f64::NEG_INFINITY };
            return Interval::new((value - reach).max(least), value + reach);
        }
        let most = away + half + slack;
        match what {
            What::Along => Interval::new(0.0, 1.0),
            What::Beyond => Interval::new(-self.total(), most),
            _ => Interval::new(-most, most),
        }
    }

    fn steepest(&self, what: What) -> f64 {
        // Lengths along the curve shrink towards the inside of a bend: 1 - d/R, with R no less than the room.
        let stretch = 1.0 / (1.0 - self.cut() / self.room).max(1e-3);
        match what {
            What::Away => 1.0,
            What::Across | What::Up => {
                let turn = self.rate.abs() * self.cut() * stretch;
                (1.0 + turn * turn).sqrt()
            }
            What::Along => stretch / self.total(),
            What::Beyond => stretch,
        }
    }

    fn is_closed(&self) -> bool {
        self.closed
    }

    fn cut(&self) -> f64 {
        0.5 * (self.reach + self.room.min(2.0 * self.reach))
    }

    fn region(&self) -> Box3 {
        self.near.region()
    }
}

#[cfg(test)]
mod tests {
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
        let Solid::Field { value, .. } = sweep(&circle(), &section, within, how, None).unwrap() else {
            panic!()
        };
        let tape = Tape::new(&value).unwrap();
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
        let Solid::Field { value, .. } = solid else { panic!() };
        let tape = Tape::new(&value).unwrap();
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
