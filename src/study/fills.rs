//! What every study says first of a craft that fills as it lies, and why nothing comes
//! into one that does not.
use super::attitude::Lies;
use crate::boat::Boat;
use crate::equilibrium::Afloat;
use crate::immersion::WaterPlane;

/// The openings under water at rest, in a sentence; `None` where there are none.
pub(super) fn fills_as_it_lies(boat: &Boat, at_rest: &WaterPlane) -> Option<String> {
    let under = boat.openings.iter().filter(|opening| {
        opening.lets_water_in() && at_rest.height_m(&opening.sill_m(&at_rest.up)) <= 0.0
    });
    let names: Vec<&str> = under.map(|opening| opening.name.as_str()).collect();
    (!names.is_empty()).then(|| {
        format!(
            "IT FILLS: at rest the water stands over the sill of {}. The numbers below hold only if that is sealed.",
            names.join(", ")
        )
    })
}

/// A study's summary behind that sentence, where there is one to say; a capsize stands
/// before both.
pub(super) fn told_first(boat: &Boat, at_rest: &WaterPlane, summary: String) -> String {
    let capsizes = Lies::at(&at_rest.up).capsize();
    let fills = fills_as_it_lies(boat, at_rest);
    let mut rest = summary.as_str();
    for known in capsizes.iter().chain(&fills) {
        rest = rest
            .strip_prefix(known.as_str())
            .unwrap_or(rest)
            .trim_start();
    }
    let first = capsizes.iter().chain(&fills).map(String::as_str);
    let told: Vec<&str> = first
        .chain([rest])
        .filter(|text| !text.is_empty())
        .collect();
    told.join(" ")
}

/// As [`told_first`], of a study that does not float the craft as it is; what sinks has
/// no rest and is told by the study, and of a hull without a mass none is known.
pub(super) fn told_first_at_rest(afloat: &Afloat<'_>, summary: String) -> String {
    let boat = afloat.boat();
    match afloat.rest() {
        Ok(rest) if boat.has_hull_mass => told_first(boat, rest.plane(), summary),
        _ => summary,
    }
}

/// Why no water comes in where no opening lets it.
pub(super) fn why_none_open(boat: &Boat) -> &'static str {
    if boat.openings.is_empty() {
        "the boat file has no opening"
    } else {
        "every opening is covered"
    }
}
