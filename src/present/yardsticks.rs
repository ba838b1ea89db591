//! Yardsticks in words.
use super::say::{Say, limits_of};
use crate::quantity::{Metric, UnitSystem};
use crate::study::{Limits, Wish, Yardstick};

/// Off-centre rule that is borrowed.
pub(super) const OFF_CENTRE_RULE: &str =
    "UK Maritime and Coastguard Agency, MGN 280 (M), annex section 11.4.1";

/// What a value is held to.
#[derive(Debug, Clone, Copy)]
pub(super) enum To {
    Sill,
    Work,
    Lean,
    Heel,
    SwampedSill,
    SwampedLean,
}

/// The limits that some yardsticks set to it, in base units; none where none of them speaks
/// of it.
pub(super) fn limits(all: &[Yardstick], to: To) -> Vec<f64> {
    let of = |one: &Yardstick| match (to, one) {
        (To::Sill, Yardstick::SillAtRest(band))
        | (To::Work, Yardstick::WorkToAwash(band))
        | (To::Lean, Yardstick::LeanToAwash(band))
        | (To::SwampedSill, Yardstick::SwampedSill(band)) => Some(limits_of(band).to_vec()),
        (To::SwampedLean, Yardstick::SwampedLean(most)) => {
            Some(vec![most.green.value, most.red.value])
        }
        (To::Heel, Yardstick::HeelAtRest(most_deg)) => Some(vec![*most_deg]),
        _ => None,
    };
    all.iter().find_map(of).unwrap_or_default()
}

/// Each in a few words.
pub(super) fn yardsticks(all: &[Yardstick], units: UnitSystem) -> Vec<String> {
    all.iter().map(|one| in_words(one, Say(units))).collect()
}

fn in_words(yardstick: &Yardstick, say: Say) -> String {
    let mm = |m: f64| say.limit(m, Metric::Millimetre);
    let deg = |deg: f64| say.limit(deg, Metric::Degree);
    match yardstick {
        Yardstick::SillAtRest(limits) => format!("sill at rest: {}", between(limits, mm)),
        Yardstick::WorkToAwash(limits) => format!(
            "work until an opening is awash: {}",
            between(limits, |j| say.limit(j, Metric::Joule))
        ),
        Yardstick::LeanToAwash(limits) => {
            format!("lean until an opening is awash: {}", between(limits, deg))
        }
        Yardstick::HeelAtRest(most_deg) => format!(
            "heel at rest: over {} fails (borrowed from {OFF_CENTRE_RULE}, where it is for all persons along one side)",
            deg(*most_deg)
        ),
        Yardstick::AfloatSwamped(wish) => asked("afloat swamped", wish),
        Yardstick::AfloatWithOneFlooded(wish) => asked("afloat with any one space flooded", wish),
        Yardstick::SwampedSill(limits) => {
            format!("lowest sill with water inside: {}", between(limits, mm))
        }
        Yardstick::SwampedLean(limits) => format!(
            "lean with water inside: over {} fails, up to {} is clear ({})",
            deg(limits.red.value),
            deg(limits.green.value),
            limits.source
        ),
        Yardstick::Gap(limits) => format!("CB over CG dived: {}", between(limits, mm)),
    }
}

/// Two limits, shown by `show`.
pub(super) fn between(limits: &Limits, show: impl Fn(f64) -> String) -> String {
    format!(
        "under {} fails, over {} is clear ({})",
        show(limits.red.value),
        show(limits.green.value),
        limits.source
    )
}

fn asked(afloat: &str, wish: &Wish) -> String {
    let not = if wish.asked { "" } else { "not " };
    format!("{afloat}: {not}asked for ({})", wish.source)
}
