//! What an error of the scanned surface does to the answer.
use schemars::JsonSchema;
use serde::Serialize;

use super::hydrostatics::Hydrostatics;
use crate::boat::Boat;

/// The band that a surface wrong by the same amount all over leaves.
///
/// To first order a surface moved by `e` along its normal encloses
/// `e · wetted area` more under the same water plane, and at the same mass
/// floats `e · wetted area / waterplane area` higher. Errors that are as often
/// in as out cancel; those of scale and of a scanner's offset do not, and this
/// is the band for them.
#[derive(Debug, Clone, Copy, PartialEq, JsonSchema, Serialize)]
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

/// How far heel and pitch at rest may be off by the scan, ± deg; `None` where the file
/// states neither `tilt_error` nor `scan_error`.
///
/// To first order, near upright. A frame that is turned from the hull's own by an angle
/// carries the metacentre aside by the angle times its height over the base, and what is
/// aboard stays: the craft leans by that over GM. A surface moved by `e` along its normal
/// lifts by `e · wetted area` at the middle of that, and at the same mass the waterplane
/// takes as much off at its own middle: the couple leans the craft by its arm over the
/// volume and GM. An origin that lies aside or aft of the hull's own by a length leans it by
/// that over GM, and one that lies higher by that times the sine of its lean: all aboard is
/// measured from there.
pub(in crate::study) fn lean_errors_deg(
    boat: &Boat,
    rest: &Hydrostatics,
    gm_m: [f64; 2],
) -> Option<[f64; 2]> {
    leans_deg(
        boat,
        rest,
        gm_m,
        rest.metacentres_over(boat.marks.base_z_m)?,
    )
}

/// How far a sill may lie higher or lower, ± m, since the frame's ± leans the craft in the
/// water: one that is turned carries what is aboard aside by the angle times its height, and
/// a sill turns about the centre of flotation. Nought where the frame has no ±.
pub(in crate::study) fn leans_a_sill_m(
    boat: &Boat,
    rest: &Hydrostatics,
    gm_m: [f64; 2],
    sill_m: [f64; 3],
) -> f64 {
    let over_base_m = boat.centre_of_gravity_m().z - boat.marks.base_z_m;
    let leans = leans_deg(boat, rest, gm_m, [over_base_m; 2]).filter(|_| boat.tilt_error.is_some());
    let (Some([heel, pitch]), Some(about)) = (leans, rest.centre_of_flotation_m) else {
        return 0.0;
    };
    let rolls_m = heel.to_radians() * (sill_m[1] - about[1]);
    let pitches_m = pitch.to_radians() * (sill_m[0] - about[0]);
    rolls_m.hypot(pitches_m)
}

/// By the heights, m, that a turned frame carries aside.
fn leans_deg(
    boat: &Boat,
    rest: &Hydrostatics,
    gm_m: [f64; 2],
    heights_m: [f64; 2],
) -> Option<[f64; 2]> {
    if boat.tilt_error.is_none() && boat.scan_error_m.is_none() {
        return None;
    }
    let frame = boat.tilt_error.unwrap_or_default();
    let (wet, flotation) = (rest.wetted_centroid_m?, rest.centre_of_flotation_m?);
    let arms_m = [wet[1] - flotation[1], wet[0] - flotation[0]];
    let moved_m3 = boat.scan_error_m.unwrap_or(0.0) * rest.wetted_area_m2;
    let [fore_m, aside_m, up_m] = frame.origin_m;
    let error = |k: usize, frame_deg: f64, shift_m: f64, lean_deg: f64| {
        let levers_m = [
            frame_deg.to_radians() * heights_m[k],
            moved_m3 * arms_m[k] / rest.displaced_volume_m3,
            shift_m,
            up_m * lean_deg.to_radians().sin(),
        ];
        let lever_m = levers_m.into_iter().fold(0.0, f64::hypot);
        (lever_m / gm_m[k]).to_degrees()
    };
    Some([
        error(0, frame.heel_deg, aside_m, rest.heel_deg),
        error(1, frame.pitch_deg, fore_m, rest.pitch_deg),
    ])
}
