//! How much foam, and where, keeps a swamped craft up.
use rayon::prelude::*;
use schemars::JsonSchema;
use serde::Serialize;

use super::shared::answer::{Answer, AsItLies};
use super::shared::cautions::{Caution, Doing, LeftOut, WithoutVolume, nobody_marked};
use super::shared::fills::NoneOpen;
use super::shared::named::{NoSuchName, mass_named, opening_named, people_aboard, without_volume};
use super::shared::yardstick::Yardstick;
use crate::boat::{Boat, Verdict};
use crate::equilibrium::{
    Afloat, Craft, EquilibriumError, Rest, is_upright, lacks_m3, settle_if_afloat, wholly_flooded,
};
use crate::numerics::{Vec3, first_below};

mod fill;
mod retained;
mod rules;

pub use fill::FoamFace;
use fill::{Body, Family, Fill};
use retained::Retained;
pub(crate) use rules::{END_UNDER_M, LEVEL_HEEL_DEG};
pub use rules::{FlotationRule, RuleAbout, RuleGot};

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
    /// How high the rim must stay above the water when swamped, m.
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
#[non_exhaustive]
pub enum FoamError {
    /// The boat is no craft that floats.
    #[error(transparent)]
    Equilibrium(#[from] EquilibriumError),
    /// A name that is not there.
    #[error(transparent)]
    Name(#[from] NoSuchName),
    /// No rim to keep above the water.
    #[error("{why}, so there is no rim to keep above the water")]
    NoOpening {
        /// Why no opening is open.
        why: NoneOpen,
    },
    /// Its rim is no way in.
    #[error(
        "opening \"{name}\" is covered: no water comes in by it, so its rim is none to keep above the water; name one that is open{}",
        if open.is_empty() { String::new() } else { format!(" ({})", open.join(", ")) }
    )]
    Covered {
        /// The opening.
        name: String,
        /// Those that are open.
        open: Vec<String>,
    },
}

/// Result of [`foam`].
#[derive(Debug, Clone, JsonSchema, Serialize)]
#[non_exhaustive]
pub struct FoamResult {
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
    /// The volume of solid or sealed displacement that is missing to hold the craft up
    /// wholly flooded, all aboard and nobody pulling, as `flooded` and `swamp` have it,
    /// m³; negative: what it has over.
    pub lacks_m3: f64,
    /// What the yardsticks say of the swamped craft as it is; `None` where nothing is
    /// asked.
    pub verdict: Option<Verdict>,
    /// Those yardsticks.
    #[serde(skip)]
    pub yardsticks: Vec<Yardstick>,
    /// Ways to place foam, the least of it first; those that do not reach last.
    pub places: Vec<FoamPlace>,
    /// Borrowed rules, with the two largest air spaces counted lost.
    pub rules: Vec<FlotationRule>,
}

/// A swamped craft.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct Swamped {
    /// Whether it floats.
    pub floats: bool,
    /// Heel, deg.
    pub heel_deg: Option<f64>,
    /// Pitch, bow up positive, deg.
    pub pitch_deg: Option<f64>,
    /// Lowest point of the rim above the water, with the water inside as high as
    /// outside, m.
    pub rim_m: Option<f64>,
    /// The same where no low hole lets the water inside level: the inside full up to
    /// the rim, m.
    pub rim_no_low_hole_m: Option<f64>,
    /// Lean from upright, any way, deg.
    pub lean_deg: Option<f64>,
    /// Whether it lies upright rather than over or on end.
    pub upright: bool,
    /// Metacentric height across, m.
    pub gm_transverse_m: Option<f64>,
    /// Whether an opening beside that rim is under the water there, so that the water
    /// inside stands as high as outside; without one it stays in up to the rim.
    pub low_hole: bool,
    /// The volume of solid or sealed displacement that is missing to hold it up so,
    /// people in the water pulling, m³; negative: what it has over.
    pub short_m3: f64,
}

impl Swamped {
    /// The rim above the water with the openings that it has, m: levelled by a low hole,
    /// or full to the rim.
    #[must_use]
    pub fn rim_as_it_lies_m(&self) -> Option<f64> {
        if self.low_hole {
            self.rim_m
        } else {
            self.rim_no_low_hole_m.or(self.rim_m)
        }
    }
}

/// One way to place foam.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct FoamPlace {
    /// "bow", "both sides".
    pub name: String,
    /// Those faces; the volume, mass and attitude here are those of foam up to them.
    pub faces: Vec<FoamFace>,
    /// Whether the rim stays as high as asked, and the craft within its yardstick's lean.
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

/// Sizes foam so that the swamped craft keeps a rim above the water. All that is
/// not sealed is open to the sea; what stands in it keeps its volume but for what
/// goes overboard. Foam fills the inside up to a plane: from an end, from both,
/// from both sides inwards, or from the top down. The plane is moved until the
/// rim stays as high as asked and the craft leans no further than the yardstick allows,
/// then out to a whole tenth of a millimetre. The freeboard is that
/// with the water inside as high as outside; beside it stands that of a craft without
/// a low hole, full up to the rim.
///
/// ```
/// # fn main() -> Result<(), Box<dyn std::error::Error>> {
/// use awash::{Boat, study::{FoamWish, foam}};
///
/// let boat = Boat::load("meshes/dipper/after.toml".as_ref())?;
/// let result = foam(&boat, &FoamWish::default())?;
/// let least = result.places.first().ok_or("nowhere to put it")?;
/// println!("{}: {:.0} L of foam", least.name, least.foam_m3 * 1e3);
/// # Ok(())
/// # }
/// ```
///
/// # Errors
/// [`FoamError`].
pub fn foam<'b>(
    boat: impl Into<Afloat<'b>>,
    wish: &FoamWish,
) -> Result<Answer<FoamResult>, FoamError> {
    let afloat = boat.into();
    let boat = afloat.boat();
    let answer = Answer::of(boat, sized(boat, wish)?, cautions(boat));
    Ok(Answer {
        as_it_lies: AsItLies::at_rest(&afloat),
        ..answer
    })
}

/// The same without what every study says first.
pub(super) fn sized(boat: &Boat, wish: &FoamWish) -> Result<FoamResult, FoamError> {
    let rim = match &wish.opening {
        Some(name) => open_opening(boat, name)?,
        None => largest_opening(boat).ok_or(FoamError::NoOpening {
            why: NoneOpen::of(boat).unwrap_or(NoneOpen::AllCovered),
        })?,
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
    let as_it_is = study.swamped(&study.craft, None)?;
    let limits = &boat.yardsticks;
    let mut places = Family::ALL
        .par_iter()
        .map(|family| study.placed(*family))
        .collect::<Result<Vec<_>, _>>()?;
    places.sort_by(|a, b| {
        let key = |place: &FoamPlace| (!place.reaches, place.foam_m3);
        let ((one, litres), (other, more)) = (key(a), key(b));
        one.cmp(&other).then(litres.total_cmp(&more))
    });
    Ok(FoamResult {
        freeboard_m: wish.freeboard_m,
        opening: boat.openings[rim].name.clone(),
        pull_kg: study.pull_kg,
        foam_kg_m3: wish.foam_kg_m3,
        lacks_m3: lacks_m3(&wholly_flooded(boat, &[], &[])),
        verdict: verdict(boat, &as_it_is),
        yardsticks: Yardstick::swamped(
            Yardstick::AfloatSwamped(limits.floats_swamped.clone()),
            limits,
        ),
        as_it_is,
        places,
        rules: rules::rules(boat, &overboard, study.pull_kg)?,
        overboard,
    })
}

/// The number of an opening that lets water in.
fn open_opening(boat: &Boat, name: &str) -> Result<usize, FoamError> {
    let number = opening_named(boat, name)?;
    if boat.openings[number].lets_water_in() {
        return Ok(number);
    }
    let open = boat.openings.iter().filter(|o| o.lets_water_in());
    Err(FoamError::Covered {
        name: name.to_owned(),
        open: open.map(|opening| opening.name.clone()).collect(),
    })
}

/// Of the openings that let water in the one whose rim reaches furthest.
pub(super) fn largest_opening(boat: &Boat) -> Option<usize> {
    let reach = |number: &usize| {
        let rim = &boat.openings[*number].rim;
        let lo = rim
            .iter()
            .fold(Vec3::repeat(f64::INFINITY), |lo, p| lo.inf(p));
        let hi = rim
            .iter()
            .fold(Vec3::repeat(f64::NEG_INFINITY), |hi, p| hi.sup(p));
        (hi - lo).norm()
    };
    let open = (0..boat.openings.len()).filter(|&k| boat.openings[k].lets_water_in());
    open.max_by(|a, b| reach(a).total_cmp(&reach(b)))
}

/// What the yardsticks say of a swamped craft.
fn verdict(boat: &Boat, swamped: &Swamped) -> Option<Verdict> {
    let limits = &boat.yardsticks;
    let lies = limits.swamped(swamped.lean_deg, swamped.rim_as_it_lies_m());
    limits.floats_swamped.judged(swamped.floats, lies)
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
    boat: &'a Boat,
    rim_number: usize,
    rim: &'a [Vec3],
    craft: Craft,
    /// The same with the water kept in, where no low hole lets it out.
    retained: Retained,
    fill: Fill<'a>,
    pull_kg: f64,
}

impl<'a> Study<'a> {
    fn new(boat: &'a Boat, rim_number: usize, overboard: &[String], wish: &'a FoamWish) -> Self {
        let rim = &boat.openings[rim_number].rim;
        let pull_kg = people_hanging_on(boat, overboard, wish) * wish.person_kg * PULL_SHARE;
        let (lo, hi) = boat.hull_box_m;
        let middle = |lo, hi| f64::midpoint(lo, hi);
        let hands = Vec3::new(middle(lo.x, hi.x), middle(lo.y, hi.y), hi.z);
        Self {
            wish,
            boat,
            rim_number,
            rim,
            craft: wholly_flooded(boat, overboard, &[]).with_load(pull_kg, &hands),
            retained: Retained::of(boat, overboard),
            fill: Fill::of(boat, overboard),
            pull_kg,
        }
    }

    fn rim_m(&self, rest: &Rest) -> f64 {
        let heights = self.rim.iter().map(|point| rest.plane().height_m(point));
        heights.fold(f64::INFINITY, f64::min)
    }

    /// Whether an opening other than the rim's lies under the water at a rest.
    fn has_low_hole(&self, rest: &Rest) -> bool {
        let others = self.boat.openings.iter().enumerate();
        others
            .filter(|(number, opening)| *number != self.rim_number && opening.lets_water_in())
            .any(|(_, opening)| {
                let plane = rest.plane();
                plane.height_m(&opening.sill_m(&plane.up)) < 0.0
            })
    }

    fn rest(&self, craft: &Craft) -> Result<Option<Rest>, EquilibriumError> {
        Ok(settle_if_afloat(craft)?.map(|settled| settled.rest))
    }

    fn swamped(&self, craft: &Craft, foam: Option<&Body>) -> Result<Swamped, EquilibriumError> {
        let rest = self.rest(craft)?;
        let rest = rest.as_ref();
        Ok(Swamped {
            floats: rest.is_some(),
            heel_deg: rest.map(|rest| rest.plane().heel_deg()),
            pitch_deg: rest.map(|rest| rest.plane().pitch_deg()),
            rim_m: rest.map(|rest| self.rim_m(rest)),
            rim_no_low_hole_m: rest
                .map(|rest| self.retained.rim_m(craft, foam, self.rim, rest))
                .transpose()?
                .flatten(),
            lean_deg: rest.map(|rest| rest.plane().lean_deg()),
            upright: rest.is_some_and(|rest| is_upright(rest.plane())),
            gm_transverse_m: rest.map(Rest::gm_transverse_m),
            low_hole: rest.is_some_and(|rest| self.has_low_hole(rest)),
            short_m3: lacks_m3(craft),
        })
    }

    /// The craft with foam up to some faces, and the foam.
    fn with_foam(&self, faces: &[FoamFace]) -> (Craft, Body) {
        let body = self.fill.body(faces);
        let mut craft = self.craft.clone();
        craft.displacers.add_all(&body.displacers);
        let kg = body.volume_m3 * self.wish.foam_kg_m3;
        if kg > 0.0 {
            craft = craft.with_load(kg, &body.centre_m);
        }
        (craft, body)
    }

    fn placed(&self, family: Family) -> Result<FoamPlace, EquilibriumError> {
        let faces = |share: f64| {
            if share > 0.0 {
                self.fill.faces(family, share)
            } else {
                Vec::new()
            }
        };
        let height = |share: f64| -> Result<f64, EquilibriumError> {
            let rest = self.rest(&self.with_foam(&faces(share)).0)?;
            // One that leans too far is not kept up, however high its rim.
            let lean = &self.boat.yardsticks.swamped_lean;
            let kept = rest.filter(|rest| lean.verdict(rest.plane().lean_deg()) != Verdict::Fail);
            Ok(kept.map_or(f64::NEG_INFINITY, |rest| self.rim_m(&rest)))
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
        let faces: Vec<FoamFace> = faces(share).into_iter().map(FoamFace::as_told).collect();
        let (craft, body) = self.with_foam(&faces);
        Ok(FoamPlace {
            name: family.name().to_owned(),
            reaches: reached.is_some(),
            foam_m3: body.volume_m3,
            foam_kg: body.volume_m3 * self.wish.foam_kg_m3,
            at_m: body.centre_m.into(),
            swamped: self.swamped(&craft, Some(&body))?,
            faces,
        })
    }
}

fn cautions(boat: &Boat) -> Vec<Caution> {
    let own = [
        Some(Caution::FoamStaysDry),
        Some(Caution::FoamForLevelWater),
        Some(Caution::PullOfPeople {
            person_kg: FoamWish::default().person_kg,
        }),
        Some(Caution::RulesAreBorrowed),
        nobody_marked(boat, LeftOut::Leaving),
        Caution::without_volume(without_volume(boat), WithoutVolume::Always),
    ];
    own.into_iter()
        .flatten()
        .chain(Doing::Flooding.cautions(boat))
        .collect()
}
