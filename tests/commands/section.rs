//! `awash section`.
use super::run::{Folder, assert_near, awash, number};

const AFTER: &str = "tests/boats/after.toml";

#[test]
fn planes_come_as_lists_counts_and_steps() {
    for (places, count) in [
        ("0.5, 1.2 m, 1500 mm", 3),
        ("11 even", 11),
        ("every 500 mm", 7),
    ] {
        let result = awash(["section", AFTER, "--stations", places, "--format", "json"]).json();
        assert_eq!(
            result["stations"].as_array().unwrap().len(),
            count,
            "{places}"
        );
        assert_eq!(result["waterlines"].as_array().unwrap().len(), 0);
    }
    for places in ["0 even", "even", "every 0", "12 furlongs", "9999 even"] {
        assert_eq!(
            awash(["section", AFTER, "--stations", places]).code,
            2,
            "{places}"
        );
    }
}

#[test]
fn half_breadths_stand_where_both_are_asked_for() {
    let arguments = [
        "section",
        AFTER,
        "--stations",
        "1.36",
        "--waterlines",
        "0.1,0.2",
        "--format",
        "json",
    ];
    let result = awash(arguments).json();
    let list = result["half_breadths"].as_array().unwrap();
    assert_eq!(list.len(), 2);
    // Starboard mirrors port in the open hull.
    for at in list {
        assert_near(number(at, "port_m"), number(at, "starboard_m"), 1e-6);
    }
}

#[test]
fn the_lines_are_drawn_and_described() {
    let folder = Folder::new();
    let svg = folder.path().join("lines.svg");
    let name = svg.to_str().unwrap();
    assert_eq!(awash(["section", AFTER, "--svg", name]).code, 0);
    let text = std::fs::read_to_string(&svg).unwrap();
    assert!(
        text.contains("lines drawing in three views") && text.contains("curve of section areas")
    );
    // What is there is not written over.
    assert_eq!(awash(["section", AFTER, "--svg", name]).code, 2);
}

#[test]
fn a_panel_needs_a_skin_and_sizes_that_make_sense() {
    let panel = [
        "section",
        AFTER,
        "--stations",
        "0.9",
        "--panel",
        "--format",
        "json",
    ];
    let result = awash(panel).json();
    let panel_of = &result["stations"][0]["panel"];
    assert!(number(panel_of, "square_edged_area_m2") < number(&result["stations"][0], "area_m2"));
    let thick = ["section", AFTER, "--panel", "--thickness", "12"];
    assert!(awash(thick).refusal().contains("12 mm"));
    let folder = Folder::new();
    let hull = std::fs::read("tests/boats/hull.stl").unwrap();
    folder.write("hull.stl", hull);
    let file = folder.write("hull.toml", "[hull]\nmesh = \"hull.stl\"\nunits = \"mm\"\n");
    let file = file.to_str().unwrap();
    assert!(
        awash(["section", file, "--panel"])
            .refusal()
            .contains("--skin")
    );
    assert_eq!(
        awash(["section", file, "--panel", "--skin", "4 mm"]).code,
        0
    );
}
