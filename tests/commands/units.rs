//! `--units us` and `both` reach every sentence; a terminal's width reaches every line.
use std::path::Path;
use std::process::Command;

use super::banned::BANNED;
use super::run::{Folder, awash};

const DECKED: &str = "tests/boats/after.toml";
const BULKHEADS: &str = "tests/boats/bulkheads.toml";
const DIVED: &str = "tests/boats/dived.toml";
/// One of each study that says something in sentences.
const COMMANDS: [&[&str]; 17] = [
    &["float", DECKED],
    &["margins", DECKED],
    &["swamp", DECKED],
    &["swamp", BULKHEADS, "--from", "tilt"],
    &["flooded", BULKHEADS],
    &["foam", DECKED, "--freeboard", "3 cm"],
    &["dive", DIVED],
    &["trapped", DIVED, "--pitch", "-20"],
    &["place", DECKED, "battery"],
    &["sill", DECKED, "cockpit", "--up-to", "30 cm"],
    &["righting", DECKED],
    &["tape", DECKED],
    &["drill", DECKED],
    &["list", DECKED, "weights"],
    &["inspect", "tests/boats/hull.stl", "--mesh-units", "mm"],
    // Doubts: the unit, open edges, a plane clear of all.
    &["inspect", "tests/boats/hull.stl"],
    &["slice", "tests/boats/hull.stl", "--waterline", "9"],
];
/// Units that no US reader is to meet behind a number.
const METRIC: [&str; 12] = [
    "mm", "cm", "m", "kg", "g", "L", "mL", "J", "N", "m²", "m/s", "kg/m³",
];

/// Numbers with a metric unit behind them.
fn metric_in(text: &str) -> Vec<String> {
    let words: Vec<&str> = text.split_whitespace().collect();
    let trim = |word: &str| word.trim_matches([',', '.', ';', ':', '(', ')']).to_owned();
    let pairs = words.windows(2).map(|pair| (trim(pair[0]), trim(pair[1])));
    pairs
        .filter(|(number, unit)| {
            number.ends_with(|c: char| c.is_ascii_digit()) && METRIC.contains(&unit.as_str())
        })
        .map(|(number, unit)| format!("{number} {unit}"))
        .collect()
}

#[test]
fn nothing_in_a_us_table_is_metric() {
    let mut wrong = Vec::new();
    let mut seen_in_metric = 0;
    for command in COMMANDS {
        let say = |units: &str| awash(command.iter().chain(&["--units", units])).stdout;
        let us = metric_in(&say("us"));
        if !us.is_empty() {
            wrong.push(format!("{command:?}: {us:?}"));
        }
        let metric = say("metric");
        seen_in_metric += metric_in(&metric).len();
        let told = metric.split_whitespace().collect::<Vec<_>>().join(" ");
        for (phrase, better) in BANNED {
            assert!(
                !told.contains(phrase),
                "{command:?}: \"{phrase}\", better {better}"
            );
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(seen_in_metric > 40, "the reader is blind: {seen_in_metric}");
}

/// Commands that draw, all in `a.svg`.
const DRAWINGS: [(&[&str], &str); 10] = [
    (&["margins", DECKED], "--svg"),
    (&["margins", DECKED], "--load-svg"),
    (&["place", DECKED, "battery"], "--svg"),
    (&["sill", DECKED, "well lip"], "--svg"),
    (&["drill", DECKED], "--svg"),
    (&["tape", DECKED], "--svg"),
    (&["section", DECKED], "--svg"),
    (&["curves", DECKED], "--svg"),
    (&["swamp", DECKED], "--svg"),
    (&["dive", DIVED], "--svg"),
];

#[test]
fn nothing_in_a_us_drawing_is_metric() {
    let folder = Folder::new();
    let file = folder.path().join("a.svg").display().to_string();
    // Words of an axis or a row of bare numbers.
    let names = ["mm", "m", "kg", "m²", "N m", "kg·m"].map(|unit| format!(", {unit}"));
    let metric_words = |units: &str, (command, option): (&[&str], &str)| {
        let more = [option, &file, "--force", "--units", units];
        awash(command.iter().chain(&more));
        let svg = std::fs::read_to_string(&file).expect("it was written");
        let texts = svg.lines().filter_map(|line| line.split_once("<text"));
        let texts = texts.filter_map(|(_, text)| Some(text.split_once('>')?.1.split_once('<')?.0));
        let texts: Vec<&str> = texts.collect();
        let axes = texts.iter().filter(|text| {
            let small = text.to_lowercase();
            names.iter().any(|name| text.ends_with(name)) || small.contains("millimet")
        });
        let axes: Vec<String> = axes.map(|text| (*text).to_owned()).collect();
        [metric_in(&texts.join(" ; ")), axes].concat()
    };
    let mut seen_in_metric = 0;
    for drawing in DRAWINGS {
        let us = metric_words("us", drawing);
        assert!(us.is_empty(), "{drawing:?}: {us:?}");
        seen_in_metric += metric_words("metric", drawing).len();
    }
    assert!(seen_in_metric > 20, "the reader is blind: {seen_in_metric}");
}

/// NIST SP 811, appendix B: an inch is 25.4 mm. The headline's height in both units.
#[test]
fn both_units_stand_in_the_headline() {
    let table = awash(["float", DECKED, "--units", "both"]).stdout;
    let headline = table.lines().next().expect("a headline");
    let before = headline.split(" above the water").next().expect("a height");
    let (metric, us) = before.rsplit_once(" mm (").expect("both units");
    let mm: f64 = metric
        .rsplit(' ')
        .next()
        .expect("mm")
        .parse()
        .expect("a number");
    let inches = us.strip_suffix(" in)").expect("inches");
    let inches: f64 = inches.parse().expect("a number");
    // To half a millimetre and half a tenth of an inch, as they are rounded.
    assert!(
        (mm - inches * 25.4).abs() <= 0.5 + 0.05 * 25.4,
        "{headline}"
    );
}

/// Into a pipe lines are whole; COLUMNS folds them, and every line that can be is within.
#[test]
fn a_width_that_is_asked_for_is_kept() {
    let folded = |columns: Option<&str>| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_awash"));
        command.current_dir(Path::new(env!("CARGO_MANIFEST_DIR")));
        command.args(["flooded", BULKHEADS]).env_remove("COLUMNS");
        if let Some(columns) = columns {
            command.env("COLUMNS", columns);
        }
        let output = command.output().expect("the built command starts");
        String::from_utf8(output.stdout).expect("text")
    };
    let widest = |text: &str| text.lines().map(|line| line.chars().count()).max();
    let whole = folded(None);
    assert!(widest(&whole) > Some(150), "{whole}");
    let words = |text: &str| text.split_whitespace().count();
    for columns in [60, 80, 100] {
        let text = folded(Some(&columns.to_string()));
        assert!(widest(&text) <= Some(columns), "{columns}:\n{text}");
        // Told row by row a value comes behind its column's header, so nothing is lost.
        assert!(words(&text) >= words(&whole) / 2, "{columns}:\n{text}");
    }
}

/// Each caution has its code, in the same order.
#[test]
fn every_caution_has_its_code() {
    let coded = |result: &serde_json::Value, what: &str| {
        let list = |key: &str| {
            result[key]
                .as_array()
                .unwrap_or_else(|| panic!("{what}: {key}"))
        };
        let (said, codes) = (list("cautions"), list("caution_codes"));
        assert_eq!(said.len(), codes.len(), "{what}");
        assert!(said.iter().all(serde_json::Value::is_string), "{what}");
        let codes: Vec<&str> = codes
            .iter()
            .filter_map(|one| one["code"].as_str())
            .collect();
        assert_eq!(codes.len(), said.len(), "{what}");
        let calm = codes.iter().position(|code| *code == "calm_water_only");
        let text = said[calm.expect("among every study's")].as_str();
        assert!(text.is_some_and(|text| text.starts_with("Calm, still water only")));
    };
    let of_a_craft = |command: &&&[&str]| !["inspect", "slice"].contains(&command[0]);
    for command in COMMANDS.iter().filter(of_a_craft) {
        let result = awash(command.iter().chain(&["--format", "json"])).json();
        coded(&result, command[0]);
    }
}
