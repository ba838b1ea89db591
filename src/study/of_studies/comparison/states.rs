//! The three craft in one hull: dry at rest, full of water, dived. What of each
//! is set side by side.
use super::spaces::{SpaceEnd, space_ends};
use crate::boat::Boat;
use crate::equilibrium::{
    Afloat, EquilibriumError, Rest, lacks_m3, settle_if_afloat, wholly_flooded,
};
use crate::study::dive::{DiveOptions, DiveResult, dive};
use crate::study::float::{FloatResult, float};
use crate::study::foam::largest_opening;
use crate::study::margins::{MarginsResult, margins};
use crate::study::shared::answer::Answer;
use crate::study::shared::named::people_aboard;
use crate::study::shared::picture::{CraftPicture, picture_at_rest};
use crate::study::swamp::{Knocked, SwampError, SwampResult, swamp};

/// What was found of one boat.
pub(in crate::study) struct Studied<'b> {
    pub(super) afloat: Afloat<'b>,
    pub(in crate::study) float: Answer<FloatResult>,
    pub(in crate::study) margins: Option<Answer<MarginsResult>>,
    pub(in crate::study) swamp: Option<Answer<SwampResult>>,
    pub(super) full: Full,
    /// How it ends with each compartment open to the sea.
    pub(super) spaces: Vec<SpaceEnd>,
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
    /// Lowest point of the largest opening's rim above the water, m.
    pub(super) rim_m: Option<f64>,
    pub(super) picture: Option<CraftPicture>,
}

impl<'b> Studied<'b> {
    /// As [`Self::as_far_as`]; a study that fails is an error.
    pub(in crate::study) fn of(afloat: &Afloat<'b>) -> Result<Self, EquilibriumError> {
        let mut studied = Self::as_far_as(afloat)?;
        match studied.failed.pop() {
            Some((_, error)) => Err(error),
            None => Ok(studied),
        }
    }

    /// Every study that is compared; those of a craft afloat that fail are kept with why.
    pub(in crate::study) fn as_far_as(afloat: &Afloat<'b>) -> Result<Self, EquilibriumError> {
        let boat = afloat.boat();
        let settled = afloat.settled_if_afloat()?;
        let mut failed = Vec::new();
        let (mut leaned, mut swamped) = (None, None);
        if settled.is_some() {
            match margins(afloat) {
                Ok(result) => leaned = Some(result),
                Err(error) => failed.push(("margins", error)),
            }
            match swamp(afloat, &Knocked::default()) {
                Ok(result) => swamped = Some(result),
                Err(SwampError::Equilibrium(error)) => failed.push(("knock", error)),
                // No water is asked for that might not fit.
                Err(SwampError::NoRoom { .. } | SwampError::NoSpace { .. }) => {}
            }
        }
        Ok(Self {
            margins: leaned,
            swamp: swamped,
            failed,
            spaces: space_ends(afloat)?,
            afloat: afloat.clone(),
            full: full(boat)?,
            at_rest: settled.map(|at| picture_at_rest(boat, &at.rest, &[])),
            float: float(afloat)?,
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
