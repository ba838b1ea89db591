//! The table of the spread of the sills.
use super::slice::doubts;
use super::{Present, Sheet};
use crate::quantity::{Dimension, UnitSystem, show};
use crate::study::SpreadResult;

impl Present for SpreadResult {
    fn sheet(&self, units: UnitSystem) -> Sheet {
        let band = |values: [f64; 3], dimension: Dimension| {
            values.map(|value| show(value, dimension, units)).to_vec()
        };
        let mut sheet = Sheet::titled(format!("{}: {}", self.name, self.summary));
        let line = |name: &str, values: Vec<String>, rest: [String; 2]| {
            let mut row = vec![name.to_owned()];
            row.extend(values);
            row.extend(rest);
            row
        };
        let percent = |share: f64| format!("{:.1} %", share * 100.0);
        let mut rows: Vec<Vec<String>> = self
            .openings
            .iter()
            .map(|opening| {
                line(
                    &opening.name,
                    band(opening.freeboard_m, Dimension::Length),
                    [
                        percent(opening.chance_of_failing),
                        percent(opening.chance_under_water),
                    ],
                )
            })
            .collect();
        for (name, values, dimension) in [
            ("mass aboard", self.mass_kg, Dimension::Mass),
            ("heel", self.heel_deg, Dimension::Angle),
            ("pitch", self.pitch_deg, Dimension::Angle),
        ] {
            rows.push(line(name, band(values, dimension), Default::default()));
        }
        sheet
            .heading("Height of each sill over the water, over all draws")
            .grid(
                &["", "5 % lie under", "half", "95 %", "fails its yardstick", "under water"],
                rows,
            )
            .notes(&[format!(
                "{} draws with seed {}, {} lost (sunk or no rest); a stated ± is two standard deviations, all independent",
                self.draws, self.seed, self.draws_lost
            )]);
        let causes: Vec<Vec<String>> = self
            .causes
            .iter()
            .map(|cause| vec![cause.name.clone(), percent(cause.share)])
            .collect();
        sheet
            .heading("What moves the lowest sill")
            .grid(&["", "share of its variance"], causes);
        doubts(&mut sheet, &self.mesh_doubts);
        sheet.heading("Cautions").notes(&self.cautions);
        sheet
    }
}
