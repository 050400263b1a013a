//! What a run gave.

use std::sync::Arc;

use super::{Head, Wishes};
use crate::form::{self, Field};
use crate::formula::{Kind, Reading, Relation};
use crate::script::Ran;
use crate::value::{Asked, Fault, Piece, Source, Value};

/// What a run gave: the value, the pieces to make, and what was said on the way.
#[derive(Clone, Debug)]
pub struct Outcome {
    /// The last value of the script, or the form of a bare formula.
    pub value: Value,
    /// The value in a few words.
    pub shown: String,
    /// What the script printed, and what was chosen in reading and framing formulas.
    pub said: Vec<String>,
    /// The script that gives the same: the text itself, or the line that a bare formula stands for.
    pub script: String,
    /// Pieces to make. A script that makes none and ends in a solid has that as its only piece.
    pub pieces: Vec<Piece>,
    /// Parameters that the script has.
    pub params: Vec<Asked>,
    /// What the script says of itself.
    pub head: Head,
    /// What a bare formula was understood to be.
    pub reading: Option<Reading>,
}

impl Outcome {
    pub(super) fn of_script(source: &Arc<Source>, ran: Ran) -> Self {
        let head = Head::read(&source.text);
        let mut pieces = ran.log.pieces;
        if let (true, Value::Solid(form)) = (pieces.is_empty(), &ran.value) {
            pieces.push(Piece { name: file_name(&head.title), form: form.clone(), process: String::new() });
        }
        Self {
            shown: ran.value.to_string(),
            value: ran.value,
            said: ran.log.said,
            script: source.text.clone(),
            pieces,
            params: ran.log.params,
            head,
            reading: None,
        }
    }

    pub(super) fn of_formula(source: &Arc<Source>, reading: Reading, _wishes: Wishes) -> Result<Self, Fault> {
        let said = reading.remarks.iter().map(|r| r.what.clone()).collect();
        let value = match &reading.kind {
            Kind::Field { value, relation } => {
                let field = Field::new(value.clone()).map_err(|f| Fault::new(f.to_string()))?;
                match relation {
                    Relation::None => Value::Field(value.clone()),
                    Relation::Equal => {
                        form::level(&field, 0.0).map_err(|f| Fault::new(f.to_string()))?.into()
                    }
                    _ => form::inside(&field).into(),
                }
            }
            _ => Value::Nothing,
        };
        Ok(Self {
            shown: value.to_string(),
            value,
            said,
            script: source.text.clone(),
            pieces: Vec::new(),
            params: Vec::new(),
            head: Head::default(),
            reading: Some(reading),
        })
    }
}

/// A name for files from a title; `piece` where there is none.
fn file_name(title: &str) -> String {
    let plain = |c: char| if c.is_alphanumeric() { c } else { ' ' };
    let words: String = title.to_lowercase().chars().map(plain).collect();
    let name = words.split_whitespace().take(6).collect::<Vec<_>>().join("-");
    if name.is_empty() { "piece".to_owned() } else { name }
}
