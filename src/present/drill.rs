//! The tables of the drill and cut map.
use super::cell::{angle, area, cells, length_beside, length_by, mass, or_dash};
use super::say::Say;
use super::slice::height_on_z;
use super::words::Words;
use super::{Cell, Present, Sheet};
use crate::quantity::{Metric, UnitSystem};
use crate::study::{Answer, DrillResult, SideBorders};

mod words;

/// Tapes are read to this, m.
const TAPE_STEP_M: f64 = 0.001;

impl Present for Answer<DrillResult> {
    fn summary(&self, units: UnitSystem) -> String {
        words::summary(self, units)
    }

    fn words(&self) -> Words {
        Words::of(self, self.summary(UnitSystem::Metric))
    }

    fn sheet(&self, units: UnitSystem) -> Sheet {
        let mut sheet = Sheet::answering(self, units);
        meanings(&mut sheet, self);
        conditions(&mut sheet, self);
        areas(&mut sheet, self);
        borders(&mut sheet, self);
        openings(&mut sheet, self);
        sheet.wary_of(self)
    }
}

fn length(m: f64) -> Cell {
    length_by(TAPE_STEP_M)(m)
}

fn meanings(sheet: &mut Sheet, result: &DrillResult) {
    let say = Say(sheet.units);
    let height = |m| say.limit(m, Metric::Millimetre);
    let [never, leaned] = &result.sources;
    let meanings = [
        format!(
            "never: under water at rest, or less than {} above it in any of the conditions ({never})",
            height(result.never_under_m),
        ),
        format!(
            "only if sealed: less than {} above it, or reached when the craft leans by {} any way ({leaned})",
            height(result.free_over_m),
            say.limit(result.lean_deg, Metric::Degree),
        ),
        "free: higher than both, in every condition".to_owned(),
    ];
    sheet.heading("What the words mean").notes(&meanings);
}

fn conditions(sheet: &mut Sheet, result: &DrillResult) {
    let rows = result.cases.iter().map(|case| {
        cells![
            &case.name,
            mass(case.mass_kg),
            angle(case.heel_deg),
            angle(case.pitch_deg),
            height_on_z(case.waterline_height_m),
        ]
    });
    let header = [
        "condition",
        "mass",
        "heel",
        "pitch",
        "waterline on the z axis",
    ];
    sheet
        .heading("Loading conditions, each dry and at rest")
        .grid(&header, rows);
}

fn areas(sheet: &mut Sheet, result: &DrillResult) {
    let rows = result.areas.iter().map(|row| {
        cells![
            row.name,
            area(row.never_m2),
            area(row.only_if_sealed_m2),
            area(row.free_m2),
        ]
    });
    sheet
        .heading("Area of skin")
        .grid(&["where", "never", "only if sealed", "free"], rows);
}

fn borders(sheet: &mut Sheet, result: &DrillResult) {
    let rows = result.stations.iter().flat_map(|station| {
        let from_stem = Some(length(station.from_stem_m));
        let sides = [
            ("port", &station.port, from_stem),
            ("starboard", &station.starboard, None),
        ];
        sides.into_iter().filter_map(|(side, borders, from_stem)| {
            let mut row = cells![from_stem, side];
            row.extend(of_side(borders.as_ref()?));
            Some(row)
        })
    });
    let header = [
        "from the stem",
        "side",
        "no hole below",
        "free above",
        "the rim",
        "free, down from the rim",
        "set by",
    ];
    sheet
        .heading("Borders: height over the base line, level with the lowest point of the hull")
        .grid(&header, rows)
        .notes(&[
            "Heights are square to the base line, with the boat standing as it is drawn (not on its trim). They count from the hull's lowest point anywhere, not from the keel at that station: set them off from a level line under the hull, or go by the tape down from the rim.",
            "\"down from the rim\" is measured along the outside of the skin.",
            "\"–\": no part of the side is so low that a hole may never go there. \"all\": the whole side is free; \"none\": nothing of it is.",
        ]);
}

fn of_side(borders: &SideBorders) -> Vec<Cell> {
    let never = borders.never_below.as_ref();
    let (free, down) = match &borders.free_over {
        None => ("all".into(), "all".into()),
        Some(border) if border.below_rim_m <= 0.0 => ("none".into(), "none".into()),
        Some(border) => (length(border.over_base_m), length(border.below_rim_m)),
    };
    cells![
        or_dash(never.map(|border| length(border.over_base_m))),
        free,
        length(borders.rim_over_base_m),
        down,
        borders.free_set_by.as_ref(),
    ]
}

fn openings(sheet: &mut Sheet, result: &DrillResult) {
    if result.openings.is_empty() {
        return;
    }
    let limits = [0.0, result.never_under_m, result.free_over_m];
    let rows = result.openings.iter().map(|opening| {
        cells![
            &opening.name,
            if opening.covered { "covered" } else { "" },
            length_beside(opening.height_m, &limits),
            length_beside(opening.height_leaned_m, &limits[..1]),
            opening.class.word(),
        ]
    });
    let header = [
        "opening",
        "",
        "above water at rest",
        "leaned the worst way",
        "its lowest point is",
    ];
    sheet.heading("Openings that there are").grid(&header, rows);
}
