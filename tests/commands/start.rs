//! `awash start` on a pseudo-terminal, as a person meets it: a question at a time.
use std::fs;
use std::path::Path;

use awash::mesh::write_stl;

use super::run::awash_in;
use super::terminal::on_a_terminal;
use super::zoo::open_tender;

fn scan(folder: &Path) {
    let mut bytes = Vec::new();
    write_stl(&mut bytes, &open_tender().surface).expect("written");
    fs::write(folder.join("tender.stl"), bytes).expect("saved");
}

#[test]
fn what_is_answered_stands_in_the_file_and_floats() {
    let folder = tempfile::tempdir().unwrap();
    scan(folder.path());
    let answers = [
        ("How long is the hull", "?"),
        ("Hold the tape level", "3200"),
        ("with its unit", "3.2 m"),
        ("What is the craft called", "survey tender"),
        ("Which water", "sea"),
        ("bare hull weigh", "60 kg ± 2 kg"),
        ("bare hull balance", "1.7 m"),
        ("Is it open, covered", "open"),
        ("Its name", "cockpit"),
        ("a hole that the scan does not show", "cable hole"),
        ("Is cable hole open", ""),
        ("the lowest point of cable hole", "2.9 m"),
        ("the lowest point of cable hole", "0"),
        ("the lowest point of cable hole", "40 cm"),
        ("first person", "75 kg"),
        ("rider's middle", "1.8 m"),
        ("rider's middle", "5 cm"),
        ("to which side", "left 5 cm"),
        ("rider's middle", "45 cm"),
        ("What else goes aboard", "battery"),
        ("What does battery weigh", "12 kg"),
        ("the middle of battery", "2.6 m"),
        ("the middle of battery", "0"),
        ("the middle of battery", "10 cm"),
    ];
    let told = on_a_terminal(folder.path(), &["start", "tender.stl"], &answers);
    assert_eq!(told.code, 0, "{} {}", told.stdout, told.stderr);
    assert!(
        told.stdout.contains("Hold the tape level"),
        "{}",
        told.stdout
    );
    let text = fs::read_to_string(folder.path().join("tender-boat.toml")).unwrap();
    for line in [
        "name = \"survey tender\"",
        "kind = \"sea\"",
        "mass = \"60 kg ± 2 kg\"",
        "from_stem = \"1.8 m\", from_middle = \"5 cm port\", over_base = \"45 cm\"",
    ] {
        assert!(text.contains(line), "{line}\n{text}");
    }
    let floated = awash_in(
        folder.path(),
        ["float", "tender-boat.toml", "--format", "json"],
    );
    let floated = floated.json();
    assert_eq!(floated["floats"], true);
    let names: Vec<&str> = floated["openings"]
        .as_array()
        .unwrap()
        .iter()
        .map(|opening| opening["name"].as_str().unwrap())
        .collect();
    assert_eq!(names, ["cockpit", "cable hole"]);
    let mass = floated["mass_kg"].as_f64().unwrap();
    assert!((mass - 147.0).abs() < 1e-9, "{mass}");
}

#[test]
fn not_knowing_anything_floats_too_and_is_told_what_it_costs() {
    let folder = tempfile::tempdir().unwrap();
    scan(folder.path());
    let told = on_a_terminal(folder.path(), &["start", "tender.stl"], &[]);
    assert!(
        told.stdout.contains("What you did not know"),
        "{}",
        told.stdout
    );
    assert!(told.stdout.contains("put it on scales"), "{}", told.stdout);
    assert!(
        told.stdout.contains("draws of ten") || told.stdout.contains("fails its yardstick"),
        "{}",
        told.stdout
    );
    let again = on_a_terminal(folder.path(), &["start", "tender.stl"], &[]);
    assert_eq!(again.code, 2);
}

#[test]
fn an_end_of_the_answers_writes_nothing() {
    let folder = tempfile::tempdir().unwrap();
    scan(folder.path());
    let answer = awash_in(folder.path(), ["start", "tender.stl"]);
    assert_eq!(answer.code, 2, "{answer:?}");
    assert!(answer.stderr.contains("nothing was written"), "{answer:?}");
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
}

/// Holes kept open on purpose are no holes of the scan to the boat file either.
#[test]
fn a_hull_mended_with_holes_kept_is_floated_by_its_boat_file() {
    let folder = tempfile::tempdir().unwrap();
    scan(folder.path());
    let mend = [
        "mend",
        "tender.stl",
        "-o",
        "hull.stl",
        "--keep",
        "1",
        "--boat",
        "boat.toml",
    ];
    assert_eq!(awash_in(folder.path(), mend).code, 0);
    let floated = awash_in(folder.path(), ["float", "boat.toml", "--format", "json"]).json();
    assert_eq!(floated["floats"], true);
}
