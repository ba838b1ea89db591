//! Water loose in rooms that are not open to the sea: what stands at one level, through
//! passages under it, is one pool.
use super::{Airs, OpenSea};
use crate::equilibrium::displacers::Displacers;
use crate::equilibrium::liquid::Liquid;
use crate::immersion::WaterPlane;
use crate::numerics::Vec3;

/// Share of a pool by which it must still run over a sill for another round.
const RUNS_OVER: f64 = 1e-9;

/// Rooms with water at one level.
#[derive(Debug, Clone)]
pub(super) struct Pool {
    /// Numbers of the compartments.
    pub(super) rooms: Vec<usize>,
    pub(super) volume_m3: f64,
}

impl OpenSea<'_> {
    /// The water of a pool, free to move in all its rooms; those that keep air are shut in
    /// by it.
    pub(super) fn liquid(&self, pool: &Pool, kept: &[(usize, f64)]) -> Liquid {
        let mut space = Displacers::default();
        let gives_way = pool.rooms.iter().any(|room| self.is_aired(*room, kept));
        for &room in &pool.rooms {
            match self.kept_air(room, kept).filter(|_| gives_way) {
                Some(air) => space.under_air(air),
                None => space.add_all(&self.rooms[room]),
            }
        }
        Liquid {
            space,
            volume_m3: pool.volume_m3,
            stands_in: None,
            relative_density: 1.0,
            surface_near_m: None,
        }
    }

    /// Whether a room keeps no air of its own.
    fn is_aired(&self, room: usize, kept: &[(usize, f64)]) -> bool {
        kept.iter().all(|(number, _)| *number != room)
    }

    /// The height along the vertical at which a pool stands, m.
    fn level_m(&self, pool: &Pool, kept: &[(usize, f64)], up: &Vec3) -> f64 {
        self.liquid(pool, kept).settled(up).plane.level_m
    }

    /// The height along the vertical of the water round a room's air: the sea's or its
    /// pool's, m; `None` of a room that is neither.
    pub(super) fn outside_m(
        &self,
        room: usize,
        open: &[usize],
        plane: &WaterPlane,
        airs: &Airs,
    ) -> Option<f64> {
        if open.contains(&room) {
            return Some(plane.level_m);
        }
        let pool = airs.pools.iter().find(|pool| pool.rooms.contains(&room))?;
        Some(self.level_m(pool, &airs.kept, &plane.up))
    }

    /// Rooms of pools that are shut in: all their ways lie under the pool, and another room
    /// of it is not.
    pub(super) fn shut_in(&self, up: &Vec3, airs: &Airs) -> Vec<usize> {
        let mut found = Vec::new();
        for pool in airs.pools.iter().filter(|pool| pool.rooms.len() > 1) {
            let level_m = self.level_m(pool, &airs.kept, up);
            let is_under = |room: &usize| {
                let top_m = self.top_of_ways_m(*room, up);
                self.is_aired(*room, &airs.kept) && top_m.is_some_and(|top_m| top_m < level_m)
            };
            let under: Vec<usize> = pool.rooms.iter().copied().filter(is_under).collect();
            let aired = pool.rooms.iter();
            let aired = aired.filter(|room| self.is_aired(**room, &airs.kept));
            if under.len() < aired.count() {
                found.extend(under);
            }
        }
        found
    }

    /// Joins pools and rooms that a passage under water leads between, and lets run out
    /// what stands over a sill; whether anything moved.
    pub(super) fn run(&self, open: &[usize], plane: &WaterPlane, airs: &mut Airs) -> bool {
        let mut moved = false;
        while let Some([into, room]) = self.next_joined(open, &plane.up, airs) {
            moved = true;
            let other = airs.pools.iter().position(|p| p.rooms.contains(&room));
            let Some(other) = other else {
                airs.pools[into].rooms.push(room);
                continue;
            };
            let Pool { rooms, volume_m3 } = airs.pools[other].clone();
            airs.pools[into].rooms.extend(rooms);
            airs.pools[into].volume_m3 += volume_m3;
            airs.pools.remove(other);
        }
        for number in 0..airs.pools.len() {
            let pool = &airs.pools[number];
            let openings = self.boat.openings.iter();
            let sills = openings.filter(|o| o.lets_water_in()).flat_map(|opening| {
                let ways = pool.rooms.iter().map(|room| opening.way_into(*room));
                ways.flatten().map(|point| plane.up.dot(point))
            });
            let Some(sill_m) = sills.min_by(f64::total_cmp).filter(|m| *m > plane.level_m) else {
                continue;
            };
            if self.level_m(pool, &airs.kept, &plane.up) <= sill_m {
                continue;
            }
            let brim = WaterPlane {
                level_m: sill_m,
                ..*plane
            };
            let liquid = self.liquid(pool, &airs.kept);
            let stays_m3 = liquid.space.immerse(&brim).volume_m3;
            moved |= stays_m3 < liquid.volume_m3 * (1.0 - RUNS_OVER);
            airs.pools[number].volume_m3 = stays_m3.min(liquid.volume_m3);
        }
        moved
    }

    /// The first pool that a passage under its water leads out of, and the room there.
    fn next_joined(&self, open: &[usize], up: &Vec3, airs: &Airs) -> Option<[usize; 2]> {
        let spaces = &self.boat.compartments;
        let takes_water = |room: &usize| {
            let space = &spaces[*room];
            !space.sealed && !space.flooded && !open.contains(room)
        };
        let passages = self.boat.passages.iter();
        let passages = passages.filter(|p| self.passages_open && p.between.iter().all(takes_water));
        airs.pools.iter().enumerate().find_map(|(number, pool)| {
            let level_m = self.level_m(pool, &airs.kept, up);
            let is_wet = |rim: &[Vec3]| rim.iter().any(|point| up.dot(point) < level_m);
            let wet = passages.clone().filter(|passage| is_wet(&passage.rim));
            let mut out = wet.filter_map(|passage| {
                let [one, other] = passage.between;
                match (pool.rooms.contains(&one), pool.rooms.contains(&other)) {
                    (true, false) => Some(other),
                    (false, true) => Some(one),
                    _ => None,
                }
            });
            Some([number, out.next()?])
        })
    }

    /// Takes rooms that the sea has got into out of their pools; what stands in the others
    /// of such a pool stays there.
    pub(super) fn leave_pools(&self, open: &[usize], up: &Vec3, airs: &mut Airs) {
        let (left, stay): (Vec<Pool>, Vec<Pool>) = airs
            .pools
            .drain(..)
            .partition(|pool| pool.rooms.iter().any(|room| open.contains(room)));
        airs.pools = stay;
        for pool in left {
            let level_m = self.level_m(&pool, &airs.kept, up);
            let plane = WaterPlane { up: *up, level_m };
            for &room in pool.rooms.iter().filter(|room| !open.contains(room)) {
                let volume_m3 = match self.kept_air(room, &airs.kept) {
                    _ if pool.rooms.len() == 1 => pool.volume_m3,
                    Some(air) => air.at(&plane).water.volume_m3,
                    None => self.rooms[room].immerse(&plane).volume_m3,
                };
                let rooms = vec![room];
                airs.pools.push(Pool { rooms, volume_m3 });
            }
        }
    }
}
