//! What unit an unscaled mesh is likely to be in.
use std::fmt;

use schemars::JsonSchema;
use serde::Serialize;

use super::doubt::{Doubt, DoubtKind};
use crate::quantity::{Sentence, metres, sentence};

/// Length of the hulls this tool is for, m; a mesh whose longest side falls in
/// it under some unit may be in that unit.
const PLAUSIBLE_LENGTH_M: std::ops::RangeInclusive<f64> = 1.5..=8.0;

/// A side shorter than this in the file's own numbers reads as metres even
/// where another unit fits the tool's hulls better: few programs write feet.
const SURELY_METRES_BELOW: f64 = 30.0;

/// When no unit gives a hull of plausible length: fewer than this reads as
/// metres, more as millimetres.
const METRES_BELOW: f64 = 300.0;

/// Units in order of preference: name, symbol, metres in one.
const CANDIDATES: [(&str, &str, f64); 5] = [
    ("metres", "m", 1.0),
    ("millimetres", "mm", 0.001),
    ("centimetres", "cm", 0.01),
    ("inches", "in", 0.0254),
    ("feet", "ft", 0.3048),
];

/// How sure a guess is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, JsonSchema, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Confidence {
    /// Exactly one unit gives a hull of plausible length.
    Likely,
    /// Several do, or none.
    Guess,
}

impl fmt::Display for Confidence {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Likely => "likely",
            Self::Guess => "a guess",
        })
    }
}

/// A guessed unit.
#[derive(Debug, Clone, PartialEq, JsonSchema, Serialize)]
pub struct UnitGuess {
    /// Metres in one unit of the file.
    pub factor: f64,
    /// Name of the unit, plural.
    pub unit: &'static str,
    /// Its symbol, as a boat file's `units` takes it.
    pub symbol: &'static str,
    /// How sure that is.
    pub confidence: Confidence,
    /// The longest side under this unit, m.
    pub length_m: f64,
    /// Another unit that would fit, and the longest side under it, m.
    pub other: Option<(&'static str, f64)>,
}

impl UnitGuess {
    /// Metres, without a doubt: for a surface that is in metres already.
    #[must_use]
    pub fn metres() -> Self {
        let (unit, symbol, factor) = CANDIDATES[0];
        Self {
            factor,
            unit,
            symbol,
            confidence: Confidence::Likely,
            length_m: f64::NAN,
            other: None,
        }
    }

    /// The sentence for the user.
    #[must_use]
    pub fn doubt(&self) -> Doubt {
        Doubt::new(DoubtKind::Unit, self.sentence())
    }
}

impl UnitGuess {
    /// The other unit that would fit, taken instead.
    #[must_use]
    pub fn other_way(&self) -> Option<Self> {
        let (other, length_m) = self.other?;
        let found = CANDIDATES.iter().find(|(unit, ..)| *unit == other);
        found.map(|&(unit, symbol, factor)| Self {
            factor,
            unit,
            symbol,
            confidence: self.confidence,
            length_m,
            other: Some((self.unit, self.length_m)),
        })
    }

    /// What is taken for its unit, and what else it could be.
    #[must_use]
    pub fn sentence(&self) -> Sentence {
        let mut said = sentence![
            format!(
                "no unit in the file: taken as {} ({}), which makes it ",
                self.unit, self.confidence
            ),
            metres(self.length_m, 2),
            " long"
        ];
        if let Some((unit, length_m)) = self.other {
            let other = format!(" ({unit} would make it ");
            said = said.then(sentence![other, metres(length_m, 2), ")"]);
        }
        said.then("; give `units` to settle it")
    }
}

/// Guesses the unit of a mesh from its longest side, in the file's own unit.
#[must_use]
pub fn guess_unit(longest_side: f64) -> UnitGuess {
    let fits = |factor: f64| PLAUSIBLE_LENGTH_M.contains(&(longest_side * factor));
    let fitting = || CANDIDATES.iter().filter(|(_, _, factor)| fits(*factor));
    let fallback = &CANDIDATES[usize::from(longest_side >= METRES_BELOW)];
    let chosen = if longest_side < SURELY_METRES_BELOW {
        &CANDIDATES[0]
    } else {
        fitting().next().unwrap_or(fallback)
    };
    let &(unit, symbol, factor) = chosen;
    let other = fitting()
        .find(|(name, _, _)| *name != unit)
        .map(|(name, _, factor)| (*name, longest_side * factor));
    let confidence = if fits(factor) && other.is_none() {
        Confidence::Likely
    } else {
        Confidence::Guess
    };
    UnitGuess {
        factor,
        unit,
        symbol,
        confidence,
        length_m: longest_side * factor,
        other,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_unit_is_found_from_a_hull_of_3_4_m() {
        for (side, unit, confidence) in [
            (3.4, "metres", Confidence::Likely),
            (3400.0, "millimetres", Confidence::Likely),
            // 3.4 m = 340 cm; 340 in would be 8.6 m.
            (340.0, "centimetres", Confidence::Likely),
            // 133.86 in = 3.4 m; 133.86 cm would be too short.
            (133.86, "inches", Confidence::Likely),
        ] {
            let guess = guess_unit(side);
            assert_eq!((guess.unit, guess.confidence), (unit, confidence), "{side}");
            assert!((guess.length_m - 3.4).abs() < 0.01, "{side}");
        }
    }

    #[test]
    fn when_two_units_fit_the_first_is_only_a_guess() {
        // 6 m or 6 ft = 1.83 m; 200 cm = 2 m or 200 in = 5.08 m.
        // 11.15 m or 11.15 ft = 3.4 m.
        for (side, unit) in [(6.0, "metres"), (200.0, "centimetres"), (11.15, "metres")] {
            let guess = guess_unit(side);
            assert_eq!((guess.unit, guess.confidence), (unit, Confidence::Guess));
        }
    }

    #[test]
    fn when_none_fits_the_size_decides() {
        for (side, unit) in [
            (0.3, "metres"),
            (40.0, "metres"),
            (900.0, "millimetres"),
            (2e4, "millimetres"),
        ] {
            let guess = guess_unit(side);
            assert_eq!(
                (guess.unit, guess.confidence),
                (unit, Confidence::Guess),
                "{side}"
            );
        }
    }

    #[test]
    fn the_sentence_says_what_was_taken_and_how_to_settle_it() {
        assert_eq!(
            guess_unit(3400.0).sentence().to_string(),
            "no unit in the file: taken as millimetres (likely), which makes it 3.40 m long; give `units` to settle it"
        );
        assert_eq!(
            guess_unit(11.15).sentence().to_string(),
            "no unit in the file: taken as metres (a guess), which makes it 11.15 m long (feet would make it 3.40 m); give `units` to settle it"
        );
    }
}
