//! Quantities within a sentence: in metric one unit whatever the size, to the digits that
//! the sentence needs; in US units as in the tables.
use crate::quantity::{Metric, UnitSystem, show_in, show_in_beside, show_within};
use crate::study::Limits;

/// Says quantities, given in base units, in one system of units.
#[derive(Debug, Clone, Copy)]
pub(super) struct Say(pub(super) UnitSystem);

impl Say {
    /// Whole millimetres.
    pub(super) fn mm(self, m: f64) -> String {
        show_in(m, Metric::Millimetre, 0, self.0)
    }

    /// Millimetres to a tenth.
    pub(super) fn tenths_of_mm(self, m: f64) -> String {
        show_in(m, Metric::Millimetre, 1, self.0)
    }

    /// Whole millimetres, finer where a limit would else read the same.
    pub(super) fn mm_beside(self, m: f64, limits: &[f64]) -> String {
        show_in_beside(m, limits, Metric::Millimetre, 0, self.0)
    }

    /// Metres.
    pub(super) fn m(self, m: f64, decimals: usize) -> String {
        show_in(m, Metric::Metre, decimals, self.0)
    }

    /// Kilograms.
    pub(super) fn kg(self, kg: f64, decimals: usize) -> String {
        show_in(kg, Metric::Kilogram, decimals, self.0)
    }

    /// Litres.
    pub(super) fn litres(self, m3: f64, decimals: usize) -> String {
        show_in(m3, Metric::Litre, decimals, self.0)
    }

    /// Joules.
    pub(super) fn joules(self, j: f64, decimals: usize) -> String {
        show_in(j, Metric::Joule, decimals, self.0)
    }

    /// Joules to a tenth, finer where a limit would else read the same.
    pub(super) fn joules_beside(self, j: f64, limits: &[f64]) -> String {
        show_in_beside(j, limits, Metric::Joule, 1, self.0)
    }

    /// Any other quantity in its metric unit.
    pub(super) fn of(self, value: f64, metric: Metric, decimals: usize) -> String {
        show_in(value, metric, decimals, self.0)
    }

    /// A density, its thousands set apart in metric, as a person writes them.
    pub(super) fn density(self, kg_m3: f64) -> String {
        let told = self.of(kg_m3, Metric::KilogramPerCubicMetre, 0);
        match (self.0, told.find(' ')) {
            (UnitSystem::Metric, Some(digits)) if digits > 4 => {
                let (thousands, rest) = told.split_at(digits - 3);
                format!("{thousands} {rest}")
            }
            _ => told,
        }
    }

    /// Several amounts with one unit behind the last, `joint` between them.
    pub(super) fn within(
        self,
        values: &[f64],
        joint: &str,
        metric: Metric,
        decimals: usize,
    ) -> String {
        show_within(values, joint, metric, decimals, self.0)
    }
}

/// The limits of a margin.
pub(super) fn limits_of(limits: &Limits) -> [f64; 2] {
    [limits.red.value, limits.green.value]
}

/// A number with as many decimals as it was given with, at most six: limits that people
/// write.
pub(super) fn decimals_of(value: f64) -> usize {
    let text = format!("{value}");
    text.split_once('.')
        .map_or(0, |(_, decimals)| decimals.len().min(6))
}
