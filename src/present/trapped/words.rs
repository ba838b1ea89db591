//! What air and water stay in the craft, in sentences.
use super::super::say::Say;
use crate::quantity::UnitSystem;
use crate::study::{PocketLine, TrappedResult};

pub(super) fn summary(result: &TrappedResult, units: UnitSystem) -> String {
    if let Some(why) = result.none_open {
        return format!("It does not flood, and nothing is caught: {why}.");
    }
    let say = Say(units);
    let litres = |m3: f64| say.litres(m3, 1);
    let end = |line: &PocketLine| {
        let [x, y, z] = line.end_m.map(|m| say.m(m, 2));
        format!("x = {x}, y = {y}, z = {z} ({})", line.place)
    };
    let air = match result.air.first() {
        None => "No air stays in it as it floods.".to_owned(),
        Some(largest) => format!(
            "As it floods {} of air stay in it and lift {}; the largest pocket, {}, would empty through a vent at {}.",
            litres(result.air_m3),
            say.kg(result.air_lift_kg, 1),
            litres(largest.volume_m3),
            end(largest)
        ),
    };
    let water = match result.water_kept.first() {
        None => " Lifted out, it drains by itself.".to_owned(),
        Some(largest) => format!(
            " Lifted out, it keeps {} of water and weighs {}; a drain at {} would let most of it out.",
            litres(result.water_kept_m3),
            say.kg(result.mass_lifted_kg, 0),
            end(largest)
        ),
    };
    format!("{air}{water}")
}
