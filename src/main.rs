//! The `awash` command: parse, run, print the error with its hint, exit.
use std::process::ExitCode;

use clap::Parser;

fn main() -> ExitCode {
    awash::cli::run(&awash::cli::Arguments::parse())
}
