//! Righting arms over heel and over pitch, and every attitude of rest.
use schemars::JsonSchema;
use serde::Serialize;

use super::shared::answer::Answer;
use super::shared::attitude::Lies;
use super::shared::cautions::{Doing, with_usual};
use crate::equilibrium::{
    Afloat, EquilibriumError, Lean, Rest, RestingAttitude, Settled, Sills, SphereMap,
};
use crate::immersion::WaterPlane;
use crate::numerics::STANDARD_GRAVITY_M_S2;

mod arms;
mod walk;

pub use arms::{ArmCurve, ArmPoint, ArmSide, FloodPoint, TurnsOver, Vanishing};
use walk::{Over, Turned, arm_curve};

/// Heel between two points of the curve, deg, and as far as it goes.
const HEEL_STEP_DEG: f64 = 2.0;
const HEEL_TO_DEG: f64 = 180.0;
/// The same for pitch: past this the ends of the craft change places.
const PITCH_STEP_DEG: f64 = 2.0;
const PITCH_TO_DEG: f64 = 88.0;

/// Result of [`righting`].
#[derive(Debug, Clone, JsonSchema, Serialize)]
#[non_exhaustive]
pub struct RightingResult {
    /// Mass of everything aboard, kg.
    pub mass_kg: f64,
    /// Which side of it is uppermost at rest.
    pub lies: Lies,
    /// Heel at rest, deg.
    #[serde(skip)]
    pub heel_deg: f64,
    /// Righting arm over heel (starboard down positive), pitch free.
    pub heel: ArmCurve,
    /// Righting arm over pitch (bow up positive), heel free.
    pub pitch: ArmCurve,
    /// Every attitude in which the craft comes to rest, lowest energy first,
    /// its openings taken as sealed.
    pub resting_attitudes: Vec<AttitudeLine>,
    /// The lowest ways over from one of them to another.
    pub barriers: Vec<BarrierLine>,
}

/// One attitude of rest.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct AttitudeLine {
    /// Heel, deg.
    pub heel_deg: f64,
    /// Pitch, deg.
    pub pitch_deg: f64,
    /// In words.
    pub words: String,
    /// Whether it lolls: with the keel down, and another rest as well heeled the other way.
    #[serde(skip)]
    pub lolls: bool,
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
    /// Height of the lowest open sill above the water there, m.
    pub sill_m: Option<f64>,
}

/// The lowest way over between two rests.
#[derive(Debug, Clone, JsonSchema, Serialize)]
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
/// ```
/// # fn main() -> Result<(), Box<dyn std::error::Error>> {
/// use awash::{Boat, study::righting};
///
/// let boat = Boat::load("meshes/dipper/after.toml".as_ref())?;
/// for attitude in righting(&boat)?.result.resting_attitudes {
///     println!("heel {:.1}°: {:.0} J", attitude.heel_deg, attitude.energy_j);
/// }
/// # Ok(())
/// # }
/// ```
///
/// # Errors
/// As [`Afloat::map`]; a craft that sinks is an error here.
pub fn righting<'b>(
    boat: impl Into<Afloat<'b>>,
) -> Result<Answer<RightingResult>, EquilibriumError> {
    let afloat = boat.into();
    let (boat, craft, sills) = (afloat.boat(), afloat.craft(), afloat.sills());
    let Settled { rest, upright, .. } = afloat.settled()?;
    let joules = craft.density_kg_m3 * STANDARD_GRAVITY_M_S2;
    let lies = Lies::at(&rest.plane().up);
    let from = Turned {
        boat,
        craft,
        sills,
        rest,
        upright,
    };
    let over_heel = Over {
        lean: Lean::heel(),
        step_deg: HEEL_STEP_DEG,
        to_deg: HEEL_TO_DEG,
        sides: ["starboard", "port"],
        heel_is_free: false,
    };
    let over_pitch = Over {
        lean: Lean::pitch(),
        step_deg: PITCH_STEP_DEG,
        to_deg: PITCH_TO_DEG,
        sides: ["bow up", "bow down"],
        heel_is_free: true,
    };
    let (heel, pitch) = rayon::join(
        || arm_curve(from, &over_heel),
        || arm_curve(from, &over_pitch),
    );
    let map = afloat.map()?;
    let resting_attitudes = attitude_lines(map, rest, sills, joules);
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
    let result = RightingResult {
        mass_kg: craft.total_mass_kg(),
        lies,
        heel_deg: rest.plane().heel_deg(),
        heel: heel?,
        pitch: pitch?,
        resting_attitudes,
        barriers,
    };
    let answer = Answer::of(boat, result, with_usual(Vec::new(), boat, Doing::Floating));
    Ok(answer.lying(boat, rest.plane()))
}

/// Every attitude of a map; `rest` is where the craft lies by itself.
fn attitude_lines(map: &SphereMap, rest: &Rest, sills: &Sills, joules: f64) -> Vec<AttitudeLine> {
    let home = map.number_of(rest);
    let energies = map.attitudes.iter().map(|a| a.rest.energy_m4);
    let lowest = energies.fold(f64::INFINITY, f64::min);
    let line = |(number, attitude): (usize, &RestingAttitude)| {
        let plane = attitude.rest.plane();
        let loll = lolls_to(plane, &map.attitudes);
        AttitudeLine {
            heel_deg: plane.heel_deg(),
            pitch_deg: plane.pitch_deg(),
            words: loll.map_or_else(
                || Lies::at(&plane.up).words().to_owned(),
                |side| format!("lolling to {side}"),
            ),
            lolls: loll.is_some(),
            energy_j: (attitude.rest.energy_m4 - lowest) * joules,
            neutral: attitude.neutral,
            heel_range_deg: attitude.neutral.then_some(attitude.heel_range_deg),
            from_upright: number == home,
            sill_m: sills.lowest(plane).map(|sill| sill.height_m),
        }
    };
    map.attitudes.iter().enumerate().map(line).collect()
}

/// Two rests with the keel down on either side of this heel, deg, are lolls.
const LOLLS_FROM_DEG: f64 = 0.05;

/// To which side a rest lolls: of two with the keel down, one heeled each way.
fn lolls_to(plane: &WaterPlane, all: &[RestingAttitude]) -> Option<&'static str> {
    let heels_to = |plane: &WaterPlane, sign: f64| {
        Lies::at(&plane.up) == Lies::Upright && sign * plane.heel_deg() > LOLLS_FROM_DEG
    };
    for (side, sign) in [("starboard", 1.0), ("port", -1.0)] {
        let other = |one: &RestingAttitude| heels_to(one.rest.plane(), -sign);
        if heels_to(plane, sign) && all.iter().any(other) {
            return Some(side);
        }
    }
    None
}
