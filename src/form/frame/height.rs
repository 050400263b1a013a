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

/// A height range this many times the width is cut.
const TALL: f64 = 1.2;
/// Samples of the plane that decide the height range.
const SAMPLES: usize = 4000;

impl Height<'_> {
    fn place(&self) -> Place {
        let s = self.subject;
        let [a, b] = self.plane();
        let open: Vec<usize> = [a, b].into_iter().filter(|i| s.axes[*i] == Answer::Open).collect();
        let longest = [a, b].iter().fold(0.0_f64, |l, i| match s.axes[*i] {
            Answer::Period(p) => l.max(p),
            _ => l,
        });
        let count = s.cells.map_or(2.0, f64::from);
        let radius = if open.is_empty() { 0.0 } else { round_near(self.radius(&open, longest * count)) };
        let width = (longest * count).max(2.0 * radius);
        let width = if width > 0.0 { width } else { 2.0 };
        let half = |axis: usize| match s.axes[axis] {
            Answer::Period(p) => 0.5 * p * count,
            Answer::Open => radius,
            Answer::Free => round_near(0.4 * width),
        };
        let (lo, hi, cut) = self.heights(half(a), half(b), width, open.len() == 2);
        let mut centre = [0.0; 3];
        // Half the wall stands out above and below; a clip that cuts the height cuts the wall too.
        let room = if cut { 0.0 } else { 0.02 * (hi - lo) + 1.2 * s.wall * width };
        let tall = round_up(hi - lo + room + 1e-3 * width);
        centre[self.up] = round_near(0.5 * (lo + hi));
        if centre[self.up].abs() < 0.02 * tall {
            centre[self.up] = 0.0;
        }
        let tall = round_up(tall.max(2.0 * (hi - centre[self.up]).max(centre[self.up] - lo)));
        let mut size = [0.0; 3];
        (size[a], size[b], size[self.up]) = (2.0 * half(a), 2.0 * half(b), tall);
        let clip = if self.up == 2 && open.len() == 2 {
            Clip::Rod { radius, height: tall, centre: centre.into() }
        } else {
            Clip::Block { size: size.into(), centre: centre.into() }
        };
        let repeats =
            if longest > 0.0 { format!(", {}", period_text(&s.axes, count)) } else { String::new() };
        let cut = if cut { ", its height cut" } else { "" };
        let said = format!("a height over {}, {}{repeats}{cut}", NAMES[a], NAMES[b]);
        Place { clip: Some(clip), said: vec![said] }
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
        let mut heights: Vec<f64> =
            self.subject.probe.values(&places).into_iter().map(|v| -v / self.slope).collect();
        heights.retain(|v| v.is_finite());
        heights.sort_by(f64::total_cmp);
        heights
    }

    /// Least and greatest height shown, and whether the height was cut.
    fn heights(&self, half_a: f64, half_b: f64, width: f64, disc: bool) -> (f64, f64, bool) {
        let all = self.over(half_a, half_b, disc);
        let (Some(lo), Some(hi)) = (all.first().copied(), all.last().copied()) else {
            return (-0.5, 0.5, true);
        };
        if hi - lo <= TALL * width {
            return (lo, hi, false);
        }
        // Most of the surface, without its spikes.
        let part = |k: f64| all[((all.len() - 1) as f64 * k) as usize];
        let (low, high) = (part(0.02), part(0.98));
        if high - low <= TALL * width {
            return (low, high, true);
        }
        let middle = part(0.5);
        let half = 0.5 * TALL * width;
        let (lo, hi) = (lo.max(middle - half), hi.min(middle + half));
        (lo, hi, true)
    }

    /// Half the width in the open directions.
    fn radius(&self, open: &[usize], period: f64) -> f64 {
        let s = self.subject;
        let active = [0, 1, 2].map(|i| open.contains(&i));
        let search = s.search(active, Vec3::ZERO);
        let (on, off) = still_points(&s.probe, &search);
        let far = distinct(on.iter().chain(&off).map(|p| search.far(*p)).collect());
        if let Some(r) = hold(&far, 1.45) {
            return r;
        }
        if period > 0.0 {
            return 0.5 * period;
        }
        self.radius_by_shape()
    }

    /// With no place where the height stands still but the middle: wide enough that it rises by two thirds of the
    /// width; for one that never does, wide enough to hold nearly all of its rise.
    fn radius_by_shape(&self) -> f64 {
        let octaves = (-8..=20).map(|k| libm::exp2(f64::from(k) / 4.0));
        let rise = |r: f64| {
            let all = self.over(r, r, true);
            all.last().copied().unwrap_or(0.0) - all.first().copied().unwrap_or(0.0)
        };
        let list: Vec<(f64, f64)> = octaves.map(|r| (r, rise(r))).collect();
        let steep = |(r, h): &(f64, f64)| h / (2.0 * r);
        let (first, last) = (steep(&list[0]), steep(&list[list.len() - 1]));
        if last > first * 1.5 {
            // The slope grows outward.
            return list.iter().find(|x| steep(x) >= 0.65).map_or(1.0, |x| x.0);
        }
        let most = list.last().map_or(0.0, |x| x.1);
        if last < first * 0.5 {
            return list.iter().find(|x| x.1 >= 0.97 * most).map_or(1.0, |x| x.0);
        }
        1.0
    }
}
