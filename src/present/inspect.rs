//! The table of a mesh that was looked over.
use super::cell::{angle, area, cells, fixed, length, or_dash, point, quantity_in, volume};
use super::words::Words;
use super::{Present, Sheet};
use crate::quantity::{Metric, UnitSystem};
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
    fn summary(&self, units: UnitSystem) -> String {
        format!(
            "{}: {}.",
            self.grade.words(),
            because(self, units).join("; ")
        )
    }

    fn words(&self) -> Words {
        Words::default()
            .and("/because", because(self, UnitSystem::Metric))
            .and("/next", next_steps(self))
    }

    fn sheet(&self, units: UnitSystem) -> Sheet {
        let guessed = guessed_up(self.posture.as_ref().is_some_and(|p| p.up_is_a_guess()));
        let title = format!("{}: {}{guessed}", self.name, self.grade.words());
        let mut sheet = Sheet::titled(title, units);
        sheet.notes(&because(self, units));
        if !self.next.is_empty() {
            sheet.heading("Next").notes(&next_steps(self));
        }
        size(&mut sheet, self);
        lie(&mut sheet, self);
        loops(&mut sheet, self);
        flat_edges(&mut sheet, self);
        shells(&mut sheet, self);
        if !self.defects.is_empty() {
            let classes = self.defects.iter();
            let classes: Vec<String> = classes.map(|c| c.sentence().in_units(units)).collect();
            sheet
                .heading("Defects, with the first places (m)")
                .notes(&classes);
        }
        sheet.doubts(&self.mesh_doubts);
        sheet
    }
}

fn size(sheet: &mut Sheet, result: &InspectResult) {
    let guess = result.unit_guess.as_ref();
    let unit = guess.map(|guess| format!("{} ({})", guess.unit, guess.confidence));
    let none = || "none: it cannot be closed".into();
    sheet
        .heading("Size")
        .value("x, y, z", point(result.size_m))
        .value(
            "unit of the mesh",
            unit.unwrap_or_else(|| "as given".to_owned()),
        )
        .value(
            "triangles, vertices",
            fixed(result.triangles).and(fixed(result.vertices)),
        )
        .value("area of the skin", area(result.area_m2))
        .value(
            "volume with openings capped",
            result.volume_m3.map_or_else(none, volume),
        );
}

fn lie(sheet: &mut Sheet, result: &InspectResult) {
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
    let mm = |mm: f64| quantity_in(mm / 1e3, Metric::Millimetre, 1);
    sheet
        .value("up", format!("{} ({})", posture.up_because, posture.up))
        .value("bow", format!("{} ({})", posture.bow_because, posture.bow))
        .value("off the boat frame by", angle(posture.off_by_deg))
        .value(
            "port and starboard differ",
            "half of it by under " + mm(half) + ", nine tenths by under " + mm(most),
        )
        .value("most", mm(worst) + " at " + point(place));
}

fn loops(sheet: &mut Sheet, result: &InspectResult) {
    if result.loops.is_empty() {
        sheet
            .heading("Open edges, the longest first")
            .notes(&["none: the mesh is closed"]);
        return;
    }
    sheet.heading("Open edges of the mesh as it is, the longest first: mend's --fill and --keep take these numbers, unless a step before changes what is open (--drop-floor, --largest-only, --mirror, --outer-skin, --crop-…); then try mend without, and take those that its table gives");
    let rows = result.loops.iter().map(|line| {
        cells![
            fixed(line.number),
            length(line.length_m),
            point(line.middle_m),
            length(line.long_m),
            length(line.broad_m),
            or_dash(line.lowest_m.map(length)),
            fixed(line.corners),
            line.probably.map_or("–", HoleKind::words),
            line.looks_like.word(),
            line.because,
        ]
    });
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

fn flat_edges(sheet: &mut Sheet, result: &InspectResult) {
    if result.flat_edges.is_empty() {
        return;
    }
    let rows = result.flat_edges.iter().map(|edge| {
        let middle = [edge.middle.x, edge.middle.y, edge.middle.z];
        cells![
            fixed(edge.number),
            fixed(format!("{:.0} %", 100.0 * edge.share)),
            point(middle),
            length(edge.off_m),
            length(edge.broad_m),
            length(edge.deep_m),
        ]
    });
    sheet
        .heading("Flat parts of the longest open edge: mirror half a hull in the one where it was cut (--mirror NUMBER)")
        .grid(
            &[
                "no.",
                "of the edge",
                "middle x, y, z",
                "nine tenths within",
                "makes a hull so broad",
                "and deep",
            ],
            rows,
        );
}

fn shells(sheet: &mut Sheet, result: &InspectResult) {
    let rows = result.shells.iter().map(|shell| {
        let closed = |m3| "closed, " + volume(m3);
        let state = shell.volume_m3.map_or_else(|| "open".into(), closed);
        let within = shell.volume_m3.is_some() && shell.inside_of > 0;
        cells![
            fixed(shell.triangles),
            point(shell.size_m),
            point(shell.middle_m),
            state + within.then_some(", inside another"),
        ]
    });
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
