//! What a run gave.

use std::sync::Arc;

use super::{Head, Wishes};
use crate::form::{self, FrameAsk};
use crate::formula::{Reading, Remark};
use crate::script::Ran;
use crate::value::{Asked, Fault, FlatPiece, Piece, Source, Value};

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
    /// Flat work to make. A script that makes nothing and ends in a flat has that as its only one.
    pub flats: Vec<FlatPiece>,
    /// Parameters that the script has.
    pub params: Vec<Asked>,
    /// What the script says of itself.
    pub head: Head,
    /// What a bare formula was understood to be.
    pub reading: Option<Reading>,
    /// The longest side that was asked for, mm, of a bare formula's form.
    pub size: Option<f64>,
}

impl Outcome {
    pub(super) fn of_script(source: &Arc<Source>, ran: Ran) -> Self {
        let head = Head::read(&source.text);
        let (mut pieces, mut flats) = (ran.log.pieces, ran.log.flats);
        let none = pieces.is_empty() && flats.is_empty();
        let flat = match &ran.value {
            Value::Flat(flat) => Some(flat.clone()),
            Value::Tiling(tiling) => Some(tiling.edges()),
            _ => None,
        };
        let bare = |name, flat| FlatPiece { name, flat, process: String::new(), cut: None };
        if let Some(flat) = flat.filter(|_| none) {
            flats.push(bare(file_name(&head.title), flat));
        }
        // A list of flats, as sheets that pieces were laid out on.
        if let Value::List(all) = &ran.value
            && none
        {
            let each = all.iter().map(|v| if let Value::Flat(flat) = v { Some(flat.clone()) } else { None });
            let each = each.collect::<Option<Vec<_>>>().unwrap_or_default();
            let name = |k: usize| format!("{}-{}", file_name(&head.title), k + 1);
            flats.extend(each.into_iter().enumerate().map(|(k, flat)| bare(name(k), flat)));
        }
        if let (true, Value::Solid(form)) = (none, &ran.value) {
            pieces.push(Piece { name: file_name(&head.title), form: form.clone(), process: String::new() });
        }
        Self {
            shown: ran.value.to_string(),
            value: ran.value,
            said: ran.log.said,
            script: source.text.clone(),
            pieces,
            flats,
            params: ran.log.params,
            head,
            reading: None,
            size: None,
        }
    }

    pub(super) fn of_formula(reading: Reading, wishes: &Wishes) -> Result<Self, Fault> {
        let usual = FrameAsk::default();
        let ask = FrameAsk {
            size: wishes.size.unwrap_or(usual.size),
            wall: wishes.wall,
            values: wishes.values.iter().map(|(n, x)| (n.clone(), *x)).collect(),
            ..usual
        };
        let framed = form::frame(&reading, &ask).map_err(|cause| Fault::new(cause.to_string()))?;
        // Names without a value are told with the value that they got; a name that may be misspelt is told besides.
        let told = |r: &Remark, n: &String| {
            r.misses(n) && (wishes.values.contains_key(n) || !r.what.contains("did you mean"))
        };
        let remarks = reading.remarks.iter().filter(|r| !reading.free.iter().any(|n| told(r, n)));
        let mut said: Vec<String> = remarks.map(|r| r.what.clone()).collect();
        said.extend(framed.said);
        let value: Value = framed.form.into();
        let pieces = match &value {
            Value::Solid(solid) => {
                vec![Piece { name: "formula".to_owned(), form: solid.clone(), process: String::new() }]
            }
            _ => Vec::new(),
        };
        let params = reading.free.iter().map(|name| {
            let value = wishes.values.get(name).copied().unwrap_or(1.0);
            let (default, value) = (Value::Number(1.0), Value::Number(value));
            Asked { name: name.clone(), default, range: None, unit: String::new(), value }
        });
        Ok(Self {
            shown: value.to_string(),
            value,
            said,
            script: framed.script,
            pieces,
            flats: Vec::new(),
            params: params.collect(),
            head: Head { title: "Formula".to_owned(), about: reading.normal.clone(), ..Head::default() },
            reading: Some(reading),
            size: wishes.size,
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
