//! What was measured, in a sentence.
use super::super::say::Say;
use crate::quantity::{Metric, UnitSystem};
use crate::study::{CalibrateNote, CalibrateResult, Cost, Measurement};

/// What was measured, against the boat file.
pub(super) fn summary(result: &CalibrateResult, units: UnitSystem) -> String {
    let say = Say(units);
    let moved = |axis: usize| result.centre_of_gravity_m[axis] - result.centre_in_file_m[axis];
    let words = [
        ["forward", "aft"],
        ["to port", "to starboard"],
        ["above", "below"],
    ];
    let along = |axis: usize| {
        let spread = say.mm(result.centre_spread_m[axis]);
        if result.centre_measured[axis] {
            let way = words[axis][usize::from(moved(axis) < 0.0)];
            format!("{} {way} (± {spread})", say.mm(moved(axis).abs()))
        } else {
            let name = ["fore and aft", "side to side", "height"][axis];
            format!("{name} not measured (taken as ± {spread})")
        }
    };
    let doubt = match result.misfits.as_slice() {
        [] => String::new(),
        _ => format!(
            "DOUBT: the readings do not agree with each other within their ±; {} fits worst: read it again. Until then every ± here is {:.1} times as wide, and one wrong reading can still put the answer further off. ",
            misfits(result, units).join(" or "),
            result.widened
        ),
    };
    format!(
        "{doubt}Measured it weighs {} ({} against the boat file); balance, against the boat file: {}, {}, {}.",
        say.within(
            &[result.mass_kg, result.mass_spread_kg],
            " ± ",
            Metric::Kilogram,
            1
        ),
        more(result.mass_kg - result.mass_in_file_kg, say),
        along(0),
        along(1),
        along(2),
    )
}

/// A change with its sign.
fn more(kg: f64, say: Say) -> String {
    let sign = if kg.is_sign_negative() { '-' } else { '+' };
    format!("{sign}{}", say.kg(kg.abs(), 1))
}

/// The readings that agree least with the others.
pub(super) fn misfits(result: &CalibrateResult, units: UnitSystem) -> Vec<String> {
    let all = result.misfits.iter();
    all.map(|one| measurement(*one, Say(units))).collect()
}

/// What was measured.
pub(super) fn measurement(what: Measurement, say: Say) -> String {
    match what {
        Measurement::HeightAt(at_m) => format!("height above the water at {}", spot(at_m, say)),
        Measurement::AfterScale => "after scale".to_owned(),
        Measurement::ForeScale => "fore scale".to_owned(),
        Measurement::ForeScaleTipped(deg) => format!("fore scale, tipped by {deg:.1}°"),
        Measurement::HeelAfter {
            mass_kg,
            to_starboard_m,
        } => format!(
            "heel after {} moved {} to starboard",
            say.kg(mass_kg, 1),
            say.m(to_starboard_m, 2)
        ),
        Measurement::SinksAt { at_m, force_n } => format!(
            "sinks at {} pushed with {}",
            spot(at_m, say),
            say.of(force_n, Metric::Newton, 0)
        ),
    }
}

fn spot(at_m: [f64; 3], say: Say) -> String {
    say.within(&at_m, ", ", Metric::Metre, 2)
}

/// What to know or to doubt about it.
pub(super) fn notes(result: &CalibrateResult, units: UnitSystem) -> Vec<String> {
    result
        .notes
        .iter()
        .map(|one| note(one, Say(units)))
        .collect()
}

fn note(note: &CalibrateNote, say: Say) -> String {
    match note {
        CalibrateNote::DifferenceOnTheHull => "the difference is put on the hull; parts and items stay as the boat file has them, so measure with all of it aboard".to_owned(),
        CalibrateNote::HullCentreOutside(at_m) => format!(
            "DOUBT: the hull's centre of gravity would lie outside the hull, at {}: a measurement or an item's place is wrong",
            spot(*at_m, say)
        ),
        CalibrateNote::NotMeasured(axis) => format!(
            "nothing measured gives {axis} of the centre of gravity well enough: it stays as in the boat file, with the ± it has there"
        ),
        CalibrateNote::MarksClose {
            cost,
            one_more_at_m,
        } => {
            let [now, then] = cost_in_words(cost, say);
            format!(
                "DOUBT: the float marks lie close together or near one line: {now}; one more mark, near {}, makes that {then}",
                spot(*one_more_at_m, say)
            )
        }
        CalibrateNote::TippedTooLittle {
            by_deg,
            well_deg,
            cost,
        } => {
            let [now, then] = cost_in_words(cost, say);
            format!(
                "DOUBT: the boat was tipped by only {by_deg:.1}°: {now}; tipped by {well_deg:.0}° it is {then}"
            )
        }
        CalibrateNote::HeeledTooLittle {
            by_deg,
            well_deg,
            cost,
        } => {
            let [now, then] = cost_in_words(cost, say);
            format!(
                "DOUBT: the moves heel the boat by only {by_deg:.1}°: {now}; heavier or farther moves, to {well_deg:.0}°, make that {then}"
            )
        }
        CalibrateNote::MovesTakenAsExact { z_for_a_percent_m } => format!(
            "the weights moved are taken as exact: each % that they are off is {} of z; write \"10 kg ± 0.1 kg\" to have it counted",
            say.mm(*z_for_a_percent_m)
        ),
        CalibrateNote::ScanErrorLeftOut { error_m } => format!(
            "the mass by float marks is that of the mesh as scanned: its ± {} are not in the ± here; sills are not off by them where the craft floats as it was measured",
            say.mm(*error_m)
        ),
        CalibrateNote::NoReadingToSpare => "DOUBT: there are just as many readings as are needed, so that a misread one does not show: take one or two more".to_owned(),
        CalibrateNote::Misread { what, times } => format!(
            "DOUBT: {} is off by {times:.1} times its ±: read it again, or give a wider ±",
            measurement(*what, say)
        ),
    }
}

/// "y of the centre is known only within ± 48 mm", and what it would be.
fn cost_in_words(cost: &Cost, say: Say) -> [String; 2] {
    let show = |spread: f64| match cost.parameter {
        0 => format!("± {}", say.kg(spread, 1)),
        _ => format!("± {}", say.mm(spread)),
    };
    let what = [
        "the mass",
        "x of the centre",
        "y of the centre",
        "z of the centre",
    ][cost.parameter];
    [
        format!("{what} is known only within {}", show(cost.now)),
        show(cost.then),
    ]
}
