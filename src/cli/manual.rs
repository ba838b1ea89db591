//! `awash manual`
use std::io::{self, Write};
use std::path::PathBuf;

use clap::builder::StyledStr;
use clap::{Args, CommandFactory};
use clap_mangen::Man;

use super::files::{Writes, make_folder, put, refuse_existing};
use super::{Arguments, CommandError, Outcome};

/// Write the manual pages: one for the program, one for each command
///
/// Without --folder, prints one page: the program's, or that of the command named.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  awash manual --folder ~/.local/share/man/man1   (then: man awash, man awash-float)
  awash manual float | man --local-file -")]
pub(super) struct Manual {
    /// Command whose page is printed; the program's own when not given
    #[arg(conflicts_with = "folder")]
    command: Option<String>,
    /// Folder to write all pages into; made where it is not there
    #[arg(long, value_name = "FOLDER")]
    folder: Option<PathBuf>,
    /// Write over pages that are already there
    #[arg(long)]
    force: bool,
}

impl Manual {
    pub(super) fn run(&self) -> Result<Outcome, CommandError> {
        let pages = pages()?;
        if let Some(folder) = &self.folder {
            make_folder(folder)?;
            let target = |name: &str| folder.join(format!("{name}.1"));
            for (name, _) in &pages {
                refuse_existing(&target(name), Writes::Page, self.force)?;
            }
            for (name, page) in &pages {
                put(&target(name), page, self.force)?;
            }
            let mut stdout = io::stdout().lock();
            writeln!(stdout, "{} pages in {}", pages.len(), folder.display())?;
            return Ok(Outcome::Fine);
        }
        let name = match &self.command {
            Some(command) => format!("awash-{command}"),
            None => "awash".to_owned(),
        };
        let Some((_, page)) = pages.iter().find(|(page, _)| *page == name) else {
            return Err(CommandError::Message(format!(
                "there is no command {}; `awash --help` lists them",
                name.trim_start_matches("awash-")
            )));
        };
        let mut stdout = io::stdout().lock();
        stdout.write_all(page)?;
        stdout.flush()?;
        Ok(Outcome::Fine)
    }
}

/// Every page with its name, the program's first.
fn pages() -> Result<Vec<(String, Vec<u8>)>, CommandError> {
    let mut program = Arguments::command().disable_help_subcommand(true);
    // Global options go down to the commands only when all is built.
    program.build();
    let own = program.clone().display_name("awash");
    let commands = program.get_subcommands().map(|command| {
        let name = format!("awash-{}", command.get_name());
        // As typed, with a space, where the page shows how it is called.
        let typed = format!("awash {}", command.get_name());
        command
            .clone()
            .display_name(name)
            .bin_name(typed)
            .version(env!("CARGO_PKG_VERSION"))
    });
    std::iter::once(own)
        .chain(commands)
        .map(|command| {
            let name = command
                .get_display_name()
                .unwrap_or_else(|| command.get_name())
                .to_owned();
            let mut page = Vec::new();
            Man::new(with_examples_apart(command)).render(&mut page)?;
            Ok((name, page))
        })
        .collect()
}

/// Lines of an example keep apart on the page, where text is filled otherwise.
fn with_examples_apart(command: clap::Command) -> clap::Command {
    let Some(text) = command.get_after_help().map(StyledStr::to_string) else {
        return command;
    };
    command.after_help(text.replace('\n', "\n\n"))
}
