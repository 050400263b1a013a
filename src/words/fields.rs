//! Functions of space: from a formula, from a function, and point by point from other fields.

use super::Host;
use super::trace;
use crate::form::{self, Field, FormFault, Surface};
use crate::formula::{self, Expr, Kind as Read, Reading, Tape};
use crate::value::{Fault, FieldLike, Form, Formula, Formulated, Number, Options, Part, Value};
use std::collections::BTreeMap;

words! { "fields":
    /// The field that a formula describes.
    ///
    /// The formula is a text as people write it, in x, y, z: `"sin x cos y + sin y cos z + sin z cos x"`. With
    /// an equals sign it is the left side minus the right. Or it is a function of three numbers. Coordinates
    /// are mm, angles radians.
    field with host(
        /// The formula.
        formula: Formula,
        /// Values of the other names in the text: `#{ a: 2 }`.
        values: Options = Value::Map(BTreeMap::new()),
    ) -> Field { from_formula(host, &formula, &values) }
    example { "field(\"x^2 + y^2 + z^2 - 400\")" }
    example { "field(|x, y, z| x*x + y*y - 9)" }
    fails { "field(\"x^2 +\")" => "field" }
    fails { "field(\"x + a y\")" => "`a` has no value" }
    fails { "field(3)" => "`formula`" }

    /// The surface where a field has a value.
    level(
        /// The field.
        field: FieldLike,
        /// The value: a number or another field.
        value: FieldLike = 0,
    ) -> Surface { level(field, value) }
    example { "level(X^2 + Y^2 + Z^2, 400)" }
    fails { "level(\"x\", 0)" => "`field`" }

    /// The solid where a field is negative; the same as `f < 0`.
    inside(
        /// The field.
        field: FieldLike,
    ) -> Solid { Field::new(field).map(|f| form::inside(&f)) }
    example { "inside(X^2 + Y^2 + Z^2 - 400)" }
    fails { "inside(\"x\")" => "`field`" }

    /// The field that is `negative` where `test` is below zero, and `other` elsewhere.
    select(
        /// What decides, point by point.
        test: FieldLike,
        /// The value where `test` is negative.
        negative: FieldLike,
        /// The value elsewhere.
        other: FieldLike,
    ) -> Any { lowest(Expr::select(test, negative, other)) }
    example { "select(X, -X, X)" }
    fails { "select(X, 1)" => "takes 3 arguments" }

    /// The field of a solid: negative inside, positive outside, zero on its skin.
    ///
    /// Its values away from the skin are not distances.
    depth_field(
        /// The solid; without walls in it.
        solid: Form,
    ) -> Field { solid_field("depth_field", &solid) }
    example { "depth_field(ball(20))" }
    fails { "depth_field(3)" => "`solid`" }

    /// The field as seen through a map of space: its value at each point is that of `field` at (x, y, z).
    ///
    /// This is how a field is bent, wound or stretched: `looked(f, hypot(X, Y), atan2(Y, X), Z)` winds it round
    /// the z axis.
    looked(
        /// The field.
        field: FieldLike,
        /// Where to look: the first coordinate.
        x: FieldLike,
        /// Where to look: the second coordinate.
        y: FieldLike,
        /// Where to look: the third coordinate.
        z: FieldLike,
    ) -> Any { lowest(field.with(&[("x", x), ("y", y), ("z", z)])) }
    example { "(sin(X) + Z).looked(2*X, Y, Z - X)" }
    fails { "looked(X, Y, Z)" => "takes 4 arguments" }

    /// The value of a field at a point.
    value_at(
        /// The field.
        field: FieldLike,
        /// Where, mm.
        x: Number,
        /// Where, mm.
        y: Number,
        /// Where, mm.
        z: Number,
    ) -> Number { value_at(&field, [x, y, z]) }
    example { "value_at(X^2 + Y, 3, 4, 0)" }
    fails { "value_at(X, 1, 2)" => "takes 4 arguments" }
}

/// A field, or the number it is everywhere.
pub(super) fn lowest(e: Expr) -> Value {
    match e.as_const() {
        Some(x) => Value::Number(x),
        None => Value::Field(e),
    }
}

/// How far fields from functions are compared: a piece's usual size, mm.
const NEAR: (f64, f64) = (-50.0, 50.0);

fn from_formula(
    host: &dyn Host,
    formula: &Formulated,
    values: &BTreeMap<String, Value>,
) -> Result<Expr, Fault> {
    match formula {
        Formulated::Function(f) => {
            let names = [("x", NEAR), ("y", NEAR), ("z", NEAR)];
            trace::components(host, "field", f, &names, 1)?.pop().ok_or_else(|| Fault::new("field: no value"))
        }
        Formulated::Text(text) => {
            let reading = read(host, "field", text, values)?;
            let Read::Field { value, .. } = &reading.kind else {
                return Err(Fault::new(
                    "field: the text has three components: it draws a curve or a surface",
                )
                .hint("use `curve(\"…\")` or `surface(\"…\")`")
                .part(Part::Argument(0)));
            };
            let [value] = given("field", &reading, text, [value.clone()], values)?;
            Ok(value)
        }
    }
}

/// Reads a text and says what had to be chosen.
pub(super) fn read(
    host: &dyn Host,
    word: &str,
    text: &str,
    values: &BTreeMap<String, Value>,
) -> Result<Reading, Fault> {
    let reading = formula::read(text).map_err(|fault| {
        Fault::new(format!("{word}: {}", fault.what)).hint(fault.hint).part(Part::Within(0, fault.at))
    })?;
    for remark in reading.remarks.iter().filter(|r| !values.keys().any(|name| r.misses(name))) {
        host.say(format!("{word}: {}", remark.what));
    }
    Ok(reading)
}

/// The expressions of a reading with values for its free names.
pub(super) fn given<const N: usize>(
    word: &str,
    reading: &Reading,
    text: &str,
    exprs: [Expr; N],
    values: &BTreeMap<String, Value>,
) -> Result<[Expr; N], Fault> {
    let mut known: Vec<(&str, Expr)> = Vec::new();
    for name in &reading.free {
        let Some(value) = values.get(name) else {
            let at = text.find(name.as_str()).unwrap_or(0);
            let takes = super::find(word).is_some_and(|w| w.params.iter().any(|p| p.name == "values"));
            let hint = match takes {
                true => format!("give it one: `{word}(\"…\", #{{ {name}: 1 }})`"),
                false => format!("write a number in place of `{name}`, or the formula as a function"),
            };
            return Err(Fault::new(format!("{word}: `{name}` has no value"))
                .hint(hint)
                .part(Part::Within(0, at..at + name.len())));
        };
        let value = value.field().ok_or_else(|| {
            Fault::new(format!("{word}: `{name}` is a number, got {}", value.kind().with_article()))
        })?;
        known.push((name, value));
    }
    if let Some(name) = values.keys().find(|k| !reading.free.contains(k)) {
        let free = match reading.free.as_slice() {
            [] => "all its names have values".to_owned(),
            names => format!("its free names are {}", names.join(", ")),
        };
        return Err(Fault::new(format!("{word}: there is no `{name}` in the text")).hint(free));
    }
    Ok(exprs.map(|e| e.with(&known)))
}

fn level(field: Expr, value: Expr) -> Result<Surface, FormFault> {
    let below = if value.as_const() == Some(0.0) { field } else { field - value };
    form::level(&Field::new(below)?, 0.0)
}

/// The expression that is negative inside a solid.
pub(super) fn solid_field(word: &str, solid: &crate::form::Solid) -> Result<Expr, Fault> {
    solid.lower(&mut |_, _| Err(())).map_err(|()| {
        Fault::new(format!("{word}: a wall has no field before it is made")).hint("use its surface instead")
    })
}

fn value_at(field: &Expr, at: [f64; 3]) -> f64 {
    Tape::new(field).map_or(f64::NAN, |tape| tape.value(at.into()))
}
