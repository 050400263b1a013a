//! What was understood of a pasted text.

use crate::formula::Expr;
use crate::formula::normal::{Sides, normal};
use crate::formula::walk::names;

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

impl Kind {
    /// The function, or the components.
    fn expressions(&self) -> &[Expr] {
        match self {
            Self::Field { value, .. } => std::slice::from_ref(value),
            Self::Curve { components, .. } | Self::Surface { components, .. } => components,
        }
    }

    /// Names that occur in it, in order of appearance.
    pub fn names(&self) -> Vec<String> {
        names(self.expressions())
    }
}

/// A choice that the reader made and a person may want to know.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Remark {
    /// One sentence.
    pub what: String,
    /// Byte range in the text as pasted.
    pub at: std::ops::Range<usize>,
}

impl Remark {
    /// True when it says that a name has no value and is a parameter to be given.
    pub fn misses(&self, name: &str) -> bool {
        self.what.strip_prefix(name).is_some_and(|rest| rest.starts_with(" has no value: "))
    }
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
    /// Where the text cuts a field, along x, y or z: from, to; an end may be infinite.
    pub limits: Vec<(String, f64, f64)>,
    /// A condition that cuts a field, negative where it holds.
    pub within: Option<Expr>,
    /// Choices made while reading.
    pub remarks: Vec<Remark>,
}

impl Reading {
    /// The normal form of the condition that cuts it.
    pub fn condition(&self) -> Option<String> {
        let value = self.within.clone()?;
        Some(normal(&Kind::Field { value, relation: Relation::Less }, &Sides::Other))
    }

    /// The same with another function for that of a field.
    pub fn with_value(&self, value: Expr) -> Self {
        let Kind::Field { relation, .. } = self.kind else { return self.clone() };
        let kind = Kind::Field { value, relation };
        Self { normal: normal(&kind, &Sides::Other), kind, ..self.clone() }
    }

    /// The values of the thing at a place: one number for a field at (x, y, z), three for a curve or a surface at its
    /// parameters. `given` holds the values of free names.
    ///
    /// # Errors
    /// The name that has no value.
    pub fn at(&self, place: &[f64], given: &[(String, f64)]) -> Result<Vec<f64>, String> {
        let names: Vec<&str> = match &self.kind {
            Kind::Field { .. } => vec!["x", "y", "z"],
            Kind::Curve { param, .. } => vec![param],
            Kind::Surface { params, .. } => params.iter().map(String::as_str).collect(),
        };
        let lookup = |name: &str| {
            let k = names.iter().position(|n| *n == name).and_then(|k| place.get(k).copied());
            k.or_else(|| given.iter().find(|(n, _)| n == name).map(|(_, v)| *v))
        };
        self.kind.expressions().iter().map(|e| e.value(&lookup)).collect()
    }
}
