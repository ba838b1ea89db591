//! Loading conditions chosen while looking.
use std::fs;

use awash::boat::Boat;
use awash::numerics::Vec3;
use awash::study::float;
use awash::viewer::{Subject, ViewerState};

use crate::support::{boats, freeboard_m, item, looked_at};

/// Between two rest searches that start from different planes.
const SAME_M: f64 = 1e-8;

fn assert_same(state: &ViewerState, other: &ViewerState) {
    let (a, b) = (state.readings(), other.readings());
    assert!((a.mass_kg - b.mass_kg).abs() < 1e-9);
    for (a, b) in a.openings.iter().zip(&b.openings) {
        assert_eq!(a.name, b.name);
        let heights = a.freeboard_m.zip(b.freeboard_m);
        let off = heights.map_or(f64::NAN, |(a, b)| a - b);
        assert!(off.abs() < SAME_M, "{off}");
    }
}

#[test]
fn a_condition_chosen_is_the_boat_of_that_condition_and_undo_brings_it_back() {
    let mut state = looked_at("bulkheads.toml");
    assert_eq!(state.file().conditions, ["rain"]);
    state.choose_condition(Some("rain"));
    assert!(state.awaits_condition());
    state.finish();
    assert!(!state.awaits_condition());
    assert_same(&state, &looked_at("bulkheads.toml#rain"));
    assert_eq!(state.waters_inside().len(), 1);
    assert_eq!(state.steps(), (1, 0));
    state.undo();
    state.finish();
    assert_same(&state, &looked_at("bulkheads.toml"));
    assert!(state.waters_inside().is_empty());
    state.redo();
    state.finish();
    assert_same(&state, &looked_at("bulkheads.toml#rain"));
}

#[test]
fn the_other_way_round_from_a_condition_to_the_file_as_it_stands() {
    let mut state = looked_at("bulkheads.toml#rain");
    assert_eq!(state.edits().condition.as_deref(), Some("rain"));
    state.choose_condition(None);
    state.finish();
    assert_same(&state, &looked_at("bulkheads.toml"));
}

#[test]
fn what_was_changed_stays_changed_in_another_condition() {
    let mut state = looked_at("bulkheads.toml");
    let battery = item(&state, "battery");
    let crate_ = item(&state, "crate");
    let at = Vec3::new(1.4, 0.0, 0.13);
    state.change(|edits, _| edits.move_item(battery, &at));
    state.let_go();
    state.choose_condition(Some("rain"));
    state.finish();
    let edits = &state.edits().items;
    assert!((edits[battery].at_m - at).norm() < 1e-12);
    // The condition's own: the crate is heavier in the rain.
    assert!((edits[crate_].mass_kg - 12.0).abs() < 1e-12);
    assert_eq!(state.steps(), (2, 0));
}

#[test]
fn a_condition_that_is_not_there_changes_nothing_and_is_told() {
    let mut state = looked_at("bulkheads.toml");
    state.choose_condition(Some("snow"));
    assert!(state.message.contains("snow"), "{}", state.message);
    assert!(!state.awaits_condition());
    assert_eq!(state.steps(), (0, 0));
}

#[test]
fn chosen_to_and_fro_before_it_is_there_it_ends_where_it_was_left() {
    let mut state = looked_at("bulkheads.toml");
    state.choose_condition(Some("rain"));
    state.poll();
    state.choose_condition(None);
    state.poll();
    state.choose_condition(Some("rain"));
    state.change(|edits, _| {
        edits.parts_off.insert("foredeck".into());
    });
    state.undo();
    state.finish();
    assert_same(&state, &looked_at("bulkheads.toml#rain"));
}

#[test]
fn a_boat_saved_in_a_condition_starts_from_that_condition() {
    let folder = tempfile::tempdir().unwrap();
    for name in [
        "before.toml",
        "after.toml",
        "bulkheads.toml",
        "hull.stl",
        "foredeck.stl",
        "well.stl",
    ] {
        fs::copy(boats(name), folder.path().join(name)).unwrap();
    }
    let subject = Subject::load(&folder.path().join("bulkheads.toml")).unwrap();
    let mut state = ViewerState::new(subject, None);
    state.choose_condition(Some("rain"));
    state.finish();
    let battery = item(&state, "battery");
    state.change(|edits, _| edits.weigh_item(battery, 30.0));
    let text = state.edits().to_toml(state.file(), "bulkheads.toml#rain");
    // Only what was changed beside the condition.
    assert_eq!(text.matches("[[item]]").count(), 1, "{text}");
    let saved = folder.path().join("changed.toml");
    fs::write(&saved, text).unwrap();
    let boat = Boat::load(&saved).unwrap();
    let table = float(&boat).unwrap();
    let notch = table.openings.iter().find(|o| o.name == "transom notch");
    let told = notch.unwrap().freeboard_m.unwrap();
    assert!((freeboard_m(&state, "transom notch") - told).abs() < SAME_M);
    // A condition that is not there is told with its place.
    fs::write(&saved, "extends = \"bulkheads.toml#snow\"\n").unwrap();
    let error = Boat::load(&saved).unwrap_err().to_string();
    assert!(error.contains("snow") && error.contains("rain"), "{error}");
    assert!(error.contains("changed.toml:1"), "{error}");
}

#[test]
fn a_cylinder_keeps_its_air() {
    // Nothing changed is nothing changed, also of what weighs more than its
    // table says: the air in a cylinder.
    let mut state = looked_at("dived.toml");
    let mass_kg = state.readings().mass_kg;
    let battery = item(&state, "battery");
    state.change(|edits, _| edits.take_aboard(battery, false));
    state.change(|edits, _| edits.take_aboard(battery, true));
    assert!((state.readings().mass_kg - mass_kg).abs() < 1e-9);
}
