//! Flat work made ready for a machine, and flats made of other things.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::Host;
use crate::base::{Vec2, several};
use crate::craft::{self, Cutting, Method, NoCut, Told};
use crate::form::flat::{self, Ask, Flat};
use crate::form::{self, FormFault, NetAsk, Solid};
use crate::realise;
use crate::value::{
    Any, Count, Fault, FlatPiece, FlatPieces, FlatWork, Form, List, Maybe, Mm, Part, Sheet, Size, Stretch,
    Struts, Text, Truth, Value, Whole, nearest,
};

/// A shadow may lie this much further from the exact one than a measure of the solid would.
const SHADOW: f64 = 1.5;

words! { "cutting":
    /// A way to cut a sheet, as a map of its figures: what is taken away, and the least that may be left.
    ///
    /// `kerf` is the width taken away, `strip` the thinnest strip, `piece` the smallest piece, `spacing` how near lines may
    /// be, `bridge` the width of bridges, `gap` and `margin` room between pieces and at the sheet's edge, `radius` the
    /// sharpest hollow corner, `offset` how far a drag knife's tip trails, `overcut` how far it goes past its start; all in
    /// mm. They are figures to start from: change what your machine, sheet and supplier say otherwise, as in `p.kerf = 0.17`.
    cutter(
        /// `"laser"`, `"drag knife"`, `"hand knife"`, `"water jet"`, `"saw"` or `"mill"`.
        method: Text,
        /// The sheet's material, as `"plywood"`, `"card"`, `"film"`.
        material: Text,
        /// Its thickness.
        thickness: Size,
    ) -> Map { cutter(&method, &material, thickness) }
    example { "cutter(\"laser\", \"plywood\", 3)" }
    example { "let p = cutter(\"drag knife\", \"film\", 0.1); p.offset = 0.3; p" }
    fails { "cutter(\"laser\", \"vinyl\", 0.1)" => "chlorine" }
    fails { "cutter(\"lazer\", \"card\", 0.5)" => "did you mean \"laser\"?" }
    fails { "cutter(\"laser\", \"plywood\", 90)" => "from 0.02 to 12 mm" }

    /// Asks for flat work to be made, its paths ready for a machine.
    ///
    /// Outlines grow and openings shrink by half the kerf; what lies within is cut before what is round it; lines that lie
    /// on one another are cut once. The report tells islands, thin strips, small pieces and narrow gaps with their places.
    /// With `sheet`, pieces are laid out on as many sheets as they need, each a file of its own.
    ///
    /// Nothing here says that a machine may be used so: its manual, the sheet's data sheet and local codes do.
    cut with host(
        /// Names its files: letters, digits, spaces, `-` and `_`.
        name: Text,
        /// The flat, or a list of flats that are pieces of their own.
        flat: FlatPieces,
        /// The process: a text as `"laser plywood 3"` (method, material, mm), or what `cutter` gave.
        process: Any,
        /// How many bridges hold each piece that would fall out of an opening.
        bridges: Whole = 0,
        /// Whether paths are mirrored, for film that is laid face down.
        mirror: Truth = false,
        /// Whether three registration marks stand outside the work.
        marks: Truth = false,
        /// Whether every piece bears a number.
        labels: Truth = false,
        /// How far outside the work a box for weeding is cut, and waste across; 0 for none.
        weed: Stretch = 0,
        /// Whether folds are dashes, 2 mm cut and 1 mm not.
        perforate: Truth = false,
        /// Whether paths are those of a drag knife's axis, which leads its tip.
        swivel: Truth = false,
        /// Width and height of the sheets to lay pieces out on, as `[600, 400]`.
        sheet: Maybe<List> = (),
        /// In how many directions a piece may be turned on its sheet; 1 where the grain matters.
        turns: Count = 4,
        /// Radius of the arcs in the waste by which cuts of outlines and openings start and end; 0 for none.
        lead: Stretch = 0,
        /// How many stretches of each piece's outline are left uncut, to hold it in its sheet: 0.5 to 1 mm wide, 2 mm in
        /// sheet thicker than that.
        tabs: Whole = 0,
    ) -> Piece {
        asked(bridges, sheet, turns, tabs).and_then(|ask| {
            let ask = Ask { mirror, marks, labels, weed, perforate, swivel, lead, ..ask };
            cut(host, &name, &flat, &process, ask)
        })
    }
    example { "cut(\"washer\", disc(8) - disc(3), \"laser plywood 3\")" }
    example { "cut(\"stencil\", disc(30) - disc(20) | disc(8), \"laser acrylic 3\", #{ bridges: 2 })" }
    example { "let h = regular(6, 20); cut(\"six\", [h, h, h], \"laser card 0.5\", #{ sheet: [100, 100] })" }
    example { "cut(\"washer\", disc(8) - disc(3), \"water jet stainless steel 3\", #{ lead: 1.5, tabs: 2 })" }
    fails { "cut(\"a\", disc(5), \"laser card 0.5\", #{ tabs: 200 })" => "`tabs` is a number from 0 to 24" }
    fails { "cut(\"a\", disc(5), \"scissors paper 0.1\")" => "`process` starts with" }
    fails { "cut(\"a\", disc(5), \"laser plywood\")" => "ends in the thickness" }
    fails { "cut(\"a\", disc(50), \"laser card 0.5\", #{ sheet: [80, 80] })" => "too small for piece 1" }
    fails { "let p = cutter(\"laser\", \"card\", 0.5); p.kurf = 1; cut(\"a\", disc(5), p)" => "did you mean `kerf`?" }

    /// Pieces laid out on sheets, turned as they fit best, also in the openings of others: a flat for each sheet.
    nest(
        /// The flat, or a list of flats that are pieces of their own.
        flat: FlatPieces,
        /// Width and height of a sheet, as `[600, 400]`.
        sheet: List,
        /// Between pieces.
        gap: Stretch = 2,
        /// Free border of the sheet.
        margin: Stretch = 8,
        /// In how many directions a piece may be turned.
        turns: Count = 4,
    ) -> List { nest(&flat, &sheet, gap, margin, turns) }
    example { "nest([disc(20), disc(20) - disc(15), disc(12)], [100, 80])" }
    fails { "nest(disc(20), [30, 30])" => "too small for piece 1" }
    fails { "nest(disc(20), [30])" => "`sheet` is a width and a height" }

    /// A text in single strokes, to be drawn or scored, its lower left corner at the origin.
    ///
    /// Small letters are drawn as capitals; there are letters, also with marks, figures and common signs.
    letters(
        /// The text.
        text: Text,
        /// Height of a capital.
        height: Size = 5,
    ) -> Flat { flat::letters(&text, height) }
    example { "letters(\"TIDE 12/40\", 6)" }
    fails { "letters(\"日\")" => "has no strokes" }

    /// The flat with arcs at the corners of its outlines and lines, each touching both sides.
    fillet(
        /// The flat.
        flat: FlatWork,
        /// Radius of the arcs; smaller where a side is too short.
        radius: Size,
    ) -> Flat { flat::filleted(&flat, radius) }
    example { "fillet(rectangle(30, 20) - disc(8).shift(15, 0), 2)" }
    fails { "fillet(disc(5), 0)" => "`radius`" }

    /// The flat told by fewer lines and arcs.
    simplify(
        /// The flat.
        flat: FlatWork,
        /// How far paths may move.
        tolerance: Size = 0.05,
    ) -> Flat { flat::simplified(&flat, tolerance) }
    example { "simplify(regular(300, 20), 0.02)" }
    fails { "simplify(disc(5), -1)" => "`tolerance`" }

    /// Where a solid meets a level plane, as a flat of lines and arcs within the run's tolerance.
    section with host(
        /// The solid.
        solid: Form,
        /// Height of the plane.
        height: Mm = 0,
    ) -> Flat { section(host, &solid, height) }
    example { "section(ring(20, 6), 2)" }
    fails { "section(ball(5), 6)" => "nothing is there" }

    /// What a solid covers when it is seen from above, as a flat of lines and arcs within the run's tolerance.
    shadow with host(
        /// The solid; turn it first to see it from elsewhere.
        solid: Form,
    ) -> Flat { shadow(host, &solid) }
    example { "shadow(ring(20, 6).turn(60, \"x\"))" }
    fails { "shadow(disc(5))" => "a flat has no thickness" }

    /// A surface that bends without stretching, laid flat, its front up: a cylinder, a cone, a strip of straight lines along each
    /// of which it does not twist.
    ///
    /// Where the surface closes, a strip for gluing stands beyond its last straight line, with a fold to score.
    ///
    /// Source: D. J. Struik, Lectures on Classical Differential Geometry (1950), sections 2-4 and 4-5.
    unroll(
        /// A surface of two parameters, such as `revolve` and `ruled` make, that was not cut.
        surface: Sheet,
        /// Width of the strip for gluing, where the surface closes; 0 for none.
        seam: Stretch = 8,
    ) -> Flat { form::unroll(&surface, seam) }
    example { "unroll(revolve(polyline([[30, 0, 0], [18, 0, 40]])))" }
    example { "unroll(ruled(curve(|t| [t, 5*sin(t/5), 0], 0, 40), curve(|t| [t, 5*sin(t/5), 20], 0, 40)))" }
    fails { "unroll(ruled(polyline([[0, 0, 0], [9, 0, 0]]), polyline([[0, 0, 9], [0, 9, 9]])))" => "would have to stretch" }
    fails { "unroll(revolve(curve(|t| [20 + 8*cos(t), 0, 8*sin(t)], 0, 2*PI)))" => "bends two ways" }

    /// A polyhedron laid flat to be folded: outline to cut, folds to score, a number at each pair of edges to glue.
    ///
    /// Its outside lies up. A polyhedron that finds no place in one piece comes in several.
    unfold with host(
        /// The polyhedron, as `polytope("[5,3]", "011", 30)`.
        net: Struts,
        /// Height of the tabs; 0 for none.
        tab: Stretch = 6,
        /// A flat for every face: cut out, scored or drawn as its layers say, scaled to the face's inner circle.
        motif: Maybe<FlatWork> = (),
        /// Between the motif and the face's edges.
        border: Stretch = 4,
        /// Whether edges to glue bear numbers.
        numbers: Truth = true,
    ) -> Flat { unfold(host, &net, NetAsk { tab, motif, border, numbers }) }
    example { "unfold(polytope(\"[4,3]\", \"100\", 40))" }
    example { "unfold(polytope(\"[5,3]\", \"011\", 24), #{ motif: regular(6, 10), border: 5 })" }
    fails { "unfold(net(\"pcu\"))" => "is not one polyhedron with faces" }
    fails { "unfold(polytope(\"[5/2,5]\", \"100\", 30), 0)" => "a face that crosses itself" }
    fails { "unfold(polytope(\"[5,5/2]\", \"100\", 30), 0)" => "faces that cross one another" }
    fails { "unfold(polytope(\"[4,3]\", \"100\", 40), #{ motif: disc(3), border: 30 })" => "leaves no room" }
}

/// The figures of a process, by name, with where each stands.
fn figures(p: &mut Cutting) -> [(&'static str, &mut f64); 11] {
    [
        ("thickness", &mut p.thickness),
        ("kerf", &mut p.kerf),
        ("strip", &mut p.strip),
        ("spacing", &mut p.spacing),
        ("piece", &mut p.piece),
        ("bridge", &mut p.bridge),
        ("gap", &mut p.gap),
        ("margin", &mut p.margin),
        ("radius", &mut p.radius),
        ("offset", &mut p.offset),
        ("overcut", &mut p.overcut),
    ]
}

fn wrong(what: impl Into<String>, part: usize) -> Fault {
    Fault::new(what).part(Part::Argument(part))
}

fn cutter(method: &str, material: &str, thickness: f64) -> Result<Value, Fault> {
    let names = || Method::ALL.iter().map(|m| m.name());
    let Some(method) = Method::named(method) else {
        let fault = wrong(format!("cutter: there is no method \"{method}\""), 0);
        let list = names().collect::<Vec<_>>().join(", ");
        return Err(match nearest(method, names()) {
            Some(near) => fault.hint(format!("did you mean \"{near}\"? there are {list}")),
            None => fault.hint(format!("there are {list}")),
        });
    };
    let mut found = craft::cutting(method, material, thickness).map_err(|f| no_cut("cutter", &f, 1))?;
    let mut map: BTreeMap<String, Value> = BTreeMap::from([
        ("method".to_owned(), Value::text(method.name())),
        ("material".to_owned(), Value::text(&found.material)),
        ("source".to_owned(), Value::text(found.source)),
        ("caution".to_owned(), Value::text(method.caution())),
    ]);
    map.extend(figures(&mut found).map(|(name, x)| (name.to_owned(), Value::Number(*x))));
    Ok(Value::Map(map))
}

fn no_cut(word: &str, fault: &NoCut, part: usize) -> Fault {
    let told = wrong(format!("{word}: {fault}"), part);
    match fault {
        NoCut::Never { .. } => told.hint("another material, or a knife, a saw or a water jet"),
        NoCut::Unknown { material, known, .. } => {
            let near = nearest(material, known.iter().copied());
            let near = near.map_or(String::new(), |n| format!("did you mean \"{n}\"? "));
            told.hint(format!(
                "{near}there are figures for {}; take the nearest and change its figures",
                known.join(", ")
            ))
        }
        NoCut::Thickness { .. } => told,
    }
}

/// The process that a text or a map tells.
fn process(value: &Value) -> Result<Cutting, Fault> {
    const PART: usize = 2;
    match value {
        Value::Text(text) => craft::told(text).map_err(|told| match told {
            Told::Method => {
                let list = Method::ALL.map(Method::name).join("\", \"");
                wrong(format!("cut: `process` starts with a method, got \"{text}\""), PART)
                    .hint(format!("\"{list}\"; as in \"laser plywood 3\""))
            }
            Told::Thickness => wrong(
                format!("cut: `process` ends in the thickness of the sheet in mm, got \"{text}\""),
                PART,
            )
            .hint("as in \"laser plywood 3\""),
            Told::No(fault) => no_cut("cut", &fault, PART),
        }),
        Value::Map(map) => of_map(map, PART),
        other => Err(wrong(
            format!(
                "cut: `process` is a text as \"laser plywood 3\" or what `cutter` gives, got {}",
                other.kind().with_article()
            ),
            PART,
        )),
    }
}

fn of_map(map: &BTreeMap<String, Value>, part: usize) -> Result<Cutting, Fault> {
    let text = |name: &str| match map.get(name) {
        Some(Value::Text(t)) => Ok(t.clone()),
        _ => Err(wrong(format!("cut: `process` lacks `{name}`"), part).hint("`cutter` makes one")),
    };
    let Some(method) = Method::named(&text("method")?) else {
        return Err(wrong("cut: `process` has no known `method`", part).hint("`cutter` makes one"));
    };
    let mut found = Cutting {
        method,
        material: text("material")?.to_string(),
        thickness: 0.0,
        kerf: 0.0,
        strip: 0.0,
        spacing: 0.0,
        piece: 0.0,
        bridge: 0.0,
        gap: 0.0,
        margin: 0.0,
        radius: 0.0,
        offset: 0.0,
        overcut: 0.0,
        source: "as the script says",
    };
    let names: Vec<&str> = figures(&mut found).iter().map(|(n, _)| *n).collect();
    let texts = ["method", "material", "source", "caution"];
    if let Some(odd) = map.keys().find(|k| !names.contains(&k.as_str()) && !texts.contains(&k.as_str())) {
        let fault = wrong(format!("cut: `process` has no figure `{odd}`"), part);
        return Err(match nearest(odd, names.iter().copied()) {
            Some(near) => fault.hint(format!("did you mean `{near}`?")),
            None => fault.hint(format!("figures are {}", names.join(", "))),
        });
    }
    for (name, slot) in figures(&mut found) {
        match map.get(name).and_then(Value::number) {
            Some(x) if x.is_finite() && (0.0..=1e4).contains(&x) => *slot = x,
            _ => {
                return Err(wrong(
                    format!("cut: `process` wants for `{name}` a number of mm from 0 to 10000"),
                    part,
                ));
            }
        }
    }
    if found.bridge <= 0.0 || found.thickness <= 0.0 {
        return Err(wrong("cut: `process` wants `bridge` and `thickness` of more than 0 mm", part));
    }
    Ok(found)
}

/// Width and height of a sheet.
fn sheet_size(word: &str, list: &[Value], part: usize) -> Result<Vec2, Fault> {
    let sides: Vec<f64> = list.iter().filter_map(Value::number).collect();
    match sides.as_slice() {
        [x, y] if list.len() == 2 && *x > 0.0 && *y > 0.0 && *x <= 1e5 && *y <= 1e5 => Ok(Vec2::new(*x, *y)),
        _ => Err(wrong(format!("{word}: `sheet` is a width and a height in mm, as [600, 400]"), part)),
    }
}

fn asked(bridges: i64, sheet: Option<Vec<Value>>, turns: usize, tabs: i64) -> Result<Ask, Fault> {
    let few = |n: i64| usize::try_from(n).ok().filter(|n| *n <= 24);
    let Some(bridges) = few(bridges) else { return Err(wrong("cut: `bridges` is a number from 0 to 24", 3)) };
    let Some(tabs) = few(tabs) else { return Err(wrong("cut: `tabs` is a number from 0 to 24", 13)) };
    if turns > 72 {
        return Err(wrong(format!("cut: `turns` is at most 72, got {turns}"), 11));
    }
    let sheet = sheet.map(|list| sheet_size("cut", &list, 10)).transpose()?;
    Ok(Ask { bridges, sheet, turns, tabs, ..Ask::default() })
}

fn cut(host: &dyn Host, name: &str, parts: &[Flat], how: &Value, ask: Ask) -> Result<Value, Fault> {
    let name = super::making::name("cut", name)?;
    let process = process(how)?;
    if ask.swivel && process.offset <= 0.0 {
        return Err(wrong("cut: `swivel` is for a drag knife: the process has no `offset`", 9));
    }
    let ready = flat::prepare(parts, &process, &ask)
        .map_err(|f| Fault::new(format!("cut: {f}")).part(Part::Argument(1)))?;
    for (i, sheet) in ready.sheets.iter().enumerate() {
        if let Some(used) = sheet.used {
            let pieces = several(sheet.pieces, "piece uses", "pieces use");
            host.say(format!("{name}: sheet {}: {pieces} {:.1} %", i + 1, 100.0 * used));
        }
    }
    let told = format!("{} {} {} mm", process.method.name(), process.material, process.thickness);
    let piece = FlatPiece { name, flat: ready.wanted(), process: told, cut: Some(Arc::new(ready)) };
    host.make_flat(&piece)?;
    Ok(Value::FlatPiece(Arc::new(piece)))
}

fn nest(parts: &[Flat], sheet: &[Value], gap: f64, margin: f64, turns: usize) -> Result<Vec<Value>, Fault> {
    let size = sheet_size("nest", sheet, 1)?;
    if turns > 72 {
        return Err(wrong(format!("nest: `turns` is at most 72, got {turns}"), 4));
    }
    let sheets =
        flat::nested(parts, size, (gap, margin), turns).map_err(|f| Fault::new(format!("nest: {f}")))?;
    Ok(sheets.into_iter().map(Value::Flat).collect())
}

fn section(host: &dyn Host, solid: &Solid, height: f64) -> Result<Flat, Fault> {
    let told = |why: String| Fault::new(format!("section: {why}"));
    let extent = realise::extent(solid).map_err(|f| told(f.to_string()))?;
    if !(height > extent.min.z && height < extent.max.z) {
        return Err(told(FormFault::Empty.to_string())
            .hint(format!("the solid reaches from z = {:.2} to {:.2}", extent.min.z, extent.max.z)));
    }
    let (rows, tolerance) = host.section(solid, extent, height)?;
    flat::told(rows, tolerance).map_err(|f| told(f.to_string()))
}

fn shadow(host: &dyn Host, solid: &Solid) -> Result<Flat, Fault> {
    let told = |why: String| Fault::new(format!("shadow: {why}"));
    let longest = realise::extent(solid).map_err(|f| told(f.to_string()))?.size().largest();
    let (mesh, tolerance) = host.mesh(solid, Some(SHADOW * longest))?;
    flat::shadow(&mesh, tolerance).map_err(|f| told(f.to_string()))
}

fn unfold(host: &dyn Host, net: &crate::form::net::Net, ask: NetAsk) -> Result<Flat, Fault> {
    let (flat, bare) = crate::form::unfold(net, &ask).map_err(|f| Fault::new(format!("unfold: {f}")))?;
    if bare > 0 {
        host.say(format!("unfold: {bare} edges have no room for a tab: glue a strip behind them"));
    }
    Ok(flat)
}
