//! What got better and worse, in sentences.
use super::super::say::Say;
use super::super::words::heel_to_side;
use crate::quantity::{UnitSystem, capitalised};
use crate::study::{CompareResult, CraftState, EndDoes, Outcome, Steps};

/// A change of heel under this is not told in the first line, deg.
const HEEL_TOLD_DEG: f64 = 0.5;

pub(super) fn summary(result: &CompareResult, units: UnitSystem) -> String {
    match &result.outcome {
        Outcome::NoBoat => String::new(),
        Outcome::LastSinks => "The last of them SINKS.".into(),
        Outcome::LastCapsizes { lies, first_too } => {
            let which = if *first_too {
                "The first and the last of them CAPSIZE: the last comes"
            } else {
                "The last of them CAPSIZES: it comes"
            };
            format!("{which} to rest {}.", lies.words())
        }
        Outcome::LastFills { opening } => format!(
            "The last of them FILLS as it lies: the sill of {opening} is under water at rest."
        ),
        Outcome::FirstSinks => "The first of them sinks; the last floats.".into(),
        Outcome::FirstCapsizes { lies } => format!(
            "The first of them capsizes and comes to rest {}; the last floats upright.",
            lies.words()
        ),
        Outcome::BothFloat => both_float(result, Say(units)),
    }
}

fn both_float(result: &CompareResult, say: Say) -> String {
    let last = result.names.len().saturating_sub(1);
    let headline = headline(result, last, say);
    let moved = |better: bool| {
        let sign = if better { 1 } else { -1 };
        let dry = result
            .rows
            .iter()
            .filter(|row| row.state == CraftState::Dry);
        let dry = dry.filter(|row| row.judged(last) == sign);
        let flooded = result.flooded.iter();
        let flooded = flooded.filter(|row| row.better[last] == sign);
        let names: Vec<String> = dry
            .map(|row| row.name.clone())
            .chain(flooded.filter_map(|row| {
                let does = does(row.does(last)?, say);
                Some(format!("with {} flooded {does}", row.compartment))
            }))
            .collect();
        names.join(", ")
    };
    let all = match (moved(true), moved(false)) {
        (better, worse) if better.is_empty() && worse.is_empty() => {
            "Nothing that is judged here changes.".into()
        }
        (better, worse) if worse.is_empty() => format!("Better: {better}."),
        (better, worse) if better.is_empty() => format!("Worse: {worse}."),
        (better, worse) => format!("Better: {better}. Worse: {worse}."),
    };
    let first_does = |boat: usize| result.least_knock_first.get(boat).cloned().flatten();
    let knocked = first_does(last).map_or_else(String::new, |does| {
        let too = match (result.least_knock(0).is_some(), first_does(0)) {
            (true, Some(_)) => "; so does the first",
            (true, None) => "; the first only fills",
            (false, _) => "",
        };
        format!("Knocked, the last {does} before a sill is reached{too}. ")
    });
    match result.steps.as_ref().and_then(Steps::dearest) {
        Some((line, lost_m)) => format!(
            "{headline}{knocked}{all} What costs most height above the water: {} ({} of the lowest sill).",
            line.words,
            say.mm(lost_m)
        ),
        None => format!("{headline}{knocked}{all}"),
    }
}

/// The lowest sill and the heel, of the first boat and the last.
fn headline(result: &CompareResult, last: usize, say: Say) -> String {
    let both = |key: &str| {
        let row = result.rows.iter().find(|row| row.key == key)?;
        let of = |boat: usize| row.values.get(boat).copied().flatten();
        Some((of(0)?, of(last)?))
    };
    let sill = both("lowest_sill_m");
    let sill = sill.filter(|(first, last)| say.mm(*first) != say.mm(*last));
    let sill = sill.map(|(first, last)| {
        format!(
            "lowest sill {} → {} above the water",
            say.mm(first),
            say.mm(last)
        )
    });
    let heel = both("heel_deg")
        .filter(|(first, last)| (first - last).abs() >= HEEL_TOLD_DEG)
        .map(|(first, last)| {
            let side = |deg: f64| heel_to_side(deg, "", &[]);
            format!("heel {} → {}", side(first), side(last))
        });
    let told: Vec<String> = sill.into_iter().chain(heel).collect();
    if told.is_empty() {
        return String::new();
    }
    capitalised(&told.join(", ")) + ". "
}

/// What tells how a boat ends with a space flooded from how the first does.
fn does(end: EndDoes, say: Say) -> String {
    let or_none = |value: Option<f64>, show: &dyn Fn(f64) -> String| {
        value.map_or_else(|| "none".to_owned(), show)
    };
    match end {
        EndDoes::Sinks => "it sinks".to_owned(),
        EndDoes::NoLongerSinks => "it no longer sinks".to_owned(),
        EndDoes::LiesOver => "it lies over".to_owned(),
        EndDoes::NoLongerLiesOver => "it no longer lies over".to_owned(),
        EndDoes::Leans(leans) => {
            let [own, first] = leans.map(|deg| or_none(deg, &|deg| format!("{deg:.0} deg")));
            format!("it leans {own} ({first} in the first)")
        }
        EndDoes::SillEnds(sills) => {
            let [own, first] = sills.map(|sill| or_none(sill, &|m| say.mm(m)));
            format!("its lowest sill ends at {own} ({first} in the first)")
        }
    }
}
