//! The swamped craft without a low hole: the water stays in, up to the rim.
use super::fill::Body;
use crate::boat::Boat;
use crate::equilibrium::{
    Craft, Displacers, EquilibriumError, Hold, Liquid, Rest, find_rest_from, first_below,
    is_upright, space_without, without,
};
use crate::immersion::WaterPlane;
use crate::numerics::Vec3;

/// Share of the room left within which the water that fills it to the rim is found.
const WITHIN: f64 = 1e-9;
/// Steps in which that room is filled until it would run over.
const STEPS: f64 = 6.0;

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
    /// where the craft lies `levelled`, water comes in until it would run over. Where the
    /// levelled rim is under water, the same; nought where the rim goes under on the way,
    /// since sea and inside are then one, or the craft falls over. `None` where no rest is found.
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
        let mut craft = flooded.clone();
        craft.displacers = self.dry.clone();
        let start_m3 = room.immerse(levelled.plane()).volume_m3;
        let left_m3 = room.volume_m3() - start_m3;
        let within_m3 = WITHIN * left_m3;
        // What still goes in before it runs over, and how the craft lies; `None` where its
        // rim is under or it has fallen over.
        let look = |more_m3: f64, near: &Option<WaterPlane>| {
            let mut craft = craft.clone();
            craft.liquids.push(Liquid {
                space: room.clone(),
                volume_m3: start_m3 + more_m3,
                relative_density: 1.0,
                surface_near_m: None,
            });
            if craft.volume_to_displace_m3() >= craft.displacers.volume_m3() {
                return Ok((-left_m3, None));
            }
            let near = near.as_ref().unwrap_or(levelled.plane());
            let plane = match find_rest_from(&craft, near, Hold::Nothing) {
                Ok(rest) => *rest.plane(),
                Err(EquilibriumError::Sinks { .. }) => return Ok((-left_m3, None)),
                Err(other) => return Err(other),
            };
            if over(&plane) <= 0.0 || !is_upright(&plane) {
                return Ok((-left_m3, None));
            }
            // Full to the last drop is as much as running over.
            Ok((
                full_m3(&plane) - start_m3 - more_m3 - within_m3,
                Some(plane),
            ))
        };
        let start = look(0.0, &None);
        let found = start.and_then(|start| {
            let steps_m3 = [left_m3 / STEPS, left_m3];
            first_below(start, steps_m3, [within_m3; 2], look)
        });
        match found {
            Ok(Some(full)) => Ok(Some(full.state.map_or(0.0, |plane| over(&plane)))),
            Ok(None) => Ok(None),
            Err(EquilibriumError::NotConverged { .. }) => Ok(None),
            Err(other) => Err(other),
        }
    }
}
