//! How far the sills may be off, from the stated ± of masses, places, rims and
//! water.
use rayon::prelude::*;
use serde::Serialize;

use super::cautions::CAUTIONS;
use crate::boat::{Boat, Verdict};
use crate::equilibrium::{
    Craft, EquilibriumError, Hold, Knock, Rest, Sills, SphereMap, find_rest_from, knock,
    knock_near, least_lean, map_sphere, settle, tilt_to_flood,
};
use crate::mesh::Doubt;
use crate::numerics::{STANDARD_GRAVITY_M_S2, Vec3};

/// A stated ± is taken as this many standard deviations.
const SPREAD_IN_DEVIATIONS: f64 = 2.0;
/// Shares of the draws at which the bands end.
const BAND: [f64; 3] = [0.05, 0.5, 0.95];

/// Result of [`spread`].
#[derive(Debug, Clone, Serialize)]
pub struct SpreadResult {
    /// The boat's name.
    pub name: String,
    /// What it means in one or two sentences.
    pub summary: String,
    /// Draws made.
    pub draws: u32,
    /// Draws in which the craft sinks or finds no rest.
    pub draws_lost: u32,
    /// Seed of the draws: the same seed gives the same result.
    pub seed: u64,
    /// Mass aboard: 5 %, 50 % and 95 % of the draws lie below, kg.
    pub mass_kg: [f64; 3],
    /// Heel, the same, deg.
    pub heel_deg: [f64; 3],
    /// Pitch, the same, deg.
    pub pitch_deg: [f64; 3],
    /// Each opening.
    pub openings: Vec<SpreadLine>,
    /// Least energy over all openings that puts one under (sinkage, heel and
    /// pitch together); absent with none open.
    pub least_knock: Option<MarginBand>,
    /// Lean towards the bearing that is worst as stated; absent likewise.
    pub worst_lean: Option<MarginBand>,
    /// That bearing, deg: 0 the bow goes down, 90 starboard.
    pub worst_lean_bearing_deg: Option<f64>,
    /// What moves the lowest sill most, the most first.
    pub causes: Vec<CauseLine>,
    /// What no number here covers.
    pub cautions: Vec<String>,
    /// Everything about the meshes that may make these numbers wrong.
    pub mesh_doubts: Vec<Doubt>,
}

/// One opening over all draws.
#[derive(Debug, Clone, Serialize)]
pub struct SpreadLine {
    /// The opening.
    pub name: String,
    /// Height of its sill over the water: 5 %, 50 % and 95 % lie below, m.
    pub freeboard_m: [f64; 3],
    /// Share of the draws in which its yardstick is failed.
    pub chance_of_failing: f64,
    /// Share of the draws in which its sill is under water.
    pub chance_under_water: f64,
}

/// A margin over all draws.
#[derive(Debug, Clone, Serialize)]
pub struct MarginBand {
    /// 5 %, 50 % and 95 % of the draws lie below: J, or deg.
    pub band: [f64; 3],
    /// Share of the draws in which its yardstick is failed.
    pub chance_of_failing: f64,
}

/// One stated ± and what it does to the lowest sill.
#[derive(Debug, Clone, Serialize)]
pub struct CauseLine {
    /// The mass or place.
    pub name: String,
    /// Share of the lowest sill's variance that goes with it (square of the
    /// correlation).
    pub share: f64,
}

/// One thing that is not known exactly.
struct Unknown {
    name: String,
    what: What,
    deviation: f64,
}

/// What an unknown changes.
#[derive(Clone, Copy)]
enum What {
    /// A mass, by its number in the boat's list.
    Mass(usize),
    /// A place: the same number, and the axis.
    Place(usize, usize),
    /// The whole surface, in or out.
    Scan,
    /// The height of an opening's rim, by its number.
    Rim(usize),
    /// The density of the water.
    Water,
}

/// A boat with every unknown moved.
struct Drawn {
    mass_kg: f64,
    centre_m: Vec3,
    /// How far out the surface lies, m.
    scan_m: f64,
    /// How much higher each opening's rim lies, m.
    rims_m: Vec<f64>,
    density_kg_m3: f64,
}

/// What one draw found.
struct Draw {
    offsets: Vec<f64>,
    mass_kg: f64,
    heel_deg: f64,
    pitch_deg: f64,
    freeboards_m: Vec<f64>,
    knock_j: Option<f64>,
    lean_deg: Option<f64>,
}

/// Draws masses and places from normal distributions whose two standard
/// deviations are the stated ±, independent of each other, and floats each. The
/// same seed gives the same draws on any number of threads.
///
/// The ± of a rim's height moves the whole rim along the boat's z.
/// A stated error of the scan moves the whole surface in or out: to first order a
/// buoyancy of wetted area times that error, at the middle of the wetted area.
///
/// # Errors
/// As [`settle`], for the craft as stated.
pub fn spread(boat: &Boat, draws: u32, seed: u64) -> Result<SpreadResult, EquilibriumError> {
    let craft = Craft::of(boat);
    let rest = settle(&craft)?.rest;
    let unknowns = unknowns(boat);
    let sills = Sills::of(&boat.openings);
    let map = map_sphere(&craft, std::slice::from_ref(&rest))?;
    let margins = Margins {
        knocks: knock(&craft, &sills, &rest, &map),
        map,
        bearing_deg: least_lean(&craft, &sills, &rest)?.map(|(bearing_deg, _)| bearing_deg),
        sills,
    };
    let found: Vec<Option<Draw>> = (0..draws)
        .into_par_iter()
        .map(|number| {
            let mut rng = fastrand::Rng::with_seed(seed ^ (u64::from(number) << 20));
            let offsets: Vec<f64> = unknowns.iter().map(|_| normal(&mut rng)).collect();
            let drawn = drawn(boat, &unknowns, &offsets);
            let mass_kg = drawn.mass_kg;
            let changed = Craft {
                mass_kg,
                centre_of_gravity_m: drawn.centre_m,
                density_kg_m3: drawn.density_kg_m3,
                ..craft.clone()
            };
            let changed = off_scan(&changed, &rest, drawn.scan_m);
            let sills = margins.sills.raised(&drawn.rims_m);
            let rest = find_rest_from(&changed, rest.plane(), Hold::Nothing).ok()?;
            let plane = *rest.plane();
            Some(Draw {
                offsets,
                mass_kg,
                knock_j: margins.knock_j(&changed, &sills, &rest),
                lean_deg: margins.lean_deg(&changed, &sills, &rest),
                heel_deg: plane.heel_deg(),
                pitch_deg: plane.pitch_deg(),
                freeboards_m: boat
                    .openings
                    .iter()
                    .zip(&drawn.rims_m)
                    .map(|(opening, raised_m)| {
                        let sill = opening.sill_m(&plane.up) + Vec3::z() * *raised_m;
                        plane.height_m(&sill)
                    })
                    .collect(),
            })
        })
        .collect();
    let loose_kg = craft.liquids_kg();
    let kept: Vec<Draw> = found.into_iter().flatten().collect();
    let lost = draws - u32::try_from(kept.len()).unwrap_or(draws);
    let of = |value: &dyn Fn(&Draw) -> f64| band(kept.iter().map(value).collect());
    let openings: Vec<SpreadLine> = boat
        .openings
        .iter()
        .enumerate()
        .filter(|(_, opening)| opening.lets_water_in())
        .map(|(index, opening)| {
            let share_of = |judged: &dyn Fn(f64) -> bool| {
                let hits = kept.iter().filter(|draw| judged(draw.freeboards_m[index]));
                share(hits.count() + lost as usize, draws)
            };
            let sill = &boat.yardsticks.sill;
            SpreadLine {
                name: opening.name.clone(),
                freeboard_m: of(&|draw| draw.freeboards_m[index]),
                chance_of_failing: share_of(&|height| sill.verdict(height) == Verdict::Fail),
                chance_under_water: share_of(&|height| height <= 0.0),
            }
        })
        .collect();
    let mut result = SpreadResult {
        name: boat.name.clone(),
        summary: String::new(),
        draws,
        draws_lost: lost,
        seed,
        mass_kg: of(&|draw| draw.mass_kg + loose_kg),
        heel_deg: of(&|draw| draw.heel_deg),
        pitch_deg: of(&|draw| draw.pitch_deg),
        openings,
        least_knock: margin_band(
            &kept,
            lost,
            draws,
            |draw| draw.knock_j,
            |work| boat.yardsticks.energy.verdict(work) == Verdict::Fail,
        ),
        worst_lean: margin_band(
            &kept,
            lost,
            draws,
            |draw| draw.lean_deg,
            |lean| boat.yardsticks.tilt.verdict(lean) == Verdict::Fail,
        ),
        worst_lean_bearing_deg: margins.bearing_deg,
        causes: causes(boat, &unknowns, &kept),
        cautions: CAUTIONS.iter().map(|&text| text.to_owned()).collect(),
        mesh_doubts: boat.doubts.clone(),
    };
    result.summary = summary(&result);
    Ok(result)
}

fn unknowns(boat: &Boat) -> Vec<Unknown> {
    const AXES: [&str; 3] = ["fore and aft", "across", "up"];
    let mut unknowns = Vec::new();
    for (entry, mass) in boat.masses.iter().enumerate() {
        if mass.spread_kg > 0.0 {
            unknowns.push(Unknown {
                name: format!("mass of {}", mass.name),
                what: What::Mass(entry),
                deviation: mass.spread_kg / SPREAD_IN_DEVIATIONS,
            });
        }
        for (axis, words) in AXES.iter().enumerate() {
            let spread_m = mass.centre_spread_m[axis];
            if spread_m > 0.0 {
                unknowns.push(Unknown {
                    name: format!("place of {} {words}", mass.name),
                    what: What::Place(entry, axis),
                    deviation: spread_m / SPREAD_IN_DEVIATIONS,
                });
            }
        }
    }
    if let Some(error_m) = boat.scan_error_m.filter(|error| *error > 0.0) {
        unknowns.push(Unknown {
            name: "scan of the hull (float it and run awash calibrate)".to_owned(),
            what: What::Scan,
            deviation: error_m / SPREAD_IN_DEVIATIONS,
        });
    }
    let rims = boat.openings.iter().enumerate();
    unknowns.extend(rims.filter(|(_, opening)| opening.rim_spread_m > 0.0).map(
        |(number, opening)| Unknown {
            name: format!("height of the rim of {}", opening.name),
            what: What::Rim(number),
            deviation: opening.rim_spread_m / SPREAD_IN_DEVIATIONS,
        },
    ));
    if boat.water_spread_kg_m3 > 0.0 {
        unknowns.push(Unknown {
            name: "density of the water".to_owned(),
            what: What::Water,
            deviation: boat.water_spread_kg_m3 / SPREAD_IN_DEVIATIONS,
        });
    }
    unknowns
}

/// What the margins of a draw are sought from.
struct Margins {
    sills: Sills,
    /// Every attitude of rest of the boat as stated.
    map: SphereMap,
    /// Its knocks.
    knocks: Vec<Knock>,
    /// The bearing of the least lean of the boat as stated.
    bearing_deg: Option<f64>,
}

impl Margins {
    fn knock_j(&self, craft: &Craft, sills: &Sills, rest: &Rest) -> Option<f64> {
        knock_near(craft, sills, rest, &self.map, &self.knocks)
            .ok()?
            .iter()
            .map(|found| found.work_m4 * craft.density_kg_m3 * STANDARD_GRAVITY_M_S2)
            .reduce(f64::min)
    }

    fn lean_deg(&self, craft: &Craft, sills: &Sills, rest: &Rest) -> Option<f64> {
        let tilt = tilt_to_flood(craft, sills, rest, self.bearing_deg?);
        tilt.ok()?.map(|tilt| tilt.lean_rad.to_degrees())
    }
}

/// A craft whose surface lies further out than scanned: it carries as if so much
/// mass were taken off where the skin is wet.
fn off_scan(craft: &Craft, rest: &Rest, out_m: f64) -> Craft {
    let lifts_kg = rest.immersion.wetted_area_m2 * out_m * craft.density_kg_m3;
    match rest.immersion.wetted_centroid_m() {
        Some(middle) if out_m != 0.0 => craft.with_load(-lifts_kg, &middle),
        _ => craft.clone(),
    }
}

fn margin_band(
    kept: &[Draw],
    lost: u32,
    draws: u32,
    value: impl Fn(&Draw) -> Option<f64>,
    fails: impl Fn(f64) -> bool,
) -> Option<MarginBand> {
    let values: Vec<f64> = kept.iter().filter_map(&value).collect();
    let failed = values.iter().filter(|value| fails(**value)).count() + lost as usize;
    (!values.is_empty()).then(|| MarginBand {
        chance_of_failing: share(failed, draws),
        band: band(values),
    })
}

/// The boat with every unknown moved by its offset.
fn drawn(boat: &Boat, unknowns: &[Unknown], offsets: &[f64]) -> Drawn {
    let mut scan_m = 0.0;
    let mut rims_m = vec![0.0; boat.openings.len()];
    let mut density_kg_m3 = boat.water.density_kg_m3;
    let mut masses: Vec<(f64, Vec3)> = boat
        .masses
        .iter()
        .map(|entry| (entry.mass_kg, entry.centre_m))
        .collect();
    for (unknown, offset) in unknowns.iter().zip(offsets) {
        let off = offset * unknown.deviation;
        match unknown.what {
            What::Mass(entry) => masses[entry].0 = (masses[entry].0 + off).max(0.0),
            What::Place(entry, axis) => masses[entry].1[axis] += off,
            What::Scan => scan_m = off,
            What::Rim(opening) => rims_m[opening] = off,
            What::Water => density_kg_m3 += off,
        }
    }
    let mass_kg: f64 = masses.iter().map(|(mass, _)| mass).sum();
    let moment: Vec3 = masses.iter().map(|(mass, centre)| centre * *mass).sum();
    Drawn {
        mass_kg,
        centre_m: moment / mass_kg,
        scan_m,
        rims_m,
        density_kg_m3,
    }
}

/// A draw from the normal distribution (Box & Muller, Annals of Mathematical
/// Statistics 29, 1958).
fn normal(rng: &mut fastrand::Rng) -> f64 {
    let radius = (-2.0 * (1.0 - rng.f64()).ln()).sqrt();
    radius * (std::f64::consts::TAU * rng.f64()).cos()
}

fn share(count: usize, draws: u32) -> f64 {
    f64::from(u32::try_from(count).unwrap_or(u32::MAX)) / f64::from(draws.max(1))
}

/// The values below which the shares of [`BAND`] lie.
fn band(mut values: Vec<f64>) -> [f64; 3] {
    values.sort_by(f64::total_cmp);
    BAND.map(|share| {
        let last = values.len().saturating_sub(1);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            clippy::cast_precision_loss,
            reason = "a share of a list's length"
        )]
        let place = (share * last as f64).round() as usize;
        values.get(place).copied().unwrap_or(f64::NAN)
    })
}

fn causes(boat: &Boat, unknowns: &[Unknown], draws: &[Draw]) -> Vec<CauseLine> {
    let open: Vec<usize> = (0..boat.openings.len())
        .filter(|&index| boat.openings[index].lets_water_in())
        .collect();
    let lowest: Vec<f64> = draws
        .iter()
        .map(|draw| {
            let heights = open.iter().map(|&index| draw.freeboards_m[index]);
            heights.fold(f64::INFINITY, f64::min)
        })
        .collect();
    if open.is_empty() || draws.len() < 2 {
        return Vec::new();
    }
    let mut causes: Vec<CauseLine> = unknowns
        .iter()
        .enumerate()
        .map(|(index, unknown)| {
            let offsets: Vec<f64> = draws.iter().map(|draw| draw.offsets[index]).collect();
            CauseLine {
                name: unknown.name.clone(),
                share: correlation(&offsets, &lowest).powi(2),
            }
        })
        .collect();
    causes.sort_by(|a, b| b.share.total_cmp(&a.share));
    causes
}

fn correlation(a: &[f64], b: &[f64]) -> f64 {
    let count = f64::from(u32::try_from(a.len()).unwrap_or(u32::MAX));
    let (mean_a, mean_b) = (a.iter().sum::<f64>() / count, b.iter().sum::<f64>() / count);
    let (mut ab, mut aa, mut bb) = (0.0, 0.0, 0.0);
    for (x, y) in a.iter().zip(b) {
        ab += (x - mean_a) * (y - mean_b);
        aa += (x - mean_a) * (x - mean_a);
        bb += (y - mean_b) * (y - mean_b);
    }
    if aa > 0.0 && bb > 0.0 {
        ab / (aa * bb).sqrt()
    } else {
        0.0
    }
}

fn summary(result: &SpreadResult) -> String {
    let Some(cause) = result.causes.first() else {
        return "Nothing in the boat file carries a ±: write one, as in \"40 kg ± 2 kg\", to see what it does to the sills.".into();
    };
    let lowest = result
        .openings
        .iter()
        .min_by(|a, b| a.freeboard_m[0].total_cmp(&b.freeboard_m[0]));
    let sill = lowest.map_or_else(String::new, |line| {
        format!(
            "{} lies between {:.0} and {:.0} mm over the water in nine draws of ten, and fails its yardstick in {:.0} % of them. ",
            line.name,
            line.freeboard_m[0] * 1e3,
            line.freeboard_m[2] * 1e3,
            line.chance_of_failing * 100.0
        )
    });
    format!(
        "{sill}Measure next: the {}; {:.0} % of the lowest sill's spread goes with it.",
        cause.name,
        cause.share * 100.0
    )
}
