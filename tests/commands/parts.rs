//! Added parts: what each weighs, where, and how deep it makes the craft sit.
//!
//! The hull is a box 2 m long, 1 m broad and 0.5 m high of 200 kg in fresh
//! water of 1000 kg/m³: it floats at 0.1 m with a waterplane of 2 m².
use serde_json::Value;

use super::run::{Answer, Folder, assert_near, awash_in, number};
use super::stl::{binary, box_facets};

fn run(lines: &str, arguments: &[&str]) -> Answer {
    let folder = Folder::new();
    folder.write("hull.stl", binary(&box_facets()));
    let hull =
        "[hull]\nmesh = \"hull.stl\"\nunits = \"m\"\nmass = \"200 kg\"\ncentre = [1, 0, 0.1]\n";
    folder.write("box.toml", format!("{hull}{lines}"));
    awash_in(folder.path(), ["float", "box.toml"].iter().chain(arguments))
}

fn float(lines: &str) -> Value {
    run(lines, &["--format", "json"]).json()
}

fn part(keys: &str) -> Value {
    float(&format!("[[part]]\nname = \"p\"\n{keys}\n"))
}

#[track_caller]
fn assert_point(found: &Value, expected: [f64; 3]) {
    for (axis, expected) in expected.into_iter().enumerate() {
        assert_near(found[axis].as_f64().expect("a number"), expected, 1e-9);
    }
}

/// A slab 0.1 m thick under the whole bottom: 0.2 m³ of foam of 32 kg/m³. The
/// craft's 206.4 kg push aside 0.2064 m³, 0.2 m³ of it the slab: the water
/// stands at z = 0.0032 m where it stood at 0.1 m.
#[test]
fn foam_weighs_its_volume_and_lifts() {
    let result = part(
        "role = \"add\"\nbox = { min = [0, -0.5, -0.1], max = [2, 0.5, 0] }\nfoam = { density = \"32 kg/m3\" }",
    );
    let line = &result["parts"][0];
    assert_near(number(line, "mass_kg"), 6.4, 1e-9);
    assert_point(&line["at_m"], [1.0, 0.0, -0.05]);
    assert_near(number(line, "adds_m3"), 0.2, 1e-9);
    assert_near(number(line, "adds_under_water_m3"), 0.2, 1e-9);
    assert_near(number(line, "sinkage_m"), 0.0032 - 0.1, 1e-9);
    assert_near(number(&result, "waterline_height_m"), 0.0032, 1e-9);
    let mass = &result["masses"][1];
    assert_eq!(mass["name"], "p");
    assert_near(number(mass, "sinkage_m"), 0.0064 / 2.0, 1e-9);
    assert_eq!(result["mesh_doubts"], serde_json::json!([]));
}

/// Foam under a deck adds nothing to the dry hull but its weight, and is there
/// for when water comes in: no doubt about it.
#[test]
fn foam_inside_the_hull_only_weighs_until_it_fills() {
    let result = part(
        "role = \"add\"\nbox = { min = [0.5, -0.2, 0.1], max = [1.5, 0.2, 0.2] }\nfoam = { density = \"40 kg/m3\" }",
    );
    let line = &result["parts"][0];
    assert_near(number(line, "mass_kg"), 1.6, 1e-9);
    assert_near(number(line, "adds_m3"), 0.0, 1e-12);
    assert_near(number(line, "sinkage_m"), 0.0008, 1e-9);
    assert_eq!(result["mesh_doubts"], serde_json::json!([]));
}

/// 3 layers of 6 oz/yd² cloth wetted out 1:1: each 406.9 g/m² (1 oz/yd² is
/// 33.905748 g/m²) and 0.257 mm thick (E-glass 2540, epoxy 1150 kg/m³). The
/// box stands on the deck, so the face that it stands on is no skin and the
/// deck under it is buried: 4 sides and a top, 2·(0.4 + 0.2)·0.1 + 0.4·0.2 m².
#[test]
fn a_laminate_weighs_its_area_by_its_layers() {
    let result = part(
        "role = \"add\"\nbox = { min = [0.8, -0.1, 0.5], max = [1.2, 0.1, 0.6] }\nlaminate = { cloth = \"6 oz/yd2\", layers = 3, resin = 1 }",
    );
    let area = 2.0 * 0.6 * 0.1 + 0.08;
    let line = &result["parts"][0];
    // The handbook's figure is rounded to a tenth of a gram.
    assert_near(
        number(line, "mass_kg"),
        area * 3.0 * 0.4069,
        area * 3.0 * 5e-5,
    );
    let centre = (0.12 * 0.55 + 0.08 * 0.6) / area;
    assert_point(&line["at_m"], [1.0, 0.0, centre]);
    assert_near(number(line, "adds_m3"), 0.008, 1e-12);
    assert_near(number(line, "adds_under_water_m3"), 0.0, 1e-12);
    let sinkage = number(line, "mass_kg") / 1000.0 / 2.0;
    assert_near(number(line, "sinkage_m"), sinkage, 1e-12);
}

/// A plate of 0.4 × 0.4 m over a hatch: one area, not both faces of the mesh.
#[test]
fn a_cover_weighs_closes_its_opening_and_leaves_the_envelope_alone() {
    let hatch = "[[opening]]\nname = \"hatch\"\nrim = [[0.9, -0.1, 0.5], [1.1, -0.1, 0.5], [1.1, 0.1, 0.5], [0.9, 0.1, 0.5]]\n";
    let lid = "[[part]]\nname = \"lid\"\nrole = \"cover\"\ncovers = \"hatch\"\nbox = { min = [0.8, -0.2, 0.5], max = [1.2, 0.2, 0.500001] }\nlaminate = { cloth = \"200 g/m2\", layers = 4, resin = 1.5 }\n";
    let open = float(hatch);
    assert_eq!(open["openings"][0]["verdict"], "clear");
    let closed = float(&format!("{hatch}{lid}"));
    assert_eq!(closed["openings"][0]["verdict"], "covered");
    let line = &closed["parts"][0];
    // The sides of a micrometre are a millionth of it.
    assert_near(number(line, "mass_kg"), 0.16 * 4.0 * 0.2 * 2.5, 0.32 * 1e-5);
    assert_point(&line["at_m"], [1.0, 0.0, 0.5000005]);
    assert_near(number(line, "adds_m3"), 0.0, 0.0);
    assert_near(
        number(&closed, "capacity_kg"),
        number(&open, "capacity_kg"),
        1e-9,
    );
    let wrong = run(
        &format!("{hatch}{}", lid.replace("\"hatch\"", "\"hutch\"")),
        &[],
    );
    let message = wrong.refusal();
    for words in ["box.toml:", "\"lid\"", "\"hutch\"", "there is: hatch"] {
        assert!(message.contains(words), "no `{words}` in: {message}");
    }
}

/// Two floats of 0.1 × 0.2 × 0.3 m on arms clear of the sides, 0.2 m of each
/// under water at z = 0: they push aside 2·0.1·0.2·(0.2 + T) m³ while the box
/// pushes aside 2 T m³.
#[test]
fn an_appendage_may_stand_clear_of_the_hull() {
    let float_at = |name: &str, y: [&str; 2]| {
        format!(
            "[[part]]\nname = \"{name}\"\nrole = \"attach\"\nmass = \"2 kg\"\nbox = {{ min = [0.95, {}, -0.2], max = [1.05, {}, 0.1] }}\n",
            y[0], y[1]
        )
    };
    let both = float_at("port", ["0.8", "1.0"]) + &float_at("starboard", ["-1.0", "-0.8"]);
    let result = float(&both);
    assert_eq!(result["mesh_doubts"], serde_json::json!([]));
    let level = (0.204 - 2.0 * 0.02 * 0.2) / (2.0 + 2.0 * 0.02);
    assert_near(number(&result, "waterline_height_m"), level, 1e-9);
    for line in result["parts"].as_array().expect("a list") {
        assert_eq!(line["role"], "attach");
        let under = 0.02 * (0.2 + level);
        assert_near(number(line, "adds_under_water_m3"), under, 1e-9);
        assert_near(number(line, "sinkage_m"), (0.002 - under) / 2.04, 1e-9);
    }
    // The same as `add` is doubted: nothing holds it to the hull.
    let loose = float(&both.replace("attach", "add"));
    let text = loose["mesh_doubts"].to_string();
    assert!(text.contains("does not touch the hull"), "{text}");
}

/// A well of 0.2 × 0.2 m through the bottom takes away what it displaced.
#[test]
fn a_recess_sinks_the_craft_by_what_it_takes_away() {
    let result = part(
        "role = \"recess\"\nmass = \"1 kg\"\nbox = { min = [0.9, -0.1, -0.1], max = [1.1, 0.1, 0.4] }",
    );
    let level = 0.201 / (2.0 - 0.04);
    assert_near(number(&result, "waterline_height_m"), level, 1e-9);
    let line = &result["parts"][0];
    assert_near(number(line, "adds_m3"), -0.04 * 0.4, 1e-9);
    assert_near(number(line, "adds_under_water_m3"), -0.04 * level, 1e-9);
    assert_near(
        number(line, "sinkage_m"),
        (0.001 + 0.04 * level) / 1.96,
        1e-9,
    );
}

/// What 3 layers of 200 g/m² cloth with as much resin weigh, kg/m², and how
/// thick they are, m: 0.6 kg of glass of 2540 and of epoxy of 1150 kg/m³.
const LAID_UP_KG_M2: f64 = 1.2;
const LAID_UP_M: f64 = 0.6 / 2540.0 + 0.6 / 1150.0;
const LAID_UP: &str = "laminate = { cloth = \"200 g/m2\", layers = 3, resin = 1 }";

/// A wall 0.1 m high across the deck, its foot 20 mm down in it: 1 m long, it
/// weighs its whole height and adds what stands over the deck.
#[test]
fn a_wall_weighs_its_length_and_height_and_is_as_thick_as_its_layup() {
    let result = part(&format!(
        "role = \"add\"\nwall = {{ foot = [[0.5, -0.5, 0.48], [0.5, 0.5, 0.48]], height = \"10 cm\" }}\n{LAID_UP}"
    ));
    let line = &result["parts"][0];
    assert_near(number(line, "mass_kg"), 0.1 * LAID_UP_KG_M2, 1e-9);
    assert_point(&line["at_m"], [0.5, 0.0, 0.53]);
    assert_near(number(line, "adds_m3"), 0.08 * LAID_UP_M, 1e-9);
    assert_eq!(result["mesh_doubts"], serde_json::json!([]));
}

/// A coaming 0.2 m high round a hatch of 1 × 0.6 m in the deck at z = 0.5 m:
/// the water is kept out of all of it, and its top edge is the sill. Nothing
/// over its top is skin.
#[test]
fn a_wall_round_an_opening_raises_its_sill_and_keeps_the_water_out() {
    let foot = "[[0.5, -0.3, 0.5], [1.5, -0.3, 0.5], [1.5, 0.3, 0.5], [0.5, 0.3, 0.5]]";
    let coaming = format!(
        "[[part]]\nname = \"coaming\"\nrole = \"add\"\nwall = {{ foot = {foot}, height = \"20 cm\", closed = true }}\n{LAID_UP}\n"
    );
    let hatch = "[[opening]]\nname = \"hatch\"\nwall = \"coaming\"\n";
    let result = float(&format!("{coaming}{hatch}"));
    let line = &result["parts"][0];
    assert_near(number(line, "mass_kg"), 3.2 * 0.2 * LAID_UP_KG_M2, 1e-9);
    assert_point(&line["at_m"], [1.0, 0.0, 0.6]);
    assert_near(number(line, "adds_m3"), 0.6 * 0.2, 1e-9);
    let sill = &result["openings"][0];
    assert_near(sill["sill_m"][2].as_f64().expect("a height"), 0.7, 1e-9);
    assert_eq!(result["openings"].as_array().map(Vec::len), Some(1));
    assert_eq!(result["mesh_doubts"], serde_json::json!([]));
    // Not named, it is still a way in.
    let unnamed = float(&coaming);
    assert_eq!(unnamed["openings"][0]["name"], "inside of coaming");
    assert!(
        unnamed["mesh_doubts"]
            .to_string()
            .contains("wall = \\\"coaming\\\"")
    );
    let wrong = run(
        &format!("{coaming}{}", hatch.replace("coaming", "combing")),
        &[],
    );
    let message = wrong.refusal();
    assert!(
        message.contains("no closed wall \"combing\" (there is: coaming)"),
        "{message}"
    );
}

/// An open hull with its rim at 0.5 m, and a wall all along that rim: the hull
/// is 0.7 m deep, and what was its open edge is closed over.
#[test]
fn a_wall_on_an_open_hulls_rim_makes_it_deeper() {
    let folder = Folder::new();
    let open: Vec<_> = box_facets()
        .into_iter()
        .filter(|facet| facet.iter().any(|corner| corner[2] < 0.25))
        .collect();
    folder.write("hull.stl", binary(&open));
    let text = format!(
        "[hull]\nmesh = \"hull.stl\"\nunits = \"m\"\nmass = \"200 kg\"\ncentre = [1, 0, 0.1]\n[[opening]]\nname = \"cockpit\"\nwall = \"washboard\"\n[[part]]\nname = \"washboard\"\nrole = \"add\"\nwall = {{ foot = [[0, -0.5, 0.5], [2, -0.5, 0.5], [2, 0.5, 0.5], [0, 0.5, 0.5]], height = 0.2, closed = true }}\n{LAID_UP}\n"
    );
    folder.write("box.toml", text);
    let result = awash_in(folder.path(), ["float", "box.toml", "--format", "json"]).json();
    assert_near(number(&result, "capacity_kg"), 1400.0, 1e-6);
    let openings = result["openings"].as_array().expect("a list");
    assert_eq!(openings.len(), 1, "{openings:?}");
    let sill = openings[0]["sill_m"][2].as_f64().expect("a height");
    assert_near(sill, 0.7, 1e-9);
    assert_eq!(result["mesh_doubts"], serde_json::json!([]));
}

/// A wall round the cockpit, as its foredeck leaves it: the sill goes up
/// by the wall less what its weight sinks the craft.
#[test]
fn a_wall_round_the_demos_cockpit_raises_its_sill() {
    let after = std::fs::canonicalize("tests/boats/after.toml").expect("the boat is there");
    let folder = Folder::new();
    let walled = |name: &str| {
        format!(
            "extends = {after:?}\n[[part]]\nname = \"coaming\"\nrole = \"add\"\nwall = {{ round = \"{name}\", height = \"10 cm\" }}\nskin = {{ thickness = \"4 mm\", density = 1500 }}\n"
        )
    };
    folder.write("walled.toml", walled("cockpit"));
    let run = |arguments: &[&str]| awash_in(folder.path(), arguments);
    let result = run(&["float", "walled.toml", "--format", "json"]).json();
    let plain = run(&["float", after.to_str().expect("a path"), "--format", "json"]).json();
    assert_eq!(
        result["openings"].as_array().map(Vec::len),
        plain["openings"].as_array().map(Vec::len)
    );
    let sill = |result: &Value| number(&result["openings"][0], "freeboard_m");
    let wall = &result["parts"][2];
    assert_eq!(wall["name"], "coaming");
    let raised = sill(&result) - sill(&plain);
    let sinks = number(wall, "sinkage_m");
    // To first order, and with the trim that its centre brings: the sink is
    // about 2 mm, and the trim moves the lowest point of the rim by less.
    assert!(
        sinks > 0.001 && raised > 0.08 && raised < 0.1,
        "{sinks} {raised}"
    );
    let wrong = folder.write("wrong.toml", walled("side port"));
    let answer = run(&["float", wrong.to_str().expect("a path")]);
    let message = answer.refusal();
    assert!(
        message.contains("no edge \"side port\" that faces up"),
        "{message}"
    );
}

#[test]
fn walls_and_outlines_that_make_no_sense_are_refused() {
    let refused = |keys: &str, words: &str| {
        let answer = run(&format!("[[part]]\nname = \"p\"\n{keys}\n"), &[]);
        let message = answer.refusal();
        assert!(message.contains(words), "no `{words}` in: {message}");
        assert!(message.contains("box.toml:"), "{message}");
    };
    let foot = "foot = [[0.5, -0.5, 0.5], [0.5, 0.5, 0.5]], height = 0.1";
    let wall = format!("wall = {{ {foot} }}");
    refused(
        &format!("role = \"add\"\nmass = 1\n{wall}"),
        "`laminate` or `skin`",
    );
    refused(
        &format!("role = \"recess\"\n{wall}\n{LAID_UP}"),
        "a wall stands on the hull",
    );
    refused(
        &format!("role = \"add\"\nwall = {{ {foot}, closed = true }}\n{LAID_UP}"),
        "3 or more",
    );
    let bow_tie = "points = [[0, 0, 0], [1, 0.2, 0], [1, 0, 0], [0, 0.2, 0]]";
    refused(
        &format!(
            "role = \"add\"\nmass = 1\noutline = {{ {bow_tie}, along = \"z\", from = 0.5, to = 0.6 }}"
        ),
        "a line whose side after point 1 meets that after point 3, seen along z",
    );
}

#[test]
fn the_table_shows_each_part() {
    let answer = run(
        "[[part]]\nname = \"sponson\"\nrole = \"add\"\nbox = { min = [0, -0.5, -0.1], max = [2, 0.5, 0] }\nfoam = { density = \"32 kg/m3\" }\n",
        &[],
    );
    assert_eq!(answer.code, 0, "{answer:?}");
    let row = answer
        .stdout
        .lines()
        .find(|line| line.contains("sponson") && line.contains(" add "))
        .unwrap_or_else(|| panic!("{answer:?}"));
    for words in ["6.4 kg", "200.0 L", "-97 mm"] {
        assert!(row.contains(words), "no `{words}` in: {row}");
    }
}
