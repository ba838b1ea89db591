//! `awash flooded`
use std::path::PathBuf;

use clap::Args;

use super::{CommandError, Outcome, Output};
use crate::study::flooded;

/// How the craft lies with each compartment open to the water outside, one by one and in
/// pairs
///
/// Takes each compartment's room from what holds the craft up, lets it find its
/// rest, follows the water into every space that it then reaches, and says whether
/// the craft ends afloat, how it lies and which dry opening is next. Each end is found
/// with all air lost and with the trapped air kept; the worse counts. With
/// --strict the exit code is 1 where one compartment flooded fails a yardstick: it
/// sinks, lies over, or a dry opening stands too low.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  awash flooded meshes/dipper/bulkheads.toml")]
pub(super) struct Flooded {
    /// Boat file (TOML)
    boat: PathBuf,
}

impl Flooded {
    pub(super) fn run(&self, output: &Output) -> Result<Outcome, CommandError> {
        let boat = output.load_floating(&self.boat)?;
        let result =
            flooded(&boat).map_err(|source| CommandError::of_rest(&self.boat, &boat, source))?;
        output.print(&result)?;
        Ok(if result.fails_a_yardstick() {
            Outcome::YardstickFailed
        } else {
            Outcome::Fine
        })
    }
}
