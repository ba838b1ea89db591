//! How much foam, and where, keeps a swamped craft up.
use rayon::prelude::*;
use serde::Serialize;

use super::cautions::CAUTIONS;
use super::heads::nobody_marked;
use super::named::{NoSuchName, mass_named, opening_named, people_aboard, without_volume};
use crate::boat::{Boat, Compartment};
use crate::equilibrium::{
    Craft, EquilibriumError, Rest, first_below, outside_of, settle_if_afloat, space_of,
    space_without,
};
use crate::mesh::Doubt;
use crate::numerics::Vec3;

mod fill;
mod rules;

use fill::{Family, Fill};
pub use rules::FlotationRule;

/// Share of a person's weight that hangs on the craft in the water: 33 CFR
/// 183.105 takes two fifteenths.
pub const PULL_SHARE: f64 = 2.0 / 15.0;
/// Share of its way by which a bulkhead is moved until the rim is as high as asked.
const STEP: f64 = 1.0 / 12.0;
/// How near the bulkhead is found, as a share of its way (under a tenth of a
/// millimetre on a hull of 5 m), or the rim to its wished height, m.
const SHARE_WITHIN: f64 = 2e-5;
const RIM_WITHIN_M: f64 = 1e-6;

/// What is asked of the foam.
#[derive(Debug, Clone, PartialEq)]
pub struct FoamWish {
    /// How high the rim must stay over the water when swamped, m.
    pub freeboard_m: f64,
    /// The opening whose rim that is; the largest when not said.
    pub opening: Option<String>,
    /// How many people hang on in the water; when not said all persons of the boat
    /// file that leave the craft, or one where it marks none.
    pub people: Option<u32>,
    /// What each weighs, kg; [`PULL_SHARE`] of it pulls on the craft.
    pub person_kg: f64,
    /// Items that leave the craft when it swamps; every person when not said.
    pub overboard: Option<Vec<String>>,
    /// Density of the foam, kg/m³.
    pub foam_kg_m3: f64,
}

impl Default for FoamWish {
    fn default() -> Self {
        Self {
            freeboard_m: 0.05,
            opening: None,
            people: None,
            person_kg: 75.0,
            overboard: None,
            foam_kg_m3: 32.0,
        }
    }
}

/// Why no foam was sized.
#[derive(Debug, thiserror::Error)]
pub enum FoamError {
    /// The boat is no craft that floats.
    #[error(transparent)]
    Equilibrium(#[from] EquilibriumError),
    /// A name that is not there.
    #[error(transparent)]
    Name(#[from] NoSuchName),
    /// No rim to keep over the water.
    #[error("the boat file names no opening, so there is no rim to keep over the water")]
    NoOpening,
}

/// Result of [`foam`].
#[derive(Debug, Clone, Serialize)]
pub struct FoamResult {
    /// The boat's name.
    pub name: String,
    /// What it means in one or two sentences.
    pub summary: String,
    /// How high the rim must stay, m.
    pub freeboard_m: f64,
    /// Whose rim.
    pub opening: String,
    /// What pulls on the craft from the water, kg.
    pub pull_kg: f64,
    /// Items that left it.
    pub overboard: Vec<String>,
    /// Density of the foam, kg/m³.
    pub foam_kg_m3: f64,
    /// The swamped craft as the boat file has it.
    pub as_it_is: Swamped,
    /// Ways to place foam, the least of it first; those that do not reach last.
    pub places: Vec<FoamPlace>,
    /// Borrowed rules, with the two largest air spaces counted lost.
    pub rules: Vec<FlotationRule>,
    /// What no number here covers.
    pub cautions: Vec<String>,
    /// Everything about the meshes that may make these numbers wrong.
    pub mesh_doubts: Vec<Doubt>,
}

/// A swamped craft.
#[derive(Debug, Clone, Serialize)]
pub struct Swamped {
    /// Whether it floats.
    pub floats: bool,
    /// Heel, deg.
    pub heel_deg: Option<f64>,
    /// Pitch, bow up positive, deg.
    pub pitch_deg: Option<f64>,
    /// Lowest point of the rim over the water, m.
    pub rim_m: Option<f64>,
    /// Metacentric height across, m.
    pub gm_transverse_m: Option<f64>,
    /// What it lacks to float at all, m³; negative: what it has over.
    pub lacks_m3: f64,
}

/// One way to place foam.
#[derive(Debug, Clone, Serialize)]
pub struct FoamPlace {
    /// "bow", "both sides".
    pub name: String,
    /// Where its faces stand, in words: "forward of x = 2.31 m".
    pub bounds: String,
    /// Whether the rim stays as high as asked.
    pub reaches: bool,
    /// Volume of foam, m³.
    pub foam_m3: f64,
    /// Its mass, kg.
    pub foam_kg: f64,
    /// Its middle, m.
    pub at_m: [f64; 3],
    /// The swamped craft with it.
    pub swamped: Swamped,
}

/// Sizes foam so that the swamped craft keeps a rim over the water. All that is
/// not sealed is open to the sea; what stands in it keeps its volume but for what
/// goes overboard. Foam fills the inside up to a plane: from an end, from both,
/// from both sides inwards, or from the top down. The plane is moved until the
/// rim stays as high as asked.
///
/// # Errors
/// [`FoamError`].
pub fn foam(boat: &Boat, wish: &FoamWish) -> Result<FoamResult, FoamError> {
    let rim = match &wish.opening {
        Some(name) => opening_named(boat, name)?,
        None => largest_opening(boat).ok_or(FoamError::NoOpening)?,
    };
    let overboard = match &wish.overboard {
        Some(names) => {
            for name in names {
                mass_named(boat, name)?;
            }
            names.clone()
        }
        None => people_aboard(boat),
    };
    let study = Study::new(boat, rim, &overboard, wish);
    let as_it_is = study.swamped(&study.craft)?;
    let mut places = Family::ALL
        .par_iter()
        .map(|family| study.placed(*family))
        .collect::<Result<Vec<_>, _>>()?;
    places.sort_by(|a, b| {
        let key = |place: &FoamPlace| (!place.reaches, place.foam_m3);
        let ((one, litres), (other, more)) = (key(a), key(b));
        one.cmp(&other).then(litres.total_cmp(&more))
    });
    let mut result = FoamResult {
        name: boat.name.clone(),
        summary: String::new(),
        freeboard_m: wish.freeboard_m,
        opening: boat.openings[rim].name.clone(),
        pull_kg: study.pull_kg,
        foam_kg_m3: wish.foam_kg_m3,
        as_it_is,
        places,
        rules: rules::rules(boat, &overboard, study.pull_kg)?,
        overboard,
        cautions: cautions(boat),
        mesh_doubts: boat.doubts.clone(),
    };
    result.summary = summary(&result);
    Ok(result)
}

/// The opening whose rim reaches furthest.
pub(super) fn largest_opening(boat: &Boat) -> Option<usize> {
    let reach = |rim: &[Vec3]| {
        let lo = rim
            .iter()
            .fold(Vec3::repeat(f64::INFINITY), |lo, p| lo.inf(p));
        let hi = rim
            .iter()
            .fold(Vec3::repeat(f64::NEG_INFINITY), |hi, p| hi.sup(p));
        (hi - lo).norm()
    };
    (0..boat.openings.len()).max_by(|a, b| {
        let reach = |k: usize| reach(&boat.openings[k].rim);
        reach(*a).total_cmp(&reach(*b))
    })
}

/// The craft less what goes overboard, all that is not sealed open to the sea.
/// Sealed spaces whose numbers are in `lost` are open too.
pub(super) fn swamped_craft(boat: &Boat, overboard: &[String], lost: &[usize]) -> Craft {
    let gone: Vec<&str> = overboard.iter().map(String::as_str).collect();
    let stays = |number: usize, space: &Compartment| space.sealed && !lost.contains(&number);
    let mut craft = Craft::without_fills(boat).with_fills_of(boat, stays);
    for (number, space) in boat.compartments.iter().enumerate() {
        if !space.flooded && (!space.sealed || lost.contains(&number)) {
            craft.displacers.take_away(&space_without(space, &gone));
        } else if space.flooded {
            // Its contents were counted as staying: those overboard do not.
            let (all, left) = (space_of(space), space_without(space, &gone));
            craft.displacers.add_all(&all);
            craft.displacers.take_away(&left);
        }
    }
    for thing in &boat.outside {
        if overboard.contains(&boat.masses[thing.entry].name) {
            craft.displacers.take_away(&outside_of(thing));
        }
    }
    let away = boat
        .masses
        .iter()
        .filter(|entry| overboard.contains(&entry.name));
    away.fold(craft, |craft, entry| {
        craft.with_load(-entry.mass_kg, &entry.centre_m)
    })
}

fn people_hanging_on(boat: &Boat, overboard: &[String], wish: &FoamWish) -> f64 {
    if let Some(people) = wish.people {
        return f64::from(people);
    }
    let leaving = boat
        .persons()
        .filter(|entry| overboard.contains(&entry.name));
    let marked = boat.persons().next().is_some();
    if marked {
        leaving.map(|_| 1.0).sum()
    } else {
        1.0
    }
}

struct Study<'a> {
    wish: &'a FoamWish,
    rim: &'a [Vec3],
    craft: Craft,
    fill: Fill<'a>,
    pull_kg: f64,
}

impl<'a> Study<'a> {
    fn new(boat: &'a Boat, rim: usize, overboard: &[String], wish: &'a FoamWish) -> Self {
        let rim = &boat.openings[rim].rim;
        let pull_kg = people_hanging_on(boat, overboard, wish) * wish.person_kg * PULL_SHARE;
        let (lo, hi) = boat.hull_box_m;
        let hands = Vec3::new(f64::midpoint(lo.x, hi.x), 0.0, hi.z);
        Self {
            wish,
            rim,
            craft: swamped_craft(boat, overboard, &[]).with_load(pull_kg, &hands),
            fill: Fill::of(boat, overboard),
            pull_kg,
        }
    }

    fn rim_m(&self, rest: &Rest) -> f64 {
        let heights = self.rim.iter().map(|point| rest.plane().height_m(point));
        heights.fold(f64::INFINITY, f64::min)
    }

    fn rest(&self, craft: &Craft) -> Result<Option<Rest>, EquilibriumError> {
        Ok(settle_if_afloat(craft)?.map(|settled| settled.rest))
    }

    fn swamped(&self, craft: &Craft) -> Result<Swamped, EquilibriumError> {
        let rest = self.rest(craft)?;
        let rest = rest.as_ref();
        Ok(Swamped {
            floats: rest.is_some(),
            heel_deg: rest.map(|rest| rest.plane().heel_deg()),
            pitch_deg: rest.map(|rest| rest.plane().pitch_deg()),
            rim_m: rest.map(|rest| self.rim_m(rest)),
            gm_transverse_m: rest.map(Rest::gm_transverse_m),
            lacks_m3: craft.volume_to_displace_m3() - craft.displacers.volume_m3(),
        })
    }

    /// The craft with foam of a family up to a share of its reach.
    fn with_foam(&self, family: Family, share: f64) -> (Craft, f64, Vec3) {
        let body = self.fill.body(family, share);
        let mut craft = self.craft.clone();
        craft.displacers.add_all(&body.displacers);
        let kg = body.volume_m3 * self.wish.foam_kg_m3;
        if kg > 0.0 {
            craft = craft.with_load(kg, &body.centre_m);
        }
        (craft, body.volume_m3, body.centre_m)
    }

    fn placed(&self, family: Family) -> Result<FoamPlace, EquilibriumError> {
        let height = |share: f64| -> Result<f64, EquilibriumError> {
            let rest = self.rest(&self.with_foam(family, share).0)?;
            Ok(rest.map_or(f64::NEG_INFINITY, |rest| self.rim_m(&rest)))
        };
        let wish = self.wish.freeboard_m;
        let mut best = (f64::NEG_INFINITY, 1.0);
        let reached = first_below(
            (wish - height(0.0)?, ()),
            [STEP, 1.0],
            [SHARE_WITHIN, RIM_WITHIN_M],
            |share, ()| {
                let found = height(share)?;
                if found > best.0 {
                    best = (found, share);
                }
                Ok::<_, EquilibriumError>((wish - found, ()))
            },
        )?;
        let share = reached.as_ref().map_or(best.1, |crossing| crossing.at);
        let (craft, foam_m3, centre) = self.with_foam(family, share);
        Ok(FoamPlace {
            name: family.name().to_owned(),
            bounds: self.fill.bounds(family, share),
            reaches: reached.is_some(),
            foam_m3,
            foam_kg: foam_m3 * self.wish.foam_kg_m3,
            at_m: centre.into(),
            swamped: self.swamped(&craft)?,
        })
    }
}

fn cautions(boat: &Boat) -> Vec<String> {
    let mut cautions = vec![
        "Foam is taken as dry closed cells that fill the space to its walls and stay there: soaked, loose or crushed foam holds up less. Swamped, still water, no trapped air.".to_owned(),
        "The rules are borrowed: canoes, kayaks and craft that dive are outside of them.".to_owned(),
    ];
    cautions.extend(nobody_marked(
        boat,
        "nobody leaves the craft when it swamps unless `--overboard` says so, and one person is counted as hanging on unless `--people` says so",
    ));
    let without = without_volume(boat);
    if !without.is_empty() {
        cautions.push(format!(
            "No volume or density is given for {}: they are taken to displace nothing.",
            without.join(", ")
        ));
    }
    cautions.extend(CAUTIONS.iter().map(|&text| text.to_owned()));
    cautions
}

fn summary(result: &FoamResult) -> String {
    let now = match (result.as_it_is.floats, result.as_it_is.rim_m) {
        (true, Some(rim)) if rim < 0.0 => format!(
            "Swamped it floats, but the rim of {} lies {:.0} mm under the water",
            result.opening,
            -rim * 1e3
        ),
        (true, Some(rim)) => format!(
            "Swamped it floats with the rim of {} {:.0} mm over the water",
            result.opening,
            rim * 1e3
        ),
        _ => format!(
            "Swamped IT SINKS: it lacks {:.0} L",
            result.as_it_is.lacks_m3 * 1e3
        ),
    };
    let wanted = result.freeboard_m * 1e3;
    match result.places.iter().find(|place| place.reaches) {
        Some(place) if place.foam_m3 > 0.0 => format!(
            "{now}. {:.0} L of foam at {} ({}) keep that rim {wanted:.0} mm over the water.",
            place.foam_m3 * 1e3,
            place.name,
            place.bounds
        ),
        Some(_) => format!("{now}: no foam is needed for {wanted:.0} mm."),
        None => format!(
            "{now}. No foam in the inside alone brings that rim {wanted:.0} mm over the water: add sealed volume higher up or outside, or take mass out."
        ),
    }
}
