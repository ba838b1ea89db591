//! Where an item may go: the margin with it in each place.
use rayon::prelude::*;
use serde::Serialize;

use super::cautions::CAUTIONS;
use super::deck::Deck;
use super::hydrostatics::coordinates;
use super::named::{NamedError, mass_named};
use crate::boat::{Boat, Verdict};
use crate::equilibrium::{
    Craft, EquilibriumError, Hold, Knock, Rest, Sills, SphereMap, find_rest, find_rest_from, knock,
    knock_near, map_sphere, settle,
};
use crate::mesh::Doubt;
use crate::numerics::{STANDARD_GRAVITY_M_S2, Vec3};

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
    /// The place of the grid with the highest lowest sill; absent where none
    /// floats.
    pub best: Option<PlaceCell>,
    /// The place that makes the craft level.
    pub level: Option<LevelPlace>,
    /// Distance between places along x and y, m.
    pub cell_m: [f64; 2],
    /// All places of the grid that lie on the boat.
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
    /// What the yardsticks for sill and work say, the worse.
    pub verdict: Verdict,
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
    let entry = &boat.masses[mass_named(boat, item)?];
    let craft = Craft::of(boat);
    let sills = Sills::of(&boat.openings);
    let rest = settle(&craft)?.rest;
    let map = map_sphere(&craft, std::slice::from_ref(&rest))?;
    let knocks = knock(&craft, &sills, &rest, &map);
    let deck = Deck::of(boat);
    let trial = Trial {
        boat,
        craft: &craft,
        sills: &sills,
        rest: &rest,
        map: &map,
        knocks: &knocks,
        from_m: entry.centre_m,
        mass_kg: entry.mass_kg,
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
            deck.top_m(x, y).map(|_| trial.cell(&Vec3::new(x, y, z)))
        })
        .collect::<Result<_, EquilibriumError>>()?;
    let best = cells
        .iter()
        .filter(|cell| cell.lowest_sill_m.is_some())
        .max_by(|a, b| {
            a.lowest_sill_m
                .partial_cmp(&b.lowest_sill_m)
                .unwrap_or(std::cmp::Ordering::Equal)
        })
        .cloned();
    let mut result = PlaceResult {
        name: boat.name.clone(),
        item: entry.name.clone(),
        item_mass_kg: entry.mass_kg,
        summary: String::new(),
        now: trial.cell(&entry.centre_m)?,
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
    result.summary = summary(&result);
    Ok(result)
}

struct Trial<'a> {
    boat: &'a Boat,
    craft: &'a Craft,
    sills: &'a Sills,
    rest: &'a Rest,
    /// Attitudes and knocks of the craft as it is, from which those with the item
    /// elsewhere are sought.
    map: &'a SphereMap,
    knocks: &'a [Knock],
    from_m: Vec3,
    mass_kg: f64,
}

impl Trial<'_> {
    fn moved(&self, to: &Vec3) -> Craft {
        let mut craft = self.craft.clone();
        craft.centre_of_gravity_m += (to - self.from_m) * (self.mass_kg / craft.mass_kg);
        craft
    }

    fn cell(&self, to: &Vec3) -> Result<PlaceCell, EquilibriumError> {
        let craft = self.moved(to);
        let rest = find_rest_from(&craft, self.rest.plane(), Hold::Nothing)?;
        let plane = rest.plane();
        let lowest = self.sills.lowest(plane);
        let knock_j = knock_near(&craft, self.sills, &rest, self.map, self.knocks)?
            .iter()
            .map(|found| found.work_m4 * craft.density_kg_m3 * STANDARD_GRAVITY_M_S2)
            .reduce(f64::min);
        let limits = &self.boat.yardsticks;
        let sill_verdict = limits
            .sill
            .verdict(lowest.map_or(f64::INFINITY, |sill| sill.height_m));
        let knock_verdict = limits.energy.verdict(knock_j.unwrap_or(f64::INFINITY));
        Ok(PlaceCell {
            at_m: coordinates(*to),
            heel_deg: plane.heel_deg(),
            pitch_deg: plane.pitch_deg(),
            lowest_sill_m: lowest.map(|sill| sill.height_m),
            opening: lowest.map(|sill| self.boat.openings[sill.opening].name.clone()),
            knock_j,
            verdict: sill_verdict.min(knock_verdict),
        })
    }
}

/// The craft held upright rests level once its weight stands over its buoyancy.
fn level_place(
    trial: &Trial<'_>,
    deck: &Deck<'_>,
    z: f64,
) -> Result<Option<LevelPlace>, EquilibriumError> {
    let upright = find_rest(trial.craft, &Vec3::z(), Hold::Attitude)?;
    let Some(buoyancy) = upright.immersion.centre_of_buoyancy_m() else {
        return Ok(None);
    };
    let off = buoyancy - trial.craft.centre_of_gravity_m;
    let shift = off * (trial.craft.mass_kg / trial.mass_kg);
    let to = Vec3::new(trial.from_m.x + shift.x, trial.from_m.y + shift.y, z);
    Ok(Some(LevelPlace {
        shift_m: [shift.x, shift.y],
        on_the_boat: deck.top_m(to.x, to.y).is_some(),
        cell: trial.cell(&to)?,
    }))
}

fn summary(result: &PlaceResult) -> String {
    let height = |cell: &PlaceCell| {
        cell.lowest_sill_m.map_or_else(
            || "no opening given".to_owned(),
            |sill| format!("lowest sill {:.0} mm over the water", sill * 1e3),
        )
    };
    let now = format!("{} where it is: {}", result.item, height(&result.now));
    let best = result.best.as_ref().map_or_else(String::new, |best| {
        format!(
            "; best at x {:.2} m, y {:.2} m: {}",
            best.at_m[0],
            best.at_m[1],
            height(best)
        )
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
    ]
}
