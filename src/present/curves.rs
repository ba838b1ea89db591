//! The table of the hydrostatic curves.
use super::cautions::cautions;
use super::doubts::doubts;
use super::slice::point;
use super::words::{Words, told_first};
use super::{Present, Sheet};
use crate::quantity::{Dimension, UnitSystem, show};
use crate::study::{Answer, CurvesResult};

impl Present for Answer<CurvesResult> {
    fn summary(&self, _units: UnitSystem) -> String {
        let told = "Hydrostatic curves over draught.".to_owned();
        told_first(self.as_it_lies.as_ref(), told)
    }

    fn words(&self) -> Words {
        Words::of(self, self.summary(UnitSystem::Metric))
    }

    fn sheet(&self, units: UnitSystem) -> Sheet {
        let length = |value: f64| show(value, Dimension::Length, units);
        let maybe = |value: Option<f64>| value.map_or_else(String::new, length);
        let share = |value: Option<f64>| value.map_or_else(String::new, |v| format!("{v:.3}"));
        let mut sheet = Sheet::titled(format!("{}: {}", self.name, self.summary(units)));
        let rows = self
            .lines
            .iter()
            .map(|line| {
                let h = &line.hydrostatics;
                vec![
                    length(line.draught_m),
                    format!(
                        "{}, {}",
                        length(line.draught_forward_m),
                        length(line.draught_aft_m)
                    ),
                    show(h.displacement_kg, Dimension::Mass, units),
                    point(h.centre_of_buoyancy_m, units),
                    show(h.waterplane_area_m2, Dimension::Area, units),
                    maybe(h.centre_of_flotation_m.map(|at| at[0])),
                    maybe(line.km_transverse_m),
                    maybe(line.km_longitudinal_m),
                    show(line.mass_to_sink_1_cm_kg, Dimension::Mass, units),
                    format!("{:.2} kg·m", line.moment_to_pitch_1_deg_kg_m),
                    share(line.block_coefficient),
                    share(line.waterplane_coefficient),
                    show(h.wetted_area_m2, Dimension::Area, units),
                ]
            })
            .collect();
        sheet
            .heading(&format!(
                "Upright, at a pitch of {}; draught of the base line amidships (x = {}, midway between the marks), KM over the base line",
                show(self.pitch_deg, Dimension::Angle, units),
                length(self.amidships_x_m),
            ))
            .grid(
                &[
                    "draught amidships",
                    "at the marks, fore and aft",
                    "displacement",
                    "CB x, y, z",
                    "waterplane",
                    "its middle x",
                    "KM across",
                    "KM along",
                    "to sink 1 cm",
                    "to pitch 1°",
                    "block",
                    "waterplane c.",
                    "wetted",
                ],
                rows,
            )
            .notes(&[
                "block: displaced volume over length and breadth of the waterline × draught amidships; waterplane c.: its area over length × breadth",
                "to pitch 1°: the couple with the centre of gravity at the centre of buoyancy",
            ]);
        sheet.doubts(doubts(&self.doubts, units));
        sheet.cautions(&cautions(&self.cautions, units));
        sheet
    }
}
