//! Where `awash place` lets an item go on hulls whose sides are not upright.
use serde_json::Value;

use super::box_boat::{folder_with_hull, with};
use super::run::{Folder, awash_in, number};
use super::stl::{binary, box_facets, mapped};

/// A prism 2 m long and 0.5 m high whose half-breadth goes from one at the keel to another
/// at the deck, with an item "bag" and an opening in its deck.
fn prism(half_m: [f32; 2], more: &str) -> Folder {
    let folder = Folder::new();
    let sides = mapped(&box_facets(), |[x, y, z]| {
        let half = half_m[0] + (half_m[1] - half_m[0]) * z / 0.5;
        [x, y * half / 0.5, z]
    });
    folder.write("hull.stl", binary(&sides));
    let hatch = "[[opening]]\nname = \"hatch\"\nrim = [[0.9, -0.1, 0.5], [1.1, -0.1, 0.5], [1.1, 0.1, 0.5], [0.9, 0.1, 0.5]]\n";
    folder.write("boat.toml", with(&format!("{hatch}{more}")));
    folder
}

fn bag(at: [f64; 3], more: &str) -> String {
    format!("[[item]]\nname = \"bag\"\nmass = \"30 kg\"\nat = {at:?}\n{more}")
}

/// Every place that `place` gives: the grid's and the best.
fn places(result: &Value) -> Vec<[f64; 3]> {
    let cells = result["cells"].as_array().expect("a list");
    let all = cells.iter().chain(std::iter::once(&result["best"]));
    all.map(|cell| [0, 1, 2].map(|k| cell["at_m"][k].as_f64().expect("a number")))
        .collect()
}

/// Derived in closed form: the half-breadth at a height of a prism with plane sides.
#[test]
fn an_item_stays_within_the_skin_at_its_height() {
    // Flared, and with tumblehome; the item low in one and high in the other.
    for (half_m, z) in [([0.15_f32, 0.5], 0.1), ([0.5, 0.2], 0.4)] {
        let bounds = half_m.map(f64::from);
        let half = bounds[0] + (bounds[1] - bounds[0]) * z / 0.5;
        for more in ["", "density = \"400 kg/m3\"\n", "size = [0.1, 0.1, 0.1]\n"] {
            let folder = prism(half_m, &bag([1.0, 0.05, z], more));
            let answer = awash_in(
                folder.path(),
                ["place", "boat.toml", "bag", "--format=json"],
            );
            let result = answer.json();
            let all = places(&result);
            assert!(all.len() > 18, "{more}: {}", all.len());
            let off = all.iter().find(|at| at[1].abs() > half);
            assert_eq!(off, None, "{half_m:?} {more}: past {half} m");
            assert!(number(&result, "outside_the_hull") > 0.0, "{more}");
            let told = awash_in(folder.path(), ["place", "boat.toml", "bag"]).stdout;
            assert!(told.contains("outside the hull at this height"), "{told}");
        }
    }
}

/// Derived in closed form: what stands 60 mm off the side may stand so far off elsewhere.
#[test]
fn what_stands_outside_goes_no_further_outside() {
    // The side leans 0.35 in 0.5: 60 mm off it is 73 mm along y.
    let half = 0.15 + 0.7 * 0.1;
    let along_y = 0.06 * (1.0_f64 + 0.7 * 0.7).sqrt();
    let folder = prism([0.15, 0.5], &bag([1.0, half + along_y, 0.1], ""));
    let result = awash_in(
        folder.path(),
        ["place", "boat.toml", "bag", "--format=json"],
    )
    .json();
    let all = places(&result);
    let off = all.iter().find(|at| at[1].abs() > half + along_y + 1e-6);
    assert_eq!(off, None);
    // Rows lie 143 mm apart: the second from the middle lies 66 mm off.
    assert!(all.iter().any(|at| at[1].abs() > half), "{all:?}");
}

#[test]
fn what_shapes_the_hull_is_not_moved() {
    let parts = [
        "name = \"fin\"\nrole = \"add\"\nbox = { min = [0.2, -0.05, -0.2], max = [0.6, 0.05, 0.1] }\nmass = \"3 kg\"\n",
        "name = \"fin\"\nrole = \"add\"\nbox = { min = [0.2, -0.05, -0.2], max = [0.6, 0.05, 0.1] }\nskin = { thickness = \"4 mm\", density = \"1400 kg/m3\" }\n",
    ];
    for part in parts {
        let folder = prism([0.3, 0.5], &format!("[[part]]\n{part}"));
        let answer = awash_in(folder.path(), ["place", "boat.toml", "fin"]);
        let message = answer.refusal();
        assert!(
            message.contains("\"fin\" is a part of the hull"),
            "{message}"
        );
        let answer = awash_in(folder.path(), ["place", "boat.toml", "anvil"]);
        assert!(answer.refusal().contains("no item \"anvil\""), "{answer:?}");
    }
}

/// The texts of a drawing, in their order.
fn texts(svg: &str) -> Vec<&str> {
    let pieces = svg.split("<text ").skip(1);
    let inside = pieces.filter_map(|piece| piece.split_once('>')?.1.split_once("</text>"));
    inside.map(|(text, _)| text).collect()
}

fn mapped_place(at: [f64; 3]) -> (String, Value) {
    let folder = prism([0.15, 0.5], &bag(at, ""));
    let run = [
        "place",
        "boat.toml",
        "bag",
        "--svg",
        "map.svg",
        "--format=json",
    ];
    let result = awash_in(folder.path(), run).json();
    let svg = std::fs::read_to_string(folder.path().join("map.svg")).expect("written");
    (svg, result)
}

fn sill_mm(cell: &Value) -> String {
    format!("{:.0} mm", 1e3 * number(cell, "lowest_sill_m"))
}

/// Internal consistency: the map against the study.
#[test]
fn the_map_marks_now_with_the_sill_as_it_is() {
    // Beside the middle of its cell, which has another sill.
    let (svg, result) = mapped_place([0.33, 0.06, 0.1]);
    let texts_of = texts(&svg);
    let now = texts_of.iter().position(|text| *text == "now");
    let label = texts_of[now.expect("marked") - 1];
    assert_eq!(label, format!("✓ {}", sill_mm(&result["now"])));
    // With the best place in one cell, each with its own.
    let (svg, result) = mapped_place([1.03, 0.06, 0.1]);
    let both = [("now", &result["now"]), ("best", &result["best"])];
    assert_ne!(sill_mm(both[0].1), sill_mm(both[1].1));
    for (word, cell) in both {
        let label = format!("{word} ✓ {}", sill_mm(cell));
        assert!(texts(&svg).contains(&label.as_str()), "no {label}");
    }
    // Off the hull, where no place is.
    let (svg, result) = mapped_place([2.3, 0.0, 0.1]);
    let line = format!(
        "now lies off the numbered places, at x 2.30 m, y 0.00 m: ✓ {}",
        sill_mm(&result["now"])
    );
    assert!(texts(&svg).contains(&line.as_str()), "{:?}", texts(&svg));
}

#[test]
fn the_load_map_says_at_what_height_the_load_stands() {
    let folder = prism([0.3, 0.5], "");
    let run = ["margins", "boat.toml", "--load-svg", "load.svg"];
    let told = awash_in(folder.path(), run).stdout;
    let height = "the load's weight is at z 300 mm everywhere";
    assert!(told.contains(height), "{told}");
    let svg = std::fs::read_to_string(folder.path().join("load.svg")).expect("written");
    let alt = svg
        .split_once("<desc id=\"description\">")
        .expect("there")
        .1;
    let alt = alt.split_once("</desc>").expect("ends").0;
    assert!(alt.contains("most ") && alt.contains(" kg at x "), "{alt}");
    assert!(alt.contains(height), "{alt}");
}

/// A model 300 mm long takes in some millilitres through a hole of 5 mm.
#[test]
fn a_models_water_is_told_in_millilitres() {
    let folder = Folder::new();
    let small = mapped(&box_facets(), |p| p.map(|v| 0.15 * v));
    folder.write("hull.stl", binary(&small));
    let boat = "[hull]\nmesh = \"hull.stl\"\nunits = \"m\"\nmass = \"1 kg\"\ncentre = [0.15, 0, 0.02]\n[[opening]]\nname = \"hole\"\nrim = [[0.15, 0.05, 0.075], [0.155, 0.05, 0.075], [0.155, 0.055, 0.075], [0.15, 0.055, 0.075]]\n";
    folder.write("boat.toml", boat);
    for (units, unit) in [("metric", "mL"), ("us", "US fl oz")] {
        let run = [
            "swamp",
            "boat.toml",
            "--svg",
            "film.svg",
            "--force",
            "--units",
            units,
        ];
        let told = awash_in(folder.path(), run).stdout;
        let told = told.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(told.contains(&format!("{unit} inside at most")), "{told}");
        assert!(!told.contains(": 0.0"), "{told}");
        let film = std::fs::read_to_string(folder.path().join("film.svg")).expect("written");
        assert!(film.contains(&format!("{unit} inside, heel")), "{film}");
    }
}

#[test]
fn a_doubt_about_an_item_is_none_about_the_mesh() {
    let folder = folder_with_hull();
    folder.write(
        "boat.toml",
        with("[[item]]\nname = \"bag\"\nmass = \"1 g\"\nat = [300, 0, 0.1]\n"),
    );
    let answer = awash_in(folder.path(), ["report", "boat.toml", "-o", "page.html"]);
    assert_eq!(answer.code, 0, "{answer:?}");
    let page = std::fs::read_to_string(folder.path().join("page.html")).expect("written");
    assert!(
        page.contains("about what the boat file says</strong>"),
        "{page}"
    );
    assert!(!page.contains("about the mesh"), "{page}");
    // A question about a unit holds the number that it would be of.
    let told = awash_in(folder.path(), ["float", "boat.toml", "--units", "us"]).stdout;
    let told = told.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(told.contains(": was 300 mm or cm meant?"), "{told}");
}

/// Derived in closed form: a box level with its weight amidships wants the item's centre there,
/// 0.20 m aft and 0.10 m to starboard; ± 2 cm of the hull's 200 kg along the boat are ± 0.2 m
/// of the item's 20 kg, so along the boat the sentence says no more than a decimetre.
#[test]
fn a_shift_is_told_to_the_digits_that_the_masses_bear() {
    let folder = Folder::new();
    folder.write("hull.stl", binary(&box_facets()));
    folder.write(
        "boat.toml",
        "[hull]\nmesh = \"hull.stl\"\nunits = \"m\"\nmass = 200\ncentre = [\"1 m ± 2 cm\", 0, 0.1]\n[[item]]\nname = \"bag\"\nmass = 20\nat = [1.2, 0.1, 0.2]\n",
    );
    let line = ["place", "boat.toml", "bag"];
    let told = awash_in(folder.path(), line).stdout;
    let told = told.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        told.contains("move it 0.2 m aft and 0.10 m to starboard"),
        "{told}"
    );
    let json = awash_in(folder.path(), [&line[..], &["--format=json"]].concat()).json();
    let spread = &json["level"]["shift_spread_m"];
    let [x, y] = [0, 1].map(|k| spread[k].as_f64().expect("a number"));
    assert!((x - 0.2).abs() < 1e-9 && y.abs() < 1e-9, "{spread}");
}
