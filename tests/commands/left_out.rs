//! What a study leaves out it says, and judges by what is left: water that does not fit,
//! sealed spaces, sills under water, a craft that turns over on its way down.
use super::box_boat::{folder_with_hull, with};
use super::run::{Answer, assert_near, awash_in, number};

const RIM: &str =
    "rim = [[0.9, 0.5, 0.35], [1.1, 0.5, 0.35], [1.1, 0.5, 0.45], [0.9, 0.5, 0.45]]\n";
const ENDS: &str = "[[compartment]]\nname = \"bow\"\nforward_of = 1.25\n[[compartment]]\nname = \"stern\"\naft_of = 0.75\n";

fn run(boat: &str, arguments: &[&str]) -> Answer {
    let folder = folder_with_hull();
    folder.write("boat.toml", with(boat));
    let mut line = vec![arguments[0], "boat.toml"];
    line.extend(&arguments[1..]);
    awash_in(folder.path(), line)
}

fn said(result: &serde_json::Value) -> &str {
    result["summary"].as_str().expect("a summary")
}

/// The 1 m³ box with 0.25 m³ in the middle, joined to both ends by holes at the bottom,
/// and a hole in the middle's side, 0.35 m up.
fn joined_rooms() -> String {
    let hole = |name: &str, x: f64| {
        format!(
            "[[passage]]\nname = \"{name} hole\"\nbetween = [\"{name}\", \"inside\"]\nat = [{x}, 0, 0.05]\ndiameter = \"40 mm\"\n"
        )
    };
    format!(
        "[[opening]]\nname = \"port\"\nfloods = \"inside\"\n{RIM}{ENDS}{}{}",
        hole("bow", 1.25),
        hole("stern", 0.75)
    )
}

#[test]
fn water_that_does_not_fit_is_refused_and_not_left_out() {
    let ask = |boat: &str, litres: &str| {
        run(
            boat,
            &[
                "swamp",
                "--from",
                "condition",
                "--inside",
                litres,
                "--format",
                "json",
            ],
        )
    };
    let boat = joined_rooms();
    let answer = ask(&boat, "600 L");
    let message = answer.refusal();
    for words in [
        "--inside", "600.0 L", "inside", "250.0 L", "`fill`", "bow", "stern",
    ] {
        assert!(message.contains(words), "no {words} in {message}");
    }
    // What stands there already takes its room.
    let filled = format!(
        "[[opening]]\nname = \"port\"\nfloods = \"fore\"\n{RIM}[[compartment]]\nname = \"fore\"\nforward_of = 0.5\nfill = \"700 L\"\n"
    );
    let answer = ask(&filled, "60 L");
    let message = answer.refusal();
    for words in ["60.0 L", "750.0 L", "50.0 L more"] {
        assert!(message.contains(words), "no {words} in {message}");
    }
    // What bulkheads leave has no table of its own to write a `fill` in.
    assert!(!message.contains("(inside)"), "{message}");
    // A boat of one room has nowhere else to put it.
    let one = format!("[[opening]]\nname = \"port\"\n{RIM}");
    assert!(ask(&one, "1200 L").refusal().contains("1000.0 L"));
    assert_eq!(ask(&one, "900 L").code, 0);
}

/// Water runs on from the middle, so the litres that bring the sill down are those of all
/// joined rooms: the box of 2 m² comes from 0.1 m to 0.35 m with 500 L (closed form).
#[test]
fn too_many_litres_are_those_of_all_joined_rooms() {
    let arguments = ["swamp", "--from", "condition", "--format", "json"];
    let result = run(&joined_rooms(), &arguments).json();
    assert_near(number(&result, "no_return_m3"), 0.5, 2e-3);
    // With the holes stopped the middle alone, full, does not do it; that is what is said.
    let stopped = format!("[[opening]]\nname = \"port\"\nfloods = \"inside\"\n{RIM}{ENDS}");
    let result = run(&stopped, &arguments).json();
    assert!(result["no_return_m3"].is_null(), "{result:#}");
    let table = run(&stopped, &arguments[..3]).stdout;
    assert!(table.contains("none with inside full"), "{table}");
}

/// Litres asked for and litres of the boat file are the same litres (internal
/// consistency with `float`).
#[test]
fn inside_and_fill_add_up_as_in_float() {
    let boat = |litres: u32| {
        format!(
            "[[opening]]\nname = \"port\"\nfloods = \"fore\"\n{RIM}[[compartment]]\nname = \"fore\"\nforward_of = 0.5\nfill = \"{litres} L\"\n"
        )
    };
    let swamp = |litres, inside| {
        run(
            &boat(litres),
            &[
                "swamp",
                "--from",
                "condition",
                "--inside",
                inside,
                "--format",
                "json",
            ],
        )
        .json()
    };
    let float = run(&boat(100), &["float", "--format", "json"]).json();
    let both = swamp(60, "40 L");
    let first = &both["time_line"][0];
    for key in ["heel_deg", "pitch_deg"] {
        assert_near(number(first, key), number(&float, key), 1e-6);
    }
    assert_near(
        number(first, "sill_m"),
        number(&float["openings"][0], "freeboard_m"),
        1e-6,
    );
    let empty = number(&swamp(0, "0 L"), "no_return_m3");
    assert_near(number(&both, "no_return_m3"), empty - 0.06, 1e-5);
    // Of the litres that are too many it is said that they come on top.
    assert!(
        said(&both).contains(" L on top of the 60 L already inside"),
        "{}",
        said(&both)
    );
}

#[test]
fn a_sealed_space_that_leaks_is_told_and_not_judged() {
    let sealed = "[[compartment]]\nname = \"bow\"\nforward_of = 0.9\nsealed = true\n";
    let boat = format!(
        "[[opening]]\nname = \"well\"\nrim = [[0.1, -0.4, 0.5], [0.8, -0.4, 0.5], [0.8, 0.4, 0.5], [0.1, 0.4, 0.5]]\n{sealed}"
    );
    let result = run(&boat, &["flooded", "--format", "json"]).json();
    let leaks = result["if_it_leaks"].as_array().expect("leaks");
    assert_eq!(leaks.len(), 1);
    assert_eq!(leaks[0]["name"], "bow");
    // It goes down by the bow until the well is under: 200 kg at 1 m, 450 L left aft.
    assert_eq!(leaks[0]["end"]["floats"], false, "{:#}", leaks[0]);
    assert!(
        said(&result).contains("sealed and taken as tight: bow"),
        "{}",
        said(&result)
    );
    assert!(
        said(&result).contains("IT SINKS if bow leaks"),
        "{}",
        said(&result)
    );
    let judged: Vec<_> = result["cases"].as_array().expect("cases").iter().collect();
    assert!(judged.iter().all(|case| case["name"] != "bow"));
    let table = run(&boat, &["flooded"]).stdout;
    assert!(table.contains("If a sealed space leaks"), "{table}");
    // Nothing sealed, nothing said.
    let open = run(
        &boat.replace("sealed = true\n", ""),
        &["flooded", "--format", "json"],
    )
    .json();
    assert!(!said(&open).contains("leak"), "{}", said(&open));
    assert_eq!(open["if_it_leaks"].as_array().expect("none").len(), 0);
}

/// The box floats flooded on its two sealed ends of 1.4 m² in all, its draught then
/// 0.2/1.4 = 143 mm, and its only hole, 0.12 m up, lies under.
#[test]
fn a_craft_whose_every_sill_is_under_is_not_clear() {
    let boat = "[[opening]]\nname = \"port\"\nfloods = \"inside\"\nrim = [[0.9, 0.5, 0.12], [1.0, 0.5, 0.12], [1.0, 0.5, 0.2], [0.9, 0.5, 0.2]]\n[[compartment]]\nname = \"bow\"\nforward_of = 1.3\nsealed = true\n[[compartment]]\nname = \"stern\"\naft_of = 0.7\nsealed = true\n";
    let answer = run(boat, &["flooded", "--format", "json", "--strict"]);
    let result: serde_json::Value = serde_json::from_str(&answer.stdout).expect("json");
    let end = &result["cases"][0]["end"];
    assert_eq!(
        (&end["floats"], &end["upright"]),
        (&true.into(), &true.into())
    );
    assert_eq!(result["verdict"], "fail", "{}", said(&result));
    assert_eq!(answer.code, 1);
    assert!(
        said(&result).contains("port UNDER WATER with inside flooded"),
        "{}",
        said(&result)
    );
    assert_eq!(end["sills_under"][0], "port");
    let table = run(boat, &["flooded"]).stdout;
    assert!(table.contains("none; UNDER WATER: port"), "{table}");
}

/// 200 kg of iron 0.3 m up: the box turns over as its inside fills, and hangs well under
/// high foam once it is dived.
#[test]
fn a_dived_row_with_a_tick_hides_no_capsize() {
    let boat = "[[item]]\nname = \"foam\"\nmass = \"3 kg\"\nvolume = \"150 L\"\nat = [1, 0, 0.44]\nsize = [1.5, 1, 0.1]\n[[item]]\nname = \"bottle\"\nmass = \"14.5 kg\"\nvolume = \"14 L\"\nat = [1, 0, 0.1]\nsize = [0.6, 0.18, 0.18]\ncylinder = { water_volume = \"12 L\", pressure = \"200 bar\", reserve = \"50 bar\" }\n[[item]]\nname = \"iron\"\nmass = \"100 kg\"\nvolume = \"13 L\"\nat = [1, 0, 0.3]\n";
    let dive = run(boat, &["dive", "--format", "json"]).json();
    assert!(said(&dive).contains("turns over"), "{}", said(&dive));
    let folder = folder_with_hull();
    folder.write("boat.toml", with(boat));
    let line = ["report", "boat.toml", "-o", "page.html", "--format", "json"];
    let result = awash_in(folder.path(), line).json();
    let row = result["verdicts"]
        .as_array()
        .expect("rows")
        .iter()
        .find(|row| {
            row["about"]
                .as_str()
                .is_some_and(|about| about.contains("dived"))
        });
    let row = row.expect("a dived row");
    assert_eq!(row["about"], "CB over CG, dived");
    assert!(row["verdict"].is_null(), "{row:#}");
    let page = std::fs::read_to_string(folder.path().join("page.html")).expect("a page");
    let mut rows = page
        .lines()
        .filter(|line| line.contains("CB over CG, dived: "));
    let row = rows.next().expect("the row");
    assert!(!row.contains('✓'), "{row}");
    assert!(row.contains("IT TURNS OVER on the way down"), "{row}");
}
