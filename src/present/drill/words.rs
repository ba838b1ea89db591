//! What the map of holes means, in sentences.
use super::super::say::Say;
use super::super::words::fills;
use crate::quantity::{Metric, UnitSystem};
use crate::study::{ClassAreas, DrillResult, HoleClass};

/// What the map means.
pub(super) fn summary(result: &DrillResult, units: UnitSystem) -> String {
    let say = Say(units);
    let cases: Vec<&str> = result.cases.iter().map(|case| case.name.as_str()).collect();
    let of_all = |of: &dyn Fn(&ClassAreas) -> f64| result.areas.iter().map(of).sum::<f64>();
    let (free, sealed) = (
        of_all(&|row| row.free_m2),
        of_all(&|row| row.only_if_sealed_m2),
    );
    let holds = match cases.as_slice() {
        [] | [_] => "No hole".to_owned(),
        several => format!("In the worst of \"{}\": no hole", several.join("\" and \"")),
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
        [] => " Every opening that is not covered lies in the free area.".to_owned(),
        low => format!(" Not in the free area: {}.", low.join(", ")),
    };
    let fills = fills(&result.fills_through).map_or_else(String::new, |told| told + " ");
    let area = |m2| say.of(m2, Metric::SquareMetre, 2);
    format!(
        "{fills}{holds} below {} above the water at rest; free above {} and out of reach of a lean of {} any way; between them only if sealed. Free: {} of skin, only if sealed: {}.{openings}",
        say.limit(result.never_under_m, Metric::Millimetre),
        say.limit(result.free_over_m, Metric::Millimetre),
        say.limit(result.lean_deg, Metric::Degree),
        area(free),
        area(sealed)
    )
}
