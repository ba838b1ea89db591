//! `awash list`
use std::path::PathBuf;

use clap::{Args, ValueEnum};

use super::{CommandError, Outcome, Output};
use crate::study::{ListError, ListKind, list};

/// Lists for the workshop: weights, lead or foam, with their places measured from
/// the stem, the centre line and the base line
///
/// weights: everything that the floating craft weighs. lead: what is aboard, and
/// what goes where to make the dived craft just buoyant, for each water, state of the
/// cylinders and depth. foam: what is aboard, and what keeps the swamped craft's rim
/// above the water. --format csv gives a row a thing, for a spreadsheet.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  awash list meshes/dipper/after.toml weights\n  awash list meshes/dabchick/sledge.toml lead --format csv\n  awash list \"meshes/dipper/bulkheads.toml#rain\" foam"
)]
pub(super) struct List {
    /// Boat file (TOML); boat.toml#name takes its loading condition of that name
    boat: PathBuf,
    /// Which list
    #[arg(value_enum)]
    kind: KindName,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum KindName {
    Weights,
    Lead,
    Foam,
}

impl List {
    pub(super) fn run(&self, output: &Output) -> Result<Outcome, CommandError> {
        let kind = match self.kind {
            KindName::Weights => ListKind::Weights,
            KindName::Lead => ListKind::Lead,
            KindName::Foam => ListKind::Foam,
        };
        let boat = output.load_floating(&self.boat)?;
        let result = list(&boat, kind).map_err(|ListError::Equilibrium(source)| {
            CommandError::of_rest(&self.boat, &boat, source)
        })?;
        output.print(&result)?;
        Ok(Outcome::Fine)
    }
}
