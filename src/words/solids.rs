//! Solids with a name, about the origin.

use crate::base::Vec3;
use crate::form;
use crate::value::{Direction, Mm, Size, Stretch};

words! { "solids":
    /// A ball about the origin.
    ball(
        /// Radius.
        radius: Size,
    ) -> Solid { form::ball(radius) }
    example { "ball(20)" }
    fails { "ball(-1)" => "`radius` must be more than 0 mm, got -1" }
    fails { "ball(\"big\")" => "`radius` is a number [mm], got a text" }
    fails { "ball()" => "takes 1 argument, got 0" }

    /// A block centred on the origin, its edges along the axes.
    block(
        /// Extent along x.
        x: Size,
        /// Extent along y.
        y: Size,
        /// Extent along z.
        z: Size,
    ) -> Solid { form::block(Vec3::new(x, y, z)) }
    example { "block(30, 30, 10)" }
    fails { "block(30, 0, 10)" => "`y`" }

    /// A round rod along z, centred on the origin.
    rod(
        /// Radius.
        radius: Size,
        /// Extent along z.
        height: Size,
    ) -> Solid { form::rod(radius, height) }
    example { "rod(5, 40)" }
    fails { "rod(5, -40)" => "`height`" }

    /// A cone along z, centred on the origin: `bottom` radius at the lower end, `top` radius at the upper.
    cone(
        /// Radius at the lower end; 0 for a point.
        bottom: Stretch,
        /// Radius at the upper end; 0 for a point.
        top: Stretch,
        /// Extent along z.
        height: Size,
    ) -> Solid { form::cone(bottom, top, height) }
    example { "cone(20, 0, 30)" }
    fails { "cone(20, -1, 30)" => "`top`" }

    /// A ring about the z axis: the points nearer than `tube` to a circle.
    ring(
        /// Radius of the circle.
        radius: Size,
        /// Radius of the tube round it.
        tube: Size,
    ) -> Solid { form::ring(radius, tube) }
    example { "ring(20, 4)" }
    fails { "ring(20, 0)" => "`tube`" }

    /// Everything behind a plane: `direction` points out of it.
    halfspace(
        /// Which way the plane faces.
        direction: Direction = "z",
        /// How far the plane lies from the origin, that way.
        distance: Mm = 0,
    ) -> Solid { form::halfspace(direction * distance, direction) }
    example { "ball(20) & halfspace(\"z\")" }
    example { "block(20, 20, 20) & halfspace([1, 1, 1], 6)" }
    fails { "halfspace([0, 0, 0])" => "`direction`" }
}
