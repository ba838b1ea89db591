//! The craft at one moment, and how its levels answer to more water.
use nalgebra::Matrix3;

use super::network::{Passed, RoomNow, Taper, Way};
use crate::equilibrium::EnergyAt;
use crate::immersion::{PlaneAxes, WaterPlane};
use crate::numerics::Vec3;

/// How far the rise of a head with the water may differ from that of the room by
/// itself, as factors. A craft of hardly any stiffness would have no bounds.
const RISE_BOUNDS: [f64; 2] = [1e-3, 5.0];

/// The craft at one moment.
pub(super) struct Moment {
    pub(super) plane: WaterPlane,
    pub(super) rooms: Vec<RoomNow>,
    pub(super) ways: Vec<Way>,
    /// The middle of the surface in each room, boat frame, m.
    pub(super) surfaces_m: Vec<Option<Vec3>>,
    /// Heads and flows.
    pub(super) now: Passed,
    /// How the craft answers to more water; `None` where it is held, or would not
    /// stay.
    pub(super) answer: Option<Answer>,
}

/// How a craft at rest answers to a little more water.
pub(super) struct Answer {
    /// Of the energy's curvature over level, forward and port tilt.
    pub(super) inverse: Matrix3<f64>,
    pub(super) reference_m: Vec3,
    pub(super) axes: PlaneAxes,
}

impl Answer {
    pub(super) fn of(at: &EnergyAt) -> Option<Self> {
        let positive = at.curvature.cholesky()?;
        Some(Self {
            inverse: positive.inverse(),
            reference_m: at.immersion.reference_m,
            axes: at.immersion.plane.axes(),
        })
    }

    /// What a point weighs with along level, forward and port tilt.
    fn place(&self, point: &Vec3) -> Vec3 {
        let off = point - self.reference_m;
        Vec3::new(1.0, -off.dot(&self.axes.forward), -off.dot(&self.axes.port))
    }

    /// How far the sea rises at one point for each m³ of water at another, 1/m².
    pub(super) fn rise_per_m2(&self, at: &Vec3, water: &Vec3) -> f64 {
        self.place(at).dot(&(self.inverse * self.place(water)))
    }
}

/// A room's level, and what of it hangs on more water.
pub(super) struct Level {
    pub(super) head_m: f64,
    /// How far its level rises for each m³, 1/m².
    pub(super) rise_per_m2: f64,
    /// How its water goes with its level near its ends.
    pub(super) taper: Option<Taper>,
    /// The middle of its surface, boat frame, m.
    pub(super) surface_m: Vec3,
}

/// How far each room's head rises over the sea's for each m³ that comes in, 1/m²:
/// the room's own rise, less the craft's sinking and trimming under the water's
/// weight. The rooms act on each other; each gets the sum of what all of them do to
/// it, taken positive, so that a step never goes past the end that it heads for.
pub(super) fn rises(levels: &[Level], answer: Option<&Answer>) -> Vec<f64> {
    let own = levels.iter().map(|level| level.rise_per_m2);
    let Some(answer) = answer else {
        return own.collect();
    };
    let of = |(k, own): (usize, f64)| {
        let together: f64 = (0..levels.len())
            .map(|j| {
                let alone = if j == k { own } else { 0.0 };
                let sea = answer.rise_per_m2(&levels[k].surface_m, &levels[j].surface_m);
                (alone - sea).abs()
            })
            .sum();
        together.clamp(own * RISE_BOUNDS[0], own * RISE_BOUNDS[1])
    };
    own.enumerate().map(of).collect()
}
