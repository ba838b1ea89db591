//! `awash demo`
use std::io::{self, Write};
use std::path::PathBuf;

use clap::Args;

use super::files::{Writes, make_folder, put, refuse_existing};
use super::{CommandError, Outcome};

/// Write the demonstration craft, their boat files and meshes, into a folder
///
/// Three invented craft, a folder each: dipper, an open tender that lists to its boarding
/// door; grebe, a decked craft as a raw scan; dabchick, an instrument sledge that lies under
/// water. Nothing that is already in the folder is written over.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  awash demo craft\n  awash float craft/dipper/asfitted.toml")]
pub(super) struct Demo {
    /// Folder to write into; made where it is not there
    folder: PathBuf,
}

/// The files, as they are in the repository.
macro_rules! of_the_demo {
    ($($name:literal),+ $(,)?) => {
        &[$((
            $name,
            include_bytes!(concat!(env!("CARGO_MANIFEST_DIR"), "/meshes/", $name)) as &[u8],
        )),+]
    };
}

/// All that the boat files name, and the story. A test holds it to the folder.
const FILES: &[(&str, &[u8])] = of_the_demo![
    "README.md",
    "dipper/before.toml",
    "dipper/asfitted.toml",
    "dipper/after.toml",
    "dipper/bulkheads.toml",
    "dipper/hull.stl",
    "dipper/sponson.stl",
    "grebe/scan.stl",
    "dabchick/sledge.toml",
    "dabchick/vented.toml",
    "dabchick/body.stl",
];

impl Demo {
    pub(super) fn run(&self) -> Result<Outcome, CommandError> {
        for (name, _) in FILES {
            refuse_existing(&self.folder.join(name), Writes::Page, false)?;
        }
        for (number, (name, bytes)) in FILES.iter().enumerate() {
            let path = self.folder.join(name);
            let folder = path.parent().unwrap_or(&self.folder);
            let made = make_folder(folder).and_then(|()| put(&path, bytes, false));
            made.map_err(|error| {
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
             awash float \"{folder}/dipper/asfitted.toml\"\n  \
             awash compare \"{folder}/dipper/asfitted.toml\" \"{folder}/dipper/after.toml\"\n  \
             awash inspect \"{folder}/grebe/scan.stl\"\n  \
             awash dive \"{folder}/dabchick/sledge.toml\"",
            FILES.len()
        )?;
        Ok(Outcome::Fine)
    }
}
