//! `place` and `sill` on hulls that are not those of `tests/boats`.
use awash::present::Present;
use awash::quantity::UnitSystem;
use awash::study::{PlaceOptions, SillOptions, place, sill};

use crate::support::{closed_box, json, list, number, text, top_heavy};
use crate::zoo::{ZooHull, decked_hull, open_tender};

fn with_battery(size: &str, at: &str) -> ZooHull {
    let mut hull = open_tender();
    hull.more = format!("[[item]]\nname = \"battery\"\nmass = \"20 kg\"\nat = {at}\n{size}");
    hull
}

fn placed(hull: &ZooHull, grid: [u32; 2]) -> serde_json::Value {
    let options = PlaceOptions { grid, z_m: None };
    json(&place(&hull.boat(), "battery", &options).expect("it floats"))
}

/// The tender's plan is given in closed form (the formula that it is lofted by).
#[test]
fn a_thing_with_a_size_goes_only_where_it_fits() {
    let half = |x: f64| {
        let along = (x / 3.2).clamp(0.0, 1.0);
        0.02 + 0.63 * (1.0 - along.powi(3)).max(0.0).sqrt() * (0.85 + 0.15 * along)
    };
    let sized = placed(
        &with_battery("size = [0.4, 0.3, 0.2]\n", "[1.2, 0, 0.3]"),
        [12, 7],
    );
    let bare = placed(&with_battery("", "[1.2, 0, 0.3]"), [12, 7]);
    let (cells, all) = (list(&sized, "cells"), list(&bare, "cells"));
    assert!(
        !cells.is_empty() && cells.len() < all.len(),
        "{} of {}",
        cells.len(),
        all.len()
    );
    for cell in cells {
        let [x, y] = [0, 1].map(|axis| cell["at_m"][axis].as_f64().expect("a place"));
        assert!((0.2..=3.0).contains(&x), "{cell}");
        for end in [x - 0.2, x + 0.2] {
            assert!(y.abs() + 0.15 <= half(end) + 0.001, "{cell}");
        }
    }
}

/// The weight in the middle of a box alike all round is best there: nothing is gained by
/// moving what lies there.
#[test]
fn where_no_place_is_better_it_is_said() {
    let mut hull = closed_box([3.0, 1.0, 0.5], 300.0, [0.0, 0.0, 0.15]);
    let corners = [
        [1.4, 0.45, 0.5],
        [1.4, -0.45, 0.5],
        [-1.4, -0.45, 0.5],
        [-1.4, 0.45, 0.5],
    ];
    hull.openings = vec![("hatch", corners.map(Into::into).to_vec())];
    hull.more += "[[item]]\nname = \"battery\"\nmass = \"20 kg\"\nat = [0, 0, 0.15]\n";
    let result = placed(&hull, [6, 4]);
    assert_eq!(result["worth_moving"], false);
    let said = text(&result, "summary");
    assert!(said.contains("no place is worth moving it to"), "{said}");
    hull.more = hull.more.replace("[0, 0, 0.15]", "[1, 0.4, 0.15]");
    let result = placed(&hull, [6, 4]);
    assert_eq!(result["worth_moving"], true);
}

#[test]
fn a_wall_that_makes_the_craft_turn_over_sooner_is_told() {
    let hull = decked_hull();
    let options = SillOptions {
        up_to_m: 0.3,
        heights: 3,
        wall_kg_m2: 60.0,
    };
    let result = sill(&hull.boat(), "cockpit", &options).expect("it floats");
    let value = json(&result);
    let rows = list(&value, "rows");
    assert_eq!(rows[0]["knock_state"], "reached");
    assert_eq!(rows[3]["knock_state"], "after_pass");
    assert!(text(&rows[3], "knock_first").starts_with("turns over and lies "));
    let work = |row: usize| number(&rows[row], "knock_j");
    assert!(work(3) < work(0), "{} {}", work(3), work(0));
    let said = text(&value, "summary");
    assert!(said.contains("its least knock falls"), "{said}");
    let shown = result.sheet(UnitSystem::Metric).to_string();
    assert!(shown.contains("turns over and lies"), "{shown}");
    // An open craft floods without.
    let value =
        json(&sill(&open_tender().boat(), "gunwale", &SillOptions::default()).expect("it floats"));
    assert_eq!(list(&value, "rows")[0]["knock_state"], "reached");
    assert!(list(&value, "rows")[0]["knock_first"].is_null());
    assert!(!text(&value, "summary").contains("falls"));
    // Capsized without any wall.
    let value = json(&sill(&top_heavy().boat(), "cockpit", &options).expect("it floats"));
    assert!(
        text(&value, "summary").starts_with("IT CAPSIZES"),
        "{}",
        text(&value, "summary")
    );
}
