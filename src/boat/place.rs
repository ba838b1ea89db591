//! Where in a boat file something stands, so that every complaint can point at
//! its line.
use std::fmt;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Most characters of a source line shown in a complaint.
const SHOWN_LINE_CHARS: usize = 100;

/// One file's text, kept to quote lines from.
#[derive(Debug)]
pub(crate) struct Source {
    path: PathBuf,
    text: String,
    line_starts: Vec<usize>,
    layer: usize,
}

impl Source {
    /// Keeps `text`, read from `path`. `layer` counts `extends` steps: 0 is the
    /// file the user named, 1 the file it extends, and so on.
    pub(crate) fn new(path: PathBuf, text: String, layer: usize) -> Arc<Self> {
        let line_starts = std::iter::once(0)
            .chain(text.match_indices('\n').map(|(at, _)| at + 1))
            .collect();
        Arc::new(Self {
            path,
            text,
            line_starts,
            layer,
        })
    }

    /// The whole text, without a byte order mark.
    pub(crate) fn text(&self) -> &str {
        &self.text
    }

    /// The place of the bytes `span` of the text.
    pub(crate) fn place(self: &Arc<Self>, span: std::ops::Range<usize>) -> Place {
        let start = self.text.floor_char_boundary(span.start);
        Place {
            source: Arc::clone(self),
            start,
            end: self.text.floor_char_boundary(span.end).max(start),
            laid_over: false,
        }
    }
}

/// A stretch of text in a boat file. Prints as `path:line:column`, lines and
/// columns counted from 1, columns in characters.
#[derive(Clone)]
pub struct Place {
    source: Arc<Source>,
    start: usize,
    end: usize,
    /// Whether it stands in a loading condition, which is laid over its own file.
    laid_over: bool,
}

impl Place {
    /// A file as a whole, where no text of it could be read.
    pub(crate) fn whole_file(path: &Path) -> Self {
        Source::new(path.to_owned(), String::new(), 0).place(0..0)
    }

    /// The file, as the user or an `extends` named it.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.source.path
    }

    /// Line, counted from 1.
    #[must_use]
    pub fn line(&self) -> usize {
        self.source
            .line_starts
            .partition_point(|&line_start| line_start <= self.start)
    }

    /// Column, counted from 1 in characters.
    #[must_use]
    pub fn column(&self) -> usize {
        self.source.text[self.line_start()..self.start]
            .chars()
            .count()
            + 1
    }

    /// How far from the user: files count by their `extends` steps from the file that
    /// the user named, a loading condition is nearer than its own file.
    pub(crate) fn layer(&self) -> usize {
        2 * self.source.layer + usize::from(!self.laid_over)
    }

    /// The same place as one of a loading condition.
    pub(crate) fn laid_over(&self) -> Self {
        Self {
            laid_over: true,
            ..self.clone()
        }
    }

    /// Sorts places in the order a reader meets them.
    pub(crate) fn reading_order(&self) -> (usize, usize) {
        (self.source.layer, self.start)
    }

    /// `name` taken as relative to the folder of this place's file.
    pub(crate) fn beside(&self, name: &str) -> PathBuf {
        match self.source.path.parent() {
            Some(folder) => folder.join(name),
            None => PathBuf::from(name),
        }
    }

    /// The source line with a caret below, or nothing for a file without text.
    #[must_use]
    pub fn excerpt(&self) -> String {
        if self.source.text.is_empty() {
            return String::new();
        }
        let line_start = self.line_start();
        let rest = &self.source.text[line_start..];
        let line = rest.split('\n').next().unwrap_or(rest);
        let line = line.strip_suffix('\r').unwrap_or(line);

        let before = self.column() - 1;
        let first_shown = if before < SHOWN_LINE_CHARS {
            0
        } else {
            before - SHOWN_LINE_CHARS / 2
        };
        let shown: String = line
            .chars()
            .skip(first_shown)
            .take(SHOWN_LINE_CHARS)
            .map(printable)
            .collect();
        let indent = before - first_shown;
        let line_end = line_start + line.len();
        let marked = self
            .source
            .text
            .get(self.start..self.end.min(line_end))
            .map_or(0, |text| text.chars().count());
        let room = shown.chars().count().saturating_sub(indent);
        let carets = "^".repeat(marked.min(room).max(1));

        let number = self.line().to_string();
        let gutter = " ".repeat(number.len());
        format!(
            "  {number} | {shown}\n  {gutter} | {}{carets}",
            " ".repeat(indent)
        )
    }

    fn line_start(&self) -> usize {
        self.source.line_starts[self.line() - 1]
    }
}

/// Keeps a terminal unharmed by control characters in a file.
fn printable(character: char) -> char {
    match character {
        '\t' => ' ',
        c if c.is_control() => char::REPLACEMENT_CHARACTER,
        c => c,
    }
}

/// Cuts a long word from a file down to what a message can show.
pub(crate) fn clipped(word: &str) -> String {
    const SHOWN_WORD_CHARS: usize = 60;
    let mut shown: String = word.chars().take(SHOWN_WORD_CHARS).map(printable).collect();
    if word.chars().nth(SHOWN_WORD_CHARS).is_some() {
        shown.push('…');
    }
    shown
}

/// Where a thing is said is not what it is: tables are alike wherever they stand.
impl PartialEq for Place {
    fn eq(&self, _other: &Self) -> bool {
        true
    }
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.source.path.display())?;
        if self.source.text.is_empty() {
            return Ok(());
        }
        write!(f, ":{}:{}", self.line(), self.column())
    }
}

impl fmt::Debug for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(self, f)
    }
}

impl serde::Serialize for Place {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}
