//! Boats side by side: how each floats, how small a lean or knock floods it,
//! what happens then, how it lies full of water and hangs dived, and which
//! change does what.
use rayon::prelude::*;
use schemars::JsonSchema;
use serde::Serialize;

use super::super::float::OpeningVerdict;
use super::super::shared::attitude::Lies;
use super::super::shared::cautions::{Caution, Doing, WithoutVolume};
use super::super::shared::named::people_aboard;
use super::super::shared::picture::CraftPicture;
use super::super::swamp::SwampEnd;
use crate::boat::{Boat, Verdict};
use crate::equilibrium::{Afloat, EquilibriumError};
use crate::mesh::Doubt;
use crate::quantity::Dimension;

mod rows;
mod spaces;
mod states;
mod steps;

use rows::rows;
use spaces::flooded_rows;
pub use spaces::{EndDoes, FloodedRow, SpaceEnd};
pub(super) use states::Studied;
use steps::steps;
pub use steps::{Judgement, StepEffect, StepLine, StepState, Steps, Way};

/// Smallest change that is told as better or worse: of a height, m, a lean, deg,
/// an energy, J, and a volume, m³. Under what a tape or an arm can tell; ours, no
/// source.
const TOLD_M: f64 = 0.5e-3;
const TOLD_DEG: f64 = 0.05;
const TOLD_J: f64 = 0.1;
const TOLD_M3: f64 = 0.5e-3;

/// Changes smaller than this share of the larger value are none.
const NO_CHANGE: f64 = 1e-9;

/// Result of [`compare`].
#[derive(Debug, Clone, JsonSchema, Serialize)]
#[non_exhaustive]
pub struct CompareResult {
    /// The boats, in the order given; changes count from the first.
    pub names: Vec<String>,
    /// What matters most from the first boat to the last.
    #[serde(skip)]
    pub outcome: Outcome,
    /// One quantity a row.
    pub rows: Vec<CompareRow>,
    /// Height of each opening's sill above the water at rest.
    pub openings: Vec<OpeningRow>,
    /// Where a knock of 20 mm for 3 s ends, for each boat; `None` where it
    /// sinks at rest.
    pub knock_ends: Vec<Option<SwampEnd>>,
    /// What the yardsticks say of those ends; `None` where nothing is asked.
    pub knock_verdicts: Vec<Option<Verdict>>,
    /// What the least knock makes each boat do before it puts an opening under: "turns
    /// over and lies upside down"; `None` where nothing comes first.
    pub least_knock_first: Vec<Option<String>>,
    /// How each boat ends with one compartment open to the sea.
    pub flooded: Vec<FloodedRow>,
    /// What each change from the first boat to the last does; `None` where it
    /// was not asked for.
    pub steps: Option<Steps>,
    /// Who or what is left out of each boat when it is full of water.
    pub overboard: Vec<Vec<String>>,
    /// Each boat at rest; `None` where it sinks.
    #[serde(skip)]
    pub at_rest: Vec<Option<CraftPicture>>,
    /// Each boat full of water, those left out; `None` where it sinks.
    #[serde(skip)]
    pub full: Vec<Option<CraftPicture>>,
    /// What no number here covers.
    #[serde(rename = "caution_codes")]
    pub cautions: Vec<Caution>,
    /// Everything about each boat's meshes that may make its numbers wrong.
    pub mesh_doubts: Vec<Vec<Doubt>>,
}

/// What matters most from the first boat to the last.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Outcome {
    /// There is no boat.
    NoBoat,
    /// The last sinks.
    LastSinks,
    /// The last capsizes.
    LastCapsizes {
        /// Which side is uppermost then.
        lies: Lies,
        /// The first does so too.
        first_too: bool,
    },
    /// The last fills as it lies.
    LastFills {
        /// The opening.
        opening: String,
    },
    /// The first sinks, the last floats.
    FirstSinks,
    /// The first capsizes, the last floats upright.
    FirstCapsizes {
        /// Which side is uppermost then.
        lies: Lies,
    },
    /// Both float upright: what is judged says it.
    BothFloat,
}

impl Outcome {
    fn of(studied: &[Studied]) -> Self {
        let (Some(first), Some(last)) = (studied.first(), studied.last()) else {
            return Self::NoBoat;
        };
        let lies = |studied: &Studied| studied.float.rest.as_ref().map(|rest| rest.lies);
        let capsized = |studied| lies(studied).filter(|lies| lies.is_capsized());
        let mut under = last.float.openings.iter();
        let under = under.find(|o| o.verdict == OpeningVerdict::UnderWater);
        if !last.float.floats {
            Self::LastSinks
        } else if let Some(lies) = capsized(last) {
            Self::LastCapsizes {
                lies,
                first_too: capsized(first).is_some(),
            }
        } else if let Some(opening) = under {
            Self::LastFills {
                opening: opening.name.clone(),
            }
        } else if !first.float.floats {
            Self::FirstSinks
        } else if let Some(lies) = capsized(first) {
            Self::FirstCapsizes { lies }
        } else {
            Self::BothFloat
        }
    }
}

/// Which of the three craft in one hull a quantity speaks of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, JsonSchema, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum CraftState {
    /// Afloat, no water inside.
    Dry,
    /// All that is not sealed open to the sea, without the persons aboard.
    Full,
    /// Wholly under water and flooded.
    Dived,
}

/// One quantity over all boats.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct CompareRow {
    /// Which craft it speaks of.
    pub state: CraftState,
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
    /// Of what dimension it is.
    #[serde(skip)]
    pub dimension: Dimension,
    /// The smallest change that is told as better or worse.
    #[serde(skip)]
    pub least_told: f64,
}

impl CompareResult {
    /// The least knock that floods a boat, J; `None` where none does.
    #[must_use]
    pub fn least_knock(&self, boat: usize) -> Option<f64> {
        let row = self.rows.iter().find(|row| row.key == LEAST_KNOCK)?;
        row.values.get(boat).copied().flatten()
    }
}

/// The row of the least knock.
const LEAST_KNOCK: &str = "least_knock_j";

impl CompareRow {
    /// Whether the boat of a number is better (1) or worse (−1) than the first in
    /// this, or neither (0). A sill, lean or knock that there was not before is
    /// worse; one that is there no more is better.
    #[must_use]
    pub fn judged(&self, boat: usize) -> i8 {
        let value = |boat: usize| self.values.get(boat).copied().flatten();
        let appears = FLOODS.contains(&self.key.as_str());
        let (first, this) = (value(0), value(boat));
        if appears || (first.is_some() && this.is_some()) {
            self.more_is_better * more_or_less(first, this, self.least_told)
        } else {
            0
        }
    }
}

/// Whether a value is told as more (1) or less (−1) than it was, or neither (0).
/// Of a sill, lean or knock: one that there was not before is less, one that is
/// there no more is more.
fn more_or_less(was: Option<f64>, is: Option<f64>, least: f64) -> i8 {
    match (was, is) {
        (Some(was), Some(is)) if (is - was).abs() >= least => {
            if is > was {
                1
            } else {
                -1
            }
        }
        (None, Some(_)) => -1,
        (Some(_), None) => 1,
        _ => 0,
    }
}

/// Rows that are empty where nothing floods the craft.
const FLOODS: [&str; 3] = ["lowest_sill_m", "worst_lean_deg", LEAST_KNOCK];

/// One opening over all boats.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct OpeningRow {
    /// Its name.
    pub name: String,
    /// Height of its sill above the water, m; `None` where the boat has no such
    /// opening or sinks.
    pub freeboard_m: Vec<Option<f64>>,
}

/// Floats each boat, finds its margins, its knock, how it lies full of water and
/// how it hangs dived, and sets them side by side; with a way, also what each
/// change from the first to the last does. No boats, no rows.
///
/// ```
/// # fn main() -> Result<(), Box<dyn std::error::Error>> {
/// use awash::{present::Present, quantity::UnitSystem};
/// use awash::{Boat, study::compare};
///
/// let boat = Boat::load("meshes/dipper/after.toml".as_ref())?;
/// let before = Boat::load("meshes/dipper/before.toml".as_ref())?;
/// println!("{}", compare([&before, &boat], None)?.summary(UnitSystem::Metric));
/// # Ok(())
/// # }
/// ```
///
/// # Errors
/// As the studies of each boat, for the first that fails; a boat that sinks is
/// a result.
pub fn compare<'b>(
    boats: impl IntoIterator<Item = impl Into<Afloat<'b>>>,
    way: Option<&Way<'_>>,
) -> Result<CompareResult, EquilibriumError> {
    let boats: Vec<Afloat<'_>> = boats.into_iter().map(Into::into).collect();
    let studied = boats.par_iter().map(Studied::of);
    compare_studied(&studied.collect::<Result<Vec<_>, _>>()?, way)
}

/// As [`compare`], of boats that have been studied.
pub(super) fn compare_studied(
    studied: &[Studied<'_>],
    way: Option<&Way<'_>>,
) -> Result<CompareResult, EquilibriumError> {
    let boats: Vec<&Boat> = studied.iter().map(|one| one.afloat.boat()).collect();
    let ends = way.zip(studied.first().zip(studied.last()));
    let steps = ends
        .map(|(way, (first, last))| steps(way, first, last))
        .transpose()?;
    let rows = rows(studied);
    let spaces: Vec<&[SpaceEnd]> = studied.iter().map(|one| one.spaces.as_slice()).collect();
    let flooded = flooded_rows(&spaces);
    Ok(CompareResult {
        names: boats.iter().map(|boat| boat.name.clone()).collect(),
        outcome: Outcome::of(studied),
        rows,
        flooded,
        openings: opening_rows(studied),
        knock_ends: studied
            .iter()
            .map(|boat| boat.swamp.as_ref().map(|swamp| swamp.end))
            .collect(),
        knock_verdicts: studied
            .iter()
            .map(|boat| boat.swamp.as_ref()?.verdict)
            .collect(),
        least_knock_first: studied
            .iter()
            .map(|boat| boat.margins.as_ref()?.knock.first()?.first.clone())
            .collect(),
        steps,
        cautions: cautions(&boats, studied),
        mesh_doubts: boats.iter().map(|boat| boat.doubts.clone()).collect(),
        overboard: boats.iter().map(|boat| people_aboard(boat)).collect(),
        full: studied
            .iter()
            .map(|boat| boat.full.picture.clone())
            .collect(),
        at_rest: studied.iter().map(|boat| boat.at_rest.clone()).collect(),
    })
}

fn opening_rows(studied: &[Studied<'_>]) -> Vec<OpeningRow> {
    let mut names: Vec<String> = Vec::new();
    for boat in studied {
        for opening in &boat.float.openings {
            if !names.contains(&opening.name) {
                names.push(opening.name.clone());
            }
        }
    }
    names
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
        .collect()
}

/// The usual ones, and what no volume is given for: it displaces nothing in the
/// full and the dived craft.
fn cautions(boats: &[&Boat], studied: &[Studied<'_>]) -> Vec<Caution> {
    let mut unknown: Vec<&str> = Vec::new();
    for name in studied.iter().flat_map(|boat| &boat.dive.without_volume) {
        if !unknown.contains(&name.as_str()) {
            unknown.push(name);
        }
    }
    let unmanned = boats.iter().filter(|boat| boat.persons().next().is_none());
    let unmanned: Vec<String> = unmanned.map(|boat| boat.name.clone()).collect();
    let own = [
        Caution::without_volume(unknown, WithoutVolume::FullAndDived),
        (!unmanned.is_empty()).then_some(Caution::NobodyMarkedIn { boats: unmanned }),
    ];
    own.into_iter()
        .flatten()
        .chain(Doing::Floating.cautions(boats[0]))
        .collect()
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
