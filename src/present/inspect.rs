//! The table of a mesh that was looked over.
use super::words::Words;
use super::{Present, Sheet};
use crate::quantity::{Dimension, UnitSystem, show, show_point};
use crate::study::{HoleKind, InspectResult};

/// What is said behind the first line of a hull of which up is a guess.
pub(super) fn guessed_up(is_a_guess: bool) -> &'static str {
    if is_a_guess {
        "; which way is up is a guess"
    } else {
        ""
    }
}

mod words;

use words::because;
pub use words::next_steps;

impl Present for InspectResult {
    fn words(&self) -> Words {
        Words::default()
            .and("/because", because(self, UnitSystem::Metric))
            .and("/next", next_steps(self))
    }

    fn sheet(&self, units: UnitSystem) -> Sheet {
        let mut sheet = Sheet::titled(format!(
            "{}: {}{}",
            self.name,
            self.grade.words(),
            guessed_up(self.posture.as_ref().is_some_and(|p| p.up_is_a_guess()))
        ));
        sheet.notes(&because(self, units));
        if !self.next.is_empty() {
            sheet.heading("Next").notes(&next_steps(self));
        }
        size(&mut sheet, self, units);
        lie(&mut sheet, self, units);
        loops(&mut sheet, self, units);
        flat_edges(&mut sheet, self, units);
        shells(&mut sheet, self, units);
        if !self.defects.is_empty() {
            sheet
                .heading("Defects, with the first places (m)")
                .notes(&self.defects);
        }
        sheet.doubts(&self.mesh_doubts);
        sheet
    }
}

fn size(sheet: &mut Sheet, result: &InspectResult, units: UnitSystem) {
    let unit = result.unit_guess.as_ref().map_or_else(
        || "as given".to_owned(),
        |guess| format!("{} ({})", guess.unit, guess.confidence),
    );
    sheet.heading("Size").values([
        ("x, y, z", show_point(result.size_m, units)),
        ("unit of the mesh", unit),
        (
            "triangles, vertices",
            format!("{}, {}", result.triangles, result.vertices),
        ),
        (
            "area of the skin",
            show(result.area_m2, Dimension::Area, units),
        ),
        (
            "volume with openings capped",
            result.volume_m3.map_or_else(
                || "none: it cannot be closed".to_owned(),
                |volume| show(volume, Dimension::Volume, units),
            ),
        ),
    ]);
}

fn lie(sheet: &mut Sheet, result: &InspectResult, units: UnitSystem) {
    sheet.heading("How it lies");
    let Some(posture) = &result.posture else {
        sheet.notes(result.no_posture_because.as_slice());
        return;
    };
    let [half, most, worst] = result.symmetry_error_mm.unwrap_or([f64::NAN; 3]);
    let place = [
        posture.plane.worst_at.x,
        posture.plane.worst_at.y,
        posture.plane.worst_at.z,
    ];
    sheet.values([
        ("up", format!("{} ({})", posture.up_because, posture.up)),
        ("bow", format!("{} ({})", posture.bow_because, posture.bow)),
        (
            "off the boat frame by",
            show(posture.off_by_deg, Dimension::Angle, units),
        ),
        (
            "port and starboard differ",
            format!("half of it by under {half:.1} mm, nine tenths by under {most:.1} mm"),
        ),
        (
            "most",
            format!("{worst:.1} mm at {}", show_point(place, units)),
        ),
    ]);
}

fn loops(sheet: &mut Sheet, result: &InspectResult, units: UnitSystem) {
    sheet.heading("Open edges, the longest first");
    if result.loops.is_empty() {
        sheet.notes(&["none: the mesh is closed"]);
        return;
    }
    let rows = result
        .loops
        .iter()
        .map(|line| {
            vec![
                line.number.to_string(),
                show(line.length_m, Dimension::Length, units),
                show_point(line.middle_m, units),
                show(line.long_m, Dimension::Length, units),
                show(line.broad_m, Dimension::Length, units),
                line.lowest_m.map_or_else(
                    || "–".to_owned(),
                    |height| show(height, Dimension::Length, units),
                ),
                line.corners.to_string(),
                line.probably.map_or("–", HoleKind::words).to_owned(),
                line.looks_like.word().to_owned(),
                line.because.to_owned(),
            ]
        })
        .collect();
    let header = [
        "no.",
        "round",
        "middle x, y, z",
        "long",
        "broad",
        "over the lowest",
        "corners",
        "probably",
        "looks like",
        "because",
    ];
    sheet.grid(&header, rows);
    say_more(sheet, result.loops.len(), result.loop_count);
}

fn flat_edges(sheet: &mut Sheet, result: &InspectResult, units: UnitSystem) {
    if result.flat_edges.is_empty() {
        return;
    }
    let rows = result
        .flat_edges
        .iter()
        .map(|edge| {
            let middle = [edge.middle.x, edge.middle.y, edge.middle.z];
            vec![
                edge.number.to_string(),
                format!("{:.0} %", 100.0 * edge.share),
                show_point(middle, units),
                show(edge.off_m, Dimension::Length, units),
            ]
        })
        .collect();
    sheet
        .heading("Flat parts of the longest open edge: mirror half a hull in the one where it was cut (--mirror NUMBER)")
        .grid(
            &["no.", "of the edge", "middle x, y, z", "nine tenths within"],
            rows,
        );
}

fn shells(sheet: &mut Sheet, result: &InspectResult, units: UnitSystem) {
    let rows = result
        .shells
        .iter()
        .map(|shell| {
            vec![
                shell.triangles.to_string(),
                show_point(shell.size_m, units),
                show_point(shell.middle_m, units),
                match (shell.volume_m3, shell.inside_of) {
                    (None, _) => "open".to_owned(),
                    (Some(volume), 0) => {
                        format!("closed, {}", show(volume, Dimension::Volume, units))
                    }
                    (Some(volume), _) => format!(
                        "closed, {}, inside another",
                        show(volume, Dimension::Volume, units)
                    ),
                },
            ]
        })
        .collect();
    sheet
        .heading("Shells (connected pieces), the largest first")
        .grid(
            &["triangles", "size x, y, z", "middle x, y, z", "state"],
            rows,
        );
    say_more(sheet, result.shells.len(), result.shell_count);
}

fn say_more(sheet: &mut Sheet, shown: usize, all: usize) {
    if all > shown {
        sheet.notes(&[format!("and {} more", all - shown)]);
    }
}
