//! What comes with an installed program: completions and manual pages.
use std::fs;
use std::io::Write;
use std::process::{Command, Stdio};

use super::run::{Folder, awash, awash_in};

/// Every command that `--help` lists.
fn commands() -> Vec<String> {
    let help = awash(["--help"]).stdout;
    let listed: Vec<String> = help
        .lines()
        .skip_while(|line| *line != "Start here:")
        .take_while(|line| *line != "Options:")
        .filter(|line| line.starts_with("  ") && !line.starts_with("   "))
        .filter_map(|line| line.split_whitespace().next().map(str::to_owned))
        .filter(|name| name != "help")
        .collect();
    assert!(
        listed.len() > 20 && listed.iter().any(|c| c == "float"),
        "{help}"
    );
    listed
}

/// Runs a program that may not be installed with a text on its stdin; none where
/// it is not, which is said.
#[expect(clippy::print_stdout, reason = "a check that did not run says so")]
fn fed(program: &str, arguments: &[&str], text: &str) -> Option<std::process::Output> {
    let started = Command::new(program)
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn();
    let Ok(mut child) = started else {
        println!("NOT RUN: there is no {program} on this machine");
        return None;
    };
    let mut stdin = child.stdin.take().expect("piped");
    let text = text.to_owned();
    let feed = std::thread::spawn(move || stdin.write_all(text.as_bytes()));
    let output = child.wait_with_output().expect("it ends");
    feed.join().expect("no panic").expect("it reads all");
    Some(output)
}

/// Every page of the reference is listed, printed within the terminal's width but for
/// commands, and another name is refused with those that there are.
#[test]
fn the_reference_prints_its_pages() {
    let listed = awash(["reference"]).stdout;
    for page in awash::reference::PAGES {
        assert!(listed.contains(page.name) && listed.contains(page.about));
        let printed = awash(["reference", page.name]);
        assert_eq!(
            (printed.code, printed.stdout),
            (0, awash::present::page(page.markdown))
        );
    }
    let refused = awash(["reference", "boatfile"]);
    assert_eq!(refused.code, 2);
    assert!(refused.stderr.contains("boat-file"), "{}", refused.stderr);
}

#[test]
fn completions_hold_every_command_and_the_shell_accepts_them() {
    let commands = commands();
    for (shell, quoted) in [("bash", ""), ("zsh", "'"), ("fish", "\"")] {
        let answer = awash(["completions", shell]);
        assert_eq!((answer.code, answer.stderr.as_str()), (0, ""));
        for command in &commands {
            // As a word of its own: bash lists them between spaces, zsh as
            // 'name:about', fish as -a "name".
            let is_there = match shell {
                "bash" => answer.stdout.contains(&format!(" {command} ")),
                "zsh" => answer.stdout.contains(&format!("{quoted}{command}:")),
                _ => answer
                    .stdout
                    .contains(&format!("{quoted}{command}{quoted}")),
            };
            assert!(is_there, "{shell} does not know {command}");
        }
        if let Some(output) = fed(shell, &["-n"], &answer.stdout) {
            assert!(output.status.success(), "{shell}: {output:?}");
        }
    }
    // Elvish and PowerShell are written too, and not checked by a shell here.
    assert_eq!(awash(["completions", "elvish"]).code, 0);
    assert!(
        awash(["completions", "cobol"])
            .stderr
            .contains("[possible values: bash")
    );
}

/// What bash would offer after `awash fl`, asked of bash itself.
#[test]
fn bash_completes_a_command() {
    let script = awash(["completions", "bash"]).stdout;
    let asked = format!(
        "{script}\nCOMP_WORDS=(awash fl); COMP_CWORD=1; _awash awash fl awash\nprintf '%s\\n' \"${{COMPREPLY[@]}}\"\n"
    );
    if let Some(output) = fed("bash", &["--norc"], &asked) {
        let offered = String::from_utf8(output.stdout).unwrap();
        assert_eq!(offered.lines().collect::<Vec<_>>(), ["float", "flooded"]);
    }
}

#[test]
fn every_command_has_a_page_that_man_accepts() {
    let folder = Folder::new();
    let answer = awash_in(folder.path(), ["manual", "--folder", "man/man1"]);
    assert_eq!((answer.code, answer.stderr.as_str()), (0, ""));
    let page = |name: &str| {
        let path = folder.path().join("man/man1").join(format!("{name}.1"));
        fs::read_to_string(path).unwrap_or_else(|error| panic!("{name}: {error}"))
    };
    let mut pages = vec![("awash".to_owned(), page("awash"))];
    for command in commands() {
        let name = format!("awash-{command}");
        assert!(pages[0].1.contains(&name.replace('-', "\\-")), "{name}");
        let printed = awash(["manual", &command]).stdout;
        assert_eq!(printed, page(&name));
        assert!(printed.contains(&format!("awash {command}")), "{printed}");
        pages.push((name.clone(), printed));
    }
    let written = fs::read_dir(folder.path().join("man/man1"))
        .unwrap()
        .count();
    assert_eq!(written, pages.len());
    for (name, page) in &pages {
        // groff's own warnings are what `man --warnings` shows.
        let groff = ["-man", "-ww", "-Tutf8", "-Kutf8"];
        if let Some(output) = fed("groff", &groff, page) {
            let told = String::from_utf8_lossy(&output.stderr);
            assert!(output.status.success() && told.is_empty(), "{name}: {told}");
        }
    }
    let again = awash_in(folder.path(), ["manual", "--folder", "man/man1"]);
    assert!(again.refusal().contains("is already there"));
    let forced = awash_in(folder.path(), ["manual", "--folder", "man/man1", "--force"]);
    assert_eq!(forced.code, 0);
    assert!(
        awash(["manual", "sail"])
            .refusal()
            .contains("no command sail")
    );
}
