//! The three craft in one hull: dry at rest, full of water, dived. What of each
//! is set side by side.
use super::super::answer::Answer;
use super::super::dive::{DiveOptions, DiveResult, dive};
use super::super::float::{FloatResult, float};
use super::super::foam::largest_opening;
use super::super::margins::{MarginsResult, margins_afloat};
use super::super::named::people_aboard;
use super::super::picture::{CraftPicture, picture_at_rest};
use super::super::swamp::{Knocked, SwampError, SwampResult, swamp_afloat};
use crate::boat::Boat;
use crate::equilibrium::{
    Afloat, EquilibriumError, Rest, lacks_m3, settle_if_afloat, wholly_flooded,
};

/// What was found of one boat.
pub(in crate::study) struct Studied {
    pub(in crate::study) float: Answer<FloatResult>,
    pub(in crate::study) margins: Option<Answer<MarginsResult>>,
    pub(in crate::study) swamp: Option<Answer<SwampResult>>,
    pub(super) full: Full,
    pub(in crate::study) dive: Answer<DiveResult>,
    pub(in crate::study) at_rest: Option<CraftPicture>,
    /// Studies that could not be made, by what they study, and why.
    pub(in crate::study) failed: Vec<(&'static str, EquilibriumError)>,
}

/// The craft with all that is not sealed open to the sea, everyone left out.
pub(super) struct Full {
    /// What displaces less what would have to, m³; negative: it sinks.
    pub(super) spare_m3: f64,
    pub(super) rest: Option<Rest>,
    /// Lowest point of the largest opening's rim over the water, m.
    pub(super) rim_m: Option<f64>,
    pub(super) picture: Option<CraftPicture>,
}

impl Studied {
    pub(in crate::study) fn of(boat: &Boat) -> Result<Self, EquilibriumError> {
        let afloat = Afloat::if_it_floats(boat)?;
        let mut studied = Self::of_afloat(boat, afloat.as_ref())?;
        match studied.failed.pop() {
            Some((_, error)) => Err(error),
            None => Ok(studied),
        }
    }

    /// As [`Self::of`], of a boat already found afloat, or not; studies that fail are
    /// kept with why.
    pub(in crate::study) fn of_afloat(
        boat: &Boat,
        afloat: Option<&Afloat>,
    ) -> Result<Self, EquilibriumError> {
        let mut failed = Vec::new();
        let mut margins = None;
        let mut swamp = None;
        if let Some(at) = afloat {
            match margins_afloat(boat, at) {
                Ok(result) => margins = Some(result),
                Err(error) => failed.push(("margins", error)),
            }
            match swamp_afloat(boat, at, &Knocked::default()) {
                Ok(result) => swamp = Some(result),
                Err(SwampError::Equilibrium(error)) => failed.push(("knock", error)),
                // No water is asked for that might not fit.
                Err(SwampError::NoRoom { .. } | SwampError::NoSpace { .. }) => {}
            }
        }
        Ok(Self {
            margins,
            swamp,
            failed,
            full: full(boat)?,
            at_rest: afloat.map(|at| picture_at_rest(boat, &at.rest, &[])),
            float: float(boat)?,
            dive: dive(
                boat,
                &DiveOptions {
                    least_gap_m: boat.yardsticks.gap.red.value,
                    ..DiveOptions::default()
                },
            )?,
        })
    }
}

fn full(boat: &Boat) -> Result<Full, EquilibriumError> {
    let overboard = people_aboard(boat);
    let craft = wholly_flooded(boat, &overboard, &[]);
    let rest = settle_if_afloat(&craft)?.map(|settled| settled.rest);
    let rim = largest_opening(boat).map(|opening| &boat.openings[opening].rim);
    Ok(Full {
        spare_m3: -lacks_m3(&craft),
        rim_m: rest.as_ref().zip(rim).map(|(rest, rim)| {
            let heights = rim.iter().map(|point| rest.plane().height_m(point));
            heights.fold(f64::INFINITY, f64::min)
        }),
        picture: rest
            .as_ref()
            .map(|rest| picture_at_rest(boat, rest, &overboard)),
        rest,
    })
}
