//! `ogee make`: every piece as files, a picture, a report, and the script, in one folder.

use std::io::{self, IsTerminal, Write};
use std::path::Path;

use serde_json::json;

use super::args::{Make, Shared};
use super::outcome::{Complaint, FINDING_FAILS, Stop};
use super::progress::Progress;
use super::{disk, host};
use crate::check::{Severity, gravest};
use crate::export::{FlatFormat, Format};
use crate::job::Outcome;

/// What to write, and where.
pub struct Order<'a> {
    /// The folder, made if missing.
    pub folder: &'a Path,
    /// Formats; 3MF and STL when empty.
    pub formats: &'a [Format],
    /// Formats of flat work; SVG and DXF when empty.
    pub flats: &'a [FlatFormat],
    /// Options shared with other commands.
    pub shared: &'a Shared,
}

/// Makes what was given.
pub fn run(make: &Make) -> Result<u8, Stop> {
    let (mut formats, mut flats) = (Vec::new(), Vec::new());
    for name in &make.formats {
        match (Format::named(name), FlatFormat::named(name)) {
            (Some(format), _) => formats.push(format),
            (_, Some(format)) => flats.push(format),
            _ => return Err(unknown(name)),
        }
    }
    let given = host::Given::of(&make.what)?;
    let outcome = host::language(&make.shared, given.path.as_deref())?.run(&given.text)?;
    write(&outcome, &Order { folder: &make.output, formats: &formats, flats: &flats, shared: &make.shared })
}

fn unknown(name: &str) -> Stop {
    Complaint::new(format!("there is no format `{name}`"), known()).into()
}

/// The formats that there are.
fn known() -> String {
    let solids: Vec<&str> = Format::ALL.iter().map(|format| format.extension()).collect();
    let flats: Vec<&str> = FlatFormat::ALL.iter().map(|format| format.extension()).collect();
    format!("for solids there are {}, for flat work {}", solids.join(", "), flats.join(", "))
}

/// Refuses formats of which none is for what there is to make.
fn no_use(outcome: &Outcome, order: &Order) -> Result<(), Stop> {
    let solids_only = order.flats.is_empty() && !order.formats.is_empty();
    let flats_only = order.formats.is_empty() && !order.flats.is_empty();
    let what = match () {
        () if flats_only && outcome.flats.is_empty() => "flat work, and there is none here",
        () if solids_only && outcome.pieces.is_empty() => "solids, and there is none here",
        () => return Ok(()),
    };
    Err(Complaint::new(format!("the formats asked for are for {what}"), known()).into())
}

/// Writes every file of a run, and tells what was found.
pub fn write(outcome: &Outcome, order: &Order) -> Result<u8, Stop> {
    no_use(outcome, order)?;
    disk::can_hold(order.folder)?;
    let progress = Progress::new(!order.shared.quiet && io::stderr().is_terminal());
    let formats = if order.formats.is_empty() { &[Format::ThreeMf, Format::Stl] } else { order.formats };
    let made = outcome.view(host::tolerance(order.shared)?, &progress)?;
    let flats = if order.flats.is_empty() { &FlatFormat::USUAL } else { order.flats };
    let files = outcome.files(made, formats, flats)?;
    drop(progress);
    let mut names = Vec::new();
    for (name, bytes) in &files.files {
        let path = order.folder.join(name);
        disk::write(&path, bytes)?;
        names.push(path.display().to_string());
    }
    let mut out = io::stdout().lock();
    if order.shared.json {
        let flats = outcome.flats.iter().map(crate::value::FlatPiece::json);
        let shapes: Vec<_> = files.made.iter().map(crate::job::Made::json).chain(flats).collect();
        writeln!(out, "{}", json!({ "files": names, "said": outcome.said, "shapes": shapes }))?;
    } else if !order.shared.quiet {
        for line in &outcome.said {
            writeln!(out, "{line}")?;
        }
        for one in &files.made {
            writeln!(out, "{}", one.line())?;
            for finding in one.findings.iter().filter(|finding| finding.severity >= Severity::Note) {
                writeln!(out, "  {:?}: {}", finding.severity, finding.sentence)?;
            }
        }
        for one in &outcome.flats {
            writeln!(out, "{}", one.line())?;
            for finding in one.findings().iter().filter(|finding| finding.severity >= Severity::Note) {
                writeln!(out, "  {:?}: {}", finding.severity, finding.sentence)?;
            }
        }
        for name in &names {
            writeln!(out, "wrote {name}")?;
        }
    }
    let fails = files.made.iter().any(|one| gravest(&one.findings) == Severity::Fail)
        || outcome.flats.iter().any(|one| gravest(&one.findings()) == Severity::Fail);
    Ok(if fails { FINDING_FAILS } else { 0 })
}
