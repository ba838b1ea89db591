//! The tests' boats, looked at.
use std::path::{Path, PathBuf};

use awash::viewer::{Subject, ViewerState};

pub(crate) fn boats(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/boats")
        .join(name)
}

pub(crate) fn looked_at(name: &str) -> ViewerState {
    ViewerState::new(
        Subject::load(&boats(name)).expect("a boat of the tests"),
        None,
    )
}

/// Number of an item.
pub(crate) fn item(state: &ViewerState, name: &str) -> usize {
    let items = &state.subject().file.items;
    items
        .iter()
        .position(|item| item.name == name)
        .expect("an item")
}

pub(crate) fn freeboard_m(state: &ViewerState, name: &str) -> f64 {
    let openings = &state.readings().openings;
    let opening = openings
        .iter()
        .find(|o| o.name == name)
        .expect("an opening");
    opening.freeboard_m.expect("afloat")
}
