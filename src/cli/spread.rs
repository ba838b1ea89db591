//! `awash spread`
use std::path::PathBuf;

use clap::Args;

use super::progress::Progress;
use super::{CommandError, Outcome, Output};
use crate::equilibrium::Afloat;
use crate::study::spread;

/// How far the sills may be off, from the ± in the boat file, and what to
/// measure next
///
/// Draws every mass and place that carries a ± many times, floats each draw, and
/// gives the band of each sill, the chance that it fails its yardstick, and the
/// one measurement that would narrow the lowest sill most.
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  awash spread meshes/dipper/after.toml\n  awash spread meshes/dipper/after.toml --draws 10000 --seed 7 --format json"
)]
pub(super) struct Spread {
    /// Boat file (TOML)
    boat: PathBuf,
    /// Draws to make
    #[arg(long, default_value_t = 2000, value_parser = clap::value_parser!(u32).range(10..=1_000_000))]
    draws: u32,
    /// Seed: the same gives the same result
    #[arg(long, default_value_t = 1)]
    seed: u64,
}

impl Spread {
    pub(super) fn run(&self, output: &Output) -> Result<Outcome, CommandError> {
        let boat = output.load_floating(&self.boat)?;
        let progress = Progress::new();
        let afloat = Afloat::of(&boat).watched_by(&progress);
        let result = spread(afloat, self.draws, self.seed)
            .map_err(|source| CommandError::of_rest(&self.boat, &boat, source))?;
        drop(progress);
        output.print(&result)?;
        Ok(Outcome::Fine)
    }
}
