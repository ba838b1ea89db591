//! Disks that are full or may not be written, and runs that are killed or meet.
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::{Command, Output, Stdio};
use std::thread;
use std::time::{Duration, Instant};

use super::run::{Folder, awash_in};
use super::split::{boats, split_hull};

const AWASH: &str = env!("CARGO_BIN_EXE_awash");

/// Every file of a folder with what is in it.
fn contents(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    fs::read_dir(folder)
        .expect("a folder")
        .map(|entry| {
            let path = entry.expect("an entry").path();
            let name = path
                .file_name()
                .expect("a name")
                .to_string_lossy()
                .into_owned();
            (name, fs::read(path).expect("a file"))
        })
        .collect()
}

/// Runs a script of bash in a folder, `$awash` and `$boats` set.
fn bash(folder: &Path, script: &str) -> Output {
    Command::new("bash")
        .args(["-c", script])
        .current_dir(folder)
        .env("awash", AWASH)
        .env("boats", boats(""))
        .stdin(Stdio::null())
        .output()
        .expect("bash runs")
}

#[track_caller]
fn refused(output: &Output, words: &[&str]) {
    let told = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(2), "{output:?}");
    for word in words {
        assert!(told.contains(word), "no `{word}`: {told}");
    }
    assert!(
        !told.contains("panicked") && !told.contains(".part"),
        "{told}"
    );
}

/// One command of each way of writing, each to a file `mine.*` with --force.
const WRITERS: [(&str, &str); 6] = [
    (
        "mine.stl",
        "mend $boats/hull.stl -o mine.stl --largest-only --force",
    ),
    ("mine.toml", "init $boats/hull.stl -o mine.toml --force"),
    (
        "mine.pdf",
        "template $boats/after.toml --station 1.8 -o mine.pdf --force",
    ),
    (
        "mine.svg",
        "curves $boats/after.toml --steps 3 --svg mine.svg --force",
    ),
    ("mine.csv", "swamp $boats/after.toml --csv mine.csv --force"),
    ("awash.1", "manual --folder . --force"),
];

/// A file system that takes no more: files longer than nothing are refused by the
/// system (RLIMIT_FSIZE), whoever runs the test.
#[test]
fn no_room_left_leaves_the_old_file_and_no_half_one() {
    for (name, command) in WRITERS {
        let folder = Folder::new();
        folder.write(name, "old and dear");
        let before = contents(folder.path());
        let script = format!("trap '' XFSZ; ulimit -f 0; exec $awash {command}");
        let output = bash(folder.path(), &script);
        refused(&output, &[name, "Nothing was written there; make room"]);
        assert_eq!(contents(folder.path()), before, "{command}");
    }
}

/// The same on a real small disk, and a folder of a read-only one. Both need the
/// right to mount.
#[test]
fn a_full_disk_and_a_read_only_one() {
    let folder = Folder::new();
    fs::create_dir(folder.path().join("disk")).unwrap();
    let on_a_disk_of = |options: &str, then: &str| {
        let inside =
            format!("mount -t tmpfs -o size=64k awash disk && cd disk && {options} && {then}");
        let script = format!("unshare -m bash -c '{inside}' || exit $?");
        bash(folder.path(), &script)
    };
    if !on_a_disk_of("true", "true").status.success() {
        println!("NOT RUN: no right to mount a small disk here");
        return;
    }
    let after = "code=$?; ls -A >&2; cat hull.stl >&2; exit $code";
    let mend =
        format!("{{ $awash mend $boats/hull.stl -o hull.stl --largest-only --force; {after}; }}");
    let output = on_a_disk_of("printf dear > hull.stl", &mend);
    refused(
        &output,
        &[
            "cannot write hull.stl: No space left on device",
            "make room",
        ],
    );
    let told = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(told.ends_with("hull.stl\ndear"), "{told}");
    let output = on_a_disk_of("printf dear > hull.stl && mount -o remount,ro .", &mend);
    refused(
        &output,
        &[
            "cannot write hull.stl: Read-only file system",
            "a folder of your own",
        ],
    );
    let told = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(told.ends_with("hull.stl\ndear"), "{told}");
}

/// What is printed meets a full disk, as with `> file`.
#[test]
fn a_result_that_can_not_be_printed_is_an_error() {
    if !Path::new("/dev/full").exists() {
        println!("NOT RUN: there is no /dev/full here");
        return;
    }
    let folder = Folder::new();
    for command in [
        "float $boats/after.toml",
        "completions bash",
        "manual",
        "demo d",
    ] {
        let output = bash(folder.path(), &format!("exec $awash {command} > /dev/full"));
        refused(
            &output,
            &["cannot write the result: No space left on device"],
        );
    }
}

/// A folder without the right to write. The user root has it everywhere.
#[test]
fn a_folder_that_may_not_be_written() {
    use std::os::unix::fs::PermissionsExt;
    let folder = Folder::new();
    let locked = folder.path().join("locked");
    fs::create_dir(&locked).unwrap();
    fs::set_permissions(&locked, fs::Permissions::from_mode(0o555)).unwrap();
    if fs::write(locked.join("try"), "").is_ok() {
        println!("NOT RUN: this user may write everywhere");
    } else {
        let output = bash(
            folder.path(),
            "exec $awash init $boats/hull.stl -o locked/b.toml",
        );
        refused(
            &output,
            &[
                "cannot write locked/b.toml: Permission denied",
                "of your own",
            ],
        );
    }
    let output = bash(
        folder.path(),
        "exec $awash init $boats/hull.stl -o none/b.toml",
    );
    refused(
        &output,
        &[
            "cannot write none/b.toml: No such file",
            "Make its folder first",
        ],
    );
}

/// `kill -9` while the file is being written, over an old one: the old one whole or
/// the new one whole, and at most a file that ends in `.part`.
#[test]
fn killed_while_writing() {
    const KILLS: u32 = 12;
    let folder = Folder::new();
    split_hull(&folder.path().join("scan.stl"), 2);
    let arguments = [
        "mend",
        "scan.stl",
        "-o",
        "out.stl",
        "--largest-only",
        "--force",
    ];
    assert_eq!(awash_in(folder.path(), arguments).code, 0);
    let target = folder.path().join("out.stl");
    let new = fs::read(&target).unwrap();
    let beside = || {
        let names = fs::read_dir(folder.path()).unwrap();
        let names = names.map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned());
        names.filter(|name| name.ends_with(".part")).count()
    };
    let mut in_the_middle = 0;
    for kill in 0..KILLS {
        fs::write(&target, b"old and dear").unwrap();
        let left_before = beside();
        let mut child = Command::new(AWASH)
            .args(arguments)
            .current_dir(folder.path())
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .expect("it starts");
        let started = Instant::now();
        let is_writing = || beside() > left_before;
        while !is_writing() && child.try_wait().unwrap().is_none() {
            assert!(
                started.elapsed() < Duration::from_secs(60),
                "it never wrote"
            );
        }
        thread::sleep(Duration::from_millis(u64::from(kill) * 2));
        // On Unix this is SIGKILL.
        child.kill().ok();
        child.wait().unwrap();
        let left = fs::read(&target).unwrap();
        assert!(
            left == b"old and dear" || left == new,
            "{} bytes",
            left.len()
        );
        in_the_middle += u32::from(is_writing());
    }
    assert!(in_the_middle > 0, "no kill came while it wrote");
    println!("{in_the_middle} of {KILLS} kills came while it wrote");
    for name in contents(folder.path()).keys() {
        assert!(["scan.stl", "out.stl"].contains(&name.as_str()) || name.ends_with(".part"));
    }
    // What is left over is in nobody's way.
    assert_eq!(awash_in(folder.path(), arguments).code, 0);
    assert_eq!(fs::read(&target).unwrap(), new);
}

/// Eight runs at once to one name: without --force one has it and the others are
/// told; with --force the last has it. It is whole either way.
#[test]
fn runs_at_once_to_the_same_file() {
    let hull = boats("hull.stl");
    for (force, winners) in [(false, 1), (true, 8)] {
        let folder = Folder::new();
        let outputs: Vec<Output> = (0..8)
            .map(|_| {
                let mut command = Command::new(AWASH);
                command.current_dir(folder.path()).arg("init").arg(&hull);
                command
                    .args(["-o", "b.toml"])
                    .args(force.then_some("--force"));
                command.stdout(Stdio::piped()).stderr(Stdio::piped());
                command.spawn().expect("it starts")
            })
            .collect::<Vec<_>>()
            .into_iter()
            .map(|child| child.wait_with_output().expect("it ends"))
            .collect();
        let (won, lost): (Vec<_>, Vec<_>) =
            outputs.iter().partition(|output| output.status.success());
        assert_eq!(won.len(), winners, "{outputs:?}");
        for output in lost {
            refused(output, &["b.toml is already there and is left as it is"]);
        }
        assert_eq!(contents(folder.path()).len(), 1);
        assert_eq!(awash_in(folder.path(), ["float", "b.toml"]).code, 0);
    }
}
