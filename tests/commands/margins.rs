//! `awash margins` and `awash righting`.
use std::fs;
use std::path::Path;

use super::run::{awash, awash_in};

fn after() -> String {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/boats/after.toml");
    file.display().to_string()
}

/// The decked craft: with its bow load gone the transom notch, at the stern,
/// is the opening nearest to flooding, and one sentence says so.
#[test]
fn without_the_bow_load_the_stern_is_the_worst_and_it_says_so() {
    let folder = tempfile::tempdir().unwrap();
    let text = format!(
        "extends = '{}'\nname = \"no lead\"\n[[item]]\nname = \"bow weight\"\nremove = true\n",
        after()
    );
    fs::write(folder.path().join("no-lead.toml"), text).unwrap();
    let bare = awash_in(
        folder.path(),
        ["margins", "no-lead.toml", "--format", "json"],
    )
    .json();
    let loaded = awash(["margins", &after(), "--format", "json"]).json();
    let lean = |result: &serde_json::Value| result["worst_tilt"]["lean_deg"].as_f64().unwrap();
    assert_eq!(bare["worst_tilt"]["opening"], "transom notch");
    assert!(
        lean(&bare) < lean(&loaded),
        "{} {}",
        lean(&bare),
        lean(&loaded)
    );
    let said = bare["summary"].as_str().unwrap();
    assert!(
        said.starts_with("It fills with person sitting on either edge. It floods soonest when it leans over the stern:")
            && said.contains("puts transom notch (starboard side, aft) under"),
        "{said}"
    );
}

#[test]
fn the_rose_has_72_bearings_and_strict_fails_with_the_yardstick() {
    let answer = awash(["margins", &after(), "--format", "json", "--strict"]);
    let result: serde_json::Value = serde_json::from_str(&answer.stdout).unwrap();
    assert_eq!(result["tilt"].as_array().unwrap().len(), 72);
    assert_eq!(result["knock"].as_array().unwrap().len(), 4);
    // Of 9 by 5 places those beside the craft are left out.
    let places = result["load"].as_array().unwrap().len();
    assert!((20..45).contains(&places), "{places}");
    let sides = result["person"].as_array().unwrap();
    assert_eq!(sides.len(), 2);
    assert!(sides[0]["heel_deg"].as_f64().unwrap() < 0.0);
    assert!(sides[1]["heel_deg"].as_f64().unwrap() > 0.0);
    let edge = &result["edge_load"][0];
    let ratio =
        edge["edge_load_kg"].as_f64().unwrap() / edge["persons_capacity_kg"].as_f64().unwrap();
    assert!((ratio - 0.6).abs() < 1e-12);
    let failed = result["verdicts"]
        .as_array()
        .unwrap()
        .iter()
        .any(|v| v["verdict"] == "fail");
    assert_eq!(answer.code, i32::from(failed));
}

#[test]
fn a_drawing_is_written_once_and_not_over_another() {
    let folder = tempfile::tempdir().unwrap();
    for (command, name) in [("margins", "rose.svg"), ("righting", "arms.svg")] {
        let boat = after();
        let arguments = [command, boat.as_str(), "--svg", name];
        assert_eq!(awash_in(folder.path(), arguments).code, 0);
        let drawn = fs::read_to_string(folder.path().join(name)).unwrap();
        assert!(drawn.starts_with("<svg ") && drawn.contains("<desc"));
        let again = awash_in(folder.path(), arguments);
        assert!(again.refusal().contains("is already there"));
        let forced = [command, boat.as_str(), "--svg", name, "--force"];
        assert_eq!(awash_in(folder.path(), forced).code, 0);
    }
}

#[test]
fn righting_finds_the_rests_and_where_it_floods() {
    let result = awash(["righting", &after(), "--format", "json"]).json();
    let rests = result["resting_attitudes"].as_array().unwrap();
    assert!(
        rests
            .iter()
            .any(|r| r["from_upright"] == true && r["words"] == "upright")
    );
    assert!(rests.iter().any(|r| r["words"] == "upside down"));
    assert_eq!(result["heel"]["points"].as_array().unwrap().len(), 181);
    let port = &result["heel"]["sides"][0];
    assert_eq!(port["side"], "port");
    assert_eq!(port["first_sill"]["opening"], "side port");
}

#[test]
fn a_boat_that_sinks_is_told_and_one_without_openings_has_no_rose() {
    let folder = tempfile::tempdir().unwrap();
    let solid = awash::mesh::solids::cuboid(
        awash::numerics::Vec3::zeros(),
        awash::numerics::Vec3::new(2.0, 1.0, 0.5),
    );
    awash::mesh::write_stl(
        std::fs::File::create(folder.path().join("box.stl")).expect("a file"),
        &solid,
    )
    .unwrap();
    let boat = |mass: &str| {
        format!(
            "[hull]\nmesh = \"box.stl\"\nunits = \"m\"\nmass = \"{mass}\"\ncentre = [1, 0.5, 0.1]\n"
        )
    };
    fs::write(folder.path().join("heavy.toml"), boat("5 t")).unwrap();
    fs::write(folder.path().join("plain.toml"), boat("200 kg")).unwrap();
    let heavy = awash_in(folder.path(), ["margins", "heavy.toml"]);
    assert!(heavy.refusal().contains("it sinks: 5000.0 kg to carry"));
    let plain = awash_in(folder.path(), ["margins", "plain.toml", "--format", "json"]).json();
    let said = plain["summary"].as_str().unwrap();
    assert!(said.starts_with("It turns over soonest"), "{said}");
    assert!(
        said.ends_with("No water comes in, however it leans: the boat file has no opening."),
        "{said}"
    );
    assert!(plain["worst_tilt"].is_null());
}

/// A box and its opening mirror themselves, so the worst lean is one over either bow; with a
/// chest to port it is to that side alone. Derived in closed form: a mirror image floats alike.
#[test]
fn a_lean_that_is_alike_on_both_sides_is_told_of_both() {
    use super::box_boat::{BOX, folder_with_hull};
    let well = "[[opening]]\nname = \"well\"\nrim = [[0.6, -0.45, 0.5], [1.4, -0.45, 0.5], [1.4, 0.45, 0.5], [0.6, 0.45, 0.5]]\n";
    let chest = "[[item]]\nname = \"chest\"\nmass = \"20 kg\"\nat = [1, 0.2, 0.1]\n";
    let said = |more: &str| {
        let folder = folder_with_hull();
        folder.write("boat.toml", format!("{BOX}{well}{more}"));
        let line = ["margins", "boat.toml", "--format", "json"];
        let result = awash_in(folder.path(), line).json();
        result["summary"].as_str().expect("text").to_owned()
    };
    let (even, to_port) = (said(""), said(chest));
    assert!(
        even.contains("when it leans over either bow") && even.contains("well (either side,"),
        "{even}"
    );
    assert!(
        !to_port.contains("either") && to_port.contains("well (port side,"),
        "{to_port}"
    );
}
