//! The answer: one sentence, the nearest sill, and the weaker of lean and knock.
use super::shown::Attitude;
use super::state::ViewerState;
use crate::boat::Verdict;
use crate::numerics::Vec3;
use crate::present::{Lying, lolls, sinks};
use crate::quantity::{Dimension, show};
use crate::study::{Lies, OpeningVerdict, direction_in_words};

/// How the boat lies and how near the water stands to its lowest way in.
#[must_use]
pub fn sentence(state: &ViewerState) -> String {
    let (readings, units) = (state.readings(), state.units);
    if !readings.floats {
        return sinks(readings.mass_kg, readings.capacity_kg, units);
    }
    let under = readings.openings.iter();
    let under = under.filter(|o| o.verdict == OpeningVerdict::UnderWater);
    let under: Vec<&str> = under.map(|o| o.name.as_str()).collect();
    let told = if under.is_empty() {
        let sill = &state.subject().boat.yardsticks.sill;
        let lying = Lying {
            lies: Lies::at(&readings.plane.up),
            heel_deg: readings.plane.heel_deg(),
            pitch_deg: readings.plane.pitch_deg(),
            openings: &readings.openings,
            sill_limits: &[sill.red.value, sill.green.value],
            lolls: state.upright_gm_m().map_or("", |[across_m, along_m]| {
                lolls(across_m > 0.0 && along_m > 0.0, across_m)
            }),
        };
        lying.sentence(units)
    } else {
        format!(
            "IT FILLS: the water stands over the sill of {}.",
            under.join(", ")
        )
    };
    match state.attitude() {
        _ if state.looks_back() => format!("As it was: {told}"),
        Attitude::Afloat => told,
        Attitude::Held(_) => format!("Held by hand: {told}"),
        Attitude::Film(_) => format!("Filling: {told}"),
    }
}

/// The weaker of lean and knock, with its verdict; `None` while neither is known. A tie is
/// the lean's.
#[must_use]
pub fn weaker(state: &ViewerState) -> Option<(String, Option<Verdict>)> {
    if state.looks_back() {
        return None;
    }
    let boat = &state.subject().boat;
    let mut openings = state.readings().openings.iter();
    if openings.any(|o| o.verdict == OpeningVerdict::UnderWater) {
        let told = "It takes no lean and no knock: water comes in as it lies.".to_owned();
        return Some((told, Some(Verdict::Fail)));
    }
    let (lean, is_now) = state.worst()?;
    let (knock, _) = state.least_knock()?;
    let name = |number: usize| boat.openings.get(number).map_or("", |o| &o.name);
    let lean = lean.as_ref().map(|lean| {
        let then = match lean.opening {
            Some(number) => format!("brings {} to the water", name(number)),
            None => "turns it over".to_owned(),
        };
        let text = format!(
            "A lean of {} {} {then}",
            show(lean.lean_deg, Dimension::Angle, state.units),
            direction_in_words(lean.bearing_deg)
        );
        (text, boat.yardsticks.tilt.verdict(lean.lean_deg))
    });
    let knock = knock.as_ref().map(|knock| {
        let then = if knock.turns_over {
            "turns it over".to_owned()
        } else {
            format!("brings {} to the water", name(knock.opening))
        };
        let text = format!(
            "A knock of {} {then}",
            show(knock.work_j, Dimension::Energy, state.units)
        );
        (text, boat.yardsticks.energy.verdict(knock.work_j))
    });
    let weaker = lean
        .into_iter()
        .chain(knock)
        .min_by_key(|(_, verdict)| *verdict);
    let still = if is_now {
        ""
    } else {
        " (before the change …)"
    };
    Some(match weaker {
        Some((text, verdict)) => {
            let text = format!("{text}: {}.{still}", verdict.word());
            (text, Some(verdict))
        }
        None => (format!("No lean or knock brings water in.{still}"), None),
    })
}

/// From the nearest sill straight to the water, boat frame, m.
#[must_use]
pub fn to_the_water(state: &ViewerState) -> Option<[Vec3; 2]> {
    let readings = state.readings();
    let lowest = readings.lowest().filter(|_| readings.floats)?;
    let openings = &state.subject().boat.openings;
    let opening = openings.iter().find(|o| o.name == lowest.name)?;
    let up = readings.plane.up;
    let sill = opening.sill_m(&up);
    Some([sill, sill - up * readings.plane.height_m(&sill)])
}
