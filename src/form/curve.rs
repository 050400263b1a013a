//! A path in space: three components in one parameter.

use super::fault::FormFault;
use super::rewrite;
use crate::base::Vec3;
use crate::formula::{Expr, Tape};

/// A path in space, open or closed; cloning is cheap. Lengths are mm.
#[derive(Clone, Debug)]
pub struct Curve {
    components: [Expr; 3],
    param: String,
    range: (f64, f64),
}

/// Ends nearer than this part of the curve's extent count as one point: the curve is closed.
/// Far above the rounding of elementary functions at parameters of some thousands, far below what is seen.
const CLOSED: f64 = 1e-9;

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
        Ok(Self { components, param: param.to_owned(), range })
    }

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

    /// The same path over another range.
    ///
    /// # Errors
    /// [`FormFault::EmptyRange`].
    pub fn over(&self, range: (f64, f64)) -> Result<Self, FormFault> {
        Self::new(self.components.clone(), &self.param, range)
    }

    /// The curve with its components replaced by functions of them.
    pub(crate) fn mapped(&self, map: impl FnOnce([Expr; 3]) -> [Expr; 3]) -> Self {
        Self { components: map(self.components.clone()), param: self.param.clone(), range: self.range }
    }

    /// A reader of places along the curve.
    pub fn places(&self) -> Places {
        let [x, y, z] = self.components.clone();
        let [u, v, w] = self.components.each_ref().map(|e| e.derivative(&self.param));
        Places(Tape::with_inputs(&[x, y, z, u, v, w], &[&self.param]).ok())
    }

    /// True when the curve ends where it starts.
    pub fn is_closed(&self) -> bool {
        let places = self.places();
        let (a, b) = (places.at(self.range.0), places.at(self.range.1));
        let middle = places.at(self.range.0 + (self.range.1 - self.range.0) * 0.37);
        let extent = (middle - a).norm().max(a.norm());
        (b - a).norm() <= CLOSED * extent
    }

    /// Length in mm, by Gauss-Legendre quadrature of the speed on equal pieces, halved until two results agree
    /// to ten digits.
    pub fn length(&self) -> f64 {
        let places = self.places();
        let span = self.range.1 - self.range.0;
        let mut before = f64::NAN;
        for k in 4..=14 {
            let total = quadrature(self.range.0, span, 1 << k, |t| places.velocity(t).norm());
            if (total - before).abs() <= 1e-10 * total.abs() {
                return total;
            }
            before = total;
        }
        before
    }
}

/// Nodes and weights of the five-point Gauss-Legendre rule on (-1, 1).
/// Source: M. Abramowitz, I. Stegun, Handbook of Mathematical Functions (1964), table 25.4.
const GAUSS: [(f64, f64); 5] = [
    (-0.906_179_845_938_664, 0.236_926_885_056_189),
    (-0.538_469_310_105_683, 0.478_628_670_499_366),
    (0.0, 0.568_888_888_888_889),
    (0.538_469_310_105_683, 0.478_628_670_499_366),
    (0.906_179_845_938_664, 0.236_926_885_056_189),
];

fn quadrature(from: f64, span: f64, pieces: u32, f: impl Fn(f64) -> f64) -> f64 {
    let h = span / f64::from(pieces);
    let mut total = 0.0;
    for i in 0..pieces {
        let middle = from + (f64::from(i) + 0.5) * h;
        total += GAUSS.iter().map(|(x, w)| w * f(middle + 0.5 * h * x)).sum::<f64>();
    }
    total * 0.5 * h
}

/// Reads places along a curve; see [`Curve::places`].
#[derive(Clone, Debug)]
pub struct Places(Option<Tape>);

impl Places {
    /// The place at a value of the parameter, mm.
    pub fn at(&self, t: f64) -> Vec3 {
        let [x, y, z, ..] = self.all(t);
        Vec3::new(x, y, z)
    }

    /// The derivative of the place with respect to the parameter, mm.
    pub fn velocity(&self, t: f64) -> Vec3 {
        let [.., u, v, w] = self.all(t);
        Vec3::new(u, v, w)
    }

    fn all(&self, t: f64) -> [f64; 6] {
        let mut out = [f64::NAN; 6];
        if let Some(tape) = &self.0 {
            tape.at(&[t], &mut out);
        }
        out
    }
}

#[cfg(test)]
mod tests {
    use std::f64::consts::{PI, TAU};

    use super::*;
    use crate::formula::Unary;

    /// Lengths of torus knots. Source: check by the trapezoid rule on the period, which converges faster than any
    /// power; Viviani's curve 8√2·E(½).
    #[test]
    fn lengths_of_known_curves() {
        let t = || Expr::var("t");
        let sin = |k: f64| Expr::unary(Unary::Sin, t() * k);
        let cos = |k: f64| Expr::unary(Unary::Cos, t() * k);
        let knot = |p: f64, q: f64, ring: f64| [(cos(q) + ring) * cos(p), (cos(q) + ring) * sin(p), sin(q)];
        let zero = Expr::constant(0.0);
        for (components, to, length) in [
            (knot(2.0, 3.0, 2.0), TAU, 31.898_600_666),
            (knot(3.0, 4.0, 2.0), TAU, 45.961_832_523),
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
    fn bad_ranges_and_names_are_refused() {
        let t = [Expr::var("t"), Expr::var("t"), Expr::var("a")];
        assert_eq!(Curve::new(t.clone(), "t", (0.0, 1.0)).unwrap_err(), FormFault::FreeName("a".into()));
        assert!(Curve::new([t[0].clone(), t[0].clone(), t[0].clone()], "t", (1.0, 1.0)).is_err());
    }
}
