//! Links, devices, and names that are no text.
use std::ffi::OsStr;
use std::fs;
use std::os::unix::ffi::OsStrExt;
use std::os::unix::fs::symlink;
use std::path::Path;

use super::run::{Answer, Folder, awash_in};
use super::split::boats;

fn run(folder: &Folder, arguments: &[&OsStr]) -> Answer {
    awash_in(folder.path(), arguments)
}

#[track_caller]
fn refused(folder: &Folder, arguments: &[&str], words: &[&str]) {
    let answer = awash_in(folder.path(), arguments);
    for word in words {
        assert!(answer.refusal().contains(word), "no `{word}`: {answer:?}");
    }
}

/// The open hull under a name of its own.
fn with_hull(name: &[u8]) -> Folder {
    let folder = Folder::new();
    let hull = folder.path().join(OsStr::from_bytes(name));
    fs::copy(boats("hull.stl"), hull).expect("a copy");
    folder
}

#[test]
fn an_output_that_is_a_link_is_replaced_and_what_it_leads_to_stays() {
    let folder = with_hull(b"hull.stl");
    let dear = folder.write("dear.toml", "dear");
    symlink("dear.toml", folder.path().join("b.toml")).unwrap();
    symlink("nowhere.toml", folder.path().join("c.toml")).unwrap();
    for name in ["b.toml", "c.toml"] {
        let there = format!("{name} is already there and is left as it is");
        refused(&folder, &["init", "hull.stl", "-o", name], &[&there]);
        let forced = awash_in(folder.path(), ["init", "hull.stl", "-o", name, "--force"]);
        assert_eq!(forced.code, 0, "{forced:?}");
        let about = fs::symlink_metadata(folder.path().join(name)).unwrap();
        assert!(about.is_file());
    }
    assert_eq!(fs::read(dear).unwrap(), b"dear");
    assert!(!folder.path().join("nowhere.toml").exists());
}

/// Even with --force, and by whatever name.
#[test]
fn a_link_to_the_scan_is_still_the_scan() {
    let folder = with_hull(b"scan.stl");
    symlink("scan.stl", folder.path().join("link.stl")).unwrap();
    for (from, to) in [
        ("scan.stl", "link.stl"),
        ("link.stl", "scan.stl"),
        ("scan.stl", "./scan.stl"),
    ] {
        let arguments = ["mend", from, "-o", to, "--largest-only", "--force"];
        refused(
            &folder,
            &arguments,
            &["is the scan itself, which is never changed"],
        );
    }
    let (was, is) = (
        fs::read(boats("hull.stl")),
        fs::read(folder.path().join("scan.stl")),
    );
    assert!(was.unwrap() == is.unwrap());
}

#[test]
fn inputs_that_are_links() {
    let folder = with_hull(b"hull.stl");
    symlink(boats("before.toml"), folder.path().join("b.toml")).unwrap();
    // Paths in a boat file start from the folder of the name that was given.
    assert_eq!(awash_in(folder.path(), ["float", "b.toml"]).code, 0);
    fs::remove_file(folder.path().join("hull.stl")).unwrap();
    refused(
        &folder,
        &["float", "b.toml"],
        &["b.toml:9", "cannot read hull.stl: No such file"],
    );
    symlink("round.stl", folder.path().join("round.stl")).unwrap();
    refused(
        &folder,
        &["inspect", "round.stl"],
        &["cannot read round.stl: Too many levels"],
    );
    symlink("round.toml", folder.path().join("round.toml")).unwrap();
    refused(
        &folder,
        &["float", "round.toml"],
        &["cannot read", "Too many levels"],
    );
    // A boat file that extends itself under another name.
    folder.write("a.toml", "extends = \"link.toml\"\n");
    symlink("a.toml", folder.path().join("link.toml")).unwrap();
    refused(
        &folder,
        &["float", "a.toml"],
        &[
            "a.toml:1",
            "leads back to a file already read",
            "let one of these files stand alone",
        ],
    );
}

#[test]
fn folders_and_pipes_in_the_place_of_files() {
    let folder = with_hull(b"hull.stl");
    fs::create_dir(folder.path().join("folder.toml")).unwrap();
    fs::create_dir(folder.path().join("folder.stl")).unwrap();
    let made = std::process::Command::new("mkfifo")
        .args([
            folder.path().join("pipe.svg"),
            folder.path().join("pipe.toml"),
        ])
        .status();
    assert!(made.expect("mkfifo runs").success());
    refused(
        &folder,
        &["float", "folder.toml"],
        &["folder.toml", "Is a directory"],
    );
    refused(
        &folder,
        &["inspect", "folder.stl"],
        &["folder.stl: Is a directory"],
    );
    refused(
        &folder,
        &["float", "pipe.toml"],
        &["copy what it holds into a file first"],
    );
    for force in [&[][..], &["--force"]] {
        let inspect = [&["inspect", "hull.stl", "--svg", "pipe.svg"], force].concat();
        refused(
            &folder,
            &inspect,
            &["pipe.svg: it is a device or a pipe; name a file"],
        );
        let init = [&["init", "hull.stl", "-o", "folder.toml"], force].concat();
        refused(
            &folder,
            &init,
            &["folder.toml: it is a folder; name a file"],
        );
    }
    let demo = ["demo", "hull.stl"];
    refused(&folder, &demo, &["hull.stl"]);
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 5);
}

/// On Unix a name is bytes. Files are read and written by such names; a boat file is
/// text and cannot hold one, which is told before anything is written.
#[test]
fn names_that_are_no_text() {
    let odd = OsStr::from_bytes;
    let folder = with_hull(b"scan\xff.stl");
    let out = odd(b"out\xfe.stl");
    let mend = [
        "mend".as_ref(),
        odd(b"scan\xff.stl"),
        "-o".as_ref(),
        out,
        "--largest-only".as_ref(),
    ];
    assert_eq!(run(&folder, &mend).code, 0);
    assert!(folder.path().join(out).is_file());
    assert!(run(&folder, &mend).refusal().contains("is already there"));
    let svg = odd(b"\xfd.svg");
    let inspect = [
        "inspect".as_ref(),
        out,
        "--svg".as_ref(),
        svg,
        "--format=json".as_ref(),
    ];
    run(&folder, &inspect).json();
    assert!(folder.path().join(svg).is_file());
    let init = [
        "init".as_ref(),
        odd(b"scan\xff.stl"),
        "-o".as_ref(),
        odd(b"b.toml"),
    ];
    let answer = run(&folder, &init);
    assert!(
        answer
            .refusal()
            .contains("not UTF-8 text; rename the file or its folder first"),
        "{answer:?}"
    );
    assert!(!Path::new(&folder.path().join("b.toml")).exists());
    // A whole boat in a folder with such a name.
    let demo = run(&folder, &["demo".as_ref(), odd(b"d\xe9mo")]);
    assert_eq!(demo.code, 0, "{demo:?}");
    let boat = odd(b"d\xe9mo/dipper/after.toml");
    let floated = run(&folder, &["float".as_ref(), boat, "--format=json".as_ref()]);
    assert_eq!(floated.json()["floats"], true);
    let rain = odd(b"d\xe9mo/dipper/bulkheads.toml#rain");
    assert_eq!(run(&folder, &["float".as_ref(), rain]).code, 0);
}
