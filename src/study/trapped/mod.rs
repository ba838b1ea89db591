//! Air caught under decks while the craft floods, and water caught in it when it is
//! lifted out.
use serde::Serialize;

use super::cautions::CAUTIONS;
use super::fills::why_none_open;
use super::hydrostatics::coordinates;
use crate::boat::Boat;
use crate::immersion::WaterPlane;
use crate::mesh::Doubt;
use crate::water::ATMOSPHERE_PA;

mod nodes;
mod pockets;
mod standing;

use pockets::{Pocket, pockets};

/// Smallest pocket that is told by itself, m³: a cupful.
const LEAST_M3: f64 = 1e-4;
/// Depth for which the caught air's lift is given as well, m.
const DEEPER_M: f64 = 10.0;

/// Result of [`trapped`]. Points are `[x, y, z]` in the boat frame, m.
#[derive(Debug, Clone, Serialize)]
#[non_exhaustive]
pub struct TrappedResult {
    /// The boat's name.
    pub name: String,
    /// What matters most, in a few sentences.
    pub summary: String,
    /// Heel that it is held at, starboard down positive, deg.
    pub heel_deg: f64,
    /// Pitch that it is held at, bow up positive, deg.
    pub pitch_deg: f64,
    /// How the water's density was come by.
    pub water: String,
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
    /// What no number here covers.
    pub cautions: Vec<String>,
    /// Everything about the meshes that may make these numbers wrong.
    pub mesh_doubts: Vec<Doubt>,
}

/// Air under a deck, or water in a hollow.
#[derive(Debug, Clone, Serialize)]
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
/// let boat = Boat::load("meshes/dipper/dived.toml".as_ref())?;
/// let result = trapped(&boat, 0.0, -20.0);
/// println!("{:.1} L of air stay in {} pockets", result.air_m3 * 1e3, result.air.len());
/// # Ok(())
/// # }
/// ```
#[must_use]
pub fn trapped(boat: &Boat, heel_deg: f64, pitch_deg: f64) -> TrappedResult {
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
    let has_way_in = boat.openings.iter().any(|opening| opening.lets_water_in());
    let mut result = TrappedResult {
        name: boat.name.clone(),
        summary: String::new(),
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
        cautions: cautions(boat, &no_way_in),
        no_way_in,
        mesh_doubts: boat.doubts.clone(),
    };
    result.summary = if has_way_in {
        summary(&result)
    } else {
        format!(
            "It does not flood, and nothing is caught: {}.",
            why_none_open(boat)
        )
    };
    result
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

fn cautions(boat: &Boat, no_way_in: &[String]) -> Vec<String> {
    let mut cautions = vec![
        "Slow flooding in still water at one attitude: a tilt on the way down lets air out or \
         catches more, and air that is caught shrinks with depth and grows on the way up. \
         Things inside, ribs and folds in the skin that the mesh does not show catch more."
            .to_owned(),
        "The inside is taken between the outer faces of the skin, with the skin's volume spread \
         over it; an opening of fewer than three rim points counts at those points only."
            .to_owned(),
    ];
    if !no_way_in.is_empty() {
        cautions.push(format!(
            "All or a part of {} has no way in: no open opening and no passage leads there, so no \
             water gets in and it counts neither as caught air nor as kept water. If water does \
             get in, give its opening; if none does, say `sealed = true`.",
            no_way_in.join(", ")
        ));
    }
    let dry: Vec<&str> = boat
        .compartments
        .iter()
        .filter(|space| !space.free_flooding)
        .map(|space| space.name.as_str())
        .collect();
    if !dry.is_empty() {
        cautions.push(format!(
            "{} does not flood and is not counted here; its air is in awash dive.",
            dry.join(", ")
        ));
    }
    cautions.extend(CAUTIONS.iter().map(|&text| text.to_owned()));
    cautions
}

fn summary(result: &TrappedResult) -> String {
    let litres = |m3: f64| format!("{:.1} L", m3 * 1e3);
    let end = |line: &PocketLine| {
        let [x, y, z] = line.end_m;
        format!("x = {x:.2} m, y = {y:.2} m, z = {z:.2} m ({})", line.place)
    };
    let air = match result.air.first() {
        None => "No air stays in it as it floods.".to_owned(),
        Some(largest) => format!(
            "As it floods {} of air stay in it and lift {:.1} kg; the largest pocket, {}, would empty through a vent at {}.",
            litres(result.air_m3),
            result.air_lift_kg,
            litres(largest.volume_m3),
            end(largest)
        ),
    };
    let water = match result.water_kept.first() {
        None => " Lifted out, it drains by itself.".to_owned(),
        Some(largest) => format!(
            " Lifted out, it keeps {} of water and weighs {:.0} kg; a drain at {} would let most of it out.",
            litres(result.water_kept_m3),
            result.mass_lifted_kg,
            end(largest)
        ),
    };
    format!("{air}{water}")
}
