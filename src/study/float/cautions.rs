//! What to be wary of in a craft at rest.
use super::super::shared::cautions::{
    Caution, Doing, LeftOut, When, WithoutVolume, nobody_marked, under_water, with_usual,
};
use super::{FloatResult, OpeningResult, OpeningVerdict};
use crate::boat::Boat;
use crate::immersion::WaterPlane;

pub(super) fn cautions(
    boat: &Boat,
    result: &FloatResult,
    plane: Option<&WaterPlane>,
) -> Vec<Caution> {
    let mut own = Vec::new();
    if let Some(rest) = result.rest.as_ref().filter(|rest| !rest.stable) {
        let gm_transverse_m = rest.upright.gm_transverse_m;
        let gm_longitudinal_m = rest.upright.gm_longitudinal_m;
        own.push(if gm_transverse_m > 0.0 && gm_longitudinal_m > 0.0 {
            Caution::WeightTurnsItOver {
                gm_transverse_m,
                gm_longitudinal_m,
            }
        } else {
            Caution::UnstableUpright {
                gm_transverse_m,
                gm_longitudinal_m,
            }
        });
    }
    own.extend(under_water([(When::AtRest, result.heads.as_slice())]));
    for opening in &result.openings {
        if opening.verdict == OpeningVerdict::UnderWater && result.floats {
            own.push(Caution::SillUnderWater {
                opening: opening.name.clone(),
            });
        }
    }
    own.extend(near_the_limit(boat, result));
    own.extend(nobody_marked(boat, LeftOut::Everything));
    own.extend(plane.and_then(|plane| hang_without_volume(boat, plane)));
    with_usual(own, boat, Doing::Floating)
}

/// Things whose middle lies under water outside the envelope, and whose volume the
/// file does not give.
fn hang_without_volume(boat: &Boat, plane: &WaterPlane) -> Option<Caution> {
    let names = boat
        .aboard()
        .filter(|entry| entry.solid_m3.is_none() && entry.skin_of.is_none())
        .filter(|entry| plane.height_m(&entry.centre_m) < 0.0)
        .filter(|entry| !boat.envelope.encloses(&entry.centre_m))
        .map(|entry| entry.name.as_str());
    Caution::without_volume(names, WithoutVolume::HangsOutside)
}

/// Openings whose verdict the scan's error could turn into a failed one.
fn near_the_limit(boat: &Boat, result: &FloatResult) -> Option<Caution> {
    let limit_m = boat.yardsticks.sill.red.value;
    let near: Vec<&OpeningResult> = result
        .openings
        .iter()
        .filter(|o| matches!(o.verdict, OpeningVerdict::Marginal | OpeningVerdict::Clear))
        .filter(|o| {
            o.freeboard_m
                .zip(o.freeboard_error_m)
                .is_some_and(|(h, error)| h - error < limit_m)
        })
        .collect();
    let error_m = near.iter().filter_map(|o| o.freeboard_error_m);
    let freeboard_error_m = error_m.fold(0.0, f64::max);
    (!near.is_empty()).then(|| Caution::ScanErrorAtTheLimit {
        surface_error_m: result.scan_band.map(|band| band.surface_error_m),
        freeboard_error_m,
        openings: near.iter().map(|o| o.name.clone()).collect(),
        limit_m,
    })
}
