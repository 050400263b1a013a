//! How a pasted text was understood, and its values at points: what `read` tells.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::formula::{self, Expr, FaultClass, Kind, ReadFault, Reading, Relation, Tape};

/// A choice of the reader, with the bytes of the text it is about.
#[derive(Clone, Debug, Serialize)]
pub struct Remark {
    /// One sentence.
    pub what: String,
    /// First byte and the one past the last.
    pub at: [usize; 2],
}

/// A text as it was understood.
#[derive(Clone, Debug, Serialize)]
pub struct Understood {
    /// `field`, `curve` or `surface`.
    pub kind: &'static str,
    /// How the sides stand to each other: `none`, `=`, `<`, `>` or `band` for a double inequality.
    pub relation: &'static str,
    /// Our own normal form, which reads back to the same function.
    pub normal: String,
    /// Names without a value.
    pub free: Vec<String>,
    /// Names of the parameters of a curve or surface.
    pub params: Vec<String>,
    /// Ranges that the text states: of parameters, and of x, y or z beside a field.
    pub ranges: BTreeMap<String, [f64; 2]>,
    /// The condition on several coordinates that cuts a field.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub within: Option<String>,
    /// Choices made while reading.
    pub remarks: Vec<Remark>,
    /// For each point a number (field) or three (curve, surface); `null` where there is no value.
    pub values: Vec<Values>,
}

/// What a text gives at one point.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(untagged)]
pub enum Values {
    /// Of a field: left side minus right side, negative inside for an inequality.
    One(f64),
    /// Of a curve or surface: x, y, z.
    Three([f64; 3]),
}

/// Reads a text, gives names their values, and values it at points: `x, y, z` for a field, one parameter for a curve,
/// two for a surface.
///
/// # Errors
/// [`ReadFault`] when the text cannot be read, and when values are asked for that it does not have.
pub fn understand(text: &str, lets: &[(String, f64)], points: &[Vec<f64>]) -> Result<Understood, ReadFault> {
    let reading = formula::read_with(text, lets)?;
    let mut understood = describe(&reading);
    if points.is_empty() {
        return Ok(understood);
    }
    if let Some(name) = understood.free.first() {
        let hint = format!("give it one, such as {name} = 1");
        let remark = reading.remarks.iter().find(|r| r.misses(name));
        let at = remark.map_or(0..text.len(), |r| r.at.clone());
        return Err(ReadFault {
            class: FaultClass::NoValue,
            what: format!("`{name}` has no value"),
            at,
            hint,
        });
    }
    let (components, inputs) = parts(&reading.kind);
    let names: Vec<&str> = inputs.iter().map(String::as_str).collect();
    let tape = Tape::with_inputs(&components, &names).map_err(|fault| {
        whole(text, FaultClass::TooLong, fault.to_string(), "write it with fewer parts".into())
    })?;
    for point in points {
        if point.len() != inputs.len() {
            let what = format!(
                "a {} has values at {}, got {}",
                understood.kind,
                names.join(", "),
                numbers(point.len())
            );
            return Err(whole(
                text,
                FaultClass::WrongArguments,
                what,
                match inputs.len() {
                    1 => "give one number".to_owned(),
                    many => format!("give {many} numbers with commas between"),
                },
            ));
        }
        let mut out = vec![0.0; components.len()];
        tape.at(point, &mut out);
        understood.values.push(match out[..] {
            [x, y, z] => Values::Three([x, y, z]),
            _ => Values::One(out[0]),
        });
    }
    Ok(understood)
}

fn numbers(count: usize) -> String {
    format!("{count} {}", if count == 1 { "number" } else { "numbers" })
}

/// A fault about the whole text.
fn whole(text: &str, class: FaultClass, what: String, hint: String) -> ReadFault {
    ReadFault { class, what, at: 0..text.len(), hint }
}

/// The components and the names they are valued in.
fn parts(kind: &Kind) -> (Vec<Expr>, Vec<String>) {
    match kind {
        Kind::Field { value, .. } => (vec![value.clone()], ["x", "y", "z"].map(String::from).to_vec()),
        Kind::Curve { components, param, .. } => (components.to_vec(), vec![param.clone()]),
        Kind::Surface { components, params, .. } => (components.to_vec(), params.to_vec()),
    }
}

/// Names with the ranges that the text states for them.
type Stated = Vec<(String, Option<(f64, f64)>)>;

fn describe(reading: &Reading) -> Understood {
    let (kind, relation, stated): (_, _, Stated) = match &reading.kind {
        Kind::Field { relation, .. } => {
            let relation = match relation {
                Relation::None => "none",
                Relation::Equal => "=",
                Relation::Less => "<",
                Relation::Greater => ">",
                Relation::Between => "band",
            };
            ("field", relation, Vec::new())
        }
        Kind::Curve { param, range, .. } => ("curve", "none", vec![(param.clone(), *range)]),
        Kind::Surface { params, ranges, .. } => {
            ("surface", "none", params.iter().cloned().zip(ranges.iter().copied()).collect())
        }
    };
    let limits = reading.limits.iter().map(|(name, low, high)| (name.clone(), [*low, *high]));
    Understood {
        kind,
        relation,
        normal: reading.normal.clone(),
        free: reading.free.clone(),
        params: stated.iter().map(|(name, _)| name.clone()).collect(),
        ranges: stated
            .iter()
            .filter_map(|(name, range)| range.map(|(low, high)| (name.clone(), [low, high])))
            .chain(limits)
            .collect(),
        within: reading.condition(),
        remarks: reading
            .remarks
            .iter()
            .map(|remark| Remark { what: remark.what.clone(), at: [remark.at.start, remark.at.end] })
            .collect(),
        values: Vec::new(),
    }
}
