//! What a terminal is shown: the program on a pseudo-terminal.
use std::fs::{File, OpenOptions};
use std::io::{Read, Write};
use std::path::Path;
use std::process::{Command, Stdio};

use rustix::pty::{OpenptFlags, grantpt, openpt, ptsname, unlockpt};

use super::run::{Answer, awash};

/// Answers on a terminal: of each question the first answer whose words stand in it, Enter
/// where none does. Each answer serves once; those of one question come in turn.
pub(crate) fn on_a_terminal(folder: &Path, arguments: &[&str], answers: &[(&str, &str)]) -> Answer {
    on_a_terminal_where(&[("NO_COLOR", "1")], folder, arguments, answers)
}

/// The same where the environment says so; of colours it says nothing else.
fn on_a_terminal_where(
    environment: &[(&str, &str)],
    folder: &Path,
    arguments: &[&str],
    answers: &[(&str, &str)],
) -> Answer {
    let master = openpt(OpenptFlags::RDWR | OpenptFlags::NOCTTY).expect("a terminal");
    grantpt(&master).expect("granted");
    unlockpt(&master).expect("unlocked");
    let name = ptsname(&master, Vec::new()).expect("a name");
    let name = name.to_str().expect("plain").to_owned();
    let slave = || {
        OpenOptions::new()
            .read(true)
            .write(true)
            .open(&name)
            .expect("opened")
    };
    let child = Command::new(env!("CARGO_BIN_EXE_awash"))
        .current_dir(folder)
        .env_remove("NO_COLOR")
        .env_remove("CLICOLOR")
        .env_remove("CLICOLOR_FORCE")
        // Where this is set, colours are taken for welcome on a dumb terminal too.
        .env_remove("CI")
        .env("TERM", "xterm")
        .envs(environment.iter().copied())
        .args(arguments)
        .stdin(slave())
        .stdout(slave())
        .stderr(Stdio::piped())
        .spawn()
        .expect("started");
    let mut terminal = File::from(master);
    let mut left: Vec<(&str, &str)> = answers.to_vec();
    let (mut said, mut asked_from) = (Vec::new(), 0);
    let mut bytes = [0; 4096];
    // Linux says that the other end has closed by an error.
    while let Ok(count @ 1..) = terminal.read(&mut bytes) {
        said.extend_from_slice(&bytes[..count]);
        if said[asked_from..].ends_with(b"\n> ") {
            let question = String::from_utf8_lossy(&said[asked_from..]).replace("\r\n", " ");
            let found = left.iter().position(|(words, _)| question.contains(words));
            let answer = found.map_or("", |at| left.remove(at).1);
            asked_from = said.len();
            writeln!(terminal, "{answer}").expect("answered");
        }
    }
    let ended = child.wait_with_output().expect("ended");
    let code = ended.status.code().expect("no signal");
    assert!(
        left.is_empty(),
        "never asked: {left:?}\n{}",
        String::from_utf8_lossy(&said)
    );
    Answer {
        code,
        stdout: String::from_utf8_lossy(&said).replace("\r\n", "\n"),
        stderr: String::from_utf8_lossy(&ended.stderr).into_owned(),
    }
}

/// Takes the codes of colours out of a text (ECMA-48, section 8.3.117).
fn without_colours(text: &str) -> String {
    let mut parts = text.split("\x1b[");
    let first = parts.next().unwrap_or_default().to_owned();
    first
        + &parts
            .map(|part| part.split_once('m').expect("a code").1)
            .collect::<String>()
}

/// Verdicts are in colour beside their words, on a terminal that shows it and whose user
/// has not said no (the convention of the variable `NO_COLOR`).
#[test]
fn verdicts_are_coloured_on_a_terminal_only() {
    const COMMANDS: [&[&str]; 2] = [
        &["float", "tests/boats/after.toml"],
        &["margins", "tests/boats/after.toml"],
    ];
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    for command in COMMANDS {
        let shown = on_a_terminal_where(&[], root, command, &[]).stdout;
        for (code, word) in [("33", "marginal"), ("32", "clear"), ("31", "fail")] {
            let coloured = format!("\x1b[{code}m{word}\x1b[0m");
            let is_there = without_colours(&shown).contains(&format!(" {word}  "));
            assert_eq!(shown.contains(&coloured), is_there, "{word}:\n{shown}");
        }
        assert!(shown.contains("\x1b["), "{shown}");
        let plain = on_a_terminal(root, command, &[]).stdout;
        assert_eq!(without_colours(&shown), plain);
        assert!(!plain.contains('\x1b'), "{plain}");
        let dumb = on_a_terminal_where(&[("TERM", "dumb")], root, command, &[]).stdout;
        assert_eq!(dumb, plain);
        assert!(!awash(command).stdout.contains('\x1b'));
    }
}
