//! The table of foam for a swamped craft.
use super::cautions::cautions;
use super::doubts::doubts;
use super::words::{Words, told_first};
use super::yardsticks::yardsticks;
use super::{Present, Sheet};
use crate::quantity::{Dimension, UnitSystem, show};
use crate::study::{Answer, FoamResult, Swamped};

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
        let mut words = Words::of(self, self.summary(UNITS))
            .and("/yardsticks", yardsticks(&self.yardsticks, UNITS));
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
        let of = |value: f64, dimension| show(value, dimension, units);
        let missing = |volume_m3: f64| {
            if volume_m3 > 0.0 {
                of(volume_m3, Dimension::Volume)
            } else {
                format!("none, {} to spare", of(-volume_m3, Dimension::Volume))
            }
        };
        let mut sheet = Sheet::titled(format!("{}: {}", self.name, self.summary(units)));
        sheet.heading("Swamped, as the boat file has it").values([
            (
                "floats",
                match (self.as_it_is.floats, self.as_it_is.upright) {
                    (true, true) => "yes",
                    (true, false) => "ON ITS SIDE OR END",
                    (false, _) => "NO",
                }
                .to_owned(),
            ),
            (
                "solid or sealed volume that it lacks, all aboard",
                missing(self.lacks_m3),
            ),
            (
                "volume that it lacks, people pulling",
                missing(self.as_it_is.short_m3),
            ),
            (
                "gone overboard",
                if self.overboard.is_empty() {
                    "nobody".to_owned()
                } else {
                    self.overboard.join(", ")
                },
            ),
            (
                "people in the water pull with",
                format!(
                    "{} (2/15 of their weight)",
                    of(self.pull_kg, Dimension::Mass)
                ),
            ),
            ("rim to keep above the water", self.opening.clone()),
            ("height asked for", of(self.freeboard_m, Dimension::Length)),
            (
                "density of the foam",
                of(self.foam_kg_m3, Dimension::Density),
            ),
        ]);
        if self.verdict.is_some() {
            sheet.notes(&yardsticks(&self.yardsticks, units));
        }
        let rows = self
            .places
            .iter()
            .map(|place| {
                let mut row = vec![
                    place.name.clone(),
                    bounds(place, units),
                    if place.reaches { "yes" } else { "no, its most" }.to_owned(),
                    of(place.foam_m3, Dimension::Volume),
                    of(place.foam_kg, Dimension::Mass),
                ];
                row.extend(lies(&place.swamped, units));
                row
            })
            .collect();
        sheet.heading("Foam that fills the inside").grid(
            &[
                "from",
                "where",
                "enough?",
                "foam",
                "its mass",
                "rim, inside level with the sea",
                "rim, inside full",
                "heel",
                "pitch",
                "GM across",
            ],
            rows,
        );
        sheet.notes(&[CUT_BY_LITRES]);
        let rows = self
            .rules
            .iter()
            .map(|rule| {
                vec![
                    rule_name(rule).to_owned(),
                    if rule.met { "met" } else { "NOT met" }.to_owned(),
                    rule_got(rule, units),
                    if rule.lost.is_empty() {
                        "none".to_owned()
                    } else {
                        rule.lost.join(", ")
                    },
                ]
            })
            .collect();
        sheet
            .heading("Borrowed rules, without the foam above")
            .grid(&["rule", "", "the craft", "air spaces counted lost"], rows);
        let sources: Vec<&str> = self.rules.iter().map(rule_source).collect();
        sheet.notes(&sources);
        sheet.doubts(doubts(&self.doubts, units));
        sheet.cautions(&cautions(&self.cautions, units));
        sheet
    }
}

fn lies(swamped: &Swamped, units: UnitSystem) -> [String; 5] {
    let of = |value: Option<f64>, dimension| {
        value.map_or_else(|| "sinks".to_owned(), |v| show(v, dimension, units))
    };
    [
        of(swamped.rim_m, Dimension::Length),
        swamped.rim_no_low_hole_m.map_or_else(
            || if swamped.floats { "not found" } else { "sinks" }.to_owned(),
            |v| show(v, Dimension::Length, units),
        ),
        of(swamped.heel_deg, Dimension::Angle),
        of(swamped.pitch_deg, Dimension::Angle),
        of(swamped.gm_transverse_m, Dimension::Length),
    ]
}
