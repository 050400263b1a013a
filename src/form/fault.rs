//! Why a form could not be built: small causes that the script layer puts a place on.

/// Why a form could not be built.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum FormFault {
    /// A length, factor or count that must be finite and greater than zero.
    #[error("`{name}` wants a number greater than 0, got {got}")]
    NotPositive {
        /// The parameter.
        name: &'static str,
        /// What was given.
        got: f64,
    },
    /// A number that must not be negative.
    #[error("`{name}` wants a number of 0 or more, got {got}")]
    Negative {
        /// The parameter.
        name: &'static str,
        /// What was given.
        got: f64,
    },
    /// A number that is infinite or not a number.
    #[error("`{name}` wants a finite number, got {got}")]
    NotFinite {
        /// The parameter.
        name: &'static str,
        /// What was given.
        got: f64,
    },
    /// A direction of length zero.
    #[error("`{name}` wants a direction, got a vector of length 0")]
    NoDirection {
        /// The parameter.
        name: &'static str,
    },
    /// A range whose end does not lie beyond its start.
    #[error("the range of `{name}` runs from {from} to {to}: its end must be greater than its start")]
    EmptyRange {
        /// The parameter.
        name: String,
        /// Start as given.
        from: f64,
        /// End as given.
        to: f64,
    },
    /// A name in an expression that is neither a coordinate nor has a value.
    #[error("`{0}` has no value")]
    FreeName(String),
    /// A thing that a parameter cannot be.
    #[error("`{name}` {why}")]
    Unfit {
        /// The parameter.
        name: &'static str,
        /// What is wrong with what was given, as the rest of a sentence.
        why: String,
    },
    /// The act is not defined for this kind of thing.
    #[error("{act} cannot be done to {kind}")]
    WrongKind {
        /// What was asked.
        act: &'static str,
        /// The kind of thing it was asked of.
        kind: &'static str,
    },
    /// The thing has no finite box, where one is needed.
    #[error("{act} needs something of finite extent; clip it first, for example with `& ball(...)`")]
    Endless {
        /// What was asked.
        act: &'static str,
    },
    /// Nothing is left of the thing.
    #[error("nothing is there: no point belongs to it")]
    Empty,
    /// An outline that crosses itself.
    #[error(
        "{what} crosses itself at ({x:.2}, {y:.2}): make a region of each part and join them with `|`; `trace` draws it as \
         a line"
    )]
    Crossing {
        /// What crosses itself.
        what: &'static str,
        /// Where, mm.
        x: f64,
        /// Where, mm.
        y: f64,
    },
    /// Copies reach further over their spacing than can be kept apart.
    #[error("copies {spacing} mm apart of something {extent} mm long overlap too far; use a wider spacing")]
    Crowded {
        /// Distance between copies, mm.
        spacing: f64,
        /// Length of one copy in that direction, mm.
        extent: f64,
    },
    /// Too many steps nested in one another.
    #[error("the form is nested more than {limit} steps deep")]
    TooDeep {
        /// The most that is allowed.
        limit: usize,
    },
}

/// The fault of a parameter that cannot be what was given.
pub(crate) fn unfit(name: &'static str, why: impl Into<String>) -> FormFault {
    FormFault::Unfit { name, why: why.into() }
}

/// `value` if it is finite and greater than zero.
pub(crate) fn positive(name: &'static str, value: f64) -> Result<f64, FormFault> {
    if value.is_finite() && value > 0.0 {
        Ok(value)
    } else {
        Err(FormFault::NotPositive { name, got: value })
    }
}

/// `value` if it is finite and not negative.
pub(crate) fn not_negative(name: &'static str, value: f64) -> Result<f64, FormFault> {
    if value.is_finite() && value >= 0.0 { Ok(value) } else { Err(FormFault::Negative { name, got: value }) }
}

/// `value` if it is finite.
pub(crate) fn finite(name: &'static str, value: f64) -> Result<f64, FormFault> {
    if value.is_finite() { Ok(value) } else { Err(FormFault::NotFinite { name, got: value }) }
}

/// `v` if its coordinates are finite.
pub(crate) fn finite_vector(
    name: &'static str,
    v: crate::base::Vec3,
) -> Result<crate::base::Vec3, FormFault> {
    for c in v.array() {
        finite(name, c)?;
    }
    Ok(v)
}
