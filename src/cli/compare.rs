//! `awash compare`
use std::path::PathBuf;

use clap::Args;

use super::{CommandError, Outcome, Output, load_floating};
use crate::boat::Boat;
use crate::study::compare;

/// Boats side by side: before and after, and every step between
///
/// Floats each, finds how small a lean or knock floods it and what happens
/// then, and says what got better and what worse from the first to the last.
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  awash compare meshes/dipper/before.toml meshes/dipper/after.toml"
)]
pub(super) struct Compare {
    /// Boat files (TOML), two or more; changes count from the first
    #[arg(required = true, num_args = 2.., value_name = "BOAT")]
    boats: Vec<PathBuf>,
}

impl Compare {
    pub(super) fn run(&self, output: &Output) -> Result<Outcome, CommandError> {
        let boats: Vec<Boat> = self
            .boats
            .iter()
            .map(|path| load_floating(path))
            .collect::<Result<_, _>>()?;
        let result = compare(&boats).map_err(|source| CommandError::Message(source.to_string()))?;
        output.print(&result)?;
        Ok(Outcome::Fine)
    }
}
