//! `awash where`, and places by tape in options.
use super::run::{assert_near, awash, number};

const AFTER: &str = "tests/boats/after.toml";
const DIVED: &str = "tests/boats/dived.toml";

/// The hull is 3.4 m long, its sternmost point at x = 0, its lowest at z = 0.
#[test]
fn readings_become_coordinates_and_coordinates_readings() {
    let taped = "from_stem 1.2 m, from_middle 30 cm port ± 1 cm, over_base 25 cm";
    let result = awash(["where", AFTER, taped, "2.2,-0.3,0.25", "--format", "json"]).json();
    let [one, two] = [&result["places"][0], &result["places"][1]];
    for (axis, wanted) in [2.2, 0.3, 0.25].into_iter().enumerate() {
        assert_near(one["at_m"][axis].as_f64().unwrap(), wanted, 1e-6);
    }
    assert_near(one["spread_m"][1].as_f64().unwrap(), 0.01, 1e-12);
    assert_near(number(two, "from_stem_m"), 1.2, 1e-6);
    assert_near(number(two, "to_port_m"), -0.3, 1e-6);
    let table = awash(["where", AFTER, taped]).stdout;
    assert!(
        table.contains("300 mm port") && table.contains("below the rim"),
        "{table}"
    );
}

#[test]
fn without_places_it_lists_sills_and_what_is_aboard() {
    let table = awash(["where", AFTER]).stdout;
    for name in ["transom notch, lowest of its rim", "crate", "bow weight"] {
        assert!(table.contains(name), "{table}");
    }
}

#[test]
fn every_table_of_a_boat_says_what_its_coordinates_count_from() {
    for command in ["float", "list", "trapped", "section", "where"] {
        let kind = if command == "list" {
            vec!["weights"]
        } else {
            Vec::new()
        };
        let words = [
            "x forward, y to port, z up",
            "stern is at x 0 mm",
            "3.400 m",
        ];
        let table = awash([command, AFTER].into_iter().chain(kind)).stdout;
        let head: String = table.lines().take(5).collect::<Vec<_>>().join(" ");
        assert!(
            words.iter().all(|word| head.contains(word)),
            "{command}: {head}"
        );
    }
}

#[test]
fn a_place_that_is_none_is_refused() {
    for (place, said) in [
        ("1,2", "write three lengths"),
        ("1,2,3 lb", "3 lb"),
        ("from_stern 1 m, from_middle 0", "the height is missing"),
        (
            "from_stern 1 m, from_mast 0",
            "\"from_mast\" is no tape reading",
        ),
    ] {
        let answer = awash(["where", AFTER, place]);
        assert!(answer.refusal().contains(said), "{place}: {answer:?}");
    }
}

#[test]
fn the_rail_of_dive_goes_by_tape_too() {
    let plain = "0.2,0,0.05 to 2.6,0,0.05";
    let taped = "from_stern 20 cm, from_middle 0, over_base 5 cm to from_stem 80 cm, from_middle 0, over_base 5 cm";
    let [plain, taped] = [plain, taped].map(|rail| awash(["dive", DIVED, "--rail", rail]));
    assert_eq!(plain.code, 0, "{plain:?}");
    assert_eq!(plain.stdout, taped.stdout);
    let answer = awash(["dive", DIVED, "--rail", "from_stern 1 m to 1,0,0"]);
    assert_eq!(answer.code, 2, "{answer:?}");
}
