//! From what a run gave to finished things: meshes with their findings, pictures, and the files of a folder.

use std::fmt::Write as _;

use serde_json::{Value as Json, json};

use super::Outcome;
use crate::base::{Tolerance, Watch};
use crate::check::{self, Finding, Severity, Stated};
use crate::export::{self, FlatFormat, Format, Meta, Part};
use crate::form::FormFault;
use crate::form::flat::Flat;
use crate::realise;
use crate::shape::Mesh;
use crate::show::{self, Look, Material, Picture};
use crate::value::{Fault, FlatPiece, Piece, Value};

/// A piece that is made lies within one of so many parts of its longest side when nobody says.
const MADE_PARTS: f64 = 1000.0;
/// The finest and coarsest tolerance chosen when nobody says, mm.
const TOLERANCE_RANGE: (f64, f64) = (0.002, 0.5);
/// Side of the picture in a folder of files, and of the one inside a 3MF file, pixels.
const PICTURE_SIDE: u32 = 1000;
const THUMBNAIL_SIDE: u32 = 256;

/// A piece as a mesh, with what was found.
#[derive(Clone, Debug)]
pub struct Made {
    /// The piece's name.
    pub name: String,
    /// How it is to be made, in the script's words.
    pub process: String,
    /// The mesh.
    pub mesh: Mesh,
    /// How far it may lie from the exact form.
    pub tolerance: Tolerance,
    /// It shows a wall by its two sheets, which may pass through one another: what it holds is not known.
    pub sheets: bool,
    /// What was found by checking it.
    pub findings: Vec<Finding>,
    /// What had to be decided while making it.
    pub said: Vec<String>,
}

/// Everything that a run leaves in a folder.
#[derive(Clone, Debug)]
pub struct Files {
    /// The pieces.
    pub made: Vec<Made>,
    /// Names and bytes.
    pub files: Vec<(String, Vec<u8>)>,
}

impl Made {
    /// Name, size, volume (or area, of a sheet) and number of triangles in a line. Of a wall drawn by its sheets only what
    /// they tell.
    pub fn line(&self) -> String {
        let size = self.mesh.bounds().size();
        let [triangles, tolerance] =
            [self.mesh.triangles.len().to_string(), rounded(self.tolerance.mm()).to_string()];
        let content = if self.sheets {
            format!("drawn by its two sheets, {triangles} triangles")
        } else if self.mesh.laws_of_joints().is_empty() {
            format!("{:.2} cm³, {triangles} triangles, within {tolerance} mm", self.mesh.volume() / 1000.0)
        } else {
            let area = self.mesh.measures().area / 100.0;
            format!("{area:.2} cm², {triangles} triangles, within {tolerance} mm")
        };
        format!("{}: {:.1} × {:.1} × {:.1} mm, {content}", self.name, size.x, size.y, size.z)
    }

    /// All that is known, for other programs; null for what sheets do not tell.
    pub fn json(&self) -> Json {
        let measures = self.mesh.measures();
        let whole = |value: Json| if self.sheets { Json::Null } else { value };
        json!({
            "name": self.name,
            "process": self.process,
            "unit": "mm",
            "tolerance": self.tolerance.mm(),
            "size": measures.bounds.size().array(),
            "low": measures.bounds.min.array(),
            "high": measures.bounds.max.array(),
            "volume": whole(measures.volume.into()),
            "area": whole(measures.area.into()),
            "genus": whole(measures.genus.into()),
            "parts": whole(measures.components.into()),
            "points": self.mesh.points.len(),
            "triangles": self.mesh.triangles.len(),
            "said": self.said,
            "findings": self.findings,
        })
    }
}

/// Three figures, without zeros at the end.
fn rounded(mm: f64) -> f64 {
    let scale = 10_f64.powi(2 - mm.abs().log10().floor() as i32);
    (mm * scale).round() / scale
}

impl Outcome {
    /// The shapes to look at: the pieces, or the value when it is a solid. A tolerance in keeping with the size is chosen
    /// when none is given.
    ///
    /// # Errors
    /// When a form cannot be made: it is empty, has no end, is too large for the tolerance, or time is up.
    pub fn view(&self, tolerance: Option<Tolerance>, watch: &dyn Watch) -> Result<Vec<Made>, Fault> {
        self.solids().iter().map(|piece| self.made(piece, tolerance, watch)).collect()
    }

    /// The pieces, or the value when it is a solid.
    pub(super) fn solids(&self) -> Vec<Piece> {
        let mut pieces = self.pieces.clone();
        if let (true, Value::Solid(form)) = (pieces.is_empty() && self.flats.is_empty(), &self.value) {
            pieces.push(Piece { name: "shape".into(), form: form.clone(), process: String::new() });
        }
        pieces
    }

    /// A piece as a mesh, checked.
    ///
    /// # Errors
    /// As [`Self::view`].
    pub fn made(
        &self,
        piece: &Piece,
        tolerance: Option<Tolerance>,
        watch: &dyn Watch,
    ) -> Result<Made, Fault> {
        let mut made = finished(piece, tolerance, watch)?;
        made.findings = check::findings(&made.mesh, &Stated { size: self.size, tolerance: made.tolerance });
        Ok(made)
    }

    /// A picture of the pieces, side by side when there are several. Each seems made of what its process uses, unless a
    /// material is given.
    pub fn picture(&self, made: &[Made], look: &Look, material: Option<Material>) -> Picture {
        if made.is_empty() && !self.flats.is_empty() {
            return self.flat_picture(look);
        }
        let meshes: Vec<&Mesh> = made.iter().map(|one| &one.mesh).collect();
        let mut pieces = match meshes[..] {
            [mesh] => vec![show::Piece::new(mesh)],
            _ => show::row(&meshes, look),
        };
        for piece in &mut pieces {
            let of = made.iter().find(|one| std::ptr::eq(&one.mesh, piece.mesh));
            piece.material = material.or_else(|| of.and_then(|one| material_of(&one.process)));
        }
        show::group(&pieces, look)
    }

    /// # Errors
    /// When a flat is empty.
    pub(super) fn flats_hold_something(&self) -> Result<(), Fault> {
        match self.flats.iter().find(|piece| piece.flat.is_empty()) {
            None => Ok(()),
            Some(piece) => Err(Fault::new(format!("{}: {}", piece.name, FormFault::Empty))
                .hint("an `outset` further inwards than it is wide, `&` or `-` have taken everything away")),
        }
    }

    /// A picture of the flat work, side by side when there are several.
    pub fn flat_picture(&self, look: &Look) -> Picture {
        let ready: Vec<Option<[Flat; 2]>> =
            self.flats.iter().map(|piece| piece.cut.as_ref().map(|ready| ready.pictured())).collect();
        let work = self.flats.iter().zip(&ready).map(|(piece, ready)| match ready {
            Some([flat, paths]) => show::Work { flat, paths: Some(paths) },
            None => show::Work { flat: &piece.flat, paths: None },
        });
        show::flats(&work.collect::<Vec<_>>(), look)
    }

    /// What a picture file tells of itself.
    pub fn told(&self) -> Vec<(&'static str, &str)> {
        let head = &self.head;
        let texts = [
            ("Title", &head.title),
            ("Author", &head.maker),
            ("Copyright", &head.licence),
            ("Description", &head.about),
            ("Source", &self.script),
        ];
        texts
            .into_iter()
            .filter(|(_, text)| !text.is_empty())
            .map(|(name, text)| (name, text.as_str()))
            .collect()
    }

    /// Everything for a folder: each piece in each format, a picture, a report for people and one for programs, and
    /// the script.
    ///
    /// # Errors
    /// When a piece cannot be made or written, and when there is none.
    pub fn files(
        &self,
        made: Vec<Made>,
        formats: &[Format],
        flat_formats: &[FlatFormat],
    ) -> Result<Files, Fault> {
        if made.is_empty() && self.flats.is_empty() {
            return Err(Fault::new("nothing to make: the text ends in no solid and no flat").hint(
                "a surface or curve needs a thickness, such as .wall(2); a script makes pieces by make(\"name\", solid)",
            ));
        }
        self.flats_hold_something()?;
        let mut files = Vec::new();
        for one in &made {
            let thumbnail = show::picture(&one.mesh, &Look::thumbnail(THUMBNAIL_SIDE)).png(&[]);
            let meta = self.meta(&one.name, Some(thumbnail));
            for format in formats {
                let bytes = export::file(*format, &[Part { name: &one.name, mesh: &one.mesh }], &meta)
                    .map_err(|fault| Fault::new(format!("{}: {fault}", one.name)))?;
                files.push((format!("{}.{}", one.name, format.extension()), bytes));
            }
        }
        for (name, flat) in self.flats.iter().flat_map(FlatPiece::sheets) {
            let meta = self.meta(&name, None);
            for format in flat_formats {
                let bytes = export::flat_file(*format, &flat, &meta)
                    .map_err(|fault| Fault::new(format!("{name}: {fault}")))?;
                files.push((format!("{name}.{}", format.extension()), bytes));
            }
        }
        if !(made.is_empty() || self.flats.is_empty()) {
            files.push(("flat.png".into(), self.flat_picture(&Look::square(PICTURE_SIDE)).png(&self.told())));
        }
        let picture = self.picture(&made, &Look::square(PICTURE_SIDE), None);
        files.push(("picture.png".into(), picture.png(&self.told())));
        files.push(("report.md".into(), self.report(&made).into_bytes()));
        let shapes: Vec<Json> = made.iter().map(Made::json).collect();
        let mut report =
            json!({ "head": self.head, "said": self.said, "settings": self.settings(), "pieces": shapes });
        if !self.flats.is_empty() {
            report["flats"] = self.flats.iter().flat_map(FlatPiece::json_of_sheets).collect();
        }
        files.push(("report.json".into(), format!("{report:#}\n").into_bytes()));
        files.push(("script.ogee".into(), self.whole_script().into_bytes()));
        Ok(Files { made, files })
    }

    fn meta(&self, name: &str, thumbnail: Option<Vec<u8>>) -> Meta {
        let head = self.head.clone();
        Meta {
            title: self.title(name),
            maker: head.maker,
            licence: head.licence,
            sentence: head.about,
            script: self.whole_script(),
            thumbnail,
        }
    }

    /// The title of a piece: the script's alone where nothing else is made.
    fn title(&self, name: &str) -> String {
        let alone = self.pieces.len() + self.flats.len() == 1;
        match &self.head.title {
            none if none.is_empty() => name.to_owned(),
            title if alone => title.clone(),
            title => format!("{title}: {name}"),
        }
    }

    /// The script with a head, which the line that a bare formula stands for has not by itself.
    fn whole_script(&self) -> String {
        match &self.reading {
            Some(_) => format!("//! {}\n//! {}\n\n{}\n", self.head.title, self.head.about, self.script),
            None => self.script.clone(),
        }
    }

    /// Parameters and the values they had.
    fn settings(&self) -> Json {
        self.params.iter().map(|asked| (asked.name.clone(), Json::from(asked.value.to_string()))).collect()
    }

    /// For people: what was made, how large, and what was found.
    fn report(&self, made: &[Made]) -> String {
        let title = if self.head.title.is_empty() { "Report" } else { &self.head.title };
        let mut out = format!("# {title}\n\n");
        for (name, text) in
            [("maker", &self.head.maker), ("licence", &self.head.licence), ("", &self.head.about)]
        {
            match (name, text.is_empty()) {
                (_, true) => {}
                ("", _) => out += &format!("{text}\n"),
                _ => out += &format!("- {name}: {text}\n"),
            }
        }
        for asked in &self.params {
            out += &format!("- {} = {} {}\n", asked.name, asked.value, asked.unit);
        }
        for line in &self.said {
            out += &format!("\n{line}\n");
        }
        for one in made {
            push_piece(&mut out, one);
        }
        for one in &self.flats {
            out += &one.report();
        }
        out += "\nFindings are measured on the mesh, as finely as they say. They do not promise that a piece can be made, \
                or that it is safe.\n";
        out
    }
}

fn push_piece(out: &mut String, made: &Made) {
    let measures = made.mesh.measures();
    let sides = measures.bounds.size();
    let (name, process) = (&made.name, if made.process.is_empty() { "not stated" } else { &made.process });
    // Writing into a text cannot fail.
    let _ = write!(
        out,
        "\n## {name}\n\n| | |\n| --- | --- |\n| to be made by | {process} |\n| box | {:.2} × {:.2} × {:.2} mm |\n\
         | volume | {:.3} cm³ |\n| area | {:.2} cm² |\n| parts | {} |\n| triangles | {} |\n| tolerance | {} mm |\n\n\
         | rule | outcome | |\n| --- | --- | --- |\n",
        sides.x,
        sides.y,
        sides.z,
        measures.volume / 1000.0,
        measures.area / 100.0,
        measures.components,
        made.mesh.triangles.len(),
        rounded(made.tolerance.mm()),
    );
    push_findings(out, &made.findings);
    for line in &made.said {
        *out += &format!("\n{line}\n");
    }
}

/// Findings as rows of a table.
pub(super) fn push_findings(out: &mut String, findings: &[Finding]) {
    for finding in findings {
        let severity = match finding.severity {
            Severity::Pass => "pass",
            Severity::Note => "note",
            Severity::Unknown => "unknown",
            Severity::Fail => "FAIL",
        };
        let mend = if finding.mend.is_empty() { String::new() } else { format!("; {}", finding.mend) };
        *out += &format!("| {} | {severity} | {}{mend} |\n", finding.rule, finding.sentence);
    }
}

/// Materials that pictures know, by the words that name them or the processes that use them.
const MATERIALS: &[(Material, &[&str])] = &[
    (Material::Plaster, &["plaster", "gypsum"]),
    (Material::Bronze, &["bronze", "brass", "metal", "steel", "silver", "gold"]),
    (Material::Porcelain, &["porcelain", "slip", "ceramic", "stoneware"]),
    (Material::Nylon, &["nylon", "polyamide", "print"]),
    (Material::Glass, &["glass"]),
    (Material::Wax, &["wax"]),
];

/// The material that a process, in a script's words, uses: the last that is named, as in "lost-wax bronze".
fn material_of(process: &str) -> Option<Material> {
    let process = process.to_lowercase();
    let words: Vec<&str> = process.split(|c: char| !c.is_alphanumeric()).collect();
    words.iter().rev().find_map(|word| {
        MATERIALS
            .iter()
            .find(|(_, names)| names.iter().any(|name| word.starts_with(name)))
            .map(|(material, _)| *material)
    })
}

/// The material of a name.
pub fn material_named(name: &str) -> Option<Material> {
    MATERIALS.iter().find(|(_, names)| names[0] == name).map(|(material, _)| *material)
}

/// A piece as a mesh that was not checked.
fn finished(piece: &Piece, tolerance: Option<Tolerance>, watch: &dyn Watch) -> Result<Made, Fault> {
    let told = |fault: realise::RealiseFault| Fault::new(format!("{}: {fault}", piece.name));
    let tolerance = match tolerance {
        Some(asked) => asked,
        None => {
            let longest = realise::extent(&piece.form).map_err(told)?.size().largest();
            chosen(longest, MADE_PARTS).ok_or_else(|| told(realise::RealiseFault::Empty))?
        }
    };
    let realised = realise::solid(&piece.form, tolerance, watch).map_err(told)?;
    let Piece { name, process, .. } = piece.clone();
    Ok(Made {
        name,
        process,
        mesh: realised.mesh,
        tolerance,
        sheets: false,
        findings: Vec::new(),
        said: realised.said,
    })
}

/// The tolerance when nobody says: one of so many parts of the longest side, within limits.
pub(super) fn chosen(longest: f64, parts: f64) -> Option<Tolerance> {
    let (finest, coarsest) = TOLERANCE_RANGE;
    Tolerance::new((longest / parts).clamp(finest, coarsest))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_material_is_the_last_that_the_process_names() {
        for (process, material) in [
            ("binder-jet bronze", Some(Material::Bronze)),
            ("slip-cast porcelain", Some(Material::Porcelain)),
            ("lost-wax bronze", Some(Material::Bronze)),
            ("Glass", Some(Material::Glass)),
            ("", None),
        ] {
            assert_eq!(material_of(process), material, "{process}");
        }
    }
}
