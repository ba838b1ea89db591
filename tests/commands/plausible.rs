//! Every place and size of a boat file is held against the hull: one wrong figure at a
//! time, on a box of 2 × 1 × 0.5 m, is refused or doubted with its table, key, figure
//! and the unit that was probably meant.
use super::box_boat::{
    BOX, doubted, float, float_in, folder_with_hull, instead_of, undoubted, with,
};
use super::run::{Folder, awash_in};
use super::stl::{Facet, binary, box_facets, facets_of};
use awash::mesh::solids;
use awash::numerics::Vec3;

const SPACES: &str = "[[compartment]]
name = \"fore\"
forward_of = 1.2
[[compartment]]
name = \"aft\"
aft_of = 0.6
";

fn passage(between: &str, at: &str, diameter: &str) -> String {
    with(&format!(
        "{SPACES}[[passage]]\nname = \"limber\"\nbetween = {between}\nat = {at}\ndiameter = \"{diameter}\"\n"
    ))
}

fn item(lines: &str) -> String {
    with(&format!(
        "[[item]]\nname = \"thing\"\nmass = \"20 kg\"\nat = [1, 0, 0.2]\n{lines}"
    ))
}

fn rim(z: &str) -> String {
    with(&format!(
        "[[opening]]\nname = \"lip\"\nrim = [[0.8, -0.2, {z}], [1.2, -0.2, {z}], [1, 0.2, {z}]]\n"
    ))
}

/// Refused with these words.
#[track_caller]
fn refuses(text: &str, words: &[&str]) {
    let answer = float(text);
    let message = answer.refusal();
    for word in words {
        assert!(message.contains(word), "no `{word}` in: {message}");
    }
}

#[test]
fn figures_that_can_be_meant_are_not_doubted() {
    undoubted(&passage("[\"fore\", \"inside\"]", "[1.2, 0, 0.1]", "25 mm"));
    // A limber hole's middle is measured where a tape reaches.
    undoubted(&passage(
        "[\"aft\", \"inside\"]",
        "[0.605, 0, 0.01]",
        "25 mm",
    ));
    undoubted(&rim("0.5"));
    undoubted(&rim("0.505"));
    undoubted(&item(
        "volume = \"14 L\"\nsealed = true\ncylinder = { water_volume = \"12 L\", pressure = \"232 bar\" }\n",
    ));
    undoubted(&item("person = true\nhead = \"70 cm\"\n"));
    undoubted(&item(
        "size = [\"40 cm\", \"20 cm\", \"15 cm\"]\nliquid = { volume = \"8 L\" }\n",
    ));
}

/// Slips that make a craft look better than it is: grams for kilograms, a person under the
/// keel whom the water carries; and a hull's centre in millimetres.
#[test]
fn slips_that_flatter_are_doubted() {
    let text = instead_of("\"200 kg\"", "\"200 g\"");
    doubted(&text, "place", "hulls of this size weigh from 300 g");
    let text = instead_of("centre = [1, 0, 0.1]", "centre = [0.001, 0, 0.0001]");
    doubted(
        &text,
        "place",
        "along x this hull balances from 200 mm to 1.800 m",
    );
    let diver = |z: &str| {
        with(&format!(
            "[[item]]\nname = \"diver\"\nmass = 80\nperson = true\nat = [1, 0, {z}]\n"
        ))
    };
    doubted(&diver("-0.3"), "place", "people aboard sit over the keel");
    undoubted(&diver("0.3"));
}

#[test]
fn a_passage_off_its_wall_is_refused() {
    let fore = "[\"fore\", \"inside\"]";
    let words = ["boat.toml:13:1", "passage \"limber\"", "`at`", "wall"];
    refuses(&passage(fore, "[101.2, 0, 0.1]", "25 mm"), &words);
    refuses(&passage(fore, "[1.3, 0, 0.1]", "25 mm"), &words);
    refuses(
        &passage(fore, "[1200, 0, 100]", "25 mm"),
        &["`at`", "was mm"],
    );
    // No wall between these two.
    refuses(
        &passage("[\"fore\", \"aft\"]", "[1.2, 0, 0.1]", "25 mm"),
        &["passage \"limber\"", "\"fore\" and \"aft\"", "no wall"],
    );
    // The wall is 1 × 0.5 m.
    refuses(
        &passage(fore, "[1.2, 0, 0.25]", "25 m"),
        &[
            "passage \"limber\"",
            "`diameter`",
            "larger than the wall",
            "was mm",
        ],
    );
}

#[test]
fn a_rim_off_the_skin_is_refused() {
    refuses(&rim("3.5"), &["opening \"lip\"", "`rim`", "3.000 m off"]);
    refuses(&rim("500"), &["opening \"lip\"", "`rim`", "was mm"]);
    doubted(&rim("0.6"), "place", "opening \"lip\"");
    // As far as it is said to be off.
    let known = rim("0.6") + "height_error = \"10 cm\"\n";
    undoubted(&known);
}

/// Nine tenths of a rim by tape, which may lie over a sealed space's own top.
#[test]
fn a_rim_by_tape_most_of_which_lies_over_a_sealed_space_is_doubted() {
    let sealed = SPACES.replace("forward_of = 1.2\n", "forward_of = 1.2\nsealed = true\n");
    let rim = |aft: f64| {
        with(&format!(
            "{sealed}[[opening]]\nname = \"hatch\"\nfloods = \"inside\"\nrim = [[{aft}, -0.2, 0.5], [1.8, -0.2, 0.5], [1.8, 0.2, 0.5], [{aft}, 0.2, 0.5]]\n"
        ))
    };
    doubted(
        &rim(1.13),
        "place",
        "90 % of opening \"hatch\" lies over sealed spaces",
    );
    undoubted(&rim(0.7).replace("1.8", "1.3"));
}

#[test]
fn a_hole_into_a_sealed_space_is_refused_however_it_is_found() {
    let sealed = SPACES.replace("forward_of = 1.2\n", "forward_of = 1.2\nsealed = true\n");
    let hole = |min: f64, max: f64, floods: &str| {
        with(&format!(
            "{sealed}[[opening]]\nname = \"port\"\nbox = {{ min = [{min}, 0.4, 0.3], max = [{max}, 0.6, 0.4] }}\n{floods}"
        ))
    };
    for text in [
        hole(1.5, 1.6, ""),
        hole(1.5, 1.6, "floods = \"aft\"\n"),
        hole(1.5, 1.6, "floods = \"inside\"\n"),
        // Across the bulkhead.
        hole(1.15, 1.25, ""),
    ] {
        refuses(&text, &["opening \"port\"", "\"fore\"", "sealed"]);
    }
    undoubted(&hole(0.8, 0.9, ""));
    undoubted(&(hole(1.5, 1.6, "") + "state = \"covered\"\n"));
}

#[test]
fn an_opening_in_another_space_than_it_floods_is_doubted() {
    let text = with(&format!(
        "{SPACES}[[opening]]\nname = \"port\"\nbox = {{ min = [1.5, 0.4, 0.3], max = [1.6, 0.6, 0.4] }}\nfloods = \"aft\"\n"
    ));
    doubted(&text, "place", "opening \"port\"");
    doubted(&text, "place", "lies over \"fore\"");
}

/// By areas: what is cut off a right triangle at half its length is a quarter of it.
#[test]
fn an_opening_over_two_spaces_floods_each_by_its_area() {
    for side in [1.0, -1.0] {
        let text = with(&format!(
            "{SPACES}[[opening]]\nname = \"hatch\"\nrim = [[0.8, {}, 0.5], [1.6, {}, 0.5], [0.8, {}, 0.5]]\n",
            -0.2 * side,
            -0.2 * side,
            0.2 * side
        ));
        doubted(&text, "part", "75 % over inside");
        doubted(&text, "part", "25 % over fore");
    }
}

#[test]
fn places_and_sizes_that_can_hardly_be_meant_are_doubted() {
    for (text, words) in [
        (
            with(
                "[[part]]\nname = \"pod\"\nrole = \"attach\"\nmass = 1\nbox = { centre = [1000, 0, 0.2], size = [0.2, 0.2, 0.2] }\n",
            ),
            &["part \"pod\"", "1000", "was mm"][..],
        ),
        (
            with(
                "[[part]]\nname = \"pod\"\nrole = \"attach\"\nmass = 1\nbox = { min = [0.5, 0.5, 0.2], max = [0.6, 600, 0.3] }\n",
            ),
            &["part \"pod\"", "600", "was mm"],
        ),
        (
            with(
                "[[part]]\nname = \"pod\"\nrole = \"attach\"\nmass = 1\ncentre = [80, 0, 0]\nbox = { min = [0.5, 0.5, 0.2], max = [0.6, 0.6, 0.3] }\n",
            ),
            &["part \"pod\"", "`centre`", "80", "was mm"],
        ),
        (
            with(
                "[[part]]\nname = \"fin\"\nrole = \"add\"\nwall = { foot = [[0.2, 0, 0.5], [1, 0, 0.5]], height = 200 }\nskin = { thickness = \"4 mm\", density = 1500 }\n",
            ),
            &["part \"fin\"", "`height`", "200", "was mm"],
        ),
        (
            item("volume_at = [40, 0, 0.2]\nvolume = \"14 L\"\n"),
            &["item \"thing\"", "`volume_at`", "was mm"],
        ),
        (
            item("volume = \"14 m3\"\n"),
            &["item \"thing\"", "`volume`", "14", "L meant?"],
        ),
        (
            item("density = 1.3\n"),
            &["item \"thing\"", "`density`", "was g/cm3 or"],
        ),
        (
            item("size = [400, 200, 150]\n"),
            &["item \"thing\"", "`size`", "was mm"],
        ),
        (
            item("person = true\nhead = 65\n"),
            &["item \"thing\"", "`head`", "cm meant?"],
        ),
        (
            item(
                "volume = \"14 L\"\nsealed = true\ncylinder = { water_volume = \"15 L\", pressure = \"232 bar\" }\n",
            ),
            &["item \"thing\"", "`water_volume`", "14"],
        ),
        (
            item("compartment = \"fore\"\nvolume = \"14 L\"\n") + SPACES,
            &["item \"thing\"", "`compartment`", "\"fore\""],
        ),
        (
            item("size = [\"40 cm\", \"20 cm\", \"15 cm\"]\nliquid = { volume = \"8 L\" }\n")
                .replace("at = [1, 0, 0.2]", "at = [1, 0, 0.7]"),
            &["item \"thing\"", "tank"],
        ),
        (
            item("").replace("20 kg", "20 kg ± 30 kg"),
            &["item \"thing\"", "`mass`", "±"],
        ),
        (
            item("").replace("20 kg", "2e4 kg"),
            &["item \"thing\"", "`mass`", "g meant?"],
        ),
        (
            item("").replace("[1, 0, 0.2]", "[\"1 m ± 5 m\", 0, 0.2]"),
            &["item \"thing\"", "`at`", "±"],
        ),
        (
            item("").replace("[1, 0, 0.2]", "[1000, 0, 200]"),
            &["item \"thing\"", "`at`", "was mm"],
        ),
        (
            with("[[compartment]]\nname = \"aft\"\naft_of = 1200\n"),
            &["compartment \"aft\"", "`aft_of`", "was mm"],
        ),
        (
            with("draught_marks = { forward = 1900, aft = 0.1 }\n"),
            &["[hull]", "`forward`", "was mm"],
        ),
        (
            with("scan_error = \"5 m\"\n"),
            &["[hull]", "`scan_error`", "was mm"],
        ),
        (
            with("fill_under = \"50 m\"\n"),
            &["[hull]", "`fill_under`", "was mm"],
        ),
        (
            rim("0.5") + "height_error = \"5 m\"\n",
            &["opening \"lip\"", "`height_error`", "was mm"],
        ),
        (
            instead_of(
                "mass = \"200 kg\"\ncentre = [1, 0, 0.1]",
                "skin = { thickness = \"4 m\", density = 1.5 }",
            ),
            &["[hull]", "`thickness`", "was mm"],
        ),
        (
            instead_of(
                "mass = \"200 kg\"\ncentre = [1, 0, 0.1]",
                "skin = { thickness = \"4 mm\", density = 1.5 }",
            ),
            &["[hull]", "`density`", "was g/cm3 or"],
        ),
        (
            with("[yardsticks]\nsill_red = \"5 mm\"\nsill_green = \"80 m\"\n"),
            &["[yardsticks]", "`sill_green`", "was mm"],
        ),
    ] {
        let answer = float(&text);
        assert!([0, 2].contains(&answer.code), "{answer:?}");
        if answer.code == 2 {
            // It cannot come to rest with such a figure, and the doubt stands beside.
            for word in words {
                assert!(
                    answer.stderr.contains(word),
                    "no `{word}`: {answer:?}\n{text}"
                );
            }
            continue;
        }
        let result = answer.json();
        let doubts = result["mesh_doubts"].as_array().expect("a list");
        let told = doubts.iter().any(|doubt| {
            let text = doubt["text"].as_str().expect("text");
            words.iter().all(|word| text.contains(word))
        });
        assert!(told, "no doubt with {words:?}: {doubts:#?}\n{text}");
    }
}

#[test]
fn one_open_edge_named_twice_is_doubted() {
    let folder = Folder::new();
    let whole = solids::cuboid(Vec3::new(0.0, -0.5, 0.0), Vec3::new(2.0, 0.5, 0.5));
    let mut facets = facets_of(&whole);
    facets.retain(|facet| !facet.iter().all(|corner| corner[2] > 0.4));
    folder.write("hull.stl", binary(&facets));
    let text = format!(
        "{BOX}[[opening]]\nname = \"top\"\nloop = 1\n[[opening]]\nname = \"lid\"\nloop = 1\nstate = \"covered\"\n"
    );
    let result = float_in(&folder, text).json();
    let doubts = result["mesh_doubts"].to_string();
    assert!(doubts.contains("\\\"top\\\" and \\\"lid\\\""), "{doubts}");
    assert!(doubts.contains("loop"), "{doubts}");
}

/// What an option gives is held against the hull too.
#[test]
fn places_and_sizes_of_options_are_doubted() {
    let folder = folder_with_hull();
    let hole = "[[opening]]\nname = \"port\"\nbox = { min = [0.9, 0.4, 0.3], max = [1.1, 0.6, 0.4] }\n[[item]]\nname = \"bag\"\nmass = 1\nat = [1, 0, 0.1]\nvolume = \"1 L\"\n";
    folder.write("boat.toml", with(hole));
    for (line, words) in [
        (
            &["dive", "boat.toml", "--rail", "200,0,50 to 1800,0,50"][..],
            "`--rail` is 200.000 m along x",
        ),
        (
            &["dive", "boat.toml", "--grid", "0,0,0 to 1800,0,0"],
            "was mm",
        ),
        (
            &["place", "boat.toml", "bag", "--height", "300"],
            "`--height` is 300.000 m along z",
        ),
        (
            &["swamp", "boat.toml", "--under", "20"],
            "`--under` is 20.000 m",
        ),
    ] {
        let answer = awash_in(folder.path(), line.iter().chain(&["--format", "json"]));
        assert!([0, 2].contains(&answer.code), "{answer:?}");
        let told = format!("{}{}", answer.stdout, answer.stderr);
        assert!(
            told.contains("the command line") && told.contains(words),
            "{line:?}: {told}"
        );
    }
}

/// Water that a ± makes into something else, and water that would be ice.
#[test]
fn water_that_can_hardly_be_meant_is_doubted() {
    let salt = |salinity: &str, temperature: &str| {
        with(&format!(
            "[water]\nsalinity = \"{salinity}\"\ntemperature = \"{temperature}\"\n"
        ))
    };
    for (text, words) in [
        (
            salt("5 g/kg ± 90 g/kg", "15 C"),
            "`salinity` is 5.0 ± 90.0 g/kg",
        ),
        (salt("0.2 g/kg ± 5 g/kg", "15 C"), "`salinity`"),
        (salt("35 g/kg", "15 C ± 90 C"), "`temperature`"),
        (salt("0 g/kg", "-1 C"), "such water freezes at"),
        (
            with("[water]\ndensity = \"1000 kg/m3 ± 900 kg/m3\"\n"),
            "`density`",
        ),
    ] {
        let result = float(text).json();
        let doubts = result["mesh_doubts"].to_string();
        let told = doubts.contains("[water] (boat.toml:7:1): ") && doubts.contains(words);
        assert!(told, "no `{words}` in {doubts}");
    }
    undoubted(&salt("0 g/kg ± 0.5 g/kg", "4 C ± 2 C"));
    undoubted(&salt("35 g/kg", "-1.5 C"));
}

/// A ± of the salinity that reaches past what the equation holds for still widens the
/// bands, and more than one that stays within it.
#[test]
fn a_plus_minus_past_the_range_of_sea_water_is_not_dropped() {
    let width_m = |spread: &str| {
        let folder = folder_with_hull();
        let text = with(&format!(
            "[water]\nsalinity = \"38 g/kg ± {spread}\"\ntemperature = \"15 C\"\n[[opening]]\nname = \"port\"\nbox = {{ min = [0.9, 0.4, 0.3], max = [1.1, 0.6, 0.4] }}\n"
        ));
        folder.write("boat.toml", text);
        let line = ["spread", "boat.toml", "--draws", "40", "--format", "json"];
        let result = awash_in(folder.path(), line).json();
        let band = &result["openings"][0]["freeboard_m"];
        let [low, high] = [0, 2].map(|end| band[end].as_f64().expect("a height"));
        high - low
    };
    let (within, past) = (width_m("3 g/kg"), width_m("5 g/kg"));
    assert!(within > 1e-4 && past > within, "{within} {past}");
}

#[test]
fn settings_that_can_hardly_be_meant_are_doubted_at_their_line() {
    let crop = with("[hull.mend]\ncrop = { top = \"900 m\" }\n");
    doubted(&crop, "place", "[hull.mend]");
    doubted(&crop, "place", "`top` is 900.000 m along z");
    let folder = folder_with_hull();
    let has_low = |facet: &Facet| facet.iter().any(|corner| corner[2] < 0.5);
    let open: Vec<Facet> = box_facets().into_iter().filter(has_low).collect();
    folder.write("hull.stl", binary(&open));
    let rims =
        with("[hull.mend]\nupright = true\nrim_heights = { bow = \"420 m\", stern = \"420 m\" }\n");
    let doubts = float_in(&folder, &rims).json()["mesh_doubts"].to_string();
    assert!(doubts.contains("`bow` is 420.000 m"), "{doubts}");
    let limits = with("[yardsticks]\nsill_red = \"1 m\"\nsill_green = \"900 m\"\n");
    doubted(
        &limits,
        "place",
        "[yardsticks] (boat.toml:7:1): `sill_green`",
    );
}

/// An option is held against the hull as a figure of the file is.
#[test]
fn options_that_can_hardly_be_meant_are_doubted() {
    let folder = folder_with_hull();
    let port =
        "[[opening]]\nname = \"port\"\nbox = { min = [0.9, 0.4, 0.3], max = [1.1, 0.6, 0.4] }\n";
    folder.write("boat.toml", with(port));
    for line in [
        ["section", "--stations", "50 m"],
        ["section", "--waterline", "300"],
        ["dive", "--gap", "50 m"],
        ["swamp", "--discharge", "0.001"],
    ] {
        let [command, option, value] = line;
        let line = [command, "boat.toml", option, value, "--format", "json"];
        let doubts = awash_in(folder.path(), line).json()["mesh_doubts"].to_string();
        let wanted = format!("the command line: `{option}` is ");
        assert!(doubts.contains(&wanted), "{line:?}: {doubts}");
    }
}
