//! `awash curves` and `awash spread`, on a box with known answers.
use std::fs;

use awash::mesh::{solids, write_stl};
use awash::numerics::Vec3;
use serde_json::Value;
use tempfile::TempDir;

use super::run::{awash, awash_in};

/// A box 4 × 1 × 0.5 m, 1000 kg in fresh water of 1000 kg/m³, KG 0.2 m, with
/// `extra` in its file.
fn box_folder(extra: &str) -> TempDir {
    let folder = tempfile::tempdir().expect("the folder and its files are made");
    let solid = solids::cuboid(Vec3::new(-2.0, -0.5, 0.0), Vec3::new(2.0, 0.5, 0.5));
    write_stl(
        std::fs::File::create(folder.path().join("box.stl")).expect("a file"),
        &solid,
    )
    .expect("the folder and its files are made");
    let text = format!(
        "[hull]\nmesh = \"box.stl\"\nunits = \"m\"\nmass = \"1000 kg\"\ncentre = [0, 0, 0.2]\n{extra}"
    );
    fs::write(folder.path().join("box.toml"), text).expect("the folder and its files are made");
    folder
}

fn number(value: &Value, key: &str) -> f64 {
    value[key]
        .as_f64()
        .unwrap_or_else(|| panic!("{key}: {value}"))
}

fn assert_near(got: f64, want: f64, tolerance: f64) {
    assert!(
        (got - want).abs() <= tolerance,
        "{got} is not {want} ± {tolerance}"
    );
}

/// T 0.25: KB 0.125, BM_T 1/3, BM_L 16/3; Aw 4 m² sinks 1 cm under 40 kg; the
/// couple for 1° is ρ I_L sin 1° = 1000 · 64/12 · sin 1° kg·m; block and
/// waterplane coefficients of a box are 1.
#[test]
fn curves_of_a_box_are_its_closed_forms() {
    let folder = box_folder("");
    let result = awash_in(
        folder.path(),
        ["curves", "box.toml", "--steps", "4", "--format", "json"],
    )
    .json();
    let line = &result["lines"][1];
    for (key, want) in [
        ("draught_m", 0.25),
        ("displacement_kg", 1000.0),
        ("waterplane_area_m2", 4.0),
        ("km_transverse_m", 0.125 + 1.0 / 3.0),
        ("km_longitudinal_m", 0.125 + 16.0 / 3.0),
        ("mass_to_sink_1_cm_kg", 40.0),
        (
            "moment_to_pitch_1_deg_kg_m",
            1000.0 * 64.0 / 12.0 * 1.0_f64.to_radians().sin(),
        ),
        ("waterline_length_m", 4.0),
        ("waterline_breadth_m", 1.0),
        ("block_coefficient", 1.0),
        ("waterplane_coefficient", 1.0),
        ("wetted_area_m2", 4.0 + 10.0 * 0.25),
    ] {
        assert_near(number(line, key), want, 1e-9);
    }
}

/// One unknown: a hull of 1000 ± 40 kg, two standard deviations. The sill at
/// z = 0.35 stands 0.35 − m/(ρ A) above the water, so 5 and 95 % of the draws lie
/// 1.645 · 20/4000 = 8.22 mm under and over the middle (normal quantile 1.645:
/// any statistics table). With 20 000 draws a 5 % quantile is known to
/// √(0.05 · 0.95/20000)/0.103 = 0.015 standard deviations, 0.075 mm; four times
/// that is allowed.
#[test]
fn spread_of_one_mass_is_its_normal_band() {
    let folder = box_folder("[[opening]]\nname = \"hatch\"\nrim = [[0, 0, 0.35]]\n");
    let file = folder.path().join("box.toml");
    let text = fs::read_to_string(&file).unwrap();
    fs::write(&file, text.replace("1000 kg\"", "1000 kg ± 40 kg\"")).unwrap();
    let arguments = ["spread", "box.toml", "--draws", "20000", "--format", "json"];
    let first = awash_in(folder.path(), arguments);
    let result = first.json();
    let band = &result["openings"][0]["freeboard_m"];
    let half_m = 1.645 * 20.0 / 4000.0;
    for (place, want) in [(0, 0.1 - half_m), (1, 0.1), (2, 0.1 + half_m)] {
        assert_near(band[place].as_f64().unwrap(), want, 0.3e-3);
    }
    assert_eq!(result["causes"][0]["name"], "mass of hull");
    assert_near(number(&result["causes"][0], "share"), 1.0, 1e-9);
    assert_eq!(number(&result["openings"][0], "chance_of_failing"), 0.0);
    // The same seed gives the same bytes, another seed others.
    assert_eq!(awash_in(folder.path(), arguments).stdout, first.stdout);
    let other = [
        "spread", "box.toml", "--draws", "20000", "--format", "json", "--seed", "2",
    ];
    assert_ne!(awash_in(folder.path(), other).stdout, first.stdout);
}

#[test]
fn without_a_spread_it_says_how_to_write_one() {
    let folder = box_folder("[[opening]]\nname = \"hatch\"\nrim = [[0, 0, 0.35]]\n");
    let result = awash_in(folder.path(), ["spread", "box.toml", "--format", "json"]).json();
    assert!(result["summary"].as_str().unwrap().contains("40 kg ± 2 kg"));
    assert_eq!(result["causes"].as_array().unwrap().len(), 0);
}

#[test]
fn senseless_counts_and_pitches_are_refused() {
    for arguments in [
        ["curves", "tests/boats/after.toml", "--steps", "0"],
        ["curves", "tests/boats/after.toml", "--pitch", "60"],
        ["spread", "tests/boats/after.toml", "--draws", "3"],
    ] {
        assert_eq!(awash(arguments).code, 2, "{arguments:?}");
    }
}
