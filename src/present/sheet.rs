//! What a command answers, for people: headings, label–value lines, tables, notes, doubts
//! and cautions, shown by the terminal and by pages each in its own way.
use std::fmt::{self, Write};

use super::doubts::doubts;
use super::plain::on_one_line;
use super::sheet_rows::{Rows, Shown};
use super::{Cell, Present, cautions};
use crate::quantity::UnitSystem;
use crate::study::{Answer, Doubt};

/// Widest line that notes are wrapped to, characters.
const WIDTH: usize = 92;
/// The heading over doubts.
pub(super) const DOUBTS: &str = "DOUBTS about these numbers";
/// The heading over cautions.
const CAUTIONS: &str = "Cautions";

/// Rows under a header; without one they are labels with their values.
#[derive(Debug, Clone)]
pub(super) struct Grid {
    pub(super) header: Option<Vec<String>>,
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
    pub(super) units: UnitSystem,
}

impl Sheet {
    /// A sheet that opens with a title line, its quantities in the wanted units.
    #[must_use]
    pub fn titled(title: impl Into<String>, units: UnitSystem) -> Self {
        Self {
            blocks: vec![Block::Title(title.into())],
            units,
        }
    }

    /// A sheet that opens with a study's answer.
    pub(super) fn answering<T>(answer: &Answer<T>, units: UnitSystem) -> Self
    where
        Answer<T>: Present,
    {
        let title = format!("{}: {}", answer.name, answer.summary(units));
        Self::titled(title, units)
    }

    /// The sheet with what is to be said of an answer at the end.
    pub(super) fn wary_of<T>(mut self, answer: &Answer<T>) -> Self {
        let cautions = cautions(&answer.cautions, self.units);
        self.doubts(&answer.doubts).cautions(&cautions);
        self
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

    /// A label with its value, under those before it.
    pub fn value(&mut self, label: &str, value: impl Into<Cell>) -> &mut Self {
        let row = vec![label.into(), value.into()];
        match self.blocks.last_mut() {
            Some(Block::Grid(Grid { header: None, rows })) => rows.push(row),
            _ => self.blocks.push(Block::Grid(Grid {
                header: None,
                rows: vec![row],
            })),
        }
        self
    }

    /// Rows under a header row.
    pub fn grid<H: AsRef<str>>(
        &mut self,
        header: &[H],
        rows: impl IntoIterator<Item: IntoIterator<Item: Into<Cell>>>,
    ) -> &mut Self {
        let header = header.iter().map(|cell| cell.as_ref().to_owned()).collect();
        let rows = rows.into_iter();
        let rows = rows.map(|row| row.into_iter().map(Into::into).collect());
        self.blocks.push(Block::Grid(Grid {
            header: Some(header),
            rows: rows.collect(),
        }));
        self
    }

    /// Sentences, one a paragraph, wrapped.
    pub fn notes<T: fmt::Display>(&mut self, notes: &[T]) -> &mut Self {
        self.blocks.push(Block::Notes(texts(notes)));
        self
    }

    /// What may make the numbers wrong, the gravest first; nothing where nothing was found.
    pub fn doubts(&mut self, all: &[Doubt]) -> &mut Self {
        let said = doubts(all, self.units);
        self.doubts_of(said)
    }

    /// The same, said already.
    pub(super) fn doubts_of(&mut self, said: Vec<String>) -> &mut Self {
        if !said.is_empty() {
            self.blocks.push(Block::Doubts(said));
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
        self.shown(Shown {
            width: Some(width),
            coloured: false,
        })
    }

    /// As [`Self::folded`], the verdicts in a terminal's colours beside their words.
    #[must_use]
    pub fn coloured(&self, width: usize) -> String {
        self.shown(Shown {
            width: Some(width),
            coloured: true,
        })
    }

    fn shown(&self, shown: Shown) -> String {
        let mut text = String::new();
        // Writing to a String does not fail.
        let _ = self.write(&mut text, shown);
        text
    }

    fn write(&self, out: &mut dyn Write, shown: Shown) -> fmt::Result {
        let width = shown.width;
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
                Block::Grid(grid) => Rows::of(grid, self.units).write(out, shown)?,
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
        self.write(f, Shown::default())
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
    in_lines(text.split_whitespace(), room)
}

/// As [`folded`], of what is not to be parted.
pub(super) fn in_lines<'a>(unparted: impl Iterator<Item = &'a str>, room: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    let mut column = 0;
    for word in unparted {
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
    use super::super::cell::{cells, length};
    use super::*;

    const METRIC: UnitSystem = UnitSystem::Metric;

    fn two_columns() -> Sheet {
        let mut sheet = Sheet::titled("dipper: it floats level and dry as it was drawn", METRIC);
        sheet
            .heading("Openings")
            .grid(
                &["opening", "above water", "where"],
                [cells![
                    "well",
                    length(0.083),
                    "on the centre line, amidships, behind the bulkhead",
                ]],
            )
            .notes(&["word ".repeat(30)]);
        sheet
    }

    #[test]
    fn columns_line_up_and_notes_wrap() {
        let text = two_columns().to_string();
        let table = "dipper: it floats level and dry as it was drawn\n\nOpenings\n  \
                     opening  above water  where\n  \
                     well     83 mm        on the centre line, amidships, behind the bulkhead\n";
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
        let mut sheet = Sheet::titled("dipper", METRIC);
        sheet.doubts(&[]).cautions(&["calm water only"]);
        assert_eq!(
            sheet.to_string(),
            "dipper\n\nCautions\n  - calm water only\n"
        );
        sheet.doubts_of(vec!["a hole".to_owned()]);
        assert!(
            sheet
                .to_string()
                .ends_with(&format!("\n{DOUBTS}\n  - a hole\n"))
        );
    }
}
