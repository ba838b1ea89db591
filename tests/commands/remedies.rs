//! `awash place`, `awash sill`, `awash calibrate`, and the drawings of `curves` and
//! the load map.
use std::path::Path;

use super::box_boat::{folder_with_hull, with};
use super::run::{Folder, assert_near, awash, awash_in, number};

const AFTER: &str = "tests/boats/after.toml";

#[test]
fn place_tells_now_best_and_level() {
    let answer = awash(["place", AFTER, "battery", "--format=json"]);
    let result = answer.json();
    let now = number(&result["now"], "lowest_sill_m");
    assert!(number(&result["best"], "lowest_sill_m") > now, "{answer:?}");
    let level = &result["level"];
    assert_near(number(&level["cell"], "heel_deg"), 0.0, 1e-6);
    assert_near(number(&level["cell"], "pitch_deg"), 0.0, 1e-6);
    // Where it is, the craft floats as `awash float` says.
    let float = awash(["float", AFTER, "--format=json"]).json();
    assert_near(
        number(&result["now"], "heel_deg"),
        number(&float, "heel_deg"),
        1e-6,
    );
    let cells = result["cells"].as_array().expect("a list");
    assert!(cells.len() > 50 && cells.len() <= 18 * 7, "{}", cells.len());
    // The well goes right through: nothing stands there.
    let in_the_well = |cell: &&serde_json::Value| {
        let at = |axis: usize| cell["at_m"][axis].as_f64().expect("a number");
        (0.30..0.68).contains(&at(0)) && at(1).abs() < 0.08
    };
    assert_eq!(cells.iter().filter(in_the_well).count(), 0);
    // The notch yardstick fails on the knock: 12 J.
    assert_eq!(
        awash(["place", AFTER, "motor", "--strict"]).code,
        1,
        "marginal as it is"
    );
}

#[test]
fn names_that_are_not_there_are_told_with_those_that_are() {
    let answer = awash(["place", AFTER, "anvil"]);
    let message = answer.refusal();
    assert!(message.contains("no item \"anvil\""), "{message}");
    assert!(message.contains("\"bow weight\""), "{message}");
    // The hull is no item to be moved.
    assert!(!message.contains("\"hull\""), "{message}");
    let answer = awash(["sill", AFTER, "hatch"]);
    let message = answer.refusal();
    assert!(message.contains("no opening \"hatch\""), "{message}");
    assert!(message.contains("\"well lip\""), "{message}");
}

#[test]
fn sill_reaches_the_yardstick_or_says_that_it_does_not() {
    // A box of 2 × 1 × 0.5 m and 200 kg: 400 mm above the water, 450 mm are wanted.
    let folder = folder_with_hull();
    let hatch = "[[opening]]\nname = \"hatch\"\nrim = [[0.8, -0.2, 0.5], [1.2, -0.2, 0.5], [1.2, 0.2, 0.5], [0.8, 0.2, 0.5]]\n[yardsticks]\nsill_green = \"45 cm\"\n";
    folder.write("boat.toml", with(hatch));
    let run = |more: &[&str]| {
        let all: Vec<&str> = ["sill", "boat.toml", "hatch"]
            .iter()
            .chain(more)
            .copied()
            .collect();
        awash_in(folder.path(), &all)
    };
    let result = run(&["--format=json"]).json();
    // A wall h of 1.6 m and 6 kg/m² sinks 2 m² by 4.8 mm a metre of it.
    let wall = number(&result, "wall_to_yardstick_m");
    assert_near(wall, 0.05 / (1.0 - 0.0048), 1e-8);
    assert_eq!(run(&["--strict"]).code, 0);
    let answer = run(&["--up-to", "5 mm", "--strict"]);
    assert_eq!(answer.code, 1, "{answer:?}");
    assert!(answer.stdout.contains("Even a wall of 5 mm"), "{answer:?}");
    // The notch is a hole in the transom: no wall helps.
    let answer = awash(["sill", AFTER, "transom notch", "--strict"]);
    assert_eq!(answer.code, 1, "{answer:?}");
    assert!(answer.stdout.contains("a hole in the side"), "{answer:?}");
    let answer = awash(["sill", AFTER, "transom notch", "--up-to", "0"]);
    assert!(answer.refusal().contains("--up-to must be more than 0"));
}

#[test]
fn every_drawing_is_written_and_kept() {
    let folder = Folder::new();
    let runs: [(&str, &[&str], &str); 4] = [
        ("place.svg", &["place", AFTER, "motor"], "--svg"),
        ("sill.svg", &["sill", AFTER, "well lip"], "--svg"),
        ("curves.svg", &["curves", AFTER], "--svg"),
        ("load.svg", &["margins", AFTER], "--load-svg"),
    ];
    for (name, command, option) in runs {
        let file = folder.path().join(name);
        let path = file.to_str().expect("UTF-8");
        let full: Vec<&str> = command.iter().copied().chain([option, path]).collect();
        let answer = awash(&full);
        assert_eq!((answer.code, answer.stderr.as_str()), (0, ""), "{name}");
        let text = std::fs::read_to_string(&file).expect("written");
        assert!(
            text.starts_with("<svg ") && text.ends_with("</svg>\n"),
            "{name}"
        );
        assert!(text.contains("<title id=\"title\">decked craft"), "{name}");
        assert!(!text.contains("NaN") && !text.contains("inf"), "{name}");
        assert!(awash(&full).refusal().contains("already there"), "{name}");
        let forced: Vec<&str> = full.iter().copied().chain(["--force"]).collect();
        assert_eq!(awash(&forced).code, 0, "{name}");
    }
    let left = std::fs::read_dir(folder.path()).expect("readable").count();
    assert_eq!(left, 4, "no half-written file stays");
}

/// Marks made up from the attitude that `awash float` gives must change nothing,
/// and the file written must float as the old one does.
#[test]
fn calibrate_by_its_own_answer_changes_nothing() {
    let float = awash(["float", AFTER, "--format=json"]).json();
    let (heel, pitch) = (
        number(&float, "heel_deg").to_radians(),
        number(&float, "pitch_deg").to_radians(),
    );
    let up = [
        pitch.sin(),
        pitch.cos() * heel.sin(),
        pitch.cos() * heel.cos(),
    ];
    let level = number(&float, "waterline_height_m") * up[2];
    let marks: String = [
        [0.0, 0.25, 0.36],
        [0.0, -0.25, 0.36],
        [3.3, 0.0, 0.42],
        [1.7, 0.4, 0.34],
    ]
    .iter()
    .map(|at| {
        let over: f64 = at.iter().zip(up).map(|(x, u)| x * u).sum::<f64>() - level;
        format!("[[float_mark]]\nat = {at:?}\nover_water = {over:?}\n")
    })
    .collect();
    let folder = Folder::new();
    let measured = folder.write("measured.toml", marks);
    let new = folder.path().join("new.toml");
    let after = Path::new(env!("CARGO_MANIFEST_DIR")).join(AFTER);
    let arguments = [
        "calibrate".as_ref(),
        after.as_os_str(),
        measured.as_os_str(),
        "--output".as_ref(),
        new.as_os_str(),
        "--format=json".as_ref(),
    ];
    let result = awash(arguments).json();
    let mass = number(&float, "mass_kg");
    assert_near(number(&result, "mass_kg"), mass, 1e-6);
    for axis in 0..3 {
        let coordinate = |key: &str| result[key][axis].as_f64().expect("a number");
        let (got, was) = (
            coordinate("centre_of_gravity_m"),
            coordinate("centre_in_file_m"),
        );
        assert_near(got, was, 1e-6);
    }
    let again = awash(["float".as_ref(), new.as_os_str(), "--format=json".as_ref()]).json();
    for key in ["mass_kg", "heel_deg", "pitch_deg", "waterline_height_m"] {
        assert_near(number(&again, key), number(&float, key), 1e-5);
    }
    // Not again, and never over what it starts from.
    assert!(awash(arguments).refusal().contains("already there"));
    let over_itself = [
        "calibrate".as_ref(),
        new.as_os_str(),
        measured.as_os_str(),
        "--output".as_ref(),
        new.as_os_str(),
        "--force".as_ref(),
    ];
    let before = std::fs::read(&new).expect("there");
    assert!(awash(over_itself).refusal().contains("is made of"));
    assert_eq!(std::fs::read(&new).expect("there"), before);
}

#[test]
fn measurements_that_tell_nothing_are_refused() {
    let folder = Folder::new();
    let mark = "[[float_mark]]\nat = [0, 0, 0.4]\nover_water = \"10 cm\"\n";
    for (text, words) in [
        ("", "nothing gives the mass"),
        (mark, "three or more"),
        (
            "[[float_mark]]\nat = [0, 0, 0.4]\nover_watter = 0.1\n",
            "over_watter",
        ),
        (
            "[two_scales]\naft = { x = 1, reads = 90 }\nfore = { x = 1, reads = 90 }\n",
            "must stand apart",
        ),
        (
            "[two_scales]\naft = { x = 0, reads = 9 }\nfore = { x = 3, reads = 9 }\n",
            "nothing is left for the hull",
        ),
    ] {
        let measured = folder.write("measured.toml", text);
        let answer = awash(["calibrate".as_ref(), AFTER.as_ref(), measured.as_os_str()]);
        let message = answer.refusal();
        assert!(message.contains(words), "no `{words}`: {message}");
        assert!(message.contains("measured.toml"), "{message}");
    }
    let three: String = [0.0, 1.0, 2.0]
        .iter()
        .map(|x| format!("[[float_mark]]\nat = [{x:?}, 0, 0.4]\nover_water = \"10 cm\"\n"))
        .collect();
    let measured = folder.write("line.toml", three);
    let answer = awash(["calibrate".as_ref(), AFTER.as_ref(), measured.as_os_str()]);
    assert!(answer.refusal().contains("in one line"), "{answer:?}");
}
