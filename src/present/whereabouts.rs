//! Places both ways as a table.
use super::cell::{cells, length, or_dash, point};
use super::{Cell, Present, Sheet};
use crate::quantity::UnitSystem;
use crate::study::{Answer, WherePlace, WhereResult};

/// Nearer to the skin than this a place is on it, m.
const ON_SKIN_M: f64 = 1e-3;

impl Present for Answer<WhereResult> {
    fn sheet(&self, units: UnitSystem) -> Sheet {
        let what = "places in x, y, z and as a tape measures them on the hull";
        let mut sheet = Sheet::titled(format!("{}: {what}", self.name), units);
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
        sheet.grid(&header, self.places.iter().map(row));
        sheet.notes(&[
            "Hull: inside, or how far outside the closed craft, its openings covered level with their rims.",
            "Base: the line level with the hull's lowest point. Below the rim: straight down from the hull's open edge or deck edge on that side at that station; along the skin: from there by a tape that follows the outside (for places on the skin).",
        ]);
        if self.places.iter().any(|place| place.spread_m != [0.0; 3]) {
            let rows = self.places.iter().map(|place| {
                let [x, y, z] = place.spread_m.map(length);
                cells![&place.asked, x, y, z]
            });
            sheet.heading("± of the readings");
            sheet.grid(&["place", "x", "y", "z"], rows);
        }
        sheet.doubts(&self.doubts);
        sheet
    }
}

fn row(place: &WherePlace) -> Vec<Cell> {
    let taped = &place.taped;
    cells![
        &place.asked,
        point(place.at_m),
        match place.off_skin_m {
            off if off < ON_SKIN_M => "on the skin".into(),
            _ if place.inside => "inside".into(),
            off => length(off) + " outside",
        },
        length(taped.from_stem_m),
        length(taped.from_stern_m),
        match taped.to_port_m {
            off if off.abs() < 5e-4 => "on the middle".into(),
            off if off > 0.0 => length(off) + " port",
            off => length(-off) + " starboard",
        },
        length(taped.over_base_m),
        or_dash(taped.below_rim_m.map(length)),
        or_dash(taped.below_rim_along_skin_m.map(length)),
    ]
}
