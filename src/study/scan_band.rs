//! What an error of the scanned surface does to the answer.
use serde::Serialize;

use super::hydrostatics::Hydrostatics;

/// The band that a surface wrong by the same amount all over leaves.
///
/// To first order a surface moved by `e` along its normal encloses
/// `e · wetted area` more under the same water plane, and at the same mass
/// floats `e · wetted area / waterplane area` higher. Errors that are as often
/// in as out cancel; those of scale and of a scanner's offset do not, and this
/// is the band for them.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ScanBand {
    /// Stated error of the surface, ± m.
    pub surface_error_m: f64,
    /// Displaced volume at this water plane, ± m³.
    pub volume_m3: f64,
    /// The same as mass that can be carried, ± kg.
    pub mass_kg: f64,
    /// Every freeboard at this mass, ± m.
    pub freeboard_m: f64,
}

impl ScanBand {
    /// The band at rest.
    #[must_use]
    pub fn at_rest(surface_error_m: f64, rest: &Hydrostatics, density_kg_m3: f64) -> Self {
        let volume_m3 = surface_error_m * rest.wetted_area_m2;
        Self {
            surface_error_m,
            volume_m3,
            mass_kg: volume_m3 * density_kg_m3,
            freeboard_m: if rest.waterplane_area_m2 > 0.0 {
                volume_m3 / rest.waterplane_area_m2
            } else {
                0.0
            },
        }
    }
}
