//! How far the sills may be off, from the stated ± of masses, places, rims and
//! water.
use rayon::prelude::*;
use schemars::JsonSchema;
use serde::Serialize;

use super::shared::answer::Answer;
use super::shared::attitude::comes_first_of_least;
use super::shared::cautions::Doing;
use crate::boat::{Boat, MassKind, Verdict};
use crate::equilibrium::{
    Afloat, Craft, EquilibriumError, Hold, KnownLeans, Rest, find_rest_near, least_knock_near,
    settle,
};
use crate::numerics::{STANDARD_GRAVITY_M_S2, Vec3};
use crate::progress::{Cancelled, Stage};

mod causes;
mod unknowns;

use causes::share_explained;
use unknowns::{Drawn, Unknown};

/// Shares of the draws at which the bands end.
const BAND: [f64; 3] = [0.05, 0.5, 0.95];

/// 5 %, 50 % and 95 % of the draws lie below. Draws that sink, or find no rest, are
/// the lowest: an end among them is `None`.
pub type Band = [Option<f64>; 3];

/// Result of [`spread`].
#[derive(Debug, Clone, JsonSchema, Serialize)]
#[non_exhaustive]
pub struct SpreadResult {
    /// Draws made.
    pub draws: u32,
    /// Draws in which the craft sinks or finds no rest.
    pub draws_lost: u32,
    /// Share of the draws in which it sinks.
    pub share_sunk: f64,
    /// Seed of the draws: the same seed gives the same result.
    pub seed: u64,
    /// Mass aboard over all draws, kg.
    pub mass_kg: Band,
    /// Heel over the draws that have a rest, deg.
    pub heel_deg: Band,
    /// Pitch, the same, deg.
    pub pitch_deg: Band,
    /// Share of the draws in which at least one opening fails its yardstick.
    pub chance_any_fails: f64,
    /// Share of the draws in which at least one sill is under water.
    pub chance_any_under_water: f64,
    /// What the file gives no ± for, and so is taken as exact.
    pub exact: TakenAsExact,
    /// Each opening.
    pub openings: Vec<SpreadLine>,
    /// Least energy over all openings that puts one under (sinkage, heel and
    /// pitch together); absent with none open.
    pub least_knock: Option<MarginBand>,
    /// What the craft as stated does before its least knock puts an opening under: "turns
    /// over and lies upside down"; absent where nothing comes first.
    pub least_knock_first: Option<String>,
    /// The least lean of each draw over all bearings, deg; absent likewise. Half a
    /// turn where none puts a sill under.
    pub worst_lean: Option<MarginBand>,
    /// The bearing of the least lean as stated, deg: 0 the bow goes down, 90
    /// starboard.
    pub worst_lean_bearing_deg: Option<f64>,
    /// What moves the lowest sill most, the most first.
    pub causes: Vec<CauseLine>,
}

/// Masses and places without a ±.
#[derive(Debug, Clone, Copy, JsonSchema, Serialize)]
pub struct TakenAsExact {
    /// Things aboard, the hull and parts among them.
    pub things: usize,
    /// Those whose mass has no ±.
    pub masses: usize,
    /// Those whose place has none, along any axis.
    pub places: usize,
}

impl TakenAsExact {
    /// Of a boat; what was measured as a whole counts for the hull.
    fn of(boat: &Boat) -> Self {
        let measured = boat.measured.is_some();
        let things = boat.masses.iter();
        let things = things.filter(|m| !(measured && m.kind == MassKind::Hull));
        Self {
            things: boat.masses.len(),
            masses: things.clone().filter(|m| m.spread_kg <= 0.0).count(),
            places: things
                .filter(|m| m.centre_spread_m == Vec3::zeros())
                .count(),
        }
    }
}

/// One opening over all draws.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct SpreadLine {
    /// The opening.
    pub name: String,
    /// Height of its sill above the water, m.
    pub freeboard_m: Band,
    /// Share of the draws in which its yardstick is failed.
    pub chance_of_failing: f64,
    /// Share of the draws in which its sill is under water.
    pub chance_under_water: f64,
}

/// A margin over all draws.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct MarginBand {
    /// J, or deg.
    pub band: Band,
    /// Share of the draws in which its yardstick is failed.
    pub chance_of_failing: f64,
}

/// One stated ± and what it does to the lowest sill.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct CauseLine {
    /// The mass or place.
    pub name: String,
    /// Share of the lowest sill's variance that goes with it alone, whichever way it
    /// works. Causes that work only together leave a rest to 1.
    pub share: f64,
}

/// One draw.
struct Draw {
    deviations: Vec<f64>,
    mass_kg: f64,
    sinks: bool,
    /// `None`: it sinks, or no rest or knock is found.
    at_rest: Option<AtRest>,
}

/// A draw that floats.
struct AtRest {
    heel_deg: f64,
    pitch_deg: f64,
    freeboards_m: Vec<f64>,
    knock_j: Option<f64>,
    lean_deg: Option<f64>,
}

/// Draws masses and places from normal distributions whose two standard
/// deviations are the stated ±, independent of each other but for what was measured
/// together, and floats each. The same seed gives the same draws on any number of
/// threads.
///
/// The ± of a rim's height moves the whole rim along the boat's z.
/// A stated error of the scan moves the whole surface in or out: to first order a
/// buoyancy of wetted area times that error, at the middle of the wetted area.
///
/// ```
/// # fn main() -> Result<(), Box<dyn std::error::Error>> {
/// use awash::{Boat, study::spread};
///
/// let boat = Boat::load("meshes/dipper/after.toml".as_ref())?;
/// let result = spread(&boat, 20, 1)?;
/// println!("{:.0} % of the draws fail a yardstick", 100.0 * result.chance_any_fails);
/// assert_eq!(result.draws, 20);
/// # Ok(())
/// # }
/// ```
///
/// # Errors
/// As [`Afloat::knocks`], for the craft as stated; where it is cancelled.
pub fn spread<'b>(
    boat: impl Into<Afloat<'b>>,
    draws: u32,
    seed: u64,
) -> Result<Answer<SpreadResult>, EquilibriumError> {
    spread_afloat(&boat.into(), draws, seed)
}

fn spread_afloat(
    afloat: &Afloat<'_>,
    draws: u32,
    seed: u64,
) -> Result<Answer<SpreadResult>, EquilibriumError> {
    let (boat, craft, rest) = (afloat.boat(), afloat.craft(), afloat.rest()?);
    let unknowns = Unknown::all_of(boat);
    let knocks = afloat.knocks()?;
    let worst = afloat.least_lean()?;
    let all = Draws(draw(afloat, rest, &unknowns, draws, seed)?);
    let loose_kg = craft.liquids_kg();
    let open = || {
        let openings = boat.openings.iter().enumerate();
        openings.filter(|(_, opening)| opening.lets_water_in())
    };
    let sill = &boat.yardsticks.sill;
    let fails = |height: f64| sill.verdict(height) == Verdict::Fail;
    let is_under = |height: f64| height <= 0.0;
    let any = |judged: &dyn Fn(f64) -> bool| {
        all.chance(|at| open().any(|(index, _)| judged(at.freeboards_m[index])))
    };
    let openings = open().map(|(index, opening)| SpreadLine {
        name: opening.name.clone(),
        freeboard_m: all.band(|at| at.freeboards_m[index]),
        chance_of_failing: all.chance(|at| fails(at.freeboards_m[index])),
        chance_under_water: all.chance(|at| is_under(at.freeboards_m[index])),
    });
    let result = SpreadResult {
        draws,
        draws_lost: all.count(|draw| draw.at_rest.is_none()),
        share_sunk: share(all.count(|draw| draw.sinks), draws),
        seed,
        mass_kg: band(all.0.iter().map(|draw| draw.mass_kg + loose_kg).collect()),
        heel_deg: band(all.at_rest().map(|at| at.heel_deg).collect()),
        pitch_deg: band(all.at_rest().map(|at| at.pitch_deg).collect()),
        chance_any_fails: any(&fails),
        chance_any_under_water: any(&is_under),
        exact: TakenAsExact::of(boat),
        openings: openings.collect(),
        least_knock_first: comes_first_of_least(knocks, rest),
        least_knock: all.margin(
            |at| at.knock_j,
            |work| boat.yardsticks.energy.verdict(work) == Verdict::Fail,
        ),
        worst_lean: all.margin(
            |at| at.lean_deg,
            |lean| boat.yardsticks.tilt.verdict(lean) == Verdict::Fail,
        ),
        worst_lean_bearing_deg: worst.map(|(bearing_deg, _)| bearing_deg),
        causes: causes(
            &open().map(|(index, _)| index).collect::<Vec<_>>(),
            &unknowns,
            &all,
        ),
    };
    let answer = Answer::of(boat, result, Doing::Floating.cautions(boat).collect());
    Ok(answer.lying(boat, rest.plane()))
}

/// The craft with what is not known drawn anew each time, set afloat.
fn draw(
    afloat: &Afloat<'_>,
    rest: &Rest,
    unknowns: &[Unknown],
    draws: u32,
    seed: u64,
) -> Result<Vec<Draw>, Cancelled> {
    let (boat, craft) = (afloat.boat(), afloat.craft());
    let leans = KnownLeans::of(craft, afloat.sills(), rest);
    let stage = Stage::begin(afloat.watch(), "floating the draws", draws as usize);
    let drawn = (0..draws).into_par_iter().map(|number| {
        stage.next()?;
        let mut rng = fastrand::Rng::with_seed(seed ^ (u64::from(number) << 20));
        let deviations: Vec<f64> = unknowns.iter().map(|_| normal(&mut rng)).collect();
        let drawn = Drawn::new(boat, unknowns, &deviations);
        let changed = drawn.craft(craft, rest);
        let sinks = changed.volume_to_displace_m3() >= changed.displacers.volume_m3();
        let at_rest = if sinks {
            None
        } else {
            rest_near(&changed, rest)
                .and_then(|rest| at_rest(afloat, leans.as_ref(), &changed, &drawn, &rest))
        };
        Ok(Draw {
            deviations,
            mass_kg: drawn.mass_kg(),
            sinks,
            at_rest,
        })
    });
    drawn.collect()
}

/// The rest of a craft nearly as stated: from there, or set upright anew.
fn rest_near(craft: &Craft, stated: &Rest) -> Option<Rest> {
    find_rest_near(craft, stated, Hold::Nothing)
        .or_else(|_| settle(craft).map(|settled| settled.rest))
        .ok()
}

/// The margins of a draw, sought from those of the boat as stated and its leans. `None`
/// where the least knock cannot be found.
fn at_rest(
    stated: &Afloat<'_>,
    leans: Option<&KnownLeans>,
    craft: &Craft,
    drawn: &Drawn,
    rest: &Rest,
) -> Option<AtRest> {
    let sills = stated.sills().raised(&drawn.rims_m);
    let plane = *rest.plane();
    let sill_m = stated.boat().openings.iter().zip(&drawn.rims_m);
    let sill_m =
        sill_m.map(|(opening, raised_m)| opening.sill_m(&plane.up) + Vec3::z() * *raised_m);
    let (map, knocks) = (stated.map().ok()?, stated.knocks().ok()?);
    let knock_m4 = least_knock_near(craft, &sills, rest, map, knocks).ok()?;
    Some(AtRest {
        heel_deg: plane.heel_deg(),
        pitch_deg: plane.pitch_deg(),
        freeboards_m: sill_m.map(|sill| plane.height_m(&sill)).collect(),
        knock_j: knock_m4.map(|work| work * craft.density_kg_m3 * STANDARD_GRAVITY_M_S2),
        lean_deg: leans.map(|known| known.least_rad(craft, &sills, rest).to_degrees()),
    })
}

/// All draws.
struct Draws(Vec<Draw>);

impl Draws {
    fn at_rest(&self) -> impl Iterator<Item = &AtRest> {
        self.0.iter().filter_map(|draw| draw.at_rest.as_ref())
    }

    fn count(&self, wanted: impl Fn(&Draw) -> bool) -> u32 {
        let count = self.0.iter().filter(|draw| wanted(draw)).count();
        u32::try_from(count).unwrap_or(u32::MAX)
    }

    /// Share of the draws that fail; one without a rest does.
    fn chance(&self, fails: impl Fn(&AtRest) -> bool) -> f64 {
        let failed = self.count(|draw| draw.at_rest.as_ref().is_none_or(&fails));
        share(failed, self.count(|_| true))
    }

    fn band(&self, value: impl Fn(&AtRest) -> f64) -> Band {
        let of = |draw: &Draw| draw.at_rest.as_ref().map_or(f64::NEG_INFINITY, &value);
        band(self.0.iter().map(of).collect())
    }

    fn margin(
        &self,
        value: impl Fn(&AtRest) -> Option<f64>,
        fails: impl Fn(f64) -> bool,
    ) -> Option<MarginBand> {
        self.at_rest().find_map(&value)?;
        Some(MarginBand {
            band: self.band(|at| value(at).unwrap_or(f64::INFINITY)),
            chance_of_failing: self.chance(|at| value(at).is_some_and(&fails)),
        })
    }
}

/// A draw from the normal distribution (Box & Muller, Annals of Mathematical
/// Statistics 29, 1958).
fn normal(rng: &mut fastrand::Rng) -> f64 {
    let radius = (-2.0 * (1.0 - rng.f64()).ln()).sqrt();
    radius * (std::f64::consts::TAU * rng.f64()).cos()
}

fn share(count: u32, draws: u32) -> f64 {
    f64::from(count) / f64::from(draws.max(1))
}

/// The values below which the shares of [`BAND`] lie.
fn band(mut values: Vec<f64>) -> Band {
    values.sort_by(f64::total_cmp);
    BAND.map(|share| {
        let last = values.len().saturating_sub(1);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            clippy::cast_precision_loss,
            reason = "a share of a list's length"
        )]
        let place = (share * last as f64).round() as usize;
        values.get(place).copied().filter(|value| value.is_finite())
    })
}

/// What moves the lowest of some sills; a draw without a rest counts as the worst
/// that has one.
fn causes(open: &[usize], unknowns: &[Unknown], draws: &Draws) -> Vec<CauseLine> {
    let lowest_m = |at: &AtRest| {
        let heights = open.iter().map(|&index| at.freeboards_m[index]);
        heights.fold(f64::INFINITY, f64::min)
    };
    let Some(worst) = draws.at_rest().map(lowest_m).reduce(f64::min) else {
        return Vec::new();
    };
    if open.is_empty() {
        return Vec::new();
    }
    let lowest: Vec<f64> = draws
        .0
        .iter()
        .map(|draw| draw.at_rest.as_ref().map_or(worst, lowest_m))
        .collect();
    let mut causes: Vec<CauseLine> = unknowns
        .iter()
        .enumerate()
        .map(|(index, unknown)| {
            let drawn: Vec<f64> = draws.0.iter().map(|draw| draw.deviations[index]).collect();
            CauseLine {
                name: unknown.name.clone(),
                share: share_explained(&drawn, &lowest),
            }
        })
        .collect();
    causes.sort_by(|a, b| b.share.total_cmp(&a.share));
    causes
}
