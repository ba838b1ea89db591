//! `awash tape`, `awash drill`, `awash list`.
use serde_json::Value;

use super::run::{Answer, Folder, assert_near, awash, number};

const BOATS: [&str; 5] = [
    "tests/boats/before.toml",
    "tests/boats/after.toml",
    "tests/boats/bulkheads.toml",
    "tests/boats/bulkheads.toml#rain",
    "tests/boats/dived.toml",
];
const AFTER: &str = "tests/boats/after.toml";

fn list(value: &Value) -> &Vec<Value> {
    value.as_array().expect("a list")
}

#[test]
fn every_boat_is_taped_and_the_tapes_add_up() {
    for boat in BOATS {
        let result = awash(["tape", boat, "--format", "json"]).json();
        assert_eq!(list(&result["stations"]).len(), 13, "{boat}");
        let mut marks = 0;
        for station in list(&result["stations"]) {
            for side in ["port", "starboard"] {
                let mark = &station[side];
                let (Some(below), Some(above)) =
                    (mark["below_rim_m"].as_f64(), mark["above_keel_m"].as_f64())
                else {
                    // A number is missing only where something is said of it.
                    assert!(!list(&mark["notes"]).is_empty(), "{boat}: {station}");
                    continue;
                };
                marks += 1;
                assert_near(below + above, number(mark, "half_girth_m"), 1e-9);
                assert!(number(mark, "straight_down_m") <= below + 1e-9);
            }
        }
        assert!(marks >= 18, "{boat}: {marks}");
    }
}

/// The well of the changed craft cuts its bottom from 2.70 to 3.12 m aft of the
/// stem: no keel there, but the rim still.
#[test]
fn the_well_is_told_and_leaves_only_the_tape_from_the_rim() {
    let arguments = ["tape", AFTER, "--stations", "2.9", "--format", "json"];
    let result = awash(arguments).json();
    let mark = &result["stations"][0]["port"];
    assert!(mark["above_keel_m"].is_null() && mark["half_girth_m"].is_null());
    assert!(number(mark, "below_rim_m") > 0.1);
    let note = list(&mark["notes"])[0].as_str().unwrap();
    assert!(note.contains("\"well\" cuts the bottom"), "{note}");
}

/// The mark lies on the water of `awash float`.
#[test]
fn marks_lie_on_the_water_that_float_finds() {
    let float = awash(["float", AFTER, "--format", "json"]).json();
    let tape = awash(["tape", AFTER, "--stations", "1.7", "--format", "json"]).json();
    let (heel, pitch) = (number(&float, "heel_deg"), number(&float, "pitch_deg"));
    assert_near(number(&tape, "heel_deg"), heel, 1e-9);
    let mark = &tape["stations"][0]["port"]["mark_m"];
    let at = |axis: usize| mark[axis].as_f64().unwrap();
    let (sp, cp) = pitch.to_radians().sin_cos();
    let (sh, ch) = heel.to_radians().sin_cos();
    let height = at(0) * sp + at(1) * cp * sh + at(2) * cp * ch;
    let level = number(&float, "waterline_height_m") * cp * ch;
    assert_near(height, level, 1e-9);
}

#[test]
fn stations_are_counted_from_the_stem_and_kept_on_the_hull() {
    for (places, count) in [
        ("0.5, 1.2 m, 1500 mm", 3),
        ("5 even", 5),
        ("every 500 mm", 6),
    ] {
        let result = awash(["tape", AFTER, "--stations", places, "--format", "json"]).json();
        assert_eq!(list(&result["stations"]).len(), count, "{places}");
        let first = &result["stations"][0];
        let stem = result["stem_m"][0].as_f64().unwrap();
        assert_near(
            stem - number(first, "from_stem_m"),
            number(first, "x_m"),
            1e-12,
        );
    }
    for places in ["0", "-0.5", "3.5 m", "500"] {
        let refused = awash(["tape", AFTER, "--stations", places]);
        let message = refused.refusal();
        assert!(
            message.contains("aft of the stem, between 0 and 3.4"),
            "{message}"
        );
    }
    let refused = awash(["tape", AFTER, "--stations", "every 1 mm"]);
    let message = refused.refusal();
    assert!(
        message.contains("over 500 stations: take a step of 7 mm"),
        "{message}"
    );
    assert_eq!(awash(["tape", AFTER, "--stations", "even"]).code, 2);
}

/// A row a side, as a spreadsheet wants it.
#[test]
fn tape_gives_rows_for_a_spreadsheet() {
    let answer = awash(["tape", AFTER, "--stations", "1, 2", "--format", "csv"]);
    let lines: Vec<&str> = answer.stdout.lines().collect();
    assert_eq!(lines.len(), 5, "{answer:?}");
    assert!(lines[0].starts_with("from_stem_m,x_m,side,below_rim_m,above_keel_m"));
    assert!(lines[1].starts_with("1,") && lines[1].contains(",port,"));
    assert!(lines[2].contains(",starboard,"));
}

/// A drawing that is not written over, has a title and a description, and is small.
fn is_drawn(command: &str, boats: &[&str], holds: &[&str]) {
    let folder = Folder::new();
    let svg = folder.path().join("drawing.svg");
    let mut arguments = vec![command];
    arguments.extend(boats);
    arguments.extend(["--svg", svg.to_str().expect("text")]);
    assert_eq!(awash(&arguments).code, 0, "{arguments:?}");
    let text = std::fs::read_to_string(&svg).expect("the drawing");
    assert!(text.len() < 200_000, "{} bytes", text.len());
    for word in ["<title", "<desc"].iter().chain(holds) {
        assert!(text.contains(word), "{word}");
    }
    assert!(!text.contains("NaN") && !text.contains("inf"));
    assert!(awash(&arguments).refusal().contains("already there"));
    arguments.push("--force");
    assert_eq!(awash(&arguments).code, 0);
}

#[test]
fn both_sides_are_drawn_with_their_marks() {
    for boat in BOATS {
        is_drawn(
            "tape",
            &[boat],
            &["Port side, bow to the left", "below rim"],
        );
    }
}

#[test]
fn the_map_is_drawn_with_patterns_words_and_names() {
    let holds = [
        "url(#drill-never)",
        "url(#drill-sealed)",
        ">never<",
        ">free<",
        "transom notch",
        "Transom from astern",
    ];
    is_drawn("drill", &[AFTER], &holds);
    is_drawn("drill", &[BOATS[2], BOATS[3]], &["rain"]);
    is_drawn("drill", &[BOATS[0]], &["cockpit"]);
    is_drawn("drill", &[BOATS[4]], &["side port"]);
}

/// Classes fill the skin, borders stand in order, and a second case can only take
/// away from what is free.
#[test]
fn classes_fill_the_skin_and_more_cases_free_less() {
    let areas = |answer: &Answer| -> [f64; 3] {
        let result = answer.json();
        ["never_m2", "only_if_sealed_m2", "free_m2"].map(|key| {
            let rows = list(&result["areas"]).iter();
            rows.map(|row| number(row, key)).sum()
        })
    };
    let one = areas(&awash(["drill", BOATS[2], "--format", "json"]));
    let two = areas(&awash(["drill", BOATS[2], BOATS[3], "--format", "json"]));
    assert_near(one.iter().sum(), two.iter().sum(), 1e-9);
    assert!(two[2] <= one[2] && two[0] >= one[0], "{one:?} {two:?}");
    let result = awash(["drill", BOATS[2], BOATS[3], "--format", "json"]).json();
    assert_eq!(list(&result["cases"]).len(), 2);
    let words = result["summary"].as_str().unwrap();
    assert!(words.starts_with("In the worst of") && words.contains(": no hole below 50 mm"));
    let (mut wet, mut freed) = (0, 0);
    for station in list(&result["stations"]) {
        for side in ["port", "starboard"] {
            let height = |key: &str| station[side][key]["over_base_m"].as_f64();
            let (Some(water), Some(never)) = (height("water"), height("never_below")) else {
                continue;
            };
            wet += 1;
            assert!(water < never, "{station}");
            if let Some(free) = height("free_over") {
                freed += 1;
                assert!(free >= never, "{station}");
            }
        }
    }
    assert!(wet >= 20 && freed >= 20, "{wet} {freed}");
}

/// The heights of the openings are those of `awash float`; a red limit over the
/// notch puts it among what may never be, and --strict tells.
#[test]
fn openings_are_classed_as_they_stand() {
    let float = awash(["float", AFTER, "--format", "json"]).json();
    let drill = awash(["drill", AFTER, "--format", "json"]).json();
    let [floated, drilled] = [&float, &drill].map(|result| list(&result["openings"]));
    assert_eq!((floated.len(), drilled.len()), (4, 4));
    for (a, b) in floated.iter().zip(drilled) {
        assert_eq!(a["name"], b["name"]);
        assert_near(number(a, "freeboard_m"), number(b, "height_m"), 1e-9);
    }
    assert_eq!(awash(["drill", AFTER, "--strict"]).code, 0);
    let folder = Folder::new();
    let boat = std::fs::canonicalize(AFTER).unwrap();
    let text = format!(
        "extends = {:?}\n[yardsticks]\nsill_red = \"12 cm\"\nsill_green = \"15 cm\"\n",
        boat.to_str().unwrap()
    );
    let file = folder.write("strict.toml", text);
    let file = file.to_str().unwrap();
    let result = awash(["drill", file, "--format", "json"]).json();
    let notch = list(&result["openings"])
        .iter()
        .find(|o| o["name"] == "transom notch");
    assert_eq!(notch.unwrap()["class"], "never");
    assert_eq!(awash(["drill", file, "--strict"]).code, 1);
}

/// An opening that one case covers or lacks is open where another case has it open,
/// whichever comes first.
#[test]
fn an_opening_is_covered_only_if_it_is_in_every_case() {
    let folder = Folder::new();
    let boat = std::fs::canonicalize(AFTER).unwrap();
    let lids: String = ["transom notch", "side port", "well lip", "cockpit"]
        .map(|name| format!("[[condition.opening]]\nname = \"{name}\"\nstate = \"covered\"\n"))
        .concat();
    let hole = "[[condition.opening]]\nname = \"cable hole\"\ncylinder = { from = [-0.05, 0.1, 0.25], to = [0.05, 0.1, 0.25], diameter = \"20 mm\" }\n";
    let text = format!(
        "extends = {:?}\n[yardsticks]\nsill_red = \"12 cm\"\nsill_green = \"15 cm\"\n[[condition]]\nname = \"lids on\"\n{lids}[[condition]]\nname = \"cable hole\"\n{hole}",
        boat.to_str().unwrap()
    );
    let plain = folder.write("b.toml", text);
    let plain = plain.to_str().unwrap();
    let [lids, hole] = ["lids on", "cable hole"].map(|case| format!("{plain}#{case}"));
    let openings = |boats: &[&str]| {
        let arguments = [&["drill", "--format", "json"], boats].concat();
        let result = awash(arguments).json();
        let words = result["summary"].as_str().unwrap().to_owned();
        let mut rows: Vec<(String, bool, String)> = list(&result["openings"])
            .iter()
            .map(|row| {
                let word = |key: &str| row[key].as_str().unwrap().to_owned();
                (
                    word("name"),
                    row["covered"].as_bool().unwrap(),
                    word("class"),
                )
            })
            .collect();
        rows.sort();
        (rows, words)
    };
    let strict = |boats: &[&str]| awash([&["drill", "--strict"], boats].concat()).code;
    let (alone, words) = openings(&[&lids]);
    assert_eq!(alone.len(), 4);
    assert!(alone.iter().all(|(_, covered, _)| *covered), "{alone:?}");
    assert!(words.ends_with("All openings are covered."), "{words}");
    assert_eq!(strict(&[&lids]), 0);
    for boats in [[lids.as_str(), plain], [plain, lids.as_str()]] {
        let (rows, _) = openings(&boats);
        let notch = ("transom notch".to_owned(), false, "never".to_owned());
        assert!(rows.len() == 4 && rows.contains(&notch), "{rows:?}");
        assert!(rows.iter().all(|(_, covered, _)| !covered), "{rows:?}");
        assert_eq!(strict(&boats), 1, "{boats:?}");
    }
    for boats in [
        [lids.as_str(), hole.as_str()],
        [hole.as_str(), lids.as_str()],
    ] {
        let (rows, words) = openings(&boats);
        let added = ("cable hole".to_owned(), false, "never".to_owned());
        assert!(rows.len() == 5 && rows.contains(&added), "{rows:?}");
        assert!(words.contains("cable hole (never)"), "{words}");
    }
}

#[test]
fn drill_wants_cases_of_one_hull() {
    let refused = awash(["drill", BOATS[0], BOATS[1]]);
    assert!(refused.refusal().contains("not the same hull"));
    assert_eq!(awash(["drill"]).code, 2);
    let unknown = awash(["drill", "tests/boats/bulkheads.toml#snow"]);
    assert!(unknown.refusal().contains("rain"));
}

/// The list's sum is the float's mass and centre, in workshop distances.
#[test]
fn weights_add_up_to_what_floats() {
    for boat in BOATS {
        let float = awash(["float", boat, "--format", "json"]).json();
        let weights = awash(["list", boat, "weights", "--format", "json"]).json();
        assert_eq!(
            list(&weights["lines"]).len(),
            list(&float["masses"]).len(),
            "{boat}"
        );
        let total = &weights["total"];
        assert_near(number(total, "mass_kg"), number(&float, "mass_kg"), 1e-9);
        let spread = number(&float, "mass_spread_kg");
        assert_near(number(total, "spread_kg"), spread, 1e-9);
        let centre = |axis: usize| float["centre_of_gravity_m"][axis].as_f64().unwrap();
        let stem = weights["stem_m"][0].as_f64().unwrap();
        assert_near(number(total, "from_stem_m"), stem - centre(0), 1e-6);
        assert_near(number(total, "to_port_m"), centre(1), 1e-6);
        let base = number(&weights, "base_z_m");
        assert_near(number(total, "over_base_m"), centre(2) - base, 1e-6);
    }
}

/// 22 kg of ballast ingots are lead aboard; what else is needed is `dive`'s.
#[test]
fn lead_is_what_is_aboard_and_what_dive_proposes() {
    let lead = awash(["list", AFTER, "lead", "--format", "json"]).json();
    let lines = list(&lead["lines"]);
    assert_eq!(lines.len(), 1);
    assert_eq!(lines[0]["name"], "bow weight");
    assert_near(number(&lines[0], "mass_kg"), 22.0, 1e-9);
    let dived = BOATS[4];
    let lead = awash(["list", dived, "lead", "--format", "json"]).json();
    assert!(list(&lead["lines"]).is_empty());
    let dive = awash(["dive", dived, "--format", "json"]).json();
    let proposed = list(&lead["proposed"]);
    assert_eq!(proposed.len(), 1 + list(&dive["card"]).len());
    let balance = &dive["balance"];
    assert_near(
        number(&proposed[0], "mass_kg"),
        number(balance, "mass_kg"),
        1e-9,
    );
    let mut leads = 0;
    for (one, card) in proposed[1..].iter().zip(list(&dive["card"])) {
        if number(card, "lead_kg") > 0.0 {
            leads += 1;
            assert_near(number(one, "mass_kg"), number(card, "lead_kg"), 1e-9);
            assert_eq!(one["material"], "lead");
        } else {
            assert_ne!(one["material"], "lead");
            assert_near(number(one, "volume_m3"), number(card, "foam_m3"), 1e-9);
        }
    }
    assert!(leads > 0, "{}", dive["card"]);
}

/// The dived craft's three blocks of foam and its pad; what else is needed is `foam`'s.
#[test]
fn foam_is_what_is_aboard_and_what_foam_proposes() {
    let dived = BOATS[4];
    let result = awash(["list", dived, "foam", "--format", "json"]).json();
    let names: Vec<&str> = list(&result["lines"])
        .iter()
        .map(|line| line["name"].as_str().unwrap())
        .collect();
    assert_eq!(names.len(), 4, "{names:?}");
    assert!(names.contains(&"foam forward") && names.contains(&"pad"));
    // 20 + 11 + 11 + 2.2 L.
    assert_near(number(&result["total"], "volume_m3"), 0.0442, 1e-9);
    let foam = awash(["foam", AFTER, "--format", "json"]).json();
    let result = awash(["list", AFTER, "foam", "--format", "json"]).json();
    let (proposed, places) = (list(&result["proposed"]), list(&foam["places"]));
    assert_eq!(proposed.len(), places.len());
    let mut filled = 0;
    for (one, place) in proposed.iter().zip(places) {
        filled += usize::from(number(place, "foam_m3") > 0.0);
        assert_near(number(one, "volume_m3"), number(place, "foam_m3"), 1e-9);
    }
    assert!(filled > 0, "{}", foam["places"]);
}

#[test]
fn lists_are_rows_and_wrong_kinds_are_told() {
    let answer = awash(["list", AFTER, "weights", "--format", "csv"]);
    let lines: Vec<&str> = answer.stdout.lines().collect();
    assert!(lines[0].starts_with("list,name,material,mass_kg,spread_kg,from_stem_m"));
    let fields = lines[0].split(',').count();
    assert!(lines[1].starts_with("aboard,"));
    assert!(lines.last().unwrap().starts_with("total,all of these,"));
    // Names here without commas have as many fields as the header.
    let plain = lines.iter().filter(|line| !line.contains('"'));
    assert!(plain.clone().count() > 5);
    for line in plain {
        assert_eq!(line.split(',').count(), fields, "{line}");
    }
    let wrong = awash(["list", AFTER, "gold"]);
    assert_eq!(wrong.code, 2);
    assert!(wrong.stderr.contains("weights, lead, foam"), "{wrong:?}");
    assert_eq!(awash(["list", AFTER]).code, 2);
}

/// A hull without a mass has no waterline: the message says what to give.
#[test]
fn a_hull_without_mass_is_refused() {
    let folder = Folder::new();
    folder.write("hull.stl", std::fs::read("tests/boats/hull.stl").unwrap());
    let file = folder.write("hull.toml", "[hull]\nmesh = \"hull.stl\"\nunits = \"mm\"\n");
    let file = file.to_str().unwrap();
    for arguments in [
        vec!["tape", file],
        vec!["drill", file],
        vec!["list", file, "weights"],
    ] {
        let refused = awash(&arguments);
        assert!(refused.refusal().contains("no mass"), "{arguments:?}");
    }
}

/// Too heavy to float: the mass and what it can carry are told.
#[test]
fn a_craft_that_sinks_has_no_marks() {
    let folder = Folder::new();
    let boat = std::fs::canonicalize(AFTER).unwrap();
    let text = format!(
        "extends = {:?}\n[[item]]\nname = \"anvils\"\nmass = \"3000 kg\"\nat = [1.5, 0, 0.1]\n",
        boat.to_str().unwrap()
    );
    let file = folder.write("heavy.toml", text);
    let file = file.to_str().unwrap();
    for command in ["tape", "drill"] {
        let refused = awash([command, file]);
        assert!(refused.refusal().contains("kg"), "{refused:?}");
    }
    assert_eq!(awash(["list", file, "weights"]).code, 0);
}
