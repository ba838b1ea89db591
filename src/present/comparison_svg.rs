//! Boats side by side at one scale and from one side.
use super::Present;
use super::craft_svg::{
    Frame, from_the_side, inside_told, labels_height, list, list_height, listed, reach,
};
use super::svg::{Anchor, Svg, colour};
use crate::quantity::UnitSystem;
use crate::study::{CompareResult, CraftPicture, View};

/// Width of a column, and of the drawing in it.
const COLUMN: f64 = 520.0;
const DRAWING: f64 = 470.0;
const MARGIN: f64 = 24.0;
/// Room over the first row and over each row for its title.
const TOP: f64 = 76.0;
const TITLE: f64 = 28.0;

/// A row of pictures: what it shows, and that view of each boat.
struct Row<'a> {
    title: &'static str,
    missing: &'static str,
    views: Vec<Option<&'a View>>,
    /// Whether its openings are listed under it: those of the row before have the same
    /// numbers.
    listed: bool,
}

impl<'a> Row<'a> {
    fn of(
        [title, missing]: [&'static str; 2],
        pictures: &'a [Option<CraftPicture>],
        seen: fn(&CraftPicture) -> &View,
        listed: bool,
    ) -> Self {
        let views = pictures.iter().map(|picture| picture.as_ref().map(seen));
        Self {
            title,
            missing,
            views: views.collect(),
            listed,
        }
    }
}

/// The boats in columns: at rest from starboard and from astern, and full of
/// water without whoever is aboard.
#[must_use]
pub fn compare_svg(result: &CompareResult, units: UnitSystem) -> String {
    let rows = [
        Row::of(
            [
                "at rest, from starboard, bow to the right",
                "SINKS as loaded",
            ],
            &result.at_rest,
            |picture| &picture.side,
            false,
        ),
        Row::of(
            ["at rest, from astern", "SINKS as loaded"],
            &result.at_rest,
            |picture| &picture.stern,
            true,
        ),
        Row::of(
            [
                "full of water, without whoever is aboard, from starboard",
                "SINKS when full of water",
            ],
            &result.full,
            |picture| &picture.side,
            true,
        ),
    ];
    let longest = rows
        .iter()
        .flat_map(|row| row.views.iter().flatten())
        .map(|view| {
            let [left, right, ..] = reach(view);
            right - left
        })
        .fold(1e-6, f64::max);
    let scale = DRAWING / longest;
    let heights: Vec<f64> = rows
        .iter()
        .map(|row| row_height(row, scale, units))
        .collect();
    let height = TOP + heights.iter().sum::<f64>() + MARGIN;
    let columns = result.names.len().max(1) as f64;
    let mut svg = Svg::new(
        [columns * COLUMN, height],
        &format!("{} side by side", result.names.join(", ")),
        &result.summary(units),
    );
    for (number, name) in result.names.iter().enumerate() {
        let x = number as f64 * COLUMN + MARGIN;
        svg.text_within([x, 26.0], 17.0, Anchor::Start, COLUMN - 2.0 * MARGIN, name);
    }
    svg.text(
        [MARGIN, 46.0],
        12.0,
        Anchor::Start,
        "one scale throughout; circles: things aboard, their area by their share of the weight; calm, still water only",
    );
    let mut views = rows.iter().flat_map(|row| row.views.iter().flatten());
    let inside = views.find(|view| !view.inside.is_empty());
    let inside = inside.map_or("", |view| inside_told(view));
    svg.text(
        [MARGIN, 63.0],
        12.0,
        Anchor::Start,
        &format!(
            "openings by number, the lowest first: ✕ fails, ! marginal, ✓ clear, – covered{inside}"
        ),
    );
    let mut top = TOP;
    for (row, height) in rows.iter().zip(heights) {
        svg.line(
            [MARGIN, top],
            [columns * COLUMN - MARGIN, top],
            colour::GRID,
            1.0,
        );
        for (number, view) in row.views.iter().enumerate() {
            let left = number as f64 * COLUMN + MARGIN;
            svg.text([left, top + 18.0], 13.0, Anchor::Start, row.title);
            match view {
                Some(view) => {
                    let foot = draw(&mut svg, view, [left, top], scale);
                    if row.listed {
                        let lines = listed(view, COLUMN - 2.0 * MARGIN, units);
                        list(&mut svg, &lines, [left, foot]);
                    }
                }
                None => {
                    svg.text([left, top + TITLE + 20.0], 15.0, Anchor::Start, row.missing);
                }
            }
        }
        top += height;
    }
    svg.finish()
}

/// Draws a view; returns where its room ends.
fn draw(svg: &mut Svg, view: &View, [left, top]: [f64; 2], scale: f64) -> f64 {
    let labels = top + TITLE + labels_height(view);
    let frame = Frame::under_labels(view, [left, DRAWING], labels, scale);
    from_the_side(svg, view, frame);
    let [_, _, low, high] = reach(view);
    labels + (high.max(0.0) - low.min(0.0)) * scale + 24.0
}

fn row_height(row: &Row<'_>, scale: f64, units: UnitSystem) -> f64 {
    let of = |view: &View| {
        let [_, _, low, high] = reach(view);
        let lines = row
            .listed
            .then(|| listed(view, COLUMN - 2.0 * MARGIN, units));
        let listed = lines.map_or(0.0, |lines| list_height(&lines));
        TITLE + labels_height(view) + (high.max(0.0) - low.min(0.0)) * scale + 34.0 + listed
    };
    let views = row.views.iter().flatten();
    views.map(|view| of(view)).fold(TITLE + 40.0, f64::max)
}
