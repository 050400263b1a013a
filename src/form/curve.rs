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
        Places(self.components.each_ref().map(|e| {
            let in_x = rewrite::substitute(e, &[(self.param.as_str(), Expr::var("x"))]);
            Tape::new(&in_x).ok()
        }))
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
    /// to nine digits. The speed is taken from a central difference that is exact to fourth order.
    pub fn length(&self) -> f64 {
        let places = self.places();
        let span = self.range.1 - self.range.0;
        let mut before = f64::NAN;
        for k in 4..=14 {
            let pieces = 1_u32 << k;
            let total = quadrature(self.range.0, span, pieces, |t| {
                places.velocity(t, span / f64::from(pieces)).norm()
            });
            if (total - before).abs() <= 1e-9 * total.abs() {
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
pub struct Places([Option<Tape>; 3]);

impl Places {
    /// The place at a value of the parameter, mm.
    pub fn at(&self, t: f64) -> Vec3 {
        let one = |i: usize| self.0[i].as_ref().map_or(f64::NAN, |tape| tape.value(Vec3::new(t, 0.0, 0.0)));
        Vec3::new(one(0), one(1), one(2))
    }

    /// Velocity at a value of the parameter; `scale` is a length of parameter over which the curve changes little.
    pub(crate) fn velocity(&self, t: f64, scale: f64) -> Vec3 {
        // Fourth-order difference: error h⁴/30 times the fifth derivative, rounding about 1e-16/h.
        let h = 1e-3 * scale;
        let d = (self.at(t + h) - self.at(t - h)) * 8.0 - (self.at(t + 2.0 * h) - self.at(t - 2.0 * h));
        d / (12.0 * h)
    }
}
