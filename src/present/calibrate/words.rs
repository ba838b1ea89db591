//! What was measured, in a sentence.
use super::super::say::Say;
use crate::quantity::{Metric, UnitSystem};
use crate::study::CalibrateResult;

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
        misfits => format!(
            "DOUBT: the readings do not agree with each other within their ±; {} fits worst: read it again. Until then every ± here is {:.1} times as wide, and one wrong reading can still put the answer further off. ",
            misfits.join(" or "),
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
