//! What a library needs of the machine besides memory: a second thread and a clock.
//! `wasm32-unknown-unknown` has neither.
use std::time::{Duration, SystemTime};

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

/// Today's date in universal time, as 2026-05-17; `None` where there is no clock.
pub(crate) fn today() -> Option<String> {
    const SECONDS: u64 = 86_400;
    if cfg!(target_family = "wasm") {
        return None;
    }
    let since = SystemTime::now()
        .duration_since(SystemTime::UNIX_EPOCH)
        .ok()?;
    i64::try_from(since.as_secs() / SECONDS).ok().map(date)
}

/// The date so many days after 1970-01-01 in the Gregorian calendar, from then on: days
/// counted from 1 March of year 0 in spans of 400 years, years and months from there (H.
/// Hinnant, chrono-compatible low-level date algorithms; from memory).
fn date(days: i64) -> String {
    let days = days + 719_468;
    let (era, day) = (days / 146_097, days % 146_097);
    let year = (day - day / 1460 + day / 36_524 - day / 146_096) / 365;
    let day = day - (365 * year + year / 4 - year / 100);
    let month = (5 * day + 2) / 153;
    let day = day - (153 * month + 2) / 5 + 1;
    let (month, next) = if month < 10 {
        (month + 3, 0)
    } else {
        (month - 9, 1)
    };
    format!("{:04}-{month:02}-{day:02}", 400 * era + year + next)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::atomic::{AtomicBool, Ordering};

    #[test]
    fn days_are_dates() {
        // Day numbers by `date -u -d DATE +%s` of GNU coreutils, over 86400.
        for (days, told) in [
            (0, "1970-01-01"),
            (11_016, "2000-02-29"),
            (19_723, "2024-01-01"),
            (20_512, "2026-02-28"),
            (47_540, "2100-02-28"),
            (47_541, "2100-03-01"),
        ] {
            assert_eq!(date(days), told);
        }
    }

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
