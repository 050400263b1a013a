//! Groups of motions, and what they make of a thing.

use std::collections::BTreeMap;

use crate::base::{Affine, Vec3};
use crate::form::group::{self, CellAsk, FRIEZE, Group, GroupFault, Kind, Reach, WALLPAPER, settings};
use crate::form::{Field, Form};
use crate::value::{Any, Fault, Fill, Images, Motions, Part, Point, Repeated, Value, nearest};

words! { "groups":
    /// A group of motions by its symbol: a point group, frieze, wallpaper or space group.
    ///
    /// Point groups go by Schoenflies (`"Ih"`, `"D5d"`), Hermann-Mauguin (`"m-3m"`) or orbifold (`"*532"`) symbols, and
    /// by Coxeter's diagrams (`"[5,3]"`); friezes along x and wallpapers by Hermann-Mauguin (`"p4gm"`) or orbifold
    /// (`"4*2"`); the 230 space groups by Hermann-Mauguin (`"Ia-3d"`, `"Cmce"` or the older `"Cmca"`), Hall (`"-I 4bd 2c 3"`) or number (`230`). A list of
    /// motions such as `["-y, x, z", "x, y, -z"]` generates a group, and so do turns and mirrors of space, which must close:
    /// `[#{ turn: 72, axis: [0, 0, 1] }, #{ mirror: [1, 0, 0] }]`, each through the origin or through `at`; with both a turn
    /// is followed by the mirror. Of names that several share, wallpapers come before
    /// friezes, and `"C2"` is Schoenflies': `"frieze p2mg"` and `"space C2"` choose. `×` and `∞` may be typed `x` and `oo`.
    ///
    /// Mirrors make a group by Coxeter's diagram, a row (`"[4,3,4]"`), a fork (`"[4,3^1,1]"`) or a ring (`"[3^[4]]"`), or by the
    /// matrix of their angles: `[[1,5,2],[5,1,3],[2,3,1]]`, with 0 for mirrors that do not meet. Three that close no group of
    /// the sphere or the plane make one of the hyperbolic plane, in a disc (`"*732"`), and so do more in turn round a polygon
    /// (`"*2223"`, numbers of two figures in brackets), whose sides then touch a circle; four through a point make one of four dimensions (`"[3,4,3]"`), seen in space by
    /// stereographic projection. A `+` behind a
    /// diagram (`"[5,3]+"`), or the symbol of a hyperbolic orbifold without `*` (`"732"`), leaves the turns alone.
    ///
    /// Source: International Tables for Crystallography A, B and E; J. H. Conway, D. H. Huson, Struct. Chem. 13 (2002) 247;
    /// H. S. M. Coxeter, Regular Polytopes (1973), chapter 11.
    group(
        /// The symbol, a number from 1 to 230, a list of motions, or a matrix of mirrors.
        symbol: Any,
        /// Edge of the cell, mm, or edges and angles: `#{ a: 20, b: 30, gamma: 100 }`. What is left out follows from
        /// the group. In the hyperbolic plane, radius of the disc; in four dimensions, of the sphere.
        cell: Any = 10,
    ) -> Group { named(&symbol, &cell) }
    example { "group(\"p4gm\", 20)" }
    example { "group(\"*532\")" }
    example { "group(\"Ia-3d\", 40)" }
    example { "group(\"P6₃/mmc\", #{ a: 20, c: 33 })" }
    example { "group(\"Cmce\", #{ a: 20, b: 30, c: 25 })" }
    example { "group([\"-y, x-y, z\", \"-x, -y, -z\"], #{ a: 10, c: 12 })" }
    example { "group(\"*2223\", 40)" }
    example { "group(\"732\", 40)" }
    example { "group([#{ turn: 72, axis: [0, 0, 1] }, #{ turn: 180, axis: [1, 0, 0] }])" }
    example { "group([[1, 4, 2, 2], [4, 1, 3, 2], [2, 3, 1, 4], [2, 2, 4, 1]], 20)" }
    fails { "group(\"p5m\")" => "did you mean" }
    fails { "group(\"p5\")" => "turns of 5 keep no lattice" }
    fails { "group(\"*22 17\")" => "\"*22(17)\"" }
    fails { "group(\"P 4 2 (x-y, x+y, z)\")" => "only that of the origin is read" }
    fails { "group(\"R-3m\", #{ a: 10, alpha: 70, beta: 70, gamma: 70 })" => "write `R-3m:R`" }
    fails { "group([#{ turn: 50, axis: [0, 0, 1] }, #{ turn: 90, axis: [1, 0, 0] }])" => "more than 2000" }
    fails { "group([#{ turn: 90, axle: [0, 0, 1] }])" => "has no `axle`" }
    fails { "group(231)" => "numbers from 1 to 230" }
    fails { "group(\"p4mm\", #{ a: 5, b: 6 })" => "a = b and right angles" }
    fails { "group(\"P1\", #{ a: 5, alpha: 120, beta: 120, gamma: 150 })" => "no cell has the angles" }
    fails { "group([[1, 3], [4, 1]])" => "both sides of its diagonal" }

    /// A thing and all its images under a group, as one; images that coincide count once.
    ///
    /// Of a solid, a flat or a net that is one solid, flat or net, of a curve a list of curves, of points a list of points.
    orbit(
        /// The group.
        group: Motions,
        /// A solid, flat, curve or net, or points: `[1, 2, 3]` or a list of such.
        thing: Repeated,
        /// How far images of a frieze, wallpaper or space group go: the radius of a ball about the origin that holds
        /// their middles, or the sides of a box, as `[100, 60]` or `[100, 60, 40]`, mm.
        reach: Any = (),
    ) -> Any { orbit(&group, &thing, &reach) }
    example { "orbit(group(\"Oh\"), ball(3).shift(12, 12, 12))" }
    example { "orbit(group(\"p6mm\", 20), disc(4).shift(6, 2), 40)" }
    example { "orbit(group(\"*732\", 40), disc(2).shift(6, 1), 34)" }
    example { "orbit(group(\"732\", 40), disc(2).shift(6, 1), 20)" }
    example { "orbit(group(\"[3,3,3]\", 20), ball(2).shift(9, 5, 14), 60)" }
    example { "union(orbit(group(\"T\"), curve(|t| [20*cos(t), 20*sin(t), 4], 0, 2*PI)).map(|c| c.tube(1)))" }
    example { "orbit(group(\"Oh\"), [3, 2, 1])" }
    fails { "orbit(group(\"p1\"), disc(1))" => "say how far the images go" }
    fails { "orbit(group(\"Oh\"), X)" => "`fold` repeats it under a group" }
    fails { "orbit(group(\"Oh\"), ball(5).skin())" => "give it thickness first" }
    fails { "orbit(group(\"Oh\"), [[1, 2], [3, 4, 5]])" => "must have three numbers, not 2" }

    /// A part of the plane or of space whose images under a group fill it without gaps.
    ///
    /// Of a wallpaper group, or one of the hyperbolic plane, a flat; of a space group a solid; of other groups a solid without end, to be cut with `&`.
    /// It holds the points nearer to one point than to all its images.
    domain(
        /// The group.
        group: Motions,
    ) -> Any { domain(&group) }
    example { "domain(group(\"p4gm\", 20))" }
    example { "domain(group(\"Oh\")) & ball(20)" }
    example { "domain(group(\"*732\", 40))" }
    example { "domain(group(\"*22222\", 40))" }
    fails { "domain(group(\"C1\"))" => "all space" }

    /// A field or solid folded: every point looks at its image in the domain of the group.
    ///
    /// A thousand images then cost no more than one. A folded field is the same at all images of a point; a folded solid is
    /// all images of what lies in the domain, and what reaches over its faces is cut off there (`domain` shows it). Under
    /// mirrors alone nothing is torn: `fold(group("*532"), Z) < 20` and its like have whole faces, and a ball ends them.
    ///
    /// Source: A. Björner, F. Brenti, Combinatorics of Coxeter Groups (2005).
    fold(
        /// The group.
        group: Motions,
        /// A field or a solid.
        thing: Any,
    ) -> Any { fold(&group, &thing) }
    example { "fold(group(\"Oh\"), ball(6).shift(9, 7, 4))" }
    example { "fold(group(\"*432\"), X + Y + Z) < 20 & ball(25)" }
    example { "fold(group(\"Pm-3m\", 20), (X - 3)^2 + (Y - 3)^2 + (Z - 2)^2) < 9 & ball(25)" }
    fails { "fold(group(\"Oh\"), disc(3))" => "`thing` is a field or a solid" }
    fails { "fold(group(\"C1\"), ball(3))" => "all space" }

    /// The number of motions of a finite group; of one with steps, of those in one cell.
    order(
        /// The group.
        group: Motions,
    ) -> Number { order(&group) }
    example { "order(group(\"Ih\"))" }
    example { "order(group(\"Fd-3m\"))" }
    example { "order(group(\"[3,3,5]\"))" }
    fails { "order(group(\"*732\"))" => "has no end" }
    fails { "order(ball(1))" => "`group` is a group, got a solid" }
}

fn told(word: &str, fault: &GroupFault) -> Fault {
    let what = Fault::new(format!("{word}: {fault}"));
    match fault {
        GroupFault::Unknown(symbol) => what.hint(near(symbol)).part(Part::Argument(0)),
        GroupFault::Cell { .. } | GroupFault::Angles { .. } | GroupFault::Edge(..) => {
            what.part(Part::Argument(1))
        }
        _ => what.part(Part::Argument(0)),
    }
}

/// The nearest symbols, and where they all are.
fn near(symbol: &str) -> String {
    let plane = WALLPAPER.iter().chain(FRIEZE).flat_map(|p| [p.symbol, p.orbifold]);
    // Without marks of the origin or the axes.
    let plain = |symbol: &str| symbol.split(':').next().unwrap_or_default().replace(' ', "");
    let space: Vec<String> = settings().map(|s| plain(s.symbol)).collect();
    #[rustfmt::skip]
    let point = ["T", "Td", "Th", "O", "Oh", "I", "Ih", "S4", "S6", "S8", "432", "532", "*432", "*532", "m-3m", "-43m"];
    let turns = (2..=9)
        .flat_map(|n| ["Cn", "Cnv", "Cnh", "Dn", "Dnh", "Dnd"].map(|s| s.replace('n', &n.to_string())));
    let turns: Vec<String> = turns.collect();
    let all = plane.chain(point).chain(turns.iter().chain(&space).map(String::as_str));
    let list =
        "symbols are listed at the word `group` in the reference; space groups also go by number, 1 to 230";
    let why = no_lattice(symbol).map_or(String::new(), |n| {
        format!(
            "turns of {n} keep no lattice: wallpapers have those of 2, 3, 4 and 6, as \"p2\", \"p3\", \"p4\" and \"p6\"; about \
             a point \"C{n}\" turns; "
        )
    });
    if let Some(told) = unusual(symbol) {
        return format!("{told}; {list}");
    }
    match nearest(symbol, all) {
        Some(close) => format!("{why}did you mean \"{close}\"? {list}"),
        None => format!("{why}{list}"),
    }
}

/// What is told of a symbol in a notation that is read only in part.
fn unusual(symbol: &str) -> Option<String> {
    if symbol.contains('(') && symbol.contains(',') {
        return Some(
            "of a change of basis only that of the origin is read, in twelfths, as in \"P 4 2 (0 0 -1)\"; another one \
             by its motions, as [\"-y, x, z\", \"x, -y, -z+1/6\"]"
                .into(),
        );
    }
    // "*22 17": figures that stand together are numbers of one figure each, unless blanks part all of them.
    let (sign, rest) = match symbol.trim().strip_prefix('*') {
        Some(rest) => ("*", rest),
        None => ("", symbol.trim()),
    };
    let numbers: Vec<&str> = rest.split_whitespace().collect();
    if numbers.len() == 2 && numbers.iter().all(|n| n.chars().all(|c| c.is_ascii_digit())) {
        let parted: Vec<String> = numbers[0].chars().map(String::from).collect();
        return Some(format!(
            "numbers of several figures stand in brackets: \"{sign}{}({})\"",
            parted.concat(),
            numbers[1]
        ));
    }
    None
}

/// The figure of a symbol made like that of a wallpaper, when no wallpaper turns by that part of a circle.
fn no_lattice(symbol: &str) -> Option<u32> {
    let figure = symbol.trim().strip_prefix(['p', 'c'])?.chars().next()?.to_digit(10)?;
    matches!(figure, 5 | 7..).then_some(figure)
}

fn named(symbol: &Value, cell: &Value) -> Result<Group, Fault> {
    let cell = cell_of(cell)?;
    let made = match symbol {
        Value::Text(symbol) => Group::named(symbol, &cell),
        Value::Whole(number) => Group::numbered(*number, &cell),
        Value::List(items) if !items.is_empty() && items.iter().all(|i| matches!(i, Value::Map(_))) => {
            let motions = items.iter().map(motion).collect::<Result<Vec<Affine>, _>>()?;
            Group::of_motions("of turns and mirrors", &motions)
        }
        Value::List(items) if items.iter().any(|i| matches!(i, Value::List(_))) => {
            group::of_matrix(&matrix(items).ok_or_else(|| wrong(symbol))?, &cell)
        }
        Value::List(items) => {
            let texts: Option<Vec<&str>> = items
                .iter()
                .map(|i| match i {
                    Value::Text(t) => Some(&**t),
                    _ => None,
                })
                .collect();
            let texts = texts.filter(|t| !t.is_empty()).ok_or_else(|| wrong(symbol))?;
            Group::generated(&texts, &cell)
        }
        _ => return Err(wrong(symbol)),
    };
    made.map_err(|f| told("group", &f))
}

/// A turn about an axis, a mirror, or one after the other, as a map tells it.
fn motion(told: &Value) -> Result<Affine, Fault> {
    let wrong = |what: &str| Fault::new(format!("group: {what}")).part(Part::Argument(0));
    let Value::Map(map) = told else { return Err(wrong("a motion is a map")) };
    if let Some(other) = map.keys().find(|k| !["turn", "axis", "mirror", "at"].contains(&k.as_str())) {
        let what =
            format!("a motion has no `{other}`: it has `turn` [degrees] and `axis`, or `mirror`, and `at`");
        return Err(wrong(&what));
    }
    let vector = |name: &str| match map.get(name) {
        None => Ok(None),
        Some(v) => Point::fill(v)
            .map(Some)
            .map_err(|_| wrong(&format!("`{name}` of a motion is a list of three numbers, as [0, 0, 1]"))),
    };
    let (axis, mirror, at) = (vector("axis")?, vector("mirror")?, vector("at")?.unwrap_or(Vec3::ZERO));
    let none = || wrong("a direction of a motion is not [0, 0, 0]");
    let turn = match (map.get("turn").map(Value::number), axis) {
        (None, None) if mirror.is_some() => Affine::IDENTITY,
        (Some(Some(degrees)), Some(axis)) if degrees.is_finite() => {
            Affine::turn(axis, degrees.to_radians()).ok_or_else(none)?
        }
        _ => return Err(wrong("a motion is a `turn` [degrees] about an `axis`, or a `mirror`, or both")),
    };
    let turn = Affine::shift(-at).then(&turn).then(&Affine::shift(at));
    Ok(match mirror {
        Some(normal) => turn.then(&Affine::reflect(at, normal).ok_or_else(none)?),
        None => turn,
    })
}

/// Whole numbers in rows.
fn matrix(rows: &[Value]) -> Option<Vec<Vec<u32>>> {
    let number =
        |v: &Value| v.number().filter(|x| x.fract() == 0.0 && (0.0..=1e6).contains(x)).map(|x| x as u32);
    let row = |v: &Value| match v {
        Value::List(items) => items.iter().map(number).collect(),
        _ => None,
    };
    rows.iter().map(row).collect()
}

fn fold(group: &Group, thing: &Value) -> Result<Value, Fault> {
    let fault = |f: GroupFault| Fault::new(format!("fold: {f}"));
    match thing {
        Value::Solid(s) => group::fold_solid(group, s).map(Into::into).map_err(fault),
        Value::Piece(p) => group::fold_solid(group, &p.form).map(Into::into).map_err(fault),
        Value::Field(e) => {
            let field = Field::new(e.clone()).map_err(|f| Fault::new(format!("fold: {f}")))?;
            let folded = group::fold_field(group, &field).map_err(fault)?;
            Ok(Value::Field(folded.expr().clone()))
        }
        other => Err(Fault::new(format!(
            "fold: `thing` is a field or a solid, got {}",
            other.kind().with_article()
        ))
        .part(Part::Argument(1))),
    }
}

fn order(group: &Group) -> Result<i64, Fault> {
    if group.kind() == Kind::Disc {
        return Err(Fault::new(format!("order: the {} {} has no end", group.kind().name(), group.name()))
            .part(Part::Argument(0)));
    }
    Ok(i64::try_from(group.order()).unwrap_or(i64::MAX))
}

fn wrong(symbol: &Value) -> Fault {
    let got = symbol.kind().with_article();
    Fault::new(format!("group: `symbol` is a text, a whole number, a list of motions as texts or a matrix of whole numbers, got {got}"))
        .part(Part::Argument(0))
}

fn cell_of(cell: &Value) -> Result<CellAsk, Fault> {
    let wrong = |what: String| Fault::new(format!("group: {what}")).part(Part::Argument(1));
    if let Some(a) = cell.number() {
        return Ok(CellAsk { a: Some(a), ..CellAsk::default() });
    }
    let Value::Map(map) = cell else {
        return Err(wrong("`cell` is a number [mm] or a map such as #{ a: 20, b: 30 }".into()));
    };
    let known = ["a", "b", "c", "alpha", "beta", "gamma"];
    let mut found: BTreeMap<&str, f64> = BTreeMap::new();
    for (name, value) in map {
        let name = match name.as_str() {
            "α" => "alpha",
            "β" => "beta",
            "γ" => "gamma",
            other => other,
        };
        let Some(known) = known.iter().find(|k| **k == name) else {
            return Err(wrong(format!(
                "a cell has no `{name}`; it has a, b, c [mm] and alpha, beta, gamma [degrees]"
            )));
        };
        let value = value.number().ok_or_else(|| wrong(format!("`{name}` of a cell is a number")))?;
        found.insert(known, value);
    }
    let of = |name| found.get(name).copied();
    let [a, b, c, alpha, beta, gamma] = known.map(of);
    Ok(CellAsk { a, b, c, alpha, beta, gamma })
}

fn reach_of(value: &Value) -> Result<Reach, Fault> {
    let wrong = || {
        Fault::new("orbit: `reach` is a radius [mm], or the sides of a box as [100, 60] or [100, 60, 40]")
            .part(Part::Argument(2))
    };
    match value {
        Value::Nothing => Ok(Reach::All),
        Value::List(sides) => {
            let sides: Option<Vec<f64>> = sides.iter().map(|s| s.number().filter(|x| *x >= 0.0)).collect();
            match sides.ok_or_else(wrong)?[..] {
                [x, y] => Ok(Reach::Box(Vec3::new(x, y, f64::INFINITY))),
                [x, y, z] => Ok(Reach::Box(Vec3::new(x, y, z))),
                _ => Err(wrong()),
            }
        }
        other => other.number().filter(|r| *r >= 0.0 && r.is_finite()).map(Reach::Ball).ok_or_else(wrong),
    }
}

fn orbit(group: &Group, thing: &Images, reach: &Value) -> Result<Value, Fault> {
    let reach = reach_of(reach)?;
    if matches!(reach, Reach::Box(sides) if sides.z.is_infinite()) && group.steps().len() > 2 {
        let what = "orbit: in space a box has three sides, as [100, 60, 40]";
        return Err(Fault::new(what).part(Part::Argument(2)));
    }
    let fault = |f: GroupFault| Fault::new(format!("orbit: {f}"));
    let form = match thing {
        Images::Of(form) => form,
        Images::Points(points) => {
            let images = group::orbit_points(group, points, reach).map_err(fault)?;
            return Ok(Value::List(images.into_iter().map(Value::from).collect()));
        }
    };
    match form {
        Form::Solid(s) => group::orbit_solid(group, s, reach).map(Into::into).map_err(fault),
        Form::Flat(f) => group::orbit_flat(group, f, reach).map(Into::into).map_err(fault),
        Form::Tiling(t) => group::orbit_flat(group, &t.edges(), reach).map(Into::into).map_err(fault),
        Form::Net(n) => group::orbit_net(group, n, reach).map(Into::into).map_err(fault),
        Form::Curve(c) => {
            let curves = group::orbit_curve(group, c, reach).map_err(fault)?;
            Ok(Value::List(curves.into_iter().map(Value::Curve).collect()))
        }
        Form::Field(_) | Form::Surface(_) => {
            Err(Fault::new("orbit: `thing` is a solid, flat, curve or net").part(Part::Argument(1)))
        }
    }
}

fn domain(group: &Group) -> Result<Value, Fault> {
    let fault = |f: GroupFault| Fault::new(format!("domain: {f}"));
    match group.kind() {
        Kind::Wallpaper | Kind::Disc => group::domain_flat(group).map(Into::into).map_err(fault),
        _ => group::domain_solid(group).map(Into::into).map_err(fault),
    }
}
