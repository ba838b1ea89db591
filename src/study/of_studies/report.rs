//! Everything about one craft, for the page that goes to the water's edge: the
//! other studies, what they mean together, and what they take for granted.
use schemars::JsonSchema;
use serde::Serialize;

use super::super::curves::{CurvesResult, curves};
use super::super::dive::{DiveResult, WayLine};
use super::super::drill::{DrillResult, drill};
use super::super::float::{FloatResult, OpeningVerdict};
use super::super::flooded::{FloodedResult, flooded};
use super::super::foam::{FoamError, FoamResult, FoamWish, foam};
use super::super::margins::MarginsResult;
use super::super::righting::{RightingResult, righting};
use super::super::shared::answer::Answer;
use super::super::shared::cautions::{Caution, When};
use super::super::shared::named::without_volume;
use super::super::shared::picture::{CraftPicture, outline_from_side};
use super::super::shared::planes::Planes;
use super::super::shared::scan_band::ScanBand;
use super::super::shared::yardstick::Yardstick;
use super::super::spread::{SpreadResult, spread};
use super::super::swamp::{DISCHARGE_COEFFICIENT, FilmFrame, Knocked, SwampResult, film};
use super::super::tape::{TapeResult, tape};
use super::comparison::{CompareResult, Studied, Way, compare_studied};
use super::list::{ListKind, ListResult, list};
use crate::boat::{Boat, HullFrame, MassEntry, Opening, Verdict};
use crate::equilibrium::{Afloat, EquilibriumError};
use crate::progress::go_on;
use crate::quantity::Sentence;

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
#[derive(Debug, Clone, JsonSchema, Serialize)]
#[non_exhaustive]
pub struct ReportResult {
    /// What matters most, each judged.
    pub verdicts: Vec<ReportVerdict>,
    /// How it floats.
    pub float: Answer<FloatResult>,
    /// Where a hole may go, in this load; absent where no waterline can be drawn.
    pub drill: Option<Answer<DrillResult>>,
    /// Its waterline by tape; absent where no waterline can be measured.
    pub tape: Option<Answer<TapeResult>>,
    /// Everything that weighs, in workshop distances.
    pub weights: Option<Answer<ListResult>>,
    /// What floods it.
    pub margins: Option<Answer<MarginsResult>>,
    /// What turns it back.
    pub righting: Option<Answer<RightingResult>>,
    /// What happens after a knock.
    pub swamp: Option<Answer<SwampResult>>,
    /// Compartments open to the sea; absent with one compartment.
    pub flooded: Option<Answer<FloodedResult>>,
    /// Full of water, and foam against that; absent without openings.
    pub foam: Option<Answer<FoamResult>>,
    /// Wholly under water; there for a craft with an air cylinder aboard.
    pub dive: Option<Answer<DiveResult>>,
    /// How far off the numbers may be.
    pub spread: Option<Answer<SpreadResult>>,
    /// Curves over draught.
    pub curves: Answer<CurvesResult>,
    /// Studies that could not be made, though the craft floats.
    pub failed: Vec<FailedStudy>,
    /// Before and after, where a boat before was given.
    pub compare: Option<CompareResult>,
    /// What all this takes for granted.
    #[serde(skip)]
    pub assumptions: Vec<Assumption>,
    /// What its x, y and z count from.
    #[serde(skip)]
    pub frame: HullFrame,
    /// It at rest, for drawings.
    #[serde(skip)]
    pub at_rest: Option<CraftPicture>,
    /// The day on which it was made, for the page; `None` where it is not to be told.
    #[serde(skip)]
    pub made_on: Option<String>,
    /// Moments of its swamping, for drawings.
    #[serde(skip)]
    pub film: Vec<FilmFrame>,
    /// Outline from the side as x, z, m, for drawings.
    #[serde(skip)]
    pub outline_m: Vec<[f64; 2]>,
}

/// A study that could not be made.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct FailedStudy {
    /// The section that it belongs to, by its name in the page.
    pub section: &'static str,
    /// Why.
    pub why: String,
}

/// One thing that matters.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct ReportVerdict {
    /// What is judged.
    #[serde(rename = "about_code")]
    pub about: About,
    /// How it stands; `None` where its yardstick is clear, but something that no
    /// yardstick speaks of is not.
    pub verdict: Option<Verdict>,
    /// That something: where it turns over on the way down.
    #[serde(skip)]
    pub turns_over: Option<When>,
}

/// What is judged.
#[derive(Debug, Clone, Copy, PartialEq, Eq, JsonSchema, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum About {
    /// The craft at rest.
    AtRest,
    /// The least lean and knock.
    LeaningAndKnocks,
    /// What water does that comes in by a knock.
    AfterAKnock,
    /// The swamped craft.
    FullOfWater,
    /// The craft with one space flooded.
    OneCompartmentOpen,
    /// CB over CG, dived.
    GapDived,
}

/// What the page takes for granted.
#[derive(Debug, Clone, PartialEq)]
pub enum Assumption {
    /// The water's density, kg/m³, and where it comes from.
    Water(f64, Sentence),
    /// Which openings are open, and which closed watertight.
    Openings {
        /// Open ones.
        open: Vec<String>,
        /// Closed ones.
        closed: Vec<String>,
    },
    /// So many of so many masses have no ±.
    WithoutSpread([usize; 2]),
    /// Error of the surface as stated, m.
    SurfaceWithin(f64),
    /// No error of the scan is stated.
    NoScanError {
        /// One that it may well have, m, and what that makes of what is carried, kg.
        would_be: Option<[f64; 2]>,
    },
    /// How the craft is pushed under.
    PushedUnder {
        /// How deep, m.
        under_m: f64,
        /// How long, s.
        held_s: f64,
        /// Discharge coefficient.
        discharge_coefficient: f64,
    },
    /// Who is in the water when it is full, what pulls on it, kg, and the foam, kg/m³.
    FullOfWater {
        /// Who left it.
        overboard: Vec<String>,
        /// What pulls, kg.
        pull_kg: f64,
        /// Density of the foam, kg/m³.
        foam_kg_m3: f64,
    },
    /// Things without a volume.
    WithoutVolume(Vec<String>),
    /// A yardstick.
    Yardstick(Yardstick),
    /// Those of leaning and knocks, which stand in their study.
    YardsticksOfMargins,
    /// What the boat file leaves open.
    LeftOpen(Caution),
}

/// Makes every study of a boat, and of the way from the boat before.
///
/// ```no_run
/// # fn main() -> Result<(), Box<dyn std::error::Error>> {
/// use awash::{Boat, study::report};
///
/// let boat = Boat::load("meshes/dipper/after.toml".as_ref())?;
/// for judged in report(&boat, None)?.result.verdicts {
///     println!("{:?}: {:?}", judged.about, judged.verdict);
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
) -> Result<Answer<ReportResult>, EquilibriumError> {
    report_afloat(&boat.into(), before)
}

fn report_afloat(
    afloat: &Afloat<'_>,
    before: Option<&Before<'_>>,
) -> Result<Answer<ReportResult>, EquilibriumError> {
    let (boat, watch) = (afloat.boat(), afloat.watch());
    watch.stage("finding every attitude of rest");
    let has_air = |entry: &MassEntry| entry.under_water.air.is_some();
    let floats = afloat.settled_if_afloat()?.is_some();
    if floats {
        // Made before the studies part, so that it is made once; a failure is told by
        // the studies that ask for it.
        let _ = afloat.map();
    }
    go_on(watch)?;
    watch.stage("finding margins, ends and the way down");
    let (turned, studied) = rayon::join(
        || floats.then(|| righting(afloat)),
        || studied_and_compared(afloat, before),
    );
    let (own, compared) = studied?;
    go_on(watch)?;
    watch.stage("drawing marks, sizing foam, floating the draws");
    let mut failed = failed_of(&own);
    let drilled = floats.then(|| drill([(boat.name.as_str(), afloat)]));
    let taped = floats.then(|| tape(afloat, &Planes::Even(TAPE_STATIONS)));
    let weights = Some(list(afloat, ListKind::Weights));
    let filled = (floats && boat.compartments.len() > 1).then(|| flooded(afloat));
    let spread = floats.then(|| spread(afloat, DRAWS, SEED));
    let mut result = ReportResult {
        verdicts: Vec::new(),
        drill: kept(drilled, "holes", &mut failed),
        tape: kept(taped, "tape", &mut failed),
        weights: kept(weights, "weights", &mut failed),
        margins: own.margins,
        righting: kept(turned, "righting", &mut failed),
        swamp: own.swamp,
        flooded: kept(filled, "flooded", &mut failed),
        // Without an opening or with nothing to hold on to there is no foam to size.
        foam: match foam(afloat, &FoamWish::default()) {
            Err(FoamError::Equilibrium(error)) => kept(Some(Err(error)), "full", &mut failed),
            other => other.ok(),
        },
        dive: boat.masses.iter().any(has_air).then_some(own.dive),
        spread: kept(spread, "spread", &mut failed),
        curves: curves(afloat, 0.0, CURVE_STEPS),
        compare: compared,
        assumptions: Vec::new(),
        frame: boat.frame,
        at_rest: own.at_rest,
        made_on: None,
        film: Vec::new(),
        outline_m: outline_from_side(boat),
        float: own.float,
        failed,
    };
    go_on(watch)?;
    result.film = result
        .swamp
        .as_ref()
        .map_or_else(Vec::new, |swamp| film(boat, swamp));
    result.verdicts = verdicts(boat, &result);
    result.assumptions = assumptions(boat, &result);
    let cautions = cautions(&result);
    Ok(Answer::of(boat, result, cautions))
}

/// The craft studied, and compared with the one before.
fn studied_and_compared<'b>(
    afloat: &Afloat<'b>,
    before: Option<&Before<'b>>,
) -> Result<(Studied<'b>, Option<CompareResult>), EquilibriumError> {
    let (own, first) = rayon::join(
        || Studied::as_far_as(afloat),
        || before.map(|b| Studied::of(&b.afloat)).transpose(),
    );
    let Some((before, first)) = before.zip(first?) else {
        return Ok((own?, None));
    };
    let both = [first, own?];
    let compared = compare_studied(&both, Some(&before.way))?;
    let [_, own] = both;
    Ok((own, Some(compared)))
}

/// The studies of the craft that could not be made.
fn failed_of(own: &Studied<'_>) -> Vec<FailedStudy> {
    let failed = own.failed.iter();
    let failed = failed.map(|(section, error)| FailedStudy {
        section,
        why: error.to_string(),
    });
    failed.collect()
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
fn cautions(result: &ReportResult) -> Vec<Caution> {
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
    let mut told: Vec<Caution> = Vec::new();
    for caution in own.into_iter().flatten().flatten() {
        if !told.contains(caution) {
            told.push(caution.clone());
        }
    }
    // What goes with what is done comes last, once, in its own order.
    let usual = |caution: &Caution| Caution::USUAL.iter().position(|usual| usual == caution);
    told.sort_by_key(|caution| usual(caution).map_or(0, |at| at + 1));
    told
}

fn verdicts(boat: &Boat, result: &ReportResult) -> Vec<ReportVerdict> {
    let line = |about, verdict| ReportVerdict {
        about,
        verdict: Some(verdict),
        turns_over: None,
    };
    let mut verdicts = vec![line(About::AtRest, at_rest(&result.float))];
    if let Some(margins) = &result.margins {
        let worst = margins.verdicts.iter().map(|line| line.verdict).min();
        verdicts.push(line(
            About::LeaningAndKnocks,
            worst.unwrap_or(Verdict::Clear),
        ));
    }
    let judged = [
        (
            About::AfterAKnock,
            result.swamp.as_ref().and_then(|study| study.verdict),
        ),
        (
            About::FullOfWater,
            result.foam.as_ref().and_then(|study| study.verdict),
        ),
        (
            About::OneCompartmentOpen,
            result.flooded.as_ref().and_then(|study| study.verdict),
        ),
    ];
    let judged = judged.into_iter();
    verdicts.extend(judged.filter_map(|(about, verdict)| Some(line(about, verdict?))));
    if let Some(dive) = &result.dive {
        let gap = dive.least_gap().map_or(f64::NAN, |gap| gap.gap_m);
        let verdict = boat.yardsticks.gap.verdict(gap);
        let over = dive.way_down.iter().find(|line| line.turns_over());
        verdicts.push(ReportVerdict {
            about: About::GapDived,
            verdict: Some(verdict).filter(|v| over.is_none() || *v == Verdict::Fail),
            turns_over: over.map(WayLine::when),
        });
    }
    verdicts
}

/// The worst of the craft at rest.
fn at_rest(float: &FloatResult) -> Verdict {
    let mut openings = float.openings.iter();
    match () {
        () if float.fails_a_yardstick() => Verdict::Fail,
        () if openings.any(|o| o.verdict == OpeningVerdict::Marginal) => Verdict::Marginal,
        () => Verdict::Clear,
    }
}

/// Surface error that a scan without a stated one may well have, m. Ours, no source.
const LIKELY_ERROR_M: f64 = 0.005;

fn without_scan_error(boat: &Boat, float: &FloatResult) -> Assumption {
    let would_be = float.rest.as_ref().map(|rest| {
        let density = boat.water.density_kg_m3;
        let band = ScanBand::at_rest(LIKELY_ERROR_M, &rest.hydrostatics, density);
        [LIKELY_ERROR_M, band.mass_kg]
    });
    Assumption::NoScanError { would_be }
}

fn assumptions(boat: &Boat, result: &ReportResult) -> Vec<Assumption> {
    let openings = boat.openings.iter();
    let (open, closed): (Vec<_>, Vec<_>) = openings.partition(|o| o.lets_water_in());
    let names = |these: Vec<&Opening>| these.iter().map(|o| o.name.clone()).collect();
    let without_spread = boat.masses.iter().filter(|m| m.spread_kg <= 0.0).count();
    let knocked = Knocked::default();
    let mut all = vec![
        Assumption::Water(boat.water.density_kg_m3, boat.water.about.clone()),
        Assumption::Openings {
            open: names(open),
            closed: names(closed),
        },
        Assumption::WithoutSpread([without_spread, boat.masses.len()]),
        match boat.scan_error_m {
            Some(error_m) => Assumption::SurfaceWithin(error_m),
            None => without_scan_error(boat, &result.float),
        },
        Assumption::PushedUnder {
            under_m: knocked.under_m,
            held_s: knocked.held_s,
            discharge_coefficient: DISCHARGE_COEFFICIENT,
        },
    ];
    all.extend(result.foam.as_ref().map(|foam| Assumption::FullOfWater {
        overboard: foam.overboard.clone(),
        pull_kg: foam.pull_kg,
        foam_kg_m3: foam.foam_kg_m3,
    }));
    let unknown = without_volume(boat);
    if !unknown.is_empty() {
        let names = unknown.into_iter().map(str::to_owned);
        all.push(Assumption::WithoutVolume(names.collect()));
    }
    let judged = [
        Some(&result.float.yardsticks),
        result.swamp.as_ref().map(|study| &study.yardsticks),
        result.flooded.as_ref().map(|study| &study.yardsticks),
    ];
    let mut told: Vec<&Yardstick> = Vec::new();
    for yardstick in judged.into_iter().flatten().flatten() {
        if !told.contains(&yardstick) {
            told.push(yardstick);
        }
    }
    let told = told.into_iter().cloned();
    let gap = result.dive.is_some();
    let gap = gap.then(|| Yardstick::Gap(boat.yardsticks.gap.clone()));
    all.extend(told.chain(gap).map(Assumption::Yardstick));
    all.push(Assumption::YardsticksOfMargins);
    let left_open = boat.left_open.iter().map(Caution::from);
    all.extend(left_open.map(Assumption::LeftOpen));
    all
}
