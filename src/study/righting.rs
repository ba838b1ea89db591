//! Righting arms over heel and over pitch, and every attitude of rest.
use rayon::prelude::*;
use serde::Serialize;

use super::cautions::CAUTIONS;
use super::hydrostatics::coordinates;
use crate::boat::Boat;
use crate::equilibrium::{Afloat, Craft, EquilibriumError, Lean, Leaned, Rest, Sills, lean_to};
use crate::mesh::Doubt;
use crate::numerics::{STANDARD_GRAVITY_M_S2, Vec3};

/// Heel between two points of the curve, deg, and as far as it goes.
const HEEL_STEP_DEG: f64 = 2.0;
const HEEL_TO_DEG: f64 = 180.0;
/// The same for pitch: past this the ends of the craft change places.
const PITCH_STEP_DEG: f64 = 2.0;
const PITCH_TO_DEG: f64 = 88.0;

/// A tilt across that changes by more than this from one point to the next has
/// jumped, deg.
const JUMP_DEG: f64 = 15.0;

/// Result of [`righting`].
#[derive(Debug, Clone, Serialize)]
pub struct RightingResult {
    /// The boat's name.
    pub name: String,
    /// Mass of everything aboard, kg.
    pub mass_kg: f64,
    /// The essence in one sentence.
    pub summary: String,
    /// Righting arm over heel (starboard down positive), pitch free.
    pub heel: ArmCurve,
    /// Righting arm over pitch (bow up positive), heel free.
    pub pitch: ArmCurve,
    /// Every attitude in which the craft comes to rest, lowest energy first,
    /// its openings taken as sealed.
    pub resting_attitudes: Vec<AttitudeLine>,
    /// The lowest ways over from one of them to another.
    pub barriers: Vec<BarrierLine>,
    /// What no number here covers.
    pub cautions: Vec<String>,
    /// Everything about the meshes that may make these numbers wrong.
    pub mesh_doubts: Vec<Doubt>,
}

/// Righting arms over one angle.
#[derive(Debug, Clone, Serialize)]
pub struct ArmCurve {
    /// The points, from the most negative angle to the most positive.
    pub points: Vec<ArmPoint>,
    /// Largest arm that turns the craft back on the positive side, m.
    pub largest_arm_m: f64,
    /// Where that is, deg.
    pub largest_arm_at_deg: f64,
    /// Where the arm next falls to nought on the positive side, deg; `None`
    /// where it does not.
    pub vanishing_deg: Option<f64>,
    /// The smallest angle to either side at which the tilt across jumps: the
    /// craft rolls over the other way, deg.
    pub rolls_over_deg: Option<f64>,
    /// Work from rest to there, or to the curve's end, J.
    pub work_to_vanishing_j: f64,
    /// The first angle on each side at which an opening is awash, in the order
    /// positive, negative. Past it the curve holds only for sealed openings.
    pub floods: Vec<FloodPoint>,
}

/// One point of a curve.
#[derive(Debug, Clone, Serialize)]
pub struct ArmPoint {
    /// Heel or pitch, deg.
    pub angle_deg: f64,
    /// Righting arm, m: positive turns the craft back towards nought from the
    /// positive side.
    pub arm_m: f64,
    /// The pitch or heel that the craft took, deg.
    pub across_deg: f64,
    /// Height of the lowest open sill over the water, m.
    pub sill_m: Option<f64>,
    /// Whether every open sill is over the water: else the point holds only for
    /// sealed openings.
    pub dry: bool,
}

/// Where an opening is first awash.
#[derive(Debug, Clone, Serialize)]
pub struct FloodPoint {
    /// The opening.
    pub opening: String,
    /// The angle, deg.
    pub angle_deg: f64,
}

/// One attitude of rest.
#[derive(Debug, Clone, Serialize)]
pub struct AttitudeLine {
    /// Heel, deg.
    pub heel_deg: f64,
    /// Pitch, deg.
    pub pitch_deg: f64,
    /// In words.
    pub words: String,
    /// Energy over the lowest, J.
    pub energy_j: f64,
    /// Whether the craft stays as well in attitudes beside it.
    pub neutral: bool,
    /// From which heel to which it stays so, deg: from the first value up to the second,
    /// which is over 180 where the range holds upside down; −180 to 180 all round. `None`
    /// where it is not neutral.
    pub heel_range_deg: Option<[f64; 2]>,
    /// Whether that is where the craft ends when set upright on the water.
    pub from_upright: bool,
    /// Height of the lowest open sill over the water there, m.
    pub sill_m: Option<f64>,
}

/// The lowest way over between two rests.
#[derive(Debug, Clone, Serialize)]
pub struct BarrierLine {
    /// Numbers of the two in the list, from 1.
    pub between: [usize; 2],
    /// Work to get over from each, J.
    pub work_j: [f64; 2],
    /// Heel and pitch at the top, deg.
    pub heel_deg: f64,
    /// Pitch at the top, deg.
    pub pitch_deg: f64,
    /// Whether the top was found exactly; else it is as the grid of about 12° saw it.
    pub exact: bool,
}

/// Righting arms to both sides and both ends, and all rests.
///
/// # Errors
/// As [`settle`].
pub fn righting(boat: &Boat) -> Result<RightingResult, EquilibriumError> {
    righting_afloat(boat, &Afloat::of(boat)?)
}

/// As [`righting`], of a boat already found afloat.
pub(super) fn righting_afloat(
    boat: &Boat,
    afloat: &Afloat,
) -> Result<RightingResult, EquilibriumError> {
    let (craft, rest, sills) = (&afloat.craft, &afloat.rest, &afloat.sills);
    let joules = craft.density_kg_m3 * STANDARD_GRAVITY_M_S2;
    let curve = |lean: Lean, step_deg: f64, to_deg: f64| {
        arm_curve(boat, craft, sills, rest, &lean, [step_deg, to_deg])
    };
    let (heel, pitch) = rayon::join(
        || curve(Lean::heel(), HEEL_STEP_DEG, HEEL_TO_DEG),
        || curve(Lean::pitch(), PITCH_STEP_DEG, PITCH_TO_DEG),
    );
    let map = afloat.map()?;
    let home = map.number_of(rest);
    let lowest = map
        .attitudes
        .iter()
        .map(|a| a.rest.energy_m4)
        .fold(f64::INFINITY, f64::min);
    let resting_attitudes = map
        .attitudes
        .iter()
        .enumerate()
        .map(|(number, attitude)| {
            let plane = attitude.rest.plane();
            AttitudeLine {
                heel_deg: plane.heel_deg(),
                pitch_deg: plane.pitch_deg(),
                words: attitude_in_words(plane.heel_deg(), plane.pitch_deg()).into(),
                energy_j: (attitude.rest.energy_m4 - lowest) * joules,
                neutral: attitude.neutral,
                heel_range_deg: attitude.neutral.then_some(attitude.heel_range_deg),
                from_upright: number == home,
                sill_m: sills.lowest(plane).map(|sill| sill.height_m),
            }
        })
        .collect();
    let barriers = map
        .passes
        .iter()
        .map(|pass| BarrierLine {
            between: pass.between.map(|rest| rest + 1),
            work_j: pass
                .between
                .map(|from| (pass.energy_m4 - map.attitudes[from].rest.energy_m4) * joules),
            heel_deg: pass.plane.heel_deg(),
            pitch_deg: pass.plane.pitch_deg(),
            exact: pass.exact,
        })
        .collect();
    let mut result = RightingResult {
        name: boat.name.clone(),
        mass_kg: craft.total_mass_kg(),
        summary: String::new(),
        heel: heel?,
        pitch: pitch?,
        resting_attitudes,
        barriers,
        cautions: CAUTIONS.iter().map(|&text| text.to_owned()).collect(),
        mesh_doubts: boat.doubts.clone(),
    };
    result.summary = summary(&result);
    Ok(result)
}

/// One curve, walked outward from the rest to both sides at once.
fn arm_curve(
    boat: &Boat,
    craft: &Craft,
    sills: &Sills,
    rest: &Rest,
    lean: &Lean,
    [step_deg, to_deg]: [f64; 2],
) -> Result<ArmCurve, EquilibriumError> {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a whole number of steps, below a thousand"
    )]
    let steps = (to_deg / step_deg).round() as u32;
    let walk = |sign: f64| {
        let mut near = rest.clone();
        (0..=steps)
            .map(|step| {
                let angle_rad = (sign * f64::from(step) * step_deg).to_radians();
                let leaned = lean_to(craft, lean, angle_rad, &near)?;
                near = leaned.rest.clone();
                Ok(leaned)
            })
            .collect::<Result<Vec<Leaned>, EquilibriumError>>()
    };
    let (positive, negative) = rayon::join(|| walk(1.0), || walk(-1.0));
    let (positive, negative) = (positive?, negative?);
    let joules = craft.density_kg_m3 * STANDARD_GRAVITY_M_S2;
    let floods = [&positive, &negative]
        .into_par_iter()
        .filter_map(|side| first_flooded(boat, sills, side))
        .collect();
    let point = |leaned: &Leaned| {
        let sill = sills.lowest(leaned.rest.plane()).map(|sill| sill.height_m);
        ArmPoint {
            angle_deg: leaned.lean_rad.to_degrees(),
            arm_m: leaned.arm_m,
            across_deg: leaned.across_rad.to_degrees(),
            sill_m: sill,
            dry: sill.is_none_or(|height| height > 0.0),
        }
    };
    let largest = positive
        .iter()
        .max_by(|a, b| a.arm_m.total_cmp(&b.arm_m))
        .unwrap_or(&positive[0]);
    let falls = positive
        .windows(2)
        .find(|pair| pair[0].lean_rad > 0.0 && pair[0].arm_m > 0.0 && pair[1].arm_m <= 0.0);
    let vanishing_deg = falls.map(|pair| crossing_deg(&pair[0], &pair[1], |at| at.arm_m));
    let rolls_over_deg = [&positive, &negative]
        .into_iter()
        .filter_map(|side| {
            let jump = |pair: &&[Leaned]| {
                (pair[1].across_rad - pair[0].across_rad).abs() > JUMP_DEG.to_radians()
            };
            let pair = side.windows(2).find(jump)?;
            Some(pair[1].lean_rad.to_degrees())
        })
        .min_by(|a, b| a.abs().total_cmp(&b.abs()));
    let top = falls.map_or(&positive[positive.len() - 1], |pair| &pair[0]);
    Ok(ArmCurve {
        largest_arm_m: largest.arm_m,
        largest_arm_at_deg: largest.lean_rad.to_degrees(),
        vanishing_deg,
        rolls_over_deg,
        // From the last point to the crossing the arm falls to nought.
        work_to_vanishing_j: (top.rest.energy_m4 - rest.energy_m4) * joules
            + vanishing_deg.map_or(0.0, |angle| {
                let left_rad = angle.to_radians() - top.lean_rad;
                0.5 * top.arm_m * left_rad * craft.total_mass_kg() * STANDARD_GRAVITY_M_S2
            }),
        floods,
        points: negative
            .iter()
            .skip(1)
            .rev()
            .chain(&positive)
            .map(point)
            .collect(),
    })
}

/// Where a quantity passes nought between two points, by a straight line, deg.
fn crossing_deg(before: &Leaned, after: &Leaned, of: impl Fn(&Leaned) -> f64) -> f64 {
    let (a, b) = (of(before), of(after));
    let share = a / (a - b);
    (before.lean_rad + share * (after.lean_rad - before.lean_rad)).to_degrees()
}

fn first_flooded(boat: &Boat, sills: &Sills, side: &[Leaned]) -> Option<FloodPoint> {
    let height = |at: &Leaned| sills.height_m(at.rest.plane());
    let pair = side
        .windows(2)
        .find(|pair| height(&pair[0]) > 0.0 && height(&pair[1]) <= 0.0)?;
    let sill = sills.lowest(pair[1].rest.plane())?;
    Some(FloodPoint {
        opening: boat.openings[sill.opening].name.clone(),
        angle_deg: crossing_deg(&pair[0], &pair[1], height),
    })
}

fn summary(result: &RightingResult) -> String {
    let heel = &result.heel;
    let flood = heel
        .floods
        .iter()
        .min_by(|a, b| a.angle_deg.abs().total_cmp(&b.angle_deg.abs()));
    let arm = format!(
        "The arm that turns it back is largest at {:.0}° of heel to starboard, {:.0} mm",
        heel.largest_arm_at_deg,
        heel.largest_arm_m * 1e3
    );
    let vanish = match heel.vanishing_deg {
        Some(angle) => format!("; sealed, it would turn over past {angle:.0}°"),
        None => "; sealed, it would come back from any heel to starboard".into(),
    };
    let opening = flood.map_or_else(String::new, |flood| {
        format!(
            ". But {} goes under at {:.1}° to {}: past that it fills",
            flood.opening,
            flood.angle_deg.abs(),
            if flood.angle_deg > 0.0 {
                "starboard"
            } else {
                "port"
            }
        )
    });
    format!("{arm}{vanish}{opening}.")
}

/// An attitude in words.
fn attitude_in_words(heel_deg: f64, pitch_deg: f64) -> &'static str {
    let up = Vec3::new(
        pitch_deg.to_radians().sin(),
        pitch_deg.to_radians().cos() * heel_deg.to_radians().sin(),
        pitch_deg.to_radians().cos() * heel_deg.to_radians().cos(),
    );
    let [x, y, z] = coordinates(up);
    let most = x.abs().max(y.abs()).max(z.abs());
    match () {
        () if z == most => "upright",
        () if z == -most => "upside down",
        () if y == most => "on its starboard side",
        () if y == -most => "on its port side",
        () if x == most => "bow up",
        () => "bow down",
    }
}
