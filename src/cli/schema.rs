//! `awash schema`
use std::io::{self, Write};

use clap::Args;

use super::{CommandError, Outcome};
use crate::present::{RESULTS, json_text, schema};

/// Print the JSON Schema of a command's --format json
///
/// Without a command, lists them.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  awash schema float
  awash schema margins > margins.schema.json")]
pub(super) struct Schema {
    /// Of which command
    #[arg(value_parser = clap::builder::PossibleValuesParser::new(RESULTS))]
    result: Option<String>,
}

impl Schema {
    pub(super) fn run(&self) -> Result<Outcome, CommandError> {
        let mut stdout = io::stdout().lock();
        match self.result.as_deref().and_then(schema) {
            Some(schema) => write!(stdout, "{}", json_text(&schema)?)?,
            None => {
                for name in RESULTS {
                    writeln!(stdout, "awash schema {name}")?;
                }
            }
        }
        stdout.flush()?;
        Ok(Outcome::Fine)
    }
}
