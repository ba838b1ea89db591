//! What a long command is doing, on a terminal only.
use std::io::{self, IsTerminal, Write};
use std::sync::{Mutex, PoisonError};

use crate::progress;

/// One line on stderr that is written over at each stage and each hundredth of one, and
/// cleared at the end; nothing where stderr is no terminal.
pub(super) struct Progress {
    shown: bool,
    now: Mutex<Now>,
}

#[derive(Default)]
struct Now {
    number: usize,
    stage: &'static str,
    percent: usize,
}

impl Progress {
    pub(super) fn new() -> Self {
        Self {
            shown: io::stderr().is_terminal(),
            now: Mutex::default(),
        }
    }

    /// Names the stage that begins.
    pub(super) fn say(&self, stage: &'static str) {
        let mut now = self.now.lock().unwrap_or_else(PoisonError::into_inner);
        *now = Now {
            number: now.number + 1,
            stage,
            percent: 0,
        };
        self.show(&now, "");
    }

    fn show(&self, now: &Now, more: &str) {
        if self.shown {
            let Now { number, stage, .. } = now;
            let _ = write!(io::stderr(), "\r\x1b[K[{number}] {stage} …{more}");
        }
    }
}

impl progress::Progress for Progress {
    fn stage(&self, name: &'static str) {
        self.say(name);
    }

    fn done(&self, parts: usize, of: usize) {
        let percent = 100 * parts / of.max(1);
        let mut now = self.now.lock().unwrap_or_else(PoisonError::into_inner);
        if percent > now.percent {
            now.percent = percent;
            self.show(&now, &format!(" {percent} %"));
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
