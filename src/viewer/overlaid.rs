//! Files of which one is only in memory: a boat file not yet saved.
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::files::Files;

/// A text laid over other files, by a path that none of them has.
#[derive(Debug, Clone)]
pub(super) struct Overlaid {
    pub(super) under: Arc<dyn Files>,
    pub(super) path: PathBuf,
    pub(super) text: String,
}

impl Files for Overlaid {
    fn read(&self, path: &Path, most: u64) -> io::Result<Vec<u8>> {
        if path == self.path {
            return Ok(self.text.clone().into_bytes());
        }
        self.under.read(path, most)
    }

    fn size(&self, path: &Path) -> io::Result<u64> {
        if path == self.path {
            return Ok(self.text.len() as u64);
        }
        self.under.size(path)
    }

    fn exists(&self, path: &Path) -> bool {
        path == self.path || self.under.exists(path)
    }

    fn identity(&self, path: &Path) -> PathBuf {
        if path == self.path {
            return path.to_owned();
        }
        self.under.identity(path)
    }
}
