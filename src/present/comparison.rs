//! The table of boats side by side.
use super::slice::doubts;
use super::{Present, Sheet};
use crate::quantity::{Dimension, UnitSystem, show};
use crate::study::{CompareResult, CompareRow, SwampEnd};

impl Present for CompareResult {
    fn sheet(&self, units: UnitSystem) -> Sheet {
        let mut sheet = Sheet::titled(format!("{}: {}", self.names.join(" → "), self.summary));
        let header: Vec<&str> = std::iter::once("")
            .chain(self.names.iter().map(String::as_str))
            .chain(self.names.iter().skip(1).map(|_| "change"))
            .collect();
        let rows = self.rows.iter().map(|row| row_cells(row, units)).collect();
        sheet
            .heading("Side by side (changes from the first)")
            .grid(&header, rows);
        let rows = self
            .openings
            .iter()
            .map(|row| {
                std::iter::once(row.name.clone())
                    .chain(row.freeboard_m.iter().map(|value| {
                        value.map_or_else(|| "–".to_owned(), |v| show(v, Dimension::Length, units))
                    }))
                    .collect()
            })
            .chain(std::iter::once(
                std::iter::once("after a knock of 20 mm for 3 s".to_owned())
                    .chain(
                        self.knock_ends
                            .iter()
                            .map(|end| end_in_words(*end).to_owned()),
                    )
                    .collect(),
            ))
            .collect();
        let header = &header[..=self.names.len()];
        sheet
            .heading("Openings: height of each sill over the water at rest")
            .grid(header, rows);
        for (name, list) in self.names.iter().zip(&self.mesh_doubts) {
            let named: Vec<String> = list
                .iter()
                .map(|doubt| format!("{name}: {doubt}"))
                .collect();
            doubts(&mut sheet, &named);
        }
        sheet.heading("Cautions").notes(&self.cautions);
        sheet
    }
}

fn end_in_words(end: Option<SwampEnd>) -> &'static str {
    match end {
        Some(SwampEnd::Recovers) => "comes up again",
        Some(SwampEnd::AfloatSwamped) => "afloat, swamped",
        Some(SwampEnd::Sunk) => "SINKS",
        Some(SwampEnd::StillFilling) => "still filling",
        None => "sinks at rest",
    }
}

fn row_cells(row: &CompareRow, units: UnitSystem) -> Vec<String> {
    let dimension = match row.key.rsplit('_').next() {
        Some("kg") => Dimension::Mass,
        Some("deg") => Dimension::Angle,
        Some("m3") => Dimension::Volume,
        Some("j") => Dimension::Energy,
        _ => Dimension::Length,
    };
    let cell =
        |value: &Option<f64>| value.map_or_else(|| "–".to_owned(), |v| show(v, dimension, units));
    let signed = |change: &Option<f64>| match change {
        Some(change) if *change > 0.0 => {
            let better = if row.more_is_better > 0 {
                ", better"
            } else {
                ""
            };
            let worse = if row.more_is_better < 0 {
                ", worse"
            } else {
                ""
            };
            format!("+{}{better}{worse}", show(*change, dimension, units))
        }
        Some(change) if *change < 0.0 => {
            let better = if row.more_is_better < 0 {
                ", better"
            } else {
                ""
            };
            let worse = if row.more_is_better > 0 {
                ", worse"
            } else {
                ""
            };
            format!("{}{better}{worse}", show(*change, dimension, units))
        }
        Some(_) => "none".to_owned(),
        None => "–".to_owned(),
    };
    std::iter::once(row.name.clone())
        .chain(row.values.iter().map(cell))
        .chain(row.changes.iter().skip(1).map(signed))
        .collect()
}
