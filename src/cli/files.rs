//! Writing files whole or not at all.
use std::ffi::OsStr;
use std::fs::{self, File};
use std::io::{self, Read as _, Write as _};
use std::path::{Path, PathBuf};

use clap::builder::{PathBufValueParser, TypedValueParser};
use tempfile::NamedTempFile;

use super::CommandError;
use crate::mesh::is_named_like_a_mesh;

/// Endings of what is neither a boat file nor a mesh.
const PAGES: [&str; 7] = ["svg", "csv", "html", "pdf", "dxf", "png", "json"];
/// How much of a file is looked at to tell what it is, bytes.
const LOOKED_AT: u64 = 1 << 16;

/// What is written, and so what it may replace.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Writes {
    /// A drawing, table or page.
    Page,
    Boat,
    Mesh,
}

fn has_ending(path: &Path, endings: &[&str]) -> bool {
    let ending = path.extension().map(OsStr::to_ascii_lowercase);
    let is = |kind: &&str| ending.as_deref() == Some(OsStr::new(kind));
    endings.iter().any(is)
}

/// Reads the name of a drawing, table or page to write: not that of a boat file or
/// a mesh, which it does not replace, forced or not.
pub(super) fn drawing_or_table() -> impl TypedValueParser<Value = PathBuf> {
    PathBufValueParser::new().try_map(|path| {
        if has_ending(&path, &["toml"]) || is_named_like_a_mesh(&path) {
            Err(format!(
                "{} is named like a boat file or a mesh; give what is written a name of its own",
                path.display()
            ))
        } else {
            Ok(path)
        }
    })
}

/// Reads the name of a mesh to write, which is STL.
pub(super) fn stl_file() -> impl TypedValueParser<Value = PathBuf> {
    PathBufValueParser::new().try_map(|path| {
        if path.extension().is_some() && !has_ending(&path, &["stl"]) {
            Err(format!(
                "{}: a mesh is written as STL only; end its name in .stl",
                path.display()
            ))
        } else {
            Ok(path)
        }
    })
}

/// Reads the name of a boat file to write.
pub(super) fn boat_file() -> impl TypedValueParser<Value = PathBuf> {
    PathBufValueParser::new().try_map(|path| {
        if is_named_like_a_mesh(&path) || has_ending(&path, &PAGES) {
            Err(format!(
                "{}: a boat file is written there; end its name in .toml",
                path.display()
            ))
        } else {
            Ok(path)
        }
    })
}

/// Writes a drawing, table or page beside its place and moves it there, so that neither
/// half a file nor, without `force`, a changed one is ever there.
pub(super) fn put(target: &Path, bytes: &[u8], force: bool) -> Result<(), CommandError> {
    put_bytes(target, bytes, Writes::Page, force)
}

/// As [`put`], of a boat file.
pub(super) fn put_boat(target: &Path, text: &str, force: bool) -> Result<(), CommandError> {
    put_bytes(target, text.as_bytes(), Writes::Boat, force)
}

fn put_bytes(target: &Path, bytes: &[u8], writes: Writes, force: bool) -> Result<(), CommandError> {
    put_with(target, writes, force, |out| {
        out.write_all(bytes).map_err(|error| cannot(target, &error))
    })
}

/// As [`put`], where `write` fills the file that it is given.
///
/// A target that is a link is replaced itself; the file it leads to stays. A file that
/// is replaced leaves its permissions to the new one.
pub(super) fn put_with(
    target: &Path,
    writes: Writes,
    force: bool,
    write: impl FnOnce(&mut File) -> Result<(), CommandError>,
) -> Result<(), CommandError> {
    refuse_existing(target, writes, force)?;
    let failed = |error: &io::Error| cannot(target, error);
    let mut beside = empty_beside(target).map_err(|error| failed(&error))?;
    write(beside.as_file_mut())?;
    if let Ok(about) = fs::symlink_metadata(target)
        && about.is_file()
    {
        let allowed = beside.as_file().set_permissions(about.permissions());
        allowed.map_err(|error| failed(&error))?;
    }
    beside
        .as_file()
        .sync_all()
        .map_err(|error| failed(&error))?;
    let moved = if force {
        beside.persist(target)
    } else {
        beside.persist_noclobber(target).or_else(|error| {
            // Some file systems know no links.
            if error.error.kind() == io::ErrorKind::AlreadyExists || target.exists() {
                Err(error)
            } else {
                error.file.persist(target)
            }
        })
    };
    moved.map(|_| ()).map_err(|error| failed(&error.error))
}

/// A new file of this run's own in the target's folder, gone again unless it is moved.
fn empty_beside(target: &Path) -> io::Result<NamedTempFile> {
    let folder = match target.parent() {
        Some(folder) if folder != Path::new("") => folder,
        _ => Path::new("."),
    };
    let mut name = target.file_name().unwrap_or_default().to_owned();
    name.push(".");
    // Not `tempfile_in`, whose errors name the file beside, which nobody gave.
    tempfile::Builder::new()
        .prefix(&name)
        .suffix(".part")
        .make_in(folder, |path| File::create_new(path))
}

/// Makes a folder, and those above it, unless it is there.
pub(super) fn make_folder(folder: &Path) -> Result<(), CommandError> {
    fs::create_dir_all(folder).map_err(|error| cannot(folder, &error))
}

/// Tells before the work, rather than after it, that a file is in the way, or
/// something that cannot be replaced by one: even forced, neither a boat file nor a
/// mesh nor measurements, unless the same is written.
pub(super) fn refuse_existing(
    target: &Path,
    writes: Writes,
    force: bool,
) -> Result<(), CommandError> {
    if fs::symlink_metadata(target).is_err() {
        return Ok(());
    }
    let what_it_is = match fs::metadata(target) {
        Ok(about) if about.is_dir() => "a folder",
        Ok(about) if !about.is_file() => "a device or a pipe",
        _ if !force => return Err(cannot(target, &io::ErrorKind::AlreadyExists.into())),
        _ => match kept(target) {
            Some((is, words)) if is != Some(writes) => words,
            _ => return Ok(()),
        },
    };
    Err(CommandError::Message(format!(
        "cannot write {}: it is {what_it_is}; name a file",
        target.display()
    )))
}

/// What an existing file is, where it may have cost someone work, and what would be of
/// the same kind.
fn kept(path: &Path) -> Option<(Option<Writes>, &'static str)> {
    let mut lead = Vec::new();
    let file = File::open(path).ok()?;
    let bytes = file.metadata().ok()?.len();
    file.take(LOOKED_AT).read_to_end(&mut lead).ok()?;
    let lines = || lead.split(|byte| matches!(byte, b'\n' | b'\r'));
    let begins = |words: &[&str]| {
        lines().any(|line| {
            let line = line.trim_ascii_start();
            words.iter().any(|word| line.starts_with(word.as_bytes()))
        })
    };
    // The header of a binary STL counts its facets, 50 bytes each.
    let facets = lead.get(80..84).and_then(|count| count.try_into().ok());
    let is_stl =
        facets.is_some_and(|count| u64::from(u32::from_le_bytes(count)) * 50 + 84 == bytes);
    let is_mesh = is_stl
        || lead.starts_with(b"ply\n")
        || lead.starts_with(b"ply\r")
        || lead.starts_with(b"glTF")
        || (lead.starts_with(b"solid") && begins(&["facet"]))
        || (has_ending(path, &["obj"]) && begins(&["v "]));
    // Manual pages, reports and drawings quote boat files.
    let is_page = matches!(lead.trim_ascii_start().first(), Some(b'.' | b'<'));
    if is_mesh {
        Some((Some(Writes::Mesh), "a mesh"))
    } else if is_page {
        None
    } else if begins(&["[[float_mark]]", "[two_scales]", "[[incline]]", "[[push]]"]) {
        Some((None, "a file of measurements"))
    } else if begins(&["[hull]", "[hull.", "extends"]) {
        Some((Some(Writes::Boat), "a boat file"))
    } else {
        None
    }
}

/// Refuses two outputs of one name.
pub(super) fn refuse_same(outputs: &[Option<&PathBuf>]) -> Result<(), CommandError> {
    let in_full = |path: &PathBuf| {
        let full = std::path::absolute(path).ok()?;
        let folder = full.parent()?;
        let folder = folder.canonicalize().unwrap_or_else(|_| folder.to_owned());
        Some(folder.join(full.file_name()?))
    };
    let given: Vec<&PathBuf> = outputs.iter().copied().flatten().collect();
    for (number, path) in given.iter().enumerate() {
        if given[..number]
            .iter()
            .any(|other| in_full(other) == in_full(path))
        {
            return Err(CommandError::Message(format!(
                "two outputs name the same file, {}: give each a name of its own",
                path.display()
            )));
        }
    }
    Ok(())
}

/// Why a file could not be written, in words that say what to do.
pub(super) fn cannot(target: &Path, error: &io::Error) -> CommandError {
    let target = target.display();
    CommandError::Message(match error.kind() {
        io::ErrorKind::AlreadyExists => format!(
            "{target} is already there and is left as it is; name another, or give --force where the command takes it"
        ),
        io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded | io::ErrorKind::FileTooLarge => {
            format!(
                "cannot write {target}: {error}. Nothing was written there; make room, or name a file on another disk"
            )
        }
        io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem => {
            format!("cannot write {target}: {error}. Name a file in a folder of your own")
        }
        io::ErrorKind::NotFound => {
            format!("cannot write {target}: {error}. Make its folder first, or check the name")
        }
        _ => format!("cannot write {target}: {error}"),
    })
}

/// A file's path as a boat file at `target` must name it: relative to that file's
/// folder where they share one, else in full. A boat file is text, and so must the
/// name be.
pub(super) fn named_from(file: &Path, target: &Path) -> Result<String, CommandError> {
    let folder = match target.parent() {
        Some(folder) if folder != Path::new("") => folder,
        _ => Path::new("."),
    };
    let in_full = |path: &Path| std::path::absolute(path).unwrap_or_else(|_| path.to_owned());
    let (file, folder) = (in_full(file), in_full(folder));
    let named = file.strip_prefix(&folder).unwrap_or(&file);
    named.to_str().map(str::to_owned).ok_or_else(|| {
        CommandError::Message(format!(
            "{}: a boat file cannot hold this name, which is not UTF-8 text; rename the file or its folder first",
            file.display()
        ))
    })
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
