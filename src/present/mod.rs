//! Results as text: tables for people, JSON and CSV for programs. No physics.
mod csv;
mod float;
mod inspect;
mod inspect_svg;
mod json;
mod mend;
mod sheet;
mod slice;
mod start;

pub use csv::csv;
pub use inspect_svg::inspect_svg;
pub use json::json;
pub use sheet::Sheet;

use crate::quantity::UnitSystem;

/// A result that can be shown as a table.
pub trait Present: serde::Serialize {
    /// The table, with quantities in the wanted units.
    fn sheet(&self, units: UnitSystem) -> Sheet;
}
