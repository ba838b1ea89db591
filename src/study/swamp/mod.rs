//! What happens once an opening has been pushed under: water in, attitude
//! again, until the craft lies still or sinks.
use schemars::JsonSchema;
use serde::Serialize;

use super::shared::answer::Answer;
use super::shared::attitude::comes_first;
use super::shared::cautions::{
    Caution, Doing, LeftOut, When, WithoutVolume, nobody_marked, of_waters_density, under_water,
};
use super::shared::fills::NoneOpen;
use super::shared::heads::{HeadLine, heads};
use super::shared::named::without_volume;
use super::shared::yardstick::Yardstick;
use crate::boat::{Boat, Compartment, Verdict};
use crate::equilibrium::{Afloat, Craft, EquilibriumError, OpenSea, Sills, wholly_flooded};
use crate::immersion::WaterPlane;

mod air;
mod error;
mod filling;
mod film;
mod followed;
mod levelled;
mod moment;
mod network;
mod step;

use air::{DRY_M3, Followed, levelled_inside, with_air, with_bungs};
pub use air::{RoomAir, SwampAir, SwampBunged};
pub use error::SwampError;
use filling::Filling;
pub use film::{FilmFrame, film};

pub use crate::equilibrium::DISCHARGE_COEFFICIENT;

/// Lines of the time line that are kept.
const KEPT_LINES: usize = 60;
/// What brings the first sill under.
#[derive(Debug, Clone, Copy, PartialEq, Eq, JsonSchema, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Start {
    /// The cheapest knock: sinkage, heel and pitch together.
    Knock,
    /// The least lean, displacement held.
    Tilt,
    /// Nothing: the craft as its boat file has it, with what stands inside.
    Condition,
}

/// How the craft is knocked, and what is done against the water.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Knocked {
    /// What brings the first sill under.
    pub start: Start,
    /// How deep that sill is pushed under, m.
    pub under_m: f64,
    /// How long it is held there, s.
    pub held_s: f64,
    /// Water already inside, m³.
    pub inside_m3: f64,
    /// What bailing or a pump takes out, m³/s.
    pub bailed_m3_s: f64,
    /// Discharge coefficient.
    pub discharge_coefficient: f64,
    /// Share by which the steps are made smaller: 1 as they are, 0.5 half.
    pub step_share: f64,
}

impl Default for Knocked {
    fn default() -> Self {
        Self {
            start: Start::Knock,
            under_m: 0.02,
            held_s: 3.0,
            inside_m3: 0.0,
            bailed_m3_s: 0.0,
            discharge_coefficient: DISCHARGE_COEFFICIENT,
            step_share: 1.0,
        }
    }
}

/// Where it ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq, JsonSchema, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum SwampEnd {
    /// Still: it comes up again with every sill above the water, and no water inside
    /// stands as high as outside.
    Recovers,
    /// Still: afloat, no wet way with a head across it, or bailed as fast as it
    /// comes.
    AfloatSwamped,
    /// Gone under.
    Sunk,
    /// Water still runs when the time that is followed is over: it may yet sink, unless
    /// no more comes in.
    NotSettled,
}

/// Result of [`swamp`].
#[derive(Debug, Clone, JsonSchema, Serialize)]
#[non_exhaustive]
pub struct SwampResult {
    /// Where it ends: the worse of air lost and air kept.
    pub end: SwampEnd,
    /// Where it ends with all air lost, as the time line has it.
    pub end_air_lost: SwampEnd,
    /// Where it ends with the air kept that cannot get out; absent where there is
    /// none.
    pub with_air: Option<SwampAir>,
    /// Where it ends with every passage stopped, the air lost; absent where that is no
    /// better.
    pub with_bungs: Option<SwampBunged>,
    /// How it lies as it ends.
    #[serde(skip)]
    pub ends_lying: EndsLying,
    /// Why no opening lets water in; `None` where one does.
    #[serde(skip)]
    pub none_open: Option<NoneOpen>,
    /// Of an end that is not settled: no more water comes in, neither as it lies nor once
    /// what is inside stands level.
    pub no_more_comes_in: bool,
    /// The worst that the yardsticks say of that end; `None` where nothing is asked.
    pub verdict: Option<Verdict>,
    /// Those yardsticks.
    #[serde(skip)]
    pub yardsticks: Vec<Yardstick>,
    /// The opening that was pushed under, where any lets water in.
    pub opening: Option<String>,
    /// What the craft does before it is under: "turns over and lies upside down"; absent
    /// where nothing comes first.
    pub before: Option<String>,
    /// How deep, m, and how long, s.
    pub pushed_under_m: f64,
    /// How long it was held there, s.
    pub held_s: f64,
    /// What brought the first sill under.
    pub start: Start,
    /// Space inside that water can get into and fill, m³.
    pub inside_m3: f64,
    /// The spaces inside, as it ends.
    pub compartments: Vec<SwampedSpace>,
    /// Water inside at which the lowest sill comes to the water by itself, m³;
    /// past it the craft fills without a further knock: in the space that the first
    /// sill leads to, or at one level in all that passages join to it, whichever takes
    /// less. On top of `standing_m3`. `None` where it never does.
    pub no_return_m3: Option<f64>,
    /// The spaces that this water was sought in, up to full.
    pub no_return_in: Vec<String>,
    /// What stands inside by the boat file, m³.
    pub standing_m3: f64,
    /// When that much was in, s from the start.
    pub no_return_s: Option<f64>,
    /// When it went under, s.
    pub sunk_s: Option<f64>,
    /// Which end goes first: "stern", "bow", or "neither".
    pub first_end: String,
    /// Each opening that lets water in, as it ends.
    pub openings: Vec<EndSill>,
    /// The heads of those aboard above the water, as it ends; none where it sinks.
    pub heads: Vec<HeadLine>,
    /// What the craft still displaces when all that water can get into is full:
    /// solid material, sealed things and spaces, m³.
    pub solid_m3: f64,
    /// What that would have to be to hold the craft up then, m³.
    pub solid_needed_m3: f64,
    /// What of it is where, greatest first.
    pub kept_up_by: Vec<Keeper>,
    /// The time line.
    pub time_line: Vec<SwampLine>,
}

/// How a craft lies as the water leaves it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum EndsLying {
    /// As upright as its yardstick asks.
    Upright,
    /// Leaning so far, deg.
    Leaning(f64),
    /// On its side or on end.
    OnItsSideOrEnd,
    /// Bottom up.
    UpsideDown,
}

/// Vertical's share along the boat's own z below which the craft stands on end
/// or lies over (60°).
const ON_END: f64 = 0.5;

impl EndsLying {
    fn at(boat: &Boat, plane: &WaterPlane) -> Self {
        let lean_deg = plane.lean_deg();
        let verdict = boat.yardsticks.swamped_lean.verdict(lean_deg);
        match plane.up.z {
            up if up > ON_END && verdict == Verdict::Clear => Self::Upright,
            up if up > ON_END => Self::Leaning(lean_deg),
            up if up > -ON_END => Self::OnItsSideOrEnd,
            _ => Self::UpsideDown,
        }
    }
}

/// A space inside as the time line ends.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct SwampedSpace {
    /// Its name.
    pub name: String,
    /// What water can fill of it, m³.
    pub capacity_m3: f64,
    /// Water in it, m³; all it holds where it stands flooded.
    pub water_m3: f64,
    /// No opening leads in.
    pub sealed: bool,
}

/// An opening as the time line ends.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct EndSill {
    /// Its name.
    pub name: String,
    /// Height of its sill above the water, m.
    pub freeboard_m: f64,
}

/// Something that displaces water whatever floods.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct Keeper {
    /// What it is.
    pub name: String,
    /// How much, m³.
    pub volume_m3: f64,
}

/// One moment.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct SwampLine {
    /// Time from the start, s.
    pub time_s: f64,
    /// Water inside, m³.
    pub water_m3: f64,
    /// Come in from the sea so far, less what ran out again, m³.
    pub entered_m3: f64,
    /// Bailed so far, m³.
    pub bailed_m3: f64,
    /// Flow into the craft less what is bailed, m³/s.
    pub inflow_m3_s: f64,
    /// Heel, deg.
    pub heel_deg: f64,
    /// Pitch, bow up positive, deg.
    pub pitch_deg: f64,
    /// Height of the water outside on the z axis, m; `None` where the water
    /// misses it.
    pub waterline_height_m: Option<f64>,
    /// Height of the lowest open sill above the water, m.
    pub sill_m: Option<f64>,
    /// Where the water stands outside and inside, along the vertical in the
    /// boat frame, m.
    pub outside_level_m: f64,
    /// The same inside, where most water is; `None` while it is dry.
    pub inside_level_m: Option<f64>,
    /// Water in each compartment that it can get into, in the order of the
    /// result's, m³.
    pub compartments_m3: Vec<f64>,
    /// Where the water stands in each of them, along the vertical in the boat
    /// frame, m; `None` where it is dry.
    pub levels_m: Vec<Option<f64>>,
    /// The vertical in the boat frame.
    pub up: [f64; 3],
}

/// Pushes the first sill under, holds it there, lets go, and follows the water
/// through the openings into the compartments and from one to another.
///
/// ```
/// # fn main() -> Result<(), Box<dyn std::error::Error>> {
/// use awash::{Boat, study::{Knocked, swamp}};
///
/// let boat = Boat::load("meshes/dipper/after.toml".as_ref())?;
/// let result = swamp(&boat, &Knocked::default())?;
/// println!("{:?} by {:?}, {:.0} L inside", result.end, result.opening, result.inside_m3 * 1e3);
/// assert!(!result.time_line.is_empty());
/// # Ok(())
/// # }
/// ```
///
/// # Errors
/// As [`Afloat::knocks`], a craft that sinks among them, and where the water already inside does not fit.
pub fn swamp<'b>(
    boat: impl Into<Afloat<'b>>,
    knocked: &Knocked,
) -> Result<Answer<SwampResult>, SwampError> {
    let afloat = boat.into();
    let (boat, rest, sills) = (afloat.boat(), afloat.rest()?, afloat.sills());
    // What stands in rooms that can fill is followed there; the rest stays loose.
    let craft = Craft::without_fills(boat).with_fills_of(boat, |_, space| space.sealed);
    let pushed = first_push(&afloat, knocked.start)?;
    let opening = pushed.as_ref().map(|first| first.opening);
    let lowest = || sills.lowest(rest.plane()).map(|sill| sill.opening);
    let filling = Filling::of(boat, &craft, sills, knocked, opening.or_else(lowest));
    let fills = filling.fills(boat);
    let no_return_m3 = filling.no_return_m3(rest, &fills)?;
    let start = filling.start(boat, &fills)?;
    afloat.watch().stage("following the water");
    let at_sill = pushed.as_ref().map(|first| first.plane);
    let run = filling.run(rest, start, at_sill, afloat.watch())?;
    let no_return_s = no_return_m3.and_then(|more_m3| {
        let past = |line: &&SwampLine| line.water_m3 >= fills.total_m3() + more_m3;
        run.lines.iter().find(past).map(|line| line.time_s)
    });
    let last_water = run
        .lines
        .last()
        .map_or(&[][..], |line| &line.compartments_m3);
    let full = wholly_flooded(boat, &[], &[]);
    let heads = match run.end {
        SwampEnd::Sunk => Vec::new(),
        _ => heads(boat, &run.plane),
    };
    let mut result = SwampResult {
        end: run.end,
        end_air_lost: run.end,
        with_air: None,
        with_bungs: None,
        ends_lying: EndsLying::at(boat, &run.plane),
        none_open: NoneOpen::of(boat),
        no_more_comes_in: false,
        verdict: None,
        yardsticks: Yardstick::swamped(
            Yardstick::AfloatSwamped(boat.yardsticks.floats_swamped.clone()),
            &boat.yardsticks,
        ),
        opening: opening.map(|opening| boat.openings[opening].name.clone()),
        before: pushed.and_then(|first| first.before),
        pushed_under_m: knocked.under_m,
        held_s: knocked.held_s,
        start: knocked.start,
        inside_m3: filling.capacity_m3(),
        compartments: swamped_spaces(boat, last_water),
        no_return_m3,
        no_return_in: filling.no_return_in(boat),
        standing_m3: fills.total_m3(),
        no_return_s,
        sunk_s: run.sunk_s,
        first_end: first_end(&run.lines).to_owned(),
        openings: end_sills(boat, sills, &run.plane),
        solid_m3: full.displacers.volume_m3(),
        solid_needed_m3: full.volume_to_displace_m3(),
        kept_up_by: keepers(boat),
        time_line: thinned(run.lines),
        heads,
    };
    take_worst_end(boat, opening, [rest.plane(), &run.plane], &mut result)?;
    let cautions = cautions(boat, &result.heads);
    Ok(Answer::of(boat, result, cautions).lying(boat, rest.plane()))
}

/// The end that goes down first, by the last pitch.
fn first_end(lines: &[SwampLine]) -> &'static str {
    match lines.last().map_or(0.0, |line| line.pitch_deg) {
        pitch if pitch > 0.5 => "stern",
        pitch if pitch < -0.5 => "bow",
        _ => "neither",
    }
}

fn end_sills(boat: &Boat, sills: &Sills, plane: &WaterPlane) -> Vec<EndSill> {
    let sills = sills.each(plane);
    let sills = sills.map(|sill| EndSill {
        name: boat.openings[sill.opening].name.clone(),
        freeboard_m: sill.height_m,
    });
    sills.collect()
}

/// Finds the other ends of a craft whose water was followed from one plane to another: no
/// more coming in, air kept, passages bunged. The worst is its end, and is judged.
fn take_worst_end(
    boat: &Boat,
    opening: Option<usize>,
    [dry, last]: [&WaterPlane; 2],
    result: &mut SwampResult,
) -> Result<(), EquilibriumError> {
    let air_lost = result.end_air_lost;
    let water_m3: Vec<f64> = result.compartments.iter().map(|c| c.water_m3).collect();
    let followed = Followed {
        dry,
        last,
        sinks: air_lost == SwampEnd::Sunk,
        water_m3: &water_m3,
    };
    let mut ends = vec![*last];
    if air_lost == SwampEnd::NotSettled {
        let level = levelled_inside(boat, &followed)?;
        result.no_more_comes_in = level.is_some();
        ends.extend(level);
    } else {
        result.with_air = with_air(boat, &followed)?;
    }
    if matches!(air_lost, SwampEnd::Sunk | SwampEnd::AfloatSwamped) {
        result.with_bungs = with_bungs(boat, opening, &followed)?;
    }
    let worse = result.with_air.as_ref().filter(|air| air.is_worse);
    match worse.map(|air| air.end) {
        Some(SwampEnd::Sunk) => result.end = SwampEnd::Sunk,
        Some(SwampEnd::AfloatSwamped) if air_lost == SwampEnd::Recovers => {
            result.end = SwampEnd::AfloatSwamped;
        }
        _ => {}
    }
    let lost = ends.iter().map(|plane| verdict(boat, result, plane));
    let kept = worse.map(|air| air.verdict);
    result.verdict = lost.chain(kept).flatten().min();
    result.ends_lying = EndsLying::at(boat, ends.last().unwrap_or(last));
    Ok(())
}

/// What the yardsticks say of the end at a water plane, as [`flooded`](super::flooded)
/// judges it: afloat, and with water inside its lean and the lowest sill of what is dry.
fn verdict(boat: &Boat, result: &SwampResult, plane: &WaterPlane) -> Option<Verdict> {
    let wish = &boat.yardsticks.floats_swamped;
    let is_dry = result.time_line.last().is_none_or(|l| l.water_m3 < DRY_M3);
    let floats = match result.end_air_lost {
        SwampEnd::Recovers if is_dry => return wish.verdict(true),
        SwampEnd::Recovers | SwampEnd::AfloatSwamped => true,
        SwampEnd::NotSettled => result.no_more_comes_in,
        SwampEnd::Sunk => false,
    };
    let sea = OpenSea::of(boat);
    let lies = sea.outcome_at(&sea.joined(plane), floats.then_some(plane));
    wish.judged(floats, lies.verdict)
}

/// The opening that goes under first, the water plane at its sill, and what the craft does
/// before.
struct Pushed {
    opening: usize,
    plane: WaterPlane,
    before: Option<String>,
}

/// `None` where nothing is pushed or nothing lets water in.
fn first_push(afloat: &Afloat<'_>, start: Start) -> Result<Option<Pushed>, EquilibriumError> {
    if afloat.sills().is_empty() {
        return Ok(None);
    }
    match start {
        Start::Condition => Ok(None),
        Start::Knock => {
            let cheapest = afloat
                .knocks()?
                .iter()
                .min_by(|a, b| a.work_m4.total_cmp(&b.work_m4));
            let rest = afloat.rest()?;
            Ok(cheapest.map(|knock| Pushed {
                opening: knock.sill.opening,
                plane: knock.plane,
                before: comes_first(knock, rest),
            }))
        }
        Start::Tilt => Ok(afloat.least_lean()?.map(|(_, lean)| Pushed {
            opening: lean.sill.opening,
            plane: *lean.leaned.rest.plane(),
            before: lean
                .capsizes_first
                .then(|| "turns over by itself".to_owned()),
        })),
    }
}

fn swamped_spaces(boat: &Boat, water_m3: &[f64]) -> Vec<SwampedSpace> {
    let mut water = water_m3.iter();
    let of = |space: &Compartment| {
        let capacity_m3 = space.capacity_m3();
        SwampedSpace {
            name: space.name.clone(),
            capacity_m3,
            water_m3: if space.sealed {
                space.fill_m3
            } else if space.flooded {
                capacity_m3
            } else {
                water.next().copied().unwrap_or(0.0)
            },
            sealed: space.sealed,
        }
    };
    boat.compartments.iter().map(of).collect()
}

/// What displaces water when everything that can flood has, greatest first.
fn keepers(boat: &Boat) -> Vec<Keeper> {
    let mut keepers = Vec::new();
    let mut skins_m3 = 0.0;
    for space in &boat.compartments {
        let volume_m3 = space.surface().signed_volume_m3();
        if space.sealed {
            keepers.push(Keeper {
                name: format!("{} (sealed)", space.name),
                volume_m3,
            });
        } else {
            skins_m3 += (1.0 - space.permeability) * volume_m3;
            keepers.extend(space.contents.iter().map(|content| Keeper {
                name: content.name.clone(),
                volume_m3: content.volume_m3,
            }));
        }
    }
    keepers.extend(boat.outside.iter().map(|thing| Keeper {
        name: format!("{} (outside)", boat.masses[thing.entry].name),
        volume_m3: thing.volume_m3,
    }));
    keepers.push(Keeper {
        name: "skin and other solid material".to_owned(),
        volume_m3: skins_m3,
    });
    keepers.retain(|keeper| keeper.volume_m3 > 0.0);
    keepers.sort_by(|a, b| b.volume_m3.total_cmp(&a.volume_m3));
    keepers
}

/// Some lines of a long time line, evenly, first and last kept.
fn thinned(lines: Vec<SwampLine>) -> Vec<SwampLine> {
    let last = lines.len().saturating_sub(1);
    if last < KEPT_LINES {
        return lines;
    }
    (0..KEPT_LINES)
        .map(|k| lines[k * last / (KEPT_LINES - 1)].clone())
        .collect()
}

fn cautions(boat: &Boat, heads: &[HeadLine]) -> Vec<Caution> {
    let own = [
        Some(Caution::QuasiStaticFlow),
        under_water([(When::AsItEnds, heads)]),
        nobody_marked(boat, LeftOut::Heads),
        of_waters_density(boat, None),
        Caution::without_volume(without_volume(boat), WithoutVolume::WhenFilled),
    ];
    own.into_iter()
        .flatten()
        .chain(Doing::Flooding.cautions(boat))
        .collect()
}
