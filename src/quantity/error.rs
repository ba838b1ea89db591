//! What can be wrong with a quantity somebody wrote.

use super::Dimension;

/// Why a text or number could not be taken as a quantity. Each message quotes
/// what was written and says what to write instead; the caller adds the file
/// and the line.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum QuantityError {
    /// Nothing but blanks.
    #[error("nothing is written where {} is wanted: write for example {}", .wanted.name(), .wanted.example())]
    Empty {
        /// The dimension asked for.
        wanted: Dimension,
    },
    /// The text does not start with a number, or goes wrong part way.
    #[error(
        "\"{text}\" cannot be read from \"{rest}\" on: write {} as a number and its unit, for example {}, \
         with no separator between thousands", .wanted.name(), .wanted.example()
    )]
    Unreadable {
        /// The text as written.
        text: String,
        /// What is left where reading stopped.
        rest: String,
        /// The dimension asked for.
        wanted: Dimension,
    },
    /// A comma inside a number.
    #[error(
        "\"{text}\" has a comma in a number: write decimals with a point (1.5) and thousands without a separator (1500)"
    )]
    Comma {
        /// The text as written.
        text: String,
    },
    /// A fraction with nought below the line.
    #[error("\"{text}\" has a fraction with 0 below the line")]
    ZeroDenominator {
        /// The text as written.
        text: String,
    },
    /// Not a number, infinite, or too large to hold.
    #[error("\"{text}\" is not a finite number: {} is wanted, for example {}", .wanted.name(), .wanted.example())]
    NotFinite {
        /// The text or number as written.
        text: String,
        /// The dimension asked for.
        wanted: Dimension,
    },
    /// A number without a unit where the unit is not obvious.
    #[error("\"{text}\" has no unit: write for example \"{number} {}\" or \"{number} {}\"", .wanted.common_units().0, .wanted.common_units().1)]
    MissingUnit {
        /// The text or number as written.
        text: String,
        /// The number that lacks a unit.
        number: f64,
        /// The dimension asked for.
        wanted: Dimension,
    },
    /// A unit that awash does not know.
    #[error("\"{text}\" has the unit \"{unit}\", which is not known: for {} write one of {}", .wanted.name(), .wanted.unit_symbols())]
    UnknownUnit {
        /// The text as written.
        text: String,
        /// The unit as written.
        unit: String,
        /// The dimension asked for.
        wanted: Dimension,
    },
    /// A known unit of another dimension.
    #[error(
        "\"{text}\" has the unit \"{unit}\", which measures {}; {} is wanted here, for example {}",
        .found.name(), .wanted.name(), .wanted.example()
    )]
    WrongDimension {
        /// The text as written.
        text: String,
        /// The unit as written.
        unit: String,
        /// What that unit measures.
        found: Dimension,
        /// The dimension asked for.
        wanted: Dimension,
    },
    /// A unit name that means different amounts in different places.
    #[error("\"{text}\": \"{unit}\" means different amounts in different places: {advice}")]
    AmbiguousUnit {
        /// The text as written.
        text: String,
        /// The unit as written.
        unit: String,
        /// What to write instead.
        advice: &'static str,
    },
    /// Two units in one quantity that do not go together in that order.
    #[error(
        "\"{text}\": \"{smaller}\" cannot follow \"{larger}\": write one unit, or a larger and a smaller one such as \"3 ft 2 in\" or \"12 lb 5 oz\""
    )]
    Compound {
        /// The text as written.
        text: String,
        /// The first unit's symbol.
        larger: &'static str,
        /// The second unit's symbol.
        smaller: &'static str,
    },
    /// The smaller part of a compound is as large as one of the larger unit.
    #[error(
        "\"{text}\": {number} {smaller} is 1 {larger} or more: carry it over, or write one unit"
    )]
    CompoundOverflow {
        /// The text as written.
        text: String,
        /// The number before the smaller unit.
        number: f64,
        /// The first unit's symbol.
        larger: &'static str,
        /// The second unit's symbol.
        smaller: &'static str,
    },
    /// The part after ± is not a spread.
    #[error("\"{text}\": {problem}; write a spread as in {}", .wanted.spread_example())]
    Spread {
        /// The text as written.
        text: String,
        /// What is wrong with it.
        problem: &'static str,
        /// The dimension asked for.
        wanted: Dimension,
    },
}
