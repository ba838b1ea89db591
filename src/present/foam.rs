//! The table of foam for a swamped craft.
use super::cell::{angle_beside, cells, length, length_beside, mass, volume};
use super::words::{Words, told_first};
use super::yardsticks::{To, limits, yardsticks};
use super::{Cell, Present, Sheet};
use crate::quantity::{Dimension, UnitSystem};
use crate::study::{Answer, FoamPlace, FoamResult};

mod words;

pub(super) use words::{bounds, bounds_of, summary};
use words::{rule_got, rule_name, rule_source};

/// The bounds do not leave out the skin itself: of thin boards along a side it takes much.
const CUT_BY_LITRES: &str = "These bounds run to the outside of the hull, so the skin takes some of the room. Cut the foam by its litres, and move its inner face until they fit.";

impl Present for Answer<FoamResult> {
    fn summary(&self, units: UnitSystem) -> String {
        told_first(self.as_it_lies.as_ref(), words::summary(self, units))
    }

    fn words(&self) -> Words {
        const UNITS: UnitSystem = UnitSystem::Metric;
        let mut words = Words::of(self, self.summary(UNITS)).and_yardsticks(&self.yardsticks);
        for (number, place) in self.places.iter().enumerate() {
            words = words.and(format!("/places/{number}/bounds"), bounds(place, UNITS));
        }
        for (number, rule) in self.rules.iter().enumerate() {
            let key = |name: &str| format!("/rules/{number}/{name}");
            words = words
                .and(key("name"), rule_name(rule))
                .and(key("source"), rule_source(rule))
                .and(key("got"), rule_got(rule, UNITS));
        }
        words
    }

    fn sheet(&self, units: UnitSystem) -> Sheet {
        let mut sheet = Sheet::answering(self, units);
        as_it_is(&mut sheet, self);
        if self.verdict.is_some() {
            sheet.notes(&yardsticks(&self.yardsticks, units));
        }
        places(&mut sheet, self);
        rules(&mut sheet, self);
        sheet.wary_of(self)
    }
}

fn as_it_is(sheet: &mut Sheet, result: &FoamResult) {
    let floats = match (result.as_it_is.floats, result.as_it_is.upright) {
        (true, true) => "yes",
        (true, false) => "ON ITS SIDE OR END",
        (false, _) => "NO",
    };
    let overboard = match result.overboard.as_slice() {
        [] => "nobody".to_owned(),
        people => people.join(", "),
    };
    let density = Cell::quantity(result.foam_kg_m3, Dimension::Density);
    sheet
        .heading("Swamped, as the boat file has it")
        .value("floats", floats)
        .value(
            "solid or sealed volume that it lacks, all aboard",
            lacks(result.lacks_m3),
        )
        .value(
            "volume that it lacks, people pulling",
            lacks(result.as_it_is.short_m3),
        )
        .value("gone overboard", overboard)
        .value(
            "people in the water pull with",
            mass(result.pull_kg) + " (2/15 of their weight)",
        )
        .value("rim to keep above the water", &result.opening)
        .value("height asked for", length(result.freeboard_m))
        .value("density of the foam", density);
}

fn lacks(m3: f64) -> Cell {
    if m3 > 0.0 {
        Cell::beside(m3, Dimension::Volume, &[0.0])
    } else {
        "none, " + volume(-m3) + " to spare"
    }
}

fn places(sheet: &mut Sheet, result: &FoamResult) {
    let units = sheet.units;
    let rows = result.places.iter().map(|place| {
        let mut row = cells![
            &place.name,
            bounds(place, units),
            if place.reaches { "yes" } else { "no, its most" },
            volume(place.foam_m3),
            mass(place.foam_kg),
        ];
        row.extend(lies(place, result));
        row
    });
    let header = [
        "from",
        "where",
        "enough?",
        "foam",
        "its mass",
        "rim, inside level with the water outside",
        "rim, inside full",
        "heel",
        "pitch",
        "GM across",
    ];
    sheet
        .heading("Foam that fills the inside")
        .grid(&header, rows)
        .notes(&[CUT_BY_LITRES]);
}

fn lies(place: &FoamPlace, result: &FoamResult) -> [Cell; 5] {
    let swamped = &place.swamped;
    // What is enough is cut to reach what is asked: no finer than that.
    let asked = (!place.reaches).then_some(result.freeboard_m);
    let asked: Vec<f64> = asked.into_iter().collect();
    let rim = |height| length_beside(height, &asked);
    let leans = limits(&result.yardsticks, To::SwampedLean);
    let angle = |deg| angle_beside(deg, &leans);
    let or_sinks = |cell: Option<Cell>| cell.unwrap_or_else(|| "sinks".into());
    let not_found = if swamped.floats { "not found" } else { "sinks" };
    [
        or_sinks(swamped.rim_m.map(rim)),
        swamped
            .rim_no_low_hole_m
            .map_or_else(|| not_found.into(), rim),
        or_sinks(swamped.heel_deg.map(angle)),
        or_sinks(swamped.pitch_deg.map(angle)),
        or_sinks(swamped.gm_transverse_m.map(length)),
    ]
}

fn rules(sheet: &mut Sheet, result: &FoamResult) {
    let units = sheet.units;
    let rows = result.rules.iter().map(|rule| {
        cells![
            rule_name(rule),
            if rule.met { "met" } else { "NOT met" },
            rule_got(rule, units),
            match rule.lost.as_slice() {
                [] => "none".to_owned(),
                spaces => spaces.join(", "),
            },
        ]
    });
    let sources: Vec<&str> = result.rules.iter().map(rule_source).collect();
    sheet
        .heading("Borrowed rules, without the foam above")
        .grid(&["rule", "", "the craft", "air spaces counted lost"], rows)
        .notes(&sources);
}
