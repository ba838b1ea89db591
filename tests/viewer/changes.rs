//! What is changed on the boat, undone, and saved.
use std::fs;

use awash::boat::{Boat, OpeningState};
use awash::numerics::Vec3;
use awash::study::float;
use awash::viewer::{Edits, Subject, ViewerState};

use crate::support::{boats, freeboard_m, item, looked_at};
use crate::zoo::narrow_box;

#[test]
fn a_battery_dragged_aft_lowers_the_transom_notch_and_undo_raises_it() {
    let mut state = looked_at("after.toml");
    let before = freeboard_m(&state, "transom notch");
    let battery = item(&state, "battery");
    for step in 1..=10_u8 {
        let x = 0.92 - 0.07 * f64::from(step);
        state.change(|edits, _| edits.move_item(battery, &Vec3::new(x, 0.12, 0.13)));
    }
    state.let_go();
    let moved = freeboard_m(&state, "transom notch");
    assert!(moved < before - 0.005, "{before} {moved}");
    assert_eq!(state.steps(), (1, 0));
    state.undo();
    assert!((freeboard_m(&state, "transom notch") - before).abs() < 1e-8);
    state.redo();
    assert!((freeboard_m(&state, "transom notch") - moved).abs() < 1e-8);
}

#[test]
fn a_covered_opening_is_judged_no_more_and_uncovered_again() {
    let mut state = looked_at("after.toml");
    let cover = |state: &mut ViewerState, covered| {
        state.change(|edits, subject| edits.cover(subject, "transom notch", covered));
        state.let_go();
    };
    assert_eq!(state.readings().lowest().unwrap().name, "transom notch");
    cover(&mut state, true);
    assert_ne!(state.readings().lowest().unwrap().name, "transom notch");
    cover(&mut state, false);
    assert!(state.edits().openings.is_empty());
    assert_eq!(state.readings().lowest().unwrap().name, "transom notch");
}

#[test]
fn a_part_taken_off_gives_the_boat_without_it() {
    let mut state = looked_at("after.toml");
    let version = state.hull_version();
    state.change(|edits, _| {
        edits.parts_off.insert("foredeck".into());
    });
    state.finish();
    assert!(state.hull_version() > version);
    let folder = tempfile::tempdir().unwrap();
    let file = saved(&state, folder.path());
    let table = float(&Boat::load(&file).unwrap()).unwrap();
    let read = freeboard_m(&state, "transom notch");
    let told = table.openings.iter().find(|o| o.name == "transom notch");
    assert!((read - told.unwrap().freeboard_m.unwrap()).abs() < 1e-8);
    state.undo();
    state.finish();
    assert!((state.readings().mass_kg - looked_at("after.toml").readings().mass_kg).abs() < 1e-9);
}

/// The boat file that says what was changed, beside a copy of the boats.
fn saved(state: &ViewerState, folder: &std::path::Path) -> std::path::PathBuf {
    for name in [
        "before.toml",
        "after.toml",
        "hull.stl",
        "foredeck.stl",
        "well.stl",
    ] {
        fs::copy(boats(name), folder.join(name)).expect("copied");
    }
    let text = state.edits().to_toml(&state.subject().file, "after.toml");
    let target = folder.join("changed.toml");
    fs::write(&target, text).expect("written");
    target
}

#[test]
fn the_saved_file_is_the_boat_that_was_shown() {
    let mut state = looked_at("after.toml");
    let [battery, cylinder, paddle, crate_] =
        ["battery", "cylinder", "paddle", "crate"].map(|name| item(&state, name));
    state.change(|edits, subject| {
        edits.move_item(battery, &Vec3::new(1.234_56, -0.05, 0.1));
        edits.weigh_item(cylinder, 14.123_456);
        edits.take_aboard(paddle, false);
        edits.weigh_item(crate_, 12.5);
        edits.cover(subject, "transom notch", true);
    });
    let folder = tempfile::tempdir().unwrap();
    let target = saved(&state, folder.path());
    let again = Subject::load(&target).unwrap();
    assert_eq!(again.file.items.len(), state.subject().file.items.len() - 1);
    let mass = |name: &str| {
        again
            .file
            .items
            .iter()
            .find(|i| i.name == name)
            .unwrap()
            .mass
    };
    // Rounded to a gram; what the file said of its spread is kept.
    assert_eq!(mass("cylinder").value.to_bits(), 14.123_f64.to_bits());
    assert!((mass("cylinder").spread - 1.0).abs() < 1e-12);
    let notch = again
        .file
        .openings
        .iter()
        .find(|o| o.name == "transom notch");
    assert_eq!(notch.unwrap().state, OpeningState::Covered);
    let told = ViewerState::new(again, None);
    let (shown, told) = (state.readings(), told.readings());
    assert!((shown.mass_kg - told.mass_kg).abs() < 1e-9);
    for (a, b) in shown.openings.iter().zip(&told.openings) {
        assert!((a.freeboard_m.unwrap() - b.freeboard_m.unwrap()).abs() < 1e-8);
        assert_eq!(a.verdict, b.verdict);
    }
    // Saved without a change, it is the same boat.
    let nothing = Edits::none(&state.subject().file, None);
    let text = nothing.to_toml(&state.subject().file, "after.toml");
    assert_eq!(
        text.lines().filter(|line| !line.starts_with('#')).count(),
        1
    );
}

#[test]
fn names_with_quotes_and_unnamed_edges_are_saved_too() {
    let folder = tempfile::tempdir().unwrap();
    fs::copy(boats("hull.stl"), folder.path().join("hull.stl")).unwrap();
    let text = "[hull]\nmesh = \"hull.stl\"\nunits = \"mm\"\nmass = \"24 kg\"\ncentre = [1.5, 0, 0.2]\n\
                [[item]]\nname = 'the \"good\" battery'\nmass = \"20 kg\"\nat = [1.0, 0, 0.1]\n";
    let path = folder.path().join("boat.toml");
    fs::write(&path, text).unwrap();
    let mut state = ViewerState::new(Subject::load(&path).unwrap(), None);
    let edge = state.subject().boat.openings[0].name.clone();
    assert_eq!(edge, "open edge 1");
    state.change(|edits, subject| {
        edits.cover(subject, &edge, true);
        edits.weigh_item(0, 25.0);
    });
    let changed = folder.path().join("changed.toml");
    fs::write(
        &changed,
        state.edits().to_toml(&state.subject().file, "boat.toml"),
    )
    .unwrap();
    let again = Boat::load(&changed).unwrap();
    assert!((again.mass_kg() - 49.0).abs() < 1e-9);
    assert_eq!(again.openings[0].state, OpeningState::Covered);
    assert_eq!(again.openings.len(), 1);
}

#[test]
fn an_opening_whose_part_is_off_is_left_out_and_told() {
    // A port cut through a cabin that can be taken off.
    let folder = tempfile::tempdir().unwrap();
    fs::copy(boats("hull.stl"), folder.path().join("hull.stl")).unwrap();
    let text = "[hull]\nmesh = \"hull.stl\"\nunits = \"mm\"\nmass = \"24 kg\"\ncentre = [1.5, 0, 0.2]\n\
                [[opening]]\nname = \"cockpit\"\nloop = 1\n\
                [[part]]\nname = \"cabin\"\nrole = \"add\"\nmass = \"5 kg\"\n\
                box = { min = [1.2, -0.2, 0.2], max = [1.8, 0.2, 0.9] }\n\
                [[opening]]\nname = \"cabin port\"\n\
                box = { min = [1.7, -0.05, 0.6], max = [1.9, 0.05, 0.7] }\n";
    let path = folder.path().join("boat.toml");
    fs::write(&path, text).unwrap();
    let mut state = ViewerState::new(Subject::load(&path).unwrap(), None);
    assert_eq!(state.readings().openings.len(), 2);
    state.change(|edits, _| {
        edits.parts_off.insert("cabin".into());
    });
    state.let_go();
    state.finish();
    assert_eq!(state.readings().openings.len(), 1);
    assert!(state.message.contains("cabin port"), "{}", state.message);
    state.undo();
    state.finish();
    assert_eq!(state.readings().openings.len(), 2);
}

/// A float lashed under the deck and one dragged out to an outrigger: there it carries,
/// as in the boat file that has it there; taken ashore it carries no more.
#[test]
fn an_item_dragged_out_of_the_hull_displaces_there() {
    let hull = narrow_box();
    let float_at = |y: f64, z: f64| {
        format!(
            "[[item]]\nname = \"float\"\nmass = 4\nat = [2.5, {y:?}, {z:?}]\nsize = [1.0, 0.1, 0.1]\nvolume = \"10 L\"\n"
        )
    };
    let folder = tempfile::tempdir().unwrap();
    let file = hull.write(folder.path(), &float_at(0.0, 0.2));
    let mut state = ViewerState::new(Subject::load(&file).unwrap(), None);
    let number = item(&state, "float");
    let hatch = |more: &str| {
        let result = float(&hull.boat_with(more)).unwrap();
        result.openings[0].freeboard_m.unwrap()
    };
    for (y, z) in [(0.5, 0.05), (0.5, 0.1), (0.0, -0.1), (0.0, 0.2)] {
        state.change(|edits, _| edits.move_item(number, &Vec3::new(2.5, y, z)));
        state.let_go();
        let there = freeboard_m(&state, "hatch");
        assert!((there - hatch(&float_at(y, z))).abs() < 1e-6, "{y} {z}");
    }
    state.change(|edits, _| edits.move_item(number, &Vec3::new(2.5, 0.5, 0.05)));
    state.change(|edits, _| edits.take_aboard(number, false));
    state.let_go();
    assert!((freeboard_m(&state, "hatch") - hatch("")).abs() < 1e-6);
}
