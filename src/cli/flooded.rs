//! `awash flooded`
use std::path::PathBuf;

use clap::Args;

use super::{CommandError, Outcome, Output, load_floating};
use crate::study::flooded;

/// How the craft lies with each compartment open to the sea, one by one and in
/// pairs
///
/// Takes each compartment's room from what holds the craft up, lets it find its
/// rest, and says whether it floats, how it lies, which dry opening is next and
/// where the water goes on to. With --strict, sinking with one compartment
/// flooded makes the exit code 1.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  awash flooded meshes/dipper/bulkheads.toml")]
pub(super) struct Flooded {
    /// Boat file (TOML)
    boat: PathBuf,
}

impl Flooded {
    pub(super) fn run(&self, output: &Output) -> Result<Outcome, CommandError> {
        let boat = load_floating(&self.boat)?;
        let result =
            flooded(&boat).map_err(|source| CommandError::of_rest(&self.boat, &boat, source))?;
        output.print(&result)?;
        Ok(if result.sinks_with_one() {
            Outcome::YardstickFailed
        } else {
            Outcome::Fine
        })
    }
}
