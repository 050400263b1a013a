//! Minimal surfaces by their Weierstrass data: a function and a differential of a complex number, integrated.
//!
//! The integrals are taken once along the edges of a grid of the domain, away from poles; between its points along
//! straight ways. Whether they come home round every pole is checked, not assumed.
//! Source: D. Hoffman, H. Karcher, Encyclopaedia of Mathematical Sciences 90 (1997) 5, section 2.

use std::cell::Cell;
use std::collections::BinaryHeap;
use std::sync::Arc;

use super::complex::{Pair, div, mul, split, sub};
use super::curve::GAUSS;
use super::fault::{FormFault, unfit};
use super::{Surface, sheet};
use crate::base::{Box3, Interval, Vec3};
use crate::formula::{Expr, Oracle, Tape, Unary};

/// How two real parameters give the complex number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Chart {
    /// z = u + i v.
    Plane,
    /// z = u exp(i v), v in radians.
    Polar,
}

/// Weierstrass data: x = Re ∫ (½(1/g - g), i/2 (1/g + g), 1) dh.
#[derive(Clone, Debug)]
pub struct Data {
    /// The Gauss map, a formula of `z`.
    pub g: Expr,
    /// The height differential over dz, a formula of `z`.
    pub dh: Expr,
    /// What the parameters are.
    pub chart: Chart,
    /// Their ranges.
    pub ranges: [(f64, f64); 2],
    /// Bends the surface through its associates: 90 degrees gives the conjugate.
    pub bend: f64,
    /// True when the surface may fail to close.
    pub open: bool,
}

/// Pieces of the grid along each parameter.
const GRID: usize = 64;
/// Where inner lines of the grid stand within their pieces: off every simple fraction, where poles like to be.
const OFF: f64 = 0.381_966;
/// How often a way is halved to integrate along it.
const HALVINGS: u32 = 9;
/// Two quadratures agree to this part of the integral of the length.
const AGREED: f64 = 1e-11;
/// A loop closes when it comes home to this part of its length.
const CLOSES: f64 = 1e-6;
/// Points in which the two ends of a range are compared.
const COMPARED: usize = 17;

/// The surface of Weierstrass data. It starts at the origin where both parameters start.
///
/// # Errors
/// [`FormFault::Unfit`] when the data have no value where they start, or a loop does not close;
/// [`FormFault::EmptyRange`].
pub fn weierstrass(data: &Data) -> Result<Surface, FormFault> {
    for (name, (from, to)) in ["u", "v"].iter().zip(data.ranges) {
        if !(from.is_finite() && to.is_finite() && from < to) {
            return Err(FormFault::EmptyRange { name: (*name).to_owned(), from, to });
        }
    }
    let rates = rates(data)?;
    let tape =
        Tape::with_inputs(&rates, &["u", "v"]).map_err(|_| unfit("g", "and `dh` are too long together"))?;
    let mut sums = Sums { tape, ranges: data.ranges, lines: data.ranges.map(lines), nodes: vec![] };
    let edges = sums.edges();
    sums.fill(&edges)?;
    sums.check_poles(&edges)?;
    if !data.open {
        sums.check_seams()?;
    }
    let sums = Arc::new(sums);
    let at = || [Expr::var("u"), Expr::var("v"), Expr::constant(0.0)];
    let components =
        [0, 1, 2].map(|axis| Expr::oracle(Arc::new(Component { sums: sums.clone(), axis }), at()));
    sheet(components, ["u".to_owned(), "v".to_owned()], data.ranges)
}

/// The derivatives of x, y, z by u, then by v.
fn rates(data: &Data) -> Result<Vec<Expr>, FormFault> {
    let (u, v) = (Expr::var("u"), Expr::var("v"));
    let (s, c) = (Expr::unary(Unary::Sin, v.clone()), Expr::unary(Unary::Cos, v.clone()));
    let (zero, one) = (Expr::constant(0.0), Expr::constant(1.0));
    let (z, by_u, by_v): (Pair, Pair, Pair) = match data.chart {
        Chart::Plane => ([u, v], [one.clone(), zero.clone()], [zero.clone(), one.clone()]),
        Chart::Polar => (
            [u.clone() * c.clone(), u.clone() * s.clone()],
            [c.clone(), s.clone()],
            [-(u.clone() * s), u * c],
        ),
    };
    let (g, dh) = (split(&data.g, "g", &z)?, split(&data.dh, "dh", &z)?);
    let turn = data.bend * std::f64::consts::PI / 180.0;
    let dh = if data.bend == 0.0 {
        dh
    } else {
        mul(&dh, &[Expr::constant(libm::cos(turn)), Expr::constant(libm::sin(turn))])
    };
    // dh/g and g dh.
    let (low, high) = (div(&dh, &g), mul(&dh, &g));
    let half = |[a, b]: Pair| [a * 0.5, b * 0.5];
    let first = half(sub(&low, &high));
    let [a, b] = half([low[0].clone() + high[0].clone(), low[1].clone() + high[1].clone()]);
    let forms = [first, [-b, a], dh];
    Ok([by_u, by_v].iter().flat_map(|way| forms.iter().map(|f| mul(f, way)[0].clone())).collect())
}

fn lines((from, to): (f64, f64)) -> Vec<f64> {
    let inner = (1..GRID).map(|k| (k as f64 - 0.5 + OFF) / GRID as f64);
    let shares = std::iter::once(0.0).chain(inner).chain([1.0]);
    shares.map(|s| from + (to - from) * s).collect()
}

/// The integrals at the points of a grid.
#[derive(Debug)]
struct Sums {
    tape: Tape,
    ranges: [(f64, f64); 2],
    lines: [Vec<f64>; 2],
    /// Row after row; not a number where no way leads.
    nodes: Vec<Vec3>,
}

/// A way still to be gone: its cost, from where, to where.
#[derive(PartialEq)]
struct Way(f64, usize, usize);

impl Eq for Way {}
impl PartialOrd for Way {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}
impl Ord for Way {
    /// The least cost first.
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        other.0.total_cmp(&self.0).then(other.1.cmp(&self.1)).then(other.2.cmp(&self.2))
    }
}

impl Sums {
    /// The derivatives by u and v. A hole that can be filled, such as that of z/z at 0, takes the value beside it.
    fn rates(&self, u: f64, v: f64) -> [Vec3; 2] {
        const BESIDE: f64 = 1e-11;
        let mut out = [f64::NAN; 6];
        self.tape.at(&[u, v], &mut out);
        if out.iter().any(|x| !x.is_finite()) {
            let step = |axis: usize, t: f64| {
                let (from, to) = self.ranges[axis];
                let way = (to - from) * BESIDE;
                if t < 0.5 * (from + to) { t + way } else { t - way }
            };
            self.tape.at(&[step(0, u), step(1, v)], &mut out);
        }
        [Vec3::new(out[0], out[1], out[2]), Vec3::new(out[3], out[4], out[5])]
    }

    /// The integral along a straight way, and its length; `None` where a pole is on the way.
    fn along(&self, a: [f64; 2], b: [f64; 2], halvings: u32) -> Option<(Vec3, f64)> {
        let whole = self.panel(a, b);
        let m = [0.5 * (a[0] + b[0]), 0.5 * (a[1] + b[1])];
        let (left, right) = (self.panel(a, m), self.panel(m, b));
        let (sum, length) = (left.0 + right.0, left.1 + right.1);
        if !sum.is_finite() || !length.is_finite() {
            return None;
        }
        if (sum - whole.0).norm() <= AGREED * length {
            return Some((sum, length));
        }
        let halvings = halvings.checked_sub(1)?;
        let (left, right) = (self.along(a, m, halvings)?, self.along(m, b, halvings)?);
        Some((left.0 + right.0, left.1 + right.1))
    }

    fn panel(&self, a: [f64; 2], b: [f64; 2]) -> (Vec3, f64) {
        let (du, dv) = (0.5 * (b[0] - a[0]), 0.5 * (b[1] - a[1]));
        let (mu, mv) = (0.5 * (b[0] + a[0]), 0.5 * (b[1] + a[1]));
        let mut out = (Vec3::ZERO, 0.0);
        for (x, w) in GAUSS {
            let [by_u, by_v] = self.rates(mu + x * du, mv + x * dv);
            let rate = by_u * du + by_v * dv;
            out.0 += rate * w;
            out.1 += rate.norm() * w;
        }
        out
    }

    fn place(&self, node: usize) -> [f64; 2] {
        [self.lines[0][node % (GRID + 1)], self.lines[1][node / (GRID + 1)]]
    }

    /// Integrals from each point to the next one along u, and along v; `None` where there is none.
    fn edges(&self) -> Edges {
        let one = |k: usize, next: usize, there: bool| {
            if there { self.along(self.place(k), self.place(next), HALVINGS) } else { None }
        };
        let all = 0..(GRID + 1) * (GRID + 1);
        let u = all.clone().map(|k| one(k, k + 1, k % (GRID + 1) < GRID)).collect();
        let v = all.map(|k| one(k, k + GRID + 1, k / (GRID + 1) < GRID)).collect();
        [u, v]
    }

    /// Integrals from the first point to every other, by the shortest ways on the surface: they pass far from poles.
    fn fill(&mut self, edges: &Edges) -> Result<(), FormFault> {
        let count = (GRID + 1) * (GRID + 1);
        self.nodes = vec![Vec3::splat(f64::NAN); count];
        let mut done = vec![false; count];
        let mut heap = BinaryHeap::from([Way(0.0, 0, 0)]);
        let mut reached = 0;
        while let Some(Way(cost, from, to)) = heap.pop() {
            if std::mem::replace(&mut done[to], true) {
                continue;
            }
            self.nodes[to] = match to.cmp(&from) {
                std::cmp::Ordering::Equal => Vec3::ZERO,
                _ => self.nodes[from] + edge(edges, from, to).map_or(Vec3::splat(f64::NAN), |e| e.0),
            };
            reached += 1;
            for next in neighbours(to).filter(|n| !done[*n]) {
                if let Some((_, length)) = edge(edges, to, next) {
                    heap.push(Way(cost + length, to, next));
                }
            }
        }
        if reached < 4 {
            return Err(unfit("g", "and `dh` have no value where u and v start"));
        }
        Ok(())
    }

    /// Round every cell of the grid the integrals must come home; where a pole stands on an edge, round its
    /// surroundings.
    fn check_poles(&self, edges: &Edges) -> Result<(), FormFault> {
        let one = |a: usize, b: usize| edge(edges, a, b);
        for k in (0..GRID * (GRID + 1)).filter(|k| k % (GRID + 1) < GRID) {
            let (i, j) = (k % (GRID + 1), k / (GRID + 1));
            let round = [k, k + 1, k + GRID + 2, k + GRID + 1];
            let sides: Option<Vec<(Vec3, f64)>> = (0..4).map(|n| one(round[n], round[(n + 1) % 4])).collect();
            let loop_round = sides.or_else(|| {
                let step = |axis: usize| 1.3 * (self.ranges[axis].1 - self.ranges[axis].0) / GRID as f64;
                let (u, v) = (self.lines[0][i], self.lines[1][j]);
                let (a, b, c, d) = (
                    u - step(0),
                    self.lines[0][i + 1] + step(0),
                    v - step(1),
                    self.lines[1][j + 1] + step(1),
                );
                let corners = [[a, c], [b, c], [b, d], [a, d]];
                (0..4).map(|n| self.along(corners[n], corners[(n + 1) % 4], HALVINGS)).collect()
            });
            let Some(sides) = loop_round else { continue };
            let total = sides.iter().fold((Vec3::ZERO, 0.0), |t, s| (t.0 + s.0, t.1 + s.1));
            if total.0.norm() > CLOSES * total.1 {
                let [u, v] = self.place(k);
                let why = format!(
                    "leads round a pole near u = {u:.3}, v = {v:.3} and comes home shifted by {}: the surface does not close there",
                    told(total.0)
                );
                return Err(unfit("dh", why));
            }
        }
        Ok(())
    }

    /// Where the surface goes on alike over the ends of a range, it must come home.
    fn check_seams(&self) -> Result<(), FormFault> {
        for axis in 0..2 {
            let (from, to) = self.ranges[axis];
            let (low, high) = self.ranges[1 - axis];
            let at = |t: f64, k: usize| {
                let s = low + (high - low) * (k as f64 + 0.5) / COMPARED as f64;
                if axis == 0 { [t, s] } else { [s, t] }
            };
            let pairs: Vec<[[f64; 2]; 2]> = (0..COMPARED).map(|k| [at(from, k), at(to, k)]).collect();
            let alike = pairs.iter().all(|[a, b]| {
                let (p, q) = (self.rates(a[0], a[1]), self.rates(b[0], b[1]));
                let size = p[0].norm() + p[1].norm();
                (p[0] - q[0]).norm() + (p[1] - q[1]).norm() <= 1e-9 * size
            });
            if !alike {
                continue;
            }
            let [a, b] = pairs[COMPARED / 2];
            let shift = self.value(b[0], b[1]) - self.value(a[0], a[1]);
            let length = self.along(a, b, HALVINGS).map_or(0.0, |l| l.1);
            if shift.is_finite() && shift.norm() > CLOSES * length {
                let why = format!(
                    "goes on alike from the end of `{}` to its start, but the surface comes home shifted by {}; `open: true` lets it",
                    ["u", "v"][axis],
                    told(shift)
                );
                return Err(unfit("dh", why));
            }
        }
        Ok(())
    }

    /// The place at a pair of parameters.
    fn value(&self, u: f64, v: f64) -> Vec3 {
        let slot = |axis: usize, t: f64| {
            let lines = &self.lines[axis];
            let k = lines.partition_point(|l| *l < t).clamp(1, GRID);
            if t - lines[k - 1] < lines[k] - t { k - 1 } else { k }
        };
        let node = slot(1, v) * (GRID + 1) + slot(0, u);
        let from = self.place(node);
        if from == [u, v] {
            return self.nodes[node];
        }
        // Near a pole the surface is far away; what is missed there is a part of that.
        let way = self.along(from, [u, v], 4).map_or_else(|| self.panel(from, [u, v]).0, |w| w.0);
        self.nodes[node] + way
    }
}

/// Integrals and lengths along the edges of the grid, those along u first.
type Edges = [Vec<Option<(Vec3, f64)>>; 2];

/// The integral from a point of the grid to a neighbour, and its length.
fn edge(edges: &Edges, a: usize, b: usize) -> Option<(Vec3, f64)> {
    let found = edges[usize::from(a.abs_diff(b) > 1)][a.min(b)];
    if a < b { found } else { found.map(|(sum, length)| (-sum, length)) }
}

fn neighbours(node: usize) -> impl Iterator<Item = usize> {
    let (i, j) = (node % (GRID + 1), node / (GRID + 1));
    let row = GRID + 1;
    [
        (i > 0).then(|| node - 1),
        (i < GRID).then_some(node + 1),
        (j > 0).then(|| node - row),
        (j < GRID).then_some(node + row),
    ]
    .into_iter()
    .flatten()
}

/// A vector for a message; no minus before a zero.
fn told(v: Vec3) -> String {
    let [x, y, z] = v.array().map(|c| libm::round(c * 1e4) / 1e4 + 0.0);
    format!("[{x:.4}, {y:.4}, {z:.4}]")
}

/// One coordinate.
#[derive(Debug)]
struct Component {
    sums: Arc<Sums>,
    axis: usize,
}

impl Oracle for Component {
    fn sample(&self, p: Vec3) -> (f64, Vec3) {
        thread_local! {
            /// The coordinates are asked for one after another: the last place is remembered.
            static LAST: Cell<(usize, [f64; 2], Vec3)> = const { Cell::new((0, [0.0; 2], Vec3::ZERO)) };
        }
        let me = Arc::as_ptr(&self.sums) as usize;
        let at = [p.x, p.y];
        let value = match LAST.get() {
            (key, last, value) if key == me && last == at => value,
            _ => {
                let value = self.sums.value(p.x, p.y);
                LAST.set((me, at, value));
                value
            }
        };
        let [by_u, by_v] = self.sums.rates(p.x, p.y);
        (value[self.axis], Vec3::new(by_u[self.axis], by_v[self.axis], 0.0))
    }

    fn bounds(&self, region: Box3) -> Interval {
        // From the points of the grid in and next to the region, and the ways between them.
        let slots = |axis: usize, lo: f64, hi: f64| {
            let lines = &self.sums.lines[axis];
            let a = lines.partition_point(|l| *l < lo).saturating_sub(1);
            let b = lines.partition_point(|l| *l <= hi).min(GRID);
            (a, b)
        };
        let ((a, b), (c, d)) = (slots(0, region.min.x, region.max.x), slots(1, region.min.y, region.max.y));
        let (mut lo, mut hi) = (f64::INFINITY, f64::NEG_INFINITY);
        for j in c..=d {
            for i in a..=b {
                let x = self.sums.nodes[j * (GRID + 1) + i][self.axis];
                if !x.is_finite() {
                    return Interval::ALL;
                }
                (lo, hi) = (lo.min(x), hi.max(x));
            }
        }
        // A harmonic coordinate has its extremes on the border of the region: between points of the grid it may pass
        // them by what a piece of the grid spans.
        let slack = 0.5 * (hi - lo) + f64::MIN_POSITIVE;
        Interval::new(lo - slack, hi + slack)
    }

    fn steepest(&self) -> f64 {
        f64::INFINITY
    }
}

#[cfg(test)]
mod tests;
