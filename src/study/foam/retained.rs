//! The swamped craft without a low hole: the water stays in, up to the rim.
use super::fill::Body;
use crate::boat::Boat;
use crate::equilibrium::{
    Craft, Displacers, EquilibriumError, Hold, Liquid, Rest, find_rest, find_rest_from, is_upright,
    space_without, without,
};
use crate::immersion::WaterPlane;
use crate::numerics::Vec3;

/// Share of the water within which it is as much as the inside holds up to the rim.
const WITHIN: f64 = 1e-9;
/// Rounds of running over or filling up at most: each closes in on that.
const MOST_ROUNDS: usize = 60;

/// What holds the craft up when no water can leave but over the rim, and the room for
/// that water: one level inside.
pub(super) struct Retained {
    dry: Displacers,
    room: Displacers,
}

impl Retained {
    pub(super) fn of(boat: &Boat, overboard: &[String]) -> Self {
        let gone: Vec<&str> = overboard.iter().map(String::as_str).collect();
        let mut room = Displacers::default();
        for space in boat.compartments.iter().filter(|s| !s.sealed && !s.flooded) {
            room.add_all(&space_without(space, &gone));
        }
        Self {
            dry: without(boat, overboard).displacers,
            room,
        }
    }

    /// Lowest point of the rim over the sea with the inside full up to that point, m: from
    /// where the craft lies `levelled`, what is over the rim runs out, and what the inside
    /// then holds more goes in, until it is full as the craft lies. Where the levelled rim
    /// is under water, the same; nought where however much water brings the rim under, since
    /// sea and inside are then one, or lays the craft over, before it is full. `None` where
    /// no rest is found.
    pub(super) fn rim_m(
        &self,
        flooded: &Craft,
        foam: Option<&Body>,
        rim: &[Vec3],
        levelled: &Rest,
    ) -> Result<Option<f64>, EquilibriumError> {
        let over = |plane: &WaterPlane| {
            let heights = rim.iter().map(|point| plane.height_m(point));
            heights.fold(f64::INFINITY, f64::min)
        };
        let level = over(levelled.plane());
        if level <= 0.0 {
            return Ok(Some(level));
        }
        let mut room = self.room.clone();
        if let Some(foam) = foam {
            room.take_away(&foam.displacers);
        }
        let full_m3 = |plane: &WaterPlane| {
            let brim = WaterPlane {
                level_m: plane.level_m + over(plane),
                ..*plane
            };
            room.immerse(&brim).volume_m3
        };
        let mut water_m3 = full_m3(levelled.plane());
        let (mut low_m3, mut high_m3) = (0.0, f64::INFINITY);
        let mut near = *levelled.plane();
        for _ in 0..MOST_ROUNDS {
            if high_m3 - low_m3 <= WITHIN * high_m3.min(f64::MAX) {
                return Ok(Some(0.0));
            }
            let found = match self.with_water(flooded, &room, water_m3, &near) {
                Err(EquilibriumError::NotConverged { .. }) => return Ok(None),
                found => found?,
            };
            let Some(plane) = found.filter(|plane| over(plane) > 0.0 && is_upright(plane)) else {
                near = *levelled.plane();
                high_m3 = water_m3;
                water_m3 = f64::midpoint(low_m3, high_m3);
                continue;
            };
            near = plane;
            let rim_m = over(&near);
            let holds_m3 = full_m3(&near);
            if (holds_m3 - water_m3).abs() <= WITHIN * water_m3 {
                return Ok(Some(rim_m));
            }
            if holds_m3 > water_m3 {
                low_m3 = water_m3;
            } else {
                high_m3 = water_m3;
            }
            water_m3 = if holds_m3 > low_m3 && holds_m3 < high_m3 {
                holds_m3
            } else {
                f64::midpoint(low_m3, high_m3)
            };
        }
        Ok(None)
    }

    /// Where the craft lies with so much water in the room; `None` where it sinks.
    fn with_water(
        &self,
        flooded: &Craft,
        room: &Displacers,
        water_m3: f64,
        near: &WaterPlane,
    ) -> Result<Option<WaterPlane>, EquilibriumError> {
        let mut craft = flooded.clone();
        craft.displacers = self.dry.clone();
        craft.liquids.push(Liquid {
            space: room.clone(),
            volume_m3: water_m3,
            stands_in: None,
            relative_density: 1.0,
            surface_near_m: None,
        });
        if craft.volume_to_displace_m3() >= craft.displacers.volume_m3() {
            return Ok(None);
        }
        let found = find_rest_from(&craft, near, Hold::Nothing);
        match found.or_else(|_| find_rest(&craft, &Vec3::z(), Hold::Nothing)) {
            Ok(rest) => Ok(Some(*rest.plane())),
            Err(EquilibriumError::Sinks { .. }) => Ok(None),
            Err(other) => Err(other),
        }
    }
}
