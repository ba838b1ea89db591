//! The table of a mended scan.
use super::cell::{area, cells, fixed, length, plus_minus, point, volume};
use super::inspect::guessed_up;
use super::{Cell, Present, Sheet};
use crate::quantity::UnitSystem;
use crate::study::MendResult;

/// Openings that are listed.
const LISTED: usize = 20;

impl Present for MendResult {
    fn sheet(&self, units: UnitSystem) -> Sheet {
        let guessed = guessed_up(self.posture.as_ref().is_some_and(|p| p.up_is_a_guess()));
        let title = format!(
            "{} mended, written to {} in metres{guessed}",
            self.name, self.output
        );
        let mut sheet = Sheet::titled(title, units);
        let steps = self
            .steps
            .iter()
            .map(|step| format!("{}: {}", step.step, step.done));
        sheet
            .heading("What was done")
            .notes(&steps.collect::<Vec<_>>());
        before_and_after(&mut sheet, self);
        let rows = (1_usize..).zip(self.openings.iter().take(LISTED));
        let rows = rows.map(|(number, opening)| {
            let off = opening.height_error_m.map(length);
            cells![
                fixed(number),
                opening.probably.words(),
                length(opening.length_m),
                length(opening.long_m),
                length(opening.broad_m),
                point(opening.lowest_m),
                off.map(plus_minus),
            ]
        });
        sheet.heading("Left open: name each with `loop = number` in the boat file");
        if self.openings.is_empty() {
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
        let lines = self.recipe.lines().map(|line| [line]);
        sheet
            .heading("To do the same from a boat file, with the scan as its mesh")
            .grid(&["[hull]"], lines);
        sheet
    }
}

fn before_and_after(sheet: &mut Sheet, result: &MendResult) {
    let both = [&result.before, &result.after];
    let row = |label: &str, [before, after]: [Cell; 2]| cells![label, before, after];
    let can_not = || "cannot be closed".into();
    let change = result.volume_change_m3.zip(result.volume_change_percent);
    let change = change.map(|(m3, percent)| {
        let change = fixed(format!("{:+.2} L, {percent:+.2} %", 1e3 * m3));
        cells!["change of volume", "", change]
    });
    let rows = [
        row("triangles", both.map(|mesh| fixed(mesh.triangles))),
        row("shells", both.map(|mesh| fixed(mesh.shells))),
        row(
            "loops of open edges",
            both.map(|mesh| fixed(mesh.open_loops)),
        ),
        row(
            "defects, open loops included",
            both.map(|mesh| fixed(mesh.defects)),
        ),
        row("size x, y, z", both.map(|mesh| point(mesh.size_m))),
        row("area of the skin", both.map(|mesh| area(mesh.area_m2))),
        row(
            "volume, openings capped",
            both.map(|mesh| mesh.volume_m3.map_or_else(can_not, volume)),
        ),
    ];
    let rows = rows.into_iter().chain(change);
    sheet
        .heading("Before and after")
        .grid(&["", "before", "after"], rows);
}
