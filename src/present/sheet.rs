//! What a command answers, for people: headings, label–value lines, tables, notes, doubts
//! and cautions, shown by the terminal and by pages each in its own way.
use std::fmt::{self, Write};

use super::plain::on_one_line;
use super::sheet_rows::{Line, Rows};
use crate::quantity::{Dimension, UnitSystem, show};

/// Widest line that notes are wrapped to, characters.
const WIDTH: usize = 92;
/// The heading over doubts.
pub(super) const DOUBTS: &str = "DOUBTS about these numbers";
/// The heading over cautions.
const CAUTIONS: &str = "Cautions";

/// One cell of a table.
#[derive(Debug, Clone, PartialEq)]
pub enum Cell {
    /// Words; may be folded.
    Text(String),
    /// An amount with its unit, which stay together.
    Quantity(String),
    /// A bar of so many of the longest's [`Cell::BAR`] parts.
    Bar(u8),
}

impl Cell {
    /// Parts of the longest bar.
    pub const BAR: u8 = 30;

    /// An amount in base units.
    #[must_use]
    pub fn quantity(value: f64, dimension: Dimension, units: UnitSystem) -> Self {
        Self::Quantity(show(value, dimension, units))
    }

    /// The same, or nothing.
    #[must_use]
    pub fn maybe(value: Option<f64>, dimension: Dimension, units: UnitSystem) -> Self {
        value.map_or_else(
            || Self::Text(String::new()),
            |value| Self::quantity(value, dimension, units),
        )
    }

    /// As the terminal shows it.
    pub(super) fn plain(&self) -> String {
        match self {
            Self::Text(text) | Self::Quantity(text) => on_one_line(text),
            Self::Bar(parts) => "#".repeat(usize::from(*parts)),
        }
    }
}

impl From<String> for Cell {
    fn from(text: String) -> Self {
        Self::Text(text)
    }
}

impl From<&str> for Cell {
    fn from(text: &str) -> Self {
        Self::Text(text.to_owned())
    }
}

/// Rows under a header.
#[derive(Debug, Clone)]
pub(super) struct Grid {
    pub(super) header: Vec<String>,
    pub(super) rows: Vec<Vec<Cell>>,
}

/// A block that pages may tell elsewhere.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    /// Masses and their centres.
    Masses,
}

#[derive(Debug, Clone)]
pub(super) enum Block {
    Title(String),
    /// Opens what stands up to the next heading.
    Heading(String, Option<Part>),
    Values(Vec<(String, String)>),
    Grid(Grid),
    Notes(Vec<String>),
    /// What may make the numbers wrong.
    Doubts(Vec<String>),
    /// What no number covers.
    Cautions(Vec<String>),
}

/// Blocks in the order they are read. Printed by `Display` as long as its lines are, and
/// by [`Self::folded`] into a terminal's width.
#[derive(Debug, Clone, Default)]
pub struct Sheet {
    blocks: Vec<Block>,
}

impl Sheet {
    /// A sheet that opens with a title line.
    #[must_use]
    pub fn titled(title: impl Into<String>) -> Self {
        Self {
            blocks: vec![Block::Title(title.into())],
        }
    }

    /// The blocks, for other ways to show them.
    pub(super) fn blocks(&self) -> &[Block] {
        &self.blocks
    }

    /// A line right under the title.
    pub fn under_title(&mut self, text: &str) -> &mut Self {
        let at = self.blocks.len().min(1);
        self.blocks.insert(at, Block::Notes(vec![text.to_owned()]));
        self
    }

    /// A heading over what follows.
    pub fn heading(&mut self, text: &str) -> &mut Self {
        self.blocks.push(Block::Heading(text.to_owned(), None));
        self
    }

    /// A heading over a part that pages may tell elsewhere.
    pub fn part(&mut self, part: Part, text: &str) -> &mut Self {
        self.blocks
            .push(Block::Heading(text.to_owned(), Some(part)));
        self
    }

    /// Labels with their values, in two columns.
    pub fn values<const N: usize>(&mut self, values: [(&str, String); N]) -> &mut Self {
        let values = values.map(|(label, value)| (label.to_owned(), value));
        self.blocks.push(Block::Values(values.into()));
        self
    }

    /// Rows under a header row.
    pub fn grid<C: Into<Cell>>(&mut self, header: &[&str], rows: Vec<Vec<C>>) -> &mut Self {
        let cells = |row: Vec<C>| row.into_iter().map(Into::into).collect();
        self.blocks.push(Block::Grid(Grid {
            header: header.iter().map(|&cell| cell.to_owned()).collect(),
            rows: rows.into_iter().map(cells).collect(),
        }));
        self
    }

    /// Sentences, one a paragraph, wrapped.
    pub fn notes<T: fmt::Display>(&mut self, notes: &[T]) -> &mut Self {
        self.blocks.push(Block::Notes(texts(notes)));
        self
    }

    /// What may make the numbers wrong; nothing where nothing was found.
    pub fn doubts(&mut self, doubts: Vec<String>) -> &mut Self {
        if !doubts.is_empty() {
            self.blocks.push(Block::Doubts(doubts));
        }
        self
    }

    /// What no number covers.
    pub fn cautions<T: fmt::Display>(&mut self, cautions: &[T]) -> &mut Self {
        self.blocks.push(Block::Cautions(texts(cautions)));
        self
    }

    /// The sheet in lines of at most so many characters, as far as words and quantities
    /// allow: title and notes wrap, the widest columns of words fold, and a table that is
    /// too wide even so is told row by row.
    #[must_use]
    pub fn folded(&self, width: usize) -> String {
        let mut text = String::new();
        // Writing to a String does not fail.
        let _ = self.write(&mut text, Some(width));
        text
    }

    fn write(&self, out: &mut dyn Write, width: Option<usize>) -> fmt::Result {
        for (i, block) in self.blocks.iter().enumerate() {
            let heading = |out: &mut dyn Write, text: &str| {
                if i > 0 {
                    writeln!(out)?;
                }
                write_wrapped(out, "", "", text, width)
            };
            match block {
                Block::Title(text) => write_wrapped(out, "", "", text, width)?,
                Block::Heading(text, _) => heading(out, text)?,
                Block::Values(values) => {
                    let cells = values.iter();
                    let rows = cells.map(|(label, value)| vec![label.into(), value.into()]);
                    Rows::of(None, rows.collect()).write(out, width)?;
                }
                Block::Grid(grid) => {
                    let rows = grid.rows.iter();
                    let rows = rows.map(|row| row.iter().map(Line::from).collect());
                    Rows::of(Some(&grid.header), rows.collect()).write(out, width)?;
                }
                Block::Notes(notes) => write_notes(out, notes, width)?,
                Block::Doubts(doubts) => {
                    heading(out, DOUBTS)?;
                    write_notes(out, doubts, width)?;
                }
                Block::Cautions(cautions) => {
                    heading(out, CAUTIONS)?;
                    write_notes(out, cautions, width)?;
                }
            }
        }
        Ok(())
    }
}

impl fmt::Display for Sheet {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.write(f, None)
    }
}

fn texts<T: fmt::Display>(all: &[T]) -> Vec<String> {
    all.iter().map(ToString::to_string).collect()
}

/// A paragraph with a dash each.
fn write_notes(out: &mut dyn Write, notes: &[String], width: Option<usize>) -> fmt::Result {
    let width = width.map_or(WIDTH, |width| width.min(WIDTH));
    for note in notes {
        write_wrapped(out, "  - ", "    ", note, Some(width))?;
    }
    Ok(())
}

/// A text in lines of at most `width` characters, but for longer words: `first` before
/// the first, `then` before the others. Without a width one line, as it stands.
fn write_wrapped(
    out: &mut dyn Write,
    first: &str,
    then: &str,
    text: &str,
    width: Option<usize>,
) -> fmt::Result {
    let text = on_one_line(text);
    let Some(width) = width else {
        return writeln!(out, "{first}{text}");
    };
    let room = width.saturating_sub(first.chars().count()).max(1);
    let mut before = first;
    for line in folded(&text, room) {
        writeln!(out, "{}", format!("{before}{line}").trim_end())?;
        before = then;
    }
    Ok(())
}

/// The words of a text in lines of at most `room` characters, but for longer words; at
/// least one line.
#[must_use]
pub fn folded(text: &str, room: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    let mut column = 0;
    for word in text.split_whitespace() {
        let length = word.chars().count();
        if column > 0 && column + 1 + length > room {
            lines.push(String::new());
            column = 0;
        }
        if let Some(line) = lines.last_mut() {
            if column > 0 {
                line.push(' ');
                column += 1;
            }
            line.push_str(word);
            column += length;
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    fn two_columns() -> Sheet {
        let mut sheet = Sheet::titled("dipper: it floats level and dry as it was drawn");
        sheet
            .heading("Openings")
            .grid(
                &["opening", "over water", "where"],
                vec![vec![
                    Cell::from("well"),
                    Cell::quantity(0.083, Dimension::Length, UnitSystem::Metric),
                    Cell::from("on the centre line, amidships, behind the bulkhead"),
                ]],
            )
            .notes(&["word ".repeat(30)]);
        sheet
    }

    #[test]
    fn columns_line_up_and_notes_wrap() {
        let text = two_columns().to_string();
        let table = "dipper: it floats level and dry as it was drawn\n\nOpenings\n  \
                     opening  over water  where\n  \
                     well     83 mm       on the centre line, amidships, behind the bulkhead\n";
        assert!(text.starts_with(table), "{text}");
        assert!(text.lines().all(|line| line.chars().count() <= WIDTH));
        assert!(text.contains("\n    word"));
    }

    #[test]
    fn a_narrow_terminal_folds_words_but_keeps_a_quantity_whole() {
        for width in [24, 40, 60, 80] {
            let text = two_columns().folded(width);
            let widest = text.lines().map(|line| line.chars().count()).max();
            assert!(
                widest.is_some_and(|widest| widest <= width),
                "{width}: {text}"
            );
            assert!(text.contains("83 mm"), "{width}: {text}");
            let mut words = text.split_whitespace();
            assert!(words.any(|word| word == "bulkhead"), "{width}: {text}");
        }
    }

    #[test]
    fn doubts_and_cautions_are_blocks_with_headings_of_their_own() {
        let mut sheet = Sheet::titled("dipper");
        sheet.doubts(Vec::new()).cautions(&["calm water only"]);
        assert_eq!(
            sheet.to_string(),
            "dipper\n\nCautions\n  - calm water only\n"
        );
        sheet.doubts(vec!["a hole".to_owned()]);
        assert!(
            sheet
                .to_string()
                .ends_with(&format!("\n{DOUBTS}\n  - a hole\n"))
        );
    }
}
