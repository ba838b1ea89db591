//! The water on its way in: from one moment to the next.
use crate::boat::Boat;
use crate::equilibrium::{
    Craft, Displacers, EnergyAt, EquilibriumError, Hold, Inlet, Liquid, Rest, Sills, find_rest,
    find_rest_from, first_below, settle_if_afloat, space_of,
};
use crate::immersion::WaterPlane;
use crate::numerics::Vec3;

use super::network::{Network, Passed, RoomNow, Way};
use super::{Knocked, SwampEnd, SwampLine};

/// Share of the inside that comes in at most in one step of the time line.
const STEP_SHARE: f64 = 0.01;
/// By how much one step and two halves of it may differ, as a share of the inside.
/// What is left of that once the two are played off against each other is of the
/// next order.
const OFF_SHARE: f64 = 2e-4;
/// A shorter step is taken as it comes, s.
const SHORTEST_S: f64 = 1e-3;
/// How much longer or shorter the next step is at most.
const STEP_CHANGES: [f64; 2] = [0.2, 4.0];
/// Head under which a way counts as having none, m.
const STILL_HEAD_M: f64 = 1e-8;
/// A film that is left to run off over a sill to lower water, m: far thinner than
/// the 2.7 mm over which surface tension matters (√(σ/ρg)), and no supply to fill
/// anything with.
const FILM_M: f64 = 5e-4;
/// With a pump at work, flow under which nothing more happens, m³/s: a cupful an
/// hour.
const STILL_M3_S: f64 = 7e-8;
/// Longest time followed, s.
pub(super) const LONGEST_S: f64 = 6.0 * 3600.0;
/// Moments that a hold is followed in at least.
const HELD_MOMENTS: f64 = 10.0;
/// Steps at most.
const MOST_STEPS: usize = 20_000;
/// Share of the reserve at which the craft counts as gone under.
const GONE_SHARE: f64 = 1e-6;
/// Share of the reserve within which a craft for which no rest is found any more
/// has gone under.
const NO_REST_SHARE: f64 = 1e-3;
/// Share of a room near its bottom and its top over which its level is taken to
/// run evenly with the water: its surface shrinks to nothing there.
const ENDS_SHARE: f64 = 0.01;
/// How far the rise of a head with the water may differ from that of the room by
/// itself, as factors. A craft of hardly any stiffness would have no bounds.
const RISE_BOUNDS: [f64; 2] = [0.1, 5.0];
/// The least cosine between the vertical before and after at which a craft has come
/// up again (60°).
const UP_AGAIN: f64 = 0.5;

/// A space that water can get into, with what it holds when full.
struct Room {
    /// Its number among the boat's compartments.
    compartment: usize,
    space: Displacers,
    capacity_m3: f64,
}

impl Room {
    /// What air shut in over the water adds to the head, m of water. None does: air
    /// gets out here as fast as water comes in. A room that keeps its air would say
    /// by its water, and its top, what that air's pressure is.
    fn air_head_m(&self) -> f64 {
        0.0
    }
}

/// A hole that water passes.
struct Hole {
    inlet: Inlet,
    /// Numbers of the rooms on its two sides; `None` is the sea.
    ends: [Option<usize>; 2],
    coefficient: f64,
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
    /// What is bailed from each room, m³/s.
    bailed_m3_s: Vec<f64>,
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

/// The craft at one moment.
struct Moment {
    plane: WaterPlane,
    rooms: Vec<RoomNow>,
    ways: Vec<Way>,
    /// The middle of the surface in each room, boat frame, m.
    surfaces_m: Vec<Option<Vec3>>,
    /// Heads and flows.
    now: Passed,
}

/// A room's level, and what of it hangs on more water.
struct Level {
    head_m: f64,
    /// How far its level rises for each m³, 1/m².
    rise_per_m2: f64,
    /// The middle of its surface, boat frame, m.
    surface_m: Vec3,
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
        let coefficient = |given: Option<f64>| given.unwrap_or(knocked.discharge_coefficient);
        let mut holes: Vec<Hole> = Vec::new();
        for opening in boat.openings.iter().filter(|o| o.lets_water_in()) {
            if let Some(to) = opening.floods.and_then(room) {
                holes.push(Hole {
                    inlet: Inlet::of_rim(&opening.rim),
                    ends: [None, Some(to)],
                    coefficient: coefficient(opening.discharge),
                });
            }
        }
        for passage in &boat.passages {
            let flooded = |k: usize| boat.compartments[passage.between[k]].flooded;
            let rooms = passage.between.map(room);
            // Beside a flooded compartment stands the sea.
            let is_a_way = match rooms {
                [Some(_), Some(_)] => true,
                [None, Some(_)] => flooded(0),
                [Some(_), None] => flooded(1),
                [None, None] => false,
            };
            if is_a_way {
                holes.push(Hole {
                    inlet: Inlet::of_rim(&passage.rim),
                    ends: rooms,
                    coefficient: coefficient(passage.discharge),
                });
            }
        }
        let floods = pushed.and_then(|opening| boat.openings[opening].floods);
        let bailed = floods
            .and_then(room)
            .or_else(|| (!rooms.is_empty()).then_some(0));
        let bails = |room: usize| {
            if bailed == Some(room) {
                knocked.bailed_m3_s
            } else {
                0.0
            }
        };
        Self {
            craft,
            sills,
            knocked,
            holes,
            bailed_m3_s: (0..rooms.len()).map(bails).collect(),
            rooms,
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

    /// The craft with its water at a plane: `at` is its energy there where it is free
    /// to answer to more water.
    fn moment(&self, water: &Water, plane: WaterPlane, at: Option<&EnergyAt>) -> Moment {
        let up = plane.up;
        let levels: Vec<Level> = (0..self.rooms.len())
            .map(|room| self.level(room, water, &up))
            .collect();
        let rises = rises(&levels, at);
        let rooms: Vec<RoomNow> = (0..self.rooms.len())
            .map(|k| RoomNow {
                volume_m3: water.rooms_m3[k],
                capacity_m3: self.rooms[k].capacity_m3,
                head_m: levels[k].head_m + self.rooms[k].air_head_m(),
                bottom_m: self.bottom_m(k, &up),
                rise_per_m2: rises[k],
            })
            .collect();
        let ways: Vec<Way> = self
            .holes
            .iter()
            .map(|hole| Way {
                facing: hole.inlet.facing(&up),
                ends: hole.ends,
                coefficient: hole.coefficient,
            })
            .collect();
        let now = self.network(&rooms, &ways, &plane).now();
        let surface = |k: usize| (water.rooms_m3[k] > 0.0).then(|| levels[k].surface_m);
        Moment {
            plane,
            surfaces_m: (0..self.rooms.len()).map(surface).collect(),
            rooms,
            ways,
            now,
        }
    }

    fn network<'n>(
        &'n self,
        rooms: &'n [RoomNow],
        ways: &'n [Way],
        plane: &WaterPlane,
    ) -> Network<'n> {
        Network {
            rooms,
            ways,
            sea_m: plane.level_m,
            bailed_m3_s: &self.bailed_m3_s,
        }
    }

    fn bottom_m(&self, room: usize, up: &Vec3) -> f64 {
        let lowest = self.rooms[room].space.lowest_m(up);
        lowest.map_or(0.0, |point| up.dot(&point))
    }

    fn top_m(&self, room: usize, up: &Vec3) -> f64 {
        let highest = self.rooms[room].space.lowest_m(&-up);
        highest.map_or(0.0, |point| up.dot(&point))
    }

    fn level(&self, room: usize, water: &Water, up: &Vec3) -> Level {
        let capacity = self.rooms[room].capacity_m3;
        let volume = water.rooms_m3[room];
        let settled = |volume_m3: f64| {
            Liquid {
                space: self.rooms[room].space.clone(),
                volume_m3,
                relative_density: 1.0,
                surface_near_m: water.surfaces_m[room],
            }
            .settled(up)
        };
        let end = ENDS_SHARE * capacity;
        let inner = settled(volume.clamp(end, capacity - end));
        let level_m = inner.plane.level_m;
        let middle = inner.centre_of_flotation_m();
        let surface_m = middle.unwrap_or_else(|| self.rooms[room].space.reference_m());
        let head_of = |full_m: f64| match volume {
            v if v <= 0.0 => self.bottom_m(room, up),
            v if v >= capacity => full_m,
            v => settled(v).plane.level_m.min(full_m),
        };
        let (head_m, rise_per_m2) = if volume < end {
            let bottom_m = self.bottom_m(room, up);
            (head_of(level_m).max(bottom_m), (level_m - bottom_m) / end)
        } else if volume > capacity - end {
            let top_m = self.top_m(room, up);
            (head_of(top_m), (top_m - level_m) / end)
        } else {
            (level_m, 1.0 / inner.waterplane.area_m2)
        };
        Level {
            head_m,
            rise_per_m2: rise_per_m2.max(f64::MIN_POSITIVE),
            surface_m,
        }
    }

    /// The craft at rest with its water, or held; `None` when it goes under.
    fn settled(
        &self,
        water: &Water,
        near: &WaterPlane,
        held: Option<&WaterPlane>,
    ) -> Result<Option<Moment>, EquilibriumError> {
        if let Some(held) = held {
            return Ok(Some(self.moment(water, *held, None)));
        }
        if water.total_m3() >= self.gone_m3() {
            return Ok(None);
        }
        let craft = self.with_water(water);
        let rest = match find_rest_from(&craft, near, Hold::Nothing) {
            Ok(rest) => rest,
            Err(failed) => {
                match find_rest(&craft, &near.up, Hold::Nothing) {
                    Ok(rest) => rest,
                    Err(EquilibriumError::Sinks { .. }) => return Ok(None),
                    Err(_) => match settle_if_afloat(&craft) {
                        Ok(Some(settled)) => settled.rest,
                        Ok(None) => return Ok(None),
                        // With next to no buoyancy left it hangs in the water.
                        Err(_) if self.left_share(water) < NO_REST_SHARE => return Ok(None),
                        Err(_) => return Err(failed),
                    },
                }
            }
        };
        let at = craft.energy_at(rest.plane());
        Ok(Some(self.moment(water, *rest.plane(), Some(&at))))
    }

    /// What is left of the reserve of buoyancy, as a share.
    fn left_share(&self, water: &Water) -> f64 {
        1.0 - water.total_m3() / self.gone_m3()
    }

    /// The water after a step, and by how much one step and two halves of it differ,
    /// m³; `None` where the craft goes under on the way. Twice the halves less the
    /// whole is right to the second order (Richardson's extrapolation of backward
    /// Euler, which keeps its damping: Hairer & Wanner, Solving Ordinary
    /// Differential Equations II, extrapolation methods; from memory).
    fn tried(
        &self,
        from: &Moment,
        water: &Water,
        step_s: f64,
        held: Option<&WaterPlane>,
    ) -> Result<Option<(Water, f64)>, EquilibriumError> {
        let first = self.network(&from.rooms, &from.ways, &from.plane);
        let whole = first.after(step_s);
        let half = first.after(step_s / 2.0);
        let halfway = Water {
            rooms_m3: half.volumes_m3.clone(),
            surfaces_m: from.surfaces_m.clone(),
            ..*water
        };
        let Some(middle) = self.settled(&halfway, &from.plane, held)? else {
            return Ok(None);
        };
        let second = self.network(&middle.rooms, &middle.ways, &middle.plane);
        let second = second.after(step_s / 2.0);
        let mut next = Water {
            rooms_m3: Vec::with_capacity(self.rooms.len()),
            surfaces_m: middle.surfaces_m.clone(),
            ..*water
        };
        let mut off_m3: f64 = 0.0;
        let mut bailed_m3 = 0.0;
        for (k, room) in self.rooms.iter().enumerate() {
            let (one, two) = (whole.volumes_m3[k], second.volumes_m3[k]);
            off_m3 = off_m3.max((two - one).abs());
            next.rooms_m3.push(extrapolated(two, one, room.capacity_m3));
            let halves = half.bailed_m3[k] + second.bailed_m3[k];
            bailed_m3 += (2.0 * halves - whole.bailed_m3[k]).max(0.0);
        }
        next.bailed_m3 += bailed_m3;
        next.entered_m3 += next.total_m3() - water.total_m3() + bailed_m3;
        Ok(Some((next, off_m3)))
    }

    /// Flow by the sea's holes less what is bailed, m³/s.
    fn inflow_m3_s(&self, moment: &Moment) -> f64 {
        let into = |ends: &[Option<usize>; 2]| match ends {
            [None, Some(_)] => 1.0,
            [Some(_), None] => -1.0,
            _ => 0.0,
        };
        let ways = moment.ways.iter().zip(&moment.now.flows_m3_s);
        let sea: f64 = ways.map(|(way, flow)| into(&way.ends) * flow).sum();
        let bailed = (0..self.rooms.len()).map(|room| self.bailed_now_m3_s(moment, room));
        sea - bailed.sum::<f64>()
    }

    /// What comes into a room by its ways, m³/s.
    fn into_room_m3_s(moment: &Moment, room: usize) -> f64 {
        let ways = moment.ways.iter().zip(&moment.now.flows_m3_s);
        ways.map(|(way, flow)| {
            let sign = |end: Option<usize>| f64::from(u8::from(end == Some(room)));
            flow * (sign(way.ends[1]) - sign(way.ends[0]))
        })
        .sum()
    }

    /// What is bailed from a room, m³/s: no more than comes in where it is empty.
    fn bailed_now_m3_s(&self, moment: &Moment, room: usize) -> f64 {
        let most = self.bailed_m3_s[room];
        if moment.rooms[room].volume_m3 > 0.0 {
            most
        } else {
            most.min(Self::into_room_m3_s(moment, room).max(0.0))
        }
    }

    /// The moment as it is kept.
    fn line(&self, time_s: f64, water: &Water, moment: &Moment) -> SwampLine {
        let plane = &moment.plane;
        let fullest =
            (0..self.rooms.len()).max_by(|a, b| water.rooms_m3[*a].total_cmp(&water.rooms_m3[*b]));
        let level = |k: usize| (water.rooms_m3[k] > 0.0).then(|| moment.rooms[k].head_m);
        SwampLine {
            time_s,
            water_m3: water.total_m3(),
            entered_m3: water.entered_m3,
            bailed_m3: water.bailed_m3,
            inflow_m3_s: self.inflow_m3_s(moment),
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

    /// A step's length at most: as long as the fastest flow fills a small share of
    /// the inside.
    fn longest_step_s(&self, moment: &Moment) -> f64 {
        let flows = moment.now.flows_m3_s.iter().map(|flow| flow.abs());
        let fastest = flows
            .chain(self.bailed_m3_s.iter().copied())
            .fold(0.0, f64::max);
        let share = STEP_SHARE * self.knocked.step_share;
        (share * self.capacity_m3() / fastest).max(SHORTEST_S)
    }

    /// Whether nothing moves any more: no wet way has a head across it but for a film
    /// that runs off over a sill, or, with a pump at work, no room fills or empties.
    fn is_still(&self, moment: &Moment) -> bool {
        if self.bailed_m3_s.iter().any(|bailed| *bailed > 0.0) {
            return (0..self.rooms.len()).all(|room| {
                let into = Self::into_room_m3_s(moment, room);
                (into - self.bailed_now_m3_s(moment, room)).abs() < STILL_M3_S
            });
        }
        let level = |end: Option<usize>| match end {
            None => moment.plane.level_m,
            Some(room) if moment.rooms[room].volume_m3 <= 0.0 => f64::NEG_INFINITY,
            Some(room) => moment.now.heads_m[room],
        };
        moment.ways.iter().all(|way| {
            let [one, other] = way.ends.map(level);
            let sill = way.facing.lowest_m();
            let (high, low) = (one.max(other), one.min(other));
            let supply = if one >= other {
                way.ends[0]
            } else {
                way.ends[1]
            };
            let within = if low < sill && supply.is_some() {
                FILM_M
            } else {
                STILL_HEAD_M
            };
            high - low.max(sill) <= within
        })
    }

    /// Follows the water from `start`; `pushed` is the water plane at the sill
    /// that is pushed under first.
    ///
    /// # Errors
    /// Where the craft with its water has a rest that is not found.
    pub(super) fn run(
        &self,
        rest: &Rest,
        start: Water,
        pushed: Option<WaterPlane>,
    ) -> Result<Run, EquilibriumError> {
        let mut way = Followed {
            filling: self,
            time_s: 0.0,
            water: start,
            lines: Vec::new(),
            step_s: f64::INFINITY,
            plane: *rest.plane(),
        };
        let Some(mut moment) = self.settled(&way.water, rest.plane(), None)? else {
            return Ok(way.ended(SwampEnd::Sunk));
        };
        way.note(&moment);
        if let Some(at_sill) = pushed.filter(|_| self.knocked.held_s > 0.0) {
            let held = WaterPlane {
                level_m: at_sill.level_m + self.knocked.under_m,
                ..at_sill
            };
            moment = self.moment(&way.water, held, None);
            way.until(&mut moment, self.knocked.held_s, Some(&held))?;
            // Nothing moves until it is let go.
            if way.time_s < self.knocked.held_s {
                way.time_s = self.knocked.held_s;
                way.note(&moment);
            }
            match self.settled(&way.water, &held, None)? {
                Some(free) => moment = free,
                None => return Ok(way.ended(SwampEnd::Sunk)),
            }
            way.step_s = f64::INFINITY;
            way.note(&moment);
        }
        let end = match way.until(&mut moment, LONGEST_S, None)? {
            Until::Gone => SwampEnd::Sunk,
            Until::Time => SwampEnd::NotSettled,
            Until::Still => {
                let plane = &moment.plane;
                let dry = self.sills.height_m(plane) > 0.0;
                let lower = |room: &RoomNow| room.volume_m3 <= 0.0 || room.head_m < plane.level_m;
                let upright = plane.up.dot(&rest.plane().up) > UP_AGAIN;
                if dry && upright && moment.rooms.iter().all(lower) {
                    SwampEnd::Recovers
                } else {
                    SwampEnd::AfloatSwamped
                }
            }
        };
        Ok(way.ended(end))
    }
}

/// Why the water was followed no further.
enum Until {
    Still,
    Gone,
    Time,
}

/// The way so far.
struct Followed<'a> {
    filling: &'a Filling<'a>,
    time_s: f64,
    water: Water,
    lines: Vec<SwampLine>,
    /// How long the next step may be by the last one's error, s.
    step_s: f64,
    plane: WaterPlane,
}

impl Followed<'_> {
    fn note(&mut self, moment: &Moment) {
        self.plane = moment.plane;
        let line = self.filling.line(self.time_s, &self.water, moment);
        self.lines.push(line);
    }

    /// Step by step until nothing moves, the craft is gone, or it is `end_s`.
    fn until(
        &mut self,
        moment: &mut Moment,
        end_s: f64,
        held: Option<&WaterPlane>,
    ) -> Result<Until, EquilibriumError> {
        let filling = self.filling;
        let off_m3 = OFF_SHARE * filling.capacity_m3() * filling.knocked.step_share.powi(2);
        for _ in 0..MOST_STEPS {
            if filling.is_still(moment) {
                return Ok(Until::Still);
            }
            let left_s = end_s - self.time_s;
            if left_s <= 0.0 {
                return Ok(Until::Time);
            }
            let mut step_s = self.step_s.min(filling.longest_step_s(moment));
            let inflow = filling.inflow_m3_s(moment);
            if held.is_none() && inflow > 0.0 {
                // The last step ends where the craft goes under.
                let left = (filling.gone_m3() - self.water.total_m3()) / inflow;
                step_s = step_s.min(left * (1.0 + GONE_SHARE)).max(SHORTEST_S);
            }
            if held.is_some() {
                step_s = step_s.min(end_s / HELD_MOMENTS);
            }
            step_s = step_s.min(left_s);
            let gone = |water: &Water| held.is_none() && water.total_m3() >= filling.gone_m3();
            loop {
                let tried = filling.tried(moment, &self.water, step_s, held)?;
                let Some((next, off)) = tried else {
                    if step_s <= SHORTEST_S {
                        self.time_s += step_s;
                        return Ok(Until::Gone);
                    }
                    step_s = (step_s / 4.0).max(SHORTEST_S);
                    continue;
                };
                let factor = 0.9 * (off_m3 / off.max(f64::MIN_POSITIVE)).sqrt();
                let [least, most] = STEP_CHANGES;
                if off > off_m3 && step_s > SHORTEST_S {
                    step_s = (step_s * factor.max(least)).max(SHORTEST_S);
                    continue;
                }
                if gone(&next) {
                    let (was, is) = (self.water.total_m3(), next.total_m3());
                    self.time_s += step_s * ((filling.gone_m3() - was) / (is - was)).min(1.0);
                    self.water = next;
                    return Ok(Until::Gone);
                }
                let Some(there) = filling.settled(&next, &moment.plane, held)? else {
                    self.time_s += step_s;
                    self.water = next;
                    return Ok(Until::Gone);
                };
                self.time_s += step_s;
                self.step_s = step_s * factor.clamp(least, most);
                self.water = next;
                *moment = there;
                self.note(moment);
                break;
            }
        }
        Ok(Until::Time)
    }

    fn ended(self, end: SwampEnd) -> Run {
        Run {
            sunk_s: (end == SwampEnd::Sunk).then_some(self.time_s),
            end,
            lines: self.lines,
            plane: self.plane,
        }
    }
}

/// Twice the halves less the whole; full where the halves fill the room.
fn extrapolated(halves_m3: f64, whole_m3: f64, capacity_m3: f64) -> f64 {
    if halves_m3 >= capacity_m3 {
        capacity_m3
    } else {
        (2.0 * halves_m3 - whole_m3).clamp(0.0, capacity_m3)
    }
}

/// How far each room's head rises over the sea's for each m³ that comes in, 1/m²:
/// the room's own rise, less the craft's sinking and trimming under the water's
/// weight. The rooms act on each other; each gets the sum of what all of them do to
/// it, taken positive, so that a step never goes past the end that it heads for.
fn rises(levels: &[Level], at: Option<&EnergyAt>) -> Vec<f64> {
    let answer = at.and_then(|at| {
        let positive = at.curvature.cholesky()?;
        let (reference, axes) = (at.immersion.reference_m, at.immersion.plane.axes());
        let places = levels.iter().map(|level| {
            let off = level.surface_m - reference;
            Vec3::new(1.0, -off.dot(&axes.forward), -off.dot(&axes.port))
        });
        Some((positive.inverse(), places.collect::<Vec<Vec3>>()))
    });
    let own = levels.iter().map(|level| level.rise_per_m2);
    let Some((inverse, places)) = answer else {
        return own.collect();
    };
    let of = |(k, own): (usize, f64)| {
        let together: f64 = (0..levels.len())
            .map(|j| {
                let alone = if j == k { own } else { 0.0 };
                (alone - places[k].dot(&(inverse * places[j]))).abs()
            })
            .sum();
        together.clamp(own * RISE_BOUNDS[0], own * RISE_BOUNDS[1])
    };
    own.enumerate().map(of).collect()
}
