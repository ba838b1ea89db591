//! Where an item may go: the margin with it in each place.
use rayon::prelude::*;
use serde::Serialize;

use super::cautions::CAUTIONS;
use super::deck::Deck;
use super::fills::told_first;
use super::hydrostatics::coordinates;
use super::named::{NamedError, mass_named};
use crate::boat::{Boat, MassEntry, OutsideFinder, Verdict};
use crate::equilibrium::{
    Craft, EquilibriumError, Hold, Knock, Rest, Sills, SphereMap, find_rest, knock, knock_near,
    least_lean, map_sphere, outside_of, settle, settle_if_afloat,
};
use crate::mesh::Doubt;
use crate::numerics::{STANDARD_GRAVITY_M_S2, Vec3};

/// Most heel at rest, deg: borrowed from UK Maritime and Coastguard Agency, MGN 280
/// (M), Small Vessels in Commercial Use, annex section 11.4.1, which sets it for all
/// persons along one side.
const MOST_HEEL_DEG: f64 = 7.0;
/// Most steps to the place that levels the craft: one does, but where what the item
/// displaces outside moves with it.
const LEVEL_STEPS: u32 = 60;
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
#[derive(Debug, Clone, Serialize)]
pub struct PlaceResult {
    /// The boat's name.
    pub name: String,
    /// The item moved about.
    pub item: String,
    /// Its mass, kg.
    pub item_mass_kg: f64,
    /// One sentence that says what matters most.
    pub summary: String,
    /// With the item where it is.
    pub now: PlaceCell,
    /// The place of the grid with the highest lowest sill of those that fail no
    /// yardstick; where each fails one, of those that fail fewest; absent where none
    /// floats.
    pub best: Option<PlaceCell>,
    /// Whether that place fails no yardstick; absent without one.
    pub best_passes: Option<bool>,
    /// The place that makes the craft level, where there is one.
    pub level: Option<LevelPlace>,
    /// Distance between places along x and y, m.
    pub cell_m: [f64; 2],
    /// All places of the grid that lie on the boat and where it floats.
    pub cells: Vec<PlaceCell>,
    /// The limits that the verdicts were taken against.
    pub yardsticks: Vec<String>,
    /// What no number here covers.
    pub cautions: Vec<String>,
    /// Everything about the meshes that may make these numbers wrong.
    pub mesh_doubts: Vec<Doubt>,
}

/// The craft at rest with the item in one place.
#[derive(Debug, Clone, Serialize)]
pub struct PlaceCell {
    /// Where the item's centre is, m.
    pub at_m: [f64; 3],
    /// Heel at rest, deg.
    pub heel_deg: f64,
    /// Pitch at rest, deg.
    pub pitch_deg: f64,
    /// Height of the lowest open sill over the water, m; absent with none.
    pub lowest_sill_m: Option<f64>,
    /// Whose sill that is.
    pub opening: Option<String>,
    /// Least work of a knock that puts an opening under, J.
    pub knock_j: Option<f64>,
    /// Least lean that puts an opening under, deg.
    pub least_lean_deg: Option<f64>,
    /// What the yardsticks for sill, work, lean and heel say, the worst.
    pub verdict: Verdict,
    /// Which of them fail: `sill`, `knock`, `lean`, `heel`.
    pub fails: Vec<&'static str>,
}

/// Where the item levels the craft.
#[derive(Debug, Clone, Serialize)]
pub struct LevelPlace {
    /// How far to move it: forward and to port positive, m.
    pub shift_m: [f64; 2],
    /// Whether that is over the boat.
    pub on_the_boat: bool,
    /// The craft with it there.
    pub cell: PlaceCell,
}

/// Moves an item over the boat at one height and gives the margin at each place.
///
/// # Errors
/// [`NamedError::Name`] where there is no such item, [`NamedError::Equilibrium`]
/// where the boat sinks or no rest is found.
pub fn place(boat: &Boat, item: &str, options: &PlaceOptions) -> Result<PlaceResult, NamedError> {
    let number = mass_named(boat, item)?;
    let entry = &boat.masses[number];
    let craft = Craft::of(boat);
    let sills = Sills::of(&boat.openings);
    let rest = settle(&craft)?.rest;
    let map = map_sphere(&craft, std::slice::from_ref(&rest))?;
    let knocks = knock(&craft, &sills, &rest, &map);
    let deck = Deck::of(boat);
    let trial = Trial {
        boat,
        without: without_outside(boat, number),
        sills: &sills,
        map: &map,
        knocks: &knocks,
        entry: number,
        thing: entry,
        finder: OutsideFinder::of(boat),
    };
    let z = options.z_m.unwrap_or(entry.centre_m.z);
    let size = deck.high - deck.low;
    let [along, across] = options.grid.map(|count| count.max(1));
    let cell_m = [size.x / f64::from(along), size.y / f64::from(across)];
    let spots: Vec<[u32; 2]> = (0..along)
        .flat_map(|i| (0..across).map(move |j| [i, j]))
        .collect();
    let cells: Vec<PlaceCell> = spots
        .into_par_iter()
        .filter_map(|[i, j]| {
            let x = deck.low.x + (f64::from(i) + 0.5) * cell_m[0];
            let y = deck.low.y + (f64::from(j) + 0.5) * cell_m[1];
            deck.top_m(x, y)?;
            trial.cell(&Vec3::new(x, y, z)).transpose()
        })
        .collect::<Result<_, EquilibriumError>>()?;
    let best = cells
        .iter()
        .filter_map(|cell| Some((cell, cell.lowest_sill_m?)))
        .max_by(|(a, a_sill_m), (b, b_sill_m)| {
            let fewer_fails = b.fails.len().cmp(&a.fails.len());
            fewer_fails.then(a_sill_m.total_cmp(b_sill_m))
        })
        .map(|(cell, _)| cell.clone());
    let mut result = PlaceResult {
        name: boat.name.clone(),
        item: entry.name.clone(),
        item_mass_kg: entry.mass_kg,
        summary: String::new(),
        now: trial.at_rest(&craft, &rest, &entry.centre_m)?,
        best_passes: best.as_ref().map(|best| best.fails.is_empty()),
        best,
        level: level_place(&trial, &deck, z)?,
        cell_m,
        cells,
        yardsticks: yardsticks(boat),
        cautions: boat
            .cautions
            .iter()
            .cloned()
            .chain(CAUTIONS.iter().map(|&text| text.to_owned()))
            .collect(),
        mesh_doubts: boat.doubts.clone(),
    };
    result.summary = told_first(boat, rest.plane(), summary(&result));
    Ok(result)
}

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
}

/// The craft without what an entry of its masses displaces outside the envelope.
fn without_outside(boat: &Boat, entry: usize) -> Craft {
    let mut craft = Craft::of(boat);
    for outside in boat.outside.iter().filter(|thing| thing.entry == entry) {
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

    /// The craft with the item at a place, set upright; `None` where it sinks.
    fn cell(&self, to: &Vec3) -> Result<Option<PlaceCell>, EquilibriumError> {
        let craft = self.moved(to);
        match settle_if_afloat(&craft)? {
            Some(settled) => self.at_rest(&craft, &settled.rest, to).map(Some),
            None => Ok(None),
        }
    }

    fn at_rest(
        &self,
        craft: &Craft,
        rest: &Rest,
        at_m: &Vec3,
    ) -> Result<PlaceCell, EquilibriumError> {
        let plane = rest.plane();
        let lowest = self.sills.lowest(plane);
        let knock_j = knock_near(craft, self.sills, rest, self.map, self.knocks)?
            .iter()
            .map(|found| found.work_m4 * craft.density_kg_m3 * STANDARD_GRAVITY_M_S2)
            .reduce(f64::min);
        let least_lean_deg =
            least_lean(craft, self.sills, rest)?.map(|(_, lean)| lean.lean_rad.to_degrees());
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
                limits.tilt.verdict(least_lean_deg.unwrap_or(f64::INFINITY)),
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
            least_lean_deg,
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
                on_the_boat: deck.top_m(to.x, to.y).is_some(),
                cell,
            }));
        }
    }
    Ok(None)
}

fn summary(result: &PlaceResult) -> String {
    let said = |cell: &PlaceCell| {
        let sill = cell.lowest_sill_m.map_or_else(
            || "no opening given".to_owned(),
            |sill| format!("lowest sill {:.0} mm over the water", sill * 1e3),
        );
        let knock = cell
            .knock_j
            .map_or_else(String::new, |work| format!(", least knock {work:.0} J"));
        format!("{sill}, heel {}{knock}", heel_in_words(cell.heel_deg))
    };
    let now = format!("{} where it is: {}", result.item, said(&result.now));
    let best = result.best.as_ref().map_or_else(String::new, |best| {
        let at = format!("x {:.2} m, y {:.2} m: {}", best.at_m[0], best.at_m[1], said(best));
        if best.fails.is_empty() {
            format!("; best at {at}")
        } else {
            format!(
                "; no place passes every yardstick; the one that comes nearest is {at}, where it fails on {}",
                best.fails.join(" and ")
            )
        }
    });
    let level = result.level.as_ref().map_or_else(String::new, |level| {
        let [forward, port] = level.shift_m;
        format!(
            "; to level the craft move it {:.0} mm {} and {:.0} mm to {}{}",
            forward.abs() * 1e3,
            if forward < 0.0 { "aft" } else { "forward" },
            port.abs() * 1e3,
            if port < 0.0 { "starboard" } else { "port" },
            if level.on_the_boat {
                ""
            } else {
                ", which is off the boat: move something else as well"
            }
        )
    });
    format!("{now}{best}{level}.")
}

fn heel_in_words(heel_deg: f64) -> String {
    let side = if heel_deg > 0.0 { "starboard" } else { "port" };
    match format!("{:.1}", heel_deg.abs()).as_str() {
        "0.0" => "0.0°".to_owned(),
        angle => format!("{angle}° to {side}"),
    }
}

fn yardsticks(boat: &Boat) -> Vec<String> {
    let limits = &boat.yardsticks;
    vec![
        format!(
            "sill at rest: under {:.0} mm fails, over {:.0} mm is clear ({})",
            limits.sill.red.value * 1e3,
            limits.sill.green.value * 1e3,
            limits.sill.source
        ),
        format!(
            "work until an opening is awash: under {:.0} J fails, over {:.0} J is clear ({})",
            limits.energy.red.value, limits.energy.green.value, limits.energy.source
        ),
        format!(
            "lean until an opening is awash: under {:.0}° fails, over {:.0}° is clear ({})",
            limits.tilt.red.value, limits.tilt.green.value, limits.tilt.source
        ),
        format!(
            "heel at rest: over {MOST_HEEL_DEG:.0}° fails (borrowed from UK Maritime and Coastguard Agency, MGN 280 (M), annex section 11.4.1, where it is for all persons along one side)"
        ),
    ]
}
