//! Heights over a plane: z = g(x, y) and the like, where one coordinate stands alone and to the first power.

use super::clip::{Clip, round_near, round_up};
use super::period::Answer;
use super::period_text;
use super::place::{NAMES, Place, Subject, distinct, hold};
use super::probe::{scatter, still_points};
use crate::base::{Box3, Vec3};
use crate::formula::Scratch;

/// The height over a plane.
struct Height<'a> {
    subject: &'a Subject,
    /// The coordinate that stands alone.
    up: usize,
    /// The slope of the field along it.
    slope: f64,
}

/// Places at which the slope along one coordinate is compared.
const TRIALS: usize = 60;
/// Part of the slope by which it may differ from place to place: rounding.
const SAME: f64 = 1e-9;

fn height_of(s: &Subject) -> Option<Height<'_>> {
    let (_, slopes) = s.probe.slopes(&scatter(Box3::cube(3.0), TRIALS, 13), &mut Scratch::default());
    let up = [2, 1, 0].into_iter().find(|axis| {
        let along: Vec<f64> = slopes.iter().map(|g| g[*axis]).filter(|v| v.is_finite()).collect();
        let Some(first) = along.first().copied() else { return false };
        s.axes[*axis] == Answer::Open
            && first != 0.0
            && along.len() * 2 > TRIALS
            && along.iter().all(|v| (v - first).abs() <= SAME * first.abs())
    })?;
    let slope = slopes.iter().map(|g| g[up]).find(|v| v.is_finite())?;
    Some(Height { subject: s, up, slope })
}

/// The part of a height that is shown; `None` when the field is none.
pub(super) fn place(s: &Subject) -> Option<Place> {
    height_of(s).map(|h| h.place())
}

/// What heights are made less or more by, to be seen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Rescaled {
    /// They are too tall to be seen whole.
    Divided(f64),
    /// They hardly rise where there are rings.
    Multiplied(f64),
}

/// The coordinate of a height that is too tall to be seen whole beside the part of the plane where something happens, or
/// too flat, and what it is brought to; `None` for what has spikes.
pub(super) fn rescale(s: &Subject) -> Option<(usize, Rescaled)> {
    let height = height_of(s)?;
    let base = height.base().ok()?;
    if let Some(rings) = base.faint {
        let by = (FAINT * 2.0 * rings / height.rise(rings)).floor();
        return (by.is_finite() && by >= 2.0).then_some((height.up, Rescaled::Multiplied(by)));
    }
    let (_, _, cuts) = height.heights(&base);
    let by = Height::divisor(&height.over(base.half[0], base.half[1], base.disc), base.width)?;
    (cuts[0] || cuts[1]).then_some((height.up, Rescaled::Divided(by)))
}

/// The part of the plane over which a height is shown.
struct Base {
    /// Half its extent along both coordinates, and the greater of its sides.
    half: [f64; 2],
    width: f64,
    /// It is a disc.
    disc: bool,
    /// The longest period of the height, and how many are shown.
    period: f64,
    count: f64,
    /// How far out there are rings that are too flat to be seen.
    faint: Option<f64>,
}

/// A height range this many times the width is cut, to as many times as the other.
const TALLEST: f64 = 2.5;
const TALL: f64 = 1.2;
/// Of rings where the height stands still that go on and on, so many are shown where it rises by this part of the width, or
/// else fewer.
const RINGS: usize = 4;
const RISES: f64 = 0.2;
/// Where not even so many are shown for that, this many are, and the height is made to rise by this part of the width.
const FEW: usize = 2;
const SHOWN: usize = 3;
const FAINT: f64 = 0.25;
/// A height range more than this many times that of most of it is a spike, which may have no end.
const SPIKE: f64 = 3.0;
/// The solid under a height goes on below it by this part of the width.
const BASE: f64 = 0.15;
/// Room beyond the furthest place where the height stands still.
const ROOM_AROUND: f64 = 1.45;
/// A height that ends is cut where it is this part of the way to its edge, in a block this many times as wide. Nearer to
/// an edge where it stands upright, cells hold places where it has no value, and the sheet ends in teeth.
const INSIDE: f64 = 0.95;
const OUTSIDE: f64 = 1.2;
/// Places on a circle, and the power of two as far as which an edge is looked for.
const AROUND: u32 = 96;
const OCTAVES: i32 = 6;
/// Samples of the plane that decide the height range.
const SAMPLES: usize = 4000;

impl Height<'_> {
    /// How far out the height is defined, where that is on a part of the plane only.
    fn base(&self) -> Result<Base, f64> {
        let (s, plane) = (self.subject, self.plane());
        let open: Vec<usize> = plane.into_iter().filter(|i| s.axes[*i] == Answer::Open).collect();
        let period = plane.iter().fold(0.0_f64, |l, i| match s.axes[*i] {
            Answer::Period(p) => l.max(p),
            _ => l,
        });
        let count = s.cells.map_or(2.0, f64::from);
        let disc = open.len() == 2;
        if let (true, Some(end)) = (disc, self.end()) {
            return Err(end);
        }
        let (radius, faint) = match open.is_empty() {
            true => (0.0, None),
            false => self.radius(&open, period * count),
        };
        let radius = round_near(radius);
        let width = (period * count).max(2.0 * radius);
        let width = if width > 0.0 { width } else { 2.0 };
        let half = plane.map(|axis| match s.axes[axis] {
            Answer::Period(p) => 0.5 * p * count,
            Answer::Open => radius,
            Answer::Free => round_near(0.4 * width),
        });
        Ok(Base { half, width, disc, period, count, faint })
    }

    fn place(&self) -> Place {
        let (s, [a, b]) = (self.subject, self.plane());
        let base = match self.base() {
            Ok(base) => base,
            Err(end) => return self.ended(end),
        };
        let width = base.width;
        let (lo, hi, cuts) = self.heights(&base);
        let mut centre = [0.0; 3];
        // Half the wall stands out above and below; where a clip cuts the height it cuts the wall too.
        let room = 0.01 * (hi - lo) + 0.6 * s.wall * width;
        let cut = cuts[0] || cuts[1];
        let [mut lo, mut hi] = [if cuts[0] { lo } else { lo - room }, if cuts[1] { hi } else { hi + room }];
        if s.solid {
            let side = if self.slope > 0.0 { &mut lo } else { &mut hi };
            *side -= self.slope.signum() * BASE * width;
        }
        let tall = round_up(hi - lo + 1e-3 * width);
        centre[self.up] = round_near(0.5 * (lo + hi));
        if centre[self.up].abs() < 0.02 * tall {
            centre[self.up] = 0.0;
        }
        let tall = round_up(tall.max(2.0 * (hi - centre[self.up]).max(centre[self.up] - lo)));
        let mut size = [0.0; 3];
        (size[a], size[b], size[self.up]) = (2.0 * base.half[0], 2.0 * base.half[1], tall);
        let clip = if self.up == 2 && base.disc {
            Clip::Rod { radius: base.half[0], height: tall, centre: centre.into() }
        } else {
            Clip::Block { size: size.into(), centre: centre.into() }
        };
        let period = base.period > 0.0;
        let repeats = if period { format!(", {}", period_text(&s.axes, base.count)) } else { String::new() };
        let cut = if cut { ", its height cut" } else { "" };
        let said = format!("a height over {}, {}{repeats}{cut}", NAMES[a], NAMES[b]);
        Place { clip: Some(clip), own: None, said: vec![said] }
    }

    /// By what heights, in order, are to be divided to be seen whole; `None` for spikes.
    fn divisor(heights: &[f64], width: f64) -> Option<f64> {
        let part = |k: f64| heights.get(((heights.len().max(1) - 1) as f64 * k) as usize).copied();
        let range = |from: f64, to: f64| Some(part(to)? - part(from)?);
        let (whole, most) = (range(0.0, 1.0)?, range(0.02, 0.98)?);
        (whole <= SPIKE * most).then(|| round_up((whole / (TALL * width)).ceil()))
    }

    /// A height that is defined on a part of the plane: shown nearly to its edge, where it may stand upright, and cut flat
    /// there.
    fn ended(&self, end: f64) -> Place {
        let (all, rim) = (self.over(INSIDE * end, INSIDE * end, true), self.ring(INSIDE * end));
        let part = |list: &[f64], k: f64| {
            list.get(((list.len().max(1) - 1) as f64 * k) as usize).copied().unwrap_or(0.0)
        };
        let (lo, middle, hi) = (part(&all, 0.0), part(&all, 0.5), part(&all, 1.0));
        let room = 0.01 * (hi - lo) + 1.2 * self.subject.wall * end;
        let (low, high) = match (part(&rim, 1.0) <= middle, part(&rim, 0.0) >= middle) {
            (true, _) => (part(&rim, 1.0), hi + room),
            (_, true) => (lo - room, part(&rim, 0.0)),
            _ => (lo - room, hi + room),
        };
        let (low, high) = (round_near(low), round_near(high));
        let [a, b] = self.plane();
        let (mut size, mut centre) = ([0.0; 3], [0.0; 3]);
        (size[a], size[b], size[self.up]) =
            (round_up(OUTSIDE * 2.0 * end), round_up(OUTSIDE * 2.0 * end), high - low);
        centre[self.up] = 0.5 * (low + high);
        let said = format!(
            "a height over {}, {}, which ends {} from the middle: shown to {INSIDE} of that",
            NAMES[a],
            NAMES[b],
            round_near(end)
        );
        Place {
            clip: Some(Clip::Block { size: size.into(), centre: centre.into() }),
            own: None,
            said: vec![said],
        }
    }

    /// How far from the middle the height is defined, where it is defined there and not far out.
    fn end(&self) -> Option<f64> {
        let defined = |r: f64| !self.ring(r).is_empty();
        let octave = (-3..=OCTAVES).rev().find(|k| defined(libm::exp2(f64::from(*k))))?;
        if octave == OCTAVES || self.over(0.1, 0.1, true).is_empty() {
            return None;
        }
        let (mut near, mut far) = (libm::exp2(f64::from(octave)), libm::exp2(f64::from(octave + 1)));
        for _ in 0..40 {
            let middle = 0.5 * (near + far);
            if defined(middle) { near = middle } else { far = middle }
        }
        Some(near)
    }

    /// The heights that are defined on a circle about the middle, in order.
    fn ring(&self, r: f64) -> Vec<f64> {
        let [a, b] = self.plane();
        let places: Vec<Vec3> = (0..AROUND)
            .map(|i| {
                let turn = (f64::from(i) + 0.1) / f64::from(AROUND) * std::f64::consts::TAU;
                let mut p = [0.0; 3];
                (p[a], p[b]) = (r * libm::cos(turn), r * libm::sin(turn));
                p.into()
            })
            .collect();
        self.heights_at(&places)
    }

    /// The heights over some places that are defined, in order.
    fn heights_at(&self, places: &[Vec3]) -> Vec<f64> {
        let mut heights: Vec<f64> =
            self.subject.probe.values(places).into_iter().map(|v| -v / self.slope).collect();
        heights.retain(|v| v.is_finite());
        heights.sort_by(f64::total_cmp);
        heights
    }

    fn plane(&self) -> [usize; 2] {
        match self.up {
            0 => [1, 2],
            1 => [0, 2],
            _ => [0, 1],
        }
    }

    /// Heights over scattered places of a rectangle or disc.
    fn over(&self, half_a: f64, half_b: f64, disc: bool) -> Vec<f64> {
        let [a, b] = self.plane();
        let mut half = [0.0; 3];
        (half[a], half[b]) = (half_a, half_b);
        let mut places = scatter(Box3::new(-Vec3::from(half), half.into()), SAMPLES, 17);
        places.push(Vec3::ZERO);
        for i in 0..64 {
            // The rim, where a height is often greatest.
            let turn = f64::from(i) / 64.0 * std::f64::consts::TAU;
            let mut p = [0.0; 3];
            (p[a], p[b]) = (half_a * libm::cos(turn), half_b * libm::sin(turn));
            places.push(p.into());
        }
        if disc {
            places.retain(|p| libm::hypot(p[a], p[b]) <= half_a * (1.0 + 1e-12));
        }
        self.heights_at(&places)
    }

    /// Least and greatest height shown, and whether the height was cut there.
    fn heights(&self, base: &Base) -> (f64, f64, [bool; 2]) {
        let ([half_a, half_b], width) = (base.half, base.width);
        let all = self.over(half_a, half_b, base.disc);
        let (Some(least), Some(most)) = (all.first().copied(), all.last().copied()) else {
            return (-0.5, 0.5, [true; 2]);
        };
        if most - least <= TALLEST * width {
            return (least, most, [false; 2]);
        }
        // Most of the surface, without its spikes.
        let part = |k: f64| all[((all.len() - 1) as f64 * k) as usize];
        let (low, high) = (part(0.02), part(0.98));
        let spike = |end: f64, part: f64| (end - part).abs() > 0.05 * TALL * width;
        let low = if spike(least, low) { low } else { least };
        let high = if spike(most, high) { high } else { most };
        let (lo, hi) = if high - low <= TALL * width {
            (low, high)
        } else {
            let (middle, half) = (part(0.5), 0.5 * TALL * width);
            (low.max(middle - half), high.min(middle + half))
        };
        (lo, hi, [lo > least, hi < most])
    }

    /// The part of a disc over which the height is not cut.
    fn share(&self, r: f64) -> f64 {
        let all = self.over(r, r, true);
        let (lo, hi, _) = self.heights(&Base {
            half: [r; 2],
            width: 2.0 * r,
            disc: true,
            period: 0.0,
            count: 1.0,
            faint: None,
        });
        all.iter().filter(|h| (lo..=hi).contains(*h)).count() as f64 / all.len().max(1) as f64
    }

    /// How much higher the highest place of a disc is than the lowest.
    fn rise(&self, r: f64) -> f64 {
        let all = self.over(r, r, true);
        all.last().copied().unwrap_or(0.0) - all.first().copied().unwrap_or(0.0)
    }

    /// Half the width in the open directions, and how far out there are rings that are too flat to be seen.
    fn radius(&self, open: &[usize], period: f64) -> (f64, Option<f64>) {
        let s = self.subject;
        let active = [0, 1, 2].map(|i| open.contains(&i));
        let search = s.search(active, Vec3::ZERO);
        let (on, off) = still_points(&s.probe, &search);
        let far = distinct(on.iter().chain(&off).map(|p| search.far(*p)).collect());
        let flat = |r: f64| self.rise(r) < RISES * 2.0 * r;
        match hold(&far, ROOM_AROUND) {
            Some(all) if far.len() > RINGS && flat(all) => {
                let ring = |k: usize| ROOM_AROUND * far[k];
                let most = (0..RINGS).rev().map(ring).find(|r| !flat(*r)).unwrap_or(ring(0));
                (most, (most < ring(FEW - 1)).then(|| ring(SHOWN - 1)))
            }
            Some(all) => (all, None),
            None if period > 0.0 => (0.5 * period, None),
            None => (self.radius_by_shape(), None),
        }
    }

    /// With no place where the height stands still but the middle: wide enough that it rises by two thirds of the
    /// width; for one that flattens outward, wide enough to hold nearly all of its rise and to rise by no more.
    fn radius_by_shape(&self) -> f64 {
        let octaves = (-8..=20).map(|k| libm::exp2(f64::from(k) / 4.0));
        let list: Vec<(f64, f64)> = octaves.map(|r| (r, self.rise(r))).collect();
        let steep = |(r, h): &(f64, f64)| h / (2.0 * r);
        let (first, last) = (steep(&list[0]), steep(&list[list.len() - 1]));
        if last > first * 1.5 {
            // The slope grows outward.
            return list.iter().find(|x| steep(x) >= 0.65).map_or(1.0, |x| x.0);
        }
        let most = list.last().map_or(0.0, |x| x.1);
        if list[0].1 > most {
            // A spike that every width holds: as wide as shows that it falls off.
            return list.iter().map(|x| x.0).find(|r| self.share(*r) >= 0.8).unwrap_or(1.0);
        }
        if last < first * 0.5 {
            return list.iter().find(|x| x.1 >= 0.97 * most && steep(x) <= 0.65).map_or(1.0, |x| x.0);
        }
        1.0
    }
}
