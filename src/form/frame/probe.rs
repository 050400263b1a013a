//! Values, slopes and bends of a field at places, and places where something happens.

use nalgebra::{DMatrix, DVector};

use super::chance::Chance;
use crate::base::{Box3, Vec3};
use crate::formula::{Expr, Scratch, Tape};

/// A field that can be asked.
#[derive(Clone)]
pub(super) struct Probe {
    pub(super) tape: Tape,
}

/// A symmetric table of second derivatives.
type Bend = [Vec3; 3];

impl Probe {
    /// `None` when a name besides x, y, z occurs.
    pub(super) fn new(e: &Expr) -> Option<Self> {
        Tape::new(e).ok().map(|tape| Self { tape })
    }

    pub(super) fn value(&self, p: Vec3) -> f64 {
        self.tape.value(p)
    }

    /// Values at many places.
    pub(super) fn values(&self, places: &[Vec3]) -> Vec<f64> {
        let row = |axis: usize| places.iter().map(|p| p[axis]).collect::<Vec<f64>>();
        let mut out = vec![0.0; places.len()];
        self.tape.values(&row(0), &row(1), &row(2), &mut out, &mut Scratch::default());
        out
    }

    /// Values and slopes at a few places.
    pub(super) fn slopes(&self, places: &[Vec3], scratch: &mut Scratch) -> (Vec<f64>, Vec<Vec3>) {
        let row = |axis: usize| places.iter().map(|p| p[axis]).collect::<Vec<f64>>();
        let (mut out, mut slope) = (vec![0.0; places.len()], vec![Vec3::ZERO; places.len()]);
        self.tape.slopes(&row(0), &row(1), &row(2), &mut out, &mut slope, scratch);
        (out, slope)
    }

    /// Value, slope, and the bend by central differences of exact slopes over a length of `step`.
    fn jet(&self, p: Vec3, step: f64, scratch: &mut Scratch) -> (f64, Vec3, Bend) {
        let unit = |axis: usize| match axis {
            0 => Vec3::new(step, 0.0, 0.0),
            1 => Vec3::new(0.0, step, 0.0),
            _ => Vec3::new(0.0, 0.0, step),
        };
        let mut places = vec![p];
        for axis in 0..3 {
            places.extend([p + unit(axis), p - unit(axis)]);
        }
        let (v, g) = self.slopes(&places, scratch);
        let column = |axis: usize| (g[1 + 2 * axis] - g[2 + 2 * axis]) / (2.0 * step);
        (v[0], g[0], [column(0), column(1), column(2)])
    }

    /// How large the field's values are at a distance of `reach` from a place.
    fn size_near(&self, p: Vec3, reach: f64) -> f64 {
        let mut chance = Chance::new(3);
        let places: Vec<Vec3> =
            (0..12).map(|_| p + Vec3::from([0, 1, 2].map(|_| chance.between(-reach, reach)))).collect();
        self.values(&places).into_iter().filter(|v| v.is_finite()).fold(0.0, |a, v| a.max(v.abs()))
    }
}

/// In which directions places are looked for, and from where distance is measured.
#[derive(Clone, Copy, Debug)]
pub(super) struct Search {
    /// Coordinates that may change, and that count for distance.
    pub(super) active: [bool; 3],
    /// For a periodic coordinate, the range of starts.
    pub(super) cell: [Option<f64>; 3],
    /// Where distance is measured from.
    pub(super) centre: Vec3,
}

impl Search {
    /// Distance from the centre in the directions that count.
    pub(super) fn far(&self, p: Vec3) -> f64 {
        self.flat(p - self.centre).norm()
    }

    fn flat(&self, v: Vec3) -> Vec3 {
        Vec3::from([0, 1, 2].map(|i| if self.active[i] { v[i] } else { 0.0 }))
    }

    /// Starts at distances from 1/8 to 32, in scattered directions.
    fn starts(&self) -> Vec<Vec3> {
        let mut chance = Chance::new(11);
        let mut out = Vec::new();
        for octave in -3..=5 {
            let far = 2.0_f64.powi(octave);
            for _ in 0..26 {
                let v = [0, 1, 2].map(|i| match (self.active[i], self.cell[i]) {
                    (true, _) => far * chance.between(-1.0, 1.0),
                    (false, Some(period)) => period * chance.between(-0.5, 0.5),
                    (false, None) => 0.0,
                });
                out.push(self.centre + Vec3::from(v));
            }
        }
        out
    }
}

/// Newton steps at most; at a double root each step halves the error, and 50 halvings are enough for it.
const STEPS: usize = 50;
/// A step shorter than this part of the distance scale ends the search.
const CLOSE: f64 = 1e-8;
/// Difference step for bends, as a part of the distance scale: the cube root of the rounding unit.
const BEND_STEP: f64 = 6e-6;
/// Values below this part of the values nearby are zero.
const ZERO: f64 = 1e-6;

/// Places where the slope vanishes: first those on the surface (singular points), then the others.
pub(super) fn still_points(probe: &Probe, search: &Search) -> (Vec<Vec3>, Vec<Vec3>) {
    let mut scratch = Scratch::default();
    let mut found: Vec<Vec3> = Vec::new();
    for start in search.starts() {
        if let Some(p) = still_point(probe, search, start, &mut scratch) {
            add(&mut found, p);
        }
    }
    // Formulas are often alike in x, y and z: what a place mirrors to is looked at too.
    for p in found.clone() {
        if search.centre != Vec3::ZERO || found.len() > 400 {
            break;
        }
        let images = images(p);
        let (_, slopes) = probe.slopes(&images, &mut scratch);
        let own = slopes[0].norm();
        for (q, g) in images.into_iter().zip(slopes) {
            let small = 1e-6 * probe.size_near(q, 0.1 * (search.far(q) + 0.1));
            if g.norm() <= (10.0 * own).max(small) && search.flat(q) == q {
                add(&mut found, q);
            }
        }
    }
    let near = |p: Vec3| probe.size_near(p, 0.1 * (search.far(p) + 0.1));
    found.into_iter().partition(|p| probe.value(*p).abs() <= ZERO * near(*p))
}

fn add(list: &mut Vec<Vec3>, p: Vec3) {
    if list.iter().all(|q: &Vec3| (*q - p).norm() > 1e-4 * (1e-2 + p.norm())) {
        list.push(p);
    }
}

/// Most singular points that may be worse than double points before they are taken for parts of a line.
const FEW: usize = 12;
/// Ratio of bends below which the least counts as none.
const NO_BEND: f64 = 1e-4;

/// The singular points without those that lie on singular lines, which go on for ever.
pub(super) fn isolated(probe: &Probe, search: &Search, singular: Vec<Vec3>) -> Vec<Vec3> {
    let mut scratch = Scratch::default();
    let (double, worse): (Vec<Vec3>, Vec<Vec3>) = singular.into_iter().partition(|p| {
        let (_, _, bend) = probe.jet(*p, BEND_STEP * (search.far(*p) + 1e-3), &mut scratch);
        let a = DMatrix::from_fn(3, 3, |i, j| bend[j][i]);
        if a.iter().any(|v| !v.is_finite()) {
            return false;
        }
        let sizes = a.singular_values();
        sizes.min() > NO_BEND * sizes.max()
    });
    if worse.len() > FEW { double } else { double.into_iter().chain(worse).collect() }
}

/// The place with its coordinates in all orders and with all signs, itself first; and turned about each axis by thirds,
/// fifths and eighths.
fn images(p: Vec3) -> Vec<Vec3> {
    let orders = [[0, 1, 2], [1, 2, 0], [2, 0, 1], [1, 0, 2], [0, 2, 1], [2, 1, 0]];
    let signs = |i: u32| [0, 1, 2].map(|k| if i >> k & 1 == 0 { 1.0 } else { -1.0 });
    let image = |o: [usize; 3], s: [f64; 3]| Vec3::new(p[o[0]] * s[0], p[o[1]] * s[1], p[o[2]] * s[2]);
    let swapped =
        orders.into_iter().flat_map(|o| (0..8).map(move |i| (o, signs(i)))).map(|(o, s)| image(o, s));
    let turned = |axis: usize, part: f64| {
        let (sin, cos) = libm::sincos(std::f64::consts::TAU * part);
        let (mut q, [a, b]) = (p.array(), [(axis + 1) % 3, (axis + 2) % 3]);
        (q[a], q[b]) = (p[a] * cos - p[b] * sin, p[a] * sin + p[b] * cos);
        Vec3::from(q)
    };
    let turns = [3u32, 5, 8].into_iter().flat_map(|n| (1..n).map(move |k| f64::from(k) / f64::from(n)));
    let all = turns.flat_map(|part| [0, 1, 2].map(|axis| turned(axis, part)));
    swapped.chain(all).collect()
}

fn still_point(probe: &Probe, search: &Search, start: Vec3, scratch: &mut Scratch) -> Option<Vec3> {
    let mut p = start;
    for _ in 0..STEPS {
        let scale = search.far(p) + 1e-3;
        let (_, g, bend) = probe.jet(p, BEND_STEP * scale, scratch);
        let rows = rows_of(search);
        let a = DMatrix::from_fn(rows.len(), rows.len(), |i, j| bend[rows[j]][rows[i]]);
        let b = DVector::from_fn(rows.len(), |i, _| -g[rows[i]]);
        let step = solved(a, &b)?;
        let mut v = [0.0; 3];
        rows.iter().zip(step.iter()).for_each(|(i, s)| v[*i] = *s);
        let v = capped(Vec3::from(v), 0.5 * scale);
        p += v;
        if !p.is_finite() || search.far(p) > 100.0 {
            return None;
        }
        if v.norm() < CLOSE * scale {
            // Steps also end where the bend cannot follow the slope; there it does not vanish.
            let most = bend.iter().fold(0.0_f64, |m, column| m.max(column.norm()));
            // Where the field is flat to rounding, as far out on a bell, every place would do.
            let flat = most * scale * scale <= FLAT * probe.size_near(search.centre, 1.0);
            let still = rows.iter().all(|i| g[*i].abs() <= STILL * most * scale);
            return (still && !flat).then_some(p);
        }
    }
    None
}

/// Directions in which a place may be moved.
fn rows_of(search: &Search) -> Vec<usize> {
    (0..3).filter(|i| search.active[*i] || search.cell[*i].is_some()).collect()
}

fn capped(v: Vec3, longest: f64) -> Vec3 {
    let n = v.norm();
    if n > longest { v * (longest / n) } else { v }
}

/// Least-squares solution of least length; `None` when a number is not finite.
fn solved(a: DMatrix<f64>, b: &DVector<f64>) -> Option<DVector<f64>> {
    if a.iter().chain(b.iter()).any(|v| !v.is_finite()) {
        return None;
    }
    let svd = a.svd(true, true);
    let small = 1e-10 * svd.singular_values.max();
    if small <= 0.0 {
        return Some(DVector::zeros(b.len()));
    }
    svd.solve(b, small).ok()
}

/// Places of the surface where its distance from the centre is least, greatest or stationary: past the furthest,
/// spheres about the centre meet the surface in the same way for ever. Solves ∇f = λ(p - c), f = 0.
pub(super) fn turning_points(probe: &Probe, search: &Search) -> Vec<Vec3> {
    let mut scratch = Scratch::default();
    let mut found: Vec<Vec3> = Vec::new();
    for start in search.starts() {
        let Some(p) = turning_point(probe, search, start, &mut scratch) else { continue };
        add(&mut found, p);
    }
    found
}

fn turning_point(probe: &Probe, search: &Search, start: Vec3, scratch: &mut Scratch) -> Option<Vec3> {
    let mut p = start;
    for _ in 0..6 {
        let (v, g) = probe.slopes(&[p], scratch);
        let square = g[0].dot(g[0]);
        if square > 0.0 {
            p = p - capped(g[0] * (v[0] / square), 0.5 * (search.far(p) + 1e-3));
        }
    }
    let rows = rows_of(search);
    let n = rows.len();
    let arm = |p: Vec3| search.flat(p - search.centre);
    let mut lambda = {
        let (_, g) = probe.slopes(&[p], scratch);
        let a = arm(p);
        g[0].dot(a) / a.dot(a).max(f64::MIN_POSITIVE)
    };
    for _ in 0..STEPS {
        let scale = search.far(p) + 1e-3;
        let (value, g, bend) = probe.jet(p, BEND_STEP * scale, scratch);
        let a = arm(p);
        let matrix = DMatrix::from_fn(n + 1, n + 1, |i, j| match (i < n, j < n) {
            (true, true) => {
                let (r, c) = (rows[i], rows[j]);
                bend[c][r] - if r == c && search.active[r] { lambda } else { 0.0 }
            }
            (true, false) => -a[rows[i]],
            (false, true) => g[rows[j]],
            (false, false) => 0.0,
        });
        let rhs =
            DVector::from_fn(n + 1, |i, _| if i < n { lambda * a[rows[i]] - g[rows[i]] } else { -value });
        let step = solved(matrix, &rhs)?;
        let mut v = [0.0; 3];
        rows.iter().zip(step.iter()).for_each(|(i, s)| v[*i] = *s);
        let v = capped(Vec3::from(v), 0.5 * scale);
        (p, lambda) = (p + v, lambda + step[n]);
        if !p.is_finite() || search.far(p) > 100.0 {
            return None;
        }
        if v.norm() < CLOSE * scale {
            let near = probe.size_near(p, 0.1 * (search.far(p) + 0.1));
            return (probe.value(p).abs() <= ZERO * near && stands_square(g, a)).then_some(p);
        }
    }
    None
}

/// Sine of the angle by which a turning point's slope may miss the direction to the centre.
const SQUARE: f64 = 1e-4;

/// Whether a slope points to the centre or away from it: a search may also run into the centre itself.
fn stands_square(slope: Vec3, arm: Vec3) -> bool {
    match (slope.unit(), arm.unit()) {
        (Some(n), Some(a)) => n.cross(a).norm() < SQUARE,
        _ => false,
    }
}

/// Part of the field's size near the centre below which what it does is not seen.
const FLAT: f64 = 1e-9;

/// Part of what the slope is a distance scale away below which it vanishes: double points are reached to about
/// the square root of the rounding unit.
const STILL: f64 = 1e-6;

/// Scattered places in a box.
pub(super) fn scatter(region: Box3, count: usize, seed: u64) -> Vec<Vec3> {
    let mut chance = Chance::new(seed);
    (0..count).map(|_| Vec3::from([0, 1, 2].map(|i| chance.between(region.min[i], region.max[i])))).collect()
}
