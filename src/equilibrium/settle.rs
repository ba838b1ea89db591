//! Where a craft set upright on the water ends up.
use super::energy::Craft;
use super::landscape::angle;
use super::lean::neutral_m4;
use super::rest::{EquilibriumError, Hold, Rest, find_rest, find_rest_from};
use super::sills::Sills;
use crate::immersion::WaterPlane;
use crate::numerics::Vec3;

/// A craft held upright, and let go.
#[derive(Debug, Clone)]
pub struct Settled {
    /// Held at heel zero, sinkage and pitch free (pitch held too where it would
    /// go over the bow or the stern).
    pub upright: Rest,
    /// Let go from there. Its kernel calls count those of `upright`.
    pub rest: Rest,
    /// Where it may rest as well, on the other side of upright; looked for by
    /// [`settle_worse`] alone.
    pub other: Option<Rest>,
}

/// Rests nearer to each other than this are one, rad (0.06°).
const SAME_REST_RAD: f64 = 1e-3;

/// A craft that is stable upright and rests no further off it than this, rad (2°), has no
/// other side to lie on: it leans a little by its weight.
const LEANS_A_LITTLE_RAD: f64 = 2.0 * std::f64::consts::PI / 180.0;

impl Settled {
    /// Where the craft may rest as well, on the other side of upright.
    fn other_side(&self, craft: &Craft) -> Result<Option<Rest>, EquilibriumError> {
        let upright = self.upright.plane().up;
        let leans_rad = angle(&self.rest.plane().up, &upright);
        if self.upright.gm_transverse_m() > 0.0 && leans_rad < LEANS_A_LITTLE_RAD {
            return Ok(None);
        }
        other_side(craft, &self.rest, &upright)
    }

    fn on_worse_side(mut self, craft: &Craft, sills: &Sills) -> Result<Self, EquilibriumError> {
        self.other = self.other_side(craft)?;
        if let Some(other) = &mut self.other {
            let as_good = (other.energy_m4 - self.rest.energy_m4).abs() <= neutral_m4(craft);
            if as_good && sills.height_m(other.plane()) < sills.height_m(self.rest.plane()) {
                std::mem::swap(other, &mut self.rest);
            }
        }
        Ok(self)
    }
}

/// As [`settle`], on the worse of two sides: a craft that lolls, or falls on its side, may
/// as well lie on the other, and where that is worth no more energy than what counts as
/// none, the one with its lowest sill nearer to the water is taken.
///
/// # Errors
/// As [`settle`].
pub fn settle_worse(craft: &Craft, sills: &Sills) -> Result<Settled, EquilibriumError> {
    settle(craft)?.on_worse_side(craft, sills)
}

/// As [`settle_worse`]; `None` for a craft too heavy to float.
///
/// # Errors
/// As [`settle_worse`], but sinking is a result.
pub fn settle_worse_if_afloat(
    craft: &Craft,
    sills: &Sills,
) -> Result<Option<Settled>, EquilibriumError> {
    let settled = settle_if_afloat(craft)?;
    settled
        .map(|settled| settled.on_worse_side(craft, sills))
        .transpose()
}

/// The rest on the other side of a vertical, looked for as far from it as the craft
/// rests on this side; `None` where the craft comes back to the same rest.
///
/// # Errors
/// As [`find_rest_from`]; a search that does not converge finds none.
pub fn other_side(
    craft: &Craft,
    rest: &Rest,
    middle: &Vec3,
) -> Result<Option<Rest>, EquilibriumError> {
    let up = rest.plane().up;
    if angle(&up, middle) < SAME_REST_RAD {
        return Ok(None);
    }
    let mirrored = middle * (2.0 * up.dot(middle)) - up;
    let flotation = rest.immersion.centre_of_flotation_m();
    let plane = WaterPlane {
        up: mirrored,
        level_m: flotation.map_or(rest.plane().level_m, |at| mirrored.dot(&at)),
    };
    match find_rest_from(craft, &plane, Hold::Nothing) {
        Ok(other) if angle(&other.plane().up, &up) >= SAME_REST_RAD => Ok(Some(other)),
        Ok(_) | Err(EquilibriumError::NotConverged { .. }) => Ok(None),
        Err(error) => Err(error),
    }
}

/// As [`settle`]; `None` for a craft too heavy to float.
///
/// # Errors
/// As [`settle`], but sinking is a result.
pub fn settle_if_afloat(craft: &Craft) -> Result<Option<Settled>, EquilibriumError> {
    match settle(craft) {
        Ok(settled) => Ok(Some(settled)),
        Err(EquilibriumError::Sinks { .. }) => Ok(None),
        Err(other) => Err(other),
    }
}

/// Floats a craft at heel zero, then lets it go.
///
/// # Errors
/// As [`find_rest`].
pub fn settle(craft: &Craft) -> Result<Settled, EquilibriumError> {
    let mut upright = find_rest(craft, &Vec3::z(), Hold::Heel)?;
    if upright.plane().up.z <= 0.0 {
        // It went over the bow or the stern: only held level is it upright.
        upright = find_rest(craft, &Vec3::z(), Hold::Attitude)?;
    }
    let mut rest = find_rest_from(craft, upright.plane(), Hold::Nothing)?;
    rest.kernel_calls += upright.kernel_calls;
    Ok(Settled {
        upright,
        rest,
        other: None,
    })
}
