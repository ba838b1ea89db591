//! Where an item may go: the margin with it in each place.
use std::cmp::Ordering;

use rayon::prelude::*;
use schemars::JsonSchema;
use serde::Serialize;

use super::shared::answer::Answer;
use super::shared::attitude::comes_first_of_least;
use super::shared::cautions::{Doing, with_usual};
use super::shared::deck::Deck;
use super::shared::hydrostatics::coordinates;
use super::shared::named::{NamedError, item_named};
use super::shared::picture::outline_from_above;
use super::shared::yardstick::{MOST_HEEL_DEG, Yardstick};
use crate::boat::{Boat, Bulkheads, HullFrame, MassEntry, OutsideFinder, Verdict};
use crate::equilibrium::{
    Afloat, Craft, EquilibriumError, Hold, Knock, Rest, Sills, SphereMap, find_rest, knock_near,
    least_leans, outside_of, settle_worse_if_afloat,
};
use crate::numerics::{STANDARD_GRAVITY_M_S2, Vec3};
use crate::progress::{Progress, Stage};
use bounds::Bounds;

mod bounds;

/// Most steps to the place that levels the craft: one does, but where what the item
/// displaces outside moves with it.
const LEVEL_STEPS: u32 = 60;
/// A lowest sill higher by less than this is no gain, m.
const WORTH_MOVING_M: f64 = 0.001;
/// Step to that place below which it is found, m.
const LEVEL_WITHIN_M: f64 = 1e-9;

/// What [`place`] is asked for.
#[derive(Debug, Clone)]
pub struct PlaceOptions {
    /// Places along and across.
    pub grid: [u32; 2],
    /// Height at which the item is moved about, m; its present one without.
    pub z_m: Option<f64>,
}

impl Default for PlaceOptions {
    fn default() -> Self {
        Self {
            grid: [18, 7],
            z_m: None,
        }
    }
}

/// Result of [`place`]. Points are `[x, y, z]` in the boat frame, m.
#[derive(Debug, Clone, JsonSchema, Serialize)]
#[non_exhaustive]
pub struct PlaceResult {
    /// The item moved about.
    pub item: String,
    /// Its mass, kg.
    pub item_mass_kg: f64,
    /// With the item where it is.
    pub now: PlaceCell,
    /// The place with the highest lowest sill of those that fail no yardstick; where
    /// each fails one, of those that fail fewest; absent where none floats. Of the grid,
    /// or the one that levels the craft where that is on the boat and the item fits.
    pub best: Option<PlaceCell>,
    /// Whether moving the item there gains anything: fewer yardsticks failed, or as few
    /// and a lowest sill higher by a millimetre.
    pub worth_moving: bool,
    /// Whether that place fails no yardstick; absent without one.
    pub best_passes: Option<bool>,
    /// The place that makes the craft level, where there is one.
    pub level: Option<LevelPlace>,
    /// Distance between places along x and y, m.
    pub cell_m: [f64; 2],
    /// All places of the grid that lie within the hull's skin, or no further outside than
    /// the item is as the file has it, and where the craft floats; of an item whose
    /// `size` the file gives and which now stands in the hull, only those where its box
    /// fits within the hull and no bulkhead goes through it.
    pub cells: Vec<PlaceCell>,
    /// How many places of the grid lie over the boat but outside the hull at this height.
    pub outside_the_hull: usize,
    /// The limits that the verdicts were taken against.
    #[serde(skip)]
    pub yardsticks: Vec<Yardstick>,
    /// What its x, y and z count from.
    #[serde(skip)]
    pub frame: HullFrame,
    /// The craft's outline from above as x and y, m, for the map.
    #[serde(skip)]
    pub outline_m: Vec<[f64; 2]>,
}

/// The craft at rest with the item in one place.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct PlaceCell {
    /// Where the item's centre is, m.
    pub at_m: [f64; 3],
    /// Heel at rest, deg.
    pub heel_deg: f64,
    /// Pitch at rest, deg.
    pub pitch_deg: f64,
    /// Height of the lowest open sill above the water, m; absent with none.
    pub lowest_sill_m: Option<f64>,
    /// Whose sill that is.
    pub opening: Option<String>,
    /// Least work of a knock that puts an opening under, J.
    pub knock_j: Option<f64>,
    /// What the craft does before that knock puts the opening under: "turns over and lies
    /// upside down"; absent where nothing comes first.
    pub knock_first: Option<String>,
    /// Least lean that puts an opening under, deg; absent where none does.
    pub least_lean_deg: Option<f64>,
    /// Least lean at which the craft goes over by itself before a sill meets the water,
    /// deg; absent where it does not.
    pub least_over_deg: Option<f64>,
    /// What the yardsticks for sill, work, lean and heel say, the worst.
    pub verdict: Verdict,
    /// Which of them fail: `sill`, `knock`, `lean`, `heel`.
    pub fails: Vec<&'static str>,
}

/// Where the item levels the craft.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct LevelPlace {
    /// How far to move it: forward and to port positive, m.
    pub shift_m: [f64; 2],
    /// Stated ± of that: of the centre of all aboard, times its mass over the item's, m.
    pub shift_spread_m: [f64; 2],
    /// Whether that is over the boat.
    pub on_the_boat: bool,
    /// Whether that is within the hull's skin, or no further outside than the item is as
    /// the file has it.
    pub in_the_hull: bool,
    /// Whether the item's box fits within the hull there, clear of its bulkheads.
    pub fits: bool,
    /// The craft with it there.
    pub cell: PlaceCell,
}

/// Moves an item over the boat at one height and gives the margin at each place.
///
/// ```
/// # fn main() -> Result<(), Box<dyn std::error::Error>> {
/// use awash::{Boat, study::{PlaceOptions, place}};
///
/// let boat = Boat::load("meshes/dipper/after.toml".as_ref())?;
/// let coarse = PlaceOptions { grid: [4, 2], ..PlaceOptions::default() };
/// let result = place(&boat, "battery", &coarse)?;
/// println!("lowest sill {:?} m as it is", result.now.lowest_sill_m);
/// # Ok(())
/// # }
/// ```
///
/// # Errors
/// [`NamedError::Name`] where there is no such item, [`NamedError::PartOfTheHull`] where
/// it is a part, [`NamedError::Equilibrium`] where the boat sinks or no rest is found.
pub fn place<'b>(
    boat: impl Into<Afloat<'b>>,
    item: &str,
    options: &PlaceOptions,
) -> Result<Answer<PlaceResult>, NamedError> {
    place_afloat(&boat.into(), item, options)
}

fn place_afloat(
    afloat: &Afloat<'_>,
    item: &str,
    options: &PlaceOptions,
) -> Result<Answer<PlaceResult>, NamedError> {
    let boat = afloat.boat();
    let number = item_named(boat, item)?;
    let entry = &boat.masses[number];
    let rest = afloat.rest()?;
    let deck = Deck::of(boat);
    let z = options.z_m.unwrap_or(entry.centre_m.z);
    let trial = Trial {
        boat,
        without: without_outside(afloat, number),
        sills: afloat.sills(),
        map: afloat.map()?,
        knocks: afloat.knocks()?,
        entry: number,
        thing: entry,
        finder: OutsideFinder::of(boat),
        bounds: Bounds::of(boat, entry, z),
        corners: corners_within(boat, entry),
        bulkheads: Bulkheads::of(&boat.compartments),
    };
    let size = deck.high - deck.low;
    let [along, across] = options.grid.map(|count| count.max(1));
    let cell_m = [size.x / f64::from(along), size.y / f64::from(across)];
    let spots = (0..along).flat_map(|i| (0..across).map(move |j| [i, j]));
    let spots = spots.map(|[i, j]| {
        let x = deck.low.x + (f64::from(i) + 0.5) * cell_m[0];
        let y = deck.low.y + (f64::from(j) + 0.5) * cell_m[1];
        Vec3::new(x, y, z)
    });
    let over: Vec<Vec3> = spots
        .collect::<Vec<_>>()
        .into_par_iter()
        .filter(|at| deck.top_m(at.x, at.y).is_some())
        .collect();
    let (within, beyond): (Vec<Vec3>, Vec<Vec3>) =
        over.into_par_iter().partition(|at| trial.in_the_hull(at));
    let outside_the_hull = beyond.len();
    let cells = tried(&trial, within, afloat.watch())?;
    let off = boat.centre_spread_m() * (boat.mass_kg() / entry.mass_kg);
    let level = level_place(&trial, &deck, z)?.map(|level| LevelPlace {
        shift_spread_m: [off.x, off.y],
        ..level
    });
    let level_cell = level
        .as_ref()
        .filter(|level| level.on_the_boat && level.in_the_hull && level.fits)
        .map(|level| &level.cell);
    let best = best_of(cells.iter().chain(level_cell), &entry.centre_m).cloned();
    let now = trial.at_rest(afloat.craft(), rest, &entry.centre_m)?;
    let result = PlaceResult {
        item: entry.name.clone(),
        item_mass_kg: entry.mass_kg,
        worth_moving: best.as_ref().is_some_and(|best| gains(&now, best)),
        now,
        best_passes: best.as_ref().map(|best| best.fails.is_empty()),
        best,
        level,
        cell_m,
        cells,
        outside_the_hull,
        yardsticks: yardsticks(boat),
        frame: boat.frame,
        outline_m: outline_from_above(boat),
    };
    let answer = Answer::of(boat, result, with_usual(Vec::new(), boat, Doing::Loading));
    Ok(answer.lying(boat, rest.plane()))
}

/// What each place gives in which the thing fits.
fn tried(
    trial: &Trial<'_>,
    places: Vec<Vec3>,
    watch: &dyn Progress,
) -> Result<Vec<PlaceCell>, EquilibriumError> {
    let stage = Stage::begin(watch, "trying each place", places.len());
    let cells = places.into_par_iter().filter_map(|at| {
        if let Err(stopped) = stage.next() {
            return Some(Err(stopped.into()));
        }
        if !trial.fits(&at) {
            return None;
        }
        trial.cell(&at).transpose()
    });
    cells.collect()
}

/// The cell with the fewest fails, then the highest sill; of cells alike the one nearest
/// to where the item is.
fn best_of<'a>(cells: impl Iterator<Item = &'a PlaceCell>, now: &Vec3) -> Option<&'a PlaceCell> {
    let off_m = |cell: &PlaceCell| (Vec3::from(cell.at_m) - now).norm();
    let afloat = cells.filter_map(|cell| Some((cell, cell.lowest_sill_m?)));
    let best = afloat.reduce(|best, next| {
        let fails = [best.0.fails.len(), next.0.fails.len()];
        let higher_m = next.1 - best.1;
        let is_better = if fails[0] != fails[1] {
            fails[1] < fails[0]
        } else if higher_m.abs() > ALIKE_M {
            higher_m > 0.0
        } else {
            off_m(next.0) < off_m(best.0) - ALIKE_M
        };
        if is_better { next } else { best }
    });
    best.map(|(cell, _)| cell)
}

/// Heights and distances that differ by less are alike, m: what rounding leaves.
const ALIKE_M: f64 = 1e-9;

struct Trial<'a> {
    boat: &'a Boat,
    /// The craft without what the item displaces outside the envelope.
    without: Craft,
    sills: &'a Sills,
    /// Attitudes and knocks of the craft as it is, from which those with the item
    /// elsewhere are sought.
    map: &'a SphereMap,
    knocks: &'a [Knock],
    entry: usize,
    thing: &'a MassEntry,
    finder: OutsideFinder,
    bounds: Bounds<'a>,
    /// Corners of its box, from its centre, that must stay within the hull, m.
    corners: Vec<Vec3>,
    bulkheads: Bulkheads<'a>,
}

/// The corners of an item's box, from its centre of gravity, that are to stay within the
/// hull wherever it goes: of one whose middle stands within the hull the lower four, and
/// the upper four too where they are within now. Something taller than its well sticks
/// out of it elsewhere too.
fn corners_within(boat: &Boat, thing: &MassEntry) -> Vec<Vec3> {
    let Some(size) = thing.under_water.size_m else {
        return Vec::new();
    };
    let middle = thing.volume_centre_m();
    if !boat.envelope.encloses(&middle) {
        return Vec::new();
    }
    let level = |z: f64| {
        [[1.0, 1.0], [1.0, -1.0], [-1.0, -1.0], [-1.0, 1.0]]
            .map(|[x, y]| middle - thing.centre_m + Vec3::new(x, y, z).component_mul(&size) / 2.0)
    };
    let upper = level(1.0);
    let within = |off: &Vec3| boat.envelope.encloses(&(thing.centre_m + off));
    let mut corners = level(-1.0).to_vec();
    if upper.iter().all(within) {
        corners.extend(upper);
    }
    corners
}

/// The craft without what an entry of its masses displaces outside the envelope.
fn without_outside(afloat: &Afloat<'_>, entry: usize) -> Craft {
    let mut craft = afloat.craft().clone();
    for outside in afloat
        .boat()
        .outside
        .iter()
        .filter(|thing| thing.entry == entry)
    {
        craft.displacers.take_away(&outside_of(outside));
    }
    craft
}

impl Trial<'_> {
    fn moved(&self, to: &Vec3) -> Craft {
        let mut craft = self.without.clone();
        if let Some(outside) = self.finder.outside(self.entry, self.thing, to) {
            craft.displacers.add_all(&outside_of(&outside));
        }
        let share = self.thing.mass_kg / craft.mass_kg;
        craft.centre_of_gravity_m += (to - self.thing.centre_m) * share;
        craft
    }

    /// Its middle with its centre of gravity at a place, m.
    fn middle_m(&self, to: &Vec3) -> Vec3 {
        to + self.thing.volume_centre_m() - self.thing.centre_m
    }

    fn in_the_hull(&self, to: &Vec3) -> bool {
        self.bounds.hold(&self.middle_m(to))
    }

    /// Whether the item's box fits within the hull, clear of its bulkheads, with its
    /// centre at a place.
    fn fits(&self, to: &Vec3) -> bool {
        let envelope = &self.boat.envelope;
        let middle = self.middle_m(to);
        let is_clear = |size: &Vec3| self.bulkheads.through(&middle, size).is_none();
        self.thing.under_water.size_m.as_ref().is_none_or(is_clear)
            && self
                .corners
                .iter()
                .all(|off| envelope.encloses(&(to + off)))
    }

    /// The craft with the item at a place, set upright; `None` where it sinks.
    fn cell(&self, to: &Vec3) -> Result<Option<PlaceCell>, EquilibriumError> {
        let craft = self.moved(to);
        let settled = settle_worse_if_afloat(&craft, self.sills)?;
        settled
            .map(|settled| self.at_rest(&craft, &settled.rest, to))
            .transpose()
    }

    fn at_rest(
        &self,
        craft: &Craft,
        rest: &Rest,
        at_m: &Vec3,
    ) -> Result<PlaceCell, EquilibriumError> {
        let plane = rest.plane();
        let lowest = self.sills.lowest(plane);
        let knocks = knock_near(craft, self.sills, rest, self.map, self.knocks)?;
        let knock_j = knocks
            .iter()
            .map(|found| found.work_m4 * craft.density_kg_m3 * STANDARD_GRAVITY_M_S2)
            .reduce(f64::min);
        let leans = least_leans(craft, self.sills, rest)?;
        let first_deg = leans.first_rad().map(f64::to_degrees);
        let least_lean_deg = leans.flood.map(|(_, flood)| flood.lean_rad.to_degrees());
        let least_over_deg = leans.over.map(|(_, over)| over.lean_rad.to_degrees());
        let limits = &self.boat.yardsticks;
        let heel_deg = plane.heel_deg();
        let judged = [
            (
                "sill",
                limits
                    .sill
                    .verdict(lowest.map_or(f64::INFINITY, |sill| sill.height_m)),
            ),
            (
                "knock",
                limits.energy.verdict(knock_j.unwrap_or(f64::INFINITY)),
            ),
            (
                "lean",
                limits.tilt.verdict(first_deg.unwrap_or(f64::INFINITY)),
            ),
            (
                "heel",
                if heel_deg.abs() > MOST_HEEL_DEG {
                    Verdict::Fail
                } else {
                    Verdict::Clear
                },
            ),
        ];
        Ok(PlaceCell {
            at_m: coordinates(*at_m),
            heel_deg,
            pitch_deg: plane.pitch_deg(),
            lowest_sill_m: lowest.map(|sill| sill.height_m),
            opening: lowest.map(|sill| self.boat.openings[sill.opening].name.clone()),
            knock_j,
            knock_first: comes_first_of_least(&knocks, rest),
            least_lean_deg,
            least_over_deg,
            verdict: judged
                .iter()
                .map(|(_, verdict)| *verdict)
                .min()
                .unwrap_or(Verdict::Clear),
            fails: judged
                .into_iter()
                .filter(|(_, verdict)| *verdict == Verdict::Fail)
                .map(|(name, _)| name)
                .collect(),
        })
    }
}

/// The craft held upright rests level once its weight stands over its buoyancy.
/// What the item displaces outside moves with it, so the shift is found again until
/// nothing is left of it; `None` where that has no end, or it sinks.
fn level_place(
    trial: &Trial<'_>,
    deck: &Deck<'_>,
    z: f64,
) -> Result<Option<LevelPlace>, EquilibriumError> {
    let from = trial.thing.centre_m;
    let mut to = from;
    for _ in 0..LEVEL_STEPS {
        let craft = trial.moved(&to);
        let upright = match find_rest(&craft, &Vec3::z(), Hold::Attitude) {
            Ok(upright) => upright,
            Err(EquilibriumError::Sinks { .. }) => return Ok(None),
            Err(other) => return Err(other),
        };
        let Some(buoyancy) = upright.immersion.centre_of_buoyancy_m() else {
            return Ok(None);
        };
        // Loose liquid weighs too: the weight's centre is the rest's.
        let mass_kg = craft.total_mass_kg();
        let off = (buoyancy - upright.centre_of_gravity_m) * (mass_kg / trial.thing.mass_kg);
        to = Vec3::new(to.x + off.x, to.y + off.y, z);
        if off.xy().norm() <= LEVEL_WITHIN_M {
            let Some(cell) = trial.cell(&to)? else {
                return Ok(None);
            };
            return Ok(Some(LevelPlace {
                shift_m: [to.x - from.x, to.y - from.y],
                shift_spread_m: [0.0; 2],
                on_the_boat: deck.top_m(to.x, to.y).is_some(),
                in_the_hull: trial.in_the_hull(&to),
                fits: trial.fits(&to),
                cell,
            }));
        }
    }
    Ok(None)
}

/// Whether a place is better than where the item is.
fn gains(now: &PlaceCell, there: &PlaceCell) -> bool {
    let sill = |cell: &PlaceCell| cell.lowest_sill_m.unwrap_or(f64::INFINITY);
    match there.fails.len().cmp(&now.fails.len()) {
        Ordering::Less => true,
        Ordering::Equal => sill(there) > sill(now) + WORTH_MOVING_M,
        Ordering::Greater => false,
    }
}

fn yardsticks(boat: &Boat) -> Vec<Yardstick> {
    let limits = &boat.yardsticks;
    vec![
        Yardstick::SillAtRest(limits.sill.clone()),
        Yardstick::WorkToAwash(limits.energy.clone()),
        Yardstick::LeanToAwash(limits.tilt.clone()),
        Yardstick::HeelAtRest(MOST_HEEL_DEG),
    ]
}
