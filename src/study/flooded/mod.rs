//! How a craft lies with each compartment open to the sea, singly and in pairs, and
//! how it ends once the water has gone on to all that it reaches.
use rayon::prelude::*;
use schemars::JsonSchema;
use serde::Serialize;

use super::shared::answer::Answer;
use super::shared::cautions::{
    Caution, Doing, LeftOut, When, nobody_marked, of_waters_density, under_water,
};
use super::shared::heads::{HeadLine, heads};
use super::shared::yardstick::Yardstick;
use crate::boat::{Boat, Compartment, Verdict};
use crate::equilibrium::{
    Afloat, AirIs, EquilibriumError, FloodStep, OpenSea, OpeningSheet, Way, is_upright, lacks_m3,
    wholly_flooded,
};
use crate::immersion::WaterPlane;
use crate::numerics::Vec3;

/// ± of a permeability that carries none in the boat file. Ours, no source.
pub const USUAL_PERMEABILITY_SPREAD: f64 = 0.05;

/// Result of [`flooded`].
#[derive(Debug, Clone, JsonSchema, Serialize)]
#[non_exhaustive]
pub struct FloodedResult {
    /// The worst that the yardsticks say of one compartment flooded; `None` where
    /// nothing is asked.
    pub verdict: Option<Verdict>,
    /// Those yardsticks.
    #[serde(skip)]
    pub yardsticks: Vec<Yardstick>,
    /// The spaces inside.
    pub compartments: Vec<FloodableSpace>,
    /// Each compartment flooded alone, then each pair.
    pub cases: Vec<FloodedCase>,
    /// Each sealed space open to the sea alone, by a leak anywhere; not judged.
    pub if_it_leaks: Vec<FloodedCase>,
    /// The volume of solid or sealed displacement that is missing to hold the craft up
    /// wholly flooded, with all aboard, m³; negative: what it has over.
    pub lacks_m3: f64,
}

impl FloodedResult {
    /// Whether the craft ends sunk with a single compartment flooded.
    #[must_use]
    pub fn sinks_with_one(&self) -> bool {
        self.singles().any(|case| !case.end.floats)
    }

    /// Whether a yardstick is failed.
    #[must_use]
    pub fn fails_a_yardstick(&self) -> bool {
        self.verdict == Some(Verdict::Fail)
    }

    /// Those with one compartment flooded.
    pub fn singles(&self) -> impl Iterator<Item = &FloodedCase> {
        self.cases.iter().filter(|case| case.flooded.len() == 1)
    }
}

/// A space inside.
#[derive(Debug, Clone, JsonSchema, Serialize)]
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

/// One way to be flooded. What stands here without `end` speaks of these
/// compartments alone, before the water goes on.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct FloodedCase {
    /// "bow locker", or "bow locker, inside".
    pub name: String,
    /// The compartments open to the sea at first.
    pub flooded: Vec<String>,
    /// Whether it stays afloat so.
    pub floats: bool,
    /// The craft at rest so; absent where it sinks.
    #[serde(flatten)]
    pub rest: Option<FloodedRest>,
    /// Whether it floats with the permeability a spread lower and a spread
    /// higher.
    pub floats_in_band: [bool; 2],
    /// The lowest dry opening's height above the water there, m.
    pub sill_band_m: [Option<f64>; 2],
    /// How it ends, the water having gone on to all that it reaches: the worse of
    /// air lost and air kept.
    pub end: FloodedEnd,
    /// Whether it ends afloat with the permeability a spread lower and a spread
    /// higher, air lost.
    pub end_floats_in_band: [bool; 2],
    /// Whether it ends upright so.
    pub end_upright_in_band: [bool; 2],
    /// The other of the two ends, where any air is kept.
    pub other_end: Option<FloodedEnd>,
    /// How it ends, air lost, with every passage stopped, where water went through
    /// one.
    pub with_bungs: Option<FloodedEnd>,
}

/// What becomes of the air in flooded spaces.
#[derive(Debug, Clone, Copy, PartialEq, Eq, JsonSchema, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum FloodedAir {
    /// All of it gets out.
    Lost,
    /// What has no way out stays.
    Kept,
}

/// The state in which the water reaches no further space.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct FloodedEnd {
    /// What became of the air.
    pub air: FloodedAir,
    /// Whether it stays afloat.
    pub floats: bool,
    /// What the yardsticks say of it; `None` where nothing is asked.
    pub verdict: Option<Verdict>,
    /// The compartments open to the sea.
    pub flooded: Vec<String>,
    /// The craft at rest so; absent where it sinks.
    #[serde(flatten)]
    pub rest: Option<FloodedRest>,
    /// Spaces that keep air.
    pub air_kept: Vec<AirKept>,
    /// The way there: the first state and each that the water led to.
    pub steps: Vec<FloodedStep>,
}

/// Air that cannot get out.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct AirKept {
    /// The compartment it is in.
    pub compartment: String,
    /// The air at its own pressure, m³.
    pub air_m3: f64,
    /// How far its water stands under the level outside, m.
    pub under_outside_m: f64,
}

/// One state on the way.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct FloodedStep {
    /// The compartments open to the sea.
    pub flooded: Vec<String>,
    /// Whether it floats.
    pub floats: bool,
    /// Heel, starboard down positive, deg.
    pub heel_deg: Option<f64>,
    /// Pitch, bow up positive, deg.
    pub pitch_deg: Option<f64>,
    /// Where the water goes on to.
    pub reaches: Vec<Reaches>,
}

/// A space that water gets into.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct Reaches {
    /// The compartment.
    pub compartment: String,
    /// The opening or passage it comes through.
    pub through: String,
}

/// A flooded craft at rest.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct FloodedRest {
    /// Heel, starboard down positive, deg.
    pub heel_deg: f64,
    /// Pitch, bow up positive, deg.
    pub pitch_deg: f64,
    /// Lean from upright, any way, deg.
    pub lean_deg: f64,
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
    /// Height above the water of the lowest opening into a space that is still
    /// dry, m; absent where there is none.
    pub sill_m: Option<f64>,
    /// That opening.
    pub opening: Option<String>,
    /// Height above the water of the lowest opening of all, drains but for, m.
    pub rim_m: Option<f64>,
    /// Openings whose sills lie under water, drains but for.
    pub sills_under: Vec<String>,
    /// Compartments that water reaches next: through an opening under water, or
    /// a passage from a flooded one.
    pub spreads_to: Vec<String>,
    /// The heads of those aboard above the water.
    pub heads: Vec<HeadLine>,
}

/// Opens each compartment to the sea, alone and in pairs: its space is lost to
/// the craft (lost buoyancy), exactly, at whatever attitude it comes to rest in.
/// Where the water then reaches further spaces they are opened too, from the attitude
/// that the craft has, until it reaches no more. That end is found with all air lost
/// and with the air kept that cannot get out, and the worse counts: sinking, then
/// lying over, then a lean that fails, then the lower sill. Sealed compartments are taken
/// not to leak, and what each would do if it leaked stands beside. Those that the boat file
/// has flooded already stay so in every case.
///
/// ```
/// # fn main() -> Result<(), Box<dyn std::error::Error>> {
/// use awash::{Boat, study::flooded};
///
/// let boat = Boat::load("meshes/dipper/bulkheads.toml".as_ref())?;
/// for case in flooded(&boat)?.result.cases {
///     println!("{} open: {}", case.name, if case.floats { "afloat" } else { "sinks" });
/// }
/// # Ok(())
/// # }
/// ```
///
/// # Errors
/// As [`Afloat::settled_if_afloat`], for a craft that floats but finds no rest.
pub fn flooded<'b>(boat: impl Into<Afloat<'b>>) -> Result<Answer<FloodedResult>, EquilibriumError> {
    let afloat = boat.into();
    let boat = afloat.boat();
    let spaces = floodable(boat);
    let singles = spaces.iter().map(|&one| vec![one]);
    let pairs = (0..spaces.len())
        .flat_map(|one| (one + 1..spaces.len()).map(move |two| (one, two)))
        .map(|(one, two)| vec![spaces[one], spaces[two]]);
    let ways: Vec<Vec<usize>> = singles.chain(pairs).collect();
    let study = Study::of(&afloat)?;
    let leaks = (0..).zip(&boat.compartments);
    let leaks = leaks.filter(|(_, space)| space.sealed && space.capacity_m3() > 0.0);
    let leaks: Vec<Vec<usize>> = leaks.map(|(number, _)| vec![number]).collect();
    let followed = |ways: &[Vec<usize>]| {
        let cases = ways.par_iter().map(|way| study.case(way));
        cases.collect::<Result<Vec<_>, _>>()
    };
    let cases = followed(&ways)?;
    let limits = &boat.yardsticks;
    let mut result = FloodedResult {
        verdict: None,
        yardsticks: Yardstick::swamped(
            Yardstick::AfloatWithOneFlooded(limits.floats_with_one_flooded.clone()),
            limits,
        ),
        compartments: boat.compartments.iter().map(described).collect(),
        lacks_m3: lacks_m3(&wholly_flooded(boat, &[], &[])),
        cases,
        if_it_leaks: followed(&leaks)?,
    };
    result.verdict = result.singles().filter_map(|case| case.end.verdict).min();
    let cautions = cautions(boat, &result.cases);
    let answer = Answer::of(boat, result, cautions);
    Ok(match &study.dry {
        Some(plane) => answer.lying(boat, plane),
        None => answer,
    })
}

/// How the craft ends with each compartment flooded alone, by name: the `end` of a
/// [`FloodedCase`] without what stands beside it.
pub(super) fn single_ends(
    afloat: &Afloat<'_>,
) -> Result<Vec<(String, FloodedEnd)>, EquilibriumError> {
    let (boat, study) = (afloat.boat(), Study::of(afloat)?);
    let ends = floodable(boat).into_iter().map(|space| {
        let lost = study
            .sea
            .follow(&[space], None, &study.dry(), AirIs::Lost)?;
        let (end, _) = study.ends(&[space], &lost)?;
        Ok((boat.compartments[space].name.clone(), end))
    });
    ends.collect()
}

/// Numbers of the compartments that the sea can get into.
fn floodable(boat: &Boat) -> Vec<usize> {
    let spaces = (0..).zip(&boat.compartments);
    let floods = spaces.filter(|(_, space)| !space.sealed && !space.flooded);
    floods.map(|(number, _)| number).collect()
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

struct Study<'a> {
    boat: &'a Boat,
    sea: OpenSea<'a>,
    /// With the permeability of each space a spread lower, and higher.
    band: [OpenSea<'a>; 2],
    /// With every passage stopped.
    bunged: OpenSea<'a>,
    /// The water plane with nothing flooded; `None` where it sinks even so.
    dry: Option<WaterPlane>,
}

impl<'a> Study<'a> {
    fn of(afloat: &Afloat<'a>) -> Result<Self, EquilibriumError> {
        let boat = afloat.boat();
        let sea = OpenSea::of(boat);
        let spread = |sign: f64| {
            sea.with_permeability(|number| {
                let space = &boat.compartments[number];
                let given = space.permeability;
                (given + sign * spread_of(space)).clamp(0.0, 1.0) - given
            })
        };
        Ok(Self {
            boat,
            band: [spread(-1.0), spread(1.0)],
            bunged: sea.with_bungs(),
            sea,
            dry: afloat
                .settled_if_afloat()?
                .map(|settled| *settled.rest.plane()),
        })
    }

    /// With nothing flooded; level at its keel where it sinks even so.
    fn dry(&self) -> WaterPlane {
        let level = WaterPlane {
            up: Vec3::z(),
            level_m: self.boat.marks.base_z_m,
        };
        self.dry.unwrap_or(level)
    }

    /// How it ends, the worse of air lost and air kept first; the other where any air is
    /// kept. `lost` is the way with the air lost.
    fn ends(
        &self,
        way: &[usize],
        lost: &[FloodStep],
    ) -> Result<(FloodedEnd, Option<FloodedEnd>), EquilibriumError> {
        let kept = match self.dry {
            Some(dry) => self.sea.follow(way, None, &dry, AirIs::Kept)?,
            None => Vec::new(),
        };
        let lost_end = self.end(FloodedAir::Lost, lost);
        if kept.iter().all(|step| step.air.is_empty()) {
            return Ok((lost_end, None));
        }
        let kept_end = self.end(FloodedAir::Kept, &kept);
        let outcome = |steps: &[FloodStep]| steps.last().map(|step| self.sea.outcome(step));
        let is_worse = outcome(&kept)
            .zip(outcome(lost))
            .is_some_and(|(kept, lost)| kept.is_worse_than(&lost));
        Ok(if is_worse {
            (kept_end, Some(lost_end))
        } else {
            (lost_end, Some(kept_end))
        })
    }

    fn case(&self, way: &[usize]) -> Result<FloodedCase, EquilibriumError> {
        let dry = self.dry();
        let lost = |sea: &OpenSea<'_>| sea.follow(way, None, &dry, AirIs::Lost);
        let steps = lost(&self.sea)?;
        let [low, high] = [lost(&self.band[0])?, lost(&self.band[1])?];
        let went_through = |step: &FloodStep| {
            let mut ways = step.reached.iter();
            ways.any(|(_, way)| matches!(way, Way::Passage(_)))
        };
        let with_bungs = steps
            .iter()
            .any(went_through)
            .then(|| Ok::<_, EquilibriumError>(self.end(FloodedAir::Lost, &lost(&self.bunged)?)))
            .transpose()?;
        let names = self.names(way);
        let first = &steps[0];
        let sill = |steps: &[FloodStep]| {
            let rest = steps[0].rest.as_ref()?;
            Some(self.sea.lowest_dry(way, rest.plane())?.1)
        };
        let ends_upright = |steps: &[FloodStep]| {
            let rest = steps.last().and_then(|step| step.rest.as_ref());
            rest.is_some_and(|rest| is_upright(rest.plane()))
        };
        let ends_afloat = |steps: &[FloodStep]| steps.last().is_some_and(|s| s.rest.is_some());
        let (end, other_end) = self.ends(way, &steps)?;
        Ok(FloodedCase {
            name: names.join(", "),
            flooded: names,
            floats: first.rest.is_some(),
            rest: self.rest(first),
            floats_in_band: [low[0].rest.is_some(), high[0].rest.is_some()],
            sill_band_m: [sill(&low), sill(&high)],
            end,
            end_floats_in_band: [ends_afloat(&low), ends_afloat(&high)],
            end_upright_in_band: [ends_upright(&low), ends_upright(&high)],
            other_end,
            with_bungs,
        })
    }

    fn names(&self, spaces: &[usize]) -> Vec<String> {
        let names = spaces
            .iter()
            .map(|&k| self.boat.compartments[k].name.clone());
        names.collect()
    }

    fn rest(&self, step: &FloodStep) -> Option<FloodedRest> {
        let rest = step.rest.as_ref()?;
        let plane = *rest.plane();
        let marks = &self.boat.marks;
        let depth = |x: f64| -plane.height_m(&Vec3::new(x, 0.0, marks.base_z_m));
        let lowest = self.sea.lowest_dry(&step.open, &plane);
        let reached: Vec<usize> = step.reached.iter().map(|(space, _)| *space).collect();
        let sills: Vec<(&str, f64)> = self.sea.sills_m(&plane).collect();
        Some(FloodedRest {
            heel_deg: plane.heel_deg(),
            pitch_deg: plane.pitch_deg(),
            lean_deg: plane.lean_deg(),
            upright: is_upright(&plane),
            draught_forward_m: depth(marks.forward_x_m),
            draught_aft_m: depth(marks.aft_x_m),
            gm_transverse_m: rest.gm_transverse_m(),
            gm_longitudinal_m: rest.gm_longitudinal_m(),
            sill_m: lowest.map(|(_, height)| height),
            opening: lowest.map(|(number, _)| self.boat.openings[number].name.clone()),
            rim_m: sills
                .iter()
                .map(|(_, height)| *height)
                .min_by(f64::total_cmp),
            sills_under: sills
                .iter()
                .filter(|(_, height)| *height < 0.0)
                .map(|(name, _)| (*name).to_owned())
                .collect(),
            spreads_to: self.names(&reached),
            heads: heads(self.boat, &plane),
        })
    }

    fn end(&self, air: FloodedAir, steps: &[FloodStep]) -> FloodedEnd {
        let last = steps.last();
        let through = |way: Way| match way {
            Way::Opening(number) => self.boat.openings[number].name.clone(),
            Way::Passage(number) => self.boat.passages[number].name.clone(),
        };
        let space = |number: usize| self.boat.compartments[number].name.clone();
        let wish = &self.boat.yardsticks.floats_with_one_flooded;
        let judged = |step| {
            let end = self.sea.outcome(step);
            wish.judged(end.floats, end.verdict)
        };
        FloodedEnd {
            air,
            floats: last.is_some_and(|step| step.rest.is_some()),
            verdict: last.and_then(judged),
            flooded: last.map_or_else(Vec::new, |step| self.names(&step.open)),
            rest: last.and_then(|step| self.rest(step)),
            air_kept: last.map_or_else(Vec::new, |step| {
                let kept = step.air.iter().map(|air| AirKept {
                    compartment: space(air.space),
                    air_m3: air.air_m3,
                    under_outside_m: air.under_outside_m,
                });
                kept.collect()
            }),
            steps: steps
                .iter()
                .map(|step| FloodedStep {
                    flooded: self.names(&step.open),
                    floats: step.rest.is_some(),
                    heel_deg: step.rest.as_ref().map(|rest| rest.plane().heel_deg()),
                    pitch_deg: step.rest.as_ref().map(|rest| rest.plane().pitch_deg()),
                    reaches: step
                        .reached
                        .iter()
                        .map(|(number, way)| Reaches {
                            compartment: space(*number),
                            through: through(*way),
                        })
                        .collect(),
                })
                .collect(),
        }
    }
}

impl FloodedEnd {
    /// Openings under water where none into a dry space is left: nothing more can flood
    /// by them, but nobody can bail it either.
    #[must_use]
    pub fn swamped_under(&self) -> Option<&[String]> {
        let rest = self.rest.as_ref()?;
        let under = rest.sills_under.as_slice();
        (rest.sill_m.is_none() && !under.is_empty()).then_some(under)
    }

    /// Whether it lies on its side, on end or upside down.
    #[must_use]
    pub fn lies_over(&self) -> bool {
        self.rest.as_ref().is_some_and(|rest| !rest.upright)
    }
}

fn cautions(boat: &Boat, cases: &[FloodedCase]) -> Vec<Caution> {
    let heads = cases.iter().filter_map(|case| {
        let rest = case.end.rest.as_ref().or(case.rest.as_ref())?;
        let when = When::Flooded {
            case: case.name.clone(),
            before_it_sinks: case.end.rest.is_none(),
        };
        Some((when, rest.heads.as_slice()))
    });
    let blind = boat
        .openings
        .iter()
        .filter(|o| o.lets_water_in() && OpeningSheet::of_rim(&o.rim).is_none());
    let openings: Vec<String> = blind.map(|o| o.name.clone()).collect();
    let own = [
        Some(Caution::FloodedOpenToTheSea),
        under_water(heads),
        nobody_marked(boat, LeftOut::Heads),
        of_waters_density(boat, None),
        (!openings.is_empty()).then_some(Caution::RimHardlyKnown { openings }),
    ];
    own.into_iter()
        .flatten()
        .chain(Doing::Flooding.cautions(boat))
        .collect()
}
