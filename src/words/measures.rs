//! Facts about a solid, taken from its mesh.

use super::Host;
use crate::form::Solid;
use crate::value::{Fault, Form};

words! { "measures":
    /// The volume of a solid, mm³.
    volume with host(
        /// The solid.
        solid: Form,
    ) -> Number { measured(host, &solid).map(|m| m.volume) }
    example { "volume(block(10, 20, 30))" }
    fails { "volume(level(X, 0))" => "no thickness" }

    /// The area of a solid's skin, mm².
    area with host(
        /// The solid.
        solid: Form,
    ) -> Number { measured(host, &solid).map(|m| m.area) }
    example { "area(block(10, 20, 30))" }
    fails { "area(3)" => "`solid`" }

    /// The extent of a solid along x, y and z, mm: a list of three.
    size with host(
        /// The solid.
        solid: Form,
    ) -> List { measured(host, &solid).map(|m| m.size) }
    example { "size(block(10, 20, 30))" }
    fails { "size(\"a\")" => "`solid`" }

    /// The number of handles of a solid's skin: 0 for a ball, 1 for a ring.
    ///
    /// For a skin of several parts, the sum over them.
    genus with host(
        /// The solid.
        solid: Form,
    ) -> Number { measured(host, &solid).map(|m| m.genus) }
    example { "genus(ring(20, 4))" }
    fails { "genus(X)" => "a field is a number at every point" }

    /// The number of separate parts of a solid's skin.
    parts with host(
        /// The solid.
        solid: Form,
    ) -> Number { measured(host, &solid).map(|m| m.parts) }
    example { "parts(ball(5) | ball(5).shift(20, 0, 0))" }
    fails { "parts()" => "takes 1 argument" }
}

fn measured(host: &dyn Host, solid: &Solid) -> Result<super::Measured, Fault> {
    host.measure(solid)
}
