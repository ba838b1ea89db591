//! How a craft lies with each compartment open to the sea, singly and in pairs.
use std::sync::Arc;

use rayon::prelude::*;
use serde::Serialize;

use super::cautions::CAUTIONS;
use super::heads::{HeadLine, heads, nobody_marked, of_waters_density, under_water};
use crate::boat::{Boat, Compartment};
use crate::equilibrium::{
    Craft, Displacers, EquilibriumError, OpeningSheet, Rest, settle_if_afloat, space_of,
};
use crate::immersion::{MomentTree, WaterPlane};
use crate::mesh::Doubt;
use crate::numerics::Vec3;

/// ± of a permeability that carries none in the boat file. Ours, no source.
pub const USUAL_PERMEABILITY_SPREAD: f64 = 0.05;
/// The vertical's share along the boat's own z under which a craft that is
/// afloat lies over or stands on end (60°).
const UPRIGHT_SHARE: f64 = 0.5;

/// Result of [`flooded`].
#[derive(Debug, Clone, Serialize)]
pub struct FloodedResult {
    /// The boat's name.
    pub name: String,
    /// What it means in one or two sentences.
    pub summary: String,
    /// The spaces inside.
    pub compartments: Vec<FloodableSpace>,
    /// Each compartment flooded alone, then each pair.
    pub cases: Vec<FloodedCase>,
    /// What no number here covers.
    pub cautions: Vec<String>,
    /// Everything about the meshes that may make these numbers wrong.
    pub mesh_doubts: Vec<Doubt>,
}

impl FloodedResult {
    /// Whether the craft sinks with a single compartment flooded.
    #[must_use]
    pub fn sinks_with_one(&self) -> bool {
        let single = self.cases.iter().filter(|case| case.flooded.len() == 1);
        single.into_iter().any(|case| !case.floats)
    }
}

/// A space inside.
#[derive(Debug, Clone, Serialize)]
pub struct FloodableSpace {
    /// Its name.
    pub name: String,
    /// Its whole volume, m³.
    pub volume_m3: f64,
    /// What water can fill of it, m³.
    pub capacity_m3: f64,
    /// Share that water can fill beside its contents.
    pub permeability: f64,
    /// ± of that share that is looked at.
    pub permeability_spread: f64,
    /// No opening leads in: it is not flooded here.
    pub sealed: bool,
}

/// One way to be flooded.
#[derive(Debug, Clone, Serialize)]
pub struct FloodedCase {
    /// "bow locker", or "bow locker, inside".
    pub name: String,
    /// The compartments open to the sea.
    pub flooded: Vec<String>,
    /// Whether it stays afloat.
    pub floats: bool,
    /// The craft at rest so; absent where it sinks.
    #[serde(flatten)]
    pub rest: Option<FloodedRest>,
    /// Whether it floats with the permeability a spread lower and a spread
    /// higher.
    pub floats_in_band: [bool; 2],
    /// The lowest dry opening's height over the water there, m.
    pub sill_band_m: [Option<f64>; 2],
}

/// A flooded craft at rest.
#[derive(Debug, Clone, Serialize)]
pub struct FloodedRest {
    /// Heel, starboard down positive, deg.
    pub heel_deg: f64,
    /// Pitch, bow up positive, deg.
    pub pitch_deg: f64,
    /// Whether it lies upright rather than over or on end.
    pub upright: bool,
    /// Depth of the base line at the forward draught mark, m.
    pub draught_forward_m: f64,
    /// The same at the after mark, m.
    pub draught_aft_m: f64,
    /// Metacentric height across, m.
    pub gm_transverse_m: f64,
    /// Metacentric height along, m.
    pub gm_longitudinal_m: f64,
    /// Height over the water of the lowest opening into a space that is still
    /// dry, m; absent where there is none.
    pub sill_m: Option<f64>,
    /// That opening.
    pub opening: Option<String>,
    /// Compartments that water reaches next: through an opening under water, or
    /// a passage from a flooded one.
    pub spreads_to: Vec<String>,
    /// The heads of those aboard over the water.
    pub heads: Vec<HeadLine>,
}

/// Opens each compartment to the sea, alone and in pairs: its space is lost to
/// the craft (lost buoyancy), exactly, at whatever attitude it comes to rest in.
/// Sealed compartments are not flooded. Those that the boat file has flooded
/// already stay so in every case.
///
/// # Errors
/// As [`settle_if_afloat`], for a craft that floats but finds no rest.
pub fn flooded(boat: &Boat) -> Result<FloodedResult, EquilibriumError> {
    let craft = Craft::without_fills(boat);
    let spaces: Vec<Space> = (0..)
        .zip(&boat.compartments)
        .filter(|(_, space)| !space.sealed && !space.flooded)
        .map(|(number, compartment)| Space {
            number,
            compartment,
            room: space_of(compartment),
            whole: compartment.tree(),
        })
        .collect();
    let singles = (0..spaces.len()).map(|one| vec![one]);
    let pairs =
        (0..spaces.len()).flat_map(|one| (one + 1..spaces.len()).map(move |two| vec![one, two]));
    let ways: Vec<Vec<usize>> = singles.chain(pairs).collect();
    let cases = ways
        .par_iter()
        .map(|way| {
            let lost: Vec<&Space> = way.iter().map(|&space| &spaces[space]).collect();
            case(boat, &craft, &lost)
        })
        .collect::<Result<Vec<_>, _>>()?;
    let mut result = FloodedResult {
        name: boat.name.clone(),
        summary: String::new(),
        compartments: boat.compartments.iter().map(described).collect(),
        cautions: cautions(boat, &cases),
        cases,
        mesh_doubts: boat.doubts.clone(),
    };
    result.summary = summary(&result);
    Ok(result)
}

struct Space<'a> {
    number: usize,
    compartment: &'a Compartment,
    room: Displacers,
    whole: Arc<MomentTree>,
}

fn described(space: &Compartment) -> FloodableSpace {
    FloodableSpace {
        name: space.name.clone(),
        volume_m3: space.surface().signed_volume_m3(),
        capacity_m3: space.capacity_m3(),
        permeability: space.permeability,
        permeability_spread: spread_of(space),
        sealed: space.sealed,
    }
}

fn spread_of(space: &Compartment) -> f64 {
    if space.permeability_spread > 0.0 {
        space.permeability_spread
    } else {
        USUAL_PERMEABILITY_SPREAD
    }
}

fn case(boat: &Boat, craft: &Craft, lost: &[&Space<'_>]) -> Result<FloodedCase, EquilibriumError> {
    let names: Vec<String> = lost.iter().map(|s| s.compartment.name.clone()).collect();
    let at = |sign: f64| -> Result<Option<Rest>, EquilibriumError> {
        let is_lost = |number| lost.iter().any(|space| space.number == number);
        let mut craft = craft.with_fills_of(boat, |number, _| !is_lost(number));
        for space in lost {
            craft.displacers.take_away(&space.room);
            let given = space.compartment.permeability;
            let moved = (given + sign * spread_of(space.compartment)).clamp(0.0, 1.0) - given;
            if sign != 0.0 {
                craft.displacers.push(-moved, Arc::clone(&space.whole));
            }
        }
        Ok(settle_if_afloat(&craft)?.map(|settled| settled.rest))
    };
    let sill = |rest: &Option<Rest>| {
        let rest = rest.as_ref()?;
        Some(lowest_dry(boat, lost, rest.plane())?.1)
    };
    let (low, rest, high) = (at(-1.0)?, at(0.0)?, at(1.0)?);
    Ok(FloodedCase {
        name: names.join(", "),
        flooded: names,
        floats: rest.is_some(),
        floats_in_band: [low.is_some(), high.is_some()],
        sill_band_m: [sill(&low), sill(&high)],
        rest: rest.map(|rest| flooded_rest(boat, lost, &rest)),
    })
}

/// The lowest opening into a space that is not flooded, and its height, m.
fn lowest_dry<'b>(
    boat: &'b Boat,
    lost: &[&Space<'_>],
    plane: &WaterPlane,
) -> Option<(&'b str, f64)> {
    boat.openings
        .iter()
        .filter(|opening| opening.lets_water_in())
        .filter(|opening| {
            opening
                .floods
                .is_some_and(|space| is_dry(boat, lost, space))
        })
        .map(|opening| {
            let height = plane.height_m(&opening.sill_m(&plane.up));
            (opening.name.as_str(), height)
        })
        .min_by(|a, b| a.1.total_cmp(&b.1))
}

fn is_dry(boat: &Boat, lost: &[&Space<'_>], space: usize) -> bool {
    !boat.compartments[space].flooded && lost.iter().all(|gone| gone.number != space)
}

fn flooded_rest(boat: &Boat, lost: &[&Space<'_>], rest: &Rest) -> FloodedRest {
    let plane = *rest.plane();
    let depth = |x: f64| -plane.height_m(&Vec3::new(x, 0.0, boat.marks.base_z_m));
    let lowest = lowest_dry(boat, lost, &plane);
    let mut spreads_to: Vec<String> = Vec::new();
    let mut reached = |space: usize| {
        let name = &boat.compartments[space].name;
        if is_dry(boat, lost, space) && !spreads_to.contains(name) {
            spreads_to.push(name.clone());
        }
    };
    let is_wet = |rim: &[Vec3]| rim.iter().any(|point| plane.height_m(point) < 0.0);
    for opening in boat.openings.iter().filter(|o| o.lets_water_in()) {
        if let Some(space) = opening.floods.filter(|_| is_wet(&opening.rim)) {
            reached(space);
        }
    }
    for passage in boat.passages.iter().filter(|p| is_wet(&p.rim)) {
        let [one, other] = passage.between;
        match (is_dry(boat, lost, one), is_dry(boat, lost, other)) {
            (false, true) => reached(other),
            (true, false) => reached(one),
            _ => {}
        }
    }
    FloodedRest {
        heel_deg: plane.heel_deg(),
        pitch_deg: plane.pitch_deg(),
        upright: plane.up.z > UPRIGHT_SHARE,
        draught_forward_m: depth(boat.marks.forward_x_m),
        draught_aft_m: depth(boat.marks.aft_x_m),
        gm_transverse_m: rest.gm_transverse_m(),
        gm_longitudinal_m: rest.gm_longitudinal_m(),
        sill_m: lowest.map(|(_, height)| height),
        opening: lowest.map(|(name, _)| name.to_owned()),
        spreads_to,
        heads: heads(boat, &plane),
    }
}

fn cautions(boat: &Boat, cases: &[FloodedCase]) -> Vec<String> {
    let mut cautions = vec![
        "Each flooded space is open to the sea and holds no trapped air; what stands in it keeps its volume. Nobody moves.".to_owned(),
    ];
    let heads = cases.iter().filter_map(|case| {
        let rest = case.rest.as_ref()?;
        Some((format!("with {} flooded", case.name), rest.heads.as_slice()))
    });
    cautions.extend(under_water(heads));
    cautions.extend(nobody_marked(boat, "no head is held against the water"));
    cautions.extend(of_waters_density(boat, ""));
    let blind = boat
        .openings
        .iter()
        .filter(|o| o.lets_water_in() && OpeningSheet::of_rim(&o.rim).is_none());
    let blind: Vec<&str> = blind.map(|o| o.name.as_str()).collect();
    if !blind.is_empty() {
        cautions.push(format!(
            "Of {} only a point or a line of the rim is known.",
            blind.join(", ")
        ));
    }
    cautions.extend(CAUTIONS.iter().map(|&text| text.to_owned()));
    cautions
}

fn summary(result: &FloodedResult) -> String {
    let singles: Vec<&FloodedCase> = result
        .cases
        .iter()
        .filter(|case| case.flooded.len() == 1)
        .collect();
    if singles.is_empty() {
        return "No compartment can flood: all are sealed.".into();
    }
    let sinking: Vec<&str> = singles
        .iter()
        .filter(|case| !case.floats)
        .map(|case| case.name.as_str())
        .collect();
    let spreading: Vec<String> = singles
        .iter()
        .filter_map(|case| {
            let rest = case.rest.as_ref()?;
            let on = rest.spreads_to.join(", ");
            (!on.is_empty()).then(|| format!("from {} it spreads to {on}", case.name))
        })
        .collect();
    let mut text = if sinking.is_empty() {
        "It stays afloat with any one compartment flooded".to_owned()
    } else {
        format!("IT SINKS with {} flooded", sinking.join(", or "))
    };
    if !spreading.is_empty() {
        text += &format!("; water goes on: {}", spreading.join("; "));
    }
    let doubtful: Vec<&str> = singles
        .iter()
        .filter(|case| case.floats_in_band[0] != case.floats_in_band[1])
        .map(|case| case.name.as_str())
        .collect();
    if !doubtful.is_empty() {
        text += &format!(
            "; with {} it hangs on the permeability, within its ±",
            doubtful.join(", ")
        );
    }
    text + "."
}
