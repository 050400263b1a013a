//! Sections carried along curves, and curves that follow other things.

use crate::form::{self, Bounded, Caps, Carried, Corded, Curve, Joints, Solid};
use crate::value::{
    Angle, Bodied, Body, BraidWord, Choice, Count, Fault, Fill, FlatPieces, FlatWork, List, Maybe, Names,
    Number, Path, Sheet, Size, Truth, Value,
};

words! { "sweeps":
    /// The solid that a flat section sweeps along a curve, turning no more than the curve makes it turn.
    ///
    /// The section is a flat, or the cut of a solid with the plane of x and y, such as `block(8, 2, 1)`. It stands square
    /// to the curve, its y axis at the start as upright as the curve allows. On a closed curve it comes home as it went;
    /// what turn is left over is spread evenly. A `rail` turns it instead, as the edge of a ribbon would. `turns` adds turns on the way: on a closed curve whole ones, or a part
    /// after which the section looks the same, as half a turn of a strip. Corners of a polyline are mitred, or round on
    /// their outside; `rounded` makes arcs of them first. Round caps are the section turned about its y axis.
    ///
    /// Source: W. Wang et al., ACM Transactions on Graphics 27 (2008) 2, doi:10.1145/1330511.1330513.
    sweep(
        /// The curve, of one strand; corners only between straight stretches.
        path: Path,
        /// A flat, or a solid whose cut with the plane z = 0 is carried along.
        section: Body,
        /// Turns about the curve on the way, right-handed.
        turns: Number = 0,
        /// How the section is turned at the start.
        angle: Angle = 0,
        /// How it goes round corners: `"mitre"` or `"round"`.
        corners: Choice<JointNames> = "mitre",
        /// How open ends are closed: `"flat"` or `"round"`.
        caps: Choice<CapNames> = "flat",
        /// A curve beside the path: the section's y axis points toward its place at the same part of its length.
        rail: Maybe<Path> = (),
    ) -> Solid { sweep(&path, &section, Carried { turns, angle, corners, caps }, rail.as_ref()) }
    example { "sweep(curve(|t| [20*cos(t), 20*sin(t), 0], 0, 2*PI), block(3, 10, 1), 0.5)" }
    example { "sweep(curve(|t| [20*cos(t), 20*sin(t), 3*t], 0, 6), rectangle(4, 6, 1), #{ caps: \"round\" })" }
    example { "sweep(polyline([[0, 0, 0], [40, 0, 0], [40, 30, 0], [0, 30, 0]], true), block(3, 6, 1))" }
    example { "sweep(polyline([[0, 0, 0], [40, 0, 0], [20, 30, 0]]), disc(3), #{ corners: \"round\" })" }
    example { "sweep(curve(|t| [t, 0, 0], 0, 60), rectangle(2, 8), #{ rail: curve(|t| [t, 9*sin(t/9), 9], 0, 60) })" }
    fails { "sweep(curve(|t| [20*cos(t), 20*sin(t), 0], 0, 2*PI), block(3, 10, 1), 0.3)" => "back onto itself" }
    fails { "sweep(curve(|t| [20*cos(t), 20*sin(t), 0], 0, 2*PI), block(50, 10, 1))" => "has room for" }
    fails { "sweep(curve(|t| [t, 0, 0], 0, 9), ball(2).shift(0, 0, 5))" => "nothing is there" }
    fails { "sweep(polyline([[0, 0, 0], [40, 0, 0], [40, 1, 0], [80, 1, 0]]), block(3, 6, 1))" => "no room for the section" }
    fails { "sweep(polyline([[0, 0, 0], [40, 0, 0]]), disc(3), #{ caps: \"pointed\" })" => "\"flat\" or \"round\"" }
    fails { "let c = curve(|t| [t, 0, 0], 0, 9);\nsweep(c, disc(3), #{ rail: c })" => "tells no direction" }

    /// The solid of flat sections that change into one another along a curve: a pipe from round to square.
    ///
    /// They stand evenly along the curve, the first at its start, the last at its end; on a closed curve the last runs on
    /// into the first. Between, distances from their outlines are mixed, as `loft` does. They are carried as `sweep` carries
    /// one.
    ///
    /// Source: W. Wang et al., ACM Transactions on Graphics 27 (2008) 2; D. Levin, Mathematics of Computation 46 (1986) 379.
    pipe(
        /// The curve, of one strand, without corners.
        path: Path,
        /// The flats, in order.
        sections: FlatPieces,
        /// Turns about the curve on the way, right-handed; whole ones on a closed curve.
        turns: Number = 0,
        /// How the sections are turned at the start.
        angle: Angle = 0,
        /// True for a solid without creases at the sections.
        smooth: Truth = true,
        /// How open ends are closed: `"flat"` or `"round"`.
        caps: Choice<CapNames> = "flat",
    ) -> Solid { form::pipe(&path, &sections, smooth, Carried { turns, angle, caps, ..Carried::default() }) }
    example { "pipe(curve(|t| [30*cos(t), 30*sin(t), 4*t], 0, 4), [disc(4), rectangle(12, 6, 1), disc(3)])" }
    example { "pipe(curve(|t| [30*cos(t), 30*sin(t), 0], 0, TAU), [disc(4), rectangle(12, 6)])" }
    fails { "pipe(curve(|t| [t, 0, 0], 0, 30), [disc(4)])" => "2 to 200" }
    fails { "pipe(curve(|t| [9*cos(t), 9*sin(t), 0], 0, 3), [disc(4), disc(14)])" => "has room for" }
    fails { "pipe(polyline([[0, 0, 0], [40, 0, 0], [40, 30, 0]]), [disc(4), disc(3)])" => "round them first" }

    /// A polyline with its corners rounded off by arcs.
    rounded(
        /// The curve, along straight lines.
        path: Path,
        /// Radius of the arcs.
        radius: Size,
    ) -> Curve { form::rounded(&path, radius) }
    example { "rounded(polyline([[0, 0, 0], [40, 0, 0], [40, 30, 0], [0, 30, 0]], true), 6)" }
    fails { "rounded(polyline([[0, 0, 0], [40, 0, 0], [40, 30, 0]]), 35)" => "mm can be" }
    fails { "rounded(curve(|t| [cos(t), sin(t), 0], 0, 2*PI), 1)" => "is no polyline" }

    /// The strands of a cord along a curve: side by side, swapping places by a braid word; a curve of several strands.
    ///
    /// On a closed curve strands run on into one another as the word has it: plaits whose word, repeated, brings every
    /// strand home give as many strands as they have.
    ///
    /// Source: E. Artin, Annals of Mathematics 48 (1947) 101.
    cord(
        /// The curve, of one strand.
        path: Path,
        /// The letters, as for `braid`: `"1 -2"` is a plait of three.
        word: BraidWord,
        /// Distance of strands side by side.
        spacing: Size,
        /// How often the word is gone through on the way.
        repeats: Count = 1,
        /// Turns of the whole cord on the way.
        turns: Number = 0,
    ) -> Curve { form::cord(&path, &Corded { word, strands: None, spacing, repeats, turns }) }
    example { "cord(curve(|t| [30*cos(t), 30*sin(t), 0], 0, 2*PI), \"1 -2\", 5, 12)" }
    example { "cord(polyline([[0, 0, 0], [80, 0, 0]]), \"1 -2\", 5, 6)" }
    fails { "cord(polyline([[0, 0, 0], [80, 0, 0]]), \"1 0\", 5)" => "the letter 0" }
    fails { "cord(curve(|t| [30*cos(t), 30*sin(t), 0], 0, 2*PI), \"1 -2\", 50, 3)" => "has room for 30.00 mm" }
    fails { "cord(curve(|t| [30*cos(t), 30*sin(t), 0], 0, 2*PI), \"1\", 5, 4, 0.3)" => "do not bring the strands home" }

    /// A curve laid on a surface: on one with parameters its x and y become those, on any other each place goes to the
    /// nearest one of the surface.
    ///
    /// `surface`, `revolve` and `ruled` give surfaces with parameters; `level`, `skin` and `film` give others.
    laid(
        /// The curve; for parameters its z is not looked at.
        path: Path,
        /// The surface.
        surface: Sheet,
    ) -> Curve { form::laid(&path, &surface) }
    example { "laid(curve(|t| [2*t, 3*t, 0], 0, TAU), revolve(curve(|t| [20 + 8*cos(t), 0, 8*sin(t)], 0, TAU)))" }
    example { "laid(curve(|t| [9*cos(t), 9*sin(t), 12], 0, TAU), level(X^2 + Y^2/4 + Z^2, 100))" }
    fails { "laid(polyline([[0, 0, 0], [1, 1, 0]]), level(X^2 + 1, 0))" => "has no place near" }

    /// The solid through flat sections at given heights.
    ///
    /// Its cut at each height is the flat given for it. Between, distances from the outlines are mixed, so that sections
    /// may have any form, and parts join and split on the way.
    ///
    /// Source: D. Levin, Mathematics of Computation 46 (1986) 379.
    loft(
        /// The flats, from the lowest up.
        sections: List,
        /// Their heights, mm, rising.
        heights: List,
        /// True for a solid without creases at the sections.
        smooth: Truth = true,
    ) -> Solid { loft(&sections, &heights, smooth) }
    example { "loft([disc(20), disc(8), disc(16)], [0, 25, 40])" }
    example { "loft([disc(20), rectangle(24, 24)], [0, 30], false)" }
    fails { "loft([disc(20)], [0])" => "2 to 200" }
    fails { "loft([disc(20), disc(8)], [10, 0])" => "must rise" }
    fails { "loft([disc(20), 3], [0, 10])" => "holds flats" }
}

fn loft(sections: &[Value], heights: &[Value], smooth: bool) -> Result<Solid, Fault> {
    let flats: Result<Vec<_>, _> = sections.iter().map(FlatWork::fill).collect();
    let flats = flats.map_err(|_| Fault::new("loft: `sections` holds flats, such as `disc(20)`"))?;
    let heights: Result<Vec<_>, _> = heights.iter().map(Number::fill).collect();
    let heights = heights.map_err(|_| Fault::new("loft: `heights` holds numbers"))?;
    form::loft(&flats, &heights, smooth).map_err(|fault| Fault::new(format!("loft: {fault}")))
}

/// Names of corners.
#[derive(Debug)]
enum JointNames {}
impl Names for JointNames {
    type Rust = Joints;
    const WANTS: &'static str = "\"mitre\" or \"round\"";
    const NAMES: &'static [(&'static str, Joints)] = &[("mitre", Joints::Mitre), ("round", Joints::Round)];
}

/// Names of ends.
#[derive(Debug)]
enum CapNames {}
impl Names for CapNames {
    type Rust = Caps;
    const WANTS: &'static str = "\"flat\" or \"round\"";
    const NAMES: &'static [(&'static str, Caps)] = &[("flat", Caps::Flat), ("round", Caps::Round)];
}

fn sweep(path: &Curve, section: &Bodied, how: Carried, rail: Option<&Curve>) -> Result<Solid, Fault> {
    let told = |fault: form::FormFault| Fault::new(format!("sweep: {fault}"));
    let (field, within) = match section {
        Bodied::Solid(s) => (super::fields::solid_field("sweep", s)?, s.bounds().map_err(told)?),
        Bodied::Flat(f) => form::section(f).map_err(told)?,
    };
    form::sweep(path, &field, within, how, rail).map_err(told)
}
