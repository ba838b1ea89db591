//! What a table's cells and a list's values hold: words, quantities in base units, bars.
//! A quantity becomes text when it is shown, in the units of whoever reads.
use std::ops::Add;

use super::plain::on_one_line;
use crate::quantity::{
    Dimension, Metric, Quantity, Sentence, UnitSystem, show, show_beside, show_in, show_point,
    show_with,
};
use crate::study::Verdict;

/// Words, quantities, or some of both in the order they are read; nothing where there is
/// nothing to say.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Cell(Vec<Piece>);

#[derive(Debug, Clone, PartialEq)]
enum Piece {
    /// May be folded.
    Words(String),
    /// Words with amounts among them; may be folded.
    Said(Sentence),
    /// Of a quantity, the same in all units: a number without a dimension, a sign, what
    /// stands between two values.
    Sign(String),
    /// An amount in base units.
    Amount(f64, Dimension),
    /// The same, so fine that the step shows.
    Stepped(f64, Dimension, f64),
    /// An amount with its ±, in one unit.
    Spread(Quantity, Dimension),
    /// An amount held to limits: finer where one would else read the same.
    Beside(f64, Dimension, Vec<f64>),
    /// In one metric unit whatever its size, to so many decimals.
    In(f64, Metric, usize),
    /// A place's x, y and z in one unit.
    Point([f64; 3]),
    /// A bar of so many of the longest's [`Cell::BAR`] parts.
    Bar(u8),
    /// The word for how something compares with its yardstick.
    Judged(&'static str, Verdict),
}

impl Piece {
    fn text(&self, units: UnitSystem) -> String {
        match *self {
            Self::Words(ref text) | Self::Sign(ref text) => on_one_line(text),
            Self::Said(ref said) => on_one_line(&said.in_units(units)),
            Self::Amount(value, dimension) => show(value, dimension, units),
            Self::Beside(value, dimension, ref limits) => {
                show_beside(value, limits, dimension, units)
            }
            Self::Stepped(value, dimension, step) => show_with(value, dimension, step, units),
            Self::Spread(quantity, dimension) => quantity.show(dimension, units),
            Self::In(value, metric, decimals) => show_in(value, metric, decimals, units),
            Self::Point(at_m) => show_point(at_m, units),
            Self::Bar(parts) => "#".repeat(usize::from(parts)),
            Self::Judged(word, _) => word.to_owned(),
        }
    }
}

impl Cell {
    /// Parts of the longest bar.
    pub const BAR: u8 = 30;

    /// An amount in base units.
    #[must_use]
    pub fn quantity(value: f64, dimension: Dimension) -> Self {
        Self(vec![Piece::Amount(value, dimension)])
    }

    /// An amount held to limits: finer where one would else read the same.
    #[must_use]
    pub fn beside(value: f64, dimension: Dimension, limits: &[f64]) -> Self {
        Self(vec![Piece::Beside(value, dimension, limits.to_vec())])
    }

    /// An amount with its ±, in one unit.
    #[must_use]
    pub fn spread(value: f64, spread: f64, dimension: Dimension) -> Self {
        Self(vec![Piece::Spread(Quantity { value, spread }, dimension)])
    }

    /// A bar of so many of the longest's parts.
    #[must_use]
    pub fn bar(parts: u8) -> Self {
        Self(vec![Piece::Bar(parts)])
    }

    /// The word for how something compares with its yardstick.
    #[must_use]
    pub fn judged(word: &'static str, verdict: Verdict) -> Self {
        Self(vec![Piece::Judged(word, verdict)])
    }

    /// The gravest verdict that it tells.
    pub(super) fn verdict(&self) -> Option<Verdict> {
        let verdicts = self.0.iter().filter_map(|piece| match piece {
            Piece::Judged(_, verdict) => Some(*verdict),
            _ => None,
        });
        verdicts.min()
    }

    /// This quantity, a joint, and another quantity, kept together.
    pub(super) fn joined(mut self, joint: &str, other: impl Into<Self>) -> Self {
        self.0.push(Piece::Sign(joint.to_owned()));
        self.0.extend(other.into().0);
        self
    }

    /// This quantity and another behind a comma.
    #[must_use]
    pub fn and(self, other: impl Into<Self>) -> Self {
        self.joined(", ", other)
    }

    /// From this quantity to another.
    #[must_use]
    pub fn to(self, other: impl Into<Self>) -> Self {
        self.joined(" to ", other)
    }

    /// This quantity and how far it may be off, each in a unit of its own.
    #[must_use]
    pub fn give_or_take(self, error: impl Into<Self>) -> Self {
        self.joined(" ± ", error)
    }

    /// As it is read on one line.
    pub(super) fn text(&self, units: UnitSystem) -> String {
        self.0.iter().map(|piece| piece.text(units)).collect()
    }

    /// What is not parted when it is folded: words, and quantities whole.
    pub(super) fn unparted(&self, units: UnitSystem) -> Vec<String> {
        let mut all = vec![String::new()];
        for piece in &self.0 {
            let text = piece.text(units);
            let parted = matches!(piece, Piece::Words(_) | Piece::Said(_));
            for (number, part) in text
                .split(|c: char| parted && c.is_whitespace())
                .enumerate()
            {
                match all.last_mut() {
                    Some(last) if number == 0 => last.push_str(part),
                    _ => all.push(part.to_owned()),
                }
            }
        }
        all.retain(|part| !part.is_empty());
        all
    }

    /// Whether it is one quantity, with no words about it.
    pub(super) fn is_quantity(&self) -> bool {
        let apart = |piece: &Piece| {
            matches!(
                piece,
                Piece::Words(_) | Piece::Said(_) | Piece::Bar(_) | Piece::Judged(..)
            )
        };
        !self.0.is_empty() && !self.0.iter().any(apart)
    }

    /// Its pieces as a page shows them: words and quantities by `text`, told which it is;
    /// bars by `bar`.
    pub(super) fn marked_up(
        &self,
        units: UnitSystem,
        text: impl Fn(&str, bool) -> String,
        bar: impl Fn(u8) -> String,
    ) -> String {
        let piece = |piece: &Piece| match piece {
            Piece::Words(words) => text(words, false),
            Piece::Said(said) => text(&said.in_units(units), false),
            Piece::Bar(parts) => bar(*parts),
            Piece::Judged(word, _) => text(word, false),
            quantity => text(&quantity.text(units), true),
        };
        self.0.iter().map(piece).collect()
    }
}

/// Cells of a row, each made of what it holds.
macro_rules! cells {
    ($($cell:expr),* $(,)?) => { vec![$($crate::present::Cell::from($cell)),*] };
}
pub(super) use cells;

pub(super) fn length(m: f64) -> Cell {
    Cell::quantity(m, Dimension::Length)
}

/// A length that is held to limits.
pub(super) fn length_beside(m: f64, limits: &[f64]) -> Cell {
    Cell::beside(m, Dimension::Length, limits)
}

/// An angle that is held to limits; of a lean to either side.
pub(super) fn angle_beside(deg: f64, limits: &[f64]) -> Cell {
    let limits: Vec<f64> = limits.iter().map(|limit| limit.copysign(deg)).collect();
    Cell::beside(deg, Dimension::Angle, &limits)
}

pub(super) fn mass(kg: f64) -> Cell {
    Cell::quantity(kg, Dimension::Mass)
}

pub(super) fn angle(deg: f64) -> Cell {
    Cell::quantity(deg, Dimension::Angle)
}

pub(super) fn volume(m3: f64) -> Cell {
    Cell::quantity(m3, Dimension::Volume)
}

pub(super) fn area(m2: f64) -> Cell {
    Cell::quantity(m2, Dimension::Area)
}

pub(super) fn energy(j: f64) -> Cell {
    Cell::quantity(j, Dimension::Energy)
}

pub(super) fn fraction(share: f64) -> Cell {
    Cell::quantity(share, Dimension::Fraction)
}

/// A length so fine that the step shows, m.
pub(super) fn length_by(step_m: f64) -> impl Fn(f64) -> Cell + Copy {
    move |m| Cell(vec![Piece::Stepped(m, Dimension::Length, step_m)])
}

/// In one metric unit whatever its size, to so many decimals.
pub(super) fn quantity_in(value: f64, metric: Metric, decimals: usize) -> Cell {
    Cell(vec![Piece::In(value, metric, decimals)])
}

/// A place's x, y and z.
pub(super) fn point(at_m: [f64; 3]) -> Cell {
    Cell(vec![Piece::Point(at_m)])
}

/// A place, or that there is none.
pub(super) fn point_or_none(at_m: Option<[f64; 3]>) -> Cell {
    at_m.map_or_else(|| "none".into(), point)
}

/// What is the same in all units and not parted from its quantity: a number, a sign.
pub(super) fn fixed(text: impl ToString) -> Cell {
    Cell(vec![Piece::Sign(text.to_string())])
}

/// How far something may be off.
pub(super) fn plus_minus(error: Cell) -> Cell {
    fixed("± ") + error
}

/// A change with its sign.
pub(super) fn signed(change: f64, dimension: Dimension) -> Cell {
    match Cell::quantity(change, dimension) {
        gain if change > 0.0 => fixed("+") + gain,
        loss if change < 0.0 => loss,
        _ => "none".into(),
    }
}

/// A quantity where there is one, a dash where there is none.
pub(super) fn or_dash(cell: Option<Cell>) -> Cell {
    cell.unwrap_or_else(|| "–".into())
}

impl From<Verdict> for Cell {
    fn from(verdict: Verdict) -> Self {
        Self::judged(verdict.word(), verdict)
    }
}

impl From<String> for Cell {
    fn from(text: String) -> Self {
        Self(vec![Piece::Words(text)])
    }
}

impl From<&str> for Cell {
    fn from(text: &str) -> Self {
        text.to_owned().into()
    }
}

impl From<&Sentence> for Cell {
    fn from(said: &Sentence) -> Self {
        Self(vec![Piece::Said(said.clone())])
    }
}

impl From<&String> for Cell {
    fn from(text: &String) -> Self {
        text.clone().into()
    }
}

impl<T: Into<Cell>> From<Option<T>> for Cell {
    fn from(cell: Option<T>) -> Self {
        cell.map_or_else(Self::default, Into::into)
    }
}

impl<T: Into<Cell>> Add<T> for Cell {
    type Output = Self;

    fn add(mut self, more: T) -> Self {
        self.0.extend(more.into().0);
        self
    }
}

impl Add<Cell> for &str {
    type Output = Cell;

    fn add(self, more: Cell) -> Cell {
        Cell::from(self) + more
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_quantity_is_made_text_in_its_readers_units_and_not_parted() {
        let cell = "sinks " + mass(3.2).give_or_take(mass(0.1)) + " (net)";
        for (units, quantity) in [
            (UnitSystem::Metric, "3.2 kg ± 100 g"),
            (UnitSystem::Us, "7.1 lb ± 3.5 oz"),
        ] {
            assert_eq!(cell.text(units), format!("sinks {quantity} (net)"));
            assert_eq!(cell.unparted(units), ["sinks", quantity, "(net)"]);
        }
    }

    #[test]
    fn what_has_words_about_it_is_no_quantity() {
        let bare = [point([0.0; 3]), length(1.0).to(length(2.0)), fixed(7)];
        assert!(bare.iter().all(Cell::is_quantity));
        let worded = [length(1.0) + " long", "none".into(), None::<Cell>.into()];
        assert!(!worded.iter().any(Cell::is_quantity));
    }
}
