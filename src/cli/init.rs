//! `awash init`
use std::path::PathBuf;

use clap::Args;

use super::files::{self, is_one_of, named_from, put_boat};
use super::{CommandError, Outcome, Output};
use crate::files::Disk;
use crate::study::{FromScan, starting_file};

/// Write a commented starting boat file for a hull mesh
///
/// Guesses the mesh's unit from its size and says so, lists its open edges as
/// openings, and leaves a mass, a person and the commonest things to fill in.
/// Asks for nothing, and overwrites nothing without --force.
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  awash init meshes/dipper/hull.stl --output my-boat.toml\n  awash float my-boat.toml"
)]
pub(super) struct Init {
    /// Hull mesh (STL, OBJ, PLY, GLB)
    mesh: PathBuf,
    /// Boat file to write; the mesh's name with .toml beside it when not given
    #[arg(short, long, value_name = "FILE", value_parser = files::boat_file())]
    output: Option<PathBuf>,
    /// Write over a boat file that is already there
    #[arg(long)]
    force: bool,
}

impl Init {
    pub(super) fn run(&self, output: &Output) -> Result<Outcome, CommandError> {
        let target = self
            .output
            .clone()
            .unwrap_or_else(|| self.mesh.with_extension("toml"));
        let named = named_from(&self.mesh, &target)?;
        let read = crate::boat::read_mesh(&Disk, &self.mesh, None, true)?;
        if is_one_of(&target, std::slice::from_ref(&self.mesh)) {
            return Err(CommandError::Message(format!(
                "{} is the mesh itself, which is never changed; name a boat file with --output",
                target.display()
            )));
        }
        let start = starting_file(
            &named,
            &target.display().to_string(),
            read,
            &FromScan::default(),
        )
        .map_err(|source| CommandError::Message(format!("{}: {source}", self.mesh.display())))?;
        put_boat(&target, &start.text, self.force)?;
        output.print(&start)?;
        Ok(Outcome::Fine)
    }
}
