//! Where an item may go, as a table.
use super::cell::{angle, angle_beside, cells, length_beside, point};
use super::words::{Words, told_first};
use super::yardsticks::{To, limits, yardsticks};
use super::{Cell, Present, Sheet};
use crate::quantity::{Dimension, UnitSystem};
use crate::study::{Answer, PlaceCell, PlaceResult, Verdict, Yardstick};

mod words;

impl Present for Answer<PlaceResult> {
    fn summary(&self, units: UnitSystem) -> String {
        told_first(self.as_it_lies.as_ref(), words::summary(self, units))
    }

    fn words(&self) -> Words {
        Words::of(self, self.summary(UnitSystem::Metric)).and_yardsticks(&self.yardsticks)
    }

    fn sheet(&self, units: UnitSystem) -> Sheet {
        let mut sheet = Sheet::answering(self, units);
        let row = |what: &str, cell: &PlaceCell| row(what, cell, &self.yardsticks);
        let mut rows = vec![row("where it is", &self.now)];
        if let Some(best) = &self.best {
            let what = if !self.worth_moving {
                "best, no better than where it is"
            } else if best.fails.is_empty() {
                "best"
            } else {
                "nearest to the yardsticks, none passes all"
            };
            rows.push(row(what, best));
        }
        if let Some(level) = &self.level {
            let what = match () {
                () if !level.on_the_boat => "would level it, but lies off the boat",
                () if !level.in_the_hull => "would level it, but lies outside the hull",
                () if !level.fits => "would level it, but does not fit there",
                () => "levels the craft",
            };
            rows.push(row(what, &level.cell));
        }
        sheet.heading("Places of note").grid(&header(), rows);
        sheet.heading("All places, lowest sill first");
        let mut cells: Vec<&PlaceCell> = self.cells.iter().collect();
        cells.sort_by(|a, b| {
            let height = |cell: &PlaceCell| cell.lowest_sill_m.unwrap_or(f64::INFINITY);
            height(a).total_cmp(&height(b))
        });
        let rows = cells.iter().map(|cell| row("", cell));
        sheet.grid(&header(), rows);
        if self.outside_the_hull > 0 {
            sheet.notes(&["places over the boat but outside the hull at this height are left out"]);
        }
        sheet.notes(&yardsticks(&self.yardsticks, units));
        sheet.wary_of(self)
    }
}

fn header() -> [&'static str; 9] {
    [
        "",
        "at x, y, z",
        "lowest sill",
        "opening",
        "knock",
        "least lean",
        "heel",
        "pitch",
        "verdict",
    ]
}

fn row(what: &str, cell: &PlaceCell, yardsticks: &[Yardstick]) -> Vec<Cell> {
    let work = limits(yardsticks, To::Work);
    let work = |j| Cell::beside(j, Dimension::Energy, &work);
    let leans = limits(yardsticks, To::Lean);
    let knock = Cell::from(cell.knock_j.map(work));
    cells![
        what,
        point(cell.at_m),
        cell.lowest_sill_m
            .map(|height| length_beside(height, &limits(yardsticks, To::Sill))),
        cell.opening.as_ref(),
        match &cell.knock_first {
            Some(first) => knock + format!(": {first} first"),
            None => knock,
        },
        match (cell.least_lean_deg, cell.least_over_deg) {
            (lean, Some(over)) if lean.is_none_or(|lean| over < lean) => {
                angle_beside(over, &leans) + " turns it over"
            }
            (lean, _) => lean.map(|lean| angle_beside(lean, &leans)).into(),
        },
        angle_beside(cell.heel_deg, &limits(yardsticks, To::Heel)),
        angle(cell.pitch_deg),
        if cell.fails.is_empty() {
            Cell::from(cell.verdict)
        } else {
            Cell::from(Verdict::Fail) + format!(": {}", cell.fails.join(", "))
        },
    ]
}
