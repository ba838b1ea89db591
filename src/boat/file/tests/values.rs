//! Values that are wrong, missing or given twice.
use super::*;
use crate::quantity::QuantityError;
use crate::water::WaterError;

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
            centre: None,
            density: None
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
        ("[hull]\nmesh = \"h\"\ncentre = [0, 0, 0]\n", "mass"),
        (
            "[hull]\nmesh = \"h\"\nskin = { density = 955 }\n",
            "thickness",
        ),
        ("[hull]\nmesh = \"h\"\nturn = {}\n", "about_x"),
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
            matches!(&problem.fault, Fault::Missing { what, .. } if what.starts_with(&format!("`{key}`"))),
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
        "[[opening]]\nname = \"o\"\nloop = 1\nmesh = \"o.stl\"",
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
    let problem = hull_problem(
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
    let problem = hull_problem("[[opening]]\nname = \"o\"\nloop = 1\nstate = \"coverd\"");
    assert!(matches!(problem.fault, Fault::BadChoice { .. }));
    assert_eq!(problem.help.as_deref(), Some("did you mean \"covered\"?"));
}

#[test]
fn loops_count_from_one() {
    for number in ["0", "-1", "1.5", "\"1\"", "1e30", "nan"] {
        let problem = hull_problem(&format!("[[opening]]\nname = \"o\"\nloop = {number}"));
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
        let problem = hull_problem(&format!("[[opening]]\nname = \"o\"\nrim = {rim}"));
        assert!(
            matches!(problem.fault, Fault::WrongType { .. }),
            "{problem}"
        );
    }
}

/// A person says so; how high the head is belongs to a person only, and is more than 0.
#[test]
fn a_person_is_marked_and_a_head_belongs_to_one() {
    let with = |rest: &str| {
        format!(
            "[hull]\nmesh = \"h.stl\"\n[[item]]\nname = \"diver\"\nmass = 80\nat = [1, 0, 0.3]\n{rest}"
        )
    };
    let item = |rest: &str| good(&with(rest)).items[0].person;
    assert!(item("").is_none() && item("person = false").is_none());
    assert_near(item("person = true").unwrap().head.value, 0.65);
    let crouching = item("person = true\nhead = \"40 cm\"").unwrap();
    assert_near(crouching.head.value, 0.4);
    let alone = problem(&with("head = 0.6")).to_string();
    assert!(
        alone.contains("`person`") && alone.contains("head"),
        "{alone}"
    );
    for wrong in ["person = true\nhead = 0", "person = 1"] {
        problem(&with(wrong));
    }
}

/// Further than 1000 km off a place makes no sums any more, whatever it is for.
#[test]
fn a_length_that_no_sum_can_hold_is_refused() {
    for rest in [
        "[[item]]\nname = \"i\"\nmass = 1\nat = [1e300, 0, 0]",
        "[[item]]\nname = \"i\"\nmass = 1\nat = [\"1 m ± 1e300 m\", 0, 0]",
        "[[opening]]\nname = \"o\"\nrim = [[0, 0, 0], [1, 0, 0], [0, -1e9, 0]]",
        "[[part]]\nname = \"p\"\nrole = \"add\"\nbox = { centre = [0, 0, 0], size = [1, 1, 1e7] }",
    ] {
        let problem = hull_problem(rest);
        let told = problem.to_string();
        assert!(told.contains("within 1000 km"), "{told}");
    }
}
