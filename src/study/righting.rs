//! Righting arms over heel and over pitch, and every attitude of rest.
use serde::Serialize;

use super::attitude::Lies;
use super::cautions::CAUTIONS;
use super::fills::told_first;
use crate::equilibrium::{Afloat, EquilibriumError, Lean, RestingAttitude, Settled};
use crate::immersion::WaterPlane;
use crate::mesh::Doubt;
use crate::numerics::STANDARD_GRAVITY_M_S2;
use crate::quantity::{Dimension, UnitSystem, show};

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
#[derive(Debug, Clone, Serialize)]
#[non_exhaustive]
pub struct RightingResult {
    /// The boat's name.
    pub name: String,
    /// Mass of everything aboard, kg.
    pub mass_kg: f64,
    /// Which side of it is uppermost at rest.
    pub lies: Lies,
    /// Both sides in short, first the one that takes less work to go over or to
    /// flood; a capsize before them.
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

/// One attitude of rest.
#[derive(Debug, Clone, Serialize)]
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
/// ```
/// # fn main() -> Result<(), Box<dyn std::error::Error>> {
/// use awash::{Boat, study::righting};
///
/// let boat = Boat::load("meshes/dipper/after.toml".as_ref())?;
/// for attitude in righting(&boat)?.resting_attitudes {
///     println!("{}: heel {:.1}°, {:.0} J", attitude.words, attitude.heel_deg, attitude.energy_j);
/// }
/// # Ok(())
/// # }
/// ```
///
/// # Errors
/// As [`Afloat::map`]; a craft that sinks is an error here.
pub fn righting<'b>(boat: impl Into<Afloat<'b>>) -> Result<RightingResult, EquilibriumError> {
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
        lies,
        summary: String::new(),
        heel: heel?,
        pitch: pitch?,
        resting_attitudes,
        barriers,
        cautions: boat
            .cautions
            .iter()
            .cloned()
            .chain(CAUTIONS.iter().map(|&text| text.to_owned()))
            .collect(),
        mesh_doubts: boat.doubts.clone(),
    };
    let told = summary(&result, rest.plane().heel_deg());
    result.summary = told_first(boat, rest.plane(), told);
    Ok(result)
}

/// Heel at rest worth a word, deg.
const HEELS_FROM_DEG: f64 = 1.0;
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

fn summary(result: &RightingResult, heel_deg: f64) -> String {
    let [first, second] = &result.heel.sides;
    let never = |side: &ArmSide| side.vanishing == Vanishing::NeverPositive;
    if let Some(capsizes) = result.lies.capsize() {
        let held = if result.heel.turns_back_to_nought {
            ""
        } else {
            " Held upright, no arm turns it back to either side."
        };
        return format!(
            "{capsizes}{held} From there, to {}: {}; to {}: {}.",
            first.side,
            way_out(first),
            second.side,
            way_out(second)
        );
    }
    if never(first) && never(second) {
        return "No arm turns it back at any heel: it stays at whatever heel it is put, or goes on over.".to_owned();
    }
    let rests_upright = result
        .resting_attitudes
        .iter()
        .all(|rest| rest.words == Lies::Upright.words());
    if let Some(lolls) = lolls_in_words(result) {
        return lolls;
    }
    let from_any_heel = rests_upright
        && [first, second]
            .iter()
            .all(|side| side.vanishing == Vanishing::NeverVanishes);
    let heels = match heel_deg {
        h if h.abs() < HEELS_FROM_DEG => String::new(),
        h if h > 0.0 => format!("At rest it heels {h:.1}° to starboard. "),
        h => format!("At rest it heels {:.1}° to port. ", -h),
    };
    if from_any_heel && first.first_sill.is_none() && second.first_sill.is_none() {
        return format!("{heels}It comes back from any heel, to either side.");
    }
    let sealed = if from_any_heel {
        " Sealed, it would come back from any heel."
    } else {
        ""
    };
    format!(
        "{heels}To {}: {}. To {}: {}.{sealed}",
        first.side,
        side_in_words(first, heel_deg, from_any_heel),
        second.side,
        side_in_words(second, heel_deg, from_any_heel)
    )
}

/// An angle of heel with its side.
fn heels(heel_deg: f64) -> String {
    let side = if heel_deg > 0.0 { "starboard" } else { "port" };
    match format!("{:.1}", heel_deg.abs()).as_str() {
        "0.0" => "0.0° of heel".to_owned(),
        angle => format!("{angle}° of heel to {side}"),
    }
}

/// The way over from where a capsized craft lies.
fn way_out(side: &ArmSide) -> String {
    match side.turns_over {
        Some(over) => format!(
            "it turns over past {}, for {} of work",
            heels(over.angle_deg),
            show(over.work_j, Dimension::Energy, UnitSystem::Metric)
        ),
        None if side.vanishing == Vanishing::NeverPositive => "nothing holds it there".to_owned(),
        None => "no heel brings it out of that".to_owned(),
    }
}

/// A craft that lolls: both rests, what takes it from one to the other, and the way over
/// on both sides. `None` for any other.
fn lolls_in_words(result: &RightingResult) -> Option<String> {
    let lolls = |line: &&AttitudeLine| line.lolls;
    let mut all = result.resting_attitudes.iter().filter(lolls);
    let home = all.clone().find(|line| line.from_upright)?;
    let other = all.find(|line| line.heel_deg * home.heel_deg < 0.0)?;
    let work = |joules: f64| show(joules, Dimension::Energy, UnitSystem::Metric);
    let mut said = format!(
        "It lolls: it lies at {} or {}",
        heels(home.heel_deg),
        heels(other.heel_deg)
    );
    let towards = if home.heel_deg > 0.0 {
        "port"
    } else {
        "starboard"
    };
    for side in &result.heel.sides {
        if let Vanishing::At { work_j, .. } = side.vanishing
            && side.side == towards
        {
            said += &format!("; {} of work takes it from one to the other", work(work_j));
        }
    }
    said.push('.');
    for side in &result.heel.sides {
        let out = |angle_deg: f64| {
            let turn = angle_deg - home.heel_deg;
            if side.side == "port" { -turn } else { turn }.rem_euclid(360.0)
        };
        let over = side.turns_over;
        let sill = side.first_sill.as_ref();
        let sill = sill.filter(|sill| over.is_none_or(|o| out(sill.angle_deg) < out(o.angle_deg)));
        let floods = sill.map(|sill| {
            format!(
                "{} goes under at {}, for {} of work",
                sill.opening,
                heels(sill.angle_deg),
                work(sill.work_j)
            )
        });
        let turns = over.map(|over| {
            format!(
                "{}it turns over past {}, for {} of work",
                if floods.is_some() {
                    "with that sealed, "
                } else {
                    ""
                },
                heels(over.angle_deg),
                work(over.work_j)
            )
        });
        let ways: Vec<String> = floods.into_iter().chain(turns).collect();
        let ways = if ways.is_empty() {
            "it comes back from any heel that way".to_owned()
        } else {
            ways.join("; ")
        };
        said += &format!(" To {}: {ways}.", side.side);
    }
    Some(said)
}

/// One side in words, of a craft that rests at a heel.
fn side_in_words(side: &ArmSide, rest_deg: f64, from_any_heel: bool) -> String {
    let heel = |angle_deg| heel_in_words(angle_deg, rest_deg, &side.side);
    let work = |joules: f64| show(joules, Dimension::Energy, UnitSystem::Metric);
    let sill = side
        .first_sill
        .as_ref()
        .filter(|sill| !sill.turns_over_first);
    let floods = sill.map(|sill| {
        format!(
            "{} goes under at {}, for {} of work",
            sill.opening,
            heel(sill.angle_deg),
            work(sill.work_j)
        )
    });
    match (floods, side.vanishing) {
        (Some(floods), Vanishing::At { angle_deg, work_j }) => format!(
            "{floods}; sealed, it would turn over past {} ({})",
            heel(angle_deg),
            work(work_j)
        ),
        (Some(floods), Vanishing::NeverVanishes) if !from_any_heel => {
            format!("{floods}; sealed, it would come back from any heel that way")
        }
        (Some(floods), _) => floods,
        (None, Vanishing::At { angle_deg, work_j }) => format!(
            "it turns over past {}, {} of work{}",
            heel(angle_deg),
            work(work_j),
            if side.first_sill.is_some() {
                ", every sill dry until then"
            } else {
                ""
            }
        ),
        (None, Vanishing::NeverVanishes) => "it comes back from any heel that way".to_owned(),
        (None, Vanishing::NeverPositive) => "no arm turns it back".to_owned(),
    }
}

/// A heel that is reached on the way to a side, which may still be on the other, or on
/// it again past bottom up.
fn heel_in_words(angle_deg: f64, rest_deg: f64, side: &str) -> String {
    let heels_to = if angle_deg < 0.0 { "port" } else { "starboard" };
    let angle = angle_deg.abs();
    if heels_to == side || angle < 0.05 {
        return format!("{angle:.1}° of heel");
    }
    let goes_down = if side == "port" { -1.0 } else { 1.0 };
    if goes_down * (angle_deg - rest_deg) < 0.0 {
        format!("bottom up, at {angle:.1}° of heel to {heels_to}")
    } else {
        format!("{angle:.1}° of heel still to {heels_to}")
    }
}
