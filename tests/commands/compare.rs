//! `awash compare`.
use std::fs;

use super::run::{Folder, awash};

const BEFORE: &str = "tests/boats/before.toml";
const AFTER: &str = "tests/boats/after.toml";

#[test]
fn a_boat_beside_itself_is_all_zeros() {
    let result = awash(["compare", AFTER, AFTER, "--format", "json"]).json();
    let rows = result["rows"].as_array().unwrap();
    assert!(rows.len() >= 12);
    for row in rows {
        // Full of water it sinks and so has no attitude to compare.
        let sinks = row["state"] == "full" && row["values"][1].is_null();
        assert!(sinks || row["changes"][1] == 0.0, "{row}");
    }
    assert_eq!(result["summary"], "Nothing that is judged here changes.");
    let steps = &result["steps"];
    assert_eq!(steps["lines"].as_array().unwrap().len(), 0);
    for whole in ["whole", "sum_of_single"] {
        let effect = steps[whole].as_object().unwrap();
        assert!(effect.len() >= 7 && effect.values().all(|change| change == 0.0));
    }
}

#[test]
fn the_steps_lead_from_the_first_boat_to_the_last() {
    let result = awash(["compare", BEFORE, AFTER, "--format", "json"]).json();
    let lines = result["steps"]["lines"].as_array().unwrap();
    let words: Vec<&str> = lines.iter().map(|l| l["words"].as_str().unwrap()).collect();
    assert_eq!(
        &words[..3],
        [
            "foredeck added",
            "well added",
            "opening transom notch added"
        ]
    );
    assert_eq!(words.last(), Some(&"bow weight added"));
    let sum = |key: &str| -> f64 {
        let effects = lines.iter().map(|line| &line["in_order"][key]);
        effects.map(|value| value.as_f64().unwrap()).sum()
    };
    for key in [
        "mass_kg",
        "sinkage_m",
        "lowest_sill_m",
        "worst_lean_deg",
        "least_knock_j",
    ] {
        let whole = result["steps"]["whole"][key].as_f64().unwrap();
        assert!(
            (sum(key) - whole).abs() < 1e-6,
            "{key}: {} {whole}",
            sum(key)
        );
    }
    // What single changes cost does not add up: the sum and the whole are both told.
    let single = result["steps"]["sum_of_single"]["lowest_sill_m"]
        .as_f64()
        .unwrap();
    assert!((single - result["steps"]["whole"]["lowest_sill_m"].as_f64().unwrap()).abs() > 0.01);
}

#[test]
fn the_drawing_is_described_and_never_overwritten() {
    let folder = Folder::new();
    let svg = folder.path().join("compare.svg");
    let path = svg.to_str().unwrap();
    let run = ["compare", BEFORE, AFTER, "--without-steps", "--svg", path];
    let answer = awash(run);
    assert_eq!(answer.code, 0, "{answer:?}");
    assert!(
        answer.stdout.contains("Full of water") && !answer.stdout.contains("in the order written")
    );
    let text = fs::read_to_string(&svg).unwrap();
    assert!(text.contains("<title") && text.contains("transom notch: 95 mm above water, marginal"));
    fs::write(&svg, "mine").unwrap();
    assert!(awash(run).refusal().contains("--force"));
    assert_eq!(fs::read_to_string(&svg).unwrap(), "mine");
}

#[test]
fn before_and_after_agree_with_the_single_studies() {
    let both = awash([
        "compare",
        BEFORE,
        AFTER,
        "--without-steps",
        "--format",
        "json",
    ])
    .json();
    let float = awash(["float", AFTER, "--format", "json"]).json();
    let margins = awash(["margins", AFTER, "--format", "json"]).json();
    let value = |key: &str| {
        let rows = both["rows"].as_array().unwrap();
        let row = rows.iter().find(|row| row["key"] == key).unwrap();
        (
            row["values"][1].clone(),
            row["changes"][1].as_f64().unwrap(),
        )
    };
    assert_eq!(value("mass_kg").0, float["mass_kg"]);
    assert_eq!(value("gm_transverse_m").0, float["gm_transverse_m"]);
    assert_eq!(value("worst_lean_deg").0, margins["worst_tilt"]["lean_deg"]);
    assert!(value("mass_kg").1 > 90.0);
    assert!(value("lowest_sill_m").1 < 0.0);
    let notch = both["openings"]
        .as_array()
        .unwrap()
        .iter()
        .find(|row| row["name"] == "transom notch")
        .unwrap()
        .clone();
    assert!(notch["freeboard_m"][0].is_null());
    assert_eq!(both["knock_ends"][1], "recovers");
    let summary = both["summary"].as_str().unwrap();
    assert!(summary.contains("Worse:") && summary.contains("smallest lean that floods"));
}

#[test]
fn one_boat_alone_is_refused() {
    assert_eq!(awash(["compare", AFTER]).code, 2);
}
