//! Finding things aboard: by the name that the user gives, or by what is known
//! of them.
use crate::boat::{Boat, MassEntry, MassKind};
use crate::equilibrium::EquilibriumError;

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

/// Why a study of one thing aboard could not be made.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum NamedError {
    /// No rest, or it sinks.
    #[error(transparent)]
    Equilibrium(#[from] EquilibriumError),
    /// There is no such item or opening.
    #[error(transparent)]
    Name(#[from] NoSuchName),
    /// What is asked about stays where the boat file shapes it.
    #[error(
        "\"{0}\" is a part of the hull: its shape would stay behind, so `place` cannot move it; change its `[[part]]` in the boat file and float that, or name an [[item]]"
    )]
    PartOfTheHull(String),
}

fn listed(known: &[String]) -> String {
    if known.is_empty() {
        return "none".into();
    }
    let quoted: Vec<String> = known.iter().map(|name| format!("\"{name}\"")).collect();
    quoted.join(", ")
}

/// The number of a mass in the boat's list; the hull itself is not one.
pub(in crate::study) fn mass_named(boat: &Boat, name: &str) -> Result<usize, NoSuchName> {
    let is_it = |entry: &MassEntry| entry.kind != MassKind::Hull && entry.name == name;
    boat.masses
        .iter()
        .position(is_it)
        .ok_or_else(|| NoSuchName {
            kind: "item",
            name: name.to_owned(),
            known: boat.aboard().map(|entry| entry.name.clone()).collect(),
        })
}

/// The number of an item in the boat's list of masses.
pub(in crate::study) fn item_named(boat: &Boat, name: &str) -> Result<usize, NamedError> {
    let is_item = |entry: &MassEntry| entry.kind == MassKind::Item;
    let is_it = |entry: &MassEntry| is_item(entry) && entry.name == name;
    if let Some(number) = boat.masses.iter().position(is_it) {
        return Ok(number);
    }
    if boat.parts.iter().any(|part| part.name == name) || mass_named(boat, name).is_ok() {
        return Err(NamedError::PartOfTheHull(name.to_owned()));
    }
    let items = boat.masses.iter().filter(|entry| is_item(entry));
    Err(NamedError::Name(NoSuchName {
        kind: "item",
        name: name.to_owned(),
        known: items.map(|entry| entry.name.clone()).collect(),
    }))
}

/// Names of everyone aboard.
pub(in crate::study) fn people_aboard(boat: &Boat) -> Vec<String> {
    boat.persons().map(|entry| entry.name.clone()).collect()
}

/// The heaviest person aboard.
pub(in crate::study) fn person_aboard(boat: &Boat) -> Option<&MassEntry> {
    boat.persons()
        .max_by(|a, b| a.mass_kg.total_cmp(&b.mass_kg))
}

/// Names of what the boat file gives no volume or density for.
pub(in crate::study) fn without_volume(boat: &Boat) -> Vec<&str> {
    let masses = boat.masses.iter();
    masses
        .filter(|entry| entry.solid_m3.is_none())
        .map(|entry| entry.name.as_str())
        .collect()
}

/// The number of an opening in the boat's list.
pub(in crate::study) fn opening_named(boat: &Boat, name: &str) -> Result<usize, NoSuchName> {
    boat.openings
        .iter()
        .position(|opening| opening.name == name)
        .ok_or_else(|| NoSuchName {
            kind: "opening",
            name: name.to_owned(),
            known: boat.openings.iter().map(|o| o.name.clone()).collect(),
        })
}
