//! A curve with frames that turn no more than it makes them turn, spread evenly or led by a rail.
//!
//! Source: W. Wang, B. Jüttler, D. Zheng, Y. Liu, ACM Transactions on Graphics 27 (2008) 2, doi:10.1145/1330511.1330513
//! (frames that turn least); on a closed curve the left-over turn is spread evenly by length.

use std::cell::Cell;
use std::f64::consts::{PI, TAU};
use std::sync::atomic::{AtomicUsize, Ordering};

use super::Curve;
use super::carry::Way as _;
use super::carry::{self, What};
use super::fault::{FormFault, unfit};
use super::near::{Foot, Near};
use super::stand::Stand;
use super::sweep::Carried;
use crate::base::{Box3, Interval, Vec3};

/// Keys of ways; they only tell ways apart, no value depends on them.
static KEYS: AtomicUsize = AtomicUsize::new(1);

/// A curve with frames along it.
#[derive(Debug)]
pub struct Way {
    pub(super) near: Near,
    closed: bool,
    /// Direction of the section's x axis at the start of each piece, before turns are spread.
    normals: Vec<Vec3>,
    /// Length gone at the start of each piece, and the whole.
    pub(super) gone: Vec<f64>,
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
    pub(super) reach: f64,
    room: f64,
}

impl Way {
    pub(super) fn new(near: Near, closed: bool, how: Carried, reach: f64, room: f64) -> Self {
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
    pub(super) fn toward(&mut self, rail: &Curve) -> Result<(), FormFault> {
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
    pub(super) fn foot(&self, p: Vec3) -> Foot {
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
    pub(super) fn frame(&self, foot: &Foot) -> ([Vec3; 3], f64) {
        let piece = &self.near.pieces()[foot.piece];
        let on = piece.direction(foot.part);
        let x = self.carried(foot.piece, foot.part);
        let y = on.cross(x);
        let gone = self.gone[foot.piece] + piece.length(foot.part);
        let (angle, _) = self.turn(foot.piece, gone);
        let (s, c) = (libm::sin(angle), libm::cos(angle));
        ([x * c + y * s, y * c - x * s, on], gone)
    }

    pub(super) fn total(&self) -> f64 {
        self.gone[self.gone.len() - 1]
    }

    /// The length of the curve, mm.
    pub fn length(&self) -> f64 {
        self.total()
    }

    /// Where pieces of the curve meet, as parts of its length, from 0 to 1.
    pub fn joints(&self) -> Vec<f64> {
        self.gone.iter().map(|gone| gone / self.total()).collect()
    }

    /// How the section stands at a part of the length, from 0 to 1.
    pub fn stand(&self, part: f64) -> Stand {
        let foot = self.near.reached(&self.gone, part);
        let ([x, y, on], _) = self.frame(&foot);
        Stand { place: foot.point, x, y, on }
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
