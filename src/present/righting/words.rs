//! What turns the craft back, in sentences.
use super::super::words::{capsize, heel_to_side};
use crate::quantity::{Dimension, UnitSystem, show};
use crate::study::{ArmSide, AttitudeLine, Lies, RightingResult, Vanishing};

/// Heel at rest worth a word, deg.
const HEELS_FROM_DEG: f64 = 1.0;

pub(super) fn summary(result: &RightingResult, units: UnitSystem) -> String {
    let heel_deg = result.heel_deg;
    let work = |joules: f64| show(joules, Dimension::Energy, units);
    let [first, second] = &result.heel.sides;
    let never = |side: &ArmSide| side.vanishing == Vanishing::NeverPositive;
    if let Some(capsizes) = capsize(result.lies) {
        let held = if result.heel.turns_back_to_nought {
            ""
        } else {
            " Held upright, no arm turns it back to either side."
        };
        return format!(
            "{capsizes}{held} From there, to {}: {}; to {}: {}.",
            first.side,
            way_out(first, work),
            second.side,
            way_out(second, work)
        );
    }
    if never(first) && never(second) {
        return "No arm turns it back at any heel: it stays at whatever heel it is put, or goes on over.".to_owned();
    }
    let rests_upright = result
        .resting_attitudes
        .iter()
        .all(|rest| rest.words == Lies::Upright.words());
    if let Some(lolls) = lolls_in_words(result, work) {
        return lolls;
    }
    let from_any_heel = rests_upright
        && [first, second]
            .iter()
            .all(|side| side.vanishing == Vanishing::NeverVanishes);
    let heels = match heel_deg {
        h if h.abs() < HEELS_FROM_DEG => String::new(),
        h if h > 0.0 => format!("At rest it heels {h:.1}° to starboard. "),
        h => format!("At rest it heels {:.1}° to port. ", -h),
    };
    if from_any_heel && first.first_sill.is_none() && second.first_sill.is_none() {
        return format!("{heels}It comes back from any heel, to either side.");
    }
    let sealed = if from_any_heel {
        " Sealed, it would come back from any heel."
    } else {
        ""
    };
    format!(
        "{heels}To {}: {}. To {}: {}.{sealed}",
        first.side,
        side_in_words(first, heel_deg, from_any_heel, work),
        second.side,
        side_in_words(second, heel_deg, from_any_heel, work)
    )
}

/// An angle of heel with its side.
fn heels(heel_deg: f64) -> String {
    heel_to_side(heel_deg, " of heel", &[])
}

/// The way over from where a capsized craft lies.
fn way_out(side: &ArmSide, work: impl Fn(f64) -> String) -> String {
    match side.turns_over {
        Some(over) => format!(
            "it turns over past {}, for {} of work",
            heels(over.angle_deg),
            work(over.work_j)
        ),
        None if side.vanishing == Vanishing::NeverPositive => "nothing holds it there".to_owned(),
        None => "no heel brings it out of that".to_owned(),
    }
}

/// A craft that lolls: both rests, what takes it from one to the other, and the way over
/// on both sides. `None` for any other.
fn lolls_in_words(result: &RightingResult, work: impl Fn(f64) -> String) -> Option<String> {
    let lolls = |line: &&AttitudeLine| line.lolls;
    let mut all = result.resting_attitudes.iter().filter(lolls);
    let home = all.clone().find(|line| line.from_upright)?;
    let other = all.find(|line| line.heel_deg * home.heel_deg < 0.0)?;
    let mut said = format!(
        "It lolls: it lies at {} or {}",
        heels(home.heel_deg),
        heels(other.heel_deg)
    );
    let towards = if home.heel_deg > 0.0 {
        "port"
    } else {
        "starboard"
    };
    for side in &result.heel.sides {
        if let Vanishing::At { work_j, .. } = side.vanishing
            && side.side == towards
        {
            said += &format!("; {} of work takes it from one to the other", work(work_j));
        }
    }
    said.push('.');
    for side in &result.heel.sides {
        let out = |angle_deg: f64| {
            let turn = angle_deg - home.heel_deg;
            if side.side == "port" { -turn } else { turn }.rem_euclid(360.0)
        };
        let over = side.turns_over;
        let sill = side.first_sill.as_ref();
        let sill = sill.filter(|sill| over.is_none_or(|o| out(sill.angle_deg) < out(o.angle_deg)));
        let floods = sill.map(|sill| {
            format!(
                "{} goes under at {}, for {} of work",
                sill.opening,
                heels(sill.angle_deg),
                work(sill.work_j)
            )
        });
        let turns = over.map(|over| {
            format!(
                "{}it turns over past {}, for {} of work",
                if floods.is_some() {
                    "with that sealed, "
                } else {
                    ""
                },
                heels(over.angle_deg),
                work(over.work_j)
            )
        });
        let ways: Vec<String> = floods.into_iter().chain(turns).collect();
        let ways = if ways.is_empty() {
            "it comes back from any heel that way".to_owned()
        } else {
            ways.join("; ")
        };
        said += &format!(" To {}: {ways}.", side.side);
    }
    Some(said)
}

/// One side in words, of a craft that rests at a heel.
fn side_in_words(
    side: &ArmSide,
    rest_deg: f64,
    from_any_heel: bool,
    work: impl Fn(f64) -> String,
) -> String {
    let heel = |angle_deg| heel_in_words(angle_deg, rest_deg, &side.side);
    let sill = side
        .first_sill
        .as_ref()
        .filter(|sill| !sill.turns_over_first);
    let floods = sill.map(|sill| {
        format!(
            "{} goes under at {}, for {} of work",
            sill.opening,
            heel(sill.angle_deg),
            work(sill.work_j)
        )
    });
    match (floods, side.vanishing) {
        (Some(floods), Vanishing::At { angle_deg, work_j }) => format!(
            "{floods}; sealed, it would turn over past {} ({})",
            heel(angle_deg),
            work(work_j)
        ),
        (Some(floods), Vanishing::NeverVanishes) if !from_any_heel => {
            format!("{floods}; sealed, it would come back from any heel that way")
        }
        (Some(floods), _) => floods,
        (None, Vanishing::At { angle_deg, work_j }) => format!(
            "it turns over past {}, {} of work{}",
            heel(angle_deg),
            work(work_j),
            if side.first_sill.is_some() {
                ", every sill dry until then"
            } else {
                ""
            }
        ),
        (None, Vanishing::NeverVanishes) => "it comes back from any heel that way".to_owned(),
        (None, Vanishing::NeverPositive) => "no arm turns it back".to_owned(),
    }
}

/// A heel that is reached on the way to a side, which may still be on the other, or on
/// it again past bottom up.
fn heel_in_words(angle_deg: f64, rest_deg: f64, side: &str) -> String {
    let heels_to = if angle_deg < 0.0 { "port" } else { "starboard" };
    let angle = angle_deg.abs();
    if heels_to == side || angle < 0.05 {
        return format!("{angle:.1}° of heel");
    }
    let goes_down = if side == "port" { -1.0 } else { 1.0 };
    if goes_down * (angle_deg - rest_deg) < 0.0 {
        format!("bottom up, at {angle:.1}° of heel to {heels_to}")
    } else {
        format!("{angle:.1}° of heel still to {heels_to}")
    }
}
