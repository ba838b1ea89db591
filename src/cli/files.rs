//! Writing files so that nothing of the user's is lost.
use std::fs::OpenOptions;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use super::CommandError;

/// Writes a file beside its place first and then moves it there, so that half
/// a file is never there. An existing file is left as it is unless `force`.
pub(super) fn write_file(target: &Path, bytes: &[u8], force: bool) -> Result<(), CommandError> {
    let said = |error: io::Error| {
        CommandError::Message(if error.kind() == io::ErrorKind::AlreadyExists {
            format!(
                "{} is already there and is left as it is; name another file",
                target.display()
            )
        } else {
            format!("cannot write {}: {error}", target.display())
        })
    };
    let mut beside = target.as_os_str().to_owned();
    beside.push(format!(".{}.part", std::process::id()));
    let beside = PathBuf::from(beside);
    let into_place = || {
        if force {
            return std::fs::rename(&beside, target);
        }
        match std::fs::hard_link(&beside, target) {
            // Some file systems know no links.
            Err(error) if error.kind() != io::ErrorKind::AlreadyExists && !target.exists() => {
                std::fs::rename(&beside, target)
            }
            linked => linked,
        }
    };
    let written = OpenOptions::new()
        .write(true)
        .create_new(true)
        .open(&beside)
        .and_then(|mut file| {
            file.write_all(bytes)?;
            file.sync_all()
        })
        .and_then(|()| into_place());
    let _ = std::fs::remove_file(&beside);
    written.map_err(said)
}
