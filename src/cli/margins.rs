//! `awash margins`
use std::path::PathBuf;

use clap::Args;

use super::files::{self, put, refuse_same};
use super::{CommandError, Outcome, Output};
use crate::present::{load_svg, rose_svg};
use crate::study::margins;

/// How small a lean, knock, lift or load puts an opening under
///
/// Leans the craft over every way until the first sill is awash, finds the
/// least knock that does it, pushes it up at its edges as when it rides onto a
/// rock, and loads it place by place. The worst comes first, in one sentence.
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  awash margins meshes/dipper/asfitted.toml\n  awash margins meshes/dipper/asfitted.toml --svg rose.svg"
)]
pub(super) struct Margins {
    /// Boat file (TOML)
    boat: PathBuf,
    /// Also draw the rose of leans into this SVG file
    #[arg(long, value_name = "FILE", value_parser = files::drawing_or_table())]
    svg: Option<PathBuf>,
    /// Also draw the map of the load that each place carries into this SVG file
    #[arg(long, value_name = "FILE", value_parser = files::drawing_or_table())]
    load_svg: Option<PathBuf>,
    /// Write over SVG files that are already there
    #[arg(long)]
    force: bool,
}

impl Margins {
    pub(super) fn run(&self, output: &Output) -> Result<Outcome, CommandError> {
        refuse_same(&[self.svg.as_ref(), self.load_svg.as_ref()])?;
        let boat = output.load_floating(&self.boat)?;
        let result =
            margins(&boat).map_err(|source| CommandError::of_rest(&self.boat, &boat, source))?;
        if let Some(svg) = &self.svg {
            put(svg, rose_svg(&result, output.units).as_bytes(), self.force)?;
        }
        if let Some(svg) = &self.load_svg {
            put(svg, load_svg(&result, output.units).as_bytes(), self.force)?;
        }
        output.print(&result)?;
        Ok(if result.fails_a_yardstick() {
            Outcome::YardstickFailed
        } else {
            Outcome::Fine
        })
    }
}
