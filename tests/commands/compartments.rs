//! Compartments, passages, tanks and cases in the boat file, and `awash flooded`.
use super::run::{Answer, Folder, assert_near, awash, awash_in, number};
use super::stl::{binary, box_facets};

const BULKHEADS: &str = "tests/boats/bulkheads.toml";

/// A box of 2 × 1 × 0.5 m and 200 kg; six lines.
const BOX: &str = "[hull]
mesh = \"hull.stl\"
units = \"m\"
mass = \"200 kg\"
centre = [1, 0, 0.1]

";

fn run(command: &str, more: &str) -> Answer {
    let folder = Folder::new();
    folder.write("hull.stl", binary(&box_facets()));
    folder.write("boat.toml", format!("{BOX}{more}"));
    awash_in(folder.path(), [command, "boat.toml", "--format", "json"])
}

#[track_caller]
fn refused(more: &str, words: &[&str]) {
    let answer = run("float", more);
    let message = answer.refusal();
    for words in words {
        assert!(message.contains(words), "no `{words}` in: {message}");
    }
}

#[test]
fn the_demo_floats_with_one_space_flooded_and_stands_on_end_with_two() {
    let answer = awash(["flooded", BULKHEADS, "--format", "json"]);
    let result = answer.json();
    let cases = result["cases"].as_array().expect("cases");
    let names: Vec<&str> = cases.iter().filter_map(|c| c["name"].as_str()).collect();
    assert_eq!(names, ["after space", "inside", "after space, inside"]);
    assert!(cases.iter().all(|case| case["floats"] == true));
    assert_eq!(cases[0]["spreads_to"][0], "inside");
    assert_eq!(cases[2]["upright"], false);
    // The after space spreads to the inside, and so it ends on end: that is told, and
    // fails.
    let end = &cases[0]["end"];
    assert_eq!(
        (&end["floats"], &end["upright"]),
        (&true.into(), &false.into())
    );
    assert_eq!(end["steps"][0]["reaches"][0]["through"], "limber hole");
    assert_eq!(result["verdict"], "fail");
    let summary = result["summary"].as_str().expect("text");
    assert!(
        summary.contains("ON ITS SIDE OR END with after space"),
        "{summary}"
    );
    assert_eq!(awash(["flooded", BULKHEADS, "--strict"]).code, 1);
    // A larger share for the water leaves the sill lower.
    let band = |end: usize| cases[0]["sill_band_m"][end].as_f64().expect("a height");
    assert!(band(0) > number(&cases[0], "sill_m") && number(&cases[0], "sill_m") > band(1));
    let one = awash(["flooded", "tests/boats/after.toml", "--strict"]);
    assert_eq!(one.code, 1, "the whole inside as one space sinks it");
    assert!(one.stdout.contains("IT SINKS with inside flooded"));
}

/// A verdict hangs on a yardstick that the boat file can change: in JSON, table and
/// exit code.
#[test]
fn what_is_not_asked_is_not_judged() {
    let rim = "[[opening]]\nname = \"well\"\nrim = [[0, -0.5, 0.5], [2, -0.5, 0.5], [2, 0.5, 0.5], [0, 0.5, 0.5]]\n";
    for (command, key) in [
        ("flooded", "floats_with_one_flooded"),
        ("foam", "floats_swamped"),
        ("swamp", "floats_swamped"),
    ] {
        let judged = |more: &str| {
            let folder = Folder::new();
            folder.write("hull.stl", binary(&box_facets()));
            folder.write("boat.toml", format!("{BOX}{rim}{more}"));
            let options = ["--inside", "900 L", "--from", "condition"];
            let options = if command == "swamp" {
                &options[..]
            } else {
                &[]
            };
            let run = |format: &str| {
                let mut line = vec![command, "boat.toml", "--format", format, "--strict"];
                line.extend(options);
                awash_in(folder.path(), line)
            };
            (run("json"), run("table"))
        };
        let (json, table) = judged("");
        assert_eq!(
            (json.code, table.code),
            (1, 1),
            "{command}: {}",
            json.stdout
        );
        assert!(
            json.stdout.contains("\"verdict\": \"fail\""),
            "{}",
            json.stdout
        );
        assert!(table.stdout.contains("no source"), "{}", table.stdout);
        let (json, table) = judged(&format!("[yardsticks]\n{key} = false\n"));
        assert_eq!(
            (json.code, table.code),
            (0, 0),
            "{command}: {}",
            json.stdout
        );
        assert!(json.stdout.contains("\"verdict\": null"), "{}", json.stdout);
    }
}

#[test]
fn a_condition_is_laid_over_the_file_and_named() {
    let plain = awash(["float", BULKHEADS, "--format", "json"]).json();
    let case = format!("{BULKHEADS}#rain");
    let rain = awash(["float", &case, "--format", "json"]).json();
    assert_eq!(rain["name"], "decked craft, with bulkheads, rain");
    // 10 L of rain and 4 kg of mussels.
    assert_near(
        number(&rain, "mass_kg") - number(&plain, "mass_kg"),
        14.0,
        1e-9,
    );
    assert!(number(&rain, "free_surface_transverse_m") > 0.0);
    assert_eq!(number(&plain, "free_surface_transverse_m"), 0.0);
    let unknown = awash(["float", &format!("{BULKHEADS}#snow")]);
    let message = unknown.refusal();
    assert!(message.contains("\"rain\""), "{message}");
}

#[test]
fn a_condition_that_is_wrong_is_told_even_when_it_is_not_asked_for() {
    refused(
        "[[condition]]\nname = \"empty\"\n[[condition.item]]\nname = \"x\"\nmas = 3\n",
        &["boat.toml:11", "mas"],
    );
    refused(
        "[[condition]]\n[condition.water]\nkind = \"sea\"\n",
        &["`name`"],
    );
    refused(
        "[[condition]]\nname = \"empty\"\nextends = \"a.toml\"\n",
        &["extends"],
    );
    // The key of 0.1 is refused and names the one of 0.2.
    refused(
        "[[case]]\nname = \"empty\"\n",
        &["boat.toml:7", "`case`", "[[condition]]"],
    );
}

#[test]
fn sealed_spaces_are_not_flooded_by_anything() {
    let sealed = "[[compartment]]\nname = \"bow\"\nforward_of = 1.5\nsealed = true\n";
    refused(&format!("{sealed}flooded = true\n"), &["sealed", "flooded"]);
    let hole = "[[opening]]\nname = \"hole\"\nfloods = \"bow\"\nrim = [[2, 0, 0.3], [2, 0.1, 0.3], [2, 0, 0.4]]\n";
    refused(&format!("{sealed}{hole}"), &["hole", "sealed"]);
    let passage = "[[passage]]\nname = \"limber\"\nbetween = [\"bow\", \"inside\"]\nat = [1.5, 0, 0.1]\ndiameter = \"20 mm\"\n";
    refused(&format!("{sealed}{passage}"), &["limber", "sealed"]);
    let result = run("flooded", sealed).json();
    let cases = result["cases"].as_array().expect("cases");
    assert_eq!(cases.len(), 1, "only what is left inside: {result:#}");
}

#[test]
fn compartments_that_can_not_be_are_refused_at_their_place() {
    let space = |name: &str, rest: &str| format!("[[compartment]]\nname = \"{name}\"\n{rest}\n");
    refused(
        &(space("a", "forward_of = 1") + &space("b", "forward_of = 1.5")),
        &["boat.toml:10", "\"b\"", "250.0 L"],
    );
    refused(
        &space("a", "forward_of = 2.5"),
        &["boat.toml:7", "nothing of the hull's inside"],
    );
    refused(
        &space("a", "forward_of = 1.2\naft_of = 1.1"),
        &["more than `forward_of`"],
    );
    refused(&space("a", "sealed = true"), &["forward_of"]);
    refused(&space("inside", "aft_of = 1"), &["inside"]);
    refused(
        &space("a", "aft_of = 1\nfill = \"600 L\""),
        &["600.0 L", "500.0 L"],
    );
    refused(
        &space("a", "aft_of = 1\npermeability = 1.2"),
        &["at most 1"],
    );
    refused(
        "[[opening]]\nname = \"o\"\nrim = [[1, 0, 0.5]]\nfloods = \"cellar\"\n",
        &["cellar", "\"inside\""],
    );
    refused(
        "[[item]]\nname = \"tank\"\nmass = 1\nat = [1, 0, 0.1]\nliquid = { volume = \"5 L\" }\n",
        &["size"],
    );
    refused(
        "[[item]]\nname = \"tank\"\nmass = 1\nat = [1, 0, 0.1]\nsize = [0.1, 0.1, 0.1]\nliquid = { volume = \"5 L\" }\n",
        &["5.0 L", "1.0 L"],
    );
}

#[test]
fn things_that_do_not_fit_into_their_space_are_doubted() {
    let item = "[[item]]\nname = \"crate\"\nmass = 1\nat = [1, 0, 0.1]\nvolume = \"2000 L\"\n";
    let result = run("float", item).json();
    let doubts = result["mesh_doubts"].to_string();
    assert!(doubts.contains("2000.0 L"), "{doubts}");
}

#[test]
fn the_time_line_goes_to_a_spreadsheet() {
    let folder = Folder::new();
    let csv = folder.path().join("line.csv");
    let answer = awash([
        "swamp",
        BULKHEADS,
        "--from",
        "tilt",
        "--csv",
        csv.to_str().expect("a path"),
        "--format",
        "json",
    ]);
    let lines = answer.json()["time_line"].as_array().expect("lines").len();
    let text = std::fs::read_to_string(csv).expect("written");
    assert_eq!(text.lines().count(), lines + 1);
    let columns: Vec<usize> = text.lines().map(|line| line.split(',').count()).collect();
    assert!(columns.iter().all(|count| *count == 11), "{columns:?}");
}
