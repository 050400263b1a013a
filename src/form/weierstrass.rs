//! Minimal surfaces by their Weierstrass data: a function and a differential of a complex number, integrated.
//!
//! The integrals are taken once along the edges of a grid of the domain, away from poles; between its points along
//! straight ways. Whether they come home round every pole is checked, not assumed.
//! Source: D. Hoffman, H. Karcher, Encyclopaedia of Mathematical Sciences 90 (1997) 5, section 2.

use std::cell::RefCell;
use std::collections::BinaryHeap;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

use super::complex::{Pair, div, mul, split, sub};
use super::curve::GAUSS;
use super::fault::{FormFault, unfit};
use super::{Surface, sheet};
use crate::base::{Box3, Interval, Vec3};
use crate::formula::{Expr, Oracle, Scratch, Tape, Unary};

/// How two real parameters give the complex number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Chart {
    /// z = u + i v.
    Plane,
    /// z = u exp(i v), v in radians.
    Polar,
    /// z = tan(u/2) exp(i v): u and v are angles on the sphere of all z, whose far pole u = π is infinity.
    Sphere,
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
/// The first point lies at infinity when it is so many times as far from the middle as most points are.
const INFINITELY: f64 = 1e6;
/// Points in which the two ends of a range are compared.
const COMPARED: usize = 17;

/// Keys of sums; they only tell sums apart, no value depends on them.
static KEYS: AtomicUsize = AtomicUsize::new(1);

/// The surface of Weierstrass data. It starts at the origin where both parameters start, or, where it has no place there,
/// passes through the origin in their middle.
///
/// # Errors
/// [`FormFault::Unfit`] when the data have no value in the middle, or a loop does not close;
/// [`FormFault::EmptyRange`].
pub fn weierstrass(data: &Data) -> Result<Surface, FormFault> {
    for (name, (from, to)) in ["u", "v"].iter().zip(data.ranges) {
        if !(from.is_finite() && to.is_finite() && from < to) {
            return Err(FormFault::EmptyRange { name: (*name).to_owned(), from, to });
        }
    }
    if data.dh.as_const() == Some(0.0) {
        return Err(unfit("dh", "is 0 everywhere: the surface would be a single point"));
    }
    let rates = rates(data)?;
    let tape =
        Tape::with_inputs(&rates, &["u", "v"]).map_err(|_| unfit("g", "and `dh` are too long together"))?;
    let key = KEYS.fetch_add(1, Ordering::Relaxed);
    let mut sums = Sums { tape, ranges: data.ranges, lines: data.ranges.map(lines), nodes: vec![], key };
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
        Chart::Sphere => {
            let r = Expr::unary(Unary::Tan, u * 0.5);
            let rate = (r.clone() * r.clone() + 1.0) * 0.5;
            (
                [r.clone() * c.clone(), r.clone() * s.clone()],
                [rate.clone() * c.clone(), rate * s.clone()],
                [-(r.clone() * s), r * c],
            )
        }
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
    /// Tells these sums from all others.
    key: usize,
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
    /// The derivatives by u and v at places. A hole that can be filled, such as that of z/z at 0, takes the value
    /// beside it.
    fn rates(&self, at: &[[f64; 2]]) -> Vec<[Vec3; 2]> {
        const BESIDE: f64 = 1e-11;
        let [u, v] = [0, 1].map(|axis| at.iter().map(|p| p[axis]).collect::<Vec<_>>());
        let mut rows = [(); 6].map(|()| vec![f64::NAN; at.len()]);
        self.tape.many(&[&u, &v], &mut rows.each_mut().map(|r| &mut r[..]), &mut Scratch::default());
        let read = |k: usize| {
            let mut out = rows.each_ref().map(|r| r[k]);
            if out.iter().any(|x| !x.is_finite()) {
                let step = |axis: usize| {
                    let ((from, to), t) = (self.ranges[axis], at[k][axis]);
                    let way = (to - from) * BESIDE;
                    if t < 0.5 * (from + to) { t + way } else { t - way }
                };
                self.tape.at(&[step(0), step(1)], &mut out);
            }
            [Vec3::new(out[0], out[1], out[2]), Vec3::new(out[3], out[4], out[5])]
        };
        (0..at.len()).map(read).collect()
    }

    /// Integrals along straight ways, and their lengths; `None` where a pole is on the way.
    fn along(&self, ways: &[[[f64; 2]; 2]], halvings: u32) -> Vec<Option<(Vec3, f64)>> {
        let halves = |[a, b]: &[[f64; 2]; 2]| {
            let m = [0.5 * (a[0] + b[0]), 0.5 * (a[1] + b[1])];
            [[*a, m], [m, *b]]
        };
        let (whole, parts) =
            (self.panels(ways), self.panels(&ways.iter().flat_map(halves).collect::<Vec<_>>()));
        let mut open = Vec::new();
        let mut out: Vec<Option<(Vec3, f64)>> = (0..ways.len())
            .map(|k| {
                let (left, right) = (parts[2 * k], parts[2 * k + 1]);
                let (sum, length) = (left.0 + right.0, left.1 + right.1);
                if !sum.is_finite() || !length.is_finite() {
                    return None;
                }
                if (sum - whole[k].0).norm() <= AGREED * length {
                    return Some((sum, length));
                }
                open.push(k);
                None
            })
            .collect();
        if let (Some(halvings), false) = (halvings.checked_sub(1), open.is_empty()) {
            let next: Vec<_> = open.iter().flat_map(|k| halves(&ways[*k])).collect();
            let found = self.along(&next, halvings);
            for (n, k) in open.into_iter().enumerate() {
                out[k] = found[2 * n].zip(found[2 * n + 1]).map(|(l, r)| (l.0 + r.0, l.1 + r.1));
            }
        }
        out
    }

    /// Integrals along straight ways by one quadrature each, and of their lengths.
    fn panels(&self, ways: &[[[f64; 2]; 2]]) -> Vec<(Vec3, f64)> {
        let half = |[a, b]: &[[f64; 2]; 2]| [0, 1].map(|k| 0.5 * (b[k] - a[k]));
        let places = ways.iter().flat_map(|way| {
            let d = half(way);
            GAUSS.map(|(x, _)| [0, 1].map(|k| 0.5 * (way[0][k] + way[1][k]) + x * d[k]))
        });
        let rates = self.rates(&places.collect::<Vec<_>>());
        let sum = |(way, rates): (&[[f64; 2]; 2], &[[Vec3; 2]])| {
            let [du, dv] = half(way);
            rates.iter().zip(GAUSS).fold((Vec3::ZERO, 0.0), |out, ([by_u, by_v], (_, w))| {
                let rate = *by_u * du + *by_v * dv;
                (out.0 + rate * w, out.1 + rate.norm() * w)
            })
        };
        ways.iter().zip(rates.chunks(GAUSS.len())).map(sum).collect()
    }

    fn place(&self, node: usize) -> [f64; 2] {
        [self.lines[0][node % (GRID + 1)], self.lines[1][node / (GRID + 1)]]
    }

    /// Integrals from each point to the next one along u, and along v; `None` where there is none.
    fn edges(&self) -> Edges {
        let all = || 0..(GRID + 1) * (GRID + 1);
        let found = |step: usize, there: &dyn Fn(usize) -> bool| {
            let some: Vec<usize> = all().filter(|k| there(*k)).collect();
            let ways: Vec<_> = some.iter().map(|k| [self.place(*k), self.place(k + step)]).collect();
            let mut out = vec![None; all().len()];
            for (k, way) in some.into_iter().zip(self.along(&ways, HALVINGS)) {
                out[k] = way;
            }
            out
        };
        [found(1, &|k| k % (GRID + 1) < GRID), found(GRID + 1, &|k| k / (GRID + 1) < GRID)]
    }

    /// Integrals from the first point to every other, by the shortest ways on the surface: they pass far from poles. Where the
    /// first point is none, or lies at infinity, those from the middle of the grid.
    fn fill(&mut self, edges: &Edges) -> Result<(), FormFault> {
        let count = (GRID + 1) * (GRID + 1);
        self.nodes = vec![Vec3::splat(f64::NAN); count];
        let mut done = vec![false; count];
        let middle = count / 2;
        let mut heap = BinaryHeap::from([Way(0.0, middle, middle)]);
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
            return Err(unfit("g", "and `dh` have no value in the middle of u and v"));
        }
        let mut far: Vec<f64> = self.nodes.iter().map(|p| p.norm()).filter(|d| d.is_finite()).collect();
        far.sort_unstable_by(f64::total_cmp);
        let first = self.nodes[0];
        if first.norm() <= INFINITELY * far[far.len() / 2] {
            self.nodes.iter_mut().for_each(|p| *p -= first);
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
                self.along(&[0, 1, 2, 3].map(|n| [corners[n], corners[(n + 1) % 4]]), HALVINGS)
                    .into_iter()
                    .collect()
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
                let [p, q] = [*a, *b].map(|at| self.rates(&[at])[0]);
                let size = p[0].norm() + p[1].norm();
                (p[0] - q[0]).norm() + (p[1] - q[1]).norm() <= 1e-9 * size
            });
            if !alike {
                continue;
            }
            // Home along a way without a pole, the middle one if it has none; all such ways come home alike, since round
            // poles they do. Near an end of the other range the surface may hardly move, and rounding counts.
            let ways = self.along(&pairs, HALVINGS);
            let mut order: Vec<usize> = (0..COMPARED).collect();
            order.sort_by_key(|k| k.abs_diff(COMPARED / 2));
            let gone = order.into_iter().find_map(|k| Some((&pairs[k], ways[k]?.1)));
            let Some((way, length)) = gone else { continue };
            let places = self.values(way);
            let shift = places[1] - places[0];
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

    /// The places at pairs of parameters: from the nearest point of the grid straight on.
    fn values(&self, at: &[[f64; 2]]) -> Vec<Vec3> {
        let slot = |axis: usize, t: f64| {
            let lines = &self.lines[axis];
            let k = lines.partition_point(|l| *l < t).clamp(1, GRID);
            if t - lines[k - 1] < lines[k] - t { k - 1 } else { k }
        };
        let nodes: Vec<usize> = at.iter().map(|[u, v]| slot(1, *v) * (GRID + 1) + slot(0, *u)).collect();
        let ways: Vec<_> = nodes.iter().zip(at).map(|(node, at)| [self.place(*node), *at]).collect();
        let sums = self.along(&ways, 4);
        (0..at.len())
            .map(|k| {
                if ways[k][0] == ways[k][1] {
                    return self.nodes[nodes[k]];
                }
                // Near a pole the surface is far away; what is missed there is a part of that.
                let sum = sums[k].map_or_else(|| self.panels(&ways[k..=k])[0].0, |w| w.0);
                self.nodes[nodes[k]] + sum
            })
            .collect()
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

/// What was asked last on this thread: of which sums, where, and what was found there.
type Last = (usize, Vec<[f64; 2]>, Vec<(Vec3, [Vec3; 2])>);

impl Component {
    /// The coordinate and its slopes at places.
    fn read(&self, at: Vec<[f64; 2]>) -> Vec<(f64, Vec3)> {
        thread_local! {
            /// The coordinates are asked for one after another: the last places are remembered.
            static LAST: RefCell<Last> = const { RefCell::new((0, vec![], vec![])) };
        }
        let me = self.sums.key;
        LAST.with_borrow_mut(|last| {
            if last.0 != me || last.1 != at {
                let found = self.sums.values(&at).into_iter().zip(self.sums.rates(&at)).collect();
                *last = (me, at, found);
            }
            let part = |(value, [by_u, by_v]): &(Vec3, [Vec3; 2])| {
                (value[self.axis], Vec3::new(by_u[self.axis], by_v[self.axis], 0.0))
            };
            last.2.iter().map(part).collect()
        })
    }
}

impl Oracle for Component {
    fn sample(&self, p: Vec3) -> (f64, Vec3) {
        self.read(vec![[p.x, p.y]])[0]
    }

    fn samples(&self, points: &[Vec3]) -> Vec<(f64, Vec3)> {
        self.read(points.iter().map(|p| [p.x, p.y]).collect())
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
