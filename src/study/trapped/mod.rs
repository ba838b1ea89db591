//! Air caught under decks while the craft floods, and water caught in it when it is
//! lifted out.
use schemars::JsonSchema;
use serde::Serialize;

use super::shared::answer::Answer;
use super::shared::cautions::{Caution, Doing};
use super::shared::fills::NoneOpen;
use super::shared::hydrostatics::coordinates;
use crate::boat::Boat;
use crate::immersion::WaterPlane;
use crate::quantity::Sentence;
use crate::water::ATMOSPHERE_PA;

mod nodes;
mod pockets;
mod standing;

use pockets::{Pocket, pockets};

/// Smallest pocket that is told by itself, m³: a cupful.
const LEAST_M3: f64 = 1e-4;
/// Depth for which the caught air's lift is given as well, m.
pub const DEEPER_M: f64 = 10.0;

/// Result of [`trapped`]. Points are `[x, y, z]` in the boat frame, m.
#[derive(Debug, Clone, JsonSchema, Serialize)]
#[non_exhaustive]
pub struct TrappedResult {
    /// Why no opening lets water in; `None` where one does.
    #[serde(skip)]
    pub none_open: Option<NoneOpen>,
    /// Heel that it is held at, starboard down positive, deg.
    pub heel_deg: f64,
    /// Pitch that it is held at, bow up positive, deg.
    pub pitch_deg: f64,
    /// Where the water's density comes from.
    pub water: Sentence,
    /// Air that no opening lets out, largest first.
    pub air: Vec<PocketLine>,
    /// All of it, with the pockets too small to be told, m³.
    pub air_m3: f64,
    /// What it lifts, kg.
    pub air_lift_kg: f64,
    /// Water that no opening lets out when the craft is lifted, largest first.
    pub water_kept: Vec<PocketLine>,
    /// All of it, m³.
    pub water_kept_m3: f64,
    /// Its mass, kg.
    pub water_kept_kg: f64,
    /// Mass of the craft with it, kg.
    pub mass_lifted_kg: f64,
    /// Compartments of which a part has no way in: no water gets there, so it holds
    /// neither caught air nor kept water.
    pub no_way_in: Vec<String>,
    /// Side of the columns that the inside was followed on, m: ways narrower than
    /// that are not seen, and a level may be off by as much on a slope.
    pub cell_m: f64,
}

/// Air under a deck, or water in a hollow.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct PocketLine {
    /// Compartments that it lies in.
    pub compartments: Vec<String>,
    /// m³.
    pub volume_m3: f64,
    /// Mass of that much water, kg: what air lifts, what water weighs.
    pub water_mass_kg: f64,
    /// Lift left when air caught at the surface is taken down to 10 m, kg (Boyle);
    /// for water its mass.
    pub at_10_m_kg: f64,
    /// The end of it that is farthest from spilling: the highest point of air, where
    /// a vent would empty it; the lowest of water, where a drain would.
    pub end_m: [f64; 3],
    /// Where that is in words.
    pub place: String,
    /// Where its open surface lies, along the vertical in the boat frame, m.
    pub level_m: Option<f64>,
    /// The opening that more of it would leave by.
    pub opening: Option<String>,
    /// Whether the volume is integrated from the mesh; else it is counted on the
    /// grid.
    pub is_exact: bool,
}

/// Finds the air that stays in a flooding boat held at an attitude, and the water
/// that stays in it when it is lifted out at that attitude.
///
/// The inside is every compartment that floods when dived, as the envelope and its
/// bulkheads bound it; each volume is taken times the compartment's permeability, less
/// what stands in it. Things that stand inside are not in the way of what moves out.
///
/// ```
/// # fn main() -> Result<(), Box<dyn std::error::Error>> {
/// use awash::{Boat, study::trapped};
///
/// let boat = Boat::load("meshes/dabchick/sledge.toml".as_ref())?;
/// let result = trapped(&boat, 0.0, -20.0);
/// println!("{:.1} L of air stay in {} pockets", result.air_m3 * 1e3, result.air.len());
/// # Ok(())
/// # }
/// ```
#[must_use]
pub fn trapped(boat: &Boat, heel_deg: f64, pitch_deg: f64) -> Answer<TrappedResult> {
    let up = WaterPlane::at_attitude(heel_deg, pitch_deg, 0.0).up;
    let found = pockets(boat, &up);
    let kept = pockets(boat, &-up).pockets;
    let density = boat.water.density_kg_m3;
    let times = 1.0 + boat.water.pressure_over_surface_pa(DEEPER_M) / ATMOSPHERE_PA;
    let (air, air_m3) = lines(boat, &found.pockets, 1.0, times);
    let (water_kept, water_kept_m3) = lines(boat, &kept, -1.0, 1.0);
    let closed = found.closed.iter();
    let no_way_in: Vec<String> = closed
        .map(|&space| boat.compartments[space].name.clone())
        .collect();
    let result = TrappedResult {
        none_open: NoneOpen::of(boat),
        heel_deg,
        pitch_deg,
        water: boat.water.about.clone(),
        air,
        air_m3,
        air_lift_kg: air_m3 * density,
        water_kept,
        water_kept_m3,
        water_kept_kg: water_kept_m3 * density,
        mass_lifted_kg: boat.mass_kg() + water_kept_m3 * density,
        cell_m: found.cell_m,
        no_way_in,
    };
    let cautions = cautions(boat, &result.no_way_in);
    Answer::of(boat, result, cautions)
}

/// The pockets that are large enough to tell, and the volume of all.
fn lines(boat: &Boat, found: &[Pocket], side: f64, times: f64) -> (Vec<PocketLine>, f64) {
    let density = boat.water.density_kg_m3;
    let all_m3 = found.iter().map(|pocket| pocket.volume_m3).sum();
    let lines = found
        .iter()
        .filter(|pocket| pocket.volume_m3 >= LEAST_M3)
        .map(|pocket| {
            let volume_m3 = pocket.volume_m3;
            PocketLine {
                compartments: pocket
                    .compartments
                    .iter()
                    .map(|&c| boat.compartments[c].name.clone())
                    .collect(),
                volume_m3,
                water_mass_kg: volume_m3 * density,
                at_10_m_kg: volume_m3 * density / times,
                end_m: coordinates(pocket.highest_m),
                place: boat.place_in_words(&pocket.highest_m),
                level_m: Some(side * pocket.level_m),
                opening: pocket.opening.map(|o| boat.openings[o].name.clone()),
                is_exact: pocket.is_exact,
            }
        })
        .collect();
    (lines, all_m3)
}

fn cautions(boat: &Boat, no_way_in: &[String]) -> Vec<Caution> {
    let dry = boat.compartments.iter().filter(|s| !s.free_flooding);
    let dry: Vec<String> = dry.map(|space| space.name.clone()).collect();
    let own = [
        Some(Caution::SlowFloodingOnly),
        Some(Caution::InsideBetweenOuterFaces),
        (!no_way_in.is_empty()).then(|| Caution::NoWayIn {
            spaces: no_way_in.to_vec(),
        }),
        (!dry.is_empty()).then_some(Caution::StaysDry { spaces: dry }),
    ];
    own.into_iter()
        .flatten()
        .chain(Doing::Diving.cautions(boat))
        .collect()
}
