//! The table of caught air and water.
use super::cautions::cautions;
use super::doubts::doubts;
use super::words::Words;
use super::{Present, Sheet};
use crate::quantity::{Dimension, UnitSystem, show, show_point};
use crate::study::{Answer, PocketLine, TrappedResult};

mod words;

impl Present for Answer<TrappedResult> {
    fn summary(&self, units: UnitSystem) -> String {
        words::summary(self, units)
    }

    fn words(&self) -> Words {
        Words::of(self, self.summary(UnitSystem::Metric))
    }

    fn sheet(&self, units: UnitSystem) -> Sheet {
        let angle = |value: f64| show(value, Dimension::Angle, units);
        let mass = |value: f64| show(value, Dimension::Mass, units);
        let volume = |value: f64| show(value, Dimension::Volume, units);
        let mut sheet = Sheet::titled(format!("{}: {}", self.name, self.summary(units)));
        sheet.heading("Held at").values([
            ("heel, starboard down +", angle(self.heel_deg)),
            ("pitch, bow up +", angle(self.pitch_deg)),
            ("water", self.water.in_units(units)),
            (
                "air that stays while it floods",
                format!("{}, lifts {}", volume(self.air_m3), mass(self.air_lift_kg)),
            ),
            (
                "water that stays when it is lifted out",
                format!(
                    "{}, {}",
                    volume(self.water_kept_m3),
                    mass(self.water_kept_kg)
                ),
            ),
            (
                "mass of the craft with that water",
                mass(self.mass_lifted_kg),
            ),
            (
                "no way in to",
                if self.no_way_in.is_empty() {
                    "-".to_owned()
                } else {
                    self.no_way_in.join(", ")
                },
            ),
            (
                "followed on columns of",
                show(self.cell_m, Dimension::Length, units),
            ),
        ]);
        pockets(
            &mut sheet,
            ("Air", "lifts", "lifts at 10 m", "vent at x, y, z"),
            &self.air,
            units,
        );
        pockets(
            &mut sheet,
            ("Water kept", "weighs", "", "drain at x, y, z"),
            &self.water_kept,
            units,
        );
        sheet.doubts(doubts(&self.doubts, units));
        sheet.cautions(&cautions(&self.cautions, units));
        sheet
    }
}

fn pockets(
    sheet: &mut Sheet,
    (heading, now, deeper, end): (&str, &str, &str, &str),
    lines: &[PocketLine],
    units: UnitSystem,
) {
    if lines.is_empty() {
        return;
    }
    let rows = lines
        .iter()
        .map(|line| {
            let at_10_m = if deeper.is_empty() {
                String::new()
            } else {
                show(line.at_10_m_kg, Dimension::Mass, units)
            };
            vec![
                line.compartments.join(", "),
                show(line.volume_m3, Dimension::Volume, units),
                show(line.water_mass_kg, Dimension::Mass, units),
                at_10_m,
                show_point(line.end_m, units),
                line.place.clone(),
                line.opening
                    .clone()
                    .unwrap_or_else(|| "no way out".to_owned()),
                if line.is_exact {
                    ""
                } else {
                    "counted on the columns"
                }
                .to_owned(),
            ]
        })
        .collect();
    sheet.heading(heading).grid(
        &[
            "in",
            "volume",
            now,
            deeper,
            end,
            "where",
            "more leaves by",
            "",
        ],
        rows,
    );
}
