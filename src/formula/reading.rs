//! What was understood of a pasted text.

use super::Expr;

/// How the two sides of a field's text stand to each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Relation {
    /// A bare expression.
    None,
    /// `=`: a surface.
    Equal,
    /// `<` or `≤`: a solid.
    Less,
    /// `>` or `≥`: a solid.
    Greater,
    /// `low < f < high`: a solid.
    Between,
}

/// What sort of thing the text describes.
#[derive(Clone, Debug)]
pub enum Kind {
    /// A function of x, y, z: left side minus right side, negative inside for an inequality
    /// (`Between`: the greater of low - f and f - high).
    Field {
        /// The function.
        value: Expr,
        /// How the sides stood to each other.
        relation: Relation,
    },
    /// Three components in one parameter.
    Curve {
        /// The components, in x, y, z order.
        components: [Expr; 3],
        /// The parameter's name.
        param: String,
        /// Its range, if the text states one.
        range: Option<(f64, f64)>,
    },
    /// Three components in two parameters.
    Surface {
        /// The components, in x, y, z order.
        components: [Expr; 3],
        /// The parameters' names.
        params: [String; 2],
        /// Their ranges, where the text states them.
        ranges: [Option<(f64, f64)>; 2],
    },
}

/// A choice that the reader made and a person may want to know.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Remark {
    /// One sentence.
    pub what: String,
    /// Byte range in the text as pasted.
    pub at: std::ops::Range<usize>,
}

/// What was understood of a pasted text.
#[derive(Clone, Debug)]
pub struct Reading {
    /// The thing described.
    pub kind: Kind,
    /// Our own normal form; reading it gives the same function.
    pub normal: String,
    /// Names without a value, in order of appearance: parameters to be given.
    pub free: Vec<String>,
    /// Choices made while reading.
    pub remarks: Vec<Remark>,
}

/// Why a text could not be read.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{what}")]
pub struct ReadFault {
    /// What is wrong, in a sentence.
    pub what: String,
    /// Byte range in the text as pasted.
    pub at: std::ops::Range<usize>,
    /// What to do about it.
    pub hint: String,
}

/// Reads a text as pasted.
///
/// # Errors
/// [`ReadFault`] when the text holds no formula or cannot be read.
pub fn read(_text: &str) -> Result<Reading, ReadFault> {
    Err(ReadFault { what: "not written yet".into(), at: 0..0, hint: String::new() })
}
