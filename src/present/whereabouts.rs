//! Places both ways as a table.
use super::doubts::doubts;
use super::{Present, Sheet};
use crate::quantity::{Dimension, UnitSystem, show, show_point};
use crate::study::{Answer, WherePlace, WhereResult};

/// Nearer to the skin than this a place is on it, m.
const ON_SKIN_M: f64 = 1e-3;

impl Present for Answer<WhereResult> {
    fn sheet(&self, units: UnitSystem) -> Sheet {
        let mut sheet = Sheet::titled(format!(
            "{}: places in x, y, z and as a tape measures them on the hull",
            self.name
        ));
        let header = [
            "place",
            "x, y, z",
            "hull",
            "from the stem",
            "from the stern",
            "off the middle",
            "over the base",
            "below the rim",
            "along the skin",
        ];
        sheet.grid(
            &header,
            self.places
                .iter()
                .map(|place| cells(place, units))
                .collect(),
        );
        sheet.notes(&[
            "Hull: inside, or how far outside the closed craft, its openings covered level with their rims.",
            "Base: the line level with the hull's lowest point. Below the rim: straight down from the hull's open edge or deck edge on that side at that station; along the skin: from there by a tape that follows the outside (for places on the skin).",
        ]);
        if self.places.iter().any(|place| place.spread_m != [0.0; 3]) {
            let rows = self.places.iter().map(|place| {
                let [x, y, z] = place.spread_m.map(|m| show(m, Dimension::Length, units));
                vec![place.asked.clone(), x, y, z]
            });
            sheet.heading("± of the readings");
            sheet.grid(&["place", "x", "y", "z"], rows.collect());
        }
        sheet.doubts(doubts(&self.doubts, units));
        sheet
    }
}

fn cells(place: &WherePlace, units: UnitSystem) -> Vec<String> {
    let taped = &place.taped;
    let length = |m: f64| show(m, Dimension::Length, units);
    let or_none = |m: Option<f64>| m.map_or_else(|| "–".to_owned(), length);
    let off = match taped.to_port_m {
        off if off.abs() < 5e-4 => "on the middle".to_owned(),
        off if off > 0.0 => format!("{} port", length(off)),
        off => format!("{} starboard", length(-off)),
    };
    vec![
        place.asked.clone(),
        show_point(place.at_m, units),
        match place.off_skin_m {
            off if off < ON_SKIN_M => "on the skin".to_owned(),
            _ if place.inside => "inside".to_owned(),
            off => format!("{} outside", length(off)),
        },
        length(taped.from_stem_m),
        length(taped.from_stern_m),
        off,
        length(taped.over_base_m),
        or_none(taped.below_rim_m),
        or_none(taped.below_rim_along_skin_m),
    ]
}
