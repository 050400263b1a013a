//! Sheets without thickness, and the thickness that makes them solids.

use super::fields::{given, read};
use super::{Host, trace};
use crate::form::{self, FormFault, Solid, Surface};
use crate::formula::Kind as Read;
use crate::value::{
    Angle, Fault, Formula, Formulated, Maybe, Number, Options, Part, Path, Sheet, Thick, Thickened, Value,
};
use std::collections::BTreeMap;

words! { "surfaces":
    /// The solid of every point nearer to a surface than half the thickness, measured as true distance.
    wall(
        /// The surface.
        surface: Sheet,
        /// Thickness of the wall; by a field it varies from place to place, and where the field is not more than 0 there
        /// is a hole.
        thickness: Thick,
    ) -> Solid { walled(&surface, &thickness) }
    example { "(level(X^2 + Y^2 - Z^2, 100) & ball(30)).wall(2)" }
    example { "(level(Z - X*Y/20, 0) & rod(20, 60)).wall(4 - sqrt(X^2 + Y^2)/8)" }
    fails { "wall(ball(20), 2)" => "`surface` is a surface" }
    fails { "level(X, 0).wall(-1)" => "`thickness`" }

    /// The surface of a solid.
    ///
    /// A wall of it is a hollow shell that lies half inside the solid and half outside.
    skin(
        /// The solid.
        solid: crate::value::Form,
    ) -> Surface { form::skin(&solid) }
    example { "ball(20).skin()" }
    example { "ball(20).skin() & halfspace()" }
    fails { "skin(X)" => "`solid`" }

    /// The part of a surface inside a solid; the same as `s & solid`. A wall of it is cut flush.
    clip(
        /// The surface.
        surface: Sheet,
        /// The solid.
        solid: crate::value::Form,
    ) -> Surface { form::clip(&surface, &solid) }
    example { "level(X*Y - 10*Z, 0).clip(ball(30))" }
    fails { "clip(ball(2), ball(3))" => "`surface`" }

    /// The surface that three formulas of two parameters draw.
    ///
    /// The formula is a text such as `"(2 + cos v) cos u, (2 + cos v) sin u, sin v"`, or a function of two
    /// numbers that gives a list of three. Ranges that the text states need not be given.
    surface with host(
        /// The three components.
        formula: Formula,
        /// Where the first parameter starts.
        from_u: Maybe<Number> = (),
        /// Where the first parameter ends.
        to_u: Maybe<Number> = (),
        /// Where the second parameter starts.
        from_v: Maybe<Number> = (),
        /// Where the second parameter ends.
        to_v: Maybe<Number> = (),
        /// Values of the other names in the text: `#{ a: 2 }`.
        values: Options = Value::Map(BTreeMap::new()),
    ) -> Surface { surface(host, &formula, [from_u.zip(to_u), from_v.zip(to_v)], &values) }
    example { "surface(|u, v| [20*cos(u), 20*sin(u), v], 0, 2*PI, -10, 10)" }
    fails { "surface(|u, v| [u, v, 0])" => "from" }
    fails { "surface(|u, v| u, 0, 1, 0, 1)" => "a list of 3 numbers" }

    /// The surface that a curve draws as it turns about the z axis.
    revolve(
        /// The curve, of one strand.
        path: Path,
        /// How far it turns, degrees.
        angle: Angle = 360,
    ) -> Surface { form::revolve(&path, angle) }
    example { "revolve(curve(|t| [20 + 5*cos(t), 0, 5*sin(t)], 0, 2*PI))" }
    example { "revolve(through([[10, 0, 0], [14, 0, 10], [8, 0, 25]]), 180)" }
    fails { "revolve(curve(|t| [t, 0, 1], 1, 2), 0)" => "more than 0" }

    /// The surface of straight lines between two curves, joining places at the same part of the parameter.
    ruled(
        /// A curve, of one strand.
        path: Path,
        /// Another.
        other: Path,
    ) -> Surface { form::ruled(&path, &other) }
    example { "ruled(curve(|t| [20*cos(t), 20*sin(t), 0], 0, 2*PI), curve(|t| [20*cos(t+2), 20*sin(t+2), 30], 0, 2*PI))" }
    fails { "ruled(X, X)" => "`path` is a curve" }
}

fn walled(surface: &Surface, thickness: &Thickened) -> Result<Solid, FormFault> {
    match thickness {
        Thickened::Even(t) => form::wall(surface, *t),
        Thickened::By(field) => form::wall_by(surface, field),
    }
}

fn surface(
    host: &dyn Host,
    formula: &Formulated,
    ranges: [Option<(f64, f64)>; 2],
    values: &BTreeMap<String, Value>,
) -> Result<Surface, Fault> {
    let (components, params, ranges) = match formula {
        Formulated::Function(f) => {
            let [Some(u), Some(v)] = ranges else {
                return Err(Fault::new(
                    "surface: a function needs to know from where to where its numbers run",
                )
                .hint("surface(|u, v| […], from_u, to_u, from_v, to_v)"));
            };
            let traced = trace::components(host, "surface", f, &[("u", u), ("v", v)], 3)?;
            (three(traced)?, ["u".to_owned(), "v".to_owned()], [u, v])
        }
        Formulated::Text(text) => {
            let reading = read(host, "surface", text, values)?;
            let Read::Surface { components, params, ranges: stated } = &reading.kind else {
                return Err(Fault::new("surface: the text should have three components in two parameters")
                    .hint("as in \"cos u, sin u, v\"; `field` and `curve` read other formulas")
                    .part(Part::Argument(0)));
            };
            let components = given("surface", &reading, text, components.clone(), values)?;
            let range = |i: usize| {
                ranges[i].or(stated[i]).ok_or_else(|| {
                    Fault::new(format!("surface: the range of `{}` is not stated", params[i]))
                        .hint("surface(\"…\", from_u, to_u, from_v, to_v)")
                })
            };
            (components, params.clone(), [range(0)?, range(1)?])
        }
    };
    form::sheet(components, params, ranges).map_err(|fault| Fault::new(format!("surface: {fault}")))
}

/// Exactly three.
pub(super) fn three(list: Vec<crate::formula::Expr>) -> Result<[crate::formula::Expr; 3], Fault> {
    list.try_into().map_err(|_| Fault::new("three components are wanted"))
}
