//! Boats side by side: how each floats, how small a lean or knock floods it,
//! and what happens then.
use rayon::prelude::*;
use serde::Serialize;

use super::cautions::CAUTIONS;
use super::float::{FloatResult, OpeningVerdict, float};
use super::margins::{MarginsResult, margins};
use super::swamp::{Knocked, SwampEnd, SwampResult, swamp};
use crate::boat::Boat;
use crate::equilibrium::EquilibriumError;
use crate::mesh::Doubt;

/// Changes smaller than this share of the larger value are none.
const NO_CHANGE: f64 = 1e-9;

/// Result of [`compare`].
#[derive(Debug, Clone, Serialize)]
pub struct CompareResult {
    /// The boats, in the order given; changes count from the first.
    pub names: Vec<String>,
    /// What got better and worse from the first boat to the last.
    pub summary: String,
    /// One quantity a row.
    pub rows: Vec<CompareRow>,
    /// Height of each opening's sill over the water at rest.
    pub openings: Vec<OpeningRow>,
    /// Where a knock of 20 mm for 3 s ends, for each boat; `None` where it
    /// sinks at rest.
    pub knock_ends: Vec<Option<SwampEnd>>,
    /// What no number here covers.
    pub cautions: Vec<String>,
    /// Everything about each boat's meshes that may make its numbers wrong.
    pub mesh_doubts: Vec<Vec<Doubt>>,
}

/// One quantity over all boats.
#[derive(Debug, Clone, Serialize)]
pub struct CompareRow {
    /// Key with its unit, as in the single studies.
    pub key: String,
    /// In words.
    pub name: String,
    /// One value a boat; `None` where there is none.
    pub values: Vec<Option<f64>>,
    /// Each value less the first.
    pub changes: Vec<Option<f64>>,
    /// Whether more is better (1), worse (−1) or neither (0).
    pub more_is_better: i8,
}

/// One opening over all boats.
#[derive(Debug, Clone, Serialize)]
pub struct OpeningRow {
    /// Its name.
    pub name: String,
    /// Height of its sill over the water, m; `None` where the boat has no such
    /// opening or sinks.
    pub freeboard_m: Vec<Option<f64>>,
}

/// What was found of one boat.
struct Studied {
    float: FloatResult,
    margins: Option<MarginsResult>,
    swamp: Option<SwampResult>,
}

/// Floats each boat, finds its margins and its knock, and sets them side by
/// side.
///
/// # Errors
/// As [`float`] for the first boat that fails; a boat that sinks is a result.
pub fn compare(boats: &[Boat]) -> Result<CompareResult, EquilibriumError> {
    let studied: Vec<Studied> = boats
        .par_iter()
        .map(|boat| {
            let float = float(boat)?;
            let floats = float.floats;
            Ok(Studied {
                margins: floats.then(|| margins(boat)).transpose()?,
                swamp: floats
                    .then(|| swamp(boat, &Knocked::default()))
                    .transpose()?,
                float,
            })
        })
        .collect::<Result<_, EquilibriumError>>()?;
    let rows = rows(&studied);
    let mut names: Vec<String> = Vec::new();
    for boat in &studied {
        for opening in &boat.float.openings {
            if !names.contains(&opening.name) {
                names.push(opening.name.clone());
            }
        }
    }
    let openings = names
        .into_iter()
        .map(|name| OpeningRow {
            freeboard_m: studied
                .iter()
                .map(|boat| {
                    let mut openings = boat.float.openings.iter();
                    openings.find(|o| o.name == name)?.freeboard_m
                })
                .collect(),
            name,
        })
        .collect();
    Ok(CompareResult {
        names: boats.iter().map(|boat| boat.name.clone()).collect(),
        summary: summary(&rows, &studied),
        rows,
        openings,
        knock_ends: studied
            .iter()
            .map(|boat| boat.swamp.as_ref().map(|swamp| swamp.end))
            .collect(),
        cautions: CAUTIONS.iter().map(|&text| text.to_owned()).collect(),
        mesh_doubts: boats.iter().map(|boat| boat.doubts.clone()).collect(),
    })
}

fn rows(studied: &[Studied]) -> Vec<CompareRow> {
    let row = |key: &str, name: &str, more_is_better: i8, of: &dyn Fn(&Studied) -> Option<f64>| {
        let values: Vec<Option<f64>> = studied.iter().map(of).collect();
        let first = values.first().copied().flatten();
        CompareRow {
            key: key.to_owned(),
            name: name.to_owned(),
            changes: values
                .iter()
                .map(|value| Some(no_rounding((*value)?, first?)))
                .collect(),
            values,
            more_is_better,
        }
    };
    vec![
        row("mass_kg", "mass aboard", 0, &|s| Some(s.float.mass_kg)),
        row("draught_m", "deepest point under water", 0, &|s| {
            Some(s.float.rest.as_ref()?.draught_m)
        }),
        row("heel_deg", "heel, starboard down +", 0, &|s| {
            Some(s.float.rest.as_ref()?.hydrostatics.heel_deg)
        }),
        row("pitch_deg", "pitch, bow up +", 0, &|s| {
            Some(s.float.rest.as_ref()?.hydrostatics.pitch_deg)
        }),
        row("gm_transverse_m", "metacentric height across", 1, &|s| {
            Some(s.float.rest.as_ref()?.gm_transverse_m)
        }),
        row("gm_longitudinal_m", "metacentric height along", 1, &|s| {
            Some(s.float.rest.as_ref()?.gm_longitudinal_m)
        }),
        row("reserve_of_buoyancy_m3", "reserve of buoyancy", 1, &|s| {
            Some(s.float.rest.as_ref()?.reserve_of_buoyancy_m3)
        }),
        row("lowest_sill_m", "lowest open sill over water", 1, &|s| {
            let open = s.float.openings.iter();
            let open = open.filter(|o| o.verdict != OpeningVerdict::Covered);
            open.filter_map(|o| o.freeboard_m).reduce(f64::min)
        }),
        row("worst_lean_deg", "smallest lean that floods", 1, &|s| {
            s.margins.as_ref()?.worst_tilt.as_ref()?.lean_deg
        }),
        row("least_knock_j", "least knock that floods", 1, &|s| {
            Some(s.margins.as_ref()?.knock.first()?.work_j)
        }),
        row(
            "no_return_m3",
            "water inside past which it fills by itself",
            1,
            &|s| s.swamp.as_ref()?.no_return_m3,
        ),
        row(
            "solid_lacking_m3",
            "solid volume lacking to stay up when full",
            -1,
            &|s| {
                let swamp = s.swamp.as_ref()?;
                Some((swamp.solid_needed_m3 - swamp.solid_m3).max(0.0))
            },
        ),
    ]
}

/// The change, nought where it is only rounding.
fn no_rounding(value: f64, first: f64) -> f64 {
    let change = value - first;
    if change.abs() <= NO_CHANGE * value.abs().max(first.abs()) {
        0.0
    } else {
        change
    }
}

fn summary(rows: &[CompareRow], studied: &[Studied]) -> String {
    if studied.last().is_some_and(|last| !last.float.floats) {
        return "The last of them SINKS.".into();
    }
    let moved = |better: bool| {
        let names: Vec<&str> = rows
            .iter()
            .filter(|row| {
                let change = row.changes.last().copied().flatten().unwrap_or(0.0);
                let good = change * f64::from(row.more_is_better);
                if better { good > 0.0 } else { good < 0.0 }
            })
            .map(|row| row.name.as_str())
            .collect();
        names.join(", ")
    };
    match (moved(true), moved(false)) {
        (better, worse) if better.is_empty() && worse.is_empty() => {
            "Nothing that is judged here changes.".into()
        }
        (better, worse) if worse.is_empty() => format!("Better: {better}. Worse: nothing."),
        (better, worse) if better.is_empty() => format!("Better: nothing. Worse: {worse}."),
        (better, worse) => format!("Better: {better}. Worse: {worse}."),
    }
}
