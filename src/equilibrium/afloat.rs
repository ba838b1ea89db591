//! A boat at rest on the water, with what studies ask of it, each made once.
use std::sync::OnceLock;

use super::energy::Craft;
use super::knock::{Knock, knock};
use super::rest::{EquilibriumError, Rest};
use super::settle::{Settled, settle_worse, settle_worse_if_afloat};
use super::sills::Sills;
use super::sphere::{SphereMap, map_sphere};
use crate::boat::Boat;

/// A boat as its file has it, at rest. The map of its attitudes and its knocks are made
/// when first asked for and kept.
#[derive(Debug)]
pub struct Afloat {
    /// The craft.
    pub craft: Craft,
    /// Where it rests, set upright on the water, on the worse of two sides alike.
    pub rest: Rest,
    /// Where it may rest as well, on the other side of upright: the other loll.
    pub other: Option<Rest>,
    /// The openings that let water in.
    pub sills: Sills,
    map: OnceLock<SphereMap>,
    knocks: OnceLock<Vec<Knock>>,
}

impl Afloat {
    /// # Errors
    /// As [`settle_worse`].
    pub fn of(boat: &Boat) -> Result<Self, EquilibriumError> {
        let craft = Craft::of(boat);
        let sills = Sills::of(&boat.openings);
        let settled = settle_worse(&craft, &sills)?;
        Ok(Self::at(craft, sills, settled))
    }

    /// As [`Self::of`]; `None` for a boat too heavy to float.
    ///
    /// # Errors
    /// As [`settle_worse_if_afloat`].
    pub fn if_it_floats(boat: &Boat) -> Result<Option<Self>, EquilibriumError> {
        let craft = Craft::of(boat);
        let sills = Sills::of(&boat.openings);
        let settled = settle_worse_if_afloat(&craft, &sills)?;
        Ok(settled.map(|settled| Self::at(craft, sills, settled)))
    }

    fn at(craft: Craft, sills: Sills, settled: Settled) -> Self {
        Self {
            craft,
            rest: settled.rest,
            other: settled.other,
            sills,
            map: OnceLock::new(),
            knocks: OnceLock::new(),
        }
    }

    /// Every attitude of rest, openings taken as sealed.
    ///
    /// # Errors
    /// As [`map_sphere`].
    pub fn map(&self) -> Result<&SphereMap, EquilibriumError> {
        if let Some(map) = self.map.get() {
            return Ok(map);
        }
        // Made outside the lock: a thread that waits for others in here may take up work
        // that asks for the map too. Two at once make it twice, and alike.
        let map = map_sphere(&self.craft, std::slice::from_ref(&self.rest))?;
        Ok(self.map.get_or_init(|| map))
    }

    /// The least knock through each opening, as [`knock`] has it.
    ///
    /// # Errors
    /// As [`map_sphere`].
    pub fn knocks(&self) -> Result<&[Knock], EquilibriumError> {
        if let Some(knocks) = self.knocks.get() {
            return Ok(knocks);
        }
        let knocks = knock(&self.craft, &self.sills, &self.rest, self.map()?);
        Ok(self.knocks.get_or_init(|| knocks))
    }
}
