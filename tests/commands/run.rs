//! Runs the built command with a time limit.
use std::ffi::OsStr;
use std::io::Read;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::thread;
use std::time::{Duration, Instant};

use serde_json::Value;
use tempfile::TempDir;

/// Longest that any run here may take, against hanging: most take under a second
/// alone, a report or every step of a comparison ten, and a busy machine is slow.
const TIME_LIMIT: Duration = Duration::from_secs(300);

/// What a run left behind.
#[derive(Debug)]
pub(crate) struct Answer {
    /// Exit code.
    pub(crate) code: i32,
    pub(crate) stdout: String,
    pub(crate) stderr: String,
}

impl Answer {
    /// Stdout as JSON, of a run that must have gone well.
    pub(crate) fn json(&self) -> Value {
        assert_eq!(self.code, 0, "{self:?}");
        assert_eq!(self.stderr, "", "{self:?}");
        serde_json::from_str(&self.stdout).unwrap_or_else(|error| panic!("{error}: {self:?}"))
    }

    /// The message of a run that must have been refused: exit code 2, nothing
    /// on stdout.
    pub(crate) fn refusal(&self) -> &str {
        assert_eq!(self.code, 2, "{self:?}");
        assert_eq!(self.stdout, "", "{self:?}");
        let message = self.stderr.strip_prefix("error: ");
        message.unwrap_or_else(|| panic!("no `error: `: {self:?}"))
    }
}

/// Runs `awash` and fails when it hangs, panics or dies of a signal.
pub(crate) fn awash<A: AsRef<OsStr>>(arguments: impl IntoIterator<Item = A>) -> Answer {
    awash_in(Path::new(env!("CARGO_MANIFEST_DIR")), arguments)
}

/// As [`awash`], in a working folder.
pub(crate) fn awash_in<A: AsRef<OsStr>>(
    folder: &Path,
    arguments: impl IntoIterator<Item = A>,
) -> Answer {
    let mut command = Command::new(env!("CARGO_BIN_EXE_awash"));
    // A width that the tester asks for would fold what is read here.
    command
        .current_dir(folder)
        .args(arguments)
        .env_remove("COLUMNS");
    let mut child = command
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the built command starts");
    let stdout = drain(child.stdout.take());
    let stderr = drain(child.stderr.take());
    let started = Instant::now();
    let status = loop {
        if let Some(status) = child.try_wait().expect("the child can be waited for") {
            break status;
        }
        if started.elapsed() > TIME_LIMIT {
            child.kill().ok();
            child.wait().ok();
            panic!("still running after {TIME_LIMIT:?}: {command:?}");
        }
        thread::sleep(Duration::from_millis(2));
    };
    let text = |reader: thread::JoinHandle<Vec<u8>>| {
        let bytes = reader.join().expect("the pipe can be read");
        String::from_utf8(bytes).expect("the command writes UTF-8")
    };
    let answer = Answer {
        code: status
            .code()
            .unwrap_or_else(|| panic!("{status}: {command:?}")),
        stdout: text(stdout),
        stderr: text(stderr),
    };
    assert!(
        !answer.stderr.contains("panicked"),
        "{command:?}: {answer:?}"
    );
    answer
}

fn drain(pipe: Option<impl Read + Send + 'static>) -> thread::JoinHandle<Vec<u8>> {
    thread::spawn(move || {
        let mut bytes = Vec::new();
        if let Some(mut pipe) = pipe {
            pipe.read_to_end(&mut bytes).expect("the pipe can be read");
        }
        bytes
    })
}

/// A folder of the test's own, gone when it is dropped.
pub(crate) struct Folder(TempDir);

impl Folder {
    pub(crate) fn new() -> Self {
        Self(tempfile::tempdir().expect("a temporary folder"))
    }

    pub(crate) fn path(&self) -> &Path {
        self.0.path()
    }

    /// Writes a file and gives its path.
    pub(crate) fn write(&self, name: &str, bytes: impl AsRef<[u8]>) -> PathBuf {
        let path = self.path().join(name);
        std::fs::write(&path, bytes).expect("the file can be written");
        path
    }
}

/// A number of a result, by its key.
#[track_caller]
pub(crate) fn number(result: &Value, key: &str) -> f64 {
    let value = &result[key];
    value
        .as_f64()
        .unwrap_or_else(|| panic!("`{key}` is {value}"))
}

/// Fails unless `got` is within `tolerance` of `expected`.
#[track_caller]
pub(crate) fn assert_near(got: f64, expected: f64, tolerance: f64) {
    assert!(
        (got - expected).abs() <= tolerance,
        "{got} is not {expected} ± {tolerance}"
    );
}
