//! `awash righting`
use std::path::PathBuf;

use clap::Args;

use super::files::{self, put};
use super::{CommandError, Outcome, Output};
use crate::present::righting_svg;
use crate::study::righting;

/// The arm that turns the craft back, over heel and over pitch, and every
/// attitude in which it comes to rest
///
/// Heels the craft right round with its pitch free, and pitches it with its
/// heel free, marks where each opening goes under, and finds all attitudes of
/// rest (upright, on its side, upside down) with the work from one to another.
#[derive(Debug, Args)]
#[command(
    after_help = "Example:\n  awash righting meshes/dipper/after.toml\n  awash righting meshes/dipper/after.toml --svg arms.svg"
)]
pub(super) struct Righting {
    /// Boat file (TOML)
    boat: PathBuf,
    /// Also draw the arms over heel into this SVG file
    #[arg(long, value_name = "FILE", value_parser = files::drawing_or_table())]
    svg: Option<PathBuf>,
    /// Write over an SVG file that is already there
    #[arg(long)]
    force: bool,
}

impl Righting {
    pub(super) fn run(&self, output: &Output) -> Result<Outcome, CommandError> {
        let boat = output.load_floating(&self.boat)?;
        let result =
            righting(&boat).map_err(|source| CommandError::of_rest(&self.boat, &boat, source))?;
        if let Some(svg) = &self.svg {
            put(
                svg,
                righting_svg(&result, output.units).as_bytes(),
                self.force,
            )?;
        }
        output.print(&result)?;
        Ok(Outcome::Fine)
    }
}
