//! `awash reference`
use std::io::{self, Write};

use clap::Args;

use super::{CommandError, Outcome};
use crate::present;
use crate::reference::PAGES;

/// Print a page of the reference: the guide, the boat file, the results, the words
///
/// Without a page, lists them.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  awash reference boat-file
  awash reference guide | less")]
pub(super) struct Reference {
    /// Which page
    #[arg(value_parser = clap::builder::PossibleValuesParser::new(PAGES.iter().map(|page| page.name)))]
    page: Option<String>,
}

impl Reference {
    pub(super) fn run(&self) -> Result<Outcome, CommandError> {
        let mut stdout = io::stdout().lock();
        let asked = PAGES
            .iter()
            .find(|page| self.page.as_deref() == Some(page.name));
        match asked {
            Some(page) => write!(stdout, "{}", present::page(page.markdown))?,
            None => {
                for page in PAGES {
                    writeln!(stdout, "awash reference {:<10} {}", page.name, page.about)?;
                }
            }
        }
        stdout.flush()?;
        Ok(Outcome::Fine)
    }
}
