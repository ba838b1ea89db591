//! Reading and printing quantities with units.
//!
//! Inside awash every number is in base units (mostly SI). People write
//! `"40 lb"` or `3'2"`; [`Quantity::parse`] turns that into base units once, at
//! the edge, and [`show`] turns it back when it is printed. Pure functions;
//! nothing here reads a file or holds state.

mod error;
mod parse;
mod reader;
mod sentence;
mod show;
mod units;

/// ± of a length read by tape that states none, m. Ours, no source.
pub const TAPE_M: f64 = 0.003;

pub use error::QuantityError;
pub use sentence::{Piece, Sentence};
pub(crate) use sentence::{capitalised, litres, metres, mm, sentence};
pub use show::{
    Metric, UnitSystem, bare_unit, show, show_beside, show_in, show_in_beside, show_limit,
    show_point, show_with, show_within,
};

/// What kind of amount a number is, which fixes its base unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Dimension {
    /// Metres.
    Length,
    /// Kilograms.
    Mass,
    /// Degrees.
    Angle,
    /// Cubic metres.
    Volume,
    /// Kilograms per cubic metre.
    Density,
    /// Pascals.
    Pressure,
    /// Kilograms per square metre, as of cloth or laminate.
    ArealDensity,
    /// Degrees Celsius.
    Temperature,
    /// Grams of salt per kilogram of water; ‰ and practical salinity count as
    /// the same.
    Salinity,
    /// Square metres.
    Area,
    /// Newtons.
    Force,
    /// Joules.
    Energy,
    /// Metres per second.
    Speed,
    /// Seconds.
    Time,
    /// Cubic metres per second.
    Flow,
    /// A share of one, such as a permeability; 1 is the whole.
    Fraction,
    /// Metres to the fourth, of a waterplane about an axis.
    SecondMoment,
}

impl Dimension {
    /// Every dimension, in the order above.
    pub const ALL: [Self; 17] = [
        Self::Length,
        Self::Mass,
        Self::Angle,
        Self::Volume,
        Self::Density,
        Self::Pressure,
        Self::ArealDensity,
        Self::Temperature,
        Self::Salinity,
        Self::Area,
        Self::Force,
        Self::Energy,
        Self::Speed,
        Self::Time,
        Self::Flow,
        Self::Fraction,
        Self::SecondMoment,
    ];

    /// The base unit's symbol; `1` for a fraction.
    #[must_use]
    pub fn symbol(self) -> &'static str {
        match self {
            Self::Length => "m",
            Self::Mass => "kg",
            Self::Angle => "°",
            Self::Volume => "m³",
            Self::Density => "kg/m³",
            Self::Pressure => "Pa",
            Self::ArealDensity => "kg/m²",
            Self::Temperature => "°C",
            Self::Salinity => "g/kg",
            Self::Area => "m²",
            Self::Force => "N",
            Self::Energy => "J",
            Self::Speed => "m/s",
            Self::Time => "s",
            Self::Flow => "m³/s",
            Self::Fraction => "1",
            Self::SecondMoment => "m⁴",
        }
    }

    /// What it is called in a sentence, with its article.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Length => "a length",
            Self::Mass => "a mass",
            Self::Angle => "an angle",
            Self::Volume => "a volume",
            Self::Density => "a density",
            Self::Pressure => "a pressure",
            Self::ArealDensity => "a weight per area",
            Self::Temperature => "a temperature",
            Self::Salinity => "a salinity",
            Self::Area => "an area",
            Self::Force => "a force",
            Self::Energy => "an energy",
            Self::Speed => "a speed",
            Self::Time => "a time",
            Self::Flow => "a flow",
            Self::Fraction => "a fraction",
            Self::SecondMoment => "a second moment of area",
        }
    }

    /// Two ways of writing such an amount, for a hint.
    #[must_use]
    pub fn example(self) -> &'static str {
        match self {
            Self::Length => "\"132 mm\" or \"5 1/4 in\"",
            Self::Mass => "\"18 kg\" or \"40 lb\"",
            Self::Angle => "\"12 deg\"",
            Self::Volume => "\"12 L\" or \"3 US gal\"",
            Self::Density => "\"1025 kg/m3\" or \"64 lb/ft3\"",
            Self::Pressure => "\"200 bar\" or \"3000 psi\"",
            Self::ArealDensity => "\"200 g/m2\" or \"6 oz/yd2\"",
            Self::Temperature => "\"15 °C\" or \"59 °F\"",
            Self::Salinity => "\"35 g/kg\"",
            Self::Area => "\"0.25 m2\" or \"2.7 ft2\"",
            Self::Force => "\"50 N\" or \"11 lbf\"",
            Self::Energy => "\"15 J\" or \"11 ft·lbf\"",
            Self::Speed => "\"0.5 m/s\" or \"1 kn\"",
            Self::Time => "\"90 s\" or \"1.5 min\"",
            Self::Flow => "\"20 L/min\" or \"5 US gal/min\"",
            Self::Fraction => "\"85 %\" or 0.85",
            Self::SecondMoment => "\"0.33 m4\" or \"38 ft4\"",
        }
    }

    fn spread_example(self) -> String {
        match self {
            Self::Temperature => "\"15 °C ± 2 °C\"".to_owned(),
            Self::Fraction => "\"85 % ± 5 %\", where both are shares of the whole".to_owned(),
            _ => {
                let (unit, _) = self.common_units();
                format!("\"40 {unit} ± 2 {unit}\" or \"40 {unit} ± 5 %\"")
            }
        }
    }

    /// A metric and a US unit to suggest for a number that has none.
    fn common_units(self) -> (&'static str, &'static str) {
        match self {
            Self::Length => ("mm", "in"),
            Self::Mass => ("kg", "lb"),
            Self::Angle => ("deg", "rad"),
            Self::Volume => ("L", "US gal"),
            Self::Density => ("kg/m3", "lb/ft3"),
            Self::Pressure => ("bar", "psi"),
            Self::ArealDensity => ("g/m2", "oz/yd2"),
            Self::Temperature => ("°C", "°F"),
            Self::Salinity => ("g/kg", "psu"),
            Self::Area => ("m2", "ft2"),
            Self::Force => ("N", "lbf"),
            Self::Energy => ("J", "ft·lbf"),
            Self::Speed => ("m/s", "kn"),
            Self::Time => ("s", "min"),
            Self::Flow => ("L/min", "US gal/min"),
            Self::Fraction => ("%", "percent"),
            Self::SecondMoment => ("m4", "ft4"),
        }
    }

    fn unit_symbols(self) -> String {
        units::symbols(self)
    }

    /// Whether a number without a unit can only mean the base unit.
    pub(crate) fn takes_bare_numbers(self) -> bool {
        matches!(
            self,
            Self::Length
                | Self::Mass
                | Self::Angle
                | Self::Temperature
                | Self::Salinity
                | Self::Density
                | Self::Fraction
        )
    }
}

/// A ± is this many standard deviations, wherever it is read or shown: 95.4 of 100
/// values of a normal distribution lie within it.
pub const SPREAD_IN_DEVIATIONS: f64 = 2.0;

/// An amount in base units, with the spread its writer gave it.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct Quantity {
    /// The amount, in the dimension's base unit.
    pub value: f64,
    /// The half-width written after ±, in the base unit; 0 when none was
    /// written, never negative. It is [`SPREAD_IN_DEVIATIONS`] standard deviations
    /// everywhere: about 95 of 100 lie within.
    pub spread: f64,
}

impl Quantity {
    /// An amount without a spread.
    #[must_use]
    pub fn exact(value: f64) -> Self {
        Self { value, spread: 0.0 }
    }

    /// Reads an amount that somebody wrote, such as `40 lb`, `3'2 1/2"`,
    /// `12 lb 5 oz`, `40 ± 2 kg` or `40 kg +/- 5 %`.
    ///
    /// - Numbers: decimals with a point, exponents (`2e-3`), fractions
    ///   (`3/8`, `17 3/8`, `17-3/8`, `½`). A sign stands in front and holds for
    ///   the whole, so `-3'2"` is −38 in.
    /// - Feet and inches: `3'2"`, `3' 2"`, `3'-2"` and `3'2` are all 38 in.
    /// - Spread: in the same kind of unit, or in % of the value. A number
    ///   without a unit on one side of ± takes the unit of the other. A
    ///   fraction's spread is a share of the whole, and % stands on both sides
    ///   or on none: `40 % ± 5 %` is 0.35 to 0.45. A temperature's is a difference: `60 °F ± 9 °F` is ± 5 °C.
    /// - A number without any unit is taken as by [`Quantity::parse_bare`].
    ///
    /// The range is not judged: a fraction of `140 %` is read as 1.4.
    ///
    /// # Errors
    /// [`QuantityError`] when the text cannot be read without doubt: an unknown
    /// unit, one of another dimension, a bare gallon, a comma in a number, a
    /// number that is not finite.
    pub fn parse(text: &str, dimension: Dimension) -> Result<Self, QuantityError> {
        parse::parse(text, dimension, dimension.takes_bare_numbers())
    }

    /// Reads an amount that must carry its unit, for a key such as a skin
    /// thickness where a number alone is more likely millimetres than metres.
    /// For a number that came without any text, pass it printed.
    ///
    /// # Errors
    /// As [`Quantity::parse`], and [`QuantityError::MissingUnit`] for a number
    /// without a unit, whatever its dimension.
    pub fn parse_needing_unit(text: &str, dimension: Dimension) -> Result<Self, QuantityError> {
        parse::parse(text, dimension, false)
    }

    /// Takes a number without a unit as base units where that is obvious:
    /// length (m), mass (kg), angle (°), temperature (°C), salinity (g/kg),
    /// density (kg/m³) and fraction (1 is the whole).
    ///
    /// # Errors
    /// [`QuantityError::MissingUnit`] for the other dimensions,
    /// [`QuantityError::NotFinite`] for a number that is not finite.
    pub fn parse_bare(number: f64, dimension: Dimension) -> Result<Self, QuantityError> {
        if !number.is_finite() {
            return Err(QuantityError::NotFinite {
                text: number.to_string(),
                wanted: dimension,
            });
        }
        if !dimension.takes_bare_numbers() {
            return Err(QuantityError::MissingUnit {
                text: number.to_string(),
                number,
                wanted: dimension,
            });
        }
        Ok(Self::exact(number))
    }

    /// Prints the amount with its spread, if it has one: `40.0 ± 2.0 kg`. The
    /// unit is chosen as by [`show`], with more decimals where the spread would
    /// otherwise print as nought.
    #[must_use]
    pub fn show(&self, dimension: Dimension, system: UnitSystem) -> String {
        show::show_quantity(*self, dimension, system)
    }
}
