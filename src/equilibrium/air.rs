//! Air that cannot get out of a flooded room: its water stands lower than outside.
use super::displacers::Displacers;
use crate::immersion::{Immersion, WaterPlane};
use crate::numerics::{Look, Vec3, rising_root};

/// Share of the room's volume within which Boyle's law counts as met.
const VOLUME_WITHIN: f64 = 1e-13;
/// Newton steps and bisections at most: each bisection halves the bracket.
const MOST_STEPS: usize = 120;

/// A room open to the sea under its air, which it keeps.
///
/// The air follows Boyle's law at one temperature. With `H` the atmosphere as a
/// column of the water, `A` the air at the pressure of the atmosphere, `a` the air
/// now, `L` and `l` the levels outside and inside: `(H + L − l) a = H A`.
#[derive(Debug, Clone)]
pub struct KeptAir {
    /// What water can fill of the room.
    room: Displacers,
    /// Air in it at the pressure of the atmosphere, m³.
    air_m3: f64,
    /// The atmosphere as a column of the water, m.
    atmosphere_m: f64,
}

/// Water and air in such a room at one water plane outside.
#[derive(Debug, Clone, Copy)]
pub struct AirAt {
    /// The water in the room, its surface the room's own.
    pub water: Immersion,
    /// Air over it, m³ at its own pressure.
    pub air_m3: f64,
}

impl KeptAir {
    /// A room with so much air, m³ at the pressure of the atmosphere, which is given
    /// as a column of the water, m.
    #[must_use]
    pub fn new(room: Displacers, air_m3: f64, atmosphere_m: f64) -> Self {
        Self {
            room,
            air_m3,
            atmosphere_m,
        }
    }

    /// The air at the pressure of the atmosphere, m³.
    #[must_use]
    pub fn air_m3(&self) -> f64 {
        self.air_m3
    }

    /// How far the room's boxes reach along a direction: least and greatest, m.
    pub(super) fn reach_m(&self, direction: &Vec3) -> Option<(f64, f64)> {
        self.room.reach_m(direction)
    }

    /// The water in the room when it is as high as outside but for the air, m³.
    pub(super) fn water_at_most_m3(&self) -> f64 {
        self.room.volume_m3() - self.air_m3
    }

    /// Water and air with the sea at `outside`: Boyle's law solved for the level, a
    /// [`rising_root`]. No water where the room lies so high that
    /// its air would grow past it.
    #[must_use]
    pub fn at(&self, outside: &WaterPlane) -> AirAt {
        let up = outside.up;
        let whole_m3 = self.room.volume_m3();
        let (low, top) = self.room.reach_m(&up).unwrap_or_default();
        let vacuum = outside.level_m + self.atmosphere_m;
        let high = top.min(vacuum);
        let boyle_m3 = |level_m: f64| {
            let pressure_m = (vacuum - level_m).max(f64::MIN_POSITIVE);
            (self.atmosphere_m * self.air_m3 / pressure_m, pressure_m)
        };
        let under = |level_m: f64| self.room.immerse(&WaterPlane { up, level_m });
        if whole_m3 <= boyle_m3(low).0 {
            return AirAt {
                water: under(low),
                air_m3: whole_m3,
            };
        }
        // Where the air would lie were it not pressed together.
        let share = 1.0 - self.air_m3 / whole_m3;
        let start = (low + (high - low) * share).clamp(low, high);
        let is_done = |found: &Look<_>, _| found.off.abs() <= VOLUME_WITHIN * whole_m3;
        let look = |level_m: f64| {
            let (water, (air_m3, pressure_m)) = (under(level_m), boyle_m3(level_m));
            Look {
                off: -(whole_m3 - water.volume_m3 - air_m3),
                slope: water.waterplane.area_m2 + air_m3 / pressure_m,
                state: water,
            }
        };
        let water = rising_root([low, high], start, MOST_STEPS, is_done, look).state;
        AirAt {
            air_m3: (whole_m3 - water.volume_m3).max(0.0),
            water,
        }
    }

    /// The water in the room as it answers to the level outside, and the energy stored in
    /// its air, m⁴.
    ///
    /// With `w` the area of the room's surface and its first moments, the air's
    /// stiffness `k = H A / a²` joins the energy's second derivatives as
    /// `k/(1 + k area) w wᵀ`: where the sea moves, the room's level follows only so
    /// far as the air gives way (minimum of the energy over the level inside). So the
    /// room's surface counts as that much smaller. The energy of the air over that at
    /// the pressure of the atmosphere is `H A ln(A/a) − H (A − a)`.
    pub(super) fn water(&self, outside: &WaterPlane) -> (Immersion, f64) {
        let AirAt { mut water, air_m3 } = self.at(outside);
        let stored = self.atmosphere_m * self.air_m3;
        let surface = &mut water.waterplane;
        let area = surface.area_m2;
        let give = stored / (air_m3 * air_m3 + stored * area);
        if give.is_finite() {
            let [fu, fv] = surface.first_m3;
            surface.area_m2 -= give * area * area;
            surface.first_m3 = [fu - give * area * fu, fv - give * area * fv];
            let [uu, uv, vv] = surface.second_m4;
            surface.second_m4 = [
                uu - give * fu * fu,
                uv - give * fu * fv,
                vv - give * fv * fv,
            ];
        }
        let energy_m4 = if air_m3 > 0.0 && self.air_m3 > 0.0 {
            stored * (self.air_m3 / air_m3).ln() - self.atmosphere_m * (self.air_m3 - air_m3)
        } else {
            0.0
        };
        // Moments are taken about the room's own point; the list shifts them.
        water.plane.level_m = outside.level_m;
        (water, energy_m4)
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::equilibrium::{Craft, Liquid};
    use crate::immersion::MomentTree;
    use crate::mesh::solids;

    fn tree(lo: [f64; 3], hi: [f64; 3]) -> Arc<MomentTree> {
        Arc::new(MomentTree::new(
            &solids::cuboid(Vec3::from(lo), Vec3::from(hi)),
            &[],
        ))
    }

    /// Diving bell: a box 1 × 1 × 2 m, mouth down at z = 0, full of air at the
    /// surface. Boyle: with the mouth at depth d and x of air left above the water,
    /// (H + d − (2 − x)) x = 2 H. Solved as a quadratic.
    #[test]
    fn a_diving_bell_holds_the_air_that_boyle_says() {
        let h = 10.3;
        let bell = KeptAir::new(
            Displacers::envelope(tree([0.0; 3], [1.0, 1.0, 2.0])),
            2.0,
            h,
        );
        for depth in [0.1, 2.0, 5.0, 40.0] {
            let b: f64 = h + depth - 2.0;
            let want = ((b * b + 8.0 * h).sqrt() - b) / 2.0;
            let outside = WaterPlane {
                up: Vec3::z(),
                level_m: depth,
            };
            let at = bell.at(&outside);
            assert!((at.air_m3 - want).abs() < 1e-11, "{depth}: {}", at.air_m3);
            assert!((at.water.plane.level_m - (2.0 - want)).abs() < 1e-11);
        }
        // Out of the water it is dry.
        let out = bell.at(&WaterPlane {
            up: Vec3::z(),
            level_m: -0.5,
        });
        assert!(out.water.volume_m3.abs() < 1e-14 && out.air_m3 == 2.0);
    }

    /// Slope and curvature are those of the energy: differences of both, step 1e-5,
    /// at a tilt, with a room off the middle. (Definition of a derivative; the
    /// difference's own error goes with the square of the step.)
    #[test]
    fn slopes_and_curvature_are_those_of_the_energy() {
        let mut displacers = Displacers::envelope(tree([-2.0, -0.5, 0.0], [2.0, 0.5, 0.6]));
        let room = Displacers::envelope(tree([0.7, -0.4, 0.05], [1.9, 0.45, 0.5]));
        displacers.keep_air(KeptAir::new(room, 0.35, 10.3));
        slopes_are_of_the_energy(&Craft {
            displacers,
            mass_kg: 900.0,
            centre_of_gravity_m: Vec3::new(0.1, 0.02, 0.2),
            density_kg_m3: 1000.0,
            liquids: Vec::new(),
        });
    }

    /// The same of air that loose water shuts in: a wing beside the room that it runs from.
    #[test]
    fn so_they_are_with_air_that_loose_water_shuts_in() {
        let mut space = Displacers::envelope(tree([-1.9, -0.45, 0.05], [1.9, 0.1, 0.55]));
        let wing = Displacers::envelope(tree([-1.9, 0.1, 0.05], [1.9, 0.45, 0.55]));
        space.under_air(KeptAir::new(wing, 0.6, 10.3));
        slopes_are_of_the_energy(&Craft {
            displacers: Displacers::envelope(tree([-2.0, -0.5, 0.0], [2.0, 0.5, 0.6])),
            mass_kg: 500.0,
            centre_of_gravity_m: Vec3::new(0.1, 0.02, 0.2),
            density_kg_m3: 1000.0,
            liquids: vec![Liquid {
                space,
                volume_m3: 0.45,
                stands_in: None,
                relative_density: 1.0,
                surface_near_m: None,
            }],
        });
    }

    fn slopes_are_of_the_energy(craft: &Craft) {
        let start = WaterPlane {
            up: Vec3::new(0.06, 0.1, 1.0).normalize(),
            level_m: 0.33,
        };
        let here = craft.energy_at(&start);
        let axes = start.axes();
        let reference = here.immersion.reference_m;
        let step = 1e-5;
        let moved = |which: usize, by: f64| {
            let (level, tilt) = match which {
                0 => (by, Vec3::zeros()),
                1 => (0.0, axes.forward),
                _ => (0.0, axes.port),
            };
            let up = (start.up * by.cos() + tilt * by.sin()).normalize();
            let up = if which == 0 { start.up } else { up };
            WaterPlane {
                up,
                level_m: -start.height_m(&reference) + level + up.dot(&reference),
            }
        };
        for which in 0..3 {
            let (forth, back) = (
                craft.energy_at(&moved(which, step)),
                craft.energy_at(&moved(which, -step)),
            );
            let slope = (forth.energy_m4 - back.energy_m4) / (2.0 * step);
            assert!((slope - here.slope[which]).abs() < 1e-9, "slope {which}");
            let bend = (forth.energy_m4 + back.energy_m4 - 2.0 * here.energy_m4) / (step * step);
            let want = here.curvature[(which, which)];
            assert!((bend - want).abs() < 2e-4 * want.abs().max(1.0), "{which}");
            let levels = (forth.slope[0] - back.slope[0]) / (2.0 * step);
            let want = here.curvature[(0, which)];
            assert!((levels - want).abs() < 1e-6, "level against {which}");
        }
    }
}
