//! From a scan to the first float that can be trusted, by the commands that each
//! answer proposes.
use std::path::Path;
use std::process::Command;

use awash::mesh::{Surface, write_stl_binary};
use awash::numerics::Vec3;
use serde_json::Value;

use super::decked::{HOLES, decked, rough, two_skins};
use super::make::Random;

fn awash(folder: &Path, arguments: &[&str]) -> Value {
    let answer = Command::new(env!("CARGO_BIN_EXE_awash"))
        .current_dir(folder)
        .args(arguments)
        .args(["--format", "json"])
        .output()
        .expect("the program runs");
    assert!(
        answer.status.success(),
        "{arguments:?}: {}",
        String::from_utf8_lossy(&answer.stderr)
    );
    serde_json::from_slice(&answer.stdout).expect("JSON")
}

fn text(value: &Value) -> String {
    value.to_string()
}

/// Moved until its aftmost and lowest points are at zero, as mending leaves a hull.
fn at_origin(mut surface: Surface) -> Surface {
    let (lo, _) = surface.bounds().expect("a hull");
    for v in &mut surface.vertices {
        *v -= Vec3::new(lo.x, 0.0, lo.z);
    }
    surface
}

#[test]
fn the_proposed_commands_lead_from_a_double_skinned_scan_to_its_freeboards() {
    let folder = tempfile::tempdir().expect("a folder");
    let folder = folder.path();
    let mut random = Random(31);
    let hull = decked(0.02, &HOLES);
    let mut scan = rough(two_skins(&hull, 0.005, 9.0), 0.0008, &mut random);
    random.motion().apply(&mut scan);
    write_stl_binary(&folder.join("scan.stl"), &scan).expect("written");

    let seen = awash(folder, &["inspect", "scan.stl", "--mesh-units", "m"]);
    assert!(text(&seen["because"]).contains("both sides of the skin are here"));
    let thick = seen["skin_thickness_m"].as_f64().expect("two sides");
    assert!((thick - 0.005).abs() < 5e-4, "{thick}");
    let next = seen["next"].as_array().expect("a list");
    let mend = next
        .iter()
        .filter_map(Value::as_str)
        .find(|line| line.starts_with("awash mend"))
        .expect("a command");
    assert!(!mend.contains("--rebuild"), "{mend}");

    let cut = ["slice", "scan.stl", "--mesh-units", "m", "--waterline", "0"];
    let told = awash(folder, &cut);
    assert!(text(&told["mesh_doubts"]).contains("both sides of the skin are here"));

    let mut words: Vec<&str> = mend.split_whitespace().skip(1).collect();
    words.extend(["--mesh-units", "m", "--boat", "boat.toml"]);
    let mended = awash(folder, &words);
    let recipe = mended["recipe"].as_str().expect("text").to_owned();

    // It is what it should be: nothing more is proposed but to go on.
    let again = awash(folder, &["inspect", "mended.stl", "--mesh-units", "m"]);
    assert!(
        !text(&again["next"]).contains("awash mend"),
        "{}",
        again["next"]
    );

    let floated = awash(folder, &["float", "boat.toml"]);
    assert_eq!(floated["floats"], true);
    assert!(!text(&floated["mesh_doubts"]).contains("both sides"));
    // The same boat on the hull that is known.
    write_stl_binary(&folder.join("true.stl"), &at_origin(hull.outer.clone())).expect("written");
    let boat = std::fs::read_to_string(folder.join("boat.toml")).expect("the boat");
    assert!(boat.contains("thickness = \"5.0 mm\""), "{boat}");
    let known = boat.replace("mended.stl", "true.stl");
    std::fs::write(folder.join("true.toml"), known).expect("written");
    let known = awash(folder, &["float", "true.toml"]);
    for (opening, name) in ["cockpit", "well", "hatch"].iter().enumerate() {
        let [got, wanted] = [&floated, &known].map(|result| &result["openings"][opening]);
        assert_eq!(got["name"].as_str(), Some(*name));
        assert_eq!(wanted["name"].as_str(), Some(*name));
        let height = |result: &Value| result["freeboard_m"].as_f64().expect("it floats");
        let error = got["freeboard_error_m"].as_f64().expect("a ±");
        let off = height(got) - height(wanted);
        // The person's stand-in sits at the middle of each mesh's own box.
        assert!(off.abs() < error + 1e-3, "{name}: {off} ± {error}");
        assert!(error < 3e-3, "{error}");
    }
    for key in ["heel_deg", "pitch_deg"] {
        let [got, wanted] = [&floated, &known].map(|r| r[key].as_f64().expect("it floats"));
        assert!((got - wanted).abs() < 0.3, "{key}: {got}, {wanted}");
    }

    // The recipe does the same to the byte, from a boat file.
    let (before, mend) = recipe.split_once("[hull.mend]").expect("a recipe");
    let file = format!(
        "[hull]\nmesh = \"scan.stl\"\nunits = \"m\"\nmass = 20\ncentre = [1.8, 0, 0.2]\n{before}[hull.mend]{mend}"
    );
    std::fs::write(folder.join("recipe.toml"), file).expect("written");
    awash(folder, &["mend", "recipe.toml", "-o", "again.stl"]);
    let [first, second] =
        ["mended.stl", "again.stl"].map(|name| std::fs::read(folder.join(name)).expect("a mesh"));
    assert!(first == second, "the recipe gives another mesh");
}
