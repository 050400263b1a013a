//! `ogee see`: a formula or script as a picture, in the terminal and as a file.

use std::io::{self, IsTerminal, Write};
use std::path::Path;

use serde_json::json;

use super::args::{See, Shared};
use super::outcome::{FINDING_FAILS, Stop};
use super::progress::Progress;
use super::{disk, host, terminal};
use crate::check::{Severity, gravest};
use crate::job::{Made, Outcome};
use crate::show::Look;

/// Side of a picture in a file, pixels.
const SIDE: u32 = 1000;
/// A picture in the terminal is no wider, so that it fits above the fold.
const MOST_COLUMNS: u16 = 79;

/// Shows what was given.
pub fn run(see: &See) -> Result<u8, Stop> {
    let given = host::Given::of(&see.what)?;
    let outcome = host::language(&see.shared, given.path.as_deref())?.run(&given.text)?;
    show(&outcome, &see.shared, see.output.as_deref())
}

/// Shows a run: what was said, the picture in the terminal, its size, and the line of script that would give it.
pub fn show(outcome: &Outcome, shared: &Shared, path: Option<&Path>) -> Result<u8, Stop> {
    let progress = Progress::new(!shared.quiet && io::stderr().is_terminal());
    let made = outcome.view(host::tolerance(shared)?, &progress)?;
    drop(progress);
    let means = terminal::means().filter(|_| !shared.json && !shared.quiet);
    if !made.is_empty() {
        if let Some(path) = path {
            disk::write(path, &outcome.picture(&made, &Look::square(SIDE)).png(&outcome.told()))?;
        }
        if let Some(means) = means {
            let columns = columns();
            terminal::print(&outcome.picture(&made, &terminal::look(means, columns)), columns, means)?;
        }
    }
    let mut out = io::stdout().lock();
    if shared.json {
        let shapes: Vec<_> = made.iter().map(Made::json).collect();
        let told = json!({ "value": outcome.shown, "said": outcome.said, "script": outcome.script, "shapes": shapes,
            "picture": path.map(|path| path.display().to_string()) });
        writeln!(out, "{told}")?;
    } else if !shared.quiet {
        for line in &outcome.said {
            writeln!(out, "{line}")?;
        }
        for one in &made {
            writeln!(out, "{}", one.line())?;
        }
        if made.is_empty() {
            writeln!(out, "{}", outcome.shown)?;
        }
        if let Some(path) = path.filter(|_| !made.is_empty()) {
            writeln!(out, "wrote {}", path.display())?;
        }
    }
    let fails = made.iter().any(|one| gravest(&one.findings) == Severity::Fail);
    Ok(if fails { FINDING_FAILS } else { 0 })
}

/// Columns that a picture takes: the terminal's width, within reason.
fn columns() -> u16 {
    let (columns, _) = viuer::terminal_size();
    columns.saturating_sub(1).clamp(20, MOST_COLUMNS)
}
