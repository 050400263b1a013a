//! The language as this program hosts it: with a clock, a folder for modules, and what the options ask.

use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use super::args::Shared;
use super::disk;
use super::folder::Folder;
use super::outcome::{Complaint, Stop};
use super::signal;
use crate::Ogee;
use crate::base::Tolerance;

/// What a command was given to work on.
pub struct Given {
    /// A formula or a script.
    pub text: String,
    /// The script's file, when it came from one.
    pub path: Option<PathBuf>,
}

impl Given {
    /// What an argument stands for: `-` is standard input, a name that ends in `.ogee` or is a file is that file, and
    /// all else is the text itself. There must be something in it.
    pub fn of(argument: &str) -> Result<Self, Stop> {
        let given = Self::found(argument)?;
        if given.text.trim().is_empty() {
            let hint = "give a formula, script text, or the path of a script";
            return Err(Complaint::new("there is nothing in what was given", hint).into());
        }
        Ok(given)
    }

    fn found(argument: &str) -> Result<Self, Stop> {
        if argument == "-" {
            return Ok(Self { text: disk::standard_input()?, path: None });
        }
        let path = Path::new(argument);
        let named = !argument.contains('\n') && path.extension().is_some_and(|ending| ending == "ogee");
        let begins = ["./", "../", "~/"].iter().any(|start| argument.starts_with(start));
        if path.is_dir() || (begins && !path.is_file()) {
            let why = if path.is_dir() { "is a folder" } else { "is no file" };
            return Err(Complaint::new(format!("{argument} {why}"), "give the path of a script").into());
        }
        if !named && !path.is_file() {
            return Ok(Self { text: argument.into(), path: None });
        }
        let text = disk::text(path).map_err(|fault| {
            let hint = if named { "`ogee scripts` lists scripts to copy with `ogee copy NAME`" } else { "" };
            Complaint::new(format!("{argument} cannot be read: {fault}"), hint)
        })?;
        Ok(Self { text, path: Some(path.into()) })
    }
}

/// The language set up as the options ask, for text from `path` or from the command line.
pub fn language(shared: &Shared, path: Option<&Path>) -> Result<Ogee, Stop> {
    let began = Instant::now();
    let folder = path.and_then(Path::parent).filter(|folder| !folder.as_os_str().is_empty());
    let mut ogee = Ogee::new()
        .with_clock(move || if signal::asked_to_stop() { Duration::MAX } else { began.elapsed() })
        .with_reader(Folder::new(folder.unwrap_or(Path::new("."))));
    if let Some(path) = path {
        ogee = ogee.with_name(path.display().to_string());
    }
    if let Some(size) = shared.size {
        ogee = ogee.with_size(size);
    }
    if let Some(wall) = shared.wall {
        ogee = ogee.with_wall(wall);
    }
    if let Some(tolerance) = tolerance(shared)? {
        ogee = ogee.with_tolerance(tolerance);
    }
    for (name, value) in &shared.settings {
        ogee = ogee.set(name, value);
    }
    Ok(ogee)
}

/// The tolerance asked for.
pub fn tolerance(shared: &Shared) -> Result<Option<Tolerance>, Stop> {
    let of =
        |mm| Tolerance::new(mm).ok_or_else(|| Complaint::new("the tolerance is a length in mm", "").into());
    shared.tolerance.map(of).transpose()
}
