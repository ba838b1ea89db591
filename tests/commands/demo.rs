//! `awash demo`: an installed program needs no checkout.
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use super::run::{Folder, awash, awash_in};

/// The demo's folders as they are kept.
fn kept() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("meshes")
}

/// The files below a folder, by their paths from there.
fn names(folder: &Path) -> BTreeSet<String> {
    let mut names = BTreeSet::new();
    for entry in fs::read_dir(folder).expect("a folder") {
        let entry = entry.expect("an entry");
        let name = entry.file_name().into_string().expect("text");
        if entry.path().is_dir() {
            let below = self::names(&entry.path());
            names.extend(below.iter().map(|file| format!("{name}/{file}")));
        } else {
            names.insert(name);
        }
    }
    names
}

/// The words of a command line, of which those in quotes hold spaces.
fn words(line: &str) -> Vec<&str> {
    line.split('"')
        .enumerate()
        .flat_map(|(index, part)| {
            if index % 2 == 1 {
                vec![part]
            } else {
                part.split_whitespace().collect()
            }
        })
        .collect()
}

/// Everything but the pictures and the program that makes the meshes, byte for byte.
#[test]
fn it_holds_every_file_of_the_demo() {
    let folder = Folder::new();
    let answer = awash_in(folder.path(), ["demo", "new/craft"]);
    assert_eq!((answer.code, answer.stderr.as_str()), (0, ""));
    let written = folder.path().join("new/craft");
    let mut here = names(&kept());
    here.retain(|name| !name.starts_with("make/") && !name.starts_with("pictures/"));
    assert_eq!(names(&written), here);
    for name in here {
        let (was, is) = (kept().join(&name), written.join(&name));
        assert!(fs::read(was).unwrap() == fs::read(is).unwrap(), "{name}");
    }
}

/// Meshes that a program carries must not make it large.
#[test]
fn its_meshes_are_small() {
    let bytes: u64 = names(&kept())
        .iter()
        .filter(|name| name.ends_with(".stl"))
        .map(|name| fs::metadata(kept().join(name)).expect("a mesh").len())
        .sum();
    assert!((1_000_000..4_000_000).contains(&bytes), "{bytes}");
}

/// What it says to try next runs, and floats as the checkout's boat does.
#[test]
fn what_it_says_to_try_runs_and_floats_the_same() {
    let folder = Folder::new();
    let told = awash_in(folder.path(), ["demo", "my craft"]).stdout;
    let tries: Vec<&str> = told
        .lines()
        .filter_map(|line| line.strip_prefix("  awash "))
        .collect();
    assert_eq!(tries.len(), 4, "{told}");
    for line in tries {
        let answer = awash_in(folder.path(), words(line));
        assert_eq!((answer.code, answer.stderr.as_str()), (0, ""), "{line}");
    }
    let written = ["float", "my craft/dipper/after.toml", "--format", "json"];
    let kept = ["float", "meshes/dipper/after.toml", "--format", "json"];
    assert_eq!(awash_in(folder.path(), written).json(), awash(kept).json());
}

#[test]
fn a_changed_file_of_the_demo_is_left_and_nothing_else_is_written() {
    let folder = Folder::new();
    fs::create_dir(folder.path().join("dipper")).expect("a folder");
    let mine = folder.write("dipper/bulkheads.toml", "mine");
    let answer = awash_in(folder.path(), ["demo", "."]);
    let told = answer.refusal();
    assert!(told.contains("bulkheads.toml is already there"), "{told}");
    assert_eq!(fs::read_to_string(mine).unwrap(), "mine");
    assert_eq!(names(folder.path()).len(), 1);
}

/// What README and guide quote stands in what the command lines before it print, gaps left
/// at "…".
#[test]
fn the_answers_that_readme_and_guide_quote_are_the_commands_own() {
    let mut quotes = 0;
    for page in ["README.md", "src/reference/guide.md"] {
        let folder = Folder::new();
        assert_eq!(awash_in(folder.path(), ["demo", "meshes"]).code, 0);
        let text = fs::read_to_string(page).expect("a page");
        let mut commands = Vec::new();
        for block in text.split("\n\n") {
            let inside = block
                .strip_prefix("```text\n")
                .unwrap_or(block)
                .trim_start();
            if inside.starts_with("awash ") {
                let lines = inside.lines().map(str::trim_start);
                commands = lines
                    .filter_map(|line| line.strip_prefix("awash "))
                    .collect();
            } else if block.starts_with("> ") || block.starts_with("```text") {
                let quoted = inside.trim_end_matches("```").replace("> ", "");
                held_to(&folder, page, &commands, &quoted);
                quotes += 1;
            }
        }
    }
    assert!(quotes >= 9, "{quotes}");
}

/// Runs the commands, and finds each piece of the quote in what they print.
fn held_to(folder: &Folder, page: &str, commands: &[&str], quoted: &str) {
    let flat = |text: &str| {
        let words: Vec<&str> = text
            .split_whitespace()
            .filter(|word| *word != "-")
            .collect();
        words.join(" ")
    };
    let told: String = commands
        .iter()
        .map(|command| {
            let answer = awash_in(folder.path(), words(command));
            assert_eq!(answer.code, 0, "{page}: {command}: {answer:?}");
            flat(&answer.stdout) + "\n"
        })
        .collect();
    for piece in quoted.split('…') {
        let piece = flat(piece);
        assert!(
            told.contains(&piece),
            "{page}: no \"{piece}\" of {commands:?}"
        );
    }
}
