//! `awash dive`.
use super::run::{assert_near, awash, number};

const DIVED: &str = "tests/boats/dived.toml";

#[test]
fn the_demo_is_trimmed_and_the_cautions_stand_beside_it() {
    let result = awash(["dive", DIVED, "--format", "json", "--strict"]).json();
    assert!(number(&result["hangs"], "weight_in_water_kg") < -10.0);
    assert_eq!(result["balance"]["material"], "lead");
    assert_eq!(result["balance"]["levels"], true);
    assert_eq!(result["card"].as_array().unwrap().len(), 3 * 2 * 4);
    assert_eq!(result["air"].as_array().unwrap().len(), 1);
    let cautions = result["cautions"].to_string();
    for word in [
        "support diver",
        "battery",
        "Never hold your breath",
        "not a clearance",
    ] {
        assert!(cautions.contains(word), "{word}");
    }
    let sum: f64 = result["things"]
        .as_array()
        .unwrap()
        .iter()
        .map(|thing| number(thing, "weight_in_water_kg"))
        .sum();
    assert_near(number(&result["hangs"], "weight_in_water_kg"), sum, 1e-9);
    let table = awash(["dive", DIVED]).stdout;
    assert!(table.contains("Keep a free way up") && table.contains("not a clearance"));
    assert!(!table.to_lowercase().contains("safe"));
}

#[test]
fn wishes_on_the_command_line_are_heard() {
    let result = awash([
        "dive",
        DIVED,
        "--rail",
        "0.2,0,0.05 to 2.6,0,0.05",
        "--buoyant",
        "1 kg",
        "--depth",
        "3 m",
        "--cylinder",
        "full",
        "--water",
        "Baltic, 8 g/kg, 10 C",
        "--depths",
        "0 m,6 m",
        "--format",
        "json",
    ])
    .json();
    assert_near(number(&result["balance"], "wanted_lift_kg"), 1.0, 1e-12);
    assert_near(
        number(&result["balance"]["hangs"], "weight_in_water_kg"),
        -1.0,
        1e-9,
    );
    let card = result["card"].as_array().unwrap();
    assert_eq!(card.len(), 4);
    // EOS-80, published for this water.
    assert_near(number(&card[0], "water_density_kg_m3"), 1005.9466, 1e-4);
    assert_eq!(card[3]["cylinders"], "reserve");
    assert_near(number(&card[3], "depth_m"), 6.0, 1e-12);
}

#[test]
fn the_drawing_shows_every_state_and_is_not_written_over() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("dive.svg");
    let file = file.to_str().unwrap();
    let result = awash(["dive", DIVED, "--svg", file, "--format", "json"]).json();
    let text = std::fs::read_to_string(file).unwrap();
    let states = result["way_down"].as_array().unwrap().len();
    // A bar each, and the paper behind.
    assert_eq!(text.matches("<rect").count(), states + 1, "{text}");
    assert!(text.contains("weakest") && text.contains("CB") && text.contains("of lead"));
    assert_eq!(awash(["dive", DIVED, "--svg", file]).code, 2);
}

#[test]
fn a_gap_too_small_fails_only_when_strict() {
    let arguments = ["dive", DIVED, "--gap", "500 mm"];
    assert_eq!(awash(arguments).code, 0);
    let strict = arguments.into_iter().chain(["--strict"]);
    assert_eq!(awash(strict).code, 1);
}

#[test]
fn a_craft_too_heavy_is_told_its_foam_and_what_is_not_known() {
    let result = awash(["dive", "tests/boats/after.toml", "--format", "json"]).json();
    assert_eq!(result["balance"]["material"], "foam");
    assert!(!result["bags"].as_array().unwrap().is_empty());
    assert!(result["cylinders"].is_null());
}

#[test]
fn wrong_wishes_are_refused() {
    for (option, value, said) in [
        ("--rail", "0,0,0", "write two points"),
        ("--rail", "0,0 to 1,0,0", "write two points"),
        ("--water", "Baltic, 8", "write name, salinity, temperature"),
        ("--water", "Mud, 80 g/kg, 10 C", "salinity of 80"),
        ("--depth", "900 m", "between 0 and 300 m"),
        ("--buoyant", "1", ""),
        ("--buoyant", "-1 kg", ""),
    ] {
        let joined = format!("{option}={value}");
        let answer = awash(["dive", DIVED, &joined]);
        if option == "--buoyant" && value == "1" {
            // A bare number is kilograms.
            assert_eq!(answer.code, 0, "{answer:?}");
            continue;
        }
        assert_eq!(answer.code, 2, "{joined} {answer:?}");
        assert!(answer.stderr.contains(said), "{joined} {answer:?}");
    }
}
