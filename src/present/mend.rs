//! The table of a mended scan.
use super::inspect::guessed_up;
use super::{Present, Sheet};
use crate::quantity::{Dimension, UnitSystem, show, show_point};
use crate::study::MendResult;

/// Openings that are listed.
const LISTED: usize = 20;

impl Present for MendResult {
    fn sheet(&self, units: UnitSystem) -> Sheet {
        let mut sheet = Sheet::titled(format!(
            "{} mended, written to {} in metres{}",
            self.name,
            self.output,
            guessed_up(self.posture.as_ref().is_some_and(|p| p.up_is_a_guess()))
        ));
        let steps = self
            .steps
            .iter()
            .map(|step| format!("{}: {}", step.step, step.done));
        sheet
            .heading("What was done")
            .notes(&steps.collect::<Vec<_>>());
        before_and_after(&mut sheet, self, units);
        let rows: Vec<Vec<String>> = (1..)
            .zip(self.openings.iter().take(LISTED))
            .map(|(number, opening): (usize, _)| {
                vec![
                    number.to_string(),
                    opening.probably.words().to_owned(),
                    show(opening.length_m, Dimension::Length, units),
                    show(opening.long_m, Dimension::Length, units),
                    show(opening.broad_m, Dimension::Length, units),
                    show_point(opening.lowest_m, units),
                    opening.height_error_m.map_or_else(String::new, |error| {
                        format!("± {}", show(error, Dimension::Length, units))
                    }),
                ]
            })
            .collect();
        sheet.heading("Left open: name each with `loop = number` in the boat file");
        if rows.is_empty() {
            sheet.notes(&["nothing: the mesh is closed"]);
        } else {
            let header = [
                "loop",
                "probably",
                "round",
                "long",
                "broad",
                "lowest x, y, z",
                "height",
            ];
            sheet.grid(&header, rows);
        }
        sheet.doubts(&self.mesh_doubts);
        let lines: Vec<Vec<String>> = self
            .recipe
            .lines()
            .map(|line| vec![line.to_owned()])
            .collect();
        sheet
            .heading("To do the same from a boat file, with the scan as its mesh")
            .grid(&["[hull]"], lines);
        sheet
    }
}

fn before_and_after(sheet: &mut Sheet, result: &MendResult, units: UnitSystem) {
    let volume = |volume: Option<f64>| {
        volume.map_or_else(
            || "cannot be closed".to_owned(),
            |volume| show(volume, Dimension::Volume, units),
        )
    };
    let row = |label: &str, before: String, after: String| vec![label.to_owned(), before, after];
    let (before, after) = (&result.before, &result.after);
    let mut rows = vec![
        row(
            "triangles",
            before.triangles.to_string(),
            after.triangles.to_string(),
        ),
        row(
            "shells",
            before.shells.to_string(),
            after.shells.to_string(),
        ),
        row(
            "loops of open edges",
            before.open_loops.to_string(),
            after.open_loops.to_string(),
        ),
        row(
            "defects, open loops included",
            before.defects.to_string(),
            after.defects.to_string(),
        ),
        row(
            "size x, y, z",
            show_point(before.size_m, units),
            show_point(after.size_m, units),
        ),
        row(
            "area of the skin",
            show(before.area_m2, Dimension::Area, units),
            show(after.area_m2, Dimension::Area, units),
        ),
        row(
            "volume, openings capped",
            volume(before.volume_m3),
            volume(after.volume_m3),
        ),
    ];
    if let Some((change, percent)) = result.volume_change_m3.zip(result.volume_change_percent) {
        let change = format!("{:+.2} L, {percent:+.2} %", 1e3 * change);
        rows.push(row("change of volume", String::new(), change));
    }
    sheet
        .heading("Before and after")
        .grid(&["", "before", "after"], rows);
}
