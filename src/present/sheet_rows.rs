//! Rows of cells in columns, folded into a width where one is given.
use std::fmt::{self, Write};

use super::cell::Cell;
use super::sheet::{Grid, in_lines};
use crate::quantity::UnitSystem;
use crate::study::Verdict;

/// Between two columns and before the first, characters.
const GAP: usize = 2;
/// A column of words is not folded narrower than this, characters.
const NARROWEST: usize = 8;

/// Codes of a terminal (ECMA-48, section 8.3.117, select graphic rendition): red, yellow,
/// green letters, and the usual ones again.
fn colour(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Fail => "\x1b[31m",
        Verdict::Marginal => "\x1b[33m",
        Verdict::Clear => "\x1b[32m",
    }
}
const RESET: &str = "\x1b[0m";

/// How a table is shown.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Shown {
    /// Widest line, characters; as wide as they are without one.
    pub(super) width: Option<usize>,
    /// Whether verdicts are in colour, beside their words.
    pub(super) coloured: bool,
}

/// A cell on one line, and what of it is not parted when it is folded.
struct Line {
    text: String,
    unparted: Vec<String>,
    verdict: Option<Verdict>,
}

impl Line {
    fn of(cell: &Cell, units: UnitSystem) -> Self {
        Self {
            text: cell.text(units),
            unparted: cell.unparted(units),
            verdict: cell.verdict(),
        }
    }

    fn width(&self) -> usize {
        self.text.chars().count()
    }

    /// The narrowest that it can be.
    fn least(&self) -> usize {
        let parts = self.unparted.iter();
        parts.map(|part| part.chars().count()).max().unwrap_or(0)
    }

    fn lines(&self, width: usize) -> Vec<String> {
        if self.width() > width {
            in_lines(self.unparted.iter().map(String::as_str), width)
        } else {
            vec![self.text.clone()]
        }
    }

    /// A text of it in the colour of its verdict, where one is asked for.
    fn coloured(&self, text: &str, shown: Shown) -> String {
        let style = self.verdict.filter(|_| shown.coloured && !text.is_empty());
        style.map_or_else(
            || text.to_owned(),
            |verdict| format!("{}{text}{RESET}", colour(verdict)),
        )
    }
}

/// Rows, the header first where there is one.
pub(super) struct Rows {
    rows: Vec<Vec<Line>>,
    has_header: bool,
}

impl Rows {
    pub(super) fn of(grid: &Grid, units: UnitSystem) -> Self {
        let line = |cell: &Cell| Line::of(cell, units);
        let header = grid.header.iter();
        let header = header.map(|cells| cells.iter().map(|cell| line(&cell.into())).collect());
        let rows = grid.rows.iter();
        let rows = rows.map(|row| row.iter().map(line).collect());
        Self {
            has_header: grid.header.is_some(),
            rows: header.chain(rows).collect(),
        }
    }

    /// Columns padded to their widest cell; within a width where one is given.
    pub(super) fn write(&self, out: &mut dyn Write, shown: Shown) -> fmt::Result {
        match self.widths(shown.width) {
            Some(widths) => self.write_columns(out, &widths, shown),
            None => self.write_one_by_one(out, shown),
        }
    }

    /// The widest of each column by some measure.
    fn each_column(&self, of: impl Fn(&Line) -> usize) -> Vec<usize> {
        let columns = self.rows.iter().map(Vec::len).max().unwrap_or(0);
        let column = |column: usize| {
            let cells = self.rows.iter().filter_map(|row| row.get(column));
            cells.map(&of).max().unwrap_or(0)
        };
        (0..columns).map(column).collect()
    }

    /// How wide each column is: the widest are folded first. `None` where the narrowest
    /// are too wide together.
    fn widths(&self, width: Option<usize>) -> Option<Vec<usize>> {
        let natural = self.each_column(Line::width);
        let Some(width) = width else {
            return Some(natural);
        };
        let least = self.each_column(Line::least);
        let capped = |cap: usize| -> Vec<usize> {
            let columns = natural.iter().zip(&least);
            columns
                .map(|(natural, least)| (*natural).min(cap.max(*least)))
                .collect()
        };
        let fits =
            |widths: &Vec<usize>| widths.iter().map(|column| column + GAP).sum::<usize>() <= width;
        let widest = natural.iter().copied().max().unwrap_or(0);
        let caps = (NARROWEST.min(widest)..=widest).rev();
        caps.map(capped).find(fits)
    }

    fn write_columns(&self, out: &mut dyn Write, widths: &[usize], shown: Shown) -> fmt::Result {
        for row in &self.rows {
            let cells = row.iter().zip(widths);
            let cells: Vec<Vec<String>> = cells.map(|(cell, width)| cell.lines(*width)).collect();
            let height = cells.iter().map(Vec::len).max().unwrap_or(0);
            for number in 0..height {
                let mut line = String::new();
                for ((cell, lines), width) in row.iter().zip(&cells).zip(widths) {
                    let text = lines.get(number).map_or("", String::as_str);
                    let room = width.saturating_sub(text.chars().count());
                    write!(
                        line,
                        "{:GAP$}{}{:room$}",
                        "",
                        cell.coloured(text, shown),
                        ""
                    )?;
                }
                writeln!(out, "{}", line.trim_end())?;
            }
        }
        Ok(())
    }

    /// Each row by itself: its first cell, then a line for each other that holds
    /// something, behind the column's header.
    fn write_one_by_one(&self, out: &mut dyn Write, shown: Shown) -> fmt::Result {
        let width = shown.width.unwrap_or(usize::MAX);
        let (header, rows) = match self.rows.split_first() {
            Some((header, rows)) if self.has_header => (header.as_slice(), rows),
            _ => (&[][..], self.rows.as_slice()),
        };
        for row in rows {
            for (column, cell) in row.iter().enumerate() {
                let name = header.get(column).map_or("", |name| name.text.as_str());
                let (label, indent) = match column {
                    0 => (String::new(), GAP),
                    _ if cell.text.is_empty() => continue,
                    _ if name.is_empty() => (String::new(), 2 * GAP),
                    _ => (format!("{name}: "), 2 * GAP),
                };
                let parts = cell.unparted.iter().map(String::as_str);
                let room = width.saturating_sub(indent).max(1);
                for line in in_lines(label.split_whitespace().chain(parts), room) {
                    let told = line.strip_prefix(&label).filter(|_| !label.is_empty());
                    let line = match told {
                        Some(told) => format!("{label}{}", cell.coloured(told, shown)),
                        None => cell.coloured(&line, shown),
                    };
                    writeln!(out, "{}", format!("{:indent$}{line}", "").trim_end())?;
                }
            }
        }
        Ok(())
    }
}
