//! Lifted panels with what they open, and coamings level at rest. On the box they are held
//! to closed forms, derived beside them.
use std::path::Path;

use awash::boat::{Boat, BoatBuilder, BoatFile};
use awash::equilibrium::{Afloat, with_level_walls};
use awash::numerics::Vec3;

use crate::built::{USUAL_KG_M2, doubts, near, open_box};
use crate::support::box_from_stern;
use crate::zoo::{ZooHull, open_tender};

const PANEL: &str =
    "centre = [1.0, 0.05, 0.4], length = 0.6, height = 0.4, hinge = \"aft\", angle = 20";

/// Derived in closed form: a panel of length l turned up by an angle about its after side is
/// a wedge of `½ l² sin` a breadth; closed below, the floor weighs as the panel is large.
#[test]
fn what_a_lifted_panel_opens_is_closed_and_a_compartment() {
    let (long, broad) = (0.6, 0.4);
    let angle = 20.0_f64.to_radians();
    let wedge = long * long * angle.sin() / 2.0 * broad;
    let gaps = long * long * angle.sin() + broad * 2.0 * long * (angle / 2.0).sin();
    for (more, name, sealed, floor) in [
        ("", None, false, 0.0),
        (", closed = true", Some("it"), true, long * broad),
        (
            ", compartment = \"scoop\"",
            Some("scoop"),
            false,
            long * broad,
        ),
        (
            ", compartment = \"scoop\", sealed = true",
            Some("scoop"),
            true,
            long * broad,
        ),
    ] {
        let part = format!("[[part]]\nname = \"it\"\nlifted = {{ {PANEL}{more} }}\n");
        // A bulkhead under it divides what it leaves.
        let bulkhead = "[[compartment]]\nname = \"bow\"\nforward_of = 1.0\n";
        for (also, bow) in [("", 0.0), (bulkhead, 1.0 * 0.8 * 0.4)] {
            let boat = box_from_stern().boat_with(&(part.clone() + also));
            let it = &boat.parts[0];
            near(it.change.signed_volume_m3(), wedge, more);
            let mass = it.mass.as_ref().expect("laid up").mass_kg;
            near(mass, USUAL_KG_M2 * (gaps + floor), more);
            let held = |name: &str| {
                let space = boat.compartments.iter().find(|space| space.name == name);
                space.map(|space| (space.surface().signed_volume_m3(), space.sealed))
            };
            let under = name.map(|name| held(name).expect("made"));
            if let Some((held_m3, is_sealed)) = under {
                near(held_m3, wedge, more);
                assert_eq!(is_sealed, sealed);
            }
            // Open below, what of the wedge lies aft of the bulkhead, half a panel from the
            // hinge, is not over the bow.
            if bow > 0.0 {
                let aft = 0.5 * 0.3 * 0.3 * angle.tan() * broad;
                let over = if name.is_some() { 0.0 } else { wedge - aft };
                near(held("bow").expect("made").0, bow + over, also);
            }
        }
    }
}

/// Derived in closed form: the panel's skin goes up about its hinge, its middle from half its
/// length along to as much along the slope.
#[test]
fn a_lifted_panel_takes_its_own_mass_up() {
    let (kg_m2, area, half) = (0.004 * 955.0, 0.6 * 0.4, 0.3);
    let solid = box_from_stern().surface;
    let made = |tables: &str| {
        let bare = BoatBuilder::new("box", &solid).skin(0.004, 955.0);
        let boat = bare.tables(tables).build().expect("a boat");
        let hull = boat.masses[0].clone();
        (hull.mass_kg, hull.centre_m)
    };
    let (mass, centre) = made("");
    let (with, raised) = made(&format!(
        "[[part]]\nname = \"it\"\nlifted = {{ {PANEL} }}\n"
    ));
    near(with, mass, "it keeps its mass");
    let (sin, cos) = 20.0_f64.to_radians().sin_cos();
    let moved = Vec3::new(half * (cos - 1.0), 0.0, half * sin) * (kg_m2 * area / mass);
    assert!(
        (raised - centre - moved).norm() < 1e-9,
        "{}",
        raised - centre
    );
}

/// The same of a panel of a deck that is a part of its own, 2 × 0.8 m of 1.2 kg/m².
#[test]
fn a_lifted_panel_of_a_deck_takes_the_decks_mass_up() {
    let deck = "[[part]]\nname = \"deck\"\ndeck = { over = \"top\" }\n";
    let panel = format!("[[part]]\nname = \"it\"\nlifted = {{ {PANEL} }}\n");
    let mass_of = |tables: &str| {
        let boat = open_box().boat_with(tables);
        boat.parts[0].mass.clone().expect("laid up")
    };
    let (flat, raised) = (mass_of(deck), mass_of(&(deck.to_owned() + &panel)));
    near(flat.mass_kg, USUAL_KG_M2 * 2.0 * 0.8, "deck");
    near(raised.mass_kg, flat.mass_kg, "it keeps its mass");
    let (sin, cos) = 20.0_f64.to_radians().sin_cos();
    let share = 0.6 * 0.4 / (2.0 * 0.8);
    let moved = Vec3::new(0.3 * (cos - 1.0), 0.0, 0.3 * sin) * share;
    assert!((raised.centre_m - flat.centre_m - moved).norm() < 1e-9);
}

/// Derived in closed form: beside another panel turned up the deck is as flat as before.
#[test]
fn a_panel_beside_one_turned_up_is_no_other() {
    let panel = |name: &str, y: f64| {
        format!(
            "[[part]]\nname = \"{name}\"\nlifted = {{ centre = [1.0, {y}, 0.4], length = 0.6, height = 0.3, hinge = \"aft\", height_up = 0.12 }}\n"
        )
    };
    let boat = box_from_stern().boat_with(&(panel("one", 0.2) + &panel("other", -0.2)));
    for (part, y) in boat.parts.iter().zip([0.2, -0.2]) {
        let wedge = 0.6 * 0.12 / 2.0 * 0.3;
        near(part.change.signed_volume_m3(), wedge, &part.name);
        near(
            part.mass.as_ref().expect("laid up").centre_m.y,
            y,
            &part.name,
        );
    }
}

/// A deck of 6 cm camber over 0.8 m is 15 mm off flat over a panel 0.4 m broad (a parabola):
/// that is told, and a panel turned up by less is refused.
#[test]
fn a_panel_of_curved_skin_is_told_or_refused() {
    let up = |up: f64| {
        format!(
            "[[part]]\nname = \"deck\"\ndeck = {{ over = \"top\", camber = 0.06 }}\n[[part]]\nname = \"it\"\nlifted = {{ centre = [1.0, 0.0, 0.46], length = 0.6, height = 0.4, hinge = \"aft\", height_up = {up} }}\n"
        )
    };
    let told = doubts(&open_box().boat_with(&up(0.12)));
    let is_told = |told: &String| told.contains("part \"it\"") && told.contains("15 mm off flat");
    assert!(told.iter().any(is_told), "{told:?}");
    let refused = open_box().try_boat_with(&up(0.03)).expect_err("it dips");
    assert!(
        refused.to_string().contains("is 15 mm off flat"),
        "{refused}"
    );
    let flat = doubts(&box_from_stern().boat_with(&format!(
        "[[part]]\nname = \"it\"\nlifted = {{ {PANEL} }}\n"
    )));
    assert!(
        !flat.iter().any(|told| told.contains("off flat")),
        "{flat:?}"
    );
}

/// A file of a hull in a folder, with how its walls lie found.
fn settled(hull: &ZooHull, more: &str, condition: &str) -> Boat {
    let folder = tempfile::tempdir().expect("a folder");
    let path = hull.write(folder.path(), more);
    let path = format!("{}{condition}", path.display());
    let path = Path::new(&path);
    let file = BoatFile::read(path).expect("a file");
    let unsettled = Boat::of_file(path, &file).expect_err("nobody knows how it lies");
    assert!(unsettled.to_string().contains("with_level_walls"));
    let file = with_level_walls(path, file).expect("it floats");
    Boat::of_file(path, &file).expect("a boat")
}

/// Internal consistency: every point of the rim stands as high above the water at rest, the
/// wall's own mass included, and no less than the height asked for.
#[test]
fn a_coaming_is_level_with_the_water_at_rest() {
    for (hull, name) in [(open_box(), "top"), (open_tender(), "gunwale")] {
        let wall = format!(
            "[[part]]\nname = \"coaming\"\nrole = \"add\"\nwall = {{ round = \"{name}\", height = 0.1, level_at_rest = true }}\n[[item]]\nname = \"case\"\nmass = 12\nat = [0.7, 0.15, 0.1]\n[[condition]]\nname = \"light\"\n[[condition.item]]\nname = \"case\"\nremove = true\n"
        );
        let boat = settled(&hull, &wall, "");
        let afloat = Afloat::of(&boat);
        let plane = *afloat.rest().expect("it floats").plane();
        let heights: Vec<f64> = boat.openings[0]
            .rim
            .iter()
            .map(|p| plane.height_m(p))
            .collect();
        let least = heights.iter().copied().fold(f64::INFINITY, f64::min);
        let most = heights.iter().copied().fold(0.0, f64::max);
        // 1e-4° over 3 m.
        assert!(most - least < 1e-5, "{}: {least} to {most}", hull.name);
        let told = doubts(&boat);
        assert!(
            told.iter()
                .any(|text| text.contains("level as the craft lies at rest"))
        );
        // It is built once: without the case it is the same wall.
        let light = settled(&hull, &wall, "#light");
        assert_eq!(light.openings[0].rim, boat.openings[0].rim);
    }
}
