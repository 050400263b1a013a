//! Solids from solids. The signs `|`, `&` and `-` do the same for two.

use crate::form::{self, Solid};
use crate::value::{Fault, Fill, Form, List, Part, Size};

words! { "joins":
    /// All the solids of a list, or all its flats, as one: points of any of them.
    union(
        /// Solids, or flats.
        solids: List,
    ) -> Any { union(&solids) }
    example { "union([ball(10), rod(4, 40)])" }
    fails { "union([])" => "empty" }
    fails { "union([ball(1), 2])" => "item 1" }

    /// What all the solids of a list share.
    common(
        /// Solids.
        solids: List,
    ) -> Solid { fold("common", &solids, form::intersection) }
    example { "common([ball(10), block(30, 10, 10)])" }
    fails { "common([1])" => "item 0" }

    /// Two solids as one, the crease between them filled to a smooth hollow.
    blend(
        /// One solid.
        a: Form,
        /// The other.
        b: Form,
        /// How far from the crease the filling reaches.
        reach: Size,
    ) -> Solid { form::blend(&a, &b, reach) }
    example { "blend(ball(10), rod(4, 40), 3)" }
    fails { "blend(ball(10), rod(4, 40), 0)" => "`reach`" }

    /// A solid and every point nearer to it than a distance: larger on all sides, with rounded outer edges.
    ///
    /// Source: J. Steiner's parallel body (1840); distances are true, whatever the field of the solid measures.
    grow(
        /// The solid.
        solid: Form,
        /// How much on every side.
        by: Size,
    ) -> Solid { form::grow(&solid, by) }
    example { "grow(block(20, 16, 12), 3)" }
    fails { "grow(ball(4), 0)" => "`by`" }

    /// The points of a solid that lie deeper than a distance under its skin.
    shrink(
        /// The solid.
        solid: Form,
        /// How much on every side.
        by: Size,
    ) -> Solid { form::shrink(&solid, by) }
    example { "shrink(block(20, 16, 12), 3)" }
    fails { "shrink(ball(4), -1)" => "`by`" }

    /// A shell in place of a solid: its points no deeper than a thickness under its skin.
    ///
    /// The hollow is closed. Powder and resin want holes to run out, and kilns and casters want air let out: cut some.
    hollow(
        /// The solid.
        solid: Form,
        /// Thickness of the shell.
        thickness: Size,
    ) -> Solid { form::hollow(&solid, thickness) }
    example { "hollow(ball(20), 2) - rod(3, 60)" }
    fails { "hollow(ball(4), 0)" => "`thickness`" }

    /// A solid with its outer edges and corners rounded, as a ball rolled within would leave them.
    ///
    /// What is thinner than the ball is lost.
    /// Source: opening, as in J. Serra, Image Analysis and Mathematical Morphology (1982).
    soften(
        /// The solid.
        solid: Form,
        /// Radius of the ball.
        radius: Size,
    ) -> Solid { form::soften(&solid, radius) }
    example { "soften(block(20, 16, 12), 3)" }
    fails { "soften(ball(4), 0)" => "`radius`" }
}

fn union(items: &[crate::value::Value]) -> Result<crate::value::Value, Fault> {
    match super::flats::all(items) {
        Some(flat) => Ok(flat.into()),
        None => fold("union", items, form::union).map(Into::into),
    }
}

fn fold(
    word: &str,
    solids: &[crate::value::Value],
    join: fn(&Solid, &Solid) -> Result<Solid, form::FormFault>,
) -> Result<Solid, Fault> {
    let mut all: Option<Solid> = None;
    for (i, item) in solids.iter().enumerate() {
        let solid = Form::fill(item).map_err(|_| {
            let got = item.kind().with_article();
            Fault::new(format!("{word}: item {i} of `solids` is a solid, got {got}")).part(Part::Argument(0))
        })?;
        all = Some(match all {
            None => solid,
            Some(before) => join(&before, &solid).map_err(|f| Fault::new(format!("{word}: {f}")))?,
        });
    }
    all.ok_or_else(|| Fault::new(format!("{word}: the list is empty")).part(Part::Argument(0)))
}
