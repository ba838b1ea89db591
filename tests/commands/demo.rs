//! `awash demo`: an installed program needs no checkout.
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use super::run::{Folder, awash, awash_in};

fn dipper() -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("meshes/dipper")
}

/// The files of a folder; the pictures of the dipper are in a folder of their own.
fn names(folder: &Path) -> BTreeSet<String> {
    fs::read_dir(folder)
        .expect("a folder")
        .map(|entry| entry.expect("an entry"))
        .filter(|entry| entry.path().is_file())
        .map(|entry| entry.file_name().into_string().expect("text"))
        .collect()
}

/// Everything of the dipper but its pictures, byte for byte.
#[test]
fn it_holds_every_file_of_the_dipper() {
    let folder = Folder::new();
    let answer = awash_in(folder.path(), ["demo", "new/dipper"]);
    assert_eq!((answer.code, answer.stderr.as_str()), (0, ""));
    let written = folder.path().join("new/dipper");
    let here = names(&dipper());
    assert_eq!(names(&written), here);
    for name in here {
        let (was, is) = (dipper().join(&name), written.join(&name));
        assert!(fs::read(was).unwrap() == fs::read(is).unwrap(), "{name}");
    }
}

/// What it says to try next runs, and floats as the checkout's boat does.
#[test]
fn what_it_says_to_try_runs_and_floats_the_same() {
    let folder = Folder::new();
    let told = awash_in(folder.path(), ["demo", "my dipper"]).stdout;
    let tries: Vec<&str> = told
        .lines()
        .filter_map(|line| line.strip_prefix("  awash "))
        .collect();
    assert_eq!(tries.len(), 4, "{told}");
    for line in tries {
        // Words, of which those in quotes hold spaces.
        let words = line.split('"').enumerate().flat_map(|(index, part)| {
            if index % 2 == 1 {
                vec![part]
            } else {
                part.split_whitespace().collect()
            }
        });
        let answer = awash_in(folder.path(), words);
        assert_eq!((answer.code, answer.stderr.as_str()), (0, ""), "{line}");
    }
    let written = ["float", "my dipper/after.toml", "--format", "json"];
    let kept = ["float", "meshes/dipper/after.toml", "--format", "json"];
    assert_eq!(awash_in(folder.path(), written).json(), awash(kept).json());
}

#[test]
fn a_changed_file_of_the_demo_is_left_and_nothing_else_is_written() {
    let folder = Folder::new();
    let mine = folder.write("bulkheads.toml", "mine");
    let answer = awash_in(folder.path(), ["demo", "."]);
    let told = answer.refusal();
    assert!(told.contains("bulkheads.toml is already there"), "{told}");
    assert_eq!(fs::read_to_string(mine).unwrap(), "mine");
    assert_eq!(names(folder.path()).len(), 1);
}
