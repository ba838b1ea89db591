//! How a boat comes to lie.
use super::readings::Readings;
use super::subject::Subject;
use crate::equilibrium::{Craft, EquilibriumError, Hold, Rest, find_rest_from, settle};
use crate::immersion::WaterPlane;
use crate::numerics::Vec3;

/// How far over a sunken craft's highest point the water is drawn, m.
const WATER_OVER_SUNKEN_M: f64 = 0.05;

/// The rest nearest a plane, else from upright.
pub(super) fn rest_near(
    craft: &Craft,
    near: Option<&WaterPlane>,
) -> Result<Rest, EquilibriumError> {
    let whole_kg = craft.displacers.volume_m3() * craft.density_kg_m3;
    let near = near.filter(|_| craft.mass_kg > 0.0 && craft.total_mass_kg() < whole_kg);
    match near.map(|plane| find_rest_from(craft, plane, Hold::Nothing)) {
        Some(Ok(rest)) => Ok(rest),
        _ => settle(craft).map(|settled| settled.rest),
    }
}

/// The rest, or why there is none in words.
pub(super) fn rest_or_trouble(
    found: Result<Rest, EquilibriumError>,
) -> (Option<Rest>, Option<String>) {
    match found {
        Ok(rest) => (Some(rest), None),
        Err(error) => (None, Some(error.to_string())),
    }
}

/// At rest; a craft without one lies under water, upright.
pub(super) fn readings_of(subject: &Subject, craft: &Craft, rest: Option<&Rest>) -> Readings {
    let sunken = || {
        let top = craft.displacers.reach_m(&Vec3::z());
        WaterPlane {
            up: Vec3::z(),
            level_m: top.map_or(0.0, |(_, high)| high + WATER_OVER_SUNKEN_M),
        }
    };
    let plane = rest.map_or_else(sunken, |rest| *rest.plane());
    Readings::at(&subject.boat, craft, &plane, rest.is_some())
}
