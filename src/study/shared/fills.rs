//! Why no water comes in.
use schemars::JsonSchema;
use serde::Serialize;

use crate::boat::Boat;

/// Why no opening lets water in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, JsonSchema, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum NoneOpen {
    /// The boat file has none.
    NoOpening,
    /// All are covered.
    AllCovered,
}

impl NoneOpen {
    /// `None` where one lets water in.
    pub(in crate::study) fn of(boat: &Boat) -> Option<Self> {
        if boat.openings.iter().any(|o| o.lets_water_in()) {
            return None;
        }
        Some(if boat.openings.is_empty() {
            Self::NoOpening
        } else {
            Self::AllCovered
        })
    }
}

impl std::fmt::Display for NoneOpen {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Self::NoOpening => "the boat file has no opening",
            Self::AllCovered => "every opening is covered",
        })
    }
}
