//! Which places an item may take: those within the hull's skin.
use super::ALIKE_M;
use crate::boat::{Boat, Envelope, MassEntry};
use crate::mesh::NearSurface;
use crate::numerics::Vec3;

/// The hull's skin as a bound to where an item's middle may be.
pub(super) struct Bounds<'a> {
    envelope: &'a Envelope,
    skin: NearSurface,
    /// How far outside the skin it may be, m.
    outside_m: f64,
}

impl<'a> Bounds<'a> {
    /// What the boat file has outside may go as far outside as it is, and as far as the
    /// height `z_m` that is asked for takes it.
    pub(super) fn of(boat: &'a Boat, thing: &MassEntry, z_m: f64) -> Self {
        let mut bounds = Self {
            envelope: &boat.envelope,
            skin: NearSurface::of(&boat.envelope.surface),
            outside_m: 0.0,
        };
        let middle = thing.volume_centre_m();
        let raised = middle + Vec3::z() * (z_m - thing.centre_m.z);
        bounds.outside_m = bounds.outside_m(&middle).max(bounds.outside_m(&raised));
        bounds
    }

    /// Whether a middle may be there.
    pub(super) fn hold(&self, middle: &Vec3) -> bool {
        self.outside_m(middle) <= self.outside_m + ALIKE_M
    }

    /// How far outside the skin a place lies, m; nought within.
    fn outside_m(&self, place: &Vec3) -> f64 {
        if self.envelope.encloses(place) {
            0.0
        } else {
            self.skin.distance_m(place)
        }
    }
}
