//! The boat's mass and centre of gravity as measurements say.
use serde::Serialize;

use super::cautions::CAUTIONS;
use super::hydrostatics::coordinates;
use crate::boat::Boat;
use crate::equilibrium::{Craft, EquilibriumError, Hold, Rest, find_rest_from, settle};
use crate::immersion::{Immersion, WaterPlane};
use crate::mesh::Doubt;
use crate::numerics::{STANDARD_GRAVITY_M_S2, Vec3};

mod marks;
mod measured;

use marks::plane_through;
pub use measured::{
    FloatMark, InclineMove, Measured, MeasuredError, Push, Scale, Tipped, TwoScales,
};

/// Why the measurements give no mass and centre.
#[derive(Debug, thiserror::Error)]
pub enum CalibrateError {
    /// The measurements could not be read.
    #[error(transparent)]
    Measured(#[from] MeasuredError),
    /// The boat as the file has it sinks or finds no rest.
    #[error(transparent)]
    Equilibrium(#[from] EquilibriumError),
    /// Neither of the two measurements that give a mass.
    #[error(
        "nothing gives the mass: measure the height over the water of three points or more ([[float_mark]]), or weigh on two scales ([two_scales])"
    )]
    NoMass,
    /// Fewer than three marks.
    #[error(
        "{given} float mark(s): three or more, not in one line, are needed to know how the boat lies"
    )]
    TooFewMarks {
        /// How many there are.
        given: usize,
    },
    /// The marks do not span a plane.
    #[error(
        "the float marks lie in one line or do not fit any water plane: measure points to both sides and at both ends"
    )]
    MarksInLine,
    /// The water plane of the marks is clear of the boat.
    #[error(
        "with these float marks the boat would displace only {volume_l:.1} L: check signs (over the water positive) and units"
    )]
    NothingDisplaced {
        /// Volume under the plane, L.
        volume_l: f64,
    },
    /// The scales stand in one place.
    #[error("the two scales must stand apart along x; both are at {x_m} m")]
    ScalesTogether {
        /// Where, m.
        x_m: f64,
    },
    /// A tip that is none.
    #[error(
        "the tip of the second weighing must be more than 0° and less than 45°, not {angle_deg}°"
    )]
    Tip {
        /// What was given.
        angle_deg: f64,
    },
    /// The moves do not tell.
    #[error(
        "the inclining moves give no metacentric height: the heel must grow with the mass moved, to the side it is moved to (starboard positive)"
    )]
    MovesDoNotTell,
    /// Liquid moves while it is measured.
    #[error(
        "the boat file has {loose_kg:.1} kg of liquid loose aboard, which moves while you measure: empty or fill up tanks and compartments, take their `liquid` and `fill` out of the file, and measure so"
    )]
    LooseLiquid {
        /// How much, kg.
        loose_kg: f64,
    },
    /// All else weighs more than the whole.
    #[error(
        "measured, all aboard weighs {total_kg:.1} kg, but parts and items alone weigh {others_kg:.1} kg: nothing is left for the hull; check the items' masses"
    )]
    HullWeighsNothing {
        /// Everything, kg.
        total_kg: f64,
        /// Without the hull, kg.
        others_kg: f64,
    },
}

/// Result of [`calibrate`]. Points are `[x, y, z]` in the boat frame, m.
#[derive(Debug, Clone, Serialize)]
pub struct CalibrateResult {
    /// The boat's name.
    pub name: String,
    /// One sentence that says what matters most.
    pub summary: String,
    /// Mass of everything aboard as measured, kg, and what says so.
    pub mass_kg: f64,
    /// What gave the mass.
    pub mass_from: &'static str,
    /// The same as the boat file has it, kg.
    pub mass_in_file_kg: f64,
    /// Centre of gravity as measured, m.
    pub centre_of_gravity_m: [f64; 3],
    /// What gave each of its coordinates.
    pub centre_from: [&'static str; 3],
    /// The same as the boat file has it, m.
    pub centre_in_file_m: [f64; 3],
    /// The hull's mass that makes up the whole, kg.
    pub hull_mass_kg: f64,
    /// Its centre likewise, m.
    pub hull_centre_m: [f64; 3],
    /// Metacentric height across by the inclining moves, m.
    pub gm_transverse_m: Option<f64>,
    /// How well each measurement fits the corrected boat.
    pub residuals: Vec<ResidualLine>,
    /// What to doubt about it.
    pub notes: Vec<String>,
    /// What no number here covers.
    pub cautions: Vec<String>,
    /// Everything about the meshes that may make these numbers wrong.
    pub mesh_doubts: Vec<Doubt>,
}

/// One measurement against the corrected boat.
#[derive(Debug, Clone, Serialize)]
pub struct ResidualLine {
    /// What was measured.
    pub what: String,
    /// Unit of the numbers.
    pub unit: &'static str,
    /// As measured.
    pub measured: f64,
    /// As the boat with the corrected mass and centre gives it.
    pub corrected_boat: f64,
}

/// Metacentric height of a craft of a displacement whose heel follows masses
/// moved across: `GM = w d/(Δ tan φ)`, the slope of `tan φ` over `w d` fitted by
/// least squares through nought. `moves` holds `w d` (kg·m) and `tan φ`. `None`
/// where they do not rise together.
#[must_use]
pub fn metacentric_height_from_moves(moves: &[(f64, f64)], displacement_kg: f64) -> Option<f64> {
    let squares: f64 = moves.iter().map(|(lever, _)| lever * lever).sum();
    let products: f64 = moves.iter().map(|(lever, tangent)| lever * tangent).sum();
    let slope = products / squares;
    (slope.is_finite() && slope > 0.0).then(|| 1.0 / (displacement_kg * slope))
}

/// Works out mass and centre of gravity of everything aboard from what was
/// measured, and puts the difference to the boat file on the hull.
///
/// Float marks give the water plane (least squares), so the displaced volume and
/// the line through its centre on which the weight must lie. Two scales give mass
/// and x, tipped also z; they go before the marks. Inclining moves give z by
/// `GM = w d/(Δ tan φ)`; without them or a tipped weighing, pushes do. What
/// nothing gives stays as in the file.
///
/// # Errors
/// Each variant of [`CalibrateError`] but `Measured`.
pub fn calibrate(boat: &Boat, measured: &Measured) -> Result<CalibrateResult, CalibrateError> {
    let craft = Craft::of(boat);
    let loose_kg = craft.liquids_kg();
    if loose_kg > 0.0 {
        return Err(CalibrateError::LooseLiquid { loose_kg });
    }
    let in_file = craft.centre_of_gravity_m;
    let afloat = measured_afloat(&craft, measured)?;
    let (mass_kg, mass_from) = match (&measured.two_scales, &afloat) {
        (Some(scales), _) => (scales.aft.reads_kg + scales.fore.reads_kg, "two scales"),
        (None, Some(at)) => (at.volume_m3 * craft.density_kg_m3, "float marks"),
        (None, None) => return Err(CalibrateError::NoMass),
    };
    let mut centre = in_file;
    let mut from = ["boat file"; 3];
    let mut gm_transverse_m = None;
    let scaled = measured.two_scales.as_ref().map(weighed).transpose()?;
    if let Some((_, Some(z))) = scaled {
        (centre.z, from[2]) = (z, "two scales, tipped");
    }
    if !measured.moves.is_empty() {
        let at = match &afloat {
            Some(at) => *at,
            None => floating_as_weighed(&craft, mass_kg, scaled.map_or(centre.x, |(x, _)| x))?,
        };
        let gm = gm_of(measured, mass_kg)?;
        let radius = at.second_moments().transverse_m4 / at.volume_m3;
        let buoyancy = at.centre_of_buoyancy_m().unwrap_or(centre);
        centre.z = buoyancy.z + (radius - gm) * at.plane.up.z;
        (gm_transverse_m, from[2]) = (Some(gm), "inclining moves");
    }
    if afloat.is_some() {
        from[0] = "float marks";
        from[1] = "float marks";
    }
    if scaled.is_some() {
        from[0] = "two scales";
    }
    let (x, y) = (centre.x, centre.y);
    let at_height = |z: f64| {
        let mut centre = Vec3::new(x, y, z);
        if let Some(at) = &afloat
            && let Some(buoyancy) = at.centre_of_buoyancy_m()
        {
            // The weight stands over the buoyancy.
            let up = at.plane.up;
            let height = (z - buoyancy.z) / up.z;
            centre.x = buoyancy.x + up.x * height;
            centre.y = buoyancy.y + up.y * height;
        }
        if let Some((x, _)) = scaled {
            centre.x = x;
        }
        centre
    };
    if from[2] == "boat file" && !measured.pushes.is_empty() {
        let weighing = |z: f64| Craft {
            mass_kg,
            centre_of_gravity_m: at_height(z),
            ..craft.clone()
        };
        if let Some(z) = height_by_pushes(&measured.pushes, centre.z, weighing) {
            (centre.z, from[2]) = (z, "pushes");
        }
    }
    let centre = at_height(centre.z);
    let hull = boat.masses.first().filter(|_| boat.has_hull_mass);
    let (hull_kg, hull_at) = hull.map_or((0.0, Vec3::zeros()), |h| (h.mass_kg, h.centre_m));
    let others_kg = craft.mass_kg - hull_kg;
    let others_moment = in_file * craft.mass_kg - hull_at * hull_kg;
    let hull_mass_kg = mass_kg - others_kg;
    if hull_mass_kg <= 0.0 {
        return Err(CalibrateError::HullWeighsNothing {
            total_kg: mass_kg,
            others_kg,
        });
    }
    let hull_centre = (centre * mass_kg - others_moment) / hull_mass_kg;
    let corrected = Craft {
        mass_kg,
        centre_of_gravity_m: centre,
        ..craft.clone()
    };
    let residuals = residuals(measured, &corrected, afloat.as_ref(), mass_kg)?;
    let mut result = CalibrateResult {
        name: boat.name.clone(),
        summary: String::new(),
        mass_kg,
        mass_from,
        mass_in_file_kg: craft.mass_kg,
        centre_of_gravity_m: coordinates(centre),
        centre_from: from,
        centre_in_file_m: coordinates(in_file),
        hull_mass_kg,
        hull_centre_m: coordinates(hull_centre),
        gm_transverse_m,
        residuals,
        notes: notes(boat, &hull_centre, from),
        cautions: boat
            .cautions
            .iter()
            .cloned()
            .chain(CAUTIONS.iter().map(|&text| text.to_owned()))
            .collect(),
        mesh_doubts: boat.doubts.clone(),
    };
    result.summary = summary(&result);
    Ok(result)
}

/// How far to both sides of the boat file's height the centre is sought, m.
const HEIGHT_SOUGHT_M: f64 = 0.3;
/// A push tells the height if 0.1 m of it changes how far the point sinks by
/// this much, m: less is lost in reading a tape.
const PUSH_TELLS_M: f64 = 1e-3;
/// Steps of the golden section: each leaves 0.618 of the range, 60 leave a
/// millionth of a millionth.
const SECTION_STEPS: usize = 60;

/// Height of the centre of gravity at which the pushes fit best (least squares
/// of how far each point sinks), by golden section: how far a point sinks off
/// the middle grows with that height. `None` where the pushes do not tell.
fn height_by_pushes(pushes: &[Push], z_m: f64, weighing: impl Fn(f64) -> Craft) -> Option<f64> {
    let sinks = |z: f64| -> Option<Vec<f64>> {
        let craft = weighing(z);
        let rest = settle(&craft).ok()?.rest;
        pushes
            .iter()
            .map(|push| {
                let pushed = craft.with_load(push.force_n / STANDARD_GRAVITY_M_S2, &push.at_m);
                let there = find_rest_from(&pushed, rest.plane(), Hold::Nothing).ok()?;
                Some(sunk_m(&rest, &there, &push.at_m))
            })
            .collect()
    };
    let (low, high) = (sinks(z_m - 0.05), sinks(z_m + 0.05));
    if let (Some(low), Some(high)) = (low, high)
        && low
            .iter()
            .zip(&high)
            .all(|(a, b)| (a - b).abs() < PUSH_TELLS_M)
    {
        return None;
    }
    let misfit = |z: f64| {
        sinks(z).map_or(f64::INFINITY, |sinks| {
            let off = sinks.iter().zip(pushes).map(|(s, push)| s - push.sinks_m);
            off.map(|off| off * off).sum()
        })
    };
    let golden = (5.0_f64.sqrt() - 1.0) / 2.0;
    let (mut low, mut high) = (z_m - HEIGHT_SOUGHT_M, z_m + HEIGHT_SOUGHT_M);
    let mut left = high - golden * (high - low);
    let mut right = low + golden * (high - low);
    let (mut at_left, mut at_right) = (misfit(left), misfit(right));
    for _ in 0..SECTION_STEPS {
        if at_left <= at_right {
            (high, right, at_right) = (right, left, at_left);
            left = high - golden * (high - low);
            at_left = misfit(left);
        } else {
            (low, left, at_left) = (left, right, at_right);
            right = low + golden * (high - low);
            at_right = misfit(right);
        }
    }
    misfit(left).is_finite().then(|| f64::midpoint(low, high))
}

/// What lies under the water plane of the float marks.
fn measured_afloat(
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
    let apart = fore.x_m - aft.x_m;
    if apart.abs() < 1e-6 {
        return Err(CalibrateError::ScalesTogether { x_m: fore.x_m });
    }
    let mass = aft.reads_kg + fore.reads_kg;
    let x = (aft.reads_kg * aft.x_m + fore.reads_kg * fore.x_m) / mass;
    let z = match &scales.tipped {
        None => None,
        Some(tipped) => {
            if !(tipped.angle_deg > 0.0 && tipped.angle_deg < 45.0) {
                return Err(CalibrateError::Tip {
                    angle_deg: tipped.angle_deg,
                });
            }
            let lost = fore.reads_kg - tipped.fore_reads_kg;
            let height = lost * apart / (mass * tipped.angle_deg.to_radians().tan());
            Some(scales.stands_at_z_m + height)
        }
    };
    Ok((x, z))
}

fn gm_of(measured: &Measured, mass_kg: f64) -> Result<f64, CalibrateError> {
    let moves: Vec<(f64, f64)> = measured
        .moves
        .iter()
        .map(|one| (one.mass_kg * one.moved_m, one.heel_deg.to_radians().tan()))
        .collect();
    metacentric_height_from_moves(&moves, mass_kg).ok_or(CalibrateError::MovesDoNotTell)
}

fn residuals(
    measured: &Measured,
    corrected: &Craft,
    afloat: Option<&Immersion>,
    mass_kg: f64,
) -> Result<Vec<ResidualLine>, CalibrateError> {
    let mut lines = Vec::new();
    let rest = match afloat {
        Some(at) => find_rest_from(corrected, &at.plane, Hold::Nothing)?,
        None => settle(corrected)?.rest,
    };
    let heights = |plane: &WaterPlane, point: &Vec3| plane.height_m(point);
    for mark in &measured.marks {
        lines.push(ResidualLine {
            what: format!("height over the water at {}", spot(&mark.at_m)),
            unit: "m",
            measured: mark.over_water_m,
            corrected_boat: heights(rest.plane(), &mark.at_m),
        });
    }
    if let (Some(_), Some(at)) = (&measured.two_scales, afloat) {
        lines.push(ResidualLine {
            what: "mass by the float marks, against the scales".into(),
            unit: "kg",
            measured: at.volume_m3 * corrected.density_kg_m3,
            corrected_boat: mass_kg,
        });
    }
    for one in &measured.moves {
        let mut moved = corrected.clone();
        moved.centre_of_gravity_m.y -= one.mass_kg * one.moved_m / mass_kg;
        let there = find_rest_from(&moved, rest.plane(), Hold::Nothing)?;
        lines.push(ResidualLine {
            what: format!(
                "heel after {:.1} kg moved {:.2} m to starboard",
                one.mass_kg, one.moved_m
            ),
            unit: "deg",
            measured: one.heel_deg,
            corrected_boat: there.plane().heel_deg() - rest.plane().heel_deg(),
        });
    }
    for push in &measured.pushes {
        let pushed = corrected.with_load(push.force_n / STANDARD_GRAVITY_M_S2, &push.at_m);
        let there = find_rest_from(&pushed, rest.plane(), Hold::Nothing)?;
        lines.push(ResidualLine {
            what: format!(
                "sinks at {} pushed with {:.0} N",
                spot(&push.at_m),
                push.force_n
            ),
            unit: "m",
            measured: push.sinks_m,
            corrected_boat: sunk_m(&rest, &there, &push.at_m),
        });
    }
    Ok(lines)
}

fn sunk_m(before: &Rest, after: &Rest, at: &Vec3) -> f64 {
    before.plane().height_m(at) - after.plane().height_m(at)
}

fn spot(at: &Vec3) -> String {
    format!("{:.2}, {:.2}, {:.2} m", at.x, at.y, at.z)
}

fn notes(boat: &Boat, hull_centre: &Vec3, from: [&str; 3]) -> Vec<String> {
    let mut notes = vec![
        "the difference is put on the hull; parts and items stay as the boat file has them, so measure with all of it aboard".to_owned(),
    ];
    let (low, high) = boat.hull_box_m;
    let outside =
        (0..3).any(|axis| hull_centre[axis] < low[axis] || hull_centre[axis] > high[axis]);
    if outside {
        notes.push(format!(
            "DOUBT: the hull's centre of gravity would lie outside the hull, at {}: a measurement or an item's place is wrong",
            spot(hull_centre)
        ));
    }
    for (axis, source) in ["x", "y", "z"].iter().zip(from) {
        if source == "boat file" {
            notes.push(format!(
                "nothing measured gives {axis} of the centre of gravity: it stays as in the boat file"
            ));
        }
    }
    notes
}

fn summary(result: &CalibrateResult) -> String {
    let moved =
        |axis: usize| 1e3 * (result.centre_of_gravity_m[axis] - result.centre_in_file_m[axis]);
    format!(
        "Measured it weighs {:.1} kg ({:+.1} kg against the boat file); its balance lies {:.0} mm {}, {:.0} mm to {} and {:.0} mm {} of there.",
        result.mass_kg,
        result.mass_kg - result.mass_in_file_kg,
        moved(0).abs(),
        if moved(0) < 0.0 { "aft" } else { "forward" },
        moved(1).abs(),
        if moved(1) < 0.0 { "starboard" } else { "port" },
        moved(2).abs(),
        if moved(2) < 0.0 { "below" } else { "above" },
    )
}
