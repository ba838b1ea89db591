//! `awash init`
use std::path::PathBuf;

use clap::Args;

use super::{CommandError, Outcome};

/// Write a commented starting boat file for a hull mesh
#[derive(Debug, Args)]
pub(super) struct Init {
    /// Hull mesh (STL)
    mesh: PathBuf,
}

impl Init {
    pub(super) fn run(&self) -> Result<Outcome, CommandError> {
        let _ = &self.mesh;
        Ok(Outcome::Fine)
    }
}
