//! What the map means, and what it does not cover.
use super::super::cautions::CAUTIONS;
use super::{ClassAreas, DrillResult, HoleClass};
use crate::boat::Boat;

pub(super) fn summary(result: &DrillResult) -> String {
    let mm = |m: f64| m * 1e3;
    let cases: Vec<&str> = result.cases.iter().map(|case| case.name.as_str()).collect();
    let of_all = |of: &dyn Fn(&ClassAreas) -> f64| result.areas.iter().map(of).sum::<f64>();
    let (free, sealed) = (
        of_all(&|row| row.free_m2),
        of_all(&|row| row.only_if_sealed_m2),
    );
    let holds = match cases.as_slice() {
        [] | [_] => "Never".to_owned(),
        several => format!("In the worst of \"{}\": never", several.join("\" and \"")),
    };
    let low: Vec<String> = result
        .openings
        .iter()
        .filter(|opening| !opening.covered && opening.class != HoleClass::Free)
        .map(|opening| format!("{} ({})", opening.name, opening.class.word()))
        .collect();
    let openings = match low.as_slice() {
        [] if result.openings.is_empty() => String::new(),
        [] if result.openings.iter().all(|opening| opening.covered) => {
            " All openings are covered.".to_owned()
        }
        [] => " Every opening that is not covered lies in what is free.".to_owned(),
        low => format!(" Not in what is free: {}.", low.join(", ")),
    };
    format!(
        "{holds} under {:.0} mm over the water at rest, free above {:.0} mm and out of reach of a lean of {:.0}° any way; between them only if sealed. Free: {free:.2} m² of skin, only if sealed: {sealed:.2} m².{openings}",
        mm(result.never_under_m),
        mm(result.free_over_m),
        result.lean_deg
    )
}

pub(super) fn cautions(boat: &Boat, cases: usize) -> Vec<String> {
    let mut cautions = vec![
        "Free means only that still water does not reach a hole there in these cases: waves, wash, a knock or a heavier load do. Strength, what lies behind the skin, and foam or a compartment that a hole would open are not looked at.".to_owned(),
        "Sealed means a fitting that holds water out for good: a through-hull, a gland, a bolted cover on a gasket. A plug that can fall out is an opening.".to_owned(),
    ];
    if cases == 1 {
        cautions.push(
            "One loading condition only: give every load that the craft will carry (boat.toml#name, several at once), the heaviest and the most lopsided first of all.".to_owned(),
        );
    }
    cautions.extend(boat.cautions.iter().cloned());
    cautions.extend(CAUTIONS.iter().map(|&text| text.to_owned()));
    cautions
}
