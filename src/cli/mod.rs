//! The program: reads a command line, calls `job`, paints what comes back.

mod args;
mod disk;
mod excerpt;
mod folder;
mod helper;
mod host;
mod lists;
mod make;
mod outcome;
mod progress;
mod read;
mod repl;
mod see;
pub mod signal;
mod terminal;

use std::process::ExitCode;

use clap::Parser;
use clap::error::ErrorKind;

use args::{Command, Line};

/// Runs the command line of this process.
pub fn main() -> ExitCode {
    let line = match Line::try_parse() {
        Ok(line) => line,
        Err(fault) if fault.kind() == ErrorKind::InvalidSubcommand => {
            let what = "the first word is no command; a formula or script comes after one";
            let hint = "ogee see 'x^2 + y^2 + z^2 = 1' shows a formula; ogee --help lists the commands";
            return outcome::status(Err(outcome::Complaint::new(what, hint).into()), false);
        }
        Err(fault) => fault.exit(),
    };
    let (outcome, json) = match &line.command {
        None => (repl::run(), false),
        Some(Command::See(see)) => (see::run(see), see.shared.json),
        Some(Command::Make(make)) => (make::run(make), make.shared.json),
        Some(Command::Read(read)) => (read::run(read), read.json),
        Some(Command::Words(words)) => (lists::words(words), words.json),
        Some(Command::Scripts(list)) => (lists::list(list), list.json),
        Some(Command::Copy(copy)) => (lists::copy(copy), false),
    };
    outcome::status(outcome, json)
}
