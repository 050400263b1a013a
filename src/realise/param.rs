//! Surfaces given by two parameters: their mesh, and the nearest point.
//!
//! The ranges of the parameters are halved into pieces until each is small and flat enough for the mesh; pieces that
//! the clip cannot reach are left out, so that a surface without end costs no more than what is kept of it. A piece
//! keeps 4 by 4 of its places, and the cubic in both parameters through them stands for the surface from then on: it is
//! compared with the formula, and halved until both agree to a small part of the mesh's step. So nearest points cost
//! the same whatever the formula is.

use rayon::prelude::*;

use super::RealiseFault;
use super::creases::Range;
use super::cubic::{Cubic, approach};
use super::pieces::{FIRST, Part, Piece, STEPS, Seen, WHOLE, grid};
use super::seams::Seams;
use crate::base::{Box3, Interval, Vec3, Watch};
use crate::formula::{Expr, Scratch, Tape};
use crate::shape::Mesh;

/// The part of space in which a surface is wanted.
#[derive(Clone, Copy, Debug)]
pub struct Wanted<'a> {
    /// Negative where it is wanted.
    pub clip: &'a Expr,
    /// A box that holds that part.
    pub within: Box3,
    /// How far beyond it the surface is wanted too, mm.
    pub margin: f64,
}

/// A surface in two parameters, made ready.
#[derive(Debug)]
pub struct Param {
    /// Places.
    places: Tape,
    /// Places and their two partial derivatives.
    slopes: Tape,
    ranges: [Range; 2],
    /// Made with the mesh.
    pieces: Vec<Piece>,
    halves: Vec<Half>,
    /// Where something wanted was left out, by parts of the ranges.
    lost: Option<[u32; 2]>,
    /// The part of its ranges in which it has no place, about.
    undefined: f64,
}

/// Most pieces.
const MOST: usize = 250_000;
/// It is told when the formula has no value in more than this part of the ranges.
const UNDEFINED: f64 = 0.01;
/// Steps along the wanted part when only a rough mesh is asked for.
const ROUGH: f64 = 60.0;
/// Chords of the mesh may lie off the surface by this part of its step,
const FLAT: f64 = 0.02;
/// and cubics off the formula by this part, a hundredth or less of the tolerance.
const CUBIC: f64 = 3e-4;
/// as long as pieces are larger than this part of the step: at creases they never are flat.
const SHARP: f64 = 0.25;
/// A piece whose cubic is off by less than this part of its size is taken to lie about its places.
const TRUSTED: f64 = 0.05;
/// How far past its ends a cubic is read, as a part of the piece.
const PAST: f64 = 0.05;
/// The part of the other range at which creases along one are looked for.
const ELSEWHERE: f64 = 0.381_966;
/// Places valued together.
const TOGETHER: usize = 256;

/// What became of a part of the ranges.
#[derive(Clone, Copy, Debug)]
enum Half {
    Open,
    /// Two halves side by side along an axis: this one and the next.
    Two(usize, usize),
    Piece(usize),
    Gone,
}

/// What is to be done with a part.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Fate {
    Keep,
    Halve(usize),
    Drop,
    /// Dropped, since the formula has no value there.
    Undefined,
    /// Dropped although it is wanted: the surface leaps or runs to infinity there.
    Lose,
}

impl Param {
    /// A surface made ready.
    ///
    /// # Errors
    /// A name without a value; a surface that reaches infinity.
    pub fn new(
        components: &[Expr; 3],
        params: &[String; 2],
        ranges: [(f64, f64); 2],
    ) -> Result<Self, RealiseFault> {
        let names = [&*params[0], &*params[1]];
        let places = Tape::with_inputs(components, &names)?;
        let mut all: Vec<Expr> = components.to_vec();
        for name in params {
            all.extend(components.iter().map(|c| c.derivative(name)));
        }
        let slopes = Tape::with_inputs(&all, &names)?;
        let ranges = [0, 1].map(|axis| {
            let (from, to) = ranges[1 - axis];
            let other = from + (to - from) * ELSEWHERE;
            Range::of(ranges[axis], |values| {
                let at = |t: &f64| if axis == 0 { [*t, other] } else { [other, *t] };
                jets(&slopes, &values.iter().map(at).collect::<Vec<_>>())
                    .into_iter()
                    .map(|j| j[1 + axis])
                    .collect()
            })
        });
        Ok(Self { places, slopes, ranges, pieces: vec![], halves: vec![], lost: None, undefined: 0.0 })
    }

    /// A value of a parameter, by parts of its range.
    pub(super) fn share(&self, axis: usize, parts: f64) -> f64 {
        self.ranges[axis].value(parts)
    }

    /// The lines along which the surface turns suddenly, on which this parameter does not change: values of it as they are come
    /// to from either side.
    pub fn creases(&self, axis: usize) -> Vec<(f64, [f64; 2])> {
        let range = &self.ranges[axis];
        let value = |parts| range.value(f64::from(parts));
        range.creases().map(|parts| (value(parts), range.beside(value(parts)))).collect()
    }

    /// Places at parts of the ranges.
    pub(super) fn see(&self, at: &[[f64; 2]]) -> Vec<Vec3> {
        let some = |scratch: &mut Scratch, at: &[[f64; 2]]| {
            let [u, v] = [0, 1].map(|axis| at.iter().map(|p| self.share(axis, p[axis])).collect::<Vec<_>>());
            let mut out = [(); 3].map(|()| vec![f64::NAN; at.len()]);
            let [x, y, z] = &mut out;
            self.places.many(&[&u, &v], &mut [x, y, z], scratch);
            (0..at.len()).map(|k| Vec3::new(out[0][k], out[1][k], out[2][k])).collect::<Vec<_>>()
        };
        at.par_chunks(TOGETHER).map_init(Scratch::default, some).flatten_iter().collect()
    }

    /// Places and their two partial derivatives at parameters.
    pub fn jets(&self, at: &[[f64; 2]]) -> Vec<[Vec3; 3]> {
        jets(&self.slopes, at)
    }

    /// True at an end of a parameter's range, and beside a crease.
    pub fn is_end(&self, axis: usize, t: f64) -> bool {
        self.ranges[axis].is_end(t)
    }

    /// A mesh with edges of at most `step` mm, shorter where the surface bends, and the parameters of its points. Points
    /// that coincide along a seam stay apart. Where the surface is not finite, triangles are left out. An endless step
    /// asks for a rough mesh.
    ///
    /// # Errors
    /// [`RealiseFault::Empty`] when no place is finite and wanted; [`RealiseFault::RunsAway`] when all of a surface
    /// without end is wanted; [`RealiseFault::TooLarge`]; when the watch says stop.
    pub fn mesh(
        &mut self,
        step: f64,
        wanted: Option<Wanted>,
        watch: &dyn Watch,
    ) -> Result<(Mesh, Vec<[f64; 2]>), RealiseFault> {
        if let (None, Some([u, v])) = (wanted, self.pole()) {
            let [u, v] = [u, v].map(|t| libm::round(t * 1e4) / 1e4 + 0.0);
            return Err(RealiseFault::RunsAway(u, v));
        }
        let clip = wanted.map(Clip::new).transpose()?;
        let mut seen = Seen::default();
        let mut open = Vec::new();
        self.halves.clear();
        for k in 0..FIRST * FIRST {
            let side = WHOLE / FIRST;
            let at = [k % FIRST * side, k / FIRST * side];
            open.push(Part { at, size: [side; 2], half: self.halves.len() });
            self.halves.push(Half::Open);
        }
        let mut step = step;
        self.pieces.clear();
        self.lost = None;
        self.undefined = 0.0;
        while !open.is_empty() {
            watch.check()?;
            if open.len() + self.pieces.len() > MOST {
                return Err(RealiseFault::TooLarge);
            }
            seen.look(&open, |at| self.see(at));
            if step.is_infinite() {
                let wanted = clip.as_ref().map_or(f64::INFINITY, |c| c.within.size().largest());
                let least = seen.extent().min(wanted);
                step = if least > 0.0 { least / ROUGH } else { step };
            }
            open = self.sorted(&open, &seen, &Judge { step, clip: clip.as_ref() });
        }
        self.sew(&mut seen);
        let mesh = seen.mesh(&self.pieces);
        if mesh.triangles.is_empty() {
            return Err(RealiseFault::Empty);
        }
        let at = seen.at.iter().map(|at| [0, 1].map(|axis| self.share(axis, f64::from(at[axis])))).collect();
        Ok((mesh, at))
    }

    /// Sees the places that pieces on one side of a seam need because of those on the other.
    fn sew(&self, seen: &mut Seen) {
        let extent = Box3::around(self.pieces.iter().map(|p| p.cubic.read([0.5; 2])[0])).size().largest();
        let seams = Seams::of(|at| self.see(at), extent);
        let used = self.pieces.iter().flat_map(|p| grid(p.at, p.size));
        seen.look_at(seams.partners(used), |at| self.see(at));
    }

    /// Keeps, drops or halves parts; gives the halves.
    fn sorted(&mut self, open: &[Part], seen: &Seen, judge: &Judge) -> Vec<Part> {
        let middles: Vec<[f64; 2]> =
            open.iter().map(|p| [0, 1].map(|k| f64::from(p.at[k]) + 0.5 * f64::from(p.size[k]))).collect();
        let middles = self.see(&middles);
        let fates: Vec<(Cubic, Fate)> = open
            .par_iter()
            .zip(&middles)
            .map(|(part, middle)| {
                let cubic = Cubic::through(&seen.places(part));
                let fate = judge.fate(self, part, &seen.places(part), (&cubic, *middle));
                (cubic, fate)
            })
            .collect();
        let mut next = Vec::new();
        for (part, (cubic, fate)) in open.iter().zip(fates) {
            self.halves[part.half] = match fate {
                Fate::Drop => Half::Gone,
                Fate::Undefined => {
                    self.undefined +=
                        part.size.iter().map(|s| f64::from(*s) / f64::from(WHOLE)).product::<f64>();
                    Half::Gone
                }
                Fate::Lose => {
                    self.lost = self.lost.or(Some(part.at));
                    Half::Gone
                }
                Fate::Keep => {
                    self.pieces.push(Piece { at: part.at, size: part.size, cubic });
                    Half::Piece(self.pieces.len() - 1)
                }
                Fate::Halve(axis) => {
                    let first = self.halves.len();
                    let mut half = *part;
                    half.size[axis] /= 2;
                    for k in 0..2 {
                        next.push(Part { half: first + k, ..half });
                        self.halves.push(Half::Open);
                        half.at[axis] += half.size[axis];
                    }
                    Half::Two(axis, first)
                }
            };
        }
        next
    }

    /// What is to be said of a surface with no clip: how much was left out because it has no value, or where, because it
    /// leaps or runs to infinity.
    pub fn said(&self, params: &[String; 2]) -> Option<String> {
        if self.undefined > UNDEFINED {
            let share = 100.0 * self.undefined;
            return Some(format!(
                "left out: about {share:.0} % of its ranges, where the formula has no value"
            ));
        }
        let lost = self.lost?;
        let [u, v] =
            [0, 1].map(|axis| libm::round(self.share(axis, f64::from(lost[axis])) * 1e4) / 1e4 + 0.0);
        let [a, b] = params;
        Some(format!(
            "left out: the surface near {a} = {u}, {b} = {v}, where it leaps or runs to infinity; clip it or give it other ranges"
        ))
    }

    /// The piece at a place of the ranges, by parts.
    fn piece(&self, at: [f64; 2]) -> Option<&Piece> {
        let side = f64::from(WHOLE / FIRST);
        let [i, j] = at.map(|x| libm::floor(x / side).clamp(0.0, f64::from(FIRST - 1)) as u32);
        let mut corner = [i, j].map(|k| k * (WHOLE / FIRST));
        let mut size = [WHOLE / FIRST; 2];
        let mut half = self.halves.get((j * FIRST + i) as usize)?;
        loop {
            match *half {
                Half::Two(axis, first) => {
                    size[axis] /= 2;
                    let second = at[axis] >= f64::from(corner[axis] + size[axis]);
                    corner[axis] += if second { size[axis] } else { 0 };
                    half = self.halves.get(first + usize::from(second))?;
                }
                Half::Piece(k) => return self.pieces.get(k).filter(|p| p.cubic.is_finite()),
                Half::Open | Half::Gone => return None,
            }
        }
    }

    /// The place nearest to `p`, by Newton's method from parameters nearby; also the normal there.
    pub fn nearest(&self, p: Vec3, start: [f64; 2]) -> (Vec3, Vec3) {
        let parts = [0, 1].map(|k| self.ranges[k].parts(start[k]));
        let Some(piece) = self.piece(parts) else {
            let read = |[u, v]: [f64; 2]| {
                let mut out = [0.0; 9];
                self.slopes.at(&[u, v], &mut out);
                let [s, a, b] = [0, 3, 6].map(|k| Vec3::new(out[k], out[k + 1], out[k + 2]));
                [s, a, b, Vec3::ZERO, Vec3::ZERO, Vec3::ZERO]
            };
            let ends = [0, 1].map(|k| (self.share(k, 0.0), self.share(k, f64::from(WHOLE))));
            return approach(p, start, ends, read);
        };
        // A little past the piece its cubic still holds; past the ends of a range there is nothing, past a crease something else.
        let limit = |k: usize| {
            let is_end =
                |parts: u32| parts == 0 || parts == WHOLE || self.ranges[k].creases().any(|c| c == parts);
            let (from, to) = (is_end(piece.at[k]), is_end(piece.at[k] + piece.size[k]));
            (if from { 0.0 } else { -PAST }, if to { 1.0 } else { 1.0 + PAST })
        };
        let at = [0, 1].map(|k| {
            ((parts[k] - f64::from(piece.at[k])) / f64::from(piece.size[k])).clamp(limit(k).0, limit(k).1)
        });
        approach(p, at, [limit(0), limit(1)], |at| piece.cubic.read(at))
    }
}

/// Places and their two partial derivatives at parameters.
fn jets(slopes: &Tape, at: &[[f64; 2]]) -> Vec<[Vec3; 3]> {
    let some = |scratch: &mut Scratch, at: &[[f64; 2]]| {
        let [u, v] = [0, 1].map(|axis| at.iter().map(|p| p[axis]).collect::<Vec<_>>());
        let mut out = [(); 9].map(|()| vec![f64::NAN; at.len()]);
        slopes.many(&[&u, &v], &mut out.each_mut().map(|row| &mut row[..]), scratch);
        let vector = |k: usize, i: usize| Vec3::new(out[i][k], out[i + 1][k], out[i + 2][k]);
        (0..at.len()).map(|k| [0, 3, 6].map(|i| vector(k, i))).collect::<Vec<_>>()
    };
    at.par_chunks(TOGETHER).map_init(Scratch::default, some).flatten_iter().collect()
}

/// The clip made ready.
struct Clip {
    tape: Tape,
    within: Box3,
    margin: f64,
}

impl Clip {
    fn new(wanted: Wanted) -> Result<Self, RealiseFault> {
        Ok(Self { tape: Tape::new(wanted.clip)?, within: wanted.within, margin: wanted.margin })
    }

    /// True when something in a box may be wanted.
    fn reaches(&self, region: Box3) -> bool {
        let region = region.grown(self.margin);
        !region.meet(self.within).is_empty() && !(self.tape.bounds(region).lo > 0.0)
    }
}

/// What parts are judged by.
struct Judge<'a> {
    step: f64,
    clip: Option<&'a Clip>,
}

impl Judge<'_> {
    fn fate(&self, param: &Param, part: &Part, p: &[[Vec3; 4]; 4], (cubic, middle): (&Cubic, Vec3)) -> Fate {
        let is_inside = |axis: usize| {
            let (from, to) = (part.at[axis], part.at[axis] + part.size[axis]);
            param.ranges[axis].creases().any(|crease| crease > from && crease < to)
        };
        if let Some(axis) = (0..2).find(|axis| is_inside(*axis)) {
            return Fate::Halve(axis);
        }
        let (longest, bends) = (longest(p), bends(p));
        let off = (cubic.read([0.5, 0.5])[0] - middle).norm();
        let size = longest[0].max(longest[1]);
        if !(size.is_finite() && off.is_finite()) {
            return if self.reaches(|| param.bounds(part)) { self.torn(part, p) } else { Fate::Drop };
        }
        let region = || match off <= TRUSTED * size {
            true => {
                let about = Box3::around(p.iter().flatten().copied());
                about.grown(0.25 * (bends[0] + bends[1]) + 2.0 * off)
            }
            false => param.bounds(part),
        };
        if !self.reaches(region) {
            return Fate::Drop;
        }
        let sag = bends.map(|b| b / 8.0);
        if size > f64::from(STEPS) * self.step {
            // What can be halved no more stands where the surface leaps or runs to infinity.
            let axis = usize::from(longest[1] > longest[0]);
            if part.size[axis] > STEPS { Fate::Halve(axis) } else { Fate::Lose }
        } else if sag[0].max(sag[1]) > FLAT * self.step && size > SHARP * self.step {
            part.halved(sag)
        } else if off > CUBIC * self.step && size > SHARP * self.step {
            part.halved(bends)
        } else {
            Fate::Keep
        }
    }

    fn reaches(&self, region: impl Fn() -> Box3) -> bool {
        self.clip.is_none_or(|clip| clip.reaches(region()))
    }

    /// The fate of a part in which the surface has no place somewhere.
    fn torn(&self, part: &Part, p: &[[Vec3; 4]; 4]) -> Fate {
        let there = Box3::around(p.iter().flatten().copied().filter(|p| p.is_finite()));
        if there.is_empty() && part.size.iter().all(|s| *s <= WHOLE / FIRST / 4) {
            Fate::Undefined
        } else if !there.is_empty() && there.size().largest() <= self.step {
            Fate::Keep
        } else if part.may_be_halved() {
            part.halved(part.size.map(f64::from))
        } else {
            Fate::Lose
        }
    }
}

impl Part {
    fn may_be_halved(&self) -> bool {
        self.size.iter().any(|s| *s > STEPS)
    }

    /// Halved along the axis that is the worse by some measure, as far as both may be halved.
    fn halved(&self, by: [f64; 2]) -> Fate {
        match self.size.map(|s| s > STEPS) {
            [false, false] => Fate::Keep,
            [first, second] if first && (by[0] >= by[1] || !second) => Fate::Halve(0),
            _ => Fate::Halve(1),
        }
    }
}

impl Param {
    /// A box that holds a part of the surface.
    fn bounds(&self, part: &Part) -> Box3 {
        let range = |k: usize| {
            let [from, to] = [part.at[k], part.at[k] + part.size[k]].map(|i| self.share(k, f64::from(i)));
            Interval::new(from, to)
        };
        let all = self.places.bounds_many(&[range(0), range(1)]);
        let ends = |f: fn(&Interval) -> f64| Vec3::new(f(&all[0]), f(&all[1]), f(&all[2]));
        Box3::new(ends(|i| i.lo), ends(|i| i.hi))
    }
}

/// The longest line of places along each parameter; the first index runs along u.
fn longest(p: &[[Vec3; 4]; 4]) -> [f64; 2] {
    let mut out = [0.0f64; 2];
    for (j, row) in p.iter().enumerate() {
        let lines = [[p[0][j], p[1][j], p[2][j], p[3][j]], *row];
        for (most, line) in out.iter_mut().zip(lines) {
            let long: f64 = line.windows(2).map(|w| (w[1] - w[0]).norm()).sum();
            *most = if long.is_nan() { f64::INFINITY } else { most.max(long) };
        }
    }
    out
}

/// The greatest second difference along each parameter.
fn bends(p: &[[Vec3; 4]; 4]) -> [f64; 2] {
    let mut out = [0.0f64; 2];
    for (j, row) in p.iter().enumerate() {
        let lines = [[p[0][j], p[1][j], p[2][j], p[3][j]], *row];
        for (most, line) in out.iter_mut().zip(lines) {
            *most = line.windows(3).map(|w| (w[0] + w[2] - w[1] * 2.0).norm()).fold(*most, f64::max);
        }
    }
    out
}

#[cfg(test)]
mod tests;
