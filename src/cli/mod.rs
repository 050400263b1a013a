//! The program: reads a command line, calls `job`, paints what comes back.

mod args;
mod disk;
mod outcome;
mod progress;
mod read;

use std::process::ExitCode;

use clap::Parser;

use args::{Command, Line};

/// Runs the command line of this process.
pub fn main() -> ExitCode {
    let line = Line::parse();
    match line.command {
        Some(Command::Read(read)) => outcome::status(read::run(&read), read.json),
        _ => outcome::status(Err(outcome::Complaint::new("only `read` works so far", "").into()), false),
    }
}
