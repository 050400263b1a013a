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
