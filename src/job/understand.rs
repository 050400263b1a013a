//! How a pasted text was understood, and its values at points: what `read` tells.

use serde::Serialize;

use crate::formula::{self, Expr, Kind, ReadFault, Reading, Relation, Tape};

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
    /// The range of each parameter, where the text states it.
    pub ranges: Vec<Option<[f64; 2]>>,
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
    let reading = formula::read(text)?;
    let mut understood = describe(&reading);
    understood.free.retain(|name| !lets.iter().any(|(given, _)| given == name));
    if let Some((name, _)) = lets.iter().find(|(name, _)| !reading.free.contains(name)) {
        understood.remarks.push(Remark {
            what: format!("`{name}` was given a value, but the text has no such name without one"),
            at: [0, text.len()],
        });
    }
    if points.is_empty() {
        return Ok(understood);
    }
    if let Some(name) = understood.free.first() {
        return Err(whole(
            text,
            format!("`{name}` has no value"),
            format!("give it one, such as {name} = 1"),
        ));
    }
    let (components, inputs) = parts(&reading.kind);
    let number =
        |name: &str| lets.iter().find(|(given, _)| given == name).map(|(_, value)| Expr::constant(*value));
    let components: Vec<Expr> = components.iter().map(|component| component.substitute(number)).collect();
    let names: Vec<&str> = inputs.iter().map(String::as_str).collect();
    let tape = Tape::with_inputs(&components, &names)
        .map_err(|fault| whole(text, fault.to_string(), "write it with fewer parts".into()))?;
    for point in points {
        if point.len() != inputs.len() {
            let what = format!(
                "a {} has values at {}, got {} numbers",
                understood.kind,
                names.join(", "),
                point.len()
            );
            return Err(whole(text, what, format!("give {} numbers with commas between", inputs.len())));
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

/// A fault about the whole text.
fn whole(text: &str, what: String, hint: String) -> ReadFault {
    ReadFault { what, at: 0..text.len(), hint }
}

/// The components and the names they are valued in.
fn parts(kind: &Kind) -> (Vec<Expr>, Vec<String>) {
    match kind {
        Kind::Field { value, .. } => (vec![value.clone()], ["x", "y", "z"].map(String::from).to_vec()),
        Kind::Curve { components, param, .. } => (components.to_vec(), vec![param.clone()]),
        Kind::Surface { components, params, .. } => (components.to_vec(), params.to_vec()),
    }
}

fn describe(reading: &Reading) -> Understood {
    let (kind, relation, params, ranges) = match &reading.kind {
        Kind::Field { relation, .. } => {
            let relation = match relation {
                Relation::None => "none",
                Relation::Equal => "=",
                Relation::Less => "<",
                Relation::Greater => ">",
                Relation::Between => "band",
            };
            ("field", relation, Vec::new(), Vec::new())
        }
        Kind::Curve { param, range, .. } => ("curve", "none", vec![param.clone()], vec![*range]),
        Kind::Surface { params, ranges, .. } => ("surface", "none", params.to_vec(), ranges.to_vec()),
    };
    Understood {
        kind,
        relation,
        normal: reading.normal.clone(),
        free: reading.free.clone(),
        params,
        ranges: ranges.into_iter().map(|range| range.map(|(low, high)| [low, high])).collect(),
        remarks: reading
            .remarks
            .iter()
            .map(|remark| Remark { what: remark.what.clone(), at: [remark.at.start, remark.at.end] })
            .collect(),
        values: Vec::new(),
    }
}
