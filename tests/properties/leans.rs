//! The least lean is the least of the whole rose, to the last bit.
use std::path::Path;

use awash::boat::Boat;
use awash::equilibrium::{Craft, Sills, least_lean, rose, settle};
use rayon::prelude::*;

#[test]
fn the_least_lean_is_the_least_of_the_rose() {
    for name in ["before", "after", "bulkheads", "dived"] {
        let path = format!("{}/meshes/dipper/{name}.toml", env!("CARGO_MANIFEST_DIR"));
        let boat = Boat::load(Path::new(&path)).expect("a sound boat file");
        let craft = Craft::of(&boat);
        let rest = settle(&craft).expect("it floats").rest;
        let sills = Sills::of(&boat.openings);
        let whole: Vec<(f64, f64)> = rose(&craft, &sills, &rest)
            .map(|(bearing, found)| (bearing, found.expect("it leans")))
            .filter_map(|(bearing, found)| Some((bearing, found?.lean_rad)))
            .collect();
        let least = whole.iter().min_by(|a, b| a.1.total_cmp(&b.1));
        let (bearing, found) = least_lean(&craft, &sills, &rest)
            .expect("it leans")
            .expect("an opening is reached");
        assert_eq!(least, Some(&(bearing, found.lean_rad)), "{name}");
    }
}
