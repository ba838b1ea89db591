//! `awash slice`: quantities of a box and the open hull, signs, units.
use serde_json::Value;

use super::mesh_case::has_doubt;
use super::run::{Folder, assert_near, awash, number};
use super::stl::{binary, box_facets};

/// The open hull of the repository.
const HULL: &str = "tests/boats/hull.stl";
const AFTER: &str = "tests/boats/after.toml";

fn slice_json(file: &str, arguments: &[&str]) -> Value {
    let all = ["slice", file, "--format", "json"];
    awash(all.iter().chain(arguments)).json()
}

fn box_json(arguments: &[&str]) -> Value {
    let folder = Folder::new();
    let path = folder.write("box.stl", binary(&box_facets()));
    let all = ["--mesh-units", "m"];
    let all: Vec<&str> = all.iter().chain(arguments).copied().collect();
    slice_json(path.to_str().expect("a plain path"), &all)
}

fn coordinates(result: &Value, key: &str) -> [f64; 3] {
    [0, 1, 2].map(|axis| {
        let value = &result[key][axis];
        value
            .as_f64()
            .unwrap_or_else(|| panic!("`{key}` is {value}"))
    })
}

#[test]
fn the_keys_are_these_and_no_others() {
    let result = slice_json(HULL, &["--mesh-units", "mm", "--waterline", "0.12"]);
    let mut keys: Vec<&str> = result
        .as_object()
        .expect("an object")
        .keys()
        .map(String::as_str)
        .collect();
    let mut expected = [
        "name",
        "water_density_kg_m3",
        "water",
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
        "triangles",
        "caution_codes",
        "cautions",
        "mesh_doubts",
    ];
    expected.sort_unstable();
    keys.sort_unstable();
    assert_eq!(keys, expected);
}

/// A box L 2, B 1, draught T 0.25 m: V = LBT, KB = T/2, Aw = LB,
/// I across = LB³/12, along = L³B/12, radius = I/V,
/// wetted = LB + 2T(L + B). Displacement in sea water at 1025 kg/m³.
#[test]
fn a_box_has_its_closed_form_values() {
    let result = box_json(&["--waterline", "25 cm", "--water", "sea"]);
    let near = |key: &str, expected: f64| assert_near(number(&result, key), expected, 1e-12);
    near("displaced_volume_m3", 0.5);
    assert_near(number(&result, "displacement_kg"), 512.5, 1e-9);
    near("waterplane_area_m2", 2.0);
    near("second_moment_transverse_m4", 1.0 / 6.0);
    near("second_moment_longitudinal_m4", 2.0 / 3.0);
    near("metacentric_radius_transverse_m", 1.0 / 3.0);
    near("metacentric_radius_longitudinal_m", 4.0 / 3.0);
    near("wetted_area_m2", 3.5);
    near("heel_deg", 0.0);
    near("pitch_deg", 0.0);
    near("waterline_height_m", 0.25);
    near("triangles", 12.0);
    for (key, expected) in [
        ("centre_of_buoyancy_m", [1.0, 0.0, 0.125]),
        ("centre_of_flotation_m", [1.0, 0.0, 0.25]),
    ] {
        for (got, expected) in coordinates(&result, key).into_iter().zip(expected) {
            assert_near(got, expected, 1e-12);
        }
    }
    assert_eq!(result["mesh_doubts"], serde_json::json!([]));
}

/// Starboard (−y) down at positive heel, bow (+x) up at positive pitch: the
/// wedge that goes under pulls the centre of buoyancy to its side.
#[test]
fn positive_heel_is_starboard_down_and_positive_pitch_bow_up() {
    let heeled = box_json(&["--waterline", "0.25", "--heel", "5"]);
    assert!(coordinates(&heeled, "centre_of_buoyancy_m")[1] < 0.0);
    assert_near(number(&heeled, "heel_deg"), 5.0, 1e-12);
    let to_port = box_json(&["--waterline", "0.25", "--heel", "-5"]);
    assert!(coordinates(&to_port, "centre_of_buoyancy_m")[1] > 0.0);
    // Pitched about the z axis at the stern: the volume under the plane is
    // ∫ (0.25 − x tan 2°) dx over 2 m, less than level.
    let bow_up = box_json(&["--waterline", "0.25", "--pitch", "2 deg"]);
    assert_near(number(&bow_up, "pitch_deg"), 2.0, 1e-12);
    let expected = 0.5 - 2.0 * 2.0_f64.to_radians().tan();
    assert_near(number(&bow_up, "displaced_volume_m3"), expected, 1e-12);
    assert!(coordinates(&bow_up, "centre_of_buoyancy_m")[0] < 1.0);
}

#[test]
fn the_height_may_carry_a_unit_or_a_sign() {
    for height in ["0.12", "120 mm", "12 cm", "12cm", "0.12 m"] {
        let result = slice_json(HULL, &["--mesh-units", "mm", "--waterline", height]);
        assert_near(number(&result, "waterline_height_m"), 0.12, 1e-15);
    }
    // 4 3/4 in = 0.12065 m (an inch is 25.4 mm).
    let result = slice_json(HULL, &["--mesh-units", "mm", "--waterline", "4 3/4 in"]);
    assert_near(number(&result, "waterline_height_m"), 0.12065, 1e-15);
    for below in [&["--waterline", "-0.1"][..], &["--waterline=-100 mm"]] {
        let result = box_json(below);
        assert_near(number(&result, "waterline_height_m"), -0.1, 1e-15);
        assert_near(number(&result, "displaced_volume_m3"), 0.0, 0.0);
        assert_eq!(result["centre_of_buoyancy_m"], Value::Null);
        assert_eq!(result["metacentric_radius_transverse_m"], Value::Null);
    }
}

#[test]
fn a_plane_clear_of_the_body_is_doubted() {
    let clear = |height: &str, words: &str| {
        let doubts = &box_json(&["--waterline", height])["mesh_doubts"];
        assert!(has_doubt(doubts, "place", words), "{doubts:#}");
    };
    clear(
        "250",
        "the water plane passes over the whole body, 249.500 m clear of it: bare heights are metres",
    );
    clear(
        "-1",
        "the water plane passes under the whole body, 1.000 m clear of it",
    );
}

#[test]
fn a_boat_file_is_cut_with_its_parts_and_water() {
    let level = slice_json(AFTER, &["--waterline", "0.18"]);
    let heeled = slice_json(
        AFTER,
        &["--waterline", "0.18", "--heel", "5", "--pitch", "-1"],
    );
    assert_eq!(level["name"], "decked craft");
    assert_near(number(&heeled, "heel_deg"), 5.0, 1e-12);
    assert_near(number(&heeled, "pitch_deg"), -1.0, 1e-12);
    // The well, 0.42 × 0.2 m less its corners of 50 mm radius, holds no hull:
    // its area is missing from the waterplane, give or take its facets.
    let bare = slice_json("tests/boats/before.toml", &["--waterline", "0.18"]);
    let missing = number(&bare, "waterplane_area_m2") - number(&level, "waterplane_area_m2");
    let well = 0.42 * 0.2 - (4.0 - std::f64::consts::PI) * 0.05 * 0.05;
    assert_near(missing, well, 1e-4);
    for given in [["--mesh-units", "mm"], ["--water", "sea"]] {
        let answer = awash(["slice", AFTER, "--waterline", "0.18"].iter().chain(&given));
        let message =
            "a boat file names its own units and water: leave out --mesh-units and --water";
        assert!(answer.refusal().starts_with(message), "{answer:?}");
    }
}

#[test]
fn an_attitude_in_which_the_height_means_nothing_is_refused() {
    for turn in ["--heel=95", "--heel=-90", "--pitch=90"] {
        let answer = awash(["slice", HULL, "--mesh-units=mm", "--waterline=0.1", turn]);
        let words = "no height on the boat's z axis tells where the water is; keep both under 89°";
        assert!(answer.refusal().contains(words), "{answer:?}");
    }
}
