//! The boat file from text to data, and every way it can be wrong.
use std::path::Path;
use std::sync::Arc;

use super::*;
use crate::boat::problem::{Fault, Problem};

mod extending;
mod gas;
mod robustness;
mod values;

const GOOD: &str = r#"name = "Dipper"

[water]
salinity = "12 g/kg"
temperature = "59 °F"

[hull]
mesh = "meshes/dipper.stl"
units = "mm"
turn = { about_z = "180 deg" }
scale_to = { length = "3.4 m" }
origin = [0, 0, "-2 cm"]
skin = { thickness = "5 mm ± 1 mm", density = "955 kg/m3" }
fill_under = "20 cm"
draught_marks = { forward = 3.1, aft = 0.3 }

[[part]]
name = "stern wall"
role = "add"
box = { min = [0, -0.3, 0.2], max = [0.05, 0.3, 0.4] }
mass = "2 kg"
centre = [0.02, 0, 0.3]

[[part]]
name = "battery well"
role = "recess"
cylinder = { from = [1, 0, 0.1], to = [1, 0, 0.3], diameter = "110 mm" }
at = [0, 0, 0.01]

[[opening]]
name = "cockpit"
rim = [[1.2, 0.3, 0.25], [1.2, -0.3, "25 cm"]]

[[opening]]
name = "drain hole"
loop = 2
state = "drain"

[[item]]
name = "battery"
mass = "40 lb ± 1 lb"
at = [0.6, 0, "8 cm ± 1 cm"]
volume = "12 L"
sealed = true

[[item]]
name = "paddler"
mass = 75
at = [1.5, 0, 0.3]
size = [0.4, 0.4, 0.9]

[yardsticks]
sill_red = "6 cm"
tilt_green = 20
"#;

/// Reads `files` from memory, the first being the one the user names.
fn read_files(files: &[(&str, &[u8])]) -> Result<BoatFile, BoatFileError> {
    let mut memory = Memory::default();
    for (path, bytes) in files {
        memory.add(path, *bytes);
    }
    let from: Arc<dyn Files> = Arc::new(memory);
    BoatFile::read_from(&from, Path::new(files[0].0))
}

fn read(text: &str) -> Result<BoatFile, BoatFileError> {
    read_files(&[("boat.toml", text.as_bytes())])
}

fn good(text: &str) -> BoatFile {
    read(text).unwrap_or_else(|error| panic!("{error}"))
}

fn extended(after: &str, before: &str) -> Result<BoatFile, BoatFileError> {
    read_files(&[
        ("after.toml", after.as_bytes()),
        ("before.toml", before.as_bytes()),
    ])
}

/// The problems of a text that must have some.
fn problems(text: &str) -> Vec<Problem> {
    match read(text) {
        Ok(boat) => panic!("read without a problem: {boat:?}"),
        Err(error) => error.problems,
    }
}

/// The only problem of a text that must have just one.
fn problem(text: &str) -> Problem {
    let mut problems = problems(text);
    assert_eq!(problems.len(), 1, "{problems:#?}");
    problems.remove(0)
}

/// The only problem of a `[hull]` with its mesh, followed by `rest`.
fn hull_problem(rest: &str) -> Problem {
    problem(&format!("[hull]\nmesh = \"h.stl\"\n{rest}\n"))
}

fn line_and_column(problem: &Problem) -> (usize, usize) {
    (problem.place.line(), problem.place.column())
}

fn assert_near(got: f64, expected: f64) {
    // Unit conversions round a few times.
    assert!(
        (got - expected).abs() <= 1e-12 * expected.abs().max(1.0),
        "{got} is not {expected}"
    );
}

#[test]
fn every_key_arrives_in_si_with_its_spread() {
    let boat = good(GOOD);
    assert_eq!(boat.name.as_deref(), Some("Dipper"));
    let WaterGiven::Measured {
        salinity,
        temperature,
    } = boat.water_given
    else {
        panic!("{:?}", boat.water_given);
    };
    assert_near(salinity.value, 12.0);
    assert_near(temperature.value, 15.0);

    let hull = &boat.hull;
    assert_eq!(hull.mesh, Path::new("meshes/dipper.stl"));
    assert_eq!(hull.units, Some(MeshUnits::Millimetre));
    let turn = hull.turn.unwrap();
    assert_near(turn.about_z.value, 180.0);
    assert_near(turn.about_x.value, 0.0);
    assert_near(hull.scale_to_length.unwrap().value, 3.4);
    assert_near(hull.origin.unwrap()[2].value, -0.02);
    let Weight::Skin(skin) = hull.weight else {
        panic!("{:?}", hull.weight);
    };
    assert_near(skin.thickness.value, 0.005);
    assert_near(skin.thickness.spread, 0.001);
    assert_near(skin.density.value, 955.0);
    assert_near(hull.fill_under.unwrap().value, 0.2);
    assert_near(hull.draught_marks.unwrap().forward.value, 3.1);

    let [wall, well] = boat.parts.as_slice() else {
        panic!("{:?}", boat.parts);
    };
    assert_eq!(wall.role, Role::Add);
    let Shape::Box(shape) = wall.shape else {
        panic!("{:?}", wall.shape);
    };
    assert_eq!(
        shape.corners_m(),
        (Vec3::new(0.0, -0.3, 0.2), Vec3::new(0.05, 0.3, 0.4))
    );
    let Weight::Weighed {
        mass,
        centre: Some(centre),
        density: None,
    } = wall.weight
    else {
        panic!("{:?}", wall.weight);
    };
    assert_near(mass.value, 2.0);
    assert_eq!(point_m(&centre), Vec3::new(0.02, 0.0, 0.3));
    assert_eq!(well.role, Role::Recess);
    assert_eq!(well.weight, Weight::Unknown);
    assert_near(well.at[2].value, 0.01);
    let Shape::Cylinder(cylinder) = well.shape else {
        panic!("{:?}", well.shape);
    };
    assert_near(cylinder.radius.value, 0.055);

    let [cockpit, drain] = boat.openings.as_slice() else {
        panic!("{:?}", boat.openings);
    };
    assert_eq!(cockpit.state, OpeningState::Open);
    let rim = cockpit.rim.as_ref().unwrap();
    assert_eq!(cockpit.mark, None);
    assert_eq!(point_m(&rim[1]), Vec3::new(1.2, -0.3, 0.25));
    assert_eq!(drain.mark, Some(Mark::Loop(2)));
    assert_eq!(drain.state, OpeningState::Drain);

    let [battery, paddler] = boat.items.as_slice() else {
        panic!("{:?}", boat.items);
    };
    // 1 lb = 0.45359237 kg exactly (international yard and pound agreement, 1959).
    assert_near(battery.mass.value, 40.0 * 0.453_592_37);
    assert_near(battery.mass.spread, 0.453_592_37);
    assert_near(battery.at[2].spread, 0.01);
    let Some(Bulk::Volume(volume)) = battery.bulk else {
        panic!("{:?}", battery.bulk);
    };
    assert_near(volume.value, 0.012);
    assert!(battery.sealed && !paddler.sealed);
    assert_eq!(point_m(&paddler.size.unwrap()), Vec3::new(0.4, 0.4, 0.9));

    assert_near(boat.yardsticks.sill.red.value, 0.06);
    assert_near(boat.yardsticks.sill.green.value, 0.10);
    assert_eq!(
        boat.yardsticks.sill.source,
        "the boat file, boat.toml:53:12"
    );
    assert_near(boat.yardsticks.tilt.green.value, 20.0);
    assert!(boat.yardsticks.energy.source.contains("no source"));
}

/// What is asked of a craft with water inside may be changed, each limit with its
/// place as source unless the file names one.
#[test]
fn yardsticks_with_water_inside_come_from_the_file() {
    let given = "floats_with_one_flooded = false\nswamped_sill_green = \"8 cm\"\nswamped_lean_red = 45\ngap_red = \"3 cm\"\n";
    let read = good(&format!("[hull]\nmesh = \"h.stl\"\n[yardsticks]\n{given}")).yardsticks;
    assert!(!read.floats_with_one_flooded.asked && read.floats_swamped.asked);
    assert_eq!(
        read.floats_with_one_flooded.source,
        "the boat file, boat.toml:4:27"
    );
    assert_near(read.swamped_sill.green.value, 0.08);
    assert_near(read.swamped_lean.red.value, 45.0);
    assert_near(read.swamped_lean.green.value, 10.0);
    assert_near(read.gap.red.value, 0.03);
    let named = format!("{given}swamped_source = \"our club\"\n");
    let read = good(&format!("[hull]\nmesh = \"h.stl\"\n[yardsticks]\n{named}")).yardsticks;
    assert_eq!(read.floats_swamped.source, "our club");
    assert_eq!(read.swamped_lean.source, "our club");
    let upside_down = problem("[hull]\nmesh = \"h.stl\"\n[yardsticks]\nswamped_lean_red = 5\n");
    assert!(upside_down.to_string().contains("over red it fails"));
}

#[test]
fn the_least_file_has_fresh_water_and_no_weight() {
    let boat = good("[hull]\nmesh = \"h.stl\"\n");
    assert_eq!(boat.water_given, WaterGiven::Fresh);
    assert_eq!(boat.water, Water::fresh());
    assert_eq!(boat.hull.weight, Weight::Unknown);
    assert_eq!(boat.yardsticks, Yardsticks::default());
    assert!(boat.parts.is_empty() && boat.openings.is_empty() && boat.items.is_empty());
}

#[test]
fn serialises_with_places_as_text() {
    let json = serde_json::to_value(good(GOOD)).unwrap();
    assert_eq!(json["items"][0]["place"], "boat.toml:39:1");
    assert_eq!(json["hull"]["units"], "mm");
    assert_eq!(json["openings"][1]["state"], "drain");
}

#[test]
fn unknown_key_says_where_and_what_was_meant() {
    let problem =
        hull_problem("[[item]]\nname = \"battery\"\nmass = 18\nat = [0, 0, 0]\nvolum = \"9 L\"");
    let printed = problem.to_string();
    assert_eq!(
        printed,
        "boat.toml:7:1: unknown key `volum` in [[item]] \"battery\"\n  \
           7 | volum = \"9 L\"\n    \
             | ^^^^^\n  \
           help: did you mean `volume`?"
    );
}

#[test]
fn misspelt_required_key_is_both_missing_and_suggested() {
    let text =
        "[hull]\nmesh = \"h.stl\"\n\n[[item]]\nname = \"battery\"\n  mas = 18\nat = [0, 0, 0]\n";
    let found = problems(text);
    let [missing, unknown] = found.as_slice() else {
        panic!("{found:#?}");
    };
    assert!(matches!(&missing.fault, Fault::Missing { what, .. } if what == "`mass`"));
    assert_eq!(line_and_column(missing), (4, 1));
    assert!(matches!(&unknown.fault, Fault::UnknownKey { key, .. } if key == "mas"));
    assert_eq!(line_and_column(unknown), (6, 3));
    assert_eq!(unknown.help.as_deref(), Some("did you mean `mass`?"));
}

#[test]
fn everyday_words_lead_to_the_key() {
    let meant: Vec<Option<String>> = problems(
        "[hull]\nmesh = \"h.stl\"\n[[item]]\nname = \"motor\"\nweight = 5\nposition = [0, 0, 0]\n",
    )
    .into_iter()
    .filter(|problem| matches!(problem.fault, Fault::UnknownKey { .. }))
    .map(|problem| problem.help)
    .collect();
    let expected = ["did you mean `mass`?", "did you mean `at`?"];
    assert_eq!(meant, expected.map(|help| Some(help.to_owned())));

    let unrelated = hull_problem("[[opening]]\nname = \"o\"\nloop = 1\nweight = 5");
    let help = unrelated.help.unwrap_or_default();
    assert!(help.starts_with("known here: `name`"), "{help}");
}

#[test]
fn misplaced_key_names_its_table() {
    let problem = hull_problem("rim = [[1, 0, 0]]");
    assert_eq!(
        problem.help.as_deref(),
        Some("`rim` belongs to [[opening]]")
    );
    assert_eq!(line_and_column(&problem), (3, 1));
}

#[test]
fn columns_count_characters_and_skip_a_byte_order_mark() {
    let text = "\u{feff}[hull]\r\nmesh = \"h.stl\"\r\nskin = { \"dické\" = 1, thickness = \"5 mm\", density = 955, x = 1 }\r\n";
    let found = problems(text);
    let columns: Vec<_> = found.iter().map(line_and_column).collect();
    assert_eq!(columns, [(3, 10), (3, 58)]);
    assert!(!found[0].to_string().contains('\r'));
}

#[test]
fn crlf_and_byte_order_mark_read_like_plain_text() {
    let crlf = format!("\u{feff}{}", GOOD.replace('\n', "\r\n"));
    assert_eq!(
        serde_json::to_value(good(&crlf)).unwrap(),
        serde_json::to_value(good(GOOD)).unwrap()
    );
}

#[test]
fn a_bare_byte_order_mark_or_nothing_lacks_a_hull() {
    for text in ["", "\u{feff}", "\n\n# nothing yet\n"] {
        let problem = problem(text);
        assert!(
            matches!(&problem.fault, Fault::Missing { what, .. } if what == "`hull`"),
            "{problem}"
        );
    }
}

#[test]
fn bytes_that_are_not_utf8_are_placed() {
    let found = read_files(&[("boat.toml", b"[hull]\nmesh = \"b\xE9.stl\"\n")]).unwrap_err();
    let problem = &found.problems[0];
    assert_eq!(problem.fault, Fault::NotUtf8 { byte: 17 });
    assert_eq!(line_and_column(problem), (2, 10));

    let utf16: Vec<u8> = [0xFF, 0xFE]
        .into_iter()
        .chain("[hull]".bytes().flat_map(|byte| [byte, 0]))
        .collect();
    let found = read_files(&[("boat.toml", &utf16)]).unwrap_err();
    assert!(found.to_string().contains("UTF-16"), "{found}");
}

#[test]
fn garbled_toml_shows_line_caret_and_the_parsers_words() {
    let problem = problem("[hull]\nmesh = \"h.stl\"\nmass = 12 kg\n");
    assert_eq!(line_and_column(&problem), (3, 8));
    let printed = problem.to_string();
    assert!(
        printed.contains("3 | mass = 12 kg\n    |        ^^^^^"),
        "{printed}"
    );
    assert!(printed.contains("must be quoted"), "{printed}");
    assert!(
        printed.contains("help: text and numbers with a unit"),
        "{printed}"
    );
}

#[test]
fn doubled_key_is_pointed_at() {
    let problem = problem("[hull]\nmesh = \"h.stl\"\nmesh = \"g.stl\"\n");
    assert_eq!(line_and_column(&problem), (3, 1));
    assert!(problem.to_string().contains("duplicate key"), "{problem}");
}

#[test]
fn text_cut_off_in_a_string_is_pointed_at() {
    let problem = problem("[hull]\nmesh = \"h.st");
    assert!(matches!(problem.fault, Fault::Syntax { .. }));
    assert_eq!(line_and_column(&problem), (2, 13));
}

#[test]
fn all_problems_are_told_in_reading_order() {
    let text = "\
[water]
kind = \"salt\"

[hull]
mass = -3
centre = [0, \"left\", 0]
colour = \"red\"

[[item]]
name = \"battery\"
mass = \"heavy\"
";
    let found = problems(text);
    let lines: Vec<usize> = found.iter().map(|p| p.place.line()).collect();
    // Line 4: no mesh. Line 9: no `at`.
    assert_eq!(lines, [2, 4, 5, 6, 7, 9, 11]);
    let printed = read(text).unwrap_err().to_string();
    assert_eq!(printed.matches("boat.toml:").count(), 7, "{printed}");
}

#[test]
fn names_are_used_once() {
    let two = "[[item]]\nname = \"a\"\nmass = 1\nat = [0, 0, 0]\n".repeat(2);
    let problem = hull_problem(&two);
    assert!(
        problem
            .to_string()
            .contains("is used twice in [[item]]; first at boat.toml:3:1"),
        "{problem}"
    );
    assert_eq!(line_and_column(&problem), (7, 1));
}
