//! The `awash` command: parse, run, print the error with its hint, exit.
use std::process::ExitCode;

fn main() -> ExitCode {
    awash::cli::run(&awash::cli::Arguments::read())
}
