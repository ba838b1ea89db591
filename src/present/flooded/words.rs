//! What flooding means, in sentences.
use super::super::say::Say;
use super::super::yardsticks::{To, limits};
use crate::quantity::{Metric, UnitSystem};
use crate::study::{FloodedAir, FloodedCase, FloodedEnd, FloodedResult, Verdict, Yardstick};

/// The end of each single compartment flooded: sunk, lying over, where the water went.
pub(super) fn summary(result: &FloodedResult, units: UnitSystem) -> String {
    let singles: Vec<&FloodedCase> = result.singles().collect();
    let sealed = result.compartments.iter().filter(|space| space.sealed);
    let sealed: Vec<&str> = sealed.map(|space| space.name.as_str()).collect();
    let sinks = singles.iter().any(|case| !case.end.floats);
    let mut parts = ill(&singles, |names| format!("with {names} flooded"));
    if singles.is_empty() {
        parts.push("No compartment can flood: all are sealed".to_owned());
    } else if !singles
        .iter()
        .any(|case| !case.end.floats || case.end.lies_over())
    {
        let one = if sealed.is_empty() {
            "any one compartment"
        } else {
            "any one unsealed compartment"
        };
        parts.insert(0, format!("It stays afloat with {one} flooded"));
    }
    parts.extend(
        singles
            .iter()
            .filter_map(|case| fails(case, &result.yardsticks, Say(units))),
    );
    let spreading: Vec<String> = singles.iter().filter_map(|case| way_on(case)).collect();
    if !spreading.is_empty() {
        parts.push(format!("water goes on: {}", spreading.join("; ")));
    }
    let unsure = |case: &FloodedCase| case.end_floats_in_band[0] != case.end_floats_in_band[1];
    if let Some(names) = named(&singles, unsure) {
        parts.push(format!(
            "with {names} flooded it may float or sink, within the ± of the permeability"
        ));
    }
    let may_lie_over = |case: &FloodedCase| {
        let afloat = case.end.floats && !case.end.lies_over();
        let lies_over = |k: usize| case.end_floats_in_band[k] && !case.end_upright_in_band[k];
        afloat && (lies_over(0) || lies_over(1))
    };
    if let Some(names) = named(&singles, may_lie_over) {
        parts.push(format!(
            "with {names} flooded it MAY END ON ITS SIDE OR END, within the ± of the permeability"
        ));
    }
    if sinks && result.lacks_m3 > 0.0 {
        parts.push(format!(
            "wholly flooded with all aboard it lacks {} of solid or sealed volume to stay up",
            Say(units).some(result.lacks_m3, Metric::Litre, 0)
        ));
    }
    if !sealed.is_empty() {
        parts.push(format!("sealed and taken as tight: {}", sealed.join(", ")));
        let leaks: Vec<&FloodedCase> = result.if_it_leaks.iter().collect();
        parts.extend(ill(&leaks, |names| format!("if {names} leaks")));
    }
    parts.join("; ") + "."
}

/// The names of the cases that are so; `None` without any.
fn named(cases: &[&FloodedCase], so: impl Fn(&FloodedCase) -> bool) -> Option<String> {
    let found = cases.iter().filter(|case| so(case));
    let names: Vec<&str> = found.map(|case| case.name.as_str()).collect();
    (!names.is_empty()).then(|| names.join(", or "))
}

/// What ends ill: sunk, lying over, with openings under water and none dry left.
fn ill(cases: &[&FloodedCase], when: impl Fn(&str) -> String) -> Vec<String> {
    let mut parts = Vec::new();
    if let Some(names) = named(cases, |case| !case.end.floats) {
        parts.push(format!("IT SINKS {}", when(&names)));
    }
    if let Some(names) = named(cases, |case| case.end.lies_over()) {
        parts.push(format!("IT ENDS ON ITS SIDE OR END {}", when(&names)));
    }
    for case in cases.iter().filter(|case| !case.end.lies_over()) {
        if let Some(under) = case.end.swamped_under() {
            let when = when(&case.name);
            parts.push(format!("sill of {} UNDER WATER {when}", under.join(", ")));
        }
    }
    parts
}

/// What an end afloat fails by, its lean or its sill, and whether bungs cure it; a sill under
/// water is told apart.
fn fails(case: &FloodedCase, yardsticks: &[Yardstick], say: Say) -> Option<String> {
    let rest = case.end.rest.as_ref()?;
    let fails = case.end.verdict == Some(Verdict::Fail) && !case.end.lies_over();
    let [leans, sills] = [To::SwampedLean, To::SwampedSill].map(|to| limits(yardsticks, to));
    let by = if leans.iter().all(|limit| rest.lean_deg > *limit) {
        format!("it leans {}", say.deg_beside(rest.lean_deg, 0, &leans))
    } else {
        let sill_m = rest.sill_m.or(rest.rim_m).filter(|sill_m| *sill_m > 0.0)?;
        let height = say.mm_beside(sill_m, &sills);
        format!("its lowest sill is {height} above the water")
    };
    let bunged = case.with_bungs.as_ref();
    let bunged = bunged.filter(|end| end.verdict.is_some_and(|verdict| verdict > Verdict::Fail));
    let bungs = bunged.map_or("", |_| "; a bung in its passage cures it");
    fails.then(|| format!("it FAILS with {} flooded: {by}{bungs}", case.name))
}

/// "from bow it spreads to inside, then stern".
fn way_on(case: &FloodedCase) -> Option<String> {
    let stages: Vec<String> = case
        .end
        .steps
        .iter()
        .filter(|step| !step.reaches.is_empty())
        .map(|step| {
            let names = step.reaches.iter();
            let names: Vec<&str> = names.map(|next| next.compartment.as_str()).collect();
            names.join(" and ")
        })
        .collect();
    (!stages.is_empty()).then(|| {
        format!(
            "from {} it spreads to {}",
            case.name,
            stages.join(", then ")
        )
    })
}

/// What a vent or a bung changes, of single compartments.
pub(super) fn notes(result: &FloodedResult, units: UnitSystem) -> Vec<String> {
    let say = Say(units);
    let mut notes = Vec::new();
    for case in result.singles() {
        notes.extend(air(case, &result.yardsticks, say));
        notes.extend(bung(case, &result.yardsticks, say));
    }
    notes
}

fn air(case: &FloodedCase, yardsticks: &[Yardstick], say: Say) -> Option<String> {
    let other = case.other_end.as_ref()?;
    let (kept, lost) = match case.end.air {
        FloodedAir::Kept => (&case.end, other),
        FloodedAir::Lost => (other, &case.end),
    };
    let told = kept.air_kept.iter().map(|air| {
        format!(
            "{} in {}, its water {} lower than outside",
            say.litres(air.air_m3, 0),
            air.compartment,
            say.mm(air.under_outside_m)
        )
    });
    let told: Vec<String> = told.collect();
    let told = if told.is_empty() {
        "all of it gone in the end".to_owned()
    } else {
        told.join(", and ")
    };
    let vent = match case.end.air {
        FloodedAir::Lost => "A leak or a vent lets it out: do not rely on it",
        FloodedAir::Kept => "A vent at its highest point lets it out",
    };
    Some(format!(
        "With {} flooded and the trapped air kept ({told}) it {}; with that air gone it {}. {vent}.",
        case.name,
        ends(kept, yardsticks, say),
        ends(lost, yardsticks, say)
    ))
}

fn bung(case: &FloodedCase, yardsticks: &[Yardstick], say: Say) -> Option<String> {
    let bunged = case.with_bungs.as_ref()?;
    let mut through: Vec<&str> = Vec::new();
    for next in case.end.steps.iter().flat_map(|step| &step.reaches) {
        if !through.contains(&next.through.as_str()) {
            through.push(&next.through);
        }
    }
    Some(format!(
        "With {} flooded the water goes on through {}; with every passage stopped by a bung it {}.",
        case.name,
        through.join(", "),
        ends(bunged, yardsticks, say)
    ))
}

/// "ends afloat, heel 2°, pitch -3°, side hatch 40 mm above the water".
fn ends(end: &FloodedEnd, yardsticks: &[Yardstick], say: Say) -> String {
    let [leans, sills] = [To::SwampedLean, To::SwampedSill].map(|to| limits(yardsticks, to));
    let Some(rest) = &end.rest else {
        return "SINKS".to_owned();
    };
    let lies = if rest.upright {
        "ends afloat"
    } else {
        "ends ON ITS SIDE OR END"
    };
    let sill = match (&rest.opening, rest.sill_m) {
        (Some(opening), Some(height)) => {
            format!(
                ", {opening} {} above the water",
                say.mm_beside(height, &sills)
            )
        }
        _ => match end.swamped_under() {
            Some(under) => format!(", no dry opening left, {} under water", under.join(", ")),
            None => ", no dry opening left".to_owned(),
        },
    };
    format!(
        "{lies} (heel {}, pitch {}{sill})",
        say.angle_beside(rest.heel_deg, &leans),
        say.angle_beside(rest.pitch_deg, &leans)
    )
}
