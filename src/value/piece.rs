//! What a script asks to have made, and what it lets others change.

use std::sync::Arc;

use super::{Fault, Value};
use crate::form::flat::Prepared;
use crate::form::{Flat, Solid};

/// Something to make.
#[derive(Clone, Debug)]
pub struct Piece {
    /// Names its files; letters, digits, spaces, `-` and `_`.
    pub name: String,
    /// What it is, exactly; mm.
    pub form: Solid,
    /// How it is to be made, in the script's words; empty when it does not say.
    pub process: String,
}

/// Flat work to make.
#[derive(Clone, Debug)]
pub struct FlatPiece {
    /// Names its files; letters, digits, spaces, `-` and `_`.
    pub name: String,
    /// What it is, exactly; mm.
    pub flat: Flat,
    /// How it is to be made, in the script's words; empty when it does not say.
    pub process: String,
    /// The paths for a machine, when it was made ready for one.
    pub cut: Option<Arc<Prepared>>,
}

/// A value that the script lets others change.
#[derive(Clone, Debug)]
pub struct Asked {
    /// As the script calls it.
    pub name: String,
    /// What it is when nobody says otherwise.
    pub default: Value,
    /// Least and greatest value allowed.
    pub range: Option<(f64, f64)>,
    /// Its unit, such as `mm`; may be empty.
    pub unit: String,
    /// What it is in this run.
    pub value: Value,
}

impl Asked {
    /// Whether it may have a value.
    ///
    /// # Errors
    /// The value is of another kind than the default, or outside the range.
    pub fn allows(&self, value: &Value) -> Result<(), Fault> {
        let Self { name, default, range, .. } = self;
        if value.kind() != default.kind() {
            let (wants, got) = (default.kind().with_article(), value.kind().with_article());
            return Err(Fault::new(format!("`{name}` is {wants}, it was set to {got}")));
        }
        match (range, value.number()) {
            (Some((low, high)), Some(x)) if !(*low..=*high).contains(&x) => {
                let (low, high) = (Value::Number(*low), Value::Number(*high));
                Err(Fault::new(format!("`{name}` must lie between {low} and {high}, got {value}")))
            }
            _ => Ok(()),
        }
    }
}
