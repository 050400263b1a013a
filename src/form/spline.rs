//! Curves through or near given points: piecewise cubic, read as exact expressions of their parameter.

use std::sync::Arc;

use super::fault::{FormFault, unfit};
use crate::base::{Box3, Interval, Vec3};
use crate::formula::{Expr, Oracle};

/// A piecewise cubic path.
#[derive(Clone, Debug)]
pub struct Spline {
    /// Where pieces start, and where the last ends; increasing.
    breaks: Vec<f64>,
    /// Coefficients of each piece in the part of it gone, from 0 to 1: constant, linear, square, cubic.
    pieces: Vec<[Vec3; 4]>,
}

/// Most points of a spline.
const MOST: usize = 200_000;
/// Pieces in which a function is followed at first, and how often they are halved.
const FIRST: usize = 64;
const HALVINGS: u32 = 14;
/// A function is followed to this part of its extent; further apart than that, places next to one another are a leap.
const FOLLOWED: f64 = 1e-7;
const LEAP: f64 = 0.05;

impl Spline {
    /// The path through points that is smooth to the second derivative. The parameter grows between points with the
    /// square root of their distance, which keeps the path from swinging out where distances change. At the ends of
    /// an open path the second derivative is zero.
    /// Sources: E. T. Y. Lee, Computer-Aided Design 21 (1989) 363 (centripetal parameter); C. de Boor, A Practical
    /// Guide to Splines (1978), chapter 4 (the equations).
    ///
    /// # Errors
    /// [`FormFault::Unfit`] for too few points (3 when closed, else 2), for two alike in a row, or for too many.
    pub fn through(points: &[Vec3], closed: bool) -> Result<Self, FormFault> {
        let points = round(points, closed)?;
        let h: Vec<f64> = points.windows(2).map(|w| (w[1] - w[0]).norm().sqrt()).collect();
        let rise: Vec<Vec3> = points.windows(2).zip(&h).map(|(w, h)| (w[1] - w[0]) / *h).collect();
        let slopes = if closed { slopes_closed(&h, &rise) } else { slopes_open(&h, &rise) };
        let pieces =
            (0..h.len()).map(|i| hermite(points[i], points[i + 1], slopes[i] * h[i], slopes[i + 1] * h[i]));
        Ok(Self { pieces: pieces.collect(), breaks: sums(&h) })
    }

    /// The path along straight lines from point to point; the parameter is the length gone, mm.
    ///
    /// # Errors
    /// As [`Self::through`].
    pub fn straight(points: &[Vec3], closed: bool) -> Result<Self, FormFault> {
        let points = round(points, closed)?;
        let h: Vec<f64> = points.windows(2).map(|w| (w[1] - w[0]).norm()).collect();
        let pieces = points.windows(2).map(|w| [w[0], w[1] - w[0], Vec3::ZERO, Vec3::ZERO]).collect();
        Ok(Self { pieces, breaks: sums(&h) })
    }

    /// The closed cubic B-spline of control points: it passes near them, and is smooth to the second derivative.
    /// Source: C. de Boor, A Practical Guide to Splines (1978), chapter 9.
    ///
    /// # Errors
    /// [`FormFault::Unfit`] for fewer than four points.
    pub fn near(control: &[Vec3]) -> Result<Self, FormFault> {
        let n = control.len();
        if !(4..=MOST).contains(&n) {
            return Err(unfit("points", format!("has {n} points; 4 to {MOST} can be")));
        }
        let piece = |i: usize| {
            let [a, b, c, d] = [n - 1, 0, 1, 2].map(|k| control[(i + k) % n]);
            [(a + b * 4.0 + c) / 6.0, (c - a) * 0.5, (a + c) * 0.5 - b, (d - a) / 6.0 + (b - c) * 0.5]
        };
        Ok(Self { pieces: (0..n).map(piece).collect(), breaks: (0..=n).map(|i| i as f64).collect() })
    }

    /// The path of cubic pieces in Bézier form, each with the stretch of the parameter that it takes.
    pub(crate) fn pieced(pieces: &[([Vec3; 4], f64)]) -> Self {
        let h: Vec<f64> = pieces.iter().map(|p| p.1).collect();
        let power =
            |[a, b, c, d]: [Vec3; 4]| [a, (b - a) * 3.0, (a - b * 2.0 + c) * 3.0, d - a + (b - c) * 3.0];
        Self { pieces: pieces.iter().map(|p| power(p.0)).collect(), breaks: sums(&h) }
    }

    /// The path of a function of the parameter, in pieces that are cubic to a ten-millionth of its extent; pieces are
    /// halved toward corners. The outer result is that of the function.
    ///
    /// # Errors
    /// [`FormFault::Unfit`] where the path leaps or has no place, or has corners everywhere.
    pub fn followed<E>(
        range: (f64, f64),
        at: &mut dyn FnMut(f64) -> Result<Vec3, E>,
    ) -> Result<Result<Self, FormFault>, E> {
        let (from, to) = range;
        if !(from.is_finite() && to.is_finite() && from < to) {
            return Ok(Err(FormFault::EmptyRange { name: "t".to_owned(), from, to }));
        }
        let first = |k: usize| range.0 + (range.1 - range.0) * (k as f64 / FIRST as f64);
        let mut ends = Vec::with_capacity(FIRST + 1);
        for k in 0..=FIRST {
            ends.push((first(k), at(first(k))?));
        }
        let extent = Box3::around(ends.iter().map(|e| e.1)).size().largest();
        let mut open: Vec<_> = ends.windows(2).rev().map(|w| (w[0], w[1], HALVINGS)).collect();
        let mut made = Self { breaks: vec![range.0], pieces: vec![] };
        while let Some((a, b, halvings)) = open.pop() {
            let (piece, smooth) = match made.piece_of(a, b, extent, at)? {
                Ok(piece) => (piece, true),
                Err(_) if halvings > 0 => {
                    let t = 0.5 * (a.0 + b.0);
                    let m = (t, at(t)?);
                    open.extend([(m, b, halvings - 1), (a, m, halvings - 1)]);
                    continue;
                }
                Err(piece) => (piece, false),
            };
            // A smooth piece may be long: a leap is no cubic.
            let leap = if smooth { None } else { torn(a, b, extent) };
            if let Some(fault) = leap.or_else(|| made.crowded()) {
                return Ok(Err(fault));
            }
            made.breaks.push(b.0);
            made.pieces.push(piece);
        }
        Ok(Ok(made))
    }

    /// The cubic through a function's places at thirds; as an error when it is off the function.
    fn piece_of<E>(
        &self,
        (t, a): (f64, Vec3),
        (u, d): (f64, Vec3),
        extent: f64,
        at: &mut dyn FnMut(f64) -> Result<Vec3, E>,
    ) -> Result<Result<[Vec3; 4], [Vec3; 4]>, E> {
        let mut read = |s: f64| at(t + (u - t) * s);
        let (b, c) = (read(1.0 / 3.0)?, read(2.0 / 3.0)?);
        let piece = [
            a,
            a * -5.5 + b * 9.0 - c * 4.5 + d,
            a * 9.0 - b * 22.5 + c * 18.0 - d * 4.5,
            (d - a) * 4.5 + (b - c) * 13.5,
        ];
        let [k0, k1, k2, k3] = piece;
        for s in [0.15, 0.5, 0.85] {
            let off = k0 + (k1 + (k2 + k3 * s) * s) * s - read(s)?;
            if !(off.norm() <= FOLLOWED * extent) {
                return Ok(Err(piece));
            }
        }
        Ok(Ok(piece))
    }

    fn crowded(&self) -> Option<FormFault> {
        let why = "chooses by its argument in too many places to be followed";
        (self.pieces.len() >= MOST).then(|| unfit("formula", why))
    }

    /// Where the pieces start and end.
    pub fn breaks(&self) -> &[f64] {
        &self.breaks
    }

    /// The path as three expressions of a parameter.
    pub fn components(self, at: &Expr) -> [Expr; 3] {
        let spline = Arc::new(self);
        [0, 1, 2].map(|axis| {
            let part = Component { spline: spline.clone(), axis, order: 0 };
            Expr::oracle(Arc::new(part), [at.clone(), Expr::constant(0.0), Expr::constant(0.0)])
        })
    }

    /// The piece that holds a value of the parameter; the first or last beyond the ends.
    fn piece(&self, t: f64) -> usize {
        self.breaks.partition_point(|b| *b <= t).clamp(1, self.pieces.len()) - 1
    }

    /// A derivative of one coordinate.
    fn value(&self, t: f64, axis: usize, order: u8) -> f64 {
        let i = self.piece(t);
        let h = self.breaks[i + 1] - self.breaks[i];
        let s = ((t - self.breaks[i]) / h).clamp(0.0, 1.0);
        let [a, b, c, d] = self.pieces[i].map(|v| v[axis]);
        match order {
            0 => a + s * (b + s * (c + s * d)),
            1 => (b + s * (2.0 * c + 3.0 * s * d)) / h,
            2 => (2.0 * c + 6.0 * s * d) / (h * h),
            3 => 6.0 * d / (h * h * h),
            _ => 0.0,
        }
    }

    /// A range of a derivative of one coordinate over a range of the parameter.
    fn range(&self, over: Interval, axis: usize, order: u8) -> Interval {
        let (first, last) = (self.piece(over.lo), self.piece(over.hi));
        let mut all = Interval::new(f64::INFINITY, f64::NEG_INFINITY);
        for i in first..=last {
            let (from, to) = (self.breaks[i].max(over.lo), self.breaks[i + 1].min(over.hi));
            let h = self.breaks[i + 1] - self.breaks[i];
            let scale = [1.0, 1.0 / h, 1.0 / (h * h), 1.0 / (h * h * h)][usize::from(order.min(3))];
            // Over a piece: the values at the ends and where the slope is zero.
            let part = |t: f64| ((t - self.breaks[i]) / h).clamp(0.0, 1.0);
            let (p, q) = (part(from), part(to));
            let mut k = self.pieces[i].map(|v| v[axis]);
            for _ in 0..order {
                k = [k[1], 2.0 * k[2], 3.0 * k[3], 0.0];
            }
            let at = |s: f64| (k[0] + s * (k[1] + s * (k[2] + s * k[3]))) * scale;
            let mut turns = [p, q, p, q];
            let (a, b, c) = (3.0 * k[3], 2.0 * k[2], k[1]);
            let root = (b * b - 4.0 * a * c).max(0.0).sqrt();
            for (slot, s) in turns[2..].iter_mut().zip([(-b + root) / (2.0 * a), (-b - root) / (2.0 * a)]) {
                if s > p && s < q {
                    *slot = s;
                }
            }
            if a == 0.0 && b != 0.0 && -c / b > p && -c / b < q {
                turns[2] = -c / b;
            }
            for s in turns {
                let v = at(s);
                all = Interval::new(all.lo.min(v), all.hi.max(v));
            }
        }
        let slack = 1e-12 * all.lo.abs().max(all.hi.abs());
        Interval::new(all.lo - slack, all.hi + slack)
    }
}

/// What is wrong between two places next to one another.
fn torn((t, a): (f64, Vec3), (_, b): (f64, Vec3), extent: f64) -> Option<FormFault> {
    if !(a.is_finite() && b.is_finite()) {
        return Some(unfit("formula", format!("has no place near {t:.6}")));
    }
    (!((b - a).norm() <= LEAP * extent)).then(|| unfit("formula", format!("leaps near {t:.6}")))
}

/// The points, the first again at the end when closed; checked.
fn round(points: &[Vec3], closed: bool) -> Result<Vec<Vec3>, FormFault> {
    let mut all = points.to_vec();
    if closed && all.len() > 2 && all.first() == all.last() {
        all.pop();
    }
    let least = if closed { 3 } else { 2 };
    if all.len() < least || all.len() > MOST {
        let path = if closed { "a closed path" } else { "a path" };
        return Err(unfit("points", format!("has {} points; {path} has {least} to {MOST}", all.len())));
    }
    if closed {
        all.push(all[0]);
    }
    if let Some(i) = all.windows(2).position(|w| w[0] == w[1]) {
        let Vec3 { x, y, z } = all[i];
        return Err(unfit(
            "points",
            format!("holds [{x}, {y}, {z}] twice in a row, at places {i} and {}", i + 1),
        ));
    }
    Ok(all)
}

fn sums(h: &[f64]) -> Vec<f64> {
    let mut total = 0.0;
    std::iter::once(0.0)
        .chain(h.iter().map(|h| {
            total += h;
            total
        }))
        .collect()
}

fn hermite(p: Vec3, q: Vec3, v: Vec3, w: Vec3) -> [Vec3; 4] {
    let d = q - p;
    [p, v, d * 3.0 - v * 2.0 - w, v + w - d * 2.0]
}

/// Solves a tridiagonal system by elimination; `sub` starts at row 1.
fn tridiagonal(sub: &[f64], main: &[f64], sup: &[f64], right: &[Vec3]) -> Vec<Vec3> {
    let n = main.len();
    let (mut m, mut r) = (main.to_vec(), right.to_vec());
    for i in 1..n {
        let k = sub[i] / m[i - 1];
        m[i] -= k * sup[i - 1];
        r[i] = r[i] - r[i - 1] * k;
    }
    for i in (0..n).rev() {
        let after = if i + 1 < n { r[i + 1] * sup[i] } else { Vec3::ZERO };
        r[i] = (r[i] - after) / m[i];
    }
    r
}

fn slopes_open(h: &[f64], rise: &[Vec3]) -> Vec<Vec3> {
    let n = h.len() + 1;
    let (mut sub, mut main, mut sup) = (vec![0.0; n], vec![2.0; n], vec![0.0; n]);
    let mut right = vec![Vec3::ZERO; n];
    (sup[0], sub[n - 1]) = (1.0, 1.0);
    (right[0], right[n - 1]) = (rise[0] * 3.0, rise[n - 2] * 3.0);
    for i in 1..n - 1 {
        (sub[i], main[i], sup[i]) = (h[i], 2.0 * (h[i - 1] + h[i]), h[i - 1]);
        right[i] = (rise[i - 1] * h[i] + rise[i] * h[i - 1]) * 3.0;
    }
    tridiagonal(&sub, &main, &sup, &right)
}

/// The cyclic system: a tridiagonal one and a correction of rank one (J. Sherman, W. J. Morrison, Annals of
/// Mathematical Statistics 21 (1950) 124).
fn slopes_closed(h: &[f64], rise: &[Vec3]) -> Vec<Vec3> {
    let n = h.len();
    let before = |i: usize| (i + n - 1) % n;
    let sub: Vec<f64> = h.to_vec();
    let mut main: Vec<f64> = (0..n).map(|i| 2.0 * (h[before(i)] + h[i])).collect();
    let sup: Vec<f64> = (0..n).map(|i| h[before(i)]).collect();
    let right: Vec<Vec3> = (0..n).map(|i| (rise[before(i)] * h[i] + rise[i] * h[before(i)]) * 3.0).collect();
    let (corner_top, corner_bottom) = (sub[0], sup[n - 1]);
    let gamma = -main[0];
    main[0] -= gamma;
    main[n - 1] -= corner_top * corner_bottom / gamma;
    let mut unit = vec![Vec3::ZERO; n];
    unit[0].x = gamma;
    unit[n - 1].x = corner_bottom;
    let y = tridiagonal(&sub, &main, &sup, &right);
    let z: Vec<f64> = tridiagonal(&sub, &main, &sup, &unit).iter().map(|v| v.x).collect();
    let ratio = corner_top / gamma;
    let share = (y[0] + y[n - 1] * ratio) / (1.0 + z[0] + z[n - 1] * ratio);
    let mut slopes: Vec<Vec3> = y.iter().zip(&z).map(|(y, z)| *y - share * *z).collect();
    slopes.push(slopes[0]);
    slopes
}

/// One coordinate of a spline, or a derivative of it, as a function of the first argument.
#[derive(Debug)]
struct Component {
    spline: Arc<Spline>,
    axis: usize,
    order: u8,
}

impl Oracle for Component {
    fn sample(&self, p: Vec3) -> (f64, Vec3) {
        let value = self.spline.value(p.x, self.axis, self.order);
        (value, Vec3::new(self.spline.value(p.x, self.axis, self.order + 1), 0.0, 0.0))
    }

    fn bounds(&self, region: Box3) -> Interval {
        self.spline.range(Interval::new(region.min.x, region.max.x), self.axis, self.order)
    }

    fn steepest(&self) -> f64 {
        let ends = Interval::new(self.spline.breaks[0], self.spline.breaks[self.spline.pieces.len()]);
        let range = self.spline.range(ends, self.axis, self.order + 1);
        range.lo.abs().max(range.hi.abs())
    }

    fn slope(&self, part: u8) -> Option<Arc<dyn Oracle>> {
        // The other arguments play no part.
        let order = if part == 1 { self.order + 1 } else { 4 };
        Some(Arc::new(Self { spline: self.spline.clone(), axis: self.axis, order }))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::form::Strand;

    fn circle(n: usize) -> Vec<Vec3> {
        (0..n)
            .map(|i| {
                let t = std::f64::consts::TAU * i as f64 / n as f64;
                Vec3::new(5.0 * libm::cos(t), 5.0 * libm::sin(t), 0.0)
            })
            .collect()
    }

    /// A cubic spline errs by the fourth power of the step: halving it divides the error by 16.
    #[test]
    fn a_circle_through_points_is_round_to_the_fourth_power() {
        let off = |n: usize| {
            let strand = Strand::from(Spline::through(&circle(n), true).unwrap());
            let places = strand.places();
            let (from, to) = strand.range();
            let mut worst = 0.0f64;
            for i in 0..500 {
                worst = worst.max((places.at(from + (to - from) * f64::from(i) / 500.0).norm() - 5.0).abs());
            }
            assert!(strand.is_closed());
            worst
        };
        let (coarse, fine) = (off(16), off(32));
        assert!(coarse < 1e-3 && (12.0..20.0).contains(&(coarse / fine)), "{coarse} {fine}");
    }

    #[test]
    fn paths_pass_through_their_points_and_stay_smooth() {
        let points: Vec<Vec3> =
            [[0.0, 0.0, 0.0], [1.0, 3.0, 0.5], [8.0, 2.0, -1.0], [8.5, 2.2, 4.0], [3.0, -4.0, 2.0]]
                .map(Vec3::from)
                .into();
        for closed in [false, true] {
            let spline = Spline::through(&points, closed).unwrap();
            let breaks = spline.breaks().to_vec();
            let inner = if closed { 0..5 } else { 1..4 };
            for i in 0..5 {
                for axis in 0..3 {
                    assert!((spline.value(breaks[i], axis, 0) - points[i][axis]).abs() < 1e-12);
                }
            }
            for i in inner {
                let left = if i == 0 { breaks[5] } else { breaks[i] } - 1e-9;
                for order in [1, 2] {
                    for axis in 0..3 {
                        let (a, b) = (spline.value(left, axis, order), spline.value(breaks[i], axis, order));
                        assert!((a - b).abs() < 1e-6 * (1.0 + a.abs()), "{i} {order}: {a} {b}");
                    }
                }
            }
        }
    }

    /// A function with a corner off every simple fraction: the corner is met, and the rest is exact.
    #[test]
    fn a_function_with_a_corner_is_followed() {
        let exact = |t: f64| Vec3::new(t, (t - 1.234_567).abs(), libm::sin(t));
        let mut calls = 0;
        let mut at = |t: f64| {
            calls += 1;
            Ok::<_, ()>(exact(t))
        };
        let strand = Strand::from(Spline::followed((0.5, 3.0), &mut at).unwrap().unwrap());
        assert!(calls < 3000, "{calls}");
        assert_eq!(strand.range(), (0.5, 3.0));
        let places = strand.places();
        for i in 0..=1000 {
            let t = 0.5 + 2.5 * f64::from(i) / 1000.0;
            assert!((places.at(t) - exact(t)).norm() < 1e-5, "{t}");
        }
        let mut leap = |t: f64| Ok::<_, ()>(Vec3::new(t, if t < 1.0 { 0.0 } else { 2.0 }, 0.0));
        let told = Spline::followed((0.0, 3.0), &mut leap).unwrap().unwrap_err().to_string();
        assert!(told.contains("leaps near 0.99999"), "{told}");
    }

    #[test]
    fn bad_points_are_refused() {
        let p = Vec3::ZERO;
        let q = Vec3::new(1.0, 0.0, 0.0);
        assert!(Spline::through(&[p], false).is_err());
        assert!(Spline::through(&[p, q], true).is_err());
        assert!(Spline::through(&[p, q, q], false).unwrap_err().to_string().contains("twice in a row"));
        assert!(Spline::near(&[p, q, p]).is_err());
    }
}
