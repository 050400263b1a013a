//! Paths in space.

use super::fields::{given, read};
use super::surfaces::three;
use super::trace::Followed;
use super::{Host, trace};
use crate::form::{self, Curve, FormFault, Solid};
use crate::formula::{Expr, Kind as Read};
use crate::value::{
    Count, Curves, Fault, Formula, Formulated, Law, Maybe, Number, Options, Part, Path, Points, RadiusLaw,
    Truth, Value,
};
use std::collections::BTreeMap;

words! { "curves":
    /// The path that three formulas of one parameter draw.
    ///
    /// The formula is a text such as `"cos t, sin t, t/5"`, or a function of a number that gives a list of
    /// three. A range that the text states need not be given. A function that chooses by its number is followed from
    /// place to place; it may have corners but not leap.
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
    example { "curve(|t| if t < 0 { [20*t, 0, 0] } else { [20*sin(t), 20 - 20*cos(t), 0] }, -1, 2)" }
    fails { "curve(|t| [t, t], 0, 1)" => "a list of 3 numbers" }
    fails { "curve(|t| [if t > 1 { t } else { 0 }, t, t], 0, 2)" => "leaps near" }
    fails { "curve(|t| [t, t, t])" => "from" }

    /// The solid of every point nearer to a curve than the radius.
    ///
    /// Where the tube would meet itself it is one with itself, which is said with the place. With a function for the
    /// radius, it is every ball about a place of the curve that is as large as the function says there.
    tube with host(
        /// The curve, open or closed, of one strand or several.
        path: Path,
        /// Radius of the tube, or a function that gives it: of the part of the way gone, from 0 to 1.
        radius: RadiusLaw,
    ) -> Solid { tube(host, &path, &radius) }
    example { "curve(|t| [20*cos(t), 20*sin(t), t], 0, 10).tube(2)" }
    example { "curve(|t| [20*cos(t), 20*sin(t), t], 0, 6).tube(|s| 1 + 3*s)" }
    example { "curve(|t| [20*cos(t), 20*sin(t), 3*t], 0, 12).tube(|s| if s < 0.5 { 1 + 4*s } else { 5 - 4*s })" }
    fails { "curve(|t| [20*cos(t), 20*sin(t), t], 0, 6).tube(|s| 1 - 3*s)" => "more than 0 mm all along" }
    fails { "tube(ball(1), 2)" => "`path` is a curve, got a solid" }
    fails { "curve(|t| [ln(t), t, 0], -1, 1).tube(2)" => "has no place at t = -1" }
    fails { "curve(|t| [1, 2, 3], 0, 1).tube(2)" => "has no length" }

    /// The smooth curve through points, in order.
    ///
    /// It is smooth to the second derivative, and does not swing out where points stand unevenly.
    ///
    /// Source: E. T. Y. Lee, Computer-Aided Design 21 (1989) 363, centripetal parameter; C. de Boor, A Practical Guide
    /// to Splines (1978), chapter 4.
    through(
        /// The points.
        points: Points,
        /// True for a curve that runs on from the last point to the first.
        closed: Truth = false,
    ) -> Curve { form::through(&points, closed) }
    example { "through([[0, 0, 0], [10, 5, 0], [20, -5, 3], [30, 0, 0]])" }
    example { "through([[20, 0, 0], [0, 20, 5], [-20, 0, 0], [0, -20, 5]], true)" }
    fails { "through([[0, 0, 0]])" => "`points` has 1 points" }
    fails { "through([[0, 0, 0], [0, 0, 0], [1, 0, 0]])" => "twice in a row" }
    fails { "through([[0, 0], [1, 1]])" => "must have three numbers" }

    /// The curve along straight lines from point to point.
    polyline(
        /// The points.
        points: Points,
        /// True for a curve that runs on from the last point to the first.
        closed: Truth = false,
    ) -> Curve { form::polyline(&points, closed) }
    example { "polyline([[0, 0, 0], [10, 0, 0], [10, 10, 5]])" }
    example { "polyline([[0, 0, 0], [10, 0, 0], [10, 10, 5]], true)" }
    fails { "polyline(3)" => "a list of points" }

    /// One curve from several open curves, each moved to where the one before it ends.
    ///
    /// They are not turned; corners stay corners. When the last ends where the first starts, the curve is closed.
    join(
        /// The curves, in order.
        curves: Curves,
    ) -> Curve { form::join(&curves) }
    example { "join([polyline([[0, 0, 0], [20, 0, 0]]), curve(|t| [10*sin(t), 10 - 10*cos(t), 0], 0, PI/2)])" }
    fails { "join([])" => "holds no curve" }
    fails { "join([curve(|t| [cos(t), sin(t), 0], 0, 2*PI)])" => "open curves" }

    /// The curve walked the other way.
    backward(
        /// The curve.
        path: Path,
    ) -> Curve { form::backward(&path) }
    example { "backward(curve(|t| [20*cos(t), 20*sin(t), t], 0, 10))" }
    fails { "backward(X)" => "`path` is a curve" }

    /// One curve of several strands, such as a link, from curves that stay where they are.
    together(
        /// The curves.
        curves: Curves,
    ) -> Curve { form::together(&curves) }
    example { "let a = curve(|t| [20*cos(t), 20*sin(t), 0], 0, 2*PI); together([a, a.turn(90, \"x\").shift(20, 0, 0)])" }
    fails { "together([])" => "holds no curve" }
    fails { "together([1])" => "a list of curves" }

    /// The strands of a curve, as a list of curves.
    strands(
        /// The curve.
        path: Path,
    ) -> List { path.singles().map(Value::Curve).collect::<Vec<_>>() }
    example { "strands(braid(\"1 1\"))" }
    fails { "strands(ball(2))" => "`path` is a curve" }

    /// True when every strand of a curve ends where it starts.
    is_closed(
        /// The curve.
        path: Path,
    ) -> Truth { path.is_closed() }
    example { "is_closed(curve(|t| [20*cos(t), 20*sin(t), 0], 0, 2*PI))" }
    fails { "is_closed(3)" => "`path`" }

    /// Points along a curve, evenly by its length: a list of lists of three numbers.
    ///
    /// The first stands at the start; on an open curve the last stands at the end.
    points(
        /// The curve, of one strand.
        path: Path,
        /// How many points.
        count: Count,
    ) -> List { points(&path, count) }
    example { "points(curve(|t| [20*cos(t), 20*sin(t), 0], 0, 2*PI), 4)" }
    fails { "points(braid(\"1 1\"), 4)" => "2 strands" }
    fails { "points(curve(|t| [t, 0, 0], 0, 1), 1)" => "2 or more" }
}

fn tube(host: &dyn Host, path: &Curve, radius: &Law) -> Result<Solid, Fault> {
    let told = |fault: FormFault| Fault::new(format!("tube: {fault}"));
    match radius {
        Law::Constant(radius) => {
            let made = form::tube(path, *radius).map_err(told)?;
            say_where_it_meets_itself(host, path, *radius);
            Ok(made)
        }
        Law::Function(law) => {
            let law = match trace::followed(host, "tube", law, ("s", (0.0, 1.0)), 1)? {
                Followed::Traced(traced) => traced[0].clone(),
                Followed::Sampled(spline) => spline.components(&Expr::var("s"))[0].clone(),
            };
            let (made, largest) = form::tapered(path, &law, "s").map_err(told)?;
            say_where_it_meets_itself(host, path, largest);
            Ok(made)
        }
    }
}

/// Says where a tube is one with itself, if it is. Corners of polylines, which every tube closes over, are passed over.
fn say_where_it_meets_itself(host: &dyn Host, path: &Curve, radius: f64) {
    /// Curves of more strands are not looked at: the look would take longer than the tube.
    const FEW: usize = 64;
    if path.strands().len() > FEW {
        return;
    }
    let Ok(tightest) = form::tightest(path) else { return };
    if radius > tightest.radius * (1.0 + 1e-6) {
        let [x, y, z] = tightest.place.array().map(|c| libm::round(c * 100.0) / 100.0 + 0.0);
        let why = match (tightest.radius > 1e-9 * radius, tightest.by_bend) {
            (true, _) => format!("where the curve has room for {:.2} mm", tightest.radius),
            (false, true) => "where the curve has a cusp".to_owned(),
            (false, false) => "where the curve meets itself".to_owned(),
        };
        host.say(format!("tube: it is one with itself near [{x}, {y}, {z}], {why}"));
    } else if let Some(corner) = form::crowded(path, radius) {
        let [x, y, z] = corner.array().map(|c| libm::round(c * 100.0) / 100.0 + 0.0);
        host.say(format!(
            "tube: it is one with itself near [{x}, {y}, {z}], where a corner and the next are too sharp for what lies between"
        ));
    }
}

fn points(path: &Curve, count: usize) -> Result<Vec<Value>, FormFault> {
    Ok(form::points(form::only(path)?, count)?.into_iter().map(Value::from).collect())
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
            match trace::followed(host, "curve", f, ("t", range), 3)? {
                Followed::Traced(traced) => (three(traced)?, "t".to_owned(), range),
                Followed::Sampled(spline) => {
                    return Curve::of([spline.into()]).map_err(|f| Fault::new(format!("curve: {f}")));
                }
            }
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
