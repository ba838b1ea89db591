//! Broken boats: each is refused at its line and column with what to do,
//! or its numbers come with the doubt that belongs to them.
use std::fmt::Write as _;

use serde_json::Value;

use super::box_boat::{
    BOX, doubted, float, float_in, folder_with_hull, holds, instead_of, refused, with,
};
use super::mesh_case::has_doubt;
use super::run::{assert_near, awash_in, number};
use super::stl::{binary, box_facets, mapped};

#[test]
fn the_box_itself_floats_level_without_a_doubt() {
    let result = float(BOX).json();
    assert_eq!(result["mesh_doubts"], serde_json::json!([]));
    // 200 kg / 1000 kg/m³ / (2 m × 1 m).
    assert_near(number(&result, "waterline_height_m"), 0.1, 1e-12);
}

#[test]
fn keys_and_values_that_are_wrong() {
    refused(
        with("colour = \"red\"\n"),
        "boat.toml:7:1",
        &["unknown key `colour` in [hull]", "help: known here: `mesh`"],
    );
    let spelling = float(instead_of("centre", "center"));
    holds(
        spelling.refusal(),
        "boat.toml:5:1",
        &["unknown key `center` in [hull]"],
    );
    assert!(spelling.stderr.contains(
        "boat.toml:5:1: unknown key `center` in [hull]\n  5 | center = [1, 0, 0.1]\n    | ^^^^^^\n  help: did you mean `centre`?"
    ));
    refused(
        instead_of("\"200 kg\"", "true"),
        "boat.toml:4:8",
        &[
            "`mass` in [hull] is true; it must be a mass",
            "for example mass = \"18 kg\"",
        ],
    );
    refused(
        with("fill_under = 0.2\n"),
        "boat.toml:7:14",
        &["\"0.2\" has no unit: write for example \"0.2 mm\""],
    );
    refused(
        instead_of("200 kg", "-200 kg"),
        "boat.toml:4:8",
        &[
            "`mass` in [hull] is -200.0 kg; it must be more than 0",
            "help: what lifts",
        ],
    );
    refused(
        instead_of("200 kg", "0 kg"),
        "boat.toml:4:8",
        &[
            "`mass` in [hull] is 0.0 kg; it must be more than 0",
            "help: leave it out",
        ],
    );
    for not_finite in ["nan", "inf", "-inf"] {
        refused(
            instead_of("\"200 kg\"", not_finite),
            "boat.toml:4:8",
            &["is not a finite number: a mass is wanted, for example \"18 kg\""],
        );
    }
    refused(
        instead_of("200 kg", "200 m"),
        "boat.toml:4:8",
        &["`mass` in [hull]"],
    );
    // The middle of its skin is taken, and told.
    let without = float(instead_of("centre = [1, 0, 0.1]", ""));
    assert_eq!(without.code, 0, "{without:?}");
    assert!(
        without.stdout.contains("[hull] has a mass and no `centre`"),
        "{without:?}"
    );
    refused(
        instead_of("[1, 0, 0.1]", "[1, 0]"),
        "boat.toml:5:10",
        &["is a list of 2; it must be three lengths"],
    );
    refused(
        instead_of("[1, 0, 0.1]", "[1, nan, 0]"),
        "boat.toml:5:14",
        &["is not a finite number: a length is wanted"],
    );
    refused(
        with("scale_to = { length = 0 }\n"),
        "boat.toml:7:23",
        &["`length` in `scale_to` in [hull] is 0 mm; it must be more than 0"],
    );
    refused(
        with("[water]\ndensity = 0\n"),
        "boat.toml:8:11",
        &["outside the 900 to 1300 kg/m³ taken for water"],
    );
    refused(
        with(
            "[[item]]\nname = \"a\"\nmass = 1\nat = [0, 0, 0]\n\n[[item]]\nname = \"a\"\nmass = 1\nat = [0, 0, 0]\n",
        ),
        "boat.toml:12:1",
        &["the name \"a\" is used twice in [[item]]; first at boat.toml:7:1"],
    );
    refused(
        with("[[compartment]]\nname = \"bow\"\n"),
        "boat.toml:7:1",
        &["[[compartment]] \"bow\" has no `forward_of` or `aft_of` or `mesh`"],
    );
}

#[test]
fn a_hull_without_a_mass_can_be_cut_but_not_floated() {
    let folder = folder_with_hull();
    let text = "[hull]\nmesh = \"hull.stl\"\nunits = \"m\"\n";
    holds(
        float_in(&folder, text).refusal(),
        "boat.toml",
        &["[hull] has no mass: weigh the bare hull and give `mass` and `centre`"],
    );
    let cut = [
        "slice",
        "boat.toml",
        "--waterline",
        "0.25",
        "--format",
        "json",
    ];
    let result = awash_in(folder.path(), cut).json();
    assert_near(number(&result, "displaced_volume_m3"), 0.5, 1e-12);
}

#[test]
fn openings_that_are_nowhere_or_far_off() {
    let opening = |mark: &str| with(&format!("[[opening]]\nname = \"port\"\n{mark}\n"));
    let misses = "opening \"port\": its mark does not cut the surface of the craft; move it so that it crosses the skin";
    for mark in [
        "box = { min = [5, 5, 5], max = [6, 6, 6] }",
        "box = { min = [-1, -1, -1], max = [5, 5, 5] }",
        "cylinder = { from = [0.5, 0, 0.2], to = [1, 0, 0.2], radius = 0.05 }",
    ] {
        refused(opening(mark), "boat.toml:7:1", &[misses]);
    }
    refused(
        opening("loop = 3"),
        "boat.toml:7:1",
        &[
            "`loop = 3`, but the hull has 0 open edge(s)",
            "its mesh is closed; mark the opening with `rim`, `box` or `cylinder`",
        ],
    );
    refused(
        opening("loop = 0"),
        "boat.toml:9:8",
        &["it must be a whole number from 1 up"],
    );
    refused(
        opening("box = { min = [1, 1, 1], max = [0, 0, 0] }"),
        "boat.toml:9:32",
        &["it must be more than `min` along x, 1.000 m"],
    );
    refused(
        opening("cylinder = { from = [1, 0, 0], to = [1, 0, 0], radius = 0.1 }"),
        "boat.toml:9:37",
        &["is the same point as `from`"],
    );
    refused(
        opening("rim = [[1000, 400, 275]]"),
        "boat.toml:7:1",
        &[
            "opening \"port\": its `rim` lies",
            "off the skin",
            "mm meant?",
        ],
    );
}

#[test]
fn parts_that_do_not_fit() {
    let part = |role: &str, shape: &str| {
        with(&format!(
            "[[part]]\nname = \"deck\"\nrole = \"{role}\"\nmass = 1\n{shape}\n"
        ))
    };
    let beside = "box = { min = [5, 5, 5], max = [6, 6, 6] }";
    let around = "box = { min = [-1, -1, -1], max = [5, 5, 5] }";
    let inside = "box = { min = [0.5, -0.1, 0.1], max = [1, 0.1, 0.2] }";
    doubted(
        &part("add", beside),
        "part",
        "part \"deck\" does not touch the hull: it floats beside it in these numbers",
    );
    doubted(
        &part("recess", beside),
        "part",
        "part \"deck\" changes nothing: it lies clear of the hull",
    );
    doubted(
        &part("add", inside),
        "part",
        "part \"deck\" changes nothing: it lies wholly inside the hull",
    );
    refused(
        part("recess", around),
        "boat.toml:7:1",
        &[
            "part \"deck\": nothing of the hull is left after this cut; check the part's place and units",
        ],
    );
    let folder = folder_with_hull();
    folder.write(
        "open.stl",
        binary(&mapped(&box_facets()[..10], |[x, y, z]| [x, y, z + 0.25])),
    );
    let open = part("add", "mesh = \"open.stl\"\nunits = \"m\"");
    let result = float_in(&folder, open).json();
    assert!(
        has_doubt(
            &result["mesh_doubts"],
            "capped",
            "part \"deck\": 1 opening was closed by a cap"
        ),
        "{result:#}"
    );
}

#[test]
fn places_and_sizes_that_can_hardly_be_meant() {
    doubted(
        &with("[[item]]\nname = \"lead\"\nmass = 1\nat = [1700, 0, 0]\n"),
        "place",
        "item \"lead\" (boat.toml:7:1): `at` is 1700.000 m along x, and the hull lies between 0 mm and 2.000 m: was mm meant?",
    );
    doubted(
        &instead_of("[1, 0, 0.1]", "[1000, 0, 100]"),
        "place",
        "[hull] (boat.toml:1:1): `centre` is 1000.000 m along x, and the hull lies between 0 mm and 2.000 m: was mm meant?",
    );
    let tiny = doubted(
        &instead_of("\"m\"", "\"mm\""),
        "unit",
        "the hull is 0.002 m long, which no small craft is: check the unit of its mesh",
    );
    assert_eq!(tiny["floats"], false);
    refused(
        with("[[item]]\nname = \"lead\"\nmass = 1\nat = [1e300, 0, 0]\n"),
        "boat.toml:10:7",
        &["it must be within 1000 km"],
    );
    // No attitude is found, but the reason is told.
    refused(
        with("[[item]]\nname = \"lead\"\nmass = 1\nat = [9e5, 0, 0]\n"),
        "boat.toml",
        &[
            "no resting attitude found",
            "\n  doubt: item \"lead\" (boat.toml:7:1): `at` is 900000.000 m along x",
        ],
    );
    refused(
        with("scale_to = { length = 1e200 }\n"),
        "boat.toml:7:23",
        &["it must be within 1000 km"],
    );
    let mut heavy = BOX.to_owned();
    for name in ["a", "b"] {
        write!(
            heavy,
            "[[item]]\nname = \"{name}\"\nmass = 1e308\nat = [1, 0, 0]\n"
        )
        .expect("memory");
    }
    refused(heavy, "boat.toml", &["the mass aboard is inf kg"]);
}

#[test]
fn an_overloaded_boat_sinks_and_says_so() {
    let folder = folder_with_hull();
    let port = "[[opening]]\nname = \"port\"\nrim = [[1, 0.5, 0.45]]\n";
    let text = format!("{}{port}", instead_of("200 kg", "2000 kg"));
    let result = float_in(&folder, text).json();
    assert_eq!(result["floats"], false);
    assert_eq!(
        result["summary"],
        "IT SINKS: 2000.0 kg to carry, but closed tight and wholly under water it holds up only 1000.0 kg."
    );
    for absent in [
        "heel_deg",
        "displaced_volume_m3",
        "gm_transverse_m",
        "stable",
    ] {
        assert_eq!(result.get(absent), None, "{absent}");
    }
    assert_eq!(result["openings"][0]["freeboard_m"], Value::Null);
    assert_eq!(result["openings"][0]["verdict"], "under_water");
    assert_eq!(
        awash_in(folder.path(), ["float", "boat.toml", "--strict"]).code,
        1
    );
}

#[test]
fn an_opening_under_water_at_rest_fills_the_boat() {
    let folder = folder_with_hull();
    let text = with("[[opening]]\nname = \"port\"\nrim = [[1, 0.5, 0.05]]\n");
    let result = float_in(&folder, text).json();
    // The water stands at 0.1 m.
    assert_near(number(&result["openings"][0], "freeboard_m"), -0.05, 1e-12);
    assert_eq!(result["openings"][0]["verdict"], "under_water");
    assert_eq!(
        result["summary"],
        "IT FILLS: at rest the water stands over the sill of port. The numbers below hold only if that is sealed."
    );
    let caution = "port: the sill is under water at rest; the craft fills through it.";
    assert_eq!(result["cautions"][0], caution);
    assert_eq!(
        awash_in(folder.path(), ["float", "boat.toml", "--strict"]).code,
        1
    );
}

/// Held at heel zero, this one goes over its bow before it lies over: it was
/// once called stable, upside down.
#[test]
fn a_top_heavy_boat_that_turns_over_is_not_stable() {
    // GM across is BM 0.833 + KB 0.05 − KG.
    for (height, stable) in [("0.8]", true), ("0.95]", false)] {
        let result = float(instead_of("0.1]", height)).json();
        assert_eq!(result["stable"], stable, "{height}");
    }
    let result = float(instead_of("[1, 0, 0.1]", "[1, 0, 5]")).json();
    assert_eq!(result["stable"], false);
    let upright = &result["upright"];
    // V = 0.2 m³, CB at 0.05 m: I/V = (2·1³/12)/V, (1·2³/12)/V; CG at 5 m.
    assert_near(
        number(upright, "gm_transverse_m"),
        1.0 / 6.0 / 0.2 - 4.95,
        1e-9,
    );
    assert_near(
        number(upright, "gm_longitudinal_m"),
        2.0 / 3.0 / 0.2 - 4.95,
        1e-9,
    );
    assert_near(number(&result, "heel_deg").abs(), 180.0, 1e-6);
    let summary = result["summary"].as_str().unwrap_or_default();
    assert!(
        summary.contains("IT CAPSIZES: set upright on the water it turns over"),
        "{summary}"
    );
}

#[test]
fn ten_thousand_items_are_added_up() {
    let mut text = BOX.to_owned();
    for n in 0..10_000 {
        write!(
            text,
            "[[item]]\nname = \"i{n}\"\nmass = \"10 g\"\nat = [1, 0, 0.1]\n"
        )
        .expect("memory");
    }
    let result = float(&text).json();
    // 10 000 sums of 0.01.
    assert_near(number(&result, "mass_kg"), 300.0, 1e-9);
    assert_near(number(&result, "waterline_height_m"), 0.15, 1e-9);
}
