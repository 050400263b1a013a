//! `ogee see`: a formula or script as a picture, in the terminal and as a file.

use std::io::{self, IsTerminal, Write};
use std::path::Path;

use serde_json::json;

use super::args::{LookAsked, See, Shared};
use super::outcome::{Complaint, Stop};
use super::progress::Progress;
use super::{disk, host, terminal};
use crate::job::{Fine, Made, Outcome, material_named};
use crate::show::{Look, Material};

/// A picture in the terminal is no narrower and no wider.
const LEAST_COLUMNS: u16 = 48;
const MOST_COLUMNS: u16 = 100;
/// What a script makes has parts much smaller than the whole, so it is meshed as for a picture this wide at least, pixels.
const SCRIPT_PIXELS: u32 = 1000;
/// Lines that a picture leaves to the text around it.
const LINES_LEFT: u16 = 8;

/// Shows what was given.
pub fn run(see: &See) -> Result<u8, Stop> {
    if let Some(path) = see.output.as_ref().filter(|path| !is_png(path)) {
        let what = format!("{} is no name of a PNG file", path.display());
        return Err(Complaint::new(what, "pictures are written as PNG: end the name in .png").into());
    }
    let given = host::Given::of(&see.what)?;
    let outcome = host::language(&see.shared, given.path.as_deref())?.run(&given.text)?;
    show(&outcome, &View { shared: &see.shared, look: &see.look, path: see.output.as_deref() })?;
    Ok(0)
}

/// Whether a file may hold a picture: its name ends in `.png`, or it is a device or pipe.
fn is_png(path: &Path) -> bool {
    let named = path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("png"));
    named || std::fs::metadata(path).is_ok_and(|there| !there.is_file() && !there.is_dir())
}

/// How a run is shown.
pub struct View<'a> {
    /// Options shared with other commands.
    pub shared: &'a Shared,
    /// How the picture is to look.
    pub look: &'a LookAsked,
    /// The file for the picture, if there is to be one.
    pub path: Option<&'a Path>,
}

impl View<'_> {
    /// A look, seen from where it was asked for.
    fn of(&self, look: Look) -> Look {
        self.look.from.map_or(look, |(turn, height)| look.from(turn, height))
    }

    fn material(&self) -> Result<Option<Material>, Stop> {
        let Some(name) = &self.look.material else { return Ok(None) };
        let hint = "there are plaster, bronze, porcelain, nylon, glass and wax";
        let unknown = || Complaint::new(format!("there is no material `{name}`"), hint).into();
        material_named(name).map(Some).ok_or_else(unknown)
    }
}

/// Shows a run: what was said, the picture in the terminal, its size, and the line of script that would give it. True
/// when there was a shape to see.
pub fn show(outcome: &Outcome, view: &View) -> Result<bool, Stop> {
    let View { shared, path, .. } = *view;
    let material = view.material()?;
    let means = terminal::means().filter(|_| !shared.json && !shared.quiet);
    let columns = columns();
    let in_terminal = means.map(|means| view.of(terminal::look(means, columns)));
    let in_file = path.map(|_| view.of(Look::square(view.look.pixels)));
    let widest = in_terminal.iter().chain(&in_file).map(|look| look.width).max();
    let fine = match host::tolerance(shared)? {
        Some(tolerance) => Fine::Within(tolerance),
        None => {
            let least = if outcome.reading.is_some() { 0 } else { SCRIPT_PIXELS };
            Fine::Pixels(widest.unwrap_or(view.look.pixels).max(least))
        }
    };
    let progress = Progress::new(!shared.quiet && io::stderr().is_terminal());
    let made = outcome.look(fine, &progress)?;
    drop(progress);
    let seen = !(made.is_empty() && outcome.flats.is_empty());
    if !seen && path.is_some() {
        for line in outcome.said.iter().filter(|_| !shared.json && !shared.quiet) {
            writeln!(io::stdout(), "{line}")?;
        }
        let what = match outcome.shown.as_str() {
            "" => "this makes no shape to draw".to_owned(),
            shown => format!("there is no shape to draw here, only {shown}"),
        };
        return Err(Complaint::new(what, "end the script in a shape, or give one to make(...)").into());
    }
    if seen {
        if let (Some(path), Some(look)) = (path, &in_file) {
            disk::write(path, &outcome.picture(&made, look, material).png(&outcome.told()))?;
        }
        if let (Some(means), Some(look)) = (means, &in_terminal) {
            terminal::print(&outcome.picture(&made, look, material), columns, means)?;
        }
    }
    let mut out = io::stdout().lock();
    if shared.json {
        let shapes: Vec<_> = made
            .iter()
            .map(Made::json)
            .chain(outcome.flats.iter().map(crate::value::FlatPiece::json))
            .collect();
        let told = json!({ "value": outcome.shown, "said": outcome.said, "script": outcome.script, "shapes": shapes,
            "picture": path.map(|path| path.display().to_string()) });
        writeln!(out, "{told}")?;
    } else if !shared.quiet {
        for line in &outcome.said {
            writeln!(out, "{line}")?;
        }
        for one in &made {
            for line in &one.said {
                writeln!(out, "{line}")?;
            }
            writeln!(out, "{}", one.line())?;
        }
        for one in &outcome.flats {
            writeln!(out, "{}", one.line())?;
        }
        if !seen && !outcome.shown.is_empty() {
            writeln!(out, "{}", outcome.shown)?;
        }
        if outcome.reading.is_some() {
            writeln!(out, "in a script: {}", outcome.script)?;
        }
        if let Some(path) = path {
            writeln!(out, "wrote {}", path.display())?;
        }
    }
    Ok(seen)
}

/// Columns that a picture takes: what the terminal has, with some lines left for what is said of it.
fn columns() -> u16 {
    // A terminal that does not know its size says 0.
    let (columns, rows) = match viuer::terminal_size() {
        (0, _) | (_, 0) => (80, 24),
        size => size,
    };
    // A square picture takes half as many lines as columns.
    let fits = rows.saturating_sub(LINES_LEFT).saturating_mul(2);
    columns.saturating_sub(1).min(fits).clamp(LEAST_COLUMNS, MOST_COLUMNS)
}
