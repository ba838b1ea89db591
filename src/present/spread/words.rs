//! How far off it may be, in sentences.
use super::super::say::Say;
use crate::quantity::{Metric, UnitSystem};
use crate::study::{MarginBand, SpreadLine, SpreadResult, TakenAsExact};

pub(super) fn summary(result: &SpreadResult, units: UnitSystem) -> String {
    let say = Say(units);
    let first = result.least_knock_first.as_ref();
    let first = first.map_or_else(String::new, |first| {
        format!(" As stated, the least knock does more than fill it: it {first} first.")
    });
    if result.openings.is_empty() {
        return "There is no opening whose sill could be told.".to_owned() + &first;
    }
    let Some(cause) = result.causes.first() else {
        return "Nothing in the boat file carries a ±: write one, as in \"40 kg ± 2 kg\", to see what it does to the sills.".to_owned() + &first;
    };
    let sinks = if result.share_sunk > 0.0 {
        format!("IT SINKS in {} of the draws. ", percent(result.share_sunk))
    } else {
        String::new()
    };
    let worst_first = |line: &&SpreadLine| line.freeboard_m.map(|end| end.unwrap_or(f64::MIN));
    let lowest = result.openings.iter().min_by(|a, b| {
        worst_first(a)
            .partial_cmp(&worst_first(b))
            .unwrap_or(std::cmp::Ordering::Equal)
    });
    let sill = lowest.map_or_else(String::new, |line| {
        let [low, _, high] = line.freeboard_m;
        let place = match (low, high) {
            (Some(low), Some(high)) => format!(
                "lies between {} above the water in 90 of 100 draws",
                say.within(&[low, high], " and ", Metric::Millimetre, 0)
            ),
            (None, Some(high)) => format!(
                "lies under {} above the water in 95 of 100 draws",
                say.mm(high)
            ),
            _ => "is under water in nearly every draw".to_owned(),
        };
        let any = if result.openings.len() > 1 {
            format!(", some opening in {}", percent(result.chance_any_fails))
        } else {
            String::new()
        };
        format!(
            "{} {place}, and fails its yardstick in {} of them{any}. ",
            line.name,
            percent(line.chance_of_failing)
        )
    });
    let margin = |name: &str, found: &Option<MarginBand>| {
        let chance = found.as_ref()?.chance_of_failing;
        (chance > 0.0).then(|| format!("the {name} in {}", percent(chance)))
    };
    let margins: Vec<String> = [
        margin("least knock", &result.least_knock),
        margin("least lean", &result.worst_lean),
    ]
    .into_iter()
    .flatten()
    .collect();
    let margins = if margins.is_empty() {
        String::new()
    } else {
        format!("Yardsticks failed: {} of the draws. ", margins.join(", "))
    };
    let next = if sinks.is_empty() && margins.is_empty() && result.chance_any_fails == 0.0 {
        "No draw fails a yardstick. What matters most is"
    } else {
        "Measure next:"
    };
    format!(
        "{sinks}{sill}{margins}{next} the {}; it causes {} of the lowest sill's uncertainty.{}",
        cause.name,
        percent(cause.share),
        exact(result.exact)
    ) + &first
}

/// Whole percent, but neither nought nor all where it is only nearly so.
fn percent(share: f64) -> String {
    match share * 100.0 {
        few if few > 0.0 && few < 0.5 => "less than 1 %".to_owned(),
        most if (99.5..100.0).contains(&most) => "more than 99 %".to_owned(),
        percent => format!("{percent:.0} %"),
    }
}

/// What is taken as exact.
fn exact(exact: TakenAsExact) -> String {
    let taken = [("mass", exact.masses), ("place", exact.places)];
    let taken = taken.into_iter().filter(|(_, count)| *count > 0);
    let taken: Vec<String> = taken
        .map(|(what, count)| format!("the {what} of {count}"))
        .collect();
    if taken.is_empty() {
        return String::new();
    }
    format!(
        " Taken as exact, since the file gives no ±: {} (of {} things aboard).",
        taken.join(" and "),
        exact.things
    )
}
