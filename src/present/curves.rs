//! The table of the hydrostatic curves.
use super::cell::{area, cells, fixed, length, mass, point_or_none};
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
        let share = |share: f64| fixed(format!("{share:.3}"));
        let mut sheet = Sheet::answering(self, units);
        let rows = self.lines.iter().map(|line| {
            let h = &line.hydrostatics;
            cells![
                length(line.draught_m),
                length(line.draught_forward_m).and(length(line.draught_aft_m)),
                mass(h.displacement_kg),
                point_or_none(h.centre_of_buoyancy_m),
                area(h.waterplane_area_m2),
                h.centre_of_flotation_m.map(|at| length(at[0])),
                line.km_transverse_m.map(length),
                line.km_longitudinal_m.map(length),
                mass(line.mass_to_sink_1_cm_kg),
                fixed(format!("{:.2} kg·m", line.moment_to_pitch_1_deg_kg_m)),
                line.block_coefficient.map(share),
                line.waterplane_coefficient.map(share),
                area(h.wetted_area_m2),
            ]
        });
        sheet
            .heading(&format!(
                "Upright, at a pitch of {}; draught of the base line amidships (x = {}, midway between the marks), KM over the base line",
                show(self.pitch_deg, Dimension::Angle, units),
                show(self.amidships_x_m, Dimension::Length, units),
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
        sheet.wary_of(self)
    }
}
