//! Tilings, and patterns over them.

use super::Host;
use crate::base::{Vec2, Vec3};
use crate::form::flat::Flat;
use crate::form::net;
use crate::form::tiling::{self, NAMES, Stars, Tiling, TilingFault};
use crate::value::{
    Any, Count, Degrees, Fault, Fill, FlatWork, List, Maybe, Number, Part, Point, Size, Stretch, Struts,
    Text, Tiles, Truth, Value, Whole, nearest,
};

words! { "tilings":
    /// A tiling of the plane, as far as a radius.
    ///
    /// The eleven tilings by regular polygons with one kind of corner go by the polygons round a corner: `"3.6.3.6"`,
    /// `"4.8.8"` or `"4.8²"`; their duals by the same in square brackets, `"[3.4.6.4]"`. Without any period: `"penrose
    /// rhombs"`, `"penrose kites"`, `"ammann-beenker"`, `"hat"`, `"turtle"`, `"spectre"`. Made by substitution, Penrose's
    /// tilings are alike in five directions about the origin and `"ammann-beenker by substitution"` in eight;
    /// `"ammann-beenker"` and `"penrose rhombs by projection"` are projected, and alike in none. Where a flat is wanted, a
    /// tiling is its edges, each once.
    ///
    /// Source: B. Grünbaum, G. C. Shephard, Tilings and Patterns (1987); N. G. de Bruijn, Indag. Math. 43 (1981) 39; D. Smith
    /// and others, Combinatorial Theory 4 (2024).
    tiling(
        /// The vertex symbol or name.
        symbol: Text,
        /// Length of the edges (of tiles with two lengths, of the shorter).
        edge: Size = 10,
        /// Tiles are those with their middles no further from the origin.
        reach: Size = 60,
    ) -> Tiling { named(&symbol, edge, reach) }
    example { "tiling(\"3.6.3.6\", 8, 40)" }
    example { "tiling(\"hat\", 5, 40)" }
    fails { "tiling(\"cairo\")" => "the Cairo tiling is tiling(\"[3.3.4.3.4]\")" }
    fails { "tiling(\"3.6.3.7\")" => "did you mean \"3.6.3.6\"?" }
    fails { "tiling(\"hat\", 0.01, 500)" => "reach less far" }

    /// A regular or uniform tiling of the hyperbolic plane in a disc, its edges true arcs.
    ///
    /// Source: H. S. M. Coxeter, Non-Euclidean Geometry (1957); the disc of H. Poincaré, or of F. Klein.
    hyperbolic(
        /// Corners of a tile.
        p: Count,
        /// Tiles round a corner.
        q: Count,
        /// Radius of the disc.
        radius: Size = 60,
        /// Steps across edges from the tile in the middle.
        steps: Count = 4,
        /// Straight edges, as in Klein's disc.
        straight: Truth = false,
        /// A figure for each mirror, 1 with a ring: `"100"` is regular, `"110"` truncates it, `"010"` has p- and q-gons in turn;
        /// `"sss"` is the snub.
        rings: Text = "100",
    ) -> Tiling { hyperbolic([p, q], radius, steps, straight, &rings) }
    example { "hyperbolic(7, 3)" }
    example { "hyperbolic(5, 4, 60, 3, false, \"111\")" }
    example { "hyperbolic(7, 3, 60, 3, true, \"sss\")" }
    fails { "hyperbolic(7, 3, 60, 2, true, \"210\")" => "rings on 3 mirrors" }
    fails { "hyperbolic(4, 4)" => "tiles the flat plane" }
    fails { "hyperbolic(5, 3)" => "is a regular solid" }

    /// The tiles as a list of flats, all or those of one kind.
    tiles(
        /// The tiling.
        tiling: Tiles,
        /// The kind: `"triangle"`, `"square"`, `"thick"`, `"kite"`, `"mirrored"`, and so on.
        kind: Maybe<Text> = (),
    ) -> List { tiles(&tiling, kind.as_deref()) }
    example { "tiles(tiling(\"3.6.3.6\", 8, 12), \"hexagon\")" }
    fails { "tiles(tiling(\"4.4.4.4\"), \"triangle\")" => "it has square" }

    /// The dual of a tiling or a polyhedron: a tile about each corner, where tiles lie all round it; a corner for each face.
    ///
    /// Edges of a polyhedron and of its dual cross square where both touch a sphere. Of a tiling of the hyperbolic plane the
    /// middles are those of that plane, in either disc.
    dual(
        /// A tiling, or a net with faces.
        thing: Any,
    ) -> Any { dual(&thing) }
    example { "dual(tiling(\"3.12.12\", 8, 50))" }
    example { "hull(dual(polytope(\"[5,3]\", \"010\", 12)))" }
    example { "dual(hyperbolic(7, 3, 50, 2))" }
    fails { "dual(net(\"srs\"))" => "no faces" }

    /// A star pattern over a tiling: rays from the middles of edges, at one angle, that end where they meet.
    ///
    /// In a regular polygon of n sides the star that joins each middle with the d-th next stands at 180 d/n degrees. Over a
    /// tiling of the hyperbolic disc the rays are arcs; over a polyhedron they are arcs of its sphere, and the result is a net.
    /// In tiles of any form, rays that meet nowhere turn to each other; those that cannot are left out, which is said.
    ///
    /// A rosette has a petal at each edge: six sides, its outer four equal, about a star in the middle.
    ///
    /// Source: E. H. Hankin (1925); C. S. Kaplan, Graphics Interface 2005, 177; C. S. Kaplan, D. H. Salesin (2004).
    stars with host(
        /// A tiling, or a polyhedron.
        ground: Any,
        /// Between rays and edges.
        angle: Degrees,
        /// How far the two rays start from the middle of their edge, as a part of it; below 0.5.
        apart: Number = 0,
        /// Regular tiles with this many sides and more hold rosettes; 0 for none.
        rosettes: Whole = 0,
    ) -> Any { stars(host, &ground, angle, apart, rosettes) }
    example { "stars(tiling(\"4.8.8\", 10, 40), 67.5)" }
    example { "stars(tiling(\"3.12.12\", 14, 50), 60, #{ rosettes: 12 })" }
    example { "stars(hyperbolic(7, 3, 60, 2), 60)" }
    example { "stars(polytope(\"[5,3]\", \"010\", 12), 72)" }
    example { "stars(hyperbolic(7, 3, 60, 1), 55, #{ rosettes: 7 })" }
    fails { "stars(tiling(\"4.8.8\"), 95)" => "meet nowhere" }
    fails { "stars(hyperbolic(7, 3), 60, 0, 3)" => "least number of sides" }

    /// Cords along the lines of a net, passing over and under each other by turns.
    ///
    /// Where four edges meet, two cords cross and run straight on; where two meet, one turns. Over is away from the middle of a
    /// net on a ball, whose edges are laid onto it, and up from a net in a plane. Cords stand clear of each other as long as
    /// their radius is less than the lift. Star patterns over polyhedra, and polyhedra with four edges to a corner make such nets.
    woven(
        /// The net.
        net: Struts,
        /// How far a cord rises where it goes over, and sinks where it goes under.
        lift: Size = 1,
    ) -> Curve { net::woven(&net, lift).map_err(|f| super::nets::told("woven", &f)) }
    example { "woven(polytope(\"[5,3]\", \"010\", 12), 1.2)" }
    example { "woven(stars(polytope(\"[5,3]\", \"010\", 16), 72), 1.2)" }
    fails { "woven(net(\"hcb\"), 1)" => "3 edges meet" }

    /// Bands along lines that cross, going over and under each other by turns: each is cut off before what it goes under.
    ///
    /// At the border of a patch three edges of a corner are left, or two: the straightest line runs on, the odd one ends.
    interlace(
        /// The lines: a star pattern, the edges of a tiling with four at a corner, any lines that cross two by two.
        lines: FlatWork,
        /// Width of the bands.
        width: Size,
        /// Room between a band and the one that it goes under.
        gap: Stretch = 0.3,
    ) -> Flat { tiling::interlace(&lines, width, gap).map_err(|f| told("interlace", &f)) }
    example { "interlace(stars(tiling(\"4.8.8\", 12, 36), 67.5), 1.5)" }
    example { "interlace(tiling(\"3.6.3.6\", 12, 36), 1.5)" }
    fails { "interlace(tiling(\"6.6.6\", 10, 30), 1)" => "two by two" }
    fails { "interlace(stars(tiling(\"4.8.8\", 12, 36), 67.5), 12)" => "too wide" }

    /// The cells of points: what is nearer to each than to the others, as tiles of the plane or a net in space.
    ///
    /// Source: G. Voronoi, J. reine angew. Math. 134 (1908) 198.
    voronoi(
        /// Points of the plane, as `[3, 4]`, or of space.
        points: List,
        /// Side of the square or cube about the origin that the cells are cut off by.
        side: Size,
        /// Whether a net has edges on the cube too, where it cuts cells off; if not, those ends hang loose.
        border: Truth = true,
    ) -> Any { voronoi(&points, side, border) }
    example { "voronoi([[3, 4], [-8, 2], [5, -9], [0, 0], [-6, -7]], 30)" }
    example { "voronoi([[3, 4, 1], [-8, 2, -3], [5, -9, 5], [0, 0, 0], [-6, -7, 9], [9, 9, -9]], 30)" }
    fails { "voronoi([[40, 0]], 30)" => "no point lies in the square" }
    fails { "voronoi([3, 4], 30)" => "points of the plane" }
    fails { "voronoi([[0, 0], [0, 0], [5, 5]], 30)" => "give each once" }
    fails { "voronoi([[0, 0, 1], [5, 5, 5], [0, 0, 1]], 30)" => "give each once" }

    /// Points joined to their neighbours: triangles of the plane whose circles hold no other point, or a net in space.
    ///
    /// Source: B. Delaunay, Bull. Acad. Sci. URSS 7 (1934) 793.
    delaunay(
        /// Points of the plane, as `[3, 4]`, or of space.
        points: List,
    ) -> Any { delaunay(&points) }
    example { "delaunay([[3, 4], [-8, 2], [5, -9], [0, 0], [-6, -7]])" }
    example { "delaunay([[3, 4, 1], [-8, 2, -3], [5, -9, 5], [0, 0, 0], [-6, -7, 9], [9, 9, -9]])" }
    fails { "delaunay([[3, 4], [6, 8], [9, 12]])" => "not in line" }
    fails { "delaunay([3, 4])" => "points of the plane" }

    /// Discs in a disc that touch: every gap is filled with the disc that touches its three sides, again and again.
    ///
    /// The bend of a disc is one over its radius. Three with whole bends, of which the fourth is whole too, make only whole
    /// ones: -1, 2, 2; -2, 3, 6; -3, 5, 8; -6, 11, 14.
    ///
    /// Source: R. Descartes (1643); J. C. Lagarias, C. L. Mallows, A. R. Wilks, Amer. Math. Monthly 109 (2002) 338.
    apollonian(
        /// Bends of the outer disc, negative, and of two inside it.
        bends: List,
        /// Radius of the outer disc, which is not part of the result.
        radius: Size,
        /// Radius of the least discs.
        least: Size,
    ) -> Flat { apollonian(&bends, radius, least) }
    example { "apollonian([-1, 2, 2], 40, 1)" }
    fails { "apollonian([1, 2, 2], 40, 1)" => "the first bend is negative" }
}

fn told(word: &str, fault: &TilingFault) -> Fault {
    let what = Fault::new(format!("{word}: {fault}"));
    match fault {
        TilingFault::Unknown(symbol) => {
            let list =
                format!("there are {}; square brackets make the dual of a vertex symbol", NAMES.join(", "));
            let begun = |n: &&&str| symbol.len() > 2 && n.starts_with(&symbol.to_lowercase());
            if let Some((name, made)) = called(symbol) {
                return what.hint(format!("{name} is tiling(\"{made}\"); {list}")).part(Part::Argument(0));
            }
            let close = NAMES.iter().find(begun).copied().or_else(|| nearest(symbol, NAMES.iter().copied()));
            let near = close.map_or(String::new(), |c| format!("did you mean \"{c}\"? "));
            what.hint(format!("{near}{list}")).part(Part::Argument(0))
        }
        _ => what,
    }
}

/// Names that people know tilings by, and the names that they have here. Source: B. Grünbaum, G. C. Shephard, Tilings and
/// Patterns (1987), sections 2.1 and 2.7; the others are common.
const CALLED: &[(&str, &str, &str)] = &[
    ("cairo", "the Cairo tiling", "[3.3.4.3.4]"),
    ("floret", "the floret of pentagons", "[3.3.3.3.6]"),
    ("prismatic", "the tiling of pentagons with straight rows", "[3.3.3.4.4]"),
    ("kagome", "the kagome", "3.6.3.6"),
    ("trihexagonal", "the kagome", "3.6.3.6"),
    ("rhombille", "the tiling of rhombs of 60 degrees", "[3.6.3.6]"),
    ("tumbling", "the tiling of rhombs of 60 degrees", "[3.6.3.6]"),
    ("deltoid", "the tiling of kites with corners of 60, 90 and 120 degrees", "[3.4.6.4]"),
    ("kisrhombille", "the tiling of triangles with corners of 30, 60 and 90 degrees", "[4.6.12]"),
    ("tetrakis", "the tiling of half squares", "[4.8.8]"),
    ("hexagon", "the tiling of hexagons", "6.6.6"),
    ("honeycomb", "the tiling of hexagons", "6.6.6"),
    ("triang", "the tiling of triangles", "3.3.3.3.3.3"),
    ("square", "the tiling of squares", "4.4.4.4"),
    ("octagon", "the tiling of octagons and squares", "4.8.8"),
    ("snub square", "the snub square tiling", "3.3.4.3.4"),
    ("rhombus", "the Penrose tiling of rhombs", "penrose rhombs"),
    ("p3", "the Penrose tiling of rhombs", "penrose rhombs"),
    ("p2", "the Penrose tiling of kites and darts", "penrose kites"),
    ("dart", "the Penrose tiling of kites and darts", "penrose kites"),
    ("einstein", "the tiling of hats", "hat"),
    ("monotile", "the tiling of hats", "hat"),
];

/// What a tiling that was asked for by a known name is, and its name here.
fn called(asked: &str) -> Option<(&'static str, &'static str)> {
    let small = asked.to_lowercase();
    // The longest name that is in it: "snub square" before "square".
    let found = CALLED.iter().filter(|c| small.contains(c.0)).max_by_key(|c| c.0.len());
    found.map(|(_, name, made)| (*name, *made))
}

fn dual(thing: &Value) -> Result<Value, Fault> {
    match thing {
        Value::Tiling(t) => t.dual().map(Value::Tiling).map_err(|f| told("dual", &f)),
        Value::Net(n) => net::dual(n).map(Value::Net).map_err(|f| Fault::new(format!("dual: {f}"))),
        other => Err(Fault::new(format!(
            "dual: `thing` is a tiling or a net, got {}",
            other.kind().with_article()
        ))
        .part(Part::Argument(0))),
    }
}

fn named(symbol: &str, edge: f64, reach: f64) -> Result<Tiling, Fault> {
    tiling::tiling(symbol, edge, reach).map_err(|f| told("tiling", &f))
}

fn hyperbolic(
    [p, q]: [usize; 2],
    radius: f64,
    steps: usize,
    straight: bool,
    rings: &str,
) -> Result<Tiling, Fault> {
    let small = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
    let (p, q, steps) = (small(p), small(q), small(steps));
    tiling::uniform(p, q, radius, steps, rings, !straight).map_err(|f| told("hyperbolic", &f))
}

fn stars(host: &dyn Host, ground: &Value, angle: f64, apart: f64, rosettes: i64) -> Result<Value, Fault> {
    let rosettes = match usize::try_from(rosettes) {
        Ok(n) if n == 0 || (5..=1000).contains(&n) => n,
        _ => {
            let what = format!(
                "stars: `rosettes` is 0 for none, or the least number of sides, 5 to 1000, got {rosettes}"
            );
            return Err(Fault::new(what).part(Part::Argument(3)));
        }
    };
    let made = match ground {
        Value::Tiling(t) => tiling::stars(t, &Stars { angle, apart, rosettes }).map(|(flat, loose)| {
            if loose > 0 {
                host.say(format!("stars: {loose} rays meet nowhere inside their tile and are left out"));
            }
            Value::Flat(flat)
        }),
        Value::Net(n) => tiling::stars_on_sphere(n, &Stars { angle, apart, rosettes }).map(Value::Net),
        other => {
            let got = other.kind().with_article();
            return Err(Fault::new(format!("stars: `ground` is a tiling or a polyhedron, got {got}"))
                .part(Part::Argument(0)));
        }
    };
    made.map_err(|f| told("stars", &f))
}

/// Points all of the plane, or all of space.
enum Sites {
    Plane(Vec<Vec2>),
    Space(Vec<Vec3>),
}

fn sites(word: &str, points: &[Value]) -> Result<Sites, Fault> {
    let flat = |v: &Value| match v {
        Value::List(two) => match two.as_slice() {
            [x, y] => Some(Vec2::new(finite(x)?, finite(y)?)),
            _ => None,
        },
        _ => None,
    };
    let plane: Option<Vec<Vec2>> = points.iter().map(flat).collect();
    if let Some(plane) = plane {
        return Ok(Sites::Plane(plane));
    }
    let space: Result<Vec<Vec3>, _> = points.iter().map(Point::fill).collect();
    space.map(Sites::Space).map_err(|_| {
        let what = format!("{word}: `points` are points of the plane, as [3, 4], or of space, as [3, 4, 5]");
        Fault::new(what).part(Part::Argument(0))
    })
}

fn finite(value: &Value) -> Option<f64> {
    value.number().filter(|x| x.is_finite())
}

fn voronoi(points: &[Value], side: f64, border: bool) -> Result<Value, Fault> {
    match sites("voronoi", points)? {
        Sites::Plane(p) => tiling::voronoi(&p, side).map(Value::Tiling).map_err(|f| told("voronoi", &f)),
        Sites::Space(p) => tiling::voronoi_net(&p, side, border)
            .map(Value::Net)
            .map_err(|f| super::nets::told("voronoi", &f)),
    }
}

fn delaunay(points: &[Value]) -> Result<Value, Fault> {
    match sites("delaunay", points)? {
        Sites::Plane(p) => tiling::delaunay(&p).map(Value::Tiling).map_err(|f| told("delaunay", &f)),
        Sites::Space(p) => {
            tiling::delaunay_net(&p).map(Value::Net).map_err(|f| super::nets::told("delaunay", &f))
        }
    }
}

fn apollonian(bends: &[Value], radius: f64, least: f64) -> Result<Flat, Fault> {
    let bends: Option<Vec<f64>> = bends.iter().map(Value::number).collect();
    let three = bends.and_then(|b| <[f64; 3]>::try_from(b).ok());
    let three =
        three.ok_or_else(|| Fault::new("apollonian: `bends` are three numbers").part(Part::Argument(0)))?;
    tiling::apollonian(three, radius, least).map_err(|f| told("apollonian", &f))
}

fn tiles(tiling: &Tiling, kind: Option<&str>) -> Result<Vec<Value>, Fault> {
    if let Some(kind) = kind
        && !tiling.counts().contains_key(kind)
    {
        let known: Vec<&str> = tiling.counts().into_keys().collect();
        let what = format!("tiles: the tiling {} has no tile \"{kind}\"", tiling.name());
        return Err(Fault::new(what).hint(format!("it has {}", known.join(", "))).part(Part::Argument(1)));
    }
    let wanted = tiling.tiles().iter().filter(|t| kind.is_none_or(|k| k == t.kind));
    Ok(wanted.map(|t| Value::Flat(Flat::of_loops(vec![t.outline.clone()]))).collect())
}
