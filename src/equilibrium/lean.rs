//! Leaning a craft over one way: sinkage and the tilt across the lean free.
use std::f64::consts::{FRAC_PI_2, TAU};

use super::energy::Craft;
use super::rest::{EquilibriumError, Hold, Rest, find_rest_from};
use super::sphere::NEUTRAL;
use crate::immersion::WaterPlane;
use crate::numerics::{Vec3, first_below};

/// Lean between two looks at the sills, rad (5°): a rim point's height is a
/// slow function of the lean, so it does not dip under and come up within it.
pub(super) const STEP_RAD: f64 = 5.0 * std::f64::consts::PI / 180.0;
/// How near the flooding lean is found, rad.
pub(super) const ANGLE_WITHIN_RAD: f64 = 1e-12;
/// How near the top of the energy is found, as a righting arm, m. The energy
/// is flat there, so its error is of the second order.
pub(super) const ARM_WITHIN_M: f64 = 1e-8;

/// A craft that stays as well this far to either side, rad (12°), is neutral there.
const NEUTRAL_WITHIN_RAD: f64 = 12.0 * std::f64::consts::PI / 180.0;

/// The tilt across of a craft that rolls is found as near as this arm, m.
const ROLL_ARM_WITHIN_M: f64 = 1e-12;
/// How far beside it its stiffness is looked at, rad, and how far it goes downhill
/// between two looks (2°).
const ROLL_PROBE_RAD: f64 = 1e-4;
const ROLL_STEP_RAD: f64 = 2.0 * std::f64::consts::PI / 180.0;
/// A metacentric height under nought by this, m, makes a balance unstable rather than
/// neutral within rounding.
const UNSTABLE_FROM_M: f64 = 1e-7;

/// A way to lean: `up` turns about an axis of the boat that lies in the water
/// where the lean begins.
///
/// `up(φ, ψ) = cos ψ (cos φ U − sin φ D) + sin ψ (U × D)`, with `U` the vertical
/// and `D` the side that goes down, both at the start. φ is the lean, held; ψ
/// the tilt across it, free or held at nought.
///
/// Pitch is a lean of another kind, so that it is the boat's pitch however she heels:
/// `up(φ, ψ) = cos φ (cos ψ U − sin ψ (U × D)) − sin φ D`, with ψ the heel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lean {
    /// `U`, unit vector.
    pub upright: Vec3,
    /// `D`, unit vector square to it.
    pub down: Vec3,
    /// What becomes of the tilt across.
    pub across: Across,
}

/// What becomes of the tilt across a lean.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Across {
    /// Held at nought: the craft leans straight that way.
    Held,
    /// Free, `up` on the great circle through the axis of the lean.
    Free,
    /// Free to turn about `D`, `up` on the circle where the lean is the same.
    Rolls,
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
            across: Across::Held,
        }
    }

    /// Heel from the boat's own upright, starboard down positive; pitch free.
    #[must_use]
    pub fn heel() -> Self {
        Self {
            upright: Vec3::z(),
            down: -Vec3::y(),
            across: Across::Free,
        }
    }

    /// Pitch from the boat's own upright, bow up positive; heel free.
    #[must_use]
    pub fn pitch() -> Self {
        Self {
            upright: Vec3::z(),
            down: -Vec3::x(),
            across: Across::Rolls,
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
        if self.across == Across::Rolls {
            let square = self.upright * cos_across - self.axis() * sin_across;
            return square * cos - self.down * sin;
        }
        (self.upright * cos - self.down * sin) * cos_across + self.axis() * sin_across
    }

    /// How the vertical changes with the lean, per rad.
    fn forth(&self, lean_rad: f64, across_rad: f64) -> Vec3 {
        let (sin, cos) = lean_rad.sin_cos();
        if self.across == Across::Rolls {
            let square = self.up_at(0.0, across_rad);
            return square * -sin - self.down * cos;
        }
        (self.upright * -sin - self.down * cos) * across_rad.cos()
    }

    /// How the vertical changes with the tilt across, per rad.
    fn sideways(&self, lean_rad: f64, across_rad: f64) -> Vec3 {
        if self.across == Across::Rolls {
            return self.up_at(0.0, across_rad + FRAC_PI_2) * lean_rad.cos();
        }
        self.up_at(lean_rad, across_rad + FRAC_PI_2)
    }

    /// The lean of a vertical, rad, and the length of the vertical's share that tells
    /// it: 0 where the lean means nothing.
    #[must_use]
    pub fn lean_of(&self, up: &Vec3) -> (f64, f64) {
        let (along, down) = (up.dot(&self.upright), -up.dot(&self.down));
        if self.across == Across::Rolls {
            let square = along.hypot(up.dot(&self.axis()));
            return (down.atan2(square), square);
        }
        (down.atan2(along), along.hypot(down))
    }

    /// The tilt across a lean at a vertical, −π to π rad: beyond a right angle the
    /// craft has gone over across it. The vertical may lie up to a right angle of
    /// lean off.
    fn across_rad(&self, up: &Vec3, lean_rad: f64) -> f64 {
        if self.across == Across::Rolls {
            return (-up.dot(&self.axis())).atan2(up.dot(&self.upright));
        }
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

    pub(super) fn new(craft: &Craft, lean: &Lean, lean_rad: f64, rest: Rest) -> Self {
        let across_rad = lean.across_rad(&rest.plane().up, lean_rad);
        let forth = lean.forth(lean_rad, across_rad);
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
    let (across_rad, hold) = match lean.across {
        Across::Rolls => {
            let rest = rolled(craft, lean, lean_rad, near)?;
            return Ok(Leaned::new(craft, lean, lean_rad, rest));
        }
        Across::Free => (
            lean.across_rad(&near.plane().up, lean_rad),
            Hold::TurnAbout(lean.axis()),
        ),
        Across::Held => (0.0, Hold::Attitude),
    };
    let plane = plane_near(lean.up_at(lean_rad, across_rad), near);
    let rest = match find_rest_from(craft, &plane, hold) {
        Err(EquilibriumError::NotConverged { .. }) if lean.across == Across::Free => {
            free_across(craft, lean, lean_rad, near)?
        }
        found => found?,
    };
    Ok(Leaned::new(craft, lean, lean_rad, rest))
}

/// A plane with another vertical: about the centre of flotation a small tilt leaves
/// the volume as it is.
fn plane_near(up: Vec3, near: &Rest) -> WaterPlane {
    let level_m = near
        .immersion
        .centre_of_flotation_m()
        .map_or_else(|| near.plane().level_m, |flotation| up.dot(&flotation));
    WaterPlane { up, level_m }
}

/// The craft held at a lean and a tilt across it, and the slope of its energy along
/// that tilt, m⁴ per rad.
fn held_at(
    craft: &Craft,
    lean: &Lean,
    [lean_rad, across_rad]: [f64; 2],
    near: &Rest,
) -> Result<(f64, Rest), EquilibriumError> {
    let plane = plane_near(lean.up_at(lean_rad, across_rad), near);
    let rest = find_rest_from(craft, &plane, Hold::Attitude)?;
    let slope_m4 = lean.sideways(lean_rad, across_rad).dot(&rest.lever_m4);
    Ok((slope_m4, rest))
}

/// The rest at a lean nearest downhill along the tilt across from where the craft was.
/// A balance that is not stable is left to the positive side; where nothing turns the
/// craft, or no more than the facets of a round hull, it stays.
fn rolled(
    craft: &Craft,
    lean: &Lean,
    lean_rad: f64,
    near: &Rest,
) -> Result<Rest, EquilibriumError> {
    let volume_m3 = craft.volume_to_displace_m3();
    let within_m4 = ROLL_ARM_WITHIN_M * volume_m3;
    let look = |across_rad: f64, near: &Rest| held_at(craft, lean, [lean_rad, across_rad], near);
    let start_rad = lean.across_rad(&near.plane().up, lean_rad);
    let here = look(start_rad, near)?;
    let mut stays = true;
    for sign in [1.0, -1.0] {
        let there = look(start_rad + sign * NEUTRAL_WITHIN_RAD, &here.1)?.1;
        stays = stays && (there.energy_m4 - here.1.energy_m4).abs() <= neutral_m4(craft);
        if !stays {
            break;
        }
    }
    if stays {
        return Ok(here.1);
    }
    let beside = look(start_rad + ROLL_PROBE_RAD, &here.1)?;
    let stiffness_m4 = (beside.0 - here.0) / ROLL_PROBE_RAD;
    let is_level = here.0.abs() <= within_m4;
    if is_level && stiffness_m4 >= -UNSTABLE_FROM_M * volume_m3 {
        return Ok(here.1);
    }
    let (downhill, mut gone_rad, mut low) = if is_level {
        (1.0, ROLL_PROBE_RAD, beside)
    } else {
        (-here.0.signum(), 0.0, here)
    };
    // A little further than the stiffness says, so that the rest is soon between two
    // places.
    let mut step_rad = if stiffness_m4 > 0.0 {
        (1.2 * low.0.abs() / stiffness_m4).clamp(ANGLE_WITHIN_RAD, ROLL_STEP_RAD)
    } else {
        ROLL_STEP_RAD
    };
    while gone_rad < TAU {
        let further = gone_rad + step_rad;
        let there = look(start_rad + downhill * further, &low.1)?;
        if downhill * there.0 >= 0.0 {
            let found = first_below(
                (-downhill * low.0, low.1),
                [step_rad; 2],
                [ANGLE_WITHIN_RAD, within_m4],
                |on, near: &Rest| {
                    let (slope_m4, rest) = look(start_rad + downhill * (gone_rad + on), near)?;
                    Ok::<_, EquilibriumError>((-downhill * slope_m4, rest))
                },
            )?;
            return Ok(found.map_or(there.1, |found| found.state));
        }
        gone_rad = further;
        low = there;
        step_rad = (2.0 * step_rad).min(ROLL_STEP_RAD);
    }
    Ok(low.1)
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
    let held = |across_rad: f64, near: &Rest| held_at(craft, lean, [lean_rad, across_rad], near);
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

/// A rise of the energy, m⁴, under which a craft is neutral along it.
pub(super) fn neutral_m4(craft: &Craft) -> f64 {
    NEUTRAL * craft.volume_to_displace_m3() * craft.displacers.size_m()
}
