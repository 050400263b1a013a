//! The program.

use std::process::ExitCode;

fn main() -> ExitCode {
    ogee::cli::main()
}
