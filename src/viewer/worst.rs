//! The lean that floods the craft soonest, worked out beside the drawing.
use rayon::prelude::*;

use crate::equilibrium::{Craft, Rest, Sills, rose};
use crate::numerics::STANDARD_GRAVITY_M_S2;

/// The least lean of all bearings, and what it takes.
#[derive(Debug, Clone, PartialEq)]
pub struct WorstLean {
    /// 0° the bow goes down, 90° starboard, 180° the stern, 270° port.
    pub bearing_deg: f64,
    /// The lean at which the first sill is awash, deg.
    pub lean_deg: f64,
    /// The work that takes, J.
    pub work_j: f64,
    /// Number of the opening whose sill that is.
    pub opening: usize,
    /// Whether the craft goes over by itself before.
    pub capsizes_first: bool,
}

/// Leans a craft every way, as the margins study does, and keeps the least.
/// `None` where no sill comes to the water up to half a turn, or where the
/// search for it failed on every bearing.
#[must_use]
pub fn worst_lean(craft: &Craft, sills: &Sills, rest: &Rest) -> Option<WorstLean> {
    let joules = craft.density_kg_m3 * STANDARD_GRAVITY_M_S2;
    rose(craft, sills, rest)
        .filter_map(|(bearing_deg, found)| {
            let found = found.ok()??;
            Some(WorstLean {
                bearing_deg,
                lean_deg: found.lean_rad.to_degrees(),
                work_j: found.work_m4 * joules,
                opening: found.sill.opening,
                capsizes_first: found.capsizes_first,
            })
        })
        .min_by(|a, b| {
            (a.lean_deg, a.bearing_deg)
                .partial_cmp(&(b.lean_deg, b.bearing_deg))
                .unwrap_or(std::cmp::Ordering::Equal)
        })
}
