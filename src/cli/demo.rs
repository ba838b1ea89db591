//! `awash demo`
use std::io::{self, Write};
use std::path::PathBuf;

use clap::Args;

use super::files::{Writes, make_folder, put, refuse_existing};
use super::{CommandError, Outcome};

/// Write the demonstration boat, its boat files and meshes, into a folder
///
/// The dipper is an invented 3.4 m open hull made into a craft for counting mussels.
/// Nothing that is already in the folder is written over.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  awash demo dipper\n  awash float dipper/after.toml")]
pub(super) struct Demo {
    /// Folder to write into; made where it is not there
    folder: PathBuf,
}

/// The files, as they are in the repository.
macro_rules! of_the_dipper {
    ($($name:literal),+ $(,)?) => {
        &[$((
            $name,
            include_bytes!(concat!(env!("CARGO_MANIFEST_DIR"), "/meshes/dipper/", $name)) as &[u8],
        )),+]
    };
}

/// All that the boat files name, and the story. A test holds it to the folder.
const FILES: &[(&str, &[u8])] = of_the_dipper![
    "README.md",
    "before.toml",
    "after.toml",
    "bulkheads.toml",
    "dived.toml",
    "hull.stl",
    "foredeck.stl",
    "well.stl",
];

impl Demo {
    pub(super) fn run(&self) -> Result<Outcome, CommandError> {
        make_folder(&self.folder)?;
        for (name, _) in FILES {
            refuse_existing(&self.folder.join(name), Writes::Page, false)?;
        }
        for (number, (name, bytes)) in FILES.iter().enumerate() {
            put(&self.folder.join(name), bytes, false).map_err(|error| {
                let written: Vec<&str> = FILES[..number].iter().map(|(name, _)| *name).collect();
                if written.is_empty() {
                    return error;
                }
                CommandError::Message(format!(
                    "{error}\n  written before that into {}: {}; delete them before you try again",
                    self.folder.display(),
                    written.join(", ")
                ))
            })?;
        }
        let folder = self.folder.display();
        let mut stdout = io::stdout().lock();
        writeln!(
            stdout,
            "{} files in {folder}. README.md there tells the story. Try next:\n\n  \
             awash float \"{folder}/after.toml\"\n  \
             awash compare \"{folder}/before.toml\" \"{folder}/after.toml\"\n  \
             awash margins \"{folder}/after.toml\" --svg rose.svg\n  \
             awash dive \"{folder}/dived.toml\"",
            FILES.len()
        )?;
        Ok(Outcome::Fine)
    }
}
