//! The swamped craft without a low hole: the water stays in, up to the rim.
use super::fill::Body;
use crate::boat::Boat;
use crate::equilibrium::{
    Craft, Displacers, EquilibriumError, Hold, Liquid, Rest, find_rest_from, space_without,
};
use crate::immersion::WaterPlane;
use crate::numerics::Vec3;

/// Share of the water by which it must still run over for another round.
const RUNS_OVER: f64 = 1e-9;
/// Rounds of running over at most; each leaves a little less to run over.
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
            dry: Craft::without_fills(boat).displacers,
            room,
        }
    }

    /// Lowest point of the rim over the sea with the inside full up to that point, m,
    /// found from where the craft lies `levelled`: what is over the rim runs out until
    /// nothing does. Where the levelled rim is under water, the same; nought where the
    /// full craft would have its rim under, since sea and inside are then one. `None`
    /// where no rest is found.
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
        let mut near = *levelled.plane();
        for _ in 0..MOST_ROUNDS {
            let mut craft = flooded.clone();
            craft.displacers = self.dry.clone();
            craft.liquids.push(Liquid {
                space: room.clone(),
                volume_m3: water_m3,
                relative_density: 1.0,
                surface_near_m: None,
            });
            if craft.volume_to_displace_m3() >= craft.displacers.volume_m3() {
                return Ok(Some(0.0));
            }
            let rest = match find_rest_from(&craft, &near, Hold::Nothing) {
                Ok(rest) => rest,
                Err(EquilibriumError::NotConverged { .. }) => return Ok(None),
                Err(other) => return Err(other),
            };
            near = *rest.plane();
            let rim_m = over(&near);
            if rim_m <= 0.0 {
                return Ok(Some(0.0));
            }
            let stays_m3 = full_m3(&near);
            if stays_m3 >= water_m3 * (1.0 - RUNS_OVER) {
                return Ok(Some(rim_m));
            }
            water_m3 = stays_m3;
        }
        Ok(None)
    }
}
