//! What a craft at rest does, in a sentence.
use super::super::say::Say;
use super::super::words::capsize;
use super::super::yardsticks::{To, limits};
use crate::quantity::UnitSystem;
use crate::study::{FloatResult, Hydrostatics, OpeningResult, OpeningVerdict};

/// The one sentence at the top.
pub(super) fn summary(result: &FloatResult, units: UnitSystem) -> String {
    let say = Say(units);
    let Some(rest) = &result.rest else {
        return format!(
            "IT SINKS: {} to carry, but closed tight and wholly under water it holds up only {}.",
            say.kg(result.mass_kg, 1),
            say.kg(result.capacity_kg, 1)
        );
    };
    let capsizes = capsize(rest.lies);
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
            "the lowest way in is {} ({}), {} above the water",
            opening.name,
            opening.place,
            millimetres(height, result, say)
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
/// what is above the water.
fn millimetres(height_m: f64, result: &FloatResult, say: Say) -> String {
    let limits = limits(&result.yardsticks, To::Sill);
    match height_m / MILLIMETRE_M {
        small if small < 0.05 => format!("less than {}", say.tenths_of_mm(0.1 * MILLIMETRE_M)),
        small if small < 1.0 => say.tenths_of_mm(height_m),
        _ => say.mm_beside(height_m, &limits),
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
