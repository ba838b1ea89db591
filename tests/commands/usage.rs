//! Help, wrong arguments, a reader that goes away.
use std::io::Read;
use std::process::{Command, Stdio};

use super::run::{Folder, awash, awash_in};

#[test]
fn help_has_an_example_and_goes_to_stdout() {
    for (command, example) in [
        (
            "slice",
            "awash slice meshes/dipper/hull.stl --mesh-units mm --waterline \"120 mm\"",
        ),
        (
            "float",
            "awash float meshes/dipper/asfitted.toml --units both",
        ),
        (
            "swamp",
            "awash swamp meshes/dipper/after.toml --under \"40 mm\"",
        ),
        (
            "compare",
            "awash compare meshes/dipper/asfitted.toml meshes/dipper/after.toml",
        ),
        ("inspect", "awash inspect"),
        ("mend", "awash mend"),
        ("curves", "awash curves meshes/dipper/after.toml"),
        ("spread", "awash spread meshes/dipper/after.toml"),
        ("margins", "awash margins meshes/dipper/asfitted.toml"),
        ("place", "awash place meshes/dipper/asfitted.toml battery"),
        ("sill", "awash sill meshes/dipper/asfitted.toml"),
        ("calibrate", "awash calibrate boat.toml measured.toml"),
        ("dive", "awash dive meshes/dabchick/sledge.toml"),
        ("trapped", "awash trapped meshes/dabchick/sledge.toml"),
        ("righting", "awash righting meshes/dipper/after.toml"),
        ("start", "awash start scan.ply"),
        (
            "init",
            "awash init meshes/dipper/hull.stl --output my-boat.toml",
        ),
    ] {
        let answer = awash([command, "--help"]);
        assert_eq!((answer.code, answer.stderr.as_str()), (0, ""));
        assert!(answer.stdout.contains(example), "{answer:?}");
        for option in ["--format", "--units", "--strict"] {
            assert!(answer.stdout.contains(option), "{option}: {answer:?}");
        }
    }
    let top = awash(["--help"]);
    assert_eq!(top.code, 0);
    assert!(
        top.stdout.contains("Start with: awash start hull.stl"),
        "{top:?}"
    );
    assert!(top.stdout.contains("Calm still water only"), "{top:?}");
}

/// Every example line of a command's help runs, in a folder with the demo.
#[test]
fn the_examples_run() {
    let folder = Folder::new();
    assert_eq!(awash_in(folder.path(), ["demo", "meshes"]).code, 0);
    for command in [
        "slice", "float", "curves", "spread", "compare", "dive", "trapped", "tape", "drill", "list",
    ] {
        let help = awash([command, "--help"]).stdout;
        let examples: Vec<&str> = help
            .lines()
            .filter_map(|line| line.strip_prefix("  awash "))
            .collect();
        assert!(!examples.is_empty(), "{help}");
        for example in examples {
            // Words, of which those in quotes hold spaces.
            let words = example.split('"').enumerate().flat_map(|(index, part)| {
                if index % 2 == 1 {
                    vec![part]
                } else {
                    part.split_whitespace().collect()
                }
            });
            let answer = awash_in(folder.path(), words);
            assert_eq!((answer.code, answer.stderr.as_str()), (0, ""), "{example}");
        }
    }
}

#[test]
fn version_is_the_packages() {
    let answer = awash(["--version"]);
    assert_eq!(answer.code, 0);
    assert_eq!(
        answer.stdout,
        format!("awash {}\n", env!("CARGO_PKG_VERSION"))
    );
}

#[test]
fn wrong_arguments_exit_with_2_and_say_what_is_wanted() {
    let hull = "tests/boats/hull.stl";
    let cases: [(&[&str], &str); 11] = [
        (&[], "Usage: awash"),
        (&["sail"], "unrecognized subcommand 'sail'"),
        (&["slice"], "--waterline <Z>"),
        (&["slice", hull], "--waterline <Z>"),
        (&["float"], "<BOAT>"),
        (
            &["float", "a.toml", "b.toml"],
            "unexpected argument 'b.toml'",
        ),
        (
            &["float", "a.toml", "--units", "furlong"],
            "[possible values: metric, us, both]",
        ),
        (
            &["float", "a.toml", "--format", "xml"],
            "[possible values: table, json, csv]",
        ),
        (
            &["slice", hull, "--waterline", "120 kg"],
            "measures a mass; a length is wanted here",
        ),
        (
            &["slice", hull, "--waterline", "nan"],
            "write a length as a number and its unit",
        ),
        (
            &["slice", hull, "--waterline", "0.1", "--heel", "inf"],
            "write an angle as a number",
        ),
    ];
    for (arguments, words) in cases {
        let answer = awash(arguments);
        assert_eq!(answer.code, 2, "{answer:?}");
        assert_eq!(answer.stdout, "");
        assert!(answer.stderr.contains(words), "no `{words}`: {answer:?}");
    }
}

#[test]
fn a_mesh_is_not_floated_and_a_missing_mesh_is_named() {
    let answer = awash(["float", "tests/boats/hull.stl"]);
    assert!(
        answer.refusal().starts_with("tests/boats/hull.stl:"),
        "{answer:?}"
    );
    let answer = awash(["slice", "gone.stl", "--waterline", "0.1"]);
    assert!(
        answer
            .refusal()
            .starts_with("cannot read gone.stl: No such file"),
        "{answer:?}"
    );
}

/// A pipe whose reader is gone before a word is written, as with `| head -0`.
#[test]
fn a_closed_pipe_is_no_panic() {
    for format in ["table", "json", "csv"] {
        let mut child = Command::new(env!("CARGO_BIN_EXE_awash"))
            .args(["float", "tests/boats/before.toml", "--format", format])
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the built command starts");
        drop(child.stdout.take());
        let mut stderr = String::new();
        let pipe = child.stderr.as_mut().expect("piped");
        pipe.read_to_string(&mut stderr)
            .expect("the pipe can be read");
        let status = child.wait().expect("it ends");
        assert_eq!((status.code(), stderr.as_str()), (Some(0), ""));
    }
}
