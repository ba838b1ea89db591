//! What a library needs of the machine besides memory: a second thread and a clock.
//! `wasm32-unknown-unknown` has neither.
use std::time::Duration;

/// Does some work, and tells it to stop once a time is over; without threads it may take
/// as long as it likes.
pub(crate) fn within<Made>(
    limit: Duration,
    stop: impl Fn() + Send,
    work: impl FnOnce() -> Made,
) -> Made {
    if cfg!(target_family = "wasm") {
        return work();
    }
    let (done, wait) = std::sync::mpsc::channel::<()>();
    std::thread::scope(|scope| {
        scope.spawn(move || {
            if wait.recv_timeout(limit) == Err(std::sync::mpsc::RecvTimeoutError::Timeout) {
                stop();
            }
        });
        let made = work();
        drop(done);
        made
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::atomic::{AtomicBool, Ordering};

    #[test]
    fn work_that_takes_too_long_is_told_to_stop_and_quick_work_is_not() {
        let stopped = AtomicBool::new(false);
        let stop = || stopped.store(true, Ordering::Relaxed);
        assert_eq!(within(Duration::from_secs(3600), stop, || 7), 7);
        assert!(!stopped.load(Ordering::Relaxed));
        within(Duration::from_millis(1), stop, || {
            while !stopped.load(Ordering::Relaxed) {
                std::thread::yield_now();
            }
        });
    }
}
