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
/// Pours in which an empty craft is filled where the levelled one tells nothing.
const POURS: f64 = 50.0;
/// Pours at most, each after one that went too far half as large.
const MOST_POURS: usize = 1000;

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
    /// is under water, the same; nought where water poured in brings the rim under before it
    /// is full, since sea and inside are then one, or lays the craft over. `None` where no
    /// rest is found.
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
        let stays = |water_m3: f64, near: &WaterPlane| {
            let found = self.with_water(flooded, &room, water_m3, near)?;
            Ok(found.filter(|plane| over(plane) > 0.0 && is_upright(plane)))
        };
        let mut water_m3 = full_m3(levelled.plane());
        let (mut low_m3, mut high_m3) = (0.0, f64::INFINITY);
        let mut near = *levelled.plane();
        let pour = || poured(room.volume_m3(), levelled.plane(), stays, full_m3);
        let mut full = || {
            for _ in 0..MOST_ROUNDS {
                if high_m3 - low_m3 <= WITHIN * high_m3.min(f64::MAX) {
                    break;
                }
                let Some(plane) = stays(water_m3, &near)? else {
                    near = *levelled.plane();
                    high_m3 = water_m3;
                    water_m3 = f64::midpoint(low_m3, high_m3);
                    continue;
                };
                near = plane;
                let holds_m3 = full_m3(&near);
                if (holds_m3 - water_m3).abs() <= WITHIN * water_m3 {
                    return Ok(Some(near));
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
            pour()
        };
        match full() {
            Ok(plane) => Ok(Some(plane.map_or(0.0, |plane| over(&plane)))),
            Err(EquilibriumError::NotConverged { .. }) => Ok(None),
            Err(other) => Err(other),
        }
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

/// Where the craft lies once water poured in from nothing stands at the rim; `None` where
/// the rim goes under, or the craft over, before that. `stays` says how it lies with so much
/// water, from near a plane, `full_m3` how much the inside holds there.
fn poured(
    most_m3: f64,
    levelled: &WaterPlane,
    stays: impl Fn(f64, &WaterPlane) -> Result<Option<WaterPlane>, EquilibriumError>,
    full_m3: impl Fn(&WaterPlane) -> f64,
) -> Result<Option<WaterPlane>, EquilibriumError> {
    let mut near = WaterPlane {
        up: Vec3::z(),
        ..*levelled
    };
    let mut low_m3 = 0.0;
    let mut pour_m3 = most_m3 / POURS;
    let mut went_under = false;
    for _ in 0..MOST_POURS {
        if pour_m3 <= WITHIN * most_m3 {
            return Ok((!went_under).then_some(near));
        }
        let water_m3 = f64::min(low_m3 + pour_m3, most_m3);
        let found = stays(water_m3, &near)?;
        went_under = found.is_none();
        match found {
            Some(plane) if full_m3(&plane) > water_m3 && water_m3 < most_m3 => {
                (low_m3, near) = (water_m3, plane);
            }
            _ => pour_m3 /= 2.0,
        }
    }
    Ok(None)
}
