//! Tubes whose radius changes along the way: all balls about places of a curve, each as large as the law has it there.
//!
//! Curve and radius are cut into pieces that are cubic together; the least distance to a ball's skin is found on each by
//! Newton's method, and a tree of boxes says which pieces need asking. Where such a tube meets itself it is one with
//! itself, as every union of balls.

use super::fault::{FormFault, unfit};
use super::near::{Piece, cubics, gap};
use super::{Curve, Solid, Strand, xyz};
use crate::base::{Box3, Interval, Vec3};
use crate::formula::{Expr, Oracle, Tape};
use std::sync::Arc;

/// Places of a strand at which the law is looked at.
const LOOKED: usize = 1000;
/// A radius may lie off the law by this part of the largest, before a piece is halved, at most so often.
const OFF: f64 = 1e-6;
const HALVINGS: u32 = 12;
/// A law closes when its ends differ by no more than this part of the largest radius.
const CLOSES: f64 = 1e-6;

/// A radius as a law of the part of the way gone, from 0 to 1 on each strand.
struct Law<'a> {
    tape: &'a Tape,
}

impl Law<'_> {
    fn at(&self, part: f64) -> f64 {
        let mut out = [f64::NAN];
        self.tape.at(&[part], &mut out);
        out[0]
    }

    /// The largest radius, once it is more than 0 everywhere that is looked at, and closes where the curve does.
    fn largest(&self, closed: bool) -> Result<f64, FormFault> {
        let mut largest = 0.0f64;
        for i in 0..=LOOKED {
            let s = i as f64 / LOOKED as f64;
            let r = self.at(s);
            if !(r.is_finite() && r > 0.0) {
                let why = format!("must be more than 0 mm all along, it is {r} at {s} of the way");
                return Err(unfit("radius", why));
            }
            largest = largest.max(r);
        }
        let (a, b) = (self.at(0.0), self.at(1.0));
        if closed && (a - b).abs() > CLOSES * largest {
            let why = format!("must end as it starts on a closed curve, it goes from {a} to {b}");
            return Err(unfit("radius", why));
        }
        Ok(largest)
    }
}

/// Every ball about a place of the curve whose radius is a law in one variable, `part`, which runs along each strand from
/// 0 to 1 by length; and the largest radius, mm.
///
/// # Errors
/// [`FormFault::Unfit`] when the law is not more than 0 everywhere, or does not close; [`FormFault::NotFinite`].
pub fn tapered(curve: &Curve, law: &Expr, part: &str) -> Result<(Solid, f64), FormFault> {
    let tape = Tape::with_inputs(std::slice::from_ref(law), &[part])
        .map_err(|_| unfit("radius", "is no function of one number"))?;
    let law = Law { tape: &tape };
    let mut beads = Vec::new();
    let mut largest = 0.0f64;
    for strand in curve.strands() {
        let most = law.largest(strand.is_closed())?;
        largest = largest.max(most);
        string(strand, &law, most, &mut beads)?;
    }
    let mut nodes = Vec::with_capacity(2 * beads.len());
    grow(&beads, 0..beads.len(), &mut nodes);
    let within = nodes[0].region.grown(nodes[0].widest);
    let value = Expr::oracle(Arc::new(Beads { beads, nodes }), xyz());
    Ok((Solid::Field { value, within }, largest))
}

/// A stretch of the way and the radius along it, both cubic.
#[derive(Clone, Copy, Debug)]
struct Bead {
    way: Piece,
    radius: [f64; 4],
}

/// Adds the beads of a strand.
fn string(strand: &Strand, law: &Law, most: f64, beads: &mut Vec<Bead>) -> Result<(), FormFault> {
    let pieces: Vec<Piece> = cubics(strand)?.into_iter().map(|(p, _)| Piece::new(p)).collect();
    let total: f64 = pieces.iter().map(|p| p.length(1.0)).sum();
    if !(total > 0.0) {
        return Err(FormFault::NotPositive { name: "length", got: total });
    }
    let mut gone = 0.0;
    for way in pieces {
        gone += cut(way, gone / total, (total, most), law, HALVINGS, beads);
    }
    Ok(())
}

/// Adds beads for a piece that starts at a part of the way; gives its length.
fn cut(
    way: Piece,
    from: f64,
    (total, most): (f64, f64),
    law: &Law,
    halvings: u32,
    beads: &mut Vec<Bead>,
) -> f64 {
    let at = |s: f64| law.at((from + way.length(s) / total).min(1.0));
    let [a, b, c, d] = [0.0, 1.0 / 3.0, 2.0 / 3.0, 1.0].map(at);
    // The cubic through four values, by its control numbers.
    let radius = [
        a,
        (-5.0 * a + 18.0 * b - 9.0 * c + 2.0 * d) / 6.0,
        (2.0 * a - 9.0 * b + 18.0 * c - 5.0 * d) / 6.0,
        d,
    ];
    let bead = Bead { way, radius };
    let off = [0.15, 0.5, 0.85].map(|s| (bead.radius(s).0 - at(s)).abs()).into_iter().fold(0.0, f64::max);
    if halvings == 0 || off <= OFF * most {
        beads.push(bead);
        return way.length(1.0);
    }
    let [left, right] = way.halves();
    let first = cut(left, from, (total, most), law, halvings - 1, beads);
    first + cut(right, from + first / total, (total, most), law, halvings - 1, beads)
}

impl Bead {
    /// The radius at a part, and its first and second derivative.
    fn radius(&self, s: f64) -> (f64, f64, f64) {
        let [a, b, c, d] = self.radius;
        let r = 1.0 - s;
        let (u, v, w) = (b - a, c - b, d - c);
        (
            a * r * r * r + 3.0 * b * r * r * s + 3.0 * c * r * s * s + d * s * s * s,
            3.0 * (u * r * r + 2.0 * v * r * s + w * s * s),
            6.0 * ((v - u) * r + (w - v) * s),
        )
    }

    fn widest(&self) -> f64 {
        self.radius.iter().copied().fold(0.0, f64::max)
    }

    /// The distance from the ball at a part, and its first and second derivative by the part.
    fn away(&self, p: Vec3, s: f64) -> (f64, f64, f64) {
        let off = self.way.at(s) - p;
        let (d, dd) = self.way.slopes(s);
        let (r, by, bend) = self.radius(s);
        let far = off.norm();
        if !(far > 0.0) {
            return (-r, -by, 1.0);
        }
        let toward = off.dot(d) / far;
        (far - r, toward - by, (d.dot(d) + off.dot(dd) - toward * toward) / far - bend)
    }

    /// The part whose ball is nearest, and its distance.
    fn nearest(&self, p: Vec3) -> (f64, f64) {
        const STARTS: u32 = 4;
        let mut best = (0.0, f64::INFINITY);
        let mut keep = |s: f64, far: f64| {
            if far < best.1 {
                best = (s, far);
            }
        };
        (0..=STARTS).map(|i| f64::from(i) / f64::from(STARTS)).for_each(|s| keep(s, self.away(p, s).0));
        let (mut s, reach) = (best.0, 1.0 / f64::from(STARTS));
        let (low, high) = ((s - reach).max(0.0), (s + reach).min(1.0));
        for _ in 0..8 {
            let (far, slope, bend) = self.away(p, s);
            if far < best.1 {
                best = (s, far);
            }
            let step = if bend > 0.0 { -slope / bend } else { -0.25 * reach * slope.signum() };
            let next = (s + step).clamp(low, high);
            if (next - s).abs() < 1e-10 {
                break;
            }
            s = next;
        }
        best
    }
}

/// A box about some beads' ways, their largest radius, and what lies in it.
#[derive(Debug)]
struct Node {
    region: Box3,
    widest: f64,
    /// The first bead, and where the second of two nodes stands; the first stands next to this one.
    bead: usize,
    second: Option<usize>,
}

fn grow(beads: &[Bead], range: std::ops::Range<usize>, nodes: &mut Vec<Node>) -> usize {
    let here = nodes.len();
    let some = &beads[range.clone()];
    let region = some.iter().fold(Box3::EMPTY, |b, bead| b.join(bead.way.region()));
    let widest = some.iter().map(Bead::widest).fold(0.0, f64::max);
    nodes.push(Node { region, widest, bead: range.start, second: None });
    if range.len() > 1 {
        let middle = range.start + range.len() / 2;
        grow(beads, range.start..middle, nodes);
        nodes[here].second = Some(grow(beads, middle..range.end, nodes));
    }
    here
}

/// The union of balls.
#[derive(Debug)]
struct Beads {
    beads: Vec<Bead>,
    nodes: Vec<Node>,
}

impl Beads {
    /// The bead and the part of it whose ball is nearest to a point, and its distance.
    fn nearest(&self, p: Vec3) -> (usize, f64, f64) {
        let least = |i: usize| gap(self.nodes[i].region, p) - self.nodes[i].widest;
        let mut best = (0, 0.0, f64::INFINITY);
        let mut stack = vec![0];
        while let Some(i) = stack.pop() {
            if least(i) >= best.2 {
                continue;
            }
            match self.nodes[i].second {
                None => {
                    let k = self.nodes[i].bead;
                    let (s, far) = self.beads[k].nearest(p);
                    if far < best.2 {
                        best = (k, s, far);
                    }
                }
                Some(second) => {
                    let first = i + 1;
                    stack.extend(if least(first) > least(second) {
                        [first, second]
                    } else {
                        [second, first]
                    });
                }
            }
        }
        best
    }
}

impl Oracle for Beads {
    fn sample(&self, p: Vec3) -> (f64, Vec3) {
        let (k, s, far) = self.nearest(p);
        let away = (p - self.beads[k].way.at(s)).unit();
        (far, away.unwrap_or(Vec3::new(0.0, 0.0, 1.0)))
    }

    fn bounds(&self, region: Box3) -> Interval {
        if !region.is_finite() {
            return Interval::new(-self.nodes[0].widest, f64::INFINITY);
        }
        // The least of distances changes no faster than place does.
        let (far, half) = (self.nearest(region.centre()).2, region.size().norm() * 0.5 * (1.0 + 1e-9));
        let slack = 1e-12 * far.abs();
        Interval::new(far - half - slack, far + half + slack)
    }

    fn steepest(&self) -> f64 {
        1.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::form::curve::quadrature;
    use crate::form::polyline;

    fn field(solid: &Solid) -> Tape {
        let Solid::Field { value, .. } = solid else { panic!() };
        Tape::new(value).unwrap()
    }

    /// Balls along a line whose radius grows evenly fill a cone that touches them all: its half angle has the sine of
    /// the rate.
    #[test]
    fn balls_that_grow_evenly_fill_a_cone() {
        let line = polyline(&[Vec3::ZERO, Vec3::new(20.0, 0.0, 0.0)], false).unwrap();
        let (solid, largest) = tapered(&line, &(Expr::var("s") * 6.0 + 1.0), "s").unwrap();
        assert!((largest - 7.0).abs() < 1e-12);
        let tape = field(&solid);
        let (rate, cos) = (6.0 / 20.0, (1.0f64 - 0.09).sqrt());
        for i in 0..200 {
            let k = f64::from(i);
            let (x, r) = (4.0 + 10.0 * (k * 0.7).sin().abs(), 0.5 + 9.0 * (k * 1.3).cos().abs());
            // On the cone's skin r cos = radius at 0 + rate x; its nearest ball must be one of the row.
            let touches = x - r * rate / cos;
            if !(0.0..20.0).contains(&touches) {
                continue;
            }
            let exact = r * cos - 1.0 - rate * x;
            let found = tape.value(Vec3::new(x, r * (k * 2.1).sin(), r * (k * 2.1).cos()));
            assert!((found - exact).abs() < 1e-7, "{i}: {found} {exact}");
        }
    }

    /// The least over 20000 balls, one by one.
    #[test]
    fn a_tube_by_law_is_the_union_of_its_balls() {
        let t = Expr::var("t");
        let sin = |e: Expr| Expr::unary(crate::formula::Unary::Sin, e);
        let curve =
            Curve::new([sin(t.clone()) * 9.0, sin(t.clone() * 2.0) * 6.0, t.clone() * 2.0], "t", (0.0, 5.0));
        let curve = curve.unwrap();
        let law = sin(Expr::var("s") * 9.0) * 1.5 + 2.0;
        let (solid, _) = tapered(&curve, &law, "s").unwrap();
        let tape = field(&solid);
        let strand = curve.single().unwrap();
        let (places, total) = (strand.places(), curve.length());
        let n = 20_000;
        let step = 5.0 / f64::from(n);
        let mut gone = 0.0;
        let mut balls = Vec::new();
        for i in 0..=n {
            let t = f64::from(i) * step;
            let s: f64 = gone / total;
            balls.push((places.at(t), (s * 9.0).sin() * 1.5 + 2.0));
            gone += quadrature(t, t + step, |t| places.velocity(t).norm());
        }
        for i in 0..60 {
            let k = f64::from(i);
            let p = Vec3::new(12.0 * (k * 0.7).sin(), 9.0 * (k * 1.3).cos(), 5.0 + 7.0 * (k * 0.37).sin());
            let exact = balls.iter().map(|(c, r)| (p - *c).norm() - r).fold(f64::INFINITY, f64::min);
            let found = tape.value(p);
            assert!((found - exact).abs() < 1e-5, "{i}: {found} {exact}");
            let half = Vec3::splat(0.4);
            let bounds = tape.bounds(Box3::new(p - half, p + half));
            assert!(bounds.holds(tape.value(p + half * 0.9)) && bounds.holds(tape.value(p - half * 0.7)));
        }
    }

    #[test]
    fn laws_that_make_no_tube_are_refused() {
        let line = polyline(&[Vec3::ZERO, Vec3::new(20.0, 0.0, 0.0)], false).unwrap();
        let says = |law: Expr| tapered(&line, &law, "s").unwrap_err().to_string();
        assert!(says(Expr::var("s") - 0.5).contains("more than 0 mm"));
        assert!(says(Expr::constant(1.0) / (Expr::var("s") - 0.5)).contains("more than 0 mm"));
        let square = [[0.0, 0.0, 0.0], [9.0, 0.0, 0.0], [9.0, 9.0, 0.0]].map(Vec3::from);
        let ring = polyline(&square, true).unwrap();
        assert!(
            tapered(&ring, &(Expr::var("s") + 1.0), "s")
                .unwrap_err()
                .to_string()
                .contains("end as it starts")
        );
    }
}
