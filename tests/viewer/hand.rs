//! What clicks make of a boat, and the file that is saved of it.
use std::fs;

use awash::boat::Boat;
use awash::numerics::Vec3;
use awash::study::float;
use awash::viewer::{Cargo, Chosen, Grip, Kind, Pose, Ray, Tool, ViewerState};

use crate::support::{boats, freeboard_m, looked_at};

fn from_starboard(x_m: f64, z_m: f64) -> Ray {
    Ray {
        from_m: Vec3::new(x_m, -5.0, z_m),
        along: Vec3::y(),
    }
}

fn from_above(x_m: f64, y_m: f64) -> Ray {
    Ray {
        from_m: Vec3::new(x_m, y_m, 5.0),
        along: -Vec3::z(),
    }
}

fn from_below(x_m: f64, y_m: f64) -> Ray {
    Ray {
        from_m: Vec3::new(x_m, y_m, -5.0),
        along: Vec3::z(),
    }
}

fn click(state: &mut ViewerState, tool: Tool, ray: &Ray) {
    state.take_up(tool);
    state.click(ray, None);
    state.finish();
    assert_eq!(state.refused(), None, "{tool:?}");
}

/// What `float` says of the saved file is what is shown: mass, heel, pitch and every sill.
/// Internal consistency.
fn agrees_with_its_file(state: &ViewerState, extends: &str) -> Boat {
    let folder = tempfile::tempdir().expect("a folder");
    for file in [
        "before.toml",
        "after.toml",
        "hull.stl",
        "foredeck.stl",
        "well.stl",
    ] {
        fs::copy(boats(file), folder.path().join(file)).expect("copied");
    }
    let path = folder.path().join("changed.toml");
    fs::write(&path, state.edits().to_toml(state.file(), extends)).expect("written");
    let boat = Boat::load(&path).unwrap_or_else(|error| {
        panic!("{error}\n{}", fs::read_to_string(&path).expect("read"));
    });
    let told = float(&boat).expect("it floats");
    let read = state.readings();
    assert!((told.mass_kg - read.mass_kg).abs() < 1e-9);
    let rest = told.rest.as_ref().expect("afloat");
    let heel = rest.hydrostatics.heel_deg - read.plane.heel_deg();
    let pitch = rest.hydrostatics.pitch_deg - read.plane.pitch_deg();
    assert!(heel.abs() < 1e-7 && pitch.abs() < 1e-7, "{heel} {pitch}");
    assert_eq!(told.openings.len(), read.openings.len());
    for opening in &told.openings {
        let shown = read
            .openings
            .iter()
            .find(|o| o.name == opening.name)
            .expect("shown too");
        let off = opening.freeboard_m.expect("afloat") - shown.freeboard_m.expect("afloat");
        assert!(off.abs() < 1e-9, "{}: {off}", opening.name);
    }
    boat
}

#[test]
fn a_hole_clicked_has_its_true_rim_at_once_and_as_saved() {
    let mut state = looked_at("after.toml");
    let version = state.hull_version();
    state.take_up(Tool::Make(Kind::Round));
    state.click(&from_starboard(1.2, 0.2), None);
    // Its sill is known before anything is made anew.
    let at_once = state.sill_m("round hole").unwrap();
    state.finish();
    assert!((state.sill_m("round hole").unwrap() - at_once).abs() < 1e-9);
    assert_eq!(state.hull_version(), version, "the hull is the same");
    agrees_with_its_file(&state, "after.toml");
    // Pulled by its edge and up by its sill.
    let middle = state.chosen_made().unwrap().points_m[0];
    state.pull(Grip::Edge, &from_starboard(middle.x + 0.07, middle.z));
    let wide = state.chosen_made().unwrap().figures[0];
    assert!((wide - 0.14).abs() < 0.012, "{wide}");
    // Too high for a hole that wide: it stays, and says why.
    let low = state.sill_m("round hole").unwrap();
    state.raise_sill("round hole", 0.3);
    assert!(state.sill_m("round hole").unwrap() < 0.2 && !state.message.is_empty());
    state.set_figure("round hole", 0, 0.06);
    state.raise_sill("round hole", 0.05);
    let raised = state.sill_m("round hole").unwrap();
    assert!((raised - 0.05).abs() < 5e-4, "{low} {raised}");
    state.let_go();
    state.finish();
    agrees_with_its_file(&state, "after.toml");
    // Steps have names, and are taken back.
    let [last, _] = state.steps_in_words();
    assert_eq!(last.as_deref(), Some("change round hole"));
    while state.steps().0 > 0 {
        state.undo();
    }
    state.finish();
    assert!(state.sill_m("round hole").is_none());
    assert!(!state.is_unsaved());
}

#[test]
fn a_square_hole_a_pocket_and_an_edge_through_points_are_cut() {
    let mut state = looked_at("before.toml");
    click(
        &mut state,
        Tool::Make(Kind::Square),
        &from_starboard(1.2, 0.2),
    );
    let mass = state.readings().mass_kg;
    click(
        &mut state,
        Tool::Make(Kind::Pocket),
        &from_starboard(1.8, 0.2),
    );
    // Thin new skin in the place of the hull's.
    assert!((state.readings().mass_kg - mass).abs() > 1e-3);
    state.take_up(Tool::Make(Kind::Line));
    for (x, z) in [(0.6, 0.25), (0.8, 0.25), (0.7, 0.3)] {
        state.click(&from_starboard(x, z), None);
    }
    state.finish();
    assert_eq!(state.edits().made.len(), 3);
    let boat = agrees_with_its_file(&state, "before.toml");
    assert!(
        boat.openings
            .iter()
            .any(|o| o.name == "hole through points")
    );
}

#[test]
fn what_cannot_be_made_is_told_and_left_to_be_moved() {
    let mut state = looked_at("before.toml");
    state.take_up(Tool::Make(Kind::Round));
    state.click(&from_starboard(1.2, 0.2), None);
    state.set_figure("round hole", 0, 3.0);
    state.finish();
    assert!(state.refused().is_some());
    assert!(state.message.contains("round hole"), "{}", state.message);
    state.undo();
    state.finish();
    assert!(state.refused().is_none() && state.sill_m("round hole").is_some());
}

#[test]
fn what_is_built_gains_and_costs_and_is_saved() {
    let mut state = looked_at("before.toml");
    let sill = freeboard_m(&state, "cockpit");
    click(
        &mut state,
        Tool::Make(Kind::Foredeck),
        &from_above(1.9, 0.0),
    );
    let [heavier, deeper, _] = state.gained("foredeck").unwrap();
    assert!(heavier > 0.1 && deeper > 0.0, "{heavier} {deeper}");
    click(&mut state, Tool::Make(Kind::Coaming), &from_above(1.2, 0.0));
    let [_, _, higher] = state.gained("coaming").unwrap();
    assert!(higher > 0.05, "{higher}");
    assert!(freeboard_m(&state, "cockpit") > sill);
    for (kind, ray) in [
        (Kind::Bulkhead, from_above(0.6, 0.0)),
        (Kind::Skeg, from_below(0.6, 0.0)),
        (Kind::Sponson, from_starboard(1.2, 0.2)),
        (Kind::Filling, from_above(0.3, 0.1)),
    ] {
        click(&mut state, Tool::Make(kind), &ray);
    }
    agrees_with_its_file(&state, "before.toml");
    // A handle moves the bulkhead along.
    state.chosen = Some(Chosen::Made("bulkhead".to_owned()));
    let handle = state.handles()[0].clone();
    state.pull(handle.grip, &from_starboard(0.8, handle.at_m.z));
    assert!((state.chosen_made().unwrap().figures[0] - 0.8).abs() < 0.02);
}

#[test]
fn things_are_put_aboard_posed_and_taken_away() {
    let mut state = looked_at("before.toml");
    // The one in the file stays ashore.
    state.change(|edits, _| edits.take_aboard(0, false));
    let mass = state.readings().mass_kg;
    for (cargo, x) in Cargo::ALL.into_iter().zip([1.0, 0.8, 1.3, 1.6, 0.5, 1.8]) {
        click(&mut state, Tool::Stow(cargo), &from_above(x, 0.0));
    }
    assert!(state.readings().mass_kg > mass + 100.0);
    agrees_with_its_file(&state, "before.toml");
    let person = state.edits().items.len() - 6;
    let upright = state.readings().plane.heel_deg();
    state.pose(person, Pose::Leans(true));
    state.finish();
    assert!(state.readings().plane.heel_deg() < upright, "to port");
    agrees_with_its_file(&state, "before.toml");
    state.pose(person, Pose::StepsIn(false));
    assert!(state.edits().items[person].at_m.y < -0.2);
    state.pose(person, Pose::Sits);
    state.take_out(&Chosen::Item(person + 1));
    state.finish();
    assert_eq!(state.edits().stowed().count(), 5);
    agrees_with_its_file(&state, "before.toml");
}

#[test]
fn clicks_choose_and_measure() {
    let mut state = looked_at("after.toml");
    state.take_up(Tool::Look);
    let port = state
        .subject()
        .boat
        .openings
        .iter()
        .find(|o| o.name == "side port");
    let sill = port.unwrap().sill_m(&Vec3::z());
    // The port looks out to port: seen from there.
    let from_port = Ray {
        from_m: Vec3::new(sill.x, 5.0, sill.z + 0.01),
        along: -Vec3::y(),
    };
    state.click(&from_port, None);
    assert_eq!(state.chosen, Some(Chosen::Opening("side port".to_owned())));
    state.click(&from_above(2.9, 0.05), None);
    assert_eq!(state.chosen, Some(Chosen::Part("foredeck".to_owned())));
    state.take_up(Tool::Measure);
    state.click(&from_starboard(1.0, 0.2), None);
    state.click(&from_starboard(1.5, 0.2), None);
    let [a, b] = state.picked[..] else {
        panic!("two places")
    };
    let straight = (a.at_m - b.at_m).norm();
    let along = state.subject().along_skin_m(&a, &b).unwrap();
    assert!(
        along >= straight - 1e-9 && along < 1.02 * straight,
        "{along} {straight}"
    );
}

#[test]
fn the_boat_as_it_was_is_shown_and_left_again() {
    let mut state = looked_at("before.toml");
    let was = state.readings().mass_kg;
    click(&mut state, Tool::Stow(Cargo::Lead), &from_above(1.0, 0.0));
    state.look_back(true);
    assert!((state.readings().mass_kg - was).abs() < 1e-12);
    state.poll();
    assert!(state.looks_back());
    state.look_back(false);
    assert!((state.readings().mass_kg - was - 5.0).abs() < 1e-9);
    // A change leaves it by itself.
    state.look_back(true);
    state.undo();
    assert!(!state.looks_back());
    state.finish();
    assert!((state.readings().mass_kg - was).abs() < 1e-9);
}
