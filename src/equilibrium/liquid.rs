//! Liquid that can move: a fixed volume in a space, its surface parallel to the
//! sea.
use super::displacers::Displacers;
use crate::boat::Boat;
use crate::immersion::{Immersion, WaterPlane};
use crate::numerics::{Look, Vec3, rising_root};

/// Share of its volume within which a liquid's level counts as found.
const VOLUME_WITHIN: f64 = 1e-13;
/// Newton steps and bisections at most: each bisection halves the bracket.
const MOST_STEPS: usize = 120;

/// Liquid loose in a space.
#[derive(Debug, Clone)]
pub struct Liquid {
    /// The room for it: signed bodies whose volumes add up to what liquid can
    /// fill (a space times its permeability, less what stands in it).
    pub space: Displacers,
    /// How much of it there is, m³.
    pub volume_m3: f64,
    /// Its density over that of the water outside.
    pub relative_density: f64,
    /// A point near which its surface was last, boat frame, m: the search for its
    /// level begins there, unless it fills the space. Only time hangs on it.
    pub surface_near_m: Option<Vec3>,
    /// What of the boat it stands in; `None` of water that a study puts in.
    pub stands_in: Option<StandsIn>,
}

/// What liquid stands in, by its number in the boat.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StandsIn {
    /// One of its tanks.
    Tank(usize),
    /// One of its compartments.
    Compartment(usize),
}

impl StandsIn {
    /// Its name; `None` where the boat has no such room.
    #[must_use]
    pub fn name_in(self, boat: &Boat) -> Option<&str> {
        match self {
            Self::Tank(number) => boat.tanks.get(number).map(|tank| tank.name.as_str()),
            Self::Compartment(number) => {
                let space = boat.compartments.get(number);
                space.map(|space| space.name.as_str())
            }
        }
    }
}

impl Liquid {
    /// How much the space takes when full, m³.
    #[must_use]
    pub fn capacity_m3(&self) -> f64 {
        self.space.volume_m3()
    }

    /// The volume of the water outside that weighs as much, m³.
    #[must_use]
    pub fn weighs_as_m3(&self) -> f64 {
        self.volume_m3 * self.relative_density
    }

    /// The energy stored in air that the liquid shuts in, at its own `settled` level, m⁴.
    pub(super) fn air_m4(&self, settled: &Immersion) -> f64 {
        if self.space.keeps_air() {
            self.relative_density * self.space.immerse_with_air(&settled.plane).1
        } else {
            0.0
        }
    }

    /// What lies under the liquid's surface when `up` is the world's vertical:
    /// its volume, moments and surface. The surface is the slope of its [`rising_root`].
    #[must_use]
    pub fn settled(&self, up: &Vec3) -> Immersion {
        let (low, high) = self.space.reach_m(up).unwrap_or_default();
        let capacity = self.capacity_m3();
        let wanted = self.volume_m3.min(capacity);
        // Of a full space the level is the top of its box and there is no surface;
        // sought from under the top it would stop a little short of both.
        let has_surface = wanted < capacity * (1.0 - VOLUME_WITHIN);
        let last = self.surface_near_m.filter(|_| has_surface);
        let start = last
            .map(|near| up.dot(&near))
            .filter(|level_m| *level_m > low && *level_m < high)
            .unwrap_or(low + (high - low) * wanted / capacity.max(f64::MIN_POSITIVE));
        let is_done = |found: &Look<_>, _| found.off.abs() <= VOLUME_WITHIN * capacity;
        let look = |level_m: f64| {
            let under = self.space.immerse(&WaterPlane { up: *up, level_m });
            Look {
                off: under.volume_m3 - wanted,
                slope: under.waterplane.area_m2,
                state: under,
            }
        };
        rising_root([low, high], start, MOST_STEPS, is_done, look).state
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::immersion::MomentTree;
    use crate::mesh::solids;

    /// A wedge, whose surface grows with the level: wherever the search begins, in
    /// the liquid, out of the space or nowhere, it ends at the same level.
    #[test]
    fn where_the_search_begins_does_not_matter() {
        let wedge = solids::wedge(Vec3::zeros(), Vec3::new(2.0, 1.0, 0.5));
        let space = Displacers::envelope(Arc::new(MomentTree::new(&wedge, &[])));
        let up = Vec3::new(0.2, -0.1, 1.0).normalize();
        for share in [0.001, 0.3, 0.999, 1.0] {
            let liquid = |surface_near_m| Liquid {
                volume_m3: share * space.volume_m3(),
                space: space.clone(),
                stands_in: None,
                relative_density: 1.0,
                surface_near_m,
            };
            let cold = liquid(None).settled(&up);
            assert!((cold.volume_m3 / (share * space.volume_m3()) - 1.0).abs() < 1e-10);
            for near in [0.01, 0.25, 0.49, -3.0, 7.0] {
                let warm = liquid(Some(Vec3::new(1.0, 0.5, near))).settled(&up);
                let off = warm.plane.level_m - cold.plane.level_m;
                assert!(off.abs() < 1e-11, "{share}, {near}: {off:e}");
                let more = warm.waterplane.area_m2 - cold.waterplane.area_m2;
                assert!(more.abs() < 1e-10, "{share}, {near}: {more:e}");
            }
        }
    }
}
