//! Long sums of terms of one shape, such as two hundred bumps that differ in their numbers only.
//!
//! Written out they are thousands of steps, most of which hardly matter in any one place. Here the shape of a term is kept
//! once and its numbers in a table: a part of the terms is a list of their places in it, so that leaving some out costs
//! next to nothing. Terms that are products of functions of one coordinate each (`exp` of a sum is one) are valued on a
//! lattice as a sum of outer products.

use std::cell::RefCell;
use std::collections::HashMap;
use std::sync::{Arc, PoisonError, RwLock};

use fearless_simd::{Level, dispatch};

use super::expr::Oracle;
use super::lighten::ROUNDING;
use super::tape::{BLOCK, Scratch, Tape, rows};
use crate::base::{Box3, Interval, Vec3};

/// Inputs of a term before its numbers: the coordinates.
pub(super) const COORDINATES: usize = 3;
/// So many lines and sides are kept at most.
const MOST_KNOWN: usize = 4096;
/// Points of a lattice along x that are summed up together.
const LANES: usize = 12;

/// Terms of one shape.
#[derive(Debug)]
struct Terms {
    /// One term; its inputs are x, y, z and its numbers.
    one: Tape,
    /// For each of its numbers what it is in each term.
    numbers: Vec<Vec<f64>>,
    /// What each term is multiplied by.
    times: Vec<f64>,
    /// Functions of the same inputs, but of one coordinate each, of which it is the product, where there are such.
    factors: Option<Factors>,
}

/// Functions of one coordinate each, of which a term is the product. What they are along a line of a lattice or a side of a box
/// is made once, as many lattices and boxes share it.
#[derive(Debug)]
struct Factors {
    by_axis: [Option<Tape>; 3],
    lines: Known<f64>,
    sides: Known<Interval>,
}

/// What is known of all terms, by axis and places along it.
type Known<T> = RwLock<HashMap<(usize, Vec<u64>), Arc<[T]>>>;

/// A sum of some of them and a number.
#[derive(Clone, Debug)]
pub(super) struct Sum {
    terms: Arc<Terms>,
    /// The terms that count, in order.
    some: Vec<u32>,
    constant: f64,
}

thread_local! {
    /// Room for the values of terms, which are asked for while others are made.
    static ROOM: RefCell<Scratch> = RefCell::default();
}

impl Terms {
    /// The inputs of a term for ranges of the coordinates.
    fn inputs(&self, term: u32, sides: [Interval; 3]) -> Vec<Interval> {
        let numbers = self.numbers.iter().map(|all| Interval::point(all[term as usize]));
        sides.into_iter().chain(numbers).collect()
    }

    /// The range of a factor along a side of a box, for each term.
    fn along_side(&self, factors: &Factors, axis: usize, side: Interval) -> Arc<[Interval]> {
        let key = (axis, vec![side.lo.to_bits(), side.hi.to_bits()]);
        known(&factors.sides, key, || {
            let range = |term: u32| match &factors.by_axis[axis] {
                Some(tape) => tape.bounds_many(&self.inputs(term, [side; 3]))[0],
                None => Interval::point(1.0),
            };
            (0..self.times.len() as u32).map(range).collect()
        })
    }

    /// The values of a factor along a line of places, for each term one after another.
    fn along_line(&self, factors: &Factors, axis: usize, line: &[f64]) -> Arc<[f64]> {
        let key = (axis, line.iter().map(|x| x.to_bits()).collect());
        known(&factors.lines, key, || {
            let mut all = vec![1.0; line.len() * self.times.len()];
            if let Some(tape) = &factors.by_axis[axis] {
                let mut from = 0;
                let terms: Vec<u32> = (0..self.times.len() as u32).collect();
                self.pairs(&terms, [line; 3], |inputs, _| {
                    let to = from + inputs[0].len();
                    ROOM.with_borrow_mut(|room| tape.many(inputs, &mut [&mut all[from..to]], room));
                    from = to;
                });
            }
            all.into()
        })
    }

    /// Goes through all pairs of one of some terms and a point, term by term: hands on the inputs of so many pairs at a time, and
    /// how they are made up.
    fn pairs(&self, some: &[u32], at: [&[f64]; 3], mut look: impl FnMut(&[&[f64]], &[Run])) {
        let points = at[0].len();
        let mut inputs = vec![[0.0; BLOCK]; COORDINATES + self.numbers.len()];
        let (mut runs, mut filled) = (Vec::<Run>::new(), 0);
        let mut look = |inputs: &[[f64; BLOCK]], runs: &mut Vec<Run>, filled: &mut usize| {
            let rows: Vec<&[f64]> = inputs.iter().map(|row| &row[..*filled]).collect();
            look(&rows, runs);
            runs.clear();
            *filled = 0;
        };
        for term in some {
            let mut from = 0;
            while from < points {
                let n = (points - from).min(BLOCK - filled);
                for (row, at) in inputs.iter_mut().zip(at) {
                    row[filled..filled + n].copy_from_slice(&at[from..from + n]);
                }
                for (row, numbers) in inputs[COORDINATES..].iter_mut().zip(&self.numbers) {
                    row[filled..filled + n].fill(numbers[*term as usize]);
                }
                runs.push((*term, from, n));
                (from, filled) = (from + n, filled + n);
                if filled == BLOCK {
                    look(&inputs, &mut runs, &mut filled);
                }
            }
        }
        if filled > 0 {
            look(&inputs, &mut runs, &mut filled);
        }
    }
}

/// What is known under a key, or made and kept under it.
fn known<T>(all: &Known<T>, key: (usize, Vec<u64>), make: impl FnOnce() -> Arc<[T]>) -> Arc<[T]> {
    if let Some(found) = all.read().unwrap_or_else(PoisonError::into_inner).get(&key) {
        return found.clone();
    }
    let made = make();
    let mut all = all.write().unwrap_or_else(PoisonError::into_inner);
    if all.len() < MOST_KNOWN {
        all.insert(key, made.clone());
    }
    made
}

/// A run of pairs of a term and a point: the term, the first point, and how many.
type Run = (u32, usize, usize);

impl Sum {
    /// A sum of terms of one shape: one of them, its inputs x, y, z and its numbers; for each of the numbers what it is in each
    /// term; what each is multiplied by; and functions of one coordinate each of which a term is the product.
    pub(super) fn new(
        one: Tape,
        numbers: Vec<Vec<f64>>,
        times: Vec<f64>,
        factors: Option<[Option<Tape>; 3]>,
    ) -> Self {
        let some = (0..times.len() as u32).collect();
        let factors =
            factors.map(|by_axis| Factors { by_axis, lines: Known::default(), sides: Known::default() });
        Self { terms: Arc::new(Terms { one, numbers, times, factors }), some, constant: 0.0 }
    }

    /// A range of each term that counts.
    fn ranges(&self, region: Box3) -> Vec<Interval> {
        let times = |term: u32| self.terms.times[term as usize];
        if let Some(factors) = &self.terms.factors {
            let sides = region.intervals();
            let [x, y, z] = [0, 1, 2].map(|axis| self.terms.along_side(factors, axis, sides[axis]));
            let range = |k: usize| {
                let product = x[k] * y[k] * z[k];
                let error = ROUNDING * product.greatest();
                Interval::new(product.lo - error, product.hi + error)
            };
            return self.some.iter().map(|k| range(*k as usize) * times(*k)).collect();
        }
        let one = |term: u32| self.terms.one.bounds_many(&self.terms.inputs(term, region.intervals()))[0];
        self.some.iter().map(|k| one(*k) * times(*k)).collect()
    }

    /// Values on a lattice, as a sum of outer products.
    fn outer(&self, factors: &Factors, lines: [&[f64]; 3], out: &mut [f64]) {
        let [nx, ny, nz] = lines.map(<[f64]>::len);
        let [all_x, all_y, all_z] = [0, 1, 2].map(|axis| self.terms.along_line(factors, axis, lines[axis]));
        let some = |all: &[f64], n: usize| -> Vec<f64> {
            self.some.iter().flat_map(|k| all[*k as usize * n..][..n].iter().copied()).collect()
        };
        let (x, y, z) = (some(&all_x, nx), some(&all_y, ny), some(&all_z, nz));
        let terms = self.some.len();
        for from in (0..nx).step_by(LANES) {
            let n = LANES.min(nx - from);
            let mut wide = vec![[0.0; LANES]; terms];
            for (k, wide) in wide.iter_mut().enumerate() {
                wide[..n].copy_from_slice(&x[k * nx + from..k * nx + from + n]);
            }
            for layer in 0..nz {
                let steep: Vec<f64> =
                    (0..terms).map(|k| self.terms.times[self.some[k] as usize] * z[k * nz + layer]).collect();
                for row in 0..ny {
                    let mut sum = [self.constant; LANES];
                    add_all(&wide, &steep, (&y[row..], ny), &mut sum);
                    let to = (layer * ny + row) * nx + from;
                    out[to..to + n].copy_from_slice(&sum[..n]);
                }
            }
        }
    }
}

/// Adds rows, each times two numbers, of which the second stand so far apart.
fn add_all(rows: &[[f64; LANES]], first: &[f64], (second, apart): (&[f64], usize), sum: &mut [f64; LANES]) {
    dispatch!(Level::new(), _simd => {
        let mut all = *sum;
        for ((row, first), second) in rows.iter().zip(first).zip(second.iter().step_by(apart)) {
            let by = first * second;
            for (all, x) in all.iter_mut().zip(row) {
                *all += by * x;
            }
        }
        *sum = all;
    });
}

impl Oracle for Sum {
    fn sample(&self, p: Vec3) -> (f64, Vec3) {
        self.samples(&[p])[0]
    }

    fn samples(&self, points: &[Vec3]) -> Vec<(f64, Vec3)> {
        let [x, y, z] = rows(points);
        let mut out = vec![(self.constant, Vec3::ZERO); points.len()];
        let (mut value, mut slope) = ([0.0; BLOCK], [Vec3::ZERO; BLOCK]);
        self.terms.pairs(&self.some, [&x, &y, &z], |inputs, runs| {
            let n = inputs[0].len();
            let (value, slope) = (&mut value[..n], &mut slope[..n]);
            ROOM.with_borrow_mut(|room| self.terms.one.slopes_for(inputs, value, slope, room));
            let mut made = value.iter().zip(slope.iter());
            for (term, from, n) in runs {
                let times = self.terms.times[*term as usize];
                for (out, (value, slope)) in out[*from..from + n].iter_mut().zip(&mut made) {
                    out.0 += times * value;
                    out.1 += *slope * times;
                }
            }
        });
        out
    }

    fn values(&self, at: [&[f64]; 3], out: &mut [f64]) {
        out.fill(self.constant);
        let mut value = [0.0; BLOCK];
        self.terms.pairs(&self.some, at, |inputs, runs| {
            let value = &mut value[..inputs[0].len()];
            ROOM.with_borrow_mut(|room| self.terms.one.many(inputs, &mut [&mut *value], room));
            let mut from = 0;
            for (term, point, n) in runs {
                let times = self.terms.times[*term as usize];
                let made = &value[from..from + n];
                out[*point..point + n].iter_mut().zip(made).for_each(|(out, v)| *out += times * v);
                from += n;
            }
        });
    }

    fn lattice(&self, lines: [&[f64]; 3], out: &mut [f64]) {
        match &self.terms.factors {
            Some(factors) => self.outer(factors, lines, out),
            None => {
                let [xs, ys, zs] = lines;
                let x: Vec<f64> = ys.iter().flat_map(|_| xs.iter().copied()).collect();
                let y: Vec<f64> = ys.iter().flat_map(|y| xs.iter().map(move |_| *y)).collect();
                for (z, layer) in zs.iter().zip(out.chunks_exact_mut(x.len().max(1))) {
                    self.values([&x, &y, &vec![*z; x.len()]], layer);
                }
            }
        }
    }

    fn lattice_error(&self, region: Box3) -> f64 {
        let size =
            || self.ranges(region).iter().fold(self.constant.abs(), |size, range| size + range.greatest());
        if self.terms.factors.is_some() { ROUNDING * size() } else { 0.0 }
    }

    fn bounds(&self, region: Box3) -> Interval {
        self.ranges(region).into_iter().fold(Interval::point(self.constant), |sum, range| sum + range)
    }

    fn steepest(&self) -> f64 {
        f64::INFINITY
    }

    fn slopes_within(&self, region: Box3) -> [Interval; 3] {
        let mut sum = [Interval::point(0.0); 3];
        for term in &self.some {
            let slopes = self.terms.one.slopes_over(&self.terms.inputs(*term, region.intervals()));
            let times = self.terms.times[*term as usize];
            sum.iter_mut().zip(slopes).for_each(|(sum, slope)| *sum = *sum + slope * times);
        }
        sum
    }

    fn is_smooth(&self, _region: Box3) -> bool {
        true
    }

    fn has_kinks(&self) -> bool {
        false
    }

    fn work(&self) -> usize {
        self.some.len() * self.terms.one.len()
    }

    fn lighter(&self, region: Box3, part: f64) -> Option<(Arc<dyn Oracle>, f64)> {
        let ranges = self.ranges(region);
        let spread: f64 = ranges.iter().map(|range| range.width()).sum();
        let size: f64 = ranges.iter().map(|range| range.greatest()).sum();
        let mut order: Vec<usize> = (0..ranges.len()).collect();
        order.sort_by(|a, b| ranges[*a].width().total_cmp(&ranges[*b].width()).then(a.cmp(b)));
        let (mut error, mut constant) = (0.0, self.constant);
        let mut out = vec![false; ranges.len()];
        for k in order {
            let half = 0.5 * ranges[k].width();
            if !(error + half <= part * spread) {
                break;
            }
            error += half;
            constant += 0.5 * (ranges[k].lo + ranges[k].hi);
            out[k] = true;
        }
        let some: Vec<u32> = self.some.iter().zip(&out).filter(|(_, out)| !**out).map(|(k, _)| *k).collect();
        if 2 * some.len() > self.some.len() {
            return None;
        }
        let made = Self { terms: self.terms.clone(), some, constant };
        Some((Arc::new(made), error + ROUNDING * (size + constant.abs())))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::formula::{self, Kind};

    /// Centres strewn over a box of 2, by the fractional parts of multiples.
    fn centres(count: u32) -> Vec<[f64; 3]> {
        let part = |k: u32, by: f64| (f64::from(k) * by).fract() * 2.0 - 1.0;
        (0..count).map(|k| [part(k, 0.618_034), part(k, 0.754_878), part(k, 0.569_840)]).collect()
    }

    fn tape(text: &str) -> Tape {
        let Ok(formula::Reading { kind: Kind::Field { value, .. }, .. }) = formula::read(text) else {
            panic!("a field");
        };
        Tape::new(&value).unwrap()
    }

    fn is_together(tape: &Tape) -> bool {
        tape.steps.iter().any(|step| matches!(step, super::super::compile::Step::Oracle(..)))
    }

    /// What a sum is in plain arithmetic, and its slope along x by a difference.
    fn plain(p: Vec3, centres: &[[f64; 3]], term: fn(f64) -> f64) -> f64 {
        let square = |c: &[f64; 3]| (p.x - c[0]).powi(2) + (p.y - c[1]).powi(2) + (p.z - c[2]).powi(2);
        0.5 - centres.iter().map(|c| term(square(c))).sum::<f64>()
    }

    fn agrees(text: &str, centres: &[[f64; 3]], term: fn(f64) -> f64) {
        let tape = tape(text);
        assert!(is_together(&tape), "terms of one shape are taken together");
        let mut scratch = Scratch::default();
        let lines =
            [0.37, -0.21, 0.55].map(|from| (0..9).map(|k| from + 0.03 * f64::from(k)).collect::<Vec<_>>());
        let mut lattice = vec![0.0; 729];
        tape.values_grid(&lines[0], &lines[1], &lines[2], &mut lattice, &mut scratch);
        let region = Box3::new(Vec3::new(0.37, -0.21, 0.55), Vec3::new(0.61, 0.03, 0.79));
        let (bounds, slopes) = tape.bounds_and_slopes(region);
        for (k, on_lattice) in lattice.iter().enumerate() {
            let p = Vec3::new(lines[0][k % 9], lines[1][k / 9 % 9], lines[2][k / 81]);
            let (value, slope) = tape.slope(p, &mut scratch);
            let truth = plain(p, centres, term);
            assert!((value - truth).abs() < 1e-12 && (on_lattice - truth).abs() < 1e-12, "{p:?}");
            assert!((value - on_lattice).abs() <= tape.lattice_error(region), "{p:?}");
            assert_eq!(value, tape.value(p));
            let h = 1e-5;
            let by = |d: f64| plain(p + Vec3::new(d, 0.0, 0.0), centres, term);
            assert!((slope.x - (by(h) - by(-h)) / (2.0 * h)).abs() < 1e-6 * (1.0 + slope.norm()));
            assert!(bounds.holds(value) && (0..3).all(|a| slopes[a].holds(slope[a])));
        }
        let (light, error) = tape.lighten(region, 1e-2).expect("most terms are far");
        assert!(2 * light.len() <= tape.len());
        let off = |p: Vec3| (light.value(p) - tape.value(p)).abs();
        assert!(region.corners().iter().all(|p| off(*p) <= error), "{error}");
    }

    #[test]
    fn a_sum_of_bumps_is_what_plain_arithmetic_says() {
        let centres = centres(120);
        let bump =
            |c: &[f64; 3]| format!("exp(-((x-({}))^2+(y-({}))^2+(z-({}))^2)/0.0288)", c[0], c[1], c[2]);
        let text = format!("0.5 - ({})", centres.iter().map(bump).collect::<Vec<_>>().join(" + "));
        agrees(&text, &centres, |square| (-square / 0.0288).exp());
        let region = Box3::cube(0.5);
        let error = tape(&text).lattice_error(region);
        assert!(error > 0.0 && error < 1e-10, "{error}");
        assert_eq!(tape(&format!("max({text}, x)")).lattice_error(region), error);
        assert_eq!(tape(&format!("x*({text})")).lattice_error(region), f64::INFINITY);
        assert_eq!(tape("x^2 + y^2 - 1").lattice_error(region), 0.0);
    }

    /// These are no products of functions of one coordinate.
    #[test]
    fn a_sum_of_charges_is_what_plain_arithmetic_says() {
        let centres = centres(120);
        let charge =
            |c: &[f64; 3]| format!("1/(1+2000*((x-({}))^2+(y-({}))^2+(z-({}))^2)^2)", c[0], c[1], c[2]);
        let text = format!("0.5 - ({})", centres.iter().map(charge).collect::<Vec<_>>().join(" + "));
        agrees(&text, &centres, |square| 1.0 / (1.0 + 2000.0 * square * square));
    }

    #[test]
    fn what_may_be_undefined_or_is_short_stays_as_it_is() {
        let centres = centres(40);
        let pole = |c: &[f64; 3]| format!("1/((x-({}))^2+(y-({}))^2+(z-({}))^2)", c[0], c[1], c[2]);
        let text = |n: usize| centres[..n].iter().map(pole).collect::<Vec<_>>().join(" + ") + " - 90";
        assert!(!is_together(&tape(&text(40))));
        assert!(!is_together(&tape("exp(-x^2) + exp(-y^2) + exp(-z^2) - 1")));
    }
}
