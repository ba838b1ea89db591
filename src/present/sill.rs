//! What a wall round an opening gains, as a table and a plot.
use super::cell::{angle, cells, energy, length, mass};
use super::plot::Plot;
use super::say::{Bare, Say};
use super::svg::{Anchor, Svg, colour};
use super::words::{Words, told_first};
use super::{Cell, Present, Sheet};
use crate::quantity::{Dimension, Metric, UnitSystem, show};
use crate::study::{Answer, RimLies, SillResult, SillRow};

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

/// The sill over the height of the wall.
#[must_use]
pub fn sill_svg(result: &Answer<SillResult>, units: UnitSystem) -> String {
    let title = format!("{}: a wall round {}", result.name, result.opening);
    let mut svg = Svg::new([640.0, 476.0], &title, &result.summary(units));
    svg.heading([320.0, 26.0], 16.0, Anchor::Middle, &title);
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
    let bare = Bare::short(units);
    // Where no wall can help there is no height to draw over: 100 mm of empty plot.
    let tallest = result.rows.last().map_or(0.0, |row| row.wall_m);
    let tallest = if tallest > 0.0 { tallest } else { 0.1 };
    let plot = Plot::new(
        [70.0, 66.0],
        [540.0, 300.0],
        [0.0, tallest].map(|m| bare.value(m)),
        [least, 1.05 * most].map(|m| bare.value(m)),
    );
    plot.axes(
        &mut svg,
        &format!("height of the wall, {}", bare.unit),
        &format!("above the water, {}", bare.unit),
    );
    let at = |wall_m: f64, height_m: f64| plot.at(bare.value(wall_m), bare.value(height_m));
    let yardstick = [0.0, tallest].map(|wall| at(wall, result.yardstick_m));
    svg.line(yardstick[0], yardstick[1], colour::OTHER, 1.0);
    let mut run =
        |of: &dyn Fn(&SillRow) -> f64, row: f64, stroke: &str, width: f64, words: &str| {
            let places: Vec<[f64; 2]> = result
                .rows
                .iter()
                .map(|row| at(row.wall_m, of(row)))
                .collect();
            let (x, y) = (70.0 + 200.0 * row, 424.0);
            svg.polyline(&places, stroke, width, None)
                .line([x, y - 4.0], [x + 28.0, y - 4.0], stroke, width)
                .text([x + 34.0, y], 12.0, Anchor::Start, words);
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
    let mm = Say(units).limit(result.yardstick_m, Metric::Millimetre);
    let words = format!("yardstick: {mm} or more");
    // Clear of the curves: they rise from left to right, below the line where they reach it late.
    let half = result.rows.get(result.rows.len() / 2);
    let is_late = half.is_none_or(|row| row.sill_m < result.yardstick_m);
    let [[left, y], [right, _]] = yardstick;
    if is_late {
        svg.text_over([left + 10.0, y - 6.0], 12.0, Anchor::Start, &words);
    } else {
        svg.text_over([right - 4.0, y + 15.0], 12.0, Anchor::End, &words);
    }
    marks(&mut svg, result, &at, Say(units));
    svg.finish()
}

/// The sill as it is, and the wall that brings it to the yardstick.
fn marks(svg: &mut Svg, result: &SillResult, at: &impl Fn(f64, f64) -> [f64; 2], say: Say) {
    let y = 446.0;
    if let Some(now) = result.rows.first() {
        svg.circle(at(0.0, now.sill_m), 5.0, colour::INK, Some("white"))
            .circle([76.0, y - 4.0], 5.0, colour::INK, Some("white"));
        let words = format!(
            "the sill now: {} above the water",
            say.mm_beside(now.sill_m, &[0.0, result.yardstick_m])
        );
        svg.text([88.0, y], 12.0, Anchor::Start, &words);
    }
    let words = match (result.wall_to_yardstick_m, result.rim_lies) {
        (Some(wall), _) if wall > 0.0 => {
            let top = at(wall, result.yardstick_m);
            let foot = [top[0], at(0.0, 0.0)[1].min(366.0)];
            svg.dashes(&[top, foot], colour::INK, 1.2).circle(
                top,
                5.0,
                colour::INK,
                Some(colour::INK),
            );
            format!("needed (disc): a wall of {}", say.mm(wall))
        }
        (Some(_), _) => "it stands high enough without a wall".to_owned(),
        (None, RimLies::Level) => "no wall up to the tallest tried is enough".to_owned(),
        (None, _) => format!(
            "a wall on this rim does not raise it; it lacks {}",
            say.mm(result.lacks_m)
        ),
    };
    svg.text([88.0, y + 18.0], 12.0, Anchor::Start, &words);
}
