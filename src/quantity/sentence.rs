//! A sentence that keeps its amounts as numbers, so that it can be said in any units.
use std::borrow::Cow;
use std::fmt;

use schemars::{JsonSchema, Schema, SchemaGenerator};
use serde::{Serialize, Serializer};

use super::{Dimension, Metric, UnitSystem, show, show_point, show_within};

/// Part of a [`Sentence`].
#[derive(Debug, Clone, PartialEq)]
pub enum Piece {
    /// Words as they are.
    Words(String),
    /// An amount in base units: its metric unit, and decimals there.
    Amount(f64, Metric, usize),
    /// An amount in base units, as tables show it.
    Shown(f64, Dimension),
    /// A place in the boat, m.
    Place([f64; 3]),
    /// Words that go with metric amounts, and with those of other units.
    ByUnits(String, String),
}

impl Piece {
    fn in_units(&self, units: UnitSystem) -> String {
        match self {
            Self::Words(words) => words.clone(),
            Self::ByUnits(metric, _) if units == UnitSystem::Metric => metric.clone(),
            Self::ByUnits(_, other) => other.clone(),
            Self::Amount(value, metric, decimals) => {
                show_within(&[*value], "", *metric, *decimals, units)
            }
            Self::Shown(value, dimension) => show(*value, *dimension, units),
            Self::Place(at) => {
                let shown = show_point(*at, units);
                let (numbers, unit) = shown.rsplit_once(' ').unwrap_or((&shown, ""));
                format!("({numbers}) {unit}")
            }
        }
    }
}

/// In metric units.
impl fmt::Display for Piece {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.in_units(UnitSystem::Metric))
    }
}

impl From<&str> for Piece {
    fn from(words: &str) -> Self {
        Self::Words(words.to_owned())
    }
}

impl From<String> for Piece {
    fn from(words: String) -> Self {
        Self::Words(words)
    }
}

/// Words as a sentence begins: the first letter large.
pub(crate) fn capitalised(words: &str) -> String {
    let mut letters = words.chars();
    let first = letters.next().into_iter().flat_map(char::to_uppercase);
    first.collect::<String>() + letters.as_str()
}

/// A length to the millimetre or a part of it.
pub(crate) fn mm(m: f64, decimals: usize) -> Piece {
    Piece::Amount(m, Metric::Millimetre, decimals)
}

/// A length in metres.
pub(crate) fn metres(m: f64, decimals: usize) -> Piece {
    Piece::Amount(m, Metric::Metre, decimals)
}

/// A volume given in m³, in litres.
pub(crate) fn litres(m3: f64, decimals: usize) -> Piece {
    Piece::Amount(m3, Metric::Litre, decimals)
}

/// Words and amounts in turn. Displays in metric units.
#[derive(Debug, Clone, PartialEq)]
pub struct Sentence(Vec<Piece>);

impl Sentence {
    /// Of pieces, in the order they are said.
    #[must_use]
    pub fn of(pieces: impl IntoIterator<Item = Piece>) -> Self {
        Self(pieces.into_iter().collect())
    }

    /// The sentence with its amounts in the wanted units.
    #[must_use]
    pub fn in_units(&self, units: UnitSystem) -> String {
        self.0.iter().map(|piece| piece.in_units(units)).collect()
    }

    /// The same sentence behind some words.
    #[must_use]
    pub fn behind(self, words: impl Into<Self>) -> Self {
        words.into().then(self)
    }

    /// The same sentence with some words behind it.
    #[must_use]
    pub fn then(mut self, words: impl Into<Self>) -> Self {
        self.0.extend(words.into().0);
        self
    }
}

/// A [`Sentence`] of words and amounts: `sentence!["a rim moved by ", mm(x, 0), "."]`.
macro_rules! sentence {
    ($($piece:expr),+ $(,)?) => {
        $crate::quantity::Sentence::of([$($crate::quantity::Piece::from($piece)),+])
    };
}
pub(crate) use sentence;

impl<T: Into<Piece>> From<T> for Sentence {
    fn from(words: T) -> Self {
        Self(vec![words.into()])
    }
}

impl fmt::Display for Sentence {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.in_units(UnitSystem::Metric))
    }
}

/// As it is written: its words.
impl JsonSchema for Sentence {
    fn inline_schema() -> bool {
        true
    }

    fn schema_name() -> Cow<'static, str> {
        "Sentence".into()
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        String::json_schema(generator)
    }
}

impl Serialize for Sentence {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.collect_str(self)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn amounts_follow_the_units_and_words_stay() {
        let at = Piece::Place([1.0, -0.5, 0.254]);
        let said = sentence![
            "a rim ",
            metres(0.762, 2),
            " round at ",
            at,
            " moved ",
            mm(0.0254, 0)
        ];
        assert_eq!(
            said.to_string(),
            "a rim 0.76 m round at (1.000, -0.500, 0.254) m moved 25 mm"
        );
        assert_eq!(
            said.then(".").behind("hull: ").in_units(UnitSystem::Us),
            "hull: a rim 30.0 in round at (39.4, -19.7, 10.0) in moved 1.0 in."
        );
    }
}
