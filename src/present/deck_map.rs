//! Maps of the deck from above: a shade and a number in each place.
use super::Present;
use super::svg::{Anchor, Svg, colour};
use crate::quantity::{Dimension, UnitSystem, show};
use crate::study::{Answer, HullFrame, LoadEnd, MarginsResult, PlaceResult};

/// Size of a place in the drawing.
const CELL: [f64; 2] = [66.0, 38.0];
/// Room round the map.
const MARGIN: f64 = 30.0;
const TOP: f64 = 64.0;
/// Shades from the least value to the most: dark text stays readable on both.
const PALEST: f64 = 0.06;
const DARKEST: f64 = 0.6;

/// One place of a map.
struct Cell {
    at_m: [f64; 2],
    value: f64,
    /// After the number.
    mark: &'static str,
}

/// The extra mass that each place of the craft carries before an opening is awash,
/// or, with a star, before it turns over.
#[must_use]
pub fn load_svg(result: &Answer<MarginsResult>, units: UnitSystem) -> String {
    let cells: Vec<Cell> = result
        .load
        .iter()
        .filter_map(|line| {
            Some(Cell {
                at_m: [line.at_m[0], line.at_m[1]],
                value: line.mass_kg?,
                mark: match line.end {
                    LoadEnd::TurnsOver => " *",
                    _ => "",
                },
            })
        })
        .collect();
    map(
        &format!(
            "{}: extra mass until an opening is awash (*: until it turns over)",
            result.name
        ),
        "the greatest extra mass at each place of the deck",
        &cells,
        result.frame,
        &|kg| show(kg, Dimension::Mass, one_system(units)),
    )
}

/// The lowest sill with the item in each place.
#[must_use]
pub fn place_svg(result: &Answer<PlaceResult>, units: UnitSystem) -> String {
    let cells: Vec<Cell> = result
        .cells
        .iter()
        .filter_map(|cell| {
            Some(Cell {
                at_m: [cell.at_m[0], cell.at_m[1]],
                value: cell.lowest_sill_m?,
                mark: "",
            })
        })
        .collect();
    map(
        &format!("{}: lowest sill with {} there", result.name, result.item),
        &result.summary(units),
        &cells,
        result.frame,
        &|height| show(height, Dimension::Length, one_system(units)),
    )
}

/// A place holds one number only.
fn one_system(units: UnitSystem) -> UnitSystem {
    match units {
        UnitSystem::Us => UnitSystem::Us,
        UnitSystem::Metric | UnitSystem::Both => UnitSystem::Metric,
    }
}

fn map(
    title: &str,
    description: &str,
    cells: &[Cell],
    frame: HullFrame,
    say: &dyn Fn(f64) -> String,
) -> String {
    let [columns, rows] = [0, 1].map(|axis| {
        let mut places: Vec<f64> = cells.iter().map(|cell| cell.at_m[axis]).collect();
        places.sort_by(f64::total_cmp);
        // Places of one row differ by rounding only.
        places.dedup_by(|a, b| (*a - *b).abs() < 1e-6);
        places
    });
    let number = |places: &[f64], at: f64| places.iter().filter(|p| **p < at - 1e-6).count() as f64;
    let width = (columns.len() as f64 * CELL[0] + 2.0 * MARGIN).max(520.0);
    let height = TOP + rows.len() as f64 * CELL[1] + 50.0;
    let mut svg = Svg::new([width, height], title, description);
    svg.text([MARGIN, 26.0], 16.0, Anchor::Start, title).text(
        [MARGIN, 48.0],
        12.0,
        Anchor::Start,
        "from above, bow to the right, port up; the darker the more",
    );
    let (least, most) = cells
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), cell| {
            (low.min(cell.value), high.max(cell.value))
        });
    for cell in cells {
        let corner = [
            MARGIN + number(&columns, cell.at_m[0]) * CELL[0],
            TOP + (rows.len() as f64 - 1.0 - number(&rows, cell.at_m[1])) * CELL[1],
        ];
        let share = (cell.value - least) / (most - least).max(f64::MIN_POSITIVE);
        let shade = PALEST + (DARKEST - PALEST) * share;
        svg.rectangle(corner, CELL, "white", Some((colour::MAIN, shade)));
        let middle = [corner[0] + CELL[0] / 2.0, corner[1] + CELL[1] / 2.0 + 4.0];
        let label = say(cell.value) + cell.mark;
        svg.text(middle, 11.0, Anchor::Middle, &label);
    }
    let foot = match (
        columns.first().zip(columns.last()),
        rows.first().zip(rows.last()),
    ) {
        (Some((aft, fore)), Some((starboard, port))) => format!(
            "middles of the places: x from {aft:.2} to {fore:.2} m, y from {starboard:.2} to {port:.2} m"
        ),
        _ => "no place has a number".to_owned(),
    };
    svg.text([MARGIN, height - 16.0], 12.0, Anchor::Start, &foot);
    svg.foot_note(&frame.in_words(UnitSystem::Metric));
    svg.finish()
}
