//! Finding what the user names among what the boat file names.
use crate::boat::Boat;

/// A name that the boat file does not have.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("there is no {kind} \"{name}\" in this boat; it has {}", listed(known))]
pub struct NoSuchName {
    /// "item" or "opening".
    pub kind: &'static str,
    /// What was asked for.
    pub name: String,
    /// What there is.
    pub known: Vec<String>,
}

fn listed(known: &[String]) -> String {
    if known.is_empty() {
        return "none".into();
    }
    let quoted: Vec<String> = known.iter().map(|name| format!("\"{name}\"")).collect();
    quoted.join(", ")
}

/// The number of a mass in the boat's list; the hull itself is not one.
pub(super) fn mass_named(boat: &Boat, name: &str) -> Result<usize, NoSuchName> {
    let bare_hull = usize::from(boat.has_hull_mass);
    boat.masses
        .iter()
        .enumerate()
        .skip(bare_hull)
        .find(|(_, entry)| entry.name == name)
        .map(|(index, _)| index)
        .ok_or_else(|| NoSuchName {
            kind: "item",
            name: name.to_owned(),
            known: boat.masses[bare_hull..]
                .iter()
                .map(|entry| entry.name.clone())
                .collect(),
        })
}

/// The number of an opening in the boat's list.
pub(super) fn opening_named(boat: &Boat, name: &str) -> Result<usize, NoSuchName> {
    boat.openings
        .iter()
        .position(|opening| opening.name == name)
        .ok_or_else(|| NoSuchName {
            kind: "opening",
            name: name.to_owned(),
            known: boat.openings.iter().map(|o| o.name.clone()).collect(),
        })
}
