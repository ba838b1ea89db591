//! What messages about the fields of a table are put together of.
use super::super::place::Place;
use super::super::tree::Table;

/// What people write for a key that looks nothing like it.
pub(super) const EVERYDAY_WORDS: &[(&str, &str)] =
    &[("weight", "mass"), ("position", "at"), ("file", "mesh")];

/// Things that are made by a key of another name, with that key, and how.
pub(super) const OTHER_NAMES: &[(&str, &str, &str)] = &[(
    "coaming",
    "wall",
    "a coaming is a `wall` with `round`: wall = { round = \"cockpit\", height = \"8 cm\" }",
)];

/// What to do about a key that cannot stay, where it is of a file that another is laid
/// over: that one can change it but not take it out.
pub(crate) fn stands_below(
    key: &str,
    key_place: &Place,
    table: &Table,
    owner: &str,
) -> Option<String> {
    let nearest = table.values().map(|entry| entry.key_place.layer()).min()?;
    (nearest < key_place.layer()).then(|| {
        format!(
            "`{key}` stands at {key_place}, and what is laid over that can change it but not take it out: drop {owner} with `remove = true` and give it anew under another name"
        )
    })
}

pub(super) fn quoted(words: &[&str]) -> String {
    format!("\"{}\"", words.join("\", \""))
}

pub(super) fn ticked(keys: &[&str], between: &str) -> String {
    let ticked: Vec<String> = keys.iter().map(|key| format!("`{key}`")).collect();
    ticked.join(between)
}

/// The candidate most like `word`, if one is like it enough to be a slip of the
/// keyboard: one letter in three may differ.
pub(crate) fn nearest<'c>(
    word: &str,
    candidates: impl Iterator<Item = &'c str>,
) -> Option<&'c str> {
    const LONGEST_WORD_CHARS: usize = 60;
    let length = word.chars().count();
    if length > LONGEST_WORD_CHARS {
        return None;
    }
    let word = word.to_lowercase();
    let may_differ = (length / 3).max(1);
    candidates
        .filter(|candidate| candidate.len() <= 4 * LONGEST_WORD_CHARS)
        .map(|candidate| {
            let distance = strsim::osa_distance(&word, &candidate.to_lowercase());
            (distance, candidate)
        })
        .filter(|(distance, candidate)| *distance <= may_differ && *distance < candidate.len())
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, candidate)| candidate)
}
