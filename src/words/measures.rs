//! Facts about solids and surfaces, taken from their meshes, and about flats, taken from their paths.

use super::Host;
use crate::base::Vec3;
use crate::form::{self, Form, Solid};
use crate::value::{self, Areal, Bodied, Body, Fault, Figure, Wide};

words! { "measures":
    /// The volume of a solid, mm³.
    volume with host(
        /// The solid.
        solid: value::Form,
    ) -> Number { measured(host, &solid).map(|m| m.volume) }
    example { "volume(block(10, 20, 30))" }
    fails { "volume(level(X, 0))" => "no thickness" }

    /// The area of a solid's skin, of a surface, or of a flat's regions, mm².
    area with host(
        /// The solid, surface or flat.
        thing: Wide,
    ) -> Number { area(host, &thing) }
    example { "area(block(10, 20, 30))" }
    example { "area(disc(10) - disc(4))" }
    example { "area(film(curve(\"10 cos t, 10 sin t, 0\", 0, TAU)))" }
    fails { "area(3)" => "`thing`" }

    /// The extent of a solid, flat, curve or net along x, y and z, mm: a list of three.
    size with host(
        /// The solid, flat, curve or net.
        solid: Figure,
    ) -> List { size(host, &solid) }
    example { "size(block(10, 20, 30))" }
    example { "size(polytope(\"[4,3]\", \"100\", 20))" }
    fails { "size(\"a\")" => "`solid`" }

    /// The number of handles of a solid's skin: 0 for a ball, 1 for a ring.
    ///
    /// For a skin of several parts, the sum over them.
    genus with host(
        /// The solid.
        solid: value::Form,
    ) -> Number { measured(host, &solid).map(|m| m.genus) }
    example { "genus(ring(20, 4))" }
    fails { "genus(X)" => "a field is a number at every point" }

    /// The number of separate parts of a solid's skin, or of separate regions of a flat.
    parts with host(
        /// The solid or flat.
        solid: Body,
    ) -> Number { parts(host, &solid) }
    example { "parts(ball(5) | ball(5).shift(20, 0, 0))" }
    fails { "parts()" => "takes 1 argument" }
}

fn area(host: &dyn Host, thing: &Areal) -> Result<f64, Fault> {
    match thing {
        Areal::Body(Bodied::Solid(s)) => measured(host, s).map(|m| m.area),
        Areal::Body(Bodied::Flat(f)) => Ok(f.area()),
        Areal::Surface(s) => host.spread(s),
    }
}

fn size(host: &dyn Host, thing: &Form) -> Result<Vec3, Fault> {
    match thing {
        Form::Solid(s) => measured(host, s).map(|m| m.size),
        Form::Flat(f) if f.is_empty() => Ok(Vec3::ZERO),
        other => form::bounds(other).map(|b| b.size()).map_err(|f| Fault::new(format!("size: {f}"))),
    }
}

fn parts(host: &dyn Host, body: &Bodied) -> Result<i64, Fault> {
    match body {
        Bodied::Solid(s) => measured(host, s).map(|m| m.parts),
        Bodied::Flat(f) => Ok(i64::try_from(f.regions()).unwrap_or(i64::MAX)),
    }
}

fn measured(host: &dyn Host, solid: &Solid) -> Result<super::Measured, Fault> {
    host.measure(solid)
}
