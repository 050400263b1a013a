//! The struts of one edge, end to end: places, directions and skin by length along it. Lengths are mm, angles radians.

use std::f64::consts::TAU;

use super::strut::{Bend, Strut};
use crate::base::Vec3;

/// Ends of struts nearer than this part of their length are one.
const ON: f64 = 1e-9;

/// Struts that follow one another from point to point of a net.
#[derive(Clone, Debug)]
pub struct Track {
    /// Numbers of the points at its ends.
    pub ends: [usize; 2],
    struts: Vec<Strut>,
    /// The length at which each strut starts, and the whole.
    starts: Vec<f64>,
    /// A direction square to the way at the start of each strut; from one to the next they turn no more than the way does.
    normals: Vec<Vec3>,
}

/// A place along a track: its skin there is the circle in which it touches the ball about the place.
#[derive(Clone, Copy, Debug)]
pub struct Station {
    /// The place, mm.
    pub place: Vec3,
    /// The way on.
    pub on: Vec3,
    /// A direction square to it, from which angles about it are counted, toward `on × aside`.
    pub aside: Vec3,
    /// Radius of the ball, mm, and how much it grows by length.
    pub radius: f64,
    /// How much the radius grows by length.
    pub slope: f64,
}

impl Station {
    /// The place of the skin at an angle.
    pub fn skin(&self, angle: f64) -> Vec3 {
        let out = self.aside * libm::cos(angle) + self.on.cross(self.aside) * libm::sin(angle);
        self.place + (out * (1.0 - self.slope * self.slope).sqrt() - self.on * self.slope) * self.radius
    }

    /// The angle at which a place is seen from the way.
    pub fn angle(&self, p: Vec3) -> f64 {
        let out = p - self.place;
        libm::atan2(out.dot(self.on.cross(self.aside)), out.dot(self.aside)).rem_euclid(TAU)
    }
}

/// A direction square to another.
fn square_to(on: Vec3) -> Option<Vec3> {
    let up = if on.z.abs() < 0.9 { Vec3::new(0.0, 0.0, 1.0) } else { Vec3::new(1.0, 0.0, 0.0) };
    up.cross(on).unit()
}

/// What is left of a direction square to the way.
fn squared(aside: Vec3, on: Vec3) -> Option<Vec3> {
    (aside - on * aside.dot(on)).unit()
}

impl Track {
    /// The track of struts that follow one another; `None` where one has no length.
    pub(super) fn new(ends: [usize; 2], struts: Vec<Strut>) -> Option<Self> {
        let mut track = Self { ends, starts: vec![0.0], normals: vec![], struts };
        let mut aside = None;
        for k in 0..track.struts.len() {
            let long = length(&track.struts[k]);
            let goes_on =
                k == 0 || (track.struts[k].ends[0] - track.struts[k - 1].ends[1]).norm() <= ON * long;
            if !(long > 0.0 && goes_on) {
                return None;
            }
            let on = way(&track.struts[k], 0.0).1;
            track.normals.push(aside.map_or_else(|| square_to(on), |a| squared(a, on))?);
            track.starts.push(track.starts[k] + long);
            aside = Some(track.local(k, long).aside);
        }
        (!track.struts.is_empty()).then_some(track)
    }

    /// The track of a radius, mm, along lines from place to place; `None` where two places are the same.
    pub fn along(ends: [usize; 2], places: &[Vec3], radius: f64) -> Option<Self> {
        Self::new(ends, places.windows(2).map(|w| Strut::new([w[0], w[1]], [radius; 2], 0)).collect())
    }

    /// The same with every radius so many times as large.
    ///
    /// # Errors
    /// `None` where a ball about one end then holds the other.
    pub fn thicker(&self, times: f64) -> Option<Self> {
        let one = |s: &Strut| match s.bend {
            Some(bend) => Strut::bent(Bend { law: bend.law.map(|l| l * times), ..bend }, s.edge),
            None => Strut::new(s.ends, s.radii.map(|r| r * times), s.edge),
        };
        Self::new(self.ends, self.struts.iter().map(one).collect())
    }

    /// Its length, mm.
    pub fn length(&self) -> f64 {
        self.starts[self.struts.len()]
    }

    /// Its greatest radius, mm.
    pub fn thickest(&self) -> f64 {
        self.struts.iter().map(Strut::thickest).fold(0.0, f64::max)
    }

    /// Lengths at which one strut goes over into the next, and by how much a circle that stands there for both is off, mm.
    pub fn joints(&self) -> impl Iterator<Item = (f64, f64)> + '_ {
        (1..self.struts.len()).map(|k| {
            let (a, b) = (self.local(k - 1, length(&self.struts[k - 1])), self.local(k, 0.0));
            let turned = (a.on - b.on).norm() + (a.slope - b.slope).abs();
            (self.starts[k], a.radius * turned * turned / 8.0)
        })
    }

    /// How much the way bends about a length, 1/mm; 0 where it is straight.
    pub fn bend(&self, s: f64) -> f64 {
        let k = self.piece(s);
        if let Some(bend) = &self.struts[k].bend {
            return 1.0 / bend.radius;
        }
        // Straight struts one after another stand for a bend.
        let long = length(&self.struts[k]);
        let on = way(&self.struts[k], 0.0).1;
        let turned = |other: Option<&Strut>| other.map_or(0.0, |o| (way(o, 0.0).1 - on).norm());
        let before = k.checked_sub(1).and_then(|k| self.struts.get(k));
        turned(before).max(turned(self.struts.get(k + 1))) / long
    }

    fn piece(&self, s: f64) -> usize {
        self.starts.partition_point(|start| *start <= s).clamp(1, self.struts.len()) - 1
    }

    /// The station at a length; between two struts it stands halfway between theirs.
    pub fn at(&self, s: f64) -> Station {
        let k = self.piece(s);
        let here = self.local(k, s - self.starts[k]);
        if k == 0 || s - self.starts[k] > ON * self.length() {
            return here;
        }
        let before = self.local(k - 1, length(&self.struts[k - 1]));
        let on = (before.on + here.on).unit().unwrap_or(here.on);
        let aside = squared(before.aside, on).unwrap_or(here.aside);
        Station { on, aside, slope: 0.5 * (before.slope + here.slope), ..here }
    }

    /// The station of a strut at a length from its own start.
    fn local(&self, k: usize, s: f64) -> Station {
        let strut = &self.struts[k];
        let normal = self.normals[k];
        let (place, on) = way(strut, s);
        let Some(bend) = &strut.bend else {
            let slope = (strut.radii[1] - strut.radii[0]) / length(strut);
            return Station { place, on, aside: normal, radius: strut.radii[0] + slope * s, slope };
        };
        let axis = bend.axes[0].cross(bend.axes[1]);
        let start = (strut.ends[0] - bend.centre) / bend.radius;
        let out = (place - bend.centre) / bend.radius;
        let aside = axis * normal.dot(axis) + out * normal.dot(start);
        let (c, s) = (out.dot(bend.axes[0]), out.dot(bend.axes[1]));
        let [base, by_cos, by_sin] = bend.law;
        let radius = base + by_cos * c + by_sin * s;
        Station { place, on, aside, radius, slope: (by_sin * c - by_cos * s) / bend.radius }
    }

    /// The length at which the skin at a place belongs to the way.
    pub fn foot(&self, p: Vec3) -> f64 {
        let mut best = (f64::INFINITY, 0.0);
        for (k, strut) in self.struts.iter().enumerate() {
            let (far, q) = strut.distance(p);
            if far < best.0 {
                best = (far, self.starts[k] + reached(strut, q));
            }
        }
        best.1
    }

    /// The signed distance from the skin, and its slope.
    pub fn distance(&self, p: Vec3) -> (f64, Vec3) {
        let nearest = |best: (f64, Vec3), strut: &Strut| {
            let found = strut.distance(p);
            if found.0 < best.0 { found } else { best }
        };
        super::frame::with_slope(p, self.struts.iter().fold((f64::INFINITY, p), nearest))
    }
}

/// The length of a strut along its axis.
fn length(strut: &Strut) -> f64 {
    match &strut.bend {
        Some(bend) => 2.0 * half(bend) * bend.radius,
        None => (strut.ends[1] - strut.ends[0]).norm(),
    }
}

/// Half the angle that an arc spans.
fn half(bend: &Bend) -> f64 {
    libm::atan2(bend.half[1], bend.half[0])
}

/// The place at a length along a strut, and the way on.
fn way(strut: &Strut, s: f64) -> (Vec3, Vec3) {
    let Some(bend) = &strut.bend else {
        let on = (strut.ends[1] - strut.ends[0]).unit().unwrap_or(Vec3::ZERO);
        return (strut.ends[0] + on * s, on);
    };
    let angle = s / bend.radius - half(bend);
    let (sin, cos) = (libm::sin(angle), libm::cos(angle));
    let place = bend.centre + (bend.axes[0] * cos + bend.axes[1] * sin) * bend.radius;
    (place, bend.axes[1] * cos - bend.axes[0] * sin)
}

/// How far along a strut a place of its axis is.
fn reached(strut: &Strut, q: Vec3) -> f64 {
    let Some(bend) = &strut.bend else {
        return (q - strut.ends[0]).norm();
    };
    let [x, y] = bend.axes.map(|a| (q - bend.centre).dot(a));
    (libm::atan2(y, x) + half(bend)) * bend.radius
}
