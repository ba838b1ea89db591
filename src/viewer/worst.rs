//! The lean that floods the craft soonest, worked out beside the drawing.
use rayon::prelude::*;

use crate::equilibrium::{Craft, Rest, Sills, SphereMap, knock, rose};
use crate::numerics::STANDARD_GRAVITY_M_S2;

/// The least lean of all bearings, and what it takes.
#[derive(Debug, Clone, PartialEq)]
pub struct WorstLean {
    /// 0° the bow goes down, 90° starboard, 180° the stern, 270° port.
    pub bearing_deg: f64,
    /// The lean at which the first sill is awash or the craft goes over, deg.
    pub lean_deg: f64,
    /// The work that takes, J.
    pub work_j: f64,
    /// Number of the opening whose sill that is; `None` where the craft goes over by
    /// itself first: the lean and the work are then those to there.
    pub opening: Option<usize>,
}

/// Leans a craft every way, as the margins study does, and keeps the least.
/// `None` where no sill comes to the water up to half a turn nor the craft goes over, or where the
/// search for it failed on every bearing.
#[must_use]
pub fn worst_lean(craft: &Craft, sills: &Sills, rest: &Rest) -> Option<WorstLean> {
    let joules = craft.density_kg_m3 * STANDARD_GRAVITY_M_S2;
    rose(craft, sills, rest)
        .filter_map(|(bearing_deg, found)| {
            let leaned = found.ok()?;
            let (lean_rad, work_m4, opening) = match (leaned.over, leaned.flood) {
                (Some(over), _) => (over.lean_rad, over.work_m4, None),
                (None, flood) => {
                    let flood = flood?;
                    (flood.lean_rad, flood.work_m4, Some(flood.sill.opening))
                }
            };
            Some(WorstLean {
                bearing_deg,
                lean_deg: lean_rad.to_degrees(),
                work_j: work_m4 * joules,
                opening,
            })
        })
        .min_by(|a, b| {
            (a.lean_deg, a.bearing_deg)
                .partial_cmp(&(b.lean_deg, b.bearing_deg))
                .unwrap_or(std::cmp::Ordering::Equal)
        })
}

/// The cheapest knock that brings a sill to the water.
#[derive(Debug, Clone, PartialEq)]
pub struct LeastKnock {
    /// Its work, J.
    pub work_j: f64,
    /// Number of the opening.
    pub opening: usize,
    /// Whether the craft turns over first.
    pub turns_over: bool,
}

/// As the margins study has it.
#[must_use]
pub fn least_knock(
    craft: &Craft,
    sills: &Sills,
    rest: &Rest,
    map: &SphereMap,
) -> Option<LeastKnock> {
    let joules = craft.density_kg_m3 * STANDARD_GRAVITY_M_S2;
    let found = knock(craft, sills, rest, map);
    let least = found
        .iter()
        .min_by(|a, b| a.work_m4.total_cmp(&b.work_m4))?;
    Some(LeastKnock {
        work_j: least.work_m4 * joules,
        opening: least.sill.opening,
        turns_over: least.pass.is_some_and(|pass| pass.turns_over(rest)),
    })
}
