//! What a wall round an opening gains, net of its own weight.
use rayon::prelude::*;
use schemars::JsonSchema;
use serde::Serialize;

use super::shared::answer::Answer;
use super::shared::attitude::{Lies, comes_first};
use super::shared::cautions::{Doing, with_usual};
use super::shared::named::{NamedError, opening_named};
use crate::boat::{Boat, Opening, WallFoot};
use crate::equilibrium::{
    Afloat, Craft, EquilibriumError, Hold, KnockState, Rest, Sills, find_rest_from, knock,
    least_lean, map_sphere,
};
use crate::immersion::WaterPlane;
use crate::numerics::{STANDARD_GRAVITY_M_S2, Vec3, halved};

/// Halvings of the height that reaches the yardstick: to a millionth of a
/// millimetre from a metre.
const HALVINGS: usize = 40;
/// A rim whose plane leans more than 45° from the boat's level is taken as that of a
/// hole in a side: a wall that stands up along z on it leaves its lower half where it
/// is. Ours, no source.
const LEVEL_ENOUGH: f64 = std::f64::consts::FRAC_1_SQRT_2;
/// How far over a rim, and how far in from it towards its middle as a share, the
/// craft is asked for its inside, m: there a hole in the bottom has hull over it, a
/// hatch the sky. Ours.
const OVER_RIM_M: f64 = 0.02;
const IN_FROM_RIM: f64 = 0.1;
/// Points of a rim at which that is asked.
const RIM_PROBES: usize = 12;

/// What [`sill`] is asked for.
#[derive(Debug, Clone, Copy)]
pub struct SillOptions {
    /// Tallest wall tried, m.
    pub up_to_m: f64,
    /// Heights tried, without none at all.
    pub heights: u32,
    /// What a square metre of wall weighs, kg/m².
    pub wall_kg_m2: f64,
}

impl Default for SillOptions {
    /// 4 mm of laminate of 1500 kg/m³.
    fn default() -> Self {
        Self {
            up_to_m: 0.2,
            heights: 8,
            wall_kg_m2: 6.0,
        }
    }
}

/// How the rim of an opening lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq, JsonSchema, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum RimLies {
    /// As that of a cockpit, a hatch, the top of a well: a wall on it raises the sill.
    Level,
    /// As that of a hole in a side or a transom: a wall does not help.
    Steep,
    /// As that of a hole in the bottom, the inside of the hull over it: a wall does
    /// not help; a well or a trunk, which is a part, would.
    UnderHull,
}

/// Result of [`sill`].
#[derive(Debug, Clone, JsonSchema, Serialize)]
#[non_exhaustive]
pub struct SillResult {
    /// The opening.
    pub opening: String,
    /// Which side of the craft is uppermost at rest, without a wall.
    pub lies: Lies,
    /// How its rim lies: only on one that is `level` a wall can help.
    pub rim_lies: RimLies,
    /// How far the sill would have to stand higher at rest to reach the yardstick,
    /// m; 0 where it does.
    pub lacks_m: f64,
    /// How long a wall on its rim is: the outside of the rim, in plan, m.
    pub rim_length_m: f64,
    /// What a square metre of wall weighs, kg/m².
    pub wall_kg_m2: f64,
    /// Tallest wall tried, m.
    #[serde(skip)]
    pub up_to_m: f64,
    /// One row a height, the first without a wall; that one alone where a wall
    /// cannot help.
    pub rows: Vec<SillRow>,
    /// Height of the yardstick, m, and who says so.
    pub yardstick_m: f64,
    /// Who says so.
    pub yardstick_source: String,
    /// Height of wall with which the sill stands that high, m; absent where
    /// even the tallest tried does not do, or no wall can help.
    pub wall_to_yardstick_m: Option<f64>,
    /// What is left out.
    pub notes: Vec<&'static str>,
}

/// The craft with a wall of one height.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct SillRow {
    /// Height of the wall, m.
    pub wall_m: f64,
    /// What it weighs, kg.
    pub wall_mass_kg: f64,
    /// Height of this opening's sill above the water, m.
    pub sill_m: f64,
    /// How far this sill comes down to the water by the wall's own weight, sinkage,
    /// heel and pitch together, m: its height on a wall that weighs nothing less its
    /// height on this one.
    pub lost_to_weight_m: f64,
    /// Height of the lowest sill of all, m.
    pub lowest_sill_m: f64,
    /// Whose that is.
    pub lowest_opening: String,
    /// Least work of a knock that puts this opening under, J.
    pub knock_j: Option<f64>,
    /// Whether the craft goes over a pass first.
    pub knock_state: Option<KnockState>,
    /// What it does first, in words; `None` where the sill is reached from where it
    /// rests.
    pub knock_first: Option<String>,
    /// Least lean that puts any opening under, deg.
    pub least_tilt_deg: Option<f64>,
    /// Which one that is.
    pub least_tilt_opening: Option<String>,
}

/// Raises the rim of an opening by walls of several heights, floats the boat with
/// each, and finds the height that reaches the green sill yardstick.
///
/// ```
/// # fn main() -> Result<(), Box<dyn std::error::Error>> {
/// use awash::{Boat, study::{SillOptions, sill}};
///
/// let boat = Boat::load("meshes/dipper/after.toml".as_ref())?;
/// let options = SillOptions { heights: 2, ..SillOptions::default() };
/// for row in sill(&boat, "gunwale", &options)?.result.rows {
///     println!("{:.2} m of wall: sill {:.3} m above the water", row.wall_m, row.sill_m);
/// }
/// # Ok(())
/// # }
/// ```
///
/// # Errors
/// [`NamedError::Name`] where there is no such opening, [`NamedError::Equilibrium`]
/// where the boat sinks or no rest is found.
pub fn sill<'b>(
    boat: impl Into<Afloat<'b>>,
    opening: &str,
    options: &SillOptions,
) -> Result<Answer<SillResult>, NamedError> {
    sill_afloat(&boat.into(), opening, options)
}

fn sill_afloat(
    afloat: &Afloat<'_>,
    opening: &str,
    options: &SillOptions,
) -> Result<Answer<SillResult>, NamedError> {
    let (boat, craft) = (afloat.boat(), afloat.craft());
    let index = opening_named(boat, opening)?;
    let rest = afloat.rest()?;
    let wall = Wall::round(boat, index, options.wall_kg_m2);
    let rim_lies = wall.rim_lies();
    let green = &boat.yardsticks.sill.green;
    let bare_m = wall.sill_m(craft, rest, 0.0)?;
    let count = options.heights.max(1);
    let tried = if rim_lies == RimLies::Level { count } else { 0 };
    let rows = (0..=tried)
        .into_par_iter()
        .map(|number| {
            let wall_m = options.up_to_m * f64::from(number) / f64::from(count);
            wall.row(craft, rest, wall_m)
        })
        .collect::<Result<Vec<SillRow>, EquilibriumError>>()?;
    let wall_to_yardstick_m = match rim_lies {
        RimLies::Level => wall.to_reach(craft, rest, green.value, options.up_to_m)?,
        RimLies::Steep | RimLies::UnderHull => (bare_m >= green.value).then_some(0.0),
    };
    let result = SillResult {
        opening: boat.openings[index].name.clone(),
        lies: Lies::at(&rest.plane().up),
        rim_lies,
        lacks_m: (green.value - bare_m).max(0.0),
        rim_length_m: wall.foot.length_m(),
        wall_kg_m2: options.wall_kg_m2,
        up_to_m: options.up_to_m,
        rows,
        yardstick_m: green.value,
        yardstick_source: boat.yardsticks.sill.source.clone(),
        wall_to_yardstick_m,
        notes: vec![
            "the wall stands up along the boat's z axis on the whole rim; what it displaces once the water reaches it is left out",
        ],
    };
    let answer = Answer::of(boat, result, with_usual(Vec::new(), boat, Doing::Building));
    Ok(answer.lying(boat, rest.plane()))
}

/// A wall round one opening.
struct Wall<'a> {
    boat: &'a Boat,
    index: usize,
    foot: WallFoot,
    kg_m2: f64,
}

impl<'a> Wall<'a> {
    fn round(boat: &'a Boat, index: usize, kg_m2: f64) -> Self {
        Self {
            boat,
            index,
            foot: WallFoot::round(&boat.openings[index].rim),
            kg_m2,
        }
    }

    fn mass_kg(&self, wall_m: f64) -> f64 {
        self.foot.length_m() * wall_m * self.kg_m2
    }

    fn rim_lies(&self) -> RimLies {
        if self.foot.levelness() < LEVEL_ENOUGH {
            return RimLies::Steep;
        }
        let middle = self.foot.centre_m(0.0);
        let points: Vec<Vec3> = self.foot.points_m().collect();
        let step = points.len().div_ceil(RIM_PROBES).max(1);
        let probes: Vec<Vec3> = points
            .iter()
            .step_by(step)
            .map(|point| point + (middle - point) * IN_FROM_RIM + Vec3::z() * OVER_RIM_M)
            .collect();
        let inside = |probe: &&Vec3| self.boat.envelope.encloses(probe);
        if 2 * probes.iter().filter(inside).count() > probes.len() {
            RimLies::UnderHull
        } else {
            RimLies::Level
        }
    }

    /// The craft at rest with a wall, and the openings then.
    fn afloat(
        &self,
        craft: &Craft,
        near: &Rest,
        wall_m: f64,
    ) -> Result<(Craft, Rest, Vec<Opening>), EquilibriumError> {
        let mut openings = self.boat.openings.clone();
        for point in &mut openings[self.index].rim {
            point.z += wall_m;
        }
        let centre = self.foot.centre_m(wall_m);
        let walled = craft.with_load(self.mass_kg(wall_m), &centre);
        let rest = find_rest_from(&walled, near.plane(), Hold::Nothing)?;
        Ok((walled, rest, openings))
    }

    fn sill_m(&self, craft: &Craft, near: &Rest, wall_m: f64) -> Result<f64, EquilibriumError> {
        let (_, rest, openings) = self.afloat(craft, near, wall_m)?;
        let plane = rest.plane();
        Ok(plane.height_m(&openings[self.index].sill_m(&plane.up)))
    }

    fn row(&self, craft: &Craft, near: &Rest, wall_m: f64) -> Result<SillRow, EquilibriumError> {
        let (walled, rest, openings) = self.afloat(craft, near, wall_m)?;
        let plane = *rest.plane();
        let height_m = |plane: &WaterPlane| {
            let opening = &openings[self.index];
            plane.height_m(&opening.sill_m(&plane.up))
        };
        let sill_m = height_m(&plane);
        let sills = Sills::of(&openings);
        let lowest = openings
            .iter()
            .map(|opening| (plane.height_m(&opening.sill_m(&plane.up)), opening))
            .filter(|(_, opening)| opening.lets_water_in())
            .min_by(|a, b| a.0.total_cmp(&b.0));
        let map = map_sphere(&walled, std::slice::from_ref(&rest))?;
        let knocks = knock(&walled, &sills, &rest, &map);
        let mut knocks = knocks.iter();
        let knock = knocks.find(|found| found.sill.opening == self.index);
        let joules = walled.density_kg_m3 * STANDARD_GRAVITY_M_S2;
        let least = least_lean(&walled, &sills, &rest)?.map(|(_, lean)| lean);
        Ok(SillRow {
            wall_m,
            wall_mass_kg: self.mass_kg(wall_m),
            sill_m,
            lost_to_weight_m: height_m(near.plane()) - sill_m,
            lowest_sill_m: lowest.map_or(sill_m, |(height, _)| height),
            lowest_opening: lowest.map_or_else(String::new, |(_, o)| o.name.clone()),
            knock_j: knock.map(|found| found.work_m4 * joules),
            knock_state: knock.map(|found| found.state),
            knock_first: knock.and_then(|found| comes_first(found, &rest)),
            least_tilt_deg: least.as_ref().map(|lean| lean.lean_rad.to_degrees()),
            least_tilt_opening: least.map(|lean| openings[lean.sill.opening].name.clone()),
        })
    }

    /// The least height that brings the sill to `wanted_m` above the water.
    fn to_reach(
        &self,
        craft: &Craft,
        near: &Rest,
        wanted_m: f64,
        up_to_m: f64,
    ) -> Result<Option<f64>, EquilibriumError> {
        if self.sill_m(craft, near, 0.0)? >= wanted_m {
            return Ok(Some(0.0));
        }
        if self.sill_m(craft, near, up_to_m)? < wanted_m {
            return Ok(None);
        }
        let reaches =
            |wall_m: f64| Ok::<_, EquilibriumError>(self.sill_m(craft, near, wall_m)? >= wanted_m);
        let [_, enough_m] = halved([0.0, up_to_m], HALVINGS, reaches)?;
        Ok(Some(enough_m))
    }
}
