//! Liquid that can move: a fixed volume in a space, its surface parallel to the
//! sea.
use std::sync::Arc;

use crate::immersion::{Immersion, MomentTree, WaterPlane};
use crate::numerics::Vec3;

/// Share of its volume within which a liquid's level counts as found.
const VOLUME_WITHIN: f64 = 1e-13;
/// Newton steps and bisections at most: each bisection halves the bracket.
const MOST_STEPS: usize = 120;

/// Water of the sea's density loose in a space.
#[derive(Debug, Clone)]
pub struct Liquid {
    /// The space that holds it.
    pub space: Arc<MomentTree>,
    /// Share of the space that liquid can fill (permeability), over 0 to 1.
    pub permeability: f64,
    /// How much of it there is, m³.
    pub volume_m3: f64,
}

impl Liquid {
    /// How much the space takes when full, m³.
    #[must_use]
    pub fn capacity_m3(&self) -> f64 {
        self.permeability * self.space.volume_m3()
    }

    /// What lies under the liquid's surface when `up` is the world's vertical:
    /// its volume (times the permeability), moments and surface. Newton with
    /// the surface as slope, safeguarded by bisection.
    #[must_use]
    pub fn settled(&self, up: &Vec3) -> Immersion {
        let (mut low, mut high) = self.space.reach_m(up).unwrap_or_default();
        let wanted = (self.volume_m3 / self.permeability).min(self.space.volume_m3());
        let mut level_m = low + (high - low) * wanted / self.space.volume_m3();
        let mut found = Immersion::nothing(WaterPlane { up: *up, level_m }, Vec3::zeros());
        for _ in 0..MOST_STEPS {
            found = self.space.immerse(&WaterPlane { up: *up, level_m });
            let off = found.volume_m3 - wanted;
            if off.abs() <= VOLUME_WITHIN * self.space.volume_m3() {
                break;
            }
            if off > 0.0 {
                high = level_m;
            } else {
                low = level_m;
            }
            let newton = level_m - off / found.waterplane.area_m2;
            level_m = if newton > low && newton < high {
                newton
            } else {
                f64::midpoint(low, high)
            };
        }
        let mut shared = Immersion::nothing(found.plane, found.reference_m);
        shared.add(self.permeability, &found);
        shared
    }
}
