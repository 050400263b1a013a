//! What is told of flat work: a line, a table of the report, and the same for other programs.

use serde_json::{Value as Json, json};

use super::making::push_findings;
use crate::check::{self, Finding};
use crate::form::Flat;
use crate::form::flat::{Layer, Sheet};
use crate::value::FlatPiece;

impl FlatPiece {
    /// Name, size, area and length of paths in a line.
    pub fn line(&self) -> String {
        let size = self.flat.bounds().size();
        let regions = match self.flat.regions() {
            1 => "1 region".to_owned(),
            n => format!("{n} regions"),
        };
        let path: f64 = self.sheets().iter().map(|(_, flat)| flat.length()).fold(0.0, |a, b| a + b);
        format!(
            "{}: {:.1} × {:.1} mm, {regions}, {:.2} cm², {path:.0} mm of path",
            self.name,
            size.x.max(0.0),
            size.y.max(0.0),
            self.flat.area() / 100.0,
        )
    }

    /// What was found by checking it against the process it was made ready for; nothing when it was not.
    pub fn findings(&self) -> Vec<Finding> {
        self.cut.as_ref().map_or(Vec::new(), |ready| check::flat_findings(ready))
    }

    /// The files it makes: a name and the paths for each sheet.
    pub(super) fn sheets(&self) -> Vec<(String, Flat)> {
        match self.cut.as_ref().map(|ready| &ready.sheets[..]) {
            None => vec![(self.name.clone(), self.flat.clone())],
            Some([one]) => vec![(self.name.clone(), one.paths.clone())],
            Some(many) => {
                let named =
                    |(i, sheet): (usize, &Sheet)| (format!("{}-{}", self.name, i + 1), sheet.paths.clone());
                many.iter().enumerate().map(named).collect()
            }
        }
    }

    /// All that is known, for other programs.
    pub fn json(&self) -> Json {
        let mut told = self.described(&self.name, &self.flat);
        if self.cut.is_some() {
            told["findings"] = json!(self.findings());
        }
        told
    }

    /// The same for each file: what its paths are. The first tells what was found.
    pub(super) fn json_of_sheets(&self) -> Vec<Json> {
        let mut all: Vec<Json> =
            self.sheets().iter().map(|(name, flat)| self.described(name, flat)).collect();
        if let (Some(first), true) = (all.first_mut(), self.cut.is_some()) {
            first["findings"] = json!(self.findings());
        }
        all
    }

    fn described(&self, name: &str, flat: &Flat) -> Json {
        let b = flat.bounds();
        json!({
            "name": name,
            "process": self.process,
            "unit": "mm",
            "low": [b.min.x, b.min.y],
            "high": [b.max.x, b.max.y],
            "area": flat.layers().iter().map(area).sum::<f64>() + 0.0,
            "length": flat.length(),
            "regions": flat.regions(),
            "layers": flat.layers().iter().map(|layer| json!({
                "name": &*layer.name,
                "meaning": layer.meaning.name(),
                "area": area(layer) + 0.0,
                "length": length(layer),
                "loops": layer.loops.len(),
                "lines": layer.lines.len(),
            })).collect::<Vec<_>>(),
        })
    }

    /// For people, as a section of the report.
    pub(super) fn report(&self) -> String {
        let size = self.flat.bounds().size();
        let process = if self.process.is_empty() { "not stated" } else { &self.process };
        let mut out = format!(
            "\n## {}\n\n| | |\n| --- | --- |\n| to be made by | {process} |\n| box | {:.2} × {:.2} mm |\n\
             | area | {:.2} cm² |\n| regions | {} |\n",
            self.name,
            size.x.max(0.0),
            size.y.max(0.0),
            self.flat.area() / 100.0,
            self.flat.regions()
        );
        for (name, flat) in self.sheets() {
            out += &format!(
                "\n| layer of {name} | meaning | loops | lines | length |\n| --- | --- | --- | --- | --- |\n"
            );
            for layer in flat.layers() {
                let (name, meaning) = (layer.name.replace('|', "/"), layer.meaning.name());
                let (loops, lines) = (layer.loops.len(), layer.lines.len());
                out += &format!("| {name} | {meaning} | {loops} | {lines} | {:.0} mm |\n", length(layer));
            }
        }
        if self.cut.is_some() {
            out += "\n| rule | outcome | |\n| --- | --- | --- |\n";
            push_findings(&mut out, &self.findings());
        }
        out
    }
}

/// The area that closed paths go round, mm²: regions, and outlines and openings that are cut in order.
fn area(layer: &Layer) -> f64 {
    let closed = layer.lines.iter().filter(|p| p.closed);
    layer.loops.iter().chain(closed).map(crate::form::flat::Path::area).sum()
}

fn length(layer: &Layer) -> f64 {
    layer.loops.iter().chain(layer.lines.iter()).map(crate::form::flat::Path::length).sum()
}
