//! Curves that behave as rope: opened up, or pulled tight.

use super::knots::tied;
use crate::form;
use crate::value::{Count, Path, Size};

words! { "ropes":
    /// A closed curve in an even, open shape, of the same length and the same knot.
    ///
    /// Strands keep away from one another as if they were charged, and never pass through one another. The flattest
    /// side of the result lies in the plane of x and y. With `symmetric`, it looks alike after that part of a turn about
    /// the z axis: a curve that does so keeps doing so and stays upright; for others such a shape is sought.
    ///
    /// Source: J. Simon, J. Knot Theory Ramifications 3 (1994) 299; J. O'Hara, Topology and its Applications 48 (1992)
    /// 147.
    relax with host(
        /// The curve, of one strand or several.
        path: Path,
        /// How often it repeats round the z axis.
        symmetric: Count = 1,
    ) -> Curve { tied(host, "relax", form::relaxed(&path, symmetric, host.watch())) }
    example { "relax(braid(\"1 1 1\"))" }
    example { "relax(braid(\"1 -2 1 -2 1 -2 1 -2\"), 4)" }
    example { "relax(braid(\"1 1 1\").turn(50, \"x\"), #{ symmetric: 3 })" }
    fails { "relax(curve(|t| [t, t^2, t^3], 0, 1))" => "must be closed" }
    fails { "relax(braid(\"1 1 1\"), 5)" => "looks alike after 1/5" }
    fails { "relax(curve(|t| [sin(t), sin(2*t), 0], 0, 2*PI))" => "meets itself" }

    /// A closed curve pulled tight for rope of a radius: as short as can be found, of the same knot.
    ///
    /// `tube` with the same radius fills it: no bend is tighter than the radius, and stretches touch without meeting. Parts of a
    /// link that come apart are pulled tight each by itself and stand side by side, a rope's thickness apart.
    ///
    /// Source: T. Ashton et al., Experimental Mathematics 20 (2011) 57.
    tighten with host(
        /// The curve, of one strand or several.
        path: Path,
        /// Radius of the rope.
        radius: Size,
    ) -> Curve { tied(host, "tighten", form::tightened(&path, radius, host.watch())) }
    example { "tighten(braid(\"1 1 1\"), 4)" }
    fails { "tighten(curve(|t| [t, t^2, t^3], 0, 1), 1)" => "must be closed" }
    fails { "tighten(braid(\"1 1 1\"), 0)" => "more than 0 mm" }
}
