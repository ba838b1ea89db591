//! The boat as it was before.
use super::edits::Edits;
use super::inside::{WaterInside, standing};
use super::lying::{readings_of, rest_or_trouble};
use super::readings::Readings;
use super::subject::Subject;
use crate::equilibrium::Afloat;

/// The boat as it was before, at its own rest.
#[derive(Debug)]
pub struct Ghost {
    /// The boat.
    pub subject: Subject,
    /// Its readings at rest.
    pub readings: Readings,
    /// What stands in it.
    pub waters_inside: Vec<WaterInside>,
    /// Everything aboard where its file has it.
    pub edits: Edits,
}

impl Ghost {
    /// Lets a boat float.
    #[must_use]
    pub fn at_rest(subject: Subject) -> Self {
        let craft = subject.craft();
        let (rest, _) = rest_or_trouble(Afloat::of(&subject.boat).rest().cloned());
        let readings = readings_of(&subject, &craft, rest.as_ref());
        Self {
            waters_inside: standing(&subject, &readings.plane),
            edits: Edits::none(&subject.file, subject.condition.clone()),
            readings,
            subject,
        }
    }
}
