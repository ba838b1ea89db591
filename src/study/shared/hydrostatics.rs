//! The quantities of a body under one water plane, as every study shows them.
use schemars::JsonSchema;
use serde::Serialize;

use crate::boat::Boat;
use crate::immersion::{Immersion, WaterPlane};
use crate::numerics::Vec3;

/// What a water plane cuts from a body. Points are `[x, y, z]` in the boat
/// frame (x forward, y to port, z up); `null` in JSON where nothing is cut.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct Hydrostatics {
    /// Heel of the plane, starboard down positive, deg.
    pub heel_deg: f64,
    /// Pitch of the plane, bow up positive, deg.
    pub pitch_deg: f64,
    /// Where the plane cuts the boat's z axis, m; `None` where it misses it, as
    /// with a craft on its side.
    pub waterline_height_m: Option<f64>,
    /// Volume under the plane, m³.
    pub displaced_volume_m3: f64,
    /// Mass of that volume of water, kg.
    pub displacement_kg: f64,
    /// Centroid of that volume, m.
    pub centre_of_buoyancy_m: Option<[f64; 3]>,
    /// Area that the plane cuts from the body, m².
    pub waterplane_area_m2: f64,
    /// Centroid of that area, m.
    pub centre_of_flotation_m: Option<[f64; 3]>,
    /// Second moment of that area that resists heel, about the centre of
    /// flotation, m⁴.
    pub second_moment_transverse_m4: f64,
    /// Second moment of that area that resists pitch, about the centre of
    /// flotation, m⁴.
    pub second_moment_longitudinal_m4: f64,
    /// Area of skin under the plane, m².
    pub wetted_area_m2: f64,
    /// Centroid of that skin, m.
    pub wetted_centroid_m: Option<[f64; 3]>,
    /// Second moment over volume: metacentre over centre of buoyancy, m.
    pub metacentric_radius_transverse_m: Option<f64>,
    /// The same for pitch, m.
    pub metacentric_radius_longitudinal_m: Option<f64>,
}

impl Hydrostatics {
    /// The quantities of an immersion in water of a density, kg/m³.
    #[must_use]
    pub fn of(immersion: &Immersion, density_kg_m3: f64) -> Self {
        let second = immersion.second_moments();
        let volume = immersion.volume_m3;
        let radius = |moment: f64| (volume > 0.0).then(|| moment / volume);
        Self {
            heel_deg: immersion.plane.heel_deg(),
            pitch_deg: immersion.plane.pitch_deg(),
            waterline_height_m: immersion.plane.waterline_height_m(),
            displaced_volume_m3: volume,
            displacement_kg: volume * density_kg_m3,
            centre_of_buoyancy_m: immersion.centre_of_buoyancy_m().map(coordinates),
            waterplane_area_m2: immersion.waterplane.area_m2,
            centre_of_flotation_m: immersion.centre_of_flotation_m().map(coordinates),
            second_moment_transverse_m4: second.transverse_m4,
            second_moment_longitudinal_m4: second.longitudinal_m4,
            wetted_area_m2: immersion.wetted_area_m2,
            wetted_centroid_m: immersion.wetted_centroid_m().map(coordinates),
            metacentric_radius_transverse_m: radius(second.transverse_m4),
            metacentric_radius_longitudinal_m: radius(second.longitudinal_m4),
        }
    }

    /// Heights of the metacentres for heel and pitch over a height in the boat, m.
    pub(in crate::study) fn metacentres_over(&self, base_z_m: f64) -> Option<[f64; 2]> {
        let buoyancy_m = self.centre_of_buoyancy_m?[2] - base_z_m;
        Some([
            buoyancy_m + self.metacentric_radius_transverse_m?,
            buoyancy_m + self.metacentric_radius_longitudinal_m?,
        ])
    }
}

/// A point as the plain array that results hold.
pub(in crate::study) fn coordinates(point: Vec3) -> [f64; 3] {
    point.into()
}

/// Depth of the base line at the forward and the after draught mark, m.
#[must_use]
pub fn draughts_m(boat: &Boat, plane: &WaterPlane) -> [f64; 2] {
    [boat.marks.forward_x_m, boat.marks.aft_x_m]
        .map(|x| -plane.height_m(&Vec3::new(x, 0.0, boat.marks.base_z_m)))
}
