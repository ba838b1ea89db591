//! The boat file from text to data, and every way it can be wrong.
use std::collections::HashMap;
use std::fmt::Write as _;
use std::io;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use proptest::prelude::*;

use super::*;
use crate::boat::problem::{Fault, Problem};
use crate::quantity::QuantityError;
use crate::water::WaterError;

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
    let by_path: HashMap<PathBuf, Vec<u8>> = files
        .iter()
        .map(|(path, bytes)| (PathBuf::from(path), bytes.to_vec()))
        .collect();
    BoatFile::read_with(Path::new(files[0].0), &|path: &Path| {
        by_path
            .get(path)
            .cloned()
            .ok_or_else(|| io::Error::from(io::ErrorKind::NotFound))
    })
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

/// The only problem of `[hull]` with its mesh and `rest` below.
fn hull_problem(rest: &str) -> Problem {
    problem(&format!("[hull]\nmesh = \"h.stl\"\n{rest}\n"))
}

/// The only problem of a good hull followed by `rest`.
fn problem_after_hull(rest: &str) -> Problem {
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
    let Mark::Rim(rim) = &cockpit.mark else {
        panic!("{:?}", cockpit.mark);
    };
    assert_eq!(point_m(&rim[1]), Vec3::new(1.2, -0.3, 0.25));
    assert_eq!(drain.mark, Mark::Loop(2));
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
    let problem = problem_after_hull(
        "[[item]]\nname = \"battery\"\nmass = 18\nat = [0, 0, 0]\nvolum = \"9 L\"",
    );
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
    assert!(matches!(&missing.fault, Fault::Missing { key, .. } if key == "mass"));
    assert_eq!(line_and_column(missing), (4, 1));
    assert!(matches!(&unknown.fault, Fault::UnknownKey { key, .. } if key == "mas"));
    assert_eq!(line_and_column(unknown), (6, 3));
    assert_eq!(unknown.help.as_deref(), Some("did you mean `mass`?"));
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
            matches!(&problem.fault, Fault::Missing { key, .. } if key == "hull"),
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
fn wrong_types_say_what_was_found_and_wanted() {
    for (rest, words) in [
        (
            "units = 3",
            "is the number 3; it must be one of \"m\", \"cm\"",
        ),
        (
            "mass = true\ncentre = [0, 0, 0]",
            "is true; it must be a mass",
        ),
        (
            "mass = 3\ncentre = 4",
            "is the number 4; it must be three lengths",
        ),
        (
            "mass = 3\ncentre = [1, 2]",
            "is a list of 2; it must be three lengths",
        ),
        (
            "skin = \"5 mm\"",
            "is the text \"5 mm\"; it must be a table",
        ),
        (
            "mass = 2026-01-01\ncentre = [0, 0, 0]",
            "is the date 2026-01-01",
        ),
        (
            "[water]\nkind = 1",
            "is the number 1; it must be one of \"fresh\"",
        ),
        (
            "[item]\nname = \"battery\"",
            "`item` in the boat file is a table; it must be a list",
        ),
    ] {
        let printed = hull_problem(rest).to_string();
        assert!(printed.contains(words), "{rest}: {printed}");
        assert!(printed.contains("help: for example "), "{rest}: {printed}");
    }
}

#[test]
fn numbers_that_are_not_finite_are_refused() {
    for number in ["nan", "-inf", "1e999", "\"1e999 kg\""] {
        let problem = hull_problem(&format!("mass = {number}\ncentre = [0, 0, 0]"));
        assert!(
            matches!(
                problem.fault,
                Fault::BadQuantity {
                    cause: QuantityError::NotFinite { .. },
                    ..
                }
            ),
            "{problem}"
        );
    }
}

#[test]
fn huge_integers_are_read_as_numbers() {
    let boat = good("[hull]\nmesh = \"h.stl\"\nmass = 99999999999999999999\ncentre = [0, 0, 0]\n");
    let Weight::Weighed { mass, .. } = boat.hull.weight else {
        panic!("{:?}", boat.hull.weight);
    };
    assert_near(mass.value, 1e20);
}

#[test]
fn units_are_checked() {
    let wrong = hull_problem("mass = \"3 m\"\ncentre = [0, 0, 0]");
    assert!(matches!(
        wrong.fault,
        Fault::BadQuantity {
            cause: QuantityError::WrongDimension { .. },
            ..
        }
    ));
    for rest in [
        "fill_under = 20",
        "fill_under = \"20\"",
        "skin = { thickness = 5, density = 955 }",
        "[yardsticks]\nsill_green = 12",
        "[yardsticks]\nenergy_green = 60",
    ] {
        let bare = hull_problem(rest);
        assert!(
            matches!(
                bare.fault,
                Fault::BadQuantity {
                    cause: QuantityError::MissingUnit { .. },
                    ..
                }
            ),
            "{rest}: {bare}"
        );
    }
}

#[test]
fn numbers_out_of_range_are_refused() {
    for (rest, words) in [
        ("mass = -1\ncentre = [0, 0, 0]", "must be more than 0"),
        ("mass = 0\ncentre = [0, 0, 0]", "must be more than 0"),
        (
            "skin = { thickness = \"0 mm\", density = 955 }",
            "must be more than 0",
        ),
        (
            "skin = { thickness = \"1 mm\", density = -955 }",
            "must be more than 0",
        ),
        ("scale_to = { length = 0 }", "must be more than 0"),
        (
            "draught_marks = { forward = 0.3, aft = 3 }",
            "must be more than `aft`",
        ),
        (
            "[yardsticks]\nsill_red = \"12 cm\"",
            "must be no more than `sill_green`",
        ),
        (
            "[yardsticks]\nsill_green = \"2 cm\"",
            "must be no less than `sill_red`",
        ),
        ("[yardsticks]\ntilt_red = -5", "must be 0 or more"),
        (
            "[[item]]\nname = \"foam\"\nmass = \"-3 kg\"\nat = [0, 0, 0]",
            "what lifts is not a negative mass",
        ),
        (
            "[[item]]\nname = \"foam\"\nmass = 0\nat = [0, 0, 0]",
            "leave it out until it is weighed",
        ),
        (
            "[[item]]\nname = \"foam\"\nmass = 1\nat = [0, 0, 0]\nvolume = \"0 L\"",
            "must be more than 0",
        ),
        (
            "[[part]]\nname = \"wall\"\nrole = \"add\"\nmass = -1\nbox = { centre = [0, 0, 0], size = [1, 1, 1] }",
            "must be 0 or more",
        ),
        (
            "[[part]]\nname = \"wall\"\nrole = \"add\"\nbox = { centre = [0, 0, 0], size = [1, 0, 1] }",
            "must be more than 0",
        ),
        (
            "[[part]]\nname = \"wall\"\nrole = \"add\"\nbox = { min = [0, 0, 0], max = [1, 0, 1] }",
            "must be more than `min` along y",
        ),
        (
            "[[opening]]\nname = \"vent\"\ncylinder = { from = [0, 0, 0], to = [0, 0, 1], radius = 0 }",
            "must be more than 0",
        ),
        (
            "[[opening]]\nname = \"vent\"\ncylinder = { from = [0, 0, 0], to = [0, 0, 0], radius = 1 }",
            "the same point as `from`",
        ),
    ] {
        let problem = hull_problem(rest);
        assert!(
            matches!(problem.fault, Fault::OutOfRange { .. }),
            "{problem}"
        );
        assert!(problem.to_string().contains(words), "{rest}: {problem}");
    }
}

#[test]
fn a_part_may_weigh_nothing_when_it_says_so() {
    let boat = good(
        "[hull]\nmesh = \"h.stl\"\n[[part]]\nname = \"gap\"\nrole = \"recess\"\nmass = 0\nmesh = \"gap.stl\"\nunits = \"in\"\n",
    );
    assert_eq!(
        boat.parts[0].weight,
        Weight::Weighed {
            mass: Quantity::exact(0.0),
            centre: None
        }
    );
    let Shape::Mesh { path, units } = &boat.parts[0].shape else {
        panic!("{:?}", boat.parts[0].shape);
    };
    assert_eq!(
        (path.as_path(), *units),
        (Path::new("gap.stl"), Some(MeshUnits::Inch))
    );
}

#[test]
fn missing_keys_come_with_an_example() {
    for (text, key) in [
        ("[hull]\n", "mesh"),
        ("[hull]\nmesh = \"h\"\nmass = 3\n", "centre"),
        ("[hull]\nmesh = \"h\"\ncentre = [0, 0, 0]\n", "mass"),
        (
            "[hull]\nmesh = \"h\"\nskin = { density = 955 }\n",
            "thickness",
        ),
        ("[hull]\nmesh = \"h\"\nturn = {}\n", "about_z"),
        (
            "[hull]\nmesh = \"h\"\n[water]\nsalinity = 35\n",
            "temperature",
        ),
        ("[hull]\nmesh = \"h\"\n[[opening]]\nname = \"o\"\n", "rim"),
        (
            "[hull]\nmesh = \"h\"\n[[part]]\nname = \"p\"\nmesh = \"p\"\n",
            "role",
        ),
        (
            "[hull]\nmesh = \"h\"\n[[part]]\nname = \"p\"\nrole = \"add\"\n",
            "mesh",
        ),
        (
            "[hull]\nmesh = \"h\"\n[[item]]\nmass = 1\nat = [0, 0, 0]\n",
            "name",
        ),
        (
            "[hull]\nmesh = \"h\"\n[[item]]\nname = \"i\"\nmass = 1\n",
            "at",
        ),
    ] {
        let problem = problem(text);
        assert!(
            matches!(&problem.fault, Fault::Missing { key: missing, .. } if missing == key),
            "{text}: {problem}"
        );
        assert!(problem.help.is_some_and(|help| help.starts_with("add ")));
    }
}

#[test]
fn two_ways_in_one_file_are_a_conflict() {
    for rest in [
        "mass = 3\ncentre = [0, 0, 0]\nskin = { thickness = \"5 mm\", density = 955 }",
        "[water]\nkind = \"sea\"\ndensity = 1025",
        "[water]\nkind = \"sea\"\ntemperature = 4",
        "[[opening]]\nname = \"o\"\nloop = 1\nrim = [[0, 0, 0]]",
        "[[part]]\nname = \"p\"\nrole = \"add\"\nmesh = \"p\"\nbox = { centre = [0, 0, 0], size = [1, 1, 1] }",
        "[[part]]\nname = \"p\"\nrole = \"add\"\nbox = { min = [0, 0, 0], size = [1, 1, 1] }",
        "[[opening]]\nname = \"o\"\ncylinder = { from = [0, 0, 0], to = [1, 0, 0], radius = 1, diameter = 2 }",
        "[[item]]\nname = \"i\"\nmass = 1\nat = [0, 0, 0]\nvolume = \"1 L\"\ndensity = 900",
    ] {
        let problem = hull_problem(rest);
        assert!(matches!(problem.fault, Fault::Conflict { .. }), "{problem}");
    }
}

#[test]
fn a_known_key_without_effect_is_told() {
    let problem = problem_after_hull(
        "[[part]]\nname = \"p\"\nrole = \"add\"\nunits = \"mm\"\nbox = { centre = [0, 0, 0], size = [1, 1, 1] }",
    );
    assert!(matches!(&problem.fault, Fault::UnusedKey { key, .. } if key == "units"));
}

#[test]
fn water_outside_what_water_can_be_is_refused() {
    for (rest, wanted_key) in [
        ("[water]\ndensity = 1.025", "density"),
        ("[water]\nsalinity = 350\ntemperature = 15", "salinity"),
        ("[water]\nsalinity = 35\ntemperature = 59", "temperature"),
    ] {
        let problem = hull_problem(rest);
        let Fault::Water { key, cause, .. } = &problem.fault else {
            panic!("{problem}");
        };
        assert_eq!(key, wanted_key);
        assert!(problem.place.line() >= 4, "{problem}");
        if let WaterError::Density { density_kg_m3 } = cause {
            assert_near(*density_kg_m3, 1.025);
        }
    }
}

#[test]
fn each_kind_of_water_is_its_own() {
    let water = |table: &str| good(&format!("[hull]\nmesh = \"h\"\n[water]\n{table}\n")).water;
    assert_eq!(water("kind = \"fresh\""), Water::fresh());
    assert_eq!(water("kind = \"sea\""), Water::sea());
    assert_eq!(water("kind = \"pool\""), Water::pool());
    assert_near(water("density = \"1.01 g/cm3\"").density_kg_m3, 1010.0);
}

#[test]
fn words_are_checked_against_the_choices() {
    let problem = problem_after_hull("[[opening]]\nname = \"o\"\nloop = 1\nstate = \"coverd\"");
    assert!(matches!(problem.fault, Fault::BadChoice { .. }));
    assert_eq!(problem.help.as_deref(), Some("did you mean \"covered\"?"));
}

#[test]
fn later_tables_and_roles_are_said_to_be_later() {
    for rest in [
        "[[part]]\nname = \"keel\"\nrole = \"attach\"\nmesh = \"keel.stl\"",
        "[[case]]\nname = \"empty\"",
        "[[compartment]]\nname = \"bow\"",
    ] {
        let problem = problem_after_hull(rest);
        assert!(matches!(problem.fault, Fault::NotYet { .. }), "{problem}");
    }
}

#[test]
fn loops_count_from_one() {
    for number in ["0", "-1", "1.5", "\"1\"", "1e30", "nan"] {
        let problem = problem_after_hull(&format!("[[opening]]\nname = \"o\"\nloop = {number}"));
        assert!(
            matches!(problem.fault, Fault::WrongType { .. }),
            "{problem}"
        );
    }
}

#[test]
fn a_rim_is_a_list_of_points() {
    for rim in [
        "[]",
        "[1, 2, 3]",
        "[[1, 2]]",
        "\"all of it\"",
        "[[1, 2, 3], 4]",
    ] {
        let problem = problem_after_hull(&format!("[[opening]]\nname = \"o\"\nrim = {rim}"));
        assert!(
            matches!(problem.fault, Fault::WrongType { .. }),
            "{problem}"
        );
    }
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
    let problem = problem_after_hull(&two);
    assert!(
        problem
            .to_string()
            .contains("is used twice in [[item]]; first at boat.toml:3:1"),
        "{problem}"
    );
    assert_eq!(line_and_column(&problem), (7, 1));
}

const BEFORE: &str = r#"
name = "before"
[water]
kind = "sea"
[hull]
mesh = "hull.stl"
mass = 30
centre = [1.6, 0, 0.2]
[[item]]
name = "battery"
mass = 18
at = [0.6, 0, 0.1]
[[item]]
name = "ballast"
mass = 10
at = [1, 0, 0]
[[part]]
name = "wall"
role = "add"
box = { min = [0, 0, 0], max = [1, 1, 1] }
"#;

#[test]
fn extending_overrides_appends_and_removes() {
    let after = r#"
extends = "before.toml"
name = "after"
[water]
density = 1010
[hull]
mass = 32
[[item]]
name = "motor"
mass = 5
at = [0, 0, 0.3]
[[item]]
name = "battery"
at = [1.2, 0, 0.1]
[[item]]
name = "ballast"
remove = true
[[part]]
name = "wall"
box = { centre = [0, 0, 0], size = [2, 2, 2] }
"#;
    let boat = extended(after, BEFORE).unwrap_or_else(|error| panic!("{error}"));
    assert_eq!(boat.name.as_deref(), Some("after"));
    assert_eq!(
        boat.files,
        [Path::new("after.toml"), Path::new("before.toml")]
    );
    // The extending file's way of giving the water wins.
    assert_near(boat.water.density_kg_m3, 1010.0);
    let Weight::Weighed {
        mass,
        centre: Some(centre),
    } = boat.hull.weight
    else {
        panic!("{:?}", boat.hull.weight);
    };
    assert_near(mass.value, 32.0);
    assert_near(centre[0].value, 1.6);
    let items: Vec<(&str, f64, f64)> = boat
        .items
        .iter()
        .map(|item| (item.name.as_str(), item.mass.value, item.at[0].value))
        .collect();
    assert_eq!(items, [("battery", 18.0, 1.2), ("motor", 5.0, 0.0)]);
    let Shape::Box(shape) = boat.parts[0].shape else {
        panic!("{:?}", boat.parts[0].shape);
    };
    assert_eq!(shape.corners_m().0, Vec3::new(-1.0, -1.0, -1.0));
}

#[test]
fn an_empty_extension_is_the_extended_boat() {
    let after = extended("extends = \"before.toml\"\n", BEFORE).unwrap();
    let mut before = serde_json::to_value(good(BEFORE)).unwrap();
    let mut after = serde_json::to_value(after).unwrap();
    // Only the list of files and the places differ.
    let text = after.to_string().replace("before.toml", "boat.toml");
    after = serde_json::from_str(&text).unwrap();
    before["files"] = serde_json::Value::Null;
    after["files"] = serde_json::Value::Null;
    assert_eq!(after, before);
}

#[test]
fn a_skin_replaces_the_extended_files_mass() {
    let after =
        "extends = \"before.toml\"\n[hull]\nskin = { thickness = \"4 mm\", density = 1500 }\n";
    let boat = extended(after, BEFORE).unwrap_or_else(|error| panic!("{error}"));
    assert!(matches!(boat.hull.weight, Weight::Skin(_)));
}

#[test]
fn removing_what_is_not_there_suggests_what_is() {
    let after = "extends = \"before.toml\"\n[[item]]\nname = \"balast\"\nremove = true\n";
    let found = extended(after, BEFORE).unwrap_err();
    assert_eq!(found.problems.len(), 1, "{found}");
    assert_eq!(
        found.problems[0].help.as_deref(),
        Some("did you mean \"ballast\"?")
    );
    assert_eq!(line_and_column(&found.problems[0]), (2, 1));

    let alone = problem_after_hull("[[item]]\nname = \"ballast\"\nremove = true");
    assert!(matches!(alone.fault, Fault::NothingToRemove { .. }));

    let with_more =
        "extends = \"before.toml\"\n[[item]]\nname = \"ballast\"\nremove = true\nmass = 3\n";
    let found = extended(with_more, BEFORE).unwrap_err();
    assert!(matches!(found.problems[0].fault, Fault::UnusedKey { .. }));
}

#[test]
fn problems_point_into_the_file_they_stand_in() {
    let found = extended(
        "extends = \"before.toml\"\n[hull]\nfoo = 1\n",
        "[hull]\nmesh = \"h.stl\"\n\nunits = \"yards\"\n",
    )
    .unwrap_err();
    let printed: Vec<String> = found.problems.iter().map(|p| p.place.to_string()).collect();
    assert_eq!(printed, ["after.toml:3:1", "before.toml:4:9"]);
}

#[test]
fn meshes_are_beside_the_file_that_names_them() {
    let files: &[(&str, &[u8])] = &[
        ("work/after.toml", b"extends = \"../base/before.toml\"\n[[part]]\nname = \"p\"\nrole = \"add\"\nmesh = \"p.stl\"\n"),
        ("work/../base/before.toml", b"[hull]\nmesh = \"m/h.stl\"\n"),
    ];
    let boat = read_files(files).unwrap_or_else(|error| panic!("{error}"));
    assert_eq!(boat.hull.mesh, Path::new("work/../base/m/h.stl"));
    assert_eq!(boat.hull.place.to_string(), "work/../base/before.toml:1:1");
    let Shape::Mesh { path, .. } = &boat.parts[0].shape else {
        panic!("{:?}", boat.parts[0].shape);
    };
    assert_eq!(path, Path::new("work/p.stl"));
}

#[test]
fn a_missing_base_is_pointed_at() {
    let problem = problem("extends = \"befor.toml\"\n");
    assert!(matches!(problem.fault, Fault::Unreadable { .. }));
    assert_eq!(line_and_column(&problem), (1, 11));
    assert!(problem.to_string().contains("befor.toml"), "{problem}");
}

#[test]
fn cycles_and_long_chains_are_refused_with_the_chain() {
    let found = extended(
        "extends = \"before.toml\"\n",
        "\nextends = \"after.toml\"\n",
    )
    .unwrap_err();
    let printed = found.to_string();
    assert!(
        printed.contains("after.toml → before.toml → after.toml"),
        "{printed}"
    );
    assert_eq!(found.problems[0].place.to_string(), "before.toml:2:11");

    let names: Vec<String> = (0..20).map(|n| format!("{n}.toml")).collect();
    let texts: Vec<String> = (1..21)
        .map(|n| format!("extends = \"{n}.toml\"\n"))
        .collect();
    let files: Vec<(&str, &[u8])> = names
        .iter()
        .zip(&texts)
        .map(|(name, text)| (name.as_str(), text.as_bytes()))
        .collect();
    let found = read_files(&files).unwrap_err();
    assert!(matches!(
        found.problems[0].fault,
        Fault::ChainTooLong { limit: 16, .. }
    ));
}

#[test]
fn files_on_disk_are_read_and_their_cycles_seen_through_spellings() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("boat.toml");
    std::fs::write(&path, GOOD).unwrap();
    let boat = BoatFile::read(&path).unwrap();
    assert_eq!(boat.hull.mesh, folder.path().join("meshes/dipper.stl"));

    std::fs::write(&path, "extends = \"./././boat.toml\"\n").unwrap();
    let found = BoatFile::read(&path).unwrap_err();
    assert!(matches!(found.problems[0].fault, Fault::Cycle { .. }));

    std::fs::write(&path, vec![b'#'; tree::MAX_FILE_BYTES + 1]).unwrap();
    let found = BoatFile::read(&path).unwrap_err();
    assert!(matches!(found.problems[0].fault, Fault::TooLong { .. }));

    for missing in [folder.path().join("none.toml"), folder.path().to_owned()] {
        let found = BoatFile::read(&missing).unwrap_err();
        assert!(matches!(found.problems[0].fault, Fault::Unreadable { .. }));
    }
}

#[test]
fn deep_nesting_is_refused_without_harm() {
    let dotted = vec!["a"; 78].join(".");
    let deep = format!(
        "x = {}1{}",
        format!("{{ {dotted} = ").repeat(78),
        "}".repeat(78)
    );
    assert!(matches!(problem(&deep).fault, Fault::TooDeep { .. }));
    let brackets = format!("x = {}", "[".repeat(500_000));
    assert!(matches!(problem(&brackets).fault, Fault::Syntax { .. }));
}

fn many_items(count: usize) -> String {
    let mut text = String::from("[hull]\nmesh = \"h.stl\"\n");
    for n in 0..count {
        write!(
            text,
            "[[item]]\nname = \"i{n}\"\nmass = \"1 kg\"\nat = [0, 0, 0]\n"
        )
        .unwrap();
    }
    text
}

#[test]
fn ten_thousand_items_read_within_a_second() {
    let text = many_items(10_000);
    let start = Instant::now();
    let boat = good(&text);
    let took = start.elapsed();
    assert_eq!(boat.items.len(), 10_000);
    assert!(took < Duration::from_secs(1), "{took:?}");
}

#[test]
fn too_many_tables_are_refused() {
    let text = "[[item]]\n".repeat(20_001);
    assert!(matches!(problem(&text).fault, Fault::TooMany { .. }));
}

#[test]
fn thousands_of_bad_removals_end_soon_and_print_short() {
    let mut after = String::from("extends = \"before.toml\"\n");
    for n in 0..9_000 {
        write!(after, "[[item]]\nname = \"j{n}\"\nremove = true\n").unwrap();
    }
    let start = Instant::now();
    let found = extended(&after, &many_items(9_000)).unwrap_err();
    assert!(
        start.elapsed() < Duration::from_secs(5),
        "{:?}",
        start.elapsed()
    );
    assert_eq!(found.problems.len(), 9_000);
    let printed = found.to_string();
    assert!(
        printed.ends_with("and 8980 more problems like these"),
        "{printed}"
    );
}

#[test]
fn control_characters_and_endless_lines_do_not_reach_the_terminal() {
    let text = format!(
        "[hull]\nmesh = \"h\"\n\"{}\\u001b[2J\" = \"\u{9b}\"\n",
        "k".repeat(5_000)
    );
    let printed = problem(&text).to_string();
    assert!(!printed.contains(['\u{1b}', '\u{9b}']), "{printed}");
    assert!(printed.chars().count() < 600, "{printed}");
}

/// A text made from the good file by a few cuts, swaps and insertions.
fn mutated() -> impl Strategy<Value = Vec<u8>> {
    let edit = (
        any::<prop::sample::Index>(),
        0_usize..12,
        any::<u8>(),
        0_u8..5,
    );
    prop::collection::vec(edit, 1..8).prop_map(|edits| {
        let mut bytes = GOOD.as_bytes().to_vec();
        for (at, length, byte, kind) in edits {
            if bytes.is_empty() {
                break;
            }
            let at = at.index(bytes.len());
            let end = (at + length).min(bytes.len());
            match kind {
                0 => drop(bytes.drain(at..end)),
                1 => bytes[at] = byte,
                2 => bytes.insert(at, byte % 0x60 + 0x20),
                3 => bytes[at..end].reverse(),
                _ => {
                    let copy = bytes[at..end].to_vec();
                    bytes.extend(copy);
                }
            }
        }
        bytes
    })
}

/// Reading ends, and what is wrong can be printed.
fn reads_without_panic(bytes: &[u8]) {
    match read_files(&[("boat.toml", bytes)]) {
        Ok(boat) => {
            assert!(boat.items.iter().all(|item| item.mass.value > 0.0));
        }
        Err(error) => {
            assert!(!error.problems.is_empty());
            assert!(error.to_string().contains("boat.toml"), "{error}");
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn random_text_never_panics(text in "\\PC*") {
        reads_without_panic(text.as_bytes());
    }

    #[test]
    fn random_bytes_never_panic(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        reads_without_panic(&bytes);
    }

    #[test]
    fn random_toml_like_text_never_panics(
        text in "(\\[?\\[(hull|item|part|opening|water|yardsticks)\\]?\\]\n|(name|mass|at|box|rim|mesh|remove|extends|skin|turn) = (\"[a-z0-9 ]{0,6}\"|-?[0-9]{1,3}|\\[[0-9, ]{0,9}\\]|\\{ ?(min|size|from) = [0-9] ?\\}|true|nan)\n){0,12}"
    ) {
        reads_without_panic(text.as_bytes());
    }

    #[test]
    fn mutations_of_a_good_file_never_panic(bytes in mutated()) {
        reads_without_panic(&bytes);
    }
}
