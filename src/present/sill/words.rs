//! What a wall round an opening gains, in a sentence.
use super::super::say::Say;
use crate::quantity::UnitSystem;
use crate::study::{RimLies, SillResult, SillRow};

pub(super) fn summary(result: &SillResult, units: UnitSystem) -> String {
    let say = Say(units);
    let wanted = format!("{} above the water", say.mm(result.yardstick_m));
    let others = result
        .rows
        .last()
        .filter(|last| last.lowest_opening != result.opening)
        .map_or_else(String::new, |last| {
            format!("; {} then stands lowest", last.lowest_opening)
        });
    let falls = knock_falls(&result.rows, say).unwrap_or_default();
    let in_hull = match result.rim_lies {
        RimLies::Level => None,
        RimLies::Steep => Some("a hole in the side"),
        RimLies::UnderHull => Some("a hole in the bottom"),
    };
    match (result.wall_to_yardstick_m, in_hull) {
        (None, Some(hole)) => format!(
            "{} is {hole}: a wall on its rim does not raise its sill. Raise or move the hole until its lowest point stands {} higher, or close it: {wanted} are asked for.",
            result.opening,
            say.mm(result.lacks_m)
        ),
        (Some(wall), _) if wall > 0.0 => {
            format!(
                "A wall of {} round {} ({}) brings its sill to {wanted}{others}.",
                say.mm(wall),
                result.opening,
                say.kg(result.rim_length_m * wall * result.wall_kg_m2, 1),
            ) + &falls
        }
        (Some(_), _) => {
            format!(
                "{} already stands {wanted} or more{others}.",
                result.opening
            ) + &falls
        }
        (None, None) => {
            format!(
                "Even a wall of {} round {} does not bring its sill to {wanted}{others}.",
                say.mm(result.up_to_m),
                result.opening
            ) + &falls
        }
    }
}

/// The sentence about a wall that makes the least knock fall, since with its weight up
/// there the craft turns over sooner than the sill is reached.
fn knock_falls(rows: &[SillRow], say: Say) -> Option<String> {
    let (before, fell, was, is) = rows.windows(2).find_map(|pair| {
        let (was, is) = (pair[0].knock_j?, pair[1].knock_j?);
        (is < was).then_some((&pair[0], &pair[1], was, is))
    })?;
    let first = fell.knock_first.as_ref()?;
    let (was, is) = (say.joules(was, 0), say.joules(is, 0));
    if was == is {
        return None;
    }
    Some(format!(
        " With a wall of {} its least knock falls, from {} at {} to {}: the craft {first} before the sill is reached, and a wall's weight up there makes it do so sooner.",
        say.mm(fell.wall_m),
        was,
        say.mm(before.wall_m),
        is
    ))
}
