//! The best fit of all measurements, and what the plane of the marks or two scales say by
//! themselves.
use super::fit::{Agreement, Fit};
use super::marks::plane_through;
use super::measured::{InclineMove, Measured, TwoScales};
use super::model::{Model, Whole};
use super::{CalibrateError, metacentric_height_from_moves};
use crate::boat::Boat;
use crate::equilibrium::{Craft, EquilibriumError, settle};
use crate::immersion::Immersion;
use crate::quantity::SPREAD_IN_DEVIATIONS;

/// What the file says where nothing was measured.
pub(super) const IN_FILE: &str = "boat file";
/// ± of a coordinate that is neither measured nor given a ± in the boat file, m: what a
/// guess from the things aboard may be off. Pushes decide the height if they tell it
/// better. Ours, no source.
const GUESS_OFF_M: f64 = 0.1;
/// How far to both sides of the boat file's height pushes are tried first, m.
const HEIGHT_SOUGHT_M: f64 = 0.3;
/// Heights tried.
const HEIGHTS_TRIED: u32 = 12;

/// The best fit.
pub(super) struct Fitted<'a> {
    pub(super) fit: Fit<'a>,
    pub(super) whole: Whole,
    pub(super) covariance: nalgebra::Matrix4<f64>,
    /// What gave mass, x, y, z.
    pub(super) from: [String; 4],
    /// How well the readings agree with each other.
    pub(super) agrees: Agreement,
}

impl<'a> Fitted<'a> {
    pub(super) fn to(
        boat: &Boat,
        craft: &'a Craft,
        measured: &Measured,
        afloat: Option<&Immersion>,
    ) -> Result<Self, CalibrateError> {
        let scales = measured.two_scales.as_ref();
        let is_tipped = scales.is_some_and(|scales| scales.tipped.is_some());
        let has_moves = !measured.moves.is_empty();
        let in_file = boat.centre_spread_m().map(|spread_m| {
            let known = if spread_m > 0.0 {
                spread_m
            } else {
                GUESS_OFF_M
            };
            known / SPREAD_IN_DEVIATIONS
        });
        let mut fit = Fit {
            model: Model {
                craft,
                near: afloat.map(|at| at.plane),
            },
            free: [true, true, afloat.is_some(), is_tipped || has_moves],
            held: Whole::new(0.0, in_file.x, in_file.y, in_file.z),
        };
        let mut guess = first_guess(craft, measured, afloat)?;
        let mut pushes_tell = false;
        if !fit.free[3] && !measured.pushes.is_empty() {
            fit.free[3] = true;
            let found = by_pushes(&fit, guess, measured, afloat).and_then(|whole| {
                let covariance = fit.covariance(&whole, measured).ok()?;
                let known_m = SPREAD_IN_DEVIATIONS * covariance[(3, 3)].sqrt();
                (known_m <= GUESS_OFF_M).then_some(whole)
            });
            pushes_tell = found.is_some();
            fit.free[3] = pushes_tell;
            guess = found.unwrap_or(guess);
        }
        // A guess far off may let a craft go over that heeled: the gentlest move comes first.
        let by_moment = |one: &&InclineMove| (one.mass.value * one.moved.value).abs();
        let gentlest = measured
            .moves
            .iter()
            .min_by(|a, b| by_moment(a).total_cmp(&by_moment(b)));
        if let (Some(gentlest), true) = (gentlest, measured.moves.len() > 1) {
            let mut gentle = measured.clone();
            gentle.moves = vec![*gentlest];
            guess = fit.run(guess, &gentle).unwrap_or(guess);
        }
        // The second time weighed at the first's answer.
        let whole = fit.run(guess, measured)?;
        let whole = fit.run(whole, measured)?;
        let agrees = fit.agreement(&whole, measured)?;
        let covariance = fit.covariance(&whole, measured)? * agrees.widens;
        let along = sources(&[
            (scales.is_some(), "two scales"),
            (afloat.is_some(), "float marks"),
        ]);
        let from = [
            along.clone(),
            along,
            sources(&[(afloat.is_some(), "float marks")]),
            sources(&[
                (is_tipped, "two scales, tipped"),
                (has_moves, "inclining moves"),
                (pushes_tell, "pushes"),
            ]),
        ];
        Ok(Self {
            fit,
            whole,
            covariance,
            from,
            agrees,
        })
    }
}

/// What was measured of these, or that nothing was.
fn sources(given: &[(bool, &str)]) -> String {
    let named = given.iter().filter(|(is, _)| *is).map(|(_, name)| *name);
    let named: Vec<&str> = named.collect();
    if named.is_empty() {
        IN_FILE.to_owned()
    } else {
        named.join(" and ")
    }
}

/// By the formulas of small angles, one measurement after the other.
fn first_guess(
    craft: &Craft,
    measured: &Measured,
    afloat: Option<&Immersion>,
) -> Result<Whole, CalibrateError> {
    let mut centre = craft.centre_of_gravity_m;
    let scaled = measured.two_scales.as_ref().map(weighed).transpose()?;
    let mass_kg = match (&measured.two_scales, afloat) {
        (Some(scales), _) => scales.aft.reads.value + scales.fore.reads.value,
        (None, Some(at)) => at.volume_m3 * craft.density_kg_m3,
        (None, None) => return Err(CalibrateError::NoMass),
    };
    if let Some((x, z)) = scaled {
        centre.x = x;
        centre.z = z.unwrap_or(centre.z);
    }
    if !measured.moves.is_empty() {
        // Before the tip, which may be so far off that a tender craft falls over.
        let gm = gm_of(measured, mass_kg)?;
        let at = match afloat {
            Some(at) => *at,
            None => floating_as_weighed(craft, mass_kg, centre.x)?,
        };
        let radius = at.second_moments().transverse_m4 / at.volume_m3;
        let buoyancy = at.centre_of_buoyancy_m().unwrap_or(centre);
        centre.z = buoyancy.z + (radius - gm) * at.plane.up.z;
    }
    let guess = Whole::new(mass_kg, centre.x, centre.y, centre.z);
    Ok(over_buoyancy(guess, afloat, scaled.is_some()))
}

/// The weight stands over the buoyancy of the marks; x by scales goes before.
fn over_buoyancy(mut whole: Whole, afloat: Option<&Immersion>, has_scales: bool) -> Whole {
    if let Some(at) = afloat
        && let Some(buoyancy) = at.centre_of_buoyancy_m()
    {
        let up = at.plane.up;
        let height = (whole[3] - buoyancy.z) / up.z;
        if !has_scales {
            whole[1] = buoyancy.x + up.x * height;
        }
        whole[2] = buoyancy.y + up.y * height;
    }
    whole
}

/// The height at which the pushes fit best: the best of some tried, then fitted.
fn by_pushes(
    fit: &Fit<'_>,
    guess: Whole,
    measured: &Measured,
    afloat: Option<&Immersion>,
) -> Option<Whole> {
    let tried = (0..=HEIGHTS_TRIED).filter_map(|step| {
        let mut whole = guess;
        let share = 2.0 * f64::from(step) / f64::from(HEIGHTS_TRIED) - 1.0;
        whole[3] += HEIGHT_SOUGHT_M * share;
        let whole = over_buoyancy(whole, afloat, measured.two_scales.is_some());
        let readings = fit.readings(&whole, measured).ok()?;
        let off = readings
            .iter()
            .map(|r| (r.read.value - r.model) / r.read.spread);
        Some((off.map(|off| off * off).sum::<f64>(), whole))
    });
    let (_, best) = tried.min_by(|a, b| a.0.total_cmp(&b.0))?;
    fit.run(best, measured).ok()
}

/// What lies under the water plane of the float marks.
pub(super) fn measured_afloat(
    craft: &Craft,
    measured: &Measured,
) -> Result<Option<Immersion>, CalibrateError> {
    if measured.marks.is_empty() {
        return Ok(None);
    }
    if measured.marks.len() < 3 {
        return Err(CalibrateError::TooFewMarks {
            given: measured.marks.len(),
        });
    }
    let plane = plane_through(&measured.marks).ok_or(CalibrateError::MarksInLine)?;
    let at = craft.displacers.immerse(&plane);
    // A kilogram: less is no boat afloat.
    if at.volume_m3 < 1e-3 {
        return Err(CalibrateError::NothingDisplaced {
            volume_l: at.volume_m3 * 1e3,
        });
    }
    Ok(Some(at))
}

/// The weighed boat afloat at its place along, its height as in the file.
fn floating_as_weighed(craft: &Craft, mass_kg: f64, x: f64) -> Result<Immersion, EquilibriumError> {
    let mut afloat = craft.clone();
    afloat.mass_kg = mass_kg;
    afloat.centre_of_gravity_m.x = x;
    Ok(settle(&afloat)?.rest.immersion)
}

/// x of the centre by two scales, and z where the boat was also tipped:
/// `xG = (R1 x1 + R2 x2)/W`; the fore end raised by θ, the weight moves aft of
/// the scales by `h tan θ`, so `h = (R2 − R2′)(x2 − x1)/(W tan θ)` over the height
/// at which the boat stands on them.
fn weighed(scales: &TwoScales) -> Result<(f64, Option<f64>), CalibrateError> {
    let (aft, fore) = (&scales.aft, &scales.fore);
    let apart = fore.x.value - aft.x.value;
    if apart.abs() < 1e-6 {
        return Err(CalibrateError::ScalesTogether { x_m: fore.x.value });
    }
    let mass = aft.reads.value + fore.reads.value;
    let x = (aft.reads.value * aft.x.value + fore.reads.value * fore.x.value) / mass;
    let z = match &scales.tipped {
        None => None,
        Some(tipped) => {
            let angle_deg = tipped.angle.value;
            if !(angle_deg > 0.0 && angle_deg < 45.0) {
                return Err(CalibrateError::Tip { angle_deg });
            }
            let lost = fore.reads.value - tipped.fore_reads.value;
            let height = lost * apart / (mass * angle_deg.to_radians().tan());
            Some(scales.stands_at_z.value + height)
        }
    };
    Ok((x, z))
}

fn gm_of(measured: &Measured, mass_kg: f64) -> Result<f64, CalibrateError> {
    let moves: Vec<(f64, f64)> = measured
        .moves
        .iter()
        .map(|one| {
            (
                one.mass.value * one.moved.value,
                one.heel.value.to_radians().tan(),
            )
        })
        .collect();
    metacentric_height_from_moves(&moves, mass_kg).ok_or(CalibrateError::MovesDoNotTell)
}
