//! A hull that lies off its centre plane: every study says so first.
use serde_json::Value;

use super::box_boat::{AFLOAT, folder_with_hull};
use super::run::awash_in;
use super::stl::{binary, box_facets, mapped};

const LIE: &str = "the hull does not lie in the boat frame";

/// The box half a metre to port, one of its facets twice and no unit given: two doubts of
/// the mesh that come up before its place is looked at.
#[test]
fn a_hull_off_its_centre_plane_is_the_first_doubt_of_every_study() {
    let folder = folder_with_hull();
    let mut off = mapped(&box_facets(), |[x, y, z]| [x, y + 0.5, z]);
    off.push(off[0]);
    folder.write("hull.stl", binary(&off));
    folder.write(
        "boat.toml",
        "[hull]\nmesh = \"hull.stl\"\nmass = \"200 kg\"\ncentre = [1, 0.5, 0.1]\ndensity = 900\n[[opening]]\nname = \"port\"\nbox = { min = [0.9, 0.9, 0.3], max = [1.1, 1.1, 0.4] }\n[[item]]\nname = \"bag\"\nmass = 1\nat = [1, 0.5, 0.1]\nvolume = \"1 L\"\n",
    );
    let mark = |x: f64, y: f64| {
        format!("[[float_mark]]\nat = [{x:?}, {y:?}, 0.5]\nover_water = \"0.4 m\"\n")
    };
    folder.write(
        "measured.toml",
        mark(0.0, 1.0) + &mark(2.0, 1.0) + &mark(1.0, 0.0),
    );
    let others: [&[&str]; 7] = [
        &["slice", "boat.toml", "--waterline", "0.1"],
        &["trapped", "boat.toml"],
        &["dive", "boat.toml"],
        &["where", "boat.toml"],
        &["compare", "boat.toml", "boat.toml"],
        &[
            "template",
            "boat.toml",
            "--station",
            "1",
            "-o",
            "t.svg",
            "--force",
        ],
        &["report", "boat.toml", "-o", "page.html", "--force"],
    ];
    for line in AFLOAT.into_iter().chain(others) {
        let more = ["--format", "json"];
        let result = awash_in(folder.path(), line.iter().chain(&more)).json();
        // `compare` has a list a boat.
        let lists = match &result["mesh_doubts"] {
            Value::Array(list) if list.iter().all(Value::is_array) => list.clone(),
            list => vec![list.clone()],
        };
        assert!(!lists.is_empty(), "{line:?}");
        for list in &lists {
            let texts: Vec<&str> = list
                .as_array()
                .into_iter()
                .flatten()
                .filter_map(|doubt| doubt["text"].as_str())
                .collect();
            assert!(texts.len() > 2, "{line:?}: {texts:?}");
            assert!(texts[0].contains(LIE), "{line:?}: {texts:?}");
        }
        // The doubts stand under a heading of their own.
        let table = awash_in(folder.path(), line).stdout;
        let (_, told) = table
            .split_once("DOUBTS")
            .unwrap_or_else(|| panic!("{line:?}: {table}"));
        let first = told.lines().nth(1).unwrap_or_default();
        assert!(first.contains(LIE), "{line:?}: {told}");
    }
    let page = std::fs::read_to_string(folder.path().join("page.html")).expect("a page");
    let place = |text: &str| page.find(text).unwrap_or_else(|| panic!("no {text}"));
    assert!(place(LIE) < place("no unit"), "the page");
}
