//! The table of the spread of the sills.
use super::cautions::cautions;
use super::doubts::doubts;
use super::words::{Words, told_first};
use super::{Present, Sheet};
use crate::quantity::{Dimension, UnitSystem, show};
use crate::study::{Answer, Band, SpreadResult, direction_in_words};

mod words;

impl Present for Answer<SpreadResult> {
    fn summary(&self, units: UnitSystem) -> String {
        told_first(self.as_it_lies.as_ref(), words::summary(self, units))
    }

    fn bands(&self) -> &'static [&'static str] {
        &["mass_kg", "heel_deg", "pitch_deg", "freeboard_m", "band"]
    }

    fn words(&self) -> Words {
        Words::of(self, self.summary(UnitSystem::Metric))
    }

    fn sheet(&self, units: UnitSystem) -> Sheet {
        let lost = f64::from(self.draws_lost) / f64::from(self.draws.max(1));
        let band = |values: Band, dimension: Dimension| {
            let ends = values.iter().zip([0.05, 0.5, 0.95]);
            let ends = ends.map(|(value, share)| match value {
                Some(value) => show(*value, dimension, units),
                None if lost < share => "never".to_owned(),
                None if self.share_sunk > 0.0 => "sinks".to_owned(),
                None => "no rest".to_owned(),
            });
            ends.collect::<Vec<_>>()
        };
        let mut sheet = Sheet::titled(format!("{}: {}", self.name, self.summary(units)));
        let line = |name: &str, values: Vec<String>, rest: [String; 2]| {
            let mut row = vec![name.to_owned()];
            row.extend(values);
            row.extend(rest);
            row
        };
        let percent = |share: f64| format!("{:.1} %", share * 100.0);
        let lean = self
            .worst_lean_bearing_deg
            .map_or_else(String::new, |bearing| {
                format!(
                    "least lean, any way (as stated {})",
                    direction_in_words(bearing)
                )
            });
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
        if rows.len() > 1 {
            let any = [self.chance_any_fails, self.chance_any_under_water].map(percent);
            rows.push(line("any of them", vec![String::new(); 3], any));
        }
        let knock = match &self.least_knock_first {
            Some(first) => format!("least knock ({first} first)"),
            None => "least knock".to_owned(),
        };
        for (name, margin, dimension) in [
            (&knock, &self.least_knock, Dimension::Energy),
            (&lean, &self.worst_lean, Dimension::Angle),
        ] {
            if let Some(margin) = margin {
                let failing = [percent(margin.chance_of_failing), String::new()];
                rows.push(line(name, band(margin.band, dimension), failing));
            }
        }
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
                "{} draws with seed {}; in {} it sinks or finds no rest, and they count as the worst; heel and pitch are of the others",
                self.draws, self.seed, self.draws_lost
            ), "a ± is two standard deviations: about 95 of 100 lie within; all are independent but those of what was measured together".to_owned()]);
        let causes: Vec<Vec<String>> = self
            .causes
            .iter()
            .map(|cause| vec![cause.name.clone(), percent(cause.share)])
            .collect();
        sheet
            .heading("What moves the lowest sill, either way")
            .grid(&["", "share of its variance by itself"], causes);
        sheet.doubts(doubts(&self.doubts, units));
        sheet.cautions(&cautions(&self.cautions, units));
        sheet
    }
}
