//! One step of the water, against two halves of it.
use crate::equilibrium::EquilibriumError;
use crate::immersion::WaterPlane;

use super::filling::{Filling, Water};
use super::moment::Moment;

/// By how much one step and two halves of it may differ as a share of what moves: where
/// it is more the craft jumps on the way, as when it turns over, and the two say nothing
/// of a third.
const SMOOTH_SHARE: f64 = 0.25;
/// Share of the inside under which what moves is no jump: rounding, and what the rests
/// are off.
const NO_JUMP_SHARE: f64 = 1e-9;

/// A step that may be taken.
pub(super) struct Tried {
    /// The water after it.
    pub(super) water: Water,
    /// By how much one step and two halves of it differ, m³.
    pub(super) off_m3: f64,
    /// Whether they differ by as much as moves, however little that is.
    pub(super) jumps: bool,
    /// How the craft lies halfway.
    pub(super) halfway: WaterPlane,
}

impl Filling<'_> {
    /// The water after a step; `None` where the craft goes under on the way. Twice the
    /// halves less the whole is right to the second order (Richardson's extrapolation
    /// of backward Euler, which keeps its damping: Hairer & Wanner, Solving Ordinary
    /// Differential Equations II, extrapolation methods; from memory). Where the craft
    /// jumps on the way it would lead back to before the jump: there the halves count.
    pub(super) fn tried(
        &self,
        from: &Moment,
        water: &Water,
        step_s: f64,
        held: Option<&WaterPlane>,
    ) -> Result<Option<Tried>, EquilibriumError> {
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
            rooms_m3: Vec::with_capacity(from.rooms.len()),
            surfaces_m: middle.surfaces_m.clone(),
            ..*water
        };
        let most = |a: &[f64], b: &[f64]| {
            let apart = a.iter().zip(b).map(|(a, b)| (a - b).abs());
            apart.fold(0.0, f64::max)
        };
        let off_m3 = most(&second.volumes_m3, &whole.volumes_m3);
        let moved_m3 =
            most(&second.volumes_m3, &water.rooms_m3).max(most(&whole.volumes_m3, &water.rooms_m3));
        let is_smooth = off_m3 <= SMOOTH_SHARE * moved_m3;
        let mut bailed_m3 = 0.0;
        for (k, room) in from.rooms.iter().enumerate() {
            let (one, two) = (whole.volumes_m3[k], second.volumes_m3[k]);
            let halves = half.bailed_m3[k] + second.bailed_m3[k];
            if is_smooth {
                next.rooms_m3.push(extrapolated(two, one, room.capacity_m3));
                bailed_m3 += (2.0 * halves - whole.bailed_m3[k]).max(0.0);
            } else {
                next.rooms_m3.push(two);
                bailed_m3 += halves;
            }
        }
        next.bailed_m3 += bailed_m3;
        next.entered_m3 += next.total_m3() - water.total_m3() + bailed_m3;
        Ok(Some(Tried {
            water: next,
            off_m3,
            jumps: !is_smooth && moved_m3 > NO_JUMP_SHARE * self.capacity_m3(),
            halfway: middle.plane,
        }))
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
