//! A box as a boat, made worse by one line, and what `awash float` must say of it.
use serde_json::Value;

use super::mesh_case::has_doubt;
use super::run::{Answer, Folder, awash_in};
use super::stl::{binary, box_facets};

/// A box of 2 × 1 × 0.5 m and 200 kg; six lines.
pub(crate) const BOX: &str = "[hull]
mesh = \"hull.stl\"
units = \"m\"
mass = \"200 kg\"
centre = [1, 0, 0.1]

";

/// Every study of a boat afloat, of `boat.toml` with an item "bag", an opening "port" and
/// readings in `measured.toml`.
pub(crate) const AFLOAT: [&[&str]; 15] = [
    &["float", "boat.toml"],
    &["margins", "boat.toml"],
    &["righting", "boat.toml"],
    &["swamp", "boat.toml"],
    &["flooded", "boat.toml"],
    &["foam", "boat.toml"],
    &["spread", "boat.toml", "--draws", "10"],
    &["place", "boat.toml", "bag"],
    &["sill", "boat.toml", "port"],
    &["tape", "boat.toml"],
    &["drill", "boat.toml"],
    &["list", "boat.toml", "weights"],
    &["calibrate", "boat.toml", "measured.toml"],
    &["curves", "boat.toml"],
    &["section", "boat.toml"],
];

pub(crate) fn folder_with_hull() -> Folder {
    let folder = Folder::new();
    folder.write("hull.stl", binary(&box_facets()));
    folder
}

pub(crate) fn float(text: impl AsRef<[u8]>) -> Answer {
    float_in(&folder_with_hull(), text)
}

pub(crate) fn float_in(folder: &Folder, text: impl AsRef<[u8]>) -> Answer {
    folder.write("boat.toml", text);
    awash_in(folder.path(), ["float", "boat.toml", "--format", "json"])
}

/// Refused with a message that begins at `place` and holds all `words`.
#[track_caller]
pub(crate) fn refused(text: impl AsRef<[u8]>, place: &str, words: &[&str]) {
    holds(float(text).refusal(), place, words);
}

#[track_caller]
pub(crate) fn holds(message: &str, place: &str, words: &[&str]) {
    assert!(
        message.starts_with(&format!("{place}: ")),
        "not at {place}: {message}"
    );
    for words in words {
        assert!(message.contains(words), "no `{words}` in: {message}");
    }
}

/// Answered, with a doubt of a kind that holds these words.
#[track_caller]
pub(crate) fn doubted(text: &str, kind: &str, words: &str) -> Value {
    let result = float(text).json();
    let doubts = &result["mesh_doubts"];
    assert!(
        has_doubt(doubts, kind, words),
        "no {kind} doubt with `{words}` in: {doubts:#}"
    );
    result
}

/// A boat that floats without a doubt.
#[track_caller]
pub(crate) fn undoubted(text: &str) {
    let result = float(text).json();
    let doubts = result["mesh_doubts"].as_array().expect("a list");
    assert!(doubts.is_empty(), "{doubts:#?}");
}

pub(crate) fn with(lines: &str) -> String {
    format!("{BOX}{lines}")
}

pub(crate) fn instead_of(given: &str, other: &str) -> String {
    assert!(BOX.contains(given));
    BOX.replace(given, other)
}
