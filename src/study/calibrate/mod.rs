//! The boat's mass and centre of gravity as measurements say.
use schemars::JsonSchema;
use serde::{Serialize, Serializer};

use super::shared::answer::{Answer, AsItLies};
use super::shared::cautions::{Doing, with_usual};
use super::shared::hydrostatics::coordinates;
use crate::boat::file::Point;
use crate::boat::{AboardThen, Boat, BoatFileError, MassEntry, MassKind, MeasuredWhole};
use crate::equilibrium::{Afloat, Craft, EquilibriumError};
use crate::numerics::Vec3;
use crate::quantity::{Dimension, Quantity, SPREAD_IN_DEVIATIONS};

mod doubts;
mod fit;
mod fitted;
mod marks;
mod measured;
mod model;
mod read;

use fitted::{Fitted, IN_FILE, measured_afloat};
pub use measured::{
    ANGLE_DEG, FloatMark, InclineMove, Measured, Push, SCALE_KG, Scale, TAPE_M, Tipped, TwoScales,
};
use model::Reading;
pub use read::MarkPlaces;

/// Why the measurements give no mass and centre.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum CalibrateError {
    /// The measurements could not be read.
    #[error(transparent)]
    Measured(#[from] BoatFileError),
    /// The boat as the file has it sinks or finds no rest.
    #[error(transparent)]
    Equilibrium(#[from] EquilibriumError),
    /// Neither of the two measurements that give a mass.
    #[error(
        "nothing gives the mass: measure the height above the water of three points or more ([[float_mark]]), or weigh on two scales ([two_scales])"
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
        "with these float marks the boat would displace only {volume_l:.1} L: check signs (above the water positive) and units"
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
    /// The readings leave something open.
    #[error(
        "the measurements do not tell mass and centre apart: add a float mark far from the others, or a weighing on two scales"
    )]
    Undetermined,
    /// No mass and centre agree with the readings.
    #[error(
        "no mass and centre of gravity fit these measurements: check signs and units, and that all was measured with the same things aboard"
    )]
    NoFit,
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
#[derive(Debug, Clone, JsonSchema, Serialize)]
#[non_exhaustive]
pub struct CalibrateResult {
    /// Mass of everything aboard as measured, kg, and what says so.
    pub mass_kg: f64,
    /// ± of that mass, kg: two standard deviations, from the ± of the readings.
    pub mass_spread_kg: f64,
    /// What gave the mass.
    pub mass_from: String,
    /// The same as the boat file has it, kg.
    pub mass_in_file_kg: f64,
    /// Centre of gravity as measured, m.
    pub centre_of_gravity_m: [f64; 3],
    /// ± of each of its coordinates, m.
    pub centre_spread_m: [f64; 3],
    /// How much mass, x, y and z go together in what they are off, −1 to 1.
    pub correlation: [[f64; 4]; 4],
    /// How many times the ± were widened, since the readings do not agree with each other
    /// within theirs; 1 where they do.
    pub widened: f64,
    /// The readings that agree least with the others, where the ± were widened.
    #[serde(skip)]
    pub misfits: Vec<Measurement>,
    /// Whether each coordinate was measured; one that was not is as the boat file has it,
    /// with the file's ± or, without one, ours of 0.1 m.
    pub centre_measured: [bool; 3],
    /// What gave each of its coordinates.
    pub centre_from: [String; 3],
    /// The same as the boat file has it, m.
    pub centre_in_file_m: [f64; 3],
    /// The hull's mass that makes up the whole, kg.
    pub hull_mass_kg: f64,
    /// ± of that, parts and items off by theirs, kg.
    pub hull_mass_spread_kg: f64,
    /// Its centre likewise, m.
    pub hull_centre_m: [f64; 3],
    /// ± of its coordinates, m.
    pub hull_centre_spread_m: [f64; 3],
    /// Metacentric height across at rest, where moves were made, m.
    pub gm_transverse_m: Option<f64>,
    /// What a boat file keeps of it all.
    #[serde(skip)]
    pub whole: MeasuredWhole,
    /// How well each measurement fits the corrected boat.
    pub residuals: Vec<ResidualLine>,
    /// What to doubt about it.
    #[serde(skip)]
    pub notes: Vec<CalibrateNote>,
}

/// What was measured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Measurement {
    /// Height above the water of a place, m.
    HeightAt([f64; 3]),
    /// What the after scale reads.
    AfterScale,
    /// What the fore scale reads.
    ForeScale,
    /// The same with the fore end raised by an angle, deg.
    ForeScaleTipped(f64),
    /// Heel after a mass was moved.
    HeelAfter {
        /// kg.
        mass_kg: f64,
        /// How far, m.
        to_starboard_m: f64,
    },
    /// How far a place sinks that is pushed.
    SinksAt {
        /// m.
        at_m: [f64; 3],
        /// N.
        force_n: f64,
    },
}

/// What to know or to doubt about it.
#[derive(Debug, Clone, PartialEq)]
pub enum CalibrateNote {
    /// The hull makes up the difference.
    DifferenceOnTheHull,
    /// The hull's centre would lie outside the hull, here, m.
    HullCentreOutside([f64; 3]),
    /// Nothing gives one coordinate of the centre well enough.
    NotMeasured(&'static str),
    /// Float marks lie close together.
    MarksClose {
        /// What that costs.
        cost: Cost,
        /// Where one more would help, m.
        one_more_at_m: [f64; 3],
    },
    /// The boat was tipped too little.
    TippedTooLittle {
        /// By how much, deg.
        by_deg: f64,
        /// What would tell it well, deg.
        well_deg: f64,
        /// What that costs.
        cost: Cost,
    },
    /// Moves heel it too little.
    HeeledTooLittle {
        /// By how much, deg.
        by_deg: f64,
        /// What would tell it well, deg.
        well_deg: f64,
        /// What that costs.
        cost: Cost,
    },
    /// The weights moved have no ±.
    MovesTakenAsExact {
        /// How far z of the centre is off for each percent, m.
        z_for_a_percent_m: f64,
    },
    /// The scan's error is not in the mass by float marks.
    ScanErrorLeftOut {
        /// That error, m.
        error_m: f64,
    },
    /// No reading to spare.
    NoReadingToSpare,
    /// A reading is off by many times its ±.
    Misread {
        /// Which.
        what: Measurement,
        /// How many times.
        times: f64,
    },
}

/// A ± that a better reading would narrow: of the mass (0), kg, or of x, y, z (1 to 3), m.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cost {
    /// Of which.
    pub parameter: usize,
    /// Now.
    pub now: f64,
    /// Then.
    pub then: f64,
}

/// One measurement against the corrected boat.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct ResidualLine {
    /// What was measured.
    #[serde(skip)]
    pub what: Measurement,
    /// Of the numbers, in base units.
    #[serde(rename = "unit", serialize_with = "unit")]
    #[schemars(with = "String")]
    pub dimension: Dimension,
    /// As measured.
    pub measured: f64,
    /// Its ±.
    pub spread: f64,
    /// As the boat with the corrected mass and centre gives it.
    pub corrected_boat: f64,
}

/// The unit of a reading, as keys name it.
fn unit<S: Serializer>(dimension: &Dimension, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.serialize_str(match dimension {
        Dimension::Angle => "deg",
        other => other.symbol(),
    })
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
/// All readings are fitted together by least squares, each weighed by its ±: float
/// marks give the water plane, so the displaced volume and the line through its centre
/// on which the weight must lie; two scales mass and x, tipped also z; inclining moves
/// z, by the whole balance at the heel they make; pushes z where they tell it. What
/// nothing gives stays as in the file, with the file's ±. The ± of what comes out is
/// two standard deviations, to the first order.
///
/// ```
/// # fn main() -> Result<(), Box<dyn std::error::Error>> {
/// use awash::numerics::Vec3;
/// use awash::{Boat, study::{FloatMark, Measured, calibrate}};
///
/// let boat = Boat::load("meshes/dipper/after.toml".as_ref())?;
/// let marks = [
///     ([-0.09, 0.4, 0.47], 0.288),
///     ([-0.09, -0.4, 0.47], 0.316),
///     ([3.6, 0.0, 0.60], 0.402),
/// ];
/// let marks = marks.map(|(at_m, over_m)| FloatMark::new(Vec3::from(at_m), over_m));
/// let measured = Measured { marks: marks.to_vec(), ..Measured::default() };
/// let result = calibrate(&boat, &measured)?;
/// println!("{:.0} ± {:.0} kg in all", result.mass_kg, result.mass_spread_kg);
/// # Ok(())
/// # }
/// ```
///
/// # Errors
/// Each variant of [`CalibrateError`] but `Measured`.
pub fn calibrate<'b>(
    boat: impl Into<Afloat<'b>>,
    measured: &Measured,
) -> Result<Answer<CalibrateResult>, CalibrateError> {
    calibrate_afloat(&boat.into(), measured)
}

fn calibrate_afloat(
    in_file: &Afloat<'_>,
    measured: &Measured,
) -> Result<Answer<CalibrateResult>, CalibrateError> {
    let (boat, craft) = (in_file.boat(), in_file.craft());
    let loose_kg = craft.liquids_kg();
    if loose_kg > 0.0 {
        return Err(CalibrateError::LooseLiquid { loose_kg });
    }
    let afloat = measured_afloat(craft, measured)?;
    let fitted = Fitted::to(boat, craft, measured, afloat.as_ref())?;
    let whole = fitted.whole;
    let (mass_kg, centre) = (whole[0], Vec3::new(whole[1], whole[2], whole[3]));
    let spread =
        std::array::from_fn(|i| SPREAD_IN_DEVIATIONS * fitted.covariance[(i, i)].max(0.0).sqrt());
    let measured_whole = measured_whole(boat, &fitted, spread);
    let hull = Hull::left_of(boat, craft, &measured_whole)?;
    let gm_transverse_m = if measured.moves.is_empty() {
        None
    } else {
        Some(fitted.fit.model.afloat(&whole)?.gm_transverse_m)
    };
    let readings = fitted.fit.readings(&whole, measured)?;
    let mut notes = notes(boat, &hull, &fitted.from);
    notes.extend(doubts::notes(boat, measured, &fitted, gm_transverse_m));
    notes.extend(doubts::misread(&readings, &fitted.agrees));
    let result = CalibrateResult {
        mass_kg,
        mass_spread_kg: spread[0],
        mass_from: fitted.from[0].clone(),
        mass_in_file_kg: craft.mass_kg,
        centre_of_gravity_m: coordinates(centre),
        centre_spread_m: [spread[1], spread[2], spread[3]],
        widened: fitted.agrees.widens.sqrt(),
        misfits: fitted.agrees.misfits.clone(),
        centre_measured: [1, 2, 3].map(|i| fitted.from[i] != IN_FILE),
        correlation: measured_whole.correlation,
        centre_from: [1, 2, 3].map(|i| fitted.from[i].clone()),
        centre_in_file_m: coordinates(craft.centre_of_gravity_m),
        hull_mass_kg: hull.mass_kg,
        hull_mass_spread_kg: hull.mass_spread_kg,
        hull_centre_m: coordinates(hull.centre_m),
        hull_centre_spread_m: coordinates(hull.centre_spread_m),
        gm_transverse_m,
        whole: measured_whole,
        residuals: readings.into_iter().map(ResidualLine::of).collect(),
        notes,
    };
    let answer = Answer::of(boat, result, with_usual(Vec::new(), boat, Doing::Floating));
    Ok(Answer {
        as_it_lies: AsItLies::at_rest(in_file),
        ..answer
    })
}

impl ResidualLine {
    fn of(reading: Reading) -> Self {
        Self {
            what: reading.what,
            dimension: reading.dimension,
            measured: reading.read.value,
            spread: reading.read.spread,
            corrected_boat: reading.model,
        }
    }
}

/// What the boat file keeps: the whole with its ± and whatever else carries one.
fn measured_whole(boat: &Boat, fitted: &Fitted<'_>, spread: [f64; 4]) -> MeasuredWhole {
    let quantity = |i: usize| Quantity {
        value: fitted.whole[i],
        spread: spread[i],
    };
    let correlation = std::array::from_fn(|i| {
        std::array::from_fn(|j| {
            let (lo, hi) = (i.min(j), i.max(j));
            let scale = fitted.covariance[(i, i)] * fitted.covariance[(j, j)];
            match (i == j, scale > 0.0) {
                (true, _) => 1.0,
                (false, true) => (fitted.covariance[(lo, hi)] / scale.sqrt()).clamp(-1.0, 1.0),
                (false, false) => 0.0,
            }
        })
    });
    let unsure = boat
        .aboard()
        .filter(|m| m.spread_kg > 0.0 || m.centre_spread_m != Vec3::zeros());
    MeasuredWhole {
        mass: quantity(0),
        centre: [quantity(1), quantity(2), quantity(3)],
        correlation,
        aboard: unsure.map(aboard_then).collect(),
    }
}

fn aboard_then(entry: &MassEntry) -> AboardThen {
    let at: Point = std::array::from_fn(|axis| Quantity {
        value: entry.centre_m[axis],
        spread: entry.centre_spread_m[axis],
    });
    AboardThen {
        name: entry.name.clone(),
        mass: Quantity {
            value: entry.mass_kg,
            spread: entry.spread_kg,
        },
        at,
    }
}

/// The hull that makes up the whole.
struct Hull {
    mass_kg: f64,
    mass_spread_kg: f64,
    centre_m: Vec3,
    centre_spread_m: Vec3,
}

impl Hull {
    fn left_of(boat: &Boat, craft: &Craft, whole: &MeasuredWhole) -> Result<Self, CalibrateError> {
        let mut masses = boat.masses.iter();
        let hull = masses.find(|entry| entry.kind == MassKind::Hull);
        let (hull_kg, hull_at) = hull.map_or((0.0, Vec3::zeros()), |h| (h.mass_kg, h.centre_m));
        let others_kg = craft.mass_kg - hull_kg;
        let others_moment = craft.centre_of_gravity_m * craft.mass_kg - hull_at * hull_kg;
        let total_kg = whole.mass.value;
        let mass_kg = total_kg - others_kg;
        if mass_kg <= 0.0 {
            return Err(CalibrateError::HullWeighsNothing {
                total_kg,
                others_kg,
            });
        }
        let centre = whole.centre.map(|q| q.value);
        let centre_m = (Vec3::from(centre) * total_kg - others_moment) / mass_kg;
        // The whole's errors and those of all else, the other way round.
        let (mut mass, mut place) = (0.0, Vec3::zeros());
        for error in whole.errors().into_iter().chain(whole.errors_aboard()) {
            mass += error.mass_kg.powi(2);
            let off = (error.moment_kg_m - centre_m * error.mass_kg) / mass_kg;
            place += off.component_mul(&off);
        }
        Ok(Self {
            mass_kg,
            mass_spread_kg: mass.sqrt(),
            centre_m,
            centre_spread_m: place.map(f64::sqrt),
        })
    }
}

fn notes(boat: &Boat, hull: &Hull, from: &[String; 4]) -> Vec<CalibrateNote> {
    let hull_centre = &hull.centre_m;
    let mut notes = vec![CalibrateNote::DifferenceOnTheHull];
    let (low, high) = boat.hull_box_m;
    let outside =
        (0..3).any(|axis| hull_centre[axis] < low[axis] || hull_centre[axis] > high[axis]);
    if outside {
        notes.push(CalibrateNote::HullCentreOutside(coordinates(*hull_centre)));
    }
    let axes = ["x", "y", "z"].into_iter().zip(&from[1..]);
    let lacking = axes.filter(|(_, source)| *source == IN_FILE);
    notes.extend(lacking.map(|(axis, _)| CalibrateNote::NotMeasured(axis)));
    notes
}
