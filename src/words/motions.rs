//! Things elsewhere, larger, mirrored, repeated, twisted, turned inside out.

use crate::base::Vec3;
use crate::form::{self, FormFault, Solid};
use crate::value::{Angle, Count, Direction, Factor, Form, Mm, Point, Size, Thing, Value};

words! { "motions":
    /// The thing moved.
    shift(
        /// A field, solid, surface, curve, flat or net.
        thing: Thing,
        /// How far along x.
        x: Mm,
        /// How far along y.
        y: Mm = 0,
        /// How far along z, up.
        z: Mm = 0,
    ) -> Same { form::shift(&thing, Vec3::new(x, y, z)) }
    example { "ball(20).shift(0, 0, 5)" }
    example { "ball(20).shift(#{ x: 0, z: 5 })" }
    fails { "shift(3, 1, 2, 3)" => "`thing`" }

    /// The thing turned about a line through the origin, counter-clockwise seen from where the line points to.
    turn(
        /// A field, solid, surface, curve, flat or net.
        thing: Thing,
        /// How far, degrees.
        angle: Angle,
        /// The line.
        axis: Direction = "z",
    ) -> Same { form::turn(&thing, axis, angle) }
    example { "block(30, 10, 10).turn(45)" }
    example { "rod(3, 40).turn(90, \"x\")" }
    fails { "ball(2).turn(45, \"w\")" => "`axis`" }

    /// The thing made larger or smaller about the origin.
    scale(
        /// A field, solid, surface, curve, flat or net.
        thing: Thing,
        /// The factor, or one for each axis: `[1, 1, 2]`.
        factor: Factor,
    ) -> Same { form::scale(&thing, factor) }
    example { "ball(10).scale([1, 1, 2])" }
    fails { "ball(10).scale(0)" => "`factor`" }

    /// The thing mirrored in a plane.
    reflect(
        /// A field, solid, surface, curve, flat or net.
        thing: Thing,
        /// Which way the plane faces.
        direction: Direction = "x",
        /// How far the plane lies from the origin, that way.
        distance: Mm = 0,
    ) -> Same { form::reflect(&thing, direction * distance, direction) }
    example { "ball(5).shift(10, 0, 0).reflect(\"x\")" }
    fails { "ball(5).reflect(1)" => "`direction`" }

    /// The solid and copies of it along a line.
    repeat(
        /// The solid.
        solid: Form,
        /// How many in all.
        count: Count,
        /// How far from one to the next along x.
        x: Mm,
        /// How far from one to the next along y.
        y: Mm = 0,
        /// How far from one to the next along z.
        z: Mm = 0,
    ) -> Solid { row(&solid, count, Vec3::new(x, y, z)) }
    example { "ball(5).repeat(4, 12)" }
    fails { "ball(5).repeat(0, 12)" => "`count`" }

    /// The solid and copies of it, equal angles apart round a line through the origin.
    repeat_around(
        /// The solid.
        solid: Form,
        /// How many in all.
        count: Count,
        /// The line.
        axis: Direction = "z",
    ) -> Solid { around(&solid, count, axis) }
    example { "ball(5).shift(20, 0, 0).repeat_around(7)" }
    fails { "ball(5).repeat_around(1.5)" => "`count`" }

    /// The thing turned about the z axis, further the higher: a straight edge becomes a helix.
    twist(
        /// A field, solid, surface, curve, flat or net.
        thing: Thing,
        /// How far in each mm of height, degrees.
        angle: Angle,
    ) -> Same { form::twist(&thing, angle) }
    example { "block(20, 20, 60).twist(2)" }
    fails { "block(20, 20, 60).twist(\"a\")" => "`angle`" }

    /// The thing turned inside out in a sphere: what is near its middle goes far away, and the reverse.
    ///
    /// A point at distance d from the middle goes to distance radius²/d in the same direction.
    invert(
        /// A field, solid, surface, curve, flat or net.
        thing: Thing,
        /// Radius of the sphere; its points stay.
        radius: Size,
        /// Middle of the sphere.
        centre: Point = Value::from(Vec3::ZERO),
    ) -> Same { form::invert(&thing, centre, radius) }
    example { "ring(20, 4).shift(5, 0, 30).invert(20)" }
    fails { "ball(5).invert(0)" => "`radius`" }

    /// The thing rolled through the sphere of four dimensions: lifted to it by stereographic projection, turned with it and let
    /// down again.
    ///
    /// Circles and spheres stay circles and spheres, and angles stay what they are. A quarter brings the plane z = 0 to the
    /// sphere of that radius, its origin to the lowest point: so tilings are laid on a sphere, and with -90 what lies on the
    /// sphere is brought to the plane. Equal turns of both kinds slide every point along
    /// its own fibre, one of circles that are all linked. Where a flat or a tiling does not stay in its plane, its lines are a
    /// net.
    ///
    /// Source: J. G. Ratcliffe, Foundations of Hyperbolic Manifolds (2006), section 4.2; H. Hopf, Math. Ann. 104 (1931) 637.
    roll(
        /// A field, solid, surface, curve, flat or net.
        thing: Thing,
        /// How far it turns in the plane of the axis and the pole, degrees.
        angle: Angle,
        /// The axis.
        axis: Direction = "z",
        /// Radius of the sphere about the origin that lies half way between the origin and the pole.
        radius: Size = 20,
        /// How far it turns about the axis at the same time, degrees.
        spin: Angle = 0,
    ) -> Any { roll(&thing, angle, axis, radius, spin) }
    example { "roll(ring(20, 4), 60, \"x\", 20)" }
    example { "roll(tiling(\"4.8.8\", 8, 90), 90)" }
    example { "roll(curve(|t| [9*cos(t), 9*sin(t), 0], 0, TAU), 45, \"x\", 20, 45)" }
    fails { "roll(ball(5), 90, \"z\", 0)" => "`radius`" }
    fails { "roll(ball(5), 90, [0, 0, 0])" => "`axis`" }

    /// The solid at another size, all its parts in proportion, with its middle at the origin.
    fit(
        /// A solid or a surface of finite extent.
        thing: Thing,
        /// Its longest extent along x, y or z.
        size: Size,
    ) -> Same { form::fit(&thing, size) }
    example { "block(2, 1, 1).fit(60)" }
    fails { "ball(1).fit(0)" => "`size`" }
}

fn roll(thing: &form::Form, angle: f64, axis: Vec3, radius: f64, spin: f64) -> Result<Value, FormFault> {
    let by = form::rolling(axis, angle, spin, radius)?;
    Ok(match thing {
        form::Form::Flat(f) if !by.keeps_the_plane() => Value::Net(by.of_lines(f)?),
        form::Form::Tiling(t) if !by.keeps_the_plane() => Value::Net(by.of_lines(&t.edges())?),
        other => by.of(other)?.into(),
    })
}

/// Copies a step apart: as one cell looked into again and again along an axis, where they do not crowd.
fn row(solid: &Solid, count: usize, step: Vec3) -> Result<Solid, FormFault> {
    let along: Vec<usize> = (0..3).filter(|i| step[*i] != 0.0).collect();
    if let [axis] = along[..]
        && step[axis] > 0.0
    {
        let counts = [0, 1, 2].map(|i| if i == axis { u32::try_from(count).ok() } else { Some(1) });
        match form::repeat(solid, step, counts) {
            Err(FormFault::Crowded { .. } | FormFault::Endless { .. }) => {}
            done => return done,
        }
    }
    copies(count, |i| {
        #[allow(clippy::cast_precision_loss)]
        form::shift(solid, step * i as f64)
    })
}

fn around(solid: &Solid, count: usize, axis: Vec3) -> Result<Solid, FormFault> {
    if axis == Vec3::new(0.0, 0.0, 1.0)
        && let Ok(few) = u32::try_from(count)
        && let Ok(done) = form::repeat_around(solid, few)
    {
        return Ok(done);
    }
    #[allow(clippy::cast_precision_loss)]
    let step = 360.0 / count as f64;
    #[allow(clippy::cast_precision_loss)]
    copies(count, |i| form::turn(solid, axis, step * i as f64))
}

fn copies(count: usize, copy: impl Fn(usize) -> Result<Solid, FormFault>) -> Result<Solid, FormFault> {
    (1..count).try_fold(copy(0)?, |all, i| form::union(&all, &copy(i)?))
}
