//! The panel's numbers are those of the tables.
use awash::boat::Boat;
use awash::study::{float, margins};
use awash::viewer::{Attitude, ViewerState};

use crate::support::{boats, freeboard_m, item, looked_at};

/// Between two rest searches that start from different planes: each stops at a
/// lever of 1e-10 of the craft's size and a volume of 1e-12 of itself.
const SAME_M: f64 = 1e-8;

fn assert_as_float(state: &ViewerState, boat: &Boat) {
    let table = float(boat).expect("it floats");
    let rest = table.rest.as_ref().expect("at rest");
    let readings = state.readings();
    for (read, told) in [
        (readings.mass_kg, table.mass_kg),
        (readings.displacement_kg, rest.hydrostatics.displacement_kg),
        (readings.draughts_m[0], rest.draught_forward_m),
        (readings.draughts_m[1], rest.draught_aft_m),
        (readings.draught_m, rest.draught_m),
        (readings.gm_m[0], rest.gm_transverse_m),
        (readings.gm_m[1], rest.gm_longitudinal_m),
        (readings.reserve_of_buoyancy_m3, rest.reserve_of_buoyancy_m3),
    ] {
        // Volumes and masses are right to a share of themselves.
        assert!(
            (read - told).abs() <= SAME_M * told.abs().max(1.0),
            "{read} {told}"
        );
    }
    assert_eq!(readings.openings.len(), table.openings.len());
    for (read, told) in readings.openings.iter().zip(&table.openings) {
        assert_eq!((&read.name, read.verdict), (&told.name, told.verdict));
        let heights = read.freeboard_m.zip(told.freeboard_m);
        let off = heights.map_or(f64::NAN, |(read, told)| read - told);
        assert!(off.abs() < SAME_M, "{}: {off}", read.name);
    }
}

#[test]
fn at_rest_they_are_those_of_float() {
    // The last one with rain loose in one of its spaces, by its loading condition.
    for name in [
        "before.toml",
        "after.toml",
        "bulkheads.toml",
        "bulkheads.toml#rain",
    ] {
        assert_as_float(&looked_at(name), &Boat::load(&boats(name)).unwrap());
    }
}

#[test]
fn the_worst_lean_is_that_of_margins() {
    let mut state = looked_at("after.toml");
    assert!(state.worst().is_none());
    state.finish();
    let (worst, is_now) = state.worst().unwrap();
    let told = margins(&state.subject().boat)
        .unwrap()
        .result
        .worst_tilt
        .unwrap();
    let worst = worst.as_ref().unwrap();
    assert!(is_now);
    assert!((worst.lean_deg - told.lean_deg.unwrap()).abs() < 1e-6);
    assert!((worst.work_j - told.work_j.unwrap()).abs() < 1e-5);
    assert!((worst.bearing_deg - told.bearing_deg).abs() < 1e-9);
    state.change(|edits, _| edits.weigh_item(0, 60.0));
    assert!(!state.worst().unwrap().1, "of the boat before the change");
}

#[test]
fn held_over_it_keeps_its_displacement_and_comes_back_when_let_go() {
    let mut state = looked_at("after.toml");
    let at_rest = freeboard_m(&state, "transom notch");
    state.hold_heel(8.0);
    let readings = state.readings();
    assert!((readings.plane.heel_deg() - 8.0).abs() < 1e-9);
    assert!((readings.displacement_kg - readings.mass_kg).abs() < 1e-6);
    assert!(readings.lever_m > 0.01, "it wants to come back");
    // The sill lies 0.1 m to starboard of the middle: it goes down.
    assert!(freeboard_m(&state, "transom notch") < at_rest);
    state.hold_sinkage(0.05);
    let readings = state.readings();
    assert!(readings.displacement_kg > readings.mass_kg + 10.0);
    assert!(
        (readings.plane.heel_deg() - 8.0).abs() < 1e-9,
        "heel is kept"
    );
    assert!(!state.held().sinkage_follows);
    state.let_sinkage_follow(true);
    assert!((state.readings().displacement_kg - state.readings().mass_kg).abs() < 1e-6);
    state.let_it_float();
    assert_eq!(state.attitude(), Attitude::Afloat);
    assert!((freeboard_m(&state, "transom notch") - at_rest).abs() < SAME_M);
}

#[test]
fn sinkage_is_the_drop_of_the_middle_from_rest() {
    let mut state = looked_at("after.toml");
    let before = state.readings().plane;
    state.hold_sinkage(0.03);
    let after = state.readings().plane;
    let (lo, hi) = state.subject().boat.hull_box_m;
    let mut middle = (lo + hi) / 2.0;
    middle.z = state.subject().boat.marks.base_z_m;
    let drop = before.height_m(&middle) - after.height_m(&middle);
    assert!((drop - 0.03).abs() < 1e-12);
}

#[test]
fn too_heavy_it_sinks_and_comes_up_again_when_the_load_is_off() {
    let mut state = looked_at("after.toml");
    let at_rest = freeboard_m(&state, "cockpit");
    let ballast = item(&state, "bow weight");
    state.change(|edits, _| edits.weigh_item(ballast, 900.0));
    assert!(!state.readings().floats);
    assert!(state.trouble().unwrap().starts_with("it sinks"));
    assert!(
        state
            .readings()
            .openings
            .iter()
            .all(|o| o.freeboard_m.is_none())
    );
    state.finish();
    assert_eq!(state.worst().unwrap().0, &None);
    state.undo();
    assert!(state.readings().floats && state.trouble().is_none());
    assert!((freeboard_m(&state, "cockpit") - at_rest).abs() < SAME_M);
}

#[test]
fn pushed_under_it_shows_each_moment_of_the_swamping() {
    let mut state = looked_at("after.toml");
    state.push_it_under();
    assert!(state.is_filming());
    state.finish();
    let film = state.film().unwrap().clone();
    assert!(film.time_line.len() > 2);
    assert_eq!(state.attitude(), Attitude::Film(0));
    let last = film.time_line.len() - 1;
    state.show_moment(usize::MAX);
    assert_eq!(state.attitude(), Attitude::Film(last));
    let shown = state.readings().plane;
    assert!((shown.level_m - film.time_line[last].outside_level_m).abs() < 1e-12);
    let [inside] = state.waters_inside() else {
        panic!("one space that took some in: {:?}", state.waters_inside());
    };
    assert_eq!(
        Some(inside.plane.level_m),
        film.time_line[last].inside_level_m
    );
    // A change makes it another boat: the film is of the old one.
    state.change(|edits, _| edits.weigh_item(0, 70.0));
    assert!(state.film().is_none());
    assert_eq!(state.attitude(), Attitude::Afloat);
}
