//! What can be wrong with a boat file, and how it is told.
use std::fmt;

use super::place::Place;
use super::tape::TapeFault;
use crate::quantity::QuantityError;
use crate::water::WaterError;

/// Most problems printed at once; the rest are counted.
const SHOWN_PROBLEMS: usize = 20;

/// What is wrong. Owners read like the file: `[hull]`, `[[item]] "battery"`.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum Fault {
    /// The operating system would not give the file.
    #[error("cannot read {path}: {words}")]
    Unreadable {
        /// The file that was asked for.
        path: String,
        /// The system's words.
        words: String,
    },
    /// A mesh stands where a boat file is wanted.
    #[error("{path} is a mesh, not a boat file")]
    IsMesh {
        /// The file that was asked for.
        path: String,
    },
    /// The file is longer than it can sensibly be.
    #[error("the file is longer than {limit_bytes} bytes")]
    TooLong {
        /// Most bytes a file may hold.
        limit_bytes: usize,
    },
    /// The bytes are not UTF-8.
    #[error("byte {byte} of the file is not UTF-8 text")]
    NotUtf8 {
        /// Position of the first bad byte, counted from 1.
        byte: usize,
    },
    /// The text is not TOML.
    #[error("the file cannot be understood here: {words}")]
    Syntax {
        /// The parser's words.
        words: String,
    },
    /// Tables or lists stand inside each other too deep.
    #[error("tables and lists nest deeper than {limit} levels")]
    TooDeep {
        /// Deepest level read.
        limit: usize,
    },
    /// More tables than any boat needs.
    #[error("the file has more than {limit} tables")]
    TooMany {
        /// Most tables read, over all files of an `extends` chain.
        limit: usize,
    },
    /// A file extends itself through others.
    #[error("`extends` leads back to a file already read: {chain}")]
    Cycle {
        /// The files in order.
        chain: String,
    },
    /// Too many files extend each other.
    #[error("`extends` leads through more than {limit} files: {chain}")]
    ChainTooLong {
        /// Most files read.
        limit: usize,
        /// The files in order.
        chain: String,
    },
    /// `remove = true` on a name the extended file does not have.
    #[error("there is no [[{list}]] \"{name}\" to remove")]
    NothingToRemove {
        /// Table list, `item` for `[[item]]`.
        list: String,
        /// The name asked for.
        name: String,
    },
    /// Two entries of one list carry the same name.
    #[error("the name \"{name}\" is used twice in [[{list}]]; first at {first}")]
    SameName {
        /// Table list, `item` for `[[item]]`.
        list: String,
        /// The doubled name.
        name: String,
        /// Where it stands first.
        first: Place,
    },
    /// A key nothing reads.
    #[error("unknown key `{key}` in {owner}")]
    UnknownKey {
        /// The key.
        key: String,
        /// The table it stands in.
        owner: String,
    },
    /// A known key that has no effect beside the others given.
    #[error("`{key}` has no effect in {owner} as it stands")]
    UnusedKey {
        /// The key.
        key: String,
        /// The table it stands in.
        owner: String,
    },
    /// A key that must be given is not.
    #[error("{owner} has no {what}")]
    Missing {
        /// The key, or the keys of which one is wanted, in backticks.
        what: String,
        /// The table it belongs in.
        owner: String,
    },
    /// The value has the wrong type.
    #[error("`{key}` in {owner} is {found}; it must be {wanted}")]
    WrongType {
        /// The key.
        key: String,
        /// The table it stands in.
        owner: String,
        /// What was found.
        found: String,
        /// What is wanted.
        wanted: String,
    },
    /// A number or unit could not be read.
    #[error("`{key}` in {owner}: {cause}")]
    BadQuantity {
        /// The key.
        key: String,
        /// The table it stands in.
        owner: String,
        /// What the units reader says.
        cause: QuantityError,
    },
    /// Tape readings that give no place.
    #[error("`{key}` in {owner}, by tape: {cause}")]
    Tape {
        /// The key.
        key: String,
        /// The table it stands in.
        owner: String,
        /// Why not.
        cause: TapeFault,
    },
    /// Tape readings, but no hull to hold the tape to.
    #[error("the hull's mesh is needed for tape readings, and {words}")]
    NoHullForTape {
        /// Why there is none.
        words: String,
    },
    /// The lowest point of an opening's rim, which is not to be had.
    #[error("`{key}` in {owner}: {words}")]
    NoSill {
        /// The key.
        key: String,
        /// The table it stands in.
        owner: String,
        /// Why not.
        words: String,
    },
    /// No water is like that.
    #[error("`{key}` in {owner}: {cause}")]
    Water {
        /// The key.
        key: String,
        /// The table it stands in.
        owner: String,
        /// Why not.
        cause: WaterError,
    },
    /// A number outside what makes sense.
    #[error("`{key}` in {owner} is {value}; it must be {rule}")]
    OutOfRange {
        /// The key.
        key: String,
        /// The table it stands in.
        owner: String,
        /// The number found, with its unit.
        value: String,
        /// What it must be.
        rule: String,
    },
    /// A word that is none of the choices.
    #[error("`{key}` in {owner} is \"{found}\"; it must be one of {choices}")]
    BadChoice {
        /// The key.
        key: String,
        /// The table it stands in.
        owner: String,
        /// The word found.
        found: String,
        /// The words allowed.
        choices: String,
    },
    /// A loading condition asked of a file that has none.
    #[error("the condition \"{found}\" is asked for, but the boat file has no [[condition]]")]
    NoConditions {
        /// The name asked for.
        found: String,
    },
    /// A way for water into a space that has none.
    #[error(
        "{owner} leads into compartment \"{space}\", which is `sealed`: no way leads into a sealed space"
    )]
    IntoSealed {
        /// The opening or passage.
        owner: String,
        /// The compartment.
        space: String,
    },
    /// More than one of several ways to say the same thing.
    #[error("{owner} gives {given}, but only one way may be given")]
    Conflict {
        /// The table.
        owner: String,
        /// The keys given.
        given: String,
    },
}

/// One thing wrong, where, and what to do.
#[derive(Debug, Clone)]
pub struct Problem {
    /// Where it stands.
    pub place: Place,
    /// What is wrong.
    pub fault: Fault,
    /// What to do about it.
    pub help: Option<String>,
}

impl Problem {
    /// A problem at `place`, without advice yet.
    pub(crate) fn new(place: &Place, fault: Fault) -> Self {
        Self {
            place: place.clone(),
            fault,
            help: None,
        }
    }

    /// The same problem with advice.
    pub(crate) fn help(mut self, help: impl Into<String>) -> Self {
        self.help = Some(help.into());
        self
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.place, self.fault)?;
        let excerpt = self.place.excerpt();
        if !excerpt.is_empty() {
            write!(f, "\n{excerpt}")?;
        }
        if let Some(help) = &self.help {
            write!(f, "\n  help: {help}")?;
        }
        Ok(())
    }
}

/// Everything wrong with a boat file, in reading order. Never empty.
#[derive(Debug, Clone)]
pub struct BoatFileError {
    /// What is wrong, in reading order.
    pub problems: Vec<Problem>,
}

impl BoatFileError {
    /// Sorts `problems` into reading order.
    pub(crate) fn new(mut problems: Vec<Problem>) -> Self {
        problems.sort_by_key(|problem| problem.place.reading_order());
        Self { problems }
    }
}

impl fmt::Display for BoatFileError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (index, problem) in self.problems.iter().take(SHOWN_PROBLEMS).enumerate() {
            if index > 0 {
                f.write_str("\n\n")?;
            }
            write!(f, "{problem}")?;
        }
        let hidden = self.problems.len().saturating_sub(SHOWN_PROBLEMS);
        if hidden > 0 {
            write!(f, "\n\nand {hidden} more problems like these")?;
        }
        Ok(())
    }
}

impl std::error::Error for BoatFileError {}
