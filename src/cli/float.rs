//! `awash float`
use std::path::{Path, PathBuf};

use clap::Args;

use super::{CommandError, Outcome, Output};
use crate::equilibrium::Afloat;
use crate::study::float;

/// How the boat floats with everything aboard, and the freeboard of every
/// opening
///
/// Finds the resting sinkage, heel and pitch, the draughts, the metacentric
/// heights, the reserve of buoyancy and how high each opening's lowest rim
/// point stands above the water, and holds it against the boat file's
/// yardsticks. With --strict, a failed yardstick makes the exit code 1.
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  awash float meshes/dipper/asfitted.toml --units both\n  awash float meshes/dipper/after.toml --format json --strict"
)]
pub(super) struct Float {
    /// Boat file (TOML)
    boat: PathBuf,
}

impl Float {
    pub(super) fn run(&self, output: &Output) -> Result<Outcome, CommandError> {
        let boat = output.load_floating(&self.boat)?;
        floated(&self.boat, &Afloat::of(&boat), output)
    }
}

/// Prints how a boat of this file floats.
pub(super) fn floated(
    path: &Path,
    afloat: &Afloat<'_>,
    output: &Output,
) -> Result<Outcome, CommandError> {
    let result =
        float(afloat).map_err(|source| CommandError::of_rest(path, afloat.boat(), source))?;
    output.print(&result)?;
    Ok(if result.fails_a_yardstick() {
        Outcome::YardstickFailed
    } else {
        Outcome::Fine
    })
}
