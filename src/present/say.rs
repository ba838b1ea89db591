//! Quantities within a sentence: in metric one unit whatever the size, to the digits that
//! the sentence needs; in US units as in the tables.
use crate::quantity::{
    Metric, UnitSystem, bare_unit, show_in, show_in_beside, show_limit, show_within,
};
use crate::study::Limits;

/// Water of less than these is told in millilitres, in tenths of one, and in tenths of a
/// litre, m³ (ours).
const IN_ML_UNDER_M3: f64 = 1e-4;
const TENTHS_OF_ML_UNDER_M3: f64 = 1e-5;
const TENTHS_OF_L_UNDER_M3: f64 = 1e-2;

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

    /// What is missing or over, as [`Self::of`], never read as nought.
    pub(super) fn some(self, value: f64, metric: Metric, decimals: usize) -> String {
        show_in_beside(value, &[0.0], metric, decimals, self.0)
    }

    /// Degrees, finer where a limit would else read the same.
    pub(super) fn deg_beside(self, deg: f64, decimals: usize, limits: &[f64]) -> String {
        show_in_beside(deg, limits, Metric::Degree, decimals, self.0)
    }

    /// Heel or pitch to a tenth, finer where a lean's limit to its side would else read the same.
    pub(super) fn angle_beside(self, deg: f64, limits: &[f64]) -> String {
        let limits: Vec<f64> = limits.iter().map(|limit| limit.copysign(deg)).collect();
        self.deg_beside(deg, 1, &limits)
    }

    /// A limit, in its metric unit.
    pub(super) fn limit(self, value: f64, metric: Metric) -> String {
        show_limit(value, metric, self.0)
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

    /// Water taken in, of a model as of a boat: under a tenth of a litre in millilitres, under
    /// ten litres to a tenth.
    pub(super) fn water(self, m3: f64) -> String {
        match m3 {
            m3 if m3 <= 0.0 => self.litres(m3, 0),
            m3 if m3 < IN_ML_UNDER_M3 => {
                let decimals = usize::from(m3 < TENTHS_OF_ML_UNDER_M3);
                self.of(m3, Metric::Millilitre, decimals)
            }
            m3 => self.litres(m3, usize::from(m3 < TENTHS_OF_L_UNDER_M3)),
        }
    }

    /// Joules.
    pub(super) fn joules(self, j: f64, decimals: usize) -> String {
        show_in(j, Metric::Joule, decimals, self.0)
    }

    /// Joules, finer where a limit would else read the same.
    pub(super) fn joules_beside(self, j: f64, decimals: usize, limits: &[f64]) -> String {
        show_in_beside(j, limits, Metric::Joule, decimals, self.0)
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

/// One system where there is room for one number only: of both, metric.
pub(super) fn one_system(units: UnitSystem) -> UnitSystem {
    match units {
        UnitSystem::Us => UnitSystem::Us,
        UnitSystem::Metric | UnitSystem::Both => UnitSystem::Metric,
    }
}

/// Bare numbers in one unit, which is named once: along an axis, in a row under a drawing.
#[derive(Debug, Clone, Copy)]
pub(super) struct Bare {
    /// The unit's symbol.
    pub(super) unit: &'static str,
    per_base: f64,
    decimals: usize,
}

impl Bare {
    /// Of a metric unit, or the US one that stands for it.
    pub(super) fn of(metric: Metric, units: UnitSystem) -> Self {
        let (unit, per_base) = bare_unit(metric, units);
        // A tenth of an inch is a tape's two millimetres and a half.
        let decimals = usize::from(unit == "in");
        Self {
            unit,
            per_base,
            decimals,
        }
    }

    /// Short lengths: millimetres or inches.
    pub(super) fn short(units: UnitSystem) -> Self {
        Self::of(Metric::Millimetre, units)
    }

    /// An amount in base units as so many of the unit.
    pub(super) fn value(self, base: f64) -> f64 {
        base * self.per_base
    }

    /// The same as it is printed, without the unit: whole, inches to a tenth.
    pub(super) fn told(self, base: f64) -> String {
        let decimals = self.decimals;
        let text = format!("{:.decimals$}", self.value(base));
        match text.strip_prefix('-') {
            Some(digits) if digits.chars().all(|c| matches!(c, '0' | '.')) => digits.to_owned(),
            _ => text,
        }
    }
}

/// The limits of a margin.
pub(super) fn limits_of(limits: &Limits) -> [f64; 2] {
    [limits.red.value, limits.green.value]
}
