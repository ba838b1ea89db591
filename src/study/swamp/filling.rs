//! The rooms that water can get into, and the craft with water in them.
use crate::boat::{Boat, REST_OF_INSIDE};
use crate::equilibrium::{
    Craft, Displacers, EnergyAt, EquilibriumError, Hold, Inlet, Liquid, Sills, find_rest,
    find_rest_from, settle_if_afloat, space_of,
};
use crate::immersion::WaterPlane;
use crate::numerics::Vec3;

mod no_return;

use super::moment::{Answer, Level, Moment, rises};
use super::network::{Network, RoomNow, Taper, Way};
use super::{Knocked, SwampError, SwampLine};

/// What may be asked for over a room's capacity, m³: rounding, a thousandth of a millilitre.
const FITS_WITHIN_M3: f64 = 1e-9;
/// Share of the inside that comes in at most in one step of the time line.
const STEP_SHARE: f64 = 0.01;
/// Head under which a way counts as having none, m.
const STILL_HEAD_M: f64 = 1e-8;
/// A film that is left to run over a sill to lower water, m: thinner than the
/// 2.7 mm over which surface tension matters (√(σ/ρg)). Only where it is no supply to
/// fill anything with: out of a room, or from the sea over a sill that its own water
/// lifts out.
const FILM_M: f64 = 1e-3;
/// With a pump at work, flow under which nothing more happens, m³/s: a cupful an
/// hour.
const STILL_M3_S: f64 = 7e-8;
/// Share of the reserve at which the craft counts as gone under.
pub(super) const GONE_SHARE: f64 = 1e-6;
/// Share of the reserve within which a craft for which no rest is found any more
/// has gone under.
const NO_REST_SHARE: f64 = 1e-3;
/// Share of a room near its bottom and its top over which its surface is taken to
/// shrink to nothing ([`Taper`]).
const ENDS_SHARE: f64 = 0.01;
/// A space that water can get into, with what it holds when full.
struct Room {
    /// Its number among the boat's compartments.
    compartment: usize,
    space: Displacers,
    capacity_m3: f64,
}

impl Room {
    /// What air shut in above the water adds to the head, m of water. None does: air
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
    pub(super) surfaces_m: Vec<Option<Vec3>>,
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
        // What is filled solid lets no water in or through.
        let takes_water = |room: &Room| room.capacity_m3 > 0.0;
        let room = |compartment: usize| {
            rooms
                .iter()
                .position(|room| room.compartment == compartment && takes_water(room))
        };
        let coefficient = |given: Option<f64>| given.unwrap_or(knocked.discharge_coefficient);
        let mut holes: Vec<Hole> = Vec::new();
        for opening in boat.openings.iter().filter(|o| o.lets_water_in()) {
            let whole = || Inlet::of_rim(&opening.rim);
            let ways = opening.spaces().map(|(space, _)| {
                let part = opening.over.iter().find(|over| over.space == space);
                (space, part.map_or_else(whole, Inlet::of_part))
            });
            holes.extend(ways.filter_map(|(space, inlet)| {
                Some(Hole {
                    inlet,
                    ends: [None, Some(room(space)?)],
                    coefficient: coefficient(opening.discharge),
                })
            }));
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

    /// The same with what the question adds, where the water comes in; all of it or an
    /// error.
    pub(super) fn start(&self, boat: &Boat, fills: &Water) -> Result<Water, SwampError> {
        let mut start = fills.clone();
        let asked_m3 = self.knocked.inside_m3;
        if asked_m3 <= 0.0 {
            return Ok(start);
        }
        let asked_litres = asked_m3 * 1e3;
        let Some(room) = self
            .bailed
            .filter(|&room| self.rooms[room].capacity_m3 > 0.0)
        else {
            return Err(SwampError::NoSpace { asked_litres });
        };
        let capacity_m3 = self.rooms[room].capacity_m3;
        let left_m3 = capacity_m3 - start.rooms_m3[room];
        if asked_m3 > left_m3 + FITS_WITHIN_M3 {
            let others = (0..self.rooms.len()).filter(|&other| other != room);
            let others = others.map(|other| self.name(boat, other));
            return Err(SwampError::NoRoom {
                name: self.name(boat, room),
                asked_litres,
                holds_litres: capacity_m3 * 1e3,
                left_litres: left_m3.max(0.0) * 1e3,
                others: others.filter(|name| name != REST_OF_INSIDE).collect(),
            });
        }
        start.rooms_m3[room] = (start.rooms_m3[room] + asked_m3).min(capacity_m3);
        Ok(start)
    }

    fn name(&self, boat: &Boat, room: usize) -> String {
        boat.compartments[self.rooms[room].compartment].name.clone()
    }

    /// The water in a room, where there is any.
    fn liquid(&self, room: usize, water: &Water) -> Option<Liquid> {
        let volume_m3 = water.rooms_m3[room];
        (volume_m3 > 0.0).then(|| Liquid {
            space: self.rooms[room].space.clone(),
            volume_m3,
            stands_in: None,
            relative_density: 1.0,
            surface_near_m: water.surfaces_m[room],
        })
    }

    pub(super) fn with_water(&self, water: &Water) -> Craft {
        let mut craft = self.craft.clone();
        let loose = (0..self.rooms.len()).filter_map(|room| self.liquid(room, water));
        craft.liquids.extend(loose);
        craft
    }

    /// What water can fill of a room.
    pub(super) fn space(&self, room: usize) -> &Displacers {
        &self.rooms[room].space
    }

    /// What water can fill in all, m³.
    pub(super) fn capacity_m3(&self) -> f64 {
        self.rooms.iter().map(|room| room.capacity_m3).sum()
    }

    /// Water inside at which the whole craft displaces all that it can, m³.
    pub(super) fn gone_m3(&self) -> f64 {
        let reserve = self.craft.displacers.volume_m3() - self.craft.volume_to_displace_m3();
        reserve * (1.0 - GONE_SHARE)
    }

    /// The craft with its water at a plane: `at` is its energy there where it is free
    /// to answer to more water.
    pub(super) fn moment(&self, water: &Water, plane: WaterPlane, at: Option<&EnergyAt>) -> Moment {
        let up = plane.up;
        let levels: Vec<Level> = (0..self.rooms.len())
            .map(|room| self.level(room, water, &up))
            .collect();
        let answer = at.and_then(Answer::of);
        let rises = rises(&levels, answer.as_ref());
        let rooms: Vec<RoomNow> = (0..self.rooms.len())
            .map(|k| RoomNow {
                volume_m3: water.rooms_m3[k],
                capacity_m3: self.rooms[k].capacity_m3,
                head_m: levels[k].head_m + self.rooms[k].air_head_m(),
                bottom_m: self.bottom_m(k, &up),
                rise_per_m2: rises[k],
                taper: levels[k]
                    .taper
                    .map(|taper| taper.answering(rises[k] / levels[k].rise_per_m2)),
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
            answer,
        }
    }

    pub(super) fn network<'n>(
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
                stands_in: None,
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
        let area_m2 = inner.waterplane.area_m2;
        let (head_m, even_m, taper) = if volume < end {
            let bottom_m = self.bottom_m(room, up);
            let (head_m, even_m) = (head_of(level_m).max(bottom_m), level_m - bottom_m);
            let taper = Taper::new(false, (even_m, end, area_m2), (head_m - bottom_m, volume));
            (head_m, even_m, Some(taper))
        } else if volume > capacity - end {
            let top_m = self.top_m(room, up);
            let (head_m, even_m) = (head_of(top_m), top_m - level_m);
            let air_m3 = capacity - volume;
            let taper = Taper::new(true, (even_m, end, area_m2), (top_m - head_m, air_m3));
            (head_m, even_m, Some(taper))
        } else {
            (level_m, end / area_m2, None)
        };
        // What fills a room solid, or a room without height, has no taper.
        let taper = taper.filter(|_| even_m > 0.0 && area_m2 > 0.0 && end > 0.0);
        Level {
            head_m,
            rise_per_m2: (even_m / end).max(f64::MIN_POSITIVE),
            taper,
            surface_m,
        }
    }

    /// The craft at rest with its water, or held; `None` when it goes under.
    pub(super) fn settled(
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

    /// How the craft is knocked.
    pub(super) fn knocked(&self) -> &Knocked {
        self.knocked
    }

    /// Height of the lowest sill above the water, m.
    pub(super) fn sill_height_m(&self, plane: &WaterPlane) -> f64 {
        self.sills.height_m(plane)
    }

    /// What is left of the reserve of buoyancy, as a share.
    fn left_share(&self, water: &Water) -> f64 {
        1.0 - water.total_m3() / self.gone_m3()
    }

    /// Flow by the sea's holes less what is bailed, m³/s.
    pub(super) fn inflow_m3_s(&self, moment: &Moment) -> f64 {
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
    pub(super) fn line(&self, time_s: f64, water: &Water, moment: &Moment) -> SwampLine {
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
    pub(super) fn longest_step_s(&self, moment: &Moment) -> f64 {
        let flows = moment.now.flows_m3_s.iter().map(|flow| flow.abs());
        let fastest = flows
            .chain(self.bailed_m3_s.iter().copied())
            .fold(0.0, f64::max);
        let share = STEP_SHARE * self.knocked.step_share;
        share * self.capacity_m3() / fastest
    }

    /// Whether nothing moves any more: no wet way has a head across it but for a film
    /// over a sill, that runs off or lifts the sill itself, or, with a pump at work, no room fills or empties.
    pub(super) fn is_still(&self, moment: &Moment) -> bool {
        self.is_still_within(moment, STILL_HEAD_M)
    }

    /// The same with another head that counts as none, m.
    pub(super) fn is_still_within(&self, moment: &Moment, none_m: f64) -> bool {
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
        moment.ways.iter().zip(&self.holes).all(|(way, hole)| {
            let [one, other] = way.ends.map(level);
            let sill = way.facing.lowest_m();
            let (high, low) = (one.max(other), one.min(other));
            let (from, to) = if one >= other {
                (way.ends[0], way.ends[1])
            } else {
                (way.ends[1], way.ends[0])
            };
            let head = high - low.max(sill);
            let is_film = low < sill && head <= FILM_M;
            let runs_dry =
                || from.is_some() || to.is_some_and(|to| self.closes(moment, hole, to, head));
            head <= none_m || (is_film && runs_dry())
        })
    }

    /// Whether a sill rises out of the sea before the head over it has let more than
    /// [`STEP_SHARE`] of the inside into a room: as when the craft leans away.
    fn closes(&self, moment: &Moment, hole: &Hole, room: usize, head_m: f64) -> bool {
        let Some(answer) = &moment.answer else {
            return false;
        };
        let sill = hole.inlet.sill_m(&moment.plane.up);
        let sinks = sill.zip(moment.surfaces_m[room]);
        sinks.is_some_and(|(sill, water)| {
            -answer.rise_per_m2(&sill, &water) * STEP_SHARE * self.capacity_m3() >= head_m
        })
    }
}
