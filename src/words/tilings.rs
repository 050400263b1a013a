//! Tilings, and patterns over them.

use crate::form::flat::Flat;
use crate::form::tiling::{self, NAMES, Tiling, TilingFault};
use crate::value::{Count, Degrees, Fault, Maybe, Number, Part, Size, Text, Tiles, Truth, Value, nearest};

words! { "tilings":
    /// A tiling of the plane, as far as a radius.
    ///
    /// The eleven tilings by regular polygons with one kind of corner go by the polygons round a corner: `"3.6.3.6"`,
    /// `"4.8.8"` or `"4.8²"`; their duals by the same in square brackets, `"[3.4.6.4]"`. Without any period: `"penrose
    /// rhombs"`, `"penrose kites"`, `"ammann-beenker"`, `"hat"`, `"turtle"`, `"spectre"`. Where a flat is wanted, a tiling
    /// is its edges, each once.
    ///
    /// Source: B. Grünbaum, G. C. Shephard, Tilings and Patterns (1987); D. Smith and others, Combinatorial Theory 4 (2024).
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
    fails { "tiling(\"3.6.3.7\")" => "did you mean \"3.6.3.6\"?" }
    fails { "tiling(\"hat\", 0.01, 500)" => "reach less far" }

    /// A regular tiling of the hyperbolic plane in a disc, its edges true arcs.
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
    ) -> Tiling { hyperbolic(p, q, radius, steps, straight) }
    example { "hyperbolic(7, 3)" }
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

    /// The tiling with a tile about each corner of another, where tiles lie all round it.
    dual(
        /// The tiling.
        tiling: Tiles,
    ) -> Tiling { tiling.dual().map_err(|f| told("dual", &f)) }
    example { "dual(tiling(\"3.12.12\", 8, 50))" }
    fails { "dual(hyperbolic(7, 3))" => "straight sides" }

    /// A star pattern over a tiling: rays from the middles of edges, at one angle, that end where they meet.
    ///
    /// In a regular polygon of n sides the star that joins each middle with the d-th next stands at 180 d/n degrees.
    ///
    /// Source: E. H. Hankin (1925); C. S. Kaplan, Graphics Interface 2005, 177.
    stars(
        /// The tiling.
        tiling: Tiles,
        /// Between rays and edges.
        angle: Degrees,
        /// How far the two rays start from the middle of their edge, as a part of it; below 0.5.
        apart: Number = 0,
    ) -> Flat { tiling::stars(&tiling, angle, apart).map_err(|f| told("stars", &f)) }
    example { "stars(tiling(\"4.8.8\", 10, 40), 67.5)" }
    fails { "stars(tiling(\"4.8.8\"), 95)" => "meet nowhere" }
}

fn told(word: &str, fault: &TilingFault) -> Fault {
    let what = Fault::new(format!("{word}: {fault}"));
    match fault {
        TilingFault::Unknown(symbol) => {
            let list =
                format!("there are {}; square brackets make the dual of a vertex symbol", NAMES.join(", "));
            let close = nearest(symbol, NAMES.iter().copied());
            let near = close.map_or(String::new(), |c| format!("did you mean \"{c}\"? "));
            what.hint(format!("{near}{list}")).part(Part::Argument(0))
        }
        _ => what,
    }
}

fn named(symbol: &str, edge: f64, reach: f64) -> Result<Tiling, Fault> {
    tiling::tiling(symbol, edge, reach).map_err(|f| told("tiling", &f))
}

fn hyperbolic(p: usize, q: usize, radius: f64, steps: usize, straight: bool) -> Result<Tiling, Fault> {
    let small = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
    tiling::hyperbolic(small(p), small(q), radius, small(steps), !straight)
        .map_err(|f| told("hyperbolic", &f))
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
