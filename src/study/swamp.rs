//! What happens once an opening has been pushed under: water in, attitude
//! again, until the craft lies still or sinks.
use std::sync::Arc;

use serde::Serialize;

use super::cautions::CAUTIONS;
use crate::boat::Boat;
use crate::equilibrium::{
    Craft, EquilibriumError, Hold, Liquid, OpeningSheet, Rest, Sills, envelope_tree,
    find_rest_from, first_below, knock, settle,
};
use crate::immersion::WaterPlane;
use crate::mesh::Doubt;

/// Discharge coefficient of a sharp edge, about 0.6 (hydraulics handbooks;
/// 0.61 sharp, 0.75 rounded, 0.80 short tube).
pub const DISCHARGE_COEFFICIENT: f64 = 0.6;
/// Share of the inside that comes in at most in one step of the time line.
const STEP_SHARE: f64 = 0.002;
/// Shortest and longest step, s.
const STEP_S: [f64; 2] = [1e-3, 5.0];
/// Flow under which nothing more happens, m³/s: a cupful an hour.
const STILL_M3_S: f64 = 7e-8;
/// Longest time followed, s.
const LONGEST_S: f64 = 6.0 * 3600.0;
/// Steps at most.
const MOST_STEPS: usize = 20_000;
/// Share of the reserve at which the craft counts as gone under.
const GONE_SHARE: f64 = 1e-6;
/// Vertical's share along the boat's own z below which the craft stands on end
/// or lies over (60°).
const ON_END: f64 = 0.5;
/// Lines of the time line that are kept.
const KEPT_LINES: usize = 60;

/// How the craft is knocked, and what is done against the water.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Knocked {
    /// How deep the cheapest sill to reach is pushed under, m.
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
    /// It comes up again with every sill over the water, no wetter than that.
    Recovers,
    /// Afloat with the water inside as high as outside, or bailed as fast as it
    /// comes.
    AfloatSwamped,
    /// Gone under.
    Sunk,
    /// Still filling when the clock ran out.
    StillFilling,
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
    /// Space inside that water can fill, m³.
    pub inside_m3: f64,
    /// Share of the inside that water can fill.
    pub permeability: f64,
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
    /// Solid material and sealed things aboard displace this much, m³.
    pub solid_m3: f64,
    /// What they would have to displace to hold the craft up when full, m³.
    pub solid_needed_m3: f64,
    /// The time line.
    pub time_line: Vec<SwampLine>,
    /// What no number here covers.
    pub cautions: Vec<String>,
    /// Everything about the meshes that may make these numbers wrong.
    pub mesh_doubts: Vec<Doubt>,
}

/// One moment.
#[derive(Debug, Clone, Serialize)]
pub struct SwampLine {
    /// Time from the start, s.
    pub time_s: f64,
    /// Water inside, m³.
    pub water_m3: f64,
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
    /// The same inside; `None` while it is dry.
    pub inside_level_m: Option<f64>,
    /// The vertical in the boat frame.
    pub up: [f64; 3],
}

/// Pushes the sill that is cheapest to reach under, holds it there, lets go,
/// and follows the water. The whole inside is one space: the envelope less the
/// skin and the things aboard, spread evenly (its permeability).
///
/// # Errors
/// As [`settle`].
pub fn swamp(boat: &Boat, knocked: &Knocked) -> Result<SwampResult, EquilibriumError> {
    let dry = Craft::dry(boat);
    let rest = settle(&dry)?.rest;
    let space = Arc::new(envelope_tree(boat));
    let whole_m3 = space.volume_m3();
    let solid_m3: f64 = boat.masses.iter().filter_map(|entry| entry.solid_m3).sum();
    let permeability = (1.0 - solid_m3 / whole_m3).clamp(0.01, 1.0);
    let sills = Sills::of(&boat.openings);
    let sheets: Vec<OpeningSheet> = boat
        .openings
        .iter()
        .filter(|opening| opening.lets_water_in())
        .filter_map(|opening| OpeningSheet::of_rim(&opening.rim))
        .collect();
    let filling = Filling {
        dry: &dry,
        space,
        permeability,
        sheets: &sheets,
        sills: &sills,
        knocked,
    };
    let no_return_m3 = filling.no_return_m3(&rest)?;
    let worst = knock(&dry, &sills, &rest)
        .into_iter()
        .min_by(|a, b| a.work_m4.total_cmp(&b.work_m4));
    let run = filling.run(rest, worst.as_ref().map(|worst| worst.plane));
    let no_return_s = no_return_m3.and_then(|volume| {
        let line = run.lines.iter().find(|line| line.water_m3 >= volume)?;
        Some(line.time_s)
    });
    let last_pitch = run.lines.last().map_or(0.0, |line| line.pitch_deg);
    let mut result = SwampResult {
        name: boat.name.clone(),
        summary: String::new(),
        end: run.end,
        opening: worst.map(|worst| boat.openings[worst.sill.opening].name.clone()),
        pushed_under_m: knocked.under_m,
        held_s: knocked.held_s,
        inside_m3: whole_m3 * permeability,
        permeability,
        no_return_m3,
        no_return_s,
        sunk_s: run.sunk_s,
        first_end: match last_pitch {
            pitch if pitch > 0.5 => "stern",
            pitch if pitch < -0.5 => "bow",
            _ => "neither",
        }
        .to_owned(),
        solid_m3,
        solid_needed_m3: dry.mass_kg / dry.density_kg_m3,
        time_line: thinned(run.lines),
        cautions: Vec::new(),
        mesh_doubts: boat.doubts.clone(),
    };
    result.cautions = cautions(boat, &sheets, &sills);
    result.summary = summary(&result);
    Ok(result)
}

struct Filling<'a> {
    dry: &'a Craft,
    space: Arc<crate::immersion::MomentTree>,
    permeability: f64,
    sheets: &'a [OpeningSheet],
    sills: &'a Sills,
    knocked: &'a Knocked,
}

/// Everything that one run left behind.
struct Run {
    end: SwampEnd,
    sunk_s: Option<f64>,
    lines: Vec<SwampLine>,
}

impl Filling<'_> {
    fn liquid(&self, water_m3: f64) -> Liquid {
        Liquid {
            space: Arc::clone(&self.space),
            permeability: self.permeability,
            volume_m3: water_m3,
        }
    }

    fn with_water(&self, water_m3: f64) -> Craft {
        Craft {
            liquids: vec![self.liquid(water_m3)],
            ..self.dry.clone()
        }
    }

    fn capacity_m3(&self) -> f64 {
        self.permeability * self.space.volume_m3()
    }

    /// Water inside at which the whole craft displaces all that it can, m³.
    fn gone_m3(&self) -> f64 {
        let reserve = self.dry.displacers.volume_m3() - self.dry.volume_to_displace_m3();
        reserve * (1.0 - GONE_SHARE)
    }

    fn no_return_m3(&self, rest: &Rest) -> Result<Option<f64>, EquilibriumError> {
        let most = self.capacity_m3().min(self.gone_m3());
        if self.sills.is_empty() {
            return Ok(None);
        }
        let start = (self.sills.height_m(rest.plane()), rest.clone());
        let found = first_below(
            start,
            [most / 100.0, most],
            [most * 1e-6, 1e-6],
            |water_m3, near: &Rest| {
                let rest = find_rest_from(&self.with_water(water_m3), near.plane(), Hold::Nothing)?;
                Ok((self.sills.height_m(rest.plane()), rest))
            },
        );
        match found {
            Ok(found) => Ok(found.map(|found| found.at)),
            Err(EquilibriumError::NotConverged { .. }) => Ok(None),
            Err(other) => Err(other),
        }
    }

    /// Flow in less what is bailed, and the level inside along `up`.
    fn flow(&self, plane: &WaterPlane, water_m3: f64) -> (f64, Option<f64>) {
        let inside = (water_m3 > 0.0).then(|| {
            let settled = self.liquid(water_m3).settled(&plane.up);
            settled.plane.level_m
        });
        let inside_level = inside.unwrap_or(f64::NEG_INFINITY);
        let inflow: f64 = self
            .sheets
            .iter()
            .map(|sheet| {
                sheet.inflow_m3_s(
                    &plane.up,
                    plane.level_m,
                    inside_level,
                    self.knocked.discharge_coefficient,
                )
            })
            .sum();
        let bailed = if water_m3 > 0.0 {
            self.knocked.bailed_m3_s
        } else {
            0.0
        };
        (inflow - bailed, inside)
    }

    fn line(&self, time_s: f64, water_m3: f64, plane: &WaterPlane) -> SwampLine {
        let (inflow_m3_s, inside_level_m) = self.flow(plane, water_m3);
        SwampLine {
            time_s,
            water_m3,
            inflow_m3_s,
            heel_deg: plane.heel_deg(),
            pitch_deg: plane.pitch_deg(),
            waterline_height_m: plane.waterline_height_m(),
            sill_m: self.sills.lowest(plane).map(|sill| sill.height_m),
            outside_level_m: plane.level_m,
            inside_level_m,
            up: plane.up.into(),
        }
    }

    /// A step's length: as long as the flow fills a small share of the inside.
    fn step_s(&self, flow_m3_s: f64) -> f64 {
        let share = STEP_SHARE * self.knocked.step_share;
        let longest = STEP_S[1] * self.knocked.step_share;
        (share * self.capacity_m3() / flow_m3_s.abs()).clamp(STEP_S[0], longest)
    }

    fn run(&self, rest: Rest, pushed: Option<WaterPlane>) -> Run {
        let mut time_s = 0.0;
        let mut water = self.knocked.inside_m3.min(self.capacity_m3());
        let start = self
            .at_rest(water, rest.plane())
            .unwrap_or_else(|| *rest.plane());
        let mut lines = vec![self.line(time_s, water, &start)];
        if let Some(plane) = pushed.filter(|_| self.knocked.held_s > 0.0) {
            let held = WaterPlane {
                level_m: plane.level_m + self.knocked.under_m,
                ..plane
            };
            while time_s < self.knocked.held_s {
                let (flow, _) = self.flow(&held, water);
                let step = self.step_s(flow).min(self.knocked.held_s - time_s);
                let half = (water + flow * step / 2.0).clamp(0.0, self.capacity_m3());
                let (middle, _) = self.flow(&held, half);
                water = (water + middle * step).clamp(0.0, self.capacity_m3());
                time_s += step;
                lines.push(self.line(time_s, water, &held));
            }
        }
        let mut plane = start;
        for _ in 0..MOST_STEPS {
            if water >= self.gone_m3() {
                return Run {
                    end: SwampEnd::Sunk,
                    sunk_s: Some(time_s),
                    lines,
                };
            }
            // On end, or with no rest at all, the rest of the way down is quick.
            let here = self.at_rest(water, &plane);
            let Some(here) = here.filter(|here| here.up.z > ON_END) else {
                return Run {
                    end: SwampEnd::Sunk,
                    sunk_s: Some(time_s),
                    lines,
                };
            };
            plane = here;
            let line = self.line(time_s, water, &plane);
            let (flow, inside) = (line.inflow_m3_s, line.inside_level_m);
            let is_dry = line.sill_m.is_none_or(|height| height > 0.0);
            lines.push(line);
            if flow.abs() < STILL_M3_S || (water <= 0.0 && flow <= 0.0) {
                let end = if is_dry && inside.is_none_or(|level| level < plane.level_m) {
                    SwampEnd::Recovers
                } else {
                    SwampEnd::AfloatSwamped
                };
                return Run {
                    end,
                    sunk_s: None,
                    lines,
                };
            }
            if time_s >= LONGEST_S {
                break;
            }
            let mut step = self.step_s(flow);
            if flow > 0.0 {
                // The last step ends where the craft goes under.
                step = step.min((self.gone_m3() - water) / flow * (1.0 + GONE_SHARE));
            }
            // The middle of the step decides (midpoint rule).
            let half = (water + flow * step / 2.0).clamp(0.0, self.capacity_m3());
            let middle = self
                .at_rest(half.min(self.gone_m3()), &plane)
                .map_or(flow, |middle| self.flow(&middle, half).0);
            let next = (water + middle * step).clamp(0.0, self.capacity_m3());
            if (next - water).abs() < STILL_M3_S * STEP_S[0] {
                return Run {
                    end: SwampEnd::AfloatSwamped,
                    sunk_s: None,
                    lines,
                };
            }
            water = next;
            time_s += step;
        }
        Run {
            end: SwampEnd::StillFilling,
            sunk_s: None,
            lines,
        }
    }

    /// The water plane at rest with water inside; `None` when there is none.
    fn at_rest(&self, water_m3: f64, near: &WaterPlane) -> Option<WaterPlane> {
        find_rest_from(&self.with_water(water_m3), near, Hold::Nothing)
            .ok()
            .map(|rest| *rest.plane())
    }
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

fn cautions(boat: &Boat, sheets: &[OpeningSheet], sills: &Sills) -> Vec<String> {
    let mut cautions = vec![
        "The flow is quasi-static: no waves, no splash, no air held inside, no speed of sinking. The whole inside is one space.".to_owned(),
    ];
    let without: Vec<&str> = boat
        .masses
        .iter()
        .filter(|entry| entry.solid_m3.is_none())
        .map(|entry| entry.name.as_str())
        .collect();
    if !without.is_empty() {
        cautions.push(format!(
            "No volume or density is given for {}: they are taken to displace nothing when the craft fills.",
            without.join(", ")
        ));
    }
    if sheets.len() < sills.rims().count() {
        cautions.push(
            "An opening of fewer than three rim points, or with its points in a line, has no area: no water is let through it here.".to_owned(),
        );
    }
    cautions.extend(CAUTIONS.iter().map(|&text| text.to_owned()));
    cautions
}

fn summary(result: &SwampResult) -> String {
    let litres = |m3: f64| format!("{:.0} L", m3 * 1e3);
    let Some(opening) = &result.opening else {
        return "No opening lets water in: nothing enters.".into();
    };
    let pushed = format!(
        "{opening} pushed {:.0} mm under for {:.0} s: ",
        result.pushed_under_m * 1e3,
        result.held_s
    );
    let taken = result
        .time_line
        .iter()
        .map(|line| line.water_m3)
        .fold(0.0, f64::max);
    let end = match result.end {
        SwampEnd::Recovers => format!("{} come in and it comes up again.", litres(taken)),
        SwampEnd::AfloatSwamped => {
            format!("it stays afloat, swamped with {}.", litres(taken))
        }
        SwampEnd::Sunk => format!(
            "IT SINKS after {:.0} s{}.",
            result.sunk_s.unwrap_or(0.0),
            match result.first_end.as_str() {
                "neither" => String::new(),
                end => format!(", {end} first"),
            }
        ),
        SwampEnd::StillFilling => "it is still filling after six hours.".into(),
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
