//! Where boat files, meshes and measurements come from: the disk, or memory.
use std::collections::BTreeMap;
use std::fmt::Debug;
use std::fs;
use std::io::{self, Read as _};
use std::path::{Path, PathBuf};

/// Bytes by path. All that is read below the command line is read through this.
pub trait Files: Debug + Send + Sync {
    /// Reads a file, one byte more than `most` at most: past that it is too large, and
    /// the caller says so.
    ///
    /// # Errors
    /// What the system says, or that it is no regular file.
    fn read(&self, path: &Path, most: u64) -> io::Result<Vec<u8>>;

    /// How many bytes a file has.
    ///
    /// # Errors
    /// What the system says.
    fn size(&self, path: &Path) -> io::Result<u64>;

    /// Whether there is anything by that path.
    fn exists(&self, path: &Path) -> bool;

    /// The same for all paths that lead to one file.
    fn identity(&self, path: &Path) -> PathBuf;
}

/// The files of the disk.
#[derive(Debug, Clone, Copy, Default)]
pub struct Disk;

impl Files for Disk {
    /// Devices, pipes and sockets may never end and are refused before they are opened.
    fn read(&self, path: &Path, most: u64) -> io::Result<Vec<u8>> {
        let about = fs::metadata(path)?;
        // A folder is left to the system, which has a word for it.
        if !about.is_file() && !about.is_dir() {
            return Err(io::Error::other(
                "it is a device or a pipe, which may never end; copy what it holds into a file first",
            ));
        }
        let mut bytes = Vec::new();
        let expected = usize::try_from(about.len().min(most)).unwrap_or_default();
        let mut file = fs::File::open(path)?.take(most.saturating_add(1));
        bytes.try_reserve_exact(expected)?;
        file.read_to_end(&mut bytes)?;
        Ok(bytes)
    }

    fn size(&self, path: &Path) -> io::Result<u64> {
        Ok(fs::metadata(path)?.len())
    }

    fn exists(&self, path: &Path) -> bool {
        path.exists()
    }

    fn identity(&self, path: &Path) -> PathBuf {
        fs::canonicalize(path).unwrap_or_else(|_| path.to_owned())
    }
}

/// Files that are only in memory, by their paths as written.
#[derive(Debug, Clone, Default)]
pub struct Memory(BTreeMap<PathBuf, Vec<u8>>);

impl Memory {
    /// Adds a file, or puts it in the place of another of that path.
    pub fn add(&mut self, path: impl Into<PathBuf>, bytes: impl Into<Vec<u8>>) {
        self.0.insert(path.into(), bytes.into());
    }

    fn get(&self, path: &Path) -> io::Result<&Vec<u8>> {
        self.0
            .get(path)
            .ok_or_else(|| io::ErrorKind::NotFound.into())
    }
}

impl Files for Memory {
    fn read(&self, path: &Path, most: u64) -> io::Result<Vec<u8>> {
        let bytes = self.get(path)?;
        let most = usize::try_from(most.saturating_add(1)).unwrap_or(usize::MAX);
        Ok(bytes[..bytes.len().min(most)].to_vec())
    }

    fn size(&self, path: &Path) -> io::Result<u64> {
        Ok(self.get(path)?.len() as u64)
    }

    fn exists(&self, path: &Path) -> bool {
        self.0.contains_key(path)
    }

    fn identity(&self, path: &Path) -> PathBuf {
        path.to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_more_is_read_than_asked_for_but_one_byte() {
        let mut files = Memory::default();
        files.add("boat.toml", *b"name");
        assert_eq!(files.read("boat.toml".as_ref(), 2).unwrap(), b"nam");
        assert_eq!(files.read("boat.toml".as_ref(), 9).unwrap(), b"name");
        assert_eq!(files.size("boat.toml".as_ref()).unwrap(), 4);
        let gone = files.read("hull.stl".as_ref(), 9).unwrap_err();
        assert_eq!(gone.kind(), io::ErrorKind::NotFound);
        assert!(!files.exists("hull.stl".as_ref()));
    }
}
