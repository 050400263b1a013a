//! `ogee read`: how a text is understood.

use std::io::{self, Write};

use super::args::Read;
use super::disk;
use super::outcome::{Complaint, Stop};
use crate::job::{Understood, Values, understand};

/// Tells how the text is understood, and its values.
pub fn run(read: &Read) -> Result<u8, Stop> {
    let text = if read.text == "-" { disk::standard_input()? } else { read.text.clone() };
    let points: Vec<Vec<f64>> = read.points.iter().map(|point| point.0.clone()).collect();
    let understood =
        understand(&text, &read.lets, &points).map_err(|fault| Complaint::of_reading(&text, fault))?;
    let mut out = io::stdout().lock();
    if read.json {
        let told = serde_json::to_string(&understood).map_err(io::Error::from)?;
        writeln!(out, "{told}")?;
    } else {
        out.write_all(plain(&understood, &text, &points).as_bytes())?;
    }
    Ok(0)
}

/// For people.
fn plain(understood: &Understood, text: &str, points: &[Vec<f64>]) -> String {
    let mut lines = vec![line("kind", sort(understood)), line("reads as", understood.normal.clone())];
    for (name, [low, high]) in &understood.ranges {
        let from = if low.is_finite() { format!(" from {low}") } else { String::new() };
        let to = if high.is_finite() { format!(" to {high}") } else { String::new() };
        lines.push(line("range", format!("{name}{from}{to}")));
    }
    if !understood.free.is_empty() {
        lines.push(line(
            "no value",
            format!("{} (give one: --let {}=1)", understood.free.join(", "), understood.free[0]),
        ));
    }
    for remark in &understood.remarks {
        let about = text.get(remark.at[0]..remark.at[1]).map(str::trim).unwrap_or("");
        let about = if about.is_empty() || about.len() > 30 { String::new() } else { format!("  [{about}]") };
        lines.push(line("note", format!("{}{about}", remark.what)));
    }
    for (point, values) in points.iter().zip(&understood.values) {
        let at: Vec<String> = point.iter().map(f64::to_string).collect();
        let value = match values {
            Values::One(value) => value.to_string(),
            Values::Three([x, y, z]) => format!("{x}, {y}, {z}"),
        };
        lines.push(line("value", format!("{value}  at {}", at.join(", "))));
    }
    lines.concat()
}

fn line(name: &str, text: String) -> String {
    format!("{name:<10}{text}\n")
}

fn sort(understood: &Understood) -> String {
    match (understood.kind, understood.relation) {
        ("field", "none") => "field: a number at every place".into(),
        ("field", "=") => "field, left side minus right side; its zero is a surface".into(),
        ("field", "band") => "field, negative between the two bounds: a solid".into(),
        ("field", relation) => format!("field of an inequality ({relation}), negative inside: a solid"),
        ("curve", _) => format!("curve in {}", understood.params.join(", ")),
        (kind, _) => format!("{kind} in {}", understood.params.join(" and ")),
    }
}
