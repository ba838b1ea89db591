//! Where a craft set upright on the water ends up.
use super::energy::Craft;
use super::rest::{EquilibriumError, Hold, Rest, find_rest, find_rest_from};
use crate::numerics::Vec3;

/// A craft held upright, and let go.
#[derive(Debug, Clone)]
pub struct Settled {
    /// Held at heel zero, sinkage and pitch free (pitch held too where it would
    /// go over the bow or the stern).
    pub upright: Rest,
    /// Let go from there. Its kernel calls count those of `upright`.
    pub rest: Rest,
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
    Ok(Settled { upright, rest })
}
