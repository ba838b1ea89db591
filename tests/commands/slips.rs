//! Slips of a figure, a key or a unit are told where they are, with what was meant: on a
//! box of 2 × 1 × 0.5 m.
use super::box_boat::{
    doubted, float, float_in, folder_with_hull, instead_of, refused, undoubted, with,
};
use super::run::awash_in;
use super::stl::{binary, box_facets, mapped};

const WELL: &str =
    "[[opening]]\nname = \"well\"\nrim = [[0.5, -0.2, 0.5], [1.5, -0.2, 0.5], [1, 0.2, 0.5]]\n";

fn item(at: &str, more: &str) -> String {
    with(&format!(
        "[[item]]\nname = \"thing\"\nmass = \"5 kg\"\nat = {at}\n{more}"
    ))
}

#[test]
fn a_box_across_a_bulkhead_is_doubted_and_one_against_it_is_not() {
    let size = "size = [\"40 cm\", \"20 cm\", \"20 cm\"]\n[[compartment]]\nname = \"fore\"\nforward_of = 1.2\n";
    doubted(
        &item("[1.1, 0, 0.2]", size),
        "place",
        "bulkhead of compartment \"fore\" goes through the box",
    );
    undoubted(&item("[1.0, 0, 0.2]", size));
    undoubted(&item("[1.405, 0, 0.2]", size));
}

#[test]
fn a_wall_taller_than_the_hull_is_long_is_refused_with_what_was_read() {
    let folder = folder_with_hull();
    folder.write("boat.toml", with(WELL));
    let line = ["sill", "boat.toml", "well", "--up-to", "30"];
    let answer = awash_in(folder.path(), line);
    let message = answer.refusal();
    for words in [
        "--up-to was read as 30",
        "2.000 m long",
        "--up-to \"30 cm\"",
    ] {
        assert!(message.contains(words), "no `{words}` in: {message}");
    }
}

#[test]
fn a_loop_of_a_hull_of_no_likely_size_is_told_with_the_unit() {
    let loop_one = "[[opening]]\nname = \"well\"\nloop = 1\n";
    refused(
        instead_of("\"m\"", "\"mm\"").replace("[1, 0, 0.1]", "[0.001, 0, 0.0001]") + loop_one,
        "boat.toml:7:1",
        &["0.002 m long", "(in m it would be 2.00 m)"],
    );
    let folder = folder_with_hull();
    let large = mapped(&box_facets(), |p| p.map(|c| c * 1e3));
    folder.write("hull.stl", binary(&large));
    let answer = float_in(&folder, with(loop_one));
    let message = answer.refusal();
    assert!(
        message.contains("2000.000 m long") && message.contains("(in mm it would be 2.00 m)"),
        "{message}"
    );
    // Of a likely size its mesh is closed.
    refused(with(loop_one), "boat.toml:7:1", &["its mesh is closed"]);
}

#[test]
fn an_item_well_clear_of_the_craft_is_doubted() {
    for (at, words) in [
        ("[1, -1.2, 0.2]", "at y -1.200 m"),
        ("[1, 0, 1.4]", "at z 1.400 m"),
    ] {
        doubted(&item(at, ""), "place", words);
    }
    // A long thing may hang out, and half a beam is near.
    undoubted(&item(
        "[2.6, 0, 0.2]",
        "size = [\"140 cm\", \"10 cm\", \"10 cm\"]\n",
    ));
    undoubted(&item("[1, 0.9, 0.2]", ""));
    // Someone may stand.
    undoubted(&item("[1, 0, 1.2]", "person = true\n"));
}

#[test]
fn where_tells_inside_from_outside() {
    let folder = folder_with_hull();
    folder.write("boat.toml", with(""));
    let places = ["1,0,0.2", "1,0.8,0.2", "1,0.5,0.2"];
    let line = ["where", "boat.toml", "--format", "json"];
    let result = awash_in(folder.path(), line.iter().chain(&places)).json();
    for (number, (inside, off_m)) in [(true, 0.2), (false, 0.3), (false, 0.0)]
        .into_iter()
        .enumerate()
    {
        let place = &result["places"][number];
        let off = place["off_skin_m"].as_f64().expect("a length");
        assert!((off - off_m).abs() < 1e-6, "{place}");
        assert!(off_m == 0.0 || place["inside"] == inside, "{place}");
    }
    let table = awash_in(folder.path(), ["where", "boat.toml"].iter().chain(&places));
    for words in ["inside", "300 mm outside", "on the skin"] {
        assert!(table.stdout.contains(words), "{}", table.stdout);
    }
}

#[test]
fn a_misspelt_reading_is_named_and_not_called_missing() {
    let at = "{ from_stem = \"1 m\", from_midle = \"10 cm port\", over_base = \"10 cm\" }";
    let answer = float(item(at, ""));
    let message = answer.refusal();
    assert!(message.contains("did you mean `from_middle`?"), "{message}");
    assert!(!message.contains("is missing"), "{message}");
    let folder = folder_with_hull();
    folder.write("boat.toml", with(""));
    let place = "from_stem 1 m, from_midle 10 cm port, over_base 10 cm";
    let answer = awash_in(folder.path(), ["where", "boat.toml", place]);
    assert!(
        answer.refusal().contains("did you mean from_middle?"),
        "{answer:?}"
    );
}

#[test]
fn a_comma_for_a_decimal_point_is_told() {
    for text in [
        instead_of("\"200 kg\"", "14,5"),
        instead_of("\"200 kg\"", "14,5 # weighed"),
    ] {
        refused(text, "boat.toml:4:10", &["14.5, not 14,5"]);
    }
}

#[test]
fn a_condition_asked_of_a_file_without_any() {
    let folder = folder_with_hull();
    folder.write("boat.toml", with(""));
    let answer = awash_in(folder.path(), ["float", "boat.toml#rain"]);
    let message = answer.refusal();
    assert!(
        message.contains("\"rain\"") && message.contains("has no [[condition]]"),
        "{message}"
    );
    assert!(!message.contains("must be one of"), "{message}");
}

/// The bow's bulkhead is the one that is wrong, not the stern's.
#[test]
fn a_bulkhead_off_the_hull_is_blamed_and_not_the_next_space() {
    refused(
        with(
            "[[compartment]]\nname = \"bow\"\nforward_of = { from_stem = \"10.5 m\" }\n[[compartment]]\nname = \"stern\"\naft_of = 0.6\n",
        ),
        "boat.toml:7:1",
        &["compartment \"bow\"", "-8.50 m", "`forward_of`"],
    );
}
