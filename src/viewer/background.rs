//! Work that would hold up the drawing, on a thread of its own.
use std::sync::mpsc::{Receiver, TryRecvError, channel};
use std::thread;

/// At most one piece of work at a time; its answer knows what it was asked for.
#[derive(Debug)]
pub(super) struct Background<T> {
    running: Option<(u64, Receiver<T>)>,
}

impl<T: Send + 'static> Background<T> {
    pub(super) fn idle() -> Self {
        Self { running: None }
    }

    pub(super) fn is_idle(&self) -> bool {
        self.running.is_none()
    }

    /// Starts work for a stage of the boat. Only when idle: else the running
    /// work is let go and its answer never read.
    pub(super) fn start(&mut self, stage: u64, work: impl FnOnce() -> T + Send + 'static) {
        let (sender, receiver) = channel();
        thread::spawn(move || {
            // Nobody may want the answer any more.
            let _ = sender.send(work());
        });
        self.running = Some((stage, receiver));
    }

    /// The answer and the stage that it is for, once it is there. Work that
    /// panicked has no answer and leaves the thread idle.
    pub(super) fn poll(&mut self) -> Option<(u64, T)> {
        let (stage, receiver) = self.running.as_ref()?;
        match receiver.try_recv() {
            Ok(answer) => {
                let stage = *stage;
                self.running = None;
                Some((stage, answer))
            }
            Err(TryRecvError::Disconnected) => {
                self.running = None;
                None
            }
            Err(TryRecvError::Empty) => None,
        }
    }

    /// Waits for the answer.
    pub(super) fn wait(&mut self) -> Option<(u64, T)> {
        let (stage, receiver) = self.running.take()?;
        receiver.recv().ok().map(|answer| (stage, answer))
    }
}
