//! Where an item is best put, in a sentence.
use super::super::say::Say;
use super::super::words::heel_to_side;
use super::super::yardsticks::{To, limits};
use crate::quantity::UnitSystem;
use crate::study::{PlaceCell, PlaceResult};

/// Places nearer to each other than this are told to the millimetre, m. Ours.
const SMALL_CELL_M: f64 = 0.05;

/// A shift known to no better than this is told to the decimetre, m. Ours.
const ROUGH_SHIFT_M: f64 = 0.05;

pub(super) fn summary(result: &PlaceResult, units: UnitSystem) -> String {
    let say = Say(units);
    let said = |cell: &PlaceCell| margins_there(result, cell, say);
    // To the centimetre, or on a small craft, whose places lie nearer to each other, to the
    // millimetre: none is known better than by the places beside it.
    let [along, across] = result.cell_m;
    let decimals = if along.min(across) < SMALL_CELL_M {
        3
    } else {
        2
    };
    let place = |m: f64| say.m(m, decimals);
    // Less fine where the masses' ± make it known to no better than half a decimetre.
    let shift = |m: f64, spread_m: f64| match spread_m.min(m) < ROUGH_SHIFT_M {
        true => place(m),
        false => say.m(m, 1),
    };
    let now = format!("{} where it is: {}", result.item, said(&result.now));
    let best = result.best.as_ref().map_or_else(String::new, |best| {
        let at = format!(
            "x {}, y {}: {}",
            place(best.at_m[0]),
            place(best.at_m[1]),
            said(best)
        );
        if !result.worth_moving {
            let fails = match result.now.fails.as_slice() {
                [] => String::new(),
                fails => format!(", though it fails on {} where it is", fails.join(" and ")),
            };
            format!("; no place is worth moving it to{fails}")
        } else if best.fails.is_empty() {
            format!("; best at {at}")
        } else {
            format!(
                "; no place passes every yardstick; the one that comes nearest is {at}, where it fails on {}",
                best.fails.join(" and ")
            )
        }
    });
    let best = if result.best.is_none() && result.cells.is_empty() {
        "; it has no other place in the hull at this height".to_owned()
    } else {
        best
    };
    let level = result.level.as_ref().map_or_else(String::new, |level| {
        let [forward, port] = level.shift_m;
        format!(
            "; to level the craft move it {} {} and {} to {}{}",
            shift(forward.abs(), level.shift_spread_m[0]),
            if forward < 0.0 { "aft" } else { "forward" },
            shift(port.abs(), level.shift_spread_m[1]),
            if port < 0.0 { "starboard" } else { "port" },
            match () {
                () if !level.on_the_boat => ", which is off the boat: move something else as well",
                () if !level.in_the_hull => {
                    ", which is outside the hull at this height: move something else as well"
                }
                () if !level.fits => ", where its box does not fit: move something else as well",
                () => "",
            }
        )
    });
    format!("{now}{best}{level}.")
}

/// The sill, the heel and the knock with the thing in a place.
fn margins_there(result: &PlaceResult, cell: &PlaceCell, say: Say) -> String {
    let sill = cell.lowest_sill_m.map_or_else(
        || "no opening given".to_owned(),
        |sill| {
            format!(
                "lowest sill {} above the water",
                say.mm_beside(sill, &limits(&result.yardsticks, To::Sill))
            )
        },
    );
    let first = cell.knock_first.as_ref();
    let first = first.map_or_else(String::new, |first| format!(" (it {first} first)"));
    let work = limits(&result.yardsticks, To::Work);
    let knock = cell.knock_j.map_or_else(String::new, |j| {
        format!(", least knock {}{first}", say.joules_beside(j, 1, &work))
    });
    format!(
        "{sill}, heel {}{knock}",
        heel_to_side(cell.heel_deg, "", &limits(&result.yardsticks, To::Heel))
    )
}
