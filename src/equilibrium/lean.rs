//! Leaning a craft over one way: sinkage and the tilt across the lean free.
use std::f64::consts::{FRAC_PI_2, TAU};

use rayon::prelude::*;

use super::crossing::first_below;
use super::energy::Craft;
use super::rest::{EquilibriumError, Hold, Rest, find_rest_from};
use super::sills::{Sill, Sills};
use crate::immersion::WaterPlane;
use crate::numerics::Vec3;

/// Lean between two looks at the sills, rad (5°): a rim point's height is a
/// slow function of the lean, so it does not dip under and come up within it.
pub(super) const STEP_RAD: f64 = 5.0 * std::f64::consts::PI / 180.0;
/// How near the flooding lean is found, rad.
pub(super) const ANGLE_WITHIN_RAD: f64 = 1e-12;
/// How near to the water the sill is brought, m: a thousandth of a micrometre.
const HEIGHT_WITHIN_M: f64 = 1e-9;
/// How near the top of the energy is found, as a righting arm, m. The energy
/// is flat there, so its error is of the second order.
const ARM_WITHIN_M: f64 = 1e-8;

/// A way to lean: `up` turns about an axis of the boat that lies in the water
/// where the lean begins.
///
/// `up(φ, ψ) = cos ψ (cos φ U − sin φ D) + sin ψ (U × D)`, with `U` the vertical
/// and `D` the side that goes down, both at the start. φ is the lean, held; ψ
/// the tilt across it, free or held at nought.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lean {
    /// `U`, unit vector.
    pub upright: Vec3,
    /// `D`, unit vector square to it.
    pub down: Vec3,
    /// Whether the tilt across is free. Held, the craft leans straight that way.
    pub across_is_free: bool,
}

impl Lean {
    /// Straight from a water plane towards a bearing on the water: 0° the bow goes down,
    /// 90° starboard, 180° the stern, 270° port.
    #[must_use]
    pub fn towards(plane: &WaterPlane, bearing_deg: f64) -> Self {
        let axes = plane.axes();
        let (sin, cos) = bearing_deg.to_radians().sin_cos();
        Self {
            upright: plane.up,
            down: axes.forward * cos - axes.port * sin,
            across_is_free: false,
        }
    }

    /// Heel from the boat's own upright, starboard down positive; pitch free.
    #[must_use]
    pub fn heel() -> Self {
        Self {
            upright: Vec3::z(),
            down: -Vec3::y(),
            across_is_free: true,
        }
    }

    /// Pitch from the boat's own upright, bow up positive; heel free.
    #[must_use]
    pub fn pitch() -> Self {
        Self {
            upright: Vec3::z(),
            down: -Vec3::x(),
            across_is_free: true,
        }
    }

    /// The axis `U × D` that the boat is turned about.
    #[must_use]
    pub fn axis(&self) -> Vec3 {
        self.upright.cross(&self.down)
    }

    /// The vertical at a lean φ and a tilt across it ψ, rad.
    #[must_use]
    pub fn up_at(&self, lean_rad: f64, across_rad: f64) -> Vec3 {
        let (sin, cos) = lean_rad.sin_cos();
        let (sin_across, cos_across) = across_rad.sin_cos();
        (self.upright * cos - self.down * sin) * cos_across + self.axis() * sin_across
    }

    /// The tilt across a lean at a vertical, −π to π rad: beyond a right angle the
    /// craft has gone over across it. The vertical may lie up to a right angle of
    /// lean off.
    fn across_rad(&self, up: &Vec3, lean_rad: f64) -> f64 {
        let along = self.up_at(lean_rad, 0.0);
        up.dot(&self.axis()).atan2(up.dot(&along))
    }
}

/// A craft held at a lean.
#[derive(Debug, Clone)]
pub struct Leaned {
    /// The lean, rad.
    pub lean_rad: f64,
    /// The tilt across it that the craft took, −π to π rad: beyond a right angle it
    /// has gone over that way.
    pub across_rad: f64,
    /// Righting arm, m: the slope of the energy per radian of lean, over the
    /// weight. With no tilt across it is the horizontal distance between
    /// weight and buoyancy; else that distance times the cosine of the tilt
    /// across, so that its area is the work exactly. Positive turns back.
    pub arm_m: f64,
    /// Where the craft lies.
    pub rest: Rest,
}

impl Leaned {
    /// A craft that rests at a lean already.
    #[must_use]
    pub fn at_rest(craft: &Craft, lean: &Lean, lean_rad: f64, rest: &Rest) -> Self {
        Self::new(craft, lean, lean_rad, rest.clone())
    }

    fn new(craft: &Craft, lean: &Lean, lean_rad: f64, rest: Rest) -> Self {
        let across_rad = lean.across_rad(&rest.plane().up, lean_rad);
        let (sin, cos) = lean_rad.sin_cos();
        let forth = (lean.upright * -sin - lean.down * cos) * across_rad.cos();
        Self {
            lean_rad,
            across_rad,
            arm_m: forth.dot(&rest.lever_m4) / craft.volume_to_displace_m3(),
            rest,
        }
    }
}

/// Holds a craft at a lean, its displacement kept, starting from a rest less than a
/// right angle of lean away.
///
/// # Errors
/// As [`find_rest_from`].
pub fn lean_to(
    craft: &Craft,
    lean: &Lean,
    lean_rad: f64,
    near: &Rest,
) -> Result<Leaned, EquilibriumError> {
    let (across_rad, hold) = if lean.across_is_free {
        (
            lean.across_rad(&near.plane().up, lean_rad),
            Hold::TurnAbout(lean.axis()),
        )
    } else {
        (0.0, Hold::Attitude)
    };
    let up = lean.up_at(lean_rad, across_rad);
    // About the centre of flotation a small tilt leaves the volume as it is.
    let level_m = near
        .immersion
        .centre_of_flotation_m()
        .map_or_else(|| near.plane().level_m, |flotation| up.dot(&flotation));
    let rest = match find_rest_from(craft, &WaterPlane { up, level_m }, hold) {
        Err(EquilibriumError::NotConverged { .. }) if lean.across_is_free => {
            free_across(craft, lean, lean_rad, near)?
        }
        found => found?,
    };
    Ok(Leaned::new(craft, lean, lean_rad, rest))
}

/// The rest at a lean with the tilt across free, by walking downhill along that tilt
/// until the slope turns. Slow, but it also finds one where the vertical lies in the
/// axis of the lean, as when a craft that is pitched lies on its side: there the
/// direction of the tilt is not known from the vertical alone.
fn free_across(
    craft: &Craft,
    lean: &Lean,
    lean_rad: f64,
    near: &Rest,
) -> Result<Rest, EquilibriumError> {
    let held = |across_rad: f64, near: &Rest| {
        let up = lean.up_at(lean_rad, across_rad);
        let level_m = near
            .immersion
            .centre_of_flotation_m()
            .map_or_else(|| near.plane().level_m, |flotation| up.dot(&flotation));
        let rest = find_rest_from(craft, &WaterPlane { up, level_m }, Hold::Attitude)?;
        let slope_m4 = lean
            .up_at(lean_rad, across_rad + FRAC_PI_2)
            .dot(&rest.lever_m4);
        Ok::<_, EquilibriumError>((slope_m4, rest))
    };
    let start_rad = lean.across_rad(&near.plane().up, lean_rad);
    let (slope_m4, rest) = held(start_rad, near)?;
    let downhill = -slope_m4.signum();
    let within_m4 = ARM_WITHIN_M * craft.volume_to_displace_m3();
    let found = first_below(
        (slope_m4.abs() - within_m4, rest.clone()),
        [STEP_RAD, TAU],
        [ANGLE_WITHIN_RAD, within_m4],
        |further, near: &Rest| {
            let (slope_m4, rest) = held(start_rad + downhill * further, near)?;
            Ok::<_, EquilibriumError>((-downhill * slope_m4, rest))
        },
    )?;
    Ok(found.map_or(rest, |found| found.state))
}

/// How far and with how much work a craft is leaned until the first sill is
/// awash.
#[derive(Debug, Clone)]
pub struct TiltToFlood {
    /// The lean, rad.
    pub lean_rad: f64,
    /// Greatest energy on the way over that at rest, m⁴ (times density and
    /// gravity: joules). Where the craft goes over by itself before the sill is
    /// awash, that is the energy at the top of the way.
    pub work_m4: f64,
    /// Whether it goes over by itself before the sill is awash: the righting
    /// arm turned negative on the way.
    pub capsizes_first: bool,
    /// The sill that is awash.
    pub sill: Sill,
    /// The craft there.
    pub leaned: Leaned,
    /// Kernel calls taken.
    pub kernel_calls: usize,
}

/// Bearings of the rose: every 5°.
pub const BEARINGS: u16 = 72;

/// Leans a craft straight from rest towards each of [`BEARINGS`], until the first
/// sill is awash: the bearing, deg, and what [`tilt_to_flood`] finds there. Nothing
/// is found where no opening lets water in.
pub fn rose<'a>(
    craft: &'a Craft,
    sills: &'a Sills,
    rest: &'a Rest,
) -> impl IndexedParallelIterator<Item = (f64, Result<Option<TiltToFlood>, EquilibriumError>)> + 'a
{
    (0..usize::from(BEARINGS)).into_par_iter().map(|number| {
        let bearing_deg = bearing_deg(number);
        let found = if sills.is_empty() {
            Ok(None)
        } else {
            tilt_to_flood(craft, sills, rest, bearing_deg)
        };
        (bearing_deg, found)
    })
}

/// Of so many bearings of the rose one is leaned first, so that most of the others
/// need no search.
const LEANED_FIRST: usize = 9;

/// The least lean of the [`rose`] and its bearing, deg; the first of equals.
/// `None` where no sill comes to the water. The same as picking it from the whole
/// rose, but bearings that stay dry up to the least lean known are not leaned on.
///
/// # Errors
/// As [`tilt_to_flood`].
pub fn least_lean(
    craft: &Craft,
    sills: &Sills,
    rest: &Rest,
) -> Result<Option<(f64, TiltToFlood)>, EquilibriumError> {
    if sills.is_empty() {
        return Ok(None);
    }
    let first = (0..usize::from(BEARINGS)).step_by(LEANED_FIRST);
    let mut found = first
        .collect::<Vec<_>>()
        .into_par_iter()
        .map(|number| {
            Ok((
                number,
                tilt_to_flood(craft, sills, rest, bearing_deg(number))?,
            ))
        })
        .collect::<Result<Vec<_>, EquilibriumError>>()?;
    let known = found.iter().filter_map(|(_, lean)| lean.as_ref());
    let least_rad = known.map(|lean| lean.lean_rad).reduce(f64::min);
    let others: Vec<usize> = (0..usize::from(BEARINGS))
        .filter(|number| number % LEANED_FIRST != 0)
        .collect();
    let more = others
        .into_par_iter()
        .map(|number| {
            let bearing_deg = bearing_deg(number);
            let is_dry = match least_rad {
                Some(least) => stays_dry(craft, sills, rest, bearing_deg, least)?,
                None => false,
            };
            let lean = if is_dry {
                None
            } else {
                tilt_to_flood(craft, sills, rest, bearing_deg)?
            };
            Ok((number, lean))
        })
        .collect::<Result<Vec<_>, EquilibriumError>>()?;
    found.extend(more);
    found.sort_by_key(|(number, _)| *number);
    let leans = found.into_iter();
    let leans = leans.filter_map(|(number, lean)| Some((bearing_deg(number), lean?)));
    Ok(leans.min_by(|a, b| a.1.lean_rad.total_cmp(&b.1.lean_rad)))
}

/// A bearing of the rose by its number, deg.
#[must_use]
pub fn bearing_deg(number: usize) -> f64 {
    360.0 * number as f64 / f64::from(BEARINGS)
}

/// Whether every sill stays over the water up to a lean, looked at in the steps of
/// [`tilt_to_flood`].
fn stays_dry(
    craft: &Craft,
    sills: &Sills,
    rest: &Rest,
    bearing_deg: f64,
    up_to_rad: f64,
) -> Result<bool, EquilibriumError> {
    let is_wet = |rest: &Rest| sills.height_m(rest.plane()) <= HEIGHT_WITHIN_M;
    let lean = Lean::towards(rest.plane(), bearing_deg);
    let mut leaned = Leaned::new(craft, &lean, 0.0, rest.clone());
    let mut lean_rad = 0.0;
    loop {
        if is_wet(&leaned.rest) {
            return Ok(false);
        }
        if lean_rad >= up_to_rad {
            return Ok(true);
        }
        lean_rad = (lean_rad + STEP_RAD).min(up_to_rad);
        leaned = lean_to(craft, &lean, lean_rad, &leaned.rest)?;
    }
}

/// Leans a craft straight from rest, displacement held, until the first sill is
/// awash. `None` where none is up to half a turn.
///
/// # Errors
/// As [`find_rest_from`].
pub fn tilt_to_flood(
    craft: &Craft,
    sills: &Sills,
    rest: &Rest,
    bearing_deg: f64,
) -> Result<Option<TiltToFlood>, EquilibriumError> {
    let lean = Lean::towards(rest.plane(), bearing_deg);
    let start = Leaned::new(craft, &lean, 0.0, rest.clone());
    let mut calls = 0;
    let mut way: Vec<Leaned> = vec![start.clone()];
    let found = first_below(
        (sills.height_m(rest.plane()), start),
        [STEP_RAD, std::f64::consts::PI],
        [ANGLE_WITHIN_RAD, HEIGHT_WITHIN_M],
        |lean_rad, near: &Leaned| {
            let leaned = lean_to(craft, &lean, lean_rad, &near.rest)?;
            calls += leaned.rest.kernel_calls;
            way.push(leaned.clone());
            Ok((sills.height_m(leaned.rest.plane()), leaned))
        },
    )?;
    let Some(found) = found else {
        return Ok(None);
    };
    let leaned = found.state;
    let Some(sill) = sills.lowest(leaned.rest.plane()) else {
        return Ok(None);
    };
    way.retain(|at| at.lean_rad <= leaned.lean_rad);
    way.sort_by(|a, b| a.lean_rad.total_cmp(&b.lean_rad));
    let mut top = leaned.rest.energy_m4.max(rest.energy_m4);
    let mut capsizes_first = false;
    for pair in way.windows(2) {
        top = top.max(pair[0].rest.energy_m4);
        if pair[0].arm_m > 0.0 && pair[1].arm_m < 0.0 {
            capsizes_first = true;
            let span = pair[1].lean_rad - pair[0].lean_rad;
            let summit = first_below(
                (pair[0].arm_m, pair[0].clone()),
                [span, span],
                [ANGLE_WITHIN_RAD, ARM_WITHIN_M],
                |further, near: &Leaned| {
                    let at = lean_to(craft, &lean, pair[0].lean_rad + further, &near.rest)?;
                    calls += at.rest.kernel_calls;
                    Ok((at.arm_m, at))
                },
            )?;
            top = summit.map_or(top, |summit| top.max(summit.state.rest.energy_m4));
        }
    }
    Ok(Some(TiltToFlood {
        lean_rad: leaned.lean_rad,
        work_m4: top - rest.energy_m4,
        capsizes_first,
        sill,
        leaned,
        kernel_calls: calls,
    }))
}
