//! Rooms and the ways between them over one step, solved together.
//!
//! Each room has a head: the height, along the vertical, to which water would rise
//! in a pipe from it. A room that is not full has its own level for a head. In a
//! full one it is whatever makes its flows add up to nothing, and never less than
//! its top, where air would come in. The water in a room grows with its head, and
//! what leaves a room grows with its own head and falls with those of the others:
//! the system is an M-function, whose solution is the only one and is found by
//! going round the rooms one after the other (Rheinboldt, On M-functions and their
//! application to nonlinear Gauss-Seidel iterations and to network flows, Journal
//! of Mathematical Analysis and Applications 32, 1970; from memory). Newton's steps
//! go first, since they are few; they count where they bring the sum of what is
//! left over down.
//!
//! By hand: stiff and kinked at every sill; solvers of differential equations in crates
//! take smooth ones.
use nalgebra::{DMatrix, DVector};

use crate::equilibrium::Facing;
use crate::numerics::{Look, rising_root};

/// Newton steps, and rounds over the rooms, at most.
const MOST_ROUNDS: usize = 60;
/// Halvings of a Newton step before a round over the rooms is made instead.
const MOST_HALVINGS: usize = 12;
/// Steps of the search for one room's head.
const MOST_STEPS: usize = 200;
/// What may be left over of a room's water, as a share of what all hold.
const LEFT_OVER_SHARE: f64 = 1e-15;
/// Share of a room by which it may fall short of full and counts as full: a level
/// just under the top is no head that could pass on.
const FULL_WITHIN: f64 = 1e-12;

/// A room as a step begins. Heights along the vertical, boat frame, m.
#[derive(Debug, Clone, Copy)]
pub(super) struct RoomNow {
    /// Water in it, m³.
    pub(super) volume_m3: f64,
    /// What it holds when full, m³.
    pub(super) capacity_m3: f64,
    /// Its head: its level, its top when full, its bottom when empty.
    pub(super) head_m: f64,
    /// Its lowest point.
    pub(super) bottom_m: f64,
    /// How far its head rises over the sea's for each m³ that comes in, 1/m².
    pub(super) rise_per_m2: f64,
    /// How its water goes with its head while it is nearly empty or nearly full.
    pub(super) taper: Option<Taper>,
}

/// The water between a room's bottom and its level, or its air between that and its top,
/// where that is little: there its surface shrinks to a strip or to nothing. It goes
/// with a power of its depth, `scale × depth^power`: 1 over a level end, 2 in an edge, 3
/// in a corner.
#[derive(Debug, Clone, Copy)]
pub(super) struct Taper {
    /// Of the air under the top rather than of the water over the bottom.
    is_air: bool,
    scale: f64,
    power: f64,
    /// Depth now, m.
    depth_m: f64,
    /// Depth past which it goes on evenly, m.
    even_m: f64,
    /// How far the room's head rises over the sea's for each metre of depth.
    heads_per_m: f64,
}

impl Taper {
    /// From the room's end to `even_m` away from it there are `even_m3`, with a surface
    /// of `area_m2` there; now there are `now_m3`, which reach `depth_m`.
    pub(super) fn new(
        is_air: bool,
        (even_m, even_m3, area_m2): (f64, f64, f64),
        (depth_m, now_m3): (f64, f64),
    ) -> Self {
        let power = (area_m2 * even_m / even_m3).clamp(1.0, 3.0);
        // Through the present water, if there is any.
        let (at_m, of_m3) = if depth_m > 0.0 && now_m3 > 0.0 {
            (depth_m, now_m3)
        } else {
            (even_m, even_m3)
        };
        let scale = of_m3 / at_m.powf(power);
        Self {
            is_air,
            scale,
            power,
            depth_m: (now_m3 / scale).powf(1.0 / power),
            even_m: (even_m3 / scale).powf(1.0 / power),
            heads_per_m: 1.0,
        }
    }

    /// The same where the craft answers to the water: the head rises over the sea's so
    /// many times as fast as it would in a craft that is held.
    pub(super) fn answering(self, heads_per_m: f64) -> Self {
        Self {
            heads_per_m,
            ..self
        }
    }

    /// Water in a room that holds `capacity_m3` once its head has risen, m³, and how
    /// that grows, m².
    fn volume_at(&self, risen_m: f64, capacity_m3: f64) -> (f64, f64) {
        let sign = if self.is_air { -1.0 } else { 1.0 };
        let depth_m = (self.depth_m + sign * risen_m / self.heads_per_m).max(0.0);
        let bent_m = depth_m.min(self.even_m);
        let grows = self.scale * self.power * bent_m.powf(self.power - 1.0);
        let volume = self.scale * bent_m.powf(self.power) + grows * (depth_m - bent_m);
        let grows = if depth_m > 0.0 { grows } else { 0.0 };
        let of_room = if self.is_air {
            capacity_m3 - volume
        } else {
            volume
        };
        (of_room, grows / self.heads_per_m)
    }
}

impl RoomNow {
    fn is_full(&self) -> bool {
        self.volume_m3 >= self.capacity_m3
    }

    /// Water in it at a head, m³, and how that grows, m².
    fn volume_at(&self, head_m: f64) -> (f64, f64) {
        let risen_m = head_m - self.head_m;
        let (volume, grows) = match &self.taper {
            Some(taper) => taper.volume_at(risen_m, self.capacity_m3),
            None => (
                self.volume_m3 + risen_m / self.rise_per_m2,
                1.0 / self.rise_per_m2,
            ),
        };
        if volume <= 0.0 {
            (0.0, 0.0)
        } else if volume >= self.capacity_m3 {
            (self.capacity_m3, 0.0)
        } else {
            (volume, grows)
        }
    }
}

/// A way between two rooms, or the sea and a room.
#[derive(Debug, Clone)]
pub(super) struct Way {
    pub(super) facing: Facing,
    /// Numbers of the rooms; `None` is the sea.
    pub(super) ends: [Option<usize>; 2],
    pub(super) coefficient: f64,
}

/// Rooms and ways at one attitude.
#[derive(Debug)]
pub(super) struct Network<'a> {
    pub(super) rooms: &'a [RoomNow],
    pub(super) ways: &'a [Way],
    /// Where the sea stands, m.
    pub(super) sea_m: f64,
    /// What is bailed from each room as long as there is any, m³/s.
    pub(super) bailed_m3_s: &'a [f64],
}

/// What a step brought.
#[derive(Debug, Clone)]
pub(super) struct Passed {
    /// Water in each room after it, m³.
    pub(super) volumes_m3: Vec<f64>,
    /// The rooms' heads, m.
    pub(super) heads_m: Vec<f64>,
    /// Through each way from its first end to its second, m³/s.
    pub(super) flows_m3_s: Vec<f64>,
    /// Bailed from each room in the step, m³.
    pub(super) bailed_m3: Vec<f64>,
}

/// Over which time the rooms are looked at.
#[derive(Debug, Clone, Copy)]
enum Over {
    /// No time at all: only full rooms' heads are not known.
    Now,
    /// A step that ends at the heads sought, s.
    Step(f64),
}

impl Network<'_> {
    /// Heads and flows at once, no water moved.
    pub(super) fn now(&self) -> Passed {
        self.solved(Over::Now)
    }

    /// Water after a step, all of it by the flows at the step's end (backward Euler:
    /// no head overshoots, however long the step).
    pub(super) fn after(&self, step_s: f64) -> Passed {
        self.solved(Over::Step(step_s))
    }

    fn solved(&self, over: Over) -> Passed {
        let mut heads: Vec<f64> = self.rooms.iter().map(|room| room.head_m).collect();
        let within = LEFT_OVER_SHARE * self.rooms.iter().map(|room| room.capacity_m3).sum::<f64>();
        for _ in 0..MOST_ROUNDS {
            let (left, slopes) = self.left_over(&heads, over);
            let size = left.abs().sum();
            if size <= within {
                break;
            }
            if self.rooms.len() == 1 || !self.newton(&mut heads, over, &left, slopes) {
                for room in 0..self.rooms.len() {
                    self.balance(&mut heads, room, over);
                }
                if self.rooms.len() == 1 || self.left_over(&heads, over).0.abs().sum() >= size {
                    break;
                }
            }
        }
        self.passed(heads, over)
    }

    /// The least head that a room can have, m.
    fn least_m(&self, room: usize, over: Over) -> f64 {
        let room = &self.rooms[room];
        match over {
            Over::Now => room.head_m,
            Over::Step(_) => room.bottom_m,
        }
    }

    /// Whether a room's head is known beforehand.
    fn is_known(&self, room: usize, over: Over) -> bool {
        matches!(over, Over::Now) && !self.rooms[room].is_full()
    }

    /// What each room would have too much at these heads, m³ (at once: m³/s), with
    /// its slopes. Nothing where the head is known, or the least and cannot fall.
    fn left_over(&self, heads: &[f64], over: Over) -> (DVector<f64>, DMatrix<f64>) {
        let count = self.rooms.len();
        let mut left = DVector::zeros(count);
        let mut slopes = DMatrix::zeros(count, count);
        let step_s = match over {
            Over::Now => 1.0,
            Over::Step(step_s) => step_s,
        };
        if let Over::Step(_) = over {
            for (k, room) in self.rooms.iter().enumerate() {
                let (volume, grows) = room.volume_at(heads[k]);
                left[k] = volume - room.volume_m3 + step_s * self.bailed_m3_s[k];
                slopes[(k, k)] = grows;
            }
        }
        for way in self.ways {
            let (flow, by) = self.flow(way, heads);
            for (end, sign) in way.ends.iter().zip([1.0, -1.0]) {
                let Some(k) = *end else { continue };
                left[k] += sign * step_s * flow;
                for (other, by) in way.ends.iter().zip(by) {
                    if let Some(j) = *other {
                        slopes[(k, j)] += sign * step_s * by;
                    }
                }
            }
        }
        for k in 0..count {
            let at_least = heads[k] <= self.least_m(k, over) && left[k] > 0.0;
            if self.is_known(k, over) || at_least {
                left[k] = 0.0;
                slopes.fill_row(k, 0.0);
                slopes[(k, k)] = 1.0;
            }
        }
        (left, slopes)
    }

    /// Through a way from its first end to its second, m³/s, and how that changes
    /// with the head at either, m²/s.
    fn flow(&self, way: &Way, heads: &[f64]) -> (f64, [f64; 2]) {
        let level = |end: Option<usize>| match end {
            None => self.sea_m,
            Some(room) if self.is_dry(room, heads[room]) => f64::NEG_INFINITY,
            Some(room) => heads[room],
        };
        let [one, other] = way.ends.map(level);
        if one >= other {
            let flow = way.facing.flow(one, other, way.coefficient);
            (flow.m3_s, [flow.by_high_m2_s, flow.by_low_m2_s])
        } else {
            let flow = way.facing.flow(other, one, way.coefficient);
            (-flow.m3_s, [-flow.by_low_m2_s, -flow.by_high_m2_s])
        }
    }

    /// Whether a room has no water at a head.
    fn is_dry(&self, room: usize, head_m: f64) -> bool {
        head_m <= self.rooms[room].bottom_m
    }

    /// One Newton step, halved until less is left over; `false` where none does.
    fn newton(
        &self,
        heads: &mut Vec<f64>,
        over: Over,
        left: &DVector<f64>,
        mut slopes: DMatrix<f64>,
    ) -> bool {
        let largest = slopes.abs().max();
        for k in 0..heads.len() {
            slopes[(k, k)] += 1e-13 * largest;
        }
        let Some(step) = slopes.lu().solve(left) else {
            return false;
        };
        if !step.iter().all(|move_m| move_m.is_finite()) {
            return false;
        }
        let size = left.abs().sum();
        let mut share = 1.0;
        for _ in 0..MOST_HALVINGS {
            let tried: Vec<f64> = (0..heads.len())
                .map(|k| (heads[k] - share * step[k]).max(self.least_m(k, over)))
                .collect();
            let (rest, _) = self.left_over(&tried, over);
            if rest.abs().sum() < (1.0 - 1e-3 * share) * size {
                *heads = tried;
                return true;
            }
            share /= 2.0;
        }
        false
    }

    /// Finds one room's head with those of the others as they are: what is left over
    /// grows with it, a [`rising_root`].
    fn balance(&self, heads: &mut [f64], room: usize, over: Over) {
        if self.is_known(room, over) {
            return;
        }
        let all = self.rooms.iter().map(|room| room.head_m);
        let high = all.chain(heads.iter().copied()).fold(self.sea_m, f64::max);
        let low = self.least_m(room, over);
        let within = LEFT_OVER_SHARE * self.rooms[room].capacity_m3;
        let start = heads[room].clamp(low, high.max(low));
        let is_done = |at: &Look<()>, [low, high]: [f64; 2]| {
            at.off.abs() <= within || high - low <= f64::EPSILON * high.abs().max(low.abs())
        };
        let look = |head: f64| {
            heads[room] = head;
            let (left, slopes) = self.left_over(heads, over);
            Look {
                off: left[room],
                slope: slopes[(room, room)],
                state: (),
            }
        };
        let bracket = [low, high.max(low) + f64::EPSILON];
        rising_root(bracket, start, MOST_STEPS, is_done, look);
    }

    fn passed(&self, heads_m: Vec<f64>, over: Over) -> Passed {
        let flows_m3_s: Vec<f64> = self
            .ways
            .iter()
            .map(|way| self.flow(way, &heads_m).0)
            .collect();
        let mut volumes_m3: Vec<f64> = self.rooms.iter().map(|room| room.volume_m3).collect();
        let mut bailed_m3 = vec![0.0; self.rooms.len()];
        if let Over::Step(step_s) = over {
            for (way, flow) in self.ways.iter().zip(&flows_m3_s) {
                for (end, sign) in way.ends.iter().zip([-1.0, 1.0]) {
                    if let Some(room) = *end {
                        volumes_m3[room] += sign * step_s * flow;
                    }
                }
            }
            for (room, volume) in volumes_m3.iter_mut().enumerate() {
                bailed_m3[room] = (step_s * self.bailed_m3_s[room]).min(volume.max(0.0));
                let capacity = self.rooms[room].capacity_m3;
                *volume = (*volume - bailed_m3[room]).max(0.0);
                if *volume >= capacity * (1.0 - FULL_WITHIN) {
                    *volume = capacity;
                }
            }
        }
        Passed {
            volumes_m3,
            heads_m,
            flows_m3_s,
            bailed_m3,
        }
    }
}
