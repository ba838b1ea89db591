//! What `float` says in words.
use super::super::cautions::CAUTIONS;
use super::super::heads::{nobody_marked, under_water};
use super::super::hydrostatics::Hydrostatics;
use super::{FloatResult, OpeningResult, OpeningVerdict, UprightResult};
use crate::boat::Boat;
use crate::immersion::WaterPlane;

/// The one sentence at the top.
pub(super) fn summary(result: &FloatResult) -> String {
    let Some(rest) = &result.rest else {
        return format!(
            "IT SINKS: {:.1} kg to carry, but closed tight and wholly under water it holds up only {:.1} kg.",
            result.mass_kg, result.capacity_kg
        );
    };
    let capsizes = rest.lies.capsize();
    let is_under = |o: &OpeningResult| o.verdict == OpeningVerdict::UnderWater;
    if result.openings.iter().any(is_under) {
        return capsizes.unwrap_or_default(); // that it fills is said first
    }
    let lowest = result
        .openings
        .iter()
        .filter(|o| o.verdict != OpeningVerdict::Covered)
        .filter_map(|o| o.freeboard_m.map(|height| (o, height)))
        .min_by(|a, b| a.1.total_cmp(&b.1));
    let way_in = lowest.map(|(opening, height)| {
        format!(
            "the lowest way in is {} ({}), {} over the water",
            opening.name,
            opening.place,
            millimetres(height)
        )
    });
    if let Some(capsizes) = capsizes {
        return match way_in {
            Some(way_in) => format!("{capsizes} There {way_in}."),
            None => format!("{capsizes} There is no way in: {}.", none_open(result)),
        };
    }
    let attitude = attitude_in_words(&rest.hydrostatics);
    let across_m = rest.upright.gm_transverse_m;
    let lolls = if rest.stable {
        ""
    } else if across_m.abs() < 0.5 * MILLIMETRE_M {
        " Nothing holds it upright: its metacentric height across is nought, so it rolls freely."
    } else {
        " It does not stay upright by itself: this is where it ends up."
    };
    match way_in.zip(lowest) {
        Some((way_in, (opening, _))) => format!(
            "It floats {attitude}; {way_in}: {}.{lolls}",
            opening.verdict.word()
        ),
        None => format!("It floats {attitude}; {}.{lolls}", none_open(result)),
    }
}

fn none_open(result: &FloatResult) -> &'static str {
    if result.openings.is_empty() {
        "no opening is given"
    } else {
        "every opening is covered"
    }
}

/// One millimetre, m.
const MILLIMETRE_M: f64 = 1e-3;

/// A height in whole millimetres, in tenths under one: nought is never said of
/// what is over the water.
fn millimetres(height_m: f64) -> String {
    match height_m / MILLIMETRE_M {
        small if small < 0.05 => "less than 0.1 mm".to_owned(),
        small if small < 1.0 => format!("{small:.1} mm"),
        height => format!("{height:.0} mm"),
    }
}

/// Heel and pitch as a person at the water's edge would say them.
fn attitude_in_words(at: &Hydrostatics) -> String {
    const LEVEL_WITHIN_DEG: f64 = 0.1;
    let pitch = match at.pitch_deg {
        p if p > LEVEL_WITHIN_DEG => Some(format!("{p:.1}° down by the stern")),
        p if p < -LEVEL_WITHIN_DEG => Some(format!("{:.1}° down by the bow", -p)),
        _ => None,
    };
    let heel = match at.heel_deg {
        h if h > LEVEL_WITHIN_DEG => Some(format!("heeled {h:.1}° to starboard")),
        h if h < -LEVEL_WITHIN_DEG => Some(format!("heeled {:.1}° to port", -h)),
        _ => None,
    };
    match (pitch, heel) {
        (None, None) => "level".to_owned(),
        (Some(one), None) | (None, Some(one)) => one,
        (Some(pitch), Some(heel)) => format!("{pitch} and {heel}"),
    }
}

pub(super) fn cautions(
    boat: &Boat,
    result: &FloatResult,
    plane: Option<&WaterPlane>,
) -> Vec<String> {
    let mut cautions = Vec::new();
    if let Some(rest) = result.rest.as_ref().filter(|rest| !rest.stable) {
        let UprightResult {
            gm_transverse_m: across,
            gm_longitudinal_m: along,
            ..
        } = rest.upright;
        cautions.push(if across > 0.0 && along > 0.0 {
            format!(
                "Weight off the middle turns it over: held upright its metacentric height is {across:.3} m across, {along:.3} m along, but that does not bring it back. Bring the weights to the middle."
            )
        } else {
            format!(
                "Held upright it is unstable: metacentric height across {across:.3} m, along {along:.3} m. Lower the weights or widen the waterplane."
            )
        });
    }
    cautions.extend(under_water([(
        "at rest".to_owned(),
        result.heads.as_slice(),
    )]));
    for opening in &result.openings {
        if opening.verdict == OpeningVerdict::UnderWater && result.floats {
            cautions.push(format!(
                "{}: the sill is under water at rest; the craft fills through it.",
                opening.name
            ));
        }
    }
    cautions.extend(near_the_limit(boat, result));
    cautions.extend(nobody_marked(
        boat,
        "no head is held against the water, nobody is moved off centre, and nobody leaves when it swamps",
    ));
    cautions.extend(plane.and_then(|plane| hang_without_volume(boat, plane)));
    cautions.extend(boat.cautions.iter().cloned());
    cautions.extend(CAUTIONS.iter().map(|&text| text.to_owned()));
    cautions
}

/// Things whose middle lies under water outside the envelope, and whose volume the
/// file does not give.
fn hang_without_volume(boat: &Boat, plane: &WaterPlane) -> Option<String> {
    let names: Vec<&str> = boat
        .aboard()
        .filter(|entry| entry.solid_m3.is_none() && entry.skin_of.is_none())
        .filter(|entry| plane.height_m(&entry.centre_m) < 0.0)
        .filter(|entry| !boat.envelope.encloses(&entry.centre_m))
        .map(|entry| entry.name.as_str())
        .collect();
    (!names.is_empty()).then(|| {
        format!(
            "Under water outside the hull, without a volume or density in the boat file: {}. They are counted as displacing nothing, so the craft floats higher than this; give `volume` and `size`.",
            names.join(", ")
        )
    })
}

/// Openings whose verdict the scan's error could turn into a failed one.
fn near_the_limit(boat: &Boat, result: &FloatResult) -> Option<String> {
    let limit_m = boat.yardsticks.sill.red.value;
    let near: Vec<&OpeningResult> = result
        .openings
        .iter()
        .filter(|o| matches!(o.verdict, OpeningVerdict::Narrow | OpeningVerdict::Clear))
        .filter(|o| {
            o.freeboard_m
                .zip(o.freeboard_error_m)
                .is_some_and(|(h, error)| h - error < limit_m)
        })
        .collect();
    let error_m = near.iter().filter_map(|o| o.freeboard_error_m);
    let most_m = error_m.fold(0.0, f64::max);
    let names: Vec<&str> = near.iter().map(|o| o.name.as_str()).collect();
    (!names.is_empty()).then(|| {
        let surface = result.scan_band.map_or_else(String::new, |band| {
            format!(" of ± {:.1} mm", band.surface_error_m * 1e3)
        });
        format!(
            "The scan's error{surface} is ± {:.0} mm of freeboard: {} could be under the limit of {:.0} mm.",
            most_m * 1e3,
            names.join(", "),
            limit_m * 1e3
        )
    })
}
