//! The floor that a hull stood on when it was scanned.
use nalgebra::Rotation3;

use super::super::placement::Moved;
use super::super::surface::Surface;
use super::flat::Flat;
use super::reach::Reach;
use crate::numerics::Vec3;

/// The edge of what a floor hid of a bottom lies within so many times the height that was
/// taken away with the floor.
const HOLE_REACHES: f64 = 4.0;
/// A long edge may lie as far over it as the cove that a scanner draws between the two, m:
/// no opening so long lies so low.
pub(super) const COVE_M: f64 = 0.025;
const LONG_M: f64 = 0.5;
/// A floor's normal leans no more than this to a side (sine of 1°) under a hull that stood
/// on its keel.
const ASKEW: f64 = 0.017;

/// A floor that was taken away: what lies at `normal · x = offset_m`, its normal toward the
/// hull.
#[derive(Debug, Clone, Copy)]
pub(super) struct Floor {
    pub(super) normal: Vec3,
    pub(super) offset_m: f64,
    /// How far over it the hull may begin: what was lower went with it, m. Four deviations
    /// of its roughness, but no less than a scanner's cove.
    pub(super) reach_m: f64,
}

impl Floor {
    pub(super) fn under(surface: &Surface, flat: &Flat) -> Self {
        Self {
            normal: flat.normal,
            offset_m: flat.offset_m,
            reach_m: flat.reach_m(surface),
        }
    }

    /// As a plane with its ±, m: two deviations of its roughness.
    pub(super) fn plane(&self) -> StoodOn {
        StoodOn {
            normal: self.normal,
            offset_m: self.offset_m,
            error_m: self.reach_m / 2.0,
        }
    }

    /// Height of a place over it, m.
    pub(super) fn over_m(&self, p: &Vec3) -> f64 {
        self.normal.dot(p) - self.offset_m
    }

    /// The same floor where all was moved.
    pub(super) fn moved(&self, moved: &Moved) -> Self {
        let normal = moved.turn * self.normal;
        Self {
            normal,
            offset_m: self.offset_m * moved.scale + normal.dot(&moved.shift_m),
            reach_m: self.reach_m * moved.scale,
        }
    }

    /// Whether all of an edge so long, m, lies so close over it that the floor hid what it
    /// bounds.
    pub(super) fn left(&self, long_m: f64, mut edge: impl Iterator<Item = Vec3>) -> bool {
        let reaches_m = HOLE_REACHES * self.reach_m;
        let most_m = if long_m > LONG_M {
            reaches_m.max(COVE_M)
        } else {
            reaches_m
        };
        edge.all(|p| self.over_m(&p) < most_m)
    }
}

/// The plane `normal · x = offset_m` of a floor that a hull stood on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StoodOn {
    /// Toward the hull.
    pub normal: Vec3,
    /// m.
    pub offset_m: f64,
    /// How far the hull's lowest places may lie off it, ± m.
    pub error_m: f64,
}

impl StoodOn {
    /// The slope of the floor fore and aft in the frame that a hull is turned into, rad, and
    /// how far the hull may be off it, ±: by the floor's ± under two places half of its
    /// length apart.
    pub(super) fn slope(&self, turn: &Rotation3<f64>, length_m: f64) -> (f64, f64) {
        let normal = turn * self.normal;
        let error = 2.0 * std::f64::consts::SQRT_2 * self.error_m / length_m;
        ((-normal.x / normal.z).atan(), error)
    }

    /// Its height at the origin of that frame, m; `None` where it lies askew under it, so
    /// that the hull stood on one side of its bottom.
    pub(super) fn base(&self, turn: &Rotation3<f64>) -> Option<Reach> {
        let normal = turn * self.normal;
        (normal.y.abs() < ASKEW).then(|| Reach {
            at_m: -self.offset_m / normal.z,
            error_m: self.error_m,
        })
    }
}
