//! The least lean is the least of the whole rose, to the last bit.
use std::path::Path;

use awash::boat::Boat;
use awash::equilibrium::{
    Craft, Hold, KnownLeans, Sills, find_rest_from, least_lean, rose, settle,
};
use awash::numerics::Vec3;
use awash::study::{float, spread};
use rayon::prelude::*;

use crate::zoo::zoo;

#[test]
fn the_least_lean_is_the_least_of_the_rose() {
    for name in ["before", "after", "bulkheads", "dived"] {
        let path = format!("{}/tests/boats/{name}.toml", env!("CARGO_MANIFEST_DIR"));
        let boat = Boat::load(Path::new(&path)).expect("a sound boat file");
        let craft = Craft::of(&boat);
        let rest = settle(&craft).expect("it floats").rest;
        let sills = Sills::of(&boat.openings);
        let whole: Vec<(f64, f64)> = rose(&craft, &sills, &rest)
            .map(|(bearing, found)| (bearing, found.expect("it leans")))
            .filter_map(|(bearing, found)| Some((bearing, found.flood?.lean_rad)))
            .collect();
        let least = whole.iter().min_by(|a, b| a.1.total_cmp(&b.1));
        let (bearing, found) = least_lean(&craft, &sills, &rest)
            .expect("it leans")
            .expect("an opening is reached");
        assert_eq!(least, Some(&(bearing, found.lean_rad)), "{name}");
    }
}

/// Internal consistency: a craft drawn near another, its mass, weight and rims moved as
/// far as `spread` moves them, has the least lean that a search from nothing finds.
#[test]
fn the_least_lean_near_a_known_craft_is_that_of_a_whole_search() {
    for hull in zoo() {
        let boat = hull.boat();
        let craft = Craft::of(&boat);
        let rest = settle(&craft).expect("it floats").rest;
        let sills = Sills::of(&boat.openings);
        let known = KnownLeans::of(&craft, &sills, &rest).expect("it has openings");
        let mut rng = fastrand::Rng::with_seed(7);
        let mut off = |most: f64| most * (2.0 * rng.f64() - 1.0);
        for draw in 0..6 {
            let mut near = craft.clone();
            near.mass_kg *= 1.0 + off(0.1);
            near.centre_of_gravity_m += Vec3::new(off(0.1), off(0.02), off(0.02));
            near.density_kg_m3 *= 1.0 + off(0.01);
            let raised: Vec<f64> = boat.openings.iter().map(|_| off(0.02)).collect();
            let sills = sills.raised(&raised);
            let Ok(rest) = find_rest_from(&near, rest.plane(), Hold::Nothing) else {
                continue;
            };
            let whole = least_lean(&near, &sills, &rest).expect("it leans");
            let whole = whole.map_or(std::f64::consts::PI, |(_, lean)| lean.lean_rad);
            let found = known.least_rad(&near, &sills, &rest);
            // A share of 1e-9 of the volume, over a waterplane of its order.
            assert!(
                (found - whole).abs() < 1e-7,
                "{}, draw {draw}: {found} rad, a whole search {whole}",
                hull.name
            );
        }
    }
}

/// Internal consistency: with nothing unknown every draw is what `float` says.
#[test]
fn without_any_spread_every_draw_floats_as_stated() {
    for hull in zoo() {
        let boat = hull.boat();
        let stated = float(&boat).expect("it floats");
        let drawn = spread(&boat, 10, 1).expect("it floats");
        for (opening, line) in stated.openings.iter().zip(&drawn.openings) {
            let height = opening.freeboard_m.expect("afloat");
            for end in line.freeboard_m {
                let end = end.expect("afloat");
                assert!((end - height).abs() < 1e-8, "{}: {end} {height}", hull.name);
            }
        }
        assert_eq!(drawn.share_sunk, 0.0);
        assert!(drawn.causes.is_empty());
    }
}
