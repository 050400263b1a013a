//! What a script makes, and what it lets others change.

use super::Host;
use crate::value::{Any, Asked, Bodied, Body, Fault, FlatPiece, List, Maybe, Part, Piece, Text, Value};
use std::sync::Arc;

words! { "making":
    /// A value that whoever runs the script can change: its name, and what it is unless they say otherwise.
    param with host(
        /// Its name.
        name: Text,
        /// What it is unless somebody says otherwise: a number or a text.
        default: Any,
        /// Least and greatest value, as `[10, 80]`.
        range: Maybe<List> = (),
        /// Its unit, as `"mm"`.
        unit: Text = "",
    ) -> Any { param(host, &name, default, range, &unit) }
    example { "param(\"size\", 40, [10, 80], \"mm\")" }
    fails { "param(\"size\", 400, [10, 80])" => "`size` must lie between 10 and 80, got 400" }
    fails { "param(\"size\", ball(1))" => "`default`" }

    /// Asks for a piece to be made: its name, what it is, and how it is to be made.
    make with host(
        /// Names its files: letters, digits, spaces, `-` and `_`.
        name: Text,
        /// The solid, or flat work.
        form: Body,
        /// The process, as `"binder-jet bronze"`.
        process: Text = "",
    ) -> Piece { make(host, &name, form, &process) }
    example { "make(\"bead\", ball(8) - rod(2, 20))" }
    example { "make(\"washer\", disc(8) - disc(3), \"card\")" }
    fails { "make(\"sheet\", level(X, 0))" => "`form` is a solid or a flat, got a surface" }
    fails { "make(\"a/b\", ball(1))" => "`name`" }
}

fn param(
    host: &dyn Host,
    name: &str,
    default: Value,
    range: Option<Vec<Value>>,
    unit: &str,
) -> Result<Value, Fault> {
    let wrong = |what: String, part: usize| Fault::new(what).part(Part::Argument(part));
    if name.is_empty() || !name.chars().all(|c| c.is_alphanumeric() || c == '_') {
        return Err(wrong(format!("param: `name` is made of letters, digits and `_`, got \"{name}\""), 0));
    }
    if !matches!(default, Value::Whole(_) | Value::Number(_) | Value::Text(_) | Value::Truth(_)) {
        let got = default.kind().with_article();
        return Err(wrong(format!("param: `default` is a number, a text, true or false, got {got}"), 1));
    }
    let range = range.map(|list| {
        let ends: Vec<f64> = list.iter().filter_map(Value::number).collect();
        match ends.as_slice() {
            [low, high] if list.len() == 2 && low <= high => Ok((*low, *high)),
            _ => Err(wrong("param: `range` is a list of the least and the greatest value".into(), 2)),
        }
    });
    let range = range.transpose()?;
    let asked =
        Asked { name: name.to_owned(), value: default.clone(), default, range, unit: unit.to_owned() };
    let value = host.ask(asked.clone())?;
    asked.allows(&value).map_err(|fault| Fault::new(format!("param: {}", fault.what())))?;
    Ok(value)
}

fn make(host: &dyn Host, name: &str, form: Bodied, process: &str) -> Result<Value, Fault> {
    let name = self::name("make", name)?;
    let process = process.to_owned();
    match form {
        Bodied::Solid(form) => {
            let piece = Piece { name, form, process };
            host.make(&piece)?;
            Ok(Value::Piece(Arc::new(piece)))
        }
        Bodied::Flat(flat) => {
            let piece = FlatPiece { name, flat, process, cut: None };
            host.make_flat(&piece)?;
            Ok(Value::FlatPiece(Arc::new(piece)))
        }
    }
}

/// The name of a piece, which names its files.
pub(super) fn name(word: &str, name: &str) -> Result<String, Fault> {
    let fits = |c: char| c.is_alphanumeric() || matches!(c, ' ' | '-' | '_');
    if name.trim().is_empty() || name.len() > 100 || !name.chars().all(fits) {
        let what = format!("{word}: `name` is made of letters, digits, spaces, `-` and `_`, got \"{name}\"");
        return Err(Fault::new(what).part(Part::Argument(0)));
    }
    Ok(name.trim().to_owned())
}
