//! The tables of the drill and cut map.
use super::cautions::cautions;
use super::doubts::doubts;
use super::slice::height_on_z;
use super::words::Words;
use super::{Present, Sheet};
use crate::quantity::{Dimension, UnitSystem, show, show_with};
use crate::study::{Answer, Border, DrillResult, SideBorders};

mod words;

/// Tapes are read to this, m.
const TAPE_STEP_M: f64 = 0.001;

impl Present for Answer<DrillResult> {
    fn summary(&self, units: UnitSystem) -> String {
        words::summary(self, units)
    }

    fn words(&self) -> Words {
        Words::of(self, self.summary(UnitSystem::Metric))
    }

    fn sheet(&self, units: UnitSystem) -> Sheet {
        let length = |value: f64| show_with(value, Dimension::Length, TAPE_STEP_M, units);
        let angle = |value: f64| show(value, Dimension::Angle, units);
        let area = |value: f64| show(value, Dimension::Area, units);
        let mut sheet = Sheet::titled(format!("{}: {}", self.name, self.summary(units)));
        sheet.heading("What the words mean").notes(&[
            format!(
                "never: under water at rest, or less than {} over it in any of the conditions ({})",
                length(self.never_under_m),
                self.sources[0]
            ),
            format!(
                "only if sealed: less than {} over it, or reached when the craft leans by {} any way ({})",
                length(self.free_over_m),
                angle(self.lean_deg),
                self.sources[1]
            ),
            "free: higher than both, in every condition".to_owned(),
        ]);
        let cases = self.cases.iter().map(|case| {
            vec![
                case.name.clone(),
                show(case.mass_kg, Dimension::Mass, units),
                angle(case.heel_deg),
                angle(case.pitch_deg),
                height_on_z(case.waterline_height_m, units),
            ]
        });
        sheet
            .heading("Loading conditions, each dry and at rest")
            .grid(
                &[
                    "condition",
                    "mass",
                    "heel",
                    "pitch",
                    "waterline on the z axis",
                ],
                cases.collect(),
            );
        let areas = self.areas.iter().map(|row| {
            vec![
                row.name.to_owned(),
                area(row.never_m2),
                area(row.only_if_sealed_m2),
                area(row.free_m2),
            ]
        });
        sheet.heading("Area of skin").grid(
            &["where", "never", "only if sealed", "free"],
            areas.collect(),
        );
        let mut rows = Vec::new();
        for station in &self.stations {
            for (side, borders) in [("port", &station.port), ("starboard", &station.starboard)] {
                let Some(borders) = borders else { continue };
                let mut row = vec![
                    if side == "port" {
                        length(station.from_stem_m)
                    } else {
                        String::new()
                    },
                    side.to_owned(),
                ];
                row.extend(cells(borders, &length));
                rows.push(row);
            }
        }
        let header = [
            "from the stem",
            "side",
            "never under",
            "free above",
            "the rim",
            "free, down from the rim",
            "set by",
        ];
        sheet
            .heading("Borders: height over the base line, level with the lowest point of the hull")
            .grid(&header, rows)
            .notes(&[
                "Heights are square to the base line, with the boat standing as it is drawn (not on its trim). They count from the hull's lowest point anywhere, not from the keel at that station: set them off from a level line under the hull, or go by the tape down from the rim.",
                "\"down from the rim\" is measured along the outside of the skin.",
                "\"–\": no part of the side is so low that a hole may never go there. \"all\": the whole side is free; \"none\": nothing of it is.",
            ]);
        if !self.openings.is_empty() {
            let rows = self.openings.iter().map(|opening| {
                vec![
                    opening.name.clone(),
                    if opening.covered { "covered" } else { "" }.to_owned(),
                    length(opening.height_m),
                    length(opening.height_leaned_m),
                    opening.class.word().to_owned(),
                ]
            });
            sheet.heading("Openings that there are").grid(
                &[
                    "opening",
                    "",
                    "over water at rest",
                    "leaned the worst way",
                    "its lowest point is",
                ],
                rows.collect(),
            );
        }
        sheet.doubts(doubts(&self.doubts, units));
        sheet.cautions(&cautions(&self.cautions, units));
        sheet
    }
}

fn cells(borders: &SideBorders, length: &impl Fn(f64) -> String) -> Vec<String> {
    let is_rim = |border: &Border| border.below_rim_m <= 0.0;
    let over = |border: &Option<Border>, none: &str| match border {
        None => none.to_owned(),
        Some(border) => length(border.over_base_m),
    };
    let (free, down) = match &borders.free_over {
        None => ("all".to_owned(), "all".to_owned()),
        Some(border) if is_rim(border) => ("none".to_owned(), "none".to_owned()),
        Some(border) => (length(border.over_base_m), length(border.below_rim_m)),
    };
    vec![
        over(&borders.never_below, "–"),
        free,
        length(borders.rim_over_base_m),
        down,
        borders.free_set_by.clone().unwrap_or_default(),
    ]
}
