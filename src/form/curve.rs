//! A path in space: three components in one parameter, in one strand or several.
//!
//! A knot is a curve of one strand, a link one of several. Each strand is open or closed by itself.

use std::sync::Arc;

use super::fault::{FormFault, unfit};
use super::kinked::kinks;
use super::rewrite;
use super::spline::Spline;
use crate::base::Vec3;
use crate::formula::{Expr, Tape};

/// A path in space, in one strand or several, each open or closed; cloning is cheap. Lengths are mm.
#[derive(Clone, Debug)]
pub struct Curve(Arc<[Strand]>);

/// One connected path.
#[derive(Clone, Debug)]
pub struct Strand {
    components: [Expr; 3],
    param: String,
    range: (f64, f64),
    /// Where the path may bend or turn suddenly: ends of the pieces of a spline, or of a formula with kinks, first and last
    /// included; empty for a formula without.
    breaks: Arc<[f64]>,
    /// Its pieces are those of a spline.
    is_spline: bool,
}

/// Ends nearer than this part of the curve's extent count as one point: the curve is closed.
/// Far above the rounding of elementary functions at parameters of some thousands, far below what is seen.
const CLOSED: f64 = 1e-9;
/// Pieces in which a path is looked at for places that it has not; and how far it may go in one, as a part of its size.
const LOOKED: usize = 1024;
const LEAP: f64 = 0.3;
/// Between neighbouring numbers a curve goes less than this part of its size, unless it leaps.
const LEAST_LEAP: f64 = 1e-4;
/// Most strands of a curve.
const MOST_STRANDS: usize = 10_000;

impl Curve {
    /// The curve of three expressions in `param`, which runs over `range`.
    ///
    /// # Errors
    /// [`FormFault::EmptyRange`], [`FormFault::FreeName`].
    pub fn new(components: [Expr; 3], param: &str, range: (f64, f64)) -> Result<Self, FormFault> {
        let (from, to) = range;
        if !(from.is_finite() && to.is_finite() && from < to) {
            return Err(FormFault::EmptyRange { name: param.to_owned(), from, to });
        }
        for c in &components {
            rewrite::only_names(c, &[param])?;
        }
        let kinks = kinks(&components, param, range);
        let ends = |inner: Vec<f64>| [vec![from], inner, vec![to]].concat();
        let breaks = if kinks.is_empty() { vec![] } else { ends(kinks) };
        let param = param.to_owned();
        Ok(Self(Arc::new([Strand { components, param, range, breaks: breaks.into(), is_spline: false }])))
    }

    /// The curve of several strands, in order.
    ///
    /// # Errors
    /// [`FormFault::Unfit`] for no strand, or more than ten thousand.
    pub fn of(strands: impl IntoIterator<Item = Strand>) -> Result<Self, FormFault> {
        let strands: Arc<[Strand]> = strands.into_iter().collect();
        match strands.len() {
            0 => Err(unfit("curves", "holds no curve")),
            n if n > MOST_STRANDS => Err(unfit("curves", format!("has more than {MOST_STRANDS} strands"))),
            _ => Ok(Self(strands)),
        }
    }

    /// The strands, at least one.
    pub fn strands(&self) -> &[Strand] {
        &self.0
    }

    /// Each strand as a curve.
    pub fn singles(&self) -> impl Iterator<Item = Self> {
        self.0.iter().map(|s| Self(Arc::new([s.clone()])))
    }

    /// The only strand; `None` for a curve of several.
    pub fn single(&self) -> Option<&Strand> {
        (self.0.len() == 1).then(|| &self.0[0])
    }

    /// The curve with its components replaced by functions of them.
    pub(crate) fn mapped(&self, map: impl Fn([Expr; 3]) -> [Expr; 3]) -> Self {
        Self(self.0.iter().map(|s| Strand { components: map(s.components.clone()), ..s.clone() }).collect())
    }

    /// True when every strand ends where it starts.
    pub fn is_closed(&self) -> bool {
        self.0.iter().all(Strand::is_closed)
    }

    /// Looks whether every strand is a path; see [`Strand::sound`].
    ///
    /// # Errors
    /// As there.
    pub fn sound(&self) -> Result<(), FormFault> {
        self.0.iter().try_for_each(Strand::sound)
    }

    /// Length of all strands in mm, by Gauss-Legendre quadrature of the speed on equal pieces, halved until two
    /// results agree to ten digits.
    pub fn length(&self) -> f64 {
        self.0.iter().map(Strand::length).sum()
    }
}

impl From<Spline> for Strand {
    /// The spline's path; its breaks are kept, so that it is read piece by piece.
    fn from(spline: Spline) -> Self {
        let breaks: Arc<[f64]> = spline.breaks().into();
        let range = (breaks[0], breaks[breaks.len() - 1]);
        let components = spline.components(&Expr::var("t"));
        Self { components, param: "t".to_owned(), range, breaks, is_spline: true }
    }
}

impl Strand {
    /// The components, x, y, z, in the parameter.
    pub fn components(&self) -> &[Expr; 3] {
        &self.components
    }

    /// The parameter's name.
    pub fn param(&self) -> &str {
        &self.param
    }

    /// Where the parameter starts and ends.
    pub fn range(&self) -> (f64, f64) {
        self.range
    }

    /// The ends of the pieces that the range is cut into before it is looked at, so that neither a loop nor a
    /// corner is missed: at least `least` pieces of formulas, one or more of each piece between breaks.
    pub(crate) fn cuts(&self, least: usize) -> Vec<f64> {
        let even = |(from, to): (f64, f64), n: usize| {
            (0..n).map(move |i| from + (to - from) * (i as f64 / n as f64))
        };
        let mut cuts: Vec<f64> = if self.breaks.len() < 2 {
            even(self.range, least).collect()
        } else {
            let each = least.div_ceil(self.breaks.len() - 1);
            self.breaks.windows(2).flat_map(|w| even((w[0], w[1]), each)).collect()
        };
        cuts.push(self.range.1);
        cuts
    }

    /// The ends of the pieces of a spline or of a formula with kinks; empty for a formula without.
    pub(crate) fn breaks(&self) -> &[f64] {
        &self.breaks
    }

    /// Where the path turns suddenly between two pieces, as parameters: by more than about a degree. The
    /// start of a closed path counts among them.
    pub(crate) fn corners(&self) -> Vec<f64> {
        const TURN: f64 = 0.02;
        let places = self.places();
        let (from, to) = self.range;
        let inside = (to - from) * 1e-9;
        let turns = |before: f64, after: f64| {
            let (a, b) = (places.velocity(before - inside).unit(), places.velocity(after + inside).unit());
            a.zip(b).is_some_and(|(a, b)| (a - b).norm() > TURN)
        };
        let inner = self.breaks.iter().copied().filter(|t| *t > from && *t < to && turns(*t, *t));
        let start = (self.breaks.len() > 1 && self.is_closed() && turns(to, from)).then_some(from);
        start.into_iter().chain(inner).collect()
    }

    /// The same path, walked the other way.
    pub fn backward(&self) -> Self {
        let (from, to) = self.range;
        let back = Expr::constant(from + to) - Expr::var(&self.param);
        let components = self.components.each_ref().map(|c| c.with(&[(&self.param, back.clone())]));
        let breaks = self.breaks.iter().rev().map(|t| from + to - t).collect();
        Self { components, breaks, ..self.clone() }
    }

    /// Looks whether it is a path: everywhere finite, with a length, nowhere leaping.
    ///
    /// # Errors
    /// [`FormFault::Unfit`] with the value of the parameter where it is none.
    pub fn sound(&self) -> Result<(), FormFault> {
        let places = self.places();
        let cuts = self.cuts(LOOKED);
        let all: Vec<Vec3> = cuts.iter().map(|t| places.at(*t)).collect();
        let told = |what: &str, t: f64| Err(unfit("path", format!("{what} {} = {t:.4}", self.param)));
        if let Some(k) = all.iter().position(|p| !p.is_finite()) {
            return told("has no place at", cuts[k]);
        }
        let size = crate::base::Box3::around(all.iter().copied()).size().norm();
        if !(size > 0.0) {
            return Err(unfit("path", "has no length: it stays at one place"));
        }
        // A straight line of a spline may be one piece, cut or not.
        if self.is_spline {
            return Ok(());
        }
        let long = |w: &[Vec3]| !((w[1] - w[0]).norm() <= LEAP * size);
        if let Some(k) = all.windows(2).position(long) {
            return told("leaps near", 0.5 * (cuts[k] + cuts[k + 1]));
        }
        if places.has_kinks() {
            let leap = |w: &[f64]| places.leap([w[0], w[1]], LEAST_LEAP * size);
            if let Some(t) = cuts.windows(2).find_map(leap) {
                return told("leaps at", t);
            }
        }
        Ok(())
    }

    /// A reader of places along the curve.
    pub fn places(&self) -> Places {
        let [x, y, z] = self.components.clone();
        let [u, v, w] = self.components.each_ref().map(|e| e.derivative(&self.param));
        Places(Tape::with_inputs(&[x, y, z, u, v, w], &[&self.param]).ok())
    }

    /// A reader of second and third derivatives along the curve.
    pub fn bends(&self) -> Places {
        let second = self.components.each_ref().map(|e| e.derivative(&self.param).derivative(&self.param));
        let third = second.each_ref().map(|e| e.derivative(&self.param));
        let all: Vec<Expr> = second.into_iter().chain(third).collect();
        Places(Tape::with_inputs(&all, &[&self.param]).ok())
    }

    /// True when the curve ends where it starts.
    pub fn is_closed(&self) -> bool {
        let places = self.places();
        let (a, b) = (places.at(self.range.0), places.at(self.range.1));
        let middle = places.at(self.range.0 + (self.range.1 - self.range.0) * 0.37);
        let extent = (middle - a).norm().max(a.norm());
        (b - a).norm() <= CLOSED * extent
    }

    /// Length in mm; see [`Curve::length`].
    pub fn length(&self) -> f64 {
        let places = self.places();
        let mut before = f64::NAN;
        for k in 4..=14 {
            let cuts = self.cuts(1 << k);
            let total: f64 =
                cuts.windows(2).map(|w| quadrature(w[0], w[1], |t| places.velocity(t).norm())).sum();
            if (total - before).abs() <= 1e-10 * total.abs() || !total.is_finite() {
                return total;
            }
            before = total;
        }
        before
    }
}

/// Nodes and weights of the five-point Gauss-Legendre rule on (-1, 1).
/// Source: M. Abramowitz, I. Stegun, Handbook of Mathematical Functions (1964), table 25.4.
pub(super) const GAUSS: [(f64, f64); 5] = [
    (-0.906_179_845_938_664, 0.236_926_885_056_189),
    (-0.538_469_310_105_683, 0.478_628_670_499_366),
    (0.0, 0.568_888_888_888_889),
    (0.538_469_310_105_683, 0.478_628_670_499_366),
    (0.906_179_845_938_664, 0.236_926_885_056_189),
];

/// The integral over one piece.
pub(super) fn quadrature(from: f64, to: f64, f: impl Fn(f64) -> f64) -> f64 {
    let (middle, half) = (0.5 * (from + to), 0.5 * (to - from));
    GAUSS.iter().map(|(x, w)| w * f(middle + half * x)).sum::<f64>() * half
}

/// Reads places along a curve; see [`Strand::places`].
#[derive(Clone, Debug)]
pub struct Places(Option<Tape>);

impl Places {
    /// The place at a value of the parameter, mm.
    pub fn at(&self, t: f64) -> Vec3 {
        self.both(t).0
    }

    /// The derivative of the place with respect to the parameter, mm.
    pub fn velocity(&self, t: f64) -> Vec3 {
        self.both(t).1
    }

    /// True when a formula with corners or steps tells the places.
    fn has_kinks(&self) -> bool {
        self.0.as_ref().is_some_and(Tape::has_kinks)
    }

    /// Where the places leap by more than `least` mm between two values of the parameter: the half that goes further is
    /// halved until no number lies between.
    fn leap(&self, [mut from, mut to]: [f64; 2], least: f64) -> Option<f64> {
        let (mut start, mut end) = (self.at(from), self.at(to));
        loop {
            if !((end - start).norm() > least) {
                return None;
            }
            let middle = f64::midpoint(from, to);
            if middle <= from || middle >= to {
                return Some(to);
            }
            let p = self.at(middle);
            if (p - start).norm() >= (end - p).norm() {
                (to, end) = (middle, p);
            } else {
                (from, start) = (middle, p);
            }
        }
    }

    /// Place and derivative.
    pub fn both(&self, t: f64) -> (Vec3, Vec3) {
        let mut out = [f64::NAN; 6];
        if let Some(tape) = &self.0 {
            tape.at(&[t], &mut out);
        }
        let [x, y, z, u, v, w] = out;
        (Vec3::new(x, y, z), Vec3::new(u, v, w))
    }
}

#[cfg(test)]
mod tests {
    use std::f64::consts::{PI, TAU};

    use super::*;
    use crate::formula::Unary;

    /// Lengths of knots. Source: the trapezoid rule on the period, which converges faster than any power; Viviani's curve
    /// 8√2·E(½).
    #[test]
    fn lengths_of_known_curves() {
        let t = || Expr::var("t");
        let sin = |k: f64| Expr::unary(Unary::Sin, t() * k);
        let cos = |k: f64| Expr::unary(Unary::Cos, t() * k);
        let knot = |p: f64, q: f64, ring: f64| [(cos(q) + ring) * cos(p), (cos(q) + ring) * sin(p), sin(q)];
        let zero = Expr::constant(0.0);
        for (components, to, length) in [
            (knot(2.0, 3.0, 2.0), TAU, 31.898_600_666),
            (knot(3.0, 2.0, 2.0), TAU, 40.000_345_825),
            (knot(2.0, 5.0, 2.0), TAU, 40.840_190_569),
            (knot(3.0, 4.0, 2.0), TAU, 45.961_832_523),
            (knot(2.0, 3.0, 3.0), TAU, 42.345_963_804),
            ([sin(1.0) + sin(2.0) * 2.0, cos(1.0) - cos(2.0) * 2.0, -sin(3.0)], TAU, 28.826_290_199),
            ([(cos(2.0) + 2.0) * cos(3.0), (cos(2.0) + 2.0) * sin(3.0), sin(4.0)], TAU, 42.966_418_056),
            ([cos(1.0) + 1.0, sin(1.0), sin(0.5) * 2.0], 4.0 * PI, 15.280_791_156),
            ([cos(1.0) * 3.0, sin(1.0) * 3.0, zero], TAU, 6.0 * PI),
            ([t(), t() * t(), t() * t() * t()], 1.0, 1.863_022_983),
        ] {
            let curve = Curve::new(components, "t", (0.0, to)).unwrap();
            assert!((curve.length() - length).abs() < 1e-8, "{} {length}", curve.length());
            assert_eq!(curve.is_closed(), to > 1.0);
        }
    }

    #[test]
    fn what_is_no_path_is_told_with_its_place() {
        let t = || Expr::var("t");
        let says = |x: Expr, y: Expr| {
            Curve::new([x, y, Expr::constant(0.0)], "t", (-1.0, 1.0))
                .unwrap()
                .sound()
                .map_err(|f| f.to_string())
        };
        let one = || Expr::constant(1.0);
        assert_eq!(says(t(), t() * t()), Ok(()));
        assert!(says(one() / t(), t()).unwrap_err().contains("has no place at t = 0.0000"));
        assert!(says(one() / (t() - 0.1234), t()).unwrap_err().contains("leaps near t = 0.12"));
        // What leaps a little, and what a step leaves whole.
        let stair = Expr::unary(Unary::Floor, t() * 3.0 + 0.3) * 0.1;
        assert!(says(t(), stair.clone()).unwrap_err().contains("leaps at t = -0.7667"));
        let corner = Expr::unary(Unary::Abs, t() - 0.2).sqrt();
        assert_eq!(says(t(), corner), Ok(()));
        assert_eq!(
            says(t(), Expr::unary(Unary::Cos, (t() * 3.0 - stair * 10.0) * std::f64::consts::TAU)),
            Ok(())
        );
        assert!(says(one(), one()).unwrap_err().contains("has no length"));
        assert!(says(Expr::unary(Unary::Ln, t()), t()).unwrap_err().contains("no place at t = -1"));
    }

    #[test]
    fn bad_ranges_and_names_are_refused() {
        let t = [Expr::var("t"), Expr::var("t"), Expr::var("a")];
        assert_eq!(Curve::new(t.clone(), "t", (0.0, 1.0)).unwrap_err(), FormFault::FreeName("a".into()));
        assert!(Curve::new([t[0].clone(), t[0].clone(), t[0].clone()], "t", (1.0, 1.0)).is_err());
    }
}
