//! What happens, in a few sentences.
use super::super::say::Say;
use super::super::yardsticks::{To, limits};
use crate::quantity::UnitSystem;
use crate::study::{EndsLying, Start, SwampAir, SwampBunged, SwampEnd, SwampResult, Yardstick};

/// What sinks sooner is not told to the second, s: water then outruns the craft's own way
/// down, which is not followed (ours).
const AT_ONCE_S: f64 = 10.0;

/// "6 hours", "1.3 hours", "40 min".
fn in_words(time_s: f64) -> String {
    match time_s / 3600.0 {
        hours if hours < 1.0 => format!("{:.0} min", time_s / 60.0),
        hours if (hours - 1.0).abs() < 0.05 => "1 hour".to_owned(),
        hours if (hours - hours.round()).abs() < 0.05 => format!("{hours:.0} hours"),
        hours => format!("{hours:.1} hours"),
    }
}

pub(super) fn summary(result: &SwampResult, units: UnitSystem) -> String {
    let say = Say(units);
    let Some(pushed) = pushed(result, say) else {
        let why = result.none_open.map(|why| format!(": {why}"));
        return format!("Nothing enters{}.", why.unwrap_or_default());
    };
    let end = end_with_air_lost(result, say);
    let floats = result.end_air_lost != SwampEnd::Sunk;
    let end = match &result.with_air {
        Some(air) => with_air(air, &result.yardsticks, &end, floats, say),
        None => end,
    };
    let bungs = result.with_bungs.as_ref();
    let bungs = bungs.map_or_else(String::new, |bunged| {
        bungs_in_words(bunged, &result.yardsticks, say)
    });
    let no_return = no_return(result, say);
    let missing = result.solid_needed_m3 - result.solid_m3;
    let foam = if missing > 0.0 {
        format!(
            " Full of water with all aboard it does NOT stay up: it lacks {} of solid or sealed volume.",
            say.water(missing)
        )
    } else {
        String::new()
    };
    format!("{pushed}{end}{bungs}{no_return}{foam}")
}

/// What lets the water in; `None` where nothing does.
fn pushed(result: &SwampResult, say: Say) -> Option<String> {
    let Some(opening) = &result.opening else {
        let as_it_stands = result.start == Start::Condition;
        return as_it_stands.then(|| "As it stands: ".to_owned());
    };
    let before = result.before.as_ref();
    let before = before.map_or_else(String::new, |first| format!("It {first} first; "));
    Some(format!(
        "{before}{opening} pushed {} under for {:.0} s: ",
        say.mm(result.pushed_under_m),
        result.held_s
    ))
}

/// How it ends where no air is caught.
fn end_with_air_lost(result: &SwampResult, say: Say) -> String {
    let lines = result.time_line.iter();
    let taken_m3 = lines.map(|line| line.water_m3).fold(0.0, f64::max);
    let taken = say.water(taken_m3);
    let lies = lies_in_words(result.ends_lying, &result.yardsticks, say);
    match result.end_air_lost {
        SwampEnd::Recovers if taken_m3 < 1e-3 && result.opening.is_none() => {
            "nothing enters.".to_owned()
        }
        SwampEnd::Recovers if result.opening.is_none() => {
            format!(
                "it stays afloat{lies} with at most {taken} inside, every sill above the water."
            )
        }
        SwampEnd::Recovers => format!("{taken} inside at most, and it comes up again{lies}."),
        SwampEnd::AfloatSwamped => {
            let under = result.openings.iter().filter(|sill| sill.freeboard_m < 0.0);
            let under: Vec<&str> = under.map(|sill| sill.name.as_str()).collect();
            let under = match under.as_slice() {
                [] => String::new(),
                names => format!(", sill of {} under water", names.join(", ")),
            };
            format!("it stays afloat{lies}, swamped with {taken}{under}.")
        }
        SwampEnd::Sunk => sinks(result),
        SwampEnd::NotSettled => {
            let followed_s = result.time_line.last().map_or(0.0, |line| line.time_s);
            let after = in_words(followed_s);
            if result.no_more_comes_in {
                format!(
                    "{taken} inside still run from space to space after {after}, but no more comes in: it stays afloat{lies}."
                )
            } else {
                format!("WATER STILL RUNS after {after}, more may come in: it may yet sink.")
            }
        }
    }
}

fn sinks(result: &SwampResult) -> String {
    let how = if result.time_line.iter().any(|line| line.up[2] < 0.0) {
        "IT TURNS OVER AND SINKS"
    } else {
        "IT SINKS"
    };
    let when = match result.sunk_s.unwrap_or(0.0) {
        // Shorter than a craft takes to fall through the water, which is not counted.
        time_s if time_s < AT_ONCE_S => "within seconds".to_owned(),
        time_s => format!("after {time_s:.0} s"),
    };
    let first = match result.first_end.as_str() {
        "neither" => String::new(),
        end => format!(", {end} first"),
    };
    format!("{how} {when}{first}.")
}

fn no_return(result: &SwampResult, say: Say) -> String {
    // With a sill under water it fills by itself from nothing on, which is said first.
    let Some(m3) = result.no_return_m3.filter(|m3| *m3 > 0.0) else {
        return String::new();
    };
    let loose = match result.standing_m3 {
        stands if stands > 0.0 => format!("on top of the {} already", say.water(stands)),
        _ => "loose".to_owned(),
    };
    format!(
        " {} {loose} inside bring the lowest sill to the water; past that it fills by itself.",
        say.water(m3)
    )
}

fn bungs_in_words(bunged: &SwampBunged, yardsticks: &[Yardstick], say: Say) -> String {
    let sills = limits(yardsticks, To::SwampedSill);
    let sill = bunged.sill_m.map_or_else(String::new, |sill_m| {
        let side = if sill_m < 0.0 { "under" } else { "over" };
        format!(
            ", its lowest sill {} {side} the water",
            // Under the water every limit is missed.
            say.mm_beside(sill_m.abs(), if sill_m < 0.0 { &[0.0] } else { &sills })
        )
    });
    format!(
        " With every passage stopped by a bung it stays afloat{}{sill}.",
        lies_in_words(bunged.lies, yardsticks, say)
    )
}

/// ", leaning 38°", or nothing where that is clear.
fn lies_in_words(lies: EndsLying, yardsticks: &[Yardstick], say: Say) -> String {
    match lies {
        EndsLying::Upright => String::new(),
        EndsLying::Leaning(deg) => {
            let leans = limits(yardsticks, To::SwampedLean);
            format!(", leaning {}", say.deg_beside(deg, 0, &leans))
        }
        EndsLying::OnItsSideOrEnd => ", ON ITS SIDE OR END".to_owned(),
        EndsLying::UpsideDown => ", UPSIDE DOWN".to_owned(),
    }
}

/// How it ends with air kept, behind how it ends with the air lost; before that where it
/// is worse.
fn with_air(
    air: &SwampAir,
    yardsticks: &[Yardstick],
    lost: &str,
    lost_floats: bool,
    say: Say,
) -> String {
    let leans = limits(yardsticks, To::SwampedLean);
    let angle = |deg: f64| say.angle_beside(deg, &leans);
    let rooms: Vec<String> = air
        .air_kept
        .iter()
        .map(|air| format!("{} in {}", say.water(air.air_m3), air.compartment))
        .collect();
    let rooms = rooms.join(", ");
    let lies = match (air.floats, air.heel_deg, air.pitch_deg) {
        (true, Some(heel), Some(pitch)) => {
            let over = if air.upright {
                ""
            } else {
                " ON ITS SIDE OR END"
            };
            format!(
                "it lies afloat{over} (heel {}, pitch {})",
                angle(heel),
                angle(pitch)
            )
        }
        _ => "it SINKS".to_owned(),
    };
    match (air.is_worse, lost_floats) {
        (true, _) => format!(
            "with the trapped air kept ({rooms}) {lies}; a vent at its highest point lets it out. With that air gone {lost}"
        ),
        (false, false) => format!(
            "{lost} With the trapped air kept ({rooms}) {lies}. A leak or a vent lets it out and the craft sinks: do not rely on it."
        ),
        (false, true) => format!(
            "{lost} With the trapped air kept ({rooms}) {lies}. A leak or a vent lets it out."
        ),
    }
}
