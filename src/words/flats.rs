//! Flat work: regions and lines of the plane z = 0, to be cut, scored, drawn or engraved.

use crate::form::flat::{self, Corners, Ends, Flat, Meaning};
use crate::form::{FormFault, Solid};
use crate::value::{
    Choice, Count, Fault, FlatWork, Maybe, Mm, Part, PlanePath, Size, Stretch, Text, Truth, Value,
};

words! { "flats":
    /// A disc about the origin.
    ///
    /// A flat lies in the plane z = 0. It holds regions and lines on layers, and each layer has a name and a meaning:
    /// `cut`, `score`, `draw` or `engrave`. Arcs stay arcs and curves stay curves to the file.
    disc(
        /// Radius.
        radius: Size,
    ) -> Flat { flat::disc(radius) }
    example { "disc(20)" }
    example { "disc(20) - disc(8).shift(6, 0)" }
    fails { "disc(0)" => "`radius` must be more than 0 mm, got 0" }

    /// A rectangle with its middle at the origin.
    rectangle(
        /// How wide it is, along x.
        x: Size,
        /// How high it is, along y.
        y: Size,
        /// Radius of the arcs at its corners.
        rounding: Stretch = 0,
    ) -> Flat { rectangle(x, y, rounding) }
    example { "rectangle(40, 20, 4)" }
    fails { "rectangle(40, -1)" => "`y`" }

    /// A regular polygon or star about the origin, the first corner on the x axis.
    regular(
        /// How many corners, 3 or more.
        corners: Count,
        /// From the middle to a corner.
        radius: Size,
        /// Each side leads to the corner that many further on: 2 and more make a star.
        step: Count = 1,
    ) -> Flat { regular(corners, radius, step) }
    example { "regular(6, 20)" }
    example { "regular(8, 20, 3)" }
    fails { "regular(2, 20)" => "`corners` must be 3 or more" }
    fails { "regular(6, 20, 3)" => "`step` must be less than half of `corners`" }

    /// The region that straight sides through points bound.
    polygon(
        /// Points, as `[[0, 0], [30, 0], [0, 20]]`.
        points: PlanePath,
        /// Radius of the arcs at its corners; smaller where a side is too short.
        rounding: Stretch = 0,
    ) -> Flat { points.points().and_then(|p| flat::polygon(&p, rounding)) }
    example { "polygon([[0, 0], [30, 0], [0, 20]], 2)" }
    fails { "polygon([[0, 0], [30, 0]])" => "3 or more" }
    fails { "polygon([[0, 0], [10, 0], [20, 0]])" => "nothing is there" }
    fails { "polygon([[0, 0], [10, 10], [10, 0], [0, 10]])" => "crosses itself at (5.00, 5.00)" }

    /// The region that a closed curve in a level plane bounds.
    region(
        /// The curve.
        path: PlanePath,
    ) -> Flat { path.curve().and_then(|c| flat::region(&c)) }
    example { "region(curve(|t| [30*cos(t), 10*sin(t), 0], 0, 2*PI))" }
    fails { "region(curve(|t| [t, t^2, 0], 0, 1))" => "an open curve" }
    fails { "region(curve(|t| [9*cos(t), 9*sin(2*t), 0], 0, 2*PI))" => "crosses itself at (0.00, 0.00)" }
    fails { "region(curve(|t| [cos(t), sin(t), sin(2*t)], 0, 2*PI))" => "leaves its level plane" }

    /// A line, to be drawn: through points, or along a curve in a level plane.
    trace(
        /// A curve, or points as `[[0, 0], [30, 0], [0, 20]]`.
        path: PlanePath,
        /// Whether points are joined to a loop.
        closed: Truth = false,
    ) -> Flat { path.traced(closed) }
    example { "trace(curve(|t| [t, 5*sin(t), 0], 0, 20))" }
    example { "trace([[0, 0], [30, 0], [0, 20]], true)" }
    fails { "trace([[0, 0]])" => "points" }

    /// Everything of a flat on one layer, with a name and a meaning.
    layer(
        /// The flat.
        flat: FlatWork,
        /// Name of the layer.
        name: Text,
        /// What it is for: `cut`, `score`, `draw` or `engrave`; when left out, as it was.
        meaning: Maybe<Text> = (),
    ) -> Flat { on_layer(&flat, &name, meaning.as_deref()) }
    example { "trace([[-20, 0], [20, 0]]).layer(\"folds\", \"score\")" }
    fails { "disc(5).layer(\"a\", \"fold\")" => "`meaning` is \"cut\", \"score\", \"draw\" or \"engrave\"" }

    /// The flat with its regions grown on all sides, or shrunk.
    outset(
        /// The flat.
        flat: FlatWork,
        /// How far; less than 0 shrinks.
        distance: Mm,
        /// What is made of corners that open: `"round"`, `"mitre"` or `"bevel"`.
        corners: Choice<CornerNames> = "round",
    ) -> Flat { flat::outset(&flat, distance, corners) }
    example { "rectangle(20, 10).outset(3)" }
    example { "rectangle(20, 10).outset(-2)" }
    fails { "disc(5).outset(1, \"square\")" => "`corners` must be \"round\", \"mitre\" or \"bevel\"" }

    /// The region of all points near the lines of a flat and the outlines of its regions.
    band(
        /// The flat.
        flat: FlatWork,
        /// Width of the band.
        width: Size,
        /// How lines end: `"round"`, `"flat"` or `"square"` (half a width beyond).
        ends: Choice<EndNames> = "round",
        /// What is made of corners: `"round"`, `"mitre"` or `"bevel"`.
        corners: Choice<CornerNames> = "round",
    ) -> Flat { flat::band(&flat, width, corners, ends) }
    example { "trace([[0, 0], [20, 0], [20, 15]]).band(3)" }
    fails { "disc(5).band(0)" => "`width`" }

    /// The solid that stands on the regions of a flat, from z = 0 up.
    raise(
        /// The flat.
        flat: FlatWork,
        /// How high.
        height: Size,
    ) -> Solid { raise(&flat, height) }
    example { "(disc(20) - disc(8)).raise(5)" }
    fails { "trace([[0, 0], [9, 0]]).raise(5)" => "nothing is there" }
}

/// Names of corners.
#[derive(Debug)]
pub(super) enum CornerNames {}
impl crate::value::Names for CornerNames {
    type Rust = Corners;
    const WANTS: &'static str = "\"round\", \"mitre\" or \"bevel\"";
    const NAMES: &'static [(&'static str, Corners)] =
        &[("round", Corners::Round), ("mitre", Corners::Mitre), ("bevel", Corners::Bevel)];
}

/// Names of ends.
#[derive(Debug)]
pub(super) enum EndNames {}
impl crate::value::Names for EndNames {
    type Rust = Ends;
    const WANTS: &'static str = "\"round\", \"flat\" or \"square\"";
    const NAMES: &'static [(&'static str, Ends)] =
        &[("round", Ends::Round), ("flat", Ends::Flat), ("square", Ends::Square)];
}

fn rectangle(x: f64, y: f64, rounding: f64) -> Result<Flat, FormFault> {
    let (a, b) = (0.5 * x, 0.5 * y);
    flat::polygon(&[[-a, -b], [a, -b], [a, b], [-a, b]].map(Into::into), rounding)
}

fn regular(corners: usize, radius: f64, step: usize) -> Result<Flat, Fault> {
    if corners < 3 {
        let what = format!("regular: `corners` must be 3 or more, got {corners}");
        return Err(Fault::new(what).part(Part::Argument(0)));
    }
    if 2 * step >= corners {
        let what = format!("regular: `step` must be less than half of `corners`, got {step}");
        return Err(Fault::new(what).part(Part::Argument(2)));
    }
    let count = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
    flat::regular(count(corners), radius, count(step)).map_err(|f| Fault::new(format!("regular: {f}")))
}

fn on_layer(flat: &Flat, name: &str, meaning: Option<&str>) -> Result<Flat, Fault> {
    let wrong = |what: String, part| Err(Fault::new(what).part(Part::Argument(part)));
    if name.trim().is_empty() || name.len() > 60 || name.contains(|c: char| c.is_control()) {
        return wrong(format!("layer: `name` is a short text, got \"{name}\""), 1);
    }
    let usual = flat.layers().first().map_or(Meaning::Cut, |l| l.meaning);
    match meaning.map(Meaning::named) {
        Some(None) => wrong(
            format!(
                "layer: `meaning` is \"cut\", \"score\", \"draw\" or \"engrave\", got \"{}\"",
                meaning.unwrap_or("")
            ),
            2,
        ),
        Some(Some(meaning)) => Ok(flat.on_layer(name.trim(), meaning)),
        None => Ok(flat.on_layer(name.trim(), usual)),
    }
}

fn raise(flat: &Flat, height: f64) -> Result<Solid, FormFault> {
    flat::raise(flat, height)
}

impl crate::value::PathLike {
    fn traced(&self, closed: bool) -> Result<Flat, FormFault> {
        match self {
            Self::Points(points) => flat::polyline(points, closed),
            Self::Curve(curve) => flat::trace(curve),
        }
    }

    fn points(&self) -> Result<Vec<crate::base::Vec2>, FormFault> {
        match self {
            Self::Points(points) => Ok(points.clone()),
            Self::Curve(_) => {
                Err(FormFault::WrongKind { act: "a polygon", kind: "a curve: `region` takes one" })
            }
        }
    }

    fn curve(&self) -> Result<crate::form::Curve, FormFault> {
        match self {
            Self::Curve(curve) => Ok(curve.clone()),
            Self::Points(_) => {
                Err(FormFault::WrongKind { act: "a region", kind: "points: `polygon` takes them" })
            }
        }
    }
}

/// All flats of a list as one, if the list holds flats alone.
pub(super) fn all(items: &[Value]) -> Option<Flat> {
    let flats: Option<Vec<Flat>> = items
        .iter()
        .map(|item| match item {
            Value::Flat(f) => Some(f.clone()),
            _ => None,
        })
        .collect();
    flats.filter(|list| !list.is_empty()).map(|list| flat::all(&list))
}
