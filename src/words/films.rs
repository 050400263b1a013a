//! Surfaces of least area: films on given loops, Seifert's surfaces, and minimal surfaces by their data.

use super::fields::{given, read};
use super::{Host, trace};
use crate::form::{self, Chart, RopeFault, Surface, WeierstrassData};
use crate::formula::{Expr, Kind as Read};
use crate::value::{
    Angle, BraidWord, Count, Curves, Fault, Formula, Formulated, Maybe, Number, Sheet, Size, Truth, Value,
};
use std::collections::BTreeMap;
use std::f64::consts::TAU;

words! { "films":
    /// The soap film on closed curves: the surface of least area that they hold.
    ///
    /// One loop holds a disc, two a tube, more a ball with holes. With `one_sided`, a loop that goes round twice holds a
    /// band with one side: places half the loop apart are joined. A film that cannot hold, such as one between rings too
    /// far apart, is a fault that says where it breaks. `wall` thickens it by true distance, with a round rim.
    ///
    /// Source: U. Pinkall, K. Polthier, Experimental Mathematics 2 (1993) 15.
    film with host(
        /// The loops: curves, or one curve of several strands; all closed.
        boundary: Curves,
        /// Length of the edges of the net that finds it; else 1/180 of the longest loop.
        edge: Maybe<Size> = (),
        /// True for a band with one side, on one loop.
        one_sided: Truth = false,
    ) -> Surface { film(host, &boundary, edge, one_sided) }
    example { "let c = curve(|t| [20*cos(t), 20*sin(t), 0], 0, 2*PI); film([c.shift(0, 0, 9), c.shift(0, 0, -9)], 4)" }
    example { "film(polyline([[0, 0, 0], [20, 20, 0], [20, 0, 20], [0, 20, 20]], true), 2)" }
    example { "film(curve(|t| [(20 + 6*cos(t/2))*cos(t), (20 + 6*cos(t/2))*sin(t), 6*sin(t/2)], 0, 2*TAU), 3, true)" }
    fails { "let ring = curve(|t| [20*cos(t), 20*sin(t), 0], 0, 2*PI); film([ring.shift(0, 0, 14), ring.shift(0, 0, -14)], 4)" => "breaks near" }
    fails { "film(curve(|t| [t, 0, 0], 0, 1))" => "must be closed" }
    fails { "film([])" => "holds no curve" }
    fails { "film(curve(\"20 cos t, 20 sin t, 8 cos 3t\", 0, TAU), 60)" => "mm or less" }
    fails { "film(curve(|t| [9*sin(t), 9*sin(2*t), 0], 0, 2*PI))" => "meets itself" }

    /// The closed curves along the border of a film, or of what else is found on a net.
    border(
        /// The film.
        surface: Sheet,
    ) -> Curve { form::border(&surface) }
    example { "border(seifert(\"1 1 1\"))" }
    fails { "border(level(X, 0))" => "has no border of its own" }

    /// The minimal surface of Weierstrass data: Re ∫ (½(1/g - g), i/2 (1/g + g), 1) dh.
    ///
    /// `g` and `dh` are formulas of a complex `z`: texts, which may hold `i`, or functions of `z`. With `polar` data
    /// z = u exp(i v), v in radians, else z = u + i v. With `sphere`, z = tan(u/2) exp(i v): u from 0 to π and v from 0
    /// to 2π are all of the plane and infinity. Where the integrals do not come home round a pole, or where the
    /// domain closes, that is a fault with the shift. It starts at the origin; `fit` gives it a size.
    ///
    /// Source: D. Hoffman, H. Karcher, Encyclopaedia of Mathematical Sciences 90 (1997) 5, section 2.
    weierstrass with host(
        /// The Gauss map.
        g: Formula,
        /// The height differential, without its dz.
        dh: Formula,
        /// Where u starts.
        from_u: Number,
        /// Where u ends.
        to_u: Number,
        /// Where v starts.
        from_v: Number = 0,
        /// Where v ends.
        to_v: Number = TAU,
        /// True when u is the distance of z from 0, and v its angle.
        polar: Truth = true,
        /// Bends the surface without stretching it; 90 gives the conjugate surface.
        bend: Angle = 0,
        /// True when the surface may fail to close.
        open: Truth = false,
        /// True when u and v are angles on the sphere of all z, `polar` or not.
        sphere: Truth = false,
    ) -> Surface {
        weierstrass(host, [&g, &dh], WeierstrassData {
            g: Expr::constant(0.0),
            dh: Expr::constant(0.0),
            chart: match (sphere, polar) {
                (true, _) => Chart::Sphere,
                (false, true) => Chart::Polar,
                (false, false) => Chart::Plane,
            },
            ranges: [(from_u, to_u), (from_v, to_v)],
            bend,
            open,
        })
    }
    example { "weierstrass(\"z\", \"1/z\", 0.3, 3)" }
    example { "weierstrass(|z| z^2, |z| z^2/(z^3 - 1)^2, 0, 0.6)" }
    example { "weierstrass(\"z\", \"z/(z^2 - 1)^2\", 0, PI, #{ sphere: true }) & ball(1)" }
    fails { "weierstrass(\"z\", \"i/z\", 0.3, 3)" => "comes home shifted by" }
    fails { "weierstrass(\"z\", \"|z|\", 0, 1)" => "complex" }
    fails { "weierstrass(\"z\", \"a z\", 0, 1)" => "`a` has no value" }
    fails { "weierstrass(\"w\", \"1\", 0, 1)" => "in place of `w`" }
    fails { "weierstrass(\"z\", \"z\", 1, 1)" => "must be greater than its start" }

    /// The surface of Seifert on the closed braid of a word: orientable, with the link as its border.
    ///
    /// A disc for each strand and a band with half a turn for each letter, drawn as a film: smooth, and of little area on
    /// its border. Its Euler number is the number of strands less that of letters. `wall` makes it a solid, `border`
    /// gives the link.
    ///
    /// Source: H. Seifert, Mathematische Annalen 110 (1935) 571.
    seifert with host(
        /// The letters, as for `braid`.
        word: BraidWord,
        /// How many strands; else one more than the highest letter.
        strands: Maybe<Count> = (),
        /// Longest side.
        size: Size = 40.0,
    ) -> Surface { seifert(host, &word, strands, size) }
    example { "seifert(\"1 1 1\")" }
    example { "seifert(\"1 -2 1 -2\", (), 60)" }
    fails { "seifert(\"1 0\")" => "the letter 0" }
    fails { "seifert(\"1 x\")" => "no whole number" }
    fails { "seifert(\"1 3\")" => "fall apart" }
}

fn film(
    host: &dyn Host,
    boundary: &[form::Curve],
    edge: Option<f64>,
    one_sided: bool,
) -> Result<Surface, Fault> {
    let named = |fault: form::FormFault| Fault::new(format!("film: {fault}"));
    let all = form::together(boundary).map_err(named)?;
    held(host, "film", form::film(&all, edge, one_sided, host.watch()))
}

/// What became of a film.
fn held(host: &dyn Host, word: &str, made: Result<Surface, RopeFault>) -> Result<Surface, Fault> {
    made.map_err(|fault| match fault {
        RopeFault::Form(fault) => Fault::new(format!("{word}: {fault}")),
        RopeFault::Stopped(_) => host.stopped(),
    })
}

fn weierstrass(
    host: &dyn Host,
    [g, dh]: [&Formulated; 2],
    mut data: WeierstrassData,
) -> Result<Surface, Fault> {
    data.g = complex(host, g)?;
    data.dh = complex(host, dh)?;
    form::weierstrass(&data).map_err(|fault| Fault::new(format!("weierstrass: {fault}")))
}

/// A formula of z, in which a text may hold the unit `i`.
fn complex(host: &dyn Host, formula: &Formulated) -> Result<Expr, Fault> {
    match formula {
        Formulated::Function(f) => {
            let mut traced = trace::components(host, "weierstrass", f, &[("z", (0.2, 0.9))], 1)?;
            traced.pop().ok_or_else(|| Fault::new("weierstrass: no value"))
        }
        Formulated::Text(text) => {
            let mut values = BTreeMap::from([("i".to_owned(), Value::Field(Expr::var("i")))]);
            // A text that is one number for every z is a formula here too.
            let alone = (!text.contains('z')).then(|| format!("0 z + ({text})"));
            let text = alone.as_deref().unwrap_or(text);
            let reading = read(host, "weierstrass", text, &values)?;
            let Read::Field { value, .. } = &reading.kind else {
                return Err(Fault::new("weierstrass: `g` and `dh` are each one formula of z"));
            };
            values.retain(|name, _| reading.free.contains(name));
            let [value] = given("weierstrass", &reading, text, [value.clone()], &values)?;
            Ok(value)
        }
    }
}

fn seifert(host: &dyn Host, word: &[i64], strands: Option<usize>, size: f64) -> Result<Surface, Fault> {
    held(host, "seifert", form::seifert(word, strands, size, host.watch()))
}
