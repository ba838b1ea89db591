//! What a craft at rest does, in a sentence.
use super::super::say::Say;
use super::super::words::capsize;
use super::super::yardsticks::{To, limits};
use crate::quantity::UnitSystem;
use crate::study::{FloatResult, Lies, OpeningResult, OpeningVerdict};

/// The one sentence at the top.
pub(super) fn summary(result: &FloatResult, units: UnitSystem) -> String {
    let say = Say(units);
    let Some(rest) = &result.rest else {
        return sinks(result.mass_kg, result.capacity_kg, units);
    };
    let is_under = |o: &OpeningResult| o.verdict == OpeningVerdict::UnderWater;
    if result.openings.iter().any(is_under) {
        return capsize(rest.lies).unwrap_or_default(); // that it fills is said first
    }
    let lying = Lying {
        lies: rest.lies,
        heel_deg: rest.hydrostatics.heel_deg,
        pitch_deg: rest.hydrostatics.pitch_deg,
        openings: &result.openings,
        sill_limits: &limits(&result.yardsticks, To::Sill),
        lolls: lolls(rest.stable, rest.upright.gm_transverse_m),
    };
    lying.in_words(say)
}

/// Said last of a craft that does not stay upright; else empty. The metacentric height is
/// that across, held upright.
pub(crate) fn lolls(is_stable: bool, across_m: f64) -> &'static str {
    if is_stable {
        ""
    } else if across_m.abs() < 0.5 * MILLIMETRE_M {
        " Nothing holds it upright: its metacentric height across is nought, so it rolls freely."
    } else {
        " It does not stay upright by itself: this is where it ends up."
    }
}

/// Of a craft that is heavier than all that it can displace.
pub(crate) fn sinks(mass_kg: f64, capacity_kg: f64, units: UnitSystem) -> String {
    let [mass, capacity] = [mass_kg, capacity_kg].map(|kg| Say(units).kg(kg, 1));
    format!(
        "IT SINKS: {mass} to carry, but closed tight and wholly under water it holds up only {capacity}."
    )
}

/// A craft at rest with no sill under water, as far as its sentence goes.
pub(crate) struct Lying<'a> {
    pub(crate) lies: Lies,
    pub(crate) heel_deg: f64,
    pub(crate) pitch_deg: f64,
    pub(crate) openings: &'a [OpeningResult],
    /// Limits of a sill's height, m: no rounding may contradict the verdict.
    pub(crate) sill_limits: &'a [f64],
    /// Said last of one that does not stay upright; else empty.
    pub(crate) lolls: &'a str,
}

impl Lying<'_> {
    pub(super) fn in_words(&self, say: Say) -> String {
        let lowest = self
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
                millimetres(height, self.sill_limits, say)
            )
        });
        if let Some(capsizes) = capsize(self.lies) {
            return match way_in {
                Some(way_in) => format!("{capsizes} There {way_in}."),
                None => format!(
                    "{capsizes} There is no way in: {}.",
                    none_open(self.openings)
                ),
            };
        }
        let attitude = attitude_in_words(self.heel_deg, self.pitch_deg);
        match way_in.zip(lowest) {
            Some((way_in, (opening, _))) => format!(
                "It floats {attitude}; {way_in}: {}.{}",
                opening.verdict.word(),
                self.lolls
            ),
            None => format!(
                "It floats {attitude}; {}.{}",
                none_open(self.openings),
                self.lolls
            ),
        }
    }
}

fn none_open(openings: &[OpeningResult]) -> &'static str {
    if openings.is_empty() {
        "no opening is given"
    } else {
        "every opening is covered"
    }
}

/// One millimetre, m.
const MILLIMETRE_M: f64 = 1e-3;

/// A height in whole millimetres, in tenths under one: nought is never said of
/// what is above the water.
fn millimetres(height_m: f64, limits: &[f64], say: Say) -> String {
    match height_m / MILLIMETRE_M {
        small if small < 0.05 => format!("less than {}", say.tenths_of_mm(0.1 * MILLIMETRE_M)),
        small if small < 1.0 => say.tenths_of_mm(height_m),
        _ => say.mm_beside(height_m, limits),
    }
}

/// Heel and pitch as a person at the water's edge would say them.
fn attitude_in_words(heel_deg: f64, pitch_deg: f64) -> String {
    const LEVEL_WITHIN_DEG: f64 = 0.1;
    let pitch = match pitch_deg {
        p if p > LEVEL_WITHIN_DEG => Some(format!("{p:.1}° down by the stern")),
        p if p < -LEVEL_WITHIN_DEG => Some(format!("{:.1}° down by the bow", -p)),
        _ => None,
    };
    let heel = match heel_deg {
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
