//! How far long work is, and whether it is to go on.
use std::sync::atomic::{AtomicUsize, Ordering};

/// Who watches long work: told of it from any thread, and asked whether to stop. A closure
/// that takes a stage's name watches, and never stops it.
pub trait Progress: Sync {
    /// A stage begins.
    fn stage(&self, name: &'static str);

    /// So many parts of the stage are done, of how many.
    fn done(&self, _parts: usize, _of: usize) {}

    /// Whether to stop: work then ends with [`Cancelled`] at its next part.
    fn is_cancelled(&self) -> bool {
        false
    }
}

impl<Told: Fn(&'static str) + Sync> Progress for Told {
    fn stage(&self, name: &'static str) {
        self(name);
    }
}

/// Work that nobody watches.
#[derive(Debug, Clone, Copy, Default)]
pub struct Unwatched;

impl Progress for Unwatched {
    fn stage(&self, _name: &'static str) {}
}

/// The work was stopped by who watches it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("stopped before it was done")]
pub struct Cancelled;

/// A stage of so many parts, done in any order on any thread.
pub(crate) struct Stage<'a> {
    watch: &'a dyn Progress,
    of: usize,
    done: AtomicUsize,
}

impl<'a> Stage<'a> {
    pub(crate) fn begin(watch: &'a dyn Progress, name: &'static str, of: usize) -> Self {
        watch.stage(name);
        Self {
            watch,
            of,
            done: AtomicUsize::new(0),
        }
    }

    /// One part is to be done now.
    pub(crate) fn next(&self) -> Result<(), Cancelled> {
        self.watch
            .done(self.done.fetch_add(1, Ordering::Relaxed), self.of);
        go_on(self.watch)
    }
}

/// # Errors
/// [`Cancelled`] where the work is to stop.
pub(crate) fn go_on(watch: &dyn Progress) -> Result<(), Cancelled> {
    if watch.is_cancelled() {
        Err(Cancelled)
    } else {
        Ok(())
    }
}
