//! `awash schema`
use std::io::{self, Write};

use clap::Args;

use super::{CommandError, Outcome};
use crate::boat::file;
use crate::present::{self, RESULTS, json_text};

/// The name of what is no result.
const BOAT_FILE: &str = "boat-file";

/// Print the JSON Schema of the boat file, or of a command's --format json
///
/// Without a name, lists them.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  awash schema boat-file > boat.schema.json
  awash schema margins")]
pub(super) struct Schema {
    /// boat-file, or a command
    #[arg(value_parser = clap::builder::PossibleValuesParser::new(names()))]
    name: Option<String>,
}

/// What there are schemas of.
fn names() -> impl Iterator<Item = &'static str> {
    std::iter::once(BOAT_FILE).chain(RESULTS.iter().copied())
}

impl Schema {
    pub(super) fn run(&self) -> Result<Outcome, CommandError> {
        let mut stdout = io::stdout().lock();
        let schema = match self.name.as_deref() {
            Some(BOAT_FILE) => Some(file::schema()),
            name => name.and_then(present::schema),
        };
        match schema {
            Some(schema) => write!(stdout, "{}", json_text(&schema)?)?,
            None => {
                for name in names() {
                    writeln!(stdout, "awash schema {name}")?;
                }
            }
        }
        stdout.flush()?;
        Ok(Outcome::Fine)
    }
}
