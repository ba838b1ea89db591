//! `awash swamp`.
use std::fs;

use super::run::{awash, awash_in};

const AFTER: &str = "tests/boats/after.toml";

#[test]
fn a_short_dip_lets_a_little_in_and_it_comes_up() {
    let result = awash(["swamp", AFTER, "--format", "json", "--strict"]).json();
    assert_eq!(result["end"], "recovers");
    let lines = result["time_line"].as_array().unwrap();
    let last = lines.last().unwrap();
    assert!(last["water_m3"].as_f64().unwrap() > 0.0);
    assert!(last["sill_m"].as_f64().unwrap() > 0.0);
    // What is lost to the inside: water only ever comes in during a dip.
    for pair in lines.windows(2) {
        assert!(pair[1]["water_m3"].as_f64() >= pair[0]["water_m3"].as_f64());
    }
}

#[test]
fn past_the_point_of_no_return_it_sinks_and_bailing_holds_it() {
    let folder = tempfile::tempdir().unwrap();
    let film = folder.path().join("film.svg");
    let film = film.to_str().unwrap();
    let sunk = awash([
        "swamp", AFTER, "--inside", "165 L", "--svg", film, "--format", "json", "--strict",
    ]);
    assert_eq!(sunk.code, 1, "{sunk:?}");
    let result: serde_json::Value = serde_json::from_str(&sunk.stdout).unwrap();
    assert_eq!(result["end"], "sunk");
    assert_eq!(result["first_end"], "stern");
    assert!(result["no_return_m3"].as_f64().unwrap() < 0.165);
    assert!(
        result["summary"]
            .as_str()
            .unwrap()
            .contains("IT SINKS after")
    );
    assert!(
        fs::read_to_string(film)
            .unwrap()
            .matches("<polygon")
            .count()
            >= 6
    );
    let bailed = awash([
        "swamp", AFTER, "--inside", "165 L", "--bail", "60 L/min", "--format", "json",
    ])
    .json();
    assert_ne!(bailed["end"], "sunk");
}

#[test]
fn wrong_wishes_are_refused() {
    for arguments in [
        ["swamp", AFTER, "--under", "-5 mm"],
        ["swamp", AFTER, "--discharge", "3"],
        ["swamp", AFTER, "--inside", "20"],
        ["swamp", AFTER, "--bail", "20 gal/min"],
    ] {
        let answer = awash_in(std::path::Path::new(env!("CARGO_MANIFEST_DIR")), arguments);
        assert_eq!(answer.code, 2, "{arguments:?} {answer:?}");
    }
}

/// The time that a sill is held under does not count into the six hours that the water
/// is followed after it has been let go.
#[test]
fn a_sill_held_for_days_ends_as_one_held_for_an_hour() {
    let folder = super::box_boat::folder_with_hull();
    let hole = "[[opening]]\nname = \"port\"\nbox = { min = [0.9, 0.4, 0.15], max = [1.1, 0.6, 0.25] }\n[[opening]]\nname = \"stern hole\"\nbox = { min = [-0.1, -0.1, 0.12], max = [0.1, 0.1, 0.2] }\nfloods = \"aft\"\n[[compartment]]\nname = \"fore\"\nforward_of = 1.5\n[[compartment]]\nname = \"aft\"\naft_of = 0.5\n";
    folder.write("boat.toml", super::box_boat::with(hole));
    let ends = ["1 h", "100 h"].map(|held| {
        let run = ["swamp", "boat.toml", "--held", held, "--format", "json"];
        let result = awash_in(folder.path(), run).json();
        (result["end"].clone(), result["compartments"].clone())
    });
    assert_ne!(ends[0].0, "not_settled", "{ends:?}");
    assert_eq!(ends[0].0, ends[1].0, "{ends:?}");
}
