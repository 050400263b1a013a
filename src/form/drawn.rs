//! Surfaces that curves draw as they move.

use super::fault::{FormFault, unfit};
use super::{Curve, Strand, Surface, only, sheet};
use crate::formula::{Expr, Unary};

/// The surface that a curve of one strand draws as it turns about the z axis by `degrees`, more than 0 to 360.
///
/// # Errors
/// [`FormFault::Unfit`] for another angle, a curve of several strands, or one that is no path.
pub fn revolve(curve: &Curve, degrees: f64) -> Result<Surface, FormFault> {
    if !(degrees > 0.0 && degrees <= 360.0) {
        return Err(unfit("angle", format!("must be more than 0 and at most 360 degrees, got {degrees}")));
    }
    let strand = only(curve)?;
    strand.sound()?;
    let about = if strand.param() == "v" { "w" } else { "v" };
    let angle = |f| Expr::unary(f, Expr::var(about));
    let (s, c) = (angle(Unary::Sin), angle(Unary::Cos));
    let [x, y, z] = strand.components().clone();
    let components = [x.clone() * c.clone() - y.clone() * s.clone(), x * s + y * c, z];
    let params = [strand.param().to_owned(), about.to_owned()];
    sheet(components, params, [strand.range(), (0.0, degrees * std::f64::consts::PI / 180.0)])
}

/// The surface of straight lines between two curves of one strand, from places at the same part of the parameter.
///
/// # Errors
/// [`FormFault::Unfit`] for a curve of several strands, or one that is no path.
pub fn ruled(a: &Curve, b: &Curve) -> Result<Surface, FormFault> {
    let part = |s: &Strand| {
        let (from, to) = s.range();
        let t = Expr::var("u") * (to - from) + from;
        s.components().each_ref().map(|c| c.with(&[(s.param(), t.clone())]))
    };
    a.sound()?;
    b.sound()?;
    let (a, b) = (part(only(a)?), part(only(b)?));
    let between = |i: usize| a[i].clone() + (b[i].clone() - a[i].clone()) * Expr::var("v");
    let components = [between(0), between(1), between(2)];
    sheet(components, ["u".to_owned(), "v".to_owned()], [(0.0, 1.0), (0.0, 1.0)])
}
