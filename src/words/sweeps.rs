//! Sections carried along curves.

use crate::form::{self, Bounded, Carried, Curve, Solid};
use crate::value::{Angle, Fault, Form, Number, Path};

words! { "sweeps":
    /// The solid that a flat section sweeps along a curve, turning no more than the curve makes it turn.
    ///
    /// The section is the cut of a solid with the plane of x and y, such as `block(8, 2, 1)`. It stands square to the
    /// curve, its y axis at the start as upright as the curve allows. On a closed curve it comes home as it went; what
    /// turn is left over is spread evenly. `turns` adds turns on the way: on a closed curve whole ones, or a part after
    /// which the section looks the same, as half a turn of a strip. Open ends are cut square.
    ///
    /// Source: W. Wang et al., ACM Transactions on Graphics 27 (2008) 2, doi:10.1145/1330511.1330513.
    sweep(
        /// The curve, of one strand and without corners.
        path: Path,
        /// A solid whose cut with the plane z = 0 is carried along.
        section: Form,
        /// Turns about the curve on the way, right-handed.
        turns: Number = 0,
        /// How the section is turned at the start.
        angle: Angle = 0,
    ) -> Solid { sweep(&path, &section, Carried { turns, angle }) }
    example { "sweep(curve(|t| [20*cos(t), 20*sin(t), 0], 0, 2*PI), block(3, 10, 1), 0.5)" }
    example { "sweep(curve(|t| [20*cos(t), 20*sin(t), 3*t], 0, 6), block(4, 6, 2))" }
    fails { "sweep(curve(|t| [20*cos(t), 20*sin(t), 0], 0, 2*PI), block(3, 10, 1), 0.3)" => "back onto itself" }
    fails { "sweep(curve(|t| [20*cos(t), 20*sin(t), 0], 0, 2*PI), block(50, 10, 1))" => "has room for" }
    fails { "sweep(curve(|t| [t, 0, 0], 0, 9), ball(2).shift(0, 0, 5))" => "nothing is there" }
}

fn sweep(path: &Curve, section: &Solid, how: Carried) -> Result<Solid, Fault> {
    let told = |fault: form::FormFault| Fault::new(format!("sweep: {fault}"));
    let field = super::fields::solid_field("sweep", section)?;
    let within = section.bounds().map_err(told)?;
    form::sweep(path, &field, within, how).map_err(told)
}
