//! How the same swamping ends with the air kept that cannot get out.
use schemars::JsonSchema;
use serde::Serialize;

use super::{EndsLying, SwampEnd};
use crate::boat::{Boat, Verdict};
use crate::equilibrium::{AirIs, EquilibriumError, OpenSea};
use crate::immersion::WaterPlane;

/// Water in a room under which it counts as dry, m³: a cupful.
pub(super) const DRY_M3: f64 = 1e-4;

/// The end with air kept: what lies over the openings and passages of a room stays in it
/// (Boyle's law) where all of them lie under the sea, or under the water in the rooms
/// beside it, and the craft settles so.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct SwampAir {
    /// Whether it floats.
    pub floats: bool,
    /// Whether it lies upright rather than over or on end.
    pub upright: bool,
    /// Whether that is worse than the end with the air lost, and so the headline.
    pub is_worse: bool,
    /// Heel, starboard down positive, deg.
    pub heel_deg: Option<f64>,
    /// Pitch, bow up positive, deg.
    pub pitch_deg: Option<f64>,
    /// Lean from upright, any way, deg.
    pub lean_deg: Option<f64>,
    /// Height above the water of the lowest opening into a space that is still dry, m.
    pub sill_m: Option<f64>,
    /// What the yardsticks say of it; `None` where nothing is asked.
    pub verdict: Option<Verdict>,
    /// Rooms that keep air.
    pub air_kept: Vec<RoomAir>,
    /// Where it ends so.
    #[serde(skip)]
    pub(super) end: SwampEnd,
}

/// The end with a bung in every passage, the air lost.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct SwampBunged {
    /// Whether it lies upright rather than over or on end.
    pub upright: bool,
    /// Lean from upright, any way, deg.
    pub lean_deg: f64,
    /// Height above the water of the lowest sill, drains left out, m.
    pub sill_m: Option<f64>,
    /// How it lies.
    #[serde(skip)]
    pub lies: EndsLying,
}

/// Air that cannot get out.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct RoomAir {
    /// The compartment it is in.
    pub compartment: String,
    /// The air at its own pressure, m³.
    pub air_m3: f64,
    /// How far its water stands under the water that shuts it in, the sea's or that of the
    /// rooms beside it, m.
    pub under_outside_m: f64,
}

/// How the craft lies where the water was followed to.
pub(super) struct Followed<'a> {
    /// Before any water came in.
    pub(super) dry: &'a WaterPlane,
    /// At the end; the last afloat where it sinks.
    pub(super) last: &'a WaterPlane,
    pub(super) sinks: bool,
    /// Water in each compartment at the end, m³.
    pub(super) water_m3: &'a [f64],
}

/// The end with air kept; `None` where no air is caught.
pub(super) fn with_air(
    boat: &Boat,
    followed: &Followed<'_>,
) -> Result<Option<SwampAir>, EquilibriumError> {
    let sea = OpenSea::of(boat).with_water(followed.water_m3);
    let is_wet = |number: &usize| {
        let space = &boat.compartments[*number];
        !space.sealed && !space.flooded && followed.water_m3[*number] > DRY_M3
    };
    let wet: Vec<usize> = (0..boat.compartments.len()).filter(is_wet).collect();
    let open = if followed.sinks {
        wet.clone()
    } else {
        sea.joined(followed.last)
    };
    if open.is_empty() && (wet.is_empty() || boat.passages.is_empty()) {
        return Ok(None); // no water inside shuts any air in
    }
    let near = if followed.sinks {
        followed.dry
    } else {
        followed.last
    };
    let steps = sea.follow(&open, Some(near), followed.dry, AirIs::Kept)?;
    if steps.iter().all(|step| step.air.is_empty()) {
        return Ok(None);
    }
    let Some(end) = steps.last() else {
        return Ok(None);
    };
    let kept = sea.outcome(end);
    let lost = sea.outcome_at(&open, (!followed.sinks).then_some(followed.last));
    let plane = end.rest.as_ref().map(|rest| rest.plane());
    let wish = &boat.yardsticks.floats_swamped;
    Ok(Some(SwampAir {
        end: match (kept.floats, kept.upright && end.open.is_empty()) {
            (false, _) => SwampEnd::Sunk,
            (true, true) => SwampEnd::Recovers,
            (true, false) => SwampEnd::AfloatSwamped,
        },
        verdict: wish.judged(kept.floats, kept.verdict),
        floats: kept.floats,
        upright: kept.upright,
        is_worse: kept.is_worse_than(&lost),
        heel_deg: plane.map(WaterPlane::heel_deg),
        pitch_deg: plane.map(WaterPlane::pitch_deg),
        lean_deg: plane.map(WaterPlane::lean_deg),
        sill_m: kept.sill_m,
        air_kept: end
            .air
            .iter()
            .map(|air| RoomAir {
                compartment: boat.compartments[air.space].name.clone(),
                air_m3: air.air_m3,
                under_outside_m: air.under_outside_m,
            })
            .collect(),
    }))
}

/// How the craft lies once the water inside stands level, of one whose sills are all over
/// the water while it still runs; `None` where more comes in on the way, or may.
pub(super) fn levelled_inside(
    boat: &Boat,
    followed: &Followed<'_>,
) -> Result<Option<WaterPlane>, EquilibriumError> {
    let sea = OpenSea::of(boat).with_water(followed.water_m3);
    if !sea.joined(followed.last).is_empty() {
        return Ok(None);
    }
    let steps = sea.follow(&[], Some(followed.last), followed.dry, AirIs::Lost)?;
    let level = steps.first().filter(|_| steps.len() == 1);
    Ok(level.and_then(|step| Some(*step.rest.as_ref()?.plane())))
}

/// The end with a bung in every passage and the spaces of the opening that was pushed
/// under open to the sea; `None` where that is no better, or nothing was pushed.
pub(super) fn with_bungs(
    boat: &Boat,
    pushed: Option<usize>,
    followed: &Followed<'_>,
) -> Result<Option<SwampBunged>, EquilibriumError> {
    let Some(opening) = pushed.filter(|_| !boat.passages.is_empty()) else {
        return Ok(None);
    };
    let first: Vec<usize> = boat.openings[opening].spaces().map(|(k, _)| k).collect();
    let sea = OpenSea::of(boat).with_bungs();
    let steps = sea.follow(&first, Some(followed.dry), followed.dry, AirIs::Lost)?;
    let Some((end, rest)) = steps.last().and_then(|s| s.rest.as_ref().map(|r| (s, r))) else {
        return Ok(None);
    };
    let bunged = sea.outcome(end);
    let last = (!followed.sinks).then_some(followed.last);
    let is_better = sea
        .outcome_at(&sea.joined(followed.last), last)
        .is_worse_than(&bunged);
    let plane = *rest.plane();
    let sills = sea.sills_m(&plane).map(|(_, height_m)| height_m);
    let sill_m = sills.min_by(f64::total_cmp);
    Ok(is_better.then(|| SwampBunged {
        upright: bunged.upright,
        lean_deg: plane.lean_deg(),
        sill_m,
        lies: EndsLying::at(boat, &plane),
    }))
}
