//! Where an item may go, as a table.
use super::cautions::cautions;
use super::doubts::doubts;
use super::words::{Words, told_first};
use super::yardsticks::yardsticks;
use super::{Present, Sheet};
use crate::quantity::{Dimension, UnitSystem, show, show_point};
use crate::study::{Answer, PlaceCell, PlaceResult};

mod words;

impl Present for Answer<PlaceResult> {
    fn summary(&self, units: UnitSystem) -> String {
        told_first(self.as_it_lies.as_ref(), words::summary(self, units))
    }

    fn words(&self) -> Words {
        Words::of(self, self.summary(UnitSystem::Metric)).and(
            "/yardsticks",
            yardsticks(&self.yardsticks, UnitSystem::Metric),
        )
    }

    fn sheet(&self, units: UnitSystem) -> Sheet {
        let mut sheet = Sheet::titled(format!("{}: {}", self.name, self.summary(units)));
        let mut rows = vec![row("where it is", &self.now, units)];
        if let Some(best) = &self.best {
            let what = if !self.worth_moving {
                "best, no better than where it is"
            } else if best.fails.is_empty() {
                "best"
            } else {
                "nearest to the yardsticks, none passes all"
            };
            rows.push(row(what, best, units));
        }
        if let Some(level) = &self.level {
            let what = match () {
                () if !level.on_the_boat => "would level it, but lies off the boat",
                () if !level.fits => "would level it, but does not fit there",
                () => "levels the craft",
            };
            rows.push(row(what, &level.cell, units));
        }
        sheet.heading("Places of note").grid(&header(), rows);
        sheet.heading("All places, lowest sill first");
        let mut cells: Vec<&PlaceCell> = self.cells.iter().collect();
        cells.sort_by(|a, b| {
            let height = |cell: &PlaceCell| cell.lowest_sill_m.unwrap_or(f64::INFINITY);
            height(a).total_cmp(&height(b))
        });
        let rows = cells.iter().map(|cell| row("", cell, units)).collect();
        sheet
            .grid(&header(), rows)
            .notes(&yardsticks(&self.yardsticks, units));
        sheet.doubts(doubts(&self.doubts, units));
        sheet.cautions(&cautions(&self.cautions, units));
        sheet
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

fn row(what: &str, cell: &PlaceCell, units: UnitSystem) -> Vec<String> {
    let or_blank = |value: Option<f64>, dimension| {
        value.map_or_else(String::new, |value| show(value, dimension, units))
    };
    vec![
        what.to_owned(),
        show_point(cell.at_m, units),
        or_blank(cell.lowest_sill_m, Dimension::Length),
        cell.opening.clone().unwrap_or_default(),
        match &cell.knock_first {
            Some(first) => format!(
                "{}: {first} first",
                or_blank(cell.knock_j, Dimension::Energy)
            ),
            None => or_blank(cell.knock_j, Dimension::Energy),
        },
        match (cell.least_lean_deg, cell.least_over_deg) {
            (lean, Some(over)) if lean.is_none_or(|lean| over < lean) => {
                format!("{} turns it over", show(over, Dimension::Angle, units))
            }
            (lean, _) => or_blank(lean, Dimension::Angle),
        },
        show(cell.heel_deg, Dimension::Angle, units),
        show(cell.pitch_deg, Dimension::Angle, units),
        if cell.fails.is_empty() {
            cell.verdict.to_string()
        } else {
            format!("fail: {}", cell.fails.join(", "))
        },
    ]
}
