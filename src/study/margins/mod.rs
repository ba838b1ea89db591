//! How small a lean, knock, lift or load puts an opening under.
use rayon::prelude::*;
use serde::Serialize;

use super::cautions::CAUTIONS;
use super::heads::nobody_marked;
use super::hydrostatics::coordinates;
use crate::boat::{Band, Boat, Verdict};
use crate::equilibrium::{
    Afloat, Craft, EquilibriumError, Rest, Sills, TiltToFlood, find_rest_from, first_below, rose,
};
use crate::equilibrium::{Crossing, Hold};
use crate::mesh::Doubt;
use crate::numerics::{STANDARD_GRAVITY_M_S2, Vec3};

mod knocks;
mod off_centre;

pub use knocks::KnockLine;
pub use off_centre::{
    EdgeLoadLine, PersonLine, persons_capacity_of_edge_load, persons_of_capacity,
};

/// Share of the mass by which a lift or load grows between two looks.
const LOAD_STEP: f64 = 0.02;
/// Most load tried, as a share of the mass.
const LOAD_LIMIT: f64 = 20.0;
/// How near a load is found, as a share of the mass, and the sill to the
/// water, m.
const LOAD_WITHIN: f64 = 1e-7;
const HEIGHT_WITHIN_M: f64 = 1e-6;
/// Places along and across the deck at which a load is tried.
const DECK_ALONG: u8 = 9;
const DECK_ACROSS: u8 = 5;
/// Height over the hull's lowest point at which a load is put, m: about a
/// seated person's centre. Our own, no source.
const LOAD_HEIGHT_M: f64 = 0.3;

/// Result of [`margins`].
#[derive(Debug, Clone, Serialize)]
pub struct MarginsResult {
    /// The boat's name.
    pub name: String,
    /// Mass of everything aboard, kg.
    pub mass_kg: f64,
    /// The worst of it in one sentence.
    pub summary: String,
    /// Leaning straight over each way until the first sill is awash,
    /// displacement held.
    pub tilt: Vec<TiltLine>,
    /// The bearing with the smallest such lean; `None` when no opening is
    /// reached.
    pub worst_tilt: Option<TiltLine>,
    /// The bearing with the least such work.
    pub least_work: Option<TiltLine>,
    /// The cheapest way to bring each opening to the water, pressing down
    /// allowed; the cheapest first.
    pub knock: Vec<KnockLine>,
    /// Riding up on an edge: a push up at one place.
    pub lift: Vec<LiftLine>,
    /// Greatest extra mass at each place of a grid over the deck.
    pub load: Vec<LoadLine>,
    /// The heaviest of the items with `person = true` sitting on either
    /// edge.
    pub person: Vec<PersonLine>,
    /// A load along either edge, the person left ashore.
    pub edge_load: Vec<EdgeLoadLine>,
    /// Height of a still standing wave's crest over the water at rest that
    /// reaches the lowest sill, m: a crude bound, the craft held as it lies.
    pub crest_m: Option<f64>,
    /// What the yardsticks say of the worst tilt and of the least energy.
    pub verdicts: Vec<MarginVerdict>,
    /// What no number here covers.
    pub cautions: Vec<String>,
    /// Everything about the meshes that may make these numbers wrong.
    pub mesh_doubts: Vec<Doubt>,
}

/// One bearing of the rose.
#[derive(Debug, Clone, Serialize)]
pub struct TiltLine {
    /// Where the craft leans to: 0° the bow goes down, 90° starboard, 180° the
    /// stern, 270° port.
    pub bearing_deg: f64,
    /// The lean at which the first sill is awash; `None` when none is up to
    /// half a turn.
    pub lean_deg: Option<f64>,
    /// The work that takes, J.
    pub work_j: Option<f64>,
    /// Whether the craft goes over by itself before the sill is awash.
    pub capsizes_first: bool,
    /// The opening whose sill that is.
    pub opening: Option<String>,
    /// The rim point, m.
    pub sill_m: Option<[f64; 3]>,
}

/// A push up at one place until a sill is awash.
#[derive(Debug, Clone, Serialize)]
pub struct LiftLine {
    /// Where the edge is: "bow", "stern", "port side", "starboard side".
    pub name: String,
    /// The place, m.
    pub at_m: [f64; 3],
    /// The push, N; `None` when no opening goes under before the craft leaves
    /// the water or turns over.
    pub force_n: Option<f64>,
    /// How far that place has come up, m.
    pub raised_m: Option<f64>,
    /// The opening that is awash.
    pub opening: Option<String>,
}

/// The greatest extra mass at one place.
#[derive(Debug, Clone, Serialize)]
pub struct LoadLine {
    /// The place, m.
    pub at_m: [f64; 3],
    /// The mass at which the first sill is awash, kg; `None` when the craft
    /// sinks or turns over with every opening dry, or carries twenty times
    /// itself.
    pub mass_kg: Option<f64>,
    /// The opening that is awash.
    pub opening: Option<String>,
}

/// What one yardstick says.
#[derive(Debug, Clone, Serialize)]
pub struct MarginVerdict {
    /// What is judged.
    pub name: String,
    /// The verdict.
    pub verdict: Verdict,
    /// The yardstick in words.
    pub yardstick: String,
}

impl MarginsResult {
    /// Whether any yardstick is failed.
    #[must_use]
    pub fn fails_a_yardstick(&self) -> bool {
        self.verdicts.iter().any(|v| v.verdict == Verdict::Fail)
    }
}

/// Everything that brings an opening to the water, from the craft's rest.
///
/// # Errors
/// As [`settle`]; a craft that sinks is an error here.
pub fn margins(boat: &Boat) -> Result<MarginsResult, EquilibriumError> {
    margins_afloat(boat, &Afloat::of(boat)?)
}

/// As [`margins`], of a boat already found afloat.
pub(super) fn margins_afloat(
    boat: &Boat,
    afloat: &Afloat,
) -> Result<MarginsResult, EquilibriumError> {
    let (craft, rest, sills) = (&afloat.craft, &afloat.rest, &afloat.sills);
    let joules = craft.density_kg_m3 * STANDARD_GRAVITY_M_S2;
    let study = Study {
        boat,
        craft,
        rest,
        sills,
        joules,
    };
    let tilt = study.rose()?;
    let worst_tilt = least(&tilt, |line| line.lean_deg);
    let least_work = least(&tilt, |line| line.work_j);
    let knock = study.knock_lines(afloat.knocks()?);
    let crest_m = sills.lowest(rest.plane()).map(|sill| sill.height_m);
    let mut result = MarginsResult {
        name: boat.name.clone(),
        mass_kg: craft.total_mass_kg(),
        summary: String::new(),
        lift: study.lift()?,
        load: study.load()?,
        person: study.person_moved(),
        edge_load: study.edge_load()?,
        tilt,
        worst_tilt,
        least_work,
        knock,
        crest_m,
        verdicts: Vec::new(),
        cautions: nobody_marked(
            boat,
            "nobody is moved to an edge, and no edge load is given",
        )
        .into_iter()
        .chain(CAUTIONS.iter().map(|&text| text.to_owned()))
        .collect(),
        mesh_doubts: boat.doubts.clone(),
    };
    result.verdicts = verdicts(boat, &result);
    result.summary = summary(boat, &result);
    Ok(result)
}

/// The line with the least value.
fn least(lines: &[TiltLine], value: impl Fn(&TiltLine) -> Option<f64>) -> Option<TiltLine> {
    lines
        .iter()
        .filter_map(|line| value(line).map(|v| (v, line)))
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, line)| line.clone())
}

#[derive(Clone, Copy)]
struct Study<'a> {
    boat: &'a Boat,
    craft: &'a Craft,
    rest: &'a Rest,
    sills: &'a Sills,
    /// Joules in an energy of 1 m⁴.
    joules: f64,
}

impl Study<'_> {
    fn opening(&self, index: usize) -> String {
        self.boat.openings[index].name.clone()
    }

    fn rose(&self) -> Result<Vec<TiltLine>, EquilibriumError> {
        rose(self.craft, self.sills, self.rest)
            .map(|(bearing_deg, found)| Ok(self.tilt_line(bearing_deg, found?.as_ref())))
            .collect()
    }

    fn tilt_line(&self, bearing_deg: f64, found: Option<&TiltToFlood>) -> TiltLine {
        TiltLine {
            bearing_deg,
            lean_deg: found.map(|f| f.lean_rad.to_degrees()),
            work_j: found.map(|f| f.work_m4 * self.joules),
            capsizes_first: found.is_some_and(|f| f.capsizes_first),
            opening: found.map(|f| self.opening(f.sill.opening)),
            sill_m: found.map(|f| coordinates(f.sill.point_m)),
        }
    }

    fn lift(&self) -> Result<Vec<LiftLine>, EquilibriumError> {
        let (lo, hi) = self.boat.hull_box_m;
        let middle = (lo + hi) / 2.0;
        let base = self.boat.marks.base_z_m;
        [
            ("bow", Vec3::new(hi.x, 0.0, base)),
            ("stern", Vec3::new(lo.x, 0.0, base)),
            ("port side", Vec3::new(middle.x, hi.y, base)),
            ("starboard side", Vec3::new(middle.x, lo.y, base)),
        ]
        .into_par_iter()
        .map(|(name, at)| {
            let found = self.loaded_until_awash(&at, -LOAD_STEP, 1.0 - LOAD_STEP)?;
            let raised = found
                .as_ref()
                .map(|found| found.state.plane().height_m(&at) - self.rest.plane().height_m(&at));
            Ok(LiftLine {
                name: name.to_owned(),
                at_m: coordinates(at),
                force_n: found
                    .as_ref()
                    .map(|found| found.at * self.craft.mass_kg * STANDARD_GRAVITY_M_S2),
                raised_m: raised,
                opening: found.and_then(|found| self.awash(&found.state)),
            })
        })
        .collect()
    }

    fn load(&self) -> Result<Vec<LoadLine>, EquilibriumError> {
        let (lo, hi) = self.boat.hull_box_m;
        let share = |step: u8, steps: u8| (f64::from(step) + 0.5) / f64::from(steps);
        let places: Vec<Vec3> = (0..DECK_ALONG)
            .flat_map(|i| (0..DECK_ACROSS).map(move |j| (i, j)))
            .map(|(i, j)| {
                Vec3::new(
                    lo.x + (hi.x - lo.x) * share(i, DECK_ALONG),
                    lo.y + (hi.y - lo.y) * share(j, DECK_ACROSS),
                    self.boat.marks.base_z_m + LOAD_HEIGHT_M,
                )
            })
            .collect();
        places
            .into_par_iter()
            .map(|at| {
                let found = self.loaded_until_awash(&at, LOAD_STEP, LOAD_LIMIT)?;
                Ok(LoadLine {
                    at_m: coordinates(at),
                    mass_kg: found.as_ref().map(|found| found.at * self.craft.mass_kg),
                    opening: found.and_then(|found| self.awash(&found.state)),
                })
            })
            .collect()
    }

    /// The greatest extra mass at a place before the first sill is awash, kg.
    fn greatest_load_kg(&self, at: &Vec3) -> Result<Option<f64>, EquilibriumError> {
        let found = self.loaded_until_awash(at, LOAD_STEP, LOAD_LIMIT)?;
        Ok(found.map(|found| found.at * self.craft.mass_kg))
    }

    fn awash(&self, rest: &Rest) -> Option<String> {
        let sill = self.sills.lowest(rest.plane())?;
        Some(self.opening(sill.opening))
    }

    /// Adds mass at a place (takes it away for a negative step: a push up), in
    /// shares of the craft's mass, until the first sill is awash. `None` when
    /// it is not up to `limit`, or the craft finds no rest before.
    fn loaded_until_awash(
        &self,
        at: &Vec3,
        step: f64,
        limit: f64,
    ) -> Result<Option<Crossing<Rest>>, EquilibriumError> {
        if self.sills.is_empty() {
            return Ok(None);
        }
        let start = (self.sills.height_m(self.rest.plane()), self.rest.clone());
        let capacity_kg = self.craft.displacers.volume_m3() * self.craft.density_kg_m3;
        let most = (capacity_kg / self.craft.mass_kg - 1.0) * (1.0 - LOAD_WITHIN);
        let limit = if step > 0.0 { limit.min(most) } else { limit };
        let sign = step.signum();
        let found = first_below(
            start,
            [step.abs(), limit.max(step.abs())],
            [LOAD_WITHIN, HEIGHT_WITHIN_M],
            |share, near: &Rest| {
                let load_kg = sign * share * self.craft.mass_kg;
                let mass_kg = self.craft.mass_kg + load_kg;
                let moment = self.craft.centre_of_gravity_m * self.craft.mass_kg + at * load_kg;
                let loaded = Craft {
                    mass_kg,
                    centre_of_gravity_m: moment / mass_kg,
                    ..self.craft.clone()
                };
                let rest = find_rest_from(&loaded, near.plane(), Hold::Nothing)?;
                Ok((self.sills.height_m(rest.plane()), rest))
            },
        );
        match found {
            // Pushed right over or under: no rest with its openings dry.
            Err(EquilibriumError::NotConverged { .. }) => Ok(None),
            other => other,
        }
    }
}

fn verdicts(boat: &Boat, result: &MarginsResult) -> Vec<MarginVerdict> {
    let words = |band: &Band, unit: &str| {
        format!(
            "under {}{unit} fails, over {}{unit} is clear ({})",
            band.red.value, band.green.value, band.source
        )
    };
    let mut verdicts = Vec::new();
    if let Some(lean) = result.worst_tilt.as_ref().and_then(|line| line.lean_deg) {
        verdicts.push(MarginVerdict {
            name: "smallest lean that floods".into(),
            verdict: boat.yardsticks.tilt.verdict(lean),
            yardstick: words(&boat.yardsticks.tilt, "°"),
        });
    }
    if let Some(knock) = result.knock.first() {
        verdicts.push(MarginVerdict {
            name: "least energy that floods".into(),
            verdict: boat.yardsticks.energy.verdict(knock.work_j),
            yardstick: words(&boat.yardsticks.energy, " J"),
        });
    }
    verdicts
}

/// The worst in one sentence.
fn summary(boat: &Boat, result: &MarginsResult) -> String {
    let Some(worst) = &result.worst_tilt else {
        return "No opening lets water in, however it leans.".into();
    };
    let (Some(lean), Some(opening)) = (worst.lean_deg, &worst.opening) else {
        return String::new();
    };
    if lean <= 0.0 {
        return format!("IT FILLS as it lies: the sill of {opening} is under water at rest.");
    }
    let place = worst
        .sill_m
        .map_or_else(String::new, |at| boat.place_in_words(&Vec3::from(at)));
    let least = result.knock.first();
    let knock = least.map_or_else(String::new, KnockLine::sentence);
    format!(
        "It floods soonest when it leans {}: {lean:.1}° puts {opening} ({place}) under.{knock}",
        direction_in_words(worst.bearing_deg)
    )
}

/// A bearing of the rose in words.
#[must_use]
pub fn direction_in_words(bearing_deg: f64) -> &'static str {
    const WORDS: [&str; 8] = [
        "over the bow",
        "over the starboard bow",
        "to starboard",
        "over the starboard quarter",
        "over the stern",
        "over the port quarter",
        "to port",
        "over the port bow",
    ];
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a share of a turn in eighths, 0 to 8"
    )]
    let eighth = (bearing_deg.rem_euclid(360.0) / 45.0).round() as usize;
    WORDS[eighth % WORDS.len()]
}
