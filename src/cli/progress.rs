//! What a long command is doing, on a terminal only.
use std::cell::Cell;
use std::io::{self, IsTerminal, Write};

/// One line on stderr that is written over at each stage and cleared at the
/// end; nothing where stderr is no terminal.
pub(super) struct Progress {
    shown: bool,
    stage: Cell<usize>,
}

impl Progress {
    pub(super) fn new() -> Self {
        Self {
            shown: io::stderr().is_terminal(),
            stage: Cell::new(0),
        }
    }

    /// Names the stage that begins.
    pub(super) fn say(&self, stage: &str) {
        self.stage.set(self.stage.get() + 1);
        if self.shown {
            let _ = write!(io::stderr(), "\r\x1b[K[{}] {stage} …", self.stage.get());
        }
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        if self.shown {
            let _ = write!(io::stderr(), "\r\x1b[K");
        }
    }
}
