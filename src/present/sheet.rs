//! A table for the terminal: headings, label–value lines, grids, notes.
use std::fmt::{self, Write};

use super::plain::on_one_line;

/// Widest line that notes are wrapped to, characters.
const WIDTH: usize = 92;

#[derive(Debug, Clone)]
pub(super) enum Block {
    Title(String),
    Heading(String),
    Values(Vec<(String, String)>),
    Grid(Vec<Vec<String>>),
    Notes(Vec<String>),
}

/// Blocks of text in the order they are read. Printed by `Display`.
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
        self.blocks.push(Block::Heading(text.to_owned()));
        self
    }

    /// Labels with their values, in two columns.
    pub fn values<const N: usize>(&mut self, values: [(&str, String); N]) -> &mut Self {
        let values = values.map(|(label, value)| (label.to_owned(), value));
        self.blocks.push(Block::Values(values.into()));
        self
    }

    /// Rows under a header row.
    pub fn grid(&mut self, header: &[&str], rows: Vec<Vec<String>>) -> &mut Self {
        let header = header.iter().map(|&cell| cell.to_owned()).collect();
        let all = std::iter::once(header).chain(rows).collect();
        self.blocks.push(Block::Grid(all));
        self
    }

    /// Sentences, one a paragraph, wrapped.
    pub fn notes<T: fmt::Display>(&mut self, notes: &[T]) -> &mut Self {
        let notes = notes.iter().map(ToString::to_string).collect();
        self.blocks.push(Block::Notes(notes));
        self
    }
}

impl fmt::Display for Sheet {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, block) in self.blocks.iter().enumerate() {
            match block {
                Block::Title(text) => writeln!(f, "{}", on_one_line(text))?,
                Block::Heading(text) => {
                    if i > 0 {
                        writeln!(f)?;
                    }
                    writeln!(f, "{}", on_one_line(text))?;
                }
                Block::Values(values) => {
                    let rows: Vec<Vec<String>> = values
                        .iter()
                        .map(|(label, value)| vec![label.clone(), value.clone()])
                        .collect();
                    write_rows(f, &rows)?;
                }
                Block::Grid(rows) => write_rows(f, rows)?,
                Block::Notes(notes) => {
                    for note in notes {
                        f.write_str(&wrapped(note))?;
                    }
                }
            }
        }
        Ok(())
    }
}

/// Columns padded to their widest cell, two spaces apart, indented by two.
fn write_rows(f: &mut fmt::Formatter<'_>, rows: &[Vec<String>]) -> fmt::Result {
    let plain = |row: &Vec<String>| row.iter().map(|cell| on_one_line(cell)).collect();
    let rows: Vec<Vec<String>> = rows.iter().map(plain).collect();
    let columns = rows.iter().map(Vec::len).max().unwrap_or(0);
    let width = |column: usize| {
        rows.iter()
            .filter_map(|row| row.get(column))
            .map(|cell| cell.chars().count())
            .max()
            .unwrap_or(0)
    };
    let widths: Vec<usize> = (0..columns).map(width).collect();
    for row in &rows {
        let mut line = String::new();
        for (cell, width) in row.iter().zip(&widths) {
            write!(line, "  {cell:<width$}")?;
        }
        writeln!(f, "{}", line.trim_end())?;
    }
    Ok(())
}

/// One paragraph with a dash, wrapped at [`WIDTH`].
fn wrapped(note: &str) -> String {
    let mut text = String::from("  -");
    let mut column = 3;
    for word in on_one_line(note).split_whitespace() {
        let length = word.chars().count();
        if column + 1 + length > WIDTH {
            text.push_str("\n   ");
            column = 3;
        }
        text.push(' ');
        text.push_str(word);
        column += 1 + length;
    }
    text.push('\n');
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_line_up_and_notes_wrap() {
        let mut sheet = Sheet::titled("dipper");
        sheet
            .heading("Openings")
            .grid(
                &["opening", "over water"],
                vec![vec!["well".into(), "83 mm".into()]],
            )
            .notes(&["word ".repeat(30)]);
        let text = sheet.to_string();
        assert!(text.starts_with("dipper\n\nOpenings\n  opening  over water\n  well     83 mm\n"));
        assert!(text.lines().all(|line| line.chars().count() <= WIDTH));
        assert!(text.contains("\n    word"));
    }
}
