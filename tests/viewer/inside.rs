//! What stands inside: in each space, in tanks, and as it comes in.
use std::fs;

use awash::boat::Boat;
use awash::equilibrium::space_of;
use awash::immersion::WaterPlane;
use awash::numerics::Vec3;
use awash::study::{Start, float};
use awash::viewer::{Attitude, Room, Subject, ViewerState, cut, inside_sheet};

use crate::support::{boats, item, looked_at};

/// Between two rest searches that start from different planes.
const SAME_M: f64 = 1e-8;

#[test]
fn rain_stands_in_its_own_space_as_high_as_it_fills_it() {
    let state = looked_at("bulkheads.toml#rain");
    let [water] = state.waters_inside() else {
        panic!("one space is wet: {:?}", state.waters_inside());
    };
    let boat = &state.subject().boat;
    let number = boat
        .compartments
        .iter()
        .position(|c| c.name == "after space");
    assert_eq!(water.room, Room::Compartment(number.unwrap()));
    assert!((water.plane.up - state.readings().plane.up).norm() < 1e-15);
    // What lies under the drawn surface is what the file says: 10 L.
    let under = space_of(&boat.compartments[number.unwrap()]).immerse(&water.plane);
    assert!(
        (under.volume_m3 - 0.010).abs() < 1e-9,
        "{}",
        under.volume_m3
    );
    // And the surface drawn is within the space.
    let (walls, name) = water.room_of(state.subject()).unwrap();
    assert_eq!(name, "after space");
    let lines = cut(walls, walls.faces.len(), &water.plane);
    let sheet = inside_sheet(&lines, &water.plane);
    assert!(lines.open.is_empty() && sheet.area_m2() > 0.0);
    let drawn_m2 = sheet.area_m2();
    let kernel_m2 = awash::immersion::MomentTree::new(walls, &[])
        .immerse(&water.plane)
        .waterplane
        .area_m2;
    assert!(
        (drawn_m2 - kernel_m2).abs() < 1e-6,
        "{drawn_m2} {kernel_m2}"
    );
}

#[test]
fn a_swamping_fills_each_space_to_its_own_level() {
    let mut state = looked_at("bulkheads.toml");
    state.knocked.start = Start::Tilt;
    state.knocked.held_s = 20.0;
    state.push_it_under();
    state.finish();
    let film = state.film().expect("worked out").clone();
    assert_eq!(film.start, Start::Tilt);
    let mut both = 0;
    for (number, line) in film.time_line.iter().enumerate() {
        state.show_moment(number);
        assert_eq!(state.attitude(), Attitude::Film(number));
        let wet: Vec<f64> = line
            .compartments_m3
            .iter()
            .copied()
            .filter(|v| *v > 0.0)
            .collect();
        assert_eq!(state.waters_inside().len(), wet.len());
        both += usize::from(wet.len() > 1);
        for (water, volume_m3) in state.waters_inside().iter().zip(wet) {
            let Room::Compartment(space) = water.room else {
                panic!("the boat has no tank");
            };
            let space = &state.subject().boat.compartments[space];
            assert!(!space.sealed);
            let under = space_of(space).immerse(&water.plane);
            assert!((under.volume_m3 - volume_m3).abs() < 1e-9 * space.capacity_m3());
        }
    }
    assert!(both > 0, "the limber hole lets it through");
}

#[test]
fn water_already_inside_and_bailing_are_taken_into_account() {
    let mut state = looked_at("after.toml");
    state.knocked.start = Start::Condition;
    state.knocked.inside_m3 = 0.020;
    state.knocked.bailed_m3_s = 0.001;
    state.push_it_under();
    state.finish();
    let film = state.film().unwrap();
    assert!((film.time_line[0].water_m3 - 0.020).abs() < 1e-12);
    let last = film.time_line.last().unwrap();
    assert!(last.water_m3 < 0.001 && last.bailed_m3 > 0.019, "{last:?}");
}

/// The boat with 15 L in a tank amidships, beside copies of its files.
fn with_tank(folder: &std::path::Path) -> std::path::PathBuf {
    for name in [
        "before.toml",
        "after.toml",
        "hull.stl",
        "foredeck.stl",
        "well.stl",
    ] {
        fs::copy(boats(name), folder.join(name)).expect("copied");
    }
    let text = "extends = \"after.toml\"\n[[item]]\nname = \"water tank\"\nmass = \"2 kg\"\n\
                at = [1.4, 0.0, 0.15]\nvolume_at = [1.4, 0.0, 0.16]\nvolume = \"20 L\"\n\
                size = [\"40 cm\", \"30 cm\", \"20 cm\"]\nliquid = { volume = \"15 L\" }\n";
    let path = folder.join("tank.toml");
    fs::write(&path, text).expect("written");
    path
}

#[test]
fn a_tank_moved_takes_its_liquid_along_and_is_saved_so() {
    let folder = tempfile::tempdir().unwrap();
    let path = with_tank(folder.path());
    let mut state = ViewerState::new(Subject::load(&path).unwrap(), None);
    let tank = item(&state, "water tank");
    let before = state.readings().clone();
    let at = Vec3::new(0.9, 0.1, 0.15);
    state.change(|edits, _| edits.move_item(tank, &at));
    let after = state.readings();
    // 17 kg go 0.5 m aft: the common centre of gravity by that share.
    let moved = after.centre_of_gravity_m - before.centre_of_gravity_m;
    let share = 17.0 / before.mass_kg;
    assert!((moved.x + 0.5 * share).abs() < 0.004, "{moved} {share}");
    assert!(after.plane.pitch_deg() > before.plane.pitch_deg());
    let [water] = state.waters_inside() else {
        panic!("in the tank: {:?}", state.waters_inside());
    };
    let (walls, _) = water.room_of(state.subject()).unwrap();
    let (lo, hi) = walls.bounds().unwrap();
    assert!(((lo + hi) / 2.0 - at).norm() < 1e-12);
    // 15 L of 24 L in 20 cm: 12.5 cm deep in the middle of a level box.
    let depth = WaterPlane { ..water.plane }.height_m(&Vec3::new(at.x, at.y, lo.z));
    assert!((-depth - 0.125).abs() < 1e-3, "{depth}");
    // The saved file floats as shown.
    let text = state.edits().to_toml(state.file(), "tank.toml");
    assert!(text.contains("volume_at = [0.9, 0.1, 0.16]"), "{text}");
    let saved = folder.path().join("moved.toml");
    fs::write(&saved, text).unwrap();
    let table = float(&Boat::load(&saved).unwrap()).unwrap();
    for (read, told) in state.readings().openings.iter().zip(&table.openings) {
        assert!((read.freeboard_m.unwrap() - told.freeboard_m.unwrap()).abs() < SAME_M);
    }
    // Ashore it takes its liquid along, too.
    let full = state.readings().mass_kg;
    state.change(|edits, _| edits.take_aboard(tank, false));
    assert!((full - state.readings().mass_kg - 17.0).abs() < 1e-9);
    assert!(state.waters_inside().is_empty());
}
