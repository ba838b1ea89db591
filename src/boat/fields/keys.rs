//! What a file's keys are called, hold and mean: one row a key, from which the file is read,
//! its page written and its JSON Schema made.
use crate::quantity::Dimension;

/// A table's title and the keys it may hold.
#[derive(Debug)]
pub(crate) struct TableKeys {
    /// As messages call it: `[hull]`, `[[item]]`, or a key in backticks.
    pub(crate) title: &'static str,
    /// How it is written, for who wrote it wrong.
    pub(crate) example: &'static str,
    /// What it is, in a line.
    pub(crate) tells: &'static str,
    /// Every key read from it.
    pub(crate) keys: &'static [Key],
}

/// One key of a table.
#[derive(Debug)]
pub(crate) struct Key {
    pub(crate) name: &'static str,
    pub(crate) holds: Holds,
    /// What it means, and what stands for it where it is left out.
    pub(crate) tells: &'static str,
}

/// The rows of a table of keys: each its name, what it holds, and what it means.
macro_rules! keys {
    ($($name:expr => $holds:expr, $tells:expr;)*) => {
        &[$($crate::boat::fields::Key { name: $name, holds: $holds, tells: $tells }),*]
    };
}
pub(crate) use keys;

/// What stands under a key.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Holds {
    /// Text that is not blank, such as this.
    Text(&'static str),
    /// `true` or `false`.
    Flag,
    /// A whole number from 1 up.
    Count,
    /// One of these words.
    Choice(&'static [&'static str]),
    /// An amount.
    Quantity(Dimension, Bound, Bare),
    /// A number over 0 and up to 1.
    Share,
    /// x, y and z, or tape readings.
    Point(&'static TableKeys),
    /// Length, breadth and height, each more than 0.
    Sizes,
    /// A list of points.
    Points(&'static TableKeys),
    /// A coordinate along this axis (0 is x), or tape readings.
    Coordinate(usize, &'static TableKeys),
    /// A table.
    Table(&'static TableKeys),
    /// A list of tables.
    Tables(&'static TableKeys),
    /// What its own reader knows: in words, an example, its JSON types.
    Own(&'static str, &'static str, &'static [&'static str]),
}

/// What a number must be besides finite.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Bound {
    Any,
    Positive,
    NotNegative,
}

/// Whether a number may stand without a unit where its dimension has an obvious
/// one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Bare {
    Allowed,
    Refused,
}

/// The words of a choice, for [`Holds::Choice`].
pub(crate) const fn words_of<T, const N: usize>(
    choices: &[(&'static str, T); N],
) -> [&'static str; N] {
    let mut words = [""; N];
    let mut number = 0;
    while number < N {
        words[number] = choices[number].0;
        number += 1;
    }
    words
}

impl TableKeys {
    /// The key of a name.
    pub(crate) fn key(&self, name: &str) -> Option<&'static Key> {
        self.keys.iter().find(|key| key.name == name)
    }

    pub(crate) fn names(&self) -> impl Iterator<Item = &'static str> {
        self.keys.iter().map(|key| key.name)
    }

    /// This table and all that hang on it, each once, the nearest first.
    pub(crate) fn all(&'static self) -> Vec<&'static Self> {
        let mut all = vec![self];
        let mut next = 0;
        while let Some(table) = all.get(next).copied() {
            next += 1;
            for key in table.keys {
                if let Some(below) = key.holds.below()
                    && !all.iter().any(|known| std::ptr::eq(*known, below))
                {
                    all.push(below);
                }
            }
        }
        all
    }
}

impl Holds {
    /// The table that may stand there.
    pub(crate) fn below(self) -> Option<&'static TableKeys> {
        match self {
            Self::Table(below)
            | Self::Tables(below)
            | Self::Point(below)
            | Self::Points(below)
            | Self::Coordinate(_, below) => Some(below),
            _ => None,
        }
    }

    /// How a key that holds this is written.
    pub(crate) fn example(self, key: &str) -> String {
        match self {
            Self::Text(text) => format!("{key} = \"{text}\""),
            Self::Flag => format!("{key} = true"),
            Self::Count => format!("{key} = 1"),
            Self::Choice(words) => format!("{key} = \"{}\"", words.first().unwrap_or(&"")),
            Self::Quantity(dimension, ..) => format!("{key} = {}", dimension.example()),
            Self::Share => format!("{key} = {}", Dimension::Fraction.example()),
            Self::Coordinate(..) => format!("{key} = {}", Dimension::Length.example()),
            Self::Point(_) | Self::Sizes => format!("{key} = [1.2, 0, \"15 cm\"]"),
            Self::Points(_) => format!("{key} = [[1.2, 0.3, 0.25], [1.2, -0.3, 0.25]]"),
            Self::Table(known) => known.example.to_owned(),
            Self::Tables(_) => {
                format!("[[{key}]] on a line of its own, with name = \"…\" below")
            }
            Self::Own(_, example, _) => example.to_owned(),
        }
    }
}
