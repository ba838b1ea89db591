//! What every study says beside its result: of which boat, what must be said before it,
//! and what to be wary of.
use std::ops::{Deref, DerefMut};

use schemars::JsonSchema;
use serde::Serialize;

use super::attitude::Lies;
use super::cautions::Caution;
use crate::boat::Boat;
use crate::equilibrium::Afloat;
use crate::immersion::WaterPlane;
use crate::mesh::Doubt;

/// A study's result with the boat's name, its cautions and its doubts. Facts only; the
/// sentences are [`crate::present`]'s. Reads like the result itself.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct Answer<T> {
    /// The boat's name.
    pub name: String,
    /// What the study found.
    #[serde(flatten)]
    pub result: T,
    /// How the craft lies by itself, which comes before any summary; `None` where that is
    /// not known or the study says it itself.
    #[serde(skip)]
    pub as_it_lies: Option<AsItLies>,
    /// What no number here covers, and what is doubtful about this craft.
    #[serde(rename = "caution_codes", skip_serializing_if = "Vec::is_empty")]
    pub cautions: Vec<Caution>,
    /// Everything about the meshes that may make these numbers wrong.
    #[serde(rename = "mesh_doubts")]
    pub doubts: Vec<Doubt>,
}

/// What every study says first of a craft that capsizes or fills as it lies.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AsItLies {
    /// Which side of it is uppermost.
    pub lies: Lies,
    /// The openings whose sills are under water.
    pub fills_through: Vec<String>,
}

impl AsItLies {
    /// At a water plane.
    pub(in crate::study) fn at(boat: &Boat, plane: &WaterPlane) -> Self {
        let under = boat.openings.iter().filter(|opening| {
            opening.lets_water_in() && plane.height_m(&opening.sill_m(&plane.up)) <= 0.0
        });
        Self {
            lies: Lies::at(&plane.up),
            fills_through: under.map(|opening| opening.name.clone()).collect(),
        }
    }

    /// Of a study that does not float the craft as it is; what sinks has no rest and is
    /// told by the study, and of a hull without a mass none is known.
    pub(in crate::study) fn at_rest(afloat: &Afloat<'_>) -> Option<Self> {
        let boat = afloat.boat();
        let rest = afloat.rest().ok().filter(|_| boat.has_hull_mass)?;
        Some(Self::at(boat, rest.plane()))
    }
}

impl<T> Answer<T> {
    /// Of a boat; cautions of the study's own come before those of the boat file.
    pub(in crate::study) fn of(boat: &Boat, result: T, cautions: Vec<Caution>) -> Self {
        Self {
            name: boat.name.clone(),
            result,
            as_it_lies: None,
            cautions,
            doubts: boat.doubts.clone(),
        }
    }

    /// The same of a craft that lies at a water plane.
    pub(in crate::study) fn lying(self, boat: &Boat, plane: &WaterPlane) -> Self {
        Self {
            as_it_lies: Some(AsItLies::at(boat, plane)),
            ..self
        }
    }
}

impl<T> Deref for Answer<T> {
    type Target = T;

    fn deref(&self) -> &T {
        &self.result
    }
}

impl<T> DerefMut for Answer<T> {
    fn deref_mut(&mut self) -> &mut T {
        &mut self.result
    }
}
