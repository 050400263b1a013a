//! What is told of flat work: a line, a table of the report, and the same for other programs.

use serde_json::{Value as Json, json};

use crate::form::flat::Layer;
use crate::value::FlatPiece;

impl FlatPiece {
    /// Name, size, area and length of paths in a line.
    pub fn line(&self) -> String {
        let size = self.flat.bounds().size();
        let regions = match self.flat.regions() {
            1 => "1 region".to_owned(),
            n => format!("{n} regions"),
        };
        format!(
            "{}: {:.1} × {:.1} mm, {regions}, {:.2} cm², {:.0} mm of path",
            self.name,
            size.x.max(0.0),
            size.y.max(0.0),
            self.flat.area() / 100.0,
            self.flat.length()
        )
    }

    /// All that is known, for other programs.
    pub fn json(&self) -> Json {
        let b = self.flat.bounds();
        json!({
            "name": self.name,
            "process": self.process,
            "unit": "mm",
            "low": [b.min.x, b.min.y],
            "high": [b.max.x, b.max.y],
            "area": self.flat.area(),
            "length": self.flat.length(),
            "regions": self.flat.regions(),
            "layers": self.flat.layers().iter().map(|layer| json!({
                "name": &*layer.name,
                "meaning": layer.meaning.name(),
                "area": area(layer),
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
             | area | {:.2} cm² |\n| regions | {} |\n\n| layer | meaning | loops | lines | length |\n\
             | --- | --- | --- | --- | --- |\n",
            self.name,
            size.x.max(0.0),
            size.y.max(0.0),
            self.flat.area() / 100.0,
            self.flat.regions()
        );
        for layer in self.flat.layers() {
            let (name, meaning) = (layer.name.replace('|', "/"), layer.meaning.name());
            let (loops, lines) = (layer.loops.len(), layer.lines.len());
            out += &format!("| {name} | {meaning} | {loops} | {lines} | {:.0} mm |\n", length(layer));
        }
        out
    }
}

fn area(layer: &Layer) -> f64 {
    layer.loops.iter().map(crate::form::flat::Path::area).sum()
}

fn length(layer: &Layer) -> f64 {
    layer.loops.iter().chain(layer.lines.iter()).map(crate::form::flat::Path::length).sum()
}
