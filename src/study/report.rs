//! Everything about one craft, for the page that goes to the water's edge: the
//! other studies, what they mean together, and what they take for granted.
use serde::Serialize;

use super::cautions::CAUTIONS;
use super::comparison::{CompareResult, Studied, Way, compare_studied};
use super::curves::{CurvesResult, curves};
use super::dive::DiveResult;
use super::drill::{DrillResult, drill};
use super::float::{FloatResult, OpeningVerdict};
use super::flooded::{FloodedResult, flooded};
use super::foam::{FoamError, FoamResult, FoamWish, foam};
use super::list::{ListKind, ListResult, list};
use super::margins::MarginsResult;
use super::named::without_volume;
use super::picture::CraftPicture;
use super::planes::Planes;
use super::righting::{RightingResult, righting};
use super::scan_band::ScanBand;
use super::spread::{SpreadResult, spread};
use super::swamp::{DISCHARGE_COEFFICIENT, Knocked, SwampResult};
use super::tape::{TapeResult, tape};
use crate::boat::{Boat, HullFrame, Verdict};
use crate::equilibrium::{Afloat, EquilibriumError};
use crate::mesh::Doubt;
use crate::progress::go_on;

/// Draws for the bands of the page: a chance is then right to some 3 %.
const DRAWS: u32 = 250;
/// Where their random numbers start, so that a page can be made again.
const SEED: u64 = 1;
/// Lines of the curves.
const CURVE_STEPS: u16 = 16;

/// Stations of the tape marks.
const TAPE_STATIONS: u16 = 7;

/// The boat before it was changed, and the way from there.
#[derive(Clone)]
pub struct Before<'a> {
    /// It.
    pub afloat: Afloat<'a>,
    /// Both boat files.
    pub way: Way<'a>,
}

/// Result of [`report`]. Studies of a craft afloat are absent where it sinks.
#[derive(Debug, Clone, Serialize)]
#[non_exhaustive]
pub struct ReportResult {
    /// The boat's name.
    pub name: String,
    /// What matters most, each judged.
    pub verdicts: Vec<ReportVerdict>,
    /// How it floats.
    pub float: FloatResult,
    /// Where a hole may go, in this load; absent where no waterline can be drawn.
    pub drill: Option<DrillResult>,
    /// Its waterline by tape; absent where no waterline can be measured.
    pub tape: Option<TapeResult>,
    /// Everything that weighs, in workshop distances.
    pub weights: Option<ListResult>,
    /// What floods it.
    pub margins: Option<MarginsResult>,
    /// What turns it back.
    pub righting: Option<RightingResult>,
    /// What happens after a knock.
    pub swamp: Option<SwampResult>,
    /// Compartments open to the sea; absent with one compartment.
    pub flooded: Option<FloodedResult>,
    /// Full of water, and foam against that; absent without openings.
    pub foam: Option<FoamResult>,
    /// Wholly under water; there for a craft with an air cylinder aboard.
    pub dive: Option<DiveResult>,
    /// How far off the numbers may be.
    pub spread: Option<SpreadResult>,
    /// Curves over draught.
    pub curves: CurvesResult,
    /// Studies that could not be made, though the craft floats.
    pub failed: Vec<FailedStudy>,
    /// Before and after, where a boat before was given.
    pub compare: Option<CompareResult>,
    /// What all this takes for granted.
    pub assumptions: Vec<String>,
    /// What no number here covers.
    pub cautions: Vec<String>,
    /// Everything about the meshes that may make these numbers wrong.
    pub mesh_doubts: Vec<Doubt>,
    /// What its x, y and z count from.
    #[serde(skip)]
    pub frame: HullFrame,
    /// It at rest, for drawings.
    #[serde(skip)]
    pub at_rest: Option<CraftPicture>,
    /// Outline on the centre plane as x, z, m, for drawings.
    #[serde(skip)]
    pub outline_m: Vec<[f64; 2]>,
}

/// A study that could not be made.
#[derive(Debug, Clone, Serialize)]
pub struct FailedStudy {
    /// The section that it belongs to, by its name in the page.
    pub section: &'static str,
    /// Why.
    pub why: String,
}

/// One thing that matters.
#[derive(Debug, Clone, Serialize)]
pub struct ReportVerdict {
    /// What is judged.
    pub about: String,
    /// How it stands; `None` where its yardstick is clear, but something that no
    /// yardstick speaks of is not.
    pub verdict: Option<Verdict>,
    /// That something.
    pub but: Option<String>,
    /// In words.
    pub text: String,
}

/// Makes every study of a boat, and of the way from the boat before.
///
/// ```no_run
/// # fn main() -> Result<(), Box<dyn std::error::Error>> {
/// use awash::{Boat, study::report};
///
/// let boat = Boat::load("meshes/dipper/after.toml".as_ref())?;
/// for judged in report(&boat, None)?.verdicts {
///     println!("{}: {}", judged.about, judged.text);
/// }
/// # Ok(())
/// # }
/// ```
///
/// # Errors
/// As the studies; a craft that sinks is a result. Where it is cancelled.
pub fn report<'b>(
    boat: impl Into<Afloat<'b>>,
    before: Option<&Before<'_>>,
) -> Result<ReportResult, EquilibriumError> {
    report_afloat(&boat.into(), before)
}

fn report_afloat(
    afloat: &Afloat<'_>,
    before: Option<&Before<'_>>,
) -> Result<ReportResult, EquilibriumError> {
    let (boat, watch) = (afloat.boat(), afloat.watch());
    watch.stage("finding every attitude of rest");
    let has_air = boat
        .masses
        .iter()
        .any(|entry| entry.under_water.air.is_some());
    let floats = afloat.settled_if_afloat()?.is_some();
    if floats {
        // Made before the studies part, so that it is made once; a failure is told by
        // the studies that ask for it.
        let _ = afloat.map();
    }
    go_on(watch)?;
    watch.stage("finding margins, ends and the way down");
    let ((own, first), turned) = rayon::join(
        || {
            rayon::join(
                || Studied::as_far_as(afloat),
                || before.map(|b| Studied::of(&b.afloat)).transpose(),
            )
        },
        || floats.then(|| righting(afloat)),
    );
    let (own, compared) = match before.zip(first?) {
        Some((before, first)) => {
            let both = [first, own?];
            let compared = compare_studied(&both, Some(&before.way))?;
            let [_, own] = both;
            (own, Some(compared))
        }
        None => (own?, None),
    };
    go_on(watch)?;
    watch.stage("drawing marks, sizing foam, floating the draws");
    let mut failed: Vec<FailedStudy> = own
        .failed
        .iter()
        .map(|(section, error)| FailedStudy {
            section,
            why: error.to_string(),
        })
        .collect();
    let mut result = ReportResult {
        name: boat.name.clone(),
        verdicts: Vec::new(),
        drill: kept(
            floats.then(|| drill([(boat.name.as_str(), afloat)])),
            "holes",
            &mut failed,
        ),
        tape: kept(
            floats.then(|| tape(afloat, &Planes::Even(TAPE_STATIONS))),
            "tape",
            &mut failed,
        ),
        weights: kept(
            Some(list(afloat, ListKind::Weights)),
            "weights",
            &mut failed,
        ),
        margins: own.margins,
        righting: kept(turned, "righting", &mut failed),
        swamp: own.swamp,
        flooded: kept(
            (floats && boat.compartments.len() > 1).then(|| flooded(afloat)),
            "flooded",
            &mut failed,
        ),
        // Without an opening or with nothing to hold on to there is no foam to size.
        foam: match foam(afloat, &FoamWish::default()) {
            Err(FoamError::Equilibrium(error)) => kept(Some(Err(error)), "full", &mut failed),
            other => other.ok(),
        },
        dive: has_air.then_some(own.dive),
        spread: kept(
            floats.then(|| spread(afloat, DRAWS, SEED)),
            "spread",
            &mut failed,
        ),
        curves: curves(afloat, 0.0, CURVE_STEPS),
        compare: compared,
        assumptions: Vec::new(),
        cautions: Vec::new(),
        mesh_doubts: boat.doubts.clone(),
        frame: boat.frame,
        at_rest: own.at_rest,
        outline_m: boat.envelope.outline_m(),
        float: own.float,
        failed,
    };
    go_on(watch)?;
    result.verdicts = verdicts(boat, &result);
    result.cautions = cautions(&result);
    result.assumptions = assumptions(boat, &result);
    Ok(result)
}

/// What a study gave, where it was made; a failure is kept with its section.
fn kept<T, E: std::fmt::Display>(
    made: Option<Result<T, E>>,
    section: &'static str,
    failed: &mut Vec<FailedStudy>,
) -> Option<T> {
    match made? {
        Ok(result) => Some(result),
        Err(error) => {
            let why = error.to_string();
            failed.push(FailedStudy { section, why });
            None
        }
    }
}

impl ReportResult {
    /// Whether any yardstick is failed.
    #[must_use]
    pub fn fails_a_yardstick(&self) -> bool {
        self.verdicts
            .iter()
            .any(|v| v.verdict == Some(Verdict::Fail))
    }
}

/// The cautions of every study, each once, those that all share last.
fn cautions(result: &ReportResult) -> Vec<String> {
    let own = [
        Some(&result.float.cautions),
        result.drill.as_ref().map(|study| &study.cautions),
        result.tape.as_ref().map(|study| &study.cautions),
        result.weights.as_ref().map(|study| &study.cautions),
        result.margins.as_ref().map(|study| &study.cautions),
        result.righting.as_ref().map(|study| &study.cautions),
        result.swamp.as_ref().map(|study| &study.cautions),
        result.flooded.as_ref().map(|study| &study.cautions),
        result.foam.as_ref().map(|study| &study.cautions),
        result.dive.as_ref().map(|study| &study.cautions),
        result.spread.as_ref().map(|study| &study.cautions),
        result.compare.as_ref().map(|study| &study.cautions),
    ];
    let mut told: Vec<String> = Vec::new();
    for text in own.into_iter().flatten().flatten() {
        if !CAUTIONS.contains(&text.as_str()) && !told.contains(text) {
            told.push(text.clone());
        }
    }
    told.extend(CAUTIONS.iter().map(|&text| text.to_owned()));
    told
}

fn verdicts(boat: &Boat, result: &ReportResult) -> Vec<ReportVerdict> {
    let mut verdicts = Vec::new();
    let mut say = |about: &str, verdict, text: &str| {
        verdicts.push(ReportVerdict {
            about: about.to_owned(),
            verdict: Some(verdict),
            but: None,
            text: text.to_owned(),
        });
    };
    say("At rest", at_rest(&result.float), &result.float.summary);
    if let Some(margins) = &result.margins {
        let worst = margins.verdicts.iter().map(|line| line.verdict).min();
        say(
            "Leaning and knocks",
            worst.unwrap_or(Verdict::Clear),
            &margins.summary,
        );
    }
    if let Some(swamp) = &result.swamp
        && let Some(verdict) = swamp.verdict
    {
        say("After a knock", verdict, &swamp.summary);
    }
    if let Some(foam) = &result.foam
        && let Some(verdict) = foam.verdict
    {
        say("Full of water", verdict, &foam.summary);
    }
    if let Some(flooded) = &result.flooded
        && let Some(verdict) = flooded.verdict
    {
        say("One compartment open", verdict, &flooded.summary);
    }
    if let Some(dive) = &result.dive {
        let gap = dive.least_gap().map_or(f64::NAN, |gap| gap.gap_m);
        let verdict = boat.yardsticks.gap.verdict(gap);
        let over = dive.way_down.iter().find(|line| line.turns_over());
        verdicts.push(ReportVerdict {
            about: "CB over CG, dived".to_owned(),
            verdict: Some(verdict).filter(|v| over.is_none() || *v == Verdict::Fail),
            but: over.map(|line| format!("IT TURNS OVER on the way down, {}", line.in_words())),
            text: dive.summary.clone(),
        });
    }
    verdicts
}

/// The worst of the craft at rest.
fn at_rest(float: &FloatResult) -> Verdict {
    let mut openings = float.openings.iter();
    match () {
        () if float.fails_a_yardstick() => Verdict::Fail,
        () if openings.any(|o| o.verdict == OpeningVerdict::Narrow) => Verdict::Narrow,
        () => Verdict::Clear,
    }
}

/// Surface error that a scan without a stated one may well have, m. Ours, no source.
const LIKELY_ERROR_M: f64 = 0.005;

fn without_scan_error(boat: &Boat, float: &FloatResult) -> String {
    let would_be = float.rest.as_ref().map_or_else(String::new, |rest| {
        let density = boat.water.density_kg_m3;
        let band = ScanBand::at_rest(LIKELY_ERROR_M, &rest.hydrostatics, density);
        format!(
            " {:.0} mm all over would be ± {:.0} kg of what it carries.",
            LIKELY_ERROR_M * 1e3,
            band.mass_kg
        )
    });
    format!("The mesh is taken as the hull: no error of the scan is stated.{would_be}")
}

fn assumptions(boat: &Boat, result: &ReportResult) -> Vec<String> {
    let listed = |open: bool| {
        let names: Vec<&str> = boat
            .openings
            .iter()
            .filter(|opening| opening.lets_water_in() == open)
            .map(|opening| opening.name.as_str())
            .collect();
        if names.is_empty() {
            "none".to_owned()
        } else {
            names.join(", ")
        }
    };
    let without_spread = boat.masses.iter().filter(|m| m.spread_kg <= 0.0).count();
    let mut said = vec![
        format!(
            "Water of {:.1} kg/m³ ({}).",
            boat.water.density_kg_m3, boat.water.about
        ),
        format!(
            "Open: {}. Closed watertight: {}.",
            listed(true),
            listed(false)
        ),
        format!(
            "{} of {} masses have no stated ±; they are taken as exact where bands are given.",
            without_spread,
            boat.masses.len()
        ),
        match boat.scan_error_m {
            Some(error) => format!(
                "The surface lies within {:.0} mm of the true one, as stated.",
                error * 1e3
            ),
            None => without_scan_error(boat, &result.float),
        },
        format!(
            "The craft is pushed under by {:.0} mm for {:.0} s; water runs in with a discharge coefficient of {DISCHARGE_COEFFICIENT} (sharp edges, ISO 13550).",
            Knocked::default().under_m * 1e3,
            Knocked::default().held_s
        ),
    ];
    if let Some(foam) = &result.foam {
        said.push(format!(
            "Full of water: overboard is {}; {:.1} kg of people hanging on pull at the middle of the craft (2/15 of their weight by 33 CFR 183.105; their mass and place ours, no source); foam of {:.0} kg/m³.",
            if foam.overboard.is_empty() {
                "nobody".to_owned()
            } else {
                foam.overboard.join(", ")
            },
            foam.pull_kg,
            foam.foam_kg_m3
        ));
    }
    let unknown = without_volume(boat);
    if !unknown.is_empty() {
        said.push(format!(
            "No volume or density is given for {}: under water they displace nothing.",
            unknown.join(", ")
        ));
    }
    said.extend(
        result
            .float
            .yardsticks
            .iter()
            .map(|text| format!("Yardstick, {text}.")),
    );
    let judged = [
        result.swamp.as_ref().map(|study| &study.yardsticks),
        result.flooded.as_ref().map(|study| &study.yardsticks),
    ];
    let mut told: Vec<&String> = Vec::new();
    for text in judged.into_iter().flatten().flatten() {
        if !told.contains(&text) {
            told.push(text);
        }
    }
    said.extend(told.iter().map(|text| format!("Yardstick, {text}.")));
    if result.dive.is_some() {
        let gap = boat
            .yardsticks
            .gap
            .in_words(|m| format!("{:.0} mm", m * 1e3));
        said.push(format!("Yardstick, CB over CG dived: {gap}."));
    }
    if let Some(margins) = &result.margins {
        let lines = margins.verdicts.iter();
        said.extend(lines.map(|line| format!("Yardstick, {}: {}.", line.name, line.yardstick)));
    }
    said.extend(boat.cautions.iter().cloned());
    said
}
