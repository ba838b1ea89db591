//! What happens once an opening has been pushed under: water in, attitude
//! again, until the craft lies still or sinks.
use serde::Serialize;

use super::cautions::CAUTIONS;
use super::named::without_volume;
use crate::boat::{Boat, Compartment};
use crate::equilibrium::{
    Craft, EquilibriumError, Rest, Sills, knock, least_lean, map_sphere, settle,
};
use crate::immersion::WaterPlane;
use crate::mesh::Doubt;

mod filling;
mod followed;
mod moment;
mod network;

use filling::Filling;
use followed::LONGEST_S;

pub use crate::equilibrium::DISCHARGE_COEFFICIENT;

/// Lines of the time line that are kept.
const KEPT_LINES: usize = 60;
/// Vertical's share along the boat's own z below which the craft stands on end
/// or lies over (60°).
const ON_END: f64 = 0.5;

/// What brings the first sill under.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
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
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum SwampEnd {
    /// Still: it comes up again with every sill over the water, and no water inside
    /// stands as high as outside.
    Recovers,
    /// Still: afloat, no wet way with a head across it, or bailed as fast as it
    /// comes.
    AfloatSwamped,
    /// Gone under.
    Sunk,
    /// Water still runs when the time that is followed is over: it may yet sink.
    NotSettled,
}

/// Result of [`swamp`].
#[derive(Debug, Clone, Serialize)]
pub struct SwampResult {
    /// The boat's name.
    pub name: String,
    /// What happens in a few sentences.
    pub summary: String,
    /// Where it ends.
    pub end: SwampEnd,
    /// The opening that was pushed under, where any lets water in.
    pub opening: Option<String>,
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
    /// past it the craft fills without a further knock. `None` where it never
    /// does.
    pub no_return_m3: Option<f64>,
    /// When that much was in, s from the start.
    pub no_return_s: Option<f64>,
    /// When it went under, s.
    pub sunk_s: Option<f64>,
    /// Which end goes first: "stern", "bow", or "neither".
    pub first_end: String,
    /// Each opening that lets water in, as it ends.
    pub openings: Vec<EndSill>,
    /// What the craft still displaces when all that water can get into is full:
    /// solid material, sealed things and spaces, m³.
    pub solid_m3: f64,
    /// What that would have to be to hold the craft up then, m³.
    pub solid_needed_m3: f64,
    /// What of it is where, greatest first.
    pub kept_up_by: Vec<Keeper>,
    /// The time line.
    pub time_line: Vec<SwampLine>,
    /// What no number here covers.
    pub cautions: Vec<String>,
    /// Everything about the meshes that may make these numbers wrong.
    pub mesh_doubts: Vec<Doubt>,
}

/// A space inside as the time line ends.
#[derive(Debug, Clone, Serialize)]
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
#[derive(Debug, Clone, Serialize)]
pub struct EndSill {
    /// Its name.
    pub name: String,
    /// Height of its sill over the water, m.
    pub freeboard_m: f64,
}

/// Something that displaces water whatever floods.
#[derive(Debug, Clone, Serialize)]
pub struct Keeper {
    /// What it is.
    pub name: String,
    /// How much, m³.
    pub volume_m3: f64,
}

/// One moment.
#[derive(Debug, Clone, Serialize)]
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
    /// Height of the water outside on the z axis, m.
    pub waterline_height_m: f64,
    /// Height of the lowest open sill over the water, m.
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
/// # Errors
/// As [`settle`].
pub fn swamp(boat: &Boat, knocked: &Knocked) -> Result<SwampResult, EquilibriumError> {
    let dry = Craft::of(boat);
    // What stands in rooms that can fill is followed there; the rest stays loose.
    let craft = Craft::without_fills(boat).with_fills_of(boat, |_, space| space.sealed);
    let rest = settle(&dry)?.rest;
    let sills = Sills::of(&boat.openings);
    let pushed = first_push(&dry, &sills, &rest, knocked.start)?;
    let opening = pushed.as_ref().map(|(opening, _)| *opening);
    let lowest = || sills.lowest(rest.plane()).map(|sill| sill.opening);
    let filling = Filling::of(boat, &craft, &sills, knocked, opening.or_else(lowest));
    let fills = filling.fills(boat);
    let no_return_m3 = filling.no_return_m3(&rest, &fills)?;
    let start = filling.start(&fills);
    let run = filling.run(&rest, start, pushed.map(|(_, plane)| plane))?;
    let no_return_s = no_return_m3.and_then(|more_m3| {
        let past = |line: &&SwampLine| line.water_m3 >= fills.total_m3() + more_m3;
        run.lines.iter().find(past).map(|line| line.time_s)
    });
    let last_pitch = run.lines.last().map_or(0.0, |line| line.pitch_deg);
    let last_water = run
        .lines
        .last()
        .map_or(&[][..], |line| &line.compartments_m3);
    let whole_m3 = boat.envelope.surface.signed_volume_m3();
    let mut result = SwampResult {
        name: boat.name.clone(),
        summary: String::new(),
        end: run.end,
        opening: opening.map(|opening| boat.openings[opening].name.clone()),
        pushed_under_m: knocked.under_m,
        held_s: knocked.held_s,
        start: knocked.start,
        inside_m3: filling.capacity_m3(),
        compartments: swamped_spaces(boat, last_water),
        no_return_m3,
        no_return_s,
        sunk_s: run.sunk_s,
        first_end: match last_pitch {
            pitch if pitch > 0.5 => "stern",
            pitch if pitch < -0.5 => "bow",
            _ => "neither",
        }
        .to_owned(),
        openings: sills
            .each(&run.plane)
            .map(|sill| EndSill {
                name: boat.openings[sill.opening].name.clone(),
                freeboard_m: sill.height_m,
            })
            .collect(),
        solid_m3: whole_m3 - floodable_m3(boat),
        solid_needed_m3: craft.volume_to_displace_m3(),
        kept_up_by: keepers(boat),
        time_line: thinned(run.lines),
        cautions: cautions(boat),
        mesh_doubts: boat.doubts.clone(),
    };
    result.summary = summary(&result);
    Ok(result)
}

/// The opening that goes under first, and the water plane at its sill; `None`
/// where nothing is pushed or nothing lets water in.
fn first_push(
    dry: &Craft,
    sills: &Sills,
    rest: &Rest,
    start: Start,
) -> Result<Option<(usize, WaterPlane)>, EquilibriumError> {
    if sills.is_empty() {
        return Ok(None);
    }
    match start {
        Start::Condition => Ok(None),
        Start::Knock => {
            let map = map_sphere(dry, std::slice::from_ref(rest))?;
            let cheapest = knock(dry, sills, rest, &map)
                .into_iter()
                .min_by(|a, b| a.work_m4.total_cmp(&b.work_m4));
            Ok(cheapest.map(|knock| (knock.sill.opening, knock.plane)))
        }
        Start::Tilt => {
            let least = least_lean(dry, sills, rest)?;
            Ok(least.map(|(_, lean)| (lean.sill.opening, *lean.leaned.rest.plane())))
        }
    }
}

/// What water can fill of all that is not sealed, m³.
fn floodable_m3(boat: &Boat) -> f64 {
    let spaces = boat.compartments.iter().filter(|space| !space.sealed);
    spaces.map(Compartment::capacity_m3).sum()
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

fn cautions(boat: &Boat) -> Vec<String> {
    let mut cautions = vec![
        "The flow is quasi-static: no waves, no splash, no air held inside, no speed of sinking. Skins without a place of their own are spread evenly over the inside.".to_owned(),
    ];
    let without = without_volume(boat);
    if !without.is_empty() {
        cautions.push(format!(
            "No volume or density is given for {}: they are taken to displace nothing when the craft fills.",
            without.join(", ")
        ));
    }
    cautions.extend(CAUTIONS.iter().map(|&text| text.to_owned()));
    cautions
}

fn summary(result: &SwampResult) -> String {
    let litres = |m3: f64| format!("{:.0} L", m3 * 1e3);
    let pushed = match (&result.opening, result.start) {
        (Some(opening), _) => format!(
            "{opening} pushed {:.0} mm under for {:.0} s: ",
            result.pushed_under_m * 1e3,
            result.held_s
        ),
        (None, Start::Condition) => "As it stands: ".to_owned(),
        (None, _) => return "No opening lets water in: nothing enters.".into(),
    };
    let taken = result
        .time_line
        .iter()
        .map(|line| line.water_m3)
        .fold(0.0, f64::max);
    let end = match result.end {
        SwampEnd::Recovers if taken < 1e-3 && result.opening.is_none() => {
            "nothing enters.".to_owned()
        }
        SwampEnd::Recovers => format!("{} inside at most, and it comes up again.", litres(taken)),
        SwampEnd::AfloatSwamped => {
            let last = result.time_line.last();
            let lies = last.map_or("", |line| match line.up[2] {
                up if up > ON_END => "",
                up if up > -ON_END => ", ON END OR ON ITS SIDE",
                _ => ", UPSIDE DOWN",
            });
            format!("it stays afloat{lies}, swamped with {}.", litres(taken))
        }
        SwampEnd::Sunk => format!(
            "IT SINKS after {:.0} s{}.",
            result.sunk_s.unwrap_or(0.0),
            match result.first_end.as_str() {
                "neither" => String::new(),
                end => format!(", {end} first"),
            }
        ),
        SwampEnd::NotSettled => format!(
            "WATER STILL RUNS after {:.0} hours, it may yet sink.",
            LONGEST_S / 3600.0
        ),
    };
    let no_return = result.no_return_m3.map_or_else(String::new, |volume| {
        format!(
            " {} loose inside bring the lowest sill to the water; past that it fills by itself.",
            litres(volume)
        )
    });
    let missing = result.solid_needed_m3 - result.solid_m3;
    let foam = if missing > 0.0 {
        format!(
            " To stay up when full it lacks {} of solid or sealed volume.",
            litres(missing)
        )
    } else {
        String::new()
    };
    format!("{pushed}{end}{no_return}{foam}")
}
