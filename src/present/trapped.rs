//! The table of caught air and water.
use super::cell::{angle, cells, length, mass, point, volume};
use super::say::Say;
use super::words::Words;
use super::{Present, Sheet};
use crate::quantity::UnitSystem;
use crate::study::{Answer, DEEPER_M, PocketLine, TrappedResult};

mod words;

impl Present for Answer<TrappedResult> {
    fn summary(&self, units: UnitSystem) -> String {
        words::summary(self, units)
    }

    fn words(&self) -> Words {
        Words::of(self, self.summary(UnitSystem::Metric))
    }

    fn sheet(&self, units: UnitSystem) -> Sheet {
        let mut sheet = Sheet::answering(self, units);
        let no_way_in = match self.no_way_in.as_slice() {
            [] => "-".to_owned(),
            rooms => rooms.join(", "),
        };
        sheet
            .heading("Held at")
            .value("heel, starboard down +", angle(self.heel_deg))
            .value("pitch, bow up +", angle(self.pitch_deg))
            .value("water", &self.water)
            .value(
                "air that stays while it floods",
                volume(self.air_m3) + ", lifts " + mass(self.air_lift_kg),
            )
            .value(
                "water that stays when it is lifted out",
                volume(self.water_kept_m3).and(mass(self.water_kept_kg)),
            )
            .value(
                "mass of the craft with that water",
                mass(self.mass_lifted_kg),
            )
            .value("no way in to", no_way_in)
            .value("followed on columns of", length(self.cell_m));
        let deeper = format!("lifts at {}", Say(units).m(DEEPER_M, 0));
        pockets(
            &mut sheet,
            ("Air", "lifts", &deeper, "vent at x, y, z"),
            &self.air,
        );
        pockets(
            &mut sheet,
            ("Water kept", "weighs", "", "drain at x, y, z"),
            &self.water_kept,
        );
        sheet.wary_of(self)
    }
}

fn pockets(
    sheet: &mut Sheet,
    (heading, now, deeper, end): (&str, &str, &str, &str),
    lines: &[PocketLine],
) {
    if lines.is_empty() {
        return;
    }
    let rows = lines.iter().map(|line| {
        cells![
            line.compartments.join(", "),
            volume(line.volume_m3),
            mass(line.water_mass_kg),
            (!deeper.is_empty()).then(|| mass(line.at_10_m_kg)),
            point(line.end_m),
            &line.place,
            line.opening.as_deref().unwrap_or("no way out"),
            if line.is_exact {
                ""
            } else {
                "counted on the columns"
            },
        ]
    });
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
