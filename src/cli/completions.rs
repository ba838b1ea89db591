//! `awash completions`
use std::io::{self, Write};

use clap::{Args, CommandFactory};
use clap_complete::Shell;

use super::{Arguments, CommandError, Outcome};

/// Print the file that lets a shell complete commands and options
///
/// Where each shell looks for it stands below; it is read by the next shell that
/// is opened.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  awash completions bash > ~/.local/share/bash-completion/completions/awash
  awash completions zsh > ~/.zfunc/_awash   (with fpath+=~/.zfunc before compinit in ~/.zshrc)
  awash completions fish > ~/.config/fish/completions/awash.fish")]
pub(super) struct Completions {
    /// Shell to write for
    #[arg(value_enum)]
    shell: Shell,
}

impl Completions {
    pub(super) fn run(&self) -> Result<Outcome, CommandError> {
        let mut text = Vec::new();
        clap_complete::generate(self.shell, &mut Arguments::command(), "awash", &mut text);
        let mut stdout = io::stdout().lock();
        stdout.write_all(&text)?;
        stdout.flush()?;
        Ok(Outcome::Fine)
    }
}
