//! TOML text as a tree that remembers where everything stands.
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::place::{Place, Source, clipped};
use super::problem::{Fault, Problem};
use crate::files::Files;
use crate::mesh::{is_named_like_a_mesh, is_utf16};
use crate::quantity::Quantity;

/// Most bytes in one file.
pub(crate) const MAX_FILE_BYTES: usize = 1 << 20;
/// Most tables (`[…]`, `[[…]]`, `{…}`) over all files of an `extends` chain.
const MAX_TABLES: usize = 20_000;
/// Most levels of tables and lists inside each other; a boat needs five.
const MAX_NESTING: usize = 16;

/// A value and where it stands.
#[derive(Debug, Clone)]
pub(crate) struct Node {
    pub(crate) value: Value,
    pub(crate) place: Place,
}

/// A TOML value.
#[derive(Debug, Clone)]
pub(crate) enum Value {
    Text(String),
    /// An integer or a float; not necessarily finite.
    Number(f64),
    /// A length by tape, with its ±.
    Measured(Quantity),
    Flag(bool),
    Date(String),
    List(Vec<Node>),
    Table(Table),
}

/// A table's entries by key.
pub(crate) type Table = BTreeMap<String, Entry>;

/// A key's place and its value.
#[derive(Debug, Clone)]
pub(crate) struct Entry {
    pub(crate) key_place: Place,
    pub(crate) node: Node,
}

/// The merged tree of a file and all it extends.
#[derive(Debug, Clone)]
pub(crate) struct Loaded {
    pub(crate) root: Table,
    /// The file the user named, as a whole.
    pub(crate) place: Place,
    /// The files read, the one the user named first.
    pub(crate) files: Vec<PathBuf>,
    /// Where they and the meshes that they name come from.
    pub(crate) from: Arc<dyn Files>,
}

/// The text of a boat file; it is the `layer`-th of its chain, counted from the user's.
pub(crate) fn read_boat_source(
    path: &Path,
    layer: usize,
    asked_at: &Place,
    from: &dyn Files,
) -> Result<Arc<Source>, Box<Problem>> {
    if is_named_like_a_mesh(path) && from.read(path, 0).is_ok() {
        let path = path.display().to_string();
        let help = format!("`awash start {path}` makes a boat file for it");
        return Err(Box::new(
            Problem::new(asked_at, Fault::IsMesh { path }).help(help),
        ));
    }
    read_source(path, layer, asked_at, from)
}

/// The text of a file of tables.
pub(crate) fn read_source(
    path: &Path,
    layer: usize,
    asked_at: &Place,
    from: &dyn Files,
) -> Result<Arc<Source>, Box<Problem>> {
    let bytes = from.read(path, MAX_FILE_BYTES as u64).map_err(|error| {
        let fault = Fault::Unreadable {
            path: path.display().to_string(),
            words: error.to_string(),
        };
        let help = if layer == 0 {
            "check the file's name and folder"
        } else {
            "`extends` is taken as relative to the folder of the file it stands in"
        };
        Box::new(Problem::new(asked_at, fault).help(help))
    })?;
    if bytes.len() > MAX_FILE_BYTES {
        let fault = Fault::TooLong {
            limit_bytes: MAX_FILE_BYTES,
        };
        let help = "is this a mesh? A short text file is wanted here";
        return Err(Box::new(
            Problem::new(&Place::whole_file(path), fault).help(help),
        ));
    }
    let text = String::from_utf8(bytes).map_err(|error| {
        let good = error.utf8_error().valid_up_to();
        let bytes = error.into_bytes();
        let utf16 = is_utf16(&bytes);
        let read_so_far = String::from_utf8_lossy(&bytes[..good]).into_owned();
        let source = Source::new(path.to_owned(), read_so_far, layer);
        let help = if utf16 {
            "the file is saved as UTF-16: save it again with the encoding UTF-8"
        } else {
            "save the file again with the encoding UTF-8, as plain text"
        };
        let fault = Fault::NotUtf8 { byte: good + 1 };
        Box::new(Problem::new(&source.place(good..good), fault).help(help))
    })?;
    let text = match text.strip_prefix('\u{feff}') {
        Some(rest) => rest.to_owned(),
        None => text,
    };
    Ok(Source::new(path.to_owned(), text, layer))
}

/// Turns one file's text into a tree; `table_count` runs over all files.
pub(crate) fn parse(source: &Arc<Source>, table_count: &mut usize) -> Result<Table, Box<Problem>> {
    let document = DeTable::parse(source.text()).map_err(|error| {
        let end = source.text().len();
        let words = error.message().to_owned();
        // The parser gives up before we count, and does not always say where.
        if words.contains("recurs") {
            let place = source.place(error.span().unwrap_or(0..0));
            let fault = Fault::TooDeep { limit: MAX_NESTING };
            return Box::new(Problem::new(&place, fault));
        }
        let span = error.span().unwrap_or(end..end);
        let advice = syntax_advice(&words, line_at(source.text(), span.start));
        let place = source.place(span);
        let problem = Problem::new(&place, Fault::Syntax { words });
        Box::new(match advice {
            Some(advice) => problem.help(advice),
            None => problem,
        })
    })?;
    let mut growth = Growth {
        source,
        table_count,
    };
    growth.table(document.into_inner(), &source.place(0..0), 0)
}

/// The line of a text that a byte stands in.
fn line_at(text: &str, byte: usize) -> &str {
    let byte = text.floor_char_boundary(byte.min(text.len()));
    let start = text[..byte].rfind('\n').map_or(0, |at| at + 1);
    text[start..].split('\n').next().unwrap_or_default()
}

/// Whether a number without a digit before or after its point stands in a line.
fn has_bare_point(line: &str) -> bool {
    let code = line.split('#').next().unwrap_or_default();
    let is_of_number = |c: char| c.is_ascii_digit() || "+-._".contains(c);
    // What stands in quotes is no number: every second piece.
    code.split(['"', '\''])
        .step_by(2)
        .flat_map(|piece| piece.split(['=', ',', '[', ']', '{', '}']))
        .map(str::trim)
        // A name without its quotes has more in it than digits.
        .filter(|value| value.chars().all(is_of_number))
        .any(|value| {
            let bytes = value.as_bytes();
            let digit = |at: usize| bytes.get(at).is_some_and(u8::is_ascii_digit);
            (0..bytes.len()).any(|at| {
                bytes[at] == b'.' && digit(at.wrapping_sub(1)) != digit(at.wrapping_add(1))
            })
        })
}

/// Plain advice for the mistakes people make most.
fn syntax_advice(parser_words: &str, line: &str) -> Option<&'static str> {
    if has_bare_point(line) {
        Some("a number has a digit on both sides of its point: 0.5, not .5; 5.0, not 5.")
    } else if has_decimal_comma(line) {
        Some("a decimal point is a point, not a comma: 14.5, not 14,5")
    } else if ["must be quoted", "date-time"]
        .iter()
        .any(|words| parser_words.contains(words))
    {
        // No key takes a date: a name that begins like one stands without its quotes.
        Some("text and numbers with a unit stand in quotes, for example mass = \"12 kg\"")
    } else if parser_words.contains("duplicate key") {
        Some(
            "a key may stand once in a table; a table that repeats has double brackets, \
             for example [[item]]",
        )
    } else {
        None
    }
}

/// Whether the value of a line is a number with a comma for its point, as `14,5`.
fn has_decimal_comma(line: &str) -> bool {
    let value = line.split_once('=').map_or("", |(_, value)| value.trim());
    let is_number = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    let value = value.split('#').next().unwrap_or_default().trim();
    value
        .split_once(',')
        .is_some_and(|(whole, part)| is_number(whole.trim_start_matches('-')) && is_number(part))
}

/// Grows our tree from the parser's within the limits.
struct Growth<'s> {
    source: &'s Arc<Source>,
    table_count: &'s mut usize,
}

impl Growth<'_> {
    fn table(
        &mut self,
        table: DeTable<'_>,
        place: &Place,
        depth: usize,
    ) -> Result<Table, Box<Problem>> {
        *self.table_count += 1;
        if *self.table_count > MAX_TABLES {
            let fault = Fault::TooMany { limit: MAX_TABLES };
            let problem = Problem::new(place, fault).help("lump small items together");
            return Err(Box::new(problem));
        }
        table
            .into_iter()
            .map(|(key, value)| {
                let key_place = self.source.place(key.span());
                let node = self.node(value, depth + 1)?;
                Ok((key.into_inner().into_owned(), Entry { key_place, node }))
            })
            .collect()
    }

    // The parser allows dotted keys to nest some thousand levels; stop early so
    // that nothing of ours recurses that deep.
    fn node(&mut self, value: Spanned<DeValue<'_>>, depth: usize) -> Result<Node, Box<Problem>> {
        let place = self.source.place(value.span());
        if depth > MAX_NESTING {
            let fault = Fault::TooDeep { limit: MAX_NESTING };
            let help = "no part of a boat file nests like this";
            return Err(Box::new(Problem::new(&place, fault).help(help)));
        }
        let value = match value.into_inner() {
            DeValue::String(text) => Value::Text(text.into_owned()),
            DeValue::Integer(number) => Value::Number(integer(number.as_str(), number.radix())),
            DeValue::Float(number) => Value::Number(number.as_str().parse().unwrap_or(f64::NAN)),
            DeValue::Boolean(flag) => Value::Flag(flag),
            DeValue::Datetime(date) => Value::Date(date.to_string()),
            DeValue::Array(list) => Value::List(
                list.into_iter()
                    .map(|value| self.node(value, depth + 1))
                    .collect::<Result<_, _>>()?,
            ),
            DeValue::Table(table) => Value::Table(self.table(table, &place, depth)?),
        };
        Ok(Node { value, place })
    }
}

/// The nearest `f64`; not finite when the digits are beyond reading.
fn integer(digits: &str, radix: u32) -> f64 {
    match i64::from_str_radix(digits, radix) {
        #[expect(
            clippy::cast_precision_loss,
            reason = "no count in a boat file comes near 2^53"
        )]
        Ok(number) => number as f64,
        Err(_) if radix == 10 => digits.parse().unwrap_or(f64::NAN),
        Err(_) => f64::NAN,
    }
}

impl Value {
    /// What a person would call this value.
    pub(crate) fn found(&self) -> String {
        match self {
            Self::Text(text) => format!("the text \"{}\"", clipped(text)),
            Self::Number(number) => format!("the number {number}"),
            Self::Measured(length) => format!("a length of {} m", length.value),
            Self::Flag(flag) => format!("{flag}"),
            Self::Date(date) => format!("the date {date}"),
            Self::List(list) if list.is_empty() => "an empty list".into(),
            Self::List(list) => format!("a list of {}", list.len()),
            Self::Table(_) => "a table".into(),
        }
    }

    /// The list's nodes; none for anything else.
    pub(crate) fn into_list(self) -> Vec<Node> {
        match self {
            Self::List(list) => list,
            _ => Vec::new(),
        }
    }

    /// Whether it is a list with nothing but tables in it, and at least one.
    pub(crate) fn is_list_of_tables(&self) -> bool {
        match self {
            Self::List(list) => {
                !list.is_empty() && list.iter().all(|n| matches!(n.value, Value::Table(_)))
            }
            _ => false,
        }
    }
}
