//! What a wall round an opening gains, as a table and a plot.
use super::cell::{angle, cells, energy, length, mass};
use super::plot::Plot;
use super::svg::{Anchor, Svg, colour};
use super::words::{Words, told_first};
use super::{Cell, Present, Sheet};
use crate::quantity::{Dimension, UnitSystem, show};
use crate::study::{Answer, SillResult, SillRow};

mod words;

impl Present for Answer<SillResult> {
    fn summary(&self, units: UnitSystem) -> String {
        told_first(self.as_it_lies.as_ref(), words::summary(self, units))
    }

    fn words(&self) -> Words {
        Words::of(self, self.summary(UnitSystem::Metric))
    }

    fn sheet(&self, units: UnitSystem) -> Sheet {
        let mut sheet = Sheet::answering(self, units);
        sheet.heading(&format!(
            "A wall round {} ({} long in plan, {} of wall)",
            self.opening,
            show(self.rim_length_m, Dimension::Length, units),
            show(self.wall_kg_m2, Dimension::ArealDensity, units)
        ));
        let with_opening = |lowest: Cell, opening: &str| lowest + format!(" ({opening})");
        let rows = self.rows.iter().map(|row| {
            let lean = row.least_tilt_deg.zip(row.least_tilt_opening.as_ref());
            cells![
                length(row.wall_m),
                mass(row.wall_mass_kg),
                length(row.sill_m),
                length(row.lost_to_weight_m),
                row.knock_j.map(energy),
                row.knock_first.as_ref(),
                with_opening(length(row.lowest_sill_m), &row.lowest_opening),
                lean.map(|(lean, opening)| with_opening(angle(lean), opening)),
            ]
        });
        let header = [
            "wall",
            "weighs",
            "its sill",
            "its weight sinks it by",
            "its knock",
            "before that it",
            "lowest sill of all",
            "least lean of all",
        ];
        sheet.grid(&header, rows).notes(&[format!(
            "sill at rest: over {} is clear ({})",
            show(self.yardstick_m, Dimension::Length, units),
            self.yardstick_source
        )]);
        sheet.notes(&self.notes);
        sheet.wary_of(self)
    }
}

/// The sill over the height of the wall, in millimetres whatever the units of the
/// table.
#[must_use]
pub fn sill_svg(result: &Answer<SillResult>, units: UnitSystem) -> String {
    let title = format!("{}: a wall round {}", result.name, result.opening);
    let mut svg = Svg::new([640.0, 430.0], &title, &result.summary(units));
    svg.text([320.0, 26.0], 16.0, Anchor::Middle, &title);
    let most = result
        .rows
        .iter()
        .map(|row| row.sill_m)
        .fold(result.yardstick_m, f64::max);
    let least = result
        .rows
        .iter()
        .map(|row| row.lowest_sill_m)
        .fold(0.0, f64::min);
    // Where no wall can help there is no height to draw over: 100 mm of empty plot.
    let tallest = result.rows.last().map_or(0.0, |row| row.wall_m);
    let tallest = if tallest > 0.0 { tallest } else { 0.1 };
    let plot = Plot::new(
        [70.0, 66.0],
        [540.0, 300.0],
        [0.0, tallest * 1e3],
        [least * 1e3, most * 1.05e3],
    );
    plot.axes(&mut svg, "height of the wall, mm", "above the water, mm");
    let yardstick = [0.0, tallest].map(|wall| plot.at(wall * 1e3, result.yardstick_m * 1e3));
    svg.line(yardstick[0], yardstick[1], colour::OTHER, 1.0);
    let [x, y] = yardstick[1];
    svg.text([x - 4.0, y - 4.0], 11.0, Anchor::End, "yardstick");
    let mut run =
        |of: &dyn Fn(&SillRow) -> f64, row: f64, stroke: &str, width: f64, words: &str| {
            let places: Vec<[f64; 2]> = result
                .rows
                .iter()
                .map(|row| plot.at(row.wall_m * 1e3, of(row) * 1e3))
                .collect();
            let y = 84.0 + 16.0 * row;
            svg.polyline(&places, stroke, width, None)
                .line([78.0, y - 4.0], [106.0, y - 4.0], stroke, width)
                .text([112.0, y], 12.0, Anchor::Start, words);
        };
    run(
        &|row| row.sill_m,
        0.0,
        colour::MAIN,
        3.0,
        "its own sill (thick)",
    );
    run(
        &|row| row.lowest_sill_m,
        1.0,
        colour::WORST,
        1.2,
        "lowest sill of all (thin)",
    );
    svg.finish()
}
