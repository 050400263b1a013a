//! One declaration per script function, one file per family.
//!
//! A block of the `words!` macro is all there is to a word: registration, signature, units, help, completion,
//! reference page, tested example and tested fault are read from the table made here.

#[macro_use]
mod declare;
mod borrowed;
mod call;
mod curves;
mod cutting;
mod fields;
mod files;
mod films;
mod flats;
mod groups;
mod joins;
mod knots;
mod library;
mod making;
mod measures;
mod motions;
mod nets;
mod numbers;
mod operators;
mod ropes;
mod solids;
mod surfaces;
mod sweeps;
mod tilings;
mod trace;
mod windings;

pub use borrowed::{Borrowed, borrowed};
pub use call::{Call, Host, Measured};
pub use declare::{Default, Param, Word};
pub use library::{Module, Shelved, files, modules};
pub(crate) use operators::IN_A_FUNCTION;
pub use operators::{Operator, operate, opposite};

/// A value with a name that every script knows.
#[derive(Clone, Debug)]
pub struct Constant {
    /// As a script writes it.
    pub name: &'static str,
    /// One sentence.
    pub doc: &'static str,
    /// What it is.
    pub value: crate::value::Value,
}

/// All words, family by family.
pub fn all() -> impl Iterator<Item = &'static Word> {
    [
        fields::WORDS,
        numbers::WORDS,
        solids::WORDS,
        files::WORDS,
        joins::WORDS,
        motions::WORDS,
        surfaces::WORDS,
        films::WORDS,
        curves::WORDS,
        flats::WORDS,
        groups::WORDS,
        tilings::WORDS,
        nets::WORDS,
        windings::WORDS,
        knots::WORDS,
        sweeps::WORDS,
        ropes::WORDS,
        cutting::WORDS,
        making::WORDS,
        measures::WORDS,
    ]
    .into_iter()
    .flatten()
}

/// The word of this name.
pub fn find(name: &str) -> Option<&'static Word> {
    all().find(|w| w.name == name)
}

/// The values that every script knows.
pub fn constants() -> Vec<Constant> {
    use crate::formula::Expr;
    use crate::value::Value;
    use std::f64::consts::{E, PI, TAU};
    let make = |name, doc, value| Constant { name, doc, value };
    vec![
        make("X", "The field whose value is the first coordinate, mm.", Value::Field(Expr::var("x"))),
        make("Y", "The field whose value is the second coordinate, mm.", Value::Field(Expr::var("y"))),
        make(
            "Z",
            "The field whose value is the third coordinate, mm; it points up.",
            Value::Field(Expr::var("z")),
        ),
        make("PI", "Half the circumference of the circle of radius 1.", Value::Number(PI)),
        make("π", "The same as PI.", Value::Number(PI)),
        make("TAU", "The circumference of the circle of radius 1.", Value::Number(TAU)),
        make("E", "The base of the natural logarithm.", Value::Number(E)),
        make("PHI", "The golden number, (1 + √5)/2.", Value::Number(f64::midpoint(1.0, 5_f64.sqrt()))),
    ]
}
