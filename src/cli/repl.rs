//! The session: a formula or a line of script is run and shown at once. Lines that begin with a colon are about the
//! session itself.

use std::io::{self, IsTerminal, Write};
use std::path::{Path, PathBuf};

use rustyline::error::ReadlineError;
use rustyline::history::DefaultHistory;
use rustyline::{Config, Editor};

use super::args::{LookAsked, Shared, setting};
use super::helper::Words;
use super::outcome::{Complaint, Stop, tell};
use super::{disk, host, make, see, signal};
use crate::guide;
use crate::job::{Outcome, Session};

/// What begins with a colon, and what it does.
pub const COMMANDS: &[(&str, &str)] = &[
    ("help", ":help WORD      explain a word and show its example; without WORD, this list"),
    ("words", ":words [NAME]   list all words, or explain one"),
    ("set", ":set NAME=VALUE give a parameter a value for the lines to come"),
    ("see", ":see [PNG]      show the last shape again, large; with PNG, write the picture"),
    ("save", ":save FILE      write the session as a script that runs"),
    ("make", ":make DIR       write what was made: meshes, picture, report, script"),
    ("quit", ":quit           leave"),
];

const GREETING: &str = "Ogee. Type or paste a formula, or a line of script; :help lists what else there is.";
/// Side of a picture that `:see FILE` writes, pixels.
const PICTURE_SIDE: u32 = 1000;
const LONGEST_HISTORY: usize = 2000;

/// A session at the terminal, or with lines from a pipe.
pub struct Repl {
    session: Session,
    last: Option<Outcome>,
    shared: Shared,
    look: LookAsked,
}

/// Runs a session until its end. Lines from a pipe are run the same way; then the status tells of a fault.
pub fn run() -> Result<u8, Stop> {
    let shared = Shared::default();
    let session = host::language(&shared, None)?.session();
    let mut repl = Repl {
        session,
        last: None,
        shared,
        look: LookAsked { pixels: PICTURE_SIDE, ..LookAsked::default() },
    };
    let person = io::stdin().is_terminal();
    let colour = io::stdout().is_terminal() && std::env::var_os("NO_COLOR").is_none();
    let config =
        Config::builder().max_history_size(LONGEST_HISTORY).map_err(editor_fault)?.auto_add_history(person);
    let mut editor = Editor::<Words, DefaultHistory>::with_config(config.build()).map_err(editor_fault)?;
    editor.set_helper(Some(Words { names: Vec::new(), colour }));
    let history = person.then(history_file).flatten();
    if let Some(path) = &history {
        // No history yet is no fault.
        let _ = editor.load_history(path);
    }
    if person {
        writeln!(io::stdout(), "{GREETING}")?;
    }
    if person {
        signal::listen()?;
    }
    let mut faults = false;
    loop {
        signal::settle();
        if let Some(helper) = editor.helper_mut() {
            helper.names = repl.session.names();
        }
        match editor.readline(if person { "ogee> " } else { "" }) {
            Ok(line) => match repl.line(&line) {
                Ok(true) => {}
                Ok(false) => break,
                Err(_) if signal::settle() => writeln!(io::stdout(), "stopped")?,
                Err(stop) => match stop.told() {
                    Some(told) => {
                        faults = true;
                        stop.said_before();
                        tell(told);
                    }
                    None => return Err(stop),
                },
            },
            Err(ReadlineError::Interrupted) => {}
            Err(ReadlineError::Eof) => break,
            Err(other) => return Err(editor_fault(other)),
        }
    }
    if let Some(path) = &history {
        if let Some(folder) = path.parent() {
            let _ = std::fs::create_dir_all(folder);
        }
        // A history that cannot be kept is no reason to complain at the end of a session.
        let _ = editor.save_history(path);
    }
    Ok(if faults && !person { super::outcome::INPUT_AT_FAULT } else { 0 })
}

fn editor_fault(fault: ReadlineError) -> Stop {
    Complaint::new(format!("the line editor stopped: {fault}"), "").into()
}

/// Where lines of earlier sessions are kept.
fn history_file() -> Option<PathBuf> {
    let set = |name: &str| std::env::var_os(name).filter(|value| !value.is_empty()).map(PathBuf::from);
    let folder = set("XDG_STATE_HOME").or_else(|| set("HOME").map(|home| home.join(".local/state")))?;
    Some(folder.join("ogee").join("history"))
}

impl Repl {
    /// One line; false when it was the last.
    fn line(&mut self, line: &str) -> Result<bool, Stop> {
        let line = line.trim();
        match line.strip_prefix(':') {
            None if line.is_empty() => Ok(true),
            None if matches!(line, "help" | "quit" | "exit") => {
                let name = if line == "help" { "help" } else { "quit" };
                Err(Complaint::new(format!("`{line}` is about the session"), format!("write :{name}")).into())
            }
            None => self.script(line).map(|()| true),
            Some(command) => {
                let (name, rest) = command.split_once(char::is_whitespace).unwrap_or((command, ""));
                self.command(name, rest.trim())
            }
        }
    }

    /// Runs a formula or a line of script, and shows what it gives.
    fn script(&mut self, line: &str) -> Result<(), Stop> {
        let outcome = self.session.line(line)?;
        if see::show(&outcome, &self.view(None))? {
            self.last = Some(outcome);
        }
        Ok(())
    }

    fn command(&mut self, name: &str, rest: &str) -> Result<bool, Stop> {
        match name {
            "quit" | "q" => return Ok(false),
            "help" | "h" => self.help(rest)?,
            "words" if rest.is_empty() => io::stdout().write_all(guide::listing().as_bytes())?,
            "words" => self.help(rest)?,
            "set" => self.set(rest)?,
            "see" => self.see(rest)?,
            "save" => self.save(rest)?,
            "make" => self.make(rest)?,
            _ => {
                return Err(
                    Complaint::new(format!("there is no :{name}"), ":help lists what there is").into()
                );
            }
        }
        Ok(true)
    }

    fn help(&self, name: &str) -> Result<(), Stop> {
        if name.is_empty() {
            for (_, told) in COMMANDS {
                writeln!(io::stdout(), "{told}")?;
            }
            writeln!(io::stdout(), "A line that begins otherwise is a formula or a line of script.")?;
            return Ok(());
        }
        if let Some((_, told)) = name.strip_prefix(':').and_then(|n| COMMANDS.iter().find(|c| c.0 == n)) {
            return Ok(writeln!(io::stdout(), "{told}")?);
        }
        io::stdout().write_all(guide::help(name)?.as_bytes())?;
        let example = guide::find(name).and_then(|entry| entry.examples.into_iter().next());
        if let Some(example) = example.filter(|_| io::stdout().is_terminal()) {
            let outcome = host::language(&self.shared, None)?.run(&example)?;
            see::show(&outcome, &self.view(None))?;
        }
        Ok(())
    }

    fn set(&mut self, rest: &str) -> Result<(), Stop> {
        let (name, value) =
            setting(rest).map_err(|why| Complaint::new("no value to set", format!("{why}, after :set")))?;
        Ok(self.session.set(&name, &value)?)
    }

    fn see(&self, rest: &str) -> Result<(), Stop> {
        let path = (!rest.is_empty()).then(|| Path::new(rest));
        see::show(self.last()?, &self.view(path)).map(drop)
    }

    fn save(&self, rest: &str) -> Result<(), Stop> {
        if rest.is_empty() {
            return Err(Complaint::new("no file to write", "write :save NAME.ogee").into());
        }
        let mut path = PathBuf::from(rest);
        if path.extension().is_none() {
            path.set_extension("ogee");
        }
        disk::write(&path, self.session.script().as_bytes())?;
        writeln!(io::stdout(), "wrote {}", path.display())?;
        Ok(())
    }

    fn make(&self, rest: &str) -> Result<(), Stop> {
        if rest.is_empty() {
            return Err(Complaint::new("no folder to write into", "write :make FOLDER").into());
        }
        make::write(
            self.last()?,
            &make::Order { folder: Path::new(rest), formats: &[], flats: &[], shared: &self.shared },
        )
        .map(|_| ())
    }

    fn view<'a>(&'a self, path: Option<&'a Path>) -> see::View<'a> {
        see::View { shared: &self.shared, look: &self.look, path }
    }

    fn last(&self) -> Result<&Outcome, Stop> {
        self.last
            .as_ref()
            .ok_or_else(|| Complaint::new("there is no shape yet", "type a formula first").into())
    }
}
