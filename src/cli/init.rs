//! `awash init`
use std::fs::OpenOptions;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use clap::Args;

use super::{CommandError, Outcome, Output};
use crate::boat::starting_file;

/// Write a commented starting boat file for a hull mesh
///
/// Guesses the mesh's unit from its size and says so, lists its open edges as
/// openings, and leaves a mass, a person and the commonest things to fill in.
/// Asks for nothing and overwrites nothing.
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  awash init meshes/dipper/hull.stl --output my-boat.toml\n  awash float my-boat.toml"
)]
pub(super) struct Init {
    /// Hull mesh (STL, OBJ, PLY, GLB)
    mesh: PathBuf,
    /// Boat file to write; the mesh's name with .toml beside it when not given
    #[arg(short, long, value_name = "FILE")]
    output: Option<PathBuf>,
}

impl Init {
    pub(super) fn run(&self, output: &Output) -> Result<Outcome, CommandError> {
        let target = self
            .output
            .clone()
            .unwrap_or_else(|| self.mesh.with_extension("toml"));
        let named = mesh_as_named_from(&self.mesh, &target);
        let read = crate::boat::read_mesh(&self.mesh, None, true)?;
        let start =
            starting_file(&named, &target.display().to_string(), read).map_err(|source| {
                CommandError::Message(format!("{}: {source}", self.mesh.display()))
            })?;
        write_new(&target, start.text.as_bytes())?;
        output.print(&start)?;
        Ok(Outcome::Fine)
    }
}

/// The mesh's path as the boat file must name it: relative to the file's
/// folder where they share one, else in full.
fn mesh_as_named_from(mesh: &Path, target: &Path) -> String {
    let folder = target.parent().unwrap_or(Path::new(""));
    let in_full = |path: &Path| std::path::absolute(path).unwrap_or_else(|_| path.to_owned());
    let (mesh, folder) = (in_full(mesh), in_full(folder));
    let named = mesh.strip_prefix(&folder).unwrap_or(&mesh);
    named.to_string_lossy().into_owned()
}

/// Writes a file that is not there yet: beside it first, then linked into
/// place, so that neither an existing file nor half a file is ever there.
fn write_new(target: &Path, bytes: &[u8]) -> Result<(), CommandError> {
    let said = |error: io::Error| {
        CommandError::Message(if error.kind() == io::ErrorKind::AlreadyExists {
            format!(
                "{} is already there and is left as it is; name another file with --output",
                target.display()
            )
        } else {
            format!("cannot write {}: {error}", target.display())
        })
    };
    let mut beside = target.as_os_str().to_owned();
    beside.push(format!(".{}.part", std::process::id()));
    let beside = PathBuf::from(beside);
    let written = OpenOptions::new()
        .write(true)
        .create_new(true)
        .open(&beside)
        .and_then(|mut file| {
            file.write_all(bytes)?;
            file.sync_all()
        })
        .and_then(|()| match std::fs::hard_link(&beside, target) {
            // Some file systems know no links.
            Err(error) if error.kind() != io::ErrorKind::AlreadyExists && !target.exists() => {
                std::fs::rename(&beside, target)
            }
            linked => linked,
        });
    let _ = std::fs::remove_file(&beside);
    written.map_err(said)
}
