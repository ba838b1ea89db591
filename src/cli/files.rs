//! Writing files whole or not at all.
use std::fs::{self, OpenOptions};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use super::CommandError;

/// Writes a file beside its place and moves it there, so that neither half a
/// file nor, without `force`, a changed one is ever there.
pub(super) fn put(target: &Path, bytes: &[u8], force: bool) -> Result<(), CommandError> {
    put_with(target, force, |beside| {
        OpenOptions::new()
            .write(true)
            .create_new(true)
            .open(beside)
            .and_then(|mut file| {
                file.write_all(bytes)?;
                file.sync_all()
            })
            .map_err(|error| cannot(target, &error))
    })
}

/// As [`put`], where `write` makes the file at the path it is given.
pub(super) fn put_with(
    target: &Path,
    force: bool,
    write: impl FnOnce(&Path) -> Result<(), CommandError>,
) -> Result<(), CommandError> {
    refuse_existing(target, force)?;
    let mut beside = target.as_os_str().to_owned();
    beside.push(format!(".{}.part", std::process::id()));
    let beside = PathBuf::from(beside);
    let done = write(&beside).and_then(|()| {
        let moved = if force {
            fs::rename(&beside, target)
        } else {
            match fs::hard_link(&beside, target) {
                // Some file systems know no links.
                Err(error) if error.kind() != io::ErrorKind::AlreadyExists && !target.exists() => {
                    fs::rename(&beside, target)
                }
                linked => linked,
            }
        };
        moved.map_err(|error| cannot(target, &error))
    });
    let _ = fs::remove_file(&beside);
    done
}

/// Makes a folder, and those above it, unless it is there.
pub(super) fn make_folder(folder: &Path) -> Result<(), CommandError> {
    fs::create_dir_all(folder).map_err(|error| cannot(folder, &error))
}

/// Tells before the work, rather than after it, that a file is in the way.
pub(super) fn refuse_existing(target: &Path, force: bool) -> Result<(), CommandError> {
    if force || fs::symlink_metadata(target).is_err() {
        return Ok(());
    }
    Err(cannot(target, &io::ErrorKind::AlreadyExists.into()))
}

fn cannot(target: &Path, error: &io::Error) -> CommandError {
    CommandError::Message(if error.kind() == io::ErrorKind::AlreadyExists {
        format!(
            "{} is already there and is left as it is; name another, or give --force where the command takes it",
            target.display()
        )
    } else {
        format!("cannot write {}: {error}", target.display())
    })
}

/// A file's path as a boat file at `target` must name it: relative to that file's
/// folder where they share one, else in full.
pub(super) fn named_from(file: &Path, target: &Path) -> String {
    let folder = match target.parent() {
        Some(folder) if folder != Path::new("") => folder,
        _ => Path::new("."),
    };
    let in_full = |path: &Path| std::path::absolute(path).unwrap_or_else(|_| path.to_owned());
    let (file, folder) = (in_full(file), in_full(folder));
    let named = file.strip_prefix(&folder).unwrap_or(&file);
    named.to_string_lossy().into_owned()
}

/// Whether a target is one of the files that a boat was read from: even forced,
/// those must stay.
pub(super) fn is_one_of(target: &Path, files: &[PathBuf]) -> bool {
    let Ok(target) = target.canonicalize() else {
        return false;
    };
    let same = |file: &PathBuf| file.canonicalize().is_ok_and(|f| f == target);
    files.iter().any(same)
}
