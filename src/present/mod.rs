//! Results as text: tables for people, JSON and CSV for programs. No physics.
mod calibrate;
mod cautions;
mod cell;
mod comparison;
mod comparison_svg;
mod craft_svg;
mod csv;
mod curves;
mod curves_svg;
mod deck_map;
mod dive;
mod dive_svg;
mod doubts;
mod drill;
mod drill_svg;
mod film_svg;
mod float;
mod flooded;
mod foam;
mod inspect;
mod inspect_svg;
mod json;
mod list;
mod margins;
mod mend;
mod page;
mod place;
mod plain;
mod plot;
mod report;
mod righting;
mod rose_svg;
mod say;
mod schema;
mod section;
mod section_svg;
mod sheet;
mod sheet_rows;
mod sill;
mod slice;
mod spread;
mod start;
pub mod svg;
mod swamp;
mod tape;
mod tape_svg;
mod template;
mod trapped;
mod whereabouts;
mod words;
mod yardsticks;

pub use cautions::cautions;
pub use cell::Cell;
pub use comparison_svg::compare_svg;
#[cfg(feature = "cli")]
pub(crate) use csv::csv_text;
pub use csv::{csv, csv_rows};
pub use curves_svg::curves_svg;
pub use deck_map::{load_svg, place_svg};
pub use dive_svg::dive_svg;
pub use drill_svg::drill_svg;
pub use film_svg::film_strip_svg;
pub(crate) use float::{Lying, lolls, sinks};
pub use inspect::next_steps;
pub use inspect_svg::inspect_svg;
#[cfg(feature = "cli")]
pub(crate) use json::json_text;
pub use json::{json, with_words};
pub use page::page;
pub use plain::harmless;
pub use report::{helper_sheet_html, report_html};
pub use righting::righting_svg;
pub use rose_svg::rose_svg;
pub use schema::{RESULTS, schema};
pub use section_svg::lines_svg;
pub use sheet::{Part, Sheet, folded};
pub use sill::sill_svg;
pub use swamp::time_line_csv;
pub use tape_svg::tape_svg;
pub use template::{CHECK_SQUARE_MM, Paper, template_dxf, template_pdf, template_svg};
pub use words::Words;

use crate::quantity::UnitSystem;

/// A result that can be shown.
pub trait Present: serde::Serialize + std::fmt::Debug {
    /// What matters most, in a sentence or a few; empty where the result has none.
    fn summary(&self, _units: UnitSystem) -> String {
        String::new()
    }

    /// The sentences that JSON and CSV carry beside the facts.
    fn words(&self) -> Words {
        Words::default()
    }

    /// Keys of its JSON that hold bands: what 5, 50 and 95 % of draws lie below.
    fn bands(&self) -> &'static [&'static str] {
        &[]
    }

    /// The table, with quantities in the wanted units.
    fn sheet(&self, units: UnitSystem) -> Sheet;

    /// Its lines under a header row, SI, where it is a list first of all: its CSV
    /// is then a row a line for a spreadsheet, not `key,value`.
    fn rows(&self) -> Option<Vec<Vec<String>>> {
        None
    }
}
