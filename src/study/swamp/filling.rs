//! The water on its way in: from one moment to the next.
use crate::boat::Boat;
use crate::equilibrium::{
    Craft, Displacers, EquilibriumError, Hold, Liquid, OpeningSheet, Rest, Sills, find_rest_from,
    first_below, space_of,
};
use crate::immersion::{Immersion, WaterPlane};
use crate::numerics::Vec3;

use super::{Knocked, SwampEnd, SwampLine};

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

/// A space that water can get into, with what it holds when full.
struct Room {
    /// Its number among the boat's compartments.
    compartment: usize,
    space: Displacers,
    capacity_m3: f64,
}

/// A hole that water passes.
struct Hole {
    sheet: OpeningSheet,
    /// Number of the room on the far side; `None` is the sea.
    from: Option<usize>,
    /// Number of the room that water in it goes to.
    to: usize,
    discharge: f64,
}

/// The rooms, the holes and the craft without the water that is coming in.
pub(super) struct Filling<'a> {
    craft: &'a Craft,
    sills: &'a Sills,
    knocked: &'a Knocked,
    rooms: Vec<Room>,
    holes: Vec<Hole>,
    /// The room that water starts in and that is bailed.
    bailed: Option<usize>,
}

/// Water inside and what has passed so far.
#[derive(Debug, Clone)]
pub(super) struct Water {
    /// In each room, m³.
    pub(super) rooms_m3: Vec<f64>,
    /// A point near which its surface was last in each room that had any, boat
    /// frame, m.
    surfaces_m: Vec<Option<Vec3>>,
    /// Come in from the sea, m³.
    pub(super) entered_m3: f64,
    /// Bailed, m³.
    pub(super) bailed_m3: f64,
}

impl Water {
    pub(super) fn total_m3(&self) -> f64 {
        self.rooms_m3.iter().sum()
    }
}

/// Everything that one run left behind.
pub(super) struct Run {
    pub(super) end: SwampEnd,
    pub(super) sunk_s: Option<f64>,
    pub(super) lines: Vec<SwampLine>,
    /// The water plane it ended at.
    pub(super) plane: WaterPlane,
}

/// Water's way in over one step, m³/s.
struct Flows {
    /// Through each hole, in its direction.
    holes_m3_s: Vec<f64>,
    /// Level in each room along the vertical, m, and its surface, m².
    levels: Vec<Option<(f64, f64)>>,
    /// The middle of that surface, boat frame, m.
    surfaces_m: Vec<Option<Vec3>>,
}

impl<'a> Filling<'a> {
    /// The rooms of a boat that water can get into: those neither sealed nor
    /// flooded already. `craft` is without what stands loose in them.
    pub(super) fn of(
        boat: &Boat,
        craft: &'a Craft,
        sills: &'a Sills,
        knocked: &'a Knocked,
        pushed: Option<usize>,
    ) -> Self {
        let rooms: Vec<Room> = (0..)
            .zip(&boat.compartments)
            .filter(|(_, space)| !space.sealed && !space.flooded)
            .map(|(compartment, space)| Room {
                compartment,
                space: space_of(space),
                capacity_m3: space.capacity_m3(),
            })
            .collect();
        let room = |compartment: usize| rooms.iter().position(|r| r.compartment == compartment);
        let discharge = |given: Option<f64>| given.unwrap_or(knocked.discharge_coefficient);
        let mut holes: Vec<Hole> = Vec::new();
        for opening in boat.openings.iter().filter(|o| o.lets_water_in()) {
            let Some(sheet) = OpeningSheet::of_rim(&opening.rim) else {
                continue;
            };
            if let Some(to) = opening.floods.and_then(room) {
                holes.push(Hole {
                    sheet,
                    from: None,
                    to,
                    discharge: discharge(opening.discharge),
                });
            }
        }
        for passage in &boat.passages {
            let Some(sheet) = OpeningSheet::of_rim(&passage.rim) else {
                continue;
            };
            let flooded = |k: usize| boat.compartments[passage.between[k]].flooded;
            let rooms = passage.between.map(room);
            let (from, to) = match rooms {
                [Some(one), Some(other)] => (Some(one), other),
                // Beside a flooded compartment stands the sea.
                [None, Some(one)] if flooded(0) => (None, one),
                [Some(one), None] if flooded(1) => (None, one),
                _ => continue,
            };
            holes.push(Hole {
                sheet,
                from,
                to,
                discharge: discharge(passage.discharge),
            });
        }
        let floods = pushed.and_then(|opening| boat.openings[opening].floods);
        let bailed = floods
            .and_then(room)
            .or_else(|| (!rooms.is_empty()).then_some(0));
        Self {
            craft,
            sills,
            knocked,
            rooms,
            holes,
            bailed,
        }
    }

    /// What stands in the compartments by the boat file.
    pub(super) fn fills(&self, boat: &Boat) -> Water {
        let fill = |room: &Room| boat.compartments[room.compartment].fill_m3;
        Water {
            rooms_m3: self.rooms.iter().map(fill).collect(),
            surfaces_m: vec![None; self.rooms.len()],
            entered_m3: 0.0,
            bailed_m3: 0.0,
        }
    }

    /// The same with what the question adds, where the water comes in.
    pub(super) fn start(&self, fills: &Water) -> Water {
        let mut start = fills.clone();
        if let Some(room) = self.bailed {
            let more = start.rooms_m3[room] + self.knocked.inside_m3;
            start.rooms_m3[room] = more.min(self.rooms[room].capacity_m3);
        }
        start
    }

    /// The water in a room, where there is any.
    fn liquid(&self, room: usize, water: &Water) -> Option<Liquid> {
        let volume_m3 = water.rooms_m3[room];
        (volume_m3 > 0.0).then(|| Liquid {
            space: self.rooms[room].space.clone(),
            volume_m3,
            relative_density: 1.0,
            surface_near_m: water.surfaces_m[room],
        })
    }

    fn with_water(&self, water: &Water) -> Craft {
        let mut craft = self.craft.clone();
        let loose = (0..self.rooms.len()).filter_map(|room| self.liquid(room, water));
        craft.liquids.extend(loose);
        craft
    }

    /// What water can fill in all, m³.
    pub(super) fn capacity_m3(&self) -> f64 {
        self.rooms.iter().map(|room| room.capacity_m3).sum()
    }

    /// Water inside at which the whole craft displaces all that it can, m³.
    fn gone_m3(&self) -> f64 {
        let reserve = self.craft.displacers.volume_m3() - self.craft.volume_to_displace_m3();
        reserve * (1.0 - GONE_SHARE)
    }

    /// Water in the room that the pushed opening leads to at which the lowest
    /// sill comes to the water by itself, m³ on top of the `fills`.
    pub(super) fn no_return_m3(
        &self,
        rest: &Rest,
        fills: &Water,
    ) -> Result<Option<f64>, EquilibriumError> {
        let Some(room) = self.bailed.filter(|_| !self.sills.is_empty()) else {
            return Ok(None);
        };
        let room_left = self.rooms[room].capacity_m3 - fills.rooms_m3[room];
        let most = room_left.min(self.gone_m3() - fills.total_m3());
        if most <= 0.0 {
            return Ok(None);
        }
        let first = (self.sills.height_m(rest.plane()), rest.clone());
        let found = first_below(
            first,
            [most / 100.0, most],
            [most * 1e-6, 1e-6],
            |more_m3, near: &Rest| {
                let mut water = fills.clone();
                water.rooms_m3[room] += more_m3;
                let rest = find_rest_from(&self.with_water(&water), near.plane(), Hold::Nothing)?;
                Ok((self.sills.height_m(rest.plane()), rest))
            },
        );
        match found {
            Ok(found) => Ok(found.map(|found| found.at)),
            Err(EquilibriumError::NotConverged { .. }) => Ok(None),
            Err(other) => Err(other),
        }
    }

    /// Flow through every hole with the water where it is.
    fn flows(&self, plane: &WaterPlane, water: &Water) -> Flows {
        let settled: Vec<Option<Immersion>> = (0..self.rooms.len())
            .map(|room| Some(self.liquid(room, water)?.settled(&plane.up)))
            .collect();
        let levels: Vec<Option<(f64, f64)>> = settled
            .iter()
            .map(|room| {
                let room = room.as_ref()?;
                Some((room.plane.level_m, room.waterplane.area_m2))
            })
            .collect();
        let surfaces_m = settled
            .iter()
            .map(|room| room.as_ref()?.centre_of_flotation_m())
            .collect();
        let level = |room: usize| levels[room].map_or(f64::NEG_INFINITY, |(level, _)| level);
        let holes_m3_s = self
            .holes
            .iter()
            .map(|hole| {
                let outside = hole.from.map_or(plane.level_m, level);
                let inside = level(hole.to);
                if outside == f64::NEG_INFINITY && inside == f64::NEG_INFINITY {
                    return 0.0;
                }
                hole.sheet
                    .inflow_m3_s(&plane.up, outside, inside, hole.discharge)
            })
            .collect();
        Flows {
            holes_m3_s,
            levels,
            surfaces_m,
        }
    }

    /// Water after `step_s` of these flows: no room gives more than it has or
    /// takes more than it holds, and no hole lets more through than would level
    /// what stands on its two sides.
    fn moved(&self, water: &Water, flows: &Flows, plane: &WaterPlane, step_s: f64) -> Water {
        let mut next = Water {
            surfaces_m: flows.surfaces_m.clone(),
            ..water.clone()
        };
        // Between rooms first: what they pass on makes room for the sea.
        let order = |sea: bool| {
            self.holes
                .iter()
                .zip(&flows.holes_m3_s)
                .filter(move |(hole, _)| hole.from.is_none() == sea)
        };
        for (hole, flow) in order(false).chain(order(true)) {
            let mut passed = flow * step_s;
            let inside = flows.levels[hole.to];
            let outside = match hole.from {
                Some(room) => flows.levels[room],
                None => Some((plane.level_m, f64::INFINITY)),
            };
            if let (Some((here, area)), Some((there, other))) = (inside, outside) {
                let levelling = (there - here).abs() / (1.0 / area + 1.0 / other);
                if area > 0.0 && other > 0.0 {
                    passed = passed.clamp(-levelling, levelling);
                }
            }
            let holds = |room: usize| self.rooms[room].capacity_m3;
            passed = passed
                .min(holds(hole.to) - next.rooms_m3[hole.to])
                .max(-next.rooms_m3[hole.to]);
            match hole.from {
                Some(room) => {
                    passed = passed
                        .min(next.rooms_m3[room])
                        .max(next.rooms_m3[room] - holds(room));
                    next.rooms_m3[room] -= passed;
                }
                None => next.entered_m3 += passed,
            }
            next.rooms_m3[hole.to] += passed;
        }
        if let Some(room) = self.bailed {
            let out = (self.knocked.bailed_m3_s * step_s).min(next.rooms_m3[room]);
            next.rooms_m3[room] -= out;
            next.bailed_m3 += out;
        }
        next
    }

    /// The moment as it is kept; flow by the sea's holes less what is bailed.
    fn line(&self, time_s: f64, water: &Water, plane: &WaterPlane, flows: &Flows) -> SwampLine {
        let probe = self.moved(water, flows, plane, STEP_S[0]);
        let change = |now: f64, then: f64| (now - then) / STEP_S[0];
        let inflow_m3_s =
            change(probe.entered_m3, water.entered_m3) - change(probe.bailed_m3, water.bailed_m3);
        let fullest =
            (0..self.rooms.len()).max_by(|a, b| water.rooms_m3[*a].total_cmp(&water.rooms_m3[*b]));
        let level = |room: usize| flows.levels[room].map(|(level, _)| level);
        SwampLine {
            time_s,
            water_m3: water.total_m3(),
            entered_m3: water.entered_m3,
            bailed_m3: water.bailed_m3,
            inflow_m3_s,
            heel_deg: plane.heel_deg(),
            pitch_deg: plane.pitch_deg(),
            waterline_height_m: plane.waterline_height_m(),
            sill_m: self.sills.lowest(plane).map(|sill| sill.height_m),
            outside_level_m: plane.level_m,
            inside_level_m: fullest.and_then(level),
            compartments_m3: water.rooms_m3.clone(),
            levels_m: (0..self.rooms.len()).map(level).collect(),
            up: plane.up.into(),
        }
    }

    /// A step's length: as long as the fastest flow fills a small share of the
    /// inside.
    fn step_s(&self, flows: &Flows) -> f64 {
        let fastest = flows
            .holes_m3_s
            .iter()
            .map(|flow| flow.abs())
            .fold(self.knocked.bailed_m3_s, f64::max);
        let share = STEP_SHARE * self.knocked.step_share;
        let longest = STEP_S[1] * self.knocked.step_share;
        (share * self.capacity_m3() / fastest).clamp(STEP_S[0], longest)
    }

    /// Follows the water from `start`; `pushed` is the water plane at the sill
    /// that is pushed under first.
    pub(super) fn run(&self, rest: &Rest, mut water: Water, pushed: Option<WaterPlane>) -> Run {
        let mut time_s = 0.0;
        let mut plane = self.at_rest(&water, rest.plane()).unwrap_or(*rest.plane());
        let mut lines = Vec::new();
        lines.push(self.line(0.0, &water, &plane, &self.flows(&plane, &water)));
        if let Some(at_sill) = pushed.filter(|_| self.knocked.held_s > 0.0) {
            let held = WaterPlane {
                level_m: at_sill.level_m + self.knocked.under_m,
                ..at_sill
            };
            while time_s < self.knocked.held_s {
                let flows = self.flows(&held, &water);
                let step = self.step_s(&flows).min(self.knocked.held_s - time_s);
                let half = self.moved(&water, &flows, &held, step / 2.0);
                let middle = self.flows(&held, &half);
                water = self.moved(&water, &middle, &held, step);
                time_s += step;
                let flows = self.flows(&held, &water);
                lines.push(self.line(time_s, &water, &held, &flows));
            }
        }
        let ended = |end, sunk_s, lines, plane| Run {
            end,
            sunk_s,
            lines,
            plane,
        };
        for _ in 0..MOST_STEPS {
            if water.total_m3() >= self.gone_m3() {
                return ended(SwampEnd::Sunk, Some(time_s), lines, plane);
            }
            // With no rest at all the rest of the way down is quick.
            let Some(here) = self.at_rest(&water, &plane) else {
                return ended(SwampEnd::Sunk, Some(time_s), lines, plane);
            };
            plane = here;
            let flows = self.flows(&plane, &water);
            let line = self.line(time_s, &water, &plane, &flows);
            let (flow, inside) = (line.inflow_m3_s, line.inside_level_m);
            let is_dry = line.sill_m.is_none_or(|height| height > 0.0);
            lines.push(line);
            let passes = |next: &Water| {
                let rooms = next.rooms_m3.iter().zip(&water.rooms_m3);
                rooms.map(|(a, b)| (a - b).abs()).fold(0.0, f64::max)
            };
            let soon = self.moved(&water, &flows, &plane, STEP_S[0]);
            if passes(&soon) < STILL_M3_S * STEP_S[0] {
                let end = if is_dry && inside.is_none_or(|level| level < plane.level_m) {
                    SwampEnd::Recovers
                } else {
                    SwampEnd::AfloatSwamped
                };
                return ended(end, None, lines, plane);
            }
            if time_s >= LONGEST_S {
                break;
            }
            let mut step = self.step_s(&flows);
            if flow > 0.0 {
                // The last step ends where the craft goes under.
                let left = (self.gone_m3() - water.total_m3()) / flow;
                step = step.min(left * (1.0 + GONE_SHARE));
            }
            // The middle of the step decides (midpoint rule).
            let half = self.moved(&water, &flows, &plane, step / 2.0);
            let middle = self
                .at_rest(&half, &plane)
                .map(|there| (there, self.flows(&there, &half)));
            water = match &middle {
                Some((there, flows)) => self.moved(&water, flows, there, step),
                None => self.moved(&water, &flows, &plane, step),
            };
            time_s += step;
        }
        ended(SwampEnd::StillFilling, None, lines, plane)
    }

    /// The water plane at rest with water inside; `None` when there is none.
    fn at_rest(&self, water: &Water, near: &WaterPlane) -> Option<WaterPlane> {
        find_rest_from(&self.with_water(water), near, Hold::Nothing)
            .ok()
            .map(|rest| *rest.plane())
    }
}
