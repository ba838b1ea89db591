//! `awash trapped`.
use super::run::{assert_near, awash, number};

const DIVED: &str = "tests/boats/dived.toml";

#[test]
fn the_foredeck_catches_air_and_the_hull_keeps_water() {
    let result = awash(["trapped", DIVED, "--format", "json"]).json();
    let air = result["air"].as_array().unwrap();
    // Under the foredeck (x from 2.3 m), out by the cockpit once it is full.
    assert!(air[0]["end_m"][0].as_f64().unwrap() > 2.3);
    assert_eq!(air[0]["opening"], "cockpit");
    assert!((0.02..0.05).contains(&number(&result, "air_m3")));
    // It keeps water up to the lowest of its openings.
    let kept = &result["water_kept"][0];
    assert_eq!(kept["opening"], "transom notch");
    assert_near(number(kept, "level_m"), 0.265, 1e-4);
    assert!(result["cautions"].to_string().contains("hold your breath"));
}

#[test]
fn bow_down_the_deck_holds_less() {
    let level = awash(["trapped", DIVED, "--format", "json"]).json();
    let bow_down = awash(["trapped", DIVED, "--pitch", "-20", "--format", "json"]).json();
    assert!(number(&bow_down, "air_m3") < number(&level, "air_m3") / 2.0);
    let table = awash(["trapped", DIVED, "--pitch", "-20"]).stdout;
    assert!(table.contains("would empty through a vent at"), "{table}");
}

#[test]
fn angles_out_of_range_are_refused() {
    for argument in ["--pitch=120", "--heel=400", "--heel=north"] {
        let answer = awash(["trapped", DIVED, argument]);
        assert_eq!(answer.code, 2, "{answer:?}");
    }
}
