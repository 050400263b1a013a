//! Paths in space.

use super::fields::{given, read};
use super::surfaces::three;
use super::{Host, trace};
use crate::form::{self, Curve};
use crate::formula::Kind as Read;
use crate::value::{
    Fault, Formula, Formulated, Lengthy, Long, Maybe, Number, Options, Part, Path, Size, Value,
};
use std::collections::BTreeMap;

words! { "curves":
    /// The path that three formulas of one parameter draw.
    ///
    /// The formula is a text such as `"cos t, sin t, t/5"`, or a function of a number that gives a list of
    /// three. A range that the text states need not be given.
    curve with host(
        /// The three components.
        formula: Formula,
        /// Where the parameter starts.
        from: Maybe<Number> = (),
        /// Where the parameter ends.
        to: Maybe<Number> = (),
        /// Values of the other names in the text: `#{ a: 2 }`.
        values: Options = Value::Map(BTreeMap::new()),
    ) -> Curve { curve(host, &formula, from.zip(to), &values) }
    example { "curve(|t| [20*cos(t), 20*sin(t), t], 0, 10)" }
    fails { "curve(|t| [t, t], 0, 1)" => "a list of 3 numbers" }
    fails { "curve(|t| [if t > 1 { t } else { 0 }, t, t], 0, 2)" => "stands for every number at once" }
    fails { "curve(|t| [t, t, t])" => "from" }

    /// The solid of every point nearer to a curve than the radius.
    tube(
        /// The curve, open or closed.
        path: Path,
        /// Radius of the tube.
        radius: Size,
    ) -> Solid { form::tube(&path, radius) }
    example { "curve(|t| [20*cos(t), 20*sin(t), t], 0, 10).tube(2)" }
    fails { "tube(ball(1), 2)" => "`path` is a curve, got a solid" }

    /// The length of a curve, mm; of a flat, that of all its lines and outlines.
    length(
        /// The curve or flat.
        path: Long,
    ) -> Number { long(&path) }
    example { "length(curve(|t| [20*cos(t), 20*sin(t), 0], 0, 2*PI))" }
    fails { "length(ball(1))" => "`path`" }
}

fn long(path: &Lengthy) -> f64 {
    match path {
        Lengthy::Curve(c) => c.length(),
        Lengthy::Flat(f) => f.length(),
    }
}

fn curve(
    host: &dyn Host,
    formula: &Formulated,
    range: Option<(f64, f64)>,
    values: &BTreeMap<String, Value>,
) -> Result<Curve, Fault> {
    let (components, param, range) = match formula {
        Formulated::Function(f) => {
            let range = range.ok_or_else(|| {
                Fault::new("curve: a function needs to know from where to where its number runs")
                    .hint("curve(|t| […], from, to)")
            })?;
            (three(trace::components(host, "curve", f, &[("t", range)], 3)?)?, "t".to_owned(), range)
        }
        Formulated::Text(text) => {
            let reading = read(host, "curve", text, values)?;
            let Read::Curve { components, param, range: stated } = &reading.kind else {
                return Err(Fault::new("curve: the text should have three components in one parameter")
                    .hint("as in \"cos t, sin t, t/5\"; `field` and `surface` read other formulas")
                    .part(Part::Argument(0)));
            };
            let components = given("curve", &reading, text, components.clone(), values)?;
            let range = range.or(*stated).ok_or_else(|| {
                Fault::new(format!("curve: the range of `{param}` is not stated"))
                    .hint("curve(\"…\", from, to)")
            })?;
            (components, param.clone(), range)
        }
    };
    Curve::new(components, &param, range).map_err(|fault| Fault::new(format!("curve: {fault}")))
}
