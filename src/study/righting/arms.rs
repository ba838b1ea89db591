//! Righting arms over one angle, to both sides.
use schemars::JsonSchema;
use serde::Serialize;

/// Righting arms over one angle.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct ArmCurve {
    /// The points, from the most negative angle to the most positive.
    pub points: Vec<ArmPoint>,
    /// What they come to on each side, first the side that takes less work to
    /// vanishing or to its first sill.
    pub sides: [ArmSide; 2],
    /// Whether an arm turns the craft back to nought from anywhere between there and
    /// where it rests or jumps.
    #[serde(skip)]
    pub turns_back_to_nought: bool,
}

/// One point of a curve.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct ArmPoint {
    /// Heel or pitch, deg.
    pub angle_deg: f64,
    /// Righting arm, m: positive turns the craft back towards nought from the
    /// positive side.
    pub arm_m: f64,
    /// What is free, as the craft took it: over heel the pitch (bow up positive;
    /// past 90° it has gone over its end), over pitch the heel (starboard down
    /// positive), −180 to 180 deg.
    pub across_deg: f64,
    /// Height of the lowest open sill above the water, m.
    pub sill_m: Option<f64>,
    /// Whether every open sill is above the water: else the point holds only for
    /// sealed openings.
    pub dry: bool,
    /// How often the craft, turned from rest, has jumped over to somewhere else before
    /// this point: no curve joins it to those before.
    pub jumps: usize,
}

/// What the curve comes to on one side.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct ArmSide {
    /// "starboard", "port"; "bow up", "bow down".
    pub side: String,
    /// Largest arm that turns the craft back to rest, from rest out to where that arm
    /// ends, m; `None` where none does.
    pub largest_arm_m: Option<f64>,
    /// Where that is, deg. This and the angles below are −180° to 180°: a side that is
    /// followed past bottom up goes on there with the other sign.
    pub largest_arm_at_deg: Option<f64>,
    /// Where that arm ends.
    pub vanishing: Vanishing,
    /// Where it leaves the side that it lies on, its openings sealed: past there it does
    /// not balance again with the same side up. One that lolls may first fall into its
    /// other loll, where `vanishing` is. `None` where it does not.
    pub turns_over: Option<TurnsOver>,
    /// The first angle at which the tilt across jumps, deg: held there, the craft
    /// rolls over the other way.
    pub rolls_over_deg: Option<f64>,
    /// The first opening awash there; `None` where none is. Past it the curve holds
    /// only for sealed openings.
    pub first_sill: Option<FloodPoint>,
}

/// Where the arm that turns a craft back ends on one side, its openings sealed.
#[derive(Debug, Clone, Copy, PartialEq, JsonSchema, Serialize)]
#[serde(tag = "state", rename_all = "snake_case")]
pub enum Vanishing {
    /// At an angle: past it the craft goes on over by itself.
    At {
        /// The angle, deg.
        angle_deg: f64,
        /// Work from rest to there, the greatest on the way, J.
        work_j: f64,
    },
    /// Nowhere: it turns the craft back up to the end of the curve.
    NeverVanishes,
    /// From rest on, no arm turns it back on that side.
    NeverPositive,
}

/// Where a craft turns over.
#[derive(Debug, Clone, Copy, PartialEq, JsonSchema, Serialize)]
pub struct TurnsOver {
    /// The angle, deg.
    pub angle_deg: f64,
    /// Work from rest to there, the greatest on the way, J.
    pub work_j: f64,
}

/// Where an opening is first awash.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct FloodPoint {
    /// The opening.
    pub opening: String,
    /// The angle, deg.
    pub angle_deg: f64,
    /// Work from rest to there, J: the area under the curve, or where the arm
    /// vanishes before, the greatest on the way.
    pub work_j: f64,
    /// Whether the craft goes over by itself before, every sill dry.
    pub turns_over_first: bool,
}

impl ArmSide {
    /// Work to vanishing or to the first sill, whichever is less, J; `None` where
    /// neither is, 0 where no arm turns it back.
    pub(super) fn least_work_j(&self) -> Option<f64> {
        let vanishing = match self.vanishing {
            Vanishing::At { work_j, .. } => Some(work_j),
            Vanishing::NeverVanishes => None,
            Vanishing::NeverPositive => Some(0.0),
        };
        let sill = self.first_sill.as_ref().map(|sill| sill.work_j);
        vanishing.into_iter().chain(sill).reduce(f64::min)
    }
}
