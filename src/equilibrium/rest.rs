//! Resting attitudes: minima of the energy.
use std::convert::Infallible;

use nalgebra::{Matrix3, SymmetricEigen, Vector3};

use super::energy::{Craft, EnergyAt};
use crate::immersion::{Immersion, SecondMoments, WaterPlane};
use crate::numerics::{Vec3, halved, trust_region_step};
use crate::progress::Cancelled;

/// Share of the volume to displace within which the volume counts as right.
const VOLUME_TOLERANCE: f64 = 1e-12;
/// Lever between weight and buoyancy, as a share of the craft's size, below
/// which the craft counts as at rest: about 0.3 nm on a 3 m craft.
const ARM_TOLERANCE: f64 = 1e-10;
/// Negative curvature (as a metacentric height over the craft's size) that
/// makes an equilibrium unstable rather than neutral within rounding.
const UNSTABLE_BELOW: f64 = -1e-9;
/// Tilts wait until the volume is within this share, so that a poor first
/// level does not turn the craft.
const VOLUME_BEFORE_TILT: f64 = 0.01;
/// First and largest trust radius, rad (a level counts by the craft's size).
/// Beyond a box's angle of loll the energy may rise for no more than 5°: a
/// longer step could pass over that rise and land upside down.
const LARGEST_RADIUS: f64 = 0.1;
/// Levels may move faster than tilts: they are convex and cannot go astray.
const LEVEL_SCALE: f64 = 8.0;
/// Radius below which the search cannot get on.
const SMALLEST_RADIUS: f64 = 1e-13;
/// Kernel calls after which the search is given up.
const MOST_CALLS: usize = 300;
/// Share of the size's cube that sums over a body lose to rounding: no volume is known
/// better, however little of it is under water.
const ROUNDING: f64 = 16.0 * f64::EPSILON;
/// Energy differences below this share of `volume × size` are rounding.
const ENERGY_NOISE: f64 = 64.0 * f64::EPSILON;
/// Below this the axis of a held turn is vertical and gives no direction (sine
/// of the angle; about 0.00006°).
const AXIS_VANISHES: f64 = 1e-6;
/// Exponent of the first guess of the level: filled height over volume for a
/// hull between a box (1) and a wedge (½).
const FILL_EXPONENT: f64 = 0.75;

/// Share of the whole under which a volume is a film.
const SLIGHT_SHARE: f64 = 1e-6;
/// Halvings that find the level of a film: past these a level has no more digits.
const LEVEL_HALVINGS: usize = 100;

/// What stays fixed while the rest is sought.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Hold {
    /// Nothing: sinkage, heel and pitch are free.
    Nothing,
    /// Heel; sinkage and pitch are free.
    Heel,
    /// The turn about an axis of the boat (a unit vector of the boat frame):
    /// `up` moves only on the great circle through itself and that axis.
    /// Sinkage and the tilt along that circle are free.
    TurnAbout(Vec3),
    /// Heel and pitch; only sinkage is free.
    Attitude,
}

/// Why no resting attitude was found.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum EquilibriumError {
    /// The weight exceeds what the whole body can displace.
    #[error(
        "it sinks: {mass_kg:.1} kg to carry, but wholly under water it holds up only {capacity_kg:.1} kg"
    )]
    Sinks {
        /// Mass aboard, kg.
        mass_kg: f64,
        /// Mass of water that the whole body displaces, kg.
        capacity_kg: f64,
    },
    /// The mass is zero, negative or not a number, or there is no body.
    #[error("nothing to float: the mass aboard is {mass_kg} kg; give the hull a mass")]
    NoMass {
        /// Mass aboard, kg.
        mass_kg: f64,
    },
    /// The search stopped before it met its tolerance.
    #[error(
        "no resting attitude found in {kernel_calls} steps: the volume is still {:.6} mL off and the lever {:.6} mm; check the mesh for holes and folds",
        1e6 * .volume_error_m3,
        1e3 * .arm_m
    )]
    NotConverged {
        /// Kernel calls made.
        kernel_calls: usize,
        /// Volume displaced less volume wanted, m³.
        volume_error_m3: f64,
        /// Lever between weight and buoyancy, m.
        arm_m: f64,
    },
    /// Who watches the work stopped it.
    #[error(transparent)]
    Cancelled(#[from] Cancelled),
}

/// A resting attitude.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct Rest {
    /// What lies under water there.
    pub immersion: Immersion,
    /// Centre of gravity of everything, loose liquids where they lie there,
    /// boat frame, m.
    pub centre_of_gravity_m: Vec3,
    /// What the surfaces of loose liquids take from the waterplane's second
    /// moments.
    pub free_surface: SecondMoments,
    /// Energy there, m⁴ (times density and gravity: joules).
    pub energy_m4: f64,
    /// Weight's and buoyancy's moments, as in [`EnergyAt::lever_m4`].
    pub lever_m4: Vec3,
    /// Kernel calls that the search took.
    pub kernel_calls: usize,
}

impl Rest {
    /// The water plane at rest.
    #[must_use]
    pub fn plane(&self) -> &WaterPlane {
        &self.immersion.plane
    }

    /// Height of the centre of gravity over the centre of buoyancy, m.
    #[must_use]
    pub fn gravity_over_buoyancy_m(&self) -> f64 {
        self.immersion.centre_of_buoyancy_m().map_or(0.0, |cb| {
            self.plane().up.dot(&(self.centre_of_gravity_m - cb))
        })
    }

    /// Metacentric height across, m: `(I_T − free surface)/V − BG`. Positive is
    /// stable.
    #[must_use]
    pub fn gm_transverse_m(&self) -> f64 {
        (self.immersion.second_moments().transverse_m4 - self.free_surface.transverse_m4)
            / self.immersion.volume_m3
            - self.gravity_over_buoyancy_m()
    }

    /// Metacentric height along, m: `(I_L − free surface)/V − BG`. Positive is
    /// stable.
    #[must_use]
    pub fn gm_longitudinal_m(&self) -> f64 {
        (self.immersion.second_moments().longitudinal_m4 - self.free_surface.longitudinal_m4)
            / self.immersion.volume_m3
            - self.gravity_over_buoyancy_m()
    }
}

/// Finds the resting attitude nearest downhill from `up`, by trust-region
/// Newton steps on the energy over level, pitch and heel together. An unstable
/// equilibrium is left to the side of positive heel.
///
/// Ends when the volume is right to 1e-12 of itself and the lever between
/// weight and buoyancy is under 1e-10 of the craft's size, or both are rounding (a box
/// that weighs nearly nothing), with no negative curvature along what is free.
///
/// # Errors
/// [`EquilibriumError::Sinks`] when the body cannot hold the mass,
/// [`EquilibriumError::NoMass`] without a mass or a body,
/// [`EquilibriumError::NotConverged`] with the last residual.
pub fn find_rest(craft: &Craft, up: &Vec3, hold: Hold) -> Result<Rest, EquilibriumError> {
    let Some((low, high)) = craft
        .displacers
        .reach_m(up)
        .filter(|_| craft.mass_kg > 0.0 && craft.mass_kg.is_finite())
    else {
        return Err(EquilibriumError::NoMass {
            mass_kg: craft.mass_kg,
        });
    };
    let wanted = craft.volume_to_displace_m3();
    let whole = craft.displacers.volume_m3();
    if wanted >= whole {
        return Err(EquilibriumError::Sinks {
            mass_kg: wanted * craft.density_kg_m3,
            capacity_kg: whole * craft.density_kg_m3,
        });
    }
    let level_m = if wanted < SLIGHT_SHARE * whole {
        level_holding(craft, up, wanted, (low, high))
    } else {
        low + (high - low) * (wanted / whole).powf(FILL_EXPONENT)
    };
    Search::new(craft, hold).run(WaterPlane { up: *up, level_m }, 0)
}

/// The level at which a body holds a volume, by halving: where it is a film no guess is
/// near enough for the search to see what little is under water.
fn level_holding(craft: &Craft, up: &Vec3, wanted_m3: f64, (low, high): (f64, f64)) -> f64 {
    let is_wet = |level_m: f64| {
        let plane = WaterPlane { up: *up, level_m };
        let dry = craft.energy_at(&plane).immersion.volume_m3 < wanted_m3;
        Ok::<_, Infallible>(!dry)
    };
    let Ok([_, wet]) = halved([low, high], LEVEL_HALVINGS, is_wet);
    wet
}

/// As [`find_rest`], from a plane that is already near: a load moved, an
/// attitude just left. Saves the calls that find the level.
///
/// # Errors
/// As [`find_rest`], but a craft that sinks ends as `NotConverged`.
pub fn find_rest_from(
    craft: &Craft,
    plane: &WaterPlane,
    hold: Hold,
) -> Result<Rest, EquilibriumError> {
    Search::new(craft, hold).run(*plane, 0)
}

/// As [`find_rest_from`], from the rest of a craft of the same displacers, with another
/// weight: what lies under water there is known.
///
/// # Errors
/// As [`find_rest_from`].
pub fn find_rest_near(craft: &Craft, rest: &Rest, hold: Hold) -> Result<Rest, EquilibriumError> {
    match craft.energy_under(&rest.immersion) {
        Some(here) => Search::new(craft, hold).run_on(here, 0),
        None => find_rest_from(craft, rest.plane(), hold),
    }
}

struct Search<'a> {
    craft: &'a Craft,
    hold: Hold,
    /// Length that makes a level comparable with an angle, m.
    size_m: f64,
    volume_m3: f64,
    /// What of a volume is rounding, m³.
    rounding_m3: f64,
}

impl<'a> Search<'a> {
    fn new(craft: &'a Craft, hold: Hold) -> Self {
        let size_m = craft.displacers.size_m() / 4.0;
        Self {
            craft,
            hold,
            size_m,
            volume_m3: craft.volume_to_displace_m3(),
            rounding_m3: ROUNDING * size_m.powi(3),
        }
    }

    /// A volume within this of what is wanted is right, m³.
    fn volume_within_m3(&self) -> f64 {
        (VOLUME_TOLERANCE * self.volume_m3).max(self.rounding_m3)
    }

    /// A lever times the volume under this is none, m⁴.
    fn lever_within_m4(&self) -> f64 {
        (ARM_TOLERANCE * self.volume_m3).max(self.rounding_m3) * self.size_m
    }

    /// A level of this much counts as much as a radian of tilt, m.
    fn level_scale_m(&self) -> f64 {
        LEVEL_SCALE * self.size_m
    }

    fn run(&self, start: WaterPlane, calls_before: usize) -> Result<Rest, EquilibriumError> {
        self.run_on(self.craft.energy_at(&start), calls_before + 1)
    }

    fn run_on(&self, mut here: EnergyAt, mut calls: usize) -> Result<Rest, EquilibriumError> {
        let mut radius = LARGEST_RADIUS;
        loop {
            if self.goes_down(&here) {
                return Err(EquilibriumError::Sinks {
                    mass_kg: self.volume_m3 * self.craft.density_kg_m3,
                    capacity_kg: here.immersion.volume_m3 * self.craft.density_kg_m3,
                });
            }
            let (slope, curvature) = self.scaled(&here);
            if self.is_level(&here) {
                let lowest = SymmetricEigen::new(curvature).eigenvalues.min();
                // A round body's facets leave faint ripples that are no way
                // down: neutral, once no step can find lower energy.
                let neutral = radius < SMALLEST_RADIUS;
                if neutral || lowest >= UNSTABLE_BELOW * self.volume_m3 * self.size_m {
                    return Ok(self.rest(&here, calls));
                }
            }
            if calls >= MOST_CALLS || radius < SMALLEST_RADIUS {
                return Err(self.not_converged(&here, calls));
            }
            let (step, gain) = trust_region_step(&slope, &curvature, radius);
            let there = self.craft.energy_at(&self.moved(&here, &step));
            calls += 1;
            let drop = here.energy_m4 - there.energy_m4;
            let noise = (ENERGY_NOISE * self.volume_m3).max(self.rounding_m3) * self.size_m;
            let good = if gain > noise {
                drop / gain
            } else {
                // Too small to see in the energy: judge by the slope.
                let was = slope.norm();
                let is = self.scaled(&there).0.norm();
                if is < was { 1.0 } else { 0.0 }
            };
            if good < 0.25 {
                radius = step.norm().min(radius) / 4.0;
            } else if good > 0.75 && step.norm() > 0.9 * radius {
                radius = (2.0 * radius).min(LARGEST_RADIUS);
            }
            if good > 1e-3 {
                here = there;
            }
        }
    }

    /// Whether a craft that keeps air is wholly under and too heavy: deeper, its air
    /// lifts still less.
    fn goes_down(&self, at: &EnergyAt) -> bool {
        let too_heavy = at.immersion.volume_m3 < (1.0 - VOLUME_TOLERANCE) * self.volume_m3;
        let displacers = &self.craft.displacers;
        let plane = &at.immersion.plane;
        displacers.keeps_air()
            && too_heavy
            && displacers
                .reach_m(&plane.up)
                .is_none_or(|(_, top)| plane.level_m >= top)
    }

    /// The two directions, square to each other, in which `up` may tilt; the
    /// second is the one that is held first.
    fn tilts(&self, plane: &WaterPlane) -> [Vec3; 2] {
        let axes = plane.axes();
        if let Hold::TurnAbout(axis) = self.hold {
            let along = axis - plane.up * plane.up.dot(&axis);
            let length = along.norm();
            if length > AXIS_VANISHES {
                let along = along / length;
                return [along, plane.up.cross(&along)];
            }
        }
        [axes.forward, axes.port]
    }

    /// Turns slopes along the level, forward and port into slopes along the
    /// level and [`Self::tilts`].
    fn tilt_basis(&self, plane: &WaterPlane) -> Matrix3<f64> {
        let axes = plane.axes();
        let [first, second] = self.tilts(plane);
        let (cos, sin) = (first.dot(&axes.forward), first.dot(&axes.port));
        let (back, on) = (second.dot(&axes.forward), second.dot(&axes.port));
        Matrix3::new(1.0, 0.0, 0.0, 0.0, cos, sin, 0.0, back, on)
    }

    /// Slopes and curvature with the level counted in [`LEVEL_SCALE`] sizes, and
    /// what is held taken out (no slope, unit stiffness).
    fn scaled(&self, at: &EnergyAt) -> (Vector3<f64>, Matrix3<f64>) {
        let scale = Vector3::new(self.level_scale_m(), 1.0, 1.0);
        let tilt_basis = self.tilt_basis(&at.immersion.plane);
        let mut slope = (tilt_basis * at.slope).component_mul(&scale);
        let mut curvature = (tilt_basis * at.curvature * tilt_basis.transpose())
            .component_mul(&(scale * scale.transpose()));
        let volume_off = (at.immersion.volume_m3 - self.volume_m3).abs();
        let tilts_wait = volume_off > VOLUME_BEFORE_TILT * self.volume_m3;
        let held = match self.hold {
            Hold::Attitude => [true, true],
            Hold::Heel | Hold::TurnAbout(_) => [tilts_wait, true],
            Hold::Nothing => [tilts_wait; 2],
        };
        if slope[1].hypot(slope[2]) <= self.lever_within_m4() {
            // Rounding must not choose the side that an unstable equilibrium
            // is left to.
            slope[1] = 0.0;
            slope[2] = 0.0;
        }
        for (variable, held) in (1..).zip(held) {
            if held {
                slope[variable] = 0.0;
                curvature.fill_row(variable, 0.0);
                curvature.fill_column(variable, 0.0);
                curvature[(variable, variable)] = self.volume_m3 * self.size_m;
            }
        }
        (slope, curvature)
    }

    /// The plane after a scaled step: `up` moves along a great circle, the
    /// level about the reference point.
    fn moved(&self, at: &EnergyAt, step: &Vector3<f64>) -> WaterPlane {
        let plane = at.immersion.plane;
        let reference = at.immersion.reference_m;
        let [first, second] = self.tilts(&plane);
        let level = -plane.height_m(&reference) + step[0] * self.level_scale_m();
        let tilt = first * step[1] + second * step[2];
        let angle = tilt.norm();
        let up = if angle > 0.0 {
            (plane.up * angle.cos() + tilt * (angle.sin() / angle)).normalize()
        } else {
            plane.up
        };
        WaterPlane {
            up,
            level_m: level + up.dot(&reference),
        }
    }

    /// Whether volume and lever are within tolerance along what is free.
    fn is_level(&self, at: &EnergyAt) -> bool {
        let (slope, _) = self.scaled(at);
        let lever = slope[1].hypot(slope[2]);
        at.slope[0].abs() <= self.volume_within_m3() && lever <= self.lever_within_m4()
    }

    fn rest(&self, at: &EnergyAt, kernel_calls: usize) -> Rest {
        Rest {
            immersion: at.immersion,
            centre_of_gravity_m: self.centre_of_gravity_m(at),
            free_surface: at.free_surface,
            energy_m4: at.energy_m4,
            lever_m4: at.lever_m4,
            kernel_calls,
        }
    }

    /// Of everything aboard, liquids where they lie now.
    fn centre_of_gravity_m(&self, at: &EnergyAt) -> Vec3 {
        if self.craft.liquids.is_empty() {
            return self.craft.centre_of_gravity_m;
        }
        let moment = at.lever_m4 + at.immersion.volume_moment_m4;
        at.immersion.reference_m + moment / self.volume_m3
    }

    fn not_converged(&self, at: &EnergyAt, kernel_calls: usize) -> EquilibriumError {
        EquilibriumError::NotConverged {
            kernel_calls,
            volume_error_m3: at.slope[0],
            arm_m: at.slope[1].hypot(at.slope[2]) / self.volume_m3,
        }
    }
}
