//! Numbers about curves: length, bend, twist, how they wind round one another, how thick a tube they carry.

use crate::form::{self, Curve, FormFault};
use crate::value::{Lengthy, Long, Maybe, Number, Path};

words! { "measures of curves":
    /// The length of a curve, mm, of all its strands; of a flat, that of all its lines and outlines; of a net, that of all
    /// its edges.
    length(
        /// The curve, flat or net.
        path: Long,
    ) -> Number { long(&path) }
    example { "length(curve(|t| [20*cos(t), 20*sin(t), 0], 0, 2*PI))" }
    fails { "length(ball(1))" => "`path`" }
    fails { "length(curve(|t| [1/t, t, 0], -1, 1))" => "has no place at t = 0" }

    /// How sharply a curve bends, 1/mm: one over the radius of the circle that fits best.
    ///
    /// Without a place, the sharpest bend of all.
    curvature(
        /// The curve.
        path: Path,
        /// Where: a value of the curve's parameter.
        at: Maybe<Number> = (),
    ) -> Number { curvature(&path, at) }
    example { "curvature(curve(|t| [20*cos(t), 20*sin(t), 0], 0, 2*PI), 1)" }
    example { "curvature(curve(|t| [6*cos(t), 2*sin(t), 0], 0, 2*PI))" }
    fails { "curvature(curve(|t| [t, 0, 0], 0, 1), 2)" => "from 0 to 1" }

    /// The angle that a curve turns through in all, radians; corners count with theirs.
    ///
    /// 2π for a flat oval; more than 4π when it is knotted (Fáry, Milnor).
    ///
    /// Source: J. W. Milnor, Annals of Mathematics 52 (1950) 248.
    total_curvature(
        /// The curve.
        path: Path,
    ) -> Number { form::total_curvature(&path) }
    example { "total_curvature(curve(|t| [6*cos(t), 2*sin(t), 0], 0, 2*PI))" }
    fails { "total_curvature(1)" => "`path`" }

    /// How fast a curve leaves its plane, 1/mm; positive where it winds like a right-handed screw.
    torsion(
        /// The curve, of one strand.
        path: Path,
        /// Where: a value of the curve's parameter.
        at: Number,
    ) -> Number { torsion(&path, at) }
    example { "torsion(curve(|t| [3*cos(t), 3*sin(t), 4*t], 0, 9), 2)" }
    fails { "torsion(curve(|t| [t, t^2, t^3], 0, 1), -1)" => "from 0 to 1" }
    fails { "torsion(curve(|t| [t, 0, 0], 0, 1), 0.5)" => "has no torsion there" }

    /// The writhe of a closed curve: the signed count of crossings, over all sides one could look from, on average.
    ///
    /// Source: K. Klenin, J. Langowski, Biopolymers 54 (2000) 307.
    writhe(
        /// The curve.
        path: Path,
    ) -> Number { form::writhe(&path) }
    example { "writhe(curve(|t| [sin(t) + 2*sin(2*t), cos(t) - 2*cos(2*t), -sin(3*t)], 0, 2*PI))" }
    fails { "writhe(curve(|t| [t, t^2, t^3], 0, 1))" => "must be closed" }

    /// How often two closed curves wind round one another: a whole number, with sign.
    ///
    /// Source: C. F. Gauss (1833), Werke 5, 605.
    linking(
        /// A closed curve.
        path: Path,
        /// Another.
        other: Path,
    ) -> Number { form::linking(&path, &other) }
    example { "let a = curve(|t| [20*cos(t), 20*sin(t), 0], 0, 2*PI); linking(a, a.turn(90, \"x\").shift(20, 0, 0))" }
    fails { "let a = curve(|t| [20*cos(t), 20*sin(t), 0], 0, 2*PI); linking(a, a)" => "too near" }

    /// The radius of the thickest tube round a curve that does not meet itself, mm.
    ///
    /// 0 for a curve with a corner, or one that meets itself.
    ///
    /// Source: R. A. Litherland et al., Topology and its Applications 91 (1999) 233.
    widest_radius(
        /// The curve.
        path: Path,
    ) -> Number { form::widest(&path).map(|w| w.radius) }
    example { "widest_radius(curve(|t| [6*cos(t), 2*sin(t), 0], 0, 2*PI))" }
    fails { "widest_radius(X)" => "`path`" }

    /// The length of a curve over the radius of the thickest tube round it: how much rope a knot takes.
    ///
    /// Half of this is the length over the diameter, which some tables give.
    ropelength(
        /// The curve.
        path: Path,
    ) -> Number { form::length_over_radius(&path) }
    example { "ropelength(curve(|t| [20*cos(t), 20*sin(t), 0], 0, 2*PI))" }
    fails { "ropelength(polyline([[0, 0, 0], [1, 0, 0], [1, 1, 0]]))" => "carries no tube" }
}

fn long(path: &Lengthy) -> Result<f64, FormFault> {
    match path {
        Lengthy::Curve(c) => c.sound().map(|()| c.length()),
        Lengthy::Flat(f) => Ok(f.length()),
        Lengthy::Net(n) => Ok(n.length()),
    }
}

fn within(path: &Curve, at: f64) -> Result<&form::Strand, FormFault> {
    let strand = form::only(path)?;
    let (from, to) = strand.range();
    if (from..=to).contains(&at) {
        return Ok(strand);
    }
    Err(FormFault::Unfit {
        name: "at",
        why: format!("must lie in the curve's range, from {from} to {to}, got {at}"),
    })
}

fn curvature(path: &Curve, at: Option<f64>) -> Result<f64, FormFault> {
    match at {
        Some(at) => there(at, form::curvature(within(path, at)?, at), "curvature"),
        None => form::greatest_curvature(path),
    }
}

fn torsion(path: &Curve, at: f64) -> Result<f64, FormFault> {
    there(at, form::torsion(within(path, at)?, at), "torsion")
}

/// The value, where there is one.
fn there(at: f64, value: f64, what: &str) -> Result<f64, FormFault> {
    if value.is_finite() {
        return Ok(value);
    }
    let why = format!("is {at}, where the curve is straight or stands still: it has no {what} there");
    Err(FormFault::Unfit { name: "at", why })
}
