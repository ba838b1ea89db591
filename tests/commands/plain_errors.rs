//! What is said of common slips, and of a craft that fills as it lies.
use super::box_boat::{
    AFLOAT, BOX, doubted, float, float_in, folder_with_hull, holds, instead_of, refused, with,
};
use super::run::awash_in;
use super::stl::{binary, box_facets};

const WELL: &str =
    "[[opening]]\nname = \"well\"\nrim = [[0.5, -0.2, 0.5], [1.5, -0.2, 0.5], [1, 0.2, 0.5]]\n";

#[test]
fn a_number_without_a_digit_beside_its_point() {
    for text in [
        instead_of("\"200 kg\"", ".5"),
        instead_of("\"200 kg\"", "5."),
        instead_of("[1, 0, 0.1]", "[1, 0, .1]"),
    ] {
        let answer = float(text);
        let message = answer.refusal();
        assert!(
            message.contains("a digit on both sides of its point: 0.5, not .5"),
            "{message}"
        );
    }
}

/// The point of a file's name without its quotes is no decimal point, digits beside it or
/// not.
#[test]
fn a_point_in_a_name_without_quotes_is_no_decimal_point() {
    for name in [
        "hull-2.stl",
        "hull.2",
        "v1.hull-3.stl",
        "scan_.5",
        "my hull 5.stl",
        "(2).stl",
        "hull(2).5",
        "2024-05-01.5-scan.stl",
        "hull #2.stl",
    ] {
        let answer = float(instead_of("\"hull.stl\"", name));
        let message = answer.refusal();
        assert!(message.contains("boat.toml:2:"), "{name}: {message}");
        assert!(!message.contains("its point"), "{name}: {message}");
        assert!(message.contains("in quotes"), "{name}: {message}");
    }
}

#[test]
fn text_of_two_bytes_a_letter_is_named_in_every_file() {
    let wide = |text: &str| -> Vec<u8> {
        let units = std::iter::once(0xFEFF).chain(text.encode_utf16());
        units.flat_map(u16::to_le_bytes).collect()
    };
    let folder = folder_with_hull();
    folder.write("boat.toml", BOX);
    for (name, text) in [
        ("a.stl", "solid a\nfacet normal 0 0 1\n"),
        ("a.obj", "v 0 0 0\n"),
        ("a.ply", "ply\nformat ascii 1.0\n"),
    ] {
        folder.write(name, wide(text));
        let answer = awash_in(folder.path(), ["inspect", name]);
        assert!(answer.refusal().contains("UTF-16"), "{answer:?}");
    }
    folder.write("wide.toml", wide(BOX));
    assert!(
        awash_in(folder.path(), ["float", "wide.toml"])
            .refusal()
            .contains("UTF-16")
    );
    folder.write("measured.toml", wide("[[push]]\n"));
    let answer = awash_in(folder.path(), ["calibrate", "boat.toml", "measured.toml"]);
    assert!(answer.refusal().contains("UTF-16"), "{answer:?}");
}

#[test]
fn a_mesh_where_a_boat_file_is_meant() {
    let folder = folder_with_hull();
    let answer = awash_in(folder.path(), ["float", "hull.stl"]);
    holds(
        answer.refusal(),
        "hull.stl",
        &["is a mesh, not a boat file", "awash start hull.stl"],
    );
    let extending = BOX.replacen("[hull]", "extends = \"hull.stl\"\n[hull]", 1);
    refused(extending, "boat.toml:1:11", &["is a mesh, not a boat file"]);
}

#[test]
fn a_boat_file_or_a_condition_where_a_mesh_is_meant() {
    let folder = folder_with_hull();
    folder.write("boat.toml", BOX);
    let answer = awash_in(folder.path(), ["init", "boat.toml"]);
    assert!(
        answer
            .refusal()
            .contains("this is a boat file, and a mesh is wanted"),
        "{answer:?}"
    );
    refused(
        instead_of("hull.stl", "boat.toml"),
        "boat.toml:2:8",
        &["this is a boat file, and a mesh is wanted"],
    );
    for line in [
        &["inspect", "hull.stl#rain"][..],
        &["init", "hull.stl#rain"],
        &["slice", "hull.stl#rain", "--waterline", "0.1"],
        &["mend", "hull.stl#rain", "--output", "x.stl"],
    ] {
        let answer = awash_in(folder.path(), line);
        assert!(
            answer.refusal().contains("#rain") && answer.stderr.contains("loading condition"),
            "{answer:?}"
        );
    }
    refused(
        instead_of("hull.stl", "hull.stl#rain"),
        "boat.toml:2:8",
        &["loading condition"],
    );
}

#[test]
fn a_condition_may_change_the_kind_of_water() {
    let folder = folder_with_hull();
    let text = format!(
        "[water]\nkind = \"fresh\"\n{}[[item]]\nname = \"bag\"\nmass = 1\nat = [1, 0, 0.2]\nvolume = \"2 L\"\n[[condition]]\nname = \"sea\"\n[condition.water]\nsalinity = \"35 g/kg\"\ntemperature = \"15 C\"\n[[condition.item]]\nname = \"bag\"\ndensity = \"800 kg/m3\"\n",
        BOX
    );
    folder.write("boat.toml", &text);
    let sea = awash_in(
        folder.path(),
        ["float", "boat.toml#sea", "--format", "json"],
    )
    .json();
    // 35 g/kg at 15 °C: 1025.97 kg/m³ (EOS-80, UNESCO technical paper 44).
    let density = sea["water_density_kg_m3"].as_f64().expect("a number");
    assert!((density - 1025.97).abs() < 0.05, "{density}");
    // Twice in the condition itself stays a conflict.
    let twice = text.replace("[condition.water]\n", "[condition.water]\nkind = \"sea\"\n");
    let answer = float_in(&folder, twice);
    assert!(
        answer.refusal().contains("only one way may be given"),
        "{answer:?}"
    );
}

#[test]
fn the_first_of_two_conditions_is_pointed_at() {
    let text = with("[[condition]]\nname = \"rain\"\n[[condition]]\nname = \"rain\"\n");
    refused(
        text,
        "boat.toml:9:1",
        &["used twice", "first at boat.toml:7:1"],
    );
}

#[test]
fn the_list_of_tables_is_whole() {
    let answer = float(format!("[sails]\nmain = 1\n{BOX}"));
    assert!(answer.refusal().contains("`condition`"), "{answer:?}");
    let slip = float(with("[[conditoin]]\nname = \"rain\"\n"));
    assert!(
        slip.refusal().contains("did you mean `condition`?"),
        "{slip:?}"
    );
}

#[test]
fn a_negative_size_on_the_command_line_is_named() {
    let folder = folder_with_hull();
    folder.write("boat.toml", with(WELL));
    for (line, words) in [
        (&["swamp", "boat.toml", "--under", "-5 mm"][..], "--under"),
        (&["swamp", "boat.toml", "--held", "-5"], "--held"),
        (
            &["dive", "boat.toml", "--depth", "-3 m"],
            "depths lie between 0 and 300 m",
        ),
        (&["foam", "boat.toml", "--person", "-3 kg"], "--person"),
        (
            &["mend", "hull.stl", "-o", "x.stl", "--fill-under", "-5 mm"],
            "a length round a hole is not negative",
        ),
        (
            &["dive", "boat.toml", "--buoyant", "5 kg ± 90 kg"],
            "an option takes one value without a ±",
        ),
    ] {
        let answer = awash_in(folder.path(), line);
        assert_eq!(answer.code, 2, "{answer:?}");
        assert!(answer.stderr.contains(words), "{answer:?}");
        assert!(!answer.stderr.contains("unexpected argument"), "{answer:?}");
    }
}

#[test]
fn a_covered_opening_is_told_from_none() {
    let folder = folder_with_hull();
    folder.write("none.toml", BOX);
    folder.write(
        "covered.toml",
        with(&format!("{WELL}state = \"covered\"\n")),
    );
    for command in ["margins", "swamp", "foam", "trapped"] {
        for (boat, words) in [
            ("none.toml", "the boat file has no opening"),
            ("covered.toml", "every opening is covered"),
        ] {
            let answer = awash_in(folder.path(), [command, boat]);
            let told = format!("{}{}", answer.stdout, answer.stderr).replace("\n    ", " ");
            assert!(told.contains(words), "{command} {boat}: {told}");
        }
    }
}

/// Sixty loose facets: what is to be done is said, not a name of the
/// library's ("NoError").
#[test]
fn a_failed_rebuild_says_why_in_words() {
    let folder = folder_with_hull();
    let mut next = noise();
    let facets: Vec<[[f32; 3]; 3]> = (0..60)
        .map(|_| std::array::from_fn(|_| [2.0 * next(), next(), 0.5 * next()]))
        .collect();
    folder.write("loose.stl", binary(&facets));
    let run = ["mend", "loose.stl", "--output", "out.stl", "--rebuild"];
    let answer = awash_in(folder.path(), run);
    let told = answer.refusal();
    assert!(
        told.contains("its facets do not hang together; weld it"),
        "{told}"
    );
    assert!(!told.contains("Error"), "{told}");
}

/// Numbers from 0 to 1, the same every time.
fn noise() -> impl FnMut() -> f32 {
    let mut state = 1_u32;
    move || {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        f32::from(u16::try_from(state >> 16).expect("16 bits")) / 65_536.0
    }
}

/// A volume next to nothing in an error or a doubt is in plain digits.
#[test]
fn no_volume_is_told_with_an_exponent() {
    let flat: Vec<_> = box_facets()
        .into_iter()
        .map(|facet| facet.map(|[x, y, z]| [x, y, z * 1e-12]))
        .collect();
    let folder = folder_with_hull();
    folder.write("hull.stl", binary(&flat));
    let told = float_in(&folder, BOX).refusal().to_owned();
    assert!(told.contains("(0 mL in a box 2.000 m long)"), "{told}");
}

/// The water stands at 0.1 m, the hole's sill at 0.05 m: every study that floats the
/// craft says so before anything else.
#[test]
fn an_opening_under_water_at_rest_is_said_first_by_every_study() {
    let folder = folder_with_hull();
    let hole = "[[opening]]\nname = \"port\"\nbox = { min = [0.9, 0.4, 0.05], max = [1.1, 0.6, 0.15] }\n[[item]]\nname = \"bag\"\nmass = 1\nat = [1, 0, 0.1]\nvolume = \"1 L\"\n";
    folder.write("boat.toml", with(hole));
    folder.write("measured.toml", "[[float_mark]]\nat = [0, 0.5, 0.5]\nover_water = \"0.4 m\"\n[[float_mark]]\nat = [2, 0.5, 0.5]\nover_water = \"0.4 m\"\n[[float_mark]]\nat = [1, -0.5, 0.5]\nover_water = \"0.4 m\"\n");
    for line in AFLOAT {
        let more = ["--format", "json"];
        let result = awash_in(folder.path(), line.iter().chain(&more)).json();
        let summary = result["summary"].as_str().expect("a summary");
        assert!(
            summary.starts_with("IT FILLS: at rest the water stands over the sill of port."),
            "{line:?}: {summary}"
        );
        assert_eq!(summary.matches("IT FILLS: at rest").count(), 1, "{summary}");
    }
}

/// A box of 2 × 1 m floats level at its mass over density over area, from next to
/// nothing to next to all that it holds, and at a kilometre too.
#[test]
fn a_sound_box_comes_to_rest_whatever_it_weighs() {
    for (mass, mass_kg) in [
        ("1e-9 kg", 1e-9),
        ("1e-6 kg", 1e-6),
        ("10 g", 0.01),
        ("999.99 kg", 999.99),
    ] {
        let result = float(instead_of("200 kg", mass)).json();
        let height = result["waterline_height_m"].as_f64().expect("a height");
        assert!(
            (height - mass_kg / 2000.0).abs() < 1e-14,
            "{mass}: {height}"
        );
        let [heel, pitch] = ["heel_deg", "pitch_deg"].map(|key| result[key].as_f64().expect("deg"));
        assert!(
            heel.abs() < 1e-6 && pitch.abs() < 1e-6,
            "{mass}: {heel} {pitch}"
        );
    }
    let long = instead_of("\"m\"", "\"m\"\nscale_to = { length = \"1000 m\" }")
        .replace("200 kg", "25000 t");
    let result = float(long.replace("[1, 0, 0.1]", "[500, 0, 50]")).json();
    // 25 000 m³ over 1000 × 500 m.
    let height = result["waterline_height_m"].as_f64().expect("a height");
    assert!((height - 0.05).abs() < 1e-9, "{height}");
}

#[test]
fn a_void_costs_no_buoyancy_and_cuts_that_part_the_craft_are_doubted() {
    let part = |role: &str, min: &str, max: &str| {
        with(&format!(
            "[[part]]\nname = \"it\"\nrole = \"{role}\"\nmass = 0\nbox = {{ min = {min}, max = {max} }}\n"
        ))
    };
    let void = doubted(
        &part("recess", "[0.5, -0.2, 0.1]", "[1.5, 0.2, 0.4]"),
        "part",
        "part \"it\" is a void wholly inside the hull",
    );
    let capacity = void["capacity_kg"].as_f64().expect("a mass");
    assert!((capacity - 1000.0).abs() < 1e-6, "{capacity}");
    doubted(
        &part("recess", "[0.9, -1, -1]", "[1.1, 1, 1]"),
        "part",
        "part \"it\" parts the craft: it falls into 2 pieces",
    );
    doubted(
        &part("add", "[-1, -1, -1]", "[3, 1, 1]"),
        "part",
        "part \"it\" swallows the hull",
    );
    // A well through it is neither.
    let well = float(part("recess", "[0.9, -0.1, -1]", "[1.1, 0.1, 1]")).json();
    assert_eq!(well["mesh_doubts"], serde_json::json!([]));
}

/// A compartment's mesh with a hole in it is doubted as a part's is.
#[test]
fn a_compartments_mesh_is_doubted_as_a_parts_is() {
    let folder = folder_with_hull();
    let inside: Vec<_> = box_facets()
        .into_iter()
        .take(10)
        .map(|facet| facet.map(|[x, y, z]| [x * 0.4 + 0.5, y * 0.4, z * 0.4 + 0.1]))
        .collect();
    folder.write("tank.stl", binary(&inside));
    let text = with("[[compartment]]\nname = \"tank\"\nmesh = \"tank.stl\"\nunits = \"m\"\n");
    let result = float_in(&folder, text).json();
    let doubts = result["mesh_doubts"].to_string();
    assert!(
        doubts.contains("compartment \\\"tank\\\": 1 opening was closed by a cap"),
        "{doubts}"
    );
}

/// So many facets at random, none on another: an answer or a refusal within `limit_s`.
fn loose_facets_take_at_most(count: usize, limit_s: f64) {
    let folder = folder_with_hull();
    let mut next = noise();
    let facets: Vec<[[f32; 3]; 3]> = (0..count)
        .map(|_| std::array::from_fn(|_| [2.0 * next(), next(), 0.5 * next()]))
        .collect();
    folder.write("noise.stl", binary(&facets));
    for line in [
        &["inspect", "noise.stl"][..],
        &["init", "noise.stl"],
        &["mend", "noise.stl", "--output", "out.stl", "--rebuild"],
        &["mend", "noise.stl", "--output", "up.stl", "--upright"],
    ] {
        let started = std::time::Instant::now();
        let answer = awash_in(folder.path(), line);
        let took = started.elapsed().as_secs_f64();
        assert!([0, 2].contains(&answer.code), "{answer:?}");
        assert!(took < limit_s, "{line:?} took {took} s");
    }
}

#[test]
fn loose_facets_do_not_take_for_ever() {
    loose_facets_take_at_most(2000, 20.0);
}

/// A busy machine is given five times as long as the 20 s that it may take.
#[test]
#[ignore = "takes minutes: cargo test --test commands -- --ignored loose"]
fn a_hundred_thousand_loose_facets_do_not_take_for_ever() {
    loose_facets_take_at_most(100_000, 100.0);
}
