//! `awash float`: keys, signs, yardsticks, on the decked craft and a plain box.
use serde_json::Value;

use super::run::{Answer, Folder, assert_near, awash, awash_in, number};
use super::stl::{binary, box_facets};

const BEFORE: &str = "tests/boats/before.toml";
const AFTER: &str = "tests/boats/after.toml";

/// A box of 2 × 1 × 0.5 m and 200 kg, floating at 0.1 m, with more lines.
fn float_box(lines: &str, arguments: &[&str]) -> Answer {
    let folder = Folder::new();
    folder.write("hull.stl", binary(&box_facets()));
    let hull =
        "[hull]\nmesh = \"hull.stl\"\nunits = \"m\"\nmass = \"200 kg\"\ncentre = [1, 0, 0.1]\n";
    folder.write("box.toml", format!("{hull}{lines}"));
    awash_in(folder.path(), ["float", "box.toml"].iter().chain(arguments))
}

fn keys(value: &Value) -> Vec<&str> {
    let object = value.as_object().expect("an object");
    let mut keys: Vec<&str> = object.keys().map(String::as_str).collect();
    keys.sort_unstable();
    keys
}

#[test]
fn the_keys_are_these_and_no_others() {
    let result = awash(["float", AFTER, "--format", "json"]).json();
    let mut expected = [
        "origin",
        "name",
        "water_density_kg_m3",
        "water",
        "mass_kg",
        "mass_spread_kg",
        "centre_of_gravity_m",
        "centre_spread_m",
        "masses",
        "parts",
        "floats",
        "capacity_kg",
        "heel_deg",
        "pitch_deg",
        "waterline_height_m",
        "displaced_volume_m3",
        "displacement_kg",
        "centre_of_buoyancy_m",
        "waterplane_area_m2",
        "centre_of_flotation_m",
        "second_moment_transverse_m4",
        "second_moment_longitudinal_m4",
        "wetted_area_m2",
        "wetted_centroid_m",
        "metacentric_radius_transverse_m",
        "metacentric_radius_longitudinal_m",
        "heel_error_deg",
        "pitch_error_deg",
        "draught_forward_m",
        "draught_aft_m",
        "draught_m",
        "gm_transverse_m",
        "gm_longitudinal_m",
        "free_surface_transverse_m",
        "free_surface_longitudinal_m",
        "reserve_of_buoyancy_m3",
        "reserve_of_buoyancy_percent",
        "lies",
        "stable",
        "upright",
        "outside",
        "kernel_calls",
        "openings",
        "heads",
        "yardsticks",
        "summary",
        "cautions",
        "caution_codes",
        "triangles",
        "mesh_doubts",
    ];
    expected.sort_unstable();
    assert_eq!(keys(&result), expected);
    let opening = &result["openings"][0];
    assert_eq!(
        keys(opening),
        [
            "freeboard_error_m",
            "freeboard_m",
            "name",
            "place",
            "sill_m",
            "state",
            "verdict"
        ]
    );
    let names: Vec<&Value> = result["openings"]
        .as_array()
        .expect("a list")
        .iter()
        .map(|opening| &opening["name"])
        .collect();
    assert_eq!(names, ["cockpit", "transom notch", "side port", "well lip"]);
}

/// At rest, displacement is the mass and the centres stand over each other.
#[test]
fn the_demo_craft_is_in_balance() {
    for boat in [BEFORE, AFTER] {
        let result = awash(["float", boat, "--format", "json"]).json();
        let mass = number(&result, "mass_kg");
        assert_near(number(&result, "displacement_kg"), mass, 1e-9 * mass);
        let up = {
            let heel = number(&result, "heel_deg").to_radians();
            let pitch = number(&result, "pitch_deg").to_radians();
            let (across, height) = (heel.sin() * pitch.cos(), heel.cos() * pitch.cos());
            [pitch.sin(), across, height]
        };
        let gap = [0, 1, 2].map(|axis| {
            let of = |key: &str| result[key][axis].as_f64().expect("a number");
            of("centre_of_gravity_m") - of("centre_of_buoyancy_m")
        });
        // What of the gap is not along `up`: the lever, under 1 nm.
        let along: f64 = gap.iter().zip(up).map(|(g, u)| g * u).sum();
        for (g, u) in gap.iter().zip(up) {
            assert_near(*g, along * u, 1e-9);
        }
        assert_eq!(result["stable"], true);
        // Still water, the first float, whose rules count.
        assert_eq!(result["cautions"].as_array().map(Vec::len), Some(3));
    }
}

/// Box L 2, B 1, T 0.1 m, KG 0.1: GM = I/V + T/2 − KG, with I/V = B²/(12T)
/// across and L²/(12T) along; reserve = 2 × 1 × 0.4 m³.
#[test]
fn a_box_has_its_closed_form_values() {
    let result = float_box("", &["--format", "json"]).json();
    let near = |key: &str, expected: f64| assert_near(number(&result, key), expected, 1e-9);
    near("gm_transverse_m", 1.0 / 1.2 + 0.05 - 0.1);
    near("gm_longitudinal_m", 4.0 / 1.2 + 0.05 - 0.1);
    near("draught_forward_m", 0.1);
    near("draught_aft_m", 0.1);
    near("draught_m", 0.1);
    near("reserve_of_buoyancy_m3", 0.8);
    near("reserve_of_buoyancy_percent", 80.0);
    near("capacity_kg", 1000.0);
}

/// The lever that the search for rest leaves, 1e-10 of a quarter of the length
/// of 2 m, rounded up.
const SOLVER_LEVER_M: f64 = 1e-10;

/// 10 kg to starboard at y = −0.2 m. Wall-sided, with CG and CB over each
/// other: (GM + ½ BM t²) t = G, t = tan(heel), G the off-centre of CG; GM from
/// the new mass 210 kg, T 0.105 m, all at KG 0.1 m.
#[test]
fn a_weight_to_starboard_heels_positive_by_the_wall_sided_angle() {
    let item = |y: &str| {
        let text = format!("[[item]]\nname = \"lead\"\nmass = \"10 kg\"\nat = [1, {y}, 0.1]\n");
        float_box(&text, &["--format", "json"]).json()
    };
    let starboard = item("-0.2");
    let heel = number(&starboard, "heel_deg");
    let slope = heel.to_radians().tan();
    let radius = 1.0 / (12.0 * 0.105);
    let height = radius + 0.105 / 2.0 - 0.1;
    let off_centre = 10.0 * 0.2 / 210.0;
    assert!(heel > 0.5, "{heel}");
    assert_near(
        (height + 0.5 * radius * slope * slope) * slope,
        off_centre,
        SOLVER_LEVER_M,
    );
    assert_near(number(&item("0.2"), "heel_deg"), -heel, 1e-9);
}

#[test]
fn a_weight_forward_puts_the_bow_down() {
    let text = "[[item]]\nname = \"lead\"\nmass = \"10 kg\"\nat = [1.5, 0, 0.1]\n";
    let result = float_box(text, &["--format", "json"]).json();
    assert!(number(&result, "pitch_deg") < -0.1);
    assert!(number(&result, "draught_forward_m") > number(&result, "draught_aft_m"));
}

/// Sills at 45, 80, 130 mm above the water at 100 mm, against 50 and 100 mm.
#[test]
fn verdicts_follow_the_yardsticks_and_strict_tells_a_failure() {
    let opening = |height: &str, rest: &str| {
        format!("[[opening]]\nname = \"port\"\nrim = [[1, 0.5, \"{height} mm\"]]\n{rest}\n")
    };
    let own = "[yardsticks]\nsill_red = \"20 mm\"\nsill_green = \"30 mm\"";
    for (lines, verdict, code) in [
        (opening("145", ""), "fail", 1),
        (opening("145", own), "clear", 0),
        (opening("145", "state = \"covered\""), "covered", 0),
        (opening("90", "state = \"covered\""), "covered", 0),
        (opening("90", "state = \"drain\""), "under_water", 1),
        (opening("90", "state = \"vent\""), "under_water", 1),
        (opening("180", ""), "marginal", 0),
        (opening("230", ""), "clear", 0),
    ] {
        let answer = float_box(&lines, &["--format", "json"]);
        assert_eq!(answer.json()["openings"][0]["verdict"], verdict, "{lines}");
        let strict = float_box(&lines, &["--format", "json", "--strict"]);
        assert_eq!(strict.code, code, "{lines}");
        assert_eq!(
            strict.stdout, answer.stdout,
            "--strict changes the code only"
        );
        assert_eq!(strict.stderr, "");
    }
    assert_eq!(
        float_box("", &["--strict"]).code,
        0,
        "no opening, none fails"
    );
}

#[test]
fn the_demo_craft_passes_as_loaded_and_fails_without_its_ballast() {
    assert_eq!(awash(["float", AFTER, "--strict"]).code, 0);
    let folder = Folder::new();
    let after = std::fs::canonicalize(AFTER).expect("the boat is there");
    let mut text = format!("extends = {after:?}\nname = \"no ballast\"\n");
    text.push_str("[[item]]\nname = \"bow weight\"\nremove = true\n");
    text.push_str("[yardsticks]\nsill_red = \"75 mm\"\n");
    folder.write("light.toml", text);
    let answer = awash_in(folder.path(), ["float", "light.toml", "--strict"]);
    assert_eq!(answer.code, 1, "{answer:?}");
    assert!(answer.stdout.contains("transom notch"), "{answer:?}");
}

#[test]
fn no_output_calls_anything_safe() {
    for boat in [BEFORE, AFTER] {
        for format in ["table", "json", "csv"] {
            let answer = awash(["float", boat, "--format", format]);
            assert_eq!(answer.code, 0);
            assert!(!answer.stdout.to_lowercase().contains("safe"), "{answer:?}");
        }
    }
}
